"""Below the drawing: what the signs mean, the scale, and where x and y point."""

from __future__ import annotations

import math

from advisor.advice.phrases import Units
from advisor.sheet import marks
from advisor.sheet.pane import LABEL_SIZE, WIDTH
from advisor.sheet.picture import Picture
from advisor.sheet.svg import Drawing, element, hatch, label, line, path_of, text_width
from advisor.sheet.view import Arrangement, edge_is_near, scale_says
from advisor.sheet.words import length, length_unit_name


def _legend_items(picture: Picture) -> list[tuple[str, str]]:
    items = [("crack", "crack")]
    items += [(f"pass {n}", f"pass {n} ({marks.mark_name(n)})") for n in picture.passes]
    if picture.keys:
        items.append(("key", "key (K)"))
    if picture.holes:
        items.append(("hole", "threaded hole"))
    if any(hole.bore for hole in picture.holes):
        items.append(("bore", "opened for its insert"))
    if picture.steps:
        items.append(("step", "step of the surface"))
    if edge_is_near(picture):
        items.append(("edge", "free edge"))
    return items


def _legend_rows(picture: Picture) -> list[list[tuple[str, str, float]]]:
    rows: list[list[tuple[str, str, float]]] = [[]]
    x = 0.0
    for kind, text in _legend_items(picture):
        wide = 9.0 + text_width(text, LABEL_SIZE) + 4.0
        if rows[-1] and x + wide > WIDTH:
            rows.append([])
            x = 0.0
        rows[-1].append((kind, text, x))
        x += wide
    return rows


def legend_height(picture: Picture) -> float:
    """Height of the legend [mm of paper]."""
    return 15.0 + 5.0 * len(_legend_rows(picture))


def legend(drawing: Drawing, picture: Picture, plan: Arrangement, units: Units, top: float) -> None:
    """Draw the legend below a drawing."""
    drawing.add(line(0, top + 0.5, WIDTH, top + 0.5, 0.15))
    for i, row in enumerate(_legend_rows(picture)):
        y = top + 4.0 + 5.0 * i
        for kind, text, x in row:
            drawing.add(_sign(drawing, kind, x + 4.5, y, plan.scale))
            drawing.add(label(x + 9.0, y, text, LABEL_SIZE, "start"))
    y = top + 4.0 + 5.0 * len(_legend_rows(picture)) + 4.0
    drawing.add(*_scale_bar(plan.scale, units, y))
    drawing.add(*_axes(plan.turn, WIDTH - 10.0, y))
    said = f"scale {scale_says(plan.scale)}; lengths in {length_unit_name(units)}"
    if plan.turn:
        said += f"; the view is turned by {plan.turn:g} deg"
    drawing.add(label(64.0, y, said, LABEL_SIZE, "start"))


def _sign(drawing: Drawing, kind: str, x: float, y: float, scale: float) -> str:
    if kind.startswith("pass"):
        n = int(kind.split()[1])
        disc = element(
            "circle", cx=x, cy=y, r=2.0, fill=marks.shade(n), stroke="#000", stroke_width=0.2
        )
        return disc + marks.pass_mark(marks.mark_name(n), x, y, 0.85)
    if kind == "crack":
        return line(x - 3.5, y, x + 3.5, y, 0.6)
    if kind == "key":
        fill = drawing.id("legend-key")
        drawing.define(hatch(fill, angle=30, gap=1.3, width=0.12))
        return element(
            "rect",
            x=x - 3.0,
            y=y - 1.0,
            width=6.0,
            height=2.0,
            fill=f"url(#{fill})",
            stroke="#000",
            stroke_width=0.35,
        )
    if kind in ("hole", "bore"):
        dashes = "1.4 0.8" if kind == "bore" else None
        return element(
            "circle",
            cx=x,
            cy=y,
            r=2.0,
            fill="none",
            stroke="#000",
            stroke_width=0.35,
            stroke_dasharray=dashes,
        )
    if kind == "step":
        return line(x - 3.5, y, x + 3.5, y, 0.3, stroke_dasharray="2 0.7 0.4 0.7")
    strokes = "".join(line(x + i, y, x + i + 1.2, y + 1.3, 0.15) for i in (-3, -1, 1))
    return line(x - 3.5, y, x + 3.5, y, 0.6) + strokes


def _scale_bar(scale: float, units: Units, y: float) -> list[str]:
    """A bar of a round length, about 50 mm of paper long."""
    step = 25.4 if units == "us" else 1.0
    rounds = [m * 10**e for e in range(-2, 4) for m in (1, 2, 5)]
    part = max(r * step for r in rounds if r * step * scale <= 50.0)
    wide, count = part * scale, 5
    parts = []
    for i in range(count):
        fill = "#000" if i % 2 == 0 else "#fff"
        parts.append(
            element(
                "rect",
                x=2.0 + wide * i / count,
                y=y - 0.6,
                width=wide / count,
                height=1.2,
                fill=fill,
                stroke="#000",
                stroke_width=0.15,
            )
        )
    parts.append(label(2.0, y + 2.6, "0", LABEL_SIZE))
    parts.append(label(2.0 + wide, y + 2.6, length(part, units), LABEL_SIZE))
    group = element("g", "".join(parts), class_="scale-bar", data_length=part)
    return [group]


def _axes(turn: float, x: float, y: float) -> list[str]:
    """Where x and y of the layout point on this drawing."""
    parts = []
    for text, angle in (("x", 0.0), ("y", 90.0)):
        a = math.radians(angle - turn)
        dx, dy = 5.0 * math.cos(a), -5.0 * math.sin(a)
        parts.append(line(x, y, x + dx, y + dy, 0.25))
        parts.append(
            element(
                "path",
                fill="#000",
                d=path_of(
                    [
                        (x + dx * 1.25, y + dy * 1.25),
                        (x + dx - dy * 0.12, y + dy + dx * 0.12),
                        (x + dx + dy * 0.12, y + dy - dx * 0.12),
                    ],
                    closed=True,
                ),
            )
        )
        parts.append(label(x + dx * 1.6, y + dy * 1.6, text, LABEL_SIZE))
    return [element("g", "".join(parts), class_="axes")]
