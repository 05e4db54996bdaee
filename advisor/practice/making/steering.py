"""Steer a drawn case to where its rule matters, by changing answers that the rule does not read.

A rule may fire in a case in which nothing hangs on it: another rule says the same, or work does not
go ahead for another reason. One changed answer often clears that away.
"""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from advisor.advice.doubt.possible_answers import Possible, possible_answers
from advisor.advice.doubt.questions import roots
from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.advice.ranking import REPLACE, Ranking
from advisor.advice.thinking import Thinking
from advisor.practice.making.belongs import faults
from advisor.practice.making.matters import what_hangs_on
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.rules import Rule

CHANGES = 24
"""How many changes are tried on one case."""

FIXED = frozenset({"part_kind", "crack_location", "material", "crack_path", "holes", "fluid"})
"""Answers that would drag others along."""

_ON_METHODS = frozenset({"allow", "rule_out", "favour", "disfavour"})


def steered(thinking: Thinking, rule: Rule, random: Random) -> Thinking | None:
    """A believable case near this one on which something hangs on the rule; None if none is met."""
    here, near, what_if = thinking, _nearness(thinking, rule), WhatIf(thinking)
    for question, possible in _changes(thinking, rule, random):
        found = what_if.think({question: possible.answer})
        if found is None or found.truth_of(rule.id) != "true":
            continue
        nearer = _nearness(found, rule)
        if nearer < near or faults(found):
            continue
        if what_hangs_on(found, rule):
            return found
        if nearer > near:
            here, near, what_if = found, nearer, what_if.from_here(Outlook(found))
    return here if what_hangs_on(here, rule) else None


def _changes(thinking: Thinking, rule: Rule, random: Random) -> Iterator[tuple[str, Possible]]:
    """Other answers to questions that the rule does not rest on, at random."""
    behind = {name for fact in facts_read(rule.when) for name in roots(thinking, fact)}
    given = thinking.case.answers
    names = sorted(given.keys() - behind - FIXED)
    questions = thinking.rulebook.questionnaire.by_id
    found = [
        (name, possible)
        for name in names
        for possible in possible_answers(thinking, questions[name])
        if possible.answer != given[name].value
    ]
    random.shuffle(found)
    yield from found[:CHANGES]


def _nearness(thinking: Thinking, rule: Rule) -> tuple[float, ...]:
    """How near the rule is to mattering; more is nearer."""
    ahead = float(Outlook(thinking).goes_ahead)
    targets = {effect.target for effect in rule.then if effect.kind in _ON_METHODS} - {REPLACE}
    if not targets:
        return (ahead,)
    ranking = thinking.objects["ranking"]
    assert isinstance(ranking, Ranking)
    others = [
        sum(c.value == target and c.rule is not rule for c in thinking.claims["methods_ruled_out"])
        for target in targets
    ]
    best = max((one.score for one in ranking.methods if one.state == "open"), default=0)
    gap = min(abs(best - one.score) for one in ranking.methods if one.method in targets)
    return (float(-min(others)), ahead, float(-gap))
