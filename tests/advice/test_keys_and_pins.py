"""Keys and pins in the advice: one design, in the order of its own steps; rows beside an edge."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

import pytest

from advisor.advice.advise import read_off
from advisor.advice.model import Advice, KeysDesign, Stitching
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import think
from advisor.case.model import Case
from advisor.case.quantities import Measure

FRAME = "press-frame-fatigue-crack-gets-pins-and-keys"
SADDLE = "ship-engine-bearing-saddle-gets-keys-with-the-surveyor"
VOLUTE = "pump-volute-in-inches-gets-pins-and-keys"
JACKET = "engine-block-frost-crack-in-water-jacket-is-stitched"
GEARBOX = "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins"


def seam_of(advice: Advice) -> tuple[Stitching, KeysDesign]:
    assert advice.stitching is not None
    assert advice.stitching.keys is not None
    return advice.stitching, advice.stitching.keys


def length(value: float) -> Measure:
    return Measure(value, value, "length")


@pytest.mark.parametrize("name", [FRAME, SADDLE])
def test_pins_stop_at_the_necks_where_keys_come_first(
    name: str, worked: Callable[[str], Any]
) -> None:
    stitching, keys = seam_of(worked(name).advice)
    assert keys.order == "keys_first"
    d, b = stitching.pin.major_diameter.value, keys.section.neck_width.value
    # d <= S - b + 2 bite, with a tenth of the neck on each side at most.
    assert d <= keys.spacing.value - b + 0.2 * b + 0.01
    for place in keys.places:
        gaps = [abs(pin.at.value - place.at.value) - (b + d) / 2 for pin in stitching.layout]
        taken = sum(max(0.0, -gap) for gap in gaps)
        assert place.neck_left.value == pytest.approx(b - taken, abs=0.02)
        assert place.neck_left.value >= keys.neck_left.value - 0.01
        assert list(place.pins) == [
            pin.n for pin, gap in zip(stitching.layout, gaps, strict=True) if gap < 0.01
        ]
    assert any("stops at the flanks" in note for note in stitching.notes)


def test_slots_cut_set_pins_where_the_wall_is_tight(worked: Callable[[str], Any]) -> None:
    stitching, keys = seam_of(worked(VOLUTE).advice)
    assert keys.order == "pins_first"
    assert keys.neck_left == keys.section.neck_width
    d, b = stitching.pin.major_diameter.value, keys.section.neck_width.value
    for place in keys.places:
        under = {p.n for p in stitching.layout if abs(p.at.value - place.at.value) < (b + d) / 2}
        assert under
        assert under <= set(place.pins)
    # No stretch of the crack is without a pin: the row is whole.
    ats = [pin.at.value for pin in stitching.layout]
    assert max(b - a for a, b in pairwise(ats)) < 0.9 * d
    assert any("are cut through them" in note for note in stitching.notes)


@pytest.mark.parametrize("name", [FRAME, SADDLE, VOLUTE])
def test_order_of_the_design_is_the_order_of_the_steps(
    name: str, worked: Callable[[str], Any]
) -> None:
    advice: Advice = worked(name).advice
    _, keys = seam_of(advice)
    steps = [step.id for step in advice.steps]
    drilled = steps.index("drill_first_pass")
    if keys.order == "keys_first":
        assert steps.index("keys_first") < drilled
        assert "keys_after" not in steps
    else:
        assert steps.index("pins_under_keys") < drilled < steps.index("keys_after")
        assert steps.index("next_passes") < steps.index("keys_after")
        assert "keys_first" not in steps


@pytest.mark.parametrize("name", [FRAME, SADDLE, VOLUTE])
def test_strength_is_that_of_what_is_left(name: str, worked: Callable[[str], Any]) -> None:
    """Statics by hand: neck that is left, times depth and yield, in a wall free to bend."""
    done = worked(name)
    stitching, keys = seam_of(done.advice)
    wall = done.thinking.values["true_wall"].low
    tensile = done.thinking.values["wall_strength"].low
    crack = done.thinking.values["crack_length"].high
    pull = keys.neck_left.value * keys.depth.value * 350.0  # yield of the neutral strip (practice)
    eccentric = (wall - keys.depth.value) / keys.depth.value
    if done.thinking.word("wall_free_to_bend") != "no":
        pull *= math.sqrt(1 + eccentric**2) - eccentric
    share = max(keys.spacing.value, crack / keys.count)
    most = pull / (wall * share * tensile)
    assert stitching.strength.restored_fraction <= most + 0.001
    assert stitching.strength.restored_fraction >= done.thinking.values["strength_wanted"].low
    assert "counted beside" in stitching.strength.basis


def test_facts_of_the_row_are_those_of_the_row_that_is_set(worked: Callable[[str], Any]) -> None:
    done = worked(FRAME)
    stitching, _ = seam_of(done.advice)
    assert done.thinking.values["pin_count"].high == len(stitching.layout) == stitching.pin.count
    mark = next(step.do for step in done.advice.steps if step.id == "mark_row")
    assert f"the {stitching.pin.count} pins" in mark


def test_keys_are_refused_where_pins_leave_them_no_room(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    # In 94 mm of wall no pin is thin enough to stand beside the necks of the family.
    case = cases[FRAME].with_answers(
        {"wall_thickness": length(95), "wall_thickness_max": length(95), "crack_length": length(70)}
    )
    thinking = think(case, rulebook, judge_only=True)
    assert thinking.word("keys_feasible") == "no"
    assert thinking.word("keys_carry_demand") == "no"
    assert "leave each other no room" in thinking.facts["keys_feasible"].working
    assert "cold_stitch_with_keys" in thinking.members("methods_ruled_out").certain


def test_keys_that_pins_weaken_too_much_do_not_carry(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = cases[FRAME].with_answers(
        {
            "wall_thickness": length(40),
            "wall_thickness_max": length(40),
            "crack_length": length(300),
            "material_grade": "EN-GJL-350",
        }
    )
    thinking = think(case, rulebook, judge_only=True)
    assert thinking.word("keys_feasible") == "yes"
    assert thinking.word("keys_carry_demand") == "no"
    assert "beside the pins that fit" in thinking.facts["keys_carry_demand"].working


@pytest.mark.parametrize("edge", [0.0, 3.0, 7.0, 12.0])
def test_jacket_crack_near_an_edge_is_carried_on_to_it(
    edge: float, rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    case = cases[JACKET].with_answers({"nearest_edge": length(edge)})
    advice = read_off(think(case, rulebook, judge_only=True))
    assert advice.recommended == "cold_stitch"
    assert advice.stitching is not None
    last = advice.stitching.layout[-1]
    crack = case.value("crack_length")
    assert isinstance(crack, Measure)
    beyond = last.at.value + advice.stitching.pin.major_diameter.value / 2 - crack.high
    assert beyond > edge
    said = " | ".join(advice.stitching.notes)
    assert "overlaps the edge; clamp a block" in said
    assert ("carried on to it" in said) == (edge > 0)


def test_notes_have_sensible_digits_and_no_end_in_a_bore(worked: Callable[[str], Any]) -> None:
    stitching = worked(GEARBOX).advice.stitching
    assert stitching is not None
    said = [note for note in stitching.notes if "visible end" in note]
    assert said == [
        "pin 1: set 10 mm past the visible end because the true end is uncertain; "
        "prove the end before drilling"
    ]
