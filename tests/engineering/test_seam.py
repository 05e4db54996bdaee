"""Seam: trends, limits and refusals; the numbers are in tests/published."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import expansion, seam
from advisor.engineering.limits import OutOfRange

DIAMETERS = st.floats(3, 50)
RATIOS = st.floats(0.5, 0.99)


@given(DIAMETERS, RATIOS)
def test_areas_add_up(d, ratio):
    s = ratio * d
    circle = math.pi * d * d / 4
    assert seam.area_cut_once(d, s) + seam.lens_area(d, s) == pytest.approx(circle)
    assert seam.area_cut_twice(d, s) + 2 * seam.lens_area(d, s) == pytest.approx(circle)
    equal = seam.overlap_area(d / 2, d / 2, s)
    assert seam.lens_area(d, s) == pytest.approx(equal, rel=1e-6, abs=1e-6 * circle)


@given(DIAMETERS, st.floats(0.5, 0.95), st.floats(1.01, 1.04))
def test_wider_spacing_trades_bite_for_thread(d, ratio, more):
    near, far = ratio * d, ratio * d * more
    assert seam.chord(d, far) < seam.chord(d, near)
    assert seam.thread_arc(d, far) > seam.thread_arc(d, near)
    assert seam.bearing_width(d, far) > seam.bearing_width(d, near)


@given(DIAMETERS, st.floats(0, 0.19), st.floats(0, 0.19), st.booleans())
def test_window_keeps_its_promises(d, wander, error, tight):
    window = seam.spacing_window(d, wander * d, error * d, tight)
    assert 0.6 * d - 1e-9 <= window.least <= window.preferred <= window.largest <= 0.9 * d + 1e-9
    assert seam.chord(d, window.largest) / 2 >= (wander + error) * d - 1e-6 * d
    if tight:
        assert seam.chord(d, window.largest) >= 0.5 * d - 1e-6 * d


def test_window_names_what_governs():
    assert seam.spacing_window(8).governed_by == "overlap"
    assert seam.spacing_window(8, 2, 0.5).governed_by == "neck"
    assert seam.spacing_window(8, leak_tight=True).governed_by == "tightness"


def test_pin_too_small_for_the_wander():
    with pytest.raises(OutOfRange) as error:
        seam.spacing_window(6, 2.0, 0.6)
    assert error.value.hint == "nearest feasible: a pin of 6.50 mm"
    assert seam.spacing_window(6.5, 2.0, 0.6).least == pytest.approx(3.9)


@given(st.floats(1, 500), st.floats(0.5, 40))
def test_even_division(length, spacing):
    even = seam.even_spacing(length, spacing)
    assert even <= spacing * (1 + 1e-8)
    assert even * (seam.pin_count(length, spacing) - 1) == pytest.approx(length)


def test_circles_apart_and_within():
    assert seam.overlap_area(4, 7, 11) == 0
    assert seam.overlap_area(4, 7, 3) == pytest.approx(16 * math.pi)
    assert seam.overlap_area(4, 4, 0) == pytest.approx(16 * math.pi)


def test_tension_is_zero_unless_an_undercut_was_tested():
    assert seam.seam_tension() == 0
    assert seam.seam_tension(0.0) == 0
    assert seam.seam_tension(80, -5) == 80
    with pytest.raises(OutOfRange, match="no undercut"):
        seam.seam_tension(80)
    row = seam.row_capacity(8, 1.25, 6, 8, 220, shear_factor=1.0)
    assert row.tension_per_mm == 0


def test_soft_pin_governs_the_shear():
    hard = seam.row_capacity(8, 1.25, 6, 8, 220, shear_factor=1.0, pin_yield=900)
    soft = seam.row_capacity(8, 1.25, 6, 8, 220, shear_factor=1.0, pin_yield=250)
    assert hard.governed_by == "parent_thread"
    assert soft.governed_by == "pin_thread"
    assert soft.shear_out_of_plane < hard.shear_out_of_plane


def test_leak_goes_with_the_gap_cubed():
    one, three = (seam.slot_leak(0.3, 6, gap, 8, 0.001) for gap in (0.01, 0.03))
    assert three == pytest.approx(27 * one)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: seam.chord(8, 8), "spacing"),
        (lambda: seam.chord(8, 0), "spacing"),
        (lambda: seam.chord(0, 6), "diameter"),
        (lambda: seam.area_cut_twice(8, 3.9), "spacing"),
        (lambda: seam.overlap_area(-1, 7, 8), "radius_1"),
        (lambda: seam.neck_spacing(8, 3, 1), "wander"),
        (lambda: seam.pin_count(0, 6), "length"),
        (lambda: seam.parent_thread_area(8, 8, 7), "arc"),
        (lambda: seam.pin_thread_area(8, 8, 8), "diameter"),
        (lambda: seam.shear_along(8, 6, 0, 220), "engagement"),
        (lambda: seam.splitting_force(-1), "clamp_force"),
        (lambda: seam.splitting_force(1, 90), "flank_angle"),
        (lambda: seam.clamp_force(10, 8, 0.01), "nut_factor"),
        (lambda: seam.slot_leak(0.3, 6, 1, 8, 0.001), "gap"),
        (lambda: expansion.fit_change(8, 20.5, 11.4e-6, 80), "pin_expansion"),
        (lambda: expansion.held_key_stress(0, 1e-5, 1e-5, 1), "key_modulus"),
    ],
)
def test_outside_the_validity(call, argument):
    with pytest.raises(OutOfRange) as error:
        call()
    assert error.value.argument == argument


# Mismatch


def test_open_fit_carries_no_pressure():
    elastic = {
        "pin_modulus": 205e3,
        "pin_poisson": 0.3,
        "parent_modulus": 72e3,
        "parent_poisson": 0.33,
    }
    assert expansion.contact_pressure(-0.006, 8, **elastic) == 0
    assert expansion.contact_pressure(0.006, 8, **elastic) > 0


@given(st.floats(5e-6, 25e-6), st.floats(5e-6, 25e-6), st.floats(101, 600))
def test_rule_for_hot_cycling(pin, parent, hot):
    found = expansion.expansion_match(pin, parent, temperature_max=hot, cycling=True)
    assert found.matched == (abs(pin - parent) <= 2e-6 + 1e-12)
    assert expansion.expansion_match(pin, parent, temperature_max=hot, cycling=False).matched
    assert expansion.expansion_match(pin, parent, temperature_max=100, cycling=True).matched
