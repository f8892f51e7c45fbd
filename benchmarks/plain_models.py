"""The planning problem written straight down, and handed to CP-SAT and to HiGHS.

Two independent solvers for tests and benchmarks. The nine rules of the workshop file's planning problem are
stated once, as linear rows over whole numbers, one small function per rule; no cleverness, so that they
can be checked by reading. Nothing of `onceapart.planning` is used but the data classes and, to judge and
read back what the solvers say, `plan_of`, `cost` and `ranking`.
"""

from __future__ import annotations

import time
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

import highspy
import numpy as np
from ortools.sat.python import cp_model

from onceapart.planning.plan import Aim, Plan, plan_of
from onceapart.planning.workload import Workload

Name = tuple[object, ...]
Terms = dict[Name, int]


@dataclass
class Rows:
    """Whole-number columns from 0 to ``upper``, and rows ``low <= terms <= high`` over them."""

    upper: dict[Name, int] = field(default_factory=dict)
    rows: list[tuple[Terms, int | None, int | None]] = field(default_factory=list)

    def column(self, *name: object, upper: int = 1) -> None:
        self.upper[name] = upper

    def at_most(self, terms: Terms, high: int) -> None:
        self.rows.append((terms, None, high))

    def at_least(self, terms: Terms, low: int) -> None:
        self.rows.append((terms, low, None))

    def equal(self, terms: Terms, value: int) -> None:
        self.rows.append((terms, value, value))

    def implies(self, one: Name, other: Name) -> None:
        """If ``one`` (0 or 1) holds, ``other`` does."""
        self.at_most({one: 1, other: -1}, 0)


@dataclass(frozen=True)
class Figure:
    """One of the figures plans are ranked by: ``terms`` / ``scale``, rounded half up."""

    name: str
    terms: Terms
    scale: int = 1

    def rounded(self, value: int) -> int:
        return (2 * value + self.scale) // (2 * self.scale)

    def largest(self, rounded: int) -> int:
        """Largest value of the terms that still rounds to this."""
        return (2 * self.scale * rounded + self.scale - 1) // 2


def units_that_can_help(workload: Workload) -> dict[str, int]:
    """Most units of each offer that a best plan can hold, for any aim.

    Of each part no more pieces can be used than all jobs name, less the shelf; a unit beyond the last
    one with a usable piece serves only to bring the goods to ``free_from``. Leaving all such units of an
    offer away costs at most the delivery, so they are worth less than that: if they cost as much, the plan
    without them costs no more and has fewer spare pieces.
    """
    named = Counter[str]()
    for job in workload.jobs:
        named.update(job.parts)
    most = {}
    for offer in workload.offers:
        usable = 0
        for part, pieces in offer.parts.items():
            missing = max(0, named[part] - workload.shelf.get(part, 0))
            usable = max(usable, -(-missing // pieces))
        seller = workload.seller[offer.seller]
        if seller.free_from is not None and offer.price > 0:
            usable += seller.delivery // offer.price
        most[offer.id] = usable if offer.limit is None else min(usable, offer.limit)
    return most


def rows_of(workload: Workload) -> Rows:
    """The nine rules."""
    model = Rows()
    _columns(model, workload)
    _done_as_often_as_allowed(model, workload)
    _done_in_time(model, workload)
    _access_open(model, workload)
    _aftercare_carried_out(model, workload)
    _stints_long_enough(model, workload)
    _in_order(model, workload)
    _parts_there(model, workload)
    _delivery_paid(model, workload)
    _tools_there(model, workload)
    return model


def _columns(model: Rows, workload: Workload) -> None:
    for at, _ in enumerate(workload.stints):
        for job in workload.jobs:
            model.column("do", job.id, at)
        for access in workload.access:
            model.column("open", access.id, at)
        for care in workload.aftercare:
            model.column("care", care.id, at)
        for tool in workload.tools:
            if not tool.have:
                model.column("hire", tool.id, at, upper=0 if tool.hire is None else 1)
    for tool in workload.tools:
        if not tool.have:
            model.column("own", tool.id, upper=0 if tool.buy is None else 1)
    for offer_id, most in units_that_can_help(workload).items():
        model.column("buy", offer_id, upper=most)
    for seller in workload.sellers:
        model.column("order", seller.id)
        model.column("pay", seller.id)
        model.column("free", seller.id, upper=0 if seller.free_from is None else 1)


def _done_as_often_as_allowed(model: Rows, workload: Workload) -> None:
    for job in workload.jobs:
        times = {("do", job.id, at): 1 for at, _ in enumerate(workload.stints)}
        if job.is_must:
            model.equal(times, 1)
        else:
            model.at_most(times, 1)


def _done_in_time(model: Rows, workload: Workload) -> None:
    for job in workload.jobs:
        for at, stint in enumerate(workload.stints):
            if job.last_day is not None and stint.date > job.last_day:
                model.upper["do", job.id, at] = 0


def _access_open(model: Rows, workload: Workload) -> None:
    for at, _ in enumerate(workload.stints):
        for job in workload.jobs:
            for access_id in job.access:
                model.implies(("do", job.id, at), ("open", access_id, at))
        for access in workload.access:
            for under in access.under:
                model.implies(("open", access.id, at), ("open", under, at))


def _aftercare_carried_out(model: Rows, workload: Workload) -> None:
    for at, _ in enumerate(workload.stints):
        for job in workload.jobs:
            for care in job.aftercare:
                model.implies(("do", job.id, at), ("care", care, at))
        for access in workload.access:
            for care in access.aftercare:
                model.implies(("open", access.id, at), ("care", care, at))


def _minutes(workload: Workload, at: int) -> Terms:
    return {
        **{("do", job.id, at): job.minutes for job in workload.jobs},
        **{("open", access.id, at): access.minutes for access in workload.access},
        **{("care", care.id, at): care.minutes for care in workload.aftercare},
    }


def _stints_long_enough(model: Rows, workload: Workload) -> None:
    for at, stint in enumerate(workload.stints):
        model.at_most(_minutes(workload, at), stint.minutes)


def _in_order(model: Rows, workload: Workload) -> None:
    for job in workload.jobs:
        for before in job.after:
            for at, _ in enumerate(workload.stints):
                done_by_then: Terms = {("do", before, earlier): -1 for earlier in range(at + 1)}
                model.at_most({("do", job.id, at): 1, **done_by_then}, 0)


def _parts_there(model: Rows, workload: Workload) -> None:
    for part in sorted({part for job in workload.jobs for part in job.parts}):
        for at, stint in enumerate(workload.stints):
            have: Terms = {
                ("buy", offer.id): offer.parts[part]
                for offer in workload.offers
                if part in offer.parts and offer.arrives <= stint.date
            }
            used: Terms = {
                ("do", job.id, earlier): -job.parts[part]
                for job in workload.jobs
                if part in job.parts
                for earlier in range(at + 1)
            }
            model.at_least({**have, **used}, -workload.shelf.get(part, 0))


def _delivery_paid(model: Rows, workload: Workload) -> None:
    for offer in workload.offers:
        most = model.upper["buy", offer.id]
        model.at_most({("buy", offer.id): 1, ("order", offer.seller): -most}, 0)
    for seller in workload.sellers:
        model.at_most({("order", seller.id): 1, ("pay", seller.id): -1, ("free", seller.id): -1}, 0)
        if seller.free_from is not None:
            goods: Terms = {("buy", o.id): o.price for o in workload.offers if o.seller == seller.id}
            model.at_least({**goods, ("free", seller.id): -seller.free_from}, 0)


def _tools_there(model: Rows, workload: Workload) -> None:
    for at, _ in enumerate(workload.stints):
        for kind, users in (("do", workload.jobs), ("open", workload.access)):
            for user in users:
                for name in user.tools:
                    if not workload.tool[name].have:
                        had: Terms = {("hire", name, at): -1, ("own", name): -1}
                        model.at_most({(kind, user.id, at): 1, **had}, 0)


def figures_of(model: Rows, workload: Workload, aim: Aim, *, tie_breaks: bool) -> list[Figure]:
    """What plans are compared by, first figure first; adds the columns and rows the figures need."""
    stints = range(len(workload.stints))
    minutes: Terms = {}
    for at in stints:
        minutes |= _minutes(workload, at)
    money: Terms = {("buy", offer.id): offer.price for offer in workload.offers}
    money |= {("pay", seller.id): seller.delivery for seller in workload.sellers}
    money |= {("care", care.id, at): care.price for care in workload.aftercare for at in stints}
    for tool in workload.tools:
        if not tool.have:
            money["own", tool.id] = tool.buy or 0
            money |= {("hire", tool.id, at): tool.hire or 0 for at in stints}
    total = Counter[Name]()
    total.update({name: 60 * price for name, price in money.items()})
    total.update({name: workload.hour_worth * length for name, length in minutes.items()})
    total.subtract({("do", job.id, at): 60 * job.worth for job in workload.jobs for at in stints})
    figures = [Figure("total", dict(total), scale=60)]
    if aim is Aim.THRIFT:
        figures.insert(0, Figure("money", money))
    elif aim is Aim.LEAST_WORK:
        figures.insert(0, Figure("minutes", minutes))
    elif aim is Aim.SOONEST:
        figures.insert(0, _ready_day(model, workload))
    if tie_breaks:
        figures.append(Figure("orders", {("order", seller.id): 1 for seller in workload.sellers}))
        figures.append(_spare_pieces(model, workload))
        days = [(stint.date - workload.today).days for stint in workload.stints]
        figures.append(
            Figure("days", {("do", job.id, at): days[at] for job in workload.jobs for at in stints})
        )
    return figures


def _ready_day(model: Rows, workload: Workload) -> Figure:
    """Place of the date, among the dates of stints, on which the last job that must be done is done."""
    dates = sorted({stint.date for stint in workload.stints})
    model.column("ready", upper=max(0, len(dates) - 1))
    for job in workload.jobs:
        for at, stint in enumerate(workload.stints):
            if job.is_must:
                model.at_most({("do", job.id, at): dates.index(stint.date), ("ready",): -1}, 0)
    return Figure("ready", {("ready",): 1})


def _spare_pieces(model: Rows, workload: Workload) -> Figure:
    """Pieces bought, less those used beyond the shelf's (``beyond``)."""
    terms = Counter[Name]()
    for offer in workload.offers:
        terms["buy", offer.id] += sum(offer.parts.values())
    for part in sorted({part for offer in workload.offers for part in offer.parts}):
        named: Terms = {
            ("do", job.id, at): -job.parts[part]
            for job in workload.jobs
            if part in job.parts
            for at, _ in enumerate(workload.stints)
        }
        most = sum(job.parts.get(part, 0) for job in workload.jobs)
        shelf = workload.shelf.get(part, 0)
        model.column("beyond", part, upper=most)
        model.column("past-shelf", part)
        model.at_most({("beyond", part): 1, ("past-shelf", part): -most}, 0)
        model.at_most({("beyond", part): 1, **named, ("past-shelf", part): shelf}, 0)
        terms["beyond", part] -= 1
    return Figure("spare", dict(terms))


@dataclass(frozen=True)
class PlainAnswer:
    """What a plain model found. ``bound`` is of the last figure asked for, in its own unit."""

    status: str  # proven | good | impossible | unknown
    plan: Plan | None
    bound: float
    seconds: float


def _read_back(workload: Workload, value: Mapping[Name, int]) -> Plan:
    jobs_in: list[list[str]] = [[] for _ in workload.stints]
    for job in workload.jobs:
        for at, jobs in enumerate(jobs_in):
            if value["do", job.id, at]:
                jobs.append(job.id)
    return plan_of(workload, jobs_in, {offer.id: value["buy", offer.id] for offer in workload.offers})


def solve_with_cp_sat(
    workload: Workload,
    aim: Aim = Aim.BALANCE,
    *,
    tie_breaks: bool = False,
    seconds: float = 60,
    workers: int = 1,
    seed: int = 1,
) -> PlainAnswer:
    """Minimise the figures of the aim one after the other, with the tie-breaks too if wanted. All exact."""
    started = time.perf_counter()
    rows = rows_of(workload)
    figures = figures_of(rows, workload, aim, tie_breaks=tie_breaks)
    model = cp_model.CpModel()
    column = {
        name: model.new_int_var(0, upper, "/".join(map(str, name))) for name, upper in rows.upper.items()
    }

    def sum_of(terms: Terms) -> cp_model.LinearExprT:
        return sum(column[name] * factor for name, factor in terms.items() if factor)

    infinity = 2**40
    for terms, low, high in rows.rows:
        model.add_linear_constraint(
            sum_of(terms), -infinity if low is None else low, infinity if high is None else high
        )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    bound, plan = 0.0, None
    for figure in figures:
        left = seconds - (time.perf_counter() - started)
        solver.parameters.max_time_in_seconds = max(0.01, left)
        model.minimize(sum_of(figure.terms))
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE and plan is None:
            return PlainAnswer("impossible", None, 0, time.perf_counter() - started)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return PlainAnswer("good" if plan else "unknown", plan, bound, time.perf_counter() - started)
        value = {name: solver.value(variable) for name, variable in column.items()}
        plan, bound = _read_back(workload, value), solver.best_objective_bound / figure.scale
        if status != cp_model.OPTIMAL:
            return PlainAnswer("good", plan, bound, time.perf_counter() - started)
        reached = sum(factor * value[name] for name, factor in figure.terms.items())
        model.add(sum_of(figure.terms) <= figure.largest(figure.rounded(reached)))
        model.clear_hints()
        for name, variable in column.items():
            model.add_hint(variable, value[name])
    return PlainAnswer("proven", plan, bound, time.perf_counter() - started)


def solve_with_highs(
    workload: Workload,
    aim: Aim = Aim.BALANCE,
    *,
    seconds: float = 60,
    gap: float = 0.0,
    threads: int = 1,
) -> PlainAnswer:
    """Minimise the figures of the aim one after the other, in floating point with HiGHS's tolerances."""
    started = time.perf_counter()
    rows = rows_of(workload)
    figures = figures_of(rows, workload, aim, tie_breaks=False)
    at = {name: index for index, name in enumerate(rows.upper)}
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", threads)
    highs.setOptionValue("mip_rel_gap", gap)
    highs.setOptionValue("mip_abs_gap", 0.0)
    highs.passModel(_highs_lp(rows, at))
    bound, plan = 0.0, None
    for figure in figures:
        left = seconds - (time.perf_counter() - started)
        highs.setOptionValue("time_limit", highs.getRunTime() + max(0.01, left))
        cost = np.zeros(len(at))
        for name, factor in figure.terms.items():
            cost[at[name]] = factor / figure.scale
        highs.changeColsCost(len(at), np.arange(len(at), dtype=np.int32), cost)
        highs.run()
        status, info = highs.getModelStatus(), highs.getInfo()
        if status == highspy.HighsModelStatus.kInfeasible and plan is None:
            return PlainAnswer("impossible", None, 0, time.perf_counter() - started)
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return PlainAnswer("good" if plan else "unknown", plan, bound, time.perf_counter() - started)
        solution = highs.getSolution().col_value
        value = {name: round(solution[index]) for name, index in at.items()}
        plan, bound = _read_back(workload, value), info.mip_dual_bound
        if status != highspy.HighsModelStatus.kOptimal:
            return PlainAnswer("good", plan, bound, time.perf_counter() - started)
        reached = sum(factor * value[name] for name, factor in figure.terms.items())
        terms = {at[name]: factor for name, factor in figure.terms.items() if factor}
        highs.addRow(
            -highspy.kHighsInf, float(reached), len(terms), np.array(list(terms), np.int32),
            np.array(list(terms.values()), float),
        )  # fmt: skip
    return PlainAnswer("proven", plan, bound, time.perf_counter() - started)


def _highs_lp(rows: Rows, at: Mapping[Name, int]) -> highspy.HighsLp:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(at), len(rows.rows)
    lp.col_cost_ = np.zeros(len(at))
    lp.col_lower_ = np.zeros(len(at))
    lp.col_upper_ = np.array(list(rows.upper.values()), float)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(at)
    infinity = highspy.kHighsInf
    lp.row_lower_ = np.array([-infinity if low is None else low for _, low, _ in rows.rows], float)
    lp.row_upper_ = np.array([infinity if high is None else high for _, _, high in rows.rows], float)
    entries: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for row, (terms, _, _) in enumerate(rows.rows):
        entries[row] = [(at[name], factor) for name, factor in terms.items() if factor]
    lengths = [len(entries[row]) for row in range(len(rows.rows))]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int32)
    flat = [entry for row in range(len(rows.rows)) for entry in entries[row]]
    lp.a_matrix_.index_ = np.array([column for column, _ in flat], np.int32)
    lp.a_matrix_.value_ = np.array([factor for _, factor in flat], float)
    return lp
