"""An exercise with its answers worked out: what decisions are asked about and marked against."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from random import Random

from advisor.advice.advise import NoAdvice
from advisor.advice.doubt.questions import Pull, pulls
from advisor.advice.doubt.what_if import WhatIf
from advisor.advice.formulas import Given
from advisor.advice.model import (
    AdvisedInspection,
    AdvisedStep,
    Approval,
    Caution,
    MethodStanding,
    Stitching,
)
from advisor.advice.phrases import Units
from advisor.advice.procedure import approvals, cautions, inspections, steps
from advisor.advice.ranking import REPLACE
from advisor.advice.rulebook import Rulebook
from advisor.advice.seam import SeamDesign, design_seam
from advisor.advice.shop import Shop
from advisor.advice.sizes import stitching
from advisor.advice.standings import method_standings, recommended
from advisor.advice.thinking import Thinking, think
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import Pin
from advisor.light_dataclass import dataclass
from advisor.practice.exercise import Exercise
from advisor.practice.making.matters import Hang, what_hangs_on
from advisor.reasoning.values import word

GO_AHEAD = frozenset({"repair", "repair_with_approval"})


@dataclass(frozen=True)
class Advised:
    """The parts of an advice that decisions are marked against."""

    verdict: str
    approvals: tuple[Approval, ...]
    recommended: str | None
    methods: tuple[MethodStanding, ...]
    stitching: Stitching | None
    steps: tuple[AdvisedStep, ...]
    inspections: tuple[AdvisedInspection, ...]
    cautions: tuple[Caution, ...]

    @property
    def go_ahead(self) -> bool:
        """Whether the verdict lets the work go ahead."""
        return self.verdict in GO_AHEAD


def _advised(thinking: Thinking, units: Units) -> Advised:
    """Read off what is marked, and leave out margins and questions, which take longest.

    Raises:
        NoAdvice: the verdict goes ahead without a method.
    """
    verdict, method = thinking.word("verdict") or "investigate", recommended(thinking)
    if verdict in GO_AHEAD and method in (None, REPLACE):
        raise NoAdvice(f"verdict {verdict} without a method of repair")
    return Advised(
        verdict=verdict,
        approvals=approvals(thinking),
        recommended=method,
        methods=method_standings(thinking),
        stitching=stitching(thinking),
        steps=steps(thinking, units),
        inspections=inspections(thinking, units),
        cautions=cautions(thinking, units),
    )


class Worked:
    """An exercise, thought through.

    Attributes:
        exercise: the exercise.
        thinking: the case thought through.
        advice: what the advice says, as far as it is marked.
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
        self.advice = _advised(self.thinking, units)
        self._trials: dict[str, Thinking] = {}
        self._rows: dict[str, SeamDesign | str] = {}

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
    def hangs(self) -> tuple[Hang, ...]:
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

    def row_of(self, pin: Pin) -> SeamDesign | str:
        """A row of one size of pin along this crack, or why it cannot be laid."""
        if pin.thread not in self._rows:
            self._rows[pin.thread] = self._lay(pin)
        return self._rows[pin.thread]

    def _lay(self, pin: Pin) -> SeamDesign | str:
        thinking = self.thinking
        only = Shop("", "", (pin,), (), (), None, None, (), "")
        objects = {**thinking.objects, "shop": only}
        given = Given(thinking.case, thinking.values, objects, thinking.rulebook.knowledge)
        try:
            return design_seam(given)
        except OutOfRange as limit:
            return str(limit)
