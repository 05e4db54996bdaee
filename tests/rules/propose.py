"""Propose cases for rules: both sides of every limit, every word, every fact left open.

Run as `python -m tests.rules.propose RULE…`, with `--stale` to list the rules whose cases are
missing or not met, or with `--write` to propose those anew in their files. Read each line against
the rule's reason and source; a case that merely repeats a wrong rule proves nothing.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.reasoning.conditions import Known, Signed, Test, Truth, alternatives, leaves
from advisor.reasoning.rules import Rule
from advisor.reasoning.vocabulary import FactKind
from tests.rules.cases import FOLDER, OPEN, OTHERS, RuleCase, cases_of, entries

WIDTH = 118


def propose(rule: Rule, book: Rulebook) -> list[dict[str, Any]]:
    """Entries for a rule: one for each alternative of its condition that fires by itself."""
    found: list[dict[str, Any]] = []
    tried: set[Signed] = set()
    for literals in alternatives(rule.when, limit=4096):
        base = _base(literals, book)
        if base is None or _truth(rule, base, book) is not Truth.TRUE:
            continue
        if found and tried.issuperset(literals):
            continue
        tried.update(literals)
        found.append(_entry(rule, base, book))
    return found


def _truth(rule: Rule, facts: Mapping[str, Any], book: Rulebook) -> Truth:
    return RuleCase(rule.id, facts, Truth.TRUE, "").truth(rule.when, book)


# --- a base -------------------------------------------------------------------------------------


def _base(literals: Iterable[Signed], book: Rulebook) -> dict[str, Any] | None:
    by_fact: dict[str, list[Signed]] = {}
    for literal in literals:
        by_fact.setdefault(literal.leaf.fact, []).append(literal)
    base: dict[str, Any] = {}
    for name, some in by_fact.items():
        value = _value(some, book.vocabulary[name])
        if value is None:
            return None
        if value != OPEN:
            base[name] = value
    return base


def _value(literals: list[Signed], kind: FactKind) -> Any:
    if any(isinstance(s.leaf, Known) and s.leaf.known == s.negated for s in literals):
        return OPEN
    tests = [(s.leaf, s.negated) for s in literals if isinstance(s.leaf, Test)]
    if kind.type == "word":
        words = [
            word
            for word in kind.choices
            if all((word in leaf.words) != negated for leaf, negated in tests)
        ]
        return words[0] if words else None
    if kind.type == "members":
        wanted = [sorted(leaf.words)[0] for leaf, negated in tests if not negated]
        barred = {word for leaf, negated in tests if negated for word in leaf.words}
        if barred & set(wanted):
            return None
        spare = [word for word in kind.choices if word not in barred and word != "none"]
        return sorted(set(wanted), key=kind.choices.index) or spare[:1]
    return _number(tests, kind)


def _number(tests: list[tuple[Test, bool]], kind: FactKind) -> str | None:
    limits = sorted({leaf.limit for leaf, _ in tests})
    if not limits:
        return _any_number(kind)
    for value in _points(limits, kind):
        if all(_holds(leaf, value) != negated for leaf, negated in tests):
            return _text(value, kind)
    return None


def _any_number(kind: FactKind) -> str:
    typical = {"year": 1950.0, "ratio": 0.5, "mass_fraction": 1.0, "number": 1.0}
    return _text(typical.get(kind.dimension, 100.0), kind)


def _holds(leaf: Test, value: float) -> bool:
    return {
        "at_least": value >= leaf.limit,
        "above": value > leaf.limit,
        "at_most": value <= leaf.limit,
        "below": value < leaf.limit,
    }[leaf.op]  # type: ignore[index]


def _step(limit: float, kind: FactKind) -> float:
    if kind.dimension in ("number", "year"):
        return 1.0
    return max(10.0 ** (len(str(int(abs(limit)))) - 3), 0.001) if abs(limit) >= 1 else 0.001


def _points(limits: list[float], kind: FactKind) -> list[float]:
    """Each limit, and a hair on either side of it."""
    found = []
    for limit in limits:
        step = _step(limit, kind)
        found += [round(limit + step, 4), round(limit, 4), round(limit - step, 4)]
    return found


def _text(value: float, kind: FactKind) -> str:
    figure = f"{value:.10g}"
    return figure if kind.unit in ("", "1", "year") else f"{figure} {kind.unit}"


# --- its changes --------------------------------------------------------------------------------


def _entry(rule: Rule, base: dict[str, Any], book: Rulebook) -> dict[str, Any]:
    entry: dict[str, Any] = {"rule": rule.id, "base": base}
    names = dict.fromkeys(leaf.fact for leaf in leaves(rule.when))
    for name in names:
        kind = book.vocabulary[name]
        for truth, value in _changes(rule, base, kind, book):
            entry.setdefault(truth, []).append({name: value})
    ordered = {
        key: entry[key] for key in ("rule", "base", "fires", "silent", "open") if key in entry
    }
    list(cases_of(ordered, book))  # it must read back
    return ordered


_NAMES = {Truth.TRUE: "fires", Truth.FALSE: "silent", Truth.UNKNOWN: "open"}


def _changes(
    rule: Rule, base: Mapping[str, Any], kind: FactKind, book: Rulebook
) -> Iterator[tuple[str, Any]]:
    tests = [leaf for leaf in leaves(rule.when) if leaf.fact == kind.name]

    def truth(value: Any) -> str:
        return _NAMES[_truth(rule, {**base, kind.name: value}, book)]

    own = base.get(kind.name, OPEN)
    if own == OPEN:
        # A fact of another alternative is worth its lines only if it changes something.
        found = list(_values(kind, own, tests, truth))
        if any(name != "fires" for name, _ in found):
            yield from found
        return
    yield truth(OPEN), OPEN
    yield from _values(kind, own, tests, truth)


def _values(
    kind: FactKind, own: Any, tests: list[Any], truth: Callable[[Any], str]
) -> Iterator[tuple[str, Any]]:
    if kind.type == "number":
        limits = sorted({leaf.limit for leaf in tests if isinstance(leaf, Test)})
        for limit in limits:
            yield from _around(limit, kind, own, truth)
        if not limits and own == OPEN:
            yield truth(_any_number(kind)), _any_number(kind)
    elif kind.type == "word":
        yield from _words(kind, own, truth)
    else:
        yield from _members(kind, own, truth)


def _around(
    limit: float, kind: FactKind, own: Any, truth: Callable[[Any], str]
) -> Iterator[tuple[str, Any]]:
    """The limit itself, a hair on the side where it turns, and a range across it."""
    step = _step(limit, kind)
    if kind.dimension != "temperature" and limit < step:
        step = limit  # a length or a pressure of less than nothing is no answer
    below, at, above = (_text(round(limit + d, 4), kind) for d in (-step, 0, step or 0.001))
    points = [at]
    if truth(below) != truth(at) or truth(above) == truth(at):
        points.append(below)
    if truth(above) != truth(at):
        points.append(above)
    for value in points:
        if value != own:
            yield truth(value), value
    unit = "" if kind.unit in ("", "1", "year") else f" {kind.unit}"
    across = f"{limit - step:.10g} .. {limit + (step or 0.001):.10g}{unit}"
    if truth(across) == "open":
        yield "open", across


def _words(kind: FactKind, own: Any, truth: Callable[[Any], str]) -> Iterator[tuple[str, Any]]:
    groups: dict[str, list[str]] = {}
    for word in kind.choices:
        if word != own:
            groups.setdefault(truth(word), []).append(word)
    for name, words in _listed(groups, among=True):
        yield name, words if words == OTHERS else " | ".join(words)


def _members(kind: FactKind, own: Any, truth: Callable[[Any], str]) -> Iterator[tuple[str, Any]]:
    groups: dict[str, list[str]] = {}
    for word in kind.choices:
        if [word] != own:
            groups.setdefault(truth([word]), []).append(word)
    for name, words in _listed(groups, among=own == OPEN or len(own) == 1):
        if words == OTHERS:
            yield name, OTHERS
        else:
            yield name, words if len(words) == 1 else " | ".join(words)
    if own != OPEN and len(own) > 1:
        for word in own:
            rest = [each for each in own if each != word]
            yield truth(rest), rest


def _listed(groups: Mapping[str, list[str]], *, among: bool) -> Iterator[tuple[str, Any]]:
    """The groups of words; the largest as the others, if it is a long one."""
    largest = max(groups, key=lambda name: len(groups[name]), default="")
    for name, words in groups.items():
        short = among and name == largest and len(words) > 2
        yield name, OTHERS if short else words


# --- as text ------------------------------------------------------------------------------------


def text_of(entries: Iterable[Mapping[str, Any]]) -> str:
    """Entries as they stand in a file."""
    lines: list[str] = []
    for entry in entries:
        lines.append(f"  - rule: {entry['rule']}")
        lines.append(f"    base: {_flow(entry['base'])}")
        for name in ("fires", "silent", "open"):
            if name in entry:
                lines += _section(name, entry[name])
        lines.append("")
    return "\n".join(lines)


def _section(name: str, changes: list[Mapping[str, Any]]) -> list[str]:
    line = f"    {name}: [{', '.join(_flow(change) for change in changes)}]"
    if len(line) <= WIDTH:
        return [line]
    return [f"    {name}:", *(f"      - {_flow(change)}" for change in changes)]


def _flow(plain: Mapping[str, Any]) -> str:
    return "{" + ", ".join(f"{name}: {_scalar(value)}" for name, value in plain.items()) + "}"


def _scalar(value: Any) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(value) + "]"
    risky = any(mark in value for mark in ",[]{}:#") or value[:1] in "*&!%@`"
    return json.dumps(value) if risky else str(value)


# --- keeping the files up to date ---------------------------------------------------------------


def stale(book: Rulebook) -> list[Rule]:
    """Rules without cases, or with cases that they do not meet any more."""
    kept = _kept(book)
    return [rule for rule in book.rules if not _met(kept.get(rule.id, []), rule, book)]


def _kept(book: Rulebook) -> dict[str, list[Mapping[str, Any]]]:
    kept: dict[str, list[Mapping[str, Any]]] = {}
    for _, entry in entries():
        kept.setdefault(entry["rule"], []).append(entry)
    return kept


def _met(some: list[Mapping[str, Any]], rule: Rule, book: Rulebook) -> bool:
    cases = [case for entry in some for case in cases_of(entry, book)]
    try:
        return bool(cases) and all(c.truth(rule.when, book) is c.expected for c in cases)
    except (KeyError, ValueError):
        return False


def rewrite(book: Rulebook) -> None:
    """Write every file anew: cases that are met stay, others are proposed anew."""
    kept, old = _kept(book), {rule.id for rule in stale(book)}
    by_file: dict[str, list[Mapping[str, Any]]] = {}
    for rule in book.rules:
        some = propose(rule, book) if rule.id in old else kept[rule.id]
        by_file.setdefault(Path(rule.file).name, []).extend(some)
    for name, some in by_file.items():
        text = "cases:\n" + text_of(some).rstrip() + "\n"
        (FOLDER / name).write_text(text, encoding="utf-8")
    for path in FOLDER.glob("*.yaml"):
        if path.name not in by_file:
            path.unlink()


def main(arguments: list[str]) -> None:
    """Print cases for the rules named, or list or rewrite what is stale."""
    book = load_rulebook()
    if arguments == ["--stale"]:
        print("\n".join(rule.id for rule in stale(book)))
    elif arguments == ["--write"]:
        rewrite(book)
    else:
        print("\n".join(text_of(propose(book.rule_by_id[name], book)) for name in arguments))


if __name__ == "__main__":
    main(sys.argv[1:])
