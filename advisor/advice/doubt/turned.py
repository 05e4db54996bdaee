"""Through which rules two advices for one case came to differ."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from advisor.advice.doubt.what_if import ASPECTS, Aspect, Outlook
from advisor.advice.thinking import Thinking
from advisor.reasoning.judge import Finding
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


def turned_rules(before: Thinking, after: Thinking) -> list[Rule]:
    """All rules whose truth differs between two cases, in the order of the rules."""
    turned: set[str] = set()
    for stage, now in after.findings.items():
        was = before.findings.get(stage)
        if was is not None and was is not now:  # a stage that nothing touched is taken over
            turned.update(_turned_in(was.findings, now.findings))
    return [rule for rule in after.rulebook.rules if rule.id in turned] if turned else []


def _turned_in(was: Mapping[str, Finding], now: Mapping[str, Finding]) -> Iterator[str]:
    for name, found in now.items():
        if found is not was[name] and found.holds != was[name].holds:
            yield name


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


def rule_that_turned(before: Outlook, after: Outlook, question: str) -> str:
    """The rule, or else the formula, through which an answer turned a decision."""
    for aspect in ASPECTS:
        if not before.differs(after, (aspect,)):
            continue
        if aspect in ("verdict", "method"):  # the stages up to the verdict will do
            turned = turned_rules(before.thinking, after.thinking)
        else:
            turned = turned_rules(before.thought_through, after.thought_through)
        bears = bears_on(aspect, before, after)
        behind = [rule for rule in turned if any(bears(effect) for effect in rule.then)]
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
