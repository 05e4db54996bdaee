"""``compare``: the same case with answers changed, or two cases, and only what differs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from advisor.cli.shared import (
    CaseArgument,
    JsonOption,
    PlainOption,
    ShopOption,
    Units,
    UnitsOption,
    console,
    grades_of,
    job_from,
    print_json,
    units_of,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from advisor.advice.doubt.compare import Change, Comparison
    from advisor.advice.rulebook import Rulebook
    from advisor.case.model import Case


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        epilog="Example: crackwright compare case.yaml --set 'wall_thickness=4 mm' "
        "--set heat_allowed=local"
    )(compare)


def compare(
    case: CaseArgument,
    other: Annotated[
        Path | None, typer.Argument(metavar="OTHER.yaml", help="Another case file.")
    ] = None,
    changes: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="ID=VALUE", help="An answer changed; several may be given."),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Show what changes in the advice with other answers, and through which rules."""
    from advisor.advice.doubt.compare import compare as work_out
    from advisor.advice.thinking import think
    from advisor.case.problems import InputProblem

    if (other is None) == (not changes):
        raise InputProblem(
            "both another case and --set" if changes else "nothing to compare with",
            "either OTHER.yaml or --set ID=VALUE",
        )
    first, book = job_from(case, shop)
    second = job_from(other, shop)[0] if other is not None else changed(first, changes or [], book)
    found = work_out(think(first, book), think(second, book))
    if as_json:
        print_json(found.to_json())
        return
    _show(found, console(no_color=no_color), units_of(units))


def changed(case: Case, changes: list[str], book: Rulebook) -> Case:
    """The case with answers changed as ``id=value``; an empty value takes the answer out.

    Raises:
        InputProblem: an id or a value that is not legal.
    """
    from advisor.case.problems import InputProblem
    from advisor.case.reading import parse_answer
    from advisor.reasoning.cursor import nearest

    values: dict[str, Any] = {}
    for change in changes:
        name, equals, text = change.partition("=")
        name = name.strip()
        if not equals:
            raise InputProblem(repr(change), "ID=VALUE", field="--set")
        if name not in book.questionnaire.by_id:
            legal = nearest(name, book.questionnaire.by_id)
            raise InputProblem(f"question {name!r}", legal, field="--set")
        question = book.questionnaire.by_id[name]
        values[name] = parse_answer(question, text, grades_of(book)) if text.strip() else None
    return case.with_answers(values)


def _show(found: Comparison, out: Console, units: Literal["si", "us"]) -> None:
    from rich.text import Text

    for change in found.answers:
        was, now = _says(change.before, units), _says(change.after, units)
        line = Text("answer ", style="dim").append(change.item, style="bold")
        out.print(line.append(f": {was} -> {now}", style="not dim"))
    if not found.changes:
        out.print("The advice stays as it is.")
        return
    for change in found.changes:
        out.print(_line(change, units))


def _line(change: Change, units: Literal["si", "us"]) -> Text:
    from rich.text import Text

    was, now = _says(change.before, units), _says(change.after, units)
    line = Text()
    if change.before is None:
        line.append(f"+ {change.item}", style="bold").append(f": {now}")
    elif change.after is None:
        line.append(f"- {change.item}", style="bold").append(f": {was}")
    else:
        line.append(f"* {change.item}", style="bold").append(f": {was} -> {now}")
    if change.rules:
        line.append(f" [{', '.join(change.rules)}]", style="dim")
    return line


def _says(value: Any, units: Literal["si", "us"]) -> str:
    from advisor.advice.model import Quantity
    from advisor.case.both_units import both_units
    from advisor.cli.advice_view import shown

    if value is None:
        return "not answered"
    if isinstance(value, dict) and "value" in value:
        if units == "us":
            return shown(Quantity(**value), units)
        unit = "" if value.get("unit") in (None, "1") else f" {value['unit']}"
        if value.get("low") is not None:
            return f"{value['low']:g} to {value['high']:g}{unit}"
        return f"{value['value']:g}{unit}"
    if isinstance(value, list):
        return ", ".join(_says(one, units) for one in value) or "none"
    said = str(value).replace("_", " ")
    return both_units(said) if units == "us" else said
