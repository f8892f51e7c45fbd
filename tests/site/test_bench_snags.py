"""Snags: opening one, its ways on, the check of a substitute bolt, a stopgap with its job, planning anew."""

import datetime as dt
import html
import re
from urllib.parse import quote

import pytest
from site_bench import YARD, entries, words, yard

from onceapart.bench.release_work import work_of
from onceapart.bench.replan import replanned
from onceapart.bench.state import fold
from onceapart.bench.ways import ways_on
from onceapart.site.store.models import PlanRun
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import current
from onceapart.sums.run import run_sum
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop

pytestmark = pytest.mark.django_db
STEP = "do:wren-exhaust:joints"
BRAKES = "do:wren-pads:slides:front-left"
BOLT = {"original": "M10x50 10.9", "found": "M10x60 8.8", "grip": "30 mm", "shear": "15 mm"}


@pytest.fixture
def at_bench(db, noon):
    return yard(noon)


def open_snag(client, kind="broken fastener", step=STEP, **more):
    form = {"snag": kind, "step": step, "car": "wren", "stint": "2026-03-07", "once": "snag", **more}
    return client.post("/bench/snags/new/", form, follow=True)


def number_of():
    return next(one["number"] for one in reversed(entries()) if one["kind"] == "snag opened")


def way(client, key, **form):
    return client.post(f"/bench/snags/{number_of()}/ways/{key}/", {"once": "way", **form}, follow=True)


def test_a_snag_is_opened_at_its_step_in_plain_words(client, at_bench):
    page = client.get("/bench/snags/new/", {"step": STEP, "car": "wren"})
    for plain in ("A bolt or nut broke", "It will not come undone", "A tool is missing", "Time runs out"):
        assert plain in words(page)
    page = open_snag(client, words="flange stud")
    assert page.status_code == 200
    (entry,) = entries()
    assert (entry["snag"], entry["words"], entry["job"]) == ("broken fastener", "flange stud", "wren-exhaust")
    assert not entry["dangerous"]
    open_snag(client, words="flange stud")  # the same form once more
    assert len(entries()) == 1
    open_snag(client, words="said once more", once="other")  # the same snag
    assert len(entries()) == 1


def test_in_the_brakes_what_broke_is_dangerous_unless_a_person_says_otherwise(client, at_bench):
    open_snag(client, step=BRAKES)
    assert entries()[0]["dangerous"]
    assert "dangerous" in words(client.get("/cars/wren/release/"))


def test_a_snag_without_a_kind_or_without_its_part_is_refused_and_kept(client, at_bench):
    page = open_snag(client, kind="", words="odd noise")
    assert page.status_code == 422
    assert "odd noise" in page.content.decode()
    page = open_snag(client, kind="wrong part", step=STEP)  # the job has two parts
    assert page.status_code == 422
    assert "--" not in words(page)
    assert entries() == ()
    page = open_snag(client, kind="wrong part", step=STEP, part="wren/rear/exhaust-section")
    assert page.status_code == 200
    assert open_snag(client, kind="missing tool", once="t").status_code == 422
    assert client.get("/bench/snags/new/", {"car": "finch"}).status_code == 404


@pytest.mark.parametrize(
    ("kind", "step", "more"),
    [
        ("broken fastener", STEP, {}),
        ("seized fastener", BRAKES, {}),
        ("bad part", "do:wren-pads:pads-in:front-left", {"part": "wren/front/brake-pad-set"}),
        ("short of time", STEP, {}),
        ("damage found", STEP, {}),
        ("left unfinished", STEP, {}),
        ("missing tool", BRAKES, {"tool": "piston-wind-back-tool"}),
    ],
)
def test_the_ways_on_are_those_of_the_engine_with_minutes_and_price(client, at_bench, kind, step, more):
    page = open_snag(client, kind, step, **more)
    text = words(page)
    work = work_of(apply_recipes(parse_workshop(YARD)))
    state = fold(DatabaseRecord().entries(), work.job_steps)
    left = replanned(work.workshop, state, None, dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC))
    (opened,) = (one.opened for one in state.snags)
    found = ways_on(work, state, left, opened)
    assert any(one.number for one in found)
    at = 0
    for one in found:
        at = text.index(one.way.title, at)
        if one.number:
            assert f"from {one.minutes.good} to" in text[at:]
        else:
            assert one.against in text
    for one in (one for one in found if one.number):
        key = one.way.id + (f"~{one.buy.offer.id}" if one.buy else "")
        assert client.get(f"/bench/snags/{number_of()}/ways/{key}/").status_code == 200


def test_choosing_a_way_goes_into_the_record_with_what_a_person_knows_better(client, at_bench):
    open_snag(client, "seized fastener")
    page = way(client, "heat", go="choose", minutes="25", price="4,50")
    assert page.status_code == 200
    chosen = entries()[-1]
    assert (chosen["kind"], chosen["way"], chosen["minutes"], chosen["price"]) == (
        "way chosen",
        "heat",
        25,
        450,
    )
    way(client, "heat", go="choose", minutes="25", price="4,50")  # the same form once more
    assert len(entries()) == 2
    page = way(client, "heat", go="choose", minutes="some", once="other")
    assert page.status_code == 422
    assert 'value="some"' in page.content.decode()


def test_the_bolt_is_worked_out_with_its_drawing_before_it_goes_in(client, at_bench):
    open_snag(client)
    page = way(client, "substitute", go="check", **BOLT)
    assert page.status_code == 200
    result = run_sum("bolt-substitute", {**BOLT, "holds": "exhaust"})
    assert result.verdict in words(page)
    assert len(entries()) == 1  # nothing is chosen yet
    source = html.unescape(re.search(r'<img[^>]*src="([^"]*drawing.svg[^"]*)"', page.content.decode())[1])
    assert source.startswith("/sums/bolt-substitute/drawing.svg?")
    drawn = client.get(source)
    assert drawn["Content-Type"] == "image/svg+xml"
    assert drawn.content.decode() == result.drawing
    assert f"found={quote('M10x60 8.8', safe='').replace('%20', '+')}" in source


def test_figures_without_an_answer_are_refused_each_at_its_field(client, at_bench):
    open_snag(client)
    page = way(client, "substitute", go="check", **{**BOLT, "original": "a big one", "grip": "some"})
    assert page.status_code == 422
    assert page.content.decode().count('class="error"') >= 2
    assert 'value="a big one"' in page.content.decode()
    page = way(client, "substitute", go="choose")
    assert page.status_code == 422
    assert "--" not in words(page)
    assert len(entries()) == 1


def test_a_stopgap_is_fitted_with_its_limits_and_the_job_that_makes_it_good(client, at_bench):
    open_snag(client)
    page = way(
        client, "fastener-stopgap", go="choose", what="two turns of wire", where="rear box hanger",
        system="exhaust", distance="300 km", odometer="143200 km", speed="80 km/h", signed_by="A. Finch",
    )  # fmt: skip
    assert page.status_code == 200, words(page)
    fitted = next(one for one in entries() if one["kind"] == "stopgap fitted")
    assert fitted["limits"]["distance"] == "300 km"
    assert fitted["signed_by"] == "A. Finch"
    assert fitted["job"] in {job.id for job in current().workshop.jobs}
    text = words(client.get("/cars/wren/release/"))
    assert "two turns of wire" in text
    assert "at most 80 km/h" in text


def test_a_makeshift_in_the_brakes_is_never_shown_as_fine(client, at_bench):
    open_snag(client, step=BRAKES)
    keys = re.findall(
        rf'/bench/snags/{number_of()}/ways/([^/"]+)/',
        client.get(f"/bench/snags/{number_of()}/").content.decode(),
    )
    for key in dict.fromkeys(keys):
        page = client.get(f"/bench/snags/{number_of()}/ways/{key}/")
        if 'name="signed_by"' in page.content.decode():
            assert "Do not drive" in words(page)
    page = way(client, "substitute", go="choose", **BOLT, what="other bolt", where="slide", system="brakes")
    fitted = [one for one in entries() if one["kind"] == "stopgap fitted"]
    if fitted:
        assert "DO NOT DRIVE" in words(client.get("/cars/wren/release/"))
    else:
        assert page.status_code == 422


def test_a_stopgap_without_what_is_wanted_is_refused_in_plain_words(client, at_bench):
    open_snag(client)
    for form in (
        {"what": "", "where": ""},
        {"what": "wire", "where": "box", "distance": "300 km"},
        {"what": "wire", "where": "box", "until": "soon"},
        {"what": "wire", "where": "box", "system": "coffee"},
    ):
        page = way(client, "fastener-stopgap", go="choose", **{"system": "exhaust", **form})
        assert page.status_code == 422, form
        assert "--" not in words(page)
    assert len(entries()) == 1
    assert current().number == 1


def test_damage_becomes_a_job_of_the_workshop(client, at_bench):
    open_snag(client, "damage found", words="hanger rotten")
    page = way(client, "new-job", go="choose", recipe="exhaust-hangers", place="rear", need="inspection")
    assert page.status_code == 200, words(page)
    job = current().workshop.jobs[-1]
    assert (job.recipe, job.place, job.car) == ("exhaust-hangers", "rear", "wren")
    page = way(client, "new-job", go="choose", recipe="exhaust-hangers", place="", once="w2")
    assert page.status_code == 422


def test_what_is_left_is_planned_anew_at_a_press(client, at_bench, plans_made):
    open_snag(client, "seized fastener")
    way(client, "heat", go="choose")
    page = client.post(f"/bench/snags/{number_of()}/plan/", follow=True)
    assert page.redirect_chain[-1][0].startswith("/plan/")
    plans_made()
    assert PlanRun.objects.filter(is_chosen=False).get().stage == "done"


def test_a_closed_snag_stays_to_be_seen(client, at_bench):
    open_snag(client, words="flange stud")
    client.post(f"/bench/snags/{number_of()}/close/", {"how": "new stud in"})
    text = words(client.get("/bench/snags/"))
    assert "flange stud" in text
    assert "new stud in" in text
    assert client.get(f"/bench/snags/{number_of()}/").status_code == 200
    assert way(client, "heat", go="choose").redirect_chain
    assert client.get("/bench/snags/999/").status_code == 404
    assert client.get(f"/bench/snags/{number_of()}/ways/nonsense/", follow=True).status_code == 200
