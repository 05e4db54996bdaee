"""One rule base and one advice for each scenario, shared by all tests of a run."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from advisor.advice.advise import read_off
from advisor.advice.model import Advice
from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@dataclass(frozen=True)
class Worked:
    """A case thought through, and the advice read off it."""

    thinking: Thinking
    advice: Advice


@pytest.fixture(scope="session")
def rulebook() -> Rulebook:
    return load_rulebook()


@pytest.fixture(scope="session")
def cases(rulebook: Rulebook) -> Mapping[str, Case]:
    return dict(scenario_cases(rulebook))


@pytest.fixture(scope="session")
def worked(rulebook: Rulebook, cases: Mapping[str, Case]) -> Callable[[str], Worked]:
    """The advice for a scenario by its name, worked out once by both reasoners."""

    @cache
    def work(name: str) -> Worked:
        thinking = think(cases[name], rulebook)
        return Worked(thinking, read_off(thinking))

    return work
