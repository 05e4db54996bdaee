"""What an answer turns, in words: "above 6.4 mm: stitch with M6 pins; below: patch plate"."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence

from advisor.advice.doubt.possible_answers import limits_of
from advisor.advice.doubt.search import Search
from advisor.advice.doubt.trials import Trial, Trials, Tried, comparable
from advisor.advice.doubt.what_if import STEPPED, Aspect, Outlook
from advisor.advice.phrases import Units, fact_text
from advisor.advice.thinking import Thinking
from advisor.case.model import UNKNOWN
from advisor.case.model import Value as Answer
from advisor.case.quantities import Measure, format_measure
from advisor.case.units import COUNTED

_MOST_LABELS = 4
_MOST_WORDS = 5

_VERDICT_SAYS = {
    "investigate": "find out more first",
    "refer": "refer",
    "replace": "replace the part",
}
_METHOD_SAYS = {
    "cold_stitch": "stitch cold",
    "cold_stitch_with_keys": "stitch cold with keys",
    "braze_weld": "braze weld",
    "arc_weld_cool_nickel": "weld cool with nickel",
    "arc_weld_full_preheat": "weld hot",
    "oxyfuel_fusion_weld": "weld hot with the torch",
    "tig_weld": "tungsten-arc weld",
    "arc_weld_steel": "arc weld as steel",
    "patch_plate": "patch plate",
    "threaded_plug": "threaded plug",
    "resin_repair": "resin repair",
    "impregnation": "impregnate",
}


def outlook_says(outlook: Outlook) -> str:
    """The decision of an advice in a few words."""
    if not outlook.goes_ahead:
        return _VERDICT_SAYS[outlook.verdict]
    says = _METHOD_SAYS[outlook.method]
    with_pin = f", {outlook.pin} pins" if outlook.pin else ""
    consent = ", with approval" if outlook.verdict == "repair_with_approval" else ""
    return f"{says}{with_pin}{consent}"


def decides(trials: Trials, question: str, units: Units) -> tuple[str, ...]:
    """What an open question decides, most important first."""
    tried = trials.tried[question]
    said: list[str] = []
    for group, left_open, what_if in (
        (tried.at_best, tried.left_open, trials.what_if_at_best),
        (tried.as_it_stands, trials.as_it_is, trials.what_if),
    ):
        if group and not said:
            search = Search(what_if, question, limits_of(trials.thinking, question))
            said += _turns(group, left_open, search, units)
    if not said:
        said += _items(trials, tried)
    return tuple(dict.fromkeys(said))[:_MOST_WORDS]


def _turns(
    trials: Sequence[Trial], left_open: Outlook | None, search: Search, units: Units
) -> Iterator[str]:
    """Which answers lead to which decision."""
    ways = {outlook_says(trial.outlook) for trial in trials}
    if len(ways) > 1:
        if isinstance(trials[0].possible.answer, Measure):
            yield from _by_value(trials, search, units)
        else:
            yield from _by_choice(trials)
    elif left_open and outlook_says(left_open) not in ways:
        yield f"while it is not answered: {outlook_says(left_open)}; then: {ways.pop()}"


def _by_choice(trials: Iterable[Trial]) -> Iterator[str]:
    ways: dict[str, list[str]] = {}
    for trial in trials:
        ways.setdefault(outlook_says(trial.outlook), []).append(trial.possible.says)
    most = max(ways, key=lambda way: len(ways[way])) if len(ways) > 1 else ""
    for way, labels in ways.items():
        if way != most or len(labels) <= 2:
            yield f"{_listed(labels)}: {way}"
    if len(ways[most]) > 2:
        yield f"otherwise: {most}"


def _listed(labels: Sequence[str]) -> str:
    shown = labels[:_MOST_LABELS]
    left = len(labels) - len(shown)
    more = f" and {left} more" if left else ""
    return ", ".join(shown) + more


def answer_says(thinking: Thinking, question: str, answer: Answer | None, units: Units) -> str:
    """An answer of a case in words."""
    if answer is None:
        return "not answered"
    if answer is UNKNOWN:
        return "not known"
    if isinstance(answer, Measure):
        return format_measure(answer, units)
    labels = {
        choice.id: choice.label.lower()
        for choice in thinking.rulebook.questionnaire.by_id[question].choices
    }
    if isinstance(answer, str):
        return labels.get(answer, answer)
    if isinstance(answer, tuple) and all(isinstance(one, str) for one in answer):
        return ", ".join(labels.get(str(one), str(one)) for one in answer)
    count = len(answer) if isinstance(answer, tuple | Mapping) else 1
    return "1 entry" if count == 1 else f"{count} entries"


# --- measured values ----------------------------------------------------------------------------


def _value(trial: Trial) -> float:
    answer = trial.possible.answer
    assert isinstance(answer, Measure)
    return answer.low


def _by_value(trials: Sequence[Trial], search: Search, units: Units) -> Iterator[str]:
    trials = sorted(trials, key=_value)
    edges: list[float] = []
    ways = [outlook_says(trials[0].outlook)]
    dimension = ""
    for one, other in itertools.pairwise(trials):
        low, high = one.possible.answer, other.possible.answer
        way = outlook_says(other.outlook)
        if way == ways[-1] or not (isinstance(low, Measure) and isinstance(high, Measure)):
            continue
        dimension = low.dimension
        edge = search.edge(low.low, high.low, dimension, outlook_says)
        if edge is not None:
            edges.append(edge)
            ways.append(way)
    if not edges:
        return
    yield from _in_steps(edges, ways, dimension, units)


def _in_steps(
    edges: Sequence[float], ways: Sequence[str], dimension: str, units: Units
) -> Iterator[str]:
    """Each way with the values that lead to it."""
    whole = dimension in COUNTED
    says = [format_measure(Measure(edge, edge, dimension), units) for edge in edges]
    yield f"below {says[0]}: {ways[0]}"
    for (index, way), (first, beyond) in zip(
        enumerate(ways[1:-1]), itertools.pairwise(edges), strict=True
    ):
        last = f"{beyond - 1:g}" if whole else says[index + 1]
        stretch = f"{says[index]} to {last}" if not whole or beyond - first > 1 else says[index]
        yield f"{stretch}: {way}"
    yield f"{says[-1]} and more: {ways[-1]}" if whole else f"above {says[-1]}: {ways[-1]}"


# --- from one decision to another ---------------------------------------------------------------


def what_changes(before: Outlook, after: Outlook, units: Units) -> str:
    """What an advice becomes, in a few words."""
    if outlook_says(before) != outlook_says(after):
        return outlook_says(after)
    said = [
        *_more_or_less("agreement of", before.approvals, after.approvals),
        *_more_or_less("inspection", before.inspections, after.inspections),
        *_sizes_change(before, after, units),
    ]
    return "; ".join(said)


def _more_or_less(what: str, before: frozenset[str], after: frozenset[str]) -> Iterator[str]:
    for says, names in (("also", after - before), ("no longer", before - after)):
        if names:
            listed = _listed([name.replace("_", " ") for name in sorted(names)])
            yield f"{says} {what} {listed}"


def _sizes_change(before: Outlook, after: Outlook, units: Units) -> Iterator[str]:
    was, now = dict(before.sizes), dict(after.sizes)
    vocabulary = after.thinking.rulebook.vocabulary
    for name in sorted(was.keys() | now.keys()):
        if was.get(name) == now.get(name) or not (name in STEPPED or name.startswith("insert")):
            continue
        says = now.get(name, "none")
        if name in vocabulary and name in now:
            says = fact_text(vocabulary[name], after.thinking.values[name], units)
        yield f"{name.replace('_', ' ')}: {says}"


# --- other aspects ------------------------------------------------------------------------------

_ASKED: tuple[tuple[Aspect, str], ...] = (
    ("approvals", "who has to agree"),
    ("sizes", "sizes"),
    ("inspections", "inspections"),
    ("steps", "steps"),
)


def _items(trials: Trials, tried: Tried) -> Iterator[str]:
    """What else hangs on an answer: approvals, sizes, inspections, steps, cautions."""
    groups = list(comparable(trials, tried))
    for aspect, says in _ASKED:
        names = _varying(groups, aspect)
        if names:
            yield f"{says}: {_listed(names)}"
    if any(len({outlook.cautions for outlook in alike}) > 1 for alike in groups):
        yield "what to beware of"


def _varying(groups: Iterable[Sequence[Outlook]], aspect: Aspect) -> list[str]:
    found: dict[str, None] = {}
    for alike in groups:
        sets: list[frozenset[object]] = [outlook.of(aspect) for outlook in alike]
        varying = frozenset[object]().union(*sets) - sets[0].intersection(*sets)
        names = {str(item[0] if isinstance(item, tuple) else item) for item in varying}
        found.update(dict.fromkeys(name.replace("_", " ") for name in sorted(names)))
    return list(found)
