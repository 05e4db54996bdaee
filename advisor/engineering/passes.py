"""Passes: the order in which overlapping pins are set. Lengths in mm."""

from __future__ import annotations

import functools
from collections.abc import Sequence

from advisor.engineering.limits import OutOfRange
from advisor.engineering.polyline import Point, pairs_within
from advisor.engineering.ranges import positive

LEAST_LIGAMENT = 1.0  # mm between two holes of one pass; practice

_TINY = 1e-7


def assign_passes(points: Sequence[Point], diameter: float) -> tuple[int, ...]:
    """Passes in which the pins are set, in their order along the crack.

    Each pin takes the earliest pass in which no hole stands within 1 mm of it and no pin already
    set loses both sides. On a plain row that is 1, 2, 1, 3, 1, 2, 1, 3 …

    Args:
        points: centres in order [mm].
        diameter: d [mm].

    Returns:
        pass of each pin, from 1.

    Validity: pins of one diameter.

    Raises:
        OutOfRange: diameter not positive.

    Example:
        >>> assign_passes([(6.0 * i, 0.0) for i in range(8)], 8)
        (1, 2, 1, 3, 1, 2, 1, 3)

    Source: geometry (derived).
    """
    return _in_passes(tuple(points), diameter)


@functools.lru_cache(maxsize=64)  # the same row is laid for many walls
def _in_passes(points: tuple[Point, ...], diameter: float) -> tuple[int, ...]:
    close, cut = _neighbours(points, diameter)
    passes: list[int] = []
    for i in range(len(points)):
        passes.append(_earliest(i, passes, close, cut))
    return tuple(passes)


def cut_on_both_sides(
    points: Sequence[Point], diameter: float, passes: Sequence[int]
) -> tuple[int, ...]:
    """Pins that lose both sides in one later pass, or are drilled into an open hole.

    Args:
        points: centres [mm].
        diameter: d [mm].
        passes: pass of each pin.

    Returns:
        indices of the pins at fault; empty where the order is sound.

    Validity: pins of one diameter.

    Raises:
        OutOfRange: diameter not positive, or not one pass for each pin.

    Example:
        >>> cut_on_both_sides([(6.0 * i, 0.0) for i in range(5)], 8, (1, 2, 1, 2, 1))
        (2,)

    Source: geometry (derived).
    """
    if len(passes) != len(points):
        raise OutOfRange("passes", len(passes), f"one for each of the {len(points)} pins")
    _, cut = _neighbours(points, diameter)
    return tuple(
        i
        for i, own in enumerate(passes)
        if any(passes[j] == own for j in cut[i])
        or _repeats([passes[j] for j in cut[i] if passes[j] > own])
    )


def _neighbours(points: Sequence[Point], diameter: float) -> tuple[list[list[int]], ...]:
    """For each pin those too close to be drilled with it, and those that cut into it."""
    positive("diameter", diameter, "mm")
    reach = diameter + LEAST_LIGAMENT - _TINY
    close: list[list[int]] = [[] for _ in points]
    cut: list[list[int]] = [[] for _ in points]
    for i, j, apart in pairs_within(points, reach):
        for near in (close, cut) if apart < diameter - _TINY else (close,):
            near[i].append(j)
            near[j].append(i)
    return close, cut


def _earliest(
    i: int, passes: Sequence[int], close: Sequence[Sequence[int]], cut: Sequence[Sequence[int]]
) -> int:
    """The earliest pass for a pin, when those before it have theirs."""
    beside = [j for j in cut[i] if j < i]
    taken = {passes[j] for j in close[i] if j < i}
    for j in beside:  # which must not lose its other side in the same pass
        taken.update(passes[k] for k in cut[j] if k < i and passes[k] > passes[j])
    number = 1
    while number in taken or _repeats([passes[j] for j in beside if passes[j] > number]):
        number += 1
    return number


def _repeats(numbers: Sequence[int]) -> bool:
    return len(set(numbers)) != len(numbers)
