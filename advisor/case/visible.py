"""Foreign text made harmless: nothing in it may hide, reorder, or steer a terminal or a table."""

from __future__ import annotations

import unicodedata

_SPACES = "\t\n\r\x0b\x0c\x85\u2028\u2029"
# Marks that turn the direction of what stands beside them.
_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_KEPT_FORMAT = frozenset("\u200c\u200d")  # join letters and signs, and harm nothing
_SHOWN_BY_NUMBER = frozenset(("Cc", "Cf", "Cs", "Cn", "Co"))
_FORMULA_SIGNS = ("=", "+", "-", "@")


def visible(text: str) -> str:
    """A text with nothing in it that hides or reorders: such characters show as ``[U+202E]``.

    >>> visible("a\\tb\\x07c")
    'a b[U+0007]c'
    """
    return text if _harmless(text) else "".join(_shown(char) for char in text)


def visible_lines(text: str, *, kept: str = "") -> str:
    """The same for a text of several lines, whose ends and tabs stay; ``kept`` stays as well.

    >>> visible_lines("a\\n\\tb\\x1b[31m")
    'a\\n\\tb[U+001B][31m'
    """
    if _harmless(text):
        return text
    stays = {"\n", "\t", *kept}
    return "".join(char if char in stays else _shown(char) for char in text)


def table_cell(text: str) -> str:
    """A text as a cell of a table file: never a formula where a spreadsheet opens it.

    >>> table_cell("=1+1"), table_cell("pump")
    ("'=1+1", 'pump')
    """
    shown = visible(text)
    return f"'{shown}" if shown.lstrip().startswith(_FORMULA_SIGNS) else shown


def _harmless(text: str) -> bool:
    return text.isascii() and text.isprintable()


def _shown(char: str) -> str:
    if char in _SPACES:
        return " "
    hides = unicodedata.category(char) in _SHOWN_BY_NUMBER and char not in _KEPT_FORMAT
    return f"[U+{ord(char):04X}]" if hides or char in _TURNING else char
