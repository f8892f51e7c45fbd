"""Small workloads with trouble, and a plain oracle that works one run after the other."""

from __future__ import annotations

import datetime as dt
import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from onceapart.planning.chance.breaks import InHand
from onceapart.planning.chance.draws import Draws
from onceapart.planning.chance.minutes import Chances, binomial, minutes_of
from onceapart.planning.chance.trouble import Fastener, Trouble
from onceapart.planning.placing import in_turn
from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.workload import Access, Aftercare, Job, Stint, Tool, Workload
from onceapart.trade.schema import Spread

TODAY = dt.date(2026, 3, 2)


def day(days: int) -> dt.date:
    return TODAY + dt.timedelta(days=days)


def spread(good: int, typical: int, bad: int) -> Spread:
    return Spread(good=good, typical=typical, bad=bad)


def workload(jobs, stints, **more) -> Workload:
    return Workload(
        **{
            "today": TODAY,
            "currency": "EUR",
            "hour_worth": 1200,
            "jobs": tuple(jobs),
            "stints": tuple(stints),
            **more,
        }
    )


@dataclass
class Run:
    """What came of one run."""

    done_at: dict[str, int] = field(default_factory=dict)
    left_over: list[bool] = field(default_factory=list)
    minutes: int = 0
    prices: int = 0
    trips: int = 0


@dataclass(frozen=True)
class Luck:
    """What happens in one run. Fasteners are beside the trouble's."""

    jobs: dict[str, int]
    access: dict[str, int]
    aftercare: dict[str, int]
    broken: tuple[int, ...]
    getting_out: tuple[int, ...]


def luck_of(draws: Draws, run: int) -> Luck:
    return Luck(
        {name: int(minutes[run]) for name, minutes in draws.jobs.items()},
        {name: int(minutes[run]) for name, minutes in draws.access.items()},
        {name: int(minutes[run]) for name, minutes in draws.aftercare.items()},
        tuple(int(one[run]) for one in draws.broken),
        tuple(int(one[run]) for one in draws.getting_out),
    )


def every_luck(w: Workload, trouble: Trouble) -> Iterator[tuple[float, Luck]]:
    """All that may happen, with its chance."""

    def minutes(kind, items):
        return [_cases(minutes_of(trouble.spread(kind, one.id, w))) for one in items]

    drawn = [*minutes("job", w.jobs), *minutes("access", w.access), *minutes("aftercare", w.aftercare)]
    fasteners = []
    for one in trouble.fasteners:
        cases = []
        for chance, number in _cases(binomial(one.count, one.chance)):
            out = Chances.certain(0)
            for _ in range(number):
                out = out + minutes_of(one.getting_out)
            cases += [(chance * often, (number, taken)) for often, taken in _cases(out)]
        fasteners.append(cases)
    n, m = len(w.jobs), len(w.jobs) + len(w.access)
    for found in itertools.product(*drawn, *fasteners):
        chance = 1.0
        for share, _ in found:
            chance *= share
        figures = [figure for _, figure in found]
        broken = figures[len(drawn) :]
        yield (
            chance,
            Luck(
                {one.id: figures[at] for at, one in enumerate(w.jobs)},
                {one.id: figures[n + at] for at, one in enumerate(w.access)},
                {one.id: figures[m + at] for at, one in enumerate(w.aftercare)},
                tuple(number for number, _ in broken),
                tuple(taken for _, taken in broken),
            ),
        )


def _cases(chances: Chances) -> list[tuple[float, int]]:
    return [(float(p), chances.least + at) for at, p in enumerate(chances.chance) if p > 0]


def work_one(w: Workload, plan: Plan, trouble: Trouble, in_hand: list[InHand], luck: Luck) -> Run:
    """One run by the rule in words, step by step."""
    run = Run()
    order = in_turn(w, plan.done)
    to_do = dict(luck.jobs)
    through: set[str] = set()
    waits: dict[str, dt.date] = {}
    met: set[tuple[str, str]] = set()
    house: dict[str, int] = {}
    coming = list(in_hand)
    owned = {*plan.tools_bought, *(tool.id for tool in w.tools if tool.have)}
    off = set(w.off_now)

    for at, (stint, work) in enumerate(zip(w.stints, plan.work, strict=True)):
        left = stint.minutes
        stays = set(work.left_off)
        cared: set[str] = set()
        hired: set[str] = set()
        for one in [one for one in coming if one.since <= stint.date]:
            house[one.part] = house.get(one.part, 0) + one.pieces
            coming.remove(one)
        is_open = set(off)

        def care(names, cared=cared):
            minutes = 0
            for name in sorted(set(names) - cared):
                cared.add(name)
                minutes += luck.aftercare[name]
                run.prices += w.aftercare_by_id[name].price
            return minutes

        def hire(names, hired=hired):
            for name in sorted(set(names) - owned - hired):
                hired.add(name)
                run.prices += w.tool[name].hire or 0

        def look_at(kind, name, spare):
            """Minutes, trips and whether the post is waited for, with what is in the house."""
            minutes, trips, wait = 0, 0, False
            if (kind, name) in met:
                return minutes, trips, wait
            for one, broken, taken in zip(trouble.fasteners, luck.broken, luck.getting_out, strict=True):
                if one.of != name or one.is_access != (kind == "access"):
                    continue
                minutes += taken
                if one.renew:
                    continue
                there = min(broken, spare.get(one.part, 0))
                spare[one.part] = spare.get(one.part, 0) - there
                if broken > there and trouble.trip is None:
                    wait = True
                elif broken > there:
                    minutes, trips = minutes + trouble.trip, trips + 1
            return minutes, trips, wait

        for name in sorted(off - stays):
            left -= luck.access[name] - (luck.access[name] + 1) // 2
            left -= care(w.access_by_id[name].aftercare)
            hire(w.access_by_id[name].tools)
        for job in order:
            if plan.stint_of(job.id) > at or job.id in run.done_at:
                continue
            if any(before not in run.done_at for before in job.after):
                continue
            if waits.get(job.id, TODAY) > stint.date:
                continue
            if left < 0 or (left == 0 and to_do[job.id] > 0):
                continue
            if job.id not in through:
                shut = [name for name in w.opened_for([job.id]) if name not in is_open]
                spare = dict(house)
                cost, trips, wait = 0, 0, False
                for name in shut:
                    minutes = luck.access[name]
                    cost += (minutes + 1) // 2 if name in stays else minutes
                    more, made, post = look_at("access", name, spare)
                    cost, trips, wait = cost + more, trips + made, wait or post
                follow = {
                    care for name in shut if name not in stays for care in w.access_by_id[name].aftercare
                }
                cost += sum(luck.aftercare[name] for name in follow - cared)
                if cost > left:
                    continue
                left -= cost
                care(follow)
                for name in shut:
                    is_open.add(name)
                    met.add(("access", name))
                    hire(w.access_by_id[name].tools)
                more, made, post = look_at("job", job.id, spare)
                met.add(("job", job.id))
                house = spare
                to_do[job.id] += more
                run.trips += trips + made
                if wait or post:
                    waits[job.id] = stint.date + dt.timedelta(days=trouble.post)
                    continue
                hire(job.tools)
            own = min(left, to_do[job.id])
            left -= own
            to_do[job.id] -= own
            if to_do[job.id]:
                continue
            through.add(job.id)
            if sum(luck.aftercare[name] for name in set(job.aftercare) - cared) <= left:
                left -= care(job.aftercare)
                run.done_at[job.id] = at
        off = is_open & stays
        run.minutes += stint.minutes - left
        run.left_over.append(any(plan.stint_of(job.id) <= at and job.id not in run.done_at for job in order))
    return run


def made_case(seed: int, *, few: bool = False):
    """A workload, a plan for it that may be too tight, trouble and spares, made up from a seed.

    ``few``: so small that all that may happen can be gone through.
    """
    luck = random.Random(seed)

    def some(items, most):
        return tuple(luck.sample(items, luck.randint(0, min(most, len(items)))))

    wide = 1 if few else 30
    cares = tuple(
        Aftercare(f"care{n}", luck.randint(0, 20), luck.choice([0, 500]))
        for n in range(luck.randint(0, 1 if few else 2))
    )
    tools = tuple(Tool(f"tool{n}", hire=300 + n) for n in range(luck.randint(0, 2)))
    access: list[Access] = []
    for n in range(luck.randint(0, 2 if few else 4)):
        access.append(
            Access(
                f"off{n}",
                luck.randint(1, 30),
                some([one.id for one in access], 1),
                some([care.id for care in cares], 1),
                some([tool.id for tool in tools], 1),
                may_stand=luck.random() < 0.8,
            )
        )
    n_stints = luck.randint(1, 2 if few else 4)
    days = sorted(luck.randint(0, 5 * n_stints) for _ in range(n_stints))
    jobs: list[Job] = []
    for n in range(luck.randint(1, 3 if few else 5)):
        jobs.append(
            Job(
                f"job{n}",
                "car",
                luck.random() < 0.5,
                luck.randint(0, 50),
                last_day=luck.choice([None, *(day(at) for at in days)]),
                access=some([one.id for one in access], 2),
                tools=some([tool.id for tool in tools], 1),
                aftercare=some([care.id for care in cares], 1),
                after=some([one.id for one in jobs], 1),
            )
        )
    jobs_in: list[list[str]] = [[] for _ in range(n_stints)]
    at: dict[str, int] = {}
    for job in jobs:
        first = max((at[name] for name in job.after), default=0)
        at[job.id] = luck.randint(first, n_stints - 1)
        jobs_in[at[job.id]].append(job.id)
    stints = [Stint(day(at), luck.randint(10, 150), f"s{n}") for n, at in enumerate(days)]
    w = workload(jobs, stints, access=tuple(access), aftercare=cares, tools=tools)
    off_now: set[str] = set()
    for one in access:  # what is under another comes before it
        if one.id in w.standing and off_now.issuperset(one.under) and not few and luck.random() < 0.2:
            off_now.add(one.id)
    w = replace(w, off_now=frozenset(off_now))
    left_off: list[set[str]] = []
    for n in range(n_stints):
        found = left_off[-1] if left_off else set(w.off_now)
        off = {*w.opened_for(jobs_in[n]), *found}
        stands = {name for name in off if name in w.standing} if luck.random() < 0.7 else set()
        left_off.append(stands if n + 1 < n_stints else set())
    plan = plan_of(w, jobs_in, {}, left_off)

    def around(minutes):
        if luck.random() < 0.5:
            return spread(minutes, minutes, minutes + luck.randint(0, wide))
        return spread(max(0, minutes - luck.randint(0, wide)), minutes, minutes)

    owners = [(job.id, False) for job in jobs] + [(one.id, True) for one in access]
    fasteners = []
    for _ in range(luck.randint(0, 2 if few else 5)):
        of, is_access = luck.choice(owners)
        fasteners.append(
            Fastener(
                of,
                luck.choice(["bolt", "nut"]),
                luck.randint(1, 2),
                luck.choice([0.1, 0.5, 0.9]),
                is_access,
                around(luck.randint(5, 20)),
                renew=luck.random() < 0.3,
            )
        )
    trouble = Trouble(
        jobs={job.id: around(job.minutes) for job in jobs},
        access={one.id: around(one.minutes) for one in access},
        aftercare={one.id: around(one.minutes) for one in cares},
        fasteners=tuple(fasteners),
        trip=luck.choice([None, 0, 15]),
        post=luck.choice([1, 8]),
        due={"car": day(luck.randint(0, 5 * n_stints))} if luck.random() < 0.5 else {},
    )
    in_hand = [
        InHand(part, luck.randint(1, 2), day(luck.randint(0, 10))) for part in some(["bolt", "nut"], 2)
    ]
    return w, plan, trouble, in_hand
