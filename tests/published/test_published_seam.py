"""Pins, seam, keys and mismatch against statics, geometry, standards and independent libraries.

Where no publication gives a number, the check is an independent derivation: polygons (shapely),
quadrature and root finding (scipy), or the arithmetic written out beside the expected value.
"""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, linprog
from shapely.geometry import Point

from advisor.engineering import expansion, keys, pins, seam
from advisor.engineering.limits import OutOfRange

FINE = 512  # quarter-circle segments of the polygons


def disc(x: float, y: float, radius: float):
    return Point(x, y).buffer(radius, quad_segs=FINE)


# Overlapping circles. Source: plane geometry; each row is also measured on polygons by shapely.
OVERLAPS = [
    # s/d, c/d, left after one cut, left after two, psi deg, b_II/d: worked by hand, 3 digits
    (0.95, 0.312, 0.987, 0.973, 143.6, 0.344),
    (0.90, 0.436, 0.963, 0.925, 128.3, 0.282),
    (0.85, 0.527, 0.932, 0.864, 116.4, 0.237),
    (0.80, 0.600, 0.896, 0.792, 106.3, 0.200),
    (0.75, 0.661, 0.856, 0.711, 97.2, 0.169),
    (0.70, 0.714, 0.812, 0.624, 88.9, 0.143),
    (0.60, 0.800, 0.715, 0.431, 73.7, 0.100),
    (0.50, 0.866, 0.609, 0.218, 60.0, 0.067),
]


@pytest.mark.parametrize(("ratio", "c", "one", "two", "psi", "bearing"), OVERLAPS)
def test_overlap_table(ratio, c, one, two, psi, bearing):
    d, s = 8.0, 8.0 * ratio
    circle = math.pi * 16
    assert seam.chord(d, s) / d == pytest.approx(c, abs=6e-4)
    assert seam.area_cut_once(d, s) / circle == pytest.approx(one, abs=6e-4)
    assert seam.area_cut_twice(d, s) / circle == pytest.approx(two, abs=6e-4)
    assert math.degrees(seam.thread_arc(d, s)) == pytest.approx(psi, abs=0.06)
    assert seam.bearing_width(d, s) / d == pytest.approx(bearing, abs=6e-4)


@pytest.mark.parametrize("ratio", [0.5, 0.6, 0.667, 0.75, 0.8, 0.9, 0.95])
def test_overlap_measured_on_polygons(ratio):
    # Independent: shapely 2, polygons of 2048 sides.
    d, s = 10.0, 10.0 * ratio
    pin, left, right = disc(0, 0, 5), disc(-s, 0, 5), disc(s, 0, 5)
    assert seam.lens_area(d, s) == pytest.approx(pin.intersection(right).area, rel=2e-4)
    assert seam.area_cut_once(d, s) == pytest.approx(pin.difference(right).area, rel=2e-4)
    cut = pin.difference(right).difference(left)
    assert seam.area_cut_twice(d, s) == pytest.approx(cut.area, rel=1e-3)
    lens = pin.intersection(right).bounds
    assert seam.chord(d, s) == pytest.approx(lens[3] - lens[1], rel=1e-4)
    row = disc(0, 0, 5)
    for i in range(1, 6):
        row = row.union(disc(i * s, 0, 5))
    longer = row.union(disc(6 * s, 0, 5))
    assert seam.area_cut_once(d, s) == pytest.approx(longer.area - row.area, rel=2e-3)


def test_five_pins_in_a_row():
    # Independent: a section-property library gives 222.314 mm2 for five discs d 8 at 6 (read).
    area = 5 * math.pi * 16 - 4 * seam.lens_area(8, 6)
    assert area == pytest.approx(222.314, abs=2e-3)


def test_chord_and_lens_d8_s6():
    # Geometry: sqrt(64 - 36); 32 acos(0.75) - 3 sqrt(28).
    assert seam.chord(8, 6) == pytest.approx(5.2915, rel=1e-4)
    assert seam.lens_area(8, 6) == pytest.approx(7.2530, rel=1e-4)


def test_pin_against_a_bore():
    # Geometry, and shapely: circles r 4 and r 7 at 8.
    assert seam.overlap_area(4, 7, 8) == pytest.approx(14.6987, rel=1e-4)
    polygons = disc(0, 0, 4).intersection(disc(8, 0, 7)).area
    assert seam.overlap_area(4, 7, 8) == pytest.approx(polygons, rel=2e-4)
    # A pin of 8 beside a bore of 14: 29 % lost at 8 from its centre, 44 % at 7.
    assert seam.overlap_area(4, 7, 8) / (math.pi * 16) == pytest.approx(0.29, abs=0.005)
    assert seam.overlap_area(4, 7, 7) / (math.pi * 16) == pytest.approx(0.44, abs=0.005)


@pytest.mark.parametrize(("d", "expected"), [(6, 5.20), (8, 7.416), (10, 9.54)])
def test_spacing_that_swallows_the_wander(d, expected):
    # Geometry: the half chord equals wander and drill error, 1.5 mm together.
    assert seam.neck_spacing(d, 1.0, 0.5) == pytest.approx(expected, abs=5e-3)
    # Independent: root of c(s)/2 = 1.5 by bisection.
    root = brentq(lambda s: math.sqrt(d * d - s * s) / 2 - 1.5, 0.1, d - 1e-9)
    assert seam.neck_spacing(d, 1.0, 0.5) == pytest.approx(root, rel=1e-9)


@pytest.mark.parametrize(("s", "count"), [(4.5, 29), (6, 22), (7.5, 18), (9, 15)])
def test_pins_on_a_crack_of_120(s, count):
    # Arithmetic: ceil(124/s) + 1.
    assert seam.pin_count(124, s) == count


# Thread shear. Source: FED-STD-H28/2B appendix B with zero tolerances (read).
def test_parent_thread_area():
    assert seam.parent_thread_area(8, 8) == pytest.approx(175.93, rel=1e-3)
    assert seam.parent_thread_area(8, 8, seam.thread_arc(8, 6)) == pytest.approx(47.49, rel=1e-3)


def test_parent_thread_area_from_the_general_form():
    # ASME B1.1 form: pi/P Le d_min [P/2 + 0.57735 (d_min - D2_max)] with basic sizes, any pitch.
    for d, pitch in [(8, 1.25), (10, 1.5), (20, 2.5)]:
        pitch_diameter = d - 0.649519 * pitch
        area = math.pi / pitch * 8 * d * (pitch / 2 + 0.57735 * (d - pitch_diameter))
        assert seam.parent_thread_area(d, 8) == pytest.approx(area, rel=1e-4)


def test_pin_thread_area_from_the_general_form():
    # FED-STD-H28/2B 4a with basic sizes: pi/P Le D1 [P/2 + 0.57735 (d2 - D1)].
    for d, pitch in [(8, 1.25), (12, 1.75), (16, 2)]:
        minor, middle = d - 1.082532 * pitch, d - 0.649519 * pitch
        area = math.pi / pitch * 8 * minor * (pitch / 2 + 0.57735 * (middle - minor))
        assert seam.pin_thread_area(d, pitch, 8) == pytest.approx(area, rel=1e-4)


def test_row_capacity_example():
    # Statics: A 47.49 mm2 a side; 220 MPa x 1.0 -> 10.4 kN, x 0.6 -> 6.3 kN; saw-tooth 3.58 kN.
    weak = seam.row_capacity(8, 1.25, 6, 8, 220, shear_factor=0.6)
    assert weak.shear_out_of_plane == pytest.approx(6269, rel=2e-3)
    row = seam.row_capacity(8, 1.25, 6, 8, 220, shear_factor=1.0)
    assert row.shear_out_of_plane == pytest.approx(10448, rel=2e-3)
    assert row.shear_along == pytest.approx(3576, rel=2e-3)
    assert row.shear_along_per_mm == pytest.approx(596, rel=2e-3)
    assert row.tension_per_mm == 0
    assert seam.blow_out_force(8, 1.0) == pytest.approx(50.27, rel=1e-3)
    assert row.blow_out_pressure > 100  # blow-out never governs a pin with full thread


def test_splitting_force_by_integration():
    # Statics: the flanks spread a radial line load F tan(b)/(2 pi r); its part across the crack is
    # summed over half the circle by quadrature.
    force, radius = 5000.0, 4.0
    load = force * math.tan(math.radians(30)) / (2 * math.pi * radius)
    half, _ = quad(lambda angle: load * math.sin(angle) * radius, 0, math.pi)
    assert seam.splitting_force(force) == pytest.approx(half, rel=1e-9)
    assert seam.splitting_force(force) == pytest.approx(918.9, rel=1e-3)


def test_tightening_torque():
    # Short torque equation (memory): 10 N*m on M8 with K 0.2 clamps 6.25 kN and splits 1149 N.
    assert seam.clamp_force(10, 8) == pytest.approx(6250)
    assert seam.splitting_force(seam.clamp_force(10, 8)) == pytest.approx(1149, rel=1e-3)


def test_slot_leak_by_integration():
    # Parabolic profile between plates, summed over the gap by quadrature; SI inside.
    dp, w, h, length, mu = 0.3e6, 6e-3, 10e-6, 8e-3, 1e-3
    flow, _ = quad(lambda y: dp / (2 * mu * length) * y * (h - y) * w, 0, h)
    assert seam.slot_leak(0.3, 6, 0.010, 8, 0.001) == pytest.approx(flow * 6e7, rel=1e-6)
    assert seam.slot_leak(0.3, 6, 0.010, 8, 0.001) == pytest.approx(1.1, abs=0.05)
    assert seam.slot_leak(0.3, 6, 0.003, 8, 0.001) == pytest.approx(0.03, abs=0.002)


# Spot-face and threads. Source: t = h_sf + Le, geometry; three threads and k/2 are practice.
@pytest.mark.parametrize(
    ("wall", "pitch", "shoulder", "depth", "threads"),
    [
        (10, 1.25, 4, 2.0, 6.4),
        (6, 1.25, 4, 2.0, 3.2),
        (5, 1.25, 4, 1.25, 3.0),
        (5, 1.0, 3, 1.5, 3.5),
        (4, 0.8, 3, 1.5, 3.1),
        (4, 1.0, 3, 1.0, 3.0),
    ],
)
def test_spotface_table(wall, pitch, shoulder, depth, threads):
    found = pins.spotface_depth(wall, pitch, shoulder)
    assert found == pytest.approx(depth)
    assert pins.engaged_threads(wall, found, pitch) == pytest.approx(threads, abs=0.051)


def test_no_shoulder_below_0_3_mm():
    # Practice: t 4, P 1.25 leaves 0.25 mm for the seat: plain pin.
    assert pins.spotface_depth(4, 1.25, 4) == 0
    with pytest.raises(OutOfRange):
        pins.spotface_depth(3.7, 1.25, 4)


@pytest.mark.parametrize(
    ("pitch", "wall"), [(0.7, 2.6), (0.8, 2.9), (1.0, 3.5), (1.25, 4.25), (1.5, 5.0)]
)
def test_thinnest_wall(pitch, wall):
    # Arithmetic: 3 P + 0.5.
    assert pins.least_wall(pins.neutral_pin(8, pitch)) == pytest.approx(wall)


@pytest.mark.parametrize(
    ("radius", "width", "depth"), [(20, 12, 0.92), (10, 10, 1.34), (50, 12, 0.36)]
)
def test_sagitta(radius, width, depth):
    # Geometry of the circle; the height over the chord found again by bisection.
    assert pins.sagitta(radius, width) == pytest.approx(depth, abs=5e-3)
    root = brentq(lambda y: y * y + width**2 / 4 - radius**2, 0, radius)
    assert pins.sagitta(radius, width) == pytest.approx(radius - root, rel=1e-9)


# Tap drills. Source: drill list of the ISO metric threads (read2), and the 6H limits of the minor
# diameter: D1 = d - 1.0825 P and D1max from ISO 965-1 (memory, recomputed from its formulas).
DRILLS = {
    "M5x0.8": (4.2, 4.334),
    "M6x1": (5.0, 5.153),
    "M8x1.25": (6.8, 6.912),
    "M8x1": (7.0, 7.153),
    "M10x1.5": (8.5, 8.676),
    "M10x1": (9.0, 9.153),
    "M12x1.75": (10.2, 10.441),
    "M12x1.5": (10.5, 10.676),
    "M16x2": (14.0, 14.210),
    "M16x1.5": (14.5, 14.676),
    "M20x2.5": (17.5, 17.744),
    "M20x1.5": (18.5, 18.676),
    "M24x3": (21.0, 21.252),
    "M24x2": (22.0, 22.210),
    "M30x3.5": (26.5, 26.771),
    "M30x2": (28.0, 28.210),
    "M36x4": (32.0, 32.270),
    "M36x3": (33.0, 33.252),
    "M42x4.5": (37.5, 37.799),
    "M42x3": (39.0, 39.252),
    "M48x5": (43.0, 43.297),
    "M48x3": (45.0, 45.252),
}


@pytest.mark.parametrize("pin", pins.NEUTRAL_FAMILY, ids=lambda pin: pin.thread)
def test_tap_drills(pin):
    drill, largest_minor = DRILLS[pin.thread]
    assert pins.tap_drill(pin.diameter, pin.pitch) == pytest.approx(drill)
    assert pin.diameter - 1.082532 * pin.pitch <= drill <= largest_minor


# Keys. Source: statics and the plastic limit; example strip b 5, D 9, three lobes at 10, 500 MPa.
STRIP = keys.KeySection("example", 5, 9, 10, 3, 3, 500)


def limits(restrained: bool, pin_bite: float = 0.0) -> keys.KeyCapacity:
    return keys.key_capacity(
        STRIP, 9, 12, 220, shear_factor=0.6, restrained=restrained, pin_bite=pin_bite
    )


def test_key_limits():
    # Statics, each product written out.
    held = limits(True)
    assert held.neck == pytest.approx(5 * 9 * 500)
    assert held.bearing == pytest.approx(3 * 4 * 9 * 1.5 * 220)
    assert held.teeth == pytest.approx(3 * 2 * 10 * 9 * 0.6 * 220)
    assert held.lobes == pytest.approx(140_211, rel=1e-3)
    assert held.force == pytest.approx(22_500)
    assert limits(False).force == pytest.approx(16_217, rel=1e-3)
    assert limits(True, pin_bite=0.75).neck == pytest.approx(15_750)


@pytest.mark.parametrize(
    ("eta", "n"),
    [
        (0.5, 0.414),
        (0.6, 0.535),
        (0.7, 0.659),
        (0.75, 0.7208),
        (0.8, 0.781),
        (0.85, 0.839),
        (0.9, 0.895),
        (1.0, 1.0),
    ],
)
def test_eccentricity_by_stress_blocks(eta, n):
    assert keys.eccentricity_factor(eta) == pytest.approx(n, abs=6e-4)
    if eta == 1.0:
        return
    # Independent: a strip of depth 1, rigid-plastic, tension block of depth u at the deep face and
    # compression above it; net force 2u - 1, moment about mid-depth u (1 - u); the line of force
    # lies (t - h)/2 towards the deep face. Solved for the depth of the block.
    offset = (1 / eta - 1) / 2
    u = brentq(lambda u: u * (1 - u) - offset * (2 * u - 1), 0.5, 1.0)
    assert keys.eccentricity_factor(eta) == pytest.approx(2 * u - 1, rel=1e-9)


def test_eccentricity_by_linear_programming():
    # Independent: the same strip in 400 layers, each limited to +/-1, largest force at the offset.
    count, eta = 400, 0.75
    offset = (1 / eta - 1) / 2
    places = [(i + 0.5) / count - 0.5 for i in range(count)]
    best = linprog(
        [-1 / count] * count,
        A_eq=[[(y - offset) / count for y in places]],
        b_eq=[0],
        bounds=[(-1, 1)] * count,
    )
    assert -best.fun == pytest.approx(keys.eccentricity_factor(eta), rel=2e-3)


def test_elastic_peak():
    # Bending with eccentricity (derived): 1 + 6 e/h with e = (t - h)/2.
    table = {0.5: 4.0, 0.6: 3.0, 0.7: 2.29, 0.75: 2.0, 0.8: 1.75, 0.85: 1.53, 0.9: 1.33, 1.0: 1.0}
    for eta, peak in table.items():
        assert keys.elastic_peak(eta) == pytest.approx(peak, abs=6e-3)


def test_best_spacing_and_ceiling():
    # Derived: where F/(t S s_u) meets 1 - D h/(S t).
    assert keys.best_spacing(22_500, 9, 9, 12, 220) == pytest.approx(15.27, rel=1e-3)
    assert keys.greatest_fraction(22_500, 9, 9, 220) == pytest.approx(0.5580, rel=1e-3)
    free = limits(False).force
    assert keys.best_spacing(free, 9, 9, 12, 220) == pytest.approx(12.9, abs=0.05)
    assert keys.greatest_fraction(free, 9, 9, 220) == pytest.approx(0.4765, rel=1e-3)


@pytest.mark.parametrize("staggered", [False, True])
def test_ceiling_by_search(staggered):
    # Independent: crossing of the two curves by bisection, written from the two limits alone.
    half = 2 if staggered else 1
    crossing = brentq(lambda s: 22_500 / (12 * s * 220) - (1 - 81 / (half * s * 12)), 7.0, 60.0)
    assert keys.best_spacing(22_500, 9, 9, 12, 220, staggered) == pytest.approx(crossing)
    best = keys.restored_fraction(22_500, 9, 9, crossing, 12, 220, staggered)
    assert keys.greatest_fraction(22_500, 9, 9, 220, staggered) == pytest.approx(best)
    for other in (crossing * 0.9, crossing * 1.1):
        assert keys.restored_fraction(22_500, 9, 9, other, 12, 220, staggered) < best


def test_staggered_example():
    # Derived: ceilings 0.716 held and 0.645 free, best spacings 11.9 and 9.5, clear 4.9 and 2.5 mm.
    free = limits(False).force
    assert keys.greatest_fraction(22_500, 9, 9, 220, True) == pytest.approx(0.716, abs=6e-4)
    assert keys.greatest_fraction(free, 9, 9, 220, True) == pytest.approx(0.645, abs=6e-4)
    held_spacing = keys.best_spacing(22_500, 9, 9, 12, 220, True)
    free_spacing = keys.best_spacing(free, 9, 9, 12, 220, True)
    assert held_spacing == pytest.approx(11.9, abs=0.05)
    assert free_spacing == pytest.approx(9.5, abs=0.05)
    assert keys.clear_metal(9, 5, held_spacing, True) == pytest.approx(4.9, abs=0.05)
    assert keys.clear_metal(9, 5, free_spacing, True) == pytest.approx(2.5, abs=0.05)


def test_feasible_window():
    # Derived: held, half strength: 13.5 to 17.0 mm, 8 keys on 120; free, 0.4: 11.25 to 15.4.
    free = limits(False).force
    assert keys.parent_enough_spacing(9, 9, 0.5, 12) == pytest.approx(13.5)
    assert keys.strong_enough_spacing(22_500, 0.5, 12, 220) == pytest.approx(17.0, abs=0.05)
    assert keys.key_count(120, keys.strong_enough_spacing(22_500, 0.5, 12, 220)) == 8
    assert keys.parent_enough_spacing(9, 9, 0.4, 12) == pytest.approx(11.25)
    assert keys.strong_enough_spacing(free, 0.4, 12, 220) == pytest.approx(15.4, abs=0.05)
    assert keys.strong_enough_spacing(free, 0.5, 12, 220) < keys.parent_enough_spacing(
        9, 9, 0.5, 12
    )


# Derived: phi_max = 1/(1 + (D/b) s_u/(n s_yk)), D/b 1.8; held and free at eta 0.75.
CEILINGS = {
    150: {350: (0.57, 0.48), 500: (0.65, 0.57), 700: (0.72, 0.65)},
    200: {350: (0.49, 0.41), 500: (0.58, 0.50), 700: (0.66, 0.58)},
    250: {350: (0.44, 0.36), 500: (0.53, 0.45), 700: (0.61, 0.53)},
    400: {350: (0.33, 0.26), 500: (0.41, 0.33), 700: (0.49, 0.41)},
}


@pytest.mark.parametrize(
    ("strength", "strip_yield"), [(s, y) for s in CEILINGS for y in CEILINGS[s]]
)
def test_ceiling_by_material(strength, strip_yield):
    held, free = CEILINGS[strength][strip_yield]
    n = keys.eccentricity_factor(0.75)
    force = 5 * 9 * strip_yield
    assert keys.greatest_fraction(force, 9, 9, strength) == pytest.approx(held, abs=6e-3)
    assert keys.greatest_fraction(n * force, 9, 9, strength) == pytest.approx(free, abs=6e-3)


def test_demand_of_a_cylinder():
    # Statics: ri 60, wall 12, test 0.45 MPa -> 27 N/mm; SF 4 and 16.2 kN -> 150 mm, fraction 0.04.
    line_load = 0.45 * 60
    assert keys.demand_spacing(16_217, line_load, 4) == pytest.approx(150, abs=0.5)
    assert 4 * line_load / (12 * 220) == pytest.approx(0.04, abs=0.002)


def test_depth_rule():
    # Practice: min(0.85 t, t - 2).
    table = {6: 4.0, 8: 6.0, 10: 8.0, 12: 10.0, 20: 17.0}
    assert {t: keys.greatest_depth(t) for t in table} == table


def test_first_lobe_takes_half():
    # Spring model of the lobes (computed): 0.5 x 22 500/(4 x 9) = 313 MPa, under 330.
    assert keys.first_lobe_pressure(22_500, STRIP, 9) == pytest.approx(313, abs=1)


def test_bridging_by_integration():
    # A uniform traction s over the whole crack must give s sqrt(pi a) (The Stress Analysis of
    # Cracks Handbook, memory); quadrature with x = a sin(angle) over the pairs.
    a, wall = 60.0, 12.0
    traction = 40.0  # MPa
    total, _ = quad(
        lambda angle: (
            keys.closing_intensity(traction * wall, wall, a, math.sin(angle)) * a * math.cos(angle)
        ),
        0,
        math.pi / 2 - 1e-9,
    )
    assert total == pytest.approx(traction * math.sqrt(math.pi * a / 1000), rel=1e-6)


def test_bridging_examples():
    # By hand (computed): 16.2 kN in a wall of 12, a = 60; MPa*m^0.5 at x/a 0.5, 0.8, 0.9.
    found = [keys.closing_intensity(16_217, 12, 60, x) for x in (0.5, 0.8, 0.9)]
    assert found == pytest.approx([7.2, 10.4, 14.3], abs=0.05)


# Mismatch. Coefficients: a materials textbook, table of thermal expansion (read2).
def test_brass_pin_in_grey_iron():
    closing = expansion.fit_change(8, 20.5e-6, 11.4e-6, 80)
    assert closing * 1000 == pytest.approx(5.824, rel=1e-3)
    pressure = expansion.contact_pressure(
        closing, 8, pin_modulus=100e3, pin_poisson=0.34, parent_modulus=110e3, parent_poisson=0.26
    )
    assert pressure == pytest.approx(40.3, rel=1e-2)


# d (a_pin - a_parent) dT by hand (computed); expansions as above (read2), steel memory.
@pytest.mark.parametrize(
    ("pin", "parent", "micrometres"),
    [(12e-6, 11.4e-6, 0.4), (12e-6, 11.2e-6, 0.5), (17.2e-6, 11.4e-6, 3.7), (12e-6, 21.5e-6, -6.1)],
)
def test_fit_changes(pin, parent, micrometres):
    assert 1000 * expansion.fit_change(8, pin, parent, 80) == pytest.approx(micrometres, abs=0.05)


def test_contact_pressure_against_thick_cylinder():
    # Independent: Lame displacements of a solid pin and of a wall 400 times as wide, solved for the
    # pressure that closes the interference.
    e_pin, nu_pin, e, nu, d, dd = 193e3, 0.30, 110e3, 0.26, 8.0, 0.0037
    k = 400.0
    outer = (k * k + 1) / (k * k - 1) + nu  # u = p r/E [...] at the bore
    root = brentq(lambda p: p * (d / 2) * (outer / e + (1 - nu_pin) / e_pin) - dd / 2, 0.0, 1000.0)
    found = expansion.contact_pressure(
        dd, d, pin_modulus=e_pin, pin_poisson=nu_pin, parent_modulus=e, parent_poisson=nu
    )
    assert found == pytest.approx(root, rel=1e-4)
    assert found == pytest.approx(31, abs=1)


def test_keys_that_grow():
    # By hand (computed): 30 mm, 100 K; austenitic steel up to 112 MPa where held.
    assert 1000 * expansion.key_length_change(30, 12e-6, 11.4e-6, 100) == pytest.approx(1.8)
    assert 1000 * expansion.key_length_change(30, 17.2e-6, 11.4e-6, 100) == pytest.approx(17.4)
    assert expansion.held_key_stress(193e3, 17.2e-6, 11.4e-6, 100) == pytest.approx(112, abs=0.5)
