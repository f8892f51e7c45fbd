"""Load index, speed symbol, speedometer, gearing: published rows and laws."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.tyres import ratios
from onceapart.sums.tyres.load import load_at_speed_kg, load_indices, load_kg, speed_kmh, speed_symbols
from onceapart.sums.tyres.speedometer import (
    SpeedReading,
    assumed_readings,
    largest_ratio,
    most_shown_kmh,
    shown_for_true_kmh,
    smallest_ratio,
)

# UN R30 Annex 4, as two public tables print it.
R30_KG = {
    60: 250, 65: 290, 70: 335, 71: 345, 72: 355, 73: 365, 74: 375, 75: 387, 76: 400, 77: 412, 78: 425,
    79: 437, 80: 450, 81: 462, 82: 475, 83: 487, 84: 500, 85: 515, 86: 530, 87: 545, 88: 560, 89: 580,
    90: 600, 91: 615, 92: 630, 93: 650, 94: 670, 95: 690, 96: 710, 97: 730, 98: 750, 99: 775, 100: 800,
    101: 825, 102: 850, 103: 875, 104: 900, 105: 925, 106: 950, 107: 975, 108: 1000, 109: 1030, 110: 1060,
}  # fmt: skip
MISTYPED_IN_ONE_COPY = {61: 257, 62: 265, 83: 487}


@pytest.mark.parametrize(("index", "printed"), (R30_KG | MISTYPED_IN_ONE_COPY).items())
def test_load_index_matches_un_r30_annex_4(index, printed):
    assert load_kg(index) == printed


def test_the_whole_table_follows_its_progression():
    """45 x 10^(LI/80), rounded by the standard: within 2% everywhere, and always rising."""
    table = load_indices()
    assert sorted(table) == list(range(50, 120))
    for index, carried in table.items():
        assert carried == pytest.approx(45 * 10 ** (index / 80), rel=0.02)
    loads = [table[index] for index in sorted(table)]
    assert loads == sorted(set(loads))


@pytest.mark.parametrize(
    ("symbol", "printed"), [("Q", 160), ("T", 190), ("H", 210), ("V", 240), ("W", 270), ("Y", 300)]
)
def test_speed_symbols_match_a_handbook_page(symbol, printed):
    assert speed_kmh(symbol) == printed


def test_remembered_speed_symbols():
    """UN R30 clause 2.29, from memory."""
    remembered = {"L": 120, "M": 130, "N": 140, "P": 150, "R": 170, "S": 180, "U": 200}
    assert {symbol: speed_kmh(symbol) for symbol in remembered} == remembered


@pytest.mark.parametrize(
    ("symbol", "speed", "share"), [("V", 210, 1.0), ("V", 240, 0.91), ("W", 240, 1.0), ("W", 270, 0.85)]
)
def test_load_at_top_speed_matches_engineering_notes(symbol, speed, share):
    """Engineering notes after UN R30: V 91% at 240 km/h, W 85% at 270 km/h, full to 210 and 240."""
    assert load_at_speed_kg(91, symbol, speed) == pytest.approx(615 * share)


@settings(deadline=None)
@given(st.sampled_from(sorted(speed_symbols())), st.integers(50, 119), st.floats(0, 320), st.floats(0, 320))
def test_load_never_grows_with_speed(symbol, index, one, other):
    slow, fast = sorted((one, other))
    assert load_at_speed_kg(index, symbol, slow) >= load_at_speed_kg(index, symbol, fast)
    if fast > speed_kmh(symbol):
        assert load_at_speed_kg(index, symbol, fast) == 0


def test_unknown_markings_are_refused():
    with pytest.raises(SumError, match="load index 49: must be 50 to 119"):
        load_kg(49)
    with pytest.raises(SumError, match="speed symbol X"):
        speed_kmh("X")


@pytest.mark.parametrize(("true", "printed"), [(50, 59), (70, 81), (90, 103), (110, 125), (130, 147)])
def test_speedometer_limits_match_un_r39_as_printed(true, printed):
    """UN R39 clause 5.3; the five figures from a news table."""
    assert most_shown_kmh(true) == pytest.approx(printed)
    assert SpeedReading(true, printed).is_allowed_with(1.0)
    assert SpeedReading(true, true).is_allowed_with(1.0)
    assert not SpeedReading(true, printed + 0.1).is_allowed_with(1.0)
    assert not SpeedReading(true, true - 0.1).is_allowed_with(1.0)


readings = st.lists(
    st.builds(lambda true, share: SpeedReading(true, true * share), st.floats(20, 200), st.floats(0.9, 1.2)),
    min_size=1,
    max_size=5,
).map(tuple)


@settings(deadline=None)
@given(readings, st.floats(0.8, 1.25))
def test_a_ratio_is_allowed_exactly_between_the_smallest_and_the_largest(known, ratio):
    allowed = all(reading.is_allowed_with(ratio) for reading in known)
    low, high = smallest_ratio(known), largest_ratio(known)
    if low * (1 + 1e-4) < ratio < high * (1 - 1e-4):
        assert allowed
    if ratio < low * (1 - 1e-3) or ratio > high * (1 + 1e-3):
        assert not allowed


def test_an_exact_speedometer_allows_nothing_larger():
    assert largest_ratio(assumed_readings(0)) == pytest.approx(1.0)
    assert largest_ratio(assumed_readings(5)) == pytest.approx(1.05)
    with pytest.raises(SumError, match="no readings"):
        largest_ratio(())
    with pytest.raises(SumError, match="0 to 400"):
        most_shown_kmh(-1)


def test_reading_error_matches_a_published_example():
    """Encyclopedia copy: 185/70R14 (24.197 in) to 195/50R15 (22.677 in) reads 6.7% high."""
    ratio = ratios.size_ratio(24.197 * 25.4, 22.677 * 25.4)
    assert round(ratios.reading_error_percent(ratio), 1) == 6.7
    assert round(1 / ratio, 4) == 1.0670


def test_a_reckoned_example_by_another_hand():
    """185/65R15 to 195/65R15 with unrounded heights: 621.5 to 634.5 mm."""
    ratio = ratios.size_ratio(621.5, 634.5)
    assert round(ratio, 4) == 1.0209
    assert round(ratios.true_speed_kmh(100, ratio), 1) == 102.1
    assert round(ratios.engine_speed_rpm(3000, ratio)) == 2939
    assert round(ratios.effective_final_drive(4.10, ratio), 2) == 4.02


@settings(deadline=None)
@given(st.floats(300, 900), st.floats(300, 900))
def test_there_and_back_is_where_it_was(one, other):
    there, back = ratios.size_ratio(one, other), ratios.size_ratio(other, one)
    assert there * back == pytest.approx(1)
    assert ratios.engine_speed_rpm(ratios.engine_speed_rpm(3000, there), back) == pytest.approx(3000)
    assert (ratios.reading_error_percent(there) > 0) == (other < one) or one == pytest.approx(other)


@settings(deadline=None)
@given(st.floats(0.8, 1.25), st.floats(0, 15), st.floats(20, 200))
def test_shown_and_true_speed_undo_each_other(ratio, over, speed):
    shown = shown_for_true_kmh(speed, ratio, over)
    assert ratios.true_speed_kmh(shown, ratio, over) == pytest.approx(speed)


def test_a_diameter_out_of_place_is_refused():
    with pytest.raises(SumError, match="must be 200 to 1500"):
        ratios.size_ratio(24, 634)
