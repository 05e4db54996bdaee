"""A small questionnaire that has every type of question."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.case.questions import Questionnaire, load_questionnaire

HOW = "{steps: Look at it., tool: eyes, uncertainty: none to speak of}"

PART = f"""\
group: {{id: part, title: Part, order: 10}}
questions:
  - id: part_kind
    type: choice
    text: What is it?
    why: It decides who may agree.
    how: {HOW}
    choices:
      - {{id: pump_housing, label: pump housing, means: holds the water}}
      - {{id: machine_bed, label: machine bed, means: carries the slides}}
  - id: governed_by
    type: several
    text: Which laws?
    why: They decide who may agree.
    how: {HOW}
    choices:
      - {{id: boiler_law, label: boiler law, means: steam}}
      - {{id: nuclear, label: nuclear, means: radiation}}
      - {{id: none, label: none, means: nobody}}
  - id: processes
    type: several
    text: Which processes?
    why: They limit the method.
    how: {HOW}
    choices:
      - {{id: arc, label: arc, means: arc welding}}
      - {{id: tig, label: TIG, means: TIG welding}}
  - {{id: missing_metal, type: yes_no, text: Is any gone?, why: Gaps need filling., how: {HOW}}}
  - {{id: cast_year, type: number, dimension: year, text: When cast?, why: Age., how: {HOW}}}
  - {{id: crack_count, type: number, dimension: number, text: How many?, why: Time., how: {HOW}}}
  - {{id: hardness, type: number, dimension: hardness, text: How hard?, why: Tap., how: {HOW}}}
  - {{id: material_grade, type: grade, text: Which grade?, why: Strength., how: {HOW}}}
  - {{id: marks, type: text, text: Which marks?, why: Origin., how: {HOW}}}
"""

WALL = f"""\
group: {{id: wall, title: Wall, order: 20}}
questions:
  - id: wall_thickness
    type: measure
    dimension: length
    text: How thick?
    why: The pin hangs on it.
    how: {HOW}
    unit_examples: [9 mm, 3/8 in]
  - id: wall_thickness_max
    type: measure
    dimension: length
    text: How thick at most?
    why: Heat hangs on it.
    how: {HOW}
    ask_when: {{fact: wall_thickness, known: yes}}
  - {{id: temperature_max, type: measure, dimension: temperature, text: T?, why: Wax., how: {HOW}}}
  - {{id: temperature_min, type: measure, dimension: temperature, text: t?, why: Ice., how: {HOW}}}
  - {{id: pressure, type: measure, dimension: pressure, text: Pressure?, why: Leaks., how: {HOW}}}
  - {{id: nominal_stress, type: measure, dimension: stress, text: Stress?, why: Load., how: {HOW}}}
  - {{id: strength_target, type: measure, dimension: ratio, text: Aim?, why: Pins., how: {HOW}}}
  - id: composition
    type: mapping
    text: What is in it?
    why: Carbon hardens.
    how: {HOW}
    fields:
      - {{id: C, type: measure, dimension: mass_fraction, text: carbon, optional: yes}}
      - {{id: Si, type: measure, dimension: mass_fraction, text: silicon, optional: yes}}
  - id: crack_path
    type: list
    text: Where does it run?
    why: The layout.
    how: {HOW}
    fields:
      - {{id: x, type: measure, dimension: length, text: along}}
      - {{id: y, type: measure, dimension: length, text: across}}
      - {{id: wall, type: measure, dimension: length, text: wall there, optional: yes}}
  - id: holes
    type: list
    text: Which holes?
    why: Inserts.
    how: {HOW}
    fields:
      - {{id: thread, type: text, text: thread as designated}}
      - {{id: depth, type: measure, dimension: length, text: depth of thread, optional: yes}}
      - {{id: distance, type: measure, dimension: length, text: to the crack, optional: yes}}
      - id: condition
        type: choice
        text: state
        optional: yes
        choices:
          - {{id: good, label: good, means: whole}}
          - {{id: worn, label: worn, means: loose}}
      - {{id: bolt_class, type: text, text: class of bolt, optional: yes}}
"""


@pytest.fixture(scope="session")
def questions_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("questions")
    (folder / "10-part.yaml").write_text(PART, encoding="utf-8")
    (folder / "20-wall.yaml").write_text(WALL, encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def questionnaire(questions_folder: Path) -> Questionnaire:
    return load_questionnaire(questions_folder)


@pytest.fixture(scope="session")
def own_questionnaire() -> Questionnaire:
    """The program's own questionnaire."""
    folder = Path(__file__).parents[2] / "knowledge" / "questions"
    if not list(folder.glob("*.yaml")):
        pytest.skip("no questions in this checkout")
    return load_questionnaire(folder)
