"""Rule-level cases: facts put in, and whether one rule fires, stays silent, or cannot tell.

A file in this folder lists entries. `base` are facts for which the rule certainly fires; every fact
that is not named is open. Each entry of `fires`, `silent` and `open` changes the base in one or
more facts. In a value `a | b` stands for one case each, `the others` for every choice that neither
the base nor another change of this fact alone names, and `not known` for an open fact.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.advice.rulebook import Rulebook
from advisor.case.quantities import parse_measure
from advisor.case.yaml_text import read_yaml
from advisor.reasoning.conditions import Condition, Truth, evaluate, facts_read
from advisor.reasoning.values import Value, members, number, word
from advisor.reasoning.vocabulary import FactKind

FOLDER = Path(__file__).parent
OTHERS = "the others"
OPEN = "not known"
TRUTHS = {"fires": Truth.TRUE, "silent": Truth.FALSE, "open": Truth.UNKNOWN}

Plain = Mapping[str, Any]


@dataclass(frozen=True)
class RuleCase:
    """One case of one rule."""

    rule: str
    facts: Plain
    expected: Truth
    line: str

    def truth(self, when: Condition, book: Rulebook) -> Truth:
        """What a condition makes of the facts of this case."""
        values = {name: book.vocabulary[name].open for name in facts_read(when)}
        for name, plain in self.facts.items():
            if name in values and plain != OPEN:
                values[name] = value_of(plain, book.vocabulary[name])
        return evaluate(when, values).truth


def value_of(plain: Any, kind: FactKind) -> Value:
    """A fact's value from its plain text."""
    if kind.type == "members":
        return members(*plain)
    if kind.type == "word":
        if plain not in kind.choices:
            raise ValueError(f"{kind.name} cannot be {plain!r}")
        return word(plain)
    measure = parse_measure(plain, kind.dimension)
    return number(measure.low, measure.high)


def entries() -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every entry of every file, with the name of its file."""
    for path in sorted(FOLDER.glob("*.yaml")):
        for entry in read_yaml(path).data["cases"]:
            yield path.name, entry


def rule_cases(book: Rulebook) -> Iterator[RuleCase]:
    """Every case of every entry."""
    for _, entry in entries():
        yield from cases_of(entry, book)


def cases_of(entry: Mapping[str, Any], book: Rulebook) -> Iterator[RuleCase]:
    """The cases of one entry, the base first."""
    rule, base = entry["rule"], entry.get("base") or {}
    yield RuleCase(rule, base, Truth.TRUE, "base")
    for name, truth in TRUTHS.items():
        for change in entry.get(name) or ():
            for facts in _spread(change, entry, book):
                yield RuleCase(rule, {**base, **facts}, truth, f"{name} {facts}")


def _spread(change: Plain, entry: Mapping[str, Any], book: Rulebook) -> Iterator[Plain]:
    many = [(name, value) for name, value in change.items() if _is_many(value)]
    if not many:
        yield change
        return
    ((name, value),) = many
    for each in _each(name, value, entry, book):
        yield {**change, name: each}


def _is_many(value: Any) -> bool:
    return isinstance(value, str) and (value == OTHERS or " | " in value)


def _each(name: str, value: str, entry: Mapping[str, Any], book: Rulebook) -> list[Any]:
    kind = book.vocabulary[name]
    words = value.split(" | ") if value != OTHERS else _others(kind, entry)
    return [[each] for each in words] if kind.type == "members" else words


def _others(kind: FactKind, entry: Mapping[str, Any]) -> list[str]:
    """Every choice of a fact that neither the base nor a change of this fact alone names."""
    alone = (c for name in TRUTHS for c in entry.get(name) or () if len(c) == 1)
    changes = [entry.get("base") or {}, *alone]
    named: set[str] = set()
    for change in changes:
        value = change.get(kind.name, "")
        named |= set(value if isinstance(value, list) else value.split(" | "))
    return [choice for choice in kind.choices if choice not in named]
