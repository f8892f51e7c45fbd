"""What a solved program says of all contents: which would lower it, which are out of the question."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.solve.master import Master
from onceapart.planning.solve.pricing import Duals, Front, block_front, join, pattern_prices, stint_front
from onceapart.planning.solve.program import TOLERANCE, Key

NEVER = 1e9
"""Price of a job in a stint it can't stand in: far above any real price."""


def price_out(master: Master, per_stint: int) -> tuple[float, int]:
    """Add the best missing contents of each stint.

    Returns
    -------
    (float, int)
        How far below the program's objective the true bound can be at most (0 or negative), and how
        many columns were added; none means that the program is solved over all contents.
    """
    duals = duals_of(master)
    if master.apart:
        return _price_apart(master, duals, per_stint)
    prices = list(_prices(master, duals))
    below, added = 0.0, 0
    for stint in master.stints:
        front = stint_front(_fronts(master, prices, stint), float(master.room[stint]))
        gain = front.price - duals.once[stint]
        below += min(0.0, float(gain[-1])) * master.times[stint]
        for at in range(len(gain) - 1, max(-1, len(gain) - 1 - per_stint), -1):
            if gain[at] < -TOLERANCE:
                added += master.add_content(stint, front.picks[at])
    return below, added


def _price_apart(master: Master, duals: Duals, per_stint: int) -> tuple[float, int]:
    below, added = 0.0, 0
    nothing = [-1] * len(master.blocks.blocks)
    for b, (block, price) in enumerate(zip(master.blocks.blocks, _prices(master, duals), strict=True)):
        for stint in master.stints:
            n = int(np.searchsorted(block.minutes, master.room[stint], side="right"))
            if not n:
                continue
            gain = price[:n, stint] - duals.once[stint + b * len(master.stints)]
            best = np.argpartition(gain, per_stint - 1)[:per_stint] if n > per_stint else np.arange(n)
            best = best[np.lexsort((best, gain[best]))]
            below += min(0.0, float(gain[best[0]])) * master.times[stint]
            for pick in best:
                if gain[pick] >= -TOLERANCE:
                    break
                added += master.add_content(stint, [*nothing[:b], int(pick), *nothing[b + 1 :]])
    return below, added


def duals_of(master: Master) -> Duals:
    """What the solved program pays for each thing."""
    rows = master.program.row_duals()
    weight = {name: master.weights.get(name, 0.0) for name in ("money", "minutes", "worth")}
    for limit, row in master.limits:
        for name in weight:
            weight[name] -= rows[row] * limit.get(name, 0.0)
    link = np.full((len(master.reduced.jobs), len(master.stints)), NEVER)
    for (job, stint), row in master.link.items():
        link[job, stint] = rows[row]
    return Duals(
        money=weight["money"],
        minutes=weight["minutes"],
        worth=-weight["worth"],
        link=link,
        once=rows[master.once],
        room=rows[master.room_rows] if master.room_rows else np.zeros(len(master.stints)),
        tools={key: rows[at] for key, at in master.tool_rows.items()},
        shared={key: rows[at] for key, at in master.shared_rows.items()},
        cuts={cut: float(rows[at]) for cut, at in master.cut_rows.items()},
        fits={fit: float(rows[at]) for fit, at in master.fit_rows.items()},
    )


def _prices(master: Master, duals: Duals) -> Iterator[NDArray[np.float64]]:
    """Reduced price of each pattern in each stint, (P, S) block by block."""
    for b, price in enumerate(pattern_prices(master.blocks.blocks, duals, master.counted)):
        if master.allowed is not None:
            price[~master.allowed[b]] = NEVER
        yield price


def _fronts(master: Master, prices: list[NDArray[np.float64]], stint: int) -> list[Front]:
    """Pareto front of each block in a stint."""
    room = float(master.room[stint])
    return [
        block_front(block, price[:, stint], room)
        for block, price in zip(master.blocks.blocks, prices, strict=True)
    ]


def possible_patterns(master: Master, most: float) -> list[NDArray[np.bool_]]:
    """Which patterns a solution at most ``most`` above the program's can hold, (P, S) a block."""
    duals = duals_of(master)
    if master.apart:
        return _possible_apart(master, duals, most)
    prices = list(_prices(master, duals))
    result = [np.zeros(price.shape, np.bool_) for price in prices]
    for stint in master.stints:
        room = float(master.room[stint])
        fronts = _fronts(master, prices, stint)
        for b, block in enumerate(master.blocks.blocks):
            rest = Front.empty()
            for other, front in enumerate(fronts):
                if other != b:
                    rest = join(rest, front, room)
            n = int(np.searchsorted(block.minutes, room, side="right"))
            at = np.searchsorted(rest.minutes, room - block.minutes[:n], side="right") - 1
            gain = prices[b][:n, stint] + rest.price[at] - duals.once[stint]
            result[b][:n, stint] = gain <= most
    return result


def _possible_apart(master: Master, duals: Duals, most: float) -> list[NDArray[np.bool_]]:
    n = len(master.stints)
    return [
        (price - duals.once[None, b * n : (b + 1) * n] <= most)
        & (block.minutes[:, None] <= master.room[None, :])
        for b, (block, price) in enumerate(zip(master.blocks.blocks, _prices(master, duals), strict=True))
    ]


def fixed_columns(master: Master, most: float) -> dict[Key, tuple[float, float]]:
    """Bounds that every solution at most ``most`` above the program's keeps, by reduced cost."""
    program = master.program
    costs, values = program.column_duals(), program.values()
    fixed: dict[Key, tuple[float, float]] = {}
    for column, key in enumerate(program.keys[: len(costs)]):
        if program.whole[column] and abs(costs[column]) > most:
            at = float(round(values[column]))
            if abs(values[column] - at) < 1e-9:
                fixed[key] = (at, at)
    return fixed
