"""Unlike metals that warm up together: fit of a pin, pressure in its hole, length of a key."""

from __future__ import annotations

from advisor.engineering.ranges import between, finite, positive
from advisor.light_dataclass import dataclass

LARGEST_MISMATCH = 2e-6  # 1/K; derived, for parts that cycle above the temperature below
CYCLING_TEMPERATURE = 100.0  # degC

_TINY = 1e-12


@dataclass(frozen=True)
class ExpansionMatch:
    """Whether the metals of pin and parent may be used together, and the mismatch [1/K]."""

    mismatch: float
    matched: bool
    because: str


def fit_change(
    diameter: float, pin_expansion: float, parent_expansion: float, temperature_rise: float
) -> float:
    """Change of the fit of a pin in its hole.

    dd = d (a_pin - a_parent) dT

    Args:
        diameter: d [mm].
        pin_expansion: a_pin [1/K].
        parent_expansion: a_parent [1/K].
        temperature_rise: dT, negative when cooling [K].

    Returns:
        dd [mm]; positive where the fit closes, negative where it opens.

    Validity: both at one temperature; coefficients that hold over the range.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(1000 * fit_change(8, 20.5e-6, 11.4e-6, 80), 3)
        5.824

    Source: definition of the coefficient.
    """
    positive("diameter", diameter, "mm")
    finite("temperature_rise", temperature_rise, "K")
    return diameter * mismatch(pin_expansion, parent_expansion) * temperature_rise


def mismatch(pin_expansion: float, parent_expansion: float) -> float:
    """Difference of the two coefficients.

    a_pin - a_parent

    Args:
        pin_expansion: a_pin [1/K].
        parent_expansion: a_parent [1/K].

    Returns:
        difference [1/K].

    Validity: metals, 0 to 40e-6 1/K; catches a coefficient given in 1e-6/K.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(1e6 * mismatch(17.2e-6, 11.4e-6), 1)
        5.8

    Source: definition.
    """
    between("pin_expansion", pin_expansion, 0.0, 40e-6, "1/K")
    between("parent_expansion", parent_expansion, 0.0, 40e-6, "1/K")
    return pin_expansion - parent_expansion


def contact_pressure(
    interference: float,
    diameter: float,
    *,
    pin_modulus: float,
    pin_poisson: float,
    parent_modulus: float,
    parent_poisson: float,
) -> float:
    """Pressure between a pin and a wide wall; equal to the hoop tension at the hole.

    p = (dd/d) / [(1 - nu_p)/E_p + (1 + nu)/E]

    Args:
        interference: dd on the diameter [mm]; at or below zero the fit is open.
        diameter: d [mm].
        pin_modulus: E_p [MPa].
        pin_poisson: nu_p [1].
        parent_modulus: E [MPa].
        parent_poisson: nu [1].

    Returns:
        p [MPa]; 0 for an open fit.

    Validity: elastic, wall wide against the pin, a snug fit before warming.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(contact_pressure(0.005824, 8, pin_modulus=100e3, pin_poisson=0.34,
        ...     parent_modulus=110e3, parent_poisson=0.26), 1)
        40.3

    Source: thick cylinder in the limit of a wide wall (memory).
    """
    finite("interference", interference, "mm")
    positive("diameter", diameter, "mm")
    positive("pin_modulus", pin_modulus, "MPa")
    positive("parent_modulus", parent_modulus, "MPa")
    between("pin_poisson", pin_poisson, 0.0, 0.5, "")
    between("parent_poisson", parent_poisson, 0.0, 0.5, "")
    yielding = (1 - pin_poisson) / pin_modulus + (1 + parent_poisson) / parent_modulus
    return max(0.0, interference) / diameter / yielding


def key_length_change(
    length: float, key_expansion: float, parent_expansion: float, temperature_rise: float
) -> float:
    """How much longer a key grows than its slot.

    dL = L (a_key - a_parent) dT

    Args:
        length: L between the outer lobes [mm].
        key_expansion: a_key [1/K].
        parent_expansion: a_parent [1/K].
        temperature_rise: dT [K].

    Returns:
        dL [mm]; positive pushes the crack open, negative loads the key in tension.

    Validity: as :func:`fit_change`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(1000 * key_length_change(30, 17.2e-6, 11.4e-6, 100), 1)
        17.4

    Source: definition of the coefficient.
    """
    positive("length", length, "mm")
    finite("temperature_rise", temperature_rise, "K")
    return length * mismatch(key_expansion, parent_expansion) * temperature_rise


def held_key_stress(
    key_modulus: float, key_expansion: float, parent_expansion: float, temperature_rise: float
) -> float:
    """Stress in a key that a stiff parent holds at its slot's length; an upper bound.

    s = E (a_key - a_parent) dT

    Args:
        key_modulus: E of the key [MPa].
        key_expansion: a_key [1/K].
        parent_expansion: a_parent [1/K].
        temperature_rise: dT [K].

    Returns:
        s [MPa]; positive is compression in the key.

    Validity: elastic, parent taken as rigid.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(held_key_stress(193e3, 17.2e-6, 11.4e-6, 100))
        112

    Source: bar fully held in one direction (memory).
    """
    positive("key_modulus", key_modulus, "MPa")
    finite("temperature_rise", temperature_rise, "K")
    return key_modulus * mismatch(key_expansion, parent_expansion) * temperature_rise


def expansion_match(
    pin_expansion: float, parent_expansion: float, *, temperature_max: float, cycling: bool
) -> ExpansionMatch:
    """Judge the two metals against the rule for parts that cycle hot.

    |a_pin - a_parent| <= 2e-6 1/K where the part cycles above 100 degC

    Args:
        pin_expansion: a_pin [1/K].
        parent_expansion: a_parent [1/K].
        temperature_max: highest temperature of the metal in service [degC].
        cycling: the part warms and cools in service.

    Returns:
        the judgement with its reason.

    Validity: the rule asks nothing of parts that stay below 100 degC or do not cycle.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> expansion_match(12e-6, 11.4e-6, temperature_max=180, cycling=True).matched
        True
        >>> expansion_match(17.2e-6, 11.4e-6, temperature_max=180, cycling=True).because
        'differs by 5.8e-6 1/K where at most 2.0e-6 is allowed'

    Source: derived.
    """
    finite("temperature_max", temperature_max, "degC")
    difference = mismatch(pin_expansion, parent_expansion)
    size = abs(difference)
    if not cycling or temperature_max <= CYCLING_TEMPERATURE:
        return ExpansionMatch(difference, True, "the part does not cycle above 100 degC")
    within = size <= LARGEST_MISMATCH + _TINY
    allowed = f"at most {LARGEST_MISMATCH * 1e6:.1f}e-6 is allowed"
    return ExpansionMatch(difference, within, f"differs by {size * 1e6:.1f}e-6 1/K where {allowed}")
