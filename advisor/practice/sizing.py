"""What size: pins and the threads they get, thread inserts, preheat."""

from __future__ import annotations

import re

from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.hole_plan import HolePlan
from advisor.advice.model import Heat
from advisor.advice.seam import SeamDesign
from advisor.advice.sizes import heat
from advisor.advice.thinking import Thinking
from advisor.case.quantities import QuantityError, format_measure, measure, parse_measure
from advisor.engineering.insert_geometry import KINDS
from advisor.engineering.pins import NEUTRAL_FAMILY, Pin
from advisor.practice.decisions import (
    NOTHING,
    Decision,
    Given,
    Kind,
    Mark,
    Option,
    Taken,
    Verdict,
    marked,
    said_go_ahead,
)
from advisor.practice.planning import name_of
from advisor.practice.worked import Worked

_NEAR_THREADS = 0.5
_FAR_THREADS = 1.0
_ROOM = 20.0  # degC; a part that is not heated
_A_LITTLE = 0.9  # of the least preheat
_MORE_THAN_ENOUGH = 100.0  # K above the least preheat, where nothing else limits it


def _method(worked: Worked, taken: Taken) -> str:
    """The method whose sizes are asked for."""
    if not worked.goes_ahead or not said_go_ahead(taken):
        return ""
    return worked.method_taken(taken.get("method", ("",))[0])


# --- pins -----------------------------------------------------------------------------------------


def _advised_row(worked: Worked) -> SeamDesign | None:
    found = worked.thinking.objects.get("seam")
    return found if isinstance(found, SeamDesign) else None


def _stitched(worked: Worked) -> bool:
    return worked.goes_ahead and worked.advice.recommended in STITCHED


def _pin(thread: str) -> Pin:
    return next(pin for pin in NEUTRAL_FAMILY if pin.thread == thread)


def least_threads_in(row: SeamDesign) -> float:
    """The fewest full threads of any pin in a row."""
    return min(pin.engaged_threads for pin in row.layout.pins)


class WhichPin(Kind):
    """The size of the pins."""

    id = "pin"
    out_of = 4.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Sizes below and above the advised one, some of which do not fit."""
        row = _advised_row(worked)
        if _method(worked, taken) not in STITCHED or row is None:
            return None
        threads = [pin.thread for pin in NEUTRAL_FAMILY]
        at = threads.index(row.choice.pin.thread)
        shift = worked.random(self.id).choice((-4, -3, -2, -1))
        first = max(0, min(at + shift, len(threads) - 6))
        return Decision(
            self.id,
            "Which pin?",
            "one",
            tuple(Option(thread, thread) for thread in threads[first : first + 6]),
            help="Which least wall is really there? The diameter lies between half the wall and "
            "one and a half, best near 0.8 of it; in a wall above 20 mm it need not be so thick, a "
            "third is enough. Every pin needs enough full threads.",
        )

    def counts(self, worked: Worked) -> bool:
        """Where the advice stitches."""
        return _stitched(worked)

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Any pin of which a row can be laid earns something."""
        row = _advised_row(worked)
        assert row is not None
        advised = row.choice.pin.thread
        rules = worked.thinking.facts["least_engaged_threads"].by
        return marked(self, decision, given, judge_pin(worked, given[0], advised), advised, rules)


def judge_pin(worked: Worked, thread: str, advised: str) -> Verdict:
    """How a size of pin stands against the advised one."""
    if thread == advised:
        return Verdict("right", 1.0, "")
    own = worked.row_of(_pin(thread))
    if isinstance(own, str):
        return Verdict("dangerous", 0.0, f"No row of it can be laid here: {own}.")
    return Verdict(
        "defensible",
        0.6,
        f"A row of it can be laid: {len(own.layout.pins)} pins with "
        f"{least_threads_in(own):.1f} threads at the least. {advised} suits the wall better.",
    )


class HowManyThreads(Kind):
    """The full threads that a pin gets."""

    id = "threads"
    out_of = 3.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Asked after the pin."""
        if "pin" not in taken or _advised_row(worked) is None:
            return None
        thread = self._row(worked, taken).choice.pin.thread
        return Decision(
            self.id,
            f"How many full threads of {thread} engage in the least wall?",
            "number",
            dimension="number",
            help="Least wall, less the spot-face (half the shoulder, which is a quarter of the "
            "diameter, where the threads allow it), over the pitch; a curve or a blind hole takes "
            "some away.",
        )

    def counts(self, worked: Worked) -> bool:
        """Where the advice stitches."""
        return _stitched(worked)

    @staticmethod
    def _row(worked: Worked, taken: Taken) -> SeamDesign:
        """The row of the apprentice's pin where it can be laid, or the advised one."""
        own = worked.row_of(_pin(taken["pin"][0]))
        advised = _advised_row(worked)
        assert advised is not None
        return own if isinstance(own, SeamDesign) else advised

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """To reckon with more threads than there are is dangerous."""
        there = least_threads_in(self._row(worked, taken))
        verdict = judge_threads(_number(given), there)
        rules = worked.thinking.facts["least_engaged_threads"].by
        return marked(self, decision, given, verdict, f"{there:.1f}", rules)


def judge_threads(said: float, there: float) -> Verdict:
    """How a number of threads stands against what there is."""
    off = said - there
    if abs(off) <= _NEAR_THREADS:
        return Verdict("right", 1.0, "")
    if abs(off) <= _FAR_THREADS:
        return Verdict("defensible", 0.5, "Near enough to see that it holds.")
    if off > 0:
        return Verdict("dangerous", 0.0, "You reckon with more threads than there are.")
    return Verdict("careful", 0.3, "There are more; to reckon low is the safe way to be wrong.")


# --- inserts --------------------------------------------------------------------------------------


class WhichInsert(Kind):
    """Whether a threaded hole needs an insert, and of what kind."""

    out_of = 3.0

    def __init__(self, number: int) -> None:
        self.id = f"insert_{number}"
        self._number = number

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """One question a hole."""
        plan = self._plan(worked) if _method(worked, taken) else None
        if plan is None:
            return None
        options = [Option(kind, f"{kind.replace('_', ' ')}") for kind in KINDS]
        return Decision(
            self.id,
            f"Threaded hole {self._number}: which insert?",
            "one",
            (Option(NOTHING, "none: the thread stays as it is"), *options),
            help="Is the thread sound? Does the crack run into the hole? Then what seals and what "
            "pulls the crack shut, and what does the metal round the hole bear?",
        )

    def counts(self, worked: Worked) -> bool:
        """Where work goes ahead and there is such a hole."""
        return worked.goes_ahead and self._plan(worked) is not None

    def _plan(self, worked: Worked) -> HolePlan | None:
        plans = worked.thinking.objects.get("inserts")
        for plan in plans if isinstance(plans, tuple) else ():
            if isinstance(plan, HolePlan) and plan.number == self._number and not plan.refused:
                return plan
        return None

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """None where one is needed is dangerous; a stronger kind than needed is defensible."""
        plan = self._plan(worked)
        assert plan is not None
        kind = plan.design.kind if plan.design else NOTHING
        because = plan.design.reasons if plan.design else plan.need.reasons
        verdict = judge_insert(given[0], kind, because)
        rules = worked.thinking.facts["insert_kind_wanted"].by
        return marked(self, decision, given, verdict, decision.says((kind,)), rules)


def judge_insert(given: str, advised: str, because: tuple[str, ...]) -> Verdict:
    """How a kind of insert stands against the advised one."""
    why = ". ".join(text[:1].upper() + text[1:] for text in because[:2])
    if given == advised:
        return Verdict("right", 1.0, f"{why}." if why else "")
    if advised == NOTHING:
        return Verdict("careful", 0.3, "The thread is sound: a bore only weakens the wall here.")
    if given == NOTHING:
        return Verdict("dangerous", 0.0, f"This thread does not carry as it is. {why}.")
    order = [str(kind) for kind in KINDS]
    if order.index(given) > order.index(advised):
        return Verdict("defensible", 0.5, "It holds, but it takes more out of the casting.")
    return Verdict("wrong", 0.0, f"That kind is not enough here. {why}.")


# --- heat -----------------------------------------------------------------------------------------


class HowWarm(Kind):
    """The preheat."""

    id = "preheat"
    out_of = 3.0

    def ask(self, worked: Worked, taken: Taken) -> Decision | None:
        """Asked where the method heats the casting."""
        method = _method(worked, taken)
        if not method or self._heat(worked, method) is None:
            return None
        return Decision(
            self.id,
            f"Preheat for {name_of(worked, method)}? Give a temperature; 20 degC for none.",
            "number",
            dimension="temperature",
            help="What does this metal need so that it neither cracks nor hardens beside the seam, "
            "and what must it never exceed?",
        )

    def counts(self, worked: Worked) -> bool:
        """Where the advised method heats."""
        return worked.goes_ahead and heat(worked.thinking) is not None

    @staticmethod
    def _heat(worked: Worked, method: str) -> Heat | None:
        return heat(worked.trial(method))

    def mark(self, worked: Worked, decision: Decision, given: Given, taken: Taken) -> Mark:
        """Too cold cracks the casting, too hot spoils it."""
        method = _method(worked, taken)
        trial, found = worked.trial(method), self._heat(worked, method)
        assert found is not None
        least, most = _ends(found)
        verdict = judge_preheat(_number(given, "temperature"), least, most)
        return marked(
            self, decision, given, verdict, _window(worked, least, most), _heat_rules(trial)
        )


def _ends(found: Heat) -> tuple[float, float | None]:
    least = found.preheat_min.value if found.preheat_min else _ROOM
    return least, found.interpass_max.value if found.interpass_max else None


def _heat_rules(thinking: Thinking) -> tuple[str, ...]:
    return (*thinking.facts["preheat_min"].by, *thinking.facts["interpass_max"].by)


def _window(worked: Worked, least: float, most: float | None) -> str:
    low = format_measure(measure(least, dimension="temperature"), worked.units)
    if most is None:
        return f"at least {low}"
    high = format_measure(measure(most, dimension="temperature"), worked.units)
    return f"at least {low}, never above {high}"


def judge_preheat(said: float, least: float, most: float | None) -> Verdict:
    """How a preheat stands between the least and the highest temperature."""
    if most is not None and said > most:
        return Verdict("dangerous", 0.0, "Hotter than this metal and method may ever get.")
    if said >= least or least <= _ROOM + 5:
        if most is None and said > least + _MORE_THAN_ENOUGH:
            return Verdict("defensible", 0.5, "Warm enough, but hotter than it need be.")
        return Verdict("right", 1.0, "")
    if said >= _A_LITTLE * least:
        return Verdict("defensible", 0.4, "A little too cold; a part cools while it is worked on.")
    return Verdict("dangerous", 0.0, "Too cold: the metal beside the seam cracks or turns hard.")


def _number(given: Given, dimension: str = "number") -> float:
    """A number as it was typed; :func:`read_number` has let it through."""
    return read_number(" ".join(given), dimension)


def read_number(text: str, dimension: str) -> float:
    """A number as an apprentice types it, with its unit where it has one.

    Raises:
        QuantityError: with what would be right.

    >>> read_number("6,2", "number"), read_number("150 degC", "temperature")
    (6.2, 150.0)
    """
    text = re.sub(r"(?<=\d),(?=\d{1,2}\b)", ".", text.strip())
    if dimension == "number":
        try:
            return float(text)
        except ValueError:
            raise QuantityError(text, "a number, such as 5.5") from None
    return parse_measure(text, dimension).middle
