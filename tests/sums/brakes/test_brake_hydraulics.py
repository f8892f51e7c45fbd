"""Fluid pushed back and strokes of the pedal."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.brakes import hydraulics as hy
from onceapart.sums.run import run_sum

diameters = st.floats(15, 80)
travels = st.floats(0, 40)


def test_stroke_of_the_hand_worked_example():
    """Two 54 mm pistons by 0.5 mm, bore 22.2 mm: by hand (no publication): 5.92 mm."""
    volume = hy.volume_moved_ml(2 * hy.bore_area_mm2(54), 0.5)
    assert f"{hy.bore_area_mm2(54):.0f}" == "2290"
    assert f"{hy.bore_area_mm2(22.2):.1f}" == "387.1"
    assert f"{1000 * volume:.0f}" == "2290"
    assert f"{hy.master_stroke_mm(volume, 22.2):.2f}" == "5.92"


@given(diameters, st.floats(0.5, 2))
def test_a_wider_bore_shortens_the_stroke_by_the_square(bore, factor):
    stroke = hy.master_stroke_mm(5, bore)
    assert hy.master_stroke_mm(5, bore * factor) == pytest.approx(stroke / factor**2)


@given(st.lists(st.tuples(diameters, st.integers(1, 6)), min_size=1, max_size=6), travels)
def test_volume_is_that_of_every_piston_by_itself(pistons, travel):
    one_by_one = sum(
        hy.volume_moved_ml(math.pi * (d / 2) ** 2, travel) for d, count in pistons for _ in range(count)
    )
    assert hy.volume_moved_ml(hy.pistons_area_mm2(pistons), travel) == pytest.approx(one_by_one)


@given(travels, st.floats(-3, 3), diameters)
def test_a_fixed_caliper_with_a_like_piston_on_each_side_moves_the_same_fluid(growth, disc, diameter):
    """Floating: one piston makes up for everything. Fixed: two pistons for half of it each."""
    floating = hy.volume_moved_ml(hy.bore_area_mm2(diameter), hy.piston_travel_mm(growth, disc, "floating"))
    fixed = hy.volume_moved_ml(
        hy.pistons_area_mm2([(diameter, 2)]), hy.piston_travel_mm(growth, disc, "fixed")
    )
    assert fixed == pytest.approx(floating)


@given(st.floats(0.1, 200), st.floats(5, 300))
def test_the_level_rises_by_what_holds_the_volume(volume, area):
    assert hy.level_rise_mm(volume, area) / 10 * area == pytest.approx(volume)


@given(st.floats(0, 80), st.floats(12, 40), st.floats(3, 40), st.floats(0, 2.5))
def test_strokes_against_pumping_one_by_one(volume, bore, stroke, lost):
    strokes = hy.strokes_to_touch(volume, bore, stroke, lost)
    each = math.pi * bore**2 / 4 * (stroke - lost) / 1000
    assume(abs(volume / each - round(volume / each)) > 1e-6)  # exact multiples have a test of their own
    pumped = 0
    while volume > pumped * each:
        pumped += 1
    assert strokes == pumped


def test_a_gap_of_exactly_two_strokes_takes_two():
    assert hy.strokes_to_touch(2 * hy.bore_area_mm2(20) * 10 / 1000, 20, 10, 0) == 2
    assert hy.strokes_to_touch(0, 20, 10, 0) == 0


@pytest.mark.parametrize(
    ("pistons", "calipers", "gap_mm", "bore_mm", "stroke_mm"),
    [
        ([(48, 1)], 2, 2.5, 20.6, 15),  # small car
        ([(54, 1)], 2, 2.0, 22.2, 16),
        ([(57, 1)], 2, 2.2, 23.8, 17),
        ([(38, 2), (42, 2)], 2, 1.0, 23.8, 16),  # fixed caliper, four pistons
        ([(57, 1)], 1, 3.5, 22.2, 15),  # brakes split crosswise
    ],
)
def test_common_sizes_take_the_two_to_three_strokes_of_common_practice(
    pistons, calipers, gap_mm, bore_mm, stroke_mm
):
    """Common practice, no source; the sizes are invented, of the usual order."""
    volume = hy.volume_moved_ml(calipers * hy.pistons_area_mm2(pistons), gap_mm)
    least, most = hy.USUAL_STROKES
    assert least <= hy.strokes_to_touch(volume, bore_mm, stroke_mm) <= most


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: hy.bore_area_mm2(0), "must be above 0"),
        (lambda: hy.piston_travel_mm(1, 0, "drum"), "floating or fixed"),
        (lambda: hy.volume_moved_ml(0, 1), "must be above 0"),
        (lambda: hy.level_rise_mm(1, 0), "must be above 0"),
        (lambda: hy.master_stroke_mm(-1, 20), "cannot be below 0"),
        (lambda: hy.strokes_to_touch(1, 20, 2, 2), "lost before the port shuts"),
        (lambda: hy.pedal_travel_used_percent(100, 101), "between 0 and the free height"),
        (lambda: hy.pedal_travel_used_percent(0, 0), "measure both"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


RETRACT = {
    "pistons": "54 mm",
    "old-lining": "4 mm",
    "new-lining": "11 mm",
    "reservoir": "40 cm²",
    "to-max": "10 mm",
    "to-brim": "22 mm",
}


def test_the_verdict_turns_where_the_level_passes_max_and_the_brim():
    rise = run_sum("brake-retract", RETRACT).values["rise"]
    for to_max, to_brim, verdict in (
        (rise + 0.1, rise + 1, "stays below MAX"),
        (rise - 0.1, rise + 1, "rises above MAX"),
        (rise - 3, rise - 0.1, "overflows"),
    ):
        result = run_sum(
            "brake-retract", {**RETRACT, "to-max": f"{to_max:.3f} mm", "to-brim": f"{to_brim:.3f} mm"}
        )
        assert result.verdict == verdict
        assert (result.values["draw_to_max"] > 0) == (verdict != "stays below MAX")
    assert "Draw off" in result.warnings[0]


def test_drawing_off_what_it_says_ends_at_max():
    values = run_sum("brake-retract", RETRACT).values
    left = values["volume"] - values["draw_to_max"]
    assert hy.level_rise_mm(left, 40) == pytest.approx(10)


def test_inches_and_millimetres_give_the_same_answer():
    inches = {**RETRACT, "pistons": "2.12598425197 in", "to-brim": "0.866141732283 in"}
    assert run_sum("brake-retract", inches).values["volume"] == pytest.approx(
        run_sum("brake-retract", RETRACT).values["volume"]
    )


def test_travel_goes_instead_of_thicknesses():
    by_hand = {key: text for key, text in RETRACT.items() if "lining" not in key} | {"travel": "14 mm"}
    assert run_sum("brake-retract", by_hand).values == run_sum("brake-retract", RETRACT).values


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"to-brim": "5 mm"}, "brim cannot be below"),
        ({"travel": "3 mm"}, "one or the other"),
        ({"old-lining": ""}, "give the old and the new lining"),
        ({"old-lining": "12 mm"}, "nothing is pushed back"),
        ({"old-disc": "20 mm"}, "both the old and the new thickness"),
    ],
)
def test_retracting_refuses_what_does_not_go_together(change, rule):
    with pytest.raises(SumError, match=rule):
        run_sum("brake-retract", {**RETRACT, **change})


PEDAL = {"pistons": "54 mm", "gap": "2 mm", "bore": "22.2 mm", "stroke": "16 mm"}


def test_pedal_verdicts():
    assert run_sum("brake-pedal", PEDAL).verdict == "as usual"
    assert run_sum("brake-pedal", {**PEDAL, "gap": "6 mm"}).verdict == "more than usual"
    short = int(run_sum("brake-pedal", PEDAL).values["short_strokes"])
    assert run_sum("brake-pedal", {**PEDAL, "counted": str(short + 1)}).verdict == "as usual"
    assert run_sum("brake-pedal", {**PEDAL, "counted": str(short + 2)}).verdict == "look for air or a fault"


@pytest.mark.parametrize(("pressed", "met"), [("30 mm", True), ("29 mm", False)])
def test_pedal_reserve_is_set_beside_49_cfr_570_5_c(pressed, met):
    """49 CFR 570.5(c): at most 80 % of the travel, so a fifth of 150 mm must be left."""
    result = run_sum("brake-pedal", {**PEDAL, "free-pedal": "150 mm", "pressed-pedal": pressed})
    row = result.tables[0].rows[0]
    assert row[0].startswith("49 CFR 570.5(c)")
    assert row[3] is met


def test_pedal_heights_come_in_pairs():
    with pytest.raises(SumError, match="both the free and the pressed"):
        run_sum("brake-pedal", {**PEDAL, "free-pedal": "150 mm"})
