"""How: the method, and what is ruled out and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.advice.model import MethodStanding
from advisor.advice.ranking import REPLACE, Ranking
from advisor.advice.rulebook import METHODS
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
from advisor.practice.worked import Worked

_REASONS = 3


def name_of(worked: Worked, method: str) -> str:
    """What the trade calls a method."""
    return str(worked.book.knowledge.tables["methods"].rows[method]["name"].value)


def standings(worked: Worked) -> Mapping[str, MethodStanding]:
    """Where each method stands."""
    return {one.method: one for one in worked.advice.methods}


class WhichMethod(Kind):
    """How the part is repaired."""

    id = "method"
    out_of = 8.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Asked of whoever lets the work go ahead."""
        if not said_go_ahead(taken):
            return None
        options = [
            Option(method, name_of(worked, method)) for method in METHODS if method != REPLACE
        ]
        return Decision(
            self.id,
            "Which method?",
            "one",
            tuple(options),
            help="What does the metal bear, what does the place bear, what has the shop, and what "
            "must the repair do: seal, carry, or both?",
        )

    def counts(self, worked: Worked) -> bool:
        """Only where work goes ahead."""
        return worked.goes_ahead

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """The best one earns all; one that is left earns part; one ruled out is dangerous."""
        chosen, best = given[0], worked.advice.recommended or ""
        verdict = judge_method(worked, chosen)
        advised = name_of(worked, best) if worked.goes_ahead else "none: nothing goes ahead"
        rules = [*_against(worked, chosen), *_in_favour(worked, best)]
        return marked(self, decision, given, verdict, advised, rules)


def judge_method(worked: Worked, method: str) -> Verdict:
    """How a method stands in this case."""
    if not worked.goes_ahead:
        return Verdict("dangerous", 0.0, "Nothing goes ahead here, by any method.")
    found = standings(worked)[method]
    if found.standing == "recommended":
        return Verdict("right", 1.0, "")
    if found.standing == "ruled_out":
        excluded = any(reason.effect == "rule_out" for reason in found.reasons)
        if excluded:
            return Verdict("dangerous", -0.5, "A rule excludes this method here.")
        return Verdict("dangerous", 0.0, "No rule allows this method here.")
    ranking = worked.thinking.objects["ranking"]
    assert isinstance(ranking, Ranking)
    state = next(one.state for one in ranking.methods if one.method == method)
    if state == "open":
        return Verdict("defensible", 0.6, "It can be done, but more speaks for another method.")
    return Verdict(
        "defensible", 0.25, "It may be possible, but something that could exclude it is not known."
    )


def _against(worked: Worked, method: str) -> Iterator[str]:
    """Rules that speak against a method, exclusions first."""
    for effect in ("rule_out", "disfavour", "rule_out_unless_known"):
        for reason in standings(worked)[method].reasons:
            if reason.effect == effect:
                yield reason.rule


def _in_favour(worked: Worked, method: str) -> Iterator[str]:
    """Rules that speak for a method."""
    if not method:
        return
    for effect in ("favour", "allow"):
        for reason in standings(worked)[method].reasons:
            if reason.effect == effect:
                yield reason.rule


def excluded_by(worked: Worked, rule_id: str) -> list[str]:
    """The methods that a rule certainly excludes here."""
    return [
        method
        for method, one in standings(worked).items()
        if method != REPLACE
        and any(r.rule == rule_id and r.effect == "rule_out" for r in one.reasons)
    ]


class WhatIsRuledOut(Kind):
    """Which methods must not be used here."""

    id = "ruled_out"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Some that are excluded, and some that are left."""
        if not worked.goes_ahead or not said_go_ahead(taken):
            return None
        excluded = list(self._excluded(worked))
        left = [m for m, one in standings(worked).items() if one.standing != "ruled_out"]
        left = [method for method in left if method != REPLACE]
        own = dict.fromkeys(excluded, "") | dict.fromkeys(
            excluded_by(worked, worked.exercise.rule), worked.exercise.rule
        )
        shown = {*sample_with(worked, self.id, own, 4), *left[:3]}
        options = [Option(m, name_of(worked, m)) for m in METHODS if m in shown]
        return Decision(
            self.id,
            "Which of these are ruled out here?",
            "several",
            (*options, Option(NOTHING, "none of these")),
            help="Ruled out is more than second best: a rule forbids it in this case.",
        )

    def counts(self, worked: Worked) -> bool:
        """Only where work goes ahead."""
        return worked.goes_ahead

    @staticmethod
    def _excluded(worked: Worked) -> Iterator[str]:
        for method, one in standings(worked).items():
            if method != REPLACE and any(r.effect == "rule_out" for r in one.reasons):
                yield method

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Leaving one in that is excluded costs; so does excluding one that is left."""
        excluded = set(self._excluded(worked))
        wanted = {option.id: True for option in decision.options if option.id in excluded}
        verdict = judge_several(given, wanted, "is ruled out", dangerous_if_none=True)
        rules = [next(_against(worked, method)) for method in wanted]
        if excluded_by(worked, worked.exercise.rule):
            rules.insert(0, worked.exercise.rule)
        advised = decision.says(tuple(wanted) or (NOTHING,))
        return marked(self, decision, given, verdict, advised, rules[:_REASONS])


class WhyRuledOut(Kind):
    """The rule that excludes one method, out of some that do not apply."""

    id = "why_not"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Asked about one method that a rule certainly excludes."""
        if not worked.goes_ahead or not said_go_ahead(taken):
            return None
        method = self._method(worked)
        false = list(self._silent_rules(worked, method)) if method else []
        if not method or len(false) < 3:
            return None
        true = self._excluding(worked, method)[0]
        names = [true, *sample(worked, self.id, false, 3)]
        options = [Option(name, worked.book.rule_by_id[name].title) for name in names]
        return Decision(
            self.id,
            f"Why is {name_of(worked, method)} ruled out here?",
            "one",
            shuffled(worked, f"{self.id}/order", options),
            help="One of these is the case here; the others are true rules that do not apply.",
        )

    def counts(self, worked: Worked) -> bool:
        """Where work goes ahead and something is excluded."""
        method = self._method(worked) if worked.goes_ahead else ""
        return bool(method) and len(list(self._silent_rules(worked, method))) >= 3

    @staticmethod
    def _excluding(worked: Worked, method: str) -> list[str]:
        """The rules that exclude a method, the exercise's own first."""
        reasons = standings(worked)[method].reasons
        found = [reason.rule for reason in reasons if reason.effect == "rule_out"]
        return sorted(found, key=lambda rule: rule != worked.exercise.rule)

    def _method(self, worked: Worked) -> str:
        """One that the exercise's rule excludes, or the one that comes nearest to the mind."""
        own = excluded_by(worked, worked.exercise.rule)
        excluded = [
            one
            for one in worked.advice.methods
            if one.method in own
            or (not own and one.method != REPLACE and self._excluding(worked, one.method))
        ]
        return max(excluded, key=lambda one: one.score).method if excluded else ""

    @staticmethod
    def _silent_rules(worked: Worked, method: str) -> Iterator[str]:
        """Rules that exclude this method elsewhere and certainly do not fire here."""
        for rule in worked.book.rules:
            excludes = (e.kind == "rule_out" and e.target == method for e in rule.then)
            if any(excludes) and worked.silent(rule.id):
                yield rule.id

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Any rule that really excludes it is right."""
        rules = self._excluding(worked, self._method(worked))
        right = given[0] in rules
        says = "" if right else "That rule is true, but its condition does not hold here."
        verdict = Verdict("right" if right else "wrong", 1.0 if right else 0.0, says)
        shown = next(option.id for option in decision.options if option.id in rules)
        return marked(self, decision, given, verdict, decision.says((shown,)), rules[:_REASONS])
