"""One test for each fault of durable_rules 2.0.28 that the engine guards against.

The faults were measured on that version; where a number stands here, it is the last count that it
survived, or the first that it did not.
"""

from __future__ import annotations

import functools
import inspect
import json
import pickle
import threading
from collections.abc import Callable, Iterable, Mapping
from typing import Any as Anything

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_bases import VOCABULARY as STAGED
from rule_bases import make_rule, random_rules

from advisor.reasoning import engine as guarded
from advisor.reasoning import translation
from advisor.reasoning.claims import Claim
from advisor.reasoning.conditions import All, Any, Condition, Not, Test
from advisor.reasoning.engine import Engine, EngineFault
from advisor.reasoning.rules import Effect, Rule
from advisor.reasoning.translation import EngineLimit, check_limits, compile_rule, deal
from advisor.reasoning.values import (
    OPEN_NUMBER,
    Members,
    Number,
    Value,
    members,
    number,
    open_word,
    word,
)
from advisor.reasoning.vocabulary import JOKER, FactKind, Vocabulary

durable = pytest.importorskip("durable.engine", exc_type=ImportError)

Definition = dict[str, dict[str, Anything]]
METALS = ("gray_iron", "cast_steel", "bronze")
SIGNS = ("rust", "oil", "frost")
WAYS = ("stitch", "braze", "patch")
VOCABULARY = Vocabulary(
    ("one", "two"),
    [
        FactKind("metal", "word", choices=METALS),
        FactKind("signs", "members", choices=SIGNS),
        FactKind("wall", "number", dimension="length", unit="mm"),
        FactKind("ways", "members", 0, choices=WAYS, combine="collect"),
        FactKind("unread", "members", 0, choices=WAYS, combine="collect"),
    ],
)
FACTS: Mapping[str, Value] = {
    "metal": word("gray_iron"),
    "signs": members("rust"),
    "wall": number(8.0),
}
RULE = make_rule("test.gray", 0, Test("metal", "is", frozenset({"gray_iron"})))


def built(*rules: Rule, vocabulary: Vocabulary = VOCABULARY) -> Engine:
    return Engine(rules, vocabulary, 0)


def claims(value: str, fact: str = "ways") -> Effect:
    return Effect("settle", fact, word=value)


def includes(fact: str, *words: str) -> Test:
    return Test(fact, "includes", frozenset(words))


def definitions_given(monkeypatch: pytest.MonkeyPatch) -> list[Definition]:
    """Definitions as they are checked, before durable_rules gets them."""
    given_: list[Definition] = []
    check = translation.check_limits

    def note(definition: Definition) -> None:
        given_.append(definition)
        check(definition)

    monkeypatch.setattr(translation, "check_limits", note)
    return given_


def texts_given(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Rulesets as durable_rules gets them."""
    given_: list[str] = []
    create = guarded.core.create_ruleset

    def note(name: str, text: str) -> int:
        given_.append(text)
        handle: int = create(name, text)
        return handle

    monkeypatch.setattr(guarded.core, "create_ruleset", note)
    return given_


def spoil(
    monkeypatch: pytest.MonkeyPatch, name: str, change: Callable[[Anything], Anything]
) -> None:
    """Put something in the way of what goes into a function of durable_rules."""
    original = getattr(durable.Ruleset, name)

    @functools.wraps(original)
    def spoilt(self: object, given_: Anything) -> Anything:
        return original(self, change(given_))

    monkeypatch.setattr(durable.Ruleset, name, spoilt)


# --- threads ------------------------------------------------------------------------------------


def test_no_thread_is_started() -> None:
    before = threading.active_count()
    engine = built(RULE)
    for _ in range(500):
        assert engine.fire(FACTS) == {"test.gray"}
    assert threading.active_count() == before


def test_thread_at_the_start_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    stop = threading.Event()
    create = guarded.core.create_ruleset

    def with_timer(name: str, text: str) -> Anything:
        threading.Thread(target=stop.wait, daemon=True).start()
        return create(name, text)

    monkeypatch.setattr(guarded.core, "create_ruleset", with_timer)
    try:
        with pytest.raises(EngineFault, match=r"^durable_rules started a thread$"):
            built(RULE)
    finally:
        stop.set()


# --- exceptions ---------------------------------------------------------------------------------

CHAIN = (
    make_rule("test.first", 0, Test("metal", "is", frozenset({"gray_iron"})), claims("stitch")),
    make_rule("test.second", 0, includes("ways", "stitch")),
)


def planted(error: BaseException) -> Callable[..., None]:
    def fail(*_: object) -> None:
        raise error

    return fail


def test_exception_in_an_action_is_not_swallowed(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = built(*CHAIN)
    monkeypatch.setattr(durable.Closure, "assert_fact", planted(RuntimeError("planted")))
    with pytest.raises(EngineFault, match=r"^an action failed: RuntimeError: planted$"):
        engine.fire(FACTS)


def test_exception_that_durable_rules_keeps_in_its_state(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(durable.Content, "__getattr__", planted(RuntimeError("planted")))
    with pytest.raises(EngineFault, match=r"^an action failed: exception caught planted"):
        built(RULE).fire(FACTS)


def test_exception_between_actions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Warnings as errors stop durable_rules between actions: it calls utcfromtimestamp."""
    engine = built(RULE)
    monkeypatch.setattr(durable, "_unix_now", planted(DeprecationWarning("old")))
    with pytest.raises(EngineFault, match=r"^an action failed: DeprecationWarning: old$"):
        engine.fire(FACTS)


def test_refused_facts_are_a_fault_without_its_error_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = built(RULE)
    spoil(monkeypatch, "assert_facts", lambda facts: [{**facts[0], "metal": [object]}])
    with pytest.raises(EngineFault, match=r"^durable_rules refused facts$"):
        engine.fire(FACTS)


def test_pressing_ctrl_c_in_an_action_is_passed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = built(*CHAIN)
    with monkeypatch.context() as patch:
        patch.setattr(durable.Closure, "assert_fact", planted(KeyboardInterrupt()))
        with pytest.raises(KeyboardInterrupt):
            engine.fire(FACTS)
    assert engine.fire(FACTS) == {"test.first", "test.second"}


def test_clock_that_jumps_does_not_end_a_run_early(monkeypatch: pytest.MonkeyPatch) -> None:
    """An action that seems to have taken more than 10 s is dropped with all that follow."""
    engine = built(*CHAIN)
    clock = iter(range(0, 1_000_000, 11))
    monkeypatch.setattr(durable, "_unix_now", lambda: next(clock))
    with pytest.raises(EngineFault, match=r"^durable_rules stopped before its last action$"):
        engine.fire(FACTS)


# --- derived facts ------------------------------------------------------------------------------


def test_derived_fact_that_nobody_reads() -> None:
    engine = built(
        make_rule(
            "test.first",
            0,
            Test("metal", "is", frozenset({"gray_iron"})),
            claims("braze", "unread"),
            claims("patch"),
            claims("stitch"),
        ),
        make_rule("test.second", 0, includes("ways", "stitch")),
        make_rule("test.third", 0, includes("ways", "braze")),
    )
    assert engine.fire(FACTS) == {"test.first", "test.second"}


def test_same_conclusion_twice() -> None:
    engine = built(
        make_rule("test.one", 0, Test("metal", "is", frozenset({"gray_iron"})), claims("stitch")),
        make_rule("test.two", 0, includes("signs", "rust"), claims("stitch"), claims("stitch")),
        make_rule("test.three", 0, includes("ways", "stitch"), claims("stitch"), claims("patch")),
        make_rule("test.four", 0, includes("ways", "patch")),
    )
    everything = {"test.one", "test.two", "test.three", "test.four"}
    assert engine.fire(FACTS) == everything
    told = Claim(make_rule("test.earlier", 0, All(())), claims("stitch"), certain=True)
    assert engine.fire(FACTS, [told, told]) == everything


# --- sessions and counting back -----------------------------------------------------------------


def test_every_run_has_a_session_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = built(RULE)
    sessions: list[set[str]] = []

    def note(facts: list[dict[str, str]]) -> list[dict[str, str]]:
        sessions.append({fact["sid"] for fact in facts})
        return facts

    spoil(monkeypatch, "assert_facts", note)
    for _ in range(5):
        engine.fire(FACTS)
    assert all(len(session) == 1 for session in sessions)
    assert len(set().union(*sessions)) == 5


@pytest.mark.parametrize(
    ("change", "astray"),
    [
        pytest.param(
            lambda facts: [f for f in facts if f["a"] != "metal"],
            r"\('metal', 'gray_iron'\)",
            id="lost",
        ),
        pytest.param(
            lambda facts: [*facts, {**facts[0], "a": "signs", "signs": "oil"}],
            r"\('signs', 'oil'\)",
            id="added",
        ),
    ],
)
def test_facts_are_counted_back(
    monkeypatch: pytest.MonkeyPatch, change: Callable[[Anything], Anything], astray: str
) -> None:
    engine = built(RULE)
    spoil(monkeypatch, "assert_facts", change)
    with pytest.raises(EngineFault, match=f"^durable_rules lost facts, .*{astray}.* among them$"):
        engine.fire(FACTS)


COLLIDING = ("mark_98223", "mark_182567")
"""Found by trying: as members of ``signs`` in session ``s0`` both have one 32-bit hash."""


def colliding() -> tuple[Engine, dict[str, Value]]:
    kind = FactKind("signs", "members", choices=COLLIDING)
    rules = [make_rule(f"test.{name[5:]}", 0, includes("signs", name)) for name in COLLIDING]
    engine = built(*rules, vocabulary=Vocabulary(("one",), [kind]))
    return engine, {"signs": members(*COLLIDING)}


def test_two_facts_with_one_hash_get_another_session(monkeypatch: pytest.MonkeyPatch) -> None:
    engine, facts = colliding()
    sessions: list[str] = []

    def note(given_: list[dict[str, str]]) -> list[dict[str, str]]:
        sessions.append(given_[0]["sid"])
        return given_

    spoil(monkeypatch, "assert_facts", note)
    assert engine.fire(facts) == {"test.98223", "test.182567"}
    assert list(dict.fromkeys(sessions)) == ["s0", "s1"]


def test_facts_that_collide_in_every_session(monkeypatch: pytest.MonkeyPatch) -> None:
    engine, facts = colliding()
    spoil(monkeypatch, "assert_facts", lambda given_: [{**f, "sid": "s0"} for f in given_])
    with pytest.raises(EngineFault, match=r"^two facts with one hash$"):
        engine.fire(facts)


def test_derived_fact_that_collides(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = built(*CHAIN)
    observed = planted(durable.MessageObservedException({}))
    monkeypatch.setattr(durable.Closure, "assert_fact", observed)
    with pytest.raises(EngineFault, match=r"^two facts with one hash$"):
        engine.fire(FACTS)


def test_unmatched_facts() -> None:
    """Facts that no rule matches, alone and among others, first and last of their batch."""
    rule = make_rule(
        "test.all",
        0,
        All((includes("signs", "frost"), Test("wall", "above", limit=9.0), RULE.when)),
    )
    engine = built(rule)
    unmatched = {"metal": word("bronze"), "signs": members("oil"), "wall": number(1.0)}
    assert engine.fire(unmatched) == frozenset()
    assert engine.fire({**FACTS, "signs": members(*SIGNS), "wall": number(9.5)}) == {"test.all"}
    assert engine.fire(unmatched) == frozenset()


# --- numbers ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wall", "fires"),
    [
        (1e-05, {"test.below"}),
        (-1e-05, {"test.below"}),
        (4.9999e-05, {"test.below"}),
        (5.1e-05, {"test.below", "test.least"}),
        (0.0001, {"test.below", "test.least"}),
        (8, {"test.least"}),
        (8.00004, {"test.least"}),
        (8.00006, {"test.least", "test.above"}),
        (7.99994, {"test.below", "test.least"}),
        (1e12, {"test.least", "test.above"}),
        (-1e12, {"test.below"}),
        (0.1 + 0.2, {"test.below", "test.least"}),
    ],
)
def test_exponent_numbers(wall: float, fires: set[str]) -> None:
    engine = built(
        make_rule("test.below", 0, Test("wall", "below", limit=8.0)),
        make_rule("test.least", 0, Test("wall", "at_least", limit=0.0001)),
        make_rule("test.above", 0, Test("wall", "above", limit=8.0)),
        make_rule("test.gray", 0, RULE.when),
    )
    assert engine.fire({**FACTS, "wall": number(wall)}) == {*fires, "test.gray"}


@pytest.mark.parametrize("wall", [1e22, -1e22, 1.0001e12, float("nan")])
def test_numbers_that_never_reach_it(wall: float) -> None:
    engine = built(make_rule("test.below", 0, Test("wall", "below", limit=8.0)))
    with pytest.raises(ValueError, match=r"not a number|is larger than any fact may be"):
        engine.fire({"wall": Number(wall, wall, known=True)})


def test_open_ends_are_infinite_and_never_reach_it() -> None:
    engine = built(
        make_rule("test.below", 0, Test("wall", "below", limit=8.0)),
        make_rule("test.huge", 0, Test("wall", "at_least", limit=1e12)),
    )
    assert engine.fire({"wall": OPEN_NUMBER}) == frozenset()
    assert engine.fire({"wall": OPEN_NUMBER}, lenient=True) == {"test.below", "test.huge"}
    assert engine.fire({"wall": Number(1e12, float("inf"), known=True)}) == {"test.huge"}


@given(st.floats(-1e12, 1e12), st.floats(-1e12, 1e12))
def test_numbers_are_written_without_exponent(one: float, other: float) -> None:
    value = number(min(one, other), max(one, other))
    asked = {"wall__low": (), "wall__high": ()}
    for lenient in (False, True):
        sent = list(guarded._messages("wall", value, asked, lenient=lenient))
        assert len(sent) == 2
        numbers = [json.dumps(content) for said in sent for content in said]
        assert not any("e" in text.strip('"') for text in numbers if text[0] != '"')


def test_negative_nothing_is_nothing() -> None:
    engine = built(make_rule("test.least", 0, Test("wall", "at_least", limit=0.0)))
    assert engine.fire({"wall": number(-0.0)}) == {"test.least"}
    assert engine.fire({"wall": number(-0.00001)}) == {"test.least"}


# --- types --------------------------------------------------------------------------------------


def test_text_against_number() -> None:
    """Words that look like numbers are words: durable_rules would compare them as text."""
    kind = FactKind("size", "word", choices=("10", "3", "5", "True", "1"))
    rules = [make_rule(f"test.{w}", 0, Test("size", "is", frozenset({w}))) for w in kind.choices]
    engine = built(*rules, vocabulary=Vocabulary(("one",), [kind]))
    for choice in kind.choices:
        assert engine.fire({"size": word(choice)}) == {f"test.{choice}"}


@pytest.mark.parametrize(
    "facts",
    [
        {"wall": word("8")},
        {"wall": members("rust")},
        {"metal": number(1.0)},
        {"metal": word("cheese")},
        {"metal": members("gray_iron")},
        {"signs": word("rust")},
        {"signs": Members(frozenset(), frozenset({"mould"}), known=True)},
    ],
)
def test_value_types(facts: dict[str, Value]) -> None:
    rule = make_rule(
        "test.any", 0, Any((RULE.when, includes("signs", "oil"), Test("wall", "above", limit=1.0)))
    )
    name = next(iter(facts))
    with pytest.raises(EngineFault, match=f"^fact {name} cannot be "):
        built(rule).fire({**FACTS, **facts})


# --- limits -------------------------------------------------------------------------------------


def definition(tests: Iterable[Mapping[str, Anything]]) -> Definition:
    return {f"r{index}": {"all": [{"m0": test}]} for index, test in enumerate(tests)}


def test_more_than_60_thresholds() -> None:
    rules = [
        make_rule(f"test.r{at}", 0, Test("wall", "at_least", limit=float(at))) for at in range(200)
    ]
    engine = built(*rules)
    for wall in (0, 63, 64, 65, 150, 500):
        fired = engine.fire({"wall": number(wall)})
        assert fired == {f"test.r{at}" for at in range(200) if at <= wall}
    assert len(engine.fire({"wall": OPEN_NUMBER}, lenient=True)) == 200


def test_more_than_60_thresholds_in_one_ruleset_are_refused() -> None:
    check_limits(definition({"$gt": {"wall__low": at}} for at in range(60)))
    with pytest.raises(EngineLimit) as raised:
        check_limits(definition({"$gt": {"wall__low": at}} for at in range(61)))
    assert str(raised.value) == (
        "found 61 tests of wall__low that one message can pass; expected at most 60"
    )


def test_open_word_that_more_than_60_rules_ask_for() -> None:
    """The joker passes every test for a word, and durable_rules refuses the 64th."""
    rules = [
        make_rule(f"test.r{at}", 0, Test("metal", "is", frozenset({METALS[at % 3]})))
        for at in range(200)
    ]
    engine = built(*rules)
    assert len(engine.fire({"metal": open_word(METALS)}, lenient=True)) == 200
    assert engine.fire({"metal": open_word(METALS)}) == frozenset()
    assert engine.fire(FACTS) == {f"test.r{at}" for at in range(0, 200, 3)}


def test_rule_of_more_than_60_alternatives_on_one_word() -> None:
    """Its alternatives may stand in different rulesets; the rule fires if one of them does."""
    parts = tuple(
        All((RULE.when, Test("wall", "at_least", limit=float(at)), includes("signs", sign)))
        for at in range(40)
        for sign in SIGNS
    )
    engine = built(make_rule("test.many", 0, Any(parts)))
    assert engine.fire({**FACTS, "wall": number(0.0)}) == {"test.many"}
    assert engine.fire({**FACTS, "signs": members("oil"), "wall": number(0.0)}) == {"test.many"}
    assert engine.fire({**FACTS, "wall": number(-1.0)}) == frozenset()
    assert engine.fire({**FACTS, "metal": open_word(METALS)}) == frozenset()
    assert engine.fire({**FACTS, "metal": open_word(METALS)}, lenient=True) == {"test.many"}


def test_more_than_60_choices_between_words_in_one_ruleset_are_refused() -> None:
    choice = {"$or": [{"metal": "bronze"}, {"metal": JOKER}]}
    check_limits(definition(choice for _ in range(60)))
    with pytest.raises(EngineLimit, match="found 61 tests of metal that one message can pass"):
        check_limits(definition({"$and": [choice]} for _ in range(61)))


def test_more_than_400_tests_on_one_property() -> None:
    choices = tuple(f"c{at}" for at in range(600))
    kind = FactKind("many", "members", choices=choices)
    rules = [make_rule(f"test.{name}", 0, includes("many", name)) for name in choices]
    engine = built(*rules, vocabulary=Vocabulary(("one",), [kind]))
    assert engine.fire({"many": members("c0", "c511", "c599")}) == {
        "test.c0",
        "test.c511",
        "test.c599",
    }


def test_more_than_400_properties() -> None:
    kinds = [FactKind(f"f{at}", "word", choices=("no", "yes")) for at in range(600)]
    rules = [
        make_rule(f"test.{kind.name}", 0, Test(kind.name, "is", frozenset({"yes"})))
        for kind in kinds
    ]
    engine = built(*rules, vocabulary=Vocabulary(("one",), kinds))
    facts = {kind.name: word("no") for kind in kinds} | {"f599": word("yes")}
    assert engine.fire(facts) == {"test.f599"}


@pytest.mark.parametrize(
    "tests",
    [
        pytest.param([{"many": f"w{at}"} for at in range(481)], id="on one property"),
        pytest.param([{f"p{at}": "yes"} for at in range(481)], id="on many properties"),
        pytest.param([{f"p{at // 4}": f"w{at % 4}"} for at in range(481)], id="a few on each"),
    ],
)
def test_more_than_480_different_tests_in_one_ruleset_are_refused(
    tests: list[dict[str, str]],
) -> None:
    """512 different first tests, whatever their properties, hang durable_rules."""
    check_limits(definition(tests[:480]))
    with pytest.raises(EngineLimit) as raised:
        check_limits(definition(tests))
    assert str(raised.value) == "found 481 different tests in one ruleset; expected at most 480"


def test_more_than_200_rules_on_one_test() -> None:
    rules = [make_rule(f"test.r{at}", 0, includes("signs", "rust")) for at in range(500)]
    engine = built(*rules)
    assert len(engine.fire(FACTS)) == 500
    assert engine.fire({"signs": members("oil")}) == frozenset()


def test_more_than_200_rules_on_one_test_in_one_ruleset_are_refused() -> None:
    check_limits(definition({"signs": "rust"} for _ in range(200)))
    with pytest.raises(EngineLimit) as raised:
        check_limits(definition({"signs": "rust"} for _ in range(201)))
    assert str(raised.value) == "found 201 rules that test signs is 'rust'; expected at most 200"


def test_more_than_12_conditions() -> None:
    kinds = [FactKind(f"f{at}", "word", choices=("no", "yes")) for at in range(13)]
    vocabulary = Vocabulary(("one",), kinds)
    yes = [Test(kind.name, "is", frozenset({"yes"})) for kind in kinds]
    facts = {kind.name: word("yes") for kind in kinds}
    assert built(make_rule("test.r", 0, All(tuple(yes[:12]))), vocabulary=vocabulary).fire(facts)
    with pytest.raises(EngineLimit, match=r"found rule test.r#0 with 13 conditions; expected 1 to"):
        built(make_rule("test.r", 0, All(tuple(yes))), vocabulary=vocabulary)


def test_rule_without_condition_is_refused() -> None:
    with pytest.raises(EngineLimit, match="found rule r with 0 conditions; expected 1 to 12"):
        check_limits({"r": {"all": []}})


def test_rule_that_always_holds_has_a_condition() -> None:
    always = make_rule("test.always", 0, All(()))
    assert built(always).fire({}) == {"test.always"}
    assert built(make_rule("test.never", 0, Any(())), always).fire({}) == {"test.always"}


def test_more_than_4000_rules() -> None:
    wide = {f"r{at}": {"all": [{"m0": {f"p{at % 400}": "yes"}}]} for at in range(4001)}
    with pytest.raises(EngineLimit, match="found 4001 rules in one ruleset; expected at most 4000"):
        check_limits(wide)
    signs = tuple(f"c{at}" for at in range(400))
    vocabulary = Vocabulary(("one",), [FactKind("many", "members", choices=signs)])
    sets = vocabulary.sets_in(0)
    compiled = [
        one
        for at in range(9000)
        for one in compile_rule(
            make_rule(f"test.r{at}", 0, includes("many", signs[at % 400])), vocabulary, sets
        )
    ]
    assert [len(dealt) for dealt in deal(compiled)] == [3998, 3998, 1004]


def test_too_many_alternatives_are_refused() -> None:
    either = Any(tuple(Test("wall", "at_least", limit=float(at)) for at in range(12)))
    other = Any(tuple(Test("wall", "at_most", limit=float(at)) for at in range(12)))
    with pytest.raises(EngineLimit) as raised:
        built(make_rule("test.wide", 0, All((either, other))))
    assert str(raised.value) == (
        "found rule test.wide, which unfolds into more than 128 alternatives; "
        "expected two or more simpler rules"
    )


# --- memory -------------------------------------------------------------------------------------


def test_state_is_deleted_after_every_run() -> None:
    """1,025 sessions that live at one time are a MemoryError."""
    engine = built(*CHAIN)
    for _ in range(2000):
        assert engine.fire(FACTS) == {"test.first", "test.second"}


def test_state_is_deleted_after_a_run_that_failed(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = built(*CHAIN)
    with monkeypatch.context() as patch:
        patch.setattr(durable.Closure, "assert_fact", planted(RuntimeError("planted")))
        for _ in range(1100):
            with pytest.raises(EngineFault, match="planted"):
                engine.fire(FACTS)
    assert engine.fire(FACTS) == {"test.first", "test.second"}


def test_session_in_which_nothing_fires_can_be_deleted() -> None:
    """Where no action was ever taken, delete_state frees a pointer that was never set."""
    engine = built(RULE)
    for _ in range(300):
        assert engine.fire({"metal": word("bronze")}) == frozenset()


def test_rejected_batch_leaves_a_session_that_can_be_deleted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    engine = built(RULE)

    def garble(facts: list[dict[str, Anything]]) -> list[dict[str, Anything]]:
        return facts if facts[0]["a"] == "start" else [{**facts[0], "metal": float("inf")}]

    with monkeypatch.context() as patch:
        spoil(patch, "assert_facts", garble)
        for _ in range(50):
            with pytest.raises(EngineFault):
                engine.fire(FACTS)
    assert engine.fire(FACTS) == {"test.gray"}


# --- what is compiled ---------------------------------------------------------------------------


def test_what_was_checked_is_what_durable_rules_gets(monkeypatch: pytest.MonkeyPatch) -> None:
    """It changes the rules that it is given: here it gets a text that nothing changes."""
    checked, texts = definitions_given(monkeypatch), texts_given(monkeypatch)
    built(*CHAIN)
    assert [json.loads(text) for text in texts] == checked


def test_what_was_checked_is_what_it_gets_of_a_translation_that_was_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    checked, texts = definitions_given(monkeypatch), texts_given(monkeypatch)
    made = (CHAIN, VOCABULARY, translation.translate(CHAIN, VOCABULARY, 0))
    engine = Engine(made[0], made[1], 0, made[2])
    rules, vocabulary, kept = pickle.loads(pickle.dumps(made))
    later = Engine(rules, vocabulary, 0, kept)
    assert engine.fire(FACTS) == later.fire(FACTS) == {"test.first", "test.second"}
    assert [json.loads(text) for text in texts] == [*checked, *checked]
    assert len(checked) == 1


@pytest.mark.parametrize(
    ("rules", "vocabulary", "stage"),
    [
        pytest.param((*CHAIN, RULE), VOCABULARY, 0, id="a rule more"),
        pytest.param((CHAIN[0], RULE), VOCABULARY, 0, id="another rule"),
        pytest.param(CHAIN, Vocabulary(("one", "two"), VOCABULARY.kinds.values()), 0, id="facts"),
        pytest.param(CHAIN, VOCABULARY, 1, id="stage"),
    ],
)
def test_translation_of_other_rules_is_not_used(
    monkeypatch: pytest.MonkeyPatch, rules: tuple[Rule, ...], vocabulary: Vocabulary, stage: int
) -> None:
    kept = translation.translate(CHAIN, VOCABULARY, 0)
    texts = texts_given(monkeypatch)
    Engine(rules, vocabulary, stage, kept)
    assert texts == [book.text for book in translation.translate(rules, vocabulary, stage).books]
    assert Engine(CHAIN, VOCABULARY, 0, kept).fire(FACTS) == {"test.first", "test.second"}


def test_actions_have_one_parameter(monkeypatch: pytest.MonkeyPatch) -> None:
    """One with two, default arguments included, is taken as asynchronous."""
    actions: list[Callable[..., None]] = []
    promise = durable.Promise

    def note(action: Callable[..., None]) -> Anything:
        actions.append(action)
        return promise(action)

    monkeypatch.setattr(guarded, "Promise", note)
    built(*CHAIN)
    assert len(actions) == 4
    for action in actions:
        assert inspect.isfunction(action)
        assert action.__code__.co_argcount == len(inspect.signature(action).parameters) == 1


def test_no_negation_and_no_value_joins_enter_the_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    checked = definitions_given(monkeypatch)
    for seed in range(20):
        for stage in range(3):
            rules = [rule for rule in random_rules(seed) if rule.stage == stage]
            Engine(rules, STAGED, stage)
    allowed = {"$ex", "$and", "$or", "$neq", "$gt", "$gte", "$lt", "$lte"}

    def walk(test: Anything) -> None:
        if isinstance(test, dict):
            for key, inner in test.items():
                assert not key.startswith("$") or key in allowed
                walk(inner)
        elif isinstance(test, list):
            for inner in test:
                walk(inner)
        else:
            assert isinstance(test, str | float | int)

    for made in checked:
        for name, rule in made.items():
            assert rule.keys() == {"all"}
            walk(rule["all"])
            existence = [test for part in rule["all"] for test in part.values() if "$ex" in test]
            assert not existence or name == "keep"


ODD = (
    "Größe",
    "l'été",
    'say "when"',
    "back\\slash",
    "鋳鉄",
    "^a.*$",
    "a|b",
    "%s {0}",
    "tab\there",
    "",
    " ",
    "nul",
    "$or",
)


def test_odd_characters_and_no_regular_expressions() -> None:
    kinds = [
        FactKind("odd", "word", choices=ODD),
        FactKind("odd_set", "members", choices=ODD),
    ]
    rules = [
        rule
        for at, choice in enumerate(ODD)
        for rule in (
            make_rule(f"test.word-{at}", 0, Test("odd", "is", frozenset({choice}))),
            make_rule(f"test.set-{at}", 0, includes("odd_set", choice)),
        )
    ]
    engine = built(*rules, vocabulary=Vocabulary(("one",), kinds))
    for at, choice in enumerate(ODD):
        facts: dict[str, Value] = {"odd": word(choice), "odd_set": members(choice)}
        assert engine.fire(facts) == {f"test.word-{at}", f"test.set-{at}"}


def test_only_facts_not_events(monkeypatch: pytest.MonkeyPatch) -> None:
    """An event fires one rule only."""
    for name in ("assert_event", "assert_events"):
        monkeypatch.setattr(durable.Ruleset, name, planted(AssertionError(name)))
    engine = built(*CHAIN, RULE)
    assert engine.fire(FACTS) == {"test.first", "test.second", "test.gray"}


GRAY = Test("metal", "one_of", frozenset({"gray_iron", "cast_steel"}))


@pytest.mark.parametrize(
    ("when", "facts", "fires"),
    [
        pytest.param(
            All((Test("wall", "above", limit=5.0), Test("wall", "at_least", limit=8.0))),
            {"wall": number(8.0)},
            True,
            id="two limits on one end",
        ),
        pytest.param(
            All((Test("wall", "above", limit=5.0), Test("wall", "below", limit=9.0))),
            {"wall": number(8.0)},
            True,
            id="a limit on each end",
        ),
        pytest.param(
            All((GRAY, Not(Test("metal", "is", frozenset({"cast_steel"}))))),
            {"metal": word("gray_iron")},
            True,
            id="one of these, but not that",
        ),
        pytest.param(
            All((GRAY, Not(Test("metal", "is", frozenset({"cast_steel"}))))),
            {"metal": word("cast_steel")},
            False,
            id="one of these, and that",
        ),
        pytest.param(
            All((GRAY, Test("metal", "one_of", frozenset({"gray_iron", "bronze"})))),
            {"metal": word("gray_iron")},
            True,
            id="one of these, and one of those",
        ),
        pytest.param(
            All((includes("signs", "rust", "oil"), includes("signs", "rust", "frost"))),
            {"signs": members("rust")},
            True,
            id="one member for two tests",
        ),
    ],
)
def test_one_fact_that_must_meet_two_conditions_of_one_rule(
    when: Condition, facts: dict[str, Value], fires: bool
) -> None:
    """durable_rules does not let one message meet two conditions: its tests are joined."""
    assert (built(make_rule("test.both", 0, when)).fire(facts) == {"test.both"}) is fires


@pytest.mark.parametrize(
    "name", ["a", "sid", "id", "exception", "start", "never", "wall__low", "metal__no", "$s"]
)
def test_reserved_names(name: str) -> None:
    vocabulary = Vocabulary(("one",), [FactKind(name, "word", choices=("no", "yes"))])
    rule = make_rule("test.r", 0, Test(name, "is", frozenset({"yes"})))
    with pytest.raises(EngineLimit) as raised:
        built(rule, vocabulary=vocabulary)
    assert str(raised.value) == (
        f"found fact {name}; expected a name that the engine does not need itself"
    )


def test_joker_is_no_choice() -> None:
    vocabulary = Vocabulary(("one",), [FactKind("metal", "word", choices=(JOKER, "bronze"))])
    with pytest.raises(EngineLimit, match=r"^found \? as a choice of metal; expected a word$"):
        built(RULE, vocabulary=vocabulary)


def test_python_that_cannot_run_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guarded, "Ruleset", None)
    with pytest.raises(EngineFault, match=r"^durable_rules does not run on this Python$"):
        built(RULE)
