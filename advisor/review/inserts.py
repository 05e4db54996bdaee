"""The inserts as planned: each put to the numbers in its own hole, and to the kind it has to be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from advisor.advice.hole_plan import HolePlan
from advisor.advice.model import Quantity
from advisor.advice.phrases import quantity
from advisor.engineering.insert_geometry import (
    KINDS,
    BoreLigament,
    InsertKind,
    last_pin,
    likely_kind,
    outside_of,
)
from advisor.engineering.inserts import InsertDesign, evaluate_insert
from advisor.engineering.limits import OutOfRange
from advisor.engineering.polyline import Point
from advisor.light_dataclass import dataclass
from advisor.review.bench import HAIR, Bench, Words, finding, length, plain
from advisor.review.model import Figure, Finding, Item, Severity
from advisor.review.pins import seam_layout
from advisor.review.plan import PlannedInsert

_FORMULA = "inserts"
_MILD_FAULTS = frozenset({"wall"})
"""Faults of the insert itself; all others let go, wedge, leak or break out."""


@dataclass(frozen=True)
class InHole:
    """One planned insert in its hole."""

    bench: Bench
    planned: PlannedInsert
    plan: HolePlan

    @property
    def name(self) -> str:
        """The item's name."""
        return f"inserts[{self.planned.hole}]"


def judge_inserts(bench: Bench) -> Iterator[Item]:
    """Every hole that needs an insert, and every insert that is planned."""
    if bench.method is None or bench.method == "replace_part":
        return
    found = bench.trial.objects.get("inserts")
    plans = [one for one in found if isinstance(one, HolePlan)] if isinstance(found, tuple) else []
    by_number = {one.number: one for one in plans}
    planned = bench.plan.inserts
    if planned is None:
        if bench.plan.plans_work:
            yield from _silent(bench, plans)
        return
    for insert in planned:
        plan = by_number.get(insert.hole)
        if plan is None:
            yield _not_judged(bench, insert)
        else:
            yield from _judge(InHole(bench, insert, plan))
    listed = {insert.hole for insert in planned}
    for plan in plans:
        if plan.need.needed and plan.number not in listed:
            yield _left_out(bench, plan)


def _silent(bench: Bench, plans: list[HolePlan]) -> Iterator[Item]:
    for plan in plans:
        if plan.need.needed:
            rests, why = bench.on_formula(_FORMULA), "; ".join(plan.need.reasons)
            text = f"Hole {plan.number} needs an insert: {why}. The plan says nothing of inserts."
            words = Words(None, _advised(plan), _remedy(plan))
            yield finding(f"inserts[{plan.number}]", "missing", "query", rests, text, words)


def _not_judged(bench: Bench, insert: PlannedInsert) -> Item:
    text = f"Hole {insert.hole} lacks an answer that its insert hangs on (thread, depth, distance)."
    words = Words(_shown(insert), None, "Measure the hole and write it in the case.")
    rests = bench.on_formula(_FORMULA)
    return finding(f"inserts[{insert.hole}]", "not_judged", "query", rests, text, words)


def _left_out(bench: Bench, plan: HolePlan) -> Item:
    """A hole that needs an insert and gets none."""
    weak = plan.need.strip_safety is not None and plan.need.strip_safety < 1.0
    severity: Severity = "stop" if plan.hole.crack_enters or weak else "query"
    text = f"Hole {plan.number} gets no insert: {'; '.join(plan.need.reasons)}."
    words = Words(None, _advised(plan), _remedy(plan))
    rests = bench.on_formula(_FORMULA)
    return finding(f"inserts[{plan.number}]", "missing", severity, rests, text, words)


def _advised(plan: HolePlan) -> str | None:
    design = plan.design
    return f"{design.outside_thread} x {design.length_mm:g} mm" if design else None


def _remedy(plan: HolePlan) -> str:
    if plan.design is None:
        return f"No insert fits: {plan.refused or 'see the case'}."
    return f"Fit a {plain(plan.design.kind)} {_advised(plan)}."


def _shown(insert: PlannedInsert) -> str | None:
    return insert.outside_thread.text if insert.outside_thread else None


# --- one insert ---------------------------------------------------------------------------------


def _judge(hole: InHole) -> Iterator[Item]:
    bench, planned, plan = hole.bench, hole.planned, hole.plan
    rests = bench.on_formula(_FORMULA)
    if not plan.need.needed:
        text = f"Hole {plan.number} needs no insert: {'; '.join(plan.need.reasons)}."
        text += " One takes metal out that could stay."
        yield finding(hole.name, "stronger", "note", rests, text, Words(_shown(planned), None))
    if planned.outside_thread is None or planned.length is None:
        what = "outside thread" if planned.outside_thread is None else "length"
        text = f"The plan names no {what} for hole {plan.number}, so the insert is not judged."
        words = Words(_shown(planned), _advised(plan), _remedy(plan))
        yield finding(
            f"{hole.name}.{what.replace(' ', '_')}", "missing", "query", rests, text, words
        )
        return
    kind = _kind(hole)
    try:
        design = evaluate_insert(
            plan.hole, kind, outside_of(planned.outside_thread.read), planned.length
        )
    except OutOfRange as limit:
        text = f"The insert in hole {plan.number} makes no sense: {limit}."
        words = Words(_shown(planned), _advised(plan), _remedy(plan))
        yield finding(hole.name, "falls_short", "stop", rests, text, words)
        return
    yield from _judge_numbers(hole, design)
    yield from _judge_kind(hole, design)
    yield _judge_length(hole, design)
    yield from _judge_ligament(hole, design)


def _kind(hole: InHole) -> InsertKind:
    """The kind that is stated, or that the advised insert of this thread has, or the likely one."""
    planned, plan = hole.planned, hole.plan
    stated = next((kind for kind in KINDS if kind == planned.kind), None)
    if stated is not None:
        return stated
    assert planned.outside_thread is not None
    outside = planned.outside_thread.read
    if plan.design is not None and _same(plan.design, planned):
        return plan.design.kind
    return likely_kind(outside, plan.hole.thread.diameter_mm)


def _same(design: InsertDesign, planned: PlannedInsert) -> bool:
    """Whether the planned outside thread is that of a design, however it is spelled."""
    assert planned.outside_thread is not None
    outside = planned.outside_thread.read
    own = outside_of(outside)
    return own.text == design.outside_thread or (
        abs(own.diameter_mm - design.outside_diameter_mm) < HAIR and own.minor_mm == design.bore_mm
    )


def _judge_numbers(hole: InHole, design: InsertDesign) -> Iterator[Item]:
    bench, plan = hole.bench, hole.plan
    rests, name = bench.on_formula(_FORMULA), f"{hole.name}.outside_thread"
    said = hole.planned.kind is not None
    words = Words(
        _shown(hole.planned),
        plan.design.outside_thread if plan.design else None,
        figures=_figures(hole, design),
    )
    for fault in design.faults:
        severity: Severity = "query" if fault.code in _MILD_FAULTS else "stop"
        text = f"Hole {plan.number}, {plain(design.kind)} {design.outside_thread}: {fault.text}."
        yield finding(
            name, "falls_short", severity, rests, text, replace(words, remedy=_remedy(plan))
        )
    if not design.faults:
        text = (
            f"Hole {plan.number}, {plain(design.kind)}{'' if said else ' (taken from its thread)'} "
            f"{design.outside_thread} of {bench.mm(design.length_mm)}: the casting strips at "
            f"{bench.say(round(design.loads.parent), 'force')}, {design.strip_safety:.2f} times "
            f"the rated load. {_compare(plan, design)}"
        )
        yield finding(name, "agrees", "note", rests, text.strip(), words)


def _figures(hole: InHole, design: InsertDesign) -> tuple[Figure, ...]:
    bench, loads = hole.bench, design.loads
    return (
        *bench.figure("strength of the wall", "wall_strength"),
        Figure(name="the casting's thread strips at", value=quantity(round(loads.parent), "N")),
        Figure(name="rated load of the bolt", value=quantity(round(loads.design), "N")),
        Figure(name="strip safety", value=quantity(round(design.strip_safety, 2), "1")),
    )


def _compare(plan: HolePlan, design: InsertDesign) -> str:
    other = plan.design
    if other is None or other.outside_diameter_mm == design.outside_diameter_mm:
        return ""
    if design.outside_diameter_mm > other.outside_diameter_mm:
        return f"It takes more metal out than {other.outside_thread} would."
    return f"It takes less metal out than {other.outside_thread} would."


def _judge_kind(hole: InHole, design: InsertDesign) -> Iterator[Item]:
    """The least kind that the rules leave here; a lighter one is told by its own rule."""
    bench = hole.bench
    wanted = bench.trial.word("insert_kind_wanted") or "solid_bushing"
    if KINDS.index(design.kind) >= [*KINDS].index(_as_kind(wanted)):
        return
    rests = bench.on_fact("insert_kind_wanted")
    wedges = hole.plan.hole.crack_enters and design.kind == "helical_wire"
    why = bench.because(rests.rule) if rests.basis == "rule" else ""
    yield finding(
        f"{hole.name}.kind",
        "contradicts",
        "stop" if wedges else "query",
        rests,
        f"Hole {hole.plan.number} takes a {plain(wanted)} or stronger, and the plan fits a "
        f"{plain(design.kind)}. {why}".strip(),
        Words(design.kind, wanted, f"Fit a {plain(wanted)}."),
    )


def _as_kind(word: str) -> InsertKind:
    return next((kind for kind in KINDS if kind == word), "solid_bushing")


def _judge_length(hole: InHole, design: InsertDesign) -> Item:
    """Length in bolt diameters, as the rules ask for it in this metal."""
    bench, d = hole.bench, hole.plan.hole.thread.diameter_mm
    name, rests = f"{hole.name}.length", bench.on_fact("insert_length_wanted")
    wanted = bench.number("insert_length_wanted")
    least = wanted.high * d if wanted else None
    words = Words(length(design.length_mm), length(least) if least else None)
    said = f"{bench.mm(design.length_mm)}, {design.length_mm / d:.2f} bolt diameters"
    if least is None:
        text = f"{said}; no rule says how long it has to be in this metal."
        return finding(name, "not_judged", "note", rests, text, words)
    if design.length_mm < least - HAIR:
        why = bench.because(rests.rule) if rests.basis == "rule" else ""
        text = f"{said}; {least / d:g} are wanted here. {why}"
        words = replace(words, remedy=f"Make it {bench.mm(least)} long, where the wall allows.")
        return finding(name, "falls_short", "query", rests, text.strip(), words)
    text = f"{said}; {least / d:g} are wanted here."
    kind: Finding = "stronger" if design.length_mm > 1.25 * least else "agrees"
    return finding(name, kind, "note", rests, text, words)


# --- the row beside it --------------------------------------------------------------------------


def _judge_ligament(hole: InHole, design: InsertDesign) -> Iterator[Item]:
    """The pin that stands nearest to the bore, where the row is laid at the planned sizes."""
    beside = _nearest_pin(hole)
    if beside is None:
        return
    distance, pin = beside
    judged = last_pin(distance, design.outside_diameter_mm, pin, hole.plan.hole.crack_enters)
    bench, rests = hole.bench, hole.bench.on_formula("seam")
    severity = _ligament_weighs(judged)
    text = f"Laid along the crack at these sizes, the last pin {_ligament_says(bench, judged)}."
    words = Words(
        None,
        None,
        "" if severity == "note" else f"Move the pin to {_place(bench, judged)} from the hole.",
        (Figure(name="metal between pin and bore", value=_mm(judged.ligament_mm)),),
    )
    kind: Finding = "agrees" if severity == "note" else "falls_short"
    yield finding(f"{hole.name}.ligament", kind, severity, rests, text, words)


def _ligament_weighs(judged: BoreLigament) -> Severity:
    if judged.state == "pin lost":
        return "stop"
    return "query" if judged.state in ("thin wall", "gap") else "note"


def _mm(value: float) -> Quantity:
    return quantity(round(value, 2), "mm")


def _ligament_says(bench: Bench, judged: BoreLigament) -> str:
    if judged.state == "overlaps":
        return f"bites into the bore and keeps {judged.pin_left:.0%} of its section"
    if judged.state == "clear":
        return f"leaves {bench.mm(judged.ligament_mm)} of metal to the bore"
    if judged.state == "pin lost":
        return "stands inside the bore, which takes more than half of it"
    if judged.state == "gap":
        return f"leaves {bench.mm(judged.ligament_mm)} of open crack to the bore"
    return f"leaves only {bench.mm(judged.ligament_mm)} to the bore, which breaks out"


def _place(bench: Bench, judged: BoreLigament) -> str:
    if judged.state == "thin wall":
        return f"{bench.mm(judged.clear_from_mm)} or more"
    return f"{bench.mm(judged.nearest_mm)} to {bench.mm(judged.farthest_mm)}"


def _nearest_pin(hole: InHole) -> tuple[float, float] | None:
    """Distance of the nearest pin to the bore, and its diameter [mm]."""
    laid = seam_layout(hole.bench)
    if laid is None:
        return None
    place = _bore_of(hole, tuple((bore.x, bore.y) for bore in laid.bores))
    if place is None:
        return None
    pins = laid.layout.pins
    distances = [((one.x - place[0]) ** 2 + (one.y - place[1]) ** 2) ** 0.5 for one in pins]
    return min(distances), laid.pin.diameter


def _bore_of(hole: InHole, bores: tuple[Point, ...]) -> Point | None:
    """The bore of this hole among those laid, or None where its place is not known."""
    advised = hole.bench.trial.objects.get("insert_bores", ())
    assert isinstance(advised, tuple)
    numbers = [insert.hole for insert in hole.bench.plan.inserts or ()]
    bored: Mapping[int, object] = dict(advised)
    order = [number for number in numbers if number - 1 in bored]
    if hole.planned.hole not in order or len(order) != len(bores):
        return None
    return bores[order.index(hole.planned.hole)]
