"""Layouts and cases that the tests of the sheet share."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.scenarios import scenario_cases
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Case
from advisor.engineering import layout as laying
from advisor.engineering.pins import neutral_pin
from advisor.sheet.picture import HoleMark, Picture, StepMark, picture_of_layout

HOSTILE = (
    '<script>alert(1)</script> </style> " onload="x & ]]> --> {{7*7}} *b* `c` [l](http://x.y) '
    "\u202egnp.exe \u05e9\u05dc\u05d5\u05dd \U0001f600 \x07\x1b[31m \ud800 " + "W" * 120
)
"""What a title may hold: markup, a reversed name, an emoji, control characters, a long word."""

GO_AHEAD = {
    "pins": "engine-block-frost-crack-in-water-jacket-is-stitched",
    "insert": "gearbox-boss-crack-into-m16-hole-takes-insert-and-pins",
    "keys": "press-frame-fatigue-crack-gets-pins-and-keys",
    "steel weld": "cast-steel-bracket-is-arc-welded",
    "aluminium weld": "aluminium-gearbox-case-is-tig-welded",
}
NO_GO_AHEAD = {
    "refer": "boiler-section-is-refused-by-law",
    "investigate": "pump-casing-of-unknown-metal-is-investigated",
    "replace": "white-iron-crusher-liner-is-replaced",
}


@pytest.fixture(scope="session")
def rulebook() -> Rulebook:
    return load_rulebook()


@pytest.fixture(scope="session")
def cases(rulebook: Rulebook) -> Mapping[str, Case]:
    return dict(scenario_cases(rulebook))


@pytest.fixture(scope="session")
def thought(rulebook: Rulebook, cases: Mapping[str, Case]) -> Callable[[str], Thinking]:
    """A scenario thought through, by the judge alone: the sheet asks no more of it."""

    @cache
    def work(name: str) -> Thinking:
        return think(cases[name], rulebook, judge_only=True)

    return work


@pytest.fixture(scope="session")
def hostile(rulebook: Rulebook, cases: Mapping[str, Case]) -> Thinking:
    """A plan with pins and an insert whose texts try to be more than text."""
    case = cases[GO_AHEAD["insert"]]
    foreign = replace(case, reference=f"J</title>{HOSTILE}"[:300], title=HOSTILE, notes=HOSTILE)
    return think(foreign, rulebook, judge_only=True)


def _points(path: tuple[laying.CrackPoint, ...]) -> tuple[tuple[float, float], ...]:
    return tuple((point.x, point.y) for point in path)


def three_hundred() -> Picture:
    """A straight crack of 1790 mm: 300 pins M8."""
    pin = neutral_pin(8, 1.25)
    path = laying.straight_path(1790, 10)
    return picture_of_layout([_points(path)], laying.lay_out(path, laying.row_plan(pin)), pin)


def three() -> Picture:
    """A crack of 8 mm: 3 pins M8."""
    pin = neutral_pin(8, 1.25)
    path = laying.straight_path(8, 10)
    return picture_of_layout([_points(path)], laying.lay_out(path, laying.row_plan(pin)), pin)


def branched() -> Picture:
    """A bent crack with a branch."""
    pin = neutral_pin(8, 1.25)
    point = laying.CrackPoint
    path = (point(0, 0, 10), point(40, 10, 10), point(80, 50, 9), point(140, 60, 9))
    branch = laying.Branch((point(80, 50, 9), point(90, 90, 9), point(80, 120, 9)))
    laid = laying.lay_out(path, laying.row_plan(pin), branches=[branch])
    return picture_of_layout([_points(path), _points(branch.points)], laid, pin)


def into_a_hole() -> Picture:
    """A crack over a step into a threaded hole that is opened for an insert."""
    pin = neutral_pin(10, 1.5)
    point = laying.CrackPoint
    path = (point(0, 0, 14), point(40, 8, 14), point(70, 12, 20, step=6), point(100, 30, 20))
    bore = laying.place_bore(path, at=200, distance=0, hole_diameter=16, bore_diameter=22)
    laid = laying.lay_out(path, laying.row_plan(pin), bores=[bore])
    plain = picture_of_layout([_points(path)], laid, pin)
    hole = HoleMark(1, bore.x, bore.y, 16.0, 22.0, "M16x2")
    return replace(plain, holes=(hole,), steps=(StepMark(70, 12, 25.0, 6.0),))


PICTURES: Mapping[str, Callable[[], Picture]] = {
    "three-hundred-pins": three_hundred,
    "three-pins": three,
    "bent-and-branched": branched,
    "into-a-hole": into_a_hole,
}


# --- a real browser -----------------------------------------------------------------------------

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("chrome")
needs_browser = pytest.mark.skipif(
    CHROMIUM is None or os.environ.get("CRACKWRIGHT_BROWSER") == "0",
    reason="no browser is there, or CRACKWRIGHT_BROWSER=0 asks for none",
)
needs_poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None or shutil.which("pdftoppm") is None,
    reason="no tools to read a PDF with",
)


START_TWICE = 2
LONGEST_S = 300


def browse(page: Path, folder: Path, *options: str) -> str:
    """Open a file in a headless browser of its own; what it logged.

    A browser that a busy machine lets die or hang is started once more, with a new profile.
    """
    for attempt in range(1, START_TWICE + 1):
        profile = tempfile.mkdtemp(prefix="profile-", dir=folder)
        try:
            done = subprocess.run(
                [*_browser(profile), *options, page.as_uri()],
                capture_output=True,
                text=True,
                timeout=LONGEST_S,
                env={**os.environ, "HOME": profile},
                check=attempt == START_TWICE,
            )
        except subprocess.TimeoutExpired:
            if attempt == START_TWICE:
                raise
            continue
        if done.returncode == 0:
            return done.stderr
    raise AssertionError("not reached: the last start raises")


def _browser(profile: str) -> list[str]:
    assert CHROMIUM
    return [
        CHROMIUM,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",  # shared memory is short where many browsers run in a container
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        f"--user-data-dir={profile}",
        "--host-resolver-rules=MAP * ~NOTFOUND",
        "--enable-logging=stderr",
    ]


def pages_of(pdf: Path) -> list[str]:
    """The text of each page."""
    command = ["pdftotext", "-layout", str(pdf), "-"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return text.split("\f")[:-1]


def gray_page(pdf: Path, page: int, folder: Path, dots_per_inch: int) -> tuple[int, int, bytes]:
    """A page as width, height and one byte a dot."""
    command = ["pdftoppm", "-gray", "-r", str(dots_per_inch), "-f", str(page), "-l", str(page)]
    subprocess.run([*command, str(pdf), str(folder / "page")], check=True)
    (found,) = folder.glob("page*.pgm")
    content = found.read_bytes()
    found.unlink()
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", content)
    assert head
    return int(head.group(1)), int(head.group(2)), content[head.end() :]
