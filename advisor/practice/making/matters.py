"""Whether a rule matters in a case: what the advice would lack without it.

A rule matters where another rule does not say the same: without it a decision comes out
differently, a method is no longer the best, or something is not asked for any more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, KeysView
from typing import Literal

from advisor.advice.doubt.what_if import ASPECTS, Aspect, Outlook, WhatIf
from advisor.advice.ranking import Ranking, State, rank
from advisor.advice.rulebook import STAGES
from advisor.advice.thinking import Thinking
from advisor.reasoning.claims import Claim, RulesDisagree, combine
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Members, Value, word

_COLLECTED: dict[str, Aspect] = {
    "required_steps": "steps",
    "required_inspections": "inspections",
    "required_approvals": "approvals",
}
Hang = Aspect | Literal["ruled_out", "order"]
HANGS: tuple[Hang, ...] = (*ASPECTS[:2], "ruled_out", "order", *ASPECTS[2:])
"""What can hang on a rule, the weightiest first.

`ruled_out`: a method that only this rule excludes; `order`: which of the methods that are left
comes before another.
"""

_METHODS = frozenset({"methods_allowed", "methods_ruled_out"})
_WEIGHED = frozenset({"favour", "disfavour"})


def what_hangs_on(thinking: Thinking, rule: Rule) -> tuple[Hang, ...]:
    """The aspects of the advice that would differ without a rule, the weightiest first.

    Nothing hangs on a rule that does not certainly fire.
    """
    if thinking.truth_of(rule.id) != "true":
        return ()
    found = set(_aspects(thinking, rule))
    return tuple(hang for hang in HANGS if hang in found)


def outlook_without(thinking: Thinking, rule: Rule) -> Outlook | None:
    """What the advice would come to without a rule; None where it would not come out."""
    kinds = {effect.kind for effect in rule.then}
    changed = _decided_without(thinking, rule)
    if kinds & {"rule_out", "allow", *_WEIGHED}:
        ranking = _ranking_without(thinking, rule)
        changed |= {"best_method": word(ranking.best), "methods_left": word(ranking.left)}
    return WhatIf(thinking).outlook({}, changed)


def _aspects(thinking: Thinking, rule: Rule) -> Iterator[Hang]:
    kinds = {effect.kind for effect in rule.then}
    if "warn" in kinds or (rule.caution and kinds - {"allow", "rule_out"}):
        yield "cautions"
    if kinds & {"rule_out", "allow", *_WEIGHED}:
        yield from _on_methods(thinking, rule)
    changed = _decided_without(thinking, rule)
    yield from (_COLLECTED[fact] for fact in changed if fact in _COLLECTED)
    if changed.keys() - _COLLECTED.keys():
        settled = {fact: changed[fact] for fact in changed if fact not in _COLLECTED}
        yield from _downstream(thinking, settled)


def _decided_without(thinking: Thinking, rule: Rule) -> dict[str, Value]:
    """The decisions that would come out differently without a rule, but for methods."""
    changed: dict[str, Value] = {}
    for fact in {effect.claim[0] for effect in rule.then if effect.claim} - _METHODS:
        without = _without(thinking, fact, rule)
        if without is not None and without != thinking.values[fact]:
            changed[fact] = without
    return changed


def _others(thinking: Thinking, fact: str, rule: Rule) -> list[Claim]:
    return [claim for claim in thinking.claims[fact] if claim.rule.id != rule.id]


def _without(thinking: Thinking, fact: str, rule: Rule) -> Value | None:
    """A decision as it would come out without a rule; None where it would not come out."""
    try:
        return combine(thinking.rulebook.vocabulary[fact], _others(thinking, fact, rule))
    except RulesDisagree:
        return None


def _downstream(thinking: Thinking, changed: dict[str, Value]) -> Iterable[Aspect]:
    """What comes of decisions held at another value."""
    other = WhatIf(thinking).outlook({}, changed)
    return other.differs(Outlook(thinking)) if other else ()


def _on_methods(thinking: Thinking, rule: Rule) -> Iterator[Hang]:
    """Whether another method would be the best, or none, or one more not ruled out."""
    ranking = thinking.objects["ranking"]
    assert isinstance(ranking, Ranking)
    without = _ranking_without(thinking, rule)
    if (without.best, without.left) != (ranking.best, ranking.left):
        yield "method"
    if thinking.word("go_ahead") != "yes":
        return
    if _in_state(ranking, "ruled_out") - _in_state(without, "ruled_out"):
        yield "ruled_out"
    elif list(_in_state(ranking, "open")) != list(_in_state(without, "open")):
        yield "order"


def _in_state(ranking: Ranking, state: State) -> KeysView[str]:
    """The methods in a state, best first."""
    return {one.method: True for one in ranking.methods if one.state == state}.keys()


def _ranking_without(thinking: Thinking, rule: Rule) -> Ranking:
    """The methods as they would stand without a rule."""
    sets = [_without(thinking, fact, rule) for fact in ("methods_allowed", "methods_ruled_out")]
    allowed, ruled_out = sets
    assert isinstance(allowed, Members)
    assert isinstance(ruled_out, Members)
    last = STAGES.index("method")
    findings = [
        found
        for stage in STAGES[: last + 1]
        for found in thinking.findings[stage].findings.values()
        if found.rule.id != rule.id
    ]
    rows = thinking.rulebook.knowledge.tables["methods"].rows
    return rank(rows, allowed, ruled_out, findings)
