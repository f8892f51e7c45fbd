"""Time that is left: stints to come, and the rest of today's."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from onceapart.bench.replan_done import DoneWork
from onceapart.bench.replan_jobs import WITH_THE_JOB
from onceapart.bench.state import State
from onceapart.planning.workload import Stint as PlanStint
from onceapart.trade.snag_ways import all_ways
from onceapart.workshop import Stint, Workshop


def stints_left(
    workshop: Workshop, state: State, done: DoneWork, now: dt.datetime, minutes_left: Mapping[str, int]
) -> tuple[Stint, ...]:
    """Stints that are not over, those of today with the minutes they have left.

    Parameters
    ----------
    workshop : Workshop
    state : State
        A way chosen today may end today's stint, or draw it out.
    done : DoneWork
    now : datetime
    minutes_left : mapping
        Stint -> minutes left of it, by its id or date: they go before what clock or ticks say.

    Returns
    -------
    tuple of Stint
        In the workshop's order. A stint of today may have no minutes left.
    """
    day = now.date()
    extra, is_over = 0, False
    for snag in state.open_snags():
        way = all_ways().get(snag.ways[-1].way) if snag.ways else None
        if way is not None and snag.ways[-1].day == day:
            is_over = is_over or way.act == "stop"
            minutes = snag.ways[-1].minutes or 0
            if way.act == "longer":
                extra += minutes
            elif way.act not in (*WITH_THE_JOB, "elsewhere"):
                extra -= minutes
    today = [one for one in workshop.stints if one.date == day]
    today = [one for one in today if not _is_over(one, today, state, done)]
    found = []
    for one in workshop.stints:
        if one.date > day:
            found.append(one)
        elif one in today:
            mine = names_of(workshop.stints, one.date, one.id, done)
            left = one.minutes + (extra if one == today[0] else 0) - _used(state, done, now, mine)
            name = one.id or day.isoformat()
            left = minutes_left.get(name, 0 if is_over else max(0, left))
            found.append(one.model_copy(update={"minutes": left}))
    return tuple(found)


def _is_over(stint: Stint, today: list[Stint], state: State, done: DoneWork) -> bool:
    """Whether work in a later stint of the day has begun."""
    begun = {piece.stint for piece in done.pieces_on(stint.date)}
    begun |= {one.stint for one in state.spells if one.start.date() == stint.date}
    later = today[today.index(stint) + 1 :]
    return any(one.id is not None and one.id in begun for one in later)


def names_of(
    stints: Iterable[Stint | PlanStint], date: dt.date, stint_id: str | None, done: DoneWork
) -> set[str | None]:
    """What work of a stint may be noted under; the first of a day gets what is noted under no stint of it."""
    same = [one.id for one in stints if one.date == date]
    if same and same[0] != stint_id:
        return {stint_id}
    others = {one for one in same if one != stint_id and one is not None}
    noted = {piece.stint for piece in done.pieces}
    return ({stint_id, None, date.isoformat()} | noted) - others


def _used(state: State, done: DoneWork, now: dt.datetime, stints: set[str | None]) -> int:
    """Minutes gone of a stint today: by the clock if it ran, else those of what was ticked."""
    day = now.date()
    spells = [one for one in state.spells if one.start.date() == day and one.stint in stints]
    if not spells:
        return done.minutes_on(day, stints)
    until = {one: one.stop or max(now, one.start) for one in spells}
    stretches = sorted((one.start, until[one]) for one in spells)
    seconds, reached = 0.0, stretches[0][0]
    for start, stop in stretches:
        start = max(start, reached)
        if stop > start:
            seconds += (stop - start).total_seconds()
            reached = stop
    return round(seconds / 60)
