"""The drawings: coordinates of the layout, signs that can be told apart, labels that stay clear.

Nothing here has a published counterpart: the checks hold the drawing against the layout it shows.
The reference drawings in `golden/` were looked at and are a regression; they are written anew with
`CRACKWRIGHT_GOLDEN=write`.
"""

from __future__ import annotations

import json
import math
import os
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from advisor.advice.thinking import Thinking
from advisor.engineering.keys import KeysNotFeasible, design_keys
from advisor.engineering.polyline import Polyline
from advisor.sheet.content import build_sheet
from advisor.sheet.drawing import layout_figures, words_only
from advisor.sheet.labels import Board, Wish
from advisor.sheet.marks import MARK_NAMES, SHADES, mark_name, shade
from advisor.sheet.picture import KeyMark, KeyShape, Picture, lobe_places
from advisor.sheet.view import View, arrange, scale_says, turned

from .conftest import GO_AHEAD, PICTURES, branched, into_a_hole, three, three_hundred

SVG = "{http://www.w3.org/2000/svg}"
GOLDEN = Path(__file__).parent / "golden"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def drawn(picture: Picture) -> ElementTree.Element:
    """The layout as one drawing, parsed."""
    (figure,) = layout_figures(picture, height=math.inf)
    return ElementTree.fromstring(figure.svg)


def circles(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [c for c in root.iter(f"{SVG}circle") if c.get("class") == kind]


@pytest.mark.parametrize("name", PICTURES)
def test_pins_are_drawn_where_the_layout_has_them(name: str) -> None:
    picture = PICTURES[name]()
    assert picture.pin
    found = {int(c.get("data-n", "")): c for c in circles(drawn(picture), "pin")}
    assert sorted(found) == [pin.n for pin in picture.pins]
    for pin in picture.pins:
        circle = found[pin.n]
        assert float(circle.get("cx", "")) == pytest.approx(pin.x, abs=0.006)
        assert float(circle.get("cy", "")) == pytest.approx(pin.y, abs=0.006)
        assert float(circle.get("r", "")) == pytest.approx(picture.pin.diameter / 2)
        assert int(circle.get("data-pass", "")) == pin.pass_number


def test_the_advice_and_the_drawing_have_the_same_numbers(
    thought: Callable[[str], Thinking],
) -> None:
    for name in (GO_AHEAD["pins"], GO_AHEAD["insert"], GO_AHEAD["keys"]):
        thinking = thought(name)
        sheet = build_sheet(thinking)
        root = ElementTree.fromstring(sheet.layout.svg)
        layout = json.loads(sheet.data)["advice"]["stitching"]["layout"]
        found = {c.get("data-n"): c.get("cx") for c in circles(root, "pin")}
        assert len(found) == len(layout) > 0
        for pin in layout:
            assert float(found[str(pin["n"])] or "nan") == pin["x"]["value"]


@pytest.mark.parametrize("name", PICTURES)
def test_the_transform_maps_the_part_to_the_paper(name: str) -> None:
    """The group's transform, taken apart and applied by hand, gives the place of the mark."""
    picture = PICTURES[name]()
    plan = arrange(picture, 180, 160)
    view = View(plan.scale, plan.turn, 12.5, 40.0)
    steps = re.findall(r"(\w+)\(([^)]*)\)", view.transform)
    for pin in picture.pins[:5]:
        x, y = pin.x, pin.y
        for word, numbers in reversed(steps):
            values = [float(n) for n in numbers.split()]
            if word == "rotate":
                a = math.radians(values[0])
                x, y = x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a)
            elif word == "scale":
                x, y = x * values[0], y * values[1]
            else:
                x, y = x + values[0], y + values[1]
        assert (x, y) == pytest.approx(view.paper(pin.x, pin.y), abs=0.02)


def test_passes_differ_by_shape_even_where_shades_repeat() -> None:
    seen = {(mark_name(n), shade(n)) for n in range(1, len(MARK_NAMES) + 1)}
    assert len(seen) == len(MARK_NAMES)
    assert len({mark_name(n) for n in range(1, 5)}) == 4
    assert len(set(SHADES[:3])) == 3


@pytest.mark.parametrize("name", PICTURES)
def test_numbers_of_pins_do_not_collide(name: str) -> None:
    """Every text of the drawing against every other, as boxes of its letters."""
    boxes = []
    for text in drawn(PICTURES[name]()).iter(f"{SVG}text"):
        size = float(text.get("font-size", ""))
        wide = 0.5 * size * len(text.text or "")
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        left = x if text.get("text-anchor") is None else x - wide / 2
        boxes.append((left, y - 0.75 * size, left + wide, y, text.text))
    for a, b in combinations(boxes, 2):
        apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
        assert apart, (a, b)


def test_every_pin_of_a_long_row_is_numbered_or_every_nth() -> None:
    texts = [t.text or "" for t in drawn(three_hundred()).iter(f"{SVG}text")]
    numbers = {int(t) for t in texts if t.isdigit()}
    assert {1, 300} <= numbers
    assert numbers >= set(range(10, 301, 10))


def test_a_crowded_row_is_numbered_by_every_nth() -> None:
    board = Board((0, 0, 100, 12))
    wishes = [Wish(str(n), 4.0 + 0.5 * n, 6, 1.0, ((0, -1), (0, 1))) for n in range(150)]
    assert board.all_of(wishes) is None
    assert board.placed == []
    assert board.all_of(wishes[::50]) is not None


def test_a_long_crack_is_cut_into_panels_that_hold_every_pin_once() -> None:
    picture = three_hundred()
    plan = arrange(picture, 180, 160)
    assert len(plan.panels) > 1
    for pin in picture.pins:
        u, _ = turned(pin.x, pin.y, plan.turn)
        assert sum(panel.holds(u) for panel in plan.panels) == 1
    figures = layout_figures(picture)
    assert all(figure.height <= 215 for figure in figures)
    assert picture.pin
    assert plan.scale * picture.pin.diameter >= 2.6


def test_a_crack_at_a_slant_is_turned_and_says_so() -> None:
    long = three_hundred()
    a = math.radians(35)
    slanted = replace(
        long,
        lines=tuple(
            tuple((x * math.cos(a), x * math.sin(a)) for x, _ in line) for line in long.lines
        ),
        pins=tuple(replace(p, x=p.at * math.cos(a), y=p.at * math.sin(a)) for p in long.pins),
    )
    plan = arrange(slanted, 180, 160)
    assert plan.turn == pytest.approx(35, abs=0.01)
    assert len(plan.panels) == len(arrange(long, 180, 160).panels)
    assert "turned by 35 deg" in "".join(drawn(slanted).itertext())


def test_the_scale_bar_measures_what_it_says() -> None:
    for make in PICTURES.values():
        picture = make()
        plan = arrange(picture, 180, 160)
        (bar,) = [g for g in drawn(picture).iter(f"{SVG}g") if g.get("class") == "scale-bar"]
        wide = sum(float(r.get("width", "")) for r in bar.iter(f"{SVG}rect"))
        assert wide == pytest.approx(float(bar.get("data-length", "")) * plan.scale, abs=0.06)


def test_keys_holes_and_steps_are_drawn_in_place() -> None:
    picture = into_a_hole()
    root = drawn(picture)
    (hole,), (bore,) = circles(root, "hole"), circles(root, "bore")
    mark = picture.holes[0]
    for circle, diameter in ((hole, 16.0), (bore, 22.0)):
        assert float(circle.get("cx", "")) == pytest.approx(mark.x, abs=0.006)
        assert float(circle.get("cy", "")) == pytest.approx(mark.y, abs=0.006)
        assert float(circle.get("r", "")) == diameter / 2
    (step,) = [line for line in root.iter(f"{SVG}line") if line.get("class") == "step"]
    ends = [float(step.get(name, "")) for name in ("x1", "y1", "x2", "y2")]
    assert (ends[0] + ends[2]) / 2 == pytest.approx(70, abs=0.02)
    assert (ends[1] + ends[3]) / 2 == pytest.approx(12, abs=0.02)


def test_keys_stand_square_to_the_crack_on_both_its_sides() -> None:
    picture = replace(
        three(),
        keys=(KeyMark(1, 2.0, 0.0, 0.0, (5.0, 15.0)), KeyMark(2, 6.0, 0.0, 0.0, (10.0, 20.0))),
        key_shape=KeyShape(5.0, 9.0, 6.0, 3),
    )
    keys = [g for g in drawn(picture).iter(f"{SVG}g") if g.get("class") == "key"]
    assert [(key.get("data-n"), key.get("data-x"), key.get("data-y")) for key in keys] == [
        ("1", "2", "0"),
        ("2", "6", "0"),
    ]
    assert all("rotate(90.00)" in (key.get("transform") or "") for key in keys)
    lobes = {float(c.get("cx", "")) for c in keys[0].iter(f"{SVG}circle")}
    assert lobes == {-15.0, -5.0, 5.0, 15.0}


def test_lobes_of_staggered_neighbours_do_not_stand_in_one_row() -> None:
    design = design_keys(
        wall=12, tensile_strength=220, length=120, shear_factor=1.0, restrained=True, fraction=0.5
    )
    assert not isinstance(design, KeysNotFeasible)
    staggered = replace(design, staggered=True)
    odd, even = lobe_places(staggered, 1), lobe_places(staggered, 2)
    pitch = design.section.lobe_pitch
    assert len(even) == len(odd) + 1
    assert not set(odd) & set(even)
    assert min(abs(a - b) for a in odd for b in even) == pytest.approx(pitch / 2)
    assert lobe_places(replace(design, staggered=False), 2) == odd
    # The slot as the engineering measures it: 2 m - 1 pitches and a lobe.
    assert 2 * odd[-1] + design.section.lobe == pytest.approx(design.section.length)


def test_every_drawing_says_in_words_what_it_shows() -> None:
    root = drawn(branched())
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
    assert root.get("role") == "img"
    assert "with 1 branch; 43 pins M8x1.25 in 4 passes" in (description.text or "")


def test_ends_of_the_crack_are_marked_on_the_main_line_and_on_branches() -> None:
    tips = [line for line in drawn(branched()).iter(f"{SVG}line") if line.get("class") == "tip"]
    assert len(tips) == 3
    length = Polyline(branched().lines[0]).length
    assert length == pytest.approx(
        sum((math.hypot(40, 10), math.hypot(40, 40), math.hypot(60, 10)))
    )


def test_the_drawing_in_inches_is_the_same_drawing() -> None:
    (si,), (us,) = (layout_figures(three(), units, height=math.inf) for units in ("si", "us"))
    root = ElementTree.fromstring(us.svg)
    assert [c.get("cx") for c in circles(root, "pin")] == [
        c.get("cx") for c in circles(ElementTree.fromstring(si.svg), "pin")
    ]
    assert "lengths in inches" in us.svg
    assert "lengths in mm" in si.svg


def test_large_words_stand_where_nothing_may_be_drawn() -> None:
    figure = words_only("layout", "STOP: NOT THIS SHOP'S DECISION", ("Defer.",))
    assert not circles(ElementTree.fromstring(figure.svg), "pin")
    assert "STOP" in figure.svg


def test_scales_have_names() -> None:
    assert [scale_says(s) for s in (10, 2, 1, 0.5, 0.05)] == [
        "10 : 1", "2 : 1", "1 : 1", "1 : 2", "1 : 20",
    ]  # fmt: skip


@pytest.mark.parametrize("name", PICTURES)
def test_reference_drawings(name: str) -> None:
    """Regression: the words must be the same, the numbers within a twentieth of a millimetre."""
    (figure,) = layout_figures(PICTURES[name](), height=math.inf)
    path = GOLDEN / f"{name}.svg"
    if os.environ.get("CRACKWRIGHT_GOLDEN") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(figure.svg + "\n", encoding="utf-8")
    golden = path.read_text(encoding="utf-8").rstrip("\n")
    assert NUMBER.sub("N", figure.svg) == NUMBER.sub("N", golden)
    found, kept = (list(map(float, NUMBER.findall(text))) for text in (figure.svg, golden))
    assert found == pytest.approx(kept, abs=0.05)
