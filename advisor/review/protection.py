"""Which rules a senior may depart from on his own word, and which guard people and may not be.

Decided by what a rule does, in which stage, and what it looks at:

- A rule that settles the verdict or asks for an approval says who decides. Nobody overrides it.
- A rule of the stages material, triage and demands says what the metal is, who may be hurt and what
  service asks. What it settles or excludes stands; what it only favours or warns of may go.
- A rule that excludes a method stands where it looks at law, people, pressure, contents, load,
  heat in service or the metal itself. Where it looks at nothing of that - distortion, a machined
  face, access, the gear of the shop - it guards the part and not people, and a senior may depart
  from it.
- A step or an inspection that any rule asks for because of hazards, contents, pressure or people
  stands too, whichever rule asks; the others are good practice, and a senior may have a reason.
- Preheat, filler and all other choices of sizing guard the part: a senior may depart from them,
  but not from the formulas below them.

Formulas are not rules: what statics and geometry say holds for seniors too.
"""

from __future__ import annotations

import functools
from typing import Final

from advisor.advice.rulebook import STAGES, Rulebook
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.rules import Rule

ABOUT_PEOPLE: Final = frozenset({
    "governed_by", "part_referral", "failure_consequence", "safety_part", "rotating", "rim_speed",
    "contents", "pressure", "fluid", "hazards", "material_standing",
    "material_evidence", "welder_qualified", "test_pressure",
})  # fmt: skip
"""Facts that say whether somebody can be hurt, or who has a say."""

ABOUT_METAL_AND_LOAD: Final = frozenset({
    "part_kind", "material", "is_iron", "treated_as_brittle", "refer_out", "fusion_weldable",
    "braze_weldable", "drillable", "metal_condition", "base_condition", "load", "strength_wanted",
    "keys_wanted", "keys_feasible", "keys_carry_demand", "stitching_feasible",
    "inserts_feasible", "nominal_stress", "crack_would_run", "crack_moves", "temperature_max",
    "heat_allowed", "steel_carbon_equivalent", "grade_weld_note", "grade_heat_treated",
    "missing_metal", "true_wall",
})  # fmt: skip
"""Facts on which a method holds or fails; an exclusion that looks at one of them stands."""

_FIRM_STAGES: Final = frozenset(
    STAGES.index(name) for name in ("material", "triage", "demands", "verdict")
)
_SOFT_EFFECTS: Final = frozenset({"favour", "disfavour", "warn", "allow"})
_DEMANDS: Final = frozenset({"require_step", "require_inspection"})


def protects_people(rule: Rule, book: Rulebook) -> bool:
    """Whether a rule stands against any senior's word."""
    return why_it_stands(rule, book) is not None


def why_it_stands(rule: Rule, book: Rulebook) -> str | None:
    """Why a rule cannot be overridden, or None where it can."""
    kinds = {effect.kind for effect in rule.then} - _SOFT_EFFECTS
    looks_at = facts_read(rule.when)
    if "require_approval" in kinds or any(effect.target == "verdict" for effect in rule.then):
        return "it says who decides"
    if kinds and rule.stage in _FIRM_STAGES:
        return "it says what the metal is or what service asks"
    if "rule_out" in kinds and looks_at & (ABOUT_PEOPLE | ABOUT_METAL_AND_LOAD):
        return "it excludes a method that would not hold or could hurt somebody"
    if not _demanded(rule).isdisjoint(_guarding(book.rules)):
        return "it guards people"
    return None


def _demanded(rule: Rule) -> frozenset[str]:
    """Steps and inspections that a rule asks for."""
    return frozenset(effect.target for effect in rule.then if effect.kind in _DEMANDS)


@functools.lru_cache(maxsize=4)
def _guarding(rules: tuple[Rule, ...]) -> frozenset[str]:
    """Steps and inspections that some rule asks for to guard people."""
    guards = (rule for rule in rules if facts_read(rule.when) & ABOUT_PEOPLE)
    return frozenset(target for rule in guards for target in _demanded(rule))
