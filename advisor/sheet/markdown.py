"""The sheet as Markdown: plain text that can be read as it stands, drawings as data at the end."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterator

from advisor.case.visible import visible
from advisor.sheet.data import SCHEMA
from advisor.sheet.model import (
    Block,
    Bullets,
    Figure,
    Notice,
    Pairs,
    Paragraph,
    Section,
    Sheet,
    Table,
    Tasks,
)

_SIGNS = re.compile(r"([\\`*_{}\[\]#|~$])")
_MARK_FIRST = re.compile(r"^(\s*)([-+=])")
_NUMBER_FIRST = re.compile(r"^(\s*\d+)([.)])(?=\s|$)")


def to_markdown(sheet: Sheet) -> str:
    """The whole text."""
    figures: list[Figure] = []
    parts = [f"# Job sheet {_text(sheet.job)}", _text(sheet.title)]
    for section in sheet.sections:
        parts.append(_section(section, figures))
    parts += ["---", _text(sheet.stamp)]
    parts += [f"[figure-{i}]: {_data_address(f)}" for i, f in enumerate(figures, start=1)]
    parts.append(f"Data of this sheet ({SCHEMA}), to be read back by the program:")
    parts.append(f"```json crackwright-data\n{sheet.data}\n```")
    return "\n\n".join(part for part in parts if part) + "\n"


def _data_address(figure: Figure) -> str:
    return "data:image/svg+xml;base64," + base64.b64encode(figure.svg.encode("utf-8")).decode()


def _text(text: str) -> str:
    """A text in which no sign means anything to Markdown or to HTML, and no address is a link."""
    text = visible(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = _SIGNS.sub(r"\\\1", text)
    text = text.replace("://", "&#58;//").replace("www.", "www&#46;")
    return _NUMBER_FIRST.sub(r"\1\\\2", _MARK_FIRST.sub(r"\1\\\2", text))


def _section(section: Section, figures: list[Figure]) -> str:
    parts = [f"## {_text(section.heading)}"]
    for block in section.blocks:
        if isinstance(block, Figure):
            figures.append(block)
            title = f"**{_text(block.title)}.** {_text(block.description)}"
            parts.append(f"![{_text(block.title)}][figure-{len(figures)}]\n\n{title}")
        else:
            parts.append(_block(block))
    return "\n\n".join(parts)


def _block(block: Block) -> str:
    write: dict[type, Callable[..., str]] = {
        Paragraph: lambda b: f"**{_text(b.text)}**" if b.strong else _text(b.text),
        Notice: _notice,
        Bullets: lambda b: "\n".join(f"- {_text(item)}" for item in b.items),
        Pairs: lambda b: "\n".join(f"- **{_text(name)}:** {_text(v)}" for name, v in b.rows),
        Table: _table,
        Tasks: lambda b: "\n".join(_tasks(b)),
    }
    return write[type(block)](block)


def _notice(block: Notice) -> str:
    return "\n>\n".join([f"> **{_text(block.words)}**", *(f"> {_text(t)}" for t in block.lines)])


def _table(block: Table) -> str:
    heads = " | ".join(_text(column.head) or " " for column in block.columns)
    rule = " | ".join("---:" if column.number else "---" for column in block.columns)
    rows = "\n".join("| " + " | ".join(_text(c) or " " for c in row) + " |" for row in block.rows)
    return f"**{_text(block.caption)}**\n\n| {heads} |\n| {rule} |\n{rows}"


def _tasks(block: Tasks) -> Iterator[str]:
    for item in block.items:
        ref = f" ({_text(item.ref)})" if item.ref else ""
        yield f"- [ ] {item.n}\\. {_text(item.text)}{ref}"
        yield from (f"  - Beware: {_text(text)}" for text in item.cautions)
        if item.hold_point:
            line = "\\_" * 20
            yield f"  - **HOLD.** Released by {line} date {line}"
