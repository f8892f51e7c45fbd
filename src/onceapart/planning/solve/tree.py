"""Branch and price: a best-first search whose nodes are bounds on columns, each solved over all contents."""

from __future__ import annotations

import contextlib
import heapq
import math
from collections.abc import Callable
from dataclasses import dataclass, field

import highspy
import numpy as np

from onceapart.planning.plan import Plan
from onceapart.planning.solve.cuts import add_violated_cuts
from onceapart.planning.solve.effort import Effort, EffortSpent
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.phases import Phase
from onceapart.planning.solve.price_out import price_out
from onceapart.planning.solve.program import INF, TOLERANCE, Key
from onceapart.planning.solve.reading import parted, plan_from, undone
from onceapart.planning.solve.trials import Trials, Values

CUT_ROUNDS = 12
FULL_ENOUGH = 0.7
"""Contents this full are fixed together when diving."""
CUT_EFFORT = 1.0
"""Cuts are looked for until they have taken so many times the iterations that the solution without took."""
CUT_NODES = 40
"""Nodes at which cuts are looked for besides the root; later ones cost more than they bring."""
PER_STINT = 6
"""Contents added a stint and round of pricing."""
DIVES = frozenset(8 * 4**k for k in range(10))
"""Counts of nodes after which to look for a better plan on the way."""

Changes = dict[Key, tuple[float, float]]


@dataclass(order=True)
class Node:
    """A part of the search: bounds on columns, and a figure that nothing in it is below."""

    bound: float
    number: int
    changes: Changes = field(compare=False)
    basis: highspy.HighsBasis | None = field(compare=False, default=None)


class Tree:
    """A search in one phase.

    Parameters
    ----------
    master
        Solved or not; its bounds are those of the root.
    phase, shown
        The figure that is made small, and what the best plan so far shows of it.
    offer_plan
        Called with each plan found; gives back what the best plan shows in this phase from now on.
    """

    def __init__(
        self,
        master: Master,
        phase: Phase,
        shown: int | None,
        offer_plan: Callable[[Plan], int | None],
        effort: Effort,
    ) -> None:
        self.master, self.program, self.phase = master, master.program, phase
        self.shown = shown
        self.offer_plan, self.effort = offer_plan, effort
        self.set_changes: Changes = {}
        self.trials = Trials(self.program, effort, self._bounds)
        self.ties: list[Node] = []
        """Parts of the search that hold plans that show the same, but none that shows less."""

    @property
    def slack(self) -> float:
        """What rounding can hide in the solver's figures."""
        return 1e-4 + 1e-9 * abs(self.shown or 0)

    @property
    def tie_limit(self) -> float:
        return INF if self.shown is None else self.phase.ties(self.shown) + self.slack

    @property
    def better_limit(self) -> float:
        return INF if self.shown is None else self.phase.better(self.shown) + self.slack

    # one node ------------------------------------------------------------------------------------------

    def solve_node(self) -> tuple[float, Values | None]:
        """Solve over all contents, from the bounds as they are set.

        Returns
        -------
        (float, array or None)
            The node's bound, and its solution; None where the node holds nothing that ties with the best.

        Raises
        ------
        EffortSpent
            The effort was spent before all contents were priced.
        """
        if not self._free_orders_can_be():
            return math.inf, None
        held = False
        try:
            while True:
                before = self.program.iterations
                solved = self.program.run()
                self.effort.count(self.program.iterations - before)
                if not solved:
                    return math.inf, None
                objective = self.program.objective
                below, added = price_out(self.master, PER_STINT)
                if objective + below > self.tie_limit:
                    return objective + below, None
                if added:
                    if self.effort.is_spent:
                        raise EffortSpent(objective + below)
                    continue
                values = self.program.values()
                if undone(self.master, values) <= TOLERANCE:
                    return objective, values
                if not self._can_do_without_slacks():
                    return math.inf, None
                held = True
                for column in self.master.slacks:
                    self.program.set_bounds(column, 0.0, 0.0)
        finally:
            if held:
                for column in self.master.slacks:
                    self.program.set_bounds(column, 0.0, INF)

    def _free_orders_can_be(self) -> bool:
        """Whether each order fixed as free of delivery can come to that value, in whole figures.

        The solver's tolerance is too wide for that where amounts are large.
        """
        for seller, bought in self.master.free_orders.items():
            if self.set_changes.get(("free", seller), (0.0, 1.0))[0] < 0.5:
                continue
            most = sum(price * int(self._bounds(column)[1]) for column, price in bought)
            if most < self.master.free_from(seller):
                return False
        return True

    def solve_root(self, rounds: int = CUT_ROUNDS) -> tuple[float, Values | None]:
        """Solve as ``solve_node`` does, raising the bound by cuts as long as some are violated."""
        before = self.effort.iterations
        bound, values = self.solve_node()
        budget = CUT_EFFORT * (self.effort.iterations - before) + 1000
        before = self.effort.iterations
        for _ in range(rounds):
            if values is None or self.effort.iterations - before > budget or self.effort.is_spent:
                break
            if not add_violated_cuts(self.master, values):
                break
            try:
                bound, values = self.solve_node()
            except EffortSpent as spent:
                raise EffortSpent(max(bound, spent.bound)) from None
        return bound, values

    def _can_do_without_slacks(self) -> bool:
        """Whether the node has a solution that leaves nothing undone: the slacks alone are made small."""
        master, program = self.master, self.program
        weights, penalty = master.weights, master.penalty
        costs = np.zeros(len(program.keys))
        costs[master.slacks] = 1.0
        master.weights = {}
        program.set_costs(costs)
        try:
            while True:
                before = program.iterations
                if not program.run():
                    return False
                self.effort.count(self.program.iterations - before)
                if undone(master, program.values()) <= TOLERANCE:
                    return True
                _, added = price_out(master, PER_STINT)
                if not added:
                    return False
        finally:
            master.weights = weights
            costs = np.array([master.weigh(figures) for figures in master.figures])
            costs[master.slacks] = penalty
            program.set_costs(costs)

    # the search ----------------------------------------------------------------------------------------

    def search(self, nodes: list[Node], on_node: Callable[[float], None] | None = None) -> float:
        """Search until nothing shows less than the best plan, or the effort is spent.

        Returns
        -------
        float
            A figure that no plan is below. What ties with the best is left in ``ties``.
        """
        heap = list(nodes)
        heapq.heapify(heap)
        number = max((node.number for node in heap), default=0)
        while heap:
            node = heap[0]
            if node.bound > self.better_limit:
                break
            if self.effort.is_spent:
                break
            heapq.heappop(heap)
            if on_node is not None:
                on_node(node.bound)
            self.effort.nodes += 1
            self.go_to(node)
            try:
                bound, values = self.solve_root(2 if self.effort.nodes <= CUT_NODES else 0)
            except EffortSpent as spent:
                node.bound = max(node.bound, spent.bound)
                heapq.heappush(heap, node)
                break
            bound = max(bound, node.bound)
            if values is None:
                continue
            basis = self.program.basis()
            open_columns = self.parted(values)
            if not open_columns:
                self.shown = self.offer_plan(plan_from(self.master, values))
                if bound <= self.better_limit:
                    # The plan shows more than its program says: too large figures for the solver's
                    # tolerance. The part is put aside, and with it the proof.
                    self.effort.in_doubt = True
                    continue
                heapq.heappush(heap, Node(bound, node.number, node.changes, basis))
                continue
            if bound > self.better_limit:
                heapq.heappush(heap, Node(bound, node.number, node.changes, basis))
                continue
            children = self.branch(node, values, bound, basis, open_columns)
            for changes in children:
                number += 1
                heapq.heappush(heap, Node(bound, number, changes, basis))
            if self.effort.nodes in DIVES:
                with contextlib.suppress(EffortSpent):
                    self.dive(Node(bound, node.number, node.changes, basis))
        self.go_to(Node(0.0, 0, {}))
        limit = self.tie_limit
        self.ties = [node for node in heap if node.bound <= limit]
        return min((node.bound for node in heap), default=math.inf)

    def go_to(self, node: Node) -> None:
        """Set the bounds, and the basis where it has one, of a part of the search."""
        program = self.program
        for key in self.set_changes:
            if key not in node.changes:
                column = program.column[key]
                program.set_bounds(column, program.lower[column], program.upper[column])
        for key, bounds in node.changes.items():
            if self.set_changes.get(key) != bounds:
                program.set_bounds(program.column[key], *bounds)
        self.set_changes = dict(node.changes)
        if node.basis is not None:
            program.set_basis(node.basis)

    def dive(self, node: Node) -> None:
        """Look for a plan below a node: fix the fullest content, solve again, and so on down.

        The contents settle what is done when; what is still in parts then (units, orders, tools) is
        rounded up one after the other.
        """
        changes = dict(node.changes)
        self.go_to(Node(node.bound, node.number, changes, node.basis))
        while True:
            bound, values = self.solve_node()
            if values is None or bound > self.better_limit:
                return
            open_columns = self.parted(values)
            if not open_columns:
                self.shown = self.offer_plan(plan_from(self.master, values))
                return
            fixed = self._fullest(values, changes) or self._rounded_up(values, open_columns)
            changes |= fixed
            self.go_to(Node(bound, node.number, changes))

    def _fullest(self, values: Values, changes: Changes) -> Changes:
        """Bounds that put the jobs of the fullest contents, not yet fixed, into their stints."""
        parts = sorted(
            (-float(values[column]), column)
            for column in self.master.contents
            if column < len(values) and values[column] > TOLERANCE
        )
        fixed: Changes = {}
        for share, column in parts:
            if fixed and -share < FULL_ENOUGH:
                break
            new = self._put_into_stint(*self.master.contents[column])
            if any(changes.get(key, fixed.get(key)) != bounds for key, bounds in new.items()) and not any(
                fixed.get(key, bounds) != bounds for key, bounds in new.items()
            ):
                fixed |= new
        return fixed

    def _put_into_stint(self, stint: int, picks: tuple[int, ...]) -> Changes:
        fixed: Changes = {}
        for b, pick in enumerate(picks):
            if pick >= 0:
                block = self.master.blocks.blocks[b]
                for at, job in enumerate(block.jobs):
                    if int(block.masks[pick]) >> at & 1:
                        data = self.master.reduced.jobs[job]
                        for other in range(data.first, data.last + 1):
                            level = float(other >= stint)
                            fixed["done", job, other] = (level, level)
        return fixed

    def _rounded_up(self, values: Values, open_columns: list[tuple[int, float]]) -> Changes:
        """Bounds that round the largest part up to a whole."""
        column, part = max(open_columns, key=lambda item: (item[1], -item[0]))
        return {self.program.keys[column]: (round(values[column] - part) + 1.0, self._bounds(column)[1])}

    # branching -----------------------------------------------------------------------------------------

    def branch(
        self,
        node: Node,
        values: Values,
        bound: float,
        basis: highspy.HighsBasis,
        open_columns: list[tuple[int, float]],
    ) -> list[Changes]:
        """The bounds of the two parts that a node falls into."""
        reach = max(min(self.tie_limit, bound + 1e5) - bound, 1.0)
        column, part = self.trials.choose(values, bound, basis, open_columns, reach)
        key = self.program.keys[column]
        floor = round(values[column] - part)
        low, high = self._bounds(column)
        return [{**node.changes, key: (low, floor)}, {**node.changes, key: (floor + 1, high)}]

    def parted(self, values: Values) -> list[tuple[int, float]]:
        """Columns that are not whole; of a job's stints with the same fraction only one."""
        seen: set[Key] = set()
        result = []
        for column, part in parted(self.master, values):
            low, high = self._bounds(column)
            key = self.program.keys[column]
            like: Key = ("done", key[1], round(part, 4)) if key[0] == "done" else key
            if low < high and like not in seen:
                seen.add(like)
                result.append((column, part))
        return result

    def _bounds(self, column: int) -> tuple[float, float]:
        return self.set_changes.get(
            self.program.keys[column], (self.program.lower[column], self.program.upper[column])
        )
