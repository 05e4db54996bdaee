"""A plan file is read strictly: every problem at once, with its line and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook
from advisor.case.problems import InputProblem
from advisor.review.plan import Plan
from advisor.review.plan_reading import PlanProblems, parse_plan, read_plan
from advisor.review.plan_writing import plan_text, write_new

from .conftest import own_plan, scenario_names, thought

BOSS = "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins"
WHOLE = """\
plan: J-1
by: somebody (invented)
case: D-006
notes: >-
  Two lines
  of notes.
verdict: repair
method: cold_stitch
pin: {thread: 5/16-18 UNC, pitch: 1/4 in, count: 12, spotface_depth: 0 mm, length: 3/8 in}
keys: {count: 3, spacing: 30 mm, depth: 10 mm, section: neck_8, staggered: no}
inserts:
  - {hole: 1, outside_thread: M24x2, length: 1 1/4 in, kind: threaded_plug}
heat: {preheat: 212 degF, interpass_max: 250 degC, filler: ENi-CI, cooling: covered}
inspections:
  - {when: before, method: penetrant, hold_point: yes, what: both ends}
test_pressure: 30 psi
test_medium: water
sequence: [prove_ends, drill_pins]
overrides:
  - {rule: after.first-heat, reason: It stands outdoors., by: foreman (invented)}
"""


def read(text: str, rulebook: Rulebook) -> Plan:
    return parse_plan(text, "p.yaml", rulebook, thought(BOSS).case)


def test_every_entry_is_read_in_its_unit(rulebook: Rulebook) -> None:
    plan = read(WHOLE, rulebook)
    assert plan.pin
    assert plan.pin.thread
    assert plan.pin.thread.read.diameter_mm == pytest.approx(25.4 * 5 / 16)
    assert plan.pin.pitch == pytest.approx(6.35)
    assert plan.pin.spotface_depth == 0.0
    assert plan.keys
    assert plan.keys.staggered is False
    assert plan.keys.section
    assert plan.keys.section.name == "neck_8"
    assert plan.inserts
    assert plan.inserts[0].length == pytest.approx(31.75)
    assert plan.heat
    assert plan.heat.preheat == pytest.approx(100.0)
    assert plan.test_pressure == pytest.approx(2.0684, abs=1e-3)
    assert plan.inspections
    assert plan.inspections[0].hold_point is True
    assert plan.overrides[0].by == "foreman (invented)"
    assert plan.notes == "Two lines of notes."


def test_what_is_left_out_is_not_stated(rulebook: Rulebook) -> None:
    plan = read("plan: J-2\n", rulebook)
    assert plan.verdict is None
    assert plan.pin is None
    assert plan.inspections is None
    assert not plan.plans_work


@pytest.mark.parametrize(
    ("text", "line", "field", "says"),
    [
        ("by: x\n", 1, "", 'no entry "plan"'),
        ("plan: J\nmethd: cold_stitch\n", 2, "methd", "did you mean method?"),
        ("plan: J\nmethod: cold_stich\n", 2, "method", "did you mean cold_stitch?"),
        ("plan: J\nverdict: go\n", 2, "verdict", "one of repair"),
        ("plan: J\npin: {thread: M8x1.3}\n", 2, "pin.thread", "M8x1.25"),
        ("plan: J\npin: {thread: G 1/2}\n", 2, "pin.thread", "metric or unified"),
        ("plan: J\npin: {pitch: 6}\n", 2, "pin.pitch", "without a unit"),
        ("plan: J\npin: {pitch: 6 bar}\n", 2, "pin.pitch", "a length"),
        ("plan: J\npin: {pitch: 5 mm .. 6 mm}\n", 2, "pin.pitch", "one value"),
        ("plan: J\npin: {pitch: 0 mm}\n", 2, "pin.pitch", "above 0"),
        ("plan: J\npin: {count: 1.5}\n", 2, "pin.count", "a whole number"),
        ("plan: J\npin: {count: -3}\n", 2, "pin.count", "a whole number"),
        ("plan: J\npin: {pich: 6 mm}\n", 2, "pin.pich", "did you mean pitch?"),
        ("plan: J\npin: M8\n", 2, "pin", "entries `name: value`"),
        ("plan: J\nkeys: {section: nek_5}\n", 2, "keys.section", "did you mean neck_5?"),
        ("plan: J\nkeys: {staggered: maybe}\n", 2, "keys.staggered", "yes or no"),
        ("plan: J\ninserts:\n  - {outside_thread: M24}\n", 3, "inserts[1]", "hole"),
        ("plan: J\ninserts:\n  - {hole: 4}\n", 3, "inserts[1].hole", "a hole from 1 to 1"),
        ("plan: J\ninserts:\n  - {hole: 1}\n  - {hole: 1}\n", 4, "inserts[2].hole", "each once"),
        ("plan: J\ninserts: {hole: 1}\n", 2, "inserts", "a list"),
        ("plan: J\nheat: {cooling: water}\n", 2, "heat.cooling", "still_air"),
        ("plan: J\nheat: {preheat: warm}\n", 2, "heat.preheat", "a temperature"),
        ("plan: J\ninspections:\n  - {when: before}\n", 3, "inspections[1]", "method"),
        (
            "plan: J\ninspections:\n  - {when: later, method: penetrant}\n",
            3, "inspections[1].when", "before, during, after",
        ),
        (
            "plan: J\ninspections:\n  - {when: after, method: penetrent}\n",
            3, "inspections[1].method", "did you mean penetrant?",
        ),
        ("plan: J\ntest_pressure: 0 bar\n", 2, "test_pressure", "above 0"),
        ("plan: J\ntest_medium: steam\n", 2, "test_medium", "water, oil, air"),
        ("plan: J\nsequence: prove_ends\n", 2, "sequence", "a list of steps"),
        ("plan: J\nsequence: [drill_pin]\n", 2, "sequence[1]", "did you mean drill_pins?"),
        (
            "plan: J\noverrides:\n  - {rule: no.such-rule, reason: r, by: b}\n",
            3, "overrides[1].rule", "the id of a rule",
        ),
        (
            "plan: J\noverrides:\n  - {rule: after.first-heat, by: b}\n",
            3, "overrides[1]", "reason",
        ),
        (
            "plan: J\noverrides:\n  - {rule: after.first-heat, reason: '', by: b}\n",
            3, "overrides[1].reason", "a text",
        ),
        ("plan: J\nmethod:\n", 2, "method", "the entry left out"),
        ("plan: J\nnotes: [a]\n", 2, "notes", "a text"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named_with_its_line(
    text: str, line: int, field: str, says: str, rulebook: Rulebook
) -> None:
    with pytest.raises(PlanProblems) as caught:
        read(text, rulebook)
    (problem,) = caught.value.problems
    assert (problem.line, problem.field or "") == (line, field)
    assert says in problem.message
    assert problem.message.startswith(f"p.yaml:{line}:")


def test_everything_wrong_is_told_at_once(rulebook: Rulebook) -> None:
    text = "verdict: go\npin: {pitch: 6, count: x}\nsequence: [drill]\nnonsense: 1\n"
    with pytest.raises(PlanProblems) as caught:
        read(text, rulebook)
    assert len(caught.value.problems) == 6
    assert len(str(caught.value).splitlines()) == 6


def test_a_case_without_holes_takes_no_insert(rulebook: Rulebook) -> None:
    case = thought("boiler-section-is-refused-by-law").case
    with pytest.raises(PlanProblems, match="the case lists none"):
        parse_plan("plan: J\ninserts:\n  - {hole: 1}\n", "p.yaml", rulebook, case)


def test_no_file_is_bad_input(rulebook: Rulebook, tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="no such file"):
        read_plan(tmp_path / "none.yaml", rulebook)


@pytest.mark.parametrize("name", scenario_names())
def test_own_plan_reads_back(name: str, rulebook: Rulebook) -> None:
    data = own_plan(name)
    plan = parse_plan(plan_text(data), "p.yaml", rulebook, thought(name).case)
    assert plan.reference == data["plan"]
    assert (plan.verdict, plan.method) == (data["verdict"], data.get("method"))
    assert list(plan.sequence or ()) == data.get("sequence", [])
    assert len(plan.inspections or ()) == len(data.get("inspections", []))
    if "pin" in data:
        assert plan.pin
        assert str(plan.pin.count) == data["pin"]["count"]
    if "keys" in data:
        assert plan.keys
        assert str(plan.keys.count) == data["keys"]["count"]


def test_a_plan_that_is_there_stays(tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    write_new(path, "plan: A\n")
    with pytest.raises(InputProblem, match="a file of that name"):
        write_new(path, "plan: B\n")
    assert path.read_text() == "plan: A\n"
    write_new(path, "plan: B\n", force=True)
    assert path.read_text() == "plan: B\n"
    assert [each.name for each in tmp_path.iterdir()] == ["plan.yaml"]


def test_a_folder_that_is_not_there_is_bad_input(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="a file that can be written"):
        write_new(tmp_path / "none" / "plan.yaml", "plan: A\n")


@pytest.mark.parametrize("text", ["a: b", "x # y", "yes", "- a", "'q'", "é", "[a]", "a,b", "null"])
def test_odd_texts_survive_the_file(text: str, rulebook: Rulebook) -> None:
    plan = parse_plan(plan_text({"plan": text, "by": text}), "p.yaml", rulebook)
    assert (plan.reference, plan.by) == (text, text)
