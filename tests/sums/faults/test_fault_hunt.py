"""Chances after checks (Bayes), names, and the sum as it is asked."""

import pytest
from fault_cases import random_hunt
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.faults.hunt import Access, Check, Finding, after_findings, make_hunt
from onceapart.sums.plots import plot_png
from onceapart.sums.registry import find_sum
from onceapart.sums.run import run_example, run_sum


def _hunt():
    return make_hunt(
        [("A", 50), ("B", 30), ("C", 20)],
        [Check("a", ("A",), 5, sees=0.8), Check("bc", ("B", "C"), 5, sees=0.9), Check("c", ("C",), 5)],
    )


def test_chances_after_a_clear_check_by_hand():
    """A 0.5 × 0.2 = 0.1 against 0.3 and 0.2: 1/6, 1/2, 1/3."""
    chances = after_findings(_hunt(), [Finding("a", False)]).chances
    assert chances == pytest.approx({"A": 1 / 6, "B": 1 / 2, "C": 1 / 3})


def test_a_check_of_several_causes_that_found_leaves_only_those():
    chances = after_findings(_hunt(), [Finding("bc", True)]).chances
    assert chances == pytest.approx({"A": 0, "B": 0.6, "C": 0.4})
    named = after_findings(_hunt(), [Finding("BC", True, "b")])
    assert named.chances == pytest.approx({"A": 0, "B": 1, "C": 0})
    assert [each.name for each in named.checks] == ["a", "c"]


@given(st.integers(0, 10**6), st.integers(2, 6), st.data())
def test_outcomes_weighed_by_their_chance_give_the_chances_before(seed, count, data):
    """Law of total probability."""
    hunt = random_hunt(seed, count)
    check = data.draw(st.sampled_from(hunt.checks))
    shows = sum(hunt.chances[cause] for cause in check.finds) * check.sees
    total = dict.fromkeys(hunt.chances, 0.0)
    for found, chance in ((True, shows), (False, 1 - shows)):
        if chance > 1e-9:
            for cause, after in after_findings(hunt, [Finding(check.name, found)]).chances.items():
                total[cause] += chance * after
    assert total == pytest.approx(dict(hunt.chances), abs=1e-8)


@given(st.integers(0, 10**6), st.integers(2, 6), st.randoms())
def test_the_order_of_findings_does_not_matter(seed, count, rng):
    hunt = random_hunt(seed, count)
    findings = [Finding(each.name, False) for each in hunt.checks[:-1] if each.sees < 1]
    mixed = rng.sample(findings, len(findings))
    assert after_findings(hunt, findings).chances == pytest.approx(after_findings(hunt, mixed).chances)


def test_access_of_a_check_made_stays_open():
    hunt = make_hunt(
        [("A", 1), ("B", 1)],
        [Check("a", ("A",), 5, 0, ("wheel",)), Check("b", ("B",), 5, 0, ("wheel",))],
        [Access("up", 10), Access("wheel", 5, ("up",))],
    )
    assert after_findings(hunt, [Finding("a", False)]).open_access == {"up", "wheel"}


@pytest.mark.parametrize(
    ("findings", "message"),
    [
        ([Finding("d", False)], "no check called 'd'"),
        ([Finding("a", False), Finding("a", True)], "said twice"),
        ([Finding("a", True, "B")], "cannot have seen B"),
        ([Finding("c", True), Finding("a", True)], "no cause is left"),
    ],
)
def test_findings_that_cannot_be_are_refused(findings, message):
    with pytest.raises(SumError, match=message):
        after_findings(_hunt(), findings)


@pytest.mark.parametrize(
    ("causes", "checks", "access", "message"),
    [
        ([("A", 1), ("a", 1)], [], [], "cause named twice"),
        ([("A", 0)], [], [], "nor all of them nought"),
        ([("A", -1), ("B", 2)], [], [], "not be below nought"),
        ([("A", 1)], [Check("x", ("Bx",), 1)], [], "no cause called 'Bx'; there is A"),
        ([("ball joint", 1)], [Check("x", ("bal joint",), 1)], [], "did you mean ball joint"),
        ([("A", 1)], [Check("x", ("A",), 1), Check("X", ("A",), 1)], [], "check named twice"),
        ([("A", 1)], [Check("x", (), 1)], [], "finds nothing"),
        ([("A", 1)], [Check("x", ("A",), -1)], [], "not be below nought"),
        ([("A", 1)], [Check("x", ("A",), 1, sees=0)], [], "above 0 and at most 100%"),
        ([("A", 1)], [Check("x", ("A",), 1, 0, ("roof",))], [], "no access called 'roof'; there is none"),
        ([("A", 1)], [], [Access("u", 1, ("v",)), Access("v", 1, ("u",))], "in a circle"),
    ],
)
def test_hunts_that_cannot_be_are_refused(causes, checks, access, message):
    with pytest.raises(SumError, match=message):
        make_hunt(causes, checks, access)


EXAMPLE = find_sum("fault-order").example


def _asked(**more):
    return run_sum(
        "fault-order", {**EXAMPLE, **{name.replace("_", "-"): text for name, text in more.items()}}
    )


def test_the_example_saves_against_the_plain_rule():
    result = run_example(find_sum("fault-order"))
    assert result.values["next"] == "shake the link"
    assert 0 < result.values["saved"] < result.values["by_ratio"]
    assert any("does not see what checks share" in reason for reason in result.reasons)
    assert plot_png(result.plot())[:4] == b"\x89PNG"


def test_results_as_they_come_in_change_the_next_check():
    after = _asked(done="shake the link: clear; lever the arm: clear")
    assert after.values["next"] == "spin the wheel"
    assert after.values["likeliest"] == "strut top"
    found = _asked(done="spin the wheel: found")
    assert found.values["next"] is None
    assert found.values["likeliest_chance"] == 100
    assert "really bad before renewing" in found.reasons[0]


def test_nothing_left_to_check_says_so():
    done = "shake the link: clear; lever the arm: clear; spin the wheel: clear; look at the pads: clear"
    result = _asked(done=done, causes=EXAMPLE["causes"] + "; loose exhaust: 10")
    assert any("loose exhaust" in warning for warning in result.warnings)
    gone = _asked(done=done + "; listen and bounce: clear", causes=EXAMPLE["causes"] + "; loose exhaust: 10")
    assert gone.values["next"] is None
    assert "could tell" in gone.reasons[0]


def test_cheap_help_is_taken_at_once():
    result = _asked(give_up="1")
    assert result.values["next"] == "none: have it found"
    assert "at once" in " ".join(result.reasons)


def test_an_hour_worth_nothing_leaves_all_orders_alike():
    assert any("any order is as good" in warning for warning in _asked(hour_worth="0").warnings)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"checks": "look: rust: 5 min"}, "no cause called 'rust'"),
        ({"checks": "look: drop link,, ball joint: 5 min"}, "a name is missing beside a comma"),
        ({"causes": "drop link, ball joint: 5"}, "a name has no comma"),
        ({"causes": "drop link: 500"}, "0 to 100"),
        ({"done": "shake the link: maybe"}, "not one of the choices"),
        ({"done": "shake the lnk: clear"}, "did you mean shake the link"),
    ],
)
def test_typed_rows_that_cannot_be_read_are_refused(typed, message):
    with pytest.raises(SumError, match=message):
        _asked(**typed)
