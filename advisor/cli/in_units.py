"""Sentences in the reader's units: those that speak in metric units get the other value beside."""

from __future__ import annotations

from rich.text import Text

from advisor.advice.phrases import Units
from advisor.case.both_units import us_values


def in_units(text: Text, units: Units) -> Text:
    """A text as a reader of these units wants it."""
    if units == "us":
        for end, said in reversed(us_values(text.plain)):
            text = Text.assemble(text[:end], said, text[end:])
    return text
