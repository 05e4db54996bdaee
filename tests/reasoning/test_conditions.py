"""Conditions: truth in three values, the laws it keeps, and unfolding into alternatives."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rule_bases import ANSWERS, cases, random_rules

from advisor.reasoning.conditions import (
    ALWAYS,
    ALWAYS_HOLDS,
    CANNOT_TELL,
    NEVER_HOLDS,
    All,
    Any,
    Condition,
    Holds,
    Known,
    Not,
    Operator,
    Signed,
    Test,
    TooManyCombinations,
    Truth,
    alternatives,
    evaluate,
    facts_read,
    leaves,
    one_member_a_test,
)
from advisor.reasoning.values import (
    OPEN_NUMBER,
    Members,
    Number,
    Value,
    Word,
    members,
    number,
    open_members,
    open_word,
    word,
)

METALS = ("gray_iron", "cast_steel", "bronze")
SIGNS = ("rust", "oil", "frost")
TRUE, FALSE, OPEN = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN


# --- a test of one fact -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "words", "truth"),
    [
        (word("gray_iron"), {"gray_iron"}, TRUE),
        (word("gray_iron"), {"gray_iron", "bronze"}, TRUE),
        (word("cast_steel"), {"gray_iron", "bronze"}, FALSE),
        (open_word(METALS), {"gray_iron"}, OPEN),
        # An open word passes and fails every test, also one that holds for all that it can be:
        # both reasoners and the prover read it so, and it errs to "cannot tell".
        (open_word(METALS), set(METALS), OPEN),
        (Word(frozenset({"gray_iron", "bronze"}), known=False), {"cast_steel"}, OPEN),
        (Word(frozenset({"gray_iron"}), known=False), {"gray_iron"}, TRUE),
    ],
)
def test_word(value: Word, words: set[str], truth: Truth) -> None:
    assert Test("metal", "one_of", frozenset(words)).holds(value).truth is truth


@pytest.mark.parametrize(
    ("value", "words", "truth"),
    [
        (members("rust"), {"rust"}, TRUE),
        (members("rust"), {"oil", "rust"}, TRUE),
        (members("rust"), {"oil"}, FALSE),
        (members(), {"rust"}, FALSE),
        (open_members(SIGNS), {"rust"}, OPEN),
        (Members(frozenset({"oil"}), frozenset({"oil", "rust"}), known=True), {"rust"}, OPEN),
        (Members(frozenset({"oil"}), frozenset({"oil", "rust"}), known=True), {"oil"}, TRUE),
        (Members(frozenset({"oil"}), frozenset({"oil", "rust"}), known=True), {"frost"}, FALSE),
    ],
)
def test_members(value: Members, words: set[str], truth: Truth) -> None:
    assert Test("signs", "includes", frozenset(words)).holds(value).truth is truth


@pytest.mark.parametrize(
    ("value", "at_least", "above", "at_most", "below"),
    [
        (number(7.0), FALSE, FALSE, TRUE, TRUE),
        (number(8.0), TRUE, FALSE, TRUE, FALSE),
        (number(9.0), TRUE, TRUE, FALSE, FALSE),
        # "at least" reads the low end, "at most" the high end
        (number(8.0, 9.0), TRUE, OPEN, OPEN, FALSE),
        (number(7.0, 8.0), OPEN, FALSE, TRUE, OPEN),
        (number(7.0, 9.0), OPEN, OPEN, OPEN, OPEN),
        (number(8.1, 9.0), TRUE, TRUE, FALSE, FALSE),
        (number(6.0, 7.9), FALSE, FALSE, TRUE, TRUE),
        (OPEN_NUMBER, OPEN, OPEN, OPEN, OPEN),
        (Number(8.0, float("inf"), known=True), TRUE, OPEN, OPEN, FALSE),
        (Number(float("-inf"), 8.0, known=True), OPEN, FALSE, TRUE, OPEN),
        # numbers meet limits at a resolution of 0.0001
        (number(8.00004), TRUE, FALSE, TRUE, FALSE),
        (number(7.99996), TRUE, FALSE, TRUE, FALSE),
        (number(8.00006), TRUE, TRUE, FALSE, FALSE),
    ],
)
def test_ranged_number(
    value: Number, at_least: Truth, above: Truth, at_most: Truth, below: Truth
) -> None:
    outcomes: dict[Operator, Truth] = {
        "at_least": at_least,
        "above": above,
        "at_most": at_most,
        "below": below,
    }
    for operator, truth in outcomes.items():
        assert Test("wall", operator, limit=8.0).holds(value).truth is truth, operator


@pytest.mark.parametrize(
    ("value", "known"),
    [
        (word("bronze"), True),
        (open_word(METALS), False),
        (Members(frozenset(), frozenset(SIGNS), known=True), True),
        (open_members(SIGNS), False),
        (number(7.0, 9.0), True),
        (OPEN_NUMBER, False),
    ],
)
def test_known_is_certain_one_way_or_the_other(value: Value, known: bool) -> None:
    assert Known("f", known=True).holds(value) == (ALWAYS_HOLDS if known else NEVER_HOLDS)
    assert Known("f", known=False).holds(value) == (NEVER_HOLDS if known else ALWAYS_HOLDS)


@given(st.floats(-100, 100), st.floats(-100, 100), st.floats(-100, 100))
def test_opposite_comparisons_complement_one_another(
    one: float, other: float, limit: float
) -> None:
    value = number(min(one, other), max(one, other))
    for operator, opposite in (("at_least", "below"), ("above", "at_most")):
        holds = Test("wall", operator, limit=limit).holds(value)  # type: ignore[arg-type]
        assert Test("wall", opposite, limit=limit).holds(value) == holds.negated()  # type: ignore[arg-type]


# --- the laws of three values -------------------------------------------------------------------

VALUES = {TRUE: ALWAYS_HOLDS, OPEN: CANNOT_TELL, FALSE: NEVER_HOLDS}
RANK = {FALSE: 0, OPEN: 1, TRUE: 2}
FACTS: dict[str, Value] = {
    TRUE.name: word("yes"),
    FALSE.name: word("no"),
    OPEN.name: open_word(("no", "yes")),
}


def leaf(truth: Truth) -> Test:
    return Test(truth.name, "is", frozenset({"yes"}))


def truth_of(condition: Condition) -> Truth:
    return evaluate(condition, FACTS).truth


PAIRS = list(itertools.product(Truth, repeat=2))
TRIPLES = list(itertools.product(Truth, repeat=3))


@pytest.mark.parametrize("truth", Truth)
def test_truths_come_back(truth: Truth) -> None:
    assert truth_of(leaf(truth)) is truth
    assert VALUES[truth].truth is truth


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_all_is_the_least_and_any_the_greatest(one: Truth, other: Truth) -> None:
    both = (one, other)
    assert truth_of(All((leaf(one), leaf(other)))) is min(both, key=RANK.__getitem__)
    assert truth_of(Any((leaf(one), leaf(other)))) is max(both, key=RANK.__getitem__)


def test_not() -> None:
    turned = {truth: truth_of(Not(leaf(truth))) for truth in Truth}
    assert turned == {TRUE: FALSE, FALSE: TRUE, OPEN: OPEN}


def test_empty_combinations() -> None:
    assert truth_of(ALWAYS) is TRUE
    assert truth_of(All(())) is TRUE
    assert truth_of(Any(())) is FALSE
    assert truth_of(Not(ALWAYS)) is FALSE


@pytest.mark.parametrize("truths", TRIPLES)
def test_laws(truths: tuple[Truth, Truth, Truth]) -> None:
    a, b, c = map(leaf, truths)
    for left, right in (
        (Not(Not(a)), a),
        (Not(All((a, b))), Any((Not(a), Not(b)))),
        (Not(Any((a, b))), All((Not(a), Not(b)))),
        (All((a, Any((b, c)))), Any((All((a, b)), All((a, c))))),
        (Any((a, All((b, c)))), All((Any((a, b)), Any((a, c))))),
        (All((a, All((b, c)))), All((a, b, c))),
        (Any((a, Any((b, c)))), Any((c, b, a))),
        (All((a, Any((a, b)))), a),
        (All((a, a)), a),
        (Any((a, a)), a),
    ):
        assert truth_of(left) is truth_of(right)


@pytest.mark.parametrize("truth", Truth)
def test_either_it_or_not_cannot_always_be_told(truth: Truth) -> None:
    """No law of the excluded middle: while a fact is open, neither way is certain."""
    expected = OPEN if truth is OPEN else TRUE
    assert truth_of(Any((leaf(truth), Not(leaf(truth))))) is expected


def test_holds_is_certain_only_if_possible() -> None:
    for holds in VALUES.values():
        assert holds.possible or not holds.certain
        assert holds.negated().negated() == holds
    assert Holds(certain=True, possible=True).truth is TRUE


def test_fact_that_is_not_there() -> None:
    with pytest.raises(KeyError):
        evaluate(leaf(TRUE), {})


# --- reading a condition ------------------------------------------------------------------------


def test_leaves_in_reading_order() -> None:
    a, b, c = map(leaf, Truth)
    known = Known("wall", known=True)
    condition = All((a, Not(Any((b, known))), c))
    assert list(leaves(condition)) == [a, b, known, c]
    assert facts_read(condition) == {"TRUE", "FALSE", "UNKNOWN", "wall"}
    assert facts_read(ALWAYS) == frozenset()


# --- alternatives -------------------------------------------------------------------------------


def conditions_of(seed: int) -> list[Condition]:
    """Conditions on answers alone, as rule bases have them."""
    answers = {kind.name for kind in ANSWERS}
    whens = [rule.when for rule in random_rules(seed)]
    return [when for when in whens if facts_read(when) <= answers]


def again(unfolded: tuple[tuple[Signed, ...], ...], facts: dict[str, Value]) -> Holds:
    """The truth of a condition as its alternatives have it."""
    rows = [[literal.holds(facts[literal.leaf.fact]) for literal in row] for row in unfolded]
    return Holds(
        certain=any(all(holds.certain for holds in row) for row in rows),
        possible=any(all(holds.possible for holds in row) for row in rows),
    )


@settings(max_examples=200, deadline=None)
@given(seed=st.integers(0, 200), facts=cases)
def test_alternatives_mean_the_same_as_the_tree(seed: int, facts: dict[str, Value]) -> None:
    conditions = conditions_of(seed)
    assume(conditions)
    for condition in conditions:
        assert again(alternatives(condition), facts) == evaluate(condition, facts)


@settings(max_examples=200, deadline=None)
@given(seed=st.integers(0, 200), facts=cases)
def test_one_member_a_test_means_the_same(seed: int, facts: dict[str, Value]) -> None:
    sets = {kind.name for kind in ANSWERS if kind.type == "members"}
    for condition in conditions_of(seed):
        split = one_member_a_test(condition, sets)
        assert evaluate(split, facts) == evaluate(condition, facts)
        for test in leaves(split):
            assert test.fact not in sets or isinstance(test, Known) or len(test.words) == 1


def test_alternatives_unfold() -> None:
    a, b, c = (Test(name, "is", frozenset({"yes"})) for name in "abc")
    assert alternatives(a) == ((Signed(a, negated=False),),)
    assert alternatives(Not(a)) == ((Signed(a, negated=True),),)
    assert alternatives(ALWAYS) == ((),)
    assert alternatives(Any(())) == ()
    assert alternatives(Not(ALWAYS)) == ()
    assert alternatives(Not(Any(()))) == ((),)
    plus, minus = (lambda t: Signed(t, negated=False)), (lambda t: Signed(t, negated=True))
    assert alternatives(All((a, Any((b, c))))) == ((plus(a), plus(b)), (plus(a), plus(c)))
    assert alternatives(Not(All((a, Not(b))))) == ((minus(a),), (plus(b),))
    assert alternatives(Not(Any((a, All((b, c)))))) == (
        (minus(a), minus(b)),
        (minus(a), minus(c)),
    )


def test_literal_twice_in_an_alternative_is_one() -> None:
    a = Test("a", "is", frozenset({"yes"}))
    assert alternatives(All((a, a, Not(Not(a))))) == ((Signed(a, negated=False),),)


def test_too_many_alternatives() -> None:
    pairs = [Any((Test(f"a{at}", "above"), Test(f"b{at}", "above"))) for at in range(7)]
    assert len(alternatives(All(tuple(pairs[:6])))) == 64
    with pytest.raises(TooManyCombinations, match=r"^unfolds into more than 64 alternatives$"):
        alternatives(All(tuple(pairs)))
    assert len(alternatives(All(tuple(pairs)), limit=128)) == 128
    wide = Any(tuple(Test(f"a{at}", "above") for at in range(65)))
    with pytest.raises(TooManyCombinations):
        alternatives(wide)
    # many pairs are refused without unfolding them all
    with pytest.raises(TooManyCombinations):
        alternatives(All(tuple(pairs) * 30))
