"""Many cases at once: one row each, in order, whatever is wrong with some of them."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook, data_folder, load_rulebook
from advisor.advice.triage import Waiting, triage, triage_one, waiting_cases
from advisor.case.problems import InputProblem

SCENARIOS = data_folder() / "scenarios"


def _csv(path: Path, rows: list[dict[str, str]]) -> Path:
    headings = sorted({name for row in rows for name in row})
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, headings, restval="")
        writer.writeheader()
        writer.writerows(rows)
    return path


def test_rows_come_in_the_order_of_the_cases_on_any_number_of_processes() -> None:
    waiting = list(waiting_cases([SCENARIOS]))
    assert len(waiting) > 30
    alone = list(triage(waiting, workers=1))
    assert list(triage(waiting, workers=2)) == alone
    assert [row.place for row in alone] == [one.place for one in waiting]


def test_a_row_says_what_the_whole_advice_says() -> None:
    from advisor.advice.advise import advise
    from advisor.case.reading import read_case

    book = load_rulebook()
    path = next(SCENARIOS.glob("engine-block-frost*.yaml"))
    row = triage_one(Waiting(str(path), path))
    advice = advise(
        read_case(path, book.questionnaire, tuple(book.knowledge.tables["grades"].rows)), book
    )
    assert (row.verdict, row.method) == (advice.verdict.value, advice.recommended)


def test_a_bad_row_is_reported_and_the_rest_go_on(tmp_path: Path) -> None:
    table = _csv(
        tmp_path / "cases.csv",
        [
            {"case": "A", "material": "gray_iron", "wall_thickness": "9 mm"},
            {"case": "B", "material": "grey_iron"},
            {"case": "C", "wall_thickness": "9"},
            {"case": "", "material": "gray_iron"},
            {"case": "E", "holes": "[{thread: M16, distance: 0 mm}]", "hazards": "lead_paint"},
        ],
    )
    rows = list(triage(waiting_cases([table]), workers=1))
    assert [row.case for row in rows] == ["A", "B", "C", "", "E"]
    assert [bool(row.problem) for row in rows] == [False, True, True, True, False]
    assert "gray_iron" in rows[1].problem
    assert f"{table}:3" in rows[1].problem
    assert "wall_thickness" in rows[2].problem
    assert rows[0].verdict == "investigate"
    assert rows[0].missing


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("reference,material\nA,gray_iron\n", "no column case"),
        ("case,colour\nA,red\n", "colour"),
        ("case,,material\nA,x,gray_iron\n", "column ''"),
        ("case,material,material\nA,gray_iron,white_iron\n", "twice"),
    ],
)
def test_a_table_without_a_usable_heading_is_refused(tmp_path: Path, text: str, said: str) -> None:
    table = tmp_path / "cases.csv"
    table.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem, match=said):
        list(waiting_cases([table]))


def test_a_cell_without_a_heading_is_told_and_not_dropped(tmp_path: Path) -> None:
    table = tmp_path / "cases.csv"
    table.write_text("case,material\nA,gray_iron,12 mm\nB,gray_iron,\n", encoding="utf-8")
    first, second = triage(waiting_cases([table]), workers=1)
    assert "more cells than headings: '12 mm'" in first.problem
    assert second.verdict == "investigate"


def test_a_path_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="nothing there"):
        list(waiting_cases([tmp_path / "none.yaml"]))


def test_the_command_prints_one_json_document_and_ends_with_two_for_bad_rows(
    tmp_path: Path,
) -> None:
    table = _csv(tmp_path / "cases.csv", [{"case": "A"}, {"case": "B", "magnet": "very"}])
    done = subprocess.run(
        [sys.executable, "-m", "advisor.cli.main", "triage", str(table), "--json"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    document = json.loads(done.stdout)
    assert document["schema"] == "crackwright.triage/1"
    assert [case["verdict"] for case in document["cases"]] == ["investigate", None]
    assert "magnet" in done.stderr


def test_the_template_has_a_column_for_every_question() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "advisor.cli.main", "triage", "--template"],
        capture_output=True,
        text=True,
        check=True,
    )
    headings = done.stdout.strip().split(",")
    assert headings[:3] == ["case", "title", "notes"]
    assert set(headings[3:]) == set(load_rulebook().questionnaire.by_id)


def test_a_fault_of_the_program_costs_one_case_its_advice_and_not_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from advisor.advice import triage as triage_module
    from advisor.advice.thinking import Thinking, think
    from advisor.case.model import Case
    from advisor.reasoning.agreement import ReasonersDisagree

    def think_or_fail(case: Case, book: Rulebook) -> Thinking:
        if case.reference == "B":
            raise ReasonersDisagree("verdict", "certain", ["one"], [])
        return think(case, book)

    monkeypatch.setattr(triage_module, "think", think_or_fail)
    table = _csv(tmp_path / "cases.csv", [{"case": "A"}, {"case": "B"}, {"case": "C"}])
    rows = list(triage(waiting_cases([table]), workers=1))
    assert [row.verdict for row in rows] == ["investigate", "", "investigate"]
    assert [row.fault for row in rows] == [False, True, False]
    assert "no advice: ReasonersDisagree" in rows[1].problem


def test_texts_of_a_table_stay_texts(tmp_path: Path) -> None:
    """No cell becomes a formula, and nothing steers the terminal or reorders a line."""
    table = _csv(
        tmp_path / "cases.csv",
        [
            {"case": "=cmd|calc", "title": "\x1b[31mred\x07 \u202egnp", "notes": "+1"},
            {"case": "\x1b[2JB", "material": "\x1b[2Jgrey", "title": "@SUM(A1)"},
            {"case": "C", "title": "<script>\u05e9 \U0001f600 " + "W" * 200},
        ],
    )
    for option in ("--csv", "--json", "--no-color"):
        done = subprocess.run(
            [sys.executable, "-m", "advisor.cli.main", "triage", str(table), option],
            capture_output=True,
            text=True,
            check=False,
            env={**os.environ, "COLUMNS": "60"},
        )
        assert done.returncode == 2
        for said in (done.stdout, done.stderr):
            assert not set(said) & set("\x1b\x07\u202e")
        if option == "--csv":
            cells = [cell for row in csv.reader(done.stdout.splitlines()) for cell in row]
            assert "'=cmd|calc" in cells
            assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
        if option == "--no-color":
            assert max(map(len, done.stdout.splitlines())) <= 60


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="signals of its own kind")
def test_ctrl_c_ends_all_processes_at_once(tmp_path: Path) -> None:
    table = _csv(
        tmp_path / "cases.csv", [{"case": f"T-{n}", "material": "gray_iron"} for n in range(400)]
    )
    command = [sys.executable, "-m", "advisor.cli.main", "triage", str(table), "--workers", "2"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    ) as program:
        time.sleep(4)
        os.killpg(program.pid, signal.SIGINT)
        out, err = program.communicate(timeout=30)
    assert (program.returncode, out, err) == (130, b"", b"")
    with pytest.raises(ProcessLookupError):
        os.killpg(program.pid, 0)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a kill that cannot be caught")
def test_no_process_outlives_a_killed_run(tmp_path: Path) -> None:
    table = _csv(
        tmp_path / "cases.csv", [{"case": f"T-{n}", "material": "gray_iron"} for n in range(400)]
    )
    command = [sys.executable, "-m", "advisor.cli.main", "triage", str(table), "--workers", "2"]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, start_new_session=True) as program:
        time.sleep(4)
        program.kill()
    for _ in range(100):
        try:
            os.killpg(program.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.2)
    os.killpg(program.pid, signal.SIGKILL)
    pytest.fail("worker processes went on alone")
