"""The judge: one of the two reasoners, a small indexed forward loop over the condition tree.

It reads every condition twice, for what certainly holds and for what possibly holds, and keeps
what it saw: the premises of every firing and the unmet tests of every rule that did not fire.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import Claim
from advisor.reasoning.conditions import (
    NEVER_HOLDS,
    Condition,
    Holds,
    Known,
    Leaf,
    Not,
    Test,
    Truth,
    evaluate,
)
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Members, Value
from advisor.reasoning.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class Premise:
    """One test of a condition as it was seen: the test, its value, and how it came out."""

    leaf: Leaf
    negated: bool
    value: Value
    truth: Truth


@dataclass(frozen=True, slots=True)
class Finding:
    """What the judge found about one rule."""

    rule: Rule
    holds: Holds

    @property
    def truth(self) -> Truth:
        """Fired, not fired, or cannot tell."""
        return self.holds.truth


@dataclass(frozen=True)
class StageFindings:
    """What the judge found in one stage: every rule's truth, and the facts it was read on."""

    findings: Mapping[str, Finding]
    facts: Mapping[str, Value]

    @property
    def certain(self) -> frozenset[str]:
        """Rules that certainly fire."""
        return frozenset(name for name, found in self.findings.items() if found.holds.certain)

    @property
    def possible(self) -> frozenset[str]:
        """Rules that fire or of which it cannot be told."""
        return frozenset(name for name, found in self.findings.items() if found.holds.possible)

    def premises(self, rule_id: str) -> tuple[Premise, ...]:
        """Every test of a rule with its value and outcome."""
        return tuple(_premises(self.findings[rule_id].rule.when, self.facts, negated=False))


class Judge:
    """Judges the rules of one stage."""

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary, stage: int) -> None:
        self.rules = tuple(rules)
        self.stage = stage
        self._growing = vocabulary.growing_in(stage)
        self._readers: dict[str, list[Rule]] = defaultdict(list)
        for rule in self.rules:
            for fact in self._growing.intersection(rule.reads):
                self._readers[fact].append(rule)

    def judge(self, facts: Mapping[str, Value], earlier: Iterable[Claim] = ()) -> StageFindings:
        """Judge every rule of the stage to a fixed point.

        Args:
            facts: all facts known before the rules of this stage, open ones included.
            earlier: claims that rules of earlier stages already made on this stage's decisions.
        """
        seen = dict(facts)
        for name in self._growing:
            seen[name] = Members(frozenset(), frozenset(), known=False)
        waiting = list(self.rules)
        found: dict[str, Holds] = {rule.id: NEVER_HOLDS for rule in self.rules}
        for claim in earlier:
            self._grow(seen, claim.fact, claim.value, claim.certain)
        while waiting:
            changed: set[str] = set()
            for rule in waiting:
                holds = evaluate(rule.when, seen)
                if holds == found[rule.id]:
                    continue
                found[rule.id] = holds
                changed |= self._record(seen, rule, holds)
            again = {rule.id: rule for fact in changed for rule in self._readers[fact]}
            waiting = list(again.values())
        findings = {rule.id: Finding(rule, found[rule.id]) for rule in self.rules}
        return StageFindings(findings, seen)

    def _record(self, seen: dict[str, Value], rule: Rule, holds: Holds) -> set[str]:
        changed = set()
        for effect in rule.then:
            claim = effect.claim
            if claim and holds.possible and self._grow(seen, *claim, holds.certain):
                changed.add(claim[0])
        return changed

    def _grow(self, seen: dict[str, Value], fact: str, value: str | float, certain: bool) -> bool:
        if fact not in self._growing:
            return False
        before = seen[fact]
        assert isinstance(before, Members)
        added = frozenset((str(value),))
        after = Members(
            before.certain | added if certain else before.certain,
            before.possible | added,
            known=False,
        )
        seen[fact] = after
        return after != before


def claims_of(findings: StageFindings) -> list[Claim]:
    """All claims that the rules of a stage make, certain and merely possible ones."""
    return [
        Claim(finding.rule, effect, finding.holds.certain)
        for finding in findings.findings.values()
        if finding.holds.possible
        for effect in finding.rule.then
        if effect.claim
    ]


def _premises(
    condition: Condition, facts: Mapping[str, Value], *, negated: bool
) -> Iterable[Premise]:
    if isinstance(condition, Test | Known):
        value = facts[condition.fact]
        holds = condition.holds(value)
        truth = (holds.negated() if negated else holds).truth
        yield Premise(condition, negated, value, truth)
    elif isinstance(condition, Not):
        yield from _premises(condition.part, facts, negated=not negated)
    else:
        for part in condition.parts:
            yield from _premises(part, facts, negated=negated)
