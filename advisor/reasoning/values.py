"""What is known of one fact: certain, ranged, or open.

A value never says more than is known. A word fact holds the set of words that it can still be, a
set fact holds its certain and its possible members, a number holds a closed interval. All three
answer a test twice: is it *certainly* so, and is it *possibly* so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

RESOLUTION_DIGITS = 4
"""Numbers meet limits at a resolution of 0.0001 of their unit, alike in both reasoners."""

LARGEST = 1e12
"""Largest magnitude of a number that rules may compare, in its canonical unit."""


def comparable(number: float) -> float:
    """Round a number to the resolution at which it meets limits.

    Raises:
        ValueError: for NaN and for magnitudes above ``LARGEST``.

    >>> comparable(8.00004)
    8.0
    """
    if math.isnan(number):
        raise ValueError("not a number")
    if math.isinf(number):
        return number
    if abs(number) > LARGEST:
        raise ValueError(f"{number:g} is larger than any fact may be")
    return round(number, RESOLUTION_DIGITS) + 0.0


@dataclass(frozen=True, slots=True)
class Word:
    """One word out of a closed list: the words that it can still be."""

    possible: frozenset[str]
    known: bool

    @property
    def word(self) -> str | None:
        """The word, if only one is left."""
        return next(iter(self.possible)) if len(self.possible) == 1 else None


@dataclass(frozen=True, slots=True)
class Members:
    """Several words out of a closed list: certain members, and possible ones."""

    certain: frozenset[str]
    possible: frozenset[str]
    known: bool


@dataclass(frozen=True, slots=True)
class Number:
    """A closed interval in the canonical unit of the fact."""

    low: float
    high: float
    known: bool

    @property
    def exact(self) -> bool:
        """Whether both ends are the same number."""
        return self.low == self.high


Value = Word | Members | Number


def word(name: str) -> Word:
    """A word that is certain."""
    return Word(frozenset((name,)), known=True)


def members(*names: str) -> Members:
    """A set of words that is certain and complete."""
    return Members(frozenset(names), frozenset(names), known=True)


def number(low: float, high: float | None = None) -> Number:
    """A known number or interval; the ends keep their full precision."""
    top = low if high is None else high
    if comparable(low) > comparable(top):
        raise ValueError(f"range runs backwards: {low} to {top}")
    return Number(low, top, known=True)


def open_word(choices: tuple[str, ...]) -> Word:
    """A word fact of which nothing is known."""
    return Word(frozenset(choices), known=False)


def open_members(choices: tuple[str, ...]) -> Members:
    """A set fact of which nothing is known."""
    return Members(frozenset(), frozenset(choices), known=False)


OPEN_NUMBER = Number(-math.inf, math.inf, known=False)
"""A number of which nothing is known."""
