"""The signs of the drawings: passes by shape and shade, keys, holes, edges and steps.

Shapes are drawn in mm of the part inside a group that maps them to the paper, so that their
coordinates are those of the layout; widths of lines are divided by the scale.
"""

from __future__ import annotations

import math

from advisor.engineering.polyline import Point
from advisor.sheet.picture import EdgeMark, HoleMark, KeyMark, KeyShape, PinMark, StepMark
from advisor.sheet.svg import element, line, path_of

SHADES = ("#fff", "#dcdcdc", "#b8b8b8", "#fff", "#dcdcdc", "#b8b8b8")
"""Fill of a pin by its pass; the mark in its middle tells passes of one shade apart."""

MARK_NAMES = ("disc", "triangle", "square", "ring", "cross", "plus")
_MARK_TO_PIN = 0.2  # half the width of a mark over the diameter of its pin
_LARGEST_MARK = 1.3  # mm of paper


def shade(pass_number: int) -> str:
    """Fill of a pin."""
    return SHADES[(pass_number - 1) % len(SHADES)]


def mark_name(pass_number: int) -> str:
    """Name of the mark of a pass."""
    return MARK_NAMES[(pass_number - 1) % len(MARK_NAMES)]


def pass_mark(name: str, x: float, y: float, size: float) -> str:
    """The mark of a pass in mm of paper; ``size`` is half its width."""
    if name == "disc":
        return element("circle", cx=x, cy=y, r=size, fill="#000", stroke="#fff", stroke_width=0.15)
    if name == "ring":
        return element(
            "circle", cx=x, cy=y, r=size * 0.8, fill="#fff", stroke="#000", stroke_width=size * 0.45
        )
    if name in ("cross", "plus"):
        return _strokes(name, x, y, size)
    if name == "triangle":
        s = size * 1.15
        points = [(x, y - s), (x + 0.9 * s, y + 0.65 * s), (x - 0.9 * s, y + 0.65 * s)]
    else:
        s = size * 0.85
        points = [(x - s, y - s), (x + s, y - s), (x + s, y + s), (x - s, y + s)]
    return element(
        "path", d=path_of(points, closed=True), fill="#000", stroke="#fff", stroke_width=0.15
    )


def _strokes(name: str, x: float, y: float, size: float) -> str:
    s = size * (0.75 if name == "cross" else 1.0)
    ends = ((-s, -s, s, s), (-s, s, s, -s)) if name == "cross" else ((-s, 0, s, 0), (0, -s, 0, s))
    return "".join(line(x + a, y + b, x + c, y + d, size * 0.5) for a, b, c, d in ends)


def mark_size(pin_on_paper: float) -> float:
    """Half the width of a mark in a pin of this diameter on the paper."""
    return min(_MARK_TO_PIN * pin_on_paper, _LARGEST_MARK)


def pin_disc(pin: PinMark, diameter: float, scale: float) -> str:
    """A pin as the disc that it fills, in mm of the part."""
    return element(
        "circle",
        class_="pin",
        data_n=pin.n,
        data_pass=pin.pass_number,
        cx=pin.x,
        cy=pin.y,
        r=diameter / 2,
        fill=shade(pin.pass_number),
        stroke="#000",
        stroke_width=0.2 / scale,
    )


def key_outline(key: KeyMark, shape: KeyShape, scale: float, fill: str) -> str:
    """A key seen from above: a neck with lobes on both sides of the crack.

    One outline round neck and lobes: all of them in black with a broad edge, then filled.
    """
    turn = f"translate({key.x:.2f} {key.y:.2f}) rotate({key.angle + 90:.2f})"
    edge = 0.7 / scale
    layers = "".join(
        element("g", _key_parts(key, shape), **attributes)
        for attributes in (
            {"fill": "#000", "stroke": "#000", "stroke_width": edge},
            {"fill": "#fff"},
            {"fill": fill},
        )
    )
    return element(
        "g", layers, class_="key", transform=turn, data_n=key.n, data_x=key.x, data_y=key.y
    )


def _key_parts(key: KeyMark, shape: KeyShape) -> str:
    reach, half = key.lobes[-1], shape.neck / 2
    neck = element("rect", x=-reach, y=-half, width=2 * reach, height=shape.neck)
    places = (side * at for at in key.lobes for side in (-1, 1))
    return neck + "".join(element("circle", cx=at, cy=0.0, r=shape.lobe / 2) for at in places)


def hole_circles(hole: HoleMark, scale: float) -> str:
    """A hole, its crossed centre, and in dashes what it is opened to for its insert."""
    x, y, r = hole.x, hole.y, hole.diameter / 2
    parts = [
        element(
            "circle",
            class_="hole",
            data_n=hole.n,
            cx=x,
            cy=y,
            r=r,
            fill="#fff",
            stroke="#000",
            stroke_width=0.3 / scale,
        ),
        line(x - 0.3 * r, y, x + 0.3 * r, y, 0.2 / scale),
        line(x, y - 0.3 * r, x, y + 0.3 * r, 0.2 / scale),
    ]
    if hole.bore:
        parts.append(
            element(
                "circle",
                class_="bore",
                data_n=hole.n,
                cx=x,
                cy=y,
                r=hole.bore / 2,
                fill="none",
                stroke="#000",
                stroke_width=0.35 / scale,
                stroke_dasharray=f"{1.4 / scale:.3f} {0.8 / scale:.3f}",
            )
        )
    return "".join(parts)


def across(mark: EdgeMark | StepMark, half: float) -> tuple[Point, Point]:
    """Ends of a line square to the crack."""
    a = math.radians(mark.angle + 90)
    dx, dy = half * math.cos(a), half * math.sin(a)
    return (mark.x - dx, mark.y - dy), (mark.x + dx, mark.y + dy)


def step_line(step: StepMark, half: float, scale: float) -> str:
    """A step of the surface: a dash-dot line."""
    (x1, y1), (x2, y2) = across(step, half)
    dashes = f"{2 / scale:.3f} {0.7 / scale:.3f} {0.4 / scale:.3f} {0.7 / scale:.3f}"
    return line(x1, y1, x2, y2, 0.3 / scale, class_="step", stroke_dasharray=dashes)


def edge_line(edge: EdgeMark, half: float, scale: float) -> str:
    """A free edge: a heavy line with short strokes on the side where there is no metal."""
    (x1, y1), (x2, y2) = across(edge, half)
    a = math.radians(edge.angle)
    parts = [line(x1, y1, x2, y2, 0.6 / scale, class_="edge")]
    count = max(3, int(2 * half * scale / 2.5))
    for i in range(count + 1):
        x, y = x1 + (x2 - x1) * i / count, y1 + (y2 - y1) * i / count
        reach = 1.8 / scale
        parts.append(
            line(x, y, x + reach * math.cos(a + 0.8), y + reach * math.sin(a + 0.8), 0.15 / scale)
        )
    return "".join(parts)
