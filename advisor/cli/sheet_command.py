"""``sheet``: the printable job sheet and its drawing."""

from __future__ import annotations

import enum
from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.exits import tell
from advisor.cli.shared import (
    CaseArgument,
    ShopOption,
    Units,
    UnitsOption,
    job_from,
    units_of,
)


class PaperSize(enum.StrEnum):
    """What the sheet is printed on."""

    a4 = "a4"
    letter = "letter"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: crackwright sheet pump.yaml -o pump.html -o pump-layout.svg")(
        sheet
    )


def sheet(
    case: CaseArgument,
    output: Annotated[
        list[Path],
        typer.Option(
            "-o",
            "--output",
            metavar="FILE",
            help="File to write: .html, .pdf, .md, or .svg for the drawing alone. "
            "May be given several times.",
        ),
    ],
    paper: Annotated[PaperSize, typer.Option("--paper", help="Paper size.")] = PaperSize.a4,
    shop: ShopOption = None,
    units: UnitsOption = Units.si,
    template: Annotated[
        bool,
        typer.Option("--template", help="Add a drilling template at full size, where it fits."),
    ] = False,
) -> None:
    """Write the printable job sheet of a case: drawing, tables, steps, inspections, parts, time."""
    from advisor.advice.thinking import think
    from advisor.sheet import build_sheet, render
    from advisor.sheet.output import check_can_write, write_file

    for path in output:
        check_can_write(path, case)
    thinking = think(*job_from(case, shop))
    made = build_sheet(
        thinking,
        paper="letter" if paper is PaperSize.letter else "a4",
        units=units_of(units),
        template=template,
    )
    contents = [(path, render(made, path.suffix.lower())) for path in output]
    for path, content in contents:
        write_file(path, content)
        tell(f"{path}: {made.headline.lower()}")
    for remark in made.remarks:
        tell(remark)
