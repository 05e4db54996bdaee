"""``practise``: exercises for apprentices, marked with explained decisions.

Case and questions go to standard error, the marks to standard output. Every decision is kept as it
is taken, so nothing is lost however a session ends.
"""

from __future__ import annotations

import enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.shared import (
    PlainOption,
    Units,
    UnitsOption,
    console,
    print_text,
    rulebook,
    units_of,
)

if TYPE_CHECKING:
    from advisor.practice.store import Store


class LevelChoice(enum.StrEnum):
    """How hard."""

    easy = "easy"
    middle = "middle"
    hard = "hard"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: crackwright practise --person Kim --level easy")(practise)


def practise(
    person: Annotated[
        str | None,
        typer.Option("--person", metavar="NAME", help="Who practises; kept on this computer."),
    ] = None,
    level: Annotated[LevelChoice | None, typer.Option("--level", help="How hard.")] = None,
    stage: Annotated[
        str, typer.Option("--stage", metavar="STAGE", help="Rules of one stage.")
    ] = "",
    subject: Annotated[
        str, typer.Option("--subject", metavar="TEXT", help="Rules of one subject.")
    ] = "",
    rule: Annotated[str, typer.Option("--rule", metavar="ID", help="One rule.")] = "",
    pairs: Annotated[
        bool, typer.Option("--pairs", help="Pairs of cases that part on one answer.")
    ] = False,
    count: Annotated[
        int | None, typer.Option("--count", min=1, help="How many exercises; asks if not given.")
    ] = None,
    class_set: Annotated[
        str,
        typer.Option("--class-set", metavar="NAME", help="The same exercises for everybody."),
    ] = "",
    seed: Annotated[
        int | None, typer.Option("--seed", help="The same number gives the same exercises.")
    ] = None,
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers", metavar="FILE", help="Take the answers from a file (- for stdin)."
        ),
    ] = None,
    subjects: Annotated[
        bool, typer.Option("--subjects", help="List stages and subjects, and end.")
    ] = False,
    summary: Annotated[
        bool, typer.Option("--summary", help="Show progress by subject and rule, and end.")
    ] = False,
    export: Annotated[
        Path | None,
        typer.Option("--export", metavar="FILE.csv", help="Write all marks; - for stdout."),
    ] = None,
    forget: Annotated[
        bool, typer.Option("--forget", help="Delete all that is kept about --person.")
    ] = False,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Practise on cases: decide as in the workshop, and be told what the rules say and why.

    At every question: ? helps, case shows the case again, skip gives it up, quit ends and keeps
    everything.
    """
    from advisor.practice.choosing import Wanted
    from advisor.practice.store import Store, checked_name, default_path

    if subjects:
        _list_subjects()
        return
    who = checked_name(person) if person is not None else None
    store = Store(default_path())
    if forget:
        _forget(store, who)
    elif export:
        _export(store, who, export)
    elif summary:
        _summary(store, who, no_color=no_color)
    else:
        from advisor.cli.practise_dialog import Plan, run

        wanted = Wanted(level.value if level else None, stage, subject, rule, pairs)
        plan = Plan(who, wanted, count, class_set, seed, answers, units_of(units), no_color)
        run(plan, store, rulebook())


def _list_subjects() -> None:
    from advisor.advice.rulebook import STAGES

    lines: list[str] = []
    book = rulebook()
    for index, stage in enumerate(STAGES):
        found = [one.subject for one in book.rules if one.stage == index]
        lines.append(stage)
        lines += [f"  {name} ({found.count(name)} rules)" for name in dict.fromkeys(found)]
    print_text("\n".join(lines) + "\n")


def _forget(store: Store, who: str | None) -> None:
    from advisor.case.problems import InputProblem

    if who is None:
        raise InputProblem("nobody named", "--person NAME with --forget", field="--forget")
    if who.casefold() not in (name.casefold() for name in store.people()):
        raise InputProblem(f"nothing kept about {who}", "a name from --summary", field="--person")
    done = store.forget(who)
    print_text(f"Everything about {who} is deleted: {done} exercise{'s' * (done != 1)}.\n")


def _export(store: Store, who: str | None, path: Path) -> None:
    from advisor.practice.progress import to_csv

    text = to_csv(store.rows(who))
    if str(path) == "-":
        print_text(text)
        return
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write(text)


def _summary(store: Store, who: str | None, *, no_color: bool) -> None:
    from datetime import date

    from advisor.cli.practise_view import show_summary

    out = console(no_color=no_color)
    people = [who] if who else store.people()
    if not people:
        print_text("Nobody has practised on this computer yet.\n")
    for name in people:
        show_summary(name, store.rows(name), store.cards(name), date.today(), rulebook(), out)
