"""Placing labels on a drawing so that they cover neither each other nor what they name."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import field

from advisor.engineering.polyline import Grid
from advisor.light_dataclass import dataclass
from advisor.sheet.svg import element, label, line, text_width

Box = tuple[float, float, float, float]
Vector = tuple[float, float]

GAP = 0.5
_LEVELS = 6
_SLIDES = (0.0, 0.5, -0.5, 1.1, -1.1)
_SOFT_COST = 3.0
_CELL = 8.0


@dataclass(frozen=True)
class Wish:
    """A label that somebody wants: what it says and what it points at (in mm of paper)."""

    text: str
    x: float
    y: float
    clear: float  # how far from the point the label must begin
    sides: tuple[Vector, ...]  # directions to try, the best one first
    bold: bool = False
    touch: float | None = None  # how near its line comes to the point; as near as `clear` if None


@dataclass(frozen=True)
class Placed:
    """A label in its place, and the line that leads to it."""

    wish: Wish
    box: Box
    lead: tuple[float, float, float, float] | None


@dataclass
class Board:
    """The paper on which labels are placed, and what is taken on it already."""

    area: Box
    size: float = 2.4
    hard: list[Box] = field(default_factory=list)
    soft: list[Box] = field(default_factory=list)
    placed: list[Placed] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._indexed = -1

    def all_of(self, wishes: Sequence[Wish]) -> list[Placed] | None:
        """Places for all labels, or None where one has no room. Nothing is taken then."""
        before = len(self.placed)
        for wish in wishes:
            if not self.put(wish):
                del self.placed[before:]
                return None
        return self.placed[before:]

    def put(self, wish: Wish) -> bool:
        """Place one label if there is room for it."""
        best: tuple[float, Placed] | None = None
        for cost, candidate in self._candidates(wish):
            if best is not None and cost >= best[0]:
                continue
            if self._hits(candidate):
                continue
            cost += _SOFT_COST * sum(1 for box in self.soft if _overlap(box, candidate.box))
            if best is None or cost < best[0]:
                best = cost, candidate
        if best is None:
            return False
        self.placed.append(best[1])
        return True

    def draw(self) -> list[str]:
        """The labels and their leaders."""
        leaders = [line(*p.lead, 0.12) for p in self.placed if p.lead]
        return leaders + [part for placed in self.placed for part in self._drawn(placed)]

    def _drawn(self, placed: Placed) -> Iterable[str]:
        x1, y1, x2, y2 = placed.box
        if any(_overlap(box, placed.box) for box in self.soft):
            yield element("rect", x=x1, y=y1, width=x2 - x1, height=y2 - y1, fill="#fff")
        weight = "bold" if placed.wish.bold else None
        middle = (y1 + y2) / 2
        yield label((x1 + x2) / 2, middle, placed.wish.text, self.size, font_weight=weight)

    def _candidates(self, wish: Wish) -> Iterable[tuple[float, Placed]]:
        wide, high = text_width(wish.text, self.size) + 0.5, self.size + 0.2
        for order, (dx, dy) in enumerate(wish.sides):
            reach = abs(dx) * wide / 2 + abs(dy) * high / 2
            for level in range(_LEVELS):
                off = wish.clear + GAP + reach + level * (self.size + 0.5)
                for slide in _SLIDES:
                    shift = slide * wide
                    x, y = wish.x + off * dx - shift * dy, wish.y + off * dy + shift * dx
                    box = (x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
                    cost = 1.6 * level + 0.7 * order + 0.8 * abs(slide)
                    yield cost, Placed(wish, box, self._leader(wish, box, level, slide))

    def _leader(
        self, wish: Wish, box: Box, level: int, slide: float
    ) -> tuple[float, float, float, float] | None:
        if level == 0 and slide == 0.0 and wish.touch is None:
            return None
        x = min(max(wish.x, box[0]), box[2])
        y = min(max(wish.y, box[1]), box[3])
        far = math.dist((x, y), (wish.x, wish.y))
        if far < 1e-6:
            return None
        part = min((wish.clear if wish.touch is None else wish.touch) / far, 1.0)
        return wish.x + part * (x - wish.x), wish.y + part * (y - wish.y), x, y

    def _hits(self, candidate: Placed) -> bool:
        box = candidate.box
        if not _inside(box, self.area):
            return True
        if any(_overlap(box, self.hard[i]) for i in self._near(box)):
            return True
        for other in self.placed:
            if _overlap(box, other.box):
                return True
            if other.lead and _crosses(other.lead, box):
                return True
            if candidate.lead and _crosses(candidate.lead, other.box):
                return True
            if candidate.lead and other.lead and _meet(candidate.lead, other.lead):
                return True
        return False

    def _near(self, box: Box) -> list[int]:
        if self._indexed != len(self.hard):
            self._grid = Grid(_CELL, enumerate(self.hard))
            self._indexed = len(self.hard)
        return self._grid.near(box)


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _inside(a: Box, b: Box) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]


def _crosses(lead: tuple[float, float, float, float], box: Box) -> bool:
    x1, y1, x2, y2 = lead
    steps = max(2, int(math.dist((x1, y1), (x2, y2)) / 0.4))
    return any(
        box[0] <= x1 + (x2 - x1) * i / steps <= box[2]
        and box[1] <= y1 + (y2 - y1) * i / steps <= box[3]
        for i in range(steps)
    )


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    """Whether two leaders cross."""

    def side(p: Vector, q: Vector, r: Vector) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    p, q, r, s = (a[0], a[1]), (a[2], a[3]), (b[0], b[1]), (b[2], b[3])
    return side(p, q, r) * side(p, q, s) < 0 and side(r, s, p) * side(r, s, q) < 0
