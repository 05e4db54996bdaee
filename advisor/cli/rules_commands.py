"""``rules …``: the rule base, read as a book."""

from __future__ import annotations

from typing import Annotated

import typer

from advisor.cli import prove_command
from advisor.cli.shared import PlainOption, console, print_text, rulebook

rules_app = typer.Typer(
    help="Look into the rule base: list, show, sources, prove, impact.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def register(app: typer.Typer) -> None:
    """Add the commands of this group."""
    prove_command.register(rules_app)
    app.add_typer(rules_app, name="rules")


def _complete_stage(typed: str) -> list[str]:
    from advisor.advice.rulebook import STAGES

    return [stage for stage in STAGES if stage.startswith(typed)]


@rules_app.command("list", epilog="Example: crackwright rules list --stage method")
def list_rules(
    stage: Annotated[
        str | None,
        typer.Option(
            metavar="STAGE", help="Only rules of this stage.", autocompletion=_complete_stage
        ),
    ] = None,
    subject: Annotated[
        str | None, typer.Option(metavar="WORD", help="Only subjects that contain this.")
    ] = None,
    as_markdown: Annotated[bool, typer.Option("--markdown", help="A page to review.")] = False,
    no_color: PlainOption = False,
) -> None:
    """List the rules by stage and subject."""
    from advisor.advice.rulebook import STAGES
    from advisor.case.problems import InputProblem
    from advisor.cli.rules_view import markdown, show_list
    from advisor.reasoning.cursor import nearest

    if stage is not None and stage not in STAGES:
        raise InputProblem(repr(stage), nearest(stage, STAGES), field="--stage")
    book = rulebook()
    wanted = [
        rule
        for rule in book.rules
        if (stage is None or STAGES[rule.stage] == stage)
        and (subject is None or subject.casefold() in rule.subject.casefold())
    ]
    if as_markdown:
        print_text(markdown(wanted, book))
    else:
        show_list(wanted, console(no_color=no_color))


@rules_app.command("show", epilog="Example: crackwright rules show braze.too-hot")
def show_rule(
    rule_id: Annotated[str, typer.Argument(metavar="ID", help="The id of a rule.")],
    no_color: PlainOption = False,
) -> None:
    """Show one rule as a handbook entry."""
    from advisor.case.problems import InputProblem
    from advisor.cli.rules_view import show_entry
    from advisor.reasoning.cursor import nearest

    book = rulebook()
    if rule_id not in book.rule_by_id:
        raise InputProblem(repr(rule_id), nearest(rule_id, book.rule_by_id), field="ID")
    show_entry(book.rule_by_id[rule_id], book, console(no_color=no_color))


@rules_app.command("sources", epilog="Example: crackwright rules sources")
def show_sources(no_color: PlainOption = False) -> None:
    """List the sources, and the rules, formulas and tables that rest on each."""
    from advisor.cli.rules_view import show_sources as show

    show(rulebook(), console(no_color=no_color))
