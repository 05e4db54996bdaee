"""Texts as they are printed: quantities in the reader's units."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.model import Quantity
from advisor.advice.phrases import Units
from advisor.case.quantities import Measure, format_measure
from advisor.case.units import DIMENSIONS

MM_PER_INCH = 25.4

_DIMENSION_OF_UNIT = {dimension.unit: name for name, dimension in DIMENSIONS.items()}


def plain(name: str) -> str:
    """An id as words."""
    return name.replace("_", " ")


def shown(quantity: Quantity | None, units: Units = "si") -> str:
    """A quantity in the reader's units."""
    if quantity is None:
        return "not given"
    dimension = _DIMENSION_OF_UNIT.get(quantity.unit)
    if dimension is None or quantity.unit == "1":
        return f"{quantity.value:g}"
    low = quantity.value if quantity.low is None else quantity.low
    high = quantity.value if quantity.high is None else quantity.high
    return format_measure(Measure(low, high, dimension), units)


def length(millimetres: float, units: Units = "si") -> str:
    """A length with its unit, to the hundredth of a millimetre.

    >>> length(6.8), length(6.8, "us")
    ('6.8 mm', '0.268 in (about 17/64 in)')
    """
    rounded = round(millimetres, 2)
    return format_measure(Measure(rounded, rounded, "length"), units)


def bare_length(millimetres: float, units: Units = "si") -> str:
    """A length for a column or a drawing whose unit is said once.

    >>> bare_length(6.8), bare_length(-0.004), bare_length(6.8, "us")
    ('6.80', '0.00', '0.268')
    """
    value, digits = (millimetres / MM_PER_INCH, 3) if units == "us" else (millimetres, 2)
    text = f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text


def short_length(millimetres: float, units: Units = "si") -> str:
    """A length for a dimension line: no zeros at the end.

    >>> short_length(6.8), short_length(180.0)
    ('6.8', '180')
    """
    text = bare_length(millimetres, units)
    return text.rstrip("0").rstrip(".") if "." in text else text


def length_unit(units: Units) -> str:
    """The unit of lengths."""
    return "in" if units == "us" else "mm"


def length_unit_name(units: Units) -> str:
    """The unit of lengths in a sentence."""
    return "inches" if units == "us" else "mm"


def runs(numbers: Iterable[int]) -> str:
    """Numbers in rising order, runs drawn together.

    >>> runs([1, 2, 3, 7, 9, 10])
    '1 to 3, 7, 9, 10'
    """
    found: list[list[int]] = []
    for n in numbers:
        if found and n == found[-1][-1] + 1:
            found[-1].append(n)
        else:
            found.append([n])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in found
    )


def sentence(text: str) -> str:
    """A text that begins with a capital and ends with a full stop.

    >>> sentence("pins are dry")
    'Pins are dry.'
    """
    text = text.strip()
    if not text:
        return text
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?:" else f"{text}."
