"""The plain bolt sums as a person asks them."""

import pytest

from onceapart.errors import SumError
from onceapart.sums.plots import plot_png
from onceapart.sums.present import show_value
from onceapart.sums.registry import find_sum
from onceapart.sums.run import SumInputsError, run_sum


def _shown(name, typed, output, system="metric"):
    result = run_sum(name, typed)
    described = next(each for each in find_sum(name).outputs if each.name == output)
    return show_value(result.values[output], described.unit, described.digits, system)


def test_thread_data_lists_every_class_the_size_comes_in():
    m16, m18 = (run_sum("bolt-thread", {"bolt": size}).tables[0].rows for size in ("M16", "M18"))
    assert {row[0] for row in m16} - {row[0] for row in m18} == {"9.8"}
    assert run_sum("bolt-thread", {"bolt": "M16"}).values["proof_load"] is None


def test_thread_data_in_inches():
    assert _shown("bolt-thread", {"bolt": "3/8-16 grade 5"}, "stress_area", "imperial") == "0.0775 in²"
    assert _shown("bolt-thread", {"bolt": "3/8-16 grade 5"}, "proof_load", "imperial") == "6590 lbf"


@pytest.mark.parametrize(
    ("grip", "verdict", "to_buy"),
    [
        ("40 mm", "fits", 55),
        ("31 mm", "runs out of thread", 45),
        ("33 mm", "too long", 50),
        ("49 mm", "too short", 65),
    ],
)
def test_grip_verdicts(grip, verdict, to_buy):
    result = run_sum("bolt-grip", {"bolt": "M10x60", "grip": grip})
    assert result.verdict == verdict
    assert result.values["length_needed"] == to_buy


def test_grip_range_agrees_with_the_verdicts():
    values = run_sum("bolt-grip", {"bolt": "M10x60"}).values
    assert (values["least_grip"], values["most_grip"]) == pytest.approx((32, 48.1))
    for grip, fits in ((31.9, False), (48.1, True), (48.2, False)):
        verdict = run_sum("bolt-grip", {"bolt": "M10x60", "grip": f"{grip} mm"}).verdict
        assert (verdict in {"fits", "too long"}) == fits


def test_a_bolt_with_too_little_thread_for_its_nut_is_said_to_be_so():
    result = run_sum("bolt-grip", {"bolt": "M10x60", "thread": "8 mm"})
    assert any("no thickness can be clamped" in reason for reason in result.reasons)


def test_torque_of_the_published_example():
    """M12 8.8, K 0.2, 82 N·m: about 34 kN, 70 % of proof."""
    typed = {"bolt": "M12 8.8", "nut-factor": "0.2", "torque": "82 Nm"}
    assert _shown("bolt-torque", typed, "preload_reached") == "34 kN"
    assert _shown("bolt-torque", typed, "share_reached") == "70 %"


def test_permanent_joints_are_tighter_and_running_torque_is_added():
    common = {"bolt": "M10 8.8", "nut-factor": "0.2"}
    reused, permanent = (
        run_sum("bolt-torque", {**common, "use": use}).values for use in ("reused", "permanent")
    )
    assert permanent["torque"].typical / reused["torque"].typical == pytest.approx(0.90 / 0.75)
    locking = run_sum("bolt-torque", {**common, "running": "3 Nm"}).values
    assert locking["torque"].typical == pytest.approx(reused["torque"].typical + 3)
    assert locking["preload_reached"].typical == pytest.approx(reused["preload_reached"].typical)


def test_torque_warns_before_the_proof_load_is_passed():
    safe = run_sum("bolt-torque", {"bolt": "M10 8.8", "surface": "oiled", "torque": "30 Nm"})
    maybe = run_sum("bolt-torque", {"bolt": "M10 8.8", "surface": "oiled", "torque": "45 Nm"})
    surely = run_sum("bolt-torque", {"bolt": "M10 8.8", "surface": "oiled", "torque": "90 Nm"})
    assert safe.warnings == ()
    assert "If friction is at its lowest" in maybe.warnings[0]
    assert "stretch for good" in surely.warnings[0]


def test_a_worn_locking_nut_is_told():
    worn = run_sum("bolt-torque", {"bolt": "M10 8.8", "running": "0.5 Nm"})
    assert any("renew the nut" in warning for warning in worn.warnings)


def test_torque_below_the_running_torque_clamps_nothing():
    with pytest.raises(SumError, match="nothing is clamped"):
        run_sum("bolt-torque", {"bolt": "M10 8.8", "running": "5 Nm", "torque": "4 Nm"})


def test_engagement_in_aluminium_and_in_nuts():
    typed = {"bolt": "M10 8.8", "into": "tapped-aluminium", "metal": "250 MPa"}
    assert run_sum("bolt-engagement", {**typed, "engaged": "18 mm"}).verdict == "the bolt breaks first"
    assert run_sum("bolt-engagement", {**typed, "engaged": "15 mm"}).verdict == "the thread strips first"
    assert run_sum("bolt-engagement", {"bolt": "M10 8.8"}).verdict == "the bolt breaks first"
    assert run_sum("bolt-engagement", {"bolt": "M10 8.8", "nut": "thin"}).verdict == "the thread strips first"
    soft = run_sum("bolt-engagement", {"bolt": "M10 10.9", "nut-class": "8"})
    assert any("too low for a 10.9 bolt" in warning for warning in soft.warnings)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"bolt": "M10 8.8", "into": "tapped-iron"}, "engaged: not given"),
        ({"bolt": "3/8-16 grade 5", "nut-class": "8"}, "leave it out"),
        ({"bolt": "M7 8.8", "nut": "high"}, "none in the table"),
    ],
)
def test_engagement_refuses_what_does_not_go_together(typed, says):
    with pytest.raises(SumError, match=says):
        run_sum("bolt-engagement", typed)


def test_shear_of_inch_bolts_has_no_eurocode_figure():
    assert run_sum("bolt-shear", {"bolt": "3/8-16 grade 5"}).values["design"] is None
    assert run_sum("bolt-shear", {"bolt": "M10 8.8"}).values["design"] is not None


def test_measured_rust_gives_one_figure_and_reckoned_rust_a_band():
    measured = run_sum(
        "bolt-corrosion", {"bolt": "M10 8.8", "loss": "0.5 mm", "surroundings": "C5", "years": "9"}
    )
    assert measured.values["area_left"] == pytest.approx(45.28, abs=0.01)
    assert measured.verdict == "may stay"
    reckoned = run_sum("bolt-corrosion", {"bolt": "M10", "surroundings": "C5", "years": "15"})
    assert reckoned.values["loss"].high == pytest.approx(0.824, abs=1e-3)
    assert reckoned.verdict == "replace"
    assert reckoned.values["proof_left"] is None
    assert any("from memory" in reason for reason in reckoned.reasons)


def test_rust_needs_a_loss_or_what_it_is_reckoned_from():
    with pytest.raises(SumError, match="give the loss measured, or surroundings and years"):
        run_sum("bolt-corrosion", {"bolt": "M10", "years": "15"})


def test_a_plot_can_be_drawn_as_png():
    png = plot_png(run_sum("bolt-torque", {"bolt": "M10 8.8"}).plot())
    assert png.startswith(b"\x89PNG")


def test_wrong_inputs_of_a_bolt_sum_come_at_once():
    with pytest.raises(SumInputsError) as caught:
        run_sum("bolt-torque", {"bolt": "M11 8.8", "surface": "oild", "torque": "fast"})
    assert [problem.name for problem in caught.value.problems] == ["bolt", "surface", "torque"]
    assert "did you mean oiled?" in str(caught.value)


def test_a_band_that_reaches_past_the_proof_load_is_said_to():
    """K 0.18 to 0.30: at the top of the band a slippery thread would be past its proof load."""
    wide = run_sum("bolt-torque", {"bolt": "M12 8.8", "surface": "plain-dry"})
    assert wide.values["torque"].high > wide.values["most_torque"]
    assert any("band above 106 N·m" in reason for reason in wide.reasons)
    known = run_sum("bolt-torque", {"bolt": "M12 8.8", "nut-factor": "0.2"})
    assert known.values["torque"].high <= known.values["most_torque"]
    assert not any("band above" in reason for reason in known.reasons)
