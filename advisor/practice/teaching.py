"""What a rule teaches in a case: what to see, what follows, why, and what comes of ignoring it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.doubt.questions import roots
from advisor.advice.doubt.what_if import Outlook
from advisor.advice.explain import MARK_SAYS
from advisor.advice.phrases import Units, effect_says, fact_text, fill
from advisor.advice.rulebook import STAGES
from advisor.advice.thinking import Thinking
from advisor.light_dataclass import dataclass
from advisor.practice.making.matters import outlook_without
from advisor.reasoning.conditions import Known, Test, Truth
from advisor.reasoning.judge import Premise
from advisor.reasoning.rules import Effect, Rule, SourceRef
from advisor.reasoning.wording import fact_says, leaf_says

_MOST_SIGNS = 6
_MOST_BEHIND = 4


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

    effects = (say(_effect(thinking, effect, units)) for effect in rule.then)
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


def _effect(thinking: Thinking, effect: Effect, units: Units) -> str:
    """What a rule does, with steps, inspections and people in the words of the advice."""
    book = thinking.rulebook
    if effect.kind == "warn":
        return effect.text
    if effect.kind == "require_step":
        return f"the step “{book.steps[effect.target].do}”"
    if effect.kind == "require_inspection":
        one = book.inspections[effect.target]
        return f"the inspection {one.when} the work: {one.method}, {one.what}"
    if effect.kind == "require_approval":
        who = book.knowledge.tables["approvals"].rows[effect.target]["who"].value
        return f"{who} has to agree"
    return effect_says(effect, book, units)


def overlooked(thinking: Thinking, rule_id: str) -> str:
    """What somebody would come to who did not know a rule; nothing where it turns no decision."""
    there = outlook_without(thinking, thinking.rulebook.rule_by_id[rule_id])
    here = Outlook(thinking)
    if there is None or (there.verdict, there.method) == (here.verdict, here.method):
        return ""
    verdict = there.verdict.replace("_", " ")
    if not there.goes_ahead:
        return f"The verdict would have been {verdict}."
    name = thinking.rulebook.knowledge.tables["methods"].rows[there.method]["name"].value
    return f"The verdict would have been {verdict}, by {name}."


def _signs(thinking: Thinking, rule: Rule, units: Units) -> Iterator[str]:
    """The tests that are met, each with the answers it comes from."""
    met = [
        premise
        for premise in thinking.findings[STAGES[rule.stage]].premises(rule.id)
        if premise.truth is Truth.TRUE
    ]
    tested = {premise.leaf.fact for premise in met if isinstance(premise.leaf, Test)}
    for premise in met:
        if isinstance(premise.leaf, Test) or premise.leaf.fact not in tested:
            yield _sign(thinking, premise, units)


def _sign(thinking: Thinking, premise: Premise, units: Units) -> str:
    """A fact with its value, the limit it was held against, and the answers behind it."""
    leaf, fact = premise.leaf, premise.leaf.fact
    kind = thinking.rulebook.vocabulary[fact]
    value = thinking.values[fact]
    limit = leaf_says(leaf, thinking.rulebook.vocabulary, negated=premise.negated)
    if not value.known and isinstance(leaf, Known):
        return limit
    says = f"{fact_says(kind)}: {fact_text(kind, value, units)}"
    if isinstance(leaf, Test) and kind.type == "number":
        says += f" ({limit.removeprefix(fact_says(kind)).strip()})"
    behind = sorted(set(roots(thinking, fact)) & thinking.case.answers.keys())
    if thinking.facts[fact].origin == "answer" or not 0 < len(behind) <= _MOST_BEHIND:
        return says
    return f"{says}, from {', '.join(_answer(thinking, name, units) for name in behind)}"


def _answer(thinking: Thinking, name: str, units: Units) -> str:
    kinds = thinking.rulebook.vocabulary.kinds
    plain = name.replace("_", " ")
    if name not in kinds:
        return plain
    return f"{plain} {fact_text(kinds[name], thinking.values[name], units)}"


def _source(thinking: Thinking, ref: SourceRef) -> str:
    if ref.ref == "PRACTICE":
        return "common practice, no source"
    source = thinking.rulebook.knowledge.sources[ref.ref]
    parts = (source.title, source.edition, ref.clause)
    named = ", ".join(part for part in parts if part and part != "not stated")
    return f"{named} [{MARK_SAYS[ref.seen]}]"
