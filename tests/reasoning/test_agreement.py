"""The engine and the judge held against one another on random rule bases and random cases."""

from __future__ import annotations

import functools
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rule_bases import (
    METALS,
    NOTHING_KNOWN,
    STAGES,
    VOCABULARY,
    cases,
    make_rule,
    random_case,
    random_rules,
    reasoners_for,
    think,
)

from advisor.reasoning import engine as durable
from advisor.reasoning.agreement import Reasoners, ReasonersDisagree, StageReasoner
from advisor.reasoning.conditions import Test
from advisor.reasoning.values import Value, word

needs_engine = pytest.mark.skipif(not durable.AVAILABLE, reason="durable_rules does not run here")

RULE_BASES = 40
"""Rule bases are few and cases many: durable_rules never frees what it compiled."""


@functools.cache
def reasoners(seed: int) -> tuple[StageReasoner, ...]:
    return reasoners_for(random_rules(seed), use_engine=True)


@needs_engine
@settings(
    max_examples=2000,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(seed=st.integers(0, RULE_BASES - 1), case=cases)
def test_engine_and_judge_agree(seed: int, case: dict[str, Value]) -> None:
    found = think(reasoners(seed), case)
    assert found
    for findings in found:
        assert findings.certain <= findings.possible


@needs_engine
def test_random_cases_exercise_every_outcome() -> None:
    """The generator is worth its name: most rules fire, fail and stay open somewhere."""
    rng = random.Random(1)
    seen: dict[str, set[str]] = {}
    for seed in range(10):
        for _ in range(40):
            for findings in think(reasoners(seed), random_case(rng)):
                for name, finding in findings.findings.items():
                    seen.setdefault(f"{seed} {name}", set()).add(finding.truth.value)
    assert len(seen) > 200
    assert sum(len(outcomes) > 1 for outcomes in seen.values()) > 0.6 * len(seen)
    assert sum(len(outcomes) == 3 for outcomes in seen.values()) > 0.3 * len(seen)


RULE = make_rule("test.gray", 0, Test("metal", "is", frozenset(("gray_iron",))))


@needs_engine
@pytest.mark.parametrize(
    ("reading", "lenient", "metal"),
    [("certain", False, word("gray_iron")), ("possible", True, NOTHING_KNOWN["metal"])],
)
def test_planted_disagreement_gives_no_findings(
    monkeypatch: pytest.MonkeyPatch, reading: str, lenient: bool, metal: Value
) -> None:
    reasoner = StageReasoner([RULE], VOCABULARY, 0)
    fire = durable.Engine.fire

    def forgetful(self: durable.Engine, *args: object, **options: bool) -> frozenset[str]:
        fired = fire(self, *args, **options)  # type: ignore[arg-type]
        return frozenset() if options.get("lenient", False) == lenient else fired

    monkeypatch.setattr(durable.Engine, "fire", forgetful)
    with pytest.raises(ReasonersDisagree) as raised:
        reasoner.reason({**NOTHING_KNOWN, "metal": metal})
    assert str(raised.value) == (
        f"stage first, {reading} firings: engine alone [], judge alone ['test.gray']"
    )
    assert (raised.value.stage, raised.value.reading) == ("first", reading)
    assert (raised.value.engine_only, raised.value.judge_only) == ([], ["test.gray"])


@needs_engine
def test_planted_firing_of_the_engine_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    reasoner = StageReasoner([RULE], VOCABULARY, 0)
    monkeypatch.setattr(durable.Engine, "fire", lambda *_, **__: frozenset({"test.gray"}))
    with pytest.raises(ReasonersDisagree) as raised:
        reasoner.reason({**NOTHING_KNOWN, "metal": word("bronze")})
    assert raised.value.engine_only == ["test.gray"]


def test_judge_alone_where_the_engine_is_left_out() -> None:
    reasoner = StageReasoner([RULE], VOCABULARY, 0, use_engine=False)
    facts = {**NOTHING_KNOWN, "metal": word("gray_iron")}
    assert reasoner.reason(facts).certain == {"test.gray"}
    assert reasoner.judge_alone(facts).certain == {"test.gray"}


def test_stage_without_rules() -> None:
    findings = StageReasoner([], VOCABULARY, 1).reason(NOTHING_KNOWN)
    assert findings.certain == findings.possible == frozenset()


def test_record_names_the_reasoners() -> None:
    assert Reasoners(engine=True).names == ["engine", "judge"]
    assert Reasoners(engine=False).names == ["judge"]


def test_same_seed_makes_the_same_rules() -> None:
    assert random_rules(3) == random_rules(3)
    assert {rule.stage for rule in random_rules(3)} == set(range(len(STAGES)))
    assert METALS
