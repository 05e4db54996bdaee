"""Bolt strengths, preload and torque against published tables and worked examples."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from advisor.engineering.bolts import (
    BoltClass,
    bolt_class,
    breaking_load,
    head_pressure,
    measured_scatter,
    nut_factor,
    preload_from_torque,
    proof_load,
    torque_for_preload,
    vdi_preload,
    vdi_torque,
)
from advisor.engineering.thread_series import ISO_261, MM_PER_INCH, UNC, inch_size
from advisor.engineering.threads import stress_area_metric, stress_area_unified

POUND_N = 4.4482216
TABLE = Path(__file__).parents[2] / "knowledge" / "bolt_classes.yaml"


def number(cell: object) -> float:
    return float(cell["value"] if isinstance(cell, dict) else cell)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def rows() -> list[BoltClass]:
    table = yaml.safe_load(TABLE.read_text(encoding="utf-8"))
    return [
        BoltClass(
            row["standard"],
            str(row["class"]),
            number(row["over_diameter"]),
            number(row["up_to_diameter"]),
            number(row["tensile"]),
            number(row["yield"]),
            number(row["proof"]),
        )
        for row in table["rows"].values()
    ]


@pytest.mark.parametrize(
    ("name", "diameter", "tensile", "yield_", "proof"),
    # ISO 898-1 in a printed copy (read).
    [
        ("4.6", 16, 400, 240, 225),
        ("5.8", 16, 520, 420, 380),
        ("8.8", 16, 800, 640, 580),
        ("8.8", 18, 830, 660, 600),
        ("10.9", 24, 1040, 940, 830),
        ("12.9", 24, 1220, 1100, 970),
    ],
)
def test_strength_of_metric_classes(
    rows: list[BoltClass],
    name: str,
    diameter: float,
    tensile: float,
    yield_: float,
    proof: float,
) -> None:
    row = bolt_class(rows, "ISO 898-1", name, diameter)
    assert (row.tensile_mpa, row.yield_mpa, row.proof_mpa) == (tensile, yield_, proof)


@pytest.mark.parametrize(
    ("grade", "size", "tensile_psi", "yield_psi", "proof_psi"),
    # SAE J429 in two printed copies (read).
    [
        ("1", 0.5, 60_000, 36_000, 33_000),
        ("2", 0.75, 74_000, 57_000, 55_000),
        ("2", 0.875, 60_000, 36_000, 33_000),
        ("5", 1.0, 120_000, 92_000, 85_000),
        ("5", 1.125, 105_000, 81_000, 74_000),
        ("8", 1.5, 150_000, 130_000, 120_000),
    ],
)
def test_strength_of_inch_grades(
    rows: list[BoltClass],
    grade: str,
    size: float,
    tensile_psi: float,
    yield_psi: float,
    proof_psi: float,
) -> None:
    row = bolt_class(rows, "SAE J429", grade, size * MM_PER_INCH)
    psi = 0.006894757
    assert (row.tensile_mpa, row.yield_mpa, row.proof_mpa) == pytest.approx(
        (tensile_psi * psi, yield_psi * psi, proof_psi * psi), abs=0.01
    )


@pytest.mark.parametrize(
    ("diameter", "name", "proof", "ultimate"),
    # ISO 898-1 proof and least ultimate loads [N], printed lists (read); rounded there to three
    # figures, so 0.9 %.
    [
        (6, "8.8", 11_600, 16_100),
        (8, "8.8", 21_200, 29_200),
        (10, "10.9", 48_100, 60_300),
        (12, "8.8", 48_900, 67_400),
        (12, "12.9", 81_800, 103_000),
        (14, "10.9", 95_500, 120_000),
        (16, "8.8", 91_000, 125_000),
        (16, "10.9", 130_000, 163_000),
        (20, "8.8", None, 203_000),
        (20, "12.9", None, 299_000),
        (24, "10.9", None, 367_000),
        (30, "8.8", None, 466_000),
        (36, "12.9", None, 997_000),
    ],
)
def test_loads_of_metric_bolts(
    rows: list[BoltClass], diameter: float, name: str, proof: float | None, ultimate: float
) -> None:
    row = bolt_class(rows, "ISO 898-1", name, diameter)
    area = stress_area_metric(diameter, ISO_261[diameter][0])
    assert breaking_load(area, row.tensile_mpa) == pytest.approx(ultimate, rel=0.009)
    if proof is not None:
        assert proof_load(area, row.proof_mpa) == pytest.approx(proof, rel=0.009)


@pytest.mark.parametrize(
    ("grade", "size", "pounds"),
    # SAE J429 strengths times the UNC stress area (computed from the printed strengths).
    [("5", "1/4", 2705), ("5", "3/4", 28_430), ("8", "1/2", 17_030), ("5", "1-1/8", 56_483)],
)
def test_proof_loads_of_inch_bolts(
    rows: list[BoltClass], grade: str, size: str, pounds: float
) -> None:
    diameter = inch_size(size) * MM_PER_INCH
    row = bolt_class(rows, "SAE J429", grade, diameter)
    area = stress_area_unified(diameter, MM_PER_INCH / UNC[size])
    assert proof_load(area, row.proof_mpa) / POUND_N == pytest.approx(pounds, rel=0.002)


@pytest.mark.parametrize(
    ("diameter", "pitch", "yield_", "head", "hole", "force_kn", "torque"),
    # VDI 2230 table of metric fine threads, friction 0.12, 90 % of yield (read second-hand).
    [
        (8, 1.0, 640, None, None, 20.2, None),
        (10, 1.25, 640, None, None, 31.6, None),
        (12, 1.25, 640, None, None, 48.0, None),
        (14, 1.5, 640, None, None, 64.8, None),
        (16, 1.5, 640, 22.5, 17.5, 87.6, 218),
        (16, 1.5, 940, 22.5, 17.5, 128.7, 320),
        (16, 1.5, 1100, 22.5, 17.5, 150.6, 374),
        (20, 1.5, 660, None, None, 148.0, None),
        (24, 2.0, 660, 33.61, 26.0, 209.0, 769),
        (24, 2.0, 940, 33.61, 26.0, 297.0, 1095),
        (24, 2.0, 1100, 33.61, 26.0, 348.0, 1282),
    ],
)
def test_vdi_preload_and_torque(
    diameter: float,
    pitch: float,
    yield_: float,
    head: float | None,
    hole: float | None,
    force_kn: float,
    torque: float | None,
) -> None:
    force = vdi_preload(diameter, pitch, yield_, 0.12)
    assert force / 1000 == pytest.approx(force_kn, rel=0.005)
    if head is not None and hole is not None:
        got = vdi_torque(force, diameter, pitch, 0.12, 0.12, head, hole)
        assert got == pytest.approx(torque, rel=0.005)


@pytest.mark.parametrize(
    ("friction", "factor"),
    # MIL-HDBK-60 100.5.2 and table II (read), M16: 0.159 P/d + 1.156 mu.
    [(0.07, 0.101), (0.11, 0.147), (0.12, 0.159), (0.15, 0.193), (0.17, 0.216)],
)
def test_nut_factor(friction: float, factor: float) -> None:
    assert nut_factor(16.0, 2.0, friction) == pytest.approx(factor, abs=0.001)


def test_nut_factor_agrees_with_the_long_torque_formula() -> None:
    # MIL-HDBK-60 100.5 (read): K F d against the formula with thread and head apart; the short
    # form stands for a usual hexagon head, whose mean bearing diameter is about 1.3 d.
    short = nut_factor(16.0, 2.0, 0.12) * 80_000 * 16.0 / 1000
    long = torque_for_preload(80_000, 16.0, 2.0, 0.12, 0.12, 1.25 * 16.0)
    assert short == pytest.approx(long, rel=0.03)


# NASA-STD-5020B appendix A.2, table 6 (read): preload [lb] of 30 trials at 450 in lb, 3/8 in.
TRIALS = [
    *(7760, 4010, 3587, 4635, 4920, 3797, 4462, 4940, 6220, 4780),
    *(7229, 4310, 3900, 4322, 4475, 3812, 4132, 4219, 6100, 4685),
    *(6080, 4291, 3054, 4804, 3910, 3303, 4090, 4550, 6062, 5180),
]


def test_scatter_of_thirty_trials() -> None:
    torque = 450 * POUND_N * MM_PER_INCH / 1000
    found = measured_scatter(
        [pounds * POUND_N for pounds in TRIALS], torque, 0.375 * MM_PER_INCH, 2.145
    )
    # Printed: mean 4721 lb, K 0.254, 0.644 above, 0.353 below, deviation 1097 lb, band 0.498.
    assert found.mean / POUND_N == pytest.approx(4721, rel=1e-3)
    assert found.factor == pytest.approx(0.254, abs=0.001)
    assert found.above == pytest.approx(0.644, abs=0.001)
    assert found.below == pytest.approx(0.353, abs=0.001)
    assert found.deviation / POUND_N == pytest.approx(1097, rel=1e-3)
    assert found.band == pytest.approx(0.498, abs=0.001)


def test_preload_band() -> None:
    # NSTS 08307 A 3.4 and 3.6 (read): 25 % lubricated, 5 % loss of the greatest preload.
    band = preload_from_torque(200.0, 16.0, 0.15, 0.25, 0.05)
    assert band.greatest / band.nominal == pytest.approx(1.25)
    assert band.least / band.nominal == pytest.approx(0.75 - 0.05 * 1.25)


def test_pressure_under_a_head() -> None:
    # NASA TM-106943 eq. (75) (read), written out for M16, dw 22.5, dh 17.5.
    assert head_pressure(87_600, 22.5, 17.5) == pytest.approx(87_600 / (0.785398 * 200.0), rel=1e-6)
