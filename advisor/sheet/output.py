"""From a sheet to the bytes of a file, by the ending of its name."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path, PurePath

from advisor.case.problems import InputProblem
from advisor.sheet.model import Sheet

KINDS = (".html", ".pdf", ".md", ".svg")
"""Endings of the files that a sheet can be written to."""


class SheetExtraMissing(InputProblem):
    """A PDF is wanted where the library that sets it is not installed."""


def kind_of(path: PurePath) -> str:
    """The kind of a file by the ending of its name.

    Raises:
        InputProblem: none of `KINDS`.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise InputProblem(
            f"a file that ends in {path.suffix!r}" if path.suffix else "a file without an ending",
            f"one of {', '.join(KINDS)}",
            field=f"-o {path}",
        )
    return kind


def check_can_write(path: Path, case: Path) -> None:
    """Refuse what cannot become a sheet, before any work is done.

    Raises:
        InputProblem: an ending that is not known, a folder, or the case file itself.
        SheetExtraMissing: a PDF without the extra `sheet`.
    """
    if kind_of(path) == ".pdf":
        from advisor.sheet.pdf import require_typst

        require_typst()
    if path.is_dir():
        raise InputProblem("a folder", "the name of a file to write", field=f"-o {path}")
    if not path.parent.is_dir():
        raise InputProblem("no such folder", "a folder that exists", field=f"-o {path}")
    if path.exists() and case.exists() and path.samefile(case):
        raise InputProblem("the case file itself", "another name", field=f"-o {path}")


def write_file(path: Path, content: bytes) -> None:
    """Put a file in place in one step, or leave what was there untouched."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(temporary, 0o666 & ~mask)
        os.replace(temporary, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise


def render(sheet: Sheet, kind: str) -> bytes:
    """The bytes of a file of one kind; the same for the same sheet.

    Raises:
        SheetExtraMissing: a PDF without the extra `sheet`.
    """
    writers: dict[str, Callable[[Sheet], bytes]] = {
        ".html": _html,
        ".pdf": _pdf,
        ".md": _markdown,
        ".svg": _svg,
    }
    return writers[kind](sheet)


def _html(sheet: Sheet) -> bytes:
    from advisor.sheet.html import to_html

    return to_html(sheet).encode("utf-8")


def _markdown(sheet: Sheet) -> bytes:
    from advisor.sheet.markdown import to_markdown

    return to_markdown(sheet).encode("utf-8")


def _pdf(sheet: Sheet) -> bytes:
    from advisor.sheet.pdf import to_pdf

    return to_pdf(sheet)


def _svg(sheet: Sheet) -> bytes:
    from xml.sax.saxutils import escape

    head, foot = sheet.layout.svg.split("</desc>", 1)
    text = f"{head}</desc>\n<metadata>{escape(sheet.data)}</metadata>{foot}"
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()
