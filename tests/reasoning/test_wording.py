"""Conditions and values in plain English: golden examples."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.reasoning.conditions import ALWAYS, All, Any, Condition, Known, Not, Test
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
from advisor.reasoning.vocabulary import FactKind, Vocabulary
from advisor.reasoning.wording import (
    choice_says,
    condition_outline,
    condition_says,
    fact_says,
    leaf_says,
    number_says,
    value_says,
)

METAL = FactKind(
    "material",
    "word",
    says="the material",
    choices=("gray_iron", "ductile_iron", "cast_steel", "bronze"),
    labels={"ductile_iron": "spheroidal graphite iron"},
)
SIGNS = FactKind("signs", "members", choices=("rust", "oil", "frost"))
BRITTLE = FactKind("brittle", "word", says="the metal breaks short", choices=("no", "yes"))
WALL = FactKind("wall_thickness", "number", dimension="length", unit="mm")
RATIO = FactKind("ratio", "number", says="the share", dimension="ratio", unit="1")
VOCABULARY = Vocabulary(("one",), (METAL, SIGNS, BRITTLE, WALL, RATIO))


def is_(*words: str) -> Test:
    return Test("material", "is" if len(words) == 1 else "one_of", frozenset(words))


def includes(*words: str) -> Test:
    return Test("signs", "includes", frozenset(words))


GRAY, BRONZE = is_("gray_iron"), is_("bronze")
BREAKS = Test("brittle", "is", frozenset({"yes"}))
THIN = Test("wall_thickness", "below", limit=9.525, written="3/8 in")
THICK = Test("wall_thickness", "at_least", limit=12.0)


@pytest.mark.parametrize(
    ("condition", "says"),
    [
        (ALWAYS, "always"),
        (Any(()), "never"),
        (Not(ALWAYS), "never"),
        (Not(Any(())), "always"),
        (GRAY, "the material is gray iron"),
        (Not(GRAY), "the material is not gray iron"),
        (Not(Not(GRAY)), "the material is gray iron"),
        (is_("ductile_iron"), "the material is spheroidal graphite iron"),
        (
            is_("gray_iron", "ductile_iron"),
            "the material is gray iron or spheroidal graphite iron",
        ),
        (
            is_("gray_iron", "cast_steel", "bronze"),
            "the material is gray iron, cast steel or bronze",
        ),
        (Not(is_("gray_iron", "bronze")), "the material is neither gray iron nor bronze"),
        (
            Not(is_("gray_iron", "cast_steel", "bronze")),
            "the material is none of gray iron, cast steel or bronze",
        ),
        (includes("rust"), "signs includes rust"),
        (includes("rust", "oil", "frost"), "signs includes rust, oil or frost"),
        (Not(includes("rust")), "signs does not include rust"),
        (Not(includes("rust", "oil")), "signs includes neither rust nor oil"),
        (Not(includes("rust", "oil", "frost")), "signs includes none of rust, oil or frost"),
        (BREAKS, "the metal breaks short: yes"),
        (Not(BREAKS), "the metal breaks short: no"),
        (Test("brittle", "is", frozenset({"no"})), "the metal breaks short: no"),
        (Not(Test("brittle", "is", frozenset({"no"}))), "the metal breaks short: yes"),
        (
            Test("brittle", "one_of", frozenset({"no", "yes"})),
            "the metal breaks short is no or yes",
        ),
        (THIN, "wall thickness is below 3/8 in"),
        (Not(THIN), "wall thickness is not below 3/8 in"),
        (THICK, "wall thickness is at least 12 mm"),
        (Test("wall_thickness", "at_most", limit=0.5), "wall thickness is at most 0.5 mm"),
        (Test("ratio", "above", limit=0.7), "the share is above 0.7"),
        (Known("material", known=True), "the material is known"),
        (Known("material", known=False), "the material is not known"),
        (Not(Known("material", known=True)), "the material is not known"),
        (Not(Known("material", known=False)), "the material is known"),
        (All((GRAY, THIN)), "the material is gray iron and wall thickness is below 3/8 in"),
        (Any((GRAY, THIN)), "the material is gray iron or wall thickness is below 3/8 in"),
        (
            Not(Any((GRAY, THIN))),
            "the material is not gray iron and wall thickness is not below 3/8 in",
        ),
        (
            Not(All((GRAY, THIN))),
            "the material is not gray iron or wall thickness is not below 3/8 in",
        ),
        (
            All((BREAKS, Any((GRAY, BRONZE)))),
            "the metal breaks short: yes and (the material is gray iron or the material is bronze)",
        ),
        (
            Any((BREAKS, All((GRAY, THIN)))),
            "the metal breaks short: yes or "
            "(the material is gray iron and wall thickness is below 3/8 in)",
        ),
        (
            Any((BREAKS, Not(Any((GRAY, BRONZE))))),
            "the metal breaks short: yes or "
            "(the material is not gray iron and the material is not bronze)",
        ),
        # one part more around the inner condition takes nothing from its brackets
        (
            All((BREAKS, Any((Any((GRAY, BRONZE)),)))),
            "the metal breaks short: yes and (the material is gray iron or the material is bronze)",
        ),
        (All((Any((GRAY,)),)), "the material is gray iron"),
        (All((All((GRAY, BREAKS)),)), "the material is gray iron and the metal breaks short: yes"),
    ],
)
def test_condition(condition: Condition, says: str) -> None:
    assert condition_says(condition, VOCABULARY) == says


def test_leaf_by_itself() -> None:
    assert leaf_says(GRAY, VOCABULARY) == "the material is gray iron"
    assert leaf_says(GRAY, VOCABULARY, negated=True) == "the material is not gray iron"


@pytest.mark.parametrize(
    ("kind", "value", "says"),
    [
        (METAL, word("ductile_iron"), "spheroidal graphite iron"),
        (METAL, open_word(METAL.choices), "not known"),
        (METAL, Word(frozenset({"bronze", "gray_iron"}), known=False), "gray iron or bronze"),
        (
            METAL,
            Word(frozenset({"bronze", "cast_steel", "gray_iron"}), known=False),
            "gray iron, cast steel or bronze",
        ),
        (METAL, Word(frozenset(), known=False), "not known"),
        (SIGNS, members("rust", "oil"), "oil, rust"),
        (SIGNS, members(), "none"),
        (SIGNS, open_members(SIGNS.choices), "not known"),
        (SIGNS, Members(frozenset({"oil"}), frozenset({"oil", "rust"}), True), "oil, perhaps rust"),
        (SIGNS, Members(frozenset(), frozenset({"rust"}), known=True), "perhaps rust"),
        (METAL, Members(frozenset({"bronze"}), frozenset({"bronze"}), known=False), "not known"),
        (WALL, number(8.0), "8 mm"),
        (WALL, number(6.5, 7.25), "6.5 to 7.25 mm"),
        (WALL, OPEN_NUMBER, "not known"),
        (WALL, Number(8.0, math.inf, known=True), "at least 8 mm"),
        (WALL, Number(-math.inf, 8.0, known=True), "at most 8 mm"),
        (RATIO, number(0.5), "0.5"),
    ],
)
def test_value(kind: FactKind, value: Value, says: str) -> None:
    assert value_says(value, kind) == says


@pytest.mark.parametrize(
    ("value", "unit", "says"),
    [
        (0.0, "mm", "0 mm"),
        (-0.0, "mm", "0 mm"),
        (0.0001, "mm", "0.0001 mm"),
        (0.00001, "mm", "0.00001 mm"),
        (1.23456, "mm", "1.235 mm"),
        (9999.4, "N", "9999 N"),
        (9999.6, "N", "10000 N"),
        (123456.7, "N", "123457 N"),
        (1e12, "N", "1000000000000 N"),
        (-40.0, "degC", "-40 degC"),
        (260.0, "degC", "260 degC"),
        (3.0, "1", "3"),
        (3.0, "", "3"),
        (math.inf, "mm", "not known"),
    ],
)
def test_number(value: float, unit: str, says: str) -> None:
    assert number_says(value, unit) == says


@given(st.floats(-1e12, 1e12))
def test_numbers_never_show_an_exponent_and_stay_close(value: float) -> None:
    said = number_says(value, "")
    assert "e" not in said
    assert float(said) == pytest.approx(value, rel=5.1e-4, abs=1e-300)


def test_names_where_nothing_is_said() -> None:
    kind = FactKind("wall_thickness", "word", choices=("too_thin",))
    assert fact_says(kind) == "wall thickness"
    assert choice_says(kind, "too_thin") == "too thin"


@pytest.mark.parametrize(
    ("condition", "lead", "parts"),
    [
        (GRAY, "the material is gray iron", []),
        (ALWAYS, "always", []),
        (
            All((GRAY, THIN)),
            "the material is gray iron and wall thickness is below 3/8 in",
            [],
        ),
        (
            All((BREAKS, Any((GRAY, All((BRONZE, THIN)))))),
            "all of these",
            [
                (0, "the metal breaks short: yes"),
                (0, "any of these"),
                (1, "the material is gray iron"),
                (1, "all of these"),
                (2, "the material is bronze"),
                (2, "wall thickness is below 3/8 in"),
            ],
        ),
        (
            Not(All((BREAKS, Any((GRAY, BRONZE))))),
            "any of these",
            [
                (0, "the metal breaks short: no"),
                (0, "all of these"),
                (1, "the material is not gray iron"),
                (1, "the material is not bronze"),
            ],
        ),
        (All((Any((All((GRAY,)),)),)), "the material is gray iron", []),
        (
            All((BREAKS, THIN)),
            "all of these",
            [(0, "the metal breaks short: yes"), (0, "wall thickness is below 3/8 in")],
        ),
    ],
)
def test_outline(condition: Condition, lead: str, parts: list[tuple[int, str]]) -> None:
    assert condition_outline(condition, VOCABULARY) == (lead, parts)


def test_long_sentence_becomes_an_outline() -> None:
    both = All((GRAY, THIN))
    sentence = condition_says(both, VOCABULARY)
    assert condition_outline(both, VOCABULARY, widest=len(sentence)) == (sentence, [])
    lead, parts = condition_outline(both, VOCABULARY, widest=len(sentence) - 1)
    assert (lead, len(parts)) == ("all of these", 2)
