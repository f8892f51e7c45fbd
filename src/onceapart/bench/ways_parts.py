"""Getting another part: which offers have it, when it can be here, and what it costs with delivery."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from onceapart.bench.replan import PRETENDED, Left
from onceapart.planning.cost import delivery_of
from onceapart.planning.workload import Offer


@dataclass(frozen=True)
class Buy:
    """Units of an offer, ordered today. [minor units]"""

    offer: Offer
    units: int
    goods: int
    delivery: int
    """On top of what was ordered there today."""

    @property
    def price(self) -> int:
        """Goods and delivery."""
        return self.goods + self.delivery

    @property
    def arrives(self) -> dt.date:
        return self.offer.arrives


def buys_of(left: Left, part: str, pieces: int = 1) -> tuple[Buy, ...]:
    """Ways to buy pieces of a part, the earliest first; none that is later and no cheaper than another.

    Parameters
    ----------
    left : Left
        Delivery to a seller from whom something was ordered today is paid already.
    part : str
    pieces : int
    """
    found = []
    for offer in left.workload.offers:
        there = offer.parts.get(part, 0)
        if not there or offer.seller in PRETENDED:
            continue
        units = math.ceil(pieces / there)
        if offer.limit is not None and offer.limit < units:
            continue
        goods = units * offer.price
        found.append(Buy(offer, units, goods, delivery_of(left.workload, offer.seller, goods)))
    best: list[Buy] = []
    for buy in sorted(found, key=lambda one: (one.arrives, one.price, one.offer.id)):
        if all(buy.price < other.price for other in best):
            best.append(buy)
    return tuple(best)


def is_on_its_way(left: Left, part: str) -> dt.date | None:
    """The day a piece comes that is ordered already and that no job needs; None if there is none."""
    needed = sum(job.parts.get(part, 0) for job in left.workload.jobs)
    have = left.workload.shelf.get(part, 0)
    for one in sorted(left.stock.coming, key=lambda one: one.order.arrives):
        have += one.parts.get(part, 0)
        if have >= needed and one.parts.get(part, 0):
            return one.order.arrives
    return None
