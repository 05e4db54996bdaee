"""What is known only between two values, and whether the advice is the same for all between them.

Where it is, the advice is firm. Where it is not, the plan takes the safe side, and the advice says
so and names the measurement that would settle it.
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.doubt.turning import outlook_says
from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.advice.model import Quantity, Spread
from advisor.advice.thinking import Thinking
from advisor.case.quantities import Measure
from advisor.light_dataclass import dataclass
from advisor.reasoning.values import Number, Value, number

WALL = "wall_thickness"


@dataclass(frozen=True)
class _Between:
    """One number known between two ends: an answer, or what a formula made of one."""

    fact: str
    value: Number
    question: str


def wall_lies_in(thinking: Thinking, answer: Measure) -> tuple[float, float]:
    """Between which readings the wall lies, its evidence taken into account."""
    true, sound = thinking.values["true_wall"], thinking.values["sound_wall"]
    low, high = answer.low, answer.high
    if isinstance(true, Number) and isinstance(sound, Number) and true.known:
        low += min(0.0, true.low - sound.low)
        high += max(0.0, true.high - sound.high)
    return low, high


def spreads(thinking: Thinking) -> tuple[Spread, ...]:
    """Each number that is known only between two values, and what either end would decide."""
    what_if = WhatIf(thinking)
    return tuple(_spread(what_if, between) for between in _betweens(thinking))


def _betweens(thinking: Thinking) -> Iterator[_Between]:
    true = thinking.values["true_wall"]
    wall_known = isinstance(true, Number) and true.known
    if isinstance(true, Number) and true.known and not true.exact:
        yield _Between("true_wall", true, _settled_by(thinking))
    for name, answer in thinking.case.answers.items():
        value = thinking.values.get(name)
        if not isinstance(answer.value, Measure) or not isinstance(value, Number):
            continue
        if not value.exact and not (name == WALL and wall_known):
            yield _Between(name, value, name)


def _settled_by(thinking: Thinking) -> str:
    """The question whose better answer narrows the wall down."""
    if thinking.word("wall_measured_by") != "ultrasonic":
        return "wall_measured_by" if thinking.word("wall_measured_by") != "calliper" else WALL
    if not thinking.values["ultrasonic_set_velocity"].known:
        return "ultrasonic_set_velocity"
    return WALL if thinking.values["ultrasonic_velocity"].known else "ultrasonic_velocity"


def _spread(what_if: WhatIf, between: _Between) -> Spread:
    thinking = what_if.thinking
    low, high = (_at(what_if, between, end) for end in (between.value.low, between.value.high))
    says = {outlook_says(outlook) for outlook in (low, high, Outlook(thinking)) if outlook}
    unit = thinking.rulebook.vocabulary[between.fact].unit or "1"
    question = thinking.rulebook.questionnaire.by_id[between.question]
    return Spread(
        fact=between.fact,
        value=Quantity(
            value=round((between.value.low + between.value.high) / 2, 4),
            unit=unit,
            low=round(between.value.low, 4),
            high=round(between.value.high, 4),
        ),
        firm=len(says) == 1,
        at_low=outlook_says(low) if low else "",
        at_high=outlook_says(high) if high else "",
        planned_for=outlook_says(Outlook(thinking)),
        question=between.question,
        how=question.how.steps,
    )


def _at(what_if: WhatIf, between: _Between, end: float) -> Outlook | None:
    """What the advice comes to with the number pinned to one end."""
    pinned: dict[str, Value] = {between.fact: number(end)}
    return what_if.outlook({}, pinned)
