"""Choice of thread inserts: when one is needed, what is refused and why, safe behaviour."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.engineering.bolts import BoltClass
from advisor.engineering.designations import parse_designation
from advisor.engineering.insert_geometry import (
    KINDS,
    check_edge,
    coil_depths,
    coil_parent_area,
    last_pin,
    outside_of,
    outside_of_coil,
    outside_threads,
    seat_depth,
    tear_out_load,
)
from advisor.engineering.inserts import (
    DamagedHole,
    InsertDesign,
    LastPin,
    NoInsertFits,
    Parent,
    Refusal,
    choose_insert,
    evaluate_insert,
    insert_needed,
)
from advisor.engineering.limits import OutOfRange

CLASS_8_8 = BoltClass("ISO 898-1", "8.8", 0.0, 16.0, 800.0, 640.0, 580.0)
CLASS_10_9 = BoltClass("ISO 898-1", "10.9", 0.0, 39.0, 1040.0, 940.0, 830.0)
GREY = Parent(250.0, brittle=True)
ALUMINIUM = Parent(200.0, brittle=False, soft=True)
STEEL = Parent(480.0, brittle=False)


def hole(**changes: Any) -> DamagedHole:
    """A stripped blind M16 hole in grey iron with room all round, and what a test changes."""
    base = DamagedHole(
        thread=parse_designation("M16"),
        condition="stripped",
        depth_mm=60.0,
        through=False,
        parent=GREY,
        bolt=CLASS_8_8,
        edge_distance_mm=60.0,
    )
    return replace(base, **changes)


def choose_or_refuse(case: DamagedHole) -> tuple[InsertDesign | None, tuple[Refusal, ...]]:
    try:
        design = choose_insert(case)
    except NoInsertFits as refusal:
        return None, refusal.refused
    return design, design.refused


def codes(design: InsertDesign) -> list[str]:
    return [fault.code for fault in design.faults]


# Needed or not


@pytest.mark.parametrize(
    ("changes", "needed", "words"),
    [
        ({"condition": "good"}, False, "the thread is good"),
        ({"condition": "worn", "damaged_length_mm": 5.0}, False, "chase"),
        ({"condition": "worn", "damaged_length_mm": 50.0}, True, "sound thread is left"),
        ({"condition": "worn"}, True, "sound thread is left"),
        ({"condition": "stripped"}, True, "stripped"),
        ({"condition": "corroded"}, True, "corroded"),
        ({"condition": "good", "crack_distance_mm": 0.0}, True, "crack runs into"),
        ({"condition": "good", "crack_distance_mm": 9.0}, False, "the thread is good"),
    ],
)
def test_when_an_insert_is_needed(changes: dict[str, Any], needed: bool, words: str) -> None:
    found = insert_needed(hole(**changes))
    assert found.needed is needed
    assert words in " ".join(found.reasons)


def test_good_but_weak_thread_is_said_to_be_weak() -> None:
    found = insert_needed(hole(condition="good", depth_mm=14.0))
    assert not found.needed
    assert "keep to the preload it had" in " ".join(found.reasons)
    assert found.strip_safety is not None
    assert found.strip_safety < 1.0


def test_worn_pipe_thread_is_needed() -> None:
    found = insert_needed(hole(thread=parse_designation("G 1/2"), condition="worn", bolt=None))
    assert found.needed
    assert found.strip_safety is None


# Which one


def test_plain_case_takes_the_lightest() -> None:
    design = choose_insert(hole())
    assert (design.kind, design.outside_thread, design.length_mm) == (
        "helical_wire",
        "M16x2 STI",
        32,
    )
    assert design.holds_bolt
    assert [refusal.kind for refusal in design.refused] == list(KINDS[1:])
    assert design.seat_depth_mm == (0.5, 1.0)
    assert design.drill_depth_mm == 40.0
    assert design.thread_depth_mm == 34.0
    assert design.inside_drill is None


def test_soft_metal_takes_a_longer_coil_and_a_wet_fit() -> None:
    design = choose_insert(hole(parent=ALUMINIUM))
    assert design.length_mm == 40.0
    assert any("wet" in caution for caution in design.cautions)


def test_stronger_bolt_takes_a_longer_coil() -> None:
    assert choose_insert(hole(bolt=CLASS_10_9)).length_mm > choose_insert(hole()).length_mm


def test_one_diameter_of_coil_only_in_strong_metal() -> None:
    strong = choose_insert(hole(parent=Parent(900.0, brittle=False)))
    assert (strong.kind, strong.length_mm) == ("helical_wire", 16.0)
    assert choose_insert(hole(parent=Parent(900.0, brittle=True))).length_mm == 24.0


@pytest.mark.parametrize("pressure", [False, True])
@pytest.mark.parametrize("through", [False, True])
@pytest.mark.parametrize("condition", ["good", "worn", "stripped", "corroded"])
def test_a_crack_in_the_hole_never_gets_a_coil(
    condition: str, through: bool, pressure: bool
) -> None:
    cracked = hole(
        condition=condition,
        through=through,
        pressure_behind=pressure,
        crack_distance_mm=0.0,
        damaged_length_mm=30.0,
    )
    design = choose_insert(cracked)
    assert design.kind in ("solid_bushing", "threaded_plug")
    assert design.length_mm >= 30.0
    assert any("pins first" in caution for caution in design.cautions)
    light = [refusal for refusal in design.refused if refusal.kind in KINDS[:2]]
    assert len(light) == 2
    assert all("wedge" in refusal.reasons[0] for refusal in light)


def test_cracked_hole_is_filled_over_its_depth_where_the_crack_was_not_measured() -> None:
    design = choose_insert(hole(crack_distance_mm=0.0))
    assert design.length_mm > 45.0
    assert any("not measured" in caution for caution in design.cautions)


def test_pressure_behind_a_through_hole_takes_a_plug() -> None:
    design = choose_insert(hole(through=True, pressure_behind=True, depth_mm=40.0))
    assert design.kind == "threaded_plug"
    assert design.inside_drill is not None
    assert design.inside_drill.diameter_mm == 14.0
    assert any("unbored" in caution for caution in design.cautions)
    blind = choose_insert(hole(pressure_behind=True))
    assert blind.kind == "helical_wire"
    assert any("do not drill through" in caution for caution in blind.cautions)


def test_corroded_hole_asks_for_its_diameter() -> None:
    design = choose_insert(hole(condition="corroded"))
    assert design.kind == "solid_bushing"
    assert "measure the bore" in design.refused[0].reasons[0]
    measured = choose_insert(hole(condition="corroded", damaged_diameter_mm=16.3))
    assert measured.kind == "helical_wire"
    wide = choose_insert(hole(condition="corroded", damaged_diameter_mm=22.0))
    assert wide.bore_mm >= 22.0


def test_hole_that_held_a_coil_cannot_take_another_of_its_size() -> None:
    design = choose_insert(hole(thread=parse_designation("M16 STI")))
    assert design.kind != "helical_wire"
    assert design.bore_mm >= 18.59


def test_near_crack_keeps_clear_of_the_bore() -> None:
    # Boring for the coil takes 1.3 mm all round and would open the hole into this crack.
    design = choose_insert(hole(crack_distance_mm=1.0))
    assert design.kind in ("solid_bushing", "threaded_plug")
    assert any("pins first" in caution for caution in design.cautions)
    near = choose_insert(hole(crack_distance_mm=5.0))
    assert near.kind == "helical_wire"
    assert near.metal_to_crack_mm == pytest.approx(3.70, abs=0.01)
    assert any("one insert diameter" in caution for caution in near.cautions)


def test_edge_turns_to_what_leaves_more_metal() -> None:
    roomy = choose_insert(hole(edge_distance_mm=60.0, condition="corroded"))
    assert roomy.edge.state == "ok"
    tight = choose_insert(hole(edge_distance_mm=26.0))
    assert tight.edge.state == "tight"
    assert any("little metal to the edge" in caution for caution in tight.cautions)
    unknown = choose_insert(hole(edge_distance_mm=None))
    assert any("measure the distance" in caution for caution in unknown.cautions)


def test_too_near_the_edge_nothing_fits() -> None:
    with pytest.raises(NoInsertFits, match="24 mm from centre to edge") as caught:
        choose_insert(hole(edge_distance_mm=20.0))
    assert [refusal.kind for refusal in caught.value.refused] == list(KINDS)


def test_too_shallow_nothing_fits() -> None:
    with pytest.raises(NoInsertFits, match="mm of depth"):
        choose_insert(hole(depth_mm=20.0))


def test_too_weak_names_the_bolt_load_that_would_do() -> None:
    with pytest.raises(NoInsertFits, match="a bolt rated at"):
        choose_insert(hole(parent=Parent(60.0, brittle=True), depth_mm=40.0))


def test_between_safe_and_stronger_than_the_bolt_a_preload_limit_is_named() -> None:
    shallow = hole(depth_mm=24.0, through=True, parent=Parent(260.0, brittle=True))
    coil = outside_threads("helical_wire", shallow.thread)[0]
    design = evaluate_insert(shallow, "helical_wire", coil, 24.0)
    assert design.feasible
    assert design.holds_bolt is False
    assert design.preload_limit_n == pytest.approx(0.7 * design.loads.parent)
    assert any("keep the preload" in caution for caution in design.cautions)


def test_pipe_thread_is_plugged_and_tapped_anew() -> None:
    port = hole(
        thread=parse_designation("G 1/2"),
        bolt=None,
        axial_load_n=3000.0,
        through=True,
        pressure_behind=True,
    )
    design = choose_insert(port)
    assert (design.kind, design.outside_thread) == ("threaded_plug", "M33x2")
    assert design.holds_bolt is None
    assert not any("unbored" in caution for caution in design.cautions)
    coil = outside_threads("helical_wire", parse_designation("M16"))[0]
    with pytest.raises(OutOfRange, match="not made for pipe"):
        evaluate_insert(port, "helical_wire", coil, 30.0)
    with pytest.raises(NoInsertFits):
        choose_insert(replace(port, thread=parse_designation("G 2"), edge_distance_mm=300.0))


def test_kind_and_length_asked_for_are_kept() -> None:
    design = choose_insert(hole(), at_least="solid_bushing", least_diameters=2.0)
    assert design.kind == "solid_bushing"
    assert design.length_mm >= 32.0
    assert "called for" in design.refused[0].reasons[0]
    long = choose_insert(hole(depth_mm=80.0), least_diameters=3.5)
    assert long.length_mm >= 56.0


def test_inch_hole_takes_inch_threads_and_drills() -> None:
    grade = BoltClass("SAE J429", "5", 6.3, 25.4, 827.37, 634.32, 586.05)
    design = choose_insert(hole(thread=parse_designation("1/2-13 UNC"), bolt=grade))
    assert design.outside_thread == "1/2-13 UNC STI"
    cracked = choose_insert(
        hole(thread=parse_designation("1/2-13 UNC"), bolt=grade, crack_distance_mm=0.0)
    )
    assert cracked.outside_thread == "3/4-10 UNC"
    assert cracked.tap_drill.label == "21/32"


# The last pin


def test_last_pin_is_not_eaten_by_the_bore() -> None:
    eaten = hole(crack_distance_mm=0.0, pin=LastPin(8.0, 9.0))
    with pytest.raises(NoInsertFits, match="last pin 11 mm or more"):
        choose_insert(eaten)
    kept = choose_insert(replace(eaten, pin=LastPin(8.0, 12.0)))
    assert kept.ligament is not None
    assert kept.ligament.state == "overlaps"
    assert kept.ligament.pin_left > 0.5
    gap = choose_insert(replace(eaten, pin=LastPin(8.0, 17.0)))
    assert gap.ligament is not None
    assert gap.ligament.state == "gap"
    assert any("runs on between" in caution for caution in gap.cautions)


def test_thin_wall_between_pin_and_bore_is_said() -> None:
    near = choose_insert(hole(crack_distance_mm=8.0, pin=LastPin(8.0, 14.3)))
    assert near.ligament is not None
    assert near.ligament.state == "thin wall"
    assert any("move the pin" in caution for caution in near.cautions)


@given(st.floats(4.0, 60.0), st.floats(6.0, 40.0), st.floats(4.0, 16.0), st.booleans())
def test_last_pin_properties(distance: float, bore: float, pin: float, enters: bool) -> None:
    found = last_pin(distance, bore, pin, enters)
    assert 0.0 <= found.pin_left <= 1.0 + 1e-9
    assert (found.state == "pin lost") == (distance < bore / 2)
    if found.state == "overlaps" and pin <= bore:
        # Its centre stands outside the bore, so more than half of it stays.
        assert found.pin_left > 0.5
    if found.state == "clear":
        assert found.ligament_mm >= 2.0
        assert not enters


# A plan's own insert


def test_planned_insert_is_judged_on_its_numbers() -> None:
    planned = outside_of(parse_designation("M24x2"))
    good = evaluate_insert(hole(), "threaded_plug", planned, 30.0)
    assert good.feasible
    short = evaluate_insert(hole(), "threaded_plug", planned, 10.0)
    assert "strength" in codes(short)
    cracked = evaluate_insert(
        hole(crack_distance_mm=0.0), "helical_wire", outside_of_coil(hole().thread), 32.0
    )
    assert codes(cracked) == ["crack"]
    thin = evaluate_insert(hole(), "solid_bushing", outside_of(parse_designation("M18x1")), 30.0)
    assert "wall" in codes(thin)
    assert codes(evaluate_insert(hole(), "threaded_plug", planned, 60.0)) == ["depth"]
    assert outside_of(parse_designation("M16 STI")) == outside_of_coil(hole().thread)


@given(
    st.sampled_from(["M8", "M10", "M12", "M16", "1/2-13 UNC", "3/8-16 UNC"]),
    st.floats(120.0, 500.0),
    st.sampled_from(KINDS),
    st.floats(10.0, 60.0),
    st.floats(1.0, 20.0),
)
@settings(max_examples=150)
def test_longer_inserts_carry_more(
    thread: str, tensile: float, kind: Any, length: float, more: float
) -> None:
    case = hole(thread=parse_designation(thread), parent=Parent(tensile, brittle=True))
    outside = outside_threads(kind, case.thread)[0]
    designs = [evaluate_insert(case, kind, outside, size) for size in (length, length + more)]
    assert designs[0].loads.parent < designs[1].loads.parent
    assert designs[0].loads.least <= designs[1].loads.least


@given(
    st.sampled_from(["M8", "M12", "M16", "M10x1.25", "1/2-13 UNC", "3/4-10 UNC"]),
    st.sampled_from(["good", "worn", "stripped", "corroded"]),
    st.floats(10.0, 120.0),
    st.booleans(),
    st.booleans(),
    st.sampled_from([None, 0.0, 1.0, 10.0]),
    st.one_of(st.none(), st.floats(5.0, 120.0)),
    st.sampled_from([GREY, ALUMINIUM, STEEL]),
)
@settings(max_examples=200, deadline=None)
def test_whatever_is_chosen_is_safe(
    thread: str,
    condition: Any,
    depth: float,
    through: bool,
    pressure: bool,
    crack: float | None,
    edge: float | None,
    parent: Parent,
) -> None:
    case = hole(
        thread=parse_designation(thread),
        condition=condition,
        depth_mm=depth,
        through=through,
        pressure_behind=pressure,
        crack_distance_mm=crack,
        edge_distance_mm=edge,
        parent=parent,
    )
    design, refused = choose_or_refuse(case)
    assert all(item.reasons for item in refused)
    if design is None:
        assert {item.kind for item in refused} == set(KINDS)
        return
    assert design.feasible
    assert design.strip_safety >= 1.25
    assert design.loads.least >= 1.25 * design.loads.design
    assert design.drill_depth_mm <= depth + 1e-6
    assert design.edge.state != "fails"
    assert design.outside_diameter_mm > case.thread.diameter_mm
    if case.crack_enters or case.must_seal:
        assert design.kind in ("solid_bushing", "threaded_plug")
    assert {item.kind for item in design.refused} == set(KINDS) - {design.kind}


# Outside validity


def test_bolt_or_load_must_be_known() -> None:
    with pytest.raises(OutOfRange, match="a bolt class, or the load"):
        choose_insert(hole(bolt=None))
    with pytest.raises(OutOfRange, match="pressure times area"):
        choose_insert(hole(thread=parse_designation("G 1/2"), bolt=None))
    assert choose_insert(hole(bolt=None, axial_load_n=50_000.0)).holds_bolt is None


REFUSED: list[tuple[Any, tuple[Any, ...], str]] = [
    (coil_parent_area, (2.0, 16.0, 2.0), "length"),
    (coil_depths, (0.0, 16.0, 2.0), "length"),
    (outside_of_coil, (parse_designation("G 1/2"),), "thread"),
    (outside_of, (parse_designation("G 1/2"),), "thread"),
    (check_edge, (-1.0, 18.0, 16.0, True), "edge distance"),
    (last_pin, (0.0, 18.0, 8.0, True), "distance"),
    (tear_out_load, (20.0, 16.0, 10.0, 100.0), "edge distance"),
    (seat_depth, ("helical_wire", 0.0), "pitch"),
    (choose_insert, (hole(depth_mm=0.0),), "depth"),
    (choose_insert, (hole(damaged_length_mm=-1.0),), "damaged length"),
    (choose_insert, (hole(condition="fine"),), "condition"),
    (choose_insert, (hole(parent=Parent(0.0, True)),), "parent tensile strength"),
    (choose_insert, (hole(parent=Parent(250.0, True, shear_mpa=-1.0)),), "parent shear strength"),
    (
        evaluate_insert,
        (hole(), "solid_bushing", outside_of(parse_designation("M22")), 4.0),
        "length",
    ),
    (evaluate_insert, (hole(), "rivet", outside_of(parse_designation("M22")), 30.0), "kind"),
]


@pytest.mark.parametrize(("function", "arguments", "argument"), REFUSED)
def test_outside_validity_is_refused(
    function: Any, arguments: tuple[Any, ...], argument: str
) -> None:
    with pytest.raises(OutOfRange) as caught:
        function(*arguments)
    assert caught.value.argument == argument
