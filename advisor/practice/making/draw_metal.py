"""The metal as it really is, what is claimed of it, and what the bench shows."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.case.quantities import Measure
from advisor.practice.making.draw import Draw
from advisor.practice.making.plausible import BENCH, LOOKS_ALIKE, METALS, OLD_REPAIRS, WET, Span
from advisor.practice.making.wishes import Contradiction, Wish


def true_metal(draw: Draw) -> str:
    """The metal claimed, or one that is taken for it where the wished signs say so.

    Raises:
        Contradiction: no metal shows the wished signs.
    """
    claimed = draw.frame.metal
    if draw.wish("claim").words:
        alike = [metal for metal in LOOKS_ALIKE[claimed] if _shows(draw, metal)]
        if not alike:
            raise Contradiction
        return draw.random.choice(alike)
    if _shows(draw, claimed):
        return claimed
    alike = [metal for metal in LOOKS_ALIKE[claimed] if _shows(draw, metal)]
    if not alike:
        raise Contradiction
    return draw.random.choice(alike)


def _shows(draw: Draw, metal: str) -> bool:
    """Whether a metal shows every sign that is wished for."""
    if not all(_fits_test(draw, metal, test) for test in BENCH):
        return False
    hardness, parts = METALS[metal].hardness, METALS[metal].parts
    velocity = draw.velocity(metal)
    wish = draw.wish("ultrasonic_velocity")
    return (
        draw.wish("hardness").meets(*hardness)
        and (not wish.known or (velocity is not None and wish.meets(*velocity)))
        and all(
            wish.meets(*parts.get(name.removeprefix("composition."), (0, 0)))
            for name, wish in draw.wishes.items()
            if name.startswith("composition.")
        )
    )


def _fits_test(draw: Draw, metal: str, test: str) -> bool:
    wish = draw.wish(test)
    words = draw.signs(metal, test)
    return not wish.known or not words or any(wish.allows(word) for word in words)


def draw_metal(draw: Draw) -> None:
    """What is claimed of the metal, on what evidence, and in what condition it is."""
    needs_analysis = any(name.startswith("composition") for name in draw.wishes)
    needs_analysis = needs_analysis and not draw.wish("composition").unanswered
    evidence = {"workshop_tests": 4.0, "certificate_or_mark": 3.0, "spectrometer": 2.0}
    if needs_analysis:
        evidence["workshop_tests"] = 0.0
    draw.pick("material", [draw.frame.metal])
    found = draw.pick("material_evidence", {**evidence, "guess": draw.doubt})
    _draw_grade(draw, found)
    metal = METALS[draw.truth]
    if draw.wish("hardness").known or draw.chance(0.7):
        draw.measure("hardness", metal.hardness, 5, "hardness")
    analysed = found == "spectrometer" and draw.chance(0.6)
    if needs_analysis or (analysed and metal.parts):
        _draw_composition(draw, metal.parts)
    if draw.wish("tensile_strength").known:
        least = draw.number(draw.truth, "tensile_default", 120)
        draw.measure("tensile_strength", (least, least * 2.2), 5, "stress")
    first = draw.number(draw.truth, "earliest_year", 1800)
    years = draw.frame.part.years
    if draw.wish("cast_year").known or draw.chance(0.7):
        draw.measure("cast_year", (max(first, years[0]), years[1]), 1, "year")
    _draw_condition(draw)


def _draw_grade(draw: Draw, evidence: str) -> None:
    wish = draw.wish("material_grade")
    rows = draw.book.knowledge.tables["grades"].rows
    stranger = bool(draw.wish("papers").words)
    usual = 0.7 if evidence == "certificate_or_mark" else 0.2
    if draw.left_open("material_grade") or not (wish.known or stranger or draw.chance(usual)):
        return
    fitting = [
        name
        for name, row in rows.items()
        if (row["material"].value == draw.frame.metal) != stranger and wish.allows(name)
    ]
    if not fitting and wish.words:
        fitting = [name for name in rows if wish.allows(name)]
    if fitting:
        draw.answers["material_grade"] = draw.random.choice(fitting)
    elif wish.known:
        raise Contradiction


def _draw_composition(draw: Draw, parts: Mapping[str, Span]) -> None:
    if draw.wish("composition").unanswered:
        return
    found: dict[str, Measure] = {}
    for element, span in parts.items():
        wish = draw.wish(f"composition.{element}")
        if wish.unanswered:
            continue
        value = draw.value(wish, span, 0.01 if span[1] > 0.1 else 0.001)
        found[element] = Measure(value, value, "mass_fraction")
    if not found:
        raise Contradiction
    draw.answers["composition"] = found


def _draw_condition(draw: Draw) -> None:
    iron = draw.frame.metal.endswith("iron")
    wet = draw.frame.contents.fluid in WET
    possible = {"sound", "porous", *OLD_REPAIRS}
    if draw.frame.contents.fluid in ("oil", "fuel", "none"):
        possible.add("oil_soaked")
    if draw.frame.hot[1] >= 250:
        possible.add("burnt")
    if wet and iron:
        possible.add("graphitic_corrosion")
    if draw.wish("graphitic_depth").low > 0:
        draw.wishes.want("base_condition", Wish(include=(frozenset(("graphitic_corrosion",)),)))
    others = sorted(possible - {"sound"})
    usual = [draw.random.choice(others)] if draw.doubt and draw.chance(0.35) else ["sound"]
    condition = draw.members("base_condition", usual, possible)
    if not (wet and iron):
        return
    eaten = "graphitic_corrosion" in condition
    draw.measure("graphitic_depth", (0.5, 5) if eaten else (0, 0), 0.5)


def draw_bench(draw: Draw) -> None:
    """What the bench shows of the metal as it really is."""
    evidence = draw.answers.get("material_evidence")
    share = 0.9 if evidence == "workshop_tests" else 0.5
    for test in BENCH:
        if test == "fracture_face":
            continue
        signs = draw.signs(draw.truth, test)
        wish = draw.wish(test)
        fitting = any(wish.allows(sign) for sign in signs)
        if wish.known is None and not (fitting and draw.chance(share)):
            continue
        if signs or draw.wish(test).known:
            every = draw.book.questionnaire.by_id[test].choice_ids
            draw.pick(test, signs or every)
    overheated = {"none": 5.0, "few": draw.doubt, "many": 0.0}
    draw.pick("heat_checks", overheated)
    _draw_velocity(draw)
    if draw.truth != draw.frame.metal:
        _prove_claim_wrong(draw)


def _prove_claim_wrong(draw: Draw) -> None:
    """A claim that is wrong has to show on the bench, or nobody could know.

    Raises:
        Contradiction: nothing on the bench tells.
    """
    for test in BENCH:
        claimed = draw.signs(draw.frame.metal, test)
        if draw.answers.get(test) and claimed and draw.answers[test] not in claimed:
            return
    for name in ("composition", "ultrasonic_velocity", "hardness"):
        if name in draw.answers:
            return
    raise Contradiction


def _draw_velocity(draw: Draw) -> None:
    span, wish = draw.velocity(draw.truth), draw.wish("ultrasonic_velocity")
    if span is None:
        if wish.known:
            raise Contradiction
        return
    if wish.known or (wish.known is None and "ultrasonic" in draw.gear and draw.chance(0.6)):
        room = (span[1] - span[0]) * 0.1
        draw.measure("ultrasonic_velocity", (span[0] + room, span[1] - room), 50, "speed")
