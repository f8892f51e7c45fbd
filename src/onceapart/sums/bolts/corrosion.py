"""What rust leaves of a bolt."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.bolts.threads import METRIC_AREA_FACTOR, stress_area_mm2
from onceapart.sums.result import Band

REPLACE_BELOW = 0.75
"""Share of the stress area below which a bolt is to be replaced: our judgement, no standard."""
GROWTH = 0.523
"""ISO 9224, carbon steel, exponent of time, from memory."""


@dataclass(frozen=True)
class Surroundings:
    """A class of corrosive surroundings, ISO 9223: loss of carbon steel in the first year."""

    name: str
    first_year_um: tuple[float, float]
    meaning: str


SURROUNDINGS = {
    each.name: each
    for each in (
        Surroundings("C1", (0.1, 1.3), "heated and dry indoors"),
        Surroundings("C2", (1.3, 25), "dry country air, unheated indoors"),
        Surroundings("C3", (25, 50), "towns, mild coast"),
        Surroundings("C4", (50, 80), "coast, works, some road salt"),
        Surroundings("C5", (80, 200), "salt spray, much road salt"),
        Surroundings("CX", (200, 700), "in the salt all the time"),
    )
}
"""ISO 9223, rates from memory; the meanings in terms of a car are ours. C1 has no lower end; 0.1 is ours."""


def loss_over_years_mm(first_year_um: float, years: float) -> float:
    r"""Loss of steel from each surface over some years outdoors.

    Parameters
    ----------
    first_year_um : float
        Loss in the first year. [µm]
    years : float
        Time. [year]

    Returns
    -------
    float
        Loss from the surface. [mm]

    Notes
    -----
    :math:`D = r t^{0.523}` for carbon steel: rust slows rusting. Crevices, mud and salt do worse: measure
    if you can.

    Examples
    --------
    >>> round(loss_over_years_mm(80, 15), 2)
    0.33

    References
    ----------
    .. [1] ISO 9224 (from memory).
    """
    if years < 0 or first_year_um < 0:
        raise SumError(f"{first_year_um:g} µm over {years:g} years: neither may be below nought")
    return first_year_um / 1000 * math.pow(years, GROWTH)


def loss_band_mm(surroundings: Surroundings, years: float) -> Band:
    r"""Loss of steel over some years in surroundings of a class.

    Parameters
    ----------
    surroundings : Surroundings
        Class of ISO 9223.
    years : float
        Time. [year]

    Returns
    -------
    Band
        Loss from each surface at the low end, in the middle and at the high end of the class. [mm]

    Notes
    -----
    :func:`loss_over_years_mm` at both ends of the class and halfway.

    Examples
    --------
    >>> round(loss_band_mm(SURROUNDINGS["C5"], 15).high, 2)
    0.82

    References
    ----------
    .. [1] ISO 9223 and ISO 9224 (from memory).
    """
    low, high = surroundings.first_year_um
    return Band(
        loss_over_years_mm(low, years),
        loss_over_years_mm((low + high) / 2, years),
        loss_over_years_mm(high, years),
    )


def rusted_stress_area_mm2(
    diameter_mm: float, pitch_mm: float, loss_mm: float, factor: float = METRIC_AREA_FACTOR
) -> float:
    r"""Stress area left when each surface has lost some steel.

    Parameters
    ----------
    diameter_mm, pitch_mm, loss_mm : float
        Nominal thread diameter; pitch; steel lost from each surface. [mm]
    factor : float
        Pitches taken off the diameter, as in :func:`stress_area_mm2`. [-]

    Returns
    -------
    float
        Stress area left. [mm²]

    Notes
    -----
    :math:`\pi/4 \, (d - 2c - f P)^2`, for even loss. A pit or a neck is worse than its mean depth.

    Examples
    --------
    >>> round(rusted_stress_area_mm2(10, 1.5, 0.5), 2)
    45.28

    References
    ----------
    .. [1] Derived from the stress area of ISO 898-1; no standard for rusted bolts.
    """
    if loss_mm < 0:
        raise SumError(f"loss {loss_mm:g} mm: cannot be below nought; give the steel lost from one side")
    if 2 * loss_mm >= diameter_mm - factor * pitch_mm:
        raise SumError(f"loss {loss_mm:g} mm: nothing is left of a {diameter_mm:g} mm bolt; measure again")
    return stress_area_mm2(diameter_mm - 2 * loss_mm, pitch_mm, factor)


def rusted_shank_share(diameter_mm: float, loss_mm: float) -> float:
    r"""Share of a plain shank's area left when its surface has lost some steel.

    Parameters
    ----------
    diameter_mm, loss_mm : float
        Shank diameter as new; steel lost from the surface. [mm]

    Returns
    -------
    float
        Area left over area as new. [-]

    Notes
    -----
    :math:`(1 - 2c/d)^2`.

    Examples
    --------
    >>> rusted_shank_share(10, 0.5)
    0.81

    References
    ----------
    .. [1] Geometry; no document.
    """
    if not 0 <= 2 * loss_mm < diameter_mm:
        raise SumError(f"loss {loss_mm:g} mm: nothing is left of a {diameter_mm:g} mm shank; measure again")
    left = 1 - 2 * loss_mm / diameter_mm
    return left * left
