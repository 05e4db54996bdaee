"""Loading the questionnaire: order, strictness, and problems with their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.case.problems import InputProblem, InputProblems, nearest
from advisor.case.questions import Questionnaire, load_questionnaire

HOW = "{steps: Look., tool: eyes, uncertainty: none}"
GROUP = "group: {id: wall, title: Wall, order: 1}\n"


def one(entry: str) -> str:
    """A file with one question; line 3 is its first."""
    return f"{GROUP}questions:\n  - {{{entry}}}\n"


def question(id_: str, rest: str) -> str:
    return f"id: {id_}, text: T, why: W, how: {HOW}, {rest}"


def test_questions_come_in_the_order_of_groups_and_files(questionnaire: Questionnaire) -> None:
    assert [group.id for group in questionnaire.groups] == ["part", "wall"]
    ids = [each.id for each in questionnaire]
    assert ids[0] == "part_kind"
    assert ids.index("marks") < ids.index("wall_thickness")
    assert [each.order for each in questionnaire.questions] == list(range(1, len(ids) + 1))
    assert questionnaire.by_id["holes"].group == "wall"
    assert list(questionnaire.by_id) == ids


def test_groups_are_sorted_by_number_and_not_by_file_name(tmp_path: Path) -> None:
    for name, order in (("a", 2), ("b", 1)):
        text = f"group: {{id: {name}, title: T, order: {order}}}\nquestions:\n  - {{"
        text += question(f"q_{name}", "type: text") + "}\n"
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    assert [each.id for each in load_questionnaire(tmp_path)] == ["q_b", "q_a"]


def test_a_question_keeps_what_its_file_says(questionnaire: Questionnaire) -> None:
    wall = questionnaire.by_id["wall_thickness_max"]
    assert wall.ask_when == {"fact": "wall_thickness", "known": "yes"}
    assert wall.how.tool == "eyes"
    assert questionnaire.by_id["part_kind"].choice_ids == ("pump_housing", "machine_bed")
    thread, depth = questionnaire.by_id["holes"].fields[:2]
    assert (thread.optional, depth.optional) == (False, True)


def test_a_folder_without_questions(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="found no question files"):
        load_questionnaire(tmp_path)


CHOICES = "choices: [{id: a, label: a, means: a}, {id: b, label: b, means: b}]"
REFUSED = [
    (
        one(question("x", "type: text, colour: red")),
        ':3:94: questions[1].colour: found the entry "colour"; expected one of id, type, text, '
        "why, how, dimension, choices, fields, unit_examples, ask_when",
    ),
    (
        one(f"id: x, type: text, text: T, why: W, how: {HOW[:-1]}, tol: x}}"),
        ':3:93: questions[1].how.tol: found the entry "tol"; expected one of steps, tool, '
        "uncertainty, effort, source, mark; did you mean tool?",
    ),
    (
        one(f"id: x, type: text, text: T, how: {HOW}"),
        ':3:5: questions[1]: found no entry "why"; expected `why: …` in it',
    ),
    (
        one(question("x", "type: colour")),
        ":3:82: questions[1].type: found \"colour\"; expected one of 'choice', 'several', "
        "'yes_no', 'measure', 'number', 'text', 'grade', 'list' or 'mapping'",
    ),
    (
        one(question("x", "type: measure")),
        ":3:5: questions[1].dimension: found no dimension in a question of type measure; "
        "expected `dimension: …`",
    ),
    (
        one(question("x", "type: text, dimension: length")),
        ":3:94: questions[1].dimension: found dimension in a question of type text; "
        "expected no entry `dimension`",
    ),
    (
        one(question("x", "type: measure, dimension: lenght")),
        ':3:97: questions[1].dimension: found "lenght"; expected one of length, area, stress, '
        "pressure, temperature, temperature_difference, speed, force, torque, energy, duration, "
        "mass, ratio, number, hardness, year, rate, angle, line_load, toughness, mass_fraction; "
        "did you mean length?",
    ),
    (
        one(question("x", "type: measure, dimension: length, unit_examples: [9 kg]")),
        ":3:132: questions[1].unit_examples[1]: found 9 kg, which is a mass; expected a length "
        "with its unit, such as 9 mm or 3/8 in (units: mm, cm, m, in, ft)",
    ),
    (
        one(question("x", "type: choice")),
        ":3:5: questions[1].choices: found no choices in a question of type choice; "
        "expected `choices: …`",
    ),
    (
        one(question("x", f"type: text, {CHOICES}")),
        ":3:94: questions[1].choices: found choices in a question of type text; "
        "expected no entry `choices`",
    ),
    (
        one(question("x", "type: choice, " + CHOICES.replace("id: b", "id: a"))),
        ':3:135: questions[1].choices[2]: found "a" a second time; expected each id once',
    ),
    (
        one(question("x", "type: choice, " + CHOICES.replace("id: b", "id: unknown"))),
        ':3:135: questions[1].choices[2]: found the choice "unknown"; '
        "expected no such entry: it is implied",
    ),
    (
        one(question("x", "type: choice, " + CHOICES.replace("id: b", "id: B-1"))),
        ':3:135: questions[1].choices[2]: found the choice "B-1"; '
        "expected lower-case words joined by underscores",
    ),
    (
        one(question("Wall", "type: text")),
        ':3:6: questions[1].id: found "Wall"; expected lower-case words joined by underscores',
    ),
    (
        one(question("x", "type: text, ask_when: always")),
        ':3:94: questions[1].ask_when: found "always"; expected a condition',
    ),
    (
        one(question("x", "type: mapping")),
        ":3:5: questions[1].fields: found no fields in a question of type mapping; "
        "expected `fields: …`",
    ),
    (
        one(question("x", "type: mapping, fields: [{id: C, type: text, text: T}]")),
        ':3:114: questions[1].fields[1].type: found "text"; '
        "expected measure in every field of a mapping",
    ),
    (
        one(question("holes", "type: list, fields: [{id: thred, type: text, text: T}]")),
        ':3:108: questions[1].fields[1].id: found "thred"; expected one of thread, depth, '
        "distance, edge_distance, condition, damaged_length, bolt_class, at",
    ),
    (
        "group: {id: wall, title: Wall, order: first}\nquestions: []\n",
        ':1:32: group.order: found "first"; expected a valid integer, unable to parse string as '
        "an integer",
    ),
    ("questions: []\n", ':1:1: found no entry "group"; expected `group: …` in it'),
    (f"{GROUP}questions: no\n", ':2:1: questions: found "no"; expected a valid tuple'),
    (
        one(question("x", "type: text")) + f"  - {{{question('x', 'type: text')}}}\n",
        ':4:6: questions[2].id: found "x" a second time (first in {file}:3); '
        "expected each only once",
    ),
]


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_refused_with_place(text: str, message: str, tmp_path: Path) -> None:
    path = tmp_path / "10-wall.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblems) as caught:
        load_questionnaire(tmp_path)
    assert str(caught.value) == f"{path}{message.replace('{file}', str(path))}"


def test_all_problems_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "1.yaml").write_text(one(question("x", "type: measure")), encoding="utf-8")
    (tmp_path / "2.yaml").write_text(one(question("x", "type: choice")), encoding="utf-8")
    with pytest.raises(InputProblems) as caught:
        load_questionnaire(tmp_path)
    # Beside the two faults: the same group, the same order and the same question twice.
    assert len(caught.value.problems) == 5
    assert len(str(caught.value).splitlines()) == 5


def test_many_problems_are_cut_short() -> None:
    problems = InputProblems(InputProblem("a", "b", file="f", line=n) for n in range(1, 61))
    lines = str(problems).splitlines()
    assert (len(lines), lines[0], lines[-1]) == (
        51,
        "f:1: found a; expected b",
        "and 10 more problems",
    )


@pytest.mark.parametrize(
    ("word", "hint"),
    [
        ("grey_iron", "; did you mean gray_iron?"),
        ("Gray Iron", "; did you mean gray_iron?"),
        ("gray-iron", "; did you mean gray_iron?"),
        ("wood", ""),
    ],
)
def test_nearest_spelling(word: str, hint: str) -> None:
    assert nearest(word, ["gray_iron", "ductile_iron"]) == hint


def test_the_programs_own_questions_load(own_questionnaire: Questionnaire) -> None:
    assert len(own_questionnaire.questions) > 50
    assert all(each.how.steps and each.why for each in own_questionnaire)
