"""A plan as somebody wrote it: what is stated, and nothing filled in."""

from __future__ import annotations

from typing import Final

from advisor.advice.library import SEQUENCE_WORDS
from advisor.engineering.designations import Designation
from advisor.light_dataclass import dataclass

__all__ = [
    "COOLINGS",
    "INSPECTED",
    "MEDIA",
    "SEQUENCE_WORDS",
    "Override",
    "Plan",
    "PlannedHeat",
    "PlannedInsert",
    "PlannedInspection",
    "PlannedKeys",
    "PlannedPin",
    "PlannedSection",
    "Thread",
]

MEDIA: Final = ("water", "oil", "air")
COOLINGS: Final = ("hand_warm_throughout", "still_air", "covered", "buried", "in_furnace")
INSPECTED: Final = ("before", "during", "after")


@dataclass(frozen=True)
class Thread:
    """A thread as the plan writes it, and as it is read."""

    text: str
    read: Designation


@dataclass(frozen=True)
class PlannedPin:
    """The pins; lengths in mm."""

    thread: Thread | None = None
    pitch: float | None = None
    count: int | None = None
    spotface_depth: float | None = None
    length: float | None = None


@dataclass(frozen=True)
class PlannedSection:
    """The strip of a key: a row of the table of keys, or its own measures in mm and MPa."""

    name: str | None = None
    neck_width: float | None = None
    lobe_diameter: float | None = None
    lobe_pitch: float | None = None
    lobes_each_side: int | None = None
    yield_strength: float | None = None


@dataclass(frozen=True)
class PlannedKeys:
    """The keys; lengths in mm. ``staggered`` is None where the plan does not say."""

    count: int | None = None
    spacing: float | None = None
    depth: float | None = None
    section: PlannedSection | None = None
    staggered: bool | None = None


@dataclass(frozen=True)
class PlannedInsert:
    """One insert: the hole, counted from 1 as the case lists them, thread outside, length [mm]."""

    hole: int
    outside_thread: Thread | None = None
    length: float | None = None
    kind: str | None = None
    line: int = 0


@dataclass(frozen=True)
class PlannedHeat:
    """The heat; temperatures in degC."""

    preheat: float | None = None
    interpass_max: float | None = None
    filler: str | None = None
    cooling: str | None = None


@dataclass(frozen=True)
class PlannedInspection:
    """One inspection; ``hold_point`` is None where the plan does not say."""

    when: str
    method: str
    hold_point: bool | None = None
    what: str = ""


@dataclass(frozen=True)
class Override:
    """A senior's word that a rule is departed from here, with the reason and the name."""

    rule: str
    reason: str
    by: str
    line: int = 0


@dataclass(frozen=True)
class Plan:
    """One plan. A part that is None is not stated; an empty list is stated to be none."""

    reference: str
    by: str = ""
    case: str = ""
    notes: str = ""
    verdict: str | None = None
    method: str | None = None
    pin: PlannedPin | None = None
    keys: PlannedKeys | None = None
    inserts: tuple[PlannedInsert, ...] | None = None
    heat: PlannedHeat | None = None
    inspections: tuple[PlannedInspection, ...] | None = None
    test_pressure: float | None = None  # bar
    test_medium: str | None = None
    sequence: tuple[str, ...] | None = None
    overrides: tuple[Override, ...] = ()
    file: str = ""

    @property
    def states_a_part(self) -> bool:
        """Whether anything besides verdict and method is stated that can be judged."""
        parts = (
            self.pin, self.keys, self.inserts, self.heat, self.inspections,
            self.test_pressure, self.test_medium, self.sequence,
        )  # fmt: skip
        return any(part is not None for part in parts)

    @property
    def plans_work(self) -> bool:
        """Whether anything is to be done to the part, whatever the plan's verdict says."""
        return self.method not in (None, "replace_part") or any(
            part is not None for part in (self.pin, self.keys, self.heat)
        )
