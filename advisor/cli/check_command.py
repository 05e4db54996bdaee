"""``check``: a plan written by somebody, examined item by item."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.exits import Exit, tell
from advisor.cli.shared import (
    CaseArgument,
    JsonOption,
    PlainOption,
    ShopOption,
    Units,
    UnitsOption,
    console,
    job_from,
    print_json,
    print_text,
    read_stdin,
    units_of,
)

if TYPE_CHECKING:
    from advisor.advice.rulebook import Rulebook
    from advisor.case.model import Case
    from advisor.review.model import Review
    from advisor.review.plan import Plan

SUFFIXES = (".md", ".html")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: crackwright check my-plan.yaml pump.yaml")(check)


def check(
    plan: Annotated[Path, typer.Argument(metavar="PLAN.yaml", help="A plan file; - for stdin.")],
    case: CaseArgument,
    as_json: JsonOption = False,
    markdown: Annotated[
        bool, typer.Option("--markdown", help="Print the findings beside the plan as Markdown.")
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", metavar="FILE", help="Write the check to a file: .md or .html."
        ),
    ] = None,
    shop: ShopOption = None,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Examine a plan on its own numbers; exit code 1 where something is to be stopped for."""
    from advisor.advice.thinking import think
    from advisor.review.review import review

    _refuse_early(plan, case, output)
    asked, book = job_from(case, shop)
    shown_in = "si" if as_json else units_of(units)
    found = review(_plan_from(plan, book, asked), think(asked, book), shown_in)
    if output is not None:
        _write(output, found, units)
    if as_json:
        print_json(found.to_json())
    elif markdown:
        from advisor.review.printing import as_markdown

        print_text(as_markdown(found, units_of(units)))
    elif output is None:
        from advisor.cli.check_view import show_review

        show_review(found, console(no_color=no_color), units_of(units))
    if found.outcome == "stop":
        raise typer.Exit(Exit.FAULT_FOUND)


def _refuse_early(plan: Path, case: Path, output: Path | None) -> None:
    from advisor.case.problems import InputProblem

    if str(plan) == "-" and str(case) == "-":
        raise InputProblem("- twice", "one of plan and case in a file", field="PLAN.yaml")
    if output is None:
        return
    if output.suffix.lower() not in SUFFIXES:
        right = f"a name that ends in {' or '.join(SUFFIXES)}"
        raise InputProblem(f'"{output.name}"', right, field="--output")
    if output.exists() and any(other.exists() and output.samefile(other) for other in (plan, case)):
        raise InputProblem("the plan or the case itself", "another name", field="--output")


def _plan_from(path: Path, book: Rulebook, case: Case) -> Plan:
    from advisor.review.plan_reading import parse_plan, read_plan

    if str(path) == "-":
        return parse_plan(read_stdin(), "standard input", book, case)
    return read_plan(path, book, case)


def _write(path: Path, found: Review, units: Units) -> None:
    from advisor.review.plan_writing import write_new
    from advisor.review.printing import as_html, as_markdown

    form = as_html if path.suffix.lower() == ".html" else as_markdown
    write_new(path, form(found, units_of(units)), force=True)
    tell(f"{found.outcome}: written to {path}")


def write_plan(path: Path, case: Case, book: Rulebook, *, force: bool) -> None:
    """Write the program's own advice on a case as a plan file, for people to edit.

    Raises:
        InputProblem: the file is there already and not to be replaced, or cannot be written.
    """
    from advisor.advice.advise import read_off
    from advisor.advice.thinking import think
    from advisor.review.plan_writing import plan_of, plan_text, write_new

    thinking = think(case, book)
    write_new(path, plan_text(plan_of(read_off(thinking), thinking)), force=force)
    tell(f"plan written to {path}")
