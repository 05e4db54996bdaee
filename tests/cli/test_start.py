"""How the program starts: quickly, with an example in every help, with completion."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from advisor import __version__
from advisor.cli.main import app

from .conftest import Command, environment, in_own_process

HEAVY = ("durable", "pint", "pydantic", "yaml", "z3", "advisor.advice", "advisor.reasoning")


def commands(group: Any, *path: str) -> Iterator[tuple[str, ...]]:
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from commands(command, *path, name)
        else:
            yield (*path, name)


ALL = sorted(commands(typer.main.get_command(app)))


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_every_help_has_an_example_and_fits(path: tuple[str, ...], crackwright: Command) -> None:
    ended = crackwright(*path, "--help")
    assert ended.code == 0
    assert f"Example: crackwright {' '.join(path)}" in " ".join(ended.out.split())
    assert max(map(len, ended.out.splitlines())) <= 80


def test_every_promised_command_is_there() -> None:
    promised = {"ask", "advise", "why", "compare", "check", "triage", "practise", "sheet", "schema"}
    in_rules = {"list", "show", "prove", "sources", "impact"}
    assert {(name,) for name in promised} | {("rules", name) for name in in_rules} <= set(ALL)


def test_version(crackwright: Command) -> None:
    assert crackwright("--version").out == f"crackwright {__version__}\n"


def test_nothing_heavy_is_imported_for_help() -> None:
    script = (
        "import sys, advisor.cli.main\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    found = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True, text=True, env=environment(), check=True, timeout=60,
    )  # fmt: skip
    assert found.stdout.strip() == "[]"


def test_an_advice_goes_without_the_slowest_libraries(case_file: Path) -> None:
    script = (
        "import sys\n"
        "from advisor.cli.main import main\n"
        "assert main(['advise', sys.argv[1]]) == 0\n"
        "print([name for name in ('pydantic', 'pint', 'z3') if name in sys.modules])\n"
    )
    found = subprocess.run(
        [sys.executable, "-c", script, str(case_file)],
        capture_output=True, text=True, env=environment(), check=True, timeout=60,
    )  # fmt: skip
    assert found.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("crackwright ad", "advise"), ("crackwright rules sh", "show")],
)
def test_shell_completion(typed: str, offered: str) -> None:
    found = in_own_process(
        _CRACKWRIGHT_COMPLETE="complete_bash",
        COMP_WORDS=typed,
        COMP_CWORD=str(len(typed.split()) - 1),
    )
    assert offered in found.stdout.split()
