"""The steps and inspections that rules may require: written once, in order, with their sources."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import cast, get_args

from advisor.advice.model import When
from advisor.case.yaml_text import read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.rules import MARKS, check_placeholders

_ID = re.compile("[a-z][a-z0-9]*(_[a-z0-9]+)*")


@dataclass(frozen=True)
class Step:
    """One step of a procedure.

    Attributes:
        id: its name in the rules.
        order: its place among all steps; smaller comes first.
        do: what to do; ``{fact}`` stands for a fact's value.
        hold_point: work stops here until a named person consents.
        sequence_word: the word that a plan file uses for this step, if it has one.
        cautions: what to beware of.
    """

    id: str
    order: int
    do: str
    hold_point: bool
    sequence_word: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Inspection:
    """One inspection: when, by what method, of what, and what is acceptable."""

    id: str
    order: int
    when: When
    method: str
    what: str
    acceptance: str
    hold_point: bool
    who: str
    sources: tuple[str, ...]
    mark: str


SEQUENCE_WORDS = (
    "prove_ends",
    "drill_pins",
    "keys",
    "heat",
    "insert",
    "dress",
    "inspect",
    "pressure_test",
)


def load_steps(path: Path) -> dict[str, Step]:
    """Read ``knowledge/steps.yaml``.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    top = Cursor.top(read_yaml(path)).mapping(("steps",), ("about", "source", "mark"))
    steps = [_step(cursor) for cursor in top["steps"].items()]
    _check_order(top["steps"], steps)
    return {step.id: step for step in sorted(steps, key=lambda step: step.order)}


def load_inspections(path: Path, sources: Collection[str]) -> dict[str, Inspection]:
    """Read ``knowledge/inspections.yaml``.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    top = Cursor.top(read_yaml(path)).mapping(("inspections",), ("about",))
    found = [_inspection(cursor, sources) for cursor in top["inspections"].items()]
    _check_order(top["inspections"], found)
    return {one.id: one for one in sorted(found, key=lambda one: one.order)}


def _step(cursor: Cursor) -> Step:
    entries = cursor.mapping(("id", "order", "do", "hold_point"), ("sequence_word", "cautions"))
    word = ""
    if "sequence_word" in entries:
        word = entries["sequence_word"].choice(SEQUENCE_WORDS, "sequence word")
    return Step(
        id=_id(entries["id"]),
        order=entries["order"].whole_number(1, 9999),
        do=entries["do"].text(),
        hold_point=entries["hold_point"].yes_no(),
        sequence_word=word,
        cautions=tuple(c.text() for c in entries["cautions"].items())
        if "cautions" in entries
        else (),
    )


def _inspection(cursor: Cursor, sources: Collection[str]) -> Inspection:
    entries = cursor.mapping(
        ("id", "order", "when", "method", "what", "acceptance", "hold_point", "source", "mark"),
        ("who",),
    )
    return Inspection(
        id=_id(entries["id"]),
        order=entries["order"].whole_number(1, 9999),
        when=cast(When, entries["when"].choice(get_args(When), "time")),
        method=entries["method"].text(),
        what=entries["what"].text(),
        acceptance=entries["acceptance"].text(),
        hold_point=entries["hold_point"].yes_no(),
        who=entries["who"].text() if "who" in entries else "",
        sources=tuple(c.choice(sources, "source") for c in entries["source"].some_items()),
        mark=entries["mark"].choice(MARKS, "mark"),
    )


def _id(cursor: Cursor) -> str:
    text = cursor.text()
    if not _ID.fullmatch(text):
        cursor.fail(f"id {text!r}", "small letters and digits, words joined by _")
    return text


def _check_order(cursor: Cursor, found: Sequence[Step | Inspection]) -> None:
    seen: dict[int, str] = {}
    names: set[str] = set()
    for one, where in zip(found, cursor.items(), strict=True):
        if one.id in names:
            where.fail(f"id {one.id} again", "a new id")
        if one.order in seen:
            where.fail(f"order {one.order}, which {seen[one.order]} has", "a place of its own")
        seen[one.order] = one.id
        names.add(one.id)


def check_texts(path: Path, facts: Collection[str]) -> None:
    """Refuse steps or inspections that show a fact that nobody declares.

    Args:
        path: a file of steps or inspections that has been read without a fault.
        facts: names of all facts.

    Raises:
        KnowledgeProblem: with file, line and the nearest fact.
    """
    top = Cursor.top(read_yaml(path)).entries()
    for entry in (top.get("steps") or top["inspections"]).items():
        for name, text in entry.entries().items():
            if name == "cautions":
                for caution in text.items():
                    check_placeholders(caution, facts)
            elif name in _SHOWN:
                check_placeholders(text, facts)


_SHOWN = ("do", "what", "acceptance")
"""Texts in which facts may be shown."""
