"""The dimensions a value may have, the units each one takes, and what is plausible in it.

The units of the shop stand here with exact factors, so that nothing has to be imported to read a
case. Any other unit is looked up in pint, in the program's one registry.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

_INCH = Fraction("25.4")
_FOOT = 12 * _INCH
_POUND_FORCE = Fraction("0.45359237") * Fraction("9.80665")
_PSI = _POUND_FORCE / _INCH**2  # in MPa
_KGF = Fraction("9.80665")


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: the canonical value is ``value * scale + offset``."""

    scale: Fraction
    offset: Fraction = Fraction(0)

    def to_canonical(self, value: Fraction) -> Fraction:
        return value * self.scale + self.offset

    def from_canonical(self, value: float) -> float:
        return float((Fraction(value) - self.offset) / self.scale)


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of value.

    Attributes:
        unit: the canonical unit, used everywhere inside the program and in JSON.
        us_unit: the unit printed for readers of US customary units.
        least: the physical floor in the canonical unit, or None.
        most: what is absurd beyond, in the canonical unit.
        decimals: digits after the point in print, in the canonical and in the US unit.
        examples: values as a person would write them.
        takes: the spellings named in messages; `units` has the rarer ones too.
        spread: the dimension of an uncertainty, where it is another one.
        pint_unit: the canonical unit as pint writes it, where pint may look up other units.
    """

    name: str
    noun: str
    unit: str
    us_unit: str
    least: float | None
    most: float
    decimals: tuple[int, int]
    examples: tuple[str, ...]
    takes: tuple[str, ...]
    units: Mapping[str, Unit]
    spread: str | None = None
    pint_unit: str | None = None

    def __hash__(self) -> int:
        return hash(self.name)

    @property
    def takes_bare_number(self) -> bool:
        return "" in self.units

    @property
    def expected(self) -> str:
        """What would be right, for a message."""
        such = " or ".join(self.examples)
        if self.takes_bare_number:
            return f"{self.noun}, such as {such}"
        return f"{self.noun} with its unit, such as {such} (units: {', '.join(self.takes)})"


def _units(factors: Mapping[str, Fraction | str | int | float]) -> dict[str, Unit]:
    return {name: Unit(Fraction(factor)) for name, factor in factors.items()}


def _per(units: Mapping[str, Unit], times: Mapping[str, int]) -> dict[str, Unit]:
    return {
        f"{name}/{time}": Unit(unit.scale * factor)
        for name, unit in units.items()
        for time, factor in times.items()
    }


# fmt: off
_BARE = _units({"": 1})
_LENGTH = _units({
    "mm": 1, "cm": 10, "m": 1000, "um": Fraction(1, 1000), "km": 1_000_000,
    "in": _INCH, "inch": _INCH, "inches": _INCH, '"': _INCH, "''": _INCH,
    "thou": _INCH / 1000, "ft": _FOOT, "foot": _FOOT, "feet": _FOOT,
})
_AREA = _units({"mm2": 1, "cm2": 100, "m2": 10**6, "in2": _INCH**2, "ft2": _FOOT**2})
# Pressure and stress are one physical dimension: each takes the units of the other.
_STRESS = _units({
    "MPa": 1, "N/mm2": 1, "GPa": 1000, "kPa": Fraction(1, 1000), "Pa": Fraction(1, 10**6),
    "bar": Fraction(1, 10), "mbar": Fraction(1, 10**4), "psi": _PSI, "ksi": 1000 * _PSI,
    "kgf/cm2": _KGF / 100, "kgf/mm2": _KGF,
})
_PRESSURE = {name: Unit(unit.scale * 10) for name, unit in _STRESS.items()}
# Every pressure here is a gauge pressure, so these two say nothing new.
_PRESSURE |= {"barg": _PRESSURE["bar"], "psig": _PRESSURE["psi"]}
_CELSIUS = Unit(Fraction(1))
_FAHRENHEIT = Unit(Fraction(5, 9), Fraction(-160, 9))
_TEMPERATURE = {
    "degC": _CELSIUS, "°C": _CELSIUS, "C": _CELSIUS, "K": Unit(Fraction(1), Fraction("-273.15")),
    "degF": _FAHRENHEIT, "°F": _FAHRENHEIT, "F": _FAHRENHEIT,
}
_DIFFERENCE = {name: Unit(unit.scale) for name, unit in _TEMPERATURE.items()}
_RATE = _per(_DIFFERENCE, {"h": 1, "min": 60, "s": 3600})
_SPEED = _units({
    "m/s": 1, "mm/s": Fraction(1, 1000), "m/min": Fraction(1, 60), "km/h": Fraction(5, 18),
    "km/s": 1000, "mm/us": 1000, "ft/min": _FOOT / 60_000, "ft/s": _FOOT / 1000,
    "in/us": 1000 * _INCH,
})
_FORCE = _units({"N": 1, "kN": 1000, "MN": 10**6, "lbf": _POUND_FORCE, "kgf": _KGF})
_TORQUE = _units({
    "N*m": 1, "Nm": 1, "kN*m": 1000,
    "lbf*ft": _POUND_FORCE * _FOOT / 1000, "ft*lbf": _POUND_FORCE * _FOOT / 1000,
    "lbf*in": _POUND_FORCE * _INCH / 1000, "in*lbf": _POUND_FORCE * _INCH / 1000,
})
_ENERGY = _units({
    "kWh": 1, "MJ": Fraction(5, 18), "kJ": Fraction(1, 3600), "J": Fraction(1, 3_600_000),
})
_DURATION = _units({"min": 1, "h": 60, "s": Fraction(1, 60), "d": 1440})
_MASS = _units({"kg": 1, "g": Fraction(1, 1000), "t": 1000, "lb": Fraction("0.45359237")})
_ANGLE = {
    "deg": Unit(Fraction(1)), "°": Unit(Fraction(1)), "rad": Unit(Fraction(180 / math.pi)),
}
_LINE_LOAD = _units({
    "N/mm": 1, "kN/m": 1, "N/m": Fraction(1, 1000),
    "lbf/in": _POUND_FORCE / _INCH, "lbf/ft": _POUND_FORCE / _FOOT,
})
_KSI_ROOT_INCH = 1000 * float(_PSI) * 0.0254**0.5
_TOUGHNESS = _units({
    "MPa*m^0.5": 1, "MPa*sqrt(m)": 1, "MPa√m": 1, "N/mm^1.5": 1000**-0.5,
    "ksi*in^0.5": _KSI_ROOT_INCH, "ksi*sqrt(in)": _KSI_ROOT_INCH, "ksi√in": _KSI_ROOT_INCH,
})
_PERCENT = Fraction(1, 100)

_ALL = (
    Dimension("length", "a length", "mm", "in", 0, 100_000, (3, 3),
              ("9 mm", "3/8 in"), ("mm", "cm", "m", "in", "ft"), _LENGTH, pint_unit="mm"),
    Dimension("area", "an area", "mm2", "in2", 0, 1e9, (2, 3),
              ("120 mm2", "0.2 in2"), ("mm2", "cm2", "m2", "in2"), _AREA, pint_unit="mm**2"),
    Dimension("stress", "a stress", "MPa", "ksi", None, 10_000, (1, 2),
              ("250 MPa", "36 ksi"), ("MPa", "N/mm2", "bar", "psi", "ksi"), _STRESS,
              pint_unit="MPa"),
    # A gauge pressure: no vacuum is deeper than the standard atmosphere.
    Dimension("pressure", "a gauge pressure", "bar", "psi", -1.01325, 10_000, (2, 1),
              ("2.5 bar", "60 psi"), ("bar", "kPa", "MPa", "psi", "ksi"), _PRESSURE,
              pint_unit="bar"),
    Dimension("temperature", "a temperature", "degC", "degF", -273.15, 3000, (1, 1),
              ("180 degC", "350 degF"), ("degC", "degF", "K"), _TEMPERATURE,
              spread="temperature_difference"),
    Dimension("temperature_difference", "a temperature difference", "K", "degF", None, 3300,
              (1, 1), ("50 K", "90 degF"), ("K", "degC", "degF"), _DIFFERENCE),
    Dimension("speed", "a speed", "m/s", "ft/min", 0, 20_000, (2, 0),
              ("25 m/s", "5000 ft/min"), ("m/s", "m/min", "km/h", "ft/min", "ft/s", "in/us"),
              _SPEED, pint_unit="m/s"),
    Dimension("force", "a force", "N", "lbf", None, 1e9, (0, 0),
              ("500 N", "110 lbf"), ("N", "kN", "lbf"), _FORCE, pint_unit="N"),
    Dimension("torque", "a torque", "N*m", "lbf*ft", 0, 1e8, (1, 1),
              ("80 N*m", "60 lbf*ft"), ("N*m", "kN*m", "lbf*ft", "lbf*in"), _TORQUE),
    Dimension("energy", "an energy", "kWh", "kWh", 0, 1e7, (2, 2),
              ("12 kWh", "43 MJ"), ("kWh", "MJ", "kJ"), _ENERGY, pint_unit="kWh"),
    Dimension("duration", "a duration", "min", "min", 0, 1e7, (1, 1),
              ("90 min", "2 h"), ("s", "min", "h", "d"), _DURATION, pint_unit="min"),
    Dimension("mass", "a mass", "kg", "lb", 0, 1e7, (2, 2),
              ("40 kg", "90 lb"), ("g", "kg", "t", "lb"), _MASS, pint_unit="kg"),
    Dimension("ratio", "a part of the whole", "1", "1", 0, 1, (3, 3),
              ("0.6", "60 %"), ("%",), _BARE | {"%": Unit(_PERCENT)}),
    Dimension("number", "a number", "1", "1", None, 1e9, (3, 3), ("2", "1 .. 3"), (), _BARE),
    Dimension("hardness", "a Brinell hardness", "HBW", "HBW", 1, 1000, (0, 0),
              ("210 HBW", "210"), ("HBW",), _BARE | _units({"HBW": 1, "HB": 1})),
    Dimension("year", "a year", "year", "year", 1500, 2200, (0, 0),
              ("1956", "1950 .. 1960"), (), _BARE),
    Dimension("rate", "a rate of heating or cooling", "K/h", "degF/h", 0, 1e6, (1, 1),
              ("50 K/h", "90 degF/h"), ("K/h", "K/min", "degC/h", "degF/h"), _RATE),
    Dimension("angle", "an angle", "deg", "deg", -360, 360, (1, 1),
              ("60 deg",), ("deg", "rad"), _ANGLE),
    Dimension("line_load", "a load along a line", "N/mm", "lbf/in", None, 1e6, (1, 1),
              ("120 N/mm", "700 lbf/in"), ("N/mm", "kN/m", "lbf/in"), _LINE_LOAD,
              pint_unit="N/mm"),
    Dimension("toughness", "a fracture toughness", "MPa*m^0.5", "ksi*in^0.5", 0, 1000, (1, 1),
              ("20 MPa*m^0.5", "18 ksi*in^0.5"), ("MPa*m^0.5", "N/mm^1.5", "ksi*in^0.5"),
              _TOUGHNESS),
    Dimension("mass_fraction", "a part of the mass in percent", "%", "%", 0, 100, (4, 4),
              ("3.3 %", "3.3"), ("%",), _BARE | {"%": Unit(Fraction(1))}),
)
# fmt: on

DIMENSIONS: Mapping[str, Dimension] = MappingProxyType({each.name: each for each in _ALL})

# Only plain products and quotients of unit names go to pint, which would evaluate anything.
_PLAIN_UNIT = re.compile(r"[A-Za-z]+[1-4]?(?:[*/][A-Za-z]+[1-4]?)*")


@functools.lru_cache(maxsize=1)
def registry() -> pint.UnitRegistry[float]:
    """The program's one pint registry, made when a rare unit first needs it."""
    import pint

    return pint.UnitRegistry()


COUNTED = frozenset({"number", "year"})
"""Dimensions of which only whole numbers make sense."""


def dimension_named(name: str) -> Dimension:
    """Raises ValueError for a dimension that the program does not know."""
    try:
        return DIMENSIONS[name]
    except KeyError:
        known = ", ".join(DIMENSIONS)
        raise ValueError(f"no dimension is called {name!r}; known are {known}") from None


def plain_spelling(unit: str) -> str:
    """One spelling for marks that differ only in type: `N·m` is `N*m`, `mm²` is `mm2`."""
    unit = unit.replace("·", "*").replace("⋅", "*").replace("²", "2").replace("^2", "2")
    unit = unit.replace("µ", "u").replace("μ", "u").replace("″", '"').replace("º", "°")
    return re.sub(r"\s*([*/^])\s*", r"\1", unit.replace("° ", "°").strip())


@functools.lru_cache(maxsize=512)
def find_unit(spelling: str, dimension: Dimension) -> Unit | None:
    """The unit that `spelling` means in `dimension`, or None."""
    text = plain_spelling(spelling)
    if text in dimension.units:
        return dimension.units[text]
    # `PSI` and `MM` stand on many gauges and drawings; one letter could mean anything.
    if len(text) > 1:
        for name, unit in dimension.units.items():
            if name.lower() == text.lower():
                return unit
    if dimensions_of(text) or not dimension.pint_unit:
        return None
    return _ask_pint(text, dimension.pint_unit)


def dimensions_of(spelling: str) -> list[Dimension]:
    """The dimensions whose own table has this unit."""
    text = plain_spelling(spelling)
    return [each for each in _ALL if text in each.units]


def _ask_pint(text: str, canonical: str) -> Unit | None:
    if len(text) > 30 or not _PLAIN_UNIT.fullmatch(text):
        return None
    import pint

    units = registry()
    try:
        one = units.Quantity(1, units.parse_units(re.sub(r"(\d)", r"**\1", text)))
        factor = float(one.to(canonical).magnitude)
    except (pint.PintError, AttributeError, ValueError, TypeError):
        return None
    return Unit(Fraction(factor)) if math.isfinite(factor) and factor > 0 else None
