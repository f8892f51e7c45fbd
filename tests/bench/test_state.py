"""How things stand is a pure fold over the entries, corrections and all."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from record_cases import START, at, entries

from onceapart.bench.entries import (
    Corrected,
    Entry,
    Limits,
    MeasuredValue,
    Noted,
    SnagClosed,
    SnagOpened,
    Started,
    StopgapClosed,
    StopgapFitted,
    Stopped,
    Ticked,
    Tightened,
    Unticked,
    WayChosen,
)
from onceapart.bench.state import Folding, State, dead_ids, fold, km_of


def numbered(*made: Entry) -> list[Entry]:
    return [one.model_copy(update={"number": n, "id": f"e{n}"}) for n, one in enumerate(made, 1)]


def tick(step: str, minute: int = 0, **more: Any) -> Ticked:
    return Ticked(time=at(minute), car="wren", step=step, **more)


def untick(step: str) -> Unticked:
    return Unticked(time=at(0), car="wren", step=step)


def correct(number: int) -> Corrected:
    return Corrected(time=at(0), entry=f"e{number}", why="a slip")


def few() -> st.SearchStrategy[Entry]:
    """Entries that have to do with each other, unlike most that are drawn at random."""
    named = st.integers(1, 9).map("e{}".format)
    steps = st.sampled_from(
        ["off:wren/wheel", "on:wren/wheel", "do:wren-link", "do:wren-link:a", "loosen:wren/wheel"]
    )
    return st.one_of(
        st.builds(Ticked, time=st.just(START), car=st.just("wren"), step=steps),
        st.builds(Unticked, time=st.just(START), car=st.just("wren"), step=steps),
        st.builds(SnagClosed, time=st.just(START), snag=named, how=st.just("done")),
        st.builds(StopgapClosed, time=st.just(START), stopgap=named, by=st.just("wren-link")),
        st.just(stopgap()),
        st.just(snag()),
    )


@st.composite
def records(draw: st.DrawFn) -> list[Entry]:
    """Entries of any kind with rising numbers, some corrected, some corrections corrected."""
    any_kind = entries().filter(lambda one: not isinstance(one, Corrected))
    found: list[Entry] = []
    for one in draw(st.lists(st.one_of(few(), few(), any_kind), max_size=8)):
        number = len(found) + 1
        found.append(one.model_copy(update={"number": number, "id": f"e{number}"}))
        for _ in range(draw(st.sampled_from([0, 0, 1, 2]))):
            number = len(found) + 1
            target = f"e{draw(st.integers(1, number + 1))}"
            found.append(Corrected(number=number, id=f"e{number}", time=START, entry=target, why="a slip"))
    return found


def stopgap(job: str = "wren-link") -> StopgapFitted:
    return StopgapFitted(
        time=at(0), car="wren", what="M10 bolt", where="drop link", system="suspension",
        limits=Limits(do_not_drive=True), job=job,
    )  # fmt: skip


def snag() -> SnagOpened:
    return SnagOpened(
        time=at(0),
        car="wren",
        snag="broken fastener",
        words="sheared",
        dangerous=True,
        blocks=("on:wren/wheel",),
    )


def is_dead(record: list[Entry], entry: Entry) -> bool:
    """By the definition: some later correction that isn't dead itself names it."""
    return any(
        isinstance(other, Corrected) and other.entry == entry.id and not is_dead(record, other)
        for other in record
        if other.number > entry.number
    )


@settings(max_examples=80, deadline=None)
@given(records())
def test_a_corrected_entry_counts_as_if_it_had_never_been(record: list[Entry]) -> None:
    assert dead_ids(record) == {one.id for one in record if is_dead(record, one)}
    live = [one for one in record if not isinstance(one, Corrected) and not is_dead(record, one)]
    found, wanted = fold(record), fold(live)
    for name in State.__dataclass_fields__:
        if name != "last_number":
            assert getattr(found, name) == getattr(wanted, name), name


@settings(max_examples=40, deadline=None)
@given(records())
def test_folding_on_is_folding_anew(record: list[Entry]) -> None:
    before = [one.model_dump() for one in record]
    folding = Folding({})
    for count, one in enumerate(record, 1):
        folding.take(one)
        assert folding.state() == fold(record[:count])
    assert [one.model_dump() for one in record] == before


def test_numbers_have_to_rise() -> None:
    one, other = numbered(tick("on:wren/wheel"), tick("off:wren/wheel"))
    with pytest.raises(ValueError, match="entry 1 follows entry 2"):
        fold([other, one])


def test_off_and_on_again() -> None:
    record = numbered(tick("off:wren/wheel"), tick("off:wren/hub-nut"), tick("on:wren/hub-nut"))
    state = fold(record)
    assert list(state.off) == ["wren/wheel"]
    assert set(state.done) == {"off:wren/wheel", "on:wren/hub-nut"}
    state = fold(numbered(*record, untick("on:wren/hub-nut"), tick("on:wren/wheel")))
    assert list(state.off) == ["wren/hub-nut"]
    assert not fold(numbered(*record, untick("off:wren/wheel"))).off


def test_loosened_is_not_tightened_by_going_on_again() -> None:
    record = numbered(tick("loosen:wren/wheel"), tick("off:wren/wheel"), tick("on:wren/wheel"))
    assert list(fold(record).loose) == ["wren/wheel"]
    assert not fold(numbered(*record, tick("tighten:wren/wheel"))).loose


STEPS = {"wren-pads": (("do:wren-pads:a", "do:wren-pads:a:front-left"), ("do:wren-pads:b",)), "wren-own": ()}


@pytest.mark.parametrize(
    ("ticked", "done"),
    [
        (["do:wren-pads:a", "do:wren-pads:b"], ["wren-pads"]),
        (["do:wren-pads:a:front-left", "do:wren-pads:b"], ["wren-pads"]),
        (["do:wren-pads:a:front-right", "do:wren-pads:b"], []),
        (["do:wren-pads:b"], []),
        (["do:wren-pads"], ["wren-pads"]),
        (["do:wren-own:work"], ["wren-own"]),
        (["do:nobody-knows:work"], []),
        (["do:nobody-knows"], ["nobody-knows"]),
    ],
)
def test_a_job_is_done_by_all_its_steps_or_as_a_whole(ticked: list[str], done: list[str]) -> None:
    assert fold(numbered(*map(tick, ticked)), STEPS).jobs_done() == tuple(done)


def test_a_job_with_an_open_step_is_not_done_as_a_whole() -> None:
    record = numbered(tick("do:wren-pads"), untick("do:wren-pads:a"))
    assert fold(record, STEPS).jobs_done() == ()
    record = numbered(tick("do:wren-pads:a"), tick("do:wren-pads:b"), untick("do:wren-pads"))
    assert not fold(record, STEPS).done


def test_taking_back_what_was_not_done_is_a_doubt_and_no_work() -> None:
    state = fold(numbered(untick("off:wren/wheel")))
    assert not state.ticks
    assert "nothing to take back" in state.doubts[0].why


def test_measurements_and_torques_keep_their_history() -> None:
    def value(text: str) -> MeasuredValue:
        return MeasuredValue(time=at(0), car="wren", step="measure:wren-pads:thickness", value=text)

    nuts = Tightened(time=at(0), car="wren", fastener="wren/front-left/wheel-nuts", torque="110 Nm")
    state = fold(numbered(value("9.8 mm"), value("9.6 mm"), nuts))
    assert [one.value for one in state.measured["measure:wren-pads:thickness"]] == ["9.8 mm", "9.6 mm"]
    assert [one.torque for one in state.torques["wren/front-left/wheel-nuts"]] == ["110 Nm"]


def spell(start: int, stop: int, job: str | None = None, who: str | None = None) -> list[Entry]:
    key: dict[str, Any] = {"stint": "2026-03-07", "job": job, "who": who}
    return [Started(time=at(start), **key), Stopped(time=at(stop), **key)]


def test_hours_of_one_person_count_once_where_they_overlap() -> None:
    record = numbered(
        *spell(0, 120),
        *spell(10, 50, "wren-pads"),
        *spell(40, 70, "wren-window"),
        *spell(130, 140, "wren-pads"),
    )
    state = fold(record)
    assert state.minutes_worked() == 130
    assert state.minutes_worked(stint="2026-03-07") == 130
    assert state.minutes_worked(job="wren-pads") == 50
    assert state.minutes_worked(stint="2026-03-14") == 0


def test_hours_of_two_people_add_up() -> None:
    assert fold(numbered(*spell(0, 60, who="Ann"), *spell(30, 90, who="Bob"))).minutes_worked() == 120


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 300), st.integers(0, 90)), max_size=6))
def test_hours_are_the_minutes_in_which_any_work_went_on(times: list[tuple[int, int]]) -> None:
    record = numbered(
        *(e for n, (start, length) in enumerate(times) for e in spell(start, start + length, f"job-{n}"))
    )
    wanted = {minute for start, length in times for minute in range(start, start + length)}
    assert fold(record).minutes_worked() == len(wanted)


def test_a_clock_that_goes_back_a_stop_without_a_start_and_two_starts_are_doubts() -> None:
    back = spell(60, 30)
    state = fold(numbered(*back, spell(0, 5, "wren-pads")[1], spell(70, 80)[0]))
    assert state.minutes_worked() == 0
    assert [doubt.entry.number for doubt in state.doubts] == [2, 3, 4]
    assert [one.stop for one in state.spells] == [None], "the first start still runs"


def test_hours_over_the_change_to_summer_time() -> None:
    start = dt.datetime(2026, 3, 29, 1, 30, tzinfo=dt.timezone(dt.timedelta(hours=1)))
    stop = dt.datetime(2026, 3, 29, 4, 0, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    assert fold(numbered(Started(time=start), Stopped(time=stop))).minutes_worked() == 90


def test_a_snag_from_open_to_closed() -> None:
    opened = snag()
    way = WayChosen(time=at(1), snag="e1", way="drill it out", minutes=40, price=600)
    closed = SnagClosed(time=at(2), snag="e1", how="drilled and tapped")
    state = fold(numbered(opened, way))
    (found,) = state.open_snags("wren")
    assert [one.way for one in found.ways] == ["drill it out"]
    assert state.open_snags("rook") == ()
    state = fold(numbered(opened, way, closed, closed, way.model_copy(update={"snag": "e9"})))
    assert state.open_snags() == ()
    assert [doubt.why for doubt in state.doubts] == ["the snag is closed already", "there is no such snag"]


@pytest.mark.parametrize(
    ("work", "by", "is_open"),
    [
        ([tick("do:wren-link")], "wren-link", False),
        ([tick("do:wren-link:link-on")], "do:wren-link:link-on", False),
        ([tick("do:wren-link:link-on")], "wren-link", True),
        ([], "wren-link", True),
        ([tick("off:wren/wheel")], "off:wren/wheel", True),
        ([tick("do:wren-link"), untick("do:wren-link")], "wren-link", True),
        ([tick("do:wren-link").model_copy(update={"car": "rook"})], "wren-link", True),
    ],
)
def test_a_stopgap_is_closed_by_work_that_is_done(work: list[Entry], by: str, is_open: bool) -> None:
    closed = StopgapClosed(time=at(9), stopgap="e1", by=by)
    state = fold(numbered(stopgap(), *work, closed))
    assert bool(state.open_stopgaps("wren")) == is_open
    assert bool(state.doubts) == is_open


def test_work_done_before_a_stopgap_went_in_does_not_close_it() -> None:
    closed = StopgapClosed(time=at(9), stopgap="e2", by="wren-link")
    assert fold(numbered(tick("do:wren-link"), stopgap(), closed)).open_stopgaps("wren")


def test_a_stopgap_is_open_again_once_the_work_is_taken_back() -> None:
    closed = StopgapClosed(time=at(9), stopgap="e1", by="wren-link")
    record = numbered(stopgap(), tick("do:wren-link"), closed, untick("do:wren-link"))
    assert fold(record[:3]).open_stopgaps() == ()
    assert len(fold(record).open_stopgaps()) == 1
    assert len(fold(numbered(*record[:3], correct(2))).open_stopgaps()) == 1


def test_the_odometer_only_goes_up() -> None:
    def read(text: str) -> Noted:
        return Noted(time=at(0), car="wren", odometer=text, words="read")

    state = fold(numbered(read("100000 km"), read("62200 mi"), read("99000 km")))
    assert state.odometers["wren"].km == pytest.approx(62_200 * 1.609344)
    assert [doubt.entry.number for doubt in state.doubts] == [3]
    assert km_of("62200 mi") == pytest.approx(100_101.2, abs=0.05)
