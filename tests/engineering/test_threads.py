"""Properties and limits of validity of thread geometry, strength, drills and pipe threads."""

from __future__ import annotations

from math import isclose
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engineering.drilling import (
    clearance_hole,
    drill_between,
    nearest_drill,
    stock_drills,
    tap_drill,
)
from advisor.engineering.limits import OutOfRange
from advisor.engineering.pipe_threads import (
    pipe_size_60,
    taper_diameter,
    taper_thread_60,
    whitworth_pipe_diameters,
)
from advisor.engineering.thread_limits import (
    diameter_step,
    metric_deviation,
    metric_limits,
    metric_tolerance,
    metric_tolerance_formula,
    nearest_preferred,
    unified_limits,
)
from advisor.engineering.thread_series import (
    ISO_261,
    ISO_262_FINE,
    MM_PER_INCH,
    PIPE_55,
    PIPE_60,
    UNC,
    UNEF,
    UNF,
    inch_size,
    inch_size_text,
)
from advisor.engineering.thread_strength import (
    bending_factor_bolt,
    bending_factor_hole,
    engagement_16224,
    engagement_needed,
    engagement_vdi,
    preload_limit,
    pull_out_quick,
    shear_area_of_bolt,
    shear_area_of_hole,
    shear_area_simplified,
    shear_areas,
    strip_loads,
    widening_factor,
)
from advisor.engineering.threads import (
    basic_diameters,
    hole_for_percent,
    percent_of_thread,
    stress_area,
    stress_area_metric,
    stress_area_unified,
    triangle_height,
)

METRIC = st.sampled_from([(d, p) for d, pitches in ISO_261.items() for p in pitches if d >= 4])
UNIFIED = st.sampled_from(
    [(inch_size(s), n, name) for name, t in (("UNC", UNC), ("UNF", UNF)) for s, n in t.items()]
)
STRENGTH = st.floats(min_value=80.0, max_value=1400.0)


@given(METRIC)
def test_limits_stay_in_order(thread: tuple[float, float]) -> None:
    diameter, pitch = thread
    basic, limits = basic_diameters(diameter, pitch), metric_limits(diameter, pitch)
    assert basic.root < basic.minor < basic.pitch < basic.major
    assert limits.bolt_major_min < limits.bolt_major_max < diameter
    assert limits.bolt_pitch_min < limits.bolt_pitch_max < limits.hole_pitch_min
    assert limits.hole_pitch_min < limits.hole_pitch_max
    assert limits.hole_minor_min < limits.hole_minor_max < limits.bolt_major_min


@given(METRIC)
def test_printed_tolerances_are_near_the_formula(thread: tuple[float, float]) -> None:
    diameter, pitch = thread
    low, high = diameter_step(diameter)
    for name in ("Td", "Td2", "TD1", "TD2"):
        formula = metric_tolerance_formula(name, pitch, (low * high) ** 0.5)
        printed = metric_tolerance(name, "6", diameter, pitch) * 1000
        assert printed == pytest.approx(formula, rel=0.06)


@given(UNIFIED)
def test_unified_limits_stay_in_order(thread: tuple[float, float, str]) -> None:
    diameter, threads, series = thread
    limits = unified_limits(diameter, threads, series)
    assert limits.bolt_major_min < limits.bolt_major_max < diameter * MM_PER_INCH
    assert limits.bolt_pitch_min < limits.bolt_pitch_max < limits.hole_pitch_min
    assert limits.hole_minor_min < limits.hole_minor_max < limits.bolt_major_min


@given(METRIC, STRENGTH, STRENGTH, STRENGTH)
def test_weaker_metal_never_needs_less_engagement(
    thread: tuple[float, float], bolt: float, hole_1: float, hole_2: float
) -> None:
    diameter, pitch = thread
    limits, area = metric_limits(diameter, pitch), stress_area_metric(diameter, pitch)
    weak, strong = sorted((hole_1, hole_2))
    needs = [engagement_needed(limits, pitch, area, bolt, hole).length for hole in (weak, strong)]
    assert needs[0] >= needs[1] * (1 - 1e-9)


@given(METRIC, STRENGTH, STRENGTH, STRENGTH)
def test_stronger_bolt_never_needs_less_engagement(
    thread: tuple[float, float], bolt_1: float, bolt_2: float, hole: float
) -> None:
    diameter, pitch = thread
    limits, area = metric_limits(diameter, pitch), stress_area_metric(diameter, pitch)
    needs = [
        engagement_needed(limits, pitch, area, bolt, hole).length
        for bolt in sorted((bolt_1, bolt_2))
    ]
    assert needs[0] <= needs[1] * (1 + 1e-9)


@given(METRIC, STRENGTH, STRENGTH)
def test_bolt_breaks_first_at_the_length_needed(
    thread: tuple[float, float], bolt: float, hole: float
) -> None:
    diameter, pitch = thread
    limits, area = metric_limits(diameter, pitch), stress_area_metric(diameter, pitch)
    need = engagement_needed(limits, pitch, area, bolt, hole)
    loads = strip_loads(limits, pitch, area, need.length * 1.001, bolt, hole)
    # Formula (13) credits both threads together, so either alone may be a little weaker.
    slack = 1.0 if need.governs != "similar strength" else 0.9
    assert loads.hole_strips >= slack * loads.bolt_breaks
    assert loads.least > 0.0


@given(METRIC, st.floats(min_value=1.0, max_value=100.0))
def test_shear_areas_grow_with_engagement(thread: tuple[float, float], length: float) -> None:
    diameter, pitch = thread
    limits = metric_limits(diameter, pitch)
    short, long = shear_areas(limits, pitch, length), shear_areas(limits, pitch, 2 * length)
    assert long == pytest.approx((2 * short[0], 2 * short[1]))


@given(UNIFIED, st.floats(min_value=0.1, max_value=4.0))
def test_inches_and_millimetres_agree(thread: tuple[float, float, str], length_in: float) -> None:
    """The formulas hold in any unit: areas scale with the square of the unit of length."""
    diameter, threads, series = thread
    limits, pitch = unified_limits(diameter, threads, series), MM_PER_INCH / threads
    mm = shear_area_of_hole(
        pitch, limits.bolt_major_min, limits.hole_pitch_max, length_in * MM_PER_INCH
    )
    inch = shear_area_of_hole(
        pitch / MM_PER_INCH,
        limits.bolt_major_min / MM_PER_INCH,
        limits.hole_pitch_max / MM_PER_INCH,
        length_in,
    )
    assert mm == pytest.approx(inch * MM_PER_INCH**2, rel=1e-9)
    area = stress_area_unified(diameter * MM_PER_INCH, pitch)
    assert area == pytest.approx(
        stress_area_unified(diameter, 1 / threads) * MM_PER_INCH**2, rel=1e-9
    )


@given(METRIC)
def test_unified_constant_is_always_the_smaller(thread: tuple[float, float]) -> None:
    assert stress_area_unified(*thread) < stress_area_metric(*thread)


@given(METRIC, st.floats(min_value=40.0, max_value=83.0))
def test_share_of_thread_round_trip(thread: tuple[float, float], percent: float) -> None:
    hole = hole_for_percent(*thread, percent)
    assert percent_of_thread(*thread, hole) == pytest.approx(percent)


@given(st.floats(min_value=1.0, max_value=100.0))
def test_no_drill_is_nearer_than_the_nearest(hole: float) -> None:
    found = nearest_drill(hole, "metric")
    best = min(abs(drill.diameter_mm - hole) for drill in stock_drills("metric"))
    assert isclose(abs(found.diameter_mm - hole), best, abs_tol=1e-6)


@given(st.floats(min_value=0.001, max_value=1e6))
def test_preferred_numbers(value: float) -> None:
    found = nearest_preferred(value)
    assert found == pytest.approx(value, rel=0.036)
    assert nearest_preferred(found) == pytest.approx(found)


@pytest.mark.parametrize("size", [*UNC, *UNF, *UNEF])
def test_inch_sizes_round_trip(size: str) -> None:
    assert inch_size_text(inch_size(size)) == size


def test_stock_drills_are_in_order_and_without_doubles() -> None:
    for system in ("metric", "unified"):
        sizes = [drill.diameter_mm for drill in stock_drills(system)]  # type: ignore[arg-type]
        assert sizes == sorted(sizes)
        labels = [drill.label for drill in stock_drills(system)]  # type: ignore[arg-type]
        assert len(labels) == len(set(labels))


def test_selected_fine_pitches_are_in_the_general_plan() -> None:
    assert all(pitch in ISO_261[diameter] for diameter, pitch in ISO_262_FINE.items())


@pytest.mark.parametrize("size", sorted(PIPE_60))
def test_taper_pipe_thread_grows_along_the_taper(size: str) -> None:
    thread = taper_thread_60(size)
    assert thread.minor_at_end < thread.pitch_at_end < thread.pitch_hand_tight < thread.outside
    assert thread.hand_tight < thread.effective < thread.overall
    along = taper_diameter(thread.pitch_at_end, thread.effective)
    assert along == pytest.approx(thread.pitch_effective)


@pytest.mark.parametrize("size", sorted(PIPE_55))
def test_parallel_pipe_thread_profile(size: str) -> None:
    thread = whitworth_pipe_diameters(size)
    assert thread.major - thread.pitch == pytest.approx(thread.pitch - thread.minor)


def test_drill_between_prefers_the_middle() -> None:
    assert drill_between(8.1, 8.3, "metric").diameter_mm == 8.2
    assert tap_drill("metric", 8.0, 1.25, None, (6.647, 6.75)).within_limits is False
    assert tap_drill("unified", 6.35, 1.27, 60.0).percent == pytest.approx(60.0, abs=4.0)


def test_small_alternatives() -> None:
    limits = metric_limits(12.0, 1.75)
    effective, total = engagement_vdi(84.27, 26.11, 800.0, 250.0, 1.75, 1.0, 1.0, blind=False)
    assert total - effective == pytest.approx(3.5)
    assert stress_area("unified", 12.7, 1.9538) == pytest.approx(91.5, rel=0.01)
    assert preload_limit(125.0, 100.0, 0.5) == 6250.0
    assert metric_limits(12.0, 1.75, "6h", "6G").bolt_major_max == 12.0
    assert metric_limits(12.0, 1.75, "6g", "6G").hole_minor_min > limits.hole_minor_min
    assert metric_deviation("g", 8.0) == pytest.approx(0.103)
    assert inch_size_text(2.03) == "2.03"


REFUSED: list[tuple[Any, tuple[Any, ...], str, str]] = [
    (triangle_height, (0.0,), "pitch", "above 0"),
    (triangle_height, (float("nan"),), "pitch", "above 0"),
    (basic_diameters, (6.0, 2.0), "pitch", "below d/3"),
    (stress_area, ("pipe", 16.0, 2.0), "system", "metric and unified"),
    (percent_of_thread, (16.0, 2.0, 16.0), "hole", "below the thread"),
    (hole_for_percent, (16.0, 2.0, 90.0), "percent", "between 40 and 83.4"),
    (nearest_preferred, (0.0,), "value", "above 0"),
    (diameter_step, (301.0,), "diameter", "0.99 and 300"),
    (metric_tolerance_formula, ("Td", 9.0, 16.0), "pitch", "0.2 and 8"),
    (metric_tolerance_formula, ("Tx", 2.0, 16.0), "tolerance", "Td, Td2"),
    (metric_tolerance, ("Tx", "6", 16.0, 2.0), "tolerance", "Td, Td2"),
    (metric_tolerance, ("Td", "5", 16.0, 2.0), "tolerance grade", "4, 6, 8"),
    (metric_deviation, ("k", 2.0), "tolerance position", "e, f, g"),
    (metric_limits, (16.0, 2.0, "6H"), "tolerance class", "efgh"),
    (metric_limits, (16.0, 2.0, "6"), "tolerance class", "efgh"),
    (unified_limits, (7.0, 4), "diameter", "0.06 and 6"),
    (unified_limits, (1.0, 2), "threads per inch", "4 and 80"),
    (shear_area_of_hole, (2.0, 15.0, 18.0, 10.0), "thread overlap", "do not belong"),
    (shear_area_of_bolt, (2.0, 14.5, 14.2, 0.0), "engagement", "above 0"),
    (shear_area_simplified, ("hole", 3.0, 10.0), "diameter", "4.9"),
    (pull_out_quick, (14.7, -1.0, 10.0), "shear strength", "above 0"),
    (preload_limit, (100.0, 10.0, 0.9), "share", "0.7"),
    (widening_factor, (20.0, 16.0), "s/d", "1.4"),
    (bending_factor_bolt, (2.5,), "Rs", "below 2.2"),
    (bending_factor_hole, (0.3,), "Rs", "0.4"),
    (engagement_16224, (16.0, 2.0, 14.7, 13.8, 157.0, 1220.0, 200.0), "Rs", "0.4"),
    (engagement_vdi, (84.0, 26.0, 800.0, 250.0, 1.75, 0.1, 1.0), "C1", "0.5"),
    (stock_drills, ("pipe",), "system", "metric or unified"),
    (nearest_drill, (120.0, "metric"), "hole", "stock drills run"),
    (drill_between, (9.0, 8.0, "metric"), "low limit", "not be above"),
    (clearance_hole, ("metric", 13.0), "diameter", "ISO 273"),
    (clearance_hole, ("unified", 9 / 16 * 25.4), "diameter", "B18.2.8"),
    (clearance_hole, ("metric", 12.0, "snug"), "fit", "close"),
    (taper_diameter, (1.0, -20.0), "diameter at the distance", "above 0"),
    (whitworth_pipe_diameters, ("5/16",), "pipe size", "55 degree"),
    (pipe_size_60, ("5/16",), "pipe size", "60 degree"),
]


@pytest.mark.parametrize(("function", "arguments", "argument", "words"), REFUSED)
def test_outside_validity_is_refused(
    function: Any, arguments: tuple[Any, ...], argument: str, words: str
) -> None:
    with pytest.raises(OutOfRange) as caught:
        function(*arguments)
    assert caught.value.argument == argument
    assert words in str(caught.value)
