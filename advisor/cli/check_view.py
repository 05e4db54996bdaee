"""A check in the terminal: the outcome, then what to stop for, to justify, and what is noted.

Nothing is said by colour alone; every line is readable at 80 columns and without colour.
"""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

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

_STYLE = {"clear": "bold green", "queries": "bold yellow", "stop": "bold red"}
_MARK = {"stop": "!!", "query": " ?", "note": " -"}


def show_review(review: Review, console: Console, units: Units = "si") -> None:
    """Print a whole check."""
    review = in_units(review, units)
    plan = review.plan
    by = f" by {plan.by}" if plan.by else ""
    console.print(
        Panel(
            Text(OUTCOME_SAYS[review.outcome], style=_STYLE[review.outcome]),
            title=Text(f"plan {plan.reference}{by}, case {review.case}"),
            title_align="left",
            box=box.SQUARE,
        )
    )
    console.print(Text(f" {counts(review)}"))
    _show_overrides(review, console)
    for severity in SEVERITIES:
        found = [item for item in in_order_of_plan(review) if item.severity == severity]
        if found:
            console.print()
            console.print(Text(HEADINGS[severity], style="bold underline"))
            for item in found:
                if not _plainly_agrees(item):
                    _show_item(item, console, units)
            _show_agreeing([item.item for item in found if _plainly_agrees(item)], console)
    console.print()
    console.print(Text(FOOTER, style="italic"))


def _show_overrides(review: Review, console: Console) -> None:
    if not review.overrides:
        return
    console.print()
    console.print(Text("Departures from rules", style="bold underline"))
    for one in review.overrides:
        stands = "STANDS" if one.accepted else "DOES NOT STAND"
        text = Text.assemble(
            (f"{stands} ", "bold"), f"{one.rule}, by {one.by}: {one.reason} ({one.why})"
        )
        _line(console, "*", text)


def _plainly_agrees(item: Item) -> bool:
    """Nothing to say of it but that it is as the rules would have it."""
    same = item.planned == item.advised or item.item.startswith("inspections.")
    return item.finding == "agrees" and item.severity == "note" and same and not item.overridden


def _show_agreeing(names: list[str], console: Console) -> None:
    if names:
        _line(console, " =", Text(f"as the rules would have it: {', '.join(names)}"))


def _show_item(item: Item, console: Console, units: Units) -> None:
    text = Text.assemble((item.item, "bold"), f" {finding_says(item)}")
    values = _values(item, units)
    text.append(f" ({values})" if values else "")
    text.append(f": {item.text}")
    _line(console, _MARK[item.severity], text)
    gone = departed(item)
    if gone:
        _line(console, "   *", Text(gone, style="bold"))
    if item.remedy and item.severity != "note":
        _line(console, "   >", Text(f"put right: {item.remedy}"))
    rests = rests_on(item)
    if rests and item.severity != "note":
        _line(console, "    ", Text(f"[{rests}]", style="dim"))


def _values(item: Item, units: Units) -> str:
    if item.planned is None and item.advised is None:
        return ""
    if item.advised is None:
        return f"planned {shown(item.planned, units)}"
    if item.planned is None:
        return f"advised {shown(item.advised, units)}"
    if item.planned == item.advised:
        return f"planned and advised {shown(item.planned, units)}"
    return f"planned {shown(item.planned, units)}, advised {shown(item.advised, units)}"


def _line(console: Console, mark: str, text: Text) -> None:
    table = Table.grid(padding=(0, 1))
    table.add_column(no_wrap=True)
    table.add_column()
    table.add_row(mark, text)
    console.print(Padding(table, (0, 0, 0, 1)))
