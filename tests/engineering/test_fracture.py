"""Fracture: limits of validity, inverse pairs, directions."""

from __future__ import annotations

from collections.abc import Callable
from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import fracture
from advisor.engineering.limits import OutOfRange

toughnesses = st.floats(5.0, 120.0)
stresses = st.floats(1.0, 300.0)
cracks = st.floats(1.0, 300.0)


@pytest.mark.parametrize(
    ("factor", "crack", "limit"),
    [
        (fracture.centre_crack_factor, 40.1, "half_crack/width = 0.80"),
        (fracture.centre_crack_factor_tada, 50.0, "half_crack = 50.0: must be shorter than 50 mm"),
        (fracture.edge_crack_factor, 100.0, "crack = 100.0: must be shorter than 100 mm"),
        (fracture.edge_crack_factor_polynomial, 60.1, "crack/width = 0.60"),
        (fracture.edge_crack_bending_factor, 120.0, "must be shorter"),
        (fracture.double_edge_crack_factor, 50.0, "must be shorter"),
    ],
)
def test_factors_refuse_what_they_do_not_cover(
    factor: Callable[[float, float], float], crack: float, limit: str
) -> None:
    with pytest.raises(OutOfRange, match=limit):
        factor(crack, 100.0)


def test_short_cracks_have_the_known_limits() -> None:
    """1 inside a wall, 1.12 at an edge."""
    assert fracture.centre_crack_factor(0.01, 100.0) == pytest.approx(1.0, rel=1e-6)
    assert fracture.edge_crack_factor(0.001, 100.0) == pytest.approx(1.122, rel=1e-3)
    assert fracture.edge_crack_bending_factor(0.001, 100.0) == pytest.approx(1.122, rel=1e-3)
    assert fracture.double_edge_crack_factor(0.001, 100.0) == pytest.approx(1.122, rel=1e-3)
    assert fracture.hole_two_cracks_factor(10.0, 0.001) == pytest.approx(3 * 1.122, rel=3e-2)


@given(x=st.floats(0.01, 0.79))
def test_edge_is_worse_than_centre(x: float) -> None:
    assert fracture.edge_crack_factor(x * 50.0, 100.0) > fracture.centre_crack_factor(
        x * 50.0, 100.0
    )


@given(x=st.floats(0.01, 0.6))
def test_the_two_edge_forms_agree(x: float) -> None:
    tada = fracture.edge_crack_factor(x * 100.0, 100.0)
    assert fracture.edge_crack_factor_polynomial(x * 100.0, 100.0) == pytest.approx(
        tada, rel=1.5e-2
    )


@given(q=st.floats(0.01, 2.0))
def test_two_cracks_from_a_hole_are_worse_than_one(q: float) -> None:
    two, one = (
        fracture.hole_two_cracks_factor(5.0, 5.0 * q),
        fracture.hole_one_crack_factor(5.0, 5.0 * q),
    )
    assert two > one * 0.99  # the two fits cross within their error at short cracks


def test_long_cracks_from_a_hole_go_over_to_one_crack() -> None:
    with pytest.raises(OutOfRange, match="one long crack"):
        fracture.hole_two_cracks_factor(5.0, 10.1)
    with pytest.raises(OutOfRange, match=r"crack = 10\.0"):
        fracture.hole_as_long_crack(5.0, 10.0, both_sides=True)
    fit = fracture.stress_intensity(fracture.hole_two_cracks_factor(5.0, 10.0), 10.0, 10.0)
    half = fracture.hole_as_long_crack(5.0, 10.001, both_sides=True)
    assert fracture.stress_intensity(1.0, 10.0, half) == pytest.approx(fit, rel=3e-2)
    assert fracture.hole_as_long_crack(5.0, 12.0, both_sides=False) == 11.0


@pytest.mark.parametrize(
    ("arguments", "limit"),
    [
        ((9.0, 10.0, 10.0, 100.0, 90.0), "depth/wall = 0.9: .*treat a deeper crack as through"),
        ((1.0, 10.0, 10.0, 100.0, 90.0), "depth/half_length = 0.1"),
        ((4.0, 10.0, 10.0, 20.0, 90.0), "half_length/half_width = 0.5: must be below 0.5"),
        ((4.0, 10.0, 10.0, 100.0, 91.0), "angle = 91.0"),
        ((0.0, 10.0, 10.0, 100.0, 90.0), "depth = 0.0"),
    ],
)
def test_surface_crack_limits(arguments: tuple[float, ...], limit: str) -> None:
    with pytest.raises(OutOfRange, match=limit):
        fracture.surface_crack_factor(*arguments)


def test_surface_crack_forms_meet_at_the_half_circle() -> None:
    below = fracture.surface_crack_factor(4.0, 4.0 * 1.00001, 10.0, 100.0, 90.0)
    above = fracture.surface_crack_factor(4.0, 4.0 * 0.99999, 10.0, 100.0, 90.0)
    assert below == pytest.approx(above, rel=1e-3)


@given(toughness=toughnesses, crack=cracks, factor=st.floats(0.5, 5.0))
def test_running_stress_turns_intensity_round(
    toughness: float, crack: float, factor: float
) -> None:
    stress = fracture.running_stress(toughness, factor, crack)
    assert fracture.stress_intensity(factor, stress, crack) == pytest.approx(toughness)


@given(toughness=toughnesses, stress=stresses)
def test_critical_length_in_a_wide_wall(toughness: float, stress: float) -> None:
    half = fracture.critical_half_length(toughness, stress)
    assert fracture.stress_intensity(1.0, stress, half) == pytest.approx(toughness)
    found = fracture.critical_length(toughness, stress, lambda a: 1.0, 2.0 * half)
    assert found == pytest.approx(half, rel=1e-9)


@given(toughness=toughnesses, stress=stresses, width=st.floats(10.0, 1000.0))
def test_critical_length_in_a_strip(toughness: float, stress: float, width: float) -> None:
    """Never longer than in a wide wall, and on the safe side of the toughness."""
    found = fracture.critical_centre_crack(toughness, stress, width)
    edge = fracture.critical_edge_crack(toughness, stress, width)
    if found is not None:
        assert found <= fracture.critical_half_length(toughness, stress)
        intensity = fracture.stress_intensity(
            fracture.centre_crack_factor(found, width), stress, found
        )
        assert intensity == pytest.approx(toughness, rel=1e-6)
        assert edge is not None
        assert edge <= found
    else:
        longest = 0.4 * width
        largest = fracture.stress_intensity(
            fracture.centre_crack_factor(longest * 0.999, width), stress, longest
        )
        assert largest < toughness * 1.01


def test_a_crack_that_does_not_run_is_none_and_not_a_number() -> None:
    assert fracture.critical_centre_crack(50.0, 10.0, 100.0) is None


def test_negative_stress_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"stress = -1.0: must be 0 MPa or more"):
        fracture.stress_intensity(1.0, -1.0, 10.0)


@given(force=st.floats(0.0, 5000.0), half=cracks, place=st.floats(0.0, 0.99))
def test_bridging_grows_towards_the_ends(force: float, half: float, place: float) -> None:
    near = fracture.bridging_relief(force, half, place * half)
    assert near >= fracture.bridging_relief(force, half, 0.0)
    with pytest.raises(OutOfRange, match="must be inside the crack"):
        fracture.bridging_relief(force, half, half)


@given(load=st.floats(0.0, 1.0), more=st.floats(0.0, 1.0))
def test_assessment_curve_falls(load: float, more: float) -> None:
    higher = min(1.0, load + more)
    first = fracture.assessment_curve(load, 140.0, 110e3)
    assert fracture.assessment_curve(higher, 140.0, 110e3) <= first <= 1.0


def test_two_criteria() -> None:
    assert fracture.two_criteria(5.0, 15.0, 40.0, 140.0, 110e3).inside
    assert not fracture.two_criteria(15.0, 15.0, 40.0, 140.0, 110e3).inside
    beyond_yield = fracture.two_criteria(0.0, 15.0, 141.0, 140.0, 110e3)
    assert not beyond_yield.inside
    assert beyond_yield.limit == 0.0
    with pytest.raises(OutOfRange, match="treat as failed"):
        fracture.assessment_curve(1.01, 140.0, 110e3)


def test_net_section() -> None:
    assert fracture.net_section_stress(30.0, 100.0, 0.0) == 30.0
    with pytest.raises(OutOfRange, match="must be shorter than the width 100 mm"):
        fracture.net_section_stress(30.0, 100.0, 100.0)


def test_plane_strain_takes_the_smallest_size() -> None:
    assert fracture.is_plane_strain(15.0, 140.0, 60.0, 140.0, 29.0)
    assert not fracture.is_plane_strain(15.0, 140.0, 60.0, 140.0, 28.0)
    assert not fracture.is_plane_strain(15.0, 140.0, 20.0, 140.0, 50.0)


@given(half=cracks, radius=st.floats(0.5, 50.0))
def test_keyhole_is_between_a_hole_and_a_sharp_crack(half: float, radius: float) -> None:
    """Above the ellipse with the same length and root radius."""
    found = fracture.keyhole_factor(half, radius)
    assert found > 1.0 + 2.0 * sqrt((half + radius) / radius)
    assert found > 3.0


@given(stress=st.floats(1.0, 30.0), half=cracks, limit=st.floats(100.0, 400.0))
def test_static_stop_hole_meets_its_limit(stress: float, half: float, limit: float) -> None:
    if limit / stress <= 3.12:
        return
    radius = fracture.stop_hole_static(stress, half, limit)
    assert stress * fracture.keyhole_factor(half, radius) == pytest.approx(limit, rel=1e-6)


@pytest.mark.parametrize("stress", [36.0, 110.0, 200.0])
def test_static_stop_hole_that_cannot_be_large_enough(stress: float) -> None:
    with pytest.raises(OutOfRange, match=r"no hole alone.*below 35.4 MPa"):
        fracture.stop_hole_static(stress, 30.0, 110.0)


@given(stress_range=st.floats(1.0, 60.0), half=cracks, strength=st.floats(200.0, 700.0))
def test_fatigue_stop_hole_meets_its_criterion(
    stress_range: float, half: float, strength: float
) -> None:
    radius = fracture.stop_hole_fatigue(stress_range, half, strength)
    found = stress_range * sqrt(pi * (half + radius) / radius)
    assert found == pytest.approx(fracture.FATIGUE_STOP_HOLE_CONSTANT * sqrt(strength), rel=1e-9)


def test_fatigue_stop_hole_limits() -> None:
    with pytest.raises(OutOfRange, match=r"no hole works from 93.7 MPa on"):
        fracture.stop_hole_fatigue(94.0, 30.0, 250.0)
    with pytest.raises(OutOfRange, match="one for steel"):
        fracture.stop_hole_fatigue(20.0, 30.0, 100.0)
