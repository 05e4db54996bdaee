"""Sentences in metric units with the US value beside each number.

Factors: NIST SP 811, appendix B (memory): 1 in = 25.4 mm and 1 lb = 0.453 592 37 kg exactly,
1 psi = 6894.757 Pa, 1 lbf = 4.448 222 N.
"""

from __future__ import annotations

import pytest

from advisor.case.both_units import both_units


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("within 25.4 mm of it", "within 25.4 mm (1 in) of it"),
        ("part at 10 to 52 degC", "part at 10 to 52 degC (50 to 126 degF)"),
        ("between 5 and 10 degC,", "between 5 and 10 degC (41 and 50 degF),"),
        ("down to -40 degC.", "down to -40 degC (-40 degF)."),
        ("4.5 kg on AC or 18 kg on DC", "4.5 kg (9.92 lb) on AC or 18 kg (39.7 lb) on DC"),
        ("100 MPa", "100 MPa (14.5 ksi)"),
        ("no faster than 50 K/h", "no faster than 50 K/h (90 degF/h)"),
        ("10 kN", "10 kN (2248 lbf)"),
        ("+/- 0.2 mm (settled by: wall)", "+/- 0.2 mm (0.00787 in) (settled by: wall)"),
    ],
)
def test_the_us_value_stands_beside(text: str, said: str) -> None:
    assert both_units(text) == said


@pytest.mark.parametrize(
    "text",
    [
        "2.07 bar (30 psi)",
        "10.1 MPa m^0.5",
        "500 mm2 and 3 mm/s",
        "M8x1.25, EN-GJL-250, 0.25 in",
        "no number mm",
    ],
)
def test_what_is_no_metric_quantity_or_has_its_us_value_stays(text: str) -> None:
    assert both_units(text) == text
