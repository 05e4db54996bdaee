"""The rule base's own proofs: rules in pairs, who reads what, whole chains, and the promises.

The first two kinds are plain Python. Whole chains, over every possible combination of answers,
unknown and ranged ones included, go to a solver; numbers that formulas make are free within what
is known of the formula, so what is proved holds, and what is not proved comes with a case.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from advisor.advice.proofs.chain_proofs import Chains
from advisor.advice.proofs.explained import Explained, load_explained
from advisor.advice.proofs.proof import Fault, Proof, Task
from advisor.advice.proofs.proof_setting import table_gaps
from advisor.advice.proofs.readers import unnamed_choices, unread_facts, unread_questions
from advisor.advice.rulebook import Rulebook
from advisor.reasoning.boxes import Pairs
from advisor.reasoning.prover.solve import DEFAULT_TIMEOUT

GROUPS = ("pairs", "reading", "chain", "promise")
"""Kinds of proof, the quick ones first."""


def prove(
    book: Rulebook,
    *,
    only: Collection[str] = (),
    timeout: float = DEFAULT_TIMEOUT,
    tell: Callable[[Proof], None] = lambda _: None,
) -> list[Proof]:
    """Make all proofs, or those of some groups or names.

    Args:
        book: rules and knowledge.
        only: groups or ids; all of them if empty.
        timeout: seconds for one question to the solver.
        tell: told of each proof as it is made.

    Raises:
        ProverMissing: whole chains are wanted and the solver is not installed.
        KnowledgeProblem: the file of promises cannot be used.
    """
    made = []
    for task in tasks(book, timeout):
        if not only or task.id in only or task.group in only:
            proof = task.prove()
            tell(proof)
            made.append(proof)
    return made


def tasks(book: Rulebook, timeout: float = DEFAULT_TIMEOUT) -> list[Task]:
    """Every proof of a rule base, the quick ones first."""
    explained = load_explained(book)
    chains = Chains(book, explained, timeout)
    return [*_pairs(book), *_reading(book, explained), *chains.tasks(), *chains.promises()]


# --- rules in pairs, tables, readers ------------------------------------------------------------


def _pairs(book: Rulebook) -> Iterator[Task]:
    pairs = Pairs(book.rules, book.vocabulary)
    for id_, says, found in (
        ("no-contradiction", "no condition contradicts itself", pairs.unreachable),
        ("no-duplicate", "no rule stands in the rule base twice", pairs.duplicates),
        ("no-swallowed-pair", "no rule says only what another says as often", pairs.swallowed),
        ("no-overlap", "no two rules settle one decision differently at once", pairs.overlaps),
    ):
        yield Task(id_, "pairs", says, lambda found=found: (Fault(f.says) for f in found()))  # type: ignore[misc]
    yield Task(
        "tables-complete", "pairs", "every choice of a key has its row in the table",
        lambda: (
            Fault(f"table {table} has no row for {', '.join(rows)}")
            for table, rows in table_gaps(book).items()
        ),
    )  # fmt: skip


def _reading(book: Rulebook, explained: Explained) -> Iterator[Task]:
    yield Task(
        "questions-read", "reading", "every question can change something",
        lambda: (Fault(f"nothing reads {name}") for name in unread_questions(book)),
    )  # fmt: skip
    yield Task(
        "choices-named", "reading", "every choice is named by something, or explained",
        lambda: (
            Fault(f"nothing names {name}: {word}")
            for name, word in unnamed_choices(book)
            if (name, word) not in explained.choices
        ),
    )  # fmt: skip
    yield Task(
        "facts-read", "reading", "no fact is made that nothing reads, or it is explained",
        lambda: (
            Fault(f"nothing reads {name}")
            for name in unread_facts(book)
            if name not in explained.facts
        ),
    )  # fmt: skip
    yield Task(
        "explained-still-so", "reading", "whatever is explained still needs it",
        lambda: _stale(book, explained),
    )  # fmt: skip


def _stale(book: Rulebook, explained: Explained) -> Iterator[Fault]:
    for name, word in explained.choices.keys() - set(unnamed_choices(book)):
        yield Fault(f"{name}: {word} is explained, and named by something")
    for name in explained.facts.keys() - set(unread_facts(book)):
        yield Fault(f"{name} is explained, and read by something")
