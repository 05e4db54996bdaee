"""Margins: just below and just above the printed value two decisions really stand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import pytest

from advisor.advice.doubt.margins import margins
from advisor.advice.doubt.spread import spreads
from advisor.advice.doubt.what_if import STEPPED, Outlook
from advisor.advice.model import Margin
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case, Hole
from advisor.case.quantities import Measure, parse_measure

TEN = (
    "aluminium-gearbox-case-is-tig-welded",
    "broken-stove-door-is-fusion-welded-with-iron-rod",
    "cast-steel-bracket-is-arc-welded",
    "crack-beside-an-old-weld-is-repaired-with-consent",
    "ductile-iron-bracket-is-welded-cool-with-nickel",
    "engine-block-frost-crack-in-water-jacket-is-stitched",
    "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins",
    "malleable-pipe-fitting-is-braze-welded",
    "press-frame-fatigue-crack-gets-pins-and-keys",
    "temporary-radiator-seep-is-bridged-with-resin",
)
BESIDE = 0.006
"""How far beside the printed value is looked, as a part of it; halving goes on to less."""


def decided(thinking: Thinking) -> tuple[object, ...]:
    """Verdict, method, consent, inspections, and the sizes that change in jumps."""
    outlook = Outlook(thinking)
    sizes = frozenset(
        (name, value)
        for name, value in outlook.sizes
        if name in STEPPED or name.startswith("insert")
    )
    consent = (outlook.approvals, outlook.inspections) if outlook.goes_ahead else ()
    return (*outlook.decision, *consent, sizes)


def moved(case: Case, margin: Margin, value: float) -> Case:
    """The case with the number of a margin set to a value."""
    if margin.fact.startswith("holes["):
        at = int(margin.fact.split("[")[1].split("]")[0]) - 1
        holes = case.value("holes")
        assert isinstance(holes, tuple)
        distance = Measure(value, value, "length")
        changed = [
            replace(hole, distance=distance) if index == at else hole
            for index, hole in enumerate(holes)
            if isinstance(hole, Hole)
        ]
        return case.with_answers({"holes": tuple(changed)})
    answer = case.value(margin.fact)
    assert isinstance(answer, Measure)
    return case.with_answers({margin.fact: Measure(value, value, answer.dimension)})


def sides(margin: Margin, whole: bool) -> tuple[float, float]:
    """A value on the near side of a flip, and one on its far side."""
    flip, sign = margin.flips_at.value, 1 if margin.direction == "above" else -1
    if whole:
        return flip - sign, flip
    step = max(abs(flip) * BESIDE, 2e-4)
    return flip - sign * step, flip + sign * step


@pytest.mark.parametrize("name", TEN)
def test_the_decision_is_another_on_either_side(
    name: str, rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = cases[name]
    found = margins(think(case, rulebook, judge_only=True))
    assert found
    for margin in found:
        dimension = _dimension(case, margin)
        here = moved(case, margin, margin.value.value)
        near, far = sides(margin, dimension in ("number", "year"))
        near = _not_past(near, margin)
        now, just_before, just_after = (
            decided(think(one, rulebook, judge_only=True))
            for one in (here, moved(case, margin, near), moved(case, margin, far))
        )
        assert just_before == now, margin
        assert just_after != now, margin
        assert margin.changes, margin


def _dimension(case: Case, margin: Margin) -> str:
    answer = case.value(margin.fact)
    return answer.dimension if isinstance(answer, Measure) else "length"


def _not_past(near: float, margin: Margin) -> float:
    """The near side never lies on the other side of the answer itself."""
    value = margin.value.value
    return max(near, value) if margin.direction == "above" else min(near, value)


def test_a_rule_of_the_base_or_a_formula_stands_behind_each(
    rulebook: Rulebook, worked: Callable[[str], Any]
) -> None:
    for name in TEN:
        for margin in worked(name).advice.margins:
            formula = margin.rule in ("seam", "keys", "inserts") or margin.rule in (
                rulebook.vocabulary
            )
            assert margin.rule in rulebook.rule_by_id or formula, margin


def test_limits_of_rules_are_printed_as_they_stand(worked: Callable[[str], Any]) -> None:
    advice = worked("engine-block-frost-crack-in-water-jacket-is-stitched").advice
    flips = {(m.fact, m.direction): m.flips_at.value for m in advice.margins}
    assert flips["hardness", "above"] == 300  # rule conflict.hard-for-gray
    assert flips["pressure", "below"] == 0.5  # rule contents.liquid-under-pressure


def test_what_the_part_is_leaves_nothing_to_a_number(worked: Callable[[str], Any]) -> None:
    assert worked("boiler-section-is-refused-by-law").advice.margins == ()


def test_the_nearest_flip_comes_first(worked: Callable[[str], Any]) -> None:
    for name in TEN:
        found = worked(name).advice.margins
        inside = [margin.inside_uncertainty for margin in found]
        assert inside == sorted(inside, reverse=True)


# --- spread -------------------------------------------------------------------------------------


def wall(case: Case, text: str, by: str) -> Case:
    return case.with_answers(
        {"wall_thickness": parse_measure(text, "length"), "wall_measured_by": by}
    )


def test_a_wall_between_two_pins_is_not_firm(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    case = wall(cases["crack-beside-an-old-weld-is-repaired-with-consent"], "9 mm .. 16 mm",
                "calliper")  # fmt: skip
    (spread,) = [one for one in spreads(think(case, rulebook, judge_only=True))
                 if one.fact == "true_wall"]  # fmt: skip
    assert not spread.firm
    assert spread.at_low != spread.at_high
    assert spread.planned_for == spread.at_low, "the plan takes the thin end"
    assert spread.question == "wall_thickness"
    assert spread.how


def test_a_wall_measured_closely_is_firm(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    case = wall(cases["crack-beside-an-old-weld-is-repaired-with-consent"], "14.6 mm", "calliper")
    assert all(one.firm for one in spreads(think(case, rulebook, judge_only=True)))


@pytest.mark.parametrize(
    ("by", "question"), [("drawing", "wall_measured_by"), ("guess", "wall_measured_by")]
)
def test_poor_evidence_of_the_wall_is_assumed_and_named(
    by: str, question: str, rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    from advisor.advice.procedure import assumptions

    case = wall(cases["crack-beside-an-old-weld-is-repaired-with-consent"], "14 mm", by)
    thinking = think(case, rulebook, judge_only=True)
    (found,) = [one for one in assumptions(thinking) if one.fact == "true_wall"]
    assert found.question == question
    assert thinking.facts["true_wall"].origin == "formula"
    (spread,) = [one for one in spreads(thinking) if one.fact == "true_wall"]
    assert spread.question == question


def test_a_gauge_that_nobody_set_is_an_assumption(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    from advisor.advice.procedure import assumptions

    case = wall(cases["engine-block-frost-crack-in-water-jacket-is-stitched"], "9 mm", "ultrasonic")
    case = case.with_answers({"ultrasonic_set_velocity": None})
    thinking = think(case, rulebook, judge_only=True)
    (found,) = [one for one in assumptions(thinking) if one.fact == "true_wall"]
    assert found.question == "ultrasonic_set_velocity"
