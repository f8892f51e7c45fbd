"""Stability and load transfer: published examples and laws."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.raising import stability
from onceapart.sums.raising.roll_sum import Axle, axis_height_mm, cornering
from onceapart.sums.run import run_sum

tracks, heights, masses = st.floats(1000, 1800), st.floats(350, 900), st.floats(600, 3000)

# Barton and Fieldhouse, Automotive Chassis Engineering, worked example: sprung 1280 kg split 54/46, roll
# centres 70 and 320 mm, track 1460 mm, 0.6 g, unsprung 140 kg at 280 mm and 180 kg at 300 mm, 28650 N·m/rad,
# arm 365 mm.
# The split of the stiffness stands on a page that was not seen; 0.6987 is that of the printed elastic parts.
FRONT = Axle("front", 0.54 * 1280, 140, 280, 70, 0.6987 * 28650, 1460)
REAR = Axle("rear", 0.46 * 1280, 180, 300, 320, 0.3013 * 28650, 1460)


def test_load_transfer_by_axle_matches_the_printed_example():
    bend = cornering(FRONT, REAR, axis_height_mm(FRONT, REAR) + 365, 0.6)
    # Geometric and unsprung parts, printed to the newton.
    assert [round(part.geometric_n) for part in bend.axles] == [195, 760]
    assert [round(part.unsprung_n) for part in bend.axles] == [158, 218]
    # Elastic parts, printed 1556 and 671: the book's own figures give 0.7% more.
    assert [part.elastic_n for part in bend.axles] == pytest.approx([1556, 671], rel=0.01)
    # The front sum is 1909; the book prints 1919, a misprint by its own parts.
    assert [part.total_n for part in bend.axles] == pytest.approx([1909, 1649], rel=0.01)
    assert 195 + 1556 + 158 == 1909


def test_roll_gradient_matches_the_printed_example():
    """Same book: 0.0194 rad/(m/s²), which is 10.9 degrees for each g."""
    gradient = stability.roll_gradient_deg_per_g(1280, 365, 28650)
    assert round(gradient, 1) == 10.9
    assert round(gradient / 57.29578 / 9.81, 4) == 0.0194


def test_load_transfer_of_one_axle_matches_the_printed_example():
    """Same book: 750 kg, 1 g, height 520, track 1580 mm: 246.8 kg, of it 37.97 and 208.9 kg."""
    whole = stability.load_transfer_n(750, 9.81, 520, 1580) / 9.81
    assert round(whole, 1) == 246.8
    # 37.97 kg through the links means a roll centre at 80 mm; the rest goes through the springs.
    links = stability.geometric_transfer_n(750, 9.81, 80, 1580) / 9.81
    assert links == pytest.approx(37.97, abs=0.01)
    assert whole - links == pytest.approx(208.9, abs=0.1)


def test_raising_that_axle_as_reckoned_by_another_hand():
    """Height 520 to 570 mm: 270.6 kg, 9.6% more."""
    raised = stability.load_transfer_n(750, 9.81, 570, 1580) / 9.81
    assert round(raised, 1) == 270.6
    assert raised / 246.8 == pytest.approx(1.096, abs=5e-4)


def test_static_stability_factor_reckoned_by_another_hand():
    """NHTSA's formula: track 1500, height 540 then 590 mm: 1.39, 1.27."""
    assert round(stability.static_stability_factor(1500, 540), 2) == 1.39
    assert round(stability.static_stability_factor(1500, stability.raised_cg_mm(540, 50, 0, 1)), 2) == 1.27


@pytest.mark.parametrize(
    ("factor", "stars"),
    [(1.45, 5), (1.44, 4), (1.25, 4), (1.24, 3), (1.13, 3), (1.12, 2), (1.04, 2), (1.03, 1)],
)
def test_stars_as_remembered(factor, stars):
    """NHTSA 2001 programme, 66 FR 3388: thresholds from memory."""
    assert stability.rollover_stars(factor) == stars


@settings(deadline=None)
@given(masses, heights, tracks)
def test_at_its_factor_in_g_the_inner_wheels_lift(mass, height, track):
    factor = stability.static_stability_factor(track, height)
    moved = stability.load_transfer_n(mass, factor * stability.GRAVITY, height, track)
    assert moved == pytest.approx(mass * stability.GRAVITY / 2)


@settings(deadline=None)
@given(heights, st.floats(0, 150), st.floats(0, 50), st.floats(0.5, 1))
def test_raising_lifts_the_centre_by_no_more_than_the_car(height, lift, gain, share):
    raised = stability.raised_cg_mm(height, lift, gain, share)
    assert height <= raised <= height + lift + gain + 1e-9


axles = st.builds(
    Axle,
    st.just("front"),
    st.floats(300, 800),
    st.floats(20, 120),
    st.floats(200, 400),
    st.floats(0, 250),
    st.floats(15000, 60000),
    st.just(1450.0),
)


@settings(deadline=None)
@given(axles, axles, st.floats(450, 700), st.floats(0.1, 0.9))
def test_parts_balance_the_moment_of_the_whole_car(front, rear, height, acceleration):
    """Load moved times track is the overturning moment, with the weight's own as the body leans."""
    bend = cornering(front, rear, height, acceleration)
    sideways = acceleration * stability.GRAVITY
    sprung = front.sprung_kg + rear.sprung_kg
    leaning = (
        sprung * stability.GRAVITY * (height - axis_height_mm(front, rear)) * bend.roll_deg / 57.29577951
    )
    overturning = sideways * (
        sprung * height + sum(each.unsprung_kg * each.unsprung_height_mm for each in (front, rear))
    )
    assert bend.total_n * 1450 == pytest.approx(overturning + leaning)


@settings(deadline=None)
@given(axles, axles, st.floats(0.1, 0.5))
def test_roll_and_transfer_grow_with_cornering(front, rear, acceleration):
    slow, fast = (cornering(front, rear, 550, each) for each in (acceleration, 2 * acceleration))
    assert fast.roll_deg == pytest.approx(2 * slow.roll_deg)
    assert fast.total_n == pytest.approx(2 * slow.total_n)


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: stability.static_stability_factor(0, 500), "above 0"),
        (lambda: stability.raised_cg_mm(500, 40, 0, 1.2), "at most 1"),
        (lambda: stability.load_transfer_n(1000, 5, 500, 0), "above 0"),
        (lambda: stability.elastic_transfer_n(1000, 5, 0), "above 0"),
        (lambda: stability.roll_gradient_deg_per_g(1500, 600, 2000), "falls over on its springs"),
    ],
)
def test_nonsense_is_refused(call, why):
    with pytest.raises(SumError, match=why):
        call()


STEADY = {"mass": "1100 kg", "cg-height": "540 mm", "track": "1400 mm"}


def test_nothing_raised_changes_nothing():
    values = run_sum("raising-stability", STEADY).values
    assert values["factor_change"] == 0
    assert values["cg_before"] == values["cg_after"]
    assert values["braking_before"] is None


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ({"lift": "200 mm", "cg-height": "700 mm"}, "Below 1.0"),
        ({"lift": "120 mm"}, "in a swerve"),
        ({"lift": "60 mm"}, "Stability falls by 9%"),
        ({"lift": "200 mm", "cg-height": "700 mm", "cornering": "1 g"}, "the car tips"),
    ],
)
def test_a_car_that_tips_sooner_is_warned_of(typed, word):
    result = run_sum("raising-stability", {**STEADY, **typed})
    assert any(word in warning for warning in result.warnings), result.warnings


ROLL = {
    "sprung-mass": "1280 kg", "sprung-height": "550 mm", "front-share": "54 %", "track": "1460 mm",
    "roll-stiffness": "28650 Nm/rad", "front-stiffness": "69.87 %", "front-roll-centre": "70 mm",
    "rear-roll-centre": "320 mm", "front-unsprung": "140 kg", "rear-unsprung": "180 kg",
    "front-unsprung-height": "280 mm", "rear-unsprung-height": "300 mm", "cornering": "0.6 g",
}  # fmt: skip


def test_the_printed_example_asked_as_a_sum():
    result = run_sum("raising-roll", ROLL)
    assert result.values["transfer_before"] == pytest.approx(1909 + 1649, rel=0.01)
    assert result.values["change"] == pytest.approx(0)
    raised = run_sum("raising-roll", {**ROLL, "lift": "40 mm"})
    assert raised.values["change"] > 0
    assert any("Roll centre after raising not given" in warning for warning in raised.warnings)


def test_a_mass_below_its_roll_axis_is_refused():
    with pytest.raises(SumError, match="sprung-height: 200 mm now must lie above the roll axis at"):
        run_sum("raising-roll", {**ROLL, "sprung-height": "200 mm", "rear-roll-centre": "600 mm"})


def test_an_inner_wheel_off_the_road_is_said_to_be():
    result = run_sum("raising-roll", {**ROLL, "cornering": "1.2 g", "lift": "100 mm"})
    assert any("off the road" in warning for warning in result.warnings)
