"""Formulas of the method stage: what each method would need here, worked out in full.

A size that cannot be had is a "no" with its reason, not a fault: the rules then say what follows.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import replace

from advisor.advice.formulas import (
    Assumed,
    Formula,
    FormulaRegistry,
    Given,
    Made,
    Undecided,
    yes_no,
)
from advisor.advice.hole_plan import HolePlan, plan_holes
from advisor.advice.seam import (
    BLIND_RUN_OUT,
    SeamDesign,
    crack_path,
    design_seam,
    seam_assumed,
    with_keys,
)
from advisor.engineering import keyed_seam, keys
from advisor.engineering.crack_path import CrackLine
from advisor.engineering.limits import OutOfRange
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.values import number

LEAST_FRACTION = 0.1  # asked of keys where nothing says how much strength is wanted
DEFAULT_SAFETY = 4.0  # on the service load, practice

GEOMETRY = (
    SourceRef("ISO-261", "sizes", "memory"),
    SourceRef("DERIVED", "geometry of the seam", "computed"),
    SourceRef("PRACTICE", "spacing, shoulder and thread floor", "practice"),
)


def _seam(given: Given) -> Made:
    try:
        seam = design_seam(given)
    except OutOfRange as limit:
        if _could_be_laid(given):
            raise Undecided(f"fits only at the favourable end of what is known: {limit}") from None
        return Made({"stitching_feasible": yes_no(False)}, working=str(limit))
    pin, laid = seam.choice.pin, seam.layout
    threads = min(one.engaged_threads for one in laid.pins)
    more = 0.0 if given.known("behind_wall") else BLIND_RUN_OUT
    return Made(
        {"stitching_feasible": yes_no(True), "threads_at_best": number(threads, threads + more)},
        working=f"{pin.thread} in {seam.choice.seat.wall:.3g} mm: {threads:.2f} threads, "
        f"{len(laid.pins)} pins at {seam.pitch:.2f} mm, coverage +/- {laid.coverage_margin:.2f} mm",
        objects={"seam": seam},
        notes=seam.notes,
        assumed=seam_assumed(given),
    )


def _could_be_laid(given: Given) -> bool:
    """Whether a row fits if every spread and every open demand turns out well."""
    try:
        design_seam(given.hopeful())
    except OutOfRange:
        return False
    return True


def _inserts(given: Given) -> Made:
    """Every hole near the crack, and the insert that fits where one is needed."""
    plans = plan_holes(given)
    wanting = [plan for plan in plans if plan.need.needed]
    failed = [plan for plan in wanting if plan.design is None]
    bores = tuple(
        (plan.number - 1, (plan.hole.thread.diameter_mm, plan.design.outside_diameter_mm))
        for plan in wanting
        if plan.design is not None
    )
    said = [f"hole {plan.number}: {_insert_says(plan)}" for plan in plans]
    return Made(
        {"inserts_feasible": yes_no(not failed)},
        working="; ".join(said) or "no threaded hole near the crack",
        objects={"inserts": plans, "insert_bores": bores},
        assumed=tuple(
            Assumed(f"hole {plan.number}: {note}", "holes")
            for plan in wanting
            for note in plan.notes
            if "not known" in note
        ),
    )


def _insert_says(plan: HolePlan) -> str:
    if not plan.need.needed:
        return "no insert needed"
    if plan.design is None:
        return plan.refused or "no insert fits"
    return f"{plan.design.kind.replace('_', ' ')} {plan.design.outside_thread}"


def _keys(given: Given) -> Made:
    """Keys for what the repair has to restore, with a row of pins that goes with them."""
    try:
        demand = _key_demand(given)
    except OutOfRange as limit:
        return _no_keys(str(limit))
    family = given.shop.keys if given.shop and given.shop.keys else keys.NEUTRAL_FAMILY
    if given.word_or("stitching_feasible", "open") != "yes":
        return _keys_without_row(given, keys.arrangements(demand, family=family))
    seam = given.objects["seam"]
    assert isinstance(seam, SeamDesign)
    found = _keyed_seam(demand, seam.ground, _order(given), tuple(family))
    if isinstance(found, keyed_seam.KeyedSeam):
        return _key_facts(seam, found, carries=True)
    if _could_carry(given, family):
        raise Undecided(f"keys carry it only at the favourable end of the wall: {found.reason}")
    if found.nearest is None:
        return _no_keys(found.reason)
    made = _key_facts(seam, found.nearest, carries=False)
    return replace(made, working=f"{found.reason}; {made.working}")


_keyed_seam = functools.lru_cache(maxsize=128)(keyed_seam.design_keyed_seam)
"""Found once for the same numbers: most of what is tried leaves them as they are."""

_LOOSELY = 1.15
"""A wall is known too loosely for keys where its ends are further apart than this, as a factor."""


def _could_carry(given: Given, family: Sequence[keys.KeySection]) -> bool:
    """Whether keys would do in a wall that is known loosely, if it turns out thick."""
    wall = given.interval("true_wall")
    if wall.high <= _LOOSELY * wall.low:
        return False
    hopeful = given.hopeful()
    try:
        demand, seam = _key_demand(hopeful), design_seam(hopeful)
    except OutOfRange:
        return False
    found = _keyed_seam(demand, seam.ground, _order(hopeful), tuple(family))
    return isinstance(found, keyed_seam.KeyedSeam)


def _keys_without_row(given: Given, alone: list[keys.KeyDesign] | keys.KeysNotFeasible) -> Made:
    """Where no row is laid for keys to go with.

    Raises:
        Missing: it is not known whether one can be laid.
    """
    if isinstance(alone, keys.KeysNotFeasible):
        return _no_keys(f"{alone.reason}; {alone.nearest_hint}".rstrip("; "))
    given.word("stitching_feasible")
    return _no_keys("no row of pins can be laid for keys to go with")


def _key_demand(given: Given) -> keys.KeyDemand:
    """What is asked of keys; where nothing says how much strength is wanted, a little.

    Raises:
        Missing: nobody says whether anything pulls at the crack.
    """
    if not given.known("line_load"):
        given.word("load")
    wanted = given.high("strength_wanted") if given.known("strength_wanted") else None
    load = given.high("line_load") if given.known("line_load") else None
    factor = given.high("load_safety_factor") if given.known("load_safety_factor") else None
    wall = given.low("true_wall")
    path = crack_path(given, wall)
    return keys.key_demand(
        wall=wall,
        tensile_strength=given.low("wall_strength"),
        length=CrackLine.through(path).plane.length,
        shear_factor=given.table_number("materials", given.word("material"), "shear_ratio"),
        restrained=given.word_or("wall_free_to_bend", "yes") == "no",
        fraction=wanted if wanted or (load and factor) else LEAST_FRACTION,
        line_load=load if factor else None,
        safety_factor=factor or DEFAULT_SAFETY,
    )


def _order(given: Given) -> keyed_seam.Order:
    """Pins first where the wall has to be tight, as the rules of the procedure have it."""
    tight = given.word_or("tightness", "pressure_tight") in ("tight", "pressure_tight")
    return "pins_first" if tight else "keys_first"


def _no_keys(why: str) -> Made:
    no = yes_no(False)
    return Made({"keys_feasible": no, "keys_carry_demand": no}, working=why)


def _key_facts(seam: SeamDesign, found: keyed_seam.KeyedSeam, *, carries: bool) -> Made:
    design = found.keys
    return Made(
        {
            "keys_feasible": yes_no(True),
            "keys_carry_demand": yes_no(carries),
            "restored_fraction": number(design.restored_fraction),
        },
        working=f"{design.count} keys every {design.spacing:.1f} mm, {design.depth:g} mm deep, "
        f"{design.neck_left:.3g} mm of {design.section.neck:g} mm neck and {design.lobes_counted} "
        f"of {design.section.lobes} lobes a side counted beside {found.choice.pin.thread}, "
        f"governed by {design.capacity.governed_by}: restore {design.restored_fraction:.2f}, "
        f"needed {design.needed_fraction:.2f}, at most {design.greatest_fraction:.2f}",
        objects={"keys": design, "keyed_seam": with_keys(seam, found)},
        notes=design.warnings,
    )


def register(formulas: FormulaRegistry) -> None:
    """Register the formulas of this stage."""
    formulas.add(
        Formula(
            id="inserts",
            stage="method",
            outputs=("inserts_feasible",),
            equation="strip safety = tau A_n / (A_s S_p); the bolt should break first",
            sources=(
                SourceRef("FED-STD-H28-2B", "appendix B", "read"),
                SourceRef("NASA-TM-106943", "inserts", "read"),
                SourceRef("ISO-898-1", "", "read2"),
            ),
            compute=_inserts,
        )
    )
    formulas.add(
        Formula(
            id="seam",
            stage="method",
            outputs=("stitching_feasible", "threads_at_best"),
            equation="threads = (wall - spot-face) / pitch; s <= sqrt(d^2 - 4 (wander)^2)",
            sources=GEOMETRY,
            compute=_seam,
        )
    )
    formulas.add(
        Formula(
            id="keys",
            stage="method",
            outputs=("keys_feasible", "keys_carry_demand", "restored_fraction"),
            equation="phi = min(F/(t S s_u), 1 - D h/(S t)); F the least of neck, bearing, teeth, "
            "lobes and eccentricity; neck b - 2 o, pins d <= S - b + 2 o",
            sources=(
                SourceRef("DERIVED", "statics of a bridging key", "computed"),
                SourceRef("PRACTICE", "bite of pins into a neck", "practice"),
            ),
            compute=_keys,
        )
    )
