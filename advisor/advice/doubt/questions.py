"""What is not known, and what it can still change.

A question is listed because an answer to it was tried and changed something, not because it is on
a list: with the other questions as they stand, or with the others answered favourably.
"""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field

from advisor.advice.doubt.settled import Settled
from advisor.advice.doubt.trials import Trials, Tried, comparable
from advisor.advice.doubt.turning import decides
from advisor.advice.doubt.what_if import ASPECTS, Aspect, undisturbed
from advisor.advice.model import NextQuestion, Quantity
from advisor.advice.phrases import Units, quantity
from advisor.advice.registry import FORMULAS
from advisor.advice.thinking import Thinking
from advisor.case.model import UNKNOWN
from advisor.reasoning.conditions import Known, Truth
from advisor.reasoning.judge import Finding, StageFindings
from advisor.reasoning.rules import Effect, Rule

_WEIGHT: Mapping[Aspect, float] = {
    "verdict": 200,
    "method": 100,
    "approvals": 40,
    "sizes": 20,
    "inspections": 15,
    "steps": 5,
    "cautions": 1,
}
_STEERING: frozenset[Aspect] = frozenset({"verdict", "method"})
_PLAN_ONLY = frozenset({"require_step", "require_inspection", "warn"})


@dataclass
class Pull:
    """How much one open question can still decide.

    Attributes:
        weight: how much.
        changes: the aspects of the advice that hang on it.
        steers: whether the verdict or the choice of method may hang on it; otherwise only sizes,
            steps, inspections and cautions do.
        heaviest: what it decides in words, most important first.
    """

    weight: float = 0.0
    changes: tuple[Aspect, ...] = ()
    steers: bool = False
    heaviest: tuple[str, ...] = ()


def open_questions(thinking: Thinking) -> frozenset[str]:
    """Questions that are unanswered, or answered as unknown."""
    answered = {
        name for name, answer in thinking.case.answers.items() if answer.value is not UNKNOWN
    }
    return frozenset(thinking.rulebook.questionnaire.by_id) - answered


def next_questions(thinking: Thinking, units: Units = "si") -> tuple[NextQuestion, ...]:
    """Open questions that can still change the advice, most decisive first."""
    questions = thinking.rulebook.questionnaire.by_id
    return tuple(
        NextQuestion(
            id=name,
            question=questions[name].text,
            decides=pull.heaviest,
            how=questions[name].how.steps,
            effort=_effort_quantity(questions[name].how.effort),
        )
        for name, pull in pulls(thinking, units=units).items()
    )


def _effort_quantity(minutes: float | None) -> Quantity | None:
    return None if minutes is None else quantity(minutes, "min")


def pulls(
    thinking: Thinking,
    closed: Collection[str] = (),
    *,
    units: Units = "si",
    words: bool = True,
) -> Mapping[str, Pull]:
    """What each open question can still change, most decisive first.

    Args:
        thinking: the case thought through.
        closed: open questions that nobody will answer any more.
        units: of the numbers inside sentences.
        words: also say what each decides; without it the order alone is found, in less time.
    """
    with undisturbed():
        relevant = _relevant(thinking, closed)
        trials = Trials(thinking, relevant)
        found = {name: _pull(trials, name, one.steers) for name, one in relevant.items()}
        found = {name: pull for name, pull in found.items() if pull.changes}
        ranked = sorted(found, key=lambda name: -found[name].weight)
        if words:
            for name in ranked:
                found[name].heaviest = decides(trials, name, units) or relevant[name].says
    return {name: found[name] for name in ranked}


def _pull(trials: Trials, name: str, steers: bool) -> Pull:
    """What a question changed when its answers were tried."""
    tried = trials.tried[name]
    changes = _decisions_changed(trials, tried)
    for alike in comparable(trials, tried) if not changes else ():
        changes.update(aspect for other in alike[1:] for aspect in alike[0].differs(other))
    undecided = not (trials.as_it_is.ended or trials.best.goes_ahead)
    if steers and undecided and not changes & _STEERING:
        changes.add("verdict")  # rules wait for it, though nothing tried has turned them
    effort = trials.thinking.rulebook.questionnaire.by_id[name].how.effort or 5.0
    weight = sum(_WEIGHT[aspect] for aspect in changes) - effort / 100
    if changes & _STEERING:
        weight += _steering_weight(trials, tried)
    ordered = tuple(aspect for aspect in ASPECTS if aspect in changes)
    return Pull(weight, ordered, steers=bool(changes & _STEERING))


def _decisions_changed(trials: Trials, tried: Tried) -> set[Aspect]:
    """Whether verdict or method differ between the answers, or from no answer."""
    now = [trials.as_it_is, *(trial.outlook for trial in tried.as_it_stands)]
    then = [tried.left_open or trials.best, *(trial.outlook for trial in tried.at_best)]
    return {
        aspect
        for first, *others in (now, then)
        for other in others
        for aspect in first.differs(other, ("verdict", "method"))
    }


def _steering_weight(trials: Trials, tried: Tried) -> float:
    """First what may end the matter, then what a repair waits for, then what may turn it.

    An answer that alone lets the work go ahead is the last one waited for.
    """
    weight = 0.0
    now = [trial.outlook for trial in tried.as_it_stands]
    then = [trial.outlook for trial in tried.at_best]
    best = trials.best.decision
    if now and not trials.as_it_is.ended:
        weight += 2000 * sum(outlook.ended for outlook in now) / len(now)
    if tried.left_open and tried.left_open.decision != best:
        weight += 1000
    if not trials.as_it_is.goes_ahead and any(outlook.goes_ahead for outlook in now):
        weight += 1000
    if then:
        weight += 500 * sum(outlook.decision != best for outlook in then) / len(then)
    return weight


# --- what the record says -----------------------------------------------------------------------


@dataclass
class _Waiting:
    """What waits for an open question by the record: whether it may steer, and which rules."""

    steers: bool = False
    titles: dict[str, None] = field(default_factory=dict)

    @property
    def says(self) -> tuple[str, ...]:
        """The first rule that waits for it."""
        return tuple(f"whether this applies: {title}" for title in list(self.titles)[:1])


def _relevant(thinking: Thinking, closed: Collection[str]) -> Mapping[str, _Waiting]:
    """Open questions that some rule or formula still waits for, and what waits.

    The record says too much rather than too little: a rule that waits need not change anything.
    """
    closed = frozenset(closed)
    settled = Settled(thinking, closed)
    asked_when = thinking.rulebook.asked_when
    open_now = {
        name
        for name in open_questions(thinking) - closed
        if name not in asked_when or settled.holds(asked_when[name]).possible
    }
    behind = functools.cache(lambda fact: frozenset(roots(thinking, fact)))
    found: dict[str, _Waiting] = defaultdict(_Waiting)
    for rule in thinking.rulebook.rules:
        if settled.rule(rule).truth is not Truth.UNKNOWN:
            continue
        effects = [effect for effect in rule.then if settled.can_change(effect)]
        if not effects:
            continue
        steers = _steers(thinking, rule, effects)
        for fact in rule.reads:
            if not settled.fact(fact):
                for question in open_now & behind(fact):
                    found[question].steers |= steers
                    found[question].titles[rule.title] = None
    for name in _seen_by_formulas(thinking) & open_now:
        found.setdefault(name, _Waiting())
    return {name: found[name] for name in thinking.rulebook.questionnaire.by_id if name in found}


def _steers(thinking: Thinking, rule: Rule, effects: list[Effect]) -> bool:
    early = rule.stage <= thinking.rulebook.vocabulary.stage_index("verdict")
    return early and any(effect.kind not in _PLAN_ONLY for effect in effects)


def _seen_by_formulas(thinking: Thinking) -> set[str]:
    seen = (outcome.seen for outcome in thinking.outcomes.values())
    return {name for one in seen for name in (*one.facts, *one.answers)}


def questions_behind(
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
