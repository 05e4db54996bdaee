"""The rule book as the prover sees it: tables, formulas and answers around the rules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.advice.proofs.formula_laws import RANGES, laws
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import cell_value
from advisor.case.problems import InputProblem
from advisor.case.questions import Question
from advisor.case.reading import MAX_COUNT, read_answer
from advisor.case.units import DIMENSIONS
from advisor.reasoning.facts_file import TableLookUp
from advisor.reasoning.prover.encode import Encoder, Range, RowLookUp, Setting
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Value

NOT_ABOVE = (("wall_thickness", "wall_thickness_max"), ("temperature_min", "temperature_max"))
"""Answers of which the reader of cases refuses the first above the second."""


def encoder_of(book: Rulebook, rules: Iterable[Rule] | None = None) -> Encoder:
    """The rule base as a circuit.

    Args:
        book: rules and knowledge.
        rules: other rules in place of those of the book.
    """
    look_ups = {one.fact: _rows(book, one) for one in book.declarations.look_ups}
    measured = (q for q in book.questionnaire if q.type in ("measure", "number"))
    ranges = {**{question.id: answer_range(question) for question in measured}, **RANGES}
    setting = Setting(look_ups, laws(), ranges, NOT_ABOVE)
    return Encoder(book.vocabulary, book.rules if rules is None else rules, setting)


def _rows(book: Rulebook, look_up: TableLookUp) -> RowLookUp:
    kind = book.vocabulary[look_up.fact]
    rows: dict[str, Value] = {}
    for row, cells in book.knowledge.tables[look_up.table].rows.items():
        value = cell_value(cells[look_up.column]) if look_up.column in cells else None
        if value is not None and kind.accepts(value):
            rows[row] = value
    return RowLookUp(look_up.key, rows)


def answer_range(question: Question) -> Range:
    """What the reader of cases takes as an answer to a question."""
    kind = DIMENSIONS[question.dimension or "number"]
    least = -float("inf") if kind.least is None else kind.least
    most = kind.most
    if question.type == "number" and kind.name == "number":
        return Range(0, MAX_COUNT, whole=True)
    below, zero = _takes(question, "-0.001"), _takes(question, "0")
    if not below and least < 0:
        least = 0.0
    return Range(least, most, above=least == 0 and not zero, whole=kind.name == "year")


def _takes(question: Question, figure: str) -> bool:
    unit = DIMENSIONS[question.dimension or "number"].unit
    try:
        read_answer(question, figure if unit in ("1", "year") else f"{figure} {unit}")
    except InputProblem:
        return False
    return True


def table_gaps(book: Rulebook) -> Mapping[str, tuple[str, ...]]:
    """For each table that facts are looked up in, the choices of its key that have no row."""
    gaps: dict[str, tuple[str, ...]] = {}
    for look_up in book.declarations.look_ups:
        rows = book.knowledge.tables[look_up.table].rows
        choices = book.vocabulary[look_up.key].choices
        missing = tuple(word for word in choices if word not in rows and word != "none")
        if missing:
            gaps[look_up.table] = missing
    return gaps
