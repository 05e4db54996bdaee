"""Which methods are left, and which of them is best.

A method needs a rule that certainly allows it and no rule that even possibly rules it out; an
exclusion always beats a preference. Among those left, rules that speak for and against a method
add and take their weight; the order of the methods table breaks ties.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from advisor.light_dataclass import dataclass
from advisor.reasoning.judge import Finding
from advisor.reasoning.values import Members

REPLACE = "replace_part"

State = Literal["open", "unsure", "ruled_out"]


@dataclass(frozen=True)
class Ranked:
    """One method: whether it is left, and the sum of weights for and against it.

    Attributes:
        method: the method.
        state: whether it is left.
        score: the sum of the weights that are certain.
        least: the sum if every missing answer spoke against it.
        most: the sum if every missing answer spoke for it.
    """

    method: str
    state: State
    score: int
    least: int
    most: int


@dataclass(frozen=True)
class Ranking:
    """All methods, best first.

    Attributes:
        methods: the methods, best first.
        order: their names in the order of preference that breaks ties.
    """

    methods: tuple[Ranked, ...]
    order: tuple[str, ...]

    @property
    def left(self) -> Literal["some", "unsure", "none"]:
        """What is left of the methods that repair the part.

        A method that a missing answer may still allow, or lift above the others, makes the choice
        unsure: the question comes before the second-best method.
        """
        best = self._first("open")
        repairs = {one.state for one in self.methods if one.method != REPLACE}
        if "open" not in repairs:
            return "unsure" if "unsure" in repairs else "none"
        return "unsure" if best and any(self._may_overtake(best)) else "some"

    @property
    def best(self) -> str:
        """The best method left; ``none`` while the choice is unsure."""
        best = self._first("open")
        return "none" if best is None or self.left == "unsure" else best.method

    def _first(self, state: State) -> Ranked | None:
        return next((one for one in self.methods if one.state == state), None)

    def _may_overtake(self, best: Ranked) -> Iterator[bool]:
        """Whether each other method may turn out better than the best one, were all known."""
        if best.method == REPLACE:
            yield from (o.score > best.score for o in self.methods if o.state == "unsure")
            return
        place = {method: index for index, method in enumerate(self.order)}
        for other in self.methods:
            if other.method != best.method and other.state != "ruled_out":
                tied = other.most == best.least and place[other.method] < place[best.method]
                yield other.most > best.least or tied


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
    names = tuple(methods)
    score, down, up = _scores(findings)
    order = {"open": 0, "unsure": 1, "ruled_out": 2}
    ranked = [
        Ranked(
            method,
            _state(method, allowed, ruled_out),
            score[method],
            score[method] - down[method],
            score[method] + up[method],
        )
        for method in names
    ]
    ranked.sort(key=lambda one: (order[one.state], -one.score))
    return Ranking(tuple(ranked), names)


def _state(method: str, allowed: Members, ruled_out: Members) -> State:
    if method in ruled_out.certain or method not in allowed.possible:
        return "ruled_out"
    if method in allowed.certain and method not in ruled_out.possible:
        return "open"
    return "unsure"


def _scores(findings: Iterable[Finding]) -> tuple[Mapping[str, int], ...]:
    """By method: the weights that are certain, and how far missing answers may move them."""
    score: dict[str, int] = defaultdict(int)
    down: dict[str, int] = defaultdict(int)
    up: dict[str, int] = defaultdict(int)
    for finding in findings:
        if not finding.holds.possible:
            continue
        for effect in finding.rule.then:
            if effect.kind not in ("favour", "disfavour"):
                continue
            if finding.holds.certain:
                score[effect.target] += effect.weight if effect.kind == "favour" else -effect.weight
            elif effect.kind == "favour":
                up[effect.target] += effect.weight
            else:
                down[effect.target] += effect.weight
    return score, down, up
