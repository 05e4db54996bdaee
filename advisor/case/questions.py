"""The questionnaire: what is asked, why, and how to find the answer out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import field, fields
from pathlib import Path
from types import MappingProxyType
from typing import Any, ClassVar, Literal

from advisor.case.model import LIST_MEMBERS
from advisor.case.problems import InputProblem, InputProblems, nearest
from advisor.case.quantities import DIMENSIONS, QuantityError, parse_measure
from advisor.case.yaml_text import Document, Step, field_name, read_yaml
from advisor.light_dataclass import dataclass

UNKNOWN_WORD = "unknown"

QuestionType = Literal[
    "choice", "several", "yes_no", "measure", "number", "text", "grade", "list", "mapping"
]
FieldType = Literal["choice", "yes_no", "measure", "number", "text"]
Mark = Literal["read", "read2", "memory", "practice", "computed"]

_QUESTION_ID = re.compile(r"[a-z][a-z0-9_]*")
_FIELD_ID = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_MEASURED = ("measure", "number")
_CHOSEN = ("choice", "several")
_WITH_FIELDS = ("list", "mapping")


@dataclass(frozen=True)
class _Entry:
    __pydantic_config__: ClassVar[Mapping[str, str]] = {"extra": "forbid"}


@dataclass(frozen=True)
class Choice(_Entry):
    """One answer to choose."""

    id: str
    label: str
    means: str


@dataclass(frozen=True)
class How(_Entry):
    """How to find the answer out, with what, how far to trust it, and how long it takes (min)."""

    steps: str
    tool: str
    uncertainty: str
    effort: float | None = None
    source: tuple[str, ...] = ()
    mark: Mark | None = None


@dataclass(frozen=True)
class Field(_Entry):
    """One part of a list's member or of a mapping."""

    id: str
    type: FieldType
    text: str
    dimension: str | None = None
    choices: tuple[Choice, ...] = ()
    optional: bool = False


@dataclass(frozen=True)
class _Written(_Entry):
    """A question as it stands in its file."""

    id: str
    type: QuestionType
    text: str
    why: str
    how: How
    dimension: str | None = None
    choices: tuple[Choice, ...] = ()
    fields: tuple[Field, ...] = ()
    unit_examples: tuple[str, ...] = ()
    ask_when: Any = None


@dataclass(frozen=True)
class Question(_Written):
    """One question. Beside its own choices every question takes `unknown`."""

    group: str = ""
    order: int = 0

    @property
    def choice_ids(self) -> tuple[str, ...]:
        return tuple(choice.id for choice in self.choices)


@dataclass(frozen=True)
class Group(_Entry):
    """Questions that belong together."""

    id: str
    title: str
    order: int


@dataclass(frozen=True)
class _File(_Entry):
    group: Group
    questions: tuple[_Written, ...]


@dataclass(frozen=True)
class Questionnaire:
    """All questions in the order in which they are asked."""

    groups: tuple[Group, ...]
    questions: tuple[Question, ...]
    by_id: Mapping[str, Question] = field(init=False)

    def __post_init__(self) -> None:
        by_id = MappingProxyType({question.id: question for question in self.questions})
        object.__setattr__(self, "by_id", by_id)

    def __iter__(self) -> Iterator[Question]:
        return iter(self.questions)


def load_questionnaire(folder: Path) -> Questionnaire:
    """Read every `*.yaml` in `folder`. Raises InputProblem, or InputProblems for several faults."""
    paths = sorted(folder.glob("*.yaml"))
    if not paths:
        raise InputProblem("no question files", "at least one *.yaml file", file=str(folder))
    problems: list[InputProblem] = []
    files: list[tuple[Document, _File]] = []
    for path in paths:
        document = read_yaml(path)
        checked = _check_shape(document, problems)
        if checked:
            problems.extend(_check_meaning(document, checked))
            files.append((document, checked))
    problems.extend(_duplicates(files))
    if problems:
        raise InputProblems(problems)
    return _in_order([checked for _, checked in files])


def _in_order(files: list[_File]) -> Questionnaire:
    files.sort(key=lambda each: each.group.order)
    placed = [(each.group.id, question) for each in files for question in each.questions]
    return Questionnaire(
        groups=tuple(each.group for each in files),
        questions=tuple(
            _placed(question, group, order)
            for order, (group, question) in enumerate(placed, start=1)
        ),
    )


def _placed(written: _Written, group: str, order: int) -> Question:
    as_written = {one.name: getattr(written, one.name) for one in fields(written)}
    return Question(**as_written, group=group, order=order)


def _problem(document: Document, path: tuple[Step, ...], found: str, right: str) -> InputProblem:
    line, column = document.place(path)
    return InputProblem(
        found, right, field=field_name(path) or None, file=document.path, line=line, column=column
    )


def _check_shape(document: Document, problems: list[InputProblem]) -> _File | None:
    from pydantic import TypeAdapter, ValidationError  # costs a tenth of a second at every start

    try:
        return TypeAdapter(_File).validate_python(document.data)
    except ValidationError as error:
        problems.extend(_from_pydantic(document, dict(each)) for each in error.errors())
        return None


def _from_pydantic(document: Document, error: dict[str, Any]) -> InputProblem:
    path: tuple[Step, ...] = tuple(error["loc"])
    if error["type"] == "missing":
        return _problem(document, path[:-1], f'no entry "{path[-1]}"', f"`{path[-1]}: …` in it")
    if error["type"] == "unexpected_keyword_argument":
        return _problem(document, path, f'the entry "{path[-1]}"', _entries_for(path))
    if error["type"] == "literal_error":
        right = f"one of {error['ctx']['expected']}"
    else:
        right = str(error["msg"]).removeprefix("Input should be ")
    return _problem(document, path, _shown(error["input"]), right)


def _entries_for(path: tuple[Step, ...]) -> str:
    """The entries that may stand where `path` has a wrong one."""
    parents = [step for step in path[:-1] if isinstance(step, str)]
    kinds: dict[str, type[_Entry]] = {
        "group": Group, "questions": _Written, "how": How, "choices": Choice, "fields": Field,
    }  # fmt: skip
    kind = kinds[parents[-1]] if parents else _File
    legal = [one.name for one in fields(kind)]
    return f"one of {', '.join(legal)}{nearest(str(path[-1]), legal)}"


def _shown(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, str):
        return f'"{value[:60]}"'
    return "a list" if isinstance(value, list) else "a mapping"


def _check_meaning(document: Document, checked: _File) -> Iterator[InputProblem]:
    """What the shape alone does not say; each problem with its place."""
    for index, question in enumerate(checked.questions):
        path: tuple[Step, ...] = ("questions", index)
        for step, found, right in _question_faults(question):
            yield _problem(document, (*path, *step), found, right)


Fault = tuple[tuple[Step, ...], str, str]


def _question_faults(question: _Written) -> Iterator[Fault]:
    if not _QUESTION_ID.fullmatch(question.id):
        yield ("id",), f'"{question.id}"', "lower-case words joined by underscores"
    if question.ask_when is not None and not isinstance(question.ask_when, dict):
        yield ("ask_when",), _shown(question.ask_when), "a condition"
    yield from _typed_faults(question)
    if (question.type in _WITH_FIELDS) != bool(question.fields):
        yield ("fields",), *_wanted(bool(question.fields), "fields", question.type)
    for index, part in enumerate(question.fields):
        for step, found, right in _field_faults(question, part):
            yield ("fields", index, *step), found, right
    yield from _repeated("fields", [part.id for part in question.fields])
    yield from _example_faults(question)


def _field_faults(question: _Written, part: Field) -> Iterator[Fault]:
    if not _FIELD_ID.fullmatch(part.id):
        yield ("id",), f'"{part.id}"', "a word of letters, digits and underscores"
    if question.type == "mapping" and part.type != "measure":
        yield ("type",), f'"{part.type}"', "measure in every field of a mapping"
    if question.type == "list":
        member = LIST_MEMBERS.get(question.id)
        legal = [one.name for one in fields(member)] if member else []
        if part.id not in legal:
            yield ("id",), f'"{part.id}"', f"one of {', '.join(legal) or 'no fields: no such list'}"
    yield from _typed_faults(part)


def _typed_faults(entry: _Written | Field) -> Iterator[Fault]:
    """Choices where something is chosen, a dimension where something is measured."""
    if (entry.type in _CHOSEN) != bool(entry.choices):
        yield ("choices",), *_wanted(bool(entry.choices), "choices", entry.type)
    if (entry.type in _MEASURED) != bool(entry.dimension):
        yield ("dimension",), *_wanted(bool(entry.dimension), "dimension", entry.type)
    elif entry.dimension and entry.dimension not in DIMENSIONS:
        right = f"one of {', '.join(DIMENSIONS)}{nearest(entry.dimension, DIMENSIONS)}"
        yield ("dimension",), f'"{entry.dimension}"', right
    for index, choice in enumerate(entry.choices):
        if choice.id == UNKNOWN_WORD:
            yield ("choices", index), f'the choice "{UNKNOWN_WORD}"', "no such entry: it is implied"
        elif not _QUESTION_ID.fullmatch(choice.id):
            yield (
                ("choices", index),
                f'the choice "{choice.id}"',
                "lower-case words joined by underscores",
            )
    yield from _repeated("choices", [choice.id for choice in entry.choices])


def _wanted(given: bool, what: str, kind: str) -> tuple[str, str]:
    if given:
        return f"{what} in a question of type {kind}", f"no entry `{what}`"
    return f"no {what} in a question of type {kind}", f"`{what}: …`"


def _repeated(name: str, ids: list[str]) -> Iterator[Fault]:
    for each, count in Counter(ids).items():
        if count > 1:
            last = len(ids) - 1 - ids[::-1].index(each)
            yield (name, last), f'"{each}" a second time', "each id once"


def _example_faults(question: _Written) -> Iterator[Fault]:
    if not question.dimension or question.dimension not in DIMENSIONS:
        return
    for index, example in enumerate(question.unit_examples):
        try:
            parse_measure(example, question.dimension)
        except QuantityError as error:
            yield ("unit_examples", index), error.found, error.expected


def _duplicates(files: list[tuple[Document, _File]]) -> Iterator[InputProblem]:
    """One id in two places, in one file or in two."""
    seen: dict[str, str] = {}
    groups: dict[str, str] = {}
    orders: dict[int, str] = {}
    for document, checked in files:
        yield from _seen_before(document, ("group", "id"), checked.group.id, groups)
        yield from _seen_before(document, ("group", "order"), checked.group.order, orders)
        for index, question in enumerate(checked.questions):
            yield from _seen_before(document, ("questions", index, "id"), question.id, seen)


def _seen_before(
    document: Document, path: tuple[Step, ...], key: Any, seen: dict[Any, str]
) -> Iterator[InputProblem]:
    if key in seen:
        found = f'"{key}" a second time (first in {seen[key]})'
        yield _problem(document, path, found, "each only once")
    else:
        seen[key] = f"{document.path}:{document.place(path)[0]}"
