"""The page about the format and the code say the same."""

from __future__ import annotations

import re
from pathlib import Path

from pydantic import BaseModel

from onceapart.workshop import (
    FORMAT,
    PLACES,
    Access,
    Aftercare,
    Car,
    Finding,
    Job,
    Layout,
    Need,
    Offer,
    Seller,
    Stint,
    Tool,
    Workshop,
    parse_workshop,
    write_workshop,
)
from onceapart.workshop.tree import MAX_BYTES, MAX_VALUES

PAGE = (Path(__file__).parents[2] / "docs" / "workshop-file.md").read_text(encoding="utf-8")
EXAMPLE = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)[0]
MODELS: dict[str, type[BaseModel]] = {
    "The workshop": Workshop,
    "`cars`": Car,
    "`findings`": Finding,
    "`tools`": Tool,
    "`access`": Access,
    "`aftercare`": Aftercare,
    "`jobs`": Job,
    "`sellers`": Seller,
    "`offers`": Offer,
    "`stints`": Stint,
}


def keys_of(model: type[BaseModel]) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items()}


def test_the_example_is_read_and_shows_every_key() -> None:
    workshop = parse_workshop(EXAMPLE)
    assert parse_workshop(write_workshop(workshop)) == workshop
    for model in [*MODELS.values(), Layout]:
        for key in keys_of(model):
            assert re.search(rf"\b{key}:", EXAMPLE), key


def test_every_key_stands_in_its_table_and_bold_ones_must_be_there() -> None:
    for heading, model in MODELS.items():
        section = PAGE.split(f"### {heading}\n", 1)[1].split("\n#", 1)[0]
        first_cells = " ".join(re.findall(r"^\| (.*?) \|", section, re.MULTILINE))
        told = first_cells if heading != "`aftercare`" else section
        bold = set(re.findall(r"\*\*([a-z_]+)\*\*", told)) - {"format"}
        assert bold == {key for key, field in model.model_fields.items() if field.is_required()}, heading
        plain = set(re.findall(r"[a-z_]+", first_cells))
        assert keys_of(model) <= plain | bold, heading


def test_choices_and_limits_are_those_of_the_code() -> None:
    for word in [FORMAT, *PLACES, *Need, *keys_of(Layout), f"{MAX_BYTES:,} bytes", f"{MAX_VALUES:,} values"]:
        assert word in PAGE, word
    rust = re.findall(r"`light`, `medium` or `heavy`", PAGE)
    assert rust
    assert set(Car.model_fields["rust"].annotation.__args__) == {"light", "medium", "heavy"}  # type: ignore[union-attr]
    for name, field in Layout.model_fields.items():
        (choices,) = re.findall(rf"`{field.alias or name}`\s\(([^)]*)\)", PAGE)
        said = choices.split(", ")
        assert said[0] == field.default
        assert set(said) == set(field.annotation.__args__)  # type: ignore[union-attr]
