"""Who brings what, who has a say, and what the shop can do."""

from __future__ import annotations

from advisor.case.quantities import Measure
from advisor.practice.making.draw import Draw
from advisor.practice.making.frames import fits_members
from advisor.practice.making.plausible import Span
from advisor.practice.making.wishes import Contradiction


def draw_part(draw: Draw) -> None:
    """The part, what hangs on it, and what is wanted of it."""
    part = draw.frame.part
    draw.pick("part_kind", [draw.frame.kind])
    laws = [one for one in part.laws if fits_members(draw.wish("governed_by"), one)]
    if not laws and not draw.wish("governed_by").unanswered:
        raise Contradiction
    if not draw.left_open("governed_by"):
        draw.answers["governed_by"] = draw.random.choice(laws)
    mild = {harm: 3.0 if harm != "injury" else 1.0 for harm in part.harm}
    draw.pick("failure_consequence", mild)
    if part.rim_speed:
        _draw_rim_speed(draw, part.rim_speed)
    draw.pick("replacement", {"in_stock": 1, "long_lead": 4, "obsolete": 3})
    draw.pick("repair_intent", {"permanent": 6, "temporary": draw.doubt})
    if draw.chance(0.3) or draw.wish("part_mass").known:
        draw.measure("part_mass", part.mass, 1 if part.mass[1] < 50 else 5, "mass")


def _draw_rim_speed(draw: Draw, span: Span) -> None:
    stands = draw.frame.kind == "other" and not draw.wish("rim_speed").known
    if stands:
        draw.answers["rim_speed"] = Measure(0.0, 0.0, "speed")
    else:
        draw.measure("rim_speed", span, 0.5, "speed")


def draw_shop(draw: Draw) -> None:
    """Where the work is done, with what, and what is dangerous there."""
    heavy = draw.frame.part.mass[1] > 2000
    draw.pick("site", {"workshop": 4, "on_site": 1.0 if heavy else draw.doubt * 0.5})
    heat = {"full": 4, "local": 2, "none": 3}
    allowed = draw.pick("heat_allowed", heat)
    draw.pick("distortion", {"free": 2, "limited": 4, "none": 2})
    shop = {"drill_tap", "machining", "penetrant"}
    shares = {"arc": 0.6, "tig": 0.4, "oxyfuel": 0.5, "furnace": 0.3, "magnetic_particle": 0.5,
              "ultrasonic": 0.6, "pressure_test": 0.8}  # fmt: skip
    shop |= {gear for gear, share in shares.items() if draw.chance(share)}
    gear = draw.members("processes", shop, {*shop, *shares})
    if allowed != "none" and gear & {"arc", "tig", "oxyfuel"}:
        draw.yes_no("welder_qualified", 0.9)
    elif draw.wish("welder_qualified").words:
        raise Contradiction
    dangers = sorted(draw.frame.hazards)
    some = [draw.random.choice(dangers)] if draw.doubt and draw.chance(0.4) else ["none"]
    draw.members("hazards", some, {*dangers, "none"})
