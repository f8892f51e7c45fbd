"""The rules of the planning problem in plain Python. They judge every plan, whoever made it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator

from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload


def broken_rules(workload: Workload, plan: Plan) -> list[str]:
    """Say in words each rule the plan breaks; an empty list means it can be worked.

    A plan that names what the workload does not hold is judged by that alone.
    """
    unknown = list(_unknown_ids(workload, plan))
    if unknown:
        return unknown
    return [
        *_jobs_done_as_often_as_allowed(workload, plan),
        *_jobs_done_in_time(workload, plan),
        *_access_open(workload, plan),
        *_aftercare_carried_out(workload, plan),
        *_stints_long_enough(workload, plan),
        *_jobs_in_order(workload, plan),
        *_parts_there(workload, plan),
        *_limits_kept(workload, plan),
        *_tools_there(workload, plan),
        *_left_off_rightly(workload, plan),
    ]


def _unknown_ids(workload: Workload, plan: Plan) -> Iterator[str]:
    if len(plan.work) != len(workload.stints):
        yield f"the plan has {len(plan.work)} stints, the workload {len(workload.stints)}"
    named: dict[str, tuple[Collection[str], list[str]]] = {
        "job": (workload.job, [j for w in plan.work for j in w.jobs]),
        "access": (workload.access_by_id, [a for w in plan.work for a in (*w.access, *w.left_off)]),
        "aftercare": (workload.aftercare_by_id, [a for w in plan.work for a in w.aftercare]),
        "tool": (workload.tool, [*(t for w in plan.work for t in w.hire), *plan.tools_bought]),
        "offer": (workload.offer, list(plan.units)),
    }
    for kind, (known, ids) in named.items():
        yield from (f"{kind} {name} is not in the workload" for name in sorted(set(ids) - set(known)))


def _jobs_done_as_often_as_allowed(workload: Workload, plan: Plan) -> Iterator[str]:
    times = Counter(job for work in plan.work for job in work.jobs)
    for job in workload.jobs:
        if job.is_must and times[job.id] != 1:
            yield f"rule 1: job {job.id} must be done exactly once, the plan does it {times[job.id]} times"
        elif times[job.id] > 1:
            yield f"rule 1: job {job.id} is done {times[job.id]} times, at most once is allowed"


def _jobs_done_in_time(workload: Workload, plan: Plan) -> Iterator[str]:
    for stint, work in zip(workload.stints, plan.work, strict=True):
        for job_id in work.jobs:
            last = workload.job[job_id].last_day
            if last is not None and stint.date > last:
                yield f"rule 2: job {job_id} is done on {stint.date}, after its last day {last}"
            if workload.job[job_id].held_to not in (None, stint.key):
                yield f"rule 2: job {job_id} is done in {stint.label}, and is held to another stint"


def _access_open(workload: Workload, plan: Plan) -> Iterator[str]:
    for stint, work in zip(workload.stints, plan.work, strict=True):
        opened = set(work.access)
        if len(opened) != len(work.access):
            yield f"rule 3: an access is listed twice in {stint.label}"
        for job_id in work.jobs:
            for access in sorted(set(workload.job[job_id].access) - opened):
                yield f"rule 3: job {job_id} in {stint.label} needs {access} open"
        for access in work.access:
            for under in sorted(set(workload.access_by_id[access].under) - opened):
                yield f"rule 3: {access} is open in {stint.label}, {under} under it is not"


def _aftercare_carried_out(workload: Workload, plan: Plan) -> Iterator[str]:
    for stint, work in zip(workload.stints, plan.work, strict=True):
        if len(set(work.aftercare)) != len(work.aftercare):
            yield f"rule 4: aftercare is carried out twice in {stint.label}"
        put_on = set(work.access) - set(work.left_off)
        for care in sorted(set(workload.aftercare_for(work.jobs, put_on)) - set(work.aftercare)):
            yield f"rule 4: {care} is not carried out in {stint.label}"


def _stints_long_enough(workload: Workload, plan: Plan) -> Iterator[str]:
    for at, stint in enumerate(workload.stints):
        used = plan.minutes_in(workload, at)
        if used > stint.minutes:
            yield f"rule 5: the work in {stint.label} takes {used} minutes of {stint.minutes}"


def _jobs_in_order(workload: Workload, plan: Plan) -> Iterator[str]:
    at = {job: place for place, work in enumerate(plan.work) for job in work.jobs}
    for job_id in sorted(at):
        for before in workload.job[job_id].after:
            if before not in at:
                yield f"rule 6: job {job_id} is done, {before} before it is left"
            elif at[before] > at[job_id]:
                yield f"rule 6: job {job_id} is done before {before}"


def _parts_there(workload: Workload, plan: Plan) -> Iterator[str]:
    used = Counter[str]()
    for stint, work in zip(workload.stints, plan.work, strict=True):
        for job_id in work.jobs:
            used.update(workload.job[job_id].parts)
        have = Counter(workload.shelf)
        for offer_id, count in plan.units.items():
            offer = workload.offer[offer_id]
            if offer.arrives <= stint.date:
                have.update({part: pieces * count for part, pieces in offer.parts.items()})
        for part in sorted({p for job_id in work.jobs for p in workload.job[job_id].parts}):
            if used[part] > have[part]:
                yield f"rule 7: {stint.label} needs {used[part]} of {part} by then, {have[part]} are there"


def _limits_kept(workload: Workload, plan: Plan) -> Iterator[str]:
    for offer_id, count in sorted(plan.units.items()):
        limit = workload.offer[offer_id].limit
        if count < 0:
            yield f"rule 7: {count} units of {offer_id} are bought"
        if limit is not None and count > limit:
            yield f"rule 7: {count} units of {offer_id} are bought, {limit} can be"


def _tools_there(workload: Workload, plan: Plan) -> Iterator[str]:
    for name in plan.tools_bought:
        if workload.tool[name].buy is None:
            yield f"rule 9: tool {name} can't be bought"
    owned = {*plan.tools_bought, *(tool.id for tool in workload.tools if tool.have)}
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        for name in work.hire:
            if workload.tool[name].hire is None:
                yield f"rule 9: tool {name} can't be hired"
        stays_off = set(plan.found_off(workload, at)).intersection(work.left_off)
        moved = set(work.access) - stays_off
        for name in sorted(set(workload.tools_for(work.jobs, moved)) - owned - set(work.hire)):
            yield f"rule 9: tool {name} is neither there nor hired in {stint.label}"


def _left_off_rightly(workload: Workload, plan: Plan) -> Iterator[str]:
    if workload.off_now and not plan.work:
        yield "rule 10: there is no stint to put on what is off now"
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        off = set(work.access)
        for name in sorted(set(plan.found_off(workload, at)) - off):
            yield f"rule 10: {name} is off when {stint.label} begins, and the plan says nothing of it"
        for name in work.left_off:
            if name not in off:
                yield f"rule 10: {name} is left off in {stint.label}, but was never off there"
            elif name not in workload.standing:
                yield f"rule 10: {name} may not be left off in {stint.label}"
            elif not workload.may_stand_over(workload.standing[name], at):
                last = at + 1 == len(workload.stints)
                why = "no stint follows" if last else "the car's inspection comes before the next stint"
                yield f"rule 10: {name} may not be left off in {stint.label}: {why}"
            for under in sorted(set(workload.access_by_id[name].under) - set(work.left_off)):
                yield f"rule 10: {name} is left off in {stint.label}, {under} under it is not"
