"""Driveshaft angles and plunge: worked examples, vectors in space, laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.raising import shafts

spans, drops, sweeps = st.floats(150, 800), st.floats(-150, 150), st.floats(0, 80)


def test_an_example_reckoned_by_another_hand():
    """Span 380, start at 4° (26.6 mm), lift 40: 9.94°, 4.9 mm longer; with 35° of lock 36.2°."""
    assert round(shafts.shaft_angle_deg(26.57, 380), 1) == 4.0
    assert round(shafts.shaft_angle_deg(66.6, 380), 2) == 9.94
    gain = shafts.shaft_length_mm(66.6, 380) - shafts.shaft_length_mm(26.57, 380)
    assert round(gain, 1) == 4.9
    assert round(shafts.outer_angle_deg(66.6, 380, steer_deg=35), 1) == 36.2


def test_a_cross_joint_swings_about_15_per_cent_at_30_degrees():
    """Driveshaft maker's page: about 15% either way at 30°."""
    ahead = shafts.speed_swing_percent(30)
    assert round(ahead) == 15
    # The slowest point is the reciprocal: cos 30° is 13.4% below.
    assert 1 / (1 + ahead / 100) == pytest.approx(np.cos(np.radians(30)))


@settings(deadline=None)
@given(drops, spans, sweeps, st.floats(0, 45), st.floats(-4, 4))
def test_outer_angle_is_that_of_two_vectors_in_space(drop, span, sweep, steer, camber):
    shaft = np.array([sweep, span, -drop])
    angles = []
    for delta in np.radians([steer, -steer]):
        spin = np.array([0, np.cos(np.radians(camber)), -np.sin(np.radians(camber))])
        turn = np.array([[np.cos(delta), np.sin(delta), 0], [-np.sin(delta), np.cos(delta), 0], [0, 0, 1]])
        along = shaft @ (turn @ spin) / np.linalg.norm(shaft)
        angles.append(np.degrees(np.arccos(np.clip(along, -1, 1))))
    # arccos loses figures near nought, which is why the code does not use it.
    assert shafts.outer_angle_deg(drop, span, sweep, steer, camber) == pytest.approx(max(angles), abs=1e-4)


@settings(deadline=None)
@given(drops, spans, st.floats(0, 45))
def test_without_sweep_and_camber_the_cosines_multiply(drop, span, steer):
    theta = np.radians(shafts.shaft_angle_deg(drop, span))
    expected = np.degrees(np.arccos(np.cos(theta) * np.cos(np.radians(steer))))
    assert shafts.outer_angle_deg(drop, span, steer_deg=steer) == pytest.approx(expected, abs=1e-4)


@settings(deadline=None)
@given(drops, spans, sweeps)
def test_length_and_angle_go_together(drop, span, sweep):
    angle = np.radians(shafts.shaft_angle_deg(drop, span, sweep))
    assert shafts.shaft_length_mm(drop, span, sweep) == pytest.approx(span / np.cos(angle))
    assert shafts.shaft_angle_deg(-drop, span, sweep) == shafts.shaft_angle_deg(drop, span, sweep)


@settings(deadline=None)
@given(st.floats(0, 80), st.floats(0, 80), spans)
def test_more_drop_is_more_angle_and_more_plunge(one, other, span):
    less, more = sorted((one, other))
    assert shafts.shaft_angle_deg(less, span) <= shafts.shaft_angle_deg(more, span)
    assert shafts.shaft_length_mm(less, span) <= shafts.shaft_length_mm(more, span)


def test_nonsense_is_refused():
    with pytest.raises(SumError, match="span 0 mm: must be above 0"):
        shafts.shaft_angle_deg(20, 0)
    with pytest.raises(SumError, match="must be 0 to 89"):
        shafts.speed_swing_percent(90)
