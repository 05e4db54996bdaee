"""Why: the reasoning behind one item, read back from the trace down to answers and sources.

Nothing here reasons. Every line is a fact, a rule, a formula or a source that the pipeline left
behind; where a rule did not fire, the tests that stood in its way are shown with their values.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Literal

from advisor.advice.doubt.why_not import WhyNot, fewest_says, way_says, why_not
from advisor.advice.model import Part
from advisor.advice.phrases import Units, effect_says, fact_text
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import METHODS, STAGES, Rulebook
from advisor.advice.standings import METHOD_EFFECTS, method_standings, recommended
from advisor.advice.thinking import Fact, Thinking
from advisor.case.model import UNKNOWN, Answer
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import Test, Truth
from advisor.reasoning.cursor import nearest
from advisor.reasoning.judge import Finding, Premise
from advisor.reasoning.rules import Mark, Rule, SourceRef
from advisor.reasoning.wording import fact_says, leaf_says

NodeKind = Literal["item", "rule", "fact", "source", "caution", "note"]
MARK_SAYS: dict[Mark, str] = {
    "read": "read in the source",
    "read2": "read second-hand",
    "memory": "from memory, not checked against the source",
    "practice": "common practice, no source",
    "computed": "worked out",
}
DEPTH = 12


@dataclass(frozen=True)
class Node(Part):
    """One line of an explanation, and what it rests on."""

    kind: NodeKind
    text: str
    ref: str = ""
    truth: str = ""
    because: tuple[Node, ...] = ()


def cut(node: Node, depth: int) -> Node:
    """An explanation cut off below a number of levels, saying how much is left out."""
    if not node.because or (depth <= 0 and _is_one_line(node)):
        return node
    if depth <= 0:
        left_out = sum(1 for _ in _below(node))
        lines = "1 line" if left_out == 1 else f"{left_out} lines"
        return replace(node, text=f"{node.text} … ({lines} below)", because=())
    because = tuple(cut(below, depth - 1) for below in node.because)
    return replace(node, because=because)


def _telling(premises: tuple[Premise, ...]) -> list[Premise]:
    """The tests without those that only ask whether a fact is known, where another reads it."""
    read = {premise.leaf.fact for premise in premises if isinstance(premise.leaf, Test)}
    return [
        premise
        for premise in premises
        if isinstance(premise.leaf, Test)
        or premise.leaf.fact not in read
        or premise.truth is not Truth.TRUE
    ]


def _is_one_line(node: Node) -> bool:
    """A test and the answer below it are as good as one line."""
    return node.kind == "fact" and len(node.because) == 1 and not node.because[0].because


def _below(node: Node) -> Iterator[Node]:
    for below in node.because:
        yield below
        yield from _below(below)


class UnknownTopic(Exception):
    """Nothing in this advice has that name."""

    def __init__(self, topic: str, legal: Iterable[str]) -> None:
        self.expected = nearest(topic, legal)
        super().__init__(f"found topic {topic!r}; expected {self.expected}")


ALIASES = {
    "stitching": ("stitching_feasible", "pin_diameter", "pin_pitch_of_row", "pin_count"),
    "pin": ("pin_diameter", "threads_at_best", "least_engaged_threads"),
    "keys": ("keys_wanted", "keys_feasible", "keys_carry_demand", "restored_fraction"),
    "heat": ("preheat_min", "interpass_max", "filler", "postheat", "cooling"),
    "inserts": ("insert_needed", "inserts_feasible"),
    "test": ("test_pressure", "test_ratio"),
}
"""Parts of the advice that several facts make together."""


class Explainer:
    """Explains items of one case thought through."""

    def __init__(
        self, thinking: Thinking, units: Units = "si", *, what_would_turn_it: bool = False
    ) -> None:
        """Explain one case.

        Args:
            thinking: the case thought through.
            units: of numbers in sentences.
            what_would_turn_it: for what is not recommended, also look for the smallest change of
                answers that would turn it, which takes a second.
        """
        self._thinking = thinking
        self._units: Units = units
        self._seeks = what_would_turn_it
        self._turned: dict[str, WhyNot | None] = {}
        self._rulebook = thinking.rulebook

    def topics(self) -> tuple[str, ...]:
        """Everything that can be asked about."""
        rulebook = self._rulebook
        return (
            *METHODS,
            *ALIASES,
            *rulebook.vocabulary.kinds,
            *rulebook.questionnaire.by_id,
            *rulebook.rule_by_id,
            *rulebook.steps,
            *rulebook.inspections,
        )

    def why(self, topic: str) -> Node:
        """The reasoning behind one topic.

        Raises:
            UnknownTopic: with the nearest legal one.
        """
        topic = self._spelt(topic)
        if topic in METHODS:
            return self._method(topic)
        if topic == "verdict":
            return self._verdict()
        if topic in ALIASES:
            parts = tuple(self._fact(name, DEPTH, ()) for name in ALIASES[topic])
            return Node(kind="item", text=topic, because=parts)
        if topic in self._rulebook.vocabulary or topic in self._rulebook.questionnaire.by_id:
            return self._fact(topic, DEPTH, ())
        if topic in self._rulebook.rule_by_id:
            return self._rule(self._finding(topic), DEPTH, ())
        for fact in ("required_steps", "required_inspections"):
            if topic in self._rulebook.vocabulary[fact].choices:
                return self._asked_for(fact, topic)
        raise UnknownTopic(topic, self.topics())

    def _spelt(self, topic: str) -> str:
        """A topic as it is spelt here: words may be typed apart, with hyphens or capitals."""
        typed = topic.strip()
        folded = typed.lower().replace(" ", "_").replace("-", "_")
        legal = self.topics()
        return folded if typed not in legal and folded in legal else typed

    # --- items ------------------------------------------------------------------------------

    def _verdict(self) -> Node:
        found = self._fact("verdict", DEPTH, ())
        method = recommended(self._thinking)
        if method is None:
            return replace(found, because=(*found.because, *self._turning("verdict")))
        return replace(found, because=(*found.because, self._method(method)))

    def _method(self, method: str) -> Node:
        bearing = [
            finding
            for findings in self._thinking.findings.values()
            for finding in findings.findings.values()
            if any(e.kind in METHOD_EFFECTS and e.target == method for e in finding.rule.then)
        ]
        bearing.sort(key=lambda finding: self._weight_order(finding.rule, method))
        spoke = [self._rule(f, DEPTH, ()) for f in bearing if f.holds.possible]
        silent = [f for f in bearing if not f.holds.possible and self._allows(f.rule, method)]
        if not any(self._allows(f.rule, method) for f in bearing if f.holds.certain):
            spoke += [self._rule(f, DEPTH, ()) for f in silent]
        standing = self._standing_says(method)
        because = (*spoke, *self._turning(method))
        return Node(kind="item", text=f"{method}: {standing}", because=because)

    def why_not(self, topic: str) -> WhyNot | None:
        """What excludes a method, or holds up all work, and what would turn it; None elsewhere."""
        topic = self._spelt(topic)
        if not self._seeks or topic not in (*METHODS, "verdict"):
            return None
        if topic not in self._turned:
            self._turned[topic] = why_not(self._thinking, topic, self._units)
        return self._turned[topic]

    def _turning(self, topic: str) -> Iterator[Node]:
        """What would have to change, where something is not recommended."""
        found = self.why_not(topic)
        if found is None:
            return
        ways = tuple(Node(kind="note", text=way_says(way)) for way in found.ways)
        yield Node(kind="item", text=f"what would turn it: {fewest_says(found)}", because=ways)

    @staticmethod
    def _weight_order(rule: Rule, method: str) -> int:
        """Exclusions first, then what allows, then what speaks for and against."""
        kinds = [effect.kind for effect in rule.then if effect.target == method]
        return min(METHOD_EFFECTS.index(kind) for kind in kinds if kind in METHOD_EFFECTS)

    @staticmethod
    def _allows(rule: Rule, method: str) -> bool:
        return any(e.kind == "allow" and e.target == method for e in rule.then)

    def _standing_says(self, method: str) -> str:
        found = next(m for m in method_standings(self._thinking) if m.method == method)
        return f"{found.standing.replace('_', ' ')}, weight {found.score:+d}"

    def _asked_for(self, fact: str, target: str) -> Node:
        claims = [c for c in self._thinking.claims[fact] if c.value == target]
        rules = tuple(self._rule(self._finding(c.rule.id), DEPTH, ()) for c in claims)
        says = "asked for" if rules else "not asked for by any rule in this case"
        return Node(kind="item", text=f"{target.replace('_', ' ')}: {says}", because=rules)

    def _finding(self, rule_id: str) -> Finding:
        rule = self._rulebook.rule_by_id[rule_id]
        return self._thinking.findings[STAGES[rule.stage]].findings[rule_id]

    # --- rules ------------------------------------------------------------------------------

    def _rule(self, finding: Finding, depth: int, seen: tuple[str, ...]) -> Node:
        rule = finding.rule
        if rule.id in seen or depth <= 0:
            return Node(kind="rule", text=f"{rule.title} (shown above)", ref=rule.id)
        effects = "; ".join(
            dict.fromkeys(effect_says(effect, self._rulebook) for effect in rule.then)
        )
        premises = _telling(self._thinking.findings[STAGES[rule.stage]].premises(rule.id))
        below = [Node(kind="note", text=rule.because)]
        if rule.caution:
            below.append(Node(kind="caution", text=rule.caution))
        if rule.authority:
            below.append(Node(kind="note", text=f"has to agree: {rule.authority}"))
        below += [self._premise(p, depth - 1, (*seen, rule.id)) for p in premises]
        below += [self._source(ref) for ref in rule.sources]
        return Node(
            kind="rule",
            text=f"{rule.title} → {effects}",
            ref=rule.id,
            truth=finding.truth.value,
            because=tuple(below),
        )

    def _premise(self, premise: Premise, depth: int, seen: tuple[str, ...]) -> Node:
        vocabulary = self._rulebook.vocabulary
        says = leaf_says(premise.leaf, vocabulary, negated=premise.negated)
        below = self._fact(premise.leaf.fact, depth, seen)
        truth = {Truth.TRUE: "met", Truth.FALSE: "not met", Truth.UNKNOWN: "cannot tell"}
        limit_sources = getattr(premise.leaf, "source", ())
        sources = tuple(self._source_line(ref, "", None) for ref in limit_sources)
        return Node(
            kind="fact",
            text=f"{says}: {truth[premise.truth]}",
            ref=premise.leaf.fact,
            truth=premise.truth.value,
            because=(below, *sources),
        )

    # --- facts ------------------------------------------------------------------------------

    def _fact(self, name: str, depth: int, seen: tuple[str, ...]) -> Node:
        if name not in self._thinking.facts:
            return self._listed(name)
        fact = self._thinking.facts[name]
        kind = self._rulebook.vocabulary[name]
        shown = fact_text(kind, fact.value, self._units)
        text = f"{fact_says(kind)} = {shown}"
        if name in seen or depth <= 0:
            return Node(kind="fact", text=f"{text} (shown above)", ref=name)
        return Node(
            kind="fact",
            text=f"{text}, {self._origin_says(fact)}",
            ref=name,
            because=tuple(self._beneath(fact, depth - 1, (*seen, name))),
        )

    def _listed(self, name: str) -> Node:
        """An answer that rules do not see, such as the points of the crack."""
        says = name.replace("_", " ")
        answer = self._thinking.case.answers.get(name)
        if answer is None:
            return Node(kind="fact", text=f"{says}: not answered", ref=name)
        if answer.value is UNKNOWN:
            return Node(kind="fact", text=f"{says}: answered as unknown", ref=name)
        count = len(answer.value) if isinstance(answer.value, tuple | Mapping) else 1
        entries = "1 entry" if count == 1 else f"{count} entries"
        return Node(kind="fact", text=f"{says} = {entries}, {self._answered(answer)}", ref=name)

    @staticmethod
    def _answered(answer: Answer) -> str:
        return f"answered on line {answer.line}" if answer.line else "answered"

    def _origin_says(self, fact: Fact) -> str:
        if fact.origin == "answer":
            return self._answered(self._thinking.case.answers[fact.name])
        if fact.origin == "table":
            table, row, column = fact.by
            return f"from table {table}, row {row}, column {column}"
        if fact.origin == "formula":
            return f"by formula {fact.by[0]}"
        if fact.origin == "rule":
            return "settled by rules" if fact.by else "no rule says otherwise"
        answer_given = self._thinking.case.answers.get(fact.name)
        if answer_given is not None and answer_given.value is UNKNOWN:
            return "answered as unknown"
        return fact.working or "not answered"

    def _beneath(self, fact: Fact, depth: int, seen: tuple[str, ...]) -> Iterable[Node]:
        if fact.origin == "rule":
            for rule_id in fact.by:
                yield self._rule(self._finding(rule_id), depth, seen)
            return
        if fact.origin == "formula":
            formula = next(f for f in FORMULAS if f.id == fact.by[0])
            yield Node(kind="note", text=f"equation: {formula.equation}")
            if fact.working:
                yield Node(kind="note", text=f"with numbers: {fact.working}")
        elif fact.origin == "table" and fact.working:
            yield Node(kind="note", text=fact.working)
        for name in fact.inputs:
            known = self._origin(name) != "nothing"
            if known or fact.origin == "nothing":
                yield self._fact(name, depth, seen)
        yield from self._fact_sources(fact)

    def _origin(self, name: str) -> str:
        facts = self._thinking.facts
        if name in facts:
            return facts[name].origin
        return "answer" if name in self._thinking.case.answers else "nothing"

    def _fact_sources(self, fact: Fact) -> Iterable[Node]:
        if fact.origin == "formula":
            formula = next(f for f in FORMULAS if f.id == fact.by[0])
            own = {ref.ref for ref in formula.sources}
            yield from (self._source(ref) for ref in formula.sources)
        else:
            own = set()
        mark = self._cell_mark(fact)
        for ref in fact.sources:
            if ref not in own:
                yield self._source_line(ref, "", mark)

    def _cell_mark(self, fact: Fact) -> Mark | None:
        if fact.origin != "table":
            return None
        table, row, column = fact.by
        cell = self._rulebook.knowledge.cell(table, row, column)
        return cell.mark if cell else None  # type: ignore[return-value]

    def _source(self, ref: SourceRef) -> Node:
        return self._source_line(ref.ref, ref.clause, ref.seen)

    def _source_line(self, ref: str, clause: str, mark: Mark | None) -> Node:
        return Node(kind="source", text=source_says(self._rulebook, ref, clause, mark), ref=ref)


_SELF_EXPLAINING = frozenset({"DERIVED", "MEMORY"})
_NO_EDITION = frozenset({"not stated", "undated", "this edition"})


def source_says(rulebook: Rulebook, ref: str, clause: str, mark: Mark | None) -> str:
    """A source with its edition and clause, and how it was seen."""
    if ref == "PRACTICE":
        return "common practice, no source" + (f": {clause}" if clause else "")
    source = rulebook.knowledge.sources[ref]
    own_words = ref in _SELF_EXPLAINING
    named = source.title if own_words else f"{ref.replace('-', ' ')}: {source.title}"
    parts = [named, source.edition, clause]
    said = ", ".join(part for part in parts if part and part not in _NO_EDITION)
    return said + (f" [{MARK_SAYS[mark]}]" if mark else "")
