"""Test pressures, stored energy and leak rates against codes and independent gas dynamics.

Marks: read, read2 (a copy), memory; "computed" is an independent calculation.
"""

from __future__ import annotations

import pytest
from fluids.compressible import isentropic_work_compression
from scipy.constants import R

from advisor.engineering import pressure_tests as tests


# US UFC 3-430-07, 6-1.1 (read): 2 x above 30 psi, 2.5 x but at most 60 psi below; in bar.
@pytest.mark.parametrize(
    ("mawp", "expected"), [(10.0, 20.0), (1.8, 4.137), (1.5, 3.75), (1.0, 2.5), (2.1, 4.2)]
)
def test_cast_iron_vessel(mawp: float, expected: float) -> None:
    assert tests.hydrotest_cast_iron_vessel(mawp) == pytest.approx(expected, rel=1e-3)


def test_cast_iron_plateau_is_level_and_joins_both_sides() -> None:
    # UFC 3-430-07 (read): 60/2.5 = 24 psi to 30 psi (computed).
    low, high = 24.0 * tests.PSI, 30.0 * tests.PSI
    for mawp in (low, 0.5 * (low + high), high):
        assert tests.hydrotest_cast_iron_vessel(mawp) == pytest.approx(4.137, rel=1e-3)


def test_ratios_of_the_codes() -> None:
    assert tests.hydrotest_vessel(10.0, 1.0) == pytest.approx(13.0)  # UG-99(b), slides (read2)
    assert tests.hydrotest_ductile_iron_vessel(10.0) == pytest.approx(20.0)  # UCD-99 (memory)
    assert tests.hydrotest_piping(10.0, 1.0) == pytest.approx(15.0)  # B31.3, 345.4.2 (read)
    assert tests.gas_test_piping(10.0) == pytest.approx(11.0)  # B31.3, 345.5 (read)
    assert tests.hydrotest_ship_vessel(10.0, 1.0) == pytest.approx(15.0)  # 46 CFR 54.10-10 (read)


# EN 13445-5, 10.2.3.3 and directive 2014/68/EU, Annex I 7.4 (memory): larger of 1.25 with the
# stress ratio and 1.43; they cross at a ratio of 1.144.
@pytest.mark.parametrize(("ratio", "expected"), [(1.0, 14.3), (1.144, 14.3), (1.2, 15.0)])
def test_european_rules(ratio: float, expected: float) -> None:
    assert tests.hydrotest_en_vessel(10.0, ratio) == pytest.approx(expected, rel=1e-3)
    assert tests.hydrotest_european_law(10.0, ratio) == pytest.approx(expected, rel=1e-3)


# ASME PCC-2, article 501, appendix II (read2): litres, bar gauge, kJ, g TNT, metres, J of water.
STORED = [
    (50.0, 3.0, 16.3, 3.8, 3.9, 1.0),
    (50.0, 10.0, 68.1, 16.0, 6.3, 11.4),
    (200.0, 10.0, 272.0, 64.0, 10.1, 45.0),
    (1000.0, 5.0, 600.0, 141.0, 13.1, 57.0),
]


@pytest.mark.parametrize(("volume", "gauge", "gas", "tnt", "blast", "water"), STORED)
def test_stored_energy(
    volume: float, gauge: float, gas: float, tnt: float, blast: float, water: float
) -> None:
    energy = tests.stored_gas_energy(volume, gauge)
    assert energy / 1000.0 == pytest.approx(gas, rel=4e-3)
    assert tests.tnt_equivalent(energy) * 1000.0 == pytest.approx(tnt, rel=1e-2)
    assert tests.safe_distance(energy).by_blast == pytest.approx(blast, abs=0.06)
    assert tests.stored_water_energy(volume, gauge) == pytest.approx(water, rel=3e-2)


def test_stored_energy_of_the_worked_case() -> None:
    # 0.05 m3, 1.0 MPa gauge: 68 078 J (computed); with the printed exponent 0.286 68 125 J.
    exact = tests.stored_gas_energy(50.0, 10.0)
    printed = 2.5 * 1.101e6 * 0.05 * (1.0 - (0.101 / 1.101) ** 0.286)
    assert exact == pytest.approx(68_078.0, rel=1e-5)
    assert printed == pytest.approx(68_125.0, rel=1e-5)
    assert exact == pytest.approx(printed, rel=1e-3)


# The open package fluids (read); 1/k from the closed system (computed).
@pytest.mark.parametrize(("volume", "gauge"), [(50.0, 10.0), (500.0, 1.0), (1.0, 100.0)])
def test_stored_energy_against_isentropic_work(volume: float, gauge: float) -> None:
    """The fluids package gives the work per mole of an open flow; a closed one takes 1/k of it."""
    absolute = (gauge + 1.01) * 1e5
    work = isentropic_work_compression(T1=293.15, k=1.4, Z=1.0, P1=absolute, P2=1.01e5, eta=1.0)
    moles = absolute * volume / 1000.0 / (R * 293.15)
    assert tests.stored_gas_energy(volume, gauge) == pytest.approx(-work * moles / 1.4, rel=1e-6)


def test_jacket_as_air_and_as_water() -> None:
    # By hand (computed): 50 L at 2.8 bar, about 15 kJ against 0.9 J, 17 000 to 1.
    air = tests.stored_gas_energy(50.0, 2.8)
    water = tests.stored_water_energy(50.0, 2.8)
    assert air == pytest.approx(15_000.0, rel=2e-2)
    assert water == pytest.approx(0.9, rel=2e-2)
    assert air / water == pytest.approx(17_000.0, rel=2e-2)


def test_distance_steps() -> None:
    # PCC-2 (read2): 30 m up to 135.5 MJ, 60 m up to 271 MJ, never below the blast distance.
    assert tests.safe_distance(68_078.0).least == 30.0
    assert tests.safe_distance(135.5e6).by_energy == 30.0
    assert tests.safe_distance(136e6).by_energy == 60.0
    assert tests.safe_distance(135.5e6).least > 60.0


def test_leak_rate_by_decay() -> None:
    # By hand (computed): 50 L, 1 kPa in 10 min: 0.83 mbar L/s, about 50 cm3/min.
    rate = tests.decay_leak_rate(50.0, 0.010, 10.0)
    assert rate == pytest.approx(0.83, abs=5e-3)
    assert tests.leak_volume_flow(rate) == pytest.approx(50.0, rel=2e-2)


def test_one_degree_changes_the_reading() -> None:
    # Federal guide specification (read), by hand: 1.3 kPa a degree at 2.8 bar.
    change = tests.pressure_at_temperature(2.8, 20.0, 21.0) - 2.8
    assert change * 100.0 == pytest.approx(1.3, abs=0.01)


# ASME V, T-1031 (read): 1.5 to 4 times the test pressure; 0 to 8 bar suits 4 bar.
@pytest.mark.parametrize(
    ("scale", "test", "fit"),
    [(40.0, 4.0, "too_coarse"), (8.0, 4.0, "fits"), (16.0, 4.0, "fits"), (5.0, 4.0, "too_small")],
)
def test_gauge(scale: float, test: float, fit: str) -> None:
    assert tests.gauge_fit(scale, test) == fit
