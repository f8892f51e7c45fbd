"""What the record comes to: money, hours, work by stint and car, measurements."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from onceapart.bench.release_work import Work
from onceapart.bench.state import Spell, State
from onceapart.bench.state_steps import KnownStep


@dataclass(frozen=True)
class Money:
    """What was paid by the record. [minor units]"""

    ordered: int
    """Goods and delivery of what was ordered, tools too."""
    came: int
    """Parts that came without an order and had a price, such as from the counter."""
    snags: int
    """Ways out of snags."""
    lines: tuple[MoneyLine, ...] = ()

    @property
    def total(self) -> int:
        return self.ordered + self.came + self.snags


@dataclass(frozen=True)
class MoneyLine:
    """One payment. [minor units]"""

    number: int
    day: dt.date
    what: str
    amount: int
    delivery: int = 0


def money_of(state: State) -> Money:
    """Money by the record; parts that came are counted with their order if there is one."""
    offers = {one.offer for one in state.ordered if one.offer is not None}
    came = [one for one in state.arrived if one.price and one.offer not in offers]
    ways = [way for snag in state.snags for way in snag.ways if way.price]
    lines = [
        MoneyLine(one.number, one.placed or one.day,
                  one.offer or one.tool or ", ".join(one.parts), one.price + one.delivery, one.delivery)
        for one in state.ordered
    ]  # fmt: skip
    lines += [
        MoneyLine(one.number, one.day, f"{one.pieces} × {one.part}, as it came", one.price or 0)
        for one in came
    ]
    lines += [MoneyLine(one.number, one.day, f"snag: {one.way}", one.price or 0) for one in ways]
    return Money(
        ordered=sum(one.price + one.delivery for one in state.ordered),
        came=sum(one.price or 0 for one in came),
        snags=sum(one.price or 0 for one in ways),
        lines=tuple(sorted(lines, key=lambda line: -line.number)),
    )


@dataclass
class StintWork:
    """What was done in one stint. [minutes]"""

    name: str
    day: dt.date
    minutes: int = 0
    cars: dict[str, dict[str, int]] = field(default_factory=dict)
    """Car -> job, or "" for what is of no one job -> steps ticked."""
    is_running: bool = False


def work_by_stint(state: State, known: Mapping[str, KnownStep]) -> list[StintWork]:
    """Steps ticked and hours by stint, the latest first; without a stint, by the day."""
    found: dict[str, StintWork] = {}

    def of(name: str, day: dt.date) -> StintWork:
        return found.setdefault(name, StintWork(name, day))

    for tick in state.ticks:
        if tick.kind != "ticked" or (state.done.get(tick.step) not in (None, tick)):
            continue  # taken back, or done over later
        stint = of(tick.stint or tick.day.isoformat(), tick.day)
        step = known.get(tick.step)
        jobs = stint.cars.setdefault(tick.car, {})
        job = (step.job if step else None) or _job_of(tick.step)
        jobs[job] = jobs.get(job, 0) + 1
    spells: dict[str, list[Spell]] = defaultdict(list)
    for spell in state.spells:
        spells[spell.stint or spell.start.date().isoformat()].append(spell)
    for name, some in spells.items():
        stint = of(name, some[0].start.date())
        stint.minutes = State(spells=tuple(some)).minutes_worked()
        stint.is_running = any(spell.stop is None for spell in some)
    return sorted(found.values(), key=lambda one: (one.day, one.name), reverse=True)


def _job_of(step: str) -> str:
    kind, _, rest = step.partition(":")
    return rest.split(":")[0] if kind in ("do", "measure") else ""


def work_by_car(state: State, work: Work) -> dict[str, list[tuple[str, bool, int, dt.date | None]]]:
    """Car -> its jobs that were begun: job, whether done, minutes by the clock, day of the last tick."""
    last: dict[str, dt.date] = {}
    for tick in state.ticks:
        job = _job_of(tick.step)
        if job:
            last[job] = tick.day
    spells: dict[str, list[Spell]] = defaultdict(list)
    for spell in state.spells:
        if spell.job:
            spells[spell.job].append(spell)
    found: dict[str, list[tuple[str, bool, int, dt.date | None]]] = defaultdict(list)
    for job in dict.fromkeys([*last, *spells]):
        if job in work.jobs:
            minutes = State(spells=tuple(spells[job])).minutes_worked() if job in spells else 0
            entry = (job, state.is_job_done(job), minutes, last.get(job))
            found[work.jobs[job].car].append(entry)
    return dict(found)


@dataclass(frozen=True)
class Measured:
    """One thing measured, with all its values; the last one last."""

    car: str
    what: str
    job: str
    place: str
    values: tuple[tuple[str, dt.date, int], ...]
    """Value, day, number of the entry."""
    limit: str | None
    is_torque: bool = False


def measured_of(state: State, known: Mapping[str, KnownStep]) -> list[Measured]:
    """Measurements and torques by car, in the order in which they were first taken."""
    found = []
    for step, values in state.measured.items():
        one = known.get(step)
        what = one.measures.what if one and one.measures else step
        rows = tuple((each.value, each.day, each.number) for each in values)
        limit = one.measures.limit if one and one.measures else None
        parts = step.split(":")
        place = parts[3] if len(parts) > 3 else ""
        found.append(Measured(values[-1].car, what, one.job or "" if one else "", place, rows, limit))
    for fastener, torques in state.torques.items():
        rows = tuple((each.torque, each.day, each.number) for each in torques)
        words = fastener.split("/")
        place = words[-2] if len(words) > 2 else ""
        found.append(
            Measured(torques[-1].car, words[-1].replace("-", " "), "", place, rows, None, is_torque=True)
        )
    return sorted(found, key=lambda one: (one.car, one.is_torque))
