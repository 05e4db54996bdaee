"""The advice as it leaves the program: what ``advise --json`` prints, key by key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import Field, field, fields
from typing import Any, ClassVar, Literal, TypeVar

from advisor.light_dataclass import dataclass

SCHEMA = "crackwright.advice/1"
"""Name and version of the form of this document."""


P = TypeVar("P", bound="Part")


@dataclass(frozen=True)
class Part:
    """A part of a document: frozen, and strict about its keys where it is read back."""

    __pydantic_config__: ClassVar[Mapping[str, str]] = {"extra": "forbid"}

    def plain(self) -> dict[str, Any]:
        """The part as plain data, in the order of its keys."""
        return {_key(one): _plain(getattr(self, one.name)) for one in fields(self)}

    def known(self) -> dict[str, Any]:
        """The same without keys that hold nothing."""
        return {key: value for key, value in self.plain().items() if value is not None}

    @classmethod
    def read_back(cls: type[P], document: object) -> P:
        """The part that was written as this plain data.

        Raises:
            ValueError: a key that is missing, unknown, or of another kind.
        """
        from pydantic import TypeAdapter  # costs a tenth of a second, and few runs read back

        return TypeAdapter(cls).validate_python(document)


def _key(one: Field[Any]) -> str:
    """The key in the document; some are no names in Python."""
    return str(one.metadata.get("alias", one.name))


def _plain(value: object) -> Any:
    if isinstance(value, Part):
        return value.plain()
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    return value


@dataclass(frozen=True)
class Quantity(Part):
    """A number with its unit, always SI; ``low`` and ``high`` where it is known as a range."""

    value: float
    unit: str
    low: float | None = None
    high: float | None = None


VerdictWord = Literal["repair", "repair_with_approval", "investigate", "refer", "replace"]
Standing = Literal["recommended", "possible", "ruled_out"]
When = Literal["before", "during", "after"]


@dataclass(frozen=True)
class Program(Part):
    """Which program gave the advice."""

    name: str
    version: str
    reasoners: dict[str, Any]


@dataclass(frozen=True)
class RulebookRef(Part):
    """Which rules and knowledge gave the advice."""

    version: str
    digest: str


@dataclass(frozen=True)
class Approval(Part):
    """Somebody who has to agree."""

    id: str
    who: str
    reference: str
    rules: tuple[str, ...]


@dataclass(frozen=True)
class Verdict(Part):
    """The verdict, the rules that led to it, and who must agree."""

    value: VerdictWord
    because: tuple[str, ...]
    approval: tuple[Approval, ...]


@dataclass(frozen=True)
class Reason(Part):
    """One rule that speaks for or against a method."""

    rule: str
    effect: str
    text: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class MethodStanding(Part):
    """Where one method stands in this case."""

    method: str
    standing: Standing
    score: int
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class KeySection(Part):
    """The section of a key."""

    neck_width: Quantity
    lobe_diameter: Quantity
    lobe_pitch: Quantity
    lobes_each_side: int


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class LaidHole(Part):
    """One pin where it is drilled: number, place, pass, wall and pin length there."""

    n: int
    at: Quantity
    x: Quantity
    y: Quantity
    drilling_pass: int = field(metadata={"alias": "pass"})
    wall: Quantity
    pin_length: Quantity
    engaged_threads: float
    spotface_depth: Quantity


@dataclass(frozen=True)
class SeamStrength(Part):
    """What the seam restores, and what that rests on."""

    restored_fraction: float
    basis: str


@dataclass(frozen=True)
class Stitching(Part):
    """The stitched seam."""

    pin: PinDesign
    keys: KeysDesign | None
    passes: int
    layout: tuple[LaidHole, ...]
    strength: SeamStrength
    notes: tuple[str, ...]


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class AdvisedStep(Part):
    """One step of the procedure."""

    n: int
    id: str
    do: str
    rule: str
    cautions: tuple[str, ...]
    hold_point: bool


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class Caution(Part):
    """What to beware of."""

    text: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Assumption(Part):
    """What the advice took for granted, and the question that would settle it.

    ``rule`` is the rule, or else the formula, that took it; ``fact`` is the fact in the trace.
    """

    text: str
    rule: str
    question: str | None
    fact: str = ""


@dataclass(frozen=True)
class NextQuestion(Part):
    """A question that can still change the advice, and what it decides."""

    id: str
    question: str
    decides: tuple[str, ...]
    how: str
    effort: Quantity | None


@dataclass(frozen=True)
class Margin(Part):
    """The value of an answer at which a decision flips, and to what.

    ``rule`` is the rule, or else the formula, through which it flips.
    """

    fact: str
    value: Quantity
    flips_at: Quantity
    direction: Literal["below", "above"]
    changes: str
    rule: str
    inside_uncertainty: bool


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class TraceEntry(Part):
    """One fact and where it came from."""

    value: Any
    origin: Literal["answer", "table", "formula", "rule"] = field(metadata={"alias": "from"})
    rule: tuple[str, ...] | None = None
    formula: str | None = None
    table: str | None = None
    working: str | None = None
    inputs: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Advice(Part):
    """The whole advice. Every key is always there; nulls and empty lists where nothing applies."""

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
        return {"schema": SCHEMA, **self.plain()}

    @classmethod
    def from_json(cls, document: Mapping[str, Any]) -> Advice:
        """The advice that ``to_json`` gave.

        Raises:
            ValueError: another form, or a key that is missing, unknown, or of another kind.
        """
        if document.get("schema") != SCHEMA:
            raise ValueError(f"the form {document.get('schema')!r} instead of {SCHEMA}")
        return cls.read_back({key: value for key, value in document.items() if key != "schema"})
