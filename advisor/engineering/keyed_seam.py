"""Keys and pins of one seam, designed together: what each leaves of the other.

Lengths in mm. In a wall that only has to carry, keys come first and the row of pins stops at the
flanks of their necks. In a wall that has to be tight, the whole row is set first, under the keys
as well, and the slots are cut through set pins; a neck is then whole, and a pin is not.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from typing import Literal

from advisor.engineering.crack_path import SOUND_END, Bore, CrackPoint, End, Neck
from advisor.engineering.keys import (
    LEAST_CLEAR_METAL,
    NEUTRAL_FAMILY,
    KeyDemand,
    KeyDesign,
    KeySection,
    KeysNotFeasible,
    arrangements,
    lobe_places,
    lobes_beyond_pins,
    moved_ends,
    too_weak,
    with_pins,
)
from advisor.engineering.layout import SeamLayout, lay_out, mm, name_pins, row_plan
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import PinChoice
from advisor.engineering.polyline import Point, Polyline
from advisor.engineering.rows import RowPlan
from advisor.engineering.seam import spacing_window
from advisor.light_dataclass import dataclass

Order = Literal["keys_first", "pins_first"]

# Practice: no published source is known for it.
GREATEST_BITE_TO_NECK = 0.1  # of a pin into each flank of a neck; what is left carries

_TINY = 1e-9
_ROUNDING = 1e-6
_TOUCHING = 1e-3  # mm
_NEARLY = 1.2  # more than moved ends add to what keys restore
_MOST_LAYOUTS = 60  # rows laid in search of one that goes with the keys


@dataclass(frozen=True)
class RowGround:
    """What a row of pins is laid in: crack, ends, bores, and the pins that suit the wall.

    ``choices`` stand in the order of preference; lengths in mm, run-out in pitches.
    """

    path: tuple[CrackPoint, ...]
    choices: tuple[PinChoice, ...]
    stray: float = 0.0
    leak_tight: bool = False
    run_out: float = 0.0
    wall_radius: float | None = None
    start: End = SOUND_END
    end: End = SOUND_END
    bores: tuple[Bore, ...] = ()

    @functools.cached_property
    def line(self) -> Polyline:
        """The crack in the plane."""
        return Polyline(tuple((point.x, point.y) for point in self.path))

    def plan(self, choice: PinChoice) -> RowPlan:
        """The row of one of the pins, at its preferred spacing.

        Raises:
            OutOfRange: the pin is too small for the wander.
        """
        return row_plan(
            choice.pin,
            wander=self.stray,
            leak_tight=self.leak_tight,
            threads=choice.least_threads,
            run_out=self.run_out,
            wall_radius=self.wall_radius,
        )

    def lay(self, plan: RowPlan, necks: Sequence[Neck] = ()) -> SeamLayout:
        """A row laid.

        Raises:
            OutOfRange: as :func:`advisor.engineering.layout.lay_out`.
        """
        return lay_out(
            self.path, plan, start=self.start, end=self.end, bores=self.bores, necks=necks
        )


@dataclass(frozen=True)
class KeyPlace:
    """One key where it lies across the crack.

    ``at`` is measured along the crack, ``heading`` is the direction of the crack there [deg]; the
    slot is cut square to it. ``pins`` touch the key or are cut by its slot; ``neck`` is what they
    leave of its neck.
    """

    n: int
    at: float
    x: float
    y: float
    heading: float
    pins: tuple[int, ...]
    neck: float


@dataclass(frozen=True)
class KeyedSeam:
    """Keys and the row of pins that goes with them; the keys reckoned with what is left."""

    keys: KeyDesign
    choice: PinChoice
    plan: RowPlan
    layout: SeamLayout
    order: Order
    places: tuple[KeyPlace, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class NotTogether:
    """No keys and pins that are enough go together; ``nearest`` is the best that does go."""

    reason: str
    nearest: KeyedSeam | None = None


def design_keyed_seam(
    demand: KeyDemand,
    ground: RowGround,
    order: Order,
    family: Sequence[KeySection] = NEUTRAL_FAMILY,
) -> KeyedSeam | NotTogether:
    """Choose keys and pins that fit together on one crack.

    keys first: d <= S - b + 2 o with o <= 0.1 b, and what the pins leave of the neck is counted;
    pins first: the neck is whole. Lobes that lie among the pins are not counted.

    Args:
        demand: wall, and what the keys have to restore.
        ground: crack and pins.
        order: keys driven before the pins are drilled, or slots cut through the set row.
        family: strips to choose from.

    Returns:
        the seam, or why there is none with the best that fits.

    Validity: as :func:`advisor.engineering.keys.design_keys` and
    :func:`advisor.engineering.layout.lay_out`.

    Raises:
        OutOfRange: as those.

    Example:
        >>> from advisor.engineering.crack_path import straight_path
        >>> from advisor.engineering.keys import key_demand
        >>> from advisor.engineering.pins import pin_choices
        >>> demand = key_demand(wall=30, tensile_strength=195, length=180, shear_factor=1.0,
        ...     restrained=False, fraction=0.5)
        >>> ground = RowGround(straight_path(180, 30), pin_choices(30))
        >>> seam = design_keyed_seam(demand, ground, "keys_first")
        >>> seam.keys.section.name, seam.keys.count, seam.choice.pin.thread
        ('neck_16', 6, 'M16x2')
        >>> seam.places[1].pins, round(seam.places[1].neck, 2)
        ((2, 3), 14.0)

    Source: statics and geometry (derived); the greatest bite is practice.
    """
    options = arrangements(demand, family=family)
    if isinstance(options, KeysNotFeasible):
        return NotTogether(f"{options.reason}; {options.nearest_hint}".rstrip("; "))
    search = _Search(demand, ground, order)
    found = search.first(sorted(options, key=lambda one: not one.ductile))
    if found is not None:
        return search.seam(found)
    strongest = search.best or search.strongest(options)
    if strongest is None:
        return NotTogether(_no_room(options, ground, order))
    best = search.seam(strongest)
    if not any(demand.met_by(one) for one in options):
        return NotTogether(too_weak(options, demand).reason, best)
    if best.keys.spacing > demand.largest_spacing:
        return NotTogether(
            f"keys that leave room for pins and bores stand {mm(best.keys.spacing)} mm apart, more "
            f"than {mm(demand.largest_spacing)} mm",
            best,
        )
    return NotTogether(
        f"beside the pins that fit, keys restore at most {best.keys.restored_fraction:.2f}, "
        f"not {demand.needed:.2f}",
        best,
    )


def _no_room(options: Sequence[KeyDesign], ground: RowGround, order: Order) -> str:
    if all(_meets_bore(one, ground) for one in options):
        return "every arrangement of keys runs into a bore"
    if order == "pins_first":
        return "the row of pins reaches all lobes of the keys"
    smallest = min(choice.pin.diameter for choice in ground.choices)
    return (
        f"keys and pins leave each other no room: pins here have {mm(smallest)} mm or more, and "
        "beside any keys they would cut into necks or lobes"
    )


@dataclass(frozen=True)
class _Match:
    """Keys, reckoned with what a laid row leaves of them."""

    keys: KeyDesign
    choice: PinChoice
    plan: RowPlan
    layout: SeamLayout


_Row = tuple[RowPlan, tuple[Neck, ...]]
_Set = tuple[KeySection, bool, tuple[float, ...]]  # keys as they lie: strip, staggered, places


@dataclass
class _Lie:
    """What lies where on one crack, found once: it is the same in a weaker and a stronger wall.

    ``rows`` are rows of pins laid, ``bites`` what they take from necks, ``at_bores`` whether keys
    run into a bore.
    """

    rows: dict[_Row, SeamLayout] = field(default_factory=dict)
    bites: dict[tuple[RowPlan, _Set], float | None] = field(default_factory=dict)
    at_bores: dict[_Set, bool] = field(default_factory=dict)


@functools.lru_cache(maxsize=8)
def _lie_on(_ground: RowGround, _order: Order) -> _Lie:
    return _Lie()


@dataclass
class _Search:
    """Looks for pins to go with keys, and keeps the strongest match that it met."""

    demand: KeyDemand
    ground: RowGround
    order: Order
    best: _Match | None = None
    laid: set[_Row] = field(default_factory=set)

    @functools.cached_property
    def lie(self) -> _Lie:
        """What was found on this crack before."""
        return _lie_on(self.ground, self.order)

    def first(self, options: Sequence[KeyDesign]) -> _Match | None:
        """The first that is enough; one that yields before the casting breaks, where there is."""
        weaker: _Match | None = None
        for design in options:
            if weaker is not None and not design.ductile:
                break
            for one in self._moved(design):
                if not self.demand.met_by(one):
                    continue
                for found in self._matches(one):
                    if not self.demand.met_by(found.keys):
                        continue
                    if found.keys.ductile:
                        return found
                    weaker = weaker or found
        return weaker

    def _moved(self, design: KeyDesign) -> Iterator[KeyDesign]:
        """Keys as they are set, and with their ends moved where pins ask for it."""
        yield design
        near = _NEARLY * design.restored_fraction >= self.demand.needed
        if self.order == "keys_first" and near:
            yield from moved_ends(design, self.demand)

    def strongest(self, options: Sequence[KeyDesign]) -> _Match | None:
        """The strongest that fits; keys that stand close enough before others."""
        far = self.demand.largest_spacing + _TINY
        for design in sorted(options, key=lambda one: (one.spacing > far, -one.restored_fraction)):
            for one in self._moved(design):
                found = next(self._matches(one), None)
                if found is not None:
                    return found
        return None

    def seam(self, found: _Match) -> KeyedSeam:
        """A match with the places of its keys."""
        places = self._places(found.keys, found.layout, found.plan)
        notes = _notes(found.keys, places, found.layout, found.plan, self.order)
        return KeyedSeam(
            found.keys, found.choice, found.plan, found.layout, self.order, places, notes
        )

    def _matches(self, design: KeyDesign) -> Iterator[_Match]:
        """What goes with keys, one pin after the other."""
        if self._at_bore(design):
            return
        for choice in self.ground.choices:
            lobes = lobes_beyond_pins(design.section, choice.pin.diameter, design.staggered)
            found = self._with(design, choice, lobes) if lobes else None
            if found is None:
                continue
            if self.best is None or self._rank(found) > self._rank(self.best):
                self.best = found
            yield found

    def _rank(self, found: _Match) -> tuple[bool, float]:
        close = found.keys.spacing <= self.demand.largest_spacing + _TINY
        return close, found.keys.restored_fraction

    def _with(self, design: KeyDesign, choice: PinChoice, lobes: int) -> _Match | None:
        for plan, necks in self._rows(design, choice):
            if (plan, necks) not in self.laid and len(self.laid) >= _MOST_LAYOUTS:
                continue
            self.laid.add((plan, necks))
            known, key = self.lie.bites, (plan, _set_of(design))
            if key not in known:
                known[key] = self._bite(design, plan, self._lay(plan, necks))
            bite = known[key]
            if bite is not None:
                keys = with_pins(design, self.demand, bite, lobes)
                return _Match(keys, choice, plan, self._lay(plan, necks))
        return None

    def _bite(self, design: KeyDesign, plan: RowPlan, laid: SeamLayout) -> float | None:
        """How deep the pins of a row cut into each flank of a neck; None where the row won't do."""
        if laid.problems:
            return None
        if self.order == "pins_first":
            return 0.0
        left = min(place.neck for place in self._places(design, laid, plan))
        bite = (design.section.neck - left) / 2
        most = GREATEST_BITE_TO_NECK * design.section.neck + _TOUCHING
        if bite > most or _into_any_lobe(design, self.ground.line, laid, plan) > most:
            return None
        return bite

    def _at_bore(self, design: KeyDesign) -> bool:
        if not self.ground.bores:
            return False
        known, key = self.lie.at_bores, _set_of(design)
        if key not in known:
            known[key] = _meets_bore(design, self.ground)
        return known[key]

    def _places(self, design: KeyDesign, laid: SeamLayout, plan: RowPlan) -> tuple[KeyPlace, ...]:
        return pins_at_keys(design, self.ground.line, laid, plan.pin.diameter, self.order)

    def _lay(self, plan: RowPlan, necks: tuple[Neck, ...]) -> SeamLayout:
        known = self.lie.rows
        if (plan, necks) not in known:
            known[plan, necks] = self.ground.lay(plan, necks)
        return known[plan, necks]

    def _rows(
        self, design: KeyDesign, choice: PinChoice
    ) -> Iterator[tuple[RowPlan, tuple[Neck, ...]]]:
        """Rows worth laying: as preferred, then as wide as the pin allows."""
        try:
            plan = self.ground.plan(choice)
        except OutOfRange:
            return
        if self.order == "pins_first":
            yield plan, ()
            return
        if _lobes_too_near(design.section, choice.pin.diameter):
            return
        necks = necks_of(design.section, design.positions)
        window = spacing_window(choice.pin.diameter, self.ground.stray, 0.0, self.ground.leak_tight)
        for largest in dict.fromkeys((plan.largest_spacing, window.largest)):
            wider = replace(plan, largest_spacing=largest)
            if design.count == 1 or _divides(design, wider):
                yield wider, necks


def _set_of(design: KeyDesign) -> _Set:
    return design.section, design.staggered, design.positions


def necks_of(section: KeySection, positions: Sequence[float]) -> tuple[Neck, ...]:
    """The necks of keys, as a row of pins meets them.

    Args:
        section: the strip.
        positions: where the keys stand along the crack [mm].

    Returns:
        the necks, each with the most that a pin may cut into its flanks.

    Validity: keys driven before the pins are drilled.

    Example:
        >>> from advisor.engineering.keys import neutral_key
        >>> necks_of(neutral_key(10), [30.0])
        (Neck(at=30.0, width=10, bite=1.0),)

    Source: practice.
    """
    bite = GREATEST_BITE_TO_NECK * section.neck
    return tuple(Neck(at, section.neck, bite) for at in positions)


def _lobes_too_near(section: KeySection, diameter: float) -> bool:
    """Whether a pin that touches the neck cuts too deep into the lobe beside it."""
    off = math.hypot((section.neck + diameter) / 2, lobe_places(section)[0])
    into = (section.lobe + diameter) / 2 - off
    return into > GREATEST_BITE_TO_NECK * section.neck + _TOUCHING


def _divides(design: KeyDesign, plan: RowPlan) -> bool:
    """Whether the wall between two necks can be divided into pins of this diameter."""
    touching = design.spacing - design.section.neck - plan.pin.diameter
    widest = touching + 2 * GREATEST_BITE_TO_NECK * design.section.neck
    if touching <= _TINY:
        return widest >= -_TINY
    least, most = plan.least_spacing, plan.largest_spacing
    return any(
        max(touching, parts * least) <= min(widest, parts * most) + _ROUNDING
        for parts in range(1, math.floor(widest / least + _ROUNDING) + 1)
    )


# What stands where


def pins_at_keys(
    design: KeyDesign, line: Polyline, layout: SeamLayout, diameter: float, order: Order
) -> tuple[KeyPlace, ...]:
    """The keys along a crack, each with the pins that touch it or that its slot cuts.

    neck left, keys first: b - sum of the bites (b + d)/2 - |xi|; pins first: b

    Args:
        design: the keys.
        line: the crack.
        layout: the row.
        diameter: d of its pins [mm].
        order: which goes in first.

    Returns:
        the places in their order.

    Validity: pins and keys on one crack.

    Raises:
        OutOfRange: diameter not positive.

    Example:
        >>> from advisor.engineering.crack_path import straight_path
        >>> from advisor.engineering.keys import design_keys
        >>> from advisor.engineering.pins import neutral_pin
        >>> keys = design_keys(wall=12, tensile_strength=220, length=120, shear_factor=1.0,
        ...     restrained=True, fraction=0.35)
        >>> layout = lay_out(straight_path(120, 12), row_plan(neutral_pin(10, 1.5)))
        >>> line = Polyline(((0.0, 0.0), (120.0, 0.0)))
        >>> places = pins_at_keys(keys, line, layout, 10, "pins_first")
        >>> round(places[0].at, 1), places[0].pins, places[0].neck
        (10.0, (2, 3), 6.0)

    Source: geometry (derived).
    """
    found = []
    for slot in _slots(design, line):
        pins, bites = [], 0.0
        for pin in layout.pins:
            spot = slot.frame(pin.x, pin.y, (design.section.lobe + diameter) / 2 + _TOUCHING)
            if spot is None:
                continue
            bite = (design.section.neck + diameter) / 2 - abs(spot[0])
            reaches = abs(spot[1]) <= slot.half_length
            if (reaches and bite > -_TOUCHING) or slot.into_lobes(spot, diameter) > -_TOUCHING:
                pins.append(pin.n)
            bites += max(bite, 0.0) if reaches else 0.0
        neck = design.section.neck - (bites if order == "keys_first" else 0.0)
        found.append(KeyPlace(slot.n, slot.at, slot.x, slot.y, slot.heading, tuple(pins), neck))
    return tuple(found)


@dataclass(frozen=True)
class _Slot:
    """The slot of one key where it lies across the crack, which runs at ``heading`` there [deg].

    ``lobes`` are the places of its lobes, from the crack outward.
    """

    n: int
    at: float
    x: float
    y: float
    heading: float
    lobe: float
    lobes: tuple[float, ...]

    @functools.cached_property
    def half_length(self) -> float:
        """From the crack to either end."""
        return self.lobes[-1] + self.lobe / 2

    @functools.cached_property
    def _along(self) -> Point:
        return math.cos(math.radians(self.heading)), math.sin(math.radians(self.heading))

    def frame(self, x: float, y: float, near: float) -> Point | None:
        """A point along and square to the crack; None if it is further along than ``near``."""
        c, s = self._along
        dx, dy = x - self.x, y - self.y
        xi = dx * c + dy * s
        return None if abs(xi) > near else (xi, dy * c - dx * s)

    def into_lobes(self, spot: Point, diameter: float) -> float:
        """How deep a pin reaches into the nearest lobe, negative where it stays clear."""
        reach, off = (self.lobe + diameter) / 2, abs(spot[1])
        return max([reach - math.hypot(spot[0], off - place) for place in self.lobes])

    def off(self, spot: Point) -> float:
        """How far a point lies outside the slot, reckoned as a rectangle."""
        beside, beyond = abs(spot[0]) - self.lobe / 2, abs(spot[1]) - self.half_length
        return math.hypot(max(beside, 0.0), max(beyond, 0.0))


def _slots(design: KeyDesign, line: Polyline) -> Iterator[_Slot]:
    section = design.section
    for n, at in enumerate(design.positions, start=1):
        lobes = _lobes(section, design.staggered and n % 2 == 0)
        yield _Slot(n, at, *line.position(at), line.heading(at), section.lobe, lobes)


@functools.lru_cache(maxsize=128)
def _lobes(section: KeySection, longer: bool) -> tuple[float, ...]:
    return lobe_places(section, longer=longer)


def _into_any_lobe(design: KeyDesign, line: Polyline, layout: SeamLayout, plan: RowPlan) -> float:
    """How deep the pins reach into lobes at most."""
    deepest, diameter = -math.inf, plan.pin.diameter
    reach = (design.section.lobe + diameter) / 2
    for slot in _slots(design, line):
        for pin in layout.pins:
            spot = slot.frame(pin.x, pin.y, reach)
            if spot is not None:
                deepest = max(deepest, slot.into_lobes(spot, diameter))
    return deepest


def _meets_bore(design: KeyDesign, ground: RowGround) -> bool:
    """Whether a slot runs into a bore, or leaves too little metal beside one."""
    if not ground.bores:
        return False
    for slot in _slots(design, ground.line):
        for bore in ground.bores:
            spot = slot.frame(bore.x, bore.y, math.inf)
            if spot is not None and slot.off(spot) < bore.diameter / 2 + LEAST_CLEAR_METAL:
                return True
    return False


def _notes(
    keys: KeyDesign,
    places: Sequence[KeyPlace],
    layout: SeamLayout,
    plan: RowPlan,
    order: Order,
) -> tuple[str, ...]:
    said = []
    if order == "keys_first":
        said.append("keys first: the row of pins stops at the flanks of their necks")
        if keys.pin_bite > _TOUCHING:
            said.append(
                f"pins cut into the necks of keys; {mm(keys.neck_left)} mm of "
                f"{mm(keys.section.neck)} mm is left and counted"
            )
    else:
        cut = {n for place in places for n in place.pins}
        walls = [pin.wall for pin in layout.pins if pin.n in cut]
        threads = (min(walls) - keys.depth) / plan.pin.pitch - plan.run_out if walls else 0.0
        said.append(
            f"{name_pins(sorted(cut))}: the slots of the keys are cut through them; "
            f"{max(threads, 0.0):.1f} threads are left to seal below the slots"
        )
    if keys.lobes_counted < keys.section.lobes:
        lost = keys.section.lobes - keys.lobes_counted
        which = "the lobe" if lost == 1 else f"{lost} lobes"
        said.append(f"{which} next to the crack, each side of a key: among pins, not counted")
    return tuple(said)
