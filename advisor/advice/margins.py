"""At what value a decision flips: the thresholds next to each number that rules compared."""

from __future__ import annotations

import math
from collections.abc import Iterator

from advisor.advice.model import Margin, Quantity
from advisor.advice.phrases import Units, effect_says, quantity
from advisor.advice.thinking import Thinking
from advisor.reasoning.conditions import Test, Truth, evaluate, leaves
from advisor.reasoning.judge import Finding, StageFindings
from advisor.reasoning.values import RESOLUTION_DIGITS, Number, Value, number

_STEP = 10.0**-RESOLUTION_DIGITS
_WORTH_SAYING = frozenset(
    {"settle", "assume", "rule_out", "allow", "require_approval", "require_inspection"}
)


def margins(thinking: Thinking, units: Units = "si") -> tuple[Margin, ...]:
    """For each number, the nearest value below and above at which a rule fires or stops firing."""
    found: dict[tuple[str, bool], Margin] = {}
    for findings in thinking.findings.values():
        for finding in findings.findings.values():
            for margin in _margins_of_rule(thinking, findings, finding, units):
                key = (margin.fact, margin.flips_at.value > margin.value.value)
                if key not in found or _distance(margin) < _distance(found[key]):
                    found[key] = margin
    return tuple(sorted(found.values(), key=_closeness))


def _margins_of_rule(
    thinking: Thinking, findings: StageFindings, finding: Finding, units: Units
) -> Iterator[Margin]:
    says = [
        effect_says(effect, thinking.rulebook, units)
        for effect in finding.rule.then
        if effect.kind in _WORTH_SAYING
    ]
    if not says:
        return
    for leaf in leaves(finding.rule.when):
        value = findings.facts[leaf.fact]
        if not isinstance(leaf, Test) or not isinstance(value, Number) or not value.known:
            continue
        flipped = _flip(findings, finding, leaf, value)
        if flipped:
            yield _margin(thinking, finding, leaf, value, flipped, "; ".join(says))


def _flip(findings: StageFindings, finding: Finding, leaf: Test, value: Number) -> Truth | None:
    """What the rule becomes with the fact just across the limit, if that changes it."""
    below = value.high <= leaf.limit if leaf.op == "above" else value.high < leaf.limit
    for across in (leaf.limit, leaf.limit + _STEP if below else leaf.limit - _STEP):
        facts: dict[str, Value] = {**findings.facts, leaf.fact: number(across)}
        truth = evaluate(finding.rule.when, facts).truth
        if truth is not finding.truth and Truth.UNKNOWN not in (truth, finding.truth):
            return truth
    return None


def _margin(
    thinking: Thinking,
    finding: Finding,
    leaf: Test,
    value: Number,
    flipped: Truth,
    says: str,
) -> Margin:
    kind = thinking.rulebook.vocabulary[leaf.fact]
    change = "then" if flipped is Truth.TRUE else "no longer"
    inside = not value.exact and value.low <= leaf.limit <= value.high
    middle = (value.low + value.high) / 2
    return Margin(
        fact=leaf.fact,
        value=Quantity(
            value=round(middle, 4),
            unit=kind.unit or "1",
            low=None if value.exact else round(value.low, 4),
            high=None if value.exact else round(value.high, 4),
        ),
        flips_at=quantity(leaf.limit, kind.unit or "1"),
        changes=f"{change}: {says}",
        rule=finding.rule.id,
        inside_uncertainty=inside,
    )


def _distance(margin: Margin) -> float:
    return abs(margin.flips_at.value - margin.value.value)


def _closeness(margin: Margin) -> tuple[bool, float, str]:
    scale = max(abs(margin.value.value), abs(margin.flips_at.value), math.ulp(1.0))
    return (not margin.inside_uncertainty, _distance(margin) / scale, margin.fact)
