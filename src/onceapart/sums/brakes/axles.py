"""Axle loads while braking, the adhesion each axle uses, and which locks first."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.brakes.performance import GRAVITY_MPS2


@dataclass(frozen=True)
class Stance:
    """Where a car's weight lies."""

    mass_kg: float
    front_static: float
    """Front axle's share of the weight, standing."""
    wheelbase_mm: float
    height_mm: float
    """Height of the centre of gravity."""

    def __post_init__(self) -> None:
        if not 0 < self.front_static < 1 or min(self.mass_kg, self.wheelbase_mm, self.height_mm) <= 0:
            raise SumError(
                "mass, front share, wheelbase and height must be above 0, the share below 1; check them"
            )

    @property
    def slope(self) -> float:
        """Share of the weight that moves forward for each g."""
        return self.height_mm / self.wheelbase_mm


def load_transfer_kg(mass_kg: float, acceleration_g: float, height_mm: float, base_mm: float) -> float:
    r"""Load that moves from one axle (or side) to the other.

    Parameters
    ----------
    mass_kg : float
        Mass carried. [kg]
    acceleration_g : float
        Deceleration, or acceleration sideways. [g]
    height_mm, base_mm : float
        Height of the centre of gravity; wheelbase, or track sideways. [mm]

    Returns
    -------
    float
        Load, as the mass that weighs as much. [kg]

    Notes
    -----
    :math:`\Delta m = m a h / (g L)`.

    Examples
    --------
    >>> round(load_transfer_kg(750, 1, 520, 1580), 1)
    246.8

    References
    ----------
    .. [1] Mechanics; example of an axle of 750 kg in Automotive Chassis Engineering (page seen).
    """
    if min(mass_kg, height_mm, base_mm) <= 0:
        raise SumError("mass, height and base: each must be above 0; measure again")
    return mass_kg * acceleration_g * height_mm / base_mm


def front_load_share(stance: Stance, deceleration_g: float) -> float:
    r"""Front axle's share of the weight while braking.

    Parameters
    ----------
    stance : Stance
        Where the weight lies.
    deceleration_g : float
        Deceleration. [g]

    Returns
    -------
    float
        Share; it is also the front share of the braking that would use both axles alike. [-]

    Notes
    -----
    :math:`\psi + z h / L`.

    Examples
    --------
    >>> round(front_load_share(Stance(1280, 0.6, 2500, 550), 0.8), 3)
    0.776

    References
    ----------
    .. [1] Mechanics; no document.
    """
    share = stance.front_static + deceleration_g * stance.slope
    if deceleration_g < 0 or share >= 1:
        highest = (1 - stance.front_static) / stance.slope
        raise SumError(
            f"deceleration {deceleration_g:g} g: must be at least 0 and below {highest:.2f} g, where "
            "the rear wheels "
            "leave the road; check the figures"
        )
    return share


def adhesion_used(stance: Stance, brake_front_share: float, deceleration_g: float) -> tuple[float, float]:
    r"""Friction that each axle asks of the road.

    Parameters
    ----------
    stance : Stance
        Where the weight lies.
    brake_front_share : float
        Front axle's share of the braking force. [-]
    deceleration_g : float
        Deceleration. [g]

    Returns
    -------
    tuple of float
        Braking force over load, front and rear; equal to the friction at which each would lock. [-]

    Notes
    -----
    :math:`z \beta / (\psi + z h / L)` and :math:`z (1 - \beta) / (1 - \psi - z h / L)`.

    Examples
    --------
    >>> [round(each, 3) for each in adhesion_used(Stance(1280, 0.6, 2500, 550), 0.75, 0.8)]
    [0.773, 0.893]

    References
    ----------
    .. [1] Mechanics; the words as in UN R13-H, Annex 5 (from memory).
    """
    if not 0 <= brake_front_share <= 1:
        rule = "must be 0 to 1"
        raise SumError(f"front share of the braking {brake_front_share:g}: {rule}; read the rollers again")
    load = front_load_share(stance, deceleration_g)
    return deceleration_g * brake_front_share / load, deceleration_g * (1 - brake_front_share) / (1 - load)


def lock_deceleration_g(stance: Stance, brake_front_share: float, friction: float) -> tuple[float, float]:
    r"""Deceleration at which each axle locks on a road.

    Parameters
    ----------
    stance : Stance
        Where the weight lies.
    brake_front_share : float
        Front axle's share of the braking force. [-]
    friction : float
        Friction of tyre on road. [-]

    Returns
    -------
    tuple of float
        Front and rear; infinite for an axle that never locks. The smaller one is what the car reaches. [g]

    Notes
    -----
    :math:`\mu \psi / (\beta - \mu h / L)` and :math:`\mu (1 - \psi) / (1 - \beta + \mu h / L)`.

    Examples
    --------
    >>> [round(each, 3) for each in lock_deceleration_g(Stance(1280, 0.6, 2500, 550), 0.75, 0.8)]
    [0.836, 0.751]

    References
    ----------
    .. [1] Mechanics; :func:`adhesion_used` solved for the deceleration.
    """
    if friction <= 0:
        raise SumError(f"friction {friction:g}: must be above 0; a dry road has 0.7 to 0.9")
    moved = friction * stance.slope
    front = brake_front_share - moved
    return (
        friction * stance.front_static / front if front > 0 else math.inf,
        friction * (1 - stance.front_static) / (1 - brake_front_share + moved),
    )


def critical_deceleration_g(stance: Stance, brake_front_share: float) -> float:
    r"""Deceleration at which both axles use the same adhesion; beyond it the rear locks first.

    Parameters
    ----------
    stance : Stance
        Where the weight lies.
    brake_front_share : float
        Front axle's share of the braking force. [-]

    Returns
    -------
    float
        Deceleration; below 0 if the rear always locks first. [g]

    Notes
    -----
    :math:`(\beta - \psi) L / h`.

    Examples
    --------
    >>> round(critical_deceleration_g(Stance(1280, 0.6, 2500, 550), 0.75), 3)
    0.682

    References
    ----------
    .. [1] Mechanics; no document.
    """
    return (brake_front_share - stance.front_static) / stance.slope


def approval_adhesion(deceleration_g: float) -> float:
    r"""Most adhesion an axle may use at a deceleration, for approval of a car without anti-lock.

    Parameters
    ----------
    deceleration_g : float
        Deceleration, 0.1 to 0.52. [g]

    Returns
    -------
    float
        Adhesion, 0.2 to 0.8. [-]

    Notes
    -----
    :math:`k = 0.2 + (z - 0.1) / 0.7`.

    Examples
    --------
    >>> round(approval_adhesion(0.52), 3)
    0.8

    References
    ----------
    .. [1] UN R13-H, Annex 5 (from memory).
    """
    if not 0.1 <= deceleration_g <= 0.52:
        rule = "the rule holds from 0.1 to 0.52 g"
        raise SumError(f"deceleration {deceleration_g:g} g: {rule}; pick one of these")
    return 0.2 + (deceleration_g - 0.1) / 0.7


def kilonewtons(mass_kg: float) -> float:
    r"""Weight of a mass.

    Parameters
    ----------
    mass_kg : float
        Mass. [kg]

    Returns
    -------
    float
        Weight. [kN]

    Notes
    -----
    :math:`m g`, standard gravity.

    Examples
    --------
    >>> round(kilonewtons(1000), 3)
    9.807

    References
    ----------
    .. [1] Standard gravity, by definition.
    """
    return mass_kg * GRAVITY_MPS2 / 1000
