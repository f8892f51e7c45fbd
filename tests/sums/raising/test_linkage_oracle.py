"""The linkage against other ways to the same thing: SciPy on the constraints, and finite differences."""

import cmath
import math

import numpy as np
import pytest
from hypothesis import given, settings
from linkage_cases import STRUT, WISHBONE, corners, struts, travels, wishbones
from scipy.optimize import root

from onceapart.sums.raising import motion
from onceapart.sums.raising.linkage import at_strut_gain, at_travel, wheel_travel_mm


def _solved(equations, start):
    found = root(equations, start, tol=1e-11)
    residual = np.max(np.abs(found.fun))
    assert residual < 1e-6, found.message
    return found.x


def _carried(corner, lower, turn, point):
    return lower + (point - corner.lower_joint) * cmath.exp(1j * turn)


@settings(max_examples=60, deadline=None)
@given(wishbones, travels)
def test_double_wishbone_agrees_with_scipy_on_its_constraints(corner, travel):
    """Four unknown coordinates; equations: lengths of arms and carrier, height of the foot."""
    pose = at_travel(corner, travel)
    carrier = corner.upper_joint - corner.lower_joint

    def equations(unknown):
        lower, upper = complex(*unknown[:2]), complex(*unknown[2:])
        foot = lower + (corner.foot - corner.lower_joint) * (upper - lower) / carrier
        return [
            abs(lower - corner.lower_pivot) - abs(corner.lower_joint - corner.lower_pivot),
            abs(upper - corner.upper_pivot) - abs(corner.upper_joint - corner.upper_pivot),
            abs(upper - lower) - abs(carrier),
            foot.imag - travel,
        ]

    # Started from ride height moved by the travel, not from the answer.
    lower, upper = corner.lower_joint + 1j * travel, corner.upper_joint + 1j * travel
    found = _solved(equations, [lower.real, lower.imag, upper.real, upper.imag])
    assert pose.lower_joint == pytest.approx(complex(*found[:2]), abs=1e-4)
    assert pose.moved(corner.upper_joint) == pytest.approx(complex(*found[2:]), abs=1e-4)


@settings(max_examples=60, deadline=None)
@given(struts, travels)
def test_strut_agrees_with_scipy_on_its_constraints(corner, travel):
    """Unknown: lower joint, turn of the carrier. Equations: arm length, top on the axis, foot."""
    pose = at_travel(corner, travel)
    direction = corner.top - corner.axis_point

    def equations(unknown):
        lower, turn = complex(*unknown[:2]), unknown[2]
        on_axis = _carried(corner, lower, turn, corner.axis_point)
        axis = direction * cmath.exp(1j * turn)
        return [
            abs(lower - corner.lower_pivot) - abs(corner.lower_joint - corner.lower_pivot),
            ((corner.top - on_axis) * axis.conjugate()).imag / abs(axis),
            _carried(corner, lower, turn, corner.foot).imag - travel,
        ]

    start = corner.lower_joint + 1j * travel
    found = _solved(equations, [start.real, start.imag, 0.0])
    assert pose.lower_joint == pytest.approx(complex(*found[:2]), abs=1e-4)
    assert pose.carrier_turn_rad == pytest.approx(found[2], abs=1e-7)


def _poses_around(corner, travel, step=0.05):
    return at_travel(corner, travel - step), at_travel(corner, travel), at_travel(corner, travel + step)


@settings(max_examples=60, deadline=None)
@given(corners, travels)
def test_instant_centre_is_where_the_carrier_really_turns_about(corner, travel):
    """Finite differences: two points of the carrier move at right angles to their lines to the centre."""
    before, here, after = _poses_around(corner, travel)
    turn = after.carrier_turn_rad - before.carrier_turn_rad
    y, z, w = here.instant_centre
    for point in (corner.foot, corner.lower_joint, corner.foot + 300j):
        moved = after.moved(point) - before.moved(point)
        # Homogeneous, so that a centre far away costs no accuracy: the move is the turn about the centre.
        from_centre = w * here.moved(point) - complex(y, z)
        assert moved * w == pytest.approx(
            1j * turn * from_centre, abs=2e-5 * abs(from_centre) * abs(moved) / 0.1
        )


@settings(max_examples=60, deadline=None)
@given(corners, travels)
def test_camber_gain_and_roll_centre_match_finite_differences(corner, travel):
    before, here, after = _poses_around(corner, travel)
    rise = wheel_travel_mm(corner, after) - wheel_travel_mm(corner, before)
    gain = (motion.camber_deg(corner, after) - motion.camber_deg(corner, before)) / rise
    assert motion.camber_gain_deg_per_mm(corner, here) == pytest.approx(gain, abs=1e-5)
    # The foot moves at right angles to its line to the centre, which goes through the roll centre.
    inwards = (motion.half_track_mm(corner, after) - motion.half_track_mm(corner, before)) / rise
    height = motion.half_track_mm(corner, here) * inwards
    assert motion.roll_centre_mm(corner, here) == pytest.approx(height, abs=0.01)


@settings(max_examples=40, deadline=None)
@given(struts, travels)
def test_strut_travel_matches_its_lever_about_the_instant_centre(corner, travel):
    """Motion ratio: top from the centre over the swing arm, against finite differences."""
    before, here, after = _poses_around(corner, travel)
    rise = wheel_travel_mm(corner, after) - wheel_travel_mm(corner, before)
    ratio = (before.strut_gain_mm - after.strut_gain_mm) / rise
    y, z, w = here.instant_centre
    lever = abs(w * corner.top - complex(y, z)) / abs(w * motion.half_track_mm(corner, here) - y)
    assert ratio == pytest.approx(lever, rel=1e-4)
    assert at_strut_gain(corner, here.strut_gain_mm).lower_joint == pytest.approx(here.lower_joint, abs=1e-6)


def test_the_formulas_for_instant_centre_and_roll_centre_as_text_has_them():
    """Milliken ch. 17: intersection by slopes, (t/2) z / FVSA (construction in text, formulas derived)."""
    (yl, zl), (yo, zo) = ((p.real, p.imag) for p in (WISHBONE.lower_pivot, WISHBONE.lower_joint))
    (yu, zu), (yp, zp) = ((p.real, p.imag) for p in (WISHBONE.upper_pivot, WISHBONE.upper_joint))
    al, au = (zo - zl) / (yo - yl), (zp - zu) / (yp - yu)
    y_ic = (zu - zl + al * yl - au * yu) / (al - au)
    z_ic = zl + al * (y_ic - yl)
    arm = abs(700 - y_ic)
    pose = WISHBONE.pose(0.0)
    assert motion.swing_arm_mm(WISHBONE, pose) == pytest.approx(arm)
    assert motion.roll_centre_mm(WISHBONE, pose) == pytest.approx(700 * z_ic / arm)
    assert motion.camber_gain_deg_per_mm(WISHBONE, pose) == pytest.approx(-math.degrees(1 / arm))


def test_strut_instant_centre_as_drawn_by_hand():
    """The line across the strut at its top meets the line of the lower arm: solved with numpy."""
    axis = STRUT.top - STRUT.axis_point
    arm = STRUT.lower_joint - STRUT.lower_pivot
    across = axis * 1j
    steps = np.linalg.solve(
        [[across.real, -arm.real], [across.imag, -arm.imag]],
        [(STRUT.lower_pivot - STRUT.top).real, (STRUT.lower_pivot - STRUT.top).imag],
    )
    centre = STRUT.top + steps[0] * across
    y, z, w = STRUT.pose(0.0).instant_centre
    assert complex(y / w, z / w) == pytest.approx(centre)
