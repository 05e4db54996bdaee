"""Standard sizes and pitches: which threads exist.

Sources: ISO 261 and ISO 262 (metric), ASME B1.1 (unified), ISO 228-1 and ISO 7-1 (55 degree pipe
threads), ASME B1.20.1 (60 degree pipe threads). The lists of metric and unified sizes are from
memory; the pipe sizes were read in second-hand tables and recomputed.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from advisor.light_dataclass import dataclass

MM_PER_INCH: Final = 25.4

# ISO 261, first and second choice, M1.6 to M100: coarse pitch first, then the fine ones (memory).
# M9, M11 and M15 are third choice; they are accepted when read, never chosen for an insert.
ISO_261: Final[dict[float, tuple[float, ...]]] = {
    1.6: (0.35, 0.2),
    1.8: (0.35, 0.2),
    2.0: (0.4, 0.25),
    2.2: (0.45, 0.25),
    2.5: (0.45, 0.35),
    3.0: (0.5, 0.35),
    3.5: (0.6, 0.35),
    4.0: (0.7, 0.5),
    4.5: (0.75, 0.5),
    5.0: (0.8, 0.5),
    6.0: (1.0, 0.75),
    7.0: (1.0, 0.75),
    8.0: (1.25, 1.0, 0.75),
    9.0: (1.25, 1.0, 0.75),
    10.0: (1.5, 1.25, 1.0, 0.75),
    11.0: (1.5, 1.0, 0.75),
    12.0: (1.75, 1.5, 1.25, 1.0),
    14.0: (2.0, 1.5, 1.25, 1.0),
    15.0: (1.5, 1.0),
    16.0: (2.0, 1.5, 1.0),
    18.0: (2.5, 2.0, 1.5, 1.0),
    20.0: (2.5, 2.0, 1.5, 1.0),
    22.0: (2.5, 2.0, 1.5, 1.0),
    24.0: (3.0, 2.0, 1.5, 1.0),
    27.0: (3.0, 2.0, 1.5, 1.0),
    30.0: (3.5, 3.0, 2.0, 1.5, 1.0),
    33.0: (3.5, 3.0, 2.0, 1.5),
    36.0: (4.0, 3.0, 2.0, 1.5),
    39.0: (4.0, 3.0, 2.0, 1.5),
    42.0: (4.5, 4.0, 3.0, 2.0, 1.5),
    45.0: (4.5, 4.0, 3.0, 2.0, 1.5),
    48.0: (5.0, 4.0, 3.0, 2.0, 1.5),
    52.0: (5.0, 4.0, 3.0, 2.0, 1.5),
    56.0: (5.5, 4.0, 3.0, 2.0, 1.5),
    60.0: (5.5, 4.0, 3.0, 2.0, 1.5),
    64.0: (6.0, 4.0, 3.0, 2.0, 1.5),
    68.0: (6.0, 4.0, 3.0, 2.0, 1.5),
    72.0: (6.0, 4.0, 3.0, 2.0, 1.5),
    76.0: (6.0, 4.0, 3.0, 2.0, 1.5),
    80.0: (6.0, 4.0, 3.0, 2.0, 1.5),
    90.0: (6.0, 4.0, 3.0, 2.0),
    100.0: (6.0, 4.0, 3.0, 2.0),
}
ISO_261_THIRD_CHOICE: Final = frozenset({9.0, 11.0, 15.0})
# Above M68 the list has no coarse pitch, so the pitch must be written.
ISO_261_LARGEST_COARSE: Final = 68.0

# ISO 262: the fine pitch selected for screws, bolts and nuts (memory).
ISO_262_FINE: Final[dict[float, float]] = {
    8.0: 1.0,
    10.0: 1.25,
    12.0: 1.25,
    14.0: 1.5,
    16.0: 1.5,
    18.0: 1.5,
    20.0: 1.5,
    22.0: 1.5,
    24.0: 2.0,
    27.0: 2.0,
    30.0: 2.0,
    33.0: 2.0,
    36.0: 3.0,
    39.0: 3.0,
    42.0: 3.0,
    45.0: 3.0,
    48.0: 3.0,
    52.0: 4.0,
    56.0: 4.0,
    60.0: 4.0,
    64.0: 4.0,
}

# ASME B1.1, threads per inch by size (memory; the sizes from #10 to 2 read in second-hand tables).
UNC: Final[dict[str, float]] = {
    "#1": 64,
    "#2": 56,
    "#3": 48,
    "#4": 40,
    "#5": 40,
    "#6": 32,
    "#8": 32,
    "#10": 24,
    "#12": 24,
    "1/4": 20,
    "5/16": 18,
    "3/8": 16,
    "7/16": 14,
    "1/2": 13,
    "9/16": 12,
    "5/8": 11,
    "3/4": 10,
    "7/8": 9,
    "1": 8,
    "1-1/8": 7,
    "1-1/4": 7,
    "1-3/8": 6,
    "1-1/2": 6,
    "1-3/4": 5,
    "2": 4.5,
    "2-1/4": 4.5,
    "2-1/2": 4,
    "2-3/4": 4,
    "3": 4,
    "3-1/4": 4,
    "3-1/2": 4,
    "3-3/4": 4,
    "4": 4,
}
UNF: Final[dict[str, float]] = {
    "#0": 80,
    "#1": 72,
    "#2": 64,
    "#3": 56,
    "#4": 48,
    "#5": 44,
    "#6": 40,
    "#8": 36,
    "#10": 32,
    "#12": 28,
    "1/4": 28,
    "5/16": 24,
    "3/8": 24,
    "7/16": 20,
    "1/2": 20,
    "9/16": 18,
    "5/8": 18,
    "3/4": 16,
    "7/8": 14,
    "1": 12,
    "1-1/8": 12,
    "1-1/4": 12,
    "1-3/8": 12,
    "1-1/2": 12,
}
UNEF: Final[dict[str, float]] = {
    "#12": 32,
    "1/4": 32,
    "5/16": 32,
    "3/8": 32,
    "7/16": 28,
    "1/2": 28,
    "9/16": 24,
    "5/8": 24,
    "11/16": 24,
    "3/4": 20,
    "13/16": 20,
    "7/8": 20,
    "15/16": 20,
    "1": 20,
    "1-1/16": 18,
    "1-1/8": 18,
    "1-3/16": 18,
    "1-1/4": 18,
    "1-5/16": 18,
    "1-3/8": 18,
    "1-7/16": 18,
    "1-1/2": 18,
    "1-9/16": 18,
    "1-5/8": 18,
    "1-11/16": 18,
}
UNIFIED_SERIES: Final[dict[str, dict[str, float]]] = {"UNC": UNC, "UNF": UNF, "UNEF": UNEF}
# The constant-pitch series of ASME B1.1 (memory).
UN_CONSTANT_PITCHES: Final = (4, 6, 8, 12, 16, 20, 28, 32)


@dataclass(frozen=True)
class PipeSize55:
    """A 55 degree pipe thread size: ISO 228-1 (parallel) and ISO 7-1 (taper) share it.

    Attributes:
        size: designation size, a plain word, not a measure
        threads_per_inch: [1/in]
        major_mm: major diameter, at the gauge plane on a taper thread [mm]
        gauge_length_mm: hand-tight length of the taper external thread [mm]
        useful_length_mm: least useful length of the taper external thread [mm] (memory)
    """

    size: str
    threads_per_inch: float
    major_mm: float
    gauge_length_mm: float
    useful_length_mm: float


# Majors and threads per inch: ISO 228-1; gauge and useful lengths: ISO 7-1 (read second-hand, the
# useful lengths from memory).
PIPE_55: Final[dict[str, PipeSize55]] = {
    row.size: row
    for row in (
        PipeSize55("1/8", 28, 9.728, 4.0, 6.5),
        PipeSize55("1/4", 19, 13.157, 6.0, 9.7),
        PipeSize55("3/8", 19, 16.662, 6.4, 10.1),
        PipeSize55("1/2", 14, 20.955, 8.2, 13.2),
        PipeSize55("3/4", 14, 26.441, 9.5, 14.5),
        PipeSize55("1", 11, 33.249, 10.4, 16.8),
        PipeSize55("1-1/4", 11, 41.910, 12.7, 19.1),
        PipeSize55("1-1/2", 11, 47.803, 12.7, 19.1),
        PipeSize55("2", 11, 59.614, 15.9, 23.4),
        PipeSize55("2-1/2", 11, 75.184, 17.5, 26.7),
        PipeSize55("3", 11, 87.884, 20.6, 29.8),
    )
}


@dataclass(frozen=True)
class PipeSize60:
    """A 60 degree taper pipe thread size of ASME B1.20.1.

    Attributes:
        size: nominal pipe size, a plain word
        threads_per_inch: [1/in]
        outside_in: outside diameter of the pipe, D [in]
        hand_tight_in: hand-tight engagement, L1 [in]
    """

    size: str
    threads_per_inch: float
    outside_in: float
    hand_tight_in: float


PIPE_60: Final[dict[str, PipeSize60]] = {
    row.size: row
    for row in (
        PipeSize60("1/8", 27, 0.405, 0.1615),
        PipeSize60("1/4", 18, 0.540, 0.2278),
        PipeSize60("3/8", 18, 0.675, 0.240),
        PipeSize60("1/2", 14, 0.840, 0.320),
        PipeSize60("3/4", 14, 1.050, 0.339),
        PipeSize60("1", 11.5, 1.315, 0.400),
        PipeSize60("1-1/4", 11.5, 1.660, 0.420),
        PipeSize60("1-1/2", 11.5, 1.900, 0.420),
        PipeSize60("2", 11.5, 2.375, 0.436),
        PipeSize60("2-1/2", 8, 2.875, 0.682),
        PipeSize60("3", 8, 3.500, 0.766),
        PipeSize60("4", 8, 4.500, 0.844),
    )
}


def inch_size(text: str) -> float:
    """Diameter of an inch size written as a number size, a fraction or a mixed number.

    d = 0.060 + 0.013 * N for number size N

    Args:
        text: size such as `#10`, `3/4`, `1-1/8`, `1`

    Returns:
        diameter [in]

    Validity: number sizes #0 to #12; fractions as written.

    Example:
        >>> inch_size("#10"), inch_size("1-1/8")
        (0.19, 1.125)

    Source: ASME B1.1 (memory).
    """
    if text.startswith("#"):
        return round(0.060 + 0.013 * int(text[1:]), 4)
    whole, _, fraction = text.rpartition("-")
    return float(Fraction(fraction) + (int(whole) if whole else 0))


def fraction_text(inches: Fraction) -> str:
    """Write inches as a whole, a fraction or a mixed number.

    Args:
        inches: size [in]

    Returns:
        the size, a hyphen between whole and fraction

    Example:
        >>> fraction_text(Fraction(9, 8)), fraction_text(Fraction(2)), fraction_text(Fraction(1, 8))
        ('1-1/8', '2', '1/8')

    Source: way of writing of ASME B1.1 (memory).
    """
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


def inch_size_text(inches: float) -> str:
    """Write a diameter as an inch size: a fraction of 64ths or a number size where it is one.

    Args:
        inches: diameter [in]

    Returns:
        the size, or the decimal where it is no standard one

    Example:
        >>> inch_size_text(1.125), inch_size_text(0.19), inch_size_text(2.03)
        ('1-1/8', '#10', '2.03')

    Source: ASME B1.1 (memory).
    """
    for number in range(13):
        if abs(inches - inch_size(f"#{number}")) < 1e-6:
            return f"#{number}"
    parts = Fraction(round(inches * 64), 64)
    if abs(float(parts) - inches) > 1e-6:
        return f"{inches:g}"
    return fraction_text(parts)
