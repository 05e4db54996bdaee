"""How the part is laid on the paper: scale, turn, and the cutting of a long crack into panels."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from advisor.engineering.polyline import Point, Polyline
from advisor.light_dataclass import dataclass
from advisor.sheet.picture import Picture, points_of
from advisor.sheet.svg import number

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005)
"""Paper over part; the series 1-2-5 that ISO 5455 recommends (memory)."""

LEAST_PIN_ON_PAPER = 2.6
ROUND_LABELS = 13.0  # mm of paper kept free around what is drawn
_EDGE_SHOWN_WITHIN = 0.5  # of the crack's length
_SAMPLES = 64


@dataclass(frozen=True)
class View:
    """The map from part to paper: turned, scaled, y upwards, moved.

    >>> View(2.0, 0.0, 10.0, 50.0).paper(5, 3)
    (20.0, 44.0)
    """

    scale: float
    turn: float  # direction on the part that runs to the right on the paper [deg]
    left: float
    top: float

    def paper(self, x: float, y: float) -> Point:
        """A place of the part on the paper."""
        u, v = turned(x, y, self.turn)
        return self.left + self.scale * u, self.top - self.scale * v

    def vector(self, angle: float) -> Point:
        """A direction of the part on the paper, as a unit vector."""
        a = math.radians(angle - self.turn)
        return math.cos(a), -math.sin(a)

    @property
    def transform(self) -> str:
        """The same map as an SVG transform."""
        move = f"translate({number(self.left, 4)} {number(self.top, 4)})"
        scale = f"scale({number(self.scale, 4)} {number(-self.scale, 4)})"
        return f"{move} {scale}" + (f" rotate({number(-self.turn, 4)})" if self.turn else "")


@dataclass(frozen=True)
class Panel:
    """A stretch of the part, as ranges along (u) and across (v) the turned axes."""

    n: int
    of: int
    begin: float
    end: float
    low: float
    high: float

    def holds(self, u: float) -> bool:
        """Whether a place belongs to this panel; the outer panels reach on."""
        return (self.n == 1 or u >= self.begin) and (self.n == self.of or u < self.end)


@dataclass(frozen=True)
class Arrangement:
    """Scale, turn, and the panels in order."""

    scale: float
    turn: float
    panels: tuple[Panel, ...]


def turned(x: float, y: float, turn: float) -> Point:
    """Coordinates along and across a direction."""
    if not turn:
        return x, y
    a = math.radians(turn)
    return x * math.cos(a) + y * math.sin(a), y * math.cos(a) - x * math.sin(a)


def arrange(picture: Picture, width: float, height: float) -> Arrangement:
    """Choose scale and turn so that pins can be told apart; cut into panels where that must be.

    Args:
        picture: what is drawn.
        width: of the paper for the drawing [mm].
        height: most that one panel may take [mm].
    """
    wanted = LEAST_PIN_ON_PAPER / picture.pin.diameter if picture.pin else 0.0
    for turn in dict.fromkeys((0.0, chord(picture))):
        box = _box(picture, turn)
        scale = _largest_scale(box, width, height)
        if scale is not None and scale >= wanted:
            return Arrangement(scale, turn, (Panel(1, 1, *box),))
    turn = chord(picture)
    fitting = [scale for scale in SCALES if scale >= wanted]
    scale = min(fitting) if fitting else SCALES[0]
    return Arrangement(scale, turn, _panels(picture, turn, scale, width))


def chord(picture: Picture) -> float:
    """Direction from the first point of the crack to its last [deg]."""
    (x1, y1), (x2, y2) = picture.lines[0][0], picture.lines[0][-1]
    if math.dist((x1, y1), (x2, y2)) < 1e-6:
        return 0.0
    return round(math.degrees(math.atan2(y2 - y1, x2 - x1)), 2)


def extent(picture: Picture) -> list[Point]:
    """All that a drawing holds; an edge only where it is near."""
    points = points_of(picture)
    if edge_is_near(picture):
        assert picture.edge
        points.append((picture.edge.x, picture.edge.y))
    return points


def edge_is_near(picture: Picture) -> bool:
    """Whether the free edge is drawn; a far one is only named."""
    if picture.edge is None:
        return False
    return picture.edge.distance <= max(_EDGE_SHOWN_WITHIN * picture.main.length, 1.0)


def _box(picture: Picture, turn: float) -> tuple[float, float, float, float]:
    places = [turned(x, y, turn) for x, y in extent(picture)]
    reach = _reach(picture)
    along, across = [u for u, _ in places], [v for _, v in places]
    return min(along) - reach, max(along) + reach, min(across) - reach, max(across) + reach


def _reach(picture: Picture) -> float:
    """How far what is drawn reaches beyond its middle."""
    pin = picture.pin.diameter / 2 if picture.pin else 0.0
    return max(pin, picture.key_shape.lobe / 2 if picture.key_shape else 0.0)


def _largest_scale(
    box: tuple[float, float, float, float], width: float, height: float
) -> float | None:
    begin, end, low, high = box
    for scale in SCALES:
        wide = scale * (end - begin) + 2 * ROUND_LABELS
        if wide <= width and scale * (high - low) + 2 * ROUND_LABELS <= height:
            return scale
    return None


def _panels(picture: Picture, turn: float, scale: float, width: float) -> tuple[Panel, ...]:
    begin, end, _, _ = _box(picture, turn)
    count = max(1, math.ceil((end - begin) * scale / (width - 2 * ROUND_LABELS) - 1e-9))
    step = (end - begin) / count
    lines = [turned(x, y, turn) for line in picture.lines for x, y in _sampled(line)]
    places = lines + [turned(x, y, turn) for x, y in extent(picture)]
    reach = _reach(picture)
    panels = []
    for i in range(count):
        bare = Panel(i + 1, count, begin + i * step, begin + (i + 1) * step, 0.0, 0.0)
        across = [v for u, v in places if bare.holds(u)] or [0.0]
        panels.append(
            Panel(bare.n, count, bare.begin, bare.end, min(across) - reach, max(across) + reach)
        )
    return tuple(panels)


def _sampled(points: Sequence[Point]) -> Iterable[Point]:
    line = Polyline(tuple(points))
    count = _SAMPLES * (len(points) - 1)
    return (line.position(line.length * i / count) for i in range(count + 1))


def scale_says(scale: float) -> str:
    """A scale as drawings name it.

    >>> scale_says(0.2), scale_says(1), scale_says(5)
    ('1 : 5', '1 : 1', '5 : 1')
    """
    return f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"
