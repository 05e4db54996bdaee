"""Bolts: reading of class names, choice of rows, properties and limits of validity."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering.bolts import (
    BoltClass,
    bolt_class,
    head_pressure,
    measured_scatter,
    nut_factor,
    preload_from_torque,
    proof_load,
    read_class_name,
    torque_for_preload,
    vdi_preload,
    vdi_torque,
)
from advisor.engineering.limits import OutOfRange

ROWS = [
    BoltClass("ISO 898-1", "8.8", 0.0, 16.0, 800.0, 640.0, 580.0),
    BoltClass("ISO 898-1", "8.8", 16.0, 39.0, 830.0, 660.0, 600.0),
    BoltClass("SAE J429", "5", 6.3, 25.4, 827.37, 634.32, 586.05),
    BoltClass("SAE J429", "5", 25.4, 38.1, 723.95, 558.48, 510.21),
]


@pytest.mark.parametrize(
    ("text", "standard", "name"),
    [
        ("8.8", "ISO 898-1", "8.8"),
        ("12,9", "ISO 898-1", "12.9"),
        ("class 10.9", "ISO 898-1", "10.9"),
        ("Property class 8.8", "ISO 898-1", "8.8"),
        ("ISO 898-1 class 8.8", "ISO 898-1", "8.8"),
        ("SAE grade 5", "SAE J429", "5"),
        ("grade 8", "SAE J429", "8"),
        ("Gr. 2", "SAE J429", "2"),
        ("SAE J429 grade 5", "SAE J429", "5"),
        ("J429 Grade 5", "SAE J429", "5"),
        ("SAE 5", "SAE J429", "5"),
    ],
)
def test_class_names(text: str, standard: str, name: str) -> None:
    assert read_class_name(text) == (standard, name)


@pytest.mark.parametrize("text", ["", "strong", "8", "88", "A2-70", "grade 8.8.8", "8.8\n8.8"])
def test_unknown_class_names_are_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="SAE grade 5"):
        read_class_name(text)


@pytest.mark.parametrize(
    ("standard", "name", "diameter", "proof"),
    [
        ("ISO 898-1", "8.8", 16.0, 580.0),
        ("ISO 898-1", "8.8", 16.001, 600.0),
        ("ISO 898-1", "8.8", 39.0, 600.0),
        ("SAE J429", "5", 25.4, 586.05),
        ("SAE J429", "5", 25.400000001, 586.05),
        ("SAE J429", "5", 28.575, 510.21),
    ],
)
def test_rows_on_both_sides_of_a_step(
    standard: Any, name: str, diameter: float, proof: float
) -> None:
    assert bolt_class(ROWS, standard, name, diameter).proof_mpa == proof


def test_missing_rows_are_refused() -> None:
    with pytest.raises(OutOfRange, match=r"held: 8\.8"):
        bolt_class(ROWS, "ISO 898-1", "14.9", 16.0)
    with pytest.raises(OutOfRange, match="over 0 up to 39 mm"):
        bolt_class(ROWS, "ISO 898-1", "8.8", 42.0)
    with pytest.raises(OutOfRange, match=r"over 6\.3"):
        bolt_class(ROWS, "SAE J429", "5", 5.0)


@given(st.floats(0.04, 0.39), st.floats(0.001, 0.01))
def test_more_friction_means_less_preload_and_more_torque(mu: float, more: float) -> None:
    assert vdi_preload(16.0, 2.0, 640.0, mu) > vdi_preload(16.0, 2.0, 640.0, mu + more)
    assert nut_factor(16.0, 2.0, mu) < nut_factor(16.0, 2.0, mu + more)
    low = torque_for_preload(1000.0, 16.0, 2.0, mu, mu, 20.0)
    assert low < torque_for_preload(1000.0, 16.0, 2.0, mu + more, mu + more, 20.0)


@given(st.floats(10.0, 1000.0), st.floats(0.1, 0.3), st.floats(0.0, 0.5), st.floats(0.0, 0.3))
def test_preload_band_holds_the_nominal(
    torque: float, factor: float, scatter: float, loss: float
) -> None:
    band = preload_from_torque(torque, 16.0, factor, scatter, loss)
    assert 0.0 < band.least <= band.nominal <= band.greatest


@given(st.floats(0.05, 0.3))
def test_two_torque_formulas_agree(mu: float) -> None:
    # MIL-HDBK-60 with mean bearing diameter (dw + dh)/2 is the VDI form, rounded constants apart.
    handbook = torque_for_preload(80_000.0, 16.0, 2.0, mu, mu, 20.0)
    vdi = vdi_torque(80_000.0, 16.0, 2.0, mu, mu, 22.5, 17.5)
    assert handbook == pytest.approx(vdi, rel=0.005)


REFUSED: list[tuple[Any, tuple[Any, ...], str]] = [
    (proof_load, (0.0, 580.0), "stress area"),
    (nut_factor, (16.0, 2.0, 0.5), "friction"),
    (torque_for_preload, (1000.0, 16.0, 2.0, 0.1, 0.1, 15.0), "bearing diameter"),
    (preload_from_torque, (100.0, 16.0, 0.7, 0.25), "K"),
    (preload_from_torque, (100.0, 16.0, 0.2, 0.6), "scatter"),
    (preload_from_torque, (100.0, 16.0, 0.2, 0.2, 0.4), "loss"),
    (vdi_preload, (16.0, 2.0, 640.0, 0.12, 1.0), "use"),
    (vdi_torque, (1000.0, 16.0, 2.0, 0.12, 0.12, 17.0, 17.5), "head diameter"),
    (head_pressure, (1000.0, 17.0, 17.5), "head diameter"),
    (measured_scatter, ([1.0, 2.0], 1.0, 8.0, 2.0), "trials"),
    (measured_scatter, ([1.0, 2.0, 3.0, 4.0, 5.0, -6.0], 1.0, 8.0, 2.0), "preload"),
]


@pytest.mark.parametrize(("function", "arguments", "argument"), REFUSED)
def test_outside_validity_is_refused(
    function: Any, arguments: tuple[Any, ...], argument: str
) -> None:
    with pytest.raises(OutOfRange) as caught:
        function(*arguments)
    assert caught.value.argument == argument
