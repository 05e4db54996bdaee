"""Rules held against one another in pairs, exactly and in plain Python.

A condition unfolds into alternatives, and each alternative is a box: for every fact that it reads,
the set of states in which it certainly holds. A word has as states its choices and "open"; each
member of a set is in, out or open; a number has its low and its high end between the limits that
anybody names. Facts are taken as independent of one another: what follows from whole chains of
stages is for the solver.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import (
    Condition,
    Known,
    Leaf,
    Not,
    Signed,
    Test,
    alternatives,
    facts_read,
    one_member_a_test,
)
from advisor.reasoning.cursor import KnowledgeProblem
from advisor.reasoning.rules import PROTECTIVE, Effect, Rule
from advisor.reasoning.values import comparable
from advisor.reasoning.vocabulary import FactKind, Vocabulary

Axis = tuple[str, str]
"""A fact, and which part of it: the fact itself, one member, or one end of a number."""

Cut = tuple[float, bool]
"""At a limit, or just above it."""

OPEN = "?"
BOTTOM: Cut = (float("-inf"), True)
TOP: Cut = (float("inf"), False)

Words = frozenset[str]
Span = tuple[Cut, Cut]
"""Beyond the first cut and not beyond the second."""

Side = Words | Span


@dataclass(frozen=True)
class Box:
    """The states, axis by axis, in which an alternative holds; axes left out are free."""

    sides: Mapping[Axis, Side]

    def meets(self, other: Box) -> Box | None:
        """What two boxes share, or None."""
        sides = dict(self.sides)
        for axis, side in other.sides.items():
            shared = _shared(sides.get(axis, side), side)
            if shared is None:
                return None
            sides[axis] = shared
        return Box(sides) if _ends_in_order(sides) else None

    def lies_in(self, other: Box) -> bool:
        """Whether all of this box lies in another one."""
        return all(
            axis in self.sides and _shared(self.sides[axis], side) == self.sides[axis]
            for axis, side in other.sides.items()
        )

    def without(self, other: Box, vocabulary: Vocabulary) -> Iterator[Box]:
        """What is left of this box outside another one, in pieces."""
        rest = dict(self.sides)
        for axis, side in other.sides.items():
            whole = rest.get(axis) or _whole(axis, vocabulary)
            for piece in _outside(whole, side):
                sides = {**rest, axis: piece}
                if _ends_in_order(sides):
                    yield Box(sides)
            shared = _shared(whole, side)
            if shared is None:
                return
            rest[axis] = shared


def _shared(one: Side, other: Side) -> Side | None:
    if isinstance(one, frozenset):
        assert isinstance(other, frozenset)
        return one & other or None
    assert not isinstance(other, frozenset)
    span = max(one[0], other[0]), min(one[1], other[1])
    return span if span[0] < span[1] else None


def _outside(whole: Side, side: Side) -> Iterator[Side]:
    if isinstance(whole, frozenset):
        assert isinstance(side, frozenset)
        if whole - side:
            yield whole - side
        return
    assert not isinstance(side, frozenset)
    for span in ((whole[0], min(side[0], whole[1])), (max(side[1], whole[0]), whole[1])):
        if span[0] < span[1]:
            yield span


def _whole(axis: Axis, vocabulary: Vocabulary) -> Side:
    kind = vocabulary[axis[0]]
    if axis[1] in ("low", "high") and kind.type == "number":
        return (BOTTOM, TOP)
    if kind.type == "members" and axis[1] != "known":
        return frozenset(("in", "out", OPEN))
    if axis[1] == "known":
        return frozenset(("yes", "no"))
    return frozenset((*kind.choices, OPEN))


def _ends_in_order(sides: Mapping[Axis, Side]) -> bool:
    """Whether every number has a low end that is not above its high end."""
    for (fact, part), side in sides.items():
        if part == "low" and not isinstance(side, frozenset):
            high = sides.get((fact, "high"))
            if high is not None and not isinstance(high, frozenset) and side[0] >= high[1]:
                return False
    return True


# --- conditions as boxes ------------------------------------------------------------------------


def boxes(condition: Condition, vocabulary: Vocabulary, stage: int) -> tuple[Box, ...]:
    """The boxes in which a condition certainly holds; none if it contradicts itself."""
    single = one_member_a_test(condition, vocabulary.sets_in(stage))
    found = (_box(literals, vocabulary) for literals in alternatives(single, limit=4096))
    return tuple(box for box in found if box is not None)


def _box(literals: Iterable[Signed], vocabulary: Vocabulary) -> Box | None:
    box = Box({})
    for literal in literals:
        sides = _sides(literal.leaf, vocabulary[literal.leaf.fact], negated=literal.negated)
        smaller = box.meets(Box(sides))
        if smaller is None:
            return None
        box = smaller
    return box


def _sides(leaf: Leaf, kind: FactKind, *, negated: bool) -> dict[Axis, Side]:
    if isinstance(leaf, Known):
        return _known_sides(kind, known=leaf.known != negated)
    if kind.type == "number":
        return {_end(leaf, negated=negated): _span(leaf, negated=negated)}
    if kind.type == "members":
        wanted = "out" if negated else "in"
        return {(kind.name, word): frozenset((wanted,)) for word in leaf.words}
    words = frozenset(kind.choices) - leaf.words if negated else leaf.words
    return {(kind.name, ""): words}


def _known_sides(kind: FactKind, *, known: bool) -> dict[Axis, Side]:
    if kind.type == "word" and not kind.combine:
        return {(kind.name, ""): frozenset(kind.choices if known else (OPEN,))}
    return {(kind.name, "known"): frozenset(("yes" if known else "no",))}


def _end(leaf: Test, *, negated: bool) -> Axis:
    """The end of a number that makes a comparison certain."""
    upward = leaf.op in ("at_least", "above")
    return (leaf.fact, "low" if upward != negated else "high")


def _span(leaf: Test, *, negated: bool) -> Span:
    cut: Cut = (comparable(leaf.limit), leaf.op in ("above", "at_most"))
    upward = leaf.op in ("at_least", "above")
    return (cut, TOP) if upward != negated else (BOTTOM, cut)


def uncovered(box: Box, others: Sequence[Box], vocabulary: Vocabulary) -> Box | None:
    """A part of a box that lies in none of the others, or None if they cover it."""
    for index, other in enumerate(others):
        if box.meets(other) is not None:
            rest = others[index + 1 :]
            for piece in box.without(other, vocabulary):
                left = uncovered(piece, rest, vocabulary)
                if left is not None:
                    return left
            return None
    return box


# --- rules in pairs -----------------------------------------------------------------------------


@dataclass(frozen=True)
class PairFault:
    """What is wrong with a rule, or with two rules together.

    Attributes:
        kind: ``unreachable``, ``duplicate``, ``swallowed`` or ``overlap``.
        rules: ids of the rules.
        says: the fault in one sentence.
    """

    kind: str
    rules: tuple[str, ...]
    says: str


class Pairs:
    """All rules of a rule base, with their boxes, indexed by the facts that they read."""

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary) -> None:
        self.rules = tuple(rules)
        self._vocabulary = vocabulary
        self._boxes: dict[str, tuple[Box, ...]] = {}
        self._opposite: dict[str, tuple[Box, ...]] = {}
        self._reads = {rule.id: facts_read(rule.when) for rule in self.rules}

    def boxes(self, rule: Rule) -> tuple[Box, ...]:
        """The boxes in which a rule certainly fires."""
        if rule.id not in self._boxes:
            self._boxes[rule.id] = boxes(rule.when, self._vocabulary, rule.stage)
        return self._boxes[rule.id]

    def _not_boxes(self, rule: Rule) -> tuple[Box, ...]:
        """The boxes in which a rule certainly does not fire."""
        if rule.id not in self._opposite:
            self._opposite[rule.id] = boxes(Not(rule.when), self._vocabulary, rule.stage)
        return self._opposite[rule.id]

    def faults(self) -> list[PairFault]:
        """Everything that is wrong with rules by themselves and in pairs."""
        return [*self.unreachable(), *self.duplicates(), *self.swallowed(), *self.overlaps()]

    def unreachable(self) -> Iterator[PairFault]:
        """Rules whose condition contradicts itself."""
        for rule in self.rules:
            if not self.boxes(rule):
                says = f"{rule.id} can never fire: its condition contradicts itself"
                yield PairFault("unreachable", (rule.id,), says)

    def duplicates(self) -> Iterator[PairFault]:
        """Rules that stand in the rule base twice."""
        alike: dict[object, list[Rule]] = defaultdict(list)
        for rule in self.rules:
            sides = frozenset(frozenset(box.sides.items()) for box in self.boxes(rule))
            alike[rule.stage, sides, frozenset(rule.then)].append(rule)
        for rules in alike.values():
            for first, second in itertools.pairwise(rules):
                says = f"{second.id} says the same as {first.id} in the same cases"
                yield PairFault("duplicate", (first.id, second.id), says)

    def swallowed(self) -> Iterator[PairFault]:
        """Rules that say nothing which another rule does not say at least as often."""
        for rule, other in self._covering():
            if rule.when == other.when and self._place(rule) < self._place(other):
                continue
            if self.fires_within(rule, other):
                says = f"whenever {rule.id} fires, {other.id} says as much or more"
                yield PairFault("swallowed", (rule.id, other.id), says)

    def _place(self, rule: Rule) -> int:
        return self.rules.index(rule)

    def fires_within(self, rule: Rule, other: Rule) -> bool:
        """Whether a rule fires, certainly or possibly, only where the other does so too."""
        return self._within(self.boxes(rule), self.boxes(other)) and self._within(
            self._not_boxes(other), self._not_boxes(rule)
        )

    def _within(self, inner: Sequence[Box], outer: Sequence[Box]) -> bool:
        return all(
            any(box.lies_in(each) for each in outer)
            or uncovered(box, outer, self._vocabulary) is None
            for box in inner
        )

    def _covering(self) -> Iterator[tuple[Rule, Rule]]:
        """Pairs of which the second makes every claim of the first, or a stronger one."""
        claimers: dict[str, list[Rule]] = defaultdict(list)
        for rule in self.rules:
            for fact in {effect.claim[0] for effect in rule.then if effect.claim}:
                claimers[fact].append(rule)
        for rule in self.rules:
            first = rule.then[0].claim
            if first is None:
                continue
            for other in claimers[first[0]]:
                if other is rule or not self._reads[other.id] <= self._reads[rule.id]:
                    continue
                if covers(other, rule, self._vocabulary):
                    yield rule, other

    def overlaps(self) -> Iterator[PairFault]:
        """Two rules that settle one ``single`` decision differently in one and the same case."""
        claims: dict[str, list[tuple[Rule, Effect]]] = defaultdict(list)
        for rule in self.rules:
            for effect in rule.then:
                if effect.claim and self._vocabulary[effect.claim[0]].combine == "single":
                    claims[effect.claim[0]].append((rule, effect))
        for decision, made in claims.items():
            for (one, its), (other, others) in itertools.combinations(made, 2):
                if its.claim != others.claim and self._meet(one, other):
                    says = f"{one.id} and {other.id} settle {decision} differently in one case"
                    yield PairFault("overlap", (one.id, other.id), says)

    def _meet(self, one: Rule, other: Rule) -> bool:
        return any(a.meets(b) for a in self.boxes(one) for b in self.boxes(other))


def covers(strong: Rule, weak: Rule, vocabulary: Vocabulary) -> bool:
    """Whether every effect of a rule is among those of another, or weaker than one of them."""
    return all(any(_covers(one, effect, vocabulary) for one in strong.then) for effect in weak.then)


def _covers(strong: Effect, weak: Effect, vocabulary: Vocabulary) -> bool:
    if weak.claim is None or strong.claim is None or weak.claim[0] != strong.claim[0]:
        return False
    if strong.claim[1] == weak.claim[1]:
        return strong.kind in PROTECTIVE or strong.kind == weak.kind
    kind = vocabulary[weak.claim[0]]
    if kind.combine == "strictest":
        rank = kind.choices.index
        return rank(strong.word) >= rank(weak.word)
    if strong.number is None or weak.number is None:
        return False
    if kind.combine == "highest":
        return strong.number >= weak.number
    return kind.combine == "lowest" and strong.number <= weak.number


def refuse_faults(rules: Iterable[Rule], vocabulary: Vocabulary) -> None:
    """Refuse rules that contradict themselves, stand twice, or overlap in one decision.

    Raises:
        KnowledgeProblem: naming the rule and where it stands.
    """
    pairs = Pairs(rules, vocabulary)
    faults = (*pairs.unreachable(), *pairs.duplicates(), *pairs.overlaps())
    for fault in faults:
        rule = next(rule for rule in pairs.rules if rule.id == fault.rules[-1])
        raise KnowledgeProblem(
            fault.says, _RIGHT[fault.kind], field=rule.id, file=rule.file, line=rule.line
        )


_RIGHT = {
    "unreachable": "a condition that some case can meet",
    "duplicate": "each rule once",
    "overlap": "conditions that never hold together, or one value",
}
