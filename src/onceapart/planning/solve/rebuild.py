"""The program made anew: for the next figure of an aim, or without what is out of the question by now."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.solve.frame import Weights
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.price_out import fixed_columns, possible_patterns
from onceapart.planning.solve.pricing import Cut
from onceapart.planning.solve.program import Key
from onceapart.planning.solve.tree import Node, Tree


def trimmed(master: Master, most: float) -> Master:
    """The same program without what no solution at most ``most`` above its own can hold.

    Columns whose reduced cost says so are fixed; offers fixed at none are left out with their rows.
    """
    program = master.program
    costs = program.column_duals()
    fixed = fixed_columns(master, most)
    live = frozenset(
        offer.id
        for offer in master.offers
        if any(
            (kind, offer.id) in program.column and fixed.get((kind, offer.id)) != (0.0, 0.0)
            for kind in ("buy", "extra")
        )
    )
    duals = program.row_duals()
    kept = {column for column in master.contents if column < len(costs) and costs[column] <= most}
    cuts = [
        cut
        for cut, row in master.cut_rows.items()
        if cut.least == 2 and row < len(duals) and abs(duals[row]) > 1e-9
    ]
    return rebuilt(master, master.weights, live=live, fixed=fixed, contents=kept, cuts=cuts)


def narrowed(tree: Tree) -> tuple[list[Node], list[NDArray[np.bool_]]]:
    """The parts of a search that hold ties, each with what its reduced costs fix; and the patterns left.

    The search has shown how low each part can come, so little room is left up to what ties, and most
    columns and patterns are out of the question for the figures that follow.
    """
    master = tree.master
    nodes: list[Node] = []
    allowed = [np.zeros((len(b.masks), len(master.stints)), np.bool_) for b in master.blocks.blocks]
    for node in tree.ties:
        tree.go_to(node)
        bound, values = tree.solve_node()
        if values is None:
            continue
        most = tree.tie_limit - bound
        nodes.append(replace(node, changes={**node.changes, **fixed_columns(master, most)}))
        for both, new in zip(allowed, possible_patterns(master, most), strict=True):
            both |= new
    return nodes, allowed


def rebuilt(
    master: Master,
    weights: Weights,
    *,
    limits: Iterable[tuple[Weights, float]] = (),
    penalty: float | None = None,
    live: frozenset[str] | None = None,
    fixed: Mapping[Key, tuple[float, float]] | None = None,
    contents: Container[int] | None = None,
    cuts: Iterable[Cut] | None = None,
    allowed: list[NDArray[np.bool_]] | None = None,
) -> Master:
    """The same program made anew, with other weights, limits, offers, bounds, contents or cuts."""
    program = master.program
    new = Master(
        master.reduced,
        master.blocks,
        weights,
        limits=limits,
        live=frozenset(offer.id for offer in master.offers) if live is None else live,
        penalty=master.penalty if penalty is None else penalty,
        allowed=master.allowed if allowed is None else allowed,
        apart=master.apart,
        slots=master.slots,
    )
    bounds = {
        key: (program.lower[column], program.upper[column])
        for key, column in program.column.items()
        if program.whole[column]
    }
    for key, (low, high) in {**bounds, **(fixed or {})}.items():
        column = new.program.column.get(key)
        if column is not None and (new.program.lower[column], new.program.upper[column]) != (low, high):
            new.program.lower[column], new.program.upper[column] = low, high
            new.program.set_bounds(column, low, high)
    new.add_single_jobs()
    for column, (stint, picks) in master.contents.items():
        if contents is None or column in contents:
            new.add_content(stint, picks)
    for cut in [cut for cut in master.cut_rows if cut.least == 2] if cuts is None else cuts:
        new.add_cut(cut, 1.0)
    for fit in master.fit_rows:
        if fit not in new.fit_rows:
            new.add_fit(fit)
    return new
