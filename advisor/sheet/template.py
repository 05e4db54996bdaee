"""The drilling template: the row at full size, to be laid on the part and punched through."""

from __future__ import annotations

import math

from advisor.advice.phrases import Units
from advisor.engineering.polyline import Polyline
from advisor.sheet import marks
from advisor.sheet.labels import Board, Vector, Wish
from advisor.sheet.model import Figure, Paper
from advisor.sheet.picture import Picture, PinMark, direction
from advisor.sheet.svg import Drawing, dimension, element, label, line, path_of, upright_dimension
from advisor.sheet.view import View, chord, turned
from advisor.sheet.words import MM_PER_INCH, length

WIDTH = 180.0
_HEADING = 28.0  # mm of the page that the heading and the caption take
_ROUND = 9.0
_NOTE = 16.0
_CROSS = 1.6


def template_figure(picture: Picture, paper: Paper, units: Units = "si") -> Figure | None:
    """The template, or None where there is nothing to drill or the paper is too small.

    Args:
        picture: what is drawn.
        paper: to be printed on without any scaling.
        units: of the check lengths.
    """
    room = _room(paper)
    turn = _fitting_turn(picture, room)
    if turn is None:
        return None
    begin, end, low, high = _box(picture, turn)
    wide, tall = end - begin + 2 * _ROUND, high - low + 2 * _ROUND
    view = View(1.0, turn, (WIDTH - wide) / 2 + _ROUND - begin, _NOTE + _ROUND + high)
    drawing = Drawing("template", WIDTH, max(tall + _NOTE, _check(units) + _NOTE + 8))
    drawing.add(
        label(
            0.5,
            3,
            "Print at 100 %, not fitted to the page. Both check lengths must measure "
            f"{length(_check(units), units)}.",
            3.0,
            "start",
        ),
        label(
            0.5,
            7.4,
            "Lay the bars on the visible ends of the crack. Wrap the sheet round a curved wall.",
            3.0,
            "start",
        ),
    )
    drawing.add(*_check_lengths(units, drawing.height))
    drawing.add(element("g", _shapes(picture), transform=view.transform, class_="part"))
    drawing.add(*_tips(picture, view))
    drawing.add(*_numbers(picture, view, drawing.height))
    title = "Drilling template 1 : 1"
    said = (
        f"The {len(picture.pins)} holes at full size: a cross on each centre, a circle as wide as "
        "its tap drill, and a thin circle as wide as its thread. Marks as in the layout."
    )
    return Figure(drawing.text(title, said), title, said, WIDTH, drawing.height)


def why_no_template(picture: Picture | None, paper: Paper) -> str:
    """Why there is no template."""
    if picture is None:
        return "the verdict is no go-ahead"
    if not picture.pins:
        return "no pins are set"
    return f"the row does not fit on {paper.name.upper()} at full size"


def _room(paper: Paper) -> tuple[float, float]:
    return WIDTH, paper.text_height - _HEADING


def _fitting_turn(picture: Picture, room: tuple[float, float]) -> float | None:
    """The plainest turn at which the row fits: as it lies, upright, along or across the page."""
    if not picture.pins:
        return None
    along = chord(picture)
    slant = math.degrees(math.atan2(room[1], room[0]))
    for turn in dict.fromkeys((0.0, -90.0, along, along - 90.0, along - slant, along + slant)):
        begin, end, low, high = _box(picture, turn)
        if end - begin + 2 * _ROUND <= room[0] and high - low + 2 * _ROUND + _NOTE <= room[1]:
            return round(turn, 2)
    return None


def _box(picture: Picture, turn: float) -> tuple[float, float, float, float]:
    assert picture.pin
    reach = picture.pin.diameter / 2
    places = [turned(pin.x, pin.y, turn) for pin in picture.pins]
    places += [turned(x, y, turn) for points in picture.lines for x, y in points]
    for hole in picture.holes:
        u, v = turned(hole.x, hole.y, turn)
        r = hole.diameter / 2
        places += [(u - r, v - r), (u + r, v + r)]
    along, across = [u for u, _ in places], [v for _, v in places]
    return min(along) - reach, max(along) + reach, min(across) - reach, max(across) + reach


def _check(units: Units) -> float:
    return 2 * MM_PER_INCH if units == "us" else 50.0


def _check_lengths(units: Units, height: float) -> list[str]:
    wide = _check(units)
    text = length(wide, units)
    across = dimension(WIDTH - wide - 2, WIDTH - 2, height - 2, text)
    upright = upright_dimension(2, height - 2 - wide, height - 2, text, left=False)
    return [
        element("g", across, class_="check-across", data_length=wide),
        element("g", upright, class_="check-upright", data_length=wide),
    ]


def _shapes(picture: Picture) -> str:
    assert picture.pin
    parts = [
        element(
            "path",
            d=path_of(points),
            fill="none",
            stroke="#000",
            stroke_width=0.2,
            stroke_dasharray="3 1",
        )
        for points in picture.lines
    ]
    parts += [
        element(
            "circle",
            class_="hole",
            cx=hole.x,
            cy=hole.y,
            r=hole.diameter / 2,
            fill="none",
            stroke="#000",
            stroke_width=0.2,
            stroke_dasharray="1.5 1",
        )
        for hole in picture.holes
    ]
    for pin in sorted(picture.pins, key=lambda one: one.n):
        parts.append(_hole(pin, picture.pin.diameter / 2, picture.tap_drill / 2))
    return "\n".join(parts)


def _hole(pin: PinMark, thread: float, drill: float) -> str:
    x, y = pin.x, pin.y
    return "".join(
        (
            element(
                "circle",
                class_="thread",
                cx=x,
                cy=y,
                r=thread,
                fill="none",
                stroke="#000",
                stroke_width=0.08,
            ),
            element(
                "circle",
                class_="drill",
                data_n=pin.n,
                data_pass=pin.pass_number,
                cx=x,
                cy=y,
                r=drill,
                fill="none",
                stroke="#000",
                stroke_width=0.2,
            ),
            line(x - _CROSS, y, x + _CROSS, y, 0.15),
            line(x, y - _CROSS, x, y + _CROSS, 0.15),
        )
    )


def _tips(picture: Picture, view: View) -> list[str]:
    """Bars at the visible ends of the crack, to lay the sheet on."""
    parts = []
    reach = picture.pin_radius + 3.0
    for points in picture.lines:
        line_ = Polyline(tuple(points))
        for at in (0.0, line_.length):
            x, y = view.paper(*line_.position(at))
            dx, dy = view.vector(direction(line_, at) + 90)
            parts.append(line(x - reach * dx, y - reach * dy, x + reach * dx, y + reach * dy, 0.35))
    return parts


def _numbers(picture: Picture, view: View, height: float) -> list[str]:
    """Numbers with the mark of their pass, beside the row."""
    assert picture.pin
    board = Board((0.5, 10.0, WIDTH - 0.5, height - 4.0), 2.2)
    radius = picture.pin.diameter / 2
    for pin in picture.pins:
        x, y = view.paper(pin.x, pin.y)
        board.hard.append((x - 0.8 * radius, y - 0.8 * radius, x + 0.8 * radius, y + 0.8 * radius))
    for i, pin in enumerate(picture.pins):
        board.put(Wish(str(pin.n), *view.paper(pin.x, pin.y), radius, _sides(picture, i, view)))
    drawn = board.draw()
    for placed in board.placed:
        x1, _, _, y2 = placed.box
        n = int(placed.wish.text)
        drawn.append(
            marks.pass_mark(
                marks.mark_name(_pass_of(picture, n)), x1 - 0.9, (placed.box[1] + y2) / 2, 0.6
            )
        )
    return drawn


def _pass_of(picture: Picture, n: int) -> int:
    return next(pin.pass_number for pin in picture.pins if pin.n == n)


def _sides(picture: Picture, i: int, view: View) -> tuple[Vector, ...]:
    pins = picture.pins
    before, after = pins[max(i - 1, 0)], pins[min(i + 1, len(pins) - 1)]
    (x1, y1), (x2, y2) = view.paper(before.x, before.y), view.paper(after.x, after.y)
    run = math.dist((x1, y1), (x2, y2)) or 1.0
    normal: Vector = (-(y2 - y1) / run, (x2 - x1) / run)
    other = (-normal[0], -normal[1])
    return (normal, other) if pins[i].n % 2 else (other, normal)
