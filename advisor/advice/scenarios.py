"""The worked cases that come with the program: invented, each with the decision it must come to."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from advisor.advice.rulebook import Rulebook
from advisor.case.model import Case
from advisor.case.reading import read_case


def scenario_files(book: Rulebook) -> list[Path]:
    """The case files of all scenarios, in order of name."""
    return sorted((book.folder / "scenarios").glob("*.yaml"))


def scenario_cases(book: Rulebook) -> Iterator[tuple[str, Case]]:
    """Name and case of each scenario."""
    grades = tuple(book.knowledge.tables["grades"].rows)
    for path in scenario_files(book):
        yield path.stem, read_case(path, book.questionnaire, grades)
