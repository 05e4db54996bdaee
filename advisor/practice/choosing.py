"""Which exercise comes next: what is due, what is new, or what a whole class gets alike."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date
from itertools import islice
from random import Random

from advisor.advice.rulebook import STAGES, Rulebook
from advisor.advice.scenarios import scenario_files
from advisor.case.problems import InputProblem
from advisor.case.reading import read_case
from advisor.light_dataclass import dataclass
from advisor.practice.exercise import Exercise, Level, of_made, of_pair, of_scenario
from advisor.practice.making.maker import Maker
from advisor.practice.making.traps import TRAPS
from advisor.practice.repetition import Card
from advisor.reasoning.cursor import nearest
from advisor.reasoning.rules import Rule

_TRIES = 6  # where there are other rules, rather those than many tries
_TRIES_FOR_DUE = 20
_TRIES_FOR_ONE = 40
_LOOKS = 2
_EVERY_SCENARIO = 4
_EVERY_PAIR = 5
_MOST_ROUNDS = 1000

Group = tuple[Exercise, ...]
"""Exercises that are shown one after the other: one, or the two of a pair."""


@dataclass(frozen=True)
class Wanted:
    """What somebody wants to practise; empty means anything.

    Attributes:
        level: how hard.
        stage: rules of one stage.
        subject: rules of subjects with this text in their name.
        rule: one rule.
        pairs: only pairs of cases that part on one answer.
    """

    level: Level | None = None
    stage: str = ""
    subject: str = ""
    rule: str = ""
    pairs: bool = False

    @property
    def anything(self) -> bool:
        """Whether nothing about the subject is wanted."""
        return not (self.stage or self.subject or self.rule)


class Chooser:
    """Chooses exercises; the same seed chooses the same ones under the same rules."""

    def __init__(self, book: Rulebook, wanted: Wanted) -> None:
        """Prepare.

        Raises:
            InputProblem: a stage, subject or rule that there is not.
        """
        self._book = book
        self._wanted = wanted
        self._maker = Maker(book)
        self._rules = tuple(_fitting(book, wanted))
        self._tries = _TRIES if len(self._rules) > 1 else _TRIES_FOR_ONE

    def exercises(self, seed: str, skip: Collection[str] = ()) -> Iterator[Group]:
        """Exercises without end, as long as cases are found; those done before are left out."""
        random = Random(seed)
        order = list(self._rules)
        random.shuffle(order)
        scenarios = self._scenarios(random)
        for round_ in range(_MOST_ROUNDS):
            found = False
            for index, rule in enumerate(order):
                groups = list(islice(scenarios, self._scenarios_at(index)))
                group = self._for_rule(rule, f"{seed}.{round_}", random, index)
                groups += [group] if group else []
                found |= bool(group)
                yield from (one for one in groups if not {e.key for e in one} & set(skip))
            if not found:
                return

    def _scenarios_at(self, index: int) -> int:
        return int(index % _EVERY_SCENARIO == 0 and not self._wanted.pairs)

    def due(self, cards: Sequence[Card], today: date, seed: str) -> Iterator[Group]:
        """Exercises for the rules that come back today, soonest due first."""
        wanted = {rule.id: rule for rule in self._rules}
        random = Random(seed)
        for card in cards:
            if card.due <= today and card.rule in wanted:
                again = f"{seed}.{card.right + card.missed}"
                group = self._made_for(wanted[card.rule], again, random, _TRIES_FOR_DUE)
                if group:
                    yield group

    def _scenarios(self, random: Random) -> Iterator[Group]:
        """Worked cases that fit, in a random order."""
        grades = tuple(self._book.knowledge.tables["grades"].rows)
        paths = scenario_files(self._book)
        random.shuffle(paths)
        for path in paths:
            case = read_case(path, self._book.questionnaire, grades)
            exercise = of_scenario(path.stem, case, self._book)
            if self._fits(exercise):
                yield (exercise,)

    def _fits(self, exercise: Exercise) -> bool:
        wanted = self._wanted
        of_subject = wanted.anything or exercise.rule in {rule.id for rule in self._rules}
        return of_subject and wanted.level in (None, exercise.level)

    def _for_rule(self, rule: Rule, seed: str, random: Random, index: int) -> Group:
        """One exercise for a rule, or two that part on one answer; nothing where none is found."""
        if self._wanted.pairs or index % _EVERY_PAIR == _EVERY_PAIR - 1:
            found = self._maker.pair_for(rule, seed, tries=self._tries)
            both = of_pair(found, f"pair/{rule.id}/{seed}") if found else ()
            if self._wanted.pairs or both:
                return both if self._level_fits(both) else ()
        return self._made_for(rule, seed, random)

    def _made_for(self, rule: Rule, seed: str, random: Random, least_tries: int = 0) -> Group:
        trap = random.choice(TRAPS) if self._wanted.level == "hard" else None
        tries = max(self._tries, least_tries)
        steer = tries == _TRIES_FOR_ONE
        made = self._maker.for_rule(rule, seed, tries=tries, looks=_LOOKS, trap=trap, steer=steer)
        group = (of_made(made, f"rule/{rule.id}/{seed}"),) if made else ()
        return group if self._level_fits(group) else ()

    def _level_fits(self, group: Group) -> bool:
        return bool(group) and self._wanted.level in (None, group[0].level)


def _fitting(book: Rulebook, wanted: Wanted) -> Iterator[Rule]:
    """The rules that fit what is wanted.

    Raises:
        InputProblem: there is no such stage, subject or rule.
    """
    if wanted.rule and wanted.rule not in book.rule_by_id:
        raise InputProblem(
            f"rule {wanted.rule!r}", nearest(wanted.rule, book.rule_by_id), field="--rule"
        )
    if wanted.stage and wanted.stage not in STAGES:
        raise InputProblem(
            f"stage {wanted.stage!r}", nearest(wanted.stage, STAGES), field="--stage"
        )
    text = wanted.subject.casefold()
    subjects = {rule.subject for rule in book.rules}
    if text and not any(text in subject.casefold() for subject in subjects):
        raise InputProblem(
            f"subject {wanted.subject!r}", nearest(wanted.subject, subjects), field="--subject"
        )
    found = [
        rule
        for rule in book.rules
        if wanted.rule in ("", rule.id)
        and wanted.stage in ("", STAGES[rule.stage])
        and text in rule.subject.casefold()
    ]
    if not found:
        raise InputProblem("no rule that fits all of it", "a stage and a subject that meet")
    yield from found
