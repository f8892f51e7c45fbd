"""Ways out of a conflict in sentences, each group led in by a line that says how far it frees."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from onceapart.planning.conflict_ways import Frees, WayKind, WayOut
from onceapart.planning.conflict_words import jobs_named, listed, minutes_in_words
from onceapart.planning.dates import day_in_words, stint_in_words
from onceapart.planning.workload import Workload

_LEADS = {
    Frees.ALL: ("This makes a plan possible:", "Any one of these makes a plan possible:"),
    Frees.WITH_OTHERS: (
        "This frees it, and the other conflicts have to be freed too:",
        "Any one of these frees it, and the other conflicts have to be freed too:",
    ),
    Frees.THIS: (
        "This frees it, but then something else stands in the way:",
        "Any one of these frees it, but then something else stands in the way:",
    ),
}


def ways_in_words(workload: Workload, ways: Sequence[WayOut]) -> tuple[str, ...]:
    """Sentences for ways out, the ones that free most first; a line ending in a colon leads in each group."""
    lines: list[str] = []
    for frees, (lead_one, lead_several) in _LEADS.items():
        group = _by_sentence([way for way in ways if way.frees is frees])
        if group:
            several = len(group) > 1 or len(group[0]) > 1
            lines += [lead_several if several else lead_one, *(_told(workload, ways) for ways in group)]
    return tuple(lines)


def _by_sentence(ways: Sequence[WayOut]) -> list[list[WayOut]]:
    """The ways by sentences; jobs of which one can be left are told in one."""
    single = [way for way in ways if way.kind is WayKind.LEAVE and len(way.jobs) == 1]
    groups = []
    for way in ways:
        if way in single:
            if way == single[0]:
                groups.append(single)
        else:
            groups.append([way])
    return groups


def _told(workload: Workload, ways: Sequence[WayOut]) -> str:
    if len(ways) == 1:
        return way_in_words(workload, ways[0])
    jobs = [job for way in ways for job in way.jobs]
    return f"Leave one of the jobs {listed(jobs, 'or')} and its car off the road, or have it done elsewhere."


def way_in_words(workload: Workload, way: WayOut) -> str:
    """One sentence that says what to change, with dates and amounts."""
    match way.kind:
        case WayKind.PIECES:
            return f"Find {way.pieces} of {way.part} elsewhere, to be here by {_day(workload, way.date)}."
        case WayKind.TOOL:
            return f"Get the tool {way.tool}: put it down as there, or with a price to hire or buy it."
        case WayKind.LATER:
            old, new = _day(workload, way.old_date), _day(workload, way.date)
            if way.minutes:
                stint = f"{new}, and work a stint of {minutes_in_words(way.minutes)} on that day"
                return f"Move the last day for {way.car} from {old} to {stint}."
            return f"Move the last day for {way.car} from {old} to {new}, when there is a stint, or later."
        case WayKind.LONGER:
            assert way.stint is not None
            more = minutes_in_words(way.minutes - way.old_minutes)
            which = stint_in_words(workload, way.stint)
            return f"Make the stint {which} {more} longer: {way.minutes} in place of {way.old_minutes}."
        case WayKind.STINT:
            return f"Add a stint of {minutes_in_words(way.minutes)} {_range(workload, way)}."
        case WayKind.LEAVE:
            them = "them" if len(way.jobs) > 1 else "it"
            cars = "their cars" if len(way.jobs) > 1 else "its car"
            return (
                f"Leave {jobs_named(way.jobs, 'job')} and {cars} off the road, or have {them} done elsewhere."
            )
        case WayKind.ORDER:
            job, before = way.jobs
            return f"Do job {job} without waiting for {before}, if the work allows it."


def _day(workload: Workload, date: dt.date | None) -> str:
    assert date is not None
    return day_in_words(date, workload.today)


def _range(workload: Workload, way: WayOut) -> str:
    first = _day(workload, way.date)
    if way.until is None:
        return "on any day" if way.date == workload.today else f"on {first} or later"
    if way.until == way.date:
        return f"on {first}"
    return f"on any day from {first} to {_day(workload, way.until)}"
