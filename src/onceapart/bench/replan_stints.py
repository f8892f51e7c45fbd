"""Time that is left: stints to come, and the rest of today's."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from onceapart.bench.replan_done import DoneWork
from onceapart.bench.state import State
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
            extra += (snag.ways[-1].minutes or 0) if way.act == "longer" else 0
    today = sorted((one for one in workshop.stints if one.date == day), key=lambda one: one.id or "")
    names = {name for one in today for name in (one.id, day.isoformat()) if name}
    found = []
    for one in workshop.stints:
        if one.date < day:
            continue
        if one.date == day:
            mine: set[str | None] = {one.id or day.isoformat()}
            if one == today[0]:
                mine |= {None, day.isoformat()} | {
                    piece.stint for piece in done.pieces if piece.stint not in names
                }
            left = one.minutes + (extra if one == today[0] else 0) - _used(state, done, now, mine)
            name = one.id or day.isoformat()
            left = minutes_left.get(name, 0 if is_over else max(0, left))
            found.append(one.model_copy(update={"minutes": left}))
        else:
            found.append(one)
    return tuple(found)


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
