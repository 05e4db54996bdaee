"""The sizes of the plan, read off what the formulas made."""

from __future__ import annotations

import math

from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.hole_plan import HolePlan
from advisor.advice.model import (
    Heat,
    Insert,
    KeyLaid,
    KeysDesign,
    KeySection,
    LaidHole,
    PinDesign,
    Quantity,
    SeamStrength,
    Stitching,
)
from advisor.advice.phrases import quantity
from advisor.advice.seam import SeamDesign
from advisor.advice.thinking import Thinking
from advisor.engineering.insert_geometry import BoreLigament, last_pin
from advisor.engineering.inserts import InsertDesign
from advisor.engineering.keys import KeyDesign
from advisor.engineering.seam import seam_tension
from advisor.reasoning.values import Number

TIGHT_ONLY = (
    "pins of a symmetric thread seal the crack and hold its faces in line; they get no credit for "
    "holding it shut"
)


def stitching(thinking: Thinking) -> Stitching | None:
    """The stitched seam, where the recommended method stitches."""
    method = thinking.word("method")
    seam = thinking.objects.get("seam")
    if method not in STITCHED or not isinstance(seam, SeamDesign):
        return None
    keys = _keys(thinking, seam) if method == "cold_stitch_with_keys" else None
    laid = seam.layout
    return Stitching(
        pin=_pin(thinking, seam),
        keys=keys,
        passes=laid.passes,
        layout=tuple(
            LaidHole(
                n=pin.n,
                at=mm(pin.at),
                x=mm(pin.x),
                y=mm(pin.y),
                drilling_pass=pin.pass_number,
                wall=mm(pin.wall),
                pin_length=mm(pin.pin_length),
                engaged_threads=round(pin.engaged_threads, 2),
                spotface_depth=mm(pin.spotface_depth),
            )
            for pin in laid.pins
        ),
        strength=_strength(thinking, keys),
        notes=seam.notes,
    )


def mm(value: float) -> Quantity:
    """A length of the plan, to the hundredth of a millimetre."""
    return quantity(round(value, 2), "mm")


def _pin(thinking: Thinking, seam: SeamDesign) -> PinDesign:
    choice, laid = seam.choice, seam.layout
    return PinDesign(
        thread=choice.pin.thread,
        major_diameter=mm(choice.pin.diameter),
        length=mm(max(pin.pin_length for pin in laid.pins)),
        count=len(laid.pins),
        pitch=mm(seam.pitch),
        overlap=mm(choice.pin.diameter - seam.pitch),
        tap_drill=mm(choice.tap_drill),
        spotface_depth=mm(choice.seat.spotface_depth),
        spotface_diameter=mm(choice.pin.spotface_diameter),
        engaged_threads=round(min(pin.engaged_threads for pin in laid.pins), 2),
        material=thinking.word("pin_material") or "not known",
    )


def _keys(thinking: Thinking, seam: SeamDesign) -> KeysDesign | None:
    design = thinking.objects.get("keys")
    if not isinstance(design, KeyDesign) or seam.order is None:
        return None
    section = design.section
    return KeysDesign(
        count=design.count,
        spacing=mm(design.spacing),
        section=KeySection(
            neck_width=mm(section.neck),
            lobe_diameter=mm(section.lobe),
            lobe_pitch=mm(section.lobe_pitch),
            lobes_each_side=section.lobes,
        ),
        depth=mm(design.depth),
        layers=design.layers,
        capacity=quantity(round(design.capacity.force), "N"),
        positions=tuple(mm(at) for at in design.positions),
        order=seam.order,
        neck_left=mm(design.neck_left),
        lobes_counted=design.lobes_counted,
        places=tuple(
            KeyLaid(
                n=place.n,
                at=mm(place.at),
                x=mm(place.x),
                y=mm(place.y),
                heading=quantity(round(place.heading, 1), "deg"),
                pins=place.pins,
                neck_left=mm(place.neck),
            )
            for place in seam.keys
        ),
    )


def _strength(thinking: Thinking, keys: KeysDesign | None) -> SeamStrength:
    if keys is None:
        return _strength_of_pins(thinking)
    fraction = thinking.values["restored_fraction"]
    assert isinstance(fraction, Number)
    basis = thinking.facts["restored_fraction"].working
    return SeamStrength(
        restored_fraction=round(fraction.low, 3),
        basis=f"upper bound of static strength by statics, not a test: {basis}",
    )


def _strength_of_pins(thinking: Thinking) -> SeamStrength:
    """No credit for symmetric threads; a shop's tested seam counts with its report."""
    shop = thinking.rulebook.shop
    wall, strength = thinking.values["true_wall"], thinking.values["wall_strength"]
    assert isinstance(wall, Number)
    assert isinstance(strength, Number)
    if shop is None or shop.seam is None or not (wall.known and strength.known):
        return SeamStrength(restored_fraction=0.0, basis=TIGHT_ONLY)
    held = seam_tension(shop.seam.line_load, shop.seam.flank_angle)
    fraction = min(1.0, held / (wall.high * strength.high))
    return SeamStrength(
        restored_fraction=round(fraction, 3),
        basis=f"tested seam of this shop, {held:g} N/mm against {wall.high:.3g} mm x "
        f"{strength.high:g} MPa; report: {shop.seam.report}",
    )


def inserts(thinking: Thinking) -> tuple[Insert, ...]:
    """What each threaded hole near the crack needs; nothing while no work goes ahead."""
    plans = thinking.objects.get("inserts")
    if thinking.word("go_ahead") != "yes" or not isinstance(plans, tuple):
        return ()
    return tuple(_insert(thinking, plan) for plan in plans if isinstance(plan, HolePlan))


def _insert(thinking: Thinking, plan: HolePlan) -> Insert:
    design = plan.design
    if design is None:
        why = (plan.refused,) if plan.refused else plan.need.reasons
        return Insert(
            hole=plan.number, needed=plan.need.needed, kind=None, outside_thread=None,
            length=None, bore=None, tap_drill=None, strip_safety=plan.need.strip_safety,
            ligament=None, seat_depth=None, because=(*why, *plan.notes),
        )  # fmt: skip
    ligament = _ligament(thinking, plan, design)
    said = [*plan.need.reasons, *design.reasons, *plan.notes, *design.cautions]
    if ligament is not None:
        said.append(f"last pin beside the bore: {ligament.state}")
    return Insert(
        hole=plan.number,
        needed=True,
        kind=design.kind,
        outside_thread=design.outside_thread,
        length=mm(design.length_mm),
        bore=mm(design.bore_mm),
        tap_drill=mm(design.tap_drill.diameter_mm),
        strip_safety=round(design.strip_safety, 2),
        ligament=mm(ligament.ligament_mm) if ligament else None,
        seat_depth=mm(sum(design.seat_depth_mm) / 2),
        because=tuple(dict.fromkeys(said)),
    )


def _ligament(thinking: Thinking, plan: HolePlan, design: InsertDesign) -> BoreLigament | None:
    """The pin of the row that stands nearest to the bore, where the row is laid."""
    seam = thinking.objects.get("seam")
    if thinking.word("method") not in STITCHED or not isinstance(seam, SeamDesign):
        return None
    bores = thinking.objects.get("insert_bores")
    assert isinstance(bores, tuple)
    numbers = [index for index, _ in bores]
    if plan.number - 1 not in numbers or len(seam.bores) != len(bores):
        return None
    bore = seam.bores[numbers.index(plan.number - 1)]
    distance = min(math.dist((bore.x, bore.y), (pin.x, pin.y)) for pin in seam.layout.pins)
    diameter = seam.choice.pin.diameter
    return last_pin(distance, design.outside_diameter_mm, diameter, plan.hole.crack_enters)


def heat(thinking: Thinking) -> Heat | None:
    """How the casting is heated, filled and cooled, where the method is hot."""
    if thinking.word("hot_method") != "yes":
        return None
    filler = thinking.word("filler")
    preheat, formula = _number(thinking, "preheat_min"), _number(thinking, "preheat_by_formula")
    if formula is not None and (preheat is None or formula > preheat):
        preheat = formula
    names = ("filler", "preheat_min", "interpass_max", "postheat", "cooling")
    because = [rule for name in names for rule in thinking.facts[name].by]
    return Heat(
        process=thinking.word("method") or "",
        filler=None if filler in (None, "none") else filler,
        preheat_min=_given(preheat, "degC"),
        interpass_max=_given(_number(thinking, "interpass_max"), "degC"),
        postheat=thinking.word("postheat") or "not known",
        cooling=thinking.word("cooling") or "not known",
        energy=_given(_number(thinking, "heating_energy"), "kWh"),
        heating_rate_max=_given(_number(thinking, "heating_rate_max"), "K/h"),
        cooling_rate_max=_given(_number(thinking, "cooling_rate_max"), "K/h"),
        stress_relief_temperature=_given(_number(thinking, "stress_relief_temperature"), "degC"),
        because=tuple(dict.fromkeys(because)),
    )


def _number(thinking: Thinking, name: str) -> float | None:
    value = thinking.values[name]
    return value.high if isinstance(value, Number) and value.known else None


def _given(value: float | None, unit: str) -> Quantity | None:
    return None if value is None else quantity(round(value, 1), unit)
