"""Rim speed and spindle speed: units, directions, refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import rotation
from advisor.engineering.limits import OutOfRange


@given(diameter=st.floats(50.0, 5000.0), rpm=st.floats(0.0, 5000.0))
def test_rim_speed_is_proportional(diameter: float, rpm: float) -> None:
    found = rotation.rim_speed(diameter, rpm)
    assert rotation.rim_speed(2.0 * diameter, rpm) == pytest.approx(2.0 * found)
    assert rotation.rim_speed(diameter, 2.0 * rpm) == pytest.approx(2.0 * found)


def test_one_metre_at_sixty_turns() -> None:
    assert rotation.rim_speed(1000.0, 60.0) == pytest.approx(3.14159, rel=1e-5)


@given(speed=st.floats(0.0, 100.0))
def test_stress_goes_with_the_square(speed: float) -> None:
    found = rotation.rim_stress(speed, 7250.0)
    assert rotation.rim_stress(2.0 * speed, 7250.0) == pytest.approx(4.0 * found)


def test_ceiling_is_not_below_itself() -> None:
    assert rotation.below_rim_speed_ceiling(29.99)
    assert not rotation.below_rim_speed_ceiling(30.0)
    with pytest.raises(OutOfRange, match="speed"):
        rotation.below_rim_speed_ceiling(-1.0)
    with pytest.raises(OutOfRange, match=r"density = 7.25"):
        rotation.rim_stress(30.0, 7.25)


@given(speed=st.floats(1.0, 150.0), diameter=st.floats(1.0, 100.0))
def test_spindle_speed_gives_the_cutting_speed_back(speed: float, diameter: float) -> None:
    rpm = rotation.drilling_rpm(speed, diameter)
    assert rotation.rim_speed(diameter, rpm) * 60.0 == pytest.approx(speed)
    by_hand = rotation.tapping_rpm(speed, diameter, by_hand=True, taper_thread=True)
    assert by_hand == pytest.approx(rpm / 6.0)


def test_no_diameter_no_speed() -> None:
    with pytest.raises(OutOfRange, match=r"diameter = 0.0: must be above 0 mm"):
        rotation.drilling_rpm(30.0, 0.0)
