"""Large workshops: purchases and work bound one another in turn.

What is bought and what is done when are tied only by which jobs are done by when. Either side alone is
tractable: the purchases as an integer program, the work as a linear program over contents. So the two take
turns (J. F. Benders, "Partitioning procedures for solving mixed-variables programming problems", Numerische
Mathematik 4, 1962; reference from memory): the purchases are chosen whole, against what the work is known to
cost at least; with these purchases, the work's program is solved, and its prices say of every other way to
spread the jobs what the work costs at least. The figure of the purchases' program is a bound of the whole,
and far above that of one linear program for both.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field

import highspy
import numpy as np

from onceapart.planning.solve.cuts import add_violated_cuts
from onceapart.planning.solve.effort import Effort
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.price_out import price_out
from onceapart.planning.solve.program import INF
from onceapart.planning.solve.tree import PER_STINT, Changes, Node, Tree
from onceapart.planning.solve.trials import Values

PURCHASES = frozenset({"buy", "extra", "pays", "free", "order"})
TURNS = 40
"""Turns the two sides take at most in one part of the search."""
CLOSE = 2e-4
"""The two sides have met when they differ by no more than this part of what all costs."""
MARGIN = 0.05
"""What the tolerances of the purchases' program can hide. [minor units]"""
ROOT_CUTS, PART_CUTS = 12, 2
"""Times cuts are looked for, once the sides have met, at the root and in other parts."""


class Purchases:
    """The purchases as an integer program, with what the work is known to cost at least.

    It is the master without contents: how much of a job is in a slot is then what its rows lack.
    """

    def __init__(self, master: Master, effort: Effort) -> None:
        self.master, self.effort = master, effort
        bare = Master(
            master.reduced,
            master.blocks,
            master.weights,
            live=frozenset(offer.id for offer in master.offers),
            penalty=0.0,
            apart=True,
            slots=master.slots,
        )
        self.program = program = bare.program
        self.work = program.add_column(("work",), 1.0, -1e12)
        self.inside = {
            key[1:]: at for at, key in enumerate(program.keys) if key[0] == "slack" and len(key) == 3
        }
        n = len(program.keys)
        costs = np.zeros(n)
        for at, key in enumerate(program.keys):
            if key[0] in PURCHASES:
                costs[at] = bare.weigh(bare.figures[at])
        costs[self.work] = 1.0
        program.set_costs(costs)
        kinds = highspy.HighsVarType
        whole = [key[0] in PURCHASES or key[0] == "done" for key in program.keys]
        types = np.array([kinds.kInteger if at else kinds.kContinuous for at in whole])
        program.highs.changeColsIntegrality(n, np.arange(n, dtype=np.int32), types)
        for option, value in (("presolve", "on"), ("mip_rel_gap", CLOSE / 2), ("mip_max_nodes", 200)):
            program.highs.setOptionValue(option, value)
        self.rows: list[tuple[int, float]] = []
        self.active: set[int] = set()
        self.changes: Changes = {}

    def add_prices(self, below: float) -> int:
        """Add what the work's solved program says about its cost; the number of the row."""
        master = self.master
        duals, values = master.program.row_duals(), master.program.values()
        least = below - 1e-3
        for column, key in enumerate(master.program.keys):
            if values[column] and key[0] not in PURCHASES:
                least += float(values[column]) * (
                    master.penalty if key[0] == "slack" else master.weigh(master.figures[column])
                )
        terms = [(self.work, 1.0)]
        for (job, slot), row in master.link.items():
            price = float(duals[row])
            if price:
                terms.append((self.inside[job, slot], price))
                least += price * master.part_inside(values, job, slot)
        row = self.program.add_row(least, INF, terms)
        self.rows.append((row, least))
        self.active.add(len(self.rows) - 1)
        return len(self.rows) - 1

    def go_to(self, changes: Changes, rows: set[int]) -> None:
        """Set the bounds of a part of the search, and the rows that hold in it."""
        program = self.program
        new = {
            key: bounds for key, bounds in changes.items() if key[0] in ("done", "in") or key[0] in PURCHASES
        }
        for key in self.changes.keys() | new.keys():
            column = program.column[key]
            program.set_bounds(column, *new.get(key, (program.lower[column], program.upper[column])))
        self.changes = new
        for at in self.active ^ rows:
            row, least = self.rows[at]
            program.highs.changeRowBounds(row, least if at in rows else -INF, INF)
        self.active = set(rows)

    def solve(self) -> tuple[float, Changes | None]:
        """The bound, and the purchases as bounds of the master; None where there are none to be had."""
        highs = self.program.highs
        left = self.effort.seconds_left
        if left is not None:
            highs.setOptionValue("time_limit", highs.getRunTime() + left)
        highs.run()
        info = highs.getInfo()
        self.effort.count(max(0, info.simplex_iteration_count))
        if info.primal_solution_status != 2:  # no feasible point
            infeasible = highs.getModelStatus() == highspy.HighsModelStatus.kInfeasible
            return (INF if infeasible else float(info.mip_dual_bound)), None
        values = self.program.values()
        bought: Changes = {}
        for key, column in self.program.column.items():
            if key[0] in PURCHASES:
                amount = float(round(values[column]))
                bought[key] = (amount, amount)
        return float(info.mip_dual_bound), bought


@dataclass(order=True)
class Part:
    """A part of the search: bounds on columns of the work, and the rows about its cost that hold there."""

    bound: float
    number: int
    changes: Changes = field(compare=False)
    rows: set[int] = field(compare=False)


class Sides:
    """The search. ``tree`` is over the work's program, which is the master with purchases set."""

    def __init__(self, tree: Tree, on_turn: Callable[[int, float], None]) -> None:
        self.tree, self.master, self.effort = tree, tree.master, tree.effort
        self.on_turn = on_turn
        self.purchases = Purchases(tree.master, tree.effort)
        self.turns = 0
        self.most_bought: Changes = {}
        self.close = 1.0

    def search(self, bound: float) -> float:
        """Search from the master as solved until the effort is spent; a figure that no plan is below."""
        tree = self.tree
        heap = [Part(bound, 0, {}, {self.purchases.add_prices(0.0)})]
        closed = INF
        number = 0
        while heap and not self.effort.is_spent:
            if min(heap[0].bound, closed) > tree.better_limit or heap[0].bound >= closed:
                break
            part = heapq.heappop(heap)
            self.effort.nodes += 1
            values = self._met(part)
            if self.effort.stopped:
                heapq.heappush(heap, part)
                break
            if part.bound > tree.better_limit:
                closed = min(closed, part.bound)
                continue
            if values is not None:
                basis, objective = tree.program.basis(), tree.program.objective
                tree.go_to(Node(part.bound, 0, {**part.changes, **self.set_purchases}, basis))
            open_columns = [] if values is None else tree.parted(values)
            if not open_columns:
                # Nothing to branch on: contents in parts, or purchases that leave the work no room.
                closed = min(closed, part.bound)
                continue
            assert values is not None
            node = Node(part.bound, 0, dict(part.changes))
            for changes in tree.branch(node, values, objective, basis, open_columns):
                number += 1
                heapq.heappush(heap, Part(part.bound, number, changes, set(part.rows)))
        tree.go_to(Node(0.0, 0, {}))
        return min([closed, *(part.bound for part in heap)])

    def _met(self, part: Part) -> Values | None:
        """Let the sides take turns until they meet: the work's solution then; None where they did not."""
        tree, master = self.tree, self.master
        cuts = PART_CUTS if part.changes else ROOT_CUTS
        for _ in range(TURNS):
            self.purchases.go_to(part.changes, part.rows)
            low, bought = self.purchases.solve()
            part.bound = max(part.bound, low - MARGIN - 1e-6 * abs(low))
            if bought is None or part.bound > tree.better_limit or self.effort.is_spent:
                return None
            self.close = CLOSE * abs(low) + 1.0
            for key, (_, amount) in bought.items():
                self.most_bought[key] = (0.0, max(amount, self.most_bought.get(key, (0.0, 0.0))[1]))
            self.set_purchases = bought
            tree.go_to(Node(part.bound, 0, {**part.changes, **bought}))
            below = self._solve_work()
            if below is None:
                return None
            if tree.program.objective - low <= self.close:
                if not cuts or not add_violated_cuts(master, tree.program.values()):
                    return tree.program.values()
                cuts -= 1
                below = self._solve_work()
                if below is None:
                    return None
            part.rows.add(self.purchases.add_prices(below))
            if not part.changes and not self._look_between(part):
                return None
            self.turns += 1
            self.on_turn(self.turns, part.bound)
        return None

    def _look_between(self, part: Part) -> bool:
        """Learn what the work costs, too, where all is bought in parts that was bought whole so far."""
        self.tree.go_to(Node(part.bound, 0, {**self.most_bought, **part.changes}))
        below = self._solve_work()
        if below is not None:
            part.rows.add(self.purchases.add_prices(below))
        return below is not None

    @property
    def bought(self) -> frozenset[str]:
        """Offers bought in some part of the search so far."""
        return frozenset(
            str(key[1]) for key, (_, most) in self.most_bought.items() if key[0] == "buy" and most
        )

    def _solve_work(self) -> float | None:
        """Solve over all contents; what pricing leaves below the solution. None where it has none."""
        while True:
            before = self.tree.program.iterations
            if not self.tree.program.run():
                return None
            self.effort.count(self.tree.program.iterations - before)
            below, added = price_out(self.master, PER_STINT)
            if not added or self.effort.is_spent:
                return below
