"""What may go otherwise than planned: good and bad cases, and fasteners that may not come."""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trade_workshop import cars_and_jobs, make_workshop

from onceapart.trade import (
    Library,
    apply_recipes,
    fasteners_of,
    fit_recipe,
    fit_workshop,
    load_recipe,
    load_recipe_file,
    recipe_ids,
    spreads_of,
)
from onceapart.trade.fitting import suited_places
from onceapart.trade.jobs import split_minutes
from onceapart.trade.schema import Spread
from onceapart.trade.trouble import USUAL
from onceapart.workshop import Access, Aftercare, Car, Layout


def spread(good, typical, bad):
    return Spread(good=good, typical=typical, bad=bad)


@settings(max_examples=40, deadline=None)
@given(cars_and_jobs())
def test_all_work_has_its_cases_in_order_around_what_is_planned(case):
    layout, jobs = case
    workshop = apply_recipes(make_workshop(*jobs, layout=layout))
    found = spreads_of(workshop)
    assert not found.assumed
    for kind in ("jobs", "access", "aftercare"):
        spreads = getattr(found, kind)
        planned = {one.id: one.minutes for one in getattr(workshop, kind)}
        assert {name: one.typical for name, one in spreads.items()} == planned
        assert all(one.good <= one.typical <= one.bad for one in spreads.values())


def test_cases_are_those_of_the_recipe_and_the_library():
    workshop = apply_recipes(make_workshop({"recipe": "strut", "place": "front"}))
    found = spreads_of(workshop)
    assert found.jobs["job-0"] == fit_recipe(load_recipe("strut"), "wren", "front").minutes
    assert found.access["wren/front-left/strut"] == Library().access["strut"].minutes
    assert found.aftercare["wren/wheel-alignment"] == Library().aftercare["wheel-alignment"].minutes


def test_minutes_of_ones_own_widen_in_proportion():
    plain = spreads_of(apply_recipes(make_workshop({"recipe": "strut", "place": "front"})))
    job = {"recipe": "strut", "place": "front", "minutes": plain.jobs["job-0"].typical * 2}
    own = (Access(id="wren/front-left/strut", minutes=20),)
    found = spreads_of(apply_recipes(make_workshop(job, access=own)))
    assert found.jobs["job-0"] == plain.jobs["job-0"] * 2
    assert found.access["wren/front-left/strut"] == spread(12, 20, 50)  # 25 / 40 / 100 in the library


def test_cases_given_in_the_workshop_win():
    job = {"recipe": "strut", "place": "front", "between": (60, 75)}
    own = (Access(id="wren/front-left/strut", minutes=20, between=(18, 21)),)
    found = spreads_of(apply_recipes(make_workshop(job, access=own)))
    assert found.jobs["job-0"] == spread(60, 70, 75)
    assert found.access["wren/front-left/strut"] == spread(18, 20, 21)


def test_the_more_rust_the_more_fasteners_seize():
    def seize(rust):
        cars = (Car(id="wren", name="The Wren", rust=rust),)
        return fasteners_of(
            apply_recipes(make_workshop({"recipe": "drop-link", "place": "front"}, cars=cars))
        )

    light, medium, heavy = (seize(rust) for rust in ("light", "medium", "heavy"))
    assert len(light) == len(medium) == len(heavy) > 0
    for one, two, three in zip(light, medium, heavy, strict=True):
        assert one.seize < two.seize < three.seize
        assert (one.part, one.count) == (three.part, three.count)


def test_work_that_nothing_is_known_of_is_said_to_be_assumed():
    workshop = make_workshop(
        {"minutes": 40, "access": ("wren/door-card",), "aftercare": ("wren/wash",)},
        access=(Access(id="wren/door-card", minutes=10),),
        aftercare=(Aftercare(id="wren/wash", minutes=20, price=0),),
    )
    found = spreads_of(apply_recipes(workshop))
    assert found.assumed == {"job-0", "wren/door-card", "wren/wash"}
    assert found.jobs["job-0"] == spread(20, 40, 108)


def test_what_is_assumed_is_about_what_the_library_says():
    cases = [one.minutes for one in Library().access.values()]
    for name in recipe_ids():
        recipe = load_recipe(name)
        cases += [fit_recipe(recipe, "wren", place).minutes for place in suited_places(recipe, Layout())[:1]]
    for case in ("good", "bad"):
        middle = statistics.median(100 * getattr(one, case) / one.typical for one in cases)
        assert getattr(USUAL, case) == pytest.approx(middle, rel=0.1)


@given(st.lists(st.integers(0, 10_000), min_size=3, max_size=3), st.integers(0, 1_000_000))
def test_a_spread_stays_in_order_wherever_it_is_moved(cases, minutes):
    moved = spread(*sorted(cases)).around(minutes)
    assert moved.good <= moved.typical == minutes <= moved.bad


def test_job_without_minutes_is_refused():
    with pytest.raises(ValueError, match="apply its recipe strut first"):
        spreads_of(make_workshop({"recipe": "strut", "place": "front"}))


@settings(max_examples=40, deadline=None)
@given(cars_and_jobs())
def test_fasteners_are_those_of_the_jobs_and_of_what_comes_off(case):
    layout, jobs = case
    workshop = apply_recipes(make_workshop(*jobs, layout=layout))
    met = fasteners_of(workshop)
    places = {job.id for job in workshop.jobs}, {access.id for access in workshop.access}
    for one in met:
        assert one.of in places[one.is_access]
        assert 0 <= one.seize <= 1
        assert one.count >= 1
    for job in workshop.jobs:
        own = [one for one in met if one.of == job.id]
        assert len(own) == len(fit_workshop(workshop).jobs[job.id].fasteners)
    wheels = sum(access.id.endswith("/wheel") for access in workshop.access)
    assert sum(one.what == "wheel nuts or bolts" for one in met) == wheels


def test_a_spare_fits_left_and_right():
    jobs = [{"recipe": "tie-rod-end", "place": f"front-{side}"} for side in ("left", "right")]
    met = fasteners_of(apply_recipes(make_workshop(*jobs)))
    nuts = [one for one in met if one.part == "wren/front/tie-rod-end-nut"]
    assert {one.of for one in nuts} == {"wren/front-left/tie-rod-end", "wren/front-right/tie-rod-end"}
    assert {(one.renew, one.thread, one.count) for one in nuts} == {(True, "M10x1.25 to M14x1.5", 1)}


def test_own_recipes_count_too(tmp_path):
    text = """\
format: onceapart-recipe/1
id: shield
title: Shield
cures: A rattle.
basis: own record
places: [underside]
touches: [exhaust]
operations:
  - {id: swap, do: Swap it., minutes: {good: 10, typical: 20, bad: 45}}
access: [trap]
fasteners:
  - {id: shield-bolts, what: shield bolts, thread: M6, drive: 10 mm socket, count: 3,
     seize: {light: 0.1, medium: 0.2, heavy: 0.5}}
release: [nothing-left]
defines:
  access:
    - {id: trap, title: Trap, at: car, minutes: {good: 2, typical: 4, bad: 9}, do: Unclip it.}
"""
    (tmp_path / "shield.yaml").write_text(text, encoding="utf-8")
    own = [load_recipe_file(tmp_path / "shield.yaml")]
    workshop = apply_recipes(make_workshop({"recipe": "shield", "place": "underside"}), own)
    found = spreads_of(workshop, own)
    assert (found.jobs["job-0"], found.access["wren/trap"]) == (spread(10, 20, 45), spread(2, 4, 9))
    (bolts,) = fasteners_of(workshop, own)
    assert (bolts.part, bolts.count, bolts.seize) == ("wren/underside/shield-bolts", 3, 0.2)


def test_access_of_ones_own_is_taken_for_the_librarys_of_that_name():
    own = Access(id="wren/front-left/wheel", minutes=3)
    workshop = apply_recipes(make_workshop({"recipe": "drop-link", "place": "front-left"}, access=(own,)))
    fitted = fit_workshop(workshop)
    assert fitted.access[own.id].work.title == "Wheel"
    assert "manual-torque" in {one.id for one in fitted.cautions_of_access(own.id)}
    assert "checked-suspension" in {one.id for one in fitted.cautions_of("job-0")}


@given(st.integers(0, 5000), st.lists(st.integers(0, 400), min_size=1, max_size=9))
def test_minutes_are_split_in_proportion_and_none_is_lost(total, typical):
    shares = split_minutes(total, [spread(0, one, one) for one in typical])
    assert sum(shares) == total
    if sum(typical):
        for share, one in zip(shares, typical, strict=True):
            assert abs(share - total * one / sum(typical)) < 1 + 1e-9
