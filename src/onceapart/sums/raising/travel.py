"""A corner through its travel, before and after raising."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from onceapart.errors import SumError
from onceapart.sums.raising import motion, shafts
from onceapart.sums.raising.linkage import (
    Corner,
    Pose,
    Strut,
    at_strut_gain,
    at_travel,
    wheel_travel_mm,
)
from onceapart.sums.raising.shafts import Driveshaft, TrackRod


@dataclass(frozen=True)
class State:
    """A position and all that is asked of it."""

    corner: Corner
    pose: Pose
    shaft: Driveshaft | None
    rod: TrackRod | None
    lock_deg: float
    """Steering angle at full lock."""

    @cached_property
    def travel_mm(self) -> float:
        """From ride height before raising, up positive."""
        return wheel_travel_mm(self.corner, self.pose)

    @cached_property
    def camber_deg(self) -> float:
        """Negative if the top leans in."""
        return motion.camber_deg(self.corner, self.pose)

    @cached_property
    def track_mm(self) -> float:
        """Track width, both sides alike."""
        return 2 * motion.half_track_mm(self.corner, self.pose)

    @cached_property
    def roll_centre_mm(self) -> float:
        """Above the road."""
        return motion.roll_centre_mm(self.corner, self.pose)

    @cached_property
    def lower_joint_deg(self) -> float:
        """From ride height before raising."""
        return motion.lower_joint_deg(self.pose)

    @cached_property
    def upper_joint_deg(self) -> float:
        """From ride height before raising."""
        return motion.upper_joint_deg(self.pose)

    @cached_property
    def _shaft_reach(self) -> tuple[float, float, float] | None:
        """Outer joint below, outboard and before the inner, mm."""
        if self.shaft is None:
            return None
        outer = self.pose.moved(self.shaft.outer)
        away = outer - self.shaft.inner
        return -away.imag, away.real, self.shaft.sweep_mm

    @cached_property
    def inner_joint_deg(self) -> float | None:
        """Angle of the inner driveshaft joint."""
        return None if self._shaft_reach is None else shafts.shaft_angle_deg(*self._shaft_reach)

    @cached_property
    def outer_joint_deg(self) -> float | None:
        """Angle of the outer driveshaft joint, straight ahead."""
        if self._shaft_reach is None:
            return None
        return shafts.outer_angle_deg(*self._shaft_reach, 0.0, self.camber_deg)

    @cached_property
    def outer_joint_at_lock_deg(self) -> float | None:
        """Angle of the outer driveshaft joint at full lock."""
        if self._shaft_reach is None:
            return None
        return shafts.outer_angle_deg(*self._shaft_reach, self.lock_deg, self.camber_deg)

    @cached_property
    def plunge_mm(self) -> float | None:
        """How far the inner joint is drawn out since ride height before raising."""
        if self.shaft is None or self._shaft_reach is None:
            return None
        away = self.shaft.outer - self.shaft.inner
        before = shafts.shaft_length_mm(-away.imag, away.real, self.shaft.sweep_mm)
        return shafts.shaft_length_mm(*self._shaft_reach) - before

    @cached_property
    def toe_in_deg(self) -> float | None:
        """Toe-in that travel brought one wheel since ride height before raising."""
        return None if self.rod is None else self.rod.toe_in_deg(self.pose.moved(self.rod.outer))


@dataclass(frozen=True)
class Setting:
    """A corner with its ride height and the ends of its travel; travel is from ride height before raising."""

    corner: Corner
    ride: Pose
    lowest: Pose
    highest: Pose
    shaft: Driveshaft | None = None
    rod: TrackRod | None = None
    lock_deg: float = 0.0

    def state(self, pose: Pose) -> State:
        """What a position is like."""
        return State(self.corner, pose, self.shaft, self.rod, self.lock_deg)

    @cached_property
    def at_ride(self) -> State:
        """Car standing."""
        return self.state(self.ride)

    @property
    def droop_mm(self) -> float:
        """Travel from ride height down."""
        return wheel_travel_mm(self.corner, self.ride) - wheel_travel_mm(self.corner, self.lowest)

    @property
    def bump_mm(self) -> float:
        """Travel from ride height up."""
        return wheel_travel_mm(self.corner, self.highest) - wheel_travel_mm(self.corner, self.ride)

    def through(self, below: int, above: int) -> tuple[State, ...]:
        """From full droop to full bump, with so many even steps below ride height and above it."""
        ride = wheel_travel_mm(self.corner, self.ride)
        marks = [ride - self.droop_mm * (below - step) / below for step in range(below)]
        marks += [ride + self.bump_mm * step / above for step in range(1, above + 1)]
        poses = [at_travel(self.corner, mark) for mark in marks]
        return tuple(self.state(pose) for pose in (*poses[:below], self.ride, *poses[below:]))

    @cached_property
    def samples(self) -> tuple[State, ...]:
        """Fine enough to find the worst of anything."""
        return self.through(12, 12)


def as_it_was(
    corner: Corner,
    droop_mm: float,
    bump_mm: float,
    shaft: Driveshaft | None,
    rod: TrackRod | None,
    lock_deg: float,
) -> Setting:
    """The corner before raising."""
    return Setting(
        corner,
        corner.pose(0.0),
        at_travel(corner, -droop_mm),
        at_travel(corner, bump_mm),
        shaft,
        rod,
        lock_deg,
    )


def raised(
    before: Setting, lift_mm: float, *, shifts_travel: bool, pivot_drop_mm: float, tyre_gain_mm: float
) -> Setting:
    """The corner raised by so much at the spring.

    ``shifts_travel``: the damper is let down as well (spacer above the whole unit), so that both ends of the
    travel go down by the lift; otherwise they stay where they are.
    """
    corner = replace(before.corner, pivot_drop_mm=pivot_drop_mm, tyre_gain_mm=tyre_gain_mm)
    if not shifts_travel and lift_mm >= before.droop_mm:
        raise SumError(
            f"lift {lift_mm:.0f} mm: must be less than the droop of {before.droop_mm:.0f} mm, or the "
            "wheel hangs on its damper; take less lift, or longer dampers (more droop)"
        )
    shift = lift_mm if shifts_travel else 0.0
    return replace(
        before,
        corner=corner,
        ride=at_travel(corner, -lift_mm),
        lowest=at_travel(corner, -before.droop_mm - shift),
        highest=at_travel(corner, before.bump_mm - shift),
    )


def raised_strut(
    before: Setting, *, top_spacer_mm: float, longer_mm: float, pivot_drop_mm: float, tyre_gain_mm: float
) -> Setting:
    """A strut raised by a spacer over its top mount, or by standing longer on its spring, or both.

    The damper keeps its shortest and longest length, so that a spacer takes both ends of the travel down.
    """
    corner = before.corner
    assert isinstance(corner, Strut)
    if longer_mm >= before.lowest.strut_gain_mm:
        raise SumError(
            f"longer-spring {longer_mm:.0f} mm: must be less than the "
            f"{before.lowest.strut_gain_mm:.0f} mm the damper still draws out, or the wheel hangs on it; "
            "take less, or longer dampers (more droop)"
        )
    now = replace(corner, top_drop_mm=top_spacer_mm, pivot_drop_mm=pivot_drop_mm, tyre_gain_mm=tyre_gain_mm)
    return replace(
        before,
        corner=now,
        ride=at_strut_gain(now, longer_mm),
        lowest=at_strut_gain(now, before.lowest.strut_gain_mm),
        highest=at_strut_gain(now, before.highest.strut_gain_mm),
    )
