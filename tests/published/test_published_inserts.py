"""Thread inserts against published tables: holes, outside threads, the ways they give way."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.engineering.bolts import BoltClass
from advisor.engineering.designations import parse_designation
from advisor.engineering.insert_geometry import (
    check_edge,
    coil_depths,
    coil_hole,
    coil_parent_area,
    last_pin,
    outside_threads,
    seat_depth,
    tear_out_load,
)
from advisor.engineering.inserts import DamagedHole, Parent, evaluate_insert
from advisor.engineering.thread_limits import unified_limits
from advisor.engineering.thread_series import MM_PER_INCH, inch_size
from advisor.engineering.thread_strength import shear_area_of_hole, shear_area_simplified

CLASS_8_8 = BoltClass("ISO 898-1", "8.8", 0.0, 16.0, 800.0, 640.0, 580.0)
GREY = Parent(250.0, brittle=True)


@pytest.mark.parametrize(
    ("diameter", "pitch", "minor", "pitch_diameter"),
    # Tapped holes for helical wire inserts, metric (read second-hand): least minor and pitch.
    [
        (6, 1, 6.217, 6.650),
        (8, 1.25, 8.271, 8.812),
        (10, 1.5, 10.324, 10.974),
        (12, 1.75, 12.379, 13.137),
        (16, 2, 16.433, 17.299),
        (20, 2.5, 20.541, 21.624),
        (24, 3, 24.649, 25.949),
        (30, 3.5, 30.757, 32.273),
        (36, 4, 36.866, 38.598),
    ],
)
def test_coil_holes_metric(
    diameter: float, pitch: float, minor: float, pitch_diameter: float
) -> None:
    hole = coil_hole(diameter, pitch)
    assert (hole.minor, hole.pitch) == pytest.approx((minor, pitch_diameter), abs=0.002)


@pytest.mark.parametrize(
    ("size", "threads", "minor", "pitch_diameter"),
    # Tapped holes for helical wire inserts, inch (read second-hand).
    [
        ("1/4", 20, 0.2608, 0.2825),
        ("3/8", 16, 0.3885, 0.4156),
        ("1/2", 13, 0.5166, 0.5499),
        ("5/8", 11, 0.6447, 0.6841),
        ("3/4", 10, 0.7716, 0.8149),
        ("1", 8, 1.0271, 1.0812),
    ],
)
def test_coil_holes_inch(size: str, threads: int, minor: float, pitch_diameter: float) -> None:
    hole = coil_hole(inch_size(size) * MM_PER_INCH, MM_PER_INCH / threads)
    got = (hole.minor / MM_PER_INCH, hole.pitch / MM_PER_INCH)
    assert got == pytest.approx((minor, pitch_diameter), abs=0.0002)


def test_coil_major_diameters() -> None:
    # The same tables: M10 11.948, M16 18.598 mm, 1/2-13 0.5999 in (read second-hand).
    assert coil_hole(10.0, 1.5).major == pytest.approx(11.948, abs=0.002)
    assert coil_hole(16.0, 2.0).major == pytest.approx(18.598, abs=0.002)
    half = coil_hole(12.7, MM_PER_INCH / 13)
    assert half.major / MM_PER_INCH == pytest.approx(0.5999, abs=0.0002)


@pytest.mark.parametrize(
    ("thread", "label"),
    # The same tables, drill for the tapped hole (read second-hand).
    [
        ("M6", "6.3 mm"),
        ("M8", "8.4 mm"),
        ("M12", "12.5 mm"),
        ("M16", "16.5 mm"),
        ("M20", "20.75 mm"),
        ("M24", "24.75 mm"),
        ("M30", "31 mm"),
        ("M36", "37 mm"),
        ("3/4-10 UNC", "25/32"),
        ("5/8-11 UNC", "21/32"),
        ("1-8 UNC", "1-1/32"),
    ],
)
def test_coil_drills(thread: str, label: str) -> None:
    hole = DamagedHole(parse_designation(thread), "stripped", 200.0, False, GREY, CLASS_8_8)
    coil = outside_threads("helical_wire", hole.thread)[0]
    design = evaluate_insert(hole, "helical_wire", coil, 2.0 * hole.thread.diameter_mm)
    assert design.tap_drill.label == label


def test_coil_depths() -> None:
    # Tables of tapped-hole depths (read second-hand): M16 2 d: thread 34, drill 44 with a plug tap,
    # 40 bottoming; M8 1 d with a plug tap: 19.5 mm.
    depths = coil_depths(32.0, 16.0, 2.0)
    assert (depths.full_thread, depths.drill_plug_tap, depths.drill_bottoming_tap) == (34, 44, 40)
    assert coil_depths(8.0, 8.0, 1.25).drill_plug_tap == 19.5


@pytest.mark.parametrize(
    ("diameter", "pitch", "turns", "area"),
    # 0.75 pi D2 (Q - 1.125 P), the NASM33537 practice (read second-hand), worked by hand.
    [(16, 2, 1, 560), (16, 2, 2, 1213), (10, 1.5, 1.5, 344), (24, 3, 2, 2728)],
)
def test_coil_parent_areas(diameter: float, pitch: float, turns: float, area: float) -> None:
    assert coil_parent_area(turns * diameter, diameter, pitch) == pytest.approx(area, rel=0.01)


def test_short_coil_gains_nothing() -> None:
    # Computed from both formulas: 1 d of coil in M16 carries what the bare hole did (569 mm2).
    bare = shear_area_of_hole(2.0, 15.682, 14.913, 16.0)
    assert coil_parent_area(16.0, 16.0, 2.0) == pytest.approx(bare, rel=0.03)
    assert coil_parent_area(16.0, 16.0, 2.0) < bare


@pytest.mark.parametrize(
    ("thread", "outside"),
    # Heavy series of keyed bushings (maintenance manual, read): outside thread by bolt size. The
    # series has 11/16-11 for 1/2 in, a special thread; the standard one above it is 3/4-10.
    [
        ("#10-24 UNC", "3/8-16 UNC"),
        ("1/4-20 UNC", "7/16-14 UNC"),
        ("5/16-18 UNC", "1/2-13 UNC"),
        ("3/8-16 UNC", "9/16-12 UNC"),
        ("7/16-14 UNC", "5/8-11 UNC"),
        ("1/2-13 UNC", "3/4-10 UNC"),
    ],
)
def test_outside_threads_of_solid_bushings(thread: str, outside: str) -> None:
    assert outside_threads("solid_bushing", parse_designation(thread))[0].text == outside


@pytest.mark.parametrize(
    ("thread", "diameter"),
    # Light series of the same manual (read): outside diameter by bolt size [in].
    [
        ("#10-32 UNF", 0.3125),
        ("1/4-20 UNC", 0.375),
        ("5/16-18 UNC", 0.4375),
        ("3/8-16 UNC", 0.5),
        ("7/16-14 UNC", 0.5625),
        ("1/2-13 UNC", 0.625),
    ],
)
def test_outside_diameters_of_thin_bushings(thread: str, diameter: float) -> None:
    option = outside_threads("thin_solid_bushing", parse_designation(thread))[0]
    assert option.diameter_mm / MM_PER_INCH == pytest.approx(diameter)


@pytest.mark.parametrize(
    ("bolt", "length", "area", "inside", "outside", "parent"),
    # NASA TM-106943 tables III to V (read): A-286 bushing, Fsu 85 ksi, in 6061-T6, Fsu 27 ksi;
    # loads in lb. Table III is worked with 7/8 pi d Le (its eq. 76 prints 3/4).
    [
        (0.25, 0.360, 0.1726, 21_029, 14_671, 4_660),
        (0.50, 0.610, 0.5831, 71_265, 49_564, 15_744),
    ],
)
def test_three_ways_to_give_way(
    bolt: float, length: float, area: float, inside: float, outside: float, parent: float
) -> None:
    simple = shear_area_simplified("hole", bolt * MM_PER_INCH, length * MM_PER_INCH)
    inside_area = simple / MM_PER_INCH**2 * (7 / 8) / (3 / 4)
    assert inside_area * 85_000 == pytest.approx(inside, rel=0.001)
    assert area * 85_000 == pytest.approx(outside, rel=0.001)
    assert area * 27_000 == pytest.approx(parent, rel=0.001)


@pytest.mark.parametrize(
    ("outside", "length", "area"),
    # Least shear engagement areas of keyed, locking bushings [in2], light and heavy
    # (NASA TM-106943 table IV and maintenance manual, read). Ours must not be more.
    [
        (("3/8", 16), 0.37, 0.1726),
        (("7/16", 14), 0.37, 0.1970),
        (("1/2", 13), 0.43, 0.2608),
        (("9/16", 12), 0.50, 0.3843),
        (("5/8", 11), 0.62, 0.5831),
        (("7/8", 14), 0.87, 1.2415),
    ],
)
def test_keyed_share_errs_to_the_safe_side(
    outside: tuple[str, int], length: float, area: float
) -> None:
    size, threads = outside
    pitch = MM_PER_INCH / threads
    limits = unified_limits(inch_size(size), threads, "UNC")
    full = shear_area_of_hole(
        pitch, limits.bolt_major_min, limits.hole_pitch_max, length * MM_PER_INCH - pitch
    )
    ours = 0.6 * full / MM_PER_INCH**2
    assert 0.6 * area < ours < 1.02 * area


def test_parent_metal_governs_in_light_metal() -> None:
    # NASA TM-106943 (read): a steel bushing in aluminium strips the aluminium, by a wide margin.
    hole = DamagedHole(
        parse_designation("1/2-13 UNC"),
        "stripped",
        60.0,
        False,
        Parent(310.0, brittle=False, soft=True, shear_mpa=186.0),
        BoltClass("SAE J429", "5", 6.3, 25.4, 827.4, 634.3, 586.1),
    )
    outside = outside_threads("solid_bushing", hole.thread)[0]
    design = evaluate_insert(hole, "solid_bushing", outside, 25.0)
    assert design.loads.least == design.loads.parent


@pytest.mark.parametrize(
    ("kind", "pitch", "low", "high"),
    # Coil a quarter to half a turn down (vehicle manual, read): M10 0.38 to 0.75 mm, M12 0.44 to
    # 0.88 mm; keyed bushing 0.010 to 0.030 in (maintenance manual, read).
    [
        ("helical_wire", 1.5, 0.38, 0.75),
        ("helical_wire", 1.75, 0.44, 0.88),
        ("solid_bushing", 1.5, 0.25, 0.76),
    ],
)
def test_seat_depths(kind: str, pitch: float, low: float, high: float) -> None:
    assert seat_depth(kind, pitch) == pytest.approx((low, high), abs=0.006)  # type: ignore[arg-type]


def test_edge_rules() -> None:
    # NASA TM-106943 p. 20 (read): e/D 2.0 preferred, never below 1.5; with the insert's outside
    # diameter for a brittle casting. M16 coil: OD 18.60, so 2 OD is 37.2 mm.
    outside = coil_hole(16.0, 2.0).major
    check = check_edge(30.0, outside, 16.0, brittle=True)
    assert check.wanted_mm == pytest.approx(37.2, abs=0.01)
    assert check.state == "tight"
    assert check_edge(23.9, outside, 16.0, brittle=True).state == "fails"
    assert check_edge(28.0, outside, 16.0, brittle=False).state == "ok"
    assert check_edge(None, outside, 16.0, brittle=True).state == "not known"


def test_tear_out() -> None:
    # NASA TM-106943 eq. (69), (70) (read): P = Fsu 2 t (e - D/2).
    assert tear_out_load(32.0, 16.0, 10.0, 100.0) == pytest.approx(100.0 * 2 * 10.0 * 24.0)


@pytest.mark.parametrize(
    ("distance", "left", "state"),
    # Geometry of circles r 4 and r 7, worked by hand: pin 8 beside a bore of 14.
    [(8.0, 0.71, "overlaps"), (7.0, 0.56, "overlaps"), (6.9, None, "pin lost"), (11.5, 1.0, "gap")],
)
def test_last_pin_where_the_crack_enters(distance: float, left: float | None, state: str) -> None:
    found = last_pin(distance, 14.0, 8.0, crack_enters=True)
    assert found.state == state
    if left is not None:
        assert found.pin_left == pytest.approx(left, abs=0.005)


def test_last_pin_where_the_crack_stops_short() -> None:
    # Worked by hand: pin 8 at 13.04 mm from a bore of 16: ligament 1.04 mm, too thin.
    thin = last_pin(13.04, 16.0, 8.0, crack_enters=False)
    assert (thin.state, round(thin.ligament_mm, 2)) == ("thin wall", 1.04)
    assert last_pin(16.0, 16.0, 8.0, crack_enters=False).state == "clear"
    assert last_pin(10.0, 16.0, 8.0, crack_enters=False).state == "overlaps"


def test_tested_shear_strength_is_used() -> None:
    # Grey iron shears at or above its tensile strength (class 20: 179 against 140 MPa, read);
    # without a test half the tensile strength is taken (FED-STD-H28/2B 70.7.1, read).
    assert GREY.shear == 125.0
    assert replace(GREY, shear_mpa=240.0).shear == 240.0
