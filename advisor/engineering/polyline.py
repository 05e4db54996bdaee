"""Plane geometry of a crack and of the discs that must cover it. Lengths in mm."""

from __future__ import annotations

import functools
import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import pairwise

from advisor.engineering.limits import OutOfRange
from advisor.light_dataclass import dataclass

Point = tuple[float, float]
Disc = tuple[float, float, float]  # x, y, radius
Box = tuple[float, float, float, float]

_TINY = 1e-9


@dataclass(frozen=True)
class Polyline:
    """A line of straight pieces, measured along itself from its first point.

    Raises:
        OutOfRange: fewer than two points, a coordinate that is not finite, or a point twice.

    Example:
        >>> line = Polyline(((0.0, 0.0), (3.0, 4.0), (3.0, 10.0)))
        >>> line.length, line.position(5.0), line.position(-5.0)
        (11.0, (3.0, 4.0), (-3.0, -4.0))
    """

    points: tuple[Point, ...]

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise OutOfRange("points", len(self.points), "at least two points")
        for point in self.points:
            if not all(math.isfinite(value) for value in point):
                raise OutOfRange("points", point, "finite coordinates in mm")
        for a, b in zip(self.points, self.points[1:], strict=False):
            if math.dist(a, b) < _TINY:
                raise OutOfRange("points", a, "each point different from the one before it")

    @cached_property
    def at(self) -> tuple[float, ...]:
        """Distance of every point along the line."""
        distances = [0.0]
        for a, b in zip(self.points, self.points[1:], strict=False):
            distances.append(distances[-1] + math.dist(a, b))
        return tuple(distances)

    @cached_property
    def length(self) -> float:
        """Length of the whole line."""
        return self.at[-1]

    @property
    def straight(self) -> bool:
        """Whether it is known by its two ends alone."""
        return len(self.points) == 2

    def piece(self, at: float) -> int:
        """Index of the straight piece that holds a distance; the ends reach beyond."""
        if self.straight:
            return 0
        return min(max(bisect_right(self.at, at) - 1, 0), len(self.points) - 2)

    def position(self, at: float) -> Point:
        """Point at a distance; before 0 and past the end the line goes straight on."""
        i = self.piece(at)
        (x1, y1), (x2, y2) = self.points[i], self.points[i + 1]
        part = (at - self.at[i]) / (self.at[i + 1] - self.at[i])
        return x1 + part * (x2 - x1), y1 + part * (y2 - y1)

    def turn(self, i: int) -> float:
        """Change of direction at an inner point [deg]."""
        (x0, y0), (x1, y1), (x2, y2) = self.points[i - 1 : i + 2]
        ux, uy, vx, vy = x1 - x0, y1 - y0, x2 - x1, y2 - y1
        return abs(math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)))

    def heading(self, at: float) -> float:
        """Direction at a distance; at a bend midway between both sides [deg]."""
        piece = self.piece(at)
        around = [piece]
        if piece > 0 and abs(self.at[piece] - at) < 1e-6:
            around.insert(0, piece - 1)
        x = y = 0.0
        for i in around:
            (x1, y1), (x2, y2) = self.points[i], self.points[i + 1]
            run = math.dist((x1, y1), (x2, y2))
            x, y = x + (x2 - x1) / run, y + (y2 - y1) / run
        return math.degrees(math.atan2(y, x))

    def part(self, begin: float, end: float) -> Polyline:
        """The stretch between two distances along the line."""
        inner = [p for a, p in zip(self.at, self.points, strict=True) if begin < a < end]
        inner = [p for p in inner if math.dist(p, self.position(begin)) > _TINY]
        inner = [p for p in inner if math.dist(p, self.position(end)) > _TINY]
        return Polyline((self.position(begin), *inner, self.position(end)))

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """Distance along the line of its point nearest to a point, and how far off it is."""
        best_at, best = 0.0, math.inf
        for i, (a, b) in enumerate(self.pieces()):
            part, off = _foot(x, y, a, b)
            if off < best - _TINY:
                best_at, best = self.at[i] + part * (self.at[i + 1] - self.at[i]), off
        return best_at, best

    def inside_circle(self, x: float, y: float, radius: float) -> list[tuple[float, float]]:
        """Stretches of the line inside a circle, as distances along it."""
        found: list[tuple[float, float]] = []
        for i, (a, b) in enumerate(self.pieces()):
            span = _inside(a, b, (x, y, radius))
            if span is None:
                continue
            low, high = (self.at[i] + part * (self.at[i + 1] - self.at[i]) for part in span)
            if found and low <= found[-1][1] + _TINY:
                found[-1] = (found[-1][0], high)
            else:
                found.append((low, high))
        return found

    def pieces(self) -> Iterator[tuple[Point, Point]]:
        """The straight pieces in order."""
        return zip(self.points, self.points[1:], strict=False)


class Grid:
    """Boxes sorted into square cells, to find what is near without looking at everything."""

    def __init__(self, cell: float, boxes: Iterable[tuple[int, Box]]) -> None:
        self._cell = cell
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        for item, box in boxes:
            for key in self._keys(box):
                self._cells[key].append(item)

    def near(self, box: Box) -> list[int]:
        """Items that may touch a box, each once, in order."""
        found: set[int] = set()
        for key in self._keys(box):
            found.update(self._cells.get(key, ()))
        return sorted(found)

    def _keys(self, box: Box) -> list[tuple[int, int]]:
        cell, floor = self._cell, math.floor
        columns = range(floor(box[0] / cell), floor(box[2] / cell) + 1)
        rows = range(floor(box[1] / cell), floor(box[3] / cell) + 1)
        return [(i, j) for i in columns for j in rows]


def pairs_within(points: Sequence[Point], reach: float) -> list[tuple[int, int, float]]:
    """Pairs of points that stand closer than a reach, with the distance between them.

    Only points that follow each other along the longer side of the field are compared.

    Args:
        points: in any order [mm].
        reach: [mm].

    Returns:
        indices, the smaller first, and distance [mm]; in rising order of the indices.

    Validity: any points.

    Example:
        >>> pairs_within([(0, 0), (9, 0), (4, 0), (13, 0)], 5)
        [(0, 2, 4.0), (1, 3, 4.0)]

    Source: geometry (derived).
    """
    if len(points) < 2:
        return []
    width, height = (max(side) - min(side) for side in zip(*points, strict=True))
    side = 0 if width >= height else 1
    order = sorted(range(len(points)), key=lambda i: points[i][side])
    found = []
    for place, i in enumerate(order, start=1):
        furthest = points[i][side] + reach + _TINY
        for j in order[place:]:
            if points[j][side] > furthest:
                break
            apart = math.dist(points[i], points[j])
            if apart < reach:
                found.append((min(i, j), max(i, j), apart))
    return sorted(found)


def box_of(disc: Disc, more: float = 0.0) -> Box:
    """Box round a disc, widened."""
    x, y, radius = disc
    reach = radius + more
    return x - reach, y - reach, x + reach, y + reach


def coverage_margin(cracks: Sequence[Polyline], discs: Sequence[Disc]) -> float:
    """How far the crack may be widened on all sides and still lie inside the discs.

    The distance from the crack to the outline of the union of the discs: the least over the necks
    of the outline and over the outline next to every point where the crack ends or bends.

    Args:
        cracks: the lines to be covered.
        discs: pins, and the bores that take their metal away [mm].

    Returns:
        margin [mm]; where the crack lies bare, minus the length of the longest bare stretch.

    Validity: any lines and discs.

    Raises:
        OutOfRange: no discs.

    Example:
        >>> line = Polyline(((0.0, 0.0), (12.0, 0.0)))
        >>> round(coverage_margin([line], [(x, 0, 4) for x in (0, 6, 12)]), 4)
        2.6458
        >>> round(coverage_margin([line], [(0, 0, 4), (12, 0, 4)]), 4)
        -4.0

    Source: geometry (derived).
    """
    if not discs:
        raise OutOfRange("discs", 0, "at least one disc")
    return _coverage_margin(tuple(cracks), tuple(discs))


@functools.lru_cache(maxsize=64)  # the same row is laid for many walls
def _coverage_margin(cracks: tuple[Polyline, ...], discs: tuple[Disc, ...]) -> float:
    rows = [_in_one_row(crack, discs) for crack in cracks]
    straight = [row for row in rows if row is not None]
    if len(straight) == len(rows):
        return min(map(_margin_of_row, straight))
    cell = 2 * min(radius for _, _, radius in discs)
    disc_grid = Grid(cell, ((i, box_of(disc)) for i, disc in enumerate(discs)))
    pieces = [part for crack in cracks for a, b in crack.pieces() for part in _cut(a, b, 4 * cell)]
    bare = max(_longest_bare(a, b, discs, disc_grid) for a, b in pieces)
    if bare > 1e-6 * cell:
        return -bare
    piece_grid = Grid(cell, ((i, _box(a, b)) for i, (a, b) in enumerate(pieces)))
    reach = max(radius for _, _, radius in discs)
    margin = reach
    for x, y in _necks(discs, disc_grid):
        box = box_of((x, y, margin))
        for i in piece_grid.near(box):
            margin = min(margin, _foot(x, y, *pieces[i])[1])
    for crack in cracks:
        for point in crack.points:
            margin = min(margin, _outline_beside(point, discs, disc_grid))
    return margin


@dataclass(frozen=True)
class _Row:
    """Equal discs whose centres stand on the line of a straight crack, in order."""

    radius: float
    centres: list[float]
    crack: float


def _in_one_row(crack: Polyline, discs: Sequence[Disc]) -> _Row | None:
    """The discs as a row along the crack; None where a disc or a bend is off the line."""
    if not crack.straight:
        return None
    (x1, y1), (x2, y2) = crack.points
    ux, uy = (x2 - x1) / crack.length, (y2 - y1) / crack.length
    radius, off = discs[0][2], x1 * uy - y1 * ux
    if any(r != radius or abs(y * ux - x * uy + off) > _TINY for x, y, r in discs):
        return None
    begin, reach = x1 * ux + y1 * uy, 3 * radius  # discs further off bound nothing
    along = (x * ux + y * uy - begin for x, y, _ in discs)
    centres = sorted(at for at in along if -reach < at < crack.length + reach)
    return _Row(radius, centres, crack.length)


def _margin_of_row(row: _Row) -> float:
    """The coverage margin, in closed form: what is over at the ends, and half chords between."""
    radius, length = row.radius, row.crack
    if not row.centres:
        return -length
    ends = row.centres[0] - radius, length - row.centres[-1] - radius
    gaps = [(a + radius, b - radius) for a, b in pairwise(row.centres)]
    bare = max(*ends, *(min(end, length) - max(begin, 0.0) for begin, end in gaps))
    if bare > 2e-6 * radius:
        return -min(bare, length)
    margin = min(radius, *(-end for end in ends))
    for begin, end in gaps:  # begin > end where two discs overlap
        if begin < end:
            margin = min(margin, max(begin - length, -end))
        else:
            chord = math.sqrt(radius**2 - (radius - (begin - end) / 2) ** 2)
            middle = (begin + end) / 2
            margin = min(margin, math.hypot(chord, max(-middle, middle - length, 0.0)))
    return margin


def _cut(a: Point, b: Point, longest: float) -> Iterator[tuple[Point, Point]]:
    """A straight piece in parts short enough for the grid."""
    count = max(1, math.ceil(math.dist(a, b) / longest))
    marks = [
        (a[0] + i / count * (b[0] - a[0]), a[1] + i / count * (b[1] - a[1])) for i in range(count)
    ]
    return zip(marks, [*marks[1:], b], strict=True)


def _box(a: Point, b: Point) -> Box:
    return min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])


def _foot(x: float, y: float, a: Point, b: Point) -> tuple[float, float]:
    """Part of the piece at which it is nearest to a point, and the distance."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    part = ((x - a[0]) * ux + (y - a[1]) * uy) / (ux * ux + uy * uy)
    part = min(1.0, max(0.0, part))
    return part, math.hypot(x - a[0] - part * ux, y - a[1] - part * uy)


def _inside(a: Point, b: Point, disc: Disc) -> tuple[float, float] | None:
    """Part of a straight piece inside a disc, as fractions of its length."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    wx, wy = a[0] - disc[0], a[1] - disc[1]
    aa = ux * ux + uy * uy
    half = (ux * wx + uy * wy) / aa
    root = half * half - (wx * wx + wy * wy - disc[2] ** 2) / aa
    if root <= 0:
        return None
    low, high = max(0.0, -half - math.sqrt(root)), min(1.0, -half + math.sqrt(root))
    return (low, high) if low < high else None


def _longest_bare(a: Point, b: Point, discs: Sequence[Disc], grid: Grid) -> float:
    spans = sorted(
        span for i in grid.near(_box(a, b)) if (span := _inside(a, b, discs[i])) is not None
    )
    reached, longest = 0.0, 0.0
    for low, high in spans:
        longest = max(longest, low - reached)
        reached = max(reached, high)
    return max(longest, 1.0 - reached) * math.dist(a, b)


def _necks(discs: Sequence[Disc], grid: Grid) -> Iterator[Point]:
    """Corners of the outline: where two discs cross outside all others."""
    for i, disc in enumerate(discs):
        near = grid.near(box_of(disc))
        for j in near:
            if j <= i:
                continue
            for point in _crossings(disc, discs[j]):
                others = (discs[k] for k in near if k not in (i, j))
                if not any(_holds(other, point) for other in others):
                    yield point


def _crossings(first: Disc, second: Disc) -> Iterator[Point]:
    (x1, y1, r1), (x2, y2, r2) = first, second
    apart = math.hypot(x2 - x1, y2 - y1)
    if apart < _TINY or not abs(r1 - r2) < apart < r1 + r2:
        return
    along = (apart**2 + r1**2 - r2**2) / (2 * apart)
    aside = math.sqrt(max(0.0, r1**2 - along**2))
    ux, uy = (x2 - x1) / apart, (y2 - y1) / apart
    for side in (aside, -aside):
        yield x1 + along * ux - side * uy, y1 + along * uy + side * ux


def _holds(disc: Disc, point: Point) -> bool:
    return math.hypot(point[0] - disc[0], point[1] - disc[1]) < disc[2] - _TINY


def _outline_beside(point: Point, discs: Sequence[Disc], grid: Grid) -> float:
    """Distance from a point of the crack to the outline straight out of each disc round it."""
    x, y = point
    least = math.inf
    for i in grid.near((x, y, x, y)):
        cx, cy, radius = discs[i]
        off = math.hypot(x - cx, y - cy)
        if off > radius:
            continue
        if off < _TINY:
            rims = [(cx + radius, cy), (cx - radius, cy), (cx, cy + radius), (cx, cy - radius)]
        else:
            rims = [(cx + (x - cx) * radius / off, cy + (y - cy) * radius / off)]
        near = grid.near(box_of(discs[i]))
        for rim in rims:
            if not any(_holds(discs[k], rim) for k in near if k != i):
                least = min(least, radius - off)
    return least
