"""The prover means what the judge means: cases thought through, held against the circuit.

Every law on a formula is held against the formula as well: a law that says too much shows as a
requirement that a real case does not meet, or as a fact that comes out otherwise.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import pytest

from advisor.advice.proofs.proof_setting import encoder_of
from advisor.advice.rulebook import Rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case
from advisor.reasoning.conditions import Leaf, Test, leaves
from advisor.reasoning.prover.codes import Pair, read
from advisor.reasoning.prover.encode import Encoder

from ..advice.plausible import plausible_case

MADE_UP = 120


class Whole:
    """The whole rule base as a circuit, with every test that anything makes of a fact."""

    def __init__(self, book: Rulebook) -> None:
        self.encoder: Encoder = encoder_of(book)
        self.rules = {rule.id: self.encoder.rule(rule.id) for rule in book.rules}
        self.tests: list[tuple[Leaf, Pair]] = [
            (leaf, read(leaf, self.encoder.fact(leaf.fact), self.encoder.circuit))
            for leaf in _all_tests(book)
        ]
        self.known = {name: self.encoder.fact(name).known for name in book.vocabulary.kinds}


def _all_tests(book: Rulebook) -> Iterator[Leaf]:
    found: dict[str, set[Leaf]] = defaultdict(set)
    for rule in book.rules:
        for leaf in leaves(rule.when):
            found[leaf.fact].add(leaf)
    for kind in book.vocabulary.kinds.values():
        op = "includes" if kind.type == "members" else "is"
        for word in kind.choices:
            found[kind.name].add(Test(kind.name, op, frozenset((word,))))
    for tests in found.values():
        yield from tests


@pytest.fixture(scope="module")
def whole(book: Rulebook) -> Whole:
    return Whole(book)


def _agree(whole: Whole, thinking: Thinking) -> None:
    truth = whole.encoder.replay(thinking.values)
    for requirement in whole.encoder.constraints:
        assert truth[requirement], _named(whole, requirement, thinking)
    for name, known in whole.known.items():
        assert bool(truth[known]) == thinking.values[name].known, name
    for leaf, pair in whole.tests:
        held = leaf.holds(thinking.values[leaf.fact])
        assert (bool(truth[pair.certain]), bool(truth[pair.possible])) == (
            held.certain,
            held.possible,
        ), leaf
    for findings in thinking.findings.values():
        for rule_id, finding in findings.findings.items():
            pair = whole.rules[rule_id]
            assert (bool(truth[pair.certain]), bool(truth[pair.possible])) == (
                finding.holds.certain,
                finding.holds.possible,
            ), rule_id


def _named(whole: Whole, requirement: int, thinking: Thinking) -> str:
    circuit = whole.encoder.circuit
    probes = [circuit.inputs[node] for node in circuit.cone([requirement]) & circuit.inputs.keys()]
    facts = sorted({probe.fact for probe in probes})  # type: ignore[attr-defined]
    return ", ".join(f"{name}: {thinking.values[name]}" for name in facts[:8])


def _scenarios() -> list[str]:
    from advisor.advice.rulebook import load_rulebook

    return [name for name, _ in scenario_cases(load_rulebook())]


@pytest.mark.parametrize("name", _scenarios())
def test_scenarios(name: str, book: Rulebook, whole: Whole) -> None:
    case: Case = dict(scenario_cases(book))[name]
    _agree(whole, think(case, book, judge_only=True))


@pytest.mark.parametrize("seed", range(MADE_UP))
def test_made_up_cases(seed: int, book: Rulebook, whole: Whole) -> None:
    _agree(whole, think(plausible_case(book, seed), book, judge_only=True))
