"""A plan written by somebody, examined item by item on its own numbers."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.model import RulebookRef
from advisor.advice.phrases import Units
from advisor.advice.standings import recommended
from advisor.advice.thinking import Thinking
from advisor.review.bench import ON_THE_PLAN, Bench, Words, finding, set_up
from advisor.review.heats import judge_heat
from advisor.review.inserts import judge_inserts
from advisor.review.inspections import judge_inspections
from advisor.review.keys import judge_keys
from advisor.review.methods import judge_method
from advisor.review.model import SEVERITIES, Item, PlanRef, Review, outcome_of
from advisor.review.overriding import apply_overrides, judge_overrides, stated_overrides
from advisor.review.pins import judge_pins
from advisor.review.plan import Plan
from advisor.review.pressure import judge_test
from advisor.review.sequence import judge_sequence
from advisor.review.verdicts import judge_verdict

JUDGES = (
    judge_verdict,
    judge_method,
    judge_pins,
    judge_keys,
    judge_inserts,
    judge_heat,
    judge_inspections,
    judge_test,
    judge_sequence,
)
"""What looks at a plan, in the order in which a plan is read."""


def review(plan: Plan, thinking: Thinking, units: Units = "si") -> Review:
    """Examine a plan.

    Args:
        plan: the plan.
        thinking: the case that it is for, thought through.
        units: units of the sentences; the numbers of the document are always SI.

    Returns:
        every finding, the gravest first, and what they come to.
    """
    bench = set_up(plan, thinking, units)
    stated = stated_overrides(plan, bench.book)
    found = tuple(_judge_all(bench))
    items = apply_overrides(found, stated)
    items = (*items, *judge_overrides(bench, items, stated))
    ordered = tuple(sorted(items, key=lambda item: SEVERITIES.index(item.severity)))
    return Review(
        plan=PlanRef(reference=plan.reference, by=plan.by, case=plan.case, notes=plan.notes),
        case=thinking.case.reference,
        title=thinking.case.title,
        rulebook=RulebookRef(version=bench.book.version, digest=bench.book.digest),
        advised={"verdict": thinking.word("verdict"), "method": recommended(thinking)},
        items=ordered,
        overrides=stated,
        outcome=outcome_of(ordered),
    )


def _judge_all(bench: Bench) -> Iterator[Item]:
    yield from _judge_reference(bench)
    for judge in JUDGES:
        yield from judge(bench)


def _judge_reference(bench: Bench) -> Iterator[Item]:
    """Whether the plan is for this case at all."""
    stated, reference = bench.plan.case, bench.base.case.reference
    if stated and stated != reference:
        text = f"The plan is written for {stated}, and the case is {reference}."
        words = Words(stated, reference, "Check the plan against its own case.")
        yield finding("case", "contradicts", "query", ON_THE_PLAN, text, words)
