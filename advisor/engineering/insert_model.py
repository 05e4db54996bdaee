"""What is asked of a thread insert, and what comes out: plain records, and the rated loads."""

from __future__ import annotations

from math import inf
from typing import Final, Literal

from advisor.engineering.bolts import BoltClass, breaking_load, proof_load
from advisor.engineering.designations import Designation, ThreadSystem
from advisor.engineering.drilling import Drill
from advisor.engineering.insert_geometry import (
    BoreLigament,
    EdgeCheck,
    InsertKind,
    coil_hole,
)
from advisor.engineering.limits import OutOfRange
from advisor.engineering.ranges import not_negative, positive
from advisor.engineering.thread_strength import SHEAR_SHARE
from advisor.engineering.threads import stress_area
from advisor.light_dataclass import dataclass

Condition = Literal["good", "worn", "stripped", "corroded"]

# Strip load of the parent over the bolt's proof load, below which an insert is refused (practice).
LEAST_SAFETY: Final = 1.25
# The same for the sound rest of a worn thread, which is kept as it was designed (practice).
SOUND_SAFETY: Final = 1.0
# A turned bushing or plug of medium carbon steel, not hardened (practice).
INSERT_TENSILE_MPA: Final = 600.0
# Least length of a bushing or plug, and the greatest that is worth while, in bolt diameters.
LEAST_DIAMETERS: Final = 1.25
MOST_DIAMETERS: Final = 2.5
# Run-out below full thread in a blind hole, bottoming tap, in pitches of the outside thread: what
# the depths for coils leave (read second-hand), taken for bushings and plugs too (practice).
RUN_OUT_PITCHES: Final = 3.0


@dataclass(frozen=True)
class Parent:
    """The metal of the casting around the hole.

    Attributes:
        tensile_mpa: tensile strength to reckon with, the low one [MPa]
        brittle: breaks without stretching (grey, white, unknown iron)
        soft: aluminium, magnesium, zinc and their like
        shear_mpa: tested shear strength; None takes half the tensile strength [MPa]
    """

    tensile_mpa: float
    brittle: bool
    soft: bool = False
    shear_mpa: float | None = None

    @property
    def shear(self) -> float:
        """Shear strength to reckon with [MPa]."""
        if self.shear_mpa is not None:
            return positive("parent shear strength", self.shear_mpa, "MPa")
        return SHEAR_SHARE * positive("parent tensile strength", self.tensile_mpa, "MPa")


@dataclass(frozen=True)
class LastPin:
    """The last pin of the row that closes the crack.

    Attributes:
        diameter_mm: major diameter of the pin [mm]
        distance_mm: its centre to the centre of the hole [mm]
    """

    diameter_mm: float
    distance_mm: float


@dataclass(frozen=True)
class DamagedHole:
    """A threaded hole, its damage and its surroundings.

    Attributes:
        thread: what it is tapped for
        condition: of the thread
        depth_mm: depth that may be drilled; the wall where it goes through [mm]
        through: whether it goes through the wall
        parent: metal around it
        bolt: strength of the bolt; None for a pipe thread or where `axial_load_n` stands for it
        crack_distance_mm: edge of the hole to the crack, 0 where it enters, None without a crack
        damaged_length_mm: thread damaged, from the face; None: all of it [mm]
        damaged_diameter_mm: greatest diameter to which metal is lost, None if not measured [mm]
        edge_distance_mm: centre to the nearest free edge, None if not measured [mm]
        pressure_behind: fluid under pressure behind the wall
        pin: last pin of the row, None if not placed yet
        axial_load_n: load to carry where there is no bolt class [N]
    """

    thread: Designation
    condition: Condition
    depth_mm: float
    through: bool
    parent: Parent
    bolt: BoltClass | None = None
    crack_distance_mm: float | None = None
    damaged_length_mm: float | None = None
    damaged_diameter_mm: float | None = None
    edge_distance_mm: float | None = None
    pressure_behind: bool = False
    pin: LastPin | None = None
    axial_load_n: float | None = None

    @property
    def crack_enters(self) -> bool:
        """Whether the crack runs into the hole."""
        return self.crack_distance_mm is not None and self.crack_distance_mm <= 0.0

    @property
    def lost_diameter(self) -> float | None:
        """Diameter to which metal is gone already; a hole that held a coil is cut that far [mm]."""
        if not self.thread.coil_hole:
            return self.damaged_diameter_mm
        cut = coil_hole(self.thread.diameter_mm, self.thread.pitch_mm).major
        return max(cut, self.damaged_diameter_mm or 0.0)

    @property
    def must_seal(self) -> bool:
        """Whether the hole is open to the pressure behind."""
        return self.through and self.pressure_behind


@dataclass(frozen=True)
class InsertLoads:
    """Loads that an insert carries, by where it gives way [N]; None where it does not apply.

    Attributes:
        bolt_thread: the bolt's thread strips
        insert_inside: the insert's inner thread strips
        insert_outside: the insert's outer thread strips
        parent: the casting's thread strips
        design: what the bolt is rated to (proof load), or the axial load given
        breaking: breaking load of the bolt
    """

    bolt_thread: float | None
    insert_inside: float | None
    insert_outside: float | None
    parent: float
    design: float
    breaking: float | None

    @property
    def least(self) -> float:
        """The least of the loads at which a thread strips [N]."""
        loads = (self.bolt_thread, self.insert_inside, self.insert_outside, self.parent)
        return min(load for load in loads if load is not None)


@dataclass(frozen=True)
class Fault:
    """Why an insert does not go: the value needed against the value there is.

    Attributes:
        code: crack, corroded, damage, seal, pipe, wall, depth, strength, edge, pin
        text: plain sentence
        needed: what would do, None where no number would
        found: what there is
    """

    code: str
    text: str
    needed: float | None = None
    found: float | None = None

    @property
    def shortfall(self) -> float:
        """How far off, as a share; infinite where no number would do."""
        if self.needed is None or self.found is None or self.found <= 0.0:
            return inf
        return self.needed / self.found - 1.0


@dataclass(frozen=True)
class Refusal:
    """A kind of insert that was looked at and not taken, the reasons, and the best size of it."""

    kind: InsertKind
    reasons: tuple[str, ...]
    outside_thread: str | None = None
    length_mm: float | None = None


@dataclass(frozen=True)
class InsertDesign:
    """An insert with all its numbers.

    Attributes:
        kind: kind of insert
        bolt_thread: thread inside
        outside_thread: thread cut into the casting
        outside_diameter_mm: its major diameter: what is cut out of the casting [mm]
        length_mm: length of the insert [mm]
        bore_mm: least minor diameter of the thread in the casting [mm]
        tap_drill: stock drill for it
        drill_depth_mm: least drilled depth of a blind hole; the wall of a through one [mm]
        thread_depth_mm: least depth of full thread in the casting [mm]
        inside_drill: tap drill for the bolt thread in a plug
        seat_depth_mm: how far below the face, least and greatest [mm]
        edge: metal to the nearest edge
        loads: what it carries
        strip_safety: strip load of the parent over the design load [1]
        holds_bolt: whether the bolt breaks before anything strips, None where no bolt is rated
        preload_limit_n: greatest preload that the casting allows [N]
        ligament: last pin beside the bore, None if no pin is placed
        metal_to_crack_mm: metal left between bore and a crack that stops short [mm]
        faults: why it must not be fitted; empty where it may
        cautions: what to mind
        reasons: why it was chosen
        refused: the kinds not taken
    """

    kind: InsertKind
    bolt_thread: str
    outside_thread: str
    outside_diameter_mm: float
    length_mm: float
    bore_mm: float
    tap_drill: Drill
    drill_depth_mm: float
    thread_depth_mm: float
    inside_drill: Drill | None
    seat_depth_mm: tuple[float, float]
    edge: EdgeCheck
    loads: InsertLoads
    strip_safety: float
    holds_bolt: bool | None
    preload_limit_n: float
    ligament: BoreLigament | None
    metal_to_crack_mm: float | None
    faults: tuple[Fault, ...]
    cautions: tuple[str, ...]
    reasons: tuple[str, ...] = ()
    refused: tuple[Refusal, ...] = ()

    @property
    def feasible(self) -> bool:
        """Whether it may be fitted."""
        return not self.faults


class NoInsertFits(OutOfRange):
    """No insert goes into this hole; `hint` is the nearest that would, `refused` has them all."""

    def __init__(self, thread: str, refused: tuple[Refusal, ...], hint: str | None) -> None:
        self.refused = refused
        super().__init__("hole", thread, "no insert fits", hint)


@dataclass(frozen=True)
class InsertNeed:
    """Whether a hole needs an insert, why, and what its sound thread holds.

    Attributes:
        needed: whether an insert is needed
        reasons: why, or why not
        sound_length_mm: undamaged thread counted, at most 1.5 bolt diameters [mm]
        strip_safety: strip load of that thread over the design load, None for a pipe thread [1]
    """

    needed: bool
    reasons: tuple[str, ...]
    sound_length_mm: float
    strip_safety: float | None


def check_hole(hole: DamagedHole) -> None:
    """Refuse a hole whose measures cannot be.

    Args:
        hole: the hole

    Raises:
        OutOfRange: a depth not above zero, a negative measure, an unknown condition.
    """
    positive("depth", hole.depth_mm, "mm")
    for name, value in (
        ("damaged length", hole.damaged_length_mm),
        ("damaged diameter", hole.damaged_diameter_mm),
        ("crack distance", hole.crack_distance_mm),
    ):
        if value is not None:
            not_negative(name, value, "mm")
    if hole.condition not in ("good", "worn", "stripped", "corroded"):
        raise OutOfRange("condition", hole.condition, "must be good, worn, stripped or corroded")


def design_loads(hole: DamagedHole) -> tuple[float, float | None]:
    """Load that the thread is designed for, and the breaking load of the bolt.

    F = As Sp and As Rm; without a bolt class the axial load given, and None

    Args:
        hole: the hole

    Returns:
        design load, breaking load [N]

    Validity: metric and unified bolts; a pipe thread needs its axial load.

    Raises:
        OutOfRange: neither a bolt class nor an axial load.

    Source: ISO 898-1, SAE J429 (read second-hand).
    """
    if hole.bolt is not None and not hole.thread.is_pipe:
        area = _stress_area(hole.thread)
        proof = proof_load(area, hole.bolt.proof_mpa)
        return proof, breaking_load(area, hole.bolt.tensile_mpa)
    if hole.axial_load_n is None:
        wanted = "pressure times area" if hole.thread.is_pipe else "a bolt class, or the load"
        raise OutOfRange("axial load", None, "is needed", f"give {wanted}")
    return positive("axial load", hole.axial_load_n, "N"), None


def _stress_area(thread: Designation) -> float:
    metric = thread.system is ThreadSystem.METRIC
    return stress_area("metric" if metric else "unified", thread.diameter_mm, thread.pitch_mm)
