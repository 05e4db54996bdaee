"""Trying the answers that open questions may still get, to see what each can change.

An answer alone changes little while others are missing: nothing goes ahead before all that matters
is known. So each question is tried twice: with the other questions left open, as the case stands,
and with the others answered as favourably as the case allows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.advice.doubt.possible_answers import Possible, possible_answers
from advisor.advice.doubt.what_if import Outlook, WhatIf
from advisor.advice.ranking import REPLACE
from advisor.advice.rulebook import METHODS, Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.model import Value as Answer
from advisor.light_dataclass import dataclass
from advisor.reasoning.vocabulary import FactKind


@dataclass(frozen=True)
class Trial:
    """One answer tried, and what the advice would come to."""

    possible: Possible
    outlook: Outlook


@dataclass
class Tried:
    """All answers tried on one question.

    Attributes:
        as_it_stands: with the other questions open.
        at_best: with the other questions answered favourably.
        left_open: the same, with this one question left open.
    """

    as_it_stands: tuple[Trial, ...] = ()
    at_best: tuple[Trial, ...] = ()
    left_open: Outlook | None = None


_LEAST_GAIN = 1.0
_SLACK = 0.5


class Trials:
    """Tries the open questions of one case.

    Attributes:
        as_it_is: what the case comes to as it stands.
        best: what it comes to with its open questions answered as favourably as it allows.
    """

    def __init__(self, thinking: Thinking, questions: Iterable[str]) -> None:
        self.thinking = thinking
        by_id = thinking.rulebook.questionnaire.by_id
        self.answers = {name: possible_answers(thinking, by_id[name]) for name in questions}
        self.tried = {name: Tried() for name in self.answers}
        self.as_it_is = Outlook(thinking)
        self.what_if = WhatIf(thinking)
        for name, tried in self.tried.items():
            tried.as_it_stands = tuple(self._try(self.what_if, name))
        self.best = self._at_best()
        if self._answered_alike(self.best.thinking):
            self.what_if_at_best = self.what_if
            for tried in self.tried.values():
                tried.at_best, tried.left_open = tried.as_it_stands, self.as_it_is
            return
        self.what_if_at_best = self.what_if.from_here(self.best)
        for name, tried in self.tried.items():
            tried.at_best = tuple(self._try(self.what_if_at_best, name))
            tried.left_open = self._left_open(self.what_if_at_best, name)

    def _answered_alike(self, thinking: Thinking) -> bool:
        """Whether a case has no other answers than the one that is tried."""
        now, was = thinking.case, self.thinking.case
        return all(now.value(name) == was.value(name) for name in self.answers)

    def _try(self, what_if: WhatIf, name: str) -> Iterator[Trial]:
        for possible in self.answers[name]:
            outlook = what_if.outlook({name: possible.answer})
            if outlook is not None:
                yield Trial(possible, outlook)

    def _left_open(self, what_if: WhatIf, name: str) -> Outlook:
        open_again = {name: self.thinking.case.value(name)}
        return what_if.outlook(open_again) or Outlook(what_if.thinking)

    def _at_best(self) -> Outlook:
        """Answer the open questions as favourably as the case allows."""
        favourable: dict[str, Answer] = {}
        for name, tried in self.tried.items():
            nearest = min(tried.as_it_stands, key=_hindrance_of_trial, default=None)
            if nearest and hindrance(nearest.outlook) < hindrance(self.as_it_is) - _LEAST_GAIN:
                favourable[name] = nearest.possible.answer
        outlooks = map(self.what_if.outlook, (favourable, *self._ordinary()))
        best = min(
            (outlook for outlook in outlooks if outlook),
            key=lambda outlook: (not outlook.goes_ahead, hindrance(outlook)),
            default=self.as_it_is,
        )
        for slack in (-_LEAST_GAIN, _SLACK, -_LEAST_GAIN):
            if best.goes_ahead:
                break
            best = self._better(best, slack)
        return self._without_needless(best)

    def _ordinary(self) -> Iterator[dict[str, Answer]]:
        """The open questions answered as for castings that nobody worries about."""
        for case in self.thinking.rulebook.ordinary:
            answers = {name: case.value(name) for name in self.answers}
            yield {name: answer for name, answer in answers.items() if answer is not None}

    def _better(self, best: Outlook, slack: float) -> Outlook:
        """Try every question from the best case known, and go on from a better one when found.

        With some slack a question is answered though that alone gains nothing: a rule may wait for
        two answers at once.
        """
        what_if = self.what_if.from_here(best)
        for name in self.answers:
            outlooks = [trial.outlook for trial in self._try(what_if, name)]
            if slack < 0:
                outlooks.append(self._left_open(what_if, name))
            nearest = min(outlooks, key=hindrance, default=None)
            if nearest and hindrance(nearest) < hindrance(best) + slack:
                best = nearest
                what_if = self.what_if.from_here(best)
        return best

    def _without_needless(self, best: Outlook) -> Outlook:
        """Leave those questions open again on which nothing hangs."""
        what_if = self.what_if.from_here(best)
        for name in self.answers:
            if best.thinking.case.value(name) == self.thinking.case.value(name):
                continue
            left_open = self._left_open(what_if, name)
            alike = left_open.decision == best.decision
            if alike and hindrance(left_open) <= hindrance(best) + _SLACK:
                best = left_open
                what_if = self.what_if.from_here(best)
        return best


def _hindrance_of_trial(trial: Trial) -> float:
    return hindrance(trial.outlook)


def hindrance(outlook: Outlook) -> float:
    """How much stands between a case and a repair: the less, the nearer.

    Only used to choose which answers to try together; nothing is advised by it.
    """
    if outlook.hindrance is None:
        methods = _methods_hindered(outlook.thinking)
        strict = _strictness(outlook.thinking)
        outlook.hindrance = strict + min(methods) + 0.02 * sum(methods)
    return outlook.hindrance


def _strictness(thinking: Thinking) -> float:
    """Claims on decisions that take the strictest one, those of the verdict and before."""
    total = 0.0
    for kind in _strictest(thinking.rulebook):
        steps = len(kind.choices) - 1
        for claim in thinking.claims.get(kind.name, ()):
            share = kind.choices.index(claim.effect.word) / steps
            total += share * (400.0 if claim.certain else 40.0)
    return total


def _strictest(rulebook: Rulebook) -> list[FactKind]:
    last = rulebook.vocabulary.stage_index("verdict")
    kinds = rulebook.vocabulary.kinds.values()
    return [kind for kind in kinds if kind.combine == "strictest" and kind.stage <= last]


def _methods_hindered(thinking: Thinking) -> list[float]:
    methods = dict.fromkeys((method for method in METHODS if method != REPLACE), 60.0)
    for claim in thinking.claims.get("methods_allowed", ()):
        method = claim.effect.target
        if method in methods:
            methods[method] = min(methods[method], 0.0 if claim.certain else 5.0)
    for claim in thinking.claims.get("methods_ruled_out", ()):
        method = claim.effect.target
        if method in methods:
            methods[method] += 40.0 if claim.certain else 4.0
    return list(methods.values())


def comparable(trials: Trials, tried: Tried) -> Iterator[list[Outlook]]:
    """Outlooks that differ by one answer alone and come to the same decision.

    Between different decisions everything differs; only between like ones does it say something
    that an inspection or a size is not the same.
    """
    ways = [(tried.left_open, tried.at_best)]
    if not trials.best.goes_ahead:
        ways.append((trials.as_it_is, tried.as_it_stands))
    for left_open, group in ways:
        by_decision: dict[tuple[str, str], list[Outlook]] = {}
        outlooks = [trial.outlook for trial in group]
        for outlook in (*outlooks, left_open) if left_open else outlooks:
            by_decision.setdefault(outlook.decision, []).append(outlook)
        yield from (alike for alike in by_decision.values() if len(alike) > 1)
