"""What some jobs of a plan cost, their share of what is shared counted, and what doing them so has saved."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from onceapart.bench.entries import Ordered
from onceapart.bench.state import State
from onceapart.planning.baselines import on_its_own
from onceapart.planning.cost import delivery_of, goods_by_seller
from onceapart.planning.lots import lots_of
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class PartPaid:
    """Pieces of a part that a job uses from one source. [minor units]"""

    job: str
    part: str
    pieces: int
    offer: str | None
    """None: from the shelf."""
    price: Fraction
    """Its share of what the offer's units cost."""


@dataclass(frozen=True)
class Share:
    """What some jobs cost, as their share of a plan. [minor units, minutes]"""

    parts: tuple[PartPaid, ...] = ()
    delivery: Fraction = Fraction(0)
    aftercare: Fraction = Fraction(0)
    hire: Fraction = Fraction(0)
    tools: Fraction = Fraction(0)
    minutes: Fraction = Fraction(0)
    is_noted: bool = False
    """Whether some of the prices are those that the record notes."""
    on_their_own: tuple[int, int] = (0, 0)
    """Money and minutes of the same jobs, each on its own from the counter."""

    @property
    def money(self) -> Fraction:
        return self.goods + self.delivery + self.aftercare + self.hire + self.tools

    @property
    def goods(self) -> Fraction:
        return sum((one.price for one in self.parts), Fraction(0))


@dataclass
class _Paid:
    """What was paid for offers and to sellers, where the record says it."""

    goods: dict[str, int] = field(default_factory=dict)
    delivery: dict[str, int] = field(default_factory=dict)


def share_of(workload: Workload, plan: Plan, jobs: Collection[str], state: State | None = None) -> Share:
    """The share of some jobs in what a plan costs.

    Parameters
    ----------
    workload, plan
    jobs : collection of str
        Jobs that the plan does; others are left out.
    state : State, optional
        From the record: orders noted count with their real prices.

    Returns
    -------
    Share
        An offer's price is shared among all pieces of it that are used, by what each costs singly where
        that is known of all of them, else by number. Delivery goes by the goods; what is opened, aftercare
        and hire are shared evenly by the jobs of the stint that need them, a tool bought by all that use
        it. So the shares of all jobs of a plan make up its money, days off the road apart.
    """
    wanted = [job for work in plan.work for job in work.jobs if job in jobs]
    paid = _noted(state.ordered if state is not None else ())
    parts, seller_goods = _parts(workload, plan, paid.goods)
    mine = tuple(one for one in parts if one.job in wanted)
    delivery = Fraction(0)
    for seller, goods in goods_by_seller(workload, plan).items():
        fee = paid.delivery.get(seller, delivery_of(workload, seller, goods))
        of_seller = sum(
            (one.price for one in mine if one.offer and workload.offer[one.offer].seller == seller),
            Fraction(0),
        )
        if seller_goods[seller]:
            delivery += fee * of_seller / seller_goods[seller]
    stints = _in_stints(workload, plan, set(wanted))
    alone = on_its_own(_without_others(workload, set(wanted)), wanted).cost if wanted else None
    return Share(
        parts=mine,
        delivery=delivery,
        **stints,
        tools=_tools(workload, plan, set(wanted)),
        is_noted=any(one.offer in paid.goods for one in mine),
        on_their_own=(alone.money - alone.off_road, alone.minutes) if alone is not None else (0, 0),
    )


def _without_others(workload: Workload, wanted: set[str]) -> Workload:
    """The workload with these jobs alone, which then wait for no other."""
    jobs = tuple(
        replace(job, after=tuple(one for one in job.after if one in wanted))
        for job in workload.jobs
        if job.id in wanted
    )
    return replace(workload, jobs=jobs)


def _noted(ordered: Collection[Ordered]) -> _Paid:
    paid = _Paid()
    for one in ordered:
        if one.offer is not None:
            paid.goods[one.offer] = paid.goods.get(one.offer, 0) + one.price
        if one.seller is not None:
            paid.delivery[one.seller] = paid.delivery.get(one.seller, 0) + one.delivery
    return paid


def _parts(
    workload: Workload, plan: Plan, noted: Mapping[str, int]
) -> tuple[list[PartPaid], dict[str, Fraction]]:
    """Every piece used in the plan with its price, and what they come to by seller."""
    lots = lots_of(workload, plan)
    used: dict[str, list[tuple[str, str, int]]] = defaultdict(list)
    found: list[PartPaid] = []
    for job, several in lots.of_job.items():
        for lot in several:
            if lot.offer is None:
                found.append(PartPaid(job, lot.part, lot.pieces, None, Fraction(0)))
            else:
                used[lot.offer].append((job, lot.part, lot.pieces))
    single = _single_prices(workload)
    by_seller: dict[str, Fraction] = defaultdict(Fraction)
    for offer, pieces in used.items():
        cost = noted.get(offer, plan.units[offer] * workload.offer[offer].price)
        known = all(single.get(part) for _, part, _ in pieces)
        weights = [n * (single[part] if known else Fraction(1)) for _, part, n in pieces]
        for (job, part, n), weight in zip(pieces, weights, strict=True):
            price = cost * weight / sum(weights, Fraction(0))
            found.append(PartPaid(job, part, n, offer, price))
            by_seller[workload.offer[offer].seller] += price
    return found, by_seller


def _single_prices(workload: Workload) -> dict[str, Fraction]:
    """The least that one piece of a part costs where it is sold by itself."""
    found: dict[str, Fraction] = {}
    for offer in workload.offers:
        if len(offer.parts) == 1:
            ((part, pieces),) = offer.parts.items()
            price = Fraction(offer.price, pieces)
            found[part] = min(found.get(part, price), price)
    return found


def _in_stints(workload: Workload, plan: Plan, wanted: set[str]) -> dict[str, Fraction]:
    """Minutes, aftercare and hire."""
    total = {"minutes": Fraction(0), "aftercare": Fraction(0), "hire": Fraction(0)}
    for at, work in enumerate(plan.work):
        if not wanted.intersection(work.jobs):
            continue
        found_off = plan.found_off(workload, at)
        opened = {job: set(workload.opened_for([job])) for job in work.jobs}
        total["minutes"] += sum(workload.job[job].minutes for job in work.jobs if job in wanted)

        def part(users: Collection[str], all_of: Collection[str] = work.jobs) -> Fraction:
            among = list(users) or list(all_of)
            return Fraction(len(wanted.intersection(among)), len(among))

        for access in work.access:
            users = [job for job in work.jobs if access in opened[job]]
            total["minutes"] += part(users) * workload.access_minutes(access, found_off, work.left_off)
        for care in work.aftercare:
            users = [job for job in work.jobs if care in workload.aftercare_for([job], opened[job])]
            total["minutes"] += part(users) * workload.aftercare_by_id[care].minutes
            total["aftercare"] += part(users) * workload.aftercare_by_id[care].price
        for tool in work.hire:
            users = [job for job in work.jobs if tool in workload.tools_for([job], opened[job])]
            total["hire"] += part(users) * (workload.tool[tool].hire or 0)
    return total


def _tools(workload: Workload, plan: Plan, wanted: set[str]) -> Fraction:
    total = Fraction(0)
    for tool in plan.tools_bought:
        users = [
            job
            for work in plan.work
            for job in work.jobs
            if tool in workload.tools_for([job], workload.opened_for([job]))
        ]
        if users:
            total += Fraction(len(wanted.intersection(users)), len(users)) * (workload.tool[tool].buy or 0)
    return total
