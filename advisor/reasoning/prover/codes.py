"""How each kind of fact stands in the circuit, and how a test of it reads.

A word has a literal for each choice (it is certainly that one), a set two for each member
(certainly and possibly in it), a number two for each place where a limit cuts its scale: its low
end lies beyond the cut, its high end does. All have one for being known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from typing import NamedTuple

from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import Known, Leaf, Test
from advisor.reasoning.prover.circuit import FALSE, TRUE, Circuit, negate
from advisor.reasoning.values import Members, Value, Word, comparable
from advisor.reasoning.vocabulary import FactKind


class Pair(NamedTuple):
    """Both truths of a condition, as literals."""

    certain: int
    possible: int


class Cut(NamedTuple):
    """A place on the scale of a number: at the limit, or just above it.

    A value lies beyond the cut where it is at least, or (``above``) more than the limit.
    """

    limit: float
    above: bool


@dataclass(frozen=True)
class WordCode:
    """A word: ``exact`` has a literal for each choice."""

    exact: Mapping[str, int]
    known: int

    def test(self, leaf: Test, circuit: Circuit) -> Pair:
        """Both truths of a test."""
        certain = circuit.any(self.exact.get(word, FALSE) for word in leaf.words)
        one_left = circuit.any(self.exact.values())
        return Pair(certain, circuit.either(certain, negate(one_left)))


@dataclass(frozen=True)
class MembersCode:
    """A set: what is certainly and what is possibly in it."""

    certain: Mapping[str, int]
    possible: Mapping[str, int]
    known: int

    def test(self, leaf: Test, circuit: Circuit) -> Pair:
        """Both truths of a test."""
        return Pair(
            circuit.any(self.certain.get(word, FALSE) for word in leaf.words),
            circuit.any(self.possible.get(word, FALSE) for word in leaf.words),
        )


@dataclass(frozen=True)
class NumberCode:
    """A number: ``ends`` gives, for a cut, whether the low and the high end lie beyond it."""

    ends: Callable[[Cut], tuple[int, int]]
    known: int

    def test(self, leaf: Test, circuit: Circuit) -> Pair:
        """Both truths of a test."""
        low, high = self.ends(cut_of(leaf))
        if leaf.op in ("at_least", "above"):
            return Pair(low, high)
        return Pair(negate(high), negate(low))


Code = WordCode | MembersCode | NumberCode


def cut_of(leaf: Test) -> Cut:
    """The cut at which a comparison turns."""
    return Cut(comparable(leaf.limit), leaf.op in ("above", "at_most"))


def beyond(number: float, cut: Cut) -> bool:
    """Whether a number lies beyond a cut."""
    value = comparable(number)
    return value > cut.limit if cut.above else value >= cut.limit


def read(leaf: Leaf, code: Code, circuit: Circuit) -> Pair:
    """Both truths of a test on a fact."""
    if isinstance(leaf, Known):
        known = code.known if leaf.known else negate(code.known)
        return Pair(known, known)
    return code.test(leaf, circuit)


def constant(value: Value) -> Code:
    """A fact that has one value in every case."""
    known = TRUE if value.known else FALSE
    if isinstance(value, Word):
        return WordCode({value.word: TRUE} if value.word is not None else {}, known)
    if isinstance(value, Members):
        return MembersCode(
            dict.fromkeys(value.certain, TRUE), dict.fromkeys(value.possible, TRUE), known
        )
    low, high = value.low, value.high

    def ends(cut: Cut) -> tuple[int, int]:
        return int(beyond(low, cut)), int(beyond(high, cut))

    return NumberCode(ends, known)


@dataclass(frozen=True)
class Arm:
    """One of several codes of a fact, and when it holds; no two arms hold together."""

    when: int
    code: Code


def select(arms: Sequence[Arm], kind: FactKind, circuit: Circuit) -> Code:
    """The code of whichever arm holds; open where none does."""
    none = negate(circuit.any(arm.when for arm in arms))

    def gather(pick: Callable[[Code], int], otherwise: int) -> int:
        found = [circuit.both(arm.when, pick(arm.code)) for arm in arms]
        return circuit.any([*found, circuit.both(none, otherwise)])

    known = gather(lambda code: code.known, FALSE)
    if kind.type == "word":
        return WordCode({w: gather(partial(_exact, word=w), FALSE) for w in kind.choices}, known)
    if kind.type == "members":
        return MembersCode(
            {w: gather(partial(_certain, word=w), FALSE) for w in kind.choices},
            {w: gather(partial(_possible, word=w), TRUE) for w in kind.choices},
            known,
        )

    def ends(cut: Cut) -> tuple[int, int]:
        return gather(partial(_low, cut=cut), FALSE), gather(partial(_high, cut=cut), TRUE)

    return NumberCode(cache(ends), known)


def _exact(code: Code, word: str) -> int:
    assert isinstance(code, WordCode)
    return code.exact.get(word, FALSE)


def _certain(code: Code, word: str) -> int:
    assert isinstance(code, MembersCode)
    return code.certain.get(word, FALSE)


def _possible(code: Code, word: str) -> int:
    assert isinstance(code, MembersCode)
    return code.possible.get(word, FALSE)


def _low(code: Code, cut: Cut) -> int:
    assert isinstance(code, NumberCode)
    return code.ends(cut)[0]


def _high(code: Code, cut: Cut) -> int:
    assert isinstance(code, NumberCode)
    return code.ends(cut)[1]
