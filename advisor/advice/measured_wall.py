"""The wall as it was measured, and the wall as it is."""

from __future__ import annotations

from advisor.advice.formulas import Assumed, Given
from advisor.engineering import measuring
from advisor.reasoning.values import Number

CALLIPER_SPREAD = 0.2  # mm, practice
DRAWING_SPREAD = 0.15  # of the wall: cores shift, practice
GUESS_SPREAD = 0.5  # of the wall, practice


def corrected_wall(given: Given) -> tuple[float, float, str]:
    """The wall's true ends [mm] and how they were found.

    A gauge reading is corrected for velocity; a wall answered without a spread is given the usual
    one of its evidence.

    Raises:
        Missing: the wall or how it was measured is not known.
    """
    wall = given.interval("wall_thickness")
    by = given.word("wall_measured_by")
    if by == "ultrasonic":
        return _ultrasonic(given, wall)
    if not wall.exact:
        return wall.low, wall.high, f"{wall.low:g} to {wall.high:g} mm as answered"
    spread = {
        "calliper": CALLIPER_SPREAD,
        "drawing": DRAWING_SPREAD * wall.low,
        "guess": GUESS_SPREAD * wall.low,
    }[by]
    low, high = wall.low - spread, wall.high + spread
    return low, high, f"{by}: {wall.low:g} mm +/- {spread:.2g} mm"


def _ultrasonic(given: Given, wall: Number) -> tuple[float, float, str]:
    if given.known("ultrasonic_set_velocity") and given.known("ultrasonic_velocity"):
        set_to, true = (
            given.interval("ultrasonic_set_velocity"),
            given.interval("ultrasonic_velocity"),
        )
        low = measuring.true_thickness(wall.low, set_to.high, true.low)
        high = measuring.true_thickness(wall.high, set_to.low, true.high)
        return low, high, f"{wall.low:g} mm x {true.low:g} / {set_to.high:g} = {low:.2f} mm"
    low = measuring.uncalibrated_thickness(wall.low).low
    high = measuring.uncalibrated_thickness(wall.high).high
    said = "gauge not known to be set on this casting: +/- 20 %"
    slowest = _slowest_velocity(given)
    if slowest is not None:
        noted = given.known("ultrasonic_set_velocity")
        fastest = given.high("ultrasonic_set_velocity") if noted else _velocity_of_steel(given)
        low = min(low, measuring.true_thickness(wall.low, fastest, slowest))
        left = "gauge set" if noted else "gauge perhaps left"
        said = f"{left} to {fastest:g} m/s, this metal may have {slowest:g} m/s"
    return low, high, said


def _velocity_of_steel(given: Given) -> float:
    """Where a gauge stands that nobody set."""
    return given.table_number("velocities", "steel", "longitudinal")


def _slowest_velocity(given: Given) -> float | None:
    cell = given.cell("materials", given.word("material"), "velocity_low")
    return float(cell.value) if cell and isinstance(cell.value, int | float) else None


def wall_assumed(given: Given) -> tuple[Assumed, ...]:
    """What the wall's ends rest on where nobody measured them, and what would settle it.

    Raises:
        Missing: the wall or how it was measured is not known.
    """
    wall, by = given.interval("wall_thickness"), given.word("wall_measured_by")
    if by == "ultrasonic":
        return _gauge_assumed(given)
    if not wall.exact:
        return ()
    text, question = {
        "calliper": (f"the calliper reads to +/- {CALLIPER_SPREAD:g} mm", "wall_thickness"),
        "drawing": ("cores may have shifted by 15 % of the wall drawn", "wall_measured_by"),
        "guess": ("the wall may be half or one and a half of the guess", "wall_measured_by"),
    }[by]
    return (Assumed(text, question),)


def _gauge_assumed(given: Given) -> tuple[Assumed, ...]:
    if not given.known("ultrasonic_set_velocity"):
        text = "the gauge may have been left on steel, so the wall is thinner than read"
        return (Assumed(text, "ultrasonic_set_velocity"),)
    if not given.known("ultrasonic_velocity"):
        text = "sound runs as slowly as it may in this metal, so the wall is thinner than read"
        return (Assumed(text, "ultrasonic_velocity"),)
    return ()


def graphitised_skin(given: Given) -> Number | None:
    """How deep a knife cuts into soft black skin; None where none is reported.

    Raises:
        Missing: it is reported, and its depth is not known.
    """
    if "graphitic_corrosion" not in given.members("base_condition"):
        return None
    return given.interval("graphitic_depth")
