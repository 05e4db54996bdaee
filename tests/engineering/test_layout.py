"""Layout of pins: properties that must hold for any crack, and the special cases one by one."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point
from shapely.ops import unary_union

from advisor.engineering.layout import (
    Bore,
    Branch,
    CrackPoint,
    FreeEdge,
    RowPlan,
    SeamLayout,
    Tip,
    assign_passes,
    cut_on_both_sides,
    lay_out,
    name_pins,
    place_bore,
    row_plan,
    straight_path,
)
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import NEUTRAL_FAMILY, neutral_pin
from advisor.engineering.polyline import Polyline, coverage_margin

M8 = neutral_pin(8, 1.25)
PLAN = row_plan(M8)

PINS = st.sampled_from([pin for pin in NEUTRAL_FAMILY if pin.diameter <= 24])
STEPS = st.tuples(st.floats(2, 90), st.floats(-75, 75))


@st.composite
def cracks(draw, most=6):
    """A crack of straight pieces that turns by at most 75 degrees at a time."""
    x = y = heading = 0.0
    points = [(x, y)]
    for length, turn in draw(st.lists(STEPS, min_size=1, max_size=most)):
        heading += math.radians(turn)
        x, y = x + length * math.cos(heading), y + length * math.sin(heading)
        points.append((x, y))
    assume(LineString(points).is_simple)
    return points


def path_of(points, wall=10.0):
    return [CrackPoint(x, y, wall) for x, y in points]


def independent_faults(layout: SeamLayout, diameter: float) -> list[int]:
    """Pins cut by two holes of one later pass, counted pair by pair."""
    faults = []
    for pin in layout.pins:
        later = [
            other.pass_number
            for other in layout.pins
            if other.n != pin.n
            and math.hypot(other.x - pin.x, other.y - pin.y) < diameter - 1e-6
            and other.pass_number >= pin.pass_number
        ]
        if len(later) != len(set(later)) or pin.pass_number in later:
            faults.append(pin.n)
    return faults


@settings(max_examples=150, deadline=None)
@given(cracks(), PINS, st.floats(0, 0.3))
def test_layout_covers_the_widened_crack_or_says_so(points, pin, part):
    stray = part * pin.diameter
    layout = lay_out(path_of(points), row_plan(pin, wander=stray))
    discs = unary_union(
        [Point(p.x, p.y).buffer(pin.diameter / 2, quad_segs=64) for p in layout.pins]
    )
    widened = LineString(points).buffer(max(stray - 1e-3 * pin.diameter, 1e-6), quad_segs=32)
    said = any("cover" in text or "bare" in text for text in layout.problems)
    assert said or discs.buffer(1e-3 * pin.diameter).contains(widened)


@settings(max_examples=100, deadline=None)
@given(cracks(), PINS)
def test_margin_agrees_with_polygons(points, pin):
    layout = lay_out(path_of(points), row_plan(pin))
    d = pin.diameter
    assume(layout.coverage_margin > 0.02 * d)
    discs = unary_union([Point(p.x, p.y).buffer(d / 2, quad_segs=256) for p in layout.pins])
    measured = discs.boundary.distance(LineString(points))
    assert layout.coverage_margin == pytest.approx(measured, abs=1e-3 * d)


@settings(max_examples=200, deadline=None)
@given(cracks(), PINS)
def test_no_pin_loses_both_sides_in_one_pass(points, pin):
    layout = lay_out(path_of(points), row_plan(pin))
    assert independent_faults(layout, pin.diameter) == []


@settings(max_examples=200, deadline=None)
@given(cracks(), PINS)
def test_every_spacing_lies_in_the_window_or_a_problem_says_so(points, pin):
    plan = row_plan(pin)
    layout = lay_out(path_of(points), plan)
    inside = all(
        plan.least_spacing - 1e-6 <= s <= plan.largest_spacing + 1e-6 for s in layout.spacing
    )
    said = any("from the pin before it, outside" in text for text in layout.problems)
    assert inside != said


@settings(max_examples=100, deadline=None)
@given(
    cracks(), PINS, st.floats(-180, 180), st.floats(-1e3, 1e3), st.floats(-1e3, 1e3), st.booleans()
)
def test_a_moved_crack_gives_the_moved_layout(points, pin, angle, dx, dy, mirror):
    turn = math.radians(angle)

    def move(x, y):
        y = -y if mirror else y
        return (
            x * math.cos(turn) - y * math.sin(turn) + dx,
            x * math.sin(turn) + y * math.cos(turn) + dy,
        )

    here = lay_out(path_of(points), row_plan(pin))
    there = lay_out(path_of([move(x, y) for x, y in points]), row_plan(pin))
    assert len(here.pins) == len(there.pins)
    for a, b in zip(here.pins, there.pins, strict=True):
        assert (b.x, b.y) == pytest.approx(move(a.x, a.y), abs=1e-6)
        assert (a.pass_number, a.at) == (b.pass_number, pytest.approx(b.at, abs=1e-6))
    assert len(here.problems) == len(there.problems)


@settings(max_examples=100, deadline=None)
@given(cracks(), st.floats(1.0, 6.0))
def test_scaling_everything_scales_the_layout(points, scale):
    small, large = neutral_pin(8, 1), neutral_pin(8 * scale, scale)
    first = lay_out(path_of(points), row_plan(small))
    second = lay_out(
        path_of([(x * scale, y * scale) for x, y in points], 10 * scale), row_plan(large)
    )
    # The rules in whole millimetres (range of the ends, ligament) must not bite.
    length = Polyline(tuple(points)).length
    for layout, factor in ((first, 1.0), (second, scale)):
        assume(layout.pins[0].at == pytest.approx(-2 * factor))
        assume(layout.pins[-1].at == pytest.approx((length + 2) * factor))
    centres = [(p.x, p.y) for p in first.pins]
    gaps = [math.dist(a, b) - 8 for i, a in enumerate(centres) for b in centres[i + 1 :]]
    assume(not any(-1e-6 < gap < 1 + 1e-6 for gap in gaps))
    assert [p.pass_number for p in first.pins] == [p.pass_number for p in second.pins]
    for a, b in zip(first.pins, second.pins, strict=True):
        assert (b.x, b.y) == pytest.approx((a.x * scale, a.y * scale), abs=1e-6)
    assert second.coverage_margin == pytest.approx(first.coverage_margin * scale, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(st.floats(4, 30), st.floats(0, 20), PINS)
def test_more_wall_never_costs_threads_beyond_the_seat_of_a_shoulder(wall, more, pin):
    # Where the shoulder first finds its 0.3 mm seat, that much thread is given up for it.
    thin = lay_out(straight_path(60, wall), row_plan(pin))
    thick = lay_out(straight_path(60, wall + more), row_plan(pin))
    for a, b in zip(thin.pins, thick.pins, strict=True):
        seat = 0.3 if a.spotface_depth == 0 and b.spotface_depth > 0 else 0.0
        assert b.engaged_threads >= a.engaged_threads - seat / pin.pitch - 1e-9


def test_same_input_same_layout():
    points = [(0, 0), (33.3, 7.1), (61.7, 22.9)]
    assert lay_out(path_of(points), PLAN) == lay_out(path_of(points), PLAN)


def test_three_hundred_pins_are_laid():
    layout = lay_out(straight_path(1794, 10), row_plan(M8, wander=0.5, drill_error=0.25))
    assert len(layout.pins) >= 300
    assert not layout.problems


def test_pattern_of_passes():
    layout = lay_out(straight_path(100, 10), PLAN)
    for i, pin in enumerate(layout.pins):
        expected = 1 if i % 2 == 0 else (2 if i % 4 == 1 else 3)
        assert pin.pass_number == expected


def test_passes_keep_apart_where_rows_come_near():
    # Two rows 8.5 apart: their first-pass holes would leave half a millimetre between them.
    points = [(6.0 * i, 0.0) for i in range(6)] + [(6.0 * i, 8.5) for i in range(6)]
    passes = assign_passes(points, 8)
    assert all(passes[i] != passes[i + 6] for i in range(6))
    assert cut_on_both_sides(points, 8, passes) == ()


def test_open_hole_beside_open_hole_is_a_fault():
    assert cut_on_both_sides([(0, 0), (6, 0)], 8, (1, 1)) == (0, 1)
    with pytest.raises(OutOfRange, match="one for each of the 2 pins"):
        cut_on_both_sides([(0, 0), (6, 0)], 8, (1,))


# Ends


@pytest.mark.parametrize("length", [0.5, 1, 2.1, 3, 4.5, 5.6, 7, 8.2])
def test_short_cracks_move_their_ends(length):
    layout = lay_out(straight_path(length, 10), PLAN)
    assert layout.problems == ()
    assert -3.5 <= layout.pins[0].at <= 0
    assert 0 <= layout.pins[-1].at - length <= 3.5
    assert layout.pins[0].at == pytest.approx(length - layout.pins[-1].at)


def test_extension_must_keep_the_visible_end_in_the_hole():
    plan = RowPlan(M8, 6.0, 4.8, extension=3.6)
    with pytest.raises(OutOfRange, match=r"0 to 3.5 mm past the end") as error:
        lay_out(straight_path(50, 8), plan)
    assert error.value.argument == "extension"


def test_little_uncertainty_changes_nothing():
    sure = lay_out(straight_path(60, 8), PLAN)
    nearly = lay_out(straight_path(60, 8), PLAN, end=Tip(uncertainty=6))
    assert sure == nearly


def test_row_is_carried_on_to_an_edge_that_is_too_near_for_its_end_pin():
    layout = lay_out(straight_path(60, 8), PLAN, end=Tip(edge_distance=9))
    assert layout.problems == ()
    assert layout.pins[-1].at == pytest.approx(60 + 9 - 2)
    assert layout.warnings == (
        "the end pin would leave 3 mm to the free edge: the row is carried on to it, "
        "9 mm past the visible end",
        f"pin {len(layout.pins)}: overlaps the edge; clamp a block against the edge, "
        "dress it afterwards",
    )
    alone = lay_out(straight_path(60, 8), PLAN)
    assert lay_out(straight_path(60, 8), PLAN, end=Tip(edge_distance=10)) == alone


def test_row_is_carried_on_to_an_edge_at_its_start():
    layout = lay_out(straight_path(60, 8), PLAN, start=Tip(edge_distance=5))
    assert layout.problems == ()
    assert (layout.pins[0].at, layout.pins[0].x) == (pytest.approx(-3), pytest.approx(-3))
    assert layout.pins[-1].at == pytest.approx(62)


def test_branch_is_carried_on_to_an_edge():
    layout = lay_out(
        straight_path(120, 8),
        PLAN,
        branches=[
            Branch((CrackPoint(60, 0, 8), CrackPoint(60, 30, 8)), end=Tip(6, edge_distance=4))
        ],
    )
    assert layout.problems == ()
    assert max(pin.y for pin in layout.pins) == pytest.approx(32)


@settings(max_examples=100, deadline=None)
@given(cracks(), PINS, st.floats(0.5, 60), st.floats(0, 40))
def test_metal_left_before_an_edge_is_enough_or_the_row_reaches_it(points, pin, edge, unsure):
    tip = Tip(unsure, edge_distance=edge)
    layout = lay_out(path_of(points, 2 * pin.diameter), row_plan(pin), end=tip)
    assert not any("edge" in text for text in layout.problems)
    length = Polyline(tuple(points)).length
    reach = layout.pins[-1].at + pin.diameter / 2 - length
    assert (
        reach <= edge - max(pin.diameter / 2, 2) + 1e-6 or reach >= edge + pin.diameter / 8 - 1e-6
    )


def test_unsure_ends_beside_an_edge_are_still_laid():
    # The true end may lie 15 mm on, the edge is 12 mm away: nothing is left but to go there.
    tip = Tip(uncertainty=15, edge_distance=12)
    layout = lay_out(straight_path(80, 6.2), row_plan(neutral_pin(5, 0.8)), end=tip)
    assert layout.problems == ()
    assert layout.pins[-1].at + 2.5 > 92


def test_end_in_a_bore_is_no_visible_end():
    bore = place_bore(straight_path(60, 8), 60, 0, hole_diameter=16, bore_diameter=20)
    tip = Tip(uncertainty=15, edge_distance=20)
    layout = lay_out(straight_path(60, 8), PLAN, start=tip, end=tip, bores=[bore])
    assert layout.problems == ()
    last = f"pin {len(layout.pins)}: "
    said = [text for text in layout.warnings if text.startswith(last)]
    assert said == [f"{last}overlaps bore 1: set the pins first, bore second, insert last"]
    assert any(text.startswith("pin 1: set 11 mm past the visible end") for text in layout.warnings)


# One spacing


@pytest.mark.parametrize("length", [0.5, 3, 7.7, 20, 61.3])
@pytest.mark.parametrize("unsure", [0, 2, 9])
def test_a_window_of_one_spacing_is_laid(length, unsure):
    # Wander of 0.4 d leaves 0.6 d as the only spacing; the ends move so that it divides the row.
    plan = row_plan(neutral_pin(5, 0.8), wander=1.5, drill_error=0.5)
    assert plan.least_spacing == pytest.approx(plan.largest_spacing)
    tip = Tip(uncertainty=unsure)
    layout = lay_out(straight_path(length, 6), plan, start=tip, end=tip)
    assert layout.spacing == pytest.approx([3.0] * len(layout.spacing))
    assert not any("from the pin before it" in text for text in layout.problems)
    if unsure or length > 1:
        assert layout.problems == ()


def test_edge_pin_asks_for_a_block():
    layout = lay_out(straight_path(60, 8), PLAN, end=FreeEdge())
    assert layout.pins[-1].at == pytest.approx(58)
    assert any("clamp a block" in text for text in layout.warnings)


# Anchors


def test_slight_bends_get_no_pin_of_their_own():
    # 17 deg at (26, 0): the pin spacing runs through.
    path = path_of([(0, 0), (26, 0), (26 + 40 * math.cos(0.3), 40 * math.sin(0.3))])
    layout = lay_out(path, PLAN)
    assert not any(p.x == pytest.approx(26) for p in layout.pins)
    assert layout.problems == ()


def test_two_bends_too_close_give_one_up():
    # 3 mm between two bends: both cannot have a pin; the weaker goes, the crack stays covered.
    path = path_of([(0, 0), (40, 0), (42, 2.2), (80, 2.2)])
    layout = lay_out(path, PLAN)
    assert layout.problems == ()
    assert layout.coverage_margin > 1


def test_smaller_spacing_where_the_crack_strays():
    plan = row_plan(M8, wander=1.5, drill_error=1.0)
    layout = lay_out(path_of([(0, 0), (40, 0), (60, 30)]), plan)
    assert layout.coverage_margin >= 2.5
    assert layout.problems == ()


# Walls, steps, corners


def test_wall_is_read_in_proportion_between_points():
    path = [CrackPoint(0, 0, 6), CrackPoint(100, 0, 16)]
    layout = lay_out(path, PLAN)
    for pin in layout.pins:
        assert pin.wall == pytest.approx(min(max(6 + pin.x / 10, 6), 16))
        assert pin.pin_length == pytest.approx(pin.wall - pin.spotface_depth)


def test_thin_stretch_is_named():
    path = [CrackPoint(0, 0, 10), CrackPoint(30, 0, 3.5), CrackPoint(60, 0, 10)]
    layout = lay_out(path, PLAN)
    # The thinnest spot lies between two centres; both pins reach over it.
    assert min(pin.wall for pin in layout.pins) > 3.75
    thin = [pin.n for pin in layout.pins if abs(pin.x - 30) < 4 + 0.25 / 6.5 * 30]
    assert len(thin) == 2
    assert layout.problems == (
        f"{name_pins(thin)}: the wall does not hold 3 threads of M8x1.25; do not stitch here",
    )
    assert any("more than 1.5 x the wall" in text for text in layout.warnings)


@pytest.mark.parametrize("at_step", [8.0, 12.0])
def test_step_reads_the_thinner_side_whichever_wall_is_written(at_step):
    path = [CrackPoint(0, 0, 8), CrackPoint(50, 0, at_step, step=4), CrackPoint(100, 0, 12)]
    layout = lay_out(path, PLAN)
    assert any(p.x == pytest.approx(50) for p in layout.pins)
    for pin in layout.pins:
        if pin.x < 57 - 1e-6:
            assert pin.wall == 8
        assert pin.needs_flat == (abs(pin.x - 50) < 7)
    assert any("machine a flat" in text for text in layout.warnings)


def test_rough_face_wants_a_spotface_or_dressing():
    layout = lay_out(straight_path(40, 5.4, "rough"), row_plan(neutral_pin(8, 1.25), threads=4))
    assert any("dress the face flat first" in text for text in layout.warnings)
    assert lay_out(straight_path(40, 10, "rough"), PLAN).warnings == ()


def test_curved_wall_takes_the_sagitta_off():
    flat = lay_out(straight_path(40, 8), PLAN)
    curved = lay_out(straight_path(40, 8), row_plan(M8, wall_radius=50))
    loss = 50 - math.sqrt(50**2 - 36)
    for a, b in zip(flat.pins, curved.pins, strict=True):
        assert b.pin_length == pytest.approx(a.pin_length - loss)
    with pytest.raises(OutOfRange):
        lay_out(straight_path(40, 8), row_plan(M8, wall_radius=0))


def test_inside_corner():
    def path(radius):
        return [
            CrackPoint(0, 0, 10),
            CrackPoint(30, 0, 10, corner_radius=radius),
            CrackPoint(60, 0, 10),
        ]

    wide = lay_out(path(20), PLAN)
    near = [pin for pin in wide.pins if abs(pin.x - 30) <= 6]
    assert near
    assert {round(pin.pin_length, 3) for pin in near} == {round(8 - (20 - math.sqrt(364)), 3)}
    assert any("bisector" in text for text in wide.warnings)
    tight = lay_out(path(6), PLAN)
    assert any("inside corner is too tight" in text for text in tight.problems)


# Bores


def test_bore_that_the_path_stops_short_of_is_reached():
    bore = place_bore(straight_path(60, 8), 60, 0, hole_diameter=16, bore_diameter=20)
    layout = lay_out(straight_path(60, 8), PLAN, bores=[bore])
    assert layout.pins[-1].x == pytest.approx(68 - 12)
    assert layout.problems == ()


def test_bore_at_the_start():
    bore = place_bore(straight_path(60, 8), 0, 0, hole_diameter=16, bore_diameter=20)
    layout = lay_out(straight_path(60, 8), PLAN, bores=[bore])
    assert layout.pins[0].x == pytest.approx(-8 + 12)
    assert layout.problems == ()


def test_every_centre_stays_outside_the_bores():
    bores = [Bore(0, 0, 12), Bore(50, 2, 16), Bore(100, 0, 12)]
    layout = lay_out(straight_path(100, 8), PLAN, bores=bores)
    for bore in bores:
        assert min(math.dist((p.x, p.y), (bore.x, bore.y)) for p in layout.pins) > bore.diameter / 2
    assert not any("centre inside" in text for text in layout.problems)


@pytest.mark.parametrize(("distance", "fault"), [(4.0, "warning"), (2.0, "problem"), (9.0, "none")])
def test_hole_beside_the_row(distance, fault):
    # A hole of 10, bored 12, beside the crack: its ligament to the nearest pin is distance - 1 - 4.
    bore = place_bore(straight_path(60, 8), 30, distance + 4, 10, 12)
    layout = lay_out(straight_path(60, 8), PLAN, bores=[bore])
    assert (layout.problems != ()) == (fault == "problem")
    assert (layout.warnings != ()) == (fault == "warning")


def test_entered_bore_must_be_at_the_crack():
    with pytest.raises(OutOfRange, match="its path must end at or in the hole"):
        lay_out(straight_path(60, 8), PLAN, bores=[Bore(30, 40, 10, entered=True)])


def test_stub_beside_a_bore_gets_one_pin():
    layout = lay_out(straight_path(0.5, 8), PLAN, bores=[Bore(8.5, 0, 16, entered=True)])
    assert len(layout.pins) == 1
    assert math.dist((layout.pins[0].x, 0), (8.5, 0)) > 8
    assert layout.problems == ()


# Branches


@settings(max_examples=100, deadline=None)
@given(st.floats(20, 160), st.floats(15, 60), st.floats(15, 60), st.floats(15, 60))
def test_branches_are_covered_and_sound(angle, first, second, third):
    turn = math.radians(angle)
    tip = (third * math.cos(turn), third * math.sin(turn))
    layout = lay_out(
        path_of([(-first, 0), (0, 0), (second, 0)]),
        PLAN,
        branches=[Branch(tuple(path_of([(0, 0), tip])))],
    )
    assert independent_faults(layout, 8) == []
    assert sum(math.hypot(p.x, p.y) < 1e-6 for p in layout.pins) == 1
    discs = unary_union([Point(p.x, p.y).buffer(4, quad_segs=64) for p in layout.pins])
    for line in ([(-first, 0), (second, 0)], [(0, 0), tip]):
        assert discs.buffer(1e-3).contains(LineString(line)) or layout.problems


@pytest.mark.parametrize("angle", range(30, 151, 10))
def test_plain_branches_leave_no_problem(angle):
    turn = math.radians(angle)
    tip = (50 * math.cos(turn), 50 * math.sin(turn))
    layout = lay_out(
        path_of([(-45, 0), (0, 0), (60, 0)]),
        row_plan(M8, wander=0.5, drill_error=0.25),
        branches=[Branch(tuple(path_of([(0, 0), tip])))],
    )
    assert layout.problems == ()
    assert layout.passes <= 5


def test_crack_that_doubles_back_is_laid_like_a_branch():
    points = [(0, 0), (50, 0), (10, 25)]
    layout = lay_out(path_of(points), PLAN)
    assert layout.problems == ()
    at = [pin.at for pin in layout.pins]
    assert at == sorted(at)
    line = Polyline(tuple(points))
    for pin in layout.pins:
        assert (pin.x, pin.y) == pytest.approx(line.position(pin.at))


def test_branch_at_a_point_that_a_bore_takes_away():
    layout = lay_out(
        straight_path(80, 8),
        PLAN,
        branches=[Branch(tuple(path_of([(40, 0), (40, 40)], 8)))],
        bores=[Bore(40, 0, 20)],
    )
    assert layout.problems == ()
    assert min(math.dist((p.x, p.y), (40, 0)) for p in layout.pins) == pytest.approx(12)
    assert {pin.row for pin in layout.pins} == {1, 2, 3}


def test_crack_that_ends_just_short_of_a_bore_is_led_into_it():
    # The end pin would have stood inside the bore.
    layout = lay_out(straight_path(60, 8), PLAN, bores=[Bore(69, 0, 16)])
    assert layout.pins[-1].x == pytest.approx(59)
    assert layout.problems == ()


def test_overlapping_bores_are_one_gap():
    layout = lay_out(straight_path(100, 8), PLAN, bores=[Bore(50, 0, 24), Bore(49, 0, 8)])
    xs = [pin.x for pin in layout.pins]
    assert max(x for x in xs if x < 50) == pytest.approx(36)
    assert min(x for x in xs if x > 50) == pytest.approx(64)
    assert layout.problems == ()


def test_branch_must_begin_on_the_crack():
    with pytest.raises(OutOfRange, match=r"it lies 5.0 mm off"):
        lay_out(
            straight_path(60, 8),
            PLAN,
            branches=[Branch((CrackPoint(30, 5, 8), CrackPoint(30, 40, 8)))],
        )


def test_branch_on_a_branch():
    layout = lay_out(
        straight_path(120, 8),
        PLAN,
        branches=[
            Branch((CrackPoint(60, 0, 8), CrackPoint(60, 50, 8))),
            Branch((CrackPoint(60, 25, 8), CrackPoint(90, 40, 8)), end=FreeEdge()),
        ],
    )
    assert max(pin.row for pin in layout.pins) == 3
    assert layout.problems == ()
    for joint in [(60, 0), (60, 25)]:
        assert sum(math.dist((p.x, p.y), joint) < 1e-6 for p in layout.pins) == 1


# Bad input


def test_paths_that_are_none():
    with pytest.raises(OutOfRange, match="at least two points"):
        lay_out([CrackPoint(0, 0, 8)], PLAN)
    with pytest.raises(OutOfRange, match="different from the one before it"):
        lay_out([CrackPoint(0, 0, 8), CrackPoint(0, 0, 8)], PLAN)
    with pytest.raises(OutOfRange, match="finite coordinates"):
        lay_out([CrackPoint(0, 0, 8), CrackPoint(math.nan, 0, 8)], PLAN)
    with pytest.raises(OutOfRange, match="wall of point 2"):
        lay_out([CrackPoint(0, 0, 8), CrackPoint(9, 0, 0)], PLAN)
    with pytest.raises(OutOfRange, match="shows outside"):
        lay_out(straight_path(10, 8), PLAN, bores=[Bore(5, 0, 40)])


def test_spacing_window_must_make_sense():
    with pytest.raises(OutOfRange, match="below the pin diameter"):
        lay_out(straight_path(60, 8), RowPlan(M8, 8.0, 4.8))


def test_bare_crack_is_negative():
    line = Polyline(((0.0, 0.0), (20.0, 0.0)))
    assert coverage_margin([line], [(0, 0, 4), (20, 0, 4)]) == pytest.approx(-12)
    with pytest.raises(OutOfRange):
        coverage_margin([line], [])


@given(
    st.lists(st.floats(-10, 70), min_size=1, max_size=14),
    st.floats(5, 60),
    st.floats(3, 9),
    st.floats(0, math.tau),
)
def test_row_on_a_straight_crack_is_covered_as_on_one_with_a_point_between(
    row: list[float], length: float, radius: float, heading: float
) -> None:
    """The closed form for a straight row against the search along the outline of the discs."""

    def on_line(at: float) -> tuple[float, float]:
        return 3 + at * math.cos(heading), -7 + at * math.sin(heading)

    discs = [(*on_line(at), radius) for at in row]
    straight = Polyline((on_line(0), on_line(length)))
    parted = Polyline((on_line(0), on_line(length / 2), on_line(length)))
    closed, searched = coverage_margin([straight], discs), coverage_margin([parted], discs)
    assume(abs(closed) > 1e-4)
    if closed > 0:
        assert closed == pytest.approx(searched, abs=1e-6)
    else:
        assert searched < 0
        assert closed <= searched + 1e-6  # a bare stretch is not cut in two at the point between
