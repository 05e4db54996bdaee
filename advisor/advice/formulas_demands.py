"""Formulas of the demands stage: the wall as it really is, and what service asks of it."""

from __future__ import annotations

import math

from advisor.advice.formulas import (
    Assumed,
    Formula,
    FormulaRegistry,
    Given,
    Made,
    Missing,
    yes_no,
)
from advisor.advice.measured_wall import corrected_wall, graphitised_skin, wall_assumed
from advisor.engineering import fracture, pressure_tests, strength, walls
from advisor.engineering.limits import OutOfRange
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.values import number

MPA_PER_BAR = 0.1
LEAST_SPAN_TO_WALL = 5.0  # thin-plate formulas hold from here

_WALL_BANDS = (
    (80.0, "from_80_mm"),
    (40.0, "from_40_mm"),
    (20.0, "from_20_mm"),
    (10.0, "from_10_mm"),
    (0.0, "from_5_mm"),
)


def _true_wall(given: Given) -> Made:
    low, high, how = corrected_wall(given)
    skin = graphitised_skin(given)
    if skin is not None:
        low, high = low - skin.high, high - skin.low
        how += f", less {skin.high:g} mm of soft skin"
    if low <= 0:
        raise OutOfRange("wall", f"{low:g} mm", "some sound wall left", "replace the part")
    return Made({"true_wall": number(low, high)}, working=how, assumed=wall_assumed(given))


def _section_ratio(given: Given) -> Made:
    thick, thin = given.interval("wall_thickness_max"), given.interval("wall_thickness")
    if thin.low <= 0:
        raise OutOfRange("wall_thickness", f"{thin.low:g} mm", "above 0 mm")
    ratio = number(max(1.0, thick.low / thin.high), max(1.0, thick.high / thin.low))
    return Made(
        {"section_ratio": ratio},
        working=f"{thick.high:g} mm / {thin.low:g} mm = {ratio.high:.2f}",
    )


# --- strength -----------------------------------------------------------------------------------


def _wall_strength(given: Given) -> Made:
    if given.known("tensile_strength"):
        measured = given.interval("tensile_strength")
        return Made({"wall_strength": measured}, working="as measured or certified")
    material = given.word("material")
    wall = given.high("true_wall")  # a thicker wall of gray iron is the weaker one
    trusted = given.word_or("material_standing", "weak") in ("proven", "supported")
    if trusted and given.known("material_grade"):
        found = _strength_of_grade(given, given.word("material_grade"), wall)
        if found is not None:
            return found
    if material == "gray_iron":
        year = int(given.low("cast_year")) if given.known("cast_year") else None
        assumed = strength.assumed_gray_iron_strength(wall, year)
        return Made(
            {"wall_strength": number(assumed.strength)},
            working=assumed.because,
            sources=("EN-1561", "PRACTICE"),
            assumed=_strength_assumed(assumed.strength),
        )
    value = given.table_number("materials", material, "tensile_default")
    cell = given.cell("materials", material, "tensile_default")
    return Made(
        {"wall_strength": number(value)},
        working="grade not known: the family's cautious value",
        sources=cell.source if cell else (),
        assumed=_strength_assumed(value),
    )


def _strength_assumed(value: float) -> tuple[Assumed, ...]:
    text = f"the wall breaks at {value:g} MPa, as weak metal of its family does"
    return (Assumed(text, "material_grade"),)


def _strength_of_grade(given: Given, grade: str, wall: float) -> Made | None:
    bands = given.knowledge.tables["wall_strength"].rows
    column = next(name for least, name in _WALL_BANDS if wall > least or least == 0.0)
    cell = bands[grade].get(column) if grade in bands else None
    if grade in bands and cell is None:
        return None
    cell = cell or given.cell("grades", grade, "tensile_strength")
    if cell is None or not isinstance(cell.value, int | float):
        return None
    return Made(
        {"wall_strength": number(float(cell.value))},
        working=f"{grade} in a wall of {wall:.3g} mm: {cell.value:g} MPa",
        sources=cell.source,
    )


# --- stress -------------------------------------------------------------------------------------


def stress_per_bar(given: Given) -> tuple[float, str]:
    """Stress across the crack for each bar of pressure, on the safe side [MPa/bar], and how.

    Raises:
        Missing: the span or radius of the wall is not known.
    """
    wall = given.low("true_wall")
    if given.word_or("crack_location", "") == "curved_wall" or given.known("wall_radius"):
        radius = given.high("wall_radius")
        stress = walls.cylinder(MPA_PER_BAR, radius, wall).hoop_inner
        return stress, f"round wall, inner radius {radius:g} mm, wall {wall:.3g} mm"
    answered = given.high("span")
    span = max(answered, LEAST_SPAN_TO_WALL * wall)
    bounds = walls.panel_bounds(MPA_PER_BAR, math.inf, span, wall)
    said = f"long flat panel, span {span:g} mm, wall {wall:.3g} mm, hinged"
    if span > answered:
        said += f" ({answered:g} mm is too short for a plate: the safe side is taken)"
    return bounds.largest, said


def _pressure(given: Given) -> float:
    if given.word_or("fluid", "") == "none":
        return 0.0
    return given.high("pressure")


def _wall_stress(given: Given) -> Made:
    if given.known("nominal_stress"):
        stated = given.interval("nominal_stress")
        return Made({"wall_stress": stated}, working="as stated")
    if given.word("load") != "none":
        raise Missing("nominal_stress")
    pressure = _pressure(given)
    if pressure <= 0:
        return Made({"wall_stress": number(0.0)}, working="no load and no pressure answered")
    per_bar, how = stress_per_bar(given)
    stress = per_bar * pressure
    return Made(
        {"wall_stress": number(stress)},
        working=f"{how}: {per_bar:.3g} MPa/bar x {pressure:g} bar = {stress:.3g} MPa",
    )


def _line_load(given: Given) -> Made:
    stress, wall = given.high("wall_stress"), given.high("true_wall")
    load = stress * wall
    return Made(
        {"line_load": number(load)}, working=f"{stress:.3g} MPa x {wall:.3g} mm = {load:.3g} N/mm"
    )


def _crack_runs(given: Given) -> Made:
    stress = given.high("wall_stress")
    toughness, where, assumed = _toughness(given)
    length = given.high("crack_length")
    if stress <= 0:
        return Made({"crack_would_run": yes_no(False)}, working="no service stress")
    critical = 2 * fracture.critical_half_length(toughness, stress)
    return Made(
        {
            "critical_crack_length": number(min(critical, 1e6)),
            "crack_would_run": yes_no(length >= critical),
        },
        working=f"K_Ic {toughness:g} MPa m^0.5 ({where}), {stress:.3g} MPa: "
        f"2a = {critical:.3g} mm against {length:g} mm",
        assumed=assumed,
    )


def _toughness(given: Given) -> tuple[float, str, tuple[Assumed, ...]]:
    trusted = given.word_or("material_standing", "weak") in ("proven", "supported")
    if trusted and given.known("material_grade"):
        cell = given.cell("grades", given.word("material_grade"), "toughness")
        if cell is not None and isinstance(cell.value, int | float):
            return float(cell.value), cell.row, ()
    material = given.word("material")
    toughness = given.table_number("materials", material, "toughness")
    text = f"the metal is no tougher than {toughness:g} MPa m^0.5, which is low for its family"
    question = None if given.known("material_grade") else "material_grade"
    return toughness, f"{material}, cautious", (Assumed(text, question),)


def _yielding_pressure(given: Given) -> Made:
    per_bar, how = stress_per_bar(given)
    limit = pressure_tests.panel_test_limit(given.low("wall_strength"), per_bar)
    return Made(
        {"yielding_pressure": number(limit)},
        working=f"{how}: 0.5 x {given.low('wall_strength'):g} MPa / {per_bar:.3g} MPa/bar = "
        f"{limit:.3g} bar",
    )


def _test_pressure(given: Given) -> Made:
    working = _pressure(given)
    if working <= 0:
        raise Missing("pressure")
    ratio = given.high("test_ratio")
    wanted = ratio * working
    if not given.known("yielding_pressure"):
        return Made(
            {"test_pressure": number(wanted)},
            working=f"{ratio:g} x {working:g} bar; the weakest panel is not known",
        )
    cap = given.low("yielding_pressure")
    if cap < working:
        raise OutOfRange(
            "pressure",
            f"{working:g} bar",
            f"the weakest panel reaches half its strength at {cap:.3g} bar",
            "a test would load it further: refer",
        )
    chosen = min(wanted, cap)
    said = f"{ratio:g} x {working:g} bar = {wanted:.3g} bar"
    if cap < wanted:
        said += f", capped at {cap:.3g} bar by half the panel's strength"
    return Made({"test_pressure": number(chosen)}, working=said)


_STATICS = SourceRef("DERIVED", "statics", "computed")


def register(formulas: FormulaRegistry) -> None:
    """Register the formulas of this stage."""
    for formula in (
        Formula(
            "true_wall", "demands", ("true_wall",), "reading x true velocity / set velocity",
            (SourceRef("ASTM-E494", "", "read2"), SourceRef("PRACTICE", "spreads", "practice")),
            _true_wall,
        ),
        Formula(
            "section_ratio",
            "demands",
            ("section_ratio",),
            "thickest over thinnest wall along the crack",
            (_STATICS,),
            _section_ratio,
        ),
        Formula(
            "wall_strength", "demands", ("wall_strength",),
            "measured, else the grade in this wall, else a cautious value",
            (SourceRef("EN-1561", "strength by wall thickness", "read2"),), _wall_strength,
        ),
        Formula(
            "wall_stress", "demands", ("wall_stress",),
            "s = p r/t (thin) or Lame; s = 0.75 p (b/t)^2 for a long panel",
            (SourceRef("ROARK", "Table 11.4", "read"), _STATICS), _wall_stress,
        ),
        Formula(
            "line_load", "demands", ("line_load",), "n = s t", (_STATICS,), _line_load,
        ),
        Formula(
            "crack_runs", "demands", ("critical_crack_length", "crack_would_run"),
            "2a = (2/pi)(K_Ic/s)^2", (SourceRef("CRACK-HANDBOOK", "centre crack", "read"),),
            _crack_runs,
        ),
        Formula(
            "yielding_pressure", "demands", ("yielding_pressure",),
            "p = 0.5 s_u / (stress at 1 bar)", (SourceRef("PRACTICE", "", "practice"), _STATICS),
            _yielding_pressure,
        ),
        Formula(
            "test_pressure", "demands", ("test_pressure",),
            "p_t = min(ratio x p, pressure at half the panel's strength)",
            (SourceRef("PRACTICE", "castings that no code covers", "practice"),),
            _test_pressure, late=True,
        ),
    ):  # fmt: skip
        formulas.add(formula)
