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
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import field
from typing import Any as Json

from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import Claim
from advisor.reasoning.rules import Rule
from advisor.reasoning.translation import OWN, Book, Claimed, Translated, translate
from advisor.reasoning.values import LARGEST, Members, Number, Value, Word, comparable
from advisor.reasoning.vocabulary import JOKER, Vocabulary

try:
    from durable.engine import MessageObservedException, Promise, Ruleset
    from durable.engine import durable_rules_engine as core
except ImportError:  # Python 3.13 and later: it uses a C interface that is gone
    core = MessageObservedException = Promise = Ruleset = None

AVAILABLE = Ruleset is not None
"""Whether this Python can run the engine."""

ATTEMPTS = 3

Said = tuple[str, str | float]
"""A message: the property that it has, and its value."""


class EngineFault(Exception):
    """The engine did not do what it was asked; its result must not be used."""


class _FactsCollide(EngineFault):
    """Two different facts have one hash in this session, so durable_rules dropped one of them."""


@dataclass
class _Run:
    """What one run of the engine left behind."""

    asserted: set[Said] = field(default_factory=set)
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

    def __init__(
        self,
        rules: Iterable[Rule],
        vocabulary: Vocabulary,
        stage: int,
        kept: Translated | None = None,
    ) -> None:
        """Compile the rules.

        Args:
            rules: the rules.
            vocabulary: the facts.
            stage: the stage of the rules.
            kept: a translation made earlier; not used where it is of other rules.
        """
        if Ruleset is None:
            raise EngineFault("durable_rules does not run on this Python")
        rules = tuple(rules)
        if kept is None or not kept.is_of(rules, vocabulary, stage):
            kept = translate(rules, vocabulary, stage)
        self._vocabulary = vocabulary
        self._growing = vocabulary.growing_in(stage)
        self._books = [
            _Ruleset(f"stage{stage}_{number}", book, self._growing)
            for number, book in enumerate(kept.books)
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
        told: dict[_Ruleset, set[Claimed]] = {}
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
        self,
        book: _Ruleset,
        facts: Mapping[str, Value],
        claimed: Iterable[Claimed],
        *,
        lenient: bool,
    ) -> list[Said]:
        said: list[Said] = []
        for name in book.told:
            value = facts[name]
            if not self._vocabulary[name].accepts(value):
                raise EngineFault(f"fact {name} cannot be {value}")
            said.extend(_messages(name, value, book.asked, lenient=lenient))
        said.extend(claimed)
        return said


class _Ruleset:
    """One book as durable_rules has compiled it."""

    def __init__(self, name: str, book: Book, growing: frozenset[str]) -> None:
        self.read = book.read
        self.told = sorted(book.read - growing)
        self.asked = book.asked
        self._book = book
        self._runs: dict[str, _Run] = {}
        self._sessions = itertools.count()
        before = threading.active_count()
        self._ruleset = _compiled(name, book.text, self._actions())
        if threading.active_count() != before:
            raise EngineFault("durable_rules started a thread")

    def _actions(self) -> dict[str, Callable[[Json], None]]:
        def begin(closure: Json) -> None:
            self._runs[closure.s.sid].begun = True

        act = {rule: self._action(rule) for rule in self._book.rules.values()}
        acts = {name: act[rule] for name, rule in self._book.rules.items()}
        return {**dict.fromkeys(OWN, begin), **acts}

    def concerned(self, claimed: Iterable[Claimed]) -> set[Claimed]:
        """Those of the claims that rules of this book read."""
        return {claim for claim in claimed if claim[0] in self.read}

    def run(self, messages: list[Said]) -> _Run:
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

    def _run_once(self, messages: list[Said]) -> _Run:
        session = f"s{next(self._sessions)}"
        run = self._runs[session] = _Run()
        try:
            # The handle of a batch that is refused leads anywhere: this one is good for both.
            handle = self._tell(session, run, [("start", "yes")])
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

    def _tell(self, session: str, run: _Run, messages: list[Said]) -> int:
        run.asserted.update(messages)
        facts = [{"a": name, name: value, "sid": session} for name, value in messages]
        try:
            handle: int = self._ruleset.assert_facts(facts)
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
        held = {(fact["a"], fact[fact["a"]]) for fact in self._ruleset.get_facts(session)}
        if held != run.asserted:
            astray = sorted(map(str, held ^ run.asserted))[:5]
            raise EngineFault(f"durable_rules lost facts, {', '.join(astray)} among them")

    def _action(self, rule: str) -> Callable[[Json], None]:
        claims = self._book.claims.get(rule, ())

        def act(closure: Json) -> None:
            run = self._runs[closure.s.sid]
            try:
                if rule in run.fired:
                    return
                run.fired.add(rule)
                run.claimed.update(claims)
                for claim in claims:
                    fact, word = claim
                    if fact in self.read and claim not in run.asserted:
                        run.asserted.add(claim)
                        closure.assert_fact({"a": fact, fact: word})
            except BaseException as error:  # durable_rules would swallow it
                run.faults.append(error)

        return act


def _compiled(name: str, text: str, actions: Mapping[str, Callable[[Json], None]]) -> Json:
    """A ruleset without a host; its own constructor would write the text anew at every start."""
    ruleset = Ruleset.__new__(Ruleset)
    ruleset._name, ruleset._host = name, None
    ruleset._actions = {rule: Promise(action) for rule, action in actions.items()}
    ruleset._handle = core.create_ruleset(name, text)
    return ruleset


# --- facts as messages --------------------------------------------------------------------------


def _messages(
    name: str, value: Value, asked: Mapping[str, Collection[str]], *, lenient: bool
) -> Iterator[Said]:
    """One fact as the messages that are asked for, in the strict or the lenient reading."""
    if (known := f"{name}__known") in asked:
        yield (known, "yes" if value.known else "no")
    if isinstance(value, Word):
        if name in asked and (value.word is not None or lenient):
            yield (name, JOKER if value.word is None else value.word)
    elif isinstance(value, Members):
        held = value.possible if lenient else value.certain
        ruled_out = value.certain if lenient else value.possible
        for word in asked.get(name, ()):
            if word in held:
                yield (name, word)
        for word in asked.get(f"{name}__no", ()):
            if word not in ruled_out:
                yield (f"{name}__no", word)
    else:
        yield from _number_messages(name, value, asked, lenient=lenient)


def _number_messages(
    name: str, value: Number, asked: Mapping[str, Collection[str]], *, lenient: bool
) -> Iterator[Said]:
    ends = (value.high, value.low) if lenient else (value.low, value.high)
    for end, number in zip((f"{name}__low", f"{name}__high"), ends, strict=True):
        if end in asked:
            yield (end, max(-10 * LARGEST, min(10 * LARGEST, comparable(number))))
