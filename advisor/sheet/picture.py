"""What is drawn: crack, pins, keys, holes, edges and steps, as numbers in mm of the part."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from advisor.advice.hole_plan import HolePlan
from advisor.advice.model import Stitching
from advisor.advice.seam import SeamDesign
from advisor.advice.thinking import Thinking
from advisor.case.model import Hole, PathPoint
from advisor.case.quantities import Measure
from advisor.engineering import keys as engineering
from advisor.engineering.crack_path import CrackPoint, place_bore, straight_path
from advisor.engineering.designations import parse_designation
from advisor.engineering.keys import KeyDesign
from advisor.engineering.layout import SeamLayout
from advisor.engineering.pins import Pin
from advisor.engineering.polyline import Point, Polyline
from advisor.light_dataclass import dataclass

UNKNOWN_WALL = 1.0  # only the line of such a crack is drawn, never its wall


@dataclass(frozen=True)
class PinMark:
    """One pin."""

    n: int
    at: float
    x: float
    y: float
    pass_number: int
    engaged_threads: float


@dataclass(frozen=True)
class KeyMark:
    """One key; ``angle`` is the direction of the crack there [deg]."""

    n: int
    x: float
    y: float
    angle: float
    lobes: tuple[float, ...]  # middles of the lobes on one side, from the crack


@dataclass(frozen=True)
class KeyShape:
    """The section of the keys."""

    neck: float
    lobe: float
    depth: float
    layers: int


@dataclass(frozen=True)
class HoleMark:
    """A threaded hole near the crack, and what it is opened to for an insert."""

    n: int
    x: float
    y: float
    diameter: float
    bore: float | None
    text: str


@dataclass(frozen=True)
class StepMark:
    """Where the surface steps by a height."""

    x: float
    y: float
    angle: float
    height: float


@dataclass(frozen=True)
class EdgeMark:
    """A free edge, taken as square to the crack; ``distance`` from the end of the crack."""

    x: float
    y: float
    angle: float
    distance: float


@dataclass(frozen=True)
class Picture:
    """Everything that the drawings show. ``lines``: the crack, then its branches."""

    lines: tuple[tuple[Point, ...], ...]
    pins: tuple[PinMark, ...] = ()
    pin: Pin | None = None
    tap_drill: float = 0.0
    least_threads: float = 0.0
    spacing: float = 0.0
    keys: tuple[KeyMark, ...] = ()
    key_shape: KeyShape | None = None
    holes: tuple[HoleMark, ...] = ()
    steps: tuple[StepMark, ...] = ()
    edge: EdgeMark | None = None
    straight_guess: bool = False

    @property
    def main(self) -> Polyline:
        """The crack itself, without its branches."""
        return Polyline(self.lines[0])

    @property
    def pin_radius(self) -> float:
        """Half a pin, or nothing where no pins are set [mm]."""
        return self.pin.diameter / 2 if self.pin else 0.0

    @property
    def passes(self) -> tuple[int, ...]:
        """Pass numbers in order."""
        return tuple(sorted({pin.pass_number for pin in self.pins}))


def picture_of(thinking: Thinking, stitching: Stitching | None) -> Picture:
    """What to draw of a plan that goes ahead."""
    path = _path(thinking, stitching)
    lines = (tuple((point.x, point.y) for point in path),)
    seam = thinking.objects.get("seam")
    common = Picture(
        lines=lines,
        holes=_holes(thinking, path),
        steps=_steps(path),
        edge=_edge(thinking, lines[0]),
        straight_guess=not isinstance(thinking.case.value("crack_path"), tuple),
    )
    if stitching is None or not isinstance(seam, SeamDesign):
        return common
    pins = tuple(
        PinMark(h.n, h.at.value, h.x.value, h.y.value, h.drilling_pass, h.engaged_threads)
        for h in stitching.layout
    )
    design = thinking.objects.get("keys") if stitching.keys else None
    return Picture(
        lines=lines,
        pins=pins,
        pin=seam.choice.pin,
        tap_drill=seam.choice.tap_drill,
        least_threads=seam.choice.least_threads,
        spacing=seam.pitch,
        keys=_keys(design, Polyline(lines[0])) if isinstance(design, KeyDesign) else (),
        key_shape=_shape(design) if isinstance(design, KeyDesign) else None,
        holes=common.holes,
        steps=common.steps,
        edge=common.edge,
        straight_guess=common.straight_guess,
    )


def picture_of_layout(
    lines: Sequence[Sequence[Point]], layout: SeamLayout, pin: Pin, *, least_threads: float = 3.0
) -> Picture:
    """What to draw of a layout alone."""
    marks = tuple(
        PinMark(p.n, p.at, p.x, p.y, p.pass_number, p.engaged_threads) for p in layout.pins
    )
    return Picture(
        lines=tuple(tuple(one) for one in lines),
        pins=marks,
        pin=pin,
        least_threads=least_threads,
        spacing=max(layout.spacing, default=0.0),
    )


# --- the crack ----------------------------------------------------------------------------------


def _path(thinking: Thinking, stitching: Stitching | None) -> tuple[CrackPoint, ...]:
    seam = thinking.objects.get("seam")
    if stitching is not None and isinstance(seam, SeamDesign):
        return seam.path
    return _recorded(thinking.case.value("crack_path")) or straight_path(
        _length(thinking), UNKNOWN_WALL
    )


def _recorded(answer: object) -> tuple[CrackPoint, ...]:
    if not isinstance(answer, tuple):
        return ()
    found: list[CrackPoint] = []
    height = 0.0
    for point in answer:
        if not isinstance(point, PathPoint):
            return ()
        if not isinstance(point.x, Measure) or not isinstance(point.y, Measure):
            return ()
        level = point.z.middle if isinstance(point.z, Measure) else height
        wall = point.wall.low if isinstance(point.wall, Measure) else UNKNOWN_WALL
        step = abs(level - height)
        found.append(CrackPoint(point.x.middle, point.y.middle, wall, step=step))
        height = level
    return tuple(found) if len(found) > 1 else ()


def _length(thinking: Thinking) -> float:
    value = thinking.case.value("crack_length")
    return value.high if isinstance(value, Measure) and value.high > 0 else UNKNOWN_WALL


def _steps(path: Sequence[CrackPoint]) -> tuple[StepMark, ...]:
    line = Polyline(tuple((point.x, point.y) for point in path))
    return tuple(
        StepMark(point.x, point.y, direction(line, at), point.step)
        for at, point in zip(line.at, path, strict=True)
        if point.step
    )


def _edge(thinking: Thinking, points: tuple[Point, ...]) -> EdgeMark | None:
    """The nearest free edge lies past the last point, as the layout takes it."""
    value = thinking.case.value("nearest_edge")
    if not isinstance(value, Measure):
        return None
    line = Polyline(points)
    x, y = line.position(line.length + value.low)
    return EdgeMark(x, y, direction(line, line.length), value.low)


def direction(line: Polyline, at: float) -> float:
    """Direction of a line at a distance along it; at a bend the mean of both sides [deg]."""
    piece = line.piece(at)
    around = [piece]
    if piece > 0 and abs(line.at[piece] - at) < 1e-6:
        around.insert(0, piece - 1)
    x = y = 0.0
    for i in around:
        (x1, y1), (x2, y2) = line.points[i], line.points[i + 1]
        run = math.dist((x1, y1), (x2, y2))
        x, y = x + (x2 - x1) / run, y + (y2 - y1) / run
    return math.degrees(math.atan2(y, x))


# --- keys and holes -----------------------------------------------------------------------------


def _keys(design: KeyDesign, line: Polyline) -> tuple[KeyMark, ...]:
    marks = []
    for n, at in enumerate(design.positions, start=1):
        x, y = line.position(at)
        marks.append(KeyMark(n, x, y, direction(line, at), lobe_places(design, n)))
    return tuple(marks)


def lobe_places(design: KeyDesign, n: int) -> tuple[float, ...]:
    """Middles of the lobes on one side of key n, from the crack [mm].

    Staggered keys take turns, so that no row of lobes is cut by two neighbours.
    """
    return engineering.lobe_places(design.section, longer=design.staggered and n % 2 == 0)


def _shape(design: KeyDesign) -> KeyShape:
    section = design.section
    return KeyShape(section.neck, section.lobe, design.depth, design.layers)


def _holes(thinking: Thinking, path: tuple[CrackPoint, ...]) -> tuple[HoleMark, ...]:
    plans = thinking.objects.get("inserts")
    answer = thinking.case.value("holes")
    if not isinstance(plans, tuple) or not isinstance(answer, tuple):
        return ()
    marks = (
        _hole(plan, answer[plan.number - 1], path) for plan in plans if isinstance(plan, HolePlan)
    )
    return tuple(mark for mark in marks if mark is not None)


def _hole(plan: HolePlan, hole: object, path: tuple[CrackPoint, ...]) -> HoleMark | None:
    """A hole where its place is known: by its distance along the crack and from it."""
    if not isinstance(hole, Hole) or not isinstance(hole.thread, str):
        return None
    if not isinstance(hole.at, Measure) or not isinstance(hole.distance, Measure):
        return None
    diameter = parse_designation(hole.thread).diameter_mm
    bore = plan.design.outside_diameter_mm if plan.design else None
    widest = bore if bore is not None and bore > diameter else diameter
    placed = place_bore(path, hole.at.middle, hole.distance.low, diameter, widest)
    return HoleMark(plan.number, placed.x, placed.y, diameter, bore, hole.thread)


def straight(lines: Iterable[Sequence[Point]]) -> bool:
    """Whether there is one line without bends."""
    found = list(lines)
    if len(found) != 1:
        return False
    line = Polyline(tuple(found[0]))
    return all(line.turn(i) < 0.5 for i in range(1, len(line.points) - 1))


def points_of(picture: Picture) -> list[Point]:
    """Places that a drawing has to hold, ends of keys among them."""
    found = [point for one in picture.lines for point in one]
    found += [(pin.x, pin.y) for pin in picture.pins]
    for key in picture.keys:
        found += key_ends(key)
    for hole in picture.holes:
        reach = max(hole.diameter, hole.bore or 0.0) / 2
        found += [(hole.x - reach, hole.y - reach), (hole.x + reach, hole.y + reach)]
    return found


def key_ends(key: KeyMark) -> list[Point]:
    """Middles of the end lobes of a key."""
    angle = math.radians(key.angle + 90)
    reach = key.lobes[-1]
    dx, dy = reach * math.cos(angle), reach * math.sin(angle)
    return [(key.x - dx, key.y - dy), (key.x + dx, key.y + dy)]


def neighbours(pins: Sequence[PinMark]) -> Iterable[tuple[PinMark, PinMark]]:
    """Pins that follow each other by number."""
    return pairwise(pins)
