"""Reading of thread designations: spellings, round trips, refusals with hints, look-alikes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering.designations import (
    Designation,
    DesignationError,
    ThreadSystem,
    limits_of,
    look_alikes,
    parse_designation,
)
from advisor.engineering.limits import OutOfRange
from advisor.engineering.thread_series import ISO_261, PIPE_55, PIPE_60, UNC, UNEF, UNF


def unified_texts() -> list[str]:
    tables = (("UNC", UNC), ("UNF", UNF), ("UNEF", UNEF))
    return [f"{size}-{n:g} {name}" for name, table in tables for size, n in table.items()]


METRIC_TEXTS = [f"M{d:g}x{p:g}" for d, pitches in ISO_261.items() for p in pitches]
PIPE_TEXTS = [
    *(f"{letter} {size}" for letter in ("G", "R", "Rc", "Rp") for size in PIPE_55),
    *(f"{size}-{row.threads_per_inch:g} NPT" for size, row in PIPE_60.items()),
]


@pytest.mark.parametrize("text", [*METRIC_TEXTS, *unified_texts(), *PIPE_TEXTS])
def test_canonical_text_reads_back(text: str) -> None:
    thread = parse_designation(text)
    assert parse_designation(thread.text) == thread


@given(
    st.sampled_from(METRIC_TEXTS),
    st.sampled_from(["", "-6H", "-5H6H", "-6g", "-4g6g", "-6H/6g"]),
    st.sampled_from(["", "-S", "-N", "-L"]),
    st.sampled_from(["", "-LH", " LH"]),
    st.sampled_from(["", " STI"]),
)
def test_metric_round_trip(text: str, tolerance: str, length: str, left: str, coil: str) -> None:
    thread = parse_designation(text + tolerance + length + left + coil)
    assert parse_designation(thread.text) == thread
    assert (thread.left_hand, thread.coil_hole) == (bool(left), bool(coil))


@given(
    st.sampled_from(unified_texts()),
    st.sampled_from(["", "-1A", "-2A", "-2B", "-3B"]),
    st.sampled_from(["", "-LH"]),
    st.sampled_from(["", " STI"]),
)
def test_unified_round_trip(text: str, tolerance: str, left: str, coil: str) -> None:
    thread = parse_designation(text + tolerance + left + coil)
    assert parse_designation(thread.text) == thread
    if tolerance:
        assert thread.side == ("external" if tolerance.endswith("A") else "internal")


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        thread = parse_designation(text)
    except DesignationError:
        return
    assert parse_designation(thread.text) == thread


@given(st.from_regex(r"[MGRUNCFTPx0-9./# -]{1,14}", fullmatch=True))
def test_near_misses_are_read_or_refused(text: str) -> None:
    try:
        thread = parse_designation(text, allow_special=True)
    except DesignationError:
        return
    assert parse_designation(thread.text, allow_special=True) == thread


SPELLINGS = [
    ("m16", "M16"),
    (" M 16 ", "M16"),
    ("M16x2", "M16"),
    ("M16X2", "M16"),
    ("M16 x 1.5", "M16x1.5"),
    ("M16\N{MULTIPLICATION SIGN}1,5", "M16x1.5"),
    ("M16*1.5", "M16x1.5"),
    ("M16x1.5 \N{EN DASH} 6H", "M16x1.5-6H"),
    ("M16X2 -6h", "M16-6h"),
    ("M6x1-5H6H-LH", "M6-5H6H-LH"),
    ("M10x1.0", "M10x1"),
    ("M8x1.25 sti", "M8 STI"),
    ("3/4-10UNC-2B", "3/4-10 UNC-2B"),
    ("3/4-10 unc 2b", "3/4-10 UNC-2B"),
    (".750-10UNC-2B", "3/4-10 UNC-2B"),
    ('3/4"-10 UNC', "3/4-10 UNC"),
    ("3/4 in-10 UNC", "3/4-10 UNC"),
    ("\N{VULGAR FRACTION THREE QUARTERS}-10 UNC", "3/4-10 UNC"),
    ("1\N{VULGAR FRACTION ONE HALF}-6 UNC", "1-1/2-6 UNC"),
    ("1 1/8-7 UNC", "1-1/8-7 UNC"),
    ("1-1/8 - 7 UNC", "1-1/8-7 UNC"),
    ("6/8-10 UNC", "3/4-10 UNC"),
    ("2-4 1/2 UNC", "2-4.5 UNC"),
    ("10-24 UNC", "#10-24 UNC"),
    ("No. 10-32 UNF", "#10-32 UNF"),
    ("0.190-32 UNF", "#10-32 UNF"),
    ("1/2-13 NC", "1/2-13 UNC"),
    ("1/2-20 NF-3A", "1/2-20 UNF-3A"),
    ("1/2-13 UNRC-2A", "1/2-13 UNRC-2A"),
    ("1/8-40 UNS", "1/8-40 UNS"),
    ("1-12 UN", "1-12 UN"),
    ("1/2 NPT", "1/2-14 NPT"),
    ("1-11 1/2 NPT", "1-11.5 NPT"),
    ("\N{VULGAR FRACTION ONE HALF}\N{DOUBLE PRIME}-14 NPT", "1/2-14 NPT"),
    ("1/8 NPTF", "1/8-27 NPTF"),
    ("3/4 NPSM", "3/4-14 NPSM"),
    ("G1/2", "G 1/2"),
    ("g 1 1/4 a", "G 1-1/4 A"),
    ("BSPP 1/2", "G 1/2"),
    ("1/2 BSPP", "G 1/2"),
    ("PF 1", "G 1"),
    ("PS 3/8", "Rp 3/8"),
    ("rc 3/8", "Rc 3/8"),
    ("RP1/2", "Rp 1/2"),
    ("R1/8", "R 1/8"),
    ("G 1/2 LH", "G 1/2 LH"),
]


@pytest.mark.parametrize(("text", "canonical"), SPELLINGS)
def test_spellings(text: str, canonical: str) -> None:
    assert parse_designation(text).text == canonical


REFUSALS = [
    ("", "is empty", "M16x2"),
    ("M12 1.5", "no thread designation", "did you mean M12x1.5?"),
    ("M12-1.5", "no thread designation", "did you mean M12x1.5?"),
    ("M16x3", "no pitch 3 in ISO 261", "nearest is M16x2"),
    ("M13", "not in ISO 261", "M12 or M14"),
    ("M72", "no coarse pitch", "6, 4, 3, 2, 1.5"),
    ("M15", "no coarse pitch", "1.5, 1"),
    ("M16-6G6h", "mixes", "6H for a hole"),
    ("1/2-12 UNC", "13 threads per inch, not 12", "1/2-13 UNC?"),
    ("1/2-20 UNC", "13 threads per inch, not 20", "1/2-20 UNF?"),
    ("3/16-24 UNC", "no size 3/16", "did you mean"),
    ("1/2-13", "no thread designation", "1/2-13 UNC"),
    ("1/2-11", "no thread designation", "name the series"),
    ("3/4", "size alone", "3/4-10 UNC"),
    ("5/0-13 UNC", "no unified size", "3/4-10 UNC"),
    ("99-12 UN", "no unified size", "3/4-10 UNC"),
    ("1/2-14 UN", "per inch", "UNS"),
    ("1/2-13 UNX", "no unified series", "UNC, UNF"),
    ("1-2 UNS", "no unified size", "3/4-10 UNC"),
    ("1/2-4 UN", "too few", ""),
    ("1/2-13 NPT", "14 threads per inch", "1/2-14 NPT?"),
    ("5/16 NPT", "not a pipe size", "1/8, 1/4"),
    ("G 5/16", "not a pipe size", "1/8, 1/4"),
    ("1/2 BSPT", "no thread designation", "Rc 1/2 for a tapped hole"),
    ("1/2 BSW", "no thread designation", "Whitworth"),
    ("Tr 20x4", "no thread designation", "power screw"),
    ("hello", "no thread designation", "M16x2"),
    ("M" * 100, "too long", ""),
]


@pytest.mark.parametrize(("text", "problem", "hint"), REFUSALS)
def test_refusals_say_what_would_be_right(text: str, problem: str, hint: str) -> None:
    with pytest.raises(DesignationError) as caught:
        parse_designation(text)
    assert problem in caught.value.limit or problem in (caught.value.hint or "")
    assert hint in (caught.value.hint or "")
    assert isinstance(caught.value, OutOfRange)


def test_special_threads_on_request() -> None:
    thread = parse_designation("M29x1.25-4g6h", allow_special=True)
    assert (thread.series, thread.side) == ("special", "external")
    assert limits_of(thread).bolt_major_max == 29.0
    with pytest.raises(DesignationError, match="does not fit"):
        parse_designation("M29x12", allow_special=True)


def test_fields() -> None:
    rc = parse_designation("Rc 3/8")
    assert rc == Designation(
        system=ThreadSystem.PIPE_55_SEALING,
        size="3/8",
        series="Rc",
        diameter_mm=16.662,
        pitch_mm=25.4 / 19,
        threads_per_inch=19,
        tolerance=None,
        side="internal",
        taper=True,
        left_hand=False,
        coil_hole=False,
        engagement=None,
        text="Rc 3/8",
    )
    assert rc.is_pipe
    assert rc.measure_system == "metric"
    assert parse_designation("1/2 NPT").measure_system == "unified"
    assert not parse_designation("Rp 1/2").taper
    assert not parse_designation("1/2 NPSM").taper
    assert parse_designation("G 1/2 A").side == "external"
    assert parse_designation("M16-6H/6g").side is None
    assert parse_designation("M16-L").engagement == "L"


def test_limits_follow_the_class_written() -> None:
    assert limits_of(parse_designation("M12-6H")) == limits_of(parse_designation("M12"))
    assert limits_of(parse_designation("M12-6h")).bolt_major_max == 12.0
    assert limits_of(parse_designation("M12-6G/6h")).bolt_major_max == 12.0
    fine = limits_of(parse_designation("1/2-20 UNRF-2A"))
    assert fine == limits_of(parse_designation("1/2-20 UNF"))
    assert limits_of(parse_designation("1/2-20 UNF-3B")) == fine
    with pytest.raises(OutOfRange, match="1A and 1B"):
        limits_of(parse_designation("1/2-20 UNF-1B"))
    with pytest.raises(OutOfRange, match="metric and unified"):
        limits_of(parse_designation("G 1/2"))


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("G 1/2", "1/2-14 NPT"),
        ("Rc 3/4", "3/4-14 NPT"),
        ("1/2 NPT", "G or R 1/2"),
        ("M5", "#10-32 UNF"),
        ("#10-32 UNF", "M5x0.8"),
        ("3/8-16 UNC", "M10x1.5"),
        ("M14", "9/16-12 UNC"),
    ],
)
def test_look_alikes(text: str, other: str) -> None:
    found = look_alikes(parse_designation(text))
    assert any(sentence.startswith(other) for sentence in found)
    assert all("does not mate" in sentence for sentence in found)


def test_no_look_alike() -> None:
    assert look_alikes(parse_designation("M27")) == ()
    assert look_alikes(parse_designation("4 NPT")) == ()


def test_look_alike_of_a_parallel_pipe_thread_without_a_twin() -> None:
    # Every 55 degree size held has a 60 degree namesake.
    assert all(look_alikes(parse_designation(f"G {size}")) for size in PIPE_55)
