"""``why``: a tree down to answers and sources, readable and cut where one wishes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .conftest import Command


@pytest.mark.parametrize(
    ("topic", "says"),
    [
        ("verdict", "the verdict ="),
        ("cold_stitch", "cold_stitch: recommended"),
        ("cold stitch", "cold_stitch: recommended"),
        ("Braze-Weld", "braze_weld: ruled out"),
        ("pin", "equation:"),
        ("material", "material = gray (flake) iron, answered on line 9"),
        ("holes", "holes = 0 entries, answered on line"),
        ("crack_path", "crack path: not answered"),
        ("composition", "composition: not answered"),
        ("stitch.irons-that-tap", "Irons with graphite"),
    ],
)
def test_topics(topic: str, says: str, case_file: Path, crackwright: Command) -> None:
    ended = crackwright("why", case_file, topic)
    assert (ended.code, ended.err) == (0, "")
    assert says in ended.out
    assert max(map(len, ended.out.splitlines())) <= 80


def test_what_rules_a_method_out_comes_first(case_file: Path, crackwright: Command) -> None:
    lines = crackwright("why", case_file, "braze_weld", "--depth", "1").out.splitlines()
    assert "rules out" in " ".join(lines[1:3])


def test_goes_down_to_table_formula_and_source(case_file: Path, crackwright: Command) -> None:
    text = " ".join(crackwright("why", case_file, "verdict").out.split())
    for part in ("source:", "equation:", "with numbers:", "from table", "answered on"):
        assert part in text


def test_depth_cuts_and_says_so(case_file: Path, crackwright: Command) -> None:
    whole = crackwright("why", case_file, "cold_stitch").out
    cut = crackwright("why", case_file, "cold_stitch", "--depth", "1").out
    assert len(cut.splitlines()) < len(whole.splitlines()) / 2
    assert "lines below)" in cut


def test_a_part_is_shown_once(case_file: Path, crackwright: Command) -> None:
    text = crackwright("why", case_file, "pin").out
    assert "(shown above)" in text
    assert text.count("equation: threads =") == 1


def test_json(case_file: Path, crackwright: Command) -> None:
    ended = crackwright("why", case_file, "cold_stitch", "--json")
    document = json.loads(ended.out)
    assert document["schema"] == "crackwright.why/1"
    assert document["topic"] == "cold_stitch"
    assert {"kind", "text", "because"} <= set(document)


def test_unknown_topic_names_the_nearest(case_file: Path, crackwright: Command) -> None:
    ended = crackwright("why", case_file, "cold_stich")
    assert (ended.code, ended.out) == (2, "")
    assert (
        ended.err == "TOPIC: found 'cold_stich'; expected a known name; did you mean cold_stitch?\n"
    )
