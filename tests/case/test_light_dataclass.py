"""Light dataclasses behave as those of the standard library, which is the reference here."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from dataclasses import dataclass as standard
from functools import cached_property
from typing import Any, ClassVar

import pytest

from advisor.light_dataclass import dataclass as light


def _build(dataclass: Any) -> tuple[Any, Any, Any]:
    @dataclass(frozen=True)
    class Empty:
        pass

    @dataclass(frozen=True)
    class Point:
        x: float
        y: float = 0.0
        marks: tuple[str, ...] = dataclasses.field(default_factory=tuple)
        kind: ClassVar[dict[str, str]] = {"a": "mutable"}

        @cached_property
        def far(self) -> float:
            return self.x * 2

    @dataclass(frozen=True)
    class Named(Point):
        name: str = "n"

        def __repr__(self) -> str:
            return self.name

    return Empty, Point, Named


@pytest.mark.parametrize("dataclass", [standard, light])
def test_values_decide_what_is_equal(dataclass: Any) -> None:
    empty, point, named = _build(dataclass)
    assert empty() == empty()
    assert hash(empty()) == hash(empty())
    one, same, other = point(1.0), point(1.0), point(1.0, 2.0)
    assert one.far == 2.0  # what is cached in the object is not part of its value
    assert one == same
    assert hash(one) == hash(same)
    assert one != other
    assert named(1.0) != one
    assert one != (1.0, 0.0, ())
    assert {one, same, other} == {one, other}


def test_shown_as_by_the_standard_library() -> None:
    for ours, theirs in zip(_build(light), _build(standard), strict=True):
        values = () if ours.__name__ == "Empty" else (1.5,)
        assert repr(ours(*values)).split(".")[-2:] == repr(theirs(*values)).split(".")[-2:]
        assert [f.name for f in dataclasses.fields(ours)] == [
            f.name for f in dataclasses.fields(theirs)
        ]


@light(frozen=True)
class _Kept:
    n: int
    text: str = ""


def test_replaces_copies_and_pickles() -> None:
    kept = _Kept(1, "a")
    assert dataclasses.replace(kept, n=2) == _Kept(2, "a")
    assert copy.deepcopy(kept) == kept
    assert pickle.loads(pickle.dumps(kept)) == kept
    assert dataclasses.asdict(kept) == {"n": 1, "text": "a"}


def test_other_kinds_are_left_to_the_standard_library() -> None:
    @light
    class Open:
        n: int

    @light(frozen=True, slots=True)
    class Slotted:
        n: int

    changed = Open(1)
    changed.n = 2
    assert changed == Open(2)
    with pytest.raises(dataclasses.FrozenInstanceError):
        Slotted(1).n = 2  # type: ignore[misc]
