"""One exercise: a case, what it is about, and how hard it is."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Literal

from advisor.advice.doubt.questions import roots
from advisor.advice.rulebook import STAGES, Rulebook
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case
from advisor.case.reading import parse_case
from advisor.case.writing import case_text, to_plain
from advisor.light_dataclass import dataclass
from advisor.practice.making.maker import Made, Pair
from advisor.practice.making.traps import Trap, traps_in
from advisor.reasoning.conditions import facts_read
from advisor.reasoning.rules import Rule

Level = Literal["easy", "middle", "hard"]
LEVELS: tuple[Level, ...] = ("easy", "middle", "hard")
_FEW_ANSWERS = 3


@dataclass(frozen=True)
class Exercise:
    """One exercise.

    Attributes:
        key: names it; the same key is the same exercise under the same rules.
        case: the case.
        rule: id of the rule that decides, or that it was made for.
        stage: the stage of that rule.
        subject: its subject.
        level: easy: nothing goes ahead, for a reason of few answers; hard: something misleads.
        traps: what is misleading.
        generated: drawn for practice, and no worked case.
        changed: the question that alone is answered otherwise than in the exercise before.
    """

    key: str
    case: Case
    rule: str
    stage: str
    subject: str
    level: Level
    traps: tuple[Trap, ...]
    generated: bool
    changed: str = ""


def of_made(made: Made, key: str) -> Exercise:
    """The exercise of a case that was made for a rule."""
    return _exercise(made.thinking, made.rule, key, generated=True)


def of_pair(pair: Pair, key: str) -> tuple[Exercise, Exercise]:
    """The two exercises of a pair, to be shown one after the other."""
    first = of_made(pair.first, f"{key}/a")
    book = pair.first.thinking.rulebook
    thinking = think(pair.second, book, judge_only=True)
    second = _exercise(thinking, deciding_rule(thinking), f"{key}/b", generated=True)
    return first, replace(second, changed=pair.question)


def of_scenario(name: str, case: Case, book: Rulebook) -> Exercise:
    """The exercise of a worked case."""
    thinking = think(case, book, judge_only=True)
    rule = deciding_rule(thinking)
    return _exercise(thinking, rule, f"scenario/{name}", generated=False)


def _exercise(thinking: Thinking, rule: Rule, key: str, *, generated: bool) -> Exercise:
    traps = traps_in(thinking)
    return Exercise(
        key=key,
        case=thinking.case,
        rule=rule.id,
        stage=STAGES[rule.stage],
        subject=rule.subject,
        level=_level(thinking, rule, traps),
        traps=traps,
        generated=generated,
    )


def deciding_rules(thinking: Thinking) -> tuple[Rule, ...]:
    """The rules behind the verdict, or behind the method where the verdict is plain repair."""
    verdict, method = thinking.word("verdict"), thinking.word("method")
    found = [c.rule for c in thinking.claims["verdict"] if c.value == verdict and c.certain]
    found += [c.rule for c in thinking.claims["verdict"] if c.rule not in found]
    if not found:
        found = [
            c.rule for c in thinking.claims["methods_allowed"] if c.value == method and c.certain
        ]
    return tuple(dict.fromkeys(found))


def deciding_rule(thinking: Thinking) -> Rule:
    """The first of the rules behind the verdict."""
    found = deciding_rules(thinking)
    return found[0] if found else thinking.rulebook.rules[0]


def answers_behind(thinking: Thinking, rules: Iterable[Rule]) -> frozenset[str]:
    """The questions whose answers some rules rest on."""
    return frozenset(_behind(thinking, rules))


def _behind(thinking: Thinking, rules: Iterable[Rule]) -> Iterator[str]:
    for rule in rules:
        for fact in sorted(facts_read(rule.when)):
            yield from roots(thinking, fact)


def _level(thinking: Thinking, rule: Rule, traps: tuple[Trap, ...]) -> Level:
    if traps:
        return "hard"
    few = len(answers_behind(thinking, (rule,))) <= _FEW_ANSWERS
    return "easy" if few and thinking.word("go_ahead") != "yes" else "middle"


# --- keeping --------------------------------------------------------------------------------------


def to_text(exercise: Exercise) -> str:
    """An exercise as text, to be kept while it is not finished."""
    case = exercise.case
    answers = {name: to_plain(answer.value) for name, answer in case.answers.items()}
    return json.dumps(
        {
            "key": exercise.key,
            "rule": exercise.rule,
            "generated": exercise.generated,
            "changed": exercise.changed,
            "case": case_text(case.reference, case.title, case.notes, answers),
        },
        ensure_ascii=False,
    )


def from_text(text: str, book: Rulebook) -> Exercise:
    """An exercise that was kept.

    Raises:
        InputProblem, KeyError: it does not fit the questions or the rules any more.
    """
    data = json.loads(text)
    grades = tuple(book.knowledge.tables["grades"].rows)
    case = parse_case(data["case"], data["key"], book.questionnaire, grades)
    thinking = think(case, book, judge_only=True)
    rule = book.rule_by_id[data["rule"]]
    found = _exercise(thinking, rule, data["key"], generated=data["generated"])
    return replace(found, changed=data["changed"])
