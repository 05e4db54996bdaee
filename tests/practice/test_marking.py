"""Marking is fair: what the worked cases accept earns points, and a dangerous answer never does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from advisor.advice.rulebook import Rulebook
from advisor.case.problems import InputProblem
from advisor.case.yaml_text import read_yaml
from advisor.practice.deciding import judge_verdict
from advisor.practice.decisions import NOTHING, Decision, Given, Mark
from advisor.practice.exercise import of_made
from advisor.practice.making.maker import Made
from advisor.practice.marking import (
    KINDS,
    PASSED,
    Result,
    mark_all,
    next_decision,
    read_answer,
)
from advisor.practice.planning import judge_method
from advisor.practice.sizing import judge_pin, judge_preheat, judge_threads
from advisor.practice.teaching import lesson
from advisor.practice.worked import GO_AHEAD, Worked

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.yaml"))
SAMPLE = 40  # generated cases
VERDICTS = ("repair", "repair_with_approval", "investigate", "replace", "refer")

Work = Callable[[str], Worked]


def expected(name: str) -> dict[str, Any]:
    """The decision that a worked case must come to, as its author wrote it down."""
    path = SCENARIOS / "expected" / f"{name}.yaml"
    decision: dict[str, Any] = read_yaml(path, 1024 * 1024).data["decision"]
    return decision


def take_all(worked: Worked, choose: Callable[[Decision], Given]) -> dict[str, Given]:
    """Go through an exercise, choosing each answer."""
    taken: dict[str, Given] = {}
    while (decision := next_decision(worked, taken)) is not None:
        taken[decision.id] = choose(decision)
    return taken


def mark_of(worked: Worked, decision: Decision, given: Given, taken: dict[str, Given]) -> Mark:
    kind = next(kind for kind in KINDS if kind.id == decision.id)
    return kind.mark(worked, decision, given, {**taken, decision.id: given})


def possible(decision: Decision) -> Iterator[Given]:
    """Answers to try: every single option, all of them, none; numbers far apart."""
    if decision.form == "number":
        unit = " degC" if decision.dimension == "temperature" else ""
        yield from (
            (f"{number}{unit}",) for number in (0.5, 3, 5, 6, 8, 20, 60, 150, 300, 600, 900)
        )
        return
    yield from ((option.id,) for option in decision.options)
    if decision.form == "several":
        yield tuple(option.id for option in decision.options if option.id != NOTHING)


# --- what the worked cases accept -----------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_the_decision_written_down_earns_full_points(name: str, worked: Work) -> None:
    case, wanted = worked(name), expected(name)
    right = {
        "verdict": (wanted["verdict"],),
        "approvals": tuple(wanted.get("approvals") or ()) or (NOTHING,),
        "method": (wanted["method"],),
    }
    taken = take_all(case, lambda one: right.get(one.id, (_first(one),)))
    marks = {mark.decision: mark for mark in mark_all(case, taken).marks}
    for name_ in right.keys() & marks.keys():
        assert marks[name_].standing == "right", marks[name_]
        assert marks[name_].points == marks[name_].out_of


def _first(decision: Decision) -> str:
    return decision.options[0].id if decision.options else next(possible(decision))[0]


@pytest.mark.parametrize("name", NAMES)
def test_accepted_alternatives_earn_something(name: str, worked: Work) -> None:
    case, wanted = worked(name), expected(name)
    if wanted["verdict"] not in GO_AHEAD:
        return
    for method in wanted.get("possible") or ():
        if method != "replace_part":
            found = judge_method(case, method)
            assert (found.standing, found.share > 0) == ("defensible", True), method
    pins = wanted.get("stitching")
    if pins and case.advice.stitching:
        advised = case.advice.stitching.pin.thread
        for thread in pins["threads"]:
            assert judge_pin(case, thread, advised).share > 0, thread


@pytest.mark.parametrize("name", NAMES)
def test_excluded_methods_earn_nothing(name: str, worked: Work) -> None:
    case, wanted = worked(name), expected(name)
    for method in wanted.get("ruled_out") or ():
        found = judge_method(case, method)
        assert found.standing == "dangerous"
        assert found.share <= 0


# --- danger ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_a_dangerous_answer_never_earns_anything(name: str, worked: Work) -> None:
    """Every answer to every decision, on the right way and on the way of a wrong verdict."""
    case = worked(name)
    for verdict in VERDICTS:
        taken: dict[str, Given] = {"verdict": (verdict,)}
        for decision in _decisions(case, taken):
            for given in possible(decision):
                _no_credit_for_danger(mark_of(case, decision, given, taken))


def _decisions(case: Worked, taken: dict[str, Given]) -> Iterator[Decision]:
    while (decision := next_decision(case, taken)) is not None:
        yield decision
        taken[decision.id] = next(possible(decision))


def _no_credit_for_danger(mark: Mark) -> None:
    if mark.standing == "dangerous":
        assert mark.points <= 0
    assert mark.points <= mark.out_of
    assert not Result((mark,)).passed or mark.standing != "dangerous"


@pytest.mark.parametrize("name", NAMES)
def test_to_go_ahead_where_nothing_may_is_dangerous(name: str, worked: Work) -> None:
    case = worked(name)
    advised = case.advice.verdict
    for verdict in VERDICTS:
        found = judge_verdict(verdict, advised)
        bolder = verdict in GO_AHEAD and advised not in GO_AHEAD
        bolder |= verdict == "repair" and advised == "repair_with_approval"
        assert (found.standing == "dangerous") == bolder
        if bolder:
            taken = take_all(case, _answering(verdict))
            result = mark_all(case, taken)
            assert result.dangerous
            assert not result.passed


def _answering(verdict: str) -> Callable[[Decision], Given]:
    return lambda one: (verdict,) if one.id == "verdict" else next(possible(one))


def test_a_wrong_go_ahead_costs_more_than_a_wrong_refusal() -> None:
    for advised in VERDICTS:
        for given in VERDICTS:
            found = judge_verdict(given, advised)
            if advised not in GO_AHEAD and given in GO_AHEAD:
                assert found.share < 0
            if advised in GO_AHEAD and given not in GO_AHEAD:
                assert 0 < found.share < 1
    lost_by_go_ahead = 1 - judge_verdict("repair", "refer").share
    lost_by_refusal = 1 - judge_verdict("refer", "repair").share
    assert lost_by_go_ahead > 2 * lost_by_refusal
    assert judge_verdict("repair", "repair_with_approval").standing == "dangerous"
    assert judge_verdict("repair_with_approval", "repair").standing == "defensible"


def test_danger_is_never_paid_in_generated_cases_either(
    made: tuple[Made, ...], book: Rulebook
) -> None:
    random = Random("answers")
    for one in random.sample(made, SAMPLE):
        case = Worked(of_made(one, f"rule/{one.rule.id}/test"), book, judge_only=True)
        taken = take_all(case, lambda decision: random.choice(list(possible(decision))))
        result = mark_all(case, taken)
        for mark in result.marks:
            _no_credit_for_danger(mark)
        assert 0 <= result.points <= result.out_of
        assert any(case.exercise.rule in mark.rules for mark in result.marks)
        if case.advice.verdict not in GO_AHEAD and taken["verdict"][0] in GO_AHEAD:
            assert not result.passed


def test_generated_cases_are_marked_as_fairly(made: tuple[Made, ...], book: Rulebook) -> None:
    """Full points can be had; what is left earns something, what is excluded never does."""
    for one in Random("fair").sample(made, SAMPLE):
        case = Worked(of_made(one, f"rule/{one.rule.id}/test"), book, judge_only=True)
        result = _at_best(case)
        assert result.points == result.out_of, one.rule.id
        for standing in case.advice.methods if case.goes_ahead else ():
            if standing.method != "replace_part":
                found = judge_method(case, standing.method)
                assert (found.share > 0) == (standing.standing != "ruled_out"), one.rule.id
        for verdict in VERDICTS:
            taken: dict[str, Given] = {"verdict": (verdict,)}
            for decision in _decisions(case, taken):
                for given in possible(decision):
                    _no_credit_for_danger(mark_of(case, decision, given, taken))


# --- the whole of an exercise ---------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_full_points_can_be_had(name: str, worked: Work) -> None:
    """Some answer to each decision earns all of its points."""
    result = _at_best(worked(name))
    assert [mark for mark in result.marks if mark.standing != "right"] == []
    assert result.points == result.out_of
    assert result.passed


def _at_best(case: Worked) -> Result:
    """The marks of the best answers."""
    taken: dict[str, Given] = {"verdict": (case.advice.verdict,)}
    while (decision := next_decision(case, taken)) is not None:
        taken[decision.id] = _best(case, decision, taken)
    return mark_all(case, taken)


def _best(case: Worked, decision: Decision, taken: dict[str, Given]) -> Given:
    if decision.form == "several":
        given = tuple(
            option.id
            for option in decision.options
            if mark_of(case, decision, (option.id,), taken).standing in ("right", "defensible")
            or mark_of(case, decision, (option.id,), taken).points > 0
        )
        singles = [(option.id,) for option in decision.options]
        tries = [tuple(id_ for id_ in given if id_ != NOTHING), *singles]
        return max(tries, key=lambda one: mark_of(case, decision, one, taken).points)
    tries = list(possible(decision))
    if decision.form == "number":
        unit = " degC" if decision.dimension == "temperature" else ""
        step = 5 if unit else 0.25
        tries = [(f"{number * step}{unit}",) for number in range(200)]
    return max(tries, key=lambda one: mark_of(case, decision, one, taken).points)


def test_decisions_that_were_passed_by_count(worked: Work) -> None:
    case = worked("engine-block-frost-crack-in-water-jacket-is-stitched")
    refused = mark_all(case, take_all(case, _answering("refer")))
    missed = [mark for mark in refused.marks if mark.standing == "missed"]
    assert {"method", "pin", "inspections"} <= {mark.decision for mark in missed}
    assert all(mark.points == 0 for mark in missed)
    assert not refused.passed
    assert not refused.dangerous


def test_passing_takes_enough_points_and_no_danger() -> None:
    def mark(points: float, standing: Any = "right") -> Mark:
        return Mark("x", "x", "", "", standing, points, 10.0, "")

    assert Result((mark(10 * PASSED),)).passed
    assert not Result((mark(10 * PASSED - 0.1),)).passed
    assert not Result((mark(10.0), mark(0.0, "dangerous"))).passed
    assert Result((mark(-10.0, "dangerous"), mark(4.0))).points == 0


def test_questions_are_asked_alike_every_time(worked: Work, book: Rulebook) -> None:
    name = "press-frame-fatigue-crack-gets-pins-and-keys"
    case = worked(name)
    again = Worked(case.exercise, book, judge_only=True)
    taken: dict[str, Given] = {"verdict": (case.advice.verdict,)}
    for decision in _decisions(case, taken):
        earlier = {key: given for key, given in taken.items() if key != decision.id}
        assert next_decision(again, earlier) == decision


# --- numbers --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "there", "standing"),
    [
        (6.0, 6.2, "right"), (6.7, 6.2, "right"), (7.1, 6.2, "defensible"),
        (9.0, 6.2, "dangerous"), (4.0, 6.2, "careful"),
    ],
)  # fmt: skip
def test_threads(said: float, there: float, standing: str) -> None:
    assert judge_threads(said, there).standing == standing


@pytest.mark.parametrize(
    ("said", "least", "most", "standing"),
    [
        (150, 150, 200, "right"), (200, 150, 200, "right"), (201, 150, 200, "dangerous"),
        (140, 150, 200, "defensible"), (100, 150, 200, "dangerous"), (20, 20, 65, "right"),
        (600, 550, None, "right"), (700, 550, None, "defensible"),
    ],
)  # fmt: skip
def test_preheat(said: float, least: float, most: float | None, standing: str) -> None:
    assert judge_preheat(said, least, most).standing == standing


# --- answers as they are typed --------------------------------------------------------------------


def test_answers_are_read_by_number_and_by_name(worked: Work) -> None:
    case = worked("engine-block-frost-crack-in-water-jacket-is-stitched")
    verdict = next_decision(case, {})
    assert verdict is not None
    assert read_answer(verdict, "1") == ("repair",)
    assert read_answer(verdict, "repair-with") == ("repair_with_approval",)
    assert read_answer(verdict, " REFER ") == ("refer",)
    several = next_decision(case, {"verdict": ("repair",)})
    assert several is not None
    assert several.form == "several"
    assert len(read_answer(several, "1, 2,2")) == 2
    assert read_answer(several, "nothing") == (NOTHING,)


@pytest.mark.parametrize("text", ["", "0", "6", "rep", "maybe", "1 2"])
def test_wrong_answers_say_what_would_be_right(text: str, worked: Work) -> None:
    verdict = next_decision(worked(NAMES[0]), {})
    assert verdict is not None
    with pytest.raises(InputProblem) as wrong:
        read_answer(verdict, text)
    assert wrong.value.expected


# --- what is taught -------------------------------------------------------------------------------


def test_a_lesson_says_what_to_see_what_follows_why_and_from_where(worked: Work) -> None:
    case = worked("boiler-section-is-refused-by-law")
    taught = lesson(case.thinking, "authority.boiler-law")
    rule = case.book.rule_by_id["authority.boiler-law"]
    assert any("boiler law" in sign for sign in taught.see)
    assert "refer" in taught.follows
    assert taught.because == rule.because
    assert taught.agree == rule.authority
    assert len(taught.sources) == len(rule.sources)
    assert all("[" in source for source in taught.sources)  # how each was seen


def test_every_mark_that_is_not_right_has_something_to_teach(worked: Work) -> None:
    for name in NAMES[:8]:
        case = worked(name)
        for verdict in VERDICTS:
            for mark in mark_all(case, take_all(case, _answering(verdict))).marks:
                if mark.standing in ("wrong", "dangerous") and mark.decision != "approvals":
                    assert mark.says or mark.rules, mark
                for rule in mark.rules:
                    assert lesson(case.thinking, rule).because
