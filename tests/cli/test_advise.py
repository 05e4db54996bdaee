"""``advise``: the JSON of the contract, and a text that fits a narrow plain terminal."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.advise import advise
from advisor.advice.model import Advice
from advisor.advice.phrases import Units
from advisor.advice.rulebook import METHODS, Rulebook
from advisor.case.reading import read_case
from advisor.cli.advice_view import show_advice
from advisor.cli.shared import console

from .conftest import SCENARIOS, Command

KEYS = [
    "schema", "case", "title", "program", "rulebook", "verdict", "methods", "stitching", "inserts",
    "heat", "steps", "inspections", "cautions", "assumptions", "next_questions", "margins", "trace",
]  # fmt: skip
ADDED = ["spreads"]
"""Keys beyond the first ones."""
VERDICTS = {"repair", "repair_with_approval", "investigate", "refer", "replace"}
NESTED = {
    "pin": {
        "thread", "major_diameter", "length", "count", "pitch", "overlap", "tap_drill",
        "spotface_depth", "engaged_threads",
    },
    "layout": {"n", "at", "x", "y", "pass", "wall", "pin_length"},
    "keys": {"count", "spacing", "section", "depth", "layers"},
    "inserts": {
        "hole", "needed", "kind", "outside_thread", "length", "bore", "tap_drill", "strip_safety",
        "ligament", "because",
    },
    "heat": {
        "process", "filler", "preheat_min", "interpass_max", "postheat", "cooling", "energy",
        "because",
    },
    "steps": {"n", "do", "rule", "cautions", "hold_point"},
    "inspections": {
        "when", "method", "what", "acceptance", "hold_point", "rule", "sources",
    },
    "cautions": {"text", "rule", "sources"},
    "next_questions": {"id", "question", "decides"},
}  # fmt: skip
SI_UNITS = {
    "mm", "MPa", "bar", "degC", "m/s", "N", "N*m", "kWh", "min", "1", "K", "K/h", "HBW", "year",
    "deg", "N/mm", "MPa*m^0.5", "%", "mm2", "kg",
}  # fmt: skip


@pytest.fixture(params=SCENARIOS, ids=lambda path: path.stem)
def scenario(request: pytest.FixtureRequest) -> Path:
    path: Path = request.param
    return path


AdviceOf = Callable[[Path], Advice]
Capture = pytest.CaptureFixture[str]


@pytest.fixture(scope="session")
def advice_of(rulebook: Rulebook) -> AdviceOf:
    """The advice for a scenario, worked out once."""
    grades = tuple(rulebook.knowledge.tables["grades"].rows)

    @cache
    def work(path: Path) -> Advice:
        return advise(read_case(path, rulebook.questionnaire, grades), rulebook)

    return work


def quantities(node: Any) -> list[dict[str, Any]]:
    """Every ``{"value", "unit"}`` anywhere in a document."""
    if isinstance(node, list):
        return [found for each in node for found in quantities(each)]
    if not isinstance(node, dict):
        return []
    own = [node] if {"value", "unit"} <= node.keys() else []
    return own + [found for each in node.values() for found in quantities(each)]


def test_json_is_the_advice_and_nothing_else(case_file: Path, crackwright: Command) -> None:
    ended = crackwright("advise", case_file, "--json")
    assert (ended.code, ended.err) == (0, "")
    assert set(json.loads(ended.out)) == {*KEYS, *ADDED}


def test_json_has_exactly_the_keys_of_the_contract(scenario: Path, advice_of: AdviceOf) -> None:
    advice = json.loads(json.dumps(advice_of(scenario).to_json()))
    assert [key for key in advice if key not in ADDED] == KEYS
    assert advice["verdict"]["value"] in VERDICTS
    assert set(advice["verdict"]) == {"value", "because", "approval"}
    assert set(advice["program"]) >= {"version", "reasoners"}
    assert set(advice["rulebook"]) == {"version", "digest"}
    assert {one["method"] for one in advice["methods"]} == set(METHODS)
    recommended = [one for one in advice["methods"] if one["standing"] == "recommended"]
    if advice["verdict"]["value"].startswith("repair"):
        assert len(recommended) == 1
    seam = advice["stitching"]
    parts = {
        "pin": [seam["pin"]] if seam else [],
        "keys": [seam["keys"]] if seam and seam["keys"] else [],
        "layout": seam["layout"] if seam else [],
        "inserts": advice["inserts"],
        "heat": [advice["heat"]] if advice["heat"] else [],
        **{name: advice[name] for name in ("steps", "inspections", "cautions", "next_questions")},
    }
    for name, members in parts.items():
        for member in members:
            assert NESTED[name] <= set(member), name
    for entry in advice["trace"].values():
        assert {"value", "from", "inputs", "sources"} <= set(entry)
    assert {one["unit"] for one in quantities(advice)} <= SI_UNITS


def test_json_is_si_whatever_people_read(case_file: Path, crackwright: Command) -> None:
    si = crackwright("advise", case_file, "--json")
    us = crackwright("advise", case_file, "--json", "--units", "us")
    assert si.out == us.out


@pytest.mark.parametrize("units", ["si", "us"])
def test_text_fits_80_plain_columns(
    scenario: Path, units: Units, advice_of: AdviceOf, rulebook: Rulebook, capsys: Capture
) -> None:
    show_advice(advice_of(scenario), rulebook, console(), units)
    text = capsys.readouterr().out
    lines = text.splitlines()
    assert max(map(len, lines)) <= 80
    assert "\x1b" not in text
    assert not [line for line in lines if line != line.rstrip()]


def test_no_title_is_cut(advice_of: AdviceOf, rulebook: Rulebook, capsys: Capture) -> None:
    advice = replace(advice_of(SCENARIOS[0]), title="A long title " * 12 + "ends here")
    show_advice(advice, rulebook, console())
    assert "ends here" in " ".join(capsys.readouterr().out.replace("│", " ").split())


def test_text_says_verdict_limits_and_who_reasoned(case_file: Path, crackwright: Command) -> None:
    ended = crackwright("advise", case_file)
    text = " ".join(ended.out.split())
    assert "T-1: Coolant jacket" in text
    assert "defer to local codes and licensed practice" in text
    assert "rule base 20" in text
    assert "engine and judge agreed" in text or "judge ran alone" in text


def test_us_units_for_people(case_file: Path, crackwright: Command) -> None:
    ended = crackwright("advise", case_file, "--units", "us")
    assert " in (" in ended.out
    assert "degF" in ended.out


def test_case_from_standard_input(case_file: Path, crackwright: Command) -> None:
    from_file = crackwright("advise", case_file, "--json")
    from_stdin = crackwright("advise", "-", "--json", stdin=case_file.read_bytes())
    assert from_file.out == from_stdin.out


def test_narrow_terminal_is_respected(
    case_file: Path, crackwright: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    ended = crackwright("advise", case_file)
    assert max(map(len, ended.out.splitlines())) <= 60


@pytest.mark.parametrize("columns", ["60", "120"])
def test_no_digit_of_the_drilling_table_is_cut(
    columns: str,
    scenario: Path,
    advice_of: AdviceOf,
    rulebook: Rulebook,
    capsys: Capture,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    advice = advice_of(scenario)
    show_advice(advice, rulebook, console())
    rows = [line.split() for line in capsys.readouterr().out.splitlines()]
    for hole in advice.stitching.layout if advice.stitching else ():
        lengths = (hole.at, hole.x, hole.y, hole.wall, hole.pin_length)
        wanted = [f"{length.value:.2f}" for length in lengths]
        assert [row for row in rows if row[:1] == [str(hole.n)] and row[2:7] == wanted]


def test_nothing_answered_is_no_go_ahead(
    tmp_path: Path, crackwright: Command, rulebook: Rulebook
) -> None:
    empty = tmp_path / "empty.yaml"
    empty.write_text("case: E-1\nanswers:\n", encoding="utf-8")
    advice = json.loads(crackwright("advise", empty, "--json").out)
    assert advice["verdict"]["value"] not in ("repair", "repair_with_approval", "replace")
    assert len(advice["next_questions"]) > 20
