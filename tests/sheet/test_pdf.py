"""The PDF: the same bytes each time, signs that no font has, the template true to size."""

from __future__ import annotations

import builtins
import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.advise import read_off
from advisor.advice.thinking import Thinking
from advisor.sheet import SheetExtraMissing, build_sheet, read_back, render
from advisor.sheet.model import PAPERS
from advisor.sheet.output import check_can_write
from advisor.sheet.picture import picture_of
from advisor.sheet.template import template_figure

from .conftest import GO_AHEAD, HOSTILE, NO_GO_AHEAD, gray_page, needs_poppler, pages_of

SVG = "{http://www.w3.org/2000/svg}"
MM_PER_POINT = 25.4 / 72
DOTS_PER_MM = 10


@pytest.fixture(scope="module")
def written(
    thought: Callable[[str], Thinking], tmp_path_factory: pytest.TempPathFactory
) -> Callable[..., Path]:
    pytest.importorskip("typst")
    folder = tmp_path_factory.mktemp("pdf")

    def write(name: str, **options: Any) -> Path:
        path = folder / f"{name}-{len(list(folder.iterdir()))}.pdf"
        path.write_bytes(render(build_sheet(thought(name), **options), ".pdf"))
        return path

    return write


def test_the_same_case_gives_the_same_bytes(thought: Callable[[str], Thinking]) -> None:
    pytest.importorskip("typst")
    thinking = thought(GO_AHEAD["insert"])
    first = render(build_sheet(thinking), ".pdf")
    assert first == render(build_sheet(thinking), ".pdf")
    assert b"/CreationDate" not in first


def test_it_is_read_back(written: Callable[..., Path], thought: Callable[[str], Thinking]) -> None:
    for name in (GO_AHEAD["keys"], NO_GO_AHEAD["investigate"]):
        assert read_back(written(name)).advice == read_off(thought(name))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_has_the_paper_s_size(paper: Any, written: Callable[..., Path]) -> None:
    pypdf = pytest.importorskip("pypdf")
    pages = pypdf.PdfReader(written(GO_AHEAD["insert"], paper=paper, template=True)).pages
    for page in pages:
        wide, tall = (float(side) * MM_PER_POINT for side in page.mediabox[2:])
        assert wide == pytest.approx(PAPERS[paper].width, abs=0.1)
        assert tall == pytest.approx(PAPERS[paper].height, abs=0.1)


def test_it_is_tagged_for_all_readers(written: Callable[..., Path]) -> None:
    """PDF/UA-1, which the compiler checks: tags, title, language, alternative texts."""
    pypdf = pytest.importorskip("pypdf")
    reader = pypdf.PdfReader(written(GO_AHEAD["pins"]))
    catalogue = reader.trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"]
    assert catalogue["/Lang"] == "en"
    assert "pdfuaid" in reader.xmp_metadata.stream.get_data().decode()
    assert reader.metadata.title.startswith("Job sheet")


@needs_poppler
def test_every_page_has_the_job_and_its_number(written: Callable[..., Path]) -> None:
    pages = pages_of(written(GO_AHEAD["pins"]))
    for n, page in enumerate(pages, start=1):
        assert f"page {n} of {len(pages)}" in page
        assert page.lstrip().startswith("Job D-001")
        assert "Defer to local codes and licensed practice." in page


@needs_poppler
def test_no_row_of_the_drilling_table_is_cut(
    written: Callable[..., Path], thought: Callable[[str], Thinking]
) -> None:
    thinking = thought(GO_AHEAD["pins"])
    seam = read_off(thinking).stitching
    assert seam
    lines = [
        line.split() for page in pages_of(written(GO_AHEAD["pins"])) for line in page.split("\n")
    ]
    for hole in seam.layout:
        start = [str(hole.n), str(hole.drilling_pass), f"{hole.at.value:.2f}"]
        assert [line for line in lines if line[:3] == start and seam.pin.thread in line], hole


@needs_poppler
def test_the_verdict_is_large_where_nothing_goes_ahead(written: Callable[..., Path]) -> None:
    first = " ".join(pages_of(written(NO_GO_AHEAD["refer"]))[0].split())
    assert "STOP: NOT THIS SHOP'S DECISION, REFER IT" in first.replace("’", "'")
    assert "What to do meanwhile" in first


@needs_poppler
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_template_measures_true(
    paper: Any, written: Callable[..., Path], thought: Callable[[str], Thinking], tmp_path: Path
) -> None:
    """Rendered at ten dots a millimetre: the check lengths, and every centre in its place."""
    path = written(GO_AHEAD["insert"], paper=paper, template=True)
    measure_template(path, thought(GO_AHEAD["insert"]), paper, tmp_path)


def measure_template(pdf: Path, thinking: Thinking, paper: Any, folder: Path) -> None:
    """Hold the last page of a PDF against the numbers of the layout."""
    wide, tall, dots = gray_page(pdf, len(pages_of(pdf)), folder, 254)
    for upright in (False, True):
        runs = _runs(dots, wide, tall, upright=upright)
        assert any(abs(run / DOTS_PER_MM - 50.0) <= 0.3 for run in runs), (upright, runs)
    seam = read_off(thinking).stitching
    assert seam
    figure = template_figure(picture_of(thinking, seam), PAPERS[paper])
    assert figure
    root = ElementTree.fromstring(figure.svg)
    (group,) = [g for g in root.iter(f"{SVG}g") if g.get("class") == "part"]
    left, top = _corner(dots, wide, tall, root)
    for hole in seam.layout:
        x, y = _mapped(group.get("transform", ""), hole.x.value, hole.y.value)
        for dx, dy in ((0.0, 0.0), (1.2, 0.0), (-1.2, 0.0), (0.0, 1.2), (0.0, -1.2)):
            assert _is_dark(dots, wide, left + x + dx, top + y + dy), (hole.n, dx, dy)


def _corner(dots: bytes, wide: int, tall: int, root: ElementTree.Element) -> tuple[float, float]:
    """Where the template's corner lies on the page [mm], found by the check length across."""
    (check,) = [g for g in root.iter(f"{SVG}g") if g.get("class") == "check-across"]
    (drawn,) = check.iter(f"{SVG}line")
    dark = bytes(1 if value < 200 else 0 for value in range(256))
    for y in range(tall - 1, 0, -1):
        line = dots[y * wide : (y + 1) * wide].translate(dark)
        for run in range(497, 504):
            at = line.find(b"\0" + b"\1" * run + b"\0")
            if at >= 0:
                x = (at + 1) / DOTS_PER_MM - float(drawn.get("x1", ""))
                return x, y / DOTS_PER_MM - float(drawn.get("y1", ""))
    raise AssertionError("the check length was not found")


def _mapped(transform: str, x: float, y: float) -> tuple[float, float]:
    for word, numbers in reversed(re.findall(r"(\w+)\(([^)]*)\)", transform)):
        values = [float(n) for n in numbers.split()]
        if word == "rotate":
            a = math.radians(values[0])
            x, y = x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a)
        elif word == "scale":
            x, y = x * values[0], y * values[1]
        else:
            x, y = x + values[0], y + values[1]
    return x, y


def _is_dark(dots: bytes, wide: int, x: float, y: float) -> bool:
    """Something dark within a fifth of a millimetre."""
    u, v = round(x * DOTS_PER_MM), round(y * DOTS_PER_MM)
    return any(
        dots[row * wide + column] < 190
        for row in range(v - 2, v + 3)
        for column in range(u - 2, u + 3)
    )


def _runs(dots: bytes, wide: int, tall: int, *, upright: bool) -> list[int]:
    """Lengths of unbroken dark lines, those above 20 mm."""
    lines = (
        (dots[x::wide] for x in range(wide))
        if upright
        else (dots[y * wide : (y + 1) * wide] for y in range(tall))
    )
    dark = bytes(1 if value < 200 else 0 for value in range(256))
    return [
        len(run)
        for line in lines
        for run in line.translate(dark).split(b"\0")
        if len(run) > 20 * DOTS_PER_MM
    ]


def test_signs_that_no_font_has_are_written_by_number(hostile: Thinking, tmp_path: Path) -> None:
    pytest.importorskip("typst")
    path = tmp_path / "job.pdf"
    path.write_bytes(render(build_sheet(hostile), ".pdf"))
    assert read_back(path).case["title"] == HOSTILE


@needs_poppler
def test_hostile_text_is_shown_whole(hostile: Thinking, tmp_path: Path) -> None:
    pytest.importorskip("typst")
    path = tmp_path / "job.pdf"
    path.write_bytes(render(build_sheet(hostile), ".pdf"))
    text = "".join(pages_of(path)[0].split()).replace("\u200b", "")
    assert "<script>alert(1)</script>" in text
    assert "[U+202E]gnp.exe" in text
    assert "W" * 120 in text


def test_without_the_extra_the_message_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, thought: Callable[[str], Thinking]
) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "typst":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SheetExtraMissing, match=r"crackwright\[sheet\]"):
        check_can_write(tmp_path / "job.pdf", tmp_path / "case.yaml")
    sheet = replace(build_sheet(thought(NO_GO_AHEAD["refer"])), sections=())
    with pytest.raises(SheetExtraMissing):
        render(sheet, ".pdf")
