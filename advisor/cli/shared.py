"""What several commands share: reading the case, the console, JSON."""

from __future__ import annotations

import enum
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.advice.rulebook import Rulebook
    from advisor.case.model import Case


class Units(enum.StrEnum):
    """Units for people; JSON is always SI."""

    si = "si"
    us = "us"


def units_of(units: Units) -> Literal["si", "us"]:
    """The choice as the rest of the program spells it."""
    return "us" if units is Units.us else "si"


def rulebook() -> Rulebook:
    """The built-in rule book."""
    from advisor.advice.rulebook import load_rulebook

    return load_rulebook()


def case_from(path: Path, book: Rulebook) -> Case:
    """Read a case file; ``-`` is standard input."""
    from advisor.case.reading import parse_case, read_case

    grades = frozenset(book.knowledge.tables["grades"].rows)
    if str(path) == "-":
        return parse_case(sys.stdin.read(), "standard input", book.questionnaire, grades)
    return read_case(path, book.questionnaire, grades)


def console(*, no_color: bool = False) -> Console:
    """Standard output for people; plain where it is not a terminal or colour is not wanted."""
    from rich.console import Console

    plain = no_color or bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    width = None if sys.stdout.isatty() or os.environ.get("COLUMNS") else 100
    return Console(no_color=plain, highlight=False, width=width, soft_wrap=False)


def print_json(document: dict[str, Any]) -> None:
    """One JSON document on standard output, and nothing else."""
    sys.stdout.write(json.dumps(document, ensure_ascii=False, indent=2) + "\n")
