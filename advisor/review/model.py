"""What a check of a plan says: the document of ``check --json``, key by key."""

from __future__ import annotations

from typing import Any, Literal

from advisor.advice.model import Part, Quantity, RulebookRef
from advisor.light_dataclass import dataclass

SCHEMA = "crackwright.check/1"
"""Name and version of the form of this document."""

Finding = Literal["agrees", "stronger", "falls_short", "contradicts", "missing", "not_judged"]
Severity = Literal["stop", "query", "note"]
Outcome = Literal["clear", "queries", "stop"]
Basis = Literal["rule", "formula", "table", "plan"]
Shown = Quantity | int | str | None

SEVERITIES: tuple[Severity, ...] = ("stop", "query", "note")
"""The gravest first."""


@dataclass(frozen=True)
class Figure(Part):
    """One number that a finding rests on, and where it comes from."""

    name: str
    value: Quantity
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Overridden(Part):
    """Who departs from the rule of a finding, why, and how grave the finding was."""

    by: str
    reason: str
    severity: Severity


@dataclass(frozen=True)
class Item(Part):
    """One finding.

    Attributes:
        item: what of the plan it is about, as in ``pin.pitch`` or ``inserts[1].length``.
        finding: how the plan stands to what the rules and formulas ask.
        severity: stop (somebody can be hurt, the part is lost, or law is broken), query (justify
            or change), note.
        planned: what the plan states; null where it states nothing.
        advised: what the rules and formulas ask or the program would choose; null where nothing.
        rule: id of the rule, formula or table cell that the finding rests on; "plan" where the
            plan speaks against itself or is silent.
        basis: whether ``rule`` is a rule, a formula, a cell of a table, or the plan itself.
        rules: all rules that ask for it, where there are several.
        text: the finding in a sentence or two, with the numbers.
        remedy: what would put it right; empty where nothing has to be.
        figures: the numbers, with their sources.
        sources: keys of the source list.
        overridden: a senior's departure from the rule, where the plan states one.
    """

    item: str
    finding: Finding
    severity: Severity
    planned: Shown
    advised: Shown
    rule: str
    basis: Basis
    rules: tuple[str, ...]
    text: str
    remedy: str = ""
    figures: tuple[Figure, ...] = ()
    sources: tuple[str, ...] = ()
    overridden: Overridden | None = None


@dataclass(frozen=True)
class PlanRef(Part):
    """Which plan was checked."""

    reference: str
    by: str
    case: str
    notes: str


@dataclass(frozen=True)
class StatedOverride(Part):
    """A departure as the plan states it, and whether it may stand."""

    rule: str
    reason: str
    by: str
    accepted: bool
    why: str


@dataclass(frozen=True)
class Review(Part):
    """A whole check of one plan against one case."""

    plan: PlanRef
    case: str
    title: str
    rulebook: RulebookRef
    advised: dict[str, Any]
    items: tuple[Item, ...]
    overrides: tuple[StatedOverride, ...]
    outcome: Outcome

    def of(self, severity: Severity) -> tuple[Item, ...]:
        """The items of one severity, in order."""
        return tuple(item for item in self.items if item.severity == severity)

    def to_json(self) -> dict[str, Any]:
        """The document as plain data, in the order of its keys."""
        return {"schema": SCHEMA, **self.plain()}


def outcome_of(items: tuple[Item, ...]) -> Outcome:
    """What the gravest item makes of the plan."""
    severities = {item.severity for item in items}
    if "stop" in severities:
        return "stop"
    return "queries" if "query" in severities else "clear"
