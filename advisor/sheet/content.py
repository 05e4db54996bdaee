"""Building a sheet: which sections a job needs, in which order."""

from __future__ import annotations

from advisor.advice.advise import read_off
from advisor.advice.phrases import Units
from advisor.advice.thinking import Thinking
from advisor.sheet import back_matter, front_matter, plan_sections, work_sections
from advisor.sheet.both_units import in_both_units
from advisor.sheet.data import data_text
from advisor.sheet.drawing import layout_figures, words_only
from advisor.sheet.job import DEFER, Job
from advisor.sheet.model import PAPERS, Figure, PaperName, Section, Sheet
from advisor.sheet.picture import Picture, picture_of
from advisor.sheet.template import template_figure, why_no_template

_DIGEST_SHOWN = 12


def build_sheet(
    thinking: Thinking,
    *,
    paper: PaperName = "a4",
    units: Units = "si",
    template: bool = False,
) -> Sheet:
    """The job sheet of a case thought through.

    Args:
        thinking: the case.
        paper: what it will be printed on.
        units: for people.
        template: add a drilling template at full size, where it fits the paper.

    Raises:
        NoAdvice: no advice may be given.
    """
    job = Job(thinking, read_off(thinking, units), PAPERS[paper], units, template)
    picture = picture_of(thinking, job.advice.stitching) if job.advice.go_ahead else None
    sections = _go_ahead(job, picture) if picture else _no_go_ahead(job)
    if units == "us":
        sections = tuple(map(in_both_units, sections))
    embedded = job.advice if units == "si" else read_off(thinking)
    remarks = []
    if template and not any(section.id == "template" for section in sections):
        remarks.append(f"no drilling template: {why_no_template(picture, job.paper)}")
    return Sheet(
        job=job.case.reference,
        title=job.case.title,
        verdict=job.advice.verdict.value,
        headline=front_matter.HEADLINES[job.advice.verdict.value],
        stamp=_stamp(job),
        paper=job.paper,
        units=units,
        sections=sections,
        layout=_layout(job, picture),
        data=data_text(thinking.case, embedded),
        remarks=tuple(remarks),
    )


def _stamp(job: Job) -> str:
    program, book = job.advice.program, job.advice.rulebook
    return (
        f"{program.name} {program.version}, rule base {book.version} "
        f"({book.digest[:_DIGEST_SHOWN]}). {DEFER}"
    )


def _go_ahead(job: Job, picture: Picture) -> tuple[Section, ...]:
    advice = job.advice
    sections = [
        front_matter.verdict(job),
        front_matter.the_job(job),
        front_matter.method(job),
        front_matter.safety(job),
        plan_sections.drawing(job, picture),
    ]
    if advice.stitching:
        sections.append(plan_sections.pins(job, advice.stitching, picture))
        if advice.stitching.keys:
            sections.append(plan_sections.keys(job, advice.stitching.keys, picture))
    if advice.inserts:
        sections.append(plan_sections.inserts(job, advice.inserts))
    if advice.heat:
        sections.append(plan_sections.heat(job, advice.heat))
    sections += [
        work_sections.steps(job),
        work_sections.inspections(job),
        work_sections.parts(job),
        work_sections.times(job, picture),
        back_matter.questions(job),
        work_sections.record(job),
        back_matter.answers(job),
        back_matter.sources(job),
    ]
    figure = template_figure(picture, job.paper, job.units) if job.template else None
    if figure:
        sections.append(Section("template", "Drilling template 1 : 1", (figure,), new_page=True))
    return tuple(sections)


def _no_go_ahead(job: Job) -> tuple[Section, ...]:
    sections = [front_matter.verdict(job), work_sections.steps(job)]
    if job.advice.next_questions or job.advice.assumptions:
        sections.append(back_matter.questions(job))
    if job.advice.inspections:
        sections.append(work_sections.inspections(job))
    sections += [
        front_matter.safety(job),
        front_matter.the_job(job),
        back_matter.answers(job),
        back_matter.sources(job),
    ]
    return tuple(sections)


def _layout(job: Job, picture: Picture | None) -> Figure:
    """The drawing on its own, as one piece however long it is."""
    if picture is None:
        headline = front_matter.HEADLINES[job.advice.verdict.value]
        return words_only("layout", headline, ("No drawing is given without a go-ahead.", DEFER))
    (figure,) = layout_figures(picture, job.units, height=float("inf"))
    return figure
