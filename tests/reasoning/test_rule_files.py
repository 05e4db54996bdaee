"""Rule, fact, step and inspection files: what is read, and what each mistake is answered with.

The mistakes stand in ``mistakes/``, each with the whole message: place, field, what was found and
what would be right.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from advisor.advice.library import check_texts, load_inspections, load_steps
from advisor.advice.rulebook import load_rulebook, rule_context
from advisor.case.problems import InputProblem
from advisor.case.questions import Questionnaire
from advisor.case.yaml_text import parse_yaml
from advisor.reasoning.conditions import All, Any, Known, Not, Test
from advisor.reasoning.cursor import Cursor, KnowledgeProblem, nearest
from advisor.reasoning.facts_file import TableLookUp, load_declarations
from advisor.reasoning.rules import (
    Effect,
    Rule,
    RuleContext,
    SourceRef,
    TableLimit,
    load_rules,
    parse_when,
)
from advisor.reasoning.tables import Knowledge, load_knowledge
from advisor.reasoning.vocabulary import FactKind, Vocabulary

STAGES = ("triage", "method", "sizing")
METHODS = ("braze_weld", "stitch")
VOCABULARY = Vocabulary(
    STAGES,
    [
        FactKind("material", "word", choices=("gray_iron", "ductile_iron", "cast_steel")),
        FactKind("signs", "members", choices=("rust", "oil", "frost")),
        FactKind("turns", "word", choices=("no", "yes")),
        FactKind("heat", "number", dimension="temperature", unit="degC"),
        FactKind("wall", "number", dimension="length", unit="mm"),
        FactKind("standing", "word", 0, choices=("good", "weak"), combine="strictest"),
        FactKind("methods_allowed", "members", 1, choices=METHODS, combine="collect"),
        FactKind("methods_ruled_out", "members", 1, choices=METHODS, combine="collect"),
        FactKind("route", "word", 1, choices=("hot", "cold"), combine="single"),
        FactKind("care", "word", 1, choices=("some", "much"), combine="strictest"),
        FactKind("preheat", "number", 1, dimension="temperature", unit="degC", combine="highest"),
        FactKind("best_wall", "number", 1, dimension="length", unit="mm", late=True),
        FactKind("pitch", "number", 2, dimension="length", unit="mm"),
        FactKind("required_steps", "members", 2, choices=("drill_pins",), combine="collect"),
    ],
)
CELLS = {
    ("braze_weld", "temperature_limit"): TableLimit(260.0, "degC", ("EN-1561",)),
    ("braze_weld", "wall_least"): TableLimit(4.0, "mm", ("PRACTICE",)),
    ("stitch", "fine"): TableLimit(0.00001, "mm", ("PRACTICE",)),
    ("stitch", "huge"): TableLimit(1e13, "mm", ("PRACTICE",)),
}


def look_up(table: str, row: str, column: str) -> TableLimit | str:
    empty = f"cell {column} of {row} in {table}, which is empty"
    return CELLS.get((row, column), empty) if table == "methods" else f"table {table}"


CONTEXT = RuleContext(
    vocabulary=VOCABULARY,
    targets={
        **dict.fromkeys(("rule_out", "allow", "favour", "disfavour"), METHODS),
        "require_step": ("drill_pins",),
        "require_inspection": ("penetrant",),
        "require_approval": ("surveyor",),
    },
    source_ids=frozenset({"PRACTICE", "EN-1561"}),
    questions=frozenset({"heat", "wall"}),
    look_up=look_up,
)

RULES = """\
subject: braze welding
rules:
  - id: braze.too-hot
    stage: method
    title: Braze welding gives way when hot
    when: {fact: heat, above: 260 degC}
    then: [{rule_out: braze_weld}]
    because: The filler softens first.
    source: [{ref: PRACTICE, seen: practice}]
"""

FACTS = """\
stage: material
about: What the metal is.
facts:
  - {id: brittle, type: yes_no, says: the metal is brittle, from: {table: metals, column: brittle, key: material}}
  - {id: wall_ratio, type: number, dimension: ratio, says: the wall ratio, from: formula, late: yes}
  - id: standing
    type: word
    says: how well the metal is known
    choices: [good, weak]
    from: rules
    combine: strictest
    unsure: weak
    otherwise: good
    labels: {good: well known}
"""  # noqa: E501 - one line, as facts are written

STEPS = """\
about: steps
source: PRACTICE
mark: practice
steps:
  - id: drill
    order: 10
    do: Drill {pin_count} holes.
    hold_point: no
    sequence_word: drill_pins
    cautions: ['Mind the {wall}.']
  - id: stop
    order: 20
    do: Stop.
    hold_point: yes
"""

INSPECTIONS = """\
about: inspections
inspections:
  - id: penetrant_before
    order: 10
    when: before
    method: penetrant
    what: The crack of {crack_length}.
    acceptance: No more than {wall} beyond.
    hold_point: yes
    who: a tester
    source: [PRACTICE]
    mark: practice
"""

SOURCES = """\
sources:
  PRACTICE: {title: Practice, edition: undated, clause: none, seen: habit, mark: practice, compared: 2026-11-25}
"""  # noqa: E501

METALS = """\
table: metals
title: Metals
key: metal
source: PRACTICE
mark: practice
columns:
  brittle: {type: yes_no, means: breaks}
  density: {type: number, unit: kg/m3, means: density}
  weldability: {type: word, choices: [good, poor], means: weldability}
  fillers: {type: words, choices: [nickel, bronze], means: fillers}
  melting: {type: number, unit: degC, means: melting}
  note: {type: text, means: a note}
rows:
  gray_iron: {brittle: yes, melting: {low: 1150, high: 1200}}
  bronze: {melting: 1000}
"""


def mistakes(name: str) -> list[object]:
    """The mistakes of one kind of file."""
    path = Path(__file__).parent / "mistakes" / f"{name}.yaml"
    entries = yaml.safe_load(path.read_text(encoding="utf-8"))
    return [pytest.param(entry, id=entry["mistake"]) for entry in entries]


def refused(file: Path, text: str, load: Callable[[], object]) -> str:
    """What the loader says to a text, without the name of the file."""
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as raised:
        load()
    message = str(raised.value)
    assert message.startswith(f"{file}:")
    return message.removeprefix(f"{file}:").replace(f"{file.parent}/", "")


def put(good: str, old: str, new: str) -> str:
    assert good.count(old) == 1
    return good.replace(old, new)


# --- rules --------------------------------------------------------------------------------------


def rules_of(folder: Path, *texts: str) -> tuple[Rule, ...]:
    files = [folder / f"{number}0-rules.yaml" for number in range(1, len(texts) + 1)]
    for file, text in zip(files, texts, strict=True):
        file.write_text(text, encoding="utf-8")
    return load_rules(files, CONTEXT)


@pytest.mark.parametrize("entry", mistakes("rules"))
def test_mistake_in_a_rule(tmp_path: Path, entry: dict[str, str]) -> None:
    text = RULES
    if "when" in entry:
        text = put(text, "{fact: heat, above: 260 degC}", entry["when"])
    elif "then" in entry:
        text = put(text, "[{rule_out: braze_weld}]", entry["then"])
    else:
        text = put(text, entry["for"], entry["put"])
    file = tmp_path / "10-braze.yaml"
    assert refused(file, text, lambda: load_rules([file], CONTEXT)) == entry["says"]


def whens(*conditions: str) -> str:
    return "{all: [" + ", ".join(conditions) + "]}"


FIVE = "{any: [" + ", ".join(f"{{fact: heat, above: {at} degC}}" for at in range(5)) + "]}"


@pytest.mark.parametrize(
    ("when", "found", "expected"),
    [
        pytest.param(
            whens(*[FIVE] * 3),
            "a condition that unfolds into more than 64 alternatives",
            "two or more simpler rules",
            id="alternatives",
        ),
        pytest.param(
            whens(*["{fact: signs, includes: [rust, oil, frost]}"] * 5),
            "a condition that unfolds into more than 128 alternatives",
            "two or more simpler rules",
            id="alternatives between members",
        ),
        pytest.param(
            whens(*(f"{{fact: heat, above: {at} degC}}" for at in range(13))),
            "13 tests that must hold together",
            "at most 12; derive a fact first",
            id="tests together",
        ),
        pytest.param(
            whens(
                *(f"{{fact: heat, above: {at} degC}}" for at in range(10)),
                "{not: {fact: signs, includes: [rust, oil, frost]}}",
            ),
            "13 tests that must hold together",
            "at most 12; derive a fact first",
            id="tests together, each member counted",
        ),
    ],
)
def test_condition_too_large(tmp_path: Path, when: str, found: str, expected: str) -> None:
    file = tmp_path / "10-braze.yaml"
    text = put(RULES, "{fact: heat, above: 260 degC}", when)
    message = refused(file, text, lambda: load_rules([file], CONTEXT))
    assert message == f"6:5: rules[1].when: found {found}; expected {expected}"


def test_id_twice_within_a_file(tmp_path: Path) -> None:
    again = RULES[RULES.index("  - id") :]
    with pytest.raises(KnowledgeProblem) as raised:
        rules_of(tmp_path, RULES + again)
    file = tmp_path / "10-rules.yaml"
    assert str(raised.value) == (
        f"{file}:10: found rule id braze.too-hot again; expected a new id; {file}:3 has this one"
    )


def test_id_twice_across_files(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeProblem) as raised:
        rules_of(tmp_path, RULES, "about: again\n" + RULES)
    assert str(raised.value) == (
        f"{tmp_path / '20-rules.yaml'}:4: found rule id braze.too-hot again; "
        f"expected a new id; {tmp_path / '10-rules.yaml'}:3 has this one"
    )


def test_tab_instead_of_spaces(tmp_path: Path) -> None:
    file = tmp_path / "10-braze.yaml"
    text = put(RULES, "    because", "\tbecause")
    message = refused(file, text, lambda: load_rules([file], CONTEXT))
    assert message.startswith("8:1: found broken YAML")
    assert "expected spaces in place of tabs" in message


def test_file_that_is_not_there(tmp_path: Path) -> None:
    file = tmp_path / "10-none.yaml"
    with pytest.raises(InputProblem) as raised:
        load_rules([file], CONTEXT)
    assert str(raised.value) == (
        f"{file}: found no such file or directory; expected a YAML file that can be read"
    )


def test_whole_rule_is_read(tmp_path: Path) -> None:
    (rule,) = rules_of(
        tmp_path,
        """\
subject: braze welding
about: what the filler stands
rules:
  - id: braze.much-to-say
    stage: method
    title: A rule with everything
    when:
      all:
        - {fact: heat, above: {table: methods, row: braze_weld, column: temperature_limit}}
        - any: [{fact: material, one_of: [gray_iron, cast_steel]}, {fact: turns, is: yes}]
        - not: {fact: signs, includes: [rust, oil]}
        - {fact: wall, at_most: 3/8 in}
        - {fact: wall, known: yes}
        - {fact: route, is: hot}
    then:
      - rule_out: braze_weld
      - allow: stitch
      - favour: {method: stitch, weight: 5}
      - disfavour: {method: braze_weld, weight: 1}
      - require_step: drill_pins
      - require_inspection: penetrant
      - require_approval: surveyor
      - warn: "Hot   at {heat}."
      - settle: {care: much}
      - settle: {preheat: 500 degF}
      - assume: {fact: route, value: cold, settled_by: heat}
    because: >-
      The filler
      softens.
    caution: Mind the {heat}.
    authority: the owner
    not_for: new iron
    only_at_work: yes
    checked: 2026-11-25
    source:
      - {ref: EN-1561, clause: "5.1", seen: read2}
      - {ref: PRACTICE, seen: practice}
""",
    )
    assert rule.when == All(
        (
            Test("heat", "above", limit=260.0, source=("EN-1561",), written="260 degC"),
            Any(
                (
                    Test("material", "one_of", frozenset({"gray_iron", "cast_steel"})),
                    Test("turns", "is", frozenset({"yes"})),
                )
            ),
            Not(Test("signs", "includes", frozenset({"rust", "oil"}))),
            Test("wall", "at_most", limit=9.525, written="3/8 in"),
            Known("wall", known=True),
            Test("route", "is", frozenset({"hot"})),
        )
    )
    assert rule.then == (
        Effect("rule_out", "braze_weld"),
        Effect("allow", "stitch"),
        Effect("favour", "stitch", weight=5),
        Effect("disfavour", "braze_weld", weight=1),
        Effect("require_step", "drill_pins"),
        Effect("require_inspection", "penetrant"),
        Effect("require_approval", "surveyor"),
        Effect("warn", text="Hot at {heat}."),
        Effect("settle", "care", word="much"),
        Effect("settle", "preheat", number=260.0),
        Effect("assume", "route", word="cold", question="heat"),
    )
    assert rule.sources == (SourceRef("EN-1561", "5.1", "read2"), SourceRef("PRACTICE"))
    assert rule.marks == ("read2", "practice")
    assert (rule.stage, rule.subject, rule.line) == (1, "braze welding", 4)
    assert (rule.because, rule.caution) == ("The filler softens.", "Mind the {heat}.")
    assert (rule.authority, rule.not_for) == ("the owner", "new iron")
    assert rule.only_at_work
    assert [effect.claim for effect in rule.then] == [
        ("methods_ruled_out", "braze_weld"),
        ("methods_allowed", "stitch"),
        None,
        None,
        ("required_steps", "drill_pins"),
        ("required_inspections", "penetrant"),
        ("required_approvals", "surveyor"),
        None,
        ("care", "much"),
        ("preheat", 260.0),
        ("route", "cold"),
    ]


def test_double_negation_of_a_decision_of_the_same_stage_is_positive(tmp_path: Path) -> None:
    when = "{not: {not: {fact: route, is: hot}}}"
    (rule,) = rules_of(tmp_path, put(RULES, "{fact: heat, above: 260 degC}", when))
    assert rule.when == Not(Not(Test("route", "is", frozenset({"hot"}))))


def test_condition_of_a_later_stage_may_read_everything_before() -> None:
    text = "{all: [{not: {fact: care, is: much}}, {fact: preheat, known: no}, {fact: best_wall, above: 4 mm}]}"  # noqa: E501
    cursor = Cursor.top(parse_yaml(f"when: {text}", "made up"))["when"]
    assert isinstance(parse_when(cursor, CONTEXT, 2), All)


# --- limits from the real tables ----------------------------------------------------------------


@pytest.fixture(scope="module")
def knowledge(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    folder = tmp_path_factory.mktemp("knowledge")
    (folder / "sources.yaml").write_text(SOURCES)
    (folder / "metals.yaml").write_text(METALS)
    return load_knowledge(folder)


@pytest.mark.parametrize(
    ("place", "says"),
    [
        (("metal", "bronze", "melting"), "table metal, which does not exist"),
        (("metals", "brass", "melting"), "row brass, which table metals does not have"),
        (("metals", "bronze", "melts"), "column melts, which table metals does not have"),
        (("metals", "bronze", "density"), "cell density of bronze in metals, which is empty"),
        (
            ("metals", "gray_iron", "melting"),
            "cell melting of gray_iron in metals, which is not one number",
        ),
        (
            ("metals", "gray_iron", "brittle"),
            "cell brittle of gray_iron in metals, which is not one number",
        ),
        (("metals", "bronze", "melting"), TableLimit(1000.0, "degC", ("PRACTICE",))),
    ],
)
def test_limit_from_a_table(
    knowledge: Knowledge, place: tuple[str, str, str], says: str | TableLimit
) -> None:
    lists = dict.fromkeys(("methods", "steps", "inspections", "approvals"), METHODS)
    context = rule_context(VOCABULARY, knowledge, lists, Questionnaire((), ()))
    assert context.look_up(*place) == says


# --- facts --------------------------------------------------------------------------------------

ANSWERS = [
    FactKind("material", "word", choices=("gray_iron",)),
    FactKind("signs", "members", choices=("rust",)),
    FactKind("wall", "number", dimension="length", unit="mm"),
]


@pytest.mark.parametrize("entry", mistakes("facts"))
def test_mistake_in_a_declaration(
    tmp_path: Path, knowledge: Knowledge, entry: dict[str, str]
) -> None:
    first = FACTS.splitlines()[3].removeprefix("  - ")
    old, new = (first, entry["fact"]) if "fact" in entry else (entry["for"], entry["put"])
    file = tmp_path / "10-facts.yaml"
    lists = {"methods": METHODS}

    def load() -> object:
        return load_declarations([file], ("material", "method"), ANSWERS, knowledge, lists)

    assert refused(file, put(FACTS, old, new), load) == entry["says"]


def test_fact_twice_across_files(tmp_path: Path, knowledge: Knowledge) -> None:
    files = [tmp_path / "10-facts.yaml", tmp_path / "20-facts.yaml"]
    for file in files:
        file.write_text(FACTS)
    with pytest.raises(KnowledgeProblem) as raised:
        load_declarations(files, ("material", "method"), ANSWERS, knowledge, {})
    assert str(raised.value) == (
        f"{files[1]}:4:6: facts[1].id: found fact brittle, which is declared already; "
        "expected each fact once"
    )


def test_whole_declarations_are_read(tmp_path: Path, knowledge: Knowledge) -> None:
    more = """\
stage: method
facts:
  - {id: kind, type: word, says: kind, from: {table: metals, column: weldability, key: material}}
  - {id: with, type: members, says: with, from: {table: metals, column: fillers, key: kind}}
  - {id: density, type: number, dimension: temperature, says: d, from: {table: metals, column: melting, key: standing}}
  - {id: way, type: word, choices: {list: methods}, says: way, from: rules, combine: single}
"""  # noqa: E501
    files = [tmp_path / "10-facts.yaml", tmp_path / "20-facts.yaml"]
    for file, text in zip(files, (FACTS, more), strict=True):
        file.write_text(text)
    lists = {"methods": METHODS}
    read = load_declarations(files, ("material", "method"), ANSWERS, knowledge, lists)
    assert [kind.name for kind in read.kinds] == [
        *("brittle", "wall_ratio", "standing", "kind", "with", "density", "way"),
    ]
    brittle, ratio, standing, kind, with_, density, way = read.kinds
    assert (brittle.type, brittle.choices, brittle.stage) == ("word", ("no", "yes"), 0)
    assert (ratio.type, ratio.unit, ratio.late, ratio.combine) == ("number", "1", True, None)
    assert standing == FactKind(
        "standing",
        "word",
        0,
        says="how well the metal is known",
        choices=("good", "weak"),
        combine="strictest",
        unsure="weak",
        otherwise="good",
        labels={"good": "well known"},
    )
    assert (kind.choices, with_.choices, with_.type) == (
        ("good", "poor"),
        ("nickel", "bronze"),
        "members",
    )
    assert (density.unit, density.stage, way.choices) == ("degC", 1, METHODS)
    assert read.look_ups[0] == TableLookUp("brittle", "metals", "brittle", "material")
    assert [look_up.fact for look_up in read.look_ups] == ["brittle", "kind", "with", "density"]
    assert read.by_formula == {"wall_ratio"}


# --- steps and inspections ----------------------------------------------------------------------


@pytest.mark.parametrize("entry", mistakes("steps"))
def test_mistake_in_a_step(tmp_path: Path, entry: dict[str, str]) -> None:
    file = tmp_path / "steps.yaml"

    def load() -> None:
        load_steps(file)
        check_texts(file, {"pin_count", "wall"})

    assert refused(file, put(STEPS, entry["for"], entry["put"]), load) == entry["says"]


@pytest.mark.parametrize("entry", mistakes("inspections"))
def test_mistake_in_an_inspection(tmp_path: Path, entry: dict[str, str]) -> None:
    file = tmp_path / "inspections.yaml"

    def load() -> None:
        load_inspections(file, {"PRACTICE"})
        check_texts(file, {"crack_length", "wall"})

    assert refused(file, put(INSPECTIONS, entry["for"], entry["put"]), load) == entry["says"]


def test_steps_and_inspections_are_read_in_order(tmp_path: Path) -> None:
    (tmp_path / "steps.yaml").write_text(put(STEPS, "order: 10", "order: 30"))
    (tmp_path / "inspections.yaml").write_text(INSPECTIONS)
    steps = load_steps(tmp_path / "steps.yaml")
    assert list(steps) == ["stop", "drill"]
    assert (steps["stop"].hold_point, steps["drill"].hold_point) == (True, False)
    assert steps["drill"].cautions == ("Mind the {wall}.",)
    assert steps["drill"].sequence_word == "drill_pins"
    (inspection,) = load_inspections(tmp_path / "inspections.yaml", {"PRACTICE"}).values()
    assert (inspection.when, inspection.who) == ("before", "a tester")
    assert (inspection.sources, inspection.mark) == (("PRACTICE",), "practice")


# --- the cursor ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "legal", "right"),
    [
        ("gray", ("gray_iron", "bronze"), "a known name; did you mean gray_iron?"),
        ("xyz", ("gray_iron", "bronze"), "one of bronze, gray_iron"),
        ("xyz", [f"n{at:02}" for at in range(13)], None),
    ],
)
def test_nearest(found: str, legal: list[str], right: str | None) -> None:
    said = nearest(found, legal)
    assert said == right if right else said.endswith("n10, n11 …")


@pytest.mark.parametrize("text", ["²", "--5", "1.0", "1e3", "+5", "", "12345678901", "٣"])
def test_what_is_no_whole_number(text: str) -> None:
    cursor = Cursor.top(parse_yaml(f'at: "{text}"', "made up"))["at"]
    with pytest.raises(KnowledgeProblem):
        cursor.whole_number(1, 5)


def test_position_of_what_is_not_written_is_that_of_what_holds_it() -> None:
    top = Cursor.top(parse_yaml("a:\n  b: [1, 2]\n", "made up"))
    assert (top["a"]["b"][1].line, top["a"].line, top.line) == (2, 1, 1)


# --- the rule base of the project ---------------------------------------------------------------


def test_rule_base_of_the_project_can_be_read() -> None:
    book = load_rulebook()
    assert len(book.rules) > 300
    assert {rule.stage for rule in book.rules} <= set(range(len(book.vocabulary.stages)))
    for rule in book.rules:
        assert rule.because
        assert rule.sources
        assert rule.line
