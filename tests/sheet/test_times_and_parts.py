"""The time estimate, the list of parts and tools, and the hazards.

Times, factors and spares are common practice without a source; the checks hold the arithmetic
against the tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from advisor.advice.advise import read_off
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.sheet.parts_list import parts_list, spare
from advisor.sheet.safety import hazards
from advisor.sheet.times import Circumstances, clock, estimate, pin_row

from .conftest import GO_AHEAD, NO_GO_AHEAD


def test_pins_take_their_number_times_the_time_of_one(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    """Practice: a pin M10 in gray iron takes 5 to 8 min; on site everything takes 1.5 times."""
    advice = read_off(thought(GO_AHEAD["insert"]))
    assert advice.stitching
    assert advice.stitching.pin.major_diameter.value == 10
    count = advice.stitching.pin.count
    for site, factor in (("workshop", 1.0), ("on_site", 1.5)):
        found = estimate(advice, rulebook.knowledge, Circumstances(105, "gray_iron", site))
        (pins,) = [line for line in found.lines if line.activity == "pin_m10"]
        assert (pins.low, pins.high) == (5 * count * factor, 8 * count * factor)


def test_a_harder_metal_multiplies_cutting_and_nothing_else(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    """Practice: ductile iron takes 1.3 times as long to cut."""
    advice = read_off(thought(GO_AHEAD["insert"]))
    gray, ductile = (
        estimate(advice, rulebook.knowledge, Circumstances(105, metal, "workshop"))
        for metal in ("gray_iron", "ductile_iron")
    )
    for a, b in zip(gray.lines, ductile.lines, strict=True):
        cuts = a.activity.startswith("pin_") or a.activity in (
            "solid_insert",
            "wire_insert",
            "dress",
        )
        assert b.high == pytest.approx(a.high * (1.3 if cuts else 1.0)), a.activity


def test_totals_are_sums_and_the_plan_takes_the_high_end(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    advice = read_off(thought(GO_AHEAD["pins"]))
    found = estimate(advice, rulebook.knowledge, Circumstances(240, "gray_iron", "workshop"))
    assert found.high == pytest.approx(sum(line.high for line in found.lines))
    assert found.high <= found.plan_with < found.high + 15
    assert found.plan_with % 15 == 0


def test_what_is_not_on_file_is_named_and_not_guessed(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    durations = rulebook.knowledge.tables["durations"].rows
    assert pin_row(5, durations) == ("pin_m6", "time of M6, the next on file")
    assert pin_row(8, durations) == ("pin_m8", "")
    assert pin_row(24, durations) == (None, "")
    advice = read_off(thought(GO_AHEAD["steel weld"]))
    found = estimate(advice, rulebook.knowledge, Circumstances(60, "bronze", None))
    welding = [step.n for step in advice.steps if step.id == "weld_steel_layers"]
    assert set(welding) <= set(found.untimed)
    assert any("no factor on file for bronze" in one for one in found.basis)
    assert any("is not known" in one for one in found.basis)


def test_a_welded_job_of_one_activity_is_counted_once(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    advice = read_off(thought(GO_AHEAD["pins"]))
    found = estimate(advice, rulebook.knowledge, Circumstances(700, "gray_iron", "workshop"))
    by_name = {line.activity: line for line in found.lines}
    assert by_name["map"].count == 1
    assert by_name["seal_and_peen"].count == math.ceil(700 / 300)


def test_clock() -> None:
    assert [clock(m) for m in (0, 59.6, 61, 600)] == ["0 min", "1 h", "1 h 1 min", "10 h"]


def test_tables_of_use_name_steps_and_inspections_that_exist(rulebook: Rulebook) -> None:
    tables = rulebook.knowledge.tables
    methods = {inspection.method for inspection in rulebook.inspections.values()}
    works = set(rulebook.steps) | set(rulebook.inspections)
    assert set(tables["duration_uses"].rows) <= works
    assert set(tables["hazard_triggers"].rows) <= set(tables["hazards"].rows)
    for table in ("equipment", "hazard_triggers"):
        for row in tables[table].rows.values():
            for column, legal in (("steps", set(rulebook.steps)), ("inspections", methods)):
                if column in row:
                    value = row[column].value
                    assert isinstance(value, tuple)
                    assert set(value) <= legal, (table, row[column].row)
    for row in tables["duration_uses"].rows.values():
        value = row["activities"].value
        assert isinstance(value, tuple)
        assert set(value) <= set(tables["durations"].rows)


def test_a_step_and_an_inspection_never_share_a_name(rulebook: Rulebook) -> None:
    assert not set(rulebook.steps) & set(rulebook.inspections)


def test_spares_are_a_share_rounded_up_and_never_fewer_than_the_least(rulebook: Rulebook) -> None:
    assert [spare("pin", n, rulebook.knowledge) for n in (3, 20, 21, 54)] == [2, 2, 3, 6]
    assert spare("tap", 1, rulebook.knowledge) == 1


@pytest.mark.parametrize("name", GO_AHEAD.values())
def test_everything_that_is_sized_is_on_the_list(
    name: str, rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    advice = read_off(thought(name))
    names = " | ".join(item.name for item in parts_list(advice, rulebook.knowledge))
    seam = advice.stitching
    if seam:
        assert f"pin {seam.pin.thread}" in names
        assert f"tap {seam.pin.thread}" in names
        (pins,) = [i for i in parts_list(advice, rulebook.knowledge) if i.name.startswith("pin ")]
        assert pins.needed == seam.pin.count
        assert pins.total == str(seam.pin.count + pins.spare)
    if seam and seam.keys:
        (keys,) = [i for i in parts_list(advice, rulebook.knowledge) if "key strip" in i.name]
        assert keys.needed == seam.keys.count * seam.keys.layers
    for insert in advice.inserts:
        if insert.outside_thread:
            assert f"outside {insert.outside_thread}" in names
    if advice.heat and advice.heat.filler:
        assert f"filler {advice.heat.filler}" in names


def test_hazards_of_the_case_come_first_and_stop_the_work(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    thinking = thought(GO_AHEAD["pins"])
    case = thinking.case.with_answers({"hazards": ("lead_paint",)})
    found = hazards(read_off(thinking), case, rulebook.knowledge)
    assert found[0].id == "lead_paint"
    assert found[0].stops_work
    assert found[0].protection
    assert "29 CFR" in found[0].reference
    assert {"drilling", "grinding", "solvents"} <= {hazard.id for hazard in found}


def test_nothing_is_drilled_where_nothing_goes_ahead(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    thinking = thought(NO_GO_AHEAD["refer"])
    found = hazards(read_off(thinking), thinking.case, rulebook.knowledge)
    assert "drilling" not in {hazard.id for hazard in found}


def test_arc_and_flame_bring_their_hazards(
    rulebook: Rulebook, thought: Callable[[str], Thinking]
) -> None:
    thinking = thought(GO_AHEAD["steel weld"])
    advice = read_off(thinking)
    found = {hazard.id for hazard in hazards(advice, thinking.case, rulebook.knowledge)}
    assert "fire" in found
    without = replace(thinking.case, answers={})
    assert "fire" in {hazard.id for hazard in hazards(advice, without, rulebook.knowledge)}
