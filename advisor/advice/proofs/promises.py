"""The promises of the rule base: sentences that the trade would sign, each with its condition."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from advisor.advice.rulebook import STAGES, Rulebook, rule_context
from advisor.case.yaml_text import read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import ALWAYS, Condition, Not
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.rules import MARKS, RuleContext, SourceRef, parse_when

FILE = "promises.yaml"

Kind = Literal["never", "never_certainly", "order"]


@dataclass(frozen=True)
class Promise:
    """One promise.

    Attributes:
        id: its name.
        says: the sentence.
        kind: ``never`` (not even possibly), ``never_certainly``, or ``order`` of steps.
        breaks: the condition of a case that would break it.
        first: for ``order``, the steps that come first.
        then: for ``order``, the steps that come after all of those.
        sources: where it comes from.
    """

    id: str
    says: str
    kind: Kind
    breaks: Condition
    sources: tuple[SourceRef, ...]
    first: tuple[str, ...] = ()
    then: tuple[str, ...] = ()


def load_promises(book: Rulebook) -> tuple[Promise, ...]:
    """Read ``rules/promises.yaml``.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    path = book.folder / "rules" / FILE
    top = Cursor.top(read_yaml(path)).mapping(("promises",), ("about",))
    context = _context(book)
    found: dict[str, Promise] = {}
    for cursor in top["promises"].items():
        promise = _promise(cursor, context, book)
        if promise.id in found:
            cursor.fail(f"promise {promise.id} again", "a new id")
        found[promise.id] = promise
    return tuple(found.values())


def _context(book: Rulebook) -> RuleContext:
    kinds: Mapping[str, tuple[str, ...]] = {
        "methods": (),
        "steps": tuple(book.steps),
        "inspections": tuple(book.inspections),
        "approvals": (),
    }
    return rule_context(book.vocabulary, book.knowledge, kinds, book.questionnaire)


_KINDS = ("never", "never_certainly", "always", "order")


def _promise(cursor: Cursor, context: RuleContext, book: Rulebook) -> Promise:
    entries = cursor.mapping(("id", "says", "source"), _KINDS)
    kinds = [kind for kind in _KINDS if kind in entries]
    if len(kinds) != 1:
        cursor.fail(f"{len(kinds)} kinds of promise", "one of " + ", ".join(_KINDS))
    sources = tuple(_source(item, context) for item in entries["source"].items())
    name, says, what = entries["id"].text(), entries["says"].text(), entries[kinds[0]]
    if kinds[0] == "order":
        first, then = _order(what, book)
        return Promise(name, says, "order", ALWAYS, sources, first, then)
    breaks = parse_when(what, context, len(STAGES))
    if kinds[0] == "always":
        return Promise(name, says, "never", Not(breaks), sources)
    return Promise(name, says, kinds[0], breaks, sources)  # type: ignore[arg-type]


def _source(cursor: Cursor, context: RuleContext) -> SourceRef:
    entries = cursor.mapping(("ref", "seen"), ("clause",))
    return SourceRef(
        ref=entries["ref"].choice(context.source_ids, "source"),
        clause=entries["clause"].text() if "clause" in entries else "",
        seen=entries["seen"].choice(MARKS, "mark"),  # type: ignore[arg-type]
    )


def _order(cursor: Cursor, book: Rulebook) -> tuple[tuple[str, ...], tuple[str, ...]]:
    entries = cursor.mapping(("first", "then"))
    first, then = (
        tuple(item.choice(book.steps, "step") for item in entries[key].items())
        for key in ("first", "then")
    )
    if not first or not then:
        cursor.fail("an empty list of steps", "steps that come first, and steps after them")
    return first, then


def out_of_order(promise: Promise, book: Rulebook) -> tuple[str, str] | None:
    """Two steps of a procedure that stand the wrong way round, or None."""
    last = max(promise.first, key=lambda step: book.steps[step].order)
    early = min(promise.then, key=lambda step: book.steps[step].order)
    if book.steps[last].order < book.steps[early].order:
        return None
    return last, early
