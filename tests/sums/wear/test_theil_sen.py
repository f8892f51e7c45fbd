"""Theil-Sen: a published example, SciPy, brute force over orders, and laws."""

import itertools
import math
import random
from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from onceapart.errors import SumError
from onceapart.sums.wear.theil_sen import (
    disorder_chances,
    slope_interval,
    theil_sen_intercept,
    theil_sen_slope,
)

# Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389, the example: data, slope 4 and interval 3.71 to 4.38, as
# SciPy's own tests quote them (scipy/stats/tests/test_mstats_basic.py, test_theilslopes). They quote the
# interval for 93 %; counting the orders exactly, the same ends hold 97 %.
SEN_X = [1, 2, 3, 4, 10, 12, 18]
SEN_Y = [9, 15, 19, 20, 45, 55, 78]


def test_slope_and_interval_of_sens_example():
    assert theil_sen_slope(SEN_X, SEN_Y) == 4
    interval = slope_interval(SEN_X, SEN_Y, 0.95)
    assert (round(interval.low, 2), round(interval.high, 2)) == (3.71, 4.38)


# Hollander and Wolfe, Nonparametric Statistical Methods, cloud-seeding example: -0.056, from memory.
def test_slope_of_the_cloud_seeding_example():
    assert round(theil_sen_slope([1, 2, 3, 4, 5], [1.26, 1.27, 1.12, 1.16, 1.03]), 3) == -0.056


def test_a_misread_reading_does_not_pull_the_slope():
    """Worked by hand: the ten slopes of these readings in order are -0.9, ... , 2.7; the middle is -0.18."""
    xs, ys = [0, 5, 10, 15, 20], [8.0, 7.1, 6.1, 5.2, 7.9]
    assert theil_sen_slope(xs, ys) == pytest.approx(-0.18)
    assert theil_sen_intercept(xs, ys, -0.18) == pytest.approx(8.0)
    assert stats.linregress(xs, ys).slope == pytest.approx(-0.042)  # least squares is pulled


def _some_points(seed, n):
    rng = random.Random(seed)
    xs = [rng.randrange(0, 3 * n) for _ in range(n)]
    return xs, [8 - 0.1 * x + rng.gauss(0, 0.5) for x in xs]


@pytest.mark.parametrize("seed", range(30))
def test_slope_and_intercept_agree_with_scipy(seed):
    xs, ys = _some_points(seed, 3 + seed)
    theirs = stats.theilslopes(ys, xs, method="joint")
    slope = theil_sen_slope(xs, ys)
    assert slope == pytest.approx(float(theirs.slope))
    assert theil_sen_intercept(xs, ys, slope) == pytest.approx(float(theirs.intercept))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_interval_of_many_readings_agrees_with_scipy(seed, confidence):
    rng = random.Random(seed)
    xs = rng.sample(range(1000), 130)
    ys = [round(8 - 0.1 * x + rng.gauss(0, 5)) for x in xs]  # rounded, so that there are ties
    theirs = stats.theilslopes(ys, xs, confidence)
    ours = slope_interval(xs, ys, confidence)
    # SciPy rounds the rank of each end apart from the other, so an end may be the next slope but one.
    assert ours.low == pytest.approx(float(theirs.low_slope), abs=2e-3)
    assert ours.high == pytest.approx(float(theirs.high_slope), abs=2e-3)


@pytest.mark.parametrize("n", range(2, 30))
def test_chances_of_disorder_agree_with_scipys_exact_kendall(n):
    """Two-sided p-value of Kendall's tau for a list with 0, 1, 2 ... falling pairs."""
    chances = disorder_chances([1] * n)
    for falling in {0, 1, n // 2, n * (n - 1) // 4 - 1} - {-1}:
        order = _order_with(falling, n)
        theirs = stats.kendalltau(range(n), order, method="exact").pvalue
        assert min(1.0, 2 * math.fsum(chances[: falling + 1])) == pytest.approx(float(theirs), abs=1e-12)


def _order_with(falling, n):
    left, out = list(range(n)), []
    while left:
        take = min(falling, len(left) - 1)
        out.append(left.pop(take))
        falling -= take
    return out


@pytest.mark.parametrize("groups", [[1, 1, 1, 1, 1, 1], [2, 1, 3], [3, 3], [1, 5], [2, 2, 2]])
def test_chances_of_disorder_agree_with_counting_every_order(groups):
    xs = [x for x, size in enumerate(groups) for _ in range(size)]
    counts = Counter(
        sum(ys[i] > ys[j] for i, j in itertools.combinations(range(6), 2) if xs[i] != xs[j])
        for ys in itertools.permutations(range(6))
    )
    for falling, chance in enumerate(disorder_chances(groups)):
        assert chance == pytest.approx(counts[falling] / math.factorial(6))


@pytest.mark.parametrize(("n", "rate"), [(3, 2 / 3), (4, 11 / 12), (5, 0.98333), (8, None), (20, None)])
def test_the_interval_holds_the_true_slope_as_often_as_it_says(n, rate):
    rng = np.random.default_rng(n)
    xs = list(range(n))
    held, said = 0, 0.0
    runs = 1500
    for _ in range(runs):
        interval = slope_interval(xs, [float(y) for y in 10 - 0.5 * np.array(xs) + rng.standard_t(2, n)])
        held += interval.low <= -0.5 <= interval.high
        said = interval.confidence
    assert rate is None or said == pytest.approx(rate, abs=1e-4)
    assert held / runs == pytest.approx(said, abs=4 * math.sqrt(said * (1 - said) / runs))
    assert n < 5 or said >= 0.95


points = st.lists(
    st.tuples(st.integers(0, 200), st.integers(-400, 400)), min_size=2, max_size=12, unique_by=lambda p: p[0]
)


@given(points, st.integers(-20, 20), st.integers(-50, 50))
def test_adding_a_line_adds_its_slope(pairs, slope, start):
    xs, ys = zip(*pairs, strict=True)
    tilted = [y + slope * x + start for x, y in pairs]
    assert theil_sen_slope(xs, tilted) == pytest.approx(theil_sen_slope(xs, ys) + slope)
    before, after = slope_interval(xs, ys), slope_interval(xs, tilted)
    assert (after.low, after.high) == pytest.approx((before.low + slope, before.high + slope))


@given(points)
def test_slope_lies_within_its_interval_and_order_does_not_matter(pairs):
    xs, ys = zip(*pairs, strict=True)
    interval = slope_interval(xs, ys)
    slope = theil_sen_slope(xs, ys)
    assert interval.low <= slope <= interval.high
    assert theil_sen_slope(xs[::-1], ys[::-1]) == slope
    assert theil_sen_slope(xs, [-y for y in ys]) == pytest.approx(-slope)


@given(points, st.integers(0, 11), st.floats(-1e6, 1e6))
def test_one_wild_reading_in_five_leaves_the_slope_among_the_others(pairs, which, wild):
    """Of n good points in a line, one wild one cannot move the median of slopes if n is 5 or more."""
    xs = sorted({x for x, _ in pairs})
    if len(xs) < 5:
        return
    ys = [8 - 0.25 * x for x in xs]
    ys[which % len(xs)] = wild
    assert theil_sen_slope(xs, ys) == pytest.approx(-0.25)


def test_two_points_have_no_confidence():
    interval = slope_interval([0, 10], [8, 7])
    assert (interval.low, interval.high, interval.confidence) == (-0.1, -0.1, 0)


def test_readings_at_one_distance_are_refused():
    with pytest.raises(SumError, match="all at one distance"):
        theil_sen_slope([5, 5], [1, 2])
    with pytest.raises(SumError, match="all at one distance"):
        slope_interval([5], [1])


def test_unequal_numbers_and_odd_confidences_are_refused():
    with pytest.raises(SumError, match="as many"):
        theil_sen_slope([1, 2], [1])
    with pytest.raises(SumError, match="between 0 and 1"):
        slope_interval([1, 2], [1, 2], 95)
