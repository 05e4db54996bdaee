"""``advise``, ``why`` and ``schema``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.shared import Units, case_from, console, print_json, rulebook, units_of

CaseArgument = Annotated[
    Path, typer.Argument(metavar="CASE.yaml", help="A case file; - for stdin.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units for people.")]
PlainOption = Annotated[bool, typer.Option("--no-color", help="Print without colour.")]


def register(app: typer.Typer) -> None:
    """Add the commands of this group."""
    app.command(epilog="Example: crackwright advise scenarios/stitched-jacket.yaml")(advise)
    app.command(epilog="Example: crackwright why scenarios/stitched-jacket.yaml verdict")(why)
    app.command(epilog="Example: crackwright schema > case.schema.json")(schema)


def advise(
    case: CaseArgument,
    as_json: JsonOption = False,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Give the whole explained advice for a case."""
    from advisor.advice.advise import advise as work_out

    book = rulebook()
    advice = work_out(case_from(case, book), book)
    if as_json:
        print_json(advice.to_json())
        return
    from advisor.cli.advice_view import show_advice

    show_advice(advice, book, console(no_color=no_color), units_of(units))


def why(
    case: CaseArgument,
    topic: Annotated[
        str, typer.Argument(metavar="TOPIC", help="verdict, a method, a fact, a rule …")
    ],
    as_json: JsonOption = False,
    units: UnitsOption = Units.si,
    no_color: PlainOption = False,
) -> None:
    """Show the reasoning behind one item, down to answers, tables, formulas and sources."""
    from advisor.advice.explain import Explainer, UnknownTopic
    from advisor.advice.thinking import think
    from advisor.case.problems import InputProblem

    book = rulebook()
    thinking = think(case_from(case, book), book)
    try:
        node = Explainer(thinking, units_of(units)).why(topic)
    except UnknownTopic as unknown:
        raise InputProblem(f"topic {topic!r}", unknown.expected, field="TOPIC") from None
    if as_json:
        print_json({"schema": "crackwright.why/1", "topic": topic, **node.model_dump(mode="json")})
        return
    from advisor.cli.explain_view import show_node

    show_node(node, console(no_color=no_color))


def schema() -> None:
    """Print the JSON Schema of the case file, for editors that complete and validate."""
    from advisor.case.schema import case_schema

    book = rulebook()
    print_json(case_schema(book.questionnaire, tuple(book.knowledge.tables["grades"].rows)))
