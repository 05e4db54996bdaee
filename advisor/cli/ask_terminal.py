"""Reading lines and showing paragraphs, in a real terminal and through a pipe."""

from __future__ import annotations

import contextlib
import io
import sys

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from advisor.case.problems import InputProblem
from advisor.cli.shared import console


class EndOfInput(Exception):
    """There is nothing more to read."""


class Terminal:
    """Shows on standard error, reads standard input; through a pipe it shows what it read, too."""

    def __init__(self, *, no_color: bool = False) -> None:
        if sys.stdin is None or sys.stdin.closed:
            raise InputProblem(
                "no standard input", "a terminal, answers through a pipe, or --answers FILE"
            )
        if isinstance(sys.stdin, io.TextIOWrapper):
            sys.stdin.reconfigure(errors="replace")
        self._typed = sys.stdin.isatty()
        self._edited = self._typed and sys.stdout.isatty() and sys.stderr.isatty()
        self._console = console(no_color=no_color, stream=sys.stderr)
        if self._edited:
            with contextlib.suppress(ImportError):
                import readline  # noqa: F401  (arrow keys and history at the prompt)

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return self._console.width

    def say(self, text: str | Text = "", indent: int = 0) -> None:
        """Show a paragraph."""
        shown = Text(text) if isinstance(text, str) else text
        self._console.print(Padding(shown, (0, 0, 0, indent), expand=False) if indent else shown)

    def item(self, lead: str, text: str, indent: int = 2) -> None:
        """Show a paragraph that hangs beside its lead."""
        table = Table.grid(padding=(0, 1))
        table.add_column(no_wrap=True)
        table.add_column()
        table.add_row(Text(lead, style="bold"), text)
        self._console.print(Padding(table, (0, 0, 0, indent), expand=False))

    def read(self, prompt: str) -> str:
        """One line as typed.

        Raises:
            EndOfInput: there are no more lines.
        """
        if self._edited:
            try:
                return input(prompt).strip()
            except EOFError:
                self.say()
                raise EndOfInput from None
        sys.stderr.write(prompt)
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not self._typed:
            sys.stderr.write(line if line.endswith("\n") else f"{line}\n")
        if not line:
            raise EndOfInput
        return line.strip()
