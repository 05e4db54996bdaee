"""What every judge of a plan needs at hand: the case, the plan, and the case gone the plan's way.

A plan is judged on its own numbers. So the case is thought through a second time with the plan's
method going ahead: preheat, inspections and order of steps are then those which the rules ask of
*this* plan, and not those of the method that the program would have chosen.
"""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.doubt.what_if import WhatIf
from advisor.advice.formulas import Given
from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.model import Quantity
from advisor.advice.phrases import Units, fill, quantity
from advisor.advice.procedure import asked_for
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.quantities import Measure, format_measure
from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import Claim
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Number, word
from advisor.review.model import Basis, Figure, Finding, Item, Severity, Shown
from advisor.review.plan import Plan

GOES_AHEAD = frozenset({"repair", "repair_with_approval"})
HAIR = 0.011
"""Lengths that differ by less were rounded to the hundredth of a millimetre [mm]."""


@dataclass(frozen=True)
class Rests:
    """On what a finding rests: rules, or a formula, with the sources."""

    rule: str
    basis: Basis
    rules: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


ON_THE_PLAN = Rests("plan", "plan")
"""The plan speaks against itself, or is silent."""


@dataclass(frozen=True)
class Bench:
    """A plan on the bench.

    Attributes:
        plan: the plan.
        base: the case as the program advises it.
        trial: the case thought through with the plan's method going ahead; ``base`` where the
            plan's method is not known or is the advised one.
        method: the plan's method, stated or plain from its parts; None where it cannot be told.
        units: units of the sentences; the numbers of the document are always SI.
    """

    plan: Plan
    base: Thinking
    trial: Thinking
    method: str | None
    units: Units = "si"

    @property
    def book(self) -> Rulebook:
        """The rule book."""
        return self.base.rulebook

    @property
    def given(self) -> Given:
        """The facts of the trial as formulas read them."""
        trial = self.trial
        return Given(trial.case, trial.values, trial.objects, trial.rulebook.knowledge)

    @property
    def stitched(self) -> bool:
        """Whether the plan stitches."""
        return self.method in STITCHED

    @property
    def hot(self) -> bool:
        """Whether the plan's method heats the casting."""
        return self.trial.word("hot_method") == "yes" and self.method is not None

    @property
    def brittle(self) -> bool:
        """Whether the metal is treated as brittle; while that is not known, it is."""
        return self.trial.word("treated_as_brittle") != "no"

    @property
    def safety_part(self) -> bool:
        """Whether somebody can be hurt if the part fails again; while not known, yes."""
        return self.trial.word("safety_part") != "no"

    @property
    def must_hold_pressure(self) -> bool:
        """Whether the seam is part of a pressure wall."""
        return self.trial.word("tightness") in ("pressure_tight", None)

    # --- numbers ----------------------------------------------------------------------------

    def number(self, fact: str) -> Number | None:
        """A number of the trial, or None while it is open."""
        value = self.trial.values[fact]
        return value if isinstance(value, Number) and value.known else None

    def figure(self, name: str, fact: str, *, low: bool = True) -> tuple[Figure, ...]:
        """A number fact as a figure of a finding, at its cautious end."""
        value = self.number(fact)
        if value is None:
            return ()
        unit = self.book.vocabulary[fact].unit or "1"
        end = value.low if low else value.high
        sources = self.trial.facts[fact].sources
        return (Figure(name=name, value=quantity(end, unit), sources=sources),)

    def say(self, value: float, dimension: str = "length") -> str:
        """A number for people, in their units."""
        rounded = round(value, 4) + 0.0
        return format_measure(Measure(rounded, rounded, dimension), self.units)

    def mm(self, value: float) -> str:
        """A length for people, to the hundredth of a millimetre."""
        return self.say(round(value, 2))

    # --- what a finding rests on --------------------------------------------------------------

    def on_rules(self, rules: Iterable[str]) -> Rests:
        """A finding that rests on rules, the first of them in front."""
        ids = tuple(dict.fromkeys(rules))
        if not ids:
            return ON_THE_PLAN
        refs = (ref.ref for id_ in ids for ref in self.book.rule_by_id[id_].sources)
        return Rests(ids[0], "rule", ids, tuple(dict.fromkeys(refs)))

    def on_fact(self, fact: str) -> Rests:
        """A finding that rests on a fact of the trial: on its rules, or on its formula."""
        found = self.trial.facts[fact]
        if found.origin == "rule" and found.by:
            return self.on_rules(self._deciding(fact))
        if found.by and found.origin in ("formula", "nothing"):
            return self.on_formula(found.by[0])
        return Rests(fact, "formula", (), found.sources)

    def _deciding(self, fact: str) -> tuple[str, ...]:
        """The rules whose claim a decision is, the certain ones first."""
        value = self.trial.values[fact]
        claims = self.trial.claims.get(fact, [])
        if isinstance(value, Number):
            wanted = [claim for claim in claims if claim.value == value.high]
        else:
            wanted = [claim for claim in claims if claim.value == self.trial.word(fact)]
        ordered = sorted(wanted or claims, key=lambda claim: not claim.certain)
        return tuple(claim.rule.id for claim in ordered)

    def on_formula(self, formula: str) -> Rests:
        """A finding that rests on a formula."""
        known = next((one for one in FORMULAS if one.id == formula), None)
        sources = tuple(ref.ref for ref in known.sources) if known else ()
        return Rests(formula, "formula", (), tuple(dict.fromkeys(sources)))

    def rule(self, id_: str) -> Rule:
        """A rule by its id."""
        return self.book.rule_by_id[id_]

    def because(self, id_: str) -> str:
        """A rule as a sentence with its mechanism."""
        rule = self.rule(id_)
        return self.fill(f"{rule.title}. {rule.because}")

    def fill(self, text: str) -> str:
        """A text of the rules or the library with the facts of the trial put in."""
        return fill(text, self.trial, self.units)

    def asked_for(self, fact: str, target: str) -> list[Claim]:
        """The claims that ask for a step, an inspection or an approval, certain ones first."""
        claims = asked_for(self.trial, fact, target)
        return sorted(claims, key=lambda claim: not claim.certain)


def method_of(plan: Plan, base: Thinking) -> str | None:
    """The plan's method: as stated, or plain from its parts, or the advised one.

    A plan that states a part and no method is judged as a part of the advised way.
    """
    if plan.method is not None:
        return plan.method
    if plan.keys is not None:
        return "cold_stitch_with_keys"
    if plan.pin is not None:
        return "cold_stitch"
    advised = base.word("method") if base.word("go_ahead") == "yes" else None
    if plan.heat is not None:
        return advised if base.word("hot_method") == "yes" else None
    return advised if plan.states_a_part else None


def set_up(plan: Plan, base: Thinking, units: Units = "si") -> Bench:
    """Put a plan on the bench."""
    method = method_of(plan, base)
    trial = _trial(base, method) if method not in (None, "replace_part") else base
    return Bench(plan, base, trial, method, units)


def _trial(base: Thinking, method: str | None) -> Thinking:
    if method is None or (base.word("method") == method and base.word("go_ahead") == "yes"):
        return base
    pinned = {
        "best_method": word(method),
        "method": word(method),
        "go_ahead": word("yes"),
    }
    return WhatIf(base).think({}, pinned) or base


@dataclass(frozen=True)
class Words:
    """The parts of a finding that differ from one to the next."""

    planned: Shown = None
    advised: Shown = None
    remedy: str = ""
    figures: tuple[Figure, ...] = ()


NOTHING = Words()


def finding(
    name: str,
    kind: Finding,
    severity: Severity,
    rests: Rests,
    text: str,
    words: Words = NOTHING,
) -> Item:
    """One finding."""
    figures = (source for figure in words.figures for source in figure.sources)
    return Item(
        item=name,
        finding=kind,
        severity=severity,
        planned=words.planned,
        advised=words.advised,
        rule=rests.rule,
        basis=rests.basis,
        rules=rests.rules,
        text=text,
        remedy=words.remedy,
        figures=words.figures,
        sources=tuple(dict.fromkeys((*rests.sources, *figures))),
    )


def length(value: float | None) -> Quantity | None:
    """A length of the plan."""
    return None if value is None else quantity(round(value, 2), "mm")


def milder(severity: Severity) -> Severity:
    """One step less grave: for what is only asked for because it cannot be told."""
    return "query" if severity == "stop" else "note"


def plain(name: str) -> str:
    """An id as words."""
    return name.replace("_", " ")


def listed(names: Iterable[str]) -> str:
    """Names in a sentence.

    >>> listed(["water", "oil", "air"]), listed(["water"])
    ('water, oil and air', 'water')
    """
    words = list(names)
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
