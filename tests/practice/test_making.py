"""Generated cases: valid, believable, each for its rule; pairs that part on one answer."""

from __future__ import annotations

import subprocess
import sys
from random import Random

import pytest

from advisor.advice.doubt.what_if import Outlook
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import UNKNOWN, Case
from advisor.case.quantities import Measure, parse_measure
from advisor.case.reading import parse_case
from advisor.case.writing import case_text, to_plain
from advisor.practice.exercise import LEVELS, of_made, of_pair
from advisor.practice.making.belongs import faults, true_metals
from advisor.practice.making.drawn import GENERATED, draw_case
from advisor.practice.making.maker import Made, Maker, Pair
from advisor.practice.making.matters import what_hangs_on
from advisor.practice.making.traps import TRAPS, Trap, traps_in
from advisor.practice.making.wishes import Contradiction, Wish, Wishes

from .conftest import CASES, PAIRS, TRIES, environment

BASE = {"wall_thickness": "9 mm", "wall_thickness_max": "11 mm", "wall_measured_by": "calliper"}


# --- cases for rules ------------------------------------------------------------------------------


def test_there_are_two_hundred_cases_for_as_many_rules(made: tuple[Made, ...]) -> None:
    assert len(made) == CASES
    assert len({one.rule.id for one in made}) == CASES
    stages = {one.rule.stage for one in made}
    assert len(stages) == 9  # every stage of the reasoning has its exercises


def test_every_case_is_valid(made: tuple[Made, ...], book: Rulebook) -> None:
    """Written as a case file and read back, it is the same case, without a complaint."""
    grades = tuple(book.knowledge.tables["grades"].rows)
    for one in made:
        answers = {name: to_plain(answer.value) for name, answer in one.case.answers.items()}
        text = case_text(one.case.reference, one.case.title, "", answers)
        again = parse_case(text, one.case.reference, book.questionnaire, grades)
        plain = {name: answer.value for name, answer in again.answers.items()}
        assert plain == {name: answer.value for name, answer in one.case.answers.items()}


def test_every_case_is_believable(made: tuple[Made, ...]) -> None:
    assert {one.case.reference: faults(one.thinking) for one in made if faults(one.thinking)} == {}


def test_every_case_says_that_it_is_generated(made: tuple[Made, ...]) -> None:
    assert all(one.case.title.endswith(GENERATED) for one in made)
    assert all(of_made(one, "key").generated for one in made)


def test_every_case_exercises_its_rule(made: tuple[Made, ...]) -> None:
    """The rule certainly fires, and without it the advice would be another."""
    for one in made:
        assert one.thinking.truth_of(one.rule.id) == "true", one.rule.id
        assert what_hangs_on(one.thinking, one.rule) == one.hangs != (), one.rule.id


def test_cases_are_of_many_kinds(made: tuple[Made, ...]) -> None:
    def given(name: str) -> set[object]:
        return {one.case.value(name) for one in made if one.case.value(name) is not UNKNOWN}

    assert len(given("part_kind")) >= 15
    assert len(given("material")) >= 8
    assert len(given("crack_location")) >= 10
    assert len(given("crack_cause")) >= 6
    verdicts = {one.thinking.word("verdict") for one in made}
    assert verdicts == {"repair", "repair_with_approval", "investigate", "refer", "replace"}


def test_the_same_seed_makes_the_same_case(made: tuple[Made, ...], maker: Maker) -> None:
    for one in made[:10]:
        again = maker.for_rule(one.rule, "test", tries=TRIES, looks=1)
        assert again is not None
        assert again.case == one.case
    other = maker.for_rule(made[0].rule, "another seed")
    assert other is None or other.case.answers != made[0].case.answers


def test_nothing_hangs_on_the_order_of_sets() -> None:
    """Class sets have to be the same in every process, whatever its hash seed."""
    script = (
        "from advisor.advice.rulebook import load_rulebook\n"
        "from advisor.practice.choosing import Chooser, Wanted\n"
        "from itertools import islice\n"
        "from advisor.practice.exercise import to_text\n"
        "for group in islice(Chooser(load_rulebook(), Wanted()).exercises('A/1'), 4):\n"
        "    print(*map(to_text, group), sep='\\n')\n"
    )
    printed = {
        subprocess.run(
            [sys.executable, "-c", script],
            env=environment(PYTHONHASHSEED=seed),
            capture_output=True,
            text=True,
            check=True,
            timeout=120,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(printed) == 1


def test_most_rules_on_methods_decide_in_some_case(book: Rulebook, maker: Maker) -> None:
    """Where a rule seldom matters, cases are steered to where it does, and stay believable."""
    rules = [rule for rule in book.rules if STAGES[rule.stage] == "method"]
    sampled = Random("methods").sample(rules, 16)
    cases = [maker.for_rule(rule, "test", tries=20, looks=1, steer=True) for rule in sampled]
    found = [one for one in cases if one]
    assert len(found) >= 10
    for one in found:
        assert one.hangs == what_hangs_on(one.thinking, one.rule) != ()
        assert faults(one.thinking) == []


# --- pairs ----------------------------------------------------------------------------------------


def test_there_are_fifty_pairs(pairs: tuple[Pair, ...]) -> None:
    assert len(pairs) == PAIRS
    assert len({pair.first.rule.id for pair in pairs}) == PAIRS
    assert len({pair.question for pair in pairs}) >= 12


def test_a_pair_differs_in_one_answer(pairs: tuple[Pair, ...]) -> None:
    for pair in pairs:
        first = {name: answer.value for name, answer in pair.first.case.answers.items()}
        second = {name: answer.value for name, answer in pair.second.answers.items()}
        names = {*first, *second}
        assert {n for n in names if first.get(n) != second.get(n)} == {pair.question}


def test_a_pair_parts_in_verdict_or_method(pairs: tuple[Pair, ...], book: Rulebook) -> None:
    for pair in pairs:
        second = think(pair.second, book, judge_only=True)
        assert Outlook(pair.first.thinking).decision != Outlook(second).decision
        assert pair.first.thinking.truth_of(pair.first.rule.id) == "true"
        assert second.truth_of(pair.first.rule.id) != "true"
        assert faults(second) == []


def test_a_pair_is_shown_one_after_the_other(pairs: tuple[Pair, ...]) -> None:
    first, second = of_pair(pairs[0], "pair/x/1")
    assert (first.key, second.key) == ("pair/x/1/a", "pair/x/1/b")
    assert first.changed == ""
    assert second.changed == pairs[0].question


# --- traps and levels -----------------------------------------------------------------------------


@pytest.mark.parametrize("trap", TRAPS)
def test_each_trap_can_be_set(trap: Trap, book: Rulebook, maker: Maker) -> None:
    rules = list(book.rules)
    Random(trap).shuffle(rules)
    found = (maker.for_rule(rule, "trap", tries=4, looks=1, trap=trap) for rule in rules)
    case = next(one for one in found if one)
    assert trap in traps_in(case.thinking)
    assert of_made(case, "key").level == "hard"


def test_a_wrong_claim_always_shows(made: tuple[Made, ...], book: Rulebook) -> None:
    """One metal explains every sign; where it is not the one claimed, the rules see it."""
    for one in made:
        truth = true_metals(one.case, book.knowledge)
        assert truth
        if "claim" in traps_in(one.thinking) and one.case.value("material") is not UNKNOWN:
            assert truth[0] != one.case.value("material")


def test_levels(made: tuple[Made, ...]) -> None:
    levels = [of_made(one, "key") for one in made]
    assert {one.level for one in levels} == set(LEVELS)
    assert all(one.traps for one in levels if one.level == "hard")
    assert not any(one.traps for one in levels if one.level != "hard")


# --- what belongs together ------------------------------------------------------------------------


def _changed(one: Made, book: Rulebook, **answers: object) -> Thinking:
    case: Case = one.case.with_answers(answers)  # type: ignore[arg-type]
    return think(case, book, judge_only=True)


def _mm(text: str) -> Measure:
    return parse_measure(text, "length")


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"wall_thickness": _mm("400 mm")}, "wall_thickness of 400"),
        ({"crack_length": _mm("9000 mm")}, "crack_length of 9000"),
        ({"temperature_max": parse_measure("1200 degC", "temperature")}, "temperature_max"),
        ({"crack_location": "gear_tooth", "part_kind": "radiator"}, "no such part"),
        ({"governed_by": ("aviation", "nuclear", "boiler_law")}, "governed by"),
        ({"magnet": "none", "spark_test": "long_bright"}, "no single metal"),
        ({"base_condition": ("sound", "porous")}, "sound, and not sound"),
        ({"hazards": ("none", "lead_paint")}, "no hazards, and some"),
        ({"wall_measured_by": "ultrasonic", "processes": ("drill_tap",)}, "without the gear"),
        ({"face_out_of_flat": _mm("0.1 mm"), "machined_face_role": "none"}, "out of flat"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_does_not_belong_together_is_seen(
    answers: dict[str, object], says: str, made: tuple[Made, ...], book: Rulebook
) -> None:
    plain = next(one for one in made if traps_in(one.thinking) == ())
    assert any(says in fault for fault in faults(_changed(plain, book, **answers)))


def test_wishes_that_cannot_come_true_are_refused(book: Rulebook) -> None:
    wishes = Wishes()
    wishes.want("part_kind", Wish(words=frozenset({"radiator"})))
    with pytest.raises(Contradiction):
        wishes.want("part_kind", Wish(words=frozenset({"flywheel"})))
    wishes.want("crack_location", Wish(words=frozenset({"gear_tooth"})))
    with pytest.raises(Contradiction):
        draw_case(book, wishes, Random(1), "P-1")
