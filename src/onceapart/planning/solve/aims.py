"""The best plan for an aim: phase after phase, with the search's first part shared."""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Iterable
from dataclasses import replace

from onceapart.planning.answer import Answer, Progress, ProgressCall
from onceapart.planning.cost import cost, ranking
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.patterns import Blocks, blocks_of
from onceapart.planning.plan import Aim, Plan, Status, plan_of
from onceapart.planning.reduce import Reduced, reduce_workload
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve.combine import combined_plan, patterns_in_use
from onceapart.planning.solve.effort import Effort, EffortSpent
from onceapart.planning.solve.frame import Weights
from onceapart.planning.solve.master import Master
from onceapart.planning.solve.phases import Phase, phases_of
from onceapart.planning.solve.rebuild import narrowed, rebuilt, trimmed
from onceapart.planning.solve.sides import Sides
from onceapart.planning.solve.slots import alike_slots
from onceapart.planning.solve.tree import Node, Tree
from onceapart.planning.workload import Workload

PATTERNS_TOGETHER = 60_000
"""Up to so many patterns a column holds a stint's whole content. Beyond, it holds one block's part: the
bound is a little weaker (0.1 % on made-up workshops of 80 jobs), the linear programs five times quicker."""
MORE_PATTERNS = 600
USUAL_WORK = 400_000
"""Simplex iterations that a person is asked to wait for: all that was measured with up to 40 jobs is
proven in less, and 80 jobs are stopped after some minutes."""
COMBINE_AFTER = frozenset({150, 600, 2000, 6000})
"""Counts of nodes after which plans are put together from all patterns found so far."""
COMBINE_AFTER_TURNS = frozenset({5, 9, 24, 96, 384})
"""The same by turns that purchases and work have taken."""


def first_patterns(jobs: int) -> int:
    """How many patterns the first plan is put together from; few give as good a plan, sooner."""
    return 100 + 5 * jobs if jobs <= 50 else 11 * jobs


class Search:
    """The search for one aim on one reduced workload."""

    def __init__(
        self, workload: Workload, aim: Aim, effort: Effort, progress: ProgressCall | None = None
    ) -> None:
        self.workload, self.aim, self.effort, self.progress = workload, aim, effort, progress
        self.phases = phases_of(aim, workload)
        self.best: Plan | None = None
        self.best_rank: tuple[int, ...] | None = None

    def offer(self, plan: Plan | None) -> None:
        """Keep a plan if it keeps the rules and ranks before the best so far."""
        if plan is None or broken_rules(self.workload, plan):
            return
        rank = ranking(self.workload, plan, self.aim)
        if self.best_rank is None or rank < self.best_rank:
            self.best, self.best_rank = plan, rank

    def shown(self, phase: Phase) -> int | None:
        """What the best plan shows in a phase."""
        return None if self.best_rank is None else self.best_rank[phase.place]

    def run(self, reduced: Reduced, blocks: Blocks) -> tuple[bool, float, str]:
        """Search through all phases.

        Returns
        -------
        (bool, float, str)
            Whether the best plan is proven best in every figure (or that there is none), the bound, and
            the name of the figure it is a bound of.
        """
        limits: list[tuple[Weights, float]] = []
        tree: Tree | None = None
        for phase in self.phases:
            if tree is None:
                bound, tree = self._first_phase(phase, reduced, blocks)
            else:
                bound, tree = self._later_phase(phase, tree, limits)
            if self.best is None:
                return not (self.effort.stopped or self.effort.in_doubt), bound, phase.name
            shown = self.shown(phase)
            assert shown is not None
            assert self.best_rank is not None
            if self.effort.stopped or self.effort.in_doubt:
                if self._total() in self.phases[: self.phases.index(phase)]:
                    # Only ties were left to break: the total is the best there is.
                    return False, float(self.best_rank[self._total().place]), "total"
                return False, bound, phase.name
            limits.append((phase.weights, phase.ties(shown)))
        assert self.best_rank is not None
        return True, float(self.best_rank[self._total().place]), "total"

    def _total(self) -> Phase:
        return next(phase for phase in self.phases if phase.name == "total")

    def _penalty(self, phase: Phase) -> float:
        """More than a job can plausibly cost in a phase; it need not be more for the result to be right."""
        if self.best is None:
            return 1e5
        price = cost(self.workload, self.best)
        figure = {"money": price.money, "minutes": price.minutes}.get(phase.name, price.money + price.time)
        return float(max(figure, 1000))

    def _say(self, stage: str, bound: float | None) -> None:
        if self.progress is not None:
            best = None if self.best_rank is None else float(self.best_rank[0])
            self.progress(Progress(stage, best, bound, self.effort.nodes))

    def _tree(self, master: Master, phase: Phase) -> Tree:
        def offer_plan(plan: Plan) -> int | None:
            self.offer(plan)
            return self.shown(phase)

        return Tree(master, phase, self.shown(phase), offer_plan, self.effort)

    def _first_phase(self, phase: Phase, reduced: Reduced, blocks: Blocks) -> tuple[float, Tree]:
        self._say("root", None)
        apart = sum(len(block.masks) for block in blocks.blocks) > PATTERNS_TOGETHER
        by_sides = apart and not reduced.stands  # what stands between stints tells them apart
        low = self._by_sides(phase, reduced, blocks) if by_sides else -math.inf
        if self.effort.stopped and self.best is not None:
            return low, self._tree(Master(reduced, blocks, phase.weights, apart=apart), phase)
        master = Master(reduced, blocks, phase.weights, penalty=self._penalty(phase), apart=apart)
        master.add_single_jobs()
        tree = self._tree(master, phase)
        try:
            bound, values = tree.solve_root()
        except EffortSpent as spent:
            return max(low, spent.bound), tree
        if values is None:
            return bound, tree
        self._say("root", bound)
        root = Node(bound, 0, {}, master.program.basis())
        if not by_sides or self.best is None:
            patterns = patterns_in_use(master, first_patterns(len(reduced.jobs)))
            left = self.effort.seconds_left
            self.offer(combined_plan(master, patterns, gap=0.02, nodes=30, seconds=left))
        tree.shown = self.shown(phase)
        self._say("root", bound)
        # Trimming reads reduced costs: they must be the root's, whatever was looked at in between.
        tree.go_to(root)
        try:
            bound, values = tree.solve_node()
        except EffortSpent as spent:
            return max(low, bound, spent.bound), tree
        if values is None:
            return bound, tree
        if tree.shown is not None:
            master = trimmed(master, tree.tie_limit - bound)
            tree = self._tree(master, phase)
        bound = tree.search([Node(max(low, bound), 0, {})], lambda at: self._during(tree, phase, at))
        return bound, tree

    def _by_sides(self, phase: Phase, reduced: Reduced, blocks: Blocks) -> float:
        """A plan and a bound of a large workshop: stints that are alike put together, purchases whole."""
        slots = alike_slots(reduced, reduced.offers)
        master = Master(reduced, blocks, phase.weights, penalty=self._penalty(phase), apart=True, slots=slots)
        master.add_single_jobs()
        tree = self._tree(master, phase)
        tree.shown = None
        try:
            bound, values = tree.solve_root()
        except EffortSpent as spent:
            return spent.bound
        if values is None:
            return bound
        self._say("root", bound)

        def on_turn(turns: int, low: float) -> None:
            self._say("sides", low)
            if turns in COMBINE_AFTER_TURNS:
                patterns = patterns_in_use(master, first_patterns(len(reduced.jobs)))
                left, live = self.effort.seconds_left, sides.bought
                self.offer(combined_plan(master, patterns, live=live, gap=0.003, nodes=30, seconds=left))
                tree.shown = self.shown(phase)
                self._say("sides", low)

        sides = Sides(tree, on_turn)
        # What ties with the best plan, be it that plan alone, is not to be lost to rounding.
        return min(sides.search(bound), tree.tie_limit)

    def _during(self, tree: Tree, phase: Phase, bound: float) -> None:
        self._say(phase.name, bound)
        if self.effort.nodes in COMBINE_AFTER:
            patterns = patterns_in_use(tree.master, MORE_PATTERNS)
            left = self.effort.seconds_left
            self.offer(combined_plan(tree.master, patterns, gap=0.005, nodes=100, seconds=left))
            tree.shown = self.shown(phase)

    def _later_phase(
        self,
        phase: Phase,
        tree: Tree,
        limits: Iterable[tuple[Weights, float]],
    ) -> tuple[float, Tree]:
        nodes, allowed = narrowed(tree)
        master = rebuilt(
            tree.master, phase.weights, limits=limits, penalty=self._penalty(phase), allowed=allowed
        )
        tree = self._tree(master, phase)
        start = [Node(-math.inf, at, node.changes) for at, node in enumerate(nodes)]
        if len(start) == 1:
            tree.go_to(start[0])
            with contextlib.suppress(EffortSpent):
                tree.solve_root()
        bound = tree.search(start, lambda low: self._say(phase.name, low))
        return bound, tree


def best_plan(
    workload: Workload,
    aim: Aim = Aim.BALANCE,
    *,
    work_limit: int | None = None,
    seconds: float | None = None,
    progress: ProgressCall | None = None,
) -> Answer:
    """The best plan of a workload for an aim, with the proof of how good it is.

    Parameters
    ----------
    workload : Workload
    aim : Aim
    work_limit : int, optional
        Simplex iterations after which to stop with the best plan so far. The same limit gives the same
        plan on every run.
    seconds : float, optional
        The same by the clock. [s] Another day may give another plan.
    progress : callable, optional
        Called with a ``Progress`` now and then. KeyboardInterrupt raised while searching stops it, and the
        best plan so far is the answer.

    Returns
    -------
    Answer
        ``proven``: no plan ranks before it (``cost.ranking``). ``good``: stopped before. ``impossible``: no
        plan keeps the rules; ``why`` then says at least why, ``planning.conflict`` finds a smallest set.
    """
    until = None if seconds is None else time.monotonic() + seconds
    effort = Effort(most=work_limit, until=until)
    reduced = reduce_workload(workload)
    if reduced.impossible:
        return Answer(aim, Status.IMPOSSIBLE, why=reduced.impossible)
    return _solve(workload, reduced, aim, effort, progress)


def _solve(
    workload: Workload, reduced: Reduced, aim: Aim, effort: Effort, progress: ProgressCall | None
) -> Answer:
    if not reduced.jobs and not reduced.stands:
        search = Search(workload, aim, effort)
        search.offer(plan_of(workload, [()] * len(workload.stints), {}))
        return _answer(search, True, 0.0, "total")
    blocks = blocks_of(reduced)
    first = greedy_plan(workload)
    if aim is Aim.SOONEST:
        return _soonest(workload, reduced, blocks, first, effort, progress)
    search = Search(workload, aim, effort, progress)
    search.offer(first)
    return _answer(search, *_guarded(search, reduced, blocks))


def _guarded(search: Search, reduced: Reduced, blocks: Blocks) -> tuple[bool, float, str]:
    try:
        return search.run(reduced, blocks)
    except KeyboardInterrupt:
        search.effort.stopped = True
        if search.best is None:
            raise
        return False, -math.inf, search.phases[0].name


def _soonest(
    workload: Workload,
    reduced: Reduced,
    blocks: Blocks,
    first: Plan | None,
    effort: Effort,
    progress: ProgressCall | None,
) -> Answer:
    """Earliest ready date first: last days are put back until they can be kept, then the rest is made small.

    Whether a date can be kept only gets easier with later dates, so the first that can is the best.
    """
    musts = [job for job in reduced.jobs if job.is_must]
    earliest = max((job.first for job in musts), default=0)
    waiting = {workload.job[job.id].car for job in musts}
    ends = list(range(earliest, len(reduced.room))) or [0]
    for end in ends:
        day = workload.stints[end].date if workload.stints else workload.today
        if end + 1 < len(workload.stints) and workload.stints[end + 1].date == day:
            continue  # two stints on one day: the later one stands for both
        jobs = tuple(replace(job, last=min(job.last, end)) if job.is_must else job for job in reduced.jobs)
        stands = tuple(
            replace(stand, over=tuple(over and at < end for at, over in enumerate(stand.over)))
            if stand.car in waiting
            else stand
            for stand in reduced.stands
        )
        search = Search(workload, Aim.SOONEST, effort, progress)
        search.offer(first)
        if search.best_rank is not None and search.best_rank[0] > day.toordinal():
            search.best, search.best_rank = None, None
        is_proven, bound, of = _guarded(search, replace(reduced, jobs=jobs, stands=stands), blocks)
        if search.best is not None:
            return _answer(search, is_proven, bound, of)
        if effort.stopped:
            break
    fallback = Search(workload, Aim.SOONEST, effort, progress)
    fallback.offer(first)
    ready = float(workload.stints[ends[0]].date.toordinal()) if workload.stints else 0.0
    return _answer(fallback, not effort.stopped and first is None, ready, "ready")


def _answer(search: Search, is_proven: bool, bound: float, of: str) -> Answer:
    work = {
        "nodes": search.effort.nodes,
        "programs": search.effort.solves,
        "iterations": search.effort.iterations,
    }
    if search.best is None:
        status = Status.IMPOSSIBLE if is_proven else Status.GOOD
        why = ("no plan keeps all the rules",) if is_proven else ("stopped before a plan was found",)
        return Answer(search.aim, status, why=why, work=work)
    price = cost(search.workload, search.best)
    if is_proven:
        return Answer(
            search.aim, Status.PROVEN, search.best, price, bound=price.total, bound_of="total", work=work
        )
    shown_bound = price.total if math.isinf(bound) and bound > 0 else bound
    figure = -(10**12) if math.isinf(shown_bound) else _least_shown(shown_bound, of)
    return Answer(search.aim, Status.GOOD, search.best, price, bound=figure, bound_of=of, work=work)


def _least_shown(bound: float, of: str) -> int:
    """The least a whole figure can show where the exact one is not below ``bound``; totals are rounded."""
    return math.floor(bound - 1e-4 + 0.5) if of == "total" else math.ceil(bound - 1e-4)
