"""Proofs over whole chains of stages and every possible case: one circuit, one solver."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from advisor.advice.formulas_verdict import GO_AHEAD
from advisor.advice.proofs.counterexample import CaseFinder
from advisor.advice.proofs.explained import Explained
from advisor.advice.proofs.promises import Promise, load_promises, out_of_order
from advisor.advice.proofs.proof import Fault, Task
from advisor.advice.proofs.proof_setting import encoder_of
from advisor.advice.ranking import REPLACE
from advisor.advice.rulebook import Rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import Thinking
from advisor.reasoning.boxes import covers
from advisor.reasoning.claims import RulesDisagree
from advisor.reasoning.conditions import evaluate
from advisor.reasoning.prover.circuit import FALSE, TRUE, negate
from advisor.reasoning.prover.codes import Code, MembersCode, Pair, WordCode
from advisor.reasoning.prover.encode import Encoder
from advisor.reasoning.prover.solve import Found, Solver
from advisor.reasoning.rules import PLACEHOLDER, Rule
from advisor.reasoning.values import Members, Value

ASKED_FOR = ("required_steps", "required_inspections", "required_approvals")
"""Sets of what the advice asks for: where work goes ahead, what is possibly required as well."""


class Chains:
    """Proofs over every possible case, with one circuit and one solver for all of them."""

    def __init__(self, book: Rulebook, explained: Explained, timeout: float) -> None:
        self._book = book
        self._explained = explained
        self._timeout = timeout
        self._seen: list[Found] = []

    @cached_property
    def _solver(self) -> Solver:
        return Solver(self._encoder, self._timeout)

    @cached_property
    def _encoder(self) -> Encoder:
        encoder = encoder_of(self._book)
        for rule in self._book.rules:
            encoder.rule(rule.id)
        for name in self._book.vocabulary.kinds:
            encoder.fact(name)
        return encoder

    @cached_property
    def _finder(self) -> CaseFinder:
        worked = (case for _, case in scenario_cases(self._book))
        return CaseFinder(self._book, self._encoder, self._solver, worked)

    def tasks(self) -> Iterator[Task]:
        """The proofs that every rule base has to stand."""
        for id_, says, work in (
            ("every-rule-fires", "every rule can certainly fire", self._silent),
            ("no-swallowed-rule", "no rule says only what another says in every case",
             self._swallowed),
            ("rules-agree", "no two rules settle one decision differently", self._disagreements),
            ("one-verdict", "every case gets exactly one verdict", self._verdicts),
            ("go-ahead-has-method", "a go-ahead has a method of repair, and only a go-ahead",
             self._methods),
            ("recommended-not-excluded",
             "a recommended method is certainly allowed and not even possibly ruled out",
             self._excluded),
            ("texts-complete", "no step or inspection shows a value that is not known",
             self._blanks),
        ):  # fmt: skip
            yield Task(id_, "chain", says, work)

    def promises(self) -> Iterator[Task]:
        """The promises of the rule base."""
        for promise in load_promises(self._book):
            yield Task(
                promise.id,
                "promise",
                promise.says,
                lambda promise=promise: self._broken(promise),  # type: ignore[misc]
            )

    # --- every rule -------------------------------------------------------------------------

    def _silent(self) -> Iterator[Fault]:
        """Rules that no case makes fire for certain."""
        pairs = self._rule_pairs
        fired: set[str] = set()
        for rule_id, pair in pairs.items():
            if rule_id in fired:
                continue
            found = self._solver.find([pair.certain])
            if found is None:
                yield Fault(f"{rule_id} can never fire")
                continue
            self._seen.append(found)
            fired.update(name for name, each in pairs.items() if found.holds(each.certain))

    def can_fire(self, rule_id: str) -> bool:
        """Whether some case makes a rule fire for certain."""
        return self._solver.find([self._rule_pairs[rule_id].certain]) is not None

    @cached_property
    def _rule_pairs(self) -> Mapping[str, Pair]:
        return {rule.id: self._encoder.rule(rule.id) for rule in self._book.rules}

    def _swallowed(self) -> Iterator[Fault]:
        """Rules that fire only together with one that says as much or more."""
        explained = self._explained.rules.keys()
        always = {
            (rule.id, other.id)
            for rule, other in self._candidates()
            if self._always_with(rule, other)
        }
        for rule_id, other_id in sorted(always - explained):
            yield Fault(f"whenever {rule_id} fires, {other_id} says as much or more")
        for rule_id, other_id in sorted(explained - always):
            yield Fault(f"{rule_id} is explained beside {other_id}, and says something of its own")

    def _always_with(self, rule: Rule, other: Rule) -> bool:
        one, two = self._rule_pairs[rule.id], self._rule_pairs[other.id]
        for literals in ((one.certain, negate(two.certain)), (one.possible, negate(two.possible))):
            found = self._solver.find(literals)
            if found is not None:
                self._seen.append(found)
                return False
        return True

    def _candidates(self) -> Iterator[tuple[Rule, Rule]]:
        """Pairs of which the second covers the first, as far as the cases seen can tell."""
        vocabulary = self._book.vocabulary
        claiming = [rule for rule in self._book.rules if all(e.claim for e in rule.then)]
        seen_by = {rule.id: self._seen_firing(rule) for rule in self._book.rules}
        for rule in claiming:
            certain, possible = seen_by[rule.id]
            for other in self._book.rules:
                if other is rule or not covers(other, rule, vocabulary):
                    continue
                if not certain <= seen_by[other.id][0] or not possible <= seen_by[other.id][1]:
                    continue
                yield rule, other

    def _seen_firing(self, rule: Rule) -> tuple[frozenset[int], frozenset[int]]:
        pair = self._rule_pairs[rule.id]
        return (
            frozenset(n for n, found in enumerate(self._seen) if found.holds(pair.certain)),
            frozenset(n for n, found in enumerate(self._seen) if found.holds(pair.possible)),
        )

    # --- decisions --------------------------------------------------------------------------

    def _disagreements(self) -> Iterator[Fault]:
        for kind in self._book.vocabulary.kinds.values():
            if kind.combine == "single":
                example = self._finder.find(
                    [self._encoder.disagreement(kind.name)],
                    lambda outcome: isinstance(outcome, RulesDisagree),
                )
                if example:
                    yield Fault(f"rules settle {kind.name} differently in one case", example)

    def _word(self, fact: str, *words: str) -> int:
        code = self._encoder.fact(fact)
        assert isinstance(code, WordCode)
        return self._encoder.circuit.any(code.exact.get(word, FALSE) for word in words)

    def _verdicts(self) -> Iterator[Fault]:
        circuit, code = self._encoder.circuit, self._encoder.fact("verdict")
        assert isinstance(code, WordCode)
        verdicts = list(code.exact.values())
        exactly_one = circuit.both(circuit.any(verdicts), circuit.at_most_one(verdicts))
        found = self._finder.find([negate(exactly_one)], _has_no_verdict)
        if found:
            yield Fault("a case without exactly one verdict", found)

    def _methods(self) -> Iterator[Fault]:
        go, lets = self._word("go_ahead", "yes"), self._word("verdict", *GO_AHEAD)
        nothing = self._word("method", "none", REPLACE)
        for literals, says in (
            ([go, nothing], "a go-ahead without a method of repair"),
            ([negate(go), negate(nothing)], "a method of repair without a go-ahead"),
            ([lets, negate(go)], "a verdict that lets the work go ahead, and no go-ahead"),
        ):
            found = self._finder.find(literals, _goes_wrong)
            if found:
                yield Fault(says, found)

    def _excluded(self) -> Iterator[Fault]:
        allowed = self._encoder.fact("methods_allowed")
        out = self._encoder.fact("methods_ruled_out")
        assert isinstance(allowed, MembersCode)
        assert isinstance(out, MembersCode)
        for word in self._book.vocabulary["best_method"].choices:
            if word == "none":
                continue
            unsound = self._encoder.circuit.either(
                out.possible[word], negate(allowed.certain[word])
            )
            chosen = self._encoder.circuit.either(
                self._word("method", word), self._word("best_method", word)
            )
            found = self._finder.find([chosen, unsound], _recommends_excluded)
            if found:
                yield Fault(f"{word} is recommended where a rule excludes it", found)

    # --- texts ------------------------------------------------------------------------------

    def _blanks(self) -> Iterator[Fault]:
        texts = {step.id: step.do for step in self._book.steps.values()}
        yield from self._blanks_in("required_steps", texts)
        inspections = self._book.inspections.values()
        shown = {one.id: f"{one.what} {one.acceptance}" for one in inspections}
        yield from self._blanks_in("required_inspections", shown)

    def _blanks_in(self, asked_for: str, texts: Mapping[str, str]) -> Iterator[Fault]:
        asked = self._views[asked_for]
        assert isinstance(asked, MembersCode)
        for id_, text in texts.items():
            for fact in dict.fromkeys(PLACEHOLDER.findall(text)):
                if (id_, fact) in self._explained.blanks:
                    continue
                unknown = negate(self._encoder.fact(fact).known)
                found = self._finder.find(
                    [asked.certain[id_], unknown],
                    lambda outcome, id_=id_, fact=fact: (  # type: ignore[misc]
                        isinstance(outcome, Thinking)
                        and id_ in _asked_for(outcome, asked_for).certain
                        and not outcome.values[fact].known
                    ),
                )
                if found:
                    yield Fault(f"{id_} is asked for while {fact} is not known", found)

    # --- promises ---------------------------------------------------------------------------

    @cached_property
    def _views(self) -> Mapping[str, Code]:
        """The sets of what is asked for, as the advice prints them."""
        circuit, go = self._encoder.circuit, self._word("go_ahead", "yes")
        views: dict[str, Code] = {}
        for name in ASKED_FOR:
            code = self._encoder.fact(name)
            assert isinstance(code, MembersCode)
            asked = {
                word: circuit.either(literal, circuit.both(code.possible[word], go))
                for word, literal in code.certain.items()
            }
            views[name] = MembersCode(asked, asked, TRUE)
        return views

    def _broken(self, promise: Promise) -> Iterator[Fault]:
        if promise.kind == "order":
            wrong = out_of_order(promise, self._book)
            if wrong:
                yield Fault(f"step {wrong[0]} stands after {wrong[1]}")
            return
        breaking = [self._breaking(promise)]
        example = self._finder.find(breaking, lambda outcome: breaks(promise, outcome))
        if example:
            yield Fault("a case breaks it", example)

    def _breaking(self, promise: Promise) -> int:
        pair = self._encoder.condition(promise.breaks, views=self._views)
        return pair.possible if promise.kind == "never" else pair.certain

    def holds(self, promise: Promise) -> bool:
        """Whether no case breaks a promise; quicker than a proof, which also gives the case."""
        if promise.kind == "order":
            return out_of_order(promise, self._book) is None
        return self._solver.find([self._breaking(promise)]) is None


def breaks(promise: Promise, outcome: Thinking | RulesDisagree) -> bool:
    """Whether a case thought through breaks a promise."""
    if not isinstance(outcome, Thinking) or promise.kind == "order":
        return False
    held = evaluate(promise.breaks, as_asked_for(outcome))
    return held.possible if promise.kind == "never" else held.certain


def as_asked_for(thinking: Thinking) -> Mapping[str, Value]:
    """The facts of a case, with what is required as the advice prints it."""
    return {**thinking.values, **{name: _asked_for(thinking, name) for name in ASKED_FOR}}


def _asked_for(thinking: Thinking, name: str) -> Members:
    found = thinking.members(name)
    asked = found.possible if thinking.word("go_ahead") == "yes" else found.certain
    return Members(asked, asked, known=True)


def _has_no_verdict(outcome: Thinking | RulesDisagree) -> bool:
    return isinstance(outcome, Thinking) and outcome.word("verdict") is None


def _goes_wrong(outcome: Thinking | RulesDisagree) -> bool:
    if not isinstance(outcome, Thinking):
        return False
    goes = outcome.word("go_ahead") == "yes"
    return goes != (outcome.word("verdict") in GO_AHEAD) or goes == (
        outcome.word("method") in (None, "none", REPLACE)
    )


def _recommends_excluded(outcome: Thinking | RulesDisagree) -> bool:
    if not isinstance(outcome, Thinking):
        return False
    best = outcome.word("best_method")
    return best != "none" and (
        best in outcome.members("methods_ruled_out").possible
        or best not in outcome.members("methods_allowed").certain
    )
