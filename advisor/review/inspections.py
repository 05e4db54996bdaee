"""The inspections as planned, against those that the rules ask of this plan.

A plan names time and method only, so one entry stands for all inspections of that time and method.
What a missing one costs follows from what it guards: ends of the crack, metal, wall, pressure and
gas can lose the part or hurt somebody; a measurement or a paper can be caught up with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.library import Inspection
from advisor.light_dataclass import dataclass
from advisor.review.bench import (
    GOES_AHEAD,
    ON_THE_PLAN,
    Bench,
    Rests,
    Words,
    finding,
    listed,
    milder,
    plain,
)
from advisor.review.model import Item, Severity
from advisor.review.plan import PlannedInspection

_GUARDS = frozenset(
    {"penetrant", "magnetic_particle", "material", "pressure_test", "gas_test", "leak_test"}
)
"""Methods whose hold points, left out, lose the part or hurt somebody."""
_PAPER = frozenset({"visual", "record"})
_OWNER = "the owner"

Slot = tuple[str, str]


@dataclass(frozen=True)
class Asked:
    """One inspection that the rules ask for, and whether that is certain."""

    inspection: Inspection
    rules: tuple[str, ...]
    certain: bool

    @property
    def slot(self) -> Slot:
        """Time and method."""
        return self.inspection.when, self.inspection.method


def judge_inspections(bench: Bench) -> Iterator[Item]:
    """Every time and method that is asked for or planned."""
    if not _matters(bench):
        return
    asked = _asked(bench)
    slots = {one.slot: [other for other in asked if other.slot == one.slot] for one in asked}
    if bench.plan.inspections is None:
        if asked:
            yield _silent(bench, asked)
        return
    planned: dict[Slot, list[PlannedInspection]] = {}
    for one in bench.plan.inspections:
        planned.setdefault((one.when, one.method), []).append(one)
    for slot, wanted in slots.items():
        here = planned.get(slot, [])
        if here or _by_the_test(bench, slot):
            yield _present(bench, slot, wanted, here)
        else:
            yield _missing(bench, slot, wanted)
    for slot in planned:
        if slot not in slots:
            yield _extra(bench, slot)


def _matters(bench: Bench) -> bool:
    """Inspections are judged where work is planned, or where the plan lists some."""
    if bench.method == "replace_part":
        return False
    if bench.plan.inspections is not None:
        return True
    stated = bench.plan.verdict in GOES_AHEAD or bench.plan.verdict is None
    return bench.plan.plans_work and stated


def _asked(bench: Bench) -> list[Asked]:
    found = []
    for one in bench.book.inspections.values():
        claims = bench.asked_for("required_inspections", one.id)
        if claims:
            rules = tuple(dict.fromkeys(claim.rule.id for claim in claims))
            found.append(Asked(one, rules, any(claim.certain for claim in claims)))
    return found


def _by_the_test(bench: Bench, slot: Slot) -> bool:
    """A plan that states a test pressure plans the test, whether it lists it or not."""
    return slot == ("after", "pressure_test") and bench.plan.test_pressure is not None


def _name(slot: Slot) -> str:
    return f"inspections.{slot[0]}.{slot[1]}"


def _on(bench: Bench, wanted: list[Asked]) -> Rests:
    """Hold points first: the first rule is the one that is shown."""
    ordered = sorted(wanted, key=lambda one: (not one.inspection.hold_point, not one.certain))
    rests = bench.on_rules(rule for one in ordered for rule in one.rules)
    sources = (source for one in ordered for source in one.inspection.sources)
    return replace(rests, sources=tuple(dict.fromkeys((*rests.sources, *sources))))


def _what(bench: Bench, wanted: list[Asked]) -> str:
    ordered = sorted(wanted, key=lambda one: not one.inspection.hold_point)
    return bench.fill("; ".join(one.inspection.what for one in ordered))


def _advised(wanted: list[Asked]) -> str:
    return listed(one.inspection.id for one in wanted)


# --- findings -----------------------------------------------------------------------------------


def _silent(bench: Bench, asked: list[Asked]) -> Item:
    holds = [one for one in asked if one.inspection.hold_point]
    text = f"The plan says nothing of inspections; {len(asked)} are asked for."
    if holds:
        names = (f"{plain(method)} {when}" for when, method in dict.fromkeys(o.slot for o in holds))
        text += f" Hold points are: {listed(names)}."
    words = Words(None, len(asked), "List what is inspected, when, and by what method.")
    return finding("inspections", "missing", "query", _on(bench, holds or asked), text, words)


def _present(bench: Bench, slot: Slot, wanted: list[Asked], here: list[PlannedInspection]) -> Item:
    rests = _on(bench, wanted)
    words = Words(f"{slot[1]} {slot[0]}", _advised(wanted))
    holds = [one for one in wanted if one.inspection.hold_point]
    waived = here and all(one.hold_point is False for one in here)
    if holds and waived:
        text = f"The plan does not hold the work at {plain(slot[1])} {slot[0]}. It guards: "
        text += f"{_what(bench, holds)}."
        words = replace(words, remedy="Make it a hold point: nobody goes on before it is signed.")
        severity = _severity(bench, wanted)
        return finding(_name(slot), "falls_short", severity, _on(bench, holds), text, words)
    text = f"Asked for as well: {plain(_advised(wanted))}."
    if len(wanted) > max(len(here), 1):
        text = f"One entry stands for {len(wanted)} inspections: {plain(_advised(wanted))}."
    return finding(_name(slot), "agrees", "note", rests, text, words)


def _severity(bench: Bench, wanted: list[Asked]) -> Severity:
    return min((_weight(bench, one) for one in wanted), key=("stop", "query", "note").index)


def _weight(bench: Bench, one: Asked) -> Severity:
    """What it costs to leave one inspection out."""
    inspection = one.inspection
    severity: Severity = "query"
    if inspection.hold_point:
        wall = inspection.method == "ultrasonic" and inspection.when == "before"
        depth = inspection.method == "ultrasonic" and bench.safety_part
        if inspection.method in _GUARDS or wall or depth:
            severity = "stop"
    elif inspection.method in _PAPER or inspection.who == _OWNER:
        severity = "note"
    return severity if one.certain else milder(severity)


def _missing(bench: Bench, slot: Slot, wanted: list[Asked]) -> Item:
    rests, severity = _on(bench, wanted), _severity(bench, wanted)
    hold = any(one.inspection.hold_point for one in wanted)
    text = f"{plain(slot[1]).capitalize()} {slot[0]} the work is missing"
    text += (
        f"{', a hold point' if hold else ''}: {_what(bench, wanted)}. {bench.because(rests.rule)}"
    )
    if not any(one.certain for one in wanted):
        text += " (Asked for because an answer of the case is missing.)"
    words = Words(None, _advised(wanted), f"Plan it: when {slot[0]}, method {slot[1]}.")
    return finding(_name(slot), "missing", severity, rests, text, words)


def _extra(bench: Bench, slot: Slot) -> Item:
    text = f"No rule asks for {plain(slot[1])} {slot[0]} the work here; it does no harm."
    if slot[1] == "magnetic_particle" and bench.trial.word("magnetic") in ("no", "weak"):
        text = "Powder shows nothing on a metal that no magnet holds: a clean test means nothing."
        words = Words(f"{slot[1]} {slot[0]}", None, "Use penetrant.")
        rests = bench.on_fact("magnetic")
        return finding(_name(slot), "contradicts", "query", rests, text, words)
    words = Words(f"{slot[1]} {slot[0]}", None)
    return finding(_name(slot), "stronger", "note", ON_THE_PLAN, text, words)
