"""`rules prove` and `rules impact` as commands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook
from advisor.cli import prove_command
from advisor.cli.main import main
from advisor.reasoning.prover import solve

from .conftest import Read, edit

needs_solver = pytest.mark.skipif(not solve.available(), reason="the solver is not installed")
Out = pytest.CaptureFixture[str]


def test_quick_proofs(capfd: Out) -> None:
    assert main(["rules", "prove", "--only", "pairs", "--only", "reading"]) == 0
    out, err = capfd.readouterr()
    assert out.startswith("9 of 9 proved in ")
    assert "proved" in err
    assert "pairs: no-contradiction" in err


@needs_solver
def test_json(capfd: Out) -> None:
    assert main(["rules", "prove", "--only", "braze-limit", "--json"]) == 0
    document = json.loads(capfd.readouterr().out)
    assert document["schema"] == "crackwright.prove/1"
    assert document["outcome"] == "proved"
    (proof,) = document["proofs"]
    assert proof["id"] == "braze-limit"
    assert proof["faults"] == []


@needs_solver
def test_a_broken_promise_ends_with_one_and_writes_its_case(
    copy: Path, read: Read, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: Out
) -> None:
    edit(copy, [{"file": "rules/20-authority.yaml", "entry": "authority.boiler-law"}])
    book: Rulebook = read(copy)
    monkeypatch.setattr(prove_command, "rulebook", lambda: book)
    folder = tmp_path / "cases"
    arguments = ["rules", "prove", "--only", "law-is-referred", "--out", str(folder)]
    assert main(arguments) == 1
    out = capfd.readouterr().out
    (file,) = folder.iterdir()
    assert file.name == "law-is-referred.yaml"
    assert "boiler_law" in file.read_text(encoding="utf-8")
    assert "Thought through, this case breaks it." in out
    assert main([*arguments, "--json"]) == 1
    (proof,) = json.loads(capfd.readouterr().out)["proofs"]
    assert proof["faults"][0]["case"] == str(file)
    assert proof["faults"][0]["real"] is True


def test_a_wrong_name_is_told(capfd: Out) -> None:
    assert main(["rules", "prove", "--only", "braze-limt"]) == 2
    assert "did you mean braze-limit?" in capfd.readouterr().err


def test_without_the_solver(monkeypatch: pytest.MonkeyPatch, capfd: Out) -> None:
    monkeypatch.setattr(solve, "available", lambda: False)
    assert main(["rules", "prove"]) == 2
    err = capfd.readouterr().err
    assert 'pip install "crackwright[prove]"' in err
    assert "--only pairs" in err
    assert main(["rules", "prove", "--only", "reading"]) == 0


def test_no_answer_in_time(monkeypatch: pytest.MonkeyPatch, capfd: Out) -> None:
    def late(*_: object) -> None:
        raise solve.TimedOut("timeout")

    monkeypatch.setattr(solve.Solver, "find", late)
    assert main(["rules", "prove", "--only", "braze-limit"]) == 1
    assert "not proved" in capfd.readouterr().out


def test_impact(capfd: Out) -> None:
    assert main(["rules", "impact", "braze.too-hot"]) == 0
    assert "methods_ruled_out: braze_weld" in capfd.readouterr().out
    assert main(["rules", "impact", "crack_moves", "--json"]) == 0
    assert json.loads(capfd.readouterr().out)["kind"] == "fact"
    assert main(["rules", "impact", "braze.too-hto"]) == 2
    assert "braze.too-hot" in capfd.readouterr().err
