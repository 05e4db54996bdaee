"""The one pipeline: answers become facts, formulas and rules turn facts into more facts.

Read from top to bottom, this is how the program thinks. Every fact keeps where it came from, so
that explaining is reading back.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from advisor.advice.formulas import Given, Outcome, run
from advisor.advice.hole_plan import check_threads
from advisor.advice.ranking import Ranking, rank
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.case.model import UNKNOWN, Case
from advisor.case.quantities import Measure
from advisor.reasoning import engine as durable
from advisor.reasoning.agreement import Reasoners, StageReasoner
from advisor.reasoning.claims import Claim, combine
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.facts_file import TableLookUp
from advisor.reasoning.judge import StageFindings, claims_of
from advisor.reasoning.tables import Cell
from advisor.reasoning.values import Members, Value, Word, members, number, word

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
    outcomes: dict[str, Outcome] = field(default_factory=dict)

    def learn(self, fact: Fact) -> None:
        """Keep a fact; a stage never changes an earlier one."""
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


def think(case: Case, rulebook: Rulebook, *, judge_only: bool = False) -> Thinking:
    """Think a case through, stage by stage.

    Args:
        case: the answers.
        rulebook: rules and knowledge.
        judge_only: leave the engine out; for trying "what if", never for an advice.

    Raises:
        InputProblem: a thread or bolt class that cannot be read.
        ReasonersDisagree, EngineFault, RulesDisagree: no advice may be given.
    """
    check_threads(case)
    use_engine = durable.AVAILABLE and not judge_only
    thinking = Thinking(case, rulebook, Reasoners(engine=use_engine))
    for kind in rulebook.vocabulary.kinds.values():
        thinking.learn(Fact(kind.name, kind.open, "nothing"))
    _take_answers(thinking)
    for stage, reasoner in zip(STAGES, _reasoners(rulebook), strict=True):
        _look_up(thinking, stage)
        _compute(thinking, stage, late=False)
        _reason(thinking, stage, reasoner, judge_only=judge_only)
        if stage == "method":
            thinking.objects["ranking"] = rank_methods(thinking)
        _compute(thinking, stage, late=True)
    return thinking


def rank_methods(thinking: Thinking) -> Ranking:
    """Rank the methods by what the stages up to now found."""
    return rank(
        thinking.rulebook.knowledge.tables["methods"].rows,
        thinking.members("methods_allowed"),
        thinking.members("methods_ruled_out"),
        (found for stage in thinking.findings.values() for found in stage.findings.values()),
    )


_REASONERS: dict[str, tuple[StageReasoner, ...]] = {}


def _reasoners(rulebook: Rulebook) -> tuple[StageReasoner, ...]:
    """One reasoner a stage, built once a process: the engine never frees a compiled rule base."""
    key = f"{rulebook.folder}{rulebook.digest}{id(rulebook)}"
    if key not in _REASONERS:
        _REASONERS[key] = tuple(
            StageReasoner(rulebook.of_stage(stage), rulebook.vocabulary, index)
            for index, stage in enumerate(STAGES)
        )
    return _REASONERS[key]


# --- answers ------------------------------------------------------------------------------------


def _take_answers(thinking: Thinking) -> None:
    kinds = thinking.rulebook.vocabulary.kinds
    for name, answer in thinking.case.answers.items():
        if name not in kinds or answer.value is UNKNOWN:
            continue
        value = answer_value(answer.value)
        if value is not None:
            thinking.learn(Fact(name, value, "answer"))


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


def _look_up(thinking: Thinking, stage: str) -> None:
    vocabulary = thinking.rulebook.vocabulary
    index = vocabulary.stage_index(stage)
    for look_up in thinking.rulebook.declarations.look_ups:
        if vocabulary[look_up.fact].stage == index:
            _read_cell(thinking, look_up)


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


def _compute(thinking: Thinking, stage: str, *, late: bool) -> None:
    for formula in FORMULAS.of_stage(stage, late=late):
        given = Given(thinking.case, thinking.values, thinking.objects, thinking.rulebook.knowledge)
        outcome = run(formula, given)
        thinking.outcomes[formula.id] = outcome
        _learn_outcome(thinking, outcome)


def _learn_outcome(thinking: Thinking, outcome: Outcome) -> None:
    formula = outcome.formula
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
    sources = tuple(dict.fromkeys((*own, *made.sources)))
    for name, value in made.values.items():
        if not thinking.rulebook.vocabulary[name].accepts(value):
            raise ValueError(f"formula {formula.id} made {value} for {name}")
        thinking.learn(Fact(name, value, "formula", (formula.id,), inputs, sources, made.working))


# --- rules --------------------------------------------------------------------------------------


def _reason(thinking: Thinking, stage: str, reasoner: StageReasoner, *, judge_only: bool) -> None:
    earlier = [claim for claims in thinking.claims.values() for claim in claims]
    work_out = reasoner.judge_alone if judge_only else reasoner.reason
    findings = work_out(thinking.values, earlier)
    thinking.findings[stage] = findings
    for claim in claims_of(findings):
        thinking.claims[claim.fact].append(claim)
    vocabulary = thinking.rulebook.vocabulary
    for kind in vocabulary.kinds.values():
        if kind.combine and kind.stage == vocabulary.stage_index(stage):
            _settle(thinking, kind.name)


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
    names = (name for claim in claims for name in sorted(facts_read(claim.rule.when)))
    return tuple(dict.fromkeys(names))


def applied(thinking: Thinking) -> Mapping[str, bool]:
    """Rules that fired, by id: True where certain, False where it cannot be told."""
    return {
        rule_id: found.holds.certain
        for findings in thinking.findings.values()
        for rule_id, found in findings.findings.items()
        if found.holds.possible
    }
