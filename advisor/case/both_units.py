"""Sentences with their numbers in metric units, for readers of inches: the US value beside each.

A sentence of the trade keeps its own number, as its source has it; the other only stands beside it.
"""

from __future__ import annotations

import re
from collections.abc import Callable

_US: dict[str, tuple[str, Callable[[float], float]]] = {
    "mm": ("in", lambda mm: mm / 25.4),
    "bar": ("psi", lambda bar: bar * 14.5037738),
    "degC": ("degF", lambda degc: degc * 1.8 + 32),
    "K/h": ("degF/h", lambda rate: rate * 1.8),
    "MPa": ("ksi", lambda mpa: mpa * 0.145037738),
    "kN": ("lbf", lambda kn: kn * 224.808943),
    "kg": ("lb", lambda kg: kg / 0.45359237),
}
_NUMBER = r"(?:(?<=\s)-|(?<=^)-)?\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.,/])(?P<low>{_NUMBER})(?:(?P<between> to | or | and | \.\. )(?P<high>{_NUMBER}))?"
    rf" (?P<unit>{'|'.join(_US)})(?![\w/*]| m\^| \(\d)"
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
    unit, convert = _US[found["unit"]]
    says = _number(convert(float(found["low"])), unit)
    if found["high"]:
        says += found["between"] + _number(convert(float(found["high"])), unit)
    return f" ({says} {unit})"


def _number(value: float, unit: str) -> str:
    if unit == "degF" or abs(value) >= 1000:
        return f"{value:.0f}"
    return f"{value:.3g}"
