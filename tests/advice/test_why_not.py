"""Why not: obstacles as they stand, and changes of answers that really turn the advice."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from advisor.advice.doubt.possible_answers import possible_answers
from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.advice.doubt.why_not import CAN_BE_DONE, WhyNot, why_not
from advisor.advice.explain import Explainer
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case
from advisor.case.quantities import parse_measure

HOT = "nickel-iron-exhaust-manifold-is-welded-hot"
STITCHED = "engine-block-frost-crack-in-water-jacket-is-stitched"
ZINC = "zinc-fountain-figure-goes-to-a-conservator"
NATURE = frozenset({
    "material", "hardness", "composition", "crack_length", "crack_location", "crack_depth",
    "crack_cause", "wall_thickness", "wall_thickness_max", "base_condition", "missing_metal",
    "magnet", "chip_test", "fracture_face", "part_kind", "cast_year", "nearest_edge",
})  # fmt: skip


def known(case: Case, rulebook: Rulebook) -> Thinking:
    return think(case, rulebook, judge_only=True)


def found(case: Case, rulebook: Rulebook, topic: str) -> WhyNot:
    said = why_not(known(case, rulebook), topic)
    assert said is not None
    return said


def test_what_is_recommended_needs_no_reason(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    assert why_not(known(cases[STITCHED], rulebook), "cold_stitch") is None
    assert why_not(known(cases[STITCHED], rulebook), "verdict") is None


def test_exclusions_are_named_with_their_strength(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    said = found(cases[HOT], rulebook, "cold_stitch")
    by_rule = {one.rule: one.strength for one in said.obstacles}
    assert by_rule["stitch.too-hot-for-pins"] == "for certain"


def test_what_is_only_not_known_names_the_question(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = cases[STITCHED].with_answers({"missing_metal": None})
    said = found(case, rulebook, "cold_stitch")
    (gap,) = [one for one in said.obstacles if one.rule == "stitch.gap-not-line"]
    assert gap.strength == "until it is known"
    assert gap.settled_by == ("missing_metal",)
    assert said.fewest == 1
    assert said.ways[0].changes[0].question == "missing_metal"
    assert said.ways[0].changes[0].kind == "find_out"


def test_one_answer_that_turns_it_does(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    said = found(cases[HOT], rulebook, "cold_stitch")
    assert said.fewest == 1
    (change,) = said.ways[0].changes
    assert (change.question, change.kind) == ("temperature_max", "do")
    limit = parse_measure(change.to.removeprefix("below "), "temperature")
    below = cases[HOT].with_answers({"temperature_max": parse_measure(
        f"{limit.middle - 1} degC", "temperature")})  # fmt: skip
    above = cases[HOT].with_answers({"temperature_max": parse_measure(
        f"{limit.middle + 1} degC", "temperature")})  # fmt: skip
    assert Outlook(known(below, rulebook)).method == "cold_stitch"
    assert Outlook(known(above, rulebook)).method != "cold_stitch"


def test_two_are_the_fewest_where_no_single_one_does(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = cases[STITCHED].with_answers({"missing_metal": None, "base_condition": None})
    thinking = known(case, rulebook)
    said = why_not(thinking, "cold_stitch")
    assert said is not None
    assert (said.fewest, said.sure) == (2, True)
    assert {c.question for c in said.ways[0].changes} == {"missing_metal", "base_condition"}
    what_if = WhatIf(thinking)
    for question in rulebook.questionnaire:
        for one in possible_answers(thinking, question):
            outlook = what_if.outlook({question.id: one.answer})
            assert outlook is None or outlook.method != "cold_stitch"


@pytest.mark.parametrize("topic", ["cold_stitch", "braze_weld", "patch_plate", "verdict"])
@pytest.mark.parametrize("name", [HOT, ZINC, "cracked-gear-tooth-stops-the-winch"])
def test_nothing_that_the_casting_is_shall_be_changed(
    name: str, topic: str, rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    said = why_not(known(cases[name], rulebook), topic)
    for way in said.ways if said else ():
        for change in way.changes:
            if change.question in NATURE and change.question in cases[name].answers:
                assert change.kind == "were_it"
            if change.kind == "do":
                assert change.question not in NATURE


def test_another_metal_is_only_thought_of(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    said = found(cases[ZINC], rulebook, "verdict")
    assert said.fewest is None
    assert said.ways
    assert {change.kind for way in said.ways for change in way.changes} >= {"were_it"}


def test_nobody_is_told_to_bring_in_a_hazard_or_less_care() -> None:
    assert "hazards" not in CAN_BE_DONE
    assert "guess" not in CAN_BE_DONE["wall_measured_by"]
    assert "visual_only" not in CAN_BE_DONE["crack_ends_found"]


def test_every_answer_that_can_be_changed_is_one(rulebook: Rulebook) -> None:
    for question, answers in CAN_BE_DONE.items():
        asked = rulebook.questionnaire.by_id[question]
        legal = asked.choice_ids or ("yes", "no")
        assert set(answers) <= set(legal), question


def test_why_shows_it_on_request_only(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    thinking = known(cases[HOT], rulebook)
    plain = Explainer(thinking).why("cold_stitch")
    seeking = Explainer(thinking, what_would_turn_it=True).why("cold_stitch")
    assert len(seeking.because) == len(plain.because) + 1
    assert seeking.because[-1].text == "what would turn it: one answer"
