"""The pressure test as planned: high enough to prove, low enough to spare, and with what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.phrases import quantity
from advisor.engineering.pressure_tests import stored_gas_energy, stored_water_energy
from advisor.reasoning.tables import Cell
from advisor.review.bench import Bench, Rests, Words, finding
from advisor.review.model import Figure, Item, Severity

WATER_TESTS = ("pressure_test_water", "pressure_test_oil", "patch_leak", "jacket_under_water")
_ROUNDED = 0.01  # of a pressure; what rounding of the plan's figure moves
_ONE_LITRE = 1.0


def judge_test(bench: Bench) -> Iterator[Item]:
    """Test pressure and test medium."""
    if bench.method is None or bench.method == "replace_part":
        return
    yield from _judge_pressure(bench)
    yield from _judge_medium(bench)


def tests_asked(bench: Bench) -> list[str]:
    """Inspections at test pressure that the rules ask of this plan."""
    return [one for one in WATER_TESTS if bench.asked_for("required_inspections", one)]


# --- pressure -----------------------------------------------------------------------------------


def _judge_pressure(bench: Bench) -> Iterator[Item]:
    planned, asked = bench.plan.test_pressure, tests_asked(bench)
    advised = bench.number("test_pressure")
    rests = bench.on_fact("test_pressure")
    words = Words(
        None if planned is None else quantity(round(planned, 3), "bar"),
        quantity(round(advised.high, 2), "bar") if advised else None,
        figures=_figures(bench),
    )
    if planned is None:
        if asked and bench.plan.plans_work:
            yield _silent(bench, asked, words)
        return
    if _set_by_authority(bench):
        text = "The test pressure of this part is set by whoever governs it, not by the shop."
        on = bench.on_rules(_authority(bench))
        yield finding("test_pressure", "not_judged", "query", on, text, words)
        return
    yield from _too_high(bench, planned, words)
    if advised is None:
        yield _unknown(bench, planned, words, rests)
    elif not asked:
        text = "No rule asks for a pressure test here."
        yield finding("test_pressure", "stronger", "note", rests, text, words)
    else:
        yield from _high_enough(bench, planned, advised.high, words, rests)


def _figures(bench: Bench) -> tuple[Figure, ...]:
    return (
        *bench.figure("highest working pressure", "pressure", low=False),
        *bench.figure("test over working pressure", "test_ratio", low=False),
        *bench.figure("half the weakest panel's strength at", "yielding_pressure"),
    )


def _bar(bench: Bench, value: float) -> str:
    return bench.say(round(value, 3), "pressure")


def _silent(bench: Bench, asked: list[str], words: Words) -> Item:
    rests = bench.on_rules(
        claim.rule.id for one in asked for claim in bench.asked_for("required_inspections", one)
    )
    text = f"The plan names no test pressure. {bench.because(rests.rule)}"
    if words.advised is not None:
        advised = bench.number("test_pressure")
        assert advised
        words = replace(words, remedy=f"Test at {_bar(bench, advised.high)}.")
    return finding("test_pressure", "missing", "query", rests, text, words)


def _set_by_authority(bench: Bench) -> bool:
    return bench.trial.word("verdict") == "refer" and bool(_authority(bench))


def _authority(bench: Bench) -> list[str]:
    return [
        claim.rule.id
        for claim in bench.trial.claims["verdict"]
        if claim.value == "refer" and claim.certain
    ]


def _too_high(bench: Bench, planned: float, words: Words) -> Iterator[Item]:
    """Above what the weakest panel stands, whatever the codes would ask of a new part."""
    cap = bench.number("yielding_pressure")
    if cap is None or planned <= cap.low * (1 + _ROUNDED):
        return
    advised = bench.number("test_pressure")
    bring = f"Test at {_bar(bench, advised.high)}." if advised else "Refer it."
    working = bench.trial.facts["yielding_pressure"].working
    yield finding(
        "test_pressure",
        "contradicts",
        "stop",
        bench.on_formula("yielding_pressure"),
        f"{_bar(bench, planned)} loads the weakest panel beyond half its strength, which it "
        f"reaches at {_bar(bench, cap.low)} ({working}). The test itself may break the part.",
        replace(words, remedy=bring),
    )


def _unknown(bench: Bench, planned: float, words: Words, rests: Rests) -> Item:
    why = bench.trial.facts["test_pressure"].working or "the working pressure is not known"
    text = f"Whether {_bar(bench, planned)} is right cannot be told: {why}."
    words = replace(words, remedy="Find it out and write it in the case.")
    return finding("test_pressure", "not_judged", "query", rests, text, words)


def _high_enough(
    bench: Bench, planned: float, advised: float, words: Words, rests: Rests
) -> Iterator[Item]:
    working = bench.number("pressure")
    how = bench.trial.facts["test_pressure"].working
    cap = bench.number("yielding_pressure")
    if working and planned < working.high * (1 - _ROUNDED):
        text = (
            f"{_bar(bench, planned)} is below the working pressure of "
            f"{_bar(bench, working.high)}: it proves nothing, and service is the first real test."
        )
        words = replace(words, remedy=f"Test at {_bar(bench, advised)} ({how}).")
        yield finding("test_pressure", "falls_short", "stop", rests, text, words)
    elif planned < advised * (1 - _ROUNDED) - 0.005:
        text = f"{_bar(bench, planned)} is below {_bar(bench, advised)} ({how})."
        words = replace(words, remedy=f"Test at {_bar(bench, advised)}.")
        yield finding("test_pressure", "falls_short", "query", rests, text, words)
    elif planned > advised * (1 + _ROUNDED) + 0.005:
        yield from _harder(bench, planned, advised, words, rests)
    elif cap is None or planned <= cap.low * (1 + _ROUNDED):
        yield finding("test_pressure", "agrees", "note", rests, f"{how}.", words)


def _harder(
    bench: Bench, planned: float, advised: float, words: Words, rests: Rests
) -> Iterator[Item]:
    """Above the pressure asked for, where the panel is not known to be overloaded."""
    cap = bench.number("yielding_pressure")
    text = f"{_bar(bench, planned)} is more than the {_bar(bench, advised)} asked for."
    if cap is None:
        text += " What the weakest panel stands is not known (span or radius), and a test loads it."
        words = replace(words, remedy=f"Test at {_bar(bench, advised)}, or work the panel out.")
        yield finding("test_pressure", "stronger", "query", rests, text, words)
    elif planned <= cap.low * (1 + _ROUNDED):
        text += f" The weakest panel reaches half its strength at {_bar(bench, cap.low)}."
        yield finding("test_pressure", "stronger", "note", rests, text, words)


# --- medium -------------------------------------------------------------------------------------


def _judge_medium(bench: Bench) -> Iterator[Item]:
    medium, asked = bench.plan.test_medium, tests_asked(bench)
    advised = "oil" if "pressure_test_oil" in asked else "water" if asked else None
    words = Words(medium, advised)
    name = "test_medium"
    if medium is None:
        if bench.plan.test_pressure is not None:
            text = f"The plan names no medium; {advised or 'water'} is taken."
            rests = bench.on_rules(_test_rules(bench, asked))
            yield finding(name, "missing", "note", rests, text, words)
        return
    if medium == "air":
        yield _judge_air(bench, asked, words)
    elif advised is None:
        text = f"{medium.capitalize()} is a liquid: it lets go at the first leak."
        yield finding(name, "agrees", "note", bench.on_formula("test_pressure"), text, words)
    elif medium == advised:
        rests = bench.on_rules(_test_rules(bench, asked))
        yield finding(name, "agrees", "note", rests, f"The rules say {advised} too.", words)
    else:
        text = f"{medium.capitalize()} in place of {advised}: a liquid as well, it stores little; "
        text += "see that it does no harm to seals and metal, and that it shows a weep."
        rests = bench.on_rules(_test_rules(bench, asked))
        yield finding(name, "agrees", "note", rests, text, words)


def _test_rules(bench: Bench, asked: list[str]) -> list[str]:
    return [
        claim.rule.id for one in asked for claim in bench.asked_for("required_inspections", one)
    ]


def _judge_air(bench: Bench, asked: list[str], words: Words) -> Item:
    """Air shows leaks at a low pressure; for strength it is a bomb, and in brittle metal a stop."""
    pressure = bench.plan.test_pressure
    if pressure is None:
        found = bench.number("test_pressure")
        pressure = found.high if found else None
    ceiling, cell = _air_ceiling(bench)
    rests = bench.on_rules(_test_rules(bench, asked)) if asked else _on_cell(cell)
    if pressure is not None and pressure <= ceiling and not _proof_wanted(asked):
        text = f"Air at {_bar(bench, pressure)} shows leaks and stores little."
        return finding("test_medium", "agrees", "note", _on_cell(cell), text, words)
    words = replace(words, remedy="Test with water; air only to find leaks, at "
                    f"{_bar(bench, ceiling)} or less, under water or behind a guard.")  # fmt: skip
    text = f"Air stores energy that water does not{_energy(bench, pressure)}."
    severity: Severity = "stop"
    if bench.brittle:
        text += " Brittle metal gives no sign before it flies: never gas for strength."
    elif pressure is not None and pressure <= ceiling:
        severity = "query"
        text += f" At {_bar(bench, pressure)} it finds leaks, but proves no strength."
    if asked:
        rule = bench.rule(rests.rule)
        text += f" {bench.fill(rule.caution)}" if rule.caution else ""
    return finding("test_medium", "contradicts", severity, rests, text, words)


def _proof_wanted(asked: list[str]) -> bool:
    """Whether a test for strength is asked for, and not for leaks alone."""
    return any(one in asked for one in ("pressure_test_water", "pressure_test_oil"))


def _air_ceiling(bench: Bench) -> tuple[float, Cell | None]:
    cell = bench.book.knowledge.cell("test_pressures", "leak_check_air", "ceiling")
    value = cell.value if cell else None
    return (float(value) if isinstance(value, int | float) else 0.0), cell


def _on_cell(cell: Cell | None) -> Rests:
    sources = cell.source if cell else ()
    return Rests("test_pressures leak_check_air ceiling", "table", (), sources)


def _energy(bench: Bench, pressure: float | None) -> str:
    if pressure is None or pressure <= 0:
        return ""
    gas = stored_gas_energy(_ONE_LITRE, pressure)
    times = f"{gas / stored_water_energy(_ONE_LITRE, pressure):,.0f}".replace(",", " ")
    return (
        f": at {_bar(bench, pressure)} a litre of air holds {gas:.3g} J, some {times} times as "
        "much as a litre of water"
    )
