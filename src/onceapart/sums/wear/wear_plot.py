"""The plot of wear: readings, lines, limits, and the spread of the part that is worn out first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from onceapart.sums.wear.kinds import Kind, Limit
from onceapart.sums.wear.outlook import Outlook

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MARKS = "osD^vP*X"


def draw_wear(judged: Sequence[Outlook], limits: Sequence[Limit], kind: Kind) -> Figure:
    """Readings over distance; the first part is the one with its spread drawn."""
    from onceapart.sums.plots import new_plot

    first = judged[0]
    figure, axes = new_plot(f"Wear: {kind.meaning}", "Odometer, 1000 km", "Reading, mm")
    end = _end_km(judged)
    for number, each in enumerate(judged):
        mark = MARKS[number % len(MARKS)]
        xs = [reading.at_km / 1000 for reading in each.readings]
        axes.plot(
            xs,
            [reading.value_mm for reading in each.readings],
            mark,
            color="black",
            fillstyle="full" if number == 0 else "none",
            linestyle="none",
            label=each.where,
        )
        if each.line is not None:
            start = each.readings[0].at_km
            ends = [each.line.level_at_mm(at).typical for at in (start, end)]
            axes.plot([start / 1000, end / 1000], ends, color="black", linestyle="-", linewidth=1.0)
    if first.line is not None:
        last = first.readings[-1].at_km
        steps = [last + (end - last) * part / 40 for part in range(41)]
        bands = [first.line.level_at_mm(at) for at in steps]
        axes.fill_between(
            [at / 1000 for at in steps],
            [band.low for band in bands],
            [band.high for band in bands],
            color="0.85",
            label=f"spread of {first.where}",
        )
    for number, limit in enumerate(limits):
        axes.axhline(limit.limit_mm, color="black", linestyle=["--", ":", "-."][number % 3], linewidth=1.2)
        axes.annotate(
            f"{limit.limit_mm:g} mm, {limit.what}",
            (0.01, limit.limit_mm),
            xycoords=("axes fraction", "data"),
            xytext=(0, 2),
            textcoords="offset points",
            fontsize=8,
        )
    values = [reading.value_mm for each in judged for reading in each.readings]
    values += [limit.limit_mm for limit in limits]
    room = 0.12 * (max(values) - min(values) or 1)
    bottom = min(values) - room
    axes.set(ylim=(bottom if kind.grows or bottom > 0 else min(bottom, 0), max(values) + room))
    axes.legend(fontsize=8, loc="upper left" if kind.grows else "upper right")
    return figure


def _end_km(judged: Sequence[Outlook]) -> float:
    """Far enough to see the first limit reached, but not so far that the readings shrink to a dot."""
    starts = min(each.readings[0].at_km for each in judged)
    last = max(each.readings[-1].at_km for each in judged)
    span = max(last - starts, 1000.0)
    reach = judged[0].reach
    wanted = reach.likely_km or last
    if reach.latest_km is not None:
        wanted = max(wanted, min(reach.latest_km, last + 2 * span))
    return min(max(wanted, last + 0.3 * span), last + 4 * span)
