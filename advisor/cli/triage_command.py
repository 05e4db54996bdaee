"""``triage``: many case files, or a CSV with a case a row, to one table."""

from __future__ import annotations

import csv
import io
import json
import sys
import tempfile
import textwrap
from functools import partial
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.exits import Exit, tell
from advisor.cli.shared import JsonOption, PlainOption, console, print_text, rulebook

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from rich.table import Table

    from advisor.advice.triage import Row

_HEADINGS = ("case", "verdict", "method", "missing", "who must agree")
_WIDE = 100
_PIECE = 500
_IN_MEMORY = 1 << 20


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
    from advisor.advice.triage import CASE_COLUMNS, waiting_cases
    from advisor.advice.triage import triage as work_out
    from advisor.case.problems import InputProblem

    book = rulebook()
    if template:
        csv.writer(sys.stdout).writerow([*CASE_COLUMNS, *book.questionnaire.by_id])
        return
    if not paths:
        raise InputProblem("no path", "case files, a folder or a CSV", field="PATH")
    bad: list[Row] = []
    with tempfile.SpooledTemporaryFile(_IN_MEMORY, "w+", encoding="utf-8", newline="") as kept:
        writer = _writer(as_json=as_json, as_csv=as_csv, no_color=no_color)
        rows = work_out(waiting_cases(paths), workers=workers)
        for text in writer(_watched(rows, paths, bad, no_color=no_color)):
            kept.write(text)
        kept.seek(0)
        for part in iter(lambda: kept.read(_IN_MEMORY), ""):
            print_text(part)
    for row in bad:
        tell(row.problem)
    if bad:
        faulty = any(row.fault for row in bad)
        raise typer.Exit(Exit.INTERNAL if faulty else Exit.BAD_INPUT)


def _writer(
    *, as_json: bool, as_csv: bool, no_color: bool
) -> Callable[[Iterable[Row]], Iterator[str]]:
    """How rows become text, piece by piece: it is put by until the last row is there."""
    if as_json:
        return _json_text
    return _csv_text if as_csv else partial(_table_text, no_color=no_color)


def _watched(
    rows: Iterable[Row], paths: list[Path], bad: list[Row], *, no_color: bool
) -> Iterator[Row]:
    """The same rows, the bad ones kept, with a bar on standard error while it is a terminal."""
    shown = _with_bar(rows, paths, no_color=no_color) if sys.stderr.isatty() else rows
    for row in shown:
        if row.problem:
            bad.append(row)
        yield row


def _with_bar(rows: Iterable[Row], paths: list[Path], *, no_color: bool) -> Iterator[Row]:
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )

    from advisor.advice.triage import waiting_cases

    total = sum(1 for _ in waiting_cases(paths))
    columns = (MofNCompleteColumn(), BarColumn(), TimeElapsedColumn(), TimeRemainingColumn())
    with Progress(
        *columns, console=console(no_color=no_color, stream=sys.stderr), transient=True
    ) as progress:
        yield from progress.track(rows, total=total)


def _json_text(rows: Iterable[Row]) -> Iterator[str]:
    from advisor.advice.triage import SCHEMA

    yield f'{{\n  "schema": "{SCHEMA}",\n  "cases": ['
    before = "\n"
    for row in rows:
        text = json.dumps(row.to_json(), ensure_ascii=False, indent=2)
        yield before + textwrap.indent(text, "    ")
        before = ",\n"
    yield "\n  ]\n}\n"


def _csv_text(rows: Iterable[Row]) -> Iterator[str]:
    from advisor.case.visible import table_cell

    yield _csv_line(["place", "title", *_HEADINGS, "problem"])
    for row in rows:
        cells = (
            row.place,
            row.title,
            row.case,
            row.verdict,
            row.method,
            " ".join(row.missing),
            "; ".join(row.approval),
            row.problem,
        )
        yield _csv_line([table_cell(cell) for cell in cells])


def _csv_line(cells: list[str]) -> str:
    line = io.StringIO()
    csv.writer(line).writerow(cells)
    return line.getvalue()


def _table_text(rows: Iterable[Row], *, no_color: bool) -> Iterator[str]:
    """The table in pieces of equal columns, so that no number of rows fills the memory."""
    out = console(no_color=no_color)
    read = count = 0
    pieces = iter(rows)
    while piece := list(islice(pieces, _PIECE)):
        with out.capture() as said:
            out.print(_table(piece, out.width, headed=not count))
        yield said.get()
        count += len(piece)
        read += sum(1 for row in piece if not row.problem)
    yield f"{read} of {count} cases advised\n"


def _table(rows: list[Row], width: int, *, headed: bool) -> Table:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    from advisor.case.visible import visible, visible_lines

    table = Table(box=box.SIMPLE_HEAD, show_header=headed, width=width, pad_edge=False)
    wide = width >= _WIDE
    table.add_column(_HEADINGS[0], width=width // 8, overflow="fold")
    table.add_column(_HEADINGS[1], width=len("investigate"))
    table.add_column(_HEADINGS[2], width=len("impregnation"))
    for heading in _HEADINGS[3:] if wide else ("missing; who must agree",):
        table.add_column(heading, ratio=1, overflow="fold")
    for row in rows:
        if row.problem:
            table.add_row(Text(visible(row.case or row.place)), Text("not read", style="bold red"))
            continue
        open_yet = (", ".join(row.missing), "; ".join(row.approval))
        cells = (
            row.case,
            row.verdict.replace("_", " "),
            row.method.replace("_", " "),
            *(open_yet if wide else (_in_one(*open_yet),)),
        )
        table.add_row(*(Text(visible_lines(cell)) for cell in cells))
    return table


def _in_one(missing: str, approval: str) -> str:
    said = (f"missing: {missing}" if missing else "", f"agree: {approval}" if approval else "")
    return "\n".join(filter(None, said))
