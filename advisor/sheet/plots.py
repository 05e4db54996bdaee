"""Plots in black and white: threads along the crack, strength against key spacing, margins."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from advisor.advice.model import Margin
from advisor.advice.phrases import Units
from advisor.engineering.keys import KeyDesign, restored_fraction
from advisor.engineering.limits import OutOfRange
from advisor.light_dataclass import dataclass
from advisor.sheet import marks
from advisor.sheet.model import Figure
from advisor.sheet.picture import Picture
from advisor.sheet.svg import Drawing, element, label, line, path_of, text_width
from advisor.sheet.words import MM_PER_INCH, length, length_unit, plain, shown

WIDTH = 180.0
_HEIGHT = 62.0
_SIZE = 2.5
_MOST_BARS = 10
_FULL_BAR = 1.0  # a flip at twice or at nought of the value fills the bar


@dataclass(frozen=True)
class Axes:
    """A plotting field: data ranges, and the rectangle on the paper."""

    low: tuple[float, float]
    high: tuple[float, float]
    box: tuple[float, float, float, float]

    def place(self, x: float, y: float) -> tuple[float, float]:
        """A point of the data on the paper."""
        left, top, right, bottom = self.box
        u = (x - self.low[0]) / (self.high[0] - self.low[0])
        v = (y - self.low[1]) / (self.high[1] - self.low[1])
        return left + u * (right - left), bottom - v * (bottom - top)


def ticks(low: float, high: float, about: int = 6) -> list[float]:
    """Round values over a range.

    >>> ticks(0, 10), ticks(0.0, 0.5)
    ([0.0, 2.0, 4.0, 6.0, 8.0, 10.0], [0.0, 0.1, 0.2, 0.3, 0.4, 0.5])
    """
    raw = (high - low) / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= raw - 1e-12)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(i * step, 10) + 0.0 for i in range(first, last + 1)]


def _frame(
    drawing: Drawing, axes: Axes, x_name: str, y_name: str, as_percent: bool = False
) -> None:
    left, top, right, bottom = axes.box
    drawing.add(
        line(left, bottom, right, bottom, 0.3),
        line(left, top, left, bottom, 0.3),
        label((left + right) / 2, bottom + 8.5, x_name, _SIZE),
        label(left, top - 3.5, y_name, _SIZE, "start"),
    )
    for value in ticks(axes.low[0], axes.high[0], 8):
        x, _ = axes.place(value, axes.low[1])
        drawing.add(
            line(x, bottom, x, bottom + 1.2, 0.2), label(x, bottom + 3.6, f"{value:g}", _SIZE)
        )
    for value in ticks(axes.low[1], axes.high[1], 5):
        _, y = axes.place(axes.low[0], value)
        text = f"{value:.0%}" if as_percent else f"{value:g}"
        drawing.add(
            line(left - 1.2, y, left, y, 0.2),
            line(left, y, right, y, 0.08),
            label(left - 2, y, text, _SIZE, "end"),
        )


# --- threads along the crack --------------------------------------------------------------------


def threads_figure(picture: Picture, units: Units = "si", *, name: str = "threads") -> Figure:
    """Engaged threads of each pin along the crack, against the fewest allowed."""
    factor = MM_PER_INCH if units == "us" else 1.0
    places = [pin.at / factor for pin in picture.pins]
    counts = [pin.engaged_threads for pin in picture.pins]
    room = 0.04 * (max(places) - min(places)) or 1.0
    axes = Axes(
        (min(places) - room, 0.0),
        (max(places) + room, 1.15 * max([*counts, picture.least_threads])),
        (14.0, 9.0, WIDTH - 32.0, _HEIGHT - 12.0),
    )
    drawing = Drawing(name, WIDTH, _HEIGHT)
    _frame(drawing, axes, f"distance along the crack, {length_unit(units)}", "engaged threads")
    _, limit = axes.place(0.0, picture.least_threads)
    right = axes.box[2]
    drawing.add(
        line(axes.box[0], limit, right, limit, 0.4, stroke_dasharray="2.5 1"),
        label(right + 1.5, limit, f"fewest: {picture.least_threads:g}", _SIZE, "start"),
    )
    size = max(0.45, min(1.1, 60 / len(picture.pins)))
    for pin in picture.pins:
        x, y = axes.place(pin.at / factor, pin.engaged_threads)
        drawing.add(marks.pass_mark(marks.mark_name(pin.pass_number), x, y, size))
    least = min(counts)
    said = (
        f"Every pin has at least {least:.1f} engaged threads; the fewest allowed are "
        f"{picture.least_threads:g}. Marks as in the layout."
    )
    title = "Engaged threads along the crack"
    return Figure(drawing.text(title, said), title, said, WIDTH, _HEIGHT)


# --- keys ---------------------------------------------------------------------------------------


def keys_figure(
    design: KeyDesign,
    wall: float,
    tensile_strength: float,
    units: Units = "si",
    *,
    name: str = "keys",
) -> Figure:
    """Restored strength against the spacing of the keys, with the chosen spacing.

    Args:
        design: the keys of the plan.
        wall: least wall along the crack [mm].
        tensile_strength: of the wall [MPa].
        units: of the spacing.
        name: begins the ids.
    """
    force, section = design.capacity.force, design.section

    def restored(spacing: float) -> float | None:
        try:
            return restored_fraction(
                force,
                section.lobe,
                design.depth,
                spacing,
                wall,
                tensile_strength,
                design.staggered,
            )
        except OutOfRange:
            return None

    factor = MM_PER_INCH if units == "us" else 1.0
    least, most = 0.4 * design.spacing, 3.0 * design.spacing
    curve = _curve(restored, least, most)
    top = 1.15 * max(*(y for _, y in curve), design.needed_fraction, design.restored_fraction)
    axes = Axes(
        (least / factor, 0.0),
        (most / factor, min(top, 1.0)),
        (14.0, 9.0, WIDTH - 32.0, _HEIGHT - 12.0),
    )
    drawing = Drawing(name, WIDTH, _HEIGHT)
    _frame(drawing, axes, f"spacing of the keys, {length_unit(units)}", "strength restored", True)
    points = [axes.place(x / factor, y) for x, y in curve]
    drawing.add(element("path", d=path_of(points), fill="none", stroke="#000", stroke_width=0.4))
    _, y = axes.place(0.0, design.needed_fraction)
    right = axes.box[2]
    drawing.add(
        line(axes.box[0], y, right, y, 0.4, stroke_dasharray="2.5 1"),
        label(right + 1.5, y, f"needed: {design.needed_fraction:.0%}", _SIZE, "start"),
    )
    x, y = axes.place(design.spacing / factor, design.restored_fraction)
    drawing.add(
        line(x, y, x, axes.box[3], 0.15, stroke_dasharray="0.8 0.8"),
        element("circle", cx=x, cy=y, r=1.2, fill="#fff", stroke="#000", stroke_width=0.5),
        label(
            x + 2.5,
            y - 2.5,
            f"chosen: {design.restored_fraction:.0%} at {length(design.spacing, units)}",
            _SIZE,
            "start",
        ),
    )
    said = (
        f"{design.count} keys every {length(design.spacing, units)} restore "
        f"{design.restored_fraction:.0%} by statics; needed are {design.needed_fraction:.0%}. "
        "Closer keys take metal away, wider ones carry less. A bound, not a test."
    )
    title = "Restored strength against key spacing"
    return Figure(drawing.text(title, said), title, said, WIDTH, _HEIGHT)


def _curve(
    function: Callable[[float], float | None], low: float, high: float, count: int = 160
) -> list[tuple[float, float]]:
    places = (low + (high - low) * i / count for i in range(count + 1))
    found = ((x, function(x)) for x in places)
    return [(x, y) for x, y in found if y is not None]


# --- margins ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Bar:
    """One number of the plan and how far it is from turning a decision."""

    name: str
    share: float  # way to the flip over the value, negative below
    text: str
    inside: bool


def bars(margins: Sequence[Margin], units: Units = "si") -> list[Bar]:
    """The closest margins as shares of their values."""
    found = []
    for margin in margins:
        value, flip = margin.value.value, margin.flips_at.value
        if value == 0:
            continue
        text = f"{shown(margin.value, units)}, turns at {shown(margin.flips_at, units)}"
        share = (flip - value) / abs(value)
        found.append(Bar(plain(margin.fact), share, text, margin.inside_uncertainty))
    found.sort(key=lambda bar: (not bar.inside, abs(bar.share), bar.name))
    return found[:_MOST_BARS]


def margins_figure(found: Sequence[Bar], *, name: str = "margins") -> Figure:
    """How far each deciding number is from the value at which a decision turns."""
    high = 6.4 * len(found) + 12.0
    drawing = Drawing(name, WIDTH, high)
    name_width, text_width_ = 46.0, 62.0
    left, right = name_width + 2, WIDTH - text_width_ - 2
    middle = (left + right) / 2
    drawing.add(line(middle, 3, middle, high - 8, 0.3))
    for i, bar in enumerate(found):
        y = 5.5 + 6.4 * i
        wide = min(abs(bar.share) / _FULL_BAR, 1.0) * (right - left) / 2
        x = middle if bar.share > 0 else middle - wide
        drawing.add(
            element(
                "rect",
                x=x,
                y=y - 1.5,
                width=max(wide, 0.3),
                height=3.0,
                fill="#000" if bar.inside else "#b8b8b8",
                stroke="#000",
                stroke_width=0.2,
            ),
            label(name_width, y, _short(bar.name, name_width), _SIZE, "end"),
            label(right + 3, y, _short(bar.text, text_width_), _SIZE, "start"),
        )
        if abs(bar.share) > _FULL_BAR:
            x = right if bar.share > 0 else left
            drawing.add(label(x + (-3 if bar.share > 0 else 3), y, ">", _SIZE))
    foot = high - 5.5
    drawing.add(
        label(left, foot, "-100 %", _SIZE, "start"),
        label(middle, foot, "as planned", _SIZE),
        label(right, foot, "+100 %", _SIZE, "end"),
    )
    said = (
        "A bar shows how far a number may move before a decision turns; black: the turn lies "
        "inside what the measurement leaves open. The numbers stand in the table."
    )
    title = "How far the deciding numbers are from turning the advice"
    return Figure(drawing.text(title, said), title, said, WIDTH, high)


def _short(text: str, room: float) -> str:
    most = int(room / text_width("n", _SIZE))
    return text if len(text) <= most else text[: most - 1] + "…"
