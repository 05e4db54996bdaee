"""The stitched seam as one design: crack, pins and layout, worked out together."""

from __future__ import annotations

from dataclasses import replace

from advisor.advice.formulas import Assumed, Given, Missing
from advisor.case.model import UNKNOWN, Hole, PathPoint
from advisor.case.quantities import Measure
from advisor.engineering import layout as laying
from advisor.engineering.crack_path import CrackPoint, FreeEdge, Surface, Tip, straight_path
from advisor.engineering.keyed_seam import KeyedSeam, KeyPlace, Order, RowGround
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pins import NEUTRAL_FAMILY, PinChoice, pin_choices
from advisor.engineering.seam import LEAST_SPACING_TO_DIAMETER
from advisor.light_dataclass import dataclass

BLIND_RUN_OUT = 1.5  # pitches lost to the lead of the tap where it cannot run through
LEAST_FRACTION_OF_WALL = 1e-3


@dataclass(frozen=True)
class SeamDesign:
    """A row of pins that fits this crack.

    Attributes:
        choice: the pin in the least wall.
        plan: spacing, and what is asked of each pin.
        ground: crack, ends, bores, and all pins that suit the wall.
        layout: where each pin stands.
        notes: what to say beside it.
        keys: where keys lie across this row, and which of its pins stand at them.
        order: which of them goes in first; None without keys.
    """

    choice: PinChoice
    plan: laying.RowPlan
    ground: RowGround
    layout: laying.SeamLayout
    notes: tuple[str, ...]
    keys: tuple[KeyPlace, ...] = ()
    order: Order | None = None

    @property
    def path(self) -> tuple[CrackPoint, ...]:
        """The crack as recorded."""
        return self.ground.path

    @property
    def bores(self) -> tuple[laying.Bore, ...]:
        """Bores for inserts that the row meets."""
        return self.ground.bores

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
    ground = row_ground(given)
    refused: OutOfRange | None = None
    for choice in ground.choices:
        plan = ground.plan(choice)
        laid = ground.lay(plan)
        if not laid.problems:
            return SeamDesign(choice, plan, ground, laid, (*choice.notes, *laid.warnings))
        why = "; ".join(laid.problems)
        refused = refused or OutOfRange("layout", choice.pin.thread, why)
    assert refused is not None
    raise refused


def with_keys(seam: SeamDesign, keyed: KeyedSeam) -> SeamDesign:
    """The row as it is laid together with keys."""
    notes = (*keyed.choice.notes, *keyed.notes, *keyed.layout.warnings)
    return SeamDesign(
        keyed.choice, keyed.plan, seam.ground, keyed.layout, notes, keyed.places, keyed.order
    )


def _radius(given: Given) -> float | None:
    """The radius that a seat bites into; none where the wall is not said to be curved.

    Raises:
        Missing: a curved wall whose radius is not known.
    """
    if given.known("wall_radius"):
        return given.low("wall_radius")
    if given.word_or("crack_location", "") == "curved_wall":
        raise Missing("wall_radius")
    return None


def row_ground(given: Given) -> RowGround:
    """Crack, ends, bores, and the pins that suit the least wall.

    Raises:
        Missing: a fact that sizing needs is not known.
        OutOfRange: no pin suits the wall.
    """
    path = crack_path(given, given.low("true_wall"))
    stray = given.high("wander_allowance")
    curved = _radius(given)
    behind = "open" if given.favourable else "solid_metal"
    blind = given.word_or("behind_wall", behind) == "solid_metal"
    run_out = BLIND_RUN_OUT if blind else 0.0
    start, end = ends(given)
    return RowGround(
        path=path,
        choices=pin_choices(
            min(point.wall for point in path),
            threads=given.high("least_engaged_threads"),
            wall_radius=curved,
            run_out=run_out,
            least_diameter=2 * stray / (1 - LEAST_SPACING_TO_DIAMETER**2) ** 0.5,
            family=given.shop.pins if given.shop and given.shop.pins else NEUTRAL_FAMILY,
        ),
        stray=stray,
        leak_tight=given.word_or("tightness", "pressure_tight") in ("tight", "pressure_tight"),
        run_out=run_out,
        wall_radius=curved,
        start=start,
        end=end,
        bores=bores(given, path),
    )


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


def ends(given: Given) -> tuple[Tip | FreeEdge, Tip | FreeEdge]:
    """Both ends of the crack; the nearer edge is taken to lie past the last point.

    Raises:
        Missing: how far the crack may run beyond its visible end is not known.
    """
    tip = Tip(uncertainty=given.high("tip_allowance"))
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
