"""What if: the same case with answers changed, thought through again by the judge alone.

Only what a change touches is worked out again, so that many changes can be tried in the time of
one advice. Nothing found here is an advice: it serves to see what an answer can still decide.
"""

from __future__ import annotations

import contextlib
import functools
import gc
from collections.abc import Iterator, Mapping
from typing import Literal

from advisor.advice.formulas import Outcome
from advisor.advice.formulas_sizing import STITCHED
from advisor.advice.hole_plan import HolePlan
from advisor.advice.procedure import consent_counts
from advisor.advice.registry import FORMULAS
from advisor.advice.rulebook import STAGES
from advisor.advice.seam import SeamDesign
from advisor.advice.standings import recommended
from advisor.advice.thinking import Before, Thinking, begin, go_on, think
from advisor.case.model import Value as Answer
from advisor.engineering.keys import KeyDesign
from advisor.reasoning.claims import RulesDisagree
from advisor.reasoning.values import Members, Number, Value

Aspect = Literal["verdict", "method", "approvals", "sizes", "inspections", "steps", "cautions"]
ASPECTS: tuple[Aspect, ...] = (
    "verdict",
    "method",
    "approvals",
    "sizes",
    "inspections",
    "steps",
    "cautions",
)
"""What an answer can change in an advice, the weightiest first."""


@contextlib.contextmanager
def undisturbed() -> Iterator[None]:
    """Let no garbage collection come between: it costs a third of the time of many small tries."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


_KEYS = frozenset({"keys"})
_WITH_KEYS = "cold_stitch_with_keys"
"""Designing keys takes most of the time of a try, and up to the verdict all that its results can do
is to exclude this one method."""


class WhatIf:
    """Tries changes on one case.

    Attributes:
        thinking: the case as it stands.
        tried: how many changes were thought through.
    """

    def __init__(
        self, thinking: Thinking, outcomes: dict[str, list[Outcome]] | None = None
    ) -> None:
        self.thinking = thinking
        self.tried = 0
        self._outcomes: dict[str, list[Outcome]] = {} if outcomes is None else outcomes

    def think(
        self, changes: Mapping[str, Answer | None], pinned: Mapping[str, Value] | None = None
    ) -> Thinking | None:
        """The case with answers changed (None takes one out), or None where rules disagree.

        Args:
            changes: new answers by question.
            pinned: facts that are held at a value, whatever is made of the answers.
        """
        self.tried += 1
        thinking = self._begin(changes, pinned)
        return thinking if go_on_safely(thinking) else None

    def _begin(
        self,
        changes: Mapping[str, Answer | None],
        pinned: Mapping[str, Value] | None,
        left_out: frozenset[str] = frozenset(),
    ) -> Thinking:
        before = Before(self.thinking, self._outcomes, pinned or {}, left_out)
        case = self.thinking.case.with_answers(changes)
        return begin(case, self.thinking.rulebook, judge_only=True, before=before)

    def outlook(
        self, changes: Mapping[str, Answer | None], pinned: Mapping[str, Value] | None = None
    ) -> Outlook | None:
        """What the advice comes to with answers changed, or None where rules disagree.

        Thought through as far as the verdict; the rest follows when it is looked at. Keys are
        designed only where something hangs on them.
        """
        self.tried += 1
        if self._without_keys and not pinned:
            thinking = self._begin(changes, None, _KEYS)
            if go_on_safely(thinking, "verdict") and _does_without_keys(thinking):
                return Outlook(thinking)
        thinking = self._begin(changes, pinned)
        return Outlook(thinking) if go_on_safely(thinking, "verdict") else None

    @functools.cached_property
    def _without_keys(self) -> bool:
        """Whether the case as it stands does without keys, so that trying it pays."""
        return _does_without_keys(self.thinking)

    def whole(self, outlook: Outlook) -> Outlook:
        """The same outlook with nothing left out."""
        before = outlook.thinking.before
        if before is None or not before.left_out:
            return outlook
        case, book = outlook.thinking.case, self.thinking.rulebook
        again = Before(self.thinking, self._outcomes)
        return Outlook(think(case, book, judge_only=True, before=again))

    def from_here(self, outlook: Outlook) -> WhatIf:
        """Try changes on a case that was itself reached by changes."""
        return WhatIf(self.whole(outlook).thought_through, self._outcomes)


def _does_without_keys(thinking: Thinking) -> bool:
    """Whether the decision stands whatever keys come to: the part is referred, which nothing
    outdoes, or rules that know nothing of keys exclude the method for certain."""
    if thinking.word("verdict") == "refer":
        return True
    made = frozenset(FORMULAS["keys"].outputs)
    return any(
        claim.certain and claim.value == _WITH_KEYS and made.isdisjoint(claim.rule.reads)
        for claim in thinking.claims.get("methods_ruled_out", ())
    )


def go_on_safely(thinking: Thinking, until: str = STAGES[-1]) -> bool:
    """Think on; False where rules disagree."""
    try:
        go_on(thinking, until)
    except RulesDisagree:
        return False
    return True


class Outlook:
    """What an advice comes to, as far as an answer can turn it."""

    def __init__(self, thinking: Thinking) -> None:
        self.thinking = thinking
        self.verdict = thinking.word("verdict") or "investigate"
        self.method = recommended(thinking) or "none"
        self.goes_ahead = thinking.word("go_ahead") == "yes"
        self.hindrance: float | None = None

    @functools.cached_property
    def thought_through(self) -> Thinking:
        """The case thought through to its end."""
        go_on_safely(self.thinking)
        return self.thinking

    def _asked_for(self, fact: str) -> frozenset[str]:
        claims = self.thought_through.claims.get(fact, ())
        return frozenset(str(c.value) for c in claims if c.certain or self.goes_ahead)

    @functools.cached_property
    def approvals(self) -> frozenset[str]:
        """Who has to agree."""
        asked = self._asked_for("required_approvals")
        return frozenset(id_ for id_ in asked if consent_counts(self.thinking, id_))

    @functools.cached_property
    def inspections(self) -> frozenset[str]:
        """Inspections asked for."""
        return self._asked_for("required_inspections")

    @functools.cached_property
    def steps(self) -> frozenset[str]:
        """Steps asked for."""
        return self._asked_for("required_steps")

    @functools.cached_property
    def cautions(self) -> frozenset[str]:
        """Rules that say what to beware of."""
        return frozenset(
            found.rule.id
            for findings in self.thought_through.findings.values()
            for found in findings.findings.values()
            if found.holds.certain or (found.holds.possible and self.goes_ahead)
            if found.rule.caution or any(effect.kind == "warn" for effect in found.rule.then)
        )

    @functools.cached_property
    def sizes(self) -> frozenset[tuple[str, str]]:
        """Sizes of the plan by name, while work goes ahead."""
        return frozenset(_sizes(self.thought_through)) if self.goes_ahead else frozenset()

    @property
    def pin(self) -> str | None:
        """The thread of the pins, where the repair is stitched."""
        objects = self.thinking.objects
        keyed = objects.get("keyed_seam") if self.method == "cold_stitch_with_keys" else None
        seam = keyed or objects.get("seam")
        stitched = self.goes_ahead and self.method in STITCHED
        return seam.choice.pin.thread if stitched and isinstance(seam, SeamDesign) else None

    def of(self, aspect: Aspect) -> frozenset[object]:
        """One aspect as a set, to be compared."""
        value = getattr(self, aspect)
        return value if isinstance(value, frozenset) else frozenset((value,))

    def differs(self, other: Outlook, aspects: tuple[Aspect, ...] = ASPECTS) -> tuple[Aspect, ...]:
        """The aspects in which two outlooks differ."""
        return tuple(aspect for aspect in aspects if self.of(aspect) != other.of(aspect))

    @property
    def ended(self) -> bool:
        """Whether the matter is out of the shop's hands: referred, or the part replaced."""
        return self.verdict in ("refer", "replace")

    @property
    def decision(self) -> tuple[str, str]:
        """Verdict and method."""
        return (self.verdict, self.method)


# --- sizes --------------------------------------------------------------------------------------

_BY_RULES = (
    "pin_material",
    "filler",
    "preheat_min",
    "interpass_max",
    "postheat",
    "cooling",
    "stress_relief_temperature",
    "heating_rate_max",
    "cooling_rate_max",
)
"""Sizes of the plan that rules settle: they change in jumps, not smoothly."""

STEPPED = frozenset({*_BY_RULES, "pin", "key", "key layers"})
"""Sizes that change in jumps; with ``insert 1`` and so on."""


def _sizes(thinking: Thinking) -> Iterator[tuple[str, str]]:
    method = thinking.word("method")
    if method in STITCHED:
        yield from _stitched_sizes(thinking, keys=method == "cold_stitch_with_keys")
        yield from _ruled_sizes(thinking, _BY_RULES[:1])
    elif thinking.word("hot_method") == "yes":
        yield from _ruled_sizes(thinking, _BY_RULES[1:])
    plans = thinking.objects.get("inserts")
    for plan in plans if isinstance(plans, tuple) else ():
        if isinstance(plan, HolePlan) and plan.design is not None:
            design = plan.design
            yield f"insert {plan.number}", f"{design.kind} {design.outside_thread}".strip()
    yield from _ruled_sizes(thinking, ("test_pressure",))


def _ruled_sizes(thinking: Thinking, names: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for name in names:
        value = thinking.values[name]
        if isinstance(value, Number):
            if value.known:
                yield name, f"{value.high:.6g}"
        elif not isinstance(value, Members):
            yield name, " or ".join(sorted(value.possible))


def _stitched_sizes(thinking: Thinking, *, keys: bool) -> Iterator[tuple[str, str]]:
    seam = thinking.objects.get("seam")
    if isinstance(seam, SeamDesign):
        yield "pin", seam.choice.pin.thread
        yield "pins", f"{len(seam.layout.pins)}"
        yield "pin spacing", f"{seam.pitch:.2f} mm"
    design = thinking.objects.get("keys")
    if keys and isinstance(design, KeyDesign):
        section = design.section
        yield "key", f"neck {section.neck:g} mm, {section.lobes} lobes"
        yield "key layers", f"{design.layers}"
        yield "keys", f"{design.count}"
        yield "key depth", f"{design.depth:g} mm"
