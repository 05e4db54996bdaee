"""Measurements, strength in the wall, speeds: against standards, grade tables and hand work.

Marks: read, read2 (a copy), memory; "computed" is arithmetic by hand.
"""

from __future__ import annotations

import pytest

from advisor.engineering import measuring, rotation, strength
from advisor.engineering.limits import OutOfRange

# Ultrasonic


def test_gauge_left_on_steel() -> None:
    # Time of flight (computed): set 5900, iron 4600, reads 10.3: true 8.0 mm.
    assert measuring.true_thickness(10.3, 5900.0, 4600.0) == pytest.approx(8.0, abs=0.05)


# Velocities from ASTM E494, Table X3.1 (read): how thick a gauge set to 5900 reads.
@pytest.mark.parametrize(
    ("velocity", "error"), [(4800.0, 0.23), (4600.0, 0.28), (3500.0, 0.69), (5600.0, 0.05)]
)
def test_error_of_a_gauge_left_on_steel(velocity: float, error: float) -> None:
    assert measuring.thickness_error(5900.0, velocity) == pytest.approx(error, abs=5e-3)


# Ends of ASTM E494 and a nodularity page (read2), compacted band (memory).
@pytest.mark.parametrize(
    ("velocity", "found"),
    [
        (4800.0, "flake_iron"),
        (3500.0, "flake_iron"),
        (5100.0, "unclear"),
        (5300.0, "compacted_iron"),
        (5600.0, "nodular_iron"),
        (5750.0, "unclear"),
        (5900.0, "steel"),
    ],
)
def test_velocity_class(velocity: float, found: str) -> None:
    assert measuring.velocity_class(velocity) == found


# One foundry's scale (read2).
@pytest.mark.parametrize(
    ("velocity", "low", "high"), [(5650.0, 90.0, 100.0), (5550.0, 75.0, 90.0), (5450.0, 0.0, 75.0)]
)
def test_nodularity(velocity: float, low: float, high: float) -> None:
    assert measuring.nodularity(velocity) == measuring.Nodularity(low, high)


# Hardness


# SAE J431 ratios (read2): hardness and grade to MPa by hand.
@pytest.mark.parametrize(
    ("hardness", "grade", "expected"),
    [
        (190.0, "G2500", 177.0),
        (200.0, "G3000", 207.0),
        (220.0, "G3500", 250.0),
        (240.0, "G4000", 290),
    ],
)
def test_strength_from_hardness(
    hardness: float, grade: measuring.SaeGrade, expected: float
) -> None:
    found = measuring.gray_iron_strength_from_hardness(hardness, grade)
    assert found.middle == pytest.approx(expected, abs=1.0)
    assert found.low == pytest.approx(0.75 * found.middle)  # +/- 25 % (practice)
    assert found.high == pytest.approx(1.25 * found.middle)


def test_the_steel_rule_is_refused_on_gray_iron() -> None:
    # Textbook of materials testing, eq. 6.20 (read): 3.45 HB is for steel; 200 HB would be 690.
    assert measuring.steel_strength_from_hardness(200.0, "cast_steel") == pytest.approx(690.0)
    with pytest.raises(OutOfRange, match="steel only"):
        measuring.steel_strength_from_hardness(200.0, "gray_iron")
    gray = measuring.gray_iron_strength_from_hardness(200.0, "G3000").middle
    assert 690.0 / gray > 3.0


# EN 1561, HB = RH (100 + 0.44 Rm) (memory).
@pytest.mark.parametrize(("hardness", "expected"), [(200.0, 227.0), (188.0, 200.0), (210.0, 250.0)])
def test_relative_hardness(hardness: float, expected: float) -> None:
    found = measuring.gray_iron_strength_relative_hardness(hardness, 1.0)
    assert found == pytest.approx(expected, abs=0.5)


# Penetrant, light, yoke


def test_penetrant_dwell() -> None:
    # ASME V article 6, T-652 and Table T-672 with note 1 (read).
    assert measuring.penetrant_dwell(20.0, service_crack=False) == 5.0
    assert measuring.penetrant_dwell(7.0, service_crack=False) == 10.0
    assert measuring.DEVELOPER_TIME == 10.0
    with pytest.raises(OutOfRange, match="comparator"):
        measuring.penetrant_dwell(2.0, service_crack=False)
    # US Air Force manual (read): a service crack at least 30 min.
    assert measuring.penetrant_dwell(20.0, service_crack=True) >= 30.0
    # T-672 (read): two hours at most.
    assert measuring.dwell_fit(150.0, 20.0, service_crack=True) == "too_long"


def test_reading_window_and_light() -> None:
    # ASME V article 6, T-676.1 and T-676.3 (read).
    assert measuring.developer_reading_fit(5.0) == "too_short"
    assert measuring.developer_reading_fit(10.0) == "fits"
    assert measuring.developer_reading_fit(61.0) == "too_long"
    assert not measuring.light_enough(500.0)
    assert measuring.light_enough(1076.0)


# ASME V article 7, T-762 (read): 4.5 kg alternating, 18 kg direct.
@pytest.mark.parametrize(
    ("current", "lifted", "passes"),
    [
        ("alternating", 4.0, False),
        ("alternating", 4.5, True),
        ("direct", 15.0, False),
        ("permanent_magnet", 18.0, True),
    ],
)
def test_yoke(current: measuring.YokeCurrent, lifted: float, passes: bool) -> None:
    assert measuring.yoke_lift_passes(current, lifted) is passes


# Strength in the wall

# EN 1561, expected strength in the casting by wall, foundry page (read2; 350 memory).
EN_1561 = [
    (7.0, (155, 205, 250, None, None)),
    (15.0, (130, 180, 225, 270, 315)),
    (30.0, (110, 155, 195, 240, 280)),
    (60.0, (95, 130, 170, 210, 250)),
    (100.0, (80, 115, 155, 195, 225)),
]


@pytest.mark.parametrize(("wall", "row"), EN_1561)
def test_strength_in_wall(wall: float, row: tuple[float | None, ...]) -> None:
    for grade, expected in zip(strength.GRADES, row, strict=True):
        if expected is None:
            with pytest.raises(OutOfRange, match="from 10 mm"):
                strength.strength_in_wall(grade, wall)
        else:
            assert strength.strength_in_wall(grade, wall) == expected


def test_cast_on_samples_by_edition() -> None:
    # EN 1561:1997 120 MPa and ISO 185:2020 125 MPa for 20 to 40 mm (read2).
    assert strength.cast_on_strength(150, 30.0) == 120.0
    assert strength.cast_on_strength(150, 30.0, "2020") == 125.0
    # The rest of ISO 185:2020 for grade 150 (read2).
    assert [strength.cast_on_strength(150, w, "2020") for w in (60.0, 100.0, 200.0)] == [
        110.0,
        100.0,
        90.0,
    ]


def test_strength_elsewhere_in_one_casting() -> None:
    # EN 1561, annex E, example A (read2): 270 MPa at 40 mm, 346 at 10 mm, 238 at 80 mm.
    assert strength.strength_by_power_law(270.0, 40.0, 10.0) == pytest.approx(346.0, abs=3.0)
    assert strength.strength_by_power_law(270.0, 40.0, 80.0) == pytest.approx(238.0, abs=3.0)


def test_a48_class() -> None:
    # ASTM A48-2000, extract (read2): class 30 is 30 ksi, 207 MPa.
    assert strength.a48_minimum_strength(30.0) == pytest.approx(207.0, abs=1.0)
    # Compression 3.6 to 4.4 T (read2): 745 to 910 MPa; typical 752 MPa (memory) inside.
    low, high = strength.compressive_strength_band(207.0)
    assert low == pytest.approx(745.0, abs=5.0)
    assert high == pytest.approx(910.0, abs=5.0)
    assert low <= 752.0 <= high


# Typical compression of ASTM A48 classes (memory; class 20 read2) and EN 1561:1997 annex A
# (read2) against the least tensile strength.
@pytest.mark.parametrize(
    ("tensile", "compressive"),
    [(138.0, 572.0), (172.0, 669.0), (207.0, 752.0), (150.0, 600.0), (200.0, 720.0)],
)
def test_compressive_strength_in_the_band(tensile: float, compressive: float) -> None:
    low, high = strength.compressive_strength_band(tensile)
    assert low - 1e-9 <= compressive <= high


# EN 1561:1997 annex A (read2): stronger irons fall below 3.6, so the band is refused there.
@pytest.mark.parametrize(("tensile", "compressive"), [(250.0, 840.0), (300.0, 960.0)])
def test_compressive_band_is_refused_for_stronger_irons(tensile: float, compressive: float) -> None:
    assert compressive < 3.6 * tensile
    with pytest.raises(OutOfRange, match="tensile_strength"):
        strength.compressive_strength_band(tensile)


# Speeds


def test_drilling_speed() -> None:
    # Drilling table, gray class 35, high-speed steel (read2): 80 ft/min = 24.4 m/min.
    assert rotation.cutting_speed_from_feet(80.0) == pytest.approx(24.4, abs=0.5)
    # rpm = 12 V/(pi d) (read2): 100 ft/min on 1/2 in, 764; 30 m/min on 10 mm, 955.
    hundred_feet = rotation.cutting_speed_from_feet(100.0)
    assert rotation.drilling_rpm(hundred_feet, 12.7) == pytest.approx(764.0, abs=1.0)
    assert rotation.drilling_rpm(30.0, 10.0) == pytest.approx(955.0, abs=1.0)


def test_tapping_speed() -> None:
    # rpm = 3.82 sfm/d(in), half for taper threads, tapping tables (read2).
    plain = rotation.tapping_rpm(
        rotation.cutting_speed_from_feet(50.0), 12.7, by_hand=False, taper_thread=False
    )
    taper = rotation.tapping_rpm(
        rotation.cutting_speed_from_feet(50.0), 12.7, by_hand=False, taper_thread=True
    )
    assert plain == pytest.approx(3.82 * 50.0 / 0.5, rel=1e-3)
    assert taper == pytest.approx(plain / 2.0)


def test_rim_speed() -> None:
    # Traditional ceiling (memory): 6000 ft/min, about 30 m/s.
    assert pytest.approx(6000.0 * 0.3048 / 60.0, rel=0.02) == rotation.CAST_IRON_RIM_SPEED_CEILING
    # rho v^2 by hand: 7250 x 30^2 = 6.5 MPa.
    assert rotation.rim_stress(30.0, 7250.0) == pytest.approx(6.525)
