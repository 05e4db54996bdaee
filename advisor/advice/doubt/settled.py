"""What stands already, whatever the open questions turn out to be.

A rule that fires because something is *not known* may fall silent with the next answer, and one
that waits for a test to be made may wake up. So a fact is settled only if everything it was made
from is settled, down to answers. What is settled need not be asked about any more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection

from advisor.advice.ranking import REPLACE
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import METHODS
from advisor.advice.thinking import Thinking
from advisor.reasoning.conditions import CANNOT_TELL, Condition, Holds, Known, Not, Test
from advisor.reasoning.conditions import All as AllOf
from advisor.reasoning.rules import Effect, Rule
from advisor.reasoning.vocabulary import ANSWERS, FactKind


class Settled:
    """What is settled in one case thought through.

    Args:
        thinking: the case.
        closed: questions that nobody will answer any more, such as those answered ``unknown``.
    """

    def __init__(self, thinking: Thinking, closed: Collection[str] = ()) -> None:
        self._thinking = thinking
        self._closed = frozenset(closed)
        self._facts: dict[str, bool] = {}
        self._rules: dict[str, Holds] = {}
        self._claimers: dict[str, list[tuple[Rule, str | float]]] = defaultdict(list)
        for rule in thinking.rulebook.rules:
            for effect in rule.then:
                if effect.claim:
                    fact, value = effect.claim
                    self._claimers[fact].append((rule, value))

    def fact(self, name: str) -> bool:
        """Whether no answer can change this fact any more."""
        if name not in self._facts:
            self._facts[name] = False  # while it is looked into: a circle settles nothing
            self._facts[name] = self._look_into(name)
        return self._facts[name]

    def rule(self, rule: Rule) -> Holds:
        """Whether a rule fires in any case, and whether it still can."""
        if rule.id not in self._rules:
            self._rules[rule.id] = CANNOT_TELL
            self._rules[rule.id] = self.holds(rule.when)
        return self._rules[rule.id]

    def out(self, method: str) -> bool:
        """Whether a method is excluded in any case."""
        ruled_out = self._claims("methods_ruled_out", method)
        allowed = self._claims("methods_allowed", method)
        return any(holds.certain for holds in ruled_out) or not any(
            holds.possible for holds in allowed
        )

    def can_change(self, effect: Effect) -> bool:
        """Whether an effect that is still open would change anything."""
        if effect.kind in ("rule_out", "allow", "favour", "disfavour"):
            return not self.out(effect.target)
        if effect.kind in ("settle", "assume"):
            return not self._has_stronger(effect)
        if effect.claim:
            return not any(holds.certain for holds in self._claims(*effect.claim))
        return True

    # --- facts ------------------------------------------------------------------------------

    def _look_into(self, name: str) -> bool:
        thinking = self._thinking
        if name not in thinking.facts:
            return name in thinking.case.answers or name in self._closed
        kind = thinking.rulebook.vocabulary[name]
        if name == "methods_left":
            return self._no_method_left()
        if kind.combine:
            return self._decision(kind)
        if kind.stage == ANSWERS:
            return thinking.facts[name].origin == "answer" or name in self._closed
        for look_up in thinking.rulebook.declarations.look_ups:
            if look_up.fact == name:
                return self.fact(look_up.key)
        return self._formula(name)

    def _no_method_left(self) -> bool:
        return all(self.out(method) for method in METHODS if method != REPLACE)

    def _formula(self, name: str) -> bool:
        for formula in FORMULAS:
            if name in formula.outputs:
                outcome = self._thinking.outcomes[formula.id]
                never_runs = not self.holds(formula.when).possible
                return never_runs or (
                    bool(outcome.read)
                    and self.holds(formula.when).certain
                    and all(self.fact(read) for read in outcome.read)
                )
        return False

    def _decision(self, kind: FactKind) -> bool:
        held = [(self.rule(rule), value) for rule, value in self._claimers[kind.name]]
        if kind.combine == "strictest":
            rank = kind.choices.index
            firm = [rank(str(value)) for holds, value in held if holds.certain]
            open_ = [rank(str(v)) for holds, v in held if holds.possible and not holds.certain]
            firm += [rank(kind.otherwise)] if kind.otherwise else []
            return max(open_, default=-1) <= max(firm, default=-1)
        return all(holds.certain or not holds.possible for holds, _ in held)

    def _has_stronger(self, effect: Effect) -> bool:
        """Whether a decision already stands at least where an effect would put it."""
        kind = self._thinking.rulebook.vocabulary[effect.target]
        if kind.combine != "strictest":
            return self.fact(effect.target)
        rank = kind.choices.index
        least = rank(effect.word)
        return any(
            rank(str(value)) >= least and self.rule(rule).certain
            for rule, value in self._claimers[kind.name]
        )

    def _claims(self, fact: str, value: str | float) -> list[Holds]:
        return [self.rule(rule) for rule, claimed in self._claimers[fact] if claimed == value]

    # --- conditions -------------------------------------------------------------------------

    def holds(self, condition: Condition) -> Holds:
        """Whether a condition holds in any case, and whether it still can."""
        if isinstance(condition, Test | Known):
            if not self.fact(condition.fact):
                return CANNOT_TELL
            return condition.holds(self._thinking.values[condition.fact])
        if isinstance(condition, Not):
            return self.holds(condition.part).negated()
        parts = [self.holds(part) for part in condition.parts]
        combine = all if isinstance(condition, AllOf) else any
        return Holds(
            certain=combine(part.certain for part in parts),
            possible=combine(part.possible for part in parts),
        )
