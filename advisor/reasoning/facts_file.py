"""Reading the declarations of derived facts: ``knowledge/facts/*.yaml``.

Answers are declared by the questionnaire; everything else that a rule may speak of is declared
here: in which stage it is made, of what type it is, how it reads in a sentence, and where it comes
from: a column of a knowledge table, a formula, or rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from advisor.case.units import DIMENSIONS
from advisor.case.yaml_text import read_yaml
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.tables import Column, Knowledge
from advisor.reasoning.vocabulary import Combine, FactKind


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
_TYPES = ("word", "yes_no", "members", "number")
_REQUIRED = ("id", "type", "says", "from")
_OPTIONAL = ("choices", "dimension", "combine", "unsure", "otherwise", "late", "labels")


def load_declarations(
    files: Iterable[Path],
    stages: Sequence[str],
    knowledge: Knowledge,
    choices_of: Mapping[str, tuple[str, ...]],
) -> Declarations:
    """Read fact declarations in the given order of files.

    Args:
        files: one file a stage, or several.
        stages: names of the stages in order.
        knowledge: the tables that look-ups read.
        choices_of: lists of words by name, for ``choices: {list: NAME}``.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    kinds: list[FactKind] = []
    look_ups: list[TableLookUp] = []
    by_formula: set[str] = set()
    for file in files:
        top = Cursor.top(read_yaml(file)).mapping(required=("stage", "facts"), optional=("about",))
        stage = stages.index(top["stage"].choice(stages, "stage"))
        for cursor in top["facts"].items():
            kind, look_up = _declaration(cursor, stage, knowledge, choices_of)
            kinds.append(kind)
            if look_up:
                look_ups.append(look_up)
            elif cursor.value["from"] == "formula":
                by_formula.add(kind.name)
    return Declarations(tuple(kinds), tuple(look_ups), frozenset(by_formula))


def _declaration(
    cursor: Cursor, stage: int, knowledge: Knowledge, choices_of: Mapping[str, tuple[str, ...]]
) -> tuple[FactKind, TableLookUp | None]:
    entries = cursor.mapping(_REQUIRED, _OPTIONAL)
    name = entries["id"].text()
    type_ = entries["type"].choice(_TYPES, "type")
    origin = entries["from"]
    look_up, column = None, None
    if isinstance(origin.value, dict):
        look_up, column = _look_up(origin, name, knowledge)
    else:
        origin.choice(("formula", "rules"), "origin")
    dimension = ""
    if type_ == "number":
        if "dimension" not in entries:
            cursor.fail("a number without dimension", "a dimension, like length")
        dimension = entries["dimension"].choice(DIMENSIONS, "dimension")
    kind = FactKind(
        name=name,
        type="word" if type_ == "yes_no" else type_,  # type: ignore[arg-type]
        stage=stage,
        says=entries["says"].text(),
        choices=("no", "yes") if type_ == "yes_no" else _choices(entries, column, choices_of),
        dimension=dimension,
        unit=DIMENSIONS[dimension].unit if dimension else "",
        combine=_combine(cursor, entries),
        unsure=entries["unsure"].text() if "unsure" in entries else None,
        otherwise=entries["otherwise"].text() if "otherwise" in entries else None,
        labels={key: c.text() for key, c in entries["labels"].entries().items()}
        if "labels" in entries
        else {},
        late="late" in entries and entries["late"].yes_no(),
    )
    _check(cursor, kind)
    return kind, look_up


def _combine(cursor: Cursor, entries: Mapping[str, Cursor]) -> Combine | None:
    made_by_rules = entries["from"].value == "rules"
    if made_by_rules != ("combine" in entries):
        cursor.fail(
            "combine" if "combine" in entries else "no combine",
            "combine just on facts that come from rules",
        )
    if not made_by_rules:
        return None
    return entries["combine"].choice(COMBINES, "way to combine")  # type: ignore[return-value]


def _choices(
    entries: Mapping[str, Cursor], column: Column | None, choices_of: Mapping[str, tuple[str, ...]]
) -> tuple[str, ...]:
    if "choices" not in entries:
        if column is not None:
            return ("no", "yes") if column.type == "yes_no" else column.choices
        return ()
    listed = entries["choices"]
    if isinstance(listed.value, dict):
        name = listed.mapping(("list",))["list"].choice(choices_of, "list")
        return choices_of[name]
    return tuple(item.text() for item in listed.items())


def _look_up(cursor: Cursor, fact: str, knowledge: Knowledge) -> tuple[TableLookUp, Column]:
    entries = cursor.mapping(("table", "column", "key"))
    table = knowledge.tables[entries["table"].choice(knowledge.tables, "table")]
    column = table.columns[entries["column"].choice(table.columns, "column")]
    return TableLookUp(fact, table.name, column.id, entries["key"].text()), column


def _check(cursor: Cursor, kind: FactKind) -> None:
    if kind.type != "number" and not kind.choices:
        cursor.fail(f"fact {kind.name} without choices", "a list of choices")
    for name in ("unsure", "otherwise"):
        value = getattr(kind, name)
        if value is not None and value not in kind.choices:
            cursor.fail(f"{name} {value!r}", "one of " + ", ".join(kind.choices))
    if kind.combine in ("highest", "lowest") and kind.type != "number":
        cursor.fail(f"{kind.combine} on words", "strictest, single or collect")
    if (kind.combine == "collect") != (kind.type == "members" and kind.combine is not None):
        cursor.fail(f"combine {kind.combine} on {kind.type}", "collect, just on members")
