"""The plan's verdict against what the rules allow, and who has to agree."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.model import Approval
from advisor.advice.procedure import approvals
from advisor.advice.ranking import Ranking
from advisor.reasoning.claims import counts_as
from advisor.review.bench import (
    GOES_AHEAD,
    ON_THE_PLAN,
    Bench,
    Rests,
    Words,
    finding,
    listed,
    plain,
)
from advisor.review.model import Item, Severity

OWN_SAY = frozenset({"owner", "maker", "insurer", "senior_repairer"})
"""Who looks after the part or the purse; all others guard people or the law."""


def judge_verdict(bench: Bench) -> Iterator[Item]:
    """The verdict as stated; where it is not, work that is planned is a go-ahead."""
    stated, plan = bench.plan.verdict, bench.plan
    advised = bench.trial.word("verdict") or "investigate"
    meant = stated or ("repair" if plan.plans_work else None)
    if meant is None:
        yield _silent(bench, advised)
        return
    if stated not in GOES_AHEAD and stated is not None and plan.plans_work:
        yield finding(
            "verdict",
            "contradicts",
            "query",
            ON_THE_PLAN,
            f"The plan's verdict is {plain(stated)}, and it plans work all the same.",
            Words(stated, advised, "Leave the work out, or say what has to come first."),
        )
    if meant in GOES_AHEAD and advised not in GOES_AHEAD:
        yield _bolder(bench, meant, advised)
    elif meant in GOES_AHEAD:
        yield _agreed(bench, meant, advised)
    elif advised in GOES_AHEAD:
        text = f"The plan holds the work back; the rules would let it go ahead ({plain(advised)})."
        yield finding(
            "verdict", "stronger", "note", _on_verdict(bench), text, Words(meant, advised)
        )
    else:
        yield _both_hold_back(bench, meant, advised)


def _silent(bench: Bench, advised: str) -> Item:
    return finding(
        "verdict",
        "missing",
        "query",
        _on_verdict(bench),
        f"The plan states neither a verdict nor any work; the rules say: {plain(advised)}.",
        Words(None, advised, f"State the verdict: {advised}."),
    )


def _on_verdict(bench: Bench) -> Rests:
    """The rules that lead to the verdict."""
    trial = bench.trial
    kind, value = bench.book.vocabulary["verdict"], trial.word("verdict")
    claims = sorted(trial.claims["verdict"], key=lambda claim: not claim.certain)
    because = [claim.rule.id for claim in claims if counts_as(kind, claim) == value]
    return bench.on_rules(because) if because else bench.on_formula("go_ahead")


def _why(bench: Bench, rests: Rests) -> str:
    return bench.because(rests.rule) if rests.basis == "rule" else ""


def _bolder(bench: Bench, meant: str, advised: str) -> Item:
    rests = _on_verdict(bench)
    severity: Severity = "stop"
    remedy = {
        "refer": f"Stop, tag the part, and refer it to {_whom(bench)}.",
        "investigate": "Answer what is open first, then plan again.",
        "replace": "Replace the part.",
    }[advised]
    if advised == "replace" and _still_open(bench):
        severity = "query"
        remedy = "Replace the part, or say why mending it is worth more here."
    text = f"The plan goes ahead ({plain(meant)}); the rules say {plain(advised)}."
    text += f" {_why(bench, rests)}"
    return finding(
        "verdict", "contradicts", severity, rests, text, Words(bench.plan.verdict, advised, remedy)
    )


def _still_open(bench: Bench) -> bool:
    """Whether the rules would leave the plan's method, and only weigh a new part higher."""
    ranking = bench.base.objects["ranking"]
    assert isinstance(ranking, Ranking)
    return any(one.method == bench.method and one.state == "open" for one in ranking.methods)


def _agreed(bench: Bench, meant: str, advised: str) -> Item:
    stated = bench.plan.verdict
    if meant == advised:
        text = f"The rules let the work go ahead: {plain(advised)}."
        if stated is None:
            text = f"The plan states no verdict; the rules say {plain(advised)}."
        who = f" Before the first cut: {_whom(bench)}." if advised != "repair" else ""
        kind = _on_verdict(bench)
        return finding("verdict", "agrees", "note", kind, text + who, Words(stated, advised))
    if advised == "repair":
        text = "The plan asks for an approval that no rule asks for."
        return finding(
            "verdict", "stronger", "note", _on_verdict(bench), text, Words(stated, advised)
        )
    return _without_approval(bench, advised)


def _without_approval(bench: Bench, advised: str) -> Item:
    asked = approvals(bench.trial)
    grave = any(one.id not in OWN_SAY for one in asked)
    severity: Severity = "stop" if grave and bench.plan.verdict is not None else "query"
    rests = bench.on_rules(rule for one in _gravest_first(asked) for rule in one.rules)
    text = f"The plan goes ahead without the consent of {_whom(bench)}. {_why(bench, rests)}"
    return finding(
        "verdict",
        "missing" if bench.plan.verdict is None else "falls_short",
        severity,
        rests,
        text.strip(),
        Words(
            bench.plan.verdict,
            advised,
            f"Make it {advised}, and get the consent in writing before the first cut.",
        ),
    )


def _gravest_first(asked: tuple[Approval, ...]) -> list[Approval]:
    return sorted(asked, key=lambda one: one.id in OWN_SAY)


def _whom(bench: Bench) -> str:
    asked = _gravest_first(approvals(bench.trial))
    return listed(one.who for one in asked) if asked else "whoever governs it"


def _both_hold_back(bench: Bench, meant: str, advised: str) -> Item:
    rests, words = _on_verdict(bench), Words(bench.plan.verdict, advised)
    if meant == advised:
        text = f"The rules say the same: {plain(advised)}. {_why(bench, rests)}"
        return finding("verdict", "agrees", "note", rests, text.strip(), words)
    rank = bench.book.vocabulary["verdict"].choices.index
    if rank(meant) > rank(advised):
        text = f"The plan is more careful than the rules, which say {plain(advised)}."
        return finding("verdict", "stronger", "note", rests, text, words)
    text = f"Nothing goes ahead, but the rules ask for more: {plain(advised)}. {_why(bench, rests)}"
    remedy = f"Make it {advised}: {_whom(bench)} decides." if advised == "refer" else ""
    return finding(
        "verdict",
        "falls_short",
        "query",
        rests,
        text,
        Words(bench.plan.verdict, advised, remedy or f"Make it {advised}."),
    )
