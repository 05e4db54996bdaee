"""Every rule by itself: it fires, stays silent, or cannot tell, on both sides of every limit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.reasoning.conditions import ALWAYS, Truth

from .cases import cases_of, entries, rule_cases

ENTRIES = [(f"{entry['rule']}-{n}", entry) for n, (_, entry) in enumerate(entries(), start=1)]


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load_rulebook()


@pytest.mark.parametrize(("name", "entry"), ENTRIES, ids=[name for name, _ in ENTRIES])
def test_rule(name: str, entry: Mapping[str, Any], book: Rulebook) -> None:
    rule = book.rule_by_id[entry["rule"]]
    for case in cases_of(entry, book):
        assert case.truth(rule.when, book) is case.expected, (name, case.line)


def test_every_rule_has_its_cases(book: Rulebook) -> None:
    tested = {entry["rule"] for _, entry in ENTRIES}
    missing = [rule.id for rule in book.rules if rule.id not in tested]
    assert missing == [], "propose cases with `python -m tests.rules.propose`, and read them"


def test_every_rule_fires_somewhere_and_is_silent_somewhere(book: Rulebook) -> None:
    shown = {(case.rule, case.expected) for case in rule_cases(book)}
    for rule in book.rules:
        assert (rule.id, Truth.TRUE) in shown, rule.id
        assert (rule.id, Truth.FALSE) in shown or rule.when == ALWAYS, rule.id
