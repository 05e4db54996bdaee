"""Plans that state a part only, and cases that lack an answer: said so, never passed over."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from advisor.advice.thinking import think
from advisor.case.model import Value
from advisor.case.quantities import parse_measure
from advisor.review.model import Item, Review
from advisor.review.plan_reading import parse_plan
from advisor.review.plan_writing import plan_text
from advisor.review.review import review

from .conftest import book, checked, own_plan, thought

JACKET = "engine-block-frost-crack-in-water-jacket-is-stitched"
FRAME = "press-frame-fatigue-crack-gets-pins-and-keys"
BRACKET = "cast-steel-bracket-is-arc-welded"
BOSS = "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins"


def without(name: str, plan: dict[str, Any], **changes: Value | None) -> Review:
    """A plan checked against a case with answers changed; None takes one out."""
    case = thought(name).case.with_answers(changes)
    thinking = think(case, book(), judge_only=True)
    return review(parse_plan(plan_text(plan), "p.yaml", book(), case), thinking)


def about(result: Review, item: str) -> list[Item]:
    return [one for one in result.items if one.item == item]


# --- a part of a plan ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "value", "item", "severity"),
    [
        ("test_pressure", "3 bar", "test_pressure", "stop"),
        ("test_medium", "air", "test_medium", "stop"),
        ("sequence", ["drill_pins", "prove_ends"], "sequence", "stop"),
        ("inspections", [], "inspections.before.penetrant", "stop"),
        ("pin", {"thread": "M5x0.8", "pitch": "4.9 mm"}, "pin.pitch", "stop"),
    ],
)
def test_a_part_alone_is_judged(part: str, value: Any, item: str, severity: str) -> None:
    result = checked({"plan": "J-1", part: value}, JACKET)
    assert severity in [one.severity for one in about(result, item)]


def test_a_part_alone_is_not_asked_for_the_rest() -> None:
    result = checked({"plan": "J-1", "test_pressure": "1.7 bar"}, JACKET)
    assert not about(result, "pin")
    assert not about(result, "inspections")
    assert next(one.severity for one in about(result, "method")) == "note"


def test_keys_alone_speak_of_their_method() -> None:
    keys = own_plan(FRAME)["keys"]
    result = checked({"plan": "J-1", "keys": keys}, FRAME)
    (strength,) = about(result, "keys.strength")
    assert strength.severity == "note"


def test_a_plan_in_inches_is_as_good() -> None:
    plan = own_plan(JACKET)
    plan["pin"] = {
        "thread": "1/4-28 UNF", "pitch": "0.2 in", "count": "48", "spotface_depth": "1/16 in",
        "length": "0.19 in",
    }  # fmt: skip
    result = checked(plan, JACKET)
    assert [
        one for one in result.items if one.item.startswith("pin") and one.severity == "stop"
    ] == []


# --- answers that are missing -------------------------------------------------------------------


def test_without_a_wall_the_pins_are_not_judged() -> None:
    result = without(JACKET, own_plan(JACKET), wall_thickness=None)
    (pin,) = about(result, "pin")
    assert (pin.finding, pin.severity) == ("not_judged", "query")
    assert result.outcome != "clear"


def test_without_a_span_a_harder_test_is_a_query() -> None:
    plan = {**own_plan(JACKET), "test_pressure": "3 bar"}
    result = without(JACKET, plan, span=None)
    (test,) = about(result, "test_pressure")
    assert (test.finding, test.severity) == ("stronger", "query")


def test_without_a_pressure_the_test_is_not_judged() -> None:
    result = without(JACKET, own_plan(JACKET), pressure=None)
    assert [one.finding for one in about(result, "test_pressure")] == ["not_judged"]


def test_a_method_that_an_open_answer_may_exclude_is_not_passed() -> None:
    result = without(JACKET, own_plan(JACKET), material=None)
    assert result.outcome == "stop"
    assert "stop" in [one.severity for one in result.items if one.item in ("verdict", "method")]


def test_without_a_composition_the_cautious_preheat_holds() -> None:
    plan = own_plan(BRACKET)
    result = without(BRACKET, plan, composition=None)
    (preheat,) = about(result, "heat.preheat")
    assert preheat.finding == "falls_short"
    assert preheat.rule == "heat.steel-formula-silent"


def test_without_a_depth_the_insert_is_not_judged() -> None:
    holes = thought(BOSS).case.value("holes")
    assert isinstance(holes, tuple)
    (hole,) = holes
    assert not isinstance(hole, str)
    result = without(BOSS, own_plan(BOSS), holes=(replace(hole, depth=None),))
    assert [one.finding for one in about(result, "inserts[1]")] == ["not_judged"]


def test_a_thinner_wall_is_judged_with_the_same_plan() -> None:
    """The jacket's own plan in a wall of 3 mm: (3 - 1.25)/0.8 = 2.2 threads at the most."""
    wall = parse_measure("3 mm", "length")
    result = without(JACKET, own_plan(JACKET), wall_thickness=wall)
    (threads,) = about(result, "pin.threads")
    assert (threads.finding, threads.severity) == ("falls_short", "stop")


def test_a_wall_that_stands_no_test_is_not_passed() -> None:
    """Half the panel's strength is reached at 1.7 bar, below a working pressure of 1.8 bar."""
    pressure = parse_measure("1.8 bar", "pressure")
    result = without(JACKET, own_plan(JACKET), pressure=pressure)
    assert result.outcome != "clear"
