"""The engine: the other of the two reasoners, forward chaining by durable_rules.

durable_rules is fast and old, and unsafe where its limits are not watched: it drops facts in
silence, swallows exceptions, and crashes the process when a limit is passed. Everything here that
looks like suspicion is a guard against one measured fault; each has a test of the same name in
``tests/reasoning/test_engine_guards.py``.

It knows facts as words and numbers that are certain. To ask what is *possible* the same rules run
on the most lenient reading of the facts: an open word becomes a joker that passes every test, an
interval shows each comparison its favourable end. Negation never reaches it as the absence of a
fact: "not" becomes an explicit opposite test, "unknown" an explicit fact.
"""

from __future__ import annotations

import copy
import itertools
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any as Json

from advisor.reasoning.claims import Claim
from advisor.reasoning.conditions import (
    Any,
    Condition,
    Known,
    Not,
    Operator,
    Signed,
    Test,
    alternatives,
)
from advisor.reasoning.rules import LONGEST_ALTERNATIVE, Rule
from advisor.reasoning.values import LARGEST, Members, Number, Value, Word, comparable
from advisor.reasoning.vocabulary import Vocabulary

try:
    from durable.engine import Ruleset
except ImportError:  # Python 3.13 and later: it uses a C interface that is gone
    Ruleset = None

AVAILABLE = Ruleset is not None
"""Whether this Python can run the engine."""

JOKER = "?"
"""Stands for an open word in the lenient reading; no choice may be spelt like this."""

MOST_THRESHOLDS = 60
MOST_PROPERTIES = 400
MOST_TESTS_ON_A_PROPERTY = 400
MOST_RULES_ON_A_TEST = 200
MOST_RULES = 4000
MOST_ALTERNATIVES = 128
MOST_CONDITIONS_A_MESSAGE = 48
RESERVED = frozenset({"a", "sid", "id", "exception", "start"})

Message = dict[str, str | float]


class EngineLimit(Exception):
    """A rule base that durable_rules would not survive; refused at load."""


class EngineFault(Exception):
    """The engine did not do what it was asked; its result must not be used."""


@dataclass
class _Run:
    """What one run of the engine left behind."""

    asserted: set[tuple[str, str | float]] = field(default_factory=set)
    fired: set[str] = field(default_factory=set)
    claimed: set[tuple[str, str]] = field(default_factory=set)
    faults: list[str] = field(default_factory=list)


class Engine:
    """Runs the rules of one stage on durable_rules.

    A fact may not meet more than some sixty conditions of one ruleset, so the rules of a stage are
    dealt into as many rulesets as that takes. Building compiles the rules, which costs memory that
    durable_rules never frees: build once a process and share.
    """

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary, stage: int) -> None:
        if Ruleset is None:
            raise EngineFault("durable_rules does not run on this Python")
        compiled = [compile_rule(rule, vocabulary, stage) for rule in rules]
        self._vocabulary = vocabulary
        self._growing = growing_facts(vocabulary, stage)
        self._books = [
            _Book(f"stage{stage}_{number}", dealt, self._growing)
            for number, dealt in enumerate(deal(compiled))
        ]
        self._chained = any(book.read & self._growing for book in self._books)

    def fire(
        self, facts: Mapping[str, Value], earlier: Iterable[Claim] = (), *, lenient: bool = False
    ) -> frozenset[str]:
        """Ids of the rules that fire.

        Args:
            facts: all facts known before the rules of this stage, open ones included.
            earlier: claims of earlier stages on decisions of this stage.
            lenient: read the facts for what is possible instead of what is certain.

        Raises:
            EngineFault: on any sign that durable_rules lost a fact or an exception.
        """
        claimed = {
            (claim.fact, str(claim.value))
            for claim in earlier
            if claim.fact in self._growing and (claim.certain or lenient)
        }
        while True:
            fired: set[str] = set()
            before = len(claimed)
            for book in self._books:
                messages = self._messages(book, facts, claimed, lenient=lenient)
                run = book.run(messages)
                fired |= run.fired
                claimed |= run.claimed
            if not self._chained or len(claimed) == before:
                return frozenset(fired)

    def _messages(
        self,
        book: _Book,
        facts: Mapping[str, Value],
        claimed: Iterable[tuple[str, str]],
        *,
        lenient: bool,
    ) -> list[Message]:
        messages: list[Message] = [{"a": "start", "start": "yes"}]
        for name in sorted(book.read - self._growing):
            messages.extend(_messages(name, facts[name], self._vocabulary, lenient=lenient))
        messages.extend(_message(fact, word) for fact, word in claimed if fact in book.read)
        return messages


class _Book:
    """Some rules of a stage as one ruleset of durable_rules."""

    def __init__(self, name: str, compiled: list[Compiled], growing: frozenset[str]) -> None:
        self.read = frozenset().union(*(one.read for one in compiled))
        self._growing = growing
        self._runs: dict[str, _Run] = {}
        self._sessions = itertools.count()
        definition = self._definition(compiled)
        check_limits(definition)
        before = threading.active_count()
        self._ruleset = Ruleset(name, None, copy.deepcopy(definition))
        if threading.active_count() != before:
            raise EngineFault("durable_rules started a thread")

    def _definition(self, compiled: list[Compiled]) -> dict[str, Json]:
        definition: dict[str, Json] = {
            "keep": {"all": [{"m0": {"$ex": {"a": 1}}}], "run": _do_nothing},
        }
        for one in compiled:
            for index, tests in enumerate(one.alternatives):
                definition[f"{one.rule.id}#{index}"] = {
                    "all": [{f"m{at}": test} for at, test in enumerate(tests.values())],
                    "run": self._action(one.rule),
                }
        return definition

    def run(self, messages: list[Message]) -> _Run:
        """Fire on these messages, and check that nothing was lost.

        Raises:
            EngineFault: on any sign that durable_rules lost a fact or an exception.
        """
        session = f"s{next(self._sessions)}"
        run = self._runs[session] = _Run()
        run.asserted = {_key(message) for message in messages}
        try:
            self._assert_and_act(session, run, messages)
            self._count_back(session, run)
        finally:
            del self._runs[session]
            self._ruleset.delete_state(session)
        return run

    def _assert_and_act(self, session: str, run: _Run, messages: list[Message]) -> None:
        def complete(error: object, _state: object) -> None:
            if error:
                run.faults.append(f"{type(error).__name__}: {error}")

        try:
            handle = self._ruleset.assert_facts([{**m, "sid": session} for m in messages])
            self._ruleset.do_actions(handle, complete)
        except Exception as error:
            raise EngineFault(f"durable_rules refused facts: {error}") from error

    def _count_back(self, session: str, run: _Run) -> None:
        state = self._ruleset.get_state(session)
        if state.get("exception"):
            run.faults.append(str(state["exception"]))
        if run.faults:
            raise EngineFault("an action failed: " + "; ".join(run.faults))
        held = {_key(fact) for fact in self._ruleset.get_facts(session)}
        if held != run.asserted:
            lost = sorted(map(str, run.asserted - held))[:5]
            raise EngineFault(f"durable_rules lost facts, {lost} among them")

    def _action(self, rule: Rule) -> Callable[[Json], None]:
        claims = [
            (effect.claim[0], str(effect.claim[1]))
            for effect in rule.then
            if effect.claim and effect.claim[0] in self._growing
        ]

        def act(closure: Json) -> None:
            run = self._runs[closure.s.sid]
            try:
                if rule.id in run.fired:
                    return
                run.fired.add(rule.id)
                run.claimed.update(claims)
                for fact, word in claims:
                    message = _message(fact, word)
                    if fact in self.read and _key(message) not in run.asserted:
                        run.asserted.add(_key(message))
                        closure.assert_fact(message)
            except Exception as error:
                run.faults.append(f"{rule.id}: {type(error).__name__}: {error}")

        return act


def growing_facts(vocabulary: Vocabulary, stage: int) -> frozenset[str]:
    """Decisions that rules of this very stage may read while they are being made."""
    return frozenset(
        kind.name
        for kind in vocabulary.kinds.values()
        if kind.stage == stage and kind.combine and kind.type != "number"
    )


# --- compiling ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Compiled:
    """One rule as durable_rules reads it.

    Attributes:
        rule: the rule.
        alternatives: for each alternative of the condition its tests, by the message they look for.
        read: names of the facts that it reads.
    """

    rule: Rule
    alternatives: tuple[dict[str, Json], ...]
    read: frozenset[str]


def deal(compiled: Iterable[Compiled]) -> list[list[Compiled]]:
    """Deal rules into rulesets in which no message meets too many conditions."""
    books: list[list[Compiled]] = []
    load: Counter[str] = Counter()
    for one in compiled:
        weight = Counter(name for tests in one.alternatives for name in tests)
        full = any(load[name] + weight[name] > MOST_CONDITIONS_A_MESSAGE for name in weight)
        if full or not books:
            books.append([])
            load = Counter()
        books[-1].append(one)
        load += weight
    return books


def compile_rule(rule: Rule, vocabulary: Vocabulary, stage: int) -> Compiled:
    """Unfold a rule's condition into alternatives, each a set of tests that must all be met."""
    growing = growing_facts(vocabulary, stage)
    single = _one_member_a_test(rule.when, vocabulary, growing)
    unfolded = alternatives(single, MOST_ALTERNATIVES)
    read = frozenset(literal.leaf.fact for literals in unfolded for literal in literals)
    tests = tuple(_tests(literals, vocabulary, growing) for literals in unfolded)
    return Compiled(rule, tests, read)


def _is_set(fact: str, vocabulary: Vocabulary, growing: frozenset[str]) -> bool:
    return fact in growing or vocabulary[fact].type == "members"


def _one_member_a_test(
    condition: Condition, vocabulary: Vocabulary, growing: frozenset[str]
) -> Condition:
    """Split tests for one of several members, so that each looks for one message."""
    if isinstance(condition, Known):
        return condition
    if isinstance(condition, Test):
        if len(condition.words) < 2 or not _is_set(condition.fact, vocabulary, growing):
            return condition
        words = sorted(condition.words)
        return Any(tuple(replace(condition, words=frozenset((word,))) for word in words))
    if isinstance(condition, Not):
        return Not(_one_member_a_test(condition.part, vocabulary, growing))
    parts = tuple(_one_member_a_test(part, vocabulary, growing) for part in condition.parts)
    return type(condition)(parts)


def _tests(
    literals: Iterable[Signed], vocabulary: Vocabulary, growing: frozenset[str]
) -> dict[str, Json]:
    """One test a message: a message of the engine never meets two conditions of one rule."""
    tests: dict[str, list[Json]] = {}
    for literal in literals:
        name, test = _test(literal, vocabulary, growing)
        tests.setdefault(name, []).append(test)
    joined = {
        name: parts[0] if len(parts) == 1 else {"$and": parts} for name, parts in tests.items()
    }
    return joined or {"start": {"start": "yes"}}


def _test(literal: Signed, vocabulary: Vocabulary, growing: frozenset[str]) -> tuple[str, Json]:
    """The message that a literal looks for, and its test on that message."""
    leaf = literal.leaf
    if isinstance(leaf, Known):
        name = f"{leaf.fact}__known"
        return (name, {name: "yes" if leaf.known != literal.negated else "no"})
    if vocabulary[leaf.fact].type == "number":
        return _number_test(leaf, negated=literal.negated)
    words = sorted(leaf.words)
    if _is_set(leaf.fact, vocabulary, growing):
        name = f"{leaf.fact}__no" if literal.negated else leaf.fact
        return (f"{name} {words[0]}", {name: words[0]})
    if literal.negated:
        unequal = [{"$neq": {leaf.fact: word}} for word in words]
        return (leaf.fact, unequal[0] if len(unequal) == 1 else {"$and": unequal})
    return (leaf.fact, {"$or": [{leaf.fact: word} for word in (*words, JOKER)]})


def _do_nothing(_closure: Json) -> None:
    return None


def _key(message: Mapping[str, str | float]) -> tuple[str, str | float]:
    name = str(message["a"])
    return (name, message[name])


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


# --- facts as messages --------------------------------------------------------------------------


def _messages(
    name: str, value: Value, vocabulary: Vocabulary, *, lenient: bool
) -> Iterator[Message]:
    """One fact as the engine's messages, in the strict or the lenient reading."""
    yield _message(f"{name}__known", "yes" if value.known else "no")
    if isinstance(value, Word):
        if value.word is not None:
            yield _message(name, value.word)
        elif lenient:
            yield _message(name, JOKER)
    elif isinstance(value, Members):
        held = value.possible if lenient else value.certain
        ruled_out = value.certain if lenient else value.possible
        for word in vocabulary[name].choices:
            if word in held:
                yield _message(name, word)
            if word not in ruled_out:
                yield _message(f"{name}__no", word)
    else:
        yield from _number_messages(name, value, lenient=lenient)


def _number_messages(name: str, value: Number, *, lenient: bool) -> Iterator[Message]:
    ends = (value.high, value.low) if lenient else (value.low, value.high)
    for end, number in zip(("low", "high"), ends, strict=True):
        plain = max(-10 * LARGEST, min(10 * LARGEST, comparable(number)))
        yield _message(f"{name}__{end}", plain)


def _message(name: str, value: str | float) -> Message:
    return {"a": name, name: value}


# --- load checks ----------------------------------------------------------------------------------


def check_limits(definition: Mapping[str, Json]) -> None:
    """Refuse a compiled rule base that durable_rules would not survive.

    Raises:
        EngineLimit: naming the rule, property or test and the limit.
    """
    if len(definition) > MOST_RULES:
        raise EngineLimit(f"{len(definition)} rules in one stage; at most {MOST_RULES}")
    tests = [(name, test) for name, rule in definition.items() for test in _atoms(rule)]
    properties: dict[str, set[str]] = {}
    on_a_test: Counter[str] = Counter()
    for _, (prop, op, operand) in tests:
        properties.setdefault(prop, set()).add(f"{op} {operand!r}")
        on_a_test[f"{prop} {op} {operand!r}"] += 1
    if len(properties) > MOST_PROPERTIES:
        raise EngineLimit(f"{len(properties)} properties in one stage; at most {MOST_PROPERTIES}")
    for prop, distinct in properties.items():
        _check_property(prop, distinct)
    for name, count in on_a_test.items():
        if count > MOST_RULES_ON_A_TEST:
            raise EngineLimit(f"{count} rules test {name}; at most {MOST_RULES_ON_A_TEST}")
    for name, rule in definition.items():
        if not rule["all"]:
            raise EngineLimit(f"rule {name} has no condition")
        if len(rule["all"]) > LONGEST_ALTERNATIVE:
            raise EngineLimit(
                f"rule {name} has {len(rule['all'])} conditions; at most {LONGEST_ALTERNATIVE}"
            )


def _check_property(prop: str, distinct: set[str]) -> None:
    if prop in RESERVED - {"a", "start"}:
        raise EngineLimit(f"{prop} is a reserved name")
    thresholds = sum(1 for test in distinct if test.startswith("$"))
    if thresholds > MOST_THRESHOLDS:
        raise EngineLimit(f"{thresholds} thresholds on {prop}; at most {MOST_THRESHOLDS}")
    if len(distinct) > MOST_TESTS_ON_A_PROPERTY:
        raise EngineLimit(f"{len(distinct)} tests on {prop}; at most {MOST_TESTS_ON_A_PROPERTY}")


def _atoms(rule: Json) -> Iterator[tuple[str, str, str | float]]:
    for message in rule["all"]:
        for test in message.values():
            yield from _atoms_of_test(test)


def _atoms_of_test(test: Json) -> Iterator[tuple[str, str, str | float]]:
    for key, operand in test.items():
        if key in ("$and", "$or"):
            for inner in operand:
                yield from _atoms_of_test(inner)
        elif key.startswith("$"):
            (prop, value), *_ = operand.items()
            yield (prop, key, value)
        else:
            yield (key, "is", operand)
