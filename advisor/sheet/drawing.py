"""The drawing of the layout: crack, pins by number and pass, keys, holes, edges, dimensions.

Pins, keys and holes are drawn with the layout's own coordinates; a transform maps them to paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.advice.phrases import Units
from advisor.engineering.polyline import Polyline
from advisor.sheet import marks
from advisor.sheet.labels import Box
from advisor.sheet.legend import legend, legend_height
from advisor.sheet.model import Figure
from advisor.sheet.naming import board, name_pins, name_points, name_things
from advisor.sheet.pane import LABEL_SIZE, WIDTH, Pane
from advisor.sheet.picture import Picture, PinMark, direction, straight
from advisor.sheet.svg import Drawing, dimension, element, hatch, label, line, path_of
from advisor.sheet.view import (
    ROUND_LABELS,
    Arrangement,
    Panel,
    View,
    arrange,
    chord,
    edge_is_near,
)
from advisor.sheet.words import length, plain, runs, short_length

TALLEST_FIGURE = 215.0

_HEAD = 5.0
_DIMENSIONS = 15.0
_ALONG = 0.998  # cosine; a row more inclined is not dimensioned along x


def layout_figures(
    picture: Picture, units: Units = "si", *, name: str = "layout", height: float = TALLEST_FIGURE
) -> tuple[Figure, ...]:
    """The layout in one drawing or several, none taller than a page.

    Args:
        picture: what is drawn.
        units: of the dimensions; the scale bar follows.
        name: begins the ids inside the drawings.
        height: most that one drawing may take [mm].
    """
    below = legend_height(picture)
    tallest = min(height, TALLEST_FIGURE) - below - _HEAD - _DIMENSIONS
    plan = arrange(picture, WIDTH, tallest)
    groups: list[list[Panel]] = [[]]
    used = below
    for panel in plan.panels:
        tall = _panel_height(picture, plan, panel)
        if groups[-1] and used + tall > height:
            groups.append([])
            used = below
        groups[-1].append(panel)
        used += tall
    return tuple(
        _figure(picture, plan, panels, units, f"{name}-{i}", (i, len(groups)))
        for i, panels in enumerate(groups, start=1)
    )


def _has_dimensions(picture: Picture, plan: Arrangement) -> bool:
    if len(plan.panels) > 1 or not picture.pins or not straight(picture.lines):
        return False
    slant = math.radians(chord(picture) - plan.turn)
    return math.cos(slant) > _ALONG


def _panel_height(picture: Picture, plan: Arrangement, panel: Panel) -> float:
    extra = _DIMENSIONS if _has_dimensions(picture, plan) else 0.0
    return _HEAD + plan.scale * (panel.high - panel.low) + 2 * ROUND_LABELS + extra


def _figure(
    picture: Picture,
    plan: Arrangement,
    panels: Sequence[Panel],
    units: Units,
    name: str,
    place: tuple[int, int],
) -> Figure:
    heights = [_panel_height(picture, plan, panel) for panel in panels]
    drawing = Drawing(name, WIDTH, sum(heights) + legend_height(picture))
    drawing.define(
        hatch(drawing.id("key"), angle=30, gap=1.3 / plan.scale, width=0.12 / plan.scale)
    )
    top = 0.0
    for panel, tall in zip(panels, heights, strict=True):
        _draw_panel(drawing, picture, plan, _pane(picture, plan, panel, top, tall), units)
        top += tall
    legend(drawing, picture, plan, units, top)
    title = "Layout of the seam" if picture.pins else "The crack"
    if place[1] > 1:
        title += f", part {place[0]} of {place[1]}"
    said = describe(picture, units)
    return Figure(drawing.text(title, said), title, said, drawing.width, drawing.height)


def _pane(picture: Picture, plan: Arrangement, panel: Panel, top: float, tall: float) -> Pane:
    wide = plan.scale * (panel.end - panel.begin)
    left = (WIDTH - wide) / 2 - plan.scale * panel.begin
    above = top + _HEAD + ROUND_LABELS
    view = View(plan.scale, plan.turn, left, above + plan.scale * panel.high)
    bottom = above + plan.scale * (panel.high - panel.low) + ROUND_LABELS
    return Pane(panel, view, (0.5, top + _HEAD, WIDTH - 0.5, bottom))


# --- one panel ----------------------------------------------------------------------------------


def _draw_panel(
    drawing: Drawing, picture: Picture, plan: Arrangement, pane: Pane, units: Units
) -> None:
    panel, view = pane.panel, pane.view
    pins = [p for p in picture.pins if pane.holds(p.x, p.y)]
    clip = drawing.id(f"panel{panel.n}")
    x1, y1, x2, y2 = _clip(pane, view)
    drawing.define(
        element("clipPath", element("rect", x=x1, y=y1, width=x2 - x1, height=y2 - y1), id=clip)
    )
    shapes = _shapes(drawing, picture, pins, pane, view.scale)
    group = element("g", shapes, transform=view.transform, class_="part")
    drawing.add(element("g", group, clip_path=f"url(#{clip})", class_="panel", data_panel=panel.n))
    drawing.add(*_marks(picture, pins, view), *_tips(picture, pane))
    taken = board(picture, pins, pane)
    if panel.of > 1:
        drawing.add(label(0.5, pane.box[1] - 2.4, _panel_says(panel, pins), 2.8, "start"))
        drawing.add(*_cuts(pane, view))
        for end in (panel.begin, panel.end):
            taken.soft.append((_u(view, end), pane.box[1], _u(view, end), pane.box[3]))
    dimensions = _has_dimensions(picture, plan)
    if dimensions:
        taken.hard += _extension_boxes(picture, pane)
    name_pins(taken, pins, picture, view)
    name_things(taken, picture, pane, units)
    name_points(taken, picture, pane, units)
    drawing.add(*taken.draw())
    if dimensions:
        drawing.add(*_dimension_lines(picture, pane, units))


def _clip(pane: Pane, view: View) -> Box:
    """Left and right a panel ends where the next begins; the outer ones have room."""
    panel = pane.panel
    left = pane.box[0] if panel.n == 1 else _u(view, panel.begin) - 3
    right = pane.box[2] if panel.n == panel.of else _u(view, panel.end) + 3
    return left, pane.box[1], right, pane.box[3]


def _u(view: View, u: float) -> float:
    return view.left + view.scale * u


def _panel_says(panel: Panel, pins: Sequence[PinMark]) -> str:
    said = f"Panel {panel.n} of {panel.of}"
    return f"{said}: pins {runs(sorted(p.n for p in pins))}" if pins else said


def _cuts(pane: Pane, view: View) -> list[str]:
    """Where the drawing goes on in the next panel: a line of short dashes."""
    panel = pane.panel
    ends = ([panel.begin] if panel.n > 1 else []) + ([panel.end] if panel.n < panel.of else [])
    _, top, _, bottom = pane.box
    return [
        line(_u(view, u), top + 3, _u(view, u), bottom - 3, 0.15, stroke_dasharray="1 1")
        for u in ends
    ]


def _shapes(
    drawing: Drawing, picture: Picture, pins: Sequence[PinMark], pane: Pane, scale: float
) -> str:
    """Everything in mm of the part, lowest first."""
    reach = pane.reach(picture.pin_radius)
    parts = [marks.step_line(step, reach, scale) for step in picture.steps]
    if picture.edge and edge_is_near(picture):
        parts.append(marks.edge_line(picture.edge, reach, scale))
    parts += [_crack(line_, 0.6 / scale, "crack") for line_ in picture.lines]
    parts += [marks.hole_circles(hole, scale) for hole in picture.holes]
    if picture.pin:
        ordered = sorted(pins, key=lambda pin: (pin.pass_number, pin.n))
        parts += [marks.pin_disc(pin, picture.pin.diameter, scale) for pin in ordered]
        parts += [_crack(line_, 0.25 / scale, "crack-line") for line_ in picture.lines]
    if picture.key_shape:
        fill = f"url(#{drawing.id('key')})"
        mine = [k for k in picture.keys if pane.holds(k.x, k.y)]
        parts += [marks.key_outline(key, picture.key_shape, scale, fill) for key in mine]
    return "\n".join(parts)


def _crack(points: Sequence[tuple[float, float]], width: float, kind: str) -> str:
    return element(
        "path",
        class_=kind,
        d=path_of(points),
        fill="none",
        stroke="#000",
        stroke_width=width,
        stroke_linejoin="round",
    )


def _marks(picture: Picture, pins: Sequence[PinMark], view: View) -> list[str]:
    if picture.pin is None:
        return []
    size = marks.mark_size(picture.pin.diameter * view.scale)
    return [
        marks.pass_mark(marks.mark_name(pin.pass_number), *view.paper(pin.x, pin.y), size)
        for pin in pins
    ]


def _tips(picture: Picture, pane: Pane) -> list[str]:
    """Short bars across the crack at its visible ends."""
    parts = []
    for number, points in enumerate(picture.lines):
        line_ = Polyline(tuple(points))
        for at in (0.0, line_.length) if number == 0 else (line_.length,):
            x, y = line_.position(at)
            if pane.holds(x, y):
                u, v = pane.view.paper(x, y)
                dx, dy = pane.view.vector(direction(line_, at) + 90)
                parts.append(
                    line(u - 2 * dx, v - 2 * dy, u + 2 * dx, v + 2 * dy, 0.45, class_="tip")
                )
    return parts


# --- dimensions ---------------------------------------------------------------------------------


def _spans(picture: Picture) -> list[tuple[float, float, str]]:
    """What is dimensioned under a straight row: distances along it, and what they are."""
    ends = 0.0, picture.main.length
    places = sorted(pin.at for pin in picture.pins)
    spans = [(ends[0], ends[1], "crack"), (places[0], places[-1], "row")]
    if len(places) > 1:
        spans.insert(0, (places[-2], places[-1], "spacing"))
    return spans


def _extension_boxes(picture: Picture, pane: Pane) -> list[Box]:
    places = {at for begin, end, _ in _spans(picture) for at in (begin, end)}
    spots = [pane.view.paper(*picture.main.position(at)) for at in places]
    return [(x - 0.3, y, x + 0.3, pane.box[3]) for x, y in spots]


def _dimension_lines(picture: Picture, pane: Pane, units: Units) -> list[str]:
    """Under a straight row: last spacing, crack, row."""
    parts = []
    clear = picture.pin_radius * pane.view.scale + 0.5
    for i, (begin, end, what) in enumerate(_spans(picture)):
        (x1, y1), (x2, y2) = (pane.view.paper(*picture.main.position(at)) for at in (begin, end))
        y = pane.box[3] + 3.5 + 4.6 * i
        parts += [line(x1, y1 + clear, x1, y + 0.8, 0.1), line(x2, y2 + clear, x2, y + 0.8, 0.1)]
        text = short_length(end - begin, units)
        text = text if what == "spacing" else f"{what} {text}"
        parts.append(dimension(x1, x2, y, text, LABEL_SIZE))
    return parts


# --- in words -----------------------------------------------------------------------------------


def describe(picture: Picture, units: Units = "si") -> str:
    """The drawing in words, for whoever cannot see it."""
    crack = f"A crack {length(picture.main.length, units)} long along its line"
    if len(picture.lines) > 1:
        crack += f" with {len(picture.lines) - 1} branch" + ("es" if len(picture.lines) > 2 else "")
    said = [crack]
    if picture.pins and picture.pin:
        said.append(
            f"{len(picture.pins)} pins {picture.pin.thread} in {len(picture.passes)} passes, "
            f"at most {length(picture.spacing, units)} apart"
        )
        said += [
            f"{sum(1 for p in picture.pins if p.pass_number == n)} of them in pass {n}, "
            f"marked by a {marks.mark_name(n)}"
            for n in picture.passes
        ]
    if picture.keys:
        said.append(f"{len(picture.keys)} keys across the crack")
    said += [f"hole {hole.n}, {plain(hole.text)}" for hole in picture.holes]
    said += [f"a step of {length(step.height, units)}" for step in picture.steps]
    if picture.edge:
        far = picture.edge.distance
        said.append(
            f"the nearest free edge {length(far, units)} from the crack"
            if far > 0
            else "the crack runs out at a free edge"
        )
    return "; ".join(said) + "."


def words_only(name: str, large: str, small: Sequence[str]) -> Figure:
    """In place of a drawing: large words, where nothing may be drawn that could be drilled."""
    drawing = Drawing(name, WIDTH, 24.0 + 8.0 * len(small))
    drawing.add(
        label(WIDTH / 2, 12.0, large, min(11.0, 300 / max(len(large), 1)), font_weight="bold")
    )
    for i, text in enumerate(small):
        drawing.add(label(WIDTH / 2, 25.0 + 8.0 * i, text, 4.0))
    said = f"{large}. {' '.join(small)}".strip()
    return Figure(drawing.text(large, said), large, said, drawing.width, drawing.height)
