"""Stopgaps: never shown as fine, out of date when they are, and with a job that no plan can leave."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from record_cases import START, at

from onceapart.bench.entries import Limits, Noted, StopgapFitted, SumCheck
from onceapart.bench.state import Stopgap, fold
from onceapart.bench.stopgap import (
    CHECKED_BY,
    HARMLESS_SYSTEMS,
    KNOWN_SYSTEMS,
    make_good_by,
    make_good_job,
    make_good_problems,
    missing_make_good,
    needs_check,
    open_stopgaps,
    remains_of,
    run_check,
    stopgap_text,
    why_not_to_drive,
)
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import workload_from
from onceapart.sums.registry import find_sum
from onceapart.trade import apply_recipes
from onceapart.workshop import Car, Inspection, Job, Need, Stint, Workshop, parse_workshop

TODAY = START.date()
BOLT = {"original": "M10x50 8.8", "grip": "32 mm"}
STRONGER, WEAKER = {**BOLT, "found": "M10x55 10.9"}, {**BOLT, "found": "M10x60 4.6"}


def day(number: int) -> dt.date:
    return TODAY + dt.timedelta(days=number)


def fitted(**more: Any) -> StopgapFitted:
    given: dict[str, Any] = {
        "number": 1,
        "id": "e1",
        "time": at(0),
        "car": "wren",
        "what": "M10x55 10.9 bolt",
        "where": "front-left drop link",
        "system": "suspension",
        "limits": Limits(until=day(7)),
        "job": "wren-link",
        "odometer": "143200 km",
    }
    return StopgapFitted(**{**given, **more})


def stopgap(**more: Any) -> Stopgap:
    found = fitted(**more)
    return Stopgap(found, found.signed_by)


def checked(inputs: dict[str, str], holds: str) -> SumCheck:
    return run_check({**inputs, "holds": holds})


@pytest.mark.parametrize("system", ["brakes", "steering", "suspension"])
def test_no_makeshift_where_a_failure_kills_is_driven_on_without_check_and_signature(system: str) -> None:
    good = checked(STRONGER, system)
    assert good.verdict == "stopgap"
    assert why_not_to_drive(stopgap(system=system, check=good, signed_by="B. Heron")) is None
    for check, signed in [
        (None, "B. Heron"),
        (None, None),
        (good, None),
        (checked(WEAKER, system), "B. Heron"),
        (checked(STRONGER, "bracket"), "B. Heron"),
        (checked(STRONGER, "wheels"), "B. Heron"),
        (good.model_copy(update={"sum": "bolt-torque"}), "B. Heron"),
        (good.model_copy(update={"inputs": {**good.inputs, "grip": "none"}}), "B. Heron"),
    ]:
        assert why_not_to_drive(stopgap(system=system, check=check, signed_by=signed))


def test_nobodys_word_counts_for_the_verdict_of_the_sum() -> None:
    bad = checked(WEAKER, "suspension")
    assert bad.verdict == "not usable"
    lied = bad.model_copy(update={"verdict": "as good"})
    assert "not usable" in str(why_not_to_drive(stopgap(check=lied, signed_by="B. Heron")))


def test_do_not_drive_is_not_signed_away() -> None:
    for system in ("exhaust", "suspension"):
        found = stopgap(
            system=system,
            limits=Limits(do_not_drive=True),
            check=checked(STRONGER, "suspension"),
            signed_by="B",
        )
        assert why_not_to_drive(found)


def test_systems_are_dangerous_unless_known_to_be_harmless() -> None:
    holds = next(one for one in find_sum(CHECKED_BY).inputs if one.name == "holds")
    critical = {"brakes", "steering", "suspension", "wheels", "fuel", "airbags", "structure", "seat-belts"}
    assert critical <= {one for one in KNOWN_SYSTEMS if needs_check(one)}
    assert needs_check("something-new")
    assert all(why_not_to_drive(stopgap(system=one)) is None for one in HARMLESS_SYSTEMS)
    assert critical - {"structure"} <= set(holds.choices), "the sum can be asked for them"


def test_a_stopgap_has_an_end_and_a_distance_a_beginning() -> None:
    with pytest.raises(ValueError, match="a stopgap has an end"):
        Limits(speed="50 km/h")
    with pytest.raises(ValueError, match="counts from the odometer"):
        fitted(limits=Limits(distance="500 km"), odometer=None)


@settings(deadline=None)
@given(st.integers(0, 40), st.integers(0, 30))
def test_days_run_out_the_day_after_the_last(length: int, later: int) -> None:
    found = remains_of(stopgap(limits=Limits(until=day(length))), day(later))
    assert found.days == length - later
    assert bool(found.expired) == (later > length)


@settings(deadline=None)
@given(st.integers(0, 900), st.integers(0, 1800), st.sampled_from(["km", "mi"]))
def test_distance_runs_out(distance: int, driven: int, unit: str) -> None:
    found = stopgap(limits=Limits(distance=f"{distance} {unit}"), odometer="143200 km")
    factor = 1.609344 if unit == "mi" else 1.0
    remains = remains_of(found, TODAY, 143_200 + driven)
    assert remains.km == pytest.approx(distance * factor - driven)
    assert bool(remains.expired) == (driven > distance * factor + 1e-9)
    assert remains_of(found, TODAY).km is None, "without the odometer it can't be said"


def test_what_is_shown() -> None:
    found = stopgap(
        limits=Limits(until=day(7), distance="500 km", speed="60 km/h"),
        check=checked(STRONGER, "suspension"),
        signed_by="B. Heron",
    )
    assert stopgap_text(found, on=day(3), odometer_km=143_320) == (
        "STOPGAP since 2026-03-07: M10x55 10.9 bolt, front-left drop link (suspension). "
        "Limits: until 2026-03-14 (4 days left), for 500 km from 143200 km (380 km left), at most 60 km/h. "
        "Signed by B. Heron. Job wren-link makes it good."
    )
    late = stopgap_text(found, on=day(8), odometer_km=143_320)
    assert "DO NOT DRIVE: its last day was 2026-03-14." in late
    unsigned = stopgap_text(stopgap(), on=day(1))
    assert "DO NOT DRIVE: no sum has passed it, and a failure in the suspension can kill." in unsigned


def test_all_open_ones_of_the_car_are_shown_with_the_highest_odometer() -> None:
    record = [
        fitted(limits=Limits(distance="500 km"), system="exhaust"),
        fitted(number=2, id="e2", car="rook"),
        Noted(number=3, id="e3", time=at(5), car="wren", odometer="143710 km", words="read"),
    ]
    (text,) = open_stopgaps(fold(record), "wren", on=TODAY, odometer="143300 km")
    assert "its 500 km were used up 10 km ago" in text
    assert len(open_stopgaps(fold(record), "rook")) == 1
    assert open_stopgaps(fold(record), "owl") == ()


WORKSHOP = Workshop(
    name="Quay Lane",
    today=TODAY,
    currency="EUR",
    hour_worth=1200,
    cars=(
        Car(id="wren", name="The Wren", inspection=Inspection(due=day(60))),
        Car(id="rook", name="The Rook"),
    ),
    stints=(Stint(date=day(1), minutes=120), Stint(date=day(20), minutes=120)),
)


def test_the_deadline_is_the_first_of_the_limits() -> None:
    both = Limits(until=day(20), distance="300 km")
    assert make_good_by(stopgap(limits=both), TODAY) == day(10)  # 30 km a day
    assert make_good_by(stopgap(limits=both), TODAY, km_a_day=10) == day(20)
    assert make_good_by(stopgap(limits=both), day(11)) is None, "it is passed: the car stands"
    assert make_good_by(stopgap(limits=Limits(do_not_drive=True)), TODAY) is None


def test_the_job_that_makes_it_good_cannot_be_left() -> None:
    entry = make_good_job(stopgap(limits=Limits(until=day(7))), WORKSHOP, TODAY)
    assert entry == {"id": "wren-link", "car": "wren", "need": "safety", "by": day(7), "minutes": 60}
    workshop = WORKSHOP.model_copy(update={"jobs": (Job.model_validate(entry),)})
    workload = workload_from(apply_recipes(workshop), TODAY)
    (job,) = workload.jobs
    assert job.is_must
    assert job.last_day == day(7)
    from onceapart.planning.plan import plan_of

    assert broken_rules(workload, plan_of(workload, [[], []], {}))
    assert broken_rules(workload, plan_of(workload, [[], ["wren-link"]], {})), "the second stint is too late"
    assert not broken_rules(workload, plan_of(workload, [["wren-link"], []], {}))


def test_a_recipe_for_it_and_what_only_strands_the_car() -> None:
    by_recipe = make_good_job(stopgap(place="front-left"), WORKSHOP, TODAY, recipe="drop-link")
    assert by_recipe["recipe"] == "drop-link"
    assert by_recipe["place"] == "front-left"
    assert "minutes" not in by_recipe
    assert make_good_job(stopgap(system="exhaust"), WORKSHOP, TODAY)["need"] == "inspection"
    assert make_good_job(stopgap(system="exhaust", car="rook"), WORKSHOP, TODAY)["need"] == "safety"
    stands = Limits(do_not_drive=True)
    assert make_good_job(stopgap(system="exhaust", limits=stands), WORKSHOP, TODAY)["need"] == "safety"


def test_what_the_workshop_file_lacks_and_what_it_has_too_late() -> None:
    state = fold([fitted(), fitted(number=2, id="e2", limits=Limits(until=day(3)), system="exhaust")])
    (entry,) = missing_make_good(WORKSHOP, state, TODAY)
    assert entry == {"id": "wren-link", "car": "wren", "need": "safety", "by": day(3), "minutes": 60}
    assert {one.value for one in make_good_problems(WORKSHOP, state, TODAY)} == {"wren-link"}

    def with_job(**more: Any) -> Workshop:
        job = Job.model_validate({**entry, **more})
        return WORKSHOP.model_copy(update={"jobs": (job,)})

    assert make_good_problems(with_job(), state, TODAY) == []
    assert missing_make_good(with_job(), state, TODAY) == []
    for wrong, where in [
        ({"need": Need.WISH}, "jobs[0].need"),
        ({"by": day(5)}, "jobs[0].by"),
        ({"by": None}, "jobs[0].by"),
        ({"car": "rook"}, "jobs[0].car"),
    ]:
        problems = make_good_problems(with_job(**wrong), state, TODAY)
        assert {one.where for one in problems} == {where}
        assert all(one.rule and one.way_out for one in problems)


def test_the_entry_can_be_written_into_the_workshop_file() -> None:
    text = (
        "format: onceapart-workshop/1\nname: Quay Lane\ntoday: 2026-03-07\ncurrency: EUR\nhour_worth: 12.00\n"
        "cars:\n  - {id: wren, name: The Wren}\njobs:\n"
    )
    entry = make_good_job(stopgap(), WORKSHOP, TODAY)
    line = ", ".join(f"{key}: {value}" for key, value in entry.items())
    (job,) = parse_workshop(f"{text}  - {{{line}}}\n").jobs
    assert job == Job.model_validate(entry)
