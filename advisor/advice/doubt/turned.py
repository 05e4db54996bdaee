"""Through which rules two advices for one case came to differ."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.advice.doubt.what_if import Aspect, Outlook
from advisor.advice.thinking import Thinking
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import NEVER_HOLDS, Holds, Truth
from advisor.reasoning.rules import Effect, Rule

_METHOD_EFFECTS = frozenset({"rule_out", "allow", "favour", "disfavour"})
_MADE_BY: dict[str, str] = {
    "pin": "seam",
    "pins": "seam",
    "pin spacing": "seam",
    "key": "keys",
    "keys": "keys",
    "key layers": "keys",
    "key depth": "keys",
}
"""The formula behind each size that no rule settles."""


@dataclass(frozen=True)
class Turned:
    """A rule whose truth is not what it was."""

    rule: Rule
    was: Truth
    now: Truth


def turned_rules(before: Thinking, after: Thinking) -> list[Turned]:
    """All rules whose truth differs between two cases, in the order of the rules."""
    was, now = _truths(before), _truths(after)
    return [
        Turned(rule, was(rule).truth, now(rule).truth)
        for rule in after.rulebook.rules
        if was(rule) != now(rule)
    ]


def _truths(thinking: Thinking) -> Callable[[Rule], Holds]:
    held = {
        name: found.holds
        for findings in thinking.findings.values()
        for name, found in findings.findings.items()
    }
    return lambda rule: held.get(rule.id, NEVER_HOLDS)


def bears_on(aspect: Aspect, before: Outlook, after: Outlook) -> Callable[[Effect], bool]:
    """Whether an effect can have made two advices differ in one aspect."""
    differ = {
        item[0] if isinstance(item, tuple) else item
        for item in before.of(aspect) ^ after.of(aspect)
    }
    methods = {before.method, after.method}
    tests: dict[Aspect, Callable[[Effect], bool]] = {
        "verdict": lambda effect: _settles(effect, {"verdict"}) or _on(effect, methods),
        "method": lambda effect: _on(effect, methods),
        "approvals": lambda effect: effect.kind == "require_approval" and effect.target in differ,
        "sizes": lambda effect: _settles(effect, differ),
        "inspections": lambda e: e.kind == "require_inspection" and e.target in differ,
        "steps": lambda effect: effect.kind == "require_step" and effect.target in differ,
        "cautions": lambda effect: effect.kind == "warn",
    }
    return tests[aspect]


def _settles(effect: Effect, decisions: set[object]) -> bool:
    return effect.kind in ("settle", "assume") and effect.target in decisions


def _on(effect: Effect, methods: set[str]) -> bool:
    return effect.kind in _METHOD_EFFECTS and effect.target in methods


def rules_behind(aspect: Aspect, before: Outlook, after: Outlook) -> list[Turned]:
    """The rules through which two advices differ in one aspect."""
    bears = bears_on(aspect, before, after)
    turned = turned_rules(before.thought_through, after.thought_through)
    return [one for one in turned if any(bears(effect) for effect in one.rule.then)]


def rule_that_turned(before: Outlook, after: Outlook, question: str) -> str:
    """The rule, or else the formula, through which an answer turned a decision."""
    for aspect in before.differs(after):
        behind = [one.rule for one in rules_behind(aspect, before, after)]
        direct = [rule for rule in behind if question in rule.reads]
        for rule in (*direct, *behind):
            return rule.id
        for formula in _formulas(aspect, before, after):
            return formula
    return ""


def _formulas(aspect: Aspect, before: Outlook, after: Outlook) -> Iterator[str]:
    if aspect == "sizes":
        for name in sorted({name for name, _ in before.sizes ^ after.sizes}):
            yield _MADE_BY.get(name, "inserts" if name.startswith("insert") else name)
