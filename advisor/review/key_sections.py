"""The strip that a plan means by its keys, and the necks that a row of pins meets."""

from __future__ import annotations

from dataclasses import replace

from advisor.engineering.crack_path import Neck
from advisor.engineering.keyed_seam import necks_of
from advisor.engineering.keys import NEUTRAL_FAMILY, KeySection, neutral_key
from advisor.review.bench import Bench
from advisor.review.plan import PlannedSection


def section_of(bench: Bench, planned: PlannedSection | None) -> KeySection | None:
    """The strip that the plan means; measures that it leaves out are those of the neutral family.

    None where it names neither a strip nor a neck.
    """
    if planned is None:
        return None
    family = {section.name: section for section in NEUTRAL_FAMILY}
    if planned.name is not None:
        return family.get(planned.name) or _from_table(bench, planned.name)
    if planned.neck_width is None:
        return None
    neutral = neutral_key(planned.neck_width)
    return replace(
        neutral,
        lobe=planned.lobe_diameter or neutral.lobe,
        lobe_pitch=planned.lobe_pitch or neutral.lobe_pitch,
        lobes=planned.lobes_each_side or neutral.lobes,
        yield_strength=planned.yield_strength or neutral.yield_strength,
    )


def _from_table(bench: Bench, row: str) -> KeySection:
    cells = bench.book.knowledge.tables["keys"].rows[row]

    def cell(column: str) -> float:
        value = cells[column].value
        assert isinstance(value, int | float)
        return float(value)

    return KeySection(
        name=row,
        neck=cell("neck"),
        lobe=cell("lobe"),
        lobe_pitch=cell("lobe_pitch"),
        lobes=int(cell("lobes")),
        layer=cell("layer"),
        yield_strength=cell("yield_strength"),
    )


def planned_necks(bench: Bench, crack: float) -> tuple[Neck, ...]:
    """The necks of the planned keys where they go in before the pins, evenly about the middle.

    None where the wall has to be tight: there the slots are cut through the set row.

    Args:
        bench: the plan on the bench.
        crack: length of the crack [mm].
    """
    planned = bench.plan.keys
    tight = bench.trial.word("tightness") not in ("none", "splash")
    if planned is None or tight or planned.count is None or planned.spacing is None:
        return ()
    section = section_of(bench, planned.section)
    if section is None:
        return ()
    first = (crack - (planned.count - 1) * planned.spacing) / 2
    return necks_of(section, [first + planned.spacing * i for i in range(planned.count)])
