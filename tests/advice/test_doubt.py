"""What to find out next: only what can change something, the most decisive first."""

from __future__ import annotations

import random
import statistics
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

import pytest

from advisor.advice.doubt.possible_answers import possible_answers
from advisor.advice.doubt.questions import next_questions, open_questions, pulls
from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import UNKNOWN, Case

STITCHED = "engine-block-frost-crack-in-water-jacket-is-stitched"
WELDED = "cast-steel-bracket-is-arc-welded"
BY_LAW = "boiler-section-is-refused-by-law"
# Goes ahead, is replaced, is referred, in about the shares of all worked cases; those take ten
# minutes: python -m tests.benchmarks.question_order
ASKED_ABOUT = (
    "aluminium-gearbox-case-is-tig-welded",
    BY_LAW,
    WELDED,
    "crack-beside-an-old-weld-is-repaired-with-consent",
    STITCHED,
    "temporary-radiator-seep-is-bridged-with-resin",
    "white-iron-crusher-liner-is-replaced",
    "zinc-fountain-figure-goes-to-a-conservator",
)


def without(case: Case, *questions: str) -> Case:
    return case.with_answers(dict.fromkeys(questions))


def known(case: Case, rulebook: Rulebook) -> Thinking:
    return think(case, rulebook, judge_only=True)


# --- what is listed -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "question",
    ["base_condition", "failure_consequence", "crack_ends_found", "governed_by", "processes",
     "crack_location", "temperature_max"],
)  # fmt: skip
def test_what_a_repair_waits_for_comes_first(
    question: str, rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = without(cases[STITCHED], question)
    thinking = known(case, rulebook)
    assert not Outlook(thinking).goes_ahead
    first = next_questions(thinking)[0]
    assert first.id == question
    assert any("stitch cold" in says for says in first.decides), first.decides
    assert first.how
    assert first.effort is not None


def test_each_listed_question_really_changes_something(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    """Tried anew from the start, with the others as they stand: this case goes ahead already."""
    case = cases[STITCHED]
    now = Outlook(known(case, rulebook))
    listed = next_questions(now.thinking)
    assert listed
    for one in listed:
        question = rulebook.questionnaire.by_id[one.id]
        answers = possible_answers(now.thinking, question)
        then = (Outlook(known(case.with_answers({one.id: a.answer}), rulebook)) for a in answers)
        assert any(now.differs(outlook) for outlook in then), one.id
        assert one.decides, one.id


def test_what_is_not_listed_changes_no_decision(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    """However the other open questions are answered; a sample of a thousand ways."""
    case = without(cases[STITCHED], "load", "distortion", "site", "crack_cause", "cause_removed")
    thinking = known(case, rulebook)
    open_now = sorted(open_questions(thinking))
    listed = {one.id for one in next_questions(thinking)}
    rng = random.Random(5)
    by_id = rulebook.questionnaire.by_id
    answers = {name: possible_answers(thinking, by_id[name]) for name in open_now}
    what_if = WhatIf(thinking)
    for name in (name for name in open_now if name not in listed and answers[name]):
        for _ in range(25):
            others = {
                other: rng.choice(answers[other]).answer
                for other in open_now
                if other != name and answers[other] and rng.random() < 0.5
            }
            outlooks = [what_if.outlook({**others, name: one.answer}) for one in answers[name]]
            assert len({outlook.decision for outlook in outlooks if outlook}) <= 1, (name, others)


def test_a_case_settled_by_law_asks_nothing_that_could_free_it(
    worked: Callable[[str], Any],
) -> None:
    advice = worked(BY_LAW).advice
    assert not any("repair" in says or "stitch" in says
                   for one in advice.next_questions for says in one.decides)  # fmt: skip


def test_unknown_is_listed_like_unanswered(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    left_out = without(cases[STITCHED], "base_condition", "wall_thickness")
    unknown = left_out.with_answers({"base_condition": UNKNOWN, "wall_thickness": UNKNOWN})
    assert next_questions(known(left_out, rulebook)) == next_questions(known(unknown, rulebook))


def test_nobody_asks_again_what_nobody_can_answer(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = without(cases[STITCHED], "base_condition")
    thinking = known(case, rulebook)
    assert "base_condition" in pulls(thinking)
    assert "base_condition" not in pulls(thinking, ("base_condition",))


def test_ordinary_cases_go_ahead_on_their_own(rulebook: Rulebook) -> None:
    """Their answers are tried first, so they have to lead somewhere."""
    assert {case.reference: Outlook(known(case, rulebook)).decision
            for case in rulebook.ordinary} == {
        "ordinary": ("repair", "cold_stitch"),
        "loaded": ("repair_with_approval", "cold_stitch_with_keys"),
    }  # fmt: skip


def test_a_case_without_answers_says_what_a_go_ahead_hangs_on(rulebook: Rulebook) -> None:
    thinking = known(replace(rulebook.ordinary[0], answers={}), rulebook)
    assert Outlook(thinking).verdict == "investigate"
    first = [one.id for one in next_questions(thinking)][:6]
    assert {"governed_by", "part_kind", "fluid", "material"} <= set(first)


# --- in words -----------------------------------------------------------------------------------


def test_a_measured_value_is_told_by_the_value_at_which_it_turns(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    thinking = known(without(cases[STITCHED], "wall_thickness"), rulebook)
    (wall,) = [one for one in next_questions(thinking) if one.id == "wall_thickness"]
    assert wall.decides[0].startswith("below ")
    assert wall.decides[-1].startswith("above ")
    assert any("pins" in says for says in wall.decides)


def test_values_are_told_in_the_readers_units(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    thinking = known(without(cases[STITCHED], "temperature_max"), rulebook)
    by_id = {one.id: one for one in next_questions(thinking, "us")}
    assert any("degF" in says for says in by_id["temperature_max"].decides)


def test_choices_that_end_the_matter_are_named(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    thinking = known(without(cases[STITCHED], "fluid"), rulebook)
    (fluid,) = [one for one in next_questions(thinking) if one.id == "fluid"]
    assert any("steam" in says and says.endswith(": refer") for says in fluid.decides)


# --- the order ----------------------------------------------------------------------------------


def asked(case: Case, rulebook: Rulebook, order: Callable[[Thinking], Iterator[str]]) -> int:
    """How many questions until verdict and method are final and stay so."""
    final = Outlook(known(case, rulebook)).decision
    now = replace(case, answers={})
    decisions = [Outlook(known(now, rulebook)).decision]
    while True:
        question = next(order(known(now, rulebook)), None)
        if question is None:
            break
        answer = case.value(question)
        now = now.with_answers({question: UNKNOWN if answer is None else answer})
        decisions.append(Outlook(known(now, rulebook)).decision)
    assert decisions[-1] == final
    settled = len(decisions) - 1
    while settled and decisions[settled - 1] == final:
        settled -= 1
    return settled


def by_decisiveness(thinking: Thinking) -> Iterator[str]:
    unknown = {name for name, a in thinking.case.answers.items() if a.value is UNKNOWN}
    found = pulls(thinking, unknown, words=False)
    return (name for name, pull in found.items() if pull.steers)


def by_file(thinking: Thinking) -> Iterator[str]:
    questions = (question.id for question in thinking.rulebook.questionnaire)
    return (name for name in questions if name not in thinking.case.answers)


def test_half_as_many_questions_as_in_the_order_of_the_file(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    ours = [asked(cases[name], rulebook, by_decisiveness) for name in ASKED_ABOUT]
    file = [asked(cases[name], rulebook, by_file) for name in ASKED_ABOUT]
    assert statistics.mean(ours) <= statistics.mean(file) / 2, (ours, file)


def test_what_is_counted_turns_at_whole_numbers(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    thinking = known(without(cases[STITCHED], "crack_branches"), rulebook)
    (branches,) = [one for one in next_questions(thinking) if one.id == "crack_branches"]
    assert branches.decides[0].startswith("below 3: ")  # rule crack.many-branches
    assert branches.decides[-1].startswith("3 and more: ")
