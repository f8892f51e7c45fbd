"""The rubbed face of a disc: effective radius, torque and pressure, by uniform wear and uniform pressure."""

from __future__ import annotations

import math

from onceapart.errors import SumError


def _checked(outer_mm: float, inner_mm: float) -> None:
    if not 0 <= inner_mm < outer_mm:
        rule = "must be at least 0 and less than the outer one"
        raise SumError(
            f"inner radius {inner_mm:g} mm, outer {outer_mm:g} mm: the inner {rule}; measure again"
        )


def wear_radius_mm(outer_mm: float, inner_mm: float) -> float:
    r"""Effective radius of a face that has worn in: uniform wear.

    Parameters
    ----------
    outer_mm, inner_mm : float
        Radius where the contact ends, and where it begins. [mm]

    Returns
    -------
    float
        Radius at which the whole friction force may be thought to act. [mm]

    Notes
    -----
    :math:`r_e = (r_o + r_i) / 2`. Pads that have bedded wear evenly, so this is the one to go by; it is
    also the smaller of the two [1]_.

    Examples
    --------
    >>> wear_radius_mm(5, 2.5)
    3.75

    References
    ----------
    .. [1] Ugural, Mechanical Engineering Design, ch. 13, eq. 13.30.
    """
    _checked(outer_mm, inner_mm)
    return (outer_mm + inner_mm) / 2


def pressure_radius_mm(outer_mm: float, inner_mm: float) -> float:
    r"""Effective radius of a new, stiff face: uniform pressure.

    Parameters
    ----------
    outer_mm, inner_mm : float
        Radius where the contact ends, and where it begins. [mm]

    Returns
    -------
    float
        Radius at which the whole friction force may be thought to act. [mm]

    Notes
    -----
    :math:`r_e = \frac{2}{3} \frac{r_o^3 - r_i^3}{r_o^2 - r_i^2}`, at least :func:`wear_radius_mm`.

    Examples
    --------
    >>> round(pressure_radius_mm(5.5, 3.875), 3)
    4.734

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, 16-6 (formula from memory).
    """
    _checked(outer_mm, inner_mm)
    return 2 / 3 * (outer_mm**2 + outer_mm * inner_mm + inner_mm**2) / (outer_mm + inner_mm)


def face_area_cm2(outer_mm: float, inner_mm: float) -> float:
    r"""Area of a ring swept by a pad on one side of the disc.

    Parameters
    ----------
    outer_mm, inner_mm : float
        Radius where the contact ends, and where it begins. [mm]

    Returns
    -------
    float
        Area of the ring. [cm²]

    Notes
    -----
    :math:`\pi (r_o^2 - r_i^2)`.

    Examples
    --------
    >>> round(face_area_cm2(140, 90), 1)
    361.3

    References
    ----------
    .. [1] Geometry; no document.
    """
    _checked(outer_mm, inner_mm)
    return math.pi * (outer_mm**2 - inner_mm**2) / 100


def clamp_force_kn(pressure_bar: float, area_mm2: float) -> float:
    r"""Force with which each pad is pressed on the disc.

    Parameters
    ----------
    pressure_bar : float
        Pressure in the line. [bar]
    area_mm2 : float
        Area of the pistons on one side. [mm²]

    Returns
    -------
    float
        Force on one pad; the other gets the same. [kN]

    Notes
    -----
    :math:`F = p A`.

    Examples
    --------
    >>> round(clamp_force_kn(60, 2290), 2)
    13.74

    References
    ----------
    .. [1] Statics; no document.
    """
    if pressure_bar < 0 or area_mm2 <= 0:
        raise SumError(
            f"{pressure_bar:g} bar on {area_mm2:g} mm²: needs a pressure of 0 or more and an area above 0; "
            "check both"
        )
    return pressure_bar * area_mm2 / 1e4


def disc_torque_nm(friction: float, force_kn: float, radius_mm: float) -> float:
    r"""Braking torque of one disc.

    Parameters
    ----------
    friction : float
        Friction between pad and disc. [-]
    force_kn : float
        Force on each pad. [kN]
    radius_mm : float
        Effective radius. [mm]

    Returns
    -------
    float
        Torque of both pads together. [N·m]

    Notes
    -----
    :math:`T = 2 \mu F r_e`. The width of the contact does not come into it, only where it lies.

    Examples
    --------
    >>> round(disc_torque_nm(0.4, 13.74, 115))
    1264

    References
    ----------
    .. [1] Engineering reference page on disc brakes (seen); Ugural, ch. 13.
    """
    if not 0 < friction <= 1:
        raise SumError(f"friction {friction:g}: must be above 0 and at most 1; 0.3 to 0.45 is usual")
    return 2 * friction * force_kn * radius_mm


def pad_force_n(pressure_mpa: float, angle_deg: float, outer_mm: float, inner_mm: float) -> float:
    r"""Force on a pad that has worn in, from the pressure at its inner edge.

    Parameters
    ----------
    pressure_mpa : float
        Highest pressure, at the inner radius. [MPa]
    angle_deg : float
        Angle the pad covers, seen from the middle of the disc. [°]
    outer_mm, inner_mm : float
        Outer and inner radius of the pad. [mm]

    Returns
    -------
    float
        Force on the pad. [N]

    Notes
    -----
    :math:`F = \theta p_a r_i (r_o - r_i)`, uniform wear: pressure times radius is the same all over.

    Examples
    --------
    >>> round(pad_force_n(1.379, 60, 127, 63.5))  # 200 psi, 10 in and 5 in across: 1309 lbf
    5823

    References
    ----------
    .. [1] Ugural, Mechanical Engineering Design, ch. 13, example 13.6.
    """
    _checked(outer_mm, inner_mm)
    if not 0 < angle_deg <= 360:
        raise SumError(f"angle {angle_deg:g}°: must be above 0 and at most 360; a pad covers 40 to 70")
    return math.radians(angle_deg) * pressure_mpa * inner_mm * (outer_mm - inner_mm)


def pad_pressure_mpa(force_n: float, angle_deg: float, outer_mm: float, inner_mm: float) -> float:
    r"""Highest pressure on a pad that has worn in.

    Parameters
    ----------
    force_n : float
        Force on the pad. [N]
    angle_deg : float
        Angle the pad covers, seen from the middle of the disc. [°]
    outer_mm, inner_mm : float
        Outer and inner radius of the contact. [mm]

    Returns
    -------
    float
        Pressure at the inner edge. [MPa]

    Notes
    -----
    :func:`pad_force_n` turned round.

    Examples
    --------
    >>> round(pad_pressure_mpa(5823, 60, 127, 63.5), 3)
    1.379

    References
    ----------
    .. [1] Ugural, Mechanical Engineering Design, ch. 13, example 13.6.
    """
    if inner_mm == 0:
        raise SumError("inner radius 0: the pressure has no limit there; measure the inner edge")
    return force_n / pad_force_n(1.0, angle_deg, outer_mm, inner_mm)
