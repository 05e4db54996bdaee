"""Cases made up at random, most of them such as a shop would see: many of them may be repaired."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

from advisor.advice.rulebook import Rulebook
from advisor.case.model import Answer, Case
from advisor.case.reading import read_answer

Weighted = Mapping[Any, float]

_PART: Weighted = {
    "engine_block": 5, "cylinder_head": 2, "pump_housing": 6, "gearbox_housing": 5,
    "bearing_housing": 4, "machine_bed": 5, "bracket": 3, "valve_body": 1, "manifold": 2,
    "press_frame": 1, "pulley": 0.5, "flywheel": 0.3, "radiator": 1, "stove_part": 1,
    "ornamental": 2, "other": 3, "boiler_section": 0.2, "lifting_part": 0.2, "pipe_fitting": 1,
    "compressor_housing": 0.7, "propeller_part": 0.1, "brake_part": 0.2,
}  # fmt: skip
_MATERIAL: Weighted = {
    "gray_iron": 12, "ductile_iron": 4, "compacted_graphite_iron": 1, "malleable_iron": 1,
    "austenitic_iron": 0.5, "cast_steel": 4, "stainless_cast_steel": 1, "aluminium_alloy": 4,
    "copper_alloy": 1, "white_iron": 0.2, "zinc_alloy": 0.2, "magnesium_alloy": 0.2,
}  # fmt: skip
_BENCH: Mapping[str, Mapping[str, str]] = {
    "gray_iron": {"magnet": "strong", "chip_test": "crumbles", "ring_test": "dull",
                  "spark_test": "short_reddish", "fracture_face": "dark_gray"},
    "ductile_iron": {"magnet": "strong", "chip_test": "short_curls", "ring_test": "rings",
                     "spark_test": "medium", "fracture_face": "bright_crystals"},
    "compacted_graphite_iron": {"magnet": "strong", "chip_test": "short_curls"},
    "malleable_iron": {"magnet": "strong", "chip_test": "short_curls", "ring_test": "rings"},
    "austenitic_iron": {"magnet": "none", "chip_test": "crumbles"},
    "cast_steel": {"magnet": "strong", "chip_test": "long_curls", "ring_test": "rings",
                   "spark_test": "long_bright"},
    "stainless_cast_steel": {"magnet": "none", "chip_test": "long_curls"},
    "aluminium_alloy": {"magnet": "none", "chip_test": "long_curls", "spark_test": "none"},
    "copper_alloy": {"magnet": "none", "chip_test": "short_curls", "spark_test": "none"},
}  # fmt: skip
_SOUND: Mapping[str, tuple[int, ...]] = {
    "gray_iron": (4600, 4800, 5700),
    "ductile_iron": (5550, 5600, 4900),
}
_GRADES: Mapping[str, tuple[str, ...]] = {
    "gray_iron": ("EN-GJL-200", "EN-GJL-250"),
    "ductile_iron": ("EN-GJS-400-15", "EN-GJS-500-7"),
}
_ALL = ("drill_tap", "arc", "tig", "oxyfuel", "furnace", "machining", "penetrant",
        "magnetic_particle", "ultrasonic", "pressure_test")  # fmt: skip


def plausible_case(rulebook: Rulebook, seed: int) -> Case:
    """A made-up case; the same for the same seed."""
    rng = _Calm(seed) if seed % 3 else random.Random(seed)
    plain = _plain(rng)
    for name in list(plain):
        if rng.random() < 0.02:
            plain[name] = None if rng.random() < 0.7 else "unknown"
    grades = tuple(rulebook.knowledge.tables["grades"].rows)
    questions = rulebook.questionnaire.by_id
    answers = {
        name: Answer(read_answer(questions[name], value, grades))
        for name, value in plain.items()
        if value is not None
    }
    return Case(reference=f"made-up {seed}", title="", notes="", answers=answers)


class _Calm(random.Random):
    """Chance that leans to the usual."""


def _pick(rng: random.Random, choices: Weighted) -> Any:
    power = 2.0 if isinstance(rng, _Calm) else 1.0
    weights = [weight**power for weight in choices.values()]
    return rng.choices(list(choices), weights=weights)[0]


def _mm(value: float) -> str:
    return f"{value:.4g} mm"


def _plain(rng: random.Random) -> dict[str, Any]:
    material = _pick(rng, _MATERIAL)
    answers = {
        **_job(rng),
        **_metal(rng, material),
        **_crack(rng),
        **_wall(rng),
        **_service(rng),
        **_shop(rng),
    }
    wet = answers["fluid"] in ("water", "coolant") and answers["behind_wall"] == "coolant"
    if answers["crack_cause"] == "freezing" and not wet:
        answers["crack_cause"] = "overload"
    if answers["part_kind"] == "other":
        answers["rim_speed"] = "0 m/s"
    return answers


def _job(rng: random.Random) -> dict[str, Any]:
    return {
        "part_kind": _pick(rng, _PART),
        "governed_by": [
            _pick(rng, {"none": 30, "food_or_potable": 2, "pressure_equipment_law": 1})
        ],
        "failure_consequence": _pick(rng, {"nuisance": 4, "loss_of_use": 6, "injury": 1}),
        "replacement": _pick(rng, {"in_stock": 2, "long_lead": 5, "obsolete": 3}),
        "repair_intent": _pick(rng, {"permanent": 6, "temporary": 1}),
    }  # fmt: skip


def _metal(rng: random.Random, material: str) -> dict[str, Any]:
    evidence = _pick(
        rng, {"certificate_or_mark": 4, "spectrometer": 4, "workshop_tests": 5, "guess": 0.5}
    )
    answers: dict[str, Any] = {"material": material, "material_evidence": evidence}
    if material in _GRADES and rng.random() < 0.4:
        answers["material_grade"] = rng.choice(_GRADES[material])
    for test, found in _BENCH.get(material, {}).items():
        if rng.random() < 0.8:
            answers[test] = found
    if rng.random() < 0.8 and material != "white_iron":
        answers["file_test"] = "cuts"
    if rng.random() < 0.4:
        answers["hardness"] = f"{rng.choice([90, 160, 190, 220, 260, 320])} HBW"
    if rng.random() < 0.15:
        answers["magnet"] = rng.choice(["strong", "weak", "none"])
    answers["base_condition"] = [
        _pick(rng, {"sound": 12, "oil_soaked": 3, "porous": 1, "welded_before": 1,
                    "graphitic_corrosion": 0.7, "stitched_before": 0.4, "burnt": 0.3})
    ]  # fmt: skip
    if rng.random() < 0.15:
        answers["ultrasonic_velocity"] = f"{rng.choice(_SOUND.get(material, (4600, 5900)))} m/s"
    if rng.random() < 0.2:
        answers["cast_year"] = str(rng.choice([1905, 1938, 1962, 1985, 2004]))
    if material == "cast_steel" and rng.random() < 0.6:
        answers["composition"] = {
            "C": "0.22 %", "Si": "0.4 %", "Mn": "0.8 %", "P": "0.02 %", "S": "0.02 %",
            "Cr": "0.1 %", "Ni": "0.1 %", "Mo": "0.03 %", "V": "0.01 %", "Cu": "0.1 %",
        }  # fmt: skip
    return answers


def _crack(rng: random.Random) -> dict[str, Any]:
    cause = _pick(
        rng,
        {"freezing": 5, "overload": 3, "impact": 3, "casting_defect": 2, "over_tightening": 2,
         "overheating": 2, "fatigue": 1, "corrosion": 1},
    )  # fmt: skip
    location = _pick(
        rng,
        {"flat_wall": 8, "curved_wall": 4, "water_jacket": 5, "rib": 2, "wall_to_rib": 1,
         "flange": 2, "boss": 1, "bolt_hole": 2, "corner": 1, "cylinder_bore": 1,
         "valve_seat": 0.5, "bearing_saddle": 0.5},
    )  # fmt: skip
    answers = {
        "crack_location": location,
        "crack_length": _mm(rng.choice([0.8, 6, 25, 60, 90, 120, 180, 260, 420])),
        "crack_depth": _pick(rng, {"through": 5, "partial": 1}),
        "crack_ends_found": _pick(
            rng, {"penetrant": 8, "magnetic_particle": 3, "visual_only": 1, "no": 0.3}
        ),
        "crack_branches": str(_pick(rng, {0: 8, 1: 3, 2: 1, 3: 0.5, 6: 0.2})),
        "crack_count": str(_pick(rng, {1: 8, 2: 2, 4: 0.5})),
        "crack_faces_offset": _mm(_pick(rng, {0: 5, 0.3: 3, 0.8: 1, 2.5: 0.3})),
        "missing_metal": _pick(rng, {"no": 12, "yes": 1}),
        "crack_cause": cause,
        "cause_removed": _pick(rng, {"yes": 9, "no": 1}),
        "machined_face_role": _pick(rng, {"none": 8, "gasket_face": 2, "bearing_seat": 1}),
        "access": _pick(rng, {"one_side": 1, "both_sides": 1}),
        "behind_wall": _pick(rng, {"open": 4, "coolant": 4, "oil": 2, "solid_metal": 1, "gas": 1}),
    }
    if rng.random() < 0.7:
        answers["crack_moves"] = _mm(_pick(rng, {0: 8, 0.03: 1, 0.2: 0.3}))
    return answers


def _wall(rng: random.Random) -> dict[str, Any]:
    wall = rng.choice([3.2, 4.5, 6, 8, 9, 12, 16, 24, 40])
    by = _pick(rng, {"calliper": 5, "ultrasonic": 5, "drawing": 1, "guess": 0.4})
    answers: dict[str, Any] = {
        "wall_thickness": _mm(wall),
        "wall_thickness_max": _mm(wall * rng.choice([1, 1.3, 2.5])),
        "wall_measured_by": by,
        "wall_radius": _mm(rng.choice([40, 120, 400])) if rng.random() < 0.3 else None,
        "holes": [],
        "nearest_edge": _mm(rng.choice([3, 15, 40, 80, 200])),
        "nearest_passage": _mm(rng.choice([3, 10, 40])),
    }
    if by == "ultrasonic" and rng.random() < 0.8:
        answers["ultrasonic_set_velocity"] = f"{rng.choice([4600, 5900])} m/s"
    if rng.random() < 0.25:
        answers["holes"] = [
            {
                "thread": rng.choice(["M10", "M16x2", "1/2-13 UNC"]),
                "depth": "30 mm",
                "distance": _mm(rng.choice([4, 8, 30])),
                "edge_distance": _mm(rng.choice([12, 40])),
                "condition": rng.choice(["good", "worn", "stripped"]),
                "bolt_class": rng.choice(["8.8", "10.9"]),
                "at": "0 mm",
            }
        ]
    return answers


def _service(rng: random.Random) -> dict[str, Any]:
    fluid = _pick(
        rng,
        {"none": 6, "water": 4, "coolant": 4, "oil": 4, "air": 1, "steam": 0.2, "gas": 0.2,
         "corrosive": 0.3},
    )  # fmt: skip
    answers: dict[str, Any] = {
        "fluid": fluid,
        "temperature_max": f"{_pick(rng, {40: 5, 70: 4, 95: 4, 110: 2, 180: 1, 320: 1})} degC",
        "temperature_min": f"{_pick(rng, {-30: 1, -10: 3, 5: 5, 15: 5})} degC",
        "thermal_cycling": _pick(rng, {"none": 4, "slow": 5, "rapid": 1}),
        "load": _pick(rng, {"none": 6, "static": 4, "cyclic": 1, "shock": 0.6}),
        "leak_tight": "no" if fluid == "none" else "yes",
        "span": _mm(rng.choice([80, 150, 300])),
    }
    if fluid != "none":
        bar = _pick(rng, {0: 2, 0.4: 4, 0.9: 4, 1.5: 4, 3: 3, 6: 1, 12: 1})
        answers["pressure"] = f"{bar} bar"
    if answers["load"] != "none" and rng.random() < 0.5:
        answers["nominal_stress"] = f"{rng.choice([2, 8, 25])} MPa"
    return answers


def _shop(rng: random.Random) -> dict[str, Any]:
    processes = [process for process in _ALL if rng.random() < 0.85]
    answers: dict[str, Any] = {
        "site": _pick(rng, {"workshop": 4, "on_site": 1}),
        "heat_allowed": _pick(rng, {"full": 4, "local": 3, "none": 4}),
        "distortion": _pick(rng, {"free": 3, "limited": 4, "none": 2}),
        "processes": processes or ["drill_tap"],
        "welder_qualified": _pick(rng, {"yes": 4, "no": 1}),
        "hazards": [_pick(rng, {"none": 15, "lead_paint": 1, "sealed_cavity": 0.5,
                                "stored_pressure": 0.5, "high_pressure_oil": 0.3})],
    }  # fmt: skip
    if rng.random() < 0.3:
        answers["strength_target"] = rng.choice(["0", "0.2", "0.4"])
    return answers
