"""The rule base proves itself: rules in pairs, who reads what, whole chains, every promise."""

from __future__ import annotations

import time

import pytest

from advisor.advice.proofs.promises import load_promises
from advisor.advice.proofs.prove import prove
from advisor.advice.rulebook import Rulebook
from advisor.reasoning.boxes import Pairs
from advisor.reasoning.prover.solve import available

SECONDS = 120.0
"""What all proofs together may take on two cores."""

LEAST_PROMISES = 40

needs_solver = pytest.mark.skipif(not available(), reason="the solver is not installed")


def test_rules_in_pairs_and_readers(book: Rulebook) -> None:
    for proof in prove(book, only=("pairs", "reading")):
        assert proof.outcome == "proved", [fault.says for fault in proof.faults]


def test_pairs_are_fast_enough_for_every_load(book: Rulebook) -> None:
    fastest = min(_seconds_for_pairs(book) for _ in range(3))
    assert fastest < 0.6


def _seconds_for_pairs(book: Rulebook) -> float:
    began = time.process_time()
    Pairs(book.rules, book.vocabulary).faults()
    return time.process_time() - began


@needs_solver
def test_whole_chains_and_promises(book: Rulebook) -> None:
    began = time.process_time()
    proofs = prove(book, only=("chain", "promise"))
    assert time.process_time() - began < SECONDS
    for proof in proofs:
        assert proof.outcome == "proved", (proof.id, [fault.says for fault in proof.faults])


def test_promises_are_many_and_speak_plainly(book: Rulebook) -> None:
    promises = load_promises(book)
    assert len(promises) >= LEAST_PROMISES
    assert len({promise.says for promise in promises}) == len(promises)
    for promise in promises:
        assert promise.says.endswith("."), promise.id
        assert promise.sources, promise.id
