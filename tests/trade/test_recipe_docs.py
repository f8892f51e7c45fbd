"""docs/recipes.md says what the library does."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from onceapart.trade import describe_recipe, load_recipe, load_recipe_file, recipe_ids
from onceapart.trade.schema import (
    UNITS_OF,
    Defined,
    Fastener,
    Measurement,
    Operation,
    Part,
    Recipe,
    System,
    When,
)

TEXT = (Path(__file__).parents[2] / "docs" / "recipes.md").read_text(encoding="utf-8")


def blocks(kind):
    return re.findall(rf"^```{kind}\n(.*?)^```", TEXT, flags=re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("name", recipe_ids())
def test_table_tells_of_each_recipe_what_the_library_says(name):
    told = describe_recipe(load_recipe(name))
    example = told["example"]
    job = example["minutes"]["typical"]
    cells = [
        f"`{name}`",
        told["title"],
        ", ".join(told["places"]),
        told["suits"] or "any car",
        example["place"],
        str(job),
        str(job + example["access_minutes"]["typical"]),
    ]
    assert f"| {' | '.join(cells)} |\n" in TEXT


def test_table_lists_no_recipe_that_is_not_there():
    listed = re.findall(r"^\| `([a-z-]+)` \| [A-Z]", TEXT, flags=re.MULTILINE)
    assert sorted(listed) == list(recipe_ids())


def test_own_recipe_and_program_shown_work(tmp_path, monkeypatch):
    own = next(block for block in blocks("yaml") if block.startswith("format: onceapart-recipe/1"))
    (tmp_path / "sump-gasket.yaml").write_text(own, encoding="utf-8")
    assert load_recipe_file(tmp_path / "sump-gasket.yaml").id == "sump-gasket"
    (job,) = (block for block in blocks("yaml") if block.startswith("jobs:"))
    (tmp_path / "garage.yaml").write_text(
        "format: onceapart-workshop/1\nname: Quay Lane\ncurrency: EUR\nhour_worth: 12.00\n"
        "cars: [{id: wren, name: The Wren, inspection: {due: 2026-04-11}}]\n"
        "tools: [{id: ball-joint-splitter, have: true}, {id: boot-clip-pliers, have: true}]\n"
        f"{job}  - {{id: sump, car: wren, need: upkeep, recipe: sump-gasket, place: underside}}\n",
        encoding="utf-8",
    )
    monkeypatch.chdir(tmp_path)
    (program,) = blocks("python")
    names: dict = {}
    exec(program, names)
    boot, sump = names["workshop"].jobs
    assert boot.parts == {"wren/front-left/cv-boot-kit": 1}
    assert sump.access == ("wren/undertray", "wren/exhaust-front")


@pytest.mark.parametrize("model", [Recipe, Operation, Part, Fastener, Measurement, When, Defined])
def test_every_key_is_explained(model):
    keys = TEXT[TEXT.index("### Keys") :]
    for name in model.model_fields:
        assert f"`{name}`" in keys, name


def test_every_system_is_listed():
    (row,) = (line for line in TEXT.splitlines() if line.startswith("| `touches` |"))
    assert all(system in row for system in get_args(System))


def test_every_quantity_is_listed_with_its_units():
    for quantity, units in UNITS_OF.items():
        assert f"{quantity} ({', '.join(units)})" in " ".join(TEXT.split())
