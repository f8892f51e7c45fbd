"""The order of steps: as few walks as the best of all orders, and nothing lost."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.bench.order import MOST_STATES, Item, Order, Spot, way_between, working_order
from onceapart.workshop import CORNERS, PLACES


def random_items(seed: int, most: int, places: int) -> list[Item]:
    chance = random.Random(f"order {seed}")
    spots = [Spot(chance.randint(0, 1), chance.choice(PLACES)) for _ in range(places)]
    items: list[Item] = []
    for at in range(chance.randint(1, most)):
        needs = frozenset(chance.sample(range(at), min(at, chance.choice([0, 1, 1, 2]))))
        items.append(Item(chance.choice(spots), needs, frozenset({chance.choice("abc")})))
    order = list(range(len(items)))
    chance.shuffle(order)  # what is needed need not come before in the list
    new = {old: at for at, old in enumerate(order)}
    mixed = [items[old] for old in order]
    return [Item(i.spot, frozenset(new[need] for need in i.needs), i.jobs) for i in mixed]


def all_orders(items: Sequence[Item], done: tuple[int, ...] = ()) -> Iterator[tuple[int, ...]]:
    if len(done) == len(items):
        yield done
    for at, item in enumerate(items):
        if at not in done and item.needs <= {*done}:
            yield from all_orders(items, (*done, at))


def cost_of(items: Sequence[Item], order: Sequence[int], start: Spot | None) -> tuple[int, int]:
    spots = [*([start] if start else []), *(items[at].spot for at in order)]
    return (
        sum(one != other for one, other in pairwise(spots)),
        sum(way_between(one, other) for one, other in pairwise(spots)),
    )


def check(items: Sequence[Item], order: Order) -> None:
    assert sorted(order.at) == list(range(len(items))), "nothing is lost or done twice"
    for number, at in enumerate(order.at):
        assert items[at].needs <= {*order.at[:number]}


@pytest.mark.parametrize("seed", range(150))
def test_as_few_walks_as_the_best_of_all_orders(seed: int) -> None:
    items = random_items(seed, most=7, places=2 + seed % 3)
    start = items[0].spot if seed % 3 == 1 else Spot(0, "boot") if seed % 3 == 2 else None
    order = working_order(items, start)
    check(items, order)
    best = min(cost_of(items, one, start) for one in all_orders(items))
    assert (order.walks, order.exact) == (best[0], True)
    walks, way = cost_of(items, order.at, start)
    assert walks == best[0]
    assert best[1] <= way <= best[1] + 4, "and hardly a longer way"


@given(st.integers(0, 10**6), st.integers(1, 40), st.integers(1, 8))
def test_nothing_is_lost_and_nothing_comes_before_what_it_needs(seed: int, most: int, places: int) -> None:
    items = random_items(seed, most, places)
    order = working_order(items)
    check(items, order)
    assert cost_of(items, order.at, None)[0] == order.walks
    assert working_order(items) == order


@pytest.mark.parametrize("seed", range(60))
def test_a_search_cut_short_gives_a_sound_order_hardly_longer(seed: int) -> None:
    items = random_items(seed, most=40, places=6)
    full, cut = working_order(items), working_order(items, most_states=20)
    check(items, cut)
    assert full.exact
    assert full.walks <= cut.walks <= full.walks + 1
    assert cut.walks == cost_of(items, cut.at, None)[0]


def test_hard_cases_beyond_the_switch_are_said_to_be_not_exact() -> None:
    """Forty chains across eleven places: the search keeps the best and says so."""
    chance = random.Random(3)
    items: list[Item] = []
    for _ in range(14):
        before: frozenset[int] = frozenset()
        for _ in range(9):
            items.append(Item(Spot(0, chance.choice(PLACES)), before))
            before = frozenset({len(items) - 1})
    order = working_order(items, most_states=50)
    check(items, order)
    assert not order.exact
    assert MOST_STATES > 50


def test_what_needs_itself_in_a_circle_is_refused() -> None:
    here = Spot(0, "front")
    with pytest.raises(ValueError, match="circle"):
        working_order([Item(here, frozenset({1})), Item(here, frozenset({0}))])


def test_no_steps_no_walks() -> None:
    assert working_order([]) == Order((), 0, True)
    assert working_order([Item(Spot(0, "all"))], Spot(0, "front")).walks == 1


def test_last_off_is_first_on_and_a_job_stays_together() -> None:
    here = Spot(0, "front-left")
    wheel = [Item(here, opens="wheel"), Item(here, frozenset({0, 5, 6, 7}), closes="wheel")]
    disc = [Item(here, frozenset({0}), opens="disc"), Item(here, frozenset({0}), opens="shaft")]
    work = [
        Item(here, frozenset({2}), frozenset({"discs"})),
        Item(here, frozenset({2, 4}), closes="disc"),
        Item(here, frozenset({3, 7}), closes="shaft"),
        Item(here, frozenset({3}), frozenset({"boot"})),
    ]
    # wheel off, disc off, shaft off, then the boot behind the shaft and the shaft, before the disc
    assert working_order([*wheel, *disc, *work]).at == (0, 2, 3, 7, 6, 4, 5, 1)


@given(*(st.sampled_from(PLACES) for _ in range(3)), *(st.integers(0, 1) for _ in range(3)))
def test_ways_are_never_longer_than_by_a_third_place(
    a: str, b: str, c: str, car_a: int, car_b: int, car_c: int
) -> None:
    """What the search relies on: stopping on the way saves nothing."""
    one, two, three = Spot(car_a, a), Spot(car_b, b), Spot(car_c, c)
    assert way_between(one, three) <= way_between(one, two) + way_between(two, three)
    assert way_between(one, two) == way_between(two, one)


def test_round_the_car_is_four_sides() -> None:
    ring = [CORNERS[at] for at in (0, 1, 3, 2, 0)]
    assert [way_between(Spot(0, a), Spot(0, b)) for a, b in pairwise(ring)] == [2] * 4
