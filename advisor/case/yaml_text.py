"""Reading YAML as plain text with positions: no typing, no aliases, no surprises.

Every scalar stays the text that the writer typed (`no`, `1e-5` and `2024-01-01` are text), only an
empty value and `null` become ``None``. What a person would not write by hand is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from pathlib import Path
from typing import Any, NoReturn

import yaml

from advisor.case.problems import InputProblem
from advisor.light_dataclass import dataclass

Step = str | int
Place = tuple[int, int]

MAX_BYTES = 1024 * 1024
MAX_DEPTH = 20

_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_NULL = frozenset({"", "~", "null", "Null", "NULL"})

_WELL_FORMED = "a well-formed YAML file"
# What the parser complains of, and what the writer should have written.
_ADVICE = (
    ("mapping values are not allowed", "`key: value`, and quotes around a text with `: ` in it"),
    (
        "cannot start any token",
        "spaces in place of tabs, and quotes around a text that starts with @, %, ` or a tab",
    ),
    ("could not find expected ':'", "`key: value` with a space after the colon"),
    ("did not find expected key", "entries of one mapping indented alike"),
    ("did not find expected '-' indicator", "entries of one list indented alike"),
    ("unexpected end of stream", "the closing quote"),
    ("did not find expected ',' or", "a closing bracket, and commas between the members"),
)


class YamlProblem(InputProblem):
    """A file that cannot be read as the simple YAML that this program takes."""


@dataclass(frozen=True)
class Document:
    """One YAML mapping: its data, and the line and column (from 1) of every entry.

    The place of a mapping's entry is that of its key; the place of a list's member is its start.
    """

    path: str
    data: Any
    positions: Mapping[tuple[Step, ...], Place]

    def place(self, path: tuple[Step, ...]) -> Place:
        """Line and column of `path`, or of the nearest entry above it that is written."""
        while path and path not in self.positions:
            path = path[:-1]
        return self.positions.get(path, (1, 1))


def field_name(path: tuple[Step, ...]) -> str:
    """The name of an entry for people; list members count from 1.

    >>> field_name(("answers", "holes", 1, "depth"))
    'answers.holes[2].depth'
    """
    name = ""
    for step in path:
        if isinstance(step, int):
            name += f"[{step + 1}]"
        else:
            name += f".{step}" if name else step
    return name


def read_yaml(path: Path, max_bytes: int = MAX_BYTES) -> Document:
    """Read one file. Raises YamlProblem."""
    name = str(path)
    try:
        with path.open("rb") as stream:
            raw = stream.read(max_bytes + 1)
    except OSError as error:
        reason = (error.strerror or "an unreadable file").lower()
        raise YamlProblem(reason, "a YAML file that can be read", file=name) from None
    if len(raw) > max_bytes:
        raise YamlProblem(
            f"more than {max_bytes} bytes", f"a file of at most {max_bytes} bytes", file=name
        )
    return parse_yaml(_decode(raw, name), name, max_bytes)


def parse_yaml(text: str, name: str, max_bytes: int = MAX_BYTES) -> Document:
    """Parse one document; `name` stands for the file in messages. Raises YamlProblem."""
    text = text.removeprefix("\ufeff")
    if len(text) > max_bytes:
        raise YamlProblem(
            f"{len(text)} characters", f"a file of at most {max_bytes} bytes", file=name
        )
    _refuse_control_characters(text, name)
    parser = _LOADER(text)
    try:
        return _Builder(name).build(parser)
    except yaml.MarkedYAMLError as error:
        raise _syntax_problem(error, name) from None
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        # The pure parser lets an impossible escape such as "\UFFFFFFFF" through.
        raise YamlProblem(_one_line(error), _WELL_FORMED, file=name) from None
    finally:
        parser.dispose()


@dataclass
class _Open:
    """A list or mapping that is still being read."""

    path: tuple[Step, ...]
    place: Place
    items: list[Any] | None = None
    entries: dict[str, Any] | None = None
    key: str | None = None


@dataclass
class _Builder:
    """Turns parser events into data without recursion, so depth is checked before it hurts."""

    name: str
    positions: dict[tuple[Step, ...], Place] = field(default_factory=dict)
    stack: list[_Open] = field(default_factory=list)
    documents: int = 0
    data: Any = None

    def build(self, parser: Any) -> Document:
        next_event = parser.get_event
        while True:
            event = next_event()
            kind = type(event)
            if kind is yaml.ScalarEvent:
                self._scalar(event)
            elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
                self._start(event, kind is yaml.MappingStartEvent)
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                self._end()
            elif kind is yaml.AliasEvent:
                self._refuse(event, f"the alias *{event.anchor}", "the value written out in full")
            elif kind is yaml.DocumentStartEvent:
                self._document(event)
            elif kind is yaml.StreamEndEvent:
                break
        if not self.documents or self.data is None:
            raise YamlProblem("an empty file", "entries of the form `key: value`", file=self.name)
        return Document(self.name, self.data, self.positions)

    def _document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            self._refuse(event, "a second document", "one document in a file, no `---` after it")

    def _scalar(self, event: Any) -> None:
        self._plain_only(event)
        text: str = event.value
        # Escapes in double quotes can bring in what the raw text was already searched for.
        bad = _FORBIDDEN.search(text)
        if bad:
            self._refuse(event, f"the control character U+{ord(bad[0]):04X}", "printable text")
        value = None if event.implicit[0] and text in _NULL else text
        top = self.stack[-1] if self.stack else None
        if top is not None and top.entries is not None and top.key is None:
            self._key(top, event, value)
        else:
            self._add(value, self._enter(event))

    def _start(self, event: Any, mapping: bool) -> None:
        self._plain_only(event)
        top = self.stack[-1] if self.stack else None
        if top is not None and top.entries is not None and top.key is None:
            self._refuse(event, "a list or mapping as a key", "a single word as a key")
        if len(self.stack) >= MAX_DEPTH:
            self._refuse(
                event,
                f"more than {MAX_DEPTH} levels, one inside the other",
                f"at most {MAX_DEPTH} levels",
            )
        path = self._enter(event)
        if mapping:
            self.stack.append(_Open(path, _place(event), entries={}))
        else:
            self.stack.append(_Open(path, _place(event), items=[]))

    def _end(self) -> None:
        done = self.stack.pop()
        self._add(done.entries if done.items is None else done.items, done.path)

    def _key(self, top: _Open, event: Any, key: str | None) -> None:
        if not key:
            self._refuse(event, "an entry without a name", "`key: value`")
        path = (*top.path, key)
        if path in self.positions:
            line = self.positions[path][0]
            self._refuse(
                event, f'the key "{key}" a second time (first in line {line})', "each key once"
            )
        self.positions[path] = _place(event)
        top.key = key

    def _enter(self, event: Any) -> tuple[Step, ...]:
        """Path of the value that starts here; a key has already noted its own place."""
        if not self.stack:
            if type(event) is not yaml.MappingStartEvent:
                empty = getattr(event, "value", None) == "" and event.implicit[0]
                found = "an empty file" if empty else "a bare value or a list at the top"
                self._refuse(event, found, "entries of the form `key: value`")
            path: tuple[Step, ...] = ()
        else:
            top = self.stack[-1]
            if top.key is not None:
                return (*top.path, top.key)
            path = (*top.path, len(top.items or ()))
        self.positions[path] = _place(event)
        return path

    def _add(self, value: Any, path: tuple[Step, ...]) -> None:
        if not self.stack:
            self.data = value
            return
        top = self.stack[-1]
        if top.items is not None:
            top.items.append(value)
        elif top.entries is not None and top.key is not None:
            top.entries[top.key] = value
            top.key = None

    def _plain_only(self, event: Any) -> None:
        if event.anchor is not None:
            self._refuse(event, f"the anchor &{event.anchor}", "values without anchors")
        if event.tag is not None:
            self._refuse(event, f"the tag {event.tag}", "values without tags")

    def _refuse(self, event: Any, found: str, expected: str) -> NoReturn:
        line, column = _place(event)
        path: tuple[Step, ...] = ()
        if self.stack:
            top = self.stack[-1]
            path = top.path if top.key is None else (*top.path, top.key)
        raise YamlProblem(
            found,
            expected,
            field=field_name(path) or None,
            file=self.name,
            line=line,
            column=column,
        )


def _place(event: Any) -> Place:
    mark = event.start_mark
    return mark.line + 1, mark.column + 1


def _decode(raw: bytes, name: str) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8")) + 1
        raise YamlProblem(
            f"the byte 0x{raw[error.start]:02x}, which is not UTF-8",
            "a text file saved as UTF-8",
            file=name,
            line=line,
            column=column,
        ) from None


def _refuse_control_characters(text: str, name: str) -> None:
    bad = _FORBIDDEN.search(text)
    if bad is None:
        return
    start = bad.start()
    raise YamlProblem(
        f"the control character U+{ord(bad[0]):04X}",
        "printable text",
        file=name,
        line=text.count("\n", 0, start) + 1,
        column=start - text.rfind("\n", 0, start),
    )


def _syntax_problem(error: yaml.MarkedYAMLError, name: str) -> YamlProblem:
    problem = error.problem or "broken YAML"
    expected = next((right for sign, right in _ADVICE if sign in problem), _WELL_FORMED)
    mark = error.problem_mark or error.context_mark
    return YamlProblem(
        f"broken YAML ({_one_line(problem)})",
        expected,
        file=name,
        line=mark.line + 1 if mark else None,
        column=mark.column + 1 if mark else None,
    )


def _one_line(problem: object) -> str:
    return " ".join(str(problem).split())
