"""The judge: fixed points, what it keeps, and that more knowledge never unmakes a certainty."""

from __future__ import annotations

import functools
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rule_bases import (
    ANSWERS,
    NOTHING_KNOWN,
    STAGES,
    VOCABULARY,
    cases,
    facts_of,
    make_rule,
    random_case,
    random_rules,
)

from advisor.reasoning.claims import Claim
from advisor.reasoning.conditions import (
    ALWAYS,
    ALWAYS_HOLDS,
    CANNOT_TELL,
    NEVER_HOLDS,
    All,
    Any,
    Condition,
    Known,
    Not,
    Test,
    Truth,
)
from advisor.reasoning.judge import Judge, Premise, StageFindings, claims_of
from advisor.reasoning.rejudge import Rejudge
from advisor.reasoning.rules import Effect, Rule
from advisor.reasoning.values import Members, Number, Value, Word, members, number, word

GRAY = Test("metal", "is", frozenset({"gray_iron"}))
THICK = Test("wall", "at_least", limit=8.0)
FACTS = {**NOTHING_KNOWN, "metal": word("gray_iron"), "wall": number(6.0)}


def found(sign: str) -> Test:
    return Test("a_found", "includes", frozenset({sign}))


def finds(sign: str) -> Effect:
    return Effect("settle", "a_found", word=sign)


def judged(
    *rules: Rule, facts: dict[str, Value] | None = None, earlier: list[Claim] | None = None
) -> StageFindings:
    return Judge(rules, VOCABULARY, 0).judge(facts or FACTS, earlier or [])


def truths(findings: StageFindings) -> dict[str, Truth]:
    return {name: finding.truth for name, finding in findings.findings.items()}


# --- what it keeps ------------------------------------------------------------------------------


def test_premises_of_a_firing_and_unmet_tests_are_kept() -> None:
    heat = Test("heat", "above", limit=100.0)
    known = Known("turns", known=True)
    rust = Test("signs", "includes", frozenset({"rust"}))
    when = All((GRAY, Not(Any((THICK, heat))), known, rust))
    facts = {**FACTS, "heat": number(90.0, 110.0), "signs": members("oil")}
    findings = judged(make_rule("test.r", 0, when), facts=facts)
    assert truths(findings) == {"test.r": Truth.FALSE}
    assert findings.premises("test.r") == (
        Premise(GRAY, False, facts["metal"], Truth.TRUE),
        Premise(THICK, True, facts["wall"], Truth.TRUE),
        Premise(heat, True, facts["heat"], Truth.UNKNOWN),
        Premise(known, False, facts["turns"], Truth.FALSE),
        Premise(rust, False, facts["signs"], Truth.FALSE),
    )


def test_premise_of_an_open_fact_cannot_be_told() -> None:
    findings = judged(make_rule("test.r", 0, GRAY), facts=dict(NOTHING_KNOWN))
    (premise,) = findings.premises("test.r")
    assert premise == Premise(GRAY, False, NOTHING_KNOWN["metal"], Truth.UNKNOWN)
    assert findings.certain == frozenset()
    assert findings.possible == {"test.r"}


def test_premise_of_a_decision_of_the_same_stage_shows_the_claims() -> None:
    findings = judged(
        make_rule("test.first", 0, GRAY, finds("rust")),
        make_rule("test.second", 0, found("rust")),
    )
    (premise,) = findings.premises("test.second")
    assert premise.truth is Truth.TRUE
    assert premise.value == Members(frozenset({"rust"}), frozenset({"rust"}), known=False)


def test_facts_given_are_not_changed() -> None:
    facts = dict(FACTS)
    judged(make_rule("test.r", 0, ALWAYS, finds("rust")), facts=facts)
    assert facts == FACTS


def test_claims_of_a_stage() -> None:
    sure = make_rule("test.sure", 0, GRAY, finds("rust"), Effect("warn", text="mind"))
    unsure = make_rule("test.unsure", 0, Test("heat", "above", limit=1.0), finds("oil"))
    silent = make_rule("test.silent", 0, THICK, finds("dirt"))
    assert claims_of(judged(sure, unsure, silent)) == [
        Claim(sure, finds("rust"), certain=True),
        Claim(unsure, finds("oil"), certain=False),
    ]


# --- fixed points -------------------------------------------------------------------------------


@pytest.mark.parametrize("backwards", [False, True])
def test_chain(backwards: bool) -> None:
    """However the rules are ordered, a chain runs to its end and no further."""
    rules = [
        make_rule("test.one", 0, GRAY, finds("rust")),
        make_rule("test.two", 0, found("rust"), finds("oil")),
        make_rule("test.three", 0, All((found("oil"), found("rust"))), finds("frost")),
        make_rule("test.four", 0, All((found("frost"), THICK)), finds("dirt")),
        make_rule("test.five", 0, found("dirt")),
    ]
    findings = judged(*(reversed(rules) if backwards else rules))
    assert findings.certain == {"test.one", "test.two", "test.three"}
    assert findings.possible == findings.certain


def test_chain_of_what_is_merely_possible() -> None:
    findings = judged(
        make_rule("test.three", 0, found("oil")),
        make_rule("test.two", 0, All((found("rust"), GRAY)), finds("oil")),
        make_rule("test.one", 0, Test("heat", "above", limit=1.0), finds("rust")),
    )
    assert set(truths(findings).values()) == {Truth.UNKNOWN}


def test_possible_becomes_certain_through_a_second_rule() -> None:
    findings = judged(
        make_rule("test.reader", 0, found("rust"), finds("oil")),
        make_rule("test.last", 0, found("oil")),
        make_rule("test.unsure", 0, Test("heat", "above", limit=1.0), finds("rust")),
        make_rule("test.sure", 0, GRAY, finds("rust")),
    )
    assert findings.certain == {"test.reader", "test.last", "test.sure"}


def test_circle_does_not_hold_itself_up() -> None:
    one = make_rule("test.one", 0, found("rust"), finds("oil"))
    other = make_rule("test.other", 0, found("oil"), finds("rust"))
    assert judged(one, other).possible == frozenset()
    start = make_rule("test.start", 0, GRAY, finds("rust"))
    assert judged(one, other, start).certain == {"test.one", "test.other", "test.start"}


def test_two_words_of_a_single_decision_may_stand_while_a_stage_runs() -> None:
    """That rules disagree is found when the stage ends, not by the order of rules."""

    def way(value: str) -> Test:
        return Test("a_way", "is", frozenset({value}))

    def goes(value: str) -> Effect:
        return Effect("settle", "a_way", word=value)

    findings = judged(
        make_rule("test.mild", 0, GRAY, goes("mild")),
        make_rule("test.hard", 0, GRAY, goes("hard")),
        make_rule("test.reads-mild", 0, way("mild")),
        make_rule("test.reads-hard", 0, way("hard")),
        make_rule("test.reads-worst", 0, way("worst")),
    )
    assert findings.certain == {"test.mild", "test.hard", "test.reads-mild", "test.reads-hard"}


def test_claims_of_earlier_stages_are_read() -> None:
    reader = make_rule("test.reader", 0, found("rust"))
    source = make_rule("test.earlier", 0, ALWAYS, finds("rust"))
    sure, unsure = (Claim(source, finds("rust"), certain) for certain in (True, False))
    elsewhere = Claim(source, Effect("settle", "b_found", word="rust"), certain=True)
    assert truths(judged(reader)) == {"test.reader": Truth.FALSE}
    assert truths(judged(reader, earlier=[elsewhere])) == {"test.reader": Truth.FALSE}
    assert truths(judged(reader, earlier=[unsure])) == {"test.reader": Truth.UNKNOWN}
    assert truths(judged(reader, earlier=[unsure, sure])) == {"test.reader": Truth.TRUE}


def test_decision_of_an_earlier_stage_is_read_as_it_was_settled() -> None:
    reader = make_rule("test.reader", 1, found("rust"))
    judge = Judge([reader], VOCABULARY, 1)
    facts = {**FACTS, "a_found": members("rust")}
    assert judge.judge(facts).certain == {"test.reader"}
    assert judge.judge({**FACTS, "a_found": members()}).possible == frozenset()


def test_only_rules_that_read_what_grew_are_judged_again(monkeypatch: pytest.MonkeyPatch) -> None:
    from advisor.reasoning import judge as module

    looked_at: list[Condition] = []
    evaluate = module.evaluate

    def counting(condition: Condition, facts: dict[str, Value]) -> object:
        looked_at.append(condition)
        return evaluate(condition, facts)

    monkeypatch.setattr(module, "evaluate", counting)
    judged(
        *(make_rule(f"test.idle{at}", 0, Test("wall", "above", limit=at)) for at in range(20)),
        make_rule("test.reader", 0, found("rust")),
        make_rule("test.source", 0, GRAY, finds("rust")),
    )
    assert len(looked_at) == 22 + 1


@pytest.mark.parametrize(
    ("when", "holds"),
    [(ALWAYS, ALWAYS_HOLDS), (Any(()), NEVER_HOLDS), (Test("heat", "above"), CANNOT_TELL)],
)
def test_plain_outcomes(when: Condition, holds: object) -> None:
    assert judged(make_rule("test.r", 0, when)).findings["test.r"].holds == holds


# --- more knowledge -----------------------------------------------------------------------------


@functools.cache
def judges(seed: int) -> tuple[Judge, ...]:
    """Judges of rules that do not ask what is known: such rules are meant to be unmade."""
    rules = random_rules(seed, knowing=False)
    return tuple(
        Judge([rule for rule in rules if rule.stage == stage], VOCABULARY, stage)
        for stage in range(len(STAGES))
    )


@st.composite
def refined(draw: st.DrawFn, value: Value) -> Value:
    """The same fact, better known or as well known as before."""
    if isinstance(value, Word):
        left = draw(st.sets(st.sampled_from(sorted(value.possible)), min_size=1))
        return Word(frozenset(left), known=len(left) == 1)
    if isinstance(value, Members):
        open_ = sorted(value.possible - value.certain)
        in_, out = set(), set()
        for one in open_:
            draw(st.sampled_from((in_.add, out.add, set().add)))(one)
        return Members(value.certain | in_, value.possible - out, known=True)
    low, high = max(value.low, -200.0), min(value.high, 200.0)
    if low > high:
        return value
    ends = sorted((draw(st.floats(low, high)), draw(st.floats(low, high))))
    return Number(max(ends[0], value.low), min(ends[1], value.high), known=True)


def read_by(judge: Judge) -> list[str]:
    return sorted({name for rule in judge.rules for name in rule.reads})


def what_it_reads(judge: Judge) -> st.SearchStrategy[dict[str, Value]]:
    """Any values of the facts that rules read; the others stay open."""
    drawn = facts_of(VOCABULARY[name] for name in read_by(judge))
    return drawn.map(lambda facts: {**NOTHING_KNOWN, **facts})


slow = settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@slow
@given(seed=st.integers(0, 60), stage=st.integers(0, 2), data=st.data())
def test_more_knowledge_never_unmakes_a_certainty(
    seed: int, stage: int, data: st.DataObject
) -> None:
    judge = judges(seed)[stage]
    facts = data.draw(what_it_reads(judge))
    better = {name: data.draw(refined(facts[name])) for name in read_by(judge)}
    before, after = judge.judge(facts), judge.judge({**facts, **better})
    assert before.certain <= after.certain
    assert after.possible <= before.possible


def settled(value: Value, data: st.DataObject) -> Value:
    """One of the ways in which an open fact can turn out."""
    if isinstance(value, Word):
        return word(data.draw(st.sampled_from(sorted(value.possible))))
    if isinstance(value, Members):
        more = sorted(value.possible - value.certain)
        kept = data.draw(st.sets(st.sampled_from(more))) if more else set()
        return members(*value.certain, *kept)
    low, high = max(value.low, -1e6), min(value.high, 1e6)
    return number(data.draw(st.floats(low, high))) if low < high else number(value.low)


@slow
@given(seed=st.integers(0, 60), stage=st.integers(0, 2), data=st.data())
def test_certain_holds_however_it_turns_out_and_false_never(
    seed: int, stage: int, data: st.DataObject
) -> None:
    judge = judges(seed)[stage]
    facts = data.draw(what_it_reads(judge))
    turned_out = {name: settled(facts[name], data) for name in read_by(judge)}
    findings, plain = judge.judge(facts), judge.judge({**facts, **turned_out})
    assert plain.certain == plain.possible
    assert findings.certain <= plain.certain <= findings.possible


# --- judging again ------------------------------------------------------------------------------


def random_claims(rng: random.Random) -> dict[str, list[Claim]]:
    """Claims that rules of an earlier stage might have made on decisions of the second."""
    source = make_rule("test.earlier", 0, ALWAYS)
    made: dict[str, list[Claim]] = {"b_found": [], "b_route": []}
    for name, claims in made.items():
        for choice in VOCABULARY[name].choices:
            if rng.random() < 0.4:
                effect = Effect("settle", name, word=choice)
                claims.append(Claim(source, effect, certain=rng.random() < 0.5))
    return made


def test_judging_again_finds_what_judging_anew_does() -> None:
    rng = random.Random(7)
    for seed in range(40):
        rules = [rule for rule in random_rules(seed) if rule.stage == 1]
        judge, rejudge = Judge(rules, VOCABULARY, 1), Rejudge(rules, VOCABULARY, 1)
        facts: dict[str, Value] = {**NOTHING_KNOWN, **random_case(rng)}
        findings = judge.judge(facts)
        for _ in range(20):
            name = rng.choice(ANSWERS).name
            facts = {**facts, name: random_case(rng)[name]}
            earlier = random_claims(rng)
            again = rejudge.judge(facts, findings, [name], earlier)
            anew = judge.judge(facts, [claim for claims in earlier.values() for claim in claims])
            assert again.findings.findings == anew.findings
            assert {rule.id for rule in again.changed} == {
                rule.id for rule in rules if anew.findings[rule.id] != findings.findings[rule.id]
            }
            findings = anew


@given(cases)
def test_cases_leave_decisions_open(case: dict[str, Value]) -> None:
    assert case.keys() == {kind.name for kind in ANSWERS}
