"""What each order saves, and why it leaves pieces over."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from onceapart.planning.cost import delivery_of, goods_by_seller
from onceapart.planning.covering import cheapest_of_part, is_counter
from onceapart.planning.lots import Lots
from onceapart.planning.plan import Plan
from onceapart.planning.repair import Repair
from onceapart.planning.workload import Offer, Seller, Workload


@dataclass(frozen=True)
class BoughtLine:
    """Units of one offer."""

    offer: str
    units: int
    arrives: dt.date
    useful: Mapping[str, int]
    """Pieces that jobs use, by part."""
    spare: Mapping[str, int]
    """Pieces left over, by part."""
    jobs: tuple[str, ...]
    """The jobs that use its pieces."""
    without: int | None
    """How much more money the cheapest way found without this offer takes, the jobs staying where they are;
    None where its pieces can't be had in time otherwise. [minor units]"""
    filling: int | None
    """Where one unit less would still be enough: how much more money that would take. More than none: the
    unit fills the order up to free delivery; none or less: it is not needed. [minor units]"""


@dataclass(frozen=True)
class BoughtOrder:
    """What is bought from one seller."""

    seller: str
    goods: int
    delivery: int
    deposit: int
    lines: tuple[BoughtLine, ...]
    is_counter: bool
    """Whether it is what others are measured against: no delivery, all there today."""
    instead: Plan | None
    """The plan with the useful pieces bought the simple way; None at the counter, or where nobody else
    sells any of them in time."""
    instead_sellers: tuple[str, ...]
    """Where they are bought then."""
    saves: int | None
    """How much more money that takes. [minor units]"""
    only_here: tuple[str, ...]
    """Parts that are used and that nobody else sells in time: they stay in this order in ``instead``."""


def explain_basket(repair: Repair, lots: Lots) -> tuple[BoughtOrder, ...]:
    """Explain every order of a plan, sellers in the order of the file.

    The simple way is the counter: sellers without delivery that have the part today. What they do not sell
    is bought as the cheapest offer of that part alone from another seller that comes in time.
    """
    workload, plan = repair.workload, repair.plan
    return tuple(
        _order(repair, lots, workload.seller[seller], goods)
        for seller, goods in goods_by_seller(workload, plan).items()
    )


def _order(repair: Repair, lots: Lots, seller: Seller, goods: int) -> BoughtOrder:
    workload, units = repair.workload, repair.plan.units
    offers = [o for o in workload.offers if o.seller == seller.id and units.get(o.id)]
    lines = tuple(_line(repair, lots, offer) for offer in offers)
    at_counter = all(is_counter(workload, offer) for offer in offers)
    instead, sellers, only_here = (None, (), ()) if at_counter else _instead(repair, lots, seller, lines)
    return BoughtOrder(
        seller=seller.id,
        goods=goods,
        delivery=delivery_of(workload, seller.id, goods),
        deposit=sum(units[offer.id] * offer.deposit for offer in offers),
        lines=lines,
        is_counter=at_counter,
        instead=instead,
        instead_sellers=sellers,
        saves=None if instead is None else repair.change_to(instead).money,
        only_here=only_here,
    )


def _line(repair: Repair, lots: Lots, offer: Offer) -> BoughtLine:
    units = repair.plan.units
    useful: Counter[str] = Counter()
    jobs = []
    for job_id, used in lots.of_job.items():
        mine = [lot for lot in used if lot.offer == offer.id]
        useful.update({lot.part: lot.pieces for lot in mine})
        if mine:
            jobs.append(job_id)
    rest = {name: count for name, count in units.items() if name != offer.id}
    otherwise = repair.bought_otherwise(rest, {offer.id})
    fewer = repair.with_units({**units, offer.id: units[offer.id] - 1})
    return BoughtLine(
        offer=offer.id,
        units=units[offer.id],
        arrives=offer.arrives,
        useful=dict(sorted(useful.items())),
        spare=lots.spare.get(offer.id, {}),
        jobs=tuple(jobs),
        without=None if otherwise is None else repair.change_to(otherwise).money,
        filling=None if fewer is None else repair.change_to(fewer).money,
    )


def _instead(
    repair: Repair, lots: Lots, seller: Seller, lines: tuple[BoughtLine, ...]
) -> tuple[Plan | None, tuple[str, ...], tuple[str, ...]]:
    """The plan with an order's useful pieces bought the simple way; from whom; and what can't be."""
    workload = repair.workload
    units = Counter(repair.plan.units)
    sellers: set[str] = set()
    only_here: set[str] = set()
    replaced = 0
    for line in lines:
        taken: Counter[str] = Counter()
        missing = []
        for part, pieces in line.useful.items():
            found = _simple_units(repair, lots, seller, line.offer, part, pieces, units + taken)
            if found is None:
                missing.append(part)
            else:
                taken.update(found)
        if missing:
            only_here.update(missing)
            continue
        if line.useful:
            replaced += 1
            units.update(taken)
            sellers.update(workload.offer[offer].seller for offer in taken)
            del units[line.offer]
    if not replaced:
        return None, (), tuple(sorted(only_here))
    if not only_here:  # nothing is left of the order but what filled it up
        units = Counter({o: n for o, n in units.items() if workload.offer[o].seller != seller.id})
    plan = repair.with_units({offer: count for offer, count in units.items() if count})
    return plan, tuple(sorted(sellers)) if plan else (), tuple(sorted(only_here))


def _simple_units(
    repair: Repair,
    lots: Lots,
    seller: Seller,
    bought: str,
    part: str,
    pieces: int,
    units: Mapping[str, int],
) -> dict[str, int] | None:
    """Pieces of a part from the counter, or else from one other seller; None where nobody has them."""
    workload = repair.workload
    others = [offer for offer in repair.market.offers_of[part] if offer.seller != seller.id]
    counter = [offer for offer in others if is_counter(workload, offer)]
    found = cheapest_of_part(counter, part, pieces, units)
    if found is not None:
        return found
    needed = min(
        workload.stints[repair.at[job_id]].date
        for job_id, used in lots.of_job.items()
        if any(lot.offer == bought and lot.part == part for lot in used)
    )
    alone = [offer for offer in others if len(offer.parts) == 1 and offer.arrives <= needed]
    ways = [
        (_price_of(workload, way), other, way)
        for other in sorted({offer.seller for offer in alone})
        if (way := cheapest_of_part(_sold_by(other, alone), part, pieces, units)) is not None
    ]
    return min(ways, key=lambda way: way[:2])[2] if ways else None


def _sold_by(seller: str, offers: Iterable[Offer]) -> list[Offer]:
    return [offer for offer in offers if offer.seller == seller]


def _price_of(workload: Workload, units: Mapping[str, int]) -> int:
    """Goods and delivery of one seller's units, as an order of its own."""
    goods = sum(count * workload.offer[offer].price for offer, count in units.items())
    return goods + delivery_of(workload, workload.offer[next(iter(units))].seller, goods)
