"""Threaded holes near the crack: whether each needs an insert, and which one fits."""

from __future__ import annotations

from typing import Literal

from advisor.advice.formulas import Given, Missing
from advisor.advice.formulas_material import holes
from advisor.case.model import Case, Hole
from advisor.case.problems import InputProblem
from advisor.case.quantities import Measure
from advisor.engineering.bolts import BoltClass, bolt_class, read_class_name
from advisor.engineering.designations import Designation, DesignationError, parse_designation
from advisor.engineering.insert_geometry import KINDS, InsertKind, outside_of
from advisor.engineering.inserts import (
    DamagedHole,
    InsertDesign,
    InsertNeed,
    NoInsertFits,
    Parent,
    choose_insert,
    evaluate_insert,
    insert_needed,
)
from advisor.engineering.limits import OutOfRange
from advisor.light_dataclass import dataclass
from advisor.reasoning.tables import Table

SOFT = frozenset({"aluminium_alloy", "magnesium_alloy", "zinc_alloy"})
STRONGEST_USUAL = {"metric": "10.9", "unified": "SAE grade 8"}
"""Taken where the bolt's class is not known: the strongest usual one asks most of the thread."""


@dataclass(frozen=True)
class HolePlan:
    """What was found out about one hole."""

    number: int
    hole: DamagedHole
    need: InsertNeed
    design: InsertDesign | None
    refused: str | None
    notes: tuple[str, ...]


def check_threads(case: Case) -> None:
    """Refuse threads and bolt classes that cannot be read, as the bad input they are.

    Raises:
        InputProblem: naming file, line, field and what would be right.
    """
    answer = case.answers.get("holes")
    if answer is None or not isinstance(answer.value, tuple):
        return
    for number, hole in enumerate(answer.value, start=1):
        if isinstance(hole, Hole):
            _check_hole(case, answer.line, number, hole)


def _check_hole(case: Case, line: int, number: int, hole: Hole) -> None:
    for field, read in (("thread", parse_designation), ("bolt_class", read_class_name)):
        text = getattr(hole, field)
        if not isinstance(text, str):
            continue
        try:
            read(text)
        except (DesignationError, OutOfRange) as problem:
            raise InputProblem(
                repr(text),
                problem.hint or problem.limit,
                field=f"answers.holes[{number}].{field}",
                file=case.file or None,
                line=line or None,
            ) from None


def plan_holes(given: Given) -> tuple[HolePlan, ...]:
    """Look at every hole.

    Raises:
        Missing: a hole lacks what its judgement needs.
    """
    return tuple(_plan(given, number, hole) for number, hole in enumerate(holes(given), start=1))


def _plan(given: Given, number: int, hole: Hole) -> HolePlan:
    damaged, notes = _damaged_hole(given, hole)
    need = insert_needed(damaged)
    if not need.needed:
        return HolePlan(number, damaged, need, None, None, notes)
    own, said = _own_insert(given, damaged)
    if own is not None:
        return HolePlan(number, damaged, need, own, None, (*notes, *said))
    notes = (*notes, *said)
    try:
        design = choose_insert(
            damaged,
            at_least=_least_kind(given),
            least_diameters=_least_length(given),
        )
    except NoInsertFits as nothing:
        why = "; ".join(
            f"{refusal.kind.replace('_', ' ')}: {', '.join(refusal.reasons)}"
            for refusal in nothing.refused
        )
        hint = f"; {nothing.hint}" if nothing.hint else ""
        return HolePlan(number, damaged, need, None, f"no insert fits: {why}{hint}", notes)
    return HolePlan(number, damaged, need, design, None, notes)


def _own_insert(given: Given, hole: DamagedHole) -> tuple[InsertDesign | None, tuple[str, ...]]:
    """The first of the shop's own inserts that fits, and what there is to say of them."""
    own = [
        one
        for one in (given.shop.inserts if given.shop else ())
        if one.bolt_thread.text == hole.thread.text
    ]
    least, at_least = _least_kind(given), _least_length(given) or 0.0
    for one in own:
        if least is not None and KINDS.index(one.kind) < KINDS.index(least):
            continue
        if one.length_mm < at_least * hole.thread.diameter_mm:
            continue
        design = evaluate_insert(hole, one.kind, outside_of(one.outside_thread), one.length_mm)
        if design.feasible:
            return design, ("one of the shop's own inserts",)
    if own:
        return None, ("none of the shop's own inserts fits; a standard size is named",)
    return None, ()


def _damaged_hole(given: Given, hole: Hole) -> tuple[DamagedHole, tuple[str, ...]]:
    if not isinstance(hole.thread, str) or not isinstance(hole.condition, str):
        raise Missing("holes")
    thread = parse_designation(hole.thread)
    depth, distance = _low(hole.depth), _low(hole.distance)
    if depth is None or distance is None:
        raise Missing("holes")
    bolt, notes = _bolt(given, thread, hole)
    wall = given.high("true_wall")
    behind = given.word_or("behind_wall", "coolant")
    return (
        DamagedHole(
            thread=thread,
            condition=_condition(hole.condition),
            depth_mm=depth,
            through=depth >= wall,
            parent=Parent(
                tensile_mpa=given.low("wall_strength"),
                brittle=given.word_or("treated_as_brittle", "yes") == "yes",
                soft=given.word("material") in SOFT,
            ),
            bolt=bolt,
            crack_distance_mm=distance,
            damaged_length_mm=_high(hole.damaged_length),
            edge_distance_mm=_low(hole.edge_distance),
            pressure_behind=behind in ("coolant", "oil", "gas"),
            axial_load_n=None,
        ),
        notes,
    )


def _least_kind(given: Given) -> InsertKind | None:
    """The lightest kind that the rules leave."""
    wanted = given.word_or("insert_kind_wanted", "solid_bushing")
    return next((kind for kind in KINDS if kind == wanted), None)


def _least_length(given: Given) -> float | None:
    known = given.known("insert_length_wanted")
    return given.high("insert_length_wanted") if known else None


def _condition(word: str) -> Literal["good", "worn", "stripped", "corroded"]:
    if word == "good":
        return "good"
    if word == "worn":
        return "worn"
    return "corroded" if word == "corroded" else "stripped"


def _low(value: object) -> float | None:
    return value.low if isinstance(value, Measure) else None


def _high(value: object) -> float | None:
    return value.high if isinstance(value, Measure) else None


def _bolt(
    given: Given, thread: Designation, hole: Hole
) -> tuple[BoltClass | None, tuple[str, ...]]:
    if thread.is_pipe:
        return None, ()
    notes: tuple[str, ...] = ()
    text = hole.bolt_class
    if not isinstance(text, str):
        text = STRONGEST_USUAL[thread.measure_system]
        notes = (f"bolt class not known: the strongest usual one, {text}, is taken",)
    standard, name = read_class_name(text)
    rows = bolt_rows(given.knowledge.tables["bolt_classes"])
    return bolt_class(rows, standard, name, thread.diameter_mm), notes


def bolt_rows(table: Table) -> list[BoltClass]:
    """The table of bolt strengths as the engineering reads it."""

    def cell(row: str, column: str) -> float:
        value = table.rows[row][column].value
        assert isinstance(value, int | float)
        return float(value)

    return [
        BoltClass(
            standard="SAE J429" if row["standard"].value == "SAE J429" else "ISO 898-1",
            name=str(row["class"].value),
            over_mm=cell(name, "over_diameter"),
            up_to_mm=cell(name, "up_to_diameter"),
            tensile_mpa=cell(name, "tensile"),
            yield_mpa=cell(name, "yield"),
            proof_mpa=cell(name, "proof"),
        )
        for name, row in table.rows.items()
    ]
