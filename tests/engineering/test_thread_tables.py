"""The thread tables that people read hold what the formulas give."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.engineering.designations import limits_of, parse_designation
from advisor.engineering.drilling import clearance_hole, tap_drill
from advisor.engineering.pipe_threads import taper_thread_60, whitworth_pipe_diameters
from advisor.engineering.thread_series import PIPE_55
from advisor.engineering.threads import basic_diameters, stress_area

FOLDER = Path(__file__).parents[2] / "knowledge"


def table(name: str) -> dict[str, dict[str, Any]]:
    text = (FOLDER / f"{name}.yaml").read_text(encoding="utf-8")
    rows: dict[str, dict[str, Any]] = yaml.safe_load(text)["rows"]
    return {
        row: {
            column: cell["value"] if isinstance(cell, dict) else cell
            for column, cell in cells.items()
            if not column.startswith("_")
        }
        for row, cells in rows.items()
    }


METRIC, UNIFIED, PIPE = table("threads_metric"), table("threads_unified"), table("threads_pipe")
FITS = (("clearance_close", "close"), ("clearance_medium", "medium"), ("clearance_loose", "loose"))
LIMITS = (
    *("bolt_major_max", "bolt_major_min", "bolt_pitch_max", "bolt_pitch_min"),
    *("hole_minor_max", "hole_pitch_max"),
)


@pytest.mark.parametrize("name", METRIC)
def test_metric_row(name: str) -> None:
    row, thread = METRIC[name], parse_designation(name)
    assert (row["diameter"], row["pitch"]) == (thread.diameter_mm, thread.pitch_mm)
    assert row["series"] == thread.series
    basic = basic_diameters(thread.diameter_mm, thread.pitch_mm)
    for column, value in (
        ("pitch_diameter", basic.pitch),
        ("minor_diameter", basic.minor),
        ("root_diameter", basic.root),
    ):
        assert row[column] == pytest.approx(value, abs=0.0006), column
    area = stress_area("metric", thread.diameter_mm, thread.pitch_mm)
    assert row["stress_area"] == pytest.approx(area, rel=6e-4)
    limits = limits_of(thread)
    for column in LIMITS:
        assert row[column] == pytest.approx(getattr(limits, column), abs=0.0011), column
    drill = tap_drill(
        "metric",
        thread.diameter_mm,
        thread.pitch_mm,
        None,
        (limits.hole_minor_min, limits.hole_minor_max),
    )
    assert row["tap_drill"] == drill.drill.diameter_mm
    assert drill.within_limits
    for column, fit in FITS:
        assert row[column] == clearance_hole("metric", thread.diameter_mm, fit).diameter_mm  # type: ignore[arg-type]


@pytest.mark.parametrize("name", UNIFIED)
def test_unified_row(name: str) -> None:
    row, thread = UNIFIED[name], parse_designation(name)
    assert (row["size"], row["series"]) == (thread.size, thread.series)
    assert row["threads_per_inch"] == thread.threads_per_inch
    assert row["diameter"] == pytest.approx(thread.diameter_mm)
    area = stress_area("unified", thread.diameter_mm, thread.pitch_mm)
    assert row["stress_area"] == pytest.approx(area, rel=3e-3)
    limits = limits_of(thread)
    for column in (*LIMITS, "hole_minor_min"):
        assert row[column] == pytest.approx(getattr(limits, column), abs=2e-5), column
    assert row["pitch_diameter"] == pytest.approx(limits.hole_pitch_min, abs=2e-5)
    drill = tap_drill("unified", thread.diameter_mm, thread.pitch_mm).drill
    assert (row["tap_drill_name"], row["tap_drill"]) == (
        drill.label,
        pytest.approx(drill.diameter_mm, abs=1e-4),
    )
    for column, fit in FITS:
        if column in row:
            assert row[column] == clearance_hole("unified", thread.diameter_mm, fit).label  # type: ignore[arg-type]


@pytest.mark.parametrize("name", PIPE)
def test_pipe_row(name: str) -> None:
    row, thread = PIPE[name], parse_designation(name)
    assert row["size"] == thread.size
    assert row["threads_per_inch"] == thread.threads_per_inch
    if row["family"] == "angle_55":
        got = whitworth_pipe_diameters(thread.size)
        for column, value in (
            ("major_diameter", got.major),
            ("pitch_diameter", got.pitch),
            ("minor_diameter", got.minor),
        ):
            assert row[column] == pytest.approx(value, abs=0.0016), column
        size = PIPE_55[thread.size]
        assert row["hand_tight_length"] == size.gauge_length_mm
        assert row["effective_length"] == size.useful_length_mm
        if "parallel_drill" in row:
            least = row["minor_diameter"]
            assert least < row["parallel_drill"] < least + row["minor_tolerance"]
        return
    taper = taper_thread_60(thread.size)
    for column, value in (
        ("pipe_outside", taper.outside),
        ("pitch_at_end", taper.pitch_at_end),
        ("pitch_hand_tight", taper.pitch_hand_tight),
        ("hand_tight_length", taper.hand_tight),
        ("effective_length", taper.effective),
        ("overall_length", taper.overall),
        ("wrench_length", taper.wrench),
    ):
        assert row[column] == pytest.approx(value, abs=0.004), column
