"""Whether: the verdict, who must agree, what is still to be measured, and what stops the work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

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
    shuffled,
    ticked,
)
from advisor.practice.exercise import answers_behind, deciding_rules
from advisor.practice.story import label_of
from advisor.practice.worked import GO_AHEAD, Worked

_VERDICTS: Mapping[str, str] = {
    "repair": "repair: the work may go ahead on the shop's own authority",
    "repair_with_approval": "repair with approval: it may go ahead once others have agreed",
    "investigate": "investigate: nothing goes ahead before open points are cleared up",
    "refer": "refer: stop, tag it, and hand the decision to somebody else",
    "replace": "replace: this part is not repaired",
}
_CAREFUL: Mapping[str, float] = {"investigate": 0.4, "refer": 0.4, "replace": 0.2}
_OTHER_STOP = 0.4


class WhatVerdict(Kind):
    """Go ahead, or not."""

    id = "verdict"
    out_of = 10.0

    def ask(self, worked: Worked, taken: Taken) -> Decision:
        """The verdict is always asked for, and first."""
        options = tuple(Option(word, says) for word, says in _VERDICTS.items())
        return Decision(
            self.id,
            "What is your verdict?",
            "one",
            options,
            help="First who has a say (law, kind of part, what happens if it fails), then what is "
            "not known and could hurt, then whether any method is left.",
        )

    def counts(self, worked: Worked) -> bool:
        """Always."""
        return True

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """A wrong go-ahead costs as much again as it could have earned."""
        advised = worked.advice.verdict
        rules = [rule.id for rule in deciding_rules(worked.thinking)]
        return marked(
            self, decision, given, judge_verdict(given[0], advised), _VERDICTS[advised], rules
        )


def judge_verdict(given: str, advised: str) -> Verdict:
    """How a verdict stands against the advised one."""
    if given == advised:
        return Verdict("right", 1.0, "")
    if given in GO_AHEAD and advised not in GO_AHEAD:
        return Verdict(
            "dangerous", -1.0, "You let work go ahead that must not. That can hurt somebody."
        )
    if given == "repair":
        return Verdict(
            "dangerous", -0.5, "You let the work go ahead without those who have to agree."
        )
    if given == "repair_with_approval":
        return Verdict("defensible", 0.7, "More careful than needed: the shop may decide this.")
    if advised in GO_AHEAD:
        return Verdict(
            "careful", _CAREFUL[given], "Safe, but a sound repair is lost or held up for nothing."
        )
    return Verdict(
        "careful", _OTHER_STOP, "Rightly stopped, but this is not what has to happen next."
    )


class WhoMustAgree(Kind):
    """The people without whose consent nothing starts."""

    id = "approvals"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision:
        """Asked whatever the verdict: who decides instead has to be named too."""
        rows = worked.book.knowledge.tables["approvals"].rows
        wanted = self._wanted(worked)
        others = [id_ for id_ in rows if id_ not in wanted]
        shown = {*wanted, *sample(worked, self.id, others, max(3, 6 - len(wanted)))}
        options = [Option(id_, str(rows[id_]["who"].value)) for id_ in rows if id_ in shown]
        return Decision(
            self.id,
            "Who has to agree before anything is done?",
            "several",
            (*options, Option(NOTHING, "nobody outside the shop")),
            help="Look at the law, the kind of part, what happens if it fails, and the method.",
        )

    def counts(self, worked: Worked) -> bool:
        """Always: to know that nobody need be asked counts too."""
        return True

    @staticmethod
    def _wanted(worked: Worked) -> dict[str, tuple[str, ...]]:
        return {one.id: one.rules for one in worked.advice.approvals}

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Naming nobody where somebody has a say is dangerous."""
        wanted = self._wanted(worked)
        advised = decision.says(tuple(wanted) or (NOTHING,))
        rules = [rule for rules in wanted.values() for rule in rules]
        verdict = judge_several(given, wanted, "has to agree", dangerous_if_none=True)
        return marked(self, decision, given, verdict, advised, rules)


def judge_several(
    given: Given, wanted: Mapping[str, object], what: str, *, dangerous_if_none: bool
) -> Verdict:
    """How several named things stand against those wanted."""
    hit, left_out, too_many = ticked(given, wanted)
    if not wanted:
        if not too_many:
            return Verdict("right", 1.0, "")
        return Verdict("careful", 0.4, f"Nothing of this {what}.")
    if not hit:
        standing: Verdict = Verdict("wrong", 0.0, f"None of what you named {what}.")
        if dangerous_if_none and not too_many:
            standing = Verdict("dangerous", 0.0, f"Somebody or something {what}; you named none.")
        return standing
    share = max(0.0, len(hit) / len(wanted) - 0.2 * len(too_many))
    if not left_out and not too_many:
        return Verdict("right", 1.0, "")
    said = [f"left out {len(left_out)}"] if left_out else []
    said += [f"named {len(too_many)} too many"] if too_many else []
    says = f"You {' and '.join(said)}."
    return Verdict("defensible" if share >= 0.5 else "wrong", min(share, 0.9), says)


class WhatToMeasure(Kind):
    """What has to be found out before the decision can be trusted."""

    id = "measure"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """What could still turn the advice, among things that are known or beside the point."""
        if not self.counts(worked):
            return None
        wanted = self._wanted(worked)[:4]
        options = [Option(name, self._says(worked, name)) for name in wanted]
        options += [
            Option(name, self._says(worked, name)) for name in self._others(worked, len(wanted))
        ]
        nothing = Option(NOTHING, "nothing more: what is known is enough to decide")
        return Decision(
            self.id,
            "What still has to be measured or asked before this verdict can change?",
            "several",
            (*shuffled(worked, self.id, options), nothing),
            help="What is open, and what would the verdict be if it turned out badly?",
        )

    def counts(self, worked: Worked) -> bool:
        """Always, for to stop asking counts too; not where answers only contradict each other."""
        return bool(self._wanted(worked)) or worked.advice.verdict != "investigate"

    @staticmethod
    def _says(worked: Worked, name: str) -> str:
        return f"{label_of(name)}: {worked.book.questionnaire.by_id[name].text}"

    @staticmethod
    def _wanted(worked: Worked) -> list[str]:
        """Open questions that may still steer an undecided case, most decisive first."""
        if worked.advice.verdict != "investigate":
            return []
        found = worked.pulls
        return [name for name, pull in found.items() if pull.steers] or list(found)

    def _others(self, worked: Worked, taken: int) -> list[str]:
        """Questions that are answered for good: asking again changes nothing."""
        skip = {"part_kind", *answers_behind(worked.thinking, deciding_rules(worked.thinking))}
        settled = [
            name
            for name, fact in worked.thinking.facts.items()
            if fact.origin == "answer" and name not in skip
        ]
        return sample(worked, f"{self.id}/others", sorted(settled), 7 - taken)

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Deciding blind is dangerous; measuring twice only costs time."""
        wanted = self._wanted(worked)
        shown = [option.id for option in decision.options if option.id in wanted]
        advised = decision.says(tuple(shown) or (NOTHING,))
        rules = [rule.id for rule in deciding_rules(worked.thinking)] if wanted else []
        return marked(self, decision, given, self._judge(given, wanted, shown), advised, rules)

    @staticmethod
    def _judge(given: Given, wanted: list[str], shown: list[str]) -> Verdict:
        hit, _, too_many = ticked(given, wanted)
        if not wanted:
            if not too_many:
                return Verdict("right", 1.0, "")
            return Verdict(
                "careful", 0.5, "That is known already; it costs time and harms nothing."
            )
        if not hit:
            if not too_many:
                return Verdict("dangerous", 0.0, "You would decide without knowing enough.")
            return Verdict("wrong", 0.0, "None of this can change the verdict.")
        first = shown[0] if shown else ""
        share = len(hit) / min(2, max(1, len(shown))) - 0.2 * len(too_many)
        if first in hit or share >= 1.0:
            says = "" if not too_many else "Some of it is known already."
            return Verdict(
                "right" if not too_many else "defensible", max(0.5, min(1.0, share)), says
            )
        return Verdict("defensible", 0.5, "It helps, but something else decides sooner.")


class WhatStopsIt(Kind):
    """The rule behind a refusal, out of some that do not apply."""

    id = "reason"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Asked where the work rightly stops."""
        if worked.goes_ahead or said_go_ahead(taken):
            return None
        true = self._deciding(worked)
        false = list(self._silent_rules(worked))
        if not true or len(false) < 3:
            return None
        names = [true[0], *sample(worked, self.id, false, 3)]
        options = [Option(name, worked.book.rule_by_id[name].title) for name in names]
        return Decision(
            self.id,
            "What stops the work?",
            "one",
            shuffled(worked, f"{self.id}/order", options),
            help="One of these is the case here; the others are true rules that do not apply.",
        )

    def counts(self, worked: Worked) -> bool:
        """Only where work does not go ahead."""
        return not worked.goes_ahead

    @staticmethod
    def _deciding(worked: Worked) -> list[str]:
        """The rules behind the verdict, the exercise's own first."""
        found = [rule.id for rule in deciding_rules(worked.thinking)]
        return sorted(found, key=lambda rule: rule != worked.exercise.rule)

    @staticmethod
    def _silent_rules(worked: Worked) -> Iterator[str]:
        """Rules on the verdict that certainly do not fire here."""
        for rule in worked.book.rules:
            stops = (e.kind == "settle" and e.target == "verdict" for e in rule.then)
            if any(stops) and worked.silent(rule.id):
                yield rule.id

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Any rule that really stands behind the verdict is right."""
        rules = self._deciding(worked)
        right = given[0] in rules
        says = "" if right else "That rule is true, but its condition does not hold here."
        verdict = Verdict("right" if right else "wrong", 1.0 if right else 0.0, says)
        shown = next(option.id for option in decision.options if option.id in rules)
        return marked(self, decision, given, verdict, decision.says((shown,)), rules)
