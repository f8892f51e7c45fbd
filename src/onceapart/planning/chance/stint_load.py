"""Minutes that each stint's own work takes, if it goes in the stints as planned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from onceapart.planning.chance.breaks import Breaks, InHand
from onceapart.planning.chance.draws import Draws
from onceapart.planning.chance.minutes import Ints
from onceapart.planning.chance.odds import Odds
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.placing import in_turn
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True, eq=False)
class StintLoad:
    """Minutes of one stint's own work, one figure a run, and the minutes there are. [min]"""

    room: int
    minutes: Ints

    @property
    def fits(self) -> Odds:
        """Chance that the work planned for the stint is done in it, were it begun as planned."""
        return Odds(int((self.minutes <= self.room).sum()), len(self.minutes))

    @property
    def overrun(self) -> float:
        """Minutes it takes beyond the stint on average; what ends early counts as none. [min]"""
        return float(np.maximum(self.minutes - self.room, 0).mean())

    @property
    def overrun_error(self) -> float:
        """Standard error of the overrun. [min]"""
        over = np.maximum(self.minutes - self.room, 0)
        return float(over.std() / np.sqrt(len(over)))

    def within(self, share: float) -> int:
        """Minutes that are enough in this share of the runs. [min]"""
        return int(np.quantile(self.minutes, share, method="inverted_cdf"))


def stint_loads(
    workload: Workload, plan: Plan, trouble: Trouble, draws: Draws, in_hand: Iterable[InHand] = ()
) -> tuple[StintLoad, ...]:
    """Add up the work of each stint, with the fasteners that break and the trips for them.

    Parameters
    ----------
    workload : Workload
    plan : Plan
    trouble : Trouble
    draws : Draws
    in_hand : iterable of InHand
        Spares are used up from stint to stint.

    Returns
    -------
    tuple of StintLoad
        Beside the stints, one for one.
    """
    breaks = Breaks(trouble, draws, in_hand)
    runs = np.arange(draws.runs)
    always = np.ones(draws.runs, bool)
    loads = []
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        breaks.take_in(stint.date)
        found = plan.found_off(workload, at)
        minutes = np.zeros(draws.runs, np.int64)
        for name in work.access:
            on = draws.access[name] // 2
            minutes += np.where(name in found, 0, draws.access[name] - on)
            minutes += np.where(name in work.left_off, 0, on)
        for name in work.aftercare:
            minutes += draws.aftercare[name]
        met = breaks.meeting(runs)
        for kind, name in met_in(workload, plan, at):
            minutes += met.meet(kind, name, always)
            if kind == "job":
                minutes += draws.jobs[name]
        met.keep(always)
        loads.append(StintLoad(stint.minutes, minutes))
    return tuple(loads)


def met_in(workload: Workload, plan: Plan, at: int) -> Iterator[tuple[str, str]]:
    """The ``access`` opened and each ``job`` of a stint, in the order they are met as planned."""
    opened = set(plan.found_off(workload, at))
    for job in in_turn(workload, plan.done):
        if job.id in plan.work[at].jobs:
            for name in workload.opened_for([job.id]):
                if name not in opened:
                    opened.add(name)
                    yield "access", name
            yield "job", job.id
