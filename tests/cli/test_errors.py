"""Every way to end: bad input, broken rules, reasoners that disagree, faults, a reader gone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.advice import rulebook as rulebook_module
from advisor.advice import thinking as thinking_module
from advisor.case.reading import read_case
from advisor.cli.exits import Exit
from advisor.reasoning import engine

from .conftest import JACKET, PROGRAM, ROOT, Command, environment

COMMANDS_ON_A_CASE = [("advise",), ("why",), ("ask",)]


def on(command: tuple[str, ...], path: Path) -> list[str]:
    return [*command, str(path), *(["verdict"] if command == ("why",) else [])]


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


# --- bad input ------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", COMMANDS_ON_A_CASE, ids=lambda command: command[0])
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "directory"),
        (b"\x7fELF\x00\x01\xff\xfe", "the byte 0x"),
        (b"", "an empty file"),
        (b"case: [T-1\n", "bad.yaml:"),
        (JACKET.replace("gray_iron", "grey_iron").encode(), "did you mean gray_iron?"),
        (JACKET.replace("crack_length", "crack_lenght").encode(), "did you mean crack_length?"),
        (JACKET.replace("110 degC", "110").encode(), "temperature_max"),
    ],
    ids=["folder", "binary", "empty", "syntax", "choice", "question", "unit"],
)
def test_bad_case_file(
    command: tuple[str, ...], content: bytes | None, says: str, tmp_path: Path, crackwright: Command
) -> None:
    path = tmp_path / "bad.yaml"
    if content is None:
        path.mkdir()
    else:
        path.write_bytes(content)
    before = snapshot(tmp_path)
    ended = crackwright(*on(command, path), stdin="quit\n")
    assert (ended.code, ended.out) == (Exit.BAD_INPUT, "")
    assert str(path) in ended.err
    assert says in ended.err
    assert "Traceback" not in ended.err
    assert snapshot(tmp_path) == before


@pytest.mark.parametrize("command", [("advise",), ("why",)], ids=lambda command: command[0])
def test_missing_file(command: tuple[str, ...], tmp_path: Path, crackwright: Command) -> None:
    ended = crackwright(*on(command, tmp_path / "none.yaml"))
    assert (ended.code, ended.out) == (Exit.BAD_INPUT, "")
    assert "none.yaml: found no such file or directory; expected" in ended.err
    assert len(ended.err.splitlines()) == 1


def test_all_problems_at_once_with_their_places(tmp_path: Path, crackwright: Command) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(
        "case: T-2\nanswers:\n  material: tin\n  wall_thickness: 9\n  crack_lenght: 1 mm\n",
        encoding="utf-8",
    )
    lines = crackwright("advise", path).err.splitlines()
    assert [line.split(":")[1] for line in lines] == ["3", "4", "5"]
    assert all("; expected " in line for line in lines)


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("advize", "x.yaml"),
        ("advise",),
        ("advise", "x.yaml", "--unit", "si"),
        ("advise", "x.yaml", "--units", "furlongs"),
        ("why", "x.yaml"),
        ("why", "x.yaml", "verdict", "--depth", "0"),
        ("rules",),
    ],
    ids=lambda arguments: " ".join(arguments) or "nothing",
)
def test_bad_use(arguments: tuple[str, ...], crackwright: Command) -> None:
    ended = crackwright(*arguments)
    assert ended.code == Exit.BAD_INPUT
    assert "Usage: crackwright" in ended.err + ended.out
    assert "Traceback" not in ended.err


def test_bytes_on_standard_input(crackwright: Command) -> None:
    ended = crackwright("advise", "-", stdin=b"\xff\xfe\x00")
    assert ended.code == Exit.BAD_INPUT
    assert ended.err == "standard input: found bytes that are no text; expected text in UTF-8\n"


# --- rules that cannot be used --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("rules/50-verdict.yaml", "stage: verdict", "stage: verdikt", "did you mean verdict?"),
        ("rules/50-verdict.yaml", "settle:", "settel:", "did you mean settle?"),
        ("knowledge/steps.yaml", "hold_point:", "holdpoint:", "hold_point"),
        ("knowledge/questions/20-material.yaml", "type: choice", "type: chois", "choice"),
        ("knowledge/approvals.yaml", "rows:", "rows: [", "approvals.yaml"),
    ],
)
def test_invalid_rules(
    file: str,
    old: str,
    new: str,
    says: str,
    tmp_path: Path,
    case_file: Path,
    crackwright: Command,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for name in ("rules", "knowledge"):
        shutil.copytree(ROOT / name, tmp_path / name)
    broken = tmp_path / file
    text = broken.read_text(encoding="utf-8")
    assert old in text
    broken.write_text(text.replace(old, new, 1), encoding="utf-8")
    monkeypatch.setattr(
        rulebook_module, "load_rulebook", lambda: rulebook_module.read_rulebook(tmp_path, "broken")
    )
    ended = crackwright("advise", case_file)
    assert (ended.code, ended.out) == (Exit.RULES_INVALID, "")
    assert ended.err.startswith("rules or knowledge cannot be used: ")
    assert broken.name in ended.err
    assert says in ended.err
    assert "Traceback" not in ended.err


# --- faults of our own ----------------------------------------------------------------------------


@pytest.mark.skipif(not engine.AVAILABLE, reason="one reasoner alone cannot disagree")
@pytest.mark.parametrize("command", [("advise",), ("why",), ("ask", "--no-input")])
def test_reasoners_that_disagree_give_no_advice(
    command: tuple[str, ...],
    tmp_path: Path,
    case_file: Path,
    crackwright: Command,
    monkeypatch: pytest.MonkeyPatch,
    rulebook: rulebook_module.Rulebook,
) -> None:
    monkeypatch.setattr(engine.Engine, "fire", lambda *_args, **_more: frozenset())
    ended = crackwright(*on(command, case_file))
    assert (ended.code, ended.out) == (Exit.INTERNAL, "")
    assert "the two reasoners disagree: stage material" in ended.err
    assert "No advice is given." in ended.err
    (report,) = (tmp_path / "state").rglob("*.yaml")
    assert str(report) in ended.err
    assert "ReasonersDisagree" in report.read_text(encoding="utf-8")
    grades = rulebook.knowledge.tables["grades"].rows
    found = read_case(report, rulebook.questionnaire, tuple(grades))
    given = read_case(case_file, rulebook.questionnaire, tuple(grades))
    assert {name: a.value for name, a in found.answers.items()} == {
        name: a.value for name, a in given.answers.items()
    }


def _fail(*_args: object, **_more: object) -> None:
    raise RuntimeError("planted")


def test_an_internal_fault_shows_no_traceback(
    case_file: Path, crackwright: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(thinking_module, "_take_answers", _fail)
    ended = crackwright("advise", case_file)
    assert (ended.code, ended.out) == (Exit.INTERNAL, "")
    assert ended.err.startswith("internal fault: RuntimeError: planted\nNo advice is given.\n")
    assert "Traceback" not in ended.err
    assert "CRACKWRIGHT_DEBUG=1" in ended.err


def test_a_switch_shows_where_it_happened(
    case_file: Path, crackwright: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(thinking_module, "_take_answers", _fail)
    monkeypatch.setenv("CRACKWRIGHT_DEBUG", "1")
    assert "Traceback" in crackwright("advise", case_file).err


def test_no_place_for_a_report_is_said(
    tmp_path: Path, case_file: Path, crackwright: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "state").write_text("a file where the folder should be", encoding="utf-8")
    monkeypatch.setattr(thinking_module, "_take_answers", _fail)
    ended = crackwright("advise", case_file)
    assert ended.code == Exit.INTERNAL
    assert "No report could be written" in ended.err


# --- the way out ----------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="pipes of another kind")
def test_a_reader_that_has_gone_is_no_fault(case_file: Path) -> None:
    process = subprocess.Popen(
        [*PROGRAM, "advise", str(case_file)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
    )
    assert process.stdout
    assert process.stderr
    process.stdout.close()
    assert process.wait(60) == Exit.DONE
    assert process.stderr.read() == b""
    process.stderr.close()


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full device here")
@pytest.mark.parametrize("at_once", ["", "1"])
def test_a_full_disk_is_said(case_file: Path, at_once: str) -> None:
    with open("/dev/full", "w") as full:
        ended = subprocess.run(
            [*PROGRAM, "advise", str(case_file)],
            stdout=full,
            stderr=subprocess.PIPE,
            env=environment(PYTHONUNBUFFERED=at_once),
            text=True,
            check=False,
            timeout=60,
        )
    assert ended.returncode == Exit.BAD_INPUT
    assert "no space left" in ended.stderr
    assert "Traceback" not in ended.stderr
