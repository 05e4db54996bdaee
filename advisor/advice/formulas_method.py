"""Formulas of the method stage: what each method would need here, worked out in full.

A size that cannot be had is a "no" with its reason, not a fault: the rules then say what follows.
"""

from __future__ import annotations

from advisor.advice.formulas import Formula, FormulaRegistry, Given, Made, yes_no
from advisor.advice.seam import design_seam
from advisor.engineering.limits import OutOfRange
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.values import number

_GEOMETRY = (
    SourceRef("ISO-261", "sizes", "memory"),
    SourceRef("DERIVED", "geometry of the seam", "computed"),
    SourceRef("PRACTICE", "spacing, shoulder and thread floor", "practice"),
)


def _seam(given: Given) -> Made:
    try:
        seam = design_seam(given)
    except OutOfRange as limit:
        return Made({"stitching_feasible": yes_no(False)}, working=str(limit))
    pin, laid = seam.choice.pin, seam.layout
    threads = min(one.engaged_threads for one in laid.pins)
    return Made(
        {
            "stitching_feasible": yes_no(True),
            "threads_at_best": number(threads),
            "pin_diameter": number(pin.diameter),
            "pin_pitch_of_row": number(seam.pitch),
            "pin_count": number(float(len(laid.pins))),
        },
        working=f"{pin.thread} in {seam.choice.seat.wall:.3g} mm: {threads:.2f} threads, "
        f"{len(laid.pins)} pins at {seam.pitch:.2f} mm, coverage +/- {laid.coverage_margin:.2f} mm",
        objects={"seam": seam},
        notes=seam.notes,
    )


def register(formulas: FormulaRegistry) -> None:
    """Register the formulas of this stage."""
    formulas.add(
        Formula(
            id="seam",
            stage="method",
            outputs=(
                "stitching_feasible",
                "threads_at_best",
                "pin_diameter",
                "pin_pitch_of_row",
                "pin_count",
            ),
            equation="threads = (wall - spot-face) / pitch; s <= sqrt(d^2 - 4 (wander)^2)",
            sources=_GEOMETRY,
            compute=_seam,
        )
    )
