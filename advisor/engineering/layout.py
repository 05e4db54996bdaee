"""Laying a row of pins along a crack: where, in which pass, how long. Lengths in mm.

The crack is a line of points on the surface; a curved wall is unfolded first. Pins are set in
passes, so that no pin that is already set is cut on both sides before a neighbour is filled.
Coordinates are not rounded here.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import field, replace
from itertools import pairwise

from advisor.engineering.crack_path import (
    SOUND_END,
    Bore,
    Branch,
    CrackLine,
    CrackPoint,
    End,
    FreeEdge,
    Neck,
    Route,
    Tip,
    place_bore,
    reach_bores,
    reach_edge,
    routes_of,
    split_hairpins,
    straight_path,
)
from advisor.engineering.limits import OutOfRange
from advisor.engineering.passes import assign_passes, cut_on_both_sides
from advisor.engineering.pins import (
    CLEAN_UP_DEPTH,
    LEAST_THREADS,
    Pin,
    PinRefused,
    Seat,
    corner_loss,
    diameter_limits,
    sagitta,
    seat_pin,
)
from advisor.engineering.polyline import Point, Polyline, pairs_within
from advisor.engineering.ranges import not_negative, positive
from advisor.engineering.rows import (
    VISIBLE_END_COVER,
    Placed,
    Row,
    RowPlan,
    extension_of,
    place_all,
    rows_of,
)
from advisor.engineering.seam import spacing_window
from advisor.light_dataclass import dataclass

__all__ = [
    "SOUND_END",
    "Bore",
    "Branch",
    "CrackPoint",
    "End",
    "FreeEdge",
    "LaidPin",
    "Neck",
    "RowPlan",
    "SeamLayout",
    "Tip",
    "assign_passes",
    "cut_on_both_sides",
    "lay_out",
    "name_pins",
    "place_bore",
    "row_plan",
    "straight_path",
]

# Practice: no published source is known for these.
STEP_CLEARANCE = 1.0  # mm between spot-face and a step of the surface
BORE_LIGAMENT = 2.0  # mm; less between two threads breaks out
BORE_LIGAMENT_TO_DIAMETER = 0.5

_TINY = 1e-9
_ROUNDING = 1e-6
_PLAIN_PASSES = 3


@dataclass(frozen=True)
class LaidPin:
    """One pin. ``at`` is measured along the crack from its first point, negative before it."""

    n: int
    at: float
    x: float
    y: float
    pass_number: int
    wall: float
    pin_length: float
    engaged_threads: float
    spotface_depth: float
    row: int = 1
    needs_flat: bool = False


@dataclass(frozen=True)
class SeamLayout:
    """A laid row, or several where the crack branches or a bore parts it.

    ``problems`` must be settled before a hole is drilled; ``warnings`` are to be heeded.
    """

    pins: tuple[LaidPin, ...]
    spacing: tuple[float, ...]
    ligaments: tuple[float, ...]
    coverage_margin: float
    warnings: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()

    @property
    def passes(self) -> int:
        """Number of passes."""
        return max(pin.pass_number for pin in self.pins)


def row_plan(
    pin: Pin,
    *,
    wander: float = 0.0,
    drill_error: float = 0.0,
    leak_tight: bool = False,
    threads: float = LEAST_THREADS,
    run_out: float = 0.0,
    wall_radius: float | None = None,
    extension: float | None = None,
) -> RowPlan:
    """Plan of a row with the preferred spacing of its pin.

    Args:
        pin: the pin.
        wander: how far the crack strays from its recorded line [mm].
        drill_error: how far a hole may stand beside the line [mm].
        leak_tight: the seam must not weep.
        threads: full threads to keep at every pin [1].
        run_out: pitches lost to the lead of the tap [1].
        wall_radius: inner radius of a curved wall [mm], or None.
        extension: first centre past the visible end [mm], d/4 where None.

    Returns:
        the plan.

    Validity: as :func:`advisor.engineering.seam.spacing_window`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> from advisor.engineering.pins import neutral_pin
        >>> plan = row_plan(neutral_pin(8, 1.25), wander=0.5, drill_error=0.25)
        >>> plan.least_spacing, plan.largest_spacing, plan.stray
        (4.8, 6.0, 0.75)

    Source: as :func:`advisor.engineering.seam.spacing_window`.
    """
    window = spacing_window(pin.diameter, wander, drill_error, leak_tight)
    return RowPlan(
        pin=pin,
        largest_spacing=window.preferred,
        least_spacing=window.least,
        stray=wander + drill_error,
        extension=extension,
        threads=threads,
        run_out=run_out,
        wall_radius=wall_radius,
    )


def lay_out(
    path: Sequence[CrackPoint],
    plan: RowPlan,
    *,
    start: End = SOUND_END,
    end: End = SOUND_END,
    branches: Sequence[Branch] = (),
    bores: Sequence[Bore] = (),
    necks: Sequence[Neck] = (),
) -> SeamLayout:
    """Lay the pins of a seam.

    Each stretch between two anchors (ends, bends above 20 deg, steps, common points) of length l is
    divided into k = ceil(l/s_max) equal parts. Where that falls below s_min an end is moved within
    its range or the anchor of a bend is given up. Then s_max is reduced until the pins cover the
    crack widened by ``plan.stray``. Where the end pin would leave too little metal to a free edge,
    the row is carried on to the edge. A key that is driven before the pins stops the row at both
    flanks of its neck.

    Args:
        path: the crack, in order.
        plan: pin, spacing, and what the wall asks.
        start: what the crack does at its first point.
        end: what it does at its last point.
        branches: branches; the longest line through all of them is laid first.
        bores: holes near the crack that will be bored for inserts.
        necks: necks of keys that are driven before the pins are drilled, along ``path``.

    Returns:
        the layout.

    Validity: a crack in a plane; s_min <= s_max < d; first centre 0 to d/2 - 0.5 mm past the
    visible end.

    Raises:
        OutOfRange: outside the validity, or a branch that does not begin on the crack.

    Example:
        >>> from advisor.engineering.pins import neutral_pin
        >>> layout = lay_out(straight_path(20, 8), row_plan(neutral_pin(8, 1.25)))
        >>> [(pin.n, pin.at, pin.pass_number) for pin in layout.pins]
        [(1, -2.0, 1), (2, 4.0, 2), (3, 10.0, 1), (4, 16.0, 3), (5, 22.0, 1)]
        >>> layout.problems
        ()

    Source: geometry (derived); extension, anchors, window and ligaments are practice.
    """
    _check(plan, [*path, *(point for branch in branches for point in branch.points)])
    crack = CrackLine.through(path).plane
    path, branches = reach_bores(tuple(path), branches, bores)
    carried: list[str] = []
    while True:
        routes = _routes(crack, path, start, end, branches)
        rows = [
            row
            for route in routes
            for row in rows_of(route, plan, bores, _necks_on(route, crack, necks))
        ]
        if not rows:
            raise OutOfRange("path", "inside the bores", "a crack that shows outside them")
        placed, margin = place_all(routes, rows, plan, bores)
        near = _near_an_edge(rows, placed, routes, plan)
        if near is None:
            break
        tip, distance, strip = near
        (path, branches), which = reach_edge(path, branches, tip, distance)
        start, end = (
            FreeEdge() if which == side else x for side, x in (("start", start), ("end", end))
        )
        carried.append(
            f"the end pin would leave {mm(max(strip, 0.0))} mm to the free edge: the row is "
            f"carried on to it, {mm(distance)} mm past the visible end"
        )
    points = [(pin.x, pin.y) for pin in placed]
    passes = assign_passes(points, plan.pin.diameter)
    findings = _Findings()
    pins = _seat_all(placed, passes, rows, plan, findings)
    findings.warnings.extend(carried)
    spacing = _judge_spacing(placed, rows, plan, findings)
    _judge_crowding(points, plan, findings)
    _judge_coverage(margin, spacing, passes, plan, findings)
    _judge_bores(points, plan, bores, findings)
    _judge_necks(pins, necks, plan, findings)
    _judge_ends(rows, placed, routes, plan, findings)
    return SeamLayout(
        pins=pins,
        spacing=spacing,
        ligaments=_ligaments(placed, passes, plan.pin.diameter),
        coverage_margin=margin,
        warnings=tuple(findings.warnings),
        problems=tuple(findings.problems),
    )


def _routes(
    crack: Polyline, path: tuple[CrackPoint, ...], start: End, end: End, branches: Sequence[Branch]
) -> list[Route]:
    """Lines to lay; one without branches is measured from the first point of the crack."""
    led = 0.0 if branches else CrackLine.through(path).plane.nearest(*crack.points[0])[0]
    return [
        replace(leg, offset=leg.offset - led)
        for route in routes_of(path, start, end, branches)
        for leg in split_hairpins(route)
    ]


def _necks_on(route: Route, crack: Polyline, necks: Sequence[Neck]) -> list[Neck]:
    """The necks that lie on a route, measured along it."""
    found = []
    for neck in necks:
        at, off = route.line.plane.nearest(*crack.position(neck.at))
        if off < _ROUNDING:
            found.append(replace(neck, at=at))
    return found


def mm(value: float, digits: int = 1) -> str:
    """A length for a sentence, to the tenth of a millimetre where nothing else is said.

    Example:
        >>> mm(6.4999), mm(12.0), mm(0.057, 2)
        ('6.5', '12', '0.06')
    """
    return f"{round(value, digits) + 0.0:g}"


def _check(plan: RowPlan, points: Sequence[CrackPoint]) -> None:
    d = positive("diameter", plan.pin.diameter, "mm")
    positive("least_spacing", plan.least_spacing, "mm")
    not_negative("stray", plan.stray, "mm")
    if not plan.least_spacing <= plan.largest_spacing + _TINY or not plan.largest_spacing < d:
        raise OutOfRange(
            "largest_spacing",
            plan.largest_spacing,
            f"at least {plan.least_spacing:g} mm and below the pin diameter, {d:g} mm",
        )
    if not 0 <= extension_of(plan) <= d / 2 - VISIBLE_END_COVER:
        raise OutOfRange(
            "extension", plan.extension, f"0 to {d / 2 - VISIBLE_END_COVER:g} mm past the end"
        )
    for number, point in enumerate(points, start=1):
        positive(f"wall of point {number}", point.wall, "mm")


# Judging what was laid


@dataclass
class _Findings:
    warnings: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)

    def warn(self, pins: Sequence[int], text: str) -> None:
        if pins:
            self.warnings.append(f"{name_pins(pins)}: {text}")

    def stop(self, pins: Sequence[int], text: str) -> None:
        if pins:
            self.problems.append(f"{name_pins(pins)}: {text}")


def name_pins(numbers: Sequence[int]) -> str:
    """Name pins in a sentence, runs drawn together.

    Args:
        numbers: pin numbers in rising order.

    Returns:
        the words.

    Example:
        >>> name_pins([1, 2, 3, 7]), name_pins([4])
        ('pins 1 to 3, 7', 'pin 4')
    """
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    words = [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return f"pin{'s' if len(numbers) > 1 else ''} {', '.join(words)}"


def _seat_all(
    placed: Sequence[Placed],
    passes: Sequence[int],
    rows: Sequence[Row],
    plan: RowPlan,
    findings: _Findings,
) -> tuple[LaidPin, ...]:
    """Seat every pin in its own wall, and say what is amiss there."""
    seat_of = functools.cache(functools.partial(_seat, plan))
    laid: list[LaidPin] = []
    amiss: dict[str, list[int]] = {}
    stands: dict[int, _Stand] = {}
    for n, (spot, number) in enumerate(zip(placed, passes, strict=True), start=1):
        row = rows[spot.row - 1]
        if spot.row not in stands or not row.line.alike:
            stands[spot.row] = _stand(row.line, spot.at, plan, seat_of)
        stand = stands[spot.row]
        for word in stand.amiss:
            amiss.setdefault(word, []).append(n)
        laid.append(
            LaidPin(
                n,
                spot.at + row.offset,
                spot.x,
                spot.y,
                number,
                stand.wall,
                stand.pin_length,
                stand.engaged_threads,
                stand.spotface_depth,
                spot.row,
                stand.needs_flat,
            )
        )
    for word in sorted(amiss):
        _say(findings, word, amiss[word], plan)
    return tuple(laid)


@dataclass(frozen=True)
class _Stand:
    """What a pin finds at one place along a line, and what is amiss there."""

    wall: float
    pin_length: float
    engaged_threads: float
    spotface_depth: float
    needs_flat: bool
    amiss: tuple[str, ...]


def _stand(
    line: CrackLine, at: float, plan: RowPlan, seat_of: Callable[[float, float], Seat]
) -> _Stand:
    pin, clear = plan.pin, plan.pin.spotface_diameter / 2 + STEP_CLEARANCE
    reach, needed = pin.diameter / 2, (plan.threads + plan.run_out) * pin.pitch
    wall = line.wall(at, clear)
    flat = any(abs(step - at) < clear for step in line.steps)
    corner = line.corner(at, pin.spotface_diameter / 2)
    loss = 0.0
    if plan.wall_radius is not None:
        loss = sagitta(plan.wall_radius, pin.spotface_diameter)
    words = []
    if corner is not None:
        try:
            loss += corner_loss(pin, corner)
            words.append("corner")
        except OutOfRange:
            words.append("tight_corner")
    try:
        seat = seat_of(wall, loss)
        depth, threads, length = seat.spotface_depth, seat.engaged_threads, seat.pin_length
        if line.least_wall(at - reach, at + reach, clear) < needed + loss - _TINY:
            words.append("thin")
    except PinRefused:
        words.append("thin")
        depth, length = 0.0, max(wall - loss, 0.0)
        threads = max(length / pin.pitch - plan.run_out, 0.0)
    words.extend(_ill_sized(pin, wall))
    words.extend(["flat"] if flat else [])
    words.extend(["rough"] if line.rough(at) and depth < CLEAN_UP_DEPTH - _TINY else [])
    return _Stand(wall, length, threads, depth, flat, tuple(words))


def _seat(plan: RowPlan, wall: float, loss: float) -> Seat:
    return seat_pin(plan.pin, wall, threads=plan.threads, sagitta_loss=loss, run_out=plan.run_out)


def _ill_sized(pin: Pin, wall: float) -> list[str]:
    smallest, largest = diameter_limits(wall)
    if pin.diameter > largest + _TINY:
        return ["thick_pin"]
    return ["slender_pin"] if pin.diameter < smallest - _TINY else []


def _say(findings: _Findings, word: str, pins: Sequence[int], plan: RowPlan) -> None:
    thread = plan.pin.thread
    if word == "thin":
        findings.stop(
            pins, f"the wall does not hold {plan.threads:g} threads of {thread}; do not stitch here"
        )
    elif word == "tight_corner":
        findings.stop(pins, f"the inside corner is too tight for {thread} and its spot-face")
    elif word == "corner":
        findings.warn(pins, "drill along the bisector of the corner")
    elif word == "thick_pin":
        findings.warn(pins, f"{thread} is more than 1.5 x the wall here; take a smaller pin")
    elif word == "slender_pin":
        findings.warn(pins, f"{thread} is slender in this wall: peck the hole and clear the tap")
    elif word == "flat":
        findings.warn(
            pins, "the spot-face meets a step; machine a flat on the lower level before drilling"
        )
    elif word == "rough":
        findings.warn(pins, "rough face and hardly any spot-face; dress the face flat first")


def _judge_spacing(
    placed: Sequence[Placed],
    rows: Sequence[Row],
    plan: RowPlan,
    findings: _Findings,
) -> tuple[float, ...]:
    """Distances between neighbours in each row; a branch is measured from the pin it leaves."""
    found: list[float] = []
    wrong: list[tuple[int, float]] = []
    for i, pin in enumerate(placed):
        follows = i > 0 and placed[i - 1].row == pin.row
        if follows:
            apart = math.dist((pin.x, pin.y), (placed[i - 1].x, placed[i - 1].y))
        elif rows[pin.row - 1].start.kind == "joint" and i > 0:
            apart = min(math.dist((pin.x, pin.y), (other.x, other.y)) for other in placed[:i])
        else:
            continue
        found.append(apart)
        if not plan.least_spacing - _ROUNDING <= apart <= plan.largest_spacing + _ROUNDING:
            wrong.append((i + 1, apart))
    if wrong:
        gaps = sorted(apart for _, apart in wrong)
        found_gaps = " to ".join(dict.fromkeys((mm(gaps[0], 2), mm(gaps[-1], 2))))
        findings.stop(
            [n for n, _ in wrong],
            f"{found_gaps} mm from the pin before it, outside "
            f"{mm(plan.least_spacing, 2)} to {mm(plan.largest_spacing, 2)} mm",
        )
    return tuple(found)


def _judge_coverage(
    margin: float,
    spacing: Sequence[float],
    passes: Sequence[int],
    plan: RowPlan,
    findings: _Findings,
) -> None:
    if margin < plan.stray - _ROUNDING:
        findings.problems.append(
            f"the pins cover the crack widened by {mm(margin, 2)} mm, less than wander and drill "
            f"error of {mm(plan.stray, 2)} mm; take a larger pin or add one there"
            if margin > 0
            else f"the crack lies bare over {mm(-margin, 2)} mm"
        )
    if max(passes) > _PLAIN_PASSES:
        findings.warnings.append(
            f"{max(passes)} passes: near a bend or a common point the holes stand too close for "
            f"{_PLAIN_PASSES}"
        )


def _judge_crowding(points: Sequence[Point], plan: RowPlan, findings: _Findings) -> None:
    """Pins that are no neighbours in a row and still stand closer than the least spacing."""
    least = plan.least_spacing - _ROUNDING
    for i, j, apart in pairs_within(points, least):
        if j > i + 1:
            findings.problems.append(
                f"pins {i + 1} and {j + 1} stand {mm(apart, 2)} mm apart, closer than "
                f"{mm(plan.least_spacing, 2)} mm"
            )


def _ligaments(
    placed: Sequence[Placed], passes: Sequence[int], diameter: float
) -> tuple[float, ...]:
    """Metal between the holes of the first pass that follow each other in a row."""
    first = [pin for pin, number in zip(placed, passes, strict=True) if number == 1]
    return tuple(
        math.dist((a.x, a.y), (b.x, b.y)) - diameter for a, b in pairwise(first) if a.row == b.row
    )


def _judge_bores(
    points: Sequence[Point], plan: RowPlan, bores: Sequence[Bore], findings: _Findings
) -> None:
    d = plan.pin.diameter
    wanted = max(BORE_LIGAMENT_TO_DIAMETER * d, BORE_LIGAMENT)
    for number, bore in enumerate(bores, start=1):
        gaps = [math.dist(point, (bore.x, bore.y)) - bore.diameter / 2 - d / 2 for point in points]
        over = [i for i, gap in enumerate(gaps) if gap <= 0]
        behind = {
            i
            for i, point in enumerate(points)
            if any(math.dist(point, points[j]) < d for j in over)
        }
        inside = [i + 1 for i in over if gaps[i] < -d / 2 - _ROUNDING]
        findings.stop(inside, f"centre inside bore {number}; keep it outside")
        findings.warn(
            [i + 1 for i in over],
            f"overlaps bore {number}: set the pins first, bore second, insert last",
        )
        for i, gap in enumerate(gaps):
            if i in behind or gap >= wanted:
                continue
            text = f"leaves {mm(gap)} mm to bore {number}, less than {mm(wanted)} mm; "
            text += "move it so that it overlaps the bore or stands clear"
            if gap < BORE_LIGAMENT:
                findings.stop([i + 1], text)
            else:
                findings.warn([i + 1], text)


def _judge_necks(
    pins: Sequence[LaidPin], necks: Sequence[Neck], plan: RowPlan, findings: _Findings
) -> None:
    """Wall between two keys that holds no pin, because the pin is too thick for it."""
    for number, (a, b) in enumerate(pairwise(necks), start=1):
        if not any(a.at < pin.at < b.at for pin in pins):
            room = b.at - a.at - (a.width + b.width) / 2 + a.bite + b.bite
            findings.problems.append(
                f"{plan.pin.thread} does not go between keys {number} and {number + 1}, where "
                f"there is room for a pin of {mm(room)} mm"
            )


def _ends(
    rows: Sequence[Row], placed: Sequence[Placed], routes: Sequence[Route]
) -> Iterator[tuple[int, float, End, Point]]:
    """The last pin at each end of the crack: its number, how far past the end, the end, its place.

    An end that a bore takes away, or that is a common point of two lines, is none.
    """
    for route in routes:
        plane = route.line.plane
        own = [(i + 1, pin) for i, pin in enumerate(placed) if rows[pin.row - 1].line is route.line]
        if not own:
            continue
        (first, begin), (last, finish) = own[0], own[-1]
        if route.start is not None and rows[begin.row - 1].start.kind in ("tip", "edge"):
            yield first, -begin.at, route.start, plane.points[0]
        if route.end is not None and rows[finish.row - 1].end.kind in ("tip", "edge"):
            yield last, finish.at - plane.length, route.end, plane.points[-1]


def _near_an_edge(
    rows: Sequence[Row], placed: Sequence[Placed], routes: Sequence[Route], plan: RowPlan
) -> tuple[Point, float, float] | None:
    """An end of the crack whose pin leaves too little metal to an edge: place, way, metal left."""
    d = plan.pin.diameter
    for _, beyond, end, point in _ends(rows, placed, routes):
        if isinstance(end, Tip) and end.edge_distance is not None:
            strip = end.edge_distance - beyond - d / 2
            if strip < max(BORE_LIGAMENT_TO_DIAMETER * d, BORE_LIGAMENT) - _TINY:
                return point, end.edge_distance, strip
    return None


def _judge_ends(
    rows: Sequence[Row],
    placed: Sequence[Placed],
    routes: Sequence[Route],
    plan: RowPlan,
    findings: _Findings,
) -> None:
    for n, beyond, end, _ in _ends(rows, placed, routes):
        if isinstance(end, FreeEdge):
            findings.warn(
                [n], "overlaps the edge; clamp a block against the edge, dress it afterwards"
            )
        elif end.uncertainty > plan.pin.diameter / 2 + extension_of(plan):
            findings.warn(
                [n],
                f"set {mm(beyond)} mm past the visible end because the true end is uncertain; "
                "prove the end before drilling",
            )
