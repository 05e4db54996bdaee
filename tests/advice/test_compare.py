"""Two advices side by side: nothing where nothing differs, and what differs with its rules."""

from __future__ import annotations

import pytest

from advisor.advice.doubt.compare import Comparison, compare
from advisor.advice.rulebook import data_folder, load_rulebook
from advisor.advice.thinking import think
from advisor.case.model import Value
from advisor.case.quantities import parse_measure
from advisor.case.reading import read_case

BOOK = load_rulebook()
GRADES = tuple(BOOK.knowledge.tables["grades"].rows)
JACKET = read_case(
    next((data_folder() / "scenarios").glob("engine-block-frost*.yaml")), BOOK.questionnaire, GRADES
)


def compared(**changes: Value | None) -> Comparison:
    other = JACKET.with_answers(changes)
    return compare(think(JACKET, BOOK), think(other, BOOK))


def test_a_case_beside_itself_shows_nothing() -> None:
    found = compared()
    assert (found.answers, found.changes) == ((), ())


def test_a_thin_wall_changes_the_method_through_the_rules_that_say_so() -> None:
    found = compared(wall_thickness=parse_measure("3 mm", "length"))
    assert [change.item for change in found.answers] == ["wall_thickness"]
    by_item = {change.item: change for change in found.changes}
    stitch = by_item["cold_stitch"]
    assert (stitch.before, stitch.after) == ("recommended", "ruled_out")
    assert "stitch.no-row-fits" in stitch.rules
    assert by_item["pin"].after is None


def test_a_thicker_wall_changes_sizes_and_not_the_verdict() -> None:
    found = compared(wall_thickness=parse_measure("9 mm", "length"))
    by_item = {change.item: change for change in found.changes}
    assert "verdict" not in by_item
    assert (
        by_item["pin.major_diameter"].before["value"]
        < (by_item["pin.major_diameter"].after["value"])
    )


@pytest.mark.parametrize("law", ["boiler_law", "aviation"])
def test_a_law_over_the_part_ends_the_go_ahead(law: str) -> None:
    found = compared(governed_by=(law,))
    verdict = next(change for change in found.changes if change.item == "verdict")
    assert (verdict.before, verdict.after) == ("repair", "refer")
    assert all(rule in BOOK.rule_by_id for rule in verdict.rules)
