"""Sentences with their numbers in metric units, for readers of inches: the US value beside each.

A sentence of the trade keeps its own number, as its source has it; the other only stands beside it.
"""

from __future__ import annotations

import re
from fractions import Fraction

from advisor.case.units import DIMENSIONS

_DIMENSION = {
    "mm": "length",
    "bar": "pressure",
    "degC": "temperature",
    "K/h": "rate",
    "MPa": "stress",
    "kN": "force",
    "kg": "mass",
}
"""What each unit of a sentence measures."""

_NUMBER = r"(?:(?<=\s)-|(?<=^)-)?\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.,/])(?P<low>{_NUMBER})(?:(?P<between> to | or | and | \.\. )(?P<high>{_NUMBER}))?"
    rf" (?P<unit>{'|'.join(_DIMENSION)})(?![\w/*]| m\^| \(\d)"
)


def both_units(text: str) -> str:
    """The text with the US value in brackets behind each metric one.

    >>> both_units("every 25 to 50 mm, below 260 degC, 2.07 bar (30 psi)")
    'every 25 to 50 mm (0.984 to 1.97 in), below 260 degC (500 degF), 2.07 bar (30 psi)'
    """
    for end, said in reversed(us_values(text)):
        text = text[:end] + said + text[end:]
    return text


def us_values(text: str) -> list[tuple[int, str]]:
    """What to put into a text, each with the place where it goes."""
    return [(found.end(), _said(found)) for found in _QUANTITY.finditer(text)]


def _said(found: re.Match[str]) -> str:
    kind = DIMENSIONS[_DIMENSION[found["unit"]]]
    metric, us = kind.units[found["unit"]], kind.units[kind.us_unit]

    def number(text: str) -> str:
        value = us.from_canonical(float(metric.to_canonical(Fraction(text))))
        return _number(value, kind.us_unit)

    says = number(found["low"])
    if found["high"]:
        says += found["between"] + number(found["high"])
    return f" ({says} {kind.us_unit})"


def _number(value: float, unit: str) -> str:
    if unit == "degF" or abs(value) >= 1000:
        return f"{value:.0f}"
    return f"{value:.3g}"
