"""The case file behind ``ask``: begun or gone on with, and written after every answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from advisor.advice.rulebook import Rulebook
from advisor.case.model import Case
from advisor.case.problems import InputProblem
from advisor.case.reading import parse_case, read_answers, read_case
from advisor.case.writing import Plain, case_text, create_case, edit_text, set_answers
from advisor.case.yaml_text import Document, parse_yaml, read_yaml
from advisor.cli.exits import take_in_hand
from advisor.cli.shared import grades_of, read_stdin


class CaseFile:
    """A case file that is written whenever an answer changes; a new one at the first answer."""

    def __init__(self, path: Path, book: Rulebook, reference: str = "") -> None:
        """Read the file, or begin a case.

        Raises:
            InputProblem: the file cannot be used, or no file can be written there.
        """
        self.path = path
        self._book = book
        self._grades = grades_of(book)
        if path.exists():
            self.case = read_case(path, book.questionnaire, self._grades)
        else:
            _check_place(path)
            self.case = Case(reference or path.stem, "", "", {}, str(path))
        take_in_hand(self.case)

    def set(self, changes: Mapping[str, Plain | None]) -> None:
        """Change answers and write the file; a change that cannot stand changes nothing.

        Raises:
            InputProblem: the answers cannot all be true, or the file cannot be written.
        """
        if self.path.exists():
            text = self.path.read_text(encoding="utf-8-sig")
            self._check(edit_text(text, str(self.path), changes))
            set_answers(self.path, changes)
        else:
            given = {name: value for name, value in changes.items() if value is not None}
            self._check(case_text(self.case.reference, "", "", given))
            create_case(self.path, self.case.reference, answers=given)
        self.case = read_case(self.path, self._book.questionnaire, self._grades)
        take_in_hand(self.case)

    def _check(self, text: str) -> None:
        parse_case(text, str(self.path), self._book.questionnaire, self._grades)


def _check_place(path: Path) -> None:
    if path.suffix.lower() not in (".yaml", ".yml"):
        raise InputProblem(f"the name {path.name}", "a name that ends in .yaml", file=str(path))
    if not path.parent.is_dir():
        raise InputProblem("no such folder", "a folder that is there", file=str(path.parent))


def path_for(reference: str) -> Path:
    """The case file of a job reference, in the folder where the program runs.

    >>> path_for("J 12/b").name
    'J-12-b.yaml'
    """
    name = re.sub(r"[^\w.-]+", "-", reference.strip()).strip("-.")
    if not name:
        raise InputProblem(f'the reference "{reference}"', "letters or digits in it")
    return Path(f"{name}.yaml")


def take_answers(case: Path | None, answers: Path | None, book: Rulebook) -> Path:
    """Put the answers of a file into a case file, all of them or none.

    Returns:
        The case file.

    Raises:
        InputProblem: anything that is wrong with either file.
    """
    if answers is None:
        if case is None:
            raise InputProblem("no case file", "crackwright ask CASE.yaml --no-input")
        return case
    document = _document(answers)
    read_answers(document, book.questionnaire, grades_of(book))
    whole = "answers" in document.data
    given = (document.data["answers"] or {}) if whole else document.data
    reference = str(document.data.get("case") or "") if whole else ""
    if case is None and not reference:
        raise InputProblem(
            "no case file, and no job reference in the answers",
            "crackwright ask CASE.yaml --answers FILE, or an entry `case:` in FILE",
            file=document.path,
        )
    file = CaseFile(case or path_for(reference), book, reference)
    file.set(given)
    return file.path


def _document(path: Path) -> Document:
    if str(path) == "-":
        return parse_yaml(read_stdin(), "standard input")
    return read_yaml(path)
