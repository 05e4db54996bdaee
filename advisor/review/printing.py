"""The check on paper: the findings beside the plan, as Markdown or as one HTML file."""

from __future__ import annotations

import html
from collections.abc import Iterator

from advisor.advice.phrases import Units
from advisor.review.model import SEVERITIES, Item, Review
from advisor.review.words import (
    FOOTER,
    HEADINGS,
    OUTCOME_SAYS,
    counts,
    departed,
    finding_says,
    in_order_of_plan,
    in_units,
    rests_on,
    shown,
)

_MARK = {"stop": "STOP", "query": "QUERY", "note": "note"}


def _head(review: Review) -> Iterator[tuple[str, str]]:
    plan = review.plan
    yield "Plan", plan.reference + (f", by {plan.by}" if plan.by else "")
    yield "Case", review.case + (f": {review.title}" if review.title else "")
    if plan.notes:
        yield "Notes of the plan", " ".join(plan.notes.split())
    yield "Findings", counts(review)
    yield "Rule base", f"{review.rulebook.version} ({review.rulebook.digest[:12]})"


# --- Markdown -----------------------------------------------------------------------------------


def as_markdown(review: Review, units: Units = "si") -> str:
    """The check as Markdown: outcome, what to put right, then the plan item by item."""
    review = in_units(review, units)
    lines = [f"# Check of plan {_md(review.plan.reference)}", ""]
    lines += [f"**{_md(OUTCOME_SAYS[review.outcome])}**", ""]
    lines += [f"- {name}: {_md(text)}" for name, text in _head(review)]
    lines += [line for one in _overrides(review) for line in ("", _md(one))]
    for severity in SEVERITIES[:2]:
        found = review.of(severity)
        if found:
            lines += ["", f"## {HEADINGS[severity]}", ""]
            lines += [line for item in found for line in _md_item(item)]
    lines += ["", "## The plan, item by item", ""]
    lines += ["| item | planned | advised | finding | why |", "|---|---|---|---|---|"]
    lines += [_md_row(item, units) for item in in_order_of_plan(review)]
    return "\n".join([*lines, "", _md(FOOTER), ""])


def _overrides(review: Review) -> Iterator[str]:
    for one in review.overrides:
        stands = "stands" if one.accepted else "does not stand"
        yield f"Override of {one.rule} by {one.by} {stands}: {one.reason} ({one.why})"


def _md_item(item: Item) -> Iterator[str]:
    yield f"- **{_md(item.item)}**: {_md(item.text)}"
    if item.remedy:
        yield f"  - Put right: {_md(item.remedy)}"
    rests = rests_on(item)
    if rests:
        yield f"  - Rests on: {_md(rests)}"


def _md_row(item: Item, units: Units) -> str:
    why = " ".join(part for part in (departed(item), item.text) if part)
    mark = _MARK[item.severity]
    cells = (
        item.item,
        shown(item.planned, units),
        shown(item.advised, units),
        f"{finding_says(item)} ({mark})",
        why,
    )
    return "| " + " | ".join(_md(cell) for cell in cells) + " |"


def _md(text: str) -> str:
    """Text that Markdown shows as it is."""
    out = " ".join(text.split())
    for char in "\\`*_[]<>|#":
        out = out.replace(char, f"\\{char}")
    return out


# --- HTML ---------------------------------------------------------------------------------------

_STYLE = """
body { font: 11pt/1.4 sans-serif; margin: 2em auto; max-width: 60em; color: #111; }
h1 { font-size: 1.4em; } h2 { font-size: 1.1em; margin-top: 1.6em; }
.outcome { border: 3px solid #111; padding: .6em 1em; font-weight: bold; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #999; padding: .3em .5em; text-align: left; vertical-align: top; }
th { background: #eee; }
tr.stop td { border-left: 6px double #111; } tr.stop td:nth-child(4) { font-weight: bold; }
tr.query td { border-left: 4px solid #666; }
.rests { color: #555; font-size: .85em; }
dt { float: left; clear: left; width: 10em; color: #555; } dd { margin-left: 10em; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; } tr, li { break-inside: avoid; } }
"""


def as_html(review: Review, units: Units = "si") -> str:
    """The check as one HTML file that needs nothing besides itself."""
    review = in_units(review, units)
    title = f"Check of plan {review.plan.reference}"
    body = [f"<h1>{_esc(title)}</h1>"]
    body += [f'<p class="outcome">{_esc(OUTCOME_SAYS[review.outcome])}</p>', "<dl>"]
    body += [f"<dt>{_esc(name)}</dt><dd>{_esc(text)}</dd>" for name, text in _head(review)]
    body += ["</dl>", *(f"<p><strong>{_esc(one)}</strong></p>" for one in _overrides(review))]
    for severity in SEVERITIES[:2]:
        found = review.of(severity)
        if found:
            items = "".join(_html_item(item) for item in found)
            body.append(f"<h2>{_esc(HEADINGS[severity])}</h2><ul>{items}</ul>")
    rows = "".join(_html_row(item, units) for item in in_order_of_plan(review))
    heads = "".join(f"<th>{name}</th>" for name in ("item", "planned", "advised", "finding", "why"))
    body.append("<h2>The plan, item by item</h2>")
    body.append(f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>")
    body.append(f"<p><em>{_esc(FOOTER)}</em></p>")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head><meta charset="utf-8">'
        f"<title>{_esc(title)}</title><style>{_STYLE}</style></head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def _html_item(item: Item) -> str:
    remedy = f"<br>Put right: {_esc(item.remedy)}" if item.remedy else ""
    rests = rests_on(item)
    below = f'<br><span class="rests">{_esc(rests)}</span>' if rests else ""
    return f"<li><strong>{_esc(item.item)}</strong>: {_esc(item.text)}{remedy}{below}</li>"


def _html_row(item: Item, units: Units) -> str:
    gone = departed(item)
    why = (f"<strong>{_esc(gone)}</strong> " if gone else "") + _esc(item.text)
    rests = rests_on(item)
    why += f'<br><span class="rests">{_esc(rests)}</span>' if rests else ""
    mark = _esc(f"{finding_says(item)} ({_MARK[item.severity]})")
    cells = (
        _esc(item.item),
        _esc(shown(item.planned, units)),
        _esc(shown(item.advised, units)),
        mark,
        why,
    )
    return f'<tr class="{item.severity}">' + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"


def _esc(text: str) -> str:
    return html.escape(" ".join(text.split()))
