"""What holds of every advice, whatever the case."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.advise import advise
from advisor.advice.model import SCHEMA, Advice, Insert, Stitching
from advisor.advice.rulebook import METHODS, Rulebook
from advisor.case.model import UNKNOWN, Answer, Case
from advisor.case.reading import read_case
from advisor.reasoning import engine

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.yaml"))
STITCHED = "engine-block-frost-crack-in-water-jacket-is-stitched"
WITH_INSERT = "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins"

# The keys of `advise --json` that outside checks read, and the methods that they know by name.
KEYS = [
    "schema",
    "case",
    "title",
    "program",
    "rulebook",
    "verdict",
    "methods",
    "stitching",
    "inserts",
    "heat",
    "steps",
    "inspections",
    "cautions",
    "assumptions",
    "next_questions",
    "margins",
    "spreads",
    "trace",
]
PROMISED_METHODS = [
    "cold_stitch",
    "cold_stitch_with_keys",
    "braze_weld",
    "arc_weld_cool_nickel",
    "arc_weld_full_preheat",
    "oxyfuel_fusion_weld",
    "tig_weld",
    "arc_weld_steel",
    "patch_plate",
    "threaded_plug",
    "resin_repair",
    "impregnation",
    "replace_part",
]
PIN_KEYS = [
    "thread",
    "major_diameter",
    "length",
    "count",
    "pitch",
    "overlap",
    "tap_drill",
    "spotface_depth",
    "engaged_threads",
]
INSERT_KEYS = [
    "hole",
    "needed",
    "kind",
    "outside_thread",
    "length",
    "bore",
    "tap_drill",
    "strip_safety",
    "ligament",
    "because",
]


# --- nothing known --------------------------------------------------------------------------------


def _nothing(rulebook: Rulebook, answer: str) -> Case:
    answers = {} if answer == "none" else {q: Answer(UNKNOWN) for q in rulebook.questionnaire.by_id}
    return Case(reference="D-000", title="nothing known (invented)", notes="", answers=answers)


@pytest.fixture(scope="module", params=["none", "all unknown"])
def unknown(request: pytest.FixtureRequest, rulebook: Rulebook) -> Advice:
    return advise(_nothing(rulebook, request.param), rulebook)


def test_nothing_known_is_investigated_or_referred(unknown: Advice) -> None:
    assert unknown.verdict.value in ("investigate", "refer")
    assert unknown.verdict.because
    assert unknown.recommended is None
    assert unknown.stitching is None
    assert unknown.heat is None


def test_nothing_known_asks(unknown: Advice) -> None:
    asked = [question.id for question in unknown.next_questions]
    assert {"material", "part_kind", "wall_thickness", "crack_ends_found"} <= set(asked)
    assert all(question.decides for question in unknown.next_questions)


def test_nothing_known_is_made_safe_first(unknown: Advice) -> None:
    steps = [step.id for step in unknown.steps]
    assert steps[0] == "stop_and_tag"
    assert not {"trial_drill", "end_holes", "weld_hot", "preheat_whole"} & set(steps)


def test_answers_unknown_and_left_out_weigh_the_same(rulebook: Rulebook) -> None:
    left_out, unknown = (
        advise(_nothing(rulebook, how), rulebook).to_json() for how in ("none", "all unknown")
    )
    assert left_out == unknown


# --- the document ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_document_has_every_key_and_reads_back(name: str, worked: Callable[[str], Any]) -> None:
    advice = worked(name).advice
    plain = advice.to_json()
    assert list(plain) == KEYS
    assert plain["schema"] == SCHEMA
    assert Advice.from_json(json.loads(json.dumps(plain))) == advice


def test_parts_of_the_document_keep_their_keys(worked: Callable[[str], Any]) -> None:
    plain = worked(WITH_INSERT).advice.to_json()
    assert set(PIN_KEYS) <= plain["stitching"]["pin"].keys()
    assert set(INSERT_KEYS) <= plain["inserts"][0].keys()
    assert {"n", "at", "x", "y", "pass", "wall", "pin_length"} <= (
        plain["stitching"]["layout"][0].keys()
    )
    assert {"keys", "passes", "layout", "strength"} <= {one.name for one in fields(Stitching)}
    assert {"from", "inputs", "sources", "value"} <= plain["trace"]["verdict"].keys()
    assert set(INSERT_KEYS) <= {one.name for one in fields(Insert)}
    assert plain["program"]["version"]
    assert len(plain["rulebook"]["digest"]) == 64


@pytest.mark.parametrize("name", NAMES)
def test_steps_and_references_are_whole(
    name: str, worked: Callable[[str], Any], rulebook: Rulebook
) -> None:
    advice = worked(name).advice
    assert [step.n for step in advice.steps] == list(range(1, len(advice.steps) + 1))
    assert len({step.id for step in advice.steps}) == len(advice.steps)
    assert all("{" not in step.do for step in advice.steps)
    order = {"before": 0, "during": 1, "after": 2}
    assert [order[one.when] for one in advice.inspections] == sorted(
        order[one.when] for one in advice.inspections
    )
    named = {step.rule for step in advice.steps} | {one.rule for one in advice.cautions}
    named |= {one.rule for one in advice.inspections} | set(advice.verdict.because)
    assert named <= rulebook.rule_by_id.keys()
    cited = {source for one in advice.inspections for source in one.sources}
    assert cited <= rulebook.knowledge.sources.keys()


# --- verdict and method ---------------------------------------------------------------------------


def test_the_promised_methods_are_all_there() -> None:
    assert sorted(METHODS) == sorted(PROMISED_METHODS)


@pytest.mark.parametrize("name", NAMES)
def test_one_method_is_recommended_where_work_goes_ahead(
    name: str, worked: Callable[[str], Any]
) -> None:
    advice = worked(name).advice
    assert sorted(one.method for one in advice.methods) == sorted(METHODS)
    recommended = [one.method for one in advice.methods if one.standing == "recommended"]
    if advice.go_ahead:
        assert len(recommended) == 1
        assert recommended != ["replace_part"]
        assert advice.methods[0].method == recommended[0]
    else:
        assert recommended == (["replace_part"] if advice.verdict.value == "replace" else [])
        assert advice.stitching is None
        assert advice.heat is None
    assert all(one.reasons for one in advice.methods)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_plainly_repaired_that_somebody_must_agree_to(
    name: str, worked: Callable[[str], Any]
) -> None:
    verdict = worked(name).advice.verdict
    assert verdict.because
    if verdict.value == "repair":
        assert verdict.approval == ()
    if verdict.value == "repair_with_approval":
        assert verdict.approval != ()


def test_every_rule_that_asks_for_consent_holds_the_verdict_back(rulebook: Rulebook) -> None:
    """A rule that asks for anybody's consent, the owner's too, settles a verdict as well."""
    # Each of these only adds a name where another rule has held the verdict back already.
    adds_a_name = {"standing.contradicted-laboratory", "part.lifting-drum-that-turns"}
    bold = {
        rule.id
        for rule in rulebook.rule_by_id.values()
        if any(effect.kind == "require_approval" for effect in rule.then)
        and not any(effect.target == "verdict" for effect in rule.then)
    }
    assert bold == adds_a_name


@pytest.mark.parametrize("name", NAMES)
def test_pins_that_are_drawn_are_the_pins_that_are_counted(
    name: str, worked: Callable[[str], Any]
) -> None:
    stitching = worked(name).advice.stitching
    if stitching is None:
        return
    assert len(stitching.layout) == stitching.pin.count
    assert [hole.n for hole in stitching.layout] == list(range(1, stitching.pin.count + 1))
    assert max(hole.drilling_pass for hole in stitching.layout) == stitching.passes
    # Practice: fewer than three full threads hold nothing.
    assert min(hole.engaged_threads for hole in stitching.layout) >= 3
    if stitching.keys:
        assert len(stitching.keys.positions) == stitching.keys.count


# --- trace ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_every_input_of_a_fact_is_in_the_trace_or_open(
    name: str, worked: Callable[[str], Any], rulebook: Rulebook
) -> None:
    done = worked(name)
    trace = done.advice.trace
    for fact, entry in trace.items():
        for given in set(entry.inputs) - trace.keys():
            known = given in rulebook.vocabulary and done.thinking.values[given].known
            assert not known, f"{fact} was made from {given}, which is known and not in the trace"
            assert given in rulebook.vocabulary or given in rulebook.questionnaire.by_id
        assert set(entry.sources) <= rulebook.knowledge.sources.keys()


@pytest.mark.parametrize("name", NAMES)
def test_every_answer_is_in_the_trace(
    name: str, worked: Callable[[str], Any], cases: Mapping[str, Case]
) -> None:
    trace = worked(name).advice.trace
    for question, answer in cases[name].answers.items():
        if answer.value is not UNKNOWN:
            assert trace[question].origin == "answer"


# --- the same every time --------------------------------------------------------------------------


def _text(advice: Advice) -> str:
    return json.dumps(advice.to_json())


@pytest.mark.parametrize("name", [STITCHED, WITH_INSERT])
def test_same_case_same_bytes(
    name: str, worked: Callable[[str], Any], cases: Mapping[str, Case], rulebook: Rulebook
) -> None:
    once = _text(worked(name).advice)
    assert _text(advise(cases[name], rulebook)) == once
    turned = dict(reversed(cases[name].answers.items()))
    again = advise(Case(**{**vars(cases[name]), "answers": turned}), rulebook)
    assert json.loads(_text(again)) == json.loads(once)


def test_another_process_gives_the_same_bytes(worked: Callable[[str], Any]) -> None:
    """Sets iterate differently under another hash seed; nothing printed may follow them."""
    program = (
        "import json, sys; from pathlib import Path;"
        "from advisor.advice.advise import advise;"
        "from advisor.advice.rulebook import load_rulebook;"
        "from advisor.case.reading import read_case;"
        "book = load_rulebook(); grades = tuple(book.knowledge.tables['grades'].rows);"
        "case = read_case(Path(sys.argv[1]), book.questionnaire, grades);"
        "print(json.dumps(advise(case, book).to_json()))"
    )
    root = SCENARIOS.parent
    ran = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", program, f"{SCENARIOS / WITH_INSERT}.yaml"],
        env={**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": str(root)},
        cwd=root,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert ran.stdout.strip() == _text(worked(WITH_INSERT).advice)


@pytest.mark.skipif(not engine.AVAILABLE, reason="only the judge runs here")
def test_the_engine_changes_nothing_but_the_note_that_it_agreed(
    rulebook: Rulebook, monkeypatch: pytest.MonkeyPatch, worked: Callable[[str], Any]
) -> None:
    monkeypatch.setattr(engine, "AVAILABLE", False)
    grades = tuple(rulebook.knowledge.tables["grades"].rows)
    path = SCENARIOS / f"{STITCHED}.yaml"
    alone = advise(read_case(path, rulebook.questionnaire, grades), rulebook).to_json()
    both = worked(STITCHED).advice.to_json()
    assert alone["program"]["reasoners"]["agreed"] is None
    assert {**alone, "program": None} == {**both, "program": None}
