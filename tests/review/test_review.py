"""The document of a check, its words in both systems of units, and that no plan can break it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.advice.rulebook import METHODS, Rulebook
from advisor.engineering.keys import greatest_depth
from advisor.engineering.seam import neck_spacing
from advisor.review.model import Review
from advisor.review.plan_reading import parse_plan
from advisor.review.plan_writing import plan_text
from advisor.review.printing import as_html, as_markdown
from advisor.review.review import review
from advisor.review.words import shown

from .conftest import book, checked, own_plan, put, scenario_names, thought, times

JACKET = "engine-block-frost-crack-in-water-jacket-is-stitched"
FRAME = "press-frame-fatigue-crack-gets-pins-and-keys"
FINDINGS = {"agrees", "stronger", "falls_short", "contradicts", "missing", "not_judged"}


def spoilt() -> Review:
    plan = own_plan(JACKET)
    for edit in (times("pin.pitch", 1.4), times("test_pressure", 1.5), put("test_medium", "air")):
        edit(plan)
    return checked(plan, JACKET)


# --- the document -----------------------------------------------------------------------------


def test_document_has_the_keys_of_the_contract() -> None:
    document = spoilt().to_json()
    assert {"schema", "items", "outcome"} <= document.keys()
    assert document["outcome"] == "stop"
    for item in document["items"]:
        assert {
            "item", "finding", "severity", "planned", "advised", "rule", "text", "sources",
        } <= item.keys()  # fmt: skip
        assert item["finding"] in FINDINGS
        assert item["severity"] in ("stop", "query", "note")
        assert isinstance(item["rule"], str)
        assert item["rule"]
        for key in ("planned", "advised"):
            if isinstance(item[key], dict):
                assert {"value", "unit"} <= item[key].keys()


def test_gravest_first_and_the_outcome_follows() -> None:
    order = [item.severity for item in spoilt().items]
    assert order == sorted(order, key=("stop", "query", "note").index)


def test_rules_and_sources_are_known(rulebook: Rulebook) -> None:
    for item in spoilt().items:
        if item.basis == "rule":
            assert item.rule in rulebook.rule_by_id
        assert set(item.sources) <= set(rulebook.knowledge.sources)
        for figure in item.figures:
            assert set(figure.sources) <= set(rulebook.knowledge.sources)


def test_order_of_steps_names_rules_that_exist(rulebook: Rulebook) -> None:
    for row in rulebook.knowledge.tables["plan_order"].rows.values():
        assert row["rule"].value in rulebook.rule_by_id


def test_a_sentence_is_in_the_readers_units_and_the_numbers_are_not() -> None:
    plan, thinking = own_plan(JACKET), thought(JACKET)
    times("pin.pitch", 1.4)(plan)
    read = parse_plan(plan_text(plan), "p.yaml", book(), thinking.case)
    si, us = review(read, thinking), review(read, thinking, "us")
    pitch = [next(i for i in each.items if i.item == "pin.pitch") for each in (si, us)]
    assert " mm" in pitch[0].text
    assert " in" in pitch[1].text
    assert " mm" not in pitch[1].text
    assert pitch[0].planned == pitch[1].planned
    assert shown(pitch[0].planned, "us").endswith(")")


# --- numbers held against the formulas by hand ------------------------------------------------


def test_pitch_limit_is_the_neck_of_the_pin_planned() -> None:
    """s = sqrt(d^2 - 4 w^2): d 6 mm, w 1.5 mm give 5.196 mm (derived)."""
    assert neck_spacing(6, 1.5, 0.0) == pytest.approx((36 - 9) ** 0.5)
    for pitch, severity in (("5.19 mm", "note"), ("5.25 mm", "stop")):
        plan = own_plan(JACKET)
        for edit in (put("pin.thread", "M6x1"), put("pin.pitch", pitch)):
            edit(plan)
        (item,) = [i for i in checked(plan, JACKET).items if i.item == "pin.pitch"]
        assert item.severity == severity, item.text


def test_threads_are_counted_in_the_least_wall() -> None:
    """(6.2 - 2.2) / 1 = 4 threads of M6x1 in the jacket's least wall of 6.2 mm (derived)."""
    plan = own_plan(JACKET)
    for edit in (
        put("pin.thread", "M6x1"), put("pin.pitch", "5 mm"), put("pin.spotface_depth", "2.2 mm"),
        put("pin.length", "4 mm"),
    ):  # fmt: skip
        edit(plan)
    (item,) = [i for i in checked(plan, JACKET).items if i.item == "pin.threads"]
    assert item.planned is not None
    assert not isinstance(item.planned, str | int)
    assert item.planned.value == pytest.approx(4.0, abs=0.02)


def test_slot_may_be_as_deep_as_the_floor_allows() -> None:
    """0.85 of the least wall of 29.8 mm, 25.33 mm (practice)."""
    assert greatest_depth(29.8) == pytest.approx(25.33)
    for depth, severity in (("25.3 mm", "note"), ("25.4 mm", "stop")):
        plan = own_plan(FRAME)
        put("keys.depth", depth)(plan)
        (item,) = [i for i in checked(plan, FRAME).items if i.item == "keys.depth"]
        assert item.severity == severity, item.text


# --- other plans than the program's own -------------------------------------------------------


@pytest.mark.parametrize("name", scenario_names())
@pytest.mark.parametrize("method", METHODS)
def test_any_method_on_any_case_is_judged(name: str, method: str) -> None:
    plan = {**own_plan(name), "method": method, "verdict": "repair"}
    result = checked(plan, name)
    assert [item for item in result.items if item.item == "verdict"]
    standing = {one.method: one.state for one in _ranking(name)}
    about = [item for item in result.items if item.item == "method"]
    if standing[method] == "ruled_out":
        assert [item.severity for item in about].count("stop") >= 1
    if thought(name).word("verdict") == "refer":
        assert result.outcome == "stop"


def _ranking(name: str) -> tuple[Any, ...]:
    ranking = thought(name).objects["ranking"]
    return tuple(ranking.methods)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", scenario_names())
def test_a_plan_of_one_line_is_no_fault(name: str) -> None:
    result = checked({"plan": "J-1"}, name)
    assert result.outcome in ("clear", "queries")


def mm(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high, allow_nan=False).map(lambda value: f"{value:.4g} mm")


PINS = st.fixed_dictionaries(
    {},
    optional={
        "thread": st.sampled_from(["M3x0.5", "M5x0.8", "M8x1.25", "M16x2", "M36x4", "3/8-16 UNC"]),
        "pitch": mm(0.1, 60),
        "count": st.integers(1, 400).map(str),
        "spotface_depth": mm(0, 60),
        "length": mm(0.1, 80),
    },
)
KEYS = st.fixed_dictionaries(
    {},
    optional={
        "count": st.integers(1, 60).map(str),
        "spacing": mm(0.5, 300),
        "depth": mm(0.1, 120),
        "section": st.sampled_from(["neck_3", "neck_8", "neck_16", "7 mm"]),
        "staggered": st.sampled_from(["yes", "no"]),
    },
)
INSERTS = st.lists(
    st.fixed_dictionaries(
        {"hole": st.just("1")},
        optional={
            "outside_thread": st.sampled_from(["M16 STI", "M18x1", "M22", "M24x2", "M60x4", "M6"]),
            "length": mm(0.5, 120),
        },
    ),
    max_size=1,
)
HEAT = st.fixed_dictionaries(
    {},
    optional={
        "preheat": st.integers(-20, 1200).map("{} degC".format),
        "interpass_max": st.integers(0, 1200).map("{} degC".format),
        "filler": st.sampled_from(["ENi-CI", "E7018", "RCI", "BAg-24", "stick", "enife ci"]),
        "cooling": st.sampled_from(["still_air", "covered", "buried", "in_furnace"]),
    },
)
ORDER = st.lists(
    st.sampled_from(
        ["prove_ends", "drill_pins", "keys", "heat", "insert", "dress", "inspect", "pressure_test"]
    ),
    max_size=9,
)
WRITTEN = st.fixed_dictionaries(
    {"plan": st.just("J-1")},
    optional={
        "method": st.sampled_from(METHODS),
        "verdict": st.sampled_from(
            ["repair", "repair_with_approval", "investigate", "refer", "replace"]
        ),
        "pin": PINS,
        "keys": KEYS,
        "heat": HEAT,
        "test_pressure": st.floats(0.01, 900).map(lambda value: f"{value:.4g} bar"),
        "test_medium": st.sampled_from(["water", "oil", "air"]),
        "sequence": ORDER,
        "inspections": st.lists(
            st.fixed_dictionaries(
                {
                    "when": st.sampled_from(["before", "during", "after"]),
                    "method": st.sampled_from(["penetrant", "visual", "pressure_test"]),
                },
                optional={"hold_point": st.sampled_from(["yes", "no"])},
            ),
            max_size=5,
        ),
    },
)
CASES = (
    JACKET,
    FRAME,
    "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins",
    "cast-steel-bracket-is-arc-welded",
    "pump-casing-of-unknown-metal-is-investigated",
    "boiler-section-is-refused-by-law",
    "pump-volute-in-inches-gets-pins-and-keys",
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(name=st.sampled_from(CASES), plan=WRITTEN, inserts=INSERTS)
def test_whatever_somebody_writes_is_judged_and_printed(
    name: str, plan: dict[str, Any], inserts: list[dict[str, Any]]
) -> None:
    if name.startswith("gearbox-boss"):
        plan = {**plan, "inserts": inserts}
    result = checked(plan, name)
    severities = {item.severity for item in result.items}
    expected = "stop" if "stop" in severities else "queries" if "query" in severities else "clear"
    assert result.outcome == expected
    if thought(name).word("verdict") == "refer" and plan.get("verdict") in ("repair",):
        assert result.outcome == "stop"
    assert as_markdown(result).startswith("# Check of plan")
    assert as_html(result, "us").endswith("</html>\n")


# --- on paper ---------------------------------------------------------------------------------


def test_markdown_has_every_item_in_the_order_of_the_plan() -> None:
    text = as_markdown(spoilt())
    table = [line for line in text.splitlines() if line.startswith("| ")]
    names = [line.split("|")[1].strip().replace("\\", "") for line in table[1:]]
    assert sorted(names) == sorted(item.item for item in spoilt().items)
    assert names.index("verdict") < names.index("pin.pitch") < names.index("sequence")
    assert all(len(re.findall(r"(?<!\\)\|", line)) == 6 for line in table)


def test_html_needs_nothing_besides_itself_and_shows_no_mark_up() -> None:
    plan, thinking = own_plan(JACKET), thought(JACKET)
    plan["notes"] = "<script>alert(1)</script> & more"
    read = parse_plan(plan_text(plan), "p.yaml", book(), thinking.case)
    page = as_html(review(read, thinking))
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert not re.search(r"(src|href)=|@import|url\(", page)
    assert "CLEAR" in page
