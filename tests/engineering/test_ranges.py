"""The guards name the argument, the value and the limit."""

from __future__ import annotations

from math import inf, nan

import pytest

from advisor.engineering import ranges
from advisor.engineering.limits import OutOfRange


@pytest.mark.parametrize("value", [0.0, -1.0, inf, nan])
def test_positive_refuses(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"wall = .*: must be above 0 mm") as caught:
        ranges.positive("wall", value, "mm")
    assert caught.value.argument == "wall"


@pytest.mark.parametrize("value", [-1e-9, inf, nan])
def test_not_negative_refuses(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"must be 0 MPa or more"):
        ranges.not_negative("pressure", value, "MPa")
    assert ranges.not_negative("pressure", 0.0, "MPa") == 0.0


@pytest.mark.parametrize("value", [inf, -inf, nan])
def test_finite_refuses(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"must be a finite number of K"):
        ranges.finite("rise", value, "K")


@pytest.mark.parametrize("value", [0.1999, 0.5001, nan])
def test_between_refuses_and_hints(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"must lie between 0.2 and 0.5 %; try") as caught:
        ranges.between("cet", value, 0.2, 0.5, "%", "try")
    assert caught.value.hint == "try"
    assert ranges.between("cet", 0.2, 0.2, 0.5, "%") == 0.2
