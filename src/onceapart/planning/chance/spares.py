"""Spare hardware: which fasteners to order beforehand, because it costs less than to stop for them.

For one kind it is the newsvendor's choice: one more piece is ordered as long as its price is less than the
chance that it is called for times what stopping would cost. Kinds hang together by deliveries: a seller
whose parcel comes anyway brings spares without a further fee, or even free from a value on. So all kinds
are chosen together.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from onceapart.planning.chance.breaks import InHand
from onceapart.planning.chance.demand import Call, calls_of, cost_of_lacking, pieces_called
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.cost import delivery_of, goods_by_seller, spare_pieces
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Offer, Workload

MOST_BASKETS = 20_000
"""So many ways to buy kinds that share offers are looked at; beyond, the dearest offers are left out."""
MOST_BEYOND_USE = 20
"""Units of an offer bought at most only so that a parcel comes free."""
CENT = 1e-6
"""Costs nearer than this are the same. [minor units]"""


@dataclass(frozen=True)
class Spare:
    """What is ordered of one kind, and why."""

    part: str
    calls: tuple[Call, ...]
    needed: float
    """Pieces called for on average."""
    some: float
    """Chance that any is called for."""
    pieces: int
    """Ordered now."""
    there: int
    """In the house, or coming with the plan's own orders and left over."""
    renew: bool
    offered: bool
    worth: float
    """What the first piece that is not in the house saves on average: the most it may cost. [minor units]"""
    saves: float
    """What stopping costs less on average with the pieces ordered, before their price. [minor units]"""


@dataclass(frozen=True)
class SpareChoice:
    """Spares for a plan: ``units`` of offers, beside those that the plan buys. [minor units]"""

    spares: tuple[Spare, ...]
    """Every kind of fastener that the plan's work meets, by part."""
    units: Mapping[str, int]
    goods: int
    delivery: int
    """What deliveries cost more than without; less than nothing where they come free by it."""
    saves: float
    """What stopping costs less on average."""
    in_hand: tuple[InHand, ...]
    """All spares there will be, those left over by the plan as well."""

    @property
    def gain(self) -> float:
        """What is saved on average, once goods and delivery are paid. [minor units]"""
        return self.saves - self.goods - self.delivery


def left_over_pieces(workload: Workload, plan: Plan) -> tuple[InHand, ...]:
    """Pieces on the shelf or bought that the plan's jobs don't use."""
    used = Counter[str]()
    for job in plan.done:
        used.update(workload.job[job].parts)
    found = [
        InHand(part, pieces - used[part], workload.today)
        for part, pieces in sorted(workload.shelf.items())
        if pieces > used[part]
    ]
    for part, pieces in spare_pieces(workload, plan).items():
        days = [workload.offer[name].arrives for name in plan.units if part in workload.offer[name].parts]
        found.append(InHand(part, pieces, max(days)))
    return tuple(found)


def choose_spares(workload: Workload, plan: Plan, trouble: Trouble) -> SpareChoice:
    """The cheapest spares for a plan: price and delivery, and what stopping costs on average.

    Parameters
    ----------
    workload : Workload
        Its offers are what can be bought, in one order a seller together with the plan's.
    plan : Plan
    trouble : Trouble

    Returns
    -------
    SpareChoice
        No other units of the offers cost less, all taken together, more than are of use among them where
        that makes a parcel free (see ``MOST_BEYOND_USE``, ``MOST_BASKETS``). Equal ones: with fewer pieces.
        Fasteners to be renewed are bought where they are offered, at whatever price.
    """
    calls = calls_of(workload, plan, trouble)
    left = left_over_pieces(workload, plan)
    offers = [offer for offer in workload.offers if any(part in calls for part in offer.parts)]
    counter = {part: _counter_price(workload, part) for part in calls}
    lacking = _Lacking(calls, counter, left)
    units = _cheapest(workload, plan, [_Group(lacking, group, workload, plan) for group in _linked(offers)])
    bought = [
        InHand(part, pieces * count, workload.offer[name].arrives)
        for name, count in units.items()
        for part, pieces in workload.offer[name].parts.items()
        if part in calls
    ]
    goods = sum(workload.offer[name].price * count for name, count in units.items())
    spares = tuple(_spare(lacking, part, bought, offers, workload.today) for part in calls)
    planned = goods_by_seller(workload, plan)
    extra = Counter[str]()
    for name, count in units.items():
        extra[workload.offer[name].seller] += workload.offer[name].price * count
    return SpareChoice(
        spares=spares,
        units=units,
        goods=goods,
        delivery=sum(_fee(workload, planned, seller, more) for seller, more in extra.items()),
        saves=sum(spare.saves for spare in spares),
        in_hand=(*left, *bought),
    )


class _Lacking:
    """What it costs to lack a part, by what is bought of it."""

    def __init__(
        self, calls: Mapping[str, Sequence[Call]], counter: Mapping[str, float], left: Sequence[InHand]
    ) -> None:
        self.calls, self.counter = calls, counter
        self.left = {part: [(one.since, one.pieces) for one in left if one.part == part] for part in calls}
        self.most = {part: _most(called) for part, called in calls.items()}
        self.known: dict[tuple[str, tuple[tuple[dt.date, int], ...]], float] = {}

    def cost(self, part: str, bought: Sequence[tuple[dt.date, int]]) -> float:
        key = part, tuple(sorted(bought))
        if key not in self.known:
            in_hand = [*self.left[part], *bought]
            self.known[key] = cost_of_lacking(self.calls[part], in_hand, self.counter[part])
        return self.known[key]

    def is_renewed(self, part: str) -> bool:
        return any(call.fastener.renew for call in self.calls[part])


def _most(calls: Sequence[Call]) -> int:
    """More pieces than this are never called for, but once in a million times."""
    pieces = pieces_called(calls)
    return next(n for n in range(pieces.least + len(pieces.chance)) if pieces.at_most(n) > 1 - 1e-6)


def _spare(
    lacking: _Lacking, part: str, bought: Sequence[InHand], offers: Sequence[Offer], today: dt.date
) -> Spare:
    calls = tuple(lacking.calls[part])
    pieces = pieces_called(calls)
    mine = [(one.since, one.pieces) for one in bought if one.part == part]
    without = lacking.cost(part, [])
    return Spare(
        part=part,
        calls=calls,
        needed=pieces.mean,
        some=1 - pieces.at_most(0),
        pieces=sum(count for _, count in mine),
        there=sum(count for _, count in lacking.left[part]),
        renew=lacking.is_renewed(part),
        offered=any(part in offer.parts for offer in offers),
        worth=without - lacking.cost(part, [(today, 1)]),
        saves=without - lacking.cost(part, mine),
    )


def _counter_price(workload: Workload, part: str) -> float:
    """Price of one piece bought when it lacks: at a counter, or else where it is cheapest."""
    prices = [
        (offer.arrives > workload.today, offer.price / offer.parts[part])
        for offer in workload.offers
        if set(offer.parts) == {part}
    ]
    return min(prices)[1] if prices else 0.0


def _linked(offers: Sequence[Offer]) -> list[list[Offer]]:
    """Offers in groups that have no part in common."""
    groups: list[list[Offer]] = []
    for offer in offers:
        joined = [group for group in groups if any(set(offer.parts) & set(other.parts) for other in group)]
        groups = [group for group in groups if group not in joined]
        groups.append([*itertools.chain.from_iterable(joined), offer])
    return groups


class _Group:
    """Ways to buy of offers that share parts: goods by seller, cost of goods and lacking, and pieces."""

    def __init__(self, lacking: _Lacking, offers: Sequence[Offer], workload: Workload, plan: Plan) -> None:
        self.parts = sorted({part for offer in offers for part in offer.parts if part in lacking.calls})
        self.offers = sorted(offers, key=lambda offer: offer.id)
        most = {offer.id: self._useful(lacking, offer, workload, plan) for offer in offers}
        while math.prod(count + 1 for count in most.values()) > MOST_BASKETS:
            del most[self._dearest(most)]
            self.offers = [offer for offer in self.offers if offer.id in most]
        self.ways = [
            self._way(lacking, counts)
            for counts in itertools.product(*(range(most[offer.id] + 1) for offer in self.offers))
        ]

    def _useful(self, lacking: _Lacking, offer: Offer, workload: Workload, plan: Plan) -> int:
        """Units that are of use, for what is in them or for the parcel they come in."""
        units = max(
            math.ceil(lacking.most[part] / pieces)
            for part, pieces in offer.parts.items()
            if part in lacking.calls
        )
        free_from = workload.seller[offer.seller].free_from
        planned = goods_by_seller(workload, plan).get(offer.seller, 0)
        if free_from is not None and offer.price and planned < free_from:
            beyond = math.ceil((free_from - planned) / offer.price)
            units = max(units, beyond if beyond <= MOST_BEYOND_USE else 0)
        if offer.limit is not None:
            units = min(units, max(0, offer.limit - plan.units.get(offer.id, 0)))
        return units

    def _dearest(self, known: Mapping[str, int]) -> str:
        return max(
            (offer.price / sum(offer.parts.values()), offer.id) for offer in self.offers if offer.id in known
        )[1]

    def _way(self, lacking: _Lacking, counts: Sequence[int]) -> _Way:
        goods: dict[str, int] = defaultdict(int)
        bought: dict[str, list[tuple[dt.date, int]]] = {part: [] for part in self.parts}
        for offer, count in zip(self.offers, counts, strict=True):
            if count:
                goods[offer.seller] += offer.price * count
                for part, pieces in offer.parts.items():
                    if part in bought:
                        bought[part].append((offer.arrives, pieces * count))
        unmet = sum(lacking.cost(part, bought[part]) for part in self.parts if lacking.is_renewed(part))
        cost = sum(lacking.cost(part, bought[part]) for part in self.parts)
        return _Way(
            unmet=unmet,
            cost=cost + sum(goods.values()),
            pieces=sum(pieces for some in bought.values() for _, pieces in some),
            goods=dict(goods),
            units={offer.id: n for offer, n in zip(self.offers, counts, strict=True) if n},
        )


@dataclass(frozen=True)
class _Way:
    unmet: float
    """Cost of lacking fasteners that have to be renewed: it comes before all else."""
    cost: float
    pieces: int
    goods: Mapping[str, int]
    units: Mapping[str, int]

    @property
    def rank(self) -> tuple[float, float, int, tuple[tuple[str, int], ...]]:
        return round(self.unmet / CENT), round(self.cost / CENT), self.pieces, tuple(self.units.items())

    def with_more(self, other: _Way) -> _Way:
        goods = Counter(self.goods)
        goods.update(other.goods)
        return _Way(
            self.unmet + other.unmet,
            self.cost + other.cost,
            self.pieces + other.pieces,
            dict(goods),
            {**self.units, **other.units},
        )


def _cheapest(workload: Workload, plan: Plan, groups: Sequence[_Group]) -> dict[str, int]:
    """Units of the cheapest ways of all groups together, deliveries counted.

    Group after group, of all that is bought so far only what tells deliveries apart is kept, and of those
    alike the cheapest.
    """
    planned = goods_by_seller(workload, plan)
    spans = {
        seller.id: _fee_span(workload, planned, seller.id)
        for seller in workload.sellers
        if any(offer.seller == seller.id for group in groups for offer in group.offers)
    }
    least, most = (sum(span[end] for span in spans.values()) for end in (0, 1))
    found = [_Way(0.0, 0.0, 0, {}, {})]
    for group in groups:
        alike: dict[tuple[tuple[str, int], ...], _Way] = {}
        for before in found:
            for way in group.ways:
                both = before.with_more(way)
                key = _delivery_key(workload, planned, both.goods)
                if key not in alike or both.rank < alike[key].rank:
                    alike[key] = both
        met = min(way.unmet for way in alike.values())
        best = min(way.cost for way in alike.values() if way.unmet <= met + CENT)
        # No delivery saved later makes up for more than this.
        found = [
            way
            for way in alike.values()
            if way.unmet <= met + CENT and way.cost <= best + most - least + CENT
        ]

    def whole(way: _Way) -> tuple[float, int, tuple[tuple[str, int], ...]]:
        fees = sum(_fee(workload, planned, seller, more) for seller, more in way.goods.items())
        return round((way.cost + fees) / CENT), way.pieces, tuple(sorted(way.units.items()))

    return dict(sorted(min(found, key=whole).units.items()))


def _fee(workload: Workload, planned: Mapping[str, int], seller: str, more: int) -> int:
    """What a seller's delivery costs more, if goods of this value are bought there as well. [minor units]"""
    before = delivery_of(workload, seller, planned[seller]) if seller in planned else 0
    return delivery_of(workload, seller, planned.get(seller, 0) + more) - before


def _fee_span(workload: Workload, planned: Mapping[str, int], seller: str) -> tuple[int, int]:
    """The least and the most that a seller's delivery may cost more."""
    before = delivery_of(workload, seller, planned[seller]) if seller in planned else 0
    one = workload.seller[seller]
    least = 0 if one.free_from is not None else one.delivery
    return min(0, least - before), max(0, one.delivery - before)


def _delivery_key(
    workload: Workload, planned: Mapping[str, int], goods: Mapping[str, int]
) -> tuple[tuple[str, int], ...]:
    """What of the goods bought tells by its value what deliveries cost, now or with more bought."""
    key = []
    for seller, more in sorted(goods.items()):
        free_from = workload.seller[seller].free_from
        if free_from is not None:
            lacks = max(0, free_from - planned.get(seller, 0))
            key.append((seller, min(more, lacks)))
        elif seller not in planned:
            key.append((seller, 0))
    return tuple(key)
