"""Readers of inches: workings and sentences give their numbers in both units.

The factors are those of NIST SP 811, appendix B (from memory): 1 bar = 14.503 774 psi,
25.4 mm = 1 in.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from .conftest import SCENARIOS, Command

JACKET = next(path for path in SCENARIOS if path.name.startswith("engine-block"))
PLANS = JACKET.parent / "plans"

PAIRS = {"bar": ("psi", 14.503774), "mm": ("in", 1 / 25.4)}
_BOTH = re.compile(r"(\d+(?:\.\d+)?) (bar|mm) \((\d+(?:\.\d+)?) (psi|in)\)")


def said_twice(text: str) -> list[tuple[float, str, float, str]]:
    flat = " ".join(text.replace("│", " ").split())
    return [(float(a), u, float(b), v) for a, u, b, v in _BOTH.findall(flat)]


@pytest.mark.parametrize(
    "arguments",
    [
        ("why", JACKET, "test"),
        ("why", JACKET, "pin"),
        ("check", PLANS / "jacket-pins-far-apart-and-air.yaml", JACKET),
        ("check", PLANS / "jacket-pins-far-apart-and-air.yaml", JACKET, "--markdown"),
    ],
)
def test_workings_stand_in_both(arguments: tuple[str | Path, ...], crackwright: Command) -> None:
    found = said_twice(crackwright(*arguments, "--units", "us").out.replace("\\", ""))
    assert found
    for metric, unit, us, us_unit in found:
        expected_unit, factor = PAIRS[unit]
        assert us_unit == expected_unit
        assert us == pytest.approx(metric * factor, rel=5e-3)
    assert not said_twice(crackwright(*arguments).out)


def test_what_differs_stands_in_us_units(crackwright: Command) -> None:
    change = ("compare", JACKET, "--set", "wall_thickness=4 mm", "--set", "pressure=1 bar")
    us = crackwright(*change, "--units", "us").out
    assert "0.157 in (about 5/32 in)" in us
    assert "-> 14.5 psi" in us
    assert not re.search(r"\d (mm|bar)\b", us)
    assert "-> 4 mm" in crackwright(*change).out
