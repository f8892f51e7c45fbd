"""Two plain ways of doing the same jobs, to measure a plan against. Both are worked out by ``cost``.

* *Every job on its own*: each opens everything for itself, with its own aftercare and hire, and buys its
  parts for itself: at the counter (sellers without delivery that have the part today), else as the cheapest
  order of that part alone. What a pack leaves over is on the shelf for the next job. Each goes into the first
  stint with room for it.
* *The cheapest offer line by line*: each part is bought where its pieces cost least, whoever sells it, as
  long as it comes in time; delivery is paid to every seller used. Then each job goes into the stint where it
  adds least, sharing what is open there.

Musts come first, the nearest last day first. Neither way looks ahead, so jobs may find no room: they go into
further stints, each as long as the longest there is, on the last day there is (or when their parts have
come). So a baseline breaks no rule but, where it says so, that of the last day.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from onceapart.planning.cost import Cost, cost, goods_by_seller, ready_day
from onceapart.planning.covering import cheapest_of_part, is_counter, money_for
from onceapart.planning.placing import Placer, in_turn, minutes_alone
from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.workload import Job, Offer, Seller, Stint, Workload


@dataclass(frozen=True)
class Baseline:
    """One plain way of doing some jobs: a plan of a workload made for it."""

    workload: Workload
    plan: Plan
    cost: Cost
    orders: int
    ready: dt.date | None
    """Day of the last inspection or safety job; None where there is no such job, or one of them only
    finds room in a further stint."""
    late: tuple[str, ...]
    """Jobs that are done after their last day."""
    extra_stints: int
    """Further stints that are needed."""
    extra_minutes: int
    """Minutes worked in them."""

    @property
    def fits(self) -> bool:
        """Whether all its jobs are done in the stints there are and in time."""
        return not self.late and not self.extra_stints


def on_its_own(workload: Workload, done: Collection[str]) -> Baseline:
    """Every job on its own from the counter.

    The workload of the baseline has a stint for each job, and sellers and offers that serve one job alone,
    with ``@`` and the job behind their ids.

    Parameters
    ----------
    workload : Workload
    done : collection of str
        The jobs to do: those of the plan to be compared, so that figures compare like with like.

    Raises
    ------
    ValueError
        Pieces that a job uses can't be had, so that no plan does these jobs.
    """
    shop = _Shop(workload)
    placer = Placer(workload, shares=False)
    for job in in_turn(workload, done):
        placer.place(job, shop.buy_for(job))
    order = sorted(placer.at, key=lambda name: (placer.day(placer.at[name]), placer.at[name]))
    days = {name: placer.day(placer.at[name]) for name in order}
    apart = replace(
        workload,
        jobs=tuple(replace(workload.job[name], held_to=None) for name in order),
        sellers=tuple(shop.sellers.values()),
        offers=tuple(shop.offers.values()),
        stints=tuple(Stint(days[name], minutes_alone(workload, name), f"@{name}") for name in order),
    )
    return _baseline(apart, [[name] for name in order], shop.units, placer)


def line_by_line(workload: Workload, done: Collection[str]) -> Baseline:
    """The cheapest offer for each part.

    The workload of the baseline has the further stints, and only the jobs that are done.

    Parameters
    ----------
    workload : Workload
    done : collection of str
        As for ``on_its_own``.

    Raises
    ------
    ValueError
        As for ``on_its_own``.
    """
    jobs = in_turn(workload, done)
    units: Counter[str] = Counter()
    total = Counter({part: n for part, n in sorted(_pieces(jobs).items()) if n})
    for part, pieces in total.items():
        users = [job for job in jobs if job.parts.get(part)]
        last = min(_last_stint_day(workload, job) for job in users)
        in_hand = workload.shelf.get(part, 0)
        in_hand += sum(n * workload.offer[offer].parts.get(part, 0) for offer, n in units.items())
        units.update(_cheapest(workload.offers, part, pieces - in_hand, last, units))
    placer = Placer(workload, shares=True)
    for job in jobs:
        parts = [part for part, n in job.parts.items() if n]
        arrives = [_all_there(workload, units, part, total[part]) for part in parts]
        placer.place(job, max(arrives, default=workload.today))
    kept = tuple(job for job in workload.jobs if job.id in done)
    return _baseline(replace(workload, jobs=kept, stints=placer.stints()), placer.jobs_in, units, placer)


def _pieces(jobs: Iterable[Job]) -> Counter[str]:
    pieces: Counter[str] = Counter()
    for job in jobs:
        pieces.update(job.parts)
    return pieces


def _last_stint_day(workload: Workload, job: Job) -> dt.date:
    """The day of the last stint a job may be done in; the day orders are placed where there is none."""
    days = [s.date for s in workload.stints if job.last_day is None or s.date <= job.last_day]
    return days[-1] if days else workload.today


def _cheapest(
    offers: Iterable[Offer], part: str, pieces: int, last: dt.date, units: Counter[str]
) -> dict[str, int]:
    """The units with least goods of those that come by the last day, or else of all."""
    having = [offer for offer in offers if part in offer.parts]
    for choice in ([offer for offer in having if offer.arrives <= last], having):
        found = cheapest_of_part(choice, part, max(0, pieces), units)
        if found is not None:
            return found
    raise ValueError(f"{pieces} pieces of {part} can't be had")


def _all_there(workload: Workload, units: Counter[str], part: str, pieces: int) -> dt.date:
    """The day from which so many pieces of a part are there."""
    have, day = workload.shelf.get(part, 0), workload.today
    bought = [offer for offer in workload.offers if units[offer.id] and part in offer.parts]
    for offer in sorted(bought, key=lambda offer: offer.arrives):
        if have >= pieces:
            break
        have, day = have + units[offer.id] * offer.parts[part], offer.arrives
    return day


def _baseline(workload: Workload, jobs_in: list[list[str]], units: Counter[str], placer: Placer) -> Baseline:
    plan = plan_of(workload, jobs_in, units)
    job = workload.job
    further = range(placer.n_real, len(placer.jobs_in))
    unplaced = {name for at in further for name in placer.jobs_in[at]}
    is_ready = not any(job[name].is_must for name in unplaced)
    return Baseline(
        workload=workload,
        plan=plan,
        cost=cost(workload, plan),
        orders=len(goods_by_seller(workload, plan)),
        ready=ready_day(workload, plan) if is_ready else None,
        late=tuple(sorted(name for name, at in placer.at.items() if placer.is_late(job[name], at))),
        extra_stints=len(further),
        extra_minutes=sum(placer.used[at] for at in further),
    )


class _Shop:
    """Buys for one job after the other, each order for one job alone."""

    def __init__(self, workload: Workload) -> None:
        self.workload = workload
        self.taken: Counter[str] = Counter()
        """Units bought of the workload's offers."""
        self.units: Counter[str] = Counter()
        """The same, each under the name of the job's own offer."""
        self.sellers: dict[str, Seller] = {}
        self.offers: dict[str, Offer] = {}
        self.in_hand: dict[str, list[tuple[dt.date, int]]] = defaultdict(list)
        for part, pieces in workload.shelf.items():
            self.in_hand[part].append((workload.today, pieces))

    def buy_for(self, job: Job) -> dt.date:
        """Buy what a job lacks of its parts; the day they are all there."""
        day = self.workload.today
        for part, pieces in sorted(job.parts.items()):
            in_hand = sum(n for _, n in self.in_hand[part])
            if pieces > in_hand:
                for offer_id, count in self._units_for(job, part, pieces - in_hand).items():
                    self._buy(job, self.workload.offer[offer_id], count)
            day = max(day, self._use(part, pieces))
        return day

    def _units_for(self, job: Job, part: str, pieces: int) -> dict[str, int]:
        """From the counter; else the cheapest order of the part at one seller; else from several."""
        workload = self.workload
        offers = [offer for offer in workload.offers if part in offer.parts]
        counter = [offer for offer in offers if is_counter(workload, offer)]
        found = cheapest_of_part(counter, part, pieces, self.taken)
        if found is not None:
            return found
        last = _last_stint_day(workload, job)
        for choice in ([offer for offer in offers if offer.arrives <= last], offers):
            orders = [
                (money_for(workload, units), seller, units)
                for seller in sorted({offer.seller for offer in choice})
                if (units := self._from_seller(seller, choice, part, pieces)) is not None
            ]
            if orders:
                return min(orders, key=lambda order: order[:2])[2]
        return _cheapest(offers, part, pieces, last, self.taken)

    def _from_seller(
        self, seller: str, offers: Iterable[Offer], part: str, pieces: int
    ) -> dict[str, int] | None:
        sold = [offer for offer in offers if offer.seller == seller]
        return cheapest_of_part(sold, part, pieces, self.taken)

    def _buy(self, job: Job, offer: Offer, count: int) -> None:
        self.taken[offer.id] += count
        own = replace(offer, id=f"{offer.id}@{job.id}", seller=f"{offer.seller}@{job.id}")
        seller = self.workload.seller[offer.seller]
        self.sellers[own.seller] = replace(seller, id=own.seller)
        self.offers[own.id] = own
        self.units[own.id] += count
        for part, n in offer.parts.items():
            self.in_hand[part].append((offer.arrives, n * count))

    def _use(self, part: str, pieces: int) -> dt.date:
        """Take pieces in hand, those that come first; the day they are there."""
        day, rest = self.workload.today, []
        for arrives, n in sorted(self.in_hand[part]):
            used = min(n, pieces)
            pieces -= used
            if used:
                day = max(day, arrives)
            if n > used:
                rest.append((arrives, n - used))
        self.in_hand[part] = rest
        return day
