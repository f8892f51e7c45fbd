"""What the plan says to order, what was ordered, what has come, and which deposits are still to come back."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from onceapart.bench.entries import Arrived, Noted, Ordered
from onceapart.bench.replan import PRETENDED
from onceapart.bench.state import State
from onceapart.planning.cost import delivery_of
from onceapart.site.pages.jobs.names import Names
from onceapart.site.pages.planned import Planned
from onceapart.workshop import Offer, Workshop

DEPOSIT = "deposit-"
"""Notes that say a deposit came back have an id that begins so, with that of the order behind."""


@dataclass(frozen=True)
class ToOrder:
    """A line that the plan says to order. [minor units]"""

    key: str
    """Offer, or tool: what its tick box is called."""
    title: str
    units: int
    price: int
    """Of all units."""
    deposit: int
    arrives: dt.date
    parts: tuple[tuple[str, int], ...]
    """In words, with the pieces of all units."""
    jobs: tuple[str, ...]
    needed: dt.date | None
    """Day of the first stint that uses something of it."""
    is_gone: bool = False
    """Whether the workshop no longer has the offer."""
    pieces: Mapping[str, int] = field(default_factory=dict)
    """Part -> pieces of all units."""


@dataclass(frozen=True)
class OrderToPlace:
    """All that is to be ordered from one seller. [minor units]"""

    seller: str
    name: str
    lines: tuple[ToOrder, ...]
    delivery: int
    placed: int = 0
    """Lines of the plan from this seller that are ordered already."""

    @property
    def goods(self) -> int:
        return sum(line.price for line in self.lines)

    @property
    def deposit(self) -> int:
        return sum(line.deposit for line in self.lines)


@dataclass(frozen=True)
class PartComing:
    """A part of something that was ordered. Counts are pieces."""

    part: str
    title: str
    ordered: int
    left: int
    """Still to come."""


@dataclass(frozen=True)
class Placed:
    """A line that was ordered."""

    entry: Ordered
    title: str
    seller: str
    """Its name."""
    parts: tuple[PartComing, ...]
    is_late: bool

    @property
    def left(self) -> int:
        return sum(part.left for part in self.parts)


@dataclass(frozen=True)
class Came:
    """Pieces that came, and what they are like."""

    entry: Arrived
    title: str


@dataclass(frozen=True)
class Deposit:
    """Money that comes back with the old part. [minor units]"""

    entry: Ordered
    title: str
    amount: int
    seller: str
    back: Noted | None
    note_id: str
    """Id of the note that says it came back."""


@dataclass(frozen=True)
class Orders:
    """All of the page of orders."""

    to_place: tuple[OrderToPlace, ...] = ()
    tools: tuple[ToOrder, ...] = ()
    on_their_way: tuple[Placed, ...] = ()
    complete: tuple[Placed, ...] = ()
    came: tuple[Came, ...] = ()
    deposits: tuple[Deposit, ...] = ()
    last_number: int = 0
    wrong: tuple[Came, ...] = field(default=())

    @property
    def money_to_place(self) -> int:
        """Goods, delivery and tools that are still to be ordered. [minor units]"""
        lines = sum(one.goods + one.delivery for one in self.to_place)
        return lines + sum(tool.price for tool in self.tools)

    @property
    def deposit_out(self) -> int:
        """Deposits that are still to come back. [minor units]"""
        return sum(one.amount for one in self.deposits if one.back is None)


def orders_of(
    applied: Workshop,
    state: State,
    planned: Planned | None,
    names: Names,
    today: dt.date,
    used: Collection[str] = (),
) -> Orders:
    """What is to be ordered, what is on its way and what has come.

    Parameters
    ----------
    applied : Workshop
        With its recipes applied.
    state : State
        From the record.
    planned : Planned or None
        The plan that is worked by; what was ordered since it was made is not to be ordered again.
    names : Names
    today : date
    used : collection of str, optional
        Ids of all entries of the record, those that do not count as well.
    """
    offers = {offer.id: offer for offer in applied.offers}
    to_place, tools = ((), ()) if planned is None else _to_place(planned, offers, state, names, applied)
    placed = _placed(state, offers, names, today, sellers_of(applied))
    came = tuple(Came(one, names.part(one.part)) for one in reversed(state.arrived))
    return Orders(
        to_place=to_place,
        tools=tools,
        on_their_way=tuple(one for one in placed if one.left),
        complete=tuple(one for one in placed if not one.left),
        came=came,
        deposits=_deposits(state, offers, names, applied, used),
        last_number=state.last_number,
        wrong=tuple(one for one in came if one.entry.state != "right"),
    )


def units_to_order(planned: Planned, state: State) -> Mapping[str, int]:
    """Units of each offer that the plan buys and that were not ordered since it was made."""
    since = Counter[str]()
    for one in state.ordered:
        if one.offer is not None and one.number > planned.record_number:
            since[one.offer] += one.units
    return {
        name: units - since[name]
        for name, units in planned.plan.units.items()
        if units > since[name] and planned.workload.offer[name].seller not in PRETENDED
    }


def _to_place(
    planned: Planned, offers: Mapping[str, Offer], state: State, names: Names, applied: Workshop
) -> tuple[tuple[OrderToPlace, ...], tuple[ToOrder, ...]]:
    workload, plan = planned.workload, planned.plan
    left = units_to_order(planned, state)
    uses: dict[str, list[tuple[dt.date, str]]] = {}
    for stint, work in zip(workload.stints, plan.work, strict=True):
        for job in work.jobs:
            for part in workload.job[job].parts:
                uses.setdefault(part, []).append((stint.date, job))
    by_seller: dict[str, list[ToOrder]] = {}
    in_plan = Counter(workload.offer[name].seller for name in plan.units)
    begun = {one.seller for one in state.ordered if one.number > planned.record_number}
    goods: Counter[str] = Counter()
    for name, units in plan.units.items():
        goods[workload.offer[name].seller] += units * workload.offer[name].price
    for name, units in left.items():
        one = workload.offer[name]
        used = sorted({use for part in one.parts for use in uses.get(part, ())})
        by_seller.setdefault(one.seller, []).append(
            ToOrder(
                key=name,
                title=one.title or ", ".join(names.part(part) for part in one.parts),
                units=units,
                price=units * one.price,
                deposit=units * one.deposit,
                arrives=one.arrives,
                parts=tuple((names.part(part), pieces * units) for part, pieces in one.parts.items()),
                jobs=tuple(dict.fromkeys(names.job(job) for _, job in used)),
                needed=min((day for day, _ in used), default=None),
                is_gone=name not in offers,
                pieces={part: pieces * units for part, pieces in one.parts.items()},
            )
        )
    sellers = sellers_of(applied)
    orders = tuple(
        OrderToPlace(
            seller,
            sellers.get(seller, seller),
            tuple(lines),
            0 if seller in begun else delivery_of(workload, seller, goods[seller]),
            in_plan[seller] - len(lines),
        )
        for seller, lines in by_seller.items()
    )
    bought = {one.tool for one in state.ordered if one.tool}
    tools = tuple(
        ToOrder(name, names.tool(name), 1, workload.tool[name].buy or 0, 0, workload.today, (), (), None)
        for name in plan.tools_bought
        if name not in bought
    )
    return orders, tools


def sellers_of(applied: Workshop) -> dict[str, str]:
    """Seller -> name."""
    return {seller.id: seller.name for seller in applied.sellers}


def _placed(
    state: State, offers: Mapping[str, Offer], names: Names, today: dt.date, sellers: Mapping[str, str]
) -> tuple[Placed, ...]:
    """Lines that were ordered, each with what of it has come: arrivals go to the earliest they can be of."""
    lines = sorted(state.ordered, key=lambda one: (one.arrives, one.number))
    left = [Counter(one.parts) for one in lines]
    for arrival in state.arrived:
        fitting = [at for at, one in enumerate(lines) if one.parts.get(arrival.part)]
        own = [at for at in fitting if lines[at].offer == arrival.offer]
        pieces = arrival.pieces
        for at in own or fitting:
            taken = min(pieces, left[at][arrival.part])
            left[at][arrival.part] -= taken
            pieces -= taken
    return tuple(
        Placed(
            one,
            title_of(one, offers, names),
            sellers.get(one.seller or "", one.seller or ""),
            tuple(
                PartComing(part, names.part(part), pieces, left[at][part])
                for part, pieces in one.parts.items()
            ),
            one.arrives < today and sum(left[at].values()) > 0,
        )
        for at, one in enumerate(lines)
    )


def title_of(one: Ordered, offers: Mapping[str, Offer], names: Names) -> str:
    """What was ordered, in words."""
    if one.tool is not None:
        return names.tool(one.tool)
    offer = offers.get(one.offer or "")
    if offer is not None and offer.title:
        return offer.title
    return ", ".join(names.part(part) for part in one.parts)


def _deposits(
    state: State,
    offers: Mapping[str, Offer],
    names: Names,
    applied: Workshop,
    used: Collection[str],
) -> tuple[Deposit, ...]:
    sellers = sellers_of(applied)
    notes = {note.id: note for note in state.notes if note.id.startswith(DEPOSIT)}
    found = []
    for one in state.ordered:
        offer = offers.get(one.offer or "")
        if offer is None or not offer.deposit:
            continue
        ids = note_ids(one.id)
        back = next((notes[name] for name in ids if name in notes), None)
        found.append(
            Deposit(
                one,
                title_of(one, offers, names),
                one.units * offer.deposit,
                sellers.get(one.seller or "", one.seller or ""),
                back,
                next((name for name in ids if name not in used), ids[-1]),
            )
        )
    return tuple(found)


def note_ids(ordered: str, most: int = 8) -> tuple[str, ...]:
    """Ids of the notes that say a deposit came back: one after the other, as each may be taken back.

    >>> note_ids("a1")[:2]
    ('deposit-a1-1', 'deposit-a1-2')
    """
    short = ordered if len(ordered) <= 40 else hashlib.sha256(ordered.encode()).hexdigest()[:40]
    return tuple(f"{DEPOSIT}{short}-{number}" for number in range(1, most + 1))
