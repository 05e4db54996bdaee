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
from advisor.engineering.polyline import Polyline
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

    @property
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


@dataclass
class _Search:
    """Looks for pins to go with keys, and keeps the strongest match that it met."""

    demand: KeyDemand
    ground: RowGround
    order: Order
    best: _Match | None = None
    laid: dict[tuple[RowPlan, tuple[Neck, ...]], SeamLayout] = field(default_factory=dict)

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
        if _meets_bore(design, self.ground):
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
            laid = self._lay(plan, necks)
            if laid is None or laid.problems:
                continue
            bite = 0.0
            if self.order == "keys_first":
                left = min(place.neck for place in self._places(design, laid, plan))
                bite = (design.section.neck - left) / 2
                most = GREATEST_BITE_TO_NECK * design.section.neck + _TOUCHING
                if bite > most or _into_any_lobe(design, self.ground.line, laid, plan) > most:
                    continue
            return _Match(with_pins(design, self.demand, bite, lobes), choice, plan, laid)
        return None

    def _places(self, design: KeyDesign, laid: SeamLayout, plan: RowPlan) -> tuple[KeyPlace, ...]:
        return pins_at_keys(design, self.ground.line, laid, plan.pin.diameter, self.order)

    def _lay(self, plan: RowPlan, necks: tuple[Neck, ...]) -> SeamLayout | None:
        if (plan, necks) not in self.laid:
            if len(self.laid) >= _MOST_LAYOUTS:
                return None
            self.laid[plan, necks] = self.ground.lay(plan, necks)
        return self.laid[plan, necks]

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
    for n, at in enumerate(design.positions, start=1):
        x, y = line.position(at)
        heading = line.heading(at)
        pins, bites = [], 0.0
        far = _half_length(design, n) + design.section.lobe + diameter
        for pin in layout.pins:
            if abs(pin.x - x) > far or abs(pin.y - y) > far:
                continue
            xi, eta = _in_frame(pin.x - x, pin.y - y, heading)
            if abs(xi) > (design.section.lobe + diameter) / 2 + _TOUCHING:
                continue
            bite = (design.section.neck + diameter) / 2 - abs(xi)
            reaches = abs(eta) <= _half_length(design, n)
            if (reaches and bite > -_TOUCHING) or _into_lobes(
                design, n, xi, eta, diameter
            ) > -_TOUCHING:
                pins.append(pin.n)
            bites += max(bite, 0.0) if reaches else 0.0
        neck = design.section.neck - (bites if order == "keys_first" else 0.0)
        found.append(KeyPlace(n, at, x, y, heading, tuple(pins), neck))
    return tuple(found)


def _in_frame(dx: float, dy: float, heading: float) -> tuple[float, float]:
    """Along and square to the crack."""
    c, s = math.cos(math.radians(heading)), math.sin(math.radians(heading))
    return dx * c + dy * s, dy * c - dx * s


def _places_of(design: KeyDesign, n: int) -> tuple[float, ...]:
    return _lobes(design.section, design.staggered and n % 2 == 0)


@functools.lru_cache(maxsize=128)
def _lobes(section: KeySection, longer: bool) -> tuple[float, ...]:
    return lobe_places(section, longer=longer)


def _half_length(design: KeyDesign, n: int) -> float:
    return _places_of(design, n)[-1] + design.section.lobe / 2


def _into_lobes(design: KeyDesign, n: int, xi: float, eta: float, diameter: float) -> float:
    """How deep a pin reaches into the nearest lobe, negative where it stays clear."""
    reach = (design.section.lobe + diameter) / 2
    return max(reach - math.hypot(xi, abs(eta) - place) for place in _places_of(design, n))


def _into_any_lobe(design: KeyDesign, line: Polyline, layout: SeamLayout, plan: RowPlan) -> float:
    """How deep the pins reach into lobes at most."""
    deepest, reach = -math.inf, (design.section.lobe + plan.pin.diameter) / 2
    for n, at in enumerate(design.positions, start=1):
        x, y = line.position(at)
        heading = line.heading(at)
        for pin in layout.pins:
            xi, eta = _in_frame(pin.x - x, pin.y - y, heading)
            if abs(xi) < reach:
                deepest = max(deepest, _into_lobes(design, n, xi, eta, plan.pin.diameter))
    return deepest


def _meets_bore(design: KeyDesign, ground: RowGround) -> bool:
    """Whether a slot runs into a bore, or leaves too little metal beside one."""
    if not ground.bores:
        return False
    line = ground.line
    for n, at in enumerate(design.positions, start=1):
        x, y = line.position(at)
        heading = line.heading(at)
        for bore in ground.bores:
            xi, eta = _in_frame(bore.x - x, bore.y - y, heading)
            off = math.hypot(
                max(abs(xi) - design.section.lobe / 2, 0.0),
                max(abs(eta) - _half_length(design, n), 0.0),
            )
            if off < bore.diameter / 2 + LEAST_CLEAR_METAL:
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
