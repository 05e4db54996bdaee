"""Hazards that apply to the job: those of the case, and those that its work brings."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.advice.model import Advice
from advisor.case.model import Case
from advisor.light_dataclass import dataclass
from advisor.reasoning.tables import Cell, Knowledge


@dataclass(frozen=True)
class Hazard:
    """A hazard with its rule, what to wear, and the law or standard in general."""

    id: str
    name: str
    rule: str
    protection: str
    reference: str
    stops_work: bool
    sources: tuple[str, ...]


def hazards(advice: Advice, case: Case, knowledge: Knowledge) -> tuple[Hazard, ...]:
    """Hazards of the job, those that stop the work first.

    Args:
        advice: its steps and inspections bring hazards.
        case: its answered hazards always apply.
        knowledge: holds `hazards` and `hazard_triggers`.
    """
    rows = knowledge.tables["hazards"].rows
    triggers = knowledge.tables["hazard_triggers"].rows
    found = [
        _hazard(id_, row)
        for id_, row in rows.items()
        if id_ in _answered(case) or _brought(triggers.get(id_, {}), advice)
    ]
    return tuple(sorted(found, key=lambda hazard: not hazard.stops_work))


def _answered(case: Case) -> frozenset[str]:
    value = case.value("hazards")
    return frozenset(str(one) for one in value) if isinstance(value, tuple) else frozenset()


def _brought(row: Mapping[str, Cell], advice: Advice) -> bool:
    steps = {step.id for step in advice.steps}
    methods = {inspection.method for inspection in advice.inspections}
    for column, work in (("steps", steps), ("inspections", methods)):
        value = row[column].value if column in row else ()
        if isinstance(value, tuple) and not work.isdisjoint(value):
            return True
    return False


def _hazard(id_: str, row: Mapping[str, Cell]) -> Hazard:
    def text(column: str) -> str:
        return str(row[column].value) if column in row else ""

    sources = [
        ref for column in ("rule", "reference") if column in row for ref in row[column].source
    ]
    return Hazard(
        id=id_,
        name=text("name"),
        rule=text("rule"),
        protection=text("ppe"),
        reference=text("reference"),
        stops_work=text("stops_work") == "yes",
        sources=tuple(dict.fromkeys(sources)),
    )
