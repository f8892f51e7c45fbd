"""Plots of what was measured on a car over time, with the limits it is held to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from onceapart.inspection.reading import Reading
from onceapart.inspection.verdicts import ItemVerdict
from onceapart.inspection.wording import place_words

_MARKS = "osD^vP*X"
_MOST_TICKS = 5


def measurement_plots(
    readings: Iterable[Reading], verdicts: Iterable[ItemVerdict]
) -> dict[str, tuple[str, str]]:
    """A plot for each item measured at least twice somewhere: item -> SVG, and what it shows in words.

    Over the odometer where every reading has one, else over the days. Limits are those that are sure.
    """
    by_item: dict[str, list[Reading]] = {}
    for one in readings:
        if one.amount is not None and not one.worked_out:
            by_item.setdefault(one.item.id, []).append(one)
    limits: dict[str, set[float]] = {}
    for each in verdicts:
        sure = {row.limit for row in each.limits if row.is_sure and row.limit is not None}
        limits.setdefault(each.item.id, set()).update(sure)
    return {
        item: _plot(several, sorted(limits.get(item, ())))
        for item, several in by_item.items()
        if _is_followed(several)
    }


def _is_followed(several: Sequence[Reading]) -> bool:
    days: dict[str, set[dt.date]] = {}
    for one in several:
        days.setdefault(one.place, set()).add(one.date)
    return any(len(found) > 1 for found in days.values())


def _plot(several: Sequence[Reading], limits: Sequence[float]) -> tuple[str, str]:
    from onceapart.sums.plots import new_plot, plot_svg

    item = several[0].item
    odometers = [one.odometer_km for one in several]
    by_distance = None not in odometers and len(set(odometers)) > 1
    unit = f", {item.unit}" if item.unit else ""
    figure, axes = new_plot("", "Odometer, 1000 km" if by_distance else "Day", f"Reading{unit}")
    figure.set_size_inches(6.4, 2.9)
    places: dict[str, list[Reading]] = {}
    for one in sorted(several, key=lambda one: one.date):
        places.setdefault(one.place, []).append(one)
    for number, (place, found) in enumerate(places.items()):
        at = [_at(one, by_distance=by_distance) for one in found]
        axes.plot(
            at,
            [one.amount or 0.0 for one in found],
            marker=_MARKS[number % len(_MARKS)],
            fillstyle="full" if number % 2 == 0 else "none",
            linewidth=1.0,
            label=place_words(place, item) or "car",
        )
    for number, limit in enumerate(limits):
        axes.axhline(limit, color="black", linestyle=["--", ":", "-."][number % 3], linewidth=1.2)
        axes.annotate(
            f"limit {limit:g}{unit}".replace(",", ""),
            (0.01, limit),
            xycoords=("axes fraction", "data"),
            xytext=(0, 2),
            textcoords="offset points",
            fontsize=8,
        )
    values = [one.amount or 0.0 for one in several] + list(limits)
    room = 0.15 * (max(values) - min(values) or 1)
    axes.set_ylim(min(values) - room, max(values) + room)
    if not by_distance:
        days = sorted({one.date for one in several})
        shown = days if len(days) <= _MOST_TICKS else [days[0], days[len(days) // 2], days[-1]]
        axes.set_xticks([each.toordinal() for each in shown], [each.isoformat() for each in shown])
    axes.legend(fontsize=8, loc="best")
    return plot_svg(figure), f"{item.title}: {len(several)} readings at {', '.join(places)}"


def _at(one: Reading, *, by_distance: bool) -> float:
    return (one.odometer_km or 0.0) / 1000 if by_distance else float(one.date.toordinal())
