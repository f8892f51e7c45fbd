"""Release checks follow from what was done; a release is lost by whatever comes to stand against it."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from record_cases import START, entries

from onceapart.bench.entries import (
    CheckAnswered,
    Corrected,
    Entry,
    Limits,
    Noted,
    ReleaseGranted,
    SnagOpened,
    StopgapFitted,
    Ticked,
    Unticked,
)
from onceapart.bench.release import (
    CarRelease,
    ReleaseStatus,
    answers_too_early,
    ask_release,
    release_of,
)
from onceapart.bench.release_checks import AgainstKind
from onceapart.bench.release_work import (
    ALWAYS,
    MOVING,
    PEDAL,
    RETIGHTEN,
    RUNNING,
    UNKNOWN_WORK,
    WHEEL_NUTS,
    work_of,
)
from onceapart.bench.state_steps import known_steps
from onceapart.trade import Library, apply_recipes, fit_recipe, load_recipe, recipe_ids
from onceapart.trade.fitting import suited_places
from onceapart.workshop import Access, Car, Job, Layout, Tool, Workshop

TODAY = START.date()


def workshop(*jobs: dict[str, Any], **sections: Any) -> Workshop:
    """One car, `wren`, and jobs on it."""
    made = tuple(Job.model_validate({"car": "wren", "need": "upkeep", **job}) for job in jobs)
    given: dict[str, Any] = {
        "name": "Quay Lane",
        "currency": "EUR",
        "hour_worth": 1200,
        "cars": (Car(id="wren", name="The Wren"),),
        "tools": tuple(Tool(id=tool, have=True) for tool in Library().tools),
        "jobs": made,
    }
    return apply_recipes(Workshop.model_validate({**given, **sections}))


class Bench:
    """A record in the making."""

    def __init__(self, *jobs: dict[str, Any], **sections: Any) -> None:
        self.work = work_of(workshop(*jobs, **sections))
        self.entries: list[Entry] = []
        self.day = TODAY

    def add(self, kind: type, **fields: Any) -> Entry:
        number = len(self.entries) + 1
        time = START + dt.timedelta(days=(self.day - TODAY).days, minutes=number)
        entry: Entry = kind(number=number, id=f"e{number}", time=time, **{"car": "wren", **fields})
        self.entries.append(entry)
        return entry

    def tick(self, *steps: str) -> None:
        for step in steps:
            self.add(Ticked, step=step)

    def answer(self, *checks: str, answer: str = "yes") -> None:
        for check in checks:
            self.add(CheckAnswered, check=f"wren/{check}", answer=answer)

    def answer_all(self) -> None:
        for check in self.look().checks:
            self.add(CheckAnswered, check=check.id, answer="yes")

    def grant(self, odometer: str | None = None) -> CarRelease:
        self.add(ReleaseGranted, who="A. Finch", odometer=odometer)
        return self.look()

    def look(self, odometer: str | None = None) -> CarRelease:
        return release_of(self.entries, "wren", self.work, self.day, odometer)

    def due(self) -> list[str]:
        return [one.id.removeprefix("wren/") for one in self.look().checks]

    def kinds(self) -> set[AgainstKind]:
        return {one.kind for one in self.look().against}


def own_job(**more: Any) -> Bench:
    return Bench({"id": "wren-window", "minutes": 30, **more})


def test_what_the_program_asks_for_by_name_is_in_the_library() -> None:
    library = Library()
    assert {*ALWAYS, *UNKNOWN_WORK, *MOVING, *RUNNING, PEDAL, WHEEL_NUTS} <= set(library.release)
    assert library.aftercare[RETIGHTEN].stage == "on-the-road"


def test_nothing_done_is_not_released_and_says_so() -> None:
    found = own_job().look()
    assert found.status is ReleaseStatus.NOT_RELEASED
    assert found.why == ("nobody has granted a release yet; grant it if all is well",)


def test_work_that_nobody_knows_is_looked_at_all_round() -> None:
    bench = own_job()
    bench.tick("do:wren-window:work")
    assert bench.due() == ["nothing-left", "steering-free", "lamps-work", "pedal-hard", "brakes-slow-try"]
    assert not bench.grant().is_released
    bench.answer_all()
    assert bench.look().why == (
        "no release holds: it was granted on 2026-03-07 although this stood against it: "
        "check wren/nothing-left is not answered; grant it anew",
    )
    assert bench.grant().status is ReleaseStatus.RELEASED


@pytest.mark.parametrize("recipe", recipe_ids())
def test_every_recipe_asks_for_its_checks_and_those_of_what_came_off(recipe: str) -> None:
    """Those of the recipe and of every access under it, worked out here from the library alone."""
    layout = Layout()
    for layout in (
        Layout(),
        Layout(drive="rear", rear_brakes="disc", rear_suspension="live-axle", fuel="diesel"),
    ):
        places = suited_places(load_recipe(recipe), layout)
        if places:
            break
    bench = Bench(
        {"id": "wren-job", "recipe": recipe, "place": places[0]},
        cars=(Car(id="wren", name="The Wren", layout=layout),),
    )
    bench.tick("do:wren-job")
    fitted = fit_recipe(load_recipe(recipe), "wren", places[0], layout)
    wanted = {one.id for one in fitted.release} | {f"wren/{name}" for name in ALWAYS}
    for access in bench.work.workshop.access:
        placed = bench.work.fitted.access.get(access.id)
        wanted |= {one.id for one in placed.release} if placed else set()
    assert {one.id for one in bench.look().checks} == wanted
    names = [one.id.rpartition("/")[2] for one in bench.look().checks]
    stages = [2 if one in MOVING else 1 if one in RUNNING else 0 for one in names]
    assert stages == sorted(stages), "engine off, then running, then the car moves"
    pedal = names.index("pedal-hard")
    assert stages[:pedal] == [0] * pedal
    assert 0 not in stages[pedal + 1 :], "the pedal is pumped last before the engine starts"
    # The whole way to a release, with the follow-ups there are.
    for care in bench.work.workshop.aftercare:
        bench.tick(f"aftercare:{care.id}")
    assert not bench.look().is_released
    bench.answer_all()
    assert bench.grant("143200 km").is_released, bench.look().why


def brakes() -> Bench:
    return Bench({"id": "wren-hose", "recipe": "brake-hose", "place": "front-left"})


def test_bleeding_comes_before_the_release() -> None:
    bench = brakes()
    bench.tick("do:wren-hose")
    bench.answer_all()
    assert not bench.grant().is_released
    assert bench.kinds() == {AgainstKind.AFTERCARE}
    bench.tick("aftercare:wren/brake-bleeding")
    assert bench.kinds() == {AgainstKind.CHECK}, "the pedal is to be tried again after bleeding"
    bench.answer_all()
    assert bench.grant().is_released


def test_what_is_off_loose_or_half_done_stands_against_it() -> None:
    bench = Bench({"id": "wren-link", "recipe": "drop-link", "place": "front-left"})
    wheel = "wren/front-left/wheel"
    bench.tick(f"loosen:{wheel}", f"off:{wheel}", "do:wren-link:link-off")
    bench.answer_all()
    assert bench.kinds() == {AgainstKind.ACCESS, AgainstKind.UNFINISHED}
    bench.tick("do:wren-link:link-on", f"on:{wheel}")
    bench.answer_all()
    assert {one.words for one in bench.look().against} == {f"{wheel} was loosened and not tightened for good"}
    bench.tick(f"tighten:{wheel}")
    bench.answer_all()
    assert bench.grant().status is ReleaseStatus.FOLLOW_UPS


def test_a_job_put_back_as_it_was_is_looked_at_and_no_longer_unfinished() -> None:
    bench = Bench({"id": "wren-link", "recipe": "drop-link", "place": "front-left"})
    bench.tick("do:wren-link:link-off")
    bench.add(Unticked, step="do:wren-link:link-off")
    assert bench.kinds() == {AgainstKind.CHECK}
    bench.answer_all()
    assert bench.grant().is_released


def test_an_answer_counts_only_after_the_last_work_it_looks_at() -> None:
    bench = Bench(
        {"id": "wren-window", "minutes": 30},
        access=(Access(id="wren/front-left/wheel", minutes=8),),
    )
    bench.tick("off:wren/front-left/wheel", "on:wren/front-left/wheel")
    bench.answer("front-left/wheel-nuts", "nothing-left", "pedal-hard")
    bench.tick("off:wren/front-left/wheel", "on:wren/front-left/wheel")
    assert [one.of for one in bench.look().against] == [
        "wren/nothing-left", "wren/front-left/wheel-nuts", "wren/pedal-hard",
    ]  # fmt: skip


def test_the_car_does_not_move_before_the_pedal_is_hard() -> None:
    bench = own_job()
    bench.tick("do:wren-window")
    bench.answer("brakes-slow-try", "nothing-left", "steering-free", "lamps-work")
    before = answers_too_early(bench.entries, "wren", bench.work, "wren/brakes-slow-try")
    assert [one.id for one in before] == ["wren/pedal-hard"]
    bench.answer("pedal-hard")
    (left,) = bench.look().against
    assert (left.of, left.kind) == ("wren/brakes-slow-try", AgainstKind.CHECK)
    assert "too early" in left.words
    bench.answer("brakes-slow-try")
    assert bench.grant().is_released


def test_a_no_stands_against_it_until_it_is_put_right() -> None:
    bench = own_job()
    bench.tick("do:wren-window")
    bench.answer_all()
    bench.answer("pedal-hard", answer="no")
    assert not bench.grant().is_released
    bench.answer("pedal-hard", "brakes-slow-try")
    assert bench.grant().is_released
    bench.answer("pedal-hard", answer="no")
    assert [one.of for one in bench.look().against] == ["wren/pedal-hard"]
    bench.answer("pedal-hard")
    assert not bench.look().is_released, "it has to be granted anew"
    assert bench.grant().is_released


def released(odometer: str | None = "143200 km") -> Bench:
    bench = Bench({"id": "wren-link", "recipe": "drop-link", "place": "front-left"})
    bench.tick("do:wren-link")
    bench.answer_all()
    assert bench.grant(odometer).status is ReleaseStatus.FOLLOW_UPS
    return bench


def test_wheel_nuts_again_after_50_to_100_km() -> None:
    bench = released()
    (again,) = bench.look().follow_ups
    assert (again.id, again.from_km, again.to_km) == ("wren/retighten-wheels", 143_250, 143_300)
    assert not again.is_due(bench.day, 143_249)
    assert again.is_due(bench.day, 143_250)
    assert bench.look("143300 km").status is ReleaseStatus.FOLLOW_UPS
    late = bench.look("143301 km")
    assert late.status is ReleaseStatus.NOT_RELEASED
    assert "was due by 143300 km" in late.why[0]
    bench.tick("aftercare:wren/retighten-wheels")
    assert bench.look("143301 km").status is ReleaseStatus.RELEASED


def test_retightening_on_the_stands_does_not_count() -> None:
    bench = Bench({"id": "wren-link", "recipe": "drop-link", "place": "front-left"})
    bench.tick("do:wren-link", "aftercare:wren/retighten-wheels")
    bench.answer_all()
    assert bench.grant().status is ReleaseStatus.FOLLOW_UPS


def test_loose_nuts_found_then_end_the_release() -> None:
    bench = released()
    bench.answer("retighten-wheels", answer="no")
    assert bench.look().status is ReleaseStatus.NOT_RELEASED
    bench.answer("retighten-wheels")
    assert bench.look().status is ReleaseStatus.NOT_RELEASED, "it has to be granted anew"
    assert bench.grant().status is ReleaseStatus.RELEASED


def test_without_an_odometer_it_is_due_by_a_date() -> None:
    (again,) = released(None).look().follow_ups
    assert "by 2026-03-21 at the latest" in str(again)
    assert not again.is_due(dt.date(2026, 3, 20), None)
    assert again.is_due(dt.date(2026, 3, 21), None)


@pytest.mark.parametrize("step", ["off:wren/front-left/wheel", "do:wren-link:link-on", "aftercare:wren/wash"])
def test_new_work_takes_the_release_back(step: str) -> None:
    bench = released()
    bench.tick(step)
    found = bench.look()
    assert found.status is ReleaseStatus.NOT_RELEASED
    assert any("new work on 2026-03-07" in why for why in found.why)


def test_what_is_no_work_leaves_it() -> None:
    bench = released()
    bench.tick("check:wren/pedal-hard", "measure:wren-link:play", "aftercare:wren/retighten-wheels")
    bench.add(Noted, words="runs well")
    bench.add(SnagOpened, snag="damage found", words="a scratch", dangerous=False)
    assert bench.look().status is ReleaseStatus.RELEASED


def test_a_dangerous_snag_ends_it_and_closing_it_does_not_bring_it_back() -> None:
    from onceapart.bench.entries import SnagClosed

    bench = released()
    snag = bench.add(SnagOpened, snag="damage found", words="hose rubs", dangerous=True)
    assert bench.kinds() == {AgainstKind.SNAG}
    assert not bench.grant().is_released
    number = len(bench.entries) + 1
    bench.entries.append(
        SnagClosed(number=number, id=f"e{number}", time=snag.time, snag=snag.id, how="new hose")
    )
    assert not bench.look().is_released
    assert not bench.look().against
    assert bench.grant().is_released


@pytest.mark.parametrize("number", [1, 4, 7])
def test_correcting_what_a_release_hung_on_ends_it(number: int) -> None:
    """The tick, an answer, the grant."""
    bench = released()
    assert len(bench.entries) >= 7
    target = {1: bench.entries[0], 4: bench.entries[3], 7: bench.entries[-1]}[number]
    bench.entries.append(
        Corrected(number=len(bench.entries) + 1, id="c", time=START, entry=target.id, why="a slip")
    )
    assert not bench.look().is_released
    if isinstance(target, CheckAnswered):
        assert [one.of for one in bench.look().against] == [target.check]
        bench.add(CheckAnswered, check=target.check, answer="yes")
    assert bench.grant().is_released


def test_a_stopgap_shows_with_every_status_and_its_day_ends_the_release() -> None:
    bench = own_job()
    bench.add(
        StopgapFitted, what="wire", where="rear box hanger", system="exhaust", job="wren-exhaust",
        limits=Limits(until=TODAY + dt.timedelta(days=7)),
    )  # fmt: skip
    bench.answer_all()
    found = bench.grant()
    assert found.is_released
    assert len(found.stopgaps) == 1
    bench.day += dt.timedelta(days=7)
    assert bench.look().is_released
    bench.day += dt.timedelta(days=1)
    found = bench.look()
    assert found.status is ReleaseStatus.NOT_RELEASED
    assert len(found.stopgaps) == 1
    assert "its last day was 2026-03-14" in found.why[0]


def test_a_distance_needs_the_odometer_read() -> None:
    bench = own_job()
    bench.add(
        StopgapFitted, what="wire", where="rear box hanger", system="exhaust", job="wren-exhaust",
        limits=Limits(distance="300 km"), odometer="143200 km",
    )  # fmt: skip
    bench.answer_all()
    assert not bench.grant().is_released
    assert "the odometer was not read" in bench.look().why[-1]
    assert bench.grant("143210 km").is_released
    assert not bench.look("143501 km").is_released


def test_a_release_outlasts_the_jobs_that_led_to_it() -> None:
    """Once jobs are done they leave the workshop file; what was asked for then is what counts."""
    bench = Bench({"id": "wren-link", "recipe": "drop-link", "place": "front-left"})
    bench.tick("do:wren-link")
    asked = ask_release(bench.entries, "wren", bench.work, START)
    bench.add(type(asked), checks=asked.checks)
    bench.answer_all()
    assert bench.grant().is_released
    bench.work = work_of(workshop())
    assert bench.look().is_released
    bench.tick("do:wren-link")
    assert bench.due() == ["nothing-left", "steering-free", "lamps-work", "pedal-hard", "brakes-slow-try"]


def test_asking_before_the_last_work_does_not_narrow_the_checks() -> None:
    bench = own_job()
    asked = ask_release(bench.entries, "wren", bench.work, START)
    assert asked.checks == ()
    bench.add(type(asked), checks=())
    bench.tick("do:wren-window")
    assert len(bench.due()) == 5
    assert not bench.grant().is_released


def test_steps_of_the_library_and_of_own_jobs_can_be_ticked() -> None:
    bench = Bench(
        {"id": "wren-window", "minutes": 30}, {"id": "wren-discs", "recipe": "brake-discs", "place": "front"}
    )
    known = known_steps(bench.work)
    for job, steps in bench.work.job_steps.items():
        for need in steps:
            assert set(need) & set(known), (job, need)
    assert {"do:wren-window", "do:wren-window:work", "do:wren-discs:disc-on:front-left"} <= set(known)
    assert "measure:wren-discs:run-out:front-left" in known
    assert "off:wren/front-right/wheel" in known
    assert "aftercare:wren/bed-in" in known
    assert {step.car for step in known.values()} == {"wren"}


@settings(max_examples=60, deadline=None)
@given(st.lists(entries(), max_size=12))
def test_no_record_however_odd_is_an_error(made: list[Entry]) -> None:
    """And a car that nobody granted a release for is never released."""
    bench = own_job()
    for number, one in enumerate(made, 1):
        more = {"car": "wren"} if hasattr(one, "car") and number % 2 else {}
        bench.entries.append(one.model_copy(update={"number": number, "id": f"e{number}", **more}))
    for car in ("wren", "rook"):
        found = release_of(bench.entries, car, bench.work, TODAY)
        granted = any(isinstance(one, ReleaseGranted) and one.car == car for one in bench.entries)
        assert granted or not found.is_released
