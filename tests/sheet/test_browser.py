"""The page in a real browser: quiet, alone, and printed without a cut row."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.advise import read_off
from advisor.advice.thinking import Thinking
from advisor.sheet import build_sheet, render

from .conftest import (
    GO_AHEAD,
    NO_GO_AHEAD,
    browse,
    needs_browser,
    needs_poppler,
    pages_of,
)
from .test_pdf import measure_template

pytestmark = needs_browser


def printed(thinking: Thinking, folder: Path, **options: Any) -> Path:
    """The page printed to PDF by the browser."""
    page, pdf = folder / "job.html", folder / "job.pdf"
    page.write_bytes(render(build_sheet(thinking, **options), ".html"))
    browse(page, folder, "--no-pdf-header-footer", f"--print-to-pdf={pdf}")
    return pdf


@pytest.mark.parametrize("which", ["insert", "refer", "hostile"])
def test_nothing_is_logged_and_nothing_leaves(
    which: str, thought: Callable[[str], Thinking], hostile: Thinking, tmp_path: Path
) -> None:
    names = GO_AHEAD | NO_GO_AHEAD
    thinking = hostile if which == "hostile" else thought(names[which])
    page = tmp_path / "job.html"
    page.write_bytes(render(build_sheet(thinking, template=True), ".html"))
    assert asked_by(page, tmp_path) == set()


def test_a_page_that_asks_for_something_is_caught(tmp_path: Path) -> None:
    """The check itself: an address that a page asks for is seen, those of the browser are not."""
    page = tmp_path / "page.html"
    page.write_text('<img src="http://asked.invalid/x.png">')
    assert asked_by(page, tmp_path) == {"http://asked.invalid/x.png"}


def asked_by(page: Path, folder: Path) -> set[str]:
    """Addresses beyond files that the page asked for; nothing may be logged meanwhile."""
    log, picture = folder / "net.json", folder / "page.png"
    said = browse(page, folder, f"--screenshot={picture}", f"--log-net-log={log}")
    assert "CONSOLE" not in said.replace("ERR_NAME_NOT_RESOLVED", "")
    assert picture.stat().st_size > 1000
    events = (event.get("params", {}) for event in json.loads(log.read_text())["events"])
    return {
        event["url"]
        for event in events
        if event.get("network_isolation_key", "").startswith("file:")
        and not event.get("url", "file:").startswith("file:")
    }


@needs_poppler
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_with_whole_rows_and_numbered_pages(
    paper: Any, thought: Callable[[str], Thinking], tmp_path: Path
) -> None:
    thinking = thought(GO_AHEAD["pins"])
    seam = read_off(thinking).stitching
    assert seam
    pages = pages_of(printed(thinking, tmp_path, paper=paper))
    for n, page in enumerate(pages, start=1):
        assert f"page {n} of {len(pages)}" in page
        assert "Job D-001" in page
        assert len(page.split()) > 30, f"page {n} is all but empty"
    lines = [line.split() for page in pages for line in page.split("\n")]
    for hole in seam.layout:
        start = [str(hole.n), str(hole.drilling_pass), f"{hole.at.value:.2f}"]
        assert [line for line in lines if line[:3] == start and seam.pin.thread in line], hole


@needs_poppler
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_template_prints_true(
    paper: Any, thought: Callable[[str], Thinking], tmp_path: Path
) -> None:
    thinking = thought(GO_AHEAD["insert"])
    pdf = printed(thinking, tmp_path, paper=paper, template=True)
    assert "Drilling template" in pages_of(pdf)[-1]
    measure_template(pdf, thinking, paper, tmp_path)
