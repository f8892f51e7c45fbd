"""Stopping distance: what is driven before the brake bites, and after."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.brakes.performance import GRAVITY_MPS2
from onceapart.sums.brakes.tables import read_table
from onceapart.sums.result import Band

DESIGN_DECELERATION_MPS2 = 3.4
"""AASHTO stopping sight distance, verified."""
DESIGN_REACTION_S = 2.5
"""AASHTO stopping sight distance, from memory."""


@dataclass(frozen=True)
class Surface:
    """A road surface and the friction a tyre finds on it."""

    name: str
    friction: Band
    meaning: str


@cache
def surfaces() -> dict[str, Surface]:
    """Surfaces known, by name; all from memory."""
    return {
        row["name"]: Surface(
            row["name"],
            Band(float(row["low"]), float(row["typical"]), float(row["high"])),
            row["meaning"],
        )
        for row in read_table("surfaces")
    }


def reaction_distance_m(speed_kmh: float, reaction_s: float) -> float:
    r"""Distance driven before the brake bites.

    Parameters
    ----------
    speed_kmh : float
        Speed. [km/h]
    reaction_s : float
        From seeing to braking, foot and pedal included. [s]

    Returns
    -------
    float
        Distance. [m]

    Notes
    -----
    :math:`s = v t`; printed as 0.278 V t with V in km/h [1]_.

    Examples
    --------
    >>> round(reaction_distance_m(100, 2.5), 1)
    69.4

    References
    ----------
    .. [1] AASHTO, A Policy on Geometric Design, stopping sight distance.
    """
    if speed_kmh < 0 or reaction_s < 0:
        raise SumError(f"{speed_kmh:g} km/h for {reaction_s:g} s: neither may be below 0; check both")
    return speed_kmh / 3.6 * reaction_s


def braking_distance_m(speed_kmh: float, deceleration_mps2: float, gradient_percent: float = 0.0) -> float:
    r"""Distance driven while braking to a stop.

    Parameters
    ----------
    speed_kmh : float
        Speed at the beginning. [km/h]
    deceleration_mps2 : float
        What the brakes give on the level, held evenly. [m/s²]
    gradient_percent : float
        Slope of the road, uphill above 0. [%]

    Returns
    -------
    float
        Distance. [m]

    Notes
    -----
    :math:`s = v^2 / (2 (a + g G))`; printed as :math:`V^2 / (254 (f + G))` with V in km/h [1]_.

    Examples
    --------
    >>> round(braking_distance_m(100, 3.4), 1)
    113.5

    References
    ----------
    .. [1] AASHTO, A Policy on Geometric Design, stopping sight distance.
    """
    if speed_kmh < 0:
        raise SumError(f"speed {speed_kmh:g} km/h: cannot be below 0; leave out the minus")
    slowing = deceleration_mps2 + GRAVITY_MPS2 * gradient_percent / 100
    if slowing <= 0:
        raise SumError(
            f"{deceleration_mps2:.3g} m/s² on a slope of {gradient_percent:g} %: the car would not "
            "stop; check both"
        )
    speed = speed_kmh / 3.6
    return speed * speed / (2 * slowing)


def approval_distance_m(speed_kmh: float) -> float:
    r"""Most distance a new car may take with cold brakes at its approval.

    Parameters
    ----------
    speed_kmh : float
        Speed at the touch of the pedal, at most 100. [km/h]

    Returns
    -------
    float
        Distance. [m]

    Notes
    -----
    :math:`s = 0.10 V + 0.0060 V^2` [1]_. For a new car on a test track; it is no limit for a car in use.

    Examples
    --------
    >>> approval_distance_m(100)
    70.0

    References
    ----------
    .. [1] FMVSS 135 (49 CFR 571.135), S7.5.3.
    """
    if not 0 < speed_kmh <= 100:
        raise SumError(
            f"speed {speed_kmh:g} km/h: the rule holds above 0 and up to 100 km/h; pick one of these"
        )
    return 0.10 * speed_kmh + 0.0060 * speed_kmh * speed_kmh
