"""What the prover knows of formulas: when they make something, and what it can be.

The prover does no arithmetic: what a formula makes is free. Each law here narrows that to what
the formula can really give. A law that says too much would make a proof worth nothing, so random
cases hold every one of them against the formulas themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.formulas_verdict import GO_AHEAD
from advisor.advice.ranking import REPLACE
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import METHODS
from advisor.reasoning.prover.circuit import FALSE, TRUE, negate
from advisor.reasoning.prover.codes import (
    Arm,
    Code,
    Cut,
    MembersCode,
    NumberCode,
    WordCode,
    constant,
    select,
)
from advisor.reasoning.prover.encode import Encoder, Law, Probe, Range
from advisor.reasoning.values import number

Codes = dict[str, Code]

RANGES: Mapping[str, Range] = {
    **{
        element: Range(0, 100)
        for element in (
            "carbon", "silicon", "phosphorus", "sulfur", "chromium", "nickel", "magnesium_content",
        )
    },
    "iron_carbon_equivalent": Range(0, 100),
    "steel_carbon_equivalent": Range(0, 100),
    "hole_count": Range(0, 1000, whole=True),
    "true_wall": Range(0, above=True),
    "section_ratio": Range(1),
    "threads_at_best": Range(0, above=True),
}  # fmt: skip
"""Where the numbers that formulas make may lie."""


def laws() -> dict[str, Law]:
    """By each fact that a formula makes, the law of its formula."""
    found: dict[str, Law] = {}
    for formula in FORMULAS:
        law = _LAWS.get(formula.id) or _free(formula.outputs)
        found.update(dict.fromkeys(formula.outputs, law))
    return found


def _free(outputs: Sequence[str], needs: Sequence[str] = ()) -> Law:
    """Anything, wherever the formula runs and all that it needs is known."""

    def law(encoder: Encoder) -> Codes:
        runs = encoder.circuit.both(_runs(encoder, outputs[0]), _known(encoder, *needs))
        return {name: encoder.free(name, runs) for name in outputs}

    return law


@cache
def _formula_of(fact: str) -> str:
    return next(formula.id for formula in FORMULAS if fact in formula.outputs)


def _runs(encoder: Encoder, fact: str) -> int:
    formula = next(one for one in FORMULAS if one.id == _formula_of(fact))
    return encoder.condition(formula.when).certain


def _known(encoder: Encoder, *facts: str) -> int:
    return encoder.circuit.all(encoder.fact(fact).known for fact in facts)


def _is(encoder: Encoder, fact: str, *words: str) -> int:
    """Whether a word fact is certainly one of some words."""
    code = encoder.fact(fact)
    assert isinstance(code, WordCode)
    return encoder.circuit.any(code.exact.get(word, FALSE) for word in words)


def _yes_no(yes: int, no: int, encoder: Encoder) -> WordCode:
    return WordCode({"yes": yes, "no": no}, encoder.circuit.either(yes, no))


def _beyond(code: Code, cut: Cut) -> tuple[int, int]:
    assert isinstance(code, NumberCode)
    return code.ends(cut)


# --- material and triage ------------------------------------------------------------------------


def _grade_fits(encoder: Encoder) -> Codes:
    circuit = encoder.circuit
    grade, claimed = encoder.fact("grade_material"), encoder.fact("material")
    assert isinstance(grade, WordCode)
    assert isinstance(claimed, WordCode)
    both_told = circuit.both(circuit.any(grade.exact.values()), circuit.any(claimed.exact.values()))
    alike = circuit.any(circuit.both(lit, claimed.exact[w]) for w, lit in grade.exact.items())
    return {
        "grade_fits_material": _yes_no(
            circuit.both(both_told, alike), circuit.both(both_told, negate(alike)), encoder
        )
    }


def _sound_wall(encoder: Encoder) -> Codes:
    """The wall itself, unless graphitised skin has to come off it."""
    circuit, condition = encoder.circuit, encoder.fact("base_condition")
    assert isinstance(condition, MembersCode)
    skin = circuit.both(condition.known, condition.certain["graphitic_corrosion"])
    bare = circuit.both(condition.known, negate(condition.certain["graphitic_corrosion"]))
    reduced = encoder.free("sound_wall", _known(encoder, "wall_thickness", "graphitic_depth"))
    arms = [Arm(bare, encoder.fact("wall_thickness")), Arm(skin, reduced)]
    return {"sound_wall": select(arms, encoder.vocabulary["sound_wall"], circuit)}


def _holes(encoder: Encoder) -> Codes:
    circuit = encoder.circuit
    count = encoder.free("hole_count")
    none = negate(_beyond(count, Cut(1.0, False))[1])
    answered, in_a_hole = count.known, _is(encoder, "crack_location", "bolt_hole")
    enters = encoder.free("crack_enters_hole", answered)
    damaged = encoder.free("hole_thread_damaged", answered)
    assert isinstance(enters, WordCode)
    assert isinstance(damaged, WordCode)
    encoder.require(circuit.implies(circuit.both(answered, in_a_hole), enters.exact["yes"]))
    no_hole = circuit.both(answered, none)
    encoder.require(circuit.implies(circuit.both(no_hole, negate(in_a_hole)), enters.exact["no"]))
    encoder.require(circuit.implies(no_hole, damaged.exact["no"]))
    return {"hole_count": count, "crack_enters_hole": enters, "hole_thread_damaged": damaged}


# --- demands ------------------------------------------------------------------------------------


def _wall_strength(encoder: Encoder) -> Codes:
    """As measured, else something for the metal in its wall."""
    measured = encoder.fact("tensile_strength")
    other = encoder.free("wall_strength", _known(encoder, "material", "true_wall"))
    arms = [Arm(measured.known, measured), Arm(negate(measured.known), other)]
    return {"wall_strength": select(arms, encoder.vocabulary["wall_strength"], encoder.circuit)}


def _wall_stress(encoder: Encoder) -> Codes:
    """As stated; without load what the pressure makes, or nothing."""
    circuit, stated = encoder.circuit, encoder.fact("nominal_stress")
    unloaded = circuit.both(negate(stated.known), _is(encoder, "load", "none"))
    empty = _is(encoder, "fluid", "none")
    pressure = encoder.fact("pressure")
    pressed = _beyond(pressure, Cut(0.0, True))[1]
    calm = circuit.either(empty, circuit.both(pressure.known, negate(pressed)))
    other = encoder.free("wall_stress", _known(encoder, "true_wall", "pressure"))
    arms = [
        Arm(stated.known, stated),
        Arm(circuit.both(unloaded, calm), constant(number(0.0))),
        Arm(circuit.both(unloaded, negate(calm)), other),
    ]
    return {"wall_stress": select(arms, encoder.vocabulary["wall_stress"], circuit)}


def _test_pressure(encoder: Encoder) -> Codes:
    """Where there is a pressure to test for; without the strength of the panel always."""
    circuit, pressed = encoder.circuit, _beyond(encoder.fact("pressure"), Cut(0.0, True))[1]
    asked = circuit.all(
        (_known(encoder, "test_ratio", "pressure"), pressed, negate(_is(encoder, "fluid", "none")))
    )
    made = encoder.free("test_pressure", asked)
    uncapped = circuit.both(asked, negate(encoder.fact("yielding_pressure").known))
    encoder.require(circuit.implies(uncapped, made.known))
    return {"test_pressure": made}


# --- method -------------------------------------------------------------------------------------


def _seam(encoder: Encoder) -> Codes:
    """Threads just where a row can be laid, and never fewer than were asked for."""
    circuit = encoder.circuit
    needs = ("true_wall", "wander_allowance", "least_engaged_threads", "tip_allowance")
    feasible = encoder.free("stitching_feasible", _known(encoder, *needs[:1]))
    assert isinstance(feasible, WordCode)
    laid = feasible.exact["yes"]
    encoder.require(circuit.implies(laid, _known(encoder, *needs)))
    at_best = encoder.free("threads_at_best", laid)
    encoder.require(circuit.implies(laid, at_best.known))
    asked = encoder.fact("least_engaged_threads")
    for threads in sorted({float(value) for _, value in encoder.claimers["least_engaged_threads"]}):
        cut = Cut(threads, False)
        enough = _beyond(at_best, cut)[0]
        encoder.require(circuit.implies(circuit.both(laid, _beyond(asked, cut)[1]), enough))
    return {"stitching_feasible": feasible, "threads_at_best": at_best}


def _keys(encoder: Encoder) -> Codes:
    circuit = encoder.circuit
    feasible = encoder.free("keys_feasible", _known(encoder, "true_wall", "wall_strength"))
    carry = encoder.free("keys_carry_demand", feasible.known)
    assert isinstance(feasible, WordCode)
    assert isinstance(carry, WordCode)
    restored = encoder.free("restored_fraction", feasible.exact["yes"])
    encoder.require(circuit.implies(feasible.known, carry.known))
    encoder.require(circuit.implies(carry.exact["yes"], feasible.exact["yes"]))
    encoder.require(circuit.implies(feasible.exact["yes"], restored.known))
    return {"keys_feasible": feasible, "keys_carry_demand": carry, "restored_fraction": restored}


# --- verdict ------------------------------------------------------------------------------------


def _rank(encoder: Encoder) -> Codes:
    """What is left, and as best method any one of those left: weights are not summed up here."""
    circuit = encoder.circuit
    allowed, out = encoder.fact("methods_allowed"), encoder.fact("methods_ruled_out")
    assert isinstance(allowed, MembersCode)
    assert isinstance(out, MembersCode)
    left = {m: circuit.both(allowed.certain[m], negate(out.possible[m])) for m in METHODS}
    unsure = {
        m: circuit.all((allowed.possible[m], negate(out.certain[m]), negate(left[m])))
        for m in METHODS
    }
    opened = circuit.any(lit for m, lit in left.items() if m != REPLACE)
    doubts = circuit.any(u for m, u in unsure.items() if m != REPLACE)
    outweighed = circuit.input(Probe("exact", "methods_left", "unsure"))
    some = circuit.both(opened, negate(outweighed))
    maybe = circuit.either(circuit.both(opened, outweighed), circuit.both(negate(opened), doubts))
    none = negate(circuit.either(some, maybe))
    methods_left = WordCode({"some": some, "unsure": maybe, "none": none}, TRUE)
    return {"methods_left": methods_left, "best_method": _best(encoder, left, maybe)}


def _best(encoder: Encoder, left: Mapping[str, int], maybe: int) -> WordCode:
    circuit = encoder.circuit
    best = encoder.free("best_method")
    assert isinstance(best, WordCode)
    encoder.require(best.known)
    open_to_choose = {m: circuit.both(lit, negate(maybe)) for m, lit in left.items()}
    for method, lit in open_to_choose.items():
        encoder.require(circuit.implies(best.exact[method], lit))
    nothing = negate(circuit.any(open_to_choose.values()))
    encoder.require(circuit.same(best.exact["none"], nothing))
    return best


def _go_ahead(encoder: Encoder) -> Codes:
    circuit, best, verdict = encoder.circuit, encoder.fact("best_method"), encoder.fact("verdict")
    assert isinstance(best, WordCode)
    assert isinstance(verdict, WordCode)
    told = circuit.both(circuit.any(verdict.exact.values()), circuit.any(best.exact.values()))
    go = circuit.both(told, circuit.any(verdict.exact[word] for word in GO_AHEAD))
    stay = circuit.both(told, negate(go))
    method = {word: circuit.both(go, lit) for word, lit in best.exact.items()}
    method["none"] = circuit.either(method["none"], stay)
    return {"go_ahead": _yes_no(go, stay, encoder), "method": WordCode(method, told)}


# --- sizing -------------------------------------------------------------------------------------


def _stitching(encoder: Encoder) -> Codes:
    method = encoder.fact("method")
    yes = _is(encoder, "method", *STITCHED)
    return {"stitching": _yes_no(yes, encoder.circuit.both(method.known, negate(yes)), encoder)}


def _row(encoder: Encoder) -> Codes:
    """Sizes of the row wherever one is set and can be laid."""
    sizes = ("pin_diameter", "pin_pitch_of_row", "pin_count")
    runs = _runs(encoder, sizes[0])
    laid = encoder.circuit.both(runs, _is(encoder, "stitching_feasible", "yes"))
    made: Codes = {name: encoder.free(name, runs) for name in sizes}
    for code in made.values():
        encoder.require(encoder.circuit.implies(laid, code.known))
    return made


def _insert_needed(encoder: Encoder) -> Codes:
    """Known where the holes were looked at; kinds just where an insert is needed and fits."""
    circuit, looked_at = encoder.circuit, encoder.fact("inserts_feasible").known
    needed = encoder.free("insert_needed", looked_at)
    kinds = encoder.free("insert_kinds", looked_at)
    assert isinstance(needed, WordCode)
    assert isinstance(kinds, MembersCode)
    encoder.require(circuit.implies(looked_at, needed.known))
    encoder.require(circuit.implies(looked_at, kinds.known))
    some = circuit.both(looked_at, circuit.any(kinds.certain.values()))
    encoder.require(circuit.implies(some, needed.exact["yes"]))
    return {"insert_needed": needed, "insert_kinds": kinds}


_LAWS: Mapping[str, Law] = {
    "grade_fits_material": _grade_fits,
    "velocity_class": _free(("velocity_class",), ("ultrasonic_velocity",)),
    "iron_carbon_equivalent": _free(
        ("iron_carbon_equivalent",), ("carbon", "silicon", "phosphorus")
    ),
    "steel_carbon_equivalent": _free(
        ("steel_carbon_equivalent",), ("carbon", "chromium", "nickel")
    ),
    "sound_wall": _sound_wall,
    "holes": _holes,
    "true_wall": _free(("true_wall",), ("wall_thickness", "base_condition", "wall_measured_by")),
    "section_ratio": _free(("section_ratio",), ("wall_thickness", "wall_thickness_max")),
    "wall_strength": _wall_strength,
    "wall_stress": _wall_stress,
    "line_load": _free(("line_load",), ("wall_stress", "true_wall")),
    "crack_runs": _free(
        ("critical_crack_length", "crack_would_run"), ("wall_stress", "crack_length")
    ),
    "yielding_pressure": _free(("yielding_pressure",), ("true_wall", "wall_strength")),
    "test_pressure": _test_pressure,
    "inserts": _free(("inserts_feasible",)),
    "seam": _seam,
    "keys": _keys,
    "rank_methods": _rank,
    "go_ahead": _go_ahead,
    "stitching": _stitching,
    "row": _row,
    "steel_preheat": _free(("preheat_by_formula",), ("carbon", "chromium", "nickel")),
    "insert_needed": _insert_needed,
}
