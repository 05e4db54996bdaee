"""Strength in the wall: band edges and the safe side."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import strength
from advisor.engineering.limits import OutOfRange


@given(wall=st.floats(5.0, 150.0), more=st.floats(0.0, 100.0))
def test_strength_falls_with_the_wall_and_rises_with_the_grade(wall: float, more: float) -> None:
    thicker = min(wall + more, 150.0)
    for grade in (150, 200, 250):
        assert strength.strength_in_wall(grade, thicker) <= strength.strength_in_wall(grade, wall)
    assert strength.strength_in_wall(150, wall) < strength.strength_in_wall(200, wall)


@pytest.mark.parametrize("wall", [10.0, 20.0, 40.0, 80.0])
def test_a_wall_on_a_limit_counts_to_the_weaker_band(wall: float) -> None:
    at, below = strength.strength_in_wall(250, wall), strength.strength_in_wall(250, wall - 0.1)
    assert at < below


def test_in_wall_limits() -> None:
    with pytest.raises(OutOfRange, match=r"wall = 4.9: .*may be chilled"):
        strength.strength_in_wall(250, 4.9)
    with pytest.raises(OutOfRange, match=r"wall = 150.1"):
        strength.strength_in_wall(250, 150.1)
    with pytest.raises(OutOfRange, match=r"grade = 225: must be 150, 200"):
        strength.strength_in_wall(225, 20.0)
    with pytest.raises(OutOfRange, match="grade 300 is tabled from 10 mm on"):
        strength.strength_in_wall(300, 9.0)


@given(wall=st.floats(20.0, 150.0), grade=st.sampled_from(strength.GRADES))
def test_cast_on_samples_are_not_weaker_than_the_casting(wall: float, grade: int) -> None:
    assert strength.cast_on_strength(grade, wall) >= strength.strength_in_wall(grade, wall)


def test_cast_on_limits() -> None:
    with pytest.raises(OutOfRange, match=r"wall = 19.0"):
        strength.cast_on_strength(150, 19.0)
    with pytest.raises(OutOfRange, match="known for grade 150 only"):
        strength.cast_on_strength(250, 30.0, "2020")
    assert strength.cast_on_strength(150, 300.0, "2020") == 90.0


@given(known=st.floats(80.0, 400.0), at=st.floats(10.0, 80.0), wall=st.floats(10.0, 80.0))
def test_power_law_goes_there_and_back(known: float, at: float, wall: float) -> None:
    there = strength.strength_by_power_law(known, at, wall)
    assert strength.strength_by_power_law(there, wall, at) == pytest.approx(known)
    assert (there <= known) is (wall >= at) or there == pytest.approx(known)


@pytest.mark.parametrize(("at", "wall"), [(9.9, 20.0), (20.0, 81.0)])
def test_power_law_limits(at: float, wall: float) -> None:
    with pytest.raises(OutOfRange, match="between 10 and 80 mm"):
        strength.strength_by_power_law(250.0, at, wall)


@given(wall=st.floats(5.0, 150.0), year=st.one_of(st.none(), st.integers(1850, 2026)))
def test_the_assumed_strength_is_never_above_the_weakest_grade(
    wall: float, year: int | None
) -> None:
    assumed = strength.assumed_gray_iron_strength(wall, year)
    assert assumed.strength <= strength.strength_in_wall(150, wall)
    assert assumed.because


def test_assumed_strength_by_age_and_wall() -> None:
    assert strength.assumed_gray_iron_strength(19.9, 1960).strength == 130.0
    assert strength.assumed_gray_iron_strength(20.0, None).strength == 95.0
    assert strength.assumed_gray_iron_strength(80.0, None).strength == 80.0
    assert strength.assumed_gray_iron_strength(9.0, 1919).strength == 80.0
    assert strength.assumed_gray_iron_strength(9.0, 1920).strength == 130.0
    with pytest.raises(OutOfRange):
        strength.assumed_gray_iron_strength(0.0, None)


def test_class_limits() -> None:
    with pytest.raises(OutOfRange, match=r"class = 15"):
        strength.a48_minimum_strength(15.0)
