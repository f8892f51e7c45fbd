"""The sums about raising as a person asks them: verdicts, refusals, pictures, plots."""

from xml.etree import ElementTree

import pytest

from onceapart.errors import SumError
from onceapart.sums.plots import plot_png
from onceapart.sums.raising.limits import BEYOND, UNKNOWN, WITHIN
from onceapart.sums.registry import find_sum
from onceapart.sums.run import SumInputsError, run_example, run_sum

BOTH = ("raising-strut", "raising-wishbone")
GIVEN = {
    "joint-limit": "30 deg",
    "inner-limit": "30 deg",
    "outer-limit": "50 deg",
    "plunge-limit": "30 mm",
    "plunge-in-limit": "30 mm",
}


def _ask(name, **typed):
    wanted = {**find_sum(name).example, **{key.replace("_", "-"): text for key, text in typed.items()}}
    return run_sum(name, {key: text for key, text in wanted.items() if text})


@pytest.mark.parametrize("name", BOTH)
def test_within_all_limits_given_it_says_so(name):
    result = run_sum(name, {**find_sum(name).example, **GIVEN})
    assert result.verdict == WITHIN, result.reasons


@pytest.mark.parametrize("name", BOTH)
@pytest.mark.parametrize("missing", GIVEN)
def test_a_limit_not_given_is_never_called_fine(name, missing):
    typed = {**find_sum(name).example, **GIVEN}
    del typed[missing]
    assert run_sum(name, typed).verdict == UNKNOWN


@pytest.mark.parametrize("name", BOTH)
@pytest.mark.parametrize("limit", GIVEN)
def test_a_limit_that_is_passed_condemns(name, limit):
    tight = {"joint-limit": "5 deg", "inner-limit": "3 deg", "outer-limit": "30 deg"}.get(limit, "0 mm")
    # With the inner joint this high the shaft is drawn out at one end of the travel, pushed in at the other.
    typed = {**find_sum(name).example, **GIVEN, "shaft-inner": "240 mm: 330 mm", limit: tight}
    result = run_sum(name, typed)
    assert result.verdict == BEYOND, result.reasons
    assert any(warning.startswith("Do not drive it like this") for warning in result.warnings)
    assert any("beyond" in reason for reason in result.reasons)


def test_usual_limits_condemn_even_if_none_is_given():
    result = _ask("raising-strut", joint_limit="", top_spacer="100 mm", droop="110 mm")
    assert result.verdict == BEYOND
    assert any("usual, measure the joint" in reason and "beyond" in reason for reason in result.reasons)


def test_between_the_usual_figures_it_may_be_beyond():
    result = _ask("raising-wishbone", joint_limit="")
    assert result.verdict == UNKNOWN
    assert any("perhaps beyond 20° to 30°" in reason for reason in result.reasons)


def test_camber_counts_where_the_car_stands():
    assert _ask("raising-strut", camber_most="-0.2 deg").verdict == BEYOND
    assert _ask("raising-strut", camber_least="0 deg").verdict == BEYOND
    assert _ask("raising-strut", camber_least="-1 deg", camber_most="1 deg").verdict == WITHIN


def test_without_a_driveshaft_there_is_nothing_to_say_of_it():
    result = _ask("raising-wishbone", shaft_inner="", shaft_outer="", rod_inner="", rod_outer="")
    assert result.values["plunge"] is None
    assert result.values["shaft_after"] is None
    assert result.values["toe"] is None
    assert result.verdict == WITHIN
    assert "Driveshaft not given, so not looked at." in result.reasons


def test_parallel_arms_have_an_endless_swing_arm_and_no_camber_change():
    typed = {
        "lower-pivot": "330 mm: 200 mm",
        "lower-joint": "650 mm: 200 mm",
        "upper-pivot": "300 mm: 430 mm",
        "upper-joint": "620 mm: 430 mm",
    }
    result = run_sum("raising-wishbone", {**find_sum("raising-wishbone").example, **typed})
    assert result.values["swing_arm_before"] is None
    assert result.values["camber_after"] == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("name", "typed", "why"),
    [
        ("raising-strut", {"shaft_outer": ""}, "shaft-inner, shaft-outer: only one given"),
        ("raising-strut", {"rod_inner": ""}, "rod-inner, rod-outer: only one given"),
        ("raising-strut", {"shaft_outer": "260 mm: 280 mm"}, "at least 50 mm outside the inner joint"),
        ("raising-strut", {"rod_outer": "340 mm: 280 mm"}, "at least 50 mm outside the inner joint"),
        ("raising-strut", {"lower_joint": "340 mm: 190 mm"}, "at least 50 mm outside the lower pivot"),
        ("raising-strut", {"track": "1000 mm"}, "must not lie outside the wheel"),
        ("raising-strut", {"top": "560 mm: 420 mm"}, "at least 100 mm above"),
        ("raising-strut", {"longer_spring": "100 mm"}, "or the wheel hangs on it"),
        ("raising-strut", {"droop": "300 mm"}, r"mm longer: the arm would stand on end; check"),
        ("raising-wishbone", {"upper_joint": "420 mm: 445 mm"}, "at least 50 mm outside the upper pivot"),
        ("raising-wishbone", {"upper_joint": "615 mm: 200 mm"}, "at least 50 mm above the lower joint"),
        ("raising-wishbone", {"lift": "120 mm"}, "must be less than the droop of 90 mm"),
        ("raising-wishbone", {"droop": "260 mm"}, "260 mm of droop"),
    ],
)
def test_points_that_cannot_be_are_refused(name, typed, why):
    with pytest.raises(SumError, match=why):
        _ask(name, **typed)


@pytest.mark.parametrize(
    "text", ["330 mm", "330 mm: 5 mm", "a: b", "1 mm: 200 mm: 3 mm", "330 mm: 200 mm; 1 mm: 200 mm"]
)
def test_a_point_is_two_lengths_in_range(text):
    with pytest.raises(SumInputsError) as caught:
        _ask("raising-strut", lower_pivot=text)
    assert [problem.name for problem in caught.value.problems] == ["lower-pivot"]


def test_points_are_read_in_any_unit():
    metric = _ask("raising-strut", lower_pivot="330.2 mm: 209.55 mm").values
    imperial = _ask("raising-strut", lower_pivot="13 in: 8 1/4 in").values
    assert metric == imperial


def test_driveshaft_by_two_measurements():
    """Span 380, 26.6 mm lower, lift 40: 9.94°, 4.9 mm; 36.2° at 35° of lock (reckoned by another hand)."""
    values = run_sum(
        "raising-driveshaft", {"span": "380 mm", "drop": "26.6 mm", "lift": "40 mm", "lock": "35 deg"}
    ).values
    assert round(values["angle_after"], 2) == 9.94
    assert round(values["plunge_after"], 1) == 4.9
    assert round(values["lock_after"], 1) == 36.2
    assert values["swing_after"] is None


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [
        ({}, UNKNOWN),
        ({"inner-limit": "23 deg", "outer-limit": "47 deg", "plunge-limit": "20 mm"}, WITHIN),
        ({"inner-limit": "9 deg", "outer-limit": "47 deg", "plunge-limit": "20 mm"}, BEYOND),
        ({"inner-joint": "ball", "lift": "150 mm"}, BEYOND),
        ({"inner-joint": "cross"}, UNKNOWN),
    ],
)
def test_driveshaft_verdicts(typed, verdict):
    asked = {"span": "380 mm", "drop": "26.6 mm", "lift": "40 mm", **typed}
    assert run_sum("raising-driveshaft", asked).verdict == verdict


def test_a_cross_joint_at_an_angle_shakes():
    asked = {"span": "1200 mm", "drop": "80 mm", "lift": "150 mm", "inner-joint": "cross"}
    result = run_sum("raising-driveshaft", asked)
    assert result.values["swing_after"] > result.values["swing_before"]
    assert any("shakes" in warning for warning in result.warnings)


SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", BOTH)
@pytest.mark.parametrize("typed", [{}, {"track": "1900 mm"}, {"tyre_gain": "60 mm"}, {"pivot_drop": "30 mm"}])
def test_the_picture_is_in_one_ink_and_within_its_edges(name, typed):
    root = ElementTree.fromstring(_ask(name, **typed).drawing)
    width, height = (float(part) for part in root.get("viewBox").split()[2:])
    for line in root.iter(f"{SVG}line"):
        assert all(0 <= float(line.get(key)) <= width for key in ("x1", "x2"))
        assert all(0 <= float(line.get(key)) <= height for key in ("y1", "y2"))
    for shape in root.iter(f"{SVG}polygon"):
        for point in shape.get("points").split():
            x, y = (float(part) for part in point.split(","))
            assert 0 <= x <= width
            assert 0 <= y <= height
    inks = {each.get(key) for each in root.iter() for key in ("stroke", "fill")} - {None}
    assert inks == {"currentColor", "none", "url(#road)"}


@pytest.mark.parametrize("name", [*BOTH, "raising-stability"])
def test_plots_show_before_and_after(name):
    result = run_example(find_sum(name))
    figure = result.plot()
    for axes in figure.axes:
        styles = {line.get_linestyle() for line in axes.get_lines() if len(line.get_xdata()) > 2}
        assert {"-", "--"} <= styles
    assert plot_png(figure).startswith(b"\x89PNG")
