"""Driveshaft and track rod: joint angles, plunge, and the toe that travel brings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onceapart.errors import SumError

FIXED_LIMIT_DEG = (47.0, 50.0)
"""Outer (fixed) constant-velocity joint: 47 to 50° at most, two pages seen."""
INNER_LIMIT_DEG = {"tripod": (26.0, 26.0), "ball": (22.0, 23.0), "unknown": (22.0, 26.0)}
"""Plunging joints: tripod about 26°, one page seen; ball 22 to 23°, from memory; unknown: either."""
CONTINUOUS_LIMIT_DEG = 8.0
"""Angle straight ahead that a joint lives with, 5 to 8°, from memory."""
BALL_JOINT_LIMIT_DEG = (20.0, 30.0)
"""Suspension ball joint: 20 to 30° either way, from memory; always measure."""


def shaft_angle_deg(drop_mm: float, span_mm: float, sweep_mm: float = 0.0) -> float:
    r"""Angle of a driveshaft to the line across the car.

    Parameters
    ----------
    drop_mm : float
        How far the outer joint lies below the inner. [mm]
    span_mm : float
        Distance of the joints across the car. [mm]
    sweep_mm : float
        How far the outer joint lies before or behind the inner. [mm]

    Returns
    -------
    float
        Angle of the inner joint; of the outer too with the wheel upright and straight ahead. [°]

    Notes
    -----
    :math:`\tan\theta = \sqrt{\Delta z^2 + \Delta x^2} / L`.

    Examples
    --------
    >>> round(shaft_angle_deg(66.6, 380), 2)
    9.94

    References
    ----------
    .. [1] Geometry; no document.
    """
    if span_mm <= 0:
        raise SumError(f"span {span_mm:g} mm: must be above 0; measure between the middles of the joints")
    return math.degrees(math.atan2(math.hypot(drop_mm, sweep_mm), span_mm))


def shaft_length_mm(drop_mm: float, span_mm: float, sweep_mm: float = 0.0) -> float:
    r"""Distance of the middles of the two joints.

    Parameters
    ----------
    drop_mm, span_mm, sweep_mm : float
        Outer joint below the inner, outboard of it, and before or behind it. [mm]

    Returns
    -------
    float
        Distance. What it gains on raising, the inner joint has to let out. [mm]

    Notes
    -----
    :math:`L / \cos\theta` if the joints lie in one line across the car.

    Examples
    --------
    >>> round(shaft_length_mm(66.57, 380) - shaft_length_mm(26.57, 380), 1)
    4.9

    References
    ----------
    .. [1] Geometry; no document.
    """
    return math.hypot(drop_mm, span_mm, sweep_mm)


def outer_angle_deg(
    drop_mm: float, span_mm: float, sweep_mm: float = 0.0, steer_deg: float = 0.0, camber_deg: float = 0.0
) -> float:
    r"""Angle of the outer joint, wheel steered to the worse side.

    Parameters
    ----------
    drop_mm, span_mm, sweep_mm : float
        Outer joint below the inner, outboard of it, and before or behind it. [mm]
    steer_deg : float
        Steering angle of the wheel. [°]
    camber_deg : float
        Camber of the wheel. [°]

    Returns
    -------
    float
        Angle between shaft and wheel axis. [°]

    Notes
    -----
    :math:`\cos\theta_{tot} = \cos\theta \cos\delta` without sweep and camber; in general the angle between
    the two directions in space. The steering axis is taken as upright.

    Examples
    --------
    >>> round(outer_angle_deg(66.6, 380, steer_deg=35), 1)
    36.2

    References
    ----------
    .. [1] Geometry; no document.
    """
    steer, camber = math.radians(abs(steer_deg)), math.radians(camber_deg)
    shaft = (abs(sweep_mm), span_mm, -drop_mm)
    angles = []
    for side in (-1, 1):
        axle = (
            side * math.sin(steer) * math.cos(camber),
            math.cos(steer) * math.cos(camber),
            -math.sin(camber),
        )
        along = sum(a * b for a, b in zip(shaft, axle, strict=True))
        across = math.hypot(
            shaft[1] * axle[2] - shaft[2] * axle[1],
            shaft[2] * axle[0] - shaft[0] * axle[2],
            shaft[0] * axle[1] - shaft[1] * axle[0],
        )
        angles.append(math.degrees(math.atan2(across, along)))
    return max(angles)


def speed_swing_percent(angle_deg: float) -> float:
    r"""How far a cross joint makes the driven shaft run ahead in each half turn.

    Parameters
    ----------
    angle_deg : float
        Angle of the joint. [°]

    Returns
    -------
    float
        Highest over mean speed, less one; the lowest lies nearly as far below. [%]

    Notes
    -----
    :math:`1 / \cos\theta - 1`. Two joints at equal angles in one plane cancel it.

    Examples
    --------
    >>> round(speed_swing_percent(30))
    15

    References
    ----------
    .. [1] Universal joint; about 15% at 30° seen on a driveshaft maker's page.
    """
    if not 0 <= angle_deg < 89:
        raise SumError(f"angle {angle_deg:g}°: must be 0 to 89; measure the shaft again")
    return 100 * (1 / math.cos(math.radians(angle_deg)) - 1)


@dataclass(frozen=True)
class Driveshaft:
    """A driveshaft at ride height before raising; the inner joint stays with the body."""

    inner: complex
    outer: complex
    sweep_mm: float = 0.0


@dataclass(frozen=True)
class TrackRod:
    """A track rod at ride height before raising; the inner joint stays with the body."""

    inner: complex
    outer: complex
    arm_mm: float
    """Distance of its outer joint from the steering axis, along the car."""
    is_behind: bool
    """Behind the axle rather than ahead of it."""

    def toe_in_deg(self, carried_to: complex) -> float:
        """Toe-in that travel brings, when the wheel carrier has taken its outer joint to a place.

        The rod keeps its length, so its end is pushed sideways by what its arc and the carrier differ.
        """
        length = abs(self.outer - self.inner)
        drop = carried_to.imag - self.inner.imag
        if abs(drop) >= length:
            raise SumError(
                "the track rod would hang straight down; check the coordinates or take less travel"
            )
        pushed = self.inner.real + math.sqrt(length**2 - drop**2) - carried_to.real
        if abs(pushed) >= self.arm_mm:
            raise SumError("the track rod would turn the wheel right round; check its coordinates")
        turn = math.degrees(math.asin(pushed / self.arm_mm))
        return turn if self.is_behind else -turn
