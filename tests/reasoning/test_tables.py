"""The loader of knowledge tables, and what holds for every table of the project."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.case.problems import InputProblem
from advisor.reasoning.tables import (
    UNITS,
    Cell,
    Knowledge,
    Table,
    load_knowledge,
    load_sources,
    load_tables,
)

KNOWLEDGE_FOLDER = Path(__file__).parents[2] / "knowledge"

SOURCES = """\
sources:
  EN-1: {title: A standard, edition: "2000", clause: Table 1, seen: read,
    mark: read, compared: 2026-11-25}
  PRACTICE: {title: Practice, edition: undated, clause: none, seen: habit,
    mark: practice, compared: 2026-11-25}
"""

TABLE = """\
table: metals
title: Some metals
key: metal
source: PRACTICE
mark: practice
columns:
  density: {type: number, unit: kg/m3, means: density}
  kind: {type: word, choices: [iron, steel], means: kind}
  evidence: {type: words, choices: [dull, rings], means: what it shows}
  brittle: {type: yes_no, means: breaks, source: EN-1, mark: read}
  note: {type: text, means: a note}
rows:
  gray:
    _source: [EN-1]
    _mark: read2
    density: 7250
    kind: {value: iron, source: PRACTICE, mark: memory, note: by looks}
    evidence: [dull]
    brittle: yes
    note: weak
  blue: {density: {value: 7100, low: 7000, high: 7200}}
  red: {density: {low: 10}}
"""


def written(folder: Path, table: str = TABLE, sources: str = SOURCES) -> Path:
    """A knowledge folder with one table."""
    (folder / "sources.yaml").write_text(sources)
    (folder / "metals.yaml").write_text(table)
    return folder


def cell_of(table: Table, row: str, column: str) -> Cell:
    """A cell that must be there."""
    cell = table.cell(row, column)
    assert cell is not None
    return cell


@pytest.fixture
def metals(tmp_path: Path) -> Table:
    return load_knowledge(written(tmp_path)).tables["metals"]


def test_short_number_takes_the_rows_source(metals: Table) -> None:
    cell = cell_of(metals, "gray", "density")
    assert (cell.value, cell.low, cell.high, cell.unit) == (7250, 7250, 7250, "kg/m3")
    assert (cell.source, cell.mark, cell.note) == (("EN-1",), "read2", "")
    assert (cell.table, cell.row, cell.column, cell.line) == ("metals", "gray", "density", 16)


def test_a_cells_own_source_comes_first_then_the_columns_then_the_files(metals: Table) -> None:
    own = cell_of(metals, "gray", "kind")
    assert (own.source, own.mark, own.note) == (("PRACTICE",), "memory", "by looks")
    column = cell_of(metals, "gray", "brittle")
    assert (column.source, column.mark) == (("EN-1",), "read")
    file = cell_of(metals, "blue", "density")
    assert (file.source, file.mark) == (("PRACTICE",), "practice")


def test_bands_keep_their_ends(metals: Table) -> None:
    band = cell_of(metals, "blue", "density")
    assert (band.value, band.low, band.high) == (7100, 7000, 7200)
    open_ended = cell_of(metals, "red", "density")
    assert (open_ended.value, open_ended.low, open_ended.high) == (None, 10, None)


def test_words(metals: Table) -> None:
    assert cell_of(metals, "gray", "evidence").value == ("dull",)
    assert cell_of(metals, "gray", "brittle").value == "yes"
    assert cell_of(metals, "gray", "note").value == "weak"


def test_gaps_are_gaps_and_a_wrong_column_is_an_error(metals: Table) -> None:
    assert metals.cell("blue", "kind") is None
    assert metals.cell("green", "kind") is None
    with pytest.raises(KeyError, match="hue"):
        metals.cell("gray", "hue")


def test_files_that_are_not_tables_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "steps.yaml").write_text("steps: [{id: clean}]\n")
    assert list(load_knowledge(written(tmp_path)).tables) == ["metals"]


def replaced(old: str, new: str) -> str:
    """The table with one line changed."""
    assert TABLE.count(old) == 1
    return TABLE.replace(old, new)


@pytest.mark.parametrize(
    ("table", "line", "says"),
    [
        (replaced("table: metals", "table: iron"), 1, "did you mean|expected one of"),
        (replaced("table: metals", "tabel: metals"), 1, "tabel"),
        (replaced("title: Some metals\n", ""), None, "no title"),
        (replaced("unit: kg/m3, ", ""), 7, "a unit for numbers"),
        (replaced("unit: kg/m3", "unit: g/cm3"), 7, "g/cm3"),
        (replaced("type: yes_no", "type: yes_no, unit: mm"), 10, "a unit for numbers"),
        (replaced("type: text", "type: prose"), 11, "prose"),
        (replaced("type: text, means: a note", "type: text"), 11, "no means"),
        (replaced("type: text", "type: text, choices: [a]"), 11, "choices for type text"),
        (replaced("choices: [iron, steel], ", ""), 8, "its choices"),
        (replaced("choices: [dull, rings]", "choices: [dull, dull]"), 9, "each word once"),
        (replaced("  density: {type", "  Density: {type"), 7, "small letters"),
        (replaced("density: 7250", "density: heavy"), 16, "a number such as"),
        (replaced("density: 7250", "density: nan"), 16, "a number such as"),
        (replaced("density: 7250", "density: inf"), 16, "a number such as"),
        (replaced("density: 7250", "density: 7250 kg/m3"), 16, "a number such as"),
        (replaced("density: 7250", "density:"), 16, "nothing"),
        (replaced("density: 7250", "density: {note: heavy}"), 16, "no value"),
        (replaced("density: 7250", "density: {value: 1, unit: mm}"), 16, "unit"),
        (replaced("density: 7250", "weight: 7250"), 16, "weight"),
        (replaced("low: 7000, high: 7200", "low: 7200, high: 7000"), 21, "low 7200 above high"),
        (replaced("low: 7000, high: 7200", "low: 7150, high: 7200"), 21, "outside its band"),
        (replaced("low: 7000, high: 7200", "low: 7000"), 21, "both ends"),
        (replaced("evidence: [dull]", "evidence: [loud]"), 18, "loud"),
        (replaced("evidence: [dull]", "evidence: []"), 18, "an empty list"),
        (replaced("evidence: [dull]", "evidence: {low: 1}"), 18, "a band of words"),
        (replaced("value: iron", "value: brass"), 17, "brass"),
        (replaced("brittle: yes", "brittle: maybe"), 19, "maybe"),
        (replaced("[EN-1]", "[EN-2]"), 14, "did you mean EN-1"),
        (replaced("mark: memory", "mark: hearsay"), 17, "hearsay"),
        (replaced("source: PRACTICE\nmark", "mark"), None, "a value without a source"),
        (replaced("mark: practice\n", ""), None, "a value without a mark"),
        (replaced("  blue:", "  GRAY:"), 21, "each row once"),
        (replaced("  blue:", "  gray:"), 21, "each key once"),
    ],
)
def test_refusals_name_file_and_line(
    tmp_path: Path, table: str, line: int | None, says: str
) -> None:
    with pytest.raises(InputProblem, match=says) as caught:
        load_knowledge(written(tmp_path, table))
    assert str(caught.value.file).endswith("metals.yaml")
    if line is not None:
        assert caught.value.line == line


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("mark: practice", "mark: rumour", "rumour"),
        ("PRACTICE:", "practice:", "capitals"),
        ("seen: habit,", "", "no seen"),
        ("mark: read, compared: 2026-11-25", "mark: read, compared: lately", "YYYY-MM-DD"),
        ("sources:", "source:", "source"),
    ],
)
def test_refusals_of_sources(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert SOURCES.count(old) == 1
    written(tmp_path, sources=SOURCES.replace(old, new))
    with pytest.raises(InputProblem, match=says):
        load_sources(tmp_path / "sources.yaml")


def test_a_missing_folder_is_an_input_problem(tmp_path: Path) -> None:
    with pytest.raises(InputProblem):
        load_knowledge(tmp_path / "nowhere")
    assert load_tables(tmp_path, {}) == {}


# --- the project's own tables -------------------------------------------------------------------

CONTRACT_METHODS = {
    *("cold_stitch", "cold_stitch_with_keys", "braze_weld", "arc_weld_cool_nickel"),
    *("arc_weld_full_preheat", "oxyfuel_fusion_weld", "tig_weld", "arc_weld_steel"),
    *("patch_plate", "threaded_plug", "resin_repair", "impregnation", "replace_part"),
}
MATERIALS = {
    *("gray_iron", "ductile_iron", "compacted_graphite_iron", "malleable_iron", "white_iron"),
    *("austenitic_iron", "cast_steel", "stainless_cast_steel", "aluminium_alloy", "copper_alloy"),
    *("magnesium_alloy", "zinc_alloy"),
}


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge(KNOWLEDGE_FOLDER)


def cells(knowledge: Knowledge) -> list[Cell]:
    """Every cell of every table."""
    return [
        cell
        for table in knowledge.tables.values()
        for row in table.rows.values()
        for cell in row.values()
    ]


def test_every_number_has_a_unit_and_every_cell_a_known_source(knowledge: Knowledge) -> None:
    found = cells(knowledge)
    assert len(found) > 3000
    for cell in found:
        kind = knowledge.tables[cell.table].columns[cell.column].type
        assert (cell.unit in UNITS) == (kind == "number"), cell
        assert cell.source, cell
        assert set(cell.source) <= set(knowledge.sources), cell


def test_no_cell_claims_more_than_its_sources(knowledge: Knowledge) -> None:
    """What is marked read cites a text that was read; a copy at least a copy."""
    enough = {"read": {"read"}, "read2": {"read", "read2"}}
    too_bold = [
        cell
        for cell in cells(knowledge)
        if cell.mark in enough
        and not any(knowledge.sources[id_].mark in enough[cell.mark] for id_ in cell.source)
    ]
    assert not [(c.table, c.row, c.column, c.mark, c.source) for c in too_bold]


def test_practice_and_memory_are_said_to_be_so(knowledge: Knowledge) -> None:
    for cell in cells(knowledge):
        if cell.source == ("PRACTICE",):
            assert cell.mark == "practice", cell
        if cell.source == ("MEMORY",):
            assert cell.mark == "memory", cell
        if cell.source == ("DERIVED",):
            assert cell.mark == "computed", cell


def test_keys_are_those_of_the_questionnaire_and_the_contract(knowledge: Knowledge) -> None:
    assert set(knowledge.tables["materials"].rows) == MATERIALS
    assert set(knowledge.tables["methods"].rows) == CONTRACT_METHODS
    assert len(knowledge.tables["parts"].rows) == 26


def test_methods_have_an_order_without_ties(knowledge: Knowledge) -> None:
    methods = knowledge.tables["methods"]
    order = [cell_of(methods, row, "order").value for row in methods.rows]
    assert sorted(map(str, order), key=float) == [str(float(n)) for n in range(1, 14)]


def test_every_referral_and_law_has_somebody_who_decides(knowledge: Knowledge) -> None:
    parts, authorities = knowledge.tables["parts"], knowledge.tables["authorities"]
    for part in parts.rows:
        referral = cell_of(parts, part, "referral").value
        assert referral == "none" or referral in authorities.rows
    for trigger in authorities.rows:
        for approval in cell_of(authorities, trigger, "approvals").value:  # type: ignore[union-attr]
            assert approval in knowledge.tables["approvals"].rows


@pytest.mark.parametrize(
    "law",
    [
        *("pressure_equipment_law", "boiler_law", "lifting_law", "vehicle_safety"),
        *("aviation", "nuclear", "marine_class", "food_or_potable"),
    ],
)
def test_no_law_leaves_the_repair_to_the_shop(knowledge: Knowledge, law: str) -> None:
    verdict = cell_of(knowledge.tables["authorities"], law, "verdict").value
    assert verdict in ("refer", "replace", "repair_with_approval")
