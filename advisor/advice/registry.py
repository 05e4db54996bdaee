"""All formulas, in the order in which they run within their stages."""

from __future__ import annotations

from advisor.advice import formulas_verdict
from advisor.advice.formulas import FormulaRegistry

FORMULAS = FormulaRegistry()
formulas_verdict.register(FORMULAS)
