"""Which methods are left, and which of them is best.

A method needs a rule that certainly allows it and no rule that even possibly rules it out; an
exclusion always beats a preference. Among those left, rules that speak for and against a method
add and take their weight; the order of the methods table breaks ties.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from advisor.reasoning.judge import Finding
from advisor.reasoning.values import Members

REPLACE = "replace_part"

State = Literal["open", "unsure", "ruled_out"]


@dataclass(frozen=True)
class Ranked:
    """One method: whether it is left, and the sum of weights for and against it."""

    method: str
    state: State
    score: int


@dataclass(frozen=True)
class Ranking:
    """All methods, best first."""

    methods: tuple[Ranked, ...]

    @property
    def left(self) -> Literal["some", "unsure", "none"]:
        """What is left of the methods that repair the part.

        A method that an answer still missing may allow, and that would then be the best one, makes
        the choice unsure: the question comes before the second-best method.
        """
        best = self._first("open")
        repairs = {one.state for one in self.methods if one.method != REPLACE}
        doubt = max((one.score for one in self._repairs("unsure")), default=None)
        if doubt is not None and ("open" not in repairs or (best and doubt > best.score)):
            return "unsure"
        return "some" if "open" in repairs else "none"

    @property
    def best(self) -> str:
        """The best method left; ``none`` while the choice is unsure."""
        best = self._first("open")
        return "none" if best is None or self.left == "unsure" else best.method

    def _first(self, state: State) -> Ranked | None:
        return next((one for one in self.methods if one.state == state), None)

    def _repairs(self, state: State) -> Iterator[Ranked]:
        return (one for one in self.methods if one.state == state and one.method != REPLACE)


def rank(
    methods: Iterable[str], allowed: Members, ruled_out: Members, findings: Iterable[Finding]
) -> Ranking:
    """Rank the methods.

    Args:
        methods: all methods in their order of preference.
        allowed: methods that rules allow, certainly or possibly.
        ruled_out: methods that rules exclude, certainly or possibly.
        findings: findings on rules that may speak for or against a method.
    """
    scores = _scores(findings)
    order = {"open": 0, "unsure": 1, "ruled_out": 2}
    ranked = [
        Ranked(method, _state(method, allowed, ruled_out), scores[method]) for method in methods
    ]
    return Ranking(tuple(sorted(ranked, key=lambda one: (order[one.state], -one.score))))


def _state(method: str, allowed: Members, ruled_out: Members) -> State:
    if method in ruled_out.certain or method not in allowed.possible:
        return "ruled_out"
    if method in allowed.certain and method not in ruled_out.possible:
        return "open"
    return "unsure"


def _scores(findings: Iterable[Finding]) -> Mapping[str, int]:
    scores: dict[str, int] = defaultdict(int)
    for finding in findings:
        if not finding.holds.certain:
            continue
        for effect in finding.rule.then:
            if effect.kind == "favour":
                scores[effect.target] += effect.weight
            elif effect.kind == "disfavour":
                scores[effect.target] -= effect.weight
    return scores
