"""What is not known, and what it can still change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from advisor.advice.model import NextQuestion, Quantity
from advisor.advice.phrases import effect_says, quantity
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.advice.settled import Settled
from advisor.advice.thinking import Thinking
from advisor.case.model import UNKNOWN
from advisor.reasoning.conditions import Known, Truth
from advisor.reasoning.judge import Finding, StageFindings
from advisor.reasoning.rules import Effect

_WEIGHT: Mapping[str, float] = {
    "rule_out": 40,
    "allow": 30,
    "settle": 15,
    "assume": 10,
    "require_approval": 20,
    "require_step": 4,
    "require_inspection": 6,
    "favour": 3,
    "disfavour": 3,
    "warn": 1,
}
_PLAN_ONLY = frozenset({"require_step", "require_inspection", "warn"})
_VERDICT_WEIGHT = 100
_MOST_DECIDES = 4


@dataclass
class Pull:
    """How much one open question can still decide.

    Attributes:
        weight: how much, all rules together.
        decides: what, in words, with the weight of each.
        steers: whether the verdict or the choice of method may hang on it; otherwise only sizes,
            steps, inspections and cautions do.
    """

    weight: float = 0.0
    decides: dict[str, float] = field(default_factory=dict)
    steers: bool = False

    @property
    def heaviest(self) -> tuple[str, ...]:
        """What it decides, most important first."""
        ranked = sorted(self.decides, key=lambda says: -self.decides[says])
        return tuple(ranked[:_MOST_DECIDES])


def open_questions(thinking: Thinking) -> frozenset[str]:
    """Questions that are unanswered, or answered as unknown."""
    answered = {
        name for name, answer in thinking.case.answers.items() if answer.value is not UNKNOWN
    }
    return frozenset(thinking.rulebook.questionnaire.by_id) - answered


def next_questions(thinking: Thinking) -> tuple[NextQuestion, ...]:
    """Open questions that can still change the advice, most decisive for its effort first."""
    questions = thinking.rulebook.questionnaire.by_id
    return tuple(
        NextQuestion(
            id=name,
            question=questions[name].text,
            decides=pull.heaviest,
            how=questions[name].how.steps,
            effort=_effort_quantity(questions[name].how.effort),
        )
        for name, pull in pulls(thinking).items()
    )


def pulls(thinking: Thinking, closed: Collection[str] = ()) -> Mapping[str, Pull]:
    """What each open question can still change, most decisive for its effort first.

    Args:
        thinking: the case thought through.
        closed: open questions that nobody will answer any more.
    """
    open_now = open_questions(thinking) - frozenset(closed)
    settled = Settled(thinking, closed)
    found: dict[str, Pull] = defaultdict(Pull)
    for findings in thinking.findings.values():
        for finding in findings.findings.values():
            effects = [effect for effect in finding.rule.then if settled.can_change(effect)]
            if not effects:
                continue
            for question in _questions_behind(thinking, findings, finding) & open_now:
                _add(found[question], finding, effects, thinking.rulebook)
    ranked = sorted(found, key=lambda name: (-_rank(found[name], name, thinking), name))
    return {name: found[name] for name in ranked}


def _effort_quantity(minutes: float | None) -> Quantity | None:
    return None if minutes is None else quantity(minutes, "min")


def _rank(pull: Pull, name: str, thinking: Thinking) -> float:
    effort = thinking.rulebook.questionnaire.by_id[name].how.effort or 5.0
    return pull.weight / (10.0 + effort)


def _add(pull: Pull, finding: Finding, effects: Iterable[Effect], rulebook: Rulebook) -> None:
    early = finding.rule.stage <= rulebook.vocabulary.stage_index("verdict")
    for effect in effects:
        weight = effect_weight(effect)
        pull.weight += weight
        says = effect_says(effect, rulebook)
        pull.decides[says] = max(pull.decides.get(says, 0.0), weight)
        pull.steers |= early and effect.kind not in _PLAN_ONLY


def effect_weight(effect: Effect) -> float:
    """How much an effect can change an advice."""
    if effect.kind in ("settle", "assume") and effect.target == "verdict":
        return _VERDICT_WEIGHT
    return _WEIGHT[effect.kind]


def _questions_behind(
    thinking: Thinking, findings: StageFindings, finding: Finding
) -> frozenset[str]:
    """Open questions that keep a rule from being told, or that fire it by being open."""
    names: set[str] = set()
    for premise in findings.premises(finding.rule.id):
        fires_by_being_open = isinstance(premise.leaf, Known) and not premise.value.known
        cannot_tell = finding.truth is Truth.UNKNOWN and premise.truth is Truth.UNKNOWN
        if cannot_tell or (finding.holds.certain and fires_by_being_open):
            names.update(roots(thinking, premise.leaf.fact))
    return frozenset(names)


def roots(thinking: Thinking, fact: str) -> Iterator[str]:
    """The questions from which a fact is made, through tables, formulas and rules."""
    return iter(_roots(thinking, fact, frozenset()))


def _roots(thinking: Thinking, fact: str, seen: frozenset[str]) -> frozenset[str]:
    if fact in seen:
        return frozenset()
    questions = thinking.rulebook.questionnaire.by_id
    if fact in questions:
        return frozenset((fact,))
    inputs = thinking.facts[fact].inputs if fact in thinking.facts else ()
    inputs = inputs or _declared_inputs(thinking, fact)
    found: set[str] = set()
    for name in inputs:
        found |= _roots(thinking, name, seen | {fact})
    return frozenset(found)


def _declared_inputs(thinking: Thinking, fact: str) -> tuple[str, ...]:
    for look_up in thinking.rulebook.declarations.look_ups:
        if look_up.fact == fact:
            return (look_up.key,)
    for formula in FORMULAS:
        if fact in formula.outputs:
            outcome = thinking.outcomes.get(formula.id)
            read = set(outcome.read) if outcome else set()
            return tuple(read | ({outcome.missing} if outcome and outcome.missing else set()))
    return ()
