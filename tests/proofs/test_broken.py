"""Rule bases broken on purpose: each fails in the right proof, with the right case."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.advice.proofs.chain_proofs import breaks
from advisor.advice.proofs.promises import load_promises
from advisor.advice.proofs.prove import prove
from advisor.advice.thinking import think
from advisor.case.reading import parse_case
from advisor.cli.prove_command import case_file
from advisor.reasoning.cursor import KnowledgeProblem
from advisor.reasoning.prover.solve import available

from .conftest import Read, broken, broken_files, edit

needs_solver = pytest.mark.skipif(not available(), reason="the solver is not installed")


@needs_solver
@pytest.mark.parametrize("path", broken_files(), ids=lambda path: path.stem)
def test_a_broken_rule_base_fails_with_its_case(path: Path, copy: Path, read: Read) -> None:
    fixture: dict[str, Any] = broken(path)
    edit(copy, fixture["edits"])
    book = read(copy)
    (proof,) = prove(book, only=(fixture["breaks"],))
    assert proof.outcome == "broken", fixture["about"]
    if fixture["real"] == "no":
        return
    example = proof.faults[0].example
    assert example is not None
    assert example.real, sorted(example.free)
    text = case_file(proof, proof.faults[0].says, example)
    grades = tuple(book.knowledge.tables["grades"].rows)
    case = parse_case(text, "written", book.questionnaire, grades)
    promise = next(one for one in load_promises(book) if one.id == fixture["breaks"])
    assert breaks(promise, think(case, book, judge_only=True))
    for name, wanted in fixture.get("answers", {}).items():
        found = case.value(name)
        assert found == wanted or (isinstance(found, tuple) and wanted in found)


@needs_solver
@pytest.mark.parametrize("path", broken_files(), ids=lambda path: path.stem)
def test_the_whole_rule_base_keeps_what_the_broken_one_breaks(
    path: Path, copy: Path, read: Read
) -> None:
    (proof,) = prove(read(copy), only=(str(broken(path)["breaks"]),))
    assert proof.outcome == "proved"


FAULTY_RULES = {
    "contradicts itself": """
  - id: pins.impossible
    stage: sizing
    title: A condition that no case can meet
    when: {all: [{fact: wall_thickness, below: 4 mm}, {fact: wall_thickness, above: 5 mm}]}
    then: [{settle: {sealant_wanted: "yes"}}]
    because: It stands here to be refused.
    source: [{ref: PRACTICE, seen: practice}]
""",
    "says the same as": """
  - id: pins.twice
    stage: sizing
    title: A rule that stands here already
    when:
      all:
        - {fact: method, one_of: [cold_stitch_with_keys, cold_stitch]}
        - {fact: material, is: copper_alloy}
    then: [{settle: {pin_material: copper_alloy}}]
    because: It stands here to be refused.
    source: [{ref: PRACTICE, seen: practice}]
""",
    "settle pin_material differently": """
  - id: pins.steel-in-bronze
    stage: sizing
    title: Another pin for bronze
    when: {all: [{fact: method, is: cold_stitch}, {fact: material, is: copper_alloy}]}
    then: [{settle: {pin_material: low_carbon_steel}}]
    because: It stands here to be refused.
    source: [{ref: PRACTICE, seen: practice}]
""",
}


@pytest.mark.parametrize(("says", "rule"), FAULTY_RULES.items())
def test_faulty_pairs_are_refused_when_the_rules_are_read(
    says: str, rule: str, copy: Path, read: Read
) -> None:
    file = copy / "rules" / "62-sizing-stitching.yaml"
    file.write_text(file.read_text(encoding="utf-8") + rule, encoding="utf-8")
    with pytest.raises(KnowledgeProblem, match=says) as refused:
        read(copy)
    assert str(file) in str(refused.value)


def test_a_swallowed_rule_is_reported(copy: Path, read: Read) -> None:
    file = copy / "rules" / "62-sizing-stitching.yaml"
    rule = """
  - id: pins.sealant-twice
    stage: sizing
    title: A rule that another one says as often
    when:
      all:
        - {fact: method, is: cold_stitch}
        - {fact: tightness, is: tight}
        - {fact: temperature_max, at_most: 200 degC}
    then: [{settle: {sealant_wanted: "yes"}}]
    because: It stands here to be found.
    source: [{ref: PRACTICE, seen: practice}]
"""
    file.write_text(file.read_text(encoding="utf-8") + rule, encoding="utf-8")
    (proof,) = prove(read(copy), only=("no-swallowed-pair",))
    assert [fault.says for fault in proof.faults] == [
        "whenever pins.sealant-twice fires, pins.sealant-for-tightness says as much or more"
    ]
