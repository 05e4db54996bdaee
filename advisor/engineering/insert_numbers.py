"""The numbers of one thread insert: loads, depths, edges, and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engineering.designations import Designation, limits_of
from advisor.engineering.drilling import Drill, drill_between, tap_drill
from advisor.engineering.insert_geometry import (
    KEYED_SHARE,
    KINDS,
    BoreLigament,
    EdgeCheck,
    InsertKind,
    OutsideThread,
    check_edge,
    coil_depths,
    coil_parent_area,
    last_pin,
    least_root_wall,
    seat_depth,
)
from advisor.engineering.insert_model import (
    INSERT_TENSILE_MPA,
    LEAST_SAFETY,
    RUN_OUT_PITCHES,
    DamagedHole,
    Fault,
    InsertDesign,
    InsertLoads,
    check_hole,
    design_loads,
)
from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import between, positive
from advisor.engineering.thread_strength import (
    PRELOAD_SHARE,
    SHEAR_SHARE,
    shear_area_of_bolt,
    shear_area_of_hole,
)


def evaluate_insert(
    hole: DamagedHole,
    kind: InsertKind,
    outside: OutsideThread,
    length_mm: float,
    insert_tensile_mpa: float = INSERT_TENSILE_MPA,
    least_safety: float = LEAST_SAFETY,
) -> InsertDesign:
    """Put the numbers to one insert, chosen or planned by somebody.

    parent: tau A, A by (2a) on full threads L - P (keyed: times 0.6), coil 0.75 pi D2 (Q - 1.125 P)

    Args:
        hole: the hole
        kind: kind of insert
        outside: its outside thread
        length_mm: its length [mm]
        insert_tensile_mpa: tensile strength of the insert's steel [MPa]
        least_safety: strip load over design load, below which it is refused [1]

    Returns:
        the design, with its faults

    Validity: steel inserts in castings, static axial load; cyclic load: verify by test.

    Raises:
        OutOfRange: a value not above zero; no bolt class and no axial load; a coil for a pipe
            thread; a length shorter than two pitches.

    Example:
        >>> from advisor.engineering.bolts import BoltClass
        >>> from advisor.engineering.designations import parse_designation
        >>> from advisor.engineering.insert_geometry import outside_threads
        >>> from advisor.engineering.insert_model import Parent
        >>> bolt = BoltClass("ISO 898-1", "8.8", 1.6, 16.0, 800.0, 640.0, 580.0)
        >>> hole = DamagedHole(
        ...     parse_designation("M16"), "stripped", 45.0, False, Parent(250.0, True), bolt
        ... )
        >>> coil = outside_threads("helical_wire", hole.thread)[0]
        >>> design = evaluate_insert(hole, "helical_wire", coil, 32.0)
        >>> round(design.strip_safety, 2), design.holds_bolt
        (1.67, True)

    Source: NASA TM-106943 pp. 21 to 24, the three ways an insert gives way (read);
    FED-STD-H28/2B (2a), (4a) (read); keyed share computed; allowances practice.
    """
    check_hole(hole)
    if kind not in KINDS:
        raise OutOfRange("kind", kind, f"must be one of {', '.join(KINDS)}")
    if kind == "helical_wire" and hole.thread.is_pipe:
        raise OutOfRange("kind", kind, "coils are not made for pipe threads")
    # Two pitches are lost to chamfer, lead and set-down before any thread bears.
    if not length_mm > 2.0 * max(outside.pitch_mm, hole.thread.pitch_mm):
        raise OutOfRange("length", length_mm, "must be above two pitches of the coarser thread")
    between("least safety", least_safety, 1.0, 5.0, "")
    loads = _loads(hole, kind, outside, length_mm, insert_tensile_mpa)
    edge = check_edge(
        hole.edge_distance_mm, outside.diameter_mm, hole.thread.diameter_mm, hole.parent.brittle
    )
    to_crack = _metal_to_crack(hole, outside)
    reached = hole.crack_enters or (to_crack is not None and to_crack <= 0.0)
    ligament = None
    if hole.pin is not None:
        pin = hole.pin
        ligament = last_pin(pin.distance_mm, outside.diameter_mm, pin.diameter_mm, reached)
    seat = seat_depth(kind, hole.thread.pitch_mm)
    thread_depth, drill_depth = _depths(hole, kind, outside, length_mm, seat[1])
    faults = (
        *_kind_faults(hole, kind, outside, to_crack),
        *_wall_faults(hole, kind, outside),
        *_depth_faults(hole, drill_depth),
        *_strength_faults(loads, least_safety),
        *_edge_faults(edge, hole),
        *_pin_faults(ligament),
    )
    return InsertDesign(
        kind=kind,
        bolt_thread=hole.thread.text,
        outside_thread=outside.text,
        outside_diameter_mm=outside.diameter_mm,
        length_mm=length_mm,
        bore_mm=outside.minor_mm,
        tap_drill=_outside_drill(hole.thread, kind, outside),
        drill_depth_mm=hole.depth_mm if hole.through else drill_depth,
        thread_depth_mm=thread_depth,
        inside_drill=_inside_drill(hole.thread, kind),
        seat_depth_mm=seat,
        edge=edge,
        loads=loads,
        strip_safety=loads.parent / loads.design,
        holds_bolt=None if loads.breaking is None else loads.least >= loads.breaking,
        preload_limit_n=PRELOAD_SHARE * loads.parent,
        ligament=ligament,
        metal_to_crack_mm=to_crack,
        faults=tuple(faults),
        cautions=_cautions(hole, kind, outside, loads, edge, ligament, to_crack, reached),
    )


def _loads(
    hole: DamagedHole,
    kind: InsertKind,
    outside: OutsideThread,
    length_mm: float,
    insert_tensile_mpa: float,
) -> InsertLoads:
    design, breaking = design_loads(hole)
    pitch, shear = hole.thread.pitch_mm, hole.parent.shear
    insert_shear = SHEAR_SHARE * positive("insert strength", insert_tensile_mpa, "MPa")
    inside_length = length_mm - pitch - _closed_end(hole, kind)
    bolt_thread = insert_inside = insert_outside = None
    if not hole.thread.is_pipe and inside_length > 0.0:
        limits = limits_of(hole.thread)
        inside = shear_area_of_hole(
            pitch, limits.bolt_major_min, limits.hole_pitch_max, inside_length
        )
        bolt = shear_area_of_bolt(
            pitch, limits.bolt_pitch_min, limits.hole_minor_max, inside_length
        )
        # A coil passes the load on as it is; its wire is far stronger than the parent.
        insert_inside = None if kind == "helical_wire" else insert_shear * inside
        bolt_thread = None
        if hole.bolt is not None:
            bolt_thread = SHEAR_SHARE * hole.bolt.tensile_mpa * bolt
    elif not hole.thread.is_pipe:
        insert_inside = 0.0
    if kind == "helical_wire" or outside.limits is None:
        area = coil_parent_area(length_mm, hole.thread.diameter_mm, pitch)
        return InsertLoads(bolt_thread, insert_inside, None, shear * area, design, breaking)
    share = KEYED_SHARE if kind == "solid_bushing" else 1.0
    full = length_mm - outside.pitch_mm
    cut = outside.limits
    parent_area = shear_area_of_hole(outside.pitch_mm, cut.bolt_major_min, cut.hole_pitch_max, full)
    own_area = shear_area_of_bolt(outside.pitch_mm, cut.bolt_pitch_min, cut.hole_minor_max, full)
    insert_outside = share * insert_shear * own_area
    parent = share * shear * parent_area
    return InsertLoads(bolt_thread, insert_inside, insert_outside, parent, design, breaking)


def _closed_end(hole: DamagedHole, kind: InsertKind) -> float:
    """Metal left at the inner end of an insert that must seal (practice) [mm]."""
    sealing = (
        hole.must_seal and not hole.thread.is_pipe and kind in ("solid_bushing", "threaded_plug")
    )
    return max(3.0, 0.25 * hole.thread.diameter_mm) if sealing else 0.0


def _metal_to_crack(hole: DamagedHole, outside: OutsideThread) -> float | None:
    if hole.crack_distance_mm is None or hole.crack_enters:
        return None
    return hole.crack_distance_mm - (outside.diameter_mm - hole.thread.diameter_mm) / 2.0


def _depths(
    hole: DamagedHole, kind: InsertKind, outside: OutsideThread, length_mm: float, seat_mm: float
) -> tuple[float, float]:
    """Depth of full thread, and depth of drill or wall that the insert needs [mm]."""
    if kind == "helical_wire":
        depths = coil_depths(length_mm, hole.thread.diameter_mm, hole.thread.pitch_mm)
        if hole.through:
            return length_mm, length_mm
        return depths.full_thread, depths.drill_bottoming_tap
    full = length_mm + seat_mm
    return full, full if hole.through else full + RUN_OUT_PITCHES * outside.pitch_mm


def _outside_drill(thread: Designation, kind: InsertKind, outside: OutsideThread) -> Drill:
    system = thread.measure_system
    if kind == "helical_wire":
        return drill_between(outside.minor_mm, outside.minor_max_mm, system)
    return tap_drill(system, outside.diameter_mm, outside.pitch_mm).drill


def _inside_drill(thread: Designation, kind: InsertKind) -> Drill | None:
    if kind != "threaded_plug" or thread.is_pipe:
        return None
    return tap_drill(thread.measure_system, thread.diameter_mm, thread.pitch_mm).drill


# What speaks against it


def _kind_faults(
    hole: DamagedHole, kind: InsertKind, outside: OutsideThread, to_crack: float | None
) -> Iterator[Fault]:
    light = kind in ("helical_wire", "thin_solid_bushing")
    if hole.thread.is_pipe and kind != "threaded_plug":
        yield Fault("pipe", "a pipe thread seals on its flanks: plug the hole and tap it anew")
    if light and hole.crack_enters:
        yield Fault(
            "crack",
            "the crack enters the hole: a coil or thin bushing alone would wedge it open and hold "
            "nothing across it",
        )
    elif light and to_crack is not None and to_crack <= 0.0:
        yield Fault(
            "crack",
            "boring for it opens the hole into the crack",
            outside.diameter_mm - hole.thread.diameter_mm,
            2.0 * (hole.crack_distance_mm or 0.0),
        )
    if hole.must_seal and light:
        yield Fault("seal", "pressure behind a through hole: it would leak along the thread")
    lost = hole.lost_diameter
    if lost is not None and lost > outside.minor_mm + 1e-9:
        yield Fault(
            "damage",
            f"metal is lost to {lost:.4g} mm, beyond its bore of {outside.minor_mm:.4g} mm",
            lost,
            outside.minor_mm,
        )
    elif hole.condition == "corroded" and lost is None and light:
        yield Fault("corroded", "it cannot restore metal lost by corrosion; measure the bore")


def _wall_faults(hole: DamagedHole, kind: InsertKind, outside: OutsideThread) -> Iterator[Fault]:
    if kind == "helical_wire":
        return
    wall = (outside.root_mm - hole.thread.diameter_mm) / 2.0
    least = least_root_wall(kind, hole.thread.diameter_mm)
    if wall < least - 1e-9:
        text = f"{wall:.2f} mm of wall between the threads of the insert, {least:.2f} mm is wanted"
        yield Fault("wall", text, least, wall)


def _depth_faults(hole: DamagedHole, drill_depth_mm: float) -> Iterator[Fault]:
    if drill_depth_mm > hole.depth_mm + 1e-9:
        text = f"it needs {drill_depth_mm:.4g} mm of depth, there is {hole.depth_mm:.4g} mm"
        yield Fault("depth", text, drill_depth_mm, hole.depth_mm)


def _strength_faults(loads: InsertLoads, least_safety: float) -> Iterator[Fault]:
    wanted = least_safety * loads.design
    if loads.least < wanted:
        where = "the casting" if loads.least == loads.parent else "the insert or the bolt thread"
        text = (
            f"{where} strips at {loads.least / 1000:.3g} kN, "
            f"{least_safety:g} times the rated load is {wanted / 1000:.3g} kN"
        )
        yield Fault("strength", text, wanted, loads.least)


def _edge_faults(edge: EdgeCheck, hole: DamagedHole) -> Iterator[Fault]:
    if edge.state == "fails" and hole.edge_distance_mm is not None:
        text = (
            f"the centre is {hole.edge_distance_mm:.4g} mm from the edge, "
            f"at least {edge.least_mm:.4g} mm is needed"
        )
        yield Fault("edge", text, edge.least_mm, hole.edge_distance_mm)


def _pin_faults(ligament: BoreLigament | None) -> Iterator[Fault]:
    if ligament is not None and ligament.state == "pin lost":
        text = (
            "the bore would take more than half of the last pin; its centre must stand "
            f"{ligament.nearest_mm:.4g} mm or more from the centre of the hole"
        )
        yield Fault("pin", text, ligament.nearest_mm, ligament.distance_mm)


def _cautions(
    hole: DamagedHole,
    kind: InsertKind,
    outside: OutsideThread,
    loads: InsertLoads,
    edge: EdgeCheck,
    ligament: BoreLigament | None,
    to_crack: float | None,
    reached: bool,
) -> tuple[str, ...]:
    said = [
        *_strength_cautions(loads),
        *_place_cautions(edge, outside, to_crack),
        *_pin_cautions(hole, outside, ligament, reached),
        *_fitting_cautions(hole, kind),
    ]
    return tuple(said)


def _strength_cautions(loads: InsertLoads) -> Iterator[str]:
    if loads.breaking is not None and loads.least < loads.breaking:
        yield (
            "the thread strips before the bolt breaks: keep the preload at or below "
            f"{PRELOAD_SHARE * loads.parent / 1000:.3g} kN"
        )


def _place_cautions(
    edge: EdgeCheck, outside: OutsideThread, to_crack: float | None
) -> Iterator[str]:
    if edge.state == "tight":
        yield f"little metal to the edge: {edge.wanted_mm:.4g} mm from the centre is wanted"
    if edge.state == "not known":
        yield f"measure the distance to the edge: {edge.wanted_mm:.4g} mm is wanted"
    if to_crack is not None and 0.0 < to_crack < outside.diameter_mm:
        yield "the crack lies within one insert diameter: close it with its row of pins first"


def _pin_cautions(
    hole: DamagedHole, outside: OutsideThread, ligament: BoreLigament | None, reached: bool
) -> Iterator[str]:
    if reached:
        yield "pins first, bore second, insert last: the last pin must overlap the bore"
        if hole.crack_enters and hole.damaged_length_mm is None:
            yield "how deep the crack runs in the hole was not measured: its whole depth is taken"
    if ligament is None:
        if reached:
            yield (
                "place the last pin with its centre just outside the bore, "
                f"{outside.diameter_mm / 2.0:.4g} mm or a little more from the centre of the hole"
            )
    elif ligament.state == "gap":
        yield (
            "the crack runs on between the last pin and the bore: bring its centre within "
            f"{ligament.farthest_mm:.4g} mm of the centre of the hole"
        )
    elif ligament.state == "thin wall":
        yield (
            f"only {ligament.ligament_mm:.2f} mm of metal between pin and bore: move the pin to "
            f"{ligament.clear_from_mm:.4g} mm, or so near that it overlaps"
        )


def _fitting_cautions(hole: DamagedHole, kind: InsertKind) -> Iterator[str]:
    if kind == "helical_wire":
        yield "break off the tang, and take it out of the hole"
    if kind == "solid_bushing" and (hole.parent.brittle or hole.crack_enters):
        yield "drive no key toward the crack or an edge; set keys across the crack line"
    if kind == "threaded_plug":
        yield "parallel thread: a taper plug wedges and can split the casting"
    if _closed_end(hole, kind):
        yield (
            f"leave {_closed_end(hole, kind):.2g} mm at the inner end unbored, "
            "and seal the outside thread"
        )
    if hole.pressure_behind and not hole.through:
        yield "do not drill through into the pressure space; measure the metal below the hole"
    if hole.parent.soft:
        yield "fit wet with primer or anti-seize: steel in light metal corrodes it"
