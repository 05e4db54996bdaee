"""The crack: how long, how found, why, and what it does."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.practice.making.draw import Draw
from advisor.practice.making.wishes import Contradiction, Wish

_ANY_FACE = ("rings", "rusted_or_oiled")
"""Looks of a broken face that tell of its life and not of the metal."""


_UNLIKELY_LOADS: Mapping[str, tuple[str, ...]] = {
    "fatigue": ("none", "static"),
    "overload": ("none",),
}
"""Loads under which a cause is hard to believe."""


def _causes(draw: Draw) -> Mapping[str, float]:
    """What may have cracked it; seldom what the wished load could not have done."""
    loads = {word for word in draw.frame.place.loads if draw.wish("load").allows(word)}
    return {
        cause: 1.0 if loads - set(_UNLIKELY_LOADS.get(cause, ())) else 0.0
        for cause in draw.frame.causes
    }


def draw_crack(draw: Draw) -> None:
    """The crack, how its ends were found, what caused it, and what is near it."""
    place = draw.frame.place
    draw.pick("crack_location", [place.at])
    draw.measure("crack_length", place.crack, 5 if place.crack[1] > 60 else 1)
    draw.pick("crack_depth", {"through": 6, "partial": 1})
    _draw_ends(draw)
    _draw_counts(draw)
    cause = draw.pick("crack_cause", _causes(draw))
    loads = {word: 2.0 if word != "shock" else 0.7 for word in place.loads}
    unlikely = _UNLIKELY_LOADS.get(cause, ())
    load = draw.pick("load", loads | {word: 0.0 for word in unlikely if word in loads})
    _draw_movement(draw, load)
    draw.measure("crack_faces_offset", draw.rarely("crack_faces_offset", 0.3, 2.5), 0.1)
    draw.yes_no("missing_metal", 0.15 if draw.doubt else 0.0)
    if cause:
        draw.yes_no("cause_removed", 0.8 if draw.doubt else 1.0)
    _draw_face(draw, cause)
    _draw_machined_face(draw)
    _draw_surroundings(draw)


def _draw_counts(draw: Draw) -> None:
    draw.count("crack_branches", {"0": 6.0, "1": draw.doubt, "2": draw.doubt * 0.5, "3": 0.0})
    if draw.wish("twin").words:
        draw.wishes.want("crack_count", Wish(low=2))
    draw.count("crack_count", {"1": 6.0, "2": draw.doubt, "3": 0.0, "4": 0.0})


def _draw_machined_face(draw: Draw) -> None:
    faces = {face: 3.0 if face == "none" else 1.0 for face in draw.frame.place.faces}
    face = draw.pick("machined_face_role", faces)
    wanted = draw.wish("face_out_of_flat").known
    if face not in ("none", "") and (wanted or draw.chance(0.7)):
        draw.measure("face_out_of_flat", (0.01, 0.6), 0.01)
    elif wanted:
        raise Contradiction


def _draw_surroundings(draw: Draw) -> None:
    behind = draw.pick("behind_wall", draw.frame.behind)
    one = 5.0 if behind in ("coolant", "gas", "solid_metal") else 1.0
    draw.pick("access", {"one_side": one, "both_sides": 2.0})
    draw.measure("nearest_edge", (5, 60 + 2 * draw.low("crack_length", 60)), 5)
    if behind in ("coolant", "oil") or draw.chance(0.3) or draw.wish("nearest_passage").known:
        draw.measure("nearest_passage", (4, 70), 2)


def _draw_movement(draw: Draw, load: str) -> None:
    alive = load in ("cyclic", "shock", "static")
    span = draw.rarely("crack_moves", 0.06, 0.2)
    if span == (0, 0) and alive and draw.wish("crack_moves").high >= 0.04:
        span = (0, 0.03)
    draw.measure("crack_moves", span, 0.01)


def _draw_ends(draw: Draw) -> None:
    gear = draw.gear
    magnetic = "strong" in draw.signs(draw.truth, "magnet")
    ways = {
        "penetrant": 5.0 if "penetrant" in gear else 0.0,
        "magnetic_particle": 2.0 if magnetic and "magnetic_particle" in gear else 0.0,
        "visual_only": draw.doubt * 0.5,
        "no": draw.doubt * 0.2,
    }
    if not any(ways.values()):
        ways["visual_only"] = 1.0
    possible = {way: weight for way, weight in ways.items() if _can_find(draw, way, magnetic)}
    draw.pick("crack_ends_found", possible)


def _can_find(draw: Draw, way: str, magnetic: bool) -> bool:
    if way in ("visual_only", "no"):
        return True
    return way in draw.gear and (magnetic or way == "penetrant")


def _draw_face(draw: Draw, cause: str) -> None:
    """The broken face tells of the metal, of fatigue, or of its age."""
    wish = draw.wish("fracture_face")
    metal = [s for s in draw.signs(draw.truth, "fracture_face") if s not in _ANY_FACE]
    looks = dict.fromkeys(metal, 3.0)
    looks["rings"] = 3.0 if cause == "fatigue" else 0.0
    looks["rusted_or_oiled"] = draw.doubt
    if wish.known or (wish.known is None and draw.chance(0.5) and any(looks.values())):
        draw.pick("fracture_face", looks)
