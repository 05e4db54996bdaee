"""The case as it is told: every answer once, nothing that is not in the case, readable anywhere."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import think
from advisor.case.model import UNKNOWN, Case
from advisor.case.quantities import Measure, format_measure
from advisor.practice.making.maker import Made
from advisor.practice.picture import HEIGHT, WIDTH, draw
from advisor.practice.story import ON_LIST, tell
from advisor.practice.worked import Worked

CUSTOMER = frozenset(
    {"part_kind", "crack_cause", "cause_removed", "material", "material_evidence", "fluid",
     "pressure", "temperature_max", "temperature_min", "thermal_cycling", "load", "leak_tight",
     "failure_consequence", "governed_by", "replacement", "repair_intent"}
)  # fmt: skip
"""What the customer says; the list of the bench has the rest."""


def test_every_question_is_told_somewhere(book: Rulebook) -> None:
    assert set(book.questionnaire.by_id) == ON_LIST | CUSTOMER
    assert not ON_LIST & CUSTOMER


def test_every_answer_is_told(made: tuple[Made, ...], scenarios: dict[str, Case]) -> None:
    book = made[0].thinking.rulebook
    thoughts = [one.thinking for one in made[:60]]
    thoughts += [think(case, book, judge_only=True) for case in scenarios.values()]
    for thinking in thoughts:
        story = tell(thinking)
        listed = {line.question: line.found for _, lines in story.bench for line in lines}
        told = " ".join(story.told)
        for name, answer in thinking.case.answers.items():
            if name in ON_LIST:
                assert listed[name], name
            if answer.value is UNKNOWN:
                continue
            if isinstance(answer.value, Measure) and name != "strength_target":
                assert format_measure(answer.value) in (listed.get(name, told)), name
            if name in ("material", "part_kind", "fluid") and answer.value != "none":
                label = _label(book, name, str(answer.value))
                assert label in told, name


def _label(book: Rulebook, question: str, choice: str) -> str:
    return next(c.label for c in book.questionnaire.by_id[question].choices if c.id == choice)


def test_each_choice_of_the_customer_reads_differently(
    made: tuple[Made, ...], book: Rulebook
) -> None:
    case = made[0].case
    for name in sorted(CUSTOMER):
        question = book.questionnaire.by_id[name]
        if question.type not in ("choice", "yes_no"):
            continue
        words = [*question.choice_ids, *(("yes", "no") if question.type == "yes_no" else ())]
        told = {
            word: tell(think(case.with_answers({name: word}), book, judge_only=True)).told
            for word in words
        }
        told["unknown"] = tell(
            think(case.with_answers({name: UNKNOWN}), book, judge_only=True)
        ).told
        assert len(set(told.values())) == len(told), name


def test_open_questions_are_named(made: tuple[Made, ...], book: Rulebook) -> None:
    case = made[0].case.with_answers({"wall_thickness": None})
    assert "least wall" in tell(think(case, book, judge_only=True)).open


def test_the_drawing_is_plain_and_fits(made: tuple[Made, ...], scenarios: dict[str, Case]) -> None:
    for case in [*(one.case for one in made), *scenarios.values()]:
        lines = draw(case)
        if not isinstance(case.value("crack_length"), Measure):
            continue
        assert all(line.isascii() and line.isprintable() for line in lines)
        assert all(len(line) <= 78 for line in lines)
        drawing = lines[: next(i for i, line in enumerate(lines) if line.startswith("|--"))]
        assert len(drawing) <= HEIGHT
        assert all(len(line) <= WIDTH for line in drawing)
        text = "\n".join(drawing)
        found = case.value("crack_ends_found") in ("penetrant", "magnetic_particle")
        assert ("x" in text) == found
        assert ("?" in text) != found


@pytest.mark.parametrize(
    ("name", "shows"),
    [
        (
            "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins",
            ["O  threaded hole", "free edge, 32 mm"],
        ),
        (
            "engine-block-frost-crack-in-water-jacket-is-stitched",
            ["least wall 6.2 .. 6.8 mm", "behind it: coolant"],
        ),
    ],
)
def test_the_drawing_shows_what_is_near(
    name: str, shows: list[str], worked: Callable[[str], Worked]
) -> None:
    text = "\n".join(draw(worked(name).exercise.case))
    for part in shows:
        assert part in text


def test_a_crack_of_unknown_length_is_not_drawn(made: tuple[Made, ...]) -> None:
    assert draw(made[0].case.with_answers({"crack_length": UNKNOWN})) == []
