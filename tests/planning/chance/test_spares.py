"""Spare hardware: against brute force over all units and all that may break, and the newsvendor's rule."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import pytest
from chance_cases import day, workload
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from onceapart.planning.chance.demand import Call, calls_of, cost_of_lacking, pieces_called
from onceapart.planning.chance.spares import MOST_BEYOND_USE, choose_spares
from onceapart.planning.chance.trouble import Fastener, Trouble
from onceapart.planning.cost import cost, goods_by_seller
from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.workload import Access, Job, Offer, Seller, Stint, Workload

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def binomial(n, p):
    return [math.comb(n, k) * p**k * (1 - p) ** (n - k) for k in range(n + 1)]


def lacking_by_hand(calls, in_hand, piece):
    """What stopping costs on average, by going through all that may break."""
    total = 0.0
    ways = [
        [(1.0, c.fastener.count)]
        if c.fastener.renew
        else [(p, k) for k, p in enumerate(binomial(c.fastener.count, c.fastener.chance))]
        for c in calls
    ]
    for broken in itertools.product(*ways):
        chance, price, house = 1.0, 0.0, 0
        coming = sorted(in_hand)
        for (share, number), call in zip(broken, calls, strict=True):
            chance *= share
            while coming and coming[0][0] <= call.day:
                house += coming.pop(0)[1]
            if number > house:
                price += call.stop + piece * (number - house)
            house -= min(number, house)
        total += chance * price
    return total


@st.composite
def fastener_cases(draw) -> tuple[Workload, Plan, Trouble]:
    """Jobs with fasteners in one or two stints, and offers of fasteners at one or two sellers."""
    n_stints = draw(st.integers(1, 2))
    stints = [Stint(day(5 * n + 2), 1000) for n in range(n_stints)]
    jobs = [Job(f"job{n}", "wren", True, 10, parts={"pads": 1}) for n in range(draw(st.integers(1, 3)))]
    kinds = ["bolt", "nut", "clip"][: draw(st.integers(1, 3))]
    fasteners = [
        Fastener(
            draw(st.sampled_from(jobs)).id,
            draw(st.sampled_from(kinds)),
            draw(st.integers(1, 2)),
            draw(st.sampled_from([0.05, 0.2, 0.5, 0.9])),
        )
        for _ in range(draw(st.integers(1, 4)))
    ]
    sellers = [
        Seller(
            f"seller{n}",
            f"Seller {n}",
            draw(st.sampled_from([0, 150, 400])),
            draw(st.sampled_from([None, 300, 700])),
        )
        for n in range(draw(st.integers(1, 2)))
    ]
    offers = [Offer("pads-offer", "seller0", {"pads": 1}, draw(st.sampled_from([100, 250])), day(0))]
    for n in range(draw(st.integers(1, 4))):
        parts = {draw(st.sampled_from(kinds)): draw(st.integers(1, 3))}
        if draw(st.booleans()):
            parts.setdefault(draw(st.sampled_from([*kinds, "washer"])), 1)
        offers.append(
            Offer(
                f"offer{n}",
                draw(st.sampled_from(sellers)).id,
                parts,
                draw(st.sampled_from([0, 20, 60, 130, 250])),
                day(draw(st.sampled_from([0, 2, 4, 9]))),
                limit=draw(st.sampled_from([None, 1, 2])),
            )
        )
    jobs_in = [[] for _ in stints]
    for job in jobs:
        jobs_in[draw(st.integers(0, n_stints - 1))].append(job.id)
    shelf = {"pads": 3} if draw(st.booleans()) else {}
    if draw(st.booleans()):
        shelf[draw(st.sampled_from(kinds))] = 1
    w = workload(jobs, stints, sellers=tuple(sellers), offers=tuple(offers), shelf=shelf, hour_worth=1200)
    units = {} if "pads" in shelf else {"pads-offer": len(jobs)}
    trouble = Trouble(fasteners=tuple(fasteners), trip=draw(st.sampled_from([15, 45])))
    return w, plan_of(w, jobs_in, units), trouble


def whole_cost(w: Workload, plan: Plan, trouble: Trouble, units) -> float:
    """Money of the plan with these units as well, and what stopping costs, all by hand."""
    bought = Counter(plan.units)
    bought.update(units)
    price = float(cost(w, Plan(plan.work, dict(bought), plan.tools_bought)).money)
    counter = {}
    for part in calls_of(w, plan, trouble):
        single = [o for o in w.offers if set(o.parts) == {part}]
        today = [o for o in single if o.arrives <= w.today] or single
        counter[part] = min((o.price / o.parts[part] for o in today), default=0.0)
    for part, calls in calls_of(w, plan, trouble).items():
        in_hand = [(w.today, w.shelf.get(part, 0))]
        in_hand += [(w.offer[o].arrives, w.offer[o].parts.get(part, 0) * n) for o, n in units.items()]
        price += lacking_by_hand(calls, in_hand, counter[part])
    return price


@settings(max_examples=40, deadline=None, suppress_health_check=SLOW)
@given(fastener_cases())
def test_no_other_units_cost_less(case):
    w, plan, trouble = case
    calls = calls_of(w, plan, trouble)
    offers = [o for o in w.offers if any(part in calls for part in o.parts)]
    # More is of no use than can be called for, or makes the parcel free.
    most = {o.id: sum(one.count for one in trouble.fasteners) for o in offers}
    for o in offers:
        free_from = w.seller[o.seller].free_from
        if free_from and o.price:
            lacks = free_from - goods_by_seller(w, plan).get(o.seller, 0)
            most[o.id] = max(most[o.id], min(MOST_BEYOND_USE, math.ceil(lacks / o.price)))
    ranges = [range(min(most[o.id], most[o.id] if o.limit is None else o.limit) + 1) for o in offers]
    assume(math.prod(map(len, ranges)) <= 150)
    found = choose_spares(w, plan, trouble)
    best = min(
        whole_cost(w, plan, trouble, {o.id: n for o, n in zip(offers, counts, strict=True) if n})
        for counts in itertools.product(*ranges)
    )
    without = whole_cost(w, plan, trouble, {})
    # What is called for less than once in a million times is left out: under a hundredth of a cent.
    assert whole_cost(w, plan, trouble, found.units) == pytest.approx(best, abs=0.01)
    assert found.gain == pytest.approx(without - best, abs=0.01)
    for name, count in found.units.items():
        limit = w.offer[name].limit
        assert limit is None or count <= limit


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 9), st.integers(1, 3), st.sampled_from([0.1, 0.5, 0.8]), st.booleans()),
        max_size=5,
    ),
    st.lists(st.tuples(st.integers(0, 9), st.integers(0, 3)), max_size=3),
    st.sampled_from([0.0, 35.0]),
)
def test_what_stopping_costs_is_that_of_all_that_may_break(calls, in_hand, piece):
    made = [
        Call(day(at), Fastener("job", "bolt", count, chance, renew=renew), 100.0 + at)
        for at, count, chance, renew in sorted(calls)
    ]
    there = [(day(at), pieces) for at, pieces in in_hand]
    assert cost_of_lacking(made, there, piece) == pytest.approx(lacking_by_hand(made, there, piece))


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 8), st.sampled_from([0.03, 0.1, 0.3, 0.6]), st.integers(1, 900))
def test_one_kind_is_the_newsvendors_choice(n, chance, price):
    """As many as the critical fractile says: stopping against stopping and price together.

    The single-period inventory model; standard result of operations research (from memory).
    """
    jobs = [Job(f"job{at}", "wren", True, 10) for at in range(n)]
    trouble = Trouble(fasteners=tuple(Fastener(job.id, "bolt", 1, chance) for job in jobs), trip=30)
    stop = 600.0
    w = workload(
        jobs,
        [Stint(day(0), 500)],
        sellers=(Seller("counter", "Counter", 0),),
        offers=(Offer("bolt-offer", "counter", {"bolt": 1}, price, day(0)),),
        hour_worth=1200,
    )
    found = choose_spares(w, plan_of(w, [[job.id for job in jobs]], {}), trouble)
    fractile = stop / (stop + price)
    assume(abs(stats.binom.cdf(range(n + 1), n, chance) - fractile).min() > 1e-9)
    wanted = int(stats.binom.ppf(fractile, n, chance))
    # A piece needs to be wanted more often than once in a million times.
    assert found.units.get("bolt-offer", 0) == wanted
    (spare,) = found.spares
    assert spare.pieces == wanted
    assert spare.needed == pytest.approx(n * chance)


def parcel(delivery: int, free_from: int | None, goods: int):
    """A plan that orders pads for so much, and a bolt of 60 that one in five times saves 600."""
    w = workload(
        [Job("pads", "wren", True, 10, parts={"pads": 1})],
        [Stint(day(4), 500)],
        sellers=(Seller("post", "Post", delivery, free_from), Seller("far", "Far", 500, None)),
        offers=(
            Offer("pads-offer", "post", {"pads": 1}, goods, day(2)),
            Offer("bolt-post", "post", {"bolt": 1}, 60, day(2)),
            Offer("bolt-far", "far", {"bolt": 1}, 10, day(2)),
        ),
        hour_worth=1200,
    )
    trouble = Trouble(fasteners=(Fastener("pads", "bolt", 1, 0.2),), trip=30)
    return w, trouble


def test_a_parcel_that_comes_anyway_brings_spares_without_a_fee():
    w, trouble = parcel(850, None, 2000)
    found = choose_spares(w, plan_of(w, [["pads"]], {"pads-offer": 1}), trouble)
    assert (found.units, found.delivery) == ({"bolt-post": 1}, 0)
    alone = choose_spares(w, plan_of(w, [["pads"]], {}), trouble)
    assert alone.units == {}, "no parcel is sent for one bolt"


def test_spares_may_make_the_parcel_free():
    w, trouble = parcel(850, 2100, 1990)
    found = choose_spares(w, plan_of(w, [["pads"]], {"pads-offer": 1}), trouble)
    assert (found.units, found.delivery) == ({"bolt-post": 2}, -850), "one more than is of use"
    w, trouble = parcel(850, 2050, 1990)
    found = choose_spares(w, plan_of(w, [["pads"]], {"pads-offer": 1}), trouble)
    assert (found.units, found.delivery) == ({"bolt-post": 1}, -850)


def test_a_spare_that_comes_too_late_is_not_bought_nor_one_that_lies_on_the_shelf():
    w, trouble = parcel(850, None, 2000)
    late = workload(
        w.jobs, [Stint(day(1), 500)], sellers=w.sellers, offers=w.offers, shelf={"pads": 1}, hour_worth=1200
    )
    assert choose_spares(late, plan_of(late, [["pads"]], {}), trouble).units == {}
    there = workload(w.jobs, w.stints, sellers=w.sellers, offers=w.offers, shelf={"bolt": 1}, hour_worth=1200)
    found = choose_spares(there, plan_of(there, [["pads"]], {"pads-offer": 1}), trouble)
    assert found.units == {}
    assert found.spares[0].there == 1


def test_without_an_offer_it_is_said_what_a_spare_may_cost():
    trouble = Trouble(fasteners=(Fastener("pads", "bolt", 2, 0.5),), trip=30)
    w = workload([Job("pads", "wren", True, 10)], [Stint(day(4), 500)], hour_worth=1200)
    (spare,) = choose_spares(w, plan_of(w, [["pads"]], {}), trouble).spares
    assert not spare.offered
    assert spare.some == pytest.approx(0.75)
    assert spare.worth == pytest.approx(0.5 * 600), "with one of two in the house, one in two trips is saved"


def test_what_is_renewed_anyway_is_bought_where_it_is_offered():
    trouble = Trouble(fasteners=(Fastener("pads", "bolt", 2, 0.0, renew=True),), trip=30)
    w = workload(
        [Job("pads", "wren", True, 10)],
        [Stint(day(4), 500)],
        sellers=(Seller("post", "Post", 900),),
        offers=(Offer("bolt-post", "post", {"bolt": 1}, 5000, day(2)),),
    )
    found = choose_spares(w, plan_of(w, [["pads"]], {}), trouble)
    assert found.units == {"bolt-post": 2}


def test_stopping_without_a_counter_costs_what_comes_off_again_and_a_delivery():
    w = workload(
        [Job("pads", "wren", True, 10, access=("disc",))],
        [Stint(day(4), 500)],
        access=(Access("wheel", 10), Access("disc", 20, under=("wheel",))),
        sellers=(Seller("post", "Post", 900), Seller("far", "Far", 400)),
        hour_worth=1200,
    )
    bolts = (Fastener("pads", "bolt", 1, 0.5), Fastener("disc", "nut", 2, 0.5, True))
    calls = calls_of(w, plan_of(w, [["pads"]], {}), Trouble(fasteners=bolts, trip=None))
    assert {part: [call.stop for call in found] for part, found in calls.items()} == {
        "bolt": [30 * 20 + 400],
        "nut": [30 * 20 + 400],
    }
    assert pieces_called(calls["nut"]).mean == pytest.approx(1)
