"""A senior's departures from rules: which of them stand, and what they make of the findings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.rulebook import Rulebook
from advisor.review.bench import Bench, Words, finding
from advisor.review.model import Item, Overridden, StatedOverride
from advisor.review.plan import Override, Plan
from advisor.review.protection import why_it_stands


def stated_overrides(plan: Plan, book: Rulebook) -> tuple[StatedOverride, ...]:
    """Every departure that the plan states, and whether it may stand."""
    return tuple(_stated(one, book) for one in plan.overrides)


def _stated(override: Override, book: Rulebook) -> StatedOverride:
    stands = why_it_stands(book.rule_by_id[override.rule], book)
    why = f"not on anybody's word: {stands}" if stands else "good practice that a senior may leave"
    return StatedOverride(
        rule=override.rule,
        reason=override.reason,
        by=override.by,
        accepted=stands is None,
        why=why,
    )


def apply_overrides(
    items: tuple[Item, ...], overrides: tuple[StatedOverride, ...]
) -> tuple[Item, ...]:
    """The findings with those turned into notes from whose rules a senior departs.

    A finding that several rules ask for falls only where he departs from all of them.
    """
    accepted = {one.rule: one for one in overrides if one.accepted}
    return tuple(_apply(item, accepted) for item in items)


def _apply(item: Item, accepted: dict[str, StatedOverride]) -> Item:
    rules = item.rules or ((item.rule,) if item.basis == "rule" else ())
    if item.severity == "note" or not rules or not all(rule in accepted for rule in rules):
        return item
    by = accepted[rules[0]]
    overridden = Overridden(by=by.by, reason=by.reason, severity=item.severity)
    return replace(item, severity="note", overridden=overridden)


def judge_overrides(
    bench: Bench, items: tuple[Item, ...], overrides: tuple[StatedOverride, ...]
) -> Iterator[Item]:
    """What becomes of each departure."""
    for number, one in enumerate(overrides, start=1):
        name, rests = f"overrides[{number}]", bench.on_rules([one.rule])
        words = Words(one.rule, None)
        concerned = [item for item in items if one.rule in (item.rule, *item.rules)]
        turned = [item for item in concerned if item.overridden is not None]
        title = bench.rule(one.rule).title
        if not one.accepted:
            text = (
                f"{one.by} departs from “{title}” ({one.reason}). That is {one.why}; the finding "
                "stands as if nothing had been said."
            )
            words = Words(one.rule, None, "Take the override out, and follow the rule.")
            yield finding(name, "contradicts", "query", rests, text, words)
        elif turned:
            names = ", ".join(dict.fromkeys(item.item for item in turned))
            text = f"{one.by} departs from “{title}” for {names}: {one.reason}"
            yield finding(name, "agrees", "note", rests, text, words)
        elif any(item.severity != "note" for item in concerned):
            text = f"{one.by} departs from “{title}”, but other rules ask for the same thing."
            words = Words(one.rule, None, "Depart from all of them, or follow them.")
            yield finding(name, "falls_short", "query", rests, text, words)
        else:
            text = f"{one.by} departs from “{title}”, and nothing in the plan does."
            yield finding(name, "agrees", "note", rests, text, words)
