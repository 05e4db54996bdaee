"""Judging a stage again after a change: only rules that read a changed fact are looked at.

Used to try "what if". The findings are those that the judge would come to from the start; the
tests hold one against the other.
"""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Iterable, Mapping

from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import Claim
from advisor.reasoning.conditions import NEVER_HOLDS, Holds, evaluate
from advisor.reasoning.judge import Finding, StageFindings
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Members, Value
from advisor.reasoning.vocabulary import Vocabulary


@dataclass(frozen=True)
class Rejudged:
    """The findings, and the rules whose truth is not what it was."""

    findings: StageFindings
    changed: tuple[Rule, ...]


class Rejudge:
    """Judges the rules of one stage against findings that stand already."""

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary, stage: int) -> None:
        self._rules = tuple(rules)
        self._vocabulary = vocabulary
        self._stage = stage

    # Most runs try no "what if": what only that needs is worked out when it is first asked for.

    @functools.cached_property
    def _readers(self) -> Mapping[str, list[Rule]]:
        readers: dict[str, list[Rule]] = defaultdict(list)
        for rule in self._rules:
            for fact in rule.reads:
                readers[fact].append(rule)
        return readers

    @functools.cached_property
    def _growing(self) -> frozenset[str]:
        return self._vocabulary.growing_in(self._stage) & self._readers.keys()

    @functools.cached_property
    def _chained(self) -> tuple[Rule, ...]:
        chained = {rule.id for fact in self._growing for rule in self._readers[fact]}
        return tuple(rule for rule in self._rules if rule.id in chained)

    def judge(
        self,
        facts: Mapping[str, Value],
        before: StageFindings,
        changed: Iterable[str],
        earlier: Mapping[str, Iterable[Claim]],
    ) -> Rejudged:
        """Judge again.

        Args:
            facts: all facts known before the rules of this stage.
            before: what was found before the change.
            changed: names of the facts that are not what they were.
            earlier: claims that rules of earlier stages made, as they stand now, by decision.
        """
        waiting = self._to_look_at(changed)
        if not waiting:
            return Rejudged(before, ())
        if self._chained:
            found, seen = self._to_fixed_point(waiting, before, facts, earlier)
        else:
            found = {rule.id: evaluate(rule.when, facts) for rule in waiting}
            seen = facts
        turned = tuple(
            rule
            for rule in waiting
            if (now := found[rule.id]) is not (was := before.findings[rule.id].holds) and now != was
        )
        if not turned:
            return Rejudged(before, ())
        findings = dict(before.findings)
        for rule in turned:
            findings[rule.id] = Finding(rule, found[rule.id])
        return Rejudged(StageFindings(findings, seen), turned)

    def _to_look_at(self, changed: Iterable[str]) -> list[Rule]:
        waiting = {rule.id: rule for fact in changed for rule in self._readers.get(fact, ())}
        for rule in self._chained:
            waiting[rule.id] = rule
        return list(waiting.values())

    def _to_fixed_point(
        self,
        waiting: list[Rule],
        before: StageFindings,
        facts: Mapping[str, Value],
        earlier: Mapping[str, Iterable[Claim]],
    ) -> tuple[dict[str, Holds], Mapping[str, Value]]:
        """As the judge: facts that claims of this very stage fill grow until nothing changes."""
        seen = dict(facts)
        for name in self._growing:
            seen[name] = Members(frozenset(), frozenset(), known=False)
            for claim in earlier.get(name, ()):
                self._grow(seen, name, claim.value, claim.certain)
        found = {rule.id: NEVER_HOLDS for rule in waiting}
        for rule in self._rules:
            if rule.id not in found:
                self._record(seen, rule, before.findings[rule.id].holds)
        queue = waiting
        while queue:
            grown: set[str] = set()
            for rule in queue:
                holds = evaluate(rule.when, seen)
                if holds != found[rule.id]:
                    found[rule.id] = holds
                    grown |= self._record(seen, rule, holds)
            queue = list({r.id: r for fact in grown for r in self._readers[fact]}.values())
        return found, seen

    def _record(self, seen: dict[str, Value], rule: Rule, holds: Holds) -> set[str]:
        if not holds.possible:
            return set()
        claims = [effect.claim for effect in rule.then if effect.claim]
        return {fact for fact, value in claims if self._grow(seen, fact, value, holds.certain)}

    def _grow(self, seen: dict[str, Value], fact: str, value: str | float, certain: bool) -> bool:
        if fact not in self._growing:
            return False
        was = seen[fact]
        assert isinstance(was, Members)
        added = frozenset((str(value),))
        now = Members(was.certain | added if certain else was.certain, was.possible | added, False)
        seen[fact] = now
        return now != was
