"""Who reads what: what the code says that a formula may read, against what formulas did read."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.proofs.explained import load_explained
from advisor.advice.proofs.formula_reads import reads
from advisor.advice.proofs.impact import UnknownThing, impact
from advisor.advice.proofs.prove import prove
from advisor.advice.proofs.readers import readers_of
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import think

from .conftest import Read


def test_formulas_read_nothing_that_their_code_does_not_name(book: Rulebook) -> None:
    names = {*book.vocabulary.kinds, *book.questionnaire.by_id}
    may_read = {formula.id: reads(formula, names) | {*formula.outputs} for formula in FORMULAS}
    for name, case in scenario_cases(book):
        for outcome in think(case, book, judge_only=True).outcomes.values():
            did = outcome.seen.facts.keys() | outcome.seen.answers.keys()
            assert did <= may_read[outcome.formula.id], (name, outcome.formula.id)


def test_a_fact_that_nothing_reads_is_reported(copy: Path, read: Read) -> None:
    file = copy / "knowledge" / "facts" / "90-caution.yaml"
    fact = "  - {id: idle, type: yes_no, says: nothing, from: rules, combine: strictest}\n"
    file.write_text(file.read_text(encoding="utf-8") + fact, encoding="utf-8")
    (proof,) = prove(read(copy), only=("facts-read",))
    assert [fault.says for fault in proof.faults] == ["nothing reads idle"]


def test_an_explanation_that_is_no_longer_needed_is_reported(copy: Path, read: Read) -> None:
    file = copy / "rules" / "explained.yaml"
    text = file.read_text(encoding="utf-8")
    entry = "  - {question: material, choices: [gray_iron], because: It is named by many rules.}\n"
    file.write_text(text.replace("choices:\n", "choices:\n" + entry, 1), encoding="utf-8")
    (proof,) = prove(read(copy), only=("explained-still-so",))
    assert [fault.says for fault in proof.faults] == [
        "material: gray_iron is explained, and named by something"
    ]


def test_explanations_can_be_read(book: Rulebook) -> None:
    explained = load_explained(book)
    assert all(reason.endswith(".") for reason in explained.choices.values())
    assert ("hazards", "none") in explained.choices


# --- impact -------------------------------------------------------------------------------------


def test_impact_of_a_rule(book: Rulebook) -> None:
    found = impact(book, "braze.too-hot")
    assert found.kind == "rule"
    assert found.direct["reads"] == ["temperature_max"]
    assert found.direct["says"] == ["methods_ruled_out: braze_weld"]
    assert "methods_ruled_out" in found.facts
    assert "rank_methods" in found.formulas
    assert "braze-limit" in found.promises
    assert "burnt-furnace-grate-is-replaced" in found.scenarios
    assert "malleable-pipe-fitting-is-braze-welded" not in found.scenarios


def test_impact_of_a_fact(book: Rulebook) -> None:
    found = impact(book, "crack_moves")
    assert found.kind == "fact"
    assert "crack.live" in found.direct["rule"]
    assert {reader.name for reader in readers_of(book)["crack_moves"]} >= {"crack.live"}
    assert "tell_tale" in found.steps


def test_impact_of_a_cell(book: Rulebook) -> None:
    found = impact(book, "methods.braze_weld.temperature_limit")
    assert found.kind == "cell"
    assert "braze.too-hot" in found.direct["rule"]
    looked_up = impact(book, "materials.gray_iron.brittle")
    assert looked_up.direct["fact"] == ["brittle"]
    assert "brittle.by-family" in looked_up.rules
    assert "engine-block-frost-crack-in-water-jacket-is-stitched" in looked_up.scenarios
    assert "aluminium-gearbox-case-is-tig-welded" not in looked_up.scenarios


def test_impact_of_a_formula(book: Rulebook) -> None:
    found = impact(book, "seam")
    assert found.kind == "formula"
    assert "true_wall" in found.direct["reads"]
    assert "stitching_feasible" in found.direct["makes"]
    assert "stitch.no-row-fits" in found.rules


@pytest.mark.parametrize(
    "name", ["braze.too-hto", "materials.gray_iron.brittel", "materials.tin.brittle"]
)
def test_impact_of_nothing(name: str, book: Rulebook) -> None:
    with pytest.raises(UnknownThing, match="expected"):
        impact(book, name)
