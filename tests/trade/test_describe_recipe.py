"""What a person is told of a recipe."""

from __future__ import annotations

import json

import pytest

from onceapart.trade import describe_recipe, load_recipe, recipe_ids, recipe_line, recipe_text
from onceapart.workshop import Layout


@pytest.mark.parametrize("name", recipe_ids())
def test_description_is_whole_and_fit_for_json(name):
    told = describe_recipe(load_recipe(name))
    assert json.loads(json.dumps(told)) == told
    for key in ("id", "title", "cures", "basis", "places", "operations", "release"):
        assert told[key], key
    assert told["example"], "each shipped recipe suits one of the two usual cars somewhere"
    for section in ("operations", "parts", "fasteners"):
        assert all(one["basis"] for one in told[section])
    assert all(one["basis"] for one in told["example"]["access"] + told["example"]["aftercare"])
    ids = [one["id"] for one in told["example"]["access"]]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", recipe_ids())
@pytest.mark.parametrize("width", [40, 80])
def test_text_fits_its_width_and_leaves_nothing_out(name, width):
    recipe = load_recipe(name)
    text = recipe_text(recipe, width=width)
    assert max(map(len, text.splitlines())) <= width
    flat = " ".join(text.split())
    for operation in recipe.operations:
        assert operation.do in flat
    for fastener in recipe.fasteners:
        assert fastener.what in flat
    for word in (recipe.title, recipe.cures, recipe.basis, *recipe.consumables, *recipe.hand_tools):
        assert word in flat
    assert "{" not in text
    assert "None" not in text


@pytest.mark.parametrize("name", recipe_ids())
def test_a_recipe_in_one_line_fits_the_screen(name):
    line = recipe_line(load_recipe(name))
    assert line.startswith(f"{name}: ")
    assert "\n" not in line
    assert len(line) <= 80


def test_what_comes_off_stands_in_the_order_it_comes_off():
    for name in recipe_ids():
        told = describe_recipe(load_recipe(name))
        order = [one["id"].rpartition("/")[2] for one in told["example"]["access"]]
        if "wheel" in order:
            assert order.index("on-stands") < order.index("wheel") < len(order), name


def test_description_follows_the_layout():
    recipe = load_recipe("coil-spring")
    by_strut = describe_recipe(recipe, Layout())
    by_arm = describe_recipe(recipe, Layout(front_suspension="double-wishbone"))
    assert "front-left/strut" in [one["id"] for one in by_strut["example"]["access"]]
    assert "front-left/damper" in [one["id"] for one in by_arm["example"]["access"]]


def test_recipe_that_suits_nowhere_on_a_car_has_no_example():
    diesel = describe_recipe(load_recipe("spark-plugs"), Layout(fuel="diesel"))
    assert diesel["example"] is None
    assert diesel["suits"] == "a petrol engine"
    assert "Spark plugs" in recipe_text(load_recipe("spark-plugs"), Layout(fuel="diesel"))


def test_recipe_for_rear_drive_is_shown_on_a_car_that_has_it():
    told = describe_recipe(load_recipe("propshaft-joint"))
    assert told["example"]["place"] == "rear"
    assert "exhaust" in [one["id"] for one in told["example"]["access"]]
    assert describe_recipe(load_recipe("propshaft-joint"), Layout())["example"] is None


def test_cautions_of_what_comes_off_are_told_too():
    cautions = [one["id"] for one in describe_recipe(load_recipe("exhaust-section"))["cautions"]]
    assert "axle-stands" in cautions
    tools = [one["id"] for one in describe_recipe(load_recipe("lower-arm"))["tools"]]
    assert tools == ["ball-joint-splitter"]
