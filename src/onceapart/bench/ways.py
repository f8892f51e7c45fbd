"""Ways on from a snag of a car: minutes, price, what waits, and what becomes of today and of the dates."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from onceapart.bench.entries import SnagOpened
from onceapart.bench.release_work import Work
from onceapart.bench.replan import Left
from onceapart.bench.snag import Where, where_of
from onceapart.bench.state import State
from onceapart.bench.stopgap import needs_check
from onceapart.bench.ways_parts import Buy, buys_of, is_on_its_way
from onceapart.planning.dates import day_in_words
from onceapart.trade import Recipe
from onceapart.trade.schema import Caution, Spread
from onceapart.trade.snag_ways import Way, ways_of
from onceapart.workshop.money import parse_money

WORKS = ("work", "substitute", "stopgap", "borrow", "hire", "buy", "counter")
"""Acts after which the job can go on in the same stint."""
LATER = ("put-off", "stop", "elsewhere")


@dataclass(frozen=True)
class WayOn:
    """A way on from one snag, chosen by its ``number``; 0 where ``against`` says why it can't be."""

    way: Way
    number: int = 0
    against: str = ""
    price: int = 0
    """All that is paid now: what it uses up, parts with delivery, a tool. [minor units]"""
    buy: Buy | None = None
    tool: str | None = None
    waits: tuple[str, ...] = ()
    """Jobs that wait until ``goes_on``."""
    goes_on: dt.date | None = None
    """Day of the next stint in which the job can go on; None: no stint is left for it."""
    last_day: dt.date | None = None
    """The earliest of the last days of the jobs that wait, and of an inspection of their car."""
    effects: tuple[str, ...] = ()
    """What it means, in sentences."""

    @property
    def minutes(self) -> Spread:
        """Minutes it takes now. [min]"""
        return self.way.minutes

    @property
    def holds(self) -> bool:
        """Whether the job can still be done by its last day, as far as one can see without a plan."""
        return self.last_day is None or (self.goes_on is not None and self.goes_on <= self.last_day)


def ways_on(
    work: Work, state: State, left: Left, opened: SnagOpened, recipes: Iterable[Recipe] = ()
) -> tuple[WayOn, ...]:
    """The ways on from a snag, numbered; behind them those that are not open here, and why.

    Parameters
    ----------
    work, state
        The workshop and how it stands.
    left : Left
        What is left of it now (``replan.replanned``).
    opened : SnagOpened
    recipes : iterable of Recipe, optional
        The recipes of one's own that the workshop was applied with.

    Returns
    -------
    tuple of WayOn
        Whether dates hold is seen from the stints and arrivals alone; planning anew says it for sure.
    """
    case = _Case(work, state, left, opened, where_of(work, state, opened, recipes))
    found = [one for way in ways_of(opened.snag) for one in case.of(way)]
    free = [replace(one, number=at) for at, one in enumerate((w for w in found if not w.against), start=1)]
    return (*free, *(one for one in found if one.against))


def cautions_of(work: Work, way: Way) -> tuple[Caution, ...]:
    """The cautions of a way, in the library's order."""
    known = work.fitted.library.cautions
    return tuple(one for one in known.values() if one.id in way.cautions)


class _Case:
    """One snag, and what its ways have in common."""

    def __init__(self, work: Work, state: State, left: Left, opened: SnagOpened, where: Where) -> None:
        self.work, self.state, self.left, self.opened, self.where = work, state, left, opened, where
        self.today = left.now.date()
        self.job = where.job.id if where.job else None
        self.waits = tuple(_waiting(left, self.job)) if self.job else ()
        self.apart = sorted(name for name in left.workload.off_now if name.startswith(f"{opened.car}/"))

    def of(self, way: Way) -> Iterator[WayOn]:
        """A way as it is here; several where several offers have the part."""
        against = self._against(way)
        if against:
            yield WayOn(way, against=against)
        elif way.act in ("order", "counter", "return"):
            yield from self._bought(way)
        else:
            tool = self.opened.tool if way.act in ("borrow", "hire", "buy") else None
            yield self._with_effects(WayOn(way, price=self._price(way, tool), tool=tool))

    def _price(self, way: Way, tool: str | None) -> int:
        price = parse_money(way.price)
        if tool is not None and way.act in ("hire", "buy"):
            one = self.left.workload.tool[tool]
            price += (one.hire if way.act == "hire" else one.buy) or 0
        return price

    def _against(self, way: Way) -> str:
        where, act = self.where, way.act
        wrong = [one for one in where.systems if one in way.not_for]
        if wrong:
            return f"not in work on {' and '.join(wrong)}"
        if act == "leave":
            if where.job is None:
                return "there is no job to leave"
            if where.job.need.is_must:
                return f"{where.job.id} must be done ({where.job.need.value})"
        if act in ("put-off", "elsewhere") and self.job is None:
            return "there is no job it is in; give --job"
        if act in ("hire", "buy") and self.opened.tool is not None:
            one = self.left.workload.tool.get(self.opened.tool)
            if one is None or (one.hire if act == "hire" else one.buy) is None:
                return f"the file has no price to {act} {self.opened.tool} for"
        if act in ("stop", "longer") and self._stint() is None:
            return "no stint is going on today"
        if act in ("order", "counter", "return") and self.opened.part is None:
            return "it is not known which part it is; give --part"
        return ""

    def _stint(self) -> int | None:
        """Minutes left of today's stint; None where there is none."""
        return next((one.minutes for one in self.left.workload.stints if one.date == self.today), None)

    def _bought(self, way: Way) -> Iterator[WayOn]:
        part = self.opened.part or ""
        buys = buys_of(self.left, part)
        today = [buy for buy in buys if buy.arrives <= self.today]
        later = [buy for buy in buys if buy.arrives > self.today]
        if way.act == "counter":
            chosen = today[-1:]
        elif way.act == "return":
            chosen = sorted(later or today, key=lambda buy: buy.price)[:1]
        else:
            chosen = later[-3:]
        if not chosen:
            when = "today" if way.act == "counter" else "by post"
            yield WayOn(way, against=f"no offer in the file brings {part} {when}")
        for buy in chosen:
            made = WayOn(way, price=parse_money(way.price) + buy.price, buy=buy)
            yield self._with_effects(made)

    def _with_effects(self, made: WayOn) -> WayOn:
        act = made.way.act
        goes_on = self._goes_on(made)
        waits = self.waits if act not in ("leave", "job", "longer") else ()
        made = replace(made, waits=waits, goes_on=goes_on, last_day=self._last_day())
        return replace(made, effects=tuple(self._effects(made)))

    def _goes_on(self, made: WayOn) -> dt.date | None:
        act, first = made.way.act, self.today
        if made.buy is not None:
            first = max(first, made.buy.arrives)
        elif act in LATER or (act in WORKS and not self._fits_today(made)):
            first += dt.timedelta(days=1)
        days = [one.date for one in self.left.workload.stints if one.date >= first and one.minutes]
        return min(days, default=None)

    def _fits_today(self, made: WayOn) -> bool:
        room = self._stint()
        return room is None or made.minutes.typical <= room

    def _last_day(self) -> dt.date | None:
        jobs = [self.left.workload.job[job] for job in self.waits if job in self.left.workload.job]
        days = [job.last_day for job in jobs if job.last_day is not None]
        return min(days, default=None)

    def _effects(self, made: WayOn) -> Iterator[str]:
        yield from self._time(made)
        if made.buy is not None:
            yield from self._parcel(made.buy)
        if made.way.act == "leave":
            yield f"{self.job} is not done at all."
        elif made.way.act == "job":
            yield "The plan then finds its stint."
        elif made.way.act == "elsewhere":
            yield "What it costs is for you to ask; the price is a guess."
        is_late = made.buy is not None and made.goes_on != self.today
        is_late |= made.way.act in WORKS and not self._fits_today(made)
        if made.way.act in LATER or is_late:
            yield from self._waiting(made)
        yield from self._driving(made)

    def _time(self, made: WayOn) -> Iterator[str]:
        room = self._stint()
        act, minutes = made.way.act, made.minutes.typical
        if room is None:
            return
        if act == "stop":
            yield f"Today's stint ends; {room} minutes of it are not used."
        elif act == "longer":
            yield f"Today's stint then has {room + minutes} minutes left, not {room}."
        elif minutes and minutes <= room:
            yield f"Leaves {room - minutes} of the {room} minutes left today."
        elif minutes:
            yield f"Does not fit into the {room} minutes left today."

    def _parcel(self, buy: Buy) -> Iterator[str]:
        left = self.left
        coming = is_on_its_way(left, self.opened.part or "")
        if coming is not None:
            day = day_in_words(coming, self.today)
            yield f"One that no job needs comes on {day} anyway."
        others = [part for part in buy.offer.parts if part != self.opened.part]
        if others:
            yield f"It brings {', '.join(others)} as well."

    def _waiting(self, made: WayOn) -> Iterator[str]:
        who = " and ".join(made.waits) or "It"
        if made.goes_on is None:
            yield f"{who}: no stint is left for it."
        else:
            verb = "wait" if len(made.waits) > 1 else "waits"
            yield f"{who} {verb} until {day_in_words(made.goes_on, self.today)}."
        if made.last_day is not None:
            day = day_in_words(made.last_day, self.today)
            yield f"The last day, {day}, holds." if made.holds else f"TOO LATE: the last day is {day}."

    def _driving(self, made: WayOn) -> Iterator[str]:
        act, system = made.way.act, self.where.system
        if act in ("stopgap", "substitute") and needs_check(system):
            of = f"the {system}" if system != "unknown" else "a system that is not known"
            yield (
                f"In {of}: DO NOT DRIVE on it unless the bolt sum passes it and a person signs for it; it "
                "stays open until it is made good."
            )
        elif act == "stopgap":
            yield f"A makeshift: for {made.way.days} days at most, and a job to make it good."
        if act == "stop" or (act in ("order", "return", "elsewhere") and made.goes_on != self.today):
            count = len(self.apart)
            if count:
                off = "1 thing is" if count == 1 else f"{count} things are"
                yield f"{off} off the car: it can't be driven until put together."
            elif self.opened.dangerous:
                yield "The car can't be driven meanwhile: this snag is dangerous."


def _waiting(left: Left, job: str) -> Iterator[str]:
    """A job and those that come after it, as far as they are left."""
    found = {job}
    while True:
        more = {one.id for one in left.workload.jobs if found.intersection(one.after)} - found
        if not more:
            break
        found |= more
    yield from (one.id for one in left.workload.jobs if one.id in found)
