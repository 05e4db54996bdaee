"""Threaded pins: a neutral family, their seat in the wall, and the choice of one.

Lengths in mm. The family is computed from the open ISO metric thread sizes; the shoulder and the
spot-face follow a stated rule of practice, so a shop can overlay the dimensions of its own pins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import not_negative, positive
from advisor.light_dataclass import dataclass

# All practice: no published source is known for these limits.
LEAST_THREADS = 3.0  # below three full threads run-out and burr leave nothing
TAP_LEAD = 1.5  # pitches lost to the lead of the tap where it cannot run through
LEAST_SHOULDER_SEAT = 0.3  # mm; a shallower spot-face seats nothing
CLEAN_UP_DEPTH = 0.5  # mm; a spot-face on a rough face must reach clean metal
LEAST_DIAMETER_TO_WALL = 0.5  # in walls that are not heavy
LARGEST_DIAMETER_TO_WALL = 1.5
AIMED_DIAMETER_TO_WALL = 0.8  # in walls that are not heavy
HEAVY_WALL = 20.0  # mm; from here the depth of engagement carries, not the diameter
AIMED_DIAMETER_TO_HEAVY_WALL = 0.5
LARGEST_AIMED_DIAMETER = 30.0  # mm; beyond it drill and tap outgrow tools that are carried to a job
DEEPEST_HOLE = 3.0  # diameters; a deeper one wanders, and its tap chokes on chips
SHOULDER_HEIGHT_TO_DIAMETER = 0.5
SPOTFACE_TO_DIAMETER = 1.5
HIGH_PRESSURE = 1.0  # MPa

_TINY = 1e-9


@dataclass(frozen=True)
class Pin:
    """One size of pin: thread, shoulder and spot-face, all in mm."""

    thread: str
    diameter: float
    pitch: float
    shoulder_height: float
    spotface_diameter: float


@dataclass(frozen=True)
class Seat:
    """How deep one pin sits in one wall, all lengths in mm."""

    wall: float
    sagitta: float
    spotface_depth: float
    engagement: float
    engaged_threads: float
    pin_length: float
    shoulder: str  # "half_sunk", "raised" or "none"


@dataclass(frozen=True)
class PinChoice:
    """A pin and its seat in the wall it was chosen for."""

    pin: Pin
    seat: Seat
    tap_drill: float
    least_threads: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Place:
    """What the place of a pin asks of it; lengths in mm, run-out in pitches."""

    threads: float
    wall_radius: float | None
    corner_radius: float | None
    run_out: float


class PinRefused(OutOfRange):
    """No pin, or not this pin, suits the wall.

    Attributes:
        nearest: the pin that comes nearest to being feasible.
        nearest_wall: the wall [mm] in which it would be feasible.
    """

    def __init__(
        self, argument: str, value: object, limit: str, nearest: Pin, nearest_wall: float
    ) -> None:
        self.nearest = nearest
        self.nearest_wall = nearest_wall
        hint = f"nearest feasible: {nearest.thread} in a wall of {nearest_wall:.2f} mm"
        super().__init__(argument, value, limit, hint)


def _check_threads(threads: float) -> None:
    if not threads >= LEAST_THREADS or not math.isfinite(threads):
        raise OutOfRange("threads", threads, f"at least {LEAST_THREADS:g} full threads")


def _check_thread(diameter: float, pitch: float) -> None:
    positive("diameter", diameter, "mm")
    positive("pitch", pitch, "mm")
    if pitch >= diameter / 2:
        raise OutOfRange("pitch", pitch, f"less than half the diameter, {diameter / 2:g} mm")


def metric_designation(diameter: float, pitch: float) -> str:
    """Designation of an ISO metric thread, pitch always written.

    Args:
        diameter: major diameter [mm].
        pitch: [mm].

    Returns:
        for example ``M8x1.25``.

    Example:
        >>> metric_designation(8, 1.25), metric_designation(10, 1)
        ('M8x1.25', 'M10x1')

    Source: form of the designation, ISO 965-1 (memory).
    """
    return f"M{diameter:g}x{pitch:g}"


def tap_drill(diameter: float, pitch: float) -> float:
    """Drill for a metric thread.

    drill = d - P, to the nearest 0.1 mm, a tie to the even tenth.

    Args:
        diameter: major diameter d [mm].
        pitch: P [mm].

    Returns:
        drill diameter [mm]; about 77 % of thread.

    Validity: ISO metric 60 degree threads, P < d/2.

    Raises:
        OutOfRange: diameter or pitch not positive, or the pitch too coarse for the diameter.

    Example:
        >>> tap_drill(8, 1.25), tap_drill(12, 1.75)
        (6.8, 10.2)

    Source: the drill lists of the metric threads follow d - P (read2); every drill of the neutral
    family lies between D1 and D1max of 6H (computed).
    """
    _check_thread(diameter, pitch)
    return round(diameter - pitch, 1)


def neutral_pin(diameter: float, pitch: float) -> Pin:
    """A pin of the neutral family.

    shoulder height k = 0.5 d, spot-face diameter = 1.5 d.

    Args:
        diameter: major diameter d [mm].
        pitch: P [mm].

    Returns:
        the pin.

    Raises:
        OutOfRange: as :func:`tap_drill`.

    Example:
        >>> pin = neutral_pin(8, 1.25)
        >>> pin.thread, pin.shoulder_height, pin.spotface_diameter
        ('M8x1.25', 4.0, 12.0)

    Source: rule of the neutral family (practice).
    """
    _check_thread(diameter, pitch)
    return Pin(
        thread=metric_designation(diameter, pitch),
        diameter=float(diameter),
        pitch=float(pitch),
        shoulder_height=SHOULDER_HEIGHT_TO_DIAMETER * diameter,
        spotface_diameter=SPOTFACE_TO_DIAMETER * diameter,
    )


NEUTRAL_SIZES: tuple[tuple[float, float], ...] = (
    (5, 0.8),
    (6, 1),
    (8, 1.25),
    (8, 1),
    (10, 1.5),
    (10, 1),
    (12, 1.75),
    (12, 1.5),
    (16, 2),
    (16, 1.5),
    (20, 2.5),
    (20, 1.5),
    (24, 3),
    (24, 2),
    (30, 3.5),
    (30, 2),
    (36, 4),
    (36, 3),
    (42, 4.5),
    (42, 3),
    (48, 5),
    (48, 3),
)
NEUTRAL_FAMILY: tuple[Pin, ...] = tuple(neutral_pin(d, p) for d, p in NEUTRAL_SIZES)


def least_threads(pressure: float = 0.0, leak_tight: bool = False) -> float:
    """Full threads that a pin must have in the wall.

    n = 3, one more where the seam must hold pressure or be tight, one more above 1 MPa.

    Args:
        pressure: highest working gauge pressure [MPa].
        leak_tight: the seam must not weep.

    Returns:
        number of full threads [1].

    Validity: gauge pressure at or above zero; the floor of three is never lowered.

    Raises:
        OutOfRange: negative pressure.

    Example:
        >>> least_threads(), least_threads(0.3), least_threads(1.6)
        (3.0, 4.0, 5.0)

    Source: practice. The leak path is the thread spiral, so tightness asks for more turns.
    """
    not_negative("pressure", pressure, "MPa")
    extra = (1.0 if pressure > 0 or leak_tight else 0.0) + (1.0 if pressure > HIGH_PRESSURE else 0)
    return LEAST_THREADS + extra


def engaged_threads(
    wall: float, spotface_depth: float, pitch: float, run_out: float = 0.0
) -> float:
    """Full threads that a pin has in the wall.

    n = (t - h_sf)/P - run_out

    Args:
        wall: t [mm].
        spotface_depth: h_sf [mm].
        pitch: P [mm].
        run_out: pitches lost to the lead of the tap: 0 where the tap runs through the wall,
            ``TAP_LEAD`` (1.5) in a blind hole or where it cannot be run through.

    Returns:
        number of pitches engaged [1].

    Validity: spot-face within the wall, and something left after the run-out.

    Raises:
        OutOfRange: an argument out of its range or no thread left.

    Example:
        >>> engaged_threads(10, 2, 1.25)
        6.4
        >>> engaged_threads(10, 2, 1.25, run_out=TAP_LEAD)
        4.9

    Source: geometry (derived); the lead of 1.5 P is practice.
    """
    positive("wall", wall, "mm")
    positive("pitch", pitch, "mm")
    if not 0 <= spotface_depth < wall:
        raise OutOfRange(
            "spotface_depth", spotface_depth, f"at least 0 and less than the wall, {wall:g} mm"
        )
    not_negative("run_out", run_out, "pitches")
    threads = (wall - spotface_depth) / pitch - run_out
    if threads <= 0:
        raise OutOfRange(
            "wall",
            wall,
            f"more than {spotface_depth + run_out * pitch:.2f} mm, "
            "which spot-face and run-out take alone",
        )
    return threads


def sagitta(radius: float, diameter: float) -> float:
    """Depth that a flat seat sinks at one side of a curved surface.

    R - sqrt(R^2 - D^2/4)

    Args:
        radius: R of the surface, of a curved wall or of an inside corner [mm].
        diameter: D of the spot-face [mm].

    Returns:
        the sagitta [mm].

    Validity: D <= 2 R; a larger spot-face does not fit into the corner.

    Raises:
        OutOfRange: the spot-face is wider than the curve.

    Example:
        >>> round(sagitta(20, 12), 2), round(sagitta(10, 10), 2), round(sagitta(50, 12), 2)
        (0.92, 1.34, 0.36)

    Source: geometry of the circle (derived).
    """
    positive("radius", radius, "mm")
    positive("diameter", diameter, "mm")
    if diameter > 2 * radius:
        raise OutOfRange(
            "diameter", diameter, f"at most twice the radius of the surface, {2 * radius:g} mm"
        )
    return radius - math.sqrt(radius**2 - diameter**2 / 4)


def corner_loss(pin: Pin, corner_radius: float) -> float:
    """Wall lost under a pin that stands in an inside corner.

    The sagitta of its spot-face in the corner.

    Args:
        pin: the pin.
        corner_radius: R of the corner [mm].

    Returns:
        depth to take off the wall [mm].

    Validity: d <= R and spot-face <= 2 R; in a tighter corner no pin row is sensible.

    Raises:
        OutOfRange: the corner is tighter than that.

    Example:
        >>> round(corner_loss(neutral_pin(8, 1.25), 20), 2)
        0.92

    Source: geometry (derived); the limit R >= d is practice.
    """
    if pin.diameter > corner_radius + _TINY:
        raise OutOfRange(
            "corner_radius", corner_radius, f"at least the pin diameter, {pin.diameter:g} mm"
        )
    return sagitta(corner_radius, pin.spotface_diameter)


def spotface_depth(
    wall: float, pitch: float, shoulder_height: float, threads: float = LEAST_THREADS
) -> float:
    """Depth of the spot-face that still leaves enough thread.

    h_sf = min(k/2, t - n P); below 0.3 mm there is no shoulder at all and the depth is 0.

    Args:
        wall: t left for thread and spot-face [mm], sagitta and run-out already taken off.
        pitch: P [mm].
        shoulder_height: k [mm].
        threads: n, full threads to keep [1].

    Returns:
        h_sf [mm]; 0 means a plain pin, trimmed flush.

    Validity: t >= n P.

    Raises:
        OutOfRange: the wall does not hold n threads.

    Example:
        >>> spotface_depth(10, 1.25, 4), spotface_depth(5, 1.25, 4), spotface_depth(4, 1.25, 4)
        (2.0, 1.25, 0.0)

    Source: half of the shoulder below the surface, practice; the rest geometry (derived).
    """
    positive("wall", wall, "mm")
    positive("pitch", pitch, "mm")
    not_negative("shoulder_height", shoulder_height, "mm")
    room = wall - threads * pitch
    if room < -_TINY:
        raise OutOfRange(
            "wall", wall, f"at least {threads * pitch:.2f} mm for {threads:g} threads of {pitch:g}"
        )
    depth = min(shoulder_height / 2, room)
    return depth if depth >= LEAST_SHOULDER_SEAT - _TINY else 0.0


def least_wall(pin: Pin, threads: float = LEAST_THREADS, seat: float = CLEAN_UP_DEPTH) -> float:
    """Thinnest wall for a pin with a shoulder that still seats.

    t_min = n P + h_sf,min

    Args:
        pin: the pin.
        threads: n, full threads to keep [1].
        seat: least depth of the spot-face [mm].

    Returns:
        wall [mm].

    Example:
        >>> least_wall(neutral_pin(8, 1.25))
        4.25

    Source: practice (three threads, 0.5 mm to reach clean metal).
    """
    return threads * pin.pitch + seat


def seat_pin(
    pin: Pin,
    wall: float,
    *,
    threads: float = LEAST_THREADS,
    sagitta_loss: float = 0.0,
    run_out: float = 0.0,
) -> Seat:
    """Seat a given pin in a given wall.

    h_sf = min(k/2, t - sagitta - (n + run_out) P), Le = t - sagitta - h_sf, n = Le/P - run_out

    Args:
        pin: the pin.
        wall: t where the pin stands [mm].
        threads: full threads to keep [1], never below 3.
        sagitta_loss: depth taken off the wall by curvature [mm].
        run_out: pitches lost to the lead of the tap [1].

    Returns:
        the seat; ``pin_length`` is the length below the shoulder (or of the plain pin), which ends
        flush with the far face.

    Validity: the threads fit into the wall. The relation of diameter to wall is not judged here.

    Raises:
        PinRefused: too little wall for the threads.
        OutOfRange: fewer than three threads asked for, or an argument out of its range.

    Example:
        >>> seat = seat_pin(neutral_pin(8, 1.25), 10)
        >>> seat.spotface_depth, seat.engaged_threads, seat.pin_length, seat.shoulder
        (2.0, 6.4, 8.0, 'half_sunk')

    Source: as :func:`spotface_depth` and :func:`engaged_threads`.
    """
    positive("wall", wall, "mm")
    _check_threads(threads)
    not_negative("sagitta_loss", sagitta_loss, "mm")
    not_negative("run_out", run_out, "pitches")
    needed = (threads + run_out) * pin.pitch + sagitta_loss
    if wall < needed - _TINY:
        raise PinRefused(
            "wall",
            wall,
            f"at least {needed:.2f} mm for {threads:g} threads of {pin.thread}",
            pin,
            needed,
        )
    usable = wall - sagitta_loss
    depth = spotface_depth(usable, pin.pitch, pin.shoulder_height, threads + run_out)
    engagement = usable - depth
    return Seat(
        wall=wall,
        sagitta=sagitta_loss,
        spotface_depth=depth,
        engagement=engagement,
        engaged_threads=engaged_threads(usable, depth, pin.pitch, run_out),
        pin_length=engagement,
        shoulder=_shoulder(depth, pin),
    )


# Diameter against wall


def aimed_diameter(wall: float) -> float:
    """Diameter that a row is laid with where nothing else decides.

    d = min(0.8 t, max(16 mm, min(0.5 t, 30 mm)))

    With s/d and Le given, thread area and bearing per length of seam do not depend on d at all; a
    larger pin saves holes and swallows more wander, and takes more of the wall.

    Args:
        wall: t [mm].

    Returns:
        d [mm]: 0.8 t up to 20 mm, 16 mm up to 32 mm, 0.5 t up to 60 mm, then 30 mm.

    Validity: positive walls; an aim, :func:`diameter_limits` are the limits.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [aimed_diameter(t) for t in (10, 20, 30, 45, 80)]
        [8.0, 16.0, 16.0, 22.5, 30.0]

    Source: practice; areas per length of seam geometry (derived).
    """
    positive("wall", wall, "mm")
    largest_of_light = AIMED_DIAMETER_TO_WALL * HEAVY_WALL
    of_heavy = min(AIMED_DIAMETER_TO_HEAVY_WALL * wall, LARGEST_AIMED_DIAMETER)
    return min(AIMED_DIAMETER_TO_WALL * wall, max(largest_of_light, of_heavy))


def diameter_limits(wall: float) -> tuple[float, float]:
    """Smallest and largest diameter for a wall.

    max(0.5 min(t, 20 mm), t/3) <= d <= 1.5 t

    Args:
        wall: t [mm].

    Returns:
        both [mm]. Below the smallest the row takes many slender pins, and in a heavy wall holes
        deeper than three diameters; above the largest a pin takes more wall than it holds on to.

    Validity: positive walls.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> diameter_limits(10), diameter_limits(60)
        ((5.0, 15.0), (20.0, 90.0))

    Source: practice.
    """
    positive("wall", wall, "mm")
    smallest = max(LEAST_DIAMETER_TO_WALL * min(wall, HEAVY_WALL), wall / DEEPEST_HOLE)
    return smallest, LARGEST_DIAMETER_TO_WALL * wall


def _widest_wall(diameter: float) -> float:
    """Thickest wall for which a diameter is not too small."""
    if diameter < LEAST_DIAMETER_TO_WALL * HEAVY_WALL:
        return diameter / LEAST_DIAMETER_TO_WALL
    return DEEPEST_HOLE * diameter


def fit_pin(
    pin: Pin,
    wall: float,
    *,
    threads: float = LEAST_THREADS,
    wall_radius: float | None = None,
    corner_radius: float | None = None,
    run_out: float = 0.0,
) -> PinChoice:
    """Judge one pin against one wall: diameter, threads, spot-face, curvature.

    :func:`diameter_limits`, and the seat of :func:`seat_pin`.

    Args:
        pin: the pin.
        wall: least wall along the crack [mm].
        threads: full threads to keep [1].
        wall_radius: inner radius of a curved wall [mm], or None where flat.
        corner_radius: radius of an inside corner in which the pin stands [mm], or None.
        run_out: pitches lost to the lead of the tap [1].

    Returns:
        the choice with its seat.

    Validity: in a corner only pins with d <= R, and a spot-face no wider than 2 R.

    Raises:
        PinRefused: with the wall in which this pin would do.
        OutOfRange: an argument out of its range, or the curve too tight for the pin.

    Example:
        >>> fit_pin(neutral_pin(8, 1.25), 6).seat.engaged_threads
        3.2

    Source: limits of the diameter and R >= d, practice; the rest as :func:`seat_pin`.
    """
    positive("wall", wall, "mm")
    return _fit(pin, wall, _Place(threads, wall_radius, corner_radius, run_out))


def choose_pin(
    wall: float,
    *,
    threads: float = LEAST_THREADS,
    wall_radius: float | None = None,
    corner_radius: float | None = None,
    run_out: float = 0.0,
    least_diameter: float = 0.0,
    family: Sequence[Pin] = NEUTRAL_FAMILY,
) -> PinChoice:
    """Choose the pin for a wall.

    Diameter nearest :func:`aimed_diameter` inside :func:`diameter_limits`. At one diameter the
    coarsest pitch that lets half the shoulder sink is taken, otherwise the finest: a finer pitch
    before a smaller diameter.

    Args:
        wall: least wall along the crack [mm].
        threads: full threads to keep [1], see :func:`least_threads`.
        wall_radius: inner radius of a curved wall [mm], or None.
        corner_radius: radius of an inside corner [mm], or None.
        run_out: pitches lost to the lead of the tap [1].
        least_diameter: smallest diameter allowed, from wander or from a stop hole [mm].
        family: pins to choose from.

    Returns:
        the choice.

    Validity: walls that the family covers.

    Raises:
        PinRefused: no pin of the family suits; carries the nearest one and the wall it needs.
        OutOfRange: an argument out of its range.

    Example:
        >>> choose_pin(10).pin.thread, choose_pin(6).pin.thread, choose_pin(24).pin.thread
        ('M8x1.25', 'M5x0.8', 'M16x2')
        >>> choose_pin(2.5)
        Traceback (most recent call last):
        ...
        advisor.engineering.pins.PinRefused: wall = 2.5: at least 3.33 mm: M5x0.8 is thicker than \
1.5 x wall; nearest feasible: M5x0.8 in a wall of 3.33 mm

    Source: practice.
    """
    return pin_choices(
        wall,
        threads=threads,
        wall_radius=wall_radius,
        corner_radius=corner_radius,
        run_out=run_out,
        least_diameter=least_diameter,
        family=family,
    )[0]


def pin_choices(
    wall: float,
    *,
    threads: float = LEAST_THREADS,
    wall_radius: float | None = None,
    corner_radius: float | None = None,
    run_out: float = 0.0,
    least_diameter: float = 0.0,
    family: Sequence[Pin] = NEUTRAL_FAMILY,
) -> tuple[PinChoice, ...]:
    """All pins that suit a wall, one a diameter, in the order of :func:`choose_pin`.

    Args:
        wall: as :func:`choose_pin` [mm].
        threads: as there [1].
        wall_radius: as there [mm].
        corner_radius: as there [mm].
        run_out: as there [1].
        least_diameter: as there [mm].
        family: as there.

    Returns:
        the choices: nearest the aim first, then the smaller ones, then the larger ones.

    Validity: as :func:`choose_pin`.

    Raises:
        PinRefused, OutOfRange: as :func:`choose_pin`.

    Example:
        >>> [choice.pin.thread for choice in pin_choices(24)]
        ['M16x2', 'M12x1.75', 'M10x1.5', 'M20x2.5', 'M24x3', 'M30x3.5', 'M36x4']

    Source: practice.
    """
    positive("wall", wall, "mm")
    _check_threads(threads)
    if not family:
        raise OutOfRange("family", "empty", "at least one pin")
    usable = [pin for pin in family if pin.diameter >= least_diameter - _TINY]
    if not usable:
        largest = max(pin.diameter for pin in family)
        raise OutOfRange(
            "least_diameter", least_diameter, f"at most {largest:g} mm, the largest pin"
        )
    place = _Place(threads, wall_radius, corner_radius, run_out)
    found = []
    for diameter in _diameters_by_preference(usable, wall):
        fits = [
            choice
            for pin in _coarse_first(usable, diameter)
            if (choice := _fit_or_none(pin, wall, place)) is not None
        ]
        if fits:
            found.append(next((c for c in fits if c.seat.shoulder == "half_sunk"), fits[-1]))
    if not found:
        raise _refusal(usable, wall, place)
    return tuple(found)


def _fit(pin: Pin, wall: float, place: _Place) -> PinChoice:
    _check_threads(place.threads)
    smallest, largest = diameter_limits(wall)
    if pin.diameter > largest + _TINY:
        raise PinRefused(
            "wall",
            wall,
            f"at least {pin.diameter / LARGEST_DIAMETER_TO_WALL:.2f} mm: {pin.thread} is thicker "
            "than 1.5 x wall",
            pin,
            _wall_for(pin, place),
        )
    if pin.diameter < smallest - _TINY:
        widest = _widest_wall(pin.diameter)
        part = "0.5 x wall" if widest == 2 * pin.diameter else "a third of the wall"
        raise PinRefused(
            "wall",
            wall,
            f"at most {widest:.2f} mm: {pin.thread} is thinner than {part}",
            pin,
            widest,
        )
    seat = seat_pin(
        pin,
        wall,
        threads=place.threads,
        sagitta_loss=_curvature_loss(pin, place),
        run_out=place.run_out,
    )
    return PinChoice(
        pin=pin,
        seat=seat,
        tap_drill=tap_drill(pin.diameter, pin.pitch),
        least_threads=place.threads,
        notes=_notes(seat, place),
    )


def _fit_or_none(pin: Pin, wall: float, place: _Place) -> PinChoice | None:
    smallest, largest = diameter_limits(wall)
    if not smallest - _TINY <= pin.diameter <= largest + _TINY:
        return None
    try:
        return _fit(pin, wall, place)
    except OutOfRange:
        return None


def _refusal(pins: Sequence[Pin], wall: float, place: _Place) -> OutOfRange:
    """The refusal of the pin whose wall is nearest to the one at hand."""
    walls: list[tuple[float, Pin]] = []
    last: OutOfRange | None = None
    for pin in pins:
        try:
            needed = _wall_for(pin, place)
        except OutOfRange as error:
            last = error
            continue
        widest = _widest_wall(pin.diameter)
        if needed <= widest + _TINY:
            walls.append((needed if wall < needed else widest, pin))
    if not walls:
        return last or OutOfRange("threads", place.threads, "few enough for some pin of the family")
    nearest_wall, nearest = min(walls, key=lambda item: (abs(item[0] - wall), item[1].diameter))
    try:
        _fit(nearest, wall, place)
    except PinRefused as error:
        return PinRefused(error.argument, error.value, error.limit, nearest, nearest_wall)
    except OutOfRange as error:
        return error
    raise AssertionError("a pin that fits was refused")


def _wall_for(pin: Pin, place: _Place) -> float:
    threads = place.threads + place.run_out
    loss = _curvature_loss(pin, place)
    return max(pin.diameter / LARGEST_DIAMETER_TO_WALL, threads * pin.pitch + loss)


def _curvature_loss(pin: Pin, place: _Place) -> float:
    loss = 0.0
    if place.wall_radius is not None:
        loss += sagitta(place.wall_radius, pin.spotface_diameter)
    if place.corner_radius is not None:
        loss += corner_loss(pin, place.corner_radius)
    return loss


def _diameters_by_preference(pins: Sequence[Pin], wall: float) -> list[float]:
    """Nearest the aim first (as a ratio), then the smaller ones, then the larger ones."""
    aim = aimed_diameter(wall)
    sizes = sorted({pin.diameter for pin in pins})
    first = min(sizes, key=lambda d: (abs(math.log(d / aim)), d))
    smaller = [d for d in reversed(sizes) if d < first]
    larger = [d for d in sizes if d > first]
    return [first, *smaller, *larger]


def _coarse_first(pins: Sequence[Pin], diameter: float) -> list[Pin]:
    return sorted((p for p in pins if p.diameter == diameter), key=lambda p: -p.pitch)


def _shoulder(depth: float, pin: Pin) -> str:
    if depth == 0.0:
        return "none"
    return "half_sunk" if depth >= pin.shoulder_height / 2 - _TINY else "raised"


def _notes(seat: Seat, place: _Place) -> tuple[str, ...]:
    notes = []
    if seat.shoulder == "none":
        notes.append("no room for a shoulder: plain pin, trimmed flush")
    if seat.shoulder == "raised":
        notes.append("less than half of the shoulder sinks; dress it flush afterwards")
    if place.corner_radius is not None:
        notes.append("drill along the bisector of the corner")
    return tuple(notes)
