"""What to ask next: only what is open, makes sense here, and can still change something.

While much is open, the record says which rules still wait for which questions, which takes no
time. Once little is open, answers are tried, so that nothing is asked that would change nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import field

from advisor.advice.doubt.questions import open_questions, pulls, questions_behind
from advisor.advice.doubt.settled import Settled
from advisor.advice.phrases import effect_says
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import UNKNOWN, Case
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import Condition, evaluate
from advisor.reasoning.judge import Finding
from advisor.reasoning.rules import Effect

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

FEW = 8
"""Open questions up to which answers are tried."""

_VERDICT_WEIGHT = 100.0
_WEIGHT: Mapping[str, float] = {
    "rule_out": 40,
    "allow": 30,
    "require_approval": 20,
    "settle": 15,
    "assume": 10,
    "require_inspection": 6,
    "require_step": 4,
    "favour": 3,
    "disfavour": 3,
    "warn": 1,
}
_PLAN_ONLY = frozenset({"require_step", "require_inspection", "warn"})
_MOST_DECIDES = 4


@dataclass
class Pending:
    """One question that is worth asking.

    Attributes:
        weight: how much the rules that wait for it can change.
        decides: what they do, in words, with the weight of each.
        steers: the verdict or the choice of method may hang on it; otherwise only sizes, steps,
            inspections and cautions do.
    """

    weight: float = 0.0
    decides: dict[str, float] = field(default_factory=dict)
    steers: bool = False

    @property
    def heaviest(self) -> tuple[str, ...]:
        """What it decides, most important first."""
        return tuple(sorted(self.decides, key=lambda says: -self.decides[says])[:_MOST_DECIDES])


@dataclass(frozen=True)
class Outlook:
    """What is still worth asking about a case.

    Attributes:
        pending: questions to ask, next one first.
        answered: how many questions are answered, as unknown too.
        verdict: the verdict as it stands.
        stands: no open answer can change the verdict any more.
    """

    pending: Mapping[str, Pending]
    answered: int
    verdict: str
    stands: bool

    @property
    def goes_ahead(self) -> bool:
        """Whether the work may go ahead as things stand."""
        return self.verdict in ("repair", "repair_with_approval")

    @property
    def steers(self) -> bool:
        """Whether a pending question may still change the verdict or the method."""
        return any(one.steers for one in self.pending.values())

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
    found = waiting(thinking, closed)
    if len(found) <= FEW:
        tried = pulls(thinking, closed, words=False)
        found = {name: found[name] for name in tried if name in found}
        for name, one in found.items():
            one.steers = tried[name].steers
    found = {name: one for name, one in found.items() if makes_sense(name, thinking)}
    return Outlook(
        pending={name: found[name] for name in in_order(found)},
        answered=len(case.answers),
        verdict=str(thinking.word("verdict")),
        stands=Settled(thinking, closed).fact("verdict"),
    )


def in_order(questions: Iterable[str]) -> list[str]:
    """The first ones first; the rest as they came, most decisive first."""
    place = {name: index for index, name in enumerate(FIRST)}
    return sorted(questions, key=lambda name: place.get(name, len(FIRST)))


def pointless(thinking: Thinking, unknown: Collection[str]) -> frozenset[str]:
    """Questions that make no sense in this case and never will, going by their ``ask_when``."""
    settled = Settled(thinking, unknown)
    asked_when = thinking.rulebook.asked_when
    return frozenset(n for n, when in asked_when.items() if not settled.holds(when).possible)


def makes_sense(name: str, thinking: Thinking) -> bool:
    """Whether a question makes sense already; some wait for the answer to another one."""
    condition = thinking.rulebook.asked_when.get(name)
    return condition is None or evaluate(condition, thinking.values).possible


def ask_conditions(book: Rulebook) -> Mapping[str, Condition]:
    """The conditions under which questions are asked, by question."""
    return book.asked_when


def waiting(thinking: Thinking, closed: Collection[str]) -> dict[str, Pending]:
    """Open questions that a rule waits for by the record, most decisive for their effort first.

    Args:
        thinking: the case thought through.
        closed: open questions that nobody will answer any more.
    """
    open_now = open_questions(thinking) - frozenset(closed)
    settled = Settled(thinking, closed)
    found: dict[str, Pending] = defaultdict(Pending)
    for findings in thinking.findings.values():
        for finding in findings.findings.values():
            effects = [effect for effect in finding.rule.then if settled.can_change(effect)]
            if effects:
                for question in questions_behind(thinking, findings, finding) & open_now:
                    _add(found[question], finding, effects, thinking.rulebook)
    ranked = sorted(found, key=lambda name: _rank(name, found[name], thinking.rulebook))
    return {name: found[name] for name in ranked}


def _rank(name: str, pending: Pending, book: Rulebook) -> tuple[float, str]:
    effort = book.questionnaire.by_id[name].how.effort or 5.0
    return (-pending.weight / (10.0 + effort), name)


def _add(pending: Pending, finding: Finding, effects: Iterable[Effect], book: Rulebook) -> None:
    early = finding.rule.stage <= book.vocabulary.stage_index("verdict")
    for effect in effects:
        on_verdict = effect.kind in ("settle", "assume") and effect.target == "verdict"
        weight = _VERDICT_WEIGHT if on_verdict else _WEIGHT[effect.kind]
        says = effect_says(effect, book)
        pending.weight += weight
        pending.decides[says] = max(pending.decides.get(says, 0.0), weight)
        pending.steers |= early and effect.kind not in _PLAN_ONLY
