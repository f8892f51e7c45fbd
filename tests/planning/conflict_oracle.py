"""What has to be let go to make a tiny workload possible, by looking at every way to put jobs in stints."""

import itertools
from collections import Counter
from functools import cache

from onceapart.planning.conflict_wants import Want, WantKind


def ways_to_let_go(problem):
    """For every way to put jobs in stints, the wants that it breaks; only the smallest such sets.

    Some wants can all hold if, and only if, they share nothing with one of the sets. Buying is free here, so
    all that the sellers have is bought.
    """
    found = set()
    for at, broken in _broken_by_places(problem, lambda broken: True):
        for mend in itertools.product(*_mends_of_parts(problem, at)):
            found.add(broken.union(*mend))
    kept = []
    for one in sorted(found, key=len):
        if not any(other <= one for other in kept):
            kept.append(one)
    return kept


def is_possible(problem):
    """Whether one of the ways to put jobs in stints breaks nothing."""
    for at, broken in _broken_by_places(problem, lambda broken: not broken):
        if not broken and not list(_mends_of_parts(problem, at)):
            return True
    return False


def _broken_by_places(problem, is_worth_it):
    """Ways to put the jobs in stints, with the wants they break besides those about parts.

    A job that need not be done, and that none comes after, is left: doing it only breaks more.
    """
    minutes = cache(lambda jobs: _minutes(problem, jobs))
    named = {before for job in problem.jobs for before in job.after}
    anywhere = [None, *range(len(problem.stints))]
    choices = [anywhere if job.is_must or job.id in named else [None] for job in problem.jobs]
    for places in itertools.product(*choices):
        at = {job.id: place for job, place in zip(problem.jobs, places, strict=True)}
        broken = frozenset(_broken_dates_and_orders(problem, at))
        if not is_worth_it(broken):
            continue
        too_long = {
            Want(WantKind.LENGTH, str(place))
            for place, stint in enumerate(problem.stints)
            if minutes(tuple(job for job in at if at[job] == place)) > stint.minutes
        }
        tools = _missing_tools(problem, [job for job in at if at[job] is not None])
        yield at, broken.union(too_long, tools)


def _minutes(problem, jobs):
    opened = problem.opened_for(jobs)
    return problem.minutes_of(jobs, opened, problem.aftercare_for(jobs, opened))


def _broken_dates_and_orders(problem, at):
    for job in problem.jobs:
        place = at[job.id]
        if place is None:
            if job.is_must:
                yield Want(WantKind.MUST, job.id)
            continue
        if job.last_day is not None and problem.stints[place].date > job.last_day:
            yield Want(WantKind.LAST_DAY, job.id)
        for before in job.after:
            if at[before] is None or at[before] > place:
                yield Want(WantKind.ORDER, job.id, before)


def _missing_tools(problem, done):
    for name in problem.tools_for(done, problem.opened_for(done)):
        tool = problem.tool[name]
        if not tool.have and tool.hire is None and tool.buy is None:
            yield Want(WantKind.TOOL, name)


def _mends_of_parts(problem, at):
    """For each part that runs short, what can be let go so that it does not."""
    used = Counter()
    for job in problem.jobs:
        if at[job.id] is not None:
            used.update(job.parts)
    for part in used:
        amount, arrival = Want(WantKind.AMOUNT, part), Want(WantKind.ARRIVAL, part)
        if not _runs_short(problem, at, part, any_amount=False, at_once=False):
            continue
        mends = []
        if not _runs_short(problem, at, part, any_amount=True, at_once=False):
            mends.append({amount})
        if not _runs_short(problem, at, part, any_amount=False, at_once=True):
            mends.append({arrival})
        yield mends or [{amount, arrival}]


def _runs_short(problem, at, part, *, any_amount, at_once):
    offers = [offer for offer in problem.offers if part in offer.parts]
    if any_amount and (at_once or not offers):
        return False
    for place, stint in enumerate(problem.stints):
        used = sum(
            job.parts.get(part, 0) for job in problem.jobs if at[job.id] is not None and at[job.id] <= place
        )
        have = problem.shelf.get(part, 0)
        for offer in offers:
            if at_once or offer.arrives <= stint.date:
                have += 999 if offer.limit is None or any_amount else offer.limit * offer.parts[part]
        if used > have:
            return True
    return False


def can_hold(sets, wants):
    return any(one.isdisjoint(wants) for one in sets)
