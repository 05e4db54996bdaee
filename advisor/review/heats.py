"""The heat as planned: preheat, interpass, filler and cooling, as the rules ask of its method."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from advisor.advice.model import Quantity
from advisor.advice.phrases import quantity
from advisor.reasoning.tables import Cell
from advisor.review.bench import ON_THE_PLAN, Bench, Rests, Words, finding, plain
from advisor.review.filler import judge_filler
from advisor.review.model import Figure, Finding, Item, Severity
from advisor.review.plan import COOLINGS, PlannedHeat

_WARM = 50.0  # degC; a preheat up to here only dries the metal
_ROUNDED = 0.5  # K


def judge_heat(bench: Bench) -> Iterator[Item]:
    """All that can be said of the heat."""
    planned = bench.plan.heat
    if not bench.hot:
        if planned is not None:
            yield _heat_where_none(bench)
        return
    if planned is None:
        if bench.plan.method is not None:
            yield _silent(bench)
        return
    yield from _judge_preheat(bench, planned)
    yield from _judge_interpass(bench, planned)
    yield from judge_filler(bench, planned)
    yield from _judge_cooling(bench, planned)


def _heat_where_none(bench: Bench) -> Item:
    """Heat beside a cold method; on a metal that nobody knows, or where none is allowed, a stop."""
    trial = bench.trial
    unknown = trial.word("material") is None
    barred = trial.word("heat_allowed") == "none"
    severity: Severity = "stop" if unknown or barred else "query"
    method = plain(bench.method or "no method that is named")
    text = f"Heat is planned, and {method} needs none."
    if unknown:
        text += " Nobody knows what this metal does in the heat."
    elif barred:
        text += " No heat is allowed on this part."
    words = Words(remedy="Leave the heat out, or name the hot method.")
    return finding("heat", "contradicts", severity, ON_THE_PLAN, text, words)


def _silent(bench: Bench) -> Item:
    preheat, rests = _least_preheat(bench)
    advised = None if preheat is None else quantity(round(preheat, 1), "degC")
    text = f"{plain(bench.method or '').capitalize()} needs heat, and the plan says nothing of it."
    words = Words(None, advised, "State preheat, interpass temperature, filler and cooling.")
    return finding("heat", "missing", "query", rests, text, words)


# --- preheat ------------------------------------------------------------------------------------


def _least_preheat(bench: Bench) -> tuple[float | None, Rests]:
    """The least preheat of rules and formula, and which of them asks for it."""
    by_rule, by_formula = bench.number("preheat_min"), bench.number("preheat_by_formula")
    if by_formula and (by_rule is None or by_formula.high > by_rule.high):
        return by_formula.high, bench.on_formula("steel_preheat")
    return (by_rule.high if by_rule else None), bench.on_fact("preheat_min")


def _judge_preheat(bench: Bench, planned: PlannedHeat) -> Iterator[Item]:
    least, rests = _least_preheat(bench)
    preheat = planned.preheat
    figures = bench.figure("preheat that hydrogen asks for", "preheat_by_formula", low=False)
    words = Words(_degc(preheat), _degc(least), figures=figures)
    if least is None:
        text = "No rule says how hot this metal has to be before it is joined in this way."
        yield finding("heat.preheat", "not_judged", "query", rests, text, words)
        return
    if preheat is None:
        text = f"The plan names no preheat; at least {_say(bench, least)} is asked for."
        words = replace(words, remedy=f"State it: {_say(bench, least)} or more.")
        yield finding("heat.preheat", "missing", "query", rests, text, words)
        return
    if preheat < least - _ROUNDED:
        yield _too_cold(bench, preheat, least, rests, words)
    else:
        yield _warm_enough(bench, preheat, least, rests, words)


def _too_cold(bench: Bench, preheat: float, least: float, rests: Rests, words: Words) -> Item:
    formula = bench.number("preheat_by_formula")
    below_formula = formula is not None and preheat < formula.high - _ROUNDED
    grave = below_formula or (bench.brittle and least > _WARM)
    why = bench.because(rests.rule) if rests.basis == "rule" else _formula_says(bench)
    return finding(
        "heat.preheat",
        "falls_short",
        "stop" if grave else "query",
        rests,
        f"{_say(bench, preheat)} is below the {_say(bench, least)} that is asked for. {why}",
        replace(words, remedy=f"Preheat to {_say(bench, least)} or more."),
    )


def _formula_says(bench: Bench) -> str:
    fact = bench.trial.facts["preheat_by_formula"]
    return f"{fact.working}."


def _warm_enough(bench: Bench, preheat: float, least: float, rests: Rests, words: Words) -> Item:
    most, _ = _limit(bench, "preheat_high")
    ceiling = bench.number("interpass_max")
    above_all, top = _limit(bench, "ceiling")
    kind: Finding = "stronger" if preheat > least + _ROUNDED else "agrees"
    text = f"{_say(bench, preheat)}; at least {_say(bench, least)} is asked for."
    if above_all is not None and preheat > above_all + _ROUNDED:
        text += f" Above {_say(bench, above_all)} this metal is never taken."
        words = replace(words, remedy=f"Stay below {_say(bench, above_all)}.")
        return finding("heat.preheat", "contradicts", "stop", _on_cell(top), text, words)
    if bench.method == "arc_weld_cool_nickel" and ceiling and preheat > ceiling.high + _ROUNDED:
        text += (
            f" The cool technique stays below {_say(bench, ceiling.high)}: between hand-warm and "
            "fully hot the casting is in the worst state of all."
        )
        words = replace(words, remedy="Stay hand-warm, or take the hot way with the whole casting.")
        on = bench.on_fact("interpass_max")
        return finding("heat.preheat", "contradicts", "query", on, text, words)
    if most is not None and preheat > most + 50.0:
        text += f" Usual is up to {_say(bench, most)}; hotter costs time and distortion."
    return finding("heat.preheat", kind, "note", rests, text, words)


# --- interpass ----------------------------------------------------------------------------------


def _judge_interpass(bench: Bench, planned: PlannedHeat) -> Iterator[Item]:
    found, rests = bench.number("interpass_max"), bench.on_fact("interpass_max")
    most, interpass = found.high if found else None, planned.interpass_max
    words = Words(_degc(interpass), _degc(most))
    name = "heat.interpass_max"
    if most is None:
        text = "No rule sets a ceiling between the beads here."
        severity: Severity = "note" if interpass is None else "query"
        yield finding(name, "not_judged", severity, rests, text, words)
        return
    if interpass is None:
        text = f"The plan names no ceiling between the beads; {_say(bench, most)} is the most."
        words = replace(words, remedy=f"State it: at most {_say(bench, most)}.")
        yield finding(name, "missing", "query", rests, text, words)
        return
    if interpass > most + _ROUNDED:
        yield _too_hot(bench, interpass, most, rests, words)
        return
    if planned.preheat is not None and interpass < planned.preheat - _ROUNDED:
        text = (
            f"The plan preheats to {_say(bench, planned.preheat)} and would stay below "
            f"{_say(bench, interpass)} between the beads: both cannot be."
        )
        words = replace(words, remedy="Put the ceiling above the preheat.")
        yield finding(name, "contradicts", "query", ON_THE_PLAN, text, words)
        return
    kind: Finding = "stronger" if interpass < most - _ROUNDED else "agrees"
    text = f"{_say(bench, interpass)}; at most {_say(bench, most)} is allowed."
    yield finding(name, kind, "note", rests, text, words)


def _too_hot(bench: Bench, interpass: float, most: float, rests: Rests, words: Words) -> Item:
    ceiling, cell = _limit(bench, "ceiling")
    why = bench.because(rests.rule) if rests.basis == "rule" else ""
    text = f"{_say(bench, interpass)} is above the {_say(bench, most)} allowed. {why}".strip()
    words = replace(words, remedy=f"Wait until it is below {_say(bench, most)}.")
    grave = ceiling is not None and interpass > ceiling + _ROUNDED
    if grave and ceiling is not None:
        text += f" Beyond {_say(bench, ceiling)} this metal is spoilt in any case."
        figure = Figure(
            name="never above",
            value=quantity(ceiling, "degC"),
            sources=cell.source if cell else (),
        )
        words = replace(words, figures=(figure,))
    severity: Severity = "stop" if grave else "query"
    return finding("heat.interpass_max", "falls_short", severity, rests, text, words)


def _limit(bench: Bench, column: str) -> tuple[float | None, Cell | None]:
    """The widest limit of the table for this metal and method."""
    found = [
        (cell.value, cell)
        for row in _bands(bench)
        if (cell := row.get(column)) is not None and isinstance(cell.value, int | float)
    ]
    if not found:
        return None, None
    value, cell = max(found, key=lambda one: one[0])
    return float(value), cell


def _bands(bench: Bench) -> Iterator[Mapping[str, Cell]]:
    material = bench.trial.word("material")
    for row in bench.book.knowledge.tables["heat_bands"].rows.values():
        metal, method = row.get("material"), row.get("method")
        if metal and method and (metal.value, method.value) == (material, bench.method):
            yield row


def _on_cell(cell: Cell | None) -> Rests:
    if cell is None:
        return ON_THE_PLAN
    return Rests(f"{cell.table} {cell.row} {cell.column}", "table", (), cell.source)


# --- cooling ------------------------------------------------------------------------------------


def _judge_cooling(bench: Bench, planned: PlannedHeat) -> Iterator[Item]:
    wanted, rests = bench.trial.word("cooling"), bench.on_fact("cooling")
    cooling, name = planned.cooling, "heat.cooling"
    words = Words(cooling, wanted)
    if wanted is None:
        if cooling is not None:
            text = "No rule says how this casting has to cool."
            yield finding(name, "not_judged", "note", rests, text, words)
        return
    if cooling is None:
        text = f"The plan does not say how the casting cools; {plain(wanted)} is asked for."
        words = replace(words, remedy=f"State it: {wanted}.")
        yield finding(name, "missing", "query", rests, text, words)
    elif COOLINGS.index(cooling) < COOLINGS.index(wanted):
        why = bench.because(rests.rule) if rests.basis == "rule" else ""
        text = f"{plain(cooling).capitalize()} is faster than {plain(wanted)}. {why}".strip()
        words = replace(words, remedy=f"Let it cool slower: {plain(wanted)}.")
        severity: Severity = "stop" if bench.brittle else "query"
        yield finding(name, "falls_short", severity, rests, text, words)
    elif cooling == wanted:
        yield finding(name, "agrees", "note", rests, f"The rules say {plain(wanted)} too.", words)
    else:
        text = f"{plain(cooling).capitalize()} is slower than {plain(wanted)}, which is enough."
        yield finding(name, "stronger", "note", rests, text, words)


def _degc(value: float | None) -> Quantity | None:
    return None if value is None else quantity(round(value, 1), "degC")


def _say(bench: Bench, value: float) -> str:
    return bench.say(round(value, 1), "temperature")
