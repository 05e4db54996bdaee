"""Knowledge tables: values with their unit, source and mark, and the list of sources.

A table is one file `knowledge/<name>.yaml`. A cell may be written in full
(`{value: 7250, source: [ISO-185], mark: read2, note: …}`, or `low` and `high` for a band) or short
(`7250`); what a short cell leaves out comes from its column, else its row (`_source`, `_mark`),
else the file. A cell that is not written is a gap: not known.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from advisor.case.yaml_text import Document, read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.cursor import Cursor, nearest

Value = str | float | tuple[str, ...]
Numbers = tuple[float | None, float | None, float | None]

MARKS = ("read", "read2", "memory", "practice", "computed")
COLUMN_TYPES = ("number", "word", "words", "yes_no", "text")

# Closed on purpose: a unit in free text is a unit that nobody checks.
UNITS = frozenset(
    (
        *("mm", "m", "um", "mm2", "deg", "kg", "kg/m3", "m/s", "m/min", "m/s2"),
        *("MPa", "GPa", "bar", "N", "N/mm", "N*m", "MPa*m^0.5", "psi/HBW", "MPa/HBW", "HBW"),
        *("degC", "K", "K/h", "1/K", "W/(m*K)", "J/(kg*K)", "kWh"),
        *("min", "year", "1", "%", "lx", "W/m2", "kA/m", "A/mm", "mT", "dB", "ug/m3"),
    )
)

_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?")
_SOURCE_ID = re.compile(r"[A-Z0-9]+([.\-][A-Z0-9]+)*")
_COLUMN_ID = re.compile(r"[a-z][a-z0-9_]*")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_SOURCE_FIELDS = ("title", "edition", "clause", "seen", "mark", "compared")


@dataclass(frozen=True)
class Source:
    """Where values come from. `seen` and `mark` say how far the text itself was read."""

    id: str
    title: str
    edition: str
    clause: str
    seen: str
    mark: str
    compared: str


@dataclass(frozen=True)
class Cell:
    """One value of a table.

    A number has `low` and `high`; where it is exact both equal `value`, in a band `value` is the
    typical one or None, and an open end of a band is None. `value` holds words as a tuple.
    """

    value: Value | None
    low: float | None
    high: float | None
    unit: str
    source: tuple[str, ...]
    mark: str
    note: str
    table: str
    row: str
    column: str
    line: int


@dataclass(frozen=True)
class Column:
    """What a column holds; `choices` is empty where any word may stand."""

    id: str
    type: str
    unit: str
    choices: tuple[str, ...]
    means: str


@dataclass(frozen=True)
class Table:
    """One file of knowledge."""

    name: str
    title: str
    key: str
    columns: Mapping[str, Column]
    rows: Mapping[str, Mapping[str, Cell]]

    def cell(self, row: str, column: str) -> Cell | None:
        """The cell, or None where the row or the value is not known.

        Raises KeyError for a column that the table does not have.
        """
        if column not in self.columns:
            raise KeyError(f"table {self.name} has no column {column}")
        return self.rows.get(row, {}).get(column)


@dataclass(frozen=True)
class Knowledge:
    """All tables and sources."""

    tables: Mapping[str, Table]
    sources: Mapping[str, Source]

    def cell(self, table: str, row: str, column: str) -> Cell | None:
        """Look up one cell; see Table.cell."""
        return self.tables[table].cell(row, column)


def load_knowledge(folder: Path) -> Knowledge:
    """Read `sources.yaml` and every table of a folder. Raises InputProblem."""
    sources = load_sources(folder / "sources.yaml")
    return Knowledge(load_tables(folder, sources), sources)


def load_sources(path: Path) -> dict[str, Source]:
    """Read the list of sources. Raises InputProblem."""
    top = Cursor.top(read_yaml(path)).mapping(required=("sources",))
    return {id_: _source(id_, entry) for id_, entry in top["sources"].entries().items()}


def load_tables(folder: Path, sources: Mapping[str, Source]) -> dict[str, Table]:
    """Read every table of a folder; other files are not looked at. Raises InputProblem."""
    documents = (read_yaml(path) for path in sorted(folder.glob("*.yaml")))
    found = (parse_table(document, sources) for document in documents if _is_table(document))
    return {table.name: table for table in found}


def parse_table(document: Document, sources: Mapping[str, Source]) -> Table:
    """Read one table, whose name must be that of its file. Raises InputProblem."""
    top = Cursor.top(document).mapping(
        required=("table", "title", "key", "columns", "rows"), optional=("source", "mark")
    )
    name = top["table"].choice((Path(document.path).stem,), "table name")
    specs = top["columns"].entries()
    columns = {id_: _column(id_, spec) for id_, spec in specs.items()}
    rows: dict[str, Mapping[str, Cell]] = {}
    spellings: dict[str, str] = {}
    for row, entry in top["rows"].entries().items():
        alike = re.sub(r"[\s_/-]+", " ", row).casefold()
        if alike in spellings:
            entry.fail(f"row {row!r} beside {spellings[alike]!r}", "each row once")
        spellings[alike] = row
        rows[row] = _row(_RowContext(name, row, columns, specs, top, sources), entry)
    return Table(name, top["title"].text(), top["key"].text(), columns, rows)


def _is_table(document: Document) -> bool:
    """By any of its marks, so that one slip in a heading does not make a table vanish."""
    return not {"table", "columns", "rows"}.isdisjoint(document.data)


def _source(id_: str, entry: Cursor) -> Source:
    if not _SOURCE_ID.fullmatch(id_):
        entry.fail(f"source id {id_!r}", "capitals, digits, dots and hyphens")
    fields = entry.mapping(required=_SOURCE_FIELDS)
    fields["mark"].choice(MARKS, "mark")
    if not _DATE.fullmatch(fields["compared"].text()):
        fields["compared"].fail(repr(fields["compared"].value), "a date YYYY-MM-DD")
    return Source(id_, **{name: field.text() for name, field in fields.items()})


def _column(id_: str, spec: Cursor) -> Column:
    if not _COLUMN_ID.fullmatch(id_):
        spec.fail(f"column {id_!r}", "a name in small letters, words joined by _")
    fields = spec.mapping(
        required=("type", "means"), optional=("unit", "choices", "source", "mark")
    )
    kind = fields["type"].choice(COLUMN_TYPES, "type")
    if (kind == "number") != ("unit" in fields):
        spec.fail(f"a column of type {kind}", "a unit for numbers (1 for a ratio), else none")
    if kind == "word" and "choices" not in fields:
        spec.fail("a column of words", "its choices")
    if "choices" in fields and kind not in ("word", "words"):
        fields["choices"].fail(f"choices for type {kind}", "none")
    unit = fields["unit"].choice(UNITS, "unit") if "unit" in fields else ""
    choices = _texts(fields["choices"]) if "choices" in fields else ()
    return Column(id_, kind, unit, choices, fields["means"].text())


@dataclass(frozen=True)
class _RowContext:
    """Where a row stands, and where its cells find what they do not say themselves."""

    table: str
    row: str
    columns: Mapping[str, Column]
    specs: Mapping[str, Cursor]
    top: Mapping[str, Cursor]
    sources: Mapping[str, Source]


def _row(context: _RowContext, entry: Cursor) -> dict[str, Cell]:
    given = entry.mapping(optional=(*context.columns, "_source", "_mark"))
    return {
        name: _cell(context, given, name, cursor)
        for name, cursor in given.items()
        if not name.startswith("_")
    }


def _cell(context: _RowContext, row: Mapping[str, Cursor], name: str, cursor: Cursor) -> Cell:
    column = context.columns[name]
    full = isinstance(cursor.value, dict)
    own: Mapping[str, Cursor] = (
        cursor.mapping(optional=("value", "low", "high", "source", "mark", "note")) if full else {}
    )
    value: Value | None
    low = high = None
    if column.type == "number":
        value, low, high = _band(cursor, own) if full else _exact(_number(cursor))
    elif not full or ("value" in own and not {"low", "high"} & own.keys()):
        value = _words(own.get("value", cursor), column)
    else:
        cursor.fail("no `value`, or a band of words", "`value: …`")

    def provenance(what: str) -> Cursor:
        """The nearest of: cell, column, row, file."""
        column_default = context.specs[name].value.get(what)
        if what in own:
            return own[what]
        if column_default is not None:
            return context.specs[name][what]
        found = row.get(f"_{what}", context.top.get(what))
        return found or cursor.fail(f"a value without a {what}", f"`{what}: …` for it or its file")

    cited = provenance("source")
    source = _texts(cited)
    for id_ in source:
        if id_ not in context.sources:
            cited.fail(f"source {id_!r}", nearest(id_, context.sources))
    return Cell(
        value=value,
        low=low,
        high=high,
        unit=column.unit,
        source=source,
        mark=provenance("mark").choice(MARKS, "mark"),
        note=own["note"].text() if "note" in own else "",
        table=context.table,
        row=context.row,
        column=name,
        line=cursor.line or 0,
    )


def _words(cursor: Cursor, column: Column) -> str | tuple[str, ...]:
    if column.type == "text":
        return cursor.text()
    if column.type == "yes_no":
        return cursor.choice(("yes", "no"), "answer")
    if column.type == "word":
        return cursor.choice(column.choices, "word")
    words = _texts(cursor)
    for word in words:
        if column.choices and word not in column.choices:
            cursor.fail(f"word {word!r}", nearest(word, column.choices))
    return words


def _texts(cursor: Cursor) -> tuple[str, ...]:
    """A list of texts that differ, or one text for a list of one."""
    if isinstance(cursor.value, str):
        return (cursor.text(),)
    texts = tuple(item.text() for item in cursor.items())
    if not texts or len(set(texts)) != len(texts):
        cursor.fail("an empty list, or a word twice", "each word once")
    return texts


def _band(cursor: Cursor, own: Mapping[str, Cursor]) -> Numbers:
    value, low, high = (
        _number(own[end]) if end in own else None for end in ("value", "low", "high")
    )
    if low is None and high is None:
        if value is None:
            cursor.fail("no value", "`value`, or `low` or `high` of a band")
        return _exact(value)
    if low is not None and high is not None and low > high:
        cursor.fail(f"low {low:g} above high {high:g}", "low up to high")
    if value is not None and (low is None or high is None or not low <= value <= high):
        cursor.fail(f"a value {value:g} outside its band", "both ends of a band and a value inside")
    return value, low, high


def _exact(value: float) -> Numbers:
    return value, value, value


def _number(cursor: Cursor) -> float:
    text = cursor.text()
    if not _NUMBER.fullmatch(text):
        cursor.fail(repr(text), "a number such as 7250 or 11.4e-6")
    return float(text)
