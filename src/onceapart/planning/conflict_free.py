"""What would free a conflict: every kind of way out, with the smallest figure that does it.

Each figure is found by asking whether the changed workload is possible, so each way out is checked.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from onceapart.planning.conflict_judge import Judge
from onceapart.planning.conflict_wants import (
    Want,
    WantKind,
    jobs_behind,
    minutes_together,
    only,
    pieces_needed,
)
from onceapart.planning.conflict_ways import Frees, WayKind, WayOut, with_pieces, with_stint
from onceapart.planning.workload import Offer, Workload

DAY = dt.timedelta(days=1)
MOST_LONGER = 3
"""Stints named that could be longer."""

Bases = Sequence[tuple[Frees, frozenset[Want]]]
Find = Callable[[Workload], list[WayOut]]
"""Looks for ways out in a copy of the workload; ``frees`` is filled in afterwards."""


def ways_out(workload: Workload, conflict: Sequence[Want], bases: Bases, judge: Judge) -> tuple[WayOut, ...]:
    """Changes that free a conflict, in the order of their kinds.

    Parameters
    ----------
    workload : Workload
    conflict : sequence of Want
        What can't all hold.
    bases : sequence of (Frees, frozenset of Want)
        Sets of wants under which to look for a change that makes them all hold, the most telling first; what
        works under the first is not looked for under the others.
    judge : Judge
    """
    copies = [(frees, only(workload, kept)) for frees, kept in bases]
    found: list[WayOut] = []

    def add(find: Find, among: Sequence[tuple[Frees, Workload]] = copies) -> bool:
        """Whether ways out were found that free more than this conflict."""
        for frees, copy in among:
            ways = find(copy)
            if ways:
                found.extend(replace(way, frees=frees) for way in ways)
                return frees is not Frees.THIS
        return False

    def named(*kinds: WantKind) -> list[str]:
        return list(dict.fromkeys(want.name for want in conflict if want.kind in kinds))

    for part in named(WantKind.AMOUNT, WantKind.ARRIVAL):
        add(partial(_pieces, judge, part))
    for tool in named(WantKind.TOOL):
        add(partial(_checked, judge, WayOut(WayKind.TOOL, tool=tool)))
    jobs = [workload.job[name] for name in named(WantKind.LAST_DAY)]
    ends = list(dict.fromkeys((job.car, job.last_day) for job in jobs if job.last_day is not None))
    fixed_ends = [end for end in ends if not add(partial(_later, judge, *end))]
    add(partial(_longer, judge, named(WantKind.LENGTH)))
    if not add(partial(_stint, judge)):
        for end in fixed_ends:
            add(partial(_later_with_stint, judge, *end))
    musts = named(WantKind.MUST)
    leaving = [partial(_checked, judge, WayOut(WayKind.LEAVE, jobs=(job,))) for job in musts]
    wide = copies[:-1]
    frees_more = [add(find, wide) for find in leaving]
    if not any(frees_more) and not add(partial(_leave_several, judge, musts), wide[-1:]):
        for find in leaving:
            add(find)
    for want in conflict:
        if want.kind is WantKind.ORDER:
            add(partial(_checked, judge, WayOut(WayKind.ORDER, jobs=(want.name, want.before))))
    return tuple(found)


def _checked(judge: Judge, way: WayOut, copy: Workload) -> list[WayOut]:
    return [way] if judge.ask(way.changed(copy)) else []


def _pieces(judge: Judge, part: str, copy: Workload) -> list[WayOut]:
    """The fewest pieces more, and the last day on which they do it."""

    def do(pieces: int, day: dt.date) -> bool:
        return judge.ask(with_pieces(copy, part, pieces, day)) is True

    most = pieces_needed(copy.jobs)[part]
    if not do(most, copy.today):
        return []
    pieces = _first_that_does(1, most, lambda number: do(number, copy.today))
    days = sorted({stint.date for stint in copy.stints if stint.date > copy.today}, reverse=True)
    days.append(copy.today)
    at = _first_that_does(0, len(days) - 1, lambda place: do(pieces, days[place]))
    return [WayOut(WayKind.PIECES, part=part, pieces=pieces, date=days[at])]


def _later(judge: Judge, car: str, old: dt.date, copy: Workload) -> list[WayOut]:
    """The first stint that is early enough as a last day."""
    days = sorted({stint.date for stint in copy.stints if stint.date > old})
    ways = [WayOut(WayKind.LATER, car=car, old_date=old, date=day) for day in days]
    return _first_way(judge, ways, copy)


def _later_with_stint(judge: Judge, car: str, old: dt.date, copy: Workload) -> list[WayOut]:
    """The first day that does as a last day if there is a stint on it, and how long a one."""
    days = {offer.arrives for offer in _offers_needed(copy)} | {old + DAY, copy.today}
    days |= {stint.date + DAY for stint in copy.stints[-1:]}
    for day in sorted(day for day in days if day > old and day >= copy.today):
        way = WayOut(WayKind.LATER, car=car, old_date=old, date=day, minutes=_all_minutes(copy))
        if judge.ask(way.changed(copy)):
            return [_with_fewest_minutes(judge, way, 1, copy)]
    return []


def _longer(judge: Judge, places: Sequence[str], copy: Workload) -> list[WayOut]:
    """The stints that have to be made longer by least, each by no more than it has to be."""
    best: list[WayOut] = []
    for place in map(int, places):
        stint = copy.stints[place]
        if stint.date < copy.today:
            continue
        more = _all_minutes(copy)
        if len(best) == MOST_LONGER:
            more = best[-1].minutes - best[-1].old_minutes - 1
        way = WayOut(
            WayKind.LONGER,
            stint=place,
            date=stint.date,
            minutes=stint.minutes + more,
            old_minutes=stint.minutes,
        )
        if more > 0 and judge.ask(way.changed(copy)):
            best.append(_with_fewest_minutes(judge, way, stint.minutes + 1, copy))
            best = sorted(best, key=lambda way: way.minutes - way.old_minutes)[:MOST_LONGER]
    return best


def _stint(judge: Judge, copy: Workload) -> list[WayOut]:
    """The shortest stint that does, and the days it can be on."""
    ranges = list(_like_days(copy))
    best: tuple[int, WayOut] | None = None
    for at, (first, last) in reversed(list(enumerate(ranges))):
        most = _all_minutes(copy) if best is None else best[1].minutes - 1
        way = WayOut(WayKind.STINT, date=first, until=last, minutes=most)
        if most and judge.ask(way.changed(copy)):
            best = at, _with_fewest_minutes(judge, way, 1, copy)
    if best is None:
        return []
    at, way = best
    while at and judge.ask(with_stint(copy, ranges[at - 1][0], way.minutes)):
        at -= 1
    return [replace(way, date=ranges[at][0])]


def _like_days(copy: Workload) -> Iterator[tuple[dt.date, dt.date | None]]:
    """Ranges of days from today on; within each it makes no difference on which day a stint is added."""
    needed = set(jobs_behind(copy, [job.id for job in copy.jobs if job.is_must]))
    firsts = {copy.today}
    firsts |= {offer.arrives for offer in _offers_needed(copy)}
    firsts |= {job.last_day + DAY for job in copy.jobs if job.id in needed and job.last_day is not None}
    firsts |= {stint.date for stint in copy.stints}
    days = sorted(day for day in firsts if day >= copy.today)
    for first, following in zip(days, [*days[1:], None], strict=True):
        yield first, None if following is None else following - DAY


def _leave_several(judge: Judge, musts: list[str], copy: Workload) -> list[WayOut]:
    """Jobs without which the rest can be done, those of the conflict first; none of them needless."""
    order = sorted((job.id for job in copy.jobs if job.is_must), key=lambda name: name not in musts)
    left = list(order)
    for job in reversed(order):
        fewer = [name for name in left if name != job]
        if judge.ask(WayOut(WayKind.LEAVE, jobs=tuple(fewer)).changed(copy)):
            left = fewer
    return _checked(judge, WayOut(WayKind.LEAVE, jobs=tuple(left)), copy)


def _first_way(judge: Judge, ways: Sequence[WayOut], copy: Workload) -> list[WayOut]:
    """The first way that frees the copy, where all later ones do if one does."""
    if not ways or not judge.ask(ways[-1].changed(copy)):
        return []
    return [ways[_first_that_does(0, len(ways) - 1, lambda at: judge.ask(ways[at].changed(copy)) is True)]]


def _with_fewest_minutes(judge: Judge, way: WayOut, least: int, copy: Workload) -> WayOut:
    """The way, which frees the copy, with as few minutes as will do it."""
    minutes = _first_that_does(
        least, way.minutes, lambda number: judge.ask(replace(way, minutes=number).changed(copy)) is True
    )
    return replace(way, minutes=minutes)


def _first_that_does(low: int, high: int, does: Callable[[int], bool]) -> int:
    """The first number that does; ``high`` is known to do, and what follows one that does, does too.

    Steps grow from the low end: that something can't be done is most often quicker to prove than a plan is
    to find.
    """
    step = max(1, (high - low) // 16)
    while low + step <= high:
        if does(low + step - 1):
            high = low + step - 1
            break
        low, step = low + step, 2 * step
    while low < high:
        middle = (low + high) // 2
        if does(middle):
            high = middle
        else:
            low = middle + 1
    return high


def _all_minutes(copy: Workload) -> int:
    """As long as a stint can usefully be. [minutes]"""
    needed = jobs_behind(copy, [job.id for job in copy.jobs if job.is_must])
    return max(1, minutes_together(copy, needed))


def _offers_needed(copy: Workload) -> list[Offer]:
    needed = jobs_behind(copy, [job.id for job in copy.jobs if job.is_must])
    parts = pieces_needed([copy.job[name] for name in needed])
    return [offer for offer in copy.offers if any(part in parts for part in offer.parts)]
