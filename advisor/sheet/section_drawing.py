"""A section through the wall, square to the crack: through the pin in the thinnest wall, and
through a key.

Heights and depths are true to the scale that stands beside the drawing.
"""

from __future__ import annotations

from advisor.advice.phrases import Units
from advisor.light_dataclass import dataclass
from advisor.sheet.model import Figure
from advisor.sheet.svg import (
    Drawing,
    dimension,
    element,
    hatch,
    label,
    line,
    path_of,
    upright_dimension,
)
from advisor.sheet.view import SCALES, scale_says
from advisor.sheet.words import length, length_unit_name, short_length

WIDTH = 180.0
_SIZE = 2.5
_TALLEST_WALL = 46.0  # mm of paper
_LEAST_TOOTH = 0.5  # mm of paper; finer threads are drawn by two lines
_HALF = 90.0
_KEY_ROOM = 52.0
_NOTABLE = 0.02  # mm


@dataclass(frozen=True)
class PinSection:
    """A pin in its wall, all lengths in mm."""

    n: int
    thread: str
    diameter: float
    pitch: float
    tap_drill: float
    wall: float
    spotface_diameter: float
    spotface_depth: float
    shoulder_height: float
    pin_length: float
    engaged_threads: float
    blind: bool

    @property
    def seat(self) -> float:
        """How deep the shoulder sits; a curved wall takes more than the spot-face alone."""
        return self.wall - self.pin_length

    @property
    def lost_to_curve(self) -> float:
        """What the curve of the wall takes off the thread."""
        return max(self.seat - self.spotface_depth, 0.0)


@dataclass(frozen=True)
class KeySection:
    """A key in its wall, all lengths in mm; ``lobes`` from the crack on one side."""

    wall: float
    depth: float
    layers: int
    lobe: float
    lobes: tuple[float, ...]

    @property
    def half(self) -> float:
        """Half the length of the slot."""
        return self.lobes[-1] + self.lobe / 2


def section_figure(
    pin: PinSection, key: KeySection | None, units: Units = "si", *, name: str = "section"
) -> Figure:
    """Both sections side by side; without keys the pin alone."""
    scale = _scale(pin, key)
    wall = max(pin.wall, key.wall if key else 0.0) * scale
    above = max((pin.shoulder_height - pin.seat) * scale, 0.0) + 16.0
    drawing = Drawing(name, WIDTH, above + wall + 26.0)
    drawing.define(hatch(drawing.id("metal"), angle=45, gap=1.8, width=0.12))
    drawing.define(hatch(drawing.id("pin"), angle=-45, gap=0.9, width=0.1))
    _Pin(drawing, pin, scale, units, WIDTH / 2 if key is None else _HALF / 2 + 2, above).draw()
    if key:
        _Key(drawing, key, scale, units, _HALF + _HALF / 2 + 4, above).draw()
    drawing.add(
        label(
            2,
            drawing.height - 3,
            f"scale {scale_says(scale)}; lengths in {length_unit_name(units)}; the crack runs "
            "into the paper",
            _SIZE,
            "start",
        )
    )
    title = "Section through the wall"
    said = describe(pin, key, units)
    return Figure(drawing.text(title, said), title, said, WIDTH, drawing.height)


def _scale(pin: PinSection, key: KeySection | None) -> float:
    wall = max(pin.wall, key.wall if key else 0.0)
    room = _HALF - 34 if key else WIDTH - 70
    wide = pin.spotface_diameter * 1.5
    fitting = (s for s in SCALES if s * wall <= _TALLEST_WALL and s * wide <= room)
    return next(fitting, SCALES[-1])


def describe(pin: PinSection, key: KeySection | None, units: Units = "si") -> str:
    """The sections in words."""
    said = (
        f"Pin {pin.n} in a wall of {length(pin.wall, units)}: {pin.thread}, drilled "
        f"{length(pin.tap_drill, units)}, spot-face {length(pin.spotface_diameter, units)} wide "
        f"and {length(pin.spotface_depth, units)} deep, {length(pin.pin_length, units)} of pin "
        f"below the shoulder, {pin.engaged_threads:.1f} threads engaged."
    )
    if pin.lost_to_curve > _NOTABLE:
        said += f" The curve of the wall takes {length(pin.lost_to_curve, units)} of the thread."
    if key:
        said += (
            f" A key slot {length(key.depth, units)} deep and {length(2 * key.half, units)} long, "
            f"{key.layers} layers, with {length(key.wall - key.depth, units)} of wall under it."
        )
    return said


# --- the pin ------------------------------------------------------------------------------------


@dataclass
class _Pin:
    drawing: Drawing
    pin: PinSection
    scale: float
    units: Units
    middle: float
    surface: float

    def draw(self) -> None:
        pin, k, x, top = self.pin, self.scale, self.middle, self.surface
        half = max(pin.spotface_diameter * 0.75 * k, 12.0)
        seat, far = top + pin.seat * k, top + pin.wall * k
        self._wall(half, seat, far)
        self._shoulder(seat)
        self._body(seat, far)
        self.drawing.add(line(x, top - 9, x, far + 5, 0.12, stroke_dasharray="4 1 1 1"))
        self.drawing.add(label(x, 3.5, f"through pin {pin.n}, the thinnest wall", 3.0))
        self._dimensions(half, seat, far)

    def _wall(self, half: float, seat: float, far: float) -> None:
        x, top, k = self.middle, self.surface, self.scale
        face, thread = self.pin.spotface_diameter / 2 * k, self.pin.diameter / 2 * k
        metal = f"url(#{self.drawing.id('metal')})"
        for side in (-1, 1):
            points = [
                (x + side * half, top),
                (x + side * face, top),
                (x + side * face, seat),
                (x + side * thread, seat),
                (x + side * thread, far),
                (x + side * half, far),
            ]
            self.drawing.add(element("path", d=path_of(points, closed=True), fill=metal))
            self.drawing.add(
                element(
                    "path", d=path_of(points[:4]), fill="none", stroke="#000", stroke_width=0.35
                )
            )
            if not self.pin.blind:
                self.drawing.add(line(x + side * half, far, x + side * thread, far, 0.35))
            self.drawing.add(_break_line(x + side * half, top, far))

    def _shoulder(self, seat: float) -> None:
        """Half of it sinks; what stands above the face is dressed off, so it is dashed."""
        pin, k, x, top = self.pin, self.scale, self.middle, self.surface
        if pin.spotface_depth <= 0:
            return
        r, proud = pin.spotface_diameter / 2 * k, (pin.shoulder_height - pin.seat) * k
        fill = f"url(#{self.drawing.id('pin')})"
        self.drawing.add(
            element("rect", x=x - r, y=top, width=2 * r, height=seat - top, fill="#fff"),
            element(
                "rect",
                x=x - r,
                y=top,
                width=2 * r,
                height=seat - top,
                fill=fill,
                stroke="#000",
                stroke_width=0.3,
            ),
        )
        if proud > 0.2:
            corners = [(x - r, top), (x - r, top - proud), (x + r, top - proud), (x + r, top)]
            self.drawing.add(
                element(
                    "path",
                    d=path_of(corners),
                    fill="none",
                    stroke="#000",
                    stroke_width=0.25,
                    stroke_dasharray="1.2 0.8",
                )
            )

    def _body(self, seat: float, far: float) -> None:
        pin, k, x = self.pin, self.scale, self.middle
        major, minor = pin.diameter / 2 * k, pin.tap_drill / 2 * k
        fill = f"url(#{self.drawing.id('pin')})"
        tooth = pin.pitch * k
        right = (
            _teeth(seat, far, tooth, minor, major)
            if tooth >= _LEAST_TOOTH
            else [(major, seat), (major, far)]
        )
        points = [(x + r, y) for r, y in right] + [(x - r, y) for r, y in reversed(right)]
        d = path_of(points, closed=True)
        self.drawing.add(
            element("path", d=d, fill="#fff"),
            element("path", d=d, fill=fill, stroke="#000", stroke_width=0.25),
        )
        if tooth < _LEAST_TOOTH:
            self.drawing.add(
                *(line(x + s * minor, seat, x + s * minor, far, 0.15) for s in (-1, 1))
            )

    def _dimensions(self, half: float, seat: float, far: float) -> None:
        pin, k, x, top, units = self.pin, self.scale, self.middle, self.surface, self.units
        face = pin.spotface_diameter / 2 * k
        left, right = x - half - 4, x + half + 4
        add = self.drawing.add
        for y in (top, far):
            add(line(x - half, y, left - 1, y, 0.1))
        wall = short_length(pin.wall, units)
        add(upright_dimension(left, top, far, f"wall {wall}", _SIZE))
        for y in (seat, far):
            add(line(x + half, y, right + 1, y, 0.1))
        text = short_length(pin.pin_length, units)
        add(upright_dimension(right, seat, far, f"pin {text}", _SIZE, left=False))
        if pin.spotface_depth > 0:
            text = f"spot-face {short_length(pin.spotface_depth, units)} deep"
            if pin.lost_to_curve > _NOTABLE:
                text += f", curve {short_length(pin.lost_to_curve, units)}"
            add(line(x + face, top, right + 1, top, 0.1))
            add(label(right + 1.5, (top + seat) / 2 - 0.2, text, _SIZE, "start"))
            y = top - max((pin.shoulder_height - pin.seat) * k, 0) - 3.0
            add(*(line(x + s * face, top, x + s * face, y - 1, 0.1) for s in (-1, 1)))
            add(dimension(x - face, x + face, y, short_length(pin.spotface_diameter, units), _SIZE))
        y = far + 7.5
        add(label(x, y, f"{pin.thread}, tap drill {short_length(pin.tap_drill, units)}", _SIZE))
        threads = f"{pin.engaged_threads:.1f} threads engaged"
        add(label(x, y + 3.6, threads + (", blind hole" if pin.blind else ""), _SIZE))


def _teeth(
    top: float, bottom: float, pitch: float, minor: float, major: float
) -> list[tuple[float, float]]:
    """The flank of a thread as radius and height, from the seat to the far face."""
    points = [(minor, top)]
    y = top
    while y + pitch <= bottom + 1e-9:
        points += [(major, y + pitch / 2), (minor, y + pitch)]
        y += pitch
    points.append((minor, bottom))
    return points


def _break_line(x: float, top: float, bottom: float) -> str:
    """The wall goes on: a thin line with a kink."""
    middle = (top + bottom) / 2
    points = [
        (x, top - 2),
        (x, middle - 1.5),
        (x - 1, middle - 0.5),
        (x + 1, middle + 0.5),
        (x, middle + 1.5),
        (x, bottom + 2),
    ]
    return element("path", d=path_of(points), fill="none", stroke="#000", stroke_width=0.12)


# --- the key ------------------------------------------------------------------------------------


@dataclass
class _Key:
    """A key along its length; one too long for the paper is broken off on both sides."""

    drawing: Drawing
    key: KeySection
    scale: float
    units: Units
    middle: float
    surface: float

    def draw(self) -> None:
        key, x, top = self.key, self.middle, self.surface
        floor, far = top + key.depth * self.scale, top + key.wall * self.scale
        metal = f"url(#{self.drawing.id('metal')})"
        reach, half = self.reach, self.half
        points = [
            (x - half, top),
            (x - reach, top),
            (x - reach, floor),
            (x + reach, floor),
            (x + reach, top),
            (x + half, top),
            (x + half, far),
            (x - half, far),
        ]
        add = self.drawing.add
        add(element("path", d=path_of(points, closed=True), fill=metal))
        outline = points[2:4] if self.broken else points[:6]
        add(element("path", d=path_of(outline), fill="none", stroke="#000", stroke_width=0.35))
        add(line(x - half, far, x + half, far, 0.35), line(x, floor, x, far, 0.6))
        add(_break_line(x - half, top, far), _break_line(x + half, top, far))
        for i in range(key.layers + 1):
            y = top + (floor - top) * i / key.layers
            add(line(x - reach, y, x + reach, y, 0.2))
        add(*self._lobes(top, floor))
        add(label(x, 3.5, "through a key", 3.0))
        self._dimensions(top, floor, far)

    @property
    def broken(self) -> bool:
        """Whether the slot is longer than the paper has room for."""
        return self.key.half * self.scale > _KEY_ROOM / 2 - 4.0

    @property
    def reach(self) -> float:
        """Half the slot as drawn."""
        return _KEY_ROOM / 2 if self.broken else self.key.half * self.scale

    @property
    def half(self) -> float:
        """Half the wall as drawn."""
        return self.reach if self.broken else max(self.reach + 4.0, 12.0)

    def _lobes(self, top: float, floor: float) -> list[str]:
        """Where the lobes begin and end: short dashes."""
        places = (
            self.scale * (side * place + end)
            for side in (-1, 1)
            for place in self.key.lobes
            for end in (-self.key.lobe / 2, self.key.lobe / 2)
        )
        return [
            line(self.middle + at, top, self.middle + at, floor, 0.1, stroke_dasharray="0.8 0.5")
            for at in places
            if abs(at) <= self.reach
        ]

    def _dimensions(self, top: float, floor: float, far: float) -> None:
        key, x, units, add = self.key, self.middle, self.units, self.drawing.add
        right = x + self.half + 4
        for y in (top, floor, far):
            add(line(x + self.half, y, right + 1, y, 0.1))
        depth, left = short_length(key.depth, units), short_length(key.wall - key.depth, units)
        add(upright_dimension(right, top, floor, f"slot {depth}", _SIZE, left=False))
        add(upright_dimension(right, floor, far, f"left {left}", _SIZE, left=False))
        long = short_length(2 * key.half, units)
        if self.broken:
            add(label(x, top - 4, f"broken off: the slot is {long} long", _SIZE))
        else:
            add(dimension(x - self.reach, x + self.reach, top - 4, long, _SIZE))
        add(label(x, far + 7.5, f"{key.layers} layers, each driven solid", _SIZE))
        add(label(x, far + 11.1, "heavy line: the crack below the slot, held by pins", _SIZE))
