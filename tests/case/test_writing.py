"""Writing a case: only the answer changes, and the file is replaced in one step."""

from __future__ import annotations

import difflib
import os
import stat
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.case.model import UNKNOWN, Hole, PathPoint, Value
from advisor.case.problems import InputProblem
from advisor.case.quantities import DIMENSIONS, Measure, parse_measure
from advisor.case.questions import Questionnaire
from advisor.case.reading import parse_case, read_answer, read_case
from advisor.case.writing import (
    Plain,
    case_text,
    create_case,
    edit_text,
    set_answers,
    to_plain,
)
from advisor.case.yaml_text import parse_yaml

FILE = """\
# my case
case:   "J-1"   # reference
title: 'Größe 3'
answers:
    # the part
    part_kind:    pump_housing   # seen
    # wall
    wall_thickness: 9 mm +/- 1 mm
    holes:   # two
    # really
      - thread: M16x2   # the first
        depth: 30 mm
      # the second
      - {thread: M12}  # end
    # after the holes
    processes:
    - arc
    - tig
    marks:   # not read yet
    material_grade: >
      EN-GJL-250

    # tail
# foot
notes: x
"""


def changed_lines(old: str, new: str) -> str:
    lines = difflib.unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm="")
    return "\n".join(line for line in lines if not line.startswith(("---", "+++", "@@")))


EDITS: list[tuple[dict[str, Plain | None], str]] = [
    (
        {"wall_thickness": "3/8 in"},
        "-    wall_thickness: 9 mm +/- 1 mm\n+    wall_thickness: 3/8 in",
    ),
    (
        {"part_kind": "machine_bed"},
        "-    part_kind:    pump_housing   # seen\n+    part_kind:    machine_bed   # seen",
    ),
    ({"part_kind": None}, "-    part_kind:    pump_housing   # seen"),
    ({"marks": "A 17"}, "-    marks:   # not read yet\n+    marks: A 17   # not read yet"),
    ({"marks": None}, "-    marks:   # not read yet"),
    (
        {"material_grade": "EN-GJS-500-7"},
        "-    material_grade: >\n-      EN-GJL-250\n+    material_grade: EN-GJS-500-7",
    ),
    (
        {"processes": ["arc"]},
        "-    processes:\n-    - arc\n-    - tig\n+    processes: [arc]",
    ),
    ({"processes": []}, "-    processes:\n-    - arc\n-    - tig\n+    processes: []"),
    (
        {"holes": [{"thread": "M8", "bolt_class": "8.8"}, {"thread": "G 1/2"}]},
        "-      - thread: M16x2   # the first\n-        depth: 30 mm\n-      # the second\n"
        "-      - {thread: M12}  # end\n"
        "+      - {thread: M8, bolt_class: 8.8}\n+      - {thread: G 1/2}  # end",
    ),
    (
        {"holes": "unknown"},
        "-    holes:   # two\n-    # really\n-      - thread: M16x2   # the first\n"
        "-        depth: 30 mm\n-      # the second\n-      - {thread: M12}  # end\n"
        "+    holes: unknown   # two\n+    # really  # end",
    ),
    (
        {"hardness": "210", "composition": {"C": "3.3 %", "Si": "2 %"}},
        "+    hardness: 210\n+    composition: {C: 3.3 %, Si: 2 %}",
    ),
    (
        {"crack_path": [{"x": "0 mm", "y": "0 mm"}, {"x": "1 in", "y": "1/4 in"}]},
        "+    crack_path:\n+      - {x: 0 mm, y: 0 mm}\n+      - {x: 1 in, y: 1/4 in}",
    ),
    ({"absent": None}, ""),
]


@pytest.mark.parametrize(("changes", "difference"), EDITS)
def test_nothing_but_the_answer_changes(
    changes: Mapping[str, Plain | None], difference: str
) -> None:
    assert changed_lines(FILE, edit_text(FILE, "f", changes)) == difference


@pytest.mark.parametrize(("changes", "difference"), EDITS)
def test_windows_line_ends_stay(changes: Mapping[str, Plain | None], difference: str) -> None:
    edited = edit_text(FILE.replace("\n", "\r\n"), "f", changes)
    assert "\n" not in edited.replace("\r\n", "")
    assert changed_lines(FILE, edited.replace("\r\n", "\n")) == difference


LAYOUTS = [
    ("case: J\n", {"a": "1"}, "case: J\nanswers:\n  a: 1\n"),
    ("case: J", {"a": "1"}, "case: J\nanswers:\n  a: 1"),
    ("---\ncase: J\n...\n", {"a": "1"}, "---\ncase: J\nanswers:\n  a: 1\n...\n"),
    ("case: J\nanswers: # c\nnotes: n\n", {"a": "1"}, "case: J\nanswers: # c\n  a: 1\nnotes: n\n"),
    ("case: J\nanswers: ~\n", {"a": "1"}, "case: J\nanswers: \n  a: 1\n"),
    ("case: J\nanswers: {}\n", {"a": "1"}, "case: J\nanswers: {a: 1}\n"),
    ("case: J\nanswers: {a: 1, b: 2}\n", {"a": None}, "case: J\nanswers: {b: 2}\n"),
    ("case: J\nanswers: {a: 1, b: 2}\n", {"b": None}, "case: J\nanswers: {a: 1}\n"),
    ("case: J\nanswers: {a: 1}\n", {"a": None}, "case: J\nanswers: {}\n"),
    ("case: J\nanswers: {a: 1}\n", {"b": [{"c": "2"}]}, "case: J\nanswers: {a: 1, b: [{c: 2}]}\n"),
    ("{case: J, answers: {a: 1}}", {"a": "2"}, "{case: J, answers: {a: 2}}"),
    ("answers:\n  a: 1\ncase: J", {"b": "2"}, "answers:\n  a: 1\n  b: 2\ncase: J"),
    ("case: J\nanswers:\n  a: 1", {"a": None}, "case: J\nanswers:\n"),
    ("case: J\nanswers:\n  a: 'x\n\n    y' # c\n", {"a": "z"}, "case: J\nanswers:\n  a: z # c\n"),
    ("case: J\nanswers:\n  a: []  # c\n", {"a": [{"b": "1"}]},
     "case: J\nanswers:\n  a:\n    - {b: 1}  # c\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "changes", "edited"), LAYOUTS)
def test_layouts(text: str, changes: Mapping[str, Plain | None], edited: str) -> None:
    assert edit_text(text, "f", changes) == edited


@pytest.mark.parametrize("text", ["{case: J}", "case: J\nanswers:\n  ? a\n  : 1\n"])
def test_a_layout_that_cannot_be_edited_is_refused(text: str) -> None:
    with pytest.raises(InputProblem) as caught:
        edit_text(text, "f", {"b": "1"})
    assert str(caught.value) == (
        "f: found a layout that cannot be edited safely; "
        "expected `answers:` with one `question: answer` in a line under it"
    )


# --- Files --------------------------------------------------------------------------------------


def test_a_file_is_replaced_with_its_mode_and_without_leftovers(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + FILE.encode())
    path.chmod(0o640)
    set_answers(path, {"marks": "A 17"})
    assert path.read_bytes().startswith(b"\xef\xbb\xbf# my case")
    assert "marks: A 17   # not read yet" in path.read_text(encoding="utf-8")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["case.yaml"]


def test_no_change_leaves_the_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(FILE, encoding="utf-8")
    before = path.stat().st_ino
    set_answers(path, {"part_kind": "pump_housing"})
    assert path.stat().st_ino == before


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(FILE, encoding="utf-8")
    link = tmp_path / "link.yaml"
    link.symlink_to(path)
    set_answers(link, {"part_kind": None})
    assert link.is_symlink()
    assert "part_kind" not in path.read_text(encoding="utf-8")


def test_a_failure_while_writing_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(FILE, encoding="utf-8")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputProblem, match="found no space left on device"):
        set_answers(path, {"part_kind": None})
    assert path.read_text(encoding="utf-8") == FILE
    assert os.listdir(tmp_path) == ["case.yaml"]


def test_a_read_only_file_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(FILE, encoding="utf-8")
    # The superuser may write everywhere, so the system's answer is given here.
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(InputProblem, match="found a read-only file"):
        set_answers(path, {"part_kind": None})
    assert path.read_text(encoding="utf-8") == FILE


def test_a_file_that_is_not_yaml_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("a: [", encoding="utf-8")
    with pytest.raises(InputProblem, match="broken YAML"):
        set_answers(path, {"part_kind": "x"})
    assert path.read_text(encoding="utf-8") == "a: ["


def test_a_new_case(tmp_path: Path, questionnaire: Questionnaire) -> None:
    path = tmp_path / "new.yaml"
    create_case(path, "J 2", "Pump: cracked", "First.\n\nSecond.\n", {"wall_thickness": "9 mm"})
    assert path.read_text(encoding="utf-8") == (
        'case: J 2\ntitle: "Pump: cracked"\nnotes: |\n  First.\n\n  Second.\n'
        "answers:\n  wall_thickness: 9 mm\n"
    )
    case = read_case(path, questionnaire)
    assert (case.title, case.notes) == ("Pump: cracked", "First.\n\nSecond.\n")
    with pytest.raises(InputProblem, match="found a file of that name; expected a new name"):
        create_case(path, "J 3")
    with pytest.raises(InputProblem, match="no such file or directory"):
        create_case(tmp_path / "absent" / "new.yaml", "J 3")


# --- Properties ---------------------------------------------------------------------------------

_texts = st.text(st.characters(exclude_categories=["Cc", "Cs", "Cn"]), min_size=1, max_size=12)
_plain_texts = _texts | st.sampled_from(
    ["null", "~", "yes", "- a", "a: b", "a #b", "'x", '"', "-1 degC", "8.8", "{", "]", ",", "&a",
     "*a", "!x", "%", "@", "`", "?", ":", "-", "--- ", "...", "<<", "=", "|", ">", "0.375\""]
)  # fmt: skip
_plain = st.one_of(
    _plain_texts,
    st.lists(_plain_texts, max_size=3),
    st.dictionaries(_plain_texts, _plain_texts, min_size=1, max_size=3),
    st.lists(
        st.dictionaries(_plain_texts, _plain_texts, min_size=1, max_size=3), min_size=1, max_size=3
    ),
)
_keys = st.sampled_from(
    ["part_kind", "wall_thickness", "holes", "processes", "marks", "material_grade", "new_one"]
)
_changes = st.dictionaries(_keys, st.none() | _plain, max_size=4)


@given(_changes, st.sampled_from([FILE, FILE.split("# foot")[0], "case: J\nanswers: {}\n"]))
def test_any_change_reads_back_and_keeps_other_peoples_remarks(
    changes: dict[str, Plain | None], text: str
) -> None:
    edited = edit_text(text, "f", changes)
    answers = parse_yaml(text, "f").data["answers"]
    for key, value in changes.items():
        answers.pop(key, None)
        if value is not None:
            answers[key] = value
    assert (parse_yaml(edited, "f").data["answers"] or {}) == answers
    kept = ["# my case", "# reference", "# the part", "# wall", "# after the holes", "# foot"]
    assert all(remark in edited for remark in kept if remark in text)


@given(_texts, st.text(st.characters(exclude_categories=["Cs", "Cn"]), max_size=30))
def test_any_heading_reads_back_or_is_refused(reference: str, notes: str) -> None:
    try:
        text = case_text(reference, "", notes, {})
    except InputProblem:
        return  # control characters
    data = parse_yaml(text, "f").data
    assert (data["case"], data.get("notes", "")) == (reference, notes)


@st.composite
def measures(draw: st.DrawFn, dimension: str | None = None) -> Measure:
    kind = DIMENSIONS[dimension or draw(st.sampled_from(sorted(DIMENSIONS)))]
    least = -kind.most if kind.least is None else kind.least
    bounds = st.floats(least, kind.most, allow_subnormal=False)
    low, high = sorted(draw(bounds) + 0.0 for _ in range(2))
    return Measure(low, draw(st.sampled_from([low, high])), kind.name)


@given(measures())
def test_a_measure_written_reads_back_exactly(value: Measure) -> None:
    assert parse_measure(str(to_plain(value)), value.dimension) == value


_length = measures("length").filter(lambda value: value.low > 0)


@given(data=st.data())
def test_values_written_read_back(data: st.DataObject, questionnaire: Questionnaire) -> None:
    hole = st.builds(
        Hole, thread=st.just("M8"), depth=st.none() | st.just(UNKNOWN) | _length,
        condition=st.none() | st.just("worn"),
    )  # fmt: skip
    point = st.builds(PathPoint, x=_length, y=_length, wall=st.none() | _length)
    drawn: dict[str, st.SearchStrategy[Value]] = {
        "part_kind": st.just("pump_housing"),
        "processes": st.lists(st.sampled_from(["arc", "tig"]), unique=True).map(tuple),
        "wall_thickness": _length | st.just(UNKNOWN),
        "composition": st.fixed_dictionaries({"C": measures("mass_fraction")}),
        "holes": st.lists(hole, max_size=3).map(tuple),
        "crack_path": st.lists(point, min_size=2, max_size=3).map(tuple),
    }
    name = data.draw(st.sampled_from(sorted(drawn)))
    value = data.draw(drawn[name])
    assert read_answer(questionnaire.by_id[name], to_plain(value)) == value
    text = case_text("J", "", "", {name: to_plain(value)})
    assert parse_case(text, "f", questionnaire).value(name) == value
