"""Workshop files for the tests of the command line, and what a run of it leaves behind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from onceapart.planning.workload import Workload
from onceapart.workshop import (
    Access,
    Aftercare,
    Car,
    Inspection,
    Job,
    Need,
    Offer,
    Seller,
    Stint,
    Tool,
    Workshop,
    write_workshop,
)


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    status: int
    out: str
    err: str


Run = Callable[..., Ran]

SMALL = """\
format: onceapart-workshop/1
name: Quay Lane
today: 2026-03-02
currency: EUR
hour_worth: 12.00
cars:
  - {id: wren, name: The Wren, inspection: {due: 2026-04-11}}
jobs:
  - {id: wren-bulb, car: wren, need: inspection, minutes: 15, parts: {wren/bulb: 1}}
sellers:
  - {id: counter, name: Parts counter, delivery: 0, days: 0}
offers:
  - {id: counter-bulb, seller: counter, parts: {wren/bulb: 1}, price: 4.50}
stints:
  - {date: 2026-03-07, minutes: 60}
"""

IMPOSSIBLE = SMALL.replace("minutes: 15", "minutes: 75")

BROKEN = (
    SMALL.replace("12.00", "12,00").replace("minutes: 15", "minutes: 1.5").replace("2026-03-07", "7 March")
)


def long_id(kind: str, number: int) -> str:
    """An id of 100 letters, the most there can be, that breaks nowhere."""
    return f"{kind}{number}".ljust(100, "x")


def nasty() -> str:
    """A workshop in which everything that can be long is as long as it may be, and some letters are wide."""
    name, wide = "W" * 200, "車" * 200
    car, tools = long_id("car", 0), [long_id("tool", n) for n in range(2)]
    access = [Access(id=long_id("access", n), minutes=7, aftercare=(long_id("care", n),)) for n in range(4)]
    access.append(
        Access(id=long_id("top", 0), minutes=9, under=tuple(one.id for one in access), tools=(tools[0],))
    )
    jobs = [
        Job(
            id=long_id("job", n),
            car=car,
            need=Need.INSPECTION if n else Need.WISH,
            worth=0 if n else 1,
            minutes=30,
            access=(access[-1].id,) if n % 2 else tuple(one.id for one in access[:2]),
            parts={long_id("part", n): 1, long_id("part", n + 1): 2},
            tools=(tools[n % 2],),
        )
        for n in range(5)
    ]
    offers = [
        Offer(
            id=long_id("offer", n),
            seller=long_id("seller", n % 2),
            title=[None, name, wide][n % 3],
            parts={long_id("part", n): 3, long_id("part", n + 1): 1},
            price=99_999_999,
            deposit=77_777_777,
        )
        for n in range(6)
    ]
    stints = [Stint(date=f"2026-03-{7 + n // 2:02}", minutes=300, id=long_id("stint", n)) for n in range(4)]
    return write_workshop(
        Workshop(
            name=wide,
            today="2026-03-02",
            currency="EUR",
            hour_worth=1200,
            cars=(Car(id=car, name=name, inspection=Inspection(due="2026-04-11")),),
            tools=(Tool(id=tools[0], hire=999_999, buy=99_999_999), Tool(id=tools[1], buy=4200)),
            access=tuple(access),
            aftercare=tuple(Aftercare(id=long_id("care", n), minutes=5, price=8_888_888) for n in range(4)),
            jobs=tuple(jobs),
            sellers=(
                Seller(id=long_id("seller", 0), name=name, delivery=999_999, days=3),
                Seller(id=long_id("seller", 1), name=wide, delivery=999_999, free_from=1, days=6),
            ),
            offers=tuple(offers),
            stints=tuple(stints),
        )
    )


def as_file(workload: Workload, name: str = "Made up") -> str:
    """A workload as the text of a workshop file that makes it."""
    cars = list(dict.fromkeys(job.car for job in workload.jobs))
    return write_workshop(
        Workshop(
            name=name,
            today=workload.today,
            currency=workload.currency,
            hour_worth=workload.hour_worth,
            cars=tuple(Car(id=car, name=car) for car in cars),
            tools=tuple(Tool(id=t.id, have=t.have, hire=t.hire, buy=t.buy) for t in workload.tools),
            shelf=dict(workload.shelf),
            access=tuple(
                Access(id=a.id, minutes=a.minutes, under=a.under, aftercare=a.aftercare, tools=a.tools)
                for a in workload.access
            ),
            aftercare=tuple(Aftercare(id=a.id, minutes=a.minutes, price=a.price) for a in workload.aftercare),
            jobs=tuple(
                Job(
                    id=job.id,
                    car=job.car,
                    need=Need.INSPECTION if job.is_must else Need.UPKEEP,
                    minutes=job.minutes,
                    by=job.last_day,
                    worth=job.worth,
                    access=job.access,
                    parts=dict(job.parts),
                    tools=job.tools,
                    after=job.after,
                    aftercare=job.aftercare,
                )
                for job in workload.jobs
            ),
            sellers=tuple(
                Seller(id=s.id, name=s.name, delivery=s.delivery, free_from=s.free_from, days=0)
                for s in workload.sellers
            ),
            offers=tuple(
                Offer(
                    id=offer.id,
                    seller=offer.seller,
                    title=offer.title,
                    parts=dict(offer.parts),
                    price=offer.price,
                    limit=offer.limit,
                    days=(offer.arrives - workload.today).days,
                    deposit=offer.deposit,
                )
                for offer in workload.offers
            ),
            stints=tuple(Stint(date=s.date, minutes=s.minutes, id=s.id) for s in workload.stints),
        )
    )
