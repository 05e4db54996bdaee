"""What to ask next: only what is open, makes sense here, and can still change something."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from advisor.advice.doubt import Pull, pulls
from advisor.advice.rulebook import Rulebook, rule_context
from advisor.advice.settled import Settled
from advisor.advice.thinking import Thinking, think
from advisor.case.model import UNKNOWN, Case
from advisor.case.questions import Question
from advisor.case.yaml_text import Document
from advisor.reasoning.conditions import Condition, evaluate
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.rules import parse_when

FIRST = (
    "part_kind",
    "governed_by",
    "failure_consequence",
    "material",
    "material_evidence",
    "base_condition",
    "crack_location",
)
"""Asked first, in this order, where they matter: who decides, what metal, where the crack is."""


@dataclass(frozen=True)
class Outlook:
    """What is still worth asking about a case.

    Attributes:
        pending: questions to ask, next one first, with what each can still decide.
        answered: how many questions are answered, as unknown too.
        verdict: the verdict as it stands.
        stands: no open answer can change the verdict any more.
        steers: some pending question may still change the verdict or the method.
    """

    pending: Mapping[str, Pull]
    answered: int
    verdict: str
    stands: bool
    steers: bool

    @property
    def goes_ahead(self) -> bool:
        """Whether the work may go ahead as things stand."""
        return self.verdict in ("repair", "repair_with_approval")

    @property
    def over(self) -> bool:
        """Whether there is nothing left to ask.

        Where the work goes ahead, questions that only sharpen the plan are still worth asking.
        """
        return not self.pending or (self.stands and not self.goes_ahead)


def outlook(case: Case, book: Rulebook) -> Outlook:
    """Think a case through and see what is still worth asking.

    Raises:
        RulesDisagree: the rules contradict one another in this case.
    """
    thinking = think(case, book, judge_only=True)
    unknown = frozenset(n for n, answer in case.answers.items() if answer.value is UNKNOWN)
    closed = unknown | pointless(thinking, unknown)
    found = {name: pull for name, pull in pulls(thinking, closed).items() if _now(name, thinking)}
    return Outlook(
        pending={name: found[name] for name in in_order(found)},
        answered=len(case.answers),
        verdict=str(thinking.word("verdict")),
        stands=Settled(thinking, closed).fact("verdict"),
        steers=any(pull.steers for pull in found.values()),
    )


def in_order(questions: Iterable[str]) -> list[str]:
    """The first ones first; the rest as they came, most decisive first."""
    place = {name: index for index, name in enumerate(FIRST)}
    return sorted(questions, key=lambda name: place.get(name, len(FIRST)))


def pointless(thinking: Thinking, unknown: frozenset[str]) -> frozenset[str]:
    """Questions that make no sense in this case and never will, going by their ``ask_when``."""
    settled = Settled(thinking, unknown)
    conditions = ask_conditions(thinking.rulebook)
    return frozenset(name for name in conditions if not settled.holds(conditions[name]).possible)


def _now(name: str, thinking: Thinking) -> bool:
    """Whether a question makes sense already; some wait for the answer to another one."""
    condition = ask_conditions(thinking.rulebook).get(name)
    return condition is None or evaluate(condition, thinking.values).possible


_CONDITIONS: dict[str, Mapping[str, Condition]] = {}


def ask_conditions(book: Rulebook) -> Mapping[str, Condition]:
    """The conditions under which questions are asked, by question.

    Raises:
        KnowledgeProblem: a condition that cannot be read.
    """
    if book.digest not in _CONDITIONS:
        _CONDITIONS[book.digest] = {
            question.id: _condition(question, book)
            for question in book.questionnaire
            if question.ask_when is not None
        }
    return _CONDITIONS[book.digest]


def _condition(question: Question, book: Rulebook) -> Condition:
    place = Document("knowledge/questions", {}, {})
    cursor = Cursor(place, (question.id, "ask_when"), question.ask_when)
    context = rule_context(book.vocabulary, book.knowledge, _NO_TARGETS, book.questionnaire)
    return parse_when(cursor, context, stage=0)


_NO_TARGETS: Mapping[str, tuple[str, ...]] = {
    "methods": (),
    "steps": (),
    "inspections": (),
    "approvals": (),
}
