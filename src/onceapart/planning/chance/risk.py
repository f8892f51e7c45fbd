"""Where the risk sits: how much better the chance is with one thing certain, on the same luck."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from onceapart.planning.chance.breaks import Bools, InHand
from onceapart.planning.chance.draws import Draws
from onceapart.planning.chance.simulate import simulate
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Stint, Workload

MOST_SOURCES = 16
"""So many of the things that go most with a missed date are looked at closely."""


@dataclass(frozen=True)
class Risk:
    """One thing that may go wrong: a ``job``, ``access`` or ``aftercare`` slower than typical, or a
    ``fastener``, by part, that breaks; ``all minutes`` and ``all fasteners`` are these together."""

    kind: str
    name: str
    gain: float
    """How much the chance of all dates rises where it goes as it typically does."""
    error: float
    """Standard error of the gain."""


@dataclass(frozen=True)
class MoreTime:
    """What a longer stint would do for the chance of all dates, the plan being the same."""

    at: int
    minutes: int
    gain: float
    error: float


def risks(
    workload: Workload,
    plan: Plan,
    trouble: Trouble,
    draws: Draws,
    in_hand: Iterable[InHand] = (),
) -> tuple[Risk, ...]:
    """What the chance of all dates hangs on, the most first.

    Each of the things that go most with a missed date is set to typical minutes, or to a fastener that
    comes, and all runs are worked again with the rest of their luck as it was. What one thing brings alone
    does not add up with what others bring.

    Parameters
    ----------
    workload : Workload
    plan : Plan
    trouble : Trouble
    draws : Draws
    in_hand : iterable of InHand

    Returns
    -------
    tuple of Risk
        First all minutes and all fasteners, then single things, those first that bring most.
    """
    spares = tuple(in_hand)
    usual = simulate(workload, plan, trouble, spares, draws=draws).all_in_time
    sources = _sources(workload, plan, trouble, draws)
    typical = draws
    for kind, name in sources:
        if kind != "fastener":
            typical = _typical(workload, trouble, typical, kind, name)
    every = frozenset(range(len(trouble.fasteners)))

    def gained(kind: str, name: str, luck: Draws) -> Risk:
        held = simulate(workload, plan, trouble, spares, draws=luck).all_in_time
        return Risk(kind, name, *_gain(usual, held))

    together = [
        gained("all minutes", "", typical),
        gained("all fasteners", "", draws.unbroken(every)),
    ]
    single = [
        gained(kind, name, _typical(workload, trouble, draws, kind, name))
        for kind, name in _suspects(sources, trouble, draws, usual)
    ]
    single.sort(key=lambda risk: (-risk.gain, risk.kind, risk.name))
    return (*together, *single)


def more_time(
    workload: Workload,
    plan: Plan,
    trouble: Trouble,
    draws: Draws,
    in_hand: Iterable[InHand] = (),
    *,
    minutes: int = 60,
) -> tuple[MoreTime, ...]:
    """What it would bring to work on so long in one stint, for each stint, the most first."""
    spares = tuple(in_hand)
    usual = simulate(workload, plan, trouble, spares, draws=draws).all_in_time
    found = []
    for at, stint in enumerate(workload.stints):
        stints: list[Stint] = list(workload.stints)
        stints[at] = replace(stint, minutes=stint.minutes + minutes)
        longer = replace(workload, stints=tuple(stints))
        held = simulate(longer, plan, trouble, spares, draws=draws).all_in_time
        found.append(MoreTime(at, minutes, *_gain(usual, held)))
    return tuple(sorted(found, key=lambda more: (-more.gain, more.at)))


def _gain(usual: Bools, held: Bools) -> tuple[float, float]:
    """Mean difference of paired runs, and its standard error."""
    difference = held.astype(float) - usual
    return float(difference.mean()), float(difference.std()) / math.sqrt(len(difference))


def _sources(workload: Workload, plan: Plan, trouble: Trouble, draws: Draws) -> list[tuple[str, str]]:
    """All that the plan holds and that may go otherwise."""
    opened = sorted({name for work in plan.work for name in work.access})
    cares = sorted({name for work in plan.work for name in work.aftercare})
    found = [("job", name) for name in sorted(plan.done)]
    found += [("access", name) for name in opened]
    found += [("aftercare", name) for name in cares]
    found = [(kind, name) for kind, name in found if np.ptp(_minutes(draws, kind, name))]
    met = {*plan.done, *opened}
    parts = {
        one.part
        for one, broken in zip(trouble.fasteners, draws.broken, strict=True)
        if one.of in met and broken.any()
    }
    return [*found, *(("fastener", part) for part in sorted(parts))]


def _minutes(draws: Draws, kind: str, name: str) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    return {"job": draws.jobs, "access": draws.access, "aftercare": draws.aftercare}[kind][name]


def _suspects(
    sources: Sequence[tuple[str, str]], trouble: Trouble, draws: Draws, held: Bools
) -> list[tuple[str, str]]:
    """The sources that go most with a missed date, by correlation."""
    missed = ~held - (~held).mean() if held.any() and not held.all() else None

    def going_with(source: tuple[str, str]) -> float:
        kind, name = source
        if kind == "fastener":
            figure = sum(
                taken
                for one, taken in zip(trouble.fasteners, draws.getting_out, strict=True)
                if one.part == name
            )
        else:
            figure = _minutes(draws, kind, name)
        figure = np.asarray(figure, float)
        if missed is None:  # nothing to go with: those that vary most
            return float(figure.std())
        return float(missed @ (figure - figure.mean())) / (float(figure.std()) or 1.0)

    ranked = sorted(sources, key=lambda source: (-going_with(source), source))
    return ranked[:MOST_SOURCES]


def _typical(workload: Workload, trouble: Trouble, draws: Draws, kind: str, name: str) -> Draws:
    """The same luck with one thing going as it typically does."""
    if kind == "fastener":
        places = frozenset(at for at, one in enumerate(trouble.fasteners) if one.part == name)
        return draws.unbroken(places)
    return draws.with_minutes(kind, name, trouble.spread(kind, name, workload).typical)
