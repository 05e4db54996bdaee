"""Keys across the crack: lobed strips let into slots, driven in layers, that carry tension.

Lengths in mm, forces in N, stresses in MPa, load per length of crack in N/mm. The model is statics
with the crack carrying nothing, keys without slack and the strength of the wall as it is, not of
the grade. No measured data stand behind it: it is a bound, not a promise.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, not_negative, positive
from advisor.engineering.seam import BEARING_FACTOR
from advisor.light_dataclass import dataclass

# Practice: no published source is known for these.
GREATEST_DEPTH_TO_WALL = 0.85
LEAST_FLOOR = 2.0  # mm of wall left under a slot
LEAST_DEPTH_TO_FREE_WALL = 0.7
LEAST_WALL = 6.0  # mm; below it a key loses its point
LARGEST_SPACING = 40.0  # mm between keys on medium walls
LEAST_CLEAR_METAL = 2.0  # mm between a lobe and the next slot
END_KEY = (0.8, 0.9)  # of the half length, where a key works best against running on
LEAST_LOBES = 2
NECK_TO_WALL = 0.5
# Proportions of the neutral family, as multiples of the neck.
LOBE_TO_NECK = 1.8
LOBE_PITCH_TO_NECK = 2.0
LAYER_TO_NECK = 0.5
NEUTRAL_LOBES = 3
NEUTRAL_YIELD = 350.0  # MPa, cautious for a tough strip; a shop enters its own

KEY_YIELDS_BEFORE_LOBES = 0.9
PARENT_OUTLASTS_KEY = 1.1
_YIELD_IN_SHEAR = 0.577  # von Mises
_MPA_ROOT_M = 1 / math.sqrt(1000)  # N/mm^1.5 to MPa*m^0.5

_TINY = 1e-9


@dataclass(frozen=True)
class KeySection:
    """One strip: neck, lobes, thickness of a layer in mm; yield strength in MPa."""

    name: str
    neck: float
    lobe: float
    lobe_pitch: float
    lobes: int  # on each side of the crack
    layer: float
    yield_strength: float

    @property
    def length(self) -> float:
        """Length of the slot, outer edge to outer edge of the end lobes [mm]."""
        return (2 * self.lobes - 1) * self.lobe_pitch + self.lobe


@dataclass(frozen=True)
class KeyCapacity:
    """Limits of one key [N]; ``eccentric`` equals the neck where the wall is held flat."""

    neck: float
    bearing: float
    teeth: float
    lobes: float
    eccentric: float
    governed_by: str

    @property
    def force(self) -> float:
        """The least of all limits [N]."""
        return min(self.neck, self.bearing, self.teeth, self.lobes, self.eccentric)


@dataclass(frozen=True)
class KeyDesign:
    """Keys on one crack; ``positions`` are measured along it from its visible start.

    ``pin_bite`` is what pins take from each side of a neck, ``lobes_counted`` the lobes a side that
    carry: those that the row of pins does not reach.
    """

    section: KeySection
    depth: float
    layers: int
    count: int
    spacing: float
    positions: tuple[float, ...]
    staggered: bool
    capacity: KeyCapacity
    restored_fraction: float
    needed_fraction: float
    greatest_fraction: float
    ductile: bool
    warnings: tuple[str, ...] = ()
    pin_bite: float = 0.0
    lobes_counted: int = 0

    @property
    def neck_left(self) -> float:
        """Width of neck that the pins leave [mm]."""
        return effective_neck(self.section.neck, self.pin_bite)


@dataclass(frozen=True)
class KeysNotFeasible:
    """No keys of the family reach what is wanted; ``nearest`` is the best that they do reach."""

    reason: str
    nearest: KeyDesign | None = None
    nearest_hint: str = ""


def neutral_key(neck: float, yield_strength: float = NEUTRAL_YIELD) -> KeySection:
    """A strip of the neutral family.

    lobe 1.8 b, lobe pitch 2 b, layer b/2, three lobes a side

    Args:
        neck: b [mm].
        yield_strength: s_yk [MPa].

    Returns:
        the section.

    Validity: positive arguments.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> neutral_key(5, 500)
        KeySection(name='neck_5', neck=5, lobe=9.0, lobe_pitch=10.0, lobes=3, layer=2.5, \
yield_strength=500)

    Source: rule of the neutral family (practice).
    """
    positive("neck", neck, "mm")
    positive("yield_strength", yield_strength, "MPa")
    return KeySection(
        name=f"neck_{neck:g}".replace(".", "_"),
        neck=neck,
        lobe=LOBE_TO_NECK * neck,
        lobe_pitch=LOBE_PITCH_TO_NECK * neck,
        lobes=NEUTRAL_LOBES,
        layer=LAYER_TO_NECK * neck,
        yield_strength=yield_strength,
    )


NEUTRAL_NECKS = (3, 4, 5, 6, 8, 10, 12, 16)
NEUTRAL_FAMILY: tuple[KeySection, ...] = tuple(neutral_key(neck) for neck in NEUTRAL_NECKS)


# Depth


def greatest_depth(wall: float) -> float:
    """Deepest slot that a wall takes.

    h_max = min(0.85 t, t - 2 mm)

    Args:
        wall: t [mm].

    Returns:
        h_max [mm].

    Validity: t > 2 mm. The drill points must not break through and the floor must stay tight.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [greatest_depth(t) for t in (6, 8, 10, 12, 20)]
        [4.0, 6.0, 8.0, 10.0, 17.0]

    Source: derived and practice.
    """
    if not wall > LEAST_FLOOR or not math.isfinite(wall):
        raise OutOfRange("wall", wall, f"more than {LEAST_FLOOR:g} mm")
    return float(min(GREATEST_DEPTH_TO_WALL * wall, wall - LEAST_FLOOR))


def check_depth(depth: float, wall: float, restrained: bool) -> float:
    """Judge a slot depth against the wall.

    h <= h_max, and h >= 0.7 t where the wall is free to bend

    Args:
        depth: h [mm].
        wall: t [mm].
        restrained: the wall is held flat by curvature, ribs or a closed shell.

    Returns:
        eta = h/t [1].

    Validity: walls of 6 mm and more.

    Raises:
        OutOfRange: wall too thin, slot too deep, or too shallow for a free wall.

    Example:
        >>> check_depth(9, 12, restrained=False)
        0.75
        >>> check_depth(12.5, 12, restrained=True)
        Traceback (most recent call last):
        ...
        advisor.engineering.limits.OutOfRange: depth = 12.5: at most 10 mm in a wall of 12 mm; \
nearest feasible: 10 mm

    Source: derived and practice.
    """
    positive("depth", depth, "mm")
    if wall < LEAST_WALL:
        raise OutOfRange("wall", wall, f"at least {LEAST_WALL:g} mm for a key")
    deepest = greatest_depth(wall)
    if depth > deepest + _TINY:
        raise OutOfRange(
            "depth",
            depth,
            f"at most {deepest:g} mm in a wall of {wall:g} mm",
            f"nearest feasible: {deepest:g} mm",
        )
    if not restrained and depth < LEAST_DEPTH_TO_FREE_WALL * wall - _TINY:
        raise OutOfRange(
            "depth",
            depth,
            f"at least {LEAST_DEPTH_TO_FREE_WALL * wall:g} mm in a wall of {wall:g} mm "
            "that is free to bend",
        )
    return depth / wall


def layer_count(wall: float, layer: float) -> int:
    """Full layers that fit into the deepest slot.

    n = floor(h_max/h1)

    Args:
        wall: t [mm].
        layer: h1, thickness of one layer [mm].

    Returns:
        n [1]; 0 where not even one fits.

    Validity: t > 2 mm.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> layer_count(12, 3), layer_count(12, 2.5)
        (3, 4)

    Source: geometry (derived).
    """
    positive("layer", layer, "mm")
    return math.floor(greatest_depth(wall) / layer + _TINY)


# One key


def eccentricity_factor(eta: float) -> float:
    """Strength left to a key that lies to one side of a wall free to bend.

    n = sqrt(1 + e^2) - e, e = (1 - eta)/eta

    Args:
        eta: depth over wall h/t [1].

    Returns:
        n [1].

    Validity: 0 < eta <= 1. Plastic limit of a strip loaded with eccentricity (t - h)/2.

    Raises:
        OutOfRange: outside the validity; a key is never deeper than the wall.

    Example:
        >>> [round(eccentricity_factor(eta), 3) for eta in (0.5, 0.75, 1)]
        [0.414, 0.721, 1.0]

    Source: plastic limit (derived).
    """
    e = _eccentricity(eta)
    return math.sqrt(1 + e * e) - e


def elastic_peak(eta: float) -> float:
    """Peak over mean stress in a key in a free wall, while elastic.

    1 + 3 (1 - eta)/eta

    Args:
        eta: depth over wall h/t [1].

    Returns:
        ratio [1].

    Validity: 0 < eta <= 1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> elastic_peak(0.5), elastic_peak(0.75)
        (4.0, 2.0)

    Source: bending with eccentricity (derived).
    """
    return 1 + 3 * _eccentricity(eta)


def effective_neck(neck: float, pin_bite: float) -> float:
    """Neck left where pins bite into both its sides.

    b_eff = b - 2 o_k

    Args:
        neck: b [mm].
        pin_bite: o_k, bite of the pins into each side [mm].

    Returns:
        b_eff [mm].

    Validity: something must be left.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> effective_neck(5, 0.75)
        3.5

    Source: geometry (derived).
    """
    positive("neck", neck, "mm")
    not_negative("pin_bite", pin_bite, "mm")
    if 2 * pin_bite >= neck:
        raise OutOfRange("pin_bite", pin_bite, f"less than half the neck, {neck / 2:g} mm")
    return neck - 2 * pin_bite


def lobe_places(section: KeySection, longer: bool = False) -> tuple[float, ...]:
    """Middles of the lobes on one side of a key, from the crack.

    y_i = p_l (i - 1/2); of the longer key of a staggered row p_l i, with one lobe more

    Args:
        section: the strip.
        longer: the key of two lengths that has a lobe more a side, shifted by half a lobe pitch.

    Returns:
        distances [mm].

    Validity: lobes at one pitch, the crack midway.

    Raises:
        OutOfRange: a section that is none.

    Example:
        >>> key = KeySection("example", 5, 9, 10, 3, 3, 500)
        >>> lobe_places(key), lobe_places(key, longer=True)
        ((5.0, 15.0, 25.0), (10.0, 20.0, 30.0, 40.0))

    Source: geometry of the neutral family (derived).
    """
    _check_section(section)
    if longer:
        return tuple(float(section.lobe_pitch * i) for i in range(1, section.lobes + 2))
    return tuple(section.lobe_pitch * (i + 0.5) for i in range(section.lobes))


def lobes_beyond_pins(section: KeySection, pin_diameter: float, staggered: bool = False) -> int:
    """Lobes a side that press on the wall and not on the pins of the row.

    those with y_i - D/2 >= d/2; of two lengths of key the one that has fewer

    A lobe whose tooth is taken up by the row presses on pins that lie across the crack: the pull
    goes round through them, and the wall gets none of it.

    Args:
        section: the strip.
        pin_diameter: d of the pins that stand beside the key [mm].
        staggered: two lengths of key, alternating.

    Returns:
        number [1], 0 where the row reaches them all.

    Validity: pins centred on the crack.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> key = neutral_key(16)
        >>> [lobes_beyond_pins(key, d) for d in (12, 24, 80)]
        [2, 2, 1]

    Source: statics (derived), cautious: a lobe reached in part is not counted at all.
    """
    positive("pin_diameter", pin_diameter, "mm")
    kinds = [lobe_places(section)]
    if staggered:
        kinds.append(lobe_places(section, longer=True))
    return min(
        sum(place - section.lobe / 2 >= pin_diameter / 2 - _TINY for place in places)
        for places in kinds
    )


def key_capacity(
    section: KeySection,
    depth: float,
    wall: float,
    tensile_strength: float,
    *,
    shear_factor: float,
    restrained: bool,
    bearing_factor: float = BEARING_FACTOR,
    pin_bite: float = 0.0,
    lobes: int | None = None,
) -> KeyCapacity:
    """Limits of one key.

    neck F_t = b h s_yk; bearing F_b = m (D - b) h k_b s_u; teeth F_s = 2 m p_l h k_s s_u;
    lobes F_l = 2 m D h 0.577 s_yk; free wall F_e = n(h/t) F_t

    Args:
        section: the strip.
        depth: h [mm].
        wall: t [mm].
        tensile_strength: s_u of the wall [MPa].
        shear_factor: k_s of the parent [1]: 1.0 grey iron, 0.9 ductile, 0.6 steel or unknown.
        restrained: the wall is held flat by curvature, ribs or a closed shell.
        bearing_factor: k_b [1].
        pin_bite: bite of pins into each side of the neck [mm].
        lobes: lobes a side that carry, all of them where None; see :func:`lobes_beyond_pins` [1].

    Returns:
        the limits.

    Validity: static load, every layer driven solid, h <= t.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> key = KeySection("example", 5, 9, 10, 3, 3, 500)
        >>> limits = key_capacity(key, 9, 12, 220, shear_factor=0.6, restrained=False)
        >>> limits.neck, limits.bearing, limits.governed_by, round(limits.force)
        (22500.0, 35640.0, 'eccentric', 16217)

    Source: statics (derived).
    """
    _check_section(section)
    positive("tensile_strength", tensile_strength, "MPa")
    between("shear_factor", shear_factor, 0.1, 1.5, "")
    positive("bearing_factor", bearing_factor, "")
    positive("depth", depth, "mm")
    if depth > positive("wall", wall, "mm"):
        raise OutOfRange("depth", depth, f"at most the wall, {wall:g} mm")
    m, h = section.lobes if lobes is None else lobes, depth
    if m < 1:
        raise OutOfRange("lobes", m, "at least one a side that the pins do not reach")
    neck = effective_neck(section.neck, pin_bite) * h * section.yield_strength
    limits = {
        "neck": neck,
        "bearing": m * (section.lobe - section.neck) * h * bearing_factor * tensile_strength,
        "teeth": m * 2 * section.lobe_pitch * h * shear_factor * tensile_strength,
        "lobes": m * 2 * section.lobe * h * _YIELD_IN_SHEAR * section.yield_strength,
        "eccentric": neck if restrained else eccentricity_factor(depth / wall) * neck,
    }
    return KeyCapacity(**limits, governed_by=min(limits, key=lambda name: limits[name]))


def first_lobe_pressure(force: float, section: KeySection, depth: float) -> float:
    """Bearing pressure of the lobe next to the crack, which takes up to half the load.

    p = 0.5 F / ((D - b) h)

    Args:
        force: F on the key [N].
        section: the strip.
        depth: h [mm].

    Returns:
        p [MPa], to be compared with k_b s_u.

    Validity: two to four lobes a side, elastic.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> first_lobe_pressure(22500, KeySection("example", 5, 9, 10, 3, 3, 500), 9)
        312.5

    Source: spring model of the lobes (computed): 0.34 to 0.50 of the load.
    """
    _check_section(section)
    return 0.5 * not_negative("force", force, "N") / ((section.lobe - section.neck) * depth)


# The row of keys


def net_section(
    lobe: float, depth: float, spacing: float, wall: float, staggered: bool = False
) -> float:
    """Part of the parent left at the outermost lobes, where it carries everything again.

    phi_net = 1 - D h/(S t); staggered by half a pitch 1 - D h/(2 S t)

    Args:
        lobe: D [mm].
        depth: h [mm].
        spacing: S [mm].
        wall: t [mm].
        staggered: two lengths of key, alternating.

    Returns:
        phi_net [1].

    Validity: keys that do not touch. Failure on a diagonal between staggered rows is not checked,
    so the staggered value is an upper bound.

    Raises:
        OutOfRange: nothing of the parent left, or an argument out of its range.

    Example:
        >>> net_section(9, 9, 15, 12), net_section(9, 9, 15, 12, staggered=True)
        (0.55, 0.775)

    Source: geometry (derived).
    """
    positive("lobe", lobe, "mm")
    positive("depth", depth, "mm")
    positive("wall", wall, "mm")
    positive("spacing", spacing, "mm")
    lost = _lost(lobe, depth, wall, staggered)
    if spacing <= lost:
        raise OutOfRange("spacing", spacing, f"above {lost:.2f} mm, where no parent is left")
    return 1 - lost / spacing


def restored_fraction(
    force: float,
    lobe: float,
    depth: float,
    spacing: float,
    wall: float,
    tensile_strength: float,
    staggered: bool = False,
) -> float:
    """Part of the strength of the uncracked wall that the keys restore.

    phi = min[F/(t S s_u), phi_net]

    Args:
        force: F of one key [N].
        lobe: D [mm].
        depth: h [mm].
        spacing: S [mm].
        wall: t [mm].
        tensile_strength: s_u of the wall [MPa].
        staggered: see :func:`net_section`.

    Returns:
        phi [1].

    Validity: as :func:`net_section`; static load.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(restored_fraction(22500, 9, 9, 15.27, 12, 220), 3)
        0.558

    Source: statics (derived).
    """
    positive("force", force, "N")
    positive("tensile_strength", tensile_strength, "MPa")
    net = net_section(lobe, depth, spacing, wall, staggered)
    return min(force / (wall * spacing * tensile_strength), net)


def best_spacing(
    force: float,
    lobe: float,
    depth: float,
    wall: float,
    tensile_strength: float,
    staggered: bool = False,
) -> float:
    """Spacing at which keys and parent are equally strong.

    S* = D h/t + F/(t s_u); staggered D h/(2 t) + F/(t s_u)

    Args:
        force: F of one key [N].
        lobe: D [mm].
        depth: h [mm].
        wall: t [mm].
        tensile_strength: s_u of the wall [MPa].
        staggered: see :func:`net_section`.

    Returns:
        S* [mm].

    Validity: as :func:`restored_fraction`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(best_spacing(22500, 9, 9, 12, 220), 2)
        15.27

    Source: statics (derived).
    """
    positive("force", force, "N")
    positive("wall", wall, "mm")
    positive("tensile_strength", tensile_strength, "MPa")
    lost = _rows(staggered) * positive("lobe", lobe, "mm") * positive("depth", depth, "mm")
    return lost / wall + force / (wall * tensile_strength)


def greatest_fraction(
    force: float, lobe: float, depth: float, tensile_strength: float, staggered: bool = False
) -> float:
    """Most that such keys can ever restore.

    phi_max = F/(F + D h s_u); staggered F/(F + D h s_u/2)

    Args:
        force: F of one key [N].
        lobe: D [mm].
        depth: h [mm].
        tensile_strength: s_u of the wall [MPa].
        staggered: see :func:`net_section`.

    Returns:
        phi_max [1].

    Validity: as :func:`restored_fraction`. More than this needs test evidence.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(greatest_fraction(22500, 9, 9, 220), 3)
        0.558

    Source: statics (derived).
    """
    positive("force", force, "N")
    positive("tensile_strength", tensile_strength, "MPa")
    lost = _rows(staggered) * positive("lobe", lobe, "mm") * positive("depth", depth, "mm")
    return force / (force + lost * tensile_strength)


def strong_enough_spacing(
    force: float, fraction: float, wall: float, tensile_strength: float
) -> float:
    """Largest spacing that is strong enough for a wanted fraction.

    S_req = F/(phi t s_u)

    Args:
        force: F of one key [N].
        fraction: phi [1].
        wall: t [mm].
        tensile_strength: s_u of the wall [MPa].

    Returns:
        S_req [mm].

    Validity: 0 < phi < 1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(strong_enough_spacing(22500, 0.5, 12, 220), 1)
        17.0

    Source: statics (derived).
    """
    positive("force", force, "N")
    positive("wall", wall, "mm")
    positive("tensile_strength", tensile_strength, "MPa")
    return force / (_fraction(fraction) * wall * tensile_strength)


def parent_enough_spacing(
    lobe: float, depth: float, fraction: float, wall: float, staggered: bool = False
) -> float:
    """Smallest spacing that leaves enough parent for a wanted fraction.

    S_net = D h/((1 - phi) t), half of it where staggered

    Args:
        lobe: D [mm].
        depth: h [mm].
        fraction: phi [1].
        wall: t [mm].
        staggered: see :func:`net_section`.

    Returns:
        S_net [mm]; feasible where it is not above S_req.

    Validity: 0 < phi < 1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> parent_enough_spacing(9, 9, 0.5, 12)
        13.5

    Source: statics (derived).
    """
    lost = _rows(staggered) * positive("lobe", lobe, "mm") * positive("depth", depth, "mm")
    return lost / ((1 - _fraction(fraction)) * positive("wall", wall, "mm"))


def fraction_of_unshifted_rows(
    lobe: float, depth: float, spacing: float, wall: float, lobes_long: int
) -> float:
    """Fraction left by two lengths of key that alternate without the shift of half a pitch.

    phi_2 = (1 - D h/(S t))/(1 - 1/(2 m_long)): the second row governs

    Args:
        lobe: D [mm].
        depth: h [mm].
        spacing: S [mm].
        wall: t [mm].
        lobes_long: m_long, lobes a side of the longer key [1].

    Returns:
        phi_2 [1].

    Validity: at least two lobes.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(fraction_of_unshifted_rows(9, 9, 15, 12, 4) / net_section(9, 9, 15, 12), 2)
        1.14

    Source: statics (derived).
    """
    if lobes_long < LEAST_LOBES:
        raise OutOfRange("lobes_long", lobes_long, f"at least {LEAST_LOBES}")
    return net_section(lobe, depth, spacing, wall) / (1 - 1 / (2 * lobes_long))


def demand_spacing(force: float, line_load: float, safety_factor: float) -> float:
    """Spacing of keys that have to carry the service load only.

    S = F/(SF n_d)

    Args:
        force: F of one key [N].
        line_load: n_d, service stress times wall [N/mm].
        safety_factor: SF [1].

    Returns:
        S [mm].

    Validity: static load, SF >= 1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(demand_spacing(16218, 27, 4))
        150

    Source: statics (derived).
    """
    positive("force", force, "N")
    positive("line_load", line_load, "N/mm")
    if not safety_factor >= 1:
        raise OutOfRange("safety_factor", safety_factor, "at least 1")
    return force / (safety_factor * line_load)


def key_count(length: float, spacing: float) -> int:
    """Keys on a crack.

    ceil(L/S)

    Args:
        length: L [mm].
        spacing: S, largest spacing [mm].

    Returns:
        number [1].

    Validity: positive lengths.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> key_count(120, 17.0)
        8

    Source: geometry (derived).
    """
    return math.ceil(positive("length", length, "mm") / positive("spacing", spacing, "mm") - _TINY)


def clear_metal(lobe: float, neck: float, spacing: float, staggered: bool) -> float:
    """Metal between one key and the next.

    S - D in line, S - (D + b)/2 where a lobe faces the neighbour's neck

    Args:
        lobe: D [mm].
        neck: b [mm].
        spacing: S [mm].
        staggered: see :func:`net_section`.

    Returns:
        metal [mm]; keep at least 2 mm (practice).

    Validity: any spacing; negative where the slots would run into each other.

    Raises:
        OutOfRange: an argument not positive.

    Example:
        >>> round(clear_metal(9, 5, 11.9, staggered=True), 1)
        4.9

    Source: geometry (derived).
    """
    positive("lobe", lobe, "mm")
    positive("neck", neck, "mm")
    positive("spacing", spacing, "mm")
    return spacing - ((lobe + neck) / 2 if staggered else lobe)


def is_ductile(capacity: KeyCapacity, parent_force: float) -> bool:
    """Whether the key yields before the casting breaks.

    F_t <= 0.9 min(F_b, F_s) and phi_net t S s_u >= 1.1 F_t

    Args:
        capacity: limits of one key.
        parent_force: phi_net t S s_u, what the parent between two keys carries [N].

    Returns:
        True where it does.

    Validity: static load.

    Raises:
        OutOfRange: negative force.

    Example:
        >>> key = KeySection("example", 5, 9, 10, 3, 3, 500)
        >>> limits = key_capacity(key, 9, 12, 220, shear_factor=0.6, restrained=True)
        >>> is_ductile(limits, net_section(9, 9, 17, 12) * 12 * 17 * 220)
        True

    Source: derived.
    """
    not_negative("parent_force", parent_force, "N")
    lobes_hold = capacity.neck <= KEY_YIELDS_BEFORE_LOBES * min(capacity.bearing, capacity.teeth)
    return lobes_hold and parent_force >= PARENT_OUTLASTS_KEY * capacity.neck


def pull_and_side(angle: float) -> tuple[float, float]:
    """Parts of a key's force along and across its best direction.

    cos(a), sin(a)

    Args:
        angle: a, off the perpendicular to the crack [deg].

    Returns:
        pull and side force over the force of the key [1].

    Validity: up to 45 deg; beyond 10 deg the side force drags the faces along the crack.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [tuple(round(part, 3) for part in pull_and_side(a)) for a in (10, 20)]
        [(0.985, 0.174), (0.94, 0.342)]

    Source: statics (derived).
    """
    between("angle", angle, -45.0, 45.0, "deg")
    return math.cos(math.radians(angle)), abs(math.sin(math.radians(angle)))


# Against running on


def bridging_weight(position: float) -> float:
    """How much more a key does against running on than one at mid-length.

    1/sqrt(1 - (x/a)^2)

    Args:
        position: x/a, distance from mid-length over half length [1].

    Returns:
        weight [1].

    Validity: 0 <= x/a < 1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [round(bridging_weight(x), 3) for x in (0, 0.5, 0.8, 0.9, 0.95)]
        [1.0, 1.155, 1.667, 2.294, 3.203]

    Source: point forces on a centre crack, The Stress Analysis of Cracks Handbook (memory).
    """
    if not 0 <= position < 1:
        raise OutOfRange("position", position, "0 up to less than 1")
    return 1 / math.sqrt(1 - position**2)


def closing_intensity(force: float, wall: float, half_length: float, position: float) -> float:
    """Stress intensity that two keys at +x and -x could take off a centre crack.

    K = 2 (F/t) sqrt(a/pi)/sqrt(a^2 - x^2)

    Args:
        force: F of one key [N].
        wall: t [mm].
        half_length: a [mm].
        position: x/a [1].

    Returns:
        K [MPa*m^0.5].

    Validity: wide plate; keys fully mobilised, so an upper bound.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [round(closing_intensity(16218, 12, 60, x), 1) for x in (0.5, 0.8, 0.9)]
        [7.2, 10.4, 14.3]

    Source: as :func:`bridging_weight`.
    """
    not_negative("force", force, "N")
    per_wall = force / positive("wall", wall, "mm")
    a = positive("half_length", half_length, "mm")
    return 2 * per_wall / math.sqrt(math.pi * a) * bridging_weight(position) * _MPA_ROOT_M


# Design


def design_keys(
    *,
    wall: float,
    tensile_strength: float,
    length: float,
    shear_factor: float,
    restrained: bool,
    fraction: float | None = None,
    line_load: float | None = None,
    safety_factor: float = 4.0,
    bearing_factor: float = BEARING_FACTOR,
    pin_bite: float = 0.0,
    allow_staggered: bool = True,
    largest_spacing: float = LARGEST_SPACING,
    family: Sequence[KeySection] = NEUTRAL_FAMILY,
) -> KeyDesign | KeysNotFeasible:
    """Choose keys for a crack.

    phi = max(wanted fraction, SF n_d/(t s_u)). Of the strips whose neck is nearest to t/2 and not
    above t, the first that reaches phi is taken: in line before staggered, keys that yield before
    the casting breaks before others, and no more keys than needed. The end keys stand at 0.8 to 0.9
    of the half length.

    Args:
        wall: t, least wall along the crack [mm].
        tensile_strength: s_u of the wall [MPa].
        length: L of the crack [mm].
        shear_factor: k_s of the parent [1].
        restrained: the wall is held flat by curvature, ribs or a closed shell.
        fraction: wanted part of the strength of the uncracked wall [1], or None.
        line_load: service load across the crack, stress times wall [N/mm], or None.
        safety_factor: SF on the service load [1].
        bearing_factor: k_b [1].
        pin_bite: bite of pins into each side of the neck [mm].
        allow_staggered: two lengths of key may be used.
        largest_spacing: of the keys [mm].
        family: strips to choose from.

    Returns:
        the design, or why there is none with the nearest that can be had.

    Validity: static load; the strength of the wall itself. A part under load that may hurt somebody
    needs more than this bound.

    Raises:
        OutOfRange: an argument outside its range, or neither a fraction nor a load given.

    Example:
        >>> design = design_keys(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> design.section.name, design.layers, design.depth, design.count, design.staggered
        ('neck_6', 3, 9.0, 6, False)
        >>> design_keys(wall=5, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35).reason
        'a wall of 5 mm is thinner than the 6 mm that a key needs'

    Source: derived; limits marked practice in this module.
    """
    demand = key_demand(
        wall=wall,
        tensile_strength=tensile_strength,
        length=length,
        shear_factor=shear_factor,
        restrained=restrained,
        fraction=fraction,
        line_load=line_load,
        safety_factor=safety_factor,
        bearing_factor=bearing_factor,
        largest_spacing=largest_spacing,
    )
    options = arrangements(demand, pin_bite, allow_staggered, family)
    if isinstance(options, KeysNotFeasible):
        return options
    enough = [option for option in options if demand.met_by(option)]
    if not enough:
        return too_weak(options, demand)
    chosen = next((option for option in enough if option.ductile), enough[0])
    return with_pins(chosen, demand, pin_bite, chosen.lobes_counted)


@dataclass(frozen=True)
class KeyDemand:
    """The wall that keys are let into, and the part of its strength they have to restore.

    Lengths in mm, stresses in MPa, factors and ``needed`` in 1.
    """

    wall: float
    tensile_strength: float
    length: float
    shear_factor: float
    restrained: bool
    needed: float
    bearing_factor: float = BEARING_FACTOR
    largest_spacing: float = LARGEST_SPACING

    def met_by(self, design: KeyDesign) -> bool:
        """Whether keys restore enough and stand close enough."""
        enough = design.restored_fraction >= self.needed - _TINY
        return enough and design.spacing <= self.largest_spacing + _TINY


def key_demand(
    *,
    wall: float,
    tensile_strength: float,
    length: float,
    shear_factor: float,
    restrained: bool,
    fraction: float | None = None,
    line_load: float | None = None,
    safety_factor: float = 4.0,
    bearing_factor: float = BEARING_FACTOR,
    largest_spacing: float = LARGEST_SPACING,
) -> KeyDemand:
    """What is asked of keys.

    phi = max(wanted fraction, SF n_d/(t s_u))

    Args:
        wall: as :func:`design_keys`, and so on for the others.
        tensile_strength: [MPa]
        length: [mm]
        shear_factor: [1]
        restrained: the wall is held flat.
        fraction: [1]
        line_load: [N/mm]
        safety_factor: [1]
        bearing_factor: [1]
        largest_spacing: [mm]

    Returns:
        the demand.

    Validity: as :func:`design_keys`.

    Raises:
        OutOfRange: as :func:`design_keys`.

    Example:
        >>> demand = key_demand(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, line_load=27, safety_factor=4)
        >>> round(demand.needed, 3)
        0.041

    Source: as :func:`design_keys`.
    """
    needed = _needed(wall, tensile_strength, fraction, line_load, safety_factor)
    positive("length", length, "mm")
    positive("largest_spacing", largest_spacing, "mm")
    return KeyDemand(
        wall,
        tensile_strength,
        length,
        shear_factor,
        restrained,
        needed,
        bearing_factor,
        largest_spacing,
    )


def arrangements(
    demand: KeyDemand,
    pin_bite: float = 0.0,
    allow_staggered: bool = True,
    family: Sequence[KeySection] = NEUTRAL_FAMILY,
) -> list[KeyDesign] | KeysNotFeasible:
    """Every arrangement of keys that fits a wall, in the order of :func:`design_keys`.

    Args:
        demand: wall and what is asked.
        pin_bite: as :func:`design_keys` [mm].
        allow_staggered: as there.
        family: as there.

    Returns:
        the arrangements, whether they restore enough or not, without warnings; or why none fits.

    Validity: as :func:`design_keys`.

    Raises:
        OutOfRange: as :func:`design_keys`.

    Example:
        >>> demand = key_demand(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> [(one.section.name, one.count) for one in arrangements(demand)[:3]]
        [('neck_6', 1), ('neck_6', 2), ('neck_6', 3)]

    Source: as :func:`design_keys`.
    """
    wall = demand.wall
    if wall < LEAST_WALL:
        return KeysNotFeasible(
            f"a wall of {wall:g} mm is thinner than the {LEAST_WALL:g} mm that a key needs",
            nearest_hint=f"nearest feasible: a wall of {LEAST_WALL:g} mm",
        )
    options: list[KeyDesign] = []
    shallow = 0
    for section in _by_preference(family, wall, pin_bite):
        layers = layer_count(wall, section.layer)
        depth = layers * section.layer
        if layers < 1 or (not demand.restrained and depth < _least_depth(wall) - _TINY):
            shallow += 1
            continue
        case = _case(demand, section, layers, pin_bite, section.lobes)
        options.extend(_arrangements(case))
        if allow_staggered:
            options.extend(_arrangements(replace(case, staggered=True)))
    return options or _nothing_fits(wall, demand.restrained, shallow, demand.length)


def with_pins(design: KeyDesign, demand: KeyDemand, pin_bite: float, lobes: int) -> KeyDesign:
    """The same keys, reckoned with what the pins beside them leave.

    Args:
        design: keys reckoned without pins.
        demand: what they were designed for.
        pin_bite: bite of pins into each side of the necks [mm].
        lobes: lobes a side that carry, see :func:`lobes_beyond_pins` [1].

    Returns:
        the keys with what they restore now.

    Validity: as :func:`key_capacity`.

    Raises:
        OutOfRange: no neck or no lobe left.

    Example:
        >>> demand = key_demand(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> whole = design_keys(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> less = with_pins(whole, demand, pin_bite=0.5, lobes=2)
        >>> round(less.restored_fraction / whole.restored_fraction, 3), less.neck_left
        (0.833, 5.0)

    Source: as :func:`key_capacity`.
    """
    case = _case(demand, design.section, design.layers, pin_bite, lobes, design.staggered)
    found = _design(case, design.spacing, design.positions)
    return replace(found, warnings=_warnings(case, found))


@dataclass(frozen=True)
class _Case:
    """One strip in the wall at hand, with what pins leave of it."""

    demand: KeyDemand
    section: KeySection
    depth: float
    layers: int
    capacity: KeyCapacity
    pin_bite: float
    lobes: int
    staggered: bool

    @cached_property
    def lost(self) -> float:
        """See :func:`_lost`."""
        return _lost(self.section.lobe, self.depth, self.demand.wall, self.staggered)

    @cached_property
    def greatest_fraction(self) -> float:
        """See :func:`greatest_fraction`."""
        return greatest_fraction(
            self.capacity.force,
            self.section.lobe,
            self.depth,
            self.demand.tensile_strength,
            self.staggered,
        )


def _case(
    demand: KeyDemand,
    section: KeySection,
    layers: int,
    pin_bite: float,
    lobes: int,
    staggered: bool = False,
) -> _Case:
    depth = layers * section.layer
    capacity = key_capacity(
        section,
        depth,
        demand.wall,
        demand.tensile_strength,
        shear_factor=demand.shear_factor,
        restrained=demand.restrained,
        bearing_factor=demand.bearing_factor,
        pin_bite=pin_bite,
        lobes=lobes,
    )
    return _Case(demand, section, depth, layers, capacity, pin_bite, lobes, staggered)


def _least_depth(wall: float) -> float:
    return LEAST_DEPTH_TO_FREE_WALL * wall


def _needed(
    wall: float,
    tensile_strength: float,
    fraction: float | None,
    line_load: float | None,
    safety_factor: float,
) -> float:
    positive("wall", wall, "mm")
    positive("tensile_strength", tensile_strength, "MPa")
    if not safety_factor >= 1 or not math.isfinite(safety_factor):
        raise OutOfRange("safety_factor", safety_factor, "at least 1")
    if fraction is None and line_load is None:
        raise OutOfRange("fraction", None, "a wanted fraction, a service load, or both")
    from_load = 0.0
    if line_load is not None:
        from_load = safety_factor * positive("line_load", line_load, "N/mm")
        from_load /= wall * tensile_strength
    return max(from_load, 0.0 if fraction is None else between("fraction", fraction, 0, 1, ""))


def _by_preference(family: Sequence[KeySection], wall: float, pin_bite: float) -> list[KeySection]:
    """Necks nearest to half the wall first; none above the wall, none that pins would cut off."""
    fit = [section for section in family if 2 * pin_bite < section.neck <= wall]
    return sorted(fit, key=lambda section: (abs(section.neck - NECK_TO_WALL * wall), section.neck))


def moved_ends(design: KeyDesign, demand: KeyDemand) -> Iterator[KeyDesign]:
    """The same number of keys, set closer or wider within what their end keys may have.

    Args:
        design: evenly set keys.
        demand: what they were designed for.

    Returns:
        the other arrangements, end keys at 0.8, 0.85 or 0.9 of the half length.

    Example:
        >>> demand = key_demand(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> keys = design_keys(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> [round(one.spacing, 1) for one in (keys, *moved_ends(keys, demand))]
        [20.0, 19.2, 20.4, 21.6]
    """
    if design.count == 1:
        return
    bite, lobes = design.pin_bite, design.lobes_counted
    case = _case(demand, design.section, design.layers, bite, lobes, design.staggered)
    for end in (END_KEY[0], sum(END_KEY) / 2, END_KEY[1]):
        spacing, positions = _positions(demand.length, design.count, end)
        fits = _stand_clear(case, min(spacing, demand.length / design.count))
        if fits and abs(spacing - design.spacing) > _TINY:
            yield _design(case, spacing, positions)


def _arrangements(case: _Case) -> Iterator[KeyDesign]:
    """All numbers of keys for which the slots stay apart, fewest first."""
    length = case.demand.length
    for count in itertools.count(2 if case.staggered else 1):
        spacing, positions = _positions(length, count)
        if not _stand_clear(case, min(spacing, length / count)):
            return
        yield _design(case, spacing, positions)


def _stand_clear(case: _Case, closest: float) -> bool:
    """Whether metal enough stays between slots, and parent beside the lobes."""
    section = case.section
    clear = clear_metal(section.lobe, section.neck, closest, case.staggered)
    return clear >= LEAST_CLEAR_METAL - _TINY and closest > case.lost


def _positions(
    length: float, count: int, end: float | None = None
) -> tuple[float, tuple[float, ...]]:
    """Spacing and places of evenly set keys whose end keys stand at 0.8 to 0.9 of the half."""
    if count == 1:
        return length, (length / 2,)
    if end is None:
        end = min(max(1 - 1 / count, END_KEY[0]), END_KEY[1])
    first, spacing = (1 - end) * length / 2, end * length / (count - 1)
    return spacing, tuple([first + spacing * i for i in range(count)])


def _design(case: _Case, spacing: float, positions: tuple[float, ...]) -> KeyDesign:
    demand, section, force = case.demand, case.section, case.capacity.force
    share = demand.length / len(positions)
    widest, closest = max(spacing, share), min(spacing, share)
    carried = force / (demand.wall * widest * demand.tensile_strength)
    left = 1 - case.lost / closest  # as net_section, whose checks were made for the whole case
    parent = left * demand.wall * closest * demand.tensile_strength
    return KeyDesign(
        section=section,
        depth=case.depth,
        layers=case.layers,
        count=len(positions),
        spacing=spacing,
        positions=positions,
        staggered=case.staggered,
        capacity=case.capacity,
        restored_fraction=min(carried, left),
        needed_fraction=demand.needed,
        greatest_fraction=case.greatest_fraction,
        ductile=is_ductile(case.capacity, parent),
        pin_bite=case.pin_bite,
        lobes_counted=case.lobes,
    )


def _warnings(case: _Case, design: KeyDesign) -> tuple[str, ...]:
    found = []
    if not design.ductile:
        found.append("the casting may break before the key yields: no warning before failure")
    pressure = first_lobe_pressure(case.capacity.force, case.section, case.depth)
    limit = case.demand.bearing_factor * case.demand.tensile_strength
    if pressure > limit:
        found.append(
            f"the first lobe presses with {pressure:.0f} MPa, above the {limit:.0f} MPa of the wall"
        )
    if design.staggered:
        found.append(
            f"alternate keys of {case.section.lobes} and {case.section.lobes + 1} lobes a side, "
            "rows shifted by half a pitch; failure on a diagonal between rows is not checked"
        )
    if design.count == 1:
        found.append("a single key at mid-length does little against running on at the ends")
    return tuple(found)


def _nothing_fits(wall: float, restrained: bool, shallow: int, length: float) -> KeysNotFeasible:
    if shallow and not restrained:
        return KeysNotFeasible(
            f"no full layers reach 0.7 of a wall of {wall:g} mm that is free to bend",
            nearest_hint="nearest feasible: a wall held flat, a thicker wall or thinner layers",
        )
    return KeysNotFeasible(
        f"no strip of the family fits a wall of {wall:g} mm and a crack of {length:g} mm",
        nearest_hint="nearest feasible: a smaller strip",
    )


def too_weak(options: Sequence[KeyDesign], demand: KeyDemand) -> KeysNotFeasible:
    """Why none of some arrangements is enough, with the one that comes nearest.

    Args:
        options: arrangements, none of which meets the demand.
        demand: the demand.

    Returns:
        the reason.

    Example:
        >>> demand = key_demand(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.9)
        >>> too_weak(arrangements(demand), demand).reason
        'a fraction of 0.90 is above the 0.64 that such keys can ever restore'
    """
    largest, needed = demand.largest_spacing, demand.needed
    near = [option for option in options if option.spacing <= largest + _TINY]
    best = max(near or options, key=lambda option: option.restored_fraction)
    ceiling = max(option.greatest_fraction for option in options)
    if best.restored_fraction >= needed:
        reason = f"no arrangement stands closer than {largest:g} mm"
    elif needed > ceiling:
        reason = (
            f"a fraction of {needed:.2f} is above the {ceiling:.2f} that such keys can ever restore"
        )
    else:
        reason = f"keys on this length restore at most {best.restored_fraction:.2f}"
        reason += f", not {needed:.2f}"
    return KeysNotFeasible(
        reason, best, f"nearest feasible: a fraction of {best.restored_fraction:.2f}"
    )


def _rows(staggered: bool) -> float:
    """Part of the keys that cut one row of lobes."""
    return 0.5 if staggered else 1.0


def _lost(lobe: float, depth: float, wall: float, staggered: bool) -> float:
    """Length of crack whose parent one key takes away."""
    return _rows(staggered) * lobe * depth / wall


def _eccentricity(eta: float) -> float:
    if not 0 < eta <= 1:
        raise OutOfRange("eta", eta, "above 0, at most 1: a key is never deeper than the wall")
    return (1 - eta) / eta


def _fraction(value: float) -> float:
    if not 0 < value < 1:
        raise OutOfRange("fraction", value, "above 0 and below 1")
    return value


def _check_section(section: KeySection) -> None:
    positive("neck", section.neck, "mm")
    positive("lobe_pitch", section.lobe_pitch, "mm")
    positive("layer", section.layer, "mm")
    positive("yield_strength", section.yield_strength, "MPa")
    if not section.lobe > section.neck:
        raise OutOfRange("lobe", section.lobe, f"wider than the neck, {section.neck:g} mm")
    if section.lobes < LEAST_LOBES:
        raise OutOfRange("lobes", section.lobes, f"at least {LEAST_LOBES} a side")
