"""The keys as planned: depth, net section, and what they restore against what the case needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.formulas import Missing
from advisor.advice.formulas_method import DEFAULT_SAFETY, LEAST_FRACTION
from advisor.advice.phrases import quantity
from advisor.engineering import keys as engineering
from advisor.engineering.keys import KeyDesign, KeySection
from advisor.engineering.limits import OutOfRange
from advisor.light_dataclass import dataclass
from advisor.review.bench import HAIR, ON_THE_PLAN, Bench, Rests, Words, finding, length, plain
from advisor.review.key_sections import section_of
from advisor.review.model import Figure, Finding, Item, Severity
from advisor.review.pins import seam_layout
from advisor.review.plan import PlannedKeys, PlannedSection

_FORMULA = "keys"
_ROUNDED = 0.005  # of the strength; what rounding of the plan's lengths moves
_LIMIT_SAYS = {
    "neck": "the pull in its neck",
    "bearing": "its lobes pressing on the wall",
    "teeth": "the teeth of wall between its lobes",
    "lobes": "its lobes shearing off",
    "eccentric": "its place off the middle of the wall",
}
_END_REACH = 0.75  # of the crack between the outer keys; a little below where end keys stand


@dataclass(frozen=True)
class Wall:
    """The wall that the keys are let into, and what it asks of them.

    Attributes:
        wall: [mm]
        strength: tensile strength [MPa].
        shear: shear over tensile strength.
        length: of the crack [mm].
        restrained: held flat.
        needed: part of the uncracked strength that has to come back.
    """

    wall: float
    strength: float
    shear: float
    length: float
    restrained: bool
    needed: float


@dataclass(frozen=True)
class Keys:
    """The planned keys with the strip that is meant, in their wall; lengths in mm."""

    bench: Bench
    section: KeySection
    name: str
    depth: float
    spacing: float
    count: int
    staggered: bool
    stated: bool
    wall: Wall

    @property
    def widest(self) -> float:
        """Length of crack that one key has to answer for."""
        return max(self.spacing, self.wall.length / self.count)


def judge_keys(bench: Bench) -> Iterator[Item]:
    """All that can be said of the keys."""
    planned, method = bench.plan.keys, bench.method
    if planned is None:
        if bench.plan.method == "cold_stitch_with_keys":
            yield _silent(bench)
        return
    if method != "cold_stitch_with_keys":
        text = f"Keys are planned, and the method named is {plain(method or 'none')}."
        words = Words(None, method, "Name the method with keys, or leave them out.")
        yield finding("keys", "contradicts", "query", ON_THE_PLAN, text, words)
        if method != "cold_stitch":
            return
    try:
        wall = _wall(bench)
    except Missing as missing:
        text = f"The keys cannot be judged: {plain(missing.fact)} is not known."
        words = Words(remedy="Find it out and write it in the case.")
        yield finding("keys", "not_judged", "query", bench.on_formula(_FORMULA), text, words)
        return
    yield from _judge(bench, planned, wall)


def _silent(bench: Bench) -> Item:
    design = bench.trial.objects.get("keys")
    advised = design.section.name if isinstance(design, KeyDesign) else None
    text = "The method has keys, and the plan says nothing of them."
    words = Words(None, advised, "State count, spacing, depth and section.")
    return finding("keys", "missing", "query", bench.on_formula(_FORMULA), text, words)


def _wall(bench: Bench) -> Wall:
    """What the case asks, as the program asks it of its own keys.

    Raises:
        Missing: an answer that is needed is not there.
    """
    given = bench.given
    wall, strength = given.low("true_wall"), given.low("wall_strength")
    load = given.high("line_load") if given.known("line_load") else 0.0
    factor = given.high("load_safety_factor") if given.known("load_safety_factor") else 0.0
    wanted = given.high("strength_wanted") if given.known("strength_wanted") else 0.0
    from_load = (factor or DEFAULT_SAFETY) * load / (wall * strength) if factor else 0.0
    if not wanted and not from_load:
        wanted = LEAST_FRACTION
    return Wall(
        wall=wall,
        strength=strength,
        shear=given.table_number("materials", given.word("material"), "shear_ratio"),
        length=given.high("crack_length"),
        restrained=given.word_or("wall_free_to_bend", "yes") == "no",
        needed=max(wanted, from_load),
    )


def _judge(bench: Bench, planned: PlannedKeys, wall: Wall) -> Iterator[Item]:
    section = section_of(bench, planned.section)
    gaps = [
        name
        for name, value in (
            ("section", section),
            ("depth", planned.depth),
            ("spacing", planned.spacing),
            ("count", planned.count),
        )
        if value is None
    ]
    for gap in gaps:
        yield _gap(bench, gap)
    if planned.depth is not None:
        yield _judge_depth(bench, planned.depth, wall)
    if section is None or planned.depth is None or planned.spacing is None or planned.count is None:
        return
    advised = _advised(bench)
    must_stagger = bench.brittle and bool(bench.asked_for("required_steps", "stagger_keys"))
    keys = Keys(
        bench,
        section,
        _name(planned.section, section),
        planned.depth,
        planned.spacing,
        planned.count,
        must_stagger if planned.staggered is None else planned.staggered,
        planned.staggered is not None,
        wall,
    )
    yield _judge_section(keys, advised)
    yield _judge_spacing(keys, advised)
    yield _judge_count(keys, advised)
    yield from _judge_strength(keys, advised)


def _name(planned: PlannedSection | None, section: KeySection) -> str:
    if planned is not None and planned.name is not None:
        return planned.name
    return f"neck {section.neck:g} mm, lobe {section.lobe:g} mm, {section.lobes} a side"


def _advised(bench: Bench) -> KeyDesign | None:
    design = bench.trial.objects.get("keys")
    return design if isinstance(design, KeyDesign) else None


def _gap(bench: Bench, name: str) -> Item:
    text = f"The plan names no {name} of the keys, so their strength is not judged."
    words = Words(None, None, f"State the {name}.")
    return finding(f"keys.{name}", "missing", "query", bench.on_formula(_FORMULA), text, words)


# --- depth --------------------------------------------------------------------------------------


def _judge_depth(bench: Bench, depth: float, wall: Wall) -> Item:
    rests, advised = bench.on_formula(_FORMULA), _advised(bench)
    figures = bench.figure("least wall", "true_wall")
    words = Words(length(depth), length(advised.depth) if advised else None, figures=figures)
    if wall.wall < engineering.LEAST_WALL:
        text = f"A wall of {bench.mm(wall.wall)} is thinner than {bench.mm(engineering.LEAST_WALL)}"
        text += ", and takes no key."
        words = replace(words, remedy="Stitch without keys, or take another method.")
        return finding("keys.depth", "falls_short", "stop", rests, text, words)
    deepest = engineering.greatest_depth(wall.wall)
    if depth > deepest + HAIR:
        text = (
            f"A slot of {bench.mm(depth)} leaves {bench.mm(max(wall.wall - depth, 0.0))} of a wall "
            f"of {bench.mm(wall.wall)}; 0.85 of the wall and {bench.mm(engineering.LEAST_FLOOR)} "
            f"of floor allow {bench.mm(deepest)}. Drill points break through."
        )
        words = replace(words, remedy=f"Cut the slots no deeper than {bench.mm(deepest)}.")
        return finding("keys.depth", "falls_short", "stop", rests, text, words)
    least = engineering.LEAST_DEPTH_TO_FREE_WALL * wall.wall
    if not wall.restrained and depth < least - HAIR:
        text = (
            f"A slot of {bench.mm(depth)} in a wall of {bench.mm(wall.wall)} that is free to bend "
            f"lies off its middle and opens the back; {bench.mm(least)} is the least."
        )
        words = replace(words, remedy=f"Cut the slots at least {bench.mm(least)} deep.")
        return finding("keys.depth", "falls_short", "query", rests, text, words)
    text = f"{bench.mm(depth)} deep in a wall of {bench.mm(wall.wall)}, {depth / wall.wall:.0%}."
    return finding("keys.depth", "agrees", "note", rests, text, words)


# --- section, spacing, count --------------------------------------------------------------------


def _judge_section(keys: Keys, advised: KeyDesign | None) -> Item:
    bench, section = keys.bench, keys.section
    rests = bench.on_formula(_FORMULA)
    other = _name(None, advised.section) if advised else None
    words = Words(keys.name, other)
    if section.lobe <= section.neck or section.lobes < engineering.LEAST_LOBES:
        text = "A key needs two lobes a side at least, and lobes wider than its neck, to hold."
        words = replace(words, remedy="Take a strip with wider lobes.")
        return finding("keys.section", "falls_short", "stop", rests, text, words)
    if section.neck > keys.wall.wall + HAIR:
        text = f"A neck of {bench.mm(section.neck)} is wider than the wall is thick."
        words = replace(words, remedy="Take a smaller strip.")
        return finding("keys.section", "falls_short", "query", rests, text, words)
    text = f"A neck of {bench.mm(section.neck)} suits a wall of {bench.mm(keys.wall.wall)}."
    layers = keys.depth / section.layer
    if abs(layers - round(layers)) > 0.02:
        text += f" Layers of {bench.mm(section.layer)} do not fill {bench.mm(keys.depth)} exactly."
    return finding("keys.section", "agrees", "note", rests, text, words)


def _judge_spacing(keys: Keys, advised: KeyDesign | None) -> Item:
    bench, spacing, section = keys.bench, keys.spacing, keys.section
    rests = bench.on_formula(_FORMULA)
    words = Words(length(spacing), length(advised.spacing) if advised else None)
    clear = engineering.clear_metal(section.lobe, section.neck, spacing, keys.staggered)
    least = engineering.LEAST_CLEAR_METAL
    if keys.count > 1 and clear < least - HAIR:
        where = "run into each other" if clear <= 0 else f"leave {bench.mm(clear)} between them"
        text = f"At {bench.mm(spacing)} the slots {where}; {bench.mm(least)} of metal has to stay."
        words = replace(words, remedy=f"Set the keys {bench.mm(spacing + least - clear)} apart.")
        severity: Severity = "stop" if clear <= 0 else "query"
        return finding("keys.spacing", "falls_short", severity, rests, text, words)
    if keys.count > 1 and spacing > engineering.LARGEST_SPACING + HAIR:
        largest = bench.mm(engineering.LARGEST_SPACING)
        text = f"At {bench.mm(spacing)} each key stands alone; beyond {largest} the wall between "
        text += "them opens."
        words = replace(words, remedy=f"Set the keys no farther apart than {largest}.")
        return finding("keys.spacing", "falls_short", "query", rests, text, words)
    how = "staggered" if keys.staggered else "in line"
    text = f"{bench.mm(clear)} of metal stays between two slots, {how}."
    return finding("keys.spacing", "agrees", "note", rests, text, words)


def _judge_count(keys: Keys, advised: KeyDesign | None) -> Item:
    bench, rests = keys.bench, keys.bench.on_formula(_FORMULA)
    reach, crack = (keys.count - 1) * keys.spacing, keys.wall.length
    words = Words(
        keys.count,
        advised.count if advised else None,
        figures=bench.figure("crack length", "crack_length", low=False),
    )
    ends = f"from the first key to the last {bench.mm(reach)} of a crack of {bench.mm(crack)}"
    if keys.count == 1:
        text = "A single key does little against running on at the ends."
        return finding("keys.count", "agrees", "note", rests, text, words)
    if reach > crack + HAIR:
        text = f"{keys.count} keys reach {ends}: the outer ones stand in sound metal beyond it."
        words = replace(words, remedy="Set the end keys at 0.8 to 0.9 of the half length.")
        return finding("keys.count", "falls_short", "query", rests, text, words)
    if reach < _END_REACH * crack - HAIR:
        text = f"{keys.count} keys reach {ends}: the ends, where the crack runs on, have none."
        words = replace(words, remedy="Set the end keys at 0.8 to 0.9 of the half length.")
        return finding("keys.count", "falls_short", "query", rests, text, words)
    text = f"{keys.count} keys reach {ends}."
    return finding("keys.count", "agrees", "note", rests, text, words)


# --- strength -----------------------------------------------------------------------------------


def _judge_strength(keys: Keys, advised: KeyDesign | None) -> Iterator[Item]:
    bench, rests = keys.bench, keys.bench.on_formula(_FORMULA)
    try:
        restored, limit = _restored(keys, keys.staggered)
    except OutOfRange as out:
        text = f"The keys cannot be reckoned with: {out}."
        words = Words(None, quantity(round(keys.wall.needed, 3), "1"), "Change what it names.")
        yield finding("keys.strength", "falls_short", "stop", rests, text, words)
        return
    words = Words(
        quantity(round(restored, 3), "1"),
        quantity(round(keys.wall.needed, 3), "1"),
        figures=_figures(keys),
    )
    text = (
        f"{keys.count} keys restore {restored:.0%} of the uncracked wall ({limit}); "
        f"{keys.wall.needed:.0%} is needed."
    )
    if restored + _ROUNDED < keys.wall.needed:
        yield _too_weak(keys, words, text, rests)
        return
    kind: Finding = "stronger" if restored > 1.25 * keys.wall.needed else "agrees"
    yield finding("keys.strength", kind, "note", rests, text, words)
    if keys.staggered and not keys.stated:
        text = "The plan does not say so; the keys are taken as long and short in turn, because "
        text += "the rules ask for it in brittle metal."
        on = bench.on_rules(c.rule.id for c in bench.asked_for("required_steps", "stagger_keys"))
        yield finding("keys.staggered", "missing", "note", on, text, Words(None, "yes"))


def _too_weak(keys: Keys, words: Words, text: str, rests: Rests) -> Item:
    severity: Severity = "stop"
    remedy = _remedy(keys)
    if not keys.staggered and not keys.stated:
        try:
            other, _ = _restored(keys, staggered=True)
        except OutOfRange:
            other = 0.0
        if other + _ROUNDED >= keys.wall.needed:
            severity = "query"
            remedy = f"Say that they are staggered (staggered: yes): then it is {other:.0%}."
    return finding(
        "keys.strength", "falls_short", severity, rests, text, replace(words, remedy=remedy)
    )


def _remedy(keys: Keys) -> str:
    """What would be enough, where anything of the family is."""
    wall = keys.wall
    try:
        found = engineering.design_keys(
            wall=wall.wall,
            tensile_strength=wall.strength,
            length=wall.length,
            shear_factor=wall.shear,
            restrained=wall.restrained,
            fraction=wall.needed,
        )
    except OutOfRange:
        return "No keys of the neutral family are enough here."
    if not isinstance(found, KeyDesign):
        return f"No keys of the neutral family are enough: {found.reason}."
    bench = keys.bench
    how = "staggered" if found.staggered else "in line"
    return (
        f"Enough would be {found.count} of {found.section.name}, {bench.mm(found.depth)} deep, "
        f"every {bench.mm(found.spacing)}, {how}."
    )


def _restored(keys: Keys, staggered: bool) -> tuple[float, str]:
    """What the keys restore, and what limits it.

    Raises:
        OutOfRange: nothing of the wall is left, or a measure makes no key.
    """
    wall, section = keys.wall, keys.section
    bite, lobes = _beside_pins(keys, staggered)
    capacity = engineering.key_capacity(
        section,
        min(keys.depth, wall.wall),
        wall.wall,
        wall.strength,
        shear_factor=wall.shear,
        restrained=wall.restrained,
        pin_bite=bite,
        lobes=lobes,
    )
    carried = capacity.force / (wall.wall * keys.widest * wall.strength)
    left = 1.0
    if keys.count > 1:
        left = engineering.net_section(section.lobe, keys.depth, keys.spacing, wall.wall, staggered)
    force = keys.bench.say(capacity.force, "force")
    if carried <= left:
        return carried, f"each carries {force}, limited by {_LIMIT_SAYS[capacity.governed_by]}"
    return left, f"the wall left between the lobes; each key carries {force}"


def _beside_pins(keys: Keys, staggered: bool) -> tuple[float, int]:
    """What the planned pins take from each flank of a neck, and the lobes a side they leave.

    Raises:
        OutOfRange: they leave no lobe.
    """
    row = seam_layout(keys.bench)
    if row is None:
        return 0.0, keys.section.lobes
    lobes = engineering.lobes_beyond_pins(keys.section, row.pin.diameter, staggered)
    reach = (keys.section.neck + row.pin.diameter) / 2
    bites = (reach - abs(pin.at - neck.at) for neck in row.necks for pin in row.layout.pins)
    return max((0.0, *bites)), lobes


def _figures(keys: Keys) -> tuple[Figure, ...]:
    bench = keys.bench
    return (
        *bench.figure("least wall", "true_wall"),
        *bench.figure("strength of the wall", "wall_strength"),
        *bench.figure("load across the crack", "line_load", low=False),
        *bench.figure("safety on the load", "load_safety_factor", low=False),
        *bench.figure("part of the strength wanted", "strength_wanted", low=False),
    )
