"""The job sheet: one document model, printed as HTML, PDF, Markdown, or the drawing alone."""

from advisor.sheet.content import build_sheet
from advisor.sheet.data import SheetData, read_back
from advisor.sheet.model import PAPERS, PaperName, Sheet
from advisor.sheet.output import KINDS, SheetExtraMissing, render

__all__ = [
    "KINDS",
    "PAPERS",
    "PaperName",
    "Sheet",
    "SheetData",
    "SheetExtraMissing",
    "build_sheet",
    "read_back",
    "render",
]
