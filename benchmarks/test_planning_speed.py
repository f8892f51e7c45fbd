"""The planner against plain models of the same problem, in the same run; writes docs/performance.md.

Each size and seed is solved by the planner, by the rules written straight down for HiGHS, and by the same
for CP-SAT (two workers). Plain models get no tie-breaks. Solvers that run into their limit show the gap
between their best plan and their bound. Memory is the peak of a process of its own.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from made_workloads import made_workload
from onceapart.planning.cost import cost
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from plain_models import solve_with_cp_sat, solve_with_highs

SEEDS = (1, 2, 3, 4, 5)
PLANNER_SECONDS = {"s": 60, "m": 60, "l": 120, "xl": 60}
PLAIN_SECONDS = {"s": 60, "m": 60, "l": 60, "xl": 60}
CP_SAT_SECONDS = {"s": 30, "m": 30, "l": 30, "xl": 30}
DOCUMENT = Path(__file__).resolve().parents[1] / "docs" / "performance.md"
BASE = Path(__file__).resolve().parent


@dataclass
class Row:
    size: str
    seed: int
    way: str
    seconds: float
    total: int | None
    gap: float
    """Share by which the plan could still be off. 0: proven."""
    memory: float = 0.0


ROWS: list[Row] = []
AIMS: list[Row] = []


def _gap(total: float | None, bound: float | None) -> float:
    if total is None or bound is None:
        return 1.0
    return max(0.0, (total - bound) / max(1.0, abs(total)))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("size", ["s", "m", "l", "xl"])
def test_planner(benchmark, size, seed):
    workload = made_workload(size, seed)
    kept = []

    def run():
        kept.append(best_plan(workload, seconds=PLANNER_SECONDS[size]))

    benchmark.pedantic(run, rounds=1, iterations=1)
    answer = kept[-1]
    assert broken_rules(workload, answer.plan) == []
    assert answer.cost == cost(workload, answer.plan)
    gap = 0.0 if answer.status is Status.PROVEN else _gap(answer.cost.total, answer.bound)
    memory = _memory(size, seed) if size == "xl" else 0.0
    ROWS.append(Row(size, seed, "planner", benchmark.stats["mean"], answer.cost.total, gap, memory))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("size", ["s", "m", "l", "xl"])
@pytest.mark.parametrize("way", ["plain HiGHS", "plain CP-SAT"])
def test_plain(benchmark, way, size, seed):
    workload = made_workload(size, seed)
    kept = []

    def run():
        if way == "plain HiGHS":
            kept.append(solve_with_highs(workload, seconds=PLAIN_SECONDS[size]))
        else:
            kept.append(solve_with_cp_sat(workload, seconds=CP_SAT_SECONDS[size], workers=2))

    benchmark.pedantic(run, rounds=1, iterations=1)
    answer = kept[-1]
    total = None if answer.plan is None else cost(workload, answer.plan).total
    gap = 0.0 if answer.status == "proven" else _gap(total, answer.bound)
    ROWS.append(Row(size, seed, way, benchmark.stats["mean"], total, gap))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("aim", [Aim.THRIFT, Aim.SOONEST, Aim.LEAST_WORK])
@pytest.mark.parametrize("size", ["m", "l"])
def test_other_aims(benchmark, size, aim, seed):
    workload = made_workload(size, seed)
    kept = []

    def run():
        kept.append(best_plan(workload, aim, seconds=PLANNER_SECONDS[size]))

    benchmark.pedantic(run, rounds=1, iterations=1)
    gap = 0.0 if kept[-1].status is Status.PROVEN else 1.0
    AIMS.append(Row(size, seed, aim.value, benchmark.stats["mean"], kept[-1].cost.total, gap))


def _memory(size: str, seed: int) -> float:
    """Peak memory of a process that plans this workload. [MB]"""
    script = (
        "import resource, sys; sys.path.insert(0, sys.argv[1])\n"
        "from made_workloads import made_workload\n"
        "from onceapart.planning.solve import best_plan\n"
        f"best_plan(made_workload({size!r}, {seed}), seconds={PLANNER_SECONDS[size]})\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", script, str(BASE)], capture_output=True, text=True, check=True
    )
    return float(run.stdout)


def _cell(row: Row | None) -> str:
    if row is None:
        return "-"
    note = "" if row.gap == 0 else (" no plan" if row.total is None else f" (gap {100 * row.gap:.2g} %)")
    return f"{row.seconds:.2f}{note}"


@pytest.fixture(scope="session", autouse=True)
def document():
    """Write what was measured when everything has run."""
    yield
    if len({(row.size, row.way) for row in ROWS}) < 12:
        return
    found = {(row.size, row.seed, row.way): row for row in ROWS}
    lines = [
        "# How quick the planner is",
        "",
        "Written by `make bench`. Seconds; a gap is how far the bound is from the best plan found when a",
        "limit was reached (planner 120 s on l, 60 s else; HiGHS 60 s; CP-SAT 30 s); without a gap the plan",
        "is proven. Workloads are made up by `benchmarks/made_workloads.py`. The planner's seconds include",
        "the tie-breaks, which the plain models leave out.",
        "",
        "| size, seed | planner | plain HiGHS | plain CP-SAT, 2 workers | total found |",
        "| --- | --- | --- | --- | --- |",
    ]
    for size in ("s", "m", "l", "xl"):
        for seed in SEEDS:
            rows = [found.get((size, seed, way)) for way in ("planner", "plain HiGHS", "plain CP-SAT")]
            totals = " / ".join("-" if row is None or row.total is None else f"{row.total}" for row in rows)
            lines.append(f"| {size} {seed} | " + " | ".join(_cell(row) for row in rows) + f" | {totals} |")
        medians = []
        for way in ("planner", "plain HiGHS", "plain CP-SAT"):
            mine = [row for row in ROWS if row.size == size and row.way == way]
            gap = statistics.median(row.gap for row in mine)
            text = f"{statistics.median(row.seconds for row in mine):.2f}"
            medians.append(text if gap == 0 else f"{text} (gap {100 * gap:.2g} %)")
        lines.append(f"| **{size}, median** | " + " | ".join(f"**{m}**" for m in medians) + " | |")
    peak = max((row.memory for row in ROWS), default=0.0)
    lines += ["", f"Peak memory of a process that plans size xl, most of the five seeds: {peak:.0f} MB.", ""]
    if AIMS:
        lines += [
            "## The other aims",
            "",
            "| size | aim | seconds, median | of which proven |",
            "| --- | --- | --- | --- |",
        ]
        for size in ("m", "l"):
            for aim in ("thrift", "soonest", "least-work"):
                mine = [row for row in AIMS if row.size == size and row.way == aim]
                if mine:
                    middle = statistics.median(row.seconds for row in mine)
                    proven = sum(row.gap == 0 for row in mine)
                    lines.append(f"| {size} | {aim} | {middle:.2f} | {proven} of {len(mine)} |")
        lines.append("")
    DOCUMENT.write_text("\n".join(lines), encoding="utf-8")
