"""The findings in words: what a planned value looks like, and what finding and outcome mean."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from advisor.advice.phrases import Units
from advisor.case.both_units import both_units
from advisor.case.quantities import Measure, format_measure
from advisor.case.units import DIMENSIONS
from advisor.review.model import Item, Outcome, Review, Severity, Shown
from advisor.review.plan import SEQUENCE_WORDS

_DIMENSION_OF_UNIT: Final = {dimension.unit: name for name, dimension in DIMENSIONS.items()}

OUTCOME_SAYS: Final[dict[Outcome, str]] = {
    "clear": "CLEAR: nothing in this plan speaks against the rules and formulas",
    "queries": "QUERIES: justify or change what is named below before the work begins",
    "stop": "STOP: do not work to this plan",
}
HEADINGS: Final[dict[Severity, str]] = {
    "stop": "Stop: somebody can be hurt, the part is lost, or law is broken",
    "query": "Queries: justify or change",
    "note": "Notes",
}
FOOTER: Final = (
    "A check looks at what a plan states and at what the case file says, and at nothing else. "
    "It replaces neither the eye of a competent person nor local codes and licensed practice."
)
_PARTS: Final = (
    "case", "verdict", "method", "pin", "keys", "inserts", "heat", "inspections",
    "test_pressure", "test_medium", "sequence", "overrides",
)  # fmt: skip
"""The parts of a plan in the order in which it is written."""


def in_units(review: Review, units: Units) -> Review:
    """The check with its sentences as a reader of these units wants them."""
    if units == "si":
        return review
    items = (
        replace(item, text=both_units(item.text), remedy=both_units(item.remedy))
        for item in review.items
    )
    return replace(review, items=tuple(items))


def shown(value: Shown, units: Units = "si") -> str:
    """A planned or advised value for people.

    >>> from advisor.advice.model import Quantity
    >>> shown(Quantity(value=8.0, unit="mm")), shown("braze_weld"), shown(None)
    ('8 mm', 'braze weld', '-')
    """
    if value is None:
        return "-"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _spoken(value)
    dimension = _DIMENSION_OF_UNIT.get(value.unit)
    if dimension is None or value.unit == "1":
        return f"{value.value:g}"
    return format_measure(Measure(value.value, value.value, dimension), units)


def _spoken(text: str) -> str:
    """Ids of the program as words; what the plan wrote stays as it is written."""
    words = text.split(" ")
    if all(word.islower() or word in ("→",) for word in words):
        known = set(SEQUENCE_WORDS)
        return " ".join(word if word in known else word.replace("_", " ") for word in words)
    return text


def finding_says(item: Item) -> str:
    """A finding as words."""
    return item.finding.replace("_", " ")


def in_order_of_plan(review: Review) -> tuple[Item, ...]:
    """The findings in the order in which a plan is written."""

    def place(item: Item) -> int:
        head = item.item.split(".")[0].split("[")[0]
        return _PARTS.index(head) if head in _PARTS else len(_PARTS)

    return tuple(sorted(review.items, key=place))


def counts(review: Review) -> str:
    """How many findings of each severity, in a line.

    Notes are counted without weighing.
    """
    numbers = (len(review.of(severity)) for severity in HEADINGS)
    stops, queries, notes = numbers
    return f"{stops} to stop for, {queries} to justify or change, {notes} noted"


def departed(item: Item) -> str:
    """The departure from a rule that turned a finding into a note."""
    if item.overridden is None:
        return ""
    one = item.overridden
    was = "a stop" if one.severity == "stop" else "a query"
    return f"DEPARTED FROM {item.rule} by {one.by}, otherwise {was}: {one.reason}"


def rests_on(item: Item) -> str:
    """What a finding rests on, with the sources."""
    rules = ", ".join(item.rules) or ("" if item.rule == "plan" else item.rule)
    sources = ", ".join(item.sources)
    return "; ".join(part for part in (rules, sources) if part)
