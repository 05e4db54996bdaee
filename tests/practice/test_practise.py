"""``practise`` through a pipe and in a real terminal."""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from advisor.cli.exits import Exit
from advisor.cli.main import main
from advisor.practice.store import Store

from .conftest import PROGRAM, environment

pexpect = pytest.importorskip("pexpect")

BOILER = ("--subject", "who decides over the part", "--level", "easy", "--seed", "5")
"""Short exercises: nothing goes ahead, for a reason of few answers."""

ONES = "1\n" * 40


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    returncode: int
    stdout: str
    stderr: str


Run = Callable[..., Ended]
Open = Callable[..., Any]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def practise(
    home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    """Run the command in this process: arguments in, exit code and both outputs out."""
    monkeypatch.setenv("XDG_DATA_HOME", str(home))

    def run(*arguments: str | Path, stdin: str = "") -> Ended:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin.encode())))
        capsys.readouterr()
        code = main(["practise", *map(str, arguments)])
        return Ended(code, *capsys.readouterr())

    return run


def kept(home: Path) -> Store:
    return Store(home / "crackwright" / "practice.sqlite3")


# --- through a pipe -------------------------------------------------------------------------------


def test_answers_from_a_file(practise: Run, home: Path, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text("refer\n" + ONES)
    ended = practise("--person", "Kim", *BOILER, "--count", "1", "--answers", answers)
    assert ended.returncode == Exit.DONE, ended.stderr
    assert "What is your verdict?" in ended.stderr
    assert "1. What is your verdict? right (10 of 10)" in ended.stdout
    assert "Sum: " in ended.stdout
    assert "Progress of Kim is kept in" in ended.stderr
    assert all(len(line) <= 80 for line in ended.stdout.splitlines())
    assert all(len(line) <= 80 or str(home) in line for line in ended.stderr.splitlines())
    assert "\x1b" not in ended.stdout + ended.stderr
    assert len(kept(home).done("Kim")) == 1


def test_a_dangerous_answer_is_called_so(practise: Run) -> None:
    ended = practise("--person", "Kim", *BOILER, "--count", "1", stdin="repair\n" + ONES)
    assert "DANGEROUS (-10 of 10)" in ended.stdout
    assert "because:" in ended.stdout
    assert "source:" in ended.stdout
    assert "Not passed: a dangerous answer" in ended.stdout


def test_the_end_of_input_keeps_what_was_decided(practise: Run, home: Path) -> None:
    ended = practise("--person", "Kim", *BOILER, stdin="refer\n")
    assert ended.returncode == Exit.DONE
    assert "There is no more input." in ended.stderr
    attempt = kept(home).unfinished("Kim")
    assert attempt is not None
    assert attempt.taken == {"verdict": ("refer",)}
    again = practise("--person", "Kim", *BOILER, "--count", "1", stdin=ONES)
    assert "Going on with an exercise that was left; 1 decided so far." in again.stderr
    assert "What is your verdict? right" in again.stdout


def test_help_case_skip_and_quit(practise: Run, home: Path) -> None:
    ended = practise("--person", "Kim", *BOILER, stdin="?\ncase\nmaybe\nskip\nquit\n")
    assert ended.returncode == Exit.DONE
    assert "First who has a say" in ended.stderr
    asked = ended.stderr.count("What is your verdict?")
    assert asked == 3  # shown, shown again, and the next one
    assert 'Found "maybe"; expected a number from 1 to 5' in ended.stderr
    attempt = kept(home).unfinished("Kim")
    assert attempt is not None
    assert attempt.taken == {}


def test_everybody_gets_the_same_class_set(practise: Run, home: Path) -> None:
    wanted = ("--class-set", "evening", "--seed", "7", "--count", "2", "--level", "easy")
    shown = []
    for person in ("Kim", "Robin"):
        ended = practise("--person", person, *wanted, stdin=ONES)
        assert ended.returncode == Exit.DONE, ended.stderr
        shown.append(ended.stderr.replace(person, "X"))
    assert shown[0] == shown[1]
    done = [kept(home).done(person, "evening/7") for person in ("Kim", "Robin")]
    assert done[0] == done[1]
    assert len(done[0]) >= 2
    again = practise("--person", "Kim", *wanted, stdin=ONES)
    assert "This class set is done." in again.stderr


def test_pairs_come_one_after_the_other(practise: Run) -> None:
    ended = practise("--person", "Kim", "--pairs", "--seed", "4", "--count", "2", stdin=ONES)
    assert ended.returncode == Exit.DONE, ended.stderr
    assert "The same case as before but for one answer:" in ended.stderr


def test_progress_is_shown_exported_and_forgotten(practise: Run, home: Path) -> None:
    practise("--person", "Kim", *BOILER, "--count", "1", stdin="repair\n" + ONES)
    summary = practise("--summary")
    assert "Kim: 1 exercise" in summary.stdout
    assert "rules to practise" in summary.stdout
    assert "come back today" in summary.stdout
    table = list(csv.DictReader(io.StringIO(practise("--export", "-").stdout)))
    assert {row["person"] for row in table} == {"Kim"}
    assert table[0]["decision"] == "verdict"
    assert table[0]["standing"] == "dangerous"
    assert practise("--forget", "--person", "Kim").returncode == Exit.DONE
    assert practise("--summary").stdout == "Nobody has practised on this computer yet.\n"
    assert kept(home).people() == []


def test_a_missed_rule_comes_back(practise: Run, home: Path) -> None:
    practise("--person", "Kim", *BOILER, "--count", "1", stdin="repair\n" + ONES)
    due = {card.rule for card in kept(home).cards("Kim") if card.box == 0}
    practise("--person", "Kim", "--seed", "9", "--count", "1", stdin=ONES)
    again = kept(home).done("Kim")[-1]
    assert again.split("/")[1] in due


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--stage", "metod"), "did you mean method?"),
        (("--rule", "authority.boiler-lav"), "did you mean authority.boiler-law?"),
        (("--subject", "knitting"), "expected one of"),
        (("--class-set", "A"), "--seed N"),
        (("--person", ""), "1 to 60 printable characters"),
        (("--forget",), "--person NAME"),
        (("--forget", "--person", "Nobody"), "nothing kept about Nobody"),
        (("--answers", "no-such-file"), "no such file"),
    ],
)
def test_bad_use_says_what_would_be_right(
    arguments: tuple[str, ...], says: str, practise: Run
) -> None:
    ended = practise(*arguments)
    assert ended.returncode == Exit.BAD_INPUT
    assert says in ended.stderr
    assert "Traceback" not in ended.stderr


def test_a_file_of_progress_that_is_none(practise: Run, home: Path) -> None:
    path = home / "crackwright" / "practice.sqlite3"
    path.parent.mkdir(parents=True)
    path.write_text("somebody's shopping list\n" * 40)
    ended = practise("--person", "Kim", stdin=ONES)
    assert ended.returncode == Exit.BAD_INPUT
    assert str(path) in ended.stderr
    assert path.read_text().startswith("somebody's shopping list")


def test_subjects_are_listed(practise: Run) -> None:
    ended = practise("--subjects")
    assert ended.stdout.startswith("material\n  ")
    assert "  braze welding (" in ended.stdout


# --- in a real terminal ---------------------------------------------------------------------------


@pytest.fixture
def terminal(home: Path, tmp_path: Path) -> Iterator[Open]:
    """Start the program in a terminal of 80 columns; whatever still runs at the end is ended."""
    started: list[Any] = []

    def start(*arguments: str) -> Any:
        child = pexpect.spawn(
            PROGRAM[0],
            [*PROGRAM[1:], "practise", *arguments],
            env=environment(TERM="xterm", XDG_DATA_HOME=str(home)),
            cwd=str(tmp_path),
            dimensions=(60, 80),
            encoding="utf-8",
            timeout=60,
        )
        started.append(child)
        return child

    yield start
    for child in started:
        child.close(force=True)


def ended(child: Any) -> int:
    child.expect(pexpect.EOF)
    child.close()
    return int(child.exitstatus)


def answer_all(child: Any, answer: str) -> None:
    """Answer every decision alike until the marks come."""
    while True:
        seen = child.expect([r"[a-z_0-9]+> ", r"Marks: "])
        if seen == 1:
            return
        child.sendline(answer)


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_a_whole_session_in_a_terminal(terminal: Open, home: Path) -> None:
    child = terminal(*BOILER)
    child.expect_exact("Who practises? name> ")
    child.sendline("Kim")
    child.expect_exact("At every question: ? helps")
    child.expect("generated for practice|a worked case")
    child.expect_exact("The metal on the bench")
    child.expect_exact("What is your verdict?")
    child.expect_exact("verdict> ")
    child.sendline("?")
    child.expect_exact("First who has a say")
    child.sendline("repare")
    child.expect('Found "repare"')
    child.sendline("refer")  # right
    child.expect_exact("Who has to agree")
    child.expect_exact("approvals> ")
    child.sendline("nothing")  # wrong
    child.expect_exact("measure> ")
    child.sendintr()
    child.expect_exact("Progress of Kim is kept in")
    assert ended(child) == Exit.INTERRUPTED
    assert "Traceback" not in child.before
    attempt = kept(home).unfinished("Kim")
    assert attempt is not None
    assert attempt.taken == {"verdict": ("refer",), "approvals": ("nothing",)}

    again = terminal(*BOILER)
    again.expect_exact("Going on as Kim")
    again.expect_exact("2 decided so far.")
    answer_all(again, "1")
    again.expect_exact("What is your verdict?")
    again.expect_exact("right")
    again.expect_exact("Who has to agree")
    again.expect_exact("DANGEROUS")
    again.expect_exact("because:")
    again.expect_exact("Sum: ")
    again.expect_exact("Another exercise?")
    again.sendline("yes")
    again.expect_exact("verdict> ")
    again.sendline("quit")
    again.expect_exact("Progress of Kim is kept in")
    assert ended(again) == Exit.DONE
    assert len(kept(home).done("Kim")) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_ctrl_d_ends_and_keeps(terminal: Open, home: Path) -> None:
    child = terminal("--person", "Kim", *BOILER)
    child.expect_exact("verdict> ")
    child.sendline("refer")
    child.expect_exact("approvals> ")
    child.sendeof()
    child.expect_exact("There is no more input.")
    assert ended(child) == Exit.DONE
    attempt = kept(home).unfinished("Kim")
    assert attempt is not None
    assert attempt.taken == {"verdict": ("refer",)}
