"""The order of steps with the fewest walks round the car.

Doing everything that can be done at a place before leaving it never costs a walk: a step moved forward to
where one stands anyway adds none, and whatever waits for it only gets freer. So an order is a row of places,
and the search is over rows of places alone: exact by breadth, one walk after another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

MOST_STATES = 3000
"""States of one walk up to which the search keeps all, and is exact. Beyond, it keeps the best.

Measured on made-up cards: cards of three cars' worth of work stay below 200; 3000 states of a walk take about
a tenth of a second.
"""


class Spot(NamedTuple):
    """Where one stands: at a car, at a place of it."""

    car: int
    place: str


@dataclass(frozen=True)
class Item:
    """A step as far as its order goes. ``needs`` are positions of others in the same list."""

    spot: Spot
    needs: frozenset[int] = frozenset()
    jobs: frozenset[str] = frozenset()
    opens: str | None = None
    """What it takes off; the item that puts it on again has the same as ``closes``."""
    closes: str | None = None


@dataclass(frozen=True)
class Order:
    """Positions in working order. ``walks``: changes of place, that from the start counted.

    ``exact``: no order has fewer walks, and of those with as few none is shorter.
    """

    at: tuple[int, ...]
    walks: int
    exact: bool


_AT = {
    "front-left": (0, 0), "front": (1, 0), "front-right": (2, 0),
    "left": (0, 1), "right": (2, 1),
    "rear-left": (0, 2), "rear": (1, 2), "rear-right": (2, 2),
    "engine-bay": (1, -1), "boot": (1, 3),
}  # fmt: skip
_RANK = {
    name: at
    for at, name in enumerate(
        (
            "all", "front", "front-left", "front-right", "rear", "rear-left", "rear-right", "left", "right",
            "engine-bay", "underside", "cabin", "boot",
        )
    )
}  # fmt: skip


def way_between(one: Spot, other: Spot) -> int:
    """Length of the way from a place to another, in half sides of a car; round another car is far.

    >>> way_between(Spot(0, "front-left"), Spot(0, "rear-right"))
    4
    """
    if one.car != other.car:
        return 10
    (x, y), (to_x, to_y) = _AT.get(one.place, (1, 1)), _AT.get(other.place, (1, 1))
    return abs(x - to_x) + abs(y - to_y)


def working_order(items: Sequence[Item], start: Spot | None = None, most_states: int = MOST_STATES) -> Order:
    """Put steps in the order with the fewest changes of place, and of those the shortest way.

    Parameters
    ----------
    items : sequence of Item
        In the order that decides where nothing else does.
    start : Spot, optional
        Where one stands at first; without it the first place costs nothing.
    most_states : int
        See ``MOST_STATES``.

    Returns
    -------
    Order
        No item stands before what it needs. The same items give the same order.

    Raises
    ------
    ValueError
        If items need one another in a circle.

    Examples
    --------
    >>> left, right = Spot(0, "front-left"), Spot(0, "front-right")
    >>> order = working_order([Item(left), Item(right), Item(left), Item(right, frozenset({2}))])
    >>> order.at, order.walks
    ((0, 2, 1, 3), 1)
    """
    search = _Search(items, most_states)
    rounds, exact = search.best_rounds(start)
    at: list[int] = []
    for spot, round_ in rounds:
        at += _in_round(items, round_, at)
        del spot
    walks = len(rounds) - 1 if start is None or not rounds else len(rounds) - (rounds[0][0] == start)
    return Order(tuple(at), max(0, walks), exact)


class _Search:
    def __init__(self, items: Sequence[Item], most_states: int) -> None:
        self.items = items
        self.most_states = most_states
        self.needs = [sum(1 << need for need in item.needs) for item in items]
        self.spots = sorted(
            {item.spot for item in items}, key=lambda spot: (spot.car, _RANK.get(spot.place, 99), spot.place)
        )
        self.here = [[at for at, item in enumerate(items) if item.spot == spot] for spot in self.spots]
        self.all = (1 << len(items)) - 1

    def done_at(self, place: int, done: int) -> int:
        """Everything done, once all that can be done at a place is."""
        waiting = [at for at in self.here[place] if not done >> at & 1]
        while True:
            ready = [at for at in waiting if not self.needs[at] & ~done]
            if not ready:
                return done
            for at in ready:
                done |= 1 << at
            waiting = [at for at in waiting if not done >> at & 1]

    def best_rounds(self, start: Spot | None) -> tuple[list[tuple[Spot, list[int]]], bool]:
        """The places in a row, and what is done at each."""
        if not self.items:
            return [], True
        exact = True
        # (done, place) -> length of the way, places in a row; the place is -1 before the first.
        layer: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {}
        begin = self.spots.index(start) if start in self.spots else -1
        if begin >= 0:
            done = self.done_at(begin, 0)
            layer[done, begin] = (0, (begin,) if done else ())
        else:
            layer[0, -1] = (0, ())
        seen: set[tuple[int, int]] = set()
        while True:
            finished = [value for (done, _), value in layer.items() if done == self.all]
            if finished:
                return self._told(min(finished)[1]), exact
            if len(layer) > self.most_states:
                exact = False
                layer = self._best_of(layer)
            seen.update(layer)
            layer = self._next(layer, seen, start)
            if not layer:
                raise ValueError("steps need one another in a circle")

    def _next(
        self,
        layer: dict[tuple[int, int], tuple[int, tuple[int, ...]]],
        seen: set[tuple[int, int]],
        start: Spot | None,
    ) -> dict[tuple[int, int], tuple[int, tuple[int, ...]]]:
        """What can be reached by one more walk."""
        found: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {}
        for (done, place), (way, row) in layer.items():
            before = start if place < 0 else self.spots[place]
            for other, spot in enumerate(self.spots):
                if other == place:
                    continue
                then = self.done_at(other, done)
                key = (then, other)
                if then == done or key in seen:
                    continue
                value = (way + (way_between(before, spot) if before else 0), (*row, other))
                if key not in found or value < found[key]:
                    found[key] = value
        return found

    def _best_of(
        self, layer: dict[tuple[int, int], tuple[int, tuple[int, ...]]]
    ) -> dict[tuple[int, int], tuple[int, tuple[int, ...]]]:
        """Those that have most done, by the shortest way."""
        ranked = sorted(layer.items(), key=lambda one: (-one[0][0].bit_count(), one[1]))
        return dict(ranked[: self.most_states])

    def _told(self, row: tuple[int, ...]) -> list[tuple[Spot, list[int]]]:
        rounds, done = [], 0
        for place in row:
            then = self.done_at(place, done)
            new = then & ~done
            rounds.append((self.spots[place], [at for at in self.here[place] if new >> at & 1]))
            done = then
        return rounds


def _in_round(items: Sequence[Item], round_: Sequence[int], before: Sequence[int]) -> list[int]:
    """What is done at a place, in order: take apart, then work and put together again, last off first on.

    Of what can be done next, that comes first which the last thing taken off waits for, and the job that one
    is at already.
    """
    inside = set(round_)
    left = {at: items[at].needs & inside for at in round_}
    # What is off, the last on top, with what has to be done before it goes on again.
    off = [name for at in before if (name := items[at].opens)]
    on_again = {name: at for at in round_ if (name := items[at].closes)}
    waits_for = {name: _before(items, at, inside) for name, at in on_again.items()}
    jobs = items[before[-1]].jobs if before else frozenset[str]()
    order: list[int] = []
    while left:
        ready = [at for at, needs in left.items() if not needs]
        if not ready:
            raise ValueError("steps need one another in a circle")
        top = [name for name in reversed(off) if name in on_again and on_again[name] in left]
        at = _first(items, ready, top, waits_for, on_again, jobs)
        if (opened := items[at].opens) is not None:
            off.append(opened)
        order.append(at)
        jobs = items[at].jobs or jobs
        del left[at]
        left = {other: needs - {at} for other, needs in left.items()}
    return order


def _first(
    items: Sequence[Item],
    ready: Sequence[int],
    top: Sequence[str],
    waits_for: dict[str, set[int]],
    on_again: dict[str, int],
    jobs: frozenset[str],
) -> int:
    # Whatever has to be before something comes off, and what comes off.
    unopened = {at for at in ready if items[at].opens is not None}
    if unopened:
        return min(unopened)
    for name in top:
        if on_again[name] in ready:
            return on_again[name]
        wanted = [at for at in ready if at in waits_for[name]]
        if wanted:
            return min(wanted, key=lambda at: (not items[at].jobs & jobs, at))
    return min(ready, key=lambda at: (items[at].closes is not None, not items[at].jobs & jobs, at))


def _before(items: Sequence[Item], at: int, inside: set[int]) -> set[int]:
    """All that must be done before an item, as far as it is in the same round."""
    found: set[int] = set()
    waiting = [at]
    while waiting:
        for need in items[waiting.pop()].needs & inside:
            if need not in found:
                found.add(need)
                waiting.append(need)
    return found
