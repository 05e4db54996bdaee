"""A change thought through again comes to what the judge comes to from the start."""

from __future__ import annotations

import random
from collections.abc import Mapping

import pytest

from advisor.advice.doubt.possible_answers import possible_answers
from advisor.advice.doubt.what_if import ASPECTS, Outlook, WhatIf
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case
from advisor.case.model import Value as Answer
from advisor.reasoning.values import number

TRIES = 25
STITCHED = "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins"
WELDED = "cast-steel-bracket-is-arc-welded"
UNKNOWN_METAL = "pump-casing-of-unknown-metal-is-investigated"


def changes(thinking: Thinking, rng: random.Random) -> dict[str, Answer | None]:
    """One to three answers changed or taken out."""
    found: dict[str, Answer | None] = {}
    questions = rng.sample(thinking.rulebook.questionnaire.questions, rng.choice([1, 1, 2, 3]))
    for question in questions:
        answers: list[Answer | None] = [one.answer for one in possible_answers(thinking, question)]
        found[question.id] = rng.choice([*answers, None])
    return found


def same(one: Thinking, other: Thinking) -> bool:
    """Whether facts, findings and claims are the same, working and sources included."""
    held = [
        {
            (stage, rule): found.holds
            for stage, findings in thinking.findings.items()
            for rule, found in findings.findings.items()
        }
        for thinking in (one, other)
    ]
    claims = [
        {
            fact: [(claim.rule.id, claim.value, claim.certain) for claim in claimed]
            for fact, claimed in thinking.claims.items()
            if claimed
        }
        for thinking in (one, other)
    ]
    return one.facts == other.facts and held[0] == held[1] and claims[0] == claims[1]


@pytest.mark.parametrize("name", [STITCHED, WELDED, UNKNOWN_METAL])
def test_like_from_the_start(name: str, rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    base = think(cases[name], rulebook, judge_only=True)
    what_if, rng = WhatIf(base), random.Random(name)
    for _ in range(TRIES):
        change = changes(base, rng)
        again = what_if.think(change)
        assert again is not None
        anew = think(cases[name].with_answers(change), rulebook, judge_only=True)
        assert same(again, anew), change


def test_like_from_a_base_of_both_reasoners(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    case = cases[STITCHED]
    base = think(case, rulebook)
    again = WhatIf(base).think({"load": "cyclic"})
    assert again is not None
    assert same(again, think(case.with_answers({"load": "cyclic"}), rulebook, judge_only=True))


def test_steps_from_one_change_to_the_next(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    case = cases[STITCHED]
    what_if = WhatIf(think(case, rulebook, judge_only=True))
    for name, answer in {"load": "shock", "site": "on_site", "wall_thickness": None}.items():
        outlook = what_if.outlook({name: answer})
        assert outlook is not None
        case = case.with_answers({name: answer})
        what_if = what_if.from_here(outlook)
    assert same(what_if.thinking, think(case, rulebook, judge_only=True))


def test_no_change_changes_nothing(rulebook: Rulebook, cases: Mapping[str, Case]) -> None:
    base = think(cases[WELDED], rulebook, judge_only=True)
    outlook = WhatIf(base).outlook({})
    assert outlook is not None
    assert Outlook(base).differs(outlook) == ()
    assert set(ASPECTS) == {"verdict", "method", "approvals", "sizes", "inspections", "steps",
                            "cautions"}  # fmt: skip


def test_a_pinned_fact_stays_whatever_the_answers_make_of_it(
    rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    base = think(cases[STITCHED], rulebook, judge_only=True)
    thin = WhatIf(base).think({}, pinned={"true_wall": number(3.0)})
    assert thin is not None
    assert thin.values["true_wall"] == number(3.0)
    assert thin.word("stitching_feasible") == "no"


def test_all_that_keys_can_do_up_to_the_verdict_is_to_exclude_their_method(
    rulebook: Rulebook,
) -> None:
    """Else a try may not leave their design out where that method is excluded anyway."""
    made = set(FORMULAS["keys"].outputs)
    readers = [rule for rule in rulebook.rules if made & set(rule.reads)]
    assert readers
    for rule in readers:
        assert [effect.claim for effect in rule.then] == [
            ("methods_ruled_out", "cold_stitch_with_keys")
        ]


@pytest.mark.parametrize(
    "name",
    ["burnt-furnace-grate-is-replaced", STITCHED, WELDED,
     "hydraulic-valve-block-at-high-pressure-is-replaced",
     "iron-column-of-a-warehouse-is-propped-and-referred",
     "press-frame-fatigue-crack-gets-pins-and-keys"],
)  # fmt: skip
def test_keys_left_out_change_no_outlook(
    name: str, rulebook: Rulebook, cases: Mapping[str, Case]
) -> None:
    base = think(cases[name], rulebook, judge_only=True)
    what_if, rng = WhatIf(base), random.Random(name)
    for _ in range(TRIES):
        change = changes(base, rng)
        outlook = what_if.outlook(change)
        whole = what_if.think(change)
        assert (outlook is None) == (whole is None)
        if outlook is not None and whole is not None:
            assert outlook.differs(Outlook(whole)) == (), change
