"""What is kept of a job, and how past jobs are found again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.advice.model import Advice
from advisor.case.model import Case
from advisor.case.writing import to_plain
from advisor.light_dataclass import dataclass
from advisor.records.store import Entry

SCHEMA = "crackwright.record/1"

_TELLING: Mapping[str, float] = {
    "part_kind": 4.0,
    "material": 4.0,
    "crack_location": 3.0,
    "crack_cause": 2.0,
    "fluid": 2.0,
    "load": 2.0,
    "material_grade": 1.5,
    "behind_wall": 1.0,
    "thermal_cycling": 1.0,
}
"""Answers that make two jobs alike, and how much; every other equal answer counts a tenth."""

_PLAIN_WEIGHT = 0.1


def job_document(case: Case, advice: Advice) -> dict[str, Any]:
    """A job as it is kept: the answers, the advice, and the rule base that gave it."""
    return {
        "schema": SCHEMA,
        "title": case.title,
        "notes": case.notes,
        "answers": {name: to_plain(answer.value) for name, answer in case.answers.items()},
        "digest": advice.rulebook.digest,
        "advice": advice.to_json(),
    }


@dataclass(frozen=True)
class Likeness:
    """A past job, how like it is (0 to 1), and in what."""

    entry: Entry
    share: float
    alike: tuple[str, ...]


def jobs_like(case: Case, entries: Iterable[Entry], most: int = 10) -> list[Likeness]:
    """Past jobs like this one, the most like first."""
    own = {name: to_plain(answer.value) for name, answer in case.answers.items()}
    found = [_likeness(own, entry) for entry in entries if entry.kind == "job"]
    ranked = sorted(found, key=lambda one: (-one.share, -one.entry.seq))
    return [one for one in ranked if one.share > 0][:most]


def _likeness(own: Mapping[str, Any], entry: Entry) -> Likeness:
    other = entry.document["answers"]
    whole = sum(_weight(name) for name in own)
    alike = [name for name, value in own.items() if other.get(name) == value]
    share = sum(_weight(name) for name in alike) / whole if whole else 0.0
    return Likeness(entry, share, tuple(name for name in _TELLING if name in alike))


def _weight(name: str) -> float:
    return _TELLING.get(name, _PLAIN_WEIGHT)


def search(entries: Iterable[Entry], words: Iterable[str]) -> list[Entry]:
    """Entries in whose reference, title, notes, answers or results every word occurs."""
    wanted = [word.casefold() for word in words]
    return [entry for entry in entries if all(word in _text(entry) for word in wanted)]


def _text(entry: Entry) -> str:
    document = entry.document
    parts = [entry.case_ref, entry.kind]
    if entry.kind == "job":
        advice = document["advice"]
        methods = [m["method"] for m in advice["methods"] if m["standing"] == "recommended"]
        parts += [document["title"], document["notes"], str(document["answers"])]
        parts += [advice["verdict"]["value"], *methods]
    else:
        parts.append(str(document))
    return " ".join(parts).casefold()
