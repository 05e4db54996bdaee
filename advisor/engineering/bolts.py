"""Bolts: strength classes, loads, preload and torque, and how far torque can be trusted.

The strengths of the classes are table values (ISO 898-1, SAE J429); they are handed in as
`BoltClass` rows, because this package holds formulas, not tables.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from math import cos, pi, radians, sqrt
from statistics import fmean, stdev
from typing import Final, Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.engineering.threads import basic_diameters
from advisor.light_dataclass import dataclass

Standard = Literal["ISO 898-1", "SAE J429"]

# Half of the 60 degree flank angle.
_FLANK: Final = radians(30.0)


@dataclass(frozen=True)
class BoltClass:
    """One row of a table of bolt strengths.

    Attributes:
        standard: ISO 898-1 or SAE J429
        name: class or grade, as `8.8` or `5`
        over_mm: the row holds for diameters above this [mm]
        up_to_mm: and up to this, included [mm]
        tensile_mpa: least tensile strength Rm [MPa]
        yield_mpa: least yield strength ReL or Rp0.2 [MPa]
        proof_mpa: proof stress Sp [MPa]
    """

    standard: Standard
    name: str
    over_mm: float
    up_to_mm: float
    tensile_mpa: float
    yield_mpa: float
    proof_mpa: float


def read_class_name(text: str) -> tuple[Standard, str]:
    """Read a bolt class as people write it.

    Args:
        text: such as `8.8`, `class 10.9`, `12,9`, `SAE grade 5`, `Gr 8`, `J429 grade 5`

    Returns:
        standard and class

    Validity: property classes of ISO 898-1, grades of SAE J429.

    Raises:
        OutOfRange: anything else, with a hint.

    Example:
        >>> read_class_name("SAE grade 5"), read_class_name("class 8,8")
        (('SAE J429', '5'), ('ISO 898-1', '8.8'))

    Source: ISO 898-1, SAE J429 (read second-hand).
    """
    plain = re.sub(r"\s+", " ", text.strip().lower().replace(",", "."))
    metric = re.fullmatch(
        r"(?:iso 898(?:-1)? ?)?(?:property )?(?:class|cl\.?)? ?(\d{1,2}\.\d)", plain
    )
    if metric:
        return "ISO 898-1", metric[1]
    grade = re.fullmatch(r"(?:sae )?(?:j ?429 )?(?:grade|gr\.?) ?(\d)", plain) or re.fullmatch(
        r"(?:sae|j ?429) ?(\d)", plain
    )
    if grade:
        return "SAE J429", grade[1]
    raise OutOfRange("bolt class", repr(text), "is no class", "write 8.8 or SAE grade 5")


def bolt_class(
    rows: Iterable[BoltClass], standard: Standard, name: str, diameter_mm: float
) -> BoltClass:
    """Find the row for a class and a diameter.

    Args:
        rows: table of bolt strengths
        standard: ISO 898-1 or SAE J429
        name: class or grade
        diameter_mm: nominal diameter [mm]

    Returns:
        the row

    Validity: what the table holds.

    Raises:
        OutOfRange: class not held, or not for this diameter.

    Example:
        >>> small = BoltClass("ISO 898-1", "8.8", 1.6, 16.0, 800.0, 640.0, 580.0)
        >>> large = BoltClass("ISO 898-1", "8.8", 16.0, 39.0, 830.0, 660.0, 600.0)
        >>> bolt_class([small, large], "ISO 898-1", "8.8", 16.0).proof_mpa
        580.0

    Source: the table's.
    """
    known = [row for row in rows if row.standard == standard]
    named = [row for row in known if row.name == name]
    if not named:
        names = ", ".join(dict.fromkeys(row.name for row in known))
        raise OutOfRange("bolt class", name, f"is not held for {standard}", f"held: {names}")
    for row in named:
        # Inch sizes reach here as millimetres; a rounding must not move a size to the next row.
        if row.over_mm + 1e-6 < diameter_mm <= row.up_to_mm + 1e-6:
            return row
    low, high = min(row.over_mm for row in named), max(row.up_to_mm for row in named)
    limit = f"{standard} class {name} covers diameters over {low:g} up to {high:g} mm"
    raise OutOfRange("bolt diameter", diameter_mm, limit)


def proof_load(stress_area_mm2: float, proof_mpa: float) -> float:
    """Proof load of a bolt: carried without lasting stretch.

    F = As * Sp

    Args:
        stress_area_mm2: As [mm2]
        proof_mpa: proof stress Sp [MPa]

    Returns:
        load [N]

    Validity: the printed tables round to three figures (up to 0.9 % off).

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(proof_load(156.67, 580.0) / 1000, 1)
        90.9

    Source: ISO 898-1, SAE J429 (read second-hand).
    """
    return positive("stress area", stress_area_mm2, "mm2") * positive("proof", proof_mpa, "MPa")


def breaking_load(stress_area_mm2: float, tensile_mpa: float) -> float:
    """Least breaking load of a bolt.

    F = As * Rm

    Args:
        stress_area_mm2: As [mm2]
        tensile_mpa: tensile strength Rm [MPa]

    Returns:
        load [N]

    Validity: the printed tables round to three figures (up to 0.9 % off).

    Raises:
        OutOfRange: a value not above zero.

    Example:
        >>> round(breaking_load(244.79, 830.0) / 1000)
        203

    Source: ISO 898-1, SAE J429 (read second-hand).
    """
    return positive("stress area", stress_area_mm2, "mm2") * positive(
        "tensile strength", tensile_mpa, "MPa"
    )


# Torque and preload


def nut_factor(diameter_mm: float, pitch_mm: float, friction: float) -> float:
    """Torque coefficient K from the friction coefficient.

    K = 0.159 P/d + 1.156 mu

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        friction: mu, the same in thread and under the head [1]

    Returns:
        K of T = K F d [1]

    Validity: 60 degree thread, hexagon head without loose washer, friction 0.04 to 0.4.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(nut_factor(16.0, 2.0, 0.12), 3)
        0.159

    Source: MIL-HDBK-60 100.5.2 (read).
    """
    positive("diameter", diameter_mm, "mm")
    between("friction", friction, 0.04, 0.4, "")
    return 0.159 * positive("pitch", pitch_mm, "mm") / diameter_mm + 1.156 * friction


def torque_for_preload(
    preload_n: float,
    diameter_mm: float,
    pitch_mm: float,
    thread_friction: float,
    head_friction: float,
    bearing_diameter_mm: float,
) -> float:
    """Tightening torque for a preload.

    T = F [P/(2 pi) + d2 mu_thread / (2 cos 30) + Db mu_head / 2]

    Args:
        preload_n: preload F [N]
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        thread_friction: mu in the thread [1]
        head_friction: mu under the head [1]
        bearing_diameter_mm: mean diameter of the bearing face Db [mm]

    Returns:
        torque [N*m]

    Validity: 60 degree thread, friction 0.04 to 0.4, Db above d.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(torque_for_preload(81000.0, 16.0, 2.0, 0.12, 0.12, 20.0))
        205

    Source: MIL-HDBK-60 100.5 (read), Db being the mean of head and hole diameter.
    """
    positive("preload", preload_n, "N")
    between("thread friction", thread_friction, 0.04, 0.4, "")
    between("head friction", head_friction, 0.04, 0.4, "")
    if not bearing_diameter_mm > diameter_mm:
        raise OutOfRange("bearing diameter", bearing_diameter_mm, f"must be above {diameter_mm:g}")
    flank = basic_diameters(diameter_mm, pitch_mm).pitch * thread_friction / (2.0 * cos(_FLANK))
    arm = pitch_mm / (2.0 * pi) + flank + bearing_diameter_mm * head_friction / 2.0
    return preload_n * arm / 1000.0


@dataclass(frozen=True)
class Preload:
    """Preload from a torque, with its scatter [N]."""

    nominal: float
    least: float
    greatest: float


def preload_from_torque(
    torque_nm: float, diameter_mm: float, factor: float, scatter: float, loss: float = 0.0
) -> Preload:
    """Preload that a torque gives, and the band it falls into.

    F = T/(K d);  Fmax = (1 + scatter) F;  Fmin = (1 - scatter) F - loss Fmax

    Args:
        torque_nm: torque T [N*m]
        diameter_mm: nominal diameter d [mm]
        factor: torque coefficient K [1]
        scatter: half width of the band, as 0.25 for a torque wrench on lubricated threads [1]
        loss: share of the greatest preload lost by settling, 0.05 to 0.10 is usual [1]

    Returns:
        preload [N]

    Validity: K 0.05 to 0.6, scatter 0 to 0.5, loss 0 to 0.3.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> p = preload_from_torque(206.0, 16.0, 0.159, 0.25, 0.05)
        >>> [round(x / 1000, 1) for x in (p.nominal, p.least, p.greatest)]
        [81.0, 55.7, 101.2]

    Source: NSTS 08307 rev A 3.4 to 3.6, NASA-STD-5020B (read).
    """
    positive("torque", torque_nm, "N*m")
    positive("diameter", diameter_mm, "mm")
    between("K", factor, 0.05, 0.6, "")
    between("scatter", scatter, 0.0, 0.5, "")
    between("loss", loss, 0.0, 0.3, "")
    nominal = torque_nm * 1000.0 / (factor * diameter_mm)
    greatest = (1.0 + scatter) * nominal
    return Preload(nominal, (1.0 - scatter) * nominal - loss * greatest, greatest)


def vdi_preload(
    diameter_mm: float, pitch_mm: float, yield_mpa: float, friction: float, use: float = 0.9
) -> float:
    """Assembly preload at which torsion and tension together use a share of the yield strength.

    F = use Rp As / sqrt(1 + 3 [1.5 d2/d0 (P/(pi d2) + 1.155 mu)]^2),  d0 = (d2 + d3)/2

    Args:
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        yield_mpa: yield strength Rp0.2 [MPa]
        friction: mu in the thread [1]
        use: share of the yield strength [1]

    Returns:
        preload [N]

    Validity: metric shank bolts, friction 0.04 to 0.4, use up to 0.9.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(vdi_preload(16.0, 1.5, 640.0, 0.12) / 1000, 1)
        87.7

    Source: VDI 2230 (formula memory; reproduces a table read second-hand to 0.3 %).
    """
    positive("yield strength", yield_mpa, "MPa")
    between("friction", friction, 0.04, 0.4, "")
    between("use", use, 0.1, 0.9, "")
    basic = basic_diameters(diameter_mm, pitch_mm)
    core = (basic.pitch + basic.root) / 2.0
    lead = pitch_mm / (pi * basic.pitch) + 1.155 * friction
    torsion = 1.5 * basic.pitch / core * lead
    return use * yield_mpa * pi / 4.0 * core**2 / sqrt(1.0 + 3.0 * torsion**2)


def vdi_torque(
    preload_n: float,
    diameter_mm: float,
    pitch_mm: float,
    thread_friction: float,
    head_friction: float,
    head_diameter_mm: float,
    hole_diameter_mm: float,
) -> float:
    """Assembly torque for a preload.

    M = F [0.16 P + 0.58 d2 mu_thread + (dw + dh)/4 mu_head]

    Args:
        preload_n: preload F [N]
        diameter_mm: nominal diameter d [mm]
        pitch_mm: pitch P [mm]
        thread_friction: mu in the thread [1]
        head_friction: mu under the head [1]
        head_diameter_mm: outside diameter of the bearing face dw [mm]
        hole_diameter_mm: clearance hole dh [mm]

    Returns:
        torque [N*m]

    Validity: metric bolts, friction 0.04 to 0.4, dw above dh.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(vdi_torque(87700.0, 16.0, 1.5, 0.12, 0.12, 22.5, 17.5))
        218

    Source: VDI 2230 (formula memory; reproduces a table read second-hand to 0.3 %).
    """
    positive("preload", preload_n, "N")
    between("thread friction", thread_friction, 0.04, 0.4, "")
    between("head friction", head_friction, 0.04, 0.4, "")
    if not head_diameter_mm > positive("hole diameter", hole_diameter_mm, "mm"):
        raise OutOfRange("head diameter", head_diameter_mm, f"must be above {hole_diameter_mm:g}")
    pitch_diameter = basic_diameters(diameter_mm, pitch_mm).pitch
    bearing = (head_diameter_mm + hole_diameter_mm) / 4.0 * head_friction
    return (
        preload_n * (0.16 * pitch_mm + 0.58 * pitch_diameter * thread_friction + bearing) / 1000.0
    )


def head_pressure(preload_n: float, head_diameter_mm: float, hole_diameter_mm: float) -> float:
    """Pressure under the head of a bolt.

    p = F / (pi/4 (dw^2 - dh^2))

    Args:
        preload_n: force F [N]
        head_diameter_mm: outside diameter of the bearing face dw [mm]
        hole_diameter_mm: clearance hole dh [mm]

    Returns:
        pressure [MPa]

    Validity: flat seat, square to the hole; dw above dh.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(head_pressure(81000.0, 22.49, 17.5))
        517

    Source: NASA TM-106943 eq. (75) (read).
    """
    positive("force", preload_n, "N")
    if not head_diameter_mm > positive("hole diameter", hole_diameter_mm, "mm"):
        raise OutOfRange("head diameter", head_diameter_mm, f"must be above {hole_diameter_mm:g}")
    return preload_n / (pi / 4.0 * (head_diameter_mm**2 - hole_diameter_mm**2))


@dataclass(frozen=True)
class Scatter:
    """What repeated tightening showed.

    Attributes:
        mean: mean preload [N]
        deviation: standard deviation [N]
        factor: torque coefficient K of the mean [1]
        above: largest preload over the mean, less one [1]
        below: one less the smallest preload over the mean [1]
        band: half width that holds the stated share of joints at the stated confidence [1]
    """

    mean: float
    deviation: float
    factor: float
    above: float
    below: float
    band: float


def measured_scatter(
    preloads_n: Sequence[float], torque_nm: float, diameter_mm: float, tolerance_factor: float
) -> Scatter:
    """Scatter of preload from repeated tightening to one torque.

    K = T/(mean d);  band = k s/mean

    Args:
        preloads_n: measured preloads [N]
        torque_nm: the torque [N*m]
        diameter_mm: nominal diameter d [mm]
        tolerance_factor: k of the tolerance interval for this number of trials, 2.145 for 30
            trials, 90 % of joints at 95 % confidence [1]

    Returns:
        the scatter

    Validity: 6 trials or more, one fastener lot and lubricant.

    Raises:
        OutOfRange: fewer trials, or a value not above zero.

    Example:
        >>> s = measured_scatter([9.0, 10.0, 11.0, 10.0, 9.5, 10.5], 0.016, 8.0, 2.0)
        >>> round(s.factor, 2), round(s.above, 2)
        (0.2, 0.1)

    Source: NASA-STD-5020B appendix A.2 (read).
    """
    if len(preloads_n) < 6:
        raise OutOfRange("trials", len(preloads_n), "must be 6 or more")
    for preload in preloads_n:
        positive("preload", preload, "N")
    positive("tolerance factor", tolerance_factor, "")
    mean, deviation = fmean(preloads_n), stdev(preloads_n)
    return Scatter(
        mean,
        deviation,
        positive("torque", torque_nm, "N*m") * 1000.0 / (mean * diameter_mm),
        max(preloads_n) / mean - 1.0,
        1.0 - min(preloads_n) / mean,
        tolerance_factor * deviation / mean,
    )
