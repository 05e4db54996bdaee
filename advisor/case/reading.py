"""Reading a case file: every answer checked, every problem told at once and with its place."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from advisor.case.model import (
    LIST_MEMBERS,
    UNKNOWN,
    Answer,
    Case,
    Hole,
    PathPoint,
    Unknown,
    Value,
)
from advisor.case.problems import InputProblem, InputProblems, nearest
from advisor.case.quantities import DIMENSIONS, Measure, QuantityError, parse_measure
from advisor.case.questions import UNKNOWN_WORD, Field, Question, Questionnaire
from advisor.case.yaml_text import (
    Document,
    Step,
    YamlProblem,
    field_name,
    parse_yaml,
    read_yaml,
)

MAX_BYTES = 1024 * 1024
MAX_MEMBERS = 1000
MAX_COUNT = 1000
_LONGEST_LINE = 200
_TOP = ("case", "title", "notes", "answers")
_YES_NO = {"yes": "yes", "true": "yes", "no": "no", "false": "no"}
_LISTED_CHOICES = 30

# Answers of which zero cannot be meant; members of a list as `list.field`.
_ABOVE_ZERO = frozenset({
    "crack_length", "wall_thickness", "wall_thickness_max", "wall_radius", "span",
    "tensile_strength", "ultrasonic_velocity", "ultrasonic_set_velocity",
    "crack_path.wall", "holes.depth",
})  # fmt: skip
_NOT_NEGATIVE = frozenset({"nominal_stress"})


class CaseProblems(InputProblems):
    """All that is wrong with one case or one answer."""


def read_case(path: Path, questionnaire: Questionnaire, grades: Collection[str] = ()) -> Case:
    """Read a case file. Raises YamlProblem, or CaseProblems with everything that is wrong.

    Where `grades` are given, a `material_grade` has to be one of them.
    """
    return _case(read_yaml(path, MAX_BYTES), questionnaire, grades)


def parse_case(
    text: str, name: str, questionnaire: Questionnaire, grades: Collection[str] = ()
) -> Case:
    """Read a case from `text`; `name` stands for the file in messages. Raises as read_case."""
    return _case(parse_yaml(text, name, MAX_BYTES), questionnaire, grades)


def read_answer(question: Question, data: Any, grades: Collection[str] = ()) -> Value:
    """One answer from plain data: a text, or lists and mappings of texts. Raises CaseProblems."""
    reader = _Reader(Document("", data, {}), grades)
    value = reader.answer(question, data, (question.id,))
    reader.raise_problems()
    assert value is not None
    return value


def read_answers(
    document: Document, questionnaire: Questionnaire, grades: Collection[str] = ()
) -> dict[str, Answer]:
    """The answers of a case file, or of a file that holds nothing but answers.

    Raises CaseProblems.
    """
    if "answers" not in document.data:
        positions = {("answers", *path): place for path, place in document.positions.items()}
        document = Document(document.path, {"answers": document.data}, positions)
    reader = _Reader(document, grades)
    answers = reader.answers(document.data, questionnaire)
    reader.raise_problems()
    return answers


def parse_answer(question: Question, text: str, grades: Collection[str] = ()) -> Value:
    """One answer as a person types it at a prompt or after `--set`. Raises InputProblem."""
    return read_answer(question, plain_answer(question, text), grades)


def plain_answer(question: Question, text: str) -> Any:
    """The plain data behind a typed answer: lists and mappings are written as in YAML.

    Several choices may also be typed with commas between them. Raises YamlProblem.
    """
    text = text.strip()
    if text == UNKNOWN_WORD or question.type not in ("several", "list", "mapping"):
        return text
    if question.type == "several" and not text.startswith("["):
        return [part.strip() for part in text.split(",")]
    try:
        return parse_yaml(f"{question.id}: {text}", "").data[question.id]
    except YamlProblem as error:
        raise YamlProblem(error.found, error.expected, field=question.id) from None


def _case(document: Document, questionnaire: Questionnaire, grades: Collection[str]) -> Case:
    reader = _Reader(document, grades)
    data = document.data
    for key in data:
        if key not in _TOP:
            right = f"one of {', '.join(_TOP)}{nearest(key, _TOP)}"
            reader.problem((key,), f'the entry "{key}"', right)
    reference = reader.line(data, "case", required=True)
    title = reader.line(data, "title")
    notes = reader.notes(data)
    answers = reader.answers(data, questionnaire)
    reader.raise_problems()
    return Case(reference, title, notes, MappingProxyType(answers), document.path)


@dataclass
class _Reader:
    """Turns plain data into values and keeps a list of what is wrong with it."""

    document: Document
    grades: Collection[str]
    problems: list[InputProblem] = field(default_factory=list)

    def problem(self, path: tuple[Step, ...], found: str, right: str) -> None:
        line, column = self.document.place(path) if self.document.positions else (None, None)
        self.problems.append(
            InputProblem(
                found,
                right,
                field=field_name(path) or None,
                file=self.document.path or None,
                line=line,
                column=column,
            )
        )

    def raise_problems(self) -> None:
        if self.problems:
            raise CaseProblems(self.problems)

    def line(self, data: Mapping[str, Any], key: str, *, required: bool = False) -> str:
        """A short text of the heading."""
        if key not in data:
            if required:
                self.problem((), f'no entry "{key}"', f"`{key}: …`, the reference of the job")
            return ""
        return self._text(data[key], (key,), "a text in one line") or ""

    def notes(self, data: Mapping[str, Any]) -> str:
        notes = data.get("notes")
        if notes is not None and not isinstance(notes, str):
            self.problem(("notes",), _shown(notes), "a text")
            return ""
        return notes or ""

    def answers(self, data: Mapping[str, Any], questionnaire: Questionnaire) -> dict[str, Answer]:
        answers: dict[str, Answer] = {}
        if "answers" not in data:
            self.problem((), 'no entry "answers"', "`answers:` with the answers indented under it")
        given = data.get("answers")
        if given is None:
            return answers
        if not isinstance(given, dict):
            self.problem(("answers",), _shown(given), "answers of the form `question: answer`")
            return answers
        for key, entry in given.items():
            path = ("answers", key)
            question = questionnaire.by_id.get(key)
            if question is None:
                right = f"the id of a question{nearest(key, questionnaire.by_id)}"
                self.problem(path, f'the question "{key}"', right)
                continue
            value = self.answer(question, entry, path)
            if value is not None:
                answers[key] = Answer(value, self.document.place(path)[0])
        self._compare(answers)
        return answers

    def answer(self, question: Question, data: Any, path: tuple[Step, ...]) -> Value | None:
        """The value, or None after a problem was noted."""
        if data == UNKNOWN_WORD:
            return UNKNOWN
        if question.type == "several":
            return self._several(question, data, path)
        if question.type == "list":
            return self._list(question, data, path)
        if question.type == "mapping":
            return self._mapping(question, data, path)
        if question.type == "grade":
            return self._grade(data, path)
        return self._single(question, data, path, question.id)

    def _single(
        self, entry: Question | Field, data: Any, path: tuple[Step, ...], name: str
    ) -> str | Measure | None:
        """One value without parts; `name` is the id, or `list.field`."""
        if entry.type == "choice":
            return self._choice(entry, data, path)
        if entry.type == "yes_no":
            return self._yes_no(data, path)
        if entry.type == "text":
            return self._text(data, path, "a text in one line or unknown")
        return self._measure(entry, data, path, name)

    def _text(self, data: Any, path: tuple[Step, ...], right: str) -> str | None:
        if not isinstance(data, str) or not data.strip():
            self.problem(path, _shown(data), right)
        elif len(data) > _LONGEST_LINE:
            self.problem(path, f"{len(data)} characters", f"at most {_LONGEST_LINE} characters")
        elif "\n" in data or "\t" in data:
            self.problem(path, "a line break or a tab", right)
        else:
            return data.strip()
        return None

    def _choice(self, entry: Question | Field, data: Any, path: tuple[Step, ...]) -> str | None:
        ids = [choice.id for choice in entry.choices]
        if isinstance(data, str) and data in ids:
            return data
        self.problem(path, _shown(data), _one_of(data, [*ids, UNKNOWN_WORD]))
        return None

    def _yes_no(self, data: Any, path: tuple[Step, ...]) -> str | None:
        answer = _YES_NO.get(data.lower()) if isinstance(data, str) else None
        if answer is None:
            self.problem(path, _shown(data), "yes, no or unknown")
        return answer

    def _measure(
        self, entry: Question | Field, data: Any, path: tuple[Step, ...], name: str
    ) -> Measure | None:
        kind = DIMENSIONS[entry.dimension or "number"]
        if not isinstance(data, str):
            self.problem(path, _shown(data), f"{kind.expected}; or unknown")
            return None
        try:
            value = parse_measure(data, kind.name)
        except QuantityError as error:
            near = nearest(data, [UNKNOWN_WORD])
            self.problem(path, error.found, f"{error.expected}; or unknown{near}")
            return None
        right = _out_of_place(value, name, entry.type)
        if right is not None:
            self.problem(path, data, f"{right}; or unknown")
            return None
        return value

    def _grade(self, data: Any, path: tuple[Step, ...]) -> str | None:
        text = self._text(data, path, "a designation such as EN-GJL-250, or unknown")
        if text is None or not self.grades:
            return text
        by_plain = {_plain_grade(grade): grade for grade in self.grades}
        if _plain_grade(text) in by_plain:
            return by_plain[_plain_grade(text)]
        right = f"a designation that the tables hold, or unknown{nearest(text, self.grades)}"
        self.problem(path, f'the grade "{text}"', right)
        return None

    def _several(
        self, question: Question, data: Any, path: tuple[Step, ...]
    ) -> tuple[str, ...] | None:
        ids = question.choice_ids
        before = len(self.problems)
        members = [data] if isinstance(data, str) else data
        if not isinstance(members, list) or (not members and "none" in ids):
            right = f"a list of choices, such as [{', '.join(ids[:2])}], or unknown"
            self.problem(path, "an empty list" if members == [] else _shown(data), right)
            return None
        for index, member in enumerate(members):
            place = (*path, index) if isinstance(data, list) else path
            self._member_choice(member, ids, members[:index], place)
        if "none" in members and len(members) > 1:
            self.problem(path, "none together with other choices", "none alone, or the others")
        return None if len(self.problems) > before else tuple(members)

    def _member_choice(
        self, member: Any, ids: tuple[str, ...], earlier: list[Any], path: tuple[Step, ...]
    ) -> None:
        if member == UNKNOWN_WORD:
            self.problem(path, "unknown among other choices", "unknown alone, or the choices")
        elif not isinstance(member, str) or member not in ids:
            hint = "; several choices as a list, such as [a, b]" if "," in str(member) else ""
            self.problem(path, _shown(member), _one_of(member, ids) + hint)
        elif member in earlier:
            self.problem(path, f'"{member}" a second time', "each choice once")

    def _list(
        self, question: Question, data: Any, path: tuple[Step, ...]
    ) -> tuple[Hole, ...] | tuple[PathPoint, ...] | None:
        if not isinstance(data, list):
            right = "a list, each member starting with `- `, or unknown"
            self.problem(path, _shown(data), right)
            return None
        if len(data) > MAX_MEMBERS:
            self.problem(path, f"{len(data)} members", f"at most {MAX_MEMBERS} members")
            return None
        before = len(self.problems)
        parts = [self._parts(question, each, (*path, index)) for index, each in enumerate(data)]
        if question.id == "crack_path" and len(data) < 2:
            self.problem(path, f"a list of {len(data)}", "two points or more along the crack")
        if len(self.problems) > before:
            return None
        # Checked above, field by field, so the models need not check again.
        if LIST_MEMBERS[question.id] is Hole:
            return tuple(Hole(**each) for each in parts)
        return tuple(PathPoint(**each) for each in parts)

    def _mapping(
        self, question: Question, data: Any, path: tuple[Step, ...]
    ) -> Mapping[str, Measure] | None:
        before = len(self.problems)
        parts = self._parts(question, data, path)
        values = {key: part for key, part in parts.items() if isinstance(part, Measure)}
        if data == {}:
            self.problem(path, "nothing in it", "at least one element, or unknown")
        if question.id == "composition":
            total = sum(value.low for value in values.values())
            if total > 100:
                self.problem(path, f"{total:.6g} % in all", "at most 100 % in all")
        return None if len(self.problems) > before else MappingProxyType(values)

    def _parts(self, question: Question, data: Any, path: tuple[Step, ...]) -> dict[str, Any]:
        """The fields of one member of a list, or of a mapping."""
        parts: dict[str, str | Measure | Unknown | None] = {}
        if not isinstance(data, dict):
            names = ", ".join(part.id for part in question.fields)
            self.problem(path, _shown(data), f"entries `name: value` with the names {names}")
            return parts
        by_id = {part.id: part for part in question.fields}
        for key, entry in data.items():
            part = by_id.get(key)
            if part is None:
                right = f"one of {', '.join(by_id)}{nearest(key, by_id)}"
                self.problem((*path, key), f'the entry "{key}"', right)
            elif entry == UNKNOWN_WORD:
                parts[key] = UNKNOWN
            else:
                name = f"{question.id}.{key}"
                parts[key] = self._single(part, entry, (*path, key), name)
        for part in question.fields:
            if not part.optional and part.id not in data:
                self.problem(path, f'no entry "{part.id}"', f"`{part.id}: …` ({part.text})")
        return parts

    def _compare(self, answers: Mapping[str, Answer]) -> None:
        """Answers that cannot both be true."""
        self._not_above(answers, "wall_thickness", "wall_thickness_max")
        self._not_above(answers, "temperature_min", "temperature_max")

    def _not_above(self, answers: Mapping[str, Answer], small: str, large: str) -> None:
        less = answers[small].value if small in answers else None
        more = answers[large].value if large in answers else None
        if isinstance(less, Measure) and isinstance(more, Measure) and less.low > more.high:
            found = f"a value below {small} (line {answers[small].line})"
            self.problem(("answers", large), found, f"{large} at or above {small}")


def _out_of_place(value: Measure, name: str, type_: str) -> str | None:
    """What would be right, where the value is possible in itself but not in this question."""
    kind = DIMENSIONS[value.dimension]
    such = " or ".join(kind.examples)
    if name in _ABOVE_ZERO and value.low <= 0:
        return f"{kind.noun} above 0, such as {such}"
    if name in _NOT_NEGATIVE and value.low < 0:
        return f"{kind.noun} of 0 or more, such as {such}"
    if type_ == "number" and kind.name in ("number", "year"):
        whole = value.low.is_integer() and value.high.is_integer()
        if not whole:
            return f"a whole number, such as {such}"
        if kind.name == "number" and not 0 <= value.low <= value.high <= MAX_COUNT:
            return f"a whole number from 0 to {MAX_COUNT}"
    return None


def _one_of(data: Any, legal: Iterable[str]) -> str:
    choices = list(legal)
    shown = ", ".join(choices[:_LISTED_CHOICES])
    near = nearest(data, choices) if isinstance(data, str) else ""
    return f"one of {shown}{near}"


def _plain_grade(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text).casefold()


def _shown(value: object) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, str):
        return f'"{value[:60]}"'
    return "a list" if isinstance(value, list) else "a mapping"
