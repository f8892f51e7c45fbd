"""From the solution of a program to a plan."""

from __future__ import annotations

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.solve.master import TOLERANCE, Master


def is_whole(master: Master, values: NDArray[np.float64]) -> bool:
    """Whether every column that has to be whole is, contents apart: they follow from the others."""
    whole = np.array(master.program.whole)
    part = np.abs(values - np.round(values))
    return bool((part[whole] <= TOLERANCE).all())


def undone(master: Master, values: NDArray[np.float64]) -> float:
    """How much the solution leans on slacks: jobs done by nothing, limits passed."""
    return float(values[master.slacks].sum())


def plan_from(master: Master, values: NDArray[np.float64]) -> Plan:
    """The plan of a whole solution; access, aftercare and tools follow from jobs and stints."""
    reduced = master.reduced
    jobs_in: list[list[str]] = [[] for _ in master.stints]
    for at, job in enumerate(reduced.jobs):
        for stint in range(job.first, job.last + 1):
            if values[master.program.column["done", at, stint]] > 0.5:
                jobs_in[stint].append(job.id)
                break
    units: Counter[str] = Counter()
    for offer in master.offers:
        for kind in ("buy", "extra"):
            column = master.program.column.get((kind, offer.id))
            if column is not None:
                units[offer.id] += round(float(values[column]))
    return plan_of(reduced.workload, jobs_in, {name: n for name, n in units.items() if n})
