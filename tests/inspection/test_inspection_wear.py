"""What wears: legal now, but by the day of the inspection it may not be, or will not."""

from __future__ import annotations

import datetime as dt

import pytest
from cases import DUE, EU, TODAY, US, car, finding, inspected
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.inspection.judging import Verdict
from onceapart.inspection.verdicts import ItemVerdict
from onceapart.inspection.wear import ONE_READING
from onceapart.inspection.wording import ahead_words
from onceapart.workshop import Car, Finding


def tread(days_ago: int, value: float, odometer: int | None = None, place: str = "front-left") -> Finding:
    given = {} if odometer is None else {"odometer": f"{odometer} km"}
    return finding("tread-depth", place, f"{value} mm", date=TODAY - dt.timedelta(days=days_ago), **given)


def ahead(
    findings: list[Finding], pack: str = EU, the_car: Car | None = None, item: str = "tread-depth"
) -> ItemVerdict:
    found = {one.key: one for one in inspected(findings, pack, the_car).verdicts}
    return found[item, "front-left"]


def test_what_is_legal_now_but_will_not_be() -> None:
    """2 mm in 400 days; forty days on another 0.2 mm: 1.7 mm now, 1.5 mm then."""
    one = ahead([tread(400, 3.7, 80_000), tread(200, 2.7, 86_000), tread(0, 1.7, 92_000)])
    assert one.verdict is Verdict.PASSES
    projection = one.projection
    assert projection is not None
    assert projection.on == DUE
    assert projection.level.typical == pytest.approx(1.5, abs=0.01)
    assert projection.becomes is projection.may_become is Verdict.DANGEROUS
    assert projection.by_distance
    assert [rule.clause for rule in projection.rules] == ["5.2.3(e)"]
    # 0.1 mm left at 0.005 mm a day: twenty days on.
    assert projection.reached is not None
    assert abs((projection.reached - TODAY).days - 20) <= 1
    assert "will be dangerous" in ahead_words(projection, one.item)


def test_what_may_not_be() -> None:
    """2 mm now and 1.8 mm then, 0.2 mm above the limit: less than the gauge and the spread allow for."""
    one = ahead([tread(400, 4.0, 80_000), tread(200, 3.0, 86_000), tread(0, 2.0, 92_000)])
    assert one.projection is not None
    assert one.projection.becomes is Verdict.PASSES
    assert one.projection.may_become is Verdict.DANGEROUS
    assert one.projection.level.low < 1.6 < one.projection.level.typical
    assert "may be dangerous" in ahead_words(one.projection, one.item)


def test_what_lasts_is_not_told() -> None:
    one = ahead([tread(400, 7.0, 80_000), tread(200, 6.5, 86_000), tread(0, 6.0, 92_000)])
    assert one.projection is None
    assert one.cannot_project == ""


@pytest.mark.parametrize(
    "findings",
    [[tread(0, 2.0, 92_000)], [tread(0, 2.0), tread(0, 2.1)], [tread(0, 2.0, 92_000), tread(0, 2.1, 92_000)]],
)
def test_one_reading_tells_no_rate(findings: list[Finding]) -> None:
    assert ahead(findings).cannot_project == ONE_READING


def test_without_odometers_it_goes_by_the_days() -> None:
    one = ahead([tread(400, 3.7), tread(200, 2.7), tread(0, 1.7)])
    assert one.projection is not None
    assert not one.projection.by_distance
    assert one.projection.level.typical == pytest.approx(1.5, abs=0.01)


def test_a_car_that_is_hardly_driven_hardly_wears() -> None:
    """The same wear over the distance, most of it driven long ago: the days would say something else."""
    others = [
        finding("tyre", "rear", date=TODAY - dt.timedelta(days=n), odometer=f"{odometer} km")
        for n, odometer in ((3000, 20_000), (2000, 40_000), (1000, 60_000))
    ]
    one = ahead([*others, tread(1500, 3.0, 50_000), tread(0, 2.6, 80_000)])
    assert one.projection is None


def test_readings_from_before_the_part_was_renewed_do_not_count() -> None:
    """Two readings of old tyres, then new ones: by the old ones they would be worn through."""
    old = [tread(800, 3.0, 60_000), tread(700, 1.7, 66_000)]
    new = [tread(600, 8.0, 70_000), tread(0, 7.6, 92_000)]
    assert ahead([*old, *new]).projection is None
    one = ahead([*old, tread(100, 3.7, 86_000), tread(0, 1.8, 92_000)])
    assert one.projection is not None
    assert one.projection.readings == 2
    assert any("two readings" in doubt for doubt in one.projection.doubts)


def test_what_grows_is_projected_the_other_way() -> None:
    the_car = car(US, marks={"drum-diameter": "231 mm"})
    days = [(400, "230.0 mm"), (200, "230.45 mm"), (0, "230.9 mm")]
    findings = [
        finding("drum-diameter", "rear-left", value, date=TODAY - dt.timedelta(days=n)) for n, value in days
    ]
    (one,) = inspected(findings, US, the_car).verdicts
    assert one.projection is not None
    assert one.projection.may_become is Verdict.MAJOR
    assert one.projection.level.high > 231


def test_without_a_day_of_inspection_nothing_is_projected() -> None:
    findings = [tread(400, 3.7, 80_000), tread(200, 2.7, 86_000), tread(0, 1.7, 92_000)]
    (one,) = inspected(findings, EU, car().model_copy(update={"inspection": None})).verdicts
    assert one.projection is None
    assert one.cannot_project == ""
    (one,) = inspected(findings, EU, car().model_copy(update={"inspection": None}), on=DUE).verdicts
    assert one.projection is not None


def test_a_minor_can_get_worse_too() -> None:
    """The yearly home check has three limits for the lining; wear takes it from one to the next."""
    days = ((400, "6.0 mm"), (200, "4.1 mm"), (0, "2.2 mm"))
    findings = [
        finding("pad-lining", "front-left", value, date=TODAY - dt.timedelta(days=n)) for n, value in days
    ]
    (one,) = inspected(findings, "home-yearly", car("home-yearly")).verdicts
    assert one.verdict is Verdict.MINOR
    assert one.projection is not None
    assert one.projection.becomes is Verdict.MAJOR


@settings(max_examples=80, deadline=None)
@given(
    start=st.floats(1.6, 8.0),
    rate=st.floats(0.0, 0.02),
    gaps=st.lists(st.integers(20, 200), min_size=2, max_size=6),
    with_odometer=st.booleans(),
)
def test_readings_on_a_straight_line_are_carried_on(
    start: float, rate: float, gaps: list[int], with_odometer: bool
) -> None:
    """The oracle is the line itself: what is expected on the day is what it says, and the spread holds it."""
    ago = [sum(gaps[at:]) for at in range(len(gaps))] + [0]
    values = [round(min(start + rate * days, 14.0), 3) for days in ago]
    if any(start + rate * days > 14 for days in ago):
        return
    findings = [
        tread(days, value, round(200_000 - 30 * days) if with_odometer else None)
        for days, value in zip(ago, values, strict=True)
    ]
    one = ahead(findings)
    if one.verdict is not Verdict.PASSES:
        return
    then = max(start - rate * (DUE - TODAY).days, 0.0)
    if then < 1.6 - 0.01:
        assert one.projection is not None
        assert one.projection.becomes is Verdict.DANGEROUS
    if one.projection is not None:
        assert one.projection.level.typical == pytest.approx(then, abs=0.02)
        assert one.projection.level.low <= then + 0.02
        assert one.projection.may_become is Verdict.DANGEROUS
        assert one.projection.level.low < 1.6
