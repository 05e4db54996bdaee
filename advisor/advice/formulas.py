"""Formulas as the pipeline sees them: what goes in, what comes out, in which stage, by whom.

The arithmetic itself lives in ``advisor.engineering``; a formula here only fetches facts, calls
it, and gives the results back as facts with the equation and the numbers put in. A missing input
leaves the results unknown, which turns into a question, not a crash.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, replace
from typing import TypeVar

from advisor.advice.shop import Shop
from advisor.case.model import Case
from advisor.engineering.limits import OutOfRange
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import ALWAYS, Condition, evaluate
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.tables import Cell, Knowledge
from advisor.reasoning.values import Members, Number, Value, Word, number, word


class Missing(Exception):
    """A formula met a fact that is not known; its results stay unknown."""

    def __init__(self, fact: str) -> None:
        self.fact = fact
        super().__init__(f"{fact} is not known")


class Undecided(Exception):
    """A result that goes one way at one end of what is known, and the other way at the other."""


@dataclass
class Given:
    """The facts a formula may read, and a record of those it did read."""

    case: Case
    facts: Mapping[str, Value]
    objects: Mapping[str, object]
    knowledge: Knowledge
    read: set[str] = field(default_factory=set)
    favourable: bool = False

    def known(self, fact: str) -> bool:
        """Whether a fact is known."""
        self.read.add(fact)
        return self.facts[fact].known

    def word(self, fact: str) -> str:
        """A word fact that must be known."""
        self.read.add(fact)
        value = self.facts[fact]
        if not isinstance(value, Word) or value.word is None:
            raise Missing(fact)
        return value.word

    def word_or(self, fact: str, otherwise: str) -> str:
        """A word fact, or something else where it is not known."""
        try:
            return self.word(fact)
        except Missing:
            return otherwise

    def members(self, fact: str) -> frozenset[str]:
        """The certain members of a set fact."""
        self.read.add(fact)
        value = self.facts[fact]
        if not isinstance(value, Members) or not value.known:
            raise Missing(fact)
        return value.certain

    def interval(self, fact: str) -> Number:
        """A number that must be known, as its interval."""
        self.read.add(fact)
        value = self.facts[fact]
        if not isinstance(value, Number) or not value.known:
            raise Missing(fact)
        return value

    def low(self, fact: str) -> float:
        """The low end of a number, where small is the safe side."""
        found = self.interval(fact)
        return found.high if self.favourable else found.low

    def high(self, fact: str) -> float:
        """The high end of a number, where large is the safe side."""
        found = self.interval(fact)
        return found.low if self.favourable else found.high

    def hopeful(self) -> Given:
        """The same facts read at their favourable ends: what could be at best."""
        return replace(self, favourable=True)

    @property
    def shop(self) -> Shop | None:
        """The shop's own means, where it has a shop file."""
        found = self.objects.get("shop")
        return found if isinstance(found, Shop) else None

    def cell(self, table: str, row: str, column: str) -> Cell | None:
        """A cell of a knowledge table."""
        return self.knowledge.cell(table, row, column)

    def table_number(self, table: str, row: str, column: str) -> float:
        """A number of a knowledge table; of a band, its low end."""
        cell = self.cell(table, row, column)
        if cell is None:
            raise Missing(f"{table} {row} {column}")
        found = cell.value if cell.value is not None else cell.low
        if not isinstance(found, int | float):
            raise Missing(f"{table} {row} {column}")
        return float(found)


@dataclass(frozen=True)
class Made:
    """What a formula made.

    Attributes:
        values: results by fact name.
        working: the equation with the numbers put in, for people.
        objects: results that are more than a number or a word, by name.
        sources: sources found on the way, beyond those of the formula.
        notes: what to say beside the result.
        assumed: what was taken for granted, each with the question that would settle it.
    """

    values: Mapping[str, Value]
    working: str = ""
    objects: Mapping[str, object] = field(default_factory=dict)
    sources: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()


@dataclass(frozen=True)
class Assumed:
    """Something a formula took for granted, and the question that would settle it."""

    text: str
    question: str | None


@dataclass(frozen=True)
class Formula:
    """A registered formula.

    Attributes:
        id: its name.
        stage: the stage whose facts it makes.
        outputs: names of the facts it makes.
        equation: the equation, for people.
        sources: where the equation comes from.
        compute: reads facts, gives results; raises ``Missing`` or ``OutOfRange``.
        late: runs after the rules of its stage.
        when: runs only where this certainly holds; elsewhere its facts stay unknown.
    """

    id: str
    stage: str
    outputs: tuple[str, ...]
    equation: str
    sources: tuple[SourceRef, ...]
    compute: Callable[[Given], Made]
    late: bool = False
    when: Condition = ALWAYS


@dataclass(frozen=True)
class Outcome:
    """How one formula came out for one case.

    Attributes:
        formula: the formula.
        made: what it made; None where an input was missing or a limit was met.
        read: names of the facts that it made its results from.
        missing: the fact that was missing.
        refused: the limit that was met.
        seen: everything that it looked at, so that it can be told whether it would come out alike.
    """

    formula: Formula
    made: Made | None
    read: frozenset[str]
    missing: str | None = None
    refused: str | None = None
    seen: Seen = field(default_factory=lambda: Seen({}, {}, {}))


@dataclass(frozen=True)
class Seen:
    """Facts, answers and objects that a formula looked at, as they stood."""

    facts: Mapping[str, object]
    answers: Mapping[str, object]
    objects: Mapping[str, object]

    @functools.cached_property
    def names(self) -> frozenset[str]:
        """Names of all of it."""
        return frozenset((*self.facts, *self.answers, *self.objects))

    def still(self, given: Given) -> bool:
        """Whether all of it stands as it stood, so that the formula would come out alike."""
        answers = given.case.answers
        return (
            self.facts.items() <= given.facts.items()
            and all(given.objects.get(name) is was for name, was in self.objects.items())
            and all(_same(answers.get(name), was) for name, was in self.answers.items())
        )


def _same(one: object, other: object) -> bool:
    return one is other or one == other


V = TypeVar("V")


class Watched(Mapping[str, V]):
    """A mapping that keeps what was looked at, also what was not there."""

    def __init__(self, entries: Mapping[str, V]) -> None:
        self._entries = entries
        self.seen: dict[str, object] = {}

    def __getitem__(self, name: str) -> V:
        self.seen[name] = self._entries.get(name)
        return self._entries[name]

    def __iter__(self) -> Iterator[str]:
        raise TypeError("a formula reads by name")

    def __len__(self) -> int:
        raise TypeError("a formula reads by name")


def run(formula: Formula, given: Given) -> Outcome:
    """Run a formula on a case; a missing input or a limit is an outcome, not an error."""
    facts, answers = Watched(given.facts), Watched(given.case.answers)
    objects = Watched(given.objects)
    case = replace(given.case, answers=answers)
    watched = Given(case, facts, objects, given.knowledge)
    made, missing, refused = _try(formula, watched)
    return Outcome(
        formula, made, frozenset(watched.read), missing, refused,
        Seen(facts.seen, answers.seen, objects.seen),
    )  # fmt: skip


def _try(formula: Formula, given: Given) -> tuple[Made | None, str | None, str | None]:
    """What the formula made, or what was missing, or the limit that it met."""
    if not evaluate(formula.when, given.facts).certain:
        return None, None, None
    try:
        return formula.compute(given), None, None
    except Missing as missing:
        return None, missing.fact, None
    except (OutOfRange, Undecided) as limit:
        return None, None, str(limit)


def over_corners(compute: Callable[..., float], *intervals: Number) -> Number:
    """The interval of a result over the corners of its inputs' intervals.

    Exact where the formula is monotone in each input between its ends, as all formulas used with
    it are.
    """
    ends = [(one.low, one.high) if not one.exact else (one.low,) for one in intervals]
    results = [compute(*corner) for corner in itertools.product(*ends)]
    return number(min(results), max(results))


def yes_no(answer: bool) -> Word:
    """A yes or no that is certain."""
    return word("yes" if answer else "no")


class FormulaRegistry:
    """All formulas, by stage in order of registration."""

    def __init__(self) -> None:
        self._formulas: dict[str, Formula] = {}

    def add(self, formula: Formula) -> Formula:
        """Register a formula.

        Raises:
            ValueError: a second formula of the same id, or for the same fact.
        """
        if formula.id in self._formulas:
            raise ValueError(f"formula {formula.id} is registered twice")
        taken = {name: one.id for one in self for name in one.outputs}
        for name in formula.outputs:
            if name in taken:
                raise ValueError(f"{taken[name]} makes {name} already")
        self._formulas[formula.id] = formula
        return formula

    def __iter__(self) -> itertools.chain[Formula]:
        return itertools.chain(self._formulas.values())

    def __getitem__(self, id_: str) -> Formula:
        return self._formulas[id_]

    def of_stage(self, stage: str, *, late: bool) -> tuple[Formula, ...]:
        """Formulas that run before (or, ``late``, after) the rules of a stage."""
        return tuple(f for f in self if f.stage == stage and f.late == late)
