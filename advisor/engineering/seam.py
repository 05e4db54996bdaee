"""A row of overlapping threaded pins: its geometry, its spacing, and what it carries.

Lengths in mm, forces in N, stresses in MPa. The row is statics and geometry: the crack carries
nothing, the pins are fully engaged, and no credit is given to sealant, friction or peening. It is
a bound, not a promise.
"""

from __future__ import annotations

import math

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, not_negative, positive
from advisor.light_dataclass import dataclass

# Practice: window of the spacing, and the neck that a tight seam needs.
LEAST_SPACING_TO_DIAMETER = 0.6
LARGEST_SPACING_TO_DIAMETER = 0.9
PREFERRED_SPACING_TO_DIAMETER = 0.75
TIGHT_CHORD_TO_DIAMETER = 0.5
NUT_FACTOR = 0.2  # memory: torque coefficient of a dry to lightly oiled thread
BEARING_FACTOR = 1.5  # derived, cautious: bearing limit over tensile strength
SYMMETRIC_FLANK = 30.0  # deg; half of the 60 degree thread, ISO 68-1

_TINY = 1e-9


# Geometry of the overlap


def chord(diameter: float, spacing: float) -> float:
    """Common chord of two neighbours: continuous pin metal across the seam at the neck.

    c = sqrt(d^2 - s^2)

    Args:
        diameter: d [mm].
        spacing: s, centre to centre [mm].

    Returns:
        c [mm].

    Validity: 0 < s < d; at s >= d the pins do not overlap and the crack shows between them.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(chord(8, 6), 4)
        5.2915

    Source: geometry of two circles (derived).
    """
    _overlapping(diameter, spacing)
    return math.sqrt(diameter**2 - spacing**2)


def lens_area(diameter: float, spacing: float) -> float:
    """Area that a neighbour cuts out of a pin.

    A_L = 2 r^2 acos(s/d) - (s/2) sqrt(d^2 - s^2)

    Args:
        diameter: d [mm].
        spacing: s [mm].

    Returns:
        A_L [mm2].

    Validity: 0 < s < d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(lens_area(8, 6), 4)
        7.253

    Source: geometry of two circles (derived).
    """
    half_chord = chord(diameter, spacing) / 2
    return diameter**2 / 2 * math.acos(spacing / diameter) - spacing * half_chord


def overlap_area(radius_1: float, radius_2: float, distance: float) -> float:
    """Common area of two unequal circles, as of a pin and the bore for an insert.

    A = r1^2 acos((D^2+r1^2-r2^2)/(2 D r1)) + r2^2 acos((D^2+r2^2-r1^2)/(2 D r2))
        - sqrt((-D+r1+r2)(D+r1-r2)(D-r1+r2)(D+r1+r2))/2

    Args:
        radius_1: r1 [mm].
        radius_2: r2 [mm].
        distance: D between the centres [mm].

    Returns:
        area [mm2]; 0 for circles apart, the smaller circle where one contains the other.

    Validity: any two circles.

    Raises:
        OutOfRange: a radius not positive or a negative distance.

    Example:
        >>> round(overlap_area(4, 7, 8), 4)
        14.6987

    Source: geometry (derived).
    """
    r1, r2 = positive("radius_1", radius_1, "mm"), positive("radius_2", radius_2, "mm")
    D = not_negative("distance", distance, "mm")
    if r1 + r2 <= D:
        return 0.0
    if abs(r1 - r2) >= D:
        return math.pi * min(r1, r2) ** 2
    angle_1 = math.acos(_cosine((D**2 + r1**2 - r2**2) / (2 * D * r1)))
    angle_2 = math.acos(_cosine((D**2 + r2**2 - r1**2) / (2 * D * r2)))
    kite = math.sqrt(max(0.0, (-D + r1 + r2) * (D + r1 - r2) * (D - r1 + r2) * (D + r1 + r2)))
    return r1**2 * angle_1 + r2**2 * angle_2 - kite / 2


def area_cut_once(diameter: float, spacing: float) -> float:
    """Metal left in a pin that one neighbour cuts; also the seam area per pitch.

    pi r^2 - A_L

    Args:
        diameter: d [mm].
        spacing: s [mm].

    Returns:
        area [mm2].

    Validity: 0 < s < d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(area_cut_once(8, 6) / (3.14159265 * 16), 3)
        0.856

    Source: geometry (derived).
    """
    return math.pi * diameter**2 / 4 - lens_area(diameter, spacing)


def area_cut_twice(diameter: float, spacing: float) -> float:
    """Metal left in a pin cut on both sides before a neighbour is filled.

    pi r^2 - 2 A_L

    Args:
        diameter: d [mm].
        spacing: s [mm].

    Returns:
        area [mm2].

    Validity: d/2 <= s < d; closer neighbours overlap each other too.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(area_cut_twice(8, 6) / (3.14159265 * 16), 3)
        0.711

    Source: geometry (derived).
    """
    if spacing < diameter / 2:
        raise OutOfRange("spacing", spacing, f"at least half the diameter, {diameter / 2:g} mm")
    return math.pi * diameter**2 / 4 - 2 * lens_area(diameter, spacing)


def mean_seam_width(diameter: float, spacing: float) -> float:
    """Mean width of the finished seam.

    (pi r^2 - A_L)/s

    Args:
        diameter: d [mm].
        spacing: s [mm].

    Returns:
        width [mm].

    Validity: 0 < s < d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(mean_seam_width(8, 6), 2)
        7.17

    Source: geometry (derived).
    """
    return area_cut_once(diameter, spacing) / spacing


def thread_arc(diameter: float, spacing: float) -> float:
    """Arc of thread that the parent keeps on each side of the crack in a finished seam.

    psi = 2 asin(s/d)

    Args:
        diameter: d [mm].
        spacing: s [mm].

    Returns:
        psi [rad].

    Validity: 0 < s < d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(math.degrees(thread_arc(8, 6)), 1)
        97.2

    Source: geometry (derived).
    """
    _overlapping(diameter, spacing)
    return 2 * math.asin(spacing / diameter)


def bearing_width(diameter: float, spacing: float) -> float:
    """Width of parent that one pin bears on along the crack, on each side.

    b_II = (d - c)/2

    Args:
        diameter: d [mm].
        spacing: s [mm].

    Returns:
        b_II [mm].

    Validity: 0 < s < d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(bearing_width(8, 6) / 8, 3)
        0.169

    Source: geometry (derived).
    """
    return (diameter - chord(diameter, spacing)) / 2


# Spacing and count


@dataclass(frozen=True)
class SpacingWindow:
    """Spacings that a row may have, mm; ``governed_by`` names what limits the largest."""

    least: float
    preferred: float
    largest: float
    governed_by: str  # "overlap", "neck" or "tightness"


def neck_spacing(diameter: float, wander: float, drill_error: float) -> float:
    """Largest spacing whose neck still swallows the crack.

    s = sqrt(d^2 - 4 (delta + e)^2), from c/2 >= delta + e

    Args:
        diameter: d [mm].
        wander: delta, how far the crack strays from the line between two pins [mm].
        drill_error: e, how far a hole may stand beside the line [mm].

    Returns:
        s [mm].

    Validity: delta + e < d/2.

    Raises:
        OutOfRange: the crack strays out of the pin itself; the hint names a diameter.

    Example:
        >>> [round(neck_spacing(d, 1.0, 0.5), 2) for d in (6, 8, 10)]
        [5.2, 7.42, 9.54]

    Source: geometry (derived).
    """
    positive("diameter", diameter, "mm")
    stray = not_negative("wander", wander, "mm") + not_negative("drill_error", drill_error, "mm")
    if 2 * stray >= diameter:
        raise OutOfRange(
            "wander", wander, f"with the drill error less than d/2, {diameter / 2:g} mm"
        )
    return math.sqrt(diameter**2 - 4 * stray**2)


def spacing_window(
    diameter: float, wander: float = 0.0, drill_error: float = 0.0, leak_tight: bool = False
) -> SpacingWindow:
    """Window of spacings: 0.6 d up to the least of 0.9 d, the neck, and c >= 0.5 d where tight.

    Args:
        diameter: d [mm].
        wander: how far the crack strays from the line between two pins [mm].
        drill_error: how far a hole may stand beside the line [mm].
        leak_tight: the seam must not weep.

    Returns:
        the window; preferred is 0.75 d, or the largest where that is less.

    Validity: the neck allows at least 0.6 d, that is delta + e <= 0.4 d.

    Raises:
        OutOfRange: the pin is too small for the wander; the hint names the least diameter.

    Example:
        >>> window = spacing_window(8, 0.5, 0.25)
        >>> window.least, window.preferred, window.largest
        (4.8, 6.0, 7.2)

    Source: window and preference practice; neck geometry (derived).
    """
    limits = {
        "overlap": LARGEST_SPACING_TO_DIAMETER * positive("diameter", diameter, "mm"),
        "neck": neck_spacing(diameter, wander, drill_error),
    }
    if leak_tight:
        limits["tightness"] = diameter * math.sqrt(1 - TIGHT_CHORD_TO_DIAMETER**2)
    governed_by = min(limits, key=lambda name: limits[name])
    largest = limits[governed_by]
    least = LEAST_SPACING_TO_DIAMETER * diameter
    if largest < least - _TINY:
        stray = wander + drill_error
        needed = 2 * stray / math.sqrt(1 - LEAST_SPACING_TO_DIAMETER**2)
        raise OutOfRange(
            "diameter",
            diameter,
            f"too small for wander and drill error of {stray:g} mm together",
            f"nearest feasible: a pin of {needed:.2f} mm",
        )
    largest = max(largest, least)  # a last digit of rounding only
    preferred = min(PREFERRED_SPACING_TO_DIAMETER * diameter, largest)
    return SpacingWindow(least, preferred, largest, governed_by)


def pin_count(length: float, spacing: float) -> int:
    """Pins on a row between its two end pins.

    N = ceil(L/s) + 1

    Args:
        length: L between the centres of the end pins [mm].
        spacing: s, largest spacing [mm].

    Returns:
        N [1].

    Validity: positive lengths.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [pin_count(124, s) for s in (4.5, 6, 7.5, 9)]
        [29, 22, 18, 15]

    Source: geometry (derived).
    """
    positive("length", length, "mm")
    positive("spacing", spacing, "mm")
    return math.ceil(length / spacing - _TINY) + 1


def even_spacing(length: float, spacing: float) -> float:
    """Spacing when the row is divided evenly.

    s = L/(N - 1)

    Args:
        length: L between the centres of the end pins [mm].
        spacing: largest spacing allowed [mm].

    Returns:
        s [mm].

    Validity: positive lengths.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(even_spacing(124, 6), 3)
        5.905

    Source: geometry (derived).
    """
    return length / (pin_count(length, spacing) - 1)


# What the row carries


@dataclass(frozen=True)
class RowCapacity:
    """Bounds of what a pin row carries for each side of the crack.

    Forces in N for one pin and N/mm of seam; tension is zero unless a tested value was given.
    """

    shear_out_of_plane: float
    shear_out_of_plane_per_mm: float
    shear_along: float
    shear_along_per_mm: float
    tension_per_mm: float
    blow_out_pressure: float
    governed_by: str  # "parent_thread" or "pin_thread", of the shear out of plane


def parent_thread_area(diameter: float, engagement: float, arc: float = 2 * math.pi) -> float:
    """Shear area of the thread in the parent, over an arc.

    A = 0.875 (psi d/2) Le; the full circle gives 0.875 pi d Le.

    Args:
        diameter: d [mm].
        engagement: Le [mm].
        arc: psi [rad], see :func:`thread_arc`.

    Returns:
        A [mm2].

    Validity: basic sizes of the 60 degree thread; tolerances take a few per cent off.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(parent_thread_area(8, 8), 2), round(parent_thread_area(8, 8, thread_arc(8, 6)), 2)
        (175.93, 47.49)

    Source: FED-STD-H28/2B appendix B, eq. 2b with zero tolerances (read); ASME B1.1 (read2).
    """
    positive("diameter", diameter, "mm")
    positive("engagement", engagement, "mm")
    between("arc", arc, 0.0, 2 * math.pi, "rad")
    return 0.875 * arc * diameter / 2 * engagement


def pin_thread_area(
    diameter: float, pitch: float, engagement: float, arc: float = 2 * math.pi
) -> float:
    """Shear area of the pin's own thread, over an arc.

    A = 0.75 (psi d1/2) Le, d1 = d - 1.0825 P

    Args:
        diameter: d [mm].
        pitch: P [mm].
        engagement: Le [mm].
        arc: psi [rad].

    Returns:
        A [mm2].

    Validity: basic sizes of the 60 degree thread.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(pin_thread_area(8, 1.25, 8), 1)
        125.3

    Source: FED-STD-H28/2B appendix B, eq. 6b (read).
    """
    positive("diameter", diameter, "mm")
    positive("pitch", pitch, "mm")
    positive("engagement", engagement, "mm")
    between("arc", arc, 0.0, 2 * math.pi, "rad")
    minor = positive("diameter", diameter - 1.082532 * pitch, "mm")
    return 0.75 * arc * minor / 2 * engagement


def shear_along(
    diameter: float,
    spacing: float,
    engagement: float,
    tensile_strength: float,
    bearing_factor: float = BEARING_FACTOR,
) -> float:
    """Shear along the crack that one pin carries, bearing on the saw-tooth of the parent.

    V = b_II Le k_b s_u

    Args:
        diameter: d [mm].
        spacing: s [mm].
        engagement: Le [mm].
        tensile_strength: s_u of the wall, not of the grade [MPa].
        bearing_factor: k_b, bearing limit over tensile strength [1].

    Returns:
        V [N] for each side of the crack.

    Validity: 0 < s < d; static load. Less bite, more key against shear.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(shear_along(8, 6, 8, 220) / 6)
        596

    Source: statics (derived); k_b = 1.5 is cautious, well under the compressive strength of iron.
    """
    positive("engagement", engagement, "mm")
    positive("tensile_strength", tensile_strength, "MPa")
    positive("bearing_factor", bearing_factor, "")
    return bearing_width(diameter, spacing) * engagement * bearing_factor * tensile_strength


def blow_out_force(diameter: float, pressure: float) -> float:
    """Force of a pressure behind the wall on one pin.

    F = p pi d^2/4

    Args:
        diameter: d [mm].
        pressure: p [MPa].

    Returns:
        F [N].

    Validity: gauge pressure at or above zero.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(blow_out_force(8, 1.0))
        50

    Source: statics (derived).
    """
    positive("diameter", diameter, "mm")
    return not_negative("pressure", pressure, "MPa") * math.pi * diameter**2 / 4


def seam_tension(tested: float | None = None, flank_angle: float = SYMMETRIC_FLANK) -> float:
    """Tension across the crack that the row may be credited with.

    Zero. A symmetric thread has flanks that face outward: pulled sideways, each half of the parent
    slides off its half of the pin. Only a flank with an undercut can hold, and then only as tested.

    Args:
        tested: tension from a test report [N/mm of seam], or None.
        flank_angle: angle of the loaded flank, negative with an undercut [deg].

    Returns:
        tension [N/mm].

    Validity: a tested value counts only for an undercut flank.

    Raises:
        OutOfRange: a tested value entered for a flank that cannot hold.

    Example:
        >>> seam_tension()
        0.0
        >>> seam_tension(tested=120.0, flank_angle=-10.0)
        120.0

    Source: statics (derived).
    """
    if tested is None:
        return 0.0
    not_negative("tested", tested, "N/mm")
    if tested > 0 and flank_angle >= 0:
        raise OutOfRange(
            "tested", tested, f"0 N/mm: a flank of {flank_angle:g} deg has no undercut to hold with"
        )
    return tested


def splitting_force(clamp_force: float, flank_angle: float = SYMMETRIC_FLANK) -> float:
    """Force with which one tightened pin pushes the two crack faces apart.

    F_split = F tan(beta)/pi on each half

    Args:
        clamp_force: F, axial, under the shoulder [N].
        flank_angle: beta [deg].

    Returns:
        F_split [N].

    Validity: 0 <= beta < 90 deg; a pin set in the crack line.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(splitting_force(5000), 1)
        918.9

    Source: radial line load of the flanks projected on the diameter (derived).
    """
    not_negative("clamp_force", clamp_force, "N")
    between("flank_angle", flank_angle, 0.0, 89.0, "deg")
    return clamp_force * math.tan(math.radians(flank_angle)) / math.pi


def clamp_force(torque: float, diameter: float, nut_factor: float = NUT_FACTOR) -> float:
    """Clamp force of a torque under the shoulder.

    F = T/(K d)

    Args:
        torque: T [N*m].
        diameter: d [mm].
        nut_factor: K [1].

    Returns:
        F [N].

    Validity: an estimate, +/- 30 % with K from lubrication alone.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> clamp_force(10, 8), round(splitting_force(clamp_force(10, 8)))
        (6250.0, 1149)

    Source: short form of the torque equation (memory).
    """
    not_negative("torque", torque, "N*m")
    positive("diameter", diameter, "mm")
    between("nut_factor", nut_factor, 0.05, 0.5, "")
    return torque * 1000 / (nut_factor * diameter)


def row_capacity(
    diameter: float,
    pitch: float,
    spacing: float,
    engagement: float,
    tensile_strength: float,
    *,
    shear_factor: float,
    pin_yield: float | None = None,
    bearing_factor: float = BEARING_FACTOR,
    tested_tension: float | None = None,
    flank_angle: float = SYMMETRIC_FLANK,
) -> RowCapacity:
    """Bounds of everything that a finished row carries.

    out of plane: min(k_s s_u A_parent, 0.577 s_y A_pin) over the arc psi of one side

    Args:
        diameter: d [mm].
        pitch: P [mm].
        spacing: s [mm].
        engagement: Le [mm].
        tensile_strength: s_u of the wall [MPa].
        shear_factor: k_s, shear over tensile strength of the parent [1].
        pin_yield: s_y of the pin [MPa], or None to leave the pin's own thread out.
        bearing_factor: k_b [1].
        tested_tension: as in :func:`seam_tension` [N/mm].
        flank_angle: as in :func:`seam_tension` [deg].

    Returns:
        the bounds; a service load is compared with them through a safety factor.

    Validity: static load, 0 < s < d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> row = row_capacity(8, 1.25, 6, 8, 220, shear_factor=1.0)
        >>> round(row.shear_out_of_plane), round(row.shear_along_per_mm), row.tension_per_mm
        (10448, 596, 0.0)

    Source: statics (derived); thread areas as above.
    """
    positive("tensile_strength", tensile_strength, "MPa")
    between("shear_factor", shear_factor, 0.1, 1.5, "")
    arc = thread_arc(diameter, spacing)
    shears = {
        "parent_thread": shear_factor
        * tensile_strength
        * parent_thread_area(diameter, engagement, arc)
    }
    if pin_yield is not None:
        area = pin_thread_area(diameter, pitch, engagement, arc)
        shears["pin_thread"] = 0.577 * positive("pin_yield", pin_yield, "MPa") * area
    governed_by = min(shears, key=lambda name: shears[name])
    out_of_plane = shears[governed_by]
    along = shear_along(diameter, spacing, engagement, tensile_strength, bearing_factor)
    return RowCapacity(
        shear_out_of_plane=out_of_plane,
        shear_out_of_plane_per_mm=out_of_plane / spacing,
        shear_along=along,
        shear_along_per_mm=along / spacing,
        tension_per_mm=seam_tension(tested_tension, flank_angle),
        blow_out_pressure=2 * out_of_plane / blow_out_force(diameter, 1.0),
        governed_by=governed_by,
    )


def slot_leak(pressure: float, width: float, gap: float, length: float, viscosity: float) -> float:
    """Leak through a flat slot: an estimate for the neck beside a pin.

    Q = dp w h^3/(12 mu L)

    Args:
        pressure: dp over the wall [MPa].
        width: w of the slot [mm].
        gap: h of the slot [mm].
        length: L of the leak path, about the engagement [mm].
        viscosity: mu of the fluid [Pa*s]; water 0.001.

    Returns:
        Q [mL/min] for one pin.

    Validity: laminar flow of a liquid, h << w. An order of magnitude: Q goes with the gap cubed.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(slot_leak(0.3, 6, 0.010, 8, 0.001), 2)
        1.13

    Source: flow between parallel plates (memory).
    """
    not_negative("pressure", pressure, "MPa")
    positive("width", width, "mm")
    positive("length", length, "mm")
    positive("viscosity", viscosity, "Pa*s")
    between("gap", gap, 0.0, width / 10, "mm")
    # MPa = 1e6 Pa; mm3/s = 0.06 mL/min
    mm3_per_second = pressure * 1e6 * width * gap**3 / (12 * viscosity * length)
    return mm3_per_second * 0.06


def _overlapping(diameter: float, spacing: float) -> None:
    positive("diameter", diameter, "mm")
    if not 0 < spacing < diameter:
        raise OutOfRange(
            "spacing", spacing, f"above 0 and below the pin diameter, {diameter:g} mm, to overlap"
        )


def _cosine(value: float) -> float:
    """Rounding may push a cosine a last digit past one."""
    return max(-1.0, min(1.0, value))
