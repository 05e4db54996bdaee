"""Boxes against brute force: every value of a small vocabulary is tried."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.reasoning.boxes import Pairs, boxes, uncovered
from advisor.reasoning.conditions import All, Any, Condition, Known, Not, Test, evaluate
from advisor.reasoning.rules import Effect, Rule
from advisor.reasoning.values import Number, Value, Word, members, number, word
from advisor.reasoning.vocabulary import FactKind, Vocabulary

KINDS = (
    FactKind("metal", "word", choices=("iron", "steel", "bronze")),
    FactKind("marks", "members", choices=("a", "b")),
    FactKind("wall", "number"),
)
VOCABULARY = Vocabulary(("only",), KINDS)
LIMITS = (4.0, 6.0)


def _values(kind: FactKind) -> Iterator[Value]:
    yield kind.open
    if kind.type == "word":
        yield from (word(choice) for choice in kind.choices)
    elif kind.type == "members":
        for size in range(3):
            for chosen in itertools.combinations(kind.choices, size):
                yield members(*chosen)
    else:
        ends = (3.0, 4.0, 5.0, 6.0, 7.0)
        yield from (number(low, high) for low in ends for high in ends if low <= high)


CASES: list[Mapping[str, Value]] = [
    dict(zip(("metal", "marks", "wall"), values, strict=True))
    for values in itertools.product(*(_values(kind) for kind in KINDS))
]

leaf = st.one_of(
    st.sets(st.sampled_from(KINDS[0].choices), min_size=1).map(
        lambda words: Test("metal", "one_of", frozenset(words))
    ),
    st.sets(st.sampled_from(KINDS[1].choices), min_size=1).map(
        lambda words: Test("marks", "includes", frozenset(words))
    ),
    st.builds(
        lambda op, limit: Test("wall", op, limit=limit),
        st.sampled_from(("at_least", "at_most", "above", "below")),
        st.sampled_from(LIMITS),
    ),
    st.builds(Known, st.sampled_from(("metal", "wall")), st.booleans()),
)
condition: st.SearchStrategy[Condition] = st.recursive(
    leaf,
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: All(tuple(parts))),
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: Any(tuple(parts))),
        inner.map(Not),
    ),
    max_leaves=5,
)


def _rule(name: str, when: Condition) -> Rule:
    effect = Effect("rule_out", target="weld")
    return Rule(name, "subject", 0, "title", when, (effect,), "because", ())


@settings(max_examples=150, deadline=None)
@given(condition)
def test_a_condition_without_boxes_holds_nowhere(when: Condition) -> None:
    somewhere = any(evaluate(when, facts).certain for facts in CASES)
    if not boxes(when, VOCABULARY, 0):
        assert not somewhere
    elif not somewhere:
        # Only a number that is known and yet has no end, or the other way round, may be left.
        assert any(isinstance(part, Known) and part.fact == "wall" for part in _leaves(when))


def _leaves(when: Condition) -> Iterator[Condition]:
    if isinstance(when, Test | Known):
        yield when
    else:
        for part in (when.part,) if isinstance(when, Not) else when.parts:
            yield from _leaves(part)


@settings(max_examples=150, deadline=None)
@given(condition, condition)
def test_fires_within_only_where_it_does(one: Condition, other: Condition) -> None:
    first, second = _rule("s.one", one), _rule("s.other", other)
    if Pairs((first, second), VOCABULARY).fires_within(first, second):
        for facts in CASES:
            held, others = evaluate(one, facts), evaluate(other, facts)
            assert held.certain <= others.certain
            assert held.possible <= others.possible


def test_known_containments() -> None:
    thin = Test("wall", "below", limit=4.0)
    thinner = All((thin, Test("metal", "is", frozenset(("iron",)))))
    weak, strong = _rule("s.weak", thinner), _rule("s.strong", thin)
    pairs = Pairs((weak, strong), VOCABULARY)
    assert pairs.fires_within(weak, strong)
    assert not pairs.fires_within(strong, weak)
    assert [fault.rules for fault in pairs.swallowed()] == [("s.weak", "s.strong")]


def test_two_boxes_cover_a_third_between_them() -> None:
    any_metal = Test("metal", "one_of", frozenset(KINDS[0].choices))
    iron = Test("metal", "is", frozenset(("iron",)))
    rest = Test("metal", "one_of", frozenset(("steel", "bronze")))
    (whole,) = boxes(any_metal, VOCABULARY, 0)
    halves = (*boxes(iron, VOCABULARY, 0), *boxes(rest, VOCABULARY, 0))
    assert uncovered(whole, halves, VOCABULARY) is None
    left = uncovered(whole, halves[:1], VOCABULARY)
    assert left is not None
    assert left.sides == {("metal", ""): frozenset(("steel", "bronze"))}


def test_a_range_across_a_limit_is_in_neither_half() -> None:
    low, high = Test("wall", "below", limit=4.0), Test("wall", "at_least", limit=4.0)
    known = Known("wall", known=True)
    (whole,) = boxes(known, VOCABULARY, 0)
    halves = (*boxes(low, VOCABULARY, 0), *boxes(high, VOCABULARY, 0))
    assert uncovered(whole, halves, VOCABULARY) is not None
    assert not evaluate(low, {"wall": Number(3.0, 5.0, known=True)}).certain


def test_words_are_parted_by_open() -> None:
    not_iron = Not(Test("metal", "is", frozenset(("iron",))))
    (box,) = boxes(not_iron, VOCABULARY, 0)
    assert box.sides[("metal", "")] == frozenset(("steel", "bronze"))
    assert not evaluate(not_iron, {"metal": Word(frozenset(("iron", "steel")), False)}).certain
