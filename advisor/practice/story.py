"""The case as an apprentice meets it: what the customer says, and what the bench has found.

Every answer of the case is told once, in the customer's words or on the list of the bench; nothing
is told that is not in the case.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from advisor.advice.doubt.asking import pointless
from advisor.advice.phrases import Units
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.model import UNKNOWN, Case, Hole, PathPoint
from advisor.case.model import Value as Answer
from advisor.case.quantities import Measure, format_measure
from advisor.light_dataclass import dataclass
from advisor.practice.making.drawn import GENERATED


@dataclass(frozen=True)
class Line:
    """One line of the list: the question behind it, its label, and what was found."""

    question: str
    label: str
    found: str


@dataclass(frozen=True)
class Story:
    """A case to be told.

    Attributes:
        title: what it is about.
        told: what the customer says, in paragraphs.
        bench: what was found, by heading.
        open: questions that nobody has answered.
    """

    title: str
    told: tuple[str, ...]
    bench: tuple[tuple[str, tuple[Line, ...]], ...]
    open: tuple[str, ...]


def tell(thinking: Thinking, units: Units = "si") -> Story:
    """Tell a case."""
    case, book = thinking.case, thinking.rulebook
    teller = _Teller(case, book, units)
    told = tuple(text for text in teller.customer() if text)
    return Story(case.title, told, tuple(teller.bench()), tuple(_left_open(thinking)))


def _left_open(thinking: Thinking) -> Iterator[str]:
    """Questions that make sense here and that nobody has answered."""
    unknown = frozenset(n for n, a in thinking.case.answers.items() if a.value is UNKNOWN)
    no_point = pointless(thinking, unknown)
    for question in thinking.rulebook.questionnaire:
        if question.id not in thinking.case.answers and question.id not in no_point:
            yield label_of(question.id)


def label_of(question: str) -> str:
    """A question as the heading of a line."""
    return _LABELS.get(question, question.replace("_", " "))


_LABELS: Mapping[str, str] = {
    "crack_ends_found": "ends found by",
    "crack_branches": "branches",
    "crack_count": "cracks on the part",
    "crack_moves": "opens under load by",
    "crack_faces_offset": "step between the faces",
    "missing_metal": "a piece missing",
    "wall_thickness": "least wall",
    "wall_thickness_max": "greatest wall",
    "ultrasonic_set_velocity": "gauge was set to",
    "ultrasonic_velocity": "velocity in this casting",
    "machined_face_role": "machined face it meets",
    "nearest_edge": "nearest free edge",
    "nearest_passage": "nearest oil or coolant way",
    "base_condition": "condition of the metal",
    "graphitic_depth": "soft black skin",
    "strength_target": "strength to restore",
    "heat_allowed": "heat that the part may get",
    "distortion": "how far it may move",
    "processes": "the shop has",
    "welder_qualified": "welder qualified for this",
    "nominal_stress": "stress across the crack",
    "part_mass": "mass",
    "cast_year": "cast in",
    "crack_depth": "depth",
    "rim_speed": "rim speed",
}

_BENCH: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "The metal on the bench",
        (
            "material_grade", "cast_year", "part_mass", "hardness", "composition",
            "tensile_strength", "magnet", "chip_test", "ring_test", "file_test", "spark_test",
            "fracture_face", "ultrasonic_velocity", "base_condition", "graphitic_depth",
            "heat_checks",
        ),
    ),
    (
        "The crack",
        (
            "crack_location", "crack_length", "crack_depth", "crack_ends_found", "crack_branches",
            "crack_count", "crack_moves", "crack_faces_offset", "missing_metal",
            "machined_face_role", "face_out_of_flat", "nearest_edge", "nearest_passage", "access",
            "behind_wall", "crack_path", "holes",
        ),
    ),
    (
        "The wall",
        ("wall_thickness", "wall_thickness_max", "wall_measured_by", "ultrasonic_set_velocity",
         "wall_radius", "span", "nominal_stress", "strength_target"),
    ),
    (
        "The job",
        ("site", "heat_allowed", "distortion", "processes", "welder_qualified", "hazards",
         "rim_speed"),
    ),
)  # fmt: skip
"""What stands on the list, by heading; everything else the customer says."""

ON_LIST: Collection[str] = frozenset(name for _, names in _BENCH for name in names)


class _Teller:
    def __init__(self, case: Case, book: Rulebook, units: Units) -> None:
        self._case = case
        self._book = book
        self._units: Units = units

    # --- on the list ------------------------------------------------------------------------

    def bench(self) -> Iterator[tuple[str, tuple[Line, ...]]]:
        for heading, names in _BENCH:
            lines = tuple(self._line(name) for name in names if name in self._case.answers)
            if lines:
                yield heading, lines

    def _line(self, name: str) -> Line:
        return Line(name, label_of(name), self._found(name))

    def _found(self, name: str) -> str:
        value = self._case.value(name)
        if value is None or value is UNKNOWN:
            return "not known"
        if name == "holes" and isinstance(value, tuple):
            holes = [hole for hole in value if isinstance(hole, Hole)]
            return "; ".join(self._hole(hole) for hole in holes) or "none near the crack"
        if name == "crack_path" and isinstance(value, tuple):
            return "; ".join(self._point(p) for p in value if isinstance(p, PathPoint))
        return self._says(name, value)

    def _says(self, name: str, value: Answer) -> str:
        if name == "strength_target" and isinstance(value, Measure) and value.high == 0:
            return "none asked for"
        if isinstance(value, Measure):
            return format_measure(value, self._units)
        if isinstance(value, Mapping):
            return ", ".join(f"{part} {format_measure(one)}" for part, one in value.items())
        labels = {c.id: c.label for c in self._book.questionnaire.by_id[name].choices}
        words = value if isinstance(value, tuple) else (value,)
        return ", ".join(labels.get(str(word), str(word)) for word in words)

    def _part(self, value: object) -> str:
        if isinstance(value, Measure):
            return format_measure(value, self._units)
        return "not known" if value is UNKNOWN else str(value)

    def _hole(self, hole: Hole) -> str:
        said = [self._part(hole.thread), f"thread {self._part(hole.condition)}"]
        distance = hole.distance
        if isinstance(distance, Measure) and distance.high == 0:
            said.append("the crack runs into it")
        elif distance is not None:
            said.append(f"{self._part(distance)} from the crack")
        for name, text in (
            ("depth", "{} of full thread"),
            ("damaged_length", "{} of it damaged"),
            ("edge_distance", "{} from its centre to the edge"),
            ("bolt_class", "bolt {}"),
            ("at", "at {} along the crack"),
        ):
            value = getattr(hole, name)
            if value is not None:
                said.append(text.format(self._part(value)))
        return ", ".join(said)

    def _point(self, point: PathPoint) -> str:
        said = f"x {self._part(point.x)}, y {self._part(point.y)}"
        if point.z is not None:
            said += f", step {self._part(point.z)}"
        if point.wall is not None:
            said += f", wall {self._part(point.wall)}"
        return f"{said} {point.surface}" if isinstance(point.surface, str) else said

    # --- in the customer's words --------------------------------------------------------------

    def customer(self) -> Iterator[str]:
        yield self._case.notes
        yield self._what_happened()
        yield self._metal()
        yield self._service()
        yield self._who()
        for name in self._case.answers:
            if name not in ON_LIST and name not in _TOLD:
                yield f"{label_of(name).capitalize()}: {self._found(name)}."

    def _word(self, name: str) -> str:
        """A word answer; ``unknown`` or empty where there is none."""
        value = self._case.value(name)
        if value is UNKNOWN:
            return "unknown"
        return value if isinstance(value, str) else ""

    def _phrases(self, *names: str) -> str:
        """The sentences for some answers, one after the other."""
        found = (_SAYS[name].get(self._word(name), "") for name in names)
        return " ".join(text for text in found if text)

    def _what_happened(self) -> str:
        part = ""
        if self._word("part_kind"):
            kind = self._found("part_kind")
            part = f"A job for the {kind} bench." if kind == "not known" else f"The part: {kind}."
            part = "Nobody has said what part it is." if kind == "not known" else part
        return f"{part} {self._phrases('crack_cause', 'cause_removed')}".strip()

    def _metal(self) -> str:
        evidence = self._word("material_evidence")
        how = _SAYS["material_evidence"].get(evidence, "")
        if "material" not in self._case.answers:
            return how
        if self._word("material") == "unknown":
            return f"The customer cannot say what metal it is. {how}".strip()
        return f"The customer says that it is {self._found('material')}. {how}".strip()

    def _service(self) -> str:
        said = []
        if "fluid" in self._case.answers:
            said.append(self._holds())
        for name, text in (
            ("temperature_max", "The metal gets as hot as {}."),
            ("temperature_min", "It gets as cold as {}."),
        ):
            if name in self._case.answers:
                said.append(text.format(self._found(name)))
        said.append(self._phrases("thermal_cycling", "load", "leak_tight"))
        return " ".join(text for text in said if text)

    def _holds(self) -> str:
        fluid = self._word("fluid")
        pressure = self._found("pressure") if "pressure" in self._case.answers else ""
        at = f" at {pressure} gauge" if pressure not in ("", "not known") else ""
        at = ", at a pressure that is not known" if pressure == "not known" else at
        if fluid == "none":
            return f"The wall holds nothing back{at}."
        if fluid == "unknown":
            return f"What the wall holds back is not known{at}."
        return f"The wall holds back {self._found('fluid')}{at}."

    def _who(self) -> str:
        said = [self._phrases("failure_consequence")]
        value = self._case.value("governed_by")
        if value is UNKNOWN:
            said.append("Nobody can say which laws govern it.")
        elif value == ("none",):
            said.append("Somebody has checked: no law and no outside body has a say.")
        elif value is not None:
            said.append(f"It comes under {self._found('governed_by')}.")
        said.append(self._phrases("replacement", "repair_intent"))
        return " ".join(text for text in said if text)


_SAYS: Mapping[str, Mapping[str, str]] = {
    "crack_cause": {
        "freezing": "It froze with water in it, the customer says.",
        "overheating": "It cracked when it ran too hot, the customer says.",
        "overload": "It broke under one load too many, the customer says.",
        "impact": "It had a blow, the customer says.",
        "fatigue": "The crack grew bit by bit in service, the customer says.",
        "over_tightening": "It cracked when a bolt was tightened, the customer says.",
        "casting_defect": "The casting was never sound there, the customer says.",
        "corrosion": "It was eaten away until it cracked, the customer says.",
        "unknown": "Nobody can say why it cracked.",
    },
    "cause_removed": {
        "yes": "The cause has been put right.",
        "no": "Nothing has been done about the cause.",
        "unknown": "Whether the cause has been put right is not known.",
    },
    "material_evidence": {
        "certificate_or_mark": "There is a certificate or a mark on the casting.",
        "spectrometer": "It has been analysed.",
        "workshop_tests": "It has been tried in the workshop.",
        "guess": "That is a guess.",
        "unknown": "How that is known, nobody can say.",
    },
    "thermal_cycling": {
        "none": "Its temperature hardly changes.",
        "slow": "It warms and cools slowly.",
        "rapid": "It heats and cools fast.",
        "unknown": "How fast it heats and cools is not known.",
    },
    "load": {
        "none": "No load acts on the place.",
        "static": "The place carries a steady load.",
        "cyclic": "The place carries a load that comes and goes.",
        "shock": "The place takes blows.",
        "unknown": "What load the place carries is not known.",
    },
    "leak_tight": {
        "yes": "It has to be tight.",
        "no": "It need not be tight.",
        "unknown": "Whether it has to be tight is not known.",
    },
    "failure_consequence": {
        "nuisance": "If it gives way again it is a nuisance and no more.",
        "loss_of_use": "If it gives way again the machine stands still.",
        "injury": "If it gives way again somebody may be hurt.",
        "unknown": "Nobody can say what happens if it gives way again.",
    },
    "replacement": {
        "in_stock": "A new one is in stock.",
        "long_lead": "A new one takes weeks or months.",
        "obsolete": "Nobody supplies a new one any more.",
        "unknown": "Whether a new one can be had is not known.",
    },
    "repair_intent": {
        "permanent": "The repair is to last.",
        "temporary": "The repair only has to bridge the time until a new one comes.",
        "unknown": "Whether it is to last, the customer has not said.",
    },
}

_TOLD = frozenset(
    {*_SAYS, "part_kind", "material", "fluid", "pressure", "temperature_max", "temperature_min",
     "governed_by"}
)  # fmt: skip


def is_generated(case: Case) -> bool:
    """Whether a case was drawn for practice."""
    return case.title.endswith(GENERATED)
