"""A conflict and its ways out in plain sentences, with the dates and amounts that clash."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from onceapart.planning.conflict_wants import (
    Want,
    WantKind,
    minutes_together,
    pieces_needed,
)
from onceapart.planning.dates import day_in_words, stint_in_words
from onceapart.planning.workload import Workload

FEW = 5
"""So many stints or jobs are listed one by one."""


def wants_in_words(workload: Workload, wants: Sequence[Want]) -> tuple[str, ...]:
    """The wants in sentences that together say why they can't all hold."""
    teller = _Teller(workload, wants)
    return (
        *teller.musts(),
        *teller.orders(),
        *teller.tools(),
        *teller.parts(),
        *teller.lengths(),
        *teller.no_stint(),
    )


class _Teller:
    def __init__(self, workload: Workload, wants: Sequence[Want]) -> None:
        self.workload = workload
        self.named: dict[WantKind, list[str]] = defaultdict(list)
        for want in wants:
            self.named[want.kind].append(want.name)
        self.pairs = [(want.name, want.before) for want in wants if want.kind is WantKind.ORDER]
        self.jobs = self._jobs()
        self.is_one_group = not self.pairs and len({self.last_day(job) for job in self.jobs}) == 1
        self.stints = sorted(int(name) for name in self.named[WantKind.LENGTH])

    def _jobs(self) -> list[str]:
        """The jobs that must be done, and what they come after by the orders in the conflict."""
        seen = set(self.named[WantKind.MUST])
        while more := {before for job, before in self.pairs if job in seen} - seen:
            seen |= more
        return [job.id for job in self.workload.jobs if job.id in seen]

    def day(self, day: dt.date) -> str:
        return day_in_words(day, self.workload.today)

    def who(self, jobs: Sequence[str]) -> str:
        """The jobs by name, or ``It`` or ``They`` where the only sentence before was about all of them."""
        if list(jobs) != self.jobs or not self.is_one_group:
            return jobs_named(jobs)
        return "It" if len(jobs) == 1 else "They"

    def last_day(self, job: str) -> dt.date | None:
        """A job's last day, where that is one of the wants."""
        return self.workload.job[job].last_day if job in self.named[WantKind.LAST_DAY] else None

    def musts(self) -> Iterator[str]:
        musts = self.named[WantKind.MUST]
        by_day: dict[dt.date | None, list[str]] = defaultdict(list)
        for job in self.jobs:
            if job in musts:
                by_day[self.last_day(job)].append(job)
        for day, jobs in by_day.items():
            by = f" by {self.day(day)}" if day else ""
            yield f"{jobs_named(jobs)} must be done{by}."
        for job in self.jobs:
            day = self.last_day(job)
            if day and job not in musts:
                yield f"{jobs_named([job])} can be done on {self.day(day)} at the latest."

    def orders(self) -> Iterator[str]:
        for job, before in self.pairs:
            yield f"{jobs_named([job])} comes after {before}."

    def tools(self) -> Iterator[str]:
        for tool in self.named[WantKind.TOOL]:
            users = [
                job for job in self.jobs
                if tool in self.workload.tools_for([job], self.workload.opened_for([job]))
            ]  # fmt: skip
            who = f"{self.who(users)} {_need(users)}"
            yield f"{who} the tool {tool}, which is not there and has no price to hire or buy it."

    # parts ---------------------------------------------------------------------------------------------

    def part_names(self) -> list[str]:
        return sorted({*self.named[WantKind.AMOUNT], *self.named[WantKind.ARRIVAL]})

    def needed(self, part: str) -> int:
        return pieces_needed([self.workload.job[job] for job in self.jobs]).get(part, 0)

    def there_by(self, part: str) -> list[tuple[dt.date, int]]:
        """Days on which more of a part is there, and how much then is; shelf and wants as they are.

        Where the amount is no want, limits are not looked at; where the arrival is none, dates are not.
        """
        limits = part in self.named[WantKind.AMOUNT]
        have, need = self.workload.shelf.get(part, 0), self.needed(part)
        by_day: dict[dt.date, int] = defaultdict(int)
        for offer in self.workload.offers:
            pieces = offer.parts.get(part, 0)
            if pieces and (offer.limit is None or not limits):
                by_day[offer.arrives] += need
            elif pieces:
                by_day[offer.arrives] += pieces * (offer.limit or 0)
        result = []
        for day in sorted(by_day):
            if by_day[day]:
                have += by_day[day]
                result.append((day, min(have, need)))
        return result

    def parts(self) -> Iterator[str]:
        for part in self.part_names():
            users = [job for job in self.jobs if self.workload.job[job].parts.get(part)]
            together = " together" if len(users) > 1 else ""
            need = f"{self.who(users)} {_need(users)} {self.needed(part)} of {part}{together}"
            yield f"{need}; {self.supply(part)}."

    def supply(self, part: str) -> str:
        shelf = self.workload.shelf.get(part, 0)
        on_shelf = f"{shelf} {_is(shelf)} on the shelf" if shelf else "none is on the shelf"
        there = self.there_by(part)
        sellers = [offer for offer in self.workload.offers if offer.parts.get(part)]
        if not sellers:
            return f"{on_shelf}, and nobody sells it"
        if not there:
            return f"{on_shelf}, and the sellers have none left"
        if part not in self.named[WantKind.ARRIVAL]:
            pieces = there[-1][1]
            return f"{on_shelf}, and with all that the sellers have there {_is(pieces)} {pieces}"
        if part not in self.named[WantKind.AMOUNT] or there[0][1] >= self.needed(part):
            first = there[0][0]
            sold = [offer.seller for offer in sellers if offer.arrives == first]
            names = listed(list(dict.fromkeys(self.workload.seller[name].name for name in sold))[:FEW], "or")
            return f"{on_shelf}, and what is sold can be here on {self.day(first)} at the earliest ({names})"
        steps = [f"{pieces} can be here by {self.day(day)}" for day, pieces in _steps(there)]
        return f"{on_shelf}; with what the sellers have, {listed(steps)}"

    # minutes -------------------------------------------------------------------------------------------

    def lengths(self) -> Iterator[str]:
        if not self.stints:
            return
        room = [self.workload.stints[at].minutes for at in self.stints]
        together = minutes_together(self.workload, self.jobs)
        minutes = minutes_in_words(together)
        if len(self.jobs) == 1:
            yield f"{self.who(self.jobs)} takes {minutes} with what must come off for it and its aftercare."
        else:
            once = "if all is done in one stint and what they share comes off once"
            yield f"{self.who(self.jobs)} take {minutes} {once}."
            if together <= sum(room):
                yield f"Spread over several stints they may take more, {self.longest_alone()}."
        yield self.stints_in_time(room)
        if len(room) > 1 and len(self.jobs) > 1 and together <= sum(room):
            yield "A job is not split over stints, and however these are shared out, one does not fit."

    def longest_alone(self) -> str:
        """What the jobs take one by one; of many jobs, the longest only."""
        alone = {job: minutes_together(self.workload, [job]) for job in self.jobs}
        longest = sorted(self.jobs, key=lambda job: -alone[job])[:FEW]
        each = listed(f"{job} {minutes_in_words(alone[job])}" for job in longest)
        return f"and on their own {each}" if len(self.jobs) <= FEW else f"and on their own the longest {each}"

    def stints_in_time(self, room: list[int]) -> str:
        if len(room) == 1:
            which = stint_in_words(self.workload, self.stints[0])
            return f"The stint in time, {which}, has {minutes_in_words(room[0])}."
        if len(room) <= FEW:
            each = listed(
                f"the one {stint_in_words(self.workload, at)} has {minutes_in_words(minutes)}"
                for at, minutes in zip(self.stints, room, strict=True)
            )
            return f"Of the stints in time, {each}."
        first, last = (self.day(self.workload.stints[at].date) for at in (self.stints[0], self.stints[-1]))
        return (
            f"The {len(room)} stints in time, from {first} to {last}, have {minutes_in_words(sum(room))} "
            f"together, the longest {minutes_in_words(max(room))}."
        )

    def no_stint(self) -> Iterator[str]:
        """Where it is not minutes that are short: that no stint lies between the dates."""
        stints = self.workload.stints
        if not stints:
            yield "There is no stint to work in."
        if not stints or self.stints:
            return
        ends = [day for day in map(self.last_day, self.jobs) if day]
        starts = [day for part in self.part_names() if (day := self.all_there(part))]
        if ends and not starts and stints[0].date > min(ends):
            yield f"The first stint is {stint_in_words(self.workload, 0)}."
        elif starts and not ends and stints[-1].date < max(starts):
            yield f"The last stint is {stint_in_words(self.workload, len(stints) - 1)}."
        elif starts and ends and max(starts) <= min(ends):
            start, end = max(starts), min(ends)
            if not any(start <= stint.date <= end for stint in stints):
                yield (
                    f"There is no stint from {self.day(start)} to {self.day(end)}."
                    if start < end
                    else (f"There is no stint on {self.day(start)}.")
                )

    def all_there(self, part: str) -> dt.date | None:
        """The day from which the pieces needed are there; None where that is not what is in the way."""
        if part not in self.named[WantKind.ARRIVAL]:
            return None
        return next((day for day, pieces in self.there_by(part) if pieces >= self.needed(part)), None)


def _steps(there: list[tuple[dt.date, int]]) -> list[tuple[dt.date, int]]:
    """Without the days on which no more is there than before."""
    return [step for at, step in enumerate(there) if not at or step[1] > there[at - 1][1]]


def jobs_named(jobs: Sequence[str], word: str = "Job") -> str:
    """``Job a`` or ``Jobs a and b``."""
    return f"{word if len(jobs) == 1 else word + 's'} {listed(jobs)}"


def _need(jobs: Sequence[str]) -> str:
    return "needs" if len(jobs) == 1 else "need"


def _is(number: int) -> str:
    return "is" if number == 1 else "are"


def minutes_in_words(number: int) -> str:
    """``1 minute`` or ``2 minutes``."""
    return "1 minute" if number == 1 else f"{number} minutes"


def listed(items: Iterable[str], joint: str = "and") -> str:
    """Items one after the other, as a sentence lists them.

    >>> listed(["a", "b", "c"]), listed(["a"])
    ('a, b and c', 'a')
    """
    *first, last = items
    return f"{', '.join(first)} {joint} {last}" if first else last
