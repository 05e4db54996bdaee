"""What a typed reply comes to: choices by id, number or beginning; everything else as in a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.case.asking import choose, read_field, read_reply
from advisor.case.problems import InputProblem
from advisor.case.questions import Question, Questionnaire, load_questionnaire

GRADES = ("EN-GJL-250", "EN-GJL-300", "A356-T6")


@pytest.fixture(scope="module")
def questions() -> Questionnaire:
    return load_questionnaire(Path(__file__).parents[2] / "knowledge" / "questions")


@pytest.mark.parametrize(
    ("question", "typed", "plain"),
    [
        ("material", "gray_iron", "gray_iron"),
        ("material", " Gray  Iron ", "gray_iron"),
        ("material", "gray", "gray_iron"),
        ("material", "1", "gray_iron"),
        ("material", "UNKNOWN", "unknown"),
        ("material", "unk", "unknown"),
        ("part_kind", "pipe or", "pipe_fitting"),
        ("leak_tight", "y", "yes"),
        ("leak_tight", "2", "no"),
        ("processes", "1, tig", ["drill_tap", "tig"]),
        ("processes", "[drill_tap, drill]", ["drill_tap"]),
        ("processes", "[]", []),
        ("governed_by", "none", ["none"]),
        ("governed_by", "unknown", "unknown"),
        ("wall_thickness", "9 mm +/-  1 mm", "9 mm +/- 1 mm"),
        ("wall_thickness", "3/8 in", "3/8 in"),
        ("crack_branches", "2", "2"),
        ("material_grade", "en gjl 250", "EN-GJL-250"),
        ("material_grade", "a356", "A356-T6"),
        ("holes", "[{thread: M12, depth: 20 mm}]", [{"thread": "M12", "depth": "20 mm"}]),
        ("composition", "{C: 3.4 %, Si: 2 %}", {"C": "3.4 %", "Si": "2 %"}),
        ("composition", "unknown", "unknown"),
    ],
)
def test_replies(question: str, typed: str, plain: Any, questions: Questionnaire) -> None:
    assert read_reply(questions.by_id[question], typed, GRADES) == plain


@pytest.mark.parametrize(
    ("question", "typed", "says"),
    [
        ("material", "", "expected an answer, or unknown"),
        ("material", "0", "a number from 1 to 12"),
        ("material", "13", "a number from 1 to 12"),
        ("material", "c", "fits compacted_graphite_iron, cast_steel, copper_alloy"),
        ("material", "grey_iron", "did you mean gray_iron?"),
        ("governed_by", "none, 1", "none alone, or the others"),
        ("governed_by", "1,,2", "which fits"),
        ("wall_thickness", "9", "a length with its unit"),
        ("wall_thickness", "0 mm", "above 0"),
        ("crack_branches", "1.5", "a whole number"),
        ("material_grade", "EN-GJL", "EN-GJL-"),
        ("holes", "M12", "a list"),
        ("holes", "[{depth: 9 mm}]", "thread"),
        ("crack_path", "[{x: 0 mm, y: 0 mm}]", "two points or more"),
        ("composition", "{C: 3.4 %", "closing bracket"),
    ],
)
def test_wrong_replies(question: str, typed: str, says: str, questions: Questionnaire) -> None:
    with pytest.raises(InputProblem) as caught:
        read_reply(questions.by_id[question], typed, GRADES)
    assert says in str(caught.value)


def field(question: Question, name: str) -> Any:
    return next(part for part in question.fields if part.id == name)


@pytest.mark.parametrize(
    ("question", "part", "typed", "plain"),
    [
        ("holes", "thread", "M16x2", "M16x2"),
        ("holes", "condition", "wo", "worn"),
        ("holes", "depth", "unknown", "unknown"),
        ("crack_path", "surface", "2", "machined"),
        ("crack_path", "x", "1/2 in", "1/2 in"),
        ("composition", "C", "3.4 %", "3.4 %"),
    ],
)
def test_fields(question: str, part: str, typed: str, plain: str, questions: Questionnaire) -> None:
    asked = questions.by_id[question]
    assert read_field(asked, field(asked, part), typed) == plain


@pytest.mark.parametrize(
    ("question", "part", "typed", "says"),
    [
        ("holes", "thread", "", "a text"),
        ("holes", "depth", "9", "depth: found"),
        ("holes", "condition", "rusty", "a number from 1 to 4"),
        ("composition", "C", "300 %", "C: found"),
    ],
)
def test_wrong_fields(
    question: str, part: str, typed: str, says: str, questions: Questionnaire
) -> None:
    asked = questions.by_id[question]
    with pytest.raises(InputProblem) as caught:
        read_field(asked, field(asked, part), typed)
    assert says in str(caught.value)


def test_every_choice_of_every_question_can_be_typed_all_ways(questions: Questionnaire) -> None:
    for question in questions:
        named = {choice.id: choice.label for choice in question.choices}
        for number, id_ in enumerate(question.choice_ids, start=1):
            for typed in (id_, id_.upper(), id_.replace("_", " "), str(number)):
                assert choose(typed, question.choice_ids, named, question.id) == id_
