"""Random rule bases, random cases, and the least that it takes to think a case through.

A rule base comes from a seed, so that it is compiled once and shared; the cases come from
hypothesis, which can shrink them. Rules obey what the loader asks of them, and nothing more.
"""

from __future__ import annotations

import functools
import math
import random
from collections.abc import Iterable, Mapping
from typing import Any as Anything

from hypothesis import strategies as st

from advisor.reasoning.agreement import StageReasoner
from advisor.reasoning.claims import Claim, RulesDisagree, combine
from advisor.reasoning.conditions import (
    COMPARISONS,
    All,
    Any,
    Condition,
    Known,
    Not,
    Test,
    TooManyCombinations,
    alternatives,
    one_member_a_test,
)
from advisor.reasoning.judge import StageFindings, claims_of
from advisor.reasoning.rules import LONGEST_ALTERNATIVE, MOST_ALTERNATIVES, Effect, Rule, SourceRef
from advisor.reasoning.values import Members, Number, Value, Word
from advisor.reasoning.vocabulary import FactKind, Vocabulary

STAGES = ("first", "second", "third")
LIMITS = (-40.0, 0.0, 0.0001, 1.5, 8.0, 8.0001, 9.525, 100.0, 123456.7891, 1e12)
METALS = ("gray_iron", "ductile_iron", "cast_steel", "bronze")
ODD_WORDS = ('Größe 3/8"', "l'été", "鋳鉄", "10", "a\\b", "no")
SIGNS = ("rust", "oil", "frost", "dirt")


def _decisions(stage: int) -> list[FactKind]:
    """One decision of every kind."""
    letter = "abc"[stage]
    grades = ("mild", "middling", "hard", "worst")
    word = functools.partial(FactKind, type="word", stage=stage, choices=grades)
    number = functools.partial(FactKind, type="number", stage=stage, dimension="length", unit="mm")
    return [
        word(f"{letter}_standing", combine="strictest", otherwise="mild", unsure="middling"),
        word(f"{letter}_doubt", combine="strictest", otherwise="mild"),
        word(f"{letter}_strict", combine="strictest"),
        word(f"{letter}_route", combine="single", otherwise="mild"),
        word(f"{letter}_way", combine="single"),
        FactKind(f"{letter}_found", "members", stage, choices=SIGNS, combine="collect"),
        number(f"{letter}_highest", combine="highest"),
        number(f"{letter}_lowest", combine="lowest"),
        number(f"{letter}_single", combine="single"),
    ]


ANSWERS = (
    FactKind("metal", "word", choices=METALS),
    FactKind("turns", "word", choices=("no", "yes")),
    FactKind("odd", "word", choices=ODD_WORDS),
    FactKind("signs", "members", choices=SIGNS),
    FactKind("odd_signs", "members", choices=ODD_WORDS),
    FactKind("wall", "number", dimension="length", unit="mm"),
    FactKind("heat", "number", dimension="temperature", unit="degC"),
)
VOCABULARY = Vocabulary(STAGES, (*ANSWERS, *(d for index in range(3) for d in _decisions(index))))
NOTHING_KNOWN: Mapping[str, Value] = {kind.name: kind.open for kind in VOCABULARY.kinds.values()}


# --- rules --------------------------------------------------------------------------------------


def make_rule(rule_id: str, stage: int, when: Condition, *then: Effect) -> Rule:
    """A rule with the least that the reasoners look at."""
    return Rule(
        id=rule_id,
        subject="tests",
        stage=stage,
        title=rule_id,
        when=when,
        then=then or (Effect("warn", text="mind"),),
        because="made up",
        sources=(SourceRef("PRACTICE"),),
    )


def random_rules(seed: int, *, knowing: bool = True) -> tuple[Rule, ...]:
    """A rule base of some thirty rules over three stages.

    Args:
        seed: makes the same rules again.
        knowing: whether rules may ask if a fact is known.
    """
    rng = random.Random(seed)
    return tuple(
        _random_rule(rng, stage, f"{STAGES[stage]}.r{number}", knowing=knowing)
        for stage in range(len(STAGES))
        for number in range(rng.randint(4, 14))
    )


def _random_rule(rng: random.Random, stage: int, rule_id: str, *, knowing: bool) -> Rule:
    while True:
        when = _condition(rng, stage, depth=3, negated=False, knowing=knowing)
        if _fits(when, stage):
            break
    decisions = [kind for kind in VOCABULARY.kinds.values() if kind.combine and kind.stage >= stage]
    # Chains inside the stage are what two reasoners are most likely to see differently.
    own = [kind for kind in decisions if kind.stage == stage and _readable(kind, stage, False)]
    then = [_effect(rng, rng.choice(own if rng.random() < 0.5 else decisions)) for _ in range(2)]
    return make_rule(rule_id, stage, when, *then[: rng.randint(1, 2)])


def _fits(when: Condition, stage: int) -> bool:
    try:
        alternatives(when)
        split = alternatives(one_member_a_test(when, VOCABULARY.sets_in(stage)), MOST_ALTERNATIVES)
    except TooManyCombinations:
        return False
    return all(len(literals) <= LONGEST_ALTERNATIVE for literals in split)


def _effect(rng: random.Random, kind: FactKind) -> Effect:
    if kind.type == "number":
        return Effect("settle", kind.name, number=rng.choice(LIMITS))
    return Effect("settle", kind.name, word=rng.choice(kind.choices))


def _readable(kind: FactKind, stage: int, negated: bool) -> bool:
    if kind.stage != stage or kind.combine is None:
        return kind.stage < stage
    return not negated and kind.combine in ("single", "collect") and kind.type != "number"


def _condition(
    rng: random.Random, stage: int, *, depth: int, negated: bool, knowing: bool
) -> Condition:
    if depth == 0 or rng.random() < 0.3:
        return _leaf(rng, stage, negated=negated, knowing=knowing)
    if rng.random() < 0.2:
        part = _condition(rng, stage, depth=depth - 1, negated=not negated, knowing=knowing)
        return Not(part)
    parts = tuple(
        _condition(rng, stage, depth=depth - 1, negated=negated, knowing=knowing)
        for _ in range(rng.randint(1, 3))
    )
    return All(parts) if rng.random() < 0.5 else Any(parts)


def _leaf(rng: random.Random, stage: int, *, negated: bool, knowing: bool) -> Condition:
    kinds = [kind for kind in VOCABULARY.kinds.values() if _readable(kind, stage, negated)]
    kind = rng.choice(kinds)
    if knowing and rng.random() < 0.15 and kind.stage < stage:
        return Known(kind.name, rng.random() < 0.5)
    if kind.type == "number":
        return Test(kind.name, rng.choice(COMPARISONS), limit=rng.choice(LIMITS))
    words = frozenset(rng.sample(kind.choices, rng.randint(1, min(3, len(kind.choices)))))
    if kind.type == "members":
        return Test(kind.name, "includes", words=words)
    return Test(kind.name, "is" if len(words) == 1 else "one_of", words=words)


# --- cases --------------------------------------------------------------------------------------


def _near(limit: float) -> st.SearchStrategy[float]:
    steps = (-1.0, -0.0001, -0.00005, -0.00004, 0.0, 0.00004, 0.00005, 0.0001, 1.0)
    return st.sampled_from(steps).map(lambda step: max(-1e12, min(1e12, limit + step)))


floats = st.sampled_from(LIMITS).flatmap(_near) | st.floats(-1e6, 1e6, allow_nan=False)


@st.composite
def numbers(draw: st.DrawFn) -> Number:
    """Exact, ranged, half open or open."""
    shape = draw(st.sampled_from(("exact", "range", "half", "open")))
    if shape == "open":
        return Number(-math.inf, math.inf, known=False)
    low, high = sorted((draw(floats), draw(floats)))
    if shape == "exact":
        return Number(low, low, known=True)
    if shape == "half":
        ends = draw(st.sampled_from(((-math.inf, high), (low, math.inf))))
        return Number(*ends, known=True)
    return Number(low, high, known=True)


@st.composite
def word_values(draw: st.DrawFn, choices: tuple[str, ...]) -> Word:
    """One word, some of the words, or all of them."""
    possible = draw(st.sets(st.sampled_from(choices), min_size=1))
    shape = draw(st.sampled_from(("certain", "some", "open")))
    if shape == "certain":
        return Word(frozenset((min(possible),)), known=True)
    return Word(frozenset(possible if shape == "some" else choices), known=False)


@st.composite
def member_values(draw: st.DrawFn, choices: tuple[str, ...]) -> Members:
    """A complete set, one with members that may or may not be there, or an open one."""
    certain = frozenset(draw(st.sets(st.sampled_from(choices))))
    shape = draw(st.sampled_from(("certain", "some", "open")))
    if shape == "certain":
        return Members(certain, certain, known=True)
    if shape == "open":
        return Members(frozenset(), frozenset(choices), known=False)
    more = frozenset(draw(st.sets(st.sampled_from(choices))))
    return Members(certain, certain | more, known=draw(st.booleans()))


def values_of(kind: FactKind) -> st.SearchStrategy[Anything]:
    """Any value that a fact can have."""
    if kind.type == "number":
        return numbers()
    if kind.type == "word":
        return word_values(kind.choices)
    return member_values(kind.choices)


def facts_of(kinds: Iterable[FactKind]) -> st.SearchStrategy[dict[str, Anything]]:
    """Any values of some facts; those not named have to be filled in."""
    return st.fixed_dictionaries({kind.name: values_of(kind) for kind in kinds})


cases = facts_of(ANSWERS)
"""Answers, known, ranged and open ones mixed."""


def random_case(rng: random.Random) -> dict[str, Value]:
    """A case from a random source, for runs too long for hypothesis."""
    return {kind.name: _random_value(rng, kind) for kind in ANSWERS}


def _random_value(rng: random.Random, kind: FactKind) -> Value:
    shape = rng.choice(("exact", "exact", "range", "open"))
    if kind.type == "number":
        steps = (0, 0.0001, 0.00004, -1)
        low, high = sorted(rng.choice(LIMITS[:-1]) + rng.choice(steps) for _ in "ab")
        if shape == "open":
            return Number(-math.inf, math.inf, known=False)
        return Number(low, low if shape == "exact" else high, known=True)
    words = frozenset(rng.sample(kind.choices, rng.randint(1, len(kind.choices))))
    if kind.type == "word":
        possible = {"exact": frozenset((min(words),)), "range": words}.get(
            shape, frozenset(kind.choices)
        )
        return Word(possible, known=shape == "exact")
    if shape == "exact":
        return Members(words, words, known=True)
    if shape == "open":
        return Members(frozenset(), frozenset(kind.choices), known=False)
    return Members(frozenset(sorted(words)[1:]), words, known=False)


# --- thinking -----------------------------------------------------------------------------------


def reasoners_for(rules: Iterable[Rule], *, use_engine: bool) -> tuple[StageReasoner, ...]:
    """One reasoner for each stage."""
    rules = tuple(rules)
    return tuple(
        StageReasoner(
            [rule for rule in rules if rule.stage == stage],
            VOCABULARY,
            stage,
            use_engine=use_engine,
        )
        for stage in range(len(STAGES))
    )


def think(reasoners: Iterable[StageReasoner], case: Mapping[str, Value]) -> list[StageFindings]:
    """Think a case through, stage by stage; stops where rules certainly disagree."""
    values: dict[str, Value] = {**NOTHING_KNOWN, **case}
    claims: list[Claim] = []
    found: list[StageFindings] = []
    for stage, reasoner in enumerate(reasoners):
        found.append(reasoner.reason(values, claims))
        claims += claims_of(found[-1])
        try:
            for kind in VOCABULARY.kinds.values():
                if kind.combine and kind.stage == stage:
                    values[kind.name] = combine(kind, [c for c in claims if c.fact == kind.name])
        except RulesDisagree:
            break
    return found
