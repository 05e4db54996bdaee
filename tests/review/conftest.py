"""Plans made from the program's own advice on the worked cases, to be spoilt one item at a time."""

from __future__ import annotations

import copy
import functools
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.advise import read_off
from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.reading import read_case
from advisor.review.model import Item, Review
from advisor.review.plan_reading import parse_plan
from advisor.review.plan_writing import plan_of, plan_text
from advisor.review.review import review

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
PLANS = SCENARIOS / "plans"

Data = dict[str, Any]


@functools.cache
def book() -> Rulebook:
    return load_rulebook()


@functools.cache
def thought(name: str) -> Thinking:
    """A worked case thought through by the judge alone; the reasoners are compared elsewhere."""
    grades = tuple(book().knowledge.tables["grades"].rows)
    case = read_case(SCENARIOS / f"{name}.yaml", book().questionnaire, grades)
    return think(case, book(), judge_only=True)


@functools.cache
def _own(name: str) -> Data:
    thinking = thought(name)
    return dict(plan_of(read_off(thinking), thinking))


def own_plan(name: str) -> Data:
    """The program's own plan for a worked case, to be changed at will."""
    return copy.deepcopy(_own(name))


def checked(plan: Data, name: str) -> Review:
    """A plan checked against a worked case, by way of its file."""
    thinking = thought(name)
    return review(parse_plan(plan_text(plan), "plan.yaml", book(), thinking.case), thinking)


def found(result: Review, item: str) -> list[Item]:
    """The findings on an item and its parts."""
    return [one for one in result.items if one.item == item or one.item.startswith(f"{item}.")]


def scenario_names() -> list[str]:
    """All worked cases."""
    return sorted(path.stem for path in SCENARIOS.glob("*.yaml"))


Edit = Callable[[Data], None]


def put(path: str, value: Any) -> Edit:
    """Set one value, as in ``pin.pitch``; members of lists count from 1."""

    def edit(plan: Data) -> None:
        *way, last = path.split(".")
        at: Any = plan
        for step in way:
            at = at[int(step) - 1] if isinstance(at, list) else at[step]
        at[last] = value

    return edit


def drop(path: str) -> Edit:
    """Leave one entry out."""

    def edit(plan: Data) -> None:
        *way, last = path.split(".")
        at: Any = plan
        for step in way:
            at = at[int(step) - 1] if isinstance(at, list) else at[step]
        if isinstance(at, list):
            del at[int(last) - 1]
        else:
            del at[last]

    return edit


def times(path: str, factor: float) -> Edit:
    """Multiply one value, so that a spoilt plan stays spoilt when the case is changed a little."""

    def edit(plan: Data) -> None:
        at: Any = plan
        for step in path.split("."):
            at = at[int(step) - 1] if isinstance(at, list) else at[step]
        number, _, unit = at.partition(" ")
        value = float(number) * factor
        put(path, f"{value:.6g} {unit}" if unit else f"{value:.0f}")(plan)

    return edit


def uninspect(when: str, method: str) -> Edit:
    """Leave one inspection out."""

    def edit(plan: Data) -> None:
        before = plan["inspections"]
        after = [one for one in before if (one["when"], one["method"]) != (when, method)]
        assert len(after) < len(before), f"{when} {method} is not planned at all"
        plan["inspections"] = after

    return edit


def unhold(when: str, method: str) -> Edit:
    """Plan one inspection, but go on without waiting for it."""

    def edit(plan: Data) -> None:
        slots = plan["inspections"]
        chosen = [one for one in slots if (one["when"], one["method"]) == (when, method)]
        assert chosen, f"{when} {method} is not planned at all"
        for one in chosen:
            assert one["hold_point"] == "yes", f"{when} {method} is no hold point"
            one["hold_point"] = "no"

    return edit


def swap(one: str, other: str) -> Edit:
    """Turn two steps round."""

    def edit(plan: Data) -> None:
        words = list(plan["sequence"])
        a, b = words.index(one), words.index(other)
        words[a], words[b] = words[b], words[a]
        plan["sequence"] = words

    return edit


def move_last(word: str) -> Edit:
    """Put a step at the end."""

    def edit(plan: Data) -> None:
        plan["sequence"] = [*(one for one in plan["sequence"] if one != word), word]

    return edit


def skip(word: str) -> Edit:
    """Leave a step out."""

    def edit(plan: Data) -> None:
        assert word in plan["sequence"]
        plan["sequence"] = [one for one in plan["sequence"] if one != word]

    return edit


@pytest.fixture
def rulebook() -> Rulebook:
    return book()
