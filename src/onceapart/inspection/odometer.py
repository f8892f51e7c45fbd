"""Odometer readings of a car over time: the unit, those that run backward, and how far it is driven."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterable, Sequence

from onceapart.errors import SumError
from onceapart.sums.units import convert
from onceapart.sums.wear.days import yearly_distance_km


def odometer_km(text: str | None) -> float | None:
    """An odometer reading as the workshop file holds it. [km]

    >>> odometer_km("143200 km"), odometer_km("89400 mi"), odometer_km(None)
    (143200.0, 143875.3536, None)
    """
    if text is None:
        return None
    number, _, unit = text.partition(" ")
    return convert(float(number), unit, "km")


def running_backward(
    found: Iterable[tuple[int, dt.date, str | None]],
) -> dict[int, tuple[dt.date, str]]:
    """Readings of one car that can't all be right, fewest first.

    Parameters
    ----------
    found : iterable of (int, date, str or None)
        Index of the finding, its day and its odometer.

    Returns
    -------
    dict
        Index of each reading that does not fit the others -> day and odometer of the one it goes against.

    Notes
    -----
    The longest run that never falls is kept, of equally long ones the one that begins earliest, so that one
    slip of the pen does not cast doubt on all that came after it. Readings of one day may stand in any order.

    Examples
    --------
    >>> days = [dt.date(2025, 1, 1), dt.date(2025, 6, 1), dt.date(2026, 1, 1)]
    >>> running_backward(zip(range(3), days, ["900000 km", "90400 km", "91000 km"]))
    {0: (datetime.date(2025, 6, 1), '90400 km')}
    """
    known = [(day, odometer_km(text) or 0.0, index, text) for index, day, text in found if text is not None]
    known.sort(key=lambda one: one[:3])
    kept = _longest_run([km for _, km, _, _ in known])
    against = {}
    for at, (_, km, index, _) in enumerate(known):
        if at in kept:
            continue
        before = [known[k] for k in sorted(kept) if k < at and known[k][1] > km]
        after = [known[k] for k in sorted(kept) if k > at and known[k][1] < km]
        other = before[-1] if before else after[0]
        against[index] = (other[0], str(other[3]))
    return against


def _longest_run(values: Sequence[float]) -> frozenset[int]:
    """Indexes of the longest run that never falls; the earliest of several."""
    # From the end, with signs turned: the length of the longest run that begins at each value.
    tails: list[float] = []
    lengths = [0] * len(values)
    for at in range(len(values) - 1, -1, -1):
        spot = bisect_right(tails, -values[at])
        lengths[at] = spot + 1
        if spot == len(tails):
            tails.append(-values[at])
        else:
            tails[spot] = -values[at]
    kept, left, least = [], max(lengths, default=0), float("-inf")
    for at, value in enumerate(values):
        if lengths[at] == left and value >= least and left:
            kept.append(at)
            left, least = left - 1, value
    return frozenset(kept)


def yearly_km(found: Iterable[tuple[dt.date, float | None]]) -> float | None:
    """Distance driven in a year by a car's readings; None if they do not say. [km/year]"""
    known = sorted({(day, km) for day, km in found if km is not None})
    if len(known) < 2:
        return None
    try:
        return yearly_distance_km([km for _, km in known], [day for day, _ in known])
    except SumError:
        return None
