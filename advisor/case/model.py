"""A case: what is known about one part, as answered, with nothing filled in."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from types import MappingProxyType
from typing import Final, TypeVar

from advisor.case.quantities import Measure


class Unknown(enum.Enum):
    """The answer of a person who looked and could not tell."""

    UNKNOWN = "unknown"

    def __repr__(self) -> str:
        return "UNKNOWN"


UNKNOWN: Final = Unknown.UNKNOWN

T = TypeVar("T")


def known(value: T | Unknown | None) -> T | None:
    """The value, or None where it is unanswered or unknown."""
    return None if isinstance(value, Unknown) else value


@dataclass(frozen=True)
class Member:
    """One member of a list answer. None: left out. UNKNOWN: answered as unknown."""

    def given(self) -> dict[str, str | Measure | Unknown]:
        """What is not left out, by name."""
        held = ((one.name, getattr(self, one.name)) for one in fields(self))
        return {name: value for name, value in held if value is not None}


@dataclass(frozen=True)
class Hole(Member):
    """A threaded hole near the crack; `thread` and `bolt_class` are kept as they were written."""

    thread: str | Unknown | None = None
    depth: Measure | Unknown | None = None
    distance: Measure | Unknown | None = None
    edge_distance: Measure | Unknown | None = None
    condition: str | Unknown | None = None
    damaged_length: Measure | Unknown | None = None
    bolt_class: str | Unknown | None = None
    at: Measure | Unknown | None = None


@dataclass(frozen=True)
class PathPoint(Member):
    """A point on the crack, in order along it."""

    x: Measure | Unknown | None = None
    y: Measure | Unknown | None = None
    wall: Measure | Unknown | None = None
    surface: str | Unknown | None = None
    z: Measure | Unknown | None = None


LIST_MEMBERS: Final[Mapping[str, type[Hole] | type[PathPoint]]] = MappingProxyType(
    {"holes": Hole, "crack_path": PathPoint}
)

# Of a composition only the elements that were measured are held.
Value = (
    str
    | Measure
    | Unknown
    | tuple[str, ...]
    | tuple[Hole, ...]
    | tuple[PathPoint, ...]
    | Mapping[str, Measure]
)


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer, and the line of the case file where it stands (0: not from a file)."""

    value: Value
    line: int = 0


@dataclass(frozen=True)
class Case:
    """One job. A question that is not in `answers` is unanswered."""

    reference: str
    title: str
    notes: str
    answers: Mapping[str, Answer]
    file: str = ""

    def value(self, question: str) -> Value | None:
        """The answer, UNKNOWN, or None where the question is unanswered."""
        answer = self.answers.get(question)
        return None if answer is None else answer.value

    def with_answers(self, changes: Mapping[str, Value | None]) -> Case:
        """The same case with answers changed; None takes an answer out."""
        answers = dict(self.answers)
        for question, value in changes.items():
            if value is None:
                answers.pop(question, None)
            else:
                answers[question] = Answer(value)
        return replace(self, answers=MappingProxyType(answers))
