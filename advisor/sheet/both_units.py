"""A sheet for readers of inches: sentences in metric units get the US value beside each number."""

from __future__ import annotations

from dataclasses import replace

from advisor.case.both_units import both_units
from advisor.sheet.model import (
    Block,
    Bullets,
    Notice,
    Pairs,
    Paragraph,
    Section,
    Table,
    Task,
    Tasks,
)

_OTHERS_WORDS = frozenset({"job", "answers", "sources", "template"})
"""Sections with the words of whoever wrote the case, or of none that measure."""


def in_both_units(section: Section) -> Section:
    """The section with the US value behind each metric one in its sentences."""
    if section.id in _OTHERS_WORDS:
        return section
    return replace(section, blocks=tuple(_block(block) for block in section.blocks))


def _block(block: Block) -> Block:
    if isinstance(block, Paragraph):
        return replace(block, text=both_units(block.text))
    if isinstance(block, Notice):
        return replace(block, lines=tuple(map(both_units, block.lines)))
    if isinstance(block, Bullets):
        return Bullets(tuple(map(both_units, block.items)))
    if isinstance(block, Pairs):
        return Pairs(tuple((name, both_units(value)) for name, value in block.rows))
    if isinstance(block, Table):
        return replace(block, rows=tuple(tuple(map(both_units, row)) for row in block.rows))
    if isinstance(block, Tasks):
        return Tasks(tuple(_task(task) for task in block.items))
    return block


def _task(task: Task) -> Task:
    cautions = tuple(map(both_units, task.cautions))
    return replace(task, text=both_units(task.text), cautions=cautions)
