"""Efficiency, imbalance and deceleration, and the rules they are set beside."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.brakes import performance as perf
from onceapart.sums.brakes.limits import limits_for
from onceapart.sums.run import run_sum

forces = st.floats(0.01, 20)


@pytest.mark.parametrize(("percent", "mps2"), [(50, 4.90), (58, 5.69), (16, 1.57)])
def test_efficiency_is_deceleration_over_gravity(percent, mps2):
    """The identity z = 100 a / g worked by hand, to two decimals."""
    assert perf.deceleration_efficiency_percent(mps2) == pytest.approx(percent, abs=0.06)


@pytest.mark.parametrize(
    ("metres", "mps2"), [(70, "5.51"), (85, "4.54"), (89, "4.33"), (110, "3.51"), (168, "2.30")]
)
def test_deceleration_implied_by_the_stops_of_fmvss_135(metres, mps2):
    """Distances from 100 km/h of FMVSS 135, S7.5 to S7.14 (seen); v²/2s by hand."""
    assert f"{perf.mean_deceleration_mps2(100, metres):.2f}" == mps2


def test_deceleration_implied_by_49_cfr_570_5_d_2():
    """25 ft from 20 mph (seen); by hand 17.2 ft/s², 5.25 m/s², 0.535 g."""
    mps2 = perf.mean_deceleration_mps2(20 * 1.609344, 25 * 0.3048)
    assert f"{mps2 / 0.3048:.1f}" == "17.2"
    assert f"{mps2:.2f}" == "5.25"
    assert f"{mps2 / perf.GRAVITY_MPS2:.3f}" == "0.535"


@given(forces, forces)
def test_imbalance_is_symmetric_and_between_0_and_100(one, other):
    assert 0 <= perf.imbalance_percent(one, other) <= 100
    assert perf.imbalance_percent(one, other) == perf.imbalance_percent(other, one)


@given(forces, st.floats(0.1, 10))
def test_imbalance_does_not_hang_on_the_unit(one, factor):
    other = 0.7 * one
    assert perf.imbalance_percent(one, other) == pytest.approx(30)  # 70 % of the stronger: 30 %
    assert perf.imbalance_percent(factor * one, factor * other) == pytest.approx(30)


def test_imbalance_at_its_ends():
    assert perf.imbalance_percent(2, 2) == 0
    assert perf.imbalance_percent(2, 0) == 100


@given(st.floats(10, 150), st.floats(1, 300))
def test_mean_deceleration_splits_at_any_speed_between(speed, distance):
    """A stop at even deceleration has the same mean over each of its parts."""
    mps2 = perf.mean_deceleration_mps2(speed, distance)
    middle = 0.4 * speed
    part = (speed**2 - middle**2) / 3.6**2 / (2 * mps2)
    assert perf.mean_deceleration_mps2(speed, part, middle) == pytest.approx(mps2)


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: perf.efficiency_percent(1, 0), "mass above 0"),
        (lambda: perf.deceleration_efficiency_percent(-1), "leave out the minus"),
        (lambda: perf.imbalance_percent(0, 0), "above 0 at one wheel"),
        (lambda: perf.imbalance_percent(-1, 1), "none below 0"),
        (lambda: perf.mean_deceleration_mps2(30, 5, 30), "below the 30 km/h"),
        (lambda: perf.mean_deceleration_mps2(30, 0), "above 0"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


def test_a_limit_itself_is_met():
    (least, *_), (most, *_) = limits_for("efficiency"), limits_for("imbalance")
    assert least.met_by(58)
    assert not least.met_by(57.99)
    assert most.met_by(30)
    assert not most.met_by(30.01)


def test_every_limit_has_a_status_and_is_used_somewhere():
    quantities = (
        "imbalance",
        "imbalance-steered",
        "efficiency",
        "parking",
        "deceleration",
        "parking-deceleration",
        "stop-from-20-mph",
    )
    rows = [limit for each in quantities for limit in limits_for(each)]
    assert len(rows) == 12
    assert {each.status for each in rows} == {"verified", "from memory"}
    # The 58, 50 and 16 % could not be seen at their source, and must say so.
    assert {each.status for each in rows if each.quantity in {"efficiency", "parking"}} == {"from memory"}


ROLLERS = {
    "front-left": "2.4 kN",
    "front-right": "2.1 kN",
    "rear-left": "1.2 kN",
    "rear-right": "1.3 kN",
    "mass": "1180 kg",
}


def test_rollers_read_in_any_unit():
    other = {
        "front-left": "240 daN",
        "front-right": "2100 N",
        "rear-left": "122.36594576 kgf",
        "rear-right": "292.25161379 lbf",
        "mass": "2601.454694 lb",
    }
    here, there = run_sum("brake-rollers", ROLLERS).values, run_sum("brake-rollers", other).values
    for name in ("efficiency", "front_imbalance", "rear_imbalance", "front_share"):
        assert there[name] == pytest.approx(here[name], rel=1e-5)


def test_swapping_left_and_right_changes_nothing():
    swapped = {
        **ROLLERS,
        "front-left": ROLLERS["front-right"],
        "front-right": ROLLERS["front-left"],
        "rear-left": ROLLERS["rear-right"],
        "rear-right": ROLLERS["rear-left"],
    }
    assert run_sum("brake-rollers", swapped).values == run_sum("brake-rollers", ROLLERS).values


def test_only_the_steered_axle_is_held_to_half():
    result = run_sum("brake-rollers", {**ROLLERS, "front-right": "1.1 kN", "rear-right": "0.5 kN"})
    steered = [row for row in result.tables[0].rows if "steered" in row[1]]
    assert len(steered) == 1
    assert steered[0][2].startswith("front")
    assert steered[0][3] is False


def test_an_axle_without_any_force_is_said_and_not_divided():
    result = run_sum("brake-rollers", {**ROLLERS, "rear-left": "0 kN", "rear-right": "0 kN"})
    assert result.values["rear_imbalance"] is None
    assert "Rear axle: no force at either wheel." in result.warnings


@pytest.mark.parametrize("wheel", ["front-left", "front-right", "rear-left", "rear-right"])
def test_a_wheel_without_any_force_is_dangerous_by_name(wheel):
    """Directive 2014/45/EU, Annex I 1.2.1(a): no effort at a wheel is dangerous (2014 print, row quoted)."""
    result = run_sum("brake-rollers", {**ROLLERS, wheel: "0 kN"})
    words = wheel.replace("-", " ")
    assert [row[2:4] for row in result.tables[0].rows if "1.2.1(a)" in row[0]] == [(f"{words} none", False)]
    assert f"No braking at all: {words}. Do not drive it like this." in result.warnings
    sound = run_sum("brake-rollers", ROLLERS)
    assert not any("1.2.1(a)" in row[0] for row in sound.tables[0].rows)


def test_a_parking_brake_on_one_side_is_said():
    result = run_sum("brake-rollers", {**ROLLERS, "park-left": "1 kN", "park-right": "0 kN"})
    assert "The parking brake works on one side only." in result.warnings


def test_rollers_refuse_what_makes_no_sense():
    with pytest.raises(SumError, match="no braking force"):
        run_sum("brake-rollers", {**ROLLERS, **dict.fromkeys(list(ROLLERS)[:4], "0 kN")})
    with pytest.raises(SumError, match="both wheels, or neither"):
        run_sum("brake-rollers", {**ROLLERS, "park-left": "1 kN"})
    with pytest.raises(SumError, match="add the unit"):
        run_sum("brake-rollers", {**ROLLERS, "front-left": "240"})


def test_road_test_three_ways_agree():
    """0.6 g read; the distance and the time that 0.6 g takes from 20 mph."""
    mps2, speed = 0.6 * 9.80665, 20 * 0.44704
    read = run_sum("brake-road-test", {"deceleration": "0.6 g"}).values
    stop = run_sum("brake-road-test", {"speed": "20 mph", "distance": f"{speed**2 / 2 / mps2:.6f} m"}).values
    timed = run_sum("brake-road-test", {"speed": "20 mph", "time": f"{speed / mps2:.6f} s"}).values
    for name in ("deceleration", "efficiency", "from_twenty"):
        assert stop[name] == pytest.approx(read[name], rel=1e-5)
        assert timed[name] == pytest.approx(read[name], rel=1e-5)


@pytest.mark.parametrize(("distance", "met"), [("25 ft", True), ("25.1 ft", False)])
def test_the_us_stop_is_judged_from_20_mph_on_level_road(distance, met):
    rows = run_sum("brake-road-test", {"speed": "20 mph", "distance": distance}).tables[0].rows
    assert [row[3] for row in rows if row[0].startswith("49 CFR 570.5(d)(2)")] == [met]


@pytest.mark.parametrize(
    "typed",
    [
        {"deceleration": "0.6 g"},
        {"speed": "40 mph", "distance": "100 ft"},
        {"speed": "20 mph", "distance": "22 ft", "gradient": "3 %"},
    ],
)
def test_the_us_stop_is_left_alone_otherwise(typed):
    result = run_sum("brake-road-test", typed)
    assert not any("570.5" in row[0] for row in result.tables[0].rows)
    assert any("570.5(d)(2)" in each for each in result.reasons)


def test_uphill_is_taken_off():
    level = run_sum("brake-road-test", {"deceleration": "0.6 g"}).values["efficiency"]
    uphill = run_sum("brake-road-test", {"deceleration": "0.6 g", "gradient": "5 %"}).values["efficiency"]
    assert level - uphill == pytest.approx(5)


def test_a_decelerometer_owns_up_that_it_cannot_show_imbalance():
    result = run_sum("brake-road-test", {"deceleration": "0.6 g", "pulls": "yes"})
    assert any("cannot show the imbalance" in each for each in result.reasons)
    assert any("rollers" in each for each in result.warnings)


@pytest.mark.parametrize(
    ("typed", "rule"),
    [
        ({}, "give the deceleration, or the speed"),
        ({"speed": "20 mph"}, "either the distance or the time"),
        ({"speed": "20 mph", "time": "2 s", "distance": "20 ft"}, "either the distance or the time"),
        ({"deceleration": "0.5 g", "time": "2 s"}, "one or the other"),
        ({"deceleration": "0.1 g", "gradient": "15 %"}, "slope alone"),
    ],
)
def test_road_test_takes_exactly_one_way(typed, rule):
    with pytest.raises(SumError, match=rule):
        run_sum("brake-road-test", typed)
