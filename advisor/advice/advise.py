"""From a case to its advice: think, check, and read the advice off the facts."""

from __future__ import annotations

from typing import Any, cast

from advisor import __version__
from advisor.advice.doubt.margins import margins
from advisor.advice.doubt.questions import next_questions
from advisor.advice.doubt.spread import spreads
from advisor.advice.model import Advice, Program, RulebookRef, TraceEntry, Verdict, VerdictWord
from advisor.advice.phrases import Units, value_json
from advisor.advice.procedure import approvals, assumptions, cautions, inspections, steps
from advisor.advice.rulebook import Rulebook
from advisor.advice.sizes import heat, inserts, stitching
from advisor.advice.standings import method_standings, recommended
from advisor.advice.thinking import Fact, Thinking, think
from advisor.case.model import UNKNOWN, Case, Hole, PathPoint, Unknown
from advisor.case.quantities import Measure, to_json
from advisor.reasoning.claims import counts_as


class NoAdvice(Exception):
    """The rules let work go ahead without saying how: a fault of the rules, so no advice."""


def advise(case: Case, rulebook: Rulebook, units: Units = "si") -> Advice:
    """Work out the advice for a case.

    Args:
        case: the answers.
        rulebook: rules and knowledge.
        units: of the numbers inside sentences; quantities of their own are SI always.

    Raises:
        ReasonersDisagree, EngineFault, RulesDisagree, NoAdvice: no advice may be given.
    """
    return read_off(think(case, rulebook), units)


def read_off(thinking: Thinking, units: Units = "si") -> Advice:
    """The advice as it stands in the facts of a case thought through.

    Raises:
        NoAdvice: the verdict goes ahead without a method.
    """
    check_decided(thinking)
    rulebook = thinking.rulebook
    return Advice(
        case=thinking.case.reference,
        title=thinking.case.title,
        program=Program(
            name="crackwright",
            version=__version__,
            reasoners={"ran": thinking.reasoners.names, "agreed": _agreed(thinking)},
        ),
        rulebook=RulebookRef(version=rulebook.version, digest=rulebook.digest),
        verdict=_verdict(thinking),
        methods=method_standings(thinking),
        stitching=stitching(thinking),
        inserts=inserts(thinking),
        heat=heat(thinking),
        steps=steps(thinking, units),
        inspections=inspections(thinking, units),
        cautions=cautions(thinking, units),
        assumptions=assumptions(thinking, units),
        next_questions=next_questions(thinking, units),
        margins=margins(thinking, units),
        spreads=spreads(thinking),
        trace=trace(thinking),
    )


def check_decided(thinking: Thinking) -> None:
    """Hold that work which goes ahead has a method.

    Raises:
        NoAdvice: it has none.
    """
    goes_ahead = thinking.word("go_ahead") == "yes"
    if goes_ahead and recommended(thinking) in (None, "replace_part"):
        raise NoAdvice(f"verdict {thinking.word('verdict')} without a method of repair")


def _agreed(thinking: Thinking) -> bool | None:
    """Whether the reasoners agreed; None where only one could run."""
    return True if thinking.reasoners.engine else None


def _verdict(thinking: Thinking) -> Verdict:
    value = thinking.word("verdict")
    assert value is not None
    kind = thinking.rulebook.vocabulary["verdict"]
    because = [
        claim.rule.id for claim in thinking.claims["verdict"] if counts_as(kind, claim) == value
    ]
    if not because:
        chosen = recommended(thinking)
        because = [
            claim.rule.id
            for claim in thinking.claims["methods_allowed"]
            if claim.certain and claim.value == chosen
        ]
    return Verdict(
        value=cast(VerdictWord, value),
        because=tuple(dict.fromkeys(because)),
        approval=approvals(thinking),
    )


# --- trace --------------------------------------------------------------------------------------


def trace(thinking: Thinking) -> dict[str, TraceEntry]:
    """Every fact that is known, and where it came from."""
    found = {
        fact.name: _entry(thinking, fact)
        for fact in thinking.facts.values()
        if fact.origin != "nothing"
    }
    for name, answer in thinking.case.answers.items():
        if name not in found and answer.value is not UNKNOWN:
            found[name] = TraceEntry(value=_plain(answer.value), origin="answer")
    return found


def _entry(thinking: Thinking, fact: Fact) -> TraceEntry:
    value = value_json(thinking.rulebook.vocabulary[fact.name], fact.value)
    if fact.origin == "answer":
        return TraceEntry(value=value, origin="answer")
    if fact.origin == "table":
        return TraceEntry(
            value=value,
            origin="table",
            table=" ".join(fact.by),
            inputs=fact.inputs,
            sources=fact.sources,
            working=fact.working or None,
        )
    if fact.origin == "formula":
        return TraceEntry(
            value=value,
            origin="formula",
            formula=fact.by[0],
            working=fact.working or None,
            inputs=fact.inputs,
            sources=fact.sources,
        )
    return TraceEntry(
        value=value, origin="rule", rule=fact.by, inputs=fact.inputs, sources=fact.sources
    )


def _plain(answer: Any) -> Any:
    """A list or mapping answer as plain data."""
    if isinstance(answer, Measure):
        return to_json(answer)
    if isinstance(answer, Hole | PathPoint):
        return {name: _plain(value) for name, value in answer.given().items()}
    if isinstance(answer, Unknown):
        return "unknown"
    if isinstance(answer, tuple):
        return [_plain(one) for one in answer]
    if hasattr(answer, "items"):
        return {key: _plain(value) for key, value in answer.items()}
    return answer
