"""Parts and tools for the job: how many are needed, how many to have in hand, and what of each."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from advisor.advice.model import Advice, Insert, Stitching
from advisor.advice.phrases import Units
from advisor.light_dataclass import dataclass
from advisor.reasoning.tables import Knowledge
from advisor.sheet.words import length, plain

Maker = Callable[[str, str, int, str], "Item"]
"""Makes an item with its spares: kind, name, number needed, row of `spares`."""

KINDS = ("part", "material", "tool", "instrument")


@dataclass(frozen=True)
class Item:
    """One line of the list; ``quantity`` in words where it cannot be counted."""

    kind: str
    name: str
    needed: int | None
    spare: int
    quantity: str = ""

    @property
    def total(self) -> str:
        """What to have in hand."""
        return self.quantity if self.needed is None else str(self.needed + self.spare)


def parts_list(advice: Advice, knowledge: Knowledge, units: Units = "si") -> tuple[Item, ...]:
    """Everything to have in hand before the first cut.

    Args:
        advice: the plan.
        knowledge: holds `spares` and `equipment`.
        units: of the sizes in the names.
    """
    made = [*_sized(advice, knowledge, units), *_unsized(advice, knowledge)]
    return tuple(sorted(made, key=lambda item: KINDS.index(item.kind)))


def spare(item: str, needed: int, knowledge: Knowledge) -> int:
    """Spares for a number of pieces: a share rounded up, and never fewer than the least."""
    row = knowledge.tables["spares"].rows[item]
    share, least = row["share"].value, row["least"].value
    assert isinstance(share, int | float)
    assert isinstance(least, int | float)
    return max(math.ceil(share * needed - 1e-9), int(least))


def _sized(advice: Advice, knowledge: Knowledge, units: Units) -> Iterator[Item]:
    def item(kind: str, name: str, needed: int, spares: str) -> Item:
        return Item(kind, name, needed, spare(spares, needed, knowledge))

    seam = advice.stitching
    if seam:
        yield item("part", _pin_name(seam, knowledge, units), seam.pin.count, "pin")
        yield from _pin_tools(seam, item_of=item, units=units)
    for insert in advice.inserts:
        if insert.needed and insert.kind:
            yield from _insert_items(insert, item_of=item, units=units)
    if advice.heat and advice.heat.filler:
        yield Item(
            "material",
            _filler_name(advice.heat.filler, knowledge),
            None,
            0,
            "by the volume of the groove",
        )


def _pin_name(seam: Stitching, knowledge: Knowledge, units: Units) -> str:
    row = knowledge.tables["pin_materials"].rows.get(seam.pin.material, {})
    material = str(row["name"].value) if "name" in row else plain(seam.pin.material)
    long = length(seam.pin.length.value, units)
    return f"pin {seam.pin.thread}, {material}, threaded {long} or more below the shoulder"


def _pin_tools(seam: Stitching, *, item_of: Maker, units: Units) -> Iterator[Item]:
    pin = seam.pin
    yield item_of("tool", f"drill {length(pin.tap_drill.value, units)}", 1, "drill")
    yield item_of("tool", f"tap {pin.thread}", 1, "tap")
    if pin.spotface_depth.value > 0:
        name = f"spot-face cutter {length(pin.spotface_diameter.value, units)}"
        yield item_of("tool", name, 1, "cutter")
    if seam.keys:
        section = seam.keys.section
        name = (
            f"key strip, neck {length(section.neck_width.value, units)}, lobes "
            f"{length(section.lobe_diameter.value, units)} at "
            f"{length(section.lobe_pitch.value, units)}, {section.lobes_each_side} a side; "
            f"{seam.keys.layers} layers in each of {seam.keys.count} slots"
        )
        yield item_of("part", name, seam.keys.count * seam.keys.layers, "key")
        drill = f"drill {length(section.lobe_diameter.value, units)} for the lobes of the slots"
        yield item_of("tool", drill, 1, "drill")


def _insert_items(insert: Insert, *, item_of: Maker, units: Units) -> Iterator[Item]:
    said = f"{plain(insert.kind or '')} for hole {insert.hole}, outside {insert.outside_thread}"
    if insert.length:
        said += f", {length(insert.length.value, units)} long"
    yield item_of("part", said, 1, "insert")
    if insert.tap_drill:
        yield item_of("tool", f"drill {length(insert.tap_drill.value, units)}", 1, "drill")
    yield item_of("tool", f"tap {insert.outside_thread} for the insert", 1, "tap")


def _filler_name(filler: str, knowledge: Knowledge) -> str:
    row = knowledge.tables["fillers"].rows.get(filler, {})
    if "standard" not in row:
        return f"filler {filler}"
    name = f", {row['name'].value}" if "name" in row else ""
    return f"filler {filler} ({row['standard'].value}{name})"


def _unsized(advice: Advice, knowledge: Knowledge) -> Iterator[Item]:
    steps = {step.id for step in advice.steps}
    methods = {inspection.method for inspection in advice.inspections}
    for row in knowledge.tables["equipment"].rows.values():
        wanted = (("steps", steps), ("inspections", methods))
        if any(
            name in row and not asked.isdisjoint(_words(row[name].value)) for name, asked in wanted
        ):
            yield Item(
                str(row["kind"].value), str(row["name"].value), None, 0, str(row["quantity"].value)
            )


def _words(value: object) -> tuple[str, ...]:
    return value if isinstance(value, tuple) else ()
