"""The data files themselves: complete, without loose ends, and what a home mechanic would expect of them."""

from __future__ import annotations

import itertools
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import pytest

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
from onceapart.trade.schema import COMMON_PRACTICE, When
from onceapart.workshop import Layout, parse_money

LAYOUTS = [
    Layout(
        drive=drive,
        front_brakes=front_brakes,
        rear_brakes=rear_brakes,
        front_suspension=front,
        rear_suspension=rear,
        fuel=fuel,
    )
    for drive, front_brakes, rear_brakes, front, rear, fuel in itertools.product(
        ("front", "rear", "all"),
        ("disc", "drum"),
        ("disc", "drum"),
        ("strut", "double-wishbone"),
        ("beam", "strut", "double-wishbone", "live-axle", "trailing-arm"),
        ("petrol", "diesel"),
    )
]

FIRST_SET = {
    "brake-pads", "brake-discs", "brake-shoes", "brake-caliper", "brake-hose", "brake-pipe", "brake-fluid",
    "lower-arm", "ball-joint", "tie-rod-end", "drop-link", "strut", "coil-spring", "damper", "wheel-bearing",
    "cv-boot", "driveshaft", "exhaust-section", "spark-plugs", "fuel-filter", "wheels", "tyres",
}  # fmt: skip

# What a licensed mechanic would count the job to, said here once more and apart from the data.
BRAKES = {
    "brake-pads", "brake-discs", "brake-shoes", "brake-caliper", "brake-hose", "brake-pipe", "brake-fluid",
    "wheel-cylinder", "wheel-bearing",
}  # fmt: skip
STEERING = {"tie-rod-end", "ball-joint", "lower-arm", "strut", "cv-boot", "driveshaft", "wheel-bearing"}
SUSPENSION = {
    "ball-joint", "lower-arm", "drop-link", "strut", "coil-spring", "damper", "wheel-bearing", "cv-boot",
    "driveshaft",
}  # fmt: skip
FUEL = {"fuel-filter"}

HYDRAULICS_OPENED = {"brake-caliper", "brake-hose", "brake-pipe", "brake-fluid", "wheel-cylinder"}
GEOMETRY_TOUCHED = {"lower-arm", "ball-joint", "tie-rod-end", "strut"}
FRICTION_RENEWED = {"brake-pads", "brake-discs", "brake-shoes"}
IN_PAIRS = {"brake-pads", "brake-discs", "brake-shoes", "strut", "coil-spring", "damper", "tyres"}


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


@pytest.mark.parametrize(
    ("system", "recipes"),
    [("brakes", BRAKES), ("steering", STEERING), ("suspension", SUSPENSION), ("fuel", FUEL)],
)
def test_work_on_a_system_says_when_to_have_it_checked(system, recipes):
    checked = Library().cautions[f"checked-{system}"]
    assert "licensed mechanic" in checked.text
    for name in recipes:
        assert checked.id in load_recipe(name).cautions, name


@pytest.mark.parametrize(
    ("system", "recipes"), [("brakes", BRAKES), ("steering", STEERING), ("suspension", SUSPENSION)]
)
def test_work_on_a_system_allows_no_makeshift(system, recipes):
    for name in recipes:
        assert f"no-makeshift-{system}" in load_recipe(name).cautions, name


def test_a_raised_car_stands_on_axle_stands(recipe):
    """The caution comes with the access, whatever the recipe itself lists."""
    for place, layout, _, access in fitted_everywhere(recipe.id):
        cautions = {name for one in access for name in one.work.cautions}
        if any(one.work.id in ("wheel", "undertray", "on-stands") for one in access):
            assert "axle-stands" in cautions, (place, layout)


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


def test_layouts_of_these_tests_are_all_there_are():
    fields = Layout.model_fields
    count = 1
    for field in fields.values():
        count *= len(field.annotation.__args__)  # type: ignore[union-attr]
    assert len(LAYOUTS) == count


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
