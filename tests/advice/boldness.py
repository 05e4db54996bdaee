"""Whether one advice is bolder than another: what it lets go ahead, and what it asks for first."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.doubt.what_if import Outlook
from advisor.advice.thinking import Thinking
from advisor.reasoning.values import Number

AT_LEAST = (
    "least_engaged_threads",
    "tip_allowance",
    "wander_allowance",
    "strength_wanted",
    "load_safety_factor",
    "test_ratio",
    "insert_length_wanted",
    "preheat_min",
)
"""Requirements of which more is the safe side."""

AT_MOST = ("interpass_max", "heating_rate_max", "cooling_rate_max")
"""Requirements of which less is the safe side."""

ON_A_SIZE = {"pins.few-threads": "threads", "coil_seat": "insert", "solid_seat": "insert"}
"""What is asked for because of one size of the plan; with another size it is beside the point."""


def bolder(less_known: Thinking, more_known: Thinking) -> list[str]:
    """In what an advice on less is bolder than the advice on more."""
    less, more = Outlook(less_known), Outlook(more_known)
    if not less.goes_ahead:
        return []
    if not more.goes_ahead:
        return [f"goes ahead with {less.method}, where more is known it does not: {more.verdict}"]
    return [*_asks_less(less, more), *_lower(less_known, more_known)]


def _asks_less(less: Outlook, more: Outlook) -> Iterator[str]:
    for name, of_less, of_more in (
        ("approval", less.approvals, more.approvals),
        ("inspection", less.inspections, more.inspections),
        ("hold point", _hold_points(less), _hold_points(more)),
        ("caution", less.cautions, more.cautions),
    ):
        for missing in sorted(of_more - of_less):
            size = ON_A_SIZE.get(missing)
            if size is None or _of_size(less, size) == _of_size(more, size):
                yield f"{name} {missing} is left out ({more.method} before, {less.method} now)"


def _of_size(outlook: Outlook, size: str) -> object:
    if size == "threads":
        return outlook.thinking.values["threads_at_best"]
    return {(name, value) for name, value in outlook.sizes if name.startswith(size)}


def _hold_points(outlook: Outlook) -> frozenset[str]:
    rulebook = outlook.thinking.rulebook
    steps = {name for name in outlook.steps if rulebook.steps[name].hold_point}
    looks = {name for name in outlook.inspections if rulebook.inspections[name].hold_point}
    return frozenset(steps | looks)


def _lower(less: Thinking, more: Thinking) -> Iterator[str]:
    for name in (*AT_LEAST, *AT_MOST):
        one, other = less.values[name], more.values[name]
        assert isinstance(one, Number)
        assert isinstance(other, Number)
        if not other.known:
            continue
        if not one.known:
            yield f"{name} is no longer asked for"
        elif name in AT_LEAST and one.high < other.high:
            yield f"{name} is {one.high:g}, was {other.high:g}"
        elif name in AT_MOST and one.low > other.low:
            yield f"{name} is {one.low:g}, was {other.low:g}"
