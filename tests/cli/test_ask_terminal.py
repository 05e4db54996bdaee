"""``ask`` in a real terminal: what is seen, line by line, and what Ctrl-C and Ctrl-D leave."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from advisor.cli.exits import Exit

from .conftest import JACKET, PROGRAM, environment

pexpect = pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

Open = Callable[..., Any]


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Open]:
    """Start the program in a terminal of 80 columns; whatever still runs at the end is ended."""
    started: list[Any] = []

    def start(*arguments: str | Path, **more: str) -> Any:
        child = pexpect.spawn(
            PROGRAM[0],
            [*PROGRAM[1:], *map(str, arguments)],
            env=environment(**{"TERM": "xterm", **more}),
            cwd=str(tmp_path),
            dimensions=(50, 80),
            encoding="utf-8",
            timeout=60,
        )
        started.append(child)
        return child

    yield start
    for child in started:
        child.close(force=True)


def ended(child: Any) -> int:
    """The exit code, once the program has ended."""
    child.expect(pexpect.EOF)
    child.close()
    return int(child.exitstatus)


def test_a_session_with_all_its_turns(tmp_path: Path, terminal: Open) -> None:
    path = tmp_path / "job.yaml"
    child = terminal("ask", "job.yaml")
    child.expect_exact("New case job.")
    child.expect(r"0 answered, about \d+ left that matter")
    child.expect(r"\[part_kind\]")
    child.expect_exact("> ")
    child.sendline("gearbox_hosing")
    child.expect(r"did\s+you\s+mean\s+gearbox_housing\?")
    child.sendline("?")
    child.expect_exact("Why:")
    child.expect_exact("case that holds the shafts and the oil of a gear train")
    child.sendline("gearbox")
    child.expect(r"\[governed_by\]")
    child.sendline("unknown")
    child.expect(r"\[failure_consequence\]")
    child.sendline("back")
    child.expect(r"\[governed_by\]")
    child.expect_exact("Answered: unknown; Enter keeps it.")
    child.sendline("none")
    child.expect(r"\[failure_consequence\]")
    child.sendline("quit")
    child.expect_exact("The answers are kept in job.yaml.")
    child.expect_exact("INVESTIGATE")
    assert ended(child) == Exit.DONE
    kept = "case: job\nanswers:\n  part_kind: gearbox_housing\n  governed_by: [none]\n"
    assert path.read_text(encoding="utf-8") == kept

    again = terminal("ask", "job.yaml")
    again.expect_exact("Going on with job.yaml.")
    again.expect(r"2 answered, about \d+ left")
    again.expect(r"\[failure_consequence\]")
    again.expect_exact("> ")
    again.sendeof()  # Ctrl-D
    again.expect_exact("There is no more input.")
    assert ended(again) == Exit.DONE
    assert path.read_text(encoding="utf-8") == kept


def test_ctrl_c_ends_at_once_and_keeps_the_answers(tmp_path: Path, terminal: Open) -> None:
    child = terminal("ask", "job.yaml")
    child.expect(r"\[part_kind\]")
    child.expect_exact("> ")
    child.sendline("bracket")
    child.expect(r"\[governed_by\]")
    child.expect_exact("> ")
    child.sendintr()
    child.expect_exact("The answers are kept in job.yaml.")
    assert ended(child) == Exit.INTERRUPTED
    assert "Traceback" not in child.before
    text = (tmp_path / "job.yaml").read_text(encoding="utf-8")
    assert text == "case: job\nanswers:\n  part_kind: bracket\n"


def test_a_new_job_is_named_by_its_reference(tmp_path: Path, terminal: Open) -> None:
    child = terminal("ask")
    child.expect_exact("reference> ")
    child.sendline("J-77")
    child.expect_exact("New case J-77.")
    child.expect_exact("> ")
    child.sendline("brake")
    child.expect_exact("Nothing that is still open can change the verdict: refer.")
    assert ended(child) == Exit.DONE
    assert (tmp_path / "J-77.yaml").is_file()


@pytest.mark.parametrize(
    ("arguments", "environ"),
    [(("--no-color",), {}), ((), {"NO_COLOR": "1"}), ((), {"TERM": "dumb"})],
    ids=["option", "NO_COLOR", "dumb"],
)
def test_plain_where_colour_is_not_wanted(
    arguments: tuple[str, ...], environ: dict[str, str], tmp_path: Path, terminal: Open
) -> None:
    (tmp_path / "jacket.yaml").write_text(JACKET, encoding="utf-8")
    child = terminal("why", "jacket.yaml", "verdict", *arguments, **environ)
    assert ended(child) == Exit.DONE
    assert "the verdict = repair" in child.before
    assert "\x1b[" not in child.before


def test_colour_in_a_terminal_that_has_it(tmp_path: Path, terminal: Open) -> None:
    (tmp_path / "jacket.yaml").write_text(JACKET, encoding="utf-8")
    child = terminal("advise", "jacket.yaml")
    assert ended(child) == Exit.DONE
    assert "\x1b[1;32mREPAIR" in child.before
