"""What all rows of the linear program are built on: columns with figures, and jobs by the time they are done.

Every column has figures (money, minutes, worth, orders, spare, days); an objective is a weighing of them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.patterns import Blocks
from onceapart.planning.reduce import Reduced
from onceapart.planning.solve.fits import Fit
from onceapart.planning.solve.pricing import Cut
from onceapart.planning.solve.program import INF, Key, Program
from onceapart.planning.solve.slots import Slots

Weights = Mapping[str, float]


class Frame:
    """The program with its jobs, and the rows that a content of a stint enters.

    Parameters
    ----------
    reduced, blocks, slots
        The problem. Where it says "stint" from here on, a slot is meant: one stint, or several alike.
    weights : mapping of figure to weight
        The objective.
    penalty : float
        Price of a slack: of leaving undone what has to be done.
    apart : bool
        Whether contents hold one block each.
    """

    def __init__(
        self, reduced: Reduced, blocks: Blocks, slots: Slots, weights: Weights, penalty: float, apart: bool
    ) -> None:
        self.reduced, self.blocks, self.slots = reduced, blocks, slots
        self.weights, self.penalty, self.apart = dict(weights), penalty, apart
        self.program = Program()
        self.figures: list[dict[str, float]] = []
        self.slacks: list[int] = []
        self.stints = range(len(slots.slots))
        self.room = np.array([slot.room for slot in slots.slots], np.float64)
        self.times = np.array([len(slot.stints) for slot in slots.slots])
        self.link: dict[tuple[int, int], int] = {}
        """(job, stint): the row that ties a job to the contents that hold it."""
        self.once: list[int] = []
        """Rows of one content a stint; apart: of each block in turn."""
        self.room_rows: list[int] = []
        """Rows of the minutes of stints, where contents don't settle them alone."""
        self.tool_rows: dict[tuple[int, int], list[int]] = {}
        """(block, tool): rows, one a stint, of the tool being there."""
        self.shared_rows: dict[tuple[int, int], list[int]] = {}
        """(block, set-up): rows, one a stint, of a set-up that spans blocks being open."""
        self.cut_rows: dict[Cut, int] = {}
        self.counted: dict[Cut, NDArray[np.bool_]] = {}
        """Which patterns of its block a cut counts."""
        self.fit_rows: dict[Fit, int] = {}

    # columns and rows ----------------------------------------------------------------------------------

    def column(self, key: Key, lower: float, upper: float, **figures: float) -> int:
        """Add a column that is to be whole; its number."""
        at = self.program.add_column(key, self.weigh(figures), lower, upper, whole=True)
        self.figures.append(figures)
        return at

    def slack(self, key: Key, row: int, sign: float) -> None:
        """Let a row be broken at a price."""
        at = self.program.add_column(("slack", *key), self.penalty, entries={row: sign})
        self.figures.append({})
        self.slacks.append(at)

    def implied(self, column: int, by: Iterable[int]) -> None:
        """A row that a column is at most the sum of others."""
        self.program.add_row(-INF, 0.0, [(column, 1.0), *((other, -1.0) for other in by)])

    def weigh(self, figures: Mapping[str, float]) -> float:
        """The objective's value of these figures."""
        return sum(self.weights.get(name, 0.0) * value for name, value in figures.items())

    # jobs ----------------------------------------------------------------------------------------------

    def done(self, job: int, stint: int) -> int | None:
        """Column of a job being done in this stint (by its position in the file's order) or before.

        None where it can't be yet.
        """
        data = self.reduced.jobs[job]
        if stint < data.first:
            return None
        end = self.slots.ends[self.slots.period_of(min(stint, data.last))]
        return self.program.column["done", job, end]

    def ends_of(self, job: int) -> list[int]:
        """Last stints of the periods a job can be done in."""
        data = self.reduced.jobs[job]
        return [end for end in self.slots.ends if data.first <= end <= data.last]

    def part_inside(self, values: NDArray[np.float64], job: int, slot: int) -> float:
        """How much of a job a solution does in a slot."""
        column = self.program.column.get(("in", job, slot))
        if column is not None:
            return float(values[column])
        ends = self.ends_of(job)
        at = ends.index(self.slots.ends[self.slots.slots[slot].period])
        before = float(values[self.program.column["done", job, ends[at - 1]]]) if at else 0.0
        return float(values[self.program.column["done", job, ends[at]]]) - before

    def add_jobs(self) -> None:
        """Columns of jobs done by the end of each period, tied to contents and to jobs before them."""
        days, on_shelf = self.reduced.days, self.reduced.workload.shelf
        for at, job in enumerate(self.reduced.jobs):
            new = sum(n for part, n in job.parts if not on_shelf.get(part))
            ends = self.ends_of(at)
            for end, after in itertools.zip_longest(ends, ends[1:]):
                figures = {"days": float(days[end] - (0 if after is None else days[after]))}
                if after is None:
                    figures["spare"] = -float(new)
                lower = 1.0 if after is None and job.is_must else 0.0
                self.column(("done", at, end), lower, 1.0, **figures)
            for before, end in zip([None, *ends], ends, strict=False):
                terms = [(self.program.column["done", at, end], 1.0)]
                if before is not None:
                    terms.append((self.program.column["done", at, before], -1.0))
                self._add_links(at, end, terms)
        for at, job in enumerate(self.reduced.jobs):
            for other in job.after:
                for end in self.ends_of(at):
                    self._not_before(at, other, end)

    def _add_links(self, job: int, end: int, done: list[tuple[int, float]]) -> None:
        """Tie a job's being done in a period to its being in contents of the period's slots."""
        period = self.slots.period_of(end)
        slots = [s for s in self.stints if self.slots.slots[s].period == period]
        if len(slots) > 1:
            inside = [self.column(("in", job, s), 0.0, 1.0) for s in slots]
            self.program.add_row(0.0, 0.0, [*done, *((column, -1.0) for column in inside)])
        for at, s in enumerate(slots):
            terms = done if len(slots) == 1 else [(inside[at], 1.0)]
            self.link[job, s] = row = self.program.add_row(0.0, 0.0, terms)
            self.slack((job, s), row, -1.0)

    def _not_before(self, job: int, before: int, stint: int) -> None:
        mine, other = self.done(job, stint), self.done(before, stint)
        assert mine is not None
        terms = [(mine, 1.0)] if other is None else [(mine, 1.0), (other, -1.0)]
        self.program.add_row(-INF, 0.0, terms)
