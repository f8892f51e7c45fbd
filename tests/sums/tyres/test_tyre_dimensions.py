"""Dimensions against published ones, and what must hold of any."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.tyres import dimensions
from onceapart.sums.tyres.designation import parse_tyre
from onceapart.sums.tyres.rims import best_rim_range, listed_rims, rim_range, usual_rim_in

PUBLISHED_MM = {  # public conversion table, tyre dealer's example and encyclopedia copy
    "195/65R15": 635,
    "205/55R16": 632,
    "215/60R16": 664,
    "225/45R17": 634,
    "235/35R19": 647,
    "255/40R18": 661,
    "205/65R15": 647,
    "245/70R16": 749,
    "185/70R14": 24.197 * 25.4,
    "195/50R15": 22.677 * 25.4,
}
PUBLISHED_SIDEWALL_IN = {  # public chart, one decimal
    "155/65R14": 4.0, "165/65R14": 4.2, "175/65R14": 4.5, "185/65R14": 4.7, "185/65R15": 4.7,
    "195/65R15": 5.0, "205/65R15": 5.3, "195/55R15": 4.2, "185/60R15": 4.4, "195/60R15": 4.6,
    "205/60R16": 4.8, "215/60R16": 5.1, "215/55R17": 4.7, "225/55R17": 4.9,
}  # fmt: skip
# ETRTO design diameters, from memory: no page was seen.
REMEMBERED_MM = {
    "155/80R13": 578, "165/70R13": 562, "175/70R13": 576, "175/65R14": 584, "185/60R14": 578,
    "185/65R14": 596, "185/65R15": 621, "195/60R15": 615, "205/60R15": 627, "205/60R16": 652,
    "215/65R16": 686, "215/70R16": 708, "225/70R16": 722, "235/75R15": 733,
}  # fmt: skip
# Section height, diameter, its limits, rolling circumference, turns: formulas reckoned apart from this code.
RECKONED = {
    "145/80R13": (116, 562, 555.0, 571.3, 1714, 583.4),
    "155/70R13": (109, 548, 541.5, 556.7, 1671, 598.3),
    "185/70R14": (130, 616, 608.2, 626.4, 1879, 532.3),
    "185/60R14": (111, 578, 571.3, 586.9, 1763, 567.2),
    "195/60R14": (117, 590, 583.0, 599.4, 1800, 555.7),
    "195/65R15": (127, 635, 627.4, 645.2, 1937, 516.3),
    "235/75R15": (176, 733, 722.4, 747.1, 2236, 447.3),
    "215/70R16": (151, 708, 698.9, 720.1, 2159, 463.1),
    "225/65R17": (146, 724, 715.2, 735.7, 2208, 452.9),
}


@pytest.mark.parametrize(("size", "printed"), PUBLISHED_MM.items())
def test_diameter_matches_published_tables(size, printed):
    """Within 2 mm: tables round the section height, or the rim, or neither."""
    assert parse_tyre(size).diameter_mm.typical == pytest.approx(printed, abs=2)


@pytest.mark.parametrize(("size", "printed"), PUBLISHED_SIDEWALL_IN.items())
def test_section_height_matches_a_published_chart(size, printed):
    assert parse_tyre(size).height_mm / 25.4 == pytest.approx(printed, abs=0.075)


@pytest.mark.parametrize(("size", "remembered"), REMEMBERED_MM.items())
def test_diameter_matches_remembered_design_values(size, remembered):
    assert parse_tyre(size).diameter_mm.typical == remembered


@pytest.mark.parametrize(("size", "row"), RECKONED.items())
def test_formulas_match_a_reckoning_by_another_hand(size, row):
    tyre = parse_tyre(size)
    height, diameter, low, high, rolling, turns = row
    assert tyre.height_mm == height
    assert tyre.diameter_mm.typical == diameter
    assert tyre.diameter_mm.low == pytest.approx(low, abs=0.051)
    assert tyre.diameter_mm.high == pytest.approx(high, abs=0.051)
    circumference = dimensions.rolling_circumference_mm(diameter)
    assert circumference == pytest.approx(rolling, abs=0.51)
    assert dimensions.turns_per_km(circumference) == pytest.approx(turns, abs=0.051)


@pytest.mark.parametrize(
    ("code", "conventional"),
    [
        (10, 254),
        (12, 305),
        (13, 330),
        (14, 356),
        (15, 381),
        (16, 406),
        (17, 432),
        (18, 457),
        (19, 483),
        (20, 508),
    ],
)
def test_rim_diameters_are_the_conventional_ones(code, conventional):
    """UN R30 clause 2: 15 and 16 seen in an example, the others from memory."""
    assert dimensions.rim_diameter_mm(code) == conventional


def test_half_an_inch_of_rim_makes_5_mm_of_tyre():
    """A tyre distributor prints about 5 mm for half an inch; UN R30 6.1.1 gives 0.4 x 12.7."""
    gain = dimensions.section_on_rim_mm(195, 65, 6.5) - dimensions.section_on_rim_mm(195, 65, 6.0)
    assert gain == pytest.approx(5.08)


def test_wear_takes_two_per_cent_off_a_635_mm_tyre():
    """8 mm to 1.6 mm is 12.8 mm, 2.0%."""
    assert dimensions.worn_diameter_mm(635, 1.6) == pytest.approx(635 - 12.8)
    assert 1 - dimensions.worn_diameter_mm(635, 1.6) / 635 == pytest.approx(0.020, abs=5e-4)


@settings(deadline=None)
@given(st.integers(60, 160), st.sampled_from(["radial", "diagonal"]), st.integers(10, 20))
def test_the_envelope_holds_the_nominal_and_diagonal_is_wider(height, construction, code):
    rim = dimensions.rim_diameter_mm(code)
    band = dimensions.diameter_band_mm(rim, height, construction)
    assert band.low < band.typical < band.high
    assert band.high <= dimensions.diameter_band_mm(rim, height, "diagonal").high
    assert rim / 2 < dimensions.loaded_radius_mm(rim, height) < band.typical / 2


@settings(deadline=None)
@given(st.integers(27, 60), st.integers(6, 16), st.integers(12, 20))
def test_wider_or_taller_is_never_smaller(section5, aspect5, code):
    section, aspect = 5 * section5, 5 * aspect5
    here = dimensions.overall_diameter_mm(section, aspect, code)
    assert dimensions.overall_diameter_mm(section + 5, aspect, code) >= here
    assert dimensions.overall_diameter_mm(section, aspect + 5, code) > here
    assert dimensions.overall_diameter_mm(section, aspect, code + 1) > here


@pytest.mark.parametrize("edge", [(7.9,), (31,)])
def test_rims_outside_the_range_are_refused(edge):
    with pytest.raises(SumError, match="must be 8 to 30"):
        dimensions.rim_diameter_mm(*edge)


def test_other_nonsense_is_refused():
    with pytest.raises(SumError, match="must be 50 to 500"):
        dimensions.section_height_mm(20, 60)
    with pytest.raises(SumError, match="above 0"):
        dimensions.turns_per_km(0)
    with pytest.raises(SumError, match="above 0"):
        usual_rim_in(0, 65)


def test_rims_for_195_match_two_published_pages():
    """195/65R15: 5.5 to 7.0 in on two pages."""
    assert str(rim_range(195)) == "5.5 to 7 in"
    suits = best_rim_range(parse_tyre("195/65R15"))
    assert [suits.allows(width) for width in (5.0, 5.5, 6.0, 7.0, 7.5)] == [False, True, True, True, False]


@pytest.mark.parametrize(
    ("rim", "least", "most"),
    [(5.5, 165, 195), (6.0, 175, 205), (6.5, 185, 215), (7.0, 195, 225), (7.5, 205, 235)],
)
def test_the_chart_reads_the_same_from_the_rim(rim, least, most):
    """Rim and tyre width chart: rims 6.0 and 7.0 in two copies."""
    suits = [section for section in range(145, 260, 10) if rim_range(section).allows(rim) is True]
    assert (min(suits), max(suits)) == (least, most)


def test_beyond_the_chart_it_says_so():
    assert rim_range(155).allows(5.0) is True
    assert rim_range(155).allows(4.5) is None
    assert rim_range(155).allows(6.0) is False
    assert str(rim_range(155)) == "up to 5 in"
    assert rim_range(245).allows(8.0) is True
    assert rim_range(245).allows(9.0) is None
    assert str(rim_range(245)) == "8 in and more"
    assert rim_range(315).allows(11.0) is None
    assert str(rim_range(315)) == "not in the chart"


def test_the_recalled_list_fills_in_where_the_chart_ends():
    tyre = parse_tyre("155/80R13")
    assert best_rim_range(tyre) == listed_rims(tyre)
    assert best_rim_range(tyre).allows(4.5) is True
    assert listed_rims(parse_tyre("195/45R15")) is None


@pytest.mark.parametrize(
    ("size", "remembered"),
    [("165/70R13", 5.0), ("185/65R15", 5.5), ("195/65R15", 6.0), ("205/55R16", 6.5), ("215/65R16", 6.5)],
)
def test_the_usual_rim_is_near_the_remembered_measuring_rim(size, remembered):
    """ETRTO measuring rims, from memory."""
    tyre = parse_tyre(size)
    assert abs(usual_rim_in(tyre.section_mm, tyre.series_percent) - remembered) <= 0.5
