"""What a rule teaches in a case: what to see, what follows, why, and what comes of ignoring it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.advice.doubt import roots
from advisor.advice.explain import MARK_SAYS
from advisor.advice.phrases import Units, effect_says, fact_text, fill
from advisor.advice.rulebook import STAGES
from advisor.advice.thinking import Thinking
from advisor.reasoning.conditions import Truth
from advisor.reasoning.judge import Premise
from advisor.reasoning.rules import Rule, SourceRef
from advisor.reasoning.wording import fact_says, leaf_says

_MOST_SIGNS = 6


@dataclass(frozen=True)
class Lesson:
    """What one rule teaches here.

    Attributes:
        rule: its id.
        title: what it says.
        see: what to see in this case, sign by sign.
        follows: what follows from it.
        because: the mechanism.
        ignored: what comes of ignoring it, where the rule says so.
        agree: who has to agree.
        sources: where it comes from, and how that was seen.
    """

    rule: str
    title: str
    see: tuple[str, ...]
    follows: str
    because: str
    ignored: str
    agree: str
    sources: tuple[str, ...]


def lesson(thinking: Thinking, rule_id: str, units: Units = "si") -> Lesson:
    """What a rule teaches in a case."""
    rule = thinking.rulebook.rule_by_id[rule_id]

    def say(text: str) -> str:
        return fill(text, thinking, units)

    effects = (
        say(effect.text) if effect.kind == "warn" else effect_says(effect, thinking.rulebook, units)
        for effect in rule.then
    )
    return Lesson(
        rule=rule.id,
        title=say(rule.title),
        see=tuple(dict.fromkeys(_signs(thinking, rule, units)))[:_MOST_SIGNS],
        follows="; ".join(dict.fromkeys(effects)),
        because=say(rule.because),
        ignored=say(rule.caution),
        agree=rule.authority,
        sources=tuple(_source(thinking, ref) for ref in rule.sources),
    )


def _signs(thinking: Thinking, rule: Rule, units: Units) -> Iterator[str]:
    """The tests that are met, each with the answers it comes from."""
    for premise in thinking.findings[STAGES[rule.stage]].premises(rule.id):
        if premise.truth is Truth.TRUE and premise.leaf.fact in thinking.facts:
            yield _sign(thinking, premise, units)


def _sign(thinking: Thinking, premise: Premise, units: Units) -> str:
    fact = premise.leaf.fact
    kind = thinking.rulebook.vocabulary[fact]
    value = f"{fact_says(kind)}: {fact_text(kind, thinking.values[fact], units)}"
    says = leaf_says(premise.leaf, thinking.rulebook.vocabulary, negated=premise.negated)
    if thinking.facts[fact].origin == "answer":
        return value if says in value or kind.type != "number" else f"{value} ({says})"
    behind = sorted(set(roots(thinking, fact)) & thinking.case.answers.keys())[:3]
    told = ", ".join(_answer(thinking, name, units) for name in behind)
    return f"{says} (from {told})" if told else says


def _answer(thinking: Thinking, name: str, units: Units) -> str:
    kinds = thinking.rulebook.vocabulary.kinds
    plain = name.replace("_", " ")
    if name not in kinds:
        return plain
    return f"{plain}: {fact_text(kinds[name], thinking.values[name], units)}"


def _source(thinking: Thinking, ref: SourceRef) -> str:
    if ref.ref == "PRACTICE":
        return "common practice, no source"
    source = thinking.rulebook.knowledge.sources[ref.ref]
    parts = (source.title, source.edition, ref.clause)
    return ", ".join(part for part in parts if part) + f" [{MARK_SAYS[ref.seen]}]"
