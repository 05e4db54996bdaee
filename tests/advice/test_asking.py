"""What is asked next, when asking ends, and that what is called settled is settled."""

from __future__ import annotations

import random
from collections.abc import Mapping

import pytest

from advisor.advice.doubt.asking import FIRST, Outlook, outlook, pointless
from advisor.advice.doubt.settled import Settled
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import think
from advisor.case.model import UNKNOWN, Case

JACKET = "engine-block-frost-crack-in-water-jacket-is-stitched"


def empty(case: Case, **answers: object) -> Case:
    """A case in which only these questions are answered."""
    kept = {name: answers.get(name) for name in {*case.answers, *answers}}
    return case.with_answers(kept)  # type: ignore[arg-type]


def interview(case: Case, book: Rulebook) -> list[tuple[str, Outlook]]:
    """Every question asked, with how things stood, until nothing is asked any more."""
    asked: list[tuple[str, Outlook]] = []
    so_far = empty(case)
    while not (look := outlook(so_far, book)).over:
        name = next(iter(look.pending))
        asked.append((name, look))
        value = case.value(name)
        so_far = so_far.with_answers({name: UNKNOWN if value is None else value})
    asked.append(("", look))
    return asked


def test_first_who_decides_what_metal_and_where(
    cases: Mapping[str, Case], rulebook: Rulebook
) -> None:
    pending = outlook(empty(cases[JACKET]), rulebook).pending
    first = [name for name in FIRST if name in pending]
    assert list(pending)[: len(first)] == first
    assert first[:4] == ["part_kind", "governed_by", "failure_consequence", "material"]


def test_an_interview_asks_once_counts_down_and_comes_to_the_verdict_of_the_whole_case(
    cases: Mapping[str, Case], rulebook: Rulebook
) -> None:
    asked = interview(cases[JACKET], rulebook)
    names = [name for name, _ in asked]
    assert len(names) == len(set(names))
    assert len(names) < len(rulebook.questionnaire.questions) * 0.7
    assert [look.answered for _, look in asked] == list(range(len(asked)))
    assert len(asked[-2][1].pending) <= 2
    whole = think(cases[JACKET], rulebook, judge_only=True)
    assert asked[-1][1].verdict == whole.word("verdict")
    assert asked[-1][1].goes_ahead
    assert not asked[-1][1].pending


@pytest.mark.parametrize("part", ["brake_part", "steering_part"])
def test_nothing_more_is_asked_once_the_part_alone_decides(
    part: str, cases: Mapping[str, Case], rulebook: Rulebook
) -> None:
    look = outlook(empty(cases[JACKET], part_kind=part), rulebook)
    assert (look.verdict, look.stands, look.over) == ("refer", True, True)


def test_unknown_is_not_asked_again(cases: Mapping[str, Case], rulebook: Rulebook) -> None:
    look = outlook(empty(cases[JACKET], part_kind=UNKNOWN), rulebook)
    assert "part_kind" not in look.pending
    assert look.pending


def test_a_question_without_sense_is_not_asked(
    cases: Mapping[str, Case], rulebook: Rulebook
) -> None:
    """Pressure makes no sense where the wall holds nothing; the cure waits for the cause."""
    dry = empty(cases[JACKET], fluid="none")
    assert "pressure" in pointless(think(dry, rulebook, judge_only=True), ())
    assert "pressure" not in outlook(dry, rulebook).pending
    begun = empty(cases[JACKET])
    assert "cause_removed" not in pointless(think(begun, rulebook, judge_only=True), ())
    assert "cause_removed" not in outlook(begun, rulebook).pending


def test_what_decides_is_said(cases: Mapping[str, Case], rulebook: Rulebook) -> None:
    pending = outlook(empty(cases[JACKET]), rulebook).pending
    assert all(1 <= len(one.heaviest) <= 4 for one in pending.values())


def test_what_is_settled_no_answer_changes(cases: Mapping[str, Case], rulebook: Rulebook) -> None:
    """Settled facts keep their value whatever is answered next (seeded, from other cases)."""
    chance = random.Random(20261125)
    answers = [(n, a.value) for case in cases.values() for n, a in case.answers.items()]
    settled_verdicts = 0
    for case in cases.values():
        kept = chance.sample(sorted(case.answers), k=len(case.answers) // 2)
        half = empty(case, **{name: case.value(name) for name in kept})
        thinking = think(half, rulebook, judge_only=True)
        settled = Settled(thinking)
        firm = [name for name in thinking.facts if settled.fact(name)]
        settled_verdicts += "verdict" in firm
        for _ in range(3):
            more = dict(chance.sample(answers, k=25))
            more = {name: value for name, value in more.items() if name not in half.answers}
            later = think(half.with_answers(more), rulebook, judge_only=True)
            changed = [n for n in firm if later.values[n] != thinking.values[n]]
            assert not changed, (case.reference, changed, more)
    assert settled_verdicts >= 3
