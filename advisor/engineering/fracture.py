"""Fracture of a cracked wall: stress intensity, when it runs, stop holes.

Lengths in mm, stress in MPa, stress intensity and toughness in MPa*sqrt(m). Every function
takes the crack length in mm and converts inside.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, exp, pi, radians, sin, sqrt, tan

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, not_negative, positive
from advisor.light_dataclass import dataclass

MM_PER_M = 1000.0


def toughness_from_n_mm(value_n_mm_1_5: float) -> float:
    """Toughness in MPa*sqrt(m) from N/mm^1.5, the unit of the iron standards.

    K [MPa*sqrt(m)] = K [N/mm^1.5]/sqrt(1000)

    Args:
        value_n_mm_1_5: toughness [N/mm^1.5]

    Returns:
        toughness [MPa*sqrt(m)]

    Validity: a pure change of unit. A data page that prints 320 MPa*sqrt(m) for a gray iron
    has left it out.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(toughness_from_n_mm(480.0), 1)
        15.2

    Source: units (computed).
    """
    return positive("toughness", value_n_mm_1_5, "N/mm^1.5") / sqrt(MM_PER_M)


def stress_intensity(factor: float, stress_mpa: float, crack_mm: float) -> float:
    """Stress intensity of a crack.

    K = F s sqrt(pi a), a in metres

    Args:
        factor: geometry factor F of the case
        stress_mpa: gross stress square to the crack [MPa]
        crack_mm: the length a of the case: half length inside, full length at an edge [mm]

    Returns:
        stress intensity [MPa*sqrt(m)]

    Validity: linear elastic.

    Raises:
        OutOfRange: a negative stress (the crack is shut) or a length that is not above zero.

    Example:
        >>> round(stress_intensity(centre_crack_factor(30.0, 400.0), 40.0, 30.0), 2)
        12.45

    Source: any textbook of fracture mechanics (memory).
    """
    positive("factor", factor, "")
    not_negative("stress", stress_mpa, "MPa")
    positive("crack", crack_mm, "mm")
    return factor * stress_mpa * sqrt(pi * crack_mm / MM_PER_M)


def running_stress(toughness: float, factor: float, crack_mm: float) -> float:
    """Stress at which a crack starts to run.

    s = K_c/[F sqrt(pi a)]

    Args:
        toughness: fracture toughness; K_IC as lower bound [MPa*sqrt(m)]
        factor: geometry factor F of the case
        crack_mm: the length a of the case [mm]

    Returns:
        gross stress [MPa]

    Validity: linear elastic. It may grow by fatigue or heat at any lower stress.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(running_stress(15.0, 1.0, 44.76), 1)
        40.0

    Source: any textbook (memory).
    """
    positive("toughness", toughness, "MPa*sqrt(m)")
    return toughness / stress_intensity(factor, 1.0, crack_mm)


# Geometry factors


def _share(argument: str, part_mm: float, whole_mm: float, highest: float) -> float:
    """Crack over width; `highest` is the end of the formula, 1 itself is never allowed."""
    positive(argument, part_mm, "mm")
    positive("width", whole_mm, "mm")
    share = part_mm / whole_mm
    if share >= 1.0:
        raise OutOfRange(argument, part_mm, f"must be shorter than {whole_mm:g} mm")
    return between(f"{argument}/width", share, 0.0, highest, "")


def centre_crack_factor(half_crack_mm: float, width_mm: float) -> float:
    """Geometry factor of a crack in the middle of a strip in tension (Feddersen).

    F = sqrt(sec(pi a/W)), a half the crack, W the full width

    Args:
        half_crack_mm: half the crack length [mm]
        width_mm: full width of the strip [mm]

    Returns:
        F

    Validity: 2a/W up to 0.8; 0.4 % up to 0.7.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(centre_crack_factor(50.0, 200.0), 4)
        1.1892

    Source: form of Feddersen, in an open crack-growth program (read2); finite elements (computed).
    """
    x = _share("half_crack", half_crack_mm, width_mm / 2.0, 0.8)
    return sqrt(1.0 / cos(pi * x / 2.0))


def centre_crack_factor_tada(half_crack_mm: float, width_mm: float) -> float:
    """Geometry factor of a crack in the middle of a strip in tension (Tada).

    x = 2a/W; F = (1 - 0.025 x^2 + 0.06 x^4) sqrt(sec(pi x/2))

    Args:
        half_crack_mm: half the crack length [mm]
        width_mm: full width of the strip [mm]

    Returns:
        F

    Validity: any crack shorter than the width; 0.1 % claimed.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(centre_crack_factor_tada(50.0, 200.0), 4)
        1.1862

    Source: The Stress Analysis of Cracks Handbook, in open code (read2).
    """
    x = _share("half_crack", half_crack_mm, width_mm / 2.0, 1.0)
    return (1.0 - 0.025 * x**2 + 0.06 * x**4) * sqrt(1.0 / cos(pi * x / 2.0))


def edge_crack_factor(crack_mm: float, width_mm: float) -> float:
    """Geometry factor of an edge crack in a strip in tension that is free to bend (Tada).

    x = a/W; F = sqrt[(2/(pi x)) tan(pi x/2)] [0.752 + 2.02 x + 0.37 (1 - sin(pi x/2))^3]
    / cos(pi x/2)

    Args:
        crack_mm: crack length from the edge [mm]
        width_mm: width of the strip [mm]

    Returns:
        F

    Validity: any a/W below 1; 0.5 %.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(edge_crack_factor(50.0, 100.0), 4)
        2.8266

    Source: The Stress Analysis of Cracks Handbook, in open code (read2);
    finite elements (computed).
    """
    x = _share("crack", crack_mm, width_mm, 1.0)
    angle = pi * x / 2.0
    shape = 0.752 + 2.02 * x + 0.37 * (1.0 - sin(angle)) ** 3
    return sqrt(tan(angle) / angle) * shape / cos(angle)


def edge_crack_factor_polynomial(crack_mm: float, width_mm: float) -> float:
    """Geometry factor of an edge crack in a strip in tension, the common polynomial.

    x = a/W; F = 1.122 - 0.231 x + 10.55 x^2 - 21.72 x^3 + 30.39 x^4

    Args:
        crack_mm: crack length from the edge [mm]
        width_mm: width of the strip [mm]

    Returns:
        F

    Validity: a/W up to 0.6; 0.5 %.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(edge_crack_factor_polynomial(50.0, 100.0), 3)
        2.828

    Source: fatigue theory pages and two open programs (read2); some print 1.12 in front.
    """
    x = _share("crack", crack_mm, width_mm, 0.6)
    return 1.122 - 0.231 * x + 10.55 * x**2 - 21.72 * x**3 + 30.39 * x**4


def edge_crack_bending_factor(crack_mm: float, width_mm: float) -> float:
    """Geometry factor of an edge crack in pure bending; stress is the bending stress 6M/(t W^2).

    x = a/W; F = sqrt[(2/(pi x)) tan(pi x/2)] [0.923 + 0.199 (1 - sin(pi x/2))^4]/cos(pi x/2)

    Args:
        crack_mm: crack length from the tension edge [mm]
        width_mm: depth of the bar [mm]

    Returns:
        F

    Validity: any a/W below 1; up to 2.4 % low against finite elements (worst near 0.3).

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(edge_crack_bending_factor(50.0, 100.0), 3)
        1.475

    Source: The Stress Analysis of Cracks Handbook, in open code (read2);
    finite elements (computed).
    """
    x = _share("crack", crack_mm, width_mm, 1.0)
    angle = pi * x / 2.0
    shape = 0.923 + 0.199 * (1.0 - sin(angle)) ** 4
    return sqrt(tan(angle) / angle) * shape / cos(angle)


def double_edge_crack_factor(crack_mm: float, width_mm: float) -> float:
    """Geometry factor of two equal edge cracks in a strip in tension.

    x = 2a/W; F = [1 + 0.122 cos^4(pi x/2)] sqrt[(2/(pi x)) tan(pi x/2)]

    Args:
        crack_mm: length of each crack [mm]
        width_mm: full width of the strip [mm]

    Returns:
        F

    Validity: any pair that leaves metal between; 0.5 % claimed, 1 % against finite elements.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(double_edge_crack_factor(20.0, 200.0), 4)
        1.1185

    Source: The Stress Analysis of Cracks Handbook, in open code (read2);
    finite elements (computed).
    """
    x = _share("crack", crack_mm, width_mm / 2.0, 1.0)
    angle = pi * x / 2.0
    return (1.0 + 0.122 * cos(angle) ** 4) * sqrt(tan(angle) / angle)


LONGEST_BOWIE_CRACK = 2.0  # crack over hole radius


def _bowie(radius_mm: float, crack_mm: float) -> float:
    positive("hole_radius", radius_mm, "mm")
    positive("crack", crack_mm, "mm")
    return between(
        "crack/hole_radius",
        crack_mm / radius_mm,
        0.0,
        LONGEST_BOWIE_CRACK,
        "",
        "treat hole and cracks as one long crack",
    )


def hole_two_cracks_factor(radius_mm: float, crack_mm: float) -> float:
    """Geometry factor of two equal cracks from a hole in a wide wall in tension.

    q = a/R; F = 0.9439 + 0.6865/(0.2772 + q)

    Args:
        radius_mm: hole radius R [mm]
        crack_mm: length a of each crack from the rim [mm]

    Returns:
        F on the gross stress, with a as the crack length

    Validity: a/R up to 2; 1.5 % against finite elements from 0.1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hole_two_cracks_factor(10.0, 5.0), 4)
        1.8272

    Source: fit to the solution of Bowie, in an open crack-growth program (read2); finite
    elements (computed).
    """
    return 0.9439 + 0.6865 / (0.2772 + _bowie(radius_mm, crack_mm))


def hole_one_crack_factor(radius_mm: float, crack_mm: float) -> float:
    """Geometry factor of one crack from a hole in a wide wall in tension.

    q = a/R; F = 0.6762 + 0.8734/(0.3246 + q)

    Args:
        radius_mm: hole radius R [mm]
        crack_mm: length a of the crack from the rim [mm]

    Returns:
        F on the gross stress, with a as the crack length

    Validity: a/R up to 2; 2.2 % against finite elements from 0.1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hole_one_crack_factor(10.0, 5.0), 4)
        1.7354

    Source: fit to the solution of Bowie, in an open crack-growth program (read2); finite
    elements (computed).
    """
    return 0.6762 + 0.8734 / (0.3246 + _bowie(radius_mm, crack_mm))


def hole_as_long_crack(radius_mm: float, crack_mm: float, both_sides: bool) -> float:
    """Half length of the single crack that stands for a hole with long cracks.

    two cracks: R + a; one crack: (2R + a)/2

    Args:
        radius_mm: hole radius R [mm]
        crack_mm: length a of each crack from the rim [mm]
        both_sides: cracks on both sides of the hole

    Returns:
        half length to use as a centre crack with F = 1 in a wide wall [mm]

    Validity: a/R above 2; nearer in the hole raises the stress.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> hole_as_long_crack(5.0, 20.0, both_sides=True)
        25.0

    Source: usual engineering reduction (memory).
    """
    positive("hole_radius", radius_mm, "mm")
    positive("crack", crack_mm, "mm")
    if crack_mm <= LONGEST_BOWIE_CRACK * radius_mm:
        raise OutOfRange(
            "crack",
            crack_mm,
            f"must be above twice the hole radius = {2.0 * radius_mm:g} mm",
            "use the factors for cracks from a hole",
        )
    return radius_mm + crack_mm if both_sides else radius_mm + crack_mm / 2.0


def surface_crack_factor(
    depth_mm: float,
    half_length_mm: float,
    wall_mm: float,
    half_width_mm: float,
    angle_deg: float,
) -> float:
    """Geometry factor of a half-elliptical surface crack in tension (Newman and Raju).

    F/sqrt(Q) with F = [M1 + M2 (a/t)^2 + M3 (a/t)^4] g f_phi f_w, so that K = this s sqrt(pi a)

    Args:
        depth_mm: crack depth a [mm]
        half_length_mm: half the length on the surface, c [mm]
        wall_mm: wall thickness t [mm]
        half_width_mm: half the width of the wall strip, b [mm]
        angle_deg: place on the front: 90 at the deepest point, 0 at the surface [deg]

    Returns:
        F/sqrt(Q)

    Validity: a/t up to 0.8, 0.2 <= a/c <= 2, c/b below 0.5; 5 %.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(surface_crack_factor(4.0, 10.0, 10.0, 100.0, 90.0), 4)
        1.075

    Source: NASA TM-85793 (1984), through an open crack-growth program (read2).
    """
    for argument, value in (
        ("depth", depth_mm),
        ("half_length", half_length_mm),
        ("wall", wall_mm),
        ("half_width", half_width_mm),
    ):
        positive(argument, value, "mm")
    shape = between("depth/half_length", depth_mm / half_length_mm, 0.2, 2.0, "")
    deep = between(
        "depth/wall", depth_mm / wall_mm, 0.0, 0.8, "", "treat a deeper crack as through"
    )
    wide = half_length_mm / half_width_mm
    if wide >= 0.5:
        raise OutOfRange("half_length/half_width", round(wide, 4), "must be below 0.5")
    between("angle", angle_deg, 0.0, 90.0, "deg")
    if shape <= 1.0:
        form = _flat_ellipse(shape, deep, radians(angle_deg))
    else:
        form = _steep_ellipse(1.0 / shape, deep, radians(angle_deg))
    finite_width = sqrt(1.0 / cos(pi / 2.0 * wide * sqrt(deep)))
    return form * finite_width


def _flat_ellipse(shape: float, deep: float, phi: float) -> float:
    """F/sqrt(Q) without width correction for a/c up to 1."""
    m1 = 1.13 - 0.09 * shape
    m2 = -0.54 + 0.89 / (0.2 + shape)
    m3 = 0.5 - 1.0 / (0.65 + shape) + 14.0 * (1.0 - shape) ** 24
    g = 1.0 + (0.1 + 0.35 * deep**2) * (1.0 - sin(phi)) ** 2
    f_phi = (shape**2 * cos(phi) ** 2 + sin(phi) ** 2) ** 0.25
    q = 1.0 + 1.464 * shape**1.65
    factor: float = (m1 + m2 * deep**2 + m3 * deep**4) * g * f_phi / sqrt(q)
    return factor


def _steep_ellipse(inverse: float, deep: float, phi: float) -> float:
    """F/sqrt(Q) without width correction for a/c above 1; `inverse` is c/a."""
    m1 = sqrt(inverse) * (1.0 + 0.04 * inverse)
    m2 = 0.2 * inverse**4
    m3 = -0.11 * inverse**4
    g = 1.0 + (0.1 + 0.35 * inverse * deep**2) * (1.0 - sin(phi)) ** 2
    f_phi = (inverse**2 * sin(phi) ** 2 + cos(phi) ** 2) ** 0.25
    q = 1.0 + 1.464 * inverse**1.65
    factor: float = (m1 + m2 * deep**2 + m3 * deep**4) * g * f_phi / sqrt(q)
    return factor


# Closing forces and opening


def bridging_relief(force_n_per_mm: float, half_crack_mm: float, position_mm: float) -> float:
    """Stress intensity that a pair of closing forces takes off a centre crack.

    dK = 2 P sqrt(a/pi)/sqrt(a^2 - x^2), forces P per unit thickness at +x and -x

    Args:
        force_n_per_mm: closing force of each, per mm of wall thickness [N/mm]
        half_crack_mm: half the crack length a [mm]
        position_mm: distance x of each force from mid-length [mm]

    Returns:
        reduction of K at both ends [MPa*sqrt(m)]; an upper bound, forces fully mobilised

    Validity: x below a; wide wall.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(bridging_relief(1350.0, 60.0, 30.0), 1)
        7.2

    Source: The Stress Analysis of Cracks Handbook (memory);
    integrating a uniform traction returns s sqrt(pi a) (computed).
    """
    not_negative("force", force_n_per_mm, "N/mm")
    positive("half_crack", half_crack_mm, "mm")
    not_negative("position", position_mm, "mm")
    if position_mm >= half_crack_mm:
        raise OutOfRange("position", position_mm, f"must be inside the crack, {half_crack_mm:g} mm")
    per_mm = 2.0 * force_n_per_mm * sqrt(half_crack_mm / pi)
    return per_mm / sqrt(half_crack_mm**2 - position_mm**2) / sqrt(MM_PER_M)


def crack_opening(stress_mpa: float, half_crack_mm: float, modulus_mpa: float) -> float:
    """Opening of a centre crack at mid-length.

    delta = 4 s a/E, plane stress, wide wall

    Args:
        stress_mpa: gross stress square to the crack [MPa]
        half_crack_mm: half the crack length [mm]
        modulus_mpa: Young's modulus [MPa]

    Returns:
        opening [mm]

    Validity: linear elastic, wide wall.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(crack_opening(40.0, 60.0, 110e3), 3)
        0.087

    Source: any textbook of fracture mechanics (memory).
    """
    not_negative("stress", stress_mpa, "MPa")
    positive("half_crack", half_crack_mm, "mm")
    positive("modulus", modulus_mpa, "MPa")
    return 4.0 * stress_mpa * half_crack_mm / modulus_mpa


# When it runs


def critical_half_length(toughness: float, stress_mpa: float) -> float:
    """Half length at which a centre crack in a wide wall runs.

    a_c = (1/pi) (K_IC/s)^2

    Args:
        toughness: fracture toughness; K_IC as lower bound [MPa*sqrt(m)]
        stress_mpa: gross stress square to the crack [MPa]

    Returns:
        half length [mm]

    Validity: linear elastic, wall much wider than the crack.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(critical_half_length(15.0, 40.0), 2)
        44.76

    Source: any textbook (memory).
    """
    positive("toughness", toughness, "MPa*sqrt(m)")
    positive("stress", stress_mpa, "MPa")
    return (toughness / stress_mpa) ** 2 / pi * MM_PER_M


def critical_length(
    toughness: float, stress_mpa: float, factor: Callable[[float], float], longest_mm: float
) -> float | None:
    """Length at which a crack runs when its factor grows with its length, by bisection.

    F(a) s sqrt(pi a) = K_c

    Args:
        toughness: fracture toughness [MPa*sqrt(m)]
        stress_mpa: gross stress square to the crack [MPa]
        factor: geometry factor against crack length in mm; K must rise with the length
        longest_mm: longest crack at which `factor` holds [mm]

    Returns:
        length [mm], or None where the crack does not run up to `longest_mm`: then the net
        section governs

    Validity: that of `factor`.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(critical_length(15.0, 40.0, lambda a: 1.0, 100.0), 2)
        44.76

    Source: numerical (computed).
    """
    positive("toughness", toughness, "MPa*sqrt(m)")
    positive("stress", stress_mpa, "MPa")
    positive("longest", longest_mm, "mm")

    def runs(crack_mm: float) -> bool:
        return stress_intensity(factor(crack_mm), stress_mpa, crack_mm) >= toughness

    if not runs(longest_mm):
        return None
    low, high = 0.0, longest_mm
    while high - low > 1e-12 * longest_mm:
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        low, high = (low, middle) if runs(middle) else (middle, high)
    return low if low > 0.0 else high


def critical_centre_crack(toughness: float, stress_mpa: float, width_mm: float) -> float | None:
    """Half length at which a centre crack in a strip runs.

    sqrt(sec(pi a/W)) s sqrt(pi a) = K_c

    Args:
        toughness: fracture toughness [MPa*sqrt(m)]
        stress_mpa: gross stress square to the crack [MPa]
        width_mm: full width of the strip [mm]

    Returns:
        half length [mm], or None where it does not run up to 0.8 of the width

    Validity: 2a/W up to 0.8.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(critical_centre_crack(15.0, 40.0, 400.0), 2)
        42.31

    Source: form of Feddersen, in an open crack-growth program (read2).
    """
    positive("width", width_mm, "mm")
    longest = 0.8 * (1.0 - 1e-9) * width_mm / 2.0
    return critical_length(
        toughness, stress_mpa, lambda a: centre_crack_factor(a, width_mm), longest
    )


def critical_edge_crack(toughness: float, stress_mpa: float, width_mm: float) -> float | None:
    """Length at which an edge crack in a strip in tension runs.

    F(a/W) s sqrt(pi a) = K_c with the factor of Tada

    Args:
        toughness: fracture toughness [MPa*sqrt(m)]
        stress_mpa: gross stress square to the crack [MPa]
        width_mm: width of the strip [mm]

    Returns:
        length [mm], or None where it does not run up to 0.95 of the width

    Validity: strip free to bend.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(critical_edge_crack(15.0, 30.0, 100.0), 1)
        29.6

    Source: The Stress Analysis of Cracks Handbook, in open code (read2).
    """
    positive("width", width_mm, "mm")
    return critical_length(
        toughness, stress_mpa, lambda a: edge_crack_factor(a, width_mm), 0.95 * width_mm
    )


# Validity of the toughness, collapse


def plane_strain_size(toughness: float, yield_mpa: float) -> float:
    """Least crack length, ligament and wall for which K_IC itself applies.

    B = 2.5 (K_IC/s_y)^2

    Args:
        toughness: K_IC [MPa*sqrt(m)]
        yield_mpa: yield or proof strength, for gray iron the 0.1 % proof [MPa]

    Returns:
        size [mm]

    Validity: below this size K_IC under-estimates the resistance, the safe side for screening;
    check the net section too.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(plane_strain_size(15.0, 140.0), 1)
        28.7

    Source: ASTM E399 (memory).
    """
    positive("toughness", toughness, "MPa*sqrt(m)")
    positive("yield", yield_mpa, "MPa")
    return 2.5 * (toughness / yield_mpa) ** 2 * MM_PER_M


def is_plane_strain(
    toughness: float, yield_mpa: float, crack_mm: float, ligament_mm: float, wall_mm: float
) -> bool:
    """Whether crack, ligament and wall are all large enough for K_IC itself to apply.

    min(a, W - a, B) >= 2.5 (K_IC/s_y)^2

    Args:
        toughness: K_IC [MPa*sqrt(m)]
        yield_mpa: yield or proof strength [MPa]
        crack_mm: crack length [mm]
        ligament_mm: uncracked rest in line with the crack [mm]
        wall_mm: wall thickness [mm]

    Returns:
        True where all three reach the size

    Validity: as `plane_strain_size`.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> is_plane_strain(15.0, 140.0, 60.0, 140.0, 12.0)
        False

    Source: ASTM E399 (memory).
    """
    sizes = (("crack", crack_mm), ("ligament", ligament_mm), ("wall", wall_mm))
    smallest = min(positive(argument, value, "mm") for argument, value in sizes)
    return smallest >= plane_strain_size(toughness, yield_mpa)


def net_section_stress(stress_mpa: float, width_mm: float, crack_mm: float) -> float:
    """Mean stress on the metal that is left beside a crack.

    s_net = s W/(W - crack)

    Args:
        stress_mpa: gross stress [MPa]
        width_mm: full width [mm]
        crack_mm: full crack length in that width [mm]

    Returns:
        net stress [MPa]

    Validity: no bending; a strip with one edge crack that can bend sees more.

    Raises:
        OutOfRange: a crack as long as the width.

    Example:
        >>> net_section_stress(40.0, 400.0, 80.0)
        50.0

    Source: statics (computed).
    """
    not_negative("stress", stress_mpa, "MPa")
    positive("width", width_mm, "mm")
    not_negative("crack", crack_mm, "mm")
    if crack_mm >= width_mm:
        raise OutOfRange("crack", crack_mm, f"must be shorter than the width {width_mm:g} mm")
    return stress_mpa * width_mm / (width_mm - crack_mm)


def assessment_curve(load_ratio: float, yield_mpa: float, modulus_mpa: float) -> float:
    """Limit of K/K_IC in the two-criteria diagram.

    f = (1 + 0.5 Lr^2)^-0.5 [0.3 + 0.7 exp(-mu Lr^6)], mu = min(0.001 E/s_y, 0.6)

    Args:
        load_ratio: Lr, reference (net) stress over yield strength
        yield_mpa: yield strength, for gray iron the 0.1 % proof [MPa]
        modulus_mpa: Young's modulus [MPa]

    Returns:
        largest safe K/K_IC at this load ratio

    Validity: Lr 0 to 1; above yield the curve needs the metal's own flow data.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(assessment_curve(0.6, 140.0, 110e3), 3)
        0.903

    Source: BS 7910 option 1 and R6 (memory).
    """
    between("load_ratio", load_ratio, 0.0, 1.0, "", "the net section yields: treat as failed")
    positive("yield", yield_mpa, "MPa")
    positive("modulus", modulus_mpa, "MPa")
    mu = min(0.001 * modulus_mpa / yield_mpa, 0.6)
    falling: float = 0.3 + 0.7 * exp(-mu * load_ratio**6)
    return falling / sqrt(1.0 + 0.5 * load_ratio**2)


@dataclass(frozen=True)
class TwoCriteria:
    """A point of the two-criteria diagram and its limit."""

    fracture_ratio: float
    load_ratio: float
    limit: float

    @property
    def inside(self) -> bool:
        """True where neither fracture nor collapse is reached."""
        return self.load_ratio <= 1.0 and self.fracture_ratio < self.limit


def two_criteria(
    intensity: float,
    toughness: float,
    net_stress_mpa: float,
    yield_mpa: float,
    modulus_mpa: float,
) -> TwoCriteria:
    """Judge a crack against fracture and collapse at once.

    Kr = K/K_IC, Lr = s_net/s_y; inside if Kr < f(Lr) and Lr <= 1

    Args:
        intensity: K of the crack [MPa*sqrt(m)]
        toughness: K_IC [MPa*sqrt(m)]
        net_stress_mpa: reference stress on the net section [MPa]
        yield_mpa: yield strength, for gray iron the 0.1 % proof [MPa]
        modulus_mpa: Young's modulus [MPa]

    Returns:
        the point with its limit; a point beyond yield has the limit 0

    Validity: static load. The safety factors belong to the load and toughness put in.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> two_criteria(12.45, 15.0, 47.0, 140.0, 110e3).inside
        True

    Source: BS 7910 option 1 and R6 (memory).
    """
    not_negative("intensity", intensity, "MPa*sqrt(m)")
    positive("toughness", toughness, "MPa*sqrt(m)")
    not_negative("net_stress", net_stress_mpa, "MPa")
    load_ratio = net_stress_mpa / positive("yield", yield_mpa, "MPa")
    limit = assessment_curve(load_ratio, yield_mpa, modulus_mpa) if load_ratio <= 1.0 else 0.0
    return TwoCriteria(intensity / toughness, load_ratio, limit)


def critical_distance(toughness: float, tensile_mpa: float) -> float:
    """Critical distance of a brittle metal: smaller radii act as cracks, smaller holes not at all.

    L = (1/pi) (K_IC/s_u)^2; it fails when the stress at L/2 from the notch root reaches s_u

    Args:
        toughness: K_IC [MPa*sqrt(m)]
        tensile_mpa: tensile strength [MPa]

    Returns:
        L [mm]

    Validity: brittle metal (gray iron), static load.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(critical_distance(15.2, 250.0), 2)
        1.18

    Source: Crack Paths 2006 proceedings, on the theory of critical distances (read2).
    """
    positive("toughness", toughness, "MPa*sqrt(m)")
    positive("tensile_strength", tensile_mpa, "MPa")
    return (toughness / tensile_mpa) ** 2 / pi * MM_PER_M


# Stop holes


def stress_ahead_of_notch(intensity: float, root_radius_mm: float, distance_mm: float) -> float:
    """Stress ahead of a slender blunt notch (Creager and Paris).

    r = x + rho/2; s = K/sqrt(2 pi r) [1 + rho/(2 r)]; at the root 2 K/sqrt(pi rho)

    Args:
        intensity: K of the notch taken as a crack to its end [MPa*sqrt(m)]
        root_radius_mm: root radius rho [mm]
        distance_mm: distance x ahead of the root [mm]

    Returns:
        stress [MPa]

    Validity: rho small against the length. For the root of a round stop hole it is 17 to 30 %
    low when K is taken to the tip: use `keyhole_factor` there.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> from math import pi, sqrt
        >>> round(stress_ahead_of_notch(20.0 * sqrt(pi * 0.034), 4.0, 0.74), 1)
        86.2

    Source: Creager and Paris, Int. J. Fracture Mechanics 3 (1967) 247 (memory).
    """
    not_negative("intensity", intensity, "MPa*sqrt(m)")
    positive("root_radius", root_radius_mm, "mm")
    not_negative("distance", distance_mm, "mm")
    r = distance_mm + root_radius_mm / 2.0
    return intensity / sqrt(2.0 * pi * r / MM_PER_M) * (1.0 + root_radius_mm / (2.0 * r))


def keyhole_factor(half_crack_mm: float, hole_radius_mm: float) -> float:
    """Peak stress at stop holes centred on both ends of a centre crack, over the gross stress.

    s_max/s = 1 + 2.11 sqrt((a + rho)/rho)

    Args:
        half_crack_mm: half the crack length before drilling [mm]
        hole_radius_mm: radius of the stop hole [mm]

    Returns:
        stress ratio

    Validity: wide wall. Within 0.6 % of finite elements for a/rho from 4 to 100, up to 3.5 %
    high below 4.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(keyhole_factor(20.0, 4.0), 3)
        6.168

    Source: fit to finite elements (computed).
    """
    positive("half_crack", half_crack_mm, "mm")
    positive("hole_radius", hole_radius_mm, "mm")
    return 1.0 + 2.11 * sqrt((half_crack_mm + hole_radius_mm) / hole_radius_mm)


def stop_hole_static(stress_mpa: float, half_crack_mm: float, limit_mpa: float) -> float:
    """Least stop-hole radius that keeps the static stress at its rim below a limit.

    q = [(s_lim/s - 1)/2.11]^2; rho = a/(q - 1)

    Args:
        stress_mpa: gross stress square to the crack [MPa]
        half_crack_mm: half the crack length [mm]
        limit_mpa: strength in the wall over the safety factor [MPa]

    Returns:
        radius [mm]

    Validity: wide wall. A radius near the half length or above says that a hole is the wrong
    remedy.

    Raises:
        OutOfRange: no hole is large enough.

    Example:
        >>> round(stop_hole_static(15.0, 30.0, 110.0), 2)
        3.75

    Source: `keyhole_factor` solved for the radius (computed).
    """
    positive("stress", stress_mpa, "MPa")
    positive("half_crack", half_crack_mm, "mm")
    positive("limit_stress", limit_mpa, "MPa")
    ratio = limit_mpa / stress_mpa
    q = ((ratio - 1.0) / 2.11) ** 2
    if ratio <= 1.0 or q <= 1.0:
        raise OutOfRange(
            "stress",
            stress_mpa,
            f"no hole alone keeps its rim below {limit_mpa:g} MPa",
            f"below {limit_mpa / 3.11:.3g} MPa, or with something that carries load",
        )
    return half_crack_mm / (q - 1.0)


FATIGUE_STOP_HOLE_CONSTANT = 4.0 * sqrt(6.894757293168361)  # 4 sqrt(ksi) in sqrt(MPa): 10.503


def stop_hole_fatigue(stress_range_mpa: float, half_crack_mm: float, yield_mpa: float) -> float:
    """Least stop-hole radius against a fatigue crack starting again, steel.

    dK/sqrt(rho) < 10.5 sqrt(s_y), dK with half length a + rho;
    c = pi S^2/(10.5^2 s_y), rho = c a/(1 - c)

    Args:
        stress_range_mpa: stress range square to the crack [MPa]
        half_crack_mm: half the crack length before drilling [mm]
        yield_mpa: yield strength of the steel [MPa]

    Returns:
        radius [mm]

    Validity: steel, yield 150 to 700 MPa; no evidence for iron. 10.5 belongs to the girder rule
    with 4 in ksi; the 10 of the older ksi threshold is 26.3 here, never mix them.

    Raises:
        OutOfRange: no hole is large enough, or a strength outside steel.

    Example:
        >>> round(stop_hole_fatigue(40.0, 30.0, 250.0), 2)
        6.69

    Source: girder tests repeated in US bridge repair manuals (memory); solved here (computed).
    """
    positive("stress_range", stress_range_mpa, "MPa")
    positive("half_crack", half_crack_mm, "mm")
    between("yield", yield_mpa, 150.0, 700.0, "MPa", "the criterion is one for steel")
    c = pi * stress_range_mpa**2 / (FATIGUE_STOP_HOLE_CONSTANT**2 * yield_mpa)
    if c >= 1.0:
        largest = FATIGUE_STOP_HOLE_CONSTANT * sqrt(yield_mpa / pi)
        raise OutOfRange(
            "stress_range",
            stress_range_mpa,
            f"no hole works from {largest:.3g} MPa on",
            "carry the load past the crack",
        )
    return c * half_crack_mm / (1.0 - c)
