"""The speedometer against UN R39, and how large a tyre it allows."""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.tyres.ratios import reading_error_percent

USUAL_SPEEDS_KMH = (50, 70, 90, 110, 130)
"""Where the limit is tabulated if nothing was measured: speeds on road signs."""
SHARE = 0.1
TERM_KMH = 4.0
"""UN R39 clause 5.3 (quoted in two places): shown less true is from 0 to a tenth of true and 4 km/h."""


def most_shown_kmh(true_kmh: float) -> float:
    r"""Highest speed that may be shown at a true speed.

    Parameters
    ----------
    true_kmh : float
        True speed. [km/h]

    Returns
    -------
    float
        Highest reading allowed; the lowest is the true speed. [km/h]

    Notes
    -----
    :math:`0 \le V_1 - V_2 \le 0.1 V_2 + 4`.

    Examples
    --------
    >>> round(most_shown_kmh(90), 6)
    103.0

    References
    ----------
    .. [1] UN R39 clause 5.3 (quoted in two places; 50, 70, 90, 110 and 130 km/h in a news table).
    """
    if not 0 <= true_kmh <= 400:
        raise SumError(f"{true_kmh:g} km/h: must be 0 to 400; check the reading")
    return true_kmh * (1 + SHARE) + TERM_KMH


@dataclass(frozen=True)
class SpeedReading:
    """A true speed and what was shown at it, on the tyres the car has."""

    true_kmh: float
    shown_kmh: float

    def true_with(self, ratio: float) -> float:
        """True speed when the same is shown on other tyres."""
        return self.true_kmh * ratio

    def error_with(self, ratio: float) -> float:
        """Shown less true on other tyres, km/h."""
        return self.shown_kmh - self.true_with(ratio)

    def is_allowed_with(self, ratio: float) -> bool:
        """Whether UN R39 allows the reading on other tyres."""
        true = self.true_with(ratio)
        # A thousandth of a km/h is beyond any reading: rounding must not decide at the edge.
        return -1e-3 <= self.shown_kmh - true <= most_shown_kmh(true) - true + 1e-3


def assumed_readings(over_reading_percent: float) -> tuple[SpeedReading, ...]:
    """Readings at the usual speeds, if the speedometer shows so much too much."""
    return tuple(SpeedReading(true, true * (1 + over_reading_percent / 100)) for true in USUAL_SPEEDS_KMH)


def largest_ratio(readings: tuple[SpeedReading, ...]) -> float:
    r"""Largest diameter ratio at which the speedometer never shows too little.

    Parameters
    ----------
    readings : tuple of SpeedReading
        True and shown speeds on the old tyres.

    Returns
    -------
    float
        Ratio of new to old diameter. [-]

    Notes
    -----
    :math:`r \le V_1 / V_2` at every reading.

    Examples
    --------
    >>> round(largest_ratio((SpeedReading(50, 52), SpeedReading(90, 95))), 3)
    1.04

    References
    ----------
    .. [1] UN R39 clause 5.3, solved for the ratio.
    """
    return min(reading.shown_kmh / reading.true_kmh for reading in _some(readings))


def smallest_ratio(readings: tuple[SpeedReading, ...]) -> float:
    r"""Smallest diameter ratio at which the speedometer does not show too much.

    Parameters
    ----------
    readings : tuple of SpeedReading
        True and shown speeds on the old tyres.

    Returns
    -------
    float
        Ratio of new to old diameter; above the largest if the speedometer is out of its limits anyway. [-]

    Notes
    -----
    :math:`r \ge (V_1 - 4) / (1.1 V_2)` at every reading.

    Examples
    --------
    >>> round(smallest_ratio((SpeedReading(50, 52), SpeedReading(90, 95))), 3)
    0.919

    References
    ----------
    .. [1] UN R39 clause 5.3, solved for the ratio.
    """
    return max(
        (reading.shown_kmh - TERM_KMH) / ((1 + SHARE) * reading.true_kmh) for reading in _some(readings)
    )


def _some(readings: tuple[SpeedReading, ...]) -> tuple[SpeedReading, ...]:
    if not readings:
        raise SumError("no readings: at least one is needed; drive at a steady speed and note both figures")
    return readings


def shown_for_true_kmh(true_kmh: float, ratio: float, over_reading_percent: float) -> float:
    r"""Speed shown at a true speed on the new tyres.

    Parameters
    ----------
    true_kmh : float
        True speed. [km/h]
    ratio : float
        New over old diameter. [-]
    over_reading_percent : float
        How much too much it showed on the old tyres. [%]

    Returns
    -------
    float
        Speed shown. [km/h]

    Notes
    -----
    :math:`v (1 + e) / r`.

    Examples
    --------
    >>> round(shown_for_true_kmh(100, 1.02, 2.0), 6)
    100.0

    References
    ----------
    .. [1] Geometry; no document.
    """
    return true_kmh * (1 + over_reading_percent / 100) * (1 + reading_error_percent(ratio) / 100)
