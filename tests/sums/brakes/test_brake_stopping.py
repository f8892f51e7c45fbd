"""Stopping distance."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from onceapart.errors import SumError
from onceapart.sums.brakes import stopping
from onceapart.sums.run import run_sum


@pytest.mark.parametrize("speed", [30, 50, 80, 100, 120])
@pytest.mark.parametrize("grade", [-6, 0, 6])
def test_against_the_printed_formula_of_aashto(speed, grade):
    """AASHTO, stopping sight distance: s = 0.278 V t + V² / (254 (f + G)); its factors are rounded."""
    friction = 0.35
    printed = 0.278 * speed * 2.5 + speed**2 / (254 * (friction + grade / 100))
    ours = stopping.reaction_distance_m(speed, 2.5) + stopping.braking_distance_m(
        speed, friction * 9.80665, grade
    )
    assert ours == pytest.approx(printed, rel=0.002)


@pytest.mark.parametrize(("speed", "design"), [(50, 65), (80, 130), (100, 185), (120, 250)])
def test_rounded_up_to_five_metres_it_is_the_design_value(speed, design):
    """The design values are from memory (AASHTO table of stopping sight distance); 3.4 m/s² was seen."""
    exact = stopping.reaction_distance_m(speed, stopping.DESIGN_REACTION_S) + stopping.braking_distance_m(
        speed, stopping.DESIGN_DECELERATION_MPS2
    )
    assert 5 * math.ceil(exact / 5) == design


@pytest.mark.parametrize(("mph", "metres"), [(20, 12), (30, 23), (40, 36), (50, 53), (60, 73), (70, 96)])
def test_the_highway_code_table_fits_one_reaction_time_and_deceleration(mph, metres):
    """UK Highway Code, from memory: 0.67 s and 6.57 m/s² reproduce it within a metre."""
    speed = 1.609344 * mph
    ours = stopping.reaction_distance_m(speed, 0.67) + stopping.braking_distance_m(speed, 6.57)
    assert ours == pytest.approx(metres, abs=1)


def test_approval_distance_of_fmvss_135():
    """FMVSS 135, S7.5: 70 m from 100 km/h (seen)."""
    assert stopping.approval_distance_m(100) == 70


@given(st.floats(10, 200), st.floats(1, 10), st.floats(-8, 12))
def test_braking_distance_against_scipy(speed, deceleration, grade):
    slowing = deceleration + 9.80665 * grade / 100
    if slowing < 0.2:
        return
    solved = solve_ivp(
        lambda t, state: [state[1], -slowing],
        (0, speed / 3.6 / slowing),
        [0, speed / 3.6],
        rtol=1e-9,
        atol=1e-9,
    )
    assert stopping.braking_distance_m(speed, deceleration, grade) == pytest.approx(solved.y[0][-1])


@given(st.floats(5, 200), st.floats(0.5, 10))
def test_twice_the_speed_takes_four_times_the_road(speed, deceleration):
    once = stopping.braking_distance_m(speed, deceleration)
    assert stopping.braking_distance_m(2 * speed, deceleration) == pytest.approx(4 * once)


@given(st.floats(5, 200), st.floats(1, 9), st.floats(0.1, 1))
def test_more_grip_and_uphill_shorten_it(speed, deceleration, more):
    assert stopping.braking_distance_m(speed, deceleration + more) < stopping.braking_distance_m(
        speed, deceleration
    )
    assert stopping.braking_distance_m(speed, deceleration, more) < stopping.braking_distance_m(
        speed, deceleration
    )


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: stopping.braking_distance_m(50, 1, -20), "would not stop"),
        (lambda: stopping.braking_distance_m(50, 0), "would not stop"),
        (lambda: stopping.braking_distance_m(-1, 5), "leave out the minus"),
        (lambda: stopping.reaction_distance_m(50, -1), "neither may be below 0"),
        (lambda: stopping.approval_distance_m(101), "up to 100"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


def test_the_weaker_of_road_and_brakes_sets_the_limit():
    dry = run_sum("brake-stop", {"speed": "60 mph", "friction": "0.8"}).values
    weak = run_sum("brake-stop", {"speed": "60 mph", "friction": "0.8", "efficiency": "40 %"})
    strong = run_sum("brake-stop", {"speed": "60 mph", "friction": "0.8", "efficiency": "100 %"})
    assert strong.values["braking_distance"] == dry["braking_distance"]
    assert weak.values["braking_distance"].typical == pytest.approx(2 * dry["braking_distance"].typical)
    assert weak.reasons[0].startswith("The brakes")
    assert strong.reasons[0].startswith("The road")


def test_surfaces_come_in_order():
    totals = [
        run_sum("brake-stop", {"speed": "80 km/h", "surface": each}).values["stopping_distance"].typical
        for each in ("dry", "wet", "snow", "ice")
    ]
    assert totals == sorted(totals)


def test_miles_and_kilometres_give_the_same_answer():
    miles = run_sum("brake-stop", {"speed": "60 mph"}).values["stopping_distance"]
    kilometres = run_sum("brake-stop", {"speed": "96.56064 km/h"}).values["stopping_distance"]
    assert miles.typical == pytest.approx(kilometres.typical)


def test_the_table_has_the_speed_asked_for():
    rows = run_sum("brake-stop", {"speed": "66 km/h"}).tables[0].rows
    assert [row[0] for row in rows] == [30, 50, 66, 80, 100, 130]
