"""Stress raisers: limits of validity and plain properties."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import stress_raisers
from advisor.engineering.limits import OutOfRange


@given(share=st.floats(0.001, 0.8))
def test_hole_factor(share: float) -> None:
    net = stress_raisers.hole_factor_net(share * 100.0, 100.0)
    gross = stress_raisers.hole_factor_gross(share * 100.0, 100.0)
    assert 2.0 < net < 3.0 <= gross * (1.0 + 1e-3)
    assert gross == pytest.approx(net / (1.0 - share))


def test_hole_too_large_for_the_strip() -> None:
    with pytest.raises(OutOfRange, match=r"hole_diameter/strip_width = 0.81: .*0 and 0.8"):
        stress_raisers.hole_factor_net(81.0, 100.0)


def test_hole_in_two_ways_wants_the_larger_first() -> None:
    with pytest.raises(OutOfRange, match="smaller_stress"):
        stress_raisers.hole_peak_two_ways(1.0, 2.0)
    with pytest.raises(OutOfRange, match="larger_stress"):
        stress_raisers.hole_peak_two_ways(-1.0, -2.0)


@pytest.mark.parametrize("steepness", [0.099, 20.01])
def test_fillet_limits(steepness: float) -> None:
    with pytest.raises(OutOfRange, match=r"step/radius = .*between 0.1 and 20"):
        stress_raisers.fillet_factor_tension(20.0, 4.0, 4.0 / steepness)
    with pytest.raises(OutOfRange, match=r"step = 10.0: two steps must leave"):
        stress_raisers.fillet_factor_bending(20.0, 10.0, 2.0)


def test_fillet_halves_meet_at_their_joint() -> None:
    """The two fits of the source meet at h/r = 2 within 2 %."""
    for factor in (stress_raisers.fillet_factor_tension, stress_raisers.fillet_factor_bending):
        low, high = factor(20.0, 4.0, 2.0), factor(20.0, 4.0, 1.9999)
        assert low == pytest.approx(high, rel=2e-2)


@given(radius=st.floats(0.5, 30.0), tighter=st.floats(0.5, 0.95))
def test_a_smaller_fillet_is_worse_in_tension(radius: float, tighter: float) -> None:
    step = 4.0
    if step / radius < 0.1 or step / (radius * tighter) > 20.0:
        return
    wide = stress_raisers.fillet_factor_tension(20.0, step, radius)
    tight = stress_raisers.fillet_factor_tension(20.0, step, radius * tighter)
    assert tight > wide * 0.99  # the joint of the fits has a small step


@given(step=st.floats(0.0, 20.0), wall=st.floats(3.0, 50.0), stress=st.floats(0.0, 200.0))
def test_one_sided_step(step: float, wall: float, stress: float) -> None:
    found = stress_raisers.one_sided_step_bending(step, wall, stress)
    assert found == pytest.approx(3.0 * step / wall * stress)


def test_fatigue_factor_range() -> None:
    assert stress_raisers.fatigue_notch_factor(3.0, 1.0) == 3.0
    assert stress_raisers.fatigue_notch_factor(3.0, 0.0) == 1.0
    with pytest.raises(OutOfRange, match="notch_sensitivity"):
        stress_raisers.fatigue_notch_factor(3.0, 1.1)
