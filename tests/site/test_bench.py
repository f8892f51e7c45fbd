"""The bench page and its forms, without a script: what is shown, kept and refused."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from site_bench import STINT, YARD, entries, words, yard, yard_card

from onceapart.bench.entries import Ticked
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import take_in
from onceapart.workshop import parse_workshop

pytestmark = pytest.mark.django_db
NINE = dt.datetime(2026, 3, 7, 9, tzinfo=dt.UTC)


@pytest.fixture
def at_bench(db, noon):
    return yard(noon)


def do(client, go, step="", follow=True, **more):
    form = {"stint": STINT, "go": go, "step": step, "car": "wren", "once": f"once-{go}", "next": "2", **more}
    return client.post("/bench/do/", form, follow=follow)


def shown(page):
    """The section that is shown large."""
    found = re.findall(r'<section class="bench-step"[^>]*>', page.content.decode())
    seen = [one for one in found if " hidden" not in one]
    assert len(seen) == 1
    return seen[0]


def test_without_a_plan_the_way_to_one_is_shown(client, noon):
    take_in(YARD, at=noon)
    page = client.get("/bench/")
    assert page.status_code == 200
    assert "Make a plan" in words(page)


def test_every_step_of_the_card_is_there_in_order_with_its_cautions_and_blanks(client, at_bench):
    page = client.get("/bench/")
    text, card = words(page), yard_card()
    found = re.findall(r'data-step="([^"]+)"', page.content.decode())
    assert found == [step.id for step in card.steps]
    at = 0
    for step in card.steps:
        for caution in step.cautions:
            if not caution.id.startswith("no-makeshift-"):
                assert caution.text in text
        at = text.index(step.words, at) if step.words else at
    for step in card.steps:
        for one in step.measurements:
            assert one.what.lower() in text.lower()
        for fastener in (one for one in step.fasteners if one.is_tightened):
            assert f'value="{fastener.id}"' in page.content.decode()
    assert text.count("(manual)") == sum(f.is_tightened for step in card.steps for f in step.fasteners)
    for part in card.lay_out.parts:
        assert part.title in text


def test_it_begins_with_what_to_lay_out_and_goes_on_where_work_stopped(client, at_bench):
    assert 'data-n="0"' in shown(client.get("/bench/"))
    steps = [step.id for step in yard_card().steps]
    do(client, "ticked", steps[0], once="a")
    do(client, "ticked", steps[1], once="b")
    assert 'data-n="3"' in shown(client.get("/bench/"))
    assert 'data-n="2"' in shown(client.get(f"/bench/{STINT}/?step=2"))
    assert f'data-step="{steps[8]}"' in shown(client.get(f"/bench/{STINT}/", {"step": steps[8]}))


@pytest.mark.parametrize("step", ["99999999999", "-1", "x", "²", "1.5"])
def test_a_step_that_there_is_not_shows_the_next_one(client, at_bench, step):
    assert client.get("/bench/", {"step": step}).status_code == 200


def test_done_goes_into_the_record_once_and_leads_to_the_next_step(client, at_bench):
    step = yard_card().steps[0].id
    answer = do(client, "ticked", step, follow=False)
    assert answer.status_code == 302
    assert answer.url == f"/bench/{STINT}/?step=2#step"
    do(client, "ticked", step)  # the same form once more
    (entry,) = entries()
    assert (entry["kind"], entry["step"], entry["car"], entry["stint"]) == ("ticked", step, "wren", STINT)
    assert "1 of 53 done" in words(client.get("/bench/"))


def test_a_tick_is_taken_back_by_another_entry(client, at_bench):
    step = yard_card().steps[0].id
    do(client, "ticked", step)
    do(client, "unticked", step)
    assert [one["kind"] for one in entries()] == ["ticked", "unticked"]
    assert "0 of 53 done" in words(client.get("/bench/"))


def test_taking_back_what_was_not_done_is_kept_and_said_not_to_count(client, at_bench):
    page = do(client, "unticked", yard_card().steps[0].id)
    assert "does not count" in words(page)


@pytest.mark.parametrize(("typed", "kept"), [("9.8", "9.8 mm"), ("0.4 in", "0.4 in"), (" 9,8 mm ", "9,8 mm")])
def test_a_value_is_measured_with_its_unit_in_millimetres_or_inches(client, at_bench, typed, kept):
    step = "measure:wren-pads:disc-thickness:front-left"
    do(client, "ticked", step, value=typed, **{"unit-value": "mm"})
    measured, ticked = entries()
    assert (measured["kind"], measured["value"], measured["step"]) == ("measured", kept, step)
    assert ticked["kind"] == "ticked"
    assert kept in words(client.get("/bench/?step=11"))


def test_who_counts_in_inches_need_not_type_them(client, at_bench):
    client.cookies["units"] = "imperial"
    page = client.get("/bench/?step=11").content.decode()
    section = page[page.index('data-n="11"') :]
    assert re.search(r'name="unit-value" value="in"', section)


@pytest.mark.parametrize("typed", ["thin", "9.8 kg", "9.8 mm or so", "1,234", "9" * 70])
def test_a_wrong_value_is_refused_and_kept_in_the_form_and_nothing_is_ticked(client, at_bench, typed):
    step = "measure:wren-pads:disc-thickness:front-left"
    page = do(client, "ticked", step, value=typed, **{"unit-value": "mm"})
    assert page.status_code == 422
    assert entries() == ()
    assert f'value="{typed}"' in page.content.decode()
    assert f'data-step="{step}"' in shown(page)
    assert 'aria-invalid="true"' in page.content.decode()


def test_of_several_torques_none_is_kept_if_one_is_wrong(client, at_bench):
    step = "do:wren-exhaust:new-in"
    torques = {"torque-0": "45 lb-ft", "torque-1": "tight", "unit-torque-0": "N·m", "unit-torque-1": "N·m"}
    torques |= {"fastener-torque-0": "wren/rear/clamp-bolts", "fastener-torque-1": "wren/rear/flange-nuts"}
    page = do(client, "ticked", step, **torques)
    assert page.status_code == 422
    assert entries() == ()
    assert 'value="45 lb-ft"' in page.content.decode()
    do(client, "ticked", step, **{**torques, "torque-1": "22"}, once="again")
    assert [(one["kind"], one.get("fastener"), one.get("torque")) for one in entries()] == [
        ("tightened", "wren/rear/clamp-bolts", "45 lb-ft"),
        ("tightened", "wren/rear/flange-nuts", "22 N·m"),
        ("ticked", None, None),
    ]


def test_the_clock_counts_the_minutes_of_the_stint(client, at_bench, monkeypatch):
    from onceapart.site.pages.bench import sending

    times = iter(
        [dt.datetime(2026, 3, 7, 9, 0, tzinfo=dt.UTC), dt.datetime(2026, 3, 7, 10, 20, tzinfo=dt.UTC)]
    )
    monkeypatch.setattr(sending.timezone, "now", lambda: next(times))
    do(client, "started", follow=False)
    do(client, "stopped", follow=False)
    monkeypatch.undo()
    assert DatabaseRecord().state().minutes_worked(stint=STINT) == 80
    assert "1 h 20 worked of" in words(client.get("/bench/"))


def test_a_check_is_answered_at_its_step_and_too_early_is_refused(client, at_bench):
    for step in yard_card().steps:
        if step.car == "wren" and step.kind not in ("check", "aftercare"):
            DatabaseRecord().append(Ticked(time=NINE, car="wren", step=step.id, stint=STINT))
    page = do(client, "yes", "check:wren/brakes-slow-try", once="early")
    assert page.status_code == 422
    assert "too early" in words(page)
    do(client, "yes", "check:wren/front-left/wheel-nuts", once="nuts")
    assert entries()[-1]["check"] == "wren/front-left/wheel-nuts"
    assert 'data-done="yes"' in client.get("/bench/").content.decode().partition('data-n="37"')[2][:200]


def test_a_step_that_is_no_ones_is_refused(client, at_bench):
    page = do(client, "ticked", "off:wren/front-left/engine")
    assert page.status_code == 422
    assert entries() == ()
    page = do(client, "ticked", "do:heron-mirror:work")  # with the other car's name
    assert page.status_code == 422


def test_a_stint_that_is_gone_is_said_and_nothing_is_kept(client, at_bench):
    page = do(client, "ticked", yard_card().steps[0].id, stint="2031-01-01")
    assert "no such stint" in words(page)
    assert entries() == ()
    assert client.get("/bench/2031-01-01/").status_code == 404


def test_only_this_stint_counts_for_what_comes_off_again_and_again(client, at_bench):
    step = yard_card().steps[0].id
    DatabaseRecord().append(Ticked(time=dt.datetime(2026, 2, 1, tzinfo=dt.UTC), car="wren", step=step))
    assert "0 of 53 done" in words(client.get("/bench/"))


def test_open_stopgaps_stand_above_the_steps(client, at_bench):
    from onceapart.bench.entries import Limits, StopgapFitted

    wire = StopgapFitted(
        time=dt.datetime(2026, 3, 7, tzinfo=dt.UTC), car="wren", what="two turns of wire", where="rear box",
        system="exhaust", limits=Limits(until=dt.date(2026, 3, 20)), job="wren-exhaust",
    )  # fmt: skip
    DatabaseRecord().append(wire)
    text = words(client.get("/bench/"))
    assert 0 < text.index("two turns of wire") < text.index("Lay out")


def test_another_plan_than_the_workshop_is_said(client, at_bench, noon):
    take_in(YARD.replace("minutes: 420", "minutes: 400"), at=noon)
    assert "has changed since" in words(client.get("/bench/"))


def test_the_page_asks_the_database_no_more_for_a_longer_record(client, at_bench):
    client.get("/bench/")

    def queries():
        with CaptureQueriesContext(
            connection,
        ) as found:
            assert client.get("/bench/").status_code == 200
        return len(found)

    few = queries()
    for number, step in enumerate(yard_card().steps[:12]):
        do(client, "ticked", step.id, once=f"t{number}")
    client.get("/bench/")
    assert queries() <= few <= 6


def test_the_plan_planned_anew_shows_only_what_is_left(client, at_bench, noon, plans_made):
    from onceapart.planning.plan import Aim
    from onceapart.site.store.runs import ask, choose

    for number, step in enumerate(yard_card().steps[:9]):
        do(client, "ticked", step.id, once=f"t{number}")
    run = ask(Aim.BALANCE, at=dt.datetime(2026, 3, 7, 11, tzinfo=dt.UTC), today=dt.date(2026, 3, 7))
    plans_made()
    choose(run.pk)
    page = client.get("/bench/")
    found = re.findall(r'data-step="([^"]+)"', page.content.decode())
    assert "do:wren-exhaust:joints" not in found
    assert "off:wren/front-left/wheel" not in found  # it is off
    assert "do:wren-pads:pads-in:front-left" in found
    assert "Off already: wren/" in words(page)


def test_it_can_be_read_by_whoever_has_no_day_set(client, noon):
    yard(noon, YARD.replace("today: 2026-03-07\n", "today: 2026-03-02\n"))
    assert parse_workshop(YARD).today != dt.date(2026, 3, 2)
    assert "Sat 7 Mar" in words(client.get("/bench/"))
