"""What is wrong with an input: one clear message, and where to look."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_SHOWN = 50


class InputProblem(Exception):
    """Bad input: file, line, column, field, what was found, what would be right.

    Any part that does not apply stays ``None`` and is left out of the message.
    """

    def __init__(
        self,
        found: str,
        expected: str,
        *,
        field: str | None = None,
        file: str | None = None,
        line: int | None = None,
        column: int | None = None,
    ) -> None:
        self.found = found
        self.expected = expected
        self.field = field
        self.file = file
        self.line = line
        self.column = column
        super().__init__(self.message)

    @property
    def message(self) -> str:
        """One line: ``FILE:LINE:COLUMN: FIELD: found …; expected …``."""
        place = ":".join(str(part) for part in (self.file, self.line, self.column) if part)
        parts = [part for part in (place, self.field) if part]
        parts.append(f"found {self.found}; expected {self.expected}")
        return ": ".join(parts)


class InputProblems(InputProblem):
    """All that is wrong with an input, told at once: one line for each problem."""

    def __init__(self, problems: Iterable[InputProblem]) -> None:
        self.problems = tuple(sorted(problems, key=lambda each: (each.line or 0, each.column or 0)))
        first = self.problems[0]
        super().__init__(
            first.found,
            first.expected,
            field=first.field,
            file=first.file,
            line=first.line,
            column=first.column,
        )

    @property
    def message(self) -> str:
        """One line for each problem, in the order of the file."""
        lines = [each.message for each in self.problems[:_SHOWN]]
        if len(self.problems) > _SHOWN:
            lines.append(f"and {len(self.problems) - _SHOWN} more problems")
        return "\n".join(lines)


def nearest(word: str, legal: Iterable[str]) -> str:
    """A question after the nearest legal spelling, or nothing where none is near.

    >>> nearest("Grey iron", ["gray_iron", "ductile_iron"])
    '; did you mean gray_iron?'
    """
    choices = list(legal)
    typed = word.strip().lower().replace(" ", "_").replace("-", "_")
    by_typed = {choice.lower().replace(" ", "_").replace("-", "_"): choice for choice in choices}
    close = difflib.get_close_matches(typed, by_typed, n=1)
    return f"; did you mean {by_typed[close[0]]}?" if close else ""
