"""At what value of an answer a decision turns."""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.case.quantities import Measure
from advisor.case.units import COUNTED
from advisor.light_dataclass import dataclass
from advisor.reasoning.values import RESOLUTION_DIGITS

_STEP = 10.0**-RESOLUTION_DIGITS
CLOSE = 0.004
"""How far apart, as a part of the value, two values may stay between which a decision turns."""

Key = Callable[[Outlook], object]
"""What is held against what it was, such as verdict and method."""


@dataclass(frozen=True)
class Search:
    """Finds the value at which something turns, between two values that differ in it.

    Attributes:
        what_if: the case to try on.
        question: the answer that is moved.
        limits: limits of rules; they are tried first, for they turn it exactly there.
    """

    what_if: WhatIf
    question: str
    limits: tuple[float, ...]

    def edge(self, low: float, high: float, dimension: str, key: Key) -> float | None:
        """The value above which something is no longer what it is at ``low``; None if it stays.

        Of what is counted, the first number at which it is another.
        """
        at_low = self._at(low, dimension, key)
        for limit in () if dimension in COUNTED else self.limits:
            if low < limit < high and self._turns_at(limit, dimension, key, at_low):
                return limit
        if self._at(high, dimension, key) == at_low:
            return None
        counted = dimension in COUNTED
        while high - low > (1 if counted else max(CLOSE * abs(high), _STEP)):
            middle = (low + high) // 2 if counted else (low + high) / 2
            if self._at(middle, dimension, key) == at_low:
                low = middle
            else:
                high = middle
        return high if counted else shortest_between(low, high)

    def _turns_at(self, limit: float, dimension: str, key: Key, at_low: object) -> bool:
        below = self._at(limit - _STEP, dimension, key)
        return below == at_low and self._at(limit + _STEP, dimension, key) != at_low

    def _at(self, value: float, dimension: str, key: Key) -> object:
        outlook = self.what_if.outlook({self.question: Measure(value, value, dimension)})
        return None if outlook is None else key(outlook)


def shortest_between(low: float, high: float) -> float:
    """The number with the fewest digits between two.

    >>> shortest_between(6.3871, 6.4126)
    6.4
    """
    for digits in range(1, 16):
        found = float(f"{(low + high) / 2:.{digits}g}")
        if low <= found <= high:
            return found
    return high
