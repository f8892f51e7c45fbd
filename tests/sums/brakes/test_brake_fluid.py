"""Brake fluid: published points, the curve between, and what is said of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.brakes import fluid
from onceapart.sums.run import run_sum

GLYCOL = [each for each in fluid.fluids().values() if each.base == "glycol"]
glycols = st.sampled_from(GLYCOL)
waters = st.floats(0, 10)


@pytest.mark.parametrize(
    ("name", "dry", "wet", "dry_f", "wet_f"),
    [
        ("DOT-3", 205, 140, 401, 284),
        ("DOT-4", 230, 155, 446, 311),
        ("DOT-5", 260, 180, 500, 356),
        ("DOT-5.1", 260, 180, 500, 356),  # held to the figures of DOT 5 (encyclopedia)
    ],
)
def test_least_boiling_points_of_fmvss_116(name, dry, wet, dry_f, wet_f):
    """FMVSS 116 (49 CFR 571.116), S5.1.1 and S5.1.2: both the printed °C and the printed °F."""
    kind = fluid.fluids()[name]
    assert (kind.dry_degc, kind.wet_degc) == (dry, wet)
    assert (round(kind.dry_degc * 1.8 + 32), round(kind.wet_degc * 1.8 + 32)) == (dry_f, wet_f)


@pytest.mark.parametrize("kind", GLYCOL, ids=lambda each: each.name)
def test_the_curve_goes_through_the_published_points(kind):
    assert fluid.boiling_point_degc(kind, 0) == pytest.approx(kind.dry_degc)
    assert fluid.boiling_point_degc(kind, fluid.WET_WATER_PERCENT) == pytest.approx(kind.wet_degc)


@given(glycols, waters, waters)
def test_more_water_boils_sooner_but_not_below_water(kind, one, other):
    less, more = sorted((one, other))
    assert 100 < fluid.boiling_point_degc(kind, more) <= fluid.boiling_point_degc(kind, less)


@given(glycols, st.floats(0, 3.7))
def test_the_curve_lies_below_the_straight_line(kind, water):
    """Measured curves fall fastest at first, so a straight line would flatter the fluid."""
    straight = kind.dry_degc + (kind.wet_degc - kind.dry_degc) * water / fluid.WET_WATER_PERCENT
    assert fluid.boiling_point_degc(kind, water) <= straight + 1e-9


@given(glycols, waters)
def test_water_from_boiling_is_the_way_back(kind, water):
    boils = fluid.boiling_point_degc(kind, water)
    assert fluid.water_percent_from_boiling(kind, boils) == pytest.approx(water, abs=1e-9)


@given(st.floats(0, 40))
def test_water_by_age_is_a_band_and_never_past_the_end(age):
    water = fluid.water_by_age_percent(age)
    assert 0 <= water.low <= water.typical <= water.high <= fluid.MOST_WATER_PERCENT


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: fluid.boiling_point_degc(GLYCOL[0], 10.1), "change the fluid"),
        (lambda: fluid.boiling_point_degc(GLYCOL[0], -0.1), "holds from 0"),
        (lambda: fluid.boiling_point_degc(fluid.fluids()["DOT-5"], 1), "takes up no water"),
        (lambda: fluid.water_percent_from_boiling(GLYCOL[0], 99), "change the fluid"),
        (lambda: fluid.water_by_age_percent(-1), "cannot be below 0"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


def answer(**typed):
    return run_sum("brake-fluid", {"fluid": "DOT 4", **typed})


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [
        ({"age": "3 months", "hottest": "120 °C"}, "good"),
        ({"age": "2 years", "hottest": "120 °C"}, "change soon"),
        ({"age": "3 years", "hottest": "120 °C"}, "change before driving hard"),
        ({"water": "1 %", "hottest": "120 °C"}, "good"),
        ({"water": "3 %", "hottest": "120 °C"}, "change soon"),
        ({"water": "3.7 %", "hottest": "120 °C"}, "change before driving hard"),
        ({"boiling": "215 °C"}, "good"),
        ({"boiling": "154 °C", "hottest": "120 °C"}, "change before driving hard"),
        ({"boiling": "160 °C", "hottest": "170 °C"}, "change before driving hard"),
    ],
)
def test_verdicts(typed, verdict):
    assert answer(**typed).verdict == verdict


def test_what_is_measured_goes_before_what_is_reckoned():
    measured = answer(age="10 years", boiling="210 °C")
    assert measured.values["boiling"].typical == 210
    assert answer(age="10 years", water="1 %").values["water"].typical == 1
    assert answer(boiling="410 °F").values["boiling"].typical == pytest.approx(210)


def test_fluid_that_can_boil_is_warned_of_first():
    warned = answer(age="2 years", hottest="150 °C")
    assert warned.values["margin"].low < 0 < warned.values["margin"].typical
    assert warned.warnings[0].startswith("At the worst it boils")
    assert answer(boiling="140 °C", hottest="150 °C").warnings[0].startswith("It boils")


def test_silicone_keeps_its_point_but_a_drop_of_water_does_not():
    result = run_sum("brake-fluid", {"fluid": "DOT 5", "age": "5 years"})
    assert result.values["boiling"].low == 100
    assert result.values["boiling"].typical == 260
    assert any("bleed it out" in each for each in result.warnings)
    assert result.plot is None


def test_every_answer_says_never_to_mix_silicone():
    for name in fluid.fluids():
        result = run_sum("brake-fluid", {"fluid": name, "age": "1 year"})
        assert any("silicone" in each for each in result.warnings)


def test_something_must_be_known():
    with pytest.raises(SumError, match="give the fluid's age"):
        run_sum("brake-fluid", {"fluid": "DOT 4"})
