"""The wear sum as it is asked: verdicts, what one reading can say, dates, several parts, refusals."""

import pytest

from onceapart.errors import SumError
from onceapart.sums.plots import plot_png
from onceapart.sums.run import run_sum


def wear(**typed):
    return run_sum("wear-limit", {name.replace("_", "-"): text for name, text in typed.items()})


FOUR = "80000 km: 8.6 mm:: 2024-05-01; 86000: 7.5 mm; 92000 km: 6.6 mm; 98000: 5.4 mm:: 2025-11-01"


@pytest.mark.parametrize(
    ("ahead", "verdict"),
    [("5000 km", "lasts"), ("11000 km", "may not last"), ("20000 km", "will not last"), ("", "")],
)
def test_verdict_by_what_it_has_to_last(ahead, verdict):
    assert wear(part="pad", readings=FOUR, ahead=ahead).verdict == verdict


def test_at_its_limit_is_past_it():
    assert wear(part="tread", readings="0 km: 8; 50000 km: 1.6 mm").verdict == "past its limit"
    assert wear(part="tread", readings="50000 km: 1.6 mm").verdict == "past its limit"
    assert wear(part="drum", readings="50000 km: 230 mm", limit="230 mm").verdict == "past its limit"
    assert wear(part="drum", readings="50000 km: 229.9 mm", limit="230 mm").verdict == ""


def test_a_last_reading_past_the_limit_counts_even_if_the_line_does_not_say_so():
    result = wear(part="tread", readings="0: 8; 10000: 7; 20000: 6; 30000: 5; 40000: 1.5")
    assert result.values["level"].typical > 3
    assert result.verdict == "past its limit"
    assert result.values["left"] == 0


def test_one_reading_says_what_is_left_and_what_wear_it_can_bear_but_no_rate():
    result = wear(part="pad", readings="80000 km: 5.2 mm", ahead="10000 km")
    assert result.verdict == "cannot say"
    assert result.values["margin"] == pytest.approx(2.2)
    assert result.values["bearable"] == pytest.approx(0.22)
    for unknown in ("rate", "left", "left_least", "left_most", "months", "reached_on"):
        assert result.values[unknown] is None
    assert "not how fast it goes" in result.warnings[0]


def test_one_reading_and_when_it_was_fitted_give_an_assumed_rate_that_says_so():
    result = wear(part="pad", readings="80000 km: 5.2 mm", fitted="40000 km", yearly="12000 km")
    assert result.values["rate"].typical == pytest.approx(0.12)
    assert result.values["months"] == pytest.approx(2.2 / 0.12)
    assert "assumed" in result.warnings[0]
    exact = wear(part="pad", readings="80000 km: 5.2 mm", fitted="40000 km", new="11.2 mm")
    assert exact.values["rate"].typical == pytest.approx(0.15)


def test_dates_come_from_dated_readings():
    """By hand: 18000 km in 549 days; slope 0.17639 and start 8.5875 at 80000 km reach 3 mm at 111677 km."""
    result = wear(part="pad", readings=FOUR)
    assert result.values["yearly"] == pytest.approx(18000 / 549 * 365.25)
    assert result.values["left"] == pytest.approx(13677, abs=1)
    assert result.values["reached_on"] == "2026-12-23"  # 13677 / 18000 * 549 = 417 days on


def test_until_a_date_is_the_distance_driven_by_then():
    result = wear(part="pad", readings=FOUR, until="2026-11-01")
    assert result.values["ahead"] == pytest.approx(18000 / 549 * 365)


def test_driving_less_puts_the_date_off():
    slow = wear(part="pad", readings=FOUR, yearly="6000 km").values["reached_on"]
    assert slow > wear(part="pad", readings=FOUR).values["reached_on"]


def test_the_part_that_wears_out_first_gives_the_figures_and_each_has_a_row():
    result = wear(
        part="tread",
        readings="0: 8: left; 20000: 5: left; 0: 8: right; 20000: 4.2: right; 0: 8: rear",
        ahead="5000 km",
    )
    assert result.values["part"] == "right"
    parts = next(table for table in result.tables if table.title == "Part by part")
    assert [row[0] for row in parts.rows] == ["right", "left", "rear"]
    assert result.verdict == "cannot say"  # left and right last, but of the rear there is one reading


def test_a_renewed_part_among_the_readings_is_noticed():
    result = wear(part="pad", readings="0: 10; 20000: 5; 21000: 10.4; 30000: 9")
    assert any("renewed in between" in warning for warning in result.warnings)


def test_no_wear_seen_yet_gives_no_distance():
    result = wear(part="disc", readings="0: 22.00 mm; 1000 km: 22.00 mm", limit="20 mm", ahead="5000 km")
    assert result.values["left"] is None
    assert any("no wear to be seen" in warning for warning in result.warnings)


def test_units_do_not_change_the_answer():
    metric = wear(part="tread", readings="16093.44 km: 6.35 mm; 32186.88 km: 4.7625 mm").values
    imperial = wear(part="tread", readings='10000 mi: 1/4"; 20000 mi: 3/16"').values
    assert imperial["left"] == pytest.approx(metric["left"])


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"part": "disc", "readings": "0: 22"}, "least thickness stamped"),
        ({"part": "play", "readings": "0: 2"}, "limit: not given"),
        ({"part": "pad", "readings": "0: 8; 9: 99"}, "must be 0 to 25 mm"),
        ({"part": "pad", "readings": "9000: 8", "odometer": "8000"}, "not be below the last reading"),
        ({"part": "pad", "readings": "9000: 8", "until": "2026-01-01"}, "needs the date of a reading"),
        ({"part": "pad", "readings": FOUR, "until": "2025-10-01"}, "by then the odometer stands"),
        ({"part": "pad", "readings": "0: 8:: 2026-13-01"}, "no such day"),
        ({"part": "pad", "readings": "5: 8:: 2025-01-01; 4: 8:: 2026-01-01"}, "run backward"),
        ({"part": "disc", "readings": "9000: 22", "limit": "20", "fitted": "0"}, "no usual figure as new"),
        ({"part": "pad", "readings": "9000 km"}, "row 1, reading: not given"),
    ],
)
def test_what_cannot_be_is_refused(typed, message):
    with pytest.raises(SumError, match=message):
        run_sum("wear-limit", typed)


@pytest.mark.parametrize("readings", [FOUR, "5000: 8", "0: 8; 1000: 8", "0:8:a; 9000:3:a; 0:8:b"])
def test_the_plot_can_be_drawn(readings):
    plot = wear(part="pad", readings=readings).plot
    assert plot_png(plot())[:4] == b"\x89PNG"
