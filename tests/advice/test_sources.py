"""Where everything comes from: each source says what it is and how far its text was seen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

import pytest

from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.reasoning.rules import MARKS
from advisor.reasoning.tables import Source

LEAST_SOURCES = 80

BOOK = load_rulebook()
SOURCES = BOOK.knowledge.sources


def test_sources_are_many() -> None:
    assert len(SOURCES) >= LEAST_SOURCES


@pytest.mark.parametrize("source", SOURCES.values(), ids=list(SOURCES))
def test_source_says_what_it_is(source: Source) -> None:
    for said in (source.title, source.edition, source.clause, source.seen):
        assert said.strip()
    assert source.mark in MARKS
    # A day on which somebody compared it, and not one that lies ahead of the first release.
    assert date(2026, 1, 1) <= date.fromisoformat(source.compared)


@pytest.mark.parametrize("source", SOURCES.values(), ids=list(SOURCES))
def test_source_names_no_place_in_the_web(source: Source) -> None:
    text = " ".join((source.title, source.edition, source.clause, source.seen))
    assert not re.search(r"https?:|www\.|\.(com|org|net|io|gov|edu)\b", text)


def test_what_was_not_seen_does_not_claim_to_be_read() -> None:
    for source in SOURCES.values():
        if source.mark == "memory":
            assert not re.search(r"\bread in\b|\bseen in full\b", source.seen), source.id


def test_titles_tell_sources_apart() -> None:
    told = [(source.title, source.edition, source.clause) for source in SOURCES.values()]
    assert len(set(told)) == len(told)


def test_every_rule_says_why_and_where_it_comes_from() -> None:
    for rule in BOOK.rules:
        assert len(rule.because.split()) >= 5, rule.id
        assert rule.sources, rule.id
        for ref in rule.sources:
            assert ref.ref in SOURCES, rule.id
            assert ref.seen in MARKS, rule.id


def test_reason_of_a_rule_is_no_echo_of_its_title() -> None:
    for rule in BOOK.rules:
        assert _bare(rule.because) != _bare(rule.title), rule.id
    reasons = [_bare(rule.because) for rule in BOOK.rules]
    assert len(set(reasons)) == len(reasons)


def _bare(text: str) -> str:
    return re.sub(r"\W+", " ", text).casefold().strip()


def test_sources_that_something_rests_on_are_many_and_listed() -> None:
    cited = set(_cited(BOOK))
    assert cited <= set(SOURCES)
    assert len(cited) >= LEAST_SOURCES


def _cited(book: Rulebook) -> Iterator[str]:
    yield from (ref.ref for rule in book.rules for ref in rule.sources)
    yield from (ref.ref for formula in FORMULAS for ref in formula.sources)
    for table in book.knowledge.tables.values():
        for row in table.rows.values():
            yield from (ref for cell in row.values() for ref in cell.source)
    yield from (ref for one in book.inspections.values() for ref in one.sources)
    yield from (ref for question in book.questionnaire for ref in question.how.source)
