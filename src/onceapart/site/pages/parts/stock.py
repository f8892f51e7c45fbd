"""Which parts the jobs still need, and how many of them are in hand, on their way, or to be got."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from onceapart.bench.entries import Arrived
from onceapart.bench.replan_stock import SPOILT_BY, Stock, orders_noted, stock_of
from onceapart.bench.state import State
from onceapart.workshop import Offer, Seller, Workshop


@dataclass(frozen=True)
class PartNeed:
    """One part that jobs which are not done use. Counts are pieces."""

    part: str
    jobs: Mapping[str, int]
    """Job -> pieces."""
    hand: int
    coming: tuple[tuple[dt.date, int], ...]
    """What was ordered and has not come, by the day it is to come."""
    by: dt.date | None
    """Last day on which one of its jobs may be done; None where one has no such day."""

    @property
    def need(self) -> int:
        return sum(self.jobs.values())

    @property
    def ordered(self) -> int:
        """Pieces on their way."""
        return sum(pieces for _, pieces in self.coming)

    @property
    def short(self) -> int:
        """Pieces that have to be got yet."""
        return max(0, self.need - self.hand - self.ordered)

    @property
    def comes(self) -> dt.date | None:
        """When the last of what is on its way is to come."""
        return max((day for day, _ in self.coming), default=None)


@dataclass(frozen=True)
class Sold:
    """An offer as somebody sees it who wants one part of it."""

    offer: Offer
    seller: Seller
    arrives: dt.date
    pieces: int
    """Pieces of that part in one unit."""

    @property
    def is_kit(self) -> bool:
        """Whether there are other parts in it too."""
        return len(self.offer.parts) > 1

    @property
    def each(self) -> int:
        """Price of a piece, rounded half up; of a kit its whole price. [minor units]"""
        if self.is_kit:
            return self.offer.price
        return (2 * self.offer.price + self.pieces) // (2 * self.pieces)


class Counted:
    """Parts, needed and to be had, of a workshop as it stands.

    Parameters
    ----------
    applied : Workshop
        With its recipes applied.
    state : State
        From the record.
    today : date
        The day of the workshop: orders of today arrive from then on.
    """

    def __init__(self, applied: Workshop, state: State, today: dt.date) -> None:
        self.applied = applied
        self.state = state
        self.today = today

    @cached_property
    def stock(self) -> Stock:
        """Pieces in the house and on their way, after what the record says."""
        used: Counter[str] = Counter()
        done = set(self.state.jobs_done())
        for job in self.applied.jobs:
            if job.id in done:
                used.update(job.parts)
        spoilt = [
            snag.opened
            for snag in self.state.snags
            if snag.opened.snag in SPOILT_BY and snag.opened.part is not None
        ]
        orders = orders_noted(self.state.ordered)
        return stock_of(self.applied.shelf, orders, self.state.arrived, spoilt, used, self.today)

    @cached_property
    def hand(self) -> Mapping[str, int]:
        """Pieces in the house: what is due and has not been said to have come is not among them."""
        found = Counter(self.stock.shelf)
        for coming in self.stock.due:
            found.subtract(coming.parts)
        return {part: pieces for part, pieces in found.items() if pieces > 0}

    @cached_property
    def coming(self) -> Mapping[str, tuple[tuple[dt.date, int], ...]]:
        """Part -> when how many pieces are to come."""
        found: dict[str, list[tuple[dt.date, int]]] = {}
        for one in (*self.stock.due, *self.stock.coming):
            for part, pieces in one.parts.items():
                found.setdefault(part, []).append((one.order.arrives, pieces))
        return {part: tuple(sorted(days)) for part, days in found.items()}

    @cached_property
    def needs(self) -> Mapping[str, PartNeed]:
        """Parts that are needed, in the order of the jobs."""
        jobs: dict[str, dict[str, int]] = {}
        days: dict[str, list[dt.date | None]] = {}
        done = set(self.state.jobs_done())
        for job in self.applied.jobs:
            if job.id in done:
                continue
            last = self.applied.deadline(job)
            for part, pieces in job.parts.items():
                jobs.setdefault(part, {})[job.id] = pieces
                days.setdefault(part, []).append(last)
        found = {}
        for part, by_job in jobs.items():
            known = [day for day in days[part] if day is not None]
            by = max(known) if len(known) == len(days[part]) else None
            found[part] = PartNeed(part, by_job, self.hand.get(part, 0), self.coming.get(part, ()), by)
        return found

    @cached_property
    def sellers(self) -> Mapping[str, Seller]:
        return {seller.id: seller for seller in self.applied.sellers}

    @cached_property
    def sold(self) -> Mapping[str, tuple[Sold, ...]]:
        """Part -> offers that have it, those of one part first, the cheapest piece first."""
        found: dict[str, list[Sold]] = {}
        for offer in self.applied.offers:
            seller = self.sellers.get(offer.seller)
            if seller is None or offer.limit == 0:
                continue
            arrives = self.today + dt.timedelta(days=seller.days if offer.days is None else offer.days)
            for part, pieces in offer.parts.items():
                found.setdefault(part, []).append(Sold(offer, seller, arrives, pieces))
        for offers in found.values():
            offers.sort(key=lambda one: (one.is_kit, one.each, one.arrives, one.offer.id))
        return {part: tuple(offers) for part, offers in found.items()}

    def most(self, part: str) -> int | None:
        """Pieces of a part that can be bought at all; None where there is no end to it."""
        most = 0
        for one in self.sold.get(part, ()):
            if one.offer.limit is None:
                return None
            most += one.offer.limit * one.pieces
        return most

    @cached_property
    def unsold(self) -> tuple[PartNeed, ...]:
        """Parts of which fewer can be bought than are short; those of which none can, first."""
        found = [
            need
            for need in self.needs.values()
            if need.short and (most := self.most(need.part)) is not None and most < need.short
        ]
        return tuple(sorted(found, key=lambda need: bool(self.most(need.part))))

    def is_too_late(self, one: Sold, need: PartNeed) -> bool:
        """Whether an offer comes after the last day of every job that needs the part."""
        return need.by is not None and one.arrives > need.by

    def wrong(self, part: str) -> tuple[Arrived, ...]:
        """Arrivals of a part that were wrong or bad."""
        return tuple(one for one in self.state.arrived if one.part == part and one.state != "right")

    def short_for(self, jobs: Mapping[str, dt.date | None]) -> Mapping[str, tuple[str, ...]]:
        """Parts that each of some jobs waits for, when pieces in hand go to the first of them.

        Parameters
        ----------
        jobs : mapping
            Jobs that are not done -> the day the plan has them on, or None.
        """
        left = Counter(self.hand)
        found: dict[str, tuple[str, ...]] = {}
        by_id = {job.id: job for job in self.applied.jobs}
        order = sorted(jobs, key=lambda job: (jobs[job] or dt.date.max, not by_id[job].need.is_must))
        for name in order:
            missing = []
            for part, pieces in by_id[name].parts.items():
                if left[part] < pieces:
                    missing.append(part)
                left[part] = max(0, left[part] - pieces)
            found[name] = tuple(missing)
        return found
