"""Centre of gravity, static stability factor, load transfer."""

from __future__ import annotations

import math

from onceapart.errors import SumError

GRAVITY = 9.81
"""m/s², as the worked examples have it."""
SPRUNG_SHARE = 0.88
"""Share of the car's mass on its springs: common practice, no source."""
STARS = ((1.45, 5), (1.25, 4), (1.13, 3), (1.04, 2), (0.0, 1))
"""Least static stability factor for so many stars, NHTSA 2001 programme, 66 FR 3388, from memory."""


def raised_cg_mm(
    cg_mm: float, lift_mm: float, tyre_gain_mm: float = 0.0, sprung_share: float = SPRUNG_SHARE
) -> float:
    r"""Height of the centre of gravity after raising.

    Parameters
    ----------
    cg_mm : float
        Height before. [mm]
    lift_mm : float
        Lift at the springs; it takes the sprung mass up, wheels and axles stay. [mm]
    tyre_gain_mm : float
        Gain in tyre radius; it takes everything up. [mm]
    sprung_share : float
        Sprung mass over the whole. [-]

    Returns
    -------
    float
        Height after. [mm]

    Notes
    -----
    :math:`h_2 = h_1 + (m_s/m) \, lift + \Delta R`.

    Examples
    --------
    >>> round(raised_cg_mm(540, 50, 0, 1.0))
    590

    References
    ----------
    .. [1] Statics; no document.
    """
    if not 0 < sprung_share <= 1:
        raise SumError(f"sprung share {sprung_share:g}: must be above 0, at most 1; about 0.88 for a car")
    return cg_mm + sprung_share * lift_mm + tyre_gain_mm


def static_stability_factor(track_mm: float, cg_mm: float) -> float:
    r"""Static stability factor: sideways acceleration, in g, at which a stiff car would tip.

    Parameters
    ----------
    track_mm : float
        Track width, mean of the axles. [mm]
    cg_mm : float
        Height of the centre of gravity. [mm]

    Returns
    -------
    float
        Factor. [-]

    Notes
    -----
    :math:`SSF = t / (2 h)`. Springs and tyres give way, so a real car tips earlier.

    Examples
    --------
    >>> round(static_stability_factor(1500, 540), 2), round(static_stability_factor(1500, 590), 2)
    (1.39, 1.27)

    References
    ----------
    .. [1] NHTSA, rollover rating (rulemaking page seen).
    """
    if track_mm <= 0 or cg_mm <= 0:
        raise SumError(f"track {track_mm:g} mm, height {cg_mm:g} mm: must be above 0; measure again")
    return track_mm / (2 * cg_mm)


def tipping_angle_deg(factor: float) -> float:
    r"""Sideways slope on which a stiff car would tip.

    Parameters
    ----------
    factor : float
        Static stability factor. [-]

    Returns
    -------
    float
        Slope. [°]

    Notes
    -----
    :math:`\arctan SSF`. A real car tips several degrees earlier.

    Examples
    --------
    >>> tipping_angle_deg(1.0)
    45.0

    References
    ----------
    .. [1] Statics; no document.
    """
    return math.degrees(math.atan(factor))


def rollover_stars(factor: float) -> int:
    """Stars that the factor would have been given.

    Parameters
    ----------
    factor : float
        Static stability factor. [-]

    Returns
    -------
    int
        One to five stars. [-]

    Examples
    --------
    >>> rollover_stars(1.27)
    4

    References
    ----------
    .. [1] NHTSA, 2001 programme, 66 FR 3388 (thresholds from memory).
    """
    return next(stars for least, stars in STARS if factor >= least)


def load_transfer_n(mass_kg: float, acceleration_mps2: float, cg_mm: float, base_mm: float) -> float:
    r"""Load that goes from one pair of wheels to the other.

    Parameters
    ----------
    mass_kg : float
        Mass of the car, or of what an axle carries. [kg]
    acceleration_mps2 : float
        Acceleration, across for cornering, along for braking. [m/s²]
    cg_mm : float
        Height of the centre of gravity. [mm]
    base_mm : float
        Track for cornering, wheelbase for braking. [mm]

    Returns
    -------
    float
        Load taken off one pair and put on the other. [N]

    Notes
    -----
    :math:`m a h / t`.

    Examples
    --------
    >>> round(load_transfer_n(750, 9.81, 520, 1580) / 9.81, 1)
    246.8

    References
    ----------
    .. [1] Barton and Fieldhouse, Automotive Chassis Engineering, worked example (seen).
    """
    if base_mm <= 0:
        raise SumError(f"track or wheelbase {base_mm:g} mm: must be above 0; measure from middle to middle")
    return mass_kg * acceleration_mps2 * cg_mm / base_mm


def geometric_transfer_n(
    mass_kg: float, acceleration_mps2: float, roll_centre_mm: float, track_mm: float
) -> float:
    r"""Part of an axle's load transfer that goes through the links, without roll.

    Parameters
    ----------
    mass_kg : float
        Sprung mass carried by the axle. [kg]
    acceleration_mps2 : float
        Sideways acceleration. [m/s²]
    roll_centre_mm : float
        Height of its roll centre. [mm]
    track_mm : float
        Track width. [mm]

    Returns
    -------
    float
        Load transfer. [N]

    Notes
    -----
    :math:`m_i a h_{RC} / t`.

    Examples
    --------
    >>> round(geometric_transfer_n(0.54 * 1280, 0.6 * 9.81, 70, 1460))
    195

    References
    ----------
    .. [1] Barton and Fieldhouse, Automotive Chassis Engineering, worked example (seen); Milliken ch. 18.
    """
    return load_transfer_n(mass_kg, acceleration_mps2, roll_centre_mm, track_mm)


def roll_gradient_deg_per_g(sprung_kg: float, arm_mm: float, stiffness_nm_per_rad: float) -> float:
    r"""Roll of the body for each g of sideways acceleration.

    Parameters
    ----------
    sprung_kg : float
        Sprung mass. [kg]
    arm_mm : float
        Height of its centre of gravity above the roll axis. [mm]
    stiffness_nm_per_rad : float
        Roll stiffness of both axles. [N·m/rad]

    Returns
    -------
    float
        Roll gradient. [°/g]

    Notes
    -----
    :math:`\phi / a = m_s d / (K - m_s g d)`.

    Examples
    --------
    >>> round(roll_gradient_deg_per_g(1280, 365, 28650), 1)
    10.9

    References
    ----------
    .. [1] Barton and Fieldhouse, Automotive Chassis Engineering, worked example (seen).
    """
    arm = arm_mm / 1000
    left = stiffness_nm_per_rad - sprung_kg * GRAVITY * arm
    if left <= 0:
        raise SumError(
            f"roll stiffness {stiffness_nm_per_rad:.0f} N·m/rad: must be above "
            f"{sprung_kg * GRAVITY * arm:.0f}, or the body falls over on its springs; "
            "check stiffness and heights"
        )
    return math.degrees(sprung_kg * arm / left) * GRAVITY


def elastic_transfer_n(stiffness_nm_per_rad: float, roll_deg: float, track_mm: float) -> float:
    r"""Part of an axle's load transfer that goes through its springs and anti-roll bar.

    Parameters
    ----------
    stiffness_nm_per_rad : float
        Roll stiffness of the axle. [N·m/rad]
    roll_deg : float
        Roll of the body. [°]
    track_mm : float
        Track width. [mm]

    Returns
    -------
    float
        Load transfer. [N]

    Notes
    -----
    :math:`K_i \phi / t`.

    Examples
    --------
    >>> round(elastic_transfer_n(28650, 6.55, 1460))
    2243

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics, ch. 6 (from memory).
    """
    if track_mm <= 0:
        raise SumError(f"track {track_mm:g} mm: must be above 0; measure from middle to middle")
    return stiffness_nm_per_rad * math.radians(roll_deg) / (track_mm / 1000)
