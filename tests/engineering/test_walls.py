"""Wall stress: limits of validity, continuity, direction."""

from __future__ import annotations

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import walls
from advisor.engineering.limits import OutOfRange

lengths = st.floats(5.0, 500.0)
pressures = st.floats(0.01, 20.0)


def test_thin_form_is_refused_for_a_thick_wall() -> None:
    assert walls.thin_cylinder_hoop(1.0, 50.0, 10.0) == pytest.approx(5.5)
    with pytest.raises(OutOfRange, match=r"wall = 10.1: .*= 10 mm; use the thick cylinder"):
        walls.thin_cylinder_hoop(1.0, 50.0, 10.1)


def test_radius_must_lie_in_the_wall() -> None:
    with pytest.raises(OutOfRange, match=r"radius = 61.0: must lie between 50 and 60 mm"):
        walls.thick_cylinder_hoop(1.0, 50.0, 10.0, 61.0)


@given(pressure=pressures, radius=lengths)
def test_the_two_cylinder_forms_meet_within_one_per_cent(pressure: float, radius: float) -> None:
    thin = walls.cylinder(pressure, radius, 0.2 * radius)
    thick = walls.cylinder(pressure, radius, 0.2001 * radius)
    assert (thin.form, thick.form) == ("thin", "thick")
    assert thin.hoop_inner == pytest.approx(thick.hoop_inner, rel=1e-2)


@given(pressure=pressures, radius=lengths, share=st.floats(0.01, 3.0))
def test_cylinder_balance(pressure: float, radius: float, share: float) -> None:
    """Hoop and radial stress of Lame add up to the same everywhere; inner radial is -p."""
    wall, outer = share * radius, radius * (1.0 + share)
    inner_hoop = walls.thick_cylinder_hoop(pressure, radius, wall, radius)
    outer_hoop = walls.thick_cylinder_hoop(pressure, radius, wall, outer)
    inner_radial = walls.thick_cylinder_radial(pressure, radius, wall, radius)
    assert inner_radial == pytest.approx(-pressure, rel=1e-6)
    assert inner_hoop + inner_radial == pytest.approx(outer_hoop, rel=1e-6)
    axial = walls.thick_cylinder_axial(pressure, radius, wall)
    assert outer_hoop == pytest.approx(2.0 * axial, rel=1e-6)
    assert walls.cylinder(pressure, radius, wall).largest >= axial


def test_circular_plate_refuses_thick_and_soft_plates() -> None:
    with pytest.raises(OutOfRange, match=r"wall = 9.0: .*radius/5 = 8 mm"):
        walls.circular_plate(0.3, 40.0, 9.0, "clamped", 110e3, 0.26)
    with pytest.raises(OutOfRange, match=r"deflection = .*half the wall = 0.5 mm"):
        walls.circular_plate(1.0, 100.0, 1.0, "hinged", 110e3, 0.26)


def test_circular_plate_hinged_is_worse_than_clamped() -> None:
    clamped = walls.circular_plate(0.3, 40.0, 5.0, "clamped", 110e3, 0.26)
    hinged = walls.circular_plate(0.3, 40.0, 5.0, "hinged", 110e3, 0.26)
    assert hinged.largest > clamped.largest == clamped.edge
    assert hinged.deflection > clamped.deflection


@given(ratio=st.floats(1.0, 20.0), more=st.floats(0.0, 5.0))
def test_coefficients_never_fall_with_the_side_ratio(ratio: float, more: float) -> None:
    for edge in ("clamped", "hinged"):
        short = walls.plate_coefficients(ratio, edge)  # type: ignore[arg-type]
        long = walls.plate_coefficients(ratio + more, edge)  # type: ignore[arg-type]
        assert long.edge >= short.edge
        assert long.centre >= short.centre
        assert long.deflection >= short.deflection


@given(ratio=st.floats(1.0, 20.0))
def test_coefficients_stay_below_the_strip(ratio: float) -> None:
    clamped = walls.plate_coefficients(ratio, "clamped")
    hinged = walls.plate_coefficients(ratio, "hinged")
    assert clamped.edge <= 0.504
    assert hinged.centre <= 0.75
    assert clamped.centre < clamped.edge


@pytest.mark.parametrize("ratio", [0.99, 0.0, -1.0, nan])
def test_side_ratio_below_one_is_refused(ratio: float) -> None:
    with pytest.raises(OutOfRange, match="long side first"):
        walls.plate_coefficients(ratio, "hinged")


def test_panel_limits() -> None:
    with pytest.raises(OutOfRange, match=r"short_side = 24.0: .*= 25 mm; a span of 5 walls"):
        walls.panel_bounds(0.3, 100.0, 24.0, 5.0)
    with pytest.raises(OutOfRange, match=r"long_side = 70.0: must be at least .* 80 mm"):
        walls.panel_bounds(0.3, 70.0, 80.0, 5.0)
    with pytest.raises(OutOfRange, match="deflection"):
        walls.rectangular_plate(1.0, 400.0, 400.0, 3.0, "hinged", 110e3)


@given(
    stress=st.floats(1.0, 400.0),
    ratio=st.one_of(st.floats(1.0, 8.0), st.just(inf)),
    span_in_walls=st.floats(5.0, 60.0),
    wall=st.floats(2.0, 60.0),
)
def test_panel_pressure_turns_panel_bounds_round(
    stress: float, ratio: float, span_in_walls: float, wall: float
) -> None:
    short = span_in_walls * wall * (1.0 + 1e-9)
    pressure = walls.panel_pressure(stress, ratio * short, short, wall)
    bounds = walls.panel_bounds(pressure, ratio * short, short, wall)
    assert bounds.largest == pytest.approx(stress, rel=1e-9)
    clamped = walls.panel_pressure(stress, ratio * short, short, wall, "clamped")
    hinged = walls.panel_pressure(stress, ratio * short, short, wall, "hinged")
    assert pressure == min(clamped, hinged)


@given(rise=st.floats(-800.0, 800.0))
def test_thermal_stress_is_proportional_and_signed(rise: float) -> None:
    bar = walls.held_bar_stress(110e3, 11.4e-6, rise)
    plate = walls.held_plate_stress(110e3, 11.4e-6, rise, 0.26)
    assert bar == pytest.approx(1.254 * rise)
    assert abs(plate) >= abs(bar)
    assert walls.gradient_stress(110e3, 11.4e-6, rise, 0.26) == pytest.approx(abs(plate) / 2.0)


def test_expansion_given_in_millionths_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"expansion = 11.4: .*1e-6 each\?"):
        walls.held_bar_stress(110e3, 11.4, 100.0)


@given(k=st.floats(1.01, 5.0), rise=st.floats(1.0, 300.0))
def test_hot_bore_lies_about_the_plate_value(k: float, rise: float) -> None:
    faces = walls.hot_bore_stress(110e3, 11.4e-6, rise, 0.26, k)
    plate = walls.gradient_stress(110e3, 11.4e-6, rise, 0.26)
    assert faces.inner < -plate < 0.0 < faces.outer < plate


def test_hot_bore_refuses_a_flat_wall() -> None:
    with pytest.raises(OutOfRange, match="gradient_stress"):
        walls.hot_bore_stress(110e3, 11.4e-6, 50.0, 0.26, 1.0)
