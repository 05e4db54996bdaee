"""``advise``, ``why`` and ``schema``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

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
    rulebook,
    units_of,
)


def register(app: typer.Typer) -> None:
    """Add the commands of this group."""
    app.command(epilog="Example: crackwright advise pump.yaml")(advise)
    app.command(epilog="Example: crackwright why pump.yaml verdict")(why)
    app.command(epilog="Example: crackwright schema > case.schema.json")(schema)


def advise(
    case: CaseArgument,
    plan: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the advice as a plan file too, to be edited."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a plan that is there.")] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Give the whole explained advice for a case."""
    from advisor.advice.advise import advise as work_out

    shown_in = "si" if as_json else units_of(units)
    asked, book = job_from(case, shop)
    advice = work_out(asked, book, shown_in)
    if plan is not None:
        from advisor.cli.check_command import write_plan

        write_plan(plan, asked, book, force=force)
    if as_json:
        print_json(advice.to_json())
        return
    from advisor.cli.advice_view import show_advice

    show_advice(advice, book, console(no_color=no_color), shown_in)


def why(
    case: CaseArgument,
    topic: Annotated[
        str,
        typer.Argument(
            metavar="TOPIC",
            help="verdict, a method, pin, keys, heat, inserts, test, a step or an inspection, "
            "a fact or question, or the id of a rule that stands in the advice in [ ].",
        ),
    ],
    depth: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="Show N levels only.")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Show the reasoning behind one item, down to answers, tables, formulas and sources."""
    from advisor.advice.explain import Explainer, UnknownTopic, cut
    from advisor.advice.thinking import think
    from advisor.case.problems import InputProblem

    thinking = think(*job_from(case, shop))
    try:
        read_in = "si" if as_json else units_of(units)
        explainer = Explainer(thinking, read_in, what_would_turn_it=True)
        node = explainer.why(topic)
    except UnknownTopic as unknown:
        raise InputProblem(f"{topic!r}", unknown.expected, field="TOPIC") from None
    if depth is not None:
        node = cut(node, depth)
    if as_json:
        turning = explainer.why_not(topic)
        print_json(
            {
                "schema": "crackwright.why/1",
                "topic": topic,
                **node.plain(),
                "why_not": turning and turning.plain(),
            }
        )
        return
    from advisor.cli.explain_view import show_node

    show_node(node, console(no_color=no_color), read_in)


def schema() -> None:
    """Print the JSON Schema of the case file, for editors that complete and validate."""
    from advisor.case.schema import case_schema

    book = rulebook()
    print_json(case_schema(book.questionnaire, tuple(book.knowledge.tables["grades"].rows)))
