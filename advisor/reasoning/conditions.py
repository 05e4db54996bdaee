"""Conditions: one tree, read by the engine, the judge, the prover and the plain-English printer.

A condition is a test of one fact, or a combination of conditions by all / any / not. Every
condition has two truths: whether it certainly holds, and whether it possibly holds, given what is
known. "Cannot tell" is the case in which it holds possibly but not certainly.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from typing import Literal

from advisor.reasoning.values import Members, Number, Value, Word, comparable

Operator = Literal["is", "one_of", "includes", "at_least", "at_most", "above", "below"]
COMPARISONS: tuple[Operator, ...] = ("at_least", "at_most", "above", "below")
Facts = Mapping[str, Value]


class Truth(Enum):
    """Three-valued truth of a condition."""

    TRUE = "true"
    FALSE = "false"
    UNKNOWN = "cannot tell"


@dataclass(frozen=True, slots=True)
class Holds:
    """Both truths of a condition: ``certain`` implies ``possible``."""

    certain: bool
    possible: bool

    @property
    def truth(self) -> Truth:
        """The three-valued reading."""
        if self.certain:
            return Truth.TRUE
        return Truth.UNKNOWN if self.possible else Truth.FALSE

    def negated(self) -> Holds:
        """Both truths of the opposite."""
        return _holds(certain=not self.possible, possible=not self.certain)


ALWAYS_HOLDS = Holds(certain=True, possible=True)
NEVER_HOLDS = Holds(certain=False, possible=False)
CANNOT_TELL = Holds(certain=False, possible=True)


def _holds(certain: bool, possible: bool) -> Holds:
    """One of the three there are; certain implies possible."""
    if certain:
        return ALWAYS_HOLDS
    return CANNOT_TELL if possible else NEVER_HOLDS


@dataclass(frozen=True, slots=True)
class Test:
    """One fact held against words or a limit.

    Attributes:
        fact: name of the fact.
        op: the comparison.
        words: for ``is`` (one), ``one_of`` and ``includes``.
        limit: for comparisons, in the fact's canonical unit.
        source: source keys of the limit where it comes from a table.
        written: the limit as written in the rule, for people.
    """

    fact: str
    op: Operator
    words: frozenset[str] = frozenset()
    limit: float = 0.0
    source: tuple[str, ...] = ()
    written: str = ""

    __test__ = False  # not a test class, whatever its name suggests to a collector

    def holds(self, value: Value) -> Holds:
        """Both truths of this test on a value."""
        if isinstance(value, Word):
            if len(value.possible) != 1:
                return CANNOT_TELL
            return ALWAYS_HOLDS if value.possible <= self.words else NEVER_HOLDS
        if isinstance(value, Members):
            return _holds(
                certain=not value.certain.isdisjoint(self.words),
                possible=not value.possible.isdisjoint(self.words),
            )
        return _compare(self.op, value, comparable(self.limit))


def _compare(op: Operator, value: Number, limit: float) -> Holds:
    low, high = comparable(value.low), comparable(value.high)
    if op == "at_least":
        return _holds(low >= limit, high >= limit)
    if op == "above":
        return _holds(low > limit, high > limit)
    if op == "at_most":
        return _holds(high <= limit, low <= limit)
    return _holds(high < limit, low < limit)


@dataclass(frozen=True, slots=True)
class Known:
    """Whether a fact is known at all; always certain one way or the other."""

    fact: str
    known: bool

    def holds(self, value: Value) -> Holds:
        """Both truths of this test on a value."""
        return ALWAYS_HOLDS if value.known == self.known else NEVER_HOLDS


@dataclass(frozen=True, slots=True)
class All:
    """Holds when every part holds; empty is always true."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Any:
    """Holds when one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """Holds when the part does not."""

    part: Condition


Leaf = Test | Known
Condition = Test | Known | All | Any | Not
ALWAYS = All(())


def evaluate(condition: Condition, facts: Facts) -> Holds:
    """Both truths of a condition over the facts.

    Raises:
        KeyError: if a fact that it comes to is not there; open facts are there, with an open value.
    """
    if isinstance(condition, All):
        return _all(condition.parts, facts)
    if isinstance(condition, Any):
        return _any(condition.parts, facts)
    if isinstance(condition, Not):
        return evaluate(condition.part, facts).negated()
    return condition.holds(facts[condition.fact])


def _all(parts: tuple[Condition, ...], facts: Facts) -> Holds:
    certain = True
    for part in parts:
        held = evaluate(part, facts)
        if not held.possible:
            return NEVER_HOLDS
        certain = certain and held.certain
    return ALWAYS_HOLDS if certain else CANNOT_TELL


def _any(parts: tuple[Condition, ...], facts: Facts) -> Holds:
    possible = False
    for part in parts:
        held = evaluate(part, facts)
        if held.certain:
            return ALWAYS_HOLDS
        possible = possible or held.possible
    return CANNOT_TELL if possible else NEVER_HOLDS


def leaves(condition: Condition) -> Iterator[Leaf]:
    """Every test in a condition, in reading order."""
    if isinstance(condition, Test | Known):
        yield condition
    elif isinstance(condition, Not):
        yield from leaves(condition.part)
    else:
        for part in condition.parts:
            yield from leaves(part)


def facts_read(condition: Condition) -> frozenset[str]:
    """Names of the facts that a condition reads."""
    return frozenset(leaf.fact for leaf in leaves(condition))


@dataclass(frozen=True, slots=True)
class Signed:
    """A test, or its opposite."""

    leaf: Leaf
    negated: bool

    def holds(self, value: Value) -> Holds:
        """Both truths of this literal on a value."""
        held = self.leaf.holds(value)
        return held.negated() if self.negated else held


def one_member_a_test(condition: Condition, sets: Collection[str]) -> Condition:
    """Split tests for one of several members, so that each test looks for one member.

    Args:
        condition: the condition.
        sets: names of the facts that hold members.
    """
    if isinstance(condition, Known):
        return condition
    if isinstance(condition, Test):
        if len(condition.words) < 2 or condition.fact not in sets:
            return condition
        words = sorted(condition.words)
        return Any(tuple(replace(condition, words=frozenset((word,))) for word in words))
    if isinstance(condition, Not):
        return Not(one_member_a_test(condition.part, sets))
    return type(condition)(tuple(one_member_a_test(part, sets) for part in condition.parts))


class TooManyCombinations(ValueError):
    """A condition that would unfold into more alternatives than is sensible."""


def alternatives(condition: Condition, limit: int = 64) -> tuple[tuple[Signed, ...], ...]:
    """Unfold a condition into alternatives, each a list of literals that must all hold.

    Raises:
        TooManyCombinations: beyond ``limit`` alternatives.
    """
    unfolded = _unfold(condition, negated=False, limit=limit)
    return tuple(tuple(dict.fromkeys(literals)) for literals in unfolded)


def _unfold(condition: Condition, *, negated: bool, limit: int) -> list[tuple[Signed, ...]]:
    if isinstance(condition, Test | Known):
        return [(Signed(condition, negated),)]
    if isinstance(condition, Not):
        return _unfold(condition.part, negated=not negated, limit=limit)
    branches = [_unfold(part, negated=negated, limit=limit) for part in condition.parts]
    conjunction = isinstance(condition, All) != negated
    if not conjunction:
        joined = [literals for branch in branches for literals in branch]
    else:
        joined = [()]
        for branch in branches:
            joined = [left + right for left in joined for right in branch]
            if len(joined) > limit:
                break
    if len(joined) > limit:
        raise TooManyCombinations(f"unfolds into more than {limit} alternatives")
    return joined
