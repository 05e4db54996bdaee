"""``ask`` through a pipe and with a file of answers: the same questions, no terminal needed."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.advice import advise as advise_module
from advisor.advice.rulebook import Rulebook
from advisor.case.model import UNKNOWN
from advisor.case.reading import parse_case, read_case
from advisor.cli.exits import Exit
from advisor.cli.main import main

from .conftest import JACKET, Command

GIVEN: dict[str, Any] = yaml.load(JACKET, yaml.BaseLoader)["answers"]


@pytest.fixture(autouse=True)
def quick_advice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ranking what to find out next takes seconds while nearly nothing is known."""
    monkeypatch.setattr(advise_module, "next_questions", lambda *_args, **_more: ())


def typed(answer: Any) -> str:
    """An answer of a case file as one would type it."""
    return f"[{', '.join(map(typed, answer))}]" if isinstance(answer, list) else str(answer)


def asked(said: str) -> list[str]:
    """Ids of the questions in the order in which they were asked."""
    return re.findall(r"\?\s\[(\w+)\]$", said, re.MULTILINE)


def answers_in(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)["answers"]
    return found


class Answering(io.StringIO):
    """Standard input of somebody who reads each question and answers it from a case."""

    def __init__(self, said: Callable[[], str]) -> None:
        super().__init__()
        self._said = said
        self.transcript = ""

    def readline(self, size: int | None = -1, /) -> str:
        self.transcript += self._said()
        assert len(self.transcript) < 100_000, "the same question for ever"
        if self.transcript.endswith("Go on? (yes, no)> "):
            return "yes\n"
        return typed(GIVEN.get(asked(self.transcript)[-1], "unknown")) + "\n"


def test_a_whole_session(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "T-9.yaml"
    person = Answering(lambda: capsys.readouterr().err)
    monkeypatch.setattr(sys, "stdin", person)
    assert main(["ask", str(path)]) == 0
    out, err = capsys.readouterr()
    said = person.transcript + err
    order = asked(said)
    assert order[:4] == ["part_kind", "governed_by", "failure_consequence", "material"]
    assert len(order) == len(set(order))
    assert "Nothing that is still open can change the advice." in said
    assert "REPAIR" in out
    # What this plan does not hang on was not asked: no welding question on a part kept cold.
    assert "welder_qualified" not in order
    assert re.search(r"^0 answered, about \d+ left that matter$", said, re.MULTILINE)
    assert f"{len(order) - 1} answered, about 1 left that matter" in said
    found = answers_in(path)
    assert list(found) == order
    assert all(found[name] == GIVEN.get(name, "unknown") for name in order)


def test_advice_on_standard_output_questions_on_standard_error(
    tmp_path: Path, crackwright: Command
) -> None:
    ended = crackwright("ask", tmp_path / "a.yaml", stdin="engine_block\n")
    assert "What is the part? [part_kind]" in ended.err
    assert "What is the part? [part_kind]" not in ended.out
    assert "INVESTIGATE" in ended.out
    assert max(map(len, ended.err.splitlines())) <= 80


@pytest.mark.parametrize("reply", ["engine_block", "1", "engine", "Engine block", "ENGINE-B"])
def test_a_choice_by_id_number_or_beginning(
    reply: str, tmp_path: Path, crackwright: Command
) -> None:
    path = tmp_path / "a.yaml"
    crackwright("ask", path, stdin=f"{reply}\n")
    assert answers_in(path) == {"part_kind": "engine_block"}


@pytest.mark.parametrize(
    ("reply", "right"),
    [
        ("", "an answer, or unknown"),
        ("99", "a number from 1 to 26"),
        ("engien_block", "did you mean engine_block?"),
        ("b", "a few more letters"),
        ("\x00\xff", "a choice or unknown"),
    ],
)
def test_a_wrong_answer_gets_one_line_and_the_question_again(
    reply: str, right: str, tmp_path: Path, crackwright: Command
) -> None:
    path = tmp_path / "a.yaml"
    ended = crackwright("ask", path, stdin=f"{reply}\nbracket\n")
    assert ended.code == 0
    assert ended.err.count("\nFound ") == 1
    assert right in " ".join(ended.err.split())
    assert answers_in(path) == {"part_kind": "bracket"}


def test_several_choices(tmp_path: Path, crackwright: Command) -> None:
    path = tmp_path / "a.yaml"
    crackwright("ask", path, stdin="valve\n1, boiler\n")
    assert answers_in(path)["governed_by"] == ["pressure_equipment_law", "boiler_law"]


def test_explained_unknown_back_and_quit(tmp_path: Path, crackwright: Command) -> None:
    path = tmp_path / "a.yaml"
    ended = crackwright(
        "ask", path, stdin="bracket\nunknown\nback\nnone\nback\nback\n?\nstove_part\nquit\n"
    )
    assert ended.code == 0
    assert answers_in(path) == {"part_kind": "stove_part", "governed_by": ["none"]}
    text = " ".join(ended.err.split())
    for part in ("Why: ", "How: ", "Takes about 2 min", "Can still decide: ", "Typed as: "):
        assert part in text
    assert "Answered: bracket; Enter keeps it." in ended.err
    assert "13 bracket: foot, arm, bracket or cover" in ended.err


def test_back_at_the_first_question(tmp_path: Path, crackwright: Command) -> None:
    ended = crackwright("ask", tmp_path / "a.yaml", stdin="back\nbracket\n")
    assert "This is the first question." in ended.err


def test_enter_keeps_an_answer_one_went_back_to(tmp_path: Path, crackwright: Command) -> None:
    path = tmp_path / "a.yaml"
    crackwright("ask", path, stdin="bracket\nback\n\nnone\n")
    assert answers_in(path) == {"part_kind": "bracket", "governed_by": ["none"]}


def test_resumes_and_leaves_a_persons_text_alone(tmp_path: Path, crackwright: Command) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("# mine\ncase: A-1\nanswers:\n  part_kind: bracket   # old\n", encoding="utf-8")
    ended = crackwright("ask", path, stdin="none\n")
    assert "Going on with" in ended.err
    assert asked(ended.err)[0] == "governed_by"
    assert path.read_text(encoding="utf-8") == (
        "# mine\ncase: A-1\nanswers:\n  part_kind: bracket   # old\n  governed_by: [none]\n"
    )


def test_no_question_once_the_verdict_stands(tmp_path: Path, crackwright: Command) -> None:
    # A brake part is never repaired on the shop's own authority, whatever else is answered.
    ended = crackwright("ask", tmp_path / "a.yaml", stdin="brake_part\n")
    assert asked(ended.err) == ["part_kind"]
    assert "Nothing that is still open can change the verdict: refer." in ended.err
    assert "REFER" in ended.out


def test_quitting_at_once_leaves_nothing(tmp_path: Path, crackwright: Command) -> None:
    for stdin in ("quit\n", ""):
        ended = crackwright("ask", tmp_path / "a.yaml", stdin=stdin)
        assert (ended.code, ended.out) == (0, "")
        assert "no advice and no file" in ended.err
    assert not list(tmp_path.glob("*.yaml"))


# --- lists ----------------------------------------------------------------------------------------


@pytest.fixture
def nearly_done(tmp_path: Path, crackwright: Command) -> Path:
    """A case in which the holes are asked next."""
    path = tmp_path / "holes.yaml"
    path.write_text(JACKET.replace("  holes: []\n", ""), encoding="utf-8")
    assert asked(crackwright("ask", path, stdin="").err)[-1] == "holes"
    return path


def test_holes_field_by_field(nearly_done: Path, crackwright: Command) -> None:
    hole = "yes\nM12\n24 mm\nwrong\n0 mm\n18 mm\nworn\n8 mm\n8.8\n\n"
    ended = crackwright("ask", nearly_done, stdin=f"{hole}y\n3/4-10 UNC\n\n?\n1 in\n\n\n\n\n\nno\n")
    assert answers_in(nearly_done)["holes"] == [
        {
            "thread": "M12", "depth": "24 mm", "distance": "0 mm", "edge_distance": "18 mm",
            "condition": "worn", "damaged_length": "8 mm", "bolt_class": "8.8",
        },
        {"thread": "3/4-10 UNC", "distance": "1 in"},
    ]  # fmt: skip
    assert "Found wrong; expected a length" in " ".join(ended.err.split())
    assert "hole 2, thread> " in ended.err
    assert "Enter leaves it out." in ended.err


@pytest.mark.parametrize(("reply", "found"), [("no", []), ("[]", []), ("unknown", "unknown")])
def test_no_holes(reply: str, found: Any, nearly_done: Path, crackwright: Command) -> None:
    crackwright("ask", nearly_done, stdin=f"{reply}\n")
    assert answers_in(nearly_done)["holes"] == found


def test_holes_in_one_line(nearly_done: Path, crackwright: Command) -> None:
    crackwright("ask", nearly_done, stdin="[{thread: M12, distance: 5 mm}]\n")
    assert answers_in(nearly_done)["holes"] == [{"thread": "M12", "distance": "5 mm"}]


def test_a_list_begun_is_not_kept_as_if_it_were_whole(
    nearly_done: Path, crackwright: Command
) -> None:
    for stdin in ("yes\nM12\n24 mm\nquit\n", "yes\nM12\n24 mm\n"):
        ended = crackwright("ask", nearly_done, stdin=stdin)
        assert ended.code == 0
        assert "holes" not in answers_in(nearly_done)


def test_back_inside_a_list_goes_one_field_back(nearly_done: Path, crackwright: Command) -> None:
    stdin = "yes\nM12\nback\nM16x2\n\n\n\n\n\n\n\nno\n"
    crackwright("ask", nearly_done, stdin=stdin)
    assert answers_in(nearly_done)["holes"] == [{"thread": "M16x2"}]


def test_back_out_of_a_list(nearly_done: Path, crackwright: Command) -> None:
    crackwright("ask", nearly_done, stdin="yes\nback\nno\n")
    assert answers_in(nearly_done)["holes"] == []


def test_answers_that_cannot_both_be_true(tmp_path: Path, crackwright: Command) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(JACKET.replace("  wall_thickness: 6.5 mm +/- 0.3 mm\n", ""), encoding="utf-8")
    before = path.read_bytes()
    ended = crackwright("ask", path, stdin="12 mm\n")
    assert asked(ended.err) == ["wall_thickness"]
    assert "expected wall_thickness_max at or above wall_thickness" in " ".join(ended.err.split())
    assert path.read_bytes() == before


# --- no file named --------------------------------------------------------------------------------


def test_a_reference_names_the_file(
    tmp_path: Path, crackwright: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ended = crackwright("ask", stdin="..\nJ 12/b\nbracket\n")
    assert 'Found the reference ".."' in ended.err
    assert (tmp_path / "J-12-b.yaml").read_text(encoding="utf-8").startswith("case: J 12/b\n")
    assert ended.code == 0


def test_no_reference(crackwright: Command) -> None:
    ended = crackwright("ask", stdin="")
    assert ended.code == Exit.BAD_INPUT
    assert "expected a reference on the first line" in ended.err


@pytest.mark.parametrize("name", ["no/such/folder/a.yaml", "a.txt"])
def test_a_place_that_cannot_be_used_is_said_before_the_first_question(
    name: str, tmp_path: Path, crackwright: Command
) -> None:
    ended = crackwright("ask", tmp_path / name, stdin="bracket\n")
    assert (ended.code, ended.out, asked(ended.err)) == (Exit.BAD_INPUT, "", [])


# --- answers in a file ----------------------------------------------------------------------------


def test_answers_from_a_file(tmp_path: Path, crackwright: Command, rulebook: Rulebook) -> None:
    whole = tmp_path / "whole.yaml"
    whole.write_text(JACKET, encoding="utf-8")
    path = tmp_path / "new.yaml"
    ended = crackwright("ask", path, "--answers", whole)
    assert (ended.code, ended.err) == (0, "")
    assert "REPAIR" in ended.out
    assert answers_in(path) == answers_in(whole)
    assert read_case(path, rulebook.questionnaire).reference == "T-1"


def test_answers_alone_on_standard_input_join_a_case(
    case_file: Path, crackwright: Command, rulebook: Rulebook
) -> None:
    ended = crackwright("ask", case_file, "--answers", "-", stdin="pressure: unknown\n")
    assert ended.code == 0
    case = parse_case(case_file.read_text(encoding="utf-8"), "", rulebook.questionnaire)
    assert case.value("pressure") is UNKNOWN
    assert len(case.answers) == len(GIVEN)


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ("material: tin\npressure: 3\n", "answers.yaml:1:1: answers.material: found"),
        ("wall_thickness_max: 1 mm\n", "wall_thickness_max at or above wall_thickness"),
        ("- material\n", "answers.yaml"),
    ],
)
def test_wrong_answers_change_nothing(
    answers: str, says: str, tmp_path: Path, case_file: Path, crackwright: Command
) -> None:
    file = tmp_path / "answers.yaml"
    file.write_text(answers, encoding="utf-8")
    before = case_file.read_bytes()
    ended = crackwright("ask", case_file, "--answers", file)
    assert (ended.code, ended.out) == (Exit.BAD_INPUT, "")
    assert says in ended.err
    assert case_file.read_bytes() == before


def test_no_input_asks_nothing(case_file: Path, crackwright: Command) -> None:
    ended = crackwright("ask", case_file, "--no-input", stdin="bracket\n")
    assert (ended.code, ended.err) == (0, "")
    assert "REPAIR" in ended.out
    assert crackwright("ask", "--no-input").code == Exit.BAD_INPUT
