"""Reading a case: values, and every kind of bad input with its exact message."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.case.model import UNKNOWN, Answer, Case, Hole, PathPoint, known
from advisor.case.problems import InputProblem
from advisor.case.quantities import Measure
from advisor.case.questions import Questionnaire
from advisor.case.reading import (
    MAX_MEMBERS,
    CaseProblems,
    parse_answer,
    parse_case,
    read_answer,
    read_case,
)
from advisor.case.yaml_text import YamlProblem

GOOD = """\
case: J-1  # invented
title: Cracked pump housing
notes: |
  Found at the spring service.
  Invented.
answers:
  part_kind: pump_housing
  governed_by: [boiler_law, nuclear]
  processes: []
  missing_metal: no
  cast_year: 1956
  crack_count: 1 .. 2
  hardness: 210
  material_grade: en gjl 250
  marks: "A 17 / 3"
  wall_thickness: 9 mm +/- 1 mm
  wall_thickness_max: unknown
  temperature_max: 350 degF
  strength_target: 60 %
  composition: {C: 3.3 %, Si: unknown}
  crack_path:
    - {x: 0 mm, y: 0 mm, wall: 9 mm}
    - {x: 1 in, y: unknown}
  holes:
    - {thread: M16x2, depth: 30 mm, distance: 0 mm, bolt_class: 8.8}
    - thread: unknown
      condition: worn
"""


def length(low: float, high: float | None = None) -> Measure:
    return Measure(low, low if high is None else high, "length")


def test_a_case_with_every_type_of_answer(questionnaire: Questionnaire) -> None:
    case = parse_case(GOOD, "good.yaml", questionnaire, ["EN-GJL-250"])
    assert (case.reference, case.title, case.file) == ("J-1", "Cracked pump housing", "good.yaml")
    assert case.notes == "Found at the spring service.\nInvented.\n"
    assert {name: answer.value for name, answer in case.answers.items()} == {
        "part_kind": "pump_housing",
        "governed_by": ("boiler_law", "nuclear"),
        "processes": (),
        "missing_metal": "no",
        "cast_year": Measure(1956, 1956, "year"),
        "crack_count": Measure(1, 2, "number"),
        "hardness": Measure(210, 210, "hardness"),
        "material_grade": "EN-GJL-250",
        "marks": "A 17 / 3",
        "wall_thickness": length(8, 10),
        "wall_thickness_max": UNKNOWN,
        "temperature_max": Measure(176.66666666666666, 176.66666666666666, "temperature"),
        "strength_target": Measure(0.6, 0.6, "ratio"),
        "composition": {"C": Measure(3.3, 3.3, "mass_fraction")},
        "crack_path": (
            PathPoint(x=length(0), y=length(0), wall=length(9)),
            PathPoint(x=length(25.4), y=UNKNOWN),
        ),
        "holes": (
            Hole(thread="M16x2", depth=length(30), distance=length(0), bolt_class="8.8"),
            Hole(thread=UNKNOWN, condition="worn"),
        ),
    }


def test_answers_know_their_line(questionnaire: Questionnaire) -> None:
    case = parse_case(GOOD, "good.yaml", questionnaire)
    assert case.answers["part_kind"].line == 7
    assert case.answers["holes"].line == 24


def test_a_case_cannot_be_changed(questionnaire: Questionnaire) -> None:
    case = parse_case(GOOD, "good.yaml", questionnaire)
    with pytest.raises(TypeError):
        case.answers["part_kind"] = Answer("machine_bed")  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        case.title = "x"  # type: ignore[misc]
    holes = case.value("holes")
    assert isinstance(holes, tuple)
    with pytest.raises(dataclasses.FrozenInstanceError):
        holes[0].depth = length(1)  # type: ignore[union-attr, misc]


def test_unanswered_and_unknown_are_two_things(questionnaire: Questionnaire) -> None:
    case = parse_case("case: J\nanswers:\n  pressure: unknown\n", "f", questionnaire)
    assert case.value("pressure") is UNKNOWN
    assert case.value("wall_thickness") is None
    assert (known(UNKNOWN), known(None), known("x")) == (None, None, "x")
    assert repr(UNKNOWN) == "UNKNOWN"


def test_the_same_case_with_answers_changed() -> None:
    case = Case("J", "", "", {"a": Answer("x", 3), "b": Answer("y", 4)})
    other = case.with_answers({"a": "z", "b": None, "c": UNKNOWN})
    assert dict(other.answers) == {"a": Answer("z"), "c": Answer(UNKNOWN)}
    assert case.value("a") == "x"


@pytest.mark.parametrize("text", ["case: J\nanswers:\n", "case: J\nanswers: {}\n"])
def test_no_answers_yet(text: str, questionnaire: Questionnaire) -> None:
    assert parse_case(text, "f", questionnaire).answers == {}


def test_every_question_takes_unknown(questionnaire: Questionnaire) -> None:
    lines = "".join(f"  {question.id}: unknown\n" for question in questionnaire)
    case = parse_case(f"case: J\nanswers:\n{lines}", "f", questionnaire)
    assert {answer.value for answer in case.answers.values()} == {UNKNOWN}
    assert len(case.answers) == len(questionnaire.questions)


LENGTH = "a length with its unit, such as 9 mm or 3/8 in (units: mm, cm, m, in, ft); or unknown"
FIELDS = "thread, depth, distance, condition, bolt_class"

# One answer, and the message after the name of the file.
REFUSED = [
    (
        "wall_thicknes: 9 mm",
        '3:3: answers.wall_thicknes: found the question "wall_thicknes"; expected the id of a '
        "question; did you mean wall_thickness?",
    ),
    (
        "part_kind: pump_house",
        '3:3: answers.part_kind: found "pump_house"; '
        "expected one of pump_housing, machine_bed, unknown; did you mean pump_housing?",
    ),
    (
        "part_kind: Pump Housing",
        '3:3: answers.part_kind: found "Pump Housing"; '
        "expected one of pump_housing, machine_bed, unknown; did you mean pump_housing?",
    ),
    (
        "part_kind:",
        "3:3: answers.part_kind: found nothing; expected one of pump_housing, machine_bed, unknown",
    ),
    (
        "part_kind: [pump_housing]",
        "3:3: answers.part_kind: found a list; expected one of pump_housing, machine_bed, unknown",
    ),
    (
        "missing_metal: maybe",
        '3:3: answers.missing_metal: found "maybe"; expected yes, no or unknown',
    ),
    (
        "governed_by: [none, nuclear]",
        "3:3: answers.governed_by: found none together with other choices; "
        "expected none alone, or the others",
    ),
    (
        "governed_by: [nuclear, unknown]",
        "3:26: answers.governed_by[2]: found unknown among other choices; "
        "expected unknown alone, or the choices",
    ),
    (
        "governed_by: [nuclear, nuclear]",
        '3:26: answers.governed_by[2]: found "nuclear" a second time; expected each choice once',
    ),
    (
        "governed_by: [nuklear]",
        '3:17: answers.governed_by[1]: found "nuklear"; '
        "expected one of boiler_law, nuclear, none; did you mean nuclear?",
    ),
    (
        "governed_by: []",
        "3:3: answers.governed_by: found an empty list; "
        "expected a list of choices, such as [boiler_law, nuclear], or unknown",
    ),
    (
        "governed_by: {nuclear: yes}",
        "3:3: answers.governed_by: found a mapping; "
        "expected a list of choices, such as [boiler_law, nuclear], or unknown",
    ),
    (
        "processes: arc, tig",
        '3:3: answers.processes: found "arc, tig"; expected one of arc, tig; '
        "several choices as a list, such as [a, b]",
    ),
    (
        "wall_thickness: 9",
        f"3:3: answers.wall_thickness: found 9 without a unit; expected {LENGTH}",
    ),
    (
        "wall_thickness: 9 kg",
        f"3:3: answers.wall_thickness: found 9 kg, which is a mass; expected {LENGTH}",
    ),
    (
        "wall_thickness: 9,5 mm",
        "3:3: answers.wall_thickness: found 9,5 mm; "
        "expected a decimal point: write 9.5 mm; or unknown",
    ),
    (
        "wall_thickness: unkown",
        f"3:3: answers.wall_thickness: found unkown; expected {LENGTH}; did you mean unknown?",
    ),
    (
        "wall_thickness: 0 mm",
        "3:3: answers.wall_thickness: found 0 mm; "
        "expected a length above 0, such as 9 mm or 3/8 in; or unknown",
    ),
    (
        "wall_thickness: {value: 9, unit: mm}",
        f"3:3: answers.wall_thickness: found a mapping; expected {LENGTH}",
    ),
    (
        "nominal_stress: -5 MPa",
        "3:3: answers.nominal_stress: found -5 MPa; "
        "expected a stress of 0 or more, such as 250 MPa or 36 ksi; or unknown",
    ),
    (
        "crack_count: 1.5",
        "3:3: answers.crack_count: found 1.5; "
        "expected a whole number, such as 2 or 1 .. 3; or unknown",
    ),
    (
        "crack_count: -1",
        "3:3: answers.crack_count: found -1; expected a whole number from 0 to 1000; or unknown",
    ),
    (
        "cast_year: 1956.5",
        "3:3: answers.cast_year: found 1956.5; "
        "expected a whole number, such as 1956 or 1950 .. 1960; or unknown",
    ),
    (
        "hardness: 21 HRC",
        '3:3: answers.hardness: found 21 HRC with the unit "HRC"; '
        "expected a Brinell hardness, such as 210 HBW or 210; or unknown",
    ),
    (
        "strength_target: 60",
        "3:3: answers.strength_target: found 60; "
        "expected a part of the whole of at most 1, such as 0.6 or 60 %; or unknown",
    ),
    (
        "material_grade: EN-GJL-25",
        '3:3: answers.material_grade: found the grade "EN-GJL-25"; '
        "expected a designation that the tables hold, or unknown; did you mean EN-GJL-250?",
    ),
    (
        "material_grade: [a]",
        "3:3: answers.material_grade: found a list; "
        "expected a designation such as EN-GJL-250, or unknown",
    ),
    (
        'marks: "a\\nb"',
        "3:3: answers.marks: found a line break or a tab; expected a text in one line or unknown",
    ),
    (
        f"marks: {'x' * 201}",
        "3:3: answers.marks: found 201 characters; expected at most 200 characters",
    ),
    (
        "composition: {Fe: 90 %}",
        '3:17: answers.composition.Fe: found the entry "Fe"; expected one of C, Si',
    ),
    (
        "composition: {C: 60 %, Si: 50 %}",
        "3:3: answers.composition: found 110 % in all; expected at most 100 % in all",
    ),
    (
        "composition: {}",
        "3:3: answers.composition: found nothing in it; expected at least one element, or unknown",
    ),
    (
        "composition: 3.3 %",
        '3:3: answers.composition: found "3.3 %"; '
        "expected entries `name: value` with the names C, Si",
    ),
    (
        "crack_path: [{x: 0 mm, y: 0 mm}]",
        "3:3: answers.crack_path: found a list of 1; expected two points or more along the crack",
    ),
    (
        "crack_path: [{x: 0 mm, y: 0 mm}, {x: 9 mm}]",
        '3:36: answers.crack_path[2]: found no entry "y"; expected `y: …` (across)',
    ),
    (
        "crack_path: [{x: 0 mm, y: 0 mm}, {x: 9 mm, y: 0 mm, wall: 0 .. 1 mm}]",
        "3:55: answers.crack_path[2].wall: found 0 .. 1 mm; "
        "expected a length above 0, such as 9 mm or 3/8 in; or unknown",
    ),
    (
        "holes: {thread: M8}",
        "3:3: answers.holes: found a mapping; "
        "expected a list, each member starting with `- `, or unknown",
    ),
    (
        "holes: [M8]",
        '3:11: answers.holes[1]: found "M8"; expected entries `name: value` with the names '
        + FIELDS,
    ),
    (
        "holes: [{thread: M8}, {thread: M8, bolt_clas: 8.8}]",
        '3:38: answers.holes[2].bolt_clas: found the entry "bolt_clas"; '
        f"expected one of {FIELDS}; did you mean bolt_class?",
    ),
    (
        "holes: [{thread: M8, condition: god}]",
        '3:24: answers.holes[1].condition: found "god"; '
        "expected one of good, worn, unknown; did you mean good?",
    ),
    (
        "holes: [{thread: M8, depth: 9}]",
        f"3:24: answers.holes[1].depth: found 9 without a unit; expected {LENGTH}",
    ),
    (
        f"holes: [{', '.join(['{thread: M8}'] * (MAX_MEMBERS + 1))}]",
        "3:3: answers.holes: found 1001 members; expected at most 1000 members",
    ),
    (
        "wall_thickness: 9 mm +/- 1 mm\n  wall_thickness_max: 7 mm",
        "4:3: answers.wall_thickness_max: found a value below wall_thickness (line 3); "
        "expected wall_thickness_max at or above wall_thickness",
    ),
    (
        "temperature_max: 10 degC\n  temperature_min: 68 degF",
        "3:3: answers.temperature_max: found a value below temperature_min (line 4); "
        "expected temperature_max at or above temperature_min",
    ),
]


@pytest.mark.parametrize(("answer", "message"), REFUSED)
def test_refused_answer(answer: str, message: str, questionnaire: Questionnaire) -> None:
    with pytest.raises(CaseProblems) as caught:
        parse_case(f"case: J\nanswers:\n  {answer}\n", "f", questionnaire, ["EN-GJL-250"])
    assert str(caught.value) == f"f:{message}"


def test_overlapping_bands_are_possible(questionnaire: Questionnaire) -> None:
    answers = "  wall_thickness: 9 mm +/- 1 mm\n  wall_thickness_max: 8 mm\n"
    parse_case(f"case: J\nanswers:\n{answers}", "f", questionnaire)


HEADINGS = [
    (
        "answers: {}",
        'f:1:1: found no entry "case"; expected `case: …`, the reference of the job',
    ),
    (
        "case: J",
        'f:1:1: found no entry "answers"; expected `answers:` with the answers indented under it',
    ),
    ("case:\nanswers: {}", "f:1:1: case: found nothing; expected a text in one line"),
    (
        "case: J\nanswer: {}\nanswers: {}",
        'f:2:1: answer: found the entry "answer"; '
        "expected one of case, title, notes, answers; did you mean answers?",
    ),
    (
        "case: J\nanswers: [a]",
        "f:2:1: answers: found a list; expected answers of the form `question: answer`",
    ),
    (
        "case: J\nanswers: ''",
        "f:2:1: answers: found nothing; expected answers of the form `question: answer`",
    ),
    ("case: J\nnotes: [a]\nanswers: {}", "f:2:1: notes: found a list; expected a text"),
    (
        "case: J\ntitle: {a: b}\nanswers: {}",
        "f:2:1: title: found a mapping; expected a text in one line",
    ),
]


@pytest.mark.parametrize(("text", "message"), HEADINGS)
def test_refused_heading(text: str, message: str, questionnaire: Questionnaire) -> None:
    with pytest.raises(CaseProblems) as caught:
        parse_case(text, "f", questionnaire)
    assert str(caught.value) == message


def test_all_problems_are_told_at_once_in_the_order_of_the_file(
    questionnaire: Questionnaire,
) -> None:
    text = "case: J\nanswers:\n  wall_thickness: 9\n  part_kid: x\n  missing_metal: 3\n"
    with pytest.raises(CaseProblems) as caught:
        parse_case(text, "f", questionnaire)
    assert [problem.line for problem in caught.value.problems] == [3, 4, 5]
    assert [line[:4] for line in str(caught.value).splitlines()] == ["f:3:", "f:4:", "f:5:"]
    assert (caught.value.file, caught.value.line, caught.value.field) == (
        "f",
        3,
        "answers.wall_thickness",
    )


def test_a_case_from_a_file(tmp_path: Path, questionnaire: Questionnaire) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(GOOD, encoding="utf-8")
    assert read_case(path, questionnaire).file == str(path)
    with pytest.raises(YamlProblem, match="no such file"):
        read_case(tmp_path / "absent.yaml", questionnaire)
    path.write_text("case: " + "x" * 2**20, encoding="utf-8")
    with pytest.raises(YamlProblem, match="more than 1048576 bytes"):
        read_case(path, questionnaire)


TYPED = [
    ("part_kind", " pump_housing ", "pump_housing"),
    ("governed_by", "nuclear, boiler_law", ("nuclear", "boiler_law")),
    ("governed_by", "[nuclear]", ("nuclear",)),
    ("governed_by", "none", ("none",)),
    ("governed_by", "unknown", UNKNOWN),
    ("wall_thickness", "3/8 in", length(9.525)),
    ("missing_metal", "Yes", "yes"),
    ("missing_metal", "false", "no"),
    ("holes", "[{thread: M8}]", (Hole(thread="M8"),)),
    ("holes", "[]", ()),
    ("holes", "unknown", UNKNOWN),
    ("composition", "{C: 3.3}", {"C": Measure(3.3, 3.3, "mass_fraction")}),
]


@pytest.mark.parametrize(("question", "text", "value"), TYPED)
def test_typed_answers(
    question: str, text: str, value: object, questionnaire: Questionnaire
) -> None:
    assert parse_answer(questionnaire.by_id[question], text) == value


@pytest.mark.parametrize(
    ("question", "text", "message"),
    [
        ("wall_thickness", "9", f"wall_thickness: found 9 without a unit; expected {LENGTH}"),
        (
            "holes",
            "[{thread: M8",
            "holes: found broken YAML (did not find expected ',' or '}'); "
            "expected a closing bracket, and commas between the members",
        ),
        ("holes", "[{depth: 9 mm}]",
         'holes[1]: found no entry "thread"; expected `thread: …` (thread as designated)'),
    ],
)  # fmt: skip
def test_typed_answers_refused(
    question: str, text: str, message: str, questionnaire: Questionnaire
) -> None:
    with pytest.raises(InputProblem) as caught:
        parse_answer(questionnaire.by_id[question], text)
    assert str(caught.value) == message


def test_an_answer_from_plain_data(questionnaire: Questionnaire) -> None:
    assert read_answer(questionnaire.by_id["processes"], ["arc"]) == ("arc",)


_values = st.recursive(
    st.none()
    | st.sampled_from(["unknown", "none", "9 mm", "9", "arc", "nuclear", "M8", "yes", "", "x"])
    | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["thread", "depth", "x", "y", "C", "Si", "z9"]), inner, max_size=3
        )
    ),
    max_leaves=6,
)


@given(data=st.data())
def test_any_data_becomes_a_value_or_a_problem(
    data: st.DataObject, questionnaire: Questionnaire
) -> None:
    question = data.draw(st.sampled_from(questionnaire.questions))
    value = data.draw(_values)
    try:
        assert read_answer(question, value) is not None
    except CaseProblems as problems:
        assert all(each.field for each in problems.problems)  # noqa: PT017 - either is right


@given(data=st.data())
def test_a_damaged_case_is_read_or_refused(
    data: st.DataObject, questionnaire: Questionnaire
) -> None:
    start = data.draw(st.integers(0, len(GOOD)))
    end = data.draw(st.integers(start, min(len(GOOD), start + 12)))
    text = GOOD[:start] + data.draw(st.text(max_size=4)) + GOOD[end:]
    try:
        parse_case(text, "f", questionnaire)
    except InputProblem as problem:
        assert str(problem).startswith("f:")  # noqa: PT017 - either is right
