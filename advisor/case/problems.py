"""What is wrong with an input: one clear message, and where to look."""

from __future__ import annotations


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
