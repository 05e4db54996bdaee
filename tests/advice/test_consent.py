"""Who has to agree where the part is replaced: nobody consents to a repair that is not done."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.doubt.what_if import Outlook
from advisor.advice.procedure import approvals
from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import Thinking, think

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.yaml"))

# Practice: these are asked whether and how the part may be repaired.
ASKED_ABOUT_A_REPAIR = {
    "owner", "maker", "competent_engineer", "senior_repairer", "second_inspector",
    "metallurgist", "welding_engineer",
}  # fmt: skip


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load_rulebook()


@pytest.fixture(scope="module")
def thought(book: Rulebook) -> dict[str, Thinking]:
    return {name: think(case, book, judge_only=True) for name, case in scenario_cases(book)}


def _who(thinking: Thinking) -> set[str]:
    return {one.id for one in approvals(thinking)}


def test_whoever_speaks_for_the_law_or_for_safety_is_never_left_out(book: Rulebook) -> None:
    rows = book.knowledge.tables["approvals"].rows
    marked = {
        name
        for name, row in rows.items()
        if "repair_only" in row and row["repair_only"].value == "yes"
    }
    assert marked == ASKED_ABOUT_A_REPAIR


@pytest.mark.parametrize("name", NAMES)
def test_consent_to_a_repair_is_asked_for_where_there_may_be_one(
    name: str, thought: dict[str, Thinking]
) -> None:
    found = thought[name]
    certain = {str(c.value) for c in found.claims["required_approvals"] if c.certain}
    if found.word("verdict") == "replace":
        assert _who(found) == certain - ASKED_ABOUT_A_REPAIR
    else:
        assert certain <= _who(found)
    assert Outlook(found).approvals == _who(found)


@pytest.mark.parametrize(
    ("governed_by", "stays"),
    [(("marine_class",), {"class_surveyor"}), (("food_or_potable",), {"food_safety"})],
)
def test_the_law_has_its_say_on_a_part_that_is_replaced(
    governed_by: tuple[str, ...], stays: set[str], thought: dict[str, Thinking], book: Rulebook
) -> None:
    case = thought["hydraulic-valve-block-at-high-pressure-is-replaced"].case
    found = think(case.with_answers({"governed_by": governed_by}), book, judge_only=True)
    assert found.word("verdict") == "replace"
    assert _who(found) == stays
