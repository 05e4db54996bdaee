"""JSON Schema of the case file, for editors that complete and check while one types."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from typing import Any

from advisor.case.quantities import DIMENSIONS
from advisor.case.questions import UNKNOWN_WORD, Choice, Field, Question, Questionnaire
from advisor.case.reading import MAX_COUNT, MAX_MEMBERS
from advisor.case.units import Dimension

Schema = dict[str, Any]

_NUMBER = (
    r"[+-]?(?:(?:[0-9]+[ -])?[0-9]+/[0-9]+|(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
)
_BETWEEN = r" ?(?:\.\.|\+/-|\+-|±) ?"
# An editor reads these words and bare numbers as other things than text.
_COUNT: Schema = {"type": ["string", "integer"], "minimum": 0, "maximum": MAX_COUNT}
_AS_READ = {"yes": True, "no": False, "true": True, "false": False}


def case_schema(questionnaire: Questionnaire, grades: Collection[str]) -> Schema:
    """JSON Schema (draft 2020-12) of a case file."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Case of a cracked casting",
        "description": "What is known about one part. Every question takes `unknown`; a question "
        "left out is unanswered.",
        "type": "object",
        "required": ["case", "answers"],
        "additionalProperties": False,
        "properties": {
            "case": _described(_one_line(), "Reference of the job."),
            "title": _described(_one_line(), "What the part is and what happened, in a line."),
            "notes": {"type": ["string", "null"], "description": "Anything else worth keeping."},
            "answers": {
                "type": ["object", "null"],
                "additionalProperties": False,
                "properties": {each.id: _question(each, grades) for each in questionnaire},
            },
        },
        "$defs": {name: _measured(kind) for name, kind in DIMENSIONS.items()}
        | {"count": {**_measured(DIMENSIONS["number"]), **_COUNT}},
    }


def _described(schema: Schema, text: str) -> Schema:
    return {"description": text, **schema}


def _question(question: Question, grades: Collection[str]) -> Schema:
    text = f"{question.text}\n\n{question.why}"
    return {
        "title": question.id.replace("_", " "),
        "description": text + _meanings(question.choices),
        **_shape(question, grades),
    }


def _meanings(choices: Iterable[Choice]) -> str:
    lines = [f"- {choice.id}: {choice.means}" for choice in choices]
    return "\n\n" + "\n".join(lines) if lines else ""


def _shape(question: Question, grades: Collection[str]) -> Schema:
    if question.type == "several":
        return _several(question)
    if question.type == "grade":
        return _words(grades) if grades else _one_line()
    if question.type == "list":
        fewest = 2 if question.id == "crack_path" else 0
        members = {
            "type": "array", "items": _parts(question), "minItems": fewest, "maxItems": MAX_MEMBERS,
        }  # fmt: skip
        return _or_unknown(members)
    if question.type == "mapping":
        return _or_unknown({**_parts(question), "minProperties": 1})
    return _single(question, question.unit_examples)


def _single(entry: Question | Field, examples: Iterable[str] = ()) -> Schema:
    if entry.type == "choice":
        return _words(choice.id for choice in entry.choices)
    if entry.type == "yes_no":
        return _words(_AS_READ)
    if entry.type == "text":
        return _one_line()
    name = entry.dimension or "number"
    counted = entry.type == "number" and name == "number"
    shown = list(examples) or list(DIMENSIONS[name].examples)
    return {"$ref": f"#/$defs/{'count' if counted else name}", "examples": shown}


def _words(words: Iterable[str]) -> Schema:
    legal: list[str | bool] = [*words, UNKNOWN_WORD]
    for word, read in _AS_READ.items():
        if word in legal and read not in legal:
            legal.append(read)
    return {"enum": legal}


def _several(question: Question) -> Schema:
    choices = question.choice_ids
    members: Schema = {
        "type": "array",
        "items": {"enum": list(choices)},
        "uniqueItems": True,
    }
    if "none" in choices:
        members["minItems"] = 1
        # `none` stands alone.
        members["if"] = {"contains": {"const": "none"}}
        members["then"] = {"maxItems": 1}
    return {"anyOf": [members, {"enum": [*choices, UNKNOWN_WORD]}]}


def _parts(question: Question) -> Schema:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": [part.id for part in question.fields if not part.optional],
        "properties": {
            part.id: _described(_single(part), part.text + _meanings(part.choices))
            for part in question.fields
        },
    }


def _or_unknown(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"const": UNKNOWN_WORD}]}


def _one_line() -> Schema:
    # `8.8` is a bolt class, and a reference may be a plain number.
    return {"type": ["string", "number"], "pattern": r"^[^\n\t]*\S[^\n\t]*$", "maxLength": 200}


def _measured(kind: Dimension) -> Schema:
    """A value, a range or a value with its spread, in the units of the table."""
    unit = _either(kind.units)
    tail = f"{_BETWEEN}{_NUMBER} ?(?:{unit}|%)?"
    amount = f"{_NUMBER} ?{unit}(?:{tail})?|{_NUMBER}{_BETWEEN}{_NUMBER} ?{unit}"
    schema: Schema = {"type": "string", "pattern": f"^(?:{UNKNOWN_WORD}|{amount})$"}
    if kind.takes_bare_number:
        schema["type"] = ["string", "number"]
        schema["maximum"] = kind.most
        if kind.least is not None:
            schema["minimum"] = kind.least
    return schema


def _either(units: Iterable[str]) -> str:
    names = sorted((re.escape(unit) for unit in units if unit), key=len, reverse=True)
    pattern = f"(?:{'|'.join(names)})"
    return f"{pattern}?" if "" in units else pattern
