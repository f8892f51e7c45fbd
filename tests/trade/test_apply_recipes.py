"""Applying recipes to a workshop: ids, sharing, what is given beside a recipe, and what is refused."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trade_workshop import LAYOUTS, cars_and_jobs, make_workshop

from onceapart.errors import WorkshopFileError
from onceapart.trade import apply_recipes, fit_recipe, load_recipe, recipe_ids
from onceapart.trade.fitting import suited_places
from onceapart.workshop import (
    PLACES,
    RECIPE_KEYS,
    Access,
    Aftercare,
    Car,
    Layout,
    check_references,
    check_workshop,
    parse_with_lines,
    parse_workshop,
    write_workshop,
)


def access_ids(workshop):
    return [access.id for access in workshop.access]


def test_cv_boot_brings_all_that_is_in_its_way():
    workshop = apply_recipes(make_workshop({"recipe": "cv-boot", "place": "front-left"}))
    (job,) = workshop.jobs
    assert job.access == ("wren/front-left/driveshaft",)
    assert job.parts == {"wren/front-left/cv-boot-kit": 1}
    assert job.tools == ("boot-clip-pliers",)
    assert job.minutes == 12 + 9 + 10 + 7  # the typical minutes of its four operations
    access = {one.id: one for one in workshop.access}
    assert set(access) == {
        "wren/front/on-stands",
        "wren/front-left/wheel",
        "wren/front-left/hub-nut",
        "wren/front-left/lower-ball-joint",
        "wren/front-left/driveshaft",
    }
    assert access["wren/front-left/wheel"].under == ("wren/front/on-stands",)
    assert access["wren/front-left/lower-ball-joint"].tools == ("ball-joint-splitter",)
    assert access["wren/front-left/driveshaft"].aftercare == ("wren/wheel-alignment",)
    aftercare = {one.id: one for one in workshop.aftercare}
    assert aftercare["wren/wheel-alignment"] == Aftercare(id="wren/wheel-alignment", minutes=30, price=6500)


def test_pads_at_an_axle_take_one_set_and_both_calipers():
    workshop = apply_recipes(make_workshop({"recipe": "brake-pads", "place": "front"}))
    (job,) = workshop.jobs
    assert job.parts == {"wren/front/brake-pad-set": 1}
    assert job.access == ("wren/front-left/caliper", "wren/front-right/caliper")
    assert job.tools == ()
    assert job.aftercare == ("wren/bed-in",)
    assert access_ids(workshop).count("wren/front/on-stands") == 1


def test_pads_at_the_rear_need_the_tool_for_the_parking_brake():
    layout = Layout(rear_brakes="disc")
    workshop = apply_recipes(make_workshop({"recipe": "brake-pads", "place": "rear"}, layout=layout))
    assert workshop.jobs[0].tools == ("piston-wind-back-tool",)


@pytest.mark.parametrize(
    ("recipe", "place", "parts"),
    [
        ("drop-link", "front-left", {"wren/front/drop-link": 1}),  # fits either side, so the axle names it
        ("drop-link", "front", {"wren/front/drop-link": 2}),
        ("brake-hose", "rear", {"wren/rear-left/brake-hose": 1, "wren/rear-right/brake-hose": 1}),
        ("tyres", "all", {"wren/front/tyre": 2, "wren/rear/tyre": 2}),
        ("brake-fluid", "all", {"wren/brake-fluid": 1}),
        ("spark-plugs", "engine-bay", {"wren/spark-plug-set": 1}),
        ("brake-discs", "front", {"wren/front/brake-disc": 2, "wren/front/brake-pad-set": 1}),
        (
            "exhaust-section",
            "rear",
            {"wren/rear/exhaust-section": 1, "wren/rear/exhaust-fitting-kit": 1},
        ),
        ("exhaust-section", "all", {"wren/exhaust-section": 1, "wren/exhaust-fitting-kit": 1}),
    ],
)
def test_parts_are_named_by_where_they_fit(recipe, place, parts):
    workshop = apply_recipes(make_workshop({"recipe": recipe, "place": place}))
    assert workshop.jobs[0].parts == parts


def test_spring_comes_out_with_the_strut_or_by_the_damper():
    front, rear = apply_recipes(
        make_workshop({"recipe": "coil-spring", "place": "front"}, {"recipe": "coil-spring", "place": "rear"})
    ).jobs
    assert front.access == ("wren/front-left/strut", "wren/front-right/strut")
    assert front.tools == ("spring-compressor",)
    assert rear.access == ("wren/rear-left/damper", "wren/rear-right/damper")
    assert rear.tools == ()


def test_bearing_of_a_wheel_that_is_not_driven_needs_no_press():
    layout = Layout(rear_brakes="disc")
    jobs = [{"recipe": "wheel-bearing", "place": place} for place in ("front-left", "rear-left")]
    front, rear = apply_recipes(make_workshop(*jobs, layout=layout)).jobs
    assert front.access == ("wren/front-left/hub-carrier",)
    assert front.tools == ("bearing-press-set",)
    assert rear.access == ("wren/rear-left/disc",)
    assert rear.tools == ()
    assert front.minutes > rear.minutes


def test_two_jobs_at_a_corner_share_what_comes_off():
    both = apply_recipes(
        make_workshop(
            {"recipe": "lower-arm", "place": "front-left"}, {"recipe": "cv-boot", "place": "front-left"}
        )
    )
    ids = access_ids(both)
    assert len(ids) == len(set(ids))
    alone = [
        set(access_ids(apply_recipes(make_workshop({"recipe": name, "place": "front-left"}))))
        for name in ("lower-arm", "cv-boot")
    ]
    shared = alone[0] & alone[1]
    assert shared == {"wren/front/on-stands", "wren/front-left/wheel", "wren/front-left/lower-ball-joint"}
    assert set(ids) == alone[0] | alone[1]
    assert [one.id for one in both.aftercare].count("wren/wheel-alignment") == 1


@pytest.mark.parametrize(
    ("recipes", "shared"),
    [
        ({"coolant-hose": "engine-bay", "radiator": "engine-bay", "water-pump": "engine-bay"}, "coolant"),
        ({"alternator": "engine-bay", "timing-belt": "engine-bay"}, "auxiliary-belt"),
        (
            {"door-lock": "front-left", "window-regulator": "front-left", "mirror": "left"},
            "front-left/door-card",
        ),
        ({"plate-lamp": "rear", "rear-lamp": "rear-right", "lamp-wiring": "boot"}, "boot-trim"),
        ({"parking-brake-cable": "rear", "axle-bushes": "rear"}, "exhaust"),
        ({"wiper-linkage": "front", "windscreen": "front"}, "scuttle"),
    ],
)
def test_jobs_behind_the_same_thing_share_what_comes_off(recipes, shared):
    """Done together they take less access than one by one, by what they share at least."""
    jobs = [{"recipe": recipe, "place": place} for recipe, place in recipes.items()]
    together = apply_recipes(make_workshop(*jobs))
    alone = [apply_recipes(make_workshop(job)) for job in jobs]
    for workshop in alone:
        assert f"wren/{shared}" in access_ids(workshop)
    saved = sum(sum(one.minutes for one in workshop.access) for workshop in alone)
    saved -= sum(one.minutes for one in together.access)
    minutes = next(one.minutes for one in together.access if one.id == f"wren/{shared}")
    assert saved >= minutes * (len(jobs) - 1)


@pytest.mark.parametrize("name", recipe_ids())
def test_recipe_applies_wherever_it_says_it_suits(name):
    """At every place of any layout, and the workshop that comes out has no loose end."""
    recipe = load_recipe(name)
    tried = set()
    for layout in LAYOUTS:
        places = suited_places(recipe, layout)
        jobs = [{"recipe": name, "place": place} for place in places]
        workshop = apply_recipes(make_workshop(*jobs, layout=layout))
        assert check_workshop(workshop) == []
        assert check_references(workshop) == []
        for job in workshop.jobs:
            assert job.minutes > 0
            assert bool(job.parts) == bool(recipe.parts)
        tried |= {*places}
    assert tried == {place for place in PLACES if place in suited_places_of_any(recipe)}


def suited_places_of_any(recipe):
    return suited_places(recipe.model_copy(update={"suits": ()}), Layout())


@settings(max_examples=60, deadline=None)
@given(cars_and_jobs())
def test_applying_leaves_no_loose_end_and_twice_is_once(case):
    layout, jobs = case
    before = make_workshop(*jobs, layout=layout)
    after = apply_recipes(before)
    assert check_workshop(after) == []
    assert check_references(after) == []
    assert apply_recipes(after) == after
    assert before == make_workshop(*jobs, layout=layout), "what was handed in is not changed"
    assert [job.recipe for job in after.jobs] == [job["recipe"] for job in jobs]


@settings(max_examples=40, deadline=None)
@given(cars_and_jobs(), st.randoms())
def test_order_of_jobs_does_not_matter(case, random):
    layout, jobs = case
    shuffled = list(jobs)
    random.shuffle(shuffled)
    one = apply_recipes(make_workshop(*jobs, layout=layout))
    other = apply_recipes(make_workshop(*shuffled, layout=layout))
    assert {a.id: a for a in one.access} == {a.id: a for a in other.access}
    assert {a.id: a for a in one.aftercare} == {a.id: a for a in other.aftercare}


@settings(max_examples=40, deadline=None)
@given(cars_and_jobs())
def test_no_access_comes_in_that_no_job_needs(case):
    """Walked from the jobs by hand, the access that is reached is the access that was added."""
    layout, jobs = case
    workshop = apply_recipes(make_workshop(*jobs, layout=layout))
    under = {access.id: access.under for access in workshop.access}
    reached = set()
    todo = [access for job in workshop.jobs for access in job.access]
    while todo:
        access = todo.pop()
        if access not in reached:
            reached.add(access)
            todo += under[access]
    assert reached == set(under)


@settings(max_examples=30, deadline=None)
@given(cars_and_jobs())
def test_expanded_workshop_is_a_file_of_its_own(case):
    layout, jobs = case
    workshop = apply_recipes(make_workshop(*jobs, layout=layout))
    read = parse_workshop(write_workshop(workshop))
    assert read == workshop
    assert apply_recipes(read) == workshop


GIVEN = {
    "minutes": 7,
    "between": (5, 200),
    "access": ("wren/front-right/wheel",),
    "parts": {"wren/front/own-part": 3},
    "tools": ("ball-joint-splitter",),
    "aftercare": ("wren/headlamp-aim",),
}
NOTHING = {"access": (), "parts": {}, "tools": (), "aftercare": ()}


@pytest.mark.parametrize(
    "keys",
    [keys for size in range(len(RECIPE_KEYS) + 1) for keys in itertools.combinations(RECIPE_KEYS, size)],
)
def test_what_is_given_beside_a_recipe_overrides_that_part_of_it(keys):
    plain = {"recipe": "strut", "place": "front"}
    brought = apply_recipes(make_workshop(plain)).jobs[0]
    job = apply_recipes(make_workshop({**plain, **{key: GIVEN[key] for key in keys}})).jobs[0]
    for key in RECIPE_KEYS:
        if key == "between" and "minutes" in keys and key not in keys:
            good, bad = brought.between
            assert job.between == (round(good * 7 / brought.minutes), round(bad * 7 / brought.minutes))
        else:
            assert getattr(job, key) == (GIVEN[key] if key in keys else getattr(brought, key)), key


def test_good_and_bad_case_come_with_the_minutes():
    workshop = apply_recipes(make_workshop({"recipe": "strut", "place": "front"}))
    (job,) = workshop.jobs
    assert (job.between, job.minutes) == ((2 * (6 + 4 + 8), 2 * (25 + 25 + 25)), 2 * (12 + 8 + 15))
    access = {one.id: one for one in workshop.access}
    assert access["wren/front-left/strut"].between == (25, 100)


def test_cases_that_do_not_take_in_the_minutes_of_the_recipe_are_refused():
    job = {"recipe": "strut", "place": "front", "between": (10, 60)}
    with pytest.raises(WorkshopFileError, match="usual 70 minutes") as caught:
        apply_recipes(make_workshop(job))
    (problem,) = caught.value.problems
    assert (problem.where, problem.value) == ("jobs[0].between", "[10, 60]")
    assert apply_recipes(make_workshop({**job, "minutes": 40})).jobs[0].between == (10, 60)


def test_cases_of_minutes_beyond_all_measure_still_fit_a_file():
    job = {"recipe": "strut", "place": "front", "minutes": 1_000_000}
    workshop = apply_recipes(make_workshop(job))
    assert parse_workshop(write_workshop(workshop)) == workshop


@pytest.mark.parametrize("key", NOTHING)
def test_nothing_given_beside_a_recipe_is_nothing(key):
    job = {"recipe": "strut", "place": "front", key: NOTHING[key]}
    assert getattr(apply_recipes(make_workshop(job)).jobs[0], key) == NOTHING[key]


def test_access_and_aftercare_of_the_workshop_win():
    own_access = Access(id="wren/front-left/wheel", minutes=3)
    own_aftercare = Aftercare(id="wren/wheel-alignment", minutes=15, price=4800)
    workshop = apply_recipes(
        make_workshop(
            {"recipe": "tie-rod-end", "place": "front-left"}, access=(own_access,), aftercare=(own_aftercare,)
        )
    )
    assert own_access in workshop.access
    assert own_aftercare in workshop.aftercare
    assert len(workshop.aftercare) == 1, "nothing asks for retightening: the workshop's own wheel does not"
    assert "wren/front/on-stands" not in access_ids(workshop), "nor is it under anything"


def test_own_access_may_stand_on_the_librarys():
    own = Access(id="wren/front-left/heat-shield", minutes=5, under=("wren/front-left/wheel",))
    workshop = apply_recipes(
        make_workshop(
            {"recipe": "brake-hose", "place": "front-left", "access": ("wren/front-left/heat-shield",)},
            access=(own,),
        )
    )
    assert set(access_ids(workshop)) == {
        "wren/front-left/heat-shield",
        "wren/front-left/wheel",
        "wren/front/on-stands",
    }


def test_each_car_has_its_own_layout_and_ids():
    cars = (
        Car(id="wren", name="The Wren"),
        Car(id="wren/old", name="The old Wren", layout=Layout(drive="rear", rear_suspension="live-axle")),
    )
    jobs = (
        {"recipe": "drop-link", "place": "front-left"},
        {"recipe": "drop-link", "place": "front-left", "car": "wren/old"},
    )
    workshop = apply_recipes(make_workshop(*jobs, cars=cars))
    assert {name.removesuffix("/front-left/wheel") for name in access_ids(workshop) if "wheel" in name} == {
        "wren",
        "wren/old",
    }


def test_workshop_without_recipes_comes_back_as_it_is():
    workshop = make_workshop({"minutes": 30, "parts": {"wren/oil": 1}})
    assert apply_recipes(workshop) is workshop


FILE = """\
format: onceapart-workshop/1
name: Quay Lane
currency: EUR
hour_worth: 12.00
cars:
  - {id: wren, name: The Wren}
tools:
  - {id: ball-joint-splitter, have: true}
jobs:
  - {id: a, car: wren, need: upkeep, recipe: cv-bott, place: front-left}
  - {id: b, car: wren, need: upkeep, recipe: strut, place: front-left}
  - {id: c, car: wren, need: upkeep, recipe: tie-rod-end}
  - {id: d, car: wren, need: upkeep, recipe: brake-pads, place: rear}
  - {id: e, car: wren, need: upkeep, recipe: cv-boot, place: front-left}
  - {id: f, car: wren, need: upkeep, recipe: drop-link, place: front, access: [wren/front-left/weel]}
  - {id: g, car: wren, need: upkeep, minutes: 5, access: [wren/rear-left/disc]}
"""


def test_all_problems_come_at_once_with_line_value_rule_and_way_out():
    parsed = parse_with_lines(FILE, "garage.yaml")
    with pytest.raises(WorkshopFileError) as caught:
        apply_recipes(parsed.workshop, source=parsed.source, line_of=parsed.line_of)
    assert caught.value.source == "garage.yaml"
    found = {problem.line: problem for problem in caught.value.problems}
    assert [problem.line for problem in caught.value.problems] == list(range(10, 17))
    unknown, unplaced, placeless, unsuited, toolless, misspelt, no_disc = (found[n] for n in range(10, 17))
    assert (unknown.where, unknown.value) == ("jobs[0].recipe", "cv-bott")
    assert "cv-boot" in unknown.way_out
    assert (unplaced.where, unplaced.value) == ("jobs[1].place", "front-left")
    assert "front" in unplaced.way_out
    assert placeless.where == "jobs[2].place"
    assert "front-left" in placeless.way_out
    assert (unsuited.where, unsuited.value) == ("jobs[3].place", "rear")
    assert "disc brakes" in unsuited.rule
    assert "drum brakes" in unsuited.rule
    assert "by default" in unsuited.rule
    assert (toolless.where, toolless.value) == ("jobs[4].recipe", "boot-clip-pliers")
    assert "tools" in toolless.way_out
    assert (misspelt.where, misspelt.value) == ("jobs[5].access[0]", "wren/front-left/weel")
    assert "wren/front-left/wheel" in misspelt.way_out
    assert no_disc.value == "wren/rear-left/disc"
    assert "disc brakes" in no_disc.rule


def test_special_tool_of_what_comes_off_has_to_be_listed_too():
    with pytest.raises(WorkshopFileError) as caught:
        apply_recipes(make_workshop({"recipe": "lower-arm", "place": "front-left"}, tools=()))
    (problem,) = caught.value.problems
    assert problem.value == "ball-joint-splitter"
    assert "wren/front-left/lower-ball-joint" in problem.rule


def test_a_missing_tool_is_said_once():
    jobs = [{"recipe": "tie-rod-end", "place": f"front-{side}"} for side in ("left", "right")]
    with pytest.raises(WorkshopFileError) as caught:
        apply_recipes(make_workshop(*jobs, tools=()))
    assert [problem.value for problem in caught.value.problems] == ["ball-joint-splitter"]


def test_no_tool_is_wanted_for_a_part_of_the_recipe_that_is_overridden():
    job = {"recipe": "cv-boot", "place": "front-left", "access": (), "tools": ()}
    assert apply_recipes(make_workshop(job, tools=())).jobs[0].tools == ()


def test_car_with_a_long_id_is_refused_and_not_stumbled_over():
    cars = (Car(id="w" * 95, name="The long one"),)
    with pytest.raises(WorkshopFileError, match="shorter id"):
        apply_recipes(make_workshop({"recipe": "cv-boot", "place": "front-left", "car": "w" * 95}, cars=cars))


def test_operations_of_a_corner_are_done_together():
    fitted = fit_recipe(load_recipe("brake-shoes"), "wren", "rear")
    corners = [one.place for one in fitted.operations if one.place != "rear"]
    assert [corner for corner, _ in itertools.groupby(corners)] == ["rear-left", "rear-right"]
    assert fitted.operations[0].what.id == "picture"
    assert fitted.operations[-1].what.id == "parking-brake"
