"""Where each method stands, with every rule that spoke for or against it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.model import MethodStanding, Reason, Standing
from advisor.advice.ranking import REPLACE, Ranked, Ranking
from advisor.advice.rulebook import METHODS
from advisor.advice.thinking import Thinking
from advisor.reasoning.judge import Finding

METHOD_EFFECTS = ("rule_out", "allow", "favour", "disfavour")


def method_standings(thinking: Thinking) -> tuple[MethodStanding, ...]:
    """All methods, best first: the recommended one, those possible, those ruled out."""
    ranking = thinking.objects["ranking"]
    assert isinstance(ranking, Ranking)
    chosen = recommended(thinking)
    standings = [_standing(thinking, one, chosen) for one in ranking.methods]
    first = {"recommended": 0, "possible": 1, "ruled_out": 2}
    assert {one.method for one in standings} == set(METHODS)
    return tuple(sorted(standings, key=lambda one: first[one.standing]))


def recommended(thinking: Thinking) -> str | None:
    """The recommended method: where the work goes ahead, or where the part is replaced."""
    if thinking.word("verdict") == "replace":
        return REPLACE
    method = thinking.word("method")
    return None if method == "none" else method


def _standing(thinking: Thinking, ranked: Ranked, chosen: str | None) -> MethodStanding:
    standing: Standing = "possible"
    if ranked.method == chosen:
        standing = "recommended"
    elif ranked.state == "ruled_out":
        standing = "ruled_out"
    reasons = tuple(method_reasons(thinking, ranked.method))
    return MethodStanding(
        method=ranked.method, standing=standing, score=ranked.score, reasons=reasons
    )


def method_reasons(thinking: Thinking, method: str) -> Iterator[Reason]:
    """Every rule that certainly or possibly bears on a method, exclusions first."""
    found = list(_bearing(thinking, method))
    for effect_kind in METHOD_EFFECTS:
        for finding, effect in found:
            if effect == effect_kind and finding.holds.possible:
                yield _reason(finding, effect)
    if not any(effect == "allow" and finding.holds.possible for finding, effect in found):
        allowing = [finding.rule for finding, effect in found if effect == "allow"]
        yield Reason(
            rule=allowing[0].id if allowing else "",
            effect="not_allowed",
            text="no rule allows it here"
            + (f"; the first that would is: {allowing[0].title}" if allowing else ""),
            sources=tuple(ref.ref for ref in allowing[0].sources) if allowing else (),
        )


def _bearing(thinking: Thinking, method: str) -> Iterator[tuple[Finding, str]]:
    for findings in thinking.findings.values():
        for finding in findings.findings.values():
            for effect in finding.rule.then:
                if effect.kind in METHOD_EFFECTS and effect.target == method:
                    yield finding, effect.kind


def _reason(finding: Finding, effect: str) -> Reason:
    rule = finding.rule
    certain = finding.holds.certain
    text = rule.title if certain else f"{rule.title} (cannot tell: an answer is missing)"
    return Reason(
        rule=rule.id,
        effect=effect if certain else f"{effect}_unless_known",
        text=text,
        sources=tuple(ref.ref for ref in rule.sources),
    )
