"""What a sheet holds for each verdict, and what it must not hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from advisor.advice.advise import read_off
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case
from advisor.sheet.content import build_sheet
from advisor.sheet.markdown import to_markdown
from advisor.sheet.model import Figure, Notice, Section, Sheet, Table, Tasks

from .conftest import GO_AHEAD, NO_GO_AHEAD

ALWAYS = {"verdict", "job", "safety", "steps", "answers", "sources"}
WORKING = ALWAYS | {"method", "drawing", "inspections", "parts", "time", "questions", "record"}
SIZES = {"pins", "keys", "inserts", "heat", "drawing", "parts", "time", "template", "method"}


def section(sheet: Sheet, name: str) -> Section:
    return next(one for one in sheet.sections if one.id == name)


def tables(sheet: Sheet, name: str) -> list[Table]:
    return [block for block in section(sheet, name).blocks if isinstance(block, Table)]


@pytest.mark.parametrize("name", GO_AHEAD.values())
def test_a_plan_that_goes_ahead_has_every_section(
    name: str, thought: Callable[[str], Thinking]
) -> None:
    sheet = build_sheet(thought(name))
    found = {one.id for one in sheet.sections}
    assert found >= WORKING
    advice = read_off(thought(name))
    assert ("pins" in found) == (advice.stitching is not None)
    assert ("keys" in found) == bool(advice.stitching and advice.stitching.keys)
    assert ("heat" in found) == (advice.heat is not None)
    assert ("inserts" in found) == bool(advice.inserts)


@pytest.mark.parametrize(("verdict", "name"), NO_GO_AHEAD.items())
def test_without_a_go_ahead_there_are_large_words_and_no_sizes(
    verdict: str, name: str, thought: Callable[[str], Thinking]
) -> None:
    sheet = build_sheet(thought(name), template=True)
    assert sheet.verdict == verdict
    first = sheet.sections[0].blocks[0]
    assert isinstance(first, Notice)
    assert first.words == sheet.headline
    assert re.match("DO NOT|STOP", first.words)
    assert not {one.id for one in sheet.sections} & SIZES
    assert not [b for one in sheet.sections for b in one.blocks if isinstance(b, Figure)]
    assert section(sheet, "steps").heading == "What to do meanwhile"
    assert section(sheet, "steps").blocks
    assert sheet.remarks == ("no drilling template: the verdict is no go-ahead",)
    assert 'class="pin"' not in sheet.layout.svg
    assert sheet.headline in sheet.layout.svg.replace("&apos;", "'")
    printed = to_markdown(sheet).split("```json")[0]
    assert not re.search(r"\bM\d+x[\d.]+|tap drill|spot-face|preheat at", printed)


def test_every_scenario_gives_a_sheet(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    for case in cases.values():
        sheet = build_sheet(think(case, rulebook, judge_only=True), template=True)
        assert sheet.job == case.reference
        assert {one.id for one in sheet.sections} >= ALWAYS


def test_no_sheet_speaks_of_a_repair_that_does_not_go_ahead(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    at_work = {
        text
        for rule in rulebook.rules
        if rule.only_at_work
        for text in (rule.caution, *(effect.text for effect in rule.then))
        if text
    }
    assert any(text.startswith("Dress short surface checks smooth") for text in at_work)
    said_at_work = set[str]()
    for case in cases.values():
        thinking = think(case, rulebook, judge_only=True)
        said = {caution.text for caution in read_off(thinking).cautions} & at_work
        if thinking.word("go_ahead") == "yes":
            said_at_work |= said
        else:
            assert not said, case.reference
    assert said_at_work


def test_all_that_must_agree_have_a_line_to_sign(thought: Callable[[str], Thinking]) -> None:
    sheet = build_sheet(thought(GO_AHEAD["keys"]))
    (table,) = tables(sheet, "verdict")
    assert [c.head for c in table.columns if c.blank] == ["name and signature", "date"]
    assert len(table.rows) == len(read_off(thought(GO_AHEAD["keys"])).verdict.approval)


def test_the_drilling_table_has_a_row_for_each_pin_and_room_for_readings(
    thought: Callable[[str], Thinking],
) -> None:
    thinking = thought(GO_AHEAD["insert"])
    seam = read_off(thinking).stitching
    assert seam
    sheet = build_sheet(thinking)
    (table,) = tables(sheet, "pins")
    heads = [column.head for column in table.columns]
    assert [c.head for c in table.columns if c.blank] == [
        "wall found", "depth found", "threads found", "by",
    ]  # fmt: skip
    for row, hole in zip(table.rows, seam.layout, strict=True):
        cells = dict(zip(heads, row, strict=True))
        assert int(cells["no."]) == hole.n
        assert int(cells["pass"]) == hole.drilling_pass
        assert float(cells["along"]) == pytest.approx(hole.at.value, abs=0.006)
        assert float(cells["x"]) == pytest.approx(hole.x.value, abs=0.006)
        assert float(cells["y"]) == pytest.approx(hole.y.value, abs=0.006)
        assert float(cells["depth"]) == pytest.approx(hole.wall.value, abs=0.006)
        assert float(cells["pin"]) == pytest.approx(hole.pin_length.value, abs=0.006)
        assert cells["thread"] == seam.pin.thread


def test_steps_and_hold_points_are_those_of_the_advice(
    thought: Callable[[str], Thinking],
) -> None:
    thinking = thought(GO_AHEAD["pins"])
    advice, sheet = read_off(thinking), build_sheet(thinking)
    (tasks,) = [b for b in section(sheet, "steps").blocks if isinstance(b, Tasks)]
    assert [(t.n, t.text, t.hold_point) for t in tasks.items] == [
        (step.n, step.do, step.hold_point) for step in advice.steps
    ]
    (plan,) = tables(sheet, "inspections")
    assert len(plan.rows) == len(advice.inspections)
    holds = sum(row[4] == "HOLD" for row in plan.rows)
    assert holds == sum(one.hold_point for one in advice.inspections)


def test_inches_for_people_and_millimetres_for_data(thought: Callable[[str], Thinking]) -> None:
    thinking = thought(GO_AHEAD["pins"])
    si, us = build_sheet(thinking), build_sheet(thinking, units="us")
    assert si.data == us.data
    row_si, row_us = tables(si, "pins")[0].rows[-1], tables(us, "pins")[0].rows[-1]
    assert float(row_us[2]) == pytest.approx(float(row_si[2]) / 25.4, abs=0.001)
    assert "lengths in inches" in tables(us, "pins")[0].caption


def test_the_sheet_names_its_rules_and_defers(thought: Callable[[str], Thinking]) -> None:
    thinking = thought(GO_AHEAD["pins"])
    digest = thinking.rulebook.digest
    text = to_markdown(build_sheet(thinking))
    assert digest in text
    assert text.count("Defer to local codes and licensed practice.") >= 2
    assert thinking.rulebook.version in text


def test_a_template_is_only_there_where_it_is_wanted_and_fits(
    thought: Callable[[str], Thinking],
) -> None:
    wanted = build_sheet(thought(GO_AHEAD["insert"]), template=True)
    assert wanted.remarks == ()
    assert "template" in {one.id for one in wanted.sections}
    assert "template" not in {one.id for one in build_sheet(thought(GO_AHEAD["insert"])).sections}
    too_long = build_sheet(thought(GO_AHEAD["pins"]), template=True)
    if "template" not in {one.id for one in too_long.sections}:
        assert "does not fit" in too_long.remarks[0]
    welded = build_sheet(thought(GO_AHEAD["steel weld"]), template=True)
    assert welded.remarks == ("no drilling template: no pins are set",)


def test_the_same_case_gives_the_same_sheet(thought: Callable[[str], Thinking]) -> None:
    thinking = thought(GO_AHEAD["keys"])
    assert build_sheet(thinking) == build_sheet(thinking)


@pytest.mark.parametrize("which", ["insert", "keys", "steel weld"])
def test_a_sheet_in_inches_leaves_no_metric_number_alone(
    which: str, thought: Callable[[str], Thinking]
) -> None:
    sheet = build_sheet(thought(GO_AHEAD[which]), units="us")
    others = ("job", "answers", "sources")
    plain = replace(sheet, sections=tuple(s for s in sheet.sections if s.id not in others))
    printed = re.sub(r"!\[.*", "", to_markdown(plain).split("```json")[0])
    assert re.search(r"25 mm \(0\.984 in\)", printed)
    alone = r"[^|\n]*\d (?:mm|bar|degC|kg|kN)\b(?! \(\d)[^|\n]*"
    assert not re.findall(alone, printed)
