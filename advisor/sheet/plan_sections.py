"""The sizes of the plan: drawings, drilling table, keys, inserts, heat."""

from __future__ import annotations

from advisor.advice.model import Heat, Insert, KeysDesign, LaidHole, Quantity, Stitching
from advisor.advice.seam import SeamDesign
from advisor.engineering.keys import KeyDesign
from advisor.sheet import marks
from advisor.sheet.drawing import layout_figures
from advisor.sheet.job import Job
from advisor.sheet.model import (
    Block,
    Bullets,
    Column,
    Figure,
    Notice,
    Pairs,
    Paragraph,
    Section,
    Table,
)
from advisor.sheet.naming import named_points
from advisor.sheet.picture import Picture, lobe_places
from advisor.sheet.plots import keys_figure, threads_figure
from advisor.sheet.section_drawing import KeySection, PinSection, section_figure
from advisor.sheet.words import (
    bare_length,
    length,
    length_unit,
    length_unit_name,
    plain,
    runs,
    sentence,
    short_length,
)

_HEAT_LOG_LINES = 12


def drawing(job: Job, picture: Picture) -> Section:
    """The layout, and beside it the section through the wall."""
    blocks: list[Block] = list(layout_figures(picture, job.units))
    if picture.straight_guess:
        blocks.append(
            Paragraph(
                "No crack path was recorded: the crack is drawn as a straight line of its length "
                "from its first end. Compare with the map before marking out."
            )
        )
    said = []
    if picture.edge:
        said.append("the nearest free edge is drawn straight ahead of the crack, as it was planned")
    if picture.holes:
        said.append("a hole beside the crack is drawn on the left of it, its side is not recorded")
    if said:
        blocks.append(Paragraph(sentence("; ".join(said))))
    points = named_points(picture)
    if len(points) > 2:
        unit = length_unit(job.units)
        rows = tuple(
            (n, bare_length(x, job.units), bare_length(y, job.units)) for n, (x, y) in points
        )
        columns = (Column("point", 1), Column(f"x, {unit}", 2, True), Column(f"y, {unit}", 2, True))
        blocks.append(Table("Ends and bends of the crack", columns, rows))
    section = _section_figure(job)
    if section:
        blocks.append(section)
    return Section("drawing", "Drawing", tuple(blocks))


def _section_figure(job: Job) -> Figure | None:
    seam, design = job.thinking.objects.get("seam"), job.thinking.objects.get("keys")
    plan = job.advice.stitching
    if plan is None or not isinstance(seam, SeamDesign):
        return None
    thinnest = min(plan.layout, key=lambda hole: (hole.wall.value, hole.n))
    pin = seam.choice.pin
    key = None
    wall = job.low("true_wall")
    if plan.keys and isinstance(design, KeyDesign) and wall:
        longest = max((lobe_places(design, n) for n in (1, 2)), key=lambda places: places[-1])
        key = KeySection(wall, design.depth, design.layers, design.section.lobe, longest)
    return section_figure(
        PinSection(
            n=thinnest.n,
            thread=pin.thread,
            diameter=pin.diameter,
            pitch=pin.pitch,
            tap_drill=seam.choice.tap_drill,
            wall=thinnest.wall.value,
            spotface_diameter=pin.spotface_diameter,
            spotface_depth=thinnest.spotface_depth.value,
            shoulder_height=pin.shoulder_height,
            pin_length=thinnest.pin_length.value,
            engaged_threads=thinnest.engaged_threads,
            blind=is_blind(job),
        ),
        key,
        job.units,
    )


def is_blind(job: Job) -> bool:
    """Whether holes end in the metal."""
    return job.word("behind_wall") == "solid_metal"


# --- pins ---------------------------------------------------------------------------------------


def pins(job: Job, seam: Stitching, picture: Picture) -> Section:
    """The pins in numbers, the drilling table, and the threads along the crack."""
    pin = seam.pin
    shape = f"{job.show(pin.spotface_diameter)} wide, {job.show(pin.spotface_depth)} deep"
    if pin.spotface_depth.value <= 0:
        shape = "none: plain pins, trimmed flush"
    rows = [
        ("pins", f"{pin.count} of {pin.thread}, {plain(pin.material)}"),
        ("spacing", f"{job.show(pin.pitch)} at most, an overlap of {job.show(pin.overlap)}"),
        ("tap drill", job.show(pin.tap_drill)),
        ("spot-face", shape),
        (
            "fewest threads engaged",
            f"{pin.engaged_threads:.1f}; at least {picture.least_threads:g} must be",
        ),
    ]
    rows += [
        (
            f"pass {n}, {marks.mark_name(n)}",
            runs(h.n for h in seam.layout if h.drilling_pass == n),
        )
        for n in picture.passes
    ]
    restored = seam.strength.restored_fraction
    strength = f"{restored:.0%} of the uncracked wall" if restored else "none"
    rows.append(("strength restored", f"{strength}; {seam.strength.basis}"))
    blocks: list[Block] = [Pairs(tuple(rows))]
    notes = [*seam.notes, *_curve_note(job, seam)]
    if notes:
        blocks.append(Bullets(tuple(sentence(note) for note in notes)))
    blocks.append(drilling_table(job, seam))
    blocks.append(threads_figure(picture, job.units))
    return Section("pins", "Pins and drilling table", tuple(blocks))


def _curve_note(job: Job, seam: Stitching) -> list[str]:
    """What the curve of the wall takes off the thread, where it takes something."""
    lost = max(h.wall.value - h.spotface_depth.value - h.pin_length.value for h in seam.layout)
    if lost < 0.02:
        return []
    said = length(lost, job.units)
    return [f"on the curved wall the shoulder sits up to {said} deeper than the spot-face alone"]


def drilling_table(job: Job, seam: Stitching) -> Table:
    """One row a hole, with room for what is measured."""
    columns = (
        Column("no.", 1.7, True),
        Column("pass", 1.6, True),
        Column("along", 2.4, True),
        Column("x", 2.4, True),
        Column("y", 2.4, True),
        Column("drill", 2.0, True),
        Column("thread", 2.9),
        Column("depth", 2.2, True),
        Column("spot-face", 3.0, True),
        Column("pin", 2.1, True),
        Column("threads", 2.1, True),
        Column("wall found", 2.3, blank=True),
        Column("depth found", 2.4, blank=True),
        Column("threads found", 2.5, blank=True),
        Column("by", 2.0, blank=True),
    )
    rows = tuple(_drilling_row(job, seam, hole) for hole in seam.layout)
    deep = "to a depth stop" if is_blind(job) else "right through"
    caption = (
        f"Drilling table: lengths in {length_unit_name(job.units)}; along: from the first end of "
        "the crack along it, negative before it; x, y: as in the drawing; depth: from the surface, "
        f"{deep}; spot-face: diameter x depth; pin: threaded length below the shoulder"
    )
    return Table(caption, columns, rows)


def _drilling_row(job: Job, seam: Stitching, hole: LaidHole) -> tuple[str, ...]:
    def bare(quantity: Quantity) -> str:
        return bare_length(quantity.value, job.units)

    pin = seam.pin
    face = short_length(pin.spotface_diameter.value, job.units)
    deep = bare(hole.spotface_depth)
    return (
        str(hole.n),
        str(hole.drilling_pass),
        bare(hole.at),
        bare(hole.x),
        bare(hole.y),
        short_length(pin.tap_drill.value, job.units),
        pin.thread,
        bare(hole.wall),
        f"{face} x {deep}" if hole.spotface_depth.value > 0 else "none",
        bare(hole.pin_length),
        f"{hole.engaged_threads:.1f}",
        "",
        "",
        "",
        "",
    )


# --- keys ---------------------------------------------------------------------------------------


def keys(job: Job, plan: KeysDesign, picture: Picture) -> Section:
    """The keys in numbers, their places, and strength against spacing."""
    section = plan.section
    rows = (
        ("keys", f"{plan.count}, {job.show(plan.spacing)} apart"),
        ("neck", job.show(section.neck_width)),
        (
            "lobes",
            f"{job.show(section.lobe_diameter)} every {job.show(section.lobe_pitch)}, "
            f"{section.lobes_each_side} on each side of the crack",
        ),
        ("slot depth", f"{job.show(plan.depth)}, {plan.layers} layers"),
        ("one key carries", job.show(plan.capacity)),
    )
    blocks: list[Block] = [Pairs(rows)]
    design = job.thinking.objects.get("keys")
    if isinstance(design, KeyDesign):
        blocks.append(Bullets(tuple(sentence(warning) for warning in design.warnings)))
    blocks.append(_key_table(job, plan, picture))
    wall, tensile = job.low("true_wall"), job.low("wall_strength")
    if isinstance(design, KeyDesign) and wall and tensile:
        blocks.append(keys_figure(design, wall, tensile, job.units))
    return Section("keys", "Keys", tuple(b for b in blocks if not _empty(b)))


def _empty(block: Block) -> bool:
    return isinstance(block, Bullets) and not block.items


def _key_table(job: Job, plan: KeysDesign, picture: Picture) -> Table:
    unit = length_unit(job.units)
    columns = (
        Column("key", 1),
        Column(f"along, {unit}", 2, True),
        Column(f"x, {unit}", 2, True),
        Column(f"y, {unit}", 2, True),
        Column("lobes a side", 2, True),
        Column("depth found", 2, blank=True),
        Column("layers solid", 2, blank=True),
        Column("by", 2, blank=True),
    )
    rows = tuple(
        (
            f"K{mark.n}",
            bare_length(at.value, job.units),
            bare_length(mark.x, job.units),
            bare_length(mark.y, job.units),
            str(len(mark.lobes)),
            "",
            "",
            "",
        )
        for mark, at in zip(picture.keys, plan.positions, strict=True)
    )
    return Table("Places of the keys, each square to the crack", columns, rows)


# --- inserts ------------------------------------------------------------------------------------


def inserts(job: Job, found: tuple[Insert, ...]) -> Section:
    """What each threaded hole near the crack needs."""
    columns = (
        Column("hole", 1.2, True),
        Column("insert", 3.5),
        Column("outside thread", 3),
        Column("length", 2, True),
        Column("tap drill", 2.2, True),
        Column("below the face", 2.2, True),
        Column("strip safety", 1.8, True),
        Column("metal to the last pin", 2.4, True),
        Column("seat found", 2.2, blank=True),
        Column("by", 1.8, blank=True),
    )
    rows = tuple(_insert_row(job, insert) for insert in found)
    why = tuple(
        f"Hole {insert.hole}: {'; '.join(insert.because)}." for insert in found if insert.because
    )
    caption = f"Threaded holes near the crack; lengths in {length_unit_name(job.units)}"
    return Section("inserts", "Thread inserts", (Table(caption, columns, rows), Bullets(why)))


def _insert_row(job: Job, insert: Insert) -> tuple[str, ...]:
    def bare(quantity: Quantity | None) -> str:
        return "" if quantity is None else bare_length(quantity.value, job.units)

    kind = plain(insert.kind) if insert.kind else ("none fits" if insert.needed else "none needed")
    safety = "" if insert.strip_safety is None else f"{insert.strip_safety:.1f}"
    ligament = bare(insert.ligament)
    if insert.ligament and insert.ligament.value < 0:
        ligament = f"{ligament} (overlaps)"
    return (
        str(insert.hole),
        kind,
        insert.outside_thread or "",
        bare(insert.length),
        bare(insert.tap_drill),
        bare(insert.seat_depth),
        safety,
        ligament,
        "",
        "",
    )


# --- heat ---------------------------------------------------------------------------------------


def heat(job: Job, plan: Heat) -> Section:
    """Temperatures, rates, filler, and lines for the temperature log."""
    rows = [
        ("process", plain(plan.process)),
        ("filler", _filler(job, plan.filler)),
        ("preheat at least", job.show(plan.preheat_min)),
        ("between beads at most", job.show(plan.interpass_max)),
        ("heat no faster than", job.show(plan.heating_rate_max)),
        ("cooling", plain(plan.cooling)),
        ("cool no faster than", job.show(plan.cooling_rate_max)),
        ("afterwards", plain(plan.postheat)),
        ("stress relief at", job.show(plan.stress_relief_temperature)),
        ("heat into the metal", job.show(plan.energy)),
    ]
    given = tuple(row for row in rows if row[1] not in ("not given", "none"))
    blocks: list[Block] = [Pairs(given)]
    if plan.preheat_min is None and plan.interpass_max is None:
        blocks.insert(0, Notice("TEMPERATURES ARE NOT KNOWN", ("Settle them before any heat.",)))
    columns = (
        Column("time", 2, blank=True),
        Column("place", 3, blank=True),
        Column("temperature", 2, blank=True),
        Column("what was going on", 5, blank=True),
        Column("by", 1.5, blank=True),
    )
    blocks.append(Table("Temperature log", columns, (("",) * 5,) * _HEAT_LOG_LINES, tall=True))
    return Section("heat", "Heat", tuple(blocks))


def _filler(job: Job, filler: str | None) -> str:
    if filler is None:
        return "none"
    row = job.book.knowledge.tables["fillers"].rows.get(filler, {})
    said = [filler]
    if "standard" in row:
        said[0] = f"{filler} of {row['standard'].value}"
    said += [str(row[column].value) for column in ("name", "composition", "note") if column in row]
    return ", ".join(said)
