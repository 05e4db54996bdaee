"""The rule base as one page in Markdown, to be reviewed line by line."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby

from advisor.advice.rulebook import METHODS, STAGES, Rulebook
from advisor.advice.scenarios import scenario_files
from advisor.cli.rule_entry import Paragraph, entry_of, place_says, scenarios_of
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.rules import Rule
from advisor.reasoning.wording import fact_says

_READING = """\
How to read it:

- A condition holds certainly, possibly or not at all: an answer that is missing leaves it possible.
  A rule that rules out, warns or asks for a step, an inspection or somebody's consent acts while
  its condition is merely possible. A rule that allows a method, speaks for one or settles a
  decision acts only when it is certain.
- Weights run from 1 (a nod) over 3 (a strong reason) to 5 (nearly decides). What is ruled out stays
  out, whatever speaks for it.
- Behind each source stands how it was seen: read in the source, read second-hand, from memory,
  worked out, or common practice without a source.
- Worked cases are those of the scenarios, by their numbers at the end, in which the rule certainly
  applies.
"""


def page(rules: Sequence[Rule], book: Rulebook) -> str:
    """The rules, numbered, by stage and subject, with what helps to judge them."""
    used = scenarios_of(rules, book)
    names = [path.stem for path in scenario_files(book)]
    blocks = [
        "# The rule base, to be reviewed",
        f"Version {book.version}, digest `{book.digest[:16]}`: {_count(rules, 'rule')}"
        + (f" of {len(book.rules)}." if len(rules) < len(book.rules) else "."),
        _READING.rstrip(),
        _contents(rules),
    ]
    number = 0
    for stage, of_stage in groupby(rules, key=lambda rule: rule.stage):
        blocks.append(f"## Stage: {STAGES[stage]}")
        for subject, some in groupby(of_stage, key=lambda rule: rule.subject):
            blocks.append(f"### {_plain(_capital(subject))}")
            for rule in some:
                number += 1
                blocks += _entry(number, rule, book, [names.index(one) for one in used[rule.id]])
    blocks += [_words(rules, book), _methods(book), _worked(names, used)]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _entry(number: int, rule: Rule, book: Rulebook, worked: Sequence[int]) -> Iterable[str]:
    yield f"#### {number}. {_plain(rule.title)}"
    cases = ", ".join(str(index + 1) for index in worked) or "none"
    last = Paragraph("Worked cases", cases)
    lines = [line for one in (*entry_of(rule, book), last) for line in _paragraph(one)]
    yield f"`{rule.id}`, {place_says(rule)}"
    yield "\n".join(lines)


def _paragraph(paragraph: Paragraph) -> Iterable[str]:
    lead = f"- **{paragraph.heading}:**"
    yield f"{lead} {_plain(paragraph.text)}" if paragraph.text else lead
    for depth, text in paragraph.points:
        yield f"{'  ' * (depth + 1)}- {_plain(text)}"


def _contents(rules: Sequence[Rule]) -> str:
    counts = Counter((rule.stage, rule.subject) for rule in rules)
    rows = [(STAGES[stage], _capital(what), str(n)) for (stage, what), n in counts.items()]
    return "\n".join(_table(("stage", "subject", "rules"), rows))


def _words(rules: Sequence[Rule], book: Rulebook) -> str:
    """The answers that the rules read, with the question behind each."""
    read = {name for rule in rules for name in facts_read(rule.when)}
    rows = [
        (fact_says(book.vocabulary[question.id]), question.text)
        for question in book.questionnaire
        if question.id in read
    ]
    if not rows:
        return ""
    lines = _table(("in the rules", "answers the question"), rows)
    return "\n".join(["## Answers that the rules read", "", *lines])


def _methods(book: Rulebook) -> str:
    named = book.knowledge.tables["methods"].rows
    rows = [(method.replace("_", " "), str(named[method]["name"].value)) for method in METHODS]
    return "\n".join(["## Methods", "", *_table(("in the rules", "what it is"), rows)])


def _worked(names: Sequence[str], used: dict[str, list[str]]) -> str:
    counts = Counter(name for some in used.values() for name in some)
    lines = [
        f"{number}. {name.replace('-', ' ')} ({_count(range(counts[name]), 'rule')})"
        for number, name in enumerate(names, start=1)
    ]
    without = sum(not some for some in used.values())
    said = f"In no worked case: {_count(range(without), 'rule')} of {len(used)}."
    return "\n".join(["## Worked cases", "", said, "", *lines])


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    lines = [heads, ["---"] * len(heads), *([_plain(cell) for cell in row] for row in rows)]
    return ["| " + " | ".join(line) + " |" for line in lines]


def _count(some: Sequence[object], noun: str) -> str:
    return f"{len(some)} {noun}" if len(some) == 1 else f"{len(some)} {noun}s"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _plain(text: str) -> str:
    """Text in which nothing is taken for markup."""
    return re.sub(r"([\\`*_<>|\[\]])", r"\\\1", " ".join(text.split()))
