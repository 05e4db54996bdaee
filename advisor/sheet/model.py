"""The job sheet as one document: sections of a few kinds of blocks, whatever it is printed as."""

from __future__ import annotations

from typing import Literal

from advisor.advice.phrases import Units
from advisor.light_dataclass import dataclass

PaperName = Literal["a4", "letter"]


@dataclass(frozen=True)
class Paper:
    """A sheet of paper and its margins [mm]."""

    name: PaperName
    width: float
    height: float
    side: float
    top: float
    bottom: float

    @property
    def text_width(self) -> float:
        """Width between the margins [mm]."""
        return self.width - 2 * self.side

    @property
    def text_height(self) -> float:
        """Height between the margins [mm]."""
        return self.height - self.top - self.bottom


PAPERS: dict[PaperName, Paper] = {
    "a4": Paper("a4", 210.0, 297.0, 15.0, 18.0, 17.0),
    "letter": Paper("letter", 215.9, 279.4, 17.95, 18.0, 17.0),
}
"""ISO 216 A4 and ANSI A; the width between the margins is the same, 180 mm."""


@dataclass(frozen=True)
class Paragraph:
    """Running text."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Notice:
    """What nobody may overlook: a box with large words and lines below them."""

    words: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bullets:
    """A list."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Pairs:
    """Names and what stands against them."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Column:
    """A column of a table; a blank one is for handwriting."""

    head: str
    weight: float = 1.0
    number: bool = False
    blank: bool = False


@dataclass(frozen=True)
class Table:
    """A table; the first column names its row. Cells of blank columns are empty."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    tall: bool = False  # rows with room to write


@dataclass(frozen=True)
class Task:
    """A step with a box to tick; where work holds, a line to sign."""

    n: int
    text: str
    cautions: tuple[str, ...] = ()
    hold_point: bool = False
    ref: str = ""


@dataclass(frozen=True)
class Tasks:
    """Steps in order."""

    items: tuple[Task, ...]


@dataclass(frozen=True)
class Figure:
    """A drawing, in millimetres of paper."""

    svg: str
    title: str
    description: str
    width: float
    height: float


Block = Paragraph | Notice | Bullets | Pairs | Table | Tasks | Figure


@dataclass(frozen=True)
class Section:
    """A heading and what stands below it."""

    id: str
    heading: str
    blocks: tuple[Block, ...]
    new_page: bool = False


@dataclass(frozen=True)
class Sheet:
    """A job sheet.

    Attributes:
        job: the case's reference, printed on each page.
        title: the case's title.
        verdict: word of the verdict.
        headline: the verdict in large words.
        stamp: program and rule base, printed on each page.
        paper: what it is printed on.
        units: for people; data stay SI.
        sections: in order.
        layout: the drawing on its own, or None where nothing is drilled or drawn.
        data: the case and the advice as JSON text, to be read back.
        remarks: what the person who asked for the sheet should be told.
    """

    job: str
    title: str
    verdict: str
    headline: str
    stamp: str
    paper: Paper
    units: Units
    sections: tuple[Section, ...]
    layout: Figure
    data: str
    remarks: tuple[str, ...] = ()
