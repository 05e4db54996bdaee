"""Writing case files: an answer is set or taken out, and every other byte stays as it was.

A person's comments, order, quoting and spacing are theirs. So the text is edited where the answer
stands, read back to prove that nothing else changed, and only then put in place of the old file.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

from advisor.case.model import Hole, PathPoint, Unknown, Value
from advisor.case.problems import InputProblem
from advisor.case.quantities import Measure
from advisor.case.yaml_text import parse_yaml, read_yaml
from advisor.light_dataclass import dataclass

# Plain data as in a case file: a text, or lists and mappings of texts.
Plain = str | list[Any] | dict[str, Any]

_INDENT = 2
# What needs no quotes, in brackets too.
_PLAIN = re.compile(r"""(?!-(?:[ -]|$)|\.\.\.)[\w.+/-][\w .+/()%°±*·^'"=;-]*(?<! )""", re.ASCII)
_NULL = ("null", "Null", "NULL")


def set_answers(path: Path, changes: Mapping[str, Plain | None]) -> None:
    """Set answers in an existing case file, or take them out where the change is None.

    The file is replaced in one step or left untouched. Raises InputProblem.
    """
    document = read_yaml(path)
    raw = path.read_bytes()
    mark = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    content = mark + edit_text(raw.decode("utf-8-sig"), document.path, changes).encode("utf-8")
    if content != raw:
        replace_file(path, content)


def create_case(
    path: Path,
    reference: str,
    title: str = "",
    notes: str = "",
    answers: Mapping[str, Plain] | None = None,
) -> None:
    """Write a new case file. Raises InputProblem where there is a file already."""
    if path.exists():
        raise InputProblem("a file of that name", "a new name", file=str(path))
    replace_file(path, case_text(reference, title, notes, answers or {}).encode("utf-8"))


def case_text(reference: str, title: str, notes: str, answers: Mapping[str, Plain]) -> str:
    """A whole case file as text.

    >>> print(case_text("J-1", "Pump housing", "", {"wall_thickness": "9 mm"}), end="")
    case: J-1
    title: Pump housing
    answers:
      wall_thickness: 9 mm
    """
    lines = [f"case: {_scalar(reference)}"]
    if title:
        lines.append(f"title: {_scalar(title)}")
    if notes:
        lines.append(f"notes: {_block_text(notes)}")
    lines.append("answers:")
    lines += [_entry(key, value, _INDENT, "\n") for key, value in answers.items()]
    text = "\n".join(lines) + "\n"
    wanted: dict[str, Any] = {"case": reference, "answers": dict(answers) or None}
    wanted |= {"title": title} if title else {}
    wanted |= {"notes": notes} if notes else {}
    _prove(text, reference, wanted)
    return text


def to_plain(value: Value) -> Plain:
    """A value as plain data that reads back as the same value.

    >>> to_plain(Measure(8.0, 10.0, "length"))
    '8 .. 10 mm'
    """
    if isinstance(value, Unknown):
        return value.value
    if isinstance(value, Measure):
        return _measure_text(value)
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return {key: _measure_text(each) for key, each in value.items()}
    return [each if isinstance(each, str) else _member(each) for each in value]


def edit_text(text: str, name: str, changes: Mapping[str, Plain | None]) -> str:
    """The text of a case file with answers set, or taken out where the change is None."""
    for key, value in changes.items():
        wanted = parse_yaml(text, name).data
        if not isinstance(wanted.get("answers"), dict):
            wanted["answers"] = {}
        if value is None:
            wanted["answers"].pop(key, None)
        else:
            wanted["answers"][key] = value
        text = _edit(text, key, value)
        _prove(text, name, wanted)
    return text


def _prove(text: str, name: str, wanted: dict[str, Any]) -> None:
    """What was written must read back as what was meant."""
    try:
        found = parse_yaml(text, name).data
    except InputProblem:
        found = {}
    same = {**found, "answers": found.get("answers") or None}
    if same != {**wanted, "answers": wanted["answers"] or None}:
        raise InputProblem(
            "a layout that cannot be edited safely",
            "`answers:` with one `question: answer` in a line under it",
            file=name,
        )


def _member(member: Hole | PathPoint) -> dict[str, str]:
    return {
        key: each if isinstance(each, str) else str(to_plain(each))
        for key, each in member.given().items()
    }


def _measure_text(value: Measure) -> str:
    low, high = (repr(end).removesuffix(".0") for end in (value.low, value.high))
    number = low if low == high else f"{low} .. {high}"
    return number if value.unit in ("1", "year") else f"{number} {value.unit}"


@dataclass(frozen=True)
class _Span:
    """Where one answer stands in the text."""

    key_start: int
    key_end: int
    start: int
    end: int
    inline: bool


def _edit(text: str, key: str, value: Plain | None) -> str:
    root: Any = yaml.compose(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    answers = _child(root, "answers")
    if answers is None:
        return text if value is None else _append_answers(text, root, key, value)
    if not isinstance(answers, yaml.MappingNode):
        return text if value is None else _first_answer(text, answers, key, value)
    spans = [(name.value, _span(text, name, node)) for name, node in answers.value]
    at = next((index for index, (name, _) in enumerate(spans) if name == key), None)
    flow = bool(answers.flow_style)
    if value is None:
        if at is None:
            return text
        cut = _cut_flow if flow else _cut_line
        return cut(text, [span for _, span in spans], at)
    if at is not None:
        return _set(text, spans[at][1], value, flow)
    if flow:
        return _insert_flow(text, answers, key, value)
    last = spans[-1][1]
    end = _line_end(text, last.end)
    entry = _entry(key, value, last.key_start - _line_start(text, last.key_start), _newline(text))
    return text[:end] + _newline(text) + entry + text[end:]


def _child(root: Any, key: str) -> Any:
    return next((node for name, node in root.value if name.value == key), None)


def _span(text: str, key: yaml.Node, node: yaml.Node) -> _Span:
    inline = not isinstance(node, yaml.CollectionNode) or bool(node.flow_style)
    end = _end(text, node)
    return _Span(key.start_mark.index, key.end_mark.index, node.start_mark.index, end, inline)


def _end(text: str, node: yaml.Node) -> int:
    """Index after the last character of a value, without the space and comments after it."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _end(text, last[1] if isinstance(last, tuple) else last)
    end = int(node.end_mark.index)
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        return len(text[:end].rstrip())
    return end


def _set(text: str, span: _Span, value: Plain, flow: bool) -> str:
    colon = text.index(":", span.key_end) + 1
    # A comment between the question and its answer is kept.
    between = text[colon : max(colon, span.start)].rstrip()
    if not flow and _in_lines(value):
        indent = span.key_start - _line_start(text, span.key_start)
        lines = _lines(value, indent, _newline(text))
        return text[:colon] + between + lines + text[span.end :]
    if span.inline and span.start > colon:
        return text[: span.start] + _inline(value) + text[span.end :]
    return f"{text[:colon]} {_inline(value)}{between}{text[span.end :]}"


def _cut_line(text: str, spans: list[_Span], at: int) -> str:
    end = _line_end(text, spans[at].end)
    end += len(_newline(text)) if end < len(text) else 0
    return text[: _line_start(text, spans[at].key_start)] + text[end:]


def _cut_flow(text: str, spans: list[_Span], at: int) -> str:
    if at + 1 < len(spans):
        return text[: spans[at].key_start] + text[spans[at + 1].key_start :]
    start = spans[at - 1].end if at else spans[at].key_start
    return text[:start] + text[spans[at].end :]


def _insert_flow(text: str, answers: yaml.MappingNode, key: str, value: Plain) -> str:
    brace = answers.end_mark.index - 1
    before = text[:brace].rstrip()
    comma = "" if before.endswith(("{", ",")) else ","
    space = "" if before.endswith("{") else " "
    return f"{before}{comma}{space}{key}: {_inline(value)}{text[len(before) :]}"


def _first_answer(text: str, empty: yaml.Node, key: str, value: Plain) -> str:
    """`answers:` stands there with nothing under it."""
    text = text[: empty.start_mark.index] + text[empty.end_mark.index :]
    end = _line_end(text, empty.start_mark.index)
    newline = _newline(text)
    return text[:end] + newline + _entry(key, value, _INDENT, newline) + text[end:]


def _append_answers(text: str, root: yaml.Node, key: str, value: Plain) -> str:
    newline = _newline(text)
    end = _line_end(text, _end(text, root))
    entry = _entry(key, value, _INDENT, newline)
    return f"{text[:end]}{newline}answers:{newline}{entry}{text[end:]}"


def _entry(key: str, value: Plain, indent: int, newline: str) -> str:
    if _in_lines(value):
        return f"{' ' * indent}{key}:{_lines(value, indent, newline)}"
    return f"{' ' * indent}{key}: {_inline(value)}"


def _in_lines(value: Plain) -> bool:
    """Lists of mappings stand one in a line."""
    return isinstance(value, list) and any(isinstance(member, dict) for member in value)


def _lines(value: Plain, indent: int, newline: str) -> str:
    return "".join(f"{newline}{' ' * (indent + _INDENT)}- {_inline(each)}" for each in value)


def _inline(value: Plain) -> str:
    if isinstance(value, str):
        return _scalar(value)
    if isinstance(value, dict):
        return (
            "{" + ", ".join(f"{_scalar(key)}: {_inline(each)}" for key, each in value.items()) + "}"
        )
    return "[" + ", ".join(_inline(each) for each in value) + "]"


def _scalar(text: str) -> str:
    if _PLAIN.fullmatch(text) and text not in _NULL:
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return "".join(char if char.isprintable() else f"\\U{ord(char):08X}" for char in quoted)


def _block_text(text: str) -> str:
    """Notes of several lines as a person would write them, where YAML lets them stand so."""
    lines = text.split("\n")
    odd = any(line != line.rstrip() or not (line.isprintable() or not line) for line in lines)
    if len(lines) == 1 or odd or not lines[0] or lines[0][0] == " " or text.endswith("\n\n"):
        return _scalar(text)
    mark = "|" if text.endswith("\n") else "|-"
    return "\n".join(
        [mark, *(f"  {line}".rstrip() for line in text.removesuffix("\n").split("\n"))]
    )


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _line_start(text: str, index: int) -> int:
    return text.rfind("\n", 0, index) + 1


def _line_end(text: str, index: int) -> int:
    end = text.find("\n", index)
    if end < 0:
        return len(text)
    return end - 1 if text[end - 1 : end] == "\r" else end


def replace_file(path: Path, content: bytes) -> None:
    """Write beside the file, force it to the disk, then put it in place in one step."""
    target = path.resolve()  # a link stays a link
    if target.exists() and not os.access(target, os.W_OK):
        raise InputProblem("a read-only file", "a file that can be written", file=str(path))
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    except OSError as error:
        raise _unwritable(path, error) from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, _mode(target))
        os.replace(name, target)
    except OSError as error:
        raise _unwritable(path, error) from None
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(name)
    _sync_folder(target.parent)


def _mode(target: Path) -> int:
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _unwritable(path: Path, error: OSError) -> InputProblem:
    reason = (error.strerror or "an unwritable file").lower()
    return InputProblem(reason, "a file that can be written", file=str(path))
