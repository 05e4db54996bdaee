"""The crack as a drawing in plain characters: the face with what is near it, and the wall."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from random import Random

from advisor.advice.phrases import Units
from advisor.case.model import Case, Hole, PathPoint
from advisor.case.quantities import Measure, format_measure, measure
from advisor.light_dataclass import dataclass

WIDTH = 64
HEIGHT = 9
_MIDDLE = HEIGHT // 2
_ROUND = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


@dataclass(frozen=True)
class _Scale:
    """How millimetres become columns and rows; a row stands for two columns."""

    left: float
    per_column: float

    def column(self, x: float) -> int:
        return round((x - self.left) / self.per_column)

    def row(self, y: float) -> int:
        return _MIDDLE - round(y / (2 * self.per_column))


def draw(case: Case, units: Units = "si") -> list[str]:
    """The drawing, line by line; empty where the length of the crack is not known.

    Not to scale across the crack where it is drawn from its length alone.
    """
    length = _number(case, "crack_length")
    if length is None:
        return []
    points = _points(case, length)
    edge = _number(case, "nearest_edge")
    scale = _scale(points, edge)
    grid = [[" "] * WIDTH for _ in range(HEIGHT)]
    legend = [*_place_surroundings(grid, case, scale, points, edge, units)]
    _place_crack(grid, points, scale)
    legend = [*_place_ends(grid, case, points, scale), *legend]
    legend += _place_branches(grid, case, points, scale)
    legend += _place_holes(grid, case, points, scale)
    lines = ["".join(row).rstrip() for row in grid]
    return [*_trimmed(lines), _scale_bar(scale, units), *legend, *_section(case, units)]


def _number(case: Case, name: str) -> float | None:
    value = case.value(name)
    return value.middle if isinstance(value, Measure) else None


def _points(case: Case, length: float) -> list[tuple[float, float]]:
    """The crack as recorded, or a wandering line of its length."""
    path = case.value("crack_path")
    if isinstance(path, tuple):
        found = [
            (point.x.middle, point.y.middle)
            for point in path
            if isinstance(point, PathPoint)
            and isinstance(point.x, Measure)
            and isinstance(point.y, Measure)
        ]
        if len(found) > 1:
            middle = sum(y for _, y in found) / len(found)
            return [(x, y - middle) for x, y in found]
    random = Random(f"{case.reference}/{length}")
    count = 7
    return [
        (length * i / count, length * random.uniform(-0.03, 0.03) if 0 < i < count else 0.0)
        for i in range(count + 1)
    ]


def _scale(points: list[tuple[float, float]], edge: float | None) -> _Scale:
    """The whole crack with room on both sides, and the free edge where it is near."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    length = max(xs) - min(xs) or 1.0
    right = max(xs) + (edge if _is_near(edge, length) and edge is not None else 0.15 * length)
    wide = (right - min(xs) + 0.12 * length) / (WIDTH - 2)
    high = (max(ys) - min(ys)) / (2 * (HEIGHT - 3))
    return _Scale(min(xs) - 0.1 * length, max(wide, high, 1e-6))


def _is_near(edge: float | None, length: float) -> bool:
    return edge is not None and edge <= 0.6 * length


def _put(grid: list[list[str]], row: int, column: int, mark: str) -> None:
    if 0 <= row < HEIGHT and 0 <= column < WIDTH:
        grid[row][column] = mark


def _place_crack(grid: list[list[str]], points: list[tuple[float, float]], scale: _Scale) -> None:
    """The line, with slanted strokes where it climbs or falls."""
    last: int | None = None
    first, final = scale.column(points[0][0]), scale.column(points[-1][0])
    for column in range(first, final + 1):
        row = scale.row(_height_at(points, scale.left + column * scale.per_column))
        mark = "-" if last is None or row == last else ("/" if row < last else "\\")
        _put(grid, row, column, mark)
        last = row


def _height_at(points: list[tuple[float, float]], x: float) -> float:
    for (x1, y1), (x2, y2) in itertools.pairwise(points):
        if x1 <= x <= x2 and x2 > x1:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return points[0][1] if x < points[0][0] else points[-1][1]


def _place_ends(
    grid: list[list[str]], case: Case, points: list[tuple[float, float]], scale: _Scale
) -> Iterator[str]:
    found = case.value("crack_ends_found")
    mark = "x" if found in ("penetrant", "magnetic_particle") else "?"
    for x, y in (points[0], points[-1]):
        _put(grid, scale.row(y), scale.column(x), mark)
    yield "x  end found" if mark == "x" else "?  end that nobody has found for certain"


def _place_branches(
    grid: list[list[str]], case: Case, points: list[tuple[float, float]], scale: _Scale
) -> Iterator[str]:
    count = int(_number(case, "crack_branches") or 0)
    xs = [x for x, _ in points]
    for number in range(min(count, 4)):
        x = min(xs) + (max(xs) - min(xs)) * (number + 1) / (min(count, 4) + 1)
        column, row = scale.column(x), scale.row(_height_at(points, x))
        up = number % 2 == 0
        for step in (1, 2):
            _put(grid, row - step if up else row + step, column + step, "/" if up else "\\")
    if count:
        yield f"/  branch ({count} in all)"


def _place_holes(
    grid: list[list[str]], case: Case, points: list[tuple[float, float]], scale: _Scale
) -> Iterator[str]:
    holes = case.value("holes")
    drawn = 0
    for hole in holes if isinstance(holes, tuple) else ():
        if not isinstance(hole, Hole) or not isinstance(hole.at, Measure):
            continue
        distance = hole.distance.middle if isinstance(hole.distance, Measure) else 0.0
        x = points[0][0] + hole.at.middle
        y = _height_at(points, x) + distance
        row = max(0, scale.row(y)) if distance else scale.row(y)
        _put(grid, row, min(WIDTH - 1, scale.column(x)), "O")
        drawn += 1
    if drawn:
        yield "O  threaded hole"


def _place_surroundings(
    grid: list[list[str]],
    case: Case,
    scale: _Scale,
    points: list[tuple[float, float]],
    edge: float | None,
    units: Units,
) -> Iterator[str]:
    xs = [x for x, _ in points]
    length = max(xs) - min(xs)
    if edge is not None and _is_near(edge, length):
        column = min(WIDTH - 1, scale.column(max(xs) + edge))
        for row in range(HEIGHT):
            _put(grid, row, column, "|")
        yield f"|  free edge, {_mm(edge, units)} beyond the end"
    passage = _number(case, "nearest_passage")
    if passage is not None and scale.row(-passage) < HEIGHT:
        for column in range(0, WIDTH, 2):
            _put(grid, scale.row(-passage), column, "=")
        yield f"=  oil or coolant way, {_mm(passage, units)} from the line"


def _mm(value: float, units: Units) -> str:
    return format_measure(measure(value, dimension="length"), units)


def _trimmed(lines: list[str]) -> list[str]:
    while lines and not lines[0]:
        lines.pop(0)
    while lines and not lines[-1]:
        lines.pop()
    return lines


def _scale_bar(scale: _Scale, units: Units) -> str:
    wanted = 12 * scale.per_column
    size = min(_ROUND, key=lambda one: abs(math.log(one / wanted)))
    columns = max(2, round(size / scale.per_column))
    return f"|{'-' * (columns - 1)}| {_mm(size, units)}"


def _section(case: Case, units: Units) -> Iterator[str]:
    """The wall cut across the crack: outside above, what lies behind below."""
    wall = case.value("wall_thickness")
    if not isinstance(wall, Measure):
        return
    partial = case.value("crack_depth") == "partial"
    behind = case.value("behind_wall")
    known = isinstance(behind, str)
    yield ""
    yield "the wall, cut across the crack"
    yield f"########\\########  outside, least wall {format_measure(wall, units)}"
    yield "########/########"
    yield "#################" if partial else "########\\########"
    yield f"  behind it: {str(behind).replace('_', ' ') if known else 'not known'}"
