"""The drawing of the layout: crack, pins by number and pass, keys, holes, edges, dimensions.

Pins, keys and holes are drawn with the layout's own coordinates; a transform maps them to paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.advice.phrases import Units
from advisor.engineering.polyline import Polyline
from advisor.sheet import marks
from advisor.sheet.labels import Board, Box, Vector, Wish
from advisor.sheet.model import Figure
from advisor.sheet.picture import Picture, PinMark, direction, straight
from advisor.sheet.svg import (
    Drawing,
    dimension,
    element,
    hatch,
    label,
    line,
    path_of,
    text_width,
    words,
)
from advisor.sheet.view import (
    ROUND_LABELS,
    Arrangement,
    Panel,
    View,
    arrange,
    chord,
    edge_is_near,
    scale_says,
    turned,
)
from advisor.sheet.words import length, plain, runs, short_length

WIDTH = 180.0
TALLEST_PANEL = 150.0
TALLEST_FIGURE = 205.0
LABEL_SIZE = 2.4

_HEAD = 5.0
_DIMENSIONS = 15.0
_EVERY = (1, 2, 5, 10, 20, 50, 100)
_ALONG = 0.998  # cosine; a row more inclined is not dimensioned along x
_BEND_NAMED = 5.0  # deg
_MOST_NAMED_POINTS = 14
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class _Pane:
    """A panel with its place on the paper."""

    panel: Panel
    view: View
    box: Box  # what belongs to the panel, without head and dimensions
    height: float


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
    legend = _legend_height(picture)
    plan = arrange(picture, WIDTH, min(TALLEST_PANEL, height - legend - _HEAD - _DIMENSIONS))
    groups: list[list[Panel]] = [[]]
    used = legend
    for panel in plan.panels:
        tall = _panel_height(picture, plan, panel)
        if groups[-1] and used + tall > height:
            groups.append([])
            used = legend
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
    drawing = Drawing(name, WIDTH, sum(heights) + _legend_height(picture))
    drawing.define(hatch(drawing.id("key"), angle=30, gap=1.3 / plan.scale, width=0.12 / plan.scale))
    top = 0.0
    for panel, tall in zip(panels, heights, strict=True):
        _draw_panel(drawing, picture, plan, _pane(picture, plan, panel, top, tall), units)
        top += tall
    _legend(drawing, picture, plan, units, top)
    title = "Layout of the seam" if picture.pins else "The crack"
    if place[1] > 1:
        title += f", part {place[0]} of {place[1]}"
    said = describe(picture, units)
    return Figure(drawing.text(title, said), title, said, drawing.width, drawing.height)


def _pane(picture: Picture, plan: Arrangement, panel: Panel, top: float, tall: float) -> _Pane:
    wide = plan.scale * (panel.end - panel.begin)
    left = (WIDTH - wide) / 2 - plan.scale * panel.begin
    above = top + _HEAD + ROUND_LABELS
    view = View(plan.scale, plan.turn, left, above + plan.scale * panel.high)
    bottom = above + plan.scale * (panel.high - panel.low) + ROUND_LABELS
    return _Pane(panel, view, (0.5, top + _HEAD, WIDTH - 0.5, bottom), tall)


# --- one panel ----------------------------------------------------------------------------------


def _draw_panel(
    drawing: Drawing, picture: Picture, plan: Arrangement, pane: _Pane, units: Units
) -> None:
    panel, view = pane.panel, pane.view
    pins = [p for p in picture.pins if panel.holds(turned(p.x, p.y, plan.turn)[0])]
    clip = drawing.id(f"panel{panel.n}")
    x1, y1, x2, y2 = _clip(pane, view)
    drawing.define(
        element("clipPath", element("rect", x=x1, y=y1, width=x2 - x1, height=y2 - y1), id=clip)
    )
    shapes = _shapes(drawing, picture, pins, pane, view.scale)
    group = element("g", shapes, transform=view.transform, class_="part")
    drawing.add(element("g", group, clip_path=f"url(#{clip})", class_="panel", data_panel=panel.n))
    drawing.add(*_marks(picture, pins, view), *_tips(picture, pane))
    board = _board(picture, pins, pane)
    if panel.of > 1:
        drawing.add(label(0.5, pane.box[1] - 2.4, _panel_says(panel, pins), 2.8, "start"))
        drawing.add(*_cuts(pane, view))
        for end in (panel.begin, panel.end):
            board.soft.append((_u(view, end), pane.box[1], _u(view, end), pane.box[3]))
    dimensions = _has_dimensions(picture, plan)
    if dimensions:
        board.hard += _extension_boxes(picture, pane)
    _name_pins(board, pins, picture, view)
    _name_things(board, picture, pane, units)
    _name_points(board, picture, pane, units)
    drawing.add(*board.draw())
    if dimensions:
        drawing.add(*_dimension_lines(picture, pane, units))


def _clip(pane: _Pane, view: View) -> Box:
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


def _cuts(pane: _Pane, view: View) -> list[str]:
    """Where the drawing goes on in the next panel: a line of short dashes."""
    panel = pane.panel
    ends = ([panel.begin] if panel.n > 1 else []) + ([panel.end] if panel.n < panel.of else [])
    _, top, _, bottom = pane.box
    return [
        line(_u(view, u), top + 3, _u(view, u), bottom - 3, 0.15, stroke_dasharray="1 1")
        for u in ends
    ]


def _shapes(
    drawing: Drawing, picture: Picture, pins: Sequence[PinMark], pane: _Pane, scale: float
) -> str:
    """Everything in mm of the part, lowest first."""
    reach = 11.0 / scale + picture_radius(picture)
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
        mine = [k for k in picture.keys if pane.panel.holds(turned(k.x, k.y, pane.view.turn)[0])]
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


def _tips(picture: Picture, pane: _Pane) -> list[str]:
    """Short bars across the crack at its visible ends."""
    parts = []
    for number, points in enumerate(picture.lines):
        line_ = Polyline(tuple(points))
        for at in (0.0, line_.length) if number == 0 else (line_.length,):
            x, y = line_.position(at)
            if pane.panel.holds(turned(x, y, pane.view.turn)[0]):
                u, v = pane.view.paper(x, y)
                dx, dy = pane.view.vector(direction(line_, at) + 90)
                parts.append(line(u - 2 * dx, v - 2 * dy, u + 2 * dx, v + 2 * dy, 0.45,
                                  class_="tip"))  # fmt: skip
    return parts


# --- labels -------------------------------------------------------------------------------------


def _board(picture: Picture, pins: Sequence[PinMark], pane: _Pane) -> Board:
    view = pane.view
    board = Board(pane.box, LABEL_SIZE)
    radius = picture_radius(picture) * view.scale
    for pin in pins:
        x, y = view.paper(pin.x, pin.y)
        r = 0.85 * radius
        board.hard.append((x - r, y - r, x + r, y + r))
    for hole in picture.holes:
        x, y = view.paper(hole.x, hole.y)
        r = 0.85 * max(hole.diameter, hole.bore or 0.0) / 2 * view.scale
        board.hard.append((x - r, y - r, x + r, y + r))
    reach = 11.0 / view.scale + picture_radius(picture)
    lines = [marks.across(step, reach) for step in picture.steps]
    if picture.edge and edge_is_near(picture):
        lines.append(marks.across(picture.edge, reach))
    for (x1, y1), (x2, y2) in lines:
        board.soft += _beads(view.paper(x1, y1), view.paper(x2, y2))
    if picture.key_shape:
        half = picture.key_shape.lobe / 2 * view.scale
        for key in picture.keys:
            for place in key.lobes:
                for side in (-1, 1):
                    a = math.radians(key.angle + 90)
                    x, y = view.paper(
                        key.x + side * place * math.cos(a), key.y + side * place * math.sin(a)
                    )
                    board.soft.append((x - half, y - half, x + half, y + half))
    return board


def _beads(a: tuple[float, float], b: tuple[float, float]) -> list[Box]:
    """Small boxes along a line."""
    count = max(1, int(math.dist(a, b)))
    places = (
        (a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count)
        for i in range(count + 1)
    )
    return [(x - 0.6, y - 0.6, x + 0.6, y + 0.6) for x, y in places]


def picture_radius(picture: Picture) -> float:
    """Half a pin, or nothing where there are no pins [mm of the part]."""
    return picture.pin.diameter / 2 if picture.pin else 0.0


def _name_pins(board: Board, pins: Sequence[PinMark], picture: Picture, view: View) -> None:
    """All numbers, or every nth where they stand too close; the ends always."""
    if not pins or picture.pin is None:
        return
    wishes = {
        pin.n: _pin_wish(pin, i, pins, picture.pin.diameter / 2, view) for i, pin in enumerate(pins)
    }
    ends = {pins[0].n, pins[-1].n}
    for every in _EVERY:
        wanted = [wish for n, wish in wishes.items() if n % every == 0 or n in ends]
        if board.all_of(wanted):
            return
    for n in sorted(ends):
        board.put(wishes[n])


def _pin_wish(
    pin: PinMark, i: int, pins: Sequence[PinMark], radius: float, view: View
) -> Wish:
    """Above and below the row in turn."""
    before, after = pins[max(i - 1, 0)], pins[min(i + 1, len(pins) - 1)]
    (x1, y1), (x2, y2) = view.paper(before.x, before.y), view.paper(after.x, after.y)
    run = math.dist((x1, y1), (x2, y2)) or 1.0
    normal: Vector = (-(y2 - y1) / run, (x2 - x1) / run) if run > 1e-9 else (0.0, 1.0)
    if normal[1] > 0 or (normal[1] == 0 and normal[0] > 0):
        normal = (-normal[0], -normal[1])  # upwards on the paper
    other = (-normal[0], -normal[1])
    sides = (normal, other) if pin.n % 2 else (other, normal)
    x, y = view.paper(pin.x, pin.y)
    return Wish(str(pin.n), x, y, radius * view.scale, sides)


def _name_things(board: Board, picture: Picture, pane: _Pane, units: Units) -> None:
    view, around = pane.view, _around()
    reach = 11.0 / view.scale + picture_radius(picture)

    def mine(x: float, y: float) -> bool:
        return pane.panel.holds(turned(x, y, view.turn)[0])

    for hole in picture.holes:
        if mine(hole.x, hole.y):
            clear = max(hole.diameter, hole.bore or 0.0) / 2 * view.scale
            text = f"hole {hole.n}: {hole.text}"
            board.put(Wish(text, *view.paper(hole.x, hole.y), clear, around, bold=True))
    for step in picture.steps:
        if mine(step.x, step.y):
            for end in marks.across(step, reach):
                text = f"step {short_length(step.height, units)}"
                if board.put(Wish(text, *view.paper(*end), 0.5, around)):
                    break
    edge = picture.edge
    if edge and edge_is_near(picture) and mine(edge.x, edge.y):
        for end in marks.across(edge, reach):
            text = f"free edge, {short_length(edge.distance, units)} from the crack"
            if board.put(Wish(text, *view.paper(*end), 0.5, around)):
                break
    if picture.key_shape:
        _name_keys(board, picture, pane)


def _name_keys(board: Board, picture: Picture, pane: _Pane) -> None:
    assert picture.key_shape
    view = pane.view
    keys = [k for k in picture.keys if pane.panel.holds(turned(k.x, k.y, view.turn)[0])]
    ends = {keys[0].n, keys[-1].n} if keys else set()
    for every in _EVERY:
        wishes = []
        for key in keys:
            if key.n % every and key.n not in ends:
                continue
            a = math.radians(key.angle + 90)
            reach = key.lobes[-1]
            x, y = view.paper(key.x + reach * math.cos(a), key.y + reach * math.sin(a))
            outwards = view.vector(key.angle + 90)
            clear = picture.key_shape.lobe / 2 * view.scale
            wishes.append(Wish(f"K{key.n}", x, y, clear, (outwards,), bold=True))
        if board.all_of(wishes):
            return


def _around() -> tuple[Vector, ...]:
    angles = (45, 135, 225, 315, 90, 270, 0, 180)
    return tuple((math.cos(math.radians(a)), -math.sin(math.radians(a))) for a in angles)


def _name_points(board: Board, picture: Picture, pane: _Pane, units: Units) -> None:
    """Ends and bends by letter, with their coordinates."""
    radius = max(picture_radius(picture) * pane.view.scale, 1.0)
    for letter, (x, y) in named_points(picture):
        if pane.panel.holds(turned(x, y, pane.view.turn)[0]):
            text = f"{letter} ({short_length(x, units)}, {short_length(y, units)})"
            board.put(Wish(text, *pane.view.paper(x, y), radius, _around(), touch=0.0))


def named_points(picture: Picture) -> list[tuple[str, tuple[float, float]]]:
    """Ends and bends of the crack and its branches, by letter."""
    found: list[tuple[float, float]] = []
    for points in picture.lines:
        line_ = Polyline(tuple(points))
        for i, point in enumerate(points):
            inner = 0 < i < len(points) - 1
            if (not inner or line_.turn(i) >= _BEND_NAMED) and point not in found:
                found.append(point)
    return list(zip(_LETTERS, found[:_MOST_NAMED_POINTS], strict=False))


# --- dimensions ---------------------------------------------------------------------------------


def _spans(picture: Picture) -> list[tuple[float, float, str]]:
    """What is dimensioned under a straight row: distances along it, and what they are."""
    ends = 0.0, picture.main.length
    places = sorted(pin.at for pin in picture.pins)
    spans = [(ends[0], ends[1], "crack"), (places[0], places[-1], "row")]
    if len(places) > 1:
        spans.insert(0, (places[-2], places[-1], "spacing"))
    return spans


def _extension_boxes(picture: Picture, pane: _Pane) -> list[Box]:
    places = {at for begin, end, _ in _spans(picture) for at in (begin, end)}
    spots = [pane.view.paper(*picture.main.position(at)) for at in places]
    return [(x - 0.3, y, x + 0.3, pane.box[3]) for x, y in spots]


def _dimension_lines(picture: Picture, pane: _Pane, units: Units) -> list[str]:
    """Under a straight row: last spacing, crack, row."""
    parts = []
    clear = picture_radius(picture) * pane.view.scale + 0.5
    for i, (begin, end, what) in enumerate(_spans(picture)):
        (x1, y1), (x2, y2) = (pane.view.paper(*picture.main.position(at)) for at in (begin, end))
        y = pane.box[3] + 3.5 + 4.6 * i
        parts += [line(x1, y1 + clear, x1, y + 0.8, 0.1), line(x2, y2 + clear, x2, y + 0.8, 0.1)]
        text = short_length(end - begin, units)
        text = text if what == "spacing" else f"{what} {text}"
        parts.append(dimension(x1, x2, y, text, LABEL_SIZE))
    return parts


# --- legend -------------------------------------------------------------------------------------


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


def _legend_height(picture: Picture) -> float:
    return 15.0 + 5.0 * len(_legend_rows(picture))


def _legend(
    drawing: Drawing, picture: Picture, plan: Arrangement, units: Units, top: float
) -> None:
    drawing.add(line(0, top + 0.5, WIDTH, top + 0.5, 0.15))
    for i, row in enumerate(_legend_rows(picture)):
        y = top + 4.0 + 5.0 * i
        for kind, text, x in row:
            drawing.add(_sign(drawing, kind, x + 4.5, y, plan.scale))
            drawing.add(label(x + 9.0, y, text, LABEL_SIZE, "start"))
    y = top + 4.0 + 5.0 * len(_legend_rows(picture)) + 4.0
    drawing.add(*_scale_bar(plan.scale, units, y))
    drawing.add(*_axes(plan.turn, WIDTH - 10.0, y))
    said = f"scale {scale_says(plan.scale)}; lengths in {'in' if units == 'us' else 'mm'}"
    if plan.turn:
        said += f"; the view is turned by {plan.turn:g} deg"
    drawing.add(label(64.0, y, said, LABEL_SIZE, "start"))


def _sign(drawing: Drawing, kind: str, x: float, y: float, scale: float) -> str:
    if kind.startswith("pass"):
        n = int(kind.split()[1])
        disc = element("circle", cx=x, cy=y, r=2.0, fill=marks.shade(n), stroke="#000",
                       stroke_width=0.2)  # fmt: skip
        return disc + marks.pass_mark(marks.mark_name(n), x, y, 0.85)
    if kind == "crack":
        return line(x - 3.5, y, x + 3.5, y, 0.6)
    if kind == "key":
        fill = drawing.id("legend-key")
        drawing.define(hatch(fill, angle=30, gap=1.3, width=0.12))
        return element("rect", x=x - 3.0, y=y - 1.0, width=6.0, height=2.0, fill=f"url(#{fill})",
                       stroke="#000", stroke_width=0.35)  # fmt: skip
    if kind in ("hole", "bore"):
        dashes = "1.4 0.8" if kind == "bore" else None
        return element("circle", cx=x, cy=y, r=2.0, fill="none", stroke="#000", stroke_width=0.35,
                       stroke_dasharray=dashes)  # fmt: skip
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
            element("rect", x=2.0 + wide * i / count, y=y - 0.6, width=wide / count, height=1.2, fill=fill,
                    stroke="#000", stroke_width=0.15)
        )  # fmt: skip
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
            element("path", fill="#000", d=path_of(
                [(x + dx * 1.25, y + dy * 1.25), (x + dx - dy * 0.12, y + dy + dx * 0.12),
                 (x + dx + dy * 0.12, y + dy - dx * 0.12)], closed=True))
        )  # fmt: skip
        parts.append(label(x + dx * 1.6, y + dy * 1.6, text, LABEL_SIZE))
    return [element("g", "".join(parts), class_="axes")]


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
            f"{sum(1 for p in picture.pins if p.pass_number == n)} of them in pass {n}, marked by a "
            f"{marks.mark_name(n)}"
            for n in picture.passes
        ]
    if picture.keys:
        said.append(f"{len(picture.keys)} keys across the crack")
    said += [f"hole {hole.n}, {plain(hole.text)}" for hole in picture.holes]
    said += [f"a step of {length(step.height, units)}" for step in picture.steps]
    if picture.edge:
        said.append(f"the nearest free edge {length(picture.edge.distance, units)} from the crack")
    return "; ".join(said) + "."


def words_only(name: str, large: str, small: Sequence[str]) -> Figure:
    """In place of a drawing: large words, where nothing may be drawn that could be drilled."""
    drawing = Drawing(name, WIDTH, 24.0 + 8.0 * len(small))
    drawing.add(label(WIDTH / 2, 12.0, large, min(11.0, 300 / max(len(large), 1)),
                      font_weight="bold"))  # fmt: skip
    for i, text in enumerate(small):
        drawing.add(label(WIDTH / 2, 25.0 + 8.0 * i, text, 4.0))
    said = f"{large}. {' '.join(small)}".strip()
    return Figure(drawing.text(large, said), large, said, drawing.width, drawing.height)


__all__ = ["describe", "layout_figures", "named_points", "words", "words_only"]
