"""What must hold of any linkage, its shafts and its track rod; and edges that are refused."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linkage_cases import STRUT, WISHBONE, corners, travels, wishbones

from onceapart.errors import SumError
from onceapart.sums.raising import motion
from onceapart.sums.raising.linkage import DoubleWishbone, at_strut_gain, at_travel, wheel_travel_mm
from onceapart.sums.raising.shafts import Driveshaft, TrackRod
from onceapart.sums.raising.travel import as_it_was, raised, raised_strut

few = settings(max_examples=40, deadline=None)


@few
@given(corners, travels)
def test_the_wheel_goes_where_it_was_asked_to(corner, travel):
    assert wheel_travel_mm(corner, at_travel(corner, travel)) == pytest.approx(travel, abs=1e-6)


@few
@given(corners, travels)
def test_links_and_carrier_stay_stiff(corner, travel):
    pose = at_travel(corner, travel)
    arm = abs(corner.lower_joint - corner.lower_pivot)
    assert abs(pose.lower_joint - corner.lower_pivot) == pytest.approx(arm)
    for one, other in ((corner.foot, corner.lower_joint), (corner.foot, corner.foot + 500j)):
        assert abs(pose.moved(one) - pose.moved(other)) == pytest.approx(abs(one - other))
    if isinstance(corner, DoubleWishbone):
        upper = pose.moved(corner.upper_joint)
        assert abs(upper - corner.upper_pivot) == pytest.approx(abs(corner.upper_joint - corner.upper_pivot))


def _mirrored(point):
    return complex(-point.real, point.imag)


@few
@given(wishbones, st.floats(-0.2, 0.2))
def test_the_left_side_is_the_mirror_of_the_right(corner, turn):
    left = DoubleWishbone(
        lower_pivot=_mirrored(corner.lower_pivot),
        lower_joint=_mirrored(corner.lower_joint),
        upper_pivot=_mirrored(corner.upper_pivot),
        upper_joint=_mirrored(corner.upper_joint),
        foot=_mirrored(corner.foot),
    )
    here, there = corner.pose(turn), left.pose(-turn)
    assert there.moved(left.upper_joint) == pytest.approx(_mirrored(here.moved(corner.upper_joint)))
    assert there.carrier_turn_rad == pytest.approx(-here.carrier_turn_rad, abs=1e-12)
    assert motion.roll_centre_mm(left, there) == pytest.approx(motion.roll_centre_mm(corner, here))


@few
@given(wishbones, travels)
def test_twice_the_car_has_the_same_angles(corner, travel):
    big = DoubleWishbone(
        lower_pivot=2 * corner.lower_pivot,
        lower_joint=2 * corner.lower_joint,
        upper_pivot=2 * corner.upper_pivot,
        upper_joint=2 * corner.upper_joint,
        foot=2 * corner.foot,
        camber_deg=corner.camber_deg,
    )
    here, there = at_travel(corner, travel), at_travel(big, 2 * travel)
    assert motion.camber_deg(big, there) == pytest.approx(motion.camber_deg(corner, here))
    assert motion.roll_centre_mm(big, there) == pytest.approx(
        2 * motion.roll_centre_mm(corner, here), abs=1e-3
    )


@few
@given(st.floats(-0.4, 0.4), st.floats(0, 60))
def test_equal_parallel_arms_keep_the_camber_and_swing_the_wheel_on_their_circle(turn, rise):
    level = DoubleWishbone(
        lower_pivot=300 + 200j,
        lower_joint=complex(650, 200 + rise),
        upper_pivot=300 + 420j,
        upper_joint=complex(650, 420 + rise),
        foot=700 + 0j,
    )
    pose = level.pose(turn)
    assert motion.camber_deg(level, pose) == pytest.approx(0, abs=1e-9)
    assert motion.swing_arm_mm(level, pose) == math.inf
    assert motion.camber_gain_deg_per_mm(level, pose) == 0
    # No instant centre: the line from the contact patch runs parallel to the arms.
    slope = math.tan(math.radians(motion.lower_arm_deg(pose)))
    assert motion.roll_centre_mm(level, pose) == pytest.approx(
        -motion.half_track_mm(level, pose) * slope, abs=1e-6
    )


@few
@given(corners, travels)
def test_a_track_rod_beside_the_lower_arm_gives_no_toe(corner, travel):
    """The ideal place: its joints move on the same circle as those of the arm."""
    rod = TrackRod(corner.lower_pivot, corner.lower_joint, 120.0, is_behind=True)
    pose = at_travel(corner, travel)
    assert rod.toe_in_deg(pose.moved(corner.lower_joint)) == pytest.approx(0, abs=1e-5)


def test_a_short_level_rod_pulls_the_wheel_the_way_it_must():
    """Rod half as long as the arms: its end swings in faster, so behind the axle the wheel toes out."""
    level = DoubleWishbone(
        lower_pivot=300 + 200j,
        lower_joint=650 + 200j,
        upper_pivot=300 + 420j,
        upper_joint=650 + 420j,
        foot=700 + 0j,
    )
    pose = at_travel(level, -60)
    behind = TrackRod(475 + 250j, 650 + 250j, 120.0, is_behind=True)
    ahead = replace(behind, is_behind=False)
    moved = pose.moved(behind.outer)
    assert behind.toe_in_deg(moved) < 0
    assert ahead.toe_in_deg(moved) == -behind.toe_in_deg(moved)
    # By hand: the arm end comes in by 350 - sqrt(350² - 60²), the rod's by 175 - sqrt(175² - 60²).
    pulled = (175 - math.sqrt(175**2 - 60**2)) - (350 - math.sqrt(350**2 - 60**2))
    assert behind.toe_in_deg(moved) == pytest.approx(-math.degrees(math.asin(pulled / 120)))


def _setting(corner, droop=90.0, bump=80.0):
    shaft = Driveshaft(240 + 285j, 630 + 280j)
    return as_it_was(corner, droop, bump, shaft, None, 33.0)


def test_a_spring_uses_up_droop_and_keeps_the_worst_places():
    before = _setting(WISHBONE)
    after = raised(before, 40, shifts_travel=False, pivot_drop_mm=0, tyre_gain_mm=0)
    assert (after.droop_mm, after.bump_mm) == pytest.approx((50, 120))
    assert after.samples[0].lower_joint_deg == pytest.approx(before.samples[0].lower_joint_deg)
    assert after.at_ride.lower_joint_deg < before.at_ride.lower_joint_deg


def test_a_spacer_over_the_unit_keeps_droop_and_takes_the_joints_further():
    before = _setting(WISHBONE)
    after = raised(before, 40, shifts_travel=True, pivot_drop_mm=0, tyre_gain_mm=0)
    assert (after.droop_mm, after.bump_mm) == pytest.approx((90, 80))
    assert after.samples[0].lower_joint_deg < before.samples[0].lower_joint_deg - 5


def test_a_spacer_over_a_strut_lifts_by_about_itself_and_keeps_the_damper_ends():
    before = _setting(STRUT, 85)
    after = raised_strut(before, top_spacer_mm=30, longer_mm=0, pivot_drop_mm=0, tyre_gain_mm=0)
    lift = -motion.road_mm(after.corner, after.ride)
    assert 30 <= lift <= 30 / 0.95  # motion ratio 0.95 to 1: common practice
    assert after.ride.strut_gain_mm == pytest.approx(0, abs=1e-9)
    assert after.lowest.strut_gain_mm == pytest.approx(before.lowest.strut_gain_mm)
    longer = raised_strut(before, top_spacer_mm=0, longer_mm=30, pivot_drop_mm=0, tyre_gain_mm=0)
    assert longer.droop_mm < before.droop_mm - 28
    assert longer.lowest.lower_joint == pytest.approx(before.lowest.lower_joint)


@few
@given(st.floats(0, 60), st.floats(0, 25))
def test_raising_further_never_levels_the_arm_or_the_shaft(lift, more):
    before = _setting(WISHBONE)
    less, further = (
        raised(before, each, shifts_travel=False, pivot_drop_mm=0, tyre_gain_mm=0).at_ride
        for each in (lift, lift + more)
    )
    assert motion.lower_arm_deg(further.pose) <= motion.lower_arm_deg(less.pose) + 1e-9
    assert further.travel_mm <= less.travel_mm + 1e-9


def test_a_larger_tyre_raises_all_and_moves_no_joint():
    before = _setting(WISHBONE)
    after = raised(before, 0, shifts_travel=False, pivot_drop_mm=0, tyre_gain_mm=11)
    assert motion.road_mm(after.corner, after.ride) == pytest.approx(-11, abs=1e-3)
    assert after.at_ride.lower_joint_deg == pytest.approx(0)
    assert after.at_ride.plunge_mm == pytest.approx(0)
    assert after.at_ride.roll_centre_mm > before.at_ride.roll_centre_mm


def test_letting_the_pivot_down_by_the_lift_levels_the_arm_again():
    before = _setting(WISHBONE)
    plain = raised(before, 40, shifts_travel=False, pivot_drop_mm=0, tyre_gain_mm=0)
    dropped = raised(before, 40, shifts_travel=False, pivot_drop_mm=40, tyre_gain_mm=0)
    arms = [motion.lower_arm_deg(each.ride) for each in (before, plain, dropped)]
    assert arms[1] < arms[2] - 5
    assert arms[2] == pytest.approx(arms[0], abs=1.0)


def test_travel_beyond_the_linkage_is_refused():
    with pytest.raises(SumError, match=r"300 mm of droop: .*check the coordinates or take less travel"):
        at_travel(WISHBONE, -300)
    with pytest.raises(SumError, match="900 mm of bump"):
        at_travel(STRUT, 900)
    with pytest.raises(SumError, match="strut 600 mm longer"):
        at_strut_gain(STRUT, 600)


def test_lift_beyond_the_droop_is_refused():
    before = _setting(WISHBONE)
    with pytest.raises(SumError, match="lift 95 mm: must be less than the droop of 90 mm"):
        raised(before, 95, shifts_travel=False, pivot_drop_mm=0, tyre_gain_mm=0)
    with pytest.raises(SumError, match="longer-spring 95 mm: must be less than"):
        raised_strut(_setting(STRUT), top_spacer_mm=0, longer_mm=95, pivot_drop_mm=0, tyre_gain_mm=0)


def test_a_rod_that_cannot_be_is_refused():
    rod = TrackRod(475 + 250j, 650 + 250j, 50.0, is_behind=True)
    with pytest.raises(SumError, match="straight down"):
        rod.toe_in_deg(650 + 0j)
    with pytest.raises(SumError, match="right round"):
        rod.toe_in_deg(750 + 250j)
