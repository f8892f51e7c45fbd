"""What to order from whom: the orders of a plan, with what each line is for and when it is needed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from onceapart.bench.card_work import job_title, place_words, spoken, titled
from onceapart.planning.cost import cost, delivery_of, goods_by_seller
from onceapart.planning.lots import Lots, lots_of
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Offer, Workload
from onceapart.trade import FittedWorkshop, fit_workshop
from onceapart.workshop import PLACES, Workshop


@dataclass(frozen=True)
class OrderPart:
    """Pieces of a part in all units of a line; ``spare`` of them the plan does not use."""

    id: str
    title: str
    pieces: int
    spare: int = 0


@dataclass(frozen=True)
class OrderJob:
    """A job that uses something of a line, and the day of its stint."""

    id: str
    title: str
    car: str
    date: dt.date


@dataclass(frozen=True)
class OrderLine:
    """Units of one offer. [minor units]"""

    offer: str
    title: str
    units: int
    price: int
    """Of one unit."""
    deposit: int
    """Of one unit; handed back for the old part."""
    arrives: dt.date
    parts: tuple[OrderPart, ...]
    jobs: tuple[OrderJob, ...]

    @property
    def amount(self) -> int:
        """Price of all units."""
        return self.units * self.price

    @property
    def needed(self) -> dt.date | None:
        """The first day on which something of it is used; None where all of it is spare."""
        return min((job.date for job in self.jobs), default=None)


@dataclass(frozen=True)
class OrderSheet:
    """All that is ordered from one seller, today. [minor units]"""

    seller: str
    name: str
    lines: tuple[OrderLine, ...]
    delivery: int

    @property
    def goods(self) -> int:
        return sum(line.amount for line in self.lines)

    @property
    def total(self) -> int:
        """What it costs: goods and delivery."""
        return self.goods + self.delivery

    @property
    def deposit(self) -> int:
        """Cash that comes back; no cost."""
        return sum(line.units * line.deposit for line in self.lines)


@dataclass(frozen=True)
class Orders:
    """The orders of a plan, and what else the plan pays for; ``money`` is the plan's. [minor units]"""

    workshop: str
    currency: str
    placed: dt.date
    sheets: tuple[OrderSheet, ...]
    besides: Mapping[str, int] = field(default_factory=dict)
    """Aftercare, hire, tools and days off the road, in words -> amount; nought is left out."""
    is_whole: bool = True
    """Whether all sellers are there, so that ``money`` is the plan's."""

    @property
    def money(self) -> int:
        """All the money of the plan."""
        return sum(sheet.total for sheet in self.sheets) + sum(self.besides.values())

    @property
    def deposit(self) -> int:
        """Cash that comes back, of all sellers."""
        return sum(sheet.deposit for sheet in self.sheets)

    def of(self, seller: str) -> Orders:
        """The same with one seller's sheet alone; KeyError if nothing is ordered there."""
        found = tuple(sheet for sheet in self.sheets if sheet.seller == seller)
        if not found:
            raise KeyError(seller)
        return Orders(self.workshop, self.currency, self.placed, found, is_whole=False)


def orders_of(workshop: Workshop, workload: Workload, plan: Plan) -> Orders:
    """The orders of a plan.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    workload : Workload
        The workshop's; orders are placed on its ``today``.
    plan : Plan
        Its pieces are shared out by ``lots_of``, as everywhere.

    Returns
    -------
    Orders
        Sellers in the file's order. Goods and delivery of all sheets are the plan's, and with what it pays
        besides they are its ``money``.
    """
    lots, fitted = lots_of(workload, plan), fit_workshop(workshop)
    writer = _LineWriter(workshop, workload, plan, lots, fitted)
    sheets = tuple(
        OrderSheet(
            seller=seller,
            name=workload.seller[seller].name,
            lines=tuple(
                writer.line(offer)
                for offer in workload.offers
                if offer.seller == seller and plan.units.get(offer.id)
            ),
            delivery=delivery_of(workload, seller, goods),
        )
        for seller, goods in goods_by_seller(workload, plan).items()
    )
    price = cost(workload, plan)
    besides = {
        "Aftercare by others, such as alignment": price.aftercare,
        "Tools hired": price.hire,
        f"Tools bought ({', '.join(plan.tools_bought)})": price.tools,
        "Days off the road": price.off_road,
    }
    return Orders(
        workshop=workshop.name,
        currency=workload.currency,
        placed=workload.today,
        sheets=sheets,
        besides={what: amount for what, amount in besides.items() if amount},
    )


@dataclass(frozen=True)
class _LineWriter:
    workshop: Workshop
    workload: Workload
    plan: Plan
    lots: Lots
    fitted: FittedWorkshop

    def line(self, offer: Offer) -> OrderLine:
        units, spare = self.plan.units[offer.id], self.lots.spare.get(offer.id, {})
        parts = tuple(
            OrderPart(part, self._part_title(part), n * units, spare.get(part, 0))
            for part, n in offer.parts.items()
        )
        return OrderLine(
            offer=offer.id,
            title=offer.title or "; ".join(part.title for part in parts),
            units=units,
            price=offer.price,
            deposit=offer.deposit,
            arrives=offer.arrives,
            parts=parts,
            jobs=tuple(self._jobs(offer.id)),
        )

    def _part_title(self, part: str) -> str:
        """The recipe's name of a part, with its place; or its id in words."""
        name = part.rpartition("/")[2]
        place = next((one for one in part.split("/")[:-1] if one in PLACES), "all")
        recipes = [one.recipe for one in self.fitted.jobs.values()]
        title = next((one.parts[name].title for one in recipes if name in one.parts), titled(spoken(name)))
        return ", ".join(filter(None, [title, place_words(place)]))

    def _jobs(self, offer: str) -> list[OrderJob]:
        jobs = {job.id: job for job in self.workshop.jobs}
        names = {car.id: car.name for car in self.workshop.cars}
        found = []
        for stint, work in zip(self.workload.stints, self.plan.work, strict=True):
            for job_id in work.jobs:
                if any(lot.offer == offer for lot in self.lots.of_job[job_id]):
                    job = jobs[job_id]
                    title = job_title(job, self.fitted.jobs.get(job_id))
                    where = place_words(job.place or "all")
                    found.append(
                        OrderJob(job_id, f"{title} {where}".strip(), names.get(job.car, job.car), stint.date)
                    )
        return found
