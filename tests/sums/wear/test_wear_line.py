"""The wear line: what it says of level, limit and spread, against arithmetic done by hand and laws."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.result import Band
from onceapart.sums.wear.days import day_after, parse_day, yearly_distance_km
from onceapart.sums.wear.kinds import find_kind, kinds
from onceapart.sums.wear.line import (
    assumed_line,
    bearable_rate_mm_per_1000km,
    distance_to_limit_km,
    fit_line,
    margin_mm,
    wear_rate_mm_per_1000km,
)
from onceapart.sums.wear.outlook import WearReading, judge_wear

XS = [0, 5000, 10000, 15000, 20000]
YS = [8.0, 7.1, 6.1, 5.2, 7.9]


def test_limit_of_readings_with_one_misread():
    """By hand: 8.0 mm less 0.18 mm/1000 km reaches 1.6 mm after 6.4 / 0.18 = 35.56 thousand km."""
    line = fit_line(XS, YS)
    assert line.reaches(1.6).likely_km == pytest.approx(6.4 / 0.18 * 1000)
    assert line.level_at_mm(20000).typical == pytest.approx(4.4)


def test_distance_from_margin_and_rate():
    """By hand: from 5.2 to 1.6 mm at 0.18 mm/1000 km is 20 thousand km."""
    assert distance_to_limit_km(margin_mm(5.2, 1.6), 0.18) == pytest.approx(20000)


def test_two_readings_have_the_spread_of_the_gauge():
    """By hand: the difference of two readings each off by 0.5 mm is off by 0.5 √2, over 10 thousand km."""
    rate = wear_rate_mm_per_1000km([0, 10000], [8, 6], gauge_mm=0.5)
    assert rate.typical == pytest.approx(0.2)
    assert rate.high - rate.typical == pytest.approx(0.5 * 2**0.5 / 10)
    assert rate.typical - rate.low == pytest.approx(0.5 * 2**0.5 / 10)


def test_a_figure_that_grows_is_the_mirror_of_one_that_gets_less():
    less = fit_line(XS, YS)
    more = fit_line(XS, [236 - y for y in YS], grows=True)
    assert more.rate_mm_per_1000km.typical == pytest.approx(less.rate_mm_per_1000km.typical)
    assert more.reaches(236 - 1.6).earliest_km == pytest.approx(less.reaches(1.6).earliest_km)
    here, there = more.level_at_mm(30000), less.level_at_mm(30000)
    assert (here.low, here.high) == pytest.approx((236 - there.high, 236 - there.low))


def test_an_assumed_start_gives_the_rate_of_each_figure_as_new():
    """By hand: 5.2 mm at 80 thousand, new at 40 thousand with 8 to 12 mm: 0.07, 0.12, 0.17 mm/1000 km."""
    line = assumed_line(80000, 5.2, 40000, Band(8, 10, 12), gauge_mm=0)
    rate = line.rate_mm_per_1000km
    assert (rate.low, rate.typical, rate.high) == pytest.approx((0.07, 0.12, 0.17))
    assert line.reaches(3.0).likely_km == pytest.approx(80000 + 2.2 / 0.12 * 1000)
    assert line.level_at_mm(80000).typical == pytest.approx(5.2)


readings = st.lists(
    st.tuples(st.integers(0, 100), st.floats(0, 10)), min_size=2, max_size=9, unique_by=lambda p: p[0]
)


@given(readings, st.floats(0, 1), st.floats(0, 12))
def test_earliest_likely_and_latest_are_in_order(pairs, gauge, limit):
    xs, ys = zip(*((1000 * x, y) for x, y in pairs), strict=True)
    line = fit_line(xs, ys, gauge_mm=gauge)
    reach = line.reaches(limit)
    order = [at for at in (reach.earliest_km, reach.likely_km, reach.latest_km) if at is not None]
    assert order == sorted(order)
    if reach.likely_km is not None:
        assert reach.earliest_km is not None
        assert line.level_at_mm(reach.likely_km).typical == pytest.approx(limit, abs=1e-6)


@given(readings, st.floats(0, 0.5), st.floats(0, 0.5))
def test_a_worse_gauge_never_narrows_the_spread(pairs, gauge, more):
    xs, ys = zip(*((1000 * x, y) for x, y in pairs), strict=True)
    fine, coarse = (fit_line(xs, ys, gauge_mm=each).rate_mm_per_1000km for each in (gauge, gauge + more))
    assert coarse.low <= fine.low
    assert coarse.high >= fine.high
    assert coarse.typical == fine.typical


@given(readings, st.floats(0, 5), st.floats(0.1, 5))
def test_a_lower_limit_is_never_reached_sooner(pairs, limit, lower):
    xs, ys = zip(*((1000 * x, y) for x, y in pairs), strict=True)
    line = fit_line(xs, ys)
    high, low = line.reaches(limit), line.reaches(limit - lower)
    for one, other in ((high.earliest_km, low.earliest_km), (high.likely_km, low.likely_km)):
        assert (one is None) == (other is None)
        assert one is None or other is None or one < other


def test_bearable_rate_is_the_rate_that_just_lasts():
    rate = bearable_rate_mm_per_1000km(2.2, 10000)
    assert distance_to_limit_km(2.2, rate) == pytest.approx(10000)
    assert bearable_rate_mm_per_1000km(-1, 10000) == 0


def test_edges_are_refused():
    with pytest.raises(SumError, match="never reached"):
        distance_to_limit_km(3, 0)
    with pytest.raises(SumError, match="above nought"):
        bearable_rate_mm_per_1000km(3, 0)
    with pytest.raises(SumError, match="after it was fitted"):
        assumed_line(100, 5, 100, Band(8, 8, 8))
    with pytest.raises(SumError, match="worn less than new"):
        assumed_line(1000, 9, 0, Band(8, 8, 8))
    with pytest.raises(SumError, match="below nought"):
        fit_line([0, 1], [1, 0], gauge_mm=-1)


def test_a_reading_no_such_part_can_have_is_refused():
    with pytest.raises(SumError, match="80 mm at 1000 km: must be 0 to 25 mm"):
        judge_wear("front", [WearReading(1000, 80)], find_kind("tread"), 1.6)


def test_an_odometer_below_the_last_reading_is_refused():
    with pytest.raises(SumError, match="not be below the last reading"):
        judge_wear("front", [WearReading(1000, 8)], find_kind("tread"), 1.6, now_km=900)


def test_unknown_kinds_are_refused_by_name():
    with pytest.raises(SumError, match="no such kind; choose from tread"):
        find_kind("flange")


def test_every_limit_says_how_far_it_was_seen():
    for kind in kinds().values():
        for limit in kind.limits:
            assert limit.status in {"verified", "from memory", "common practice"}
            assert limit.document
        assert kind.new_mm is None or kind.new_status


@pytest.mark.parametrize(
    ("kind", "limit_mm"),
    # 49 CFR 570.9(a): 2/32 in of tread; 570.5(g): 1/32 in of lining; UK manual 1.1.13: under 1.5 mm.
    [("tread", 2 / 32 * 25.4), ("pad", 1 / 32 * 25.4), ("shoe", 1 / 32 * 25.4), ("pad", 1.5)],
)
def test_limits_of_published_rules(kind, limit_mm):
    assert any(abs(limit.limit_mm - limit_mm) < 0.05 for limit in find_kind(kind).limits)


def test_yearly_distance_comes_from_dates():
    on = [date(2023, 1, 1), date(2024, 1, 1), date(2025, 1, 1)]
    assert yearly_distance_km([10000, 22000, 34000], on) == pytest.approx(12000, rel=2e-3)
    assert yearly_distance_km([10000, 10100], [date(2023, 1, 1), date(2023, 1, 9)]) is None
    assert yearly_distance_km([10000], [date(2023, 1, 1)]) is None


def test_an_odometer_that_runs_backward_is_refused():
    with pytest.raises(SumError, match="does not run backward"):
        yearly_distance_km([22000, 10000], [date(2023, 1, 1), date(2024, 1, 1)])


def test_days():
    assert parse_day(" 2026-4-1 ") == date(2026, 4, 1)
    assert day_after(date(2026, 1, 1), 1) == date(2027, 1, 1)
    assert day_after(date(2026, 1, 1), 61) is None
    for text, rule in (
        ("2026-02-30", "no such day"),
        ("1026-02-03", "1950 to 2199"),
        ("3 May", "not a date"),
    ):
        with pytest.raises(SumError, match=rule):
            parse_day(text)


@given(st.text(st.sampled_from("0123456789-٣ "), max_size=14) | st.text(max_size=14))
def test_any_text_is_a_day_or_refused(text):
    try:
        day = parse_day(text)
    except SumError:
        return
    assert str(day.year) in text
