"""Names on the drawing: numbers of pins and keys, holes, steps, edges, ends and bends."""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.advice.phrases import Units
from advisor.engineering.polyline import Polyline
from advisor.sheet import marks
from advisor.sheet.labels import Board, Box, Vector, Wish
from advisor.sheet.pane import LABEL_SIZE, Pane
from advisor.sheet.picture import Picture, PinMark
from advisor.sheet.view import View, edge_is_near
from advisor.sheet.words import short_length

_EVERY = (1, 2, 5, 10, 20, 50, 100)
_BEND_NAMED = 5.0  # deg
_MOST_NAMED_POINTS = 14
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def board(picture: Picture, pins: Sequence[PinMark], pane: Pane) -> Board:
    """The paper of a panel with what is drawn on it: pins and holes are kept clear."""
    view = pane.view
    taken = Board(pane.box, LABEL_SIZE)
    radius = picture.pin_radius * view.scale
    for pin in pins:
        x, y = view.paper(pin.x, pin.y)
        r = 0.85 * radius
        taken.hard.append((x - r, y - r, x + r, y + r))
    for hole in picture.holes:
        x, y = view.paper(hole.x, hole.y)
        r = 0.85 * max(hole.diameter, hole.bore or 0.0) / 2 * view.scale
        taken.hard.append((x - r, y - r, x + r, y + r))
    reach = pane.reach(picture.pin_radius)
    lines = [marks.across(step, reach) for step in picture.steps]
    if picture.edge and edge_is_near(picture):
        lines.append(marks.across(picture.edge, reach))
    for (x1, y1), (x2, y2) in lines:
        taken.soft += _beads(view.paper(x1, y1), view.paper(x2, y2))
    if picture.key_shape:
        half = picture.key_shape.lobe / 2 * view.scale
        for key in picture.keys:
            for place in key.lobes:
                for side in (-1, 1):
                    a = math.radians(key.angle + 90)
                    x, y = view.paper(
                        key.x + side * place * math.cos(a), key.y + side * place * math.sin(a)
                    )
                    taken.soft.append((x - half, y - half, x + half, y + half))
    return taken


def _beads(a: tuple[float, float], b: tuple[float, float]) -> list[Box]:
    """Small boxes along a line."""
    count = max(1, int(math.dist(a, b)))
    places = (
        (a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count)
        for i in range(count + 1)
    )
    return [(x - 0.6, y - 0.6, x + 0.6, y + 0.6) for x, y in places]


def name_pins(board: Board, pins: Sequence[PinMark], picture: Picture, view: View) -> None:
    """Numbers of the pins: all, or every nth where they stand too close; the ends always."""
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


def _pin_wish(pin: PinMark, i: int, pins: Sequence[PinMark], radius: float, view: View) -> Wish:
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


def name_things(board: Board, picture: Picture, pane: Pane, units: Units) -> None:
    """Holes, steps, the free edge and keys."""
    view, around = pane.view, _around()
    reach = pane.reach(picture.pin_radius)

    for hole in picture.holes:
        if pane.holds(hole.x, hole.y):
            clear = max(hole.diameter, hole.bore or 0.0) / 2 * view.scale
            text = f"hole {hole.n}: {hole.text}"
            board.put(Wish(text, *view.paper(hole.x, hole.y), clear, around, bold=True))
    for step in picture.steps:
        if pane.holds(step.x, step.y):
            for end in marks.across(step, reach):
                text = f"step {short_length(step.height, units)}"
                if board.put(Wish(text, *view.paper(*end), 0.5, around)):
                    break
    edge = picture.edge
    if edge and edge_is_near(picture) and pane.holds(edge.x, edge.y):
        for end in marks.across(edge, reach):
            text = _edge_says(edge.distance, units)
            if board.put(Wish(text, *view.paper(*end), 0.5, around)):
                break
    if picture.key_shape:
        _name_keys(board, picture, pane)


def _edge_says(distance: float, units: Units) -> str:
    if distance <= 0:
        return "free edge, the crack runs out at it"
    return f"free edge, {short_length(distance, units)} from the crack"


def _name_keys(board: Board, picture: Picture, pane: Pane) -> None:
    assert picture.key_shape
    view = pane.view
    keys = [k for k in picture.keys if pane.holds(k.x, k.y)]
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


def name_points(board: Board, picture: Picture, pane: Pane, units: Units) -> None:
    """Ends and bends by letter, with their coordinates."""
    radius = max(picture.pin_radius * pane.view.scale, 1.0)
    for letter, (x, y) in named_points(picture):
        if pane.holds(x, y):
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
