"""The program's own advice as a plan file, so that people edit instead of typing."""

from __future__ import annotations

import contextlib
import json
import os
import re
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from advisor.advice.model import Advice, Heat, Insert, KeysDesign, PinDesign, Quantity
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.problems import InputProblem
from advisor.engineering.keys import KeyDesign
from advisor.review.pressure import WATER_TESTS

Plain = str | list["Plain"] | dict[str, "Plain"]

_PLAIN = re.compile(r"[A-Za-z0-9./+][A-Za-z0-9 ./+_°()%-]*(?<! )")
_BY = "crackwright"


def plan_of(advice: Advice, thinking: Thinking) -> dict[str, Plain]:
    """An advice as the plain data of a plan file, in the order of the form."""
    plan: dict[str, Plain] = {
        "plan": f"{advice.case}-plan",
        "by": _BY,
        "case": advice.case,
        "verdict": advice.verdict.value,
    }
    if advice.recommended is not None:
        plan["method"] = advice.recommended
    if advice.stitching is not None:
        plan["pin"] = _pin(advice.stitching.pin)
        if advice.stitching.keys is not None:
            plan["keys"] = _keys(advice.stitching.keys, thinking)
    inserts = [_insert(one) for one in advice.inserts if one.needed and one.outside_thread]
    if inserts:
        plan["inserts"] = list(inserts)
    if advice.heat is not None:
        plan["heat"] = _heat(advice.heat)
    if advice.inspections:
        plan["inspections"] = _inspections(advice)
    if advice.go_ahead:
        plan |= _test(advice)
        plan["sequence"] = list(_sequence(advice, thinking.rulebook))
    return plan


def _amount(quantity: Quantity) -> str:
    number = f"{quantity.value:.6g}" if abs(quantity.value) < 1e6 else f"{quantity.value:g}"
    return number if quantity.unit == "1" else f"{number} {quantity.unit}"


def _pin(pin: PinDesign) -> Plain:
    return {
        "thread": pin.thread,
        "pitch": _amount(pin.pitch),
        "count": str(pin.count),
        "spotface_depth": _amount(pin.spotface_depth),
        "length": _amount(pin.length),
    }


def _keys(keys: KeysDesign, thinking: Thinking) -> Plain:
    design = thinking.objects.get("keys")
    section: dict[str, Plain] = {
        "neck_width": _amount(keys.section.neck_width),
        "lobe_diameter": _amount(keys.section.lobe_diameter),
        "lobe_pitch": _amount(keys.section.lobe_pitch),
        "lobes_each_side": str(keys.section.lobes_each_side),
    }
    plan: dict[str, Plain] = {
        "count": str(keys.count),
        "spacing": _amount(keys.spacing),
        "depth": _amount(keys.depth),
        "section": section,
    }
    if isinstance(design, KeyDesign):
        plan["staggered"] = "yes" if design.staggered else "no"
    return plan


def _insert(insert: Insert) -> Plain:
    plan: dict[str, Plain] = {"hole": str(insert.hole)}
    if insert.outside_thread is not None:
        plan["outside_thread"] = insert.outside_thread
    if insert.length is not None:
        plan["length"] = _amount(insert.length)
    if insert.kind is not None:
        plan["kind"] = insert.kind
    return plan


def _heat(heat: Heat) -> Plain:
    plan: dict[str, Plain] = {}
    if heat.preheat_min is not None:
        plan["preheat"] = _amount(heat.preheat_min)
    if heat.interpass_max is not None:
        plan["interpass_max"] = _amount(heat.interpass_max)
    if heat.filler is not None:
        plan["filler"] = heat.filler
    if heat.cooling != "not known":
        plan["cooling"] = heat.cooling
    return plan


def _inspections(advice: Advice) -> list[Plain]:
    """One entry a time and method; a hold point where one of them is."""
    holds: dict[tuple[str, str], bool] = {}
    for one in advice.inspections:
        slot = (one.when, one.method)
        holds[slot] = holds.get(slot, False) or one.hold_point
    return [
        {"when": when, "method": method, "hold_point": "yes" if hold else "no"}
        for (when, method), hold in holds.items()
    ]


def _test(advice: Advice) -> dict[str, Plain]:
    asked = {one.id for one in advice.inspections}
    entry = advice.trace.get("test_pressure")
    if asked.isdisjoint(WATER_TESTS) or entry is None or not isinstance(entry.value, dict):
        return {}
    pressure = Quantity(value=round(float(entry.value["value"]), 2), unit="bar")
    medium = "oil" if "pressure_test_oil" in asked else "water"
    return {"test_pressure": _amount(pressure), "test_medium": medium}


def _sequence(advice: Advice, book: Rulebook) -> Iterator[str]:
    before = ""
    for step in advice.steps:
        word = book.steps[step.id].sequence_word
        if word and word != before:
            yield word
            before = word


# --- text ---------------------------------------------------------------------------------------


def plan_text(plan: Mapping[str, Plain]) -> str:
    """A plan as the text of its file.

    >>> print(plan_text({"plan": "J-1", "pin": {"pitch": "6 mm"}, "sequence": ["prove_ends"]}))
    plan: J-1
    pin:
      pitch: 6 mm
    sequence: [prove_ends]
    <BLANKLINE>
    """
    return "".join(f"{line}\n" for key, value in plan.items() for line in _lines(key, value))


def _lines(key: str, value: Plain) -> Iterable[str]:
    if isinstance(value, str):
        return [f"{key}: {_scalar(value)}"]
    if isinstance(value, dict):
        return [f"{key}:", *(f"  {name}: {_inline(each)}" for name, each in value.items())]
    if all(isinstance(each, str) for each in value):
        return [f"{key}: {_inline(value)}"]
    return [f"{key}:", *(f"  - {_inline(each)}" for each in value)]


def _inline(value: Plain) -> str:
    if isinstance(value, str):
        return _scalar(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {_inline(each)}" for name, each in value.items()) + "}"
    return "[" + ", ".join(_inline(each) for each in value) + "]"


def _scalar(text: str) -> str:
    plain = _PLAIN.fullmatch(text) and text.lower() != "null"
    return text if plain else json.dumps(text, ensure_ascii=False)


def write_new(path: Path, text: str, *, force: bool = False) -> None:
    """Write a file in one step; one that is there stays, unless it is forced.

    Raises:
        InputProblem: the file is there, or cannot be written.
    """
    if path.exists() and not force:
        raise InputProblem("a file of that name", "a new name, or --force", file=str(path))
    try:
        _replace(path, text)
    except OSError as error:
        reason = (error.strerror or "an unwritable file").lower()
        raise InputProblem(reason, "a file that can be written", file=str(path)) from None


def _replace(path: Path, text: str) -> None:
    """Write beside the file, force it to the disk, then put it in place."""
    target = path.resolve()
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(name, 0o666 & ~mask)
        os.replace(name, target)
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(name)
