"""What the script of the bench sends: each entry once, in order, kept or refused with why."""

import datetime as dt
import json

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from site_bench import STINT, entries, send, tick, yard, yard_card

pytestmark = pytest.mark.django_db


@pytest.fixture
def steps(db, noon):
    yard(noon)
    return [step.id for step in yard_card().steps if step.kind not in ("check", "measure")]


def test_a_list_is_kept_in_order_and_answered_one_by_one(client, steps):
    sent = [tick(number, step) for number, step in enumerate(steps[:6])]
    found = send(client, *sent)
    assert [(one["id"], one["state"], one["number"]) for one in found["answers"]] == [
        (f"tick-{number}", "kept", number + 1) for number in range(6)
    ]
    assert [one["step"] for one in entries()] == steps[:6]
    assert found["number"] == 6
    assert "not released" in found["standing"]["wren"]


def test_what_is_sent_again_counts_once_whatever_was_lost_between(client, steps):
    sent = [tick(number, step) for number, step in enumerate(steps[:8])]
    send(client, *sent[:3])
    send(client, *sent[1:6])
    session = client.session
    session["who"] = "A. Finch"  # a name given meanwhile makes no other entry of it
    session.save()
    found = send(client, *sent)
    assert {one["state"] for one in found["answers"]} == {"kept"}
    assert [one["id"] for one in entries()] == [one["id"] for one in sent]


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(1, 10)), max_size=5))
def test_two_tabs_sending_stretches_of_one_queue_keep_order_and_count_once(client, steps, stretches):
    """Whichever stretches get through, as long as each begins with what the site does not have yet."""
    from onceapart.site.store.models import RecordEntry
    from onceapart.site.store.record import forget

    RecordEntry.objects.all().delete()
    forget()
    sent = [tick(number, step) for number, step in enumerate(steps[:10])]
    kept = 0
    for start, length in stretches:
        start = min(start, kept)
        send(client, *sent[start : start + length])
        kept = max(kept, min(10, start + length))
    assert [one["id"] for one in entries()] == [one["id"] for one in sent[:kept]]


def test_one_that_is_refused_keeps_no_other_back(client, steps):
    bad = {**tick(1, "measure:wren-pads:old-pad:front-left"), "kind": "measured", "value": "9.8 kg"}
    found = send(client, tick(0, steps[0]), bad, tick(2, steps[1]))["answers"]
    assert [one["state"] for one in found] == ["kept", "refused", "kept"]
    assert "kg" in found[1]["why"]
    assert [one["id"] for one in entries()] == ["tick-0", "tick-2"]


REFUSED = {
    "unknown step": {"step": "off:wren/front-left/engine"},
    "unknown car": {"car": "finch"},
    "the other car's": {"car": "heron"},
    "a check": {"step": "check:wren/pedal-hard"},
    "no shape": {"step": "wheel off"},
    "another kind": {"kind": "release granted"},
    "no kind": {"kind": "eaten"},
    "more than it has": {"answer": "yes"},
    "a strange field": {"price": "12"},
    "an odd id": {"id": "A B"},
    "no id": {"id": ""},
    "a number": {"step": 7},
}


@pytest.mark.parametrize("wrong", REFUSED.values(), ids=REFUSED)
def test_what_does_not_fit_is_refused_with_why(client, steps, wrong):
    (found,) = send(client, {**tick(0, steps[0]), **wrong})["answers"]
    assert found["state"] == "refused"
    assert len(found["why"]) > 10
    assert entries() == ()


@pytest.mark.parametrize("sent", [None, "x", 7, [], ["ticked"], {"entries": []}])
def test_an_entry_that_is_none_is_refused(client, steps, sent):
    (found,) = send(client, sent)["answers"]
    assert found["state"] == "refused"


@pytest.mark.parametrize(
    "body", ["", "{", "[]", "7", '{"entries": 7}', '{"entries": {}}', "[" * 100_000, b"\xff\xfe"],
    ids=["nothing", "torn", "list", "number", "no list", "map", "deep", "no text"],
)  # fmt: skip
def test_what_is_no_list_of_entries_is_said_to_be_none(client, steps, body):
    answer = client.post("/bench/send/", body, content_type="application/json")
    assert answer.status_code == 400
    assert "error" in answer.json()


def test_too_many_at_once_are_refused_whole(client, steps):
    sent = [tick(number, steps[0]) for number in range(201)]
    answer = client.post("/bench/send/", json.dumps({"entries": sent}), content_type="application/json")
    assert answer.status_code == 400
    assert entries() == ()


def test_an_id_that_says_something_else_is_refused(client, steps):
    send(client, tick(0, steps[0]))
    (found,) = send(client, tick(0, steps[1]))["answers"]
    assert found["state"] == "refused"
    assert [one["step"] for one in entries()] == [steps[0]]


def test_it_wants_the_token_and_a_post(steps):
    strict = Client(enforce_csrf_checks=True)
    body = json.dumps({"entries": [tick(0, steps[0])]})
    assert strict.post("/bench/send/", body, content_type="application/json").status_code == 403
    page = strict.get("/bench/")
    token = page.cookies["onceapart_csrf"].value
    answer = strict.post(
        "/bench/send/", body, content_type="application/json", headers={"X-CSRFToken": token}
    )
    assert answer.status_code == 200
    assert len(entries()) == 1
    assert strict.get("/bench/send/").status_code == 405


def test_a_clock_that_is_wrong_does_not_make_the_time(client, steps):
    times = ["2099-01-01T10:00:00+00:00", "1970-01-01T00:00:00+00:00", "soon", "9999-12-31T23:59:59-12:00"]
    for number, time in enumerate(times):
        assert send(client, {**tick(number, steps[0]), "time": time})["answers"][0]["state"] == "kept"
    assert {one["time"][:10] for one in entries()} == {"2026-03-07"}  # the day the workshop is set to


def test_what_happened_without_a_line_keeps_its_time(client, steps, monkeypatch):
    from onceapart.site.pages.bench import sending

    monkeypatch.setattr(sending.timezone, "now", lambda: dt.datetime(2026, 3, 7, 15, tzinfo=dt.UTC))
    early = "2026-03-07T11:12:13+01:00"
    send(client, {**tick(0, steps[0]), "time": early})
    assert entries()[0]["time"] == early


def test_others_that_write_for_too_long_make_it_wait_in_order(client, steps, monkeypatch):
    from onceapart.site.store.locking import BusyError
    from onceapart.site.store.record import DatabaseRecord

    real, calls = DatabaseRecord.append, []

    def busy(self, entry):
        calls.append(entry.id)
        if entry.id == "tick-1":
            from onceapart.bench.record import RecordError

            try:
                raise BusyError
            except BusyError as error:
                raise RecordError(f"the record: {error}") from None
        return real(self, entry)

    monkeypatch.setattr(DatabaseRecord, "append", busy)
    found = send(client, *[tick(number, steps[number]) for number in range(4)])["answers"]
    assert [one["state"] for one in found] == ["kept", "later", "later", "later"]
    assert calls == ["tick-0", "tick-1"]


def test_a_snag_noted_without_a_line_becomes_one_with_its_ways(client, steps):
    sent = {
        "kind": "snag opened", "id": "snag-1", "car": "wren", "step": "do:wren-exhaust:joints",
        "snag": "seized fastener", "words": "both flange nuts", "time": "2026-03-07T10:00:00+00:00",
    }  # fmt: skip
    found = send(client, sent)
    assert found["answers"][0]["state"] == "kept"
    assert client.get(found["snags"]["snag-1"]).status_code == 200
    assert entries()[0]["job"] == "wren-exhaust"
    send(client, sent)
    assert len(entries()) == 1


def test_the_clock_of_somebody_else_can_be_stopped(client, steps):
    session = client.session
    session["who"] = "A. Finch"
    session.save()
    send(client, {"kind": "started", "id": "c1", "stint": STINT, "time": "2026-03-07T08:00:00+00:00"})
    other = Client()
    send(other, {"kind": "stopped", "id": "c2", "stint": STINT, "time": "2026-03-07T08:30:00+00:00"})
    assert [one.get("who") for one in entries()] == ["A. Finch", "A. Finch"]


def test_the_worker_script_is_served_for_the_bench_alone(client):
    answer = client.get("/bench/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert b"addEventListener" in answer.content
