"""Pressure and leak tests: test pressure, stored energy, leak rate, gauge.

All pressures are gauge pressures in bar unless the name says absolute.
"""

from __future__ import annotations

from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, not_negative, positive
from advisor.light_dataclass import dataclass

PASCAL_PER_BAR = 1e5
PSI = 0.0689475729  # bar
ATMOSPHERE = 1.01  # bar absolute, the value of the stored-energy rule
KELVIN = 273.15


# Test pressure by code


def _ratio(stress_ratio: float) -> float:
    if not 1.0 <= stress_ratio <= 10.0:
        raise OutOfRange(
            "stress_ratio",
            stress_ratio,
            "allowable stress cold over hot must lie between 1 and 10",
            "1 where the part is tested as hot as it runs",
        )
    return stress_ratio


def hydrotest_vessel(mawp_bar: float, stress_ratio: float) -> float:
    """Hydrostatic test of a welded or wrought pressure vessel, UG-99(b).

    p_t = 1.3 MAWP S_test/S_design

    Args:
        mawp_bar: maximum allowable working pressure [bar]
        stress_ratio: lowest allowable stress at test over that at design temperature

    Returns:
        least test pressure [bar]

    Validity: ASME VIII-1 since the 1999 addenda (1.5 before); not cast iron. Metal at least
    17 K above its least design temperature.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> hydrotest_vessel(10.0, 1.0)
        13.0

    Source: ASME VIII-1 UG-99(b), training slides (read2).
    """
    return 1.3 * positive("mawp", mawp_bar, "bar") * _ratio(stress_ratio)


CAST_IRON_STEP = 30.0 * PSI
CAST_IRON_PLATEAU = 60.0 * PSI


def hydrotest_cast_iron_vessel(mawp_bar: float) -> float:
    """Hydrostatic test of a new gray iron pressure vessel.

    MAWP of 30 psi (2.07 bar) and above: 2 MAWP; below: min(2.5 MAWP, 60 psi)

    Args:
        mawp_bar: maximum allowable working pressure [bar]

    Returns:
        test pressure [bar]; level at 4.137 bar from 1.655 to 2.068 bar

    Validity: new vessels under ASME VIII-1 part UCI. A repaired one may be destroyed by the
    new-build test: ask the inspector.

    Raises:
        OutOfRange: a pressure that is not above zero.

    Example:
        >>> hydrotest_cast_iron_vessel(10.0), hydrotest_cast_iron_vessel(1.5)
        (20.0, 3.75)

    Source: US UFC 3-430-07, 6-1.1 (read); UCI-99 as its clause (memory).
    """
    positive("mawp", mawp_bar, "bar")
    if mawp_bar >= CAST_IRON_STEP:
        return 2.0 * mawp_bar
    return min(2.5 * mawp_bar, CAST_IRON_PLATEAU)


def hydrotest_ductile_iron_vessel(mawp_bar: float) -> float:
    """Hydrostatic test of a new ductile iron pressure vessel.

    p_t = 2 MAWP

    Args:
        mawp_bar: maximum allowable working pressure [bar]

    Returns:
        test pressure [bar]

    Validity: new vessels under ASME VIII-1 part UCD.

    Raises:
        OutOfRange: a pressure that is not above zero.

    Example:
        >>> hydrotest_ductile_iron_vessel(10.0)
        20.0

    Source: ASME VIII-1 UCD-99 (memory).
    """
    return 2.0 * positive("mawp", mawp_bar, "bar")


def hydrotest_piping(design_bar: float, stress_ratio: float) -> float:
    """Hydrostatic test of process piping.

    p_t = 1.5 P S_T/S, the stress staying below yield

    Args:
        design_bar: design pressure [bar]
        stress_ratio: allowable stress at test over that at design temperature

    Returns:
        least test pressure [bar]

    Validity: ASME B31.3; hold 10 min at least, all joints examined.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> hydrotest_piping(10.0, 1.0)
        15.0

    Source: ASME B31.3-2016, 345.4.2 (read).
    """
    return 1.5 * positive("design", design_bar, "bar") * _ratio(stress_ratio)


def gas_test_piping(design_bar: float) -> float:
    """Least gas test of process piping, only where liquid cannot be used.

    p_t = 1.1 P (at most 1.33 P)

    Args:
        design_bar: design pressure [bar]

    Returns:
        least test pressure [bar]

    Validity: ASME B31.3; preliminary check at 1.7 bar or half the test, raised in steps.

    Raises:
        OutOfRange: a pressure that is not above zero.

    Example:
        >>> round(gas_test_piping(10.0), 3)
        11.0

    Source: ASME B31.3-2016, 345.5 (read); the upper end (memory).
    """
    return 1.1 * positive("design", design_bar, "bar")


def hydrotest_ship_vessel(mawp_bar: float, stress_ratio: float) -> float:
    """Hydrostatic test of a pressure vessel on a US ship.

    p_t = 1.5 MAWP S_test/S_design, stress at most 90 % of yield

    Args:
        mawp_bar: maximum allowable working pressure [bar]
        stress_ratio: allowable stress at test over that at design temperature

    Returns:
        test pressure [bar]

    Validity: 46 CFR part 54.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> hydrotest_ship_vessel(10.0, 1.2)
        18.0

    Source: 46 CFR 54.10-10 (read).
    """
    return 1.5 * positive("mawp", mawp_bar, "bar") * _ratio(stress_ratio)


def hydrotest_en_vessel(design_bar: float, stress_ratio: float) -> float:
    """Hydrostatic test of a European unfired pressure vessel or industrial piping.

    p_t = max(1.25 P f_a/f_t, 1.43 P)

    Args:
        design_bar: design pressure [bar]
        stress_ratio: nominal design stress at test over that at design temperature

    Returns:
        test pressure [bar]

    Validity: EN 13445-5 and EN 13480-5; no fixed holding time in the clause, 30 min is used.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hydrotest_en_vessel(10.0, 1.0), 2), hydrotest_en_vessel(10.0, 1.2)
        (14.3, 15.0)

    Source: EN 13445-5, 10.2.3.3 (memory).
    """
    positive("design", design_bar, "bar")
    return max(1.25 * design_bar * _ratio(stress_ratio), 1.43 * design_bar)


def hydrotest_european_law(allowable_bar: float, loading_ratio: float) -> float:
    """Hydrostatic test under the European pressure equipment law.

    p_t = max(1.25 PS x loading ratio, 1.43 PS)

    Args:
        allowable_bar: maximum allowable pressure PS [bar]
        loading_ratio: highest loading in service, temperature included, as a stress ratio

    Returns:
        test pressure [bar]

    Validity: 97/23/EC and 2014/68/EU, Annex I 7.4, where the product standard says nothing else.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(hydrotest_european_law(10.0, 1.0), 2)
        14.3

    Source: directive 2014/68/EU, Annex I 7.4 (memory).
    """
    positive("allowable", allowable_bar, "bar")
    return max(1.25 * allowable_bar * _ratio(loading_ratio), 1.43 * allowable_bar)


# Test of a repaired casting that no code covers

CASTING_TEST_RATIO = 1.5
WALL_STRENGTH_SHARE = 0.5


@dataclass(frozen=True)
class CastingTest:
    """Test pressure of a repaired casting [bar] and what set it."""

    pressure: float
    ratio: float
    governed_by: Literal["working_pressure", "weakest_panel"]

    @property
    def full(self) -> bool:
        """True where the wall stands the whole 1.5 times the working pressure."""
        return self.governed_by == "working_pressure"


def panel_test_limit(wall_strength_mpa: float, stress_at_one_bar_mpa: float) -> float:
    """Test pressure at which the weakest panel reaches half its strength.

    p = 0.5 s_u/(stress at 1 bar)

    Args:
        wall_strength_mpa: tensile strength in that wall, not of the test bar [MPa]
        stress_at_one_bar_mpa: stress of the weakest panel at 1 bar (0.1 MPa) [MPa]

    Returns:
        pressure [bar]

    Validity: elastic.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> panel_test_limit(130.0, 13.0)
        5.0

    Source: half the strength (practice).
    """
    positive("wall_strength", wall_strength_mpa, "MPa")
    positive("stress_at_one_bar", stress_at_one_bar_mpa, "MPa")
    return WALL_STRENGTH_SHARE * wall_strength_mpa / stress_at_one_bar_mpa


def casting_test_pressure(working_bar: float, panel_limit_bar: float | None) -> CastingTest:
    """Water test of a repaired casting that no code covers.

    p_t = min(1.5 p, pressure that gives 0.5 s_u in the weakest panel)

    Args:
        working_bar: highest working pressure, spikes and relief setting included [bar]
        panel_limit_bar: see `panel_test_limit`; None where no panel can be computed [bar]

    Returns:
        test pressure, its ratio to the working pressure, what set it

    Validity: water, not air; the owner's code goes before.

    Raises:
        OutOfRange: the weakest panel already passes half its strength at working pressure.

    Example:
        >>> casting_test_pressure(2.0, 5.0).pressure
        3.0
        >>> casting_test_pressure(4.0, 5.0).governed_by
        'weakest_panel'

    Source: common rule for uncoded castings (practice).
    """
    positive("working", working_bar, "bar")
    wanted = CASTING_TEST_RATIO * working_bar
    if panel_limit_bar is None or positive("panel_limit", panel_limit_bar, "bar") >= wanted:
        return CastingTest(wanted, CASTING_TEST_RATIO, "working_pressure")
    if panel_limit_bar < working_bar:
        raise OutOfRange(
            "working",
            working_bar,
            f"the weakest panel reaches half its strength at {panel_limit_bar:.3g} bar",
            "a test would load it further: refer",
        )
    return CastingTest(panel_limit_bar, panel_limit_bar / working_bar, "weakest_panel")


# Stored energy

JOULE_PER_KG_TNT = 4_266_920.0


def stored_gas_energy(
    volume_litre: float, pressure_bar: float, isentropic_exponent: float = 1.4
) -> float:
    """Energy that a gas test sets free when the part bursts.

    E = P_t V/(k - 1) [1 - (P_a/P_t)^((k-1)/k)], absolute pressures, P_a 101 kPa

    Args:
        volume_litre: gas volume [L]
        pressure_bar: test pressure, gauge [bar]
        isentropic_exponent: k, 1.4 for air and nitrogen

    Returns:
        energy [J]

    Validity: ideal gas, no flashing liquid; k above 1, up to 1.7.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(stored_gas_energy(50.0, 10.0))
        68078

    Source: ASME PCC-2, article 501, appendix II, committee draft (read2).
    """
    positive("volume", volume_litre, "L")
    not_negative("pressure", pressure_bar, "bar")
    between("isentropic_exponent", isentropic_exponent, 1.01, 1.7, "")
    absolute = pressure_bar + ATMOSPHERE
    share = (isentropic_exponent - 1.0) / isentropic_exponent
    drop: float = 1.0 - (ATMOSPHERE / absolute) ** share
    energy_bar_litre = absolute * volume_litre / (isentropic_exponent - 1.0) * drop
    return energy_bar_litre * PASCAL_PER_BAR / 1000.0


WATER_BULK_MODULUS = 22_000.0  # bar


def stored_water_energy(volume_litre: float, pressure_bar: float) -> float:
    """Energy that a water test holds, that of the compressed water.

    E = p^2 V/(2 K), K = 2.2 GPa

    Args:
        volume_litre: water volume [L]
        pressure_bar: test pressure, gauge [bar]

    Returns:
        energy [J]

    Validity: water with no air left in it; the stretch of the walls is not counted.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(stored_water_energy(50.0, 10.0), 1)
        11.4

    Source: elasticity (computed); K of water (memory).
    """
    positive("volume", volume_litre, "L")
    not_negative("pressure", pressure_bar, "bar")
    energy_bar_litre = pressure_bar**2 * volume_litre / (2.0 * WATER_BULK_MODULUS)
    return energy_bar_litre * PASCAL_PER_BAR / 1000.0


def tnt_equivalent(energy_j: float) -> float:
    """Mass of TNT with the same energy.

    m = E/4 266 920

    Args:
        energy_j: stored energy [J]

    Returns:
        mass [kg]

    Validity: a comparison, not a blast calculation.

    Raises:
        OutOfRange: a negative energy.

    Example:
        >>> round(tnt_equivalent(68078.0) * 1000.0, 1)
        16.0

    Source: ASME PCC-2, article 501, appendix II, committee draft (read2).
    """
    return not_negative("energy", energy_j, "J") / JOULE_PER_KG_TNT


@dataclass(frozen=True)
class SafeDistance:
    """Distance to keep from a gas test [m]: by the code's steps and by the blast."""

    by_energy: float
    by_blast: float

    @property
    def least(self) -> float:
        """The larger of both [m]."""
        return max(self.by_energy, self.by_blast)


def safe_distance(energy_j: float) -> SafeDistance:
    """Distance to keep people away from a gas test.

    30 m up to 135.5 MJ, 60 m up to 271 MJ, and not less than R = 20 (2 m_TNT)^(1/3)

    Args:
        energy_j: stored energy [J]

    Returns:
        both distances [m]

    Validity: up to 271 MJ; larger tests need their own analysis. A draft has (m_TNT)^(1/3), a
    later reading (2 m_TNT)^(1/3): the larger is used.

    Raises:
        OutOfRange: above 271 MJ.

    Example:
        >>> round(safe_distance(68078.0).by_blast, 1), safe_distance(68078.0).least
        (6.3, 30.0)

    Source: ASME PCC-2, article 501, appendix III, committee draft and a calculator (read2).
    """
    between("energy", energy_j, 0.0, 271e6, "J", "divide the test, or use water")
    steps = 30.0 if energy_j <= 135.5e6 else 60.0
    cube_root: float = (2.0 * tnt_equivalent(energy_j)) ** (1.0 / 3.0)
    return SafeDistance(steps, 20.0 * cube_root)


# Leaks


def decay_leak_rate(volume_litre: float, drop_bar: float, time_min: float) -> float:
    """Leak rate from a fall of pressure.

    Q = V dP/dt

    Args:
        volume_litre: volume under test [L]
        drop_bar: fall of pressure, corrected for temperature [bar]
        time_min: time of the fall [min]

    Returns:
        leak rate [mbar L/s]

    Validity: constant volume, temperature corrected, small fall.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> round(decay_leak_rate(50.0, 0.01, 10.0), 2)
        0.83

    Source: gas law (computed).
    """
    positive("volume", volume_litre, "L")
    not_negative("drop", drop_bar, "bar")
    positive("time", time_min, "min")
    return volume_litre * drop_bar * 1000.0 / (time_min * 60.0)


def leak_volume_flow(leak_rate_mbar_litre_per_s: float) -> float:
    """Leak rate as air flow at atmospheric pressure.

    1 mbar L/s = 59.2 cm3/min at 1013 mbar

    Args:
        leak_rate_mbar_litre_per_s: leak rate [mbar L/s]

    Returns:
        flow [cm3/min]

    Validity: a change of unit.

    Raises:
        OutOfRange: a negative rate.

    Example:
        >>> round(leak_volume_flow(0.833))
        49

    Source: units (computed).
    """
    not_negative("leak_rate", leak_rate_mbar_litre_per_s, "mbar L/s")
    return leak_rate_mbar_litre_per_s / 1013.25 * 1000.0 * 60.0


def pressure_at_temperature(pressure_bar: float, from_degc: float, to_degc: float) -> float:
    """Gauge pressure of a shut gas volume after its temperature has changed, with no leak.

    P2 = P1 T2/T1, absolute pressures and temperatures

    Args:
        pressure_bar: gauge pressure at the start [bar]
        from_degc: temperature at the start [degC]
        to_degc: temperature at the end [degC]

    Returns:
        gauge pressure to compare the reading with [bar]

    Validity: dry gas, constant volume, -40 to 200 degC.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> round(pressure_at_temperature(2.8, 20.0, 21.0) - 2.8, 4)
        0.013

    Source: US federal guide specification for gas mains (read).
    """
    if not -ATMOSPHERE < pressure_bar < 1e4:
        raise OutOfRange("pressure", pressure_bar, "must be above full vacuum, in bar gauge")
    between("from", from_degc, -40.0, 200.0, "degC")
    between("to", to_degc, -40.0, 200.0, "degC")
    absolute = pressure_bar + ATMOSPHERE
    return absolute * (to_degc + KELVIN) / (from_degc + KELVIN) - ATMOSPHERE


GaugeFit = Literal["too_small", "fits", "too_coarse"]
GAUGE_LEAST, GAUGE_MOST = 1.5, 4.0


def gauge_fit(full_scale_bar: float, test_bar: float) -> GaugeFit:
    """Whether the range of a pressure gauge suits the test.

    1.5 <= full scale/test pressure <= 4, about 2 is best

    Args:
        full_scale_bar: full scale of the gauge [bar]
        test_bar: test pressure [bar]

    Returns:
        too_small, fits or too_coarse

    Validity: dial gauges, calibrated within the year.

    Raises:
        OutOfRange: a value that is not above zero.

    Example:
        >>> gauge_fit(40.0, 4.0), gauge_fit(8.0, 4.0)
        ('too_coarse', 'fits')

    Source: ASME V article 10, T-1031 (read).
    """
    ratio = positive("full_scale", full_scale_bar, "bar") / positive("test", test_bar, "bar")
    if ratio < GAUGE_LEAST:
        return "too_small"
    return "fits" if ratio <= GAUGE_MOST else "too_coarse"
