"""Plots where axes matter: a matplotlib figure without pyplot, readable in black and white.

matplotlib is imported when a plot is drawn, never before.
"""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def new_plot(title: str, x_label: str, y_label: str) -> tuple[Figure, Axes]:
    """A figure with one set of axes, titled and gridded; draw on the axes and return the figure."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7, 4.2), layout="constrained")
    axes = figure.add_subplot()
    axes.set(title=title, xlabel=x_label, ylabel=y_label)
    axes.grid(visible=True, linewidth=0.4)
    axes.set_prop_cycle(color=["black", "0.35", "0.55", "0.2"], linestyle=["-", "--", ":", "-."])
    return figure, axes


def plot_svg(figure: Figure) -> str:
    """The figure as SVG text; the same figure gives the same bytes."""
    import matplotlib as mpl

    with mpl.rc_context({"svg.hashsalt": "onceapart", "svg.fonttype": "none"}):
        out = BytesIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue().decode()


def plot_png(figure: Figure, dots_per_inch: int = 110) -> bytes:
    """The figure as PNG bytes."""
    out = BytesIO()
    figure.savefig(out, format="png", dpi=dots_per_inch, metadata={"Software": None})
    return out.getvalue()
