"""What a change would touch: of a rule, a fact, a formula, a table or one cell of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from advisor.advice.proofs.formula_reads import reads
from advisor.advice.proofs.promises import load_promises
from advisor.advice.proofs.readers import readers_of
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import Thinking, think
from advisor.case.yaml_text import read_yaml
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.cursor import nearest
from advisor.reasoning.rules import Rule

_REQUIRED = {"required_steps": "steps", "required_inspections": "inspections"}


@dataclass
class Impact:
    """Everything that one thing touches, in the order of the rule base.

    Attributes:
        id: what was asked about.
        kind: ``rule``, ``fact``, ``formula``, ``table`` or ``cell``.
        direct: what reads it, or what it says: readers by kind.
        rules: rules that it can turn, directly or through other facts.
        facts: facts that it can change.
        formulas: formulas whose result it can change.
        steps: steps that it can bring or take away.
        inspections: inspections that it can bring or take away.
        promises: promises that speak of one of these facts.
        scenarios: worked cases in which it is at work.
    """

    id: str
    kind: str
    direct: dict[str, list[str]] = field(default_factory=dict)
    rules: list[str] = field(default_factory=list)
    facts: list[str] = field(default_factory=list)
    formulas: list[str] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    inspections: list[str] = field(default_factory=list)
    promises: list[str] = field(default_factory=list)
    scenarios: list[str] = field(default_factory=list)


class UnknownThing(Exception):
    """Nothing in the rule base has that name."""

    def __init__(self, name: str, legal: Iterable[str]) -> None:
        self.name = name
        self.expected = nearest(name, legal)
        super().__init__(f"found {name!r}; expected {self.expected}")


def impact(book: Rulebook, name: str) -> Impact:
    """What a rule, fact, formula, table, or ``table.row.column`` touches.

    Raises:
        UnknownThing: nothing has that name.
    """
    return _Web(book).impact(name)


class _Web:
    def __init__(self, book: Rulebook) -> None:
        self._book = book
        self._formulas = {formula.id: formula for formula in FORMULAS}

    def impact(self, name: str) -> Impact:
        book = self._book
        if name in book.rule_by_id:
            return self._of_rule(book.rule_by_id[name])
        if name in self._formulas:
            return self._of_formula(name)
        if name in book.vocabulary or name in book.questionnaire.by_id:
            return self._of_fact(name)
        table, _, rest = name.partition(".")
        if table in book.knowledge.tables:
            return self._of_table(name, table, rest)
        legal = (*book.rule_by_id, *self._formulas, *book.vocabulary.kinds, *book.knowledge.tables)
        raise UnknownThing(name, legal)

    # --- what was asked about ---------------------------------------------------------------

    def _of_rule(self, rule: Rule) -> Impact:
        claims = [f"{fact}: {value}" for fact, value in _claims(rule)]
        read = sorted(facts_read(rule.when))
        found = Impact(rule.id, "rule", direct={"reads": read, "says": claims})
        self._onward(found, rules=[rule.id], facts=())
        found.rules.remove(rule.id)
        found.scenarios = [
            name for name, thinking in self._thought if thinking.truth_of(rule.id) != "false"
        ]
        return found

    def _of_formula(self, name: str) -> Impact:
        formula = self._formulas[name]
        read = sorted(reads(formula, self._names))
        found = Impact(name, "formula", direct={"reads": read, "makes": list(formula.outputs)})
        self._onward(found, rules=(), facts=formula.outputs)
        found.scenarios = [
            case for case, thinking in self._thought if thinking.outcomes[name].made is not None
        ]
        return found

    def _of_fact(self, name: str) -> Impact:
        found = Impact(name, "fact")
        for reader in self._readers.get(name, ()):
            found.direct.setdefault(reader.kind, []).append(reader.name)
        self._onward(found, rules=(), facts=(name,))
        found.scenarios = [
            case
            for case, thinking in self._thought
            if (name in thinking.values and thinking.values[name].known)
            or name in thinking.case.answers
        ]
        return found

    def _of_table(self, name: str, table: str, rest: str) -> Impact:
        row, column = self._place(table, rest)
        found = Impact(name, "cell" if column else "table")
        rules = [rule for rule, place in self._limits if _fits(place, table, row, column)]
        facts = [
            one.fact
            for one in self._book.declarations.look_ups
            if one.table == table and column in ("", one.column)
        ]
        wanted = {table, column} - {""}
        formulas = [f.id for f in FORMULAS if reads(f, wanted) >= wanted]
        found.direct = {"rule": rules, "fact": facts, "formula": formulas}
        made = [output for id_ in formulas for output in self._formulas[id_].outputs]
        self._onward(found, rules=rules, facts=(*facts, *made))
        found.formulas = [f.id for f in FORMULAS if f.id in {*formulas, *found.formulas}]
        found.scenarios = [
            case
            for case, thinking in self._thought
            if self._uses(thinking, (table, row, column), rules)
        ]
        return found

    def _place(self, table: str, rest: str) -> tuple[str, str]:
        """Row and column; the row may have dots in its name."""
        if not rest:
            return "", ""
        found = self._book.knowledge.tables[table]
        row, _, column = rest.rpartition(".")
        if row not in found.rows:
            raise UnknownThing(f"{table}.{rest}", (f"{table}.{each}.COLUMN" for each in found.rows))
        if column not in found.columns:
            legal = (f"{table}.{row}.{each}" for each in found.columns)
            raise UnknownThing(f"{table}.{rest}", legal)
        return row, column

    def _uses(self, thinking: Thinking, place: tuple[str, str, str], rules: Iterable[str]) -> bool:
        if any(thinking.truth_of(rule) != "false" for rule in rules):
            return True
        return any(
            _fits(fact.by, *place)
            for fact in thinking.facts.values()
            if fact.origin == "table" and len(fact.by) == 3
        )

    # --- onward -----------------------------------------------------------------------------

    def _onward(self, found: Impact, rules: Iterable[str], facts: Iterable[str]) -> None:
        """Follow rules to what they claim, and facts to whatever reads them, to the end."""
        seen_rules, seen_facts, seen_formulas = set(rules), set(facts), set[str]()
        waiting = [*facts, *(f for rule in rules for f in self._claimed(rule))]
        while waiting:
            name = waiting.pop()
            if name in seen_facts and name not in facts:
                continue
            seen_facts.add(name)
            for reader in self._readers.get(name, ()):
                if reader.kind == "rule" and reader.name not in seen_rules:
                    seen_rules.add(reader.name)
                    waiting += self._claimed(reader.name)
                elif reader.kind == "formula" and reader.name not in seen_formulas:
                    seen_formulas.add(reader.name)
                    waiting += self._formulas[reader.name].outputs
            waiting += [
                one.fact
                for one in self._book.declarations.look_ups
                if one.key == name and one.fact not in seen_facts
            ]
        self._list(found, seen_rules, seen_facts, seen_formulas)

    def _list(self, found: Impact, rules: set[str], facts: set[str], formulas: set[str]) -> None:
        book = self._book
        found.rules = [rule.id for rule in book.rules if rule.id in rules]
        found.facts = [name for name in book.vocabulary.kinds if name in facts - {found.id}]
        found.formulas = [id_ for id_ in self._formulas if id_ in formulas]
        for rule in book.rules:
            for effect in rule.then if rule.id in rules else ():
                if effect.claim and effect.claim[0] in _REQUIRED:
                    listed: list[str] = getattr(found, _REQUIRED[effect.claim[0]])
                    if effect.target not in listed:
                        listed.append(effect.target)
        told = facts | {found.id}
        found.promises = [
            promise.id for promise in load_promises(book) if facts_read(promise.breaks) & told
        ]

    def _claimed(self, rule_id: str) -> list[str]:
        """Facts that a rule claims, or whose ranking it sways."""
        effects = self._book.rule_by_id[rule_id].then
        claimed = [effect.claim[0] for effect in effects if effect.claim]
        if any(effect.kind in ("favour", "disfavour") for effect in effects):
            claimed += ["methods_left", "best_method"]
        return claimed

    # --- looked up once ---------------------------------------------------------------------

    @cached_property
    def _names(self) -> frozenset[str]:
        return frozenset((*self._book.vocabulary.kinds, *self._book.questionnaire.by_id))

    @cached_property
    def _readers(self) -> Mapping[str, Any]:
        return readers_of(self._book)

    @cached_property
    def _thought(self) -> list[tuple[str, Thinking]]:
        return [
            (name, think(case, self._book, judge_only=True))
            for name, case in scenario_cases(self._book)
        ]

    @cached_property
    def _limits(self) -> list[tuple[str, tuple[str, str, str]]]:
        """Rules that take a limit from a table, each with the cell."""
        found = []
        for path in sorted((self._book.folder / "rules").glob("[0-9]*.yaml")):
            for rule in read_yaml(path).data["rules"]:
                found += [(rule["id"], place) for place in _cells(rule["when"])]
        return found


def _claims(rule: Rule) -> Iterator[tuple[str, str | float]]:
    for effect in rule.then:
        if effect.claim:
            yield effect.claim
        elif effect.target:
            yield effect.kind, f"{effect.target} by {effect.weight}"


def _cells(written: object) -> Iterator[tuple[str, str, str]]:
    """Every table cell that a condition names, as it stands in its file."""
    if isinstance(written, dict):
        if {"table", "row", "column"} == written.keys():
            yield written["table"], written["row"], written["column"]
        for value in written.values():
            yield from _cells(value)
    elif isinstance(written, list):
        for value in written:
            yield from _cells(value)


def _fits(place: tuple[str, ...], table: str, row: str, column: str) -> bool:
    return place[0] == table and row in ("", place[1]) and column in ("", place[2])
