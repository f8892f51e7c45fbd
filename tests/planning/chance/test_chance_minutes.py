"""Chances of whole minutes: held to SciPy's beta distribution, and to laws of adding up."""

from __future__ import annotations

import numpy as np
import pytest
from chance_cases import spread
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from onceapart.planning.chance.minutes import Chances, binomial, minutes_of
from onceapart.planning.chance.odds import Odds

spreads = st.lists(st.integers(0, 400), min_size=3, max_size=3).map(lambda cases: spread(*sorted(cases)))


@given(spreads)
def test_the_mean_is_that_of_pert(one):
    """(good + 4 typical + bad)/6: Malcolm and others 1959 (from memory)."""
    assert minutes_of(one).mean == pytest.approx((one.good + 4 * one.typical + one.bad) / 6, abs=1e-8)


@given(spreads)
def test_nothing_is_beyond_the_cases_and_the_chances_are_whole(one):
    found = minutes_of(one)
    assert found.least == one.good
    assert len(found.chance) == one.bad - one.good + 1
    assert (found.chance >= 0).all()
    assert found.chance.sum() == pytest.approx(1)


@given(spreads)
def test_whole_minutes_follow_the_beta_distribution(one):
    width = one.bad - one.good
    if not width:
        return
    first = 1 + 4 * (one.typical - one.good) / width
    beta = stats.beta(first, 6 - first, loc=one.good, scale=width)
    found = minutes_of(one)
    at = np.arange(one.good, one.bad + 1)
    steps = np.cumsum(found.chance)
    assert (steps >= beta.cdf(at) - 1e-9).all()
    assert (steps <= beta.cdf(at + 1) + 1e-9).all()
    # Sharing a minute between the two beside it adds at most a quarter.
    assert beta.var() - 1e-6 <= found.variance <= beta.var() + 0.25 + 1e-6


@given(spreads, spreads)
def test_means_and_variances_add_up(one, other):
    a, b = minutes_of(one), minutes_of(other)
    both = a + b
    assert both.mean == pytest.approx(a.mean + b.mean)
    assert both.variance == pytest.approx(a.variance + b.variance, abs=1e-6)


@given(spreads, st.integers(0, 500))
def test_at_most_and_beyond_are_sums_over_the_cases(one, number):
    found = minutes_of(one)
    cases = list(enumerate(found.chance.tolist(), start=found.least))
    assert found.at_most(number) == pytest.approx(sum(p for n, p in cases if n <= number), abs=1e-12)
    assert found.beyond(number) == pytest.approx(sum(p * max(0, n - number) for n, p in cases), abs=1e-9)


@given(st.integers(0, 12), st.sampled_from([0.0, 1.0]) | st.floats(1e-6, 1 - 1e-6))
def test_binomial_is_scipys(count, chance):
    assert binomial(count, chance).chance == pytest.approx(
        stats.binom.pmf(np.arange(count + 1), count, chance), abs=1e-9
    )


@given(spreads)
def test_even_figures_draw_the_chances(one):
    found = minutes_of(one)
    drawn = found.drawn((np.arange(20_000) + 0.5) / 20_000)
    shares = np.bincount(drawn - found.least, minlength=len(found.chance)) / 20_000
    assert np.abs(shares - found.chance).max() <= 1e-4
    assert found.drawn(np.array([0.0, 1 - 1e-16]))[1] <= one.bad


@given(st.integers(1, 20_000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_scipys_wilson(case):
    hits, runs = case
    low, high = Odds(hits, runs).interval
    wanted = stats.binomtest(hits, runs).proportion_ci(0.95, method="wilson")
    assert (low, high) == pytest.approx((wanted.low, wanted.high), abs=1e-9)


def test_a_sum_of_many_is_about_normal():
    """The central limit, as a check from outside: 40 alike, within half a percent."""
    one = minutes_of(spread(5, 8, 25))
    total = Chances.certain(0)
    for _ in range(40):
        total = total + one
    normal = stats.norm(40 * one.mean, (40 * one.variance) ** 0.5)
    for share in (0.1, 0.5, 0.9):
        assert total.at_most(int(normal.ppf(share))) == pytest.approx(
            normal.cdf(int(normal.ppf(share)) + 0.5), abs=0.02
        )
