"""A rule as a handbook entry: headed paragraphs in plain words, for terminal and page."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from pathlib import Path

from advisor.advice.explain import source_says
from advisor.advice.phrases import effect_says
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.light_dataclass import dataclass
from advisor.reasoning.rules import PLACEHOLDER, Effect, Rule
from advisor.reasoning.wording import condition_outline, fact_says

_TOGETHER = ("rule_out", "allow", "favour", "disfavour")


@dataclass(frozen=True)
class Paragraph:
    """One heading of an entry with its text, its points (depth and text), or both."""

    heading: str
    text: str = ""
    points: tuple[tuple[int, str], ...] = ()


def entry_of(rule: Rule, book: Rulebook) -> list[Paragraph]:
    """What stands in a rule, paragraph by paragraph; what it lacks is left out."""
    text, parts = condition_outline(rule.when, book.vocabulary)
    paragraphs = [
        Paragraph("When", text, tuple(parts)),
        _listed("Then", effects_say(rule, book)),
        Paragraph("Because", rule.because),
        Paragraph("Caution", rule.caution),
        Paragraph("Who must agree", rule.authority),
        Paragraph("Not for", rule.not_for),
        Paragraph("Said", "only while a repair goes ahead" if rule.only_at_work else ""),
        _listed(
            "Source",
            [source_says(book, ref.ref, ref.clause, ref.seen) for ref in rule.sources],
        ),
    ]
    return [one for one in paragraphs if one.text or one.points]


def stage_says(rule: Rule) -> str:
    """Stage and subject of a rule."""
    stage = STAGES[rule.stage]
    return stage if rule.subject == stage else f"{stage} ({rule.subject})"


def place_says(rule: Rule) -> str:
    """Where a rule stands."""
    return f"{Path(rule.file).name}, line {rule.line}"


def _listed(heading: str, texts: list[str]) -> Paragraph:
    """One text as it is, several as points."""
    if len(texts) == 1:
        return Paragraph(heading, texts[0])
    return Paragraph(heading, points=tuple((0, text) for text in texts))


def effects_say(rule: Rule, book: Rulebook) -> list[str]:
    """What a rule does; methods that it treats alike stand together."""
    said = []
    for (kind, _), some in groupby(rule.then, key=lambda effect: (effect.kind, effect.weight)):
        effects = list(some)
        if kind in _TOGETHER:
            said.append(_on_methods(effects, book))
        else:
            said += [_effect_says(effect, book) for effect in effects]
    return said


def _on_methods(effects: list[Effect], book: Rulebook) -> str:
    """One clause for several methods: ``rules out threaded plug and patch plate``."""
    first = effects[0]
    *most, last = (effect.target.replace("_", " ") for effect in effects)
    together = f"{', '.join(most)} and {last}" if most else last
    return effect_says(first, book).replace(first.target.replace("_", " "), together, 1)


def _effect_says(effect: Effect, book: Rulebook) -> str:
    if effect.kind == "warn":
        return f"warns: {_open(effect.text, book)}"
    if effect.kind == "require_step":
        return f"step: {_open(book.steps[effect.target].do, book)}"
    if effect.kind == "require_inspection":
        wanted = book.inspections[effect.target]
        method = wanted.method.replace("_", " ")
        return f"inspection {wanted.when} the repair ({method}): {_open(wanted.what, book)}"
    if effect.kind == "require_approval":
        row = book.knowledge.tables["approvals"].rows[effect.target]
        return f"must agree: {row['who'].value}"
    return effect_says(effect, book)


def _open(text: str, book: Rulebook) -> str:
    """A text whose places for facts say which fact belongs there."""
    return PLACEHOLDER.sub(lambda found: f"({fact_says(book.vocabulary[found[1]])})", text)


def scenarios_of(rules: Iterable[Rule], book: Rulebook) -> dict[str, list[str]]:
    """By rule, the scenarios in which it certainly fires; a rule that fires in none has none."""
    from advisor.advice.scenarios import scenario_cases
    from advisor.advice.thinking import think

    used: dict[str, list[str]] = {rule.id: [] for rule in rules}
    for name, case in scenario_cases(book):
        thinking = think(case, book, judge_only=True)
        for rule_id, names in used.items():
            if thinking.truth_of(rule_id) == "true":
                names.append(name)
    return used
