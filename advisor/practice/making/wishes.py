"""What an exercise needs: answers that make a rule's condition hold, gathered down to questions.

A condition on an answer is a wish on that answer. One on a fact from a table becomes a wish on the
answer that is looked up; one on a decision becomes what some rule that decides so needs; one on a
formula's result becomes a hint. Hints may miss: whoever wishes has to see whether it came true.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from random import Random

from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.ranking import REPLACE
from advisor.advice.rulebook import METHODS, Rulebook
from advisor.advice.thinking import cell_value
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import Known, Leaf, Signed, Test, alternatives, leaves
from advisor.reasoning.facts_file import TableLookUp
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import number, word
from advisor.reasoning.vocabulary import FactKind

_DEEPEST = 3
_ON_METHODS = frozenset({"rule_out", "allow", "favour", "disfavour"})


@dataclass(frozen=True)
class Wish:
    """What an answer has to be.

    Attributes:
        words: one of these words, where the answer is a word.
        include: of each of these sets one member, where the answer is a set.
        without: none of these words.
        low: at least this.
        high: at most this.
        known: True: answered; False: not answered; None: either.
    """

    words: frozenset[str] | None = None
    include: tuple[frozenset[str], ...] = ()
    without: frozenset[str] = frozenset()
    low: float = -math.inf
    high: float = math.inf
    known: bool | None = None

    def allows(self, option: str) -> bool:
        """Whether a word fits."""
        return option not in self.without and (self.words is None or option in self.words)

    def meets(self, low: float, high: float) -> bool:
        """Whether a value between two ends can fit."""
        return max(low, self.low) <= min(high, self.high)

    @property
    def unanswered(self) -> bool:
        """Whether the question has to stay open."""
        return self.known is False


ANYTHING = Wish()


class Contradiction(Exception):
    """Two wishes that no answer can fulfil."""


def together(first: Wish, second: Wish) -> Wish:
    """Both wishes as one.

    Raises:
        Contradiction: no answer fulfils both.
    """
    words = first.words if second.words is None else second.words
    if first.words is not None and second.words is not None:
        words = first.words & second.words
    low, high = max(first.low, second.low), min(first.high, second.high)
    without = first.without | second.without
    known = first.known if second.known is None else second.known
    asked = {first.known, second.known} >= {True, False}
    if asked or low > high or (words is not None and not words - without):
        raise Contradiction
    return Wish(words, (*first.include, *second.include), without, low, high, known)


class Wishes(dict[str, Wish]):
    """Wishes by question; some names stand for a part of an answer, such as ``composition.P``.

    Attributes:
        method: the method that they were gathered for, if any.
    """

    method = ""

    def want(self, name: str, wish: Wish) -> None:
        """Add a wish.

        Raises:
            Contradiction: it cannot come true together with the earlier ones.
        """
        self[name] = together(self.get(name, ANYTHING), wish)

    def of(self, name: str) -> Wish:
        """The wish on a question."""
        return self.get(name, ANYTHING)


class WishList:
    """Gathers wishes for the rules of one rule book."""

    def __init__(self, book: Rulebook) -> None:
        self._book = book
        self._look_ups: Mapping[str, TableLookUp] = {
            one.fact: one for one in book.declarations.look_ups
        }
        self.claims: dict[str, list[tuple[Rule, str | float]]] = defaultdict(list)
        for rule in book.rules:
            for effect in rule.then:
                if effect.claim:
                    fact, value = effect.claim
                    self.claims[fact].append((rule, value))

    def for_rule(self, rule: Rule, random: Random) -> tuple[Wishes, tuple[str, ...]]:
        """One way in which a rule's condition can hold, at random, and methods it bears on.

        Raises:
            Contradiction: this way leads nowhere.
        """
        wishes = Wishes()
        self._add_rule(wishes, rule, random, _DEEPEST)
        methods = (wishes.method,) if wishes.method else self._methods_of(rule, random)
        more = Wishes(wishes)
        try:
            if methods and not wishes.method and random.random() < 0.85:
                instead = self._excludes(rule)
                self._for_method(more, methods[0], random, _DEEPEST, alone=not instead)
            elif random.random() < 0.5:
                hint_harmless(more)
        except Contradiction:
            return wishes, methods
        if methods and self._excludes(rule):
            more, other = self._left_instead(more, methods[0], random)
            methods = (*methods, *other)
        return more, methods

    @staticmethod
    def _excludes(rule: Rule) -> bool:
        return any(effect.kind == "rule_out" for effect in rule.then)

    def _left_instead(
        self, wishes: Wishes, excluded: str, random: Random
    ) -> tuple[Wishes, tuple[str, ...]]:
        """Also wish for what another method needs, so that the work can go ahead with that."""
        for method in random.sample(_USUAL, len(_USUAL)):
            more = Wishes(wishes)
            try:
                if method != excluded:
                    self._for_method(more, method, random, _DEEPEST, alone=False)
                    return more, (method,)
            except Contradiction:
                continue
        return wishes, ()

    @staticmethod
    def _methods_of(rule: Rule, random: Random) -> tuple[str, ...]:
        """A method that the rule bears on; none where it speaks of cases that leave no method."""
        if any(_nothing_left(leaf) for leaf in leaves(rule.when)):
            return ()
        bearing = [effect.target for effect in rule.then if effect.kind in _ON_METHODS]
        bearing += [one for effect in rule.then for one in _SERVED.get(effect.target, ())]
        if not bearing:
            bearing = [
                one
                for leaf in leaves(rule.when)
                if isinstance(leaf, Test) and leaf.fact in ("method", "best_method")
                for one in sorted(leaf.words & set(METHODS))
            ]
        return (random.choice(bearing or _USUAL),)

    def plainly(self, literal: Signed) -> Wishes:
        """What to wish for a literal to hold, answered or not; nothing where that is not plain."""
        wishes = Wishes()
        plain = {*self._book.questionnaire.by_id, *self._look_ups, *_SAME_AS}
        try:
            if literal.leaf.fact in plain:
                self._add(wishes, literal, Random(literal.leaf.fact), 0)
        except Contradiction:
            return Wishes()
        for name, wish in wishes.items():
            wishes[name] = wish if wish.unanswered else replace(wish, known=None)
        return wishes

    def _add_rule(self, wishes: Wishes, rule: Rule, random: Random, depth: int) -> None:
        for literal in random.choice(alternatives(rule.when)):
            self._add(wishes, literal, random, depth)

    def _add(self, wishes: Wishes, literal: Signed, random: Random, depth: int) -> None:
        fact = literal.leaf.fact
        if fact in self._book.questionnaire.by_id:
            wishes.want(fact, as_wish(literal, self._book.vocabulary[fact]))
        elif fact in self._look_ups:
            self._add_looked_up(wishes, literal, random, depth)
        elif self._book.vocabulary[fact].combine:
            self._add_decided(wishes, literal, random, depth)
        else:
            self._add_computed(wishes, literal, random, depth)

    def _add_looked_up(self, wishes: Wishes, literal: Signed, random: Random, depth: int) -> None:
        look_up = self._look_ups[literal.leaf.fact]
        rows = self._book.knowledge.tables[look_up.table].rows
        fitting = []
        for name, row in rows.items():
            value = cell_value(row[look_up.column]) if look_up.column in row else None
            if value is not None and literal.holds(value).certain:
                fitting.append(name)
        if isinstance(literal.leaf, Known) and literal.leaf.known == literal.negated:
            return
        test = Test(look_up.key, "one_of", frozenset(fitting))
        self._add(wishes, Signed(test, negated=False), random, depth)

    def _add_decided(self, wishes: Wishes, literal: Signed, random: Random, depth: int) -> None:
        kind = self._book.vocabulary[literal.leaf.fact]
        otherwise = kind.otherwise
        if literal.negated or isinstance(literal.leaf, Known) or depth == 0:
            return
        if otherwise is not None and literal.leaf.holds(word(otherwise)).certain:
            return
        claiming = [
            rule
            for rule, value in self.claims[kind.name]
            if literal.leaf.holds(
                number(value) if isinstance(value, float) else word(value)
            ).certain
        ]
        if claiming:
            self._add_rule(wishes, random.choice(claiming), random, depth - 1)

    # --- formulas ---------------------------------------------------------------------------

    def _add_computed(self, wishes: Wishes, literal: Signed, random: Random, depth: int) -> None:
        fact = literal.leaf.fact
        if fact in ("method", "best_method"):
            self._add_method(wishes, literal, random, depth)
        elif fact == "stitching" and _says_yes(literal):
            self._for_method(wishes, random.choice(sorted(STITCHED)), random, depth)
        elif fact == "preheat_by_formula":
            wishes.want("composition", Wish(known=True))
            self._for_method(wishes, "arc_weld_steel", random, depth)
        elif fact in _SAME_AS:
            kind = self._book.vocabulary[fact]
            wishes.want(_SAME_AS[fact], as_wish(literal, kind))
        else:
            _hint(wishes, literal)

    def _add_method(self, wishes: Wishes, literal: Signed, random: Random, depth: int) -> None:
        leaf = literal.leaf
        if not isinstance(leaf, Test):
            return
        listed = [name for name in METHODS if (name in leaf.words) != literal.negated]
        if leaf.words == {"none"} or literal.negated or not listed:
            return
        self._for_method(wishes, random.choice(listed), random, depth)

    def _for_method(
        self, wishes: Wishes, method: str, random: Random, depth: int, *, alone: bool = True
    ) -> None:
        """What a method asks for: its metal, its gear, its welder and its heat."""
        if depth == 0 or method == REPLACE:
            return
        wishes.method = wishes.method or method
        hint_harmless(wishes)
        allowing = [rule for rule, value in self.claims["methods_allowed"] if value == method]
        if allowing:
            self._add_rule(wishes, random.choice(allowing), random, depth - 1)
        row = self._book.knowledge.tables["methods"].rows[method]
        needs = row["needs_processes"].value if "needs_processes" in row else ()
        for process in needs if isinstance(needs, tuple) else ():
            wishes.want("processes", Wish(include=(frozenset((process,)),), known=True))
        if "needs_welder" in row and row["needs_welder"].value == "yes":
            wishes.want("welder_qualified", Wish(words=frozenset(("yes",))))
        if "hot" in row and row["hot"].value == "yes":
            wishes.want("heat_allowed", Wish(words=frozenset(("local", "full"))))
        if alone:
            _keep_rivals_away(wishes, method, needs if isinstance(needs, tuple) else (), random)


_USUAL = (
    "cold_stitch", "cold_stitch_with_keys", "braze_weld", "tig_weld", "arc_weld_cool_nickel",
    "arc_weld_full_preheat", "arc_weld_steel",
)  # fmt: skip
"""Methods that are mostly left where another one is excluded."""

_STITCHES = ("cold_stitch", "cold_stitch_with_keys")
_SERVED: Mapping[str, Sequence[str]] = {
    "least_engaged_threads": _STITCHES,
    "tip_allowance": _STITCHES,
    "wander_allowance": _STITCHES,
    "strength_wanted": ("cold_stitch_with_keys",),
    "keys_wanted": ("cold_stitch_with_keys",),
    "load_safety_factor": ("cold_stitch_with_keys",),
    "insert_length_wanted": _STITCHES,
    "insert_kind_wanted": _STITCHES,
    "weld_difficulty": ("arc_weld_full_preheat", "arc_weld_cool_nickel"),
}
"""Demands, and the methods whose sizes follow them."""

_SAME_AS: Mapping[str, str] = {
    "true_wall": "wall_thickness",
    "sound_wall": "wall_thickness",
    "wall_strength": "tensile_strength",
    "wall_stress": "nominal_stress",
    "carbon": "composition.C",
    "silicon": "composition.Si",
    "phosphorus": "composition.P",
    "sulfur": "composition.S",
    "chromium": "composition.Cr",
    "nickel": "composition.Ni",
    "magnesium_content": "composition.Mg",
    "section_ratio": "section_ratio",
}
"""Formula results that follow one answer."""

OTHERS_DECIDE = frozenset(
    {
        "gear",
        "flywheel",
        "pulley",
        "brake_part",
        "steering_part",
        "lifting_part",
        "boiler_section",
        "turbine_housing",
        "structural_part",
        "propeller_part",
    }
)
"""Parts that are mostly somebody else's decision."""

_RIVAL_GEAR = ("drill_tap", "arc", "tig", "oxyfuel", "furnace")


def _keep_rivals_away(wishes: Wishes, method: str, needs: Sequence[str], random: Random) -> None:
    """Often the shop has gear for this method alone, which makes it the best one left."""
    if random.random() < 0.6:
        missing = frozenset(gear for gear in _RIVAL_GEAR if gear not in needs)
        wishes.want("processes", Wish(without=missing, known=True))
    if method in STITCHED and random.random() < 0.7:
        wishes.want("heat_allowed", Wish(words=frozenset(("none",))))


def as_wish(literal: Signed, kind: FactKind) -> Wish:
    """A test of an answer, or its opposite, as a wish on that answer."""
    leaf = literal.leaf
    if isinstance(leaf, Known):
        return Wish(known=leaf.known != literal.negated)
    if kind.type == "number":
        return _limit(leaf, literal.negated)
    if literal.negated:
        return Wish(without=leaf.words, known=True)
    if kind.type == "members":
        return Wish(include=(leaf.words,), known=True)
    return Wish(words=leaf.words, known=True)


def _limit(leaf: Test, negated: bool) -> Wish:
    """A limit with a little room, so that a rounded value still lies on the right side."""
    upward = leaf.op in ("at_least", "above")
    room = max(abs(leaf.limit) * 0.01, 0.002)
    if negated:
        upward = not upward
    if leaf.op in ("above", "below") or negated:
        limit = leaf.limit + (room if upward else -room)
    else:
        limit = leaf.limit
    return Wish(low=limit, known=True) if upward else Wish(high=limit, known=True)


def _nothing_left(leaf: Leaf) -> bool:
    """Whether a test looks for cases in which no method of repair is left, or none for sure."""
    if not isinstance(leaf, Test) or leaf.fact not in ("methods_left", "best_method"):
        return False
    return not leaf.words.isdisjoint(("none", "unsure", REPLACE))


def _says_yes(literal: Signed) -> bool:
    leaf = literal.leaf
    return isinstance(leaf, Test) and (leaf.words == {"yes"}) != literal.negated


_VELOCITY: Mapping[str, tuple[float, float]] = {
    "flake": (3900, 4950),
    "compacted": (5200, 5450),
    "nodular": (5460, 5700),
    "steel": (5850, 5950),
}


def _hint(wishes: Wishes, literal: Signed) -> None:
    """Wishes that make a formula's result likely."""
    fact, leaf = literal.leaf.fact, literal.leaf
    yes = _says_yes(literal)
    if fact in ("hole_count", "insert_needed", "insert_kinds", "hole_thread_damaged"):
        _hint_holes(wishes, fact, literal)
    elif fact == "crack_enters_hole" and yes:
        wishes.want("hole", Wish(words=frozenset(("entered", "entered_stripped"))))
    elif fact == "inserts_feasible" and isinstance(leaf, Test) and not yes:
        wishes.want("hole", Wish(words=frozenset(("entered_stripped", "cramped"))))
    elif fact == "velocity_class" and isinstance(leaf, Test) and not literal.negated:
        low, high = _VELOCITY.get(min(leaf.words), (0, math.inf))
        wishes.want("ultrasonic_velocity", Wish(low=low, high=high, known=True))
    elif fact == "steel_carbon_equivalent":
        _hint_equivalent(wishes, literal)
    elif fact == "stitching_feasible" and isinstance(leaf, Test) and not yes:
        wishes.want("wall_thickness", Wish(high=3.2, known=True))
    elif fact == "crack_would_run" and yes:
        wishes.want("nominal_stress", Wish(low=20, known=True))
        wishes.want("crack_length", Wish(low=80, known=True))
    elif fact == "go_ahead" and yes:
        hint_harmless(wishes)
    elif fact == "grade_fits_material" and isinstance(leaf, Test) and not yes:
        wishes.want("papers", Wish(words=frozenset(("of_another_casting",))))


def hint_harmless(wishes: Wishes) -> None:
    """Nobody outside the shop has the last word, which leaves room for a go-ahead."""
    wishes.want("governed_by", Wish(include=(frozenset(("none",)),)))
    wishes.want("part_kind", Wish(without=OTHERS_DECIDE))
    wishes.want("fluid", Wish(without=frozenset(("steam", "refrigerant", "fuel"))))


def _hint_holes(wishes: Wishes, fact: str, literal: Signed) -> None:
    damaged = frozenset(("stripped", "entered_stripped", "entered"))
    if fact == "hole_count":
        leaf = literal.leaf
        some = isinstance(leaf, Test) and (leaf.op in ("at_least", "above")) != literal.negated
        kinds = frozenset(("beside", *damaged)) if some else frozenset(("none",))
        wishes.want("hole", Wish(words=kinds))
    elif fact == "insert_kinds" or _says_yes(literal):
        wishes.want("hole", Wish(words=damaged))


def _hint_equivalent(wishes: Wishes, literal: Signed) -> None:
    leaf = literal.leaf
    known = Wish(known=True)
    if isinstance(leaf, Known):
        unanswered = leaf.known == literal.negated
        wishes.want("composition", Wish(known=False) if unanswered else known)
        return
    wishes.want("composition", known)
    high = (leaf.op in ("at_least", "above")) != literal.negated
    wishes.want("composition.C", Wish(low=0.36) if high else Wish(high=0.2))
    wishes.want("composition.Cr", Wish(low=0.5) if high else Wish(high=0.2))
