"""One rule book and one maker of cases for all tests; nobody's own progress is touched."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from random import Random

import pytest

from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.case.model import Case
from advisor.practice.exercise import Exercise, of_scenario
from advisor.practice.making.maker import Made, Maker, Pair
from advisor.practice.worked import Worked

ROOT = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-m", "advisor.cli.main"]
CASES = 200
PAIRS = 50
TRIES = 2  # few tries a rule and many rules: that is the quickest way to as many cases


def environment(**more: str) -> dict[str, str]:
    """What a process of its own needs to find the program."""
    path = os.pathsep.join(p for p in (str(ROOT), os.environ.get("PYTHONPATH", "")) if p)
    return {**os.environ, "PYTHONPATH": path, **more}


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    for name in ("COLUMNS", "NO_COLOR", "CRACKWRIGHT_DEBUG"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def book() -> Rulebook:
    return load_rulebook()


@pytest.fixture(scope="session")
def maker(book: Rulebook) -> Maker:
    return Maker(book)


@pytest.fixture(scope="session")
def made(book: Rulebook, maker: Maker) -> tuple[Made, ...]:
    """Cases for as many rules, taken from the whole rule base in a shuffled order."""
    return tuple(_made(book, maker))


def _made(book: Rulebook, maker: Maker) -> Iterator[Made]:
    rules = list(book.rules)
    Random("cases").shuffle(rules)
    count = 0
    for rule in rules:
        found = maker.for_rule(rule, "test", tries=TRIES, looks=1)
        if found:
            yield found
            count += 1
        if count == CASES:
            return


@pytest.fixture(scope="session")
def pairs(book: Rulebook, maker: Maker) -> tuple[Pair, ...]:
    """Pairs for rules that bear on verdict or method."""
    return tuple(_pairs(book, maker))


def _pairs(book: Rulebook, maker: Maker) -> Iterator[Pair]:
    deciding = {"settle", "rule_out", "favour", "disfavour", "allow"}
    rules = [rule for rule in book.rules if {effect.kind for effect in rule.then} & deciding]
    Random("pairs").shuffle(rules)
    count = 0
    for rule in rules:
        found = maker.pair_for(rule, "test", tries=TRIES)
        if found:
            yield found
            count += 1
        if count == PAIRS:
            return


@pytest.fixture(scope="session")
def scenarios(book: Rulebook) -> dict[str, Case]:
    return dict(scenario_cases(book))


@pytest.fixture(scope="session")
def worked(book: Rulebook, scenarios: dict[str, Case]) -> Callable[[str], Worked]:
    """A scenario worked out as an exercise, once."""

    @cache
    def work(name: str) -> Worked:
        return Worked(of_scenario(name, scenarios[name], book), book, judge_only=True)

    return work


@pytest.fixture(scope="session")
def exercise(book: Rulebook, scenarios: dict[str, Case]) -> Exercise:
    """Any exercise."""
    name = "boiler-section-is-refused-by-law"
    return of_scenario(name, scenarios[name], book)
