"""Who reads what: rules, formulas, look-ups, questions, texts and the advice itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from advisor.advice import advise, explain, procedure, sizes
from advisor.advice.proofs.formula_reads import module_reads, reads
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import Rulebook
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import Test, facts_read, leaves
from advisor.reasoning.rules import PLACEHOLDER

ADVICE = (advise, explain, procedure, sizes)
"""Modules that read facts off for the advice."""


@dataclass(frozen=True)
class Reader:
    """Something that reads a fact: ``rule``, ``formula``, ``table``, ``question``, ``text``,
    ``advice``, and its name."""

    kind: str
    name: str


def readers_of(book: Rulebook) -> Mapping[str, tuple[Reader, ...]]:
    """By fact or answer, everything that reads it."""
    found: dict[str, dict[Reader, None]] = defaultdict(dict)
    for name, reader in _all(book):
        found[name][reader] = None
    return {name: tuple(readers) for name, readers in found.items()}


def _all(book: Rulebook) -> Iterator[tuple[str, Reader]]:
    names = book.vocabulary.kinds.keys() | book.questionnaire.by_id.keys()
    for rule in book.rules:
        for name in facts_read(rule.when):
            yield name, Reader("rule", rule.id)
        for effect in rule.then:
            for name in PLACEHOLDER.findall(effect.text):
                yield name, Reader("text", rule.id)
    for formula in FORMULAS:
        for name in reads(formula, names):
            yield name, Reader("formula", formula.id)
    for look_up in book.declarations.look_ups:
        yield look_up.key, Reader("table", f"{look_up.table}.{look_up.column}")
    for question, condition in book.asked_when.items():
        for name in facts_read(condition):
            yield name, Reader("question", question)
    for step in book.steps.values():
        for name in PLACEHOLDER.findall(step.do):
            yield name, Reader("text", step.id)
    for one in book.inspections.values():
        for name in PLACEHOLDER.findall(f"{one.what} {one.acceptance}"):
            yield name, Reader("text", one.id)
    for module in ADVICE:
        for name in module_reads(module, names):
            yield name, Reader("advice", module.__name__.rpartition(".")[2])


def unread_questions(book: Rulebook) -> tuple[str, ...]:
    """Questions whose answer nothing reads."""
    read = readers_of(book)
    return tuple(question.id for question in book.questionnaire if question.id not in read)


def unread_facts(book: Rulebook) -> tuple[str, ...]:
    """Derived facts that nothing reads."""
    read = readers_of(book)
    return tuple(kind.name for kind in book.declarations.kinds if kind.name not in read)


def unnamed_choices(book: Rulebook) -> tuple[tuple[str, str], ...]:
    """Choices of questions that no rule, table, formula or question names."""
    named = _named(book)
    return tuple(
        (question.id, word)
        for question in book.questionnaire
        for word in (("yes", "no") if question.type == "yes_no" else question.choice_ids)
        if (question.id, word) not in named
    )


def _named(book: Rulebook) -> frozenset[tuple[str, str]]:
    """Fact and word, for every word that something names."""
    conditions = [rule.when for rule in book.rules]
    conditions += [formula.when for formula in FORMULAS]
    conditions += book.asked_when.values()
    found = {
        (leaf.fact, word)
        for condition in conditions
        for leaf in leaves(condition)
        if isinstance(leaf, Test)
        for word in leaf.words
    }
    for look_up in book.declarations.look_ups:
        rows = book.knowledge.tables[look_up.table].rows
        found |= {(look_up.key, row) for row, cells in rows.items() if look_up.column in cells}
    answers = {question.id: set(question.choice_ids) for question in book.questionnaire}
    for formula in FORMULAS:
        read = reads(formula, answers) & answers.keys()
        words = reads(formula, {word for name in read for word in answers[name]})
        found |= {(name, word) for name in read for word in words & answers[name]}
    return frozenset(found)
