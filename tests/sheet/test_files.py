"""The files that a sheet is written to: one piece, no way out of it, and data to be read back."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest

from advisor.advice.advise import read_off
from advisor.advice.rulebook import Rulebook
from advisor.advice.thinking import Thinking
from advisor.case.problems import InputProblem
from advisor.case.reading import parse_case
from advisor.case.visible import visible
from advisor.sheet import KINDS, build_sheet, read_back, render
from advisor.sheet.markdown import to_markdown
from advisor.sheet.output import check_can_write, kind_of, write_file

from .conftest import GO_AHEAD, HOSTILE, NO_GO_AHEAD

VOID = {"meta", "col", "br", "img", "input", "link", "hr"}
SVG_EMPTY = {"line", "rect", "circle", "path"}


class Page(HTMLParser):
    """A page taken apart: elements in order, their text, and whether every one is closed."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.texts: dict[str, list[str]] = {}
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open:
            self.texts.setdefault(self.open[-1], []).append(data)

    def of(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


@pytest.fixture(scope="module")
def page(thought: Callable[[str], Thinking]) -> Page:
    sheet = build_sheet(thought(GO_AHEAD["insert"]), template=True)
    return Page(render(sheet, ".html").decode())


@pytest.mark.parametrize("name", [*GO_AHEAD.values(), *NO_GO_AHEAD.values()])
def test_the_page_is_well_formed(name: str, thought: Callable[[str], Thinking]) -> None:
    found = Page(render(build_sheet(thought(name), template=True), ".html").decode())
    assert found.open == []


def test_nothing_is_fetched_and_nothing_runs(page: Page) -> None:
    for _, attributes in page.elements:
        assert not {"src", "srcset", "href", "action", "data", "xlink:href"} & attributes.keys()
        assert not [name for name in attributes if name.startswith("on")]
        for name, value in attributes.items():
            if name not in ("xmlns", "content"):
                assert "//" not in (value or ""), (name, value)
            for address in re.findall(r"url\(([^)]*)\)", value or ""):
                assert address.startswith("#")
    assert "@import" not in "".join(page.texts["style"])
    assert "url(" not in "".join(page.texts["style"])
    (policy,) = [m for m in page.of("meta") if m.get("http-equiv") == "Content-Security-Policy"]
    assert policy["content"] == "default-src 'none'; style-src 'unsafe-inline'"
    assert [script["type"] for script in page.of("script")] == ["application/json"]


def test_ids_are_unique_and_what_they_name_exists(page: Page) -> None:
    ids = Counter(str(a["id"]) for _, a in page.elements if a.get("id"))
    assert max(ids.values()) == 1
    for _, attributes in page.elements:
        for name in (attributes.get("aria-labelledby") or "").split():
            assert name in ids
        for value in attributes.values():
            for address in re.findall(r"url\(#([^)]*)\)", value or ""):
                assert address in ids


def test_headings_tables_and_drawings_are_named_for_all_readers(page: Page) -> None:
    assert page.of("html")[0]["lang"] == "en"
    headings = [tag for tag, _ in page.elements if re.fullmatch(r"h[1-6]", tag)]
    assert headings[0] == "h1"
    assert set(headings[1:]) == {"h2"}
    assert len(page.of("caption")) == len(page.of("table")) > 5
    assert all(th.get("scope") in ("col", "row") for th in page.of("th"))
    assert {th.get("scope") for th in page.of("th")} == {"col", "row"}
    for svg in page.of("svg"):
        assert svg["role"] == "img"
        assert svg["aria-labelledby"]
    assert len(page.of("figcaption")) == len(page.of("svg"))


def test_text_stands_out_from_its_ground() -> None:
    """Contrast by WCAG 2 (memory): (L1 + 0.05)/(L2 + 0.05), at least 4.5 for small text."""

    def luminance(colour: str) -> float:
        parts = colour.lstrip("#")
        parts = "".join(c * 2 for c in parts) if len(parts) == 3 else parts
        values = [int(parts[i : i + 2], 16) / 255 for i in (0, 2, 4)]
        linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in values]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    def contrast(a: str, b: str) -> float:
        light, dark = sorted((luminance(a), luminance(b)), reverse=True)
        return (light + 0.05) / (dark + 0.05)

    assert contrast("#000", "#fff") == pytest.approx(21)
    css = files("advisor.sheet").joinpath("sheet.css").read_text(encoding="utf-8")
    for colour in re.findall(r"[^-]color: (#[0-9a-f]+)", css):
        assert contrast(colour, "#fff") >= 4.5
        assert contrast(colour, "#e8e8e8") >= 4.5


def test_every_page_has_the_job_its_number_and_the_rule_base(
    page: Page, thought: Callable[[str], Thinking]
) -> None:
    style = "".join(page.texts["style"])
    assert '@top-left { content: "Job D-006"' in style
    assert "counter(page)" in style
    assert "counter(pages)" in style
    assert thought(GO_AHEAD["insert"]).rulebook.digest[:12] in style
    assert "size: A4 portrait" in style
    letter = build_sheet(thought(GO_AHEAD["insert"]), paper="letter")
    assert "size: letter portrait" in render(letter, ".html").decode()


# --- hostile texts ------------------------------------------------------------------------------


def test_hostile_text_stays_text_in_html(hostile: Thinking) -> None:
    sheet = build_sheet(hostile)
    plain = build_sheet(hostile).sections
    assert plain
    found = Page(render(sheet, ".html").decode())
    assert found.open == []
    assert len(found.of("script")) == 1
    assert len(found.of("style")) == 1
    assert not found.of("img")
    shown = "".join("".join(parts) for parts in found.texts.values())
    assert visible(HOSTILE) in shown
    assert "[U+202E]gnp.exe" in shown
    assert "[U+0007]" in shown
    assert "\u202e" not in shown
    assert "</style>" not in "".join(found.texts["style"])


def test_hostile_text_stays_text_in_svg(hostile: Thinking) -> None:
    sheet = build_sheet(hostile)
    root = ElementTree.fromstring(render(sheet, ".svg"))
    names = {element.tag.split("}")[1] for element in root.iter()}
    assert names <= {
        "svg", "title", "desc", "metadata", "defs", "pattern", "clipPath", "g", "path", "rect",
        "circle", "line", "text",
    }  # fmt: skip


def test_hostile_text_stays_text_in_markdown(hostile: Thinking) -> None:
    text = to_markdown(build_sheet(hostile))
    body, data = text.split("```json crackwright-data\n")
    assert "<" not in body
    assert "://" not in re.sub(r"\[figure-\d+\]: data:.*", "", body)
    assert re.search(r"(?<!\\)`", body) is None
    assert "`" not in data.removesuffix("\n```\n")
    heads = [line for line in body.splitlines() if line.startswith("#")]
    assert len([line for line in heads if line.startswith("# ")]) == 1


# --- data ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != ".pdf"])
@pytest.mark.parametrize("name", ["keys", "refer"])
def test_a_sheet_is_read_back(
    kind: str,
    name: str,
    thought: Callable[[str], Thinking],
    rulebook: Rulebook,
    tmp_path: Path,
) -> None:
    thinking = thought((GO_AHEAD | NO_GO_AHEAD)[name])
    path = tmp_path / f"job{kind}"
    path.write_bytes(render(build_sheet(thinking), kind))
    back = read_back(path)
    assert back.advice == read_off(thinking)
    grades = tuple(rulebook.knowledge.tables["grades"].rows)
    case = parse_case(back.case_file, "sheet", rulebook.questionnaire, grades)
    assert case.reference == thinking.case.reference
    assert {n: a.value for n, a in case.answers.items()} == {
        n: a.value for n, a in thinking.case.answers.items()
    }


@pytest.mark.parametrize("kind", [".html", ".md", ".svg"])
def test_hostile_text_is_read_back_as_it_was(kind: str, hostile: Thinking, tmp_path: Path) -> None:
    path = tmp_path / f"job{kind}"
    path.write_bytes(render(build_sheet(hostile), kind))
    assert read_back(path).case["title"] == HOSTILE


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no data of a job sheet"),
        (b"%PDF-1.7 nothing attached", "no data of a job sheet"),
        (b"%PDF-1.7 /Type/EmbeddedFile/Filter/FlateDecode>>stream\nxx", "no data of a job sheet"),
        (b'<script type="application/json" id="crackwright-data">{"a":</script>', "not whole"),
        (b'<script type="application/json" id="crackwright-data">[]</script>', "not whole"),
        (
            b'<script type="application/json" id="crackwright-data">{"schema":"other/9"}</script>',
            "'other/9'",
        ),
        (
            b'<script type="application/json" id="crackwright-data">'
            b'{"schema":"crackwright.sheet/1","case":{},"advice":{}}</script>',
            "not whole",
        ),
        (b"<metadata>" + b"[" * 100_000 + b"</metadata>", "not whole"),
    ],
)
def test_what_is_no_sheet_is_refused_with_the_file_named(
    content: bytes, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "job.html"
    path.write_bytes(content)
    with pytest.raises(InputProblem, match=r"job\.html") as caught:
        read_back(path)
    assert said in str(caught.value)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != ".pdf"])
def test_the_same_case_gives_the_same_bytes(kind: str, thought: Callable[[str], Thinking]) -> None:
    thinking = thought(GO_AHEAD["insert"])
    assert render(build_sheet(thinking), kind) == render(build_sheet(thinking), kind)


# --- names of files -----------------------------------------------------------------------------


def test_the_kind_comes_from_the_ending() -> None:
    assert [kind_of(Path(f"job{kind}")) for kind in KINDS] == list(KINDS)
    assert kind_of(Path("JOB.HTML")) == ".html"
    for name in ("job", "job.txt", "job.pdf.gz"):
        with pytest.raises(InputProblem, match=r"\.html, \.pdf, \.md, \.svg"):
            kind_of(Path(name))


def test_a_file_that_cannot_be_written_is_told_before_any_work(tmp_path: Path) -> None:
    case = tmp_path / "case.md"
    case.write_text("case: x\n")
    folder = tmp_path / "x.html"
    folder.mkdir()
    for path in (case, folder, tmp_path / "none" / "job.html"):
        with pytest.raises(InputProblem, match=re.escape(str(path))):
            check_can_write(path, case)


def test_a_file_is_replaced_in_one_step(tmp_path: Path) -> None:
    path = tmp_path / "job.html"
    write_file(path, b"first")
    write_file(path, b"second")
    assert path.read_bytes() == b"second"
    assert list(tmp_path.iterdir()) == [path]
    assert path.stat().st_mode & 0o777 == 0o644 or path.stat().st_mode & 0o400
    with pytest.raises(OSError, match="none"):
        write_file(tmp_path / "none" / "job.html", b"x")
