"""Knowing less never makes the advice bolder.

Every answer of every case is taken out, one at a time: of the worked cases, and of cases made up
at random. Nothing may go ahead that did not before; and where the work goes ahead with the answer
and without it, no approval, inspection, hold point, caution or number that is asked for may go.

In the worked cases there is no exception. In the cases made up at random some answers are exempt
that no plan waits for (``NOT_WAITED_FOR``). Left open they say nothing, and given they mostly speak
against: a file that skates, a crack that was seen to move. To be safe without them every plan would
have to wait for a laboratory, so the rules read them only where they are known; taking such a
finding back takes its objection back. Nothing else is exempt.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

import pytest

from advisor.advice.doubt.what_if import WhatIf, undisturbed
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import think
from advisor.case.model import Case
from advisor.reasoning.conditions import Known, leaves

from .boldness import bolder
from .plausible import plausible_case

NOT_WAITED_FOR: Mapping[str, str] = {
    **dict.fromkeys(
        ("magnet", "chip_test", "ring_test", "file_test", "spark_test", "fracture_face",
         "heat_checks", "ultrasonic_velocity"),
        "a finding at the bench",
    ),
    **dict.fromkeys(
        ("hardness", "composition", "tensile_strength", "material_grade", "cast_year",
         "material_evidence"),
        "what is known of the metal beyond its family",
    ),
    "ultrasonic_set_velocity": "without it the wall is planned thinner, and what fits may be more",
    "crack_moves": "seen only with the service load on",
    "nominal_stress": "takes an engineer's reckoning",
    "temperature_min": "adds a doubt in deep frost only",
    "strength_target": "the owner's wish where no load acts; with a load it is waited for",
}  # fmt: skip
MADE_UP = 500
BATCH = 50


def taken_out(case: Case, rulebook: Rulebook, exempt: Collection[str] = ()) -> Iterator[str]:
    """Where the advice gets bolder when one answer is taken out of a case."""
    known = think(case, rulebook, judge_only=True)
    what_if = WhatIf(known)
    with undisturbed():
        for question in case.answers:
            less = what_if.think({question: None})
            assert less is not None, f"rules disagree without {question}"
            if question not in exempt:
                for fault in bolder(less, known):
                    yield f"{case.reference} without {question}: {fault}"


def test_worked_cases(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    faults = [fault for case in cases.values() for fault in taken_out(case, rulebook)]
    assert faults == []


@pytest.mark.parametrize("start", range(0, MADE_UP, BATCH))
def test_made_up_cases(rulebook: Rulebook, start: int) -> None:
    seeds = range(start, start + BATCH)
    faults = [
        f
        for seed in seeds
        for f in taken_out(plausible_case(rulebook, seed), rulebook, NOT_WAITED_FOR)
    ]
    assert faults == []


def test_many_of_the_made_up_cases_go_ahead(rulebook: Rulebook) -> None:
    going = [
        seed
        for seed in range(100)
        if think(plausible_case(rulebook, seed), rulebook, judge_only=True).word("go_ahead")
        == "yes"
    ]
    assert len(going) >= 10, "else nothing is tried"


def test_only_what_rules_read_where_it_is_known_is_exempt(rulebook: Rulebook) -> None:
    """An exemption that no rule needs is none."""
    guarded = {
        leaf.fact for rule in rulebook.rules for leaf in leaves(rule.when)
        if isinstance(leaf, Known)
    }  # fmt: skip
    made_of = {"composition": {"magnesium_content", "phosphorus", "carbon"}}
    for question in NOT_WAITED_FOR:
        assert guarded & {question, *made_of.get(question, ())}, question
