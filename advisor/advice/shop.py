"""The shop file: what one workshop has of its own, laid over the built-in knowledge.

A shop gives the pins, keys and inserts it has measured, the processes it can do, a seam strength
that it has had tested, and rules of its own. Its rules may add caution; nothing in a shop file can
lift an exclusion or make an advice bolder than the built-in rules would.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import platformdirs

from advisor.advice.rulebook import METHODS, Rulebook, lists_of, rule_context
from advisor.case.model import Case
from advisor.case.quantities import QuantityError, parse_measure
from advisor.case.yaml_text import read_yaml
from advisor.engineering.designations import Designation, DesignationError, parse_designation
from advisor.engineering.insert_geometry import KINDS, InsertKind
from advisor.engineering.keys import KeySection
from advisor.engineering.pins import Pin
from advisor.light_dataclass import dataclass
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.rules import Effect, Rule, RuleContext, parse_rule

FILE_NAME = "shop.yaml"

CAUTIOUS_EFFECTS = frozenset(
    {"rule_out", "require_step", "require_inspection", "require_approval", "warn", "disfavour"}
)
CAUTIOUS_COMBINES = frozenset({"strictest", "highest", "lowest"})
"""Decisions on which a further claim can only ask for more."""


@dataclass(frozen=True)
class ShopInsert:
    """An insert that the shop has: for which bolt thread, of what kind and size."""

    bolt_thread: Designation
    kind: InsertKind
    outside_thread: Designation
    length_mm: float


@dataclass(frozen=True)
class TestedSeam:
    """A seam strength that was tested, with its report; for pins whose flank holds the crack."""

    line_load: float
    flank_angle: float
    report: str


@dataclass(frozen=True)
class Shop:
    """One workshop's own means.

    Attributes:
        name: what the shop calls itself.
        file: where this was read.
        pins: its own pins, smallest first; empty leaves the neutral family.
        keys: its own keys; empty leaves the neutral family.
        inserts: its own inserts; empty leaves the standard sizes.
        processes: what it can do; None leaves the question to the case.
        seam: a tested seam strength, or None.
        rules: its own rules.
        digest: sha256 of the file.
    """

    name: str
    file: str
    pins: tuple[Pin, ...]
    keys: tuple[KeySection, ...]
    inserts: tuple[ShopInsert, ...]
    processes: tuple[str, ...] | None
    seam: TestedSeam | None
    rules: tuple[Rule, ...]
    digest: str


def find_shop_file(beside: Path | None, named: Path | None = None) -> Path | None:
    """The shop file that counts: the one named, the one beside the case, or the user's own."""
    if named is not None:
        return named
    places = [beside.parent / FILE_NAME] if beside is not None else []
    places.append(Path(platformdirs.user_config_dir("crackwright", appauthor=False)) / FILE_NAME)
    return next((place for place in places if place.is_file()), None)


def with_shop(book: Rulebook, path: Path | None) -> Rulebook:
    """The rule book with a shop's means and rules laid over it.

    Raises:
        KnowledgeProblem: a shop file that cannot be used, with file, line and what would be right.
    """
    if path is None:
        return book
    key = (book.digest, str(path), hashlib.sha256(path.read_bytes()).hexdigest())
    if key not in _LAID_OVER:
        shop = read_shop(path, book)
        total = hashlib.sha256(f"{book.digest}{shop.digest}".encode()).hexdigest()
        rules = (*book.rules, *shop.rules)
        _LAID_OVER[key] = replace(book, rules=rules, digest=total, shop=shop)
    return _LAID_OVER[key]


_LAID_OVER: dict[tuple[str, str, str], Rulebook] = {}
"""One rule book a shop file and process: the engine never frees a compiled rule base."""


def case_in_shop(case: Case, shop: Shop | None) -> Case:
    """The case, with the shop's processes where the case does not say what can be done."""
    if shop is None or shop.processes is None or "processes" in case.answers:
        return case
    return case.with_answers({"processes": shop.processes})


def read_shop(path: Path, book: Rulebook) -> Shop:
    """Read a shop file.

    Raises:
        KnowledgeProblem: with file, line and what would be right.
    """
    top = Cursor.top(read_yaml(path))
    entries = top.mapping(
        ("shop",), ("pins", "keys", "inserts", "processes", "seam_strength", "rules")
    )
    return Shop(
        name=entries["shop"].text(),
        file=str(path),
        pins=tuple(sorted(_each(entries, "pins", _pin), key=lambda pin: pin.diameter)),
        keys=_each(entries, "keys", _key),
        inserts=_each(entries, "inserts", _insert),
        processes=_processes(entries["processes"], book) if "processes" in entries else None,
        seam=_seam(entries["seam_strength"]) if "seam_strength" in entries else None,
        rules=_rules(entries["rules"], book) if "rules" in entries else (),
        digest=hashlib.sha256(path.read_bytes()).hexdigest(),
    )


T = TypeVar("T")


def _each(entries: dict[str, Cursor], name: str, read: Callable[[Cursor], T]) -> tuple[T, ...]:
    return tuple(read(item) for item in entries[name].items()) if name in entries else ()


def _number(cursor: Cursor, dimension: str) -> float:
    """An exact value above zero, in the canonical unit."""
    text = cursor.text()
    try:
        measured = parse_measure(text, dimension)
    except QuantityError as problem:
        cursor.fail(problem.found, problem.expected)
    if not measured.exact or measured.low <= 0:
        cursor.fail(repr(text), "one measured value above zero, without a spread")
    return measured.low


def _thread(cursor: Cursor) -> Designation:
    try:
        return parse_designation(cursor.text())
    except DesignationError as problem:
        cursor.fail(repr(cursor.text()), problem.hint or problem.limit)


def _pin(cursor: Cursor) -> Pin:
    entries = cursor.mapping(("thread", "shoulder_height", "spotface_diameter"))
    thread = _thread(entries["thread"])
    spotface = _number(entries["spotface_diameter"], "length")
    if spotface <= thread.diameter_mm:
        entries["spotface_diameter"].fail(
            f"{spotface:g} mm", f"more than the thread's {thread.diameter_mm:g} mm"
        )
    return Pin(
        thread=thread.text,
        diameter=thread.diameter_mm,
        pitch=thread.pitch_mm,
        shoulder_height=_number(entries["shoulder_height"], "length"),
        spotface_diameter=spotface,
    )


def _key(cursor: Cursor) -> KeySection:
    names = ("name", "neck", "lobe", "lobe_pitch", "lobes", "layer", "yield_strength")
    entries = cursor.mapping(names)
    neck, lobe = _number(entries["neck"], "length"), _number(entries["lobe"], "length")
    if lobe <= neck:
        entries["lobe"].fail(f"{lobe:g} mm", f"more than the neck's {neck:g} mm")
    return KeySection(
        name=entries["name"].text(),
        neck=neck,
        lobe=lobe,
        lobe_pitch=_number(entries["lobe_pitch"], "length"),
        lobes=entries["lobes"].whole_number(1, 12),
        layer=_number(entries["layer"], "length"),
        yield_strength=_number(entries["yield_strength"], "stress"),
    )


def _insert(cursor: Cursor) -> ShopInsert:
    entries = cursor.mapping(("bolt_thread", "kind", "outside_thread", "length"))
    kind = entries["kind"].choice(KINDS, "kind")
    return ShopInsert(
        bolt_thread=_thread(entries["bolt_thread"]),
        kind=next(one for one in KINDS if one == kind),
        outside_thread=_thread(entries["outside_thread"]),
        length_mm=_number(entries["length"], "length"),
    )


def _processes(cursor: Cursor, book: Rulebook) -> tuple[str, ...]:
    legal = book.vocabulary["processes"].choices
    return tuple(item.choice(legal, "process") for item in cursor.items())


def _seam(cursor: Cursor) -> TestedSeam:
    entries = cursor.mapping(("line_load", "flank_angle", "report"))
    angle = entries["flank_angle"]
    try:
        flank = float(angle.text().removesuffix("deg"))
    except ValueError:
        angle.fail(repr(angle.text()), "an angle, like -10 deg")
    if not -45.0 <= flank < 0.0:
        angle.fail(
            f"{flank:g} deg",
            "a flank that leans the other way, -45 to below 0 deg: a symmetric thread holds "
            "nothing across the crack",
        )
    return TestedSeam(
        line_load=_number(entries["line_load"], "line_load"),
        flank_angle=flank,
        report=entries["report"].text(),
    )


# --- rules --------------------------------------------------------------------------------------


def _rules(cursor: Cursor, book: Rulebook) -> tuple[Rule, ...]:
    lists = lists_of(book.knowledge, book.steps, book.inspections)
    context = rule_context(book.vocabulary, book.knowledge, lists, book.questionnaire)
    found: dict[str, Rule] = {}
    for item in cursor.items():
        rule = parse_rule(item, "the shop's own rules", context)
        if not rule.id.startswith("shop-"):
            item["id"].fail(f"id {rule.id}", "a subject that starts with shop-, like shop-own.x")
        if rule.id in found or rule.id in book.rule_by_id:
            item["id"].fail(f"rule id {rule.id} again", "a new id")
        _check_cautious(item, rule, context)
        found[rule.id] = rule
    return tuple(found.values())


def _check_cautious(cursor: Cursor, rule: Rule, context: RuleContext) -> None:
    for index, effect in enumerate(rule.then):
        if not adds_caution(effect, context):
            cursor["then"][index].fail(
                f"the effect {effect.kind} on {effect.target}",
                "an effect that adds caution: rule_out, require_…, warn, disfavour, or settle on a "
                "decision whose strictest claim counts",
            )


def adds_caution(effect: Effect, context: RuleContext) -> bool:
    """Whether an effect can only ask for more."""
    if effect.kind in ("settle", "assume"):
        return context.vocabulary[effect.target].combine in CAUTIOUS_COMBINES
    return effect.kind in CAUTIOUS_EFFECTS and (
        effect.kind != "disfavour" or effect.target in METHODS
    )
