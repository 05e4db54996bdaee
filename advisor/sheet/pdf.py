"""The sheet as PDF: set by typst with the fonts it brings along, so that the same sheet gives the
same bytes everywhere.

Where a text has signs that those fonts lack, fonts of the system are asked; a sign that nobody has
is written by its number.
"""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Callable
from importlib.resources import files
from typing import Any

from advisor.case.visible import visible
from advisor.sheet.data import FILE_NAME
from advisor.sheet.model import Sheet
from advisor.sheet.output import SheetExtraMissing

_LONG_WORD = re.compile(r"\S{25,}")
_AFTER_SIGN = re.compile(r"(?<=[-./_])(?=.)")
_ZERO_WIDTH_SPACE = "\u200b"
_PIECE = 10
_STANDARD = "ua-1"
_MISSING_FONT = "could not be displayed"
_HEADED_AT = 60


def to_pdf(sheet: Sheet) -> bytes:
    """The whole file.

    Raises:
        SheetExtraMissing: typst is not installed.
    """
    typst = require_typst()
    last: Exception | None = None
    for system_fonts, tame in ((False, None), (True, None), (True, _by_number)):
        try:
            return _compile(typst, sheet, system_fonts, tame)
        except typst.TypstError as error:
            if _MISSING_FONT not in str(error):
                raise
            last = error
    raise AssertionError(f"signs that were written by number are still missing: {last}")


def require_typst() -> Any:
    """The library that sets PDF.

    Raises:
        SheetExtraMissing: it is not installed.
    """
    try:
        import typst
    except ImportError:
        raise SheetExtraMissing(
            "no library that sets PDF",
            "pip install 'crackwright[sheet]', or a file that ends in .html, which any browser "
            "prints to PDF",
            field="-o",
        ) from None
    return typst


def _compile(
    typst: Any, sheet: Sheet, system_fonts: bool, tame: Callable[[str], str] | None
) -> bytes:
    source = files("advisor.sheet").joinpath("sheet.typ").read_bytes()
    made = typst.compile(
        source,
        format="pdf",
        sys_inputs={"sheet": json.dumps(_plain_sheet(sheet, tame)), "data": sheet.data},
        ignore_system_fonts=not system_fonts,
        pdf_standards=[_STANDARD],
    )
    assert isinstance(made, bytes)
    return made


def _plain_sheet(sheet: Sheet, tame: Callable[[str], str] | None) -> dict[str, Any]:
    def text(value: str) -> str:
        shown = visible(value)
        shown = tame(shown) if tame else shown
        return _LONG_WORD.sub(_breakable, shown)

    return {
        "title": text(f"Job sheet {sheet.job}"),
        "job": text(sheet.job),
        "subtitle": text(sheet.title),
        "running": text(_cut(f"Job {visible(sheet.job)}")),
        "stamp": text(sheet.stamp),
        "file": FILE_NAME,
        "paper": dataclasses.asdict(sheet.paper),
        "sections": [
            {
                "heading": text(section.heading),
                "new_page": section.new_page,
                "blocks": [
                    {"kind": type(block).__name__} | _shown(dataclasses.asdict(block), text, tame)
                    for block in section.blocks
                ],
            }
            for section in sheet.sections
        ],
    }


def _shown(
    value: Any, text: Callable[[str], str], tame: Callable[[str], str] | None, key: str = ""
) -> Any:
    if isinstance(value, str):
        if key == "svg":
            return tame(value) if tame else value
        return text(value)
    if isinstance(value, dict):
        return {name: _shown(one, text, tame, name) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_shown(one, text, tame, key) for one in value]
    return value


def _cut(text: str) -> str:
    return text if len(text) <= _HEADED_AT else text[: _HEADED_AT - 1] + "…"


def _breakable(found: re.Match[str]) -> str:
    """A very long word that may be broken: at its signs, or else every few letters."""
    parts = _AFTER_SIGN.split(found.group())
    pieces = (
        part[i : i + size]
        for part in parts
        for size in (len(part) if len(part) <= 2 * _PIECE else _PIECE,)
        for i in range(0, len(part), size)
    )
    return _ZERO_WIDTH_SPACE.join(pieces)


def _by_number(text: str) -> str:
    """Signs beyond the alphabets that the fonts hold, by number."""
    return "".join(
        c if ord(c) < 0x2E80 and not 0x0700 <= ord(c) < 0x1E00 else f"[U+{ord(c):04X}]"
        for c in text
    )
