"""The basic profile of 60 degree screw threads: diameters, stress areas, share of full thread.

Metric and unified threads have one basic profile and two different stress areas; the two are kept
apart on purpose.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import Final, Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.light_dataclass import dataclass

# Height at which 100 % of thread is counted: twice 0.75 H, the old American National height.
FULL_THREAD_DEPTH_IN_PITCHES: Final = 1.5 * sqrt(3.0) / 2.0


@dataclass(frozen=True)
class BasicDiameters:
    """Basic diameters of a 60 degree thread [mm].

    Attributes:
        major: d = D
        pitch: d2 = D2
        minor: D1, of the internal thread
        root: d3, of the external thread with a rounded root
    """

    major: float
    pitch: float
    minor: float
    root: float


def triangle_height(pitch_mm: float) -> float:
    """Height of the sharp triangle behind a 60 degree thread.

    H = sqrt(3)/2 * P

    Args:
        pitch_mm: pitch P [mm]

    Returns:
        height H [mm]

    Validity: any pitch above zero.

    Raises:
        OutOfRange: pitch not above zero.

    Example:
        >>> round(triangle_height(2.0), 6)
        1.732051

    Source: ISO 68-1 (memory); published table of thread heights (read).
    """
    return sqrt(3.0) / 2.0 * positive("pitch", pitch_mm, "mm")


def basic_diameters(diameter_mm: float, pitch_mm: float) -> BasicDiameters:
    """Basic pitch, minor and root diameters of a metric or unified thread.

    d2 = d - 3/4 H;  D1 = d - 5/4 H;  d3 = d - 17/12 H

    Args:
        diameter_mm: nominal (major) diameter d [mm]
        pitch_mm: pitch P, 25.4/n for unified threads [mm]

    Returns:
        the four diameters [mm]

    Validity: 60 degree profile of ISO 68-1 and ASME B1.1; d more than 3 P.

    Raises:
        OutOfRange: pitch too coarse for the diameter, or a value not above zero.

    Example:
        >>> b = basic_diameters(16.0, 2.0)
        >>> [round(x, 3) for x in (b.pitch, b.minor, b.root)]
        [14.701, 13.835, 13.546]

    Source: ISO 724, ASME B1.1 (read in second-hand tables).
    """
    height = triangle_height(pitch_mm)
    if positive("diameter", diameter_mm, "mm") <= 3.0 * pitch_mm:
        raise OutOfRange("pitch", pitch_mm, f"must be below d/3 = {diameter_mm / 3.0:.4g} mm")
    return BasicDiameters(
        diameter_mm,
        diameter_mm - 0.75 * height,
        diameter_mm - 1.25 * height,
        diameter_mm - 17.0 / 12.0 * height,
    )


def stress_area_metric(diameter_mm: float, pitch_mm: float) -> float:
    """Tensile stress area of a metric bolt.

    As = pi/4 * ((d2 + d3)/2)^2 = pi/4 * (d - 0.938194 P)^2

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]

    Returns:
        stress area [mm2]

    Validity: metric threads of ISO 68-1 only; the unified constant would be 1.3 % low at M8.

    Raises:
        OutOfRange: as in `basic_diameters`.

    Example:
        >>> round(stress_area_metric(16.0, 2.0), 1)
        156.7

    Source: ISO 898-1 (memory); ISO/TR 16224 4.2.2.2 (read second-hand).
    """
    basic = basic_diameters(diameter_mm, pitch_mm)
    return pi / 4.0 * ((basic.pitch + basic.root) / 2.0) ** 2


def stress_area_unified(diameter_mm: float, pitch_mm: float) -> float:
    """Tensile stress area of a unified bolt, steels up to 180 ksi (1241 MPa).

    As = pi/4 * (d - 0.974279 P)^2

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P = 25.4/n [mm]

    Returns:
        stress area [mm2]

    Validity: unified threads only; tensile strength up to 1241 MPa.

    Raises:
        OutOfRange: as in `basic_diameters`.

    Example:
        >>> round(stress_area_unified(0.75 * 25.4, 2.54) / 25.4**2, 4)
        0.3345

    Source: FED-STD-H28/2B table II.B.1, formula (1b) (read).
    """
    basic_diameters(diameter_mm, pitch_mm)
    return pi / 4.0 * (diameter_mm - 9.0 * sqrt(3.0) / 16.0 * pitch_mm) ** 2


def stress_area_unified_high_strength(pitch_diameter_min_mm: float, pitch_mm: float) -> float:
    """Tensile stress area of a unified bolt of more than 180 ksi (1241 MPa).

    As = pi * (d2min/2 - 0.16238 P)^2

    Args:
        pitch_diameter_min_mm: least pitch diameter of the external thread [mm]
        pitch_mm: pitch P [mm]

    Returns:
        stress area [mm2]

    Validity: unified threads, tensile strength above 1241 MPa.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(stress_area_unified_high_strength(0.6773 * 25.4, 2.54) / 25.4**2, 4)
        0.3266

    Source: machinery handbook, 31st edition, eq. (2b) (read second-hand).
    """
    positive("pitch_diameter_min", pitch_diameter_min_mm, "mm")
    positive("pitch", pitch_mm, "mm")
    return pi * (pitch_diameter_min_mm / 2.0 - 3.0 * sqrt(3.0) / 32.0 * pitch_mm) ** 2


def stress_area(system: Literal["metric", "unified"], diameter_mm: float, pitch_mm: float) -> float:
    """Tensile stress area by the formula that belongs to the thread system.

    Args:
        system: metric (ISO 898-1) or unified (FED-STD-H28/2B)
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]

    Returns:
        stress area [mm2]

    Validity: see the two formulas.

    Raises:
        OutOfRange: another system, or a value outside validity.

    Example:
        >>> round(stress_area("metric", 8.0, 1.25), 2)
        36.61

    Source: see the two formulas.
    """
    if system == "metric":
        return stress_area_metric(diameter_mm, pitch_mm)
    if system == "unified":
        return stress_area_unified(diameter_mm, pitch_mm)
    raise OutOfRange("system", system, "the stress area is known for metric and unified threads")


def percent_of_thread(diameter_mm: float, pitch_mm: float, hole_mm: float) -> float:
    """Share of full thread that a tap-drill hole leaves.

    percent = (d - hole) / (1.299038 P) * 100

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        hole_mm: diameter of the hole before tapping [mm]

    Returns:
        share of thread [%]; a full unified or metric profile is 83.3 %

    Validity: hole below the nominal diameter.

    Raises:
        OutOfRange: hole not below the nominal diameter.

    Example:
        >>> round(percent_of_thread(25.4 / 4, 25.4 / 20, 0.2010 * 25.4), 1)
        75.4

    Source: FED-STD-H28/2B 20.2.3 (read).
    """
    basic_diameters(diameter_mm, pitch_mm)
    if positive("hole", hole_mm, "mm") >= diameter_mm:
        raise OutOfRange("hole", hole_mm, f"must be below the thread diameter {diameter_mm:g} mm")
    return (diameter_mm - hole_mm) / (FULL_THREAD_DEPTH_IN_PITCHES * pitch_mm) * 100.0


def hole_for_percent(diameter_mm: float, pitch_mm: float, percent: float) -> float:
    """Hole that leaves a stated share of full thread.

    hole = d - percent/100 * 1.299038 P

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        percent: share of thread wanted [%]

    Returns:
        diameter of the hole [mm]

    Validity: 40 to 83.4 %; more than the full profile cannot be cut, less is no thread to rely on.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hole_for_percent(16.0, 2.0, 77.0), 2)
        14.0

    Source: FED-STD-H28/2B 20.2.3 (read); lower bound (practice).
    """
    basic_diameters(diameter_mm, pitch_mm)
    between("percent", percent, 40.0, 83.4, "%", "about 75 % is usual")
    return diameter_mm - percent / 100.0 * FULL_THREAD_DEPTH_IN_PITCHES * pitch_mm
