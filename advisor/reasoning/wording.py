"""Conditions and values in plain English: the fourth reader of the condition tree."""

from __future__ import annotations

import math

from advisor.reasoning.conditions import All, Condition, Known, Leaf, Not, Test
from advisor.reasoning.values import Members, Value, Word
from advisor.reasoning.vocabulary import FactKind, Vocabulary

_COMPARISON = {
    "at_least": "at least",
    "at_most": "at most",
    "above": "above",
    "below": "below",
}


def fact_says(kind: FactKind) -> str:
    """A fact as it reads inside a sentence."""
    return kind.says or kind.name.replace("_", " ")


def choice_says(kind: FactKind, word: str) -> str:
    """A choice as it reads inside a sentence."""
    return kind.labels.get(word) or word.replace("_", " ")


def number_says(value: float, unit: str) -> str:
    """A number in its canonical unit, without noise digits."""
    if math.isinf(value):
        return "not known"
    digits = f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}"
    return digits if unit in ("", "1") else f"{digits} {unit}"


def value_says(value: Value, kind: FactKind) -> str:
    """A value in plain words."""
    if isinstance(value, Word):
        return choice_says(kind, value.word) if value.word is not None else "not known"
    if isinstance(value, Members):
        if not value.known:
            return "not known"
        return ", ".join(choice_says(kind, word) for word in sorted(value.certain)) or "none"
    if not value.known:
        return "not known"
    if value.exact:
        return number_says(value.low, kind.unit)
    return f"{number_says(value.low, '')} to {number_says(value.high, kind.unit)}"


def condition_says(condition: Condition, vocabulary: Vocabulary) -> str:
    """A whole condition as one clause."""
    return _says(condition, vocabulary, negated=False, nested=False)


def leaf_says(leaf: Leaf, vocabulary: Vocabulary, *, negated: bool = False) -> str:
    """One test as a clause."""
    kind = vocabulary[leaf.fact]
    subject = fact_says(kind)
    if isinstance(leaf, Known):
        return f"{subject} is {'known' if leaf.known != negated else 'not known'}"
    if kind.type == "number":
        verb = "is not" if negated else "is"
        limit = leaf.written or number_says(leaf.limit, kind.unit)
        return f"{subject} {verb} {_COMPARISON[leaf.op]} {limit}"
    return _word_test_says(leaf, kind, subject, negated=negated)


def _word_test_says(leaf: Test, kind: FactKind, subject: str, *, negated: bool) -> str:
    words = [choice_says(kind, word) for word in kind.choices if word in leaf.words]
    if set(kind.choices) == {"yes", "no"} and len(leaf.words) == 1:
        yes = ("yes" in leaf.words) != negated
        return f"{subject}: {'yes' if yes else 'no'}"
    listed = " or ".join(words) if len(words) < 3 else ", ".join(words[:-1]) + " or " + words[-1]
    if kind.type == "members":
        return f"{subject} {'does not include' if negated else 'includes'} {listed}"
    return f"{subject} {'is not' if negated else 'is'} {listed}"


def _says(condition: Condition, vocabulary: Vocabulary, *, negated: bool, nested: bool) -> str:
    if isinstance(condition, Test | Known):
        return leaf_says(condition, vocabulary, negated=negated)
    if isinstance(condition, Not):
        return _says(condition.part, vocabulary, negated=not negated, nested=nested)
    if not condition.parts:
        return "never" if negated else "always"
    joined_by_and = isinstance(condition, All) != negated
    parts = [
        _says(part, vocabulary, negated=negated, nested=len(condition.parts) > 1)
        for part in condition.parts
    ]
    text = (" and " if joined_by_and else " or ").join(parts)
    return f"({text})" if nested and len(parts) > 1 else text
