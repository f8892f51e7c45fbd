"""One corner in the front view: double wishbone or strut, in closed form for any angle of the lower arm.

The body stands still and the wheel moves. All points are given as they are at ride height before raising.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from onceapart.errors import SumError
from onceapart.sums.raising.plane import (
    Line,
    UnreachableError,
    circle_crossings,
    cross,
    line_across,
    line_through,
    turn_between,
)

_STEP = math.radians(1)
_FINEST = math.radians(0.001)
_FURTHEST = math.radians(75)
"""Turn of the lower arm at which the search for a position gives up."""
_DEAD_POINT = "the wheel cannot get there, as the linkage comes to a dead point before"


@dataclass(frozen=True)
class Pose:
    """Where the wheel carrier is: it has moved as a stiff body."""

    arm_turn_rad: float
    """Turn of the lower arm from ride height, up positive."""
    lower_joint_from: complex
    lower_joint: complex
    carrier_turn_rad: float
    """Turn of the wheel carrier; positive brings the top of the wheel inwards."""
    upper_line: Line
    """The upper arm, or for a strut the line across it at its top."""
    lower_line: Line
    upper_turn_rad: float
    """Turn of the upper arm or of the strut's axis."""
    strut_gain_mm: float = 0.0
    """How much longer the strut is than at ride height."""
    is_strut: bool = False

    def moved(self, point: complex) -> complex:
        """Where a point of the wheel carrier has gone."""
        away = (point - self.lower_joint_from) * cmath.exp(1j * self.carrier_turn_rad)
        return self.lower_joint + away

    @property
    def instant_centre(self) -> Line:
        """The point the wheel carrier turns about; at infinity if the arms are parallel."""
        return cross(self.lower_line, self.upper_line)


@dataclass(frozen=True, kw_only=True)
class Corner:
    """What both kinds of corner have."""

    lower_pivot: complex
    lower_joint: complex
    foot: complex
    """Middle of the tyre's contact with the road."""
    camber_deg: float = 0.0
    """At ride height; negative if the top leans in."""
    tyre_gain_mm: float = 0.0
    """How much larger the tyre's radius is than when the points were measured."""
    pivot_drop_mm: float = 0.0
    """How far the lower pivot was let down from the body."""

    @cached_property
    def tread(self) -> complex:
        """Where the tyre now meets the road, as a point of the wheel carrier at ride height."""
        tilt = math.radians(self.camber_deg)
        return self.foot - self.tyre_gain_mm * complex(math.sin(tilt), math.cos(tilt))

    @property
    def pivot(self) -> complex:
        """The lower pivot as it is."""
        return self.lower_pivot - 1j * self.pivot_drop_mm

    def pose(self, arm_turn_rad: float) -> Pose:
        """The position at a turn of the lower arm from its angle at ride height."""
        raise NotImplementedError

    def _joint_at(self, arm_turn_rad: float) -> complex:
        return self.pivot + (self.lower_joint - self.lower_pivot) * cmath.exp(1j * arm_turn_rad)


@dataclass(frozen=True, kw_only=True)
class DoubleWishbone(Corner):
    """Two arms, one over the other."""

    upper_pivot: complex
    upper_joint: complex

    def pose(self, arm_turn_rad: float) -> Pose:
        """Upper joint where the circle of the upper arm crosses that of the wheel carrier."""
        lower = self._joint_at(arm_turn_rad)
        carrier, arm = self.upper_joint - self.lower_joint, self.upper_joint - self.upper_pivot
        left, right = circle_crossings(self.upper_pivot, abs(arm), lower, abs(carrier))
        # The linkage cannot jump from one crossing to the other: it keeps to its side at ride height.
        is_left = (arm.conjugate() * (self.lower_joint - self.upper_joint)).imag < 0
        upper = left if is_left else right
        return Pose(
            arm_turn_rad=arm_turn_rad,
            lower_joint_from=self.lower_joint,
            lower_joint=lower,
            carrier_turn_rad=turn_between(carrier, upper - lower),
            upper_line=line_through(self.upper_pivot, upper),
            lower_line=line_through(self.pivot, lower),
            upper_turn_rad=turn_between(arm, upper - self.upper_pivot),
        )


@dataclass(frozen=True, kw_only=True)
class Strut(Corner):
    """A lower arm, and a damper strut that is one with the wheel carrier and slides through its top mount."""

    top: complex
    axis_point: complex
    """Any other point on the strut's axis."""
    top_drop_mm: float = 0.0
    """How far a spacer let the top mount down from the body."""

    @cached_property
    def _axis(self) -> complex:
        """Direction of the strut at ride height, upwards, of length one."""
        along = self.top - self.axis_point
        return along / abs(along)

    @cached_property
    def _foot_from_top(self) -> complex:
        """Lower joint from the top mount, along the strut and across it; across never changes."""
        return self._axis.conjugate() * (self.lower_joint - self.top)

    def pose(self, arm_turn_rad: float) -> Pose:
        """Axis of the strut through its top mount, past the lower joint at the distance it always has."""
        lower, top = self._joint_at(arm_turn_rad), self.top - 1j * self.top_drop_mm
        away, offset = lower - top, self._foot_from_top.imag
        square = abs(away) ** 2 - offset**2
        if square <= 0:
            raise UnreachableError("the strut folds up before that")
        length = math.sqrt(square)
        axis = (complex(-length, offset) / away).conjugate()
        turn = turn_between(self._axis, axis)
        return Pose(
            arm_turn_rad=arm_turn_rad,
            lower_joint_from=self.lower_joint,
            lower_joint=lower,
            carrier_turn_rad=turn,
            upper_line=line_across(top, axis),
            lower_line=line_through(self.pivot, lower),
            upper_turn_rad=turn,
            strut_gain_mm=length + self._foot_from_top.real,
            is_strut=True,
        )


def wheel_travel_mm(corner: Corner, pose: Pose) -> float:
    """How far the wheel has come up from ride height, seen from the body.

    Parameters
    ----------
    corner : Corner
        The corner.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Travel of the middle of the contact patch, up positive. [mm]

    Examples
    --------
    >>> arm = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=350+420j,
    ...     upper_joint=620+420j, foot=700+0j)
    >>> abs(wheel_travel_mm(arm, arm.pose(0.0))) < 1e-9
    True

    References
    ----------
    .. [1] Geometry; no document.
    """
    return pose.moved(corner.foot).imag - corner.foot.imag


def _following(
    corner: Corner, measure: Callable[[Pose], float], turn_rad: float, target: float
) -> tuple[float | None, str]:
    """The measure less its target, or why there is none."""
    if abs(turn_rad) > _FURTHEST:
        return None, "the arm would stand on end"
    try:
        return measure(corner.pose(turn_rad)) - target, ""
    except UnreachableError as error:
        return None, str(error)


def position(corner: Corner, measure: Callable[[Pose], float], target: float, words: str) -> Pose:
    """The position at which a measure that grows with bump has a value.

    Raises
    ------
    SumError
        The linkage does not get there.

    Notes
    -----
    Steps of a degree from ride height until the value is passed, finer before a dead point, then halving.
    The steps also make sure that no dead point lies on the way. Loading SciPy for one root would take ten
    times as long as the whole sum; tests compare with its solvers.
    """
    way_out = "check the coordinates or take less travel"
    at, refusal = _following(corner, measure, 0.0, target)
    if at is None:
        raise SumError(f"{words}: {refusal}; {way_out}")
    if at == 0:
        return corner.pose(0.0)
    way = -1.0 if at > 0 else 1.0
    turn, step = 0.0, _STEP
    low = high = 0.0
    while at * way < 0:
        following, refusal = _following(corner, measure, turn + way * step, target)
        if following is None or (following - at) * way <= 0:
            # Past the last position there is, or past a dead point: the target may still lie before it.
            step /= 4
            if step < _FINEST:
                raise SumError(f"{words}: {refusal or _DEAD_POINT}; {way_out}")
            continue
        low, high = sorted((turn, turn + way * step))
        turn += way * step
        at = following
    for _ in range(60):
        middle = (low + high) / 2
        if measure(corner.pose(middle)) < target:
            low = middle
        else:
            high = middle
    return corner.pose((low + high) / 2)


def at_travel(corner: Corner, travel_mm: float) -> Pose:
    """The position at a travel of the wheel from ride height, up positive."""
    words = f"{abs(travel_mm):.0f} mm of {'bump' if travel_mm > 0 else 'droop'}"
    return position(corner, lambda pose: wheel_travel_mm(corner, pose), travel_mm, words)


def at_strut_gain(corner: Strut, gain_mm: float) -> Pose:
    """The position at which the strut is so much longer than at ride height."""
    words = f"strut {abs(gain_mm):.0f} mm {'longer' if gain_mm > 0 else 'shorter'}"
    return position(corner, lambda pose: -pose.strut_gain_mm, -gain_mm, words)
