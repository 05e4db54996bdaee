"""The whole rule base as one circuit: answers, look-ups, decisions and rules, stage by stage.

What a formula makes is a free input within its range, unless a law says more about it. So the
circuit admits every case there is, and some that arithmetic would not: what is proved of it holds,
and a case that breaks a proof has to be thought through to see whether it is a real one.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field
from functools import cache, cached_property
from types import MappingProxyType
from typing import NamedTuple

from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import All, Condition, Known, Leaf, Not, Test
from advisor.reasoning.prover.circuit import FALSE, TRUE, Circuit, negate
from advisor.reasoning.prover.codes import (
    Arm,
    Code,
    Cut,
    MembersCode,
    NumberCode,
    Pair,
    WordCode,
    beyond,
    constant,
    read,
    select,
)
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Members, Value, Word
from advisor.reasoning.vocabulary import ANSWERS, FactKind, Vocabulary


@dataclass(frozen=True)
class Range:
    """Where a number may lie: ``above`` its least where that is not meant, ``whole`` if counted."""

    least: float = -math.inf
    most: float = math.inf
    above: bool = False
    whole: bool = False


@dataclass(frozen=True)
class RowLookUp:
    """A fact that a table gives: which fact names the row, and the value in each row."""

    key: str
    rows: Mapping[str, Value]


class Probe(NamedTuple):
    """What a free input says about a fact: exactly a word, a member, beyond a cut, or known."""

    what: str
    fact: str
    detail: str | Cut = ""

    def of(self, value: Value) -> bool:
        """Whether the input is true where the fact has this value."""
        if self.what == "known":
            return value.known
        if isinstance(value, Word):
            return value.word == self.detail
        if isinstance(value, Members):
            return value.known and self.detail in value.certain
        assert isinstance(self.detail, Cut)
        return beyond(value.low if self.what == "low" else value.high, self.detail)


Law = Callable[["Encoder"], Mapping[str, Code]]
"""What is known of a formula: the codes of the facts that it makes."""


@dataclass(frozen=True)
class Setting:
    """What the circuit is made of besides the rules.

    Attributes:
        look_ups: facts read from tables.
        laws: by each fact that a formula makes, what is known of it; without one it is free.
        ranges: where numbers may lie.
        not_above: pairs of numbers of which the first is never wholly above the second.
    """

    look_ups: Mapping[str, RowLookUp] = field(default_factory=dict)
    laws: Mapping[str, Law] = field(default_factory=dict)
    ranges: Mapping[str, Range] = field(default_factory=dict)
    not_above: Sequence[tuple[str, str]] = ()


class Circular(ValueError):
    """Rules of one stage that wait for one another: the prover does not go round in circles."""


class Encoder:
    """Builds the circuit, each fact and rule when it is first asked for."""

    def __init__(
        self, vocabulary: Vocabulary, rules: Iterable[Rule], setting: Setting | None = None
    ) -> None:
        self.vocabulary = vocabulary
        self.rules = {rule.id: rule for rule in rules}
        self.setting = setting or Setting()
        self.circuit = Circuit()
        self.constraints: list[int] = []
        self.only: dict[str, int] = {}
        self.free_codes: dict[str, Code] = {}
        self.scales: dict[str, Scale] = {}
        self._facts: dict[str, Code] = {}
        self._rules: dict[str, Pair] = {}
        self._under_way: set[str] = set()

    @cached_property
    def claimers(self) -> Mapping[str, Sequence[tuple[Rule, str | float]]]:
        """The rules that claim a decision, each with what it claims."""
        found: dict[str, list[tuple[Rule, str | float]]] = defaultdict(list)
        for rule in self.rules.values():
            for effect in rule.then:
                if effect.claim:
                    found[effect.claim[0]].append((rule, effect.claim[1]))
        return found

    def replay(self, values: Mapping[str, Value]) -> bytearray:
        """The truth of every literal where the facts have these values.

        A free fact that only part of a law makes use of is open elsewhere, as in the search.
        """
        inputs = self.circuit.inputs

        def probed(node: int, truth: bytearray) -> bool:
            probe = inputs[node]
            assert isinstance(probe, Probe)
            if truth[self.only.get(probe.fact, TRUE)]:
                return probe.of(values[probe.fact])
            return probe.of(self.vocabulary[probe.fact].open)

        return self.circuit.replay(probed)

    def require(self, literal: int) -> None:
        """Only cases in which this holds are looked at."""
        if literal != TRUE:
            self.constraints.append(literal)

    # --- conditions -------------------------------------------------------------------------

    def rule(self, rule_id: str) -> Pair:
        """Whether a rule certainly and possibly fires.

        Raises:
            Circular: it waits for itself.
        """
        if rule_id not in self._rules:
            if rule_id in self._under_way:
                raise Circular(f"rule {rule_id} waits for itself")
            self._under_way.add(rule_id)
            rule = self.rules[rule_id]
            self._rules[rule_id] = self.condition(rule.when, rule.stage)
            self._under_way.discard(rule_id)
        return self._rules[rule_id]

    def condition(
        self,
        condition: Condition,
        stage: int | None = None,
        views: Mapping[str, Code] = MappingProxyType({}),
    ) -> Pair:
        """Both truths of a condition.

        Args:
            condition: the condition.
            stage: the stage of the rule that states it; without one the facts are final.
            views: facts that are to be read otherwise than they stand.
        """
        circuit = self.circuit
        if isinstance(condition, Test | Known):
            code = views.get(condition.fact) or self._seen_in(condition, stage)
            return read(condition, code, circuit)
        if isinstance(condition, Not):
            inner = self.condition(condition.part, stage, views)
            return Pair(negate(inner.possible), negate(inner.certain))
        parts = [self.condition(part, stage, views) for part in condition.parts]
        join = circuit.all if isinstance(condition, All) else circuit.any
        return Pair(join(part.certain for part in parts), join(part.possible for part in parts))

    def _seen_in(self, leaf: Leaf, stage: int | None) -> Code:
        kind = self.vocabulary[leaf.fact]
        growing = kind.stage == stage and kind.combine and kind.type != "number"
        if stage is None or not growing or isinstance(leaf, Known):
            return self.fact(leaf.fact)
        return self._gathered(kind, leaf.words, stage)

    def _gathered(self, kind: FactKind, words: Iterable[str], stage: int) -> MembersCode:
        """A decision while the rules of its stage still gather claims on it, word by word."""
        pairs = {word: self._claim(kind.name, word, stage) for word in words}
        return MembersCode(
            {word: pair.certain for word, pair in pairs.items()},
            {word: pair.possible for word, pair in pairs.items()},
            FALSE,
        )

    # --- facts ------------------------------------------------------------------------------

    def fact(self, name: str) -> Code:
        """The code of a fact as it stands after its stage."""
        if name not in self._facts:
            self._make(self.vocabulary[name])
        return self._facts[name]

    def _make(self, kind: FactKind) -> None:
        name = kind.name
        if name in self.setting.look_ups:
            self._facts[name] = self._looked_up(kind, self.setting.look_ups[name])
        elif kind.combine:
            self._facts[name] = self._decided(kind)
        elif name in self.setting.laws:
            self._facts.update(self.setting.laws[name](self))
        else:
            self._facts[name] = self.free(name)

    def _looked_up(self, kind: FactKind, look_up: RowLookUp) -> Code:
        key = self.fact(look_up.key)
        assert isinstance(key, WordCode)
        arms = [
            Arm(key.exact.get(row, FALSE), constant(value)) for row, value in look_up.rows.items()
        ]
        return select(arms, kind, self.circuit)

    def free(self, name: str, only: int = TRUE) -> Code:
        """A fact that may have any value in its range, or be open; open wherever not ``only``."""
        kind = self.vocabulary[name]
        self.only[name] = only
        if kind.type == "word":
            code: Code = self._free_word(kind)
        elif kind.type == "members":
            code = self._free_members(kind)
        else:
            code = self._free_number(kind)
        self.free_codes[name] = code
        self.require(self.circuit.implies(code.known, only))
        return code

    def _free_word(self, kind: FactKind) -> WordCode:
        exact = {w: self.circuit.input(Probe("exact", kind.name, w)) for w in kind.choices}
        self.require(self.circuit.at_most_one(list(exact.values())))
        return WordCode(exact, self.circuit.any(exact.values()))

    def _free_members(self, kind: FactKind) -> MembersCode:
        circuit = self.circuit
        known = circuit.input(Probe("known", kind.name))
        holds = {w: circuit.input(Probe("member", kind.name, w)) for w in kind.choices}
        some = circuit.any(holds.values())
        self.require(circuit.implies(some, known))
        if kind.stage == ANSWERS and "none" in holds:
            self.require(circuit.implies(known, some))
            others = circuit.any(lit for word, lit in holds.items() if word != "none")
            self.require(negate(circuit.both(holds["none"], others)))
        possible = {w: circuit.either(negate(known), lit) for w, lit in holds.items()}
        return MembersCode(holds, possible, known)

    def _free_number(self, kind: FactKind) -> NumberCode:
        range_ = self.setting.ranges.get(kind.name, Range())
        scale = self.scales[kind.name] = Scale(self, kind.name, range_)
        return NumberCode(cache(scale.ends), scale.known)

    # --- decisions --------------------------------------------------------------------------

    def _claim(self, name: str, value: str | float, stage: int | None = None) -> Pair:
        """Whether some rule, up to a stage, certainly and possibly claims a value."""
        pairs = [
            self.rule(rule.id)
            for rule, claimed in self.claimers.get(name, ())
            if claimed == value and (stage is None or rule.stage <= stage)
        ]
        any_of = self.circuit.any
        return Pair(any_of(pair.certain for pair in pairs), any_of(pair.possible for pair in pairs))

    def _claims(self, name: str) -> Mapping[str | float, Pair]:
        """By value claimed: whether some rule certainly, possibly claims it."""
        values = {value for _, value in self.claimers.get(name, ())}
        found = {value: self._claim(name, value) for value in values}
        return defaultdict(lambda: Pair(FALSE, FALSE), found)

    def _decided(self, kind: FactKind) -> Code:
        claims = self._claims(kind.name)
        if kind.combine == "collect":
            return MembersCode(
                {word: claims[word].certain for word in kind.choices},
                {word: claims[word].possible for word in kind.choices},
                TRUE,
            )
        if kind.type == "number":
            return self._decided_number(kind, claims)
        if kind.combine == "strictest":
            return self._strictest(kind, claims)
        return self._single(kind, claims)

    def _decided_number(self, kind: FactKind, claims: Mapping[str | float, Pair]) -> NumberCode:
        circuit = self.circuit
        values = sorted(float(value) for value in claims)
        sure = circuit.any(claims[value].certain for value in values)
        some = circuit.any(claims[value].possible for value in values)

        def ends(cut: Cut) -> tuple[int, int]:
            up = [claims[value] for value in values if beyond(value, cut)]
            down = [claims[value] for value in values if not beyond(value, cut)]
            sure_up = circuit.any(pair.certain for pair in up)
            some_up = circuit.any(pair.possible for pair in up)
            sure_down = circuit.any(pair.certain for pair in down)
            all_up = circuit.both(some, negate(circuit.any(pair.possible for pair in down)))
            if kind.combine == "single":
                return circuit.both(sure, all_up), circuit.either(negate(sure), some_up)
            if kind.combine == "highest":
                low, high = circuit.either(sure_up, circuit.both(negate(sure), all_up)), some_up
            else:
                unsure_up = circuit.both(negate(sure), some_up)
                low, high = all_up, circuit.either(circuit.both(sure, negate(sure_down)), unsure_up)
            return low, circuit.either(negate(some), high)

        return NumberCode(cache(ends), sure if kind.combine == "single" else some)

    def _strictest(self, kind: FactKind, claims: Mapping[str | float, Pair]) -> WordCode:
        """From each choice upwards: whether the decision is surely, at worst that strict."""
        circuit = self.circuit
        rank = kind.choices.index
        floor = rank(kind.otherwise) if kind.otherwise else -1
        unsure = rank(kind.unsure) if kind.unsure else len(kind.choices)
        surely, at_worst = [], []
        for least in range(len(kind.choices) + 1):
            above = [claims[word] for word in kind.choices[least:]]
            certain = [pair.certain for pair in above] + [TRUE if floor >= least else FALSE]
            reached = certain + [pair.possible for pair in above if unsure >= least]
            surely.append(circuit.any(certain))
            at_worst.append(circuit.any(reached))
        if kind.unsure:
            surely = at_worst
        exact = {
            word: circuit.both(surely[index], negate(at_worst[index + 1]))
            for index, word in enumerate(kind.choices)
        }
        return WordCode(exact, circuit.any(exact.values()))

    def _single(self, kind: FactKind, claims: Mapping[str | float, Pair]) -> WordCode:
        circuit = self.circuit
        certain = circuit.any(claims[word].certain for word in kind.choices)
        alone = {
            word: circuit.both(
                claims[word].possible,
                negate(circuit.any(claims[w].possible for w in kind.choices if w != word)),
            )
            for word in kind.choices
        }
        none = negate(circuit.any(claims[word].possible for word in kind.choices))
        exact = {word: circuit.both(certain, alone[word]) for word in kind.choices}
        known = circuit.any(exact.values())
        if kind.otherwise:
            exact[kind.otherwise] = circuit.any([alone[kind.otherwise], none])
            known = circuit.either(known, none)
        return WordCode(exact, known)

    def disagreement(self, name: str) -> int:
        """Holds where rules certainly settle a ``single`` decision differently."""
        claims = self._claims(name)
        return negate(self.circuit.at_most_one([pair.certain for pair in claims.values()]))


class Scale:
    """A free number: a pair of inputs for each cut that anybody asks for, kept in order."""

    def __init__(self, encoder: Encoder, name: str, range_: Range) -> None:
        self._encoder = encoder
        self._name = name
        self.range = range_
        self.cuts: dict[Cut, tuple[int, int]] = {}
        self.known = encoder.circuit.input(Probe("known", name))

    def ends(self, cut: Cut) -> tuple[int, int]:
        """Whether the low and the high end lie beyond a cut."""
        if self.range.whole:
            cut = _next_whole(cut)
        if cut <= Cut(self.range.least, self.range.above):
            return self.known, TRUE
        if beyond_most(cut, self.range.most):
            return FALSE, negate(self.known)
        if cut not in self.cuts:
            self._add(cut)
            self._compare(cut)
        return self.cuts[cut]

    def _add(self, cut: Cut) -> None:
        circuit, require = self._encoder.circuit, self._encoder.require
        low = circuit.input(Probe("low", self._name, cut))
        high = circuit.input(Probe("high", self._name, cut))
        require(circuit.implies(low, self.known))
        require(circuit.either(high, self.known))
        require(circuit.implies(low, high))
        for made, (its_low, its_high) in self.cuts.items():
            if made < cut:
                require(circuit.implies(low, its_low))
                require(circuit.implies(high, its_high))
            else:
                require(circuit.implies(its_low, low))
                require(circuit.implies(its_high, high))
        self.cuts[cut] = (low, high)

    def _compare(self, cut: Cut) -> None:
        """Where this number is never wholly above another one, or the other way round."""
        encoder = self._encoder
        for small, large in encoder.setting.not_above:
            if self._name not in (small, large):
                continue
            codes = [encoder.fact(small), encoder.fact(large)]
            assert all(isinstance(code, NumberCode) for code in codes)
            (low, _), (_, high) = (code.ends(cut) for code in codes if isinstance(code, NumberCode))
            both = encoder.circuit.both(codes[0].known, codes[1].known)
            encoder.require(encoder.circuit.implies(encoder.circuit.both(both, low), high))


def _next_whole(cut: Cut) -> Cut:
    """The same cut for numbers that are whole."""
    whole = math.floor(cut.limit) + 1 if cut.above else math.ceil(cut.limit)
    return Cut(float(whole), False)


def beyond_most(cut: Cut, most: float) -> bool:
    """Whether nothing up to ``most`` lies beyond a cut."""
    return cut.limit > most or (cut.above and cut.limit == most)
