"""Why not: what excludes a method, how strongly, and the smallest change of answers that turns it.

What the casting is cannot be changed, only found out: its metal, its crack, its wall. So a change
is something to be done, something to be found out, or a mere "if it were".
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Literal

from advisor.advice.doubt.possible_answers import Possible, limits_of, possible_answers
from advisor.advice.doubt.questions import open_questions, roots
from advisor.advice.doubt.search import Search
from advisor.advice.doubt.turning import answer_says, outlook_says
from advisor.advice.doubt.what_if import Outlook, WhatIf, undisturbed
from advisor.advice.model import Part
from advisor.advice.phrases import Units
from advisor.advice.ranking import REPLACE, Ranking
from advisor.advice.standings import recommended
from advisor.advice.thinking import Thinking
from advisor.case.model import Value as Answer
from advisor.case.quantities import Measure, format_measure
from advisor.case.questions import Question
from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import counts_as
from advisor.reasoning.conditions import Leaf, Test, leaves

ChangeKind = Literal["do", "find_out", "were_it"]

CAN_BE_DONE: Mapping[str, tuple[str, ...]] = {
    "material_evidence": ("workshop_tests", "spectrometer", "certificate_or_mark"),
    "crack_ends_found": ("penetrant", "magnetic_particle"),
    "wall_measured_by": ("calliper", "ultrasonic"),
    "cause_removed": ("yes",),
    "access": ("both_sides",),
    "thermal_cycling": ("slow", "none"),
    "leak_tight": ("yes", "no"),
    "repair_intent": ("permanent", "temporary"),
    "site": ("workshop", "on_site"),
    "heat_allowed": ("local", "full"),
    "distortion": ("limited", "free"),
    "welder_qualified": ("yes",),
}
"""Answers that somebody can change, and to what: by doing, allowing, asking for less or looking
closer. Besides, pressure and temperature can be held lower, more or less strength can be asked
for, processes can be added and hazards cleared away."""

_LOWERED = frozenset({"pressure", "temperature_max"})
_EITHER_WAY = frozenset({"strength_target"})
_CLEARED = ("lead_paint", "asbestos_lagging", "fuel_or_gas_residue", "stored_pressure",
            "sealed_cavity")  # fmt: skip

_MOST_TRIES = 1000
_MOST_IN_PAIRS = 16
_MOST_TOGETHER = 6
_MOST_WAYS = 5


@dataclass(frozen=True)
class Obstacle(Part):
    """Something that stands between a case and a method."""

    rule: str
    says: str
    strength: Literal["for certain", "until it is known", "by weight"]
    settled_by: tuple[str, ...] = ()


@dataclass(frozen=True)
class Change(Part):
    """One answer changed."""

    question: str
    now: str
    to: str
    kind: ChangeKind


@dataclass(frozen=True)
class Way(Part):
    """Changes that together turn the advice, and what it would then be."""

    changes: tuple[Change, ...]
    then: str


@dataclass(frozen=True)
class WhyNot(Part):
    """Why a method, or any work at all, is not recommended, and what would turn it."""

    topic: str
    obstacles: tuple[Obstacle, ...]
    ways: tuple[Way, ...]
    fewest: int | None
    sure: bool


def why_not(thinking: Thinking, topic: str, units: Units = "si") -> WhyNot | None:
    """Why a method is not recommended (or, for ``verdict``, why no work goes ahead).

    None where it is recommended (or the work goes ahead) already.
    """
    goal = _goal(topic)
    if goal(Outlook(thinking)):
        return None
    with undisturbed():
        ways, sure = _Seeker(thinking, topic, units).ways()
    return WhyNot(
        topic=topic,
        obstacles=tuple(obstacles(thinking, topic)),
        ways=ways,
        fewest=min((len(way.changes) for way in _in_our_hands(ways)), default=None),
        sure=sure,
    )


def _in_our_hands(ways: Iterable[Way]) -> list[Way]:
    """The ways that do not ask the casting to be another."""
    return [way for way in ways if all(change.kind != "were_it" for change in way.changes)]


Goal = Callable[[Outlook], bool]


def _goal(topic: str) -> Goal:
    if topic == "verdict":
        return lambda outlook: outlook.goes_ahead
    if topic == REPLACE:
        return lambda outlook: outlook.verdict == "replace"
    return lambda outlook: outlook.goes_ahead and outlook.method == topic


# --- what stands in the way ---------------------------------------------------------------------


def obstacles(thinking: Thinking, topic: str) -> Iterator[Obstacle]:
    """Exclusions, a missing permission, the verdict, and a better method, in that order."""
    if topic != "verdict":
        yield from _exclusions(thinking, topic)
    yield from _verdict_claims(thinking)
    if topic != "verdict":
        yield from _outweighed(thinking, topic)


def _exclusions(thinking: Thinking, method: str) -> Iterator[Obstacle]:
    for claim in thinking.claims["methods_ruled_out"]:
        if claim.value == method:
            yield _obstacle(thinking, claim.rule.id, claim.certain)
    allowed = [c for c in thinking.claims["methods_allowed"] if c.value == method]
    if not any(claim.certain for claim in allowed):
        says = "no rule allows it here"
        if allowed:
            says = f"only allowed if this applies: {allowed[0].rule.title}"
        questions = {q for claim in allowed for q in _open_behind(thinking, claim.rule.id)}
        yield Obstacle(
            rule=allowed[0].rule.id if allowed else "",
            says=says,
            strength="until it is known" if allowed else "for certain",
            settled_by=tuple(sorted(questions)),
        )


def _verdict_claims(thinking: Thinking) -> Iterator[Obstacle]:
    kind = thinking.rulebook.vocabulary["verdict"]
    for claim in thinking.claims["verdict"]:
        if counts_as(kind, claim) in ("investigate", "refer", "replace"):
            yield _obstacle(thinking, claim.rule.id, claim.certain)


def _obstacle(thinking: Thinking, rule_id: str, certain: bool) -> Obstacle:
    rule = thinking.rulebook.rule_by_id[rule_id]
    return Obstacle(
        rule=rule_id,
        says=rule.title,
        strength="for certain" if certain else "until it is known",
        settled_by=() if certain else _open_behind(thinking, rule_id),
    )


def _open_behind(thinking: Thinking, rule_id: str) -> tuple[str, ...]:
    rule = thinking.rulebook.rule_by_id[rule_id]
    behind = {question for fact in rule.reads for question in roots(thinking, fact)}
    return tuple(sorted(behind & open_questions(thinking)))


def _outweighed(thinking: Thinking, method: str) -> Iterator[Obstacle]:
    ranking = thinking.objects["ranking"]
    assert isinstance(ranking, Ranking)
    chosen = recommended(thinking)
    score = {one.method: one.score for one in ranking.methods}
    if chosen is not None and chosen != method and score[chosen] > score[method]:
        name = chosen.replace("_", " ")
        yield Obstacle(
            rule="",
            says=f"more speaks for {name} ({score[chosen]:+d} against {score[method]:+d})",
            strength="by weight",
        )


# --- what would turn it -------------------------------------------------------------------------


@dataclass(frozen=True)
class _Step:
    """One answer that may be changed."""

    question: str
    possible: Possible
    kind: ChangeKind


@dataclass(frozen=True)
class _Tried:
    """Changes tried together, and how far they leave the goal."""

    steps: tuple[_Step, ...]
    outlook: Outlook
    distance: float


class _Seeker:
    """Looks for the fewest changes: every single one, pairs of those that bear, then a few more."""

    def __init__(self, thinking: Thinking, topic: str, units: Units) -> None:
        self._thinking = thinking
        self._topic = topic
        self._goal = _goal(topic)
        self._units: Units = units
        self._what_if = WhatIf(thinking)
        self._start = _distance(Outlook(thinking), topic)

    def ways(self) -> tuple[tuple[Way, ...], bool]:
        """The ways found, fewest changes first, and whether no smaller one can be left."""
        singles = [self._try((step,)) for step in self._steps()]
        tried = [one for one in singles if one is not None]
        possible = [one for one in tried if one.steps[0].kind != "were_it"]
        found = [one for one in possible if self._goal(one.outlook)]
        if not found:
            found = self._pairs(possible)
        if not found:
            found = self._more(possible)
        found += self._were_it(tried, found)
        return self._written(found), bool(found) and len(found[0].steps) <= 2

    def _steps(self) -> Iterator[_Step]:
        open_now = open_questions(self._thinking)
        for question in self._thinking.rulebook.questionnaire:
            now = self._thinking.case.value(question.id)
            if question.id not in open_now and self._topic != REPLACE:
                yield from (_Step(question.id, one, "do") for one in self._doable(question, now))
            if question.id in CAN_BE_DONE and question.id not in open_now:
                continue
            kind: ChangeKind = "find_out" if question.id in open_now else "were_it"
            for possible in possible_answers(self._thinking, question):
                if possible.answer != now:
                    yield _Step(question.id, possible, kind)

    def _doable(self, question: Question, now: Answer | None) -> Iterator[Possible]:
        """What somebody can change an answer to."""
        says = {choice.id: choice.label.lower() for choice in question.choices}
        for answer in CAN_BE_DONE.get(question.id, ()):
            if answer != now:
                yield Possible(says.get(answer, answer), answer)
        if question.id in _LOWERED | _EITHER_WAY and isinstance(now, Measure):
            for possible in possible_answers(self._thinking, question):
                to = possible.answer
                lower = isinstance(to, Measure) and to.high < now.low
                if lower or question.id in _EITHER_WAY:
                    yield possible
        if isinstance(now, tuple):
            had = tuple(one for one in now if isinstance(one, str))
            if question.id == "processes":
                yield from self._added(had, says)
            left = tuple(one for one in had if one not in _CLEARED)
            if question.id == "hazards" and left != had:
                yield Possible("cleared away", left or ("none",))

    def _added(self, had: tuple[str, ...], says: Mapping[str, str]) -> Iterator[Possible]:
        """Processes that the rules in the way ask for: each, and all of them."""
        wanted = {
            word
            for obstacle in obstacles(self._thinking, self._topic)
            for leaf in self._leaves(obstacle.rule)
            if isinstance(leaf, Test) and leaf.fact == "processes"
            for word in leaf.words
        }
        new = [word for word in says if word in wanted and word not in had]
        for words in dict.fromkeys((*((word,) for word in new), tuple(new))):
            if words:
                yield Possible(f"also {', '.join(says[word] for word in words)}", (*had, *words))

    def _leaves(self, rule_id: str) -> Iterator[Leaf]:
        rule = self._thinking.rulebook.rule_by_id.get(rule_id)
        return leaves(rule.when) if rule else iter(())

    def _try(self, steps: tuple[_Step, ...]) -> _Tried | None:
        if self._what_if.tried >= _MOST_TRIES:
            return None
        changes: dict[str, Answer | None] = {s.question: s.possible.answer for s in steps}
        outlook = self._what_if.outlook(changes)
        return None if outlook is None else _Tried(steps, outlook, _distance(outlook, self._topic))

    def _pairs(self, singles: Iterable[_Tried]) -> list[_Tried]:
        bearing = self._bearing(singles)
        pairs = itertools.combinations(bearing, 2)
        tried = (
            self._try((*one.steps, *other.steps))
            for one, other in pairs
            if one.steps[0].question != other.steps[0].question
        )
        return [one for one in tried if one is not None and self._goal(one.outlook)]

    def _bearing(self, singles: Iterable[_Tried]) -> list[_Tried]:
        """Changes that bring the goal nearer, and those that obstacles wait for, nearest first."""
        relevant = {
            question
            for obstacle in obstacles(self._thinking, self._topic)
            for fact in self._reads(obstacle.rule)
            for question in roots(self._thinking, fact)
        }
        ranked = sorted(singles, key=lambda one: one.distance)
        best: dict[str, list[_Tried]] = {}
        for one in ranked:
            question = one.steps[0].question
            if one.distance < self._start or question in relevant:
                best.setdefault(question, []).append(one)
        kept = [one for tried in best.values() for one in tried[:2]]
        return sorted(kept, key=lambda one: one.distance)[:_MOST_IN_PAIRS]

    def _reads(self, rule_id: str) -> tuple[str, ...]:
        rule = self._thinking.rulebook.rule_by_id.get(rule_id)
        return rule.reads if rule else ()

    def _more(self, singles: Iterable[_Tried]) -> list[_Tried]:
        """Go on greedily from the change that helps most, then leave out what is not needed."""
        usable = list(singles)
        together: tuple[_Step, ...] = ()
        reached = self._start
        while len(together) < _MOST_TOGETHER:
            taken = {step.question for step in together}
            tried = [
                self._try((*together, one.steps[0]))
                for one in usable
                if one.steps[0].question not in taken
            ]
            best = min(
                (one for one in tried if one is not None), key=lambda t: t.distance, default=None
            )
            if best is None or best.distance >= reached:
                return []
            together, reached = best.steps, best.distance
            if self._goal(best.outlook):
                return [self._without_needless(best)]
        return []

    def _without_needless(self, found: _Tried) -> _Tried:
        for step in found.steps:
            fewer = self._try(tuple(one for one in found.steps if one is not step))
            if fewer is not None and self._goal(fewer.outlook):
                return self._without_needless(fewer)
        return found

    def _were_it(self, tried: Iterable[_Tried], found: list[_Tried]) -> list[_Tried]:
        """If the casting itself were another: only where nothing smaller can be done."""
        if found and len(found[0].steps) == 1:
            return []
        every = list(tried)
        singly = [
            one for one in every if one.steps[0].kind == "were_it" and self._goal(one.outlook)
        ]
        return singly or ([] if found else self._pairs(every))

    # --- in words -------------------------------------------------------------------------------

    def _written(self, found: Iterable[_Tried]) -> tuple[Way, ...]:
        order = {"do": 0, "find_out": 1, "were_it": 2}
        ranked = sorted(
            found,
            key=lambda one: (max(order[s.kind] for s in one.steps) == 2, len(one.steps),
                             sum(order[s.kind] for s in one.steps)),
        )  # fmt: skip
        ways: dict[tuple[tuple[str, str], ...], Way] = {}
        for one in ranked:
            way = Way(
                changes=tuple(self._change(one, step) for step in one.steps),
                then=outlook_says(one.outlook),
            )
            key = tuple((c.question, c.to) for c in way.changes)
            ways.setdefault(key, way)
        return tuple(_few_each(ways.values()))

    def _change(self, tried: _Tried, step: _Step) -> Change:
        now = self._thinking.case.value(step.question)
        return Change(
            question=step.question,
            now=answer_says(self._thinking, step.question, now, self._units),
            to=self._to(tried, step, now),
            kind=step.kind,
        )

    def _to(self, tried: _Tried, step: _Step, now: Answer | None) -> str:
        """The answer that turns it; for a measured one, the value up to which it does."""
        to = step.possible.answer
        if not isinstance(to, Measure):
            return step.possible.says
        others = {s.question: s.possible.answer for s in tried.steps if s is not step}
        base = self._what_if.outlook(others) if others else Outlook(self._thinking)
        what_if = self._what_if.from_here(base or tried.outlook)
        search = Search(what_if, step.question, limits_of(self._thinking, step.question))
        if isinstance(now, Measure):
            below, above = sorted((now.middle, to.middle))
            edges = {below < to.middle: search.edge(below, above, to.dimension, self._goal)}
        else:
            edges = self._edges(search, step, to)
        says = {
            above: format_measure(Measure(edge, edge, to.dimension), self._units)
            for above, edge in edges.items()
            if edge is not None
        }
        if len(says) == 2:
            return f"between {says[True]} and {says[False]}"
        return next(
            (f"above {says[side]}" if side else f"below {says[side]}" for side in says),
            step.possible.says,
        )

    def _edges(self, search: Search, step: _Step, to: Measure) -> dict[bool, float | None]:
        """Where the answer that turns it ends, going up from below it and down from above it."""
        question = self._thinking.rulebook.questionnaire.by_id[step.question]
        answers = (one.answer for one in possible_answers(self._thinking, question))
        values = sorted(a.middle for a in answers if isinstance(a, Measure))
        edges: dict[bool, float | None] = {}
        for above, others in (
            (True, [v for v in reversed(values) if v < to.middle]),
            (False, [v for v in values if v > to.middle]),
        ):
            for value in others:
                low, high = sorted((value, to.middle))
                edge = search.edge(low, high, to.dimension, self._goal)
                if edge is not None:
                    edges[above] = edge
                    break
        return edges


def _few_each(ways: Iterable[Way]) -> Iterator[Way]:
    """Not every answer to one question: the first few ways, each through another question."""
    seen: dict[tuple[str, ...], int] = {}
    for count, way in enumerate(ways):
        questions = tuple(change.question for change in way.changes)
        seen[questions] = seen.get(questions, 0) + 1
        if seen[questions] <= 2 and count < 4 * _MOST_WAYS and len(seen) <= _MOST_WAYS:
            yield way


def _distance(outlook: Outlook, topic: str) -> float:
    """How far a case is from a goal: what still stands in the way, counted and weighed."""
    thinking = outlook.thinking
    kind = thinking.rulebook.vocabulary["verdict"]
    far = 0.0
    for claim in thinking.claims["verdict"]:
        word = counts_as(kind, claim)
        if word in ("investigate", "refer", "replace") and (topic, word) != (REPLACE, "replace"):
            far += {"investigate": 6.0, "replace": 8.0, "refer": 10.0}[word]
            far -= 0.0 if claim.certain else 2.0
    if topic == "verdict":
        return far + _standing_far(thinking)
    for claim in thinking.claims["methods_ruled_out"]:
        if claim.value == topic:
            far += 5.0 if claim.certain else 3.0
    allowed = [
        claim.certain for claim in thinking.claims["methods_allowed"] if claim.value == topic
    ]
    far += 0.0 if True in allowed else (3.0 if allowed else 9.0)
    return far + _standing_far(thinking) + _score_gap(thinking, topic)


def _standing_far(thinking: Thinking) -> float:
    """Claims on how well the metal is known, and its state: they rule out through other facts."""
    far = 0.0
    for name in ("material_standing", "metal_condition"):
        kind = thinking.rulebook.vocabulary[name]
        far += sum(
            kind.choices.index(str(claim.value)) * (0.5 if claim.certain else 0.2)
            for claim in thinking.claims[name]
        )
    return far


def _score_gap(thinking: Thinking, method: str) -> float:
    ranking = thinking.objects["ranking"]
    assert isinstance(ranking, Ranking)
    score = {one.method: one.score for one in ranking.methods}
    others = [one.score for one in ranking.methods if one.state == "open" and one.method != method]
    return max(0.0, max(others, default=-99) - score[method]) * 0.4


# --- in sentences -------------------------------------------------------------------------------

_LEAD: dict[ChangeKind, str] = {
    "do": "",
    "find_out": "if it is found that ",
    "were_it": "if it were that ",
}


def way_says(way: Way) -> str:
    """One way in a sentence."""
    parts = [
        f"{_LEAD[change.kind]}{change.question.replace('_', ' ')}: {change.to} (now: {change.now})"
        for change in way.changes
    ]
    return f"{'; and '.join(parts)}: then {way.then}"


def fewest_says(found: WhyNot) -> str:
    """How many answers would have to change."""
    if not found.ways:
        return "no change of an answer or two was found that would, nor a few more together"
    if found.fewest is None:
        return "only if the casting or its service were another"
    if found.fewest == 1:
        return "one answer"
    if found.sure:
        return f"{found.fewest} answers, for no single one would"
    return f"{found.fewest} answers were found, for no one or two would"
