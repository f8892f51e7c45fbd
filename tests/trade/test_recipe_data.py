"""The data files themselves: complete, without loose ends, and what a home mechanic would expect of them."""

from __future__ import annotations

import itertools
from functools import cache
from importlib.resources import files
from typing import NamedTuple, get_args

import pytest
from trade_workshop import ALL_LAYOUTS, LAYOUTS, triples_of

from onceapart.trade import (
    FittedAccess,
    FittedRecipe,
    Library,
    Recipe,
    all_access,
    fit_recipe,
    load_recipe,
    recipe_ids,
)
from onceapart.trade.checking import check_access, check_recipe
from onceapart.trade.fitting import suited_places
from onceapart.trade.placing import places_of, suits
from onceapart.trade.schema import COMMON_PRACTICE, Stage, System, When
from onceapart.workshop import Layout, parse_money

FIRST_SET = {
    "brake-pads", "brake-discs", "brake-shoes", "brake-caliper", "brake-hose", "brake-pipe", "brake-fluid",
    "lower-arm", "ball-joint", "tie-rod-end", "drop-link", "strut", "coil-spring", "damper", "wheel-bearing",
    "cv-boot", "driveshaft", "exhaust-section", "spark-plugs", "fuel-filter", "wheels", "tyres",
}  # fmt: skip

# What a licensed mechanic would count the job to, said here once more and apart from the data.
BRAKES = {
    "brake-pads", "brake-discs", "brake-shoes", "brake-caliper", "brake-hose", "brake-pipe", "brake-fluid",
    "wheel-cylinder", "wheel-bearing", "parking-brake-cable", "parking-brake-adjust", "brake-master-cylinder",
    "wheel-speed-sensor", "axle-bushes", "brake-drums",
}  # fmt: skip
STEERING = {
    "tie-rod-end", "ball-joint", "lower-arm", "strut", "coil-spring", "cv-boot", "cv-joint", "driveshaft",
    "wheel-bearing", "arm-bushes", "rack-boot", "steering-rack", "power-steering-hose", "toe-setting",
}  # fmt: skip
SUSPENSION = {
    "ball-joint", "lower-arm", "drop-link", "strut", "coil-spring", "damper", "wheel-bearing", "cv-boot",
    "cv-joint", "driveshaft", "arm-bushes", "axle-bushes", "anti-roll-bar-bushes",
}  # fmt: skip
FUEL = {"fuel-filter", "fuel-pipe"}
AIRBAGS = {"seat-belt"}
STRUCTURE = {"corrosion-patch", "windscreen"}
COOLING = {"coolant-hose", "thermostat", "water-pump", "radiator"}
SYSTEMS = {
    "brakes": BRAKES,
    "steering": STEERING,
    "suspension": SUSPENSION,
    "fuel": FUEL,
    "airbags": AIRBAGS,
    "structure": STRUCTURE,
    "cooling": COOLING,
}

HYDRAULICS_OPENED = {
    "brake-caliper", "brake-hose", "brake-pipe", "brake-fluid", "wheel-cylinder", "brake-master-cylinder",
}  # fmt: skip
GEOMETRY_TOUCHED = {
    "lower-arm", "ball-joint", "tie-rod-end", "strut", "arm-bushes", "rack-boot", "steering-rack",
    "toe-setting",
}  # fmt: skip
FRICTION_RENEWED = {"brake-pads", "brake-discs", "brake-shoes", "brake-drums"}
IN_PAIRS = {
    "brake-pads", "brake-discs", "brake-shoes", "strut", "coil-spring", "damper", "tyres",
    "anti-roll-bar-bushes", "axle-bushes", "brake-drums",
}  # fmt: skip
WITHOUT_FASTENERS = {"wiper-blades"}
FASTENER_IS_THE_PART = {"spark-plugs", "oxygen-sensor", "oil-change"}
WITHOUT_PARTS = {"parking-brake-adjust", "headlamp-aim", "toe-setting"}


@pytest.fixture(params=recipe_ids())
def recipe(request: pytest.FixtureRequest) -> Recipe:
    return load_recipe(request.param)


class Fitted(NamedTuple):
    place: str
    layout: Layout
    recipe: FittedRecipe
    access: tuple[FittedAccess, ...]


@cache
def fitted_everywhere(name: str) -> tuple[Fitted, ...]:
    """A recipe at each place with each layout that suits it, and all that comes off for it."""
    library = Library()
    recipe = load_recipe(name)
    found = []
    for layout in LAYOUTS:
        for place in suited_places(recipe, layout):
            fitted = fit_recipe(recipe, "wren", place, layout, library)
            found.append(Fitted(place, layout, fitted, all_access(fitted, library)))
    return tuple(found)


def test_the_first_set_is_there():
    assert set(recipe_ids()) >= FIRST_SET


def test_a_recipe_has_the_id_of_its_file():
    assert {load_recipe(name).id for name in recipe_ids()} == set(recipe_ids())


def test_recipe_refers_to_what_the_library_has(recipe):
    assert list(check_recipe(recipe)) == []


def test_shared_access_refers_to_what_the_library_has():
    library = Library()
    assert list(check_access(tuple(library.access.values()), library, ())) == []


def test_an_id_is_written_once_in_each_shared_file():
    for section in ("access", "aftercare", "cautions", "tools", "release"):
        text = (files("onceapart.trade") / "shared" / f"{section}.yaml").read_text(encoding="utf-8")
        written = [line for line in text.splitlines() if line.startswith(("  - id: ", "  - {id: "))]
        assert len(written) == len(getattr(Library(), section)), section


def test_every_figure_has_its_basis(recipe):
    assert recipe.basis == COMMON_PRACTICE
    library = Library()
    assert {work.basis for work in library.access.values()} == {COMMON_PRACTICE}
    assert {work.basis for work in library.aftercare.values()} == {COMMON_PRACTICE}


def test_prices_of_aftercare_are_money():
    prices = {name: parse_money(work.price) for name, work in Library().aftercare.items()}
    assert prices["wheel-alignment"] > 0
    assert prices["brake-bleeding"] == 0


def test_there_are_recipes_for_every_part_of_an_old_car():
    assert len(recipe_ids()) >= 45
    touched = {system for name in recipe_ids() for system in load_recipe(name).touches}
    assert touched == set(get_args(System))


@pytest.mark.parametrize("system", SYSTEMS)
def test_recipes_touch_what_a_mechanic_would_say_they_touch(system):
    assert {name for name in recipe_ids() if system in load_recipe(name).touches} == SYSTEMS[system]


@pytest.mark.parametrize("system", ["brakes", "steering", "suspension", "fuel", "airbags", "structure"])
def test_work_on_a_system_says_when_to_have_it_checked(system):
    checked = Library().cautions[f"checked-{system}"]
    assert "licensed" in checked.text
    for name in SYSTEMS[system]:
        assert checked.id in load_recipe(name).cautions, name


@pytest.mark.parametrize("system", ["brakes", "steering", "suspension", "structure"])
def test_work_on_a_system_allows_no_makeshift(system):
    for name in SYSTEMS[system]:
        assert f"no-makeshift-{system}" in load_recipe(name).cautions, name


def test_a_raised_car_stands_on_axle_stands(recipe):
    """The caution comes with the access, whatever the recipe itself lists."""
    for place, layout, _, access in fitted_everywhere(recipe.id):
        cautions = {name for one in access for name in one.work.cautions}
        if any(one.work.id in ("wheel", "undertray", "on-stands") for one in access):
            assert "axle-stands" in cautions, (place, layout)


def test_structure_is_welded_by_a_licensed_welder_and_seen_by_an_inspector():
    recipe = load_recipe("corrosion-patch")
    assert {ref.id for ref in recipe.aftercare} == {"structural-welding"}
    welding = Library().aftercare["structural-welding"]
    assert "licensed welder" in welding.do
    assert "inspector" in welding.do
    assert parse_money(welding.price) > 0
    assert {"structure-seen", "fuel-dry"} <= {ref.id for ref in recipe.release}
    assert "welding-fire" in recipe.cautions


def test_a_timing_belt_is_turned_by_hand_before_the_key():
    recipe = load_recipe("timing-belt")
    work = Library().access["timing-belt"]
    assert "timing" in recipe.cautions
    assert "timing" in work.cautions
    assert "turns-by-hand" in {ref.id for ref in recipe.release} & {ref.id for ref in work.release}
    assert [one.id for one in recipe.operations][-1] == "turn"
    assert "battery" in {ref.id for ref in work.under}


def test_a_cooling_system_is_opened_cold_and_filled_again():
    for name in COOLING:
        assert {"hot-coolant", "fan-starts"} <= set(load_recipe(name).cautions), name
        for _, _, _, access in fitted_everywhere(name):
            drained = next(one for one in access if one.work.id == "coolant")
            assert {"coolant-level", "coolant-dry"} <= {one.what.id for one in drained.release}


def test_fuel_is_worked_on_with_the_battery_off():
    for name in FUEL:
        for _, _, _, access in fitted_everywhere(name):
            assert "battery" in {one.work.id for one in access}, name


def test_an_airbag_is_worked_on_with_the_battery_off(recipe):
    for _, _, fitted, access in fitted_everywhere(recipe.id):
        near = "airbags" in recipe.touches or any(one.work.id == "carpet" for one in access)
        if near:
            assert "battery" in {one.work.id for one in access}
            checks = {one.what.id for one in fitted.release}
            assert "airbag-lamp" in checks | {one.what.id for at in access for one in at.release}


@pytest.mark.parametrize("name", ["strut", "coil-spring"])
def test_work_with_a_compressor_warns_of_compressed_springs(name):
    recipe = load_recipe(name)
    assert "spring-compressor" in {ref.id for ref in recipe.tools}
    assert {"spring-compressor", "eye-protection"} <= set(recipe.cautions)


def test_hydraulics_opened_are_bled_and_looked_at():
    for name in recipe_ids():
        opened = name in HYDRAULICS_OPENED
        recipe = load_recipe(name)
        assert ("brake-bleeding" in {ref.id for ref in recipe.aftercare}) == opened, name
        assert ("brakes-dry" in {ref.id for ref in recipe.release}) == opened, name


def test_brake_work_ends_with_a_hard_pedal():
    for name in BRAKES:
        assert "pedal-hard" in {ref.id for ref in load_recipe(name).release}, name


def test_geometry_touched_is_aligned():
    for name in GEOMETRY_TOUCHED:
        assert "wheel-alignment" in {ref.id for ref in load_recipe(name).aftercare}, name


def test_new_linings_are_bedded_in():
    for name in recipe_ids():
        aftercare = {ref.id for ref in load_recipe(name).aftercare}
        assert ("bed-in" in aftercare) == (name in FRICTION_RENEWED), name


def test_what_goes_in_pairs_is_never_done_at_one_corner():
    for name in IN_PAIRS:
        recipe = load_recipe(name)
        assert "in-pairs" in recipe.cautions, name
        assert "corner" not in recipe.places, name
        assert not any("-" in place for place in recipe.places), name


def test_wheels_that_were_off_are_retightened(recipe):
    for _, _, _, access in fitted_everywhere(recipe.id):
        if any(one.work.id == "wheel" for one in access):
            assert any("wren/retighten-wheels" in one.aftercare for one in access)
            assert any(check.what.id == "wheel-nuts" for one in access for check in one.release)


def test_operations_stand_in_the_order_they_are_done(recipe):
    """What is done on stands stands before what is done with the parts off, and so on to the road."""
    stages = get_args(Stage)
    at = [stages.index(one.stage) for one in recipe.operations]
    assert at == sorted(at)


def test_measurements_are_taken_in_an_operation_that_is_there(recipe):
    operations = {one.id for one in recipe.operations}
    assert {one.during for one in recipe.measurements} <= operations | {None}


def test_every_job_meets_a_fastener_and_names_its_parts(recipe):
    for place, layout, fitted, access in fitted_everywhere(recipe.id):
        met = len(fitted.fasteners) + sum(len(one.work.fasteners) for one in access)
        assert (met == 0) == (recipe.id in WITHOUT_FASTENERS), (place, layout)
        assert (not fitted.parts) == (recipe.id in WITHOUT_PARTS), (place, layout)


def test_what_is_used_once_is_said_to_be(recipe):
    """A fastener that is not used again brings the caution that says so."""
    if any(one.renew for one in recipe.fasteners) and recipe.id not in FASTENER_IS_THE_PART:
        assert "once-only-fasteners" in recipe.cautions
    for _, _, _, access in fitted_everywhere(recipe.id):
        for one in access:
            if any(fastener.renew for fastener in one.work.fasteners):
                assert "once-only-fasteners" in one.work.cautions, one.id


def test_whatever_was_done_something_is_checked_before_the_car_moves(recipe):
    for place, layout, fitted, access in fitted_everywhere(recipe.id):
        checks = {one.what.id for one in fitted.release}
        checks |= {check.what.id for one in access for check in one.release}
        assert fitted.release
        assert "nothing-left" in checks, (place, layout)


def test_access_that_is_opened_suits_the_car(recipe):
    """No disc comes off a drum brake, and no driveshaft out of a wheel that is not driven."""
    for place, layout, _, access in fitted_everywhere(recipe.id):
        for one in access:
            assert suits(one.work.suits, layout, one.place), (place, layout, one.id)


def test_some_car_suits_each_place_of_a_recipe(recipe):
    assert {one.place for one in fitted_everywhere(recipe.id)} == set(places_of(recipe.places))


def test_a_case_takes_time_and_gets_longer(recipe):
    for place, layout, fitted, _ in fitted_everywhere(recipe.id):
        minutes = fitted.minutes
        assert 0 < minutes.good <= minutes.typical < minutes.bad, (place, layout)
        assert minutes.typical <= 300, "a job for an evening or a day, not a week"


def test_every_operation_part_and_tool_is_wanted_somewhere(recipe):
    wanted: set[str] = set()
    for _, _, fitted, _ in fitted_everywhere(recipe.id):
        wanted |= {one.what.id for one in fitted.operations} | set(fitted.tools)
        wanted |= {part.rpartition("/")[2] for part in fitted.parts}
    assert wanted == {
        *(one.id for one in recipe.operations),
        *(ref.id for ref in recipe.tools),
        *recipe.parts,
    }


def test_no_torque_is_given():
    """Torques are the car manual's."""
    for folder in ("recipes", "shared"):
        for file in (files("onceapart.trade") / folder).iterdir():
            if file.name.endswith(".yaml"):
                text = file.read_text(encoding="utf-8").lower()
                assert " nm" not in text, file.name
                assert "lb-ft" not in text, file.name


def test_layouts_of_these_tests_bring_any_three_things_together():
    count = 1
    for field in Layout.model_fields.values():
        count *= len(get_args(field.annotation))
    assert len(set(map(str, ALL_LAYOUTS))) == count
    found = set().union(*map(triples_of, LAYOUTS))
    assert all(triples_of(layout) <= found for layout in ALL_LAYOUTS)
    assert len(LAYOUTS) < count / 4


def test_conditions_can_name_every_layout_there_is():
    """A kind of brake or suspension that layouts gain has to be known to conditions, too."""
    fields = Layout.model_fields
    kinds = {kind for name in fields for kind in fields[name].annotation.__args__}  # type: ignore[union-attr]
    kinds -= {"front", "rear", "all"}
    known = {
        kind
        for name, kind in itertools.product(("brakes", "suspension", "fuel"), sorted(kinds))
        if _is_valid(name, kind)
    }
    assert known == kinds


def _is_valid(name: str, kind: str) -> bool:
    try:
        When.model_validate({name: kind})
    except ValueError:
        return False
    return True
