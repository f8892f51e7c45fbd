"""The linear program over stint contents: what is done when, what is bought, hired and paid.

Columns, by key:
``done, job, stint``     the job is done in this stint or before (in whole numbers: 0 or 1)
``content, stint, ...``  the stint holds these patterns, one of each block at most
``buy, offer``           units that can serve jobs         ``extra, offer``   units that only fill up an order
``pays, seller``         an order with delivery            ``free, seller``   an order with free delivery
``order, seller``        an order where delivery costs nothing
``hire, tool, stint``    ``hires, tool``  how often        ``own, tool``
``setup, i, stint``      a set-up that spans blocks
``take, i, stint``, ``put, i, stint``  access that may stand is taken off, or put on
``open, i, stint``       it is left off after this stint    ``stands, car, stint``  so the car is off the road
``count, block, mask``   how many stints open a set-up     ``used, part``, ``empty, part``  use of a shelf

Each column has figures (money, minutes, worth, orders, spare, days); an objective is a weighing of them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.patterns import Blocks
from onceapart.planning.reduce import Reduced, Stand
from onceapart.planning.solve.fits import Fit
from onceapart.planning.solve.pricing import (
    Cut,
    Duals,
    Front,
    block_front,
    join,
    pattern_prices,
    stint_front,
)
from onceapart.planning.solve.program import INF, Key, Program
from onceapart.planning.solve.slots import Slots, single_slots
from onceapart.planning.workload import Seller

FIGURES = ("money", "minutes", "worth", "orders", "spare", "days")
Weights = Mapping[str, float]
NEVER = 1e9
"""Price of a job in a stint it can't stand in: far above any real price."""
TOLERANCE = 1e-6

Content = tuple[int, tuple[int, ...]]
"""A stint, and the pattern of each block that is done in it (-1: none)."""


class Master:
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
        self.reduced, self.blocks, self.weights = reduced, blocks, dict(weights)
        self.slots = slots or single_slots(reduced)
        limits = list(limits)
        self.asked = {name for named in (weights, *(w for w, _ in limits)) for name in named}
        self.penalty, self.apart = penalty, apart
        self.allowed = allowed
        self.program = Program()
        self.figures: list[dict[str, float]] = []
        self.contents: dict[int, Content] = {}
        self.known: set[Content] = set()
        self.slacks: list[int] = []
        self.offers = [o for o in reduced.offers if live is None or o.id in live]
        self.stints = range(len(self.slots.slots))
        self.room = np.array([slot.room for slot in self.slots.slots], np.float64)
        self.times = np.array([len(slot.stints) for slot in self.slots.slots])
        self.tool_rows: dict[tuple[int, int], list[int]] = {}
        self.shared_rows: dict[tuple[int, int], list[int]] = {}
        self.had: dict[int, list[list[int]]] = {}
        self.cut_rows: dict[Cut, int] = {}
        self.fit_rows: dict[Fit, int] = {}
        self.counted: dict[Cut, NDArray[np.bool_]] = {}
        self.limits: list[tuple[Weights, int]] = []
        self.room_rows: list[int] = []
        self.free_orders: dict[str, list[tuple[int, int]]] = {}
        self._add_jobs()
        self._add_contents_rows()
        self._add_tools_and_setups()
        self._add_stands()
        self._add_counts()
        self._add_purchases()
        self._add_parts()
        for figures, most in limits:
            self._add_limit(figures, most)

    # building ------------------------------------------------------------------------------------------

    def _column(self, key: Key, lower: float, upper: float, **figures: float) -> int:
        at = self.program.add_column(key, self.weigh(figures), lower, upper, whole=True)
        self.figures.append(figures)
        return at

    def _slack(self, key: Key, row: int, sign: float) -> None:
        at = self.program.add_column(("slack", *key), self.penalty, entries={row: sign})
        self.figures.append({})
        self.slacks.append(at)

    def weigh(self, figures: Mapping[str, float]) -> float:
        """The objective's value of these figures."""
        return sum(self.weights.get(name, 0.0) * value for name, value in figures.items())

    def done(self, job: int, stint: int) -> int | None:
        """Column of a job being done in this stint or before; None where it can't be yet."""
        data = self.reduced.jobs[job]
        if stint < data.first:
            return None
        end = self.slots.ends[self.slots.period_of(min(stint, data.last))]
        return self.program.column["done", job, end]

    def part_inside(self, values: NDArray[np.float64], job: int, slot: int) -> float:
        """How much of a job a solution does in a slot."""
        column = self.program.column.get(("in", job, slot))
        if column is not None:
            return float(values[column])
        ends = self.ends_of(job)
        at = ends.index(self.slots.ends[self.slots.slots[slot].period])
        before = float(values[self.program.column["done", job, ends[at - 1]]]) if at else 0.0
        return float(values[self.program.column["done", job, ends[at]]]) - before

    def ends_of(self, job: int) -> list[int]:
        """Last stints of the periods a job can be done in."""
        data = self.reduced.jobs[job]
        return [end for end in self.slots.ends if data.first <= end <= data.last]

    def _add_jobs(self) -> None:
        days, on_shelf = self.reduced.days, self.reduced.workload.shelf
        self.link: dict[tuple[int, int], int] = {}
        for at, job in enumerate(self.reduced.jobs):
            new = sum(n for part, n in job.parts if not on_shelf.get(part))
            ends = self.ends_of(at)
            for end, after in itertools.zip_longest(ends, ends[1:]):
                figures = {"days": float(days[end] - (0 if after is None else days[after]))}
                if after is None:
                    figures["spare"] = -float(new)
                lower = 1.0 if after is None and job.is_must else 0.0
                self._column(("done", at, end), lower, 1.0, **figures)
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
            inside = [self._column(("in", job, s), 0.0, 1.0) for s in slots]
            self.program.add_row(0.0, 0.0, [*done, *((column, -1.0) for column in inside)])
        for at, s in enumerate(slots):
            terms = done if len(slots) == 1 else [(inside[at], 1.0)]
            self.link[job, s] = row = self.program.add_row(0.0, 0.0, terms)
            self._slack((job, s), row, -1.0)

    def _not_before(self, job: int, before: int, stint: int) -> None:
        mine, other = self.done(job, stint), self.done(before, stint)
        assert mine is not None
        terms = [(mine, 1.0)] if other is None else [(mine, 1.0), (other, -1.0)]
        self.program.add_row(-INF, 0.0, terms)

    def _add_contents_rows(self) -> None:
        n = len(self.blocks.blocks) if self.apart else 1
        self.once = [self.program.add_row(-INF, self.times[s], ()) for _ in range(n) for s in self.stints]
        if self.blocks.spanning or self.apart:
            self.room_rows = [self.program.add_row(-INF, room, ()) for room in self.room * self.times]

    def _add_tools_and_setups(self) -> None:
        for at, tool in enumerate(self.reduced.tools):
            used = {s for job in tool.jobs for s in self.stints if (job, s) in self.link}
            if any(at in stand.tools for stand in self.reduced.stands):
                used = set(self.stints)
            hired = {}
            if tool.hire is not None:
                for stint in self.stints:
                    if stint in used:
                        hired[stint] = self._column(
                            ("hire", at, stint), 0, self.times[stint], money=tool.hire
                        )
            if len(hired) > 1:
                times = self._column(("hires", at), 0, sum(self.times[s] for s in hired))
                self.program.add_row(0.0, 0.0, [*((c, 1.0) for c in hired.values()), (times, -1.0)])
            own = None if tool.buy is None else self._column(("own", at), 0, 1, money=tool.buy)
            self.had[at] = [[c for c in (hired.get(s), own) if c is not None] for s in self.stints]
            for b, block in enumerate(self.blocks.blocks):
                if any(t == at for t, _ in block.tools):
                    self.tool_rows[b, at] = [
                        self.program.add_row(
                            -INF,
                            0.0,
                            [
                                (c, -n)
                                for c, n in ((hired.get(s), 1.0), (own, self.times[s]))
                                if c is not None
                            ],
                        )
                        for s in self.stints
                    ]
            self._add_tool_fits(at, hired, own)
        standing = {stand.setup for stand in self.reduced.stands}
        for at in self.blocks.spanning:
            if at in standing:
                continue
            setup = self.reduced.setups[at]
            columns = [
                self._column(("setup", at, s), 0, self.times[s], money=setup.price, minutes=setup.minutes)
                for s in self.stints
            ]
            for s, column in enumerate(columns):
                self.program.highs.changeCoeff(self.room_rows[s], column, float(setup.minutes))
            for b, block in enumerate(self.blocks.blocks):
                if any(i == at for i, _ in block.shared):
                    self.shared_rows[b, at] = [self.program.add_row(-INF, 0.0, [(c, -1.0)]) for c in columns]

    def _add_tool_fits(self, tool: int, hired: Mapping[int, int], own: int | None) -> None:
        """Where stints are put together: those that a tool is there for must have room for what needs it."""
        for s, slot in enumerate(self.slots.slots):
            if len(slot.stints) > 1:
                there = [(c, -n) for c, n in ((hired.get(s), 1.0), (own, self.times[s])) if c is not None]
                for parts, edge in ((0, 1), (1, 0)):
                    fit = Fit(s, slot.room, parts, edge, tool)
                    self.fit_rows[fit] = self.program.add_row(-INF, 0.0, there)

    def _add_stands(self) -> None:
        """What may be left off between stints: it is off in a stint if found off or taken off there."""
        assert self.slots.are_single or not self.reduced.stands
        open_at: dict[tuple[int, int], int] = {}
        for i, stand in enumerate(self.reduced.stands):
            for s in self.stints:
                if stand.over[s]:
                    open_at[i, s] = self._column(("open", i, s), 0, 1)
        for i, stand in enumerate(self.reduced.stands):
            for s in self.stints:
                self._add_stand_in(i, stand, s, open_at)
            for s in self.stints:
                for under in stand.under if stand.over[s] else ():
                    self._implied(open_at[i, s], [open_at[under, s]] if (under, s) in open_at else [])
        for car in sorted({stand.car for stand in self.reduced.stands}):
            self._add_off_road(car, open_at)

    def _add_stand_in(self, i: int, stand: Stand, s: int, open_at: Mapping[tuple[int, int], int]) -> None:
        row = self.program.add_row
        take = self._column(("take", i, s), 0, 1, minutes=float(stand.minutes_off))
        put = self._column(("put", i, s), 0, 1, minutes=float(stand.minutes_on))
        self.program.highs.changeCoeff(self.room_rows[s], take, float(stand.minutes_off))
        self.program.highs.changeCoeff(self.room_rows[s], put, float(stand.minutes_on))
        found = 1.0 if s == 0 and stand.is_off_now else 0.0
        off = [take, *([open_at[i, s - 1]] if (i, s - 1) in open_at else [])]
        after = [put, *([open_at[i, s]] if (i, s) in open_at else [])]
        row(-found, -found, [*((c, 1.0) for c in off), *((c, -1.0) for c in after)])
        row(-INF, 1.0 - found, [(c, 1.0) for c in off])
        for b, block in enumerate(self.blocks.blocks):
            if any(at == stand.setup for at, _ in block.shared):
                rows = self.shared_rows.setdefault((b, stand.setup), [])
                rows.append(row(-INF, found, [(c, -1.0) for c in off]))
        for care in stand.cares:
            self._implied(put, [self.program.column["setup", care, s]])
        for tool in stand.tools:
            self._implied(take, self.had[tool][s])
            self._implied(put, self.had[tool][s])

    def _add_off_road(self, car: str, open_at: Mapping[tuple[int, int], int]) -> None:
        price = self.reduced.workload.off_road.get(car, 0)
        for s in self.stints if price else ():
            left = [open_at[i, s] for i, t in enumerate(self.reduced.stands) if t.car == car and t.over[s]]
            if left:
                days = self.reduced.workload.days_to_next(s)
                stands = self._column(("stands", car, s), 0, 1, money=float(price * days))
                for column in left:
                    self._implied(column, [stands])

    def _implied(self, column: int, by: Iterable[int]) -> None:
        """A row that a column is at most the sum of others."""
        self.program.add_row(-INF, 0.0, [(column, 1.0), *((other, -1.0) for other in by)])

    def _add_counts(self) -> None:
        """How many stints open each set-up: whole numbers that are good to branch on."""
        for b, block in enumerate(self.blocks.blocks):
            everything = (1 << len(block.jobs)) - 1
            for mask in sorted({*block.setups, everything} if len(block.jobs) > 1 else ()):
                cut = Cut(b, mask, 1)
                column = self._column(("count", b, mask), 0, len(self.reduced.room))
                row = self.program.add_row(0.0, 0.0, [(column, -1.0)])
                self._slack(("count", b, mask), row, 1.0)
                self.cut_rows[cut], self.counted[cut] = row, cut.holds(block)

    def _add_purchases(self) -> None:
        by_seller: dict[str, list[tuple[int, int, int]]] = {}
        for offer in self.offers:
            columns = []
            for kind, most in (("buy", offer.useful), ("extra", offer.extra)):
                if most:
                    figures = {"money": float(offer.price), "spare": float(offer.pieces)}
                    column = self._column((kind, offer.id), 0, most, **figures)
                    columns.append(column)
                    by_seller.setdefault(offer.seller, []).append((column, most, offer.price))
            if offer.limit is not None and offer.useful + offer.extra > offer.limit:
                self.program.add_row(-INF, offer.limit, [(column, 1.0) for column in columns])
        for seller_id, bought in sorted(by_seller.items()):
            self._add_order(self.reduced.workload.seller[seller_id], bought)

    def _add_order(self, seller: Seller, bought: list[tuple[int, int, int]]) -> None:
        """Tie every offer to its seller's order, one by one, and the order to its delivery."""
        row = self.program.add_row
        if not seller.delivery or seller.free_from == 0:
            if "orders" not in self.asked:
                return
            order = self._column(("order", seller.id), 0, 1, orders=1.0)
            for column, most, _ in bought:
                row(-INF, 0.0, [(column, 1.0), (order, -float(most))])
            return
        pays = self._column(("pays", seller.id), 0, 1, money=seller.delivery, orders=1.0)
        if seller.free_from is None or sum(price * most for _, most, price in bought) < seller.free_from:
            for column, most, _ in bought:
                row(-INF, 0.0, [(column, 1.0), (pays, -float(most))])
            return
        free = self._column(("free", seller.id), 0, 1, orders=1.0)
        self.free_orders[seller.id] = [(column, price) for column, _, price in bought]
        row(-INF, 1.0, [(pays, 1.0), (free, 1.0)])
        row(0.0, INF, [*((c, float(price)) for c, _, price in bought), (free, -float(seller.free_from))])
        extras = []
        for column, most, price in bought:
            if self.program.keys[column][0] == "extra":
                row(-INF, 0.0, [(column, 1.0), (free, -float(most))])
                extras.append((column, float(price)))
            else:
                row(-INF, 0.0, [(column, 1.0), (pays, -float(most)), (free, -float(most))])
        if extras:
            row(-INF, 0.0, [*extras, (free, -float(seller.delivery - 1))])

    def free_from(self, seller: str) -> int:
        """Value of goods from which on an order has no delivery to pay; 0 where there is no such value."""
        return self.reduced.workload.seller[seller].free_from or 0

    def _add_parts(self) -> None:
        """Pieces on the shelf and arrived by a stint cover those used up to it."""
        sold: dict[str, list[tuple[int, int, int]]] = {}
        for offer in self.offers:
            if offer.useful:
                column = self.program.column["buy", offer.id]
                for part, pieces in offer.parts:
                    sold.setdefault(part, []).append((column, pieces, offer.at))
        for part, users in sorted(self.reduced.demand.items()):
            shelf = self.reduced.workload.shelf.get(part, 0)
            offers = sold.get(part, [])
            # Only the last stint before each arrival can bind.
            ends = {at - 1 for _, _, at in offers} | {len(self.reduced.room) - 1}
            for end in sorted(ends - {-1}):
                here = [(column, pieces) for column, pieces, at in offers if at <= end]
                self._add_part_rows(users, shelf, here, end)
            if shelf and offers:
                self._add_shelf(part, users, shelf)

    def _add_part_rows(
        self, users: Mapping[int, int], shelf: int, here: list[tuple[int, int]], end: int
    ) -> None:
        jobs = [job for job in sorted(users) if self.reduced.jobs[job].first <= end]
        groups: list[tuple[int, ...]] = [tuple(jobs)] if jobs else []
        if 1 < len(jobs) <= 4:
            groups += [g for n in range(1, len(jobs)) for g in itertools.combinations(jobs, n)]
        elif len(jobs) > 4:
            groups += [(job,) for job in jobs]
        for group in groups:
            most = sum(users[job] for job in group) - shelf
            # Fewer jobs than all say more only where a unit holds more pieces than they can use.
            if most <= 0 or (len(group) < len(jobs) and not any(pieces > most for _, pieces in here)):
                continue
            terms = [(column, -float(min(pieces, most))) for column, pieces in here]
            for job in group:
                done = self.done(job, end)
                assert done is not None
                terms.append((done, float(users[job])))
            self.program.add_row(-INF, shelf, terms)

    def _add_shelf(self, part: str, users: Mapping[int, int], shelf: int) -> None:
        """Pieces of a part used beyond the shelf; they are what of the bought ones is not spare."""
        if "spare" not in self.asked:
            return
        most = sum(users.values()) - shelf
        if most <= 0:
            return
        beyond = self._column(("used", part), 0, most, spare=-1.0)
        empty = self._column(("empty", part), 0, 1)
        self.program.add_row(-INF, 0.0, [(beyond, 1.0), (empty, -float(most))])
        last = {job: self.program.column["done", job, self.ends_of(job)[-1]] for job in users}
        terms = [(last[job], -float(n)) for job, n in sorted(users.items())]
        self.program.add_row(-INF, 0.0, [(beyond, 1.0), (empty, float(shelf)), *terms])

    def _add_limit(self, weights: Weights, most: float) -> None:
        terms = []
        for column, figures in enumerate(self.figures):
            value = sum(weights.get(name, 0.0) * amount for name, amount in figures.items())
            if value:
                terms.append((column, value))
        row = self.program.add_row(-INF, most, terms)
        self.limits.append((weights, row))
        self._slack(("limit", row), row, -1.0)

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

    # pricing -------------------------------------------------------------------------------------------

    def duals(self) -> Duals:
        """What the solved program pays for each thing."""
        rows = self.program.row_duals()
        weight = {name: self.weights.get(name, 0.0) for name in ("money", "minutes", "worth")}
        for limit, row in self.limits:
            for name in weight:
                weight[name] -= rows[row] * limit.get(name, 0.0)
        link = np.full((len(self.reduced.jobs), len(self.stints)), NEVER)
        for (job, stint), row in self.link.items():
            link[job, stint] = rows[row]
        return Duals(
            money=weight["money"],
            minutes=weight["minutes"],
            worth=-weight["worth"],
            link=link,
            once=rows[self.once],
            room=rows[self.room_rows] if self.room_rows else np.zeros(len(self.stints)),
            tools={key: rows[at] for key, at in self.tool_rows.items()},
            shared={key: rows[at] for key, at in self.shared_rows.items()},
            cuts={cut: float(rows[at]) for cut, at in self.cut_rows.items()},
            fits={fit: float(rows[at]) for fit, at in self.fit_rows.items()},
        )

    def pattern_prices(self, duals: Duals) -> Iterator[NDArray[np.float64]]:
        """Reduced price of each pattern in each stint, (P, S) block by block."""
        for b, price in enumerate(pattern_prices(self.blocks.blocks, duals, self.counted)):
            if self.allowed is not None:
                price[~self.allowed[b]] = NEVER
            yield price

    def fronts(self, prices: list[NDArray[np.float64]], stint: int) -> list[Front]:
        """Pareto front of each block in a stint."""
        room = float(self.room[stint])
        return [
            block_front(block, price[:, stint], room)
            for block, price in zip(self.blocks.blocks, prices, strict=True)
        ]

    def price_out(self, per_stint: int) -> tuple[float, int]:
        """Add the best missing contents of each stint.

        Returns
        -------
        (float, int)
            How far below the program's objective the true bound can be at most (0 or negative), and how
            many columns were added; none means that the program is solved over all contents.
        """
        duals = self.duals()
        if self.apart:
            return self._price_apart(duals, per_stint)
        prices = list(self.pattern_prices(duals))
        below, added = 0.0, 0
        for stint in self.stints:
            front = stint_front(self.fronts(prices, stint), float(self.room[stint]))
            gain = front.price - duals.once[stint]
            below += min(0.0, float(gain[-1])) * self.times[stint]
            for at in range(len(gain) - 1, max(-1, len(gain) - 1 - per_stint), -1):
                if gain[at] < -TOLERANCE:
                    added += self.add_content(stint, front.picks[at])
        return below, added

    def _price_apart(self, duals: Duals, per_stint: int) -> tuple[float, int]:
        below, added = 0.0, 0
        nothing = [-1] * len(self.blocks.blocks)
        for b, (block, price) in enumerate(zip(self.blocks.blocks, self.pattern_prices(duals), strict=True)):
            for stint in self.stints:
                n = int(np.searchsorted(block.minutes, self.room[stint], side="right"))
                if not n:
                    continue
                gain = price[:n, stint] - duals.once[stint + b * len(self.stints)]
                best = np.argpartition(gain, per_stint - 1)[:per_stint] if n > per_stint else np.arange(n)
                best = best[np.lexsort((best, gain[best]))]
                below += min(0.0, float(gain[best[0]])) * self.times[stint]
                for pick in best:
                    if gain[pick] >= -TOLERANCE:
                        break
                    added += self.add_content(stint, [*nothing[:b], int(pick), *nothing[b + 1 :]])
        return below, added

    def possible_patterns(self, most: float) -> list[NDArray[np.bool_]]:
        """Which patterns a solution at most ``most`` above the program's can hold, (P, S) a block."""
        duals = self.duals()
        if self.apart:
            return self._possible_apart(duals, most)
        prices = list(self.pattern_prices(duals))
        result = [np.zeros(price.shape, np.bool_) for price in prices]
        for stint in self.stints:
            room = float(self.room[stint])
            fronts = self.fronts(prices, stint)
            for b, block in enumerate(self.blocks.blocks):
                rest = Front.empty()
                for other, front in enumerate(fronts):
                    if other != b:
                        rest = join(rest, front, room)
                n = int(np.searchsorted(block.minutes, room, side="right"))
                at = np.searchsorted(rest.minutes, room - block.minutes[:n], side="right") - 1
                gain = prices[b][:n, stint] + rest.price[at] - duals.once[stint]
                result[b][:n, stint] = gain <= most
        return result

    def _possible_apart(self, duals: Duals, most: float) -> list[NDArray[np.bool_]]:
        n = len(self.stints)
        room = self.room
        return [
            (price - duals.once[None, b * n : (b + 1) * n] <= most)
            & (block.minutes[:, None] <= room[None, :])
            for b, (block, price) in enumerate(
                zip(self.blocks.blocks, self.pattern_prices(duals), strict=True)
            )
        ]

    def fixed_columns(self, most: float) -> dict[Key, tuple[float, float]]:
        """Bounds that every solution at most ``most`` above the program's keeps, by reduced cost."""
        program = self.program
        costs, values = program.column_duals(), program.values()
        fixed: dict[Key, tuple[float, float]] = {}
        for column, key in enumerate(program.keys[: len(costs)]):
            if program.whole[column] and abs(costs[column]) > most:
                at = float(round(values[column]))
                if abs(values[column] - at) < 1e-9:
                    fixed[key] = (at, at)
        return fixed
