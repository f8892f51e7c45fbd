"""From the solution of a program to a plan."""

from __future__ import annotations

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.program import TOLERANCE


def parted(master: Master, values: NDArray[np.float64]) -> list[tuple[int, float]]:
    """Columns that should be whole and are not, with the part above the whole below.

    Contents are left out: they follow from the others. An order that counts as free of delivery while its
    goods fall short of that is listed too, however near to one it is: a solver's tolerance is worth more
    than a cent where amounts are large.
    """
    program = master.program
    whole = np.nonzero(np.array(program.whole, np.bool_))[0]
    part = values[whole] - np.floor(values[whole] + TOLERANCE)
    found = {int(column): float(p) for column, p in zip(whole, part, strict=True) if p > TOLERANCE}
    for seller, bought in master.free_orders.items():
        column = program.column["free", seller]
        goods = sum(price * round(float(values[at])) for at, price in bought)
        if values[column] > 0.5 and goods < master.free_from(seller):
            found.setdefault(column, 1.0 - 1e-9)
            for at, _ in bought:
                off = float(values[at] - np.round(values[at]))
                if abs(off) > 1e-13:
                    found.setdefault(at, off if off > 0 else 1.0 + off)
    return sorted(found.items())


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
    left_off = [
        [
            stand.id
            for i, stand in enumerate(reduced.stands)
            if stand.over[s] and values[master.program.column["open", i, s]] > 0.5
        ]
        for s in master.stints
    ]
    return plan_of(reduced.workload, jobs_in, {name: n for name, n in units.items() if n}, left_off)
