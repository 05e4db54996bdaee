"""Are the rules tested? Conditions are changed one at a time, and something has to notice.

Run as `python -m tests.mutation.mutate --number 400 --seed 1 --report tests/mutation/report.md`.
A changed rule is noticed by a worked case that comes to another decision, by a proof or promise
that fails, or by the rule's own cases. What nobody notices, and what some case could tell from the
rule as it stands, is a survivor. The judge works alone here.
"""

from __future__ import annotations

import argparse
import gc
import random
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from advisor.advice import advise, thinking
from advisor.advice.proofs.chain_proofs import Chains
from advisor.advice.proofs.explained import load_explained
from advisor.advice.proofs.promises import load_promises
from advisor.advice.proofs.proof_setting import encoder_of
from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.standings import recommended
from advisor.reasoning.boxes import Pairs
from advisor.reasoning.claims import RulesDisagree
from advisor.reasoning.conditions import (
    ALWAYS,
    All,
    Condition,
    Known,
    Not,
    Test,
    evaluate,
)
from advisor.reasoning.conditions import (
    Any as AnyOf,
)
from advisor.reasoning.prover.circuit import negate
from advisor.reasoning.prover.solve import DEFAULT_TIMEOUT, Solver
from advisor.reasoning.rules import Rule
from advisor.reasoning.vocabulary import FactKind, Vocabulary
from tests.advice.test_scenarios import Decision, differences, read_expectation
from tests.rules.cases import RuleCase, rule_cases

NEVER = AnyOf(())
DETECTORS = ("scenario", "proof", "rule case")

HARMLESS: Mapping[str, str] = {}
"""By rule, why a change of its condition that nobody notices does no harm."""

_TIDY = 10
"""Mutants between two collections of what is not needed any more."""


@dataclass(frozen=True)
class Mutant:
    """One rule with one change in its condition."""

    rule: Rule
    what: str
    when: Condition

    @property
    def mutated(self) -> Rule:
        return replace(self.rule, when=self.when)


# --- making mutants -----------------------------------------------------------------------------

_TURNED = {"at_least": "below", "below": "at_least", "above": "at_most", "at_most": "above"}
_NUDGED = {"at_least": "above", "above": "at_least", "at_most": "below", "below": "at_most"}


def mutants_of(rule: Rule, vocabulary: Vocabulary) -> list[Mutant]:
    """Every change of a rule's condition that is tried."""
    made = [Mutant(rule, what, when) for what, when in _changed(rule.when, vocabulary)]
    if rule.when == ALWAYS:
        return [Mutant(rule, "never fires", NEVER)]
    return [*made, Mutant(rule, "never fires", NEVER), Mutant(rule, "always fires", ALWAYS)]


def _changed(condition: Condition, vocabulary: Vocabulary) -> Iterator[tuple[str, Condition]]:
    if isinstance(condition, Known):
        yield f"flip: known of {condition.fact}", replace(condition, known=not condition.known)
    elif isinstance(condition, Test):
        yield from _changed_test(condition, vocabulary[condition.fact])
    elif isinstance(condition, Not):
        yield "flip: a not left out", condition.part
        for what, part in _changed(condition.part, vocabulary):
            yield what, Not(part)
    else:
        yield from _changed_parts(condition, vocabulary)


def _changed_parts(
    condition: All | AnyOf, vocabulary: Vocabulary
) -> Iterator[tuple[str, Condition]]:
    kind, parts = type(condition), condition.parts
    if len(parts) > 1:
        other = AnyOf if kind is All else All
        yield f"flip: {kind.__name__.lower()} for {other.__name__.lower()}", other(parts)
    for index, part in enumerate(parts):
        if len(parts) > 1:
            left = (*parts[:index], *parts[index + 1 :])
            yield f"drop: part {index + 1} of {kind.__name__.lower()}", kind(left)
        for what, changed in _changed(part, vocabulary):
            yield what, kind((*parts[:index], changed, *parts[index + 1 :]))


def _changed_test(test: Test, kind: FactKind) -> Iterator[tuple[str, Condition]]:
    if kind.type == "number":
        said = f"{test.fact} {test.op} {test.limit:g}"
        yield f"flip: {said}", replace(test, op=_TURNED[test.op])
        yield f"widen: {said} at its limit", replace(test, op=_NUDGED[test.op])
        for factor in (0.9, 1.1):
            moved = round(test.limit * factor if test.limit else factor - 1.0, 4)
            yield f"widen: {said} moved to {moved:g}", replace(test, limit=moved)
        return
    yield f"flip: {test.fact} {test.op}", Not(test)
    for word in kind.choices:
        if word not in test.words:
            yield f"widen: {test.fact} {word} too", replace(test, words=test.words | {word})
    for word in sorted(test.words) if len(test.words) > 1 else ():
        yield f"drop: {test.fact} {word}", replace(test, words=test.words - {word})


def sample(book: Rulebook, number: int, seed: int) -> list[Mutant]:
    """Mutants drawn evenly over the files, then over rules and kinds of change."""
    rng = random.Random(seed)
    by_file: dict[str, list[Rule]] = defaultdict(list)
    for rule in book.rules:
        by_file[Path(rule.file).name].append(rule)
    drawn: list[Mutant] = []
    seen: set[tuple[str, str]] = set()
    while len(drawn) < number:
        for file in sorted(by_file):
            choices = mutants_of(rng.choice(by_file[file]), book.vocabulary)
            kinds = sorted({mutant.what.partition(":")[0] for mutant in choices})
            kind = rng.choice(kinds)
            mutant = rng.choice([m for m in choices if m.what.startswith(kind)])
            key = (mutant.rule.id, mutant.what)
            if key not in seen and len(drawn) < number:
                seen.add(key)
                drawn.append(mutant)
    return drawn


# --- noticing them ------------------------------------------------------------------------------


class Watch:
    """Everything that may notice a mutant."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self._cases: dict[str, list[RuleCase]] = defaultdict(list)
        for case in rule_cases(book):
            self._cases[case.rule].append(case)

    def noticed_by(self, mutant: Mutant, *, everything: bool) -> list[str]:
        """The detectors that notice a mutant; the first one only unless all are wanted."""
        found = []
        for name, notices in (
            ("rule case", self._by_rule_case),
            ("scenario", self._by_scenario),
            ("proof", self._by_proof),
        ):
            if notices(mutant):
                found.append(name)
                if not everything:
                    break
        return found

    def _by_rule_case(self, mutant: Mutant) -> bool:
        cases = self._cases[mutant.rule.id]
        return any(case.truth(mutant.when, self.book) is not case.expected for case in cases)

    # --- worked cases -----------------------------------------------------------------------

    @cached_property
    def _worked(self) -> list[tuple[Any, Decision, thinking.Thinking]]:
        folder = self.book.folder / "scenarios" / "expected"
        worked = []
        for name, case in scenario_cases(self.book):
            wanted = read_expectation(folder / f"{name}.yaml", self.book).decision
            wanted = wanted.model_copy(update={"questions": ()})
            worked.append((case, wanted, thinking.think(case, self.book, judge_only=True)))
        return worked

    def _by_scenario(self, mutant: Mutant) -> bool:
        book = self._with(mutant)
        try:
            return any(
                self._differs(book, case, wanted)
                for case, wanted, was in self._worked
                if self._turns(mutant, was)
            )
        finally:
            thinking._PLANS.pop(id(book), None)

    def _turns(self, mutant: Mutant, was: thinking.Thinking) -> bool:
        stage = self.book.vocabulary.stages[mutant.rule.stage]
        facts = was.findings[stage].facts
        return evaluate(mutant.when, facts) != was.findings[stage].findings[mutant.rule.id].holds

    def _differs(self, book: Rulebook, case: Any, wanted: Decision) -> bool:
        try:
            found = thinking.think(case, book, judge_only=True)
            done = SimpleNamespace(thinking=found, advice=_advice(found))
        except (RulesDisagree, advise.NoAdvice):
            return True
        return any(True for _ in differences(wanted, done))

    def _with(self, mutant: Mutant) -> Rulebook:
        rules = tuple(mutant.mutated if r.id == mutant.rule.id else r for r in self.book.rules)
        return replace(self.book, rules=rules)

    # --- proofs -----------------------------------------------------------------------------

    def _by_proof(self, mutant: Mutant) -> bool:
        book = self._with(mutant)
        pairs = Pairs(book.rules, book.vocabulary)
        if any(mutant.rule.id in fault.rules for fault in pairs.faults()):
            return True
        chains = Chains(book, load_explained(book), DEFAULT_TIMEOUT)
        if not chains.can_fire(mutant.rule.id):
            return True
        return any(not chains.holds(promise) for promise in load_promises(book))

    # --- mutants that are the same rule -----------------------------------------------------

    @cached_property
    def _solver(self) -> Solver:
        encoder = encoder_of(self.book)
        for rule in self.book.rules:
            encoder.rule(rule.id)
        self._encoder = encoder
        return Solver(encoder)

    def is_the_same(self, mutant: Mutant) -> bool:
        """Whether no case at all can tell the mutant from the rule."""
        solver, encoder = self._solver, self._encoder
        was, now = encoder.rule(mutant.rule.id), encoder.condition(mutant.when, mutant.rule.stage)
        either_way = [
            encoder.circuit.same(was.certain, now.certain),
            encoder.circuit.same(was.possible, now.possible),
        ]
        return solver.find([negate(encoder.circuit.all(either_way))]) is None


def _advice(found: thinking.Thinking) -> Any:
    """As much of an advice as expectations look at."""
    if found.word("go_ahead") == "yes" and recommended(found) in (None, "replace_part"):
        raise advise.NoAdvice(f"verdict {found.word('verdict')} without a method of repair")
    return SimpleNamespace(
        verdict=advise._verdict(found),
        recommended=recommended(found),
        methods=advise.method_standings(found),
        stitching=advise.stitching(found),
        inserts=advise.inserts(found),
        heat=advise.heat(found),
        steps=advise.steps(found),
        inspections=advise.inspections(found),
        next_questions=(),
    )


@dataclass(frozen=True)
class Every:
    """Every change that can be made, held against the rules' own cases alone."""

    total: int
    same: int
    unnoticed: tuple[Mutant, ...]


def every_change(watch: Watch) -> Every:
    """Try every change of every rule on the rule's own cases."""
    book = watch.book
    mutants = [mutant for rule in book.rules for mutant in mutants_of(rule, book.vocabulary)]
    missed = [mutant for mutant in mutants if not watch._by_rule_case(mutant)]
    unnoticed = tuple(mutant for mutant in missed if not watch.is_the_same(mutant))
    return Every(len(mutants), len(missed) - len(unnoticed), unnoticed)


# --- the run ------------------------------------------------------------------------------------


@dataclass
class Result:
    """What came of all mutants."""

    noticed: Counter[str] = field(default_factory=Counter)
    only: Counter[str] = field(default_factory=Counter)
    by_kind: Counter[tuple[str, bool]] = field(default_factory=Counter)
    same: list[Mutant] = field(default_factory=list)
    survivors: list[Mutant] = field(default_factory=list)
    total: int = 0

    @property
    def different(self) -> int:
        return self.total - len(self.same)


def run(
    mutants: Sequence[Mutant], watch: Watch, *, everything: bool, tell: Callable[[str], None]
) -> Result:
    """Try every mutant."""
    result = Result(total=len(mutants))
    for number, mutant in enumerate(mutants, start=1):
        noticed = watch.noticed_by(mutant, everything=everything)
        if not noticed:
            same = watch.is_the_same(mutant)
            (result.same if same else result.survivors).append(mutant)
            tell(f"{'same' if same else 'SURVIVES'}: {mutant.rule.id}: {mutant.what}")
        result.noticed.update(noticed)
        if len(noticed) == 1:
            result.only.update(noticed)
        if noticed or mutant in result.survivors:
            result.by_kind[mutant.what.partition(":")[0], bool(noticed)] += 1
        if number % _TIDY == 0:
            gc.collect()  # what the solver holds is set free with its terms
        if number % 50 == 0:
            tell(f"{number} of {len(mutants)}, {len(result.survivors)} survive")
    return result


def report(
    result: Result,
    every: Every,
    book: Rulebook,
    *,
    seed: int,
    seconds: float,
    everything: bool,
    why: Mapping[str, str],
) -> str:
    """The result as a page."""
    rate = 100 * len(result.survivors) / max(result.different, 1)
    lines = [
        "# Mutation check of the rule base",
        "",
        "Conditions of rules are changed one at a time: a comparison turned round, a part",
        "dropped, a word added or taken out, a limit moved by a tenth or by its own equality, the",
        "rule silenced or always firing. Something has to notice: a worked case that comes to",
        "another decision, a proof or promise that fails, or the rule's own cases in",
        "`tests/rules/`. Made by `python -m tests.mutation.mutate`.",
        "",
        f"- date: {date.today().isoformat()}",
        f"- rule base: version {book.version}, digest `{book.digest}`, {len(book.rules)} rules",
        f"- mutants drawn: {result.total} (seed {seed}), evenly over the rule files",
        f"- the same rule in every case, so that nobody can notice: {len(result.same)}",
        f"- survivors: {len(result.survivors)} of {result.different}, {rate:.1f} %",
        f"- seconds: {seconds:.0f}",
    ]
    if everything:
        cases = result.only["rule case"]
        lines += [
            "",
            "The cases in `tests/rules/` hold a condition word by word, so they notice nearly all;",
            f"{cases} mutants are noticed by them alone. Those cases are worth as much as the",
            "reading that went into them: a worked case or a promise says more.",
        ]
        lines += ["", "| noticed by | mutants | by nothing else |", "|---|---|---|"]
        lines += [
            f"| {name} | {result.noticed[name]} | {result.only[name]} |" for name in DETECTORS
        ]
    lines += ["", "| change | noticed | survive |", "|---|---|---|"]
    for kind in sorted({kind for kind, _ in result.by_kind}):
        seen, missed = result.by_kind[kind, True], result.by_kind[kind, False]
        lines.append(f"| {kind} | {seen} | {missed} |")
    lines += [
        "",
        "## Every change",
        "",
        f"Of all {every.total} changes that can be made, {every.same} give the same rule in other",
        f"words; {len(every.unnoticed)} of the others are missed by the rules' own cases.",
        *(f"- `{mutant.rule.id}`: {mutant.what}" for mutant in every.unnoticed),
    ]
    lines += ["", "## Survivors", ""]
    lines += [
        f"- `{m.rule.id}`: {m.what}" + (f". {why[m.rule.id]}" if m.rule.id in why else "")
        for m in result.survivors
    ] or ["None."]
    return "\n".join(lines) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Draw mutants, try them, write the report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--number", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--report", type=Path)
    parser.add_argument("--first", action="store_true", help="stop at the first that notices")
    parser.add_argument("--without-rule-cases", action="store_true")
    options = parser.parse_args(arguments)
    began = time.monotonic()
    book = load_rulebook()
    watch = Watch(book)
    if options.without_rule_cases:
        watch._cases.clear()
    drawn = sample(book, options.number, options.seed)
    result = run(
        drawn, watch, everything=not options.first, tell=lambda line: print(line, file=sys.stderr)
    )
    seconds = time.monotonic() - began
    page = report(
        result,
        every_change(watch),
        book,
        seed=options.seed,
        seconds=seconds,
        everything=not options.first,
        why=HARMLESS,
    )
    if options.report:
        options.report.write_text(page, encoding="utf-8")
    print(page)
    print(f"{seconds:.0f} s", file=sys.stderr)
    return 1 if result.survivors else 0


if __name__ == "__main__":
    raise SystemExit(main())
