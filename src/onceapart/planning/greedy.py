"""A first plan, made by hand rules: good enough to measure the search against, and quick."""

from __future__ import annotations

from collections import Counter, defaultdict

from onceapart.planning.cost import time_worth
from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Job, Offer, Workload


def greedy_plan(workload: Workload) -> Plan | None:
    """Place job after job where it adds least, then buy what is needed; None where that leads nowhere.

    Jobs with the nearest last day come first, wishes last and only where they pay. The plan keeps all
    rules; it is not the best one.
    """
    prices = _piece_prices(workload)
    jobs_in: list[list[str]] = [[] for _ in workload.stints]
    at: dict[str, int] = {}
    far = len(workload.stints)
    last = {
        job.id: sum(job.last_day is None or s.date <= job.last_day for s in workload.stints)
        for job in workload.jobs
    }
    waiting = sorted(workload.jobs, key=lambda job: (not job.is_must, last.get(job.id, far), -job.minutes))
    while waiting:
        job = next((j for j in waiting if all(name in at for name in j.after)), None)
        if job is None:
            job = waiting[0]
            if job.is_must:
                return None
            waiting.remove(job)
            continue
        waiting.remove(job)
        found = _best_place(workload, job, jobs_in, at, prices)
        if found is None:
            if job.is_must:
                return None
            continue
        at[job.id] = found
        jobs_in[found].append(job.id)
    units = cheapest_units(workload, jobs_in)
    if units is None:
        return None
    plan = plan_of(workload, jobs_in, units)
    return None if broken_rules(workload, plan) else plan


def _piece_prices(workload: Workload) -> dict[str, list[tuple[int, float]]]:
    """For each part, (stint, price of a piece with a share of delivery) of every offer."""
    prices: dict[str, list[tuple[int, float]]] = defaultdict(list)
    for offer in workload.offers:
        first = sum(stint.date < offer.arrives for stint in workload.stints)
        each = (offer.price + workload.seller[offer.seller].delivery / 3) / sum(offer.parts.values())
        for part in offer.parts:
            prices[part].append((first, each))
    return prices


def _best_place(
    workload: Workload,
    job: Job,
    jobs_in: list[list[str]],
    at: dict[str, int],
    prices: dict[str, list[tuple[int, float]]],
) -> int | None:
    """The stint where the job adds least; None where it fits none, or a wish isn't worth it."""
    best: tuple[float, int] | None = None
    earliest = max((at[name] for name in job.after), default=0)
    for place in range(earliest, len(workload.stints)):
        stint = workload.stints[place]
        if not workload.may_stand_in(job.id, place):
            continue
        figures = []
        for jobs in (jobs_in[place], [*jobs_in[place], job.id]):
            opened = workload.opened_for(jobs)
            care = workload.aftercare_for(jobs, opened)
            minutes = workload.minutes_of(jobs, opened, care)
            price = sum(workload.aftercare_by_id[name].price for name in care)
            price += sum(_cheapest_way(workload, name) for name in workload.tools_for(jobs, opened))
            figures.append((minutes, price))
        if figures[1][0] > stint.minutes:
            continue
        added = figures[1][1] - figures[0][1]
        added += time_worth(figures[1][0] - figures[0][0], workload.hour_worth)
        parts = 0.0
        for part, pieces in job.parts.items():
            here = [each for first, each in prices[part] if first <= place]
            if workload.shelf.get(part, 0) >= pieces:
                continue
            parts += pieces * min(here, default=float("inf"))
        if parts == float("inf") or (not job.is_must and added + parts >= job.worth):
            continue
        if best is None or added + parts < best[0]:
            best = (added + parts, place)
    return None if best is None else best[1]


def _cheapest_way(workload: Workload, name: str) -> int:
    tool = workload.tool[name]
    ways = [price for price in (tool.hire, tool.buy) if price is not None]
    return 0 if tool.have else min(ways, default=10**9)


def cheapest_units(workload: Workload, jobs_in: list[list[str]]) -> dict[str, int] | None:
    """Units that cover what the jobs use by then, bought one by one where a piece costs least.

    None where the pieces can't be had in time. Units that turn out to be of no use are taken back.
    """
    units: Counter[str] = Counter()
    used: Counter[str] = Counter()
    for place, jobs in enumerate(jobs_in):
        for job_id in jobs:
            used.update(workload.job[job_id].parts)
        day = workload.stints[place].date
        here = [offer for offer in workload.offers if offer.arrives <= day]
        while True:
            short = _short(workload, used, units, here)
            if not short:
                break
            best = min(
                (o for o in here if o.limit is None or units[o.id] < o.limit),
                key=lambda offer: _piece_price(workload, offer, short, units),
                default=None,
            )
            if best is None or _piece_price(workload, best, short, units) == float("inf"):
                return None
            units[best.id] += 1
    for offer_id in sorted(units, key=lambda name: -workload.offer[name].price):
        while units[offer_id]:
            units[offer_id] -= 1
            if not _covered(workload, jobs_in, units):
                units[offer_id] += 1
                break
    return {offer_id: n for offer_id, n in units.items() if n}


def _short(workload: Workload, used: Counter[str], units: Counter[str], here: list[Offer]) -> dict[str, int]:
    have = Counter(workload.shelf)
    for offer in here:
        for part, pieces in offer.parts.items():
            have[part] += pieces * units[offer.id]
    return {part: n - have[part] for part, n in used.items() if n > have[part]}


def _piece_price(workload: Workload, offer: Offer, short: dict[str, int], units: Counter[str]) -> float:
    useful = sum(min(pieces, short.get(part, 0)) for part, pieces in offer.parts.items())
    if not useful:
        return float("inf")
    seller = workload.seller[offer.seller]
    opened = any(n and workload.offer[name].seller == seller.id for name, n in units.items())
    return (offer.price + (0 if opened else seller.delivery)) / useful


def _covered(workload: Workload, jobs_in: list[list[str]], units: Counter[str]) -> bool:
    used: Counter[str] = Counter()
    for place, jobs in enumerate(jobs_in):
        for job_id in jobs:
            used.update(workload.job[job_id].parts)
        day = workload.stints[place].date
        here = [o for o in workload.offers if units[o.id] and o.arrives <= day]
        if jobs and _short(workload, used, units, here):
            return False
    return True
