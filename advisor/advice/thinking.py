"""The one pipeline: answers become facts, formulas and rules turn facts into more facts.

Read from top to bottom, this is how the program thinks. Every fact keeps where it came from, so
that explaining is reading back.
"""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import field, replace
from typing import Literal

from advisor.advice.formulas import Formula, Given, Outcome, run
from advisor.advice.hole_plan import check_threads
from advisor.advice.ranking import Ranking, rank
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.case.model import UNKNOWN, Case
from advisor.case.quantities import Measure
from advisor.light_dataclass import dataclass
from advisor.reasoning import engine as durable
from advisor.reasoning.agreement import Reasoners, StageReasoner
from advisor.reasoning.claims import Claim, combine
from advisor.reasoning.facts_file import TableLookUp
from advisor.reasoning.judge import StageFindings, claims_of
from advisor.reasoning.rejudge import Rejudge
from advisor.reasoning.rules import Rule
from advisor.reasoning.tables import Cell
from advisor.reasoning.values import Members, Value, Word, members, number, word
from advisor.reasoning.vocabulary import ANSWERS, FactKind

Origin = Literal["answer", "table", "formula", "rule", "nothing"]


@dataclass(frozen=True)
class Fact:
    """One fact and where it came from.

    Attributes:
        name: the fact.
        value: what is known of it.
        origin: answer, table, formula or rule; ``nothing`` while nothing is known.
        by: ids of the rules, the formula's id, or table, row and column.
        inputs: names of the facts that it was made from.
        sources: keys of the source list.
        working: for people: the equation with numbers, or what is in the way.
    """

    name: str
    value: Value
    origin: Origin
    by: tuple[str, ...] = ()
    inputs: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    working: str = ""


@dataclass
class Thinking:
    """One case thought through: facts, what each stage found, and what formulas made."""

    case: Case
    rulebook: Rulebook
    reasoners: Reasoners
    facts: dict[str, Fact] = field(default_factory=dict)
    values: dict[str, Value] = field(default_factory=dict)
    objects: dict[str, object] = field(default_factory=dict)
    findings: dict[str, StageFindings] = field(default_factory=dict)
    claims: dict[str, list[Claim]] = field(default_factory=lambda: defaultdict(list))
    stage_claims: dict[str, dict[str, list[Claim]]] = field(default_factory=dict)
    outcomes: dict[str, Outcome] = field(default_factory=dict)
    before: Before | None = None

    @functools.cached_property
    def by_stage(self) -> Mapping[int, tuple[Mapping[str, Fact], Mapping[str, Value]]]:
        """Facts and values of each stage, once the case is thought through."""
        facts: dict[int, dict[str, Fact]] = defaultdict(dict)
        for name, kind in self.rulebook.vocabulary.kinds.items():
            facts[kind.stage][name] = self.facts[name]
        return {
            stage: (found, {name: fact.value for name, fact in found.items()})
            for stage, found in facts.items()
        }

    def take_over(self, stage: int) -> None:
        """Take over the facts of a stage as they were; what has changed is learned after that."""
        if self.before is None or stage not in self.before.thinking.by_stage:
            return
        facts, values = self.before.thinking.by_stage[stage]
        self.facts.update(facts)
        self.values.update(values)
        for name in self.before.pinned.keys() & facts.keys():
            self.learn(facts[name])

    def forget(self, name: str) -> None:
        """Nothing is known of a fact."""
        self.learn(Fact(name, self.rulebook.vocabulary[name].open, "nothing"))

    def learn(self, fact: Fact) -> None:
        """Keep a fact; a stage never changes an earlier one."""
        if self.before and fact.name in self.before.pinned:
            fact = replace(fact, value=self.before.pinned[fact.name])
        self.facts[fact.name] = fact
        self.values[fact.name] = fact.value

    def word(self, name: str) -> str | None:
        """A word fact, or None while it is open."""
        value = self.values[name]
        return value.word if isinstance(value, Word) else None

    def members(self, name: str) -> Members:
        """A set fact."""
        value = self.values[name]
        assert isinstance(value, Members)
        return value

    def truth_of(self, rule_id: str) -> str:
        """Whether a rule fired: ``true``, ``false`` or ``cannot tell``."""
        rule = self.rulebook.rule_by_id[rule_id]
        return self.findings[STAGES[rule.stage]].findings[rule_id].truth.value


@dataclass
class Before:
    """A case thought through before: what a change does not touch is taken over from it.

    Attributes:
        thinking: the case as it was.
        outcomes: what formulas made of other cases like it, newest last.
        pinned: facts that are held at a value, whatever is made of the answers.
        left_out: formulas whose results nothing hangs on.
        changed: names of the facts and answers that are not what they were.
        turned: the rules of each stage whose truth is not what it was, by id.
        claimed: decisions on which such a rule claims something.
    """

    thinking: Thinking
    outcomes: dict[str, list[Outcome]] = field(default_factory=dict)
    pinned: Mapping[str, Value] = field(default_factory=dict)
    left_out: frozenset[str] = frozenset()
    changed: set[str] = field(default_factory=set)
    turned: dict[str, dict[str, Rule]] = field(default_factory=dict)
    claimed: set[str] = field(default_factory=set)

    def note(self, name: str, value: Value) -> None:
        """Note whether a fact is what it was."""
        was = self.thinking.values[name]
        if value is not was and value != was:
            self.changed.add(name)

    def untouched(self, formula: Formula) -> Outcome | None:
        """What a formula made, where nothing that it looked at has changed."""
        first = self.thinking.outcomes[formula.id]
        return first if first.seen.names.isdisjoint(self.changed) else None

    def recall(self, formula: Formula, given: Given) -> Outcome | None:
        """What a formula made of the very same inputs in a case like this."""
        for outcome in reversed(self.outcomes.get(formula.id, ())):
            if outcome.seen.still(given):
                return outcome
        return None

    def keep(self, outcome: Outcome) -> None:
        """Keep what a formula made, for the next change."""
        kept = self.outcomes.setdefault(outcome.formula.id, [])
        kept.append(outcome)
        if len(kept) > _KEPT_OUTCOMES:
            del kept[0]


_KEPT_OUTCOMES = 24


def think(
    case: Case, rulebook: Rulebook, *, judge_only: bool = False, before: Before | None = None
) -> Thinking:
    """Think a case through, stage by stage.

    Args:
        case: the answers.
        rulebook: rules and knowledge.
        judge_only: leave the engine out; for trying "what if", never for an advice.
        before: the same case with other answers, judged alone; saves time and changes nothing.

    Raises:
        InputProblem: a thread or bolt class that cannot be read.
        ReasonersDisagree, EngineFault, RulesDisagree: no advice may be given.
    """
    thinking = begin(case, rulebook, judge_only=judge_only, before=before)
    go_on(thinking)
    return thinking


def begin(
    case: Case, rulebook: Rulebook, *, judge_only: bool = False, before: Before | None = None
) -> Thinking:
    """Take the answers of a case, as ``think`` does, and think no further yet.

    Raises:
        InputProblem: a thread or bolt class that cannot be read.
    """
    check_threads(case)
    plan = _plan(rulebook)
    reasoners = Reasoners(engine=durable.AVAILABLE and not judge_only)
    thinking = Thinking(case, rulebook, reasoners, dict(plan.facts), dict(plan.values))
    thinking.before = before
    if rulebook.shop:
        thinking.objects["shop"] = rulebook.shop
    _take_answers(thinking)
    return thinking


def go_on(thinking: Thinking, until: str = STAGES[-1]) -> None:
    """Think on, stage by stage, from where the case was left.

    Raises:
        ReasonersDisagree, EngineFault, RulesDisagree: no advice may be given.
    """
    plan = _plan(thinking.rulebook)
    for stage in STAGES[len(thinking.findings) : STAGES.index(until) + 1]:
        thinking.take_over(STAGES.index(stage))
        _look_up(thinking, plan.look_ups[stage])
        _compute(thinking, plan.formulas[stage])
        _reason(thinking, stage, plan)
        if stage == "method":
            _rank(thinking)
        _compute(thinking, plan.late_formulas[stage])


def _rank(thinking: Thinking) -> None:
    before = thinking.before
    if before is None:
        thinking.objects["ranking"] = rank_methods(thinking)
        return
    thinking.objects["ranking"] = was = before.thinking.objects["ranking"]
    if _ranks_anew(before) and (ranking := rank_methods(thinking)) != was:
        thinking.objects["ranking"] = ranking
        before.changed.add("ranking")


def _ranks_anew(before: Before) -> bool:
    """Whether methods are left that were not, or a rule that speaks for or against one turned."""
    return not before.changed.isdisjoint(("methods_allowed", "methods_ruled_out")) or any(
        _speaks(rule) for turned in before.turned.values() for rule in turned.values()
    )


def _speaks(rule: Rule) -> bool:
    return any(effect.kind in ("favour", "disfavour") for effect in rule.then)


def rank_methods(thinking: Thinking) -> Ranking:
    """Rank the methods by what the stages up to now found."""
    found = thinking.findings
    speaking = _plan(thinking.rulebook).speaking
    return rank(
        thinking.rulebook.knowledge.tables["methods"].rows,
        thinking.members("methods_allowed"),
        thinking.members("methods_ruled_out"),
        (found[stage].findings[rule] for stage, rule in speaking if stage in found),
    )


@dataclass(frozen=True)
class _Plan:
    """What every case of a rule book goes through, laid out by stage."""

    facts: Mapping[str, Fact]
    values: Mapping[str, Value]
    look_ups: Mapping[str, tuple[TableLookUp, ...]]
    formulas: Mapping[str, tuple[Formula, ...]]
    late_formulas: Mapping[str, tuple[Formula, ...]]
    decisions: Mapping[str, tuple[FactKind, ...]]
    place: Mapping[str, int]
    speaking: tuple[tuple[str, str], ...]
    reasoners: Mapping[str, StageReasoner]
    rejudges: Mapping[str, Rejudge]


_PLANS: dict[int, tuple[Rulebook, _Plan]] = {}


def _plan(rulebook: Rulebook) -> _Plan:
    """Built once a process: the engine never frees a compiled rule base."""
    kept = _PLANS.get(id(rulebook))
    if kept is None:
        kept = _PLANS[id(rulebook)] = (rulebook, _lay_out(rulebook))
    return kept[1]


def _lay_out(rulebook: Rulebook) -> _Plan:
    vocabulary = rulebook.vocabulary
    kinds = tuple(vocabulary.kinds.values())
    look_ups = rulebook.declarations.look_ups
    rules = {stage: rulebook.of_stage(stage) for stage in STAGES}
    return _Plan(
        facts={kind.name: Fact(kind.name, kind.open, "nothing") for kind in kinds},
        values={kind.name: kind.open for kind in kinds},
        look_ups={
            stage: tuple(one for one in look_ups if vocabulary[one.fact].stage == index)
            for index, stage in enumerate(STAGES)
        },
        formulas={stage: FORMULAS.of_stage(stage, late=False) for stage in STAGES},
        late_formulas={stage: FORMULAS.of_stage(stage, late=True) for stage in STAGES},
        decisions={
            stage: tuple(kind for kind in kinds if kind.combine and kind.stage == index)
            for index, stage in enumerate(STAGES)
        },
        place={rule.id: index for index, rule in enumerate(rulebook.rules)},
        speaking=tuple((STAGES[rule.stage], rule.id) for rule in rulebook.rules if _speaks(rule)),
        reasoners={
            stage: StageReasoner(
                rules[stage], vocabulary, index, kept=rulebook.translated.get(stage)
            )
            for index, stage in enumerate(STAGES)
        },
        rejudges={
            stage: Rejudge(rules[stage], vocabulary, index) for index, stage in enumerate(STAGES)
        },
    )


# --- answers ------------------------------------------------------------------------------------


def _take_answers(thinking: Thinking) -> None:
    before = thinking.before
    if before is None:
        for name in thinking.case.answers:
            _take_answer(thinking, name)
        return
    thinking.take_over(ANSWERS)
    now, was = thinking.case.answers, before.thinking.case.answers
    for name in now.keys() | was.keys():
        if now.get(name) is not was.get(name):
            before.changed.add(name)
            _take_answer(thinking, name)
    before.changed.update(before.pinned)


def _take_answer(thinking: Thinking, name: str) -> None:
    if name not in thinking.rulebook.vocabulary:
        return
    answer = thinking.case.value(name)
    value = None if answer is UNKNOWN else answer_value(answer)
    if value is not None:
        thinking.learn(Fact(name, value, "answer"))
    elif thinking.before:
        thinking.forget(name)


def answer_value(answer: object) -> Value | None:
    """An answer as rules see it, or None where it is more than a word or a number."""
    if isinstance(answer, str):
        return word(answer)
    if isinstance(answer, Measure):
        return number(answer.low, answer.high)
    if isinstance(answer, tuple) and all(isinstance(one, str) for one in answer):
        return members(*answer)
    return None


# --- tables -------------------------------------------------------------------------------------


def _look_up(thinking: Thinking, look_ups: tuple[TableLookUp, ...]) -> None:
    before = thinking.before
    for look_up in look_ups:
        if before and look_up.key not in before.changed:
            continue
        if before:
            thinking.forget(look_up.fact)
        _read_cell(thinking, look_up)
        if before:
            before.note(look_up.fact, thinking.values[look_up.fact])


def _read_cell(thinking: Thinking, look_up: TableLookUp) -> None:
    row = thinking.word(look_up.key)
    cell = None if row is None else _cell(thinking.rulebook, look_up.table, row, look_up.column)
    if cell is None:
        return
    value = cell_value(cell)
    if value is None or not thinking.rulebook.vocabulary[look_up.fact].accepts(value):
        return
    thinking.learn(
        Fact(
            look_up.fact,
            value,
            "table",
            by=(look_up.table, str(row), look_up.column),
            inputs=(look_up.key,),
            sources=cell.source,
            working=cell.note,
        )
    )


def _cell(rulebook: Rulebook, table: str, row: str, column: str) -> Cell | None:
    rows = rulebook.knowledge.tables[table].rows
    return rows[row].get(column) if row in rows else None


def cell_value(cell: Cell) -> Value | None:
    """A cell as rules see it."""
    if isinstance(cell.value, bool):
        return word("yes" if cell.value else "no")
    if isinstance(cell.value, str):
        return word(cell.value)
    if isinstance(cell.value, tuple):
        return members(*cell.value)
    if isinstance(cell.value, int | float):
        return number(float(cell.value))
    if cell.low is not None and cell.high is not None:
        return number(cell.low, cell.high)
    return None


# --- formulas -----------------------------------------------------------------------------------


def _compute(thinking: Thinking, formulas: tuple[Formula, ...]) -> None:
    before = thinking.before
    for formula in formulas:
        if before and formula.id in before.left_out:
            for name in formula.outputs:
                thinking.forget(name)
                before.note(name, thinking.values[name])
            continue
        if before and (untouched := before.untouched(formula)):
            thinking.outcomes[formula.id] = untouched
            thinking.objects.update(untouched.made.objects if untouched.made else {})
            continue
        given = Given(thinking.case, thinking.values, thinking.objects, thinking.rulebook.knowledge)
        outcome = before.recall(formula, given) if before else None
        if outcome is None:
            outcome = run(formula, given)
            if before:
                before.keep(outcome)
        thinking.outcomes[formula.id] = outcome
        _learn_outcome(thinking, outcome)
        if before:
            for name in formula.outputs:
                before.note(name, thinking.values[name])


def _learn_outcome(thinking: Thinking, outcome: Outcome) -> None:
    formula, before = outcome.formula, thinking.before
    if before and (was := before.thinking.outcomes[formula.id].made):
        before.changed.update(was.objects)
    own = tuple(source.ref for source in formula.sources)
    inputs = tuple(sorted(outcome.read))
    if outcome.made is None:
        in_the_way = outcome.refused or (outcome.missing and f"{outcome.missing} is not known")
        for name in formula.outputs:
            kind = thinking.rulebook.vocabulary[name]
            thinking.learn(
                Fact(name, kind.open, "nothing", (formula.id,), inputs, (), in_the_way or "")
            )
        return
    made = outcome.made
    thinking.objects.update(made.objects)
    if before:
        before.changed.update(made.objects)
    sources = tuple(dict.fromkeys((*own, *made.sources)))
    for name in formula.outputs if before else ():
        if name not in made.values:
            thinking.forget(name)
    for name, value in made.values.items():
        if not thinking.rulebook.vocabulary[name].accepts(value):
            raise ValueError(f"formula {formula.id} made {value} for {name}")
        thinking.learn(Fact(name, value, "formula", (formula.id,), inputs, sources, made.working))


# --- rules --------------------------------------------------------------------------------------


def _reason(thinking: Thinking, stage: str, plan: _Plan) -> None:
    before = thinking.before
    if before:
        _reason_again(thinking, stage, plan.rejudges[stage])
    else:
        earlier = [claim for claims in thinking.claims.values() for claim in claims]
        reasoner = plan.reasoners[stage]
        work_out = reasoner.reason if thinking.reasoners.engine else reasoner.judge_alone
        thinking.findings[stage] = work_out(thinking.values, earlier)
    thinking.stage_claims[stage] = _stage_claims(thinking, stage, plan)
    for fact, claims in thinking.stage_claims[stage].items():
        thinking.claims[fact].extend(claims)
    for kind in plan.decisions[stage]:
        if before and kind.name not in before.claimed:
            continue
        _settle(thinking, kind.name)
        if before:
            before.note(kind.name, thinking.values[kind.name])


def _reason_again(thinking: Thinking, stage: str, rejudge: Rejudge) -> None:
    """Judge a stage again, and note the decisions on which claims are not what they were."""
    before = thinking.before
    assert before
    found = before.thinking.findings[stage]
    rejudged = rejudge.judge(thinking.values, found, before.changed, thinking.claims)
    thinking.findings[stage] = rejudged.findings
    before.turned[stage] = {rule.id: rule for rule in rejudged.changed}
    effects = (effect for rule in rejudged.changed for effect in rule.then)
    before.claimed.update(effect.claim[0] for effect in effects if effect.claim)


def _stage_claims(thinking: Thinking, stage: str, plan: _Plan) -> dict[str, list[Claim]]:
    """What the rules of a stage claim, by the decision they claim on."""
    before, findings = thinking.before, thinking.findings[stage]
    if before is None:
        by_fact: dict[str, list[Claim]] = defaultdict(list)
        for claim in claims_of(findings):
            by_fact[claim.fact].append(claim)
        return by_fact
    was = before.thinking.stage_claims[stage]
    if findings is before.thinking.findings[stage]:
        return was
    turned = before.turned[stage]
    anew: dict[str, list[Claim]] = defaultdict(list)
    for rule in turned.values():
        holds = findings.findings[rule.id].holds
        for effect in rule.then:
            if effect.claim:
                made = [Claim(rule, effect, holds.certain)] if holds.possible else []
                anew[effect.claim[0]] += made
    for fact, claims in anew.items():
        claims += [claim for claim in was.get(fact, ()) if claim.rule.id not in turned]
        claims.sort(key=lambda claim: plan.place[claim.rule.id])
    return {**was, **anew}


def _settle(thinking: Thinking, name: str) -> None:
    kind = thinking.rulebook.vocabulary[name]
    claims = thinking.claims[name]
    value = combine(kind, claims)
    thinking.learn(
        Fact(
            name,
            value,
            "rule" if claims or value.known else "nothing",
            by=tuple(dict.fromkeys(claim.rule.id for claim in claims)),
            inputs=_inputs_of(claims),
            sources=tuple(dict.fromkeys(ref.ref for claim in claims for ref in claim.rule.sources)),
        )
    )


def _inputs_of(claims: list[Claim]) -> tuple[str, ...]:
    names = (name for claim in claims for name in claim.rule.reads)
    return tuple(dict.fromkeys(names))


def applied(thinking: Thinking) -> Mapping[str, bool]:
    """Rules that fired, by id: True where certain, False where it cannot be told."""
    return {
        rule_id: found.holds.certain
        for findings in thinking.findings.values()
        for rule_id, found in findings.findings.items()
        if found.holds.possible
    }
