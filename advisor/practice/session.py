"""One person at one exercise: decisions are kept as they are taken, and marked at the end."""

from __future__ import annotations

from datetime import date

from advisor.advice.phrases import Units
from advisor.advice.rulebook import Rulebook
from advisor.case.problems import InputProblem
from advisor.practice.decisions import Decision, Given
from advisor.practice.exercise import Exercise, from_text
from advisor.practice.marking import Result, mark_all, next_decision
from advisor.practice.store import Attempt, Store
from advisor.practice.worked import Worked


class Session:
    """An exercise that somebody is at."""

    def __init__(
        self, store: Store, attempt: Attempt, exercise: Exercise, book: Rulebook, units: Units
    ) -> None:
        self._store = store
        self._attempt = attempt
        self.exercise = exercise
        self.worked = Worked(exercise, book, units)
        self.taken: dict[str, Given] = dict(attempt.taken)

    @classmethod
    def resume(
        cls, store: Store, person: str, book: Rulebook, *, units: Units = "si", class_set: str = ""
    ) -> Session | None:
        """The first open exercise to go on with; those begun under other rules are given up."""
        while (attempt := store.unfinished(person, class_set)) is not None:
            exercise = _read(attempt, book)
            if exercise is not None:
                return cls(store, attempt, exercise, book, units)
            store.drop(attempt.id)
        return None

    @property
    def next(self) -> Decision | None:
        """The decision to take next."""
        return next_decision(self.worked, self.taken)

    def take(self, decision: Decision, given: Given) -> None:
        """Take a decision; it is kept before this returns."""
        self._store.keep(self._attempt.id, decision.id, given)
        self.taken[decision.id] = given

    def give_up(self) -> None:
        """Forget about this exercise."""
        self._store.drop(self._attempt.id)

    def finish(self, today: date) -> Result:
        """Mark the exercise and keep the marks."""
        result = mark_all(self.worked, self.taken)
        self._store.finish(self._attempt.id, result, self.exercise.rule, today)
        return result


def _read(attempt: Attempt, book: Rulebook) -> Exercise | None:
    """The exercise as it was begun, where the rules are still the same."""
    if attempt.rulebook != book.digest:
        return None
    try:
        return from_text(attempt.exercise, book)
    except (InputProblem, KeyError, ValueError):
        return None
