"""Reading the declarations of derived facts: ``knowledge/facts/*.yaml``.

Answers are declared by the questionnaire; everything else that a rule may speak of is declared
here: in which stage it is made, of what type it is, how it reads in a sentence, and where it comes
from: a column of a knowledge table, a formula, or rules.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from pathlib import Path

from advisor.case.units import DIMENSIONS
from advisor.case.yaml_text import read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.cursor import Cursor, nearest
from advisor.reasoning.tables import Column, Knowledge
from advisor.reasoning.vocabulary import JOKER, RESERVED, Combine, FactKind


@dataclass(frozen=True)
class TableLookUp:
    """A fact read from a knowledge table: the row is named by another fact."""

    fact: str
    table: str
    column: str
    key: str


@dataclass(frozen=True)
class Declarations:
    """Derived facts, those that are looked up, and those that a formula must make."""

    kinds: tuple[FactKind, ...]
    look_ups: tuple[TableLookUp, ...]
    by_formula: frozenset[str]


COMBINES: tuple[Combine, ...] = ("single", "strictest", "highest", "lowest", "collect")
_COMBINES_OF: Mapping[str, tuple[Combine, ...]] = {
    "word": ("single", "strictest"),
    "members": ("collect",),
    "number": ("single", "highest", "lowest"),
}
_TYPES = ("word", "yes_no", "members", "number")
_COLUMN_TYPE = {"word": "word", "yes_no": "yes_no", "members": "words", "number": "number"}
_REQUIRED = ("id", "type", "says", "from")
_OPTIONAL = ("choices", "dimension", "combine", "unsure", "otherwise", "late", "labels")
_NAME = re.compile("[a-z][a-z0-9]*(_[a-z0-9]+)*")


@dataclass
class _Context:
    """What declarations may refer to; facts become known in the order of files and entries."""

    stages: Sequence[str]
    knowledge: Knowledge
    choices_of: Mapping[str, tuple[str, ...]]
    declared: dict[str, FactKind]
    looked_up: set[str] = field(default_factory=set)


def load_declarations(
    files: Iterable[Path],
    stages: Sequence[str],
    answers: Iterable[FactKind],
    knowledge: Knowledge,
    choices_of: Mapping[str, tuple[str, ...]],
) -> Declarations:
    """Read fact declarations in the given order of files.

    Args:
        files: one file a stage, or several.
        stages: names of the stages in order.
        answers: the facts that are declared already.
        knowledge: the tables that look-ups read.
        choices_of: lists of words by name, for ``choices: {list: NAME}``.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    context = _Context(stages, knowledge, choices_of, {kind.name: kind for kind in answers})
    kinds: list[FactKind] = []
    look_ups: list[TableLookUp] = []
    by_formula: set[str] = set()
    for file in files:
        top = Cursor.top(read_yaml(file)).mapping(required=("stage", "facts"), optional=("about",))
        stage = stages.index(top["stage"].choice(stages, "stage"))
        for cursor in top["facts"].items():
            kind, origin = _declaration(cursor, stage, context)
            kinds.append(kind)
            context.declared[kind.name] = kind
            if isinstance(origin, TableLookUp):
                look_ups.append(origin)
                context.looked_up.add(kind.name)
            elif origin == "formula":
                by_formula.add(kind.name)
    return Declarations(tuple(kinds), tuple(look_ups), frozenset(by_formula))


def _declaration(
    cursor: Cursor, stage: int, context: _Context
) -> tuple[FactKind, TableLookUp | str]:
    entries = cursor.mapping(_REQUIRED, _OPTIONAL)
    name = _name(entries["id"], context)
    type_ = entries["type"].choice(_TYPES, "type")
    origin: TableLookUp | str
    column = None
    if isinstance(entries["from"].value, dict):
        origin, column = _look_up(entries["from"], name, stage, context)
    else:
        origin = entries["from"].choice(("formula", "rules"), "origin")
    dimension = _dimension(cursor, entries, type_)
    kind = FactKind(
        name=name,
        type="word" if type_ == "yes_no" else type_,  # type: ignore[arg-type]
        stage=stage,
        says=entries["says"].text(),
        choices=_choices(cursor, entries, type_, column, context.choices_of),
        dimension=dimension,
        unit=DIMENSIONS[dimension].unit if dimension else "",
        combine=_combine(cursor, entries, type_, origin),
        unsure=entries["unsure"].text() if "unsure" in entries else None,
        otherwise=entries["otherwise"].text() if "otherwise" in entries else None,
        labels={key: c.text() for key, c in entries["labels"].entries().items()}
        if "labels" in entries
        else {},
        late=_late(entries, origin),
    )
    _check_words(cursor, entries, kind)
    if column is not None:
        _check_column(entries["from"], kind, type_, column)
    return kind, origin


def _name(cursor: Cursor, context: _Context) -> str:
    name = cursor.text()
    if not _NAME.fullmatch(name):
        cursor.fail(f"id {name!r}", "small letters and digits, words joined by _")
    if name in RESERVED:
        cursor.fail(f"id {name!r}, which the engine needs itself", "another name")
    if name in context.declared:
        cursor.fail(f"fact {name}, which is declared already", "each fact once")
    return name


def _dimension(cursor: Cursor, entries: Mapping[str, Cursor], type_: str) -> str:
    if type_ == "number":
        if "dimension" not in entries:
            cursor.fail("a number without dimension", "a dimension, like length")
        return entries["dimension"].choice(DIMENSIONS, "dimension")
    if "dimension" in entries:
        entries["dimension"].fail(f"a dimension on type {type_}", "dimension just on numbers")
    return ""


def _combine(
    cursor: Cursor, entries: Mapping[str, Cursor], type_: str, origin: TableLookUp | str
) -> Combine | None:
    if (origin == "rules") != ("combine" in entries):
        cursor.fail(
            "combine" if "combine" in entries else "no combine",
            "combine just on facts that come from rules",
        )
    if origin != "rules":
        return None
    combine: Combine = entries["combine"].choice(COMBINES, "way to combine")  # type: ignore[assignment]
    legal = _COMBINES_OF["word" if type_ == "yes_no" else type_]
    if combine not in legal:
        entries["combine"].fail(f"{combine} on type {type_}", " or ".join(legal))
    return combine


def _late(entries: Mapping[str, Cursor], origin: TableLookUp | str) -> bool:
    late = "late" in entries and entries["late"].yes_no()
    if late and origin != "formula":
        entries["late"].fail("late", "late just on facts that come from a formula")
    return late


def _choices(
    cursor: Cursor,
    entries: Mapping[str, Cursor],
    type_: str,
    column: Column | None,
    choices_of: Mapping[str, tuple[str, ...]],
) -> tuple[str, ...]:
    if "choices" not in entries:
        if type_ == "yes_no":
            return ("no", "yes")
        if type_ == "number":
            return ()
        if column is None or not column.choices:
            cursor.fail("no choices", "a list of choices")
        return column.choices
    listed = entries["choices"]
    if type_ in ("number", "yes_no"):
        listed.fail(f"choices on type {type_}", "choices just on words and members")
    if isinstance(listed.value, dict):
        name = listed.mapping(("list",))["list"].choice(choices_of, "list")
        return choices_of[name]
    words = tuple(item.text() for item in listed.some_items())
    if len(set(words)) != len(words):
        listed.fail("a choice twice", "words that differ")
    if JOKER in words:
        listed.fail(f"the choice {JOKER}", "a word")
    return words


def _look_up(
    cursor: Cursor, fact: str, stage: int, context: _Context
) -> tuple[TableLookUp, Column]:
    entries = cursor.mapping(("table", "column", "key"))
    tables = context.knowledge.tables
    table = tables[entries["table"].choice(tables, "table")]
    column = table.columns[entries["column"].choice(table.columns, "column")]
    key = context.declared.get(entries["key"].text())
    if key is None:
        found = entries["key"].text()
        entries["key"].fail(f"fact {found!r}", nearest(found, context.declared))
    if key.type != "word":
        entries["key"].fail(f"fact {key.name} of type {key.type}", "a fact of type word")
    if key.stage > stage or (key.stage == stage and key.name not in context.looked_up):
        entries["key"].fail(
            f"fact {key.name}, made after the tables of stage {context.stages[stage]} are read",
            "an answer, a fact of an earlier stage, or one looked up before",
        )
    return TableLookUp(fact, table.name, column.id, key.name), column


def _check_column(cursor: Cursor, kind: FactKind, type_: str, column: Column) -> None:
    """A cell that does not fit its fact would be left out in silence."""
    if column.type != _COLUMN_TYPE[type_]:
        cursor.fail(f"column {column.id} of type {column.type}", f"type {_COLUMN_TYPE[type_]}")
    if kind.type == "number" and column.unit != kind.unit:
        cursor.fail(f"column {column.id} in {column.unit}", f"a column in {kind.unit}")
    beyond = [word for word in column.choices if word not in kind.choices]
    if beyond:
        cursor.fail(f"column {column.id} with {beyond[0]}", "one of " + ", ".join(kind.choices))


def _check_words(cursor: Cursor, entries: Mapping[str, Cursor], kind: FactKind) -> None:
    for name in ("unsure", "otherwise"):
        value = getattr(kind, name)
        if value is not None and value not in kind.choices:
            entries[name].fail(f"{name} {value!r}", "one of " + ", ".join(kind.choices))
    if kind.unsure is not None and kind.combine != "strictest":
        entries["unsure"].fail("unsure", "unsure just with combine strictest")
    if kind.otherwise is not None and kind.combine not in ("single", "strictest"):
        entries["otherwise"].fail("otherwise", "otherwise just with combine single or strictest")
    for label in kind.labels:
        if label not in kind.choices:
            entries["labels"][label].fail(f"label for {label}", nearest(label, kind.choices))
