"""An exercise with its answers worked out: what decisions are asked about and marked against."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from random import Random

from advisor.advice.advise import read_off
from advisor.advice.doubt import Pull, pulls
from advisor.advice.formulas import Given
from advisor.advice.model import Advice
from advisor.advice.phrases import Units
from advisor.advice.rulebook import Rulebook
from advisor.advice.seam import SeamDesign, design_seam
from advisor.advice.shop import Shop
from advisor.advice.thinking import Thinking, think
from advisor.advice.what_if import Aspect, WhatIf
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import Pin
from advisor.practice.exercise import Exercise
from advisor.practice.making.matters import what_hangs_on
from advisor.reasoning.values import word

GO_AHEAD = frozenset({"repair", "repair_with_approval"})


class Worked:
    """An exercise, thought through.

    Attributes:
        exercise: the exercise.
        thinking: the case thought through.
        advice: the advice.
        units: of the sentences.
    """

    def __init__(
        self, exercise: Exercise, book: Rulebook, units: Units = "si", *, judge_only: bool = False
    ) -> None:
        """Work an exercise out.

        Args:
            exercise: the exercise.
            book: rules and knowledge.
            units: of the sentences.
            judge_only: leave the engine out; for trying things, never for a person.

        Raises:
            ReasonersDisagree, EngineFault, RulesDisagree, NoAdvice: no advice may be given.
        """
        self.exercise = exercise
        self.units: Units = units
        self.thinking: Thinking = think(exercise.case, book, judge_only=judge_only)
        self.advice: Advice = read_off(self.thinking, units)
        self._trials: dict[str, Thinking] = {}

    @property
    def book(self) -> Rulebook:
        """The rule book."""
        return self.thinking.rulebook

    @property
    def goes_ahead(self) -> bool:
        """Whether the advice lets the work go ahead."""
        return self.advice.go_ahead

    @functools.cached_property
    def pulls(self) -> Mapping[str, Pull]:
        """What each open question can still change, most decisive first."""
        return pulls(self.thinking, words=False)

    @functools.cached_property
    def hangs(self) -> tuple[Aspect, ...]:
        """What hangs on the exercise's rule, the weightiest first."""
        return what_hangs_on(self.thinking, self.book.rule_by_id[self.exercise.rule])

    def random(self, what: str) -> Random:
        """Chance that falls alike whenever the same exercise is shown."""
        return Random(f"{self.exercise.key}/{what}")

    def silent(self, rule: str) -> bool:
        """Whether a rule certainly does not fire."""
        return self.thinking.truth_of(rule) == "false"

    def trial(self, method: str) -> Thinking:
        """The case with a method going ahead, so that its own sizes can be looked at."""
        if method == self.thinking.word("method"):
            return self.thinking
        if method not in self._trials:
            pinned = {"best_method": word(method), "method": word(method), "go_ahead": word("yes")}
            tried = WhatIf(self.thinking).think({}, pinned)
            self._trials[method] = tried or self.thinking
        return self._trials[method]

    def method_taken(self, taken: str) -> str:
        """The method whose sizes are asked: the apprentice's where it is left, or the advised."""
        standing = {one.method: one.standing for one in self.advice.methods}
        if standing.get(taken) in ("recommended", "possible"):
            return taken
        return self.advice.recommended or ""

    @functools.lru_cache(maxsize=64)  # noqa: B019  (lives as long as the exercise)
    def row_of(self, pin: Pin) -> SeamDesign | str:
        """A row of one size of pin along this crack, or why it cannot be laid."""
        thinking = self.thinking
        only = Shop("", "", (pin,), (), (), None, None, (), "")
        objects = {**thinking.objects, "shop": only}
        given = Given(thinking.case, thinking.values, objects, thinking.rulebook.knowledge)
        try:
            return design_seam(given)
        except OutOfRange as limit:
            return str(limit)
