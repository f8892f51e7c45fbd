"""How many new fasteners a plan may call for, and what it costs on average not to have them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from onceapart.planning.chance.minutes import Chances, binomial
from onceapart.planning.chance.stint_load import met_in
from onceapart.planning.chance.trouble import Fastener, Trouble
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Call:
    """A piece of work that may call for new fasteners of one kind."""

    day: dt.date
    fastener: Fastener
    stop: float
    """What it costs to stop for want of one, however many lack. [minor units]"""

    @property
    def pieces(self) -> Chances:
        """How many it calls for."""
        one = self.fastener
        return Chances.certain(one.count) if one.renew else binomial(one.count, one.chance)


def calls_of(workload: Workload, plan: Plan, trouble: Trouble) -> dict[str, tuple[Call, ...]]:
    """What the plan's work may call for, by part, in the order in which it is met first.

    Parameters
    ----------
    workload : Workload
    plan : Plan
    trouble : Trouble

    Returns
    -------
    dict
        Stopping costs the trip at what an hour is worth. Without a counter it costs the minutes of what has
        to come off again, and a delivery. [minor units]
    """
    found: dict[str, list[Call]] = {}
    met: set[tuple[str, str]] = set()
    for at, stint in enumerate(workload.stints):
        for kind, name in met_in(workload, plan, at):
            if (kind, name) in met:
                continue
            met.add((kind, name))
            places = (trouble.at_access if kind == "access" else trouble.at_job).get(name, ())
            for place in places:
                one = trouble.fasteners[place]
                stop = _stop_cost(workload, trouble, kind, name)
                found.setdefault(one.part, []).append(Call(stint.date, one, stop))
    return {part: tuple(calls) for part, calls in sorted(found.items())}


def _stop_cost(workload: Workload, trouble: Trouble, kind: str, name: str) -> float:
    if trouble.trip is not None:
        return trouble.trip * workload.hour_worth / 60
    opened = workload.opened_for([name]) if kind == "job" else _with_under(workload, name)
    minutes = sum(workload.access_by_id[access].minutes for access in opened)
    delivery = min((seller.delivery for seller in workload.sellers), default=0)
    return minutes * workload.hour_worth / 60 + delivery


def _with_under(workload: Workload, name: str) -> set[str]:
    found = {name}
    for under in workload.access_by_id[name].under:
        found |= _with_under(workload, under)
    return found


def pieces_called(calls: Iterable[Call]) -> Chances:
    """How many pieces are called for in all."""
    total = Chances.certain(0)
    for call in calls:
        total = total + call.pieces
    return total


def cost_of_lacking(
    calls: Sequence[Call], in_hand: Iterable[tuple[dt.date, int]], piece: float = 0.0
) -> float:
    """What stopping costs on average, with so many spares in the house.

    Parameters
    ----------
    calls : sequence of Call
        Of one part, in the order met.
    in_hand : iterable of (date, int)
        Pieces, and the day they are there from.
    piece : float
        Price of one that is got when it lacks. [minor units]

    Returns
    -------
    float
        Exact, by the chances of how many are left. [minor units]
    """
    coming = sorted(in_hand)
    left = np.ones(1)
    """Chances of how many spares are left."""
    cost = 0.0
    for call in calls:
        while coming and coming[0][0] <= call.day:
            left = np.concatenate((np.zeros(coming.pop(0)[1]), left))
        after = np.zeros(len(left))
        for number, chance in enumerate(call.pieces.chance, start=call.pieces.least):
            # What is left once so many are taken; below none, it was short.
            kept = left[min(number, len(left)) :]
            after[: len(kept)] += chance * kept
            lacking = left[:number]
            after[0] += chance * lacking.sum()
            cost += chance * call.stop * lacking.sum()
            cost += chance * piece * float(lacking @ (number - np.arange(len(lacking))))
        left = after
    return cost
