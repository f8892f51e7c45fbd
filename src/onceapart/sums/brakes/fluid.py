"""Brake fluid: how far its boiling point has come down with the water it took up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.brakes.tables import read_table
from onceapart.sums.result import Band

WET_WATER_PERCENT = 3.7
"""Water in the fluid of the 'wet' boiling point, about: encyclopedia."""
MOST_WATER_PERCENT = 10.0
"""Beyond this we say nothing but: change it."""
WATER_A_YEAR_PERCENT = Band(1.0, 1.5, 3.0)
"""Water taken up in a year of use: from memory; old hoses and damp air take more."""
CHANGE_AFTER_YEARS = 2.0
"""Common practice; the car's manual goes first."""
CHANGE_WATER_PERCENT = 3.0
"""Common practice of strip and pen testers, from memory."""
WATER_BOILS_DEGC = 100.0
"""At sea level."""


@dataclass(frozen=True)
class Fluid:
    """A kind of brake fluid and its least boiling points."""

    name: str
    dry_degc: float
    wet_degc: float
    base: str
    """``glycol`` takes up water; ``silicone`` does not, and water lies in it as drops."""
    meaning: str


@cache
def fluids() -> dict[str, Fluid]:
    """Kinds known, by name."""
    return {
        row["name"]: Fluid(row["name"], float(row["dry"]), float(row["wet"]), row["base"], row["meaning"])
        for row in read_table("fluids")
    }


def boiling_point_degc(fluid: Fluid, water_percent: float) -> float:
    r"""Least boiling point of a glycol fluid with some water in it.

    Parameters
    ----------
    fluid : Fluid
        Kind of fluid, glycol.
    water_percent : float
        Water by mass, 0 to 10. [%]

    Returns
    -------
    float
        Boiling point. [°C]

    Notes
    -----
    :math:`100 + (T_d - 100) \left(\frac{T_w - 100}{T_d - 100}\right)^{w / 3.7}`: it goes through the dry
    and the wet point of the standard and towards water's own; between these the curve is ours. Like the
    measured ones it falls fastest at first.

    Examples
    --------
    >>> [boiling_point_degc(fluids()["DOT-4"], water) for water in (0, 3.7)]
    [230.0, 155.0]

    References
    ----------
    .. [1] FMVSS 116 (49 CFR 571.116), S5.1.1 and S5.1.2, for the two points.
    """
    if fluid.base != "glycol":
        raise SumError(
            f"{fluid.name}: silicone takes up no water, so it has no such curve; drain any water instead"
        )
    if not 0 <= water_percent <= MOST_WATER_PERCENT:
        raise SumError(
            f"water {water_percent:g} %: the curve holds from 0 to {MOST_WATER_PERCENT:g} %; change the fluid"
        )
    dry, wet = fluid.dry_degc - WATER_BOILS_DEGC, fluid.wet_degc - WATER_BOILS_DEGC
    return WATER_BOILS_DEGC + dry * math.pow(wet / dry, water_percent / WET_WATER_PERCENT)


def water_percent_from_boiling(fluid: Fluid, boiling_degc: float) -> float:
    r"""Water in a glycol fluid, from its measured boiling point.

    Parameters
    ----------
    fluid : Fluid
        Kind of fluid, glycol.
    boiling_degc : float
        Boiling point by a tester that boils it. [°C]

    Returns
    -------
    float
        Water by mass; 0 if it boils at or above the dry point, as good fluid does. [%]

    Notes
    -----
    :func:`boiling_point_degc` turned round.

    Examples
    --------
    >>> round(water_percent_from_boiling(fluids()["DOT-4"], 155), 6)
    3.7

    References
    ----------
    .. [1] FMVSS 116 (49 CFR 571.116), S5.1.1 and S5.1.2, for the two points.
    """
    lowest = boiling_point_degc(fluid, MOST_WATER_PERCENT)
    if boiling_degc < lowest:
        rule = f"below the {lowest:.0f} °C of {MOST_WATER_PERCENT:g} % water"
        raise SumError(f"boiling point {boiling_degc:g} °C: {rule}; change the fluid")
    dry, wet = fluid.dry_degc - WATER_BOILS_DEGC, fluid.wet_degc - WATER_BOILS_DEGC
    if boiling_degc >= fluid.dry_degc:
        return 0.0
    return WET_WATER_PERCENT * math.log((boiling_degc - WATER_BOILS_DEGC) / dry) / math.log(wet / dry)


def water_by_age_percent(age_year: float) -> Band:
    r"""Water that a glycol fluid has taken up in the car.

    Parameters
    ----------
    age_year : float
        Time since it was changed. [year]

    Returns
    -------
    Band
        Water by mass, at most 10. [%]

    Notes
    -----
    1 to 3 % a year, 1.5 % typical: from memory, and only a guess beside a test.

    Examples
    --------
    >>> water_by_age_percent(2)
    Band(low=2.0, typical=3.0, high=6.0)

    References
    ----------
    .. [1] Common practice, from memory.
    """
    if age_year < 0:
        raise SumError(f"age {age_year:g} years: cannot be below 0; give the time since it was changed")
    rate = WATER_A_YEAR_PERCENT
    low, typical, high = (
        min(each * age_year, MOST_WATER_PERCENT) for each in (rate.low, rate.typical, rate.high)
    )
    return Band(low, typical, high)


def boiling_band_degc(fluid: Fluid, water_percent: Band) -> Band:
    r"""Boiling point of a fluid whose water is known within a spread.

    Parameters
    ----------
    fluid : Fluid
        Kind of fluid; for silicone the water does not count.
    water_percent : Band
        Water by mass. [%]

    Returns
    -------
    Band
        Least boiling point; low end for the most water. [°C]

    Notes
    -----
    :func:`boiling_point_degc` at the three figures. Silicone keeps its dry point, but a drop of water in
    it boils at 100 °C, so that is its low end.

    Examples
    --------
    >>> boiling_band_degc(fluids()["DOT-5"], Band(0, 0, 0))
    Band(low=100.0, typical=260.0, high=260.0)

    References
    ----------
    .. [1] FMVSS 116 (49 CFR 571.116), S5.1.1 and S5.1.2.
    """
    if fluid.base == "silicone":
        return Band(WATER_BOILS_DEGC, fluid.dry_degc, fluid.dry_degc)
    low, typical, high = (
        boiling_point_degc(fluid, each)
        for each in (water_percent.high, water_percent.typical, water_percent.low)
    )
    return Band(low, typical, high)
