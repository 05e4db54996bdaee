"""What is not believable about a case: answers that do not belong together.

This reads the same ranges as the drawing of cases, and checks what the drawing only aims at: that
one metal explains every sign of the bench, that the wall has lived under its pressure, that what
was measured can be measured with the gear at hand.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator

from advisor.advice.doubt.asking import ask_conditions
from advisor.advice.thinking import Thinking
from advisor.case.model import UNKNOWN, Case, Hole, PathPoint
from advisor.case.quantities import Measure
from advisor.practice.making.frames import Frame, all_frames
from advisor.practice.making.plausible import BENCH, LOOKS_ALIKE, METALS, Span
from advisor.reasoning.conditions import evaluate
from advisor.reasoning.tables import Knowledge
from advisor.reasoning.values import Number


def faults(thinking: Thinking) -> list[str]:
    """What does not belong together in a case thought through; empty where all of it may be met."""
    seen = _Seen(thinking.case)
    frames = _frames(seen)
    if not frames:
        return ["no such part, place, contents and metal together"]
    found = min((list(_frame_faults(seen, frame)) for frame in frames), key=len)
    return [
        *found,
        *_metal_faults(seen, thinking),
        *_condition_faults(seen),
        *_crack_faults(seen),
        *_wall_faults(seen, thinking),
        *_gear_faults(seen),
        *_hole_faults(seen),
        *_pointless_answers(thinking),
    ]


class _Seen:
    """The answers of a case, as words and numbers."""

    def __init__(self, case: Case) -> None:
        self.case = case

    def word(self, name: str) -> str:
        value = self.case.value(name)
        return value if isinstance(value, str) else ""

    def words(self, name: str) -> tuple[str, ...]:
        value = self.case.value(name)
        if not isinstance(value, tuple):
            return ()
        return tuple(word for word in value if isinstance(word, str))

    def number(self, name: str) -> float | None:
        value = self.case.value(name)
        return value.middle if isinstance(value, Measure) else None

    def known(self, name: str) -> bool:
        value = self.case.value(name)
        return value is not None and value is not UNKNOWN


def _frames(seen: _Seen) -> list[Frame]:
    """The frames that a case may stand in; what is not answered may be anything."""
    wanted: dict[str, Callable[[Frame], str]] = {
        "part_kind": lambda frame: frame.kind,
        "crack_location": lambda frame: frame.place.at,
        "fluid": lambda frame: frame.contents.fluid,
        "material": lambda frame: frame.metal,
    }
    frames = list(all_frames())
    for name, of in wanted.items():
        if seen.known(name):
            frames = [frame for frame in frames if of(frame) == seen.word(name)]
    return frames


def _frame_faults(seen: _Seen, frame: Frame) -> Iterator[str]:
    spans: dict[str, Span | None] = {
        "wall_thickness": frame.place.wall,
        "crack_length": frame.place.crack,
        "pressure": frame.contents.pressure,
        "span": frame.place.span,
        "temperature_max": frame.hot,
        "wall_radius": frame.place.radius,
        "rim_speed": (0, frame.part.rim_speed[1]) if frame.part.rim_speed else None,
        "part_mass": frame.part.mass,
    }
    for name, span in spans.items():
        value = seen.number(name)
        if value is not None and not (span and span[0] - 1e-6 <= value <= span[1] + 1e-6):
            yield f"{name} of {value:g} on this part, at this place"
    words: dict[str, tuple[str, ...]] = {
        "crack_cause": frame.causes,
        "load": frame.place.loads,
        "machined_face_role": frame.place.faces,
        "behind_wall": frame.behind,
        "failure_consequence": frame.part.harm,
        "thermal_cycling": frame.contents.cycling,
    }
    for name, legal in words.items():
        if seen.known(name) and seen.word(name) not in legal:
            yield f"{name} {seen.word(name)} on this part, at this place"
    if seen.known("governed_by") and seen.words("governed_by") not in frame.part.laws:
        yield f"governed by {seen.words('governed_by')}"
    if not set(seen.words("hazards")) <= frame.hazards | {"none"}:
        yield f"hazards {seen.words('hazards')}"
    holds = frame.contents.pressure is not None
    if seen.known("leak_tight") and (seen.word("leak_tight") == "yes") != holds:
        yield "leak-tight without anything to hold, or holding without being tight"


# --- metal ----------------------------------------------------------------------------------------


def true_metals(case: Case, knowledge: Knowledge) -> tuple[str, ...]:
    """The metals that explain every sign of the bench, the one claimed first."""
    seen = _Seen(case)
    claimed = seen.word("material")
    candidates = (claimed, *LOOKS_ALIKE[claimed]) if claimed else tuple(METALS)
    return tuple(metal for metal in candidates if _explains(metal, seen, knowledge))


def _explains(metal: str, seen: _Seen, knowledge: Knowledge) -> bool:
    row = knowledge.tables["materials"].rows[metal]
    for test, column in BENCH.items():
        fits = row[column].value if column in row else ()
        if seen.known(test) and fits and seen.word(test) not in fits:  # type: ignore[operator]
            return False
    velocity = seen.number("ultrasonic_velocity")
    if velocity is not None and not _in_cells(row, velocity):
        return False
    year = seen.number("cast_year")
    if year is not None and "earliest_year" in row and year < float(row["earliest_year"].value):  # type: ignore[arg-type]
        return False
    hardness = seen.number("hardness")
    low, high = METALS[metal].hardness
    return (hardness is None or low <= hardness <= high) and _composed(metal, seen)


def _in_cells(row: object, velocity: float) -> bool:
    cells = dict(row)  # type: ignore[call-overload]
    if "velocity_low" not in cells:
        return False
    return bool(cells["velocity_low"].value <= velocity <= cells["velocity_high"].value)


def _composed(metal: str, seen: _Seen) -> bool:
    parts = seen.case.value("composition")
    if not hasattr(parts, "items"):
        return True
    spans = METALS[metal].parts
    return all(
        name in spans and spans[name][0] - 1e-9 <= part.middle <= spans[name][1] + 1e-9
        for name, part in parts.items()  # type: ignore[union-attr]
    )


def _metal_faults(seen: _Seen, thinking: Thinking) -> Iterator[str]:
    truth = true_metals(seen.case, thinking.rulebook.knowledge)
    if not truth:
        yield "no single metal shows all these signs"
    elif seen.known("material"):
        wrong = truth[0] != seen.word("material")
        contradicted = thinking.word("material_standing") == "contradicted"
        if wrong and not contradicted:
            yield "a wrong claim that nothing shows"
        if contradicted and not wrong and thinking.word("grade_fits_material") != "no":
            yield "a true claim that seems wrong"
    if seen.known("composition") and seen.word("material_evidence") in ("workshop_tests", "guess"):
        yield "an analysis, though the metal was only tried in the workshop"


def _condition_faults(seen: _Seen) -> Iterator[str]:
    condition = seen.words("base_condition")
    if "sound" in condition and len(condition) > 1:
        yield "sound, and not sound"
    depth = seen.number("graphitic_depth") or 0.0
    if seen.known("base_condition") and (depth > 0) and "graphitic_corrosion" not in condition:
        yield "a soft skin, but no graphitic corrosion"
    hazards = seen.words("hazards")
    if "none" in hazards and len(hazards) > 1:
        yield "no hazards, and some"


# --- crack, wall and gear -------------------------------------------------------------------------


def _crack_faults(seen: _Seen) -> Iterator[str]:
    cold, hot = seen.number("temperature_min"), seen.number("temperature_max")
    if cold is not None and hot is not None and cold >= hot:
        yield "colder at its hottest than at its coldest"
    if seen.word("crack_cause") == "freezing" and cold is not None and cold > 0:
        yield "frozen, though it is never below zero"
    still = seen.word("load") == "none" and seen.word("thermal_cycling") != "rapid"
    if seen.word("crack_cause") == "fatigue" and still:
        yield "fatigue, though nothing comes and goes"
    if seen.known("face_out_of_flat") and seen.word("machined_face_role") in ("none", ""):
        yield "out of flat, without a machined face"
    path = seen.case.value("crack_path")
    length = seen.number("crack_length")
    if isinstance(path, tuple) and path and length:
        yield from _path_faults(path, length)


def _path_faults(path: tuple[object, ...], length: float) -> Iterator[str]:
    points = [
        (point.x.middle, point.y.middle)
        for point in path
        if isinstance(point, PathPoint)
        and isinstance(point.x, Measure)
        and isinstance(point.y, Measure)
    ]
    run = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    if not 0.9 * length <= run <= 1.1 * length + 2:
        yield f"a path of {run:.0f} mm along a crack of {length:g} mm"


def _wall_faults(seen: _Seen, thinking: Thinking) -> Iterator[str]:
    least, most = seen.number("wall_thickness"), seen.number("wall_thickness_max")
    if least is not None and most is not None and not least <= most <= 4 * least + 1e-6:
        yield "greatest wall out of keeping with the least"
    stress, strength = thinking.values["wall_stress"], thinking.values["wall_strength"]
    if (
        isinstance(stress, Number)
        and isinstance(strength, Number)
        and stress.known
        and strength.known
        and stress.low > strength.high
    ):
        yield "a stress that the sound wall would not have lived under"


def _gear_faults(seen: _Seen) -> Iterator[str]:
    gear = seen.words("processes")
    if not gear:
        return
    needs = {
        ("crack_ends_found", "penetrant"): "penetrant",
        ("crack_ends_found", "magnetic_particle"): "magnetic_particle",
        ("wall_measured_by", "ultrasonic"): "ultrasonic",
    }
    for (name, word), needed in needs.items():
        if seen.word(name) == word and needed not in gear:
            yield f"{name} {word} without the gear for it"
    if seen.word("crack_ends_found") == "magnetic_particle" and seen.word("magnet") == "none":
        yield "ends found by powder on a metal that no magnet holds"
    if seen.known("ultrasonic_velocity") and "ultrasonic" not in gear:
        yield "a velocity measured without an ultrasonic gauge"


def _hole_faults(seen: _Seen) -> Iterator[str]:
    holes = seen.case.value("holes")
    if not isinstance(holes, tuple):
        return
    if seen.word("crack_location") == "bolt_hole" and not holes:
        yield "a crack at a bolt hole without a hole"
    most, length = seen.number("wall_thickness_max"), seen.number("crack_length")
    for hole in holes:
        if not isinstance(hole, Hole):
            continue
        if most and isinstance(hole.depth, Measure) and hole.depth.low > most + 1:
            yield "a thread deeper than the wall is thick"
        if length and isinstance(hole.at, Measure) and hole.at.low > length + 1:
            yield "a hole beyond the crack's end"


def _pointless_answers(thinking: Thinking) -> Iterator[str]:
    for name, condition in ask_conditions(thinking.rulebook).items():
        answered = thinking.case.value(name) is not None
        if answered and not evaluate(condition, thinking.values).possible:
            yield f"{name} answered, though nobody would have asked"
