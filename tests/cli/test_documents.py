"""README and DEVELOPERS say what is true: excerpts are real output, what they name is there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from advisor.cli.main import app

from .conftest import ROOT, Command

DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md"]
ROOTS = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}

PLACEHOLDER = re.compile("NAME|STAGE|NN-|advisor/_data")  # the last one is inside the wheel


def consoles() -> Iterator[tuple[str, list[str]]]:
    """Each command in a console block with the output shown below it."""
    for document in DOCUMENTS:
        for block in re.findall(r"```console\n(.*?)```", document.read_text("utf-8"), re.DOTALL):
            command, *shown = block.splitlines()
            yield command.removeprefix("$ "), [line for line in shown if line.strip() != "…"]


@pytest.mark.parametrize(("command", "shown"), list(consoles()), ids=lambda value: str(value)[:40])
def test_excerpts_are_real_output(
    command: str,
    shown: list[str],
    tmp_path: Path,
    crackwright: Command,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    program, *arguments = command.split()
    assert program == "crackwright"
    replies = "".join(line[2:] + "\n" for line in shown if line.startswith("> "))
    if arguments[0] == "ask":
        monkeypatch.chdir(tmp_path)
    else:
        monkeypatch.chdir(ROOT)
    ended = crackwright(*arguments, stdin=replies)
    assert ended.code == 0
    output = iter((ended.err + ended.out).splitlines())
    for line in shown:
        pattern = ".*".join(map(re.escape, line.split("…")))
        assert any(re.fullmatch(pattern, found) for found in output), line


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_paths_that_are_named_are_there(document: Path) -> None:
    text = document.read_text(encoding="utf-8")
    named = set(re.findall(r"(?<![\w/.<])((?:[a-z_]+/)[\w./-]*\w)", text))
    ours = [path for path in named if path.split("/")[0] in ROOTS and not PLACEHOLDER.search(path)]
    missing = {path for path in ours if not there(path)}
    assert not missing


def there(path: str) -> bool:
    return (ROOT / path).exists() or bool(list(ROOT.glob(path)))


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_commands_that_are_named_are_there(document: Path) -> None:
    top: Any = typer.main.get_command(app)
    for words in re.findall(
        r"[`$] ?crackwright ([a-z]+)(?: ([a-z]+))?", document.read_text("utf-8")
    ):
        command = top.commands.get(words[0])
        assert command is not None, words
        if hasattr(command, "commands") and words[1]:
            assert words[1] in command.commands, words
