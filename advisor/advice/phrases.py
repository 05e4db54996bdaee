"""Facts and effects as people read them."""

from __future__ import annotations

from typing import Any, Literal

from advisor.advice.model import Quantity
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.quantities import Measure, format_measure
from advisor.reasoning.rules import PLACEHOLDER, Effect
from advisor.reasoning.values import Members, Number, Value, Word
from advisor.reasoning.vocabulary import FactKind
from advisor.reasoning.wording import choice_says, value_says

Units = Literal["si", "us"]


def fact_text(kind: FactKind, value: Value, units: Units = "si") -> str:
    """A fact's value with its unit, in the reader's units."""
    if isinstance(value, Number) and value.known and kind.dimension:
        return format_measure(Measure(value.low, value.high, kind.dimension), units)
    return value_says(value, kind)


def fill(text: str, thinking: Thinking, units: Units = "si") -> str:
    """Put facts into the places that a text of the library holds for them."""
    vocabulary = thinking.rulebook.vocabulary

    def put(match: Any) -> str:
        name = match.group(1)
        return fact_text(vocabulary[name], thinking.values[name], units)

    return PLACEHOLDER.sub(put, text)


def quantity(value: float, unit: str) -> Quantity:
    """A number of the plan with its unit, without noise digits."""
    return Quantity(value=round(value, 4) + 0.0, unit=unit)


def value_json(kind: FactKind, value: Value) -> Any:
    """A fact's value for JSON: a word, a list of words, or a quantity; None while open."""
    if isinstance(value, Word):
        return value.word
    if isinstance(value, Members):
        return sorted(value.certain) if value.known else None
    if not value.known:
        return None
    found = Quantity(
        value=_tidy((value.low + value.high) / 2),
        unit=kind.unit or "1",
        low=None if value.exact else _tidy(value.low),
        high=None if value.exact else _tidy(value.high),
    )
    return found.known()


def _tidy(number: float) -> float:
    return float(f"{number:.9g}")


def effect_says(effect: Effect, rulebook: Rulebook, units: Units = "si") -> str:
    """What an effect does, as a short clause."""
    vocabulary = rulebook.vocabulary
    if effect.kind in ("settle", "assume"):
        kind = vocabulary[effect.target]
        says = kind.says or effect.target.replace("_", " ")
        if effect.number is None:
            settled = choice_says(kind, effect.word)
        else:
            exact = Measure(effect.number, effect.number, kind.dimension)
            settled = format_measure(exact, units)
        return f"{says}: {settled}" + (" (assumed)" if effect.kind == "assume" else "")
    target = effect.target.replace("_", " ")
    if effect.kind == "warn":
        return "a caution"
    if effect.kind in ("favour", "disfavour"):
        verb = "speaks for" if effect.kind == "favour" else "speaks against"
        return f"{verb} {target} ({'+' if effect.kind == 'favour' else '-'}{effect.weight})"
    clauses = {
        "rule_out": f"rules out {target}",
        "allow": f"allows {target}",
        "require_step": f"the step “{target}”",
        "require_inspection": f"the inspection “{target}”",
        "require_approval": f"the approval of {target}",
    }
    return clauses[effect.kind]
