"""The program's own plans are clear; each single thing spoilt in one of them is found.

What a spoilt item must cost follows from the sense of the severities: a stop where somebody can be
hurt, the part is lost or law is broken; a query where it has to be justified; a note where the
choice is as good. Nothing here is copied from output.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from advisor.review.bench import GOES_AHEAD

from .conftest import (
    Edit,
    checked,
    drop,
    found,
    move_last,
    own_plan,
    put,
    scenario_names,
    skip,
    swap,
    thought,
    times,
    unhold,
    uninspect,
)

JACKET = "engine-block-frost-crack-in-water-jacket-is-stitched"
FRAME = "press-frame-fatigue-crack-gets-pins-and-keys"
BOSS = "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins"
BRACKET = "cast-steel-bracket-is-arc-welded"
LIGHT = "aluminium-gearbox-case-is-tig-welded"
MANIFOLD = "nickel-iron-exhaust-manifold-is-welded-hot"
COOL = "ductile-iron-bracket-is-welded-cool-with-nickel"
FITTING = "malleable-pipe-fitting-is-braze-welded"
STOVE = "broken-stove-door-is-fusion-welded-with-iron-rod"
VOLUTE = "pump-volute-in-inches-gets-pins-and-keys"
BOILER = "boiler-section-is-refused-by-law"
UNKNOWN = "pump-casing-of-unknown-metal-is-investigated"
SADDLE = "ship-engine-bearing-saddle-gets-keys-with-the-surveyor"
PINHOLE = "pinhole-in-a-pump-cover-is-plugged"
PATCH = "holed-thin-gear-case-wall-gets-a-patch-plate"


@pytest.mark.parametrize("name", scenario_names())
def test_own_plan_is_clear(name: str) -> None:
    result = checked(own_plan(name), name)
    assert result.outcome == "clear", [i for i in result.items if i.severity != "note"]
    if thought(name).word("verdict") in GOES_AHEAD:
        assert any(item.item == "method" for item in result.items)


@dataclass(frozen=True)
class Spoilt:
    """One thing spoilt in the program's own plan, and what has to be found."""

    name: str
    case: str
    edits: tuple[Edit, ...]
    item: str
    finding: str
    severity: str


def spoilt(
    name: str, case: str, edit: Edit | tuple[Edit, ...], item: str, finding: str, severity: str
) -> Spoilt:
    edits = edit if isinstance(edit, tuple) else (edit,)
    return Spoilt(name, case, edits, item, finding, severity)


POWDER_AFTER = {"when": "after", "method": "magnetic_particle"}
SHORT, AGAINST, GONE, MORE = "falls_short", "contradicts", "missing", "stronger"

PINS = (
    spoilt("a spot-face that eats the threads", JACKET, times("pin.spotface_depth", 3.6),
           "pin.threads", SHORT, "stop"),
    spoilt("pins too short for their threads", JACKET, times("pin.length", 0.3),
           "pin.threads", SHORT, "stop"),
    spoilt("a coarser thread in a thin wall", JACKET,
           (put("pin.thread", "M16x2"), times("pin.pitch", 3.2)), "pin.thread", SHORT, "query"),
    spoilt("pins that end inside the wall", JACKET, times("pin.length", 0.8),
           "pin.length", SHORT, "query"),
    spoilt("a spot-face deeper than the shoulder", FRAME, times("pin.spotface_depth", 2.2),
           "pin.spotface_depth", SHORT, "query"),
    spoilt("pins that no longer swallow the wander", JACKET, times("pin.pitch", 1.12),
           "pin.pitch", SHORT, "stop"),
    spoilt("pins that do not overlap", JACKET, times("pin.pitch", 1.4),
           "pin.pitch", SHORT, "stop"),
    spoilt("pins cut away by their neighbours", JACKET, times("pin.pitch", 0.6),
           "pin.pitch", SHORT, "stop"),
    spoilt("a wide pitch on a dry frame", FRAME, times("pin.pitch", 1.4),
           "pin.pitch", SHORT, "query"),
    spoilt("pins wider than the wall between two necks", FRAME,
           (put("pin.thread", "M24x3"), times("pin.pitch", 2.2)), "pin.layout", SHORT, "stop"),
    spoilt("a third of the pins left out", JACKET, times("pin.count", 0.67),
           "pin.count", SHORT, "stop"),
    spoilt("pins that do not reach the hole", BOSS, times("pin.count", 0.7),
           "pin.count", SHORT, "stop"),
    spoilt("more pins than needed", JACKET, times("pin.count", 1.3), "pin.count", MORE, "note"),
    spoilt("a pin smaller than the wander", JACKET, put("pin.thread", "M3x0.5"),
           "pin.pitch", SHORT, "stop"),
    spoilt("a slender pin in a thick wall", FRAME,
           (put("pin.thread", "M6x1"), times("pin.pitch", 0.4)), "pin.thread", SHORT, "query"),
    spoilt("no pitch named", JACKET, drop("pin.pitch"), "pin.pitch", GONE, "query"),
    spoilt("no count named", JACKET, drop("pin.count"), "pin.count", GONE, "query"),
    spoilt("no thread named", JACKET, drop("pin.thread"), "pin.thread", GONE, "query"),
    spoilt("no pins named", JACKET, drop("pin"), "pin", GONE, "query"),
    spoilt("pins beside a weld", BRACKET, put("pin", {"thread": "M8x1.25"}),
           "pin", AGAINST, "query"),
)  # fmt: skip

KEYS = (
    spoilt("slots through the wall", FRAME, times("keys.depth", 1.3), "keys.depth", SHORT, "stop"),
    spoilt("shallow slots in a wall that bends", FRAME, times("keys.depth", 0.6),
           "keys.depth", SHORT, "query"),
    spoilt("shallow slots carry too little", FRAME, times("keys.depth", 0.6),
           "keys.strength", SHORT, "stop"),
    spoilt("half of the keys left out", FRAME, times("keys.count", 0.5),
           "keys.strength", SHORT, "stop"),
    spoilt("keys too far apart", FRAME, times("keys.spacing", 1.6),
           "keys.strength", SHORT, "stop"),
    spoilt("keys beyond the crack", FRAME, times("keys.spacing", 1.6),
           "keys.count", SHORT, "query"),
    spoilt("slots that run into each other", FRAME, times("keys.spacing", 0.5),
           "keys.spacing", SHORT, "stop"),
    spoilt("a smaller strip", FRAME, put("keys.section", "neck_5"),
           "keys.strength", SHORT, "stop"),
    spoilt("lobes no wider than the neck", FRAME,
           put("keys.section", {"neck_width": "16 mm", "lobe_diameter": "16 mm"}),
           "keys.section", SHORT, "stop"),
    spoilt("keys in line where they have to be staggered", FRAME, put("keys.staggered", "no"),
           "keys.strength", SHORT, "stop"),
    spoilt("no keys named", FRAME, drop("keys"), "keys", GONE, "query"),
    spoilt("no depth named", FRAME, drop("keys.depth"), "keys.depth", GONE, "query"),
    spoilt("keys that were asked for left out by name", FRAME,
           (put("method", "cold_stitch"), drop("keys")), "method", AGAINST, "stop"),
)  # fmt: skip

INSERTS = (
    spoilt("an insert too short to hold", BOSS, put("inserts.1.length", "18 mm"),
           "inserts[1].outside_thread", SHORT, "stop"),
    spoilt("an insert shorter than the rule", BOSS, put("inserts.1.length", "26 mm"),
           "inserts[1].length", SHORT, "query"),
    spoilt("an insert deeper than the hole", BOSS, put("inserts.1.length", "60 mm"),
           "inserts[1].outside_thread", SHORT, "stop"),
    spoilt("a coil in a cracked hole", BOSS,
           (put("inserts.1.outside_thread", "M16 STI"), drop("inserts.1.kind")),
           "inserts[1].kind", AGAINST, "stop"),
    spoilt("a thin bushing in a cracked hole", BOSS,
           (put("inserts.1.outside_thread", "M18x1.5"), drop("inserts.1.kind")),
           "inserts[1].outside_thread", SHORT, "stop"),
    spoilt("a plug out at the edge", BOSS, put("inserts.1.outside_thread", "M36x3"),
           "inserts[1].outside_thread", SHORT, "stop"),
    spoilt("no insert in a cracked hole", BOSS, put("inserts", []),
           "inserts[1]", GONE, "stop"),
    spoilt("nothing said of inserts", BOSS, drop("inserts"), "inserts[1]", GONE, "query"),
    spoilt("an insert without its length", BOSS, drop("inserts.1.length"),
           "inserts[1].length", GONE, "query"),
)  # fmt: skip

HEAT = (
    spoilt("steel welded cold", BRACKET, put("heat.preheat", "10 degC"),
           "heat.preheat", SHORT, "stop"),
    spoilt("iron welded half warm", MANIFOLD, put("heat.preheat", "200 degC"),
           "heat.preheat", SHORT, "stop"),
    spoilt("a torch weld in a cool casting", STOVE, put("heat.preheat", "400 degC"),
           "heat.preheat", SHORT, "stop"),
    spoilt("bronze on iron that is too cold", FITTING, put("heat.preheat", "150 degC"),
           "heat.preheat", SHORT, "query"),
    spoilt("aluminium from the cold store", LIGHT, put("heat.preheat", "5 degC"),
           "heat.preheat", SHORT, "query"),
    spoilt("the cool way begun hot", COOL, put("heat.preheat", "200 degC"),
           "heat.preheat", AGAINST, "stop"),
    spoilt("more preheat than asked for", BRACKET, put("heat.preheat", "150 degC"),
           "heat.preheat", MORE, "note"),
    spoilt("iron beyond its ceiling", MANIFOLD, put("heat.interpass_max", "700 degC"),
           "heat.interpass_max", SHORT, "stop"),
    spoilt("iron hotter between the beads than the rule", MANIFOLD,
           put("heat.interpass_max", "450 degC"), "heat.interpass_max", SHORT, "query"),
    spoilt("steel hotter between the beads", BRACKET, put("heat.interpass_max", "400 degC"),
           "heat.interpass_max", SHORT, "query"),
    spoilt("the cool way gets hot", COOL, put("heat.interpass_max", "150 degC"),
           "heat.interpass_max", SHORT, "stop"),
    spoilt("aluminium that collapses", LIGHT, put("heat.interpass_max", "250 degC"),
           "heat.interpass_max", SHORT, "stop"),
    spoilt("a ceiling below the preheat", BRACKET,
           (put("heat.preheat", "200 degC"), put("heat.interpass_max", "150 degC")),
           "heat.interpass_max", AGAINST, "query"),
    spoilt("nickel for iron in steel", BRACKET, put("heat.filler", "ENi-CI"),
           "heat.filler", AGAINST, "stop"),
    spoilt("steel filler in aluminium", LIGHT, put("heat.filler", "E7018"),
           "heat.filler", AGAINST, "stop"),
    spoilt("iron rod in malleable iron", FITTING, put("heat.filler", "RCI"),
           "heat.filler", AGAINST, "stop"),
    spoilt("a close-gap alloy in an open groove", FITTING, put("heat.filler", "BAg-24"),
           "heat.filler", AGAINST, "query"),
    spoilt("a filler that nobody knows", BRACKET, put("heat.filler", "grey stick"),
           "heat.filler", "not_judged", "query"),
    spoilt("another bronze", FITTING, put("heat.filler", "RBCuZn-A"),
           "heat.filler", "agrees", "note"),
    spoilt("hot iron left in the air", MANIFOLD, put("heat.cooling", "still_air"),
           "heat.cooling", SHORT, "stop"),
    spoilt("stress relief left out by cooling", BRACKET, put("heat.cooling", "covered"),
           "heat.cooling", SHORT, "query"),
    spoilt("no heat named", BRACKET, drop("heat"), "heat", GONE, "query"),
    spoilt("no preheat named", BRACKET, drop("heat.preheat"), "heat.preheat", GONE, "query"),
    spoilt("heat where none is allowed", JACKET, put("heat", {"preheat": "200 degC"}),
           "heat", AGAINST, "stop"),
    spoilt("heat beside a cold method", BOSS, put("heat", {"preheat": "200 degC"}),
           "heat", AGAINST, "query"),
)  # fmt: skip

TEST = (
    spoilt("a test below the working pressure", JACKET, times("test_pressure", 0.4),
           "test_pressure", SHORT, "stop"),
    spoilt("a test a little low", JACKET, times("test_pressure", 0.8),
           "test_pressure", SHORT, "query"),
    spoilt("a test that breaks the panel", JACKET, times("test_pressure", 1.5),
           "test_pressure", AGAINST, "stop"),
    spoilt("no test pressure named", JACKET, drop("test_pressure"),
           "test_pressure", GONE, "query"),
    spoilt("air in brittle iron", JACKET, put("test_medium", "air"),
           "test_medium", AGAINST, "stop"),
    spoilt("air in a pump volute", VOLUTE, put("test_medium", "air"),
           "test_medium", AGAINST, "stop"),
    spoilt("air in a plugged cover", PINHOLE, put("test_medium", "air"),
           "test_medium", AGAINST, "stop"),
    spoilt("oil in place of water", JACKET, put("test_medium", "oil"),
           "test_medium", "agrees", "note"),
)  # fmt: skip

LOOKING = (
    spoilt("no penetrant before", JACKET, uninspect("before", "penetrant"),
           "inspections.before.penetrant", GONE, "stop"),
    spoilt("no penetrant during", JACKET, uninspect("during", "penetrant"),
           "inspections.during.penetrant", GONE, "stop"),
    spoilt("no penetrant after", COOL, uninspect("after", "penetrant"),
           "inspections.after.penetrant", GONE, "stop"),
    spoilt("nobody waits for the penetrant", COOL, unhold("after", "penetrant"),
           "inspections.after.penetrant", SHORT, "stop"),
    spoilt("nobody waits for the wall", JACKET, unhold("before", "ultrasonic"),
           "inspections.before.ultrasonic", SHORT, "stop"),
    spoilt("the wall is not measured", JACKET, uninspect("before", "ultrasonic"),
           "inspections.before.ultrasonic", GONE, "stop"),
    spoilt("the metal is taken on trust", JACKET, uninspect("before", "material"),
           "inspections.before.material", GONE, "stop"),
    spoilt("steel welded without an analysis", BRACKET, uninspect("before", "material"),
           "inspections.before.material", GONE, "stop"),
    spoilt("the groove in steel not proved", BRACKET, uninspect("during", "magnetic_particle"),
           "inspections.during.magnetic_particle", GONE, "stop"),
    spoilt("no powder on the steel weld", BRACKET, uninspect("after", "magnetic_particle"),
           "inspections.after.magnetic_particle", GONE, "stop"),
    spoilt("the depth of a steel weld not looked into", BRACKET, uninspect("after", "ultrasonic"),
           "inspections.after.ultrasonic", GONE, "query"),
    spoilt("the jacket not tried under water", JACKET, uninspect("after", "leak_test"),
           "inspections.after.leak_test", GONE, "stop"),
    spoilt("the pressure test left out",
           JACKET, (uninspect("after", "pressure_test"), drop("test_pressure")),
           "inspections.after.pressure_test", GONE, "stop"),
    spoilt("no temperatures written down", BRACKET, uninspect("during", "temperature_log"),
           "inspections.during.temperature_log", GONE, "query"),
    spoilt("no welder's proof", BRACKET, uninspect("before", "record"),
           "inspections.before.record", GONE, "query"),
    spoilt("the faces not measured again", JACKET, uninspect("after", "dimensional"),
           "inspections.after.dimensional", GONE, "query"),
    spoilt("threads not tried", JACKET, uninspect("during", "thread_gauge"),
           "inspections.during.thread_gauge", GONE, "query"),
    spoilt("no second look in service", JACKET, uninspect("after", "visual"),
           "inspections.after.visual", GONE, "note"),
    spoilt("nothing said of inspections", JACKET, drop("inspections"),
           "inspections", GONE, "query"),
    spoilt("powder on aluminium", LIGHT,
           lambda plan: plan["inspections"].append(POWDER_AFTER),
           "inspections.after.magnetic_particle", AGAINST, "query"),
)  # fmt: skip

ORDER = (
    spoilt("drilled before the ends are proved", JACKET, swap("prove_ends", "drill_pins"),
           "sequence", AGAINST, "stop"),
    spoilt("keys cut before the ends are proved", FRAME, swap("prove_ends", "keys"),
           "sequence", AGAINST, "stop"),
    spoilt("welded before the ends are proved", BRACKET, swap("prove_ends", "heat"),
           "sequence", AGAINST, "stop"),
    spoilt("tested before it is looked at", JACKET, swap("inspect", "pressure_test"),
           "sequence", AGAINST, "stop"),
    spoilt("drilled after the test", JACKET, move_last("drill_pins"),
           "sequence", AGAINST, "stop"),
    spoilt("insert before the pins", BOSS, swap("drill_pins", "insert"),
           "sequence", AGAINST, "stop"),
    spoilt("keys after the pins on a dry frame", FRAME, swap("keys", "drill_pins"),
           "sequence", AGAINST, "query"),
    spoilt("keys before the pins in a tight wall", VOLUTE, swap("keys", "drill_pins"),
           "sequence", AGAINST, "query"),
    spoilt("ends never proved", JACKET, skip("prove_ends"), "sequence", GONE, "stop"),
    spoilt("never looked at", JACKET, skip("inspect"), "sequence", GONE, "stop"),
    spoilt("never tested", JACKET, skip("pressure_test"), "sequence", GONE, "stop"),
    spoilt("never dressed", JACKET, skip("dress"), "sequence", GONE, "query"),
    spoilt("no order named", JACKET, drop("sequence"), "sequence", GONE, "note"),
    spoilt("a step of heat where none is allowed", JACKET,
           lambda plan: plan["sequence"].insert(1, "heat"), "sequence", AGAINST, "stop"),
)  # fmt: skip

DECIDING = (
    spoilt("a frame mended without the engineer", FRAME, put("verdict", "repair"),
           "verdict", SHORT, "stop"),
    spoilt("a ship's saddle mended without the surveyor", SADDLE, put("verdict", "repair"),
           "verdict", SHORT, "stop"),
    spoilt("a patch of which the owner does not know", PATCH, put("verdict", "repair"),
           "verdict", SHORT, "query"),
    spoilt("a boiler mended", BOILER, (put("verdict", "repair"), put("method", "cold_stitch")),
           "verdict", AGAINST, "stop"),
    spoilt("a boiler mended with consent", BOILER,
           (put("verdict", "repair_with_approval"), put("method", "cold_stitch")),
           "verdict", AGAINST, "stop"),
    spoilt("a boiler mended without a word", BOILER,
           (drop("verdict"), put("method", "cold_stitch")), "verdict", AGAINST, "stop"),
    spoilt("an unknown metal mended", UNKNOWN,
           (put("verdict", "repair"), put("method", "cold_stitch")), "verdict", AGAINST, "stop"),
    spoilt("an unknown metal heated", UNKNOWN,
           (put("verdict", "repair"), put("method", "braze_weld")), "method", AGAINST, "stop"),
    spoilt("a boiler only looked into", BOILER, put("verdict", "investigate"),
           "verdict", SHORT, "query"),
    spoilt("work beside a verdict that holds it back", JACKET, put("verdict", "refer"),
           "verdict", AGAINST, "query"),
    spoilt("a consent that no rule asks for", JACKET, put("verdict", "repair_with_approval"),
           "verdict", MORE, "note"),
    spoilt("brazed where no heat is allowed", JACKET, put("method", "braze_weld"),
           "method", AGAINST, "stop"),
    spoilt("resin against pressure", JACKET, put("method", "resin_repair"),
           "method", AGAINST, "stop"),
    spoilt("fusion weld of malleable iron", FITTING, put("method", "oxyfuel_fusion_weld"),
           "method", AGAINST, "stop"),
    spoilt("nickel electrode in cast steel", BRACKET, put("method", "arc_weld_cool_nickel"),
           "method", AGAINST, "stop"),
    spoilt("another job's plan", JACKET, put("case", "D-099"), "case", AGAINST, "query"),
    spoilt("no method named", BRACKET, (drop("method"), drop("heat")), "method", GONE, "query"),
)  # fmt: skip

ALL = (*PINS, *KEYS, *INSERTS, *HEAT, *TEST, *LOOKING, *ORDER, *DECIDING)


def test_there_are_enough_of_them() -> None:
    graver = [one for one in ALL if one.severity != "note"]
    assert len(graver) >= 60
    assert len({one.name for one in ALL}) == len(ALL)


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_spoilt_plan_is_found(one: Spoilt) -> None:
    plan = own_plan(one.case)
    for edit in one.edits:
        edit(plan)
    result = checked(plan, one.case)
    about = [item for item in result.items if item.item == one.item]
    assert (one.finding, one.severity) in [(item.finding, item.severity) for item in about], [
        (item.item, item.finding, item.severity, item.text)
        for item in (about or found(result, one.item.split(".")[0]))
    ]
    if one.severity == "stop":
        assert result.outcome == "stop"
    elif one.severity == "query":
        assert result.outcome in ("queries", "stop")


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_every_grave_finding_says_on_what_it_rests_and_what_to_do(one: Spoilt) -> None:
    plan = own_plan(one.case)
    for edit in one.edits:
        edit(plan)
    for item in checked(plan, one.case).items:
        assert item.text.rstrip().endswith((".", ")", "?")), item.text
        assert item.rule
        if item.severity == "note":
            continue
        if item.finding != "not_judged":
            assert item.remedy, item
        if item.basis != "plan":
            assert item.sources, item
