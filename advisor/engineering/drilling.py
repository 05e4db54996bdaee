"""Drills for tapping and for clearance: standard drill sizes, tap drills, clearance holes."""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import positive
from advisor.engineering.thread_series import MM_PER_INCH, fraction_text, inch_size_text
from advisor.engineering.threads import basic_diameters, hole_for_percent, percent_of_thread
from advisor.light_dataclass import dataclass

System = Literal["metric", "unified"]
Fit = Literal["close", "medium", "loose"]

# Usual share of thread: d - P for metric threads is 77 %; inch drills are listed for about 75 %.
USUAL_PERCENT: Final[dict[str, float]] = {"metric": 77.0, "unified": 75.0}

# Number and letter drills [in] (ANSI B94.11M, read second-hand).
_NUMBER_DRILLS: Final = (
    *(0.2280, 0.2210, 0.2130, 0.2090, 0.2055, 0.2040, 0.2010, 0.1990, 0.1960, 0.1935),
    *(0.1910, 0.1890, 0.1850, 0.1820, 0.1800, 0.1770, 0.1730, 0.1695, 0.1660, 0.1610),
    *(0.1590, 0.1570, 0.1540, 0.1520, 0.1495, 0.1470, 0.1440, 0.1405, 0.1360, 0.1285),
    *(0.1200, 0.1160, 0.1130, 0.1110, 0.1100, 0.1065, 0.1040, 0.1015, 0.0995, 0.0980),
    *(0.0960, 0.0935, 0.0890, 0.0860, 0.0820, 0.0810, 0.0785, 0.0760, 0.0730, 0.0700),
    *(0.0670, 0.0635, 0.0595, 0.0550, 0.0520, 0.0465, 0.0430, 0.0420, 0.0410, 0.0400),
)
_LETTER_DRILLS: Final = dict(
    zip(
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ",
        (
            *(0.234, 0.238, 0.242, 0.246, 0.250, 0.257, 0.261, 0.266, 0.272, 0.277, 0.281, 0.290),
            *(0.295, 0.302, 0.316, 0.323, 0.332, 0.339, 0.348, 0.358, 0.368, 0.377, 0.386, 0.397),
            *(0.404, 0.413),
        ),
        strict=True,
    )
)

# The one drill of the usual metric lists that is not d - P rounded to the next stock size.
_LISTED_METRIC_DRILLS: Final[dict[tuple[float, float], float]] = {(12.0, 1.75): 10.2}

# ISO 273 close, medium, coarse [mm] (read second-hand; M12, M14, M16 memory, agreeing with a
# second list: a copied table has their medium and coarse holes 0.5 mm too large).
ISO_273: Final[dict[float, tuple[float, float, float]]] = {
    4.0: (4.3, 4.5, 4.8),
    5.0: (5.3, 5.5, 5.8),
    6.0: (6.4, 6.6, 7.0),
    8.0: (8.4, 9.0, 10.0),
    10.0: (10.5, 11.0, 12.0),
    12.0: (13.0, 13.5, 14.5),
    14.0: (15.0, 15.5, 16.5),
    16.0: (17.0, 17.5, 18.5),
    18.0: (19.0, 20.0, 21.0),
    20.0: (21.0, 22.0, 24.0),
    22.0: (23.0, 24.0, 26.0),
    24.0: (25.0, 26.0, 28.0),
    27.0: (28.0, 30.0, 32.0),
    30.0: (31.0, 33.0, 35.0),
    33.0: (34.0, 36.0, 38.0),
    36.0: (37.0, 39.0, 42.0),
    39.0: (40.0, 42.0, 45.0),
    42.0: (43.0, 45.0, 48.0),
    45.0: (46.0, 48.0, 52.0),
    48.0: (50.0, 52.0, 56.0),
}

# ASME B18.2.8 close, normal, loose, as drill sizes (read second-hand). 9/16 and sizes above 1-1/2
# are left out: the copy read contradicts itself there.
B18_2_8: Final[dict[str, tuple[str, str, str]]] = {
    "#10": ("#5", "#2", "B"),
    "1/4": ("17/64", "9/32", "19/64"),
    "5/16": ("21/64", "11/32", "23/64"),
    "3/8": ("25/64", "13/32", "27/64"),
    "7/16": ("29/64", "15/32", "31/64"),
    "1/2": ("17/32", "9/16", "39/64"),
    "5/8": ("21/32", "11/16", "47/64"),
    "3/4": ("25/32", "13/16", "29/32"),
    "7/8": ("29/32", "15/16", "1-1/32"),
    "1": ("1-1/32", "1-3/32", "1-5/32"),
    "1-1/8": ("1-5/32", "1-7/32", "1-5/16"),
    "1-1/4": ("1-9/32", "1-11/32", "1-7/16"),
    "1-3/8": ("1-7/16", "1-1/2", "1-39/64"),
    "1-1/2": ("1-9/16", "1-5/8", "1-47/64"),
}


@dataclass(frozen=True)
class Drill:
    """A stock drill: what it is called in the shop, and its diameter [mm]."""

    label: str
    diameter_mm: float


@dataclass(frozen=True)
class TapDrill:
    """A tap drill and what it leaves.

    Attributes:
        drill: the stock drill
        percent: share of thread that it leaves [%]
        within_limits: whether its diameter lies within the minor diameter limits given
    """

    drill: Drill
    percent: float
    within_limits: bool


@lru_cache(maxsize=2)
def stock_drills(system: System) -> tuple[Drill, ...]:
    """Stock drills in order of size.

    metric: steps of 0.1 mm to 14, 0.25 to 32, 0.5 to 60, 1 to 100;
    inch: number, letter and fraction drills by 1/64 to 2, by 1/32 to 4

    Args:
        system: metric or unified (inch drills)

    Returns:
        the drills

    Validity: 1 to 100 mm; 0.040 to 4 in.

    Raises:
        OutOfRange: another system.

    Example:
        >>> stock_drills("unified")[-1].label, stock_drills("metric")[0].diameter_mm
        ('4', 1.0)

    Source: ISO 235 and ANSI B94.11M sizes (read second-hand); metric steps (practice).
    """
    if system == "metric":
        tenths = [step / 10.0 for step in range(10, 140)]
        quarters = [14.0 + step / 4.0 for step in range(72)]
        halves = [32.0 + step / 2.0 for step in range(56)]
        wholes = [60.0 + step for step in range(41)]
        return tuple(Drill(f"{d:g} mm", d) for d in (*tenths, *quarters, *halves, *wholes))
    if system != "unified":
        raise OutOfRange("system", system, "drills are metric or unified (inch)")
    sizes = {f"#{number}": inch for number, inch in enumerate(_NUMBER_DRILLS, start=1)}
    sizes |= _LETTER_DRILLS
    steps = (*(Fraction(n, 64) for n in range(3, 129)), *(Fraction(n, 32) for n in range(65, 129)))
    sizes |= {fraction_text(step): float(step) for step in steps}
    drills = (Drill(label, inch * MM_PER_INCH) for label, inch in sizes.items())
    return tuple(sorted(drills, key=lambda drill: drill.diameter_mm))


def nearest_drill(hole_mm: float, system: System) -> Drill:
    """Stock drill nearest to a hole; the larger where two are equally near.

    Args:
        hole_mm: diameter wanted [mm]
        system: metric or unified (inch drills)

    Returns:
        the drill

    Validity: within the range of stock drills.

    Raises:
        OutOfRange: outside.

    Example:
        >>> nearest_drill(6.75, "metric").label, nearest_drill(5.11, "unified").label
        ('6.8 mm', '#7')

    Source: see `stock_drills`.
    """
    drills = stock_drills(system)
    smallest, largest = drills[0].diameter_mm, drills[-1].diameter_mm
    if not smallest <= positive("hole", hole_mm, "mm") <= largest:
        limit = f"stock drills run from {smallest:.4g} to {largest:.4g} mm"
        raise OutOfRange("hole", hole_mm, limit, "bore it on a machine")
    place = bisect_left(drills, hole_mm, key=lambda drill: drill.diameter_mm)
    around = drills[max(place - 1, 0) : place + 1]
    return min(around, key=lambda d: (round(abs(d.diameter_mm - hole_mm), 6), -d.diameter_mm))


def drill_between(low_mm: float, high_mm: float, system: System) -> Drill:
    """Stock drill nearest to the middle of two limits.

    Args:
        low_mm: smallest hole allowed [mm]
        high_mm: largest hole allowed [mm]
        system: metric or unified (inch drills)

    Returns:
        a drill inside the limits where there is one, else the nearest

    Validity: low not above high.

    Raises:
        OutOfRange: limits crossed, or outside the range of stock drills.

    Example:
        >>> drill_between(16.433, 16.733, "metric").label
        '16.5 mm'

    Source: arithmetic.
    """
    if not low_mm <= high_mm:
        raise OutOfRange("low limit", low_mm, f"must not be above the high limit {high_mm:g} mm")
    return nearest_drill((low_mm + high_mm) / 2.0, system)


def tap_drill(
    system: System,
    diameter_mm: float,
    pitch_mm: float,
    percent: float | None = None,
    minor_limits_mm: tuple[float, float] | None = None,
) -> TapDrill:
    """Stock tap drill nearest to a share of thread.

    hole = d - percent/100 * 1.299038 P; without a percent: d - P for metric threads (77 %, and the
    listed drill of M12), 75 % for unified threads

    Args:
        system: metric or unified; sets the drills too
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        percent: share of thread wanted, None for the usual one [%]
        minor_limits_mm: least and greatest minor diameter of the tapped hole, to compare [mm]

    Returns:
        the drill, the share that it leaves, whether it lies within the limits (True where none
        are given)

    Validity: 40 to 83.4 % of thread.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> tap_drill("metric", 12.0, 1.75).drill.label
        '10.2 mm'
        >>> t = tap_drill("unified", 0.75 * 25.4, 2.54)
        >>> t.drill.label, round(t.percent)
        ('21/32', 72)

    Source: FED-STD-H28/2B table II.A.1 (read); usual metric lists (read second-hand).
    """
    if percent is None and system == "metric":
        basic_diameters(diameter_mm, pitch_mm)
        listed = _LISTED_METRIC_DRILLS.get((diameter_mm, pitch_mm))
        hole = diameter_mm - pitch_mm if listed is None else listed
    else:
        wanted = USUAL_PERCENT["unified"] if percent is None else percent
        hole = hole_for_percent(diameter_mm, pitch_mm, wanted)
    drill = nearest_drill(hole, system)
    low, high = minor_limits_mm or (0.0, diameter_mm)
    share = percent_of_thread(diameter_mm, pitch_mm, drill.diameter_mm)
    return TapDrill(drill, share, low <= drill.diameter_mm <= high)


def clearance_hole(system: System, diameter_mm: float, fit: Fit = "medium") -> Drill:
    """Clearance hole for a bolt.

    Args:
        system: metric (ISO 273) or unified (ASME B18.2.8)
        diameter_mm: nominal diameter of the bolt [mm]
        fit: close, medium (`normal` in ASME B18.2.8) or loose (`coarse` in ISO 273)

    Returns:
        the hole as a drill

    Validity: M4 to M48; #10 to 1-1/2 in without 9/16.

    Raises:
        OutOfRange: a size or fit that the standard's list, as held here, does not have.

    Example:
        >>> clearance_hole("metric", 16.0).diameter_mm, clearance_hole("unified", 12.7).label
        (17.5, '9/16')

    Source: ISO 273, ASME B18.2.8 (read second-hand; M12, M14, M16 memory).
    """
    fits = ("close", "medium", "loose")
    if fit not in fits:
        raise OutOfRange("fit", fit, f"must be one of {', '.join(fits)}")
    column = fits.index(fit)
    if system == "metric":
        if diameter_mm not in ISO_273:
            raise OutOfRange("diameter", diameter_mm, "is not in the ISO 273 list held, M4 to M48")
        hole = ISO_273[diameter_mm][column]
        return Drill(f"{hole:g} mm", hole)
    size = inch_size_text(round(diameter_mm / MM_PER_INCH, 6))
    if size not in B18_2_8:
        raise OutOfRange("diameter", size, "is not in the ASME B18.2.8 list held, #10 to 1-1/2")
    label = B18_2_8[size][column]
    return next(drill for drill in stock_drills("unified") if drill.label == label)
