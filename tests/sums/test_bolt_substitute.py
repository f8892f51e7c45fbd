"""Will the bolt in the bin do? Situations a mechanic meets, laws the verdict keeps, and the picture."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.bolts.designation import parse_bolt
from onceapart.sums.bolts.engagement import METALS, stripping_load_n
from onceapart.sums.bolts.joint import CRITICAL, ORDINARY, Fitted, Joint, place
from onceapart.sums.bolts.substitute import AS_GOOD, NOT_USABLE, STOPGAP, Grade, judge, verdict_of
from onceapart.sums.present import shown_lines
from onceapart.sums.registry import find_sum
from onceapart.sums.run import run_sum

USUAL = {"original": "M10x50 8.8", "found": "M10x50 8.8", "grip": "32 mm", "holds": "bracket"}


def _try(**changes):
    return run_sum(
        "bolt-substitute", {**USUAL, **{key.replace("_", "-"): value for key, value in changes.items()}}
    )


def _grades(result):
    """Aspect -> grade word, from the reasons."""
    return dict(re.match(r"(\w+) \(([^)]+)\)", reason).groups() for reason in result.reasons)


@pytest.mark.parametrize("holds", [*CRITICAL, *ORDINARY])
def test_the_same_bolt_again_is_as_good_anywhere(holds):
    result = _try(holds=holds)
    assert result.verdict == AS_GOOD
    assert set(_grades(result).values()) == {"same"}
    assert result.values["washers_to_add"] == 0
    assert result.values["capacity_share"] == 100


@pytest.mark.parametrize(
    ("changes", "ordinary", "critical"),
    [
        ({"found": "M10x50 10.9"}, AS_GOOD, STOPGAP),  # harder: no worse, but not what the car's maker chose
        ({"found": "M10x50 5.8"}, STOPGAP, NOT_USABLE),  # 0.65 of the strength
        ({"found": "M10x50 4.6"}, NOT_USABLE, NOT_USABLE),  # 0.39
        ({"found": "M10x50 unmarked"}, NOT_USABLE, NOT_USABLE),
        ({"found": "M10x50 A2-70"}, STOPGAP, NOT_USABLE),
        ({"found": "M8x50 12.9"}, STOPGAP, NOT_USABLE),  # sloppy in the hole
        ({"found": "M12x50 8.8"}, NOT_USABLE, NOT_USABLE),  # does not go through
        ({"found": "M10x1.25x50 8.8"}, AS_GOOD, STOPGAP),  # needs a nut of its own
        ({"found": "M10x60 8.8", "grip": "30 mm"}, STOPGAP, NOT_USABLE),  # 1 washer, 12 threads show
        ({"found": "M10x55 8.8", "grip": "26 mm"}, STOPGAP, NOT_USABLE),
        ({"found": "M10x55 8.8", "grip": "34 mm"}, AS_GOOD, STOPGAP),
        ({"found": "M10x45 8.8", "grip": "36 mm"}, STOPGAP, NOT_USABLE),  # 1.4 mm of the nut empty
        ({"found": "M10x45 8.8", "grip": "38 mm"}, NOT_USABLE, NOT_USABLE),  # 3.4 mm: strips early
        ({"found": "M10x45 8.8", "grip": "34 mm"}, STOPGAP, NOT_USABLE),  # nut just full, nothing shows
        ({"found": "M10x50 8.8", "found_threaded": "full"}, AS_GOOD, STOPGAP),  # shear not given
        ({"found_threaded": "full", "shear": "16 mm"}, STOPGAP, NOT_USABLE),
        ({"loss": "0.2 mm"}, STOPGAP, NOT_USABLE),
        ({"loss": "1 mm"}, NOT_USABLE, NOT_USABLE),
    ],
)
def test_situations(changes, ordinary, critical):
    assert _try(holds="bracket", **changes).verdict == ordinary
    assert _try(holds="suspension", **changes).verdict == critical


def test_washers_and_thread_to_cut_are_counted():
    """M10x60 ISO 4014: thread from 34 mm. Clamped 26 and a washer of 2: 6 short, 3 washers, or 6 + 1.5 of
    thread."""
    result = _try(found="M10x60 8.8", grip="26 mm")
    assert result.values["washers_to_add"] == 3
    assert result.values["thread_to_cut"] == pytest.approx(7.5)
    assert "Put 3 more hardened washers under the nut." in result.warnings
    # 60 - 26 - 4 x 2 - 8.4
    assert result.values["protrusion"] == pytest.approx(17.6)


def test_too_many_washers_turn_to_cutting_only_where_that_may_be_done():
    soft = _try(found="M10x60 8.8", grip="20 mm")
    assert soft.values["washers_to_add"] == 6
    assert soft.verdict == STOPGAP
    assert any("cut 13.5 mm of thread" in reason for reason in soft.reasons)
    for changes in (
        {"holds": "brakes"},
        {"found": "M10x60 10.9"},
        {"found": "M10x90 8.8"},
        {"shear": "21 mm"},
    ):
        hard = _try(**{"found": "M10x60 8.8", "grip": "20 mm", **changes})
        assert hard.verdict == NOT_USABLE
        assert any("not to be cut" in reason for reason in hard.reasons)


def test_a_measured_thread_goes_before_the_standard():
    assert _try(found="M10x60 8.8", grip="26 mm", thread="40 mm").values["washers_to_add"] == 0


@pytest.mark.parametrize("holds", ["suspension", "engine"])
def test_the_same_bolt_that_hardly_enters_the_hole_is_no_good(holds):
    """As deep as the original by the figures given, but they leave 1.5 mm of thread: the figures are off."""
    result = _try(
        original="M10x25 8.8", found="M10x25 8.8", grip="20 mm", into="tapped-aluminium", holds=holds
    )
    assert result.verdict == NOT_USABLE
    assert _grades(result)["Engagement"] == "fails"
    assert any("did not fit either" in warning for warning in result.warnings)


@given(st.sampled_from(["tapped-steel", "tapped-iron", "tapped-aluminium"]), st.integers(10, 48))
@settings(deadline=None, max_examples=30)
def test_in_a_tapped_hole_less_than_a_diameter_that_strips_first_is_never_as_good(into, half_mm):
    result = _try(
        original="M10x35 8.8",
        original_threaded="full",
        found="M10x35 8.8",
        found_threaded="full",
        grip=f"{half_mm / 2} mm",
        into=into,
        holds="brakes",
    )
    if result.verdict == AS_GOOD:
        reached = result.values["engaged"] + 1.5
        assert reached >= 10 - 1e-6 or result.values["engaged"] >= result.values["engagement_needed"]


def test_an_unmeasured_hole_is_not_said_to_be_deep_enough():
    same = {"original": "M10x30 8.8", "found": "M10x30 8.8", "grip": "10 mm", "into": "tapped-steel"}
    assert not any("short of the bottom" in reason for reason in _try(**same).reasons)
    assert any("short of the bottom" in reason for reason in _try(**same, hole_depth="25 mm").reasons)


def test_where_thread_must_not_be_cut_the_length_to_cut_does_not_stand_alone():
    changes = {"found": "M10x55 8.8", "grip": "26 mm"}
    assert _try(**changes, holds="brakes").values["thread_to_cut"] > 0
    assert any("Do not cut thread" in warning for warning in _try(**changes, holds="brakes").warnings)
    assert not any("Do not cut thread" in warning for warning in _try(**changes).warnings)


@pytest.mark.parametrize("into", ["tapped-steel", "tapped-iron", "tapped-aluminium"])
@pytest.mark.parametrize("grip", ["12 mm", "15 mm", "18 mm"])
def test_the_torque_never_strips_the_thread_engaged(into, grip):
    """Preload at K = 0.20, against half the metal's strength over the area that would strip."""
    typed = {"original": "M10x30 8.8", "found": "M10x30 8.8", "into": into, "grip": grip, "holds": "bracket"}
    result = _try(**typed, original_threaded="full", found_threaded="full", washers="0")
    if result.verdict == NOT_USABLE:
        assert result.values["most_torque"] is None
        return
    engaged = result.values["engaged"]
    metal = METALS[into].tensile_mpa
    strips = stripping_load_n(parse_bolt("M10").thread, engaged, 800, metal)
    assert result.values["most_torque"] / (0.2 * 0.010) <= 0.75 * strips * (1 + 1e-9)


def test_less_thread_engaged_cuts_down_the_manuals_torque():
    """The found bolt reaches 12 mm deep, the original 17; one pitch of each does not count: 10.5 of 15.5."""
    typed = {"original": "M10x35 8.8", "found": "M10x30 8.8", "into": "tapped-steel", "holds": "bracket"}
    threaded = {"original_threaded": "full", "found_threaded": "full"}
    result = _try(**typed, **threaded, grip="16 mm", torque="60 Nm")
    assert result.values["most_torque"] == pytest.approx(60 * 10.5 / 15.5)


def test_a_torque_not_to_go_past_is_not_rounded_up_much():
    """Shown to three figures: two would turn 41.9 into 42 and 105.6 into 110."""
    result = run_sum("bolt-torque", {"bolt": "M12 8.8", "surface": "plain-dry"})
    lines = {line.label: line.words for line in shown_lines(find_sum("bolt-torque").outputs, result)}
    assert lines["Never past proof load up to"] == "106 N·m"  # 0.18 x 48.9 kN x 12 mm = 105.6


def test_a_lookalike_in_a_tapped_hole_is_named():
    result = _try(
        original="M8x30 8.8",
        found="5/16-18 x 1 1/4 grade 8",
        grip="12 mm",
        into="tapped-aluminium",
        holds="engine",
    )
    assert result.verdict == NOT_USABLE
    assert "looks alike" in result.reasons[0]


def test_a_bolt_that_bottoms_is_found_out_and_washers_take_it_up():
    hole = {
        "original": "M8x30 8.8",
        "original_threaded": "full",
        "found_threaded": "full",
        "into": "tapped-iron",
    }
    common = {**hole, "grip": "10 mm", "holds": "engine"}
    deep = _try(found="M8x35 8.8", hole_depth="22 mm", **common)
    assert deep.values["washers_to_add"] == 1  # 35 - 11.6 - 22 = 1.4 mm
    assert any("bottom of the hole 1.4 mm before" in reason for reason in deep.reasons)
    unknown = _try(found="M8x40 8.8", **common)
    assert unknown.verdict == STOPGAP
    assert any("may bottom" in reason for reason in unknown.reasons)


def test_a_short_bolt_in_aluminium_strips():
    common = {"original": "M8x40 8.8", "grip": "20 mm", "into": "tapped-aluminium", "holds": "engine"}
    assert _try(found="M8x40 8.8", **common).verdict == AS_GOOD
    short = _try(found="M8x30 8.8", found_threaded="full", **common)
    assert _grades(short)["Engagement"] == "fails"
    assert short.verdict == NOT_USABLE


def test_shear_is_compared_where_it_is():
    shank = _try(shear="16 mm")  # M10x50: full shank to 16.5 mm
    assert shank.values["shear_share"] == pytest.approx(100)
    lost = _try(shear="16 mm", found_threaded="full")
    # stress area over shank area, 57.99 / 78.54
    assert lost.values["shear_share"] == pytest.approx(73.8, abs=0.1)
    both = _try(shear="16 mm; 8 mm", found="M10x45 8.8", grip="30 mm")
    assert _grades(both)["Shear"] == "worse"


def test_the_manuals_torque_is_cut_down_but_never_raised():
    weaker = _try(original="M10x50 10.9", found="M10x50 8.8", torque="70 Nm")
    assert weaker.values["most_torque"] == pytest.approx(70 * 580 / 830)
    assert _try(found="M10x50 12.9", torque="50 Nm").values["most_torque"] == 50
    # Without it: K 0.20 on 0.75 of the weaker proof load.
    assert _try().values["most_torque"] == pytest.approx(0.2 * 0.75 * 57.99 * 580 * 0.010, rel=1e-3)
    assert _try(found="M10x50 4.6").values["most_torque"] is None


def test_lengths_that_fit_do_fit():
    words = _try(grip="32 mm").values["lengths"]
    assert words == "45 50 55 mm with a shank; 45 50 55 mm threaded to the head"
    for length in (45, 50, 55):
        assert _try(original=f"M10x{length} 8.8", found=f"M10x{length} 8.8").verdict == AS_GOOD


def test_a_stopgap_says_its_limits_and_stays_open():
    ordinary, critical = _try(found="M10x50 5.8"), _try(found="M10x50 10.9", holds="steering")
    assert (ordinary.verdict, critical.verdict) == (STOPGAP, STOPGAP)
    for result in (ordinary, critical):
        assert any("stays open until M10x1.5 x 50 mm 8.8" in warning for warning in result.warnings)
        assert any("N·m at most" in warning for warning in result.warnings)
    assert any(
        warning.startswith("Do not drive on it until a second person") for warning in critical.warnings
    )
    assert any("no more than 65%" in warning for warning in ordinary.warnings)


@pytest.mark.parametrize("holds", CRITICAL)
def test_not_usable_where_it_can_kill_says_do_not_drive(holds):
    result = _try(found="M10x50 5.8", holds=holds)
    assert result.verdict == NOT_USABLE
    assert result.warnings[0].startswith("Do not drive")


def test_figures_by_which_not_even_the_original_fits_are_questioned():
    assert any("original did not fit" in warning for warning in _try(grip="60 mm").warnings)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"hole": "9 mm"}, "does not go through it; measure again"),
        ({"shear": "40 mm"}, "measure from under the head"),
        ({"found": "M10 8.8"}, "found: .*length missing"),
        ({"found": "M10x50"}, "found: .*class missing"),
        ({"thread": "60 mm"}, "measure from its end"),
        ({"original": "M18x100 8.8", "found": "M18x100 8.8", "nut": "high"}, "high nut: none"),
    ],
)
def test_figures_that_cannot_be_are_refused(changes, says):
    with pytest.raises(SumError, match=says):
        _try(**changes)


# --- laws

classes = st.sampled_from(["4.6", "5.8", "8.8", "10.9", "12.9", "A2-70", "unmarked"])
sizes = st.sampled_from(["M8", "M10", "M10x1.25", "M12", "M12x1.5", "3/8-16", "7/16-14"])
bolts = st.builds(
    lambda size, length, mark: Fitted(
        parse_bolt(f"{size} x {length} mm {mark if size[0] == 'M' or mark == 'unmarked' else 'grade 5'}")
    ),
    sizes,
    st.sampled_from([30, 40, 50, 60, 80]),
    classes,
)


def _joint(original, holds, grip, into="nut"):
    from onceapart.sums.bolts.hardware import hardware_of

    hole = hardware_of(original.bolt.thread).hole_normal_mm
    return Joint(original.bolt.thread, holds, grip, 1, 2.0, into, "standard", "8", hole, None, ())


joints = st.tuples(st.floats(5, 60), st.sampled_from(["nut", "tapped-steel", "tapped-aluminium"]))


@given(bolts, bolts, joints)
@settings(max_examples=150)
def test_where_it_can_kill_the_verdict_is_never_kinder(original, found, joint):
    ranking = (NOT_USABLE, STOPGAP, AS_GOOD)
    grip, into = joint
    strict = judge(original, found, _joint(original, "suspension", grip, into))
    mild = judge(original, found, _joint(original, "bracket", grip, into))
    assert ranking.index(strict.verdict) <= ranking.index(mild.verdict)


@given(bolts, bolts, joints, st.sampled_from(list(CRITICAL)))
@settings(max_examples=150)
def test_where_it_can_kill_as_good_means_equal(original, found, joint, holds):
    outcome = judge(original, found, _joint(original, holds, *joint))
    if outcome.verdict == AS_GOOD:
        assert found.bolt.thread == original.bolt.thread
        assert found.strength.name == original.strength.name != "unmarked"
        assert outcome.found.added_washers == 0
        assert outcome.found.engaged_mm >= outcome.original.engaged_mm - 0.1


@given(bolts, joints)
def test_a_stronger_class_never_carries_less(original, joint):
    shares = [
        judge(
            original, Fitted(parse_bolt(f"M10x50 {mark}")), _joint(original, "bracket", *joint)
        ).capacity_share
        for mark in ("4.6", "5.8", "8.8", "10.9", "12.9")
    ]
    assert shares == sorted(shares)


@given(bolts, st.floats(5, 60), st.integers(0, 5))
def test_washers_move_the_nut_and_nothing_else(fitted, grip, added):
    joint = _joint(fitted, "bracket", grip)
    bare, more = place(fitted, joint), place(fitted, joint, added)
    assert more.stack_mm == pytest.approx(bare.stack_mm + 2.0 * added)
    assert more.past_mm == pytest.approx(bare.past_mm - 2.0 * added)
    assert more.jam_mm == pytest.approx(bare.jam_mm - 2.0 * added)


def test_the_verdict_follows_the_worst_grade():
    from onceapart.sums.bolts.substitute import Check

    def verdicts(*grades):
        checks = tuple(Check("x", grade, "") for grade in grades)
        return verdict_of(checks, is_critical=False), verdict_of(checks, is_critical=True)

    assert verdicts(Grade.SAME, Grade.SAME) == (AS_GOOD, AS_GOOD)
    assert verdicts(Grade.SAME, Grade.NO_WORSE) == (AS_GOOD, STOPGAP)
    assert verdicts(Grade.NO_WORSE, Grade.WORSE) == (STOPGAP, NOT_USABLE)
    assert verdicts(Grade.FAILS, Grade.SAME) == (NOT_USABLE, NOT_USABLE)


# --- the picture


def _numbers(element, *names):
    return [float(element.get(name)) for name in names]


SVG = "{http://www.w3.org/2000/svg}"


def _lengths_drawn(drawing):
    """Words -> length of the dimension line above them, in picture units."""
    root = ElementTree.fromstring(drawing)
    drawn = {}
    elements = list(root)
    for before, text in zip(elements, elements[3:], strict=False):
        if text.tag == f"{SVG}text" and before.tag == f"{SVG}line" and before.get("stroke-width") == "0.7":
            x1, x2 = _numbers(before, "x1", "x2")
            drawn[text.text] = x2 - x1
    return drawn


def test_the_picture_is_to_one_scale():
    drawn = _lengths_drawn(_try(found="M10x60 8.8", grip="30 mm").drawing)
    scale = drawn["20 mm"] / 20
    assert drawn["50 mm"] == pytest.approx(50 * scale, abs=0.05)
    assert drawn["60 mm"] == pytest.approx(60 * scale, abs=0.05)
    assert drawn["32 mm"] == pytest.approx(32 * scale, abs=0.05)  # grip and one washer
    assert drawn["34 mm"] == pytest.approx(34 * scale, abs=0.05)  # and one more


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"found": "M10x80 8.8"},
        {"found": "3/8-24 x 2 grade 8"},
        {"found": "M10x35 8.8"},
        {"into": "tapped-steel", "grip": "30 mm"},
        {"into": "tapped-iron", "grip": "30 mm", "hole-depth": "15 mm", "found": "M10x70 8.8"},
        {"shear": "8 mm; 16 mm", "washers": "2"},
        {"original": "M5x25 8.8", "found": "M5x50 8.8", "grip": "8 mm", "shear": ""},
        {"original": "M20x200 8.8", "found": "M20x80 8.8", "grip": "150 mm"},
    ],
)
def test_the_picture_keeps_within_its_edges_and_names_the_verdict(changes):
    result = run_sum("bolt-substitute", {**USUAL, **changes})
    root = ElementTree.fromstring(result.drawing)
    _, _, width, height = map(float, root.get("viewBox").split())
    assert width <= 560
    for line in root.iter(f"{SVG}line"):
        if line.get("x1") and "pattern" not in line.tag:
            x1, x2, y1, y2 = _numbers(line, "x1", "x2", "y1", "y2")
            assert -1 <= min(x1, x2) <= max(x1, x2) <= width + 1
            assert -1 <= min(y1, y2) <= max(y1, y2) <= height + 1
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert any(result.verdict in caption for caption in words)
    for text in root.iter(f"{SVG}text"):
        x, size = _numbers(text, "x", "font-size")
        half_ems = 0.3 if text.get("text-anchor") == "middle" else 0.6
        assert x + half_ems * size * len(text.text) <= width + 2


def test_gaps_are_written_into_the_picture():
    assert "jams 12 mm short" in _try(found="M10x60 8.8", grip="20 mm").drawing
    deep = _try(found="M10x70 8.8", grip="30 mm", into="tapped-iron", hole_depth="15 mm")
    assert "bottoms 23 mm short" in deep.drawing


def test_the_sum_is_in_the_registry_with_its_three_verdicts():
    assert find_sum("bolt-substitute").verdicts == (AS_GOOD, STOPGAP, NOT_USABLE)
