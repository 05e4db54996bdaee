"""Steps, inspections, cautions and approvals, read off the rules that asked for them."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.model import (
    AdvisedInspection,
    AdvisedStep,
    Approval,
    Assumption,
    Caution,
)
from advisor.advice.phrases import Units, effect_says, fill
from advisor.advice.thinking import Thinking
from advisor.reasoning.claims import Claim
from advisor.reasoning.judge import Finding

_SPOKEN_ELSEWHERE = frozenset({"require_step", "require_inspection", "allow", "rule_out"})
"""Effects whose rule's caution is printed with the step, inspection or method it belongs to."""


def asked_for(thinking: Thinking, fact: str, target: str) -> list[Claim]:
    """The claims that ask for a step, an inspection or an approval.

    While nothing goes ahead only what is certain is asked for; once work goes ahead, what cannot
    be ruled out is asked for too.
    """
    going_ahead = thinking.word("go_ahead") == "yes"
    return [
        claim
        for claim in thinking.claims[fact]
        if claim.value == target and (claim.certain or going_ahead)
    ]


def steps(thinking: Thinking, units: Units = "si") -> tuple[AdvisedStep, ...]:
    """The procedure in order."""
    found: list[AdvisedStep] = []
    for step in thinking.rulebook.steps.values():
        claims = asked_for(thinking, "required_steps", step.id)
        if not claims:
            continue
        said = [*step.cautions, *(claim.rule.caution for claim in claims if claim.rule.caution)]
        said += [_kept_because(claim) for claim in claims[:1] if not claim.certain]
        found.append(
            AdvisedStep(
                n=len(found) + 1,
                id=step.id,
                do=fill(step.do, thinking, units),
                rule=claims[0].rule.id,
                cautions=tuple(dict.fromkeys(fill(text, thinking, units) for text in said)),
                hold_point=step.hold_point,
            )
        )
    return tuple(found)


def _kept_because(claim: Claim) -> str:
    return f"kept to be safe: whether “{claim.rule.title}” applies is not known"


def inspections(thinking: Thinking, units: Units = "si") -> tuple[AdvisedInspection, ...]:
    """The inspections in order: before, during, after."""
    found = []
    for one in thinking.rulebook.inspections.values():
        claims = asked_for(thinking, "required_inspections", one.id)
        if not claims:
            continue
        sources = [*one.sources, *(ref.ref for claim in claims for ref in claim.rule.sources)]
        found.append(
            AdvisedInspection(
                id=one.id,
                when=one.when,
                method=one.method,
                what=fill(one.what, thinking, units),
                acceptance=fill(one.acceptance, thinking, units),
                hold_point=one.hold_point,
                who=one.who,
                rule=claims[0].rule.id,
                sources=tuple(dict.fromkeys(sources)),
            )
        )
    order = {"before": 0, "during": 1, "after": 2}
    return tuple(sorted(found, key=lambda each: order[each.when]))


def consent_counts(thinking: Thinking, approval: str) -> bool:
    """Whether a consent is still needed: nobody agrees to a repair that is not done.

    Where the part is replaced, those who agree to a repair and to nothing else are not asked.
    Whoever speaks for the law, or for the safety of whoever touches the part, still is.
    """
    if thinking.word("verdict") != "replace":
        return True
    row = thinking.rulebook.knowledge.tables["approvals"].rows[approval]
    return not ("repair_only" in row and row["repair_only"].value == "yes")


def approvals(thinking: Thinking) -> tuple[Approval, ...]:
    """Who has to agree, in the order of the table."""
    found = []
    for id_, row in thinking.rulebook.knowledge.tables["approvals"].rows.items():
        claims = asked_for(thinking, "required_approvals", id_)
        if claims and consent_counts(thinking, id_):
            found.append(
                Approval(
                    id=id_,
                    who=str(row["who"].value),
                    reference=str(row["reference"].value) if "reference" in row else "",
                    rules=tuple(dict.fromkeys(claim.rule.id for claim in claims)),
                )
            )
    return tuple(found)


def cautions(thinking: Thinking, units: Units = "si") -> tuple[Caution, ...]:
    """What to beware of on the whole job."""
    by_text: dict[str, Caution] = {}
    for finding, text in _cautions(thinking):
        filled = fill(text, thinking, units)
        by_text.setdefault(
            filled,
            Caution(
                text=filled,
                rule=finding.rule.id,
                sources=tuple(ref.ref for ref in finding.rule.sources),
            ),
        )
    return tuple(by_text.values())


def _cautions(thinking: Thinking) -> Iterator[tuple[Finding, str]]:
    going_ahead = thinking.word("go_ahead") == "yes"
    for findings in thinking.findings.values():
        for finding in findings.findings.values():
            if not finding.holds.certain and not (finding.holds.possible and going_ahead):
                continue
            if finding.rule.only_at_work and not going_ahead:
                continue
            for effect in finding.rule.then:
                if effect.kind == "warn":
                    yield finding, effect.text
            kinds = {effect.kind for effect in finding.rule.then}
            if finding.rule.caution and not kinds <= _SPOKEN_ELSEWHERE:
                yield finding, finding.rule.caution


def assumptions(thinking: Thinking, units: Units = "si") -> tuple[Assumption, ...]:
    """What the advice took for granted."""
    found = []
    for findings in thinking.findings.values():
        for finding in findings.findings.values():
            for effect in finding.rule.then:
                if effect.kind == "assume" and finding.holds.possible:
                    text = effect_says(effect, thinking.rulebook, units)
                    found.append(
                        Assumption(
                            text=text,
                            rule=finding.rule.id,
                            question=effect.question,
                            fact=effect.target,
                        )
                    )
    return (*found, *_formulas_assume(thinking))


def _formulas_assume(thinking: Thinking) -> Iterator[Assumption]:
    stitched = thinking.word("method") in STITCHED
    for outcome in thinking.outcomes.values():
        if outcome.formula.id == "seam" and not stitched:
            continue
        for one in outcome.made.assumed if outcome.made else ():
            yield Assumption(
                text=one.text,
                rule=outcome.formula.id,
                question=one.question,
                fact=outcome.formula.outputs[0],
            )
