"""Heat of one stop against published worked problems."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.brakes import heat
from onceapart.sums.run import run_sum

LB_KG = 0.45359237


def test_openstax_truck_on_a_hill():
    """OpenStax, College Physics, 14.2: 10 000 kg, 75 m, 100 kg of brakes, 800 J/(kg·K): 92 °C printed."""
    rise = heat.temperature_rise_k(heat.descent_energy_kj(10000, 75), 100, heat_j_per_kgk=800)
    assert f"{rise:.0f}" == "92"


def test_exercise_of_750_kg():
    """Exercise page with solution (seen): 750 kg, 24 m/s, 15 kg of iron, 450 J/(kg·K): 216 kJ, 32 K."""
    energy = heat.motion_energy_kj(750, 24 * 3.6)
    assert f"{energy:.0f}" == "216"
    assert f"{heat.temperature_rise_k(energy, 15, heat_j_per_kgk=450):.0f}" == "32"


def test_exercise_of_1500_kg():
    """Exercise page (seen): 1500 kg, 60 km/h, 15 kg, 460 J/(kg·K): 208 kJ, 30 K."""
    energy = heat.motion_energy_kj(1500, 60)
    assert energy == pytest.approx(208.4, abs=0.1)
    assert f"{heat.temperature_rise_k(energy, 15):.0f}" == "30"


def test_textbook_problem_with_four_drums():
    """Inputs of an open-textbook problem (seen): 1500 kg, 108 km/h, four 8.0 kg drums, 448 J/(kg·K).

    The answer of 1.0 shown on the page is wrong (it cancelled the two masses); 675 kJ and 47.1 K are by hand.
    """
    energy = heat.motion_energy_kj(1500, 108)
    assert energy == pytest.approx(675)
    assert f"{heat.temperature_rise_k(energy, 4 * 8.0, heat_j_per_kgk=448):.1f}" == "47.1"


def test_public_note_in_pounds_and_fahrenheit():
    """Public note: 3000 lb, 60 mph, four 10 lb discs, 0.13 Btu/(lb·°F): prints 90.3 °F with rounded factors.

    Unrounded, by hand, it is 89.2 °F; so within 1.5 % of the printed figure.
    """
    btu_per_lbf = 1055.056 / LB_KG * 1.8  # J/(kg·K)
    rise = heat.temperature_rise_k(
        heat.motion_energy_kj(3000 * LB_KG, 60 * 1.609344), 40 * LB_KG, heat_j_per_kgk=0.13 * btu_per_lbf
    )
    assert f"{rise * 1.8:.1f}" == "89.2"
    assert rise * 1.8 == pytest.approx(90.3, rel=0.015)


def test_front_disc_of_a_car_by_hand():
    """1400 kg, 100 km/h, 75 % front, 6.5 kg, 460 J/(kg·K), by hand: 67.7 K, at 90 % 61.0 K."""
    energy = heat.motion_energy_kj(1400, 100) * 0.75 / 2
    assert f"{heat.temperature_rise_k(energy, 6.5):.1f}" == "67.7"
    assert f"{heat.temperature_rise_k(energy, 6.5, 0.9):.1f}" == "61.0"
    values = run_sum("brake-heat", {"mass": "1400 kg", "speed": "100 km/h", "disc-mass": "6.5 kg"}).values
    assert f"{values['rise'].low:.1f}" == "61.0"


@given(st.floats(500, 3000), st.floats(20, 200), st.floats(0, 1), st.floats(0, 1))
def test_two_slow_downs_take_the_energy_of_one_stop(mass, speed, one, two):
    end, middle = sorted((speed * min(one, two), speed * max(one, two)))
    whole = heat.motion_energy_kj(mass, speed, end)
    parts = heat.motion_energy_kj(mass, speed, middle) + heat.motion_energy_kj(mass, middle, end)
    assert parts == pytest.approx(whole, abs=1e-6)


@given(st.floats(1, 2000), st.floats(1, 20), st.floats(0.5, 1))
def test_rise_gives_the_energy_back(energy, iron, share):
    rise = heat.temperature_rise_k(energy, iron, share)
    assert rise * iron * heat.IRON_HEAT_J_PER_KGK / 1000 == pytest.approx(share * energy)
    band = heat.rise_band_k(energy, iron)
    assert band.low < band.typical < band.high


def test_a_ring_is_a_disc_less_a_disc():
    whole = heat.ring_mass_kg(280, 0, 12)
    assert heat.ring_mass_kg(280, 180, 12) == pytest.approx(whole - heat.ring_mass_kg(180, 0, 12))


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: heat.motion_energy_kj(0, 50), "above 0"),
        (lambda: heat.motion_energy_kj(1000, 50, 60), "at most the 50 km/h"),
        (lambda: heat.descent_energy_kj(1000, -1), "0 or more"),
        (lambda: heat.temperature_rise_k(-1, 5), "none may be below 0"),
        (lambda: heat.temperature_rise_k(1, 5, 1.1), "at most 1"),
        (lambda: heat.ring_mass_kg(180, 280, 12), "measure again"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


CAR = {"mass": "1400 kg", "speed": "100 km/h"}


def test_disc_mass_may_come_from_its_measures():
    weighed = run_sum("brake-heat", {**CAR, "disc-mass": "3.6387 kg"}).values["rise"]
    measured = run_sum(
        "brake-heat", {**CAR, "iron": "14 mm", "face-outer": "280 mm", "face-inner": "180 mm"}
    ).values["rise"]
    assert measured.typical == pytest.approx(weighed.typical, rel=1e-3)
    with pytest.raises(SumError, match="give it, or the iron's thickness"):
        run_sum("brake-heat", {**CAR, "iron": "14 mm"})


def test_a_hill_adds_its_energy_and_a_light_disc_is_warned_of():
    level = run_sum("brake-heat", {**CAR, "disc-mass": "6 kg"})
    hill = run_sum("brake-heat", {**CAR, "disc-mass": "6 kg", "descent": "100 m"})
    assert hill.values["energy"] - level.values["energy"] == pytest.approx(1400 * 9.80665 * 100 / 1000)
    assert any("low gear" in each for each in hill.warnings)
    assert any(
        "light for this car" in each for each in run_sum("brake-heat", {**CAR, "disc-mass": "2 kg"}).warnings
    )
    assert not level.warnings


def test_nothing_to_brake_is_refused():
    with pytest.raises(SumError, match="nothing is braked"):
        run_sum("brake-heat", {**CAR, "disc-mass": "6 kg", "end-speed": "100 km/h"})
