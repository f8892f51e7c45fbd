"""The wear line: how fast a part wears, what is left when, and when the limit comes, each with its spread."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from onceapart.errors import SumError
from onceapart.sums.result import Band
from onceapart.sums.wear.theil_sen import slope_interval, theil_sen_intercept, theil_sen_slope

CONFIDENCE = 0.95
LEAST_RATE = 1e-6
"""Wear below this, mm/1000 km, counts as none: a micron in a million km is rounding."""


@dataclass(frozen=True)
class Reach:
    """Odometer at which a limit is reached; None where the readings allow that it never is."""

    earliest_km: float | None
    likely_km: float | None
    latest_km: float | None


@dataclass(frozen=True)
class WearLine:
    """A straight line of wear, with the slowest and the fastest that the readings allow."""

    rate_mm_per_1000km: Band
    """Wear, above nought if the part wears; the low end may be below nought."""
    starts_mm: tuple[float, float, float]
    """What each of the three lines shows at 0 km, as something that gets less."""
    level_error_mm: float
    """How far the level itself may be off, besides the rate."""
    grows: bool
    confidence: float
    """Of the interval of Theil and Sen; 0 if there is none."""
    points: int
    """Distances that were measured at; 1 if the start was assumed."""

    def level_at_mm(self, at_km: float) -> Band:
        r"""What a gauge would show at a distance.

        Parameters
        ----------
        at_km : float
            Odometer. [km]

        Returns
        -------
        Band
            Reading to expect. [mm]

        Notes
        -----
        The three lines, and the error of the gauge on either side.

        Examples
        --------
        >>> round(fit_line([0, 10000], [8, 6.4]).level_at_mm(20000).typical, 3)
        4.8

        References
        ----------
        .. [1] Straight-line wear: Theil and Sen's line carried on.
        """
        low, typical, high = _three(self.rate_mm_per_1000km)
        falling = [
            start - rate / 1000 * at_km
            for start, rate in zip(self.starts_mm, (low, typical, high), strict=True)
        ]
        least, most = min(falling) - self.level_error_mm, max(falling) + self.level_error_mm
        return Band(-most, -falling[1], -least) if self.grows else Band(least, falling[1], most)

    def reaches(self, limit_mm: float) -> Reach:
        """When the limit comes: earliest with the fastest wear, latest with the slowest."""
        limit = -limit_mm if self.grows else limit_mm
        slow, usual, fast = (
            (start + shift - limit) / (rate / 1000) if rate > LEAST_RATE else None
            for start, rate, shift in zip(
                self.starts_mm,
                _three(self.rate_mm_per_1000km),
                (self.level_error_mm, 0.0, -self.level_error_mm),
                strict=True,
            )
        )
        if usual is not None:
            fast = usual if fast is None else min(fast, usual)
            slow = None if slow is None else max(slow, usual)
        return Reach(fast, usual, slow)


def _three(band: Band) -> tuple[float, float, float]:
    return band.low, band.typical, band.high


def fit_line(
    at_km: Sequence[float], value_mm: Sequence[float], *, grows: bool = False, gauge_mm: float = 0.2
) -> WearLine:
    """The wear line through readings taken at two distances or more.

    Parameters
    ----------
    at_km, value_mm : sequence of float
        Odometer; what the gauge showed there. [km; mm]
    grows : bool
        Whether the figure gets more with wear.
    gauge_mm : float
        95 of 100 readings are within this of the truth. [mm]

    Returns
    -------
    WearLine
        The line and its spread.

    Notes
    -----
    Rate and level by Theil and Sen [1]_; the interval of the rate too, but never narrower than the gauge
    allows: with gauge error e, :math:`e / \\sqrt{\\sum (x - \\bar x)^2}` on either side. Two readings have
    no other spread than that.

    Examples
    --------
    >>> line = fit_line([0, 5000, 10000, 15000, 20000], [8.0, 7.1, 6.1, 5.2, 7.9])
    >>> round(line.rate_mm_per_1000km.typical, 3)
    0.18

    References
    ----------
    .. [1] Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389.
    """
    if gauge_mm < 0:
        raise SumError(
            f"gauge error {gauge_mm:g} mm: cannot be below nought; give how far a reading may be off"
        )
    falling = [-value if grows else value for value in value_mm]
    thousands = [km / 1000 for km in at_km]
    typical = -theil_sen_slope(thousands, falling)
    interval = slope_interval(thousands, falling, CONFIDENCE)
    middle = fmean(thousands)
    floor = gauge_mm / math.sqrt(math.fsum((x - middle) ** 2 for x in thousands))
    rate = Band(min(-interval.high, typical - floor), typical, max(-interval.low, typical + floor))
    starts = [theil_sen_intercept(thousands, falling, -each) for each in _three(rate)]
    return WearLine(
        rate_mm_per_1000km=rate,
        starts_mm=(starts[0], starts[1], starts[2]),
        level_error_mm=gauge_mm / math.sqrt(len(thousands)),
        grows=grows,
        confidence=interval.confidence,
        points=len(set(at_km)),
    )


def assumed_line(
    at_km: float,
    value_mm: float,
    fitted_km: float,
    new_mm: Band,
    *,
    grows: bool = False,
    gauge_mm: float = 0.2,
) -> WearLine:
    """The wear line through one reading and what the part is taken to have been when it was fitted.

    Parameters
    ----------
    at_km, value_mm : float
        Odometer; what the gauge showed there. [km; mm]
    fitted_km : float
        Odometer when the part was fitted. [km]
    new_mm : Band
        Figure as new. [mm]
    grows : bool
        Whether the figure gets more with wear.
    gauge_mm : float
        95 of 100 readings are within this of the truth. [mm]

    Returns
    -------
    WearLine
        The line; its spread is that of the figure as new and of the gauge.

    Examples
    --------
    >>> assumed_line(20000, 5.0, 0, Band(8, 8, 8), gauge_mm=0).rate_mm_per_1000km.typical
    0.15

    References
    ----------
    .. [1] Arithmetic; that the part was new then is an assumption, not a measurement.
    """
    if fitted_km >= at_km:
        raise SumError(
            f"fitted at {fitted_km:g} km, read at {at_km:g} km: must be read after it was fitted; check both"
        )
    worn = [(each - value_mm) * (-1 if grows else 1) for each in _three(new_mm)]
    low, typical, high = sorted(worn)
    if high + gauge_mm < 0:
        raise SumError(
            f"reading {value_mm:g} mm, {new_mm.typical:g} mm as new: worn less than new; check both figures"
        )
    thousands = (at_km - fitted_km) / 1000
    rate = Band((low - gauge_mm) / thousands, typical / thousands, (high + gauge_mm) / thousands)
    now = -value_mm if grows else value_mm
    starts = [now + each * at_km / 1000 for each in _three(rate)]
    return WearLine(rate, (starts[0], starts[1], starts[2]), gauge_mm, grows, 0.0, 1)


def wear_rate_mm_per_1000km(
    at_km: Sequence[float], value_mm: Sequence[float], *, grows: bool = False, gauge_mm: float = 0.2
) -> Band:
    """How fast a part wears.

    Parameters
    ----------
    at_km, value_mm : sequence of float
        Odometer; what the gauge showed there. [km; mm]
    grows : bool
        Whether the figure gets more with wear.
    gauge_mm : float
        95 of 100 readings are within this of the truth. [mm]

    Returns
    -------
    Band
        Wear, with its interval. [mm/1000 km]

    Notes
    -----
    See :func:`fit_line`.

    Examples
    --------
    >>> round(wear_rate_mm_per_1000km([0, 10000], [8, 6.4], gauge_mm=0).high, 3)
    0.16

    References
    ----------
    .. [1] Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389.
    """
    return fit_line(at_km, value_mm, grows=grows, gauge_mm=gauge_mm).rate_mm_per_1000km


def margin_mm(value_mm: float, limit_mm: float, *, grows: bool = False) -> float:
    """What may still wear away before the limit; below nought past it.

    Parameters
    ----------
    value_mm, limit_mm : float
        Reading; limit. [mm]
    grows : bool
        Whether the figure gets more with wear.

    Returns
    -------
    float
        Margin. [mm]

    Examples
    --------
    >>> margin_mm(5.2, 1.6), margin_mm(229, 230, grows=True)
    (3.6, 1)

    References
    ----------
    .. [1] Arithmetic.
    """
    return limit_mm - value_mm if grows else value_mm - limit_mm


def distance_to_limit_km(margin_mm: float, rate_mm_per_1000km: float) -> float:
    """Distance until a margin has worn away.

    Parameters
    ----------
    margin_mm : float
        What may still wear away. [mm]
    rate_mm_per_1000km : float
        How fast it wears, above nought. [mm/1000 km]

    Returns
    -------
    float
        Distance. [km]

    Notes
    -----
    Margin over rate: the part is taken to wear on as it did.

    Examples
    --------
    >>> round(distance_to_limit_km(3.6, 0.18))
    20000

    References
    ----------
    .. [1] Arithmetic.
    """
    if rate_mm_per_1000km <= 0:
        raise SumError(
            f"wear of {rate_mm_per_1000km:g} mm/1000 km: the limit is never reached; read again further on"
        )
    return 1000 * margin_mm / rate_mm_per_1000km


def bearable_rate_mm_per_1000km(margin_mm: float, ahead_km: float) -> float:
    """The fastest wear at which a part still lasts a distance: what a single reading can say.

    Parameters
    ----------
    margin_mm : float
        What may still wear away. [mm]
    ahead_km : float
        Distance it has to last, above nought. [km]

    Returns
    -------
    float
        Wear it can bear; nought if it is past its limit. [mm/1000 km]

    Examples
    --------
    >>> bearable_rate_mm_per_1000km(3.0, 15000)
    0.2

    References
    ----------
    .. [1] Arithmetic.
    """
    if ahead_km <= 0:
        raise SumError(f"{ahead_km:g} km ahead: must be above nought; give the distance it has to last")
    return max(margin_mm, 0.0) / ahead_km * 1000
