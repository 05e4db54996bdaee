"""Carbon equivalents: irons and steels are never mixed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering import carbon_equivalent as ce
from advisor.engineering.limits import OutOfRange

carbons, silicons, phosphoruses = st.floats(1.8, 4.5), st.floats(0.0, 4.0), st.floats(0.0, 2.0)


@given(carbon=carbons, silicon=silicons, phosphorus=phosphoruses)
def test_saturation_and_equivalent_agree_on_the_class(
    carbon: float, silicon: float, phosphorus: float
) -> None:
    equivalent = ce.iron_carbon_equivalent(carbon, silicon, phosphorus)
    saturation = ce.degree_of_saturation(carbon, silicon, phosphorus)
    if ce.eutectic_class(min(equivalent, 6.0)) == "hypoeutectic":
        assert saturation < 1.0
    if equivalent > 4.305:
        assert saturation > 1.0


@given(carbon=carbons, silicon=silicons)
def test_the_forms_differ(carbon: float, silicon: float) -> None:
    """CE and CEL are the same only without silicon and phosphorus."""
    plain = ce.iron_carbon_equivalent(carbon, silicon, 0.0)
    liquidus = ce.liquidus_carbon_equivalent(carbon, silicon, 0.0)
    assert liquidus <= plain


@pytest.mark.parametrize(
    ("arguments", "limit"),
    [
        ((1.7, 2.0, 0.1), "carbon = 1.7: .*use the steel equivalents"),
        ((3.3, 4.1, 0.1), "silicon = 4.1"),
        ((3.3, 2.0, -0.1), "phosphorus = -0.1"),
    ],
)
def test_iron_composition_limits(arguments: tuple[float, float, float], limit: str) -> None:
    for formula in (
        ce.iron_carbon_equivalent,
        ce.degree_of_saturation,
        ce.liquidus_carbon_equivalent,
    ):
        with pytest.raises(OutOfRange, match=limit):
            formula(*arguments)


def test_eutectic_itself() -> None:
    assert ce.eutectic_class(4.3) == "eutectic"
    assert ce.eutectic_class(4.29) == "hypoeutectic"
    assert ce.eutectic_class(4.31) == "hypereutectic"
    with pytest.raises(OutOfRange):
        ce.eutectic_class(0.45)


STEEL = {
    "carbon": 0.25,
    "manganese": 0.9,
    "chromium": 0.2,
    "molybdenum": 0.1,
    "nickel": 0.2,
    "copper": 0.2,
}


@pytest.mark.parametrize("carbon", [2.01, 3.4])
def test_steel_formulas_refuse_an_iron(carbon: float) -> None:
    iron = {**STEEL, "carbon": carbon}
    with pytest.raises(OutOfRange, match="this is a cast iron") as caught:
        ce.steel_ce_iiw(**iron, vanadium=0.0)
    assert caught.value.hint is not None
    assert "no steel preheat applies" in caught.value.hint
    with pytest.raises(OutOfRange, match="this is a cast iron"):
        ce.steel_cet(**iron)
    with pytest.raises(OutOfRange, match="this is a cast iron"):
        ce.steel_pcm(**iron, vanadium=0.0, silicon=0.5, boron=0.0)


def test_steel_content_limits() -> None:
    with pytest.raises(OutOfRange, match=r"manganese = -0\.1"):
        ce.steel_cet(**{**STEEL, "manganese": -0.1})


@given(more=st.floats(0.01, 2.0), element=st.sampled_from(sorted(set(STEEL) - {"carbon"})))
def test_every_alloying_element_raises_every_equivalent(more: float, element: str) -> None:
    richer = {**STEEL, element: STEEL[element] + more}
    assert ce.steel_ce_iiw(**richer, vanadium=0.0) > ce.steel_ce_iiw(**STEEL, vanadium=0.0)
    assert ce.steel_cet(**richer) > ce.steel_cet(**STEEL)
    rest = {"vanadium": 0.0, "silicon": 0.5, "boron": 0.0}
    assert ce.steel_pcm(**richer, **rest) > ce.steel_pcm(**STEEL, **rest)
