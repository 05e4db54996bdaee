"""Spaced repetition: a rule that was missed comes back soon, one that was known comes back late."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date, timedelta

from advisor.light_dataclass import dataclass

DAYS = (0, 1, 3, 7, 16, 35, 70)
"""Days until a rule comes back, by the box it lies in."""


@dataclass(frozen=True)
class Card:
    """How well a person knows a rule.

    Attributes:
        rule: id of the rule.
        box: how often it was known in a row; 0 after a miss.
        due: the day on which it comes back.
        right: how often it was known.
        missed: how often it was missed.
    """

    rule: str
    box: int
    due: date
    right: int
    missed: int


def reviewed(
    cards: Mapping[str, Card],
    made_for: str,
    right: Collection[str],
    missed: Iterable[str],
    today: date,
) -> list[Card]:
    """The cards that change with an exercise.

    A miss puts a rule into the first box, whatever else was right. A rule moves up where it was
    known, if it was missed before or is the one that the exercise was made for.

    >>> today = date(2026, 3, 2)
    >>> [card] = reviewed({}, "a", ["a", "b"], [], today)
    >>> card.box, str(card.due), card.right
    (1, '2026-03-03', 1)
    >>> [card] = reviewed({"a": card}, "a", [], ["a"], today)
    >>> card.box, str(card.due), card.missed
    (0, '2026-03-02', 1)
    """
    failed = list(dict.fromkeys(missed))
    known = [rule for rule in dict.fromkeys(right) if rule in cards or rule == made_for]
    changed = [_moved(cards.get(rule), rule, today, missed=True) for rule in failed]
    changed += [
        _moved(cards.get(rule), rule, today, missed=False) for rule in known if rule not in failed
    ]
    return changed


def _moved(card: Card | None, rule: str, today: date, *, missed: bool) -> Card:
    old = card or Card(rule, 0, today, 0, 0)
    box = 0 if missed else min(old.box + 1, len(DAYS) - 1)
    due = today + timedelta(days=DAYS[box])
    return Card(rule, box, due, old.right + (not missed), old.missed + missed)
