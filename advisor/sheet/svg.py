"""Writing SVG: numbers rounded, text escaped, nothing fetched from anywhere."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr

from advisor.case.visible import visible

FONT = "Arial, Helvetica, 'Liberation Sans', sans-serif"
WIDTH_TO_SIZE = 0.56
"""Width of a letter over its size: an upper mean for the fonts named, digits and small letters."""

Attribute = str | float | int | None


def number(value: float, digits: int = 2) -> str:
    """A coordinate, rounded, without needless zeros.

    >>> number(3.10), number(-0.001), number(2.0)
    ('3.1', '0', '2')
    """
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(name: str, content: str = "", /, **attributes: Attribute) -> str:
    """One element; ``stroke_width`` becomes ``stroke-width``, ``class_`` becomes ``class``."""
    parts = [name]
    for key, value in attributes.items():
        if value is None:
            continue
        shown = number(value) if isinstance(value, float) else visible(str(value))
        parts.append(f"{key.rstrip('_').replace('_', '-')}={quoteattr(shown)}")
    head = " ".join(parts)
    return f"<{head}>{content}</{name}>" if content else f"<{head}/>"


def words(text: str) -> str:
    """A text as the content of an element."""
    return escape(visible(text))


def text_width(text: str, size: float) -> float:
    """How wide a text is, a little on the wide side."""
    return len(text) * size * WIDTH_TO_SIZE


def label(
    x: float, y: float, text: str, size: float = 2.6, anchor: str = "middle", **more: Attribute
) -> str:
    """A text whose middle line lies at y."""
    return element(
        "text",
        words(text),
        x=x,
        y=y + 0.35 * size,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        **more,
    )


def line(x1: float, y1: float, x2: float, y2: float, width: float = 0.2, **more: Attribute) -> str:
    """A straight line."""
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke="#000", stroke_width=width, **more)


def path_of(points: Iterable[tuple[float, float]], *, closed: bool = False) -> str:
    """The ``d`` of a path through points."""
    steps = [f"{'M' if i == 0 else 'L'}{number(x)} {number(y)}" for i, (x, y) in enumerate(points)]
    return "".join(steps) + ("Z" if closed else "")


def dimension(x1: float, x2: float, y: float, text: str, size: float = 2.6) -> str:
    """A dimension line along x between two places, text above its middle."""
    arrows = "".join(
        element(
            "path",
            d=path_of([(x, y), (x + s * 1.6, y - 0.5), (x + s * 1.6, y + 0.5)], closed=True),
            fill="#000",
        )
        for x, s in _arrow_heads(x1, x2)
    )
    wide = text_width(text, size) + 1 < abs(x2 - x1)
    middle = (x1 + x2) / 2
    said = label(middle, y - 0.7 * size, text, size)
    if not wide:
        said = label(max(x1, x2) + 2.4, y - 0.1 * size, text, size, "start")
    outside = 1.6 if abs(x2 - x1) < 4 else 0.0
    low, high = min(x1, x2) - outside, max(x1, x2) + outside
    return line(low, y, high, y, 0.15) + arrows + said


def _arrow_heads(a: float, b: float) -> list[tuple[float, int]]:
    low, high = min(a, b), max(a, b)
    inside = high - low >= 4
    return [(low, 1 if inside else -1), (high, -1 if inside else 1)]


def upright_dimension(
    x: float, y1: float, y2: float, text: str, size: float = 2.6, *, left: bool = True
) -> str:
    """A dimension line along y between two places, text beside its middle."""
    low, high = min(y1, y2), max(y1, y2)
    inside = high - low >= 4
    arrows = "".join(
        element(
            "path",
            d=path_of([(x, y), (x - 0.5, y + s * 1.6), (x + 0.5, y + s * 1.6)], closed=True),
            fill="#000",
        )
        for y, s in ((low, 1 if inside else -1), (high, -1 if inside else 1))
    )
    outside = 0.0 if inside else 1.6
    at = x - 1.2 if left else x + 1.2
    said = label(at, (low + high) / 2, text, size, "end" if left else "start")
    return line(x, low - outside, x, high + outside, 0.15) + arrows + said


def hatch(name: str, *, angle: float = 45.0, gap: float = 2.0, width: float = 0.15) -> str:
    """A pattern of thin parallel lines."""
    return element(
        "pattern",
        line(0, 0, 0, gap, width),
        id=name,
        width=gap,
        height=gap,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({number(angle)})",
    )


@dataclass
class Drawing:
    """A drawing in the making; a unit is a millimetre of paper."""

    name: str  # begins every id, so that several drawings can stand in one page
    width: float
    height: float
    parts: list[str] = field(default_factory=list)
    definitions: list[str] = field(default_factory=list)

    def add(self, *parts: str) -> None:
        """Draw on top of what is there."""
        self.parts.extend(parts)

    def id(self, what: str) -> str:
        """An id of this drawing."""
        return f"{self.name}-{what}"

    def define(self, *definitions: str) -> None:
        """Add patterns and clip paths."""
        self.definitions.extend(definitions)

    def text(self, title: str, description: str, *, metadata: str = "") -> str:
        """The whole SVG, true to size in print, with a title and a description for all readers."""
        ids = f"{self.id('title')} {self.id('description')}"
        content = [
            element("title", words(title), id=self.id("title")),
            element("desc", words(description), id=self.id("description")),
        ]
        if metadata:
            content.append(element("metadata", words(metadata)))
        if self.definitions:
            content.append(element("defs", "".join(self.definitions)))
        content.append(
            element("rect", x=0.0, y=0.0, width=self.width, height=self.height, fill="#fff")
        )
        content.extend(self.parts)
        return element(
            "svg",
            "\n" + "\n".join(content) + "\n",
            xmlns="http://www.w3.org/2000/svg",
            width=f"{number(self.width)}mm",
            height=f"{number(self.height)}mm",
            viewBox=f"0 0 {number(self.width)} {number(self.height)}",
            role="img",
            aria_labelledby=ids,
            font_family=FONT,
            fill="#000",
        )
