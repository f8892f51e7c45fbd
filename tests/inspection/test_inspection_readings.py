"""Findings as readings: what can't be right is set aside with a reason and a way out, and nothing is lost."""

from __future__ import annotations

import datetime as dt
import itertools

import pytest
from cases import EU, TODAY, US, car, finding, inspected, workshop
from hypothesis import given
from hypothesis import strategies as st

from onceapart.inspection.judging import Verdict
from onceapart.inspection.odometer import odometer_km, running_backward
from onceapart.inspection.reading import Doubt, readings
from onceapart.trade.rules import load_pack
from onceapart.workshop import Finding


def flags(one: Finding, rules: str = EU, **of_car: object) -> list[tuple[Doubt, str, str, str]]:
    found = readings(workshop([one], car(rules, **of_car)), load_pack(rules))
    assert len(found.good) + len({flag.index for flag in found.flagged}) == 1, "kept or set aside, never lost"
    return [(flag.doubt, flag.key, flag.rule, flag.way_out) for flag in found.flagged]


@pytest.mark.parametrize(
    ("one", "doubt", "key", "said"),
    [
        (
            finding("tread-dept", "front-left", "3 mm"),
            Doubt.UNKNOWN_ITEM,
            "item",
            "did you mean tread-depth?",
        ),
        (finding("tread", "front-left", "3 mm"), Doubt.UNKNOWN_ITEM, "item", "tread-depth"),
        (finding("zzz", "front-left", "3 mm"), Doubt.UNKNOWN_ITEM, "item", "onceapart rules"),
        (finding("tread-depth", "front-left", "80 mm"), Doubt.IMPOSSIBLE, "value", "14 mm"),
        (finding("tread-depth", "front-left", "3 in"), Doubt.IMPOSSIBLE, "value", "that is 76.2 mm"),
        (finding("tread-depth", "front-left", "3 kg"), Doubt.WRONG_UNIT, "value", "12.5 mm"),
        (finding("tread-depth", "front-left", "3..1 mm"), Doubt.WRONG_UNIT, "value", "12.5 mm"),
        (finding("tyre-pressure", "front-left", "2.2 mm"), Doubt.WRONG_UNIT, "value", "bar"),
        (finding("damper-bounce", "front-left", "3 mm"), Doubt.WRONG_UNIT, "value", "plain number"),
        (finding("brake-imbalance", "front", "30 mm"), Doubt.WRONG_UNIT, "value", "%"),
        (finding("tread-depth", "front-left", ("sound",)), Doubt.WRONG_KIND, "seen", "value"),
        (finding("tyre", "front-left", "3 mm"), Doubt.WRONG_KIND, "value", "seen"),
        (finding("tyre", "front-left", ("bulgy",)), Doubt.UNKNOWN_WORD, "seen[0]", "did you mean bulge?"),
        (finding("tyre", "front-left", ("cut", "q")), Doubt.UNKNOWN_WORD, "seen[1]", "use sound,"),
        (finding("tread-depth", None, "3 mm"), Doubt.PLACE, "place", "front-left, front-right"),
        (finding("tread-depth", "boot", "3 mm"), Doubt.PLACE, "place", "front-left"),
        (finding("brake-imbalance", "front-left", "3 %"), Doubt.PLACE, "place", "front, rear"),
        (finding("pads", "rear-left"), Doubt.PLACE, "place", "layout"),
        (finding("toe", "rear", "1 mm"), Doubt.PLACE, "place", "front"),
    ],
)
def test_what_can_not_be_right_is_set_aside(one: Finding, doubt: Doubt, key: str, said: str) -> None:
    (found,) = flags(one)
    assert found[:2] == (doubt, key)
    assert said in f"{found[2]}; {found[3]}"
    assert doubt.is_error


def test_all_that_is_wrong_with_a_finding_is_said_at_once() -> None:
    one = finding("tread-depth", "boot", "80 mm", date=dt.date(2027, 1, 1))
    assert [doubt for doubt, *_ in flags(one)] == [Doubt.FUTURE, Doubt.PLACE, Doubt.IMPOSSIBLE]


def test_a_date_after_today_is_flagged_and_today_is_not() -> None:
    assert flags(finding("tyre", "all")) == []
    ((doubt, key, rule, _),) = flags(finding("tyre", "all", date=TODAY + dt.timedelta(days=1)))
    assert (doubt, key) == (Doubt.FUTURE, "date")
    assert str(TODAY) in rule
    assert not doubt.is_error


def test_the_places_a_finding_stands_for() -> None:
    findings = [
        finding("tread-depth", "front", "5 mm"),
        finding("tyre", "all"),
        finding("pads", "all"),  # drums behind
        finding("brake-pipe", "all"),
        finding("brake-pipe", "rear-left", ("rusty",)),
        finding("steering-column"),
    ]
    good = readings(workshop(findings), load_pack(EU)).good
    assert [one.spots for one in good] == [
        ("front-left", "front-right"),
        ("front-left", "front-right", "rear-left", "rear-right"),
        ("front-left", "front-right"),
        ("front", "rear"),
        ("rear",),
        ("cabin",),
    ]


def test_units_are_turned_into_the_item_s_own() -> None:
    findings = [finding("tread-depth", "front-left", text) for text in ("3/32 in", "0,25 cm", "2.5 mm")]
    found = readings(workshop(findings), load_pack(US)).good
    assert [one.amount for one in found] == pytest.approx([2.38125, 2.5, 2.5])


@pytest.mark.parametrize(
    ("odometers", "flagged"),
    [
        (["80000 km", "90000 km", "91000 km"], []),
        (["80000 km", "9000 km", "91000 km"], [1]),
        (["800000 km", "90000 km", "91000 km"], [0]),
        (["80000 km", "79000 km"], [1]),
        (["50000 mi", "80000 km"], [1]),
        (["49000 mi", "80000 km"], []),
        (["80000 km", None, "80000 km"], []),
    ],
)
def test_an_odometer_that_runs_backward_is_flagged(odometers: list[str | None], flagged: list[int]) -> None:
    findings = [
        finding("tyre", "all", date=dt.date(2025, month, 1), odometer=odometer)
        for month, odometer in enumerate(odometers, 1)
    ]
    found = readings(workshop(findings), load_pack(EU))
    assert [flag.index for flag in found.flagged] == flagged
    assert all(flag.doubt is Doubt.BACKWARD for flag in found.flagged)
    assert all("2025-" in flag.rule for flag in found.flagged), "it says which reading it goes against"


days = st.integers(0, 6).map(lambda n: dt.date(2025, 1, 1) + dt.timedelta(days=n))


@given(st.lists(st.tuples(days, st.integers(0, 9).map(lambda n: f"{n}000 km")), max_size=8))
def test_as_few_odometers_as_can_be_are_flagged(found: list[tuple[dt.date, str]]) -> None:
    """Held to brute force: what is left never falls, and no larger part of the readings never falls."""
    rows = [(index, day, text) for index, (day, text) in enumerate(found)]
    flagged = running_backward(rows)

    def rises(kept: set[int]) -> bool:
        pairs = sorted((day, odometer_km(text) or 0.0) for index, day, text in rows if index in kept)
        return all(a[1] <= b[1] for a, b in itertools.pairwise(pairs))

    most = max(
        n
        for n in range(len(rows) + 1)
        if any(rises(set(some)) for some in itertools.combinations(range(len(rows)), n))
    )
    assert rises({index for index, _, _ in rows} - flagged.keys())
    assert len(rows) - len(flagged) == most


def test_a_flagged_finding_is_not_judged_but_what_it_would_be_is_told() -> None:
    late = finding("brake-servo", None, ("dead",), date=dt.date(2027, 1, 1))
    found = inspected([late])
    assert not found.verdicts
    assert "brake-servo" in {one.item.id for one in found.unchecked}
    (flag,) = found.flagged
    stands = found.as_it_stands(flag)
    assert stands is not None
    assert stands.verdict is Verdict.DANGEROUS
