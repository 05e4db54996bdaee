"""Rules: a few lines of data that a technician can read and question.

A rule has an id, a stage, a condition (``when``), effects (``then``), one or two plain sentences
on the mechanism (``because``) and its sources. There is no code in a rule.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from pathlib import Path
from typing import Literal

from advisor.case.quantities import QuantityError, parse_measure
from advisor.case.yaml_text import read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import (
    ALWAYS,
    COMPARISONS,
    All,
    Any,
    Condition,
    Known,
    Not,
    Operator,
    Test,
    TooManyCombinations,
    alternatives,
    leaves,
    one_member_a_test,
)
from advisor.reasoning.cursor import Cursor, KnowledgeProblem, kind_of, nearest
from advisor.reasoning.values import LARGEST, comparable
from advisor.reasoning.vocabulary import FactKind, Vocabulary

Mark = Literal["read", "read2", "memory", "practice", "computed"]
MARKS: tuple[Mark, ...] = ("read", "read2", "memory", "practice", "computed")

EffectKind = Literal[
    "settle",
    "assume",
    "rule_out",
    "allow",
    "favour",
    "disfavour",
    "require_step",
    "require_inspection",
    "require_approval",
    "warn",
]

COLLECTED_IN: Mapping[str, str] = {
    "rule_out": "methods_ruled_out",
    "allow": "methods_allowed",
    "require_step": "required_steps",
    "require_inspection": "required_inspections",
    "require_approval": "required_approvals",
}
"""The set fact in which each collecting effect leaves its mark."""

PROTECTIVE: frozenset[str] = frozenset(
    {"rule_out", "require_step", "require_inspection", "require_approval", "warn"}
)
"""Effects that hold already while their condition is merely possible."""


@dataclass(frozen=True)
class SourceRef:
    """Where a rule comes from: a key of the source list, the clause, and how it was seen."""

    ref: str
    clause: str = ""
    seen: Mark = "practice"


@dataclass(frozen=True)
class Effect:
    """One thing that a rule does.

    Attributes:
        kind: what is done.
        target: the decision, method, step, inspection or approval it is done to.
        word: the value, for words.
        number: the value in the canonical unit, for numbers.
        weight: for ``favour`` and ``disfavour``, 1 (a nod) to 5 (nearly decides).
        text: for ``warn``, what to beware of.
        question: for ``assume``, the question that would settle it.
    """

    kind: EffectKind
    target: str = ""
    word: str = ""
    number: float | None = None
    weight: int = 0
    text: str = ""
    question: str = ""

    @functools.cached_property
    def claim(self) -> tuple[str, str | float] | None:
        """The fact and value that this effect claims, if it claims one."""
        if self.kind in ("settle", "assume"):
            return (self.target, self.word if self.number is None else self.number)
        if self.kind in COLLECTED_IN:
            return (COLLECTED_IN[self.kind], self.target)
        return None


@dataclass(frozen=True)
class Rule:
    """One rule of the rule base.

    What a rule that is ``only_at_work`` warns of concerns a repair that goes ahead; while none
    does, it is not said.
    """

    id: str
    subject: str
    stage: int
    title: str
    when: Condition
    then: tuple[Effect, ...]
    because: str
    sources: tuple[SourceRef, ...]
    caution: str = ""
    authority: str = ""
    not_for: str = ""
    only_at_work: bool = False
    file: str = ""
    line: int = 0

    @functools.cached_property
    def reads(self) -> tuple[str, ...]:
        """Names of the facts that the condition reads, in order."""
        return tuple(sorted({leaf.fact for leaf in leaves(self.when)}))

    @property
    def marks(self) -> tuple[str, ...]:
        """How well the sources were seen, in the order of the sources."""
        return tuple(dict.fromkeys(source.seen for source in self.sources))


@dataclass(frozen=True)
class TableLimit:
    """A limit that stands in a knowledge table."""

    number: float
    unit: str
    sources: tuple[str, ...]


LookUp = Callable[[str, str, str], TableLimit | str]
"""Reads a limit from a knowledge table: (table, row, column) to the limit, or what is wrong."""

PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")
"""A fact's value inside a text for people."""


@dataclass(frozen=True)
class RuleContext:
    """What rules may refer to.

    Attributes:
        vocabulary: the facts.
        targets: legal targets of the effects that do not settle a decision, by effect kind.
        source_ids: keys of the source list.
        questions: ids of questions, for ``assume``.
        look_up: reads limits from knowledge tables.
    """

    vocabulary: Vocabulary
    targets: Mapping[str, tuple[str, ...]]
    source_ids: frozenset[str]
    questions: frozenset[str]
    look_up: LookUp


def load_rules(files: Iterable[Path], context: RuleContext) -> tuple[Rule, ...]:
    """Read and validate rule files in the given order.

    Raises:
        KnowledgeProblem: with file, line and what would be right, for the first fault.
    """
    rules: dict[str, Rule] = {}
    for file in files:
        document = read_yaml(file)
        for rule in parse_rule_file(Cursor.top(document), context):
            if rule.id in rules:
                first = rules[rule.id]
                raise KnowledgeProblem(
                    f"rule id {rule.id} again",
                    f"a new id; {first.file}:{first.line} has this one",
                    file=rule.file,
                    line=rule.line,
                )
            rules[rule.id] = rule
    return tuple(rules.values())


def parse_rule_file(top: Cursor, context: RuleContext) -> list[Rule]:
    """Read one rule file."""
    entries = top.mapping(required=("subject", "rules"), optional=("about",))
    subject = entries["subject"].text()
    return [parse_rule(cursor, subject, context) for cursor in entries["rules"].some_items()]


_REQUIRED = ("id", "stage", "title", "when", "then", "because", "source")
_OPTIONAL = ("caution", "authority", "not_for", "checked", "only_at_work")
_RULE_ID = re.compile("[a-z0-9-]+[.][a-z0-9-]+")


def parse_rule(cursor: Cursor, subject: str, context: RuleContext) -> Rule:
    """Read one rule.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    entries = cursor.mapping(_REQUIRED, _OPTIONAL)
    rule_id = _parse_id(entries["id"])
    vocabulary = context.vocabulary
    stage = vocabulary.stage_index(entries["stage"].choice(vocabulary.stages, "stage"))
    when = parse_when(entries["when"], context, stage)
    _check_alternatives(entries["when"], when, vocabulary, stage)
    optional = {key: entries[key].text() for key in _OPTIONAL if key in entries}
    if "caution" in entries:
        check_placeholders(entries["caution"], vocabulary.kinds)
    return Rule(
        id=rule_id,
        subject=subject,
        stage=stage,
        title=entries["title"].text(),
        when=when,
        then=tuple(_parse_effect(item, context, stage) for item in entries["then"].some_items()),
        because=entries["because"].text(),
        sources=tuple(_parse_source(item, context) for item in entries["source"].some_items()),
        caution=optional.get("caution", ""),
        authority=optional.get("authority", ""),
        not_for=optional.get("not_for", ""),
        only_at_work="only_at_work" in entries
        and entries["only_at_work"].choice(("yes", "no"), "answer") == "yes",
        file=cursor.document.path,
        line=cursor.line or 0,
    )


def _parse_id(cursor: Cursor) -> str:
    text = cursor.text()
    if not _RULE_ID.fullmatch(text):
        cursor.fail(f"id {text!r}", "subject.gist in lower case with hyphens, like braze.too-hot")
    return text


def _parse_source(cursor: Cursor, context: RuleContext) -> SourceRef:
    entries = cursor.mapping(required=("ref", "seen"), optional=("clause",))
    return SourceRef(
        ref=entries["ref"].choice(context.source_ids, "source"),
        clause=entries["clause"].text() if "clause" in entries else "",
        seen=entries["seen"].choice(MARKS, "mark"),  # type: ignore[arg-type]
    )


# --- conditions -------------------------------------------------------------------------------


def parse_when(cursor: Cursor, context: RuleContext, stage: int) -> Condition:
    """Read a condition that rules of a stage may state."""
    if cursor.value == "always":
        return ALWAYS
    if not isinstance(cursor.value, dict):
        cursor.fail(kind_of(cursor.value), "always, or fact with one comparison, all, any or not")
    return _parse_condition(cursor, context, stage, negated=False)


def _parse_condition(
    cursor: Cursor, context: RuleContext, stage: int, *, negated: bool
) -> Condition:
    entries = cursor.entries()
    if "fact" in entries:
        return _parse_test(cursor, context, stage, negated=negated)
    if len(entries) != 1 or next(iter(entries)) not in ("all", "any", "not"):
        found = ", ".join(entries) or "nothing"
        cursor.fail(f"a condition with {found}", "fact with one comparison, or all, any or not")
    (word, inner), *_ = entries.items()
    if word == "not":
        return Not(_parse_condition(inner, context, stage, negated=not negated))
    parts = tuple(
        _parse_condition(item, context, stage, negated=negated) for item in inner.some_items()
    )
    return All(parts) if word == "all" else Any(parts)


_WORD_OPS = ("is", "one_of", "includes")


def _parse_test(cursor: Cursor, context: RuleContext, stage: int, *, negated: bool) -> Condition:
    entries = cursor.mapping(("fact",), (*_WORD_OPS, *COMPARISONS, "known"))
    ops = [key for key in entries if key != "fact"]
    if len(ops) != 1:
        cursor.fail(f"{len(ops)} comparisons", "just one of is, one_of, includes, at_least, …")
    kind = _readable(entries["fact"], context, stage, negated=negated or ops[0] == "known")
    operand = entries[ops[0]]
    if ops[0] == "known":
        return Known(kind.name, operand.yes_no())
    if ops[0] in _WORD_OPS:
        return _word_test(operand, kind, ops[0])
    return _number_test(operand, kind, ops[0], context)


def _readable(cursor: Cursor, context: RuleContext, stage: int, *, negated: bool) -> FactKind:
    vocabulary = context.vocabulary
    kind = vocabulary[cursor.choice(vocabulary.kinds, "fact")]
    if kind.stage > stage or (kind.stage == stage and kind.late):
        cursor.fail(
            f"fact {kind.name}, made in stage {vocabulary.stages[kind.stage]}",
            f"a fact known before the rules of stage {vocabulary.stages[stage]}",
        )
    if kind.stage == stage and kind.combine:
        if negated:
            cursor.fail(
                f"a negation of {kind.name}, which this very stage decides",
                "a positive test, or the rule in a later stage",
            )
        if kind.combine not in ("single", "collect") or kind.type == "number":
            cursor.fail(
                f"{kind.name}, which is settled only when this stage ends",
                "the rule in a later stage",
            )
    return kind


def _word_test(cursor: Cursor, kind: FactKind, op: str) -> Test:
    fits = {"is": "word", "one_of": "word", "includes": "members"}[op]
    if kind.type != fits:
        right = {"word": "is or one_of", "members": "includes", "number": "at_least, below, …"}
        cursor.fail(f"{op} on {kind.name}", f"{right[kind.type]} for this fact")
    listed = op == "one_of" or isinstance(cursor.value, list)
    cursors = cursor.some_items() if listed and op != "is" else [cursor]
    words = frozenset(item.choice(kind.choices, f"choice of {kind.name}") for item in cursors)
    return Test(kind.name, op, words=words)  # type: ignore[arg-type]


def _number_test(cursor: Cursor, kind: FactKind, op: str, context: RuleContext) -> Test:
    if kind.type != "number":
        cursor.fail(f"{op} on {kind.name}", "is, one_of or includes: this fact is a word")
    operator: Operator = op  # type: ignore[assignment]
    if isinstance(cursor.value, dict):
        place = cursor.mapping(("table", "row", "column"))
        name, row, column = (place[key].text() for key in ("table", "row", "column"))
        found = context.look_up(name, row, column)
        if isinstance(found, str):
            cursor.fail(found, "a numeric cell of a knowledge table")
        if found.unit != kind.unit:
            cursor.fail(
                f"cell {column} of {row} in {name}, which is in {found.unit}",
                f"a cell in {kind.unit}, as {kind.name} is",
            )
        _check_comparable(cursor, found.number, kind)
        written = f"{found.number:g} {kind.unit}".strip()
        return Test(kind.name, operator, limit=found.number, source=found.sources, written=written)
    limit = _parse_limit(cursor, kind)
    _check_comparable(cursor, limit, kind)
    return Test(kind.name, operator, limit=limit, written=cursor.text())


def _check_comparable(cursor: Cursor, limit: float, kind: FactKind) -> None:
    if abs(limit) > LARGEST:
        cursor.fail(f"the limit {limit:g} {kind.unit}", f"{LARGEST:g} {kind.unit} at most")
    if comparable(limit) != limit:
        cursor.fail(f"the limit {limit:.15g} {kind.unit}", "at most four decimals in this unit")


def _parse_limit(cursor: Cursor, kind: FactKind) -> float:
    text = cursor.text()
    try:
        measure = parse_measure(text, kind.dimension)
    except QuantityError as problem:
        cursor.fail(f"{text!r} for {kind.name}", problem.expected)
    if measure.low != measure.high:
        cursor.fail(f"a range {text!r}", "one limit")
    return measure.low


def _check_alternatives(
    cursor: Cursor, when: Condition, vocabulary: Vocabulary, stage: int
) -> None:
    try:
        alternatives(when)
        single = one_member_a_test(when, vocabulary.sets_in(stage))
        unfolded = alternatives(single, MOST_ALTERNATIVES)
    except TooManyCombinations as problem:
        cursor.fail(f"a condition that {problem}", "two or more simpler rules")
    longest = max((len(literals) for literals in unfolded), default=0)
    if longest > LONGEST_ALTERNATIVE:
        cursor.fail(
            f"{longest} tests that must hold together",
            f"at most {LONGEST_ALTERNATIVE}; derive a fact first",
        )


LONGEST_ALTERNATIVE = 12
"""Tests that must hold together in one alternative of a condition."""

MOST_ALTERNATIVES = 128
"""Alternatives of a condition in which every test for members looks for one of them."""


# --- effects ----------------------------------------------------------------------------------


def _parse_effect(cursor: Cursor, context: RuleContext, stage: int) -> Effect:
    entries = cursor.entries()
    if len(entries) != 1:
        cursor.fail(f"an effect with {', '.join(entries) or 'nothing'}", "one effect an entry")
    (word, inner), *_ = entries.items()
    if word == "settle":
        return _parse_settle(inner, context, stage)
    if word == "assume":
        return _parse_assume(inner, context, stage)
    if word == "warn":
        check_placeholders(inner, context.vocabulary.kinds)
        return Effect("warn", text=inner.text())
    if word in ("favour", "disfavour"):
        parts = inner.mapping(("method", "weight"))
        target = parts["method"].choice(context.targets[word], "method")
        weight = parts["weight"].whole_number(1, 5)
        _check_in_time(inner, context, stage, COLLECTED_IN["allow"], word)
        return Effect(word, target=target, weight=weight)  # type: ignore[arg-type]
    if word in COLLECTED_IN:
        what = "method" if word in ("rule_out", "allow") else word.removeprefix("require_")
        target = inner.choice(context.targets[word], what)
        _check_in_time(inner, context, stage, COLLECTED_IN[word], word)
        return Effect(word, target=target)  # type: ignore[arg-type]
    legal = ("settle", "assume", "warn", "favour", "disfavour", *COLLECTED_IN)
    return cursor.fail(f"effect {word!r}", nearest(word, legal))


def check_placeholders(cursor: Cursor, facts: Collection[str]) -> None:
    """Refuse a text that shows a fact that nobody declares.

    Raises:
        KnowledgeProblem: naming the nearest fact.
    """
    for name in PLACEHOLDER.findall(cursor.text()):
        if name not in facts:
            cursor.fail(f"{{{name}}} in a text", nearest(name, facts))


def _check_in_time(cursor: Cursor, context: RuleContext, stage: int, fact: str, what: str) -> None:
    vocabulary = context.vocabulary
    if fact in vocabulary and vocabulary[fact].stage < stage:
        name = vocabulary.stages[vocabulary[fact].stage]
        cursor.fail(f"{what} after stage {name}", f"a rule of stage {name} or before")


def _parse_settle(cursor: Cursor, context: RuleContext, stage: int) -> Effect:
    entries = cursor.entries()
    if len(entries) != 1:
        cursor.fail(f"{len(entries)} decisions", "one decision and its value")
    (name, inner), *_ = entries.items()
    return _claim("settle", name, inner, context, stage)


def _parse_assume(cursor: Cursor, context: RuleContext, stage: int) -> Effect:
    entries = cursor.mapping(("fact", "value", "settled_by"))
    question = entries["settled_by"].choice(context.questions, "question")
    claimed = _claim("assume", entries["fact"].text(), entries["value"], context, stage)
    return Effect("assume", claimed.target, claimed.word, claimed.number, question=question)


def _claim(
    effect: Literal["settle", "assume"],
    name: str,
    value: Cursor,
    context: RuleContext,
    stage: int,
) -> Effect:
    vocabulary = context.vocabulary
    decisions = [kind.name for kind in vocabulary.kinds.values() if kind.combine]
    if name not in decisions:
        value.fail(f"decision {name!r}", nearest(name, decisions))
    kind = vocabulary[name]
    _check_in_time(value, context, stage, name, f"a claim on {name}")
    if kind.type == "number":
        return Effect(effect, name, number=_parse_limit(value, kind))
    return Effect(effect, name, word=value.choice(kind.choices, f"choice of {name}"))
