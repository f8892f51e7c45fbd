"""Buying what is short: against every basket there is, and laws of what comes back."""

import datetime as dt
import itertools
import math

from hypothesis import given, settings
from hypothesis import strategies as st
from workloads import SMALL, workloads

from onceapart.planning.covering import Market, cheapest_of_part, money_for, needs_of
from onceapart.planning.workload import Offer, Seller, Stint, Workload

TODAY = dt.date(2026, 3, 2)
PARTS = ("hose", "pipe")
laws = settings(max_examples=120, deadline=None, derandomize=True)

prices = st.integers(0, 12).map(lambda tens: 10 * tens)


@st.composite
def markets(draw):
    """A few offers of two parts at a few sellers, some bought already, and what two parts are needed."""
    sellers = tuple(
        Seller(f"s{n}", f"S {n}", draw(prices), draw(st.none() | st.integers(0, 30).map(lambda x: 10 * x)))
        for n in range(draw(st.integers(1, 3)))
    )
    offers = tuple(
        Offer(
            f"o{n}",
            draw(st.sampled_from(sellers)).id,
            draw(st.dictionaries(st.sampled_from(PARTS), st.integers(1, 2), min_size=1)),
            draw(prices),
            TODAY + dt.timedelta(days=draw(st.sampled_from([0, 0, 3, 9]))),
            draw(st.none() | st.integers(0, 2)),
        )
        for n in range(draw(st.integers(1, 4)))
    )
    workload = Workload(
        TODAY, "EUR", 0, (), sellers=sellers, offers=offers, stints=(Stint(TODAY + dt.timedelta(days=5), 60),)
    )
    bought = {}
    for offer in offers:
        count = draw(st.integers(0, 1))
        if count and (offer.limit is None or offer.limit >= count):
            bought[offer.id] = count
    need = {part: draw(st.integers(0, 3)) for part in PARTS}
    return workload, bought, [{part: n for part, n in need.items() if n}]


def covers(market, needs, units):
    return market.first_short(needs, units) is None


def baskets(workload, bought, most):
    """Every basket that holds what is bought, up to so many more units of each offer."""
    more = [
        range((most if o.limit is None else min(most, o.limit - bought.get(o.id, 0))) + 1)
        for o in workload.offers
    ]
    for counts in itertools.product(*more):
        yield {o.id: bought.get(o.id, 0) + n for o, n in zip(workload.offers, counts, strict=True)}


@laws
@given(markets())
def test_what_is_short_is_bought_as_cheaply_as_any_basket_without_idle_units(case):
    workload, bought, needs = case
    market = Market(workload)
    covering = [units for units in baskets(workload, bought, 3) if covers(market, needs, units)]
    found = market.covered(needs, bought)
    if not covering:
        assert found is None
        return
    assert covers(market, needs, found)
    assert all(o.limit is None or found.get(o.id, 0) <= o.limit for o in workload.offers)

    def is_lean(units):
        extra = [name for name, n in units.items() if n > bought.get(name, 0)]
        return not any(covers(market, needs, {**units, name: units[name] - 1}) for name in extra)

    lean = min(money_for(workload, units) for units in covering if is_lean(units))
    assert money_for(workload, found) <= lean


@laws
@given(markets())
def test_an_offer_that_is_barred_is_not_bought(case):
    workload, bought, needs = case
    barred = {workload.offers[0].id}
    found = Market(workload).covered(needs, bought, barred)
    if found is not None:
        assert all(found.get(name, 0) <= bought.get(name, 0) for name in barred)


@laws
@given(workloads(SMALL), st.data())
def test_needs_of_several_stints_are_covered_or_can_not_be_by_anything(workload, data):
    jobs_in = [[] for _ in workload.stints]
    for job in workload.jobs:
        jobs_in[data.draw(st.integers(0, len(jobs_in) - 1))].append(job.id)
    needs, market = needs_of(workload, jobs_in), Market(workload)
    found = market.covered(needs, {})
    everything = {offer.id: 99 if offer.limit is None else offer.limit for offer in workload.offers}
    assert (found is not None) == covers(market, needs, everything)
    if found is not None:
        assert covers(market, needs, found)
        assert all(o.limit is None or found.get(o.id, 0) <= o.limit for o in workload.offers)


@laws
@given(markets(), st.integers(0, 5))
def test_pieces_of_one_part_cost_least(case, pieces):
    workload, bought, _ = case
    offers = [offer for offer in workload.offers if "hose" in offer.parts]
    found = cheapest_of_part(workload.offers, "hose", pieces, bought)

    def goods(units):
        return sum(n * workload.offer[name].price for name, n in units.items())

    most = [range((5 if o.limit is None else min(5, o.limit - bought.get(o.id, 0))) + 1) for o in offers]
    right = min(
        (
            sum(n * o.price for n, o in zip(counts, offers, strict=True))
            for counts in itertools.product(*most)
            if sum(n * o.parts["hose"] for n, o in zip(counts, offers, strict=True)) >= pieces
        ),
        default=math.inf,
    )
    assert (math.inf if found is None else goods(found)) == right
    if found is not None:
        assert sum(n * workload.offer[name].parts["hose"] for name, n in found.items()) >= pieces
        assert all(
            workload.offer[name].limit is None or n + bought.get(name, 0) <= workload.offer[name].limit
            for name, n in found.items()
        )
