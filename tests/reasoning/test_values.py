"""What is known of a fact, and the declarations that values have to fit."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_bases import VOCABULARY, values_of

from advisor.reasoning.values import (
    LARGEST,
    OPEN_NUMBER,
    Members,
    Number,
    Word,
    comparable,
    members,
    number,
    open_members,
    open_word,
    word,
)
from advisor.reasoning.vocabulary import ANSWERS, FactKind, Vocabulary

CHOICES = ("rust", "oil")
WORD = FactKind("metal", "word", choices=CHOICES)
MEMBERS = FactKind("signs", "members", choices=CHOICES)
NUMBER = FactKind("wall", "number", dimension="length", unit="mm")


@pytest.mark.parametrize(
    ("number_", "rounded"),
    [
        (8.00004, 8.0),
        (8.00006, 8.0001),
        (1e-05, 0.0),
        (-1e-05, 0.0),
        (0.1 + 0.2, 0.3),
        (LARGEST, LARGEST),
        (-LARGEST, -LARGEST),
        (math.inf, math.inf),
        (-math.inf, -math.inf),
        (9, 9.0),
    ],
)
def test_comparable(number_: float, rounded: float) -> None:
    assert comparable(number_) == rounded


def test_comparable_has_no_negative_nothing() -> None:
    assert math.copysign(1.0, comparable(-0.0)) == 1.0
    assert math.copysign(1.0, comparable(-1e-09)) == 1.0


@pytest.mark.parametrize(
    ("number_", "problem"),
    [
        (math.nan, "^not a number$"),
        (1.1e12, r"^1.1e\+12 is larger than any fact may be$"),
        (-1e22, r"^-1e\+22 is larger than any fact may be$"),
    ],
)
def test_what_cannot_be_compared(number_: float, problem: str) -> None:
    with pytest.raises(ValueError, match=problem):
        comparable(number_)
    with pytest.raises(ValueError, match=problem):
        number(number_)


@given(st.floats(-1e12, 1e12))
def test_comparable_is_near_and_stays(value: float) -> None:
    rounded = comparable(value)
    assert abs(rounded - value) <= 0.5001e-4 + abs(value) * 1e-15
    assert comparable(rounded) == rounded


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_comparable_keeps_order(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert comparable(low) <= comparable(high)


def test_number() -> None:
    assert number(8.0) == Number(8.0, 8.0, known=True)
    assert number(8.0).exact
    assert not number(8.0, 9.0).exact
    assert number(8.00004).low == 8.00004  # the ends keep their full precision
    with pytest.raises(ValueError, match=r"^range runs backwards: 9.0 to 8.0$"):
        number(9.0, 8.0)


def test_word_and_members() -> None:
    assert word("rust").word == "rust"
    assert word("rust").known
    assert open_word(CHOICES).word is None
    assert not open_word(CHOICES).known
    assert members("rust") == Members(frozenset({"rust"}), frozenset({"rust"}), known=True)
    assert members().known
    assert open_members(CHOICES) == Members(frozenset(), frozenset(CHOICES), known=False)


@pytest.mark.parametrize("kind", [WORD, MEMBERS, NUMBER])
def test_open_value_fits_its_declaration(kind: FactKind) -> None:
    assert kind.accepts(kind.open)
    assert not kind.open.known


@pytest.mark.parametrize(
    ("kind", "value", "fits"),
    [
        (WORD, word("rust"), True),
        (WORD, word("mould"), False),
        (WORD, Word(frozenset({"rust", "mould"}), known=False), False),
        (WORD, members("rust"), False),
        (WORD, number(1.0), False),
        (MEMBERS, members("rust", "oil"), True),
        (MEMBERS, members("mould"), False),
        (MEMBERS, word("rust"), False),
        (NUMBER, number(1.0), True),
        (NUMBER, OPEN_NUMBER, True),
        (NUMBER, word("rust"), False),
        (NUMBER, members("rust"), False),
    ],
)
def test_what_a_declaration_accepts(
    kind: FactKind, value: Word | Members | Number, fits: bool
) -> None:
    assert kind.accepts(value) is fits


@given(st.data())
def test_drawn_values_fit_their_declarations(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(list(VOCABULARY.kinds.values())))
    assert kind.accepts(data.draw(values_of(kind)))


def test_vocabulary() -> None:
    made = FactKind("way", "word", 1, choices=("hot", "cold"), combine="single")
    level = FactKind("level", "number", 1, combine="highest")
    vocabulary = Vocabulary(["one", "two"], [WORD, MEMBERS, NUMBER, made, level])
    assert vocabulary["metal"] is WORD
    assert "metal" in vocabulary
    assert "cheese" not in vocabulary
    assert vocabulary.stages == ("one", "two")
    assert vocabulary.stage_index("two") == 1
    assert WORD.stage == ANSWERS < 0
    assert vocabulary.growing_in(0) == frozenset()
    assert vocabulary.growing_in(1) == {"way"}
    assert vocabulary.sets_in(0) == {"signs"}
    assert vocabulary.sets_in(1) == {"signs", "way"}
    with pytest.raises(ValueError, match=r"^fact metal is declared twice$"):
        Vocabulary(["one"], [WORD, WORD])
