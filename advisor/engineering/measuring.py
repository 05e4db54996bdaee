"""What workshop measurements mean: ultrasonic thickness, velocity, hardness, penetrant, yoke."""

from __future__ import annotations

from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, not_negative, positive
from advisor.light_dataclass import dataclass

MPA_PER_PSI = 0.006894757293168361


# Ultrasonic thickness


def _velocity(argument: str, velocity_m_per_s: float) -> float:
    return between(
        argument,
        velocity_m_per_s,
        2000.0,
        7000.0,
        "m/s",
        "longitudinal sound velocity of the metal",
    )


def true_thickness(reading_mm: float, set_velocity: float, true_velocity: float) -> float:
    """Wall thickness from the reading of a gauge set to another metal.

    t = reading x true velocity/set velocity

    Args:
        reading_mm: what the gauge shows [mm]
        set_velocity: velocity that the gauge is set to [m/s]
        true_velocity: velocity of this casting [m/s]

    Returns:
        thickness [mm]

    Validity: longitudinal waves, velocities 2000 to 7000 m/s.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(true_thickness(10.3, 5900.0, 4600.0), 1)
        8.0

    Source: time of flight (computed); velocities from ASTM E494, Table X3.1 (read).
    """
    positive("reading", reading_mm, "mm")
    _velocity("set_velocity", set_velocity)
    _velocity("true_velocity", true_velocity)
    return reading_mm * true_velocity / set_velocity


def thickness_error(set_velocity: float, true_velocity: float) -> float:
    """Part by which a mis-set gauge reads thick; the unsafe side when it is positive.

    reading/true - 1 = set velocity/true velocity - 1

    Args:
        set_velocity: velocity that the gauge is set to [m/s]
        true_velocity: velocity of this casting [m/s]

    Returns:
        relative error, 0.23 for 23 % too thick

    Validity: as `true_thickness`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(thickness_error(5900.0, 4800.0), 2)
        0.23

    Source: time of flight (computed).
    """
    return _velocity("set_velocity", set_velocity) / _velocity("true_velocity", true_velocity) - 1.0


@dataclass(frozen=True)
class Band:
    """A value with its ends."""

    low: float
    middle: float
    high: float


def uncalibrated_thickness(reading_mm: float) -> Band:
    """Band of a thickness taken with the metal's usual velocity, not set on this casting.

    t = reading (1 +/- 0.20)

    Args:
        reading_mm: reading, the gauge set to the usual velocity of that metal [mm]

    Returns:
        thickness with its ends [mm]

    Validity: the gauge was at least set to the right metal; correct it first where it was not.

    Raises:
        OutOfRange: a reading that is not above zero.

    Example:
        >>> uncalibrated_thickness(10.0).low
        8.0

    Source: calibrate where the casting can be callipered, otherwise 20 % (practice).
    """
    positive("reading", reading_mm, "mm")
    return Band(0.8 * reading_mm, reading_mm, 1.2 * reading_mm)


VelocityClass = Literal[
    "flake_iron", "compacted_iron", "nodular_or_compacted_iron", "nodular_iron", "steel", "unclear"
]


def velocity_class(velocity_m_per_s: float) -> VelocityClass:
    """Quick sort of an iron or steel casting by its sound velocity.

    below 5000 flake; 5200 to 5400 compacted; to 5450 compacted or nodular; to 5650 nodular;
    5850 to 5950 steel; between these bands unclear

    Args:
        velocity_m_per_s: longitudinal velocity measured on this casting [m/s]

    Returns:
        the class; a hint, not a proof of graphite form

    Validity: iron and steel, 3500 to 6000 m/s; set-ups differ by up to 5 %.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> velocity_class(4800.0), velocity_class(5900.0)
        ('flake_iron', 'steel')

    Source: ends from ASTM E494 and a nodularity page (read2); compacted band (memory).
    """
    hint = "another metal, or porous or corroded iron: measure again"
    v = between("velocity", velocity_m_per_s, 3500.0, 6000.0, "m/s", hint)
    if v < 5000.0:
        return "flake_iron"
    bands: tuple[tuple[float, float, VelocityClass], ...] = (
        (5200.0, 5400.0, "compacted_iron"),
        (5400.0, 5450.0, "nodular_or_compacted_iron"),
        (5450.0, 5650.0, "nodular_iron"),
        (5850.0, 5950.0, "steel"),
    )
    return next((name for low, high, name in bands if low <= v <= high), "unclear")


@dataclass(frozen=True)
class Nodularity:
    """Share of nodular graphite [%]."""

    low: float
    high: float


def nodularity(velocity_m_per_s: float) -> Nodularity:
    """Nodularity of ductile iron from its sound velocity.

    above 5600 m/s 90 % and more; 5500 to 5600 75 to 90 %; below 5500 under 75 %

    Args:
        velocity_m_per_s: longitudinal velocity measured on this casting [m/s]

    Returns:
        band of nodularity [%]

    Validity: ductile iron, 3500 to 5800 m/s, one matrix; an unground skin reads 10 to 50 m/s low.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> nodularity(5650.0)
        Nodularity(low=90.0, high=100.0)

    Source: one foundry's scale (read2); make a curve of your own.
    """
    v = between("velocity", velocity_m_per_s, 3500.0, 5800.0, "m/s", "faster is steel")
    if v > 5600.0:
        return Nodularity(90.0, 100.0)
    return Nodularity(75.0, 90.0) if v >= 5500.0 else Nodularity(0.0, 75.0)


# Hardness

# SAE J431: strength over hardness in psi per HB, and the grade's hardness band
# (read2, encyclopaedia and foundry copies).
_SAE_RATIO: dict[str, tuple[float, float, float]] = {
    "G1800": (135.0, 100.0, 187.0),
    "G2500": (135.0, 170.0, 229.0),
    "G3000": (150.0, 187.0, 241.0),
    "G3500": (165.0, 207.0, 255.0),
    "G4000": (175.0, 217.0, 269.0),
    "unknown": (135.0, 100.0, 300.0),
}
HARDNESS_SPREAD = 0.25
SaeGrade = Literal["G1800", "G2500", "G3000", "G3500", "G4000", "unknown"]


def gray_iron_strength_from_hardness(hardness_hbw: float, grade: SaeGrade = "unknown") -> Band:
    """Tensile strength of gray iron from its hardness, a screening number.

    s_u = ratio(grade) HB, +/- 25 %

    Args:
        hardness_hbw: Brinell hardness, 10 mm ball, skin ground off [HBW]
        grade: SAE J431 grade; "unknown" takes the lowest ratio

    Returns:
        strength with its ends [MPa]

    Validity: gray iron inside the hardness band of the grade (unknown: 100 to 300 HBW).
    Hardness cannot tell gray from ductile iron.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(gray_iron_strength_from_hardness(200.0, "G3000").middle)
        207

    Source: SAE J431 (read2); spread (practice).
    """
    ratio, low, high = _SAE_RATIO[grade]
    hint = "the grade is not what it is said to be" if grade != "unknown" else "harder is chilled"
    between("hardness", hardness_hbw, low, high, "HBW", hint)
    middle = ratio * MPA_PER_PSI * hardness_hbw
    return Band((1.0 - HARDNESS_SPREAD) * middle, middle, (1.0 + HARDNESS_SPREAD) * middle)


def gray_iron_strength_relative_hardness(hardness_hbw: float, relative_hardness: float) -> float:
    """Tensile strength of gray iron from Brinell and the foundry's relative hardness.

    HB = RH (100 + 0.44 s_u), s_u = (HB/RH - 100)/0.44

    Args:
        hardness_hbw: Brinell hardness [HBW]
        relative_hardness: RH of the foundry, 0.8 to 1.2

    Returns:
        strength [MPa]

    Validity: one type of gray iron, RH known; a harder RH for the same HB means a weaker iron.

    Raises:
        OutOfRange: RH outside 0.8 to 1.2, or a hardness that gives less than 100 MPa.

    Example:
        >>> round(gray_iron_strength_relative_hardness(200.0, 1.0))
        227

    Source: EN 1561, annex on hardness (memory).
    """
    between("relative_hardness", relative_hardness, 0.8, 1.2, "")
    between("hardness", hardness_hbw, 144.0 * relative_hardness, 300.0, "HBW")
    return (hardness_hbw / relative_hardness - 100.0) / 0.44


def steel_strength_from_hardness(hardness_hbw: float, material: str) -> float:
    """Tensile strength of a carbon or low-alloy steel from its hardness.

    s_u = 3.45 HB

    Args:
        hardness_hbw: Brinell hardness [HBW]
        material: material id; only cast_steel is taken

    Returns:
        strength [MPa]

    Validity: carbon and low-alloy steel, 100 to 450 HBW. On gray iron it would give three times
    the true strength.

    Raises:
        OutOfRange: another material, or outside the range.

    Example:
        >>> round(steel_strength_from_hardness(150.0, "cast_steel"))
        518

    Source: textbook of materials testing, eq. 6.20 (read).
    """
    if material != "cast_steel":
        raise OutOfRange(
            "material",
            material,
            "3.45 MPa per HB holds for steel only",
            "gray iron: the ratio of its SAE grade, a third of this",
        )
    between("hardness", hardness_hbw, 100.0, 450.0, "HBW")
    return 3.45 * hardness_hbw


# Penetrant

PENETRANT_COLD_LIMIT, PENETRANT_HOT_LIMIT = 5.0, 52.0
CASTING_DWELL = 5.0
SERVICE_CRACK_DWELL = 30.0
LONGEST_DWELL = 120.0
DEVELOPER_TIME = 10.0


def penetrant_dwell(temperature_degc: float, *, service_crack: bool) -> float:
    """Least penetrant dwell on a casting.

    5 min from 10 degC on, doubled at 5 to 10 degC; a service crack 30 min, doubled below 15.5 degC

    Args:
        temperature_degc: temperature of part and penetrant [degC]
        service_crack: looking for a crack that grew or opened in service

    Returns:
        time [min]; developer at least 10 min after it

    Validity: 5 to 52 degC.

    Raises:
        OutOfRange: outside the range: the technique must be qualified on a comparator block.

    Example:
        >>> penetrant_dwell(7.0, service_crack=False), penetrant_dwell(20.0, service_crack=True)
        (10.0, 30.0)

    Source: ASME V article 6, T-652 and Table T-672 (read); service cracks, US Air Force manual
    on inspection (read), the doubling applied to them (practice).
    """
    between(
        "temperature",
        temperature_degc,
        PENETRANT_COLD_LIMIT,
        PENETRANT_HOT_LIMIT,
        "degC",
        "outside, qualify the technique on a comparator block",
    )
    if service_crack:
        return SERVICE_CRACK_DWELL * (2.0 if temperature_degc < 15.5 else 1.0)
    return CASTING_DWELL * (2.0 if temperature_degc < 10.0 else 1.0)


TimeFit = Literal["too_short", "fits", "too_long"]


def dwell_fit(planned_min: float, temperature_degc: float, *, service_crack: bool) -> TimeFit:
    """Whether a planned penetrant dwell is long enough and not over two hours.

    least dwell <= planned <= 120 min

    Args:
        planned_min: planned dwell [min]
        temperature_degc: temperature of part and penetrant [degC]
        service_crack: looking for a crack that grew or opened in service

    Returns:
        too_short, fits or too_long

    Validity: as `penetrant_dwell`; it must never dry.

    Raises:
        OutOfRange: outside the temperature range.

    Example:
        >>> dwell_fit(150.0, 20.0, service_crack=False)
        'too_long'

    Source: ASME V article 6, T-672 (read).
    """
    not_negative("planned", planned_min, "min")
    if planned_min < penetrant_dwell(temperature_degc, service_crack=service_crack):
        return "too_short"
    return "fits" if planned_min <= LONGEST_DWELL else "too_long"


def developer_reading_fit(after_drying_min: float) -> TimeFit:
    """Whether the final reading of a penetrant test is taken in its window.

    10 to 60 min after the developer has dried

    Args:
        after_drying_min: time since the developer dried [min]

    Returns:
        too_short, fits or too_long

    Validity: any developer.

    Raises:
        OutOfRange: a negative time.

    Example:
        >>> developer_reading_fit(5.0)
        'too_short'

    Source: ASME V article 6, T-676.1 (read).
    """
    not_negative("after_drying", after_drying_min, "min")
    if after_drying_min < DEVELOPER_TIME:
        return "too_short"
    return "fits" if after_drying_min <= 60.0 else "too_long"


LEAST_VISIBLE_LIGHT = 1076.0  # lux


def light_enough(visible_lux: float) -> bool:
    """Whether there is light enough to read a visible-dye or dry-powder test.

    at least 1076 lx (100 foot-candles)

    Args:
        visible_lux: light on the surface [lx]

    Returns:
        True where it is enough

    Validity: visible-dye penetrant, visible magnetic powder.

    Raises:
        OutOfRange: a negative value.

    Example:
        >>> light_enough(500.0)
        False

    Source: ASME V article 6, T-676.3 (read).
    """
    return not_negative("light", visible_lux, "lx") >= LEAST_VISIBLE_LIGHT


# Magnetic yoke

YokeCurrent = Literal["alternating", "direct", "permanent_magnet"]
_LEAST_LIFT: dict[YokeCurrent, float] = {
    "alternating": 4.5,
    "direct": 18.0,
    "permanent_magnet": 18.0,
}


def yoke_lift_passes(current: YokeCurrent, lifted_kg: float) -> bool:
    """Whether a magnetic yoke lifts enough.

    alternating current 4.5 kg, direct current or permanent magnet 18 kg

    Args:
        current: what drives the yoke
        lifted_kg: mass lifted at the widest pole spacing used [kg]

    Returns:
        True where it passes; check each day before use

    Validity: contact as in use.

    Raises:
        OutOfRange: a negative mass.

    Example:
        >>> yoke_lift_passes("alternating", 4.0), yoke_lift_passes("direct", 18.0)
        (False, True)

    Source: ASME V article 7, T-762 (read).
    """
    return not_negative("lifted", lifted_kg, "kg") >= _LEAST_LIFT[current]
