"""Thread inserts as shapes: parent holes, outside threads, edges, and the pin beside the bore.

Kinds, from the one that needs least metal to the one that needs most:
`helical_wire` (a coil in an oversize thread of the same pitch), `thin_solid_bushing` (a threaded
tube, fine outside thread), `solid_bushing` (thick wall, coarse outside thread, locked by keys),
`threaded_plug` (screwed in solid, then drilled and tapped at the old place).
"""

from __future__ import annotations

from functools import lru_cache
from math import pi
from typing import Final, Literal

from advisor.engineering.designations import Designation, ThreadSystem, limits_of
from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.engineering.seam import overlap_area
from advisor.engineering.thread_limits import (
    ThreadLimits,
    metric_limits,
    metric_tolerance_formula,
    unified_limits,
)
from advisor.engineering.thread_series import (
    ISO_261,
    ISO_261_LARGEST_COARSE,
    ISO_261_THIRD_CHOICE,
    ISO_262_FINE,
    MM_PER_INCH,
    UNC,
    UNF,
    inch_size,
)
from advisor.engineering.threads import basic_diameters, triangle_height
from advisor.light_dataclass import dataclass

InsertKind = Literal["helical_wire", "thin_solid_bushing", "solid_bushing", "threaded_plug"]
KINDS: Final[tuple[InsertKind, ...]] = (
    "helical_wire",
    "thin_solid_bushing",
    "solid_bushing",
    "threaded_plug",
)

# Nominal coil lengths in bolt diameters (ASME B18.29.1, read second-hand).
COIL_LENGTHS: Final = (1.0, 1.5, 2.0, 2.5, 3.0)
# Share of the outside thread that keys, their relief and chamfers leave (computed from listed
# areas of keyed bushings, which run from 0.47 to 0.73).
KEYED_SHARE: Final = 0.6
# Least metal between bolt thread and root of the outside thread [mm]. The thick one reproduces the
# outside threads of the listed heavy series; the thin ones are practice.
THICK_ROOT_WALL_MM: Final = 0.75
THIN_ROOT_WALL_MM: Final = 0.35
THIN_ROOT_WALL_SHARE: Final = 0.02
# A plug is at least this many bolt diameters across (practice).
PLUG_DIAMETERS: Final = 1.5
# Outside threads are looked for up to this many bolt diameters (practice).
LARGEST_DIAMETERS: Final = 2.6
# 12-UN sizes for large plugs (ASME B1.1, memory).
_UN_12: Final = ("1-5/8", "1-3/4", "1-7/8", "2", "2-1/4", "2-1/2", "2-3/4", "3")

EdgeState = Literal["ok", "tight", "fails", "not known"]
PinState = Literal["overlaps", "clear", "thin wall", "gap", "pin lost"]


# Helical wire


@dataclass(frozen=True)
class CoilHole:
    """Oversize tapped hole for a coil (STI) [mm]: least minor and pitch, greatest cut."""

    minor: float
    pitch: float
    major: float
    minor_max: float


def coil_hole(diameter_mm: float, pitch_mm: float) -> CoilHole:
    """Parent thread of a helical wire insert.

    D1 = d + H/4;  D2 = d + 3H/4;  D = d + 3H/2; pitch unchanged

    Args:
        diameter_mm: nominal diameter of the bolt d [mm]
        pitch_mm: pitch P [mm]

    Returns:
        diameters [mm]; the greatest minor diameter takes grade 5 of ISO 965-1 and serves only to
        choose the drill

    Validity: 60 degree threads of any series.

    Raises:
        OutOfRange: as `basic_diameters`.

    Example:
        >>> h = coil_hole(16.0, 2.0)
        >>> [round(x, 3) for x in (h.minor, h.pitch, h.major)]
        [16.433, 17.299, 18.598]

    Source: ASME B18.29.1, B18.29.2M (read second-hand).
    """
    basic_diameters(diameter_mm, pitch_mm)
    height = triangle_height(pitch_mm)
    tolerance = 0.8 * metric_tolerance_formula("TD1", pitch_mm, diameter_mm) / 1000.0
    minor = diameter_mm + height / 4.0
    return CoilHole(
        minor, diameter_mm + 0.75 * height, diameter_mm + 1.5 * height, minor + tolerance
    )


@dataclass(frozen=True)
class CoilDepths:
    """Depths of the hole for a coil [mm]: full thread, drill with plug tap, with bottoming tap."""

    full_thread: float
    drill_plug_tap: float
    drill_bottoming_tap: float


def coil_depths(length_mm: float, diameter_mm: float, pitch_mm: float) -> CoilDepths:
    """Least depths of a blind hole for a coil.

    T = Q + P;  drill: Q + 6 P with a plug tap (+ 0.5 d for d up to 8 mm), Q + 4 P bottoming

    Args:
        length_mm: nominal length of the coil Q [mm]
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]

    Returns:
        depths [mm]

    Validity: countersunk holes; a through hole needs a wall of Q at least.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> coil_depths(32.0, 16.0, 2.0)
        CoilDepths(full_thread=34.0, drill_plug_tap=44.0, drill_bottoming_tap=40.0)

    Source: ASME B18.29.x, NASM33537 (read second-hand).
    """
    positive("length", length_mm, "mm")
    positive("diameter", diameter_mm, "mm")
    positive("pitch", pitch_mm, "mm")
    small = 0.5 * diameter_mm if diameter_mm <= 8.0 else 0.0
    return CoilDepths(
        length_mm + pitch_mm, length_mm + 6.0 * pitch_mm + small, length_mm + 4.0 * pitch_mm
    )


def coil_parent_area(length_mm: float, diameter_mm: float, pitch_mm: float) -> float:
    """Shear area of the parent thread around a coil.

    A = 0.75 pi D2 (Q - 1.125 P), D2 = d + 3H/4; 1.125 P is the middle of the set-down

    Args:
        length_mm: nominal length Q [mm]
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]

    Returns:
        area [mm2]

    Validity: Q above 1.125 P; stated to be 1.6 to 10.4 % below listed areas.

    Raises:
        OutOfRange: coil too short.

    Example:
        >>> round(coil_parent_area(32.0, 16.0, 2.0))
        1213

    Source: NASM33537 practice (read second-hand).
    """
    engaged = positive("length", length_mm, "mm") - 1.125 * pitch_mm
    if engaged <= 0.0:
        raise OutOfRange("length", length_mm, f"must be above {1.125 * pitch_mm:.3g} mm")
    return 0.75 * pi * coil_hole(diameter_mm, pitch_mm).pitch * engaged


# Outside threads of bushings and plugs


@dataclass(frozen=True)
class OutsideThread:
    """The thread that an insert has outside, cut into the casting.

    Attributes:
        text: designation
        diameter_mm: major diameter: what is cut out of the casting [mm]
        pitch_mm: pitch [mm]
        minor_mm: least minor diameter of the parent thread, the bore [mm]
        minor_max_mm: greatest minor diameter of the parent thread [mm]
        root_mm: root diameter of the insert's own thread [mm]
        limits: limits of size; None for a coil
    """

    text: str
    diameter_mm: float
    pitch_mm: float
    minor_mm: float
    minor_max_mm: float
    root_mm: float
    limits: ThreadLimits | None


def outside_of_coil(thread: Designation) -> OutsideThread:
    """The oversize thread around a coil, in the form of an outside thread.

    Args:
        thread: thread of the bolt

    Returns:
        the oversize thread

    Validity: metric and unified threads.

    Raises:
        OutOfRange: a pipe thread.

    Example:
        >>> from advisor.engineering.designations import parse_designation
        >>> outside_of_coil(parse_designation("M16")).text
        'M16x2 STI'

    Source: see `coil_hole`.
    """
    if thread.is_pipe:
        raise OutOfRange("thread", thread.text, "coils are made for metric and unified threads")
    hole = coil_hole(thread.diameter_mm, thread.pitch_mm)
    if thread.system is ThreadSystem.METRIC:
        name = f"M{thread.size}x{thread.pitch_mm:g}"
    else:
        name = f"{thread.size}-{thread.threads_per_inch:g} {thread.series}"
    return OutsideThread(
        f"{name} STI",
        hole.major,
        thread.pitch_mm,
        hole.minor,
        hole.minor_max,
        thread.diameter_mm,
        None,
    )


def outside_of(thread: Designation) -> OutsideThread:
    """An outside thread named by somebody, as in a plan.

    Args:
        thread: designation of the outside thread, metric or unified

    Returns:
        the outside thread

    Validity: metric and unified threads.

    Raises:
        OutOfRange: a pipe thread.

    Example:
        >>> from advisor.engineering.designations import parse_designation
        >>> round(outside_of(parse_designation("M24x2")).minor_mm, 3)
        21.835

    Source: ISO 724, ASME B1.1 (read second-hand).
    """
    if thread.coil_hole:
        return outside_of_coil(thread)
    return _outside(thread.text, thread.diameter_mm, thread.pitch_mm, limits_of(thread))


def _outside(text: str, diameter_mm: float, pitch_mm: float, limits: ThreadLimits) -> OutsideThread:
    basic = basic_diameters(diameter_mm, pitch_mm)
    return OutsideThread(
        text,
        diameter_mm,
        pitch_mm,
        limits.hole_minor_min,
        limits.hole_minor_max,
        basic.root,
        limits,
    )


@lru_cache(maxsize=256)
def _metric_outside(diameter_mm: float, pitch_mm: float) -> OutsideThread:
    limits = metric_limits(diameter_mm, pitch_mm)
    return _outside(f"M{diameter_mm:g}x{pitch_mm:g}", diameter_mm, pitch_mm, limits)


@lru_cache(maxsize=256)
def _unified_outside(size: str, threads: float, series: str) -> OutsideThread:
    inches = inch_size(size)
    limits = unified_limits(inches, threads, series)
    name = f"{size}-{threads:g} {series}"
    return _outside(name, inches * MM_PER_INCH, MM_PER_INCH / threads, limits)


def _series(kind: InsertKind, system: Literal["metric", "unified"]) -> list[OutsideThread]:
    """Standard outside threads of a kind, small to large, coarser pitch first."""
    if system == "unified":
        table = UNC if kind == "solid_bushing" else UNF
        series = "UNC" if kind == "solid_bushing" else "UNF"
        sizes = [_unified_outside(size, n, series) for size, n in table.items() if "#" not in size]
        if kind != "solid_bushing":
            sizes += [_unified_outside(size, 12, "UN") for size in _UN_12]
        return sorted(sizes, key=lambda thread: thread.diameter_mm)
    if kind == "threaded_plug":
        return [_metric_outside(d, p) for d, p in ISO_262_FINE.items()]
    usual = {d: pitches for d, pitches in ISO_261.items() if d not in ISO_261_THIRD_CHOICE}
    if kind == "solid_bushing":
        coarse = {d: p[0] for d, p in usual.items() if 8.0 <= d <= ISO_261_LARGEST_COARSE}
        return [_metric_outside(d, p) for d, p in coarse.items()]
    # Finer than 1 mm crumbles in iron (practice).
    return [
        _metric_outside(d, p)
        for d, pitches in usual.items()
        for p in pitches[1:]
        if 8.0 <= d <= ISO_261_LARGEST_COARSE and p >= 1.0
    ]


def least_root_wall(kind: InsertKind, diameter_mm: float) -> float:
    """Least metal between the bolt thread and the root of the outside thread.

    thin: max(0.35 mm, 0.02 d);  solid and plug: 0.75 mm

    Args:
        kind: kind of insert
        diameter_mm: nominal diameter of the bolt d [mm]

    Returns:
        wall [mm]; 0 for a coil

    Validity: steel inserts.

    Raises:
        OutOfRange: a diameter not above zero.

    Example:
        >>> least_root_wall("solid_bushing", 12.7), least_root_wall("thin_solid_bushing", 24.0)
        (0.75, 0.48)

    Source: computed from the heavy series of keyed bushings (read second-hand); thin: practice.
    """
    positive("diameter", diameter_mm, "mm")
    if kind == "helical_wire":
        return 0.0
    if kind == "thin_solid_bushing":
        return max(THIN_ROOT_WALL_MM, THIN_ROOT_WALL_SHARE * diameter_mm)
    return THICK_ROOT_WALL_MM


def outside_threads(kind: InsertKind, thread: Designation) -> tuple[OutsideThread, ...]:
    """Standard outside threads that a kind of insert may have for a bolt thread, small to large.

    (d3 - d)/2 >= least wall at the root; plug: D >= 1.5 d; at most 2.6 d

    Args:
        kind: kind of insert
        thread: thread of the bolt, or of the pipe that the plug is tapped for

    Returns:
        outside threads; one a diameter, the coarser pitch that leaves wall enough

    Validity: steel inserts; ISO 261 sizes to M68, ASME B1.1 sizes to 3 in.

    Raises:
        OutOfRange: a coil for a pipe thread.

    Example:
        >>> from advisor.engineering.designations import parse_designation
        >>> [outside_threads(k, parse_designation("M16"))[0].text for k in KINDS]
        ['M16x2 STI', 'M18x1', 'M22x2.5', 'M24x2']

    Source: ISO 261, ISO 262, ASME B1.1 sizes (memory); wall: see `least_root_wall`.
    """
    if kind == "helical_wire":
        return (outside_of_coil(thread),)
    bolt = thread.diameter_mm
    wall = least_root_wall(kind, bolt)
    least = PLUG_DIAMETERS * bolt if kind == "threaded_plug" else bolt
    found: dict[float, OutsideThread] = {}
    for option in _series(kind, thread.measure_system):
        fits = least - 1e-6 <= option.diameter_mm <= LARGEST_DIAMETERS * bolt
        if fits and (option.root_mm - bolt) / 2.0 >= wall:
            found.setdefault(option.diameter_mm, option)
    return tuple(found.values())


def likely_kind(outside: Designation, bolt_mm: float) -> InsertKind:
    """Kind of insert that an outside thread speaks of, where nobody named the kind.

    Args:
        outside: outside thread
        bolt_mm: nominal diameter of the bolt d [mm]

    Returns:
        oversize thread: helical wire; coarse thread: solid bushing; else plug from 1.5 d, thin
        bushing below

    Validity: a guess to be said aloud; a coarse thread may belong to a plug as well.

    Raises:
        OutOfRange: a diameter not above zero.

    Example:
        >>> from advisor.engineering.designations import parse_designation
        >>> [likely_kind(parse_designation(t), 16.0) for t in ("M16 STI", "M22", "M24x2", "M18x1")]
        ['helical_wire', 'solid_bushing', 'threaded_plug', 'thin_solid_bushing']

    Source: practice.
    """
    positive("bolt diameter", bolt_mm, "mm")
    if outside.coil_hole:
        return "helical_wire"
    if outside.series in ("coarse", "UNC"):
        return "solid_bushing"
    large = outside.diameter_mm >= PLUG_DIAMETERS * bolt_mm - 1e-6
    return "threaded_plug" if large else "thin_solid_bushing"


def seat_depth(kind: InsertKind, pitch_mm: float) -> tuple[float, float]:
    """How far an insert sits below the face.

    coil: a quarter to half a turn;  bushings: 0.25 to 0.76 mm;  plug: dressed flush

    Args:
        kind: kind of insert
        pitch_mm: pitch of the bolt thread P [mm]

    Returns:
        least and greatest depth [mm]

    Validity: where a drawing says otherwise it governs; aerospace coils sit 0.75 to 1.5 P down.

    Raises:
        OutOfRange: pitch not above zero.

    Example:
        >>> seat_depth("helical_wire", 1.5), seat_depth("solid_bushing", 1.5)
        ((0.375, 0.75), (0.25, 0.76))

    Source: vehicle maintenance manual for coils, maintenance manual for keyed bushings (read);
    thin bushing and plug: practice.
    """
    positive("pitch", pitch_mm, "mm")
    if kind == "helical_wire":
        return 0.25 * pitch_mm, 0.5 * pitch_mm
    return (0.0, 0.05) if kind == "threaded_plug" else (0.25, 0.76)


# Edges, and the last pin of a row


@dataclass(frozen=True)
class EdgeCheck:
    """Metal between an insert and the nearest free edge.

    Attributes:
        state: ok, tight (allowed, said aloud), fails, or not known
        wall_mm: metal left [mm]
        least_mm: least distance of the centre from the edge that does not fail [mm]
        wanted_mm: distance that is not tight [mm]
    """

    state: EdgeState
    wall_mm: float | None
    least_mm: float
    wanted_mm: float


def check_edge(
    edge_distance_mm: float | None, outside_mm: float, bolt_mm: float, brittle: bool
) -> EdgeCheck:
    """Edge distance of an insert.

    fails: e < 1.5 d, or wall e - OD/2 < 0.5 OD;  tight: e < 2.0 OD brittle, e < 1.5 OD ductile

    Args:
        edge_distance_mm: hole centre to the nearest free edge e, None if not measured [mm]
        outside_mm: outside thread of the insert OD [mm]
        bolt_mm: nominal diameter of the bolt d [mm]
        brittle: whether the casting is brittle

    Returns:
        the finding

    Validity: castings. No open standard gives edge distances for brittle castings.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> c = check_edge(30.0, 18.6, 16.0, brittle=True)
        >>> c.state, round(c.wall_mm, 1), round(c.wanted_mm, 1)
        ('tight', 20.7, 37.2)

    Source: NASA TM-106943 p. 20, with the insert's outside diameter (read); brittle: practice.
    """
    positive("outside diameter", outside_mm, "mm")
    least = max(1.5 * positive("bolt diameter", bolt_mm, "mm"), outside_mm)
    wanted = max(least, (2.0 if brittle else 1.5) * outside_mm)
    if edge_distance_mm is None:
        return EdgeCheck("not known", None, least, wanted)
    wall = positive("edge distance", edge_distance_mm, "mm") - outside_mm / 2.0
    if edge_distance_mm < least:
        return EdgeCheck("fails", wall, least, wanted)
    return EdgeCheck("tight" if edge_distance_mm < wanted else "ok", wall, least, wanted)


@dataclass(frozen=True)
class BoreLigament:
    """The last pin of a row beside a bore.

    Attributes:
        state: overlaps (the pin is cut by the bore and keeps more than half), clear (metal enough),
            thin wall (move the pin), gap (the crack runs on between pin and bore), pin lost
        distance_mm: centre of the pin to the centre of the bore [mm]
        ligament_mm: metal between pin and bore, negative where they overlap [mm]
        pin_left: share of the pin's section that stays [1]
        nearest_mm: least distance allowed between the centres [mm]
        farthest_mm: distance below which the pin still overlaps the bore [mm]
        clear_from_mm: distance from which the metal between is enough [mm]
    """

    state: PinState
    distance_mm: float
    ligament_mm: float
    pin_left: float
    nearest_mm: float
    farthest_mm: float
    clear_from_mm: float


def last_pin(distance_mm: float, bore_mm: float, pin_mm: float, crack_enters: bool) -> BoreLigament:
    """Judge the last pin of a row against the bore for an insert.

    g = e - D/2 - d/2. Crack enters the hole: D/2 <= e < D/2 + d/2, pins first, bore second.
    Crack stops short: g >= max(0.5 d, 2 mm), or an overlap; a thin wall between is the worst.

    Args:
        distance_mm: centre of the last pin to the centre of the bore e [mm]
        bore_mm: what is cut out for the insert, its outside thread D [mm]
        pin_mm: major diameter of the pin d [mm]
        crack_enters: whether the crack runs into the hole

    Returns:
        the finding

    Validity: round pins and bores in one plane.

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> lig = last_pin(8.0, 14.0, 8.0, crack_enters=True)
        >>> lig.state, round(lig.pin_left, 2)
        ('overlaps', 0.71)

    Source: geometry (derived); clear ligament: practice.
    """
    positive("distance", distance_mm, "mm")
    bore, pin = positive("bore", bore_mm, "mm") / 2.0, positive("pin", pin_mm, "mm") / 2.0
    ligament = distance_mm - bore - pin
    enough = max(pin, 2.0)
    left = 1.0 - overlap_area(pin, bore, distance_mm) / (pi * pin**2)
    state: PinState
    if distance_mm < bore:
        state = "pin lost"
    elif ligament < 0.0:
        state = "overlaps"
    elif crack_enters:
        state = "gap"
    else:
        state = "clear" if ligament >= enough else "thin wall"
    return BoreLigament(state, distance_mm, ligament, left, bore, bore + pin, bore + pin + enough)


def tear_out_load(
    edge_distance_mm: float, hole_mm: float, thickness_mm: float, shear_strength_mpa: float
) -> float:
    """Load across the hole that tears the metal out to the edge.

    P = Fsu 2 t (e - D/2)

    Args:
        edge_distance_mm: hole centre to the edge e [mm]
        hole_mm: hole or insert diameter D [mm]
        thickness_mm: thickness t [mm]
        shear_strength_mpa: shear strength of the metal Fsu [MPa]

    Returns:
        load [N]

    Validity: e from 1.5 D; below, the section fails in hoop tension first.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> tear_out_load(30.0, 16.0, 20.0, 125.0)
        110000.0

    Source: NASA TM-106943 eq. (69), (70) (read).
    """
    positive("thickness", thickness_mm, "mm")
    positive("shear strength", shear_strength_mpa, "MPa")
    positive("hole", hole_mm, "mm")
    between("edge distance", edge_distance_mm, 1.5 * hole_mm, 1e4, "mm")
    return shear_strength_mpa * 2.0 * thickness_mm * (edge_distance_mm - hole_mm / 2.0)
