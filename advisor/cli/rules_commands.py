"""``rules …``: the rule base, read as a book."""

from __future__ import annotations

from typing import Annotated

import typer

from advisor.cli.shared import console, rulebook

rules_app = typer.Typer(
    help="Look into the rule base: list, show, sources.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def register(app: typer.Typer) -> None:
    """Add the commands of this group."""
    app.add_typer(rules_app, name="rules")


@rules_app.command("list", epilog="Example: crackwright rules list --stage method")
def list_rules(
    stage: Annotated[str | None, typer.Option(help="Only rules of this stage.")] = None,
    subject: Annotated[str | None, typer.Option(help="Only subjects that contain this.")] = None,
    markdown: Annotated[bool, typer.Option("--markdown", help="A page to review.")] = False,
) -> None:
    """List the rules by stage and subject."""
    from advisor.advice.rulebook import STAGES
    from advisor.case.problems import InputProblem
    from advisor.cli.rules_view import show_list, show_markdown
    from advisor.reasoning.cursor import nearest

    if stage is not None and stage not in STAGES:
        raise InputProblem(f"stage {stage!r}", nearest(stage, STAGES), field="--stage")
    book = rulebook()
    wanted = [
        rule
        for rule in book.rules
        if (stage is None or STAGES[rule.stage] == stage)
        and (subject is None or subject.casefold() in rule.subject.casefold())
    ]
    if markdown:
        show_markdown(wanted, book)
    else:
        show_list(wanted, console())


@rules_app.command("show", epilog="Example: crackwright rules show braze.too-hot")
def show_rule(rule_id: Annotated[str, typer.Argument(metavar="ID")]) -> None:
    """Show one rule as a handbook entry."""
    from advisor.case.problems import InputProblem
    from advisor.cli.rules_view import show_entry
    from advisor.reasoning.cursor import nearest

    book = rulebook()
    if rule_id not in book.rule_by_id:
        raise InputProblem(f"rule {rule_id!r}", nearest(rule_id, book.rule_by_id), field="ID")
    show_entry(book.rule_by_id[rule_id], book, console())


@rules_app.command("sources", epilog="Example: crackwright rules sources")
def show_sources() -> None:
    """List the sources, and the rules, formulas and tables that rest on each."""
    from advisor.cli.rules_view import show_sources as show

    show(rulebook(), console())
