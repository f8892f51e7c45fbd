"""Axle loads, adhesion and locking."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from onceapart.errors import SumError
from onceapart.sums.brakes import axles
from onceapart.sums.brakes.axles import Stance
from onceapart.sums.run import run_sum

stances = st.builds(
    Stance, st.floats(500, 3000), st.floats(0.4, 0.7), st.floats(1800, 3500), st.floats(300, 900)
)
shares = st.floats(0.4, 0.95)


def test_load_transfer_of_a_published_example():
    """Automotive Chassis Engineering (page seen): 750 kg, 1 g, 0.52 m over 1.58 m, 246.8 kg."""
    assert f"{axles.load_transfer_kg(750, 1, 520, 1580):.1f}" == "246.8"


@given(stances, st.floats(0, 0.9))
def test_loads_against_forces_and_moments(stance, deceleration):
    """Two equations: the loads carry the weight, and their moment holds up the one of the inertia force."""
    assume(stance.front_static + deceleration * stance.slope < 0.99)
    base, height = stance.wheelbase_mm, stance.height_mm
    behind_front = (1 - stance.front_static) * base
    # Moments about the front contact: rear load × base = weight × distance - inertia × height.
    _, rear = np.linalg.solve([[1, 1], [0, base]], [1, behind_front - deceleration * height])
    assert axles.front_load_share(stance, deceleration) == pytest.approx(1 - rear)
    moved = axles.load_transfer_kg(stance.mass_kg, deceleration, height, base) / stance.mass_kg
    assert axles.front_load_share(stance, deceleration) - stance.front_static == pytest.approx(moved)


@given(stances, st.floats(0.01, 0.8))
def test_braking_shared_like_the_loads_uses_both_axles_alike(stance, deceleration):
    assume(stance.front_static + deceleration * stance.slope < 0.99)
    ideal = axles.front_load_share(stance, deceleration)
    assert axles.adhesion_used(stance, ideal, deceleration) == pytest.approx((deceleration, deceleration))


@given(stances, shares, st.floats(0.1, 1.0))
def test_locking_against_a_root_finder(stance, share, friction):
    """An axle locks where it asks just the road's friction."""
    lifts = (1 - stance.front_static) / stance.slope
    found = axles.lock_deceleration_g(stance, share, friction)
    for axle in (0, 1):
        gap = lambda z, axle=axle: axles.adhesion_used(stance, share, z)[axle] - friction  # noqa: E731
        top = lifts * (1 - 1e-9)
        if gap(top) < 0:
            assert found[axle] >= top * (1 - 1e-6)
        else:
            assert found[axle] == pytest.approx(brentq(gap, 0, top), rel=1e-6)


@given(stances, shares, st.floats(0.1, 1.0))
def test_no_car_brakes_harder_than_the_road_allows(stance, share, friction):
    assert min(axles.lock_deceleration_g(stance, share, friction)) <= friction * (1 + 1e-9)


@given(stances, shares)
def test_at_the_critical_deceleration_both_use_the_same(stance, share):
    critical = axles.critical_deceleration_g(stance, share)
    assume(critical > 0.01 and stance.front_static + critical * stance.slope < 0.99)
    front, rear = axles.adhesion_used(stance, share, critical)
    assert front == pytest.approx(rear)
    above_front, above_rear = axles.adhesion_used(stance, share, critical * 1.01)
    assert above_rear > above_front


def test_an_axle_that_never_locks_is_infinite():
    front, rear = axles.lock_deceleration_g(Stance(1000, 0.5, 2000, 900), 0.3, 0.9)
    assert front == math.inf
    assert rear < 0.9


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: Stance(1000, 1.2, 2500, 550), "check them"),
        (lambda: axles.front_load_share(Stance(1000, 0.6, 2500, 550), 2), "rear wheels leave the road"),
        (lambda: axles.adhesion_used(Stance(1000, 0.6, 2500, 550), 1.1, 0.5), "must be 0 to 1"),
        (lambda: axles.lock_deceleration_g(Stance(1000, 0.6, 2500, 550), 0.7, 0), "above 0"),
        (lambda: axles.approval_adhesion(0.6), "0.1 to 0.52"),
        (lambda: axles.load_transfer_kg(0, 1, 1, 1), "above 0"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


CAR = {"mass": "1280 kg", "front-weight": "60 %", "wheelbase": "2500 mm"}


@pytest.mark.parametrize(("share", "verdict"), [("85 %", "front locks first"), ("65 %", "rear locks first")])
def test_verdict_by_share(share, verdict):
    result = run_sum("brake-balance", {**CAR, "front-share": share})
    assert result.verdict == verdict
    assert any("spin" in each for each in result.warnings) == (verdict == "rear locks first")


@pytest.mark.parametrize(("share", "axle"), [("100 %", "front"), ("55 %", "rear")])
def test_one_axle_that_is_always_first_has_no_turning_point(share, axle):
    result = run_sum("brake-balance", {**CAR, "front-share": share})
    assert result.values["critical"] is None
    assert f"The {axle} locks first at every deceleration." in result.reasons


def test_forces_give_the_share():
    by_force = run_sum("brake-balance", {**CAR, "front-force": "4.5 kN", "rear-force": "1.5 kN"})
    by_share = run_sum("brake-balance", {**CAR, "front-share": "75 %"})
    assert by_force.values == by_share.values


def test_raising_the_car_takes_load_off_the_rear():
    low = run_sum("brake-balance", {**CAR, "front-share": "75 %"}).values
    high = run_sum("brake-balance", {**CAR, "front-share": "75 %", "height": "600 mm"}).values
    assert high["rear_load"] < low["rear_load"]
    assert high["critical"] < low["critical"]


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({}, "give it, or the braking force of both"),
        ({"front-share": "70 %", "front-force": "3 kN"}, "one or the other"),
        ({"front-force": "0 kN", "rear-force": "0 kN"}, "no share"),
        ({"front-share": "70 %", "front-weight": "75 %", "deceleration": "1.2 g"}, "leave the road"),
    ],
)
def test_balance_refuses_what_does_not_go_together(change, rule):
    with pytest.raises(SumError, match=rule):
        run_sum("brake-balance", {**CAR, **change})
