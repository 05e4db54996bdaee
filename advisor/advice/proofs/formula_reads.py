"""Which facts and answers a formula can read, found in its code without running it.

A formula fetches facts by name, in many branches. Every name that stands as a constant anywhere in
its function, or in a function of this program that it calls, counts as one that it may read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import CodeType, FunctionType, ModuleType
from typing import Any

from advisor.advice.formulas import Formula
from advisor.reasoning.conditions import facts_read

PACKAGE = "advisor."
SKIPPED = ("advisor.reasoning", "advisor.case")
"""Parts of the program whose constants are not names of facts that a formula fetches."""

MOST_ENTRIES = 100
"""Larger mappings are tables of values and not lists of names."""


def reads(formula: Formula, names: Iterable[str]) -> frozenset[str]:
    """The facts and answers, out of ``names``, that a formula may read."""
    found = set(_constants(formula.compute, set())) & set(names)
    return frozenset(found - set(formula.outputs)) | facts_read(formula.when)


def module_reads(module: ModuleType, names: Iterable[str]) -> frozenset[str]:
    """The facts and answers, out of ``names``, that stand anywhere in a module's own functions."""
    own = [
        each for each in vars(module).values() if getattr(each, "__module__", "") == module.__name__
    ]
    values = [
        each for each in vars(module).values() if isinstance(each, tuple | frozenset | Mapping)
    ]
    seen: set[int] = set()
    found = {text for each in (*own, *values) for text in _constants(each, seen)}
    return frozenset(found & set(names))


def _constants(thing: Any, seen: set[int]) -> Iterator[str]:
    """Every text in a function, in what it calls, and in the constants that it uses."""
    if id(thing) in seen:
        return
    seen.add(id(thing))
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, FunctionType):
        if _ours(thing.__module__):
            yield from _of_code(thing.__code__, thing.__globals__, seen)
    elif isinstance(thing, type):
        if _ours(thing.__module__):
            for member in vars(thing).values():
                yield from _constants(_function_of(member), seen)
    elif isinstance(thing, tuple | list | set | frozenset):
        for each in thing:
            yield from _constants(each, seen)
    elif isinstance(thing, Mapping) and len(thing) < MOST_ENTRIES:
        for key, value in thing.items():
            yield from _constants(key, seen)
            yield from _constants(value, seen)


def _ours(module: str | None) -> bool:
    return bool(module) and module.startswith(PACKAGE) and not module.startswith(SKIPPED)  # type: ignore[union-attr]


def _function_of(member: object) -> object:
    if isinstance(member, property):
        return member.fget
    if isinstance(member, staticmethod | classmethod):
        return member.__func__
    return member


def _of_code(code: CodeType, names: Mapping[str, Any], seen: set[int]) -> Iterator[str]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _of_code(constant, names, seen)
        else:
            yield from _constants(constant, seen)
    for name in code.co_names:
        yield from _named(name, code, names, seen)


def _named(name: str, code: CodeType, names: Mapping[str, Any], seen: set[int]) -> Iterator[str]:
    used = names.get(name)
    if isinstance(used, ModuleType):
        if _ours(used.__name__ + "."):
            for attribute in code.co_names:
                yield from _constants(vars(used).get(attribute), seen)
    elif used is not None:
        yield from _constants(used, seen)
