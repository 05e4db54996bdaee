"""``check`` and ``advise --plan`` as people call them: outputs, files and exit codes."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from advisor.cli.main import main

from .conftest import PLANS, SCENARIOS

JACKET = SCENARIOS / "engine-block-frost-crack-in-water-jacket-is-stitched.yaml"
BRACKET = SCENARIOS / "cast-steel-bracket-is-arc-welded.yaml"
SOUND = PLANS / "jacket-with-stouter-pins.yaml"
BAD = PLANS / "jacket-pins-far-apart-and-air.yaml"
HALF = PLANS / "jacket-half-written-down.yaml"


@dataclass(frozen=True)
class Ended:
    code: int
    out: str
    err: str


Run = Callable[..., Ended]


@pytest.fixture
def crackwright(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Run:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    for name in ("COLUMNS", "NO_COLOR", "CRACKWRIGHT_DEBUG"):
        monkeypatch.delenv(name, raising=False)

    def run(*arguments: str | Path, stdin: str = "") -> Ended:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin.encode())))
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        return Ended(int(code), *capsys.readouterr())

    return run


# --- what is printed ----------------------------------------------------------------------------


def test_the_outcome_comes_first_then_stops_queries_and_notes(crackwright: Run) -> None:
    ended = crackwright("check", BAD, JACKET)
    assert ended.code == 1
    lines = ended.out.splitlines()
    assert "STOP" in lines[1]
    places = [
        next(i for i, line in enumerate(lines) if line.startswith(head))
        for head in ("Stop: ", "Queries: ", "Notes")
    ]
    assert places == sorted(places)
    assert "put right: " in ended.out
    assert not ended.err


@pytest.mark.parametrize("plan", [SOUND, BAD, HALF])
@pytest.mark.parametrize("units", ["si", "us"])
def test_it_is_readable_at_80_columns_without_colour(
    plan: Path, units: str, crackwright: Run
) -> None:
    out = crackwright("check", plan, JACKET, "--units", units).out
    assert "\x1b" not in out
    assert max(len(line) for line in out.splitlines()) <= 80


@pytest.mark.parametrize(("plan", "code"), [(SOUND, 0), (HALF, 0), (BAD, 1)])
def test_exit_code_is_1_for_a_stop_only(plan: Path, code: int, crackwright: Run) -> None:
    assert crackwright("check", plan, JACKET).code == code
    assert crackwright("check", plan, JACKET, "--json").code == code


def test_json_is_one_document_and_always_si(crackwright: Run) -> None:
    ended = crackwright("check", BAD, JACKET, "--json", "--units", "us")
    document = json.loads(ended.out)
    assert document["schema"] == "crackwright.check/1"
    assert document["outcome"] == "stop"
    assert not ended.err
    pitch = next(one for one in document["items"] if one["item"] == "pin.pitch")
    assert pitch["planned"]["unit"] == "mm"
    assert " mm" in pitch["text"]


def test_departures_are_printed_before_everything_else(crackwright: Run) -> None:
    out = crackwright("check", PLANS / "bracket-hotter-and-without-films.yaml", BRACKET).out
    assert "Departures from rules" in out
    assert out.index("STANDS after.steel-depth") < out.index("Notes")
    assert "DEPARTED FROM after.steel-depth" in out


# --- files --------------------------------------------------------------------------------------


def test_the_check_goes_to_markdown_or_html(crackwright: Run, tmp_path: Path) -> None:
    printed = crackwright("check", BAD, JACKET, "--markdown")
    assert printed.code == 1
    assert printed.out.startswith("# Check of plan P-02")
    for name, start in (("check.md", "# Check"), ("check.html", "<!DOCTYPE html>")):
        ended = crackwright("check", BAD, JACKET, "-o", tmp_path / name)
        assert ended.code == 1
        assert not ended.out
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(start)
        assert name in ended.err


def test_neither_plan_nor_case_is_written_over(crackwright: Run, tmp_path: Path) -> None:
    plan = tmp_path / "plan.md"
    plan.write_bytes(SOUND.read_bytes())
    ended = crackwright("check", plan, JACKET, "-o", plan)
    assert ended.code == 2
    assert plan.read_bytes() == SOUND.read_bytes()


def test_an_unknown_kind_of_file_is_refused_before_any_work(
    crackwright: Run, tmp_path: Path
) -> None:
    ended = crackwright("check", SOUND, JACKET, "-o", tmp_path / "check.doc")
    assert (ended.code, ended.out) == (2, "")
    assert ".html" in ended.err
    assert not list(tmp_path.glob("check*"))


def test_a_plan_may_come_through_a_pipe(crackwright: Run) -> None:
    ended = crackwright("check", "-", JACKET, "--json", stdin=SOUND.read_text(encoding="utf-8"))
    assert json.loads(ended.out)["outcome"] == "clear"
    assert crackwright("check", "-", "-").code == 2


# --- bad input ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("plan: J\npin: {pitch: 6}\n", ":2:"),
        ("plan: J\nmethod: glue\n", "method: found"),
        ("- a\n", "entries of the form"),
        ("plan: J\nplan: K\n", "a second time"),
        ("plan: &a J\n", "the anchor"),
        ("", "an empty file"),
    ],
)
def test_bad_plans_end_with_2_and_one_clear_message(
    text: str, says: str, crackwright: Run, tmp_path: Path
) -> None:
    path = tmp_path / "plan.yaml"
    path.write_text(text, encoding="utf-8")
    ended = crackwright("check", path, JACKET)
    assert (ended.code, ended.out) == (2, "")
    assert says in ended.err
    assert "Traceback" not in ended.err


def test_a_plan_that_is_not_there(crackwright: Run, tmp_path: Path) -> None:
    ended = crackwright("check", tmp_path / "none.yaml", JACKET)
    assert ended.code == 2
    assert "none.yaml" in ended.err


# --- the program's own advice as a plan ------------------------------------------------------


def test_advise_writes_a_plan_that_checks_clear(crackwright: Run, tmp_path: Path) -> None:
    plan = tmp_path / "plan.yaml"
    ended = crackwright("advise", JACKET, "--plan", plan, "--json")
    assert ended.code == 0
    assert json.loads(ended.out)["case"] == "D-001"
    assert "plan written to" in ended.err
    checked = crackwright("check", plan, JACKET, "--json")
    assert checked.code == 0
    assert json.loads(checked.out)["outcome"] == "clear"


def test_advise_writes_over_no_plan_unless_it_is_forced(crackwright: Run, tmp_path: Path) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text("mine\n", encoding="utf-8")
    ended = crackwright("advise", JACKET, "--plan", plan)
    assert (ended.code, plan.read_text(encoding="utf-8")) == (2, "mine\n")
    assert "--force" in ended.err
    assert crackwright("advise", JACKET, "--plan", plan, "--force").code == 0
    assert plan.read_text(encoding="utf-8").startswith("plan: D-001-plan")
