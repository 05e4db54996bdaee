"""A whole exercise: which decision comes next, and what all of them come to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from advisor.case.problems import InputProblem
from advisor.light_dataclass import dataclass
from advisor.practice.checking import WhichCaution, WhichHoldPoints, WhichInspections, WhichSteps
from advisor.practice.deciding import WhatStopsIt, WhatToMeasure, WhatVerdict, WhoMustAgree
from advisor.practice.decisions import MISSED, NOTHING, Decision, Given, Kind, Mark, Taken
from advisor.practice.planning import WhatIsRuledOut, WhichMethod, WhyRuledOut
from advisor.practice.sizing import (
    HowManyThreads,
    HowWarm,
    WhichInsert,
    WhichPin,
    read_number,
)
from advisor.practice.worked import Worked

KINDS: tuple[Kind, ...] = (
    WhatVerdict(),
    WhoMustAgree(),
    WhatToMeasure(),
    WhatStopsIt(),
    WhichMethod(),
    WhatIsRuledOut(),
    WhyRuledOut(),
    WhichPin(),
    HowManyThreads(),
    WhichInsert(1),
    WhichInsert(2),
    HowWarm(),
    WhichSteps(),
    WhichInspections(),
    WhichHoldPoints(),
    WhichCaution(),
)
"""Every kind of decision, in the order in which they are asked for."""

_DECIDED: Mapping[str, frozenset[str]] = {
    "verdict": frozenset({"verdict"}),
    "method": frozenset({"method"}),
    "ruled_out": frozenset({"ruled_out", "why_not"}),
    "order": frozenset({"method"}),
    "approvals": frozenset({"approvals"}),
    "sizes": frozenset({"pin", "threads", "preheat", "insert_1", "insert_2"}),
    "inspections": frozenset({"inspections"}),
    "steps": frozenset({"steps"}),
    "cautions": frozenset({"caution"}),
}
"""The decisions in which each aspect of an advice shows."""

PASSED = 0.7
"""Share of the points that passes, where nothing was dangerous."""


@dataclass(frozen=True)
class Result:
    """A whole exercise, marked.

    Attributes:
        marks: decision by decision.
    """

    marks: tuple[Mark, ...]

    @property
    def points(self) -> float:
        """Points earned; never below nothing."""
        return max(0.0, round(sum(mark.points for mark in self.marks), 2))

    @property
    def out_of(self) -> float:
        """Points to be had."""
        return sum(mark.out_of for mark in self.marks)

    @property
    def dangerous(self) -> tuple[Mark, ...]:
        """Answers that could have hurt somebody or spoilt the part."""
        return tuple(mark for mark in self.marks if mark.standing == "dangerous")

    @property
    def passed(self) -> bool:
        """Enough points, and no dangerous answer."""
        return not self.dangerous and self.points >= PASSED * self.out_of

    def rules(self, *, missed: bool) -> tuple[str, ...]:
        """The rules that were missed, or those that were used rightly."""
        found = (
            rule
            for mark in self.marks
            if (mark.standing in MISSED) == missed and mark.standing != "defensible"
            for rule in mark.rules
        )
        return tuple(dict.fromkeys(found))


def next_decision(worked: Worked, taken: Taken) -> Decision | None:
    """The decision to ask for next, or None where all of them are taken."""
    return next((decision for _, decision in _open(worked, taken)), None)


def _open(worked: Worked, taken: Taken) -> Iterator[tuple[Kind, Decision]]:
    for kind in KINDS:
        if kind.id not in taken:
            decision = kind.ask(worked, taken)
            if decision:
                yield kind, decision


def mark_all(worked: Worked, taken: Taken) -> Result:
    """Mark every decision, and those that were passed by."""
    return Result(tuple(_with_own_rule(worked, list(_marks(worked, taken)))))


def _with_own_rule(worked: Worked, marks: list[Mark]) -> Iterator[Mark]:
    """The exercise's rule is named where most hangs on it, also if it acts through others."""
    own = worked.exercise.rule
    asked = {mark.decision for mark in marks}
    found = (asked & _DECIDED[aspect] for aspect in (*worked.hangs, "verdict"))
    about = next((decisions for decisions in found if decisions), set())
    for mark in marks:
        if mark.decision in about and own not in mark.rules[:1]:
            yield replace(mark, rules=tuple(dict.fromkeys((own, *mark.rules))))
        else:
            yield mark


def _marks(worked: Worked, taken: Taken) -> Iterator[Mark]:
    for kind in KINDS:
        decision = kind.ask(worked, taken)
        if kind.id in taken and decision:
            yield kind.mark(worked, decision, taken[kind.id], taken)
        elif kind.counts(worked):
            yield kind.missed(worked)


# --- reading an answer ----------------------------------------------------------------------------


def read_answer(decision: Decision, text: str) -> Given:
    """An answer as it is typed: numbers or names of options, or a measure.

    Raises:
        InputProblem: with what would be right.
    """
    text = " ".join(text.split())
    if not text:
        raise InputProblem("nothing", "an answer, ? for help, or quit")
    if decision.form == "number":
        read_number(text, decision.dimension)
        return (text,)
    parts = [part for part in text.replace(",", " ").split() if part]
    chosen = tuple(dict.fromkeys(_option(decision, part) for part in parts))
    if decision.form == "one" and len(chosen) != 1:
        raise InputProblem(f'"{text}"', "one of the options")
    if NOTHING in chosen and len(chosen) > 1:
        raise InputProblem(f'"{text}"', "either some of the options or none of them")
    return chosen


def _option(decision: Decision, text: str) -> str:
    ids = [option.id for option in decision.options]
    if text.isdecimal() and 1 <= int(text) <= len(ids):
        return ids[int(text) - 1]
    folded = text.lower().replace("-", "_")
    fits = [id_ for id_ in ids if id_.lower().replace("-", "_") == folded]
    fits = fits or [id_ for id_ in ids if id_.lower().replace("-", "_").startswith(folded)]
    if len(fits) == 1:
        return fits[0]
    right = f"a number from 1 to {len(ids)}, several with commas between them"
    if decision.form == "one":
        right = f"a number from 1 to {len(ids)}"
    raise InputProblem(f'"{text}"' + (" which fits several" if fits else ""), right)
