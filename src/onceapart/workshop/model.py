"""What a workshop holds: cars, jobs, access, offers, stints and the rest, as frozen models.

Money is in whole minor units, time in whole minutes, ids are text. The models check each value by
itself; what hangs together (ids named elsewhere, cycles) is checked by ``workshop.check``. Dicts in
the models are not to be changed in place.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from onceapart.workshop.values import (
    Currency,
    Date,
    Days,
    FileName,
    Flag,
    GoodAndBad,
    Id,
    MarkName,
    Mass,
    Measured,
    Minutes,
    Money,
    Odometer,
    Pieces,
    PiecesInHand,
    PlaceName,
    Text,
    Units,
)

RECIPE_KEYS: tuple[str, ...] = ("minutes", "between", "access", "parts", "tools", "aftercare")
"""What a recipe brings to a job, as far as the job does not give it itself."""


class Need(StrEnum):
    """Why a job is there. The first two must be done, the others may be left."""

    INSPECTION = "inspection"
    SAFETY = "safety"
    UPKEEP = "upkeep"
    WISH = "wish"

    @property
    def is_must(self) -> bool:
        """Whether a job of this need has to be done."""
        return self in (Need.INSPECTION, Need.SAFETY)


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


class Inspection(_Frozen):
    """The inspection a car is due for, and the id of the rule pack it goes by."""

    due: Date
    rules: Id | None = None


class Layout(_Frozen):
    """How a car is built, as far as a recipe needs it; without a word, the small old hatchback."""

    drive: Literal["front", "rear", "all"] = "front"
    front_brakes: Literal["disc", "drum"] = Field("disc", alias="front-brakes")
    rear_brakes: Literal["disc", "drum"] = Field("drum", alias="rear-brakes")
    front_suspension: Literal["strut", "double-wishbone"] = Field("strut", alias="front-suspension")
    rear_suspension: Literal["beam", "strut", "double-wishbone", "live-axle", "trailing-arm"] = Field(
        "beam", alias="rear-suspension"
    )
    fuel: Literal["petrol", "diesel"] = "petrol"


class Car(_Frozen):
    """A car, and what is known of it for good.

    ``registered`` is the date of first registration, ``mass`` text with its unit. ``facts`` are what a
    rule pack asks for, by the pack's own ids; ``marks`` the limits stamped on or given for this very car,
    by ``item`` or ``place/item``. Units are not looked at here.
    """

    id: Id
    name: Text
    inspection: Inspection | None = None
    layout: Layout | None = None
    registered: Date | None = None
    mass: Mass | None = None
    facts: dict[Id, Text] = {}
    marks: dict[MarkName, Measured] = {}
    rust: Literal["light", "medium", "heavy"] = "medium"
    off_road: Money = 0
    """What a day on which the car can't be driven costs, where it stands taken apart. [minor units]"""


class Finding(_Frozen):
    """What was measured on a car, or seen on it, on a day.

    Either ``value``, a number with its unit as it was written, or ``seen``, words of which ``sound`` says
    that it was looked at and nothing is wrong. Items, words and units are a rule pack's: not looked at here.
    """

    car: Id
    item: Id
    place: PlaceName | None = None
    value: Measured | None = None
    seen: tuple[Id, ...] = ()
    date: Date
    odometer: Odometer | None = None
    note: Text | None = None
    photo: FileName | None = None


class Tool(_Frozen):
    """A tool in hand, or what it costs to get: hire is paid per stint, buying once. [minor units]

    A tool that is not in hand and has neither price cannot be got; a job that names it cannot be done.
    """

    id: Id
    have: Flag = False
    hire: Money | None = None
    buy: Money | None = None


class Access(_Frozen):
    """Something that comes off, and goes on again, to get at what is behind it.

    ``minutes`` is for off and on together, ``between`` the same in a good and in a bad case; ``under``
    names the access that must be off before; what ``may_stand`` may stay off from one stint to the next.
    """

    id: Id
    minutes: Minutes
    between: GoodAndBad | None = None
    under: tuple[Id, ...] = ()
    aftercare: tuple[Id, ...] = ()
    tools: tuple[Id, ...] = ()
    may_stand: Flag = False


class Aftercare(_Frozen):
    """What has to follow once in a stint, such as an alignment or bleeding. [minutes, minor units]"""

    id: Id
    minutes: Minutes
    price: Money


class Job(_Frozen):
    """A piece of work on one car.

    A job has its own ``minutes``, or a ``recipe`` for a ``place``; what stands beside a recipe overrides
    that part of it, even when empty (``parts: {}``), so ``overrides`` says what was given. ``between`` are
    the minutes in a good and in a bad case.
    """

    id: Id
    car: Id
    need: Need
    minutes: Minutes | None = None
    between: GoodAndBad | None = None
    by: Date | None = None
    worth: Money = 0
    access: tuple[Id, ...] = ()
    parts: dict[Id, Pieces] = {}
    tools: tuple[Id, ...] = ()
    after: tuple[Id, ...] = ()
    aftercare: tuple[Id, ...] = ()
    recipe: Id | None = None
    place: PlaceName | None = None

    @property
    def overrides(self) -> frozenset[str]:
        """Those of ``RECIPE_KEYS`` that the job gives itself.

        >>> sorted(Job(id="a", car="wren", need="wish", recipe="strut", parts={}).overrides)
        ['parts']
        """
        given = frozenset(RECIPE_KEYS) & self.model_fields_set
        return frozenset(key for key in given if getattr(self, key) is not None)


class Seller(_Frozen):
    """Where parts come from: one delivery price an order, free from some value of goods on."""

    id: Id
    name: Text
    delivery: Money
    free_from: Money | None = None
    days: Days


class Offer(_Frozen):
    """One thing a seller sells: pieces of a part, or of several (a kit), in one unit at a price.

    ``limit`` is the number of units that can be bought, ``days`` overrides the seller's, and ``deposit``
    is handed back, so it is cash but no cost. [minor units, days]
    """

    id: Id
    seller: Id
    title: Text | None = None
    parts: dict[Id, Pieces] = Field(min_length=1)
    price: Money
    limit: Units | None = None
    days: Days | None = None
    deposit: Money = 0


class Stint(_Frozen):
    """A stretch of working time on a day; two on one day have ids."""

    date: Date
    minutes: Minutes
    id: Id | None = None


class Workshop(_Frozen):
    """Everything a plan is made from. ``today`` is the day orders are placed; None: the day it runs."""

    name: Text
    today: Date | None = None
    currency: Currency
    hour_worth: Money
    cars: tuple[Car, ...] = ()
    findings: tuple[Finding, ...] = ()
    tools: tuple[Tool, ...] = ()
    shelf: dict[Id, PiecesInHand] = {}
    access: tuple[Access, ...] = ()
    aftercare: tuple[Aftercare, ...] = ()
    jobs: tuple[Job, ...] = ()
    sellers: tuple[Seller, ...] = ()
    offers: tuple[Offer, ...] = ()
    stints: tuple[Stint, ...] = ()

    def deadline(self, job: Job) -> Date | None:
        """Last day on which a job may be done: its ``by``, or for an inspection job the car's due date."""
        if job.by is not None or job.need is not Need.INSPECTION:
            return job.by
        return next((car.inspection.due for car in self.cars if car.id == job.car and car.inspection), None)

    def delivery_days(self, offer: Offer) -> int:
        """Days from order to arrival of an offer: its own, or its seller's.

        Raises KeyError if there is no such seller, which a checked workshop rules out.
        """
        if offer.days is not None:
            return offer.days
        for seller in self.sellers:
            if seller.id == offer.seller:
                return seller.days
        raise KeyError(offer.seller)
