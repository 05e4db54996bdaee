"""Keys and pins together: neither cuts the other without being counted."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Point, box
from shapely.ops import unary_union

from advisor.engineering.crack_path import Bore, CrackPoint, Neck, Tip, straight_path
from advisor.engineering.keyed_seam import (
    GREATEST_BITE_TO_NECK,
    KeyedSeam,
    NotTogether,
    RowGround,
    design_keyed_seam,
    necks_of,
)
from advisor.engineering.keys import (
    eccentricity_factor,
    key_capacity,
    key_demand,
    lobe_places,
    lobes_beyond_pins,
    neutral_key,
    with_pins,
)
from advisor.engineering.layout import lay_out, row_plan
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import neutral_pin, pin_choices

LOSS = 1e-3  # mm, of a circle drawn as a polygon


def ground_of(path, wall, stray=1.0, unsure=0.0, tight=False, bores=(), family=None):
    tip = Tip(unsure)
    more = {} if family is None else {"family": family}
    choices = pin_choices(wall, least_diameter=2 * stray / 0.8, **more)
    return RowGround(tuple(path), choices, stray, tight, start=tip, end=tip, bores=tuple(bores))


def demand_of(wall, length, fraction, strength=200.0, restrained=False):
    return key_demand(
        wall=wall,
        tensile_strength=strength,
        length=length,
        shear_factor=1.0,
        restrained=restrained,
        fraction=fraction,
    )


def slot(seam, place, neck_only=False):
    """Outline of one slot as polygons, in the plane of the crack (shapely)."""
    section = seam.keys.section
    longer = seam.keys.staggered and place.n % 2 == 0
    lobes = lobe_places(section, longer=longer)
    parts = [box(-section.neck / 2, -lobes[-1], section.neck / 2, lobes[-1])]
    if not neck_only:
        parts += [
            Point(0, side * y).buffer(section.lobe / 2, quad_segs=128)
            for y in lobes
            for side in (-1, 1)
        ]
    shape = rotate(unary_union(parts), place.heading, origin=(0, 0))
    return translate(shape, place.x, place.y)


def discs(seam):
    radius = seam.choice.pin.diameter / 2
    return {p.n: Point(p.x, p.y).buffer(radius, quad_segs=128) for p in seam.layout.pins}


def restored_by_hand(seam, demand):
    """Statics once more: neck, bearing and eccentricity of what is left, and the net section."""
    keys = seam.keys
    section, depth = keys.section, keys.depth
    pull = keys.neck_left * depth * section.yield_strength
    if not demand.restrained:
        pull *= eccentricity_factor(depth / demand.wall)
    bearing = (
        keys.lobes_counted * (section.lobe - section.neck) * depth * 1.5 * demand.tensile_strength
    )
    share = demand.length / keys.count
    widest, closest = max(keys.spacing, share), min(keys.spacing, share)
    lost = section.lobe * depth / demand.wall / (2 if keys.staggered else 1)
    carried = min(pull, bearing) / (demand.wall * widest * demand.tensile_strength)
    return min(carried, 1 - lost / closest)


SEAMS = st.tuples(
    st.floats(8, 60), st.floats(30, 300), st.floats(0.1, 0.6), st.floats(100, 300), st.floats(0, 30)
)


@settings(max_examples=25, deadline=None)
@given(SEAMS, st.booleans())
def test_keys_first_no_pin_takes_more_of_a_neck_than_is_counted(what, restrained):
    wall, length, fraction, strength, unsure = what
    demand = demand_of(wall, length, fraction, strength, restrained)
    found = design_keyed_seam(
        demand, ground_of(straight_path(length, wall), wall, unsure=unsure), "keys_first"
    )
    seam = found.nearest if isinstance(found, NotTogether) else found
    if seam is None:
        assert found.reason
        return
    assert demand.met_by(seam.keys) == isinstance(found, KeyedSeam)
    neck, d = seam.keys.section.neck, seam.choice.pin.diameter
    bite = seam.keys.pin_bite
    assert bite <= GREATEST_BITE_TO_NECK * neck + 1e-6
    if seam.keys.count > 1:
        assert d <= seam.keys.spacing - neck + 2 * GREATEST_BITE_TO_NECK * neck + 1e-6
    assert seam.keys.restored_fraction <= restored_by_hand(seam, demand) + 1e-9
    pins = discs(seam)
    row = unary_union(list(pins.values()))
    deep = GREATEST_BITE_TO_NECK * neck + 0.01
    for place in seam.places:
        # The neck where it crosses the row, less the pins, measured on polygons.
        across = LineString([(place.x - neck, place.y), (place.x + neck, place.y)])
        left = slot(seam, place, neck_only=True).difference(row)
        assert left.intersection(across).length == pytest.approx(place.neck, abs=0.01)
        assert place.neck >= seam.keys.neck_left - 1e-9
        # No pin is sunk into a lobe deeper than it may be into a neck.
        core = slot(seam, place).buffer(-deep)
        assert not any(core.intersects(disc.buffer(-LOSS)) for disc in pins.values())


@settings(max_examples=25, deadline=None)
@given(SEAMS)
def test_keys_first_pins_and_necks_leave_no_crack_bare(what):
    wall, length, fraction, strength, unsure = what
    found = design_keyed_seam(
        demand_of(wall, length, fraction, strength),
        ground_of(straight_path(length, wall), wall, unsure=unsure),
        "keys_first",
    )
    seam = found.nearest if isinstance(found, NotTogether) else found
    if seam is None:
        return
    necks = [slot(seam, place, neck_only=True) for place in seam.places]
    covered = unary_union([*discs(seam).values(), *necks]).buffer(0.01)
    assert covered.contains(LineString([(0, 0), (length, 0)]))
    assert seam.layout.problems == ()
    # Each side of every key has its pin, and the row reaches past both true ends.
    ends = [seam.layout.pins[0].at, seam.layout.pins[-1].at - length]
    reach = seam.choice.pin.diameter / 2
    assert ends[0] - reach <= -unsure + 1e-6
    assert ends[1] + reach >= unsure - 1e-6


@settings(max_examples=25, deadline=None)
@given(SEAMS)
def test_pins_first_the_neck_is_whole_and_the_row_is_the_plain_one(what):
    wall, length, fraction, strength, unsure = what
    demand = demand_of(wall, length, fraction, strength)
    ground = ground_of(straight_path(length, wall), wall, unsure=unsure, tight=True)
    found = design_keyed_seam(demand, ground, "pins_first")
    seam = found.nearest if isinstance(found, NotTogether) else found
    if seam is None:
        return
    assert seam.keys.neck_left == seam.keys.section.neck
    assert seam.layout == ground.lay(ground.plan(seam.choice))
    assert seam.keys.restored_fraction <= restored_by_hand(seam, demand) + 1e-9
    for place in seam.places:
        shape = slot(seam, place)
        cut = {n for n, disc in discs(seam).items() if disc.buffer(-0.02).intersects(shape)}
        near = {n for n, disc in discs(seam).items() if disc.buffer(0.02).intersects(shape)}
        assert cut <= set(place.pins) <= near
        assert cut, "no stretch of crack under a key is left without a pin"


def test_pins_of_24_do_not_go_between_necks_of_16_at_36():
    # Geometry: 36 - 16 + 2 x 1.6 = 23.2 mm.
    necks = necks_of(neutral_key(16), [18.0 + 36 * i for i in range(5)])
    layout = lay_out(straight_path(180, 30), row_plan(neutral_pin(24, 3)), necks=necks)
    assert "M24x3 does not go between keys 1 and 2, where there is room for a pin of 23.2 mm" in (
        layout.problems
    )


@pytest.mark.parametrize(("d", "pitch", "pins", "bite"), [(20, 2.5, 1, 0.0), (12, 1.75, 2, 0.0),
                                                          (22, 2.5, 1, 1.0)])  # fmt: skip
def test_wall_between_two_necks_is_filled(d, pitch, pins, bite):
    # Geometry: 20 mm of wall take one pin of 20, two of 12 at 8, or one of 22 that bites by 1.
    necks = necks_of(neutral_key(16), [40.0, 76.0])
    layout = lay_out(straight_path(116, 30), row_plan(neutral_pin(d, pitch)), necks=necks)
    between = [pin.at for pin in layout.pins if 40 < pin.at < 76]
    assert len(between) == pins
    assert between[0] - d / 2 == pytest.approx(48 - bite)
    assert between[-1] + d / 2 == pytest.approx(68 + bite)
    assert not any("between keys" in text for text in layout.problems)


def test_rows_beside_a_neck_are_covered_and_divided_like_others():
    plan = row_plan(neutral_pin(10, 1.5), wander=1.0)
    layout = lay_out(straight_path(200, 20), plan, necks=[Neck(100, 10, 1.0)])
    assert layout.problems == ()
    assert layout.coverage_margin >= 1.0
    for a, b in pairwise(layout.pins):
        if a.row == b.row:
            assert 6 - 1e-6 <= b.at - a.at <= 7.5 + 1e-6
    assert {pin.row for pin in layout.pins} == {1, 2}


def test_neck_over_the_end_of_the_crack_still_gets_a_pin_beyond_it():
    layout = lay_out(straight_path(60, 12), row_plan(neutral_pin(8, 1.25)), necks=[Neck(3, 8, 0.8)])
    assert layout.problems == ()
    assert layout.pins[0].at == pytest.approx(3 - 4 - 4)


def test_keys_keep_clear_of_a_bore():
    path = straight_path(120, 20)
    demand = demand_of(20, 120, 0.2)
    ends_in_it = ground_of(path, 20, bores=[Bore(128, 0, 24, entered=True)])
    seam = design_keyed_seam(demand, ends_in_it, "keys_first")
    assert isinstance(seam, KeyedSeam)
    rim = Point(128, 0).buffer(12, quad_segs=128)
    assert all(slot(seam, place).distance(rim) >= 2 - 0.01 for place in seam.places)
    midway = design_keyed_seam(demand, ground_of(path, 20, bores=[Bore(60, 0, 24)]), "keys_first")
    assert isinstance(midway, NotTogether)
    assert midway.reason.endswith("stand 96 mm apart, more than 40 mm")
    everywhere = ground_of(path, 20, bores=[Bore(x, 45, 60) for x in range(0, 121, 30)])
    found = design_keyed_seam(demand, everywhere, "keys_first")
    assert isinstance(found, NotTogether)
    assert found.reason == "every arrangement of keys runs into a bore"


def test_keys_on_a_bend_are_square_to_the_crack():
    turn = 60 * math.cos(0.3), 60 * math.sin(0.3)
    path = [CrackPoint(0, 0, 20), CrackPoint(60, 0, 20), CrackPoint(60 + turn[0], turn[1], 20)]
    seam = design_keyed_seam(demand_of(20, 120, 0.3), ground_of(path, 20), "keys_first")
    assert isinstance(seam, KeyedSeam)
    for place in seam.places:
        if place.at < 59:
            assert place.heading == pytest.approx(0)
        elif place.at > 61:
            assert place.heading == pytest.approx(math.degrees(0.3))
        else:
            assert place.heading == pytest.approx(math.degrees(0.15))


def test_no_room_is_said_with_the_reason():
    # In 95 mm of wall pins have 36 mm or more; beside a neck of 16 they reach 1.9 mm into a lobe.
    demand = demand_of(95, 70, 0.1, strength=400)
    found = design_keyed_seam(demand, ground_of(straight_path(70, 95), 95), "keys_first")
    assert isinstance(found, NotTogether)
    assert found.nearest is None
    assert found.reason == (
        "keys and pins leave each other no room: pins here have 36 mm or more, and beside any keys "
        "they would cut into necks or lobes"
    )


def test_weaker_beside_pins_is_said_with_the_best():
    demand = demand_of(45, 300, 0.5, strength=180)
    found = design_keyed_seam(demand, ground_of(straight_path(300, 45), 45), "keys_first")
    assert isinstance(found, NotTogether)
    assert found.reason.startswith("beside the pins that fit, keys restore at most 0.4")
    assert found.nearest is not None
    assert found.nearest.keys.restored_fraction < 0.5


def test_thin_wall_takes_no_key_whatever_the_pins():
    found = design_keyed_seam(
        demand_of(5, 100, 0.2), ground_of(straight_path(100, 5), 5), "pins_first"
    )
    assert isinstance(found, NotTogether)
    assert "thinner than the 6 mm" in found.reason
    assert found.nearest is None


# What pins leave of a key


def test_lobes_among_the_pins_are_not_counted():
    key = neutral_key(10)  # lobes of 18 at 10, 30, 50; longer 20, 40, 60, 80
    assert [lobes_beyond_pins(key, d) for d in (1.9, 2.1, 42, 42.1, 82.1)] == [3, 2, 2, 1, 0]
    assert lobes_beyond_pins(key, 23, staggered=True) == 2
    with pytest.raises(OutOfRange, match="at least one a side"):
        key_capacity(key, 15, 20, 200, shear_factor=1.0, restrained=True, lobes=0)


def test_bitten_keys_restore_less():
    demand = demand_of(20, 100, 0.2)
    seam = design_keyed_seam(demand, ground_of(straight_path(100, 20), 20), "keys_first")
    assert isinstance(seam, KeyedSeam)
    whole = with_pins(seam.keys, demand, 0.0, seam.keys.section.lobes)
    bitten = with_pins(seam.keys, demand, 0.1 * whole.section.neck, 2)
    assert bitten.restored_fraction < whole.restored_fraction
    assert bitten.neck_left == pytest.approx(0.8 * whole.section.neck)
    with pytest.raises(OutOfRange, match="less than half the neck"):
        with_pins(seam.keys, demand, whole.section.neck / 2, 2)
