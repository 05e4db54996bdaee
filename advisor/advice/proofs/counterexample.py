"""A case that breaks a proof, as a case file that anybody can think through again.

The solver's cases take what formulas make as free. So a case is looked for close to a worked one
first: with its measures, for which the formulas' results are known, and everything else free. A
case counts as real only if thinking it through breaks the proof as well.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import field
from types import MappingProxyType

from advisor.advice.formulas_material import ELEMENTS
from advisor.advice.ranking import rank
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Answer, Case, Hole
from advisor.case.model import Value as AnswerValue
from advisor.case.quantities import Measure
from advisor.light_dataclass import dataclass
from advisor.reasoning.claims import RulesDisagree
from advisor.reasoning.conditions import Holds
from advisor.reasoning.judge import Finding
from advisor.reasoning.prover.circuit import negate
from advisor.reasoning.prover.codes import MembersCode, WordCode
from advisor.reasoning.prover.encode import Encoder, Probe
from advisor.reasoning.prover.solve import Found, Solver
from advisor.reasoning.prover.witness import values_of
from advisor.reasoning.rules import Rule
from advisor.reasoning.values import Members, Number, Value, Word
from advisor.reasoning.vocabulary import ANSWERS, FactKind

_RANKED = frozenset({"methods_left", "best_method", "go_ahead", "method"})
"""Made by formulas, but from rules: never taken over from another case."""


@dataclass(frozen=True)
class Counterexample:
    """A case that breaks a proof.

    Attributes:
        case: the answers.
        real: thinking it through breaks the proof as well.
        free: facts that formulas make, which the solver took as it needed them and which come out
            otherwise when the case is thought through.
    """

    case: Case
    real: bool
    free: Mapping[str, Value] = field(default_factory=dict)


_MOST_TRIES = 24
"""Times that the solver is asked again for a case whose best method comes first by weight."""

Breaks = Callable[[Thinking | RulesDisagree], bool]
"""Whether a case thought through breaks the proof; the rules may disagree on it outright."""


class CaseFinder:
    """Looks for cases that break something.

    Args:
        book: rules and knowledge.
        encoder: the rule book as a circuit.
        solver: asked about the circuit.
        worked: cases whose measures may be taken over.
    """

    def __init__(
        self, book: Rulebook, encoder: Encoder, solver: Solver, worked: Iterable[Case] = ()
    ) -> None:
        self._book = book
        self._encoder = encoder
        self._solver = solver
        self._worked = tuple(worked)
        self._grounds: list[Thinking] | None = None

    def find(self, literals: Collection[int], breaks: Breaks) -> Counterexample | None:
        """A case in which all literals hold, a real one where one is found; None if there is none.

        Raises:
            TimedOut: the solver gave no answer in time.
        """
        found = self._search(literals)
        if found is None:
            return None
        free_case = self._case(found, None)
        outcome = self._think(free_case)
        if outcome is not None and breaks(outcome):
            return Counterexample(self._shrunk(free_case, breaks), real=True)
        for ground in self._all_grounds():
            near = self._near(ground, literals, breaks)
            if near:
                return near
        made = outcome.values if isinstance(outcome, Thinking) else {}
        return Counterexample(free_case, real=False, free=self._taken(found, made))

    def _near(
        self, ground: Thinking, literals: Collection[int], breaks: Breaks
    ) -> Counterexample | None:
        found = self._search([*literals, *self._as_in(ground)])
        if found is None:
            return None
        case = self._case(found, ground)
        outcome = self._think(case)
        if outcome is None or not breaks(outcome):
            return None
        return Counterexample(self._shrunk(case, breaks), real=True)

    def _search(self, literals: Collection[int]) -> Found | None:
        """A case; one whose best method comes first by its weights too, where one is found.

        The solver does not sum weights up. So answers are told where they may be, and whatever
        outweighs the method that it chose is put out of the way, before it is asked again.
        """
        found = self._solver.find(literals)
        if found is None:
            return None
        wanted, told = list(literals), self._all_told()
        clear = self._solver.find([*wanted, *told])
        if clear is not None:
            found, wanted = clear, [*wanted, *told]
        for _ in range(_MOST_TRIES):
            better = next(self._without_rivals(found, wanted), None)
            if better is None:
                break
            found, way = better
            wanted += way
        return found

    def _all_told(self) -> list[int]:
        kinds = self._book.vocabulary.kinds
        codes = self._encoder.free_codes.items()
        return [code.known for name, code in codes if kinds[name].stage == ANSWERS]

    def _without_rivals(
        self, found: Found, wanted: Collection[int]
    ) -> Iterator[tuple[Found, list[int]]]:
        """Cases in which less outweighs the method chosen, and what was asked for more."""
        for way in self._ways(found):
            again = self._solver.find([*wanted, *way])
            if again is not None:
                yield again, way

    def _ways(self, found: Found) -> Iterator[list[int]]:
        """Ways to put what outweighs the chosen method out of the way."""
        encoder = self._encoder
        allowed, out = encoder.fact("methods_allowed"), encoder.fact("methods_ruled_out")
        best = encoder.fact("best_method")
        assert isinstance(allowed, MembersCode)
        assert isinstance(out, MembersCode)
        assert isinstance(best, WordCode)
        ranking = rank(
            self._book.knowledge.tables["methods"].rows,
            _members(allowed, found),
            _members(out, found),
            (self._finding(rule, found) for rule in self._book.rules),
        )
        chosen = next((word for word, lit in best.exact.items() if found.holds(lit)), "none")
        if chosen in ("none", ranking.best):
            return
        for one in ranking.methods:
            if one.state != "ruled_out" and one.method != chosen:
                excluded, unallowed = out.certain[one.method], negate(allowed.possible[one.method])
                yield [encoder.circuit.either(excluded, unallowed)]
        yield from ([literal] for literal in self._swaying(found, chosen))

    def _swaying(self, found: Found, chosen: str) -> Iterator[int]:
        """What silences each rule that speaks against the chosen method, or for another one."""
        for rule in self._book.rules:
            against = any(
                (effect.kind == "favour" and effect.target != chosen)
                or (effect.kind == "disfavour" and effect.target == chosen)
                for effect in rule.then
            )
            possible = self._encoder.rule(rule.id).possible
            if against and found.holds(possible):
                yield negate(possible)

    def _finding(self, rule: Rule, found: Found) -> Finding:
        pair = self._encoder.rule(rule.id)
        return Finding(rule, Holds(found.holds(pair.certain), found.holds(pair.possible)))

    def _shrunk(self, case: Case, breaks: Breaks) -> Case:
        """The case without every answer that the break can do without."""
        for name in case.answers:
            smaller = case.with_answers({name: None})
            outcome = self._think(smaller)
            if outcome is not None and breaks(outcome):
                case = smaller
        return case

    def _all_grounds(self) -> list[Thinking]:
        if self._grounds is None:
            thought = (self._think(case) for case in self._worked)
            self._grounds = [one for one in thought if isinstance(one, Thinking)]
        return self._grounds

    def _as_in(self, ground: Thinking) -> list[int]:
        """Everything that formulas read or make, as it is in a worked case."""
        taken = _answers_read(ground) | _made(self._encoder)
        truth = self._encoder.replay(ground.values)
        return [
            2 * node if truth[2 * node] else negate(2 * node)
            for node, probe in self._encoder.circuit.inputs.items()
            if isinstance(probe, Probe) and probe.fact in taken
        ]

    def _think(self, case: Case) -> Thinking | RulesDisagree | None:
        try:
            return think(case, self._book, judge_only=True)
        except RulesDisagree as disagreement:
            return disagreement
        except ValueError:
            return None

    def _case(self, found: Found, like: Thinking | None) -> Case:
        """The answers of a case that was found; what formulas read as in a worked case."""
        kinds = self._book.vocabulary.kinds
        values = values_of(found, self._encoder)
        answers: dict[str, AnswerValue] = {
            name: answer
            for name, value in values.items()
            if kinds[name].stage == ANSWERS and (answer := _answer(value, kinds[name])) is not None
        }
        if like is None:
            answers |= _made_up_lists(values)
        else:
            read = _answers_read(like)
            answers |= {name: a.value for name, a in like.case.answers.items() if name in read}
        order = [question.id for question in self._book.questionnaire]
        ordered = {name: Answer(answers[name]) for name in order if name in answers}
        return Case("counterexample", "", "", MappingProxyType(ordered))

    def _taken(self, found: Found, made: Mapping[str, Value]) -> dict[str, Value]:
        kinds = self._book.vocabulary.kinds
        return {
            name: value
            for name, value in values_of(found, self._encoder).items()
            if kinds[name].stage != ANSWERS
            and name not in _RANKED
            and made.get(name, kinds[name].open) != value
        }


def _members(code: MembersCode, found: Found) -> Members:
    return Members(
        frozenset(word for word, literal in code.certain.items() if found.holds(literal)),
        frozenset(word for word, literal in code.possible.items() if found.holds(literal)),
        known=True,
    )


def _answers_read(ground: Thinking) -> frozenset[str]:
    """Answers that the formulas looked at in a case."""
    looked_at: set[str] = set()
    for outcome in ground.outcomes.values():
        looked_at |= outcome.seen.facts.keys() | outcome.seen.answers.keys()
    return frozenset(looked_at & ground.rulebook.questionnaire.by_id.keys())


def _made(encoder: Encoder) -> frozenset[str]:
    outputs = {name for formula in FORMULAS for name in formula.outputs}
    return frozenset(outputs & encoder.only.keys()) - _RANKED


def _answer(value: Value, kind: FactKind) -> AnswerValue | None:
    if isinstance(value, Word):
        return value.word
    if isinstance(value, Members):
        return tuple(word for word in kind.choices if word in value.certain)
    return Measure(value.low, value.high, kind.dimension)


def _made_up_lists(values: Mapping[str, Value]) -> dict[str, AnswerValue]:
    """A composition and holes such as the facts of the case speak of."""
    lists: dict[str, AnswerValue] = {}
    elements = {
        symbol: Measure(value.low, value.high, "mass_fraction")
        for symbol, fact in ELEMENTS.items()
        if isinstance(value := values.get(fact), Number)
    }
    if elements:
        lists["composition"] = elements
    count = values.get("hole_count")
    if isinstance(count, Number):
        lists["holes"] = (_hole(values),) * round(count.low)
    return lists


def _hole(values: Mapping[str, Value]) -> Hole:
    damaged = _is_yes(values.get("hole_thread_damaged"))
    enters = _is_yes(values.get("crack_enters_hole"))
    distance = 0.0 if enters else 15.0
    return Hole(
        thread="M12",
        depth=Measure(30.0, 30.0, "length"),
        distance=Measure(distance, distance, "length"),
        edge_distance=Measure(40.0, 40.0, "length"),
        condition="worn" if damaged else "good",
        damaged_length=Measure(10.0, 10.0, "length"),
        bolt_class="8.8",
        at=Measure(0.0, 0.0, "length"),
    )


def _is_yes(value: Value | None) -> bool:
    return isinstance(value, Word) and value.word == "yes"
