"""docs/rules.md says what the packs do."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from onceapart.trade.rules import STAGES, Cure, Fact, Item, Registered, Rule, RuleWhen, Source, pack_ids
from onceapart.trade.rules.limits import UNITS_OF
from onceapart.trade.rules.schema import FactTest, How, ItemSystem, PackHead, Status

TEXT = (Path(__file__).parents[3] / "docs" / "rules.md").read_text(encoding="utf-8")


def block(kind: str) -> str:
    (found,) = re.findall(rf"^```{kind}\n(.*?)^```", TEXT, flags=re.MULTILINE | re.DOTALL)
    return found


def test_the_pack_and_the_program_shown_work(tmp_path, monkeypatch):
    (tmp_path / "yard.yaml").write_text(block("yaml"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    names: dict = {}
    exec(block("python"), names)
    pack = names["pack"]
    assert [rule.class_ for rule in names["rows"]] == ["dangerous"]
    ids = {rule.id: rule for rule in pack.rules}
    assert "2-3-major" not in ids
    assert ids["1-1-14-a-marked-disc"].class_ == "minor"
    assert "studs" not in pack.unjudged("tyre")


@pytest.mark.parametrize("model", [PackHead, Source, Fact, Item, Cure, Rule, RuleWhen, Registered, FactTest])
def test_every_key_is_explained(model):
    keys = TEXT[TEXT.index("### Keys") :]
    for name, field in model.model_fields.items():
        assert f"`{field.alias or name}`" in keys, name


def test_closed_lists_are_given_whole():
    for word in (*get_args(How), *STAGES, *get_args(Status)):
        assert f"`{word}`" in TEXT, word
    assert ", ".join(get_args(ItemSystem)) in TEXT
    for quantity, units in UNITS_OF.items():
        assert f"{quantity} ({', '.join(one or 'none' for one in units)})" in " ".join(TEXT.split())


def test_every_pack_is_named():
    for name in pack_ids():
        assert f"`{name}`" in TEXT or f"\n{name} " in TEXT, name
