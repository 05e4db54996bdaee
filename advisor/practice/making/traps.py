"""What is misleading about a case: a wrong claim, a wrong reading, or one thing too many."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from advisor.advice.thinking import Thinking
from advisor.case.quantities import Measure
from advisor.practice.making.belongs import true_metals
from advisor.practice.making.wishes import OTHERS_DECIDE, Wish, Wishes

Trap = Literal["claim", "papers", "gauge", "twin", "duty"]
TRAPS: tuple[Trap, ...] = ("claim", "papers", "gauge", "twin", "duty")

TRAP_SAYS: dict[Trap, str] = {
    "claim": "The metal is not what the customer took it for; the bench says otherwise.",
    "papers": "The grade on the paper belongs to another metal, so it came from another part.",
    "gauge": "The thickness gauge was set to another metal's velocity, so the wall was misread.",
    "twin": "There is more than the one crack that the customer came with.",
    "duty": "The part looks harmless, but a law governs what it does.",
}

_SAME_VELOCITY = 150.0  # m/s; readings on one casting lie closer together
_LAWS = frozenset(
    {
        "pressure_equipment_law",
        "boiler_law",
        "lifting_law",
        "vehicle_safety",
        "aviation",
        "nuclear",
        "marine_class",
        "food_or_potable",
    }
)


def traps_in(thinking: Thinking) -> tuple[Trap, ...]:
    """The traps of a case thought through."""
    return tuple(_traps_in(thinking))


def _traps_in(thinking: Thinking) -> Iterator[Trap]:
    claimed = thinking.word("material")
    truth = true_metals(thinking.case, thinking.rulebook.knowledge)
    if thinking.word("material_standing") == "contradicted" and truth and truth[0] != claimed:
        yield "claim"
    if thinking.word("grade_fits_material") == "no":
        yield "papers"
    if _misread(thinking):
        yield "gauge"
    count = thinking.case.value("crack_count")
    if isinstance(count, Measure) and count.high > 1:
        yield "twin"
    governed = thinking.members("governed_by")
    if governed.certain & _LAWS and thinking.word("part_referral") == "none":
        yield "duty"


def _misread(thinking: Thinking) -> bool:
    setting = thinking.case.value("ultrasonic_set_velocity")
    own = thinking.case.value("ultrasonic_velocity")
    if not isinstance(setting, Measure) or thinking.word("wall_measured_by") != "ultrasonic":
        return False
    if isinstance(own, Measure):
        return abs(setting.middle - own.middle) > _SAME_VELOCITY
    row = thinking.rulebook.knowledge.tables["materials"].rows.get(thinking.word("material") or "")
    cell = row.get("velocity_high") if row else None
    return bool(cell and isinstance(cell.value, float) and setting.middle > cell.value + 1)


def want_trap(wishes: Wishes, trap: Trap) -> None:
    """Wish for a trap.

    Raises:
        Contradiction: it cannot be had together with the other wishes.
    """
    if trap == "duty":
        wishes.want("governed_by", Wish(include=(_LAWS,), known=True))
        wishes.want("part_kind", Wish(without=OTHERS_DECIDE | {"press_frame", "ornamental"}))
    else:
        wishes.want(trap, Wish(words=frozenset(("wanted",))))
