"""How far a spring, a spacer or a tyre raises the body."""

from __future__ import annotations

import math

from onceapart.errors import SumError
from onceapart.sums.result import Band

USUAL_RATIOS = {
    "strut": Band(0.95, 0.975, 1.0),
    "arm": Band(0.5, 0.6, 0.7),
    "axle": Band(1.0, 1.0, 1.0),
}
"""Motion ratio by kind: strut and spring on the lower arm common practice; on a beam axle it is 1 by
geometry, as long as both wheels move together."""


def motion_ratio(spring_mm: float, wheel_mm: float, lean_deg: float = 0.0) -> float:
    r"""Travel of the spring over travel of the wheel.

    Parameters
    ----------
    spring_mm, wheel_mm : float
        Distance of the spring, and of the ball joint or wheel, from the pivot of the arm. [mm]
    lean_deg : float
        How far the spring leans from square to the arm. [°]

    Returns
    -------
    float
        Motion ratio. [-]

    Notes
    -----
    :math:`a / b \cdot \cos\lambda`.

    Examples
    --------
    >>> motion_ratio(180, 300)
    0.6

    References
    ----------
    .. [1] Geometry; no document.
    """
    if spring_mm <= 0 or wheel_mm <= 0:
        raise SumError(
            f"distances {spring_mm:g} and {wheel_mm:g} mm: must be above 0; measure from the pivot"
        )
    if not -60 <= lean_deg <= 60:
        raise SumError(f"lean {lean_deg:g}°: must be -60 to 60; measure against the arm")
    return spring_mm / wheel_mm * math.cos(math.radians(lean_deg))


def spring_gain_mm(
    longer_mm: float,
    load_n: float | None = None,
    rate_n_per_mm: float | None = None,
    new_rate_n_per_mm: float | None = None,
) -> float:
    r"""How much higher a new spring stands under the car.

    Parameters
    ----------
    longer_mm : float
        Gain in free length. [mm]
    load_n : float or None
        Load on the spring, car standing. [N]
    rate_n_per_mm, new_rate_n_per_mm : float or None
        Rates of the old and the new spring; None: the same. [N/mm]

    Returns
    -------
    float
        Gain in standing height. [mm]

    Notes
    -----
    :math:`\Delta L + F/k_1 - F/k_2`.

    Examples
    --------
    >>> spring_gain_mm(10, 3000, 25, 30)
    30.0

    References
    ----------
    .. [1] Hooke's law.
    """
    if rate_n_per_mm is None or new_rate_n_per_mm is None or load_n is None:
        return longer_mm
    for rate in (rate_n_per_mm, new_rate_n_per_mm):
        if rate <= 0:
            raise SumError(f"rate {rate:g} N/mm: must be above 0; look it up or measure it")
    return longer_mm + load_n / rate_n_per_mm - load_n / new_rate_n_per_mm


def body_lift_mm(gain_mm: float, ratio: float) -> float:
    r"""How far the body rises for a gain at the spring.

    Parameters
    ----------
    gain_mm : float
        Spacer, or gain in standing height. [mm]
    ratio : float
        Motion ratio. [-]

    Returns
    -------
    float
        Lift at the wheel. [mm]

    Notes
    -----
    :math:`s / MR`, for lifts that leave the angles about as they are.

    Examples
    --------
    >>> body_lift_mm(24, 0.6)
    40.0

    References
    ----------
    .. [1] Geometry; no document.
    """
    if not 0.1 <= ratio <= 2:
        raise SumError(f"motion ratio {ratio:g}: must be 0.1 to 2; measure spring and wheel travel")
    return gain_mm / ratio


def lift_band_mm(gain_mm: float, ratio: Band) -> Band:
    """Lift for a motion ratio that is only known within a spread.

    Parameters
    ----------
    gain_mm : float
        Spacer, or gain in standing height; below nought lowers. [mm]
    ratio : Band
        Motion ratio. [-]

    Returns
    -------
    Band
        Lift at the wheel. [mm]

    Examples
    --------
    >>> lift_band_mm(20, Band(0.5, 0.5, 0.8))
    Band(low=25.0, typical=40.0, high=40.0)

    References
    ----------
    .. [1] Geometry; no document.
    """
    lifts = sorted(body_lift_mm(gain_mm, each) for each in (ratio.low, ratio.high))
    return Band(lifts[0], body_lift_mm(gain_mm, ratio.typical), lifts[1])


def wheel_rate_n_per_mm(rate_n_per_mm: float, ratio: float) -> float:
    r"""Rate of the spring as the wheel feels it.

    Parameters
    ----------
    rate_n_per_mm : float
        Rate of the spring. [N/mm]
    ratio : float
        Motion ratio. [-]

    Returns
    -------
    float
        Rate at the wheel. [N/mm]

    Notes
    -----
    :math:`k \cdot MR^2`, change of the ratio left out.

    Examples
    --------
    >>> round(wheel_rate_n_per_mm(50, 0.6), 6)
    18.0

    References
    ----------
    .. [1] Milliken and Milliken, Race Car Vehicle Dynamics (from memory).
    """
    return rate_n_per_mm * ratio**2


def nose_up_deg(front_mm: float, rear_mm: float, wheelbase_mm: float) -> float:
    r"""How far the body tips if front and rear are raised differently.

    Parameters
    ----------
    front_mm, rear_mm : float
        Lift at the two axles. [mm]
    wheelbase_mm : float
        Wheelbase. [mm]

    Returns
    -------
    float
        Angle, nose up; castor grows by it, headlamps rise by it. [°]

    Notes
    -----
    :math:`\arctan((h_f - h_r) / L)`.

    Examples
    --------
    >>> round(nose_up_deg(40, 0, 2450), 2)
    0.94

    References
    ----------
    .. [1] Geometry; no document.
    """
    if wheelbase_mm <= 0:
        raise SumError(f"wheelbase {wheelbase_mm:g} mm: must be above 0; measure from hub to hub")
    return math.degrees(math.atan2(front_mm - rear_mm, wheelbase_mm))
