"""``dataclass`` as in the standard library, made in a quarter of the time where it is frozen.

The standard library compiles seven methods for each frozen class, and every start of the program
makes some two hundred classes. Here only ``__init__`` is compiled; the others are shared. That a
frozen one is never assigned to is held by the type checker alone.
"""

from __future__ import annotations

import dataclasses
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from dataclasses import dataclass
else:
    T = TypeVar("T")

    def dataclass(cls: type[T] | None = None, *, frozen: bool = False, **how: Any) -> Any:
        """As ``dataclasses.dataclass``."""
        if cls is None:
            return lambda decorated: dataclass(decorated, frozen=frozen, **how)
        if how or not frozen:
            return dataclasses.dataclass(cls, frozen=frozen, **how)
        made = dataclasses.dataclass(cls, eq=False, repr=False)
        names = [field.name for field in dataclasses.fields(made)]
        made._held = attrgetter(*names) if names else staticmethod(_nothing)
        for name, method in _SHARED.items():
            if name not in cls.__dict__:
                setattr(made, name, method)
        return made


__all__ = ["dataclass"]


def _nothing(_self: Any) -> tuple[()]:
    return ()


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self is other or self._held(self) == self._held(other)


def _hash(self: Any) -> int:
    return hash(self._held(self))


def _repr(self: Any) -> str:
    names = (field.name for field in dataclasses.fields(self))
    held = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
    return f"{type(self).__qualname__}({held})"


_SHARED = {"__eq__": _eq, "__hash__": _hash, "__repr__": _repr}
