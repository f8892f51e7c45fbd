"""What can be done of some jobs in one stint: every set of them, with its minutes, money and worth.

Jobs that share set-ups are kept together in a *block*, and all sets of a block's jobs that fit the longest
stint are listed once, as bit masks. Pricing a set under any duals is then one matrix product, and the best
filling of a stint from several blocks is a walk over their Pareto fronts of minutes against price.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.reduce import Reduced

MAX_PATTERNS = 140_000
"""Sets listed for one block at most; a block that would have more is cut in two."""
SMALL_BLOCK = 6
"""Blocks are joined up to so many jobs: cheap to list, and rules between their jobs get tighter."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Block:
    """Sets of jobs that fit a stint, in order of minutes. P patterns, n jobs."""

    jobs: tuple[int, ...]
    masks: Ints
    """(P,) bit i is set where ``jobs[i]`` is in the pattern."""
    bits: NDArray[np.uint8]
    """(P, n) the same as zeros and ones."""
    minutes: Floats
    """(P,) minutes with all set-ups inside the block."""
    money: Floats
    """(P,) prices of aftercare. [minor units]"""
    worth: Floats
    """(P,) what the wishes and upkeep done are worth. [minor units]"""
    setups: tuple[int, ...]
    """Masks of the set-ups inside the block, each of two jobs or more, smallest first."""
    tools: tuple[tuple[int, Floats], ...]
    """Tools by position, and where a pattern needs them."""
    shared: tuple[tuple[int, Floats], ...]
    """Set-ups shared with other blocks by position, and where a pattern needs them."""

    def needs(self, tool: int, pick: int | None = None) -> Floats | float:
        """(P,) where a pattern needs a tool, or of one pattern; ones for tool -1."""
        if tool < 0:
            return 1.0
        where = next((where for at, where in self.tools if at == tool), None)
        if where is None:
            return 0.0
        return where if pick is None else float(where[pick])

    def mask_of(self, jobs: tuple[int, ...]) -> int:
        """Bit mask of those of the jobs that are in this block."""
        return sum(1 << at for at, job in enumerate(self.jobs) if job in jobs)


@dataclass(frozen=True)
class Blocks:
    """All blocks, and the set-ups that span several of them (by position in the reduced problem)."""

    blocks: tuple[Block, ...]
    spanning: tuple[int, ...]


def blocks_of(reduced: Reduced, max_patterns: int | None = None) -> Blocks:
    """List the patterns of every block.

    Parameters
    ----------
    reduced : Reduced
    max_patterns : int, optional
        Sets listed for one block at most; default ``MAX_PATTERNS``.
    """
    most = MAX_PATTERNS if max_patterns is None else max_patterns
    groups: list[tuple[int, ...]] = []
    for together in _joined(_connected(reduced)):
        groups.extend(_cut(reduced, together, most))
    inside = [set(group) for group in groups]
    spanning = tuple(
        at
        for at, setup in enumerate(reduced.setups)
        if setup.alone or sum(bool(group.intersection(setup.jobs)) for group in inside) > 1
    )
    return Blocks(tuple(_list_patterns(reduced, group, spanning) for group in groups), spanning)


def _connected(reduced: Reduced) -> list[tuple[int, ...]]:
    """Jobs that hang together by set-ups."""
    head = list(range(len(reduced.jobs)))

    def find(at: int) -> int:
        while head[at] != at:
            head[at] = head[head[at]]
            at = head[at]
        return at

    for setup in reduced.setups:
        for job in setup.jobs[1:]:
            head[find(job)] = find(setup.jobs[0])
    groups: dict[int, list[int]] = {}
    for job in range(len(reduced.jobs)):
        groups.setdefault(find(job), []).append(job)
    return [tuple(group) for group in groups.values()]


def _joined(groups: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """Join small groups, in order, up to ``SMALL_BLOCK`` jobs."""
    result: list[tuple[int, ...]] = []
    waiting: tuple[int, ...] = ()
    for group in groups:
        if len(group) > SMALL_BLOCK:
            result.append(group)
        elif len(waiting) + len(group) <= SMALL_BLOCK:
            waiting += group
        else:
            result.append(waiting)
            waiting = group
    return [*result, waiting] if waiting else result


def _cut(reduced: Reduced, group: tuple[int, ...], max_patterns: int) -> list[tuple[int, ...]]:
    """Cut a group where its patterns would be too many, keeping jobs that share most together."""
    share = np.zeros((len(reduced.jobs), len(reduced.jobs)))
    for setup in reduced.setups:
        inside = [job for job in setup.jobs if job in group]
        share[np.ix_(inside, inside)] += setup.minutes + setup.price / 100 + 1e-3
    left = list(group)
    result: list[tuple[int, ...]] = []
    current: list[int] = []
    masks, minutes = np.zeros(1, np.int64), np.zeros(1)
    while left:
        near = max(left, key=lambda job: (share[job, current].sum() if current else share[job].sum(), -job))
        grown = _grow(reduced, [*current, near], masks, minutes)
        if current and (len(grown[0]) > max_patterns or len(current) == 60):
            result.append(tuple(current))
            current, masks, minutes = [], np.zeros(1, np.int64), np.zeros(1)
            continue
        current.append(near)
        left.remove(near)
        masks, minutes = grown
    return [*result, tuple(current)]


def _grow(reduced: Reduced, jobs: list[int], masks: Ints, minutes: Floats) -> tuple[Ints, Floats]:
    """All patterns of ``jobs``, from those of all but the last of them."""
    new = jobs[-1]
    more = minutes + reduced.jobs[new].minutes
    for setup in reduced.setups:
        if new in setup.jobs:
            mask = sum(1 << at for at, job in enumerate(jobs[:-1]) if job in setup.jobs)
            more = more + np.where(masks & mask, 0, setup.minutes)
    fits = more <= max(reduced.room, default=0)
    added = masks[fits] | np.int64(1 << (len(jobs) - 1))
    return np.concatenate([masks, added]), np.concatenate([minutes, more[fits]])


def _list_patterns(reduced: Reduced, group: tuple[int, ...], spanning: tuple[int, ...]) -> Block:
    masks, minutes = np.zeros(1, np.int64), np.zeros(1)
    for n in range(len(group)):
        masks, minutes = _grow(reduced, list(group[: n + 1]), masks, minutes)
    masks = masks[1:]
    own = {at: setup for at, setup in enumerate(reduced.setups) if at not in spanning}

    def mask_of(jobs: tuple[int, ...]) -> int:
        return sum(1 << at for at, job in enumerate(group) if job in jobs)

    bits = ((masks[:, None] >> np.arange(len(group))) & 1).astype(np.float64)
    jobs = [reduced.jobs[job] for job in group]
    minutes = bits @ np.array([float(job.minutes) for job in jobs])
    money = bits @ np.array([float(job.price) for job in jobs])
    worth = bits @ np.array([float(job.worth) for job in jobs])
    setup_masks = set()
    for setup in own.values():
        mask = mask_of(setup.jobs)
        if mask:
            needed = (masks & mask) != 0
            minutes += setup.minutes * needed
            money += setup.price * needed
            setup_masks.add(mask)
    order = np.lexsort((masks, minutes))
    masks = masks[order]

    def needing(sets: tuple[int, ...]) -> Floats:
        where: Floats = ((masks & mask_of(sets)) != 0).astype(np.float64)
        return where

    return Block(
        jobs=group,
        masks=masks,
        bits=bits[order].astype(np.uint8),
        minutes=minutes[order],
        money=money[order],
        worth=worth[order],
        setups=tuple(sorted(setup_masks)),
        tools=tuple((at, needing(tool.jobs)) for at, tool in enumerate(reduced.tools) if mask_of(tool.jobs)),
        shared=tuple(
            (at, needing(reduced.setups[at].jobs)) for at in spanning if mask_of(reduced.setups[at].jobs)
        ),
    )
