"""The rule base in the terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import groupby

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from advisor.advice.explain import MARK_SAYS
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.cli.rule_entry import Paragraph, entry_of, place_says, scenarios_of, stage_says
from advisor.reasoning.rules import Rule

_SCENARIOS = 5
"""Scenarios named in an entry; the others are counted."""

_MARKS: Mapping[str, str] = {str(mark): says for mark, says in MARK_SAYS.items()}


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
    console.print(Text(f"{rule.title} [{rule.id}]", style="bold"))
    _show(Paragraph("Stage", stage_says(rule)), console)
    for paragraph in entry_of(rule, book):
        _show(paragraph, console)
    used = scenarios_of([rule], book)[rule.id]
    _show(_some_of(used), console)
    _show(Paragraph("Stands in", place_says(rule)), console)


def _show(paragraph: Paragraph, console: Console) -> None:
    said = f" {paragraph.text}" if paragraph.text else ""
    console.print(Text.assemble((f"{paragraph.heading}:", "bold"), said))
    for depth, text in paragraph.points:
        point = Table.grid()
        point.add_row("- ", Text(text))
        console.print(Padding(point, (0, 0, 0, 2 * (depth + 1))))


def _some_of(names: list[str]) -> Paragraph:
    """The first of the scenarios that use a rule, and how many there are."""
    if not names:
        return Paragraph("Scenarios that use it", "none")
    points = [(0, name) for name in names[:_SCENARIOS]]
    more = len(names) - _SCENARIOS
    if more > 0:
        points.append((0, f"and {more} more"))
    return Paragraph("Scenarios that use it", str(len(names)), tuple(points))


def show_sources(book: Rulebook, console: Console) -> None:
    """Each source with its mark and what rests on it."""
    resting = _resting(book)
    for source in book.knowledge.sources.values():
        console.print(
            Text.assemble((source.id, "bold"), f" [{_MARKS.get(source.mark, source.mark)}]")
        )
        parts = (source.title, source.edition, source.clause)
        title = ", ".join(part for part in parts if part and part != "not stated")
        console.print(Padding(Text(title), (0, 0, 0, 3)))
        console.print(
            Padding(
                Text(resting.get(source.id, "no rule, table or formula cites it")), (0, 0, 0, 3)
            )
        )
    console.print(f"{len(book.knowledge.sources)} sources")


def _resting(book: Rulebook) -> dict[str, str]:
    """What rests on each source, in words."""
    rules = Counter(ref.ref for rule in book.rules for ref in rule.sources)
    cells = Counter(
        ref
        for one in book.knowledge.tables.values()
        for row in one.rows.values()
        for cell in row.values()
        for ref in cell.source
    )
    formulas: dict[str, list[str]] = {}
    for formula in FORMULAS:
        for name in dict.fromkeys(ref.ref for ref in formula.sources):
            formulas.setdefault(name, []).append(formula.id)
    return {
        name: "; ".join(_parts(rules[name], cells[name], formulas.get(name, [])))
        for name in {*rules, *cells, *formulas}
    }


def _parts(rules: int, cells: int, formulas: list[str]) -> Iterable[str]:
    if rules:
        yield "1 rule" if rules == 1 else f"{rules} rules"
    if cells:
        yield "1 table cell" if cells == 1 else f"{cells} table cells"
    if formulas:
        yield f"formula{'s' if len(formulas) > 1 else ''} {', '.join(formulas)}"
