"""Buying what is short beside what is bought already: the cheapest few units that cover it.

Used where one thing of a plan is changed and the rest is to stay as it is. Small searches, each cut off after
a number of steps, so that a plan can be explained without solving it again.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from onceapart.planning.cost import cost, delivery_of, goods_by_seller
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Offer, Workload

MOST_STEPS = 120
"""Units tried in one search; after that the cheapest way found so far counts."""

Needs = Sequence[Mapping[str, int]]
"""Pieces of each part used in each stint."""


def needs_of(workload: Workload, jobs_in: Iterable[Iterable[str]]) -> list[Counter[str]]:
    """Pieces that the jobs of each stint use."""
    needs = []
    for jobs in jobs_in:
        need: Counter[str] = Counter()
        for job_id in jobs:
            need.update({part: n for part, n in workload.job[job_id].parts.items() if n})
        needs.append(need)
    return needs


def money_for(workload: Workload, units: Mapping[str, int]) -> int:
    """Goods and delivery of these units. [minor units]"""
    return cost(workload, Plan((), units)).money


def is_counter(workload: Workload, offer: Offer) -> bool:
    """Whether an offer is at the counter: there today, and without delivery."""
    return not workload.seller[offer.seller].delivery and offer.arrives <= workload.today


def cheapest_of_part(
    offers: Iterable[Offer], part: str, pieces: int, taken: Mapping[str, int] | None = None
) -> dict[str, int] | None:
    """Units that hold so many pieces of one part for the least goods, delivery left out.

    Parameters
    ----------
    offers : iterable of Offer
        To choose from; those without the part are passed over.
    part : str
    pieces : int
    taken : mapping, optional
        Units of offers that are bought already, and so are gone from their limit.

    Returns
    -------
    dict or None
        Units by offer; None where the limits do not let so many pieces be had.
    """
    best: list[tuple[int, dict[str, int]] | None] = [(0, {}), *([None] * pieces)]
    for offer in offers:
        each = offer.parts.get(part, 0)
        if not each:
            continue
        most = math.ceil(pieces / each)
        if offer.limit is not None:
            most = min(most, offer.limit - (taken or {}).get(offer.id, 0))
        for have in range(pieces, 0, -1):  # downwards, so that an offer is weighed up once
            for count in range(1, min(most, math.ceil(have / each)) + 1):
                rest = best[max(0, have - count * each)]
                if rest is None:
                    continue
                price, now = rest[0] + count * offer.price, best[have]
                if now is None or price < now[0]:
                    best[have] = (price, {**rest[1], offer.id: count})
    found = best[pieces]
    return None if found is None else found[1]


class _Order(NamedTuple):
    """What is bought from one seller: units, and what they come to. [pieces, minor units]"""

    units: int
    goods: int


class Market:
    """All offers of a workload, looked up by part."""

    def __init__(self, workload: Workload) -> None:
        self.workload = workload
        self.offers_of: dict[str, list[Offer]] = defaultdict(list)
        for offer in workload.offers:
            for part in offer.parts:
                self.offers_of[part].append(offer)
        self._found: dict[object, dict[str, int] | None] = {}

    def first_short(self, needs: Needs, units: Mapping[str, int]) -> tuple[int, dict[str, int]] | None:
        """The first stint that lacks pieces, and how many of which; None where all are there."""
        used: Counter[str] = Counter()
        for place, need in enumerate(needs):
            used.update(need)
            day = self.workload.stints[place].date
            short = {}
            for part in need:
                have = self.workload.shelf.get(part, 0)
                for offer in self.offers_of.get(part, ()):
                    if offer.id in units and offer.arrives <= day:
                        have += units[offer.id] * offer.parts[part]
                if used[part] > have:
                    short[part] = used[part] - have
            if short:
                return place, short
        return None

    def covered(
        self, needs: Needs, units: Mapping[str, int], barred: Collection[str] = ()
    ) -> dict[str, int] | None:
        """Units that cover the needs: those given, more where pieces are short, fewer where that saves.

        Parameters
        ----------
        needs : sequence of mappings
        units : mapping
            What is bought already.
        barred : collection of str
            Offers of which no more are bought.

        Returns
        -------
        dict or None
            Units by offer. None where the pieces can't be had in time. Not always the cheapest way: what
            is short first is bought first.
        """
        got, bought = dict(units), set[str]()
        while (lack := self.first_short(needs, got)) is not None:
            place, short = lack
            more = self._cheapest(got, short, place, barred)
            if more is None:
                return None
            bought.update(short)
            for offer_id, count in more.items():
                got[offer_id] = got.get(offer_id, 0) + count
        return self._thinned(needs, got, bought) if bought else got

    def _thinned(self, needs: Needs, units: dict[str, int], parts: set[str]) -> dict[str, int]:
        """Take back units with one of these parts that are of no more use, where that saves money."""
        offers = [o for part in sorted(parts) for o in self.offers_of[part] if units.get(o.id)]
        for offer in sorted(offers, key=lambda offer: -offer.price):
            while units.get(offer.id):
                fewer = {**units, offer.id: units[offer.id] - 1}
                is_dearer = money_for(self.workload, fewer) > money_for(self.workload, units)
                if is_dearer or self.first_short(needs, fewer) is not None:
                    break
                units = {name: count for name, count in fewer.items() if count}
        return units

    def _cheapest(
        self, units: Mapping[str, int], short: dict[str, int], place: int, barred: Collection[str]
    ) -> dict[str, int] | None:
        """The cheapest units found that cover what is short in a stint."""
        day = self.workload.stints[place].date
        options = {
            part: [o for o in self.offers_of.get(part, ()) if o.arrives <= day and o.id not in barred]
            for part in sorted(short)
        }
        ids = tuple(offer.id for offers in options.values() for offer in offers)
        key = (tuple(sorted(units.items())), tuple(sorted(short.items())), ids)
        if key not in self._found:
            self._found[key] = _Cover(self.workload, units, short, options).run()
        return self._found[key]


class _Cover:
    """One search: first by hand rule, then depth first, part after part, each in the order of its offers."""

    def __init__(
        self,
        workload: Workload,
        units: Mapping[str, int],
        short: dict[str, int],
        options: dict[str, list[Offer]],
    ) -> None:
        self.workload, self.units, self.short, self.options = workload, units, short, options
        self.parts = list(options)
        counts: Counter[str] = Counter()
        for offer_id, count in units.items():
            counts[workload.offer[offer_id].seller] += count
        goods = goods_by_seller(workload, Plan((), units))
        self.orders = {seller: _Order(counts[seller], value) for seller, value in goods.items()}
        self.more: Counter[str] = Counter()
        self.best: tuple[int, dict[str, int]] | None = None
        self.steps = 0
        # No unit covers a piece for less than its price shared out over all the pieces it is good for.
        self.least = {
            part: min((offer.price / _useful(offer, short) for offer in offers), default=math.inf)
            for part, offers in options.items()
        }

    def run(self) -> dict[str, int] | None:
        orders = dict(self.orders)
        if not self._by_hand_rule():
            return None
        self.orders, self.more = orders, Counter()
        self._search(0, self.short, 0, 0)
        return None if self.best is None else self.best[1]

    def _ways(
        self, part: str, short: Mapping[str, int], first: int = 0
    ) -> list[tuple[float, int, Offer, int]]:
        """Offers that one more unit of can be bought of, from number ``first`` on: what it adds is last."""
        ways = []
        for number, offer in enumerate(self.options[part][first:], first):
            bought = self.units.get(offer.id, 0) + self.more[offer.id]
            if offer.limit is not None and bought >= offer.limit:
                continue
            old = self.orders.get(offer.seller, _Order(0, 0))
            adds = offer.price + self._delivery(offer.seller, _grown(old, offer))
            adds -= self._delivery(offer.seller, old)
            ways.append((adds / _useful(offer, short), number, offer, adds))
        return sorted(ways, key=lambda way: way[:2])

    def _take(self, offer: Offer, short: Mapping[str, int]) -> dict[str, int]:
        """Buy one more; what is short then."""
        self.orders[offer.seller] = _grown(self.orders.get(offer.seller, _Order(0, 0)), offer)
        self.more[offer.id] += 1
        return {part: n - offer.parts.get(part, 0) for part, n in short.items()}

    def _keep(self, added: int) -> None:
        if self.best is None or added < self.best[0]:
            self.best = (added, {name: count for name, count in self.more.items() if count})

    def _by_hand_rule(self) -> bool:
        """Buy what adds least for a useful piece, again and again; False where the pieces run out."""
        short: Mapping[str, int] = self.short
        added = 0
        for part in self.parts:
            while short[part] > 0:
                ways = self._ways(part, short)
                if not ways:
                    return False
                short = self._take(ways[0][2], short)
                added += ways[0][3]
        self._keep(added)
        return True

    def _search(self, at: int, short: Mapping[str, int], first: int, added: int) -> None:
        while at < len(self.parts) and short[self.parts[at]] <= 0:
            at, first = at + 1, 0
        if at == len(self.parts):
            self._keep(added)
            return
        least = sum(max(0, n) * self.least[part] for part, n in short.items())
        if self.best is not None and added + least - self._can_become_free() >= self.best[0]:
            return
        for _, number, offer, adds in self._ways(self.parts[at], short, first):
            if self.steps >= MOST_STEPS:
                return
            self.steps += 1
            before = self.orders.get(offer.seller, _Order(0, 0))
            self._search(at, self._take(offer, short), number, added + adds)
            self.more[offer.id] -= 1
            self.orders[offer.seller] = before

    def _delivery(self, seller: str, order: _Order) -> int:
        return delivery_of(self.workload, seller, order.goods) if order.units else 0

    def _can_become_free(self) -> int:
        """Delivery now paid that more goods might yet make free."""
        return sum(
            self._delivery(seller, order)
            for seller, order in self.orders.items()
            if self.workload.seller[seller].free_from is not None
        )


def _useful(offer: Offer, short: Mapping[str, int]) -> int:
    return sum(min(pieces, max(0, short.get(part, 0))) for part, pieces in offer.parts.items())


def _grown(order: _Order, offer: Offer) -> _Order:
    return _Order(order.units + 1, order.goods + offer.price)
