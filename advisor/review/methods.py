"""The plan's method against the rules that exclude, allow, and weigh."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.ranking import REPLACE, Ranked, Ranking
from advisor.reasoning.judge import Finding as Found
from advisor.review.bench import GOES_AHEAD, ON_THE_PLAN, Bench, Words, finding, listed, plain
from advisor.review.model import Item, Severity
from advisor.review.protection import protects_people


def judge_method(bench: Bench) -> Iterator[Item]:
    """The method as stated, or as the plan's parts show it."""
    method = bench.method
    if method is None:
        if bench.plan.plans_work or bench.base.word("go_ahead") == "yes":
            yield _silent(bench)
        return
    advised = _advised(bench)
    stated = Words(bench.plan.method, advised)
    if bench.plan.method is None:
        text = f"The plan names no method; it is read as {plain(method)}."
        whole = bench.plan.verdict in GOES_AHEAD and not bench.plan.plans_work
        named = replace(stated, remedy=f"Name the method: {method}.") if whole else stated
        severity: Severity = "query" if whole else "note"
        yield finding("method", "missing", severity, ON_THE_PLAN, text, named)
    ranked = _ranked(bench, method)
    excluded = tuple(_excluding(bench, method))
    if any(one.holds.certain for one in excluded):
        for one in excluded:
            if one.holds.certain:
                yield _ruled_out(bench, one)
    elif ranked.state == "ruled_out":
        yield _not_allowed(bench)
    elif ranked.state == "unsure":
        yield _unsure(bench, excluded)
    elif method == advised:
        text = f"The rules put {plain(method)} first as well."
        yield finding("method", "agrees", "note", bench.on_rules(_for(bench, method)), text, stated)
    else:
        yield _other_choice(bench, ranked)


def _silent(bench: Bench) -> Item:
    advised = _advised(bench)
    text = "The plan names no method, so nothing that hangs on the method is judged."
    return finding(
        "method",
        "missing",
        "query",
        bench.on_formula("rank_methods"),
        text,
        Words(None, advised, f"Name the method; the rules put {plain(advised or 'none')} first."),
    )


def _advised(bench: Bench) -> str | None:
    if bench.base.word("verdict") == "replace":
        return REPLACE
    method = bench.base.word("method")
    return None if method == "none" else method


def _ranked(bench: Bench, method: str) -> Ranked:
    ranking = bench.base.objects["ranking"]
    assert isinstance(ranking, Ranking)
    return next(one for one in ranking.methods if one.method == method)


def _bearing(bench: Bench, method: str, effect: str) -> Iterator[Found]:
    for findings in bench.base.findings.values():
        for found in findings.findings.values():
            if any(each.kind == effect and each.target == method for each in found.rule.then):
                yield found


def _excluding(bench: Bench, method: str) -> Iterator[Found]:
    return (one for one in _bearing(bench, method, "rule_out") if one.holds.possible)


def _for(bench: Bench, method: str) -> list[str]:
    speaking = [*_bearing(bench, method, "favour"), *_bearing(bench, method, "allow")]
    return [one.rule.id for one in speaking if one.holds.certain]


def _ruled_out(bench: Bench, found: Found) -> Item:
    method = bench.method or ""
    return finding(
        "method",
        "contradicts",
        "stop",
        bench.on_rules([found.rule.id]),
        f"{plain(method).capitalize()} is ruled out: {bench.because(found.rule.id)}",
        Words(bench.plan.method, _advised(bench), _instead(bench)),
    )


def _instead(bench: Bench) -> str:
    advised = _advised(bench)
    if advised is None:
        return "No method is left that the rules recommend here; see the verdict."
    return f"Take {plain(advised)}, which the rules put first."


def _not_allowed(bench: Bench) -> Item:
    method = bench.method or ""
    allowing = [one.rule.id for one in _bearing(bench, method, "allow")]
    rests = bench.on_rules(allowing[:1]) if allowing else bench.on_formula("rank_methods")
    nearest = f" The nearest that would is: {bench.because(allowing[0])}" if allowing else ""
    return finding(
        "method",
        "contradicts",
        "stop",
        rests,
        f"No rule allows {plain(method)} here.{nearest}",
        Words(bench.plan.method, _advised(bench), _instead(bench)),
    )


def _unsure(bench: Bench, excluded: tuple[Found, ...]) -> Item:
    method = bench.method or ""
    grave = [one for one in excluded if protects_people(one.rule, bench.book)]
    rules = [one.rule.id for one in (*grave, *(one for one in excluded if one not in grave))]
    if rules:
        text = (
            f"It cannot be told whether {plain(method)} is ruled out, because an answer is "
            f"missing: {bench.because(rules[0])}"
        )
    else:
        rules = [one.rule.id for one in _bearing(bench, method, "allow") if one.holds.possible]
        text = (
            f"It cannot be told whether {plain(method)} is allowed here, because an answer is "
            f"missing: {bench.because(rules[0])}"
        )
    return finding(
        "method",
        "falls_short",
        "stop" if grave else "query",
        bench.on_rules(rules),
        text,
        Words(bench.plan.method, _advised(bench), "Answer the open questions of the case first."),
    )


def _other_choice(bench: Bench, ranked: Ranked) -> Item:
    """Allowed, but not the first: what speaks for and against either."""
    advised = _advised(bench)
    method = ranked.method
    if advised is None:
        text = f"{plain(method).capitalize()} is not ruled out, but nothing goes ahead here."
        return finding(
            "method",
            "not_judged",
            "note",
            bench.on_formula("rank_methods"),
            text,
            Words(bench.plan.method, None),
        )
    other = _ranked(bench, advised)
    text = (
        f"{plain(method).capitalize()} is allowed here; the rules put {plain(advised)} first "
        f"({_signed(other.score)} against {_signed(ranked.score)})."
    )
    if method == REPLACE:
        text = "A new part is always open; the rules would mend this one."
    text += "".join(_trade_off(bench, method, advised))
    against = [one.rule.id for one in _bearing(bench, method, "disfavour") if one.holds.certain]
    rules = [*against, *_for(bench, advised), *_for(bench, method)]
    return finding(
        "method",
        "stronger" if method == REPLACE else "agrees",
        "note",
        bench.on_rules(rules[:6]),
        text,
        Words(bench.plan.method, advised),
    )


def _trade_off(bench: Bench, method: str, advised: str) -> Iterator[str]:
    for sign, name, effect in (
        ("For", method, "favour"),
        ("Against", method, "disfavour"),
        ("For", advised, "favour"),
        ("Against", advised, "disfavour"),
    ):
        titles = [
            one.rule.title.rstrip(".").replace(": ", ", ")
            for one in _bearing(bench, name, effect)
            if one.holds.certain
        ]
        if titles:
            yield f" {sign} {plain(name)}: {listed(titles[:3])}."


def _signed(score: int) -> str:
    return f"{score:+d}"
