"""Decisions that an apprentice is asked for, and how an answer is marked.

Marks follow one rule of the trade: a wrong go-ahead costs more than a wrong refusal. A choice that
the rules leave open earns part of the points; a dangerous one never earns any.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from advisor.light_dataclass import dataclass
from advisor.practice.worked import Worked

Standing = Literal["right", "defensible", "careful", "wrong", "dangerous", "missed"]
Form = Literal["one", "several", "number"]
Given = tuple[str, ...]
"""What was answered: ids of options, or one number as it was typed."""
Taken = Mapping[str, Given]
"""The decisions taken so far."""

STANDING_SAYS: Mapping[Standing, str] = {
    "right": "right",
    "defensible": "defensible",
    "careful": "wrong, but on the safe side",
    "wrong": "wrong",
    "dangerous": "DANGEROUS",
    "missed": "not reached",
}
MISSED: frozenset[Standing] = frozenset({"wrong", "dangerous", "careful", "missed"})
"""Standings after which a rule comes back for practice."""


@dataclass(frozen=True)
class Option:
    """One choice."""

    id: str
    says: str


@dataclass(frozen=True)
class Decision:
    """One decision that is asked for.

    Attributes:
        id: its name.
        text: the question.
        form: one option, several, or a number.
        options: the options, in the order in which they are numbered.
        dimension: of a number.
        help: what to look at before deciding; nothing of the answer.
    """

    id: str
    text: str
    form: Form
    options: tuple[Option, ...] = ()
    dimension: str = ""
    help: str = ""

    def says(self, given: Given) -> str:
        """An answer in words."""
        if self.form == "number":
            return " ".join(given)
        says = {option.id: option.says for option in self.options}
        return "; ".join(says.get(id_, id_).rstrip(".") for id_ in given)


@dataclass(frozen=True)
class Mark:
    """How one decision was marked.

    Attributes:
        decision: id of the decision.
        asked: the question.
        given: what was answered, in words.
        advised: what the advice says, in words.
        standing: how the answer stands.
        points: points earned; below nothing where a dangerous answer costs more.
        out_of: points to be had.
        says: why, in a sentence or two.
        rules: ids of the rules that the advice rests on here, the weightiest first.
    """

    decision: str
    asked: str
    given: str
    advised: str
    standing: Standing
    points: float
    out_of: float
    says: str
    rules: tuple[str, ...] = ()


_ASKS: Mapping[str, str] = {
    "measure": "What still has to be measured",
    "reason": "What stops the work",
    "method": "Which method",
    "ruled_out": "What is ruled out",
    "why_not": "Why a method is ruled out",
    "pin": "Which pin",
    "threads": "How many threads are engaged",
    "insert_1": "Which insert",
    "insert_2": "Which insert in the second hole",
    "preheat": "How warm",
    "steps": "Which steps",
    "inspections": "Which inspections",
    "holds": "Which hold points",
    "caution": "Which caution",
}
"""What a decision that was never reached would have been about."""


class Kind(ABC):
    """One kind of decision."""

    id: str
    out_of: float

    @abstractmethod
    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """The decision to ask for, or None where it does not come up on the apprentice's way."""

    @abstractmethod
    def counts(self, worked: Worked) -> bool:
        """Whether the advice decides this, so that passing it by loses its points."""

    @abstractmethod
    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Mark an answer."""

    def missed(self, worked: Worked) -> Mark:
        """The mark of a decision that was never reached."""
        return Mark(
            self.id, _ASKS.get(self.id, self.id), "", "", "missed", 0.0, self.out_of,
            "Your earlier decisions led past this one.",
        )  # fmt: skip


@dataclass(frozen=True)
class Verdict:
    """What a marking comes to, before it is put into words."""

    standing: Standing
    share: float
    says: str


RIGHT = Verdict("right", 1.0, "")


def marked(
    kind: Kind,
    decision: Decision,
    given: Given,
    verdict: Verdict,
    advised: str,
    rules: Iterable[str] = (),
) -> Mark:
    """A mark from what a marking came to; a dangerous answer earns nothing."""
    share = min(verdict.share, 0.0) if verdict.standing == "dangerous" else verdict.share
    return Mark(
        decision=decision.id,
        asked=decision.text,
        given=decision.says(given) or "nothing",
        advised=advised,
        standing=verdict.standing,
        points=round(share * kind.out_of, 2),
        out_of=kind.out_of,
        says=verdict.says,
        rules=tuple(dict.fromkeys(rules)),
    )


def said_go_ahead(taken: Taken) -> bool:
    """Whether the apprentice lets the work go ahead."""
    return taken.get("verdict", ("",))[0] in ("repair", "repair_with_approval")


def shuffled(worked: Worked, what: str, options: Iterable[Option]) -> tuple[Option, ...]:
    """Options in an order that says nothing."""
    found = list(options)
    worked.random(what).shuffle(found)
    return tuple(found)


def sample(worked: Worked, what: str, options: Sequence[str], count: int) -> list[str]:
    """Some of many, alike whenever the same exercise is shown."""
    return worked.random(what).sample(list(options), min(count, len(options)))


def sample_with(worked: Worked, what: str, rule_of: Mapping[str, str], count: int) -> list[str]:
    """Some of many, among them what the exercise's own rule asks for."""
    own = [name for name, rule in rule_of.items() if rule == worked.exercise.rule][:1]
    others = [name for name in rule_of if name not in own]
    return [*own, *sample(worked, what, others, count - len(own))]


def ticked(given: Given, wanted: Iterable[str]) -> tuple[set[str], set[str], set[str]]:
    """Of several: those rightly named, those left out, those named too many."""
    named, right = set(given) - {NOTHING}, set(wanted)
    return named & right, right - named, named - right


NOTHING = "nothing"
"""The option for "none of these"."""
