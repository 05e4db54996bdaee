"""What several commands share: rule book, case, the way out to the reader, JSON."""

from __future__ import annotations

import enum
import io
import json
import os
import re
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, TextIO

import typer

from advisor.cli.exits import Exit, RulesInvalid, take_in_hand

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.advice.rulebook import Rulebook
    from advisor.case.model import Case

PLAIN_WIDTH = 80
LEAST_WIDTH = 40
MOST_WIDTH = 120
"""Columns where the output is not a terminal, and the limits on one."""


class Units(enum.StrEnum):
    """Units for people; JSON is always SI."""

    si = "si"
    us = "us"


CaseArgument = Annotated[
    Path, typer.Argument(metavar="CASE.yaml", help="A case file; - for stdin.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units for people.")]
ShopOption = Annotated[
    Path | None,
    typer.Option("--shop", metavar="FILE", help="The shop's own pins, keys, means and rules."),
]
PlainOption = Annotated[bool, typer.Option("--no-color", help="Print without colour.")]


def units_of(units: Units) -> Literal["si", "us"]:
    """The choice as the rest of the program spells it."""
    return "us" if units is Units.us else "si"


def rulebook() -> Rulebook:
    """The built-in rule book.

    Raises:
        RulesInvalid: a rule or knowledge file cannot be used.
    """
    from advisor.advice.rulebook import load_rulebook
    from advisor.case.problems import InputProblem

    try:
        return load_rulebook()
    except KeyError as missing:
        raise RulesInvalid(f"nothing is named {missing}") from missing
    except (InputProblem, OSError, ValueError) as problem:
        raise RulesInvalid(str(problem)) from problem


def case_from(path: Path, book: Rulebook) -> Case:
    """Read a case file; ``-`` is standard input."""
    from advisor.case.reading import parse_case, read_case

    grades = grades_of(book)
    if str(path) == "-":
        case = parse_case(read_stdin(), "standard input", book.questionnaire, grades)
    else:
        case = read_case(path, book.questionnaire, grades)
    take_in_hand(case)
    return case


def job_from(path: Path, shop: Path | None) -> tuple[Case, Rulebook]:
    """A case, and the rule book with the shop's own means laid over it.

    Raises:
        RulesInvalid: a shop file that cannot be used.
    """
    from advisor.advice.shop import case_in_shop

    book = shop_book(path, shop)
    return case_in_shop(case_from(path, book), book.shop), book


def shop_book(path: Path, shop: Path | None) -> Rulebook:
    """The rule book with the shop's own means laid over it.

    The shop file is the one named, else `shop.yaml` beside the case, else the user's own.

    Raises:
        RulesInvalid: a shop file that cannot be used.
    """
    from advisor.advice.shop import find_shop_file, with_shop
    from advisor.case.problems import InputProblem

    if shop is not None and not shop.is_file():
        raise InputProblem("no such file", "a shop file", field="--shop", file=str(shop))
    built_in = rulebook()
    try:
        return with_shop(built_in, find_shop_file(None if str(path) == "-" else path, shop))
    except (InputProblem, OSError) as problem:
        raise RulesInvalid(str(problem)) from problem


def grades_of(book: Rulebook) -> tuple[str, ...]:
    """The designations of metals that the tables hold."""
    return tuple(book.knowledge.tables["grades"].rows)


def read_stdin() -> str:
    """All of standard input as text.

    Raises:
        InputProblem: it is closed or is no text.
    """
    from advisor.case.problems import InputProblem

    if sys.stdin is None:
        raise InputProblem("no standard input", "a case on standard input, or a file name")
    buffer = getattr(sys.stdin, "buffer", None)
    try:
        return buffer.read().decode("utf-8-sig") if buffer else sys.stdin.read()
    except UnicodeDecodeError:
        raise InputProblem("bytes that are no text", "text in UTF-8", file="standard input") from (
            None
        )


class Out(io.TextIOBase):
    """Standard output or error: ends in silence when the reader of a pipe has gone.

    Where it is not a terminal, blanks at the ends of lines are left out. What is written for
    people holds nothing that steers the terminal or reorders a line.
    """

    def __init__(self, stream: TextIO, *, for_people: bool = False) -> None:
        self._to = stream
        self._terminal = stream.isatty()
        self._for_people = for_people

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """The encoding of the stream below."""
        return self._to.encoding

    def isatty(self) -> bool:
        """Whether people read this on a terminal."""
        return self._terminal

    def fileno(self) -> int:
        """The descriptor of the stream below."""
        return self._to.fileno()

    def write(self, text: str) -> int:
        """Write text."""
        shown = text if self._terminal else re.sub(r"[ \t]+(?=\n)", "", text)
        if self._for_people and not shown.isascii():
            from advisor.case.visible import visible_lines

            shown = visible_lines(shown, kept="\r\x1b")  # colours and bars are drawn with these
        try:
            self._to.write(shown)
        except BrokenPipeError:
            reader_gone()
        return len(text)

    def flush(self) -> None:
        """Hand on what is waiting."""
        try:
            self._to.flush()
        except BrokenPipeError:
            reader_gone()

    def close(self) -> None:
        """Nothing: the stream below is not its own, and may be gone when this is taken down."""


def reader_gone() -> None:
    """End in silence: whoever read the output has seen enough."""
    drop_output()
    raise SystemExit(Exit.DONE)


def drop_output() -> None:
    """Let what still waits to be written go nowhere: where it went takes no more."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def console(*, no_color: bool = False, stream: TextIO | None = None) -> Console:
    """Standard output for people; plain where it is not a terminal or colour is not wanted."""
    from rich.console import Console

    to = stream or sys.stdout
    return Console(
        file=Out(to, for_people=True),  # type: ignore[arg-type]
        color_system=None if is_plain(no_color) else "auto",
        highlight=False,
        width=width(to),
    )


def is_plain(no_color: bool) -> bool:
    """Whether the output has to do without colour and without heavy type."""
    wanted = no_color or bool(os.environ.get("NO_COLOR"))
    return wanted or os.environ.get("TERM") in ("dumb", "unknown")


def width(stream: TextIO) -> int:
    """Columns to write in: those of the terminal while lines stay readable."""
    if stream.isatty() or os.environ.get("COLUMNS"):
        return max(LEAST_WIDTH, min(MOST_WIDTH, shutil.get_terminal_size().columns))
    return PLAIN_WIDTH


def print_json(document: dict[str, Any]) -> None:
    """One JSON document on standard output, and nothing else."""
    print_text(json.dumps(document, ensure_ascii=False, indent=2) + "\n")


def print_text(text: str) -> None:
    """Plain text on standard output."""
    out = Out(sys.stdout)
    out.write(text)
    out.flush()
