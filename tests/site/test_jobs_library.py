"""Finding a recipe in plain words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.site.pages.jobs.library import search_recipes
from onceapart.trade import load_recipe, recipe_ids
from onceapart.workshop import Layout


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("torn boot on the driveshaft", "cv-boot"),
        ("shock absorber", "damper"),
        ("rotors", "brake-discs"),
        ("handbrake cable", "parking-brake-cable"),
        ("track rod end tie rod", "tie-rod-end"),
        ("windshield", "windscreen"),
        ("muffler", "exhaust-section"),
        ("headlight aim", "headlamp-aim"),
        ("bleed brakes", "brake-fluid"),
        ("Scheibe", None),
    ],
)
def test_plain_words_lead_to_the_recipe(words, wanted):
    found = [one.recipe.id for one in search_recipes(words, Layout())]
    if wanted is None:
        assert found == []
    else:
        assert wanted in found[:4]


@pytest.mark.parametrize("name", recipe_ids())
def test_every_recipe_is_found_by_its_title(name):
    found = [one.recipe.id for one in search_recipes(load_recipe(name).title, Layout())]
    assert name in found[:3]


@given(st.text(max_size=60))
def test_any_words_may_be_searched_for(text):
    found = search_recipes(text, Layout())
    assert len({one.recipe.id for one in found}) == len(found)
    for one in found:
        assert bool(one.places) != bool(one.only_for)
