"""Plot a corner through its travel, before and after raising."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from onceapart.sums.raising.limits import Limit
from onceapart.sums.raising.travel import Setting, State

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_Curve = tuple[str, Callable[[State], float | None]]


def plot_travel(before: Setting, after: Setting, limits: list[Limit], *, is_strut: bool) -> Figure:
    """Four sets of axes over the travel from ride height: before dashed, after in full, limits dotted."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7, 6.2), layout="constrained")
    axes = figure.subplots(2, 2, sharex=True)
    joints: tuple[_Curve, ...] = (("lower", lambda state: state.lower_joint_deg),)
    if not is_strut:
        joints += (("upper", lambda state: state.upper_joint_deg),)
    shaft: tuple[_Curve, ...] = (
        ("inner", lambda state: state.inner_joint_deg),
        ("outer at lock", lambda state: state.outer_joint_at_lock_deg),
    )
    has_shaft = after.shaft is not None
    panels: tuple[tuple[Axes, str, tuple[_Curve, ...]], ...] = (
        (axes[0][0], "Camber, °", (("", lambda state: state.camber_deg),)),
        (axes[0][1], "Roll centre above the road, mm", (("", lambda state: state.roll_centre_mm),)),
        (axes[1][0], "Ball joint swing, °", joints),
        (axes[1][1], "Driveshaft joints, °", shaft)
        if has_shaft
        else (axes[1][1], "Track, mm", (("", lambda state: state.track_mm),)),
    )
    for panel, title, curves in panels:
        panel.set_title(title, fontsize=10)
        panel.grid(visible=True, linewidth=0.4)
        for words, of in curves:
            _draw(panel, before, of, words, is_after=False)
            _draw(panel, after, of, words, is_after=True)
        panel.axvline(0, color="0.6", linewidth=0.8)
    for limit in limits:
        panel = axes[1][0] if "ball joint" in limit.words else axes[1][1]
        for edge in (-1, 1) if panel is axes[1][0] else (1,):
            if limit.bound.most is not None:
                panel.axhline(edge * limit.bound.most, color="black", linestyle=":", linewidth=1.2)
    for panel in axes[1]:
        panel.set_xlabel("wheel from ride height, mm (bump +)")
    figure.suptitle("Through the travel: before dashed, after in full, limits dotted", fontsize=11)
    return figure


def _draw(
    panel: Axes, setting: Setting, of: Callable[[State], float | None], words: str, *, is_after: bool
) -> None:
    ride = setting.at_ride.travel_mm
    points = [
        (state.travel_mm - ride, value)
        for state in setting.samples
        if (value := of(state)) is not None and math.isfinite(value)
    ]
    if not points:
        return
    across, up = zip(*points, strict=True)
    panel.plot(
        across, up, color="black", linestyle="-" if is_after else "--", linewidth=1.4 if is_after else 1.0
    )
    if words and is_after:
        panel.annotate(
            words, (across[-1], up[-1]), xytext=(-4, 5), textcoords="offset points", ha="right", fontsize=9
        )
