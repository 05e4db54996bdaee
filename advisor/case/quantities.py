"""Measured values: a closed interval in the canonical unit, read from and printed as text."""

from __future__ import annotations

import functools
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NoReturn

from advisor.case.problems import InputProblem
from advisor.case.units import (
    DIMENSIONS,
    Dimension,
    Unit,
    dimension_named,
    dimensions_of,
    find_unit,
)

__all__ = [
    "DIMENSIONS",
    "Measure",
    "QuantityError",
    "Units",
    "format_measure",
    "format_number",
    "measure",
    "parse_measure",
    "to_json",
]

Units = Literal["si", "us"]

_LONGEST = 100
_ULTRASONIC = 1000.0  # m/s; above it a speed is a sound in metal, read in inches per microsecond
_NO_FRACTION_BELOW = 25.4 / 128
_FRACTION = r"(?:(?P<whole>[0-9]+)(?: +|-))?(?P<over>[0-9]+)/(?P<under>[0-9]+)"
_DECIMAL = r"(?P<decimal>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
_NUMBER = re.compile(rf"(?P<sign>[+-]?) ?(?:{_FRACTION}|{_DECIMAL}) ?(?P<unit>.*)")
_NOT_FINITE = re.compile(r"[+-]?(nan|inf|infinity)\b", re.IGNORECASE)
_COMMA = re.compile(r"([0-9]+),([0-9]+)")
_SPREAD = re.compile(r"\+/-|\+-|±")
_MARKS = str.maketrans({"−": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2044": "/"})


class QuantityError(InputProblem):
    """A text that is not a value of the dimension asked for."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A measured value: a closed interval in the canonical unit of its dimension."""

    low: float
    high: float
    dimension: str

    @property
    def unit(self) -> str:
        return DIMENSIONS[self.dimension].unit

    @property
    def exact(self) -> bool:
        return self.low == self.high

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


def measure(low: float, high: float | None = None, *, dimension: str) -> Measure:
    """A value from numbers in the canonical unit. Raises QuantityError.

    >>> measure(8, 10, dimension="length")
    Measure(low=8.0, high=10.0, dimension='length')
    """
    kind = dimension_named(dimension)
    low = float(low)
    high = low if high is None else float(high)
    if not (math.isfinite(low) and math.isfinite(high)):
        raise QuantityError(f"{low} .. {high}", "finite numbers")
    if low > high:
        raise QuantityError(f"{low} .. {high}", "the smaller value first")
    if kind.least is not None and low < kind.least:
        raise QuantityError(f"{low} {kind.unit}", _at_least(kind))
    return Measure(low, high, dimension)


@functools.lru_cache(maxsize=4096)
def parse_measure(text: str, dimension: str) -> Measure:
    """Read a value with its unit. Raises QuantityError.

    >>> parse_measure("9 mm +/- 1 mm", "length")
    Measure(low=8.0, high=10.0, dimension='length')
    >>> parse_measure("1 3/8 in", "length").middle
    34.925
    """
    kind = dimension_named(dimension)
    clean = " ".join(text.translate(_MARKS).split())
    _refuse_early(clean, kind)
    low, high = _ends(clean, kind)
    if low > high:
        raise QuantityError(clean, "the smaller value first, as in 8 mm .. 10 mm")
    _refuse_implausible(clean, low, high, kind)
    return Measure(float(low), float(high), dimension)


def format_measure(value: Measure, units: Units = "si") -> str:
    """Print a value for people.

    >>> format_measure(measure(8.000000001, dimension="length"))
    '8 mm'
    >>> format_measure(measure(9.525, dimension="length"), "us")
    '0.375 in (3/8 in)'
    >>> format_measure(measure(8, 10, dimension="length"))
    '8 .. 10 mm'
    """
    kind = DIMENSIONS[value.dimension]
    name, unit, decimals = _printed_unit(value, kind, units)
    low = format_number(unit.from_canonical(value.low), decimals)
    high = format_number(unit.from_canonical(value.high), decimals)
    number = low if low == high else f"{low} .. {high}"
    text = f"{number} {name}" if name else number
    if units == "us" and value.dimension == "length" and low == high:
        text += _shop_fraction(value.middle)
    return text


def format_number(value: float, decimals: int = 3) -> str:
    """Print a number with at most `decimals` digits after the point, but never fewer than three
    that count: 0.0001 stays 0.0001.

    >>> format_number(8.000000001), format_number(0.00012345), format_number(12345.6, 0)
    ('8', '0.000123', '12346')
    """
    if value == 0:
        return "0"
    size = abs(value)
    if not 1e-9 <= size < 1e15:
        return f"{value:.3g}"
    digits = max(decimals, 2 - math.floor(math.log10(size)))
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def to_json(value: Measure) -> dict[str, float | str]:
    """The value in SI, with both ends where they differ.

    >>> to_json(measure(8, 10, dimension="length"))
    {'value': 9.0, 'unit': 'mm', 'low': 8.0, 'high': 10.0}
    """
    result: dict[str, float | str] = {"value": _clean(value.middle), "unit": value.unit}
    if not value.exact:
        result["low"] = _clean(value.low)
        result["high"] = _clean(value.high)
    return result


def _clean(value: float) -> float:
    """Drop the last digits, where only the noise of floating point lives."""
    return float(f"{value:.12g}") + 0.0


def _refuse_early(text: str, kind: Dimension) -> None:
    if len(text) > _LONGEST:
        raise QuantityError(f"{len(text)} characters", kind.expected)
    if not text:
        raise QuantityError("nothing", kind.expected)
    comma = _COMMA.search(text)
    if comma:
        raise QuantityError(text, f"a decimal point: {_without_comma(text, comma)}")
    if _NOT_FINITE.match(text):
        raise QuantityError(text, f"a finite number: {kind.expected}")


def _without_comma(text: str, comma: re.Match[str]) -> str:
    point = _COMMA.sub(r"\1.\2", text)
    whole, part = comma.groups()
    if len(part) == 3 and whole != "0":
        return f"write {point}, or {text.replace(',', '')} if the comma marks thousands"
    return f"write {point}"


def _ends(text: str, kind: Dimension) -> tuple[Fraction, Fraction]:
    if "..." in text:
        raise QuantityError(text, "two dots between the ends of a range, as in 8 mm .. 10 mm")
    ends = text.split("..")
    if len(ends) == 2:
        return _range(text, ends[0].strip(), ends[1].strip(), kind)
    parts = _SPREAD.split(text)
    if len(parts) == 2:
        return _with_spread(text, parts[0].strip(), parts[1].strip(), kind)
    if len(ends) > 2 or len(parts) > 2:
        raise QuantityError(text, f"one value or one range: {kind.expected}")
    value = _value(text, text, kind)
    return value, value


def _range(text: str, first: str, last: str, kind: Dimension) -> tuple[Fraction, Fraction]:
    """`8 mm .. 10 mm`; where only one end has a unit, it is the unit of both."""
    if _SPREAD.search(first) or _SPREAD.search(last):
        raise QuantityError(text, "a range or a spread, not both")
    unit = _unit_text(first) or _unit_text(last)
    return _value(text, first, kind, unit), _value(text, last, kind, unit)


def _with_spread(text: str, middle: str, spread: str, kind: Dimension) -> tuple[Fraction, Fraction]:
    """`9 mm +/- 1 mm`, `9 +/- 1 mm`, `9 mm +/- 10 %`."""
    unit = _unit_text(spread)
    share = unit == "%" and "%" not in kind.units
    borrowed = "" if share or unit == "K" else unit
    value = _value(text, middle, kind, borrowed)
    if share and kind.spread:
        raise QuantityError(text, "the spread of a temperature in K, degC or degF, as in +/- 5 K")
    if share:
        half = abs(value) * _number(text, spread) / 100
    else:
        half = _value(text, spread, DIMENSIONS[kind.spread or kind.name], _unit_text(middle))
    if half < 0:
        raise QuantityError(text, "a spread of 0 or more after +/-")
    return value - half, value + half


def _value(text: str, part: str, kind: Dimension, borrowed: str = "") -> Fraction:
    """One number with its unit, or with the unit `borrowed` from the other end."""
    spelling = _unit_text(part, text, kind) or borrowed
    unit = find_unit(spelling, kind)
    if unit is None:
        _refuse_unit(text, part, spelling, kind)
    return unit.to_canonical(_number(text, part))


def _match(text: str, part: str, kind: Dimension | None) -> re.Match[str]:
    found = _NUMBER.fullmatch(part)
    if found is None:
        raise QuantityError(text, kind.expected if kind else "a number")
    return found


def _unit_text(part: str, text: str = "", kind: Dimension | None = None) -> str:
    if kind is None and not _NUMBER.fullmatch(part):
        return ""  # reported when the part is read
    unit = _match(text, part, kind)["unit"].strip()
    if unit[:1].isdigit() or unit[:1] in ("-", "–", "—", ".") or unit.startswith("to "):
        if kind is None:
            return ""
        raise QuantityError(text, f"one number, or a range as in 8 mm .. 10 mm: {kind.expected}")
    return unit


def _number(text: str, part: str) -> Fraction:
    found = _match(text, part, None)
    sign = -1 if found["sign"] == "-" else 1
    if found["decimal"] is not None:
        return sign * _decimal(text, found["decimal"])
    if int(found["under"]) == 0:
        raise QuantityError(text, "a fraction with something other than 0 under the line")
    return sign * (Fraction(int(found["over"]), int(found["under"])) + int(found["whole"] or 0))


def _decimal(text: str, digits: str) -> Fraction:
    """Exact, so that 500 degF is 260 degC and not a hair beside it."""
    size = float(digits)
    if math.isinf(size):
        raise QuantityError(text, "a number that is not too large to work with")
    if size == 0 and re.search("[1-9]", re.split("[eE]", digits)[0]):
        raise QuantityError(text, "0, or a number that is not too small to work with")
    # Only here: an exponent in the thousands would make an endless integer.
    return Fraction(digits)


def _refuse_unit(text: str, part: str, spelling: str, kind: Dimension) -> NoReturn:
    if not spelling:
        found = f"{text} without a unit" if part == text else f"{text}, where {part} has no unit"
        raise QuantityError(found, kind.expected)
    others = " or ".join(each.noun for each in dimensions_of(spelling))
    if others:
        raise QuantityError(f"{text}, which is {others}", kind.expected)
    raise QuantityError(f'{text} with the unit "{spelling}"', kind.expected)


def _refuse_implausible(text: str, low: Fraction, high: Fraction, kind: Dimension) -> None:
    if kind.least is not None and low < Fraction(str(kind.least)):
        found = (
            text if low == high else f"{text}, which reaches down to {_amount(float(low), kind)}"
        )
        raise QuantityError(found, _at_least(kind))
    if high > kind.most:
        found = text if low == high else f"{text}, which reaches up to {_amount(float(high), kind)}"
        such = " or ".join(kind.examples)
        most = _amount(kind.most, kind)
        raise QuantityError(found, f"{kind.noun} of at most {most}, such as {such}")


def _at_least(kind: Dimension) -> str:
    why = {
        "temperature": " (absolute zero)",
        "pressure": " (full vacuum; every pressure is a gauge pressure)",
    }
    return f"{kind.noun} of at least {_amount(kind.least or 0, kind)}{why.get(kind.name, '')}"


def _amount(value: float, kind: Dimension) -> str:
    return f"{format_number(value, 5)} {_printed(kind.unit)}".strip()


def _printed(unit: str) -> str:
    return "" if unit in ("1", "year") else unit.replace("*", "·")


def _printed_unit(value: Measure, kind: Dimension, units: Units) -> tuple[str, Unit, int]:
    si, us = kind.decimals
    if kind.name == "ratio":
        return "%", kind.units["%"], 1
    if units == "us" and kind.name == "speed" and value.low >= _ULTRASONIC:
        return "in/us", kind.units["in/us"], 4
    name = kind.us_unit if units == "us" else kind.unit
    unit = kind.units[""] if name in ("1", "year") else kind.units[name]
    return _printed(name), unit, us if units == "us" else si


def _shop_fraction(length_mm: float) -> str:
    """The nearest 1/64 inch, as drills and rules are marked."""
    if length_mm < _NO_FRACTION_BELOW:
        return ""
    inches = length_mm / 25.4
    whole, part = divmod(round(inches * 64), 64)
    fraction = Fraction(part, 64)
    words = [str(whole)] if whole else []
    words += [str(fraction)] if part else []
    nearest = " ".join(words)
    near = abs(inches - round(inches * 64) / 64) >= 0.0005
    if not part and not near:
        return ""  # a whole number of inches is its own fraction
    return f" (about {nearest} in)" if near else f" ({nearest} in)"
