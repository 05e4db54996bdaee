"""The work itself: steps, inspection and test plan, parts and tools, time, record."""

from __future__ import annotations

from advisor.sheet.job import Job
from advisor.sheet.model import (
    Block,
    Bullets,
    Column,
    Pairs,
    Paragraph,
    Section,
    Table,
    Task,
    Tasks,
)
from advisor.sheet.parts_list import parts_list
from advisor.sheet.picture import Picture
from advisor.sheet.times import Circumstances, TimeLine, clock, estimate, span
from advisor.sheet.words import plain, runs, sentence

_DEVIATION_LINES = 4


def steps(job: Job) -> Section:
    """The procedure with boxes to tick and hold points to sign."""
    going = job.advice.go_ahead
    tasks = tuple(
        Task(step.n, step.do, tuple(sentence(c) for c in step.cautions), step.hold_point, step.rule)
        for step in job.advice.steps
    )
    said = (
        "Tick each step when it is done. HOLD: work stops until the named person has signed."
        if going
        else "Do this, and nothing else, until somebody entitled to it has decided."
    )
    heading = "Steps" if going else "What to do meanwhile"
    return Section("steps", heading, (Paragraph(said), Tasks(tasks)), new_page=going)


def inspections(job: Job) -> Section:
    """The inspection and test plan."""
    columns = (
        Column("when", 1.8),
        Column("method", 2.6),
        Column("what and how", 7),
        Column("accept if", 5.5),
        Column("point", 1.5),
        Column("result", 2.6, blank=True),
        Column("signed, date", 2.6, blank=True),
    )
    rows = tuple(
        (
            one.when,
            plain(one.method),
            sentence(one.what) + (f" Done by: {one.who}." if one.who else ""),
            sentence(one.acceptance),
            "HOLD" if one.hold_point else "",
            "",
            "",
        )
        for one in job.advice.inspections
    )
    caption = "HOLD: work stops until the result is signed by somebody other than the doer"
    return Section("inspections", "Inspection and test plan", (Table(caption, columns, rows),))


def parts(job: Job) -> Section:
    """Parts, materials, tools and instruments."""
    items = parts_list(job.advice, job.book.knowledge, job.units)
    columns = (
        Column("item", 9),
        Column("kind", 2.2),
        Column("needed", 1.6, True),
        Column("spare", 1.4, True),
        Column("have in hand", 3.4),
        Column("batch, number, due date", 3.6, blank=True),
    )
    rows = tuple(
        (
            item.name,
            item.kind,
            "" if item.needed is None else str(item.needed),
            str(item.spare) if item.spare else "",
            item.total,
            "",
        )
        for item in items
    )
    table = Table("Check off before the first cut", columns, rows)
    return Section("parts", "Parts and tools", (table,))


def times(job: Job, picture: Picture) -> Section:
    """The time estimate with its basis."""
    crack = sum(_length(line) for line in picture.lines)
    about = Circumstances(crack, job.word("material"), job.word("site"))
    found = estimate(job.advice, job.book.knowledge, about)
    columns = (
        Column("work", 7),
        Column("count", 1.5, True),
        Column("one takes", 3.5),
        Column("factor", 1.6, True),
        Column("hands-on", 4),
        Column("by itself", 3.5),
    )
    rows = tuple(_time_row(line) for line in found.lines)
    totals = [("hands-on", span(found.low, found.high)), ("plan with", clock(found.plan_with))]
    if found.unattended[1]:
        totals.append(("runs by itself", span(*found.unattended)))
    basis = list(found.basis)
    if found.untimed:
        basis.append(f"not counted, no time is on file: steps {runs(found.untimed)}")
    basis += [f"not counted: {missing}" for missing in found.missing]
    basis.append("times are habits of the trade for one person; never plan with the low end")
    blocks: tuple[Block, ...] = (
        Pairs(tuple(totals)),
        Table("What is counted", columns, rows),
        Bullets(tuple(sentence(one) for one in basis)),
    )
    return Section("time", "Time", blocks)


def _length(points: tuple[tuple[float, float], ...]) -> float:
    from advisor.engineering.polyline import Polyline

    return Polyline(points).length


def _time_row(line: TimeLine) -> tuple[str, ...]:
    return (
        line.name + (f" ({line.note})" if line.note else ""),
        str(line.count),
        span(*line.each),
        f"{line.factor:g}",
        span(line.low, line.high),
        span(*line.unattended) if line.unattended[1] else "",
    )


def record(job: Job) -> Section:
    """What is written down at the end, deviations, and the release."""
    wide = (Column("item", 4), Column("entry", 8, blank=True))
    entries = tuple((what, "") for what in _RECORDED)
    deviations = (
        Column("what differs from the plan", 6, blank=True),
        Column("decided (as is, rework, reject)", 4, blank=True),
        Column("by, date", 3, blank=True),
    )
    release = (
        Column("released", 4),
        Column("name and signature", 5, blank=True),
        Column("date", 2, blank=True),
    )
    blocks: tuple[Block, ...] = (
        Table("Record", wide, entries, tall=True),
        Table("Deviations", deviations, (("",) * 3,) * _DEVIATION_LINES, tall=True),
        Table("Release", release, tuple((who, "", "") for who in _RELEASED), tall=True),
    )
    return Section("record", "Record and release", blocks)


_RECORDED = (
    "cause, and how it was put right",
    "penetrant, cleaner, developer: batch and expiry",
    "pins, keys, inserts: certificate or lot",
    "sealant, filler, resin: designation and lot",
    "gauges and instruments: number and due date",
    "persons and qualifications",
    "risk that is left, told to",
    "next look on",
)
_RELEASED = (
    "work done as planned or as deviated above (doer)",
    "record looked through and part released (not the doer)",
)
