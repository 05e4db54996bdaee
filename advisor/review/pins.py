"""The pins as planned: threads in this wall at this spot-face, overlap, count on this crack."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.formulas import Missing
from advisor.advice.model import Quantity
from advisor.advice.phrases import quantity
from advisor.advice.seam import BLIND_RUN_OUT, SeamDesign, crack_path, ends
from advisor.engineering.crack_path import Bore, CrackLine, CrackPoint, Neck
from advisor.engineering.designations import Designation
from advisor.engineering.layout import SeamLayout, lay_out
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import (
    CLEAN_UP_DEPTH,
    Pin,
    diameter_limits,
    neutral_pin,
    sagitta,
    seat_pin,
)
from advisor.engineering.rows import RowPlan
from advisor.engineering.seam import (
    LEAST_SPACING_TO_DIAMETER,
    SpacingWindow,
    chord,
    neck_spacing,
    spacing_window,
)
from advisor.light_dataclass import dataclass
from advisor.review.bench import HAIR, ON_THE_PLAN, Bench, Rests, Words, finding, length
from advisor.review.key_sections import planned_necks
from advisor.review.model import Figure, Finding, Item, Severity
from advisor.review.pin_bores import planned_bores
from advisor.review.plan import PlannedPin

_ROUNDED = 0.02  # threads; what rounding a spot-face to the hundredth of a millimetre moves


@dataclass(frozen=True)
class Ground:
    """What the case asks of any pin: lengths in mm.

    Attributes:
        path: the crack with its walls.
        wall: least wall along it.
        loss: depth that curvature takes off under this pin's spot-face.
        run_out: pitches lost to the lead of the tap.
        threads: fewest full threads.
        stray: how far crack and drill may wander from the line together.
        tight: the seam must not weep.
    """

    path: tuple[CrackPoint, ...]
    wall: float
    loss: float
    run_out: float
    threads: float
    stray: float
    tight: bool


@dataclass(frozen=True)
class Row:
    """The planned pin on its ground, with the depth of spot-face that is planned or taken."""

    bench: Bench
    planned: PlannedPin
    pin: Pin
    ground: Ground
    depth: float

    @property
    def name(self) -> str:
        """The pin as the plan writes it."""
        return self.planned.thread.text if self.planned.thread else self.pin.thread

    @property
    def usable(self) -> float:
        """Least wall less what curvature takes."""
        return self.ground.wall - self.ground.loss

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The numbers that every finding on this row rests on."""
        bench = self.bench
        return (
            Figure(
                name="least wall along the crack",
                value=quantity(round(self.ground.wall, 2), "mm"),
                sources=bench.trial.facts["true_wall"].sources,
            ),
            *bench.figure("full threads asked for", "least_engaged_threads", low=False),
        )


def judge_pins(bench: Bench) -> Iterator[Item]:
    """All that can be said of the pins."""
    planned = bench.plan.pin
    if not bench.stitched:
        if planned is not None and bench.method is not None:
            text = f"Pins are planned, and {bench.method.replace('_', ' ')} sets none."
            yield finding("pin", "contradicts", "query", ON_THE_PLAN, text, _REMOVE)
        return
    if planned is None:
        if bench.plan.method is not None:
            yield _silent(bench)
        return
    try:
        row = _row(bench, planned)
    except Missing as missing:
        yield _not_judged(bench, f"{missing.fact.replace('_', ' ')} is not known")
        return
    except OutOfRange as limit:
        yield _too_large(bench, planned, limit)
        return
    if row is None:
        yield _no_thread(bench)
        return
    yield from _judge_row(row)


_REMOVE = Words(remedy="Leave the pins out, or name a method that stitches.")


def _judge_row(row: Row) -> Iterator[Item]:
    yield _judge_threads(row)
    yield from _judge_diameter(row)
    yield from _judge_spotface(row)
    window = _window(row)
    if isinstance(window, Item):
        yield from _judge_length(row, None)
        yield window
        return
    laid = _lay(row, _wanted_spacing(row, window), window)
    yield from _judge_length(row, laid)
    yield _judge_pitch(row, window)
    yield from _judge_layout(row, window, laid)


def _advised(bench: Bench) -> SeamDesign | None:
    seam = bench.trial.objects.get("seam")
    return seam if isinstance(seam, SeamDesign) else None


def _silent(bench: Bench) -> Item:
    seam = _advised(bench)
    advised = seam.choice.pin.thread if seam else None
    text = "The plan stitches and says nothing of the pins."
    remedy = f"State thread, pitch, count and spot-face, for example {advised}." if advised else ""
    rests = bench.on_formula("seam")
    return finding("pin", "missing", "query", rests, text, Words(None, advised, remedy))


def _no_thread(bench: Bench) -> Item:
    seam = _advised(bench)
    advised = seam.choice.pin.thread if seam else None
    text = "The plan does not name the thread of the pins, so none of their sizes is judged."
    words = Words(None, advised, "Name the thread, such as M8x1.25.")
    return finding("pin.thread", "missing", "query", bench.on_formula("seam"), text, words)


def _not_judged(bench: Bench, why: str) -> Item:
    text = f"The pins cannot be judged: {why}."
    words = Words(remedy="Measure or find out what is missing, and write it in the case.")
    return finding("pin", "not_judged", "query", bench.on_formula("seam"), text, words)


def _too_large(bench: Bench, planned: PlannedPin, limit: OutOfRange) -> Item:
    seam = _advised(bench)
    name = planned.thread.text if planned.thread else None
    text = f"{name} does not go into this wall: {limit}."
    words = Words(name, seam.choice.pin.thread if seam else None, "Take a smaller pin.")
    return finding("pin.thread", "falls_short", "stop", bench.on_formula("seam"), text, words)


# --- the ground ---------------------------------------------------------------------------------


def pin_of(thread: Designation, text: str) -> Pin:
    """A pin of the neutral proportions with a thread that somebody named."""
    return replace(neutral_pin(thread.diameter_mm, thread.pitch_mm), thread=text)


def _row(bench: Bench, planned: PlannedPin) -> Row | None:
    if planned.thread is None:
        return None
    pin = pin_of(planned.thread.read, planned.thread.text)
    ground = ground_under(bench, pin)
    return Row(bench, planned, pin, ground, _depth(planned, pin, ground))


def ground_under(bench: Bench, pin: Pin) -> Ground:
    """What the case asks of this pin.

    Raises:
        Missing: an answer that is needed is not there.
        OutOfRange: the spot-face is wider than the curve of the wall.
    """
    given = bench.given
    path = crack_path(given, given.low("true_wall"))
    curved = given.low("wall_radius") if given.known("wall_radius") else None
    blind = given.word_or("behind_wall", "solid_metal") == "solid_metal"
    return Ground(
        path=path,
        wall=min(point.wall for point in path),
        loss=0.0 if curved is None else sagitta(curved, pin.spotface_diameter),
        run_out=BLIND_RUN_OUT if blind else 0.0,
        threads=given.high("least_engaged_threads"),
        stray=given.high("wander_allowance"),
        tight=given.word_or("tightness", "pressure_tight") in ("tight", "pressure_tight"),
    )


def _depth(planned: PlannedPin, pin: Pin, ground: Ground) -> float:
    """The spot-face as planned; where the plan is silent, the one that keeps the threads."""
    if planned.spotface_depth is not None:
        return planned.spotface_depth
    try:
        seat = seat_pin(
            pin,
            ground.wall,
            threads=ground.threads,
            sagitta_loss=ground.loss,
            run_out=ground.run_out,
        )
    except OutOfRange:
        return 0.0
    return seat.spotface_depth


# --- threads ------------------------------------------------------------------------------------


def _engaged(row: Row, *, reach: float | None = None) -> float:
    """Full threads in the least wall; ``reach`` is the length of pin where that is less [mm]."""
    held = row.usable - row.depth
    if reach is not None:
        held = min(held, reach)
    return held / row.pin.pitch - row.ground.run_out


def _judge_threads(row: Row) -> Item:
    bench, asked = row.bench, row.ground.threads
    reach = row.planned.length
    threads = _engaged(row, reach=None if reach is None else reach + HAIR)
    rests = bench.on_fact("least_engaged_threads")
    seam = _advised(bench)
    words = Words(
        quantity(round(threads, 2), "1"),
        quantity(asked, "1"),
        figures=(
            *row.figures,
            Figure(name="threads engaged", value=quantity(round(threads, 2), "1")),
        ),
    )
    text = f"{row.name} has {_threads_sum(row, threads)}; {asked:g} are asked for."
    if threads + _ROUNDED < asked:
        remedy = _more_threads(row, seam)
        why = f" {bench.because(rests.rule)}" if rests.basis == "rule" else ""
        return finding(
            "pin.threads", "falls_short", "stop", rests, text + why, replace(words, remedy=remedy)
        )
    kind: Finding = "stronger" if threads >= asked + 1 else "agrees"
    return finding("pin.threads", kind, "note", rests, text, words)


def _more_threads(row: Row, seam: SeamDesign | None) -> str:
    """What would give threads enough: less spot-face, or another pin."""
    deepest = row.usable - (row.ground.threads + row.ground.run_out) * row.pin.pitch
    if deepest >= 0:
        most = row.bench.mm(min(deepest, row.pin.shoulder_height / 2))
        return f"Sink the spot-face no deeper than {most}, and take the pin through the wall."
    other = f", such as {seam.choice.pin.thread}" if seam else ""
    return f"Take a pin of finer pitch{other}, or do not stitch here."


def _threads_sum(row: Row, threads: float) -> str:
    """The count of threads as a sum that can be checked by hand."""
    bench, reach = row.bench, row.planned.length
    held = row.usable - row.depth
    lead = f" less {row.ground.run_out:g} for the lead of the tap" if row.ground.run_out else ""
    if reach is not None and reach + HAIR < held:
        inside = bench.mm(reach)
    else:
        curve = f" - {bench.mm(row.ground.loss)} of curvature" if row.ground.loss else ""
        inside = f"({bench.mm(row.ground.wall)}{curve} - {bench.mm(row.depth)} of spot-face)"
    return f"{inside} / {bench.say(row.pin.pitch)}{lead} = {threads:.2f} full threads"


def _judge_diameter(row: Row) -> Iterator[Item]:
    bench, seam = row.bench, _advised(row.bench)
    d, wall = row.pin.diameter, row.ground.wall
    smallest, largest = (limit / wall for limit in diameter_limits(wall))
    advised = seam.choice.pin.thread if seam else None
    words = Words(row.name, advised, figures=row.figures)
    rests = bench.on_formula("seam")
    smaller = f"Take a pin of at most {bench.mm(largest * wall)}."
    larger = f"Take a pin of at least {bench.mm(smallest * wall)}."
    ratio = f"{row.name} is {d / wall:.2f} times the least wall of {bench.mm(wall)}"
    if d > largest * wall + HAIR:
        text = f"{ratio}; above {largest:.2g} it takes more wall than it holds on to."
        yield finding(
            "pin.thread", "falls_short", "query", rests, text, replace(words, remedy=smaller)
        )
    elif d < smallest * wall - HAIR:
        text = f"{ratio}; below {smallest:.2g} the row is slender and takes many holes."
        yield finding(
            "pin.thread", "falls_short", "query", rests, text, replace(words, remedy=larger)
        )
    elif advised is not None and not _same_thread(seam, row):
        text = f"{ratio}, within {smallest:.2g} to {largest:.2g}. {_compare_pins(row, seam)}"
        yield finding("pin.thread", "agrees", "note", rests, text, words)
    else:
        yield finding("pin.thread", "agrees", "note", rests, f"{ratio}.", words)


def _same_thread(seam: SeamDesign | None, row: Row) -> bool:
    return seam is not None and (seam.choice.pin.diameter, seam.choice.pin.pitch) == (
        row.pin.diameter,
        row.pin.pitch,
    )


def _compare_pins(row: Row, seam: SeamDesign | None) -> str:
    if seam is None:
        return ""
    other = seam.choice.pin
    if row.pin.diameter > other.diameter:
        return f"Larger than {other.thread}: fewer holes, but each takes more of the wall."
    if row.pin.diameter < other.diameter:
        return f"Smaller than {other.thread}: more holes and more passes, less wall in each."
    finer = row.pin.pitch < other.pitch
    return (
        f"Finer than {other.thread}: more threads, each shallower and easier torn."
        if finer
        else f"Coarser than {other.thread}: stouter threads, but fewer of them."
    )


# --- spot-face and length -----------------------------------------------------------------------


def _judge_spotface(row: Row) -> Iterator[Item]:
    bench, depth, seam = row.bench, row.planned.spotface_depth, _advised(row.bench)
    rests = bench.on_formula("seam")
    advised = length(seam.choice.seat.spotface_depth) if seam else None
    words = Words(length(depth), advised)
    if depth is None:
        text = f"The plan names no spot-face; {bench.mm(row.depth)} is taken, the threads allow it."
        yield finding("pin.spotface_depth", "missing", "note", rests, text, words)
    elif depth > row.pin.shoulder_height + HAIR:
        text = (
            f"A spot-face of {bench.mm(depth)} sinks the whole shoulder of "
            f"{bench.mm(row.pin.shoulder_height)} below the face: nothing is left to dress."
        )
        remedy = f"Half the shoulder, {bench.mm(row.pin.shoulder_height / 2)}, is enough."
        yield finding(
            "pin.spotface_depth", "falls_short", "query", rests, text, replace(words, remedy=remedy)
        )
    elif depth < CLEAN_UP_DEPTH - HAIR and _rough(row):
        text = (
            f"A spot-face of {bench.mm(depth)} hardly reaches clean metal on a rough face; "
            f"{bench.mm(CLEAN_UP_DEPTH)} does. Dress the face flat first."
        )
        yield finding("pin.spotface_depth", "agrees", "note", rests, text, words)
    else:
        text = f"A spot-face of {bench.mm(depth)} seats the shoulder and leaves the threads above."
        yield finding("pin.spotface_depth", "agrees", "note", rests, text, words)


def _rough(row: Row) -> bool:
    return any(point.surface == "rough" for point in row.ground.path)


def _judge_length(row: Row, laid: SeamLayout | None) -> Iterator[Item]:
    """The longest pin that the walls take, against the one planned."""
    bench, planned = row.bench, row.planned.length
    rests = bench.on_formula("seam")
    walls = [one.wall for one in laid.pins] if laid else [one.wall for one in row.ground.path]
    thickest = max(walls) - row.ground.loss - row.depth
    thinnest = row.usable - row.depth
    words = Words(length(planned), length(max(thickest, 0.0)), figures=row.figures[:1])
    if thickest <= 0:
        return  # the spot-face goes through; told where the threads are counted
    if planned is None:
        text = f"The plan names no length; {bench.mm(thickest)} reaches through the thickest wall."
        yield finding("pin.length", "missing", "note", rests, text, words)
    elif planned < thinnest - HAIR:
        text = (
            f"A pin of {bench.mm(planned)} ends {bench.mm(thinnest - planned)} short of the far "
            "face, and behind it the crack stays open."
        )
        remedy = f"Take pins of {bench.mm(thickest)} and cut each to its own wall."
        yield finding(
            "pin.length", "falls_short", "query", rests, text, replace(words, remedy=remedy)
        )
    elif planned < thickest - HAIR:
        text = (
            f"A pin of {bench.mm(planned)} reaches through the thin places only; the thickest "
            f"wall takes {bench.mm(thickest)}."
        )
        remedy = f"Have pins of {bench.mm(thickest)} for the thick places."
        yield finding(
            "pin.length", "falls_short", "query", rests, text, replace(words, remedy=remedy)
        )
    else:
        yield finding("pin.length", *_long_enough(row, planned, thickest), words)


def _long_enough(row: Row, planned: float, thickest: float) -> tuple[Finding, Severity, Rests, str]:
    bench, rests = row.bench, row.bench.on_formula("seam")
    if planned <= thickest + HAIR:
        text = f"{bench.mm(planned)} reaches through the wall below the spot-face."
        return "agrees", "note", rests, text
    over = bench.mm(planned - thickest)
    if row.ground.run_out:
        text = f"{bench.mm(planned)} is {over} longer than the hole: it bottoms before it seats."
        return "falls_short", "query", rests, text
    text = f"{bench.mm(planned)} stands {over} out at the back; cut it, or see what runs there."
    return "agrees", "note", rests, text


# --- the row ------------------------------------------------------------------------------------


def _window(row: Row) -> SpacingWindow | Item:
    """The spacings that this pin may have here, or the finding that it is too small."""
    bench, ground = row.bench, row.ground
    try:
        return spacing_window(row.pin.diameter, ground.stray, 0.0, ground.tight)
    except OutOfRange:
        seam = _advised(bench)
        least = 2 * ground.stray / math.sqrt(1 - LEAST_SPACING_TO_DIAMETER**2)
        text = (
            f"{row.name} is too small for a crack that wanders {bench.mm(ground.stray)} from its "
            f"line: no neck of two pins swallows it below a diameter of {bench.mm(least)}."
        )
        words = Words(
            row.name,
            seam.choice.pin.thread if seam else None,
            "Take a larger pin.",
            bench.figure("wander of crack and drill", "wander_allowance", low=False),
        )
        return finding("pin.pitch", "falls_short", "stop", bench.on_formula("seam"), text, words)


def _judge_pitch(row: Row, window: SpacingWindow) -> Item:
    bench, pitch, d = row.bench, row.planned.pitch, row.pin.diameter
    seam = _advised(bench)
    rests = bench.on_formula("seam")
    figures = (
        *bench.figure("wander of crack and drill", "wander_allowance", low=False),
        Figure(name="widest spacing", value=_mm(window.largest)),
        Figure(name="closest spacing", value=_mm(window.least)),
    )
    words = Words(length(pitch), _advised_pitch(row, window, seam), figures=figures)
    if pitch is None:
        text = f"The plan names no pitch; {bench.mm(window.least)} to {bench.mm(window.largest)}"
        words = replace(words, remedy="State the pitch of the row.")
        return finding("pin.pitch", "missing", "query", rests, f"{text} would do.", words)
    if pitch > window.largest + HAIR:
        remedy = f"Set the pins no farther apart than {bench.mm(window.largest)}."
        severity, text = _too_wide(row, window, pitch)
        words = replace(words, remedy=remedy)
        return finding("pin.pitch", "falls_short", severity, rests, text, words)
    if pitch < window.least - HAIR:
        remedy = f"Set the pins at least {bench.mm(window.least)} apart."
        text = (
            f"At {bench.mm(pitch)} the holes stand closer than "
            f"{LEAST_SPACING_TO_DIAMETER:g} of the diameter, {bench.mm(window.least)}: each pin is "
            "cut away by the next before it holds."
        )
        severity = "stop" if pitch < d / 2 else "query"
        words = replace(words, remedy=remedy)
        return finding("pin.pitch", "falls_short", severity, rests, text, words)
    return finding("pin.pitch", *_inside_window(row, window, pitch), words)


def _mm(value: float) -> Quantity:
    return quantity(round(value, 2), "mm")


def _advised_pitch(row: Row, window: SpacingWindow, seam: SeamDesign | None) -> Quantity:
    return _mm(seam.pitch if seam and _same_thread(seam, row) else window.preferred)


def _too_wide(row: Row, window: SpacingWindow, pitch: float) -> tuple[Severity, str]:
    bench, d, stray = row.bench, row.pin.diameter, row.ground.stray
    if pitch >= d - HAIR:
        return "stop", (
            f"At {bench.mm(pitch)} pins of {bench.mm(d)} do not overlap: the crack lies bare "
            "between them."
        )
    neck = chord(d, pitch) / 2
    text = f"At {bench.mm(pitch)} the neck between two pins reaches {bench.mm(neck)} to each side"
    if pitch > neck_spacing(d, stray, 0.0) + HAIR:
        return "stop", (
            f"{text}, and crack and drill wander {bench.mm(stray)}: a sliver of crack stays open."
        )
    if window.governed_by == "tightness":
        text = f"{text}, less than a quarter of the diameter, which a tight seam needs."
        return ("stop" if bench.must_hold_pressure else "query"), text
    return "query", f"{text}; beyond {bench.mm(window.largest)} the overlap is too thin to peen."


def _inside_window(
    row: Row, window: SpacingWindow, pitch: float
) -> tuple[Finding, Severity, Rests, str]:
    bench, rests = row.bench, row.bench.on_formula("seam")
    text = (
        f"{bench.mm(pitch)} lies within {bench.mm(window.least)} to {bench.mm(window.largest)}, "
        f"and the pins overlap by {bench.mm(row.pin.diameter - pitch)}."
    )
    if pitch > window.preferred + HAIR:
        return "agrees", "note", rests, f"{text} Wider saves holes and leaves a thinner neck."
    if pitch < window.preferred - 0.1 * row.pin.diameter:
        return "stronger", "note", rests, f"{text} Closer seals better and cuts each pin more."
    return "agrees", "note", rests, text


def _wanted_spacing(row: Row, window: SpacingWindow) -> float:
    """The planned spacing where a row can have it, else the nearest that it can."""
    planned = row.planned.pitch
    wanted = window.preferred if planned is None else planned
    return max(min(wanted, window.largest), window.least) + HAIR / 2


def _judge_layout(row: Row, window: SpacingWindow, laid: SeamLayout | None) -> Iterator[Item]:
    """The row laid along the crack at the planned spacing: count, coverage, bores."""
    wide = _lay(row, window.largest, window)
    if laid is None or wide is None:
        yield _not_laid(row)
        return
    yield from _judge_count(row, laid, wide)
    yield from _judge_problems(row, laid)


def _lay(row: Row, largest: float, window: SpacingWindow) -> SeamLayout | None:
    bench = row.bench
    plan = RowPlan(
        pin=row.pin,
        largest_spacing=min(largest, row.pin.diameter - HAIR),
        least_spacing=min(window.least, largest - HAIR),
        stray=row.ground.stray,
        threads=row.ground.threads,
        run_out=row.ground.run_out,
        wall_radius=_radius(row),
    )
    try:
        start, end = ends(bench.given)
        bores = planned_bores(bench, row.ground.path)
        return lay_out(row.ground.path, plan, start=start, end=end, bores=bores, necks=_necks(row))
    except (OutOfRange, Missing):
        return None


def _necks(row: Row) -> tuple[Neck, ...]:
    """Keys that are driven before these pins are drilled."""
    return planned_necks(row.bench, CrackLine.through(row.ground.path).plane.length)


def _radius(row: Row) -> float | None:
    given = row.bench.given
    return given.low("wall_radius") if given.known("wall_radius") else None


def _not_laid(row: Row) -> Item:
    text = "The row cannot be laid along this crack, so the count is not judged."
    words = Words(row.planned.count, None, "Lay it out by hand and write the crack's path down.")
    rests = row.bench.on_formula("seam")
    return finding("pin.count", "not_judged", "query", rests, text, words)


def _judge_count(row: Row, laid: SeamLayout, wide: SeamLayout) -> Iterator[Item]:
    bench, count, pitch = row.bench, row.planned.count, row.planned.pitch
    rests = bench.on_formula("seam")
    needed, fewest = len(laid.pins), min(len(wide.pins), len(laid.pins))
    along = [pin.at for pin in laid.pins]
    span = max(along) - min(along) if _necks(row) else sum(laid.spacing)
    figures = (
        *bench.figure("crack length", "crack_length", low=False),
        *bench.figure("crack beyond its visible end", "tip_allowance", low=False),
        Figure(name="length from the first pin to the last", value=_mm(span)),
    )
    words = Words(count, needed, figures=figures)
    if count is None:
        text = f"The plan names no count; this crack takes {needed} of them at this spacing."
        words = replace(words, remedy=f"State the count: {needed}.")
        yield finding("pin.count", "missing", "query", rests, text, words)
    elif count < fewest:
        remedy = f"Set {needed} pins, or say which part of the crack is left."
        text = (
            f"{count} pins do not cover the crack and its ends: from the first to the last it is "
            f"{bench.mm(span)}, and even at {bench.mm(max(wide.spacing, default=0.0))} apart it "
            f"takes {fewest}."
        )
        words = replace(words, remedy=remedy)
        yield finding("pin.count", "falls_short", "stop", rests, text, words)
    elif count < needed and pitch is not None:
        remedy = f"Make it {needed} pins, or a wider pitch."
        text = (
            f"{count} pins at {bench.mm(pitch)} do not reach over {bench.mm(span)}: count and "
            "pitch do not fit each other."
        )
        words = replace(words, remedy=remedy)
        yield finding("pin.count", "falls_short", "query", rests, text, words)
    elif count > needed + max(2, needed // 10):
        text = f"{count} pins are more than the {needed} that this crack takes at this spacing."
        yield finding("pin.count", "stronger", "note", rests, text, words)
    else:
        text = f"{count} pins cover {bench.mm(span)} from the first to the last; {needed} would."
        yield finding("pin.count", "agrees", "note", rests, text, words)


def _judge_problems(row: Row, laid: SeamLayout) -> Iterator[Item]:
    """What is amiss where the row is laid at the planned sizes; thin walls are told already.

    Beside keys that are driven first, a pin that does not fit would cut what carries.
    """
    beside_keys = bool(_necks(row))
    told = ("the wall does not hold", *(() if beside_keys else ("mm from the pin before it",)))
    problems = [one for one in laid.problems if not any(word in one for word in told)]
    rests = row.bench.on_formula("keys" if beside_keys else "seam")
    remedy = "Take another pin or spacing, or map the crack again."
    if beside_keys:
        remedy = "Take another pin or another spacing of the keys; no pin may cut a neck."
    for problem in problems:
        text = f"Laid along the crack at these sizes, {problem}."
        severity: Severity = "stop" if beside_keys else "query"
        words = Words(row.name, None, remedy)
        yield finding("pin.layout", "falls_short", severity, rests, text, words)


@dataclass(frozen=True)
class LaidRow:
    """The row as planned, laid along the crack, with what lies beside it."""

    layout: SeamLayout
    pin: Pin
    bores: tuple[Bore, ...]
    necks: tuple[Neck, ...]


def seam_layout(bench: Bench) -> LaidRow | None:
    """The row as planned, laid along the crack, for whoever looks at a hole or a key beside it."""
    planned = bench.plan.pin
    if planned is None or not bench.stitched:
        return None
    try:
        row = _row(bench, planned)
    except (Missing, OutOfRange):
        return None
    if row is None:
        return None
    window = _window(row)
    if isinstance(window, Item):
        return None
    laid = _lay(row, _wanted_spacing(row, window), window)
    if laid is None:
        return None
    return LaidRow(laid, row.pin, planned_bores(bench, row.ground.path), _necks(row))
