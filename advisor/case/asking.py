"""What a typed reply means: a choice by its id, its number or its beginning; else as in a file."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any

from advisor.case.model import Value
from advisor.case.problems import InputProblem, InputProblems, nearest
from advisor.case.questions import UNKNOWN_WORD, Choice, Field, Question
from advisor.case.reading import plain_answer, read_answer
from advisor.case.writing import Plain

_SHOWN = 12


def read_reply(question: Question, text: str, grades: Collection[str] = ()) -> Plain:
    """A reply as it goes into the case file.

    Raises:
        InputProblem: with what would be right.
    """
    text = " ".join(text.split())
    if not text:
        raise InputProblem("nothing", f"an answer, or {UNKNOWN_WORD}", field=question.id)
    plain = _plain(question, text, grades)
    value = read_answer(question, plain, grades)
    return value if isinstance(value, str) else plain


def read_field(question: Question, part: Field, text: str) -> str:
    """A reply for one part of a list's member or of a mapping.

    Raises:
        InputProblem: with what would be right.
    """
    text = " ".join(text.split())
    if part.type in ("choice", "yes_no"):
        text = choose(text, choice_ids(part), labels(part.choices), part.id)
    entry: Any = {part.id: text}
    listed = question.type == "list"
    place = f"{question.id}[1].{part.id}" if listed else f"{question.id}.{part.id}"
    try:
        read_answer(question, [entry] if listed else entry)
    except InputProblems as wrong:
        for problem in wrong.problems:
            if problem.field == place:
                raise InputProblem(problem.found, problem.expected, field=part.id) from None
    return text


def check_list(question: Question, plain: Plain) -> Value:
    """A whole list or mapping, once all its parts are given.

    Raises:
        InputProblem: with what would be right.
    """
    return read_answer(question, plain)


def choice_ids(entry: Question | Field) -> tuple[str, ...]:
    """The choices of a question in the order in which they are numbered."""
    if entry.type == "yes_no":
        return ("yes", "no")
    return tuple(choice.id for choice in entry.choices)


def labels(choices: Iterable[Choice]) -> dict[str, str]:
    """The choices' labels by id."""
    return {choice.id: choice.label for choice in choices}


def choose(text: str, ids: Sequence[str], named: dict[str, str], field: str) -> str:
    """One choice by its id, its number or the beginning of its id or label.

    >>> choose("gray", ["gray_iron", "cast_steel"], {}, "material")
    'gray_iron'
    >>> choose("2", ["gray_iron", "cast_steel"], {}, "material")
    'cast_steel'

    Raises:
        InputProblem: none fits, or more than one does.
    """
    if text.isdecimal() and 1 <= int(text) <= len(ids):
        return ids[int(text) - 1]
    typed = _folded(text)
    legal = [*ids, UNKNOWN_WORD]
    if typed in legal:
        return typed
    fits = [id_ for id_ in legal if id_.startswith(typed)]
    fits = fits or [id_ for id_ in legal if _folded(named.get(id_, "")).startswith(typed)]
    if len(fits) == 1:
        return fits[0]
    if fits:
        listed = ", ".join(fits[:_SHOWN]) + (" …" if len(fits) > _SHOWN else "")
        raise InputProblem(f'"{text}", which fits {listed}', "a few more letters", field=field)
    right = f"a number from 1 to {len(ids)}, a choice or {UNKNOWN_WORD}{nearest(text, legal)}"
    raise InputProblem(f'"{text}"', right, field=field)


def _plain(question: Question, text: str, grades: Collection[str]) -> Plain:
    if text.lower() == UNKNOWN_WORD:
        return UNKNOWN_WORD
    if question.type in ("choice", "yes_no"):
        return choose(text, choice_ids(question), labels(question.choices), question.id)
    if question.type == "several" and text != "[]":
        named = labels(question.choices)
        parts = [part.strip() for part in text.strip("[]").split(",")]
        chosen = [choose(part, question.choice_ids, named, question.id) for part in parts]
        return UNKNOWN_WORD if chosen == [UNKNOWN_WORD] else list(dict.fromkeys(chosen))
    if question.type == "grade":
        return _only_grade(text, grades)
    plain: Plain = plain_answer(question, text)
    return plain


def _only_grade(text: str, grades: Collection[str]) -> str:
    """The one grade that begins as typed, else the text itself."""
    fits = [grade for grade in grades if _folded(grade).startswith(_folded(text))]
    return fits[0] if len(fits) == 1 else text


def _folded(text: str) -> str:
    return text.strip().lower().replace(" ", "_").replace("-", "_")
