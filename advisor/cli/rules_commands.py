"""``rules …``: the rule base, read as a book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli import prove_command
from advisor.cli.exits import tell
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


@rules_app.command("list", epilog="Example: crackwright rules list --markdown -o rules.md")
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
    as_markdown: Annotated[
        bool, typer.Option("--markdown", help="A page in Markdown, to be reviewed rule by rule.")
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="FILE.md", help="Write that page to a file."),
    ] = None,
    no_color: PlainOption = False,
) -> None:
    """List the rules by stage and subject."""
    from advisor.advice.rulebook import STAGES
    from advisor.case.problems import InputProblem
    from advisor.cli.rules_page import page
    from advisor.cli.rules_view import show_list
    from advisor.reasoning.cursor import nearest

    if stage is not None and stage not in STAGES:
        raise InputProblem(repr(stage), nearest(stage, STAGES), field="--stage")
    if output is not None:
        _check_page(output)
    book = rulebook()
    wanted = [
        rule
        for rule in sorted(book.rules, key=lambda rule: rule.stage)
        if (stage is None or STAGES[rule.stage] == stage)
        and (subject is None or subject.casefold() in rule.subject.casefold())
    ]
    if output is not None:
        _write_page(output, page(wanted, book))
        tell(f"{output}: {len(wanted)} rules")
    elif as_markdown:
        print_text(page(wanted, book))
    else:
        show_list(wanted, console(no_color=no_color))


def _check_page(path: Path) -> None:
    """Refuse what cannot become a page, before any work is done."""
    from advisor.case.problems import InputProblem

    if path.suffix.lower() != ".md":
        raise InputProblem(f"a file named {path.name}", "a name that ends in .md", field="-o")
    if path.is_dir():
        raise InputProblem("a folder", "the name of a file to write", field=f"-o {path}")
    if not path.parent.is_dir():
        raise InputProblem("no such folder", "a folder that exists", field=f"-o {path}")


def _write_page(path: Path, text: str) -> None:
    from advisor.sheet.output import write_file

    write_file(path, text.encode("utf-8"))


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
