"""Strength of gray iron in the wall of the casting, which is not that of the test bar."""

from __future__ import annotations

from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.light_dataclass import dataclass

Grade = Literal[150, 200, 250, 300, 350]
GRADES: tuple[Grade, ...] = (150, 200, 250, 300, 350)

# EN 1561, expected tensile strength in the casting (read2, foundry page; grade 350 memory).
# A wall on a limit counts to the thicker, weaker band.
_BAND_STARTS = (5.0, 10.0, 20.0, 40.0, 80.0)
_BAND_END = 150.0
_IN_CASTING: dict[int, tuple[float | None, ...]] = {
    150: (155.0, 130.0, 110.0, 95.0, 80.0),
    200: (205.0, 180.0, 155.0, 130.0, 115.0),
    250: (250.0, 225.0, 195.0, 170.0, 155.0),
    300: (None, 270.0, 240.0, 210.0, 195.0),
    350: (None, 315.0, 280.0, 250.0, 225.0),
}
# Least strength of a cast-on sample from 20, 40, 80 mm on (read2; grade 350 memory).
_CAST_ON: dict[int, tuple[float, ...]] = {
    150: (120.0, 110.0, 100.0),
    200: (170.0, 150.0, 140.0),
    250: (210.0, 190.0, 170.0),
    300: (250.0, 220.0, 210.0),
    350: (290.0, 260.0, 230.0),
}
# ISO 185:2020 from 20, 40, 80 and 150 mm on, read for grade 150 only.
_CAST_ON_2020_150 = (125.0, 110.0, 100.0, 90.0)


def _known_grade(grade: int) -> int:
    if grade not in _IN_CASTING:
        raise OutOfRange("grade", grade, "must be 150, 200, 250, 300 or 350 (EN-GJL)")
    return grade


def strength_in_wall(grade: int, wall_mm: float) -> float:
    """Tensile strength to expect in a gray iron wall of a known grade.

    look-up by wall band: 5, 10, 20, 40, 80 to 150 mm

    Args:
        grade: EN-GJL grade, the strength of its 30 mm bar [MPa]
        wall_mm: wall thickness [mm]

    Returns:
        expected strength, lower end of the band [MPa]

    Validity: gray iron, wall 5 to 150 mm (from 10 mm for grades 300 and 350). Thinner walls may
    be chilled.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> strength_in_wall(250, 30.0)
        195.0

    Source: EN 1561, table of strength against wall (read2; column 350 memory).
    """
    _known_grade(grade)
    between("wall", wall_mm, _BAND_STARTS[0], _BAND_END, "mm", "a thinner wall may be chilled")
    band = sum(wall_mm >= start for start in _BAND_STARTS) - 1
    strength = _IN_CASTING[grade][band]
    if strength is None:
        raise OutOfRange("wall", wall_mm, f"grade {grade} is tabled from 10 mm on")
    return strength


def cast_on_strength(
    grade: int, wall_mm: float, edition: Literal["1997", "2020"] = "1997"
) -> float:
    """Least tensile strength of a cast-on sample of gray iron.

    look-up by wall band: 20, 40, 80 (2020 also 150) mm

    Args:
        grade: EN-GJL grade [MPa]
        wall_mm: relevant wall thickness [mm]
        edition: EN 1561:1997 or ISO 185:2020; the editions differ, keep it with the number

    Returns:
        least strength [MPa]

    Validity: wall 20 to 150 mm (2020: to 300 mm, grade 150 only).

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> cast_on_strength(150, 30.0), cast_on_strength(150, 30.0, "2020")
        (120.0, 125.0)

    Source: EN 1561:1997 and ISO 185:2020 (read2; grade 350 memory).
    """
    _known_grade(grade)
    if edition == "2020":
        if grade != 150:
            raise OutOfRange("grade", grade, "the 2020 values are known for grade 150 only")
        between("wall", wall_mm, 20.0, 300.0, "mm")
        return _CAST_ON_2020_150[sum(wall_mm >= start for start in (20.0, 40.0, 80.0, 150.0)) - 1]
    between("wall", wall_mm, 20.0, _BAND_END, "mm")
    return _CAST_ON[grade][sum(wall_mm >= start for start in (20.0, 40.0, 80.0)) - 1]


POWER_LAW_EXPONENT = 0.18
POWER_LAW_WALLS = (10.0, 80.0)


def strength_by_power_law(known_mpa: float, known_wall_mm: float, wall_mm: float) -> float:
    """Strength elsewhere in a gray iron casting from that at one wall.

    s(t) = s(t0) (t0/t)^0.18

    Args:
        known_mpa: strength at the known wall [MPa]
        known_wall_mm: wall for which it was specified or tested [mm]
        wall_mm: wall where it is wanted [mm]

    Returns:
        strength [MPa]

    Validity: one gray iron casting, both walls 10 to 80 mm.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(strength_by_power_law(270.0, 40.0, 10.0)), round(
        ...     strength_by_power_law(270.0, 40.0, 80.0))
        (347, 238)

    Source: fit to EN 1561, annex E, example A (read2, computed); example B does not follow it.
    """
    positive("known_strength", known_mpa, "MPa")
    low, high = POWER_LAW_WALLS
    between("known_wall", known_wall_mm, low, high, "mm")
    between("wall", wall_mm, low, high, "mm")
    ratio: float = (known_wall_mm / wall_mm) ** POWER_LAW_EXPONENT
    return known_mpa * ratio


@dataclass(frozen=True)
class AssumedStrength:
    """A strength taken for an unknown grade [MPa], and why."""

    strength: float
    because: str


OLD_IRON_YEAR = 1920


def assumed_gray_iron_strength(wall_mm: float, cast_year: int | None) -> AssumedStrength:
    """Cautious strength of a gray iron wall whose grade is not known.

    grade 150 column: 130 below 20 mm, 95 to 80 mm, 80 above or when cast before 1920

    Args:
        wall_mm: wall thickness [mm]
        cast_year: year of casting; None where not known

    Returns:
        strength [MPa] and the reason, to be printed as an assumption

    Validity: unknown gray iron, or an iron not told apart from ductile iron; wall above 0 up to
    300 mm, not chilled.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> assumed_gray_iron_strength(9.0, None).strength
        130.0
        >>> assumed_gray_iron_strength(9.0, 1905).strength
        80.0

    Source: EN 1561, grade 150 (read2); the choice of it (practice).
    """
    between("wall", wall_mm, 0.0, 300.0, "mm")
    positive("wall", wall_mm, "mm")
    if cast_year is not None and cast_year < OLD_IRON_YEAR:
        return AssumedStrength(80.0, "cast before 1920: weakest gray iron assumed")
    if wall_mm < 20.0:
        return AssumedStrength(130.0, "grade not known: grade 150 assumed, wall below 20 mm")
    if wall_mm < 80.0:
        return AssumedStrength(95.0, "grade not known: grade 150 assumed, wall below 80 mm")
    return AssumedStrength(80.0, "grade not known: grade 150 assumed, wall of 80 mm or more")


def a48_minimum_strength(class_ksi: float) -> float:
    """Least tensile strength of a gray iron class of ASTM A48.

    the class number is the strength in ksi

    Args:
        class_ksi: class, 20 to 60 [ksi]

    Returns:
        least strength of the separately cast bar [MPa]; a wall may differ

    Validity: classes 20 to 60.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(a48_minimum_strength(30))
        207

    Source: ASTM A48-2000, extract (read2).
    """
    return between("class", class_ksi, 20.0, 60.0, "ksi") * 6.894757293168361


def compressive_strength_band(tensile_mpa: float) -> tuple[float, float]:
    """Compressive strength of gray iron from its tensile strength.

    3.6 to 4.4 times the tensile strength

    Args:
        tensile_mpa: tensile strength [MPa]

    Returns:
        both ends [MPa]

    Validity: 137 to 210 MPa (ASTM A48 classes 20 to 30). The table says classes 20 to 50, but
    EN 1561 has only 3.4 times at 250 MPa and 3.1 at 350.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [round(end) for end in compressive_strength_band(207.0)]
        [745, 911]

    Source: engineers' handbook table of iron in terms of its tensile strength (read2).
    """
    between("tensile_strength", tensile_mpa, 137.0, 210.0, "MPa")
    return 3.6 * tensile_mpa, 4.4 * tensile_mpa
