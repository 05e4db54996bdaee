"""Pressure tests: refusals, directions, the cap by the weakest panel."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import pressure_tests as tests
from advisor.engineering import walls
from advisor.engineering.limits import OutOfRange

pressures = st.floats(0.05, 200.0)


@given(mawp=pressures, more=st.floats(0.0, 50.0))
def test_cast_iron_rule_never_falls_and_keeps_to_its_ratios(mawp: float, more: float) -> None:
    found = tests.hydrotest_cast_iron_vessel(mawp)
    assert tests.hydrotest_cast_iron_vessel(mawp + more) >= found * (1.0 - 1e-12)
    assert found / mawp * (1.0 + 1e-12) >= 2.0
    assert found / mawp <= 2.5 * (1.0 + 1e-12)


@pytest.mark.parametrize("ratio", [0.99, 10.1])
def test_stress_ratio_below_one_is_refused(ratio: float) -> None:
    for rule in (
        tests.hydrotest_vessel,
        tests.hydrotest_piping,
        tests.hydrotest_ship_vessel,
        tests.hydrotest_en_vessel,
        tests.hydrotest_european_law,
    ):
        with pytest.raises(OutOfRange, match="stress_ratio"):
            rule(10.0, ratio)


@pytest.mark.parametrize("pressure", [0.0, -1.0])
def test_no_test_without_pressure(pressure: float) -> None:
    for rule in (
        tests.hydrotest_cast_iron_vessel,
        tests.hydrotest_ductile_iron_vessel,
        tests.gas_test_piping,
    ):
        with pytest.raises(OutOfRange, match="above 0 bar"):
            rule(pressure)


@given(working=pressures, limit=pressures)
def test_casting_test_never_passes_the_panel(working: float, limit: float) -> None:
    if limit < working:
        with pytest.raises(OutOfRange, match="weakest panel reaches half its strength"):
            tests.casting_test_pressure(working, limit)
        return
    found = tests.casting_test_pressure(working, limit)
    assert found.pressure <= limit
    assert working <= found.pressure <= 1.5 * working
    assert found.full is (found.governed_by == "working_pressure")
    assert found.ratio == pytest.approx(found.pressure / working)


def test_casting_test_without_a_panel() -> None:
    assert tests.casting_test_pressure(2.0, None).full


def test_panel_limit_from_a_panel() -> None:
    """80 x 120 x 5 mm, unknown gray iron: half of 130 MPa."""
    at_one_bar = walls.panel_bounds(0.1, 120.0, 80.0, 5.0).largest
    limit = tests.panel_test_limit(130.0, at_one_bar)
    assert walls.panel_bounds(limit / 10.0, 120.0, 80.0, 5.0).largest == pytest.approx(65.0)


@given(volume=st.floats(0.1, 5000.0), pressure=st.floats(0.1, 50.0))
def test_gas_holds_far_more_than_water(volume: float, pressure: float) -> None:
    gas = tests.stored_gas_energy(volume, pressure)
    assert gas > 100.0 * tests.stored_water_energy(volume, pressure)
    assert tests.stored_gas_energy(2.0 * volume, pressure) == pytest.approx(2.0 * gas)
    assert tests.stored_gas_energy(volume, 2.0 * pressure) > 2.0 * gas


def test_no_pressure_no_energy() -> None:
    assert tests.stored_gas_energy(50.0, 0.0) == pytest.approx(0.0)
    assert tests.stored_water_energy(50.0, 0.0) == 0.0


def test_energy_limits() -> None:
    with pytest.raises(OutOfRange, match=r"energy = 2.8e\+08|energy = 280000000.0: .*use water"):
        tests.safe_distance(280e6)
    with pytest.raises(OutOfRange, match="isentropic_exponent"):
        tests.stored_gas_energy(50.0, 1.0, 1.0)


@given(energy=st.floats(0.0, 271e6))
def test_distance_is_never_below_thirty_metres(energy: float) -> None:
    found = tests.safe_distance(energy)
    assert found.least >= max(30.0, found.by_blast)


@given(pressure=st.floats(-1.0, 100.0), t1=st.floats(-40, 200), t2=st.floats(-40, 200))
def test_temperature_correction_goes_back(pressure: float, t1: float, t2: float) -> None:
    there = tests.pressure_at_temperature(pressure, t1, t2)
    assert (there >= pressure) is (t2 >= t1) or there == pytest.approx(pressure)
    if there > -1.0:
        assert tests.pressure_at_temperature(there, t2, t1) == pytest.approx(pressure, abs=1e-9)


def test_temperature_correction_refuses_vacuum_beyond_vacuum() -> None:
    with pytest.raises(OutOfRange, match="above full vacuum"):
        tests.pressure_at_temperature(-1.02, 20.0, 21.0)


@pytest.mark.parametrize(
    ("scale", "fit"), [(5.9, "too_small"), (6.0, "fits"), (16.0, "fits"), (16.1, "too_coarse")]
)
def test_gauge_limits(scale: float, fit: str) -> None:
    assert tests.gauge_fit(scale, 4.0) == fit


def test_leak_rate_needs_time() -> None:
    with pytest.raises(OutOfRange, match="time"):
        tests.decay_leak_rate(50.0, 0.01, 0.0)
    assert tests.decay_leak_rate(50.0, 0.0, 10.0) == 0.0
