"""How several claims of rules on one decision become its value."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.reasoning.rules import Effect, Rule
from advisor.reasoning.values import Members, Number, Value, Word
from advisor.reasoning.vocabulary import FactKind


@dataclass(frozen=True, slots=True)
class Claim:
    """One rule's claim on one decision.

    Attributes:
        rule: the rule that claims.
        effect: the effect that carries the claim.
        certain: whether the rule's condition certainly holds; otherwise it cannot be told.
    """

    rule: Rule
    effect: Effect
    certain: bool

    @property
    def fact(self) -> str:
        """The decision."""
        claim = self.effect.claim
        assert claim is not None
        return claim[0]

    @property
    def value(self) -> str | float:
        """The value claimed, a word or a number in the canonical unit."""
        claim = self.effect.claim
        assert claim is not None
        return claim[1]


class RulesDisagree(Exception):
    """Two rules certainly settle one single-valued decision differently: a fault of the rules."""

    def __init__(self, kind: FactKind, claims: Iterable[Claim]) -> None:
        self.decision = kind.name
        self.claims = tuple(claims)
        said = "; ".join(f"{c.rule.id} says {c.value}" for c in self.claims if c.certain)
        super().__init__(f"rules settle {kind.name} differently: {said}")


def combine(kind: FactKind, claims: list[Claim]) -> Value:
    """The value of a decision from all claims on it.

    Raises:
        RulesDisagree: two certain claims on a ``single`` decision differ.
    """
    if kind.combine == "collect":
        certain = frozenset(str(c.value) for c in claims if c.certain)
        return Members(certain, frozenset(str(c.value) for c in claims), known=True)
    if kind.type == "number":
        return _combine_numbers(kind, claims)
    if kind.combine == "strictest":
        return _strictest(kind, claims)
    return _single(kind, claims)


def _combine_numbers(kind: FactKind, claims: list[Claim]) -> Value:
    certain = {float(c.value) for c in claims if c.certain}
    possible = {float(c.value) for c in claims}
    if kind.combine == "single":
        if len(certain) > 1:
            raise RulesDisagree(kind, claims)
        if not certain:
            return kind.open
        return Number(min(possible), max(possible), known=True)
    if not possible:
        return kind.open
    if kind.combine == "highest":
        return Number(max(certain or {min(possible)}), max(possible), known=True)
    return Number(min(possible), min(certain or {max(possible)}), known=True)


def _strictest(kind: FactKind, claims: list[Claim]) -> Value:
    floor = [kind.otherwise] if kind.otherwise else []
    certain = floor + [str(claim.value) for claim in claims if claim.certain]
    possible = floor + [counts_as(kind, claim) for claim in claims]
    if not possible or (not certain and kind.unsure is None):
        return kind.open
    rank = kind.choices.index
    worst = rank(max(possible, key=rank))
    if kind.unsure is not None:
        return Word(frozenset((kind.choices[worst],)), known=True)
    surely = rank(max(certain, key=rank))
    return Word(frozenset(kind.choices[surely : worst + 1]), known=surely == worst)


def counts_as(kind: FactKind, claim: Claim) -> str:
    """What a claim on a ``strictest`` decision counts as, certain or not."""
    value = str(claim.value)
    if claim.certain or kind.unsure is None:
        return value
    rank = kind.choices.index
    return min(value, kind.unsure, key=rank)


def _single(kind: FactKind, claims: list[Claim]) -> Value:
    certain = {str(c.value) for c in claims if c.certain}
    possible = {str(c.value) for c in claims}
    if len(certain) > 1:
        raise RulesDisagree(kind, claims)
    if not possible:
        return Word(frozenset((kind.otherwise,)), known=True) if kind.otherwise else kind.open
    if certain:
        return Word(frozenset(possible), known=possible == certain)
    fallback = {kind.otherwise} if kind.otherwise else set(kind.choices)
    return Word(frozenset(possible | fallback), known=False)
