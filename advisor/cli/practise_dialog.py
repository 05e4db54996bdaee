"""An exercise as a person meets it: the case, one decision after the other, the marks."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from itertools import chain
from pathlib import Path
from random import SystemRandom

from rich.text import Text

from advisor.advice.phrases import Units
from advisor.advice.rulebook import Rulebook
from advisor.case.problems import InputProblem
from advisor.cli.ask_terminal import EndOfInput, Terminal
from advisor.cli.exits import take_in_hand
from advisor.cli.practise_view import show_case, show_decision, show_help, show_result
from advisor.cli.shared import console
from advisor.light_dataclass import dataclass
from advisor.practice.choosing import Chooser, Group, Wanted
from advisor.practice.decisions import Decision, Given
from advisor.practice.marking import read_answer
from advisor.practice.session import Session
from advisor.practice.store import Store, checked_name

KEYS = "? helps, case shows the case again, skip gives it up, quit ends and keeps everything"
_CLASS_SIZE = 10
_UNNAMED = "apprentice"


class Quit(Exception):
    """The person has had enough."""


class Skip(Exception):
    """The person gives this exercise up."""


@dataclass(frozen=True)
class Plan:
    """What was asked for on the command line.

    Attributes:
        person: who practises, or None.
        wanted: what.
        count: how many exercises; None asks after each.
        class_set: name of the set that everybody gets alike, or empty.
        seed: chooses the exercises.
        answers: file with the answers, a line each.
        units: of the sentences.
        no_color: without colour.
    """

    person: str | None
    wanted: Wanted
    count: int | None
    class_set: str
    seed: int | None
    answers: Path | None
    units: Units
    no_color: bool

    @property
    def set_name(self) -> str:
        """The class set as it is kept; another seed is another set."""
        return f"{self.class_set}/{self.seed}" if self.class_set else ""


def run(plan: Plan, store: Store, book: Rulebook) -> None:
    """Practise until the exercises are done or the person has had enough.

    Raises:
        InputProblem: what was asked for cannot be had.
    """
    if plan.class_set and plan.seed is None:
        raise InputProblem(
            "a class set without a seed", "--seed N, the same for everybody", field="--class-set"
        )
    chooser = Chooser(book, plan.wanted)
    if plan.answers is None or str(plan.answers) == "-":
        _Practice(plan, store, book, chooser).run()
        return
    with plan.answers.open(encoding="utf-8-sig", errors="replace") as file:
        typed, sys.stdin = sys.stdin, file
        try:
            _Practice(plan, store, book, chooser).run()
        finally:
            sys.stdin = typed


def _first(groups: Iterator[Group], count: int) -> Iterator[Group]:
    """As many groups as make up a number of exercises."""
    while count > 0 and (group := next(groups, None)):
        yield group
        count -= len(group)


class _Practice:
    def __init__(self, plan: Plan, store: Store, book: Rulebook, chooser: Chooser) -> None:
        self._plan = plan
        self._store = store
        self._book = book
        self._chooser = chooser
        self._terminal = Terminal(no_color=plan.no_color)
        self._person = ""

    def run(self) -> None:
        """Every way out keeps what was decided, and says so."""
        try:
            self._person = self._who()
            self._practise()
        except Quit:
            pass
        except EndOfInput:
            self._terminal.say("There is no more input.")
        except SystemExit:
            self._terminal.say()
            self._say_kept()
            raise
        self._say_kept()

    def _say_kept(self) -> None:
        if self._person:
            kept = f"Progress of {self._person} is kept in {self._store.path}"
            self._terminal.say(Text(kept, no_wrap=True, overflow="ignore"))

    def _who(self) -> str:
        """The person named, the only one known, or whoever answers."""
        if self._plan.person:
            return self._plan.person
        known = self._store.people()
        if len(known) == 1:
            self._terminal.say(f"Going on as {known[0]}; --person NAME for somebody else.")
            return known[0]
        if not sys.stdin.isatty():
            return _UNNAMED
        while True:
            try:
                return checked_name(self._read("Who practises? name> ", None))
            except InputProblem as wrong:
                self._terminal.say(f"Found {wrong.found}; expected {wrong.expected}")

    # --- exercises --------------------------------------------------------------------------

    def _practise(self) -> None:
        self._terminal.say(f"At every question: {KEYS}.")
        done = 0
        for session in self._sessions():
            if not self._exercise(session):
                continue
            done += 1
            if self._plan.count == done:
                return
            asks = self._plan.count is None and not self._plan.class_set
            if asks and not self._another():
                return
        if self._plan.class_set:
            self._terminal.say("This class set is done.")
        else:
            more = "more " if done else ""
            self._terminal.say(f"No {more}exercise can be made for what was asked for.")

    def _sessions(self) -> Iterator[Session]:
        """The exercise that was left, then new ones."""
        left = self._open_one()
        if left:
            taken = len(left.taken)
            self._terminal.say(f"Going on with an exercise that was left; {taken} decided so far.")
        groups: Iterator[Group] | None = None
        while True:
            while left:
                yield left
                left = self._open_one()
            groups = groups or self._groups()
            group = next(groups, None)
            if group is None:
                return
            self._store.begin(self._person, group, self._book.digest, self._plan.set_name)
            left = self._open_one()

    def _open_one(self) -> Session | None:
        units, label = self._plan.units, self._plan.set_name
        return Session.resume(self._store, self._person, self._book, units=units, class_set=label)

    def _groups(self) -> Iterator[Group]:
        """What is due, then what is new; in a class set what everybody gets."""
        label = self._plan.set_name
        done = self._store.done(self._person, label)
        if label:
            alike = _first(self._chooser.exercises(label), self._plan.count or _CLASS_SIZE)
            return (group for group in alike if not {one.key for one in group} & set(done))
        given = self._plan.seed
        seed = str(SystemRandom().getrandbits(40) if given is None else given)
        cards = self._store.cards(self._person)
        due = () if self._plan.wanted.pairs else self._chooser.due(cards, date.today(), seed)
        return chain(due, self._chooser.exercises(seed, done))

    def _exercise(self, session: Session) -> bool:
        """Go through one exercise; False where the person gave it up."""
        take_in_hand(session.exercise.case)
        show_case(session.worked, self._terminal)
        try:
            while (decision := session.next) is not None:
                session.take(decision, self._decide(decision, session))
        except Skip:
            session.give_up()
            return False
        result = session.finish(date.today())
        show_result(session.worked, result, console(no_color=self._plan.no_color))
        return True

    def _another(self) -> bool:
        while True:
            text = self._read("Another exercise? (yes, no)> ", None).lower()
            if text in ("y", "yes", "n", "no"):
                return text.startswith("y")
            self._terminal.say(f'Found "{text}"; expected yes or no')

    # --- one decision -----------------------------------------------------------------------

    def _decide(self, decision: Decision, session: Session) -> Given:
        show_decision(decision, self._terminal)
        while True:
            try:
                return read_answer(decision, self._read(f"{decision.id}> ", decision, session))
            except InputProblem as wrong:
                self._terminal.say(f"Found {wrong.found}; expected {wrong.expected}")

    def _read(self, prompt: str, decision: Decision | None, session: Session | None = None) -> str:
        """A line that is none of the words that work everywhere.

        Raises:
            Quit, Skip, EndOfInput: what the person typed instead.
        """
        while True:
            text = self._terminal.read(prompt)
            word = text.lower()
            if word in ("quit", "exit"):
                raise Quit
            if word == "skip" and session:
                raise Skip
            if word in ("?", "help"):
                show_help(decision, KEYS, self._terminal)
            elif word == "case" and session:
                show_case(session.worked, self._terminal)
                if decision:
                    show_decision(decision, self._terminal)
            else:
                return text
