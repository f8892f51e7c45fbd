"""The order of steps with the fewest walks round the car.

Doing everything that can be done at a place before leaving it never costs a walk: a step moved forward to
where one stands anyway adds none, and whatever waits for it only gets freer. So an order is a row of places,
and the search is over rows of places alone: exact by breadth, one walk after another. Steps at a place that
wait for the same steps elsewhere are always done together and count as one. And a place that can be finished
by one visit is visited at once or never better: it needs that visit anyway.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple

MOST_STATES = 3000
"""States of one walk up to which the search keeps all, and is exact."""
KEPT_STATES = 200
"""States of each walk that it goes on with once there were more.

Measured: the demo's stints take at most 100 states, a car with 8 to 14 jobs by chance up to 2400 and 0.6 s,
so they are exact. 120 made-up steps at 8 to 11 places took up to 60 000; kept to 200 a walk they take a third
of a second, and at most 1 walk more than kept to 1000.
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

    ``exact``: no order has fewer walks.
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
    """Put steps in the order with the fewest changes of place, and of those one with a short way.

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
    for _, inside in rounds:
        at += _in_round(items, inside, at)
    walks = len(rounds) - 1 if start is None or not rounds else len(rounds) - (rounds[0][0] == start)
    return Order(tuple(at), max(0, walks), exact)


@dataclass(frozen=True)
class _State:
    """Where a row of places has led: the way so far, and the row, as positions in ``_Search.spots``."""

    way: int
    row: tuple[int, ...]

    def __lt__(self, other: _State) -> bool:
        return (self.way, self.row) < (other.way, other.row)


class _Search:
    """Rows of places, by what is done after them: groups of items, as bits of a number."""

    def __init__(self, items: Sequence[Item], most_states: int) -> None:
        self.most_states = most_states
        self.spots = sorted(
            {item.spot for item in items}, key=lambda spot: (spot.car, _RANK.get(spot.place, 99), spot.place)
        )
        groups: dict[tuple[Spot, frozenset[int]], list[int]] = {}
        elsewhere = _needed_elsewhere(items)
        for at, item in enumerate(items):
            groups.setdefault((item.spot, elsewhere[at]), []).append(at)
        self.groups = list(groups.values())
        group_of = {at: number for number, group in enumerate(self.groups) for at in group}
        place_of = {spot: number for number, spot in enumerate(self.spots)}
        # By place: bit of the group, and bits of what it waits for.
        self.here: list[list[tuple[int, int]]] = [[] for _ in self.spots]
        for number, (spot, needs) in enumerate(groups):
            mask = sum(1 << one for one in {group_of[need] for need in needs})
            self.here[place_of[spot]].append((1 << number, mask))
        self.at_place = [sum(bit for bit, _ in here) for here in self.here]
        self.all = (1 << len(self.groups)) - 1

    def done_at(self, place: int, done: int) -> int:
        """Everything done, once all that can be done at a place is."""
        found = done
        for bit, needs in self.here[place]:
            if not needs & ~done:
                found |= bit
        return found

    def best_rounds(self, start: Spot | None) -> tuple[list[tuple[Spot, list[int]]], bool]:
        """The places in a row, and the items done at each; whether none has fewer places."""
        exact, most = True, self.most_states
        layer: dict[tuple[int, int], _State] = {(0, -1): _State(0, ())}
        if start in self.spots:
            begin = self.spots.index(start)
            done = self.done_at(begin, 0)
            layer = {(done, begin): _State(0, (begin,) if done else ())}
        seen: set[tuple[int, int]] = set()
        while True:
            finished = [state for (done, _), state in layer.items() if done == self.all]
            if finished:
                return self._told(min(finished).row), exact
            if len(layer) > most:
                exact, most = False, min(most, KEPT_STATES)
                ranked = sorted(layer.items(), key=lambda one: (-one[0][0].bit_count(), one[1]))
                layer = dict(ranked[:most])
            seen.update(layer)
            layer = self._next(layer, seen, start)
            if not layer:
                raise ValueError("steps need one another in a circle")

    def _next(
        self, layer: dict[tuple[int, int], _State], seen: set[tuple[int, int]], start: Spot | None
    ) -> dict[tuple[int, int], _State]:
        """What can be reached by one more walk."""
        found: dict[tuple[int, int], _State] = {}
        for (done, place), state in layer.items():
            before = start if place < 0 else self.spots[place]
            steps = [
                (other, then)
                for other in range(len(self.spots))
                if other != place and (then := self.done_at(other, done)) != done
            ]
            finishing = [(other, then) for other, then in steps if not self.at_place[other] & ~then]
            for other, then in finishing or steps:
                key = (then, other)
                if key in seen:
                    continue
                way = state.way + (way_between(before, self.spots[other]) if before else 0)
                new = _State(way, (*state.row, other))
                if key not in found or new < found[key]:
                    found[key] = new
        return found

    def _told(self, row: tuple[int, ...]) -> list[tuple[Spot, list[int]]]:
        rounds, done = [], 0
        for place in row:
            then = self.done_at(place, done)
            new = then & ~done
            done = then
            inside = [at for number, group in enumerate(self.groups) if new >> number & 1 for at in group]
            rounds.append((self.spots[place], sorted(inside)))
        return rounds


def _needed_elsewhere(items: Sequence[Item]) -> list[frozenset[int]]:
    """For each item all that must be done before it at other places."""
    before: dict[int, frozenset[int]] = {}
    try:
        order = list(TopologicalSorter({at: item.needs for at, item in enumerate(items)}).static_order())
    except CycleError:
        raise ValueError("steps need one another in a circle") from None
    for at in order:
        before[at] = items[at].needs.union(*(before[need] for need in items[at].needs))
    return [
        frozenset(need for need in before[at] if items[need].spot != items[at].spot)
        for at in range(len(items))
    ]


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
