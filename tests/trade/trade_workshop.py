"""A small workshop to apply recipes to, and any car and jobs for it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from functools import cache
from typing import Any, get_args

from hypothesis import strategies as st

from onceapart.trade import Library, load_recipe, recipe_ids
from onceapart.trade.fitting import suited_places
from onceapart.workshop import Car, Job, Layout, Tool, Workshop


def make_workshop(*jobs: dict[str, Any], layout: Layout | None = None, **sections: Any) -> Workshop:
    """A workshop with one car, `wren`, every special tool in hand, and jobs numbered in order."""
    given = {
        "name": "Quay Lane",
        "currency": "EUR",
        "hour_worth": 1200,
        "cars": (Car(id="wren", name="The Wren", layout=layout),),
        "tools": tuple(Tool(id=tool, have=True) for tool in Library().tools),
        "jobs": tuple(
            Job.model_validate({"id": f"job-{number}", "car": "wren", "need": "upkeep", **job})
            for number, job in enumerate(jobs)
        ),
    }
    return Workshop.model_validate({**given, **sections})


def _all_layouts() -> Iterator[Layout]:
    """Every way in which a car can be built."""
    names = list(Layout.model_fields)
    choices = [get_args(Layout.model_fields[name].annotation) for name in names]
    for values in itertools.product(*choices):
        yield Layout(**dict(zip(names, values, strict=True)))


def triples_of(layout: Layout) -> set[tuple[tuple[str, str], ...]]:
    """Every three things together that a layout says."""
    return set(itertools.combinations(layout.model_dump().items(), 3))


def _covering(candidates: list[Layout]) -> tuple[Layout, ...]:
    """Few of many layouts, the default one first, in which any three things come together that do in all."""
    chosen = [Layout()]
    missing = set().union(*map(triples_of, candidates)) - triples_of(chosen[0])
    while missing:
        chosen.append(max(candidates, key=lambda one: len(triples_of(one) & missing)))
        missing -= triples_of(chosen[-1])
    return tuple(chosen)


ALL_LAYOUTS = tuple(_all_layouts())
LAYOUTS = _covering(list(ALL_LAYOUTS))
"""Enough for whatever depends on up to three things of a layout at once."""

layouts = st.builds(
    Layout,
    drive=st.sampled_from(["front", "rear", "all"]),
    front_brakes=st.sampled_from(["disc", "drum"]),
    rear_brakes=st.sampled_from(["disc", "drum"]),
    front_suspension=st.sampled_from(["strut", "double-wishbone"]),
    rear_suspension=st.sampled_from(["beam", "strut", "double-wishbone", "live-axle", "trailing-arm"]),
    fuel=st.sampled_from(["petrol", "diesel"]),
)


@cache
def able_on(layout: Layout) -> list[tuple[str, str]]:
    """Every recipe with every place of it that suits a car so built."""
    return [(name, place) for name in recipe_ids() for place in suited_places(load_recipe(name), layout)]


@st.composite
def cars_and_jobs(draw):
    """A layout, and jobs by recipe at places that suit it."""
    layout = draw(layouts)
    able = able_on(layout)
    chosen = draw(st.lists(st.sampled_from(able), min_size=1, max_size=6))
    return layout, [{"recipe": name, "place": place} for name, place in chosen]
