"""The linear program over stint contents: what is done when, what is bought, hired and paid.

Columns, by key:
``done, job, stint``     the job is done in this stint or before (in whole numbers: 0 or 1)
``in, job, slot``        how much of it in this slot, where a period has several
``content, stint, ...``  the stint holds these patterns, one of each block at most
``buy, offer``           units that can serve jobs         ``extra, offer``   units that only fill up an order
``pays, seller``         an order with delivery            ``free, seller``   an order with free delivery
``order, seller``        an order where delivery costs nothing
``hire, tool, stint``    ``hires, tool``  how often        ``own, tool``
``setup, i, stint``      a set-up that spans blocks
``take, i, stint``, ``put, i, stint``  access that may stand is taken off, or put on
``open, i, stint``       it is left off after this stint    ``stands, car, stint``  so the car is off the road
``count, block, mask``   how many stints open a set-up     ``used, part``, ``empty, part``  use of a shelf

Rows are made by idea: jobs (``frame``), tools and set-ups (``tool_rows``), what stands (``stand_rows``),
orders (``purchase_rows``), parts (``part_rows``). What a content enters in each of them is here.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.patterns import Blocks
from onceapart.planning.reduce import Reduced
from onceapart.planning.solve.fits import Fit
from onceapart.planning.solve.frame import Frame, Weights
from onceapart.planning.solve.part_rows import add_parts
from onceapart.planning.solve.pricing import Cut
from onceapart.planning.solve.program import INF
from onceapart.planning.solve.purchase_rows import add_purchases
from onceapart.planning.solve.slots import Slots, single_slots
from onceapart.planning.solve.stand_rows import add_stands
from onceapart.planning.solve.tool_rows import add_setups, add_tools

Content = tuple[int, tuple[int, ...]]
"""A stint, and the pattern of each block that is done in it (-1: none)."""


class Master(Frame):
    """The program for one objective and any number of limits on earlier figures.

    Parameters
    ----------
    reduced, blocks
        The problem.
    weights : mapping of figure to weight
        The objective.
    limits : sequence of (weights, most)
        Weighed figures that must not be above ``most``.
    live : set of offer ids, optional
        The offers left in; default all.
    penalty : float
        Price of leaving a job undone that has to be done. It keeps the program solvable while contents
        are still missing; that a solution uses none of it is checked, not presumed.
    apart : bool
        Columns hold the content of one block each, with rows for the minutes of a stint: a weaker bound,
        but blocks combine freely. Such a program is not priced.
    allowed : list of (P, S) arrays, optional
        Which patterns of each block may be used in which stint; default all.
    slots : Slots, optional
        Stints put together; default each for itself.
    """

    def __init__(
        self,
        reduced: Reduced,
        blocks: Blocks,
        weights: Weights,
        *,
        limits: Iterable[tuple[Weights, float]] = (),
        live: frozenset[str] | None = None,
        penalty: float = 1e5,
        apart: bool = False,
        allowed: list[NDArray[np.bool_]] | None = None,
        slots: Slots | None = None,
    ) -> None:
        super().__init__(reduced, blocks, slots or single_slots(reduced), weights, penalty, apart)
        limits = list(limits)
        asked = {name for named in (weights, *(w for w, _ in limits)) for name in named}
        self.allowed = allowed
        self.offers = [o for o in reduced.offers if live is None or o.id in live]
        self.contents: dict[int, Content] = {}
        """By column."""
        self.known: set[Content] = set()
        self.limits: list[tuple[Weights, int]] = []
        """Each with its row."""
        self.add_jobs()
        self._add_contents_rows()
        had = add_tools(self)
        add_setups(self)
        add_stands(self, had)
        self._add_counts()
        self.free_orders = add_purchases(self, self.offers, asked)
        add_parts(self, self.offers, asked)
        for figures, most in limits:
            self._add_limit(figures, most)

    # rows ----------------------------------------------------------------------------------------------

    def _add_contents_rows(self) -> None:
        n = len(self.blocks.blocks) if self.apart else 1
        self.once = [self.program.add_row(-INF, self.times[s], ()) for _ in range(n) for s in self.stints]
        if self.blocks.spanning or self.apart:
            self.room_rows = [self.program.add_row(-INF, room, ()) for room in self.room * self.times]

    def _add_counts(self) -> None:
        """How many stints open each set-up: whole numbers that are good to branch on."""
        for b, block in enumerate(self.blocks.blocks):
            everything = (1 << len(block.jobs)) - 1
            for mask in sorted({*block.setups, everything} if len(block.jobs) > 1 else ()):
                cut = Cut(b, mask, 1)
                column = self.column(("count", b, mask), 0, len(self.reduced.room))
                row = self.program.add_row(0.0, 0.0, [(column, -1.0)])
                self.slack(("count", b, mask), row, 1.0)
                self.cut_rows[cut], self.counted[cut] = row, cut.holds(block)

    def _add_limit(self, weights: Weights, most: float) -> None:
        terms = []
        for column, figures in enumerate(self.figures):
            value = sum(weights.get(name, 0.0) * amount for name, amount in figures.items())
            if value:
                terms.append((column, value))
        row = self.program.add_row(-INF, most, terms)
        self.limits.append((weights, row))
        self.slack(("limit", row), row, -1.0)

    def free_from(self, seller: str) -> int:
        """Value of goods from which on an order has no delivery to pay; 0 where there is no such value."""
        return self.reduced.workload.seller[seller].free_from or 0

    # contents ------------------------------------------------------------------------------------------

    def add_content(self, stint: int, picks: Iterable[int]) -> bool:
        """Add a column for a stint's content; False where it is there already or not allowed."""
        content = (stint, tuple(int(pick) for pick in picks))
        if content in self.known:
            return False
        self.known.add(content)
        entries: dict[int, float] = {}
        figures = dict.fromkeys(("money", "minutes", "worth"), 0.0)
        minutes = 0.0
        for b, pick in enumerate(content[1]):
            if pick < 0:
                continue
            if self.allowed is not None and not self.allowed[b][pick, stint]:
                return False
            block = self.blocks.blocks[b]
            entries[self.once[stint + b * len(self.stints) if self.apart else stint]] = 1.0
            minutes += float(block.minutes[pick])
            figures["money"] += float(block.money[pick])
            figures["worth"] += float(block.worth[pick])
            mask = int(block.masks[pick])
            for at, job in enumerate(block.jobs):
                if mask >> at & 1:
                    if (job, stint) not in self.link:
                        return False
                    entries[self.link[job, stint]] = -1.0
            for tool, needs in block.tools:
                if needs[pick]:
                    entries[self.tool_rows[b, tool][stint]] = 1.0
            for setup, needs in block.shared:
                if needs[pick]:
                    entries[self.shared_rows[b, setup][stint]] = 1.0
        if minutes > self.room[stint]:
            return False
        figures["minutes"] = minutes
        if self.room_rows:
            entries[self.room_rows[stint]] = minutes
        for cut, row in self.cut_rows.items():
            pick = content[1][cut.block]
            if pick >= 0 and self.counted[cut][pick]:
                entries[row] = 1.0
        for fit, row in self.fit_rows.items():
            value = self._fitted(fit, content)
            if value:
                entries[row] = value
        for weights, row in self.limits:
            value = sum(weights.get(name, 0.0) * amount for name, amount in figures.items())
            if value:
                entries[row] = value
        column = self.program.add_column(("content", *content), self.weigh(figures), entries=entries)
        self.figures.append(figures)
        self.contents[column] = content
        return True

    def add_single_jobs(self) -> None:
        """A content for every job alone in every stint it can stand in."""
        nothing = [-1] * len(self.blocks.blocks)
        for b, block in enumerate(self.blocks.blocks):
            for pick in np.nonzero(np.bitwise_count(block.masks) == 1)[0]:
                for stint in self.stints:
                    self.add_content(stint, [*nothing[:b], int(pick), *nothing[b + 1 :]])

    def _fitted(self, fit: Fit, content: Content) -> float:
        """What a content counts in a row about what fits; columns hold one block each there."""
        stint, picks = content
        if fit.slot != stint:
            return 0.0
        total = 0.0
        for block, pick in zip(self.blocks.blocks, picks, strict=True):
            if pick >= 0 and block.needs(fit.tool, pick):
                total += float(fit.of(block.minutes[pick : pick + 1])[0])
        return total

    def add_fit(self, fit: Fit) -> None:
        """A row that what is in a slot fits its stints one by one."""
        terms = [(column, self._fitted(fit, content)) for column, content in self.contents.items()]
        self.fit_rows[fit] = self.program.add_row(-INF, self.times[fit.slot], [t for t in terms if t[1]])

    def add_cut(self, cut: Cut, most: float) -> None:
        """A row that the counted patterns, over all stints, are at most ``most``."""
        holds = cut.holds(self.blocks.blocks[cut.block])
        terms = [
            (column, 1.0)
            for column, (_, picks) in self.contents.items()
            if picks[cut.block] >= 0 and holds[picks[cut.block]]
        ]
        self.cut_rows[cut] = self.program.add_row(-INF, most, terms)
        self.counted[cut] = holds
