"""Strength of a tapped hole and its bolt: shear areas, stripping loads, engagement needed.

Main view: FED-STD-H28/2B appendix B, which needs only tensile strengths and credits thread metal
with half of them in shear. Other views (ISO/TR 16224, VDI 2230, a quick pull-out rule) stand
beside it and never replace it. Lengths of engagement are full threads, without chamfer or run-out.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import Final, Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.engineering.thread_limits import ThreadLimits
from advisor.light_dataclass import dataclass

# Shear strength of thread metal over its tensile strength (FED-STD-H28/2B 70.7.1, read).
SHEAR_SHARE: Final = 0.5
# R1/R2 from here to 1 counts as "similar strength", so that the length does not jump.
SIMILAR_FROM: Final = 0.95
# Share of the parent's shear strength that preload may use (practice).
PRELOAD_SHARE: Final = 0.7

Kind = Literal["bolt", "hole"]
Governs = Literal["similar strength", "hole stronger", "hole weaker"]


@dataclass(frozen=True)
class StripLoads:
    """Axial loads at which a joint gives way [N].

    Attributes:
        bolt_breaks: tensile failure of the bolt
        bolt_strips: shear of the external thread
        hole_strips: shear of the internal thread
    """

    bolt_breaks: float
    bolt_strips: float
    hole_strips: float

    @property
    def first(self) -> Literal["bolt breaks", "bolt strips", "hole strips"]:
        """What gives way first."""
        if self.bolt_breaks <= min(self.bolt_strips, self.hole_strips):
            return "bolt breaks"
        return "hole strips" if self.hole_strips <= self.bolt_strips else "bolt strips"

    @property
    def least(self) -> float:
        """Load at which the joint gives way [N]."""
        return min(self.bolt_breaks, self.bolt_strips, self.hole_strips)


@dataclass(frozen=True)
class Engagement:
    """Length of engagement at which the bolt breaks before a thread strips.

    Attributes:
        length: length needed [mm]
        governs: which of the three cases of FED-STD-H28/2B 70.7 applies
        area_ratio: R1, bolt thread at basic size over hole thread at minimum material [1]
        strength_ratio: R2, tensile strength of hole over bolt [1]
        similar: length by formula (13) [mm]
        stronger: length by formula (14) [mm]
        weaker: length by formula (16) [mm]
    """

    length: float
    governs: Governs
    area_ratio: float
    strength_ratio: float
    similar: float
    stronger: float
    weaker: float


# Shear areas


def shear_area_of_hole(
    pitch_mm: float, bolt_major_min_mm: float, hole_pitch_max_mm: float, engagement_mm: float
) -> float:
    """Shear area of the internal thread at minimum material.

    ASn = pi/P * LE * dmin * (P/2 + (dmin - D2max)/sqrt(3))

    Args:
        pitch_mm: pitch P [mm]
        bolt_major_min_mm: least major diameter of the bolt, dmin [mm]
        hole_pitch_max_mm: greatest pitch diameter of the hole, D2max [mm]
        engagement_mm: length of engagement LE [mm]

    Returns:
        shear area [mm2]

    Validity: 60 degree threads that overlap.

    Raises:
        OutOfRange: a value not above zero, or threads that do not overlap.

    Example:
        >>> round(shear_area_of_hole(2.0, 15.682, 14.913, 1.0), 2)
        35.57

    Source: FED-STD-H28/2B table II.B.1, formula (2a) (read).
    """
    positive("engagement", engagement_mm, "mm")
    positive("bolt major diameter", bolt_major_min_mm, "mm")
    width = _thread_width(pitch_mm, bolt_major_min_mm - hole_pitch_max_mm)
    return pi / pitch_mm * engagement_mm * bolt_major_min_mm * width


def shear_area_of_bolt(
    pitch_mm: float, bolt_pitch_min_mm: float, hole_minor_max_mm: float, engagement_mm: float
) -> float:
    """Shear area of the external thread at minimum material.

    ASs = pi/P * LE * D1max * (P/2 + (d2min - D1max)/sqrt(3))

    Args:
        pitch_mm: pitch P [mm]
        bolt_pitch_min_mm: least pitch diameter of the bolt, d2min [mm]
        hole_minor_max_mm: greatest minor diameter of the hole, D1max [mm]
        engagement_mm: length of engagement LE [mm]

    Returns:
        shear area [mm2]

    Validity: 60 degree threads that overlap.

    Raises:
        OutOfRange: a value not above zero, or threads that do not overlap.

    Example:
        >>> round(shear_area_of_bolt(2.0, 14.503, 14.210, 1.0), 2)
        26.1

    Source: FED-STD-H28/2B table II.B.1, formula (4a) (read).
    """
    positive("engagement", engagement_mm, "mm")
    positive("hole minor diameter", hole_minor_max_mm, "mm")
    width = _thread_width(pitch_mm, bolt_pitch_min_mm - hole_minor_max_mm)
    return pi / pitch_mm * engagement_mm * hole_minor_max_mm * width


def _thread_width(pitch_mm: float, overlap_mm: float) -> float:
    """Axial width of the thread where it shears."""
    width = positive("pitch", pitch_mm, "mm") / 2.0 + overlap_mm / sqrt(3.0)
    if not 0.0 < width < pitch_mm:
        raise OutOfRange("thread overlap", overlap_mm, "bolt and hole do not belong together")
    return width


def shear_area_simplified(
    kind: Kind | Literal["both", "bolt basic"], diameter_mm: float, engagement_mm: float
) -> float:
    """Shear area without tolerances, for a quick check.

    hole: pi D2 3/4 LE (3);  bolt: pi d2 5/8 LE (5);  bolt basic: pi D1 3/4 LE (6b);
    both together, equal strength: pi D2 1/2 LE (7)

    Args:
        kind: which thread
        diameter_mm: basic pitch diameter, for `bolt basic` the basic minor diameter [mm]
        engagement_mm: length of engagement LE [mm]

    Returns:
        shear area [mm2]

    Validity: nominal diameter from 0.25 in (6.35 mm).

    Raises:
        OutOfRange: a value not above zero, a diameter too small.

    Example:
        >>> round(shear_area_simplified("hole", 14.701, 24.0))
        831

    Source: FED-STD-H28/2B table II.B.1, formulas (3), (5), (6b), (7) (read).
    """
    factor = {"hole": 0.75, "bolt": 0.625, "bolt basic": 0.75, "both": 0.5}[kind]
    positive("engagement", engagement_mm, "mm")
    # 1/4-20 has the least pitch and minor diameters of the sizes allowed: 4.97 mm.
    between("diameter", diameter_mm, 4.9, 300.0, "mm", "use the formulas with tolerances")
    return pi * diameter_mm * factor * engagement_mm


def shear_areas(limits: ThreadLimits, pitch_mm: float, engagement_mm: float) -> tuple[float, float]:
    """Shear areas of bolt and hole at minimum material.

    formulas (4a) and (2a), see `shear_area_of_bolt` and `shear_area_of_hole`

    Args:
        limits: limits of size of the pair
        pitch_mm: pitch P [mm]
        engagement_mm: length of engagement LE [mm]

    Returns:
        bolt, hole [mm2]

    Validity: as the two formulas.

    Raises:
        OutOfRange: as the two formulas.

    Example:
        >>> from advisor.engineering.thread_limits import metric_limits
        >>> [round(a, 2) for a in shear_areas(metric_limits(16.0, 2.0), 2.0, 1.0)]
        [26.1, 35.57]

    Source: FED-STD-H28/2B (read).
    """
    bolt = shear_area_of_bolt(pitch_mm, limits.bolt_pitch_min, limits.hole_minor_max, engagement_mm)
    hole = shear_area_of_hole(pitch_mm, limits.bolt_major_min, limits.hole_pitch_max, engagement_mm)
    return bolt, hole


# Loads and lengths


def strip_loads(
    limits: ThreadLimits,
    pitch_mm: float,
    stress_area_mm2: float,
    engagement_mm: float,
    bolt_tensile_mpa: float,
    hole_tensile_mpa: float,
    shear_share: float = SHEAR_SHARE,
) -> StripLoads:
    """Loads that break the bolt, strip the bolt and strip the hole.

    F = As * Rm_bolt;  F = share * Rm_bolt * ASs;  F = share * Rm_hole * ASn

    Args:
        limits: limits of size of the pair
        pitch_mm: pitch P [mm]
        stress_area_mm2: tensile stress area of the bolt As [mm2]
        engagement_mm: length of engagement LE [mm]
        bolt_tensile_mpa: tensile strength of the bolt [MPa]
        hole_tensile_mpa: tensile strength of the tapped metal [MPa]
        shear_share: shear strength over tensile strength [1]

    Returns:
        the three loads [N]

    Validity: share 0.4 to 1; half is conservative for grey iron, whose shear strength is at or
    above its tensile strength.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> from advisor.engineering.thread_limits import metric_limits
        >>> loads = strip_loads(metric_limits(16.0, 2.0), 2.0, 156.7, 16.0, 800.0, 250.0)
        >>> round(loads.bolt_breaks), round(loads.hole_strips), loads.first
        (125360, 71140, 'hole strips')

    Source: FED-STD-H28/2B 70.7 (read).
    """
    between("shear share", shear_share, 0.4, 1.0, "")
    positive("stress area", stress_area_mm2, "mm2")
    positive("bolt tensile strength", bolt_tensile_mpa, "MPa")
    positive("hole tensile strength", hole_tensile_mpa, "MPa")
    bolt, hole = shear_areas(limits, pitch_mm, engagement_mm)
    return StripLoads(
        stress_area_mm2 * bolt_tensile_mpa,
        shear_share * bolt_tensile_mpa * bolt,
        shear_share * hole_tensile_mpa * hole,
    )


def engagement_similar_strength(stress_area_mm2: float, pitch_diameter_mm: float) -> float:
    """Engagement where bolt and hole are of similar strength.

    LE = 4 As / (pi d2)

    Args:
        stress_area_mm2: As [mm2]
        pitch_diameter_mm: basic pitch diameter d2 [mm]

    Returns:
        length [mm]

    Validity: R1/R2 near 1.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(engagement_similar_strength(156.668, 14.701), 2)
        13.57

    Source: FED-STD-H28/2B formula (13) (read).
    """
    positive("stress area", stress_area_mm2, "mm2")
    return 4.0 * stress_area_mm2 / (pi * positive("pitch diameter", pitch_diameter_mm, "mm"))


def engagement_hole_stronger(stress_area_mm2: float, bolt_shear_area_per_mm: float) -> float:
    """Engagement where the hole is the stronger: the bolt thread must not strip.

    LE = 2 As / (ASs/LE)

    Args:
        stress_area_mm2: As [mm2]
        bolt_shear_area_per_mm: shear area of the bolt thread for each mm of engagement [mm2/mm]

    Returns:
        length [mm]

    Validity: R1/R2 below 1.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(engagement_hole_stronger(156.668, 26.0985), 2)
        12.01

    Source: FED-STD-H28/2B formula (14) (read).
    """
    positive("stress area", stress_area_mm2, "mm2")
    return 2.0 * stress_area_mm2 / positive("bolt shear area", bolt_shear_area_per_mm, "mm2/mm")


def engagement_hole_weaker(
    stress_area_mm2: float, hole_shear_area_per_mm: float, strength_ratio: float
) -> float:
    """Engagement where the hole is the weaker: the hole thread must not strip.

    LE = 2 As / (ASn/LE * R2), which is LE(15) * R1/R2

    Args:
        stress_area_mm2: As [mm2]
        hole_shear_area_per_mm: shear area of the hole thread for each mm of engagement [mm2/mm]
        strength_ratio: R2, tensile strength of hole over bolt [1]

    Returns:
        length [mm]

    Validity: R1/R2 above 1.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(engagement_hole_weaker(156.668, 35.572, 250.0 / 800.0), 1)
        28.2

    Source: FED-STD-H28/2B formula (16) (read).
    """
    positive("stress area", stress_area_mm2, "mm2")
    positive("strength ratio", strength_ratio, "")
    hole = positive("hole shear area", hole_shear_area_per_mm, "mm2/mm")
    return 2.0 * stress_area_mm2 / (hole * strength_ratio)


def engagement_needed(
    limits: ThreadLimits,
    pitch_mm: float,
    stress_area_mm2: float,
    bolt_tensile_mpa: float,
    hole_tensile_mpa: float,
) -> Engagement:
    """Length of engagement at which the bolt breaks before either thread strips.

    R1 = pi D1 3/4 / (ASn/LE);  R2 = Rm_hole / Rm_bolt;
    R1/R2 below 0.95: formula (14); from 0.95: the largest of (13), (14) and (16)

    Args:
        limits: limits of size of the pair
        pitch_mm: pitch P [mm]
        stress_area_mm2: tensile stress area of the bolt As [mm2]
        bolt_tensile_mpa: tensile strength of the bolt [MPa]
        hole_tensile_mpa: tensile strength of the tapped metal [MPa]

    Returns:
        the length and what governs it

    Validity: full threads, static load; add chamfer and run-out. Critical joints: verify by test.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> from advisor.engineering.thread_limits import metric_limits
        >>> need = engagement_needed(metric_limits(16.0, 2.0), 2.0, 156.668, 800.0, 250.0)
        >>> round(need.length, 1), need.governs
        (28.2, 'hole weaker')

    Source: FED-STD-H28/2B 70.7.3 to 70.7.5 (read); band of similar strength (computed).
    """
    strength_ratio = positive("hole tensile strength", hole_tensile_mpa, "MPa") / positive(
        "bolt tensile strength", bolt_tensile_mpa, "MPa"
    )
    bolt, hole = shear_areas(limits, pitch_mm, 1.0)
    area_ratio = 0.75 * pi * limits.hole_minor_min / hole
    similar = engagement_similar_strength(stress_area_mm2, limits.hole_pitch_min)
    stronger = engagement_hole_stronger(stress_area_mm2, bolt)
    weaker = engagement_hole_weaker(stress_area_mm2, hole, strength_ratio)
    cases: list[tuple[float, Governs]] = [(stronger, "hole stronger")]
    if area_ratio / strength_ratio >= SIMILAR_FROM:
        cases += [(similar, "similar strength"), (weaker, "hole weaker")]
    length, governs = max(cases)
    return Engagement(length, governs, area_ratio, strength_ratio, similar, stronger, weaker)


def j_factor(
    bolt_shear_area_mm2: float,
    hole_shear_area_mm2: float,
    bolt_tensile_mpa: float,
    hole_tensile_mpa: float,
) -> float:
    """Relative strength of bolt thread and hole thread.

    J = (ASs * Rm_bolt) / (ASn * Rm_hole)

    Args:
        bolt_shear_area_mm2: ASs [mm2]
        hole_shear_area_mm2: ASn, for the same engagement [mm2]
        bolt_tensile_mpa: tensile strength of the bolt [MPa]
        hole_tensile_mpa: tensile strength of the tapped metal [MPa]

    Returns:
        J [1]; up to 1 the length of formula (14) will do, above 1 multiply it by J

    Validity: areas at minimum material; then J * LE(14) = LE(16) exactly.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(j_factor(26.10, 35.57, 800.0, 250.0), 3)
        2.348

    Source: machinery handbook (read in part); identity with (16) (computed).
    """
    return (
        positive("bolt shear area", bolt_shear_area_mm2, "mm2")
        * positive("bolt tensile strength", bolt_tensile_mpa, "MPa")
        / positive("hole shear area", hole_shear_area_mm2, "mm2")
        / positive("hole tensile strength", hole_tensile_mpa, "MPa")
    )


def pull_out_quick(
    pitch_diameter_mm: float, shear_strength_mpa: float, full_thread_length_mm: float
) -> float:
    """Quick pull-out load of a tapped hole.

    P = pi * dm * Fs * L / 3

    Args:
        pitch_diameter_mm: mean diameter of the thread, about the pitch diameter dm [mm]
        shear_strength_mpa: shear strength of the tapped metal Fs [MPa]
        full_thread_length_mm: full threads; the last two or three of a hole are not [mm]

    Returns:
        load [N]

    Validity: first estimate; the 1/3 is empirical, perfect threads would have 1/2.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(pull_out_quick(14.701, 250.0, 24.0) / 1000, 1)
        92.4

    Source: NASA RP-1228 (read, one passage).
    """
    positive("pitch diameter", pitch_diameter_mm, "mm")
    positive("shear strength", shear_strength_mpa, "MPa")
    positive("full thread length", full_thread_length_mm, "mm")
    return pi * pitch_diameter_mm * shear_strength_mpa * full_thread_length_mm / 3.0


def preload_limit(
    shear_strength_mpa: float, hole_shear_area_mm2: float, share: float = PRELOAD_SHARE
) -> float:
    """Greatest preload that the tapped hole, not the bolt, allows.

    F = share * tau * ASn

    Args:
        shear_strength_mpa: shear strength of the tapped metal tau [MPa]
        hole_shear_area_mm2: shear area of the hole thread ASn [mm2]
        share: share used [1]

    Returns:
        preload [N]

    Validity: share above 0, up to 0.7.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(preload_limit(125.0, 560.0))
        49000

    Source: common practice.
    """
    between("share", share, 0.01, PRELOAD_SHARE, "")
    positive("shear strength", shear_strength_mpa, "MPa")
    return share * shear_strength_mpa * positive("hole shear area", hole_shear_area_mm2, "mm2")


# ISO/TR 16224 and VDI 2230: the alternative view


@dataclass(frozen=True)
class AlternativeEngagement:
    """Engagement by ISO/TR 16224.

    Attributes:
        length: the larger of the two [mm]
        for_bolt_thread: so that the bolt thread holds [mm]
        for_hole_thread: so that the hole thread holds [mm]
        strength_ratio: Rs [1]
        c1: factor for the widening of the nut [1]
        c2: factor for bending of the bolt thread [1]
        c3: factor for bending of the hole thread [1]
    """

    length: float
    for_bolt_thread: float
    for_hole_thread: float
    strength_ratio: float
    c1: float
    c2: float
    c3: float


def widening_factor(width_across_flats_mm: float | None, diameter_mm: float) -> float:
    """C1: loss of engagement as a thin nut or boss widens.

    C1 = -(s/d)^2 + 3.8 s/d - 2.6, never above 1; 1 for a solid block

    Args:
        width_across_flats_mm: s, or None for a solid block [mm]
        diameter_mm: nominal diameter d [mm]

    Returns:
        C1 [1]

    Validity: s/d from 1.4. The formula passes 1 between s/d 1.8 and 1.9; 1 is used there.

    Raises:
        OutOfRange: s/d below 1.4.

    Example:
        >>> round(widening_factor(24.0, 16.0), 3), widening_factor(None, 16.0)
        (0.85, 1.0)

    Source: ISO/TR 16224 4.2.3.1 (read second-hand).
    """
    positive("diameter", diameter_mm, "mm")
    if width_across_flats_mm is None:
        return 1.0
    ratio = width_across_flats_mm / diameter_mm
    if not ratio >= 1.4:
        raise OutOfRange("s/d", round(ratio, 4), "must be 1.4 or more", "a thicker boss is needed")
    return 1.0 if ratio >= 1.8 else min(1.0, -(ratio**2) + 3.8 * ratio - 2.6)


def bending_factor_bolt(strength_ratio: float) -> float:
    """C2: loss from bending of the bolt thread.

    C2 = 0.897 for Rs <= 1, else 5.594 - 13.682 Rs + 14.107 Rs^2 - 6.057 Rs^3 + 0.9353 Rs^4

    Args:
        strength_ratio: Rs, strength of hole thread over bolt thread [1]

    Returns:
        C2 [1]

    Validity: Rs above 0, below 2.2.

    Raises:
        OutOfRange: outside.

    Example:
        >>> bending_factor_bolt(0.7), round(bending_factor_bolt(1.5), 3)
        (0.897, 1.104)

    Source: ISO/TR 16224 4.2.3.1 (read second-hand).
    """
    if positive("Rs", strength_ratio, "") <= 1.0:
        return 0.897
    if strength_ratio >= 2.2:
        raise OutOfRange("Rs", strength_ratio, "must be below 2.2")
    r = strength_ratio
    return 5.594 - 13.682 * r + 14.107 * r**2 - 6.057 * r**3 + 0.9353 * r**4


def bending_factor_hole(strength_ratio: float) -> float:
    """C3: loss from bending of the hole thread.

    C3 = 0.897 for Rs >= 1, else 0.728 + 1.769 Rs - 2.896 Rs^2 + 1.296 Rs^3

    Args:
        strength_ratio: Rs, strength of hole thread over bolt thread [1]

    Returns:
        C3 [1]

    Validity: Rs from 0.4.

    Raises:
        OutOfRange: Rs below 0.4.

    Example:
        >>> bending_factor_hole(1.2), round(bending_factor_hole(0.5), 3)
        (0.897, 1.05)

    Source: ISO/TR 16224 4.2.3.1 (read second-hand).
    """
    if strength_ratio >= 1.0:
        return 0.897
    if not strength_ratio >= 0.4:
        raise OutOfRange("Rs", strength_ratio, "must be 0.4 or more", "use FED-STD-H28/2B")
    r = strength_ratio
    return 0.728 + 1.769 * r - 2.896 * r**2 + 1.296 * r**3


def bolt_area_16224(
    pitch_mm: float, bolt_pitch_mm: float, hole_minor_mm: float, engagement_mm: float
) -> float:
    """Shear area of the bolt thread with a bell-mouthed hole.

    A = LE/P pi [0.6 D1 (P/2 + (d2 - D1)/sqrt(3)) + 0.4 Dm (P/2 + (d2 - Dm)/sqrt(3))], Dm = 1.026 D1

    Args:
        pitch_mm: pitch P [mm]
        bolt_pitch_mm: pitch diameter of the bolt d2 [mm]
        hole_minor_mm: minor diameter of the hole D1 [mm]
        engagement_mm: length of engagement LE [mm]

    Returns:
        shear area [mm2]

    Validity: 60 degree threads that overlap.

    Raises:
        OutOfRange: a value not above zero, or threads that do not overlap.

    Example:
        >>> round(bolt_area_16224(2.0, 14.701, 13.835, 1.0), 2)
        31.08

    Source: ISO/TR 16224 4.2.3.1 (read second-hand).
    """
    mouth = 1.026 * hole_minor_mm
    straight = shear_area_of_bolt(pitch_mm, bolt_pitch_mm, hole_minor_mm, engagement_mm)
    bell = shear_area_of_bolt(pitch_mm, bolt_pitch_mm, mouth, engagement_mm)
    return 0.6 * straight + 0.4 * bell


def engagement_16224(
    basic_major_mm: float,
    pitch_mm: float,
    bolt_pitch_mm: float,
    hole_minor_mm: float,
    stress_area_mm2: float,
    bolt_tensile_mpa: float,
    hole_tensile_mpa: float,
    width_across_flats_mm: float | None = None,
) -> AlternativeEngagement:
    """Length of engagement by ISO/TR 16224, beside the main view.

    LE = max(As / (0.6 Ab C1 C2), As Rm_bolt / (0.6 Rm_hole An C1 C3)), Ab and An for each mm

    Args:
        basic_major_mm: major diameter d [mm]
        pitch_mm: pitch P [mm]
        bolt_pitch_mm: basic pitch diameter d2 = D2 [mm]
        hole_minor_mm: basic minor diameter D1 [mm]
        stress_area_mm2: As [mm2]
        bolt_tensile_mpa: tensile strength of the bolt [MPa]
        hole_tensile_mpa: tensile strength of the tapped metal [MPa]
        width_across_flats_mm: s of a nut or boss, None for a solid block [mm]

    Returns:
        lengths and factors

    Validity: strength ratio Rs 0.4 to 2.2, s/d from 1.4; made for nuts.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> e = engagement_16224(16.0, 2.0, 14.701, 13.835, 156.7, 800.0, 450.0)
        >>> round(e.length, 1), round(e.strength_ratio, 2)
        (11.1, 0.8)

    Source: ISO/TR 16224 (read second-hand).
    """
    positive("stress area", stress_area_mm2, "mm2")
    bolt = bolt_area_16224(pitch_mm, bolt_pitch_mm, hole_minor_mm, 1.0)
    hole = shear_area_of_hole(pitch_mm, basic_major_mm, bolt_pitch_mm, 1.0)
    hole_strength = positive("hole tensile strength", hole_tensile_mpa, "MPa") * hole
    ratio = hole_strength / (positive("bolt tensile strength", bolt_tensile_mpa, "MPa") * bolt)
    c1 = widening_factor(width_across_flats_mm, basic_major_mm)
    c2, c3 = bending_factor_bolt(ratio), bending_factor_hole(ratio)
    for_bolt = stress_area_mm2 / (0.6 * bolt * c1 * c2)
    for_hole = stress_area_mm2 * bolt_tensile_mpa / (0.6 * hole_strength * c1 * c3)
    return AlternativeEngagement(max(for_bolt, for_hole), for_bolt, for_hole, ratio, c1, c2, c3)


def engagement_vdi(
    stress_area_mm2: float,
    hole_shear_area_per_mm: float,
    bolt_tensile_mpa: float,
    hole_shear_mpa: float,
    pitch_mm: float,
    c1: float,
    c3: float,
    blind: bool = True,
) -> tuple[float, float]:
    """Length of engagement by VDI 2230, beside the main view.

    m_eff = 1.2 Rm_bolt As / (tau_hole (An/LE) C1 C3);  m = m_eff + 3 P blind, + 2 P through

    Args:
        stress_area_mm2: As [mm2]
        hole_shear_area_per_mm: An for each mm [mm2/mm]
        bolt_tensile_mpa: tensile strength of the bolt [MPa]
        hole_shear_mpa: shear strength of the tapped metal, known from test [MPa]
        pitch_mm: pitch P [mm]
        c1: widening factor [1]
        c3: bending factor of the hole thread [1]
        blind: whether the hole is blind

    Returns:
        effective length, length with the part that does not bear [mm]

    Validity: needs a shear strength from test; it gives about half the length of the main view
    in grey iron because it does not halve the tensile strength.

    Raises:
        OutOfRange: a value not above zero, a factor above 1.2.

    Example:
        >>> [round(x, 1) for x in engagement_vdi(84.27, 26.11, 800.0, 250.0, 1.75, 1.0, 1.055)]
        [11.7, 17.0]

    Source: VDI 2230 sheet 1, step R11 (read second-hand).
    """
    for name, factor in (("C1", c1), ("C3", c3)):
        between(name, factor, 0.5, 1.2, "")
    positive("stress area", stress_area_mm2, "mm2")
    positive("bolt tensile strength", bolt_tensile_mpa, "MPa")
    resistance = positive("hole shear area", hole_shear_area_per_mm, "mm2/mm") * positive(
        "hole shear strength", hole_shear_mpa, "MPa"
    )
    effective = 1.2 * bolt_tensile_mpa * stress_area_mm2 / (resistance * c1 * c3)
    idle = (3.0 if blind else 2.0) * positive("pitch", pitch_mm, "mm")
    return effective, effective + idle
