"""Carbon equivalents: those of cast irons and those of weldable steels, never mixed.

All contents are mass percent and all must be given: an alloying element that is left out as
zero makes a steel look easier to weld than it is.
"""

from __future__ import annotations

from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, not_negative

EUTECTIC_CARBON_EQUIVALENT = 4.3
STEEL_CARBON_LIMIT = 2.0

EutecticClass = Literal["hypoeutectic", "eutectic", "hypereutectic"]


# Cast irons


def iron_carbon_equivalent(carbon: float, silicon: float, phosphorus: float) -> float:
    """Carbon equivalent of a cast iron, the common form CE.

    CE = C + (Si + P)/3, eutectic at 4.3

    Args:
        carbon: total carbon [mass %]
        silicon: silicon [mass %]
        phosphorus: phosphorus [mass %]

    Returns:
        CE [mass %]

    Validity: cast iron, C 1.8 to 4.5 %, Si up to 4 %. Not a welding formula.

    Raises:
        OutOfRange: a composition that is not one of a cast iron.

    Example:
        >>> round(iron_carbon_equivalent(3.7, 1.25, 0.02), 2)
        4.12

    Source: page on corrosion of cast irons (read2); thirteen compositions in a metallography note
    reproduce it (read).
    """
    _check_iron(carbon, silicon, phosphorus)
    return carbon + (silicon + phosphorus) / 3.0


def degree_of_saturation(carbon: float, silicon: float, phosphorus: float) -> float:
    """Degree of saturation of a cast iron, 1 at the eutectic.

    Sc = C/[4.3 - (Si + P)/3]

    Args:
        carbon: total carbon [mass %]
        silicon: silicon [mass %]
        phosphorus: phosphorus [mass %]

    Returns:
        Sc

    Validity: as `iron_carbon_equivalent`.

    Raises:
        OutOfRange: a composition that is not one of a cast iron.

    Example:
        >>> round(degree_of_saturation(3.3, 2.1, 0.15), 3)
        0.93

    Source: from the definition of CE (computed).
    """
    _check_iron(carbon, silicon, phosphorus)
    return carbon / (EUTECTIC_CARBON_EQUIVALENT - (silicon + phosphorus) / 3.0)


def liquidus_carbon_equivalent(carbon: float, silicon: float, phosphorus: float) -> float:
    """Carbon equivalent of a cast iron, the liquidus form CEL of thermal analysis.

    CEL = C + Si/4 + P/2

    Args:
        carbon: total carbon [mass %]
        silicon: silicon [mass %]
        phosphorus: phosphorus [mass %]

    Returns:
        CEL [mass %]; not the same number as CE, and not to be compared with 4.3

    Validity: as `iron_carbon_equivalent`.

    Raises:
        OutOfRange: a composition that is not one of a cast iron.

    Example:
        >>> round(liquidus_carbon_equivalent(3.3, 2.0, 0.1), 2)
        3.85

    Source: foundry practice of thermal analysis (memory).
    """
    _check_iron(carbon, silicon, phosphorus)
    return carbon + silicon / 4.0 + phosphorus / 2.0


def eutectic_class(carbon_equivalent: float) -> EutecticClass:
    """Place a cast iron below, at or above the eutectic by its CE.

    CE < 4.3 hypoeutectic, CE > 4.3 hypereutectic (two decimals count)

    Args:
        carbon_equivalent: CE = C + (Si + P)/3 [mass %]

    Returns:
        the class

    Validity: CE, not CEL; 1.8 to 6.

    Raises:
        OutOfRange: a value that is not one of a cast iron.

    Example:
        >>> eutectic_class(4.84), eutectic_class(4.12)
        ('hypereutectic', 'hypoeutectic')

    Source: page on corrosion of cast irons (read2).
    """
    between("carbon_equivalent", carbon_equivalent, 1.8, 6.0, "%")
    if abs(carbon_equivalent - EUTECTIC_CARBON_EQUIVALENT) < 0.005:
        return "eutectic"
    above = carbon_equivalent > EUTECTIC_CARBON_EQUIVALENT
    return "hypereutectic" if above else "hypoeutectic"


def _check_iron(carbon: float, silicon: float, phosphorus: float) -> None:
    between("carbon", carbon, 1.8, 4.5, "%", "below, a steel: use the steel equivalents")
    between("silicon", silicon, 0.0, 4.0, "%")
    between("phosphorus", phosphorus, 0.0, 2.0, "%")


# Steels


def _check_steel(carbon: float, **others: float) -> None:
    not_negative("carbon", carbon, "%")
    if carbon > STEEL_CARBON_LIMIT:
        raise OutOfRange(
            "carbon",
            carbon,
            "steel formulas hold up to 2 %: this is a cast iron",
            "no steel carbon equivalent and no steel preheat applies to it",
        )
    for element, content in others.items():
        between(element, content, 0.0, 100.0, "%")


def steel_ce_iiw(
    *,
    carbon: float,
    manganese: float,
    chromium: float,
    molybdenum: float,
    vanadium: float,
    nickel: float,
    copper: float,
) -> float:
    """Carbon equivalent of a steel, CE(IIW).

    CE = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15; no silicon

    Args:
        carbon: carbon [mass %]
        manganese: manganese [mass %]
        chromium: chromium [mass %]
        molybdenum: molybdenum [mass %]
        vanadium: vanadium [mass %]
        nickel: nickel [mass %]
        copper: copper [mass %]

    Returns:
        CE [mass %]

    Validity: steel, C up to 2 %. Never a cast iron.

    Raises:
        OutOfRange: a cast iron, or a content that is none.

    Example:
        >>> round(steel_ce_iiw(carbon=0.25, manganese=0.90, chromium=0.20, molybdenum=0.10,
        ...                    vanadium=0.02, nickel=0.20, copper=0.20), 4)
        0.4907

    Source: International Institute of Welding, in an open welding library (read2).
    """
    _check_steel(
        carbon,
        manganese=manganese,
        chromium=chromium,
        molybdenum=molybdenum,
        vanadium=vanadium,
        nickel=nickel,
        copper=copper,
    )
    return (
        carbon
        + manganese / 6.0
        + (chromium + molybdenum + vanadium) / 5.0
        + (nickel + copper) / 15.0
    )


def steel_cet(
    *,
    carbon: float,
    manganese: float,
    molybdenum: float,
    chromium: float,
    copper: float,
    nickel: float,
) -> float:
    """Carbon equivalent of a steel, CET of EN 1011-2 method B.

    CET = C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40

    Args:
        carbon: carbon [mass %]
        manganese: manganese [mass %]
        molybdenum: molybdenum [mass %]
        chromium: chromium [mass %]
        copper: copper [mass %]
        nickel: nickel [mass %]

    Returns:
        CET [mass %]

    Validity: steel, C up to 2 %. Never a cast iron.

    Raises:
        OutOfRange: a cast iron, or a content that is none.

    Example:
        >>> round(steel_cet(carbon=0.25, manganese=0.90, molybdenum=0.10, chromium=0.20,
        ...                 copper=0.20, nickel=0.20), 4)
        0.375

    Source: EN 1011-2, through two independent pages and an open welding library (read2).
    """
    _check_steel(
        carbon,
        manganese=manganese,
        molybdenum=molybdenum,
        chromium=chromium,
        copper=copper,
        nickel=nickel,
    )
    return carbon + (manganese + molybdenum) / 10.0 + (chromium + copper) / 20.0 + nickel / 40.0


def steel_pcm(
    *,
    carbon: float,
    silicon: float,
    manganese: float,
    copper: float,
    chromium: float,
    nickel: float,
    molybdenum: float,
    vanadium: float,
    boron: float,
) -> float:
    """Crack susceptibility of a steel, Pcm.

    Pcm = C + Si/30 + (Mn + Cu + Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B

    Args:
        carbon: carbon [mass %]
        silicon: silicon [mass %]
        manganese: manganese [mass %]
        copper: copper [mass %]
        chromium: chromium [mass %]
        nickel: nickel [mass %]
        molybdenum: molybdenum [mass %]
        vanadium: vanadium [mass %]
        boron: boron [mass %]

    Returns:
        Pcm [mass %]

    Validity: steel, C up to 2 %. Never a cast iron.

    Raises:
        OutOfRange: a cast iron, or a content that is none.

    Example:
        >>> round(steel_pcm(carbon=0.25, silicon=0.50, manganese=0.90, copper=0.20, chromium=0.20,
        ...                 nickel=0.20, molybdenum=0.10, vanadium=0.02, boron=0.0), 4)
        0.3437

    Source: an open welding library (read2).
    """
    _check_steel(
        carbon,
        silicon=silicon,
        manganese=manganese,
        copper=copper,
        chromium=chromium,
        nickel=nickel,
        molybdenum=molybdenum,
        vanadium=vanadium,
        boron=boron,
    )
    return (
        carbon
        + silicon / 30.0
        + (manganese + copper + chromium) / 20.0
        + nickel / 60.0
        + molybdenum / 15.0
        + vanadium / 10.0
        + 5.0 * boron
    )
