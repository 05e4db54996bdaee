"""What stands in the rule base although a proof would report it, each with its reason."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.advice.rulebook import Rulebook
from advisor.case.yaml_text import read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.cursor import Cursor

FILE = "explained.yaml"


@dataclass(frozen=True)
class Explained:
    """Reasons by what they explain.

    Attributes:
        choices: by question and choice, why nothing names the choice.
        rules: by rule and the rule that always accompanies it, why it is kept.
        facts: by fact, why it is made although nothing reads it.
        blanks: by step or inspection and a fact in its text, why the fact may be unknown there.
    """

    choices: Mapping[tuple[str, str], str]
    rules: Mapping[tuple[str, str], str]
    facts: Mapping[str, str]
    blanks: Mapping[tuple[str, str], str]


def load_explained(book: Rulebook) -> Explained:
    """Read ``rules/explained.yaml``.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    path = book.folder / "rules" / FILE
    top = Cursor.top(read_yaml(path)).mapping(("choices", "rules", "facts", "blanks"), ("about",))
    return Explained(
        choices=dict(pair for item in top["choices"].items() for pair in _choices(item, book)),
        rules=dict(pair for item in top["rules"].items() for pair in _rules(item, book)),
        facts=dict(_fact(item, book) for item in top["facts"].items()),
        blanks=dict(_blank(item, book) for item in top["blanks"].items()),
    )


def _choices(cursor: Cursor, book: Rulebook) -> list[tuple[tuple[str, str], str]]:
    entries = cursor.mapping(("question", "choices", "because"))
    question = book.questionnaire.by_id[
        entries["question"].choice(book.questionnaire.by_id, "question")
    ]
    legal = question.choice_ids or ("yes", "no")
    because = entries["because"].text()
    return [
        ((question.id, item.choice(legal, "choice")), because)
        for item in entries["choices"].items()
    ]


def _rules(cursor: Cursor, book: Rulebook) -> list[tuple[tuple[str, str], str]]:
    entries = cursor.mapping(("rule", "by", "because"))
    rule = entries["rule"].choice(book.rule_by_id, "rule")
    because = entries["because"].text()
    return [
        ((rule, item.choice(book.rule_by_id, "rule")), because) for item in entries["by"].items()
    ]


def _fact(cursor: Cursor, book: Rulebook) -> tuple[str, str]:
    entries = cursor.mapping(("fact", "because"))
    return entries["fact"].choice(book.vocabulary.kinds, "fact"), entries["because"].text()


def _blank(cursor: Cursor, book: Rulebook) -> tuple[tuple[str, str], str]:
    entries = cursor.mapping(("in", "fact", "because"))
    where = entries["in"].choice((*book.steps, *book.inspections), "step or inspection")
    fact = entries["fact"].choice(book.vocabulary.kinds, "fact")
    return (where, fact), entries["because"].text()
