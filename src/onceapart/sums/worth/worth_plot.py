"""The plot of keeping against letting go: cost by month, each with its spread."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from onceapart.sums.worth.keeping import Run, quantiles

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def draw_worth(runs: Sequence[Run], break_even: int | None) -> Figure:
    """Cost so far by month: the middle of all draws, and the four fifths around it."""
    from onceapart.sums.plots import new_plot

    figure, axes = new_plot("Keeping the car or letting it go", "Months from now", "Cost so far")
    months = range(len(runs[0].keep))
    keep = [quantiles([run.keep[month] for run in runs]) for month in months]
    other = [quantiles([run.alternative[month] for run in runs]) for month in months]
    axes.fill_between(
        months, [band.low for band in keep], [band.high for band in keep], color="0.85", label="_"
    )
    axes.plot(months, [band.typical for band in keep], color="black", linestyle="-", label="keeping")
    axes.plot(months, [band.typical for band in other], color="black", linestyle="--", label="alternative")
    for edge in ([band.low for band in other], [band.high for band in other]):
        axes.plot(months, edge, color="0.35", linestyle=":", linewidth=1, label="_")
    if break_even:
        axes.axvline(break_even, color="black", linestyle=":", linewidth=1)
        axes.annotate(
            f"month {break_even}",
            (break_even, 0.02),
            xycoords=("data", "axes fraction"),
            xytext=(3, 0),
            textcoords="offset points",
            fontsize=9,
        )
    axes.set_xlim(0, len(months) - 1)
    axes.set_ylim(bottom=min(0.0, *(band.low for band in keep)))
    axes.legend(loc="upper left", title="middle, and 8 of 10 draws")
    return figure
