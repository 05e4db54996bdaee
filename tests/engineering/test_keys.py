"""Keys: window, depth, design and refusal; the numbers are in tests/published."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.engineering import keys
from advisor.engineering.keys import KeyDesign, KeySection, KeysNotFeasible, design_keys
from advisor.engineering.limits import OutOfRange

TABLE = Path(__file__).parents[2] / "knowledge" / "keys.yaml"
STRIP = KeySection("example", 5, 9, 10, 3, 3, 500)
WALL = {"wall": 12.0, "tensile_strength": 220.0, "shear_factor": 1.0}


def test_the_table_is_the_computed_family():
    rows = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["rows"]
    assert list(rows) == [section.name for section in keys.NEUTRAL_FAMILY]
    for section in keys.NEUTRAL_FAMILY:
        row = rows[section.name]
        assert row["neck"] == section.neck
        assert row["lobe"] == pytest.approx(section.lobe)
        assert row["lobe_pitch"] == section.lobe_pitch
        assert row["lobes"] == section.lobes
        assert row["layer"] == section.layer
        assert row["yield_strength"] == section.yield_strength


def test_key_deeper_than_the_wall_is_refused():
    with pytest.raises(OutOfRange, match="at most the wall, 12 mm"):
        keys.key_capacity(STRIP, 12.5, 12, 220, shear_factor=1, restrained=True)
    with pytest.raises(OutOfRange) as error:
        keys.check_depth(11, 12, restrained=True)
    assert error.value.hint == "nearest feasible: 10 mm"
    with pytest.raises(OutOfRange, match="free to bend"):
        keys.check_depth(8, 12, restrained=False)
    assert keys.check_depth(8, 12, restrained=True) == pytest.approx(2 / 3)
    with pytest.raises(OutOfRange, match="at least 6 mm for a key"):
        keys.check_depth(3, 5, restrained=True)
    with pytest.raises(OutOfRange, match="never deeper"):
        keys.eccentricity_factor(1.01)


@given(st.floats(1e3, 1e5), st.floats(4, 30), st.floats(2, 20), st.floats(80, 600), st.booleans())
def test_ceiling_stands_where_the_window_closes(force, lobe, depth, strength, staggered):
    wall = depth / 0.8
    best = keys.greatest_fraction(force, lobe, depth, strength, staggered)
    spacing = keys.best_spacing(force, lobe, depth, wall, strength, staggered)
    reached = keys.restored_fraction(force, lobe, depth, spacing, wall, strength, staggered)
    assert reached == pytest.approx(best)
    assert keys.strong_enough_spacing(force, best, wall, strength) == pytest.approx(spacing)
    assert keys.parent_enough_spacing(lobe, depth, best, wall, staggered) == pytest.approx(spacing)


@given(st.floats(0.05, 1))
def test_a_deeper_key_in_a_free_wall_keeps_more(eta):
    assert 0 < keys.eccentricity_factor(eta) <= 1
    assert keys.eccentricity_factor(eta) >= keys.eccentricity_factor(eta * 0.99)
    assert keys.eccentricity_factor(eta) <= 1 / keys.elastic_peak(eta) * 3


@settings(max_examples=200, deadline=None)
@given(
    st.floats(4, 60),
    st.floats(80, 600),
    st.floats(10, 600),
    st.booleans(),
    st.floats(0.01, 0.9),
)
def test_every_design_keeps_its_rules(wall, strength, length, restrained, fraction):
    found = design_keys(
        wall=wall,
        tensile_strength=strength,
        length=length,
        shear_factor=0.9,
        restrained=restrained,
        fraction=fraction,
    )
    if isinstance(found, KeysNotFeasible):
        assert found.reason
        assert found.nearest_hint
        if found.nearest is not None and found.nearest.spacing <= 40:
            assert found.nearest.restored_fraction < fraction
        return
    section = found.section
    assert found.restored_fraction >= fraction - 1e-9
    assert found.restored_fraction <= found.greatest_fraction + 1e-9
    assert found.depth <= min(0.85 * wall, wall - 2) + 1e-9
    assert restrained or found.depth >= 0.7 * wall - 1e-9
    assert found.depth == pytest.approx(found.layers * section.layer)
    assert section.neck <= wall
    assert found.spacing <= 40 + 1e-9
    # restored fraction again, from the two limits
    apart = [found.spacing, length / found.count]
    cut = section.lobe * found.depth * (0.5 if found.staggered else 1.0)
    assert found.restored_fraction == pytest.approx(
        min(found.capacity.force / (wall * max(apart) * strength), 1 - cut / (min(apart) * wall))
    )
    assert len(found.positions) == found.count
    assert sum(found.positions) / found.count == pytest.approx(length / 2)
    if found.count > 1:
        half = length / 2
        assert 0.8 - 1e-9 <= (found.positions[-1] - half) / half <= 0.9 + 1e-9
    clear = section.lobe if not found.staggered else (section.lobe + section.neck) / 2
    assert min(apart) - clear >= 2 - 1e-9


def test_stronger_wish_needs_no_fewer_keys():
    counts = []
    for fraction in (0.1, 0.2, 0.3, 0.4):
        found = design_keys(**WALL, length=120, restrained=True, fraction=fraction)
        assert isinstance(found, KeyDesign)
        counts.append(found.count)
    assert counts == sorted(counts)


def test_service_load_alone_asks_little():
    # A jacket of 60 radius at 0.45 MPa: 27 N/mm, four times covered; the widest spacing governs.
    found = design_keys(**WALL, length=120, restrained=True, line_load=27)
    assert isinstance(found, KeyDesign)
    assert found.needed_fraction == pytest.approx(4 * 27 / (12 * 220))
    assert found.restored_fraction > 3 * found.needed_fraction
    assert found.spacing <= 40


def test_more_than_the_ceiling_is_refused_with_the_nearest():
    found = design_keys(**WALL, length=120, restrained=False, fraction=0.8)
    assert isinstance(found, KeysNotFeasible)
    assert "can ever restore" in found.reason
    assert found.nearest is not None
    assert 0.3 < found.nearest.restored_fraction < 0.8
    assert f"{found.nearest.restored_fraction:.2f}" in found.nearest_hint


def test_staggered_where_in_line_does_not_reach():
    in_line = design_keys(**WALL, length=120, restrained=True, fraction=0.48, allow_staggered=False)
    both = design_keys(**WALL, length=120, restrained=True, fraction=0.48)
    assert isinstance(in_line, KeysNotFeasible)
    assert isinstance(both, KeyDesign)
    assert both.staggered
    assert any("half a pitch" in text for text in both.warnings)


def test_pins_that_bite_take_strength():
    whole = keys.key_capacity(STRIP, 9, 12, 220, shear_factor=1, restrained=True)
    bitten = keys.key_capacity(STRIP, 9, 12, 220, shear_factor=1, restrained=True, pin_bite=0.75)
    assert bitten.force == pytest.approx(0.7 * whole.force)
    with pytest.raises(OutOfRange, match="less than half the neck"):
        keys.effective_neck(5, 2.5)


def test_weak_iron_and_a_hard_strip_give_no_warning_before_failure():
    hard = [keys.neutral_key(6, 900)]
    found = design_keys(
        wall=12,
        tensile_strength=110,
        length=120,
        shear_factor=1.0,
        restrained=True,
        fraction=0.3,
        family=hard,
    )
    assert isinstance(found, KeyDesign)
    assert not found.ductile
    assert any("before the key yields" in text for text in found.warnings)


def test_thin_and_shallow_walls():
    thin = design_keys(
        wall=5, tensile_strength=220, length=80, shear_factor=1, restrained=True, fraction=0.2
    )
    assert isinstance(thin, KeysNotFeasible)
    assert "thinner than the 6 mm" in thin.reason
    free = design_keys(
        wall=6, tensile_strength=220, length=80, shear_factor=1, restrained=False, fraction=0.2
    )
    assert isinstance(free, KeysNotFeasible)
    assert "free to bend" in free.reason


def test_short_crack_takes_one_key_and_says_what_that_is_worth():
    found = design_keys(**WALL, length=16, restrained=True, fraction=0.2)
    assert isinstance(found, KeyDesign)
    assert found.count == 1
    assert found.positions == (8,)
    assert any("little against running on" in text for text in found.warnings)


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"wall": 0}, "wall"),
        ({"tensile_strength": -1}, "tensile_strength"),
        ({"length": math.inf}, "length"),
        ({"fraction": None}, "fraction"),
        ({"fraction": 1.5}, "fraction"),
        ({"safety_factor": 0.5}, "safety_factor"),
        ({"line_load": -3}, "line_load"),
        ({"shear_factor": 3}, "shear_factor"),
    ],
)
def test_outside_the_validity(change, argument):
    given_ = {**WALL, "length": 120, "restrained": True, "fraction": 0.3, **change}
    with pytest.raises(OutOfRange) as error:
        design_keys(**given_)
    assert error.value.argument == argument


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: keys.net_section(9, 9, 6.7, 12), "spacing"),
        (lambda: keys.strong_enough_spacing(1e4, 0, 12, 220), "fraction"),
        (lambda: keys.fraction_of_unshifted_rows(9, 9, 15, 12, 1), "lobes_long"),
        (lambda: keys.demand_spacing(1e4, 27, 0.9), "safety_factor"),
        (lambda: keys.bridging_weight(1), "position"),
        (lambda: keys.pull_and_side(60), "angle"),
        (lambda: keys.greatest_depth(2), "wall"),
        (lambda: keys.first_lobe_pressure(1, KeySection("x", 5, 5, 10, 3, 3, 500), 9), "lobe"),
        (lambda: keys.first_lobe_pressure(1, KeySection("x", 5, 9, 10, 1, 3, 500), 9), "lobes"),
    ],
)
def test_formulas_outside_their_validity(call, argument):
    with pytest.raises(OutOfRange) as error:
        call()
    assert error.value.argument == argument
