"""Planning anew by whatever stands in the record: half-done jobs, slips, clocks, stopgaps."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snag_cases import SATURDAY, Bench, at, workshop

from onceapart.bench.entries import (
    Corrected,
    Limits,
    Started,
    StopgapFitted,
    Stopped,
    Ticked,
    Unticked,
    WayChosen,
)
from onceapart.bench.replan_card import card_left
from onceapart.bench.replan_changes import as_planned, as_replanned, changes, changes_in_words
from onceapart.bench.replan_done import operation_minutes
from onceapart.bench.replan_plan import plan_anew
from onceapart.planning.cost import cost
from onceapart.planning.plan import Plan, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from

DISCS = ["do:wren-discs:hub-face:front-left", "do:wren-discs:disc-on:front-left"]
ALL_STEPS = sorted(
    step for job in workshop().jobs for step in operation_minutes(Bench().work, job)
) + [f"{kind}:{access.id}" for access in workshop().access for kind in ("off", "on")]  # fmt: skip


def first_plan() -> Plan:
    answer = best_plan(workload_from(workshop()))
    assert answer.plan is not None
    return answer.plan


def test_steps_done_take_their_minutes_off_and_parts_stay_with_the_job() -> None:
    bench = Bench(plan=first_plan())
    minutes = operation_minutes(bench.work, bench.work.jobs["wren-discs"])
    assert sum(minutes.values()) == bench.work.jobs["wren-discs"].minutes
    bench.tick(*DISCS)
    left = bench.left()
    usual = bench.work.jobs["wren-discs"].minutes or 0
    assert left.workload.job["wren-discs"].minutes == usual - sum(minutes[step] for step in DISCS)
    assert left.workload.job["wren-discs"].parts == {}
    assert "wren/front/brake-disc" not in left.workload.shelf, "no other job can take them"


def test_a_step_taken_back_and_a_tick_corrected_do_not_count() -> None:
    bench = Bench()
    usual = bench.work.jobs["wren-discs"].minutes
    bench.tick(*DISCS)
    bench.add(Unticked(time=at(), car="wren", step=DISCS[0]))
    bench.add(Corrected(time=at(), entry=bench.entries[1].id, why="the other car"))
    assert bench.left().workload.job["wren-discs"].minutes == usual


def test_a_job_ticked_as_a_whole_is_gone_and_open_again_when_taken_back() -> None:
    bench = Bench()
    bench.tick("do:wren-discs")
    assert "wren-discs" not in bench.left().workload.job
    bench.add(Unticked(time=at(), car="wren", step="do:wren-discs"))
    assert "wren-discs" in bench.left().workload.job


@given(st.lists(st.tuples(st.sampled_from(ALL_STEPS), st.booleans()), max_size=14))
@settings(max_examples=60, deadline=None)
def test_minutes_are_neither_lost_nor_made(slips: list[tuple[str, bool]]) -> None:
    bench = Bench()
    for step, back in slips:
        kind = Unticked if back else Ticked
        bench.add(kind(time=at(), car="wren", step=step))
    left, state = bench.left(), bench.state
    for job in bench.workshop.jobs:
        done = left.done.minutes_of_job.get(job.id, 0)
        rest = left.workload.job[job.id].minutes if job.id in left.workload.job else 0
        assert done + rest == job.minutes
        assert (job.id in left.jobs.done) is state.is_job_done(job.id)
        if job.id in left.workload.job:
            open_steps = [step for step in operation_minutes(bench.work, job) if step not in state.done]
            assert rest == sum(operation_minutes(bench.work, job)[step] for step in open_steps)
    assert left.workload.off_now >= set(state.off)
    for name in left.workload.off_now:
        assert set(left.workload.access_by_id[name].under) <= left.workload.off_now
    today = next((one.minutes for one in left.workload.stints if one.date == SATURDAY), 0)
    assert today == max(0, 360 - left.done.minutes_on(SATURDAY))


@pytest.mark.parametrize("seed", range(6))
def test_whatever_is_ticked_the_rest_can_be_planned(seed: int) -> None:
    bench = Bench(plan=first_plan())
    steps = ALL_STEPS[seed::6]
    bench.tick(*steps)
    left = bench.left()
    answer = plan_anew(left)
    assert answer.status is Status.PROVEN
    assert answer.plan is not None
    assert broken_rules(left.workload, answer.plan) == []
    assert cost(left.workload, answer.plan).goods == 0, "all was ordered by the plan"


def test_the_clock_goes_before_the_ticks_and_a_person_before_the_clock() -> None:
    bench = Bench()
    bench.tick(*DISCS)
    name = SATURDAY.isoformat()

    def today(minute: int, **more: object) -> int:
        return bench.left(minute, **more).workload.stints[0].minutes

    by_ticks = today(100)
    bench.add(Started(time=at(0), stint=name))
    assert today(100) == 360 - 100 != by_ticks
    bench.add(Stopped(time=at(60), stint=name))
    assert today(200) == 360 - 60
    bench.add(Started(time=at(100), stint=name, who="B. Heron"), Started(time=at(110), stint=name))
    assert today(130) == 360 - 60 - 30, "two at once use the same time"
    assert today(130, minutes_left={name: 5}) == 5


def test_of_two_stints_on_a_day_the_first_is_over_once_the_second_has_begun() -> None:
    two = "- {date: 2026-03-14, minutes: 200, id: noon}\n  - {date: 2026-03-14, minutes: 90, id: dusk}"
    bench = Bench(workshop(**{"- {date: 2026-03-14, minutes: 360}": two}))

    def today() -> dict[str | None, int]:
        return {one.id: one.minutes for one in bench.left(30).workload.stints if one.date == SATURDAY}

    assert today() == {"noon": 200, "dusk": 90}
    bench.add(Started(time=at(0), stint="noon"), Stopped(time=at(20), stint="noon"))
    assert today() == {"noon": 180, "dusk": 90}
    bench.add(Started(time=at(25), stint="dusk"))
    assert today() == {"dusk": 85}


def test_what_is_over_is_over() -> None:
    bench = Bench()
    days = [one.date.day for one in bench.left(day=dt.date(2026, 3, 15)).workload.stints]
    assert days == [21, 4]


def test_aftercare_of_work_done_has_to_follow() -> None:
    bench = Bench()
    bench.tick("do:wren-arm")
    (job,) = bench.left().jobs.owed
    assert bench.left().jobs.owed[job] == "wren/wheel-alignment"
    assert bench.left().workload.job[job].is_must
    assert bench.left().workload.job[job].last_day == dt.date(2026, 4, 11)
    bench.tick("aftercare:wren/wheel-alignment")
    assert bench.left().jobs.owed == {}
    assert bench.left().spent.aftercare == 6500
    bench.tick("aftercare:wren/wheel-alignment")
    assert bench.left().spent.aftercare == 6500, "a second tick is no second alignment"
    bench.tick("on:wren/front-left/wheel")
    assert bench.left().jobs.owed == {"wren-retighten-wheels": "wren/retighten-wheels"}


def stopgap(job: str, **more: object) -> StopgapFitted:
    limits = Limits(until=SATURDAY + dt.timedelta(days=10))
    return StopgapFitted(
        time=at(), car="wren", what="wire", where="hanger", system="exhaust", limits=limits, job=job
    )


def test_the_job_that_makes_a_stopgap_good_is_there_and_can_not_be_left() -> None:
    bench = Bench()
    bench.add(stopgap("wren-hanger"))
    left = bench.left()
    assert left.jobs.added == ("wren-hanger",)
    assert left.workload.job["wren-hanger"].is_must
    assert left.workload.job["wren-hanger"].last_day == dt.date(2026, 3, 24)
    wish = Bench()
    wish.add(stopgap("wren-links"))  # upkeep, by the file
    assert wish.left().workload.job["wren-links"].is_must


def test_a_job_done_before_the_stopgap_went_in_has_to_be_done_again() -> None:
    bench = Bench()
    bench.tick("do:wren-exhaust")
    bench.add(stopgap("wren-exhaust"))
    again = bench.left().workload.job["wren-exhaust"]
    assert again.minutes == bench.work.jobs["wren-exhaust"].minutes
    assert again.parts, "with new parts"
    bench.tick("do:wren-exhaust")
    assert "wren-exhaust" not in bench.left().workload.job
    assert any("still open" in note for note in bench.left().notes)


def test_what_is_off_and_no_longer_in_the_file_still_goes_on_again() -> None:
    bench = Bench()
    bench.tick("off:wren/rear-left/drum")  # no job of the file asks for it
    left = bench.left()
    assert "wren/rear-left/drum" in left.workload.off_now
    assert left.workload.access_by_id["wren/rear-left/drum"].minutes > 0
    answer = best_plan(left.workload)
    assert answer.plan is not None
    assert "wren/rear-left/drum" in {name for work in answer.plan.work for name in work.access}


def test_a_stint_with_no_minutes_left_still_says_that_the_car_stands() -> None:
    bench = Bench()
    bench.tick("off:wren/front/on-stands")
    left = bench.left(minutes_left={SATURDAY.isoformat(): 0})
    assert left.workload.stints[0].minutes == 0
    answer = best_plan(left.workload)
    assert answer.cost is not None
    assert answer.cost.off_road == 7 * 400  # a week on stands at 4.00 a day


def test_nights_that_a_car_stood_apart_are_paid_once() -> None:
    bench = Bench()
    bench.tick("off:wren/front/on-stands", day=dt.date(2026, 3, 7))
    assert bench.left(day=dt.date(2026, 3, 8)).spent.off_road == 7 * 400  # until the next stint
    bench.tick("on:wren/front/on-stands", day=dt.date(2026, 3, 10))
    assert bench.left(day=dt.date(2026, 3, 20)).spent.off_road == 3 * 400
    bench.add(Unticked(time=at(), car="wren", step="on:wren/front/on-stands"))
    assert bench.left(day=dt.date(2026, 3, 20)).spent.off_road == 14 * 400, "off since the 7th all along"
    done = bench.left(day=dt.date(2026, 3, 20)).done
    assert done.minutes == 5, "taken off, and not put on"


def test_the_differences_are_said_in_words() -> None:
    plan = first_plan()
    bench = Bench(plan=plan)
    before = as_planned(workload_from(bench.workshop), plan)
    bench.tick("do:wren-exhaust", "aftercare:wren/exhaust-recheck", day=dt.date(2026, 3, 7))
    bench.snag("wrong-part", "wren-arm")
    left = bench.left()
    answer = plan_anew(left)
    assert answer.plan is not None
    found = changes(before, left, answer.plan)
    text = " ".join(changes_in_words(left, found))
    assert "wren-arm moves from 14 March to" in text
    assert "To order now:" in text
    assert found.money == left.money_in_all(answer.plan) - before.money > 0
    assert "more than planned" in text
    assert "its inspection, due 11 April, holds" in text
    same = changes(as_replanned(left, answer.plan), left, answer.plan)
    assert not same.moved
    assert (same.money, same.minutes, same.total) == (0, 0, 0)


def test_without_any_difference_it_says_so() -> None:
    plan = first_plan()
    bench = Bench(plan=plan)
    left = bench.left(day=dt.date(2026, 3, 2))
    answer = plan_anew(left)
    assert answer.plan is not None
    before = as_planned(workload_from(bench.workshop), plan)
    words = changes_in_words(left, changes(before, left, answer.plan))
    assert words[0] == "Nothing changes: the old plan goes on as it was."


def test_an_inspection_that_no_longer_holds_is_said() -> None:
    bench = Bench(plan=first_plan())
    left = bench.left(day=dt.date(2026, 4, 5))
    assert best_plan(left.workload).status is Status.IMPOSSIBLE


def test_a_card_of_what_is_left_has_no_step_that_is_done() -> None:
    bench = Bench(plan=first_plan())
    bench.tick("off:wren/front/on-stands", "off:wren/front-left/wheel", *DISCS)
    opened = bench.snag("seized", "do:wren-discs:disc-on:front-right", part="disc-retaining-screw")
    bench.add(WayChosen(time=at(), snag=opened.id, way="heat", minutes=25))
    bench.add(stopgap("wren-hanger"))
    left = bench.left()
    answer = plan_anew(left)
    assert answer.plan is not None
    for place in range(len(left.workload.stints)):
        card = card_left(left, bench.state, answer.plan, place)
        assert card.minutes == sum(step.minutes for step in card.steps)
        found_off = {f"off:{name}" for name in answer.plan.found_off(left.workload, place)}
        assert not {step.id for step in card.steps} & {*DISCS, *found_off}
        seen: set[str] = set()
        for step in card.steps:
            assert seen >= {*step.needs}
            seen.add(step.id)
        if "wren-discs" in answer.plan.work[place].jobs:
            assert "do:wren-discs:pads-in:front-left" in seen
            assert card.open_stopgaps
            own = sum(step.minutes for step in card.steps if step.id.startswith("do:wren-discs:"))
            done = sum(operation_minutes(bench.work, bench.work.jobs["wren-discs"])[one] for one in DISCS)
            assert own == (bench.work.jobs["wren-discs"].minutes or 0) - done + 25
