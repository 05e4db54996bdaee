"""The mutation check itself; the full run is made by hand, see `report.md`."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.reasoning.conditions import All, Not, Test
from advisor.reasoning.rules import Rule

from .mutate import Every, Mutant, Result, Watch, mutants_of, report, sample


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load_rulebook()


def test_kinds_of_change(book: Rulebook) -> None:
    rule = book.rule_by_id["strength.liquid-pressure"]
    made = {mutant.what: mutant.when for mutant in mutants_of(rule, book.vocabulary)}
    assert "flip: pressure above 3" in made
    assert "widen: pressure above 3 at its limit" in made
    assert "widen: pressure above 3 moved to 2.7" in made
    assert "widen: fluid air too" in made
    assert "drop: fluid oil" in made
    assert "drop: part 2 of all" in made
    assert all(when != rule.when for when in made.values())


def test_the_draw_is_seeded_and_spread_over_the_files(book: Rulebook) -> None:
    drawn = sample(book, 60, seed=7)
    assert [m.what for m in drawn] == [m.what for m in sample(book, 60, seed=7)]
    assert len({m.rule.file for m in drawn}) == len({rule.file for rule in book.rules})


def test_a_changed_rule_is_noticed(book: Rulebook) -> None:
    watch = Watch(book)
    rule = book.rule_by_id["braze.too-hot"]
    turned = Mutant(rule, "turned", Not(rule.when))
    assert "rule case" in watch.noticed_by(turned, everything=True)
    assert "proof" in watch.noticed_by(turned, everything=True)


def test_the_same_rule_in_other_words_is_told(book: Rulebook) -> None:
    rule = book.rule_by_id["braze.too-hot"]
    twice = Mutant(rule, "said twice", All((rule.when, rule.when)))
    assert Watch(book).is_the_same(twice)
    assert not Watch(book).is_the_same(Mutant(rule, "turned", Not(rule.when)))


def test_rules_that_no_case_tests_are_found(book: Rulebook) -> None:
    watch = Watch(book)
    unknown = Rule("no.cases", "s", 0, "t", Test("material", "is", frozenset(("gray_iron",))),
                   (), "b", ())  # fmt: skip
    assert not watch._by_rule_case(Mutant(unknown, "turned", Not(unknown.when)))


def test_report_says_what_was_tried(book: Rulebook) -> None:
    one, other = mutants_of(book.rule_by_id["braze.too-hot"], book.vocabulary)[:2]
    result = Result(total=3, survivors=[one], same=[other])
    page = report(
        result,
        Every(7, 2, (other,)),
        book,
        seed=5,
        seconds=1.2,
        everything=True,
        why={one.rule.id: "It is beside."},
    )
    assert book.digest in page
    assert "survivors: 1 of 2, 50.0 %" in page
    assert f"- `{one.rule.id}`: {one.what}. It is beside." in page
    assert "Of all 7 changes that can be made, 2 give the same rule" in page
    assert f"- `{other.rule.id}`: {other.what}\n" in page


def test_report_that_is_kept_is_readable_and_passes() -> None:
    page = (Path(__file__).parent / "report.md").read_text(encoding="utf-8")
    found = re.search(r"survivors: (\d+) of (\d+)", page)
    assert found is not None
    survivors, tried = map(int, found.groups())
    assert tried >= 300
    assert survivors < 0.1 * tried
    for said in ("date: ", "seed ", "digest "):
        assert said in page
