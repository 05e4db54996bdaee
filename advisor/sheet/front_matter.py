"""The first sections: verdict and who must agree, the job, what can hurt somebody, the method."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.model import MethodStanding
from advisor.sheet.job import DEFER, Job
from advisor.sheet.model import (
    Block,
    Bullets,
    Column,
    Notice,
    Pairs,
    Paragraph,
    Section,
    Table,
)
from advisor.sheet.safety import hazards
from advisor.sheet.words import plain, sentence

HEADLINES = {
    "repair": "REPAIR AS PLANNED HERE",
    "repair_with_approval": "REPAIR ONLY AFTER THOSE BELOW HAVE SIGNED",
    "investigate": "DO NOT START WORK: FIND OUT FIRST",
    "refer": "STOP: NOT THIS SHOP'S DECISION, REFER IT",
    "replace": "DO NOT REPAIR: REPLACE THE PART",
}
"""The verdict in large words."""

_MEANS = {
    "repair": "The work may go ahead as planned on this sheet.",
    "repair_with_approval": "Nobody cuts, drills or heats before every line below is signed.",
    "investigate": (
        "There is no go-ahead. No sizes are given, because what they hang on is not known yet."
    ),
    "refer": (
        "There is no go-ahead. Tag the part, leave the crack as it is, and put it before those "
        "named below. No sizes are given."
    ),
    "replace": "There is no go-ahead for a repair. No sizes are given.",
}
_BEFORE_WORK = "Who must agree, in writing, before work starts"
_WHO = {
    "repair": _BEFORE_WORK,
    "repair_with_approval": _BEFORE_WORK,
    "investigate": "Who would have to agree, in writing, should it come to a repair",
    "refer": "Who decides, and who would have to agree, in writing, to any repair",
    "replace": "Who has a say, in writing",
}
_REASONS_SHOWN = 4
_AGAINST = ("rule_out", "not_allowed")


def verdict(job: Job) -> Section:
    """The verdict in large words, why, and who must agree."""
    value = job.advice.verdict.value
    rules = [job.book.rule_by_id[rule] for rule in job.advice.verdict.because]
    blocks: list[Block] = [
        Notice(HEADLINES[value], (_MEANS[value], DEFER)),
        Bullets(tuple(f"{rule.title}. {rule.because} [{rule.id}]" for rule in rules)),
    ]
    if job.advice.verdict.approval:
        blocks.append(_approvals(job))
    return Section("verdict", "Verdict", tuple(blocks))


def _approvals(job: Job) -> Table:
    rows = job.book.knowledge.tables["approvals"].rows
    found = []
    for approval in job.advice.verdict.approval:
        row = rows[approval.id]
        wants = str(row["asks_for"].value) if "asks_for" in row else ""
        words = str(row["print"].value) if "print" in row else ""
        said = f"{words} Wants to see: {wants}." if wants else words
        if approval.reference:
            said += f" In general: {approval.reference}."
        found.append((approval.who, said.strip(), "", ""))
    return Table(
        _WHO[job.advice.verdict.value],
        (
            Column("who", 3),
            Column("on what", 7),
            Column("name and signature", 4, blank=True),
            Column("date", 2, blank=True),
        ),
        tuple(found),
        tall=True,
    )


def the_job(job: Job) -> Section:
    """What the job is, and lines to fill in by hand."""
    known = [("job", job.case.reference), ("part", job.case.title or "no title")]
    for name, says in _KNOWN.items():
        if job.case.value(name) is not None:
            known.append((says, job.answer(name)))
    if job.case.notes:
        known.append(("notes", job.case.notes))
    blanks = tuple((what, "") for what in _BLANKS)
    columns = (Column("to be filled in", 2), Column("entry", 5, blank=True))
    return Section(
        "job", "The job", (Pairs(tuple(known)), Table("Received", columns, blanks, tall=True))
    )


_KNOWN = {
    "part_kind": "kind of part",
    "material": "metal",
    "material_grade": "grade",
    "crack_location": "crack in",
    "crack_length": "length of the crack",
    "wall_thickness": "least wall measured",
    "fluid": "fluid",
    "pressure": "working pressure",
    "temperature_max": "hottest in service",
    "load": "load",
    "site": "place of work",
}
_BLANKS = ("owner", "part number and serial number", "received on, by", "photographs and drawings")


def safety(job: Job) -> Section:
    """Hazards with protection and references, and what to beware of."""
    found = hazards(job.advice, job.case, job.book.knowledge)
    blocks: list[Block] = []
    stopping = [hazard.name for hazard in found if hazard.stops_work]
    if stopping:
        words = "WORK WAITS UNTIL THIS IS SETTLED"
        blocks.append(Notice(words, tuple(sentence(name) for name in stopping)))
    if found:
        rows = tuple(
            (
                hazard.name + (" (work waits)" if hazard.stops_work else ""),
                sentence(hazard.rule),
                hazard.protection,
                hazard.reference or "local rules",
            )
            for hazard in found
        )
        columns = (
            Column("hazard", 3),
            Column("rule", 7),
            Column("wear or use", 4),
            Column("regulator, in general", 4),
        )
        blocks.append(Table("Hazards of this job and personal protection", columns, rows))
    blocks.append(Paragraph("Beware", strong=True))
    blocks.append(Bullets(tuple(sentence(caution.text) for caution in job.advice.cautions)))
    return Section("safety", "Safety first", tuple(blocks))


def method(job: Job) -> Section:
    """The method, why, and why not the others."""
    chosen = next(m for m in job.advice.methods if m.standing == "recommended")
    row = job.book.knowledge.tables["methods"].rows[chosen.method]
    name = str(row["name"].value) if "name" in row else plain(chosen.method)
    reasons = [r.text for r in chosen.reasons if r.effect in ("allow", "favour")]
    against = [f"Against it: {r.text}" for r in chosen.reasons if r.effect == "disfavour"]
    rows = tuple(
        (plain(other.method), plain(other.standing), _why(other))
        for other in job.advice.methods
        if other is not chosen
    )
    columns = (Column("method", 4), Column("standing", 3), Column("why", 9))
    return Section(
        "method",
        "Method",
        (
            Paragraph(name, strong=True),
            Bullets(tuple(sentence(text) for text in [*reasons, *against])),
            Table("Methods not taken", columns, rows),
        ),
    )


def _why(other: MethodStanding) -> str:
    texts = [reason.text for reason in other.reasons if reason.effect in _AGAINST]
    if not texts:
        texts = [reason.text for reason in other.reasons if reason.effect == "disfavour"]
    return " ".join(_sentences(texts[:_REASONS_SHOWN])) or "Less fitting here."


def _sentences(texts: list[str]) -> Iterator[str]:
    yield from (sentence(text) for text in dict.fromkeys(texts))
