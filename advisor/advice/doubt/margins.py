"""At what value of a measured answer a decision flips, and to what.

A limit of a rule is tried on both sides of it; between limits, where formulas stand between the
answer and the decision, the value is closed in by halving. Every margin is what two runs of the
judge really gave, just below it and just above.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from advisor.advice.doubt.possible_answers import bounds, limits_of
from advisor.advice.doubt.search import CLOSE, shortest_between
from advisor.advice.doubt.spread import WALL, wall_lies_in
from advisor.advice.doubt.turned import rule_that_turned
from advisor.advice.doubt.turning import what_changes
from advisor.advice.doubt.what_if import STEPPED, Outlook, WhatIf, undisturbed
from advisor.advice.model import Margin, Quantity
from advisor.advice.phrases import Units, quantity
from advisor.advice.thinking import Thinking
from advisor.case.model import Hole, Value
from advisor.case.quantities import Measure
from advisor.case.units import COUNTED, DIMENSIONS
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import evaluate
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import RESOLUTION_DIGITS, number

_STEP = 10.0**-RESOLUTION_DIGITS
_LADDER = (1.12, 1.5, 2.2)
"""How far an answer is moved step by step where formulas follow it, as factors."""
_FOLLOWED = frozenset(
    {"wall_thickness", "crack_length", "pressure", "span", "nominal_stress", "nearest_edge"}
)
"""Answers that are followed through formulas; of the others only the limits of rules are tried."""

Direction = Literal["below", "above"]


def margins(thinking: Thinking, units: Units = "si") -> tuple[Margin, ...]:
    """For each measured answer, the nearest value below and above at which a decision flips."""
    if _said_by_words(thinking, "verdict", {"refer"}):
        return ()
    what_if = WhatIf(thinking)
    with undisturbed():
        found = [margin for mover in _movers(what_if) for margin in _both_ways(mover, units)]
    return tuple(sorted(found, key=_closeness))


def _said_by_words(thinking: Thinking, decision: str, values: Collection[str]) -> bool:
    """Whether a decision comes to one of these values for certain, and no number has to do with it.

    Claims on a decision add up to the strictest, so one that reads words alone stands whatever the
    numbers are.
    """
    return any(
        claim.certain
        and claim.value in values
        and all(_is_of_words(thinking, fact) for fact in claim.rule.reads)
        for claim in thinking.claims.get(decision, ())
    )


def _is_of_words(thinking: Thinking, fact: str) -> bool:
    origin = thinking.facts[fact].origin
    if thinking.rulebook.vocabulary[fact].type == "number" or origin in ("formula", "nothing"):
        return False
    said = thinking.word(fact)
    return origin != "rule" or (said is not None and _said_by_words(thinking, fact, {said}))


def _movers(what_if: WhatIf) -> Iterator[_Mover]:
    """One for each measured answer, and for the distance of each hole."""
    thinking = what_if.thinking
    sizes_matter = not _said_by_words(thinking, "verdict", {"replace"})
    readers: dict[str, list[Rule]] = defaultdict(list)
    for rule in thinking.rulebook.rules:
        for fact in rule.reads:
            readers[fact].append(rule)
    for question in thinking.rulebook.questionnaire:
        answer = thinking.case.value(question.id)
        if isinstance(answer, Measure) and question.id in thinking.rulebook.vocabulary:
            moved = _Answer(question.id)
            yield _Mover(what_if, moved, answer, readers[question.id], sizes_matter)
    holes = thinking.case.value("holes")
    for index, hole in enumerate(holes if isinstance(holes, tuple) else ()):
        if isinstance(hole, Hole) and isinstance(hole.distance, Measure):
            moved = _Answer("holes", index)
            yield _Mover(what_if, moved, hole.distance, readers["holes"], sizes_matter)


@dataclass(frozen=True)
class _Answer:
    """Which measured answer is moved: a question's own, or the distance of a hole."""

    question: str
    hole: int | None = None

    @property
    def name(self) -> str:
        """Its name in the advice; holes are counted from 1."""
        if self.hole is None:
            return self.question
        return f"holes[{self.hole + 1}].distance"

    def moved(self, thinking: Thinking, value: Measure) -> Mapping[str, Value]:
        """The change of answers that moves it to a value."""
        if self.hole is None:
            return {self.question: value}
        holes = thinking.case.value("holes")
        assert isinstance(holes, tuple)
        changed = [
            replace(hole, distance=value) if index == self.hole else hole
            for index, hole in enumerate(holes)
            if isinstance(hole, Hole)
        ]
        return {"holes": tuple(changed)}


def _both_ways(mover: _Mover, units: Units) -> Iterator[Margin]:
    directions: tuple[Direction, Direction] = ("below", "above")
    for direction in directions:
        flip = mover.flip(direction)
        if flip is not None:
            yield _margin(mover, direction, flip, units)


@dataclass(frozen=True)
class Flip:
    """Where a decision flips: the value, and what the advice comes to on either side."""

    value: float
    near: Outlook
    far: Outlook


class _Mover:
    """Moves one measured answer, and sees what the advice comes to."""

    def __init__(
        self,
        what_if: WhatIf,
        moved: _Answer,
        answer: Measure,
        readers: Sequence[Rule],
        sizes_matter: bool,
    ) -> None:
        self.thinking = what_if.thinking
        self.moved = moved
        self.answer = answer
        self._what_if = what_if
        self._whole = answer.dimension in COUNTED
        self._seen: dict[float, Outlook | None] = {}
        self._readers = readers
        self._by_formula = sizes_matter and (
            moved.hole is not None
            or (
                moved.question in _FOLLOWED
                and any(moved.question in o.seen.names for o in self.thinking.outcomes.values())
            )
        )

    def at(self, value: float) -> Outlook | None:
        """What the advice comes to with this answer, measured exactly so."""
        if value not in self._seen:
            measure = Measure(value, value, self.answer.dimension)
            if measure == self.answer:
                self._seen[value] = Outlook(self.thinking)
            else:
                self._seen[value] = self._what_if.outlook(self.moved.moved(self.thinking, measure))
        return self._seen[value]

    @property
    def _limits(self) -> tuple[float, ...]:
        return (0.0,) if self.moved.hole is not None else limits_of(self.thinking, self.moved.name)

    def flip(self, direction: Direction) -> Flip | None:
        """The nearest value in one direction at which a decision flips."""
        near = start = self.answer.middle
        for point in self._points(direction):
            if self._by_formula or self._rules_turn(near, point):
                here, outlook = self.at(start), self.at(point)
                if here is None or outlook is None:
                    return None
                if _decided(outlook) != _decided(here):
                    beside = self.at(near)
                    as_here = beside is not None and _decided(beside) == _decided(here)
                    return self._close_in(here, near, point) if as_here else None
            near = point
        return None

    def _rules_turn(self, near: float, far: float) -> bool:
        """Whether a rule that reads the answer is another at two values."""
        facts = dict(self.thinking.values)
        was, now = ({**facts, self.moved.name: number(value)} for value in (near, far))
        return any(evaluate(r.when, was) != evaluate(r.when, now) for r in self._readers)

    def _points(self, direction: Direction) -> list[float]:
        """Values to try, going outward: each limit, just beyond it, and a ladder between."""
        start, step = self.answer.middle, 1.0 if self._whole else _STEP
        sign = 1 if direction == "above" else -1
        least, most = bounds(self.thinking, self.moved.question, self.answer.dimension)
        points = {limit + sign * step for limit in self._limits}
        if self._by_formula and not self._whole:
            ladder = [start * factor**sign for factor in _LADDER]
            points = {p for p in points if abs(p - start) <= abs(ladder[-1] - start)} | {*ladder}
        else:
            points |= {*self._limits}
        beyond = [p for p in points if least <= p <= most and (p - start) * sign > 0]
        return sorted(beyond, key=lambda point: abs(point - start))

    def _close_in(self, here: Outlook, near: float, far: float) -> Flip | None:
        """Close in on a flip between two values; rules turn just at a limit or beside it."""
        if self._by_formula and not self._whole and abs(far - near) > 1.5 * _STEP:
            beyond = self.at(far)
            assert beyond is not None
            key = _early if _early(beyond) != _early(here) else _decided

            def as_here(value: float) -> bool:
                outlook = self.at(value)
                return outlook is not None and key(outlook) == key(here)

            near, far = self._at_limits(as_here, near, far)
            while abs(far - near) > max(CLOSE * abs(far), 1.5 * _STEP):
                middle = (near + far) / 2
                near, far = (middle, far) if as_here(middle) else (near, middle)
        beside, beyond = self.at(near), self.at(far)
        if beside is None or beyond is None:
            return None
        whole = self._what_if.whole
        return Flip(self._written(near, far), whole(beside), whole(beyond))

    def _at_limits(
        self, as_here: Callable[[float], bool], near: float, far: float
    ) -> tuple[float, float]:
        """A narrower stretch that holds the flip, cut off at the limits of rules inside it."""
        side = math.copysign(_STEP, far - near)
        for limit in sorted(self._limits, key=lambda limit: abs(limit - near)):
            if min(near, far) < limit < max(near, far):
                if not as_here(limit):
                    before = limit - side
                    return (before, limit) if as_here(before) else (near, before)
                near = limit
        return near, far

    def _written(self, near: float, far: float) -> float:
        """The flip as a number: the limit that lies there, else one with few digits."""
        low, high = min(near, far), max(near, far)
        if self._whole:
            return far
        on_limit = [limit for limit in self._limits if low <= limit <= high]
        return on_limit[0] if on_limit else shortest_between(low, high)


def _early(outlook: Outlook) -> tuple[object, ...]:
    """What stands as soon as the verdict does."""
    return (*outlook.decision, outlook.pin)


def _decided(outlook: Outlook) -> tuple[object, ...]:
    """What a margin is about: not every millimetre of spacing, but what changes in jumps."""
    if not outlook.goes_ahead:
        return _early(outlook)
    sizes = frozenset(
        (name, value)
        for name, value in outlook.sizes
        if name in STEPPED or name.startswith("insert")
    )
    return (*_early(outlook), outlook.approvals, outlook.inspections, sizes)


# --- in words -----------------------------------------------------------------------------------


def _margin(mover: _Mover, direction: Direction, flip: Flip, units: Units) -> Margin:
    thinking, answer = mover.thinking, mover.answer
    unit = DIMENSIONS[answer.dimension].unit
    low, high = answer.low, answer.high
    if mover.moved.question == WALL:
        low, high = wall_lies_in(thinking, answer)
    return Margin(
        fact=mover.moved.name,
        value=Quantity(
            value=round(answer.middle, 4),
            unit=unit,
            low=None if answer.exact else round(answer.low, 4),
            high=None if answer.exact else round(answer.high, 4),
        ),
        flips_at=quantity(flip.value, unit),
        direction=direction,
        changes=what_changes(flip.near, flip.far, units),
        rule=rule_that_turned(flip.near, flip.far, mover.moved.question),
        inside_uncertainty=low < high and low <= flip.value <= high,
    )


def _closeness(margin: Margin) -> tuple[bool, float, str]:
    scale = max(abs(margin.value.value), abs(margin.flips_at.value), math.ulp(1.0))
    distance = abs(margin.flips_at.value - margin.value.value) / scale
    return (not margin.inside_uncertainty, distance, margin.fact)
