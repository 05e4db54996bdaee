"""The order of the steps as planned, against the order that the rules ask for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.reasoning.tables import Cell
from advisor.review.bench import ON_THE_PLAN, Bench, Words, finding, plain
from advisor.review.model import Item, Severity

_NAME = "sequence"
_PART_OF = {"drill_pins": "pin", "keys": "keys", "heat": "heat", "insert": "inserts"}
"""Steps that belong to a part of the plan."""


def judge_sequence(bench: Bench) -> Iterator[Item]:
    """Every pair of steps that is turned round, and every step that is missing."""
    if bench.method is None or bench.method == "replace_part":
        return
    words = bench.plan.sequence
    wanted = _wanted(bench)
    if words is None:
        if wanted and bench.plan.plans_work:
            yield _silent(bench, wanted)
        return
    turned = list(_turned(bench, words))
    yield from turned
    missing = list(_missing(bench, words, wanted))
    yield from missing
    yield from _not_asked(bench, words, wanted)
    if not turned and not missing:
        text = "The steps come in the order that the rules ask for."
        shown = Words(" → ".join(words), " → ".join(wanted))
        rests = bench.on_rules(dict.fromkeys(rule for rules in wanted.values() for rule in rules))
        yield finding(_NAME, "agrees", "note", rests, text, shown)


def _wanted(bench: Bench) -> Mapping[str, tuple[str, ...]]:
    """Steps by the plan's words, in the order of the procedure, with the rules that ask."""
    found: dict[str, tuple[str, ...]] = {}
    for step in bench.book.steps.values():
        claims = bench.asked_for("required_steps", step.id) if step.sequence_word else []
        if claims:
            rules = tuple(claim.rule.id for claim in claims)
            found[step.sequence_word] = (*found.get(step.sequence_word, ()), *rules)
    return found


def _silent(bench: Bench, wanted: Mapping[str, tuple[str, ...]]) -> Item:
    order = " → ".join(wanted)
    text = f"The plan does not say in which order the steps come; asked for is {order}."
    rests = bench.on_rules(rule for rules in wanted.values() for rule in rules)
    return finding(_NAME, "missing", "note", rests, text, Words(None, order))


# --- pairs --------------------------------------------------------------------------------------


def _turned(bench: Bench, words: tuple[str, ...]) -> Iterator[Item]:
    told: set[tuple[str, str]] = set()
    for row in bench.book.knowledge.tables["plan_order"].rows.values():
        earlier, later, rule = (str(row[name].value) for name in ("earlier", "later", "rule"))
        if (earlier, later) in told or not _holds(bench, rule):
            continue
        if _is_turned(words, earlier, later, str(row["counts"].value)):
            told.add((earlier, later))
            yield _pair(bench, row, words)


def _holds(bench: Bench, rule: str) -> bool:
    """Whether the rule holds for this plan, or may hold."""
    return bench.trial.truth_of(rule) != "false"


def _is_turned(words: tuple[str, ...], earlier: str, later: str, counts: str) -> bool:
    if earlier not in words or later not in words:
        return False
    if counts == "begun":
        return words.index(earlier) > words.index(later)
    return _last(words, earlier) > _last(words, later)


def _last(words: tuple[str, ...], word: str) -> int:
    return len(words) - 1 - words[::-1].index(word)


def _pair(bench: Bench, row: Mapping[str, Cell], words: tuple[str, ...]) -> Item:
    earlier, later, rule = (str(row[name].value) for name in ("earlier", "later", "rule"))
    severity: Severity = "stop" if row["weight"].value == "stop" else "query"
    text = (
        f"{plain(later).capitalize()} comes before {plain(earlier)}. {row['turned'].value} "
        f"{bench.because(rule)}"
    )
    shown = Words(" → ".join(words), f"{earlier} → {later}", f"Put {earlier} before {later}.")
    return finding(_NAME, "contradicts", severity, bench.on_rules([rule]), text, shown)


# --- steps --------------------------------------------------------------------------------------


def _missing(
    bench: Bench, words: tuple[str, ...], wanted: Mapping[str, tuple[str, ...]]
) -> Iterator[Item]:
    """Steps that are asked for and not planned; a hold point among them is grave."""
    for word, rules in wanted.items():
        if word in words:
            continue
        holds = any(
            step.hold_point and step.sequence_word == word and _asked(bench, step.id)
            for step in bench.book.steps.values()
        )
        severity: Severity = "stop" if holds else "query"
        rests = bench.on_rules(rules)
        text = f"The step {word} is missing{', a hold point' if holds else ''}. "
        text += bench.because(rests.rule)
        shown = Words(" → ".join(words), word, f"Put {word} into the sequence.")
        yield finding(_NAME, "missing", severity, rests, text, shown)


def _asked(bench: Bench, step: str) -> bool:
    return bool(bench.asked_for("required_steps", step))


def _not_asked(
    bench: Bench, words: tuple[str, ...], wanted: Mapping[str, tuple[str, ...]]
) -> Iterator[Item]:
    for word in dict.fromkeys(words):
        if word in wanted:
            continue
        if word == "heat" and not bench.hot and bench.plan.heat is None:
            yield _heat_where_none(bench, words)
        elif word not in _PART_OF:
            text = f"No rule asks for the step {word} here."
            shown = Words(" → ".join(words), None)
            yield finding(_NAME, "stronger", "note", ON_THE_PLAN, text, shown)
        elif getattr(bench.plan, _PART_OF[word]) is None:
            text = f"The sequence has the step {word}, and the plan says nothing else of it."
            shown = Words(" → ".join(words), None, f"Plan it, or take {word} out.")
            yield finding(_NAME, "contradicts", "query", ON_THE_PLAN, text, shown)


def _heat_where_none(bench: Bench, words: tuple[str, ...]) -> Item:
    unknown = bench.trial.word("material") is None
    barred = bench.trial.word("heat_allowed") == "none"
    text = "The sequence heats the part, and its method needs no heat."
    if unknown:
        text += " Nobody knows what this metal does in the heat."
    elif barred:
        text += " No heat is allowed on this part."
    shown = Words(" → ".join(words), None, "Take the heat out, or name the hot method.")
    severity: Severity = "stop" if unknown or barred else "query"
    return finding(_NAME, "contradicts", severity, ON_THE_PLAN, text, shown)
