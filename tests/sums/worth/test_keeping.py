"""Keeping against letting go: by hand without spread, SciPy's triangular distribution with it, and laws."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from onceapart.errors import SumError
from onceapart.sums.result import Band
from onceapart.sums.wear.kinds import find_kind
from onceapart.sums.wear.outlook import WearReading, judge_wear
from onceapart.sums.worth.keeping import (
    Choice,
    Upkeep,
    break_even_month,
    chance_keeping_is_cheaper,
    draw_runs,
    due_from_wear,
    quantiles,
    value_after,
)


def sure(value):
    return Band(value, value, value)


def choice(**changed):
    given = {
        "value": sure(400),
        "value_passed": sure(1000),
        "to_pass": sure(550),
        "keep_monthly": sure(50),
        "alternative_monthly": sure(100),
        "alternative_upfront": sure(200),
        "loss_a_year": 0.1,
        "upkeep": (),
    }
    return Choice(**{**given, **changed})


def test_without_spread_it_is_plain_arithmetic():
    """By hand over 24 months: 550 + 24 × 50 + 400 - 1000 × 0.81 + 300 + 2 × 80; against 200 + 24 × 100."""
    upkeep = (
        Upkeep("tyres", sure(300), sure(8)),
        Upkeep("battery", sure(80), sure(6), sure(10)),  # months 6 and 16; 26 is beyond
        Upkeep("belt", sure(450), sure(25)),  # beyond
    )
    for run in draw_runs(choice(upkeep=upkeep), 24, runs=3):
        assert run.keep[-1] == pytest.approx(550 + 1200 + 400 - 810 + 300 + 160)
        assert run.alternative[-1] == pytest.approx(2600)
        assert run.by_item == (300, 160, 0)
        assert run.keep[7] - run.keep[6] == pytest.approx(50 + 1000 * (0.9**0.5 - 0.9 ** (7 / 12)))
        assert run.keep[8] - run.keep[7] == pytest.approx(350 + 1000 * (0.9 ** (7 / 12) - 0.9 ** (8 / 12)))
        assert run.keep[0] == pytest.approx(550 + 400 - 1000)


def test_overdue_upkeep_is_paid_at_once():
    run = draw_runs(choice(upkeep=(Upkeep("tyres", sure(300), sure(0)),)), 12, runs=1)[0]
    assert run.keep[0] == pytest.approx(550 + 400 - 1000 + 300)


def test_on_average_it_is_the_mean_of_the_triangles():
    """Mean (a + b + c) / 3; an item counts with the chance SciPy gives that it is due by then."""
    due = Band(6, 14, 30)
    asked = choice(
        to_pass=Band(400, 550, 900),
        keep_monthly=Band(40, 60, 120),
        value=Band(300, 350, 500),
        value_passed=Band(900, 1200, 1300),
        upkeep=(Upkeep("belt", Band(400, 450, 600), due),),
    )
    runs = draw_runs(asked, 18, runs=20000)
    chance = float(stats.triang.cdf(18, (14 - 6) / 24, 6, 24))
    mean = 1850 / 3 + 18 * 220 / 3 + 1150 / 3 - 3400 / 3 * 0.9**1.5 + chance * 1450 / 3
    assert sum(run.keep[-1] for run in runs) / len(runs) == pytest.approx(mean, rel=5e-3)
    paid = sum(run.by_item[0] > 0 for run in runs) / len(runs)
    assert paid == pytest.approx(chance, abs=0.015)


def test_spread_and_chance_agree_with_scipy_where_one_figure_is_uncertain():
    asked = choice(to_pass=Band(400, 550, 900), value_passed=sure(400), loss_a_year=0.0)
    triangle = stats.triang((550 - 400) / 500, 400, 500)
    runs = draw_runs(asked, 12, runs=20000)
    band = quantiles([run.keep[-1] - 600 for run in runs])
    assert [band.low, band.typical, band.high] == pytest.approx(
        [float(triangle.ppf(share)) for share in (0.1, 0.5, 0.9)], rel=0.01
    )
    # cheaper while passing costs less than 200 + 12 × 100 - 12 × 50 = 800
    assert chance_keeping_is_cheaper(runs) == pytest.approx(float(triangle.cdf(800)), abs=0.01)


def test_quantiles_agree_with_numpy():
    import numpy as np

    values = list(np.random.default_rng(1).normal(size=37))
    band = quantiles(values)
    assert [band.low, band.typical, band.high] == pytest.approx(list(np.quantile(values, [0.1, 0.5, 0.9])))


def test_no_value_once_passed_means_the_same_draw():
    runs = draw_runs(choice(value=Band(100, 400, 900), value_passed=None, loss_a_year=0.0), 12, runs=50)
    assert all(run.lost_value == pytest.approx(0) for run in runs)


bands = st.tuples(st.floats(0, 1000), st.floats(0, 500), st.floats(0, 500)).map(
    lambda parts: Band(parts[0], parts[0] + parts[1], parts[0] + parts[1] + parts[2])
)


@given(bands, st.floats(0, 2000), st.integers(1, 36))
@settings(max_examples=25, deadline=None)
def test_a_dearer_pass_never_speaks_for_keeping_and_shifts_every_month(to_pass, more, months):
    dearer = Band(to_pass.low + more, to_pass.typical + more, to_pass.high + more)
    cheap, dear = (draw_runs(choice(to_pass=each), months, runs=60) for each in (to_pass, dearer))
    assert chance_keeping_is_cheaper(dear) <= chance_keeping_is_cheaper(cheap)
    for one, other in zip(cheap, dear, strict=True):
        assert other.keep[-1] - one.keep[-1] == pytest.approx(more, abs=1e-6)


@given(bands, st.integers(1, 36))
@settings(max_examples=25, deadline=None)
def test_what_passing_may_cost_at_most_makes_both_ways_equal(to_pass, months):
    for run in draw_runs(choice(to_pass=to_pass), months, runs=20):
        most = run.alternative[-1] - run.keep[-1] + run.to_pass
        assert run.keep[-1] - run.to_pass + most == pytest.approx(run.alternative[-1])


def test_the_same_inputs_give_the_same_draws():
    asked = choice(to_pass=Band(1, 2, 5), upkeep=(Upkeep("x", Band(1, 2, 3), Band(1, 2, 30), Band(1, 2, 3)),))
    assert draw_runs(asked, 12, runs=20) == draw_runs(asked, 12, runs=20)


@pytest.mark.parametrize(
    ("keep", "alternative", "month"),
    [
        ([50, 50, 50, 90, 90], [0, 30, 60, 90, 120], 2),
        ([50, 50, 50, 150, 150], [0, 30, 60, 90, 120], None),
        ([0, 0], [0, 10], 0),
        ([0, 40, 40, 40], [10, 20, 30, 40], 3),
    ],
)
def test_break_even_is_the_month_from_which_it_stays_cheaper(keep, alternative, month):
    assert break_even_month(keep, alternative) == month


def test_value_after_a_year_and_half():
    assert value_after(1000, 0.1, 12) == pytest.approx(900)
    assert value_after(1000, 0.19, 6) == pytest.approx(900)
    assert value_after(1000, 0, 60) == 1000
    with pytest.raises(SumError, match="under 100%"):
        value_after(1000, 1, 12)


def test_due_dates_from_wear():
    readings = [WearReading(1000 * km, mm) for km, mm in ((0, 10), (5, 9), (10, 8.1), (15, 7), (20, 6))]
    outlook = judge_wear("pads", readings, find_kind("pad"), 3)
    due = due_from_wear(outlook, 12000)
    assert due.typical == pytest.approx(outlook.left_km("likely") / 1000)
    assert due.low < due.typical < due.high
    assert due_from_wear(judge_wear("pads", readings[:1], find_kind("pad"), 3), 12000) is None
    past = judge_wear("pads", [WearReading(0, 9), WearReading(9000, 2.9)], find_kind("pad"), 3)
    assert due_from_wear(past, 12000) == Band(0, 0, 0)
    hardly = judge_wear("pads", [WearReading(0, 9), WearReading(9000, 8.9)], find_kind("pad"), 3)
    open_ended = due_from_wear(hardly, 12000)
    assert open_ended.high - open_ended.typical == pytest.approx(2 * (open_ended.typical - open_ended.low))
    with pytest.raises(SumError, match="above nought"):
        due_from_wear(outlook, 0)


def test_edges_are_refused():
    for months in (0, 121):
        with pytest.raises(SumError, match="must be 1 to 120"):
            draw_runs(choice(), months)
