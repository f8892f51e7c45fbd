"""Identification numbers: the sample of NHTSA's guide, brand-free ones, and laws of the check digit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.diagnostics.vin import (
    VALUES,
    WEIGHTS,
    Vin,
    check_digit,
    likely_misreadings,
    model_years,
    parse_vin,
    weighted_sum,
)
from onceapart.sums.run import run_sum


def test_sample_of_nhtsas_guide_for_new_manufacturers():
    """Printed there with its working: these products, 314 = 28 x 11 + 6, check digit 6."""
    vin = parse_vin("1J9RP1A36A1644345")
    products = [VALUES[each] * weight for each, weight in zip(vin, WEIGHTS, strict=True)]
    assert products == [8, 7, 54, 45, 28, 3, 2, 30, 0, 9, 8, 42, 24, 20, 12, 12, 10]
    assert weighted_sum(vin) == 314
    assert check_digit(vin) == vin[8] == "6"


# Brand-free numbers worked out by hand from 49 CFR 565.15(c).
@pytest.mark.parametrize(
    ("vin", "total", "digit"),
    [("11111111111111111", 89, "1"), ("11111111X11111110", 87, "X"), ("11111111111111112", 91, "3")],
)
def test_brand_free_numbers(vin, total, digit):
    assert weighted_sum(parse_vin(vin)) == total
    assert check_digit(parse_vin(vin)) == digit


# 49 CFR 565.15(c), table III, typed as printed: runs of letters and what the first counts.
def test_letters_count_what_the_table_says():
    for letters, figures in (("ABCDEFGH", "12345678"), ("JKLMNPR", "1234579"), ("STUVWXYZ", "23456789")):
        assert [VALUES[letter] for letter in letters] == [int(figure) for figure in figures]
    assert set("IOQ").isdisjoint(VALUES)


# 49 CFR 565.15, table of model years, as four tables have it (to 2020).
@pytest.mark.parametrize(
    ("code", "early"),
    [
        *[("A", 1980), ("H", 1987), ("J", 1988), ("N", 1992), ("P", 1993), ("R", 1994)],
        *[("T", 1996), ("V", 1997), ("Y", 2000), ("1", 2001), ("9", 2009)],
    ],
)
def test_model_year_by_position_ten_and_seven(code, early):
    figure, letter = Vin("1J9RP113" + "0" + code + "1644345"), Vin("1J9RP1A3" + "0" + code + "1644345")
    assert model_years(figure, north_american=True).likely == early
    assert model_years(letter, north_american=True).likely == early + 30
    assert model_years(letter, north_american=True).other == early


@pytest.mark.parametrize("code", ["0", "U", "Z"])
def test_characters_that_are_no_year(code):
    found = model_years(Vin("1J9RP1A30" + code + "1644345"), north_american=True)
    assert found.likely is None
    assert "no year code" in found.why


def test_no_year_outside_north_america_nor_for_heavy_vehicles():
    vin = parse_vin("1J9RP1A36A1644345")
    assert model_years(vin, north_american=False).likely is None
    assert "1980 or 2010" in model_years(vin, north_american=True, light=False).why


vins = st.text("".join(VALUES), min_size=17, max_size=17).map(Vin)


def _sealed(vin):
    return Vin(vin[:8] + check_digit(vin) + vin[9:])


@given(vins, st.integers(0, 16), st.sampled_from("".join(VALUES)))
def test_one_wrong_character_is_noticed_unless_it_counts_the_same(vin, place, instead):
    right = _sealed(vin)
    wrong = Vin(right[:place] + instead + right[place + 1 :])
    noticed = check_digit(wrong) != wrong[8]
    same_worth = VALUES[instead] == VALUES[right[place]] and place != 8
    assert noticed == (not same_worth and wrong != right)


@given(vins)
def test_the_check_digit_does_not_depend_on_what_stands_in_its_place(vin):
    assert check_digit(_sealed(vin)) == check_digit(vin)


@given(vins)
def test_misreadings_offered_all_agree_and_differ_in_one_place(vin):
    for other in likely_misreadings(vin):
        assert check_digit(other) == other[8]
        assert sum(one != two for one, two in zip(vin, other, strict=True)) == 1


def test_a_misread_five_is_offered_back():
    right = _sealed(Vin("1J9RS1A30A1644345"))
    result = run_sum("diagnostic-vin", {"vin": right.replace("S", "5")})
    assert result.verdict == "check digit wrong"
    assert right in " ".join(result.reasons)


def test_the_market_settles_whether_a_mismatch_is_an_error():
    wrong = "WJ9RP1A3XA1644345"
    assert run_sum("diagnostic-vin", {"vin": wrong}).verdict == "check digit not demanded"
    american = run_sum("diagnostic-vin", {"vin": wrong, "market": "north-america"})
    assert american.verdict == "check digit wrong"
    assert run_sum("diagnostic-vin", {"vin": "1" + wrong[1:]}).verdict == "check digit wrong"
    assert run_sum("diagnostic-vin", {"vin": wrong}).values["model_year"] is None


def test_letters_at_the_end_of_a_cars_number_are_noticed():
    result = run_sum("diagnostic-vin", {"vin": "1J9RP1A36A16443A5"})
    assert any("565.15(d)" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("1J9RP1A36A164434", "16 characters, must be 17"),
        ("IJ9RP1A36A1644345", "has I at position 1.*figure 1"),
        ("1J9RP1A36A16O4345", "has O at position 13"),
        ("1J9RP1A36Q1644345", "has Q at position 10"),
        ("1J9RP1A36A164434ß", "no letter or figure"),
    ],
)
def test_what_is_no_number_is_refused(typed, message):
    with pytest.raises(SumError, match=message):
        run_sum("diagnostic-vin", {"vin": typed})


def test_spaces_and_small_letters_do_not_matter():
    assert parse_vin("1j9 rp1a36-a1644345") == "1J9RP1A36A1644345"
