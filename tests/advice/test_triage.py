"""Many cases at once: one row each, in order, whatever is wrong with some of them."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.advice.rulebook import data_folder, load_rulebook
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
    [("reference,material\nA,gray_iron\n", "no column case"), ("case,colour\nA,red\n", "colour")],
)
def test_a_table_without_a_usable_heading_is_refused(tmp_path: Path, text: str, said: str) -> None:
    table = tmp_path / "cases.csv"
    table.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem, match=said):
        list(waiting_cases([table]))


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
