"""Layout of a pin row against geometry worked out apart from the program, and against shapely."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import pytest
from shapely.geometry import LineString, Point
from shapely.ops import unary_union

from advisor.engineering.layout import (
    Bore,
    Branch,
    CrackPoint,
    FreeEdge,
    RowPlan,
    Tip,
    cut_on_both_sides,
    lay_out,
    row_plan,
    straight_path,
)
from advisor.engineering.pins import neutral_pin
from advisor.engineering.seam import lens_area

M8 = neutral_pin(8, 1.25)
PLAN = row_plan(M8)


def covered(layout, crack, eps, diameter=8.0, gone=()):
    """Whether the discs hold the crack widened by eps, on polygons (shapely)."""
    discs = [Point(p.x, p.y).buffer(diameter / 2, quad_segs=256) for p in layout.pins]
    whole = unary_union([*discs, *gone])
    return whole.buffer(1e-6).contains(LineString(crack).buffer(eps, quad_segs=256))


# Straight crack of 120, 2 mm past each end. Source: arithmetic, ceil(124/s) + 1 pins.
@pytest.mark.parametrize(
    ("d", "pitch", "s", "count"),
    [(6, 1, 4.5, 29), (8, 1.25, 6, 22), (10, 1.5, 7.5, 18), (12, 1.75, 9, 15)],
)
def test_pins_on_a_straight_crack(d, pitch, s, count):
    plan = RowPlan(neutral_pin(d, pitch), s, 0.6 * d, extension=2.0)
    layout = lay_out(straight_path(120, d), plan)
    assert len(layout.pins) == count
    assert layout.pins[0].x == pytest.approx(-2)
    assert layout.pins[-1].x == pytest.approx(122)
    assert layout.spacing == pytest.approx([124 / (count - 1)] * (count - 1))
    # Margin: half the common chord of neighbours, geometry of the circle.
    assert layout.coverage_margin == pytest.approx(math.sqrt(d**2 - (124 / (count - 1)) ** 2) / 2)


# The bent crack (0,0)-(40,5)-(70,25)-(95,22), d 8, s_max 6, first centre 2 past each end.
BENT = [(0, 0), (40, 5), (70, 25), (95, 22)]


def bent(**more):
    return lay_out([CrackPoint(x, y, 8) for x, y in BENT], PLAN, **more)


def test_bent_crack():
    # Geometry: 101.5 long; stretches 42.3, 36.1, 27.2 in 8, 7 and 5 parts.
    layout = bent()
    assert LineString(BENT).length == pytest.approx(101.5, abs=0.1)
    assert len(layout.pins) == 21
    assert min(layout.spacing) == pytest.approx(5.15, abs=5e-3)
    assert max(layout.spacing) == pytest.approx(5.44, abs=5e-3)
    assert Counter(pin.pass_number for pin in layout.pins) == {1: 11, 2: 5, 3: 5}
    assert min(layout.ligaments) == pytest.approx(1.93, abs=5e-3)
    assert layout.pins[-1].x == pytest.approx(96.99, abs=5e-3)
    assert layout.pins[-1].y == pytest.approx(21.76, abs=5e-3)
    assert any((p.x, p.y) == pytest.approx((40, 5)) for p in layout.pins)
    assert any((p.x, p.y) == pytest.approx((70, 25)) for p in layout.pins)
    assert layout.problems == ()


def test_bent_crack_is_covered():
    # Independent: shapely; wide by 2.7 on each side, and exact to 0.5 % at the margin.
    layout = bent()
    assert covered(layout, BENT, 2.7)
    assert covered(layout, BENT, 0.995 * layout.coverage_margin)
    assert not covered(layout, BENT, 1.005 * layout.coverage_margin)


def test_bolt_hole_left_with_a_thin_ligament():
    # Geometry: |(110, 21) - (96.99, 21.76)| - 8 - 4 = 1.04 mm, the worst case beside a thread.
    layout = bent(bores=[Bore(110, 21, 16)])
    assert len(layout.problems) == 1
    last = layout.pins[-1]
    assert math.dist((110, 21), (last.x, last.y)) - 8 - 4 == pytest.approx(1.04, abs=5e-3)
    assert "pin 21: leaves 1 mm to bore 1" in layout.problems[0]


def test_two_passes_would_cut_pins_on_both_sides():
    # Geometry: odd and even pins in two passes lose 44 % of a set pin at s/d 2/3.
    points = [(6.0 * i, 0.0) for i in range(7)]
    assert cut_on_both_sides(points, 9, [1, 2] * 3 + [1]) == (2, 4)
    assert 2 * lens_area(9, 6) / (math.pi * 9**2 / 4) == pytest.approx(0.44, abs=0.005)
    one_by_one = list(range(1, 8))
    assert cut_on_both_sides(points, 9, one_by_one) == ()


# A bent crack over a step into an M16 hole, worked out again from the equations alone:
#   stretch l, k = ceil(l/6) equal parts; pin 2 mm before the first point; the last centre 2 mm
#   (d/4) outside the bore of 18; pin i (from 0): even -> pass 1, 1 mod 4 -> 2, 3 mod 4 -> 3;
#   h_sf = min(k/2, t - 3 P) = 2; Le = t - h_sf; threads Le/P; near the step the thinner wall.
STEPPED = [(0.0, 0.0, 9.0), (40.0, 5.0, 9.0), (70.0, 25.0, 12.0), (95.0, 22.0, 12.0)]


def worked_by_hand():
    corners = [(x, y) for x, y, _ in STEPPED]
    last, before = corners[-1], corners[-2]
    length = math.dist(before, last)
    ux, uy = (last[0] - before[0]) / length, (last[1] - before[1]) / length
    hole = (last[0] + 8 * ux, last[1] + 8 * uy)  # the crack ends at the rim of the 16 mm hole
    end = (hole[0] - 11 * ux, hole[1] - 11 * uy)  # 18/2 + 8/4 from its centre
    first = math.dist(corners[0], corners[1])
    begin = (-2 * 40 / first, -2 * 5 / first)
    stations = [begin, corners[1], corners[2], end]
    centres = [begin]
    for a, b in pairwise(stations):
        parts = math.ceil(math.dist(a, b) / 6)
        for i in range(1, parts + 1):
            centres.append((a[0] + (b[0] - a[0]) * i / parts, a[1] + (b[1] - a[1]) * i / parts))
    step = corners[2]
    pins = []
    for i, (x, y) in enumerate(centres):
        near = math.dist((x, y), step) < 12 / 2 + 1
        wall = 9.0 if x < step[0] or near else 12.0
        number = 1 if i % 2 == 0 else (2 if i % 4 == 1 else 3)
        pins.append((x, y, number, wall, wall - 2, (wall - 2) / 1.25, near))
    return pins, hole


def test_bent_crack_over_a_step_into_a_bolt_hole():
    expected, hole = worked_by_hand()
    path = [
        CrackPoint(x, y, wall, "rough" if i == 0 else "machined", 3.0 if i == 2 else 0.0)
        for i, (x, y, wall) in enumerate(STEPPED)
    ]
    layout = lay_out(path, PLAN, bores=[Bore(*hole, 18, entered=True)])
    assert len(layout.pins) == len(expected) == 1 + 8 + 7 + 4
    for pin, (x, y, number, wall, length, threads, near) in zip(layout.pins, expected, strict=True):
        assert (pin.x, pin.y) == pytest.approx((x, y), abs=1e-9)
        assert pin.pass_number == number
        assert pin.wall == pytest.approx(wall)
        assert pin.pin_length == pytest.approx(length)
        assert pin.engaged_threads == pytest.approx(threads)
        assert pin.spotface_depth == pytest.approx(2.0)
        assert pin.needs_flat == near
    first_pass = [(x, y) for i, (x, y, *_) in enumerate(expected) if i % 2 == 0]
    assert layout.ligaments == pytest.approx([math.dist(a, b) - 8 for a, b in pairwise(first_pass)])
    assert layout.problems == ()
    gone = [Point(hole).buffer(9, quad_segs=256)]
    crack = [(x, y) for x, y, _ in STEPPED]
    assert covered(layout, crack, 2.5, gone=gone)
    # The bore takes less than half of the last pin, whose centre stays 2 mm outside it.
    assert math.dist((layout.pins[-1].x, layout.pins[-1].y), hole) == pytest.approx(11)
    said = " | ".join(layout.warnings)
    assert "pins first, bore second, insert last" in said
    assert "machine a flat" in said


def test_row_between_two_edges_covers_the_crack_to_both():
    # Geometry: the last centres stand d/4 inside the edges; shapely with the air beyond them.
    layout = lay_out(straight_path(60, 8), PLAN, start=FreeEdge(), end=FreeEdge())
    assert layout.pins[0].x == pytest.approx(2)
    assert layout.pins[-1].x == pytest.approx(58)
    air = [Point(-100, 0).buffer(100, quad_segs=2000), Point(160, 0).buffer(100, quad_segs=2000)]
    assert covered(layout, [(0, 0), (60, 0)], 0.99 * layout.coverage_margin, gone=air)


def test_crack_through_a_hole():
    # Geometry: the row stops d/4 before the bore and goes on d/4 behind it.
    layout = lay_out(straight_path(100, 8), PLAN, bores=[Bore(50, 0, 20)])
    xs = [pin.x for pin in layout.pins]
    assert max(x for x in xs if x < 50) == pytest.approx(38)
    assert min(x for x in xs if x > 50) == pytest.approx(62)
    assert layout.problems == ()
    assert covered(layout, [(0, 0), (100, 0)], 2.5, gone=[Point(50, 0).buffer(10, quad_segs=256)])


def test_branch_is_laid_from_the_common_pin_longest_first():
    # Geometry: of the arms 40, 40 and 50 the longest line is 50 + 40; ties go to the path's start.
    layout = lay_out(
        [CrackPoint(0, 0, 8), CrackPoint(40, 0, 8), CrackPoint(80, 0, 8)],
        PLAN,
        branches=[Branch((CrackPoint(40, 0, 8), CrackPoint(40, 50, 8)))],
    )
    rows = Counter(pin.row for pin in layout.pins)
    assert rows[1] == 1 + 7 + 9  # 42/6 parts and 52/6 rounded up
    assert rows[2] == 7
    assert sum((p.x, p.y) == pytest.approx((40, 0)) for p in layout.pins) == 1
    assert layout.problems == ()
    points = [(p.x, p.y) for p in layout.pins]
    assert cut_on_both_sides(points, 8, [p.pass_number for p in layout.pins]) == ()
    tree = unary_union([LineString([(0, 0), (80, 0)]), LineString([(40, 0), (40, 50)])])
    discs = unary_union([Point(p).buffer(4, quad_segs=256) for p in points])
    assert discs.contains(tree.buffer(0.99 * layout.coverage_margin))


def test_uncertain_end_carries_the_row_on():
    # Geometry: an end that may lie 9 mm on must be inside the last hole: 9 - 4 = 5 past the end.
    layout = lay_out(straight_path(60, 8), PLAN, end=Tip(uncertainty=9))
    assert layout.pins[-1].x == pytest.approx(65)
    assert any("true end is uncertain" in text for text in layout.warnings)
