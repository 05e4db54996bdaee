"""What is hoped of a case besides what it needs: that other rules do not get in the way.

A rule rarely matters where three others stop the work as well. So of the rules that would stop it,
or exclude the method that is looked for, as many as can be are kept from firing. Hopes that cannot
come true are given up one by one; they never make a case less believable.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from random import Random

from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.ranking import REPLACE
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.light_dataclass import dataclass
from advisor.practice.making.frames import Frame, draw_frame, fits_frame
from advisor.practice.making.plausible import BENCH
from advisor.practice.making.wishes import Contradiction, Wish, Wishes, WishList
from advisor.reasoning.conditions import Signed, Test, alternatives, leaves
from advisor.reasoning.rules import Effect, Rule

_AS_DRAWN = frozenset(
    {
        *BENCH,
        *("ultrasonic_velocity", "hardness", "tensile_strength", "graphitic_depth"),
        *("crack_branches", "crack_count", "wall_thickness_max", "missing_metal", "crack_cause"),
    }
)
"""What a metal is, and what is mostly harmless as it is drawn; no hope touches it."""

_STOPS = frozenset({"investigate", "refer", "replace"})
_FRAMES = 4
_MOST_ALTERNATIVES = 12
_KEPT = 0.95
_SPOKEN_FOR = 0.3

Way = Mapping[str, Wish]


@dataclass(frozen=True)
class Hope:
    """A hope that takes several things; of each, one way is enough."""

    needs: tuple[tuple[Way, ...], ...]


class HopeList:
    """Gathers hopes for the rules of one rule book."""

    def __init__(self, book: Rulebook, wishes: WishList) -> None:
        self._book = book
        self._wishes = wishes
        self._silent = {rule.id: self._kept_silent(rule) for rule in book.rules}
        self._stopping: set[str] = set()
        self._against: dict[str, set[str]] = defaultdict(set)
        self._speaking: dict[str, list[Hope]] = defaultdict(list)
        for rule in book.rules:
            for effect in rule.then:
                if effect.kind in ("rule_out", "disfavour"):
                    self._against[effect.target] |= {rule.id, *self._through(rule)}
                elif effect.kind == "favour" and effect.target != REPLACE:
                    self._speaking[effect.target] += self._fires(rule)
                if _stops(rule, effect):
                    self._stopping.add(rule.id)

    def for_rule(self, rule: Rule, methods: Sequence[str], random: Random) -> tuple[Hope, ...]:
        """That nothing else stops the work or speaks against these methods, at random."""
        against = sorted(set().union(*(self._against[method] for method in methods)))
        stopping = sorted(self._stopping - set(against))
        random.shuffle(against)
        random.shuffle(stopping)
        names = [id_ for id_ in (*against, *stopping) if id_ != rule.id]
        hopes = [hope for id_ in names if (hope := self._silent[id_])]
        speaking = [hope for method in methods[-1:] for hope in self._speaking[method]]
        hopes += [hope for hope in speaking if random.random() < _SPOKEN_FOR]
        if any(method in STITCHED for method in methods):
            hopes[:0] = _LIGHT_DUTY
        hopes[:0] = [_AT_THE_LIMIT[e.target] for e in rule.then if e.target in _AT_THE_LIMIT]
        return tuple(hope for hope in hopes if random.random() < _KEPT)

    def _through(self, rule: Rule) -> Iterator[str]:
        """Rules that settle what a rule reads."""
        for leaf in leaves(rule.when):
            if isinstance(leaf, Test) and self._book.vocabulary[leaf.fact].combine:
                yield from (
                    claiming.id
                    for claiming, value in self._wishes.claims[leaf.fact]
                    if value in leaf.words
                )

    def _fires(self, rule: Rule) -> Iterator[Hope]:
        """That a rule fires, where it asks for nothing but answers."""
        literals = alternatives(rule.when)[0]
        ways = [self._wishes.plainly(literal) for literal in literals]
        if all(ways):
            yield Hope(tuple((way,) for way in ways))

    def _kept_silent(self, rule: Rule) -> Hope | None:
        """That a rule does not fire: each way in which it could is barred."""
        unfolded = alternatives(rule.when)
        barred = tuple(tuple(self._barred(literals)) for literals in unfolded)
        return Hope(barred) if all(barred) and len(barred) <= _MOST_ALTERNATIVES else None

    def _barred(self, literals: Sequence[Signed]) -> Iterator[Way]:
        """Wishes that make one of some literals false; that a question is open is none."""
        for literal in literals:
            way = self._wishes.plainly(Signed(literal.leaf, negated=not literal.negated))
            if way and not any(wish.unanswered for wish in way.values()):
                yield way


_DAMAGED = Hope((({"hole": Wish(words=frozenset(("stripped", "entered_stripped")))},),))
_AT_THE_LIMIT: Mapping[str, Hope] = {
    "least_engaged_threads": Hope((({"wall_thickness": Wish(high=7)},),)),
    "insert_length_wanted": _DAMAGED,
    "insert_kind_wanted": _DAMAGED,
}
"""Demands, and cases in which they pinch."""

_LIGHT_DUTY = (
    Hope((({"nominal_stress": Wish(high=12)},),)),
    Hope((({"hole": Wish(words=frozenset(("none", "beside")))},),)),
    Hope((({"load": Wish(words=frozenset(("none", "static")))},),)),
    Hope((({"strength_target": Wish(high=0.2)},),)),
    Hope((({"pressure": Wish(high=4)},),)),
)
"""What a row of pins and keys can carry, and holes that are not in its way."""


def _stops(rule: Rule, effect: Effect) -> bool:
    """Whether a rule stops the work of its own accord, or speaks for a new part."""
    if effect.kind == "favour":
        return effect.target == REPLACE
    if not effect.claim or STAGES[rule.stage] == "verdict":
        return False
    return effect.claim[0] == "verdict" and effect.claim[1] in _STOPS


def hoped(
    book: Rulebook, wishes: Wishes, hopes: Sequence[Hope], random: Random
) -> tuple[Frame, Wishes]:
    """The frame, out of some that fit the wishes, in which most hopes can come true.

    Raises:
        Contradiction: no frame fits the wishes.
    """
    best: tuple[int, Frame, Wishes] | None = None
    for _ in range(_FRAMES if hopes else 1):
        frame, granted = draw_frame(wishes, random), Wishes(wishes)
        room = _Room(book, frame, random)
        count = sum(room.grants(granted, hope) for hope in hopes)
        if best is None or count > best[0]:
            best = (count, frame, granted)
    assert best
    return best[1], best[2]


class _Room:
    """What a frame leaves room for."""

    def __init__(self, book: Rulebook, frame: Frame, random: Random) -> None:
        self._questions = book.questionnaire.by_id
        self._frame = frame
        self._random = random

    def grants(self, wishes: Wishes, hope: Hope) -> bool:
        """Add a hope to the wishes where there is room for it."""
        trial = Wishes(wishes)
        for ways in hope.needs:
            if not any(self._adds(trial, way) for way in self._random.sample(ways, len(ways))):
                return False
        wishes.update(trial)
        return True

    def _adds(self, wishes: Wishes, way: Way) -> bool:
        trial = Wishes(wishes)
        try:
            for name, wish in way.items():
                trial.want(name, wish)
        except Contradiction:
            return False
        if not all(self._leaves_an_answer(name, trial.of(name)) for name in way):
            return False
        wishes.update(trial)
        return True

    def _leaves_an_answer(self, name: str, wish: Wish) -> bool:
        if name in _AS_DRAWN or name.startswith("composition"):
            return False
        if name == "base_condition" and wish.include:
            return False
        question = self._questions.get(name)
        if question and question.choice_ids:
            left = {word for word in question.choice_ids if wish.allows(word)}
            if not left or not all(options & left for options in wish.include):
                return False
        return fits_frame(self._frame, name, wish)
