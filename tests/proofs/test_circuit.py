"""The circuit against plain truth, and the solver against trying everything."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.reasoning.conditions import Test
from advisor.reasoning.prover.circuit import FALSE, TRUE, Circuit, negate
from advisor.reasoning.prover.codes import Cut, NumberCode
from advisor.reasoning.prover.encode import Circular, Encoder, Range, Setting
from advisor.reasoning.prover.solve import Solver, available
from advisor.reasoning.prover.witness import values_of
from advisor.reasoning.rules import Effect, Rule
from advisor.reasoning.values import Number
from advisor.reasoning.vocabulary import FactKind, Vocabulary

needs_solver = pytest.mark.skipif(not available(), reason="the solver is not installed")

INPUTS = 4
step = st.tuples(
    st.sampled_from(("both", "either", "same", "implies")), st.integers(), st.integers()
)


@settings(max_examples=100, deadline=None)
@given(st.lists(step, min_size=1, max_size=12))
def test_gates_mean_what_they_say(steps: list[tuple[str, int, int]]) -> None:
    circuit = Circuit()
    literals = [FALSE, TRUE, *(circuit.input(n) for n in range(INPUTS))]
    inputs = [literal >> 1 for literal in literals[2:]]
    meaning = [lambda _: False, lambda _: True]
    meaning += [lambda values, n=n: values[n] for n in range(INPUTS)]  # type: ignore[misc]
    for name, one, other in steps:
        i, j = one % len(literals), other % len(literals)
        first, second = meaning[i], meaning[j]
        literals.append(getattr(circuit, name)(literals[i], negate(literals[j])))
        meaning.append(
            lambda v, a=first, b=second, how=name: _PLAIN[how](a(v), not b(v))  # type: ignore[misc]
        )
    for values in itertools.product((False, True), repeat=INPUTS):
        truth = circuit.evaluate(dict(zip(inputs, values, strict=True)))
        for literal, means in zip(literals, meaning, strict=True):
            assert bool(truth[literal]) == means(values)
            assert bool(truth[negate(literal)]) != means(values)


_PLAIN = {
    "both": lambda a, b: a and b,
    "either": lambda a, b: a or b,
    "same": lambda a, b: a == b,
    "implies": lambda a, b: not a or b,
}


def test_at_most_one() -> None:
    circuit = Circuit()
    inputs = [circuit.input(n) for n in range(4)]
    most_one = circuit.at_most_one(inputs)
    for values in itertools.product((False, True), repeat=4):
        truth = circuit.evaluate(dict(zip((lit >> 1 for lit in inputs), values, strict=True)))
        assert bool(truth[most_one]) == (sum(values) <= 1)


# --- numbers ------------------------------------------------------------------------------------

WALL = Vocabulary(("only",), (FactKind("wall", "number"), FactKind("count", "number")))
SETTING = Setting(ranges={"wall": Range(0, 100, above=True), "count": Range(0, 10, whole=True)})


@needs_solver
@pytest.mark.parametrize(
    ("low", "high"), [((4.0, False), (6.0, False)), ((4.0, True), (6.0, True)), ((4.0, False),) * 2]
)
def test_a_number_is_found_between_its_cuts(
    low: tuple[float, bool], high: tuple[float, bool]
) -> None:
    encoder = Encoder(WALL, (), SETTING)
    code = encoder.fact("wall")
    assert isinstance(code, NumberCode)
    beyond, below = code.ends(Cut(*low))[0], negate(code.ends(Cut(*high))[1])
    found = Solver(encoder).find([code.known, beyond, below])
    if low == high:
        assert found is None
        return
    assert found is not None
    value = values_of(found, encoder)["wall"]
    assert isinstance(value, Number)
    assert value.low >= low[0]
    assert value.high < high[0] or (high[1] and value.high == high[0])


@needs_solver
def test_nothing_lies_between_two_whole_numbers() -> None:
    encoder = Encoder(WALL, (), SETTING)
    code = encoder.fact("count")
    assert isinstance(code, NumberCode)
    above_one, below_two = code.ends(Cut(1.0, True))[0], negate(code.ends(Cut(2.0, False))[1])
    assert Solver(encoder).find([code.known, above_one, below_two]) is None


@needs_solver
def test_nothing_lies_outside_the_range() -> None:
    encoder = Encoder(WALL, (), SETTING)
    code = encoder.fact("wall")
    assert isinstance(code, NumberCode)
    assert Solver(encoder).find([code.known, code.ends(Cut(100.0, True))[1]]) is None
    assert Solver(encoder).find([code.known, negate(code.ends(Cut(0.0, True))[0])]) is None
    assert Solver(encoder).find([negate(code.known), code.ends(Cut(100.0, True))[1]]) is not None


def test_rules_that_wait_for_one_another_are_refused() -> None:
    decision = FactKind("pick", "word", stage=0, choices=("a", "b"), combine="single")
    vocabulary = Vocabulary(("only",), (decision,))
    rules = [
        Rule(f"s.{word}", "s", 0, "t", Test("pick", "is", frozenset((word,))),
             (Effect("settle", "pick", other),), "b", ())
        for word, other in (("a", "b"), ("b", "a"))
    ]  # fmt: skip
    with pytest.raises(Circular, match="waits for itself"):
        Encoder(vocabulary, rules).rule("s.a")


def test_rules_of_one_stage_may_build_on_one_another() -> None:
    marks = FactKind("marks", "members", stage=0, choices=("a", "b"), combine="collect")
    asked = FactKind("asked", "word", choices=("no", "yes"))
    vocabulary = Vocabulary(("only",), (asked, marks))
    rules = [
        Rule("s.first", "s", 0, "t", Test("asked", "is", frozenset(("yes",))),
             (Effect("settle", "marks", "a"),), "b", ()),
        Rule("s.second", "s", 0, "t", Test("marks", "includes", frozenset(("a",))),
             (Effect("settle", "marks", "b"),), "b", ()),
    ]  # fmt: skip
    encoder = Encoder(vocabulary, rules)
    assert encoder.rule("s.second") == encoder.rule("s.first")
