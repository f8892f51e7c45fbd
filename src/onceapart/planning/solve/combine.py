"""Plans from what a linear program found: its patterns, block by block, put together by branch and bound."""

from __future__ import annotations

from collections.abc import Mapping

import highspy
import numpy as np
from numpy.typing import NDArray

from onceapart.planning.plan import Plan
from onceapart.planning.solve.frame import Weights
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.program import TOLERANCE
from onceapart.planning.solve.reading import plan_from, undone


def combined_plan(
    master: Master,
    patterns: Mapping[tuple[int, int], NDArray[np.int64]],
    *,
    weights: Weights | None = None,
    live: frozenset[str] | None = None,
    gap: float = 0.002,
    nodes: int = 100,
    seconds: float | None = None,
) -> Plan | None:
    """The best plan found from some patterns of each (block, slot), within an effort that is counted in
    nodes and gap, so that it is the same every time; by the clock only where ``seconds`` is given. None where
    none was found. ``live`` are the offers to choose from; default all."""
    if seconds is not None and seconds <= 0:
        return None
    slots = master.slots.slots
    apart = Master(
        master.reduced,
        master.blocks,
        weights or master.weights,
        live=frozenset(offer.id for offer in master.offers) if live is None else live,
        penalty=master.penalty,
        apart=True,
    )
    apart.add_single_jobs()
    nothing = [-1] * len(master.blocks.blocks)
    for (b, slot), picks in sorted(patterns.items()):
        for stint in slots[slot].stints:
            for pick in picks:
                apart.add_content(stint, [*nothing[:b], int(pick), *nothing[b + 1 :]])
    program = apart.program
    n = len(program.keys)
    whole = [program.whole[at] or at in apart.contents for at in range(n)]
    kinds = highspy.HighsVarType
    types = np.array([kinds.kInteger if at else kinds.kContinuous for at in whole])
    highs = program.highs
    highs.changeColsIntegrality(n, np.arange(n, dtype=np.int32), types)
    if live is not None:
        highs.setOptionValue("presolve", "on")
    highs.setOptionValue("mip_rel_gap", gap)
    highs.setOptionValue("mip_max_nodes", nodes)
    if seconds is not None:
        highs.setOptionValue("time_limit", seconds)
    highs.run()
    if highs.getInfo().primal_solution_status != 2:  # no feasible point
        return None
    values = program.values()
    return None if undone(apart, values) > TOLERANCE else plan_from(apart, values)


def patterns_in_use(master: Master, most: int) -> dict[tuple[int, int], NDArray[np.int64]]:
    """Patterns of the contents with the least reduced costs, about ``most`` of them."""
    reduced_costs = master.program.column_duals()
    ranked = sorted(
        (float(reduced_costs[column]), column) for column in master.contents if column < len(reduced_costs)
    )
    chosen: dict[tuple[int, int], set[int]] = {}
    count = 0
    for _, column in ranked:
        stint, picks = master.contents[column]
        for b, pick in enumerate(picks):
            if pick >= 0:
                held = chosen.setdefault((b, stint), set())
                count += pick not in held
                held.add(pick)
        if count >= most:
            break
    return {key: np.array(sorted(held), np.int64) for key, held in sorted(chosen.items())}
