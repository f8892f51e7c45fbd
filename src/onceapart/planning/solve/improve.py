"""Better plans from a plan: some jobs are thought over anew, all others stay in their stints."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Callable, Iterator
from dataclasses import replace

from onceapart.planning.patterns import Blocks
from onceapart.planning.plan import Plan
from onceapart.planning.reduce import Reduced
from onceapart.planning.solve.combine import combined_plan, patterns_in_use
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.phases import Phase
from onceapart.planning.solve.tree import Effort, EffortSpent, Tree

PATTERNS = 250
ROUNDS = 2
"""Rounds over all sets of jobs at most; a round that brings nothing is the last."""


def improve(
    reduced: Reduced,
    blocks: Blocks,
    phase: Phase,
    plan: Plan,
    shown: Callable[[], int | None],
    offer: Callable[[Plan | None], Plan],
    effort: Effort,
    penalty: float,
) -> None:
    """Think over the jobs of two blocks after the other, then those of neighbouring stints, purchases always.

    Parameters
    ----------
    shown, offer
        What the best plan shows in the phase; takes a plan and gives back the best so far.
    """
    for _ in range(ROUNDS):
        before = shown()
        for free in _reopened_sets(reduced, blocks, plan):
            if effort.is_spent:
                return
            with contextlib.suppress(EffortSpent):
                plan = offer(_thought_over(reduced, blocks, phase, plan, free, shown(), effort, penalty))
        if shown() == before:
            return


def _reopened_sets(reduced: Reduced, blocks: Blocks, plan: Plan) -> Iterator[frozenset[int]]:
    """Sets of jobs by position: those of two blocks next to each other, then those of some stints."""
    ring = [*blocks.blocks, *blocks.blocks[:1]]
    for one, other in itertools.pairwise(ring):
        yield frozenset((*one.jobs, *other.jobs))
    at = {job: place for place, work in enumerate(plan.work) for job in work.jobs}
    n = len(plan.work)
    for start in range(0, n, max(1, n // 4)):
        window = range(start, start + max(2, n // 3))
        yield frozenset(p for p, job in enumerate(reduced.jobs) if at.get(job.id, -1) in window)


def _thought_over(
    reduced: Reduced,
    blocks: Blocks,
    phase: Phase,
    plan: Plan,
    free: frozenset[int],
    shown: int | None,
    effort: Effort,
    penalty: float,
) -> Plan | None:
    sub = held(reduced, plan, free)
    if not any(job.first <= job.last for job in sub.jobs):
        return None
    master = Master(sub, blocks, phase.weights, penalty=penalty, apart=True)
    master.add_single_jobs()
    tree = Tree(master, phase, shown, lambda _: shown, effort)
    _, values = tree.solve_root()
    if values is None:
        return None
    patterns = patterns_in_use(master, PATTERNS)
    return combined_plan(master, patterns, gap=0.005, nodes=20, seconds=effort.seconds_left)


def held(reduced: Reduced, plan: Plan, free: frozenset[int]) -> Reduced:
    """The problem in which all jobs but the free ones stay where a plan has them, or stay undone."""
    past = len(reduced.room)
    at = {job: place for place, work in enumerate(plan.work) for job in work.jobs}
    jobs = []
    for position, job in enumerate(reduced.jobs):
        if position in free:
            jobs.append(job)
        elif job.id in at:
            jobs.append(replace(job, first=at[job.id], last=at[job.id], is_must=True))
        else:
            jobs.append(replace(job, first=past, last=past - 1))
    return replace(reduced, jobs=tuple(jobs))
