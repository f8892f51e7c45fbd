"""Cuts that keep a block's jobs from being cut up over many half-used contents.

Of any three jobs, at most one content of the whole plan can hold two or more, since each job is done once:
subset-row inequalities of set packing (M. Jepsen, B. Petersen, S. Spoorendonk, D. Pisinger, "Subset-row
inequalities applied to the vehicle-routing problem with time windows", Operations Research 56(2), 2008;
reference from memory).
"""

from __future__ import annotations

import itertools
from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.solve.fits import candidates
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.pricing import Cut

MOST_AT_ONCE = 30
LEAST_VIOLATION = 0.02


def add_violated_cuts(master: Master, values: NDArray[np.float64]) -> int:
    """Add the most violated cuts at this solution; how many were added."""
    weights: list[dict[int, float]] = [defaultdict(float) for _ in master.blocks.blocks]
    for column, (_, picks) in master.contents.items():
        if column < len(values) and values[column] > 1e-7:
            for b, pick in enumerate(picks):
                if pick >= 0:
                    weights[b][int(master.blocks.blocks[b].masks[pick])] += float(values[column])
    found = []
    for b, held in enumerate(weights):
        masks = np.array(sorted(held), np.int64)
        amounts = np.array([held[int(mask)] for mask in masks])
        jobs = [at for at in range(len(master.blocks.blocks[b].jobs)) if (masks >> at & 1).any()]
        triples = np.array(
            [(1 << i) | (1 << j) | (1 << k) for i, j, k in itertools.combinations(jobs, 3)], np.int64
        )
        if not len(triples) or len(masks) < 2:
            continue
        twice = np.bitwise_count(masks[None, :] & triples[:, None]) >= 2
        over = twice @ amounts - 1.0
        for at in np.nonzero(over > LEAST_VIOLATION)[0]:
            cut = Cut(b, int(triples[at]), 2)
            if cut not in master.cut_rows:
                found.append((-float(over[at]), b, cut.mask, cut))
    found.sort(key=lambda item: item[:3])
    for _, _, _, cut in found[:MOST_AT_ONCE]:
        master.add_cut(cut, 1.0)
    return min(len(found), MOST_AT_ONCE) + (_add_violated_fits(master, values) if master.apart else 0)


def _add_violated_fits(master: Master, values: NDArray[np.float64]) -> int:
    """Add each slot's most violated row about what fits."""
    held: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for column, (slot, _) in master.contents.items():
        if column < len(values) and values[column] > 1e-7:
            held[slot].append((master.figures[column]["minutes"], float(values[column])))
    added = 0
    for slot, pairs in sorted(held.items()):
        minutes, amounts = np.array(pairs).T
        fits = candidates(slot, master.slots.slots[slot].room, minutes)
        over = [(float(fit.of(minutes) @ amounts) - master.times[slot], fit) for fit in fits]
        worst, fit = max(over)
        if worst > LEAST_VIOLATION and fit not in master.fit_rows:
            master.add_fit(fit)
            added += 1
    return added
