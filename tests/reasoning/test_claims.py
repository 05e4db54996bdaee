"""How claims of several rules on one decision become its value."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_bases import VOCABULARY, make_rule

from advisor.reasoning.claims import Claim, RulesDisagree, combine, counts_as
from advisor.reasoning.conditions import ALWAYS
from advisor.reasoning.rules import Effect
from advisor.reasoning.values import Members, Number, Value, Word, members, number, word
from advisor.reasoning.vocabulary import FactKind

GRADES = ("repair", "approval", "investigate", "refer", "replace")
VERDICT = FactKind(
    "verdict",
    "word",
    0,
    choices=GRADES,
    combine="strictest",
    otherwise="repair",
    unsure="investigate",
)
DOUBT = FactKind("doubt", "word", 0, choices=GRADES, combine="strictest", otherwise="repair")
STRICT = FactKind("strict", "word", 0, choices=GRADES, combine="strictest")
CAREFUL = FactKind("careful", "word", 0, choices=GRADES, combine="strictest", unsure="investigate")
ROUTE = FactKind("route", "word", 0, choices=("hot", "cold", "none"), combine="single")
USUAL = FactKind(
    "usual", "word", 0, choices=("hot", "cold", "none"), combine="single", otherwise="cold"
)
STEPS = FactKind("steps", "members", 0, choices=("drill", "tap", "dress"), combine="collect")
HIGHEST, LOWEST, SINGLE = (
    FactKind(how, "number", 0, dimension="length", unit="mm", combine=how)  # type: ignore[arg-type]
    for how in ("highest", "lowest", "single")
)


def claim(kind: FactKind, value: str | float, *, certain: bool = True) -> Claim:
    if isinstance(value, str):
        effect = Effect("settle", kind.name, word=value)
    else:
        effect = Effect("settle", kind.name, number=value)
    return Claim(make_rule(f"test.{value}", 0, ALWAYS, effect), effect, certain)


def value_of(kind: FactKind, sure: list[object], unsure: list[object] = []) -> Value:  # noqa: B006
    """The decision, in whatever order the claims are made."""
    claims = [claim(kind, value) for value in sure]  # type: ignore[arg-type]
    claims += [claim(kind, value, certain=False) for value in unsure]  # type: ignore[arg-type]
    values = {combine(kind, list(order)) for order in itertools.permutations(claims)}
    (value,) = values
    return value


def either(*words: str) -> Word:
    return Word(frozenset(words), known=False)


@pytest.mark.parametrize(
    ("kind", "sure", "unsure", "value"),
    [
        # strictest, with a word that a claim counts as while it is not certain
        (VERDICT, [], [], word("repair")),
        (VERDICT, ["approval"], [], word("approval")),
        (VERDICT, ["approval", "refer", "repair"], [], word("refer")),
        (VERDICT, [], ["replace"], word("investigate")),
        (VERDICT, [], ["approval"], word("approval")),
        (VERDICT, ["approval"], ["refer"], word("investigate")),
        (VERDICT, ["refer"], ["replace"], word("refer")),
        (VERDICT, ["replace"], ["refer"], word("replace")),
        (CAREFUL, [], [], either(*GRADES)),
        (CAREFUL, [], ["refer"], word("investigate")),
        # strictest without: open between what is certain and what is possible
        (DOUBT, [], [], word("repair")),
        (DOUBT, [], ["approval"], either("repair", "approval")),
        (DOUBT, [], ["refer"], either("repair", "approval", "investigate", "refer")),
        (DOUBT, ["investigate"], ["refer"], either("investigate", "refer")),
        (DOUBT, ["refer"], ["investigate"], word("refer")),
        (STRICT, [], [], either(*GRADES)),
        (STRICT, [], ["refer"], either(*GRADES)),
        (STRICT, ["approval"], [], word("approval")),
        (STRICT, ["approval"], ["investigate"], either("approval", "investigate")),
        # single
        (ROUTE, [], [], either("hot", "cold", "none")),
        (ROUTE, ["hot"], [], word("hot")),
        (ROUTE, ["hot", "hot"], ["hot"], word("hot")),
        (ROUTE, ["hot"], ["cold"], either("hot", "cold")),
        (ROUTE, [], ["hot"], either("hot", "cold", "none")),
        (USUAL, [], [], word("cold")),
        (USUAL, [], ["hot"], either("hot", "cold")),
        (USUAL, ["hot"], ["none"], either("hot", "none")),
        # collect
        (STEPS, [], [], members()),
        (STEPS, ["drill", "tap", "drill"], [], members("drill", "tap")),
        (
            STEPS,
            ["drill"],
            ["tap", "drill"],
            Members(frozenset({"drill"}), frozenset({"drill", "tap"}), known=True),
        ),
        # numbers
        (HIGHEST, [], [], HIGHEST.open),
        (HIGHEST, [150.0, 300.0], [], number(300.0)),
        (HIGHEST, [150.0], [300.0], number(150.0, 300.0)),
        (HIGHEST, [], [150.0, 300.0], number(150.0, 300.0)),
        (HIGHEST, [300.0], [150.0], number(300.0)),
        (HIGHEST, [], [150.0], number(150.0)),
        (LOWEST, [150.0, 300.0], [], number(150.0)),
        (LOWEST, [300.0], [150.0], number(150.0, 300.0)),
        (LOWEST, [150.0], [300.0], number(150.0)),
        (LOWEST, [], [150.0, 300.0], number(150.0, 300.0)),
        (LOWEST, [], [], LOWEST.open),
        (SINGLE, [], [], SINGLE.open),
        (SINGLE, [8.0, 8.0], [], number(8.0)),
        (SINGLE, [], [8.0], SINGLE.open),
        (SINGLE, [8.0], [9.0, 7.0], number(7.0, 9.0)),
    ],
)
def test_combine(kind: FactKind, sure: list[object], unsure: list[object], value: Value) -> None:
    assert value_of(kind, sure, unsure) == value


@pytest.mark.parametrize(("kind", "one", "other"), [(ROUTE, "hot", "cold"), (SINGLE, 8.0, 9.0)])
def test_rules_that_certainly_disagree(kind: FactKind, one: object, other: object) -> None:
    claims = [claim(kind, one), claim(kind, other), claim(kind, one, certain=False)]  # type: ignore[arg-type]
    with pytest.raises(RulesDisagree) as raised:
        combine(kind, claims)
    assert str(raised.value) == (
        f"rules settle {kind.name} differently: test.{one} says {one}; test.{other} says {other}"
    )
    assert raised.value.decision == kind.name
    assert raised.value.claims == tuple(claims)


@pytest.mark.parametrize(
    ("kind", "value", "certain", "counts"),
    [
        (VERDICT, "replace", True, "replace"),
        (VERDICT, "replace", False, "investigate"),
        (VERDICT, "investigate", False, "investigate"),
        (VERDICT, "approval", False, "approval"),
        (DOUBT, "replace", False, "replace"),
    ],
)
def test_what_a_claim_counts_as(kind: FactKind, value: str, certain: bool, counts: str) -> None:
    assert counts_as(kind, claim(kind, value, certain=certain)) == counts


def test_what_a_claim_says() -> None:
    assert (claim(HIGHEST, 150.0).fact, claim(HIGHEST, 150.0).value) == ("highest", 150.0)
    ruled_out = Effect("rule_out", "braze_weld")
    made = Claim(make_rule("test.r", 0, ALWAYS, ruled_out), ruled_out, certain=True)
    assert (made.fact, made.value) == ("methods_ruled_out", "braze_weld")


DECISIONS = [kind for kind in VOCABULARY.kinds.values() if kind.combine]


@given(st.data())
def test_decision_fits_its_declaration(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(DECISIONS))
    values = st.floats(-100, 100) if kind.type == "number" else st.sampled_from(kind.choices)
    drawn = data.draw(st.lists(st.tuples(values, st.booleans()), max_size=5))
    claims = [claim(kind, value, certain=certain) for value, certain in drawn]
    try:
        value = combine(kind, claims)
    except RulesDisagree:
        assert kind.combine == "single"
        return
    assert kind.accepts(value)
    if isinstance(value, Number):
        assert value.low <= value.high
    if isinstance(value, Word):
        assert value.possible
        assert not value.known or value.word is not None
    if isinstance(value, Members):
        assert value.certain <= value.possible


@given(st.lists(st.tuples(st.sampled_from(GRADES), st.booleans()), max_size=6), st.data())
def test_one_claim_more_never_makes_the_verdict_milder(
    drawn: list[tuple[str, bool]], data: st.DataObject
) -> None:
    claims = [claim(VERDICT, value, certain=certain) for value, certain in drawn]
    more = claim(VERDICT, data.draw(st.sampled_from(GRADES)), certain=data.draw(st.booleans()))
    before, after = combine(VERDICT, claims), combine(VERDICT, [*claims, more])
    assert isinstance(before, Word)
    assert isinstance(after, Word)
    assert GRADES.index(str(after.word)) >= GRADES.index(str(before.word))
