"""Room in the arch: worked by hand, and laws."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.sums.result import Band
from onceapart.sums.tyres import arch
from onceapart.sums.tyres.designation import parse_tyre


def flat(value):
    return Band(value, value, value)


def test_gaps_worked_by_hand():
    """185/60R14 (578 mm, measured) to 195/60R14 (583 to 599.36 mm): 6 mm more radius, 10.68 at most."""
    gain = arch.radius_gain_mm(flat(578), parse_tyre("195/60R14").diameter_mm)
    assert (gain.low, gain.typical, gain.high) == pytest.approx((2.49, 6.0, 10.68))
    gap = arch.tread_gap_mm(95, gain, bump_mm=70)
    assert (gap.low, gap.typical, gap.high) == pytest.approx((14.32, 19.0, 22.51))


def test_a_worn_tyre_leaves_less_room_for_the_new_one():
    new = parse_tyre("195/65R15").diameter_mm
    worn = arch.fitted_diameter_mm(new, 2.0, None)
    assert worn.typical == pytest.approx(new.typical - 12)
    unknown = arch.fitted_diameter_mm(new, None, None)
    assert unknown.low < worn.low
    assert unknown.typical == new.typical
    assert arch.fitted_diameter_mm(new, 2.0, 625.0) == flat(625.0)


def test_offset_moves_room_from_one_side_to_the_other():
    widths = (flat(195), flat(205))
    inside = arch.side_gap_mm(20, *widths, 40, 30, inwards=True)
    outside = arch.side_gap_mm(20, *widths, 40, 30, inwards=False)
    assert inside.typical == pytest.approx(20 - 5 + 10)
    assert outside.typical == pytest.approx(20 - 5 - 10)


gaps, widths, radii = st.floats(5, 150), st.floats(145, 300), st.floats(250, 400)


@settings(deadline=None)
@given(gaps, widths, widths, st.floats(-30, 50), st.floats(-30, 50))
def test_side_gaps_share_what_the_width_takes(gap, old, new, old_offset, new_offset):
    both = [
        arch.side_gap_mm(gap, flat(old), flat(new), old_offset, new_offset, inwards=inwards).typical
        for inwards in (True, False)
    ]
    assert sum(both) == pytest.approx(2 * gap + old - new)


@settings(deadline=None)
@given(gaps, radii, radii, widths, widths)
def test_a_larger_or_wider_tyre_never_leaves_more(gap, radius, other, width, wide):
    def left(new_radius, new_width):
        return arch.lock_gap_mm(
            gap, flat(radius), flat(new_radius), flat(width), flat(new_width), 35, 35
        ).typical

    assert left(radius, width) == pytest.approx(gap)
    assert left(other + 5, wide) < left(other, wide)
    assert left(other, wide + 5) < left(other, wide)


@settings(deadline=None)
@given(gaps, st.floats(0, 100), st.floats(550, 700))
def test_going_back_gives_the_gap_back(gap, bump, diameter):
    there = arch.radius_gain_mm(flat(600), flat(diameter))
    back = arch.radius_gain_mm(flat(diameter), flat(600))
    left = arch.tread_gap_mm(gap, there, bump).typical
    assert arch.tread_gap_mm(left, back).typical == pytest.approx(gap - bump)
