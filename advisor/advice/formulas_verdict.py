"""Formulas of the verdict stage: what is left of the methods, and what goes ahead."""

from __future__ import annotations

from advisor.advice.formulas import Formula, FormulaRegistry, Given, Made, yes_no
from advisor.advice.ranking import Ranking
from advisor.reasoning.rules import SourceRef
from advisor.reasoning.values import word

_OWN = (SourceRef("DERIVED", "the order of rules and exclusions of this program", "computed"),)
GO_AHEAD = frozenset({"repair", "repair_with_approval"})


def _methods_left(given: Given) -> Made:
    ranking = given.objects["ranking"]
    assert isinstance(ranking, Ranking)
    open_ones = [f"{one.method} {one.score:+d}" for one in ranking.methods if one.state == "open"]
    given.read |= {"methods_allowed", "methods_ruled_out"}
    return Made(
        {"methods_left": word(ranking.left), "best_method": word(ranking.best)},
        working="left: " + (", ".join(open_ones) or "none"),
    )


def _go_ahead(given: Given) -> Made:
    go = given.word("verdict") in GO_AHEAD
    best = given.word("best_method")
    return Made({"go_ahead": yes_no(go), "method": word(best if go else "none")})


def register(formulas: FormulaRegistry) -> None:
    """Register the formulas of this stage."""
    formulas.add(
        Formula(
            id="rank_methods",
            stage="verdict",
            outputs=("methods_left", "best_method"),
            equation="allowed, not ruled out, highest sum of weights for less weights against",
            sources=_OWN,
            compute=_methods_left,
        )
    )
    formulas.add(
        Formula(
            id="go_ahead",
            stage="verdict",
            outputs=("go_ahead", "method"),
            equation="the best method, where the verdict lets the work go ahead",
            sources=_OWN,
            compute=_go_ahead,
            late=True,
        )
    )
