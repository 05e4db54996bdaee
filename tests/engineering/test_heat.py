"""Heat: the box of validity, directions, safe sides."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import heat
from advisor.engineering.limits import OutOfRange

cets, thicknesses = st.floats(0.2, 0.5), st.floats(10.0, 90.0)
hydrogens, inputs = st.floats(1.0, 20.0), st.floats(0.5, 4.0)


@pytest.mark.parametrize(
    ("arguments", "limit"),
    [
        ((0.19, 20.0, 5.0, 1.0), r"cet = 0.19: must lie between 0.2 and 0.5 %"),
        ((0.51, 20.0, 5.0, 1.0), r"cet = 0.51: .*no preheat of cast iron"),
        ((0.40, 9.9, 5.0, 1.0), r"thickness = 9.9: .*10 and 90 mm; 10 mm asks for more preheat"),
        ((0.40, 91.0, 5.0, 1.0), r"thickness = 91.0: .*10 and 90 mm"),
        ((0.40, 20.0, 0.9, 1.0), r"hydrogen = 0.9: .*1 and 20 ml/100 g"),
        ((0.40, 20.0, 21.0, 1.0), r"hydrogen = 21.0"),
        ((0.40, 20.0, 5.0, 0.4), r"heat_input = 0.4: .*0.5 and 4 kJ/mm"),
        ((0.40, 20.0, 5.0, 4.1), r"heat_input = 4.1"),
    ],
)
def test_method_b_box(arguments: tuple[float, float, float, float], limit: str) -> None:
    with pytest.raises(OutOfRange, match=limit):
        heat.preheat_method_b(*arguments)


def test_method_b_takes_the_corners_of_its_box() -> None:
    assert heat.preheat_method_b(0.2, 10.0, 1.0, 4.0) < heat.preheat_method_b(0.5, 90.0, 20.0, 0.5)


@given(
    cet=cets, thickness=thicknesses, hydrogen=hydrogens, heat_input=inputs, share=st.floats(0, 1)
)
def test_method_b_directions(
    cet: float, thickness: float, hydrogen: float, heat_input: float, share: float
) -> None:
    """More carbon, wall, hydrogen ask for more preheat; more heat input for less."""
    base = heat.preheat_method_b(cet, thickness, hydrogen, heat_input)
    assert heat.preheat_method_b(cet + share * (0.5 - cet), thickness, hydrogen, heat_input) >= base
    assert (
        heat.preheat_method_b(cet, thickness + share * (90 - thickness), hydrogen, heat_input)
        >= base
    )
    assert (
        heat.preheat_method_b(cet, thickness, hydrogen + share * (20 - hydrogen), heat_input)
        >= base
    )
    assert (
        heat.preheat_method_b(cet, thickness, hydrogen, heat_input + share * (4 - heat_input))
        <= base
    )
    found = heat.steel_preheat(cet, thickness, hydrogen, heat_input)
    assert found.least == max(base, 20.0)
    assert found.for_hydrogen is (base >= 20.0)


def test_richer_weld_metal_governs() -> None:
    assert heat.governing_cet(0.40, 0.30) == 0.40
    assert heat.governing_cet(0.30, 0.40) == pytest.approx(0.43)


def test_hydrogen_control_limits() -> None:
    # On a thickness limit the thicker row counts, between two groups the higher one.
    assert heat.preheat_hydrogen_control(0.15, "H2", 19.05).least_degf == 65
    assert heat.preheat_hydrogen_control(0.15, "H2", 19.0).least_degf is None
    just_above_a = heat.preheat_hydrogen_control(2.05 / 12.0, "H2", 10.0)
    assert just_above_a.group == "B"
    with pytest.raises(OutOfRange, match=r"susceptibility_index = 7.12: must be at most 7"):
        heat.preheat_hydrogen_control(0.51, "H2", 20.0)
    no_need = heat.preheat_hydrogen_control(0.1, "H1", 5.0)
    assert no_need.least_degc is None
    assert no_need.mark == "memory"


@given(pcm=st.floats(0.05, 0.45), thickness=st.floats(1.0, 200.0), more=st.floats(0.0, 0.04))
def test_hydrogen_control_never_falls(pcm: float, thickness: float, more: float) -> None:
    def degf(pcm: float, hydrogen: heat.HydrogenLevel, thickness: float) -> int:
        found = heat.preheat_hydrogen_control(pcm, hydrogen, thickness)
        return found.least_degf or 0

    assert degf(pcm + more, "H2", thickness) >= degf(pcm, "H2", thickness)
    assert degf(pcm, "H3", thickness) >= degf(pcm, "H2", thickness) >= degf(pcm, "H1", thickness)
    assert degf(pcm, "H2", thickness * 2.0) >= degf(pcm, "H2", thickness)


def test_combined_thickness_wants_two_to_four_paths() -> None:
    for paths in ([20.0], [20.0] * 5):
        with pytest.raises(OutOfRange, match="paths"):
            heat.combined_thickness(paths)


def test_heat_input_efficiency() -> None:
    with pytest.raises(OutOfRange, match=r"efficiency = 1.2"):
        heat.heat_input(20.0, 100.0, 3.0, 1.2)


@given(thickness=st.floats(1.0, 500.0))
def test_rates_are_capped_and_iron_is_slower(thickness: float) -> None:
    for shape in (True, False):
        heating = heat.steel_heating_rate(thickness, complex_shape=shape)
        cooling = heat.steel_cooling_rate(thickness, complex_shape=shape)
        assert heat.gray_iron_heating_rate(thickness) <= max(heating, 60.0)
        assert cooling <= heating <= 220.0
        assert cooling <= 111.0
    assert heat.steel_heating_rate(thickness, complex_shape=False) >= 55.0
    assert heat.gray_iron_cooling_rate(thickness) <= heat.gray_iron_heating_rate(thickness) <= 60.0


@given(thickness=st.floats(1.0, 300.0), below=st.floats(0.0, 111.0))
def test_soak_is_at_least_half_an_hour(thickness: float, below: float) -> None:
    found = heat.soak_time(thickness, below)
    assert found >= 30.0
    assert found >= heat.soak_time(thickness)


def test_soak_too_far_below_the_table() -> None:
    assert heat.soak_time(25.4, 1.0) == pytest.approx(120.0)
    with pytest.raises(OutOfRange, match=r"below_table = 112.0: must be at most 111 K"):
        heat.soak_time(25.4, 112.0)


def test_stress_relief_bounds() -> None:
    assert heat.judge_gray_iron_stress_relief(539.9) == "very_slow"
    assert heat.judge_gray_iron_stress_relief(600.1) == "costs_strength"
    with pytest.raises(OutOfRange, match=r"temperature = 761"):
        heat.judge_gray_iron_stress_relief(761.0)


def test_furnace_time_is_governed_by_power_or_by_rate() -> None:
    by_rate = heat.furnace_time(15.8, 50.0, 0.5, 580.0, 60.0, 0.0)
    by_power = heat.furnace_time(15.8, 1.0, 0.5, 580.0, 60.0, 0.0)
    assert by_rate == pytest.approx(580.0)
    assert by_power == pytest.approx(31.6 * 60.0)
    with pytest.raises(OutOfRange, match="efficiency"):
        heat.furnace_time(15.8, 1.0, 0.0, 580.0, 60.0, 0.0)


def test_cooling_that_is_already_done_takes_no_time() -> None:
    assert heat.cooling_time(100.0, 150.0, 40.0) == 0.0
    with pytest.raises(OutOfRange, match="rate"):
        heat.cooling_time(500.0, 150.0, 0.0)


def test_specific_heat_in_the_wrong_unit_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"specific_heat = 0.49"):
        heat.heating_energy(200.0, 0.49, 580.0)
