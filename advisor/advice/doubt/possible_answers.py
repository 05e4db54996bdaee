"""Answers that a question may still get: one for each way in which rules can take it.

For a choice, every choice; for a measured value, a usual one first, then one on each side of every
limit that rules hold it against; for lists, a plain one and those that make the work harder.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping

from advisor.advice.thinking import Thinking
from advisor.case.model import Hole, PathPoint
from advisor.case.model import Value as Answer
from advisor.case.quantities import Measure, format_measure, parse_measure
from advisor.case.questions import Question
from advisor.case.units import COUNTED, DIMENSIONS
from advisor.light_dataclass import dataclass
from advisor.reasoning.values import Number

_MOST_VALUES = 9
_FAR_APART = (0.4, 2.5, 6.0)
"""Values beside those named as examples, as parts of the largest, where no rule's limit lies so far
out: formulas may turn there."""
_NOTHING = frozenset({"none", "sound"})
"""Choices that stand alone among several."""


@dataclass(frozen=True)
class Possible:
    """An answer to try, and how it is called in a sentence."""

    says: str
    answer: Answer


def possible_answers(thinking: Thinking, question: Question) -> tuple[Possible, ...]:
    """Answers to try on one question of a case."""
    if question.type == "choice":
        return tuple(Possible(choice.label.lower(), choice.id) for choice in question.choices)
    if question.type == "yes_no":
        return (Possible("yes", "yes"), Possible("no", "no"))
    if question.type == "several":
        return tuple(_several(question))
    if question.type == "grade":
        return tuple(_grades(thinking))
    if question.type in ("measure", "number"):
        return tuple(_values(thinking, question))
    if question.id == "holes":
        return _HOLES
    if question.id == "crack_path":
        return tuple(_paths(thinking))
    return _COMPOSITIONS if question.id == "composition" else ()


def _several(question: Question) -> Iterator[Possible]:
    labels = {choice.id: choice.label.lower() for choice in question.choices}
    if _NOTHING & labels.keys():
        yield from (Possible(label, (id_,)) for id_, label in labels.items())
        return
    everything = tuple(labels)
    yield Possible("all of them", everything)
    for left_out, label in labels.items():
        yield Possible(f"no {label}", tuple(id_ for id_ in everything if id_ != left_out))


# --- measured values ----------------------------------------------------------------------------


def limits_of(thinking: Thinking, question: str) -> tuple[float, ...]:
    """The limits that bear on a measured answer: on itself, and on what is made of it in kind."""
    rulebook = thinking.rulebook
    if question not in rulebook.vocabulary:
        return ()
    dimension = rulebook.vocabulary[question].dimension
    found = set(rulebook.limits.get(question, ()))
    for fact in _MADE_OF.get(question, ()):
        if rulebook.vocabulary[fact].dimension == dimension:
            found.update(rulebook.limits.get(fact, ()))
    return tuple(sorted(found))


_MADE_OF: Mapping[str, tuple[str, ...]] = {
    "wall_thickness": ("sound_wall", "true_wall"),
    "nominal_stress": ("wall_stress",),
    "tensile_strength": ("wall_strength",),
    "pressure": ("test_pressure",),
    "crack_length": ("critical_crack_length",),
    "strength_target": ("strength_wanted",),
}
"""Facts of the same kind that formulas make of an answer."""


def values_between(limits: Iterable[float], *, whole: bool) -> list[float]:
    """One value below, between and above limits."""
    edges = sorted(set(limits))
    if not edges:
        return []
    width = max(abs(edges[-1]), 1.0) * 0.25
    found = [edges[0] - max(abs(edges[0]) * 0.25, 0.02 if not whole else 1.0)]
    found += [(low + high) / 2 for low, high in itertools.pairwise(edges)]
    found.append(edges[-1] + width)
    if whole:
        found = [float(round(value)) for value in (*found, *edges)]
    return sorted(set(found))


def _values(thinking: Thinking, question: Question) -> Iterator[Possible]:
    dimension = question.dimension or "number"
    whole = dimension in COUNTED
    limits = limits_of(thinking, question.id)
    values = values_between(limits, whole=whole)
    if 0 in limits:
        values = sorted({0.0, *values})
    examples = _examples(question)
    usual, largest = examples[0], max(examples)
    if dimension not in COUNTED and (not limits or limits[-1] < largest):
        values = sorted({*values, *(largest * part for part in _FAR_APART)})
    least, most = bounds(thinking, question.id, dimension)
    values = [value for value in values if least <= value <= most]
    if len(values) > _MOST_VALUES:
        step = (len(values) - 1) / (_MOST_VALUES - 1)
        values = [values[round(index * step)] for index in range(_MOST_VALUES)]
    usually = [usual] if least <= usual <= most else []
    for value in dict.fromkeys((*usually, *values)):
        measure = Measure(value, value, dimension)
        yield Possible(format_measure(measure), measure)


def _examples(question: Question) -> list[float]:
    """The values that the question names as examples, the usual one first."""
    dimension = question.dimension or "number"
    return [parse_measure(text, dimension).middle for text in question.unit_examples or ("1",)]


_ABOVE_ZERO = frozenset({"crack_length", "wall_thickness", "wall_thickness_max", "wall_radius",
                         "span", "tensile_strength", "ultrasonic_velocity",
                         "ultrasonic_set_velocity"})  # fmt: skip
_AT_LEAST = {"wall_thickness_max": "wall_thickness", "temperature_max": "temperature_min"}
_AT_MOST = {smaller: larger for larger, smaller in _AT_LEAST.items()}


def bounds(thinking: Thinking, question: str, dimension: str) -> tuple[float, float]:
    """Between which values an answer makes sense, other answers given."""
    kind = DIMENSIONS[dimension]
    least = 0.0 if kind.least is None else max(kind.least, -200.0)
    least = 1e-3 if question in _ABOVE_ZERO else least
    most = kind.most if kind.most is not None else 1e9
    below = thinking.values.get(_AT_LEAST.get(question, ""))
    above = thinking.values.get(_AT_MOST.get(question, ""))
    if isinstance(below, Number) and below.known:
        least = max(least, below.low)
    if isinstance(above, Number) and above.known:
        most = min(most, above.high)
    return least, most


# --- grades, lists and mappings -----------------------------------------------------------------


def _grades(thinking: Thinking) -> Iterator[Possible]:
    """One grade of each kind that rules can tell apart, of the metal claimed."""
    rows = thinking.rulebook.knowledge.tables["grades"].rows
    material = thinking.word("material")
    kinds: dict[tuple[object, ...], str] = {}
    other = None
    for grade, row in rows.items():
        told_apart = tuple(
            row[column].value if column in row else None
            for column in ("material", "heat_treated", "matrix", "weld_note", "variety")
        )
        if material is None or told_apart[0] == material:
            kinds.setdefault(told_apart, grade)
        elif other is None:
            other = grade
    for grade in list(kinds.values())[:_MOST_VALUES]:
        yield Possible(grade, grade)
    if material is not None and other is not None:
        yield Possible("a grade of another metal", other)


def _mm(value: float) -> Measure:
    return Measure(value, value, "length")


def _percent(**parts: float) -> Mapping[str, Measure]:
    return {name: Measure(value, value, "mass_fraction") for name, value in parts.items()}


def _hole(condition: str, distance: float) -> Hole:
    return Hole(
        thread="M12",
        depth=_mm(24),
        distance=_mm(distance),
        edge_distance=_mm(30),
        condition=condition,
        bolt_class="8.8",
        at=_mm(0),
    )


_HOLES = (
    Possible("no hole near the crack", ()),
    Possible("a sound hole beside the crack", (_hole("good", 25),)),
    Possible("a stripped hole beside the crack", (_hole("stripped", 25),)),
    Possible("a hole that the crack enters", (_hole("good", 0),)),
)

_COMPOSITIONS = (
    Possible(
        "a plain gray iron", _percent(C=3.3, Si=2.0, Mn=0.7, P=0.1, S=0.08, Cr=0.1, Ni=0.1, Mg=0)
    ),
    Possible("an iron rich in phosphorus", _percent(C=3.4, Si=2.2, Mn=0.6, P=0.8, S=0.1, Mg=0)),
    Possible(
        "an iron with magnesium", _percent(C=3.6, Si=2.4, Mn=0.3, P=0.03, S=0.01, Cr=0.05, Mg=0.045)
    ),
    Possible(
        "a lean steel",
        _percent(C=0.18, Si=0.4, Mn=0.7, P=0.02, S=0.02, Cr=0.1, Ni=0.1, Mo=0.02, V=0.0, Cu=0.1),
    ),
    Possible(
        "a steel that hardens",
        _percent(C=0.4, Si=0.4, Mn=0.9, P=0.02, S=0.02, Cr=1.0, Ni=0.2, Mo=0.25, V=0.05, Cu=0.1),
    ),
)


def _paths(thinking: Thinking) -> Iterator[Possible]:
    """A straight path, and one that runs through a thinner place."""
    length, wall = thinking.values["crack_length"], thinking.values["wall_thickness"]
    if not (isinstance(length, Number) and length.known):
        return
    if not (isinstance(wall, Number) and wall.known):
        return
    ends = (0.0, length.high)
    straight = tuple(PathPoint(x=_mm(x), y=_mm(0), wall=_mm(wall.low)) for x in ends)
    yield Possible("a straight line in an even wall", straight)
    thin = PathPoint(x=_mm(length.high / 2), y=_mm(length.high / 20), wall=_mm(wall.low * 0.75))
    yield Possible("a bend through a thinner place", (straight[0], thin, straight[1]))
