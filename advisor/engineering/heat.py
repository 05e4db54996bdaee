"""Heat in a repair: preheat of steel, heat input, heating and cooling rates, soak, energy."""

from __future__ import annotations

from collections.abc import Sequence
from math import log10, tanh
from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, finite, not_negative, positive
from advisor.light_dataclass import dataclass

MINUTES_PER_HOUR = 60.0
MM_PER_INCH = 25.4
STEEL_ONLY = "a steel formula; no preheat of cast iron (C above 2 %) is computed from it"


# Preheat of steel


def governing_cet(base_cet: float, weld_metal_cet: float) -> float:
    """CET that governs the preheat when the weld metal is the richer one.

    CET = max(base, weld metal + 0.03)

    Args:
        base_cet: CET of the casting [mass %]
        weld_metal_cet: CET of the weld metal [mass %]

    Returns:
        CET to use [mass %]

    Validity: steel.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(governing_cet(0.30, 0.29), 2)
        0.32

    Source: EN 1011-2 (memory).
    """
    positive("base_cet", base_cet, "%")
    positive("weld_metal_cet", weld_metal_cet, "%")
    return max(base_cet, weld_metal_cet + 0.03)


def preheat_method_b(
    cet: float, thickness_mm: float, hydrogen_ml_per_100g: float, heat_input_kj_per_mm: float
) -> float:
    """Least preheat of a steel against hydrogen cracking, EN 1011-2 method B.

    Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328

    Args:
        cet: CET of the steel, see `governing_cet` [mass %]
        thickness_mm: thickness d at the joint, of the plate and not combined [mm]
        hydrogen_ml_per_100g: diffusible hydrogen HD of the filler [ml/100 g]
        heat_input_kj_per_mm: heat input Q [kJ/mm]

    Returns:
        Tp [degC]; it may come out below room temperature, see `steel_preheat`

    Validity: steel; CET 0.2 to 0.5 %, d 10 to 90 mm, HD 1 to 20 ml/100 g, Q 0.5 to 4 kJ/mm.
    Public versions with HD x 0.35 or tanh(35/d) are wrong.

    Raises:
        OutOfRange: outside the validity; nothing is clamped.

    Example:
        >>> round(preheat_method_b(0.40, 10.0, 10.0, 4.0), 2)
        90.91

    Source: EN 1011-2 formula through an engineering page, its coefficients also in an open
    library (read2); the box of validity (memory).
    """
    between("cet", cet, 0.2, 0.5, "%", STEEL_ONLY)
    between(
        "thickness",
        thickness_mm,
        10.0,
        90.0,
        "mm",
        "10 mm asks for more preheat than a thinner wall; above 90 mm the term grows by 2 K only",
    )
    between("hydrogen", hydrogen_ml_per_100g, 1.0, 20.0, "ml/100 g")
    between("heat_input", heat_input_kj_per_mm, 0.5, 4.0, "kJ/mm")
    hydrogen_term: float = 62.0 * hydrogen_ml_per_100g**0.35
    return (
        697.0 * cet
        + 160.0 * tanh(thickness_mm / 35.0)
        + hydrogen_term
        + (53.0 * cet - 32.0) * heat_input_kj_per_mm
        - 328.0
    )


LEAST_DRY_TEMPERATURE = 20.0


@dataclass(frozen=True)
class SteelPreheat:
    """Preheat to work to, and whether hydrogen asks for it [degC]."""

    formula: float
    least: float
    for_hydrogen: bool


def steel_preheat(
    cet: float, thickness_mm: float, hydrogen_ml_per_100g: float, heat_input_kj_per_mm: float
) -> SteelPreheat:
    """Preheat of a steel to work to: method B, but dry and at least 20 degC.

    T = max(Tp, 20)

    Args:
        cet: CET of the steel [mass %]
        thickness_mm: thickness at the joint [mm]
        hydrogen_ml_per_100g: diffusible hydrogen of the filler [ml/100 g]
        heat_input_kj_per_mm: heat input [kJ/mm]

    Returns:
        what the formula gives, the temperature to work to, and whether hydrogen asks for it

    Validity: as `preheat_method_b`.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> steel_preheat(0.20, 10.0, 3.0, 1.0).for_hydrogen
        False

    Source: as `preheat_method_b`; dry and at least 20 degC (practice).
    """
    formula = preheat_method_b(cet, thickness_mm, hydrogen_ml_per_100g, heat_input_kj_per_mm)
    needed = formula >= LEAST_DRY_TEMPERATURE
    return SteelPreheat(formula, formula if needed else LEAST_DRY_TEMPERATURE, needed)


HydrogenLevel = Literal["H1", "H2", "H3"]
SusceptibilityGroup = Literal["A", "B", "C", "D", "E", "F", "G"]

# AWS D1.1, annex on preheat by hydrogen control (memory).
_HYDROGEN_CONTENT: dict[HydrogenLevel, float] = {"H1": 5.0, "H2": 10.0, "H3": 30.0}
_GROUP_ENDS: tuple[tuple[SusceptibilityGroup, float], ...] = (
    ("A", 3.0),
    ("B", 3.5),
    ("C", 4.0),
    ("D", 4.5),
    ("E", 5.0),
    ("F", 5.5),
    ("G", 7.0),
)
_GROUPS = "ABCDEFG"
# High restraint only; degF; None stands for "below 65". Upper thickness of each row in inches.
_HIGH_RESTRAINT: tuple[tuple[float, tuple[int | None, ...]], ...] = (
    (0.375, (None, None, None, 100, 230, 300, 320)),
    (0.75, (None, 65, 150, 220, 280, 320, 320)),
    (1.5, (65, 185, 240, 280, 300, 320, 320)),
    (3.0, (240, 265, 300, 300, 320, 320, 320)),
    (float("inf"), (240, 265, 300, 300, 320, 320, 320)),
)
_READ_CELL = (3, "D")  # the one cell that was seen in print


@dataclass(frozen=True)
class HydrogenControlPreheat:
    """Answer of the hydrogen-control table, with the mark of the cell it came from."""

    susceptibility: float
    group: SusceptibilityGroup
    least_degf: int | None
    mark: Literal["read2", "memory"]

    @property
    def least_degc(self) -> float | None:
        """Least preheat and interpass temperature [degC]; None: dry and not cold is enough."""
        return None if self.least_degf is None else (self.least_degf - 32.0) / 1.8


def susceptibility_index(pcm: float, hydrogen: HydrogenLevel) -> float:
    """Susceptibility index of AWS D1.1.

    SI = 12 Pcm + log10(H), H = 5 (H1), 10 (H2), 30 (H3)

    Args:
        pcm: Pcm of the steel [mass %]
        hydrogen: H1 extra low, H2 low, H3 not controlled

    Returns:
        SI

    Validity: steel.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(susceptibility_index(0.28, "H2"), 2)
        4.36

    Source: AWS D1.1, annex on preheat by hydrogen control (memory).
    """
    positive("pcm", pcm, "%")
    return 12.0 * pcm + log10(_HYDROGEN_CONTENT[hydrogen])


def preheat_hydrogen_control(
    pcm: float, hydrogen: HydrogenLevel, thickness_mm: float
) -> HydrogenControlPreheat:
    """Least preheat and interpass of a stiff steel part by the hydrogen-control table.

    SI = 12 Pcm + log10(H) gives the group; group and thickness give the temperature

    Args:
        pcm: Pcm of the steel [mass %]
        hydrogen: H1 extra low, H2 low, H3 not controlled
        thickness_mm: thickness of the thicker part [mm]

    Returns:
        index, group, temperature and the mark of the cell

    Validity: steel, high restraint (a repair in a casting is that), SI up to 7. Between
    two groups and on a thickness limit the higher preheat is taken.

    Raises:
        OutOfRange: SI above 7, as every cast iron has.

    Example:
        >>> found = preheat_hydrogen_control(0.28, "H2", 50.8)
        >>> found.group, found.least_degf, found.mark
        ('D', 300, 'read2')

    Source: AWS D1.1, annex on preheat by hydrogen control: one cell (read2), the rest (memory).
    """
    positive("thickness", thickness_mm, "mm")
    index = susceptibility_index(pcm, hydrogen)
    group = next((name for name, end in _GROUP_ENDS if index <= end), None)
    if group is None:
        raise OutOfRange("susceptibility_index", round(index, 2), "must be at most 7", STEEL_ONLY)
    inches = thickness_mm / MM_PER_INCH
    row = next(i for i, (end, _) in enumerate(_HIGH_RESTRAINT) if inches < end)
    cell = _HIGH_RESTRAINT[row][1][_GROUPS.index(group)]
    mark: Literal["read2", "memory"] = "read2" if (row, group) == _READ_CELL else "memory"
    return HydrogenControlPreheat(index, group, cell, mark)


def combined_thickness(paths_mm: Sequence[float]) -> float:
    """Combined thickness at a joint: the sum of the walls that carry heat away.

    butt of two walls t1 + t2; T joint: twice the through wall plus the standing one

    Args:
        paths_mm: thickness of every path away from the joint [mm]

    Returns:
        combined thickness [mm]

    Validity: two to four paths, each averaged over 75 mm from the joint (memory).

    Raises:
        OutOfRange: another number of paths, or a thickness that is not above zero.

    Example:
        >>> combined_thickness([20.0, 20.0]), combined_thickness([20.0, 20.0, 20.0])
        (40.0, 60.0)

    Source: EN 1011-2 method A, through a welding page (read2).
    """
    between("paths", len(paths_mm), 2, 4, "")
    return sum(positive("path", thickness, "mm") for thickness in paths_mm)


# EN 1011-1 (memory)
ARC_EFFICIENCY: dict[str, float] = {
    "submerged_arc": 1.0,
    "manual_metal_arc": 0.8,
    "metal_active_gas": 0.8,
    "flux_cored": 0.8,
    "tig": 0.6,
    "plasma": 0.6,
}


def heat_input(voltage: float, current: float, speed_mm_per_s: float, efficiency: float) -> float:
    """Heat input of an arc weld.

    Q = k U I/(1000 v)

    Args:
        voltage: arc voltage [V]
        current: current [A]
        speed_mm_per_s: travel speed [mm/s]
        efficiency: k of the process, see `ARC_EFFICIENCY`

    Returns:
        Q [kJ/mm]

    Validity: k 0.1 to 1.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(heat_input(200.0, 32.0, 20.0 / 11.0, ARC_EFFICIENCY["manual_metal_arc"]), 3)
        2.816

    Source: EN 1011-1 through an open welding library (read2).
    """
    positive("voltage", voltage, "V")
    positive("current", current, "A")
    positive("speed", speed_mm_per_s, "mm/s")
    between("efficiency", efficiency, 0.1, 1.0, "")
    return efficiency * voltage * current / (1000.0 * speed_mm_per_s)


# Heating and cooling rates

RATE_PRODUCT = 5600.0  # K/h times mm
RATE_FLOOR = 55.0
STEEL_HEATING_CAP = 220.0
STEEL_COOLING_CAP = 111.0
GRAY_IRON_HEATING_CAP = 60.0
GRAY_IRON_COOLING_CAP = 40.0


def rate_by_thickness(thickness_mm: float) -> float:
    """Heating rate that the thickness allows, before caps and floor.

    5600/t

    Args:
        thickness_mm: thickest section [mm]

    Returns:
        rate [K/h]

    Validity: any thickness.

    Raises:
        OutOfRange: a thickness that is not above zero.

    Example:
        >>> rate_by_thickness(50.0)
        112.0

    Source: AWS D1.1 on stress relief, quoted in a welding letter page (read2).
    """
    return RATE_PRODUCT / positive("thickness", thickness_mm, "mm")


def steel_heating_rate(thickness_mm: float, *, complex_shape: bool) -> float:
    """Fastest heating of a steel part above 315 degC.

    min(5600/t, 220), not asked to be below 55 unless the shape is closed or complex

    Args:
        thickness_mm: thickest section [mm]
        complex_shape: closed chambers or uneven walls: the floor of 55 K/h is then left out

    Returns:
        rate [K/h]

    Validity: steel, above 315 degC.

    Raises:
        OutOfRange: a thickness that is not above zero.

    Example:
        >>> steel_heating_rate(150.0, complex_shape=False)
        55.0
        >>> round(steel_heating_rate(150.0, complex_shape=True), 1)
        37.3

    Source: AWS D1.1 on stress relief, quoted in a welding letter page (read2).
    """
    return _capped(thickness_mm, STEEL_HEATING_CAP, complex_shape)


def steel_cooling_rate(thickness_mm: float, *, complex_shape: bool) -> float:
    """Fastest cooling of a steel part above 427 degC, in a closed furnace.

    min(5600/t, 111), not asked to be below 55 unless the shape is closed or complex

    Args:
        thickness_mm: thickest section [mm]
        complex_shape: closed chambers or uneven walls: the floor of 55 K/h is then left out

    Returns:
        rate [K/h]

    Validity: steel, above 427 degC; then still air out of draughts.

    Raises:
        OutOfRange: a thickness that is not above zero.

    Example:
        >>> steel_cooling_rate(25.0, complex_shape=False)
        111.0

    Source: NAVSEA S9074-AR-GIB-010/278, 8.5 for cap and floor (read2); the thickness term is
    that of heating, taken over to the safe side (computed).
    """
    return _capped(thickness_mm, STEEL_COOLING_CAP, complex_shape)


def _capped(thickness_mm: float, cap: float, complex_shape: bool) -> float:
    rate = min(rate_by_thickness(thickness_mm), cap)
    return rate if complex_shape else max(rate, RATE_FLOOR)


def gray_iron_heating_rate(thickness_mm: float) -> float:
    """Fastest heating of a complex gray iron casting; there is no floor.

    min(5600/t, 60)

    Args:
        thickness_mm: thickest section [mm]

    Returns:
        rate [K/h]

    Validity: gray iron, any shape. Simple pressure castings may go up to 222 K/h by ASTM A278.

    Raises:
        OutOfRange: a thickness that is not above zero.

    Example:
        >>> gray_iron_heating_rate(20.0), gray_iron_heating_rate(200.0)
        (60.0, 28.0)

    Source: gray iron foundry page (read2), with the thickness term of AWS D1.1 (practice).
    """
    return min(rate_by_thickness(thickness_mm), GRAY_IRON_HEATING_CAP)


def gray_iron_cooling_rate(thickness_mm: float) -> float:
    """Fastest cooling of a complex gray iron casting down to 150 degC; there is no floor.

    min(5600/t, 40)

    Args:
        thickness_mm: thickest section [mm]

    Returns:
        rate [K/h]

    Validity: gray iron, any shape, down to 150 degC, then still air.

    Raises:
        OutOfRange: a thickness that is not above zero.

    Example:
        >>> gray_iron_cooling_rate(20.0)
        40.0

    Source: gray iron foundry page (read2), with the thickness term of AWS D1.1 (practice).
    """
    return min(rate_by_thickness(thickness_mm), GRAY_IRON_COOLING_CAP)


def cooling_time(from_degc: float, to_degc: float, rate_k_per_h: float) -> float:
    """Time of controlled cooling.

    (T1 - T2)/rate

    Args:
        from_degc: temperature at the start [degC]
        to_degc: temperature at which control ends, 150 for gray iron [degC]
        rate_k_per_h: cooling rate [K/h]

    Returns:
        time [min]; 0 where the part is already below

    Validity: furnace or blanket keeps the rate.

    Raises:
        OutOfRange: a rate that is not above zero.

    Example:
        >>> cooling_time(550.0, 150.0, 40.0)
        600.0

    Source: arithmetic (computed).
    """
    finite("from", from_degc, "degC")
    finite("to", to_degc, "degC")
    positive("rate", rate_k_per_h, "K/h")
    return max(from_degc - to_degc, 0.0) / rate_k_per_h * MINUTES_PER_HOUR


# Soak and stress relief

# NAVSEA S9074-AR-GIB-010/278, Table VI notes (read2): below the table temperature by so many
# degF, hold so many hours an inch.
_LONGER_SOAK = ((0.0, 1.0), (50.0, 2.0), (100.0, 3.0), (150.0, 5.0), (200.0, 10.0))


def soak_time(thickness_mm: float, below_table_k: float = 0.0) -> float:
    """Holding time of a stress relief.

    1 h an inch of thickness, at least 30 min; 2, 3, 5, 10 h an inch when held 50, 100, 150,
    200 degF below the table temperature

    Args:
        thickness_mm: thickest section [mm]
        below_table_k: how far the holding temperature lies below the table's [K]

    Returns:
        time [min]

    Validity: up to 200 degF (111 K) below the table; between steps the longer time counts.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> soak_time(50.8), soak_time(6.35)
        (120.0, 30.0)

    Source: NAVSEA S9074-AR-GIB-010/278, Table VI notes 2 to 4 (read2).
    """
    positive("thickness", thickness_mm, "mm")
    below_degf = not_negative("below_table", below_table_k, "K") * 1.8
    hours = next((h for step, h in _LONGER_SOAK if below_degf <= step + 1e-9), None)
    if hours is None:
        raise OutOfRange("below_table", below_table_k, "must be at most 111 K below the table")
    return max(hours * thickness_mm / MM_PER_INCH * MINUTES_PER_HOUR, 30.0)


StressRelief = Literal["ineffective", "very_slow", "effective", "costs_strength"]


def judge_gray_iron_stress_relief(temperature_degc: float) -> StressRelief:
    """What a holding temperature does to plain gray iron.

    up to 315 ineffective; below 540 very slow; 540 to 600 effective; above 600 costs strength

    Args:
        temperature_degc: holding temperature of the metal [degC]

    Returns:
        the judgement

    Validity: plain (unalloyed) gray iron, up to 760 degC. From 550 on carbides start to go.

    Raises:
        OutOfRange: above 760 degC.

    Example:
        >>> judge_gray_iron_stress_relief(315.0), judge_gray_iron_stress_relief(570.0)
        ('ineffective', 'effective')

    Source: DTIC AD0620556, Stress relief of gray cast iron, abstract (read); upper end, gray
    iron foundry page (read2).
    """
    between("temperature", temperature_degc, -273.15, 760.0, "degC")
    if temperature_degc <= 315.0:
        return "ineffective"
    if temperature_degc < 540.0:
        return "very_slow"
    return "effective" if temperature_degc <= 600.0 else "costs_strength"


# Energy and time

JOULE_PER_KWH = 3.6e6


def heating_energy(mass_kg: float, specific_heat_j_per_kg_k: float, rise_k: float) -> float:
    """Heat that a part takes up.

    Q = m c dT

    Args:
        mass_kg: mass of the part [kg]
        specific_heat_j_per_kg_k: mean specific heat over the rise [J/(kg K)]
        rise_k: temperature rise [K]

    Returns:
        energy in the metal [kWh]

    Validity: c of iron grows with temperature: 490 near room temperature, about 570 as the mean
    up to 600 degC.

    Raises:
        OutOfRange: a value that is not above zero, or a specific heat that is none of a metal.

    Example:
        >>> round(heating_energy(200.0, 490.0, 580.0), 2)
        15.79

    Source: physics; c of gray iron from a property page (read2).
    """
    positive("mass", mass_kg, "kg")
    between("specific_heat", specific_heat_j_per_kg_k, 100.0, 2000.0, "J/(kg K)")
    not_negative("temperature_rise", rise_k, "K")
    return mass_kg * specific_heat_j_per_kg_k * rise_k / JOULE_PER_KWH


def furnace_time(
    energy_kwh: float,
    power_kw: float,
    efficiency: float,
    rise_k: float,
    rate_k_per_h: float,
    soak_min: float,
) -> float:
    """Time in the furnace: the slower of power and allowed rate, and the soak.

    t = max(Q/(P eff), dT/rate) + soak

    Args:
        energy_kwh: heat that the part takes up [kWh]
        power_kw: furnace power [kW]
        efficiency: share of the power that reaches the part
        rise_k: temperature rise [K]
        rate_k_per_h: fastest heating allowed [K/h]
        soak_min: holding time [min]

    Returns:
        time [min]

    Validity: efficiency 0.05 to 1 (electric muffle 0.5 to 0.7, gas in brick 0.1 to 0.3).

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> furnace_time(15.8, 20.0, 0.5, 580.0, 60.0, 60.0)
        640.0

    Source: heat balance (computed); efficiencies (practice).
    """
    not_negative("energy", energy_kwh, "kWh")
    positive("power", power_kw, "kW")
    between("efficiency", efficiency, 0.05, 1.0, "")
    not_negative("temperature_rise", rise_k, "K")
    positive("rate", rate_k_per_h, "K/h")
    not_negative("soak", soak_min, "min")
    hours = max(energy_kwh / (power_kw * efficiency), rise_k / rate_k_per_h)
    return hours * MINUTES_PER_HOUR + soak_min
