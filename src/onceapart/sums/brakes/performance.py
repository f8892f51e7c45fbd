"""How well brakes do on the rollers or on the road: efficiency, imbalance, deceleration."""

from __future__ import annotations

from onceapart.errors import SumError

GRAVITY_MPS2 = 9.80665
"""Standard gravity, exact by definition."""


def efficiency_percent(force_kn: float, mass_kg: float) -> float:
    r"""Efficiency of a brake from the forces at its wheels.

    Parameters
    ----------
    force_kn : float
        Sum of the braking forces. [kN]
    mass_kg : float
        Mass they have to stop. [kg]

    Returns
    -------
    float
        Force over weight. [%]

    Notes
    -----
    :math:`z = 100 \sum F / (m g)` [1]_; the directive takes the highest permitted mass (from memory).

    Examples
    --------
    >>> round(efficiency_percent(7.2, 1180), 1)
    62.2

    References
    ----------
    .. [1] UK inspection manual of 2012: total effort over mass × 100 (page seen).
    """
    if mass_kg <= 0 or force_kn < 0:
        raise SumError(
            f"{force_kn:g} kN on {mass_kg:g} kg: needs a force of 0 or more and a mass above 0; check both"
        )
    return 100 * 1000 * force_kn / (mass_kg * GRAVITY_MPS2)


def deceleration_efficiency_percent(deceleration_mps2: float, gradient_percent: float = 0.0) -> float:
    r"""Efficiency of a brake from the deceleration of the car.

    Parameters
    ----------
    deceleration_mps2 : float
        Deceleration, measured. [m/s²]
    gradient_percent : float
        Slope of the road, uphill above 0: it helps to stop, and is taken off. [%]

    Returns
    -------
    float
        Share of gravity that the brakes give. [%]

    Notes
    -----
    :math:`z = 100 (a / g) - G`.

    Examples
    --------
    >>> round(deceleration_efficiency_percent(5.69))
    58

    References
    ----------
    .. [1] Mechanics; no document.
    """
    if deceleration_mps2 < 0:
        raise SumError(f"deceleration {deceleration_mps2:g} m/s²: cannot be below 0; leave out the minus")
    return 100 * deceleration_mps2 / GRAVITY_MPS2 - gradient_percent


def imbalance_percent(one_kn: float, other_kn: float) -> float:
    r"""Imbalance of the two wheels of an axle.

    Parameters
    ----------
    one_kn, other_kn : float
        Braking forces of the two wheels at the same moment. [kN]

    Returns
    -------
    float
        Difference over the larger force: 0 if they are equal, 100 if one wheel does nothing. [%]

    Notes
    -----
    :math:`100 (F_{max} - F_{min}) / F_{max}`, so more than 30 % is a weaker wheel under 70 % of the
    stronger [1]_. Dividing by the mean instead would give other figures.

    Examples
    --------
    >>> round(imbalance_percent(2.4, 1.8), 6)
    25.0

    References
    ----------
    .. [1] Directive 2014/45/EU, Annex I, 1.2.1(b).
    """
    strong, weak = max(one_kn, other_kn), min(one_kn, other_kn)
    if weak < 0 or strong == 0:
        rule = "needs a force above 0 at one wheel at least, and none below 0"
        raise SumError(f"forces {one_kn:g} and {other_kn:g} kN: {rule}; read the rollers again")
    return 100 * (strong - weak) / strong


def mean_deceleration_mps2(from_kmh: float, distance_m: float, to_kmh: float = 0.0) -> float:
    r"""Mean deceleration over the distance between two speeds.

    Parameters
    ----------
    from_kmh, to_kmh : float
        Speed at the beginning, and at the end. [km/h]
    distance_m : float
        Distance driven between them. [m]

    Returns
    -------
    float
        Deceleration that, held evenly, needs the same distance. [m/s²]

    Notes
    -----
    :math:`a = (V_b^2 - V_e^2) / (25.92 \, s)` with V in km/h. Taken from 0.8 to 0.1 of the first speed it is
    the mean fully developed deceleration of approval tests (from memory); taken from the first touch of
    the pedal it is less.

    Examples
    --------
    >>> round(mean_deceleration_mps2(100, 70), 2)
    5.51

    References
    ----------
    .. [1] Mechanics; the quotient as in UN R13-H, Annex 3 (from memory).
    """
    if not 0 <= to_kmh < from_kmh:
        rule = f"must be at least 0 and below the {from_kmh:g} km/h at the beginning"
        raise SumError(f"end speed {to_kmh:g} km/h: {rule}; check both speeds")
    if distance_m <= 0:
        raise SumError(f"distance {distance_m:g} m: must be above 0; measure from the pedal to standstill")
    return (from_kmh * from_kmh - to_kmh * to_kmh) / (25.92 * distance_m)
