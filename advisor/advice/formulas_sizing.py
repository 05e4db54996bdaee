"""Formulas of the sizing stage: preheat by hydrogen for steel, and what the method brings along."""

from __future__ import annotations

from advisor.advice.formulas import Assumed, Formula, FormulaRegistry, Given, Made, Missing, yes_no
from advisor.advice.formulas_material import steel_elements
from advisor.advice.formulas_method import GEOMETRY
from advisor.advice.hole_plan import HolePlan
from advisor.advice.seam import SeamDesign
from advisor.engineering import carbon_equivalent, heat
from advisor.reasoning.conditions import Test
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.values import members, number

STITCHED = frozenset({"cold_stitch", "cold_stitch_with_keys"})

HYDROGEN = 5.0
"""Diffusible hydrogen taken for a dried basic electrode [ml/100 g]; the upper end of its class."""

ROOM = 20.0
"""Temperature from which a part is heated [degC]."""

HEAT_INPUT = 1.0
"""Heat input taken, kJ/mm: small beads; more heat would ask for less preheat."""

_WHOLE_CASTING = Test(
    "method", "one_of", words=frozenset(("arc_weld_full_preheat", "oxyfuel_fusion_weld"))
)
_STITCHED = Test("method", "one_of", words=STITCHED)
_STEEL_WELD = Test("method", "is", words=frozenset(("arc_weld_steel",)))


def _stitched(given: Given) -> Made:
    return Made({"stitching": yes_no(given.word("method") in STITCHED)})


def _row(given: Given) -> Made:
    """The row as it is set: with keys, the row that goes with them."""
    keyed = given.word("method") == "cold_stitch_with_keys"
    seam = given.objects.get("keyed_seam") if keyed else None
    seam = seam or given.objects.get("seam")
    if not isinstance(seam, SeamDesign):
        raise Missing("stitching_feasible")
    given.known("stitching_feasible")
    count = len(seam.layout.pins)
    return Made(
        {
            "pin_diameter": number(seam.choice.pin.diameter),
            "pin_pitch_of_row": number(seam.pitch),
            "pin_count": number(float(count)),
        },
        working=f"{count} pins {seam.choice.pin.thread}, at most {seam.pitch:.2f} mm apart",
        objects={"seam": seam},
        notes=seam.notes,
    )


def _steel_preheat(given: Given) -> Made:
    e = steel_elements(given)
    cet = carbon_equivalent.steel_cet(
        carbon=e["C"],
        manganese=e["Mn"],
        molybdenum=e["Mo"],
        chromium=e["Cr"],
        copper=e["Cu"],
        nickel=e["Ni"],
    )
    known = given.known("wall_thickness_max")
    thickness = given.high("wall_thickness_max") if known else given.high("true_wall")
    found = heat.steel_preheat(cet, thickness, HYDROGEN, HEAT_INPUT)
    return Made(
        {"preheat_by_formula": number(found.least)},
        working=f"CET {cet:.3f} %, {thickness:.3g} mm, {HYDROGEN:g} ml/100 g, {HEAT_INPUT:g} kJ/mm:"
        f" {found.formula:.0f} degC, work at {found.least:.0f} degC or more",
        assumed=(
            Assumed(
                f"electrodes dried to {HYDROGEN:g} ml hydrogen in 100 g, {HEAT_INPUT:g} kJ/mm", None
            ),
        ),
    )


def _insert_needed(given: Given) -> Made:
    found = given.objects.get("inserts")
    if not isinstance(found, tuple):
        raise Missing("holes")
    plans = [plan for plan in found if isinstance(plan, HolePlan)]
    kinds = {plan.design.kind for plan in plans if plan.design is not None}
    return Made(
        {
            "insert_needed": yes_no(any(plan.need.needed for plan in plans)),
            "insert_kinds": members(*kinds),
        },
        working=f"{len(plans)} holes looked at",
    )


def _heating_energy(given: Given) -> Made:
    """Heat to bring the whole part from room temperature to its preheat."""
    mass = given.high("part_mass")
    target = given.high("preheat_min")
    if given.known("preheat_by_formula"):
        target = max(target, given.high("preheat_by_formula"))
    material = given.word("material")
    hot = given.cell("materials", material, "specific_heat_hot")
    column = "specific_heat_hot" if hot is not None else "specific_heat"
    specific = given.table_number("materials", material, column)
    rise = max(0.0, target - ROOM)
    energy = heat.heating_energy(mass, specific, rise)
    return Made(
        {"heating_energy": number(energy)},
        working=f"{mass:g} kg x {specific:g} J/(kg K) x {rise:.0f} K = {energy:.1f} kWh in the "
        "metal; the furnace takes more",
    )


_OWN = (SourceRef("DERIVED", "", "computed"),)


def register(formulas: FormulaRegistry) -> None:
    """Register the formulas of this stage."""
    for formula in (
        Formula("stitching", "sizing", ("stitching",), "by the method", _OWN, _stitched),
        Formula(
            "row",
            "sizing",
            ("pin_diameter", "pin_pitch_of_row", "pin_count"),
            "a stretch of length l is divided into ceil(l / s) equal parts",
            GEOMETRY,
            _row,
            when=_STITCHED,
        ),
        Formula(
            "steel_preheat",
            "sizing",
            ("preheat_by_formula",),
            "Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328",
            (SourceRef("EN-1011-2", "method B", "read2"),),
            _steel_preheat,
            when=_STEEL_WELD,
        ),
        Formula(
            "insert_needed",
            "sizing",
            ("insert_needed", "insert_kinds"),
            "one hole needs one",
            _OWN,
            _insert_needed,
        ),
        Formula(
            "heating_energy",
            "sizing",
            ("heating_energy",),
            "Q = m c dT",
            (SourceRef("ENGINEERS-HANDBOOK-HEAT", "", "read"),),
            _heating_energy,
            late=True,
            when=_WHOLE_CASTING,
        ),
    ):
        formulas.add(formula)
