"""Departures from rules: which a senior may make, and that none that guards people is taken."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.advice.rulebook import STAGES, Rulebook
from advisor.review.model import Review
from advisor.review.protection import protects_people, why_it_stands

from .conftest import checked, own_plan, put, uninspect

JACKET = "engine-block-frost-crack-in-water-jacket-is-stitched"
BRACKET = "cast-steel-bracket-is-arc-welded"
BOILER = "boiler-section-is-refused-by-law"
UNKNOWN = "pump-casing-of-unknown-metal-is-investigated"


def with_override(name: str, plan: dict[str, Any], *rules: str) -> Review:
    plan["overrides"] = [
        {"rule": rule, "reason": "tried before", "by": "foreman (invented)"} for rule in rules
    ]
    return checked(plan, name)


@pytest.mark.parametrize(
    "rule",
    [
        "authority.boiler-law", "authority.lifting-law", "authority.nuclear", "part.rotating",
        "standing.unknown", "standing.no-heat-on-doubt", "stitch.keys-are-needed",
        "resin.pressure", "heat.none-allowed", "after.water-pressure", "before.gas-free",
        "verdict.weld-on-safety-part", "threads.floor", "before.metal-two-ways",
        "procedure.lock-out-in-place", "hotwork.vent-behind-gas",
    ],
)  # fmt: skip
def test_what_guards_people_stands(rule: str, rulebook: Rulebook) -> None:
    assert protects_people(rulebook.rule_by_id[rule], rulebook)


@pytest.mark.parametrize(
    "rule",
    [
        "before.powder-on-iron", "during.heat-log", "after.first-heat", "procedure.map",
        "heat.steel-preheat-100", "filler.steel", "braze.nothing-may-move",
        "before.penetrant-on-the-crack", "stitch.home-in-brittle-iron",
    ],
)  # fmt: skip
def test_what_is_good_practice_may_be_left(rule: str, rulebook: Rulebook) -> None:
    assert why_it_stands(rulebook.rule_by_id[rule], rulebook) is None


def test_nobody_overrides_who_decides(rulebook: Rulebook) -> None:
    for rule in rulebook.rules:
        kinds = {effect.kind for effect in rule.then}
        if "require_approval" in kinds or any(e.target == "verdict" for e in rule.then):
            assert protects_people(rule, rulebook), rule.id


def test_nobody_overrides_an_exclusion_of_the_early_stages(rulebook: Rulebook) -> None:
    early = {STAGES.index(name) for name in ("material", "triage", "demands")}
    for rule in rulebook.rules:
        if rule.stage in early and any(effect.kind == "rule_out" for effect in rule.then):
            assert protects_people(rule, rulebook), rule.id


def test_an_accepted_override_turns_a_finding_into_a_note_with_its_weight_kept() -> None:
    plan = own_plan(BRACKET)
    uninspect("during", "temperature_log")(plan)
    assert checked(plan, BRACKET).outcome == "queries"
    result = with_override(BRACKET, plan, "during.heat-log")
    (item,) = [i for i in result.items if i.item == "inspections.during.temperature_log"]
    assert (item.finding, item.severity) == ("missing", "note")
    assert item.overridden
    assert (item.overridden.severity, item.overridden.by) == ("query", "foreman (invented)")
    assert item.overridden.reason == "tried before"
    assert result.outcome == "clear"
    assert result.overrides[0].accepted


def test_a_stop_may_fall_where_the_rule_guards_the_part_alone() -> None:
    plan = own_plan(JACKET)
    uninspect("before", "penetrant")(plan)
    assert checked(plan, JACKET).outcome == "stop"
    result = with_override(JACKET, plan, "before.penetrant-on-the-crack")
    (item,) = [i for i in result.items if i.item == "inspections.before.penetrant"]
    assert item.severity == "note"
    assert item.overridden
    assert item.overridden.severity == "stop"


@pytest.mark.parametrize(
    ("name", "rule"),
    [(BOILER, "authority.boiler-law"), (UNKNOWN, "standing.unknown")],
)
def test_a_refused_override_changes_nothing(name: str, rule: str) -> None:
    plan = own_plan(name)
    put("verdict", "repair")(plan)
    put("method", "cold_stitch")(plan)
    before = checked(plan, name)
    result = with_override(name, plan, rule)
    assert result.outcome == "stop"
    assert [i for i in before.items if i.severity == "stop"] == [
        i for i in result.items if i.severity == "stop"
    ]
    (said,) = [i for i in result.items if i.item == "overrides[1]"]
    assert (said.finding, said.severity) == ("contradicts", "query")
    assert not result.overrides[0].accepted


def test_air_in_brittle_iron_cannot_be_overridden() -> None:
    plan = own_plan(JACKET)
    put("test_medium", "air")(plan)
    result = with_override(JACKET, plan, "after.water-pressure", "after.jacket")
    assert [i.severity for i in result.items if i.item == "test_medium"] == ["stop"]


def test_a_formula_is_no_rule_and_holds_for_seniors_too() -> None:
    plan = own_plan(JACKET)
    put("pin.pitch", "4.9 mm")(plan)
    result = with_override(JACKET, plan, "threads.floor")
    assert "stop" in [i.severity for i in result.items if i.item == "pin.pitch"]


def test_one_of_several_rules_is_not_enough() -> None:
    plan = own_plan(JACKET)
    uninspect("during", "dimensional")(plan)
    result = with_override(JACKET, plan, "during.overlap")
    (item,) = [i for i in result.items if i.item == "inspections.during.dimensional"]
    assert item.severity == "query"
    (said,) = [i for i in result.items if i.item == "overrides[1]"]
    assert (said.finding, said.severity) == ("falls_short", "query")


def test_an_override_of_nothing_is_a_note() -> None:
    result = with_override(JACKET, own_plan(JACKET), "during.overlap")
    (said,) = [i for i in result.items if i.item == "overrides[1]"]
    assert said.severity == "note"
    assert result.outcome == "clear"
