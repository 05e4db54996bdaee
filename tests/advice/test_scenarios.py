"""Each worked case comes to the decision that an experienced repairer would defend.

The expected decisions in `scenarios/expected/` were reasoned out from the case by trade practice,
not copied from the program; the `why` of each says how.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from typing import Any, Literal

import pytest
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.advice.model import Advice, Heat, Quantity, Stitching
from advisor.advice.rulebook import METHODS, Rulebook
from advisor.case.model import Case
from advisor.case.quantities import parse_measure
from advisor.case.yaml_text import read_yaml
from advisor.reasoning import engine

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.yaml"))
NONE = "none"


# --- the expectation ------------------------------------------------------------------------------


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Between(Part):
    """Bounds, both included; with a unit where the value has one."""

    least: str = Field(alias="from", default="")
    most: str = Field(alias="to", default="")

    def holds(self, value: float, dimension: str = "number") -> bool:
        least = parse_measure(self.least, dimension).low if self.least else float("-inf")
        most = parse_measure(self.most, dimension).high if self.most else float("inf")
        return least - 1e-6 <= value <= most + 1e-6


class Pins(Part):
    """What the row of pins has to look like."""

    threads: tuple[str, ...]
    count: Between
    keys: Literal["yes", "no"]
    restored: Between | None = None


class Warmth(Part):
    """What the heat has to look like; what is left out is not looked at."""

    filler: str | None = None
    preheat_min: Between | None = None
    interpass_max: Between | None = None
    stress_relief: Between | None = None
    postheat: str | None = None
    cooling: str | None = None


class Decision(Part):
    """The decision; lists name what has to be there, `not_` what must not be.

    `approvals`, where given, are all that are asked for.
    """

    verdict: str
    method: str
    ruled_out: tuple[str, ...] = ()
    possible: tuple[str, ...] = ()
    stitching: Pins | None = None
    inserts: tuple[str, ...] = ()
    heat: Warmth | None = None
    steps: tuple[str, ...] = ()
    steps_in_order: tuple[str, ...] = ()
    not_steps: tuple[str, ...] = ()
    inspections: tuple[str, ...] = ()
    not_inspections: tuple[str, ...] = ()
    approvals: tuple[str, ...] | None = None
    rules: tuple[str, ...] = ()
    not_rules: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


class Expectation(Part):
    decision: Decision
    why: str = Field(min_length=60)


def read_expectation(path: Path, book: Rulebook) -> Expectation:
    """Read an expectation; a name that the rule base does not know is an error."""
    found = Expectation.model_validate(read_yaml(path, 1024 * 1024).data)
    unknown = [f"{path.name}: {what} {name!r}" for what, name in _unknown(found.decision, book)]
    if unknown:
        raise ValueError("; ".join(unknown))
    return found


def _unknown(decision: Decision, book: Rulebook) -> Iterator[tuple[str, str]]:
    known: Mapping[str, Collection[str]] = {
        "verdict": book.vocabulary["verdict"].choices,
        "method": {*METHODS, NONE},
        "insert": {*book.vocabulary["insert_kind_wanted"].choices, NONE},
        "filler": book.vocabulary["filler"].choices,
        "step": book.steps,
        "inspection": book.inspections,
        "approval": book.knowledge.tables["approvals"].rows,
        "rule": book.rule_by_id,
        "question": book.questionnaire.by_id,
        "pin": book.knowledge.tables["pins"].rows,
    }
    named = (
        ("verdict", (decision.verdict,)),
        ("method", (decision.method, *decision.ruled_out, *decision.possible)),
        ("insert", decision.inserts),
        ("filler", (decision.heat.filler,) if decision.heat and decision.heat.filler else ()),
        ("step", (*decision.steps, *decision.steps_in_order, *decision.not_steps)),
        ("inspection", (*decision.inspections, *decision.not_inspections)),
        ("approval", decision.approvals or ()),
        ("rule", (*decision.rules, *decision.not_rules)),
        ("question", decision.questions),
        ("pin", decision.stitching.threads if decision.stitching else ()),
    )
    for what, names in named:
        yield from ((what, name) for name in names if name not in known[what])


# --- what differs from it -------------------------------------------------------------------------


def differences(wanted: Decision, worked: Any) -> Iterator[str]:
    """What in an advice differs from what was wanted, in words."""
    advice: Advice = worked.advice
    if advice.verdict.value != wanted.verdict:
        yield f"verdict {advice.verdict.value} because {', '.join(advice.verdict.because)}"
    if (advice.recommended or NONE) != wanted.method:
        yield f"method {advice.recommended or NONE}"
    standing = {one.method: one.standing for one in advice.methods}
    for expected, names in (("ruled_out", wanted.ruled_out), ("possible", wanted.possible)):
        yield from (
            f"{name} is {standing[name]}, not {expected}"
            for name in names
            if standing[name] != expected
        )
    approvals = {one.id for one in advice.verdict.approval}
    if wanted.approvals is not None and approvals != set(wanted.approvals):
        yield f"approvals {sorted(approvals)}"
    yield from _pins_differ(wanted.stitching, advice.stitching)
    yield from _inserts_differ(wanted.inserts, advice)
    yield from _heat_differs(wanted.heat, advice.heat)
    yield from _lists_differ(wanted, advice)
    fired = {name for name in worked.thinking.rulebook.rule_by_id if _fired(worked, name)}
    yield from (f"rule {name} did not fire" for name in wanted.rules if name not in fired)
    yield from (f"rule {name} fired" for name in wanted.not_rules if name in fired)


def _fired(worked: Any, rule: str) -> bool:
    return bool(worked.thinking.truth_of(rule) == "true")


def _pins_differ(wanted: Pins | None, found: Stitching | None) -> Iterator[str]:
    if wanted is None or found is None:
        if (wanted is None) != (found is None):
            yield "stitching is " + ("there" if found else "missing")
        return
    if found.pin.thread not in wanted.threads:
        yield f"pin {found.pin.thread}"
    if not wanted.count.holds(found.pin.count):
        yield f"{found.pin.count} pins"
    if (wanted.keys == "yes") != (found.keys is not None):
        yield "keys are " + ("there" if found.keys else "missing")
    if wanted.restored and not wanted.restored.holds(found.strength.restored_fraction):
        yield f"restores {found.strength.restored_fraction}"


def _inserts_differ(wanted: tuple[str, ...], advice: Advice) -> Iterator[str]:
    found = tuple((one.kind if one.needed else None) or NONE for one in advice.inserts)
    if found != wanted:
        yield f"inserts {found}"


def _heat_differs(wanted: Warmth | None, found: Heat | None) -> Iterator[str]:
    if wanted is None or found is None:
        if (wanted is None) != (found is None):
            yield "heat is " + ("there" if found else "missing")
        return
    for name in ("filler", "postheat", "cooling"):
        word = getattr(wanted, name)
        if word is not None and (getattr(found, name) or NONE) != word:
            yield f"{name} {getattr(found, name)}"
    temperatures: Mapping[str, tuple[Between | None, Quantity | None]] = {
        "preheat": (wanted.preheat_min, found.preheat_min),
        "interpass": (wanted.interpass_max, found.interpass_max),
        "stress relief": (wanted.stress_relief, found.stress_relief_temperature),
    }
    for name, (bounds, value) in temperatures.items():
        if bounds and (value is None or not bounds.holds(value.value, "temperature")):
            yield f"{name} {value.value if value else NONE}"


def _lists_differ(wanted: Decision, advice: Advice) -> Iterator[str]:
    steps = [one.id for one in advice.steps]
    inspections = {one.id for one in advice.inspections}
    asked = {one.id for one in advice.next_questions}
    for what, missing in (
        ("step", [name for name in wanted.steps if name not in steps]),
        ("inspection", [name for name in wanted.inspections if name not in inspections]),
        ("question", [name for name in wanted.questions if name not in asked]),
    ):
        yield from (f"{what} {name} is missing" for name in missing)
    yield from (f"step {name} is there" for name in wanted.not_steps if name in steps)
    yield from (f"inspection {n} is there" for n in wanted.not_inspections if n in inspections)
    in_order = [name for name in steps if name in wanted.steps_in_order]
    if in_order != list(wanted.steps_in_order):
        yield f"steps in the order {in_order}"


# --- the tests ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_scenario_comes_to_its_decision(
    name: str, rulebook: Rulebook, worked: Callable[[str], Any]
) -> None:
    expectation = read_expectation(SCENARIOS / "expected" / f"{name}.yaml", rulebook)
    done = worked(name)
    assert "\n".join(differences(expectation.decision, done)) == ""
    ran = done.advice.program.reasoners
    assert len(ran["ran"]) == (2 if engine.AVAILABLE else 1)
    assert ran["agreed"] is (True if engine.AVAILABLE else None)


def test_every_case_has_an_expectation_and_every_expectation_a_case() -> None:
    expected = {path.stem for path in (SCENARIOS / "expected").glob("*.yaml")}
    assert set(NAMES) == expected


def test_cases_are_called_invented_and_tell_their_story(cases: Mapping[str, Case]) -> None:
    assert set(cases) == set(NAMES)
    references = [case.reference for case in cases.values()]
    assert len(set(references)) == len(references)
    for case in cases.values():
        assert case.title.endswith("(invented)")
        assert case.notes.count(".") >= 2


def test_cases_cover_every_metal_method_and_verdict(
    cases: Mapping[str, Case], rulebook: Rulebook
) -> None:
    decisions = [
        read_expectation(SCENARIOS / "expected" / f"{name}.yaml", rulebook).decision
        for name in NAMES
    ]
    metals = {case.value("material") for case in cases.values()}
    assert metals >= set(rulebook.vocabulary["material"].choices)
    assert {one.method for one in decisions} == {*METHODS, NONE}
    assert {one.verdict for one in decisions} == set(rulebook.vocabulary["verdict"].choices)
    ruled_out = {method for one in decisions for method in one.ruled_out}
    assert ruled_out == set(METHODS) - {"replace_part"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("verdict: mend\n  method: none", "verdict 'mend'"),
        ("verdict: repair\n  method: glue", "method 'glue'"),
        ("verdict: refer\n  method: none\n  steps: [wave_wand]", "step 'wave_wand'"),
        ("verdict: refer\n  method: none\n  rules: [no.such-rule]", "rule 'no.such-rule'"),
        ("verdict: refer\n  method: none\n  approvals: [nobody]", "approval 'nobody'"),
        ("verdict: refer\n  method: none\n  inspections: [x_ray_eyes]", "'x_ray_eyes'"),
    ],
)
def test_a_name_nobody_knows_is_an_error(
    text: str, says: str, rulebook: Rulebook, tmp_path: Path
) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(f"decision:\n  {text}\nwhy: {'a reason ' * 10}\n")
    with pytest.raises(ValueError, match=says):
        read_expectation(path, rulebook)


def test_a_key_nobody_knows_is_an_error(rulebook: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(f"decision: {{verdict: refer, methode: none}}\nwhy: {'a reason ' * 10}\n")
    with pytest.raises(ValidationError, match="methode"):
        read_expectation(path, rulebook)
