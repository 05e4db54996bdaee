"""One rule base for all proofs of a run, and copies of it to be broken."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook, digest, load_rulebook, read_rulebook
from advisor.case.yaml_text import read_yaml

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def book() -> Rulebook:
    return load_rulebook()


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the rule base that may be changed."""
    for folder in ("rules", "knowledge", "scenarios"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    return tmp_path


Read = Callable[[Path], Rulebook]


@pytest.fixture
def read() -> Read:
    """Reads a changed copy, past the cache of rule books."""

    def reader(folder: Path) -> Rulebook:
        return read_rulebook(folder, digest(folder))

    return reader


def edit(folder: Path, edits: list[dict[str, str]]) -> None:
    """Make the edits of a file in `broken/`: text within one entry, or the entry taken out."""
    for each in edits:
        path = folder / each["file"]
        text = path.read_text(encoding="utf-8")
        start = text.index(f"  - id: {each['entry']}\n")
        end = text.find("\n  - id: ", start)
        block = text[start:] if end < 0 else text[start : end + 1]
        if "replace" in each:
            assert each["replace"] in block, f"{each['entry']} has no {each['replace']!r}"
            changed = block.replace(each["replace"], each["by"], 1)
        elif "add" in each:
            changed = block.rstrip() + "\n\n" + each["add"].rstrip() + "\n"
        else:
            changed = ""
        path.write_text(text.replace(block, changed, 1), encoding="utf-8")


def broken_files() -> list[Path]:
    return sorted((Path(__file__).parent / "broken").glob("*.yaml"))


def broken(path: Path) -> dict[str, object]:
    data = read_yaml(path).data
    assert isinstance(data, dict)
    return data
