"""The frame of an exercise: part, place, contents and metal that are met together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from random import Random

from advisor.light_dataclass import dataclass
from advisor.practice.making.plausible import (
    FROZEN,
    METALS,
    PARTS,
    WET,
    Contents,
    Part,
    Place,
    Span,
)
from advisor.practice.making.wishes import Contradiction, Wish, Wishes


@dataclass(frozen=True)
class Frame:
    """Part, place, contents and the metal that the part is said to be cast in."""

    kind: str
    part: Part
    place: Place
    contents: Contents
    metal: str

    @property
    def hot(self) -> Span:
        """How hot the metal gets."""
        return (self.contents.hot[0], min(self.contents.hot[1], METALS[self.metal].hottest))

    @property
    def causes(self) -> tuple[str, ...]:
        """What may have cracked it there."""
        return tuple(cause for cause in self.place.causes if self._can_be(cause))

    def _can_be(self, cause: str) -> bool:
        fluid = self.contents.fluid
        if cause == "freezing":
            return fluid in FROZEN
        if cause == "corrosion":
            return fluid in WET
        return cause != "overheating" or self.contents.hot[1] >= 80

    @property
    def behind(self) -> tuple[str, ...]:
        """What may lie behind the wall."""
        solid_only = self.place.at in ("hub", "gear_tooth")
        behind = self.contents.behind
        return ("solid_metal", "open") if solid_only and self.contents.fluid == "none" else behind

    @property
    def hazards(self) -> frozenset[str]:
        """Hazards that may be met."""
        found = {"lead_paint", *self.part.hazards}
        fluid, pressure = self.contents.fluid, self.contents.pressure
        if fluid in ("fuel", "gas", "oil", "refrigerant"):
            found.add("fuel_or_gas_residue")
        if pressure and pressure[1] > 0.5:
            found.add("stored_pressure")
        if fluid == "oil" and pressure and pressure[1] > 30:
            found.add("high_pressure_oil")
        if self.part.years[0] < 1985 and self.contents.hot[1] > 100:
            found.add("asbestos_lagging")
        if fluid != "none" or self.kind in ("pump_housing", "other"):
            found.add("sealed_cavity")
        return frozenset(found)


@cache
def all_frames() -> tuple[Frame, ...]:
    """Every frame there is."""
    return tuple(_frames())


def _frames() -> Iterator[Frame]:
    for kind, part in PARTS.items():
        for place in part.places:
            for contents in place.holds:
                for metal in part.metals:
                    if contents.hot[0] <= METALS[metal].hottest:
                        yield Frame(kind, part, place, contents, metal)


def draw_frame(wishes: Wishes, random: Random) -> Frame:
    """One frame that fits the wishes; every kind of part is as likely as any other.

    Raises:
        Contradiction: there is none.
    """
    fitting: Iterable[Frame] = all_frames()
    for name, wish in wishes.items():
        check = _CHECKS.get(name)
        if check and not wish.unanswered:
            fitting = [frame for frame in fitting if check(frame, wish)]
    by_kind: dict[str, list[Frame]] = {}
    for frame in fitting:
        by_kind.setdefault(frame.kind, []).append(frame)
    if not by_kind:
        raise Contradiction
    of_kind = by_kind[random.choice(sorted(by_kind))]
    usual = [frame for frame in of_kind if frame.metal == frame.part.metals[0]]
    return random.choice(usual if usual and random.random() < 0.4 else of_kind)


def fits_frame(frame: Frame, name: str, wish: Wish) -> bool:
    """Whether a wish can come true in a frame."""
    check = _CHECKS.get(name)
    return check is None or wish.unanswered or check(frame, wish)


def fits_members(wish: Wish, members: Iterable[str]) -> bool:
    """Whether a set of words is what is wished for."""
    found = frozenset(members)
    return wish.unanswered or (
        found.isdisjoint(wish.without) and all(found & options for options in wish.include)
    )


def _can_include(wish: Wish, possible: Iterable[str]) -> bool:
    """Whether a wished set can be made up of possible words."""
    return all(options & frozenset(possible) - wish.without for options in wish.include)


def _one_allowed(wish: Wish, words: Iterable[str]) -> bool:
    return any(wish.allows(word) for word in words)


def _spanned(wish: Wish, span: Span | None) -> bool:
    """Whether a wished value can be met; where there is nothing to measure, no value is."""
    return wish.meets(*span) if span else not wish.known


_CHECKS: Mapping[str, Callable[[Frame, Wish], bool]] = {
    "part_kind": lambda frame, wish: wish.allows(frame.kind),
    "crack_location": lambda frame, wish: wish.allows(frame.place.at),
    "fluid": lambda frame, wish: wish.allows(frame.contents.fluid),
    "material": lambda frame, wish: wish.allows(frame.metal),
    "crack_cause": lambda frame, wish: _one_allowed(wish, frame.causes),
    "load": lambda frame, wish: _one_allowed(wish, frame.place.loads),
    "machined_face_role": lambda frame, wish: _one_allowed(wish, frame.place.faces),
    "behind_wall": lambda frame, wish: _one_allowed(wish, frame.behind),
    "failure_consequence": lambda frame, wish: _one_allowed(wish, frame.part.harm),
    "governed_by": lambda frame, wish: any(fits_members(wish, one) for one in frame.part.laws),
    "hazards": lambda frame, wish: _can_include(wish, {*frame.hazards, "none"}),
    "wall_thickness": lambda frame, wish: wish.meets(*frame.place.wall),
    "crack_length": lambda frame, wish: wish.meets(*frame.place.crack),
    "temperature_max": lambda frame, wish: wish.meets(*frame.hot),
    "temperature_min": lambda frame, wish: wish.meets(*frame.contents.cold),
    "cast_year": lambda frame, wish: wish.meets(*frame.part.years),
    "pressure": lambda frame, wish: _spanned(wish, frame.contents.pressure),
    "span": lambda frame, wish: _spanned(wish, frame.contents.pressure and frame.place.span),
    "rim_speed": lambda frame, wish: _spanned(wish, frame.part.rim_speed),
    "wall_radius": lambda frame, wish: _spanned(wish, frame.place.radius),
    "leak_tight": lambda frame, wish: wish.allows("yes" if frame.contents.pressure else "no"),
    "hole": lambda frame, wish: frame.place.bolted or wish.allows("none"),
}
"""How a wish narrows the frames down."""
