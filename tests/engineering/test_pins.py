"""Pins: family, seat, choice and refusal."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import (
    NEUTRAL_FAMILY,
    TAP_LEAD,
    Pin,
    PinRefused,
    aimed_diameter,
    choose_pin,
    diameter_limits,
    engaged_threads,
    fit_pin,
    least_threads,
    neutral_pin,
    pin_choices,
    sagitta,
    seat_pin,
    spotface_depth,
    tap_drill,
)

TABLE = Path(__file__).parents[2] / "knowledge" / "pins.yaml"
WALLS = st.floats(2, 110)


def test_the_table_is_the_computed_family():
    rows = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["rows"]
    assert list(rows) == [pin.thread for pin in NEUTRAL_FAMILY]
    for pin in NEUTRAL_FAMILY:
        assert rows[pin.thread] == {
            "diameter": pin.diameter,
            "pitch": pin.pitch,
            "tap_drill": tap_drill(pin.diameter, pin.pitch),
            "shoulder_height": pin.shoulder_height,
            "spotface_diameter": pin.spotface_diameter,
        }


@given(st.floats(2, 60), st.floats(0, 40), st.floats(0, 5), st.sampled_from(NEUTRAL_FAMILY))
def test_thicker_wall_never_gives_fewer_threads(wall, more, depth, pin):
    if depth >= wall:
        return
    thin = engaged_threads(wall, depth, pin.pitch)
    assert engaged_threads(wall + more, depth, pin.pitch) >= thin


@given(st.floats(2, 60), st.floats(0, 40), st.sampled_from(NEUTRAL_FAMILY))
def test_seat_keeps_the_threads_asked_for(wall, more, pin):
    if wall < 3 * pin.pitch:
        with pytest.raises(PinRefused):
            seat_pin(pin, wall)
        return
    thin = seat_pin(pin, wall)
    thick = seat_pin(pin, wall + more)
    assert thin.engaged_threads >= 3 - 1e-9
    assert thin.spotface_depth + thin.engagement == pytest.approx(wall)
    assert thin.spotface_depth == 0 or thin.spotface_depth >= 0.3 - 1e-9
    # A shoulder that first finds its seat takes 0.3 mm of thread; nothing else ever takes any.
    seat = 0.3 if (thin.shoulder, thick.shoulder) != ("none", "none") else 0.0
    assert thick.engaged_threads >= thin.engaged_threads - seat / pin.pitch - 1e-9
    if thin.shoulder != "none":
        assert thick.engaged_threads >= thin.engaged_threads - 1e-9


@given(WALLS, st.sampled_from([3.0, 4.0, 5.0]), st.sampled_from([0.0, TAP_LEAD]))
def test_choice_suits_the_wall_or_names_one_that_would(wall, threads, run_out):
    refusal = None
    try:
        choice = choose_pin(wall, threads=threads, run_out=run_out)
    except PinRefused as refused:
        refusal = refused
    if refusal is not None:
        assert refusal.nearest_wall != pytest.approx(wall)
        wall = refusal.nearest_wall
        choice = fit_pin(refusal.nearest, wall, threads=threads, run_out=run_out)
    smallest, largest = diameter_limits(wall)
    assert smallest - 1e-6 <= choice.pin.diameter <= largest + 1e-6
    assert choice.seat.engaged_threads >= threads - 1e-6


@given(st.floats(3.4, 90))
def test_nothing_nearer_the_aim_would_have_done(wall):
    choice, aim = choose_pin(wall), aimed_diameter(wall)
    off = abs(math.log(choice.pin.diameter / aim))
    for pin in NEUTRAL_FAMILY:
        try:
            fit_pin(pin, wall)
        except OutOfRange:
            continue
        assert off <= abs(math.log(pin.diameter / aim)) + 1e-9


# Practice, no published source: 0.8 t in walls up to 20 mm, half the wall or less in heavier ones;
# nothing is asked of a heavy wall that a drill three diameters deep does not give.
@pytest.mark.parametrize(
    ("wall", "thread"),
    [(10, "M8x1.25"), (20, "M16x2"), (24, "M16x2"), (30, "M16x2"), (45, "M24x3"), (60, "M30x3.5"),
     (85, "M30x3.5"), (95, "M36x4")],
)  # fmt: skip
def test_pins_grow_more_slowly_than_heavy_walls(wall, thread):
    assert choose_pin(wall).pin.thread == thread


@given(st.floats(1, 140), st.floats(0, 10))
def test_aim_lies_within_the_limits_and_never_falls(wall, more):
    assert aimed_diameter(wall) <= aimed_diameter(wall + more) + 1e-9
    smallest, largest = diameter_limits(wall)
    assert aimed_diameter(wall) <= largest
    assert wall > 90 or aimed_diameter(wall) >= smallest - 1e-9
    # A hole three diameters deep at most in a heavy wall, two in a light one.
    assert wall / smallest <= (2 if wall <= 20 else 3) + 1e-9


def test_choices_are_one_a_diameter_and_begin_with_the_chosen_one():
    choices = pin_choices(24, threads=4)
    assert choices[0] == choose_pin(24, threads=4)
    diameters = [choice.pin.diameter for choice in choices]
    assert diameters == [16, 12, 10, 20, 24, 30, 36]


def test_finer_pitch_before_smaller_diameter():
    # Seven threads of 1.25 leave the shoulder raised in a wall of 10; seven of 1 let it sink.
    assert choose_pin(10, threads=7).pin.thread == "M8x1"
    assert choose_pin(10, threads=6).pin.thread == "M8x1.25"
    # and where no M8 does, the smaller diameter follows
    assert choose_pin(10, threads=11).pin.thread == "M5x0.8"


def test_least_diameter_from_wander_or_stop_hole():
    assert choose_pin(10, least_diameter=9).pin.thread == "M10x1.5"
    with pytest.raises(OutOfRange, match="at most 48 mm"):
        choose_pin(10, least_diameter=50)


def test_curvature_and_corner():
    flat, curved = choose_pin(10), choose_pin(10, wall_radius=30)
    assert curved.seat.sagitta == pytest.approx(30 - math.sqrt(900 - 36))
    assert curved.seat.engaged_threads < flat.seat.engaged_threads
    corner = choose_pin(10, corner_radius=7)
    assert corner.pin.diameter <= 7
    assert any("bisector" in note for note in corner.notes)
    with pytest.raises(OutOfRange) as error:
        choose_pin(10, corner_radius=4)
    assert error.value.argument == "corner_radius"


def test_refusals_name_the_nearest():
    with pytest.raises(PinRefused) as thin:
        choose_pin(3.0)
    assert (thin.value.nearest.thread, thin.value.nearest_wall) == ("M5x0.8", pytest.approx(10 / 3))
    with pytest.raises(PinRefused) as thick:
        choose_pin(150)
    assert (thick.value.nearest.diameter, thick.value.nearest_wall) == (48, 144)
    with pytest.raises(PinRefused, match=r"thicker than 1.5 x wall"):
        fit_pin(neutral_pin(12, 1.75), 6)
    with pytest.raises(PinRefused, match=r"thinner than 0.5 x wall"):
        fit_pin(neutral_pin(8, 1.25), 20)
    with pytest.raises(PinRefused, match=r"thinner than a third of the wall") as slender:
        fit_pin(neutral_pin(12, 1.75), 40)
    assert slender.value.nearest_wall == 36


def test_shop_pins_overlay_the_family():
    own = Pin("M9x1", 9, 1, 3.2, 13)
    choice = choose_pin(11, family=[own])
    assert choice.pin is own
    assert choice.seat.spotface_depth == pytest.approx(1.6)


def test_threads_rise_with_pressure_and_never_fall_below_three():
    asked = [least_threads(p) for p in (0, 0.01, 1.0, 1.01, 5)]
    assert asked == sorted(asked)
    assert asked[0] == 3
    assert least_threads(0, leak_tight=True) == 4
    with pytest.raises(OutOfRange, match="at least 3 full threads"):
        choose_pin(10, threads=2.5)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: choose_pin(0), "wall"),
        (lambda: choose_pin(math.nan), "wall"),
        (lambda: choose_pin(10, family=[]), "family"),
        (lambda: engaged_threads(10, 10, 1), "spotface_depth"),
        (lambda: engaged_threads(10, -1, 1), "spotface_depth"),
        (lambda: engaged_threads(2, 1, 1, run_out=1.5), "wall"),
        (lambda: tap_drill(8, 4), "pitch"),
        (lambda: sagitta(5, 12), "diameter"),
        (lambda: spotface_depth(3, 1.25, 4), "wall"),
        (lambda: least_threads(-0.1), "pressure"),
        (lambda: seat_pin(neutral_pin(8, 1), 10, sagitta_loss=-1), "sagitta_loss"),
    ],
)
def test_outside_the_validity(call, argument):
    with pytest.raises(OutOfRange) as error:
        call()
    assert error.value.argument == argument
