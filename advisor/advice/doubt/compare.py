"""Two advices side by side: only what differs, and the rules through which it does."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any

from advisor.advice.advise import read_off
from advisor.advice.model import Advice, Part, Quantity
from advisor.advice.thinking import Thinking
from advisor.light_dataclass import dataclass

SCHEMA = "crackwright.compare/1"


@dataclass(frozen=True)
class Change(Part):
    """One item that differs: what it was, what it is, and the rules through which."""

    item: str
    before: Any
    after: Any
    rules: tuple[str, ...]


@dataclass(frozen=True)
class Comparison(Part):
    """What differs between two advices."""

    case: str
    other: str
    answers: tuple[Change, ...]
    changes: tuple[Change, ...]

    def to_json(self) -> dict[str, Any]:
        """The document as plain data."""
        return {"schema": SCHEMA, **self.plain()}


@dataclass(frozen=True)
class _Side:
    thinking: Thinking
    advice: Advice


def compare(before: Thinking, after: Thinking) -> Comparison:
    """What the second case's advice has otherwise than the first's."""
    one, other = _Side(before, read_off(before)), _Side(after, read_off(after))
    return Comparison(
        case=one.advice.case,
        other=other.advice.case,
        answers=tuple(_answers(one, other)),
        changes=tuple(_changes(one, other)),
    )


def _answers(one: _Side, other: _Side) -> Iterator[Change]:
    first, second = one.advice.trace, other.advice.trace
    asked = one.thinking.rulebook.questionnaire.by_id
    for name in asked:
        was = first[name].value if name in first else None
        now = second[name].value if name in second else None
        if was != now:
            yield Change(item=name, before=was, after=now, rules=())


def _changes(one: _Side, other: _Side) -> Iterator[Change]:
    yield from _verdict(one, other)
    yield from _methods(one, other)
    for name, was, now in _sizes(one.advice, other.advice):
        yield Change(item=name, before=was, after=now, rules=_through(name, one, other))
    for name in ("steps", "inspections", "cautions"):
        yield from _listed(name, one.advice, other.advice)


def _verdict(one: _Side, other: _Side) -> Iterator[Change]:
    was, now = one.advice.verdict, other.advice.verdict
    if was.value != now.value:
        rules = tuple(dict.fromkeys((*now.because, *was.because)))
        yield Change(item="verdict", before=was.value, after=now.value, rules=rules)
    names = {a.id: a for a in (*was.approval, *now.approval)}
    for id_, approval in names.items():
        there = id_ in {a.id for a in was.approval}
        here = id_ in {a.id for a in now.approval}
        if there != here:
            yield Change(
                item="approval",
                before=approval.who if there else None,
                after=approval.who if here else None,
                rules=approval.rules,
            )


def _methods(one: _Side, other: _Side) -> Iterator[Change]:
    second = {method.method: method for method in other.advice.methods}
    for was in one.advice.methods:
        now = second[was.method]
        if was.standing == now.standing:
            continue
        first_rules = {(reason.rule, reason.effect) for reason in was.reasons}
        second_rules = {(reason.rule, reason.effect) for reason in now.reasons}
        rules = dict.fromkeys(rule for rule, _ in sorted(first_rules ^ second_rules) if rule)
        yield Change(item=was.method, before=was.standing, after=now.standing, rules=tuple(rules))


def _sizes(before: Advice, after: Advice) -> Iterator[tuple[str, Any, Any]]:
    was, now = dict(_flat(before)), dict(_flat(after))
    parts_before, parts_after = _parts(was), _parts(now)
    for part in dict.fromkeys((*parts_before, *parts_after)):
        if (part in parts_before) != (part in parts_after):
            yield part, parts_before.get(part), parts_after.get(part)
    for name in (name for name in was if name in now):
        if was[name] != now[name]:
            yield name, was[name], now[name]


def _parts(flat: Mapping[str, Any]) -> dict[str, Any]:
    """Each part of the plan by its first number: enough to say that it is there."""
    parts: dict[str, Any] = {}
    for name, value in flat.items():
        parts.setdefault(name.split(".")[0], value)
    return parts


def _flat(advice: Advice) -> Iterator[tuple[str, Any]]:
    """The numbers of the plan by name; the layout is left to the drilling table."""
    if advice.stitching:
        yield from _leaves("pin", advice.stitching.pin)
        if advice.stitching.keys:
            yield from _leaves("keys", advice.stitching.keys)
        yield "passes", advice.stitching.passes
        yield "restored_fraction", advice.stitching.strength.restored_fraction
    for insert in advice.inserts:
        yield from _leaves(f"insert {insert.hole}", insert)
    if advice.heat:
        yield from _leaves("heat", advice.heat)
    pressure = advice.trace.get("test_pressure")
    if pressure is not None:
        yield "test_pressure", pressure.value


_WORDY = frozenset({"because", "positions", "hole"})


def _leaves(prefix: str, part: Part) -> Iterator[tuple[str, Any]]:
    for one in fields(part):
        name, value = one.name, getattr(part, one.name)
        if name in _WORDY or value is None:
            continue
        if isinstance(value, Quantity):
            yield f"{prefix}.{name}", value.known()
        elif isinstance(value, Part):
            yield from _leaves(f"{prefix}.{name}", value)
        else:
            yield f"{prefix}.{name}", value


DECIDED_BY: Mapping[str, tuple[str, ...]] = {
    "pin": ("least_engaged_threads", "tip_allowance", "wander_allowance", "tightness"),
    "keys": ("keys_wanted", "strength_wanted", "load_safety_factor", "wall_free_to_bend"),
    "heat": ("preheat_min", "interpass_max", "filler", "postheat", "cooling"),
    "insert": ("insert_kind_wanted", "insert_length_wanted"),
    "test_pressure": ("test_ratio",),
}
"""The decisions of rules behind each part of the plan; the rest of a size is formula."""


def _through(name: str, one: _Side, other: _Side) -> tuple[str, ...]:
    """Rules whose decision behind a size is not what it was."""
    part = re.split(r"[. ]", name)[0]
    rules: dict[str, None] = {}
    for fact in DECIDED_BY.get(part, ()):
        was, now = one.thinking.facts[fact], other.thinking.facts[fact]
        if was.value != now.value:
            rules.update(dict.fromkeys((*now.by, *was.by)))
    return tuple(rules)


def _listed(name: str, before: Advice, after: Advice) -> Iterator[Change]:
    was, now = _by_key(name, before), _by_key(name, after)
    for key in dict.fromkeys((*was, *now)):
        if (key in was) != (key in now):
            text, rule = was.get(key) or now[key]
            yield Change(
                item=name.removesuffix("s"),
                before=text if key in was else None,
                after=text if key in now else None,
                rules=(rule,),
            )


def _by_key(name: str, advice: Advice) -> Mapping[str, tuple[str, str]]:
    if name == "steps":
        return {step.id: (step.do, step.rule) for step in advice.steps}
    if name == "inspections":
        return {
            one.id: (f"{one.when}, {one.method}: {one.what}", one.rule)
            for one in advice.inspections
        }
    return {caution.text: (caution.text, caution.rule) for caution in advice.cautions}
