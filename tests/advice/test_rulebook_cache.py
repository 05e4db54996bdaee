"""A rule book that was kept is the one that was read, and any change makes another."""

from __future__ import annotations

import gc
import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.advice import rulebook_cache
from advisor.advice.advise import advise
from advisor.advice.rulebook import (
    STAGES,
    Rulebook,
    data_folder,
    digest,
    load_rulebook,
    read_rulebook,
)
from advisor.advice.scenarios import scenario_cases
from advisor.reasoning.conditions import All, Any, Condition, Not
from advisor.reasoning.translation import translate


@pytest.fixture(scope="module")
def fresh() -> Rulebook:
    return read_rulebook(data_folder(), digest(data_folder()))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(rulebook_cache, "cache_folder", lambda: tmp_path)
    return tmp_path


@pytest.fixture
def kept(fresh: Rulebook, folder: Path) -> Rulebook:
    rulebook_cache.keep("d", fresh)
    found = rulebook_cache.recall("d")
    assert isinstance(found, Rulebook)
    return found


def test_rules_come_back_as_they_were(fresh: Rulebook, kept: Rulebook) -> None:
    assert kept.rules == fresh.rules
    assert [rule.reads for rule in kept.rules] == [rule.reads for rule in fresh.rules]


def test_everything_else_comes_back_as_it_was(fresh: Rulebook, kept: Rulebook) -> None:
    for name in ("version", "digest", "questionnaire", "declarations", "steps", "inspections"):
        assert getattr(kept, name) == getattr(fresh, name)
    assert (kept.asked_when, kept.ordinary) == (fresh.asked_when, fresh.ordinary)
    assert kept.vocabulary.kinds == fresh.vocabulary.kinds


def test_tables_come_back_as_they_were_in_their_order(fresh: Rulebook, kept: Rulebook) -> None:
    assert list(kept.knowledge.tables) == list(fresh.knowledge.tables)
    assert len(kept.knowledge.tables) == len(fresh.knowledge.tables)
    assert dict(kept.knowledge.tables) == fresh.knowledge.tables
    assert kept.knowledge.sources == fresh.knowledge.sources
    assert kept.knowledge.tables["grades"] is kept.knowledge.tables["grades"]


def test_table_that_does_not_exist(kept: Rulebook) -> None:
    assert "cheeses" not in kept.knowledge.tables
    with pytest.raises(KeyError):
        kept.knowledge.tables["cheeses"]


def test_translation_is_that_of_the_rules(fresh: Rulebook, kept: Rulebook) -> None:
    for at, stage in enumerate(STAGES):
        assert kept.translated[stage].is_of(kept.of_stage(stage), kept.vocabulary, at)
        anew = translate(kept.of_stage(stage), kept.vocabulary, at)
        assert kept.translated[stage].books == anew.books == fresh.translated[stage].books


def test_advice_of_a_kept_rule_book_is_the_same(fresh: Rulebook, kept: Rulebook) -> None:
    name, case = next(iter(scenario_cases(fresh)))
    assert name
    assert json.dumps(advise(case, kept).to_json()) == json.dumps(advise(case, fresh).to_json())


def test_equal_conditions_are_kept_once(kept: Rulebook) -> None:
    def parts(condition: Condition) -> Iterator[Condition]:
        yield condition
        if isinstance(condition, Not):
            yield from parts(condition.part)
        elif isinstance(condition, All | Any):
            for part in condition.parts:
                yield from parts(part)

    found = [part for rule in kept.rules for part in parts(rule.when)]
    assert len({id(part) for part in found}) == len(set(found)) < len(found)


def test_garbage_is_collected_again_after_reading(kept: Rulebook) -> None:
    assert kept
    assert gc.isenabled()


def test_no_garbage_is_collected_where_it_is_turned_off(fresh: Rulebook, folder: Path) -> None:
    rulebook_cache.keep("d", fresh)
    gc.disable()
    try:
        assert rulebook_cache.recall("d") is not None
        assert not gc.isenabled()
    finally:
        gc.enable()


@pytest.mark.parametrize("content", [b"", b"no pickle", None])
def test_cache_that_cannot_be_read_is_as_good_as_none(
    fresh: Rulebook, folder: Path, content: bytes | None
) -> None:
    rulebook_cache.keep("d", fresh)
    (entry,) = folder.glob("*.pickle")
    entry.write_bytes(entry.read_bytes()[:-100] if content is None else content)
    assert rulebook_cache.recall("d") is None
    assert gc.isenabled()


def test_a_rule_book_is_read_anew_where_one_byte_changed(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    base = tmp_path / "base"
    for name in ("rules", "knowledge"):
        shutil.copytree(data_folder() / name, base / name)
    assert digest(base) == digest(data_folder())
    first = load_rulebook.__wrapped__(base)
    table = base / "knowledge" / "parts.yaml"
    was = table.stat()
    text = table.read_text(encoding="utf-8")
    table.write_text(text.replace("title: ", "title: X", 1), encoding="utf-8")
    assert load_rulebook.__wrapped__(base).digest != first.digest
    table.write_text(text, encoding="utf-8")
    assert table.stat().st_mtime_ns != was.st_mtime_ns
    assert load_rulebook.__wrapped__(base).digest == first.digest


def test_digest_does_not_hang_on_how_the_folder_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(data_folder())
    assert digest(Path()) == digest(data_folder())


def test_digest_hangs_on_names_and_contents(tmp_path: Path) -> None:
    names = ("knowledge/b.yaml", "knowledge/a/c.yaml", "rules/1.yaml")
    for name in names:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"x\n")
    first = digest(tmp_path)
    (tmp_path / names[1]).write_bytes(b"x\r\n")
    assert digest(tmp_path) == first
    (tmp_path / names[1]).write_bytes(b"y\n")
    assert digest(tmp_path) != first
    (tmp_path / names[1]).write_bytes(b"x\n")
    (tmp_path / names[1]).rename(tmp_path / "knowledge" / "c.yaml")
    assert digest(tmp_path) != first
