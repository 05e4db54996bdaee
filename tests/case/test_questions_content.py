"""The questionnaire as data: every id and choice, and what each entry must say."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.case.quantities import DIMENSIONS, parse_measure
from advisor.case.questions import load_questionnaire
from advisor.case.yaml_text import read_yaml
from advisor.reasoning.conditions import ALWAYS, Condition, evaluate, facts_read
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.rules import RuleContext, parse_when
from advisor.reasoning.values import Value, members, word
from advisor.reasoning.vocabulary import ANSWERS, FactKind, Vocabulary

KNOWLEDGE = Path(__file__).parents[2] / "knowledge"
FOLDER = KNOWLEDGE / "questions"
SOURCE_LIST = KNOWLEDGE / "sources.yaml"

# The vocabulary of a case, typed out: id, type, dimension, choices. Case files are written
# against it, so a changed spelling here is a broken promise and not a refactoring.
VOCABULARY: dict[str, tuple[str, str | None, str]] = {
    # part and authority
    "part_kind": (
        "choice",
        None,
        "engine_block cylinder_head manifold pump_housing compressor_housing turbine_housing "
        "valve_body pipe_fitting gearbox_housing bearing_housing machine_bed press_frame bracket "
        "gear flywheel pulley brake_part steering_part lifting_part boiler_section radiator "
        "stove_part ornamental propeller_part structural_part other",
    ),
    "governed_by": (
        "several",
        None,
        "pressure_equipment_law boiler_law lifting_law vehicle_safety aviation nuclear "
        "marine_class food_or_potable none",
    ),
    "failure_consequence": ("choice", None, "nuisance loss_of_use injury"),
    "rim_speed": ("measure", "speed", ""),
    "replacement": ("choice", None, "in_stock long_lead obsolete"),
    "repair_intent": ("choice", None, "permanent temporary"),
    "part_mass": ("measure", "mass", ""),
    # material
    "material": (
        "choice",
        None,
        "gray_iron ductile_iron compacted_graphite_iron malleable_iron white_iron "
        "austenitic_iron cast_steel stainless_cast_steel aluminium_alloy copper_alloy "
        "magnesium_alloy zinc_alloy",
    ),
    "material_grade": ("grade", None, ""),
    "material_evidence": (
        "choice",
        None,
        "certificate_or_mark spectrometer workshop_tests guess",
    ),
    "hardness": ("number", "hardness", ""),
    "composition": ("mapping", None, ""),
    "tensile_strength": ("measure", "stress", ""),
    "cast_year": ("number", "year", ""),
    "base_condition": (
        "several",
        None,
        "sound oil_soaked burnt graphitic_corrosion porous welded_before brazed_before "
        "stitched_before resin_filled",
    ),
    # evidence from the bench
    "magnet": ("choice", None, "strong weak none"),
    "chip_test": ("choice", None, "crumbles short_curls long_curls"),
    "ring_test": ("choice", None, "dull rings"),
    "file_test": ("choice", None, "cuts skates"),
    "spark_test": ("choice", None, "short_reddish medium long_bright none"),
    "fracture_face": (
        "choice",
        None,
        "dark_gray bright_crystals silvery_white rings rusted_or_oiled",
    ),
    "ultrasonic_velocity": ("measure", "speed", ""),
    "ultrasonic_set_velocity": ("measure", "speed", ""),
    "graphitic_depth": ("measure", "length", ""),
    "heat_checks": ("choice", None, "none few many"),
    # crack
    "crack_location": (
        "choice",
        None,
        "flat_wall curved_wall rib wall_to_rib flange boss bolt_hole cylinder_bore valve_seat "
        "port water_jacket bearing_saddle gear_tooth hub corner",
    ),
    "crack_length": ("measure", "length", ""),
    "crack_depth": ("choice", None, "through partial"),
    "crack_ends_found": ("choice", None, "penetrant magnetic_particle visual_only no"),
    "crack_branches": ("number", "number", ""),
    "crack_count": ("number", "number", ""),
    "crack_moves": ("measure", "length", ""),
    "crack_faces_offset": ("measure", "length", ""),
    "missing_metal": ("yes_no", None, ""),
    "crack_cause": (
        "choice",
        None,
        "freezing overheating overload impact fatigue over_tightening casting_defect corrosion",
    ),
    "cause_removed": ("yes_no", None, ""),
    "crack_path": ("list", None, ""),
    "machined_face_role": ("choice", None, "none gasket_face bearing_seat guideway sealing_bore"),
    "face_out_of_flat": ("measure", "length", ""),
    "access": ("choice", None, "one_side both_sides"),
    "behind_wall": ("choice", None, "open coolant oil gas solid_metal"),
    # wall
    "wall_thickness": ("measure", "length", ""),
    "wall_thickness_max": ("measure", "length", ""),
    "wall_measured_by": ("choice", None, "ultrasonic calliper drawing guess"),
    "wall_radius": ("measure", "length", ""),
    # nearby features
    "holes": ("list", None, ""),
    "nearest_edge": ("measure", "length", ""),
    "nearest_passage": ("measure", "length", ""),
    # service
    "pressure": ("measure", "pressure", ""),
    "fluid": (
        "choice",
        None,
        "none water coolant oil air steam gas refrigerant fuel corrosive vacuum",
    ),
    "temperature_max": ("measure", "temperature", ""),
    "temperature_min": ("measure", "temperature", ""),
    "thermal_cycling": ("choice", None, "none slow rapid"),
    "load": ("choice", None, "none static cyclic shock"),
    "nominal_stress": ("measure", "stress", ""),
    "span": ("measure", "length", ""),
    "leak_tight": ("yes_no", None, ""),
    # shop
    "site": ("choice", None, "workshop on_site"),
    "heat_allowed": ("choice", None, "full local none"),
    "distortion": ("choice", None, "free limited none"),
    "processes": (
        "several",
        None,
        "drill_tap arc tig oxyfuel furnace machining penetrant magnetic_particle ultrasonic "
        "pressure_test",
    ),
    "welder_qualified": ("yes_no", None, ""),
    "hazards": (
        "several",
        None,
        "none lead_paint asbestos_lagging fuel_or_gas_residue sealed_cavity stored_pressure "
        "molten_metal_service high_pressure_oil",
    ),
    "strength_target": ("measure", "ratio", ""),
}

# The members of the answers that have parts: id, type, dimension, choices.
MEMBERS: dict[str, dict[str, tuple[str, str | None, str]]] = {
    "crack_path": {
        "x": ("measure", "length", ""),
        "y": ("measure", "length", ""),
        "wall": ("measure", "length", ""),
        "surface": ("choice", None, "rough machined"),
        "z": ("measure", "length", ""),
    },
    "holes": {
        "thread": ("text", None, ""),
        "depth": ("measure", "length", ""),
        "distance": ("measure", "length", ""),
        "edge_distance": ("measure", "length", ""),
        "condition": ("choice", None, "good worn stripped corroded"),
        "damaged_length": ("measure", "length", ""),
        "bolt_class": ("text", None, ""),
        "at": ("measure", "length", ""),
    },
    "composition": dict.fromkeys(
        ["C", "Si", "Mn", "P", "S", "Cr", "Ni", "Mo", "V", "Cu", "Mg"],
        ("measure", "mass_fraction", ""),
    ),
}

TITLES = {
    "part": "Part and authority",
    "material": "Material",
    "bench": "Evidence from the bench",
    "crack": "Crack",
    "wall": "Wall",
    "features": "Nearby features",
    "service": "Service",
    "shop": "Shop",
}
MARKS = {"read", "read2", "memory", "practice", "computed"}
FILES = sorted(FOLDER.glob("*.yaml"))
SOURCES = set(yaml.load(SOURCE_LIST.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)["sources"])


def plain(path: Path) -> dict[str, Any]:
    # Every scalar stays text, as in the program's own reader: `no` is a word here.
    data = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    assert isinstance(data, dict)
    return data


QUESTIONS: dict[str, dict[str, Any]] = {
    entry["id"]: entry for path in FILES for entry in plain(path)["questions"]
}
each_question = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))


def words(choices: list[dict[str, str]]) -> list[str]:
    return [choice["id"] for choice in choices]


def sentences(text: str) -> int:
    return len(re.findall(r"[.?](?= [A-Z]|$)", text))


def test_groups_stand_in_their_order_and_ids_are_unique() -> None:
    groups = [plain(path)["group"] for path in FILES]
    assert {group["id"]: group["title"] for group in groups} == TITLES
    assert [int(group["order"]) for group in groups] == [
        int(path.name.split("-")[0]) for path in FILES
    ]
    ids = [entry["id"] for path in FILES for entry in plain(path)["questions"]]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", VOCABULARY)
def test_vocabulary_keeps_its_spelling(name: str) -> None:
    kind, dimension, choices = VOCABULARY[name]
    question = QUESTIONS[name]
    assert question["type"] == kind
    assert question.get("dimension") == dimension
    assert words(question.get("choices", [])) == choices.split()


@pytest.mark.parametrize("name", MEMBERS)
def test_members_keep_their_spelling(name: str) -> None:
    fields = {field["id"]: field for field in QUESTIONS[name]["fields"]}
    assert list(fields) == list(MEMBERS[name])
    for member, (kind, dimension, choices) in MEMBERS[name].items():
        assert fields[member]["type"] == kind
        assert fields[member].get("dimension") == dimension
        assert words(fields[member].get("choices", [])) == choices.split()
        assert fields[member]["text"]


@each_question
def test_question_says_what_why_and_how(question: dict[str, Any]) -> None:
    how = question["how"]
    assert question["text"].endswith("?")
    assert sentences(question["text"]) == 1
    assert 1 <= sentences(question["why"]) <= 2
    assert 1 <= sentences(how["steps"]) <= 4
    assert how["tool"]
    assert how["uncertainty"].endswith(".")
    assert int(how["effort"]) > 0
    assert how["mark"] in MARKS
    assert how["source"]
    assert set(how["source"]) <= SOURCES
    if how["source"] == ["PRACTICE"]:
        assert how["mark"] == "practice"


@each_question
def test_choices_and_members_explain_themselves(question: dict[str, Any]) -> None:
    assert ("choices" in question) == (question["type"] in {"choice", "several"})
    assert ("fields" in question) == (question["type"] in {"list", "mapping"})
    lists = [question.get("choices", [])]
    for field in question.get("fields", []):
        assert set(field) <= {"id", "type", "dimension", "text", "choices", "optional"}
        lists.append(field.get("choices", []))
    for choices in lists:
        for choice in choices:
            assert set(choice) == {"id", "label", "means"}
            assert choice["label"]
            assert len(choice["means"].split()) >= 3
        assert len({choice["means"] for choice in choices}) == len(choices)


@each_question
def test_dimensioned_question_gives_examples_in_its_own_units(question: dict[str, Any]) -> None:
    if "dimension" not in question:
        assert ("unit_examples" in question) == (question["type"] in {"list", "mapping"})
        return
    assert question["dimension"] in DIMENSIONS
    assert question["unit_examples"]
    for example in question["unit_examples"]:
        parse_measure(example, question["dimension"])


# When a question is asked -----------------------------------------------------------------------

FACT_TYPES = {
    "choice": "word",
    "yes_no": "word",
    "grade": "word",
    "several": "members",
    "measure": "number",
    "number": "number",
}


def kind_of(question: dict[str, Any]) -> FactKind:
    choices = words(question.get("choices", [])) or ["yes", "no"]
    kind: Any = FACT_TYPES[question["type"]]
    return FactKind(question["id"], kind, choices=tuple(choices))


KINDS = [kind_of(question) for question in QUESTIONS.values() if question["type"] in FACT_TYPES]
CONTEXT = RuleContext(
    Vocabulary(["ask"], KINDS), {}, frozenset(), frozenset(), lambda *place: "no table"
)


def ask_conditions() -> dict[str, Condition]:
    found: dict[str, Condition] = {}
    for path in FILES:
        top = Cursor.top(read_yaml(path))
        for entry in top["questions"].items():
            given = entry.entries()
            condition = given.get("ask_when")
            found[given["id"].text()] = (
                parse_when(condition, CONTEXT, ANSWERS + 1) if condition else ALWAYS
            )
    return found


def asked(name: str, **answers: Value) -> bool:
    """A question is asked unless its condition is certainly false."""
    facts = {kind.name: kind.open for kind in KINDS} | answers
    return evaluate(ask_conditions()[name], facts).possible


def test_nothing_is_hidden_while_nothing_is_known() -> None:
    hidden = [name for name in QUESTIONS if not asked(name)]
    # How sure the material is, and whether the cause is cured, mean nothing before their premise.
    assert hidden == ["material_evidence", "cause_removed"]


def test_conditions_speak_only_of_earlier_questions() -> None:
    order = list(QUESTIONS)
    for name, condition in ask_conditions().items():
        assert facts_read(condition) <= set(order[: order.index(name)]), name


CERTIFIED = {"material_evidence": word("certificate_or_mark")}


@pytest.mark.parametrize(
    ("name", "answers", "expected"),
    [
        ("rim_speed", {"part_kind": word("machine_bed")}, False),
        ("rim_speed", {"part_kind": word("flywheel")}, True),
        ("rim_speed", {"part_kind": word("other")}, True),
        ("material_evidence", {"material": word("gray_iron")}, True),
        # A guess that the part is steel must not hide the search for a graphitised skin.
        ("graphitic_depth", {"material": word("cast_steel")}, True),
        (
            "graphitic_depth",
            {"material": word("cast_steel"), "material_evidence": word("guess")},
            True,
        ),
        ("graphitic_depth", {"material": word("cast_steel")} | CERTIFIED, False),
        ("graphitic_depth", {"material": word("gray_iron")} | CERTIFIED, True),
        ("cause_removed", {"crack_cause": word("freezing")}, True),
        ("crack_path", {"part_kind": word("brake_part")}, False),
        ("crack_path", {"material": word("white_iron")} | CERTIFIED, False),
        ("crack_path", {"material": word("white_iron")}, True),
        ("face_out_of_flat", {"machined_face_role": word("none")}, False),
        ("face_out_of_flat", {"machined_face_role": word("gasket_face")}, True),
        ("ultrasonic_set_velocity", {"wall_measured_by": word("calliper")}, False),
        ("ultrasonic_set_velocity", {"wall_measured_by": word("ultrasonic")}, True),
        ("wall_radius", {"crack_location": word("flat_wall")}, False),
        ("wall_radius", {"crack_location": word("corner")}, True),
        ("pressure", {"fluid": word("none")}, False),
        ("pressure", {"fluid": word("vacuum")}, True),
        ("span", {"fluid": word("none")}, False),
        ("welder_qualified", {"heat_allowed": word("none")}, False),
        ("welder_qualified", {"processes": members("drill_tap", "penetrant")}, False),
        ("welder_qualified", {"processes": members("drill_tap", "oxyfuel")}, True),
        (
            "welder_qualified",
            {"processes": members("arc"), "heat_allowed": word("none")},
            False,
        ),
    ],
)
def test_question_is_asked_where_its_answer_can_matter(
    name: str, answers: dict[str, Value], expected: bool
) -> None:
    assert asked(name, **answers) is expected


# The loader, and what published sources say ------------------------------------------------------


def test_loader_takes_the_files() -> None:
    questionnaire = load_questionnaire(FOLDER)
    assert [question.id for question in questionnaire] == list(QUESTIONS)


@pytest.mark.parametrize("name", MEMBERS)
def test_examples_of_answers_with_parts_can_be_read(name: str) -> None:
    for example in QUESTIONS[name]["unit_examples"]:
        for member, value in yaml.load(example, Loader=yaml.BaseLoader).items():
            kind, dimension, choices = MEMBERS[name][member]
            if kind == "measure":
                assert dimension
                parse_measure(value, dimension)
            elif choices:
                assert value in choices.split()


def test_sound_velocities_and_the_errors_they_cause() -> None:
    # ASTM E494, Table X3.1 (read second-hand): steel 5900 m/s, cast iron 3500 to 5600 m/s. A gauge
    # shows true thickness times set velocity over true velocity.
    text = QUESTIONS["wall_measured_by"]["how"]["uncertainty"]
    for true, percent in ((4800, 23), (4600, 28), (3500, 69)):
        assert round(100 * (5900 / true - 1)) == percent
        assert f"{percent} %" in text
        assert f"{true} m/s" in text
    why = QUESTIONS["ultrasonic_set_velocity"]["why"]
    assert round(10.3 * 4600 / 5900, 1) == 8.0
    assert all(number in why for number in ("5900 m/s", "4600 m/s", "10.3 mm", "8.0 mm"))


@pytest.mark.parametrize(
    ("name", "said"),
    [
        # ASTM E10, clause 7 (excerpt read): 3 diameters apart, 2.5 from an edge.
        ("hardness", "3 diameters apart and 2.5 from any edge"),
        # EN 1561, EN-GJL-200, strength in the casting (read second-hand): 10 to 20 mm 180 MPa,
        # 40 to 80 mm 130 MPa.
        ("tensile_strength", "180 MPa in a wall of 10 to 20 mm, 130 MPa at 40 to 80 mm"),
        # EN 1561, Annex A (read second-hand): 78 GPa, least of grade 150, to 143, most of 350.
        ("nominal_stress", "from 78 to 143 GPa"),
        # ASME BPVC Section V, Article 6, Table T-672 (read in copies): 10 to 52 degC, developer at
        # least 10 min. US T.O. 33B-1-1 (read): at least 30 min dwell for cracks from service.
        ("crack_ends_found", "10 to 52 degC"),
        ("crack_ends_found", "30 minutes of penetrant"),
        ("crack_ends_found", "10 minutes or more"),
        # Spark testing, encyclopedia article (read): wheel speed at least 23 m/s.
        ("spark_test", "23 m/s or more"),
        # ASTM E494 as quoted (read second-hand): up to 5 % between set-ups.
        ("ultrasonic_velocity", "+/- 5 %"),
        # Pressure Systems Safety Regulations 2000 (guide read): relevant fluid above 0.5 bar.
        ("governed_by", "0.5 bar gauge"),
        # ASME BPVC Section IX, QW-322 (read second-hand): six months.
        ("welder_qualified", "six months"),
        # ASME BPVC Section V, Article 7, T-762 (read in a transcription): AC 4.5 kg, DC 18 kg.
        ("processes", "4.5 kg on AC or 18 kg on DC"),
    ],
)
def test_figures_of_published_sources(name: str, said: str) -> None:
    question = QUESTIONS[name]
    texts = [*question["how"].values(), *(each["means"] for each in question.get("choices", []))]
    assert any(said in text for text in texts)
