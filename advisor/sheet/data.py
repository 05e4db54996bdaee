"""The case and the advice inside the printed sheet, so that a sheet can be read back as data.

HTML holds them in a `script` of type `application/json`, SVG in `metadata`, Markdown in a fenced
block, PDF as an attached file.
"""

from __future__ import annotations

import html
import json
import re
import zlib
from pathlib import Path
from typing import Any

from advisor.advice.model import Advice
from advisor.case.model import Case
from advisor.case.problems import InputProblem
from advisor.case.writing import Plain, case_text, to_plain
from advisor.light_dataclass import dataclass

SCHEMA = "crackwright.sheet/1"
"""Name and version of the form of the data in a sheet."""

FILE_NAME = "crackwright-data.json"
"""Name of the attachment in a PDF, and mark of the block in the other kinds."""

MOST_BYTES = 64 * 1024 * 1024

_ESCAPES = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "`": "\\u0060"}
_SCRIPT = re.compile(
    r'<script type="application/json" id="crackwright-data">(.*?)</script>', re.DOTALL
)
_METADATA = re.compile(r"<metadata>(.*?)</metadata>", re.DOTALL)
_FENCE = re.compile(r"^```json crackwright-data\n(.*?)\n```$", re.DOTALL | re.MULTILINE)
_STREAM = re.compile(rb"/Type\s*/EmbeddedFile\b.*?stream\r?\n", re.DOTALL)


@dataclass(frozen=True)
class SheetData:
    """What a sheet was made from.

    Attributes:
        case: reference, title, notes and answers as in a case file.
        advice: the advice that was printed.
    """

    case: dict[str, Any]
    advice: Advice

    @property
    def case_file(self) -> str:
        """The case as the text of a case file."""
        answers: dict[str, Plain] = self.case["answers"]
        return case_text(self.case["case"], self.case["title"], self.case["notes"], answers)


def data_text(case: Case, advice: Advice) -> str:
    """Case and advice as JSON that stays text wherever it is put: ASCII, no tag, no fence."""
    document = {
        "schema": SCHEMA,
        "case": {
            "case": case.reference,
            "title": case.title,
            "notes": case.notes,
            "answers": {name: to_plain(answer.value) for name, answer in case.answers.items()},
        },
        "advice": advice.to_json(),
    }
    text = json.dumps(document, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return re.sub("[<>&`]", lambda found: _ESCAPES[found.group()], text)


def read_back(path: Path) -> SheetData:
    """Read the case and the advice back from a sheet of any kind.

    Raises:
        InputProblem: the file holds no data of a sheet, or data that are not whole.
    """
    content = _content(path)
    found = _found_in(content)
    if found is None:
        raise InputProblem(
            "no data of a job sheet", "a sheet as this program wrote it", file=str(path)
        )
    try:
        document = json.loads(found)
        if document["schema"] != SCHEMA:
            raise InputProblem(f"data of the form {document['schema']!r}", SCHEMA, file=str(path))
        case = document["case"]
        data = SheetData(
            {key: case[key] for key in ("case", "title", "notes", "answers")},
            Advice.from_json(document["advice"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise InputProblem(
            "data that are not whole", "the sheet as it was written", file=str(path)
        ) from None
    return data


def _content(path: Path) -> bytes:
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise InputProblem(
            f"{size} bytes", f"a sheet of at most {MOST_BYTES} bytes", file=str(path)
        )
    return path.read_bytes()


def _found_in(content: bytes) -> str | None:
    if content.startswith(b"%PDF"):
        return _attached(content)
    text = content.decode("utf-8", errors="replace")
    for pattern in (_SCRIPT, _FENCE):
        found = pattern.search(text)
        if found:
            return found.group(1)
    found = _METADATA.search(text)
    return html.unescape(found.group(1)) if found else None


def _attached(content: bytes) -> str | None:
    """The first attached file of a PDF that holds data of a sheet."""
    for found in _STREAM.finditer(content):
        raw = content[found.end() :]
        try:
            if b"/FlateDecode" in found.group():
                raw = zlib.decompressobj().decompress(raw, MOST_BYTES)
            else:
                raw = raw[: raw.index(b"endstream")].rstrip(b"\r\n")
            text = raw.decode("ascii")
        except (zlib.error, ValueError):
            continue
        if text.startswith('{"schema":'):
            return text
    return None
