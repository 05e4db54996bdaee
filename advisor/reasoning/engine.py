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

import itertools
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field
from typing import Any as Json

from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import Claim
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
from advisor.reasoning.values import LARGEST, Members, Number, Value, Word, comparable
from advisor.reasoning.vocabulary import JOKER, RESERVED, Vocabulary

try:
    from durable.engine import MessageObservedException, Ruleset
except ImportError:  # Python 3.13 and later: it uses a C interface that is gone
    MessageObservedException = Ruleset = None

AVAILABLE = Ruleset is not None
"""Whether this Python can run the engine."""

MOST_TESTS_A_MESSAGE = 60
MOST_RULES_ON_A_TEST = 200
MOST_TESTS = 480
MOST_RULES = 4000
ATTEMPTS = 3

Message = dict[str, str | float]
Atom = tuple[str, str, str | float]
Claimed = tuple[str, str]


class EngineLimit(KnowledgeProblem):
    """A rule base that durable_rules would not survive; refused before it gets there."""


class EngineFault(Exception):
    """The engine did not do what it was asked; its result must not be used."""


class _FactsCollide(EngineFault):
    """Two different facts have one hash in this session, so durable_rules dropped one of them."""


@dataclass
class _Run:
    """What one run of the engine left behind."""

    asserted: set[tuple[str, str | float]] = field(default_factory=set)
    fired: set[str] = field(default_factory=set)
    claimed: set[Claimed] = field(default_factory=set)
    faults: list[BaseException] = field(default_factory=list)
    begun: bool = False


class Engine:
    """Runs the rules of one stage on durable_rules.

    A fact may not meet more than some sixty conditions of one ruleset, so the rules of a stage are
    dealt into as many rulesets as that takes. Building compiles the rules, which costs memory that
    durable_rules never frees: build once a process and share.
    """

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary, stage: int) -> None:
        if Ruleset is None:
            raise EngineFault("durable_rules does not run on this Python")
        self._vocabulary = vocabulary
        self._growing = vocabulary.growing_in(stage)
        sets = vocabulary.sets_in(stage)
        compiled = [one for rule in rules for one in compile_rule(rule, vocabulary, sets)]
        self._books = [
            _Book(f"stage{stage}_{number}", dealt, self._growing)
            for number, dealt in enumerate(deal(compiled))
        ]

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
        fired: set[str] = set()
        told: dict[_Book, set[Claimed]] = {}
        waiting = list(self._books)
        while waiting:
            for book in waiting:
                told[book] = book.concerned(claimed)
                run = book.run(self._messages(book, facts, told[book], lenient=lenient))
                fired |= run.fired
                claimed |= run.claimed
                told[book] |= book.concerned(run.claimed)
            waiting = [book for book in self._books if book.concerned(claimed) != told[book]]
        return frozenset(fired)

    def _messages(
        self, book: _Book, facts: Mapping[str, Value], claimed: Iterable[Claimed], *, lenient: bool
    ) -> list[Message]:
        messages: list[Message] = []
        for name in sorted(book.read - self._growing):
            value = facts[name]
            if not self._vocabulary[name].accepts(value):
                raise EngineFault(f"fact {name} cannot be {value}")
            said = _messages(name, value, self._vocabulary, lenient=lenient)
            messages.extend(message for message in said if book.asks_for(message))
        messages.extend(_message(fact, word) for fact, word in claimed)
        return messages


class _Book:
    """Some rules of a stage as one ruleset of durable_rules."""

    def __init__(self, name: str, compiled: list[Compiled], growing: frozenset[str]) -> None:
        self.read = frozenset[str]().union(*(one.read for one in compiled))
        self._asked = frozenset(name for one in compiled for name in one.tests)
        self._growing = growing
        self._runs: dict[str, _Run] = {}
        self._sessions = itertools.count()
        definition = self._definition(compiled)
        check_limits(definition)
        before = threading.active_count()
        given = {rule: dict(parts) for rule, parts in definition.items()}  # it takes "run" out
        self._ruleset = Ruleset(name, None, given)
        if threading.active_count() != before:
            raise EngineFault("durable_rules started a thread")

    def _definition(self, compiled: list[Compiled]) -> dict[str, Json]:
        def begin(closure: Json) -> None:
            self._runs[closure.s.sid].begun = True

        definition: dict[str, Json] = {
            name: {"all": [{f"m{at}": test} for at, test in enumerate(tests)], "run": begin}
            for name, tests in _OWN.items()
        }
        for one in compiled:
            definition[f"{one.rule.id}#{one.index}"] = {
                "all": [{f"m{at}": test} for at, test in enumerate(one.tests.values())],
                "run": self._action(one.rule),
            }
        return definition

    def asks_for(self, message: Message) -> bool:
        """Whether rules of this book test such a message, of members one with this word."""
        name = message["a"]
        return name in self._asked or f"{name} {message[str(name)]}" in self._asked

    def concerned(self, claimed: Iterable[Claimed]) -> set[Claimed]:
        """Those of the claims that rules of this book read."""
        return {claim for claim in claimed if claim[0] in self.read}

    def run(self, messages: list[Message]) -> _Run:
        """Fire on these messages, and check that nothing was lost.

        Where two facts collide, another session gives other hashes.

        Raises:
            EngineFault: on any sign that durable_rules lost a fact or an exception.
        """
        for _ in range(ATTEMPTS - 1):
            try:
                return self._run_once(messages)
            except _FactsCollide:
                continue
        return self._run_once(messages)

    def _run_once(self, messages: list[Message]) -> _Run:
        session = f"s{next(self._sessions)}"
        run = self._runs[session] = _Run()
        try:
            # The handle of a batch that is refused leads anywhere: this one is good for both.
            handle = self._tell(session, run, [_message("start", "yes")])
            self._act(handle, run)
            if messages:
                self._tell(session, run, messages)
                self._act(handle, run)
            self._look_for_faults(session, run)
            self._count_back(session, run)
        finally:
            del self._runs[session]
            if run.begun:  # a session in which no action was ever taken cannot be deleted
                self._ruleset.delete_state(session)
        return run

    def _tell(self, session: str, run: _Run, messages: list[Message]) -> int:
        run.asserted |= {_key(message) for message in messages}
        try:
            handle: int = self._ruleset.assert_facts([{**m, "sid": session} for m in messages])
        except MessageObservedException as error:
            raise _FactsCollide("two facts with one hash") from error
        except Exception as error:
            raise EngineFault("durable_rules refused facts") from error
        return handle

    def _act(self, handle: int, run: _Run) -> None:
        ended: list[BaseException | None] = []
        self._ruleset.do_actions(handle, lambda error, _state: ended.append(error))
        run.faults += [error for error in ended if error]
        if not ended:
            raise EngineFault("durable_rules stopped before its last action")

    def _look_for_faults(self, session: str, run: _Run) -> None:
        for fault in run.faults:
            if not isinstance(fault, Exception):  # somebody pressed Ctrl-C
                raise fault
            if isinstance(fault, MessageObservedException):
                raise _FactsCollide("two facts with one hash")
        swallowed = self._ruleset.get_state(session).get("exception")
        if run.faults or swallowed:
            told = [f"{type(fault).__name__}: {fault}" for fault in run.faults]
            raise EngineFault("an action failed: " + "; ".join(told or [swallowed]))

    def _count_back(self, session: str, run: _Run) -> None:
        held = {_key(fact) for fact in self._ruleset.get_facts(session)}
        if held != run.asserted:
            astray = sorted(map(str, held ^ run.asserted))[:5]
            raise EngineFault(f"durable_rules lost facts, {', '.join(astray)} among them")

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
            except BaseException as error:  # durable_rules would swallow it
                run.faults.append(error)

        return act


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
        full = not books or len(books[-1]) + len(_OWN) == MOST_RULES
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
    return joined or {"start": _START}


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


_START: Message = {"start": "yes"}
_OWN: Mapping[str, list[Json]] = {
    "begin": [_START],  # fires in every session, so that the session can be deleted
    "keep": [{"$ex": {"a": 1}}, {"never": "yes"}],  # every message meets it, and it never fires
}
"""Rules that every ruleset has."""


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
    return _Load.of(test for tests in _OWN.values() for test in tests)


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
