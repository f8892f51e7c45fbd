"""Figures typed with a spread, and the sum as it is asked."""

import time
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.plots import plot_png
from onceapart.sums.registry import find_sum
from onceapart.sums.result import Band
from onceapart.sums.run import run_sum
from onceapart.sums.worth.spread import Due, DueInput, SpreadInput, widened

PRICE = SpreadInput(name="price", label="Price", unit="money", low=0, high=1e5, example="550")
MONTHS = SpreadInput(name="every", label="Every", unit="month", low=0, high=240, example="5 to 12 months")
RATE = SpreadInput(name="rate", label="Rate", unit="money/month", low=0, high=1e4, example="80 /month")
DUE = DueInput(name="due", label="Due", example="8 months")


@pytest.mark.parametrize(
    ("asked", "text", "band"),
    [
        (PRICE, "550", (550, 550, 550)),
        (PRICE, "400 to 700", (400, 550, 700)),
        (PRICE, "400-700", (400, 550, 700)),
        (PRICE, "400 – 700", (400, 550, 700)),
        (PRICE, "400 to 550 to 900", (400, 550, 900)),
        (PRICE, "550 ± 20 %", (440, 550, 660)),
        (PRICE, "550 +- 20%", (440, 550, 660)),
        (PRICE, "550 +/- 110", (440, 550, 660)),
        (MONTHS, "1 to 2 years", (12, 18, 24)),
        (MONTHS, "1 year to 18 months", (12, 15, 18)),
        (MONTHS, "5 to 8 to 12 months", (5, 8, 12)),
        (MONTHS, "1/2 to 1 1/2 years", (6, 12, 18)),
        (RATE, "80 to 120 /month", (80, 100, 120)),
        (RATE, "960 to 1440 /year", (80, 100, 120)),
        (RATE, "80-120 /month", (80, 100, 120)),
    ],
)
def test_spreads_as_typed(asked, text, band):
    read = asked.value_of(text)[0]
    assert (read.low, read.typical, read.high) == pytest.approx(band)


@pytest.mark.parametrize(
    ("asked", "text", "message"),
    [
        (PRICE, "700 to 400", "must go up"),
        (PRICE, "1 to 2 to 3 to 4", "more than three"),
        (PRICE, "-5 to 3", "must be 0 to 100000"),
        (PRICE, "550 ± 120 %", "at most the figure itself"),
        (PRICE, "550 ± lots", "not one number"),
        (PRICE, "9**9**9 to 3", "not one number|not a unit"),
        (PRICE, "1" * 200, "longer than"),
        (MONTHS, "5 to 12 km", "not a unit of time"),
        (DUE, "2027-02-11 to 2026-08-06", "must go forward"),
        (DUE, "2026-01-01 to 2026-01-02 to 2026-01-03 to 2026-01-04", "more than three dates"),
        (DUE, "2026-02-31", "no such day"),
        (DUE, "soon", "not one number"),
    ],
)
def test_what_is_no_spread_is_refused(asked, text, message):
    with pytest.raises(SumError, match=message):
        asked.read(text)


@given(st.integers(0, 500), st.integers(0, 500), st.integers(0, 500))
def test_three_figures_come_back_as_typed(low, more, most):
    low, typical, high = low, low + more, low + more + most
    assert PRICE.value_of(f"{low} to {typical} to {high}")[0] == Band(low, typical, high)


def test_due_dates_are_months_from_today():
    due = DUE.value_of("2026-08-06 to 2027-02-11")[0]
    months = due.months_from(date(2026, 8, 6))
    assert months.low == 0
    assert months.high == pytest.approx(189 / 365.25 * 12)
    assert due.months_from(date(2027, 12, 1)) == Band(0, 0, 0)
    assert str(due) == "2026-11-08 (2026-08-06 to 2027-02-11)"
    assert str(Due(Band(8, 8, 8))) == "8 months"
    with pytest.raises(SumError, match="today: not given"):
        due.months_from(None)


def test_single_figures_get_a_spread_others_keep_theirs():
    assert widened(Band(100, 100, 100), 0.25) == Band(75, 100, 125)
    assert widened(Band(1, 2, 3), 0.1) == Band(1, 2, 3)


@given(st.text(st.sampled_from("0123456789 .,/-–±+%to½ymdh²٣\n"), max_size=40) | st.text(max_size=40))
def test_any_text_is_read_or_refused_never_worse(text):
    for asked in (PRICE, MONTHS, RATE, DUE):
        try:
            value = asked.value_of(text)[0]
        except SumError:
            continue
        assert isinstance(value, Band | Due)


EXAMPLE = find_sum("worth-keeping").example


def _asked(**more):
    return run_sum(
        "worth-keeping", {**EXAMPLE, **{name.replace("_", "-"): text for name, text in more.items()}}
    )


@pytest.mark.parametrize(
    ("alternative", "verdict"),
    [("250 /month", "keep it"), ("142 /month", "close"), ("90 /month", "let it go")],
)
def test_verdict_by_the_alternative(alternative, verdict):
    assert _asked(alternative=alternative).verdict == verdict


def test_dearer_than_its_value_is_not_the_question():
    result = _asked(to_pass="600", value="300", alternative="300 /month")
    assert result.values["share_of_value"] == pytest.approx(200)
    assert result.verdict == "keep it"
    assert any("settles nothing" in reason for reason in result.reasons)


def test_without_spread_the_figures_are_arithmetic():
    """By hand over 12 months: 500 + 300 + 12 × 20 - 300 × 0.9 + 400 is dear against 12 × 150."""
    result = run_sum(
        "worth-keeping",
        {
            "to-pass": "500",
            "value": "300",
            "alternative": "150 /month",
            "upkeep": "tyres: 400: 2026-06-01",
            "monthly": "20 /month",
            "months": "12",
            "spread": "0 %",
            "today": "2026-03-01",
        },
    )
    keep = 500 + 300 - 270 + 240 + 400
    assert result.values["keep_month"].typical == pytest.approx(keep / 12)
    assert result.values["saved"].typical == pytest.approx(1800 - keep)
    assert result.values["most_to_pass"].typical == pytest.approx(1800 - keep + 500)
    assert result.values["chance"] == 100
    # month 8: 500 + 160 + 400 + what it has lost, 20.4, against 1200; month 7: 1080 + 17.9 against 1050
    assert result.values["break_even"] == 8
    assert any("taken as certain" in warning for warning in result.warnings)


def test_more_value_once_passed_may_make_selling_then_the_better_way():
    dear = _asked(value_passed="1000 to 1300").reasons
    assert any("Passing and then selling" in reason for reason in dear)
    assert not any("Passing and then selling" in reason for reason in _asked().reasons)


def test_what_is_not_counted_is_said():
    late = _asked(upkeep="timing belt: 450: 40 to 60 months")
    assert any("timing belt" in warning for warning in late.warnings)
    bare = run_sum("worth-keeping", {"to-pass": "500", "value": "300", "alternative": "0 /month"})
    assert any("No upkeep given" in warning for warning in bare.warnings)
    assert any("alternative costs nothing" in warning for warning in bare.warnings)
    assert bare.values["break_even"] is None


def test_a_car_worth_nothing_has_no_share_of_value():
    assert _asked(value="0").values["share_of_value"] is None


def test_the_table_adds_up():
    rows = {row[0]: row[1] for row in _asked().tables[0].rows}
    parts = sum(cost for name, cost in rows.items() if name not in {"keeping", "alternative"})
    assert parts == pytest.approx(rows["keeping"])


def test_dates_without_today_are_refused_with_a_way_out():
    with pytest.raises(SumError, match="give today's date, or months"):
        _asked(upkeep="tyres: 300: 2026-11-03")


def test_forty_items_over_ten_years_answer_soon():
    rows = "; ".join(f"item {n}: 10 to 90: 1 to {n + 2} months: 6 months" for n in range(40))
    start = time.process_time()
    _asked(upkeep=rows, months="120")
    assert time.process_time() - start < 6


def test_the_plot_can_be_drawn():
    assert plot_png(_asked().plot())[:4] == b"\x89PNG"
