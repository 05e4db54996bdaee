"""The advice as it leaves the program: what ``advise --json`` prints, key by key."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA = "crackwright.advice/1"
"""Name and version of the form of this document."""


class Part(BaseModel):
    """A part of the advice; frozen, and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Quantity(Part):
    """A number with its unit, always SI; ``low`` and ``high`` where it is known as a range."""

    value: float
    unit: str
    low: float | None = None
    high: float | None = None


VerdictWord = Literal["repair", "repair_with_approval", "investigate", "refer", "replace"]
Standing = Literal["recommended", "possible", "ruled_out"]
When = Literal["before", "during", "after"]


class Program(Part):
    """Which program gave the advice."""

    name: str
    version: str
    reasoners: dict[str, Any]


class RulebookRef(Part):
    """Which rules and knowledge gave the advice."""

    version: str
    digest: str


class Approval(Part):
    """Somebody who has to agree."""

    id: str
    who: str
    reference: str
    rules: tuple[str, ...]


class Verdict(Part):
    """The verdict, the rules that led to it, and who must agree."""

    value: VerdictWord
    because: tuple[str, ...]
    approval: tuple[Approval, ...]


class Reason(Part):
    """One rule that speaks for or against a method."""

    rule: str
    effect: str
    text: str
    sources: tuple[str, ...]


class MethodStanding(Part):
    """Where one method stands in this case."""

    method: str
    standing: Standing
    score: int
    reasons: tuple[Reason, ...]


class PinDesign(Part):
    """The pins of the row."""

    thread: str
    major_diameter: Quantity
    length: Quantity
    count: int
    pitch: Quantity
    overlap: Quantity
    tap_drill: Quantity
    spotface_depth: Quantity
    spotface_diameter: Quantity
    engaged_threads: float
    material: str


class KeySection(Part):
    """The section of a key."""

    neck_width: Quantity
    lobe_diameter: Quantity
    lobe_pitch: Quantity
    lobes_each_side: int


class KeyLaid(Part):
    """One key where its slot is cut, square to the crack: the pins at it, and the neck they leave.

    ``at`` is measured along the crack, ``heading`` is the direction of the crack there.
    """

    n: int
    at: Quantity
    x: Quantity
    y: Quantity
    heading: Quantity
    pins: tuple[int, ...]
    neck_left: Quantity


class KeysDesign(Part):
    """The keys across the crack; ``order`` says whether keys or pins go in first.

    ``lobes_counted`` a side carry; a lobe whose tooth the row of pins takes is not counted.
    """

    count: int
    spacing: Quantity
    section: KeySection
    depth: Quantity
    layers: int
    capacity: Quantity
    positions: tuple[Quantity, ...]
    order: Literal["keys_first", "pins_first"]
    neck_left: Quantity
    lobes_counted: int
    places: tuple[KeyLaid, ...]


class LaidHole(Part):
    """One pin where it is drilled: number, place, pass, wall and pin length there."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    n: int
    at: Quantity
    x: Quantity
    y: Quantity
    drilling_pass: int = Field(alias="pass")
    wall: Quantity
    pin_length: Quantity
    engaged_threads: float
    spotface_depth: Quantity


class SeamStrength(Part):
    """What the seam restores, and what that rests on."""

    restored_fraction: float
    basis: str


class Stitching(Part):
    """The stitched seam."""

    pin: PinDesign
    keys: KeysDesign | None
    passes: int
    layout: tuple[LaidHole, ...]
    strength: SeamStrength
    notes: tuple[str, ...]


class Insert(Part):
    """What one threaded hole near the crack needs."""

    hole: int
    needed: bool
    kind: str | None
    outside_thread: str | None
    length: Quantity | None
    bore: Quantity | None
    tap_drill: Quantity | None
    strip_safety: float | None
    ligament: Quantity | None
    seat_depth: Quantity | None
    because: tuple[str, ...]


class Heat(Part):
    """How the casting is heated, filled and cooled."""

    process: str
    filler: str | None
    preheat_min: Quantity | None
    interpass_max: Quantity | None
    postheat: str
    cooling: str
    energy: Quantity | None
    heating_rate_max: Quantity | None
    cooling_rate_max: Quantity | None
    stress_relief_temperature: Quantity | None
    because: tuple[str, ...]


class AdvisedStep(Part):
    """One step of the procedure."""

    n: int
    id: str
    do: str
    rule: str
    cautions: tuple[str, ...]
    hold_point: bool


class AdvisedInspection(Part):
    """One inspection."""

    id: str
    when: When
    method: str
    what: str
    acceptance: str
    hold_point: bool
    who: str
    rule: str
    sources: tuple[str, ...]


class Caution(Part):
    """What to beware of."""

    text: str
    rule: str
    sources: tuple[str, ...]


class Assumption(Part):
    """What the advice took for granted, and the question that would settle it.

    ``rule`` is the rule, or else the formula, that took it; ``fact`` is the fact in the trace.
    """

    text: str
    rule: str
    question: str | None
    fact: str = ""


class NextQuestion(Part):
    """A question that can still change the advice, and what it decides."""

    id: str
    question: str
    decides: tuple[str, ...]
    how: str
    effort: Quantity | None


class Margin(Part):
    """The value of an answer at which a decision flips, and to what.

    ``rule`` is the rule, or else the formula, through which it flips.
    """

    fact: str
    value: Quantity
    flips_at: Quantity
    direction: Literal["below", "above"] = "above"
    changes: str
    rule: str
    inside_uncertainty: bool


class Spread(Part):
    """A number known only between two values, what either end would decide, and what settles it."""

    fact: str
    value: Quantity
    firm: bool
    at_low: str
    at_high: str
    planned_for: str
    question: str
    how: str


class TraceEntry(Part):
    """One fact and where it came from."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    value: Any
    origin: Literal["answer", "table", "formula", "rule"] = Field(alias="from")
    rule: tuple[str, ...] | None = None
    formula: str | None = None
    table: str | None = None
    working: str | None = None
    inputs: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


class Advice(Part):
    """The whole advice. Every key is always there; nulls and empty lists where nothing applies."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    schema_: str = Field(default=SCHEMA, alias="schema")
    case: str
    title: str
    program: Program
    rulebook: RulebookRef
    verdict: Verdict
    methods: tuple[MethodStanding, ...]
    stitching: Stitching | None
    inserts: tuple[Insert, ...]
    heat: Heat | None
    steps: tuple[AdvisedStep, ...]
    inspections: tuple[AdvisedInspection, ...]
    cautions: tuple[Caution, ...]
    assumptions: tuple[Assumption, ...]
    next_questions: tuple[NextQuestion, ...]
    margins: tuple[Margin, ...]
    spreads: tuple[Spread, ...]
    trace: dict[str, TraceEntry]

    @property
    def recommended(self) -> str | None:
        """The method recommended, if one is."""
        return next((m.method for m in self.methods if m.standing == "recommended"), None)

    @property
    def go_ahead(self) -> bool:
        """Whether the verdict lets the work go ahead."""
        return self.verdict.value in ("repair", "repair_with_approval")

    def to_json(self) -> dict[str, Any]:
        """The document as plain data, in the order of its keys."""
        return self.model_dump(mode="json", by_alias=True)
