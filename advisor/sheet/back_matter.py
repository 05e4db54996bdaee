"""The last sections: doubts and margins, the case as answered, sources and rule base."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.explain import MARK_SAYS
from advisor.advice.model import Margin
from advisor.case.model import UNKNOWN
from advisor.sheet.job import Job, answer_says
from advisor.sheet.model import Block, Column, Pairs, Paragraph, Section, Table
from advisor.sheet.plots import bars, margins_figure
from advisor.sheet.safety import hazards
from advisor.sheet.words import plain, sentence

_MOST_MARGINS = 12
_SIZES = (
    "true_wall",
    "wall_strength",
    "pin_diameter",
    "pin_count",
    "least_engaged_threads",
    "restored_fraction",
    "inserts_feasible",
    "preheat_min",
    "preheat_by_formula",
    "interpass_max",
    "filler",
    "heating_energy",
    "test_pressure",
)


def questions(job: Job) -> Section:
    """What to find out, what was taken for granted, and where the advice would turn."""
    advice = job.advice
    blocks: list[Block] = []
    if advice.next_questions:
        blocks.append(_questions(job))
    if advice.assumptions:
        columns = (Column("taken for granted", 7), Column("settled by", 4), Column("rule", 4))
        rows = tuple(
            (sentence(one.text), plain(one.question or "nothing that is asked"), one.rule)
            for one in advice.assumptions
        )
        blocks.append(Table("Assumptions", columns, rows))
    if not advice.next_questions and not advice.assumptions:
        blocks.append(
            Paragraph(
                "No answer that could still change the plan is open, and nothing was assumed."
            )
        )
    if advice.go_ahead and advice.margins:
        blocks += _margins(job, advice.margins)
    return Section("questions", "Open questions, assumptions, margins", tuple(blocks))


def _questions(job: Job) -> Table:
    columns = (
        Column("question", 5),
        Column("how to find out", 6),
        Column("decides", 4),
        Column("answer", 3, blank=True),
    )
    rows = tuple(
        (one.question, sentence(one.how), "; ".join(one.decides), "")
        for one in job.advice.next_questions
    )
    caption = "Open questions, the one that decides most first"
    return Table(caption, columns, rows, tall=True)


def _margins(job: Job, margins: tuple[Margin, ...]) -> Iterator[Block]:
    found = bars(margins, job.units)
    if found:
        yield margins_figure(found)
    columns = (Column("number", 4), Column("is", 3), Column("turns at", 3), Column("then", 8))
    rows = tuple(
        (
            plain(one.fact),
            job.show(one.value),
            job.show(one.flips_at)
            + (" (inside the measuring uncertainty)" if one.inside_uncertainty else ""),
            sentence(f"{one.changes} [{one.rule}]"),
        )
        for one in margins[:_MOST_MARGINS]
    )
    yield Table("Where the advice would turn, the closest first", columns, rows)


def answers(job: Job) -> Section:
    """The case as it was answered."""
    rows = []
    for name, answer in job.case.answers.items():
        question = job.book.questionnaire.by_id.get(name)
        text = question.text if question else plain(name)
        value = (
            "not known"
            if answer.value is UNKNOWN
            else answer_says(job.book, name, answer.value, job.units)
        )
        rows.append((text, value))
    columns = (Column("question", 6), Column("answer", 6))
    return Section("answers", "The case as answered", (Table("Answers", columns, tuple(rows)),))


def sources(job: Job) -> Section:
    """Sources of what this sheet says, and the rule base that said it."""
    listed = job.book.knowledge.sources
    rows = []
    for ref in dict.fromkeys(_refs(job)):
        source = listed[ref]
        place = ", ".join(p for p in (source.edition, source.clause) if p)
        rows.append((source.title, place, _seen(source.mark), ref))
    columns = (
        Column("title", 6),
        Column("edition, clause", 5),
        Column("how far it was seen", 4),
        Column("key", 4),
    )
    advice = job.advice
    ran = " and ".join(advice.program.reasoners["ran"])
    agreed = "and agreed" if advice.program.reasoners["agreed"] else "alone, nothing checked it"
    stamp = (
        ("program", f"{advice.program.name} {advice.program.version}"),
        ("rule base", advice.rulebook.version),
        ("digest of rules and knowledge", f"sha256 {advice.rulebook.digest}"),
        ("reasoners", f"{ran} {agreed}"),
    )
    return Section(
        "sources",
        "Sources and rule base",
        (
            Table("Sources of the rules, tables and formulas used", columns, tuple(rows)),
            Pairs(stamp),
        ),
    )


def _seen(mark: str) -> str:
    return next((says for name, says in MARK_SAYS.items() if name == mark), mark)


def _refs(job: Job) -> Iterator[str]:
    advice, rules = job.advice, job.book.rule_by_id
    used = [*advice.verdict.because, *(step.rule for step in advice.steps)]
    for one in advice.assumptions:
        yield from advice.trace[one.fact].sources if one.fact in advice.trace else ()
    for rule in used:
        yield from (ref.ref for ref in rules[rule].sources)
    for approval in advice.verdict.approval:
        for rule in approval.rules:
            yield from (ref.ref for ref in rules[rule].sources)
    for method in advice.methods:
        if method.standing == "recommended":
            yield from (ref for reason in method.reasons for ref in reason.sources)
    for inspection in advice.inspections:
        yield from inspection.sources
    for caution in advice.cautions:
        yield from caution.sources
    for hazard in hazards(advice, job.case, job.book.knowledge):
        yield from hazard.sources
    if advice.go_ahead:
        for name in _SIZES:
            if name in advice.trace:
                yield from advice.trace[name].sources
