"""The tyre sums as a person asks them."""

from itertools import pairwise
from xml.etree import ElementTree

import pytest

from onceapart.errors import SumError
from onceapart.sums.registry import find_sum
from onceapart.sums.run import SumInputsError, run_example, run_sum
from onceapart.sums.tyres.checks import VERDICTS

CLEAN = {
    "fitted": "185/60R14 82H",
    "wanted": "195/60R14 86H",
    "listed": "yes",
    "fitted-rim": "6 in",
    "tape": "1810 mm",
    "gap-over": "110 mm",
    "bump": "70 mm",
    "gap-inside": "40 mm",
    "gap-outside": "40 mm",
    "gap-lock": "50 mm",
    "readings": "50 km/h: 53 km/h; 90 km/h: 95 km/h",
}


def _change(**typed):
    wanted = {**CLEAN, **{name.replace("_", "-"): text for name, text in typed.items()}}
    return run_sum("tyre-change", {name: text for name, text in wanted.items() if text})


def test_a_size_is_explained():
    values = run_sum("tyre-size", {"tyre": "195/65R15 91V", "rim-width": "6 in", "speed": "240 km/h"}).values
    assert values["diameter"].typical == 635
    assert values["carries"] == 615
    assert values["carries_at_speed"] == pytest.approx(560, abs=1)
    assert values["rims"] == "5.5 to 7 in"
    assert values["speed"] == "up to 240 km/h"
    # 201 mm on a 6 in rim is the width makers print for this size (from memory).
    assert values["width"] == pytest.approx(201, abs=0.5)


def test_a_rim_that_does_not_suit_is_warned_of():
    result = run_sum("tyre-size", {"tyre": "195/65R15", "rim-width": "8 in"})
    assert any("does not suit" in warning for warning in result.warnings)
    assert result.values["carries"] is None


def test_everything_in_order_passes():
    result = _change()
    assert result.verdict == "passes", result.reasons


@pytest.mark.parametrize(
    ("typed", "verdict", "word"),
    [
        ({"listed": "no"}, "major", "not in the car's papers"),
        ({"listed": "unknown"}, "not checked", "look in the papers"),
        ({"wanted": "195/60R14 80H"}, "major", "below the 82 of the tyre on the car"),
        ({"wanted": "195/60R14 86H", "needed": "88H"}, "major", "below the 88 needed"),
        ({"wanted": "195/60R14 86T"}, "major", "below the H of the tyre on the car"),
        ({"wanted": "195/60R14"}, "not checked", "load index of the new tyre not given"),
        ({"wanted": "195/60R14 86T", "needed": "82S"}, "passes", "at least the S needed"),
        ({"wanted": "195/60R14 86H", "axle-load": "1200 kg"}, "dangerous", "two carry 1060 kg"),
        ({"wanted": "195/60R14 86T", "needed": "82T", "top-speed": "200 km/h"}, "dangerous", "does 200 km/h"),
        ({"where": "one"}, "major", "sizes would differ on one axle"),
        ({"where": "front", "wanted": "195/60-14 86H"}, "major", "would be mixed"),
        ({"wanted-rim": "8 in"}, "major", "8 in for a range"),
        ({"fitted-rim": ""}, "not checked", "suits rims"),
        ({"gap-over": "72 mm"}, "dangerous", "touches"),
        ({"gap-inside": "6 mm"}, "not checked", "at worst"),
        ({"gap-lock": ""}, "not checked", "gap at full lock not given"),
        ({"readings": "50 km/h: 50 km/h"}, "major", "less than the true speed"),
        ({"readings": "50 km/h: 66 km/h"}, "major", "shows too much"),
        ({"readings": "", "over-reading": "5 %"}, "not checked", "take readings"),
    ],
)
def test_each_objection_is_found_and_said(typed, verdict, word):
    result = _change(**{name.replace("-", "_"): text for name, text in typed.items()})
    assert result.verdict == verdict, result.reasons
    assert any(word in reason for reason in result.reasons)
    worst_first = [reason.partition("(")[2].partition(")")[0] for reason in result.reasons]
    assert worst_first[0] == verdict
    assert all(VERDICTS.index(one) >= VERDICTS.index(next_) for one, next_ in pairwise(worst_first))


def test_the_same_tyre_changes_nothing():
    result = _change(wanted="185/60R14 82H", tape="", tread="8 mm")
    assert result.values["ratio"] == pytest.approx(0)
    assert result.values["clearance_gain"].typical == pytest.approx(0)
    assert result.values["reading_change"] == pytest.approx(0)


def test_a_tape_around_both_tyres_leaves_no_spread():
    result = _change(tape="1800 mm", wanted_tape="1850 mm")
    gain = result.values["clearance_gain"]
    assert gain.low == gain.high == pytest.approx(50 / (2 * 3.14159265))


def test_figures_of_a_change_follow_from_the_ratio():
    result = _change(tape="", engine_speed="3000 rpm", final_drive="4.1", ground_clearance="130 mm")
    ratio = 590 / 578
    assert result.values["ratio"] == pytest.approx(100 * (ratio - 1))
    assert result.values["engine_speed"] == pytest.approx(3000 / ratio)
    assert result.values["final_drive"] == pytest.approx(4.1 / ratio)
    assert result.values["odometer"] == pytest.approx(100 * ratio)
    assert result.values["ground_clearance"].typical == pytest.approx(136)


def test_another_rim_diameter_means_another_wheel():
    result = _change(wanted="195/50R15 82H")
    assert any("give both offsets" in warning for warning in result.warnings)
    assert any(reason.startswith("Rim (not checked)") for reason in result.reasons)
    known = _change(wanted="195/50R15 82H", wanted_rim="6 in", fitted_offset="35 mm", wanted_offset="30 mm")
    assert any(reason.startswith("Rim (passes)") for reason in known.reasons)
    assert not any("give both offsets" in warning for warning in known.warnings)


def test_a_rim_the_chart_does_not_have_is_left_open():
    result = _change(wanted="315/35R14 86H", wanted_rim="11 in")
    assert any("not covered by the" in reason for reason in result.reasons)


def test_a_speedometer_at_its_edge_is_warned_of_for_tall_tyres():
    result = _change(tape="1815 mm", readings="50 km/h: 51.2 km/h")
    assert any("top of its tolerance" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"tape": "1500 mm"}, "tape 1500 mm: must be 17.* for a 185/60R14"),
        ({"wanted_tape": "2000 mm"}, "wanted-tape 2000 mm: must be 17.* for a 195/60R14"),
        ({"fitted_offset": "35 mm"}, "only one given"),
    ],
)
def test_what_does_not_go_together_is_refused(typed, why):
    with pytest.raises(SumError, match=why):
        _change(**typed)


def test_all_bad_inputs_are_named_at_once():
    with pytest.raises(SumInputsError) as caught:
        _change(fitted="195", wanted="red", gap_over="-5 mm", needed="H82")
    assert {problem.name for problem in caught.value.problems} == {"fitted", "wanted", "gap-over", "needed"}


def test_largest_tyre_by_the_speedometer():
    """Shown 52 at 50, 94 at 90: 4 % and 4.4 % of room, so 4 % it is."""
    values = run_sum(
        "tyre-speedometer", {"tyre": "185/60R14", "readings": "50 km/h: 52 km/h; 90 km/h: 94 km/h"}
    ).values
    assert values["largest"] == pytest.approx(578 * 1.04)
    assert values["smallest"] < values["largest"]


@pytest.mark.parametrize(
    ("readings", "word"),
    [
        ("50 km/h: 48 km/h", "too little already"),
        ("50 km/h: 66 km/h", "too much already"),
        ("50 km/h: 49 km/h; 130 km/h: 160 km/h", "No tyre sets"),
    ],
)
def test_a_speedometer_that_is_wrong_already_is_said_to_be(readings, word):
    result = run_sum("tyre-speedometer", {"tyre": "185/60R14", "readings": readings})
    assert any(word in warning for warning in result.warnings)


SVG = "{http://www.w3.org/2000/svg}"


def test_the_picture_is_to_scale_and_in_one_ink():
    result = run_example(find_sum("tyre-change"))
    root = ElementTree.fromstring(result.drawing)
    outlines = [
        float(each.get("r")) for each in root.iter(f"{SVG}circle") if each.get("stroke-width") == "2.2"
    ]
    across = [row[1] for row in result.tables[0].rows]
    assert outlines[1] / outlines[0] == pytest.approx(across[1] / across[0], rel=1e-3)
    inks = {each.get(key) for each in root.iter() for key in ("stroke", "fill")} - {None}
    assert inks == {"currentColor", "none", "url(#road)"}


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"gap_over": ""},
        {"wanted": "31x10.5R15 109Q"},
        {"wanted": "145/80R13 75T", "ground_clearance": "400 mm"},
    ],
)
def test_the_picture_stays_within_its_edges(typed):
    root = ElementTree.fromstring(_change(**typed).drawing)
    width, height = (float(part) for part in root.get("viewBox").split()[2:])
    for circle in root.iter(f"{SVG}circle"):
        x, y, radius = (float(circle.get(key)) for key in ("cx", "cy", "r"))
        assert radius <= x <= width - radius
        assert radius <= y <= height - radius
    for line in root.iter(f"{SVG}line"):
        assert all(0 <= float(line.get(key)) <= width for key in ("x1", "x2"))
        assert all(0 <= float(line.get(key)) <= height for key in ("y1", "y2"))
    for shape in root.iter(f"{SVG}polyline"):
        for point in shape.get("points").split():
            x, y = (float(part) for part in point.split(","))
            assert -0.01 <= x <= width + 0.01
            assert -0.01 <= y <= height + 0.01


@pytest.mark.parametrize("name", ["tyre-change", "tyre-speedometer"])
def test_a_speedometer_that_shows_nothing_is_refused(name):
    typed = {"readings": "50 km/h: 0 km/h"}
    typed |= {"tyre": "185/60R14"} if name == "tyre-speedometer" else CLEAN | typed
    with pytest.raises(SumInputsError, match="must be 1 to 360 km/h"):
        run_sum(name, typed)
