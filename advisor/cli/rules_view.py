"""The rule base in the terminal and as a page."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from pathlib import Path

from rich.console import Console
from rich.table import Table
from rich.text import Text

from advisor.advice.explain import MARK_SAYS
from advisor.advice.phrases import effect_says
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.reasoning.rules import Rule
from advisor.reasoning.wording import condition_says


def show_list(rules: list[Rule], console: Console) -> None:
    """Rules by stage and subject, one line each."""
    for (stage, subject), group in groupby(rules, key=lambda rule: (rule.stage, rule.subject)):
        table = Table(
            title=f"{STAGES[stage]}: {subject}", title_justify="left", show_header=False, box=None
        )
        table.add_column("id", no_wrap=True)
        table.add_column("title")
        for rule in group:
            table.add_row(rule.id, rule.title)
        console.print(table)
        console.print()
    console.print(f"{len(rules)} rules")


def show_entry(rule: Rule, book: Rulebook, console: Console) -> None:
    """One rule as a handbook entry."""
    for heading, text in entry_of(rule, book):
        console.print(Text.assemble((f"{heading}: " if heading else "", "bold"), text))


def entry_of(rule: Rule, book: Rulebook) -> list[tuple[str, str]]:
    """A rule as headed paragraphs."""
    entry = [
        ("", f"{rule.title} [{rule.id}]"),
        ("Stage", f"{STAGES[rule.stage]} ({rule.subject})"),
        ("When", condition_says(rule.when, book.vocabulary)),
        ("Then", "; ".join(_effects(rule, book))),
        ("Because", rule.because),
        ("Caution", rule.caution),
        ("Who must agree", rule.authority),
        ("Not for", rule.not_for),
        ("Source", "; ".join(_sources(rule, book))),
        ("Scenarios that use it", ", ".join(scenarios_using(rule, book)) or "none"),
        ("Stands in", f"{Path(rule.file).name}, line {rule.line}"),
    ]
    return [(heading, text) for heading, text in entry if text]


def _effects(rule: Rule, book: Rulebook) -> Iterable[str]:
    for effect in rule.then:
        yield effect.text if effect.kind == "warn" else effect_says(effect, book)


def _sources(rule: Rule, book: Rulebook) -> Iterable[str]:
    for ref in rule.sources:
        source = book.knowledge.sources[ref.ref]
        parts = [source.title, source.edition, ref.clause]
        yield ", ".join(p for p in parts if p) + f" [{MARK_SAYS[ref.seen]}]"


def scenarios_using(rule: Rule, book: Rulebook) -> list[str]:
    """Names of the scenarios in which a rule certainly fires."""
    from advisor.advice.scenarios import scenario_cases
    from advisor.advice.thinking import think

    names = []
    for name, case in scenario_cases(book):
        if think(case, book, judge_only=True).truth_of(rule.id) == "true":
            names.append(name)
    return names


def show_markdown(rules: list[Rule], book: Rulebook) -> None:
    """The rules as one page, to be reviewed line by line."""
    print("# The rule base\n")
    print(f"Version {book.version}, digest `{book.digest[:16]}`, {len(rules)} rules.\n")
    for (stage, subject), group in groupby(rules, key=lambda rule: (rule.stage, rule.subject)):
        print(f"\n## {STAGES[stage]}: {subject}\n")
        for rule in group:
            print(f"### {rule.title}\n\n`{rule.id}`\n")
            print(f"- When: {condition_says(rule.when, book.vocabulary)}")
            print(f"- Then: {'; '.join(_effects(rule, book))}")
            print(f"- Because: {rule.because}")
            for heading, text in (
                ("Caution", rule.caution),
                ("Who must agree", rule.authority),
                ("Not for", rule.not_for),
            ):
                if text:
                    print(f"- {heading}: {text}")
            print(f"- Source: {'; '.join(_sources(rule, book))}\n")


def show_sources(book: Rulebook, console: Console) -> None:
    """Each source with its mark and what rests on it."""
    table = Table(title="Sources and what rests on them", title_justify="left")
    for heading in ("source", "seen", "rules", "formulas", "table cells"):
        table.add_column(heading, justify="left" if heading in ("source", "seen") else "right")
    rules = _count(ref.ref for rule in book.rules for ref in rule.sources)
    formulas: dict[str, list[str]] = {}
    for formula in FORMULAS:
        for ref in formula.sources:
            formulas.setdefault(ref.ref, []).append(formula.id)
    cells = _count(
        ref
        for one in book.knowledge.tables.values()
        for row in one.rows.values()
        for cell in row.values()
        for ref in cell.source
    )
    for source in book.knowledge.sources.values():
        title = ", ".join(part for part in (source.title, source.edition, source.clause) if part)
        table.add_row(
            f"{source.id}: {title}",
            source.mark,
            str(rules.get(source.id, 0)),
            ", ".join(formulas.get(source.id, [])),
            str(cells.get(source.id, 0)),
        )
    console.print(table)


def _count(refs: Iterable[str]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for ref in refs:
        counts[ref] = counts.get(ref, 0) + 1
    return counts
