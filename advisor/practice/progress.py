"""Progress in tables: by rule, by subject, and as CSV for whoever teaches."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import fields

from advisor.light_dataclass import dataclass
from advisor.practice.store import Row

_RUNS_IN_A_SPREADSHEET = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Tally:
    """What the decisions under one heading came to.

    Attributes:
        name: the heading.
        decisions: how many.
        right: how many were right.
        dangerous: how many were dangerous.
        points: points earned.
        out_of: points to be had.
    """

    name: str
    decisions: int
    right: int
    dangerous: int
    points: float
    out_of: float


def by_subject(rows: Iterable[Row]) -> list[Tally]:
    """Decisions by the subject of the exercise, the weakest first."""
    return _tallied((row.subject, row) for row in rows)


def by_decision(rows: Iterable[Row]) -> list[Tally]:
    """Decisions by their kind, the weakest first."""
    return _tallied((row.decision, row) for row in rows)


def by_rule(rows: Iterable[Row]) -> list[Tally]:
    """Decisions by the rule they rest on first, the weakest first."""
    return _tallied((row.rules.split()[0], row) for row in rows if row.rules)


def _tallied(pairs: Iterable[tuple[str, Row]]) -> list[Tally]:
    groups: dict[str, list[Row]] = {}
    for name, row in pairs:
        groups.setdefault(name, []).append(row)
    found = [
        Tally(
            name,
            len(rows),
            sum(row.standing == "right" for row in rows),
            sum(row.standing == "dangerous" for row in rows),
            sum(row.points for row in rows),
            sum(row.out_of for row in rows),
        )
        for name, rows in groups.items()
    ]
    return sorted(found, key=lambda one: (one.points / one.out_of if one.out_of else 1, one.name))


def to_csv(rows: Iterable[Row]) -> str:
    """A table with one decision a line; nothing in it runs when a spreadsheet opens it."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([field.name for field in fields(Row)])
    for row in rows:
        writer.writerow([_harmless(getattr(row, field.name)) for field in fields(Row)])
    return text.getvalue()


def _harmless(cell: object) -> object:
    """A text that a spreadsheet would take for a formula is quoted.

    >>> _harmless("=1+1"), _harmless(-3.5)
    ("'=1+1", -3.5)
    """
    runs = isinstance(cell, str) and cell.startswith(_RUNS_IN_A_SPREADSHEET)
    return f"'{cell}" if runs else cell
