"""Twelve plans over six worked cases, from sound to dangerous, each with what must be found."""

from __future__ import annotations

from collections import Counter

import pytest

from advisor.case.yaml_text import read_yaml
from advisor.review.plan_reading import read_plan
from advisor.review.review import review

from .conftest import PLANS, Review, book, thought

NAMES = sorted(path.stem for path in PLANS.glob("*.yaml"))


def check(name: str) -> Review:
    expected = read_yaml(PLANS / "expected" / f"{name}.yaml").data
    thinking = thought(expected["case"])
    return review(read_plan(PLANS / f"{name}.yaml", book(), thinking.case), thinking)


def test_there_are_twelve_over_six_cases() -> None:
    files = [read_yaml(PLANS / "expected" / f"{name}.yaml").data for name in NAMES]
    assert len(NAMES) >= 12
    assert len({each["case"] for each in files}) >= 6
    assert set(Counter(each["outcome"] for each in files)) == {"clear", "queries", "stop"}
    assert {path.stem for path in (PLANS / "expected").glob("*.yaml")} == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_plan_gets_its_findings(name: str) -> None:
    expected = read_yaml(PLANS / "expected" / f"{name}.yaml").data
    result = check(name)
    got = [
        {"item": i.item, "finding": i.finding, "severity": i.severity, "rule": i.rule}
        for i in result.items
    ]
    for wanted in expected["must"]:
        assert wanted in got, [one for one in got if one["item"] == wanted["item"]]
    assert result.outcome == expected["outcome"]


@pytest.mark.parametrize("name", NAMES)
def test_plan_is_for_its_case(name: str) -> None:
    assert not [item for item in check(name).items if item.item == "case"]


def test_what_departs_from_a_rule_keeps_its_weight_on_record() -> None:
    result = check("bracket-hotter-and-without-films")
    left_out = [item for item in result.items if item.item == "inspections.after.ultrasonic"]
    assert [item.overridden and item.overridden.severity for item in left_out] == ["query"]
    assert [item.overridden and item.overridden.by for item in left_out] == [
        "welding foreman (invented)"
    ]
