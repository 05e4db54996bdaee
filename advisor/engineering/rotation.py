"""Rim speed of turning castings, and spindle speed for drilling and tapping."""

from __future__ import annotations

from math import pi

from advisor.engineering.ranges import between, not_negative, positive

M_PER_FOOT = 0.3048
CAST_IRON_RIM_SPEED_CEILING = (
    30.0  # m/s, about 6000 ft/min, traditional, for a sound wheel (memory)
)


def rim_speed(diameter_mm: float, rev_per_min: float) -> float:
    """Speed of the rim of a turning part.

    v = pi d n

    Args:
        diameter_mm: outer diameter [mm]
        rev_per_min: highest speed of rotation, overspeed included [1/min]

    Returns:
        speed [m/s]

    Validity: any.

    Raises:
        OutOfRange: a diameter that is not above zero, a negative speed.

    Example:
        >>> round(rim_speed(1200.0, 480.0), 1)
        30.2

    Source: geometry (computed).
    """
    positive("diameter", diameter_mm, "mm")
    not_negative("speed", rev_per_min, "1/min")
    return pi * diameter_mm * rev_per_min / 60_000.0


def rim_stress(speed_m_per_s: float, density_kg_per_m3: float) -> float:
    """Hoop stress that rotation alone puts into a free thin rim.

    s = rho v^2

    Args:
        speed_m_per_s: rim speed [m/s]
        density_kg_per_m3: density of the metal [kg/m3]

    Returns:
        stress [MPa]

    Validity: thin free ring. Arms bend the rim and add to it: a lower bound, never a proof that a
    cracked wheel may turn.

    Raises:
        OutOfRange: a density that is none of a metal, a negative speed.

    Example:
        >>> round(rim_stress(30.0, 7250.0), 1)
        6.5

    Source: any textbook (memory).
    """
    not_negative("speed", speed_m_per_s, "m/s")
    between("density", density_kg_per_m3, 1500.0, 10_000.0, "kg/m3")
    return density_kg_per_m3 * speed_m_per_s**2 / 1e6


def below_rim_speed_ceiling(speed_m_per_s: float) -> bool:
    """Whether a sound cast iron wheel turns below the traditional ceiling.

    v < 30 m/s (about 6000 ft/min)

    Args:
        speed_m_per_s: rim speed [m/s]

    Returns:
        True where it is below

    Validity: sound wheels only. A wheel with a crack in rim, arm or hub does not turn at any
    speed, repaired on one's own authority or not.

    Raises:
        OutOfRange: a negative speed.

    Example:
        >>> below_rim_speed_ceiling(25.0), below_rim_speed_ceiling(30.0)
        (True, False)

    Source: traditional ceiling of the trade (memory).
    """
    return not_negative("speed", speed_m_per_s, "m/s") < CAST_IRON_RIM_SPEED_CEILING


def cutting_speed_from_feet(feet_per_min: float) -> float:
    """Cutting speed from the US unit.

    1 ft/min = 0.3048 m/min

    Args:
        feet_per_min: cutting speed [ft/min]

    Returns:
        cutting speed [m/min]

    Validity: a change of unit.

    Raises:
        OutOfRange: a speed that is not above zero.

    Example:
        >>> round(cutting_speed_from_feet(80.0), 1)
        24.4

    Source: units (computed).
    """
    return positive("cutting_speed", feet_per_min, "ft/min") * M_PER_FOOT


def drilling_rpm(cutting_speed_m_per_min: float, diameter_mm: float) -> float:
    """Spindle speed for drilling.

    n = 1000 v/(pi d)

    Args:
        cutting_speed_m_per_min: cutting speed of the metal and tool [m/min]
        diameter_mm: drill diameter [mm]

    Returns:
        speed [1/min]; a hand-held drill at 50 to 70 % of it (practice)

    Validity: any drill.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(drilling_rpm(30.0, 10.0))
        955

    Source: open machining textbook (read).
    """
    positive("cutting_speed", cutting_speed_m_per_min, "m/min")
    return 1000.0 * cutting_speed_m_per_min / (pi * positive("diameter", diameter_mm, "mm"))


def tapping_rpm(
    cutting_speed_m_per_min: float, diameter_mm: float, *, by_hand: bool, taper_thread: bool
) -> float:
    """Spindle speed for tapping.

    n = 1000 v/(pi d); a third by hand, half for a taper thread

    Args:
        cutting_speed_m_per_min: tapping speed of the metal and tool [m/min]
        diameter_mm: major diameter of the thread [mm]
        by_hand: turned by hand or with a hand-held drive
        taper_thread: a taper pipe thread

    Returns:
        speed [1/min]

    Validity: any tap.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(tapping_rpm(9.0, 8.0, by_hand=False, taper_thread=False))
        358

    Source: tapping-speed tables (read2); a third by hand (practice).
    """
    speed = drilling_rpm(cutting_speed_m_per_min, diameter_mm)
    return speed / (3.0 if by_hand else 1.0) / (2.0 if taper_thread else 1.0)
