"""Pieces of parts that are there, on their way, or no good, after what the record says."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from onceapart.bench.entries import Arrived, Ordered, SnagOpened
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload

SPOILT_BY = ("wrong part", "bad part")
"""Snags that each make one piece of their part useless."""


@dataclass(frozen=True)
class Order:
    """A line of an order that was placed: pieces of all its units, and what it cost. [minor units]

    ``is_noted``: the record says so; else it is taken from the plan.
    """

    parts: Mapping[str, int]
    price: int
    delivery: int
    arrives: dt.date
    offer: str | None = None
    seller: str | None = None
    tool: str | None = None
    units: int = 1
    placed: dt.date | None = None
    is_noted: bool = True
    number: int = 0
    """Of its entry; 0 if it is the plan's."""


@dataclass(frozen=True)
class Coming:
    """What is still to come of an order."""

    order: Order
    parts: Mapping[str, int]


@dataclass
class _Line:
    order: Order
    left: Counter[str]
    is_settled: bool = False


@dataclass(frozen=True)
class Stock:
    """``shelf``: pieces in the house now. ``due``: of them, those that should have come but are not noted."""

    shelf: Mapping[str, int]
    coming: tuple[Coming, ...] = ()
    due: tuple[Coming, ...] = ()
    bought: int = 0
    """Price of what came without an order that the record or the plan knows of. [minor units]"""
    lacking: Mapping[str, int] = field(default_factory=dict)
    """Pieces that are used, though none were there by the record."""


def orders_noted(ordered: Iterable[Ordered]) -> tuple[Order, ...]:
    """The orders in a record."""
    return tuple(
        Order(
            one.parts, one.price, one.delivery, one.arrives, one.offer, one.seller, one.tool, one.units,
            one.placed or one.day, number=one.number,
        )
        for one in ordered
    )  # fmt: skip


def orders_planned(workload: Workload, plan: Plan, delivery: Mapping[str, int]) -> tuple[Order, ...]:
    """The orders of a plan, as placed on its day; a seller's delivery stands with its first line."""
    found = []
    paid: set[str] = set()
    for offer in workload.offers:
        units = plan.units.get(offer.id, 0)
        if units:
            parts = {part: pieces * units for part, pieces in offer.parts.items()}
            fee = 0 if offer.seller in paid else delivery.get(offer.seller, 0)
            paid.add(offer.seller)
            found.append(
                Order(parts, units * offer.price, fee, offer.arrives, offer.id, offer.seller, None, units,
                      workload.today, is_noted=False)
            )  # fmt: skip
    for tool in plan.tools_bought:
        price = workload.tool[tool].buy or 0
        found.append(Order({}, price, 0, workload.today, None, None, tool, 1, workload.today, is_noted=False))
    return tuple(found)


def stock_of(
    shelf: Mapping[str, int],
    orders: Sequence[Order],
    arrivals: Iterable[Arrived],
    spoilt: Iterable[SnagOpened],
    used: Mapping[str, int],
    today: dt.date,
) -> Stock:
    """What is in the house, and what is still to come.

    Parameters
    ----------
    shelf : mapping
        Pieces that were in hand when all began, by part.
    orders : sequence of Order
    arrivals : iterable of Arrived
        In order; pieces that are wrong or bad do not count.
    spoilt : iterable of SnagOpened
        Snags that each say of one piece of a part that it is wrong or bad: one that was there, or ordered,
        by then. A piece noted so on arrival, too, counts once.
    used : mapping
        Pieces that were used, by part: from the house first, then of what comes, the earliest first.
    today : date
        What is due by then is taken as come, and named in ``due``.
    """
    hand = Counter({part: pieces for part, pieces in shelf.items() if pieces})
    lines = [_Line(one, Counter(one.parts)) for one in sorted(orders, key=lambda one: one.arrives)]
    bought = 0
    noted_bad, found_bad = Counter[str](), Counter[str]()
    events: list[Arrived | SnagOpened] = sorted((*arrivals, *spoilt), key=lambda one: one.number)
    for event in events:
        before = [line for line in lines if line.order.number < event.number]
        part = event.part or ""
        if isinstance(event, Arrived):
            known = min(found_bad[part], event.pieces) if event.state != "right" else 0
            found_bad[part] -= known
            settled = _settle(before, event, event.pieces - known)
            bought += 0 if settled or known else event.price or 0
            hand[part] += event.pieces if event.state == "right" else 0
            noted_bad[part] += event.pieces - known if event.state != "right" else 0
        elif noted_bad[part]:
            noted_bad[part] -= 1
        elif not _take(hand, before, part, 1):
            found_bad[part] += 1
    lacking = {part: _take(hand, lines, part, pieces) for part, pieces in sorted(used.items())}
    due = [_coming(line) for line in lines if line.order.arrives <= today and +line.left]
    for one_due in due:
        hand.update(one_due.parts)
    return Stock(
        shelf={part: pieces for part, pieces in sorted(hand.items()) if pieces > 0},
        coming=tuple(_coming(line) for line in lines if line.order.arrives > today and +line.left),
        due=tuple(due),
        bought=bought,
        lacking={part: pieces for part, pieces in lacking.items() if pieces},
    )


def _coming(line: _Line) -> Coming:
    return Coming(line.order, dict(+line.left))


def _settle(lines: Sequence[_Line], arrival: Arrived, pieces: int) -> bool:
    """Take what came off the orders it belongs to; whether it belonged to any."""
    left = pieces
    fitting = [line for line in lines if line.order.parts.get(arrival.part)]
    if arrival.offer is not None:
        fitting = [line for line in fitting if line.order.offer == arrival.offer] or fitting
    for line in fitting:
        taken = min(left, line.left[arrival.part])
        line.left[arrival.part] -= taken
        left -= taken
    return left < pieces


def _take(hand: Counter[str], lines: Sequence[_Line], part: str, pieces: int) -> int:
    """Take pieces from the house, then of what comes; how many were not there."""
    for stock in (hand, *(line.left for line in lines)):
        taken = min(pieces, max(0, stock[part]))
        stock[part] -= taken
        pieces -= taken
    return pieces
