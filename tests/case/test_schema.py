"""The JSON Schema: a draft 2020-12 schema that takes good cases and refuses bad ones."""

from __future__ import annotations

import json
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from advisor.case.questions import Questionnaire
from advisor.case.reading import parse_case
from advisor.case.schema import case_schema

GRADES = ("EN-GJL-250", "ASTM A48 class 30")


@pytest.fixture(scope="module")
def validator(questionnaire: Questionnaire) -> Draft202012Validator:
    return Draft202012Validator(case_schema(questionnaire, GRADES))


def faults(validator: Draft202012Validator, data: Any) -> list[str]:
    return [error.message for error in validator.iter_errors(data)]


def test_it_is_a_schema_and_json(questionnaire: Questionnaire) -> None:
    schema = case_schema(questionnaire, GRADES)
    Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema
    answers = schema["properties"]["answers"]
    assert list(answers["properties"]) == list(questionnaire.by_id)
    assert answers["additionalProperties"] is False
    assert schema["additionalProperties"] is False


def test_an_editor_finds_the_words_of_the_question(questionnaire: Questionnaire) -> None:
    answers = case_schema(questionnaire, GRADES)["properties"]["answers"]["properties"]
    part = answers["part_kind"]
    assert part["enum"] == ["pump_housing", "machine_bed", "unknown"]
    assert part["description"].startswith("What is it?\n\nIt decides who may agree.")
    assert "- pump_housing: holds the water" in part["description"]
    assert answers["material_grade"]["enum"] == [*GRADES, "unknown"]
    assert answers["wall_thickness"]["examples"] == ["9 mm", "3/8 in"]


GOOD = [
    "part_kind: pump_housing",
    "governed_by: [boiler_law, nuclear]",
    "governed_by: [none]",
    "governed_by: none",
    "processes: []",
    "missing_metal: no",
    "missing_metal: yes",
    "missing_metal: true",
    "cast_year: 1956",
    "cast_year: 1950 .. 1960",
    "crack_count: 2",
    "hardness: 210 HBW +/- 10",
    "hardness: 210",
    "material_grade: EN-GJL-250",
    "marks: 17",
    "wall_thickness: 9 mm",
    "wall_thickness: 3/8 in",
    "wall_thickness: 1-3/8 in",
    'wall_thickness: 0.375"',
    "wall_thickness: 9 +/- 1 mm",
    "wall_thickness: 9 mm +/- 10 %",
    "wall_thickness: 8 .. 10 mm",
    "wall_thickness: 8 mm .. 10 mm",
    "temperature_max: -20 degC",
    "temperature_max: 350 °F +/- 5 K",
    "pressure: 2.5 bar",
    "nominal_stress: 12 N/mm2",
    "strength_target: 60 %",
    "strength_target: 0.6",
    "composition: {C: 3.3, Si: unknown}",
    "crack_path: [{x: 0 mm, y: 0 mm}, {x: 9 mm, y: 0 mm, wall: 9 mm}]",
    "holes: []",
    "holes: [{thread: M16x2, depth: 30 mm, condition: worn, bolt_class: 8.8}]",
    "holes: [{thread: unknown, depth: unknown}]",
]


@pytest.mark.parametrize("answer", GOOD)
def test_good_answers(
    answer: str, validator: Draft202012Validator, questionnaire: Questionnaire
) -> None:
    text = f"case: J-1\ntitle: T\nnotes: N\nanswers: {{{answer}}}\n"
    assert faults(validator, yaml.safe_load(text)) == []
    parse_case(text, "f", questionnaire, GRADES)


BAD = [
    "part_kind: pump",
    "colour: red",
    "governed_by: [none, nuclear]",
    "governed_by: [nuclear, nuclear]",
    "governed_by: []",
    "missing_metal: maybe",
    "cast_year: 20023",
    "crack_count: 1.5",
    "crack_count: -1",
    "hardness: 21 HRC",
    "material_grade: EN-GJL-25",
    "wall_thickness: 9",
    'wall_thickness: "9"',
    "wall_thickness: 9 kg",
    'wall_thickness: "9,5 mm"',
    "wall_thickness: 8 .. 10",
    "wall_thickness: nine mm",
    "temperature_max: 180 bar",
    "strength_target: 60",
    "composition: {Fe: 90 %}",
    "composition: {}",
    "crack_path: [{x: 0 mm, y: 0 mm}]",
    "crack_path: [{x: 0 mm, y: 0 mm}, {x: 9 mm}]",
    "holes: {thread: M8}",
    "holes: [{depth: 9 mm}]",
    "holes: [{thread: M8, condition: god}]",
    "holes: [{thread: M8, colour: red}]",
]


@pytest.mark.parametrize("answer", BAD)
def test_bad_answers(
    answer: str, validator: Draft202012Validator, questionnaire: Questionnaire
) -> None:
    text = f"case: J-1\nanswers: {{{answer}}}\n"
    assert faults(validator, yaml.safe_load(text)) != []
    with pytest.raises(Exception, match="found"):
        parse_case(text, "f", questionnaire, GRADES)


@pytest.mark.parametrize(
    "text", ["answers: {}", "case: J", "case: J\nanswer: {}\nanswers: {}", "case: J\nanswers: [a]"]
)
def test_bad_headings(text: str, validator: Draft202012Validator) -> None:
    assert faults(validator, yaml.safe_load(text)) != []


def test_every_question_takes_unknown(own_questionnaire: Questionnaire) -> None:
    validator = Draft202012Validator(case_schema(own_questionnaire, GRADES))
    data = {"case": "J", "answers": {question.id: "unknown" for question in own_questionnaire}}
    assert faults(validator, data) == []


def test_the_examples_of_the_questions_are_valid(own_questionnaire: Questionnaire) -> None:
    validator = Draft202012Validator(case_schema(own_questionnaire, GRADES))
    for question in own_questionnaire:
        for example in question.unit_examples:
            answer = yaml.safe_load(example)
            answer = [answer, answer] if question.type == "list" else answer
            data = {"case": "J", "answers": {question.id: answer}}
            assert faults(validator, data) == [], question.id
