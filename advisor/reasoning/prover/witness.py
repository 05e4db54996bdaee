"""From a case that the solver found back to values that a person can read."""

from __future__ import annotations

import math
from collections.abc import Mapping

from advisor.reasoning.prover.codes import Cut, MembersCode, NumberCode, WordCode
from advisor.reasoning.prover.encode import Encoder, Range, Scale
from advisor.reasoning.prover.solve import Found
from advisor.reasoning.values import Value, members, number, word

STEP = 1.0
"""How far beyond the last limit a number is taken at least."""


def values_of(found: Found, encoder: Encoder) -> Mapping[str, Value]:
    """The free facts that have a value in a case; those that are open are left out."""
    values: dict[str, Value] = {}
    for name in encoder.only:
        value = _value(name, found, encoder)
        if value is not None:
            values[name] = value
    return values


def _value(name: str, found: Found, encoder: Encoder) -> Value | None:
    code = encoder.free_codes[name]
    if not found.holds(code.known):
        return None
    if isinstance(code, WordCode):
        return word(next(each for each, literal in code.exact.items() if found.holds(literal)))
    if isinstance(code, MembersCode):
        return members(*(w for w, literal in code.certain.items() if found.holds(literal)))
    assert isinstance(code, NumberCode)
    return _number(found, encoder.scales[name])


def _number(found: Found, scale: Scale) -> Value:
    low = _between(*_cell(found, scale, 0), scale.range)
    high = _between(*_cell(found, scale, 1), scale.range)
    return number(min(low, high), max(low, high))


def _cell(found: Found, scale: Scale, end: int) -> tuple[Cut | None, Cut | None]:
    """The last cut that an end lies beyond, and the first that it does not."""
    cuts = sorted(scale.cuts)
    passed = [cut for cut in cuts if found.holds(scale.cuts[cut][end])]
    ahead = [cut for cut in cuts if not found.holds(scale.cuts[cut][end])]
    return (passed[-1] if passed else None), (ahead[0] if ahead else None)


def _between(passed: Cut | None, ahead: Cut | None, range_: Range) -> float:
    """A plain number beyond one cut and not beyond the next."""
    if passed is not None and not passed.above:
        return passed.limit
    if ahead is not None and ahead.above and (passed is None or passed.limit < ahead.limit):
        return ahead.limit
    if ahead is None:
        floor = passed.limit if passed is not None else range_.least
        if math.isinf(floor):
            return 0.0
        beyond = floor + 1 if range_.whole else floor + max(abs(floor) / 4, STEP)
        return min(beyond, range_.most)
    floor = passed.limit if passed is not None else range_.least
    if range_.whole:
        return ahead.limit - 1
    if passed is None and (math.isinf(floor) or floor < 0):
        return max(floor, ahead.limit - max(abs(ahead.limit) / 2, STEP))
    return round((floor + ahead.limit) / 2, 4)
