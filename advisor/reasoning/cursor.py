"""Walking a YAML document while remembering where every value stands."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from difflib import get_close_matches
from typing import Any, NoReturn

from advisor.case.problems import InputProblem
from advisor.case.yaml_text import Document, field_name
from advisor.light_dataclass import dataclass

Path = tuple[str | int, ...]

_WHOLE = re.compile("-?[0-9]{1,9}")


class KnowledgeProblem(InputProblem):
    """A rule or knowledge file that cannot be used."""


def nearest(found: str, legal: Iterable[str], most: int = 12) -> str:
    """Say what would be right: the nearest legal spelling, or the legal ones."""
    names = sorted(legal)
    close = get_close_matches(found, names, n=1, cutoff=0.6)
    if close:
        return f"a known name; did you mean {close[0]}?"
    listed = ", ".join(names[:most])
    return f"one of {listed}" + (" …" if len(names) > most else "")


@dataclass(frozen=True)
class Cursor:
    """A value inside a document, with its path."""

    document: Document
    path: Path
    value: Any

    @classmethod
    def top(cls, document: Document) -> Cursor:
        """The whole document."""
        return cls(document, (), document.data)

    @property
    def line(self) -> int | None:
        """Line on which the value stands, counted from 1."""
        return self._position()[0]

    def _position(self) -> tuple[int | None, int | None]:
        path = self.path
        while path:
            found = self.document.positions.get(path)
            if found:
                return found
            path = path[:-1]
        return (1, 1) if self.document.positions else (None, None)

    def fail(self, found: str, expected: str) -> NoReturn:
        """Refuse the value, naming file, line and field."""
        line, column = self._position()
        field = field_name(self.path) or None
        raise KnowledgeProblem(
            found, expected, field=field, file=self.document.path, line=line, column=column
        )

    def __getitem__(self, key: str | int) -> Cursor:
        return Cursor(self.document, (*self.path, key), self.value[key])

    def mapping(
        self, required: Collection[str] = (), optional: Collection[str] = ()
    ) -> dict[str, Cursor]:
        """The value as a mapping with just these keys."""
        if not isinstance(self.value, dict):
            self.fail(kind_of(self.value), "a mapping")
        for key in self.value:
            if key not in required and key not in optional:
                self[key].fail(f"key {key!r}", nearest(str(key), {*required, *optional}))
        for key in required:
            if key not in self.value:
                self.fail("no " + key, f"a value for {key}")
        return {key: self[key] for key in self.value}

    def entries(self) -> dict[str, Cursor]:
        """The value as a mapping with free keys."""
        if not isinstance(self.value, dict):
            self.fail(kind_of(self.value), "a mapping")
        return {key: self[key] for key in self.value}

    def items(self) -> list[Cursor]:
        """The value as a list."""
        if not isinstance(self.value, list):
            self.fail(kind_of(self.value), "a list")
        return [self[index] for index in range(len(self.value))]

    def some_items(self) -> list[Cursor]:
        """The value as a list that is not empty."""
        items = self.items()
        if not items:
            self.fail("an empty list", "at least one entry")
        return items

    def text(self) -> str:
        """The value as text that is not empty."""
        if not isinstance(self.value, str) or not self.value.strip():
            self.fail(kind_of(self.value), "text")
        return " ".join(self.value.split())

    def choice(self, legal: Iterable[str], what: str) -> str:
        """The value as one of the legal words."""
        words = tuple(legal)
        found = self.text()
        if found not in words:
            self.fail(f"{what} {found!r}", nearest(found, words))
        return found

    def whole_number(self, least: int, most: int) -> int:
        """The value as a whole number within limits."""
        text = self.text()
        if not _WHOLE.fullmatch(text) or not least <= int(text) <= most:
            self.fail(repr(text), f"a whole number from {least} to {most}")
        return int(text)

    def yes_no(self) -> bool:
        """The value as yes or no."""
        return self.choice(("yes", "no"), "answer") == "yes"


def kind_of(value: Any) -> str:
    """What kind of thing a value is, for messages."""
    names = {dict: "a mapping", list: "a list", type(None): "nothing"}
    return names.get(type(value), repr(value))
