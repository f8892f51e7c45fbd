"""Reading tyre sizes as people write them, and refusing what is none."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.tyres.designation import parse_marked_tyre, parse_tyre


@pytest.mark.parametrize(
    "typed",
    [
        "195/60 R14 86H",
        "195/60R14 86H",
        " 195 / 60 R 14 86 H ",
        "195/60r14 86h",
        "195/60R14 86H XL",
        "195/60HR14 86",
    ],
)
def test_one_size_in_many_spellings(typed):
    tyre = parse_tyre(typed)
    assert (tyre.section_mm, tyre.aspect_percent, tyre.rim_code) == (195, 60, 14)
    assert (tyre.load_index, tyre.speed_symbol, tyre.construction) == (86, "H", "radial")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("P235/75R15 105S", "P235/75R15 105S"),
        ("LT235/75R15 104/101Q", "LT235/75R15 104Q"),
        ("165R13 82S", "165R13 82S"),
        ("155 SR 13", "155R13 S"),
        ("205/55 ZR16 91W", "205/55R16 91W"),
        ("245/40 ZR18 (97Y)", "245/40R18 97Y"),
        ("185R14C 102/100Q", "185R14C 102Q"),
        ("31x10.5 R15 109Q", "31x10.5R15 109Q"),
        ("31×10,50R15", "31x10.5R15"),
        ("195/65-15", "195/65-15"),
    ],
)
def test_other_ways_of_marking(typed, shown):
    assert str(parse_tyre(typed)) == shown


def test_a_size_marked_with_its_diameter_has_that_diameter():
    tyre = parse_tyre("31x10.5R15")
    assert tyre.diameter_mm.typical == pytest.approx(31 * 25.4)
    assert tyre.section_mm == pytest.approx(10.5 * 25.4)


def test_no_aspect_ratio_means_the_80_to_82_series():
    """Tyre handbook page: no aspect ratio means 80 to 82."""
    unmarked = parse_tyre("165R13").diameter_mm.typical
    assert (
        parse_tyre("165/80R13").diameter_mm.typical <= unmarked <= parse_tyre("165/82R13").diameter_mm.typical
    )


@pytest.mark.parametrize("typed", ["195/65-15", "195/65D15"])
def test_without_r_it_is_diagonal(typed):
    assert parse_tyre(typed).construction == "diagonal"


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "not a tyre size"),
        ("195", "not a tyre size"),
        ("tyre", "not a tyre size"),
        ("9**9**9**9", "not a tyre size"),
        ("195/60R14 86H 86H", "not a tyre size"),
        ("190/65R390", "rim 390 is not in inches"),
        ("195/60R7", "rim 7 is not in inches"),
        ("195/10R14", "aspect 10"),
        ("495/60R14", "section 495"),
        ("195/60R14 40H", "load index 40: must be 50 to 119"),
        ("195/60R14 86I", "speed symbol I"),
        ("31x30R15", "does not go with"),
        ("12x10R15", "does not go with"),
    ],
)
def test_what_is_no_size_is_refused_with_a_way_out(typed, why):
    with pytest.raises(SumError, match=why):
        parse_tyre(typed)


@pytest.mark.parametrize(
    ("typed", "why"), [("195/60R14", "load index and speed symbol"), ("195/60R14 86", "speed symbol")]
)
def test_markings_are_asked_for_where_needed(typed, why):
    with pytest.raises(SumError, match=why):
        parse_marked_tyre(typed)
    assert parse_marked_tyre("195/60R14 86H").load_index == 86


@settings(deadline=None)
@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        tyre = parse_tyre(text)
    except SumError:
        return
    assert tyre.diameter_mm.low <= tyre.diameter_mm.high


sizes = st.builds(
    "{}/{}R{} {}{}".format,
    st.sampled_from(range(135, 330, 5)),
    st.sampled_from(range(30, 85, 5)),
    st.integers(12, 22),
    st.integers(60, 119),
    st.sampled_from("QRSTUHVWY"),
)


@settings(deadline=None)
@given(sizes)
def test_what_is_shown_reads_back_the_same(typed):
    tyre = parse_tyre(typed)
    assert parse_tyre(str(tyre)) == tyre
    assert str(tyre) == typed
