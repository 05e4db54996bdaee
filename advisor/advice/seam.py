"""The stitched seam as one design: crack, pins and layout, worked out together."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.advice.formulas import Assumed, Given, Missing
from advisor.case.model import UNKNOWN, Hole, PathPoint
from advisor.case.quantities import Measure
from advisor.engineering import layout as laying
from advisor.engineering.crack_path import CrackPoint, FreeEdge, Surface, Tip, straight_path
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import NEUTRAL_FAMILY, PinChoice, choose_pin

BLIND_RUN_OUT = 1.5  # pitches lost to the lead of the tap where it cannot run through
LEAST_FRACTION_OF_WALL = 1e-3


@dataclass(frozen=True)
class SeamDesign:
    """A row of pins that fits this crack."""

    choice: PinChoice
    plan: laying.RowPlan
    path: tuple[CrackPoint, ...]
    layout: laying.SeamLayout
    bores: tuple[laying.Bore, ...]
    notes: tuple[str, ...]

    @property
    def pitch(self) -> float:
        """The widest spacing of the row [mm]."""
        return max(self.layout.spacing, default=self.plan.largest_spacing)


def measure(value: object) -> Measure | None:
    """A measured value, or None where it is unanswered or unknown."""
    return value if isinstance(value, Measure) else None


def crack_path(given: Given, wall: float) -> tuple[CrackPoint, ...]:
    """The crack as a path: as recorded, or a straight line of its length.

    A recorded wall is never trusted beyond the corrected least wall by more than it was recorded:
    its points are scaled by corrected least wall over recorded least wall where that is smaller.
    """
    given.read |= {"crack_path", "crack_length"}
    answer = given.case.value("crack_path")
    if answer is None or answer is UNKNOWN or not isinstance(answer, tuple):
        return straight_path(given.high("crack_length"), wall, _surface(given))
    points = [point for point in answer if isinstance(point, PathPoint)]
    recorded = [m.low for point in points if (m := measure(point.wall))]
    scale = min(1.0, wall / min(recorded)) if recorded else 1.0
    found: list[CrackPoint] = []
    height = 0.0
    for point in points:
        x, y, z = measure(point.x), measure(point.y), measure(point.z)
        if x is None or y is None:
            raise Missing("crack_path")
        thick = measure(point.wall)
        level = z.middle if z else height
        found.append(
            CrackPoint(
                x.middle,
                y.middle,
                thick.low * scale if thick else wall,
                _point_surface(point, given),
                step=abs(level - height),
            )
        )
        height = level
    return tuple(found)


def _point_surface(point: PathPoint, given: Given) -> Surface:
    if point.surface == "machined":
        return "machined"
    return "rough" if point.surface == "rough" else _surface(given)


def _surface(given: Given) -> Surface:
    return "machined" if given.word_or("machined_face_role", "none") != "none" else "rough"


def design_seam(given: Given) -> SeamDesign:
    """Choose the pin, lay the row.

    Raises:
        Missing: a fact that sizing needs is not known.
        OutOfRange: no row fits, with the nearest feasible choice where there is one.
    """
    wall = given.low("true_wall")
    path = crack_path(given, wall)
    least = min(point.wall for point in path)
    stray = given.high("wander_allowance")
    tight = given.word_or("tightness", "pressure_tight") in ("tight", "pressure_tight")
    curved = given.high("wall_radius") if given.known("wall_radius") else None
    run_out = BLIND_RUN_OUT if given.word_or("behind_wall", "solid_metal") == "solid_metal" else 0.0
    choice = choose_pin(
        least,
        threads=given.high("least_engaged_threads"),
        wall_radius=curved,
        run_out=run_out,
        least_diameter=2 * stray / 0.8,
        family=given.shop.pins if given.shop and given.shop.pins else NEUTRAL_FAMILY,
    )
    plan = laying.row_plan(
        choice.pin,
        wander=stray,
        leak_tight=tight,
        threads=choice.least_threads,
        run_out=run_out,
        wall_radius=curved,
    )
    tip = Tip(uncertainty=given.high("tip_allowance"))
    ends = _ends(given, tip)
    holes = bores(given, path)
    laid = laying.lay_out(path, plan, start=ends[0], end=ends[1], bores=holes)
    if laid.problems:
        raise OutOfRange("layout", choice.pin.thread, "; ".join(laid.problems))
    return SeamDesign(choice, plan, path, laid, holes, (*choice.notes, *laid.warnings))


def seam_assumed(given: Given) -> tuple[Assumed, ...]:
    """What the row takes for granted, and the questions that would settle it."""
    found = []
    if not isinstance(given.case.value("crack_path"), tuple):
        text = "the crack runs straight in an even wall: no points of it are recorded"
        found.append(Assumed(text, "crack_path"))
    if not given.known("behind_wall"):
        text = "no room behind the wall for the tap to run out"
        found.append(Assumed(text, "behind_wall"))
    if not given.known("nearest_edge"):
        found.append(Assumed("no edge lies near either end of the crack", "nearest_edge"))
    return tuple(found)


def _ends(given: Given, tip: Tip) -> tuple[Tip | FreeEdge, Tip | FreeEdge]:
    """Both ends of the crack; the nearer edge is taken to lie past the last point."""
    if not given.known("nearest_edge"):
        return tip, tip
    edge = given.low("nearest_edge")
    if edge <= LEAST_FRACTION_OF_WALL:
        return tip, FreeEdge()
    return tip, replace(tip, edge_distance=edge)


def bores(given: Given, path: tuple[CrackPoint, ...]) -> tuple[laying.Bore, ...]:
    """Holes that will be bored for an insert, where their place is known."""
    designs = given.objects.get("insert_bores", ())
    assert isinstance(designs, tuple)
    answer = given.case.value("holes")
    found = []
    for index, (hole_diameter, bore) in designs:
        hole = answer[index] if isinstance(answer, tuple) else None
        if not isinstance(hole, Hole):
            continue
        at, distance = measure(hole.at), measure(hole.distance)
        if at is not None and distance is not None:
            found.append(laying.place_bore(path, at.middle, distance.low, hole_diameter, bore))
    return tuple(found)
