"""Made-up workloads of the four benchmark sizes, the same for the same seed. All figures are invented."""

from __future__ import annotations

import datetime as dt
import random
from typing import NamedTuple

from onceapart.planning.workload import Access, Aftercare, Job, Offer, Seller, Stint, Tool, Workload

TODAY = dt.date(2026, 3, 2)
CORNERS = ("front-left", "front-right", "rear-left", "rear-right")


class Size(NamedTuple):
    cars: int
    jobs: int
    stints: int
    offers: int
    """By post; the counter has one for each part besides."""
    sellers: int
    """By post, besides the counter."""


SIZES = {
    "s": Size(1, 8, 4, 30, 3),
    "m": Size(2, 20, 8, 130, 7),
    "l": Size(3, 40, 12, 350, 11),
    "xl": Size(5, 80, 24, 900, 19),
}


class _Parts(NamedTuple):
    ids: list[str]
    worth: dict[str, int]
    """What a piece sells for about, in minor units."""


def made_workload(size: str, seed: int) -> Workload:
    """A workload of size ``s``, ``m``, ``l`` or ``xl``.

    The order in which numbers are drawn is part of the benchmark: another order is another workload.
    """
    shape = SIZES[size]
    r = random.Random(f"{size}-{seed}")
    hour_worth = 100 * r.choice([8, 12, 18])
    cars = [f"car{number}" for number in range(shape.cars)]
    due = {car: _day(r.randint(50, 80)) for car in cars}
    tools = [_tool(r, number) for number in range(6)]
    access = {car: _access_of(r, car, tools) for car in cars}
    cares = [care for car in cars for care in _aftercare_of(r, car)]
    parts = _Parts([], {})
    jobs = _jobs(r, shape, cars, due, access, parts)
    sellers, days = _sellers(r, shape)
    offers = _offers(r, shape, parts, sellers, days)
    return Workload(
        today=TODAY,
        currency="EUR",
        hour_worth=hour_worth,
        jobs=tuple(jobs),
        access=tuple(item for car in cars for item in access[car]),
        aftercare=tuple(cares),
        tools=tuple(tools),
        sellers=tuple(sellers),
        offers=tuple(offers),
        stints=tuple(_stints(r, shape)),
    )


def _day(days: int) -> dt.date:
    return TODAY + dt.timedelta(days=days)


def _tool(r: random.Random, number: int) -> Tool:
    if number < 3:
        return Tool(f"tool{number}", have=True)
    return Tool(f"tool{number}", hire=100 * r.randint(4, 12), buy=100 * r.randint(20, 70))


def _access_of(r: random.Random, car: str, tools: list[Tool]) -> list[Access]:
    """At each corner the wheel, and one to three things behind it or behind one another."""
    access = []
    for corner in CORNERS:
        deepest = f"{car}/{corner}/wheel"
        access.append(Access(deepest, r.randint(6, 12)))
        for what in r.sample(["caliper", "strut", "driveshaft", "arm", "hub"], r.randint(1, 3)):
            name = f"{car}/{corner}/{what}"
            care = (f"{car}/alignment",) if what in ("strut", "arm") else ()
            used = (r.choice(tools).id,) if r.random() < 0.4 else ()
            access.append(Access(name, r.randint(15, 75), (deepest,), care, used))
            if r.random() < 0.6:
                deepest = name
    return access


def _aftercare_of(r: random.Random, car: str) -> list[Aftercare]:
    alignment = Aftercare(f"{car}/alignment", 30, 100 * r.randint(45, 95))
    return [alignment, Aftercare(f"{car}/bleeding", r.randint(20, 45), 0)]


def _jobs(
    r: random.Random,
    shape: Size,
    cars: list[str],
    due: dict[str, dt.date],
    access: dict[str, list[Access]],
    parts: _Parts,
) -> list[Job]:
    jobs: list[Job] = []
    used: list[str] = []
    for number in range(shape.jobs):
        car = cars[number % shape.cars]
        need = r.choices(["inspection", "safety", "upkeep", "wish"], [5, 1, 2, 2])[0]
        must = need in ("inspection", "safety")
        mine = _parts_of_job(r, car, parts, used)
        used += mine
        opens = r.sample([item.id for item in access[car]], r.choice([1, 1, 2]))
        minutes = r.randint(15, 110)
        pieces = {part: r.choice([1, 1, 2]) for part in mine}
        worth = 0 if must else 100 * r.randint(20, 260)
        care = (f"{car}/bleeding",) if r.random() < 0.2 else ()
        after: tuple[str, ...] = ()
        if number >= shape.cars and r.random() < 0.1 and jobs[number - shape.cars].is_must:
            after = (jobs[number - shape.cars].id,)
        last_day = due[car] if need == "inspection" else None
        jobs.append(
            Job(f"job{number}", car, must, minutes, last_day, worth, tuple(opens), pieces, (), after, care)
        )
    return jobs


def _parts_of_job(r: random.Random, car: str, parts: _Parts, used: list[str]) -> list[str]:
    mine: list[str] = []
    for _ in range(r.randint(1, 3)):
        if used and r.random() < 0.15:
            part = r.choice(used)
        else:
            part = f"{car}/part{len(parts.ids)}"
            parts.ids.append(part)
            parts.worth[part] = r.randint(400, 9000)
        if part not in mine:
            mine.append(part)
    return mine


def _sellers(r: random.Random, shape: Size) -> tuple[list[Seller], dict[str, int]]:
    sellers, days = [Seller("counter", "Counter", 0)], {"counter": 0}
    for number in range(shape.sellers):
        name = f"post{number}"
        free_from = 100 * r.choice([60, 90, 150]) if r.random() < 0.6 else None
        sellers.append(Seller(name, f"Post {number}", r.randint(350, 1900), free_from))
        days[name] = r.randint(2, 24)
    return sellers, days


def _offers(
    r: random.Random, shape: Size, parts: _Parts, sellers: list[Seller], days: dict[str, int]
) -> list[Offer]:
    offers = [
        Offer(f"c{number}", "counter", {part: 1}, int(parts.worth[part] * r.uniform(1.15, 1.6)), TODAY)
        for number, part in enumerate(parts.ids)
    ]
    for number in range(shape.offers):
        kit = r.sample(parts.ids, min(len(parts.ids), r.choices([1, 2, 3], [7, 2, 1])[0]))
        count = {part: r.choices([1, 2, 4], [6, 3, 1])[0] for part in kit}
        value = sum(parts.worth[part] * pieces for part, pieces in count.items())
        price = int(value * r.uniform(0.5, 1.05) / (1 + 0.15 * (len(kit) > 1)))
        seller = sellers[1 + r.randrange(shape.sellers)].id
        offers.append(Offer(f"o{number}", seller, count, price, _day(days[seller])))
    return offers


def _stints(r: random.Random, shape: Size) -> list[Stint]:
    longer = max(1, round(shape.jobs / shape.stints / 2.2))
    days = sorted([*r.sample(range(4, 48), shape.stints - 1), 49])
    return [Stint(_day(day), r.choice([240, 300, 420, 540]) * longer) for day in days]
