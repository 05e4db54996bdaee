"""Measurements: refusals, band edges, the safe side."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import measuring
from advisor.engineering.limits import OutOfRange

velocities = st.floats(2000.0, 7000.0)


@given(reading=st.floats(1.0, 100.0), set_to=velocities, true=velocities)
def test_thickness_and_error_tell_the_same(reading: float, set_to: float, true: float) -> None:
    thickness = measuring.true_thickness(reading, set_to, true)
    assert thickness * (1.0 + measuring.thickness_error(set_to, true)) == pytest.approx(reading)
    assert (thickness <= reading) is (true <= set_to) or thickness == pytest.approx(reading)


def test_velocity_in_the_wrong_unit_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"true_velocity = 4.6: .*2000 and 7000 m/s"):
        measuring.true_thickness(10.0, 5900.0, 4.6)
    with pytest.raises(OutOfRange, match="reading"):
        measuring.true_thickness(0.0, 5900.0, 4600.0)


@pytest.mark.parametrize(
    ("velocity", "found"),
    [
        (4999.9, "flake_iron"),
        (5000.0, "unclear"),
        (5200.0, "compacted_iron"),
        (5420.0, "nodular_or_compacted_iron"),
        (5650.0, "nodular_iron"),
        (5651.0, "unclear"),
        (5850.0, "steel"),
        (5951.0, "unclear"),
    ],
)
def test_velocity_band_edges(velocity: float, found: str) -> None:
    assert measuring.velocity_class(velocity) == found


@pytest.mark.parametrize("velocity", [3499.0, 6001.0])
def test_velocity_of_another_metal(velocity: float) -> None:
    with pytest.raises(OutOfRange, match="measure again"):
        measuring.velocity_class(velocity)


def test_nodularity_edges_take_the_lower_band() -> None:
    assert measuring.nodularity(5600.0).high == 90.0
    assert measuring.nodularity(5500.0).low == 75.0
    assert measuring.nodularity(5499.9).low == 0.0
    with pytest.raises(OutOfRange, match="faster is steel"):
        measuring.nodularity(5900.0)


@pytest.mark.parametrize(
    ("hardness", "grade"),
    [(169.0, "G2500"), (188.0, "G1800"), (300.1, "unknown"), (99.0, "unknown")],
)
def test_hardness_outside_its_grade(hardness: float, grade: measuring.SaeGrade) -> None:
    with pytest.raises(OutOfRange, match="hardness"):
        measuring.gray_iron_strength_from_hardness(hardness, grade)


@given(hardness=st.floats(217.0, 229.0))
def test_unknown_grade_is_the_weakest(hardness: float) -> None:
    unknown = measuring.gray_iron_strength_from_hardness(hardness)
    for grade in ("G2500", "G3000", "G3500", "G4000"):
        known = measuring.gray_iron_strength_from_hardness(hardness, grade)  # type: ignore[arg-type]
        assert unknown.middle <= known.middle
        assert known.low < known.middle < known.high


@pytest.mark.parametrize("material", ["gray_iron", "ductile_iron", "stainless_cast_steel", ""])
def test_steel_rule_takes_steel_only(material: str) -> None:
    with pytest.raises(OutOfRange, match="material = "):
        measuring.steel_strength_from_hardness(200.0, material)


def test_relative_hardness_limits() -> None:
    harder = measuring.gray_iron_strength_relative_hardness(200.0, 1.2)
    assert harder < measuring.gray_iron_strength_relative_hardness(200.0, 0.8)
    for hardness, relative in ((200.0, 0.7), (200.0, 1.3), (110.0, 1.0)):
        with pytest.raises(OutOfRange):
            measuring.gray_iron_strength_relative_hardness(hardness, relative)


@given(temperature=st.floats(5.0, 52.0))
def test_dwell_is_longer_in_the_cold_and_for_service_cracks(temperature: float) -> None:
    plain = measuring.penetrant_dwell(temperature, service_crack=False)
    service = measuring.penetrant_dwell(temperature, service_crack=True)
    assert 5.0 <= plain <= 10.0
    assert 30.0 <= service <= 60.0
    assert measuring.dwell_fit(service, temperature, service_crack=True) == "fits"
    assert measuring.dwell_fit(plain, temperature, service_crack=True) == "too_short"


@pytest.mark.parametrize("temperature", [4.9, 52.1])
def test_dwell_temperature_limits(temperature: float) -> None:
    with pytest.raises(OutOfRange, match="qualify the technique"):
        measuring.penetrant_dwell(temperature, service_crack=True)


def test_dwell_and_reading_edges() -> None:
    assert measuring.penetrant_dwell(10.0, service_crack=False) == 5.0
    assert measuring.dwell_fit(120.0, 20.0, service_crack=True) == "fits"
    assert measuring.developer_reading_fit(60.0) == "fits"
    with pytest.raises(OutOfRange):
        measuring.developer_reading_fit(-1.0)


def test_band_of_an_uncalibrated_reading() -> None:
    band = measuring.uncalibrated_thickness(10.0)
    assert (band.low, band.middle, band.high) == (8.0, 10.0, 12.0)
