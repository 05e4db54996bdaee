"""The rule base in the terminal and as a page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import groupby
from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from advisor.advice.explain import MARK_SAYS, source_says
from advisor.advice.phrases import effect_says
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.reasoning.rules import Rule
from advisor.reasoning.wording import condition_says

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
    for heading, text in entry_of(rule, book):
        if heading:
            console.print(Text.assemble((f"{heading}: ", "bold"), text))
        else:
            console.print(Text(text, style="bold"))


def entry_of(rule: Rule, book: Rulebook, *, scenarios: bool = True) -> list[tuple[str, str]]:
    """A rule as headed paragraphs."""
    used = ", ".join(scenarios_using(rule, book)) if scenarios else ""
    entry = [
        ("", f"{rule.title} [{rule.id}]"),
        ("Stage", f"{STAGES[rule.stage]} ({rule.subject})"),
        ("When", condition_says(rule.when, book.vocabulary)),
        ("Then", "; ".join(_effects(rule, book))),
        ("Because", rule.because),
        ("Caution", rule.caution),
        ("Who must agree", rule.authority),
        ("Not for", rule.not_for),
        ("Said", "only while a repair goes ahead" if rule.only_at_work else ""),
        ("Source", "; ".join(_sources(rule, book))),
        ("Scenarios that use it", used or "none"),
        ("Stands in", f"{Path(rule.file).name}, line {rule.line}"),
    ]
    return [(heading, text) for heading, text in entry if text]


def _effects(rule: Rule, book: Rulebook) -> Iterable[str]:
    for effect in rule.then:
        yield effect.text if effect.kind == "warn" else effect_says(effect, book)


def _sources(rule: Rule, book: Rulebook) -> Iterable[str]:
    return (source_says(book, ref.ref, ref.clause, ref.seen) for ref in rule.sources)


def scenarios_using(rule: Rule, book: Rulebook) -> list[str]:
    """Names of the scenarios in which a rule certainly fires."""
    from advisor.advice.scenarios import scenario_cases
    from advisor.advice.thinking import think

    names = []
    for name, case in scenario_cases(book):
        if think(case, book, judge_only=True).truth_of(rule.id) == "true":
            names.append(name)
    return names


def markdown(rules: list[Rule], book: Rulebook) -> str:
    """The rules as one page, to be reviewed line by line."""
    lines = ["# The rule base", ""]
    lines.append(f"Version {book.version}, digest `{book.digest[:16]}`, {len(rules)} rules.")
    for (stage, subject), group in groupby(rules, key=lambda rule: (rule.stage, rule.subject)):
        lines += ["", f"## {STAGES[stage]}: {subject}"]
        for rule in group:
            lines += ["", f"### {rule.title}", "", f"`{rule.id}`", "", *_points(rule, book)]
    return "\n".join(lines) + "\n"


def _points(rule: Rule, book: Rulebook) -> Iterable[str]:
    left_out = ("", "Stage", "Scenarios that use it", "Stands in")
    for heading, text in entry_of(rule, book, scenarios=False):
        if heading not in left_out:
            yield f"- {heading}: {text}"


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
