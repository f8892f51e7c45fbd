"""The record pages: found by words, car, kind and dates; what it comes to; striking and notes."""

import datetime as dt
import io
import re
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from site_bench import YARD, entries, words, yard, yard_card

from onceapart.bench.entries import (
    ENTRY_WORDS,
    Arrived,
    Corrected,
    MeasuredValue,
    Noted,
    Ordered,
    SnagOpened,
    Started,
    Stopped,
    Ticked,
    Tightened,
    WayChosen,
)
from onceapart.bench.entries_words import entry_words
from onceapart.bench.release_work import work_of
from onceapart.bench.state import dead_ids, fold
from onceapart.bench.state_steps import known_steps
from onceapart.site.pages.record.looking import PAGE, Index, Wanted
from onceapart.site.pages.record.totals import work_by_stint
from onceapart.site.store.models import RecordEntry
from onceapart.site.store.record import DatabaseRecord
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop

pytestmark = pytest.mark.django_db
DAY = dt.datetime(2026, 3, 7, 9, tzinfo=dt.UTC)
WORK = work_of(apply_recipes(parse_workshop(YARD)))


def at(hours, minutes=0):
    return DAY + dt.timedelta(hours=hours, minutes=minutes)


def some():
    """A day's record with something of everything that is looked up."""
    snag = SnagOpened(
        id="snag", time=at(2), car="wren", snag="seized fastener", words="flange nuts", dangerous=False
    )
    return [
        Ordered(id="o", time=at(-48), offer="pads", seller="counter", parts={"wren/front/brake-pad-set": 1},
                price=2400, delivery=490, arrives=dt.date(2026, 3, 6)),
        Arrived(id="a1", time=at(-24), part="wren/front/brake-pad-set", pieces=1, offer="pads", price=2400),
        Arrived(id="a2", time=at(-24), part="wren/rear/clamp", pieces=2, price=300),
        Started(id="s", time=at(0), stint="2026-03-07", who="A. Finch"),
        Ticked(id="t1", time=at(1), car="wren", step="do:wren-exhaust:joints", stint="2026-03-07"),
        snag,
        WayChosen(id="w", time=at(2), snag="snag", way="heat", minutes=20, price=450),
        MeasuredValue(id="m", time=at(3), car="wren", step="measure:wren-pads:old-pad:front-left",
                      value="2.1 mm"),
        Tightened(id="n", time=at(3), car="wren", fastener="wren/front-left/wheel-nuts", torque="110 Nm"),
        Stopped(id="e", time=at(4, 30), stint="2026-03-07", who="A. Finch"),
        Noted(id="h", time=at(30), car="heron", words="Mirror glass ordered at the dump <b>", who="B. Wren"),
        Corrected(id="c", time=at(31), entry="t1", why="the wrong joints"),
    ]  # fmt: skip


@pytest.fixture
def filled(db, noon):
    yard(noon)
    DatabaseRecord().append_all(some())
    return DatabaseRecord().entries()


def numbers(page):
    return [int(one) for one in re.findall(r'href="/record/([0-9]+)/"><span', page.content.decode())]


def test_the_newest_comes_first_and_each_entry_says_what_the_engine_says(client, filled):
    page = client.get("/record/")
    assert numbers(page) == list(range(12, 0, -1))
    text, known = words(page), {one.id: one.number for one in filled}
    for one in filled:
        said = entry_words(one, known)
        step = getattr(one, "step", None)
        assert (step if step in known_steps(WORK) else said[:1].upper() + said[1:]) in text
    assert "<b>" not in page.content.decode().split("the dump")[1][:20]
    assert text.count("struck") == 1


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"text": "flange"}, [6]),
        ({"text": "FINCH started"}, [4]),
        ({"text": "pads"}, [8, 2, 1]),
        ({"car": "heron"}, [11]),
        ({"kind": "arrived"}, [3, 2]),
        ({"since": "2026-03-08"}, [12, 11]),
        ({"until": "2026-03-06"}, [3, 2, 1]),
        ({"since": "2026-03-07", "until": "2026-03-07", "kind": "ticked"}, [5]),
        ({"car": "wren", "text": "joints"}, [12, 5]),
        ({"text": "no such thing"}, []),
    ],
)
def test_it_is_found_by_words_car_kind_and_days(client, filled, asked, found):
    page = client.get("/record/", asked)
    assert page.status_code == 200
    assert numbers(page) == found


def test_a_snags_way_is_found_under_its_car(client, filled):
    assert 7 in numbers(client.get("/record/", {"car": "wren"}))


@pytest.mark.parametrize("asked", [{"since": "soon"}, {"until": "2026-02-30"}])
def test_a_day_that_is_none_is_refused_and_kept(client, filled, asked):
    page = client.get("/record/", asked)
    assert page.status_code == 422
    assert next(iter(asked.values())) in page.content.decode()


@pytest.mark.parametrize("asked", [{"before": "x"}, {"before": "-4"}, {"before": "9" * 30}, {"kind": "?"}])
def test_an_odd_address_breaks_nothing(client, filled, asked):
    assert client.get("/record/", asked).status_code == 200


def test_money_and_hours_are_those_of_the_command_line(client, filled, tmp_path, monkeypatch, capsys):
    from onceapart.bench.record import RecordFile, record_path
    from onceapart.cli import main

    file = tmp_path / "yard.yaml"
    file.write_text(YARD)
    record = RecordFile(record_path(file))
    for one in filled:
        record.append(one)
    monkeypatch.setattr(sys, "argv", ["onceapart", "record", str(file)])
    with pytest.raises(SystemExit):
        main()
    told = capsys.readouterr().out
    text = words(client.get("/record/money/"))
    assert re.search(r"Money\s+36\.40 EUR", told)  # 24.00 + 4.90 + 3.00 + 4.50
    assert "36.40 EUR" in text
    assert re.search(r"Hours\s+4 h 30", told)
    assert "4 h 30" in words(client.get("/record/work/"))


def test_measurements_stand_with_their_limit_and_torques_with_the_manual(client, filled):
    text = words(client.get("/record/measured/"))
    assert "2.1 mm" in text
    assert "110 Nm" in text
    assert "the car's manual" in text
    limit = next(
        one.what.limit for one in WORK.fitted.jobs["wren-pads"].measurements if one.what.id == "old-pad"
    )
    assert limit is None or limit in text


def test_work_by_stint_counts_what_is_done_and_not_what_was_struck(filled):
    state = fold(filled, WORK.job_steps)
    (stint,) = work_by_stint(state, known_steps(WORK))
    assert (stint.name, stint.minutes, stint.cars) == ("2026-03-07", 270, {})
    steps = [step.id for step in yard_card().steps[:9]]
    ticks = [Ticked(time=at(5), car="wren", step=one, stint="2026-03-07") for one in steps]
    numbered = [one.model_copy(update={"number": 13 + place}) for place, one in enumerate(ticks)]
    (stint,) = work_by_stint(fold([*filled, *numbered], WORK.job_steps), known_steps(WORK))
    assert stint.cars["wren"]["wren-exhaust"] == 4
    assert sum(stint.cars["wren"].values()) >= 6


def test_striking_keeps_both_and_is_taken_back_by_striking_that(client, filled):
    client.post("/record/8/strike/", {"why": "the other pad", "once": "x"})
    assert "measure:wren-pads:old-pad:front-left" not in DatabaseRecord().state().measured
    assert len(entries()) == 13
    text = words(client.get("/record/8/"))
    assert "it does not count" in text
    assert "the other pad" in text
    client.post("/record/13/strike/", {"why": "it was that one after all", "once": "y"})
    assert "measure:wren-pads:old-pad:front-left" in DatabaseRecord().state().measured
    assert "it does not count" not in words(client.get("/record/8/"))


@pytest.mark.parametrize("why", ["", "  ", "\x00", "x" * 2001])
def test_striking_has_a_reason(client, filled, why):
    page = client.post("/record/8/strike/", {"why": why, "once": "x"})
    assert page.status_code == 422
    assert len(entries()) == 12


def test_there_is_no_way_to_delete_an_entry(client, filled):
    assert client.delete("/record/8/").status_code == 405
    assert client.post("/record/8/").status_code == 405
    assert client.get("/record/99/").status_code == 404
    assert client.post("/record/99/strike/", {"why": "x"}).status_code == 404


@pytest.mark.parametrize("number", range(1, 13))
def test_every_kind_of_entry_has_a_page(client, filled, number):
    page = client.get(f"/record/{number}/")
    assert page.status_code == 200
    assert filled[number - 1].kind in words(page)


def picture():
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(file, "JPEG")
    file.seek(0)
    file.name = "disc.jpg"
    return file


def test_a_note_is_added_with_its_photo_and_the_odometer(client, filled):
    form = {
        "words": "lip on\r\nthe disc",
        "car": "wren",
        "odometer": "143200 km",
        "photo": picture(),
        "once": "p",
    }
    assert client.post("/record/note/", form).status_code == 302
    note = entries()[-1]
    assert (note["kind"], note["words"], note["car"]) == ("noted", "lip on\nthe disc", "wren")
    page = client.get(f"/record/{note['number']}/").content.decode()
    photo = client.get(re.search(r'<img src="(/photos/[^"]+)"', page)[1])
    assert photo["Content-Type"] == "image/jpeg"
    assert b"".join(photo.streaming_content)[:2] == b"\xff\xd8"
    assert DatabaseRecord().state().odometers["wren"].text == "143200 km"


@pytest.mark.parametrize(
    "wrong",
    [{"words": ""}, {"car": "finch"}, {"odometer": "far"}, {"photo": io.BytesIO(b"no picture")}],
    ids=lambda wrong: next(iter(wrong)),
)
def test_a_note_that_can_not_be_kept_is_refused_with_what_was_typed(client, filled, wrong):
    page = client.post("/record/note/", {"words": "lip", "car": "wren", "once": "p", **wrong})
    assert page.status_code == 422
    assert len(entries()) == 12
    assert wrong.get("words", "lip") in page.content.decode()


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_the_index_finds_what_going_through_all_would(data):
    """However the record grew, page by page: the same as a plain look at every entry."""
    made = []
    for number in range(1, data.draw(st.integers(1, 160)) + 1):
        time = at(24 * (number // 7))
        if number > 3 and number % 9 == 0:
            target = made[data.draw(st.integers(0, number - 2))].id
            one = Corrected(id=f"e{number}", time=time, entry=target, why="slip")
        else:
            car = ("wren", "heron", None)[number % 3]
            one = Noted(id=f"e{number}", time=time, car=car, words=f"note {number % 11} of the day")
        made.append(one.model_copy(update={"number": number}))
    index, grown = Index(), data.draw(st.integers(0, len(made)))
    index.look(made[:grown], Wanted())
    index.look(made, Wanted())
    wanted = Wanted(
        text=data.draw(st.sampled_from(["", "note 3", "DAY note", "slip"])),
        car=data.draw(st.sampled_from(["", "wren"])),
        kind=data.draw(st.sampled_from(["", "noted", "corrected"])),
        since=data.draw(st.sampled_from([None, dt.date(2026, 3, 9)])),
    )
    plain = [
        one for one in reversed(made)
        if all(word in entry_words(one, index.numbers).lower() for word in wanted.text.lower().split())
        and (not wanted.kind or one.kind == wanted.kind)
        and (wanted.since is None or one.day >= wanted.since)
        and (not wanted.car or index.car_of(one) == wanted.car)
    ]  # fmt: skip
    found, before = [], None
    while True:
        page = index.look(made, Wanted(**{**vars(wanted), "before": before}))
        assert len(page.rows) <= PAGE
        found += page.rows
        before = page.next_before
        if before is None:
            break
    assert [row.entry.number for row in found] == [one.number for one in plain]
    assert {row.entry.id for row in found if row.is_struck} == {one.id for one in plain} & dead_ids(made)


def test_every_kind_can_be_picked(client, filled):
    page = client.get("/record/").content.decode()
    for kind in ENTRY_WORDS:
        assert f">{kind}</option>" in page


def test_an_empty_record_says_where_it_comes_from(client, db, noon):
    yard(noon)
    assert RecordEntry.objects.count() == 0
    for path in ("", "money/", "work/", "measured/"):
        assert client.get(f"/record/{path}").status_code == 200
    assert "at the bench" in words(client.get("/record/"))
