"""`crackwright sheet`: what it writes, says and refuses."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli.main import main
from advisor.sheet import read_back

from .conftest import GO_AHEAD, NO_GO_AHEAD

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def case(name: str) -> str:
    return str(SCENARIOS / f"{name}.yaml")


def sheet(*arguments: str) -> int:
    return main(["sheet", *arguments])


def test_several_files_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = [tmp_path / name for name in ("job.html", "job.md", "layout.svg")]
    options = [part for name in names for part in ("-o", str(name))]
    assert sheet(case(GO_AHEAD["insert"]), *options, "--paper", "letter", "--units", "us") == 0
    assert all(read_back(name).advice.case == "D-006" for name in names)
    assert "size: letter" in names[0].read_text(encoding="utf-8")
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.count("repair as planned here") == 3


def test_a_refusal_is_an_answer_and_says_why_there_is_no_template(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.html"
    assert sheet(case(NO_GO_AHEAD["refer"]), "-o", str(path), "--template") == 0
    assert "STOP: NOT THIS SHOP" in path.read_text(encoding="utf-8")
    assert "no drilling template: the verdict is no go-ahead" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("job.txt", "found a file that ends in '.txt'; expected one of .html, .pdf, .md, .svg"),
        ("job", "found a file without an ending"),
        ("none/job.html", "found no such folder"),
    ],
)
def test_bad_names_of_files(
    name: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good = tmp_path / "good.html"
    code = sheet(case(GO_AHEAD["insert"]), "-o", str(good), "-o", str(tmp_path / name))
    assert code == 2
    assert said in capsys.readouterr().err
    assert not good.exists()


def test_a_case_that_cannot_be_read_leaves_no_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad, path = tmp_path / "bad.yaml", tmp_path / "job.html"
    bad.write_text("case: X\nanswers:\n  wall_thickness: nine\n")
    assert sheet(str(bad), "-o", str(path)) == 2
    assert "bad.yaml:3" in capsys.readouterr().err
    assert not path.exists()


def test_without_a_file_to_write_it_is_bad_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert sheet(case(GO_AHEAD["insert"])) == 2
    assert "--output" in capsys.readouterr().err
