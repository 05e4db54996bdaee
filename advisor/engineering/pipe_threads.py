"""Pipe threads: 55 degree Whitworth form (parallel and taper) and the 60 degree taper thread."""

from __future__ import annotations

from typing import Final

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import positive
from advisor.engineering.thread_series import (
    MM_PER_INCH,
    PIPE_55,
    PIPE_60,
    PipeSize55,
    PipeSize60,
)
from advisor.light_dataclass import dataclass

# Height of the rounded Whitworth thread, in pitches.
WHITWORTH_HEIGHT: Final = 0.640327
# Both taper families open 1 in 16 on the diameter.
PIPE_TAPER: Final = 1.0 / 16.0


@dataclass(frozen=True)
class WhitworthDiameters:
    """Diameters of a 55 degree pipe thread [mm], on a taper thread those of the gauge plane."""

    major: float
    pitch: float
    minor: float
    pitch_length: float


@dataclass(frozen=True)
class TaperThread60:
    """Dimensions of a 60 degree taper pipe thread [mm].

    Attributes:
        outside: pipe outside diameter D
        pitch_at_end: pitch diameter at the end of the pipe, E0
        pitch_hand_tight: pitch diameter at the hand-tight plane, E1
        pitch_effective: pitch diameter at the end of effective thread, E2
        minor_at_end: minor diameter at the end of the pipe, K0
        hand_tight: hand-tight engagement L1
        effective: length of effective thread L2
        wrench: wrench make-up of the internal thread L3
        overall: overall length with vanish, L4
        turns_hand_tight: turns to hand tight [1]
    """

    outside: float
    pitch_at_end: float
    pitch_hand_tight: float
    pitch_effective: float
    minor_at_end: float
    hand_tight: float
    effective: float
    wrench: float
    overall: float
    turns_hand_tight: float


def pipe_size_55(size: str) -> PipeSize55:
    """Row of the 55 degree pipe series (G, R, Rc, Rp).

    Args:
        size: size such as `1/2` or `1-1/4`

    Returns:
        the size

    Validity: 1/8 to 3.

    Raises:
        OutOfRange: size not in the series.

    Example:
        >>> pipe_size_55("1/2").threads_per_inch
        14

    Source: ISO 228-1 (read second-hand).
    """
    if size not in PIPE_55:
        raise OutOfRange("pipe size", size, "is not a 55 degree pipe size", ", ".join(PIPE_55))
    return PIPE_55[size]


def pipe_size_60(size: str) -> PipeSize60:
    """Row of the 60 degree pipe series (NPT and its kin).

    Args:
        size: nominal pipe size such as `1/2`

    Returns:
        the size

    Validity: 1/8 to 4.

    Raises:
        OutOfRange: size not in the series.

    Example:
        >>> pipe_size_60("1/2").outside_in
        0.84

    Source: ASME B1.20.1 (read second-hand).
    """
    if size not in PIPE_60:
        raise OutOfRange("pipe size", size, "is not a 60 degree pipe size", ", ".join(PIPE_60))
    return PIPE_60[size]


def whitworth_pipe_diameters(size: str) -> WhitworthDiameters:
    """Diameters of a 55 degree pipe thread, from the exact pitch.

    h = 0.640327 P;  d2 = d - h;  d1 = d - 2 h;  P = 25.4/n

    Args:
        size: size such as `1/2`

    Returns:
        diameters [mm]; the standard rounds h first, so its minor diameters are up to 0.001 mm less

    Validity: ISO 228-1 sizes held here; on R and Rc the diameters are those of the gauge plane.

    Raises:
        OutOfRange: size not in the series.

    Example:
        >>> d = whitworth_pipe_diameters("1/2")
        >>> round(d.pitch, 2), round(d.minor, 2)
        (19.79, 18.63)

    Source: ISO 228-1, ISO 7-1 (read second-hand).
    """
    row = pipe_size_55(size)
    pitch = MM_PER_INCH / row.threads_per_inch
    height = WHITWORTH_HEIGHT * pitch
    return WhitworthDiameters(row.major_mm, row.major_mm - height, row.major_mm - 2 * height, pitch)


def taper_diameter(diameter_mm: float, distance_mm: float) -> float:
    """Diameter of a taper pipe thread at a distance from a known plane.

    d(x) = d + x/16, x positive toward the large end

    Args:
        diameter_mm: diameter at the known plane [mm]
        distance_mm: distance toward the large end, negative toward the small end [mm]

    Returns:
        diameter there [mm]

    Validity: 1 in 16 taper (R, Rc, NPT), the cone must not come to a point.

    Raises:
        OutOfRange: diameter not above zero here or there.

    Example:
        >>> round(taper_diameter(20.955, -8.2), 4)
        20.4425

    Source: ISO 7-1, ASME B1.20.1 (read second-hand).
    """
    positive("diameter", diameter_mm, "mm")
    return positive("diameter at the distance", diameter_mm + PIPE_TAPER * distance_mm, "mm")


def taper_thread_60(size: str) -> TaperThread60:
    """Dimensions of a 60 degree taper pipe thread.

    E0 = D - (0.05 D + 1.1) p;  E1 = E0 + L1/16;  L2 = (0.80 D + 6.8) p;  E2 = E0 + L2/16;
    h = 0.8 p;  K0 = E0 - h;  V = 3.47 p;  L3 = 3 p (to size 2), 2 p above;  L4 = L2 + V

    Args:
        size: nominal pipe size such as `1/2`

    Returns:
        dimensions [mm]

    Validity: ASME B1.20.1 sizes held here, 1/8 to 4; formulas in inches inside.

    Raises:
        OutOfRange: size not in the series.

    Example:
        >>> t = taper_thread_60("1/2")
        >>> round(t.pitch_at_end / 25.4, 5), round(t.effective / 25.4, 4)
        (0.75843, 0.5337)

    Source: ASME B1.20.1 (formulas memory, their results read second-hand).
    """
    row = pipe_size_60(size)
    outside, pitch = row.outside_in, 1.0 / row.threads_per_inch
    end = outside - (0.05 * outside + 1.1) * pitch
    effective = (0.80 * outside + 6.8) * pitch
    wrench_turns = 3.0 if outside <= 2.375 else 2.0
    return TaperThread60(
        outside=MM_PER_INCH * outside,
        pitch_at_end=MM_PER_INCH * end,
        pitch_hand_tight=MM_PER_INCH * (end + PIPE_TAPER * row.hand_tight_in),
        pitch_effective=MM_PER_INCH * (end + PIPE_TAPER * effective),
        minor_at_end=MM_PER_INCH * (end - 0.8 * pitch),
        hand_tight=MM_PER_INCH * row.hand_tight_in,
        effective=MM_PER_INCH * effective,
        wrench=MM_PER_INCH * wrench_turns * pitch,
        overall=MM_PER_INCH * (effective + 3.47 * pitch),
        turns_hand_tight=row.hand_tight_in * row.threads_per_inch,
    )
