"""``triage``: many case files, or a CSV with a case a row, to one table."""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.exits import Exit, tell
from advisor.cli.shared import JsonOption, PlainOption, console, print_json, rulebook

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.advice.triage import Row

_HEADINGS = ("case", "verdict", "method", "missing", "who must agree")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: crackwright triage scenarios")(triage)


def triage(
    paths: Annotated[
        list[Path] | None, typer.Argument(metavar="PATH…", help="Case files, folders, CSV tables.")
    ] = None,
    as_json: JsonOption = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print a CSV table.")] = False,
    template: Annotated[
        bool, typer.Option("--template", help="Print the heading of a CSV of cases and end.")
    ] = False,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes to use; all cores if not given.")
    ] = None,
    no_color: PlainOption = False,
) -> None:
    """Advise many cases: verdict, method, what is missing, who must agree, a line each."""
    from advisor.advice.triage import CASE_COLUMNS, SCHEMA, waiting_cases
    from advisor.advice.triage import triage as work_out
    from advisor.case.problems import InputProblem

    book = rulebook()
    if template:
        csv.writer(sys.stdout).writerow([*CASE_COLUMNS, *book.questionnaire.by_id])
        return
    if not paths:
        raise InputProblem("no path", "case files, a folder or a CSV", field="PATH")
    rows = list(_watched(work_out(waiting_cases(paths), workers=workers)))
    problems = [row for row in rows if row.problem]
    if as_json:
        print_json({"schema": SCHEMA, "cases": [row.to_json() for row in rows]})
    elif as_csv:
        _print_csv(rows)
    else:
        _print_table(rows, no_color=no_color)
    for row in problems:
        tell(row.problem)
    if problems:
        raise typer.Exit(Exit.BAD_INPUT)


def _watched(rows: Iterator[Row]) -> Iterator[Row]:
    """The same rows, with a bar on standard error while it is a terminal."""
    if not sys.stderr.isatty():
        yield from rows
        return
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    columns = (SpinnerColumn(), TextColumn("{task.completed} cases"), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        yield from progress.track(rows, description="advising")


def _print_csv(rows: list[Row]) -> None:
    writer = csv.writer(sys.stdout)
    writer.writerow(["place", "title", *_HEADINGS, "problem"])
    for row in rows:
        writer.writerow(
            [
                row.place,
                row.title,
                row.case,
                row.verdict,
                row.method,
                " ".join(row.missing),
                "; ".join(row.approval),
                row.problem,
            ]
        )


def _print_table(rows: list[Row], *, no_color: bool) -> None:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE)
    for heading in _HEADINGS:
        table.add_column(heading)
    for row in rows:
        if row.problem:
            table.add_row(Text(row.case or row.place), Text("not read", style="bold red"))
            continue
        table.add_row(
            *(
                Text(text)
                for text in (
                    row.case,
                    row.verdict.replace("_", " "),
                    row.method.replace("_", " "),
                    ", ".join(row.missing),
                    "; ".join(row.approval),
                )
            )
        )
    out = console(no_color=no_color)
    out.print(table)
    read = sum(1 for row in rows if not row.problem)
    out.print(Text(f"{read} of {len(rows)} cases advised"))
