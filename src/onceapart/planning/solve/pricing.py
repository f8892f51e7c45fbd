"""Finding the stint contents that would lower the linear program, by pricing every pattern of every block."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.patterns import Block, Floats, Ints
from onceapart.planning.solve.fits import Fit

EPS = 1e-9


@dataclass(frozen=True)
class Front:
    """Best price for each length of work: minutes rise, price falls.

    ``picks`` (n, blocks) are positions of patterns, -1 for nothing of a block.
    """

    minutes: Floats
    price: Floats
    picks: Ints

    @staticmethod
    def empty() -> Front:
        return Front(np.zeros(1), np.zeros(1), np.zeros((1, 0), np.int64))


def block_front(block: Block, price: Floats, room: float) -> Front:
    """Pareto front of one block's patterns in a stint of ``room`` minutes, nothing done included.

    ``price`` (P,) is the reduced price of each pattern; patterns come in order of minutes.
    """
    n = int(np.searchsorted(block.minutes, room, side="right"))
    best = np.minimum.accumulate(np.minimum(price[:n], 0.0))
    before = np.concatenate([[0.0], best[:-1]])
    at = np.nonzero(best < before - EPS)[0] if n else np.zeros(0, np.int64)
    return Front(
        np.concatenate([[0.0], block.minutes[at]]),
        np.concatenate([[0.0], price[at]]),
        np.concatenate([[-1], at])[:, None].astype(np.int64),
    )


def join(left: Front, right: Front, room: float) -> Front:
    """Pareto front of doing something of both in one stint."""
    minutes = (left.minutes[:, None] + right.minutes[None, :]).ravel()
    price = (left.price[:, None] + right.price[None, :]).ravel()
    fits = np.nonzero(minutes <= room)[0]
    order = fits[np.lexsort((price[fits], minutes[fits]))]
    best = np.minimum.accumulate(price[order])
    before = np.concatenate([[np.inf], best[:-1]])
    order = order[best < before - EPS]
    a, b = np.unravel_index(order, (len(left.price), len(right.price)))
    return Front(minutes[order], price[order], np.concatenate([left.picks[a], right.picks[b]], axis=1))


def stint_front(fronts: Sequence[Front], room: float) -> Front:
    """Pareto front of filling a stint from all blocks."""
    result = Front.empty()
    for front in fronts:
        result = join(result, front, room)
    return result


@dataclass(frozen=True)
class Cut:
    """Counts, over all stints, the patterns of a block that hold ``least`` jobs of ``mask`` or more."""

    block: int
    mask: int
    least: int

    def holds(self, block: Block) -> NDArray[np.bool_]:
        """(P,) whether a pattern counts."""
        inside = np.bitwise_count(block.masks & np.int64(self.mask))
        counted: NDArray[np.bool_] = inside >= self.least
        return counted


@dataclass(frozen=True)
class Duals:
    """What the linear program pays for each thing, all signs as the solver gives them. S stints.

    ``money``, ``minutes`` and ``worth`` weigh a pattern's own figures, with rows that limit an earlier
    figure taken in.
    """

    money: float
    minutes: float
    worth: float
    link: NDArray[np.float64]
    """(jobs, S) dual of a job being in a stint; a large number where it can't be."""
    once: Floats
    """(S,) dual of one content a stint."""
    room: Floats
    """(S,) dual of a stint's minutes, nought where no set-up spans blocks."""
    tools: Mapping[tuple[int, int], Floats]
    """(block, tool) -> (S,)."""
    shared: Mapping[tuple[int, int], Floats]
    """(block, set-up) -> (S,)."""
    cuts: Mapping[Cut, float]
    fits: Mapping[Fit, float]


def pattern_prices(
    blocks: Sequence[Block], duals: Duals, counted: Mapping[Cut, NDArray[np.bool_]]
) -> Iterator[NDArray[np.float64]]:
    """Reduced price of every pattern in every stint, (P, S) block by block, without the stint's own dual."""
    for at, block in enumerate(blocks):
        base = duals.money * block.money + duals.minutes * block.minutes - duals.worth * block.worth
        for cut, dual in duals.cuts.items():
            if cut.block == at and abs(dual) > EPS:
                base = base - dual * counted[cut]
        price: Floats = block.bits.astype(np.float64) @ duals.link[list(block.jobs)]
        price += base[:, None]
        if duals.room.any():
            price -= block.minutes[:, None] * duals.room[None, :]
        for tool, needs in block.tools:
            dual_row = duals.tools[at, tool]
            if dual_row.any():
                price -= needs[:, None] * dual_row[None, :]
        for setup, needs in block.shared:
            dual_row = duals.shared[at, setup]
            if dual_row.any():
                price -= needs[:, None] * dual_row[None, :]
        for fit, dual in duals.fits.items():
            if abs(dual) > EPS:
                price[:, fit.slot] -= dual * fit.of(block.minutes) * block.needs(fit.tool)
        yield price
