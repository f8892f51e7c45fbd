"""Thickness, variation and run-out of a disc."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.brakes import thickness
from onceapart.sums.run import run_sum

BASE = {"thickness": "21.4 mm", "minimum": "20 mm"}


def verdict(**typed):
    return run_sum("brake-disc", {**BASE, **{key.replace("_", "-"): text for key, text in typed.items()}})


@given(st.lists(st.floats(15, 30), min_size=2, max_size=12))
def test_variation_is_the_widest_difference_of_any_two(readings):
    widest = max(abs(a - b) for a in readings for b in readings)
    assert thickness.variation_um(readings) == pytest.approx(1000 * widest, abs=1e-5)


@given(st.floats(0.1, 1.9), st.integers(1, 5))
def test_wearing_on_as_before_ends_at_the_minimum(worn, sets):
    left = thickness.pad_sets_left(22, 22 - worn, 20, sets)
    assert 22 - worn - left * worn / sets == pytest.approx(20)


def test_share_worn_at_its_ends():
    assert thickness.share_worn(22, 22, 20) == 0
    assert thickness.share_worn(22, 20, 20) == 1
    assert thickness.pad_sets_left(22, 19.9, 20, 1) == 0


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: thickness.variation_um([21]), "at least 2"),
        (lambda: thickness.share_worn(20, 19, 20), "must be less than"),
        (lambda: thickness.share_worn(22, 22.5, 20), "not at the lip"),
        (lambda: thickness.pad_sets_left(22, 22, 20, 1), "nothing to carry on from"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        ("21.4 mm", "serviceable"),
        ("20.06 mm", "serviceable"),
        ("20.04 mm", "measure again or replace soon"),  # within the 0.05 mm of the gauge
        ("19.96 mm", "measure again or replace soon"),
        ("19.9 mm", "replace"),
    ],
)
def test_verdict_by_thickness_allows_for_the_gauge(reading, expected):
    assert verdict(thickness=reading).verdict == expected


def test_49_cfr_570_5_f_is_named_and_takes_the_minimum_itself():
    """49 CFR 570.5(f): not under the stamped minimum, so the minimum itself passes."""
    at, under = (
        verdict(thickness=text, gauge_error="0 mm").tables[0].rows[0] for text in ("20 mm", "19.99 mm")
    )
    assert at[0].startswith("49 CFR 570.5(f)")
    assert (at[3], under[3]) == (True, False)


def test_a_disc_that_would_not_outlive_the_next_pads_is_not_serviceable():
    assert verdict(thickness="20.6 mm", new="22 mm", pad_sets="1").verdict.startswith("measure again")
    assert verdict(thickness="21.2 mm", new="22 mm", pad_sets="1").verdict == "serviceable"


def test_the_manuals_limit_goes_before_the_remembered_one():
    assert verdict(run_out="0.07 mm").verdict.startswith("measure again")
    assert verdict(run_out="0.07 mm", run_out_limit="0.08 mm").verdict == "serviceable"
    assert verdict(run_out="0.04 mm").verdict == "serviceable"
    assert verdict(run_out="0.04 mm", run_out_limit="0.03 mm").verdict.startswith("measure again")
    remembered = verdict(run_out="0.07 mm")
    assert any("from memory" in each for each in remembered.warnings)


def test_a_rough_gauge_is_told_it_cannot_show_variation():
    readings = "21.40 mm; 21.41; 21.40; 21.40; 21.40; 21.40; 21.40; 21.40"
    rough, fine = verdict(thickness=readings), verdict(thickness=readings, gauge_error="0.002 mm")
    assert any("micrometer" in each for each in rough.reasons)
    assert not any("micrometer" in each for each in fine.reasons)


def test_shaking_never_betters_a_worn_disc():
    assert verdict(thickness="19 mm", run_out="0.3 mm").verdict == "replace"
