"""Limits of size of tapped holes and bolts: ISO 965-1 (6g/6H and kin) and ASME B1.1 (2A/2B).

ISO 965-1 prints rounded tolerances. Its formulas, rounded to the preferred numbers, give the
printed value in all but a few cells; those few are held here, and the printed value is used.
"""

from __future__ import annotations

from bisect import bisect_left
from math import floor, sqrt
from typing import Final

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.engineering.thread_series import MM_PER_INCH
from advisor.engineering.threads import basic_diameters
from advisor.light_dataclass import dataclass


@dataclass(frozen=True)
class ThreadLimits:
    """Limits of size of a bolt and of its tapped hole [mm]."""

    bolt_major_max: float
    bolt_major_min: float
    bolt_pitch_max: float
    bolt_pitch_min: float
    hole_minor_min: float
    hole_minor_max: float
    hole_pitch_min: float
    hole_pitch_max: float


# Metric: ISO 965-1

# Diameter steps of ISO 965-1, over - up to and including [mm] (read second-hand).
DIAMETER_STEPS: Final = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 300.0)

# Rounded preferred numbers R40, one decade (memory).
_R40: Final = (
    *(1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70, 1.80, 1.90, 2.00, 2.12),
    *(2.24, 2.36, 2.50, 2.65, 2.80, 3.00, 3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75),
    *(5.00, 5.30, 5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50, 9.00, 9.50),
)

# Deviation g / G by pitch [um] (P 0.7 to 5 checked against read rows, the others memory).
_DEVIATION_G_UM: Final[dict[float, float]] = {
    **{0.2: 17, 0.25: 18, 0.3: 18, 0.35: 19, 0.4: 19, 0.45: 20, 0.5: 20, 0.6: 21},
    **{0.7: 22, 0.75: 22, 0.8: 24, 1.0: 26, 1.25: 28, 1.5: 32, 1.75: 34, 2.0: 38},
    **{2.5: 42, 3.0: 48, 3.5: 53, 4.0: 60, 4.5: 63, 5.0: 71, 5.5: 75, 6.0: 80},
}

# Constant and slope of the other deviations, es = -(constant + 11 P) [um] (read second-hand).
_DEVIATION_CONSTANT_UM: Final = {"e": 50.0, "f": 30.0, "g": 15.0, "G": 15.0}

# Cells of grade 6 where the printed value is not the formula rounded to the nearest R40 [um]:
# keyed by tolerance, pitch, lower end of the diameter step (None: any diameter).
TABLE_DEPARTURES_UM: Final[dict[tuple[str, float, float | None], float]] = {
    ("TD2", 1.5, 5.6): 180,  # read: M10 6H
    ("TD2", 1.25, 11.2): 180,  # read: M12x1.25 6H
    ("TD2", 1.5, 11.2): 190,  # read: M12x1.5 and M14x1.5 6H
    ("TD2", 4.5, 22.4): 315,  # memory
    ("Td2", 5.0, 45.0): 250,  # memory
    ("TD1", 0.5, None): 140,  # memory
    ("TD1", 1.0, None): 236,  # read: M6 to M14x1 6H; the formula falls half way between two
    ("TD1", 2.5, None): 450,  # read: M20 6H
    ("Td", 4.0, None): 475,  # memory
}

_MAJOR_GRADES: Final = {"4": 0.63, "6": 1.0, "8": 1.6}
_BOLT_PITCH_GRADES: Final = {"3": 0.5, "4": 0.63, "5": 0.8, "6": 1.0, "7": 1.25, "8": 1.6, "9": 2.0}
# Of the grade 6 tolerance of the bolt.
_HOLE_PITCH_GRADES: Final = {"4": 0.85, "5": 1.06, "6": 1.32, "7": 1.7, "8": 2.12}
_MINOR_GRADES: Final = {"4": 0.63, "5": 0.8, "6": 1.0, "7": 1.25, "8": 1.6}


def nearest_preferred(value: float) -> float:
    """Nearest number of the rounded R40 series.

    Args:
        value: number to round

    Returns:
        preferred number; the upper one where two are equally near

    Validity: above zero.

    Raises:
        OutOfRange: value not above zero.

    Example:
        >>> nearest_preferred(197.4), nearest_preferred(94.2)
        (200.0, 95.0)

    Source: ISO 3 / ISO 497 (memory).
    """
    positive("value", value, "")
    decade = 1.0
    while value / decade >= 10.0:
        decade *= 10.0
    while value / decade < 1.0:
        decade /= 10.0
    series = (*_R40, 10.0)
    place = bisect_left(series, value / decade)
    around = series[max(place - 1, 0) : place + 1]
    best = min(around, key=lambda number: (round(abs(number - value / decade), 9), -number))
    return round(best * decade, 6)


def diameter_step(diameter_mm: float) -> tuple[float, float]:
    """Diameter step of ISO 965-1 that holds a diameter.

    Args:
        diameter_mm: nominal diameter [mm]

    Returns:
        the ends of the step, over and up to and including [mm]

    Validity: over 0.99 to 300 mm.

    Raises:
        OutOfRange: outside.

    Example:
        >>> diameter_step(22.4), diameter_step(24.0)
        ((11.2, 22.4), (22.4, 45.0))

    Source: ISO 965-1 (read second-hand).
    """
    between("diameter", diameter_mm, DIAMETER_STEPS[0], DIAMETER_STEPS[-1], "mm")
    place = max(1, bisect_left(DIAMETER_STEPS, diameter_mm))
    return DIAMETER_STEPS[place - 1], DIAMETER_STEPS[place]


def metric_tolerance_formula(name: str, pitch_mm: float, diameter_mm: float) -> float:
    """Grade 6 tolerance by the formulas of ISO 965-1, not rounded.

    Td = 180 P^(2/3) - 3.15/sqrt(P);  Td2 = 90 P^0.4 dm^0.1;  TD2 = 1.32 Td2;
    TD1 = 433 P - 190 P^1.22 (P up to 0.8), 230 P^0.7 (P from 1)

    Args:
        name: Td (bolt major), Td2 (bolt pitch), TD2 (hole pitch) or TD1 (hole minor)
        pitch_mm: pitch P [mm]
        diameter_mm: dm, the geometric mean of the ends of the diameter step [mm]

    Returns:
        tolerance [um]

    Validity: pitch 0.2 to 8 mm.

    Raises:
        OutOfRange: outside, or another name.

    Example:
        >>> round(metric_tolerance_formula("Td2", 2.0, 15.875), 1)
        156.6

    Source: ISO 965-1 clause 13 (read second-hand).
    """
    between("pitch", pitch_mm, 0.2, 8.0, "mm")
    positive("diameter", diameter_mm, "mm")
    if name == "Td":
        return 180.0 * float(pitch_mm ** (2.0 / 3.0)) - 3.15 / sqrt(pitch_mm)
    if name == "Td2":
        return 90.0 * float(pitch_mm**0.4 * diameter_mm**0.1)
    if name == "TD2":
        return 1.32 * 90.0 * float(pitch_mm**0.4 * diameter_mm**0.1)
    if name == "TD1" and pitch_mm < 0.9:
        return 433.0 * pitch_mm - 190.0 * float(pitch_mm**1.22)
    if name == "TD1":
        return 230.0 * float(pitch_mm**0.7)
    raise OutOfRange("tolerance", name, "must be Td, Td2, TD2 or TD1")


def metric_tolerance(name: str, grade: str, diameter_mm: float, pitch_mm: float) -> float:
    """Tolerance of ISO 965-1: the printed value where the formula departs from it.

    Args:
        name: Td, Td2, TD2 or TD1
        grade: tolerance grade, a digit
        diameter_mm: nominal diameter [mm]
        pitch_mm: pitch P [mm]

    Returns:
        tolerance [mm]

    Validity: grades of ISO 965-1, pitch 0.2 to 8 mm, diameter 0.99 to 300 mm. Grades other than 6
    are the formula rounded to R40.

    Raises:
        OutOfRange: outside, or a grade that the standard does not have for this diameter.

    Example:
        >>> metric_tolerance("TD2", "6", 10.0, 1.5), metric_tolerance("Td2", "6", 16.0, 2.0)
        (0.18, 0.16)

    Source: ISO 965-1 (read second-hand; departures as marked beside each).
    """
    grades = {
        "Td": _MAJOR_GRADES,
        "Td2": _BOLT_PITCH_GRADES,
        "TD2": _HOLE_PITCH_GRADES,
        "TD1": _MINOR_GRADES,
    }.get(name)
    if grades is None:
        raise OutOfRange("tolerance", name, "must be Td, Td2, TD2 or TD1")
    if grade not in grades:
        raise OutOfRange("tolerance grade", grade, f"{name} has the grades {', '.join(grades)}")
    low, high = diameter_step(diameter_mm)
    if grade == "6":
        for step in (low, None):
            if (name, pitch_mm, step) in TABLE_DEPARTURES_UM:
                return TABLE_DEPARTURES_UM[(name, pitch_mm, step)] / 1000.0
    base = "Td2" if name == "TD2" else name
    value = metric_tolerance_formula(base, pitch_mm, sqrt(low * high)) * grades[grade]
    return nearest_preferred(value) / 1000.0


def metric_deviation(letter: str, pitch_mm: float) -> float:
    """Fundamental deviation of a tolerance position, as a distance toward clearance.

    e: 50 + 11 P;  f: 30 + 11 P;  g, G: 15 + 11 P;  h, H: 0 (P in mm, result in um)

    Args:
        letter: tolerance position e, f, g, h (bolt) or G, H (hole)
        pitch_mm: pitch P [mm]

    Returns:
        deviation [mm]; subtract for a bolt, add for a hole

    Validity: pitch 0.2 to 8 mm; the printed g and G are used up to 6 mm.

    Raises:
        OutOfRange: another letter, or a pitch outside.

    Example:
        >>> metric_deviation("g", 2.0), metric_deviation("H", 2.0)
        (0.038, 0.0)

    Source: ISO 965-1 clause 13 (read second-hand), printed g series (memory, checked in part).
    """
    between("pitch", pitch_mm, 0.2, 8.0, "mm")
    if letter in ("h", "H"):
        return 0.0
    if letter not in _DEVIATION_CONSTANT_UM:
        raise OutOfRange("tolerance position", letter, "must be e, f, g, h, G or H")
    if letter in ("g", "G") and pitch_mm in _DEVIATION_G_UM:
        return _DEVIATION_G_UM[pitch_mm] / 1000.0
    return floor(_DEVIATION_CONSTANT_UM[letter] + 11.0 * pitch_mm + 0.5) / 1000.0


def _class_parts(tolerance_class: str, letters: str) -> tuple[str, str, str, str]:
    """Split `6g` or `4e6g` into pitch grade, pitch letter, crest grade, crest letter."""
    text = tolerance_class if len(tolerance_class) == 4 else tolerance_class * 2
    if len(text) != 4 or text[1] not in letters or text[3] not in letters:
        raise OutOfRange("tolerance class", tolerance_class, f"needs a digit and one of {letters}")
    return text[0], text[1], text[2], text[3]


def metric_limits(
    diameter_mm: float, pitch_mm: float, bolt_class: str = "6g", hole_class: str = "6H"
) -> ThreadLimits:
    """Limits of size of a metric bolt and tapped hole.

    bolt: d = d - es .. - Td, d2 = d2 - es .. - Td2; hole: D1 + EI .. + TD1, D2 + EI .. + TD2

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        bolt_class: tolerance class of the bolt, pitch first: `6g`, `4e6g`
        hole_class: tolerance class of the hole, pitch first: `6H`, `5H6H`

    Returns:
        limits [mm], basic diameters rounded to 0.001 mm first as the standard does

    Validity: as `metric_tolerance`; for the normal length of engagement.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> lim = metric_limits(10.0, 1.5)
        >>> lim.bolt_major_min, lim.bolt_pitch_min, lim.hole_minor_max, lim.hole_pitch_max
        (9.732, 8.862, 8.676, 9.206)

    Source: ISO 965-1 (read second-hand).
    """
    basic = basic_diameters(diameter_mm, pitch_mm)
    pitch_basic, minor_basic = round(basic.pitch, 3), round(basic.minor, 3)
    pitch_grade, pitch_letter, crest_grade, crest_letter = _class_parts(bolt_class, "efgh")
    crest = diameter_mm - metric_deviation(crest_letter, pitch_mm)
    flank = pitch_basic - metric_deviation(pitch_letter, pitch_mm)
    hole_grade, hole_letter, minor_grade, minor_letter = _class_parts(hole_class, "GH")
    minor = minor_basic + metric_deviation(minor_letter, pitch_mm)
    hole = pitch_basic + metric_deviation(hole_letter, pitch_mm)

    def tolerance(name: str, grade: str) -> float:
        return metric_tolerance(name, grade, diameter_mm, pitch_mm)

    values = (
        crest,
        crest - tolerance("Td", crest_grade),
        flank,
        flank - tolerance("Td2", pitch_grade),
        minor,
        minor + tolerance("TD1", minor_grade),
        hole,
        hole + tolerance("TD2", hole_grade),
    )
    return ThreadLimits(*(round(value, 3) for value in values))


# Unified: ASME B1.1

# Printed limits that are not the rounded formula, by diameter and threads per inch [in].
_UNIFIED_DEPARTURES_IN: Final[dict[tuple[float, float], dict[str, float]]] = {
    # All read second-hand, ASME B1.1-2019; FED-STD-H28/2B prints 0.156 for the minor of #10-24.
    (0.19, 24): {"hole_minor_max": 0.155},
    (0.25, 20): {"hole_pitch_max": 0.2224},
    (1.0, 8): {"bolt_pitch_min": 0.9101},
}
# Series whose tolerance rests on an engagement of one diameter; others on nine pitches (memory).
_ONE_DIAMETER_SERIES: Final = frozenset({"UNC", "UNF"})
_ONE_DIAMETER_PITCHES: Final = frozenset({4.0, 6.0, 8.0})


def _half_up(value: float, digits: int) -> float:
    """Round as the standard's tables do: half a unit goes up."""
    scale = 10.0**digits
    return floor(value * scale + 0.5 + 1e-9) / scale


def unified_pitch_tolerance(
    diameter_in: float, threads_per_inch: float, engagement_in: float
) -> float:
    """Pitch diameter tolerance of class 2A, not rounded.

    Td2 = 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 p^(2/3)

    Args:
        diameter_in: nominal diameter D [in]
        threads_per_inch: n = 1/p [1/in]
        engagement_in: length of engagement LE [in]

    Returns:
        tolerance [in]

    Validity: formula of ASME B1.1, in inches; D 0.06 to 6 in, 4 to 80 threads per inch.

    Raises:
        OutOfRange: outside.

    Example:
        >>> round(unified_pitch_tolerance(0.5, 13, 0.5), 4)
        0.005

    Source: ASME B1.1 (read second-hand).
    """
    between("diameter", diameter_in, 0.06, 6.0, "in")
    between("threads per inch", threads_per_inch, 4.0, 80.0, "")
    positive("engagement", engagement_in, "in")
    pitch = 1.0 / threads_per_inch
    lengths = diameter_in ** (1.0 / 3.0) + sqrt(engagement_in)
    return float(0.0015 * lengths + 0.015 * pitch ** (2.0 / 3.0))


def unified_minor_tolerance(diameter_in: float, threads_per_inch: float) -> float:
    """Minor diameter tolerance of class 2B, not rounded.

    D from 0.25 in: 0.25 p - 0.40 p^2 (0.15 p where p > 0.25 in);
    below: 0.05 p^(2/3) + 0.03 p/D - 0.002, not less than 0.25 p - 0.40 p^2, not above 0.394 p

    Args:
        diameter_in: nominal diameter D [in]
        threads_per_inch: n = 1/p [1/in]

    Returns:
        tolerance [in]

    Validity: ASME B1.1 class 2B.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(unified_minor_tolerance(0.75, 10), 4)
        0.021

    Source: ASME B1.1 (read second-hand).
    """
    positive("diameter", diameter_in, "in")
    pitch = 1.0 / positive("threads per inch", threads_per_inch, "")
    usual = 0.25 * pitch - 0.40 * pitch**2
    if diameter_in >= 0.25:
        return 0.15 * pitch if pitch > 0.25 else usual
    small: float = 0.05 * pitch ** (2.0 / 3.0) + 0.03 * pitch / diameter_in - 0.002
    return min(max(small, usual), 0.394 * pitch)


def unified_limits(
    diameter_in: float,
    threads_per_inch: float,
    series: str = "UNC",
    engagement_in: float | None = None,
) -> ThreadLimits:
    """Limits of size of a unified bolt 2A and tapped hole 2B.

    es = 0.300 Td2;  Td = 0.060 p^(2/3);  TD2 = 1.30 Td2; each diameter and tolerance is rounded to
    0.0001 in first, the minor diameters of the hole then to 0.001 in, as the printed tables are

    Args:
        diameter_in: nominal diameter D [in]
        threads_per_inch: n [1/in]
        series: UNC, UNF, UNEF, UN or UNS; sets the engagement that the tolerance rests on: one
            diameter for UNC, UNF, 4-UN, 6-UN and 8-UN, nine pitches for the others
        engagement_in: actual engagement [in]; above 15 pitches the pitch tolerance grows by 1.25

    Returns:
        limits [mm]

    Validity: classes 2A and 2B; D 0.06 to 6 in.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> lim = unified_limits(0.75, 10)
        >>> [round(x / 25.4, 4) for x in (lim.bolt_major_min, lim.hole_minor_max)]
        [0.7353, 0.663]

    Source: ASME B1.1 (read second-hand); widening for long engagement inferred from the example of
    FED-STD-H28/2B 5.4 (computed).
    """
    pitch = 1.0 / positive("threads per inch", threads_per_inch, "")
    one_diameter = series in _ONE_DIAMETER_SERIES or (
        series == "UN" and threads_per_inch in _ONE_DIAMETER_PITCHES
    )
    base_engagement = diameter_in if one_diameter else 9.0 * pitch
    basic_tolerance = unified_pitch_tolerance(diameter_in, threads_per_inch, base_engagement)
    allowance = _half_up(0.300 * basic_tolerance, 4)
    long = engagement_in is not None and engagement_in > 15.0 * pitch
    tolerance = basic_tolerance * (1.25 if long else 1.0)
    basic = basic_diameters(diameter_in, pitch)
    flank, minor = _half_up(basic.pitch, 4), _half_up(basic.minor, 4)
    crest = diameter_in - allowance
    minor_tolerance = _half_up(unified_minor_tolerance(diameter_in, threads_per_inch), 4)
    inches = {
        "bolt_major_max": crest,
        "bolt_major_min": crest - _half_up(0.060 * pitch ** (2.0 / 3.0), 4),
        "bolt_pitch_max": flank - allowance,
        "bolt_pitch_min": flank - allowance - _half_up(tolerance, 4),
        "hole_minor_min": _half_up(minor, 3),
        "hole_minor_max": _half_up(minor + minor_tolerance, 3),
        "hole_pitch_min": flank,
        "hole_pitch_max": flank + _half_up(1.30 * tolerance, 4),
    }
    if not long:
        inches |= _UNIFIED_DEPARTURES_IN.get((diameter_in, threads_per_inch), {})
    return ThreadLimits(**{name: MM_PER_INCH * round(inch, 4) for name, inch in inches.items()})
