"""The sheet as one HTML file: nothing is fetched, nothing runs, everything foreign stays text."""

from __future__ import annotations

import html
from collections.abc import Callable
from importlib.resources import files

from advisor.case.visible import visible
from advisor.sheet.model import (
    Block,
    Bullets,
    Column,
    Figure,
    Notice,
    Pairs,
    Paragraph,
    Section,
    Sheet,
    Table,
    Task,
    Tasks,
)

_POLICY = "default-src 'none'; style-src 'unsafe-inline'"
_NARROW_FROM = 12  # columns


def to_html(sheet: Sheet) -> str:
    """The whole page."""
    title = f"{sheet.job}: {sheet.title}" if sheet.title else sheet.job
    body = "\n".join(_section(section) for section in sheet.sections)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{_POLICY}">
<meta name="viewport" content="width=device-width">
<title>Job sheet {_text(title)}</title>
<style>
{_style()}
{_page_rule(sheet)}
</style>
</head>
<body>
<header>
<h1>Job sheet {_isolated(sheet.job)}</h1>
<p>{_isolated(sheet.title)}</p>
</header>
<main>
{body}
</main>
<footer>
<p>{_text(sheet.stamp)}</p>
</footer>
<script type="application/json" id="crackwright-data">{sheet.data}</script>
</body>
</html>
"""


def _style() -> str:
    return files("advisor.sheet").joinpath("sheet.css").read_text(encoding="utf-8")


def _page_rule(sheet: Sheet) -> str:
    """Size, margins, and on each page the job, its number of pages, and the rule base."""
    paper = sheet.paper
    size = "A4" if paper.name == "a4" else "letter"
    margins = f"{paper.top}mm {paper.side}mm {paper.bottom}mm"
    font = 'font: 8pt Arial, Helvetica, "Liberation Sans", sans-serif; white-space: nowrap;'
    return f"""@page {{
  size: {size} portrait; margin: {margins};
  @top-left {{ content: {_css(f"Job {_cut(sheet.job, 48)}")}; {font} }}
  @top-right {{ content: "page " counter(page) " of " counter(pages); {font} }}
  @bottom-left {{ content: {_css(sheet.stamp)}; {font} }}
}}"""


def _cut(text: str, most: int) -> str:
    text = visible(text)
    return text if len(text) <= most else text[: most - 1] + "…"


def _css(text: str) -> str:
    """A string of CSS in which no sign can end the string or the style."""
    safe = "".join(
        c if c.isascii() and (c.isalnum() or c in " .,:()-") else f"\\{ord(c):x} "
        for c in visible(text)
    )
    return f'"{safe}"'


def _text(text: str) -> str:
    return html.escape(visible(text))


def _isolated(text: str) -> str:
    """A text of somebody's own, whose direction does not touch its surroundings."""
    return f"<bdi>{_text(text)}</bdi>"


def _section(section: Section) -> str:
    name = ' class="new-page"' if section.new_page else ""
    inner = "\n".join(_block(block) for block in section.blocks)
    return (
        f'<section{name} aria-labelledby="{section.id}">\n'
        f'<h2 id="{section.id}">{_text(section.heading)}</h2>\n{inner}\n</section>'
    )


def _block(block: Block) -> str:
    write: dict[type, Callable[..., str]] = {
        Paragraph: _paragraph,
        Notice: _notice,
        Bullets: _bullets,
        Pairs: _pairs,
        Table: _table,
        Tasks: _tasks,
        Figure: _figure,
    }
    return write[type(block)](block)


def _paragraph(block: Paragraph) -> str:
    text = _isolated(block.text)
    return f"<p><strong>{text}</strong></p>" if block.strong else f"<p>{text}</p>"


def _notice(block: Notice) -> str:
    lines = "".join(f"<p>{_isolated(text)}</p>" for text in block.lines)
    return f'<div class="notice" role="note"><strong>{_text(block.words)}</strong>{lines}</div>'


def _bullets(block: Bullets) -> str:
    return "<ul>" + "".join(f"<li>{_isolated(item)}</li>" for item in block.items) + "</ul>"


def _pairs(block: Pairs) -> str:
    rows = "".join(f"<dt>{_text(name)}</dt><dd>{_isolated(v)}</dd>" for name, v in block.rows)
    return f"<dl>{rows}</dl>"


def _table(block: Table) -> str:
    total = sum(column.weight for column in block.columns)
    widths = "".join(
        f'<col style="width:{100 * column.weight / total:.2f}%">' for column in block.columns
    )
    heads = "".join(_head(column) for column in block.columns)
    rows = "\n".join(_row(block.columns, row) for row in block.rows)
    kinds = ["tall"] if block.tall else []
    kinds += ["narrow"] if len(block.columns) >= _NARROW_FROM else []
    kind = f' class="{" ".join(kinds)}"' if kinds else ""
    return (
        f"<table{kind}><caption>{_text(block.caption)}</caption><colgroup>{widths}</colgroup>"
        f"<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}\n</tbody></table>"
    )


def _head(column: Column) -> str:
    kind = ' class="number"' if column.number else ""
    return f'<th scope="col"{kind}>{_text(column.head)}</th>'


def _row(columns: tuple[Column, ...], row: tuple[str, ...]) -> str:
    cells = []
    for i, (column, text) in enumerate(zip(columns, row, strict=True)):
        kind = ' class="number"' if column.number else ""
        inner = _isolated(text) if text else ""
        if i == 0 and text:
            cells.append(f'<th scope="row"{kind}>{inner}</th>')
        else:
            cells.append(f"<td{kind}>{inner}</td>")
    return f"<tr>{''.join(cells)}</tr>"


def _tasks(block: Tasks) -> str:
    return '<ol class="tasks">' + "\n".join(_task(item) for item in block.items) + "</ol>"


def _task(item: Task) -> str:
    cautions = ""
    if item.cautions:
        lines = "".join(f"<li>Beware: {_isolated(text)}</li>" for text in item.cautions)
        cautions = f'<ul class="caution">{lines}</ul>'
    hold = ""
    if item.hold_point:
        hold = (
            '<span class="hold">HOLD. Released by <span></span> date '
            '<span class="short"></span></span>'
        )
    ref = f' <span class="ref">[{_text(item.ref)}]</span>' if item.ref else ""
    return (
        '<li><span class="box" role="img" aria-label="box to tick"></span>'
        f'<span class="n">{item.n}.</span>'
        f"<div>{_isolated(item.text)}{ref}{cautions}{hold}</div></li>"
    )


def _figure(block: Figure) -> str:
    return (
        f"<figure>{block.svg}<figcaption><strong>{_text(block.title)}.</strong> "
        f"{_text(block.description)}</figcaption></figure>"
    )
