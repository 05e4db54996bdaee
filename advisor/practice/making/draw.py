"""A case that is being drawn: its frame, its wishes, and the answers that it has so far."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from random import Random

from advisor.advice.rulebook import Rulebook
from advisor.case.model import UNKNOWN, Value
from advisor.case.quantities import Measure
from advisor.practice.making.frames import fits_members
from advisor.practice.making.hopes import Hope, hoped
from advisor.practice.making.plausible import BENCH, Span
from advisor.practice.making.wishes import Contradiction, Wish, Wishes
from advisor.reasoning.tables import Cell

Weights = Mapping[str, float]


class Draw:
    """One case that is being drawn."""

    def __init__(
        self, book: Rulebook, wishes: Wishes, random: Random, hopes: Sequence[Hope] = ()
    ) -> None:
        self.book = book
        self.random = random
        self.answers: dict[str, Value] = {}
        self.doubt = 1.0 if random.random() < 0.2 else 0.0
        self.frame, self.wishes = hoped(book, wishes, hopes, random)
        self.truth = self.frame.metal

    def wish(self, name: str) -> Wish:
        """What is wished of an answer."""
        return self.wishes.of(name)

    def chance(self, share: float) -> bool:
        """True in a share of all cases."""
        return self.random.random() < share

    def left_open(self, name: str) -> bool:
        """Whether a question stays open; then it is left out or answered as unknown."""
        if not self.wish(name).unanswered:
            return False
        if self.chance(0.6):
            self.answers[name] = UNKNOWN
        return True

    def pick(self, name: str, weights: Weights | Collection[str]) -> str:
        """One word; those of no weight only where they are wished for.

        Raises:
            Contradiction: no word fits.
        """
        if self.left_open(name):
            return ""
        wish = self.wish(name)
        given = weights if isinstance(weights, Mapping) else dict.fromkeys(weights, 1.0)
        fitting = {word: weight for word, weight in given.items() if wish.allows(word)}
        if not fitting:
            raise Contradiction
        if not any(fitting.values()):
            fitting = dict.fromkeys(fitting, 1.0)
        word = self.random.choices(list(fitting), list(fitting.values()))[0]
        self.answers[name] = word
        return word

    def measure(self, name: str, span: Span, step: float, dimension: str = "length") -> float:
        """A measured value on a sensible step.

        Raises:
            Contradiction: no value fits.
        """
        if self.left_open(name):
            return math.nan
        value = self.value(self.wish(name), span, step)
        self.answers[name] = Measure(value, value, dimension)
        return value

    def value(self, wish: Wish, span: Span, step: float) -> float:
        """A value inside a span and a wish, on a step where that can be.

        Raises:
            Contradiction: span and wish do not meet.
        """
        low, high = max(span[0], wish.low), min(span[1], wish.high)
        if low > high:
            raise Contradiction
        wanted = self.random.uniform(low, high)
        rounded = round(round(wanted / step) * step, 4)
        if low <= rounded <= high:
            return rounded + 0.0
        for digits in (1, 2, 3, 4):
            if low <= round(wanted, digits) <= high:
                return round(wanted, digits)
        raise Contradiction

    def members(
        self, name: str, chosen: Iterable[str], possible: Collection[str]
    ) -> frozenset[str]:
        """Several words: those chosen, changed by what is wished for.

        Raises:
            Contradiction: a wish that is not possible.
        """
        if self.left_open(name):
            return frozenset()
        wish = self.wish(name)
        members = {word for word in chosen if word not in wish.without}
        if not members and not wish.include:
            members = set(sorted(set(possible) - wish.without)[:1])
        for options in wish.include:
            if not members & options:
                fitting = sorted(options & set(possible) - wish.without)
                if not fitting:
                    raise Contradiction
                members.add(self.random.choice(fitting))
        for nothing in ("none", "sound"):
            if len(members) > 1:
                members.discard(nothing)
        if not members or not fits_members(wish, members):
            raise Contradiction
        order = self.book.questionnaire.by_id[name].choice_ids
        self.answers[name] = tuple(word for word in order if word in members)
        return frozenset(members)

    def yes_no(self, name: str, yes: float) -> str:
        """Yes in a share of all cases."""
        return self.pick(name, {"yes": yes, "no": 1 - yes})

    def signs(self, metal: str, test: str) -> tuple[str, ...]:
        """The answers of a test on the bench that fit a metal."""
        cell = self._cell(metal, BENCH[test])
        return cell.value if cell and isinstance(cell.value, tuple) else ()

    def _cell(self, metal: str, column: str) -> Cell | None:
        return self.book.knowledge.tables["materials"].rows[metal].get(column)

    def number(self, metal: str, column: str, otherwise: float) -> float:
        """A number of the table of metals."""
        cell = self._cell(metal, column)
        return float(cell.value) if cell and isinstance(cell.value, int | float) else otherwise

    def velocity(self, metal: str) -> Span | None:
        """Between which sound velocities a metal lies."""
        low = self.number(metal, "velocity_low", 0)
        return (low, self.number(metal, "velocity_high", low)) if low else None

    @property
    def gear(self) -> Collection[str]:
        """What the shop has."""
        gear = self.answers.get("processes", ())
        return gear if isinstance(gear, tuple) else ()  # type: ignore[return-value]

    def rarely(self, name: str, low: float, high: float) -> Span:
        """Nothing, unless more is wished for or the case is a doubtful one."""
        wish = self.wish(name)
        more = wish.low > 0 or (self.doubt and wish.high >= low and self.chance(0.3))
        return (min(low, max(wish.low, 0.01)), high) if more else (0, 0)

    def count(self, name: str, weights: Weights) -> int:
        """A whole number.

        Raises:
            Contradiction: none fits.
        """
        if self.left_open(name):
            return 0
        wish = self.wish(name)
        fitting = {n: w for n, w in weights.items() if wish.low <= int(n) <= wish.high}
        if not fitting:
            raise Contradiction
        if not any(fitting.values()):
            fitting = dict.fromkeys(fitting, 1.0)
        count = int(self.random.choices(list(fitting), list(fitting.values()))[0])
        self.answers[name] = Measure(float(count), float(count), "number")
        return count

    def low(self, name: str, otherwise: float) -> float:
        """A measured answer, or something else where there is none."""
        value = self.answers.get(name)
        return value.low if isinstance(value, Measure) else otherwise
