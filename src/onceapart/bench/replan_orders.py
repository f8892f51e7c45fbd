"""Orders of a new plan, as entries of the record."""

from __future__ import annotations

import datetime as dt

from onceapart.bench.entries import Entry, Ordered, new_id
from onceapart.bench.replan import Left, real_units
from onceapart.planning.cost import delivery_of
from onceapart.planning.plan import Plan


def ordered_now(left: Left, plan: Plan, time: dt.datetime, who: str | None = None) -> list[Entry]:
    """Entries for what a plan of what is left buys: offers, each seller's delivery with the first, and tools.

    Parameters
    ----------
    left : Left
    plan : Plan
        Of ``left.workload``.
    time : datetime
        When it is ordered.
    who : str, optional
    """
    workload, units = left.workload, real_units(left.workload, plan)
    goods: dict[str, int] = {}
    for name, count in units.items():
        offer = workload.offer[name]
        goods[offer.seller] = goods.get(offer.seller, 0) + count * offer.price
    fees = {seller: delivery_of(workload, seller, value) for seller, value in goods.items()}
    found: list[Entry] = []
    for name, count in units.items():
        offer = workload.offer[name]
        found.append(
            Ordered(
                id=new_id(), time=time, who=who, offer=name, seller=offer.seller, units=count,
                parts={part: pieces * count for part, pieces in offer.parts.items()},
                price=count * offer.price, delivery=fees.pop(offer.seller, 0), arrives=offer.arrives,
                placed=left.now.date(),
            )
        )  # fmt: skip
    for tool in plan.tools_bought:
        price = workload.tool[tool].buy or 0
        found.append(
            Ordered(
                id=new_id(), time=time, who=who, tool=tool, price=price, arrives=left.now.date(),
                placed=left.now.date(),
            )
        )  # fmt: skip
    return found
