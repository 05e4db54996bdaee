"""The rules of a stage in the engine's own language, checked against its limits.

What is made here is plain data that depends on the rules alone, so it can be made once and kept.
Nothing in it was worked out by the judge: the engine stays a reasoner of its own.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from typing import Any as Json

from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import (
    Known,
    Operator,
    Signed,
    Test,
    TooManyCombinations,
    alternatives,
    facts_read,
    one_member_a_test,
)
from advisor.reasoning.cursor import KnowledgeProblem
from advisor.reasoning.rules import LONGEST_ALTERNATIVE, MOST_ALTERNATIVES, Rule
from advisor.reasoning.values import comparable
from advisor.reasoning.vocabulary import JOKER, RESERVED, Vocabulary

MOST_TESTS_A_MESSAGE = 60
MOST_RULES_ON_A_TEST = 200
MOST_TESTS = 480
MOST_RULES = 4000

Atom = tuple[str, str, str | float]
Claimed = tuple[str, str]


class EngineLimit(KnowledgeProblem):
    """A rule base that durable_rules would not survive; refused before it gets there."""


@dataclass(frozen=True)
class Book:
    """Some rules of a stage as one ruleset of durable_rules.

    Attributes:
        text: the ruleset as JSON, without the actions.
        rules: id of the rule behind each of its entries, by the entry's name.
        claims: what a rule says of decisions that fill in this stage, by its id.
        read: names of the facts that the rules read.
        asked: the messages that they look for; of members with the words that count.
    """

    text: str
    rules: Mapping[str, str]
    claims: Mapping[str, tuple[Claimed, ...]]
    read: frozenset[str]
    asked: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Translated:
    """The rules of one stage as rulesets of durable_rules, and what they were made from."""

    rules: tuple[Rule, ...]
    vocabulary: Vocabulary
    stage: int
    books: tuple[Book, ...]

    def is_of(self, rules: tuple[Rule, ...], vocabulary: Vocabulary, stage: int) -> bool:
        """Whether it was made from just these rules."""
        return self.vocabulary is vocabulary and self.stage == stage and self.rules == rules


def translate(rules: tuple[Rule, ...], vocabulary: Vocabulary, stage: int) -> Translated:
    """Translate the rules of one stage.

    Raises:
        EngineLimit: for rules that durable_rules would not survive.
    """
    sets, growing = vocabulary.sets_in(stage), vocabulary.growing_in(stage)
    compiled = [one for rule in rules for one in compile_rule(rule, vocabulary, sets)]
    books = tuple(_book(dealt, growing) for dealt in deal(compiled))
    return Translated(rules, vocabulary, stage, books)


def _book(compiled: list[Compiled], growing: frozenset[str]) -> Book:
    named = {f"{one.rule.id}#{one.index}": one for one in compiled}
    tests = {name: list(one.tests.values()) for name, one in named.items()}
    definition = {
        name: {"all": [{f"m{at}": test} for at, test in enumerate(parts)]}
        for name, parts in {**OWN, **tests}.items()
    }
    check_limits(definition)
    claims = {one.rule.id: _claims(one.rule, growing) for one in compiled}
    return Book(
        # The very definition that was checked: durable_rules gets this text, now or when kept.
        text=json.dumps(definition, ensure_ascii=False, separators=(",", ":")),
        rules={name: one.rule.id for name, one in named.items()},
        claims={rule: made for rule, made in claims.items() if made},
        read=frozenset[str]().union(*(one.read for one in compiled)),
        asked=_asked(name for one in compiled for name in one.tests),
    )


def _asked(names: Iterable[str]) -> dict[str, tuple[str, ...]]:
    asked: dict[str, tuple[str, ...]] = {}
    for name in dict.fromkeys(names):
        message, space, word = name.partition(" ")
        asked[message] = asked.get(message, ()) + ((word,) if space else ())
    return asked


def _claims(rule: Rule, growing: frozenset[str]) -> tuple[Claimed, ...]:
    made = (effect.claim for effect in rule.then if effect.claim)
    return tuple((fact, str(value)) for fact, value in made if fact in growing)


# --- compiling ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Compiled:
    """One alternative of a rule's condition as durable_rules reads it.

    Attributes:
        rule: the rule.
        index: counts the alternatives.
        tests: what must all be met, by the message that it looks for.
        read: names of the facts that it reads.
    """

    rule: Rule
    index: int
    tests: Mapping[str, Json]
    read: frozenset[str]


def deal(compiled: Iterable[Compiled]) -> list[list[Compiled]]:
    """Deal alternatives into rulesets that stay within the limits of durable_rules."""
    books: list[list[Compiled]] = []
    load = _own_load()
    for one in compiled:
        more = _Load.of(one.tests.values())
        full = not books or len(books[-1]) + len(OWN) == MOST_RULES
        if full or load.problem_with(more):
            books.append([])
            load = _own_load()
        books[-1].append(one)
        load.tests.update(more.tests)
        load.passed.update(more.passed)
    return books


def compile_rule(rule: Rule, vocabulary: Vocabulary, sets: frozenset[str]) -> list[Compiled]:
    """Unfold a rule's condition into alternatives, each a set of tests that must all be met.

    Args:
        rule: the rule.
        vocabulary: the facts.
        sets: facts that hold members, or words that still gather, in the stage of the rule.

    Raises:
        EngineLimit: for names that the engine needs itself, and for too many alternatives.
    """
    for fact in facts_read(rule.when):
        _check_names(fact, vocabulary)
    try:
        unfolded = alternatives(one_member_a_test(rule.when, sets), MOST_ALTERNATIVES)
    except TooManyCombinations as problem:
        raise EngineLimit(f"rule {rule.id}, which {problem}", "two or more simpler rules") from None
    return [
        Compiled(
            rule,
            index,
            _tests(literals, vocabulary, sets),
            frozenset(literal.leaf.fact for literal in literals),
        )
        for index, literals in enumerate(unfolded)
    ]


def _check_names(fact: str, vocabulary: Vocabulary) -> None:
    if fact in RESERVED or "__" in fact or fact.startswith("$"):
        raise EngineLimit(f"fact {fact}", "a name that the engine does not need itself")
    if JOKER in vocabulary[fact].choices:
        raise EngineLimit(f"{JOKER} as a choice of {fact}", "a word")


def _tests(
    literals: Iterable[Signed], vocabulary: Vocabulary, sets: frozenset[str]
) -> dict[str, Json]:
    """One test a message: a message of the engine never meets two conditions of one rule."""
    tests: dict[str, list[Json]] = {}
    for literal in literals:
        name, test = _test(literal, vocabulary, sets)
        tests.setdefault(name, []).append(test)
    joined = {
        name: parts[0] if len(parts) == 1 else {"$and": parts} for name, parts in tests.items()
    }
    return joined or {"start": START}


def _test(literal: Signed, vocabulary: Vocabulary, sets: frozenset[str]) -> tuple[str, Json]:
    """The message that a literal looks for, and its test on that message."""
    leaf = literal.leaf
    if isinstance(leaf, Known):
        name = f"{leaf.fact}__known"
        return (name, {name: "yes" if leaf.known != literal.negated else "no"})
    if vocabulary[leaf.fact].type == "number":
        return _number_test(leaf, negated=literal.negated)
    words = sorted(leaf.words)
    if leaf.fact in sets:
        name = f"{leaf.fact}__no" if literal.negated else leaf.fact
        return (f"{name} {words[0]}", {name: words[0]})
    if literal.negated:
        unequal = [{"$neq": {leaf.fact: word}} for word in words]
        return (leaf.fact, unequal[0] if len(unequal) == 1 else {"$and": unequal})
    return (leaf.fact, {"$or": [{leaf.fact: word} for word in (*words, JOKER)]})


START = {"start": "yes"}
OWN: Mapping[str, list[Json]] = {
    "begin": [START],  # fires in every session, so that the session can be deleted
    "keep": [{"$ex": {"a": 1}}, {"never": "yes"}],  # every message meets it, and it never fires
}
"""Rules that every ruleset has."""


_OPPOSITE: Mapping[Operator, Operator] = {
    "at_least": "below",
    "below": "at_least",
    "above": "at_most",
    "at_most": "above",
}
_SYMBOL = {"at_least": "$gte", "above": "$gt", "at_most": "$lte", "below": "$lt"}


def _number_test(test: Test, *, negated: bool) -> tuple[str, Json]:
    op = _OPPOSITE[test.op] if negated else test.op
    name = f"{test.fact}__low" if op in ("at_least", "above") else f"{test.fact}__high"
    return (name, {_SYMBOL[op]: {name: comparable(test.limit)}})


# --- load checks ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Load:
    """What a ruleset asks of durable_rules.

    Attributes:
        tests: how many rules make each test.
        passed: how many tests of a property one message can pass. Of many words it equals only
            one, but every choice between words is a place of its own that it gets to.
    """

    tests: Counter[Atom] = field(default_factory=Counter)
    passed: Counter[str] = field(default_factory=Counter)

    @classmethod
    def of(cls, tests: Iterable[Json]) -> _Load:
        """The load of some tests."""
        tests = list(tests)
        return cls(
            Counter(atom for test in tests for atom in _atoms(test)),
            Counter(prop for test in tests for prop in _passed(test)),
        )

    def problem_with(self, more: _Load) -> tuple[str, str] | None:
        """What more tests would make too much, and what would be right."""
        different = len(self.tests) + sum(atom not in self.tests for atom in more.tests)
        if different > MOST_TESTS:
            return f"{different} different tests in one ruleset", f"at most {MOST_TESTS}"
        for atom, count in more.tests.items():
            if self.tests[atom] + count > MOST_RULES_ON_A_TEST:
                prop, op, operand = atom
                found = f"{self.tests[atom] + count} rules that test {prop} {op} {operand!r}"
                return found, f"at most {MOST_RULES_ON_A_TEST}"
        for prop, count in more.passed.items():
            if self.passed[prop] + count > MOST_TESTS_A_MESSAGE:
                found = f"{self.passed[prop] + count} tests of {prop} that one message can pass"
                return found, f"at most {MOST_TESTS_A_MESSAGE}"
        return None


def _own_load() -> _Load:
    return _Load.of(test for tests in OWN.values() for test in tests)


def check_limits(definition: Mapping[str, Json]) -> None:
    """Refuse a compiled ruleset that durable_rules would not survive.

    Raises:
        EngineLimit: naming the rule, property or test and the limit.
    """
    if len(definition) > MOST_RULES:
        raise EngineLimit(f"{len(definition)} rules in one ruleset", f"at most {MOST_RULES}")
    for name, rule in definition.items():
        count = len(rule["all"])
        if not 1 <= count <= LONGEST_ALTERNATIVE:
            raise EngineLimit(f"rule {name} with {count} conditions", f"1 to {LONGEST_ALTERNATIVE}")
    tests = (test for rule in definition.values() for part in rule["all"] for test in part.values())
    problem = _Load().problem_with(_Load.of(tests))
    if problem:
        raise EngineLimit(*problem)


def _passed(test: Json) -> Iterator[str]:
    for key, operand in test.items():
        if key == "$and":
            for inner in operand:
                yield from _passed(inner)
        elif key == "$or":
            yield next(_atoms(test))[0]
        elif key.startswith("$"):
            yield next(iter(operand))


def _atoms(test: Json) -> Iterator[Atom]:
    """Every comparison in a test: property, operator, operand."""
    for key, operand in test.items():
        if key in ("$and", "$or"):
            for inner in operand:
                yield from _atoms(inner)
        elif key.startswith("$"):
            (prop, value), *_ = operand.items()
            yield (prop, key, value)
        else:
            yield (key, "is", operand)
