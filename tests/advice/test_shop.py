"""The shop file: a workshop's own means count, its rules add caution, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.advice.advise import advise
from advisor.advice.model import Advice
from advisor.advice.rulebook import data_folder, load_rulebook
from advisor.advice.shop import case_in_shop, find_shop_file, with_shop
from advisor.case.reading import read_case
from advisor.reasoning.cursor import KnowledgeProblem

BOOK = load_rulebook()
JACKET = next((data_folder() / "scenarios").glob("engine-block-frost*.yaml"))

RULE = """
rules:
  - id: shop-own.second-look
    stage: {stage}
    title: Long seams get a second look
    when: {{fact: crack_length, above: 10 mm}}
    then: [{effect}]
    because: Two long seams of this shop wept because nobody looked twice.
    source: [{{ref: PRACTICE, seen: practice}}]
"""


@pytest.fixture
def advised_with(tmp_path: Path) -> Callable[[str], Advice]:
    def advised(text: str) -> Advice:
        path = tmp_path / "shop.yaml"
        path.write_text("shop: Hill Street workshop (invented)\n" + text, encoding="utf-8")
        book = with_shop(BOOK, path)
        case = read_case(JACKET, book.questionnaire, tuple(book.knowledge.tables["grades"].rows))
        return advise(case_in_shop(case, book.shop), book)

    return advised


def _plain() -> Advice:
    case = read_case(JACKET, BOOK.questionnaire, tuple(BOOK.knowledge.tables["grades"].rows))
    return advise(case, BOOK)


def test_the_shops_own_pins_are_the_ones_laid(advised_with: Callable[[str], Advice]) -> None:
    pins = "pins: [{thread: M6x1, shoulder_height: 2.2 mm, spotface_diameter: 10 mm}]\n"
    advice = advised_with(pins)
    assert advice.stitching is not None
    assert advice.stitching.pin.major_diameter.value == 6
    assert advice.stitching.pin.spotface_diameter.value == 10
    assert advice.rulebook.digest != _plain().rulebook.digest


def test_pins_too_thick_for_the_wall_leave_no_stitching(
    advised_with: Callable[[str], Advice],
) -> None:
    pins = "pins: [{thread: M20x2.5, shoulder_height: 8 mm, spotface_diameter: 30 mm}]\n"
    advice = advised_with(pins)
    assert advice.stitching is None
    assert advice.recommended != "cold_stitch"


def test_a_tested_seam_is_credited_with_its_report(
    advised_with: Callable[[str], Advice],
) -> None:
    seam = "seam_strength: {line_load: 90 N/mm, flank_angle: -10 deg, report: pull test 12}\n"
    advice = advised_with(seam)
    plain = _plain()
    assert plain.stitching is not None
    assert plain.stitching.strength.restored_fraction == 0
    assert advice.stitching is not None
    assert 0 < advice.stitching.strength.restored_fraction < 1
    assert "pull test 12" in advice.stitching.strength.basis


def test_processes_of_the_shop_stand_in_where_the_case_is_silent(tmp_path: Path) -> None:
    path = tmp_path / "shop.yaml"
    path.write_text("shop: small one (invented)\nprocesses: [penetrant]\n", encoding="utf-8")
    book = with_shop(BOOK, path)
    case = read_case(JACKET, book.questionnaire).with_answers({"processes": None})
    advice = advise(case_in_shop(case, book.shop), book)
    by_method = {one.method: one for one in advice.methods}
    assert by_method["cold_stitch"].standing == "ruled_out"
    assert case_in_shop(read_case(JACKET, book.questionnaire), book.shop).value("processes") != (
        "penetrant",
    )


def test_a_rule_of_the_shop_adds_a_caution(advised_with: Callable[[str], Advice]) -> None:
    advice = advised_with(RULE.format(stage="inspection", effect='{warn: "Look twice."}'))
    assert "Look twice." in [caution.text for caution in advice.cautions]


def test_a_rule_of_the_shop_can_exclude(advised_with: Callable[[str], Advice]) -> None:
    advice = advised_with(RULE.format(stage="method", effect="{rule_out: cold_stitch}"))
    assert advice.recommended != "cold_stitch"


@pytest.mark.parametrize(
    ("stage", "effect"),
    [
        ("method", "{allow: braze_weld}"),
        ("method", "{favour: {method: braze_weld, weight: 5}}"),
        ("sizing", "{settle: {filler: none}}"),
        ("sizing", "{settle: {pin_material: copper_alloy}}"),
    ],
)
def test_a_rule_that_makes_the_advice_bolder_is_refused(
    advised_with: Callable[[str], Advice], stage: str, effect: str
) -> None:
    with pytest.raises(KnowledgeProblem, match="an effect that adds caution") as refused:
        advised_with(RULE.format(stage=stage, effect=effect))
    assert refused.value.line


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("pins: [{thread: M6x1}]\n", "shoulder_height"),
        ("pins: [{thread: M6 1, shoulder_height: 2 mm, spotface_diameter: 9 mm}]\n", "M6"),
        ("pins: [{thread: M6x1, shoulder_height: 2, spotface_diameter: 9 mm}]\n", "2"),
        ("pins: [{thread: M6x1, shoulder_height: 2 mm, spotface_diameter: 5 mm}]\n", "more than"),
        ("processes: [drilling]\n", "drill_tap"),
        ("seam_strength: {line_load: 90 N/mm, flank_angle: 30 deg, report: r}\n", "symmetric"),
        ("colour: red\n", "colour"),
        (RULE.format(stage="method", effect="{rule_out: cold_stitch}").replace("shop-own", "own"),
         "shop-"),
    ],
)  # fmt: skip
def test_a_shop_file_with_a_mistake_is_refused(
    advised_with: Callable[[str], Advice], text: str, said: str
) -> None:
    with pytest.raises(KnowledgeProblem) as refused:
        advised_with(text)
    assert said in str(refused.value)
    assert refused.value.line
    assert "shop.yaml" in str(refused.value)


def test_the_file_named_counts_before_the_one_beside_the_case(tmp_path: Path) -> None:
    beside, named = tmp_path / "shop.yaml", tmp_path / "other.yaml"
    assert find_shop_file(tmp_path / "case.yaml", named) == named
    beside.write_text("shop: beside\n")
    assert find_shop_file(tmp_path / "case.yaml") == beside
