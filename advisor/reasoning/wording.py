"""Conditions and values in plain English: the fourth reader of the condition tree."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal

from advisor.reasoning.conditions import All, Condition, Known, Leaf, Not, Test
from advisor.reasoning.values import Members, Value, Word
from advisor.reasoning.vocabulary import FactKind, Vocabulary

_COMPARISON = {
    "at_least": "at least",
    "at_most": "at most",
    "above": "above",
    "below": "below",
}

_HARD_TO_READ = frozenset("(:")
"""What makes a sentence of several parts hard to read: brackets, and a yes or no behind a colon."""


def fact_says(kind: FactKind) -> str:
    """A fact as it reads inside a sentence."""
    return kind.says or kind.name.replace("_", " ")


def choice_says(kind: FactKind, word: str) -> str:
    """A choice as it reads inside a sentence."""
    return kind.labels.get(word) or word.replace("_", " ")


def number_says(value: float, unit: str) -> str:
    """A number in its canonical unit, without noise digits and without exponent."""
    if math.isinf(value):
        return "not known"
    rounded = float(f"{value:.4g}") if abs(value) < 1e4 else float(round(value))
    digits = f"{Decimal(repr(rounded + 0.0)):f}".removesuffix(".0")
    return digits if unit in ("", "1") else f"{digits} {unit}"


def value_says(value: Value, kind: FactKind) -> str:
    """A value in plain words."""
    if isinstance(value, Word):
        left = [word for word in kind.choices if word in value.possible]
        open_ = not left or len(left) == len(kind.choices) > 1
        return "not known" if open_ else _either(kind, left)
    if not value.known:
        return "not known"
    if isinstance(value, Members):
        sure = [choice_says(kind, word) for word in sorted(value.certain)]
        more = [choice_says(kind, word) for word in sorted(value.possible - value.certain)]
        return ", ".join([*sure, *(f"perhaps {word}" for word in more)]) or "none"
    if value.exact:
        return number_says(value.low, kind.unit)
    if math.isinf(value.low):
        return f"at most {number_says(value.high, kind.unit)}"
    if math.isinf(value.high):
        return f"at least {number_says(value.low, kind.unit)}"
    return f"{number_says(value.low, '')} to {number_says(value.high, kind.unit)}"


def _either(kind: FactKind, words: Iterable[str]) -> str:
    """One of several choices: ``a``, ``a or b``, ``a, b or c``."""
    *most, last = (choice_says(kind, word) for word in words)
    return f"{', '.join(most)} or {last}" if most else last


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
    words = [word for word in kind.choices if word in leaf.words]
    if set(kind.choices) == {"yes", "no"} and len(leaf.words) == 1:
        yes = ("yes" in leaf.words) != negated
        return f"{subject}: {'yes' if yes else 'no'}"
    listed = _either(kind, words)
    verb = "includes" if kind.type == "members" else "is"
    if not negated:
        return f"{subject} {verb} {listed}"
    if len(words) == 1:
        return f"{subject} {'does not include' if verb == 'includes' else 'is not'} {listed}"
    if len(words) == 2:
        one, other = (choice_says(kind, word) for word in words)
        return f"{subject} {verb} neither {one} nor {other}"
    return f"{subject} {verb} none of {listed}"


def _says(condition: Condition, vocabulary: Vocabulary, *, negated: bool, nested: bool) -> str:
    if isinstance(condition, Test | Known):
        return leaf_says(condition, vocabulary, negated=negated)
    if isinstance(condition, Not):
        return _says(condition.part, vocabulary, negated=not negated, nested=nested)
    joined_by_and = isinstance(condition, All) != negated
    if not condition.parts:
        return "always" if joined_by_and else "never"
    within = nested or len(condition.parts) > 1
    parts = [_says(part, vocabulary, negated=negated, nested=within) for part in condition.parts]
    text = (" and " if joined_by_and else " or ").join(parts)
    return f"({text})" if nested and len(parts) > 1 else text


def condition_outline(
    condition: Condition, vocabulary: Vocabulary, *, widest: int = 90
) -> tuple[str, list[tuple[int, str]]]:
    """A condition as a sentence, or as a lead and indented parts where a sentence would be hard.

    Args:
        condition: what is said.
        vocabulary: the facts it reads.
        widest: characters that a sentence of several parts may have.

    Returns:
        The sentence or lead, and each part with its depth, from 0.
    """
    sentence = condition_says(condition, vocabulary)
    parts = list(_outline(condition, vocabulary, negated=False, depth=0))
    if len(parts) == 1 or (len(sentence) <= widest and not _HARD_TO_READ & set(sentence)):
        return sentence, []
    (_, lead), *rest = parts
    return lead, [(depth - 1, text) for depth, text in rest]


def _outline(
    condition: Condition, vocabulary: Vocabulary, *, negated: bool, depth: int
) -> Iterable[tuple[int, str]]:
    if isinstance(condition, Not):
        yield from _outline(condition.part, vocabulary, negated=not negated, depth=depth)
        return
    if isinstance(condition, Test | Known) or not condition.parts:
        yield depth, _says(condition, vocabulary, negated=negated, nested=False)
        return
    if len(condition.parts) == 1:
        yield from _outline(condition.parts[0], vocabulary, negated=negated, depth=depth)
        return
    yield depth, "all of these" if isinstance(condition, All) != negated else "any of these"
    for part in condition.parts:
        yield from _outline(part, vocabulary, negated=negated, depth=depth + 1)
