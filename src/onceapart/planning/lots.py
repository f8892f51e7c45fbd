"""Which job uses which pieces: what is there first is used first."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Lot:
    """Pieces of one part that a job uses, from the shelf (``offer`` and ``arrives`` are None) or an offer."""

    part: str
    pieces: int
    offer: str | None
    arrives: dt.date | None


@dataclass(frozen=True)
class Lots:
    """``of_job`` is what each job uses, ``spare`` what each offer bought leaves over, by part."""

    of_job: Mapping[str, tuple[Lot, ...]]
    spare: Mapping[str, Mapping[str, int]]


def lots_of(workload: Workload, plan: Plan) -> Lots:
    """Share out the pieces of a plan: jobs in order of time take from the shelf, then what came first.

    Of two offers that come on one day, the one that stands first in the file is used first. Pieces that
    are not there are left out, so a plan that lacks pieces is told by its rules, not here.
    """
    bought = [offer for offer in workload.offers if plan.units.get(offer.id, 0) > 0]
    bought.sort(key=lambda offer: offer.arrives)  # stable: ties stay in the file's order
    left = {
        offer.id: Counter({p: n * plan.units[offer.id] for p, n in offer.parts.items()}) for offer in bought
    }
    shelf = Counter(workload.shelf)
    of_job: dict[str, tuple[Lot, ...]] = {}
    for job_id in (job for work in plan.work for job in work.jobs):
        lots: list[Lot] = []
        for part, need in sorted(workload.job[job_id].parts.items()):
            taken = min(need, shelf[part])
            if taken:
                shelf[part] -= taken
                lots.append(Lot(part, taken, None, None))
                need -= taken
            for offer in bought:
                taken = min(need, left[offer.id][part])
                if taken:
                    left[offer.id][part] -= taken
                    lots.append(Lot(part, taken, offer.id, offer.arrives))
                    need -= taken
        of_job[job_id] = tuple(lots)
    spare = {offer: {part: n for part, n in sorted(over.items()) if n} for offer, over in left.items()}
    return Lots(of_job, {offer: over for offer, over in spare.items() if over})
