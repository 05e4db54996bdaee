"""How it is proved, and what to beware of: inspections, hold points, the caution that counts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.advice.model import Caution
from advisor.practice.deciding import judge_several
from advisor.practice.decisions import (
    NOTHING,
    Decision,
    Given,
    Kind,
    Mark,
    Option,
    Taken,
    Verdict,
    marked,
    said_go_ahead,
    sample,
    sample_with,
    shuffled,
)
from advisor.practice.exercise import deciding_rules
from advisor.practice.worked import Worked
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.rules import PLACEHOLDER, EffectKind, Rule

_WEIGHT: Mapping[EffectKind, int] = {"settle": 5, "rule_out": 4, "require_approval": 3, "assume": 2}
"""What else a caution's rule does says how much hangs on it."""

_DANGER = frozenset(
    {"hazards", "pressure", "contents", "safety_part", "failure_consequence", "fluid", "tightness",
     "material", "base_condition", "rotating"}
)  # fmt: skip
"""Facts that tell of danger to people or to the part; a caution that reads none is general."""

_ALWAYS_THERE = "caution.local-codes"


class WhichSteps(Kind):
    """Steps that this job needs, or what is done meanwhile where nothing goes ahead."""

    id = "steps"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Some that are called for, some that belong to other jobs."""
        if said_go_ahead(taken) != worked.goes_ahead or not worked.advice.steps:
            return None
        wanted = sample_with(worked, self.id, self._rules(worked), 4)
        others = sample(worked, f"{self.id}/others", list(self._others(worked)), 4)
        says = {one.id: one.do for one in worked.advice.steps}
        library = worked.book.steps
        says |= {name: library[name].do for name in others}
        shown = [name for name in library if name in {*wanted, *others}]
        return Decision(
            self.id,
            "Which of these steps does this job need?"
            if worked.goes_ahead
            else "Nothing goes ahead. What is done meanwhile?",
            "several",
            (*(Option(name, says[name]) for name in shown), Option(NOTHING, "none of these")),
            help="Go through the job in your mind, from the delivery to the first day in service.",
        )

    def counts(self, worked: Worked) -> bool:
        """Wherever there are steps."""
        return bool(worked.advice.steps)

    @staticmethod
    def _rules(worked: Worked) -> dict[str, str]:
        """The steps of the advice, each with the exercise's rule where that asks for it."""
        own = worked.book.rule_by_id[worked.exercise.rule]
        asks = {effect.target for effect in own.then if effect.kind == "require_step"}
        return {one.id: own.id if one.id in asks else one.rule for one in worked.advice.steps}

    @staticmethod
    def _others(worked: Worked) -> Iterator[str]:
        """Steps that no rule asks for here, not even possibly."""
        asked = worked.thinking.members("required_steps").possible
        for name, step in worked.book.steps.items():
            if name not in asked and not PLACEHOLDER.search(step.do):
                yield name

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """What belongs to another job costs time or worse."""
        rule_of = self._rules(worked)
        wanted = {o.id: rule_of[o.id] for o in decision.options if o.id in rule_of}
        verdict = judge_several(given, wanted, "has to be done", dangerous_if_none=False)
        rules = _most_missed(worked, wanted, given)
        advised = decision.says(tuple(wanted) or (NOTHING,))
        return marked(self, decision, given, verdict, advised, rules)


def _most_missed(worked: Worked, wanted: Mapping[str, str], given: Given) -> list[str]:
    """The exercise's own rule first, then those behind what was left out."""
    left_out = [rule for name, rule in wanted.items() if name not in given]
    own = [rule for rule in wanted.values() if rule == worked.exercise.rule]
    return [*own, *left_out, *wanted.values()]


class WhichInspections(Kind):
    """Inspections that this repair needs."""

    id = "inspections"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Some that are called for, some that belong to other repairs."""
        if not worked.goes_ahead or not said_go_ahead(taken):
            return None
        wanted = sample_with(worked, self.id, self._rules(worked), 4)
        others = sample(worked, f"{self.id}/others", list(self._others(worked)), 4)
        says = {one.id: f"{one.when}: {one.what}" for one in worked.advice.inspections}
        library = worked.book.inspections
        says |= {name: f"{library[name].when}: {library[name].what}" for name in others}
        shown = [name for name in library if name in {*wanted, *others}]
        return Decision(
            self.id,
            "Which of these inspections does the repair need?",
            "several",
            (*(Option(name, says[name]) for name in shown), Option(NOTHING, "none of these")),
            help="What can go wrong with this method in this part, and when is it last seen?",
        )

    def counts(self, worked: Worked) -> bool:
        """Only where work goes ahead."""
        return worked.goes_ahead

    @staticmethod
    def _rules(worked: Worked) -> dict[str, str]:
        """The inspections, each with the exercise's rule where that asks for it."""
        own = worked.book.rule_by_id[worked.exercise.rule]
        asks = {effect.target for effect in own.then if effect.kind == "require_inspection"}
        found = worked.advice.inspections
        return {one.id: own.id if one.id in asks else one.rule for one in found}

    @staticmethod
    def _others(worked: Worked) -> Iterator[str]:
        """Inspections that no rule asks for here, not even possibly."""
        asked = worked.thinking.members("required_inspections").possible
        for name, one in worked.book.inspections.items():
            if name not in asked and not PLACEHOLDER.search(one.what):
                yield name

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """To prove nothing is dangerous."""
        rule_of = self._rules(worked)
        wanted = {o.id: rule_of[o.id] for o in decision.options if o.id in rule_of}
        verdict = judge_several(given, wanted, "has to be inspected", dangerous_if_none=True)
        rules = _most_missed(worked, wanted, given)
        advised = decision.says(tuple(wanted) or (NOTHING,))
        return marked(self, decision, given, verdict, advised, rules)


class WhichHoldPoints(Kind):
    """Where work stops until somebody consents."""

    id = "holds"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Some steps of the procedure with a hold point, and some without."""
        if not worked.goes_ahead or not said_go_ahead(taken):
            return None
        steps = {one.id: one for one in worked.advice.steps}
        holding = sample(worked, self.id, [s for s, one in steps.items() if one.hold_point], 3)
        plain = [s for s, one in steps.items() if not one.hold_point]
        shown = {*holding, *sample(worked, f"{self.id}/plain", plain, 3)}
        if not shown:
            return None
        options = [Option(name, step.do) for name, step in steps.items() if name in shown]
        return Decision(
            self.id,
            "At which of these steps does the work stop until somebody has consented?",
            "several",
            (*options, Option(NOTHING, "at none of these")),
            help="A hold point stands where a fault is hidden or cannot be undone afterwards.",
        )

    def counts(self, worked: Worked) -> bool:
        """Only where work goes ahead."""
        return worked.goes_ahead and bool(worked.advice.steps)

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """To hold nowhere is dangerous where something has to be seen before it is covered."""
        rule_of = {one.id: one.rule for one in worked.advice.steps if one.hold_point}
        wanted = {o.id: rule_of[o.id] for o in decision.options if o.id in rule_of}
        verdict = judge_several(given, wanted, "is a hold point", dangerous_if_none=True)
        advised = decision.says(tuple(wanted) or (NOTHING,))
        return marked(self, decision, given, verdict, advised, wanted.values())


class WhichCaution(Kind):
    """The caution that counts most in this case."""

    id = "caution"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """The weightiest caution, a lesser one, and two that do not apply."""
        found = self._ranked(worked)
        false = dict(self._silent_cautions(worked))
        if not found or len(false) < 2:
            return None
        options = [Option(found[0].rule, found[0].text)]
        if len(found) > 1 and found[-1].rule != found[0].rule:
            options.append(Option(found[-1].rule, found[-1].text))
        names = sample(worked, self.id, list(false), 4 - len(options))
        options += [Option(name, false[name]) for name in names]
        return Decision(
            self.id,
            "Which caution matters most here?",
            "one",
            shuffled(worked, f"{self.id}/order", options),
            help="What could hurt somebody, or spoil the part for good, in this very case?",
        )

    def counts(self, worked: Worked) -> bool:
        """Where there is a caution to name."""
        return bool(self._ranked(worked))

    @staticmethod
    def _ranked(worked: Worked) -> list[Caution]:
        """The cautions of the case, the weightiest first."""
        found = [one for one in worked.advice.cautions if one.rule != _ALWAYS_THERE]
        return sorted(found, key=lambda one: -weight_of(worked, one.rule))

    @staticmethod
    def _silent_cautions(worked: Worked) -> Iterator[tuple[str, str]]:
        """Cautions of rules that certainly do not fire here."""
        for rule in worked.book.rules:
            text = next((e.text for e in rule.then if e.kind == "warn"), "")
            if text and not PLACEHOLDER.search(text) and worked.silent(rule.id):
                yield rule.id, text

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Another caution that applies earns half; one that does not apply earns nothing."""
        found = self._ranked(worked)
        verdict = judge_caution(given[0], [one.rule for one in found])
        return marked(self, decision, given, verdict, found[0].text, (found[0].rule,))


def judge_caution(given: str, ranked: list[str]) -> Verdict:
    """How a caution stands among those of the case."""
    if given == ranked[0]:
        return Verdict("right", 1.0, "")
    if given in ranked:
        return Verdict("defensible", 0.5, "It applies, but another one weighs more here.")
    return Verdict("wrong", 0.0, "It is true elsewhere and does not apply here.")


def weight_of(worked: Worked, rule_id: str) -> int:
    """How much a caution weighs: by what its rule decides, and whether it decides this case."""
    rule: Rule = worked.book.rule_by_id[rule_id]
    weight = max((_WEIGHT.get(effect.kind, 1) for effect in rule.then), default=0)
    if rule_id == worked.exercise.rule:
        weight += 20
    elif rule in deciding_rules(worked.thinking):
        weight += 10
    return weight + (3 if facts_read(rule.when) & _DANGER else 0)
