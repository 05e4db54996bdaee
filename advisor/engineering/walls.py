"""Stress in a plain casting wall: cylinders, flat plates, held and unevenly heated walls."""

from __future__ import annotations

from bisect import bisect_right
from math import log
from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, finite, not_negative, positive
from advisor.light_dataclass import dataclass

Edge = Literal["clamped", "hinged"]
PanelEdge = Literal["clamped", "hinged", "either"]

# Wall over inner radius (ro/ri 1.2): there the mean-radius form is 0.8 % below the exact one.
THIN_CYLINDER_WALL_RATIO = 0.2
_ROUNDING = 1.0 + 1e-9


# Cylinders


@dataclass(frozen=True)
class CylinderStress:
    """Stresses of a closed cylinder under internal pressure [MPa]."""

    hoop_inner: float
    hoop_outer: float
    axial: float
    radial_inner: float
    form: Literal["thin", "thick"]

    @property
    def largest(self) -> float:
        """Largest tension in the wall [MPa]."""
        return max(self.hoop_inner, self.axial)


def thin_cylinder_hoop(pressure_mpa: float, inner_radius_mm: float, wall_mm: float) -> float:
    """Hoop stress of a thin cylinder on its mean radius.

    s = p * rm / t, rm = ri + t/2

    Args:
        pressure_mpa: internal gauge pressure [MPa]
        inner_radius_mm: inner radius [mm]
        wall_mm: wall thickness [mm]

    Returns:
        hoop stress [MPa]

    Validity: ro/ri up to 1.2, where it is 0.8 % below Lame.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> thin_cylinder_hoop(1.0, 50.0, 10.0)
        5.5

    Source: any textbook of strength of materials (memory); error against Lame (computed).
    """
    not_negative("pressure", pressure_mpa, "MPa")
    positive("inner_radius", inner_radius_mm, "mm")
    positive("wall", wall_mm, "mm")
    if not _is_thin(inner_radius_mm, wall_mm):
        raise OutOfRange(
            "wall",
            wall_mm,
            f"the thin form holds up to 0.2 of the inner radius = {0.2 * inner_radius_mm:g} mm",
            "use the thick cylinder",
        )
    return pressure_mpa * (inner_radius_mm + wall_mm / 2.0) / wall_mm


def _is_thin(inner_radius_mm: float, wall_mm: float) -> bool:
    return wall_mm <= THIN_CYLINDER_WALL_RATIO * inner_radius_mm * _ROUNDING


def thick_cylinder_hoop(
    pressure_mpa: float, inner_radius_mm: float, wall_mm: float, radius_mm: float
) -> float:
    """Hoop stress of a thick cylinder at a radius (Lame).

    s(r) = p * ri^2/(ro^2 - ri^2) * (1 + ro^2/r^2)

    Args:
        pressure_mpa: internal gauge pressure [MPa]
        inner_radius_mm: inner radius [mm]
        wall_mm: wall thickness [mm]
        radius_mm: where the stress is wanted, inside the wall [mm]

    Returns:
        hoop stress [MPa]

    Validity: any thickness, elastic, away from the ends.

    Raises:
        OutOfRange: radius outside the wall, or a size that is not above zero.

    Example:
        >>> round(thick_cylinder_hoop(10.0, 50.0, 50.0, 50.0), 3)
        16.667

    Source: Lame, any textbook (memory); checked by a boundary-value solution (computed).
    """
    base, outer = _lame_base(pressure_mpa, inner_radius_mm, wall_mm)
    between("radius", radius_mm, inner_radius_mm / _ROUNDING, outer * _ROUNDING, "mm")
    return base * (1.0 + (outer / radius_mm) ** 2)


def thick_cylinder_radial(
    pressure_mpa: float, inner_radius_mm: float, wall_mm: float, radius_mm: float
) -> float:
    """Radial stress of a thick cylinder at a radius (Lame), negative in compression.

    s(r) = p * ri^2/(ro^2 - ri^2) * (1 - ro^2/r^2)

    Args:
        pressure_mpa: internal gauge pressure [MPa]
        inner_radius_mm: inner radius [mm]
        wall_mm: wall thickness [mm]
        radius_mm: where the stress is wanted, inside the wall [mm]

    Returns:
        radial stress [MPa]

    Validity: any thickness, elastic, away from the ends.

    Raises:
        OutOfRange: radius outside the wall, or a size that is not above zero.

    Example:
        >>> round(thick_cylinder_radial(10.0, 50.0, 50.0, 50.0), 3)
        -10.0

    Source: Lame, any textbook (memory).
    """
    base, outer = _lame_base(pressure_mpa, inner_radius_mm, wall_mm)
    between("radius", radius_mm, inner_radius_mm / _ROUNDING, outer * _ROUNDING, "mm")
    return base * (1.0 - (outer / radius_mm) ** 2)


def thick_cylinder_axial(pressure_mpa: float, inner_radius_mm: float, wall_mm: float) -> float:
    """Axial stress of a closed thick cylinder.

    s = p * ri^2/(ro^2 - ri^2)

    Args:
        pressure_mpa: internal gauge pressure [MPa]
        inner_radius_mm: inner radius [mm]
        wall_mm: wall thickness [mm]

    Returns:
        axial stress [MPa]

    Validity: closed ends, away from them.

    Raises:
        OutOfRange: a size that is not above zero.

    Example:
        >>> round(thick_cylinder_axial(10.0, 50.0, 50.0), 3)
        3.333

    Source: Lame, any textbook (memory).
    """
    return _lame_base(pressure_mpa, inner_radius_mm, wall_mm)[0]


def _lame_base(pressure_mpa: float, inner_radius_mm: float, wall_mm: float) -> tuple[float, float]:
    not_negative("pressure", pressure_mpa, "MPa")
    positive("inner_radius", inner_radius_mm, "mm")
    positive("wall", wall_mm, "mm")
    outer = inner_radius_mm + wall_mm
    return pressure_mpa * inner_radius_mm**2 / (outer**2 - inner_radius_mm**2), outer


def cylinder(pressure_mpa: float, inner_radius_mm: float, wall_mm: float) -> CylinderStress:
    """Stresses of a closed cylinder, by the thin form up to ro/ri 1.2 and by Lame above.

    thin: s = p*rm/t; thick: Lame

    Args:
        pressure_mpa: internal gauge pressure [MPa]
        inner_radius_mm: inner radius [mm]
        wall_mm: wall thickness [mm]

    Returns:
        hoop at both faces, axial and inner radial stress [MPa], and the form that was used

    Validity: elastic, away from ends, openings and ribs.

    Raises:
        OutOfRange: a size that is not above zero.

    Example:
        >>> cylinder(0.45, 60.0, 12.0).form, cylinder(10.0, 50.0, 50.0).form
        ('thin', 'thick')

    Source: any textbook (memory); the change-over at 1.2 (computed).
    """
    axial = thick_cylinder_axial(pressure_mpa, inner_radius_mm, wall_mm)
    if _is_thin(inner_radius_mm, wall_mm):
        hoop = thin_cylinder_hoop(pressure_mpa, inner_radius_mm, wall_mm)
        return CylinderStress(hoop, hoop, axial, -pressure_mpa, "thin")
    outer = inner_radius_mm + wall_mm
    return CylinderStress(
        thick_cylinder_hoop(pressure_mpa, inner_radius_mm, wall_mm, inner_radius_mm),
        thick_cylinder_hoop(pressure_mpa, inner_radius_mm, wall_mm, outer),
        axial,
        -pressure_mpa,
        "thick",
    )


# Flat plates


@dataclass(frozen=True)
class PlateStress:
    """Bending stress of a flat plate [MPa] and its deflection at the centre [mm]."""

    edge: float
    centre: float
    deflection: float

    @property
    def largest(self) -> float:
        """Largest bending stress [MPa]."""
        return max(self.edge, self.centre)


def circular_plate(
    pressure_mpa: float,
    radius_mm: float,
    wall_mm: float,
    edge: Edge,
    modulus_mpa: float,
    poisson: float,
) -> PlateStress:
    """Bending of a flat circular plate under uniform pressure.

    clamped: edge (3/4) q (R/t)^2, centre (3/8)(1+nu) q (R/t)^2, w = q R^4/(64 D)
    hinged: centre (3/8)(3+nu) q (R/t)^2, w = q R^4 (5+nu)/[64 D (1+nu)]
    D = E t^3/[12 (1-nu^2)]

    Args:
        pressure_mpa: uniform pressure [MPa]
        radius_mm: radius of the free span [mm]
        wall_mm: wall thickness [mm]
        edge: how the rim is held
        modulus_mpa: Young's modulus of the metal at its grade [MPa]
        poisson: Poisson's ratio

    Returns:
        stress at the edge and at the centre [MPa], deflection [mm]

    Validity: thin plate, t <= R/5; small deflection, w <= t/2.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> plate = circular_plate(0.3, 40.0, 5.0, "clamped", 110e3, 0.26)
        >>> round(plate.edge, 2), round(plate.centre, 2), round(plate.deflection, 4)
        (14.4, 9.07, 0.0098)

    Source: clamped stress and both deflections, plate theory in an open source (read);
    other stresses, any textbook (memory).
    """
    not_negative("pressure", pressure_mpa, "MPa")
    positive("radius", radius_mm, "mm")
    positive("wall", wall_mm, "mm")
    positive("modulus", modulus_mpa, "MPa")
    between("poisson", poisson, 0.0, 0.5, "")
    if wall_mm > radius_mm / 5.0:
        raise OutOfRange(
            "wall", wall_mm, f"a thin plate has a wall of at most radius/5 = {radius_mm / 5.0:g} mm"
        )
    load = pressure_mpa * (radius_mm / wall_mm) ** 2
    stiffness = modulus_mpa * wall_mm**3 / (12.0 * (1.0 - poisson**2))
    clamped_deflection = pressure_mpa * radius_mm**4 / (64.0 * stiffness)
    if edge == "clamped":
        result = PlateStress(0.75 * load, 0.375 * (1.0 + poisson) * load, clamped_deflection)
    else:
        deflection = clamped_deflection * (5.0 + poisson) / (1.0 + poisson)
        result = PlateStress(0.0, 0.375 * (3.0 + poisson) * load, deflection)
    _small_deflection(result.deflection, wall_mm)
    return result


def _small_deflection(deflection_mm: float, wall_mm: float) -> None:
    if deflection_mm > wall_mm / 2.0:
        raise OutOfRange(
            "deflection",
            round(deflection_mm, 3),
            f"plate bending holds up to half the wall = {wall_mm / 2.0:g} mm",
        )


@dataclass(frozen=True)
class _Column:
    """One coefficient of a rectangular plate against side ratio; `strip` holds beyond it."""

    ratios: tuple[float, ...]
    values: tuple[float, ...]
    strip: float

    def at(self, ratio: float) -> float:
        if ratio >= self.ratios[-1]:
            return self.strip
        return _monotone(self.ratios, self.values, ratio)


def _monotone(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    """Cubic interpolation that keeps a rising table rising (Fritsch and Butland slopes).

    A straight line between rows would lie below these curves, on the unsafe side.
    """
    i = min(max(bisect_right(xs, x) - 1, 0), len(xs) - 2)
    step = xs[i + 1] - xs[i]
    u = (x - xs[i]) / step
    start, end = _slope(xs, ys, i) * step, _slope(xs, ys, i + 1) * step
    return (
        (1 + 2 * u) * (1 - u) ** 2 * ys[i]
        + u * (1 - u) ** 2 * start
        + u * u * (3 - 2 * u) * ys[i + 1]
        + u * u * (u - 1) * end
    )


def _slope(xs: tuple[float, ...], ys: tuple[float, ...], i: int) -> float:
    last = len(xs) - 1
    secants = [(ys[j + 1] - ys[j]) / (xs[j + 1] - xs[j]) for j in range(last)]
    if i == 0:
        return max(0.0, 1.5 * secants[0] - 0.5 * secants[1])
    if i == last:
        return max(0.0, 1.5 * secants[-1] - 0.5 * secants[-2])
    before, after = secants[i - 1], secants[i]
    if before * after <= 0.0:
        return 0.0
    left, right = xs[i] - xs[i - 1], xs[i + 1] - xs[i]
    weight_before, weight_after = 2 * right + left, right + 2 * left
    return (weight_before + weight_after) / (weight_before / before + weight_after / after)


_TO_TWO = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0)

# Roark, Formulas for Stress and Strain, Table 11.4, case 1a (read), nu = 0.3; row 2.5 and
# all clamped rows above 2 are finite elements (computed).
_HINGED_CENTRE = _Column(
    (*_TO_TWO, 2.5, 3.0, 4.0, 5.0),
    (0.2874, 0.3762, 0.4530, 0.5172, 0.5688, 0.6102, 0.6776, 0.7134, 0.7410, 0.7476),
    0.7500,
)
_HINGED_DEFLECTION = _Column(
    (*_TO_TWO, 2.5, 3.0, 4.0, 5.0),
    (0.0444, 0.0616, 0.0770, 0.0906, 0.1017, 0.1110, 0.1255, 0.1335, 0.1400, 0.1417),
    0.1421,
)
# Case 8a of the same table (memory). Near a ratio of 2.5 the clamped stresses overshoot the
# infinite strip (0.500 and 0.250): the largest value is kept from there on.
_CLAMPED_EDGE = _Column(
    (*_TO_TWO, 2.5), (0.3078, 0.3834, 0.4356, 0.4680, 0.4872, 0.4974, 0.5040), 0.5040
)
_CLAMPED_CENTRE = _Column(
    (*_TO_TWO, 2.5), (0.1386, 0.1794, 0.2094, 0.2286, 0.2406, 0.2472, 0.2518), 0.2518
)
_CLAMPED_DEFLECTION = _Column(
    (*_TO_TWO, 2.5, 3.0), (0.0138, 0.0188, 0.0226, 0.0251, 0.0267, 0.0277, 0.0285, 0.0286), 0.0286
)

THINNEST_PANEL_SPAN_IN_WALLS = 5.0


@dataclass(frozen=True)
class PlateCoefficients:
    """Coefficients of a rectangular plate, nu 0.3: s = beta q (b/t)^2, w = alpha q b^4/(E t^3)."""

    edge: float
    centre: float
    deflection: float


def plate_coefficients(side_ratio: float, edge: Edge) -> PlateCoefficients:
    """Coefficients of a uniformly loaded rectangular plate, interpolated in the side ratio.

    s = beta * q * (b/t)^2; w = alpha * q * b^4/(E t^3)

    Args:
        side_ratio: long side over short side; `math.inf` for a long strip
        edge: clamped or hinged on all four sides

    Returns:
        beta at the middle of the long edge, beta at the centre, alpha

    Validity: nu 0.3 (0.26 leaves the clamped edge value and lowers the hinged one 1 to 3 %).

    Raises:
        OutOfRange: a ratio below 1.

    Example:
        >>> round(plate_coefficients(2.0, "hinged").centre, 4)
        0.6102
        >>> from math import inf
        >>> plate_coefficients(inf, "clamped").edge
        0.504

    Source: Roark, Formulas for Stress and Strain, Table 11.4, cases 1a (read) and 8a (memory);
    above a ratio of 2 clamped, and the cap 0.504, finite elements (computed).
    """
    if not side_ratio >= 1.0:
        raise OutOfRange("side_ratio", side_ratio, "must be 1 or more", "long side first")
    if edge == "hinged":
        return PlateCoefficients(
            0.0, _HINGED_CENTRE.at(side_ratio), _HINGED_DEFLECTION.at(side_ratio)
        )
    return PlateCoefficients(
        _CLAMPED_EDGE.at(side_ratio),
        _CLAMPED_CENTRE.at(side_ratio),
        _CLAMPED_DEFLECTION.at(side_ratio),
    )


def _panel_load(pressure_mpa: float, long_mm: float, short_mm: float, wall_mm: float) -> float:
    """Return q (b/t)^2 after checking that the panel is a thin plate."""
    not_negative("pressure", pressure_mpa, "MPa")
    positive("short_side", short_mm, "mm")
    positive("wall", wall_mm, "mm")
    if not long_mm >= short_mm:
        raise OutOfRange("long_side", long_mm, f"must be at least the short side {short_mm:g} mm")
    if short_mm < THINNEST_PANEL_SPAN_IN_WALLS * wall_mm:
        raise OutOfRange(
            "short_side",
            short_mm,
            f"a thin plate spans at least 5 walls = {5.0 * wall_mm:g} mm",
            "a span of 5 walls over-estimates the stress of a shorter one",
        )
    return pressure_mpa * (short_mm / wall_mm) ** 2


def rectangular_plate(
    pressure_mpa: float,
    long_mm: float,
    short_mm: float,
    wall_mm: float,
    edge: Edge,
    modulus_mpa: float,
) -> PlateStress:
    """Bending of a flat rectangular plate under uniform pressure.

    s = beta * q * (b/t)^2; w = alpha * q * b^4/(E t^3)

    Args:
        pressure_mpa: uniform pressure [MPa]
        long_mm: long side, `math.inf` for a long strip [mm]
        short_mm: short side [mm]
        wall_mm: wall thickness [mm]
        edge: clamped or hinged on all four sides
        modulus_mpa: Young's modulus [MPa]

    Returns:
        stress at the middle of the long edge and at the centre [MPa], deflection [mm]

    Validity: short side at least 5 walls; deflection up to half the wall; nu 0.3.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(rectangular_plate(0.3, 160.0, 80.0, 5.0, "hinged", 110e3).centre, 2)
        46.86

    Source: Roark, Formulas for Stress and Strain, Table 11.4 (read; clamped rows memory).
    """
    load = _panel_load(pressure_mpa, long_mm, short_mm, wall_mm)
    positive("modulus", modulus_mpa, "MPa")
    found = plate_coefficients(long_mm / short_mm, edge)
    deflection = found.deflection * load * short_mm**2 / (modulus_mpa * wall_mm)
    _small_deflection(deflection, wall_mm)
    return PlateStress(found.edge * load, found.centre * load, deflection)


@dataclass(frozen=True)
class PanelBounds:
    """Two bounds for a panel between ribs [MPa]: it is neither clamped nor hinged."""

    at_ribs_clamped: float
    mid_span_hinged: float

    @property
    def largest(self) -> float:
        """The bound to design with [MPa]."""
        return max(self.at_ribs_clamped, self.mid_span_hinged)


def panel_bounds(
    pressure_mpa: float, long_mm: float, short_mm: float, wall_mm: float
) -> PanelBounds:
    """Bound the stress of a flat panel between ribs, such as a water jacket.

    at the ribs beta1(clamped) q (b/t)^2; mid-span beta(hinged) q (b/t)^2

    Args:
        pressure_mpa: pressure on the panel [MPa]
        long_mm: longer rib spacing, `math.inf` for a long strip [mm]
        short_mm: shorter rib spacing [mm]
        wall_mm: wall thickness [mm]

    Returns:
        the clamped stress at the ribs and the hinged stress at mid-span [MPa]

    Validity: flat, short side at least 5 walls, small deflection, nu 0.3 (safe for gray iron).

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> bounds = panel_bounds(0.3, 120.0, 80.0, 5.0)
        >>> round(bounds.at_ribs_clamped, 1), round(bounds.mid_span_hinged, 1)
        (34.9, 37.4)

    Source: the choice of bounds follows from statics (computed); coefficients as
    `plate_coefficients`.
    """
    load = _panel_load(pressure_mpa, long_mm, short_mm, wall_mm)
    ratio = long_mm / short_mm
    return PanelBounds(
        _CLAMPED_EDGE.at(ratio) * load,
        _HINGED_CENTRE.at(ratio) * load,
    )


def panel_pressure(
    stress_mpa: float, long_mm: float, short_mm: float, wall_mm: float, edge: PanelEdge = "either"
) -> float:
    """Pressure at which a flat panel reaches a stated stress.

    q = s / [beta (b/t)^2]

    Args:
        stress_mpa: the stress not to pass [MPa]
        long_mm: longer rib spacing, `math.inf` for a long strip [mm]
        short_mm: shorter rib spacing [mm]
        wall_mm: wall thickness [mm]
        edge: which bound to use; "either" takes the one that is reached first

    Returns:
        pressure [MPa]

    Validity: as `panel_bounds`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> from math import inf
        >>> round(panel_pressure(225.0, inf, 80.0, 5.0, "clamped"), 2)
        1.74

    Source: inverse of `panel_bounds` (computed).
    """
    positive("stress", stress_mpa, "MPa")
    at_one = panel_bounds(1.0, long_mm, short_mm, wall_mm)
    per_mpa = {
        "clamped": at_one.at_ribs_clamped,
        "hinged": at_one.mid_span_hinged,
        "either": at_one.largest,
    }[edge]
    return stress_mpa / per_mpa


# Thermal stress


def _expansion(modulus_mpa: float, expansion_per_k: float, rise_k: float) -> float:
    positive("modulus", modulus_mpa, "MPa")
    positive("expansion", expansion_per_k, "1/K")
    finite("temperature_rise", rise_k, "K")
    if expansion_per_k > 1e-3:
        raise OutOfRange("expansion", expansion_per_k, "metals stay below 1e-3 per K", "1e-6 each?")
    return modulus_mpa * expansion_per_k * rise_k


def held_bar_stress(modulus_mpa: float, expansion_per_k: float, rise_k: float) -> float:
    """Stress of a bar that is fully held in one direction while its temperature changes.

    s = E * alpha * dT (the size; heating gives compression, cooling from it tension)

    Args:
        modulus_mpa: Young's modulus of the grade [MPa]
        expansion_per_k: coefficient of linear expansion [1/K]
        rise_k: temperature change [K]

    Returns:
        stress, with the sign of the temperature change [MPa]

    Validity: elastic, fully held.

    Raises:
        OutOfRange: a modulus or coefficient that is not one of a metal.

    Example:
        >>> round(held_bar_stress(110e3, 11.4e-6, 100.0), 1)
        125.4

    Source: any textbook (memory).
    """
    return _expansion(modulus_mpa, expansion_per_k, rise_k)


def held_plate_stress(
    modulus_mpa: float, expansion_per_k: float, rise_k: float, poisson: float
) -> float:
    """Stress of a wall that is held in both directions while its temperature changes.

    s = E * alpha * dT/(1 - nu)

    Args:
        modulus_mpa: Young's modulus of the grade [MPa]
        expansion_per_k: coefficient of linear expansion [1/K]
        rise_k: temperature change [K]
        poisson: Poisson's ratio

    Returns:
        stress, with the sign of the temperature change [MPa]

    Validity: elastic, fully held.

    Raises:
        OutOfRange: a value that is not one of a metal.

    Example:
        >>> round(held_plate_stress(110e3, 11.4e-6, 100.0, 0.26), 2)
        169.46

    Source: any textbook (memory).
    """
    between("poisson", poisson, 0.0, 0.5, "")
    return _expansion(modulus_mpa, expansion_per_k, rise_k) / (1.0 - poisson)


def gradient_stress(
    modulus_mpa: float, expansion_per_k: float, difference_k: float, poisson: float
) -> float:
    """Surface stress of a wall held flat with a straight temperature fall through it.

    s = +/- E * alpha * dT/[2 (1 - nu)]: tension on the cold face, compression on the hot one

    Args:
        modulus_mpa: Young's modulus of the grade [MPa]
        expansion_per_k: coefficient of linear expansion [1/K]
        difference_k: temperature difference between the faces [K]
        poisson: Poisson's ratio

    Returns:
        size of the surface stress [MPa]

    Validity: elastic, wall kept flat by its surroundings.

    Raises:
        OutOfRange: a value that is not one of a metal.

    Example:
        >>> round(gradient_stress(110e3, 11.4e-6, 100.0, 0.26), 1)
        84.7

    Source: any textbook (memory).
    """
    return held_plate_stress(modulus_mpa, expansion_per_k, abs(difference_k), poisson) / 2.0


@dataclass(frozen=True)
class FaceStress:
    """Stress at the two faces of a cylinder wall [MPa], tension positive."""

    inner: float
    outer: float


def hot_bore_stress(
    modulus_mpa: float,
    expansion_per_k: float,
    difference_k: float,
    poisson: float,
    radius_ratio: float,
) -> FaceStress:
    """Hoop stress of a cylinder whose inside is hotter than its outside, steady flow of heat.

    c = E a dT/[2 (1-nu) ln k]; inner = c [1 - 2 k^2 ln k/(k^2-1)]; outer = c [1 - 2 ln k/(k^2-1)]

    Args:
        modulus_mpa: Young's modulus of the grade [MPa]
        expansion_per_k: coefficient of linear expansion [1/K]
        difference_k: inside temperature less outside temperature [K]
        poisson: Poisson's ratio
        radius_ratio: outer radius over inner radius

    Returns:
        stress at both faces; a hot bore is in compression, its outside in tension [MPa]

    Validity: long cylinder, steady state, elastic, away from the ends.

    Raises:
        OutOfRange: a radius ratio not above 1.001, or a value that is not one of a metal.

    Example:
        >>> faces = hot_bore_stress(110e3, 11.4e-6, 50.0, 0.26, 1.2)
        >>> round(faces.inner, 2), round(faces.outer, 2)
        (-44.93, 39.8)

    Source: any textbook (memory), confirmed by integration (computed).
    """
    between("poisson", poisson, 0.0, 0.5, "")
    between(
        "radius_ratio", radius_ratio, 1.001, 100.0, "", "a thinner wall is a plate: gradient_stress"
    )
    ln_k = log(radius_ratio)
    common = _expansion(modulus_mpa, expansion_per_k, difference_k) / (2.0 * (1.0 - poisson) * ln_k)
    share = 2.0 * ln_k / (radius_ratio**2 - 1.0)
    return FaceStress(common * (1.0 - share * radius_ratio**2), common * (1.0 - share))
