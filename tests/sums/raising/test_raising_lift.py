"""Lift from spring, spacer and tyre, and the clauses about it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.raising import lift
from onceapart.sums.raising.clauses import Changes, rule_rows
from onceapart.sums.run import run_sum

ratios, gains = st.floats(0.3, 1.5), st.floats(-40, 60)


def test_a_spacer_at_a_lower_arm_lifts_by_more_than_itself():
    """Motion ratio 0.5 to 0.7 gives 1.4 to 2 times the spacer: common practice."""
    band = lift.lift_band_mm(20, lift.USUAL_RATIOS["arm"])
    assert (band.low / 20, band.high / 20) == pytest.approx((1 / 0.7, 2.0))


@settings(deadline=None)
@given(gains, ratios)
def test_wheel_and_spring_travel_undo_each_other(gain, ratio):
    assert lift.body_lift_mm(gain, ratio) * ratio == pytest.approx(gain)
    assert lift.lift_band_mm(gain, lift.USUAL_RATIOS["axle"]).typical == gain


@settings(deadline=None)
@given(st.floats(1000, 6000), st.floats(15, 60), st.floats(15, 60))
def test_the_new_spring_stands_where_its_force_carries_the_load(load, old, new):
    """Two springs of one free length under one load: each is shorter by load over rate."""
    free = 400.0
    standing_old, standing_new = free - load / old, free - load / new
    assert lift.spring_gain_mm(0, load, old, new) == pytest.approx(standing_new - standing_old)


@settings(deadline=None)
@given(st.floats(10, 60), ratios)
def test_wheel_rate_keeps_the_energy(rate, ratio):
    """A wheel travel of x stores k (MR x)² / 2 in the spring, which is the wheel rate's energy."""
    travel = 25.0
    assert lift.wheel_rate_n_per_mm(rate, ratio) * travel**2 == pytest.approx(rate * (ratio * travel) ** 2)


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: lift.motion_ratio(0, 300), "above 0"),
        (lambda: lift.motion_ratio(100, 300, 80), "must be -60 to 60"),
        (lambda: lift.body_lift_mm(20, 0.01), "must be 0.1 to 2"),
        (lambda: lift.spring_gain_mm(10, 3000, 0, 20), "above 0"),
        (lambda: lift.nose_up_deg(20, 0, 0), "above 0"),
    ],
)
def test_nonsense_is_refused(call, why):
    with pytest.raises(SumError, match=why):
        call()


def test_the_parts_add_up_and_only_springs_use_up_droop():
    values = run_sum(
        "raising-lift",
        {
            "suspension": "axle",
            "spacer": "20 mm",
            "top-spacer": "10 mm",
            "longer": "5 mm",
            "tyre": "185/60R14",
            "new-tyre": "195/60R14",
            "droop": "90 mm",
            "clearance": "130 mm",
        },
    ).values
    assert values["from_springs"].typical == pytest.approx(35)
    assert values["from_tyres"].typical == pytest.approx(6)
    assert values["lift"].typical == pytest.approx(41)
    assert values["droop"].typical == pytest.approx(90 - 25)
    assert values["clearance"].typical == pytest.approx(171)
    assert values["axle_clearance"].typical == pytest.approx(6)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({}, "nothing given that raises the car"),
        ({"rate": "22 N/mm"}, "only some given"),
        ({"tyre": "185/60R14", "spacer": "20 mm"}, "only one given"),
        ({"spring-distance": "100 mm", "spacer": "20 mm"}, "only one given"),
        (
            {"spring-distance": "10 mm", "wheel-distance": "900 mm", "spacer": "20 mm"},
            "motion ratio of 0.011",
        ),
    ],
)
def test_halves_are_refused(typed, why):
    with pytest.raises(SumError, match=why):
        run_sum("raising-lift", {"suspension": "arm", **typed})


def test_hanging_on_the_damper_and_one_side_only_are_warned_of():
    result = run_sum(
        "raising-lift", {"suspension": "arm", "spacer": "40 mm", "droop": "60 mm", "paired": "no"}
    )
    assert any("hangs on its damper" in warning for warning in result.warnings)
    assert any("Not the same on both sides" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("changes", "federal", "washington"),
    [
        (Changes(new_spring=True, spacer=False, tyre=False, paired=True), "major", "not checked"),
        (Changes(new_spring=False, spacer=True, tyre=False, paired=True), "passes", "major"),
        (Changes(new_spring=False, spacer=True, tyre=False, paired=False), "major", "major"),
        (Changes(new_spring=False, spacer=False, tyre=True, paired=True), "passes", "not checked"),
    ],
)
def test_clauses_say_what_was_seen_in_them(changes, federal, washington):
    """49 CFR 570.8(a): no springs above design height, spacers in pairs; RCW 46.37.375(5): no spacers."""
    grades = {rule: grade for rule, grade, _ in rule_rows(changes)}
    assert grades["49 CFR 570.8(a)"] == federal
    assert grades["RCW 46.37.375(5)"] == washington
    assert grades["2014/45/EU 5.3.1(d)"] == "not checked"
