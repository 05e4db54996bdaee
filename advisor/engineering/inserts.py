"""Choosing a thread insert for a damaged or cracked hole in a casting.

`insert_needed` says whether one is needed, `choose_insert` finds one, `evaluate_insert` puts the
numbers to an insert that somebody names. Strength is counted with half the tensile strength of the
parent metal in shear unless a tested shear strength is given.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil, floor, inf

from advisor.engineering.designations import limits_of
from advisor.engineering.insert_geometry import (
    COIL_LENGTHS,
    KINDS,
    InsertKind,
    OutsideThread,
    outside_threads,
    seat_depth,
)
from advisor.engineering.insert_model import (
    INSERT_TENSILE_MPA,
    LEAST_DIAMETERS,
    LEAST_SAFETY,
    MOST_DIAMETERS,
    RUN_OUT_PITCHES,
    SOUND_SAFETY,
    DamagedHole,
    Fault,
    InsertDesign,
    InsertNeed,
    LastPin,
    NoInsertFits,
    Parent,
    Refusal,
    check_hole,
    design_loads,
)
from advisor.engineering.insert_numbers import evaluate_insert
from advisor.engineering.thread_series import MM_PER_INCH
from advisor.engineering.thread_strength import shear_area_of_hole

__all__ = [
    "DamagedHole",
    "Fault",
    "InsertDesign",
    "InsertNeed",
    "LastPin",
    "NoInsertFits",
    "Parent",
    "Refusal",
    "choose_insert",
    "evaluate_insert",
    "insert_needed",
]

# Is one needed


def insert_needed(hole: DamagedHole, least_safety: float = SOUND_SAFETY) -> InsertNeed:
    """Say whether a hole needs a thread insert.

    needed: a crack enters it; stripped; corroded; worn and the sound thread left strips below
    `least_safety` times the bolt's proof load

    Args:
        hole: the hole
        least_safety: strip load over proof load asked of a worn thread [1]

    Returns:
        the finding

    Validity: a worn hole is chased with a tap first; the sound length counts 1.5 d at most.

    Raises:
        OutOfRange: a value not above zero; no bolt class and no axial load.

    Example:
        >>> from advisor.engineering.bolts import BoltClass
        >>> from advisor.engineering.designations import parse_designation
        >>> bolt = BoltClass("ISO 898-1", "8.8", 1.6, 16.0, 800.0, 640.0, 580.0)
        >>> hole = DamagedHole(
        ...     parse_designation("M12"), "good", 30.0, False, Parent(250.0, True), bolt
        ... )
        >>> insert_needed(hole).needed, insert_needed(replace(hole, crack_distance_mm=0.0)).needed
        (False, True)

    Source: vehicle maintenance manuals: chase first, then drill, tap and fit an insert (read);
    cracked and corroded holes: practice.
    """
    check_hole(hole)
    damaged = hole.damaged_length_mm
    if damaged is None:
        damaged = 0.0 if hole.condition == "good" else hole.depth_mm
    sound = min(max(0.0, hole.depth_mm - damaged), 1.5 * hole.thread.diameter_mm)
    safety = _sound_safety(hole, sound)
    reasons: list[str] = []
    if hole.crack_enters:
        reasons.append("the crack runs into the hole: its thread is no longer whole")
    if hole.condition in ("stripped", "corroded"):
        reasons.append(f"the thread is {hole.condition}")
    if hole.condition == "worn" and hole.thread.is_pipe:
        reasons.append("a worn pipe thread leaks")
    elif hole.condition == "worn" and (safety is None or safety < least_safety):
        reasons.append(
            f"only {sound:.3g} mm of sound thread is left, which strips at {safety or 0.0:.2f} "
            f"times the bolt's rated load; at least {least_safety:g} is wanted"
        )
    if reasons:
        return InsertNeed(True, tuple(reasons), sound, safety)
    keep = "chase the thread with a tap" if hole.condition == "worn" else "the thread is good"
    notes = [keep]
    if safety is not None and safety < least_safety:
        notes.append(
            f"it strips at {safety:.2f} times the bolt's rated load: keep to the preload it had"
        )
    return InsertNeed(False, tuple(notes), sound, safety)


def _sound_safety(hole: DamagedHole, sound_mm: float) -> float | None:
    if hole.thread.is_pipe:
        return None
    if sound_mm <= 0.0:
        return 0.0
    limits = limits_of(hole.thread)
    area = shear_area_of_hole(
        hole.thread.pitch_mm, limits.bolt_major_min, limits.hole_pitch_max, sound_mm
    )
    return hole.parent.shear * area / design_loads(hole)[0]


# Choosing


def choose_insert(
    hole: DamagedHole,
    at_least: InsertKind | None = None,
    least_diameters: float | None = None,
    insert_tensile_mpa: float = INSERT_TENSILE_MPA,
    least_safety: float = LEAST_SAFETY,
) -> InsertDesign:
    """Choose an insert for a hole.

    Kinds are tried from the one that takes least metal to the one that takes most; where a crack
    enters, or pressure stands behind a through hole, only bushing and plug are left. Preferred, in
    this order: the bolt breaks before a thread strips and the edge is far enough; the bolt breaks
    first; strip safety enough.

    Args:
        hole: the hole
        at_least: lightest kind allowed, None for any
        least_diameters: least length in bolt diameters, None for the kind's own
        insert_tensile_mpa: tensile strength of the insert's steel [MPa]
        least_safety: strip load over design load, below which an insert is refused [1]

    Returns:
        the design, with the kinds not taken and why

    Validity: as `evaluate_insert`; does not ask whether an insert is needed.

    Raises:
        NoInsertFits: (an OutOfRange) nothing fits; with all refusals and the nearest that would.
        OutOfRange: as `evaluate_insert`.

    Example:
        >>> from advisor.engineering.bolts import BoltClass
        >>> from advisor.engineering.designations import parse_designation
        >>> bolt = BoltClass("ISO 898-1", "8.8", 1.6, 16.0, 800.0, 640.0, 580.0)
        >>> hole = DamagedHole(
        ...     parse_designation("M12"), "stripped", 40.0, False, Parent(250.0, True), bolt,
        ...     edge_distance_mm=30.0,
        ... )
        >>> choose_insert(hole).kind
        'helical_wire'
        >>> cracked = choose_insert(replace(hole, crack_distance_mm=0.0, depth_mm=45.0))
        >>> cracked.kind, cracked.outside_thread, [r.kind for r in cracked.refused]
        ('solid_bushing', 'M16x2', ['helical_wire', 'thin_solid_bushing', 'threaded_plug'])

    Source: kinds and triggers as NASA-STD-5020B B.4.2 (read); order and preferences: practice.
    """
    check_hole(hole)
    designs: list[InsertDesign] = []
    refused: list[Refusal] = []
    misses: list[InsertDesign] = []
    for kind in _order(hole):
        if at_least is not None and KINDS.index(kind) < KINDS.index(at_least):
            refused.append(Refusal(kind, (f"a {_spoken(at_least)} or stronger is called for",)))
            continue
        if kind == "helical_wire" and hole.thread.is_pipe:
            refused.append(Refusal(kind, ("coils are not made for pipe threads",)))
            continue
        best = _best_of_kind(hole, kind, least_diameters, insert_tensile_mpa, least_safety)
        if best is None:
            refused.append(Refusal(kind, ("no standard outside thread is large enough",)))
        elif best.feasible:
            designs.append(best)
        else:
            misses.append(best)
            refused.append(_refusal(best))
    if not designs:
        raise NoInsertFits(hole.thread.text, tuple(refused), _nearest(misses, least_safety))
    chosen = min(designs, key=_rank)
    refused += [_not_taken(other, chosen) for other in designs if other is not chosen]
    refused.sort(key=lambda refusal: KINDS.index(refusal.kind))
    return replace(chosen, reasons=_reasons(hole, chosen), refused=tuple(refused))


# Faults of the kind itself: no other size of it would do.
_KIND_FAULTS = frozenset({"crack", "corroded", "seal", "pipe"})


def _order(hole: DamagedHole) -> tuple[InsertKind, ...]:
    """Lightest first; a plug before a bushing where it must seal."""
    if hole.must_seal:
        return ("helical_wire", "thin_solid_bushing", "threaded_plug", "solid_bushing")
    return KINDS


def _rank(design: InsertDesign) -> int:
    holds = design.holds_bolt is not False
    roomy = design.edge.state in ("ok", "not known")
    return 0 if holds and roomy else 1 if holds else 2


def _best_of_kind(
    hole: DamagedHole,
    kind: InsertKind,
    least_diameters: float | None,
    insert_tensile_mpa: float,
    least_safety: float,
) -> InsertDesign | None:
    """The lightest insert of a kind that holds the bolt, else the best there is."""
    best: InsertDesign | None = None
    for outside in outside_threads(kind, hole.thread):
        for length in _lengths(hole, kind, outside, least_diameters):
            design = evaluate_insert(hole, kind, outside, length, insert_tensile_mpa, least_safety)
            if design.feasible and design.holds_bolt is not False:
                return design
            if any(fault.code in _KIND_FAULTS and fault.needed is None for fault in design.faults):
                return design
            if best is None or _merit(design) > _merit(best):
                best = design
    return best


def _merit(design: InsertDesign) -> tuple[float, ...]:
    """Fewer faults that no number cures, fewer faults, the smaller shortfall, more strength."""
    hopeless = sum(fault.shortfall == inf for fault in design.faults)
    shortfall = sum(fault.shortfall for fault in design.faults if fault.shortfall < inf)
    strength = design.loads.least if design.feasible else 0.0
    return -hopeless, -len(design.faults), -shortfall, strength


def _lengths(
    hole: DamagedHole, kind: InsertKind, outside: OutsideThread, least_diameters: float | None
) -> list[float]:
    """Lengths worth a look, shortest first."""
    diameter = hole.thread.diameter_mm
    least = least_diameters or 0.0
    if kind == "helical_wire":
        # One diameter of coil carries no more than the bare hole did.
        weak = hole.parent.brittle or hole.parent.soft
        multiples = [m for m in COIL_LENGTHS if m >= max(least, 1.5 if weak else 1.0)]
        fitting = [m * diameter for m in multiples]
        return fitting or [max(least, COIL_LENGTHS[-1]) * diameter]
    room = hole.depth_mm - seat_depth(kind, hole.thread.pitch_mm)[1]
    if not hole.through:
        room -= RUN_OUT_PITCHES * outside.pitch_mm
    step = 1.0 if hole.thread.measure_system == "metric" else MM_PER_INCH / 16.0
    shortest = ceil(max(least, LEAST_DIAMETERS) * diameter / step - 1e-9)
    longest = floor(room / step + 1e-9)
    if hole.crack_enters:
        # It must close the cracked bore over the whole depth that is damaged.
        damaged = hole.damaged_length_mm
        cover = longest if damaged is None else ceil(damaged / step - 1e-9)
        shortest = max(shortest, min(cover, longest))
    else:
        cap = max(MOST_DIAMETERS, least) * diameter
        longest = min(longest, max(shortest, floor(cap / step + 1e-9)))
    return [round(count * step, 4) for count in range(shortest, max(shortest, longest) + 1)]


def _refusal(design: InsertDesign) -> Refusal:
    reasons = tuple(fault.text for fault in design.faults)
    if any(fault.code in _KIND_FAULTS and fault.needed is None for fault in design.faults):
        return Refusal(design.kind, reasons)
    return Refusal(design.kind, reasons, design.outside_thread, design.length_mm)


def _not_taken(design: InsertDesign, chosen: InsertDesign) -> Refusal:
    if _rank(design) > _rank(chosen):
        edge = design.edge.state == "tight" and chosen.edge.state != "tight"
        why = "leaves too little metal to the edge" if edge else "strips before the bolt breaks"
    else:
        why = f"would do, but takes out more metal than the {_spoken(chosen.kind)}"
        if design.outside_diameter_mm <= chosen.outside_diameter_mm:
            why = f"would do, but the {_spoken(chosen.kind)} serves this hole better"
    return Refusal(design.kind, (why,), design.outside_thread, design.length_mm)


def _spoken(kind: InsertKind) -> str:
    return kind.replace("_", " ")


def _reasons(hole: DamagedHole, design: InsertDesign) -> tuple[str, ...]:
    loads = design.loads
    said = []
    if hole.crack_enters:
        said.append("the crack enters the hole: the cracked bore is cut out and filled with metal")
    elif hole.must_seal:
        said.append("pressure stands behind a through hole: it must close the hole")
    else:
        said.append("it takes out least metal of those that hold")
    said.append(
        f"the casting strips at {loads.parent / 1000:.3g} kN, {design.strip_safety:.2f} times the "
        f"rated load of {loads.design / 1000:.3g} kN"
    )
    if design.holds_bolt:
        said.append("the bolt breaks before a thread strips")
    if design.edge.wall_mm is not None:
        said.append(f"{design.edge.wall_mm:.3g} mm of metal is left to the edge")
    return tuple(said)


def _nearest(misses: list[InsertDesign], least_safety: float) -> str | None:
    """The refused insert that misses by the least, and what would let it in."""
    curable = [d for d in misses if all(f.shortfall < inf for f in d.faults)]
    if not curable:
        return None
    best = min(curable, key=lambda d: (len(d.faults), sum(f.shortfall for f in d.faults)))
    wants = [_want(best, fault, least_safety) for fault in best.faults]
    name = f"{_spoken(best.kind)} {best.outside_thread} x {best.length_mm:.4g} mm"
    return f"nearest is a {name}: it would need {' and '.join(wants)}"


def _want(design: InsertDesign, fault: Fault, least_safety: float) -> str:
    if fault.code == "strength":
        load = design.loads.least / least_safety / 1000.0
        return f"a bolt rated at {load:.3g} kN or less"
    need = 0.0 if fault.needed is None else fault.needed
    return {
        "depth": f"{need:.4g} mm of depth",
        "edge": f"{need:.4g} mm from centre to edge",
        "damage": f"a bore that cleans up at {design.bore_mm:.4g} mm",
        "crack": f"the crack {need / 2.0:.4g} mm or more from the hole",
        "wall": "a larger outside thread",
        "pin": f"the last pin {need:.4g} mm or more from the centre",
    }.get(fault.code, fault.text)
