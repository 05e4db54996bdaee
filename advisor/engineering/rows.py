"""Rows of pins: where a row ends, and how it is divided between its anchors. Lengths in mm."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from advisor.engineering.crack_path import Bore, CrackLine, FreeEdge, Neck, Route, Tip
from advisor.engineering.pins import LEAST_THREADS, Pin
from advisor.engineering.polyline import Disc, Polyline, coverage_margin
from advisor.light_dataclass import dataclass

# Practice: no published source is known for these.
EXTENSION_TO_DIAMETER = 0.25  # first centre past the visible end of the crack
VISIBLE_END_COVER = 0.5  # mm of the end hole beyond the visible end, at least
ANCHOR_TURN = 20.0  # deg; a sharper bend gets a pin of its own
OVERLAP_TO_DIAMETER = (0.125, 0.25, 0.375)  # last centre from the rim of a bore or an edge

_TINY = 1e-8
_ON_LINE = 1e-6
_CLOSER = 0.97  # next largest spacing when the crack is not covered
_ACROSS_BEND = (1.03, 1.07, 1.12)  # x least spacing along the line, tried in turn
_SCAN = 32
_BISECTIONS = 60
_STEP_HOLD = 1000.0  # a step keeps its pin longer than any bend


@dataclass(frozen=True)
class RowPlan:
    """Which pin, how close, and what the wall asks of it; see :func:`row_plan`."""

    pin: Pin
    largest_spacing: float
    least_spacing: float
    stray: float = 0.0  # wander of the crack and drill error, which the pins must cover
    extension: float | None = None  # first centre past the visible end; d/4 where None
    threads: float = LEAST_THREADS
    run_out: float = 0.0
    wall_radius: float | None = None


def extension_of(plan: RowPlan) -> float:
    """First centre past the visible end [mm]: as planned, or d/4."""
    if plan.extension is None:
        return EXTENSION_TO_DIAMETER * plan.pin.diameter
    return plan.extension


# Rows: a route, parted where a bore takes the metal away


@dataclass(frozen=True)
class _Stop:
    """Where the last centre of a row may stand, as distances along the line."""

    wanted: float
    least: float
    greatest: float
    kind: Literal["tip", "edge", "bore", "neck", "joint"]


@dataclass(frozen=True)
class _Anchor:
    at: float
    hold: float  # how much it would cost to give it up


@dataclass(frozen=True)
class Row:
    line: CrackLine
    start: _Stop
    end: _Stop
    anchors: tuple[_Anchor, ...]
    offset: float


def rows_of(
    route: Route, plan: RowPlan, bores: Sequence[Bore], necks: Sequence[Neck] = ()
) -> list[Row]:
    """Rows of a route; ``necks`` are measured along it."""
    d = plan.pin.diameter
    first, last = _first_stop(route, plan), _last_stop(route, plan)
    span = min(first.wanted, 0.0), max(last.wanted, route.line.plane.length)
    gaps = [gap for bore in bores for gap in _gaps(route.line, span, bore, d)]
    gaps.extend(_neck_gap(neck, d) for neck in necks)
    rows: list[Row] = []
    begin = first
    for gap in sorted(gaps, key=lambda gap: gap.at):
        rows.extend(_row(route, begin, gap.before))
        if gap.after is None:
            return rows
        if gap.after.wanted > begin.wanted:  # else inside a wider gap
            begin = gap.after
    return [*rows, *_row(route, begin, last)]


def _row(route: Route, start: _Stop, end: _Stop | None) -> list[Row]:
    if end is None:
        return []
    if start.kind == "tip" and end.kind == "neck" and end.wanted < start.least:
        start = replace(start, wanted=end.wanted, least=end.wanted)  # the neck covers the tip
    if end.kind == "tip" and start.kind == "neck" and start.wanted > end.greatest:
        end = replace(end, wanted=start.wanted, greatest=start.wanted)
    if end.greatest < start.least - _TINY:
        return []
    return [Row(route.line, start, end, _anchors(route, start, end), route.offset)]


def _anchors(route: Route, start: _Stop, end: _Stop) -> tuple[_Anchor, ...]:
    line = route.line.plane
    anchors = []
    for i, point in enumerate(route.line.points[1:-1], start=1):
        if not start.wanted + _ON_LINE < line.at[i] < end.wanted - _ON_LINE:
            continue
        if (point.x, point.y) in route.joints:
            anchors.append(_Anchor(line.at[i], math.inf))
        elif point.step:
            anchors.append(_Anchor(line.at[i], _STEP_HOLD + line.turn(i)))
        elif line.turn(i) > ANCHOR_TURN + _TINY:
            anchors.append(_Anchor(line.at[i], line.turn(i)))
    return tuple(anchors)


def _first_stop(route: Route, plan: RowPlan) -> _Stop:
    if route.start is None:
        return _Stop(0.0, 0.0, 0.0, "joint")
    stop = _last_stop(replace(route, end=route.start), plan)
    length = route.line.plane.length
    return _Stop(length - stop.wanted, length - stop.greatest, length - stop.least, stop.kind)


def _last_stop(route: Route, plan: RowPlan) -> _Stop:
    length, d = route.line.plane.length, plan.pin.diameter
    if route.end is None:
        return _Stop(length, length, length, "joint")
    if isinstance(route.end, FreeEdge):
        near, wanted, far = (part * d for part in OVERLAP_TO_DIAMETER)
        return _Stop(length - wanted, length - far, length - near, "edge")
    unknown = _unknown(route.end, d)
    furthest = unknown + d / 2 - VISIBLE_END_COVER
    wanted = max(extension_of(plan), unknown)
    return _Stop(length + wanted, length + unknown, length + furthest, "tip")


def _unknown(tip: Tip, diameter: float) -> float:
    """Least distance of the last centre past the visible end, so that its hole holds the true one.

    Up to nearly a radius more does no harm: the hole reaches from one to the other all the same.
    """
    return max(0.0, tip.uncertainty - diameter / 2)


@dataclass(frozen=True)
class _Gap:
    """Where a bore parts a line, and where the rows before and after it may end."""

    at: float
    before: _Stop | None
    after: _Stop | None


def _gaps(
    line: CrackLine, span: tuple[float, float], bore: Bore, diameter: float
) -> Iterator[_Gap]:
    """Gaps that a bore makes in a row over a span; none where the row misses the bore."""
    more = bore.diameter + diameter
    length = line.plane.length
    longer = Polyline(
        (line.plane.position(-more), *line.plane.points, line.plane.position(length + more))
    )
    near, wanted, far = (part * diameter for part in OVERLAP_TO_DIAMETER)
    for low, high in longer.inside_circle(bore.x, bore.y, bore.diameter / 2):
        enters, leaves = low - more, high - more
        if leaves < span[0] + _TINY or enters > span[1] - _TINY:
            continue
        before = _Stop(enters - wanted, enters - far, enters - near, "bore")
        after = _Stop(leaves + wanted, leaves + near, leaves + far, "bore")
        yield _Gap(
            enters,
            before if enters > span[0] + _ON_LINE else None,
            after if leaves < span[1] - _ON_LINE else None,
        )


def _neck_gap(neck: Neck, diameter: float) -> _Gap:
    """A neck stops the row at both its flanks: touching them, or a little into them."""
    enters = neck.at - neck.width / 2 - diameter / 2
    leaves = neck.at + neck.width / 2 + diameter / 2
    return _Gap(
        neck.at,
        _Stop(enters, enters, enters + neck.bite, "neck"),
        _Stop(leaves, leaves - neck.bite, leaves, "neck"),
    )


# Placing: even division between anchors


@dataclass(frozen=True)
class Placed:
    at: float
    x: float
    y: float
    row: int


def place_all(
    routes: Sequence[Route], rows: Sequence[Row], plan: RowPlan, bores: Sequence[Bore]
) -> tuple[list[Placed], float]:
    """Place every row; with smaller spacing until the pins cover the widened crack."""
    cracks = [part for route in routes for part in _to_cover(route, rows)]
    radius = plan.pin.diameter / 2
    gone = _metal_gone(routes, plan, bores)
    best: tuple[bool, float] = False, -math.inf
    chosen: list[Placed] = []
    largest = plan.largest_spacing
    while True:
        placed: list[Placed] = []
        for number, row in enumerate(rows, start=1):
            placed.extend(_place(row, number, placed, largest, plan))
        discs = [*((p.x, p.y, radius) for p in placed), *gone]
        margin = coverage_margin(cracks, discs) if cracks else radius
        apart = _stand_apart(placed, plan.least_spacing)
        if apart > best[0] or (apart == best[0] and margin > best[1] + _TINY):
            best, chosen = (apart, margin), placed
        largest *= _CLOSER
        if (best[0] and best[1] >= plan.stray - _TINY) or largest <= plan.least_spacing:
            return chosen, best[1]


def _to_cover(route: Route, rows: Sequence[Row]) -> Iterator[Polyline]:
    """What the pins have to cover of a route: all of it but the necks of keys."""
    plane = route.line.plane
    own = [row for row in rows if row.line is route.line]
    if not any("neck" in (row.start.kind, row.end.kind) for row in own):
        yield plane
        return
    for row in own:
        begin = row.start.wanted if row.start.kind in ("neck", "bore") else 0.0
        end = row.end.wanted if row.end.kind in ("neck", "bore") else plane.length
        if end - begin > _ON_LINE:
            yield plane.part(begin, end)


def _stand_apart(placed: Sequence[Placed], least: float) -> bool:
    return all(
        a.row != b.row or math.dist((a.x, a.y), (b.x, b.y)) >= least - _ON_LINE
        for a, b in pairwise(placed)
    )


def _metal_gone(routes: Sequence[Route], plan: RowPlan, bores: Sequence[Bore]) -> list[Disc]:
    """Discs where the crack needs no pin: bores, and the air beyond an edge."""
    d = plan.pin.diameter
    gone: list[Disc] = [(bore.x, bore.y, bore.diameter / 2) for bore in bores]
    for route in routes:
        beyond = OVERLAP_TO_DIAMETER[1] * d
        if isinstance(route.start, FreeEdge):
            gone.append((*route.line.plane.position(-beyond), d / 2))
        if isinstance(route.end, FreeEdge):
            gone.append((*route.line.plane.position(route.line.plane.length + beyond), d / 2))
    return gone


def _place(
    row: Row, number: int, laid: Sequence[Placed], largest: float, plan: RowPlan
) -> tuple[Placed, ...]:
    if row.start.kind == "joint" and laid:
        marks = _from_joint(row, laid, plan.pin.diameter, largest, plan.least_spacing)
    else:
        marks = _divide_bent(row, largest, plan.least_spacing)
    return _stood(row.line.plane, tuple(marks), number)


@functools.lru_cache(maxsize=64)  # the same row is laid for many walls
def _stood(plane: Polyline, marks: tuple[float, ...], row: int) -> tuple[Placed, ...]:
    return tuple(Placed(at, *plane.position(at), row) for at in marks)


def _from_joint(
    row: Row, laid: Sequence[Placed], diameter: float, largest: float, least: float
) -> list[float]:
    """A branch begins one spacing from the common pin, or later where that is among laid pins."""
    plane = row.line.plane

    def room(at: float) -> float:
        x, y = plane.position(at)
        return min(math.hypot(x - pin.x, y - pin.y) for pin in laid)

    marks = _divide_bent(row, largest, least)
    if room(0.0) >= largest:  # the common point went with a bore
        return marks
    if room(0.0) < _TINY and len(marks) > 1 and room(marks[1]) >= least - _TINY:
        return marks[1:]
    near = _first_at(room, least, row.end.greatest, least / _SCAN)
    if near is None:
        return []
    clear = _first_at(room, largest, row.end.greatest, least / _SCAN)
    bare = _first_at(room, diameter / 2, row.end.greatest, least / _SCAN)
    _, early, late = ((bare or 0.0) + part * diameter for part in OVERLAP_TO_DIAMETER)
    wanted = min(max(near, early if clear is None else min(clear, early)), late)
    near = min(near, wanted)  # rather pins too close, which is said, than a bare crack
    if row.end.greatest - wanted < least:
        return [max(near, min(wanted, row.end.wanted))]
    first = _Stop(wanted, near, wanted, "tip")
    later = tuple(anchor for anchor in row.anchors if anchor.at > wanted)
    return _divide_bent(replace(row, start=first, anchors=later), largest, least)


def _first_at(
    room: Callable[[float], float], wanted: float, end: float, step: float
) -> float | None:
    """First distance along a branch at which there is so much room to the laid pins."""
    at = 0.0
    while room(at) < wanted:
        if at >= end:
            return None
        at = min(at + step, end)
    low, high = max(at - step, 0.0), at
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        low, high = (low, middle) if room(middle) >= wanted else (middle, high)
    return high


def _divide_bent(row: Row, largest: float, least: float) -> list[float]:
    """Even division that also keeps pins apart where they stand across a bend."""
    closest = _divide(row, largest, least)
    if row.line.plane.straight or _apart(row, closest, least):
        return closest
    for more in _ACROSS_BEND:
        if least * more < largest:
            marks = _divide(row, largest, least * more)
            if _apart(row, marks, least):
                return marks
    return closest


def _apart(row: Row, marks: Sequence[float], least: float) -> bool:
    points = [row.line.plane.position(at) for at in marks]
    return all(math.dist(a, b) >= least - _ON_LINE for a, b in pairwise(points))


def _divide(row: Row, largest: float, least: float) -> list[float]:
    """Even division between anchors; ends move and bends are given up where it falls too close."""
    start, end = row.start.wanted, row.end.wanted
    single = max(row.start.least, row.end.least), min(row.start.greatest, row.end.greatest)
    if end - start < least - _TINY and single[0] <= single[1] + _TINY:
        return [min(max((start + end) / 2, single[0]), single[1])]
    anchors = list(row.anchors)
    while True:
        marks = [start, *(anchor.at for anchor in anchors), end]
        close = [i for i, (a, b) in enumerate(pairwise(marks)) if not _fits(b - a, largest, least)]
        if not close:
            break
        i = close[0]
        moved = _move_ends(row, marks, i, largest, least)
        if moved is not None:
            start, end = moved
            continue
        given_up = _weakest(anchors, i)
        if given_up is None:
            break
        anchors.remove(given_up)
    return _evenly(marks, largest)


def _fits(length: float, largest: float, least: float) -> bool:
    return length / _parts(length, largest) >= least - _ON_LINE


def _parts(length: float, largest: float) -> int:
    return max(1, math.ceil(length / largest - _TINY))


def _evenly(marks: Sequence[float], largest: float) -> list[float]:
    placed = [marks[0]]
    for a, b in pairwise(marks):
        parts = _parts(b - a, largest)
        placed.extend(a + (b - a) * i / parts for i in range(1, parts))
        placed.append(b)
    return placed


def _move_ends(
    row: Row, marks: Sequence[float], i: int, largest: float, least: float
) -> tuple[float, float] | None:
    """Move the end of the row next to stretch i, as little as will do."""
    start, end = marks[0], marks[-1]
    first, last = i == 0, i == len(marks) - 2
    longer = (
        (start - row.start.least) if first else 0.0,
        (row.end.greatest - end) if last else 0.0,
    )
    shorter = (
        (row.start.greatest - start) if first else 0.0,
        (end - row.end.least) if last else 0.0,
    )
    length = marks[i + 1] - marks[i]
    wanted = _nearest_length(length, length - sum(shorter), length + sum(longer), largest, least)
    if wanted is None:
        return None
    room = longer if wanted > length else shorter
    if sum(room) < _TINY:
        return None
    change = (wanted - length) / sum(room)
    return start - change * room[0], end + change * room[1]


def _nearest_length(
    length: float, low: float, high: float, largest: float, least: float
) -> float | None:
    """Length nearest to the one at hand that divides evenly within the window."""
    found: list[float] = []
    for parts in range(max(1, int(high / least + _TINY)), 0, -1):
        a, b = max(low, parts * least), min(high, parts * largest)
        if a <= b + _TINY:
            found.append(min(max(length, a), b))
    best = None
    for candidate in found:
        if best is None or abs(candidate - length) < abs(best - length) - _ON_LINE:
            best = candidate  # of two equally near the longer, which reaches further
    return best


def _weakest(anchors: Sequence[_Anchor], stretch: int) -> _Anchor | None:
    beside = anchors[max(0, stretch - 1) : stretch + 1]
    weakest = None
    for anchor in beside:
        held = math.inf if weakest is None else weakest.hold - _ON_LINE
        if math.isfinite(anchor.hold) and anchor.hold < held:
            weakest = anchor
    return weakest
