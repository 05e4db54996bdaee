"""The crack as a line on the surface: points, ends, branches, and the bores it meets.

Lengths in mm. A curved wall is unfolded before its crack is recorded.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from typing import Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.polyline import Point, Polyline
from advisor.engineering.ranges import not_negative, positive
from advisor.light_dataclass import dataclass

HAIRPIN_TURN = 120.0  # deg; beyond it the pins on both legs crowd each other
JOINT_TOLERANCE = 1.0  # mm; a branch must begin this near to the crack

_TINY = 1e-9
_ON_LINE = 1e-6

Surface = Literal["machined", "rough"]


@dataclass(frozen=True)
class CrackPoint:
    """A point of the crack line.

    ``step`` is the height by which the surface jumps at this point, ``corner_radius`` the radius of
    an inside corner that the crack crosses or follows here.
    """

    x: float
    y: float
    wall: float
    surface: Surface = "machined"
    step: float = 0.0
    corner_radius: float | None = None


@dataclass(frozen=True)
class Tip:
    """The crack ends in sound metal.

    ``uncertainty`` is how far the true end may lie past the visible one, ``edge_distance`` the way
    from the visible end straight on to the nearest free edge, where that is near: a row that would
    leave too little metal before it is carried on to the edge.
    """

    uncertainty: float = 0.0
    edge_distance: float | None = None


@dataclass(frozen=True)
class FreeEdge:
    """The crack runs out at an edge of the part, taken as square to the crack."""


End = Tip | FreeEdge
SOUND_END = Tip()


@dataclass(frozen=True)
class Bore:
    """A hole that is bored for an insert after the pins are set; diameter of the finished bore."""

    x: float
    y: float
    diameter: float
    entered: bool = False  # the crack runs into the hole, though the path may stop at its rim


@dataclass(frozen=True)
class Neck:
    """The neck of a key that lies across the crack before the pins are drilled.

    ``at`` is measured along the crack from its first point, ``bite`` is the most that a pin may cut
    into each flank.
    """

    at: float
    width: float
    bite: float = 0.0


@dataclass(frozen=True)
class Branch:
    """A branch of the crack; its first point lies on the crack."""

    points: tuple[CrackPoint, ...]
    end: End = SOUND_END


def straight_path(
    length: float, wall: float, surface: Surface = "machined"
) -> tuple[CrackPoint, ...]:
    """A straight crack known by its length alone.

    Args:
        length: of the visible crack [mm].
        wall: least wall along it [mm].
        surface: state of the surface.

    Returns:
        a path along x from (0, 0).

    Validity: positive lengths.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> [(p.x, p.y, p.wall) for p in straight_path(120, 8)]
        [(0.0, 0.0, 8), (120, 0.0, 8)]

    Source: geometry.
    """
    positive("length", length, "mm")
    positive("wall", wall, "mm")
    return CrackPoint(0.0, 0.0, wall, surface), CrackPoint(length, 0.0, wall, surface)


def place_bore(
    path: Sequence[CrackPoint],
    at: float,
    distance: float,
    hole_diameter: float,
    bore_diameter: float,
) -> Bore:
    """Place a hole that is known only by its distance from the crack.

    Args:
        path: the crack.
        at: distance along the crack [mm]; at or past an end the hole lies straight ahead.
        distance: edge of the present hole to the crack line [mm], 0 where the crack enters it.
        hole_diameter: of the present hole [mm].
        bore_diameter: of the finished bore [mm].

    Returns:
        the bore; beside the crack it is put on the left of it, since the side is not known.

    Validity: the bore is at least as wide as the hole.

    Raises:
        OutOfRange: outside the validity.

    Example:
        >>> place_bore(straight_path(100, 8), at=100, distance=0, hole_diameter=14,
        ...     bore_diameter=18)
        Bore(x=107.0, y=0.0, diameter=18, entered=True)

    Source: geometry.
    """
    positive("hole_diameter", hole_diameter, "mm")
    not_negative("distance", distance, "mm")
    if bore_diameter < hole_diameter:
        raise OutOfRange("bore_diameter", bore_diameter, f"at least the hole, {hole_diameter:g} mm")
    line = Polyline(tuple((point.x, point.y) for point in path))
    off = distance + hole_diameter / 2
    entered = distance == 0
    if at <= 0 or at >= line.length - _ON_LINE:
        x, y = line.position(-off if at <= 0 else line.length + off)
    else:
        x, y = line.position(at)
        if not entered:
            (x1, y1), (x2, y2) = line.points[line.piece(at)], line.points[line.piece(at) + 1]
            part = off / math.dist((x1, y1), (x2, y2))
            x, y = x - part * (y2 - y1), y + part * (x2 - x1)
    return Bore(x, y, bore_diameter, entered)


# The line of the crack: what is known at a distance along it


@dataclass(frozen=True)
class CrackLine:
    points: tuple[CrackPoint, ...]
    plane: Polyline

    @classmethod
    def through(cls, points: Sequence[CrackPoint]) -> CrackLine:
        return cls(tuple(points), Polyline(tuple((p.x, p.y) for p in points)))

    @cached_property
    def even(self) -> float | None:
        """The wall, where it is the same all along and the surface has no step."""
        walls = {point.wall for point in self.points}
        return walls.pop() if len(walls) == 1 and not self.steps else None

    @cached_property
    def alike(self) -> bool:
        """Whether one place is as good as another: an even wall, one surface, no corner."""
        return (
            self.even is not None
            and len({point.surface for point in self.points}) == 1
            and all(point.corner_radius is None for point in self.points)
        )

    def wall(self, at: float, clear: float) -> float:
        """Wall at a distance: between two points in proportion, at a step the thinner side."""
        if self.even is not None:
            return self.even
        near = [a for a in self.steps if abs(a - at) < clear]
        return min([self._wall(at), *(self._wall(a + side) for a in near for side in (-_TINY, 0))])

    def least_wall(self, begin: float, end: float, clear: float) -> float:
        """Thinnest wall between two distances."""
        if self.even is not None:
            return self.even
        inner = [a for a in self.plane.at if begin < a < end]
        return min(self.wall(at, clear) for at in (begin, *inner, end))

    def _wall(self, at: float) -> float:
        at = min(max(at, 0.0), self.plane.length)
        i = self.plane.piece(at)
        first, second = self.points[i], self.points[i + 1]
        if first.step or second.step:  # the wall jumps, it does not run evenly
            return min(first.wall, second.wall)
        part = (at - self.plane.at[i]) / (self.plane.at[i + 1] - self.plane.at[i])
        return first.wall + part * (second.wall - first.wall)

    @cached_property
    def steps(self) -> list[float]:
        return [a for a, point in zip(self.plane.at, self.points, strict=True) if point.step]

    def rough(self, at: float) -> bool:
        i = self.plane.piece(at)
        return "rough" in (self.points[i].surface, self.points[i + 1].surface)

    def corner(self, at: float, reach: float) -> float | None:
        """Tightest corner within reach of a distance, or along the stretch that holds it."""
        radii = [
            point.corner_radius
            for a, point in zip(self.plane.at, self.points, strict=True)
            if point.corner_radius is not None and abs(a - at) <= reach
        ]
        i = self.plane.piece(at)
        both = self.points[i].corner_radius, self.points[i + 1].corner_radius
        if both[0] is not None and both[1] is not None:
            radii.extend([both[0], both[1]])
        return min(radii, default=None)

    def between(self, at: float) -> CrackPoint:
        """A point of the line with what is known there."""
        x, y = self.plane.position(at)
        return CrackPoint(x, y, self._wall(at), self.points[self.plane.piece(at)].surface)


# Branches: the longest line first


@dataclass(frozen=True)
class Route:
    """One line to lay, from an end or from a pin already laid (None) to an end or a pin (None)."""

    line: CrackLine
    start: End | None
    end: End | None
    joints: frozenset[Point]
    offset: float = 0.0  # of its first point along the crack


@dataclass(frozen=True)
class _Arm:
    points: tuple[CrackPoint, ...]
    a: int
    b: int

    @property
    def length(self) -> float:
        return CrackLine.through(self.points).plane.length

    def leaving(self, node: int) -> tuple[CrackPoint, ...]:
        return self.points if node == self.a else self.points[::-1]

    def other(self, node: int) -> int:
        return self.b if node == self.a else self.a


def split_hairpins(route: Route) -> list[Route]:
    """Part a route where it doubles back: the second leg is laid like a branch of the first."""
    plane, points = route.line.plane, route.line.points
    marks = [i for i in range(1, len(points) - 1) if plane.turn(i) > HAIRPIN_TURN + _ON_LINE]
    if not marks:
        return [route]
    legs = []
    for a, b in pairwise([0, *marks, len(points) - 1]):
        legs.append(
            Route(
                CrackLine.through(points[a : b + 1]),
                route.start if a == 0 else None,
                route.end if b == len(points) - 1 else None,
                route.joints,
                plane.at[a],
            )
        )
    return legs


def routes_of(
    path: tuple[CrackPoint, ...], start: End, end: End, branches: Sequence[Branch]
) -> list[Route]:
    if not branches:
        return [Route(CrackLine.through(path), start, end, frozenset())]
    arms, ends = _tree(path, start, end, branches)
    uses: dict[int, int] = {}
    for arm in arms:
        for node in (arm.a, arm.b):
            uses[node] = uses.get(node, 0) + 1
    ends = {node: what for node, what in ends.items() if uses[node] == 1}
    place = {node: arm.leaving(node)[0] for arm in arms for node in (arm.a, arm.b)}
    joints = frozenset((place[node].x, place[node].y) for node in uses if uses[node] > 2)
    routes: list[Route] = []
    laid: list[int] = []
    left = list(arms)
    while left:
        way = _longest_way(left, laid or sorted(ends))
        nodes, used = way
        points = [place[nodes[0]]]
        for node, arm in zip(nodes, used, strict=False):
            points.extend(arm.leaving(node)[1:])
        first = None if laid else ends[nodes[0]]
        routes.append(Route(CrackLine.through(points), first, ends[nodes[-1]], joints))
        laid.extend(node for node in nodes if node not in laid)
        left = [arm for arm in left if arm not in used]
    return routes


def _longest_way(arms: Sequence[_Arm], sources: Sequence[int]) -> tuple[list[int], list[_Arm]]:
    """Longest way through a tree of arms; of equal ones the first in the order given."""
    best: tuple[float, list[int], list[_Arm]] = (-1.0, [], [])
    stack: list[tuple[float, list[int], list[_Arm]]] = [
        (0.0, [source], []) for source in reversed(sources)
    ]
    while stack:
        length, nodes, used = stack.pop()
        on = [arm for arm in arms if nodes[-1] in (arm.a, arm.b) and arm not in used]
        if used and not on and length > best[0] + _ON_LINE:
            best = (length, nodes, used)
        for arm in reversed(on):
            stack.append((length + arm.length, [*nodes, arm.other(nodes[-1])], [*used, arm]))
    return best[1], best[2]


def _tree(
    path: tuple[CrackPoint, ...], start: End, end: End, branches: Sequence[Branch]
) -> tuple[list[_Arm], Mapping[int, End]]:
    """Cut the crack into arms between common points and ends."""
    arms = [_Arm(path, 0, 1)]
    ends: dict[int, End] = {0: start, 1: end}
    count = 2
    for number, branch in enumerate(branches, start=1):
        if len(branch.points) < 2:
            raise OutOfRange("branches", number, "at least two points in each branch")
        x, y = branch.points[0].x, branch.points[0].y
        found = [(CrackLine.through(arm.points), arm) for arm in arms]
        near = [(line.plane.nearest(x, y), line, arm) for line, arm in found]
        (at, off), line, arm = min(near, key=lambda item: item[0][1])
        if off > JOINT_TOLERANCE:
            raise OutOfRange(
                "branches",
                number,
                f"a first point on the crack; it lies {off:.1f} mm off",
                "begin the branch at the common point",
            )
        if at < _ON_LINE or at > line.plane.length - _ON_LINE:
            node = arm.a if at < _ON_LINE else arm.b
            joint = arm.leaving(node)[0]
        else:
            node, count = count, count + 1
            joint = line.between(at)
            inner = list(zip(line.plane.at, arm.points, strict=True))
            before = [p for a, p in inner if a < at - _ON_LINE]
            after = [p for a, p in inner if a > at + _ON_LINE]
            on = [p for a, p in inner if abs(a - at) <= _ON_LINE]
            joint = on[0] if on else joint
            arms.remove(arm)
            arms.append(_Arm((*before, joint), arm.a, node))
            arms.append(_Arm((joint, *after), node, arm.b))
        arms.append(_Arm((joint, *branch.points[1:]), node, count))
        ends[count] = branch.end
        count += 1
    return arms, ends


Lines = tuple[tuple[CrackPoint, ...], tuple[Branch, ...]]


def reach_edge(
    path: tuple[CrackPoint, ...], branches: Sequence[Branch], tip: Point, distance: float
) -> tuple[Lines, Literal["start", "end", "branch"]]:
    """Lead the line that ends at a point straight on to a free edge, and say which end it was."""

    def beyond(points: Sequence[CrackPoint]) -> CrackPoint:
        plane = CrackLine.through(points).plane
        x, y = plane.position(plane.length + distance)
        return replace(points[-1], x=x, y=y, step=0.0, corner_radius=None)

    if math.dist((path[-1].x, path[-1].y), tip) < _ON_LINE:
        return ((*path, beyond(path)), tuple(branches)), "end"
    if math.dist((path[0].x, path[0].y), tip) < _ON_LINE:
        return ((beyond(path[::-1]), *path), tuple(branches)), "start"
    led = tuple(
        replace(branch, points=(*branch.points, beyond(branch.points)), end=FreeEdge())
        if math.dist((branch.points[-1].x, branch.points[-1].y), tip) < _ON_LINE
        else branch
        for branch in branches
    )
    return (path, led), "branch"


def reach_bores(
    path: tuple[CrackPoint, ...], branches: Sequence[Branch], bores: Sequence[Bore]
) -> Lines:
    """Lead the crack on into a bore that it is said to enter, where the path stops short of it."""
    branches = tuple(branches)
    for number, bore in enumerate(bores, start=1):
        lines = [path, *(branch.points for branch in branches)]
        planes = [CrackLine.through(points).plane for points in lines]
        if not bore.entered or any(
            plane.inside_circle(bore.x, bore.y, bore.diameter / 2) for plane in planes
        ):
            continue
        centre = (bore.x, bore.y)
        near = [(math.dist(plane.points[-1], centre), i) for i, plane in enumerate(planes)]
        off, which = min([*near, (math.dist(planes[0].points[0], centre), -1)])
        if off > min(plane.nearest(*centre)[1] for plane in planes) + _ON_LINE:
            raise OutOfRange(
                "bores", number, "entered by the crack: its path must end at or in the hole"
            )
        if which == -1:
            path = (replace(path[0], x=bore.x, y=bore.y, step=0.0), *path)
        elif which == 0:
            path = (*path, replace(path[-1], x=bore.x, y=bore.y, step=0.0))
        else:
            old = branches[which - 1]
            more = replace(old.points[-1], x=bore.x, y=bore.y, step=0.0)
            new = replace(old, points=(*old.points, more))
            branches = (*branches[: which - 1], new, *branches[which:])
    return path, branches
