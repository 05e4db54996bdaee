"""Cases made for a rule, and pairs of cases that part on one answer.

No solver: the answers that a rule's condition needs are wished for, a believable case is drawn
round them, and the judge says whether the rule fires and whether anything hangs on it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from random import Random

from advisor.advice.doubt.possible_answers import possible_answers
from advisor.advice.doubt.questions import roots
from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case, Value
from advisor.light_dataclass import dataclass
from advisor.practice.making.belongs import faults
from advisor.practice.making.drawn import draw_case
from advisor.practice.making.hopes import HopeList
from advisor.practice.making.matters import HANGS, Hang, what_hangs_on
from advisor.practice.making.steering import FIXED, steered
from advisor.practice.making.traps import Trap, traps_in, want_trap
from advisor.practice.making.wishes import Contradiction, Wishes, WishList
from advisor.reasoning.claims import RulesDisagree
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.rules import Rule

TRIES = 40
LOOKS = 4  # cases found before the weightiest of them is taken
HOPING = 0.8  # share of the cases in which other rules are kept away
CHANGES = 20  # changes tried on one case before a pair that never goes ahead is taken
STEERED = 3  # drawn cases that are steered, at most


@dataclass(frozen=True)
class Made:
    """A case made for a rule.

    Attributes:
        thinking: the case thought through by the judge.
        rule: the rule that decides in it.
        hangs: what hangs on the rule.
    """

    thinking: Thinking
    rule: Rule
    hangs: tuple[Hang, ...]

    @property
    def case(self) -> Case:
        """The answers."""
        return self.thinking.case


@dataclass(frozen=True)
class Pair:
    """Two cases that differ in one answer and part in verdict or method.

    Attributes:
        first: the case in which the rule decides.
        second: the case with one other answer, in which it does not fire.
        question: the question that is answered otherwise.
    """

    first: Made
    second: Case
    question: str


class Maker:
    """Makes cases for the rules of one rule book."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self._wishes = WishList(book)
        self._hopes = HopeList(book, self._wishes)

    def for_rule(
        self,
        rule: Rule,
        seed: str,
        *,
        tries: int = TRIES,
        looks: int = LOOKS,
        trap: Trap | None = None,
        steer: bool = False,
    ) -> Made | None:
        """A case in which a rule decides; None where none is found.

        Args:
            rule: the rule.
            seed: the same seed gives the same case.
            tries: how many cases are drawn at most.
            looks: how many cases are found before the weightiest of them is taken.
            trap: what has to be misleading about the case.
            steer: where none will do as it is drawn, change answers of some; that takes longer.
        """
        best: Made | None = None
        for found, made in enumerate(self._tried(rule, seed, tries, trap, steer), start=1):
            if best is None or _weight(made) < _weight(best):
                best = made
            if _weight(made) <= 1 or found >= looks:
                break
        return best

    def pair_for(self, rule: Rule, seed: str, *, tries: int = TRIES) -> Pair | None:
        """Two cases that part on one answer through a rule; None where none are found."""
        if rule.stage > STAGES.index("verdict"):
            return None
        for made in self._tried(rule, seed, tries):
            if _weight(made) <= 1:
                pair = self._parted(made, Random(f"{seed}/{rule.id}/pair"))
                if pair:
                    return pair
        return None

    def _tried(
        self, rule: Rule, seed: str, tries: int, trap: Trap | None = None, steer: bool = False
    ) -> Iterator[Made]:
        """Cases drawn until they run out; where none of them will do, some are steered."""
        reference, found = f"P-{rule.id}-{seed}", False
        fired: list[Thinking] = []
        for attempt in range(tries):
            thinking = self._drawn(rule, Random(f"{seed}/{rule.id}/{attempt}"), reference, trap)
            if thinking is None:
                continue
            made = self._made(thinking, rule, trap)
            if made:
                found = True
                yield made
            elif len(fired) < STEERED:
                fired.append(thinking)
        if steer and not found:
            yield from self._steered(fired, rule, Random(f"{seed}/{rule.id}/steer"), trap)

    def _steered(
        self, fired: Iterable[Thinking], rule: Rule, random: Random, trap: Trap | None
    ) -> Iterator[Made]:
        for thinking in fired:
            there = steered(thinking, rule, random)
            made = self._made(there, rule, trap) if there else None
            if made:
                yield made

    def _drawn(
        self, rule: Rule, random: Random, reference: str, trap: Trap | None
    ) -> Thinking | None:
        """A believable case in which the rule fires."""
        try:
            wishes, methods = self._wishes.for_rule(rule, random)
            if trap:
                want_trap(wishes, trap)
            case = self._case(rule, wishes, methods, random, reference)
            thinking = think(case, self.book, judge_only=True)
        except (Contradiction, RulesDisagree):
            return None
        fires = thinking.truth_of(rule.id) == "true"
        return thinking if fires and not faults(thinking) else None

    def _case(
        self, rule: Rule, wishes: Wishes, methods: Sequence[str], random: Random, reference: str
    ) -> Case:
        """A case drawn with hopes; where they lead nowhere, without.

        Raises:
            Contradiction: no believable case fulfils the wishes this way.
        """
        if random.random() < HOPING:
            hopes = self._hopes.for_rule(rule, methods, random)
            with contextlib.suppress(Contradiction):
                return draw_case(self.book, wishes, random, reference, hopes)
        return draw_case(self.book, wishes, random, reference)

    def _made(self, thinking: Thinking, rule: Rule, trap: Trap | None) -> Made | None:
        hangs = what_hangs_on(thinking, rule)
        if not hangs or (trap is not None and trap not in traps_in(thinking)):
            return None
        return Made(thinking, rule, hangs)

    # --- pairs ------------------------------------------------------------------------------

    def _parted(self, made: Made, random: Random) -> Pair | None:
        """The first change that parts them; better one of which the work goes ahead."""
        what_if = WhatIf(made.thinking)
        here = Outlook(made.thinking)
        second_best = None
        for tried, (question, answer) in enumerate(self._changes(made, random), start=1):
            there = what_if.outlook({question: answer})
            if there and self._part(made, here, there):
                case = replace(there.thinking.case, reference=f"{made.case.reference}-b")
                second_best = second_best or Pair(made, case, question)
                if here.goes_ahead or there.goes_ahead:
                    return Pair(made, case, question)
            if second_best and tried >= CHANGES:
                break
        return second_best

    @staticmethod
    def _part(made: Made, here: Outlook, there: Outlook) -> bool:
        return (
            there.decision != here.decision
            and there.thinking.truth_of(made.rule.id) != "true"
            and not faults(there.thinking)
        )

    def _changes(self, made: Made, random: Random) -> Iterator[tuple[str, Value]]:
        """Other answers to the questions behind the rule, in a random order."""
        questions = self.book.questionnaire.by_id
        behind = {
            question
            for fact in facts_read(made.rule.when)
            for question in roots(made.thinking, fact)
        }
        given = made.case.answers
        names = sorted((behind - FIXED) & given.keys())
        random.shuffle(names)
        for name in names:
            if name == "processes":
                others = list(_one_tool_more_or_less(made.case, questions[name].choice_ids))
            else:
                possible = possible_answers(made.thinking, questions[name])
                others = [one.answer for one in possible if one.answer != given[name].value]
            random.shuffle(others)
            yield from ((name, answer) for answer in others)


def _one_tool_more_or_less(case: Case, every: Sequence[str]) -> Iterator[Value]:
    """The shop with one thing that it has not, or without one that it has."""
    given = case.value("processes")
    has = set(given) if isinstance(given, tuple) else set()
    for tool in every:
        yield tuple(one for one in every if (one in has) != (one == tool))


def _weight(made: Made) -> int:
    """Smaller is weightier; the verdict is 0 and the method 1."""
    return HANGS.index(made.hangs[0])
