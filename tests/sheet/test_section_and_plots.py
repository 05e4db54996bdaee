"""The section through the wall and the plots, held against the numbers that they show."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from advisor.advice.model import Margin, Quantity
from advisor.engineering.keys import KeyDesign, design_keys, restored_fraction
from advisor.sheet.plots import bars, keys_figure, margins_figure, threads_figure, ticks
from advisor.sheet.section_drawing import KeySection, PinSection, section_figure

from .conftest import into_a_hole, three_hundred

SVG = "{http://www.w3.org/2000/svg}"

PIN = PinSection(
    n=4,
    thread="M8x1.25",
    diameter=8,
    pitch=1.25,
    tap_drill=6.8,
    wall=10,
    spotface_diameter=12,
    spotface_depth=2,
    shoulder_height=4,
    pin_length=8,
    engaged_threads=6.4,
    blind=False,
)
KEY = KeySection(wall=10, depth=7.5, layers=3, lobe=9, lobes=(5, 15, 25))


def uprights(svg: str) -> list[float]:
    """Lengths of the upright lines."""
    found = []
    for line in ElementTree.fromstring(svg).iter(f"{SVG}line"):
        x1, y1, x2, y2 = (float(line.get(name, "")) for name in ("x1", "y1", "x2", "y2"))
        if x1 == x2:
            found.append(abs(y2 - y1))
    return found


def texts(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def scale_of(svg: str) -> float:
    found = re.search(r"scale (\d+) : (\d+)", " ".join(texts(svg)))
    assert found
    return int(found.group(1)) / int(found.group(2))


def test_depths_are_true_to_the_scale() -> None:
    svg = section_figure(PIN, KEY).svg
    scale = scale_of(svg)
    for depth in (PIN.wall, PIN.pin_length, KEY.depth, KEY.wall - KEY.depth):
        assert any(abs(line - depth * scale) < 0.02 for line in uprights(svg)), depth
    said = texts(svg)
    assert {"wall 10", "pin 8", "spot-face 2 deep", "slot 7.5", "left 2.5", "12"} <= set(said)
    assert "6.4 threads engaged" in said


def test_a_thread_is_drawn_tooth_by_tooth() -> None:
    """As many crests on each side as whole pitches fit between shoulder and far face."""
    svg = section_figure(PIN, None).svg
    scale = scale_of(svg)
    body = max(re.findall(r'd="(M[^"]*Z)"', svg), key=lambda d: d.count("L"))
    xs = [float(x) for x in re.findall(r"[ML](-?[\d.]+)", body)]
    middle = (min(xs) + max(xs)) / 2
    crests = sum(x > middle + 0.999 * (PIN.diameter / 2 * scale) for x in xs)
    assert crests == int(PIN.pin_length / PIN.pitch)
    assert max(xs) - min(xs) == pytest.approx(PIN.diameter * scale, abs=0.03)


def test_what_a_curved_wall_takes_is_said() -> None:
    curved = replace(PIN, pin_length=7.6)
    figure = section_figure(curved, None)
    assert "spot-face 2 deep, curve 0.4" in texts(figure.svg)
    assert "The curve of the wall takes 0.4 mm of the thread." in figure.description


def test_plain_pins_and_blind_holes() -> None:
    plain = section_figure(replace(PIN, spotface_depth=0.0, pin_length=10.0, blind=True), None)
    said = " ".join(texts(plain.svg))
    assert "spot-face" not in said
    assert "blind hole" in said


def test_a_key_too_long_for_the_paper_is_broken_off_and_says_how_long_it_is() -> None:
    long = replace(KEY, lobes=(16, 48, 80), lobe=28.8, wall=30, depth=24)
    svg = section_figure(replace(PIN, wall=30, pin_length=28), long).svg
    assert "broken off: the slot is 188.8 long" in texts(svg)


def test_threads_are_plotted_against_the_fewest() -> None:
    picture = replace(into_a_hole(), least_threads=4.0)
    figure = threads_figure(picture)
    assert "fewest: 4" in texts(figure.svg)
    least = min(pin.engaged_threads for pin in picture.pins)
    assert f"at least {least:.1f} engaged threads" in figure.description
    root = ElementTree.fromstring(figure.svg)
    marks = list(root.iter(f"{SVG}circle"))
    first_pass = [pin for pin in picture.pins if pin.pass_number == 1]
    assert len(marks) == len(first_pass)
    by_height = sorted(zip(first_pass, marks, strict=True), key=lambda p: p[0].engaged_threads)
    heights = [float(mark.get("cy", "")) for _, mark in by_height]
    assert heights == sorted(heights, reverse=True)


def test_three_hundred_marks_stay_apart() -> None:
    figure = threads_figure(three_hundred())
    root = ElementTree.fromstring(figure.svg)
    radii = {float(c.get("r", "")) for c in root.iter(f"{SVG}circle")}
    assert max(radii) < 0.6


def test_the_chosen_key_lies_on_the_curve() -> None:
    design = design_keys(
        wall=12, tensile_strength=220, length=120, shear_factor=1.0, restrained=True, fraction=0.35
    )
    assert isinstance(design, KeyDesign)
    figure = keys_figure(design, 12, 220)
    said = texts(figure.svg)
    assert f"needed: {design.needed_fraction:.0%}" in said
    assert any(text.startswith(f"chosen: {design.restored_fraction:.0%} at") for text in said)
    own = restored_fraction(
        design.capacity.force, design.section.lobe, design.depth, design.spacing, 12, 220,
        design.staggered,
    )  # fmt: skip
    root = ElementTree.fromstring(figure.svg)
    (spot,) = root.iter(f"{SVG}circle")
    (curve,) = [p for p in root.iter(f"{SVG}path") if p.get("fill") == "none"]
    points = [
        tuple(map(float, pair))
        for pair in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", curve.get("d", ""))
    ]
    x, y = float(spot.get("cx", "")), float(spot.get("cy", ""))
    near = min(points, key=lambda point: abs(point[0] - x))
    if own == pytest.approx(design.restored_fraction, abs=0.005):
        assert near[1] == pytest.approx(y, abs=0.6)


def margin(fact: str, value: float, flips: float, inside: bool = False) -> Margin:
    return Margin(
        fact=fact,
        value=Quantity(value=value, unit="mm"),
        flips_at=Quantity(value=flips, unit="mm"),
        direction="above" if flips >= value else "below",
        changes="then: something",
        rule="some.rule",
        inside_uncertainty=inside,
    )


def test_margins_are_shares_of_their_values_the_closest_first() -> None:
    found = bars(
        [margin("wide", 10, 30), margin("near", 10, 9), margin("open", 10, 11, inside=True),
         margin("nought", 0, 5)]
    )  # fmt: skip
    assert [(bar.name, bar.share) for bar in found] == [
        ("open", pytest.approx(0.1)),
        ("near", pytest.approx(-0.1)),
        ("wide", pytest.approx(2.0)),
    ]
    svg = margins_figure(found).svg
    assert ">" in texts(svg)
    assert svg.count('fill="#000"') >= 2


def test_ticks_are_round_and_inside() -> None:
    for low, high in ((-7.5, 190.5), (0, 6.9), (0.2, 2.3), (1e-3, 2e-3)):
        found = ticks(low, high)
        assert 3 <= len(found) <= 8
        assert low - 1e-9 <= found[0]
        assert found[-1] <= high + 1e-9
