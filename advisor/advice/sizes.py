"""The sizes of the plan, read off what the formulas made."""

from __future__ import annotations

from advisor.advice.model import Heat, Insert, Stitching
from advisor.advice.thinking import Thinking


def stitching(thinking: Thinking) -> Stitching | None:
    """The stitched seam, where the recommended method stitches."""
    return None


def inserts(thinking: Thinking) -> tuple[Insert, ...]:
    """What each threaded hole near the crack needs."""
    return ()


def heat(thinking: Thinking) -> Heat | None:
    """How the casting is heated, filled and cooled, where the method is hot."""
    return None
