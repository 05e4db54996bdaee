"""Formulas of the material and triage stages: what the answers say when they are put together."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.advice.formulas import (
    Formula,
    FormulaRegistry,
    Given,
    Made,
    Missing,
    over_corners,
    yes_no,
)
from advisor.advice.measured_wall import corrected_wall, graphitised_skin
from advisor.case.model import UNKNOWN, Hole
from advisor.case.quantities import Measure
from advisor.engineering import carbon_equivalent, measuring
from advisor.reasoning.conditions import Test
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.values import Number, Value, number, word

ELEMENTS: Mapping[str, str] = {
    "C": "carbon",
    "Si": "silicon",
    "P": "phosphorus",
    "S": "sulfur",
    "Cr": "chromium",
    "Ni": "nickel",
    "Mg": "magnesium_content",
}
DAMAGED_THREADS = frozenset({"worn", "stripped", "corroded"})

_VELOCITY_CLASS: Mapping[str, str] = {
    "flake_iron": "flake",
    "compacted_iron": "compacted",
    "nodular_or_compacted_iron": "other",
    "nodular_iron": "nodular",
    "steel": "steel",
    "unclear": "other",
}
_IS_IRON = Test("is_iron", "is", words=frozenset(("yes",)))
_NOT_IRON = Test("is_iron", "is", words=frozenset(("no",)))
_GEOMETRY = (SourceRef("DERIVED", "", "computed"),)


def composition(given: Given) -> Mapping[str, Number]:
    """The measured elements by symbol, in mass %.

    Raises:
        Missing: no composition was answered.
    """
    given.read.add("composition")
    answer = given.case.value("composition")
    if not isinstance(answer, Mapping):
        raise Missing("composition")
    return {
        symbol: number(measure.low, measure.high)
        for symbol, measure in answer.items()
        if isinstance(measure, Measure)
    }


def _elements(given: Given) -> Made:
    found = composition(given)
    values: dict[str, Value] = {
        fact: found[symbol] for symbol, fact in ELEMENTS.items() if symbol in found
    }
    return Made(values, working="as answered")


def _iron_ce(given: Given) -> Made:
    found = composition(given)
    for symbol in ("C", "Si", "P"):
        if symbol not in found:
            raise Missing("composition")
    parts = [found[symbol] for symbol in ("C", "Si", "P")]
    ce = over_corners(carbon_equivalent.iron_carbon_equivalent, *parts)
    c, si, p = (part.high for part in parts)
    return Made(
        {"iron_carbon_equivalent": ce}, working=f"{c:g} + ({si:g} + {p:g})/3 = {ce.high:.2f} %"
    )


STEEL_ELEMENTS = ("C", "Mn", "Cr", "Mo", "V", "Ni", "Cu")


def steel_elements(given: Given) -> dict[str, float]:
    """High ends of all elements that a steel's carbon equivalent needs, by symbol.

    Raises:
        Missing: one of them was not measured; none is taken as zero.
    """
    found = composition(given)
    if any(symbol not in found for symbol in STEEL_ELEMENTS):
        raise Missing("composition")
    return {symbol: found[symbol].high for symbol in STEEL_ELEMENTS}


def _steel_ce(given: Given) -> Made:
    e = steel_elements(given)
    ce = carbon_equivalent.steel_ce_iiw(
        carbon=e["C"], manganese=e["Mn"], chromium=e["Cr"], molybdenum=e["Mo"],
        vanadium=e["V"], nickel=e["Ni"], copper=e["Cu"],
    )  # fmt: skip
    return Made(
        {"steel_carbon_equivalent": number(ce)},
        working=f"{e['C']:g} + {e['Mn']:g}/6 + ({e['Cr']:g} + {e['Mo']:g} + {e['V']:g})/5 + "
        f"({e['Ni']:g} + {e['Cu']:g})/15 = {ce:.3f} %",
    )


def _grade_fits(given: Given) -> Made:
    fits = given.word("grade_material") == given.word("material")
    return Made({"grade_fits_material": yes_no(fits)})


def _velocity(given: Given) -> Made:
    measured = given.interval("ultrasonic_velocity")
    ends = {_VELOCITY_CLASS[measuring.velocity_class(v)] for v in (measured.low, measured.high)}
    found = ends.pop() if len(ends) == 1 else "other"
    return Made({"velocity_class": word(found)}, working=f"{measured.low:g} m/s")


def _sound_wall(given: Given) -> Made:
    """The reading less the skin; a gauge reading is corrected first: the skin is no reading."""
    wall = given.interval("wall_thickness")
    skin = graphitised_skin(given)
    if skin is None:
        return Made({"sound_wall": wall}, working="no graphitised skin reported")
    thin, thick = wall.low, wall.high
    if given.word_or("wall_measured_by", "") == "ultrasonic":
        thin, thick, _ = corrected_wall(given)
    low, high = thin - skin.high, thick - skin.low
    return Made(
        {"sound_wall": number(low, high)},
        working=f"{thin:.3g} mm - {skin.high:g} mm = {low:.3g} mm",
    )


# --- holes --------------------------------------------------------------------------------------


def holes(given: Given) -> tuple[Hole, ...]:
    """The threaded holes near the crack.

    Raises:
        Missing: the question is not answered.
    """
    given.read.add("holes")
    answer = given.case.value("holes")
    if answer is None or answer is UNKNOWN or not isinstance(answer, tuple):
        raise Missing("holes")
    return tuple(hole for hole in answer if isinstance(hole, Hole))


def enters(hole: Hole) -> bool | None:
    """Whether the crack enters a hole; None where its distance is not known."""
    if not isinstance(hole.distance, Measure):
        return None
    return hole.distance.low <= 0


def _hole_facts(given: Given) -> Made:
    found = holes(given)
    values: dict[str, Value] = {"hole_count": number(float(len(found)))}
    entered = [enters(hole) for hole in found]
    in_a_hole = given.word_or("crack_location", "") == "bolt_hole"
    if in_a_hole or True in entered:
        values["crack_enters_hole"] = yes_no(True)
    elif None not in entered:
        values["crack_enters_hole"] = yes_no(False)
    conditions = [hole.condition for hole in found]
    if DAMAGED_THREADS.intersection(c for c in conditions if isinstance(c, str)):
        values["hole_thread_damaged"] = yes_no(True)
    elif all(isinstance(c, str) for c in conditions):
        values["hole_thread_damaged"] = yes_no(False)
    return Made(values, working=f"{len(found)} holes answered")


def register(formulas: FormulaRegistry) -> None:
    """Register the formulas of these stages."""
    for formula in (
        Formula(
            "elements", "material", tuple(ELEMENTS.values()), "as measured",
            _GEOMETRY, _elements,
        ),
        Formula(
            "iron_carbon_equivalent", "material", ("iron_carbon_equivalent",),
            "CE = C + (Si + P)/3", (SourceRef("CAST-IRON-METALLOGRAPHY", "", "read"),), _iron_ce,
            when=_IS_IRON,
        ),
        Formula(
            "steel_carbon_equivalent", "material", ("steel_carbon_equivalent",),
            "CE(IIW) = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15",
            (SourceRef("EN-1011-2", "", "read2"),), _steel_ce, when=_NOT_IRON,
        ),
        Formula(
            "grade_fits_material", "material", ("grade_fits_material",),
            "the grade's own metal against the metal claimed", _GEOMETRY, _grade_fits,
        ),
        Formula(
            "velocity_class", "material", ("velocity_class",),
            "bands of the longitudinal velocity", (SourceRef("ASTM-E494", "Table X3.1", "read2"),),
            _velocity,
        ),
        Formula(
            "sound_wall", "material", ("sound_wall",),
            "wall less the depth that a knife cuts", _GEOMETRY, _sound_wall,
        ),
        Formula(
            "holes", "triage", ("hole_count", "crack_enters_hole", "hole_thread_damaged"),
            "counted from the holes answered; distance 0 means entered", _GEOMETRY, _hole_facts,
        ),
    ):  # fmt: skip
        formulas.add(formula)
