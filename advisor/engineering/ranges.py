"""Small guards that say which argument left the validity of a formula."""

from __future__ import annotations

from math import inf

from advisor.engineering.limits import OutOfRange


def positive(argument: str, value: float, unit: str) -> float:
    """Return `value` if it is a finite number above zero.

    Raises:
        OutOfRange: otherwise, not-a-number included.

    Example:
        >>> positive("wall", 6.0, "mm")
        6.0
    """
    if not 0.0 < value < inf:
        raise OutOfRange(argument, value, f"must be above 0 {unit}".rstrip())
    return value


def not_negative(argument: str, value: float, unit: str) -> float:
    """Return `value` if it is a finite number, zero or above.

    Raises:
        OutOfRange: otherwise.

    Example:
        >>> not_negative("sulfur", 0.0, "%")
        0.0
    """
    if not 0.0 <= value < inf:
        raise OutOfRange(argument, value, f"must be 0 {unit} or more")
    return value


def finite(argument: str, value: float, unit: str) -> float:
    """Return `value` if it is a finite number of either sign.

    Raises:
        OutOfRange: otherwise.

    Example:
        >>> finite("temperature_rise", -40.0, "K")
        -40.0
    """
    if not -inf < value < inf:
        raise OutOfRange(argument, value, f"must be a finite number of {unit}")
    return value


def between(
    argument: str, value: float, low: float, high: float, unit: str, hint: str | None = None
) -> float:
    """Return `value` if it lies in the closed range `low` to `high`.

    Raises:
        OutOfRange: otherwise.

    Example:
        >>> between("load_ratio", 0.4, 0.0, 1.2, "")
        0.4
    """
    if not low <= value <= high:
        limit = f"must lie between {low:g} and {high:g} {unit}".rstrip()
        raise OutOfRange(argument, value, limit, hint)
    return value
