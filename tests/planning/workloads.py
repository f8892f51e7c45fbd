"""Tiny and small workloads by chance: from a seed, or drawn by hypothesis. All figures are invented.

They are made so that every rule of the planning problem decides something in a good share of them;
`without` takes one of the rules away, to measure that.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, Protocol, TypeVar

from hypothesis import strategies as st

from onceapart.planning.workload import Access, Aftercare, Job, Offer, Seller, Stint, Tool, Workload
from plain_models import units_that_can_help

TODAY = dt.date(2026, 3, 2)
T = TypeVar("T")


class Shape(NamedTuple):
    """How large a workload may be at most."""

    jobs: int = 5
    stints: int = 3
    offers: int = 6
    access: int = 4
    sellers: int = 3
    tools: int = 2
    baskets: int = 3000
    """Different baskets that can help; offers get limits until there are no more."""


TINY = Shape()
TINIEST = Shape(jobs=3, stints=2, offers=2, access=2, sellers=2, tools=1, baskets=12)
SMALL = Shape(jobs=9, stints=5, offers=16, access=9, sellers=4, tools=3, baskets=10**9)


class Chance(Protocol):
    """Where numbers come from; the low ones are the plain ones, for hypothesis to shrink to."""

    def integer(self, low: int, high: int) -> int: ...


@dataclass(frozen=True)
class _Seeded:
    source: random.Random

    def integer(self, low: int, high: int) -> int:
        return self.source.randint(low, high)


@dataclass(frozen=True)
class _Drawn:
    draw: Callable[[st.SearchStrategy[int]], int]

    def integer(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))


def seeded_workload(seed: int, shape: Shape = TINY) -> Workload:
    """The workload of this seed, always the same."""
    # A text seed is hashed by its bytes, the same on every machine.
    return _make(_Seeded(random.Random(f"planning {shape} {seed}")), shape)


@st.composite
def workloads(draw: Callable[[st.SearchStrategy[int]], int], shape: Shape = TINY) -> Workload:
    """Workloads as `seeded_workload` makes them, for hypothesis."""
    return _make(_Drawn(draw), shape)


def _maybe(c: Chance, percent: int) -> bool:
    return c.integer(0, 99) >= 100 - percent


def _pick(c: Chance, items: Sequence[T]) -> T:
    return items[c.integer(0, len(items) - 1)]


def _count(c: Chance, low: int, high: int) -> int:
    """A number that tends to be high."""
    return max(c.integer(low, high), c.integer(low, high))


def _some(c: Chance, items: Sequence[str], most: int) -> tuple[str, ...]:
    """Up to ``most`` of the items, each at most once."""
    left = list(items)
    return tuple(left.pop(c.integer(0, len(left) - 1)) for _ in range(c.integer(0, min(most, len(left)))))


def _day(days: int) -> dt.date:
    return TODAY + dt.timedelta(days=days)


def _make(c: Chance, shape: Shape) -> Workload:
    tools = tuple(_tool(c, number) for number in range(c.integer(0, shape.tools)))
    names = [tool.id for tool in tools]
    cares = tuple(
        Aftercare(f"care{n}", _pick(c, [0, 10, 30]), _pick(c, [0, 250, 900, 2500]))
        for n in range(c.integer(0, 2))
    )
    access = _access(c, shape, [care.id for care in cares], names)
    parts = [f"part{number}" for number in range(c.integer(1, max(2, shape.jobs - 1)))]
    stints = _stints(c, shape)
    jobs = _jobs(c, shape, access, parts, names, [care.id for care in cares], stints)
    sellers, offers = _sellers_and_offers(c, shape, parts)
    workload = Workload(
        today=TODAY,
        currency="EUR",
        hour_worth=_pick(c, [1200, 0, 7, 30, 101, 997, 2000]),
        jobs=jobs,
        access=access,
        aftercare=cares,
        tools=tools,
        shelf={part: c.integer(0, 2) for part in _some(c, parts, 2)},
        sellers=sellers,
        offers=offers,
        stints=stints,
    )
    return _with_few_baskets(workload, shape.baskets)


def _tool(c: Chance, number: int) -> Tool:
    kind = c.integer(0, 11)
    hire, buy = _pick(c, [400, 0, 150, 900]), _pick(c, [700, 0, 300, 1500])
    if kind == 11:
        return Tool(f"tool{number}")
    return Tool(
        f"tool{number}",
        have=kind in (0, 1),
        hire=hire if kind in (1, 2, 3, 4, 5, 6, 7, 8) else None,
        buy=buy if kind in (5, 6, 7, 8, 9, 10) else None,
    )


def _access(c: Chance, shape: Shape, cares: Sequence[str], tools: Sequence[str]) -> tuple[Access, ...]:
    made: list[Access] = []
    for number in range(_count(c, 0, shape.access)):
        under = _some(c, [access.id for access in made], 2)
        care = _some(c, cares, 1)
        made.append(Access(f"off{number}", _pick(c, [10, 0, 5, 15, 25, 40]), under, care, _some(c, tools, 1)))
    # What is under another need not come before it in the file.
    return tuple(reversed(made)) if _maybe(c, 50) else tuple(made)


def _stints(c: Chance, shape: Shape) -> tuple[Stint, ...]:
    count = _count(c, 1, shape.stints)
    # Now and then one is over already when the orders are placed.
    days = sorted(-1 if _maybe(c, 3) else c.integer(0, 9) for _ in range(count))
    longer = max(1, round(shape.jobs / 5))
    return tuple(
        Stint(_day(day), _pick(c, [120, 20, 60, 75, 90, 90, 105, 150, 240]) * longer, f"s{number}")
        for number, day in enumerate(days)
    )


def _jobs(
    c: Chance,
    shape: Shape,
    access: Sequence[Access],
    parts: Sequence[str],
    tools: Sequence[str],
    cares: Sequence[str],
    stints: Sequence[Stint],
) -> tuple[Job, ...]:
    made: list[Job] = []
    for number in range(_count(c, 1, shape.jobs)):
        must = _maybe(c, 38)
        last_day = None
        if _maybe(c, 50):
            last_day = _pick(c, stints).date + dt.timedelta(days=c.integer(0, 1))
        made.append(
            Job(
                id=f"job{number}",
                car="car",
                is_must=must,
                minutes=_pick(c, [20, 0, 10, 25, 35, 50, 60]),
                last_day=last_day,
                worth=0 if must else _pick(c, [1500, 0, 400, 900, 2000, 3000, 6000]),
                access=_some(c, [item.id for item in access], 2),
                parts={part: _pick(c, [1, 1, 1, 1, 2, 3]) for part in _some(c, parts, 2)},
                tools=_some(c, tools, 1) if _maybe(c, 60) else (),
                after=_some(c, [job.id for job in made], 2) if _maybe(c, 40) else (),
                aftercare=_some(c, cares, 1) if _maybe(c, 60) else (),
            )
        )
    turn = c.integer(0, len(made) - 1)
    return (*made[turn:], *made[:turn])


def _sellers_and_offers(
    c: Chance, shape: Shape, parts: Sequence[str]
) -> tuple[tuple[Seller, ...], tuple[Offer, ...]]:
    sellers, days = [], {}
    for number in range(c.integer(1, shape.sellers)):
        free_from = _pick(c, [600, 0, 500, 750, 900, 1000, 1400, 2000]) if _maybe(c, 75) else None
        sellers.append(
            Seller(f"seller{number}", f"Seller {number}", _pick(c, [500, 0, 300, 600, 850, 1200]), free_from)
        )
        days[f"seller{number}"] = _pick(c, [0, 0, 2, 3, 4, 6])
    offers: list[Offer] = []
    for number in range(_count(c, 0, shape.offers)):
        unsold = [part for part in parts if not any(part in offer.parts for offer in offers)]
        kit = {_pick(c, unsold or parts): _pick(c, [1, 1, 1, 2, 3])}
        if _maybe(c, 35):
            # At times with a piece that no job needs.
            kit.setdefault(_pick(c, [*parts, "nobody-needs-it"]), _pick(c, [1, 1, 2]))
        seller = _pick(c, sellers).id
        arrives = _day(c.integer(0, 8) if _maybe(c, 20) else days[seller])
        price = _pick(c, [300, 0, 50, 120, 200, 300, 400, 450, 600, 1000]) * sum(kit.values())
        limit = _pick(c, [1, 0, 1, 1, 2, 2]) if _maybe(c, 40) else None
        deposit = 500 if _maybe(c, 10) else 0
        offers.append(Offer(f"offer{number}", seller, kit, price, arrives, limit, deposit))
    return tuple(sellers), tuple(offers)


def _with_few_baskets(workload: Workload, most: int) -> Workload:
    """The workload, with limits put on offers until no more than ``most`` baskets can help."""
    while True:
        units = units_that_can_help(workload)
        if math.prod(count + 1 for count in units.values()) <= most:
            return workload
        largest = max(units, key=units.__getitem__)
        offers = tuple(
            replace(offer, limit=units[largest] - 1) if offer.id == largest else offer
            for offer in workload.offers
        )
        workload = replace(workload, offers=offers)


def without(workload: Workload, rule: str) -> Workload:
    """The workload with one of the rules, or a part of one, taken away."""
    jobs, access, offers = workload.jobs, workload.access, workload.offers
    changes: dict[str, Callable[[], Workload]] = {
        "1 must": lambda: replace(workload, jobs=tuple(replace(j, is_must=False) for j in jobs)),
        "2 by": lambda: replace(workload, jobs=tuple(replace(j, last_day=None) for j in jobs)),
        "3 access": lambda: replace(workload, jobs=tuple(replace(j, access=()) for j in jobs)),
        "3 under": lambda: replace(workload, access=tuple(replace(a, under=()) for a in access)),
        "4 aftercare": lambda: replace(
            workload,
            jobs=tuple(replace(j, aftercare=()) for j in jobs),
            access=tuple(replace(a, aftercare=()) for a in access),
        ),
        "5 minutes": lambda: replace(
            workload, stints=tuple(replace(s, minutes=10**6) for s in workload.stints)
        ),
        "6 after": lambda: replace(workload, jobs=tuple(replace(j, after=()) for j in jobs)),
        "7 parts": lambda: replace(workload, jobs=tuple(replace(j, parts={}) for j in jobs)),
        "7 shelf": lambda: replace(workload, shelf={}),
        "7 arrival": lambda: replace(
            workload, offers=tuple(replace(o, arrives=min(o.arrives, _day(-9))) for o in offers)
        ),
        "7 limit": lambda: replace(workload, offers=tuple(replace(o, limit=None) for o in offers)),
        "8 delivery": lambda: replace(
            workload, sellers=tuple(replace(s, delivery=0) for s in workload.sellers)
        ),
        "8 free": lambda: replace(
            workload, sellers=tuple(replace(s, free_from=None) for s in workload.sellers)
        ),
        "9 tools": lambda: replace(workload, tools=tuple(replace(t, have=True) for t in workload.tools)),
        "9 buying": lambda: replace(
            workload, tools=tuple(t if t.hire is None else replace(t, buy=None) for t in workload.tools)
        ),
    }
    return changes[rule]()


RULES = (
    "1 must", "2 by", "3 access", "3 under", "4 aftercare", "5 minutes", "6 after", "7 parts", "7 shelf",
    "7 arrival", "7 limit", "8 delivery", "8 free", "9 tools", "9 buying",
)  # fmt: skip


def relabelled(workload: Workload, turn: int) -> Workload:
    """The same workload with other ids, in the order of the old ones (0), turned round (1) or mixed."""
    kinds = {
        "job": [job.id for job in workload.jobs],
        "access": [access.id for access in workload.access],
        "care": [care.id for care in workload.aftercare],
        "tool": [tool.id for tool in workload.tools],
        "seller": [seller.id for seller in workload.sellers],
        "offer": [offer.id for offer in workload.offers],
        "part": sorted(
            {
                *itertools.chain.from_iterable(job.parts for job in workload.jobs),
                *itertools.chain.from_iterable(offer.parts for offer in workload.offers),
                *workload.shelf,
            }
        ),
    }
    new: dict[tuple[str, str], str] = {}
    for kind, ids in kinds.items():
        order = sorted(ids, reverse=turn == 1)
        if turn > 1:
            random.Random(f"{kind} {turn}").shuffle(order)
        new.update({(kind, name): f"x{number:02}-{kind}" for number, name in enumerate(order)})

    def named(kind: str, names: Sequence[str]) -> tuple[str, ...]:
        return tuple(new[kind, name] for name in names)

    def pieces(parts: object) -> dict[str, int]:
        return {new["part", part]: count for part, count in dict(parts).items()}  # type: ignore[call-overload]

    return replace(
        workload,
        jobs=tuple(
            replace(
                job, id=new["job", job.id], access=named("access", job.access), parts=pieces(job.parts),
                tools=named("tool", job.tools), after=named("job", job.after),
                aftercare=named("care", job.aftercare),
            )
            for job in workload.jobs
        ),
        access=tuple(
            replace(
                item, id=new["access", item.id], under=named("access", item.under),
                aftercare=named("care", item.aftercare), tools=named("tool", item.tools),
            )
            for item in workload.access
        ),
        aftercare=tuple(replace(care, id=new["care", care.id]) for care in workload.aftercare),
        tools=tuple(replace(tool, id=new["tool", tool.id]) for tool in workload.tools),
        shelf=pieces(workload.shelf),
        sellers=tuple(replace(seller, id=new["seller", seller.id]) for seller in workload.sellers),
        offers=tuple(
            replace(
                offer, id=new["offer", offer.id], seller=new["seller", offer.seller],
                parts=pieces(offer.parts),
            )
            for offer in workload.offers
        ),
    )  # fmt: skip
