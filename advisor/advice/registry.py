"""All formulas, in the order in which they run within their stages."""

from __future__ import annotations

from advisor.advice import (
    formulas_demands,
    formulas_material,
    formulas_method,
    formulas_sizing,
    formulas_verdict,
)
from advisor.advice.formulas import FormulaRegistry

FORMULAS = FormulaRegistry()
for stage in (
    formulas_material,
    formulas_demands,
    formulas_method,
    formulas_verdict,
    formulas_sizing,
):
    stage.register(FORMULAS)
