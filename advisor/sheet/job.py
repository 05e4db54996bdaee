"""The job that a sheet is about, and the small things that all its sections need."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.advice.model import Advice, Quantity
from advisor.advice.phrases import Units, fact_text
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.model import Case, Hole, PathPoint, Unknown
from advisor.case.quantities import Measure, format_measure
from advisor.light_dataclass import dataclass
from advisor.reasoning.values import Number
from advisor.sheet.model import Paper
from advisor.sheet.words import plain, shown

DEFER = "Defer to local codes and licensed practice."


@dataclass(frozen=True)
class Job:
    """A case thought through, its advice, and how it is printed."""

    thinking: Thinking
    advice: Advice
    paper: Paper
    units: Units
    template: bool

    @property
    def case(self) -> Case:
        """The case."""
        return self.thinking.case

    @property
    def book(self) -> Rulebook:
        """Rules and knowledge."""
        return self.thinking.rulebook

    def show(self, quantity: Quantity | None) -> str:
        """A quantity in the reader's units."""
        return shown(quantity, self.units)

    def fact(self, name: str) -> str:
        """A fact as people read it."""
        kind = self.book.vocabulary[name]
        return fact_text(kind, self.thinking.values[name], self.units)

    def low(self, name: str) -> float | None:
        """The low end of a number, or None where it is not known."""
        value = self.thinking.values[name]
        return value.low if isinstance(value, Number) and value.known else None

    def word(self, name: str) -> str | None:
        """A word answer or fact, or None while it is open."""
        return self.thinking.word(name)

    def answer(self, question: str) -> str:
        """An answer as people read it."""
        value = self.case.value(question)
        if value is None:
            return "not answered"
        return answer_says(self.book, question, value, self.units)


def answer_says(book: Rulebook, question: str, value: object, units: Units) -> str:
    """An answer in words: labels for choices, units for measures."""
    if isinstance(value, Unknown):
        return "not known"
    if isinstance(value, Measure):
        return format_measure(value, units)
    if isinstance(value, str):
        return _label(book, question, value)
    if isinstance(value, Mapping):
        parts = (f"{name} {answer_says(book, '', one, units)}" for name, one in value.items())
        return ", ".join(parts)
    if isinstance(value, tuple):
        if not value:
            return "none"
        if all(isinstance(one, Hole | PathPoint) for one in value):
            members = (_member(book, one, units) for one in value)
            return "; ".join(f"{n}: {text}" for n, text in enumerate(members, start=1))
        return ", ".join(answer_says(book, question, one, units) for one in value)
    return str(value)


def _member(book: Rulebook, member: Hole | PathPoint, units: Units) -> str:
    parts = (
        f"{plain(name)} {answer_says(book, '', value, units)}"
        for name, value in member.given().items()
    )
    return ", ".join(parts)


def _label(book: Rulebook, question: str, word: str) -> str:
    asked = book.questionnaire.by_id.get(question)
    if asked is not None:
        for choice in asked.choices:
            if choice.id == word:
                return choice.label
    return plain(word) if asked is None or asked.type != "text" else word
