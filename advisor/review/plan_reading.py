"""Reading a plan file: everything checked, every problem told at once and with its place."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from advisor.advice.rulebook import METHODS, Rulebook
from advisor.case.model import Case
from advisor.case.problems import InputProblem, InputProblems, nearest
from advisor.case.quantities import DIMENSIONS, QuantityError, parse_measure
from advisor.case.yaml_text import Document, Step, field_name, parse_yaml, read_yaml
from advisor.engineering.designations import DesignationError, parse_designation
from advisor.engineering.insert_geometry import KINDS
from advisor.review.plan import (
    COOLINGS,
    INSPECTED,
    MEDIA,
    SEQUENCE_WORDS,
    Override,
    Plan,
    PlannedHeat,
    PlannedInsert,
    PlannedInspection,
    PlannedKeys,
    PlannedPin,
    PlannedSection,
    Thread,
)

MAX_BYTES = 1024 * 1024
MAX_MEMBERS = 500
MAX_COUNT = 10_000
VERDICTS = ("repair", "repair_with_approval", "investigate", "refer", "replace")
TOP = (
    "plan", "by", "case", "notes", "verdict", "method", "pin", "keys", "inserts", "heat",
    "inspections", "test_pressure", "test_medium", "sequence", "overrides",
)  # fmt: skip
_PIN = ("thread", "pitch", "count", "spotface_depth", "length")
_KEYS = ("count", "spacing", "depth", "section", "staggered")
_SECTION = ("neck_width", "lobe_diameter", "lobe_pitch", "lobes_each_side", "yield_strength")
_INSERT = ("hole", "outside_thread", "length", "kind")
_HEAT = ("preheat", "interpass_max", "filler", "cooling")
_INSPECTION = ("when", "method", "hold_point", "what")
_OVERRIDE = ("rule", "reason", "by")
_LONGEST_LINE = 200
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}

Path_ = tuple[Step, ...]
M = TypeVar("M")


class PlanProblems(InputProblems):
    """All that is wrong with one plan."""


def read_plan(path: Path, book: Rulebook, case: Case | None = None) -> Plan:
    """Read a plan file.

    Args:
        path: the file.
        book: names of rules, inspections and keys that a plan may use.
        case: the case, so that holes can be counted; None to leave that out.

    Raises:
        InputProblem: with everything that is wrong, each with its line and what would be right.
    """
    return _Reader(read_yaml(path, MAX_BYTES), book, case).plan()


def parse_plan(text: str, name: str, book: Rulebook, case: Case | None = None) -> Plan:
    """Read a plan from text; ``name`` stands for the file in messages. Raises as read_plan."""
    return _Reader(parse_yaml(text, name, MAX_BYTES), book, case).plan()


@dataclass
class _Reader:
    """Turns plain data into a plan and keeps a list of what is wrong with it."""

    document: Document
    book: Rulebook
    case: Case | None
    problems: list[InputProblem] = field(default_factory=list)

    def plan(self) -> Plan:
        data: dict[str, Any] = self.document.data
        self._known_names(data, TOP, ())
        plan = Plan(
            reference=self._text(data, "plan", required=True) or "",
            by=self._text(data, "by") or "",
            case=self._text(data, "case") or "",
            notes=self._notes(data),
            verdict=self._choice(data, "verdict", VERDICTS),
            method=self._choice(data, "method", METHODS),
            pin=self._part(data, "pin", _PIN, self._pin),
            keys=self._part(data, "keys", _KEYS, self._keys),
            inserts=self._list(data, "inserts", _INSERT, self._insert),
            heat=self._part(data, "heat", _HEAT, self._heat),
            inspections=self._list(data, "inspections", _INSPECTION, self._inspection),
            test_pressure=self._quantity(data, "test_pressure", "pressure", least=0.0),
            test_medium=self._choice(data, "test_medium", MEDIA),
            sequence=self._sequence(data),
            overrides=self._list(data, "overrides", _OVERRIDE, self._override) or (),
            file=self.document.path,
        )
        self._holes_once(plan)
        if self.problems:
            raise PlanProblems(self.problems)
        return plan

    # --- parts ------------------------------------------------------------------------------

    def _pin(self, data: dict[str, Any], path: Path_) -> PlannedPin:
        return PlannedPin(
            thread=self._thread(data, "thread", path),
            pitch=self._quantity(data, "pitch", "length", path),
            count=self._count(data, "count", path),
            spotface_depth=self._quantity(data, "spotface_depth", "length", path, zero=True),
            length=self._quantity(data, "length", "length", path),
        )

    def _keys(self, data: dict[str, Any], path: Path_) -> PlannedKeys:
        return PlannedKeys(
            count=self._count(data, "count", path),
            spacing=self._quantity(data, "spacing", "length", path),
            depth=self._quantity(data, "depth", "length", path),
            section=self._section(data, (*path, "section")),
            staggered=self._yes_no(data, "staggered", path),
        )

    def _section(self, keys: dict[str, Any], path: Path_) -> PlannedSection | None:
        """A row of the table of keys, a neck width, or the measures one by one."""
        if "section" not in keys:
            return None
        data = keys["section"]
        if isinstance(data, dict):
            self._known_names(data, _SECTION, path)
            return PlannedSection(
                neck_width=self._quantity(data, "neck_width", "length", path),
                lobe_diameter=self._quantity(data, "lobe_diameter", "length", path),
                lobe_pitch=self._quantity(data, "lobe_pitch", "length", path),
                lobes_each_side=self._count(data, "lobes_each_side", path),
                yield_strength=self._quantity(data, "yield_strength", "stress", path),
            )
        rows = self.book.knowledge.tables["keys"].rows
        if isinstance(data, str) and data in rows:
            return PlannedSection(name=data)
        if isinstance(data, str) and data[:1].isdigit():
            return PlannedSection(neck_width=self._quantity(keys, "section", "length", path[:-1]))
        right = f"a strip of the table ({', '.join(rows)}), its neck width, or its measures"
        self._problem(path, _shown(data), right + _near(data, rows))
        return None

    def _insert(self, data: dict[str, Any], path: Path_) -> PlannedInsert:
        return PlannedInsert(
            hole=self._hole(data, path),
            outside_thread=self._thread(data, "outside_thread", path),
            length=self._quantity(data, "length", "length", path),
            kind=self._choice(data, "kind", KINDS, path),
            line=self.document.place(path)[0],
        )

    def _hole(self, data: dict[str, Any], path: Path_) -> int:
        number = self._count(data, "hole", path)
        if "hole" not in data:
            self._problem(path, 'no entry "hole"', "`hole: …`, counted from 1 as the case lists")
        holes = self.case.value("holes") if self.case else None
        if self.case is not None and number is not None:
            known = len(holes) if isinstance(holes, tuple) else 0
            if number > known:
                right = f"a hole from 1 to {known}" if known else "no insert: the case lists none"
                self._problem((*path, "hole"), f"hole {number}", right)
        return number or 0

    def _heat(self, data: dict[str, Any], path: Path_) -> PlannedHeat:
        return PlannedHeat(
            preheat=self._quantity(data, "preheat", "temperature", path, zero=True),
            interpass_max=self._quantity(data, "interpass_max", "temperature", path, zero=True),
            filler=self._text(data, "filler", path),
            cooling=self._choice(data, "cooling", COOLINGS, path),
        )

    def _inspection(self, data: dict[str, Any], path: Path_) -> PlannedInspection:
        methods = dict.fromkeys(one.method for one in self.book.inspections.values())
        return PlannedInspection(
            when=self._choice(data, "when", INSPECTED, path, required=True) or "",
            method=self._choice(data, "method", tuple(methods), path, required=True) or "",
            hold_point=self._yes_no(data, "hold_point", path),
            what=self._text(data, "what", path) or "",
        )

    def _override(self, data: dict[str, Any], path: Path_) -> Override:
        rule = self._text(data, "rule", path, required=True) or ""
        if rule and rule not in self.book.rule_by_id:
            right = f"the id of a rule{nearest(rule, self.book.rule_by_id)}"
            self._problem((*path, "rule"), f'the rule "{rule}"', right)
        return Override(
            rule=rule,
            reason=self._text(data, "reason", path, required=True, longest=2000) or "",
            by=self._text(data, "by", path, required=True) or "",
            line=self.document.place(path)[0],
        )

    def _sequence(self, data: dict[str, Any]) -> tuple[str, ...] | None:
        words = data.get("sequence")
        if words is None:
            return None
        if not isinstance(words, list) or len(words) > MAX_MEMBERS:
            self._problem(("sequence",), _shown(words), "a list of steps, such as [prove_ends, …]")
            return None
        for index, word in enumerate(words):
            if word not in SEQUENCE_WORDS:
                right = f"one of {', '.join(SEQUENCE_WORDS)}{_near(word, SEQUENCE_WORDS)}"
                self._problem(("sequence", index), _shown(word), right)
        return tuple(str(word) for word in words)

    def _holes_once(self, plan: Plan) -> None:
        seen: set[int] = set()
        for index, insert in enumerate(plan.inserts or ()):
            if insert.hole in seen and insert.hole:
                self._problem(("inserts", index, "hole"), f"hole {insert.hole} again", "each once")
            seen.add(insert.hole)

    # --- values -----------------------------------------------------------------------------

    def _problem(self, path: Path_, found: str, right: str) -> None:
        line, column = self.document.place(path)
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

    def _known_names(self, data: dict[str, Any], legal: Collection[str], path: Path_) -> None:
        for key in data:
            if key not in legal:
                right = f"one of {', '.join(legal)}{nearest(key, legal)}"
                self._problem((*path, key), f'the entry "{key}"', right)

    def _part(
        self,
        data: dict[str, Any],
        key: str,
        legal: Collection[str],
        read: Callable[[dict[str, Any], Path_], M],
    ) -> M | None:
        if data.get(key) is None:
            return None
        return self._mapping(data[key], (key,), legal, read)

    def _list(
        self,
        data: dict[str, Any],
        key: str,
        legal: Collection[str],
        read: Callable[[dict[str, Any], Path_], M],
    ) -> tuple[M, ...] | None:
        members = data.get(key)
        if members is None:
            return None
        if not isinstance(members, list):
            self._problem((key,), _shown(members), "a list, each member starting with `- `")
            return None
        if len(members) > MAX_MEMBERS:
            self._problem((key,), f"{len(members)} members", f"at most {MAX_MEMBERS} members")
            return None
        found = (self._mapping(each, (key, i), legal, read) for i, each in enumerate(members))
        return tuple(each for each in found if each is not None)

    def _mapping(
        self,
        data: Any,
        path: Path_,
        legal: Collection[str],
        read: Callable[[dict[str, Any], Path_], M],
    ) -> M | None:
        if not isinstance(data, dict):
            right = f"entries `name: value` with the names {', '.join(legal)}"
            self._problem(path, _shown(data), right)
            return None
        self._known_names(data, legal, path)
        return read(data, path)

    def _given(self, data: dict[str, Any], key: str, path: Path_, *, required: bool) -> Any:
        """The entry, or None after a problem was noted where it has to be there."""
        if key not in data and required:
            self._problem(path, f'no entry "{key}"', f"`{key}: …`")
            return None
        if key in data and data[key] is None:
            self._problem((*path, key), "nothing", "a value, or the entry left out")
        return data.get(key)

    def _text(
        self,
        data: dict[str, Any],
        key: str,
        path: Path_ = (),
        *,
        required: bool = False,
        longest: int = _LONGEST_LINE,
    ) -> str | None:
        value = self._given(data, key, path, required=required)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            self._problem((*path, key), _shown(value), "a text in one line")
        elif len(value) > longest:
            right = f"at most {longest} characters"
            self._problem((*path, key), f"{len(value)} characters", right)
        elif "\n" in value.strip():
            self._problem((*path, key), "a line break", "a text in one line")
        else:
            return value.strip()
        return None

    def _notes(self, data: dict[str, Any]) -> str:
        notes = data.get("notes")
        if notes is not None and not isinstance(notes, str):
            self._problem(("notes",), _shown(notes), "a text")
            return ""
        return notes or ""

    def _choice(
        self,
        data: dict[str, Any],
        key: str,
        legal: Collection[str],
        path: Path_ = (),
        *,
        required: bool = False,
    ) -> str | None:
        value = self._given(data, key, path, required=required)
        if value is None or value in legal:
            return value if isinstance(value, str) else None
        self._problem(
            (*path, key), _shown(value), f"one of {', '.join(legal)}{_near(value, legal)}"
        )
        return None

    def _yes_no(self, data: dict[str, Any], key: str, path: Path_) -> bool | None:
        value = self._given(data, key, path, required=False)
        if value is None:
            return None
        answer = _YES_NO.get(value.lower()) if isinstance(value, str) else None
        if answer is None:
            self._problem((*path, key), _shown(value), "yes or no")
        return answer

    def _count(self, data: dict[str, Any], key: str, path: Path_) -> int | None:
        value = self._given(data, key, path, required=False)
        if value is None:
            return None
        if isinstance(value, str) and value.isascii() and value.isdigit():
            number = int(value[:9])
            if 1 <= number <= MAX_COUNT:
                return number
        self._problem((*path, key), _shown(value), f"a whole number from 1 to {MAX_COUNT}")
        return None

    def _quantity(
        self,
        data: dict[str, Any],
        key: str,
        dimension: str,
        path: Path_ = (),
        *,
        zero: bool = False,
        least: float | None = None,
    ) -> float | None:
        """One number in its canonical unit; above zero unless zero is allowed."""
        value = self._given(data, key, path, required=False)
        if value is None:
            return None
        kind, place = DIMENSIONS[dimension], (*path, key)
        if not isinstance(value, str):
            self._problem(place, _shown(value), kind.expected)
            return None
        try:
            found = parse_measure(value, dimension)
        except QuantityError as error:
            self._problem(place, error.found, error.expected)
            return None
        floor = 0.0 if least is None else least
        if not found.exact:
            self._problem(place, value, "one value: a plan names what is to be done")
        elif dimension != "temperature" and not zero and found.low <= floor:
            self._problem(place, value, f"{kind.noun} above 0, such as {kind.examples[0]}")
        else:
            return found.low
        return None

    def _thread(self, data: dict[str, Any], key: str, path: Path_) -> Thread | None:
        text = self._text(data, key, path)
        if text is None:
            return None
        try:
            read = parse_designation(text)
        except DesignationError as error:
            self._problem((*path, key), repr(text), error.hint or error.limit)
            return None
        if read.is_pipe:
            self._problem((*path, key), repr(text), "a metric or unified thread, such as M8x1.25")
            return None
        return Thread(text, read)


def _near(value: Any, legal: Iterable[str]) -> str:
    return nearest(value, legal) if isinstance(value, str) else ""


def _shown(value: object) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, str):
        return f'"{value[:60]}"'
    return "a list" if isinstance(value, list) else "a mapping"
