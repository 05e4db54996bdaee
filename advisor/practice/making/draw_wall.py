"""The wall, what it lives under, and the holes and points along the crack."""

from __future__ import annotations

import math

from advisor.case.model import Hole, PathPoint
from advisor.case.quantities import Measure
from advisor.practice.making.draw import Draw
from advisor.practice.making.plausible import THREADS, Span
from advisor.practice.making.wishes import Contradiction


def draw_wall(draw: Draw) -> None:
    """The wall and how it was measured."""
    gear = draw.gear
    ways = {"calliper": 3.0, "ultrasonic": 3.0 if "ultrasonic" in gear else 0.0,
            "drawing": draw.doubt * 0.4, "guess": draw.doubt * 0.3}  # fmt: skip
    if "ultrasonic" not in gear or draw.velocity(draw.truth) is None:
        del ways["ultrasonic"]
    if draw.wish("ultrasonic_set_velocity").known or draw.wish("gauge").words:
        ways = {way: weight for way, weight in ways.items() if way == "ultrasonic"}
    way = draw.pick("wall_measured_by", ways)
    wall = draw.measure("wall_thickness", draw.frame.place.wall, 0.5)
    if way == "ultrasonic":
        _draw_setting(draw)
    if not math.isnan(wall):
        _draw_greatest_wall(draw, wall)
    if draw.frame.place.radius:
        draw.measure("wall_radius", draw.frame.place.radius, 1)


def _draw_greatest_wall(draw: Draw, wall: float) -> None:
    """A little more than the least wall, unless something else is wished for."""
    wish = draw.wish("section_ratio")
    ratio = draw.value(wish, (1.05, 3.5), 0.05) if wish.known else draw.random.uniform(1.1, 1.5)
    most = max(wall, round(wall * ratio * 2) / 2)
    free = draw.wish("wall_thickness_max").known
    draw.measure("wall_thickness_max", (wall, wall * 4) if free else (most, most), 0.5)


def _draw_setting(draw: Draw) -> None:
    """The gauge is set to the casting's own velocity, or was left as it came."""
    own = draw.answers.get("ultrasonic_velocity")
    wish = draw.wish("ultrasonic_set_velocity")
    if wish.unanswered:
        return
    left_as_it_came = draw.wish("gauge").words or not isinstance(own, Measure)
    setting = 5900.0 if left_as_it_came or not isinstance(own, Measure) else own.low
    if not wish.low <= setting <= wish.high:
        setting = draw.value(wish, (3500, 6300), 50)
    draw.answers["ultrasonic_set_velocity"] = Measure(setting, setting, "speed")


def draw_service(draw: Draw) -> None:
    """What the wall holds back, how hot it gets, and what it carries."""
    frame = draw.frame
    contents, hot = frame.contents, frame.hot
    draw.pick("fluid", [contents.fluid])
    if contents.pressure:
        _draw_pressure(draw, contents.pressure)
    most = draw.measure("temperature_max", hot, 5, "temperature")
    limit = most - 5 if not math.isnan(most) else hot[1]
    cold = (min(contents.cold[0], limit), min(contents.cold[1], limit))
    if draw.answers.get("crack_cause") == "freezing":
        cold = (min(cold[0], -5), min(cold[1], 0))
    draw.measure("temperature_min", cold, 1, "temperature")
    draw.pick("thermal_cycling", contents.cycling)
    _draw_stress(draw)
    draw.yes_no("leak_tight", 1.0 if contents.fluid != "none" else 0.0)


def _draw_pressure(draw: Draw, span: Span) -> None:
    """Pressure and span that the sound wall has stood up to."""
    pressure = draw.measure("pressure", span, 0.1 if span[1] < 20 else 5, "pressure")
    wall = draw.answers.get("wall_thickness")
    across = draw.frame.place.span
    strong = draw.number(draw.truth, "tensile_default", 120) * 0.3
    if isinstance(wall, Measure) and pressure > 0:
        most = _span_that_holds(draw, wall.low, pressure / 10, strong)
        across = (across[0], min(across[1], most))
    draw.measure("span", across, 10 if across[1] > 100 else 5)


def _span_that_holds(draw: Draw, wall: float, pressure: float, stress: float) -> float:
    """Roughly: a tube's membrane, or a square plate held at its edges."""
    if draw.frame.place.at in ("curved_wall", "cylinder_bore", "port", "valve_seat"):
        return 2 * wall * stress / pressure
    return wall * math.sqrt(stress / (0.5 * pressure))


def _draw_stress(draw: Draw) -> None:
    load = draw.answers.get("load")
    wish = draw.wish("nominal_stress")
    if wish.known or (load not in ("none", None) and wish.known is None and draw.chance(0.7)):
        most = draw.number(draw.truth, "tensile_default", 120) * (0.4 if wish.known else 0.2)
        draw.measure("nominal_stress", (1, max(most, 12)), 1, "stress")
    moving = load in ("cyclic", "shock")
    wanted = draw.wish("strength_target")
    span = (0.2, 0.7) if moving and draw.chance(0.6) else (0, 0)
    if wanted.low > 0 or wanted.high < 1:
        span = (max(0.0, wanted.low), min(1.0, wanted.high, 0.95))
    draw.measure("strength_target", span, 0.05, "ratio")


def draw_holes(draw: Draw) -> None:
    """Threaded holes near the crack."""
    wish = draw.wish("hole")
    at_hole = draw.frame.place.at == "bolt_hole"
    kinds = {"none": 0.0 if at_hole else 3.0}
    if draw.frame.place.bolted:
        kinds |= {"beside": 1.0, "entered": 3.0 if at_hole else 0.5, "stripped": 0.3,
                  "entered_stripped": 0.6 if at_hole else 0.1, "cramped": 0.0}  # fmt: skip
    if draw.left_open("holes"):
        return
    fitting = {kind: weight for kind, weight in kinds.items() if wish.allows(kind)}
    if at_hole:
        fitting.pop("none", None)
    if not fitting:
        raise Contradiction
    if not any(fitting.values()):
        fitting = dict.fromkeys(fitting, 1.0)
    kind = draw.random.choices(list(fitting), list(fitting.values()))[0]
    draw.answers["holes"] = () if kind == "none" else (_hole(draw, kind),)


def _hole(draw: Draw, kind: str) -> Hole:
    wall, length = draw.low("wall_thickness_max", 15), draw.low("crack_length", 60)
    fitting = [one for one in THREADS if one[1] <= wall * 1.6] or [THREADS[0]]
    thread, diameter = draw.random.choice(fitting)
    enters = kind in ("entered", "entered_stripped", "cramped")
    condition = "good"
    if kind in ("stripped", "entered_stripped", "cramped"):
        condition = draw.random.choice(("stripped", "worn", "corroded"))
    depth = min(wall, round(diameter * draw.random.uniform(1.2, 2.2)))
    edge = diameter * (0.8 if kind == "cramped" else draw.random.uniform(1.6, 3.5))
    damaged = condition != "good"
    inch = "UN" in thread
    return Hole(
        thread=thread,
        depth=_mm(max(4.0, round(depth))),
        distance=_mm(0.0 if enters else round(draw.random.uniform(8, 40))),
        edge_distance=_mm(round(edge, 1)),
        condition=condition,
        damaged_length=_mm(max(2.0, round(depth * 0.5))) if damaged else None,
        bolt_class="SAE grade 5" if inch else draw.random.choice(("8.8", "10.9")),
        at=_mm(round(length if enters else length * draw.random.uniform(0.2, 0.8))),
    )


def draw_path(draw: Draw) -> None:
    """The points that the crack passes through, where somebody has drawn it."""
    wish = draw.wish("crack_path")
    length, wall = draw.low("crack_length", 0), draw.low("wall_thickness", 0)
    if not (length and wall) or not (wish.known or draw.chance(0.15)):
        return
    if draw.frame.kind in _NO_PATH_ASKED or draw.frame.metal in _NO_PATH_ASKED:
        return
    most = draw.low("wall_thickness_max", wall)
    rise = length * draw.random.uniform(0.0, 0.12)
    surface = "rough" if draw.answers.get("machined_face_role") == "none" else "machined"
    places = ((0.0, 0.0, wall), (0.45, rise, (wall + most) / 2), (1.0, 0.0, most))
    draw.answers["crack_path"] = tuple(
        PathPoint(
            x=_mm(round(share * length)),
            y=_mm(round(y)),
            wall=_mm(round(thick * 2) / 2),
            surface=surface,
        )
        for share, y, thick in places
    )


_NO_PATH_ASKED = frozenset(
    {
        "brake_part",
        "steering_part",
        "lifting_part",
        "white_iron",
        "magnesium_alloy",
        "zinc_alloy",
    }
)
"""Parts and metals that are never stitched, so that nobody draws the crack."""


def _mm(value: float) -> Measure:
    return Measure(float(value), float(value), "length")
