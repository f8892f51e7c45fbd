"""Temperatures over a schedule: against closed forms, energy, and a brute-force integration."""

import math
import time
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.brakes import cooling
from onceapart.sums.brakes.bedding import SUITS, Afterwards, Window, try_schedule
from onceapart.sums.brakes.cooling import Corner, Guess
from onceapart.sums.brakes.history import AGREEMENT_K, temperatures, temperatures_by_scipy
from onceapart.sums.brakes.schedules import Leg, Schedule, Slowdowns, legs_of, shipped_schedules
from onceapart.sums.result import Band
from onceapart.sums.run import run_sum

CORNER = Corner(braked_kg=500, disc_kg=5.5, outer_mm=260, inner_mm=160)
# No radiation, and a lining that lets (almost) nothing through: then the disc has a closed form.
PLAIN = replace(CORNER, vented=False, film_w_per_m2k=90.0, emissivity=0.0)
CLOSED = (Guess(into_disc=1.0, cooling=1.0, lining_w_per_mk=1e-9),)
STOP = Leg(seconds=4.0, from_mps=28.0, to_mps=4.0, is_braked=True)


def time_constant_s(corner):
    return corner.disc_j_per_k / (corner.film_w_per_m2k * corner.cooled_m2)


@given(st.floats(1, 30), st.floats(5, 60), st.floats(0, 0.9), st.floats(20, 300))
@settings(max_examples=25, deadline=None)
def test_one_stop_against_the_closed_form(seconds, speed, left, start):
    """Power falls evenly with time while the disc cools by Newton's law: solved by hand.

    θ(t) = θ₀ e^(-t/τ) + (τ/C) ((P₀ + s τ)(1 - e^(-t/τ)) - s t), with power P₀ - s t and τ = C/(h A).
    """
    leg = Leg(seconds, speed, left * speed, True)
    found = temperatures(PLAIN, [leg], 20, start, CLOSED).disc_degc[0][-1]
    tau, capacity = time_constant_s(PLAIN), PLAIN.disc_j_per_k
    slowing = (speed - left * speed) / seconds
    first, falls = PLAIN.braked_kg * slowing * speed, PLAIN.braked_kg * slowing * slowing
    gone = -math.expm1(-seconds / tau)
    closed = (
        20 + (start - 20) * (1 - gone) + tau / capacity * ((first + falls * tau) * gone - falls * seconds)
    )
    assert found == pytest.approx(closed, abs=0.01)


@given(st.floats(10, 3000), st.floats(30, 600))
@settings(max_examples=25, deadline=None)
def test_cooling_against_newtons_law(seconds, start):
    leg = Leg(seconds, 20, 20, False)
    found = temperatures(PLAIN, [leg], 20, start, CLOSED).disc_degc[0][-1]
    assert found == pytest.approx(20 + (start - 20) * math.exp(-seconds / time_constant_s(PLAIN)), abs=0.02)


def test_many_like_stops_against_the_geometric_series():
    """Stops short beside the time constant: each adds the same, each gap keeps the same share of it."""
    stop, gap = replace(STOP, seconds=0.05), Leg(60, 28, 28, False)
    rise = PLAIN.braked_kg * (28**2 - 4**2) / 2 / PLAIN.disc_j_per_k
    keeps = math.exp(-60 / time_constant_s(PLAIN))
    history = temperatures(PLAIN, [stop, gap] * 12 + [stop], 20, None, CLOSED)
    assert max(history.disc_degc[0]) == pytest.approx(20 + rise * (1 - keeps**13) / (1 - keeps), rel=1e-3)


def test_without_cooling_all_the_energy_is_in_the_disc():
    legs = legs_of(shipped_schedules()["usual"], 60, 0)
    nowhere = replace(PLAIN, film_w_per_m2k=1e-9)
    history = temperatures(nowhere, legs, 20, None, CLOSED)
    taken = sum(nowhere.braked_kg * (leg.from_mps**2 - leg.to_mps**2) / 2 for leg in legs if leg.is_braked)
    assert history.disc_degc[0][-1] == pytest.approx(20 + taken / nowhere.disc_j_per_k, abs=0.01)


def test_the_whole_model_against_small_steps_by_hand():
    """Radiation, both bodies, air by speed: classic Runge-Kutta of fixed small steps in plain Python."""
    guess = cooling.GUESSES[1]
    legs = legs_of(Schedule("two", (Slowdowns(3, 100, 20, 5, 30),), ""), 120, 0)
    conductance = cooling.lining_w_per_k(CORNER.pad_cm2, CORNER.lining_mm, guess.lining_w_per_mk)

    def slope(leg, t, disc, caliper):
        slowing = (leg.from_mps - leg.to_mps) / leg.seconds
        speed = leg.from_mps - slowing * t
        power = CORNER.braked_kg * slowing * speed * guess.into_disc if leg.is_braked else 0
        film = cooling.air_film_w_per_m2k(3.6 * max(speed, 0), CORNER.outer_mm)
        air = film * CORNER.face_m2 * cooling.VANES * guess.cooling * (disc - 20)
        glow = 0.55 * 5.670374419e-8 * CORNER.face_m2 * ((disc + 273.15) ** 4 - 293.15**4)
        through = conductance * (disc - caliper)
        caliper_air = (10 + 1.3 * speed) * 0.06 * guess.cooling * (caliper - 20)
        return (power - air - glow - through) / (5.5 * 460), (through - caliper_air) / (5 * 460)

    disc = caliper = hottest = 20.0
    for leg in legs:
        steps = max(20, round(leg.seconds / 0.25))
        h = leg.seconds / steps
        for step in range(steps):
            t = step * h
            a = slope(leg, t, disc, caliper)
            b = slope(leg, t + h / 2, disc + h / 2 * a[0], caliper + h / 2 * a[1])
            c = slope(leg, t + h / 2, disc + h / 2 * b[0], caliper + h / 2 * b[1])
            d = slope(leg, t + h, disc + h * c[0], caliper + h * c[1])
            disc += h / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
            caliper += h / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])
            hottest = max(hottest, disc)
    history = temperatures(CORNER, legs, 20, None, [guess])
    assert history.disc_degc[0][-1] == pytest.approx(disc, abs=0.05)
    assert history.fluid_degc[0][-1] == pytest.approx(caliper, abs=0.05)
    assert max(history.disc_degc[0]) == pytest.approx(hottest, abs=0.5)  # kept moments miss the very top


def farthest_apart(corner, legs, ambient=20, start=None):
    """Largest difference of the two integrations, over disc and fluid, all guesses and moments."""
    ours, scipys = (each(corner, legs, ambient, start) for each in (temperatures, temperatures_by_scipy))
    assert ours.seconds == scipys.seconds
    pairs = zip(ours.disc_degc + ours.fluid_degc, scipys.disc_degc + scipys.fluid_degc, strict=True)
    return max(abs(one - other) for row, theirs in pairs for one, other in zip(row, theirs, strict=True))


@pytest.mark.parametrize("name", shipped_schedules())
@pytest.mark.parametrize("speed", [0, 50])
def test_plain_steps_agree_with_scipy_on_every_shipped_schedule(name, speed):
    assert farthest_apart(CORNER, legs_of(shipped_schedules()[name], 900, speed)) < AGREEMENT_K


@given(
    st.builds(
        Corner,
        braked_kg=st.floats(50, 900),
        disc_kg=st.floats(1, 15),
        outer_mm=st.floats(200, 400),
        inner_mm=st.floats(80, 160),
        vented=st.booleans(),
        lining_mm=st.floats(1, 25),
        film_w_per_m2k=st.one_of(st.none(), st.floats(5, 500)),
    ),
    st.floats(40, 130),
    st.floats(1.5, 8),
    st.sampled_from([0, 0.01, 5, 60]),
    st.floats(-20, 40),
)
@settings(max_examples=12, deadline=None)
def test_plain_steps_agree_with_scipy_on_any_car(corner, speed, deceleration, gap, ambient):
    """Relative too, as a disc of one kilogram under a heavy car gets to temperatures no brake outlives."""
    legs = legs_of(Schedule("own", (Slowdowns(4, speed, 10, deceleration, gap),), ""), 300, 0)
    hottest = temperatures(corner, legs, ambient).disc_peak_degc.high
    assert farthest_apart(corner, legs, ambient) < max(AGREEMENT_K, 3e-4 * hottest)


LEGS = legs_of(shipped_schedules()["usual"], 600, 50)


@pytest.mark.parametrize(
    ("hotter", "part"),
    [
        ({"braked_kg": 600}, "disc"),
        ({"disc_kg": 4.5}, "disc"),
        ({"vented": False}, "disc"),
        ({"film_w_per_m2k": 20.0}, "disc"),
        ({"lining_mm": 3.0}, "fluid"),
        ({"caliper_kg": 2.5}, "fluid"),
    ],
)
def test_what_makes_it_hotter(hotter, part):
    before, after = temperatures(CORNER, LEGS, 20), temperatures(replace(CORNER, **hotter), LEGS, 20)
    name = f"{part}_peak_degc"
    assert getattr(after, name).typical > getattr(before, name).typical


def test_guesses_come_out_in_order_and_nothing_is_below_the_air():
    history = temperatures(CORNER, LEGS, 20)
    for rows in (history.disc_degc, history.fluid_degc):
        for low, typical, high in zip(*rows, strict=True):
            assert 20 - 1e-6 <= low <= typical <= high
    assert history.seconds[-1] == pytest.approx(sum(leg.seconds for leg in LEGS))


@given(st.floats(0, 200), st.floats(0, 20))
def test_wind_never_cools_less_for_being_faster(speed, more):
    assert cooling.air_film_w_per_m2k(speed + more, 280) >= cooling.air_film_w_per_m2k(speed, 280)


def test_legs_follow_on_from_each_other_and_last_as_long_as_asked():
    schedule = Schedule("mix", (Slowdowns(2, 60, 10, 3, 40), Slowdowns(2, 90, 20, 4, 5)), "")
    legs = legs_of(schedule, 100, 50)
    driven = legs[:-1]
    for one, next_one in pairwise(driven):
        assert one.to_mps == pytest.approx(next_one.from_mps)
    braking = sum(each.count * each.braking_s for each in schedule.rows)
    assert sum(leg.seconds for leg in driven) == pytest.approx(braking + 40 + 40 + 5)  # no gap after the last


def test_speed_is_regained_at_an_ordinary_rate_if_the_gap_allows_it():
    long, short = (legs_of(Schedule("two", (Slowdowns(2, 60, 10, 3, gap),), ""), 0, 0)[1] for gap in (60, 5))
    assert (long.to_mps - long.from_mps) / long.seconds == pytest.approx(1.5)
    assert (short.seconds, short.to_mps) == (5, pytest.approx(60 / 3.6))


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: Slowdowns(1, 50, 60, 3, 30), "below the 50 km/h"),
        (lambda: Slowdowns(1, 50, 10, 0, 30), "above 0"),
        (lambda: Schedule("long", (Slowdowns(121, 50, 10, 3, 30),), ""), "at most 120"),
        (lambda: Schedule("long", (Slowdowns(120, 50, 10, 3, 1800),), ""), "at most 6"),
        (lambda: replace(CORNER, disc_kg=0.4), "the iron melts"),
        (lambda: Window(300, 200), "must be lower"),
        (lambda: replace(CORNER, inner_mm=260), "inside diameter less"),
        (lambda: cooling.air_film_w_per_m2k(-1, 260), "0 or more"),
        (lambda: cooling.lining_w_per_k(45, 0, 1), "above 0"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


def test_the_heaviest_work_taken_is_done_in_seconds():
    """Least disc for its load, strongest cooling, longest schedule: the shortest steps, and most of them."""
    corner = replace(CORNER, braked_kg=900, disc_kg=1, film_w_per_m2k=500)
    longest = Schedule("long", (Slowdowns(120, 200, 0, 5, 168),), "")
    began = time.process_time()
    temperatures(corner, legs_of(longest, 7200, 50), 20)
    assert time.process_time() - began < 5


@pytest.mark.parametrize("name", ["brake-bed-in", "brake-heat"])
def test_a_disc_of_hardly_any_iron_is_refused(name):
    typed = {"mass": "1400 kg", "iron": "20 mm", "face-outer": "204 mm", "face-inner": "203 mm"}
    if name == "brake-heat":
        typed["speed"] = "100 km/h"
    with pytest.raises(SumError, match=r"reckoned at 0\.046 kg: must be 0\.5 to 25 kg"):
        run_sum(name, typed)


WIDE = Window(120, 300)
HIGH_BOILING = Band(180, 180, 180)


def trial(window=WIDE, boiling=HIGH_BOILING):
    afterwards = Afterwards(seconds=600, kmh=50)
    return try_schedule(shipped_schedules()["usual"], CORNER, window, boiling, 20, afterwards)


def test_verdicts_turn_where_the_window_and_the_margin_say():
    peak = trial().history.disc_peak_degc
    fluid = trial().history.fluid_peak_degc
    assert trial(Window(peak.typical - 1, peak.high + 1)).verdict == SUITS
    assert trial(Window(peak.typical + 1, peak.high + 9)).verdict == "too cool to bed"
    assert trial(Window(50, peak.high - 1)).verdict == "too hot"
    for over, verdict in ((19, "fluid too near boiling"), (21, SUITS)):
        low = fluid.high + over
        assert trial(boiling=Band(low, low, low)).verdict == verdict


CAR = {
    "mass": "1400 kg",
    "disc-mass": "5.5 kg",
    "face-outer": "260 mm",
    "face-inner": "160 mm",
    "age": "1 year",
}


def test_the_gentlest_schedule_that_suits_is_advised():
    result = run_sum("brake-bed-in", CAR)
    verdicts = {row[0]: row[-1] for row in result.tables[0].rows}
    assert list(verdicts) == list(shipped_schedules())
    assert result.values["advised"] == next(name for name, each in verdicts.items() if each == SUITS)
    assert verdicts["hard"] != SUITS


def test_light_discs_find_no_schedule_that_suits():
    result = run_sum("brake-bed-in", {**CAR, "bed-from": "700 °C", "bed-to": "800 °C"})
    assert result.values["advised"] == "none of these"
    assert any("None of the shipped" in each for each in result.warnings)


def test_an_own_schedule_is_put_first():
    own = run_sum("brake-bed-in", {**CAR, "slowdowns": "10: 70 km/h: 20 km/h: 0.35 g: 45 s"})
    usual = run_sum("brake-bed-in", {**CAR, "schedule": "usual"})
    assert own.tables[0].rows[0][0] == "own"
    assert own.values["disc_peak"].typical == pytest.approx(usual.values["disc_peak"].typical, rel=1e-6)
    rushed = run_sum("brake-bed-in", {**CAR, "slowdowns": "3: 70 km/h: 20 km/h: 0.35 g: 2 s"})
    assert any("too short to get up to speed" in each for each in rushed.warnings)


def test_parking_hot_warms_the_fluid_more():
    driven = run_sum("brake-bed-in", CAR)
    parked = run_sum("brake-bed-in", {**CAR, "afterwards": "park", "cool-down": "30 min"})
    assert parked.values["fluid_peak"].typical > driven.values["fluid_peak"].typical
    assert any("Parked hot" in each for each in parked.warnings)


def test_old_fluid_narrows_the_margin_and_unknown_fluid_is_taken_as_wet():
    new, old = (
        run_sum("brake-bed-in", {**CAR, "age": age}).values["margin"] for age in ("0 years", "4 years")
    )
    assert old.low < new.low
    unknown = run_sum("brake-bed-in", {key: text for key, text in CAR.items() if key != "age"})
    assert unknown.values["boiling"] == Band(155, 155, 155)  # DOT 4 wet, FMVSS 116
