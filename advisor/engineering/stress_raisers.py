"""Elastic stress raisers of a plain wall: holes, fillets, one-sided steps."""

from __future__ import annotations

from math import sqrt

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, finite, not_negative, positive

LARGEST_HOLE_IN_STRIP = 0.8  # hole diameter over strip width


def hole_factor_net(hole_diameter_mm: float, strip_width_mm: float) -> float:
    """Stress concentration of a central hole in a strip in tension, on the net section.

    x = d/W; Kt = 3.00 - 3.13 x + 3.66 x^2 - 1.53 x^3, nominal stress P/[t (W - d)]

    Args:
        hole_diameter_mm: hole diameter [mm]
        strip_width_mm: width of the strip [mm]

    Returns:
        peak stress over net-section stress

    Validity: d/W up to 0.8; elastic. In gray iron under static load a small hole weakens less:
    see the critical distance.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hole_factor_net(30.0, 100.0), 4)
        2.3491

    Source: Roark, Formulas for Stress and Strain, Table 17.1, reproduced (read2).
    """
    positive("hole_diameter", hole_diameter_mm, "mm")
    positive("strip_width", strip_width_mm, "mm")
    x = hole_diameter_mm / strip_width_mm
    between("hole_diameter/strip_width", x, 0.0, LARGEST_HOLE_IN_STRIP, "")
    return 3.00 - 3.13 * x + 3.66 * x**2 - 1.53 * x**3


def hole_factor_gross(hole_diameter_mm: float, strip_width_mm: float) -> float:
    """Stress concentration of a central hole in a strip in tension, on the full section.

    Ktg = Kt_net/(1 - d/W)

    Args:
        hole_diameter_mm: hole diameter [mm]
        strip_width_mm: width of the strip [mm]

    Returns:
        peak stress over the stress of the strip away from the hole

    Validity: as `hole_factor_net`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hole_factor_gross(30.0, 100.0), 4)
        3.3558

    Source: as `hole_factor_net`; the conversion is statics (computed).
    """
    return hole_factor_net(hole_diameter_mm, strip_width_mm) / (
        1.0 - hole_diameter_mm / strip_width_mm
    )


def hole_peak_two_ways(larger_mpa: float, smaller_mpa: float) -> float:
    """Peak stress at a hole in a wide wall that is stressed in two directions.

    s = 3 s1 - s2 (2 in equal tension, 2.5 in a cylinder wall, 4 in pure shear)

    Args:
        larger_mpa: larger principal stress [MPa]
        smaller_mpa: smaller principal stress, negative in compression [MPa]

    Returns:
        peak stress at the rim of the hole [MPa]

    Validity: hole small against the wall and far from edges; the larger stress is tension.

    Raises:
        OutOfRange: stresses in the wrong order, or no tension.

    Example:
        >>> hole_peak_two_ways(2.0, 1.0)
        5.0

    Source: Kirsch, any textbook; values 3, 2 and 4 in an engineering data page (read2).
    """
    not_negative("larger_stress", larger_mpa, "MPa")
    finite("smaller_stress", smaller_mpa, "MPa")
    if smaller_mpa > larger_mpa:
        raise OutOfRange("smaller_stress", smaller_mpa, f"must be at most {larger_mpa:g} MPa")
    return 3.0 * larger_mpa - smaller_mpa


_TENSION_LOW = ((-0.114, -0.585, 0.314), (0.241, -0.992, -0.271), (-0.134, 0.577, -0.012))
_TENSION_HIGH = ((-0.074, -0.156, -0.010), (-3.418, 1.220, -0.005), (3.450, -2.046, 0.051))
_BENDING_LOW = ((-0.270, -2.404, 0.749), (0.677, 1.133, -0.904), (-0.414, 0.271, 0.186))
_BENDING_HIGH = ((-3.599, 1.619, -0.431), (6.084, -5.607, 1.158), (-2.527, 3.006, -0.691))
_Rows = tuple[tuple[float, float, float], ...]


def fillet_factor_tension(wide_mm: float, step_mm: float, radius_mm: float) -> float:
    """Stress concentration of a shoulder fillet in a flat bar in tension.

    u = sqrt(h/r), y = 2h/D; Kt = C1 + C2 y + C3 y^2 + C4 y^3, nominal stress on D - 2h

    Args:
        wide_mm: depth D of the wide part [mm]
        step_mm: step height h on each side [mm]
        radius_mm: fillet radius r [mm]

    Returns:
        peak stress over the nominal stress of the narrow part

    Validity: 0.1 <= h/r <= 20, 2h < D, wide part long enough to carry the load; within 5 % of
    finite elements.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(fillet_factor_tension(20.0, 4.0, 2.0), 3)
        2.003

    Source: Roark, Formulas for Stress and Strain, Table 17.1, reproduced (read2).
    """
    return _fillet_factor(wide_mm, step_mm, radius_mm, _TENSION_LOW, _TENSION_HIGH)


def fillet_factor_bending(wide_mm: float, step_mm: float, radius_mm: float) -> float:
    """Stress concentration of a shoulder fillet in a flat bar in bending.

    u = sqrt(h/r), y = 2h/D; Kt = C1 + C2 y + C3 y^2 + C4 y^3, nominal stress on D - 2h

    Args:
        wide_mm: depth D of the wide part [mm]
        step_mm: step height h on each side [mm]
        radius_mm: fillet radius r [mm]

    Returns:
        peak stress over the nominal stress of the narrow part

    Validity: 0.1 <= h/r <= 20, 2h < D; within 5 % of finite elements.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(fillet_factor_bending(20.0, 4.0, 2.0), 3)
        1.588

    Source: Roark, Formulas for Stress and Strain, Table 17.1, reproduced (read2).
    """
    return _fillet_factor(wide_mm, step_mm, radius_mm, _BENDING_LOW, _BENDING_HIGH)


def _fillet_factor(
    wide_mm: float, step_mm: float, radius_mm: float, low: _Rows, high: _Rows
) -> float:
    positive("wide", wide_mm, "mm")
    positive("step", step_mm, "mm")
    positive("radius", radius_mm, "mm")
    if 2.0 * step_mm >= wide_mm:
        raise OutOfRange("step", step_mm, f"two steps must leave some of the {wide_mm:g} mm")
    steepness = step_mm / radius_mm
    between("step/radius", steepness, 0.1, 20.0, "")
    u = sqrt(steepness)
    shallow = steepness <= 2.0
    first = 1.007 + u - 0.031 * u**2 if shallow else 1.042 + 0.982 * u - 0.036 * u**2
    y = 2.0 * step_mm / wide_mm
    rest = low if shallow else high
    return first + sum(
        (a + b * u + c * u**2) * y**power for power, (a, b, c) in enumerate(rest, start=1)
    )


def one_sided_step_bending(step_mm: float, thin_wall_mm: float, membrane_mpa: float) -> float:
    """Bending stress that a step on one face adds to the thinner wall.

    e = h/2; s_b = 6 (e/t) s_m

    Args:
        step_mm: height of the step on one face [mm]
        thin_wall_mm: thickness of the thinner side [mm]
        membrane_mpa: mean stress of the thinner side [MPa]

    Returns:
        added bending stress at the face of the thinner side [MPa]

    Validity: a wall that is free to bend; a wall held by ribs or curvature takes less.

    Raises:
        OutOfRange: a size that is not above zero.

    Example:
        >>> one_sided_step_bending(4.0, 8.0, 10.0)
        15.0

    Source: statics of the shifted mid-plane (computed).
    """
    not_negative("step", step_mm, "mm")
    positive("thin_wall", thin_wall_mm, "mm")
    finite("membrane_stress", membrane_mpa, "MPa")
    return 6.0 * (step_mm / 2.0 / thin_wall_mm) * membrane_mpa


def fatigue_notch_factor(stress_concentration: float, notch_sensitivity: float) -> float:
    """Fatigue notch factor from the elastic one.

    Kf = 1 + q (Kt - 1)

    Args:
        stress_concentration: elastic factor Kt
        notch_sensitivity: q, 0 for a metal that does not feel the notch, 1 for full effect

    Returns:
        factor on the nominal stress range

    Validity: Kt 1 or more, q 0 to 1; take 1 where q is not known.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> fatigue_notch_factor(3.0, 0.2)
        1.4

    Source: engineering calculation notes on stress concentration (read2).
    """
    between("stress_concentration", stress_concentration, 1.0, 100.0, "")
    between("notch_sensitivity", notch_sensitivity, 0.0, 1.0, "")
    return 1.0 + notch_sensitivity * (stress_concentration - 1.0)
