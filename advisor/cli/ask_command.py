"""``ask``: the questionnaire in the terminal or through a pipe, and the advice at its end.

What is asked goes to standard error, the advice to standard output. The case file is written after
every answer, so nothing is lost however a session ends.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.shared import (
    PlainOption,
    ShopOption,
    Units,
    UnitsOption,
    console,
    job_from,
    rulebook,
    shop_book,
    units_of,
)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: crackwright ask pump.yaml")(ask)


def ask(
    case: Annotated[
        Path | None,
        typer.Argument(
            metavar="[CASE.yaml]",
            show_default=False,
            help="The case file to begin or to go on with; without it a job reference is asked.",
        ),
    ] = None,
    answers: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Take the answers from a file (- for stdin) and ask nothing.",
        ),
    ] = None,
    no_input: Annotated[bool, typer.Option("--no-input", help="Ask nothing.")] = False,
    shop: ShopOption = None,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Ask what still matters, one question at a time; keep every answer; end with the advice.

    At every question: ? explains it, unknown is an answer, back goes back, quit ends.
    """
    from advisor.cli.ask_file import take_answers

    path: Path | None
    if answers or no_input:
        path = take_answers(case, answers, rulebook())
    else:
        path = _dialog(case, shop, no_color)
    if path:
        _advise(path, shop, units, no_color)


def _dialog(case: Path | None, shop: Path | None, no_color: bool) -> Path | None:
    """Ask in the terminal; the case file, or None where nothing was answered."""
    from advisor.cli.ask_dialog import Dialog, Quit, ask_reference
    from advisor.cli.ask_file import CaseFile, path_for
    from advisor.cli.ask_terminal import Terminal

    terminal = Terminal(no_color=no_color)
    try:
        reference = "" if case else ask_reference(terminal)
    except Quit:
        return None
    path = case or path_for(reference)
    book = shop_book(path, shop)
    file = CaseFile(path, book, reference)
    Dialog(file, book, terminal).run()
    if not file.case.answers:
        terminal.say("Nothing is answered, so there is no advice and no file.")
        return None
    return path


def _advise(path: Path, shop: Path | None, units: Units, no_color: bool) -> None:
    from advisor.advice.advise import advise
    from advisor.cli.advice_view import show_advice

    case, book = job_from(path, shop)
    chosen = units_of(units)
    show_advice(advise(case, book, chosen), book, console(no_color=no_color), chosen)
