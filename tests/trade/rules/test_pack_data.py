"""Every pack that is shipped: whole, consistent, and honest about where each row comes from."""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import pairwise

import pytest

from onceapart.sums.quantity import parse_quantity
from onceapart.sums.units import KINDS
from onceapart.trade import load_recipe
from onceapart.trade.library import Library
from onceapart.trade.placing import places_of
from onceapart.trade.rules import (
    CLASSES,
    MARKED,
    SOUND,
    Amount,
    load_pack,
    pack_ids,
    places_of_cure,
    places_of_item,
)
from onceapart.trade.rules.limits import UNITS_OF
from onceapart.trade.rules.loading import problems_of_shipped

PACKS = {name: load_pack(name) for name in pack_ids()}
every_pack = pytest.mark.parametrize("pack", PACKS.values(), ids=PACKS)
LAW = {"us-570", "eu-2014-45"}
SYMBOLS = {"deg": "°", "degC": "°C", "degF": "°F", "m/s2": "m/s²", "g": "gₙ"}
"""Units that the sums write otherwise."""


def in_unit(amount: Amount, quantity: str, unit: str) -> float:
    """The amount in an item's unit, by the parser of the sums."""
    wanted = SYMBOLS.get(unit, unit)
    return parse_quantity(amount.text, wanted, quantity).value


def test_the_packs_are_those_expected():
    states = ("maryland", "missouri", "north-carolina", "ohio", "south-dakota", "utah", "washington")
    assert set(PACKS) == {"items", "home-check", "home-yearly", *LAW, *(f"us-570-{one}" for one in states)}
    assert not PACKS["items"].rules
    assert all(pack.lineage[-1] == "items" for pack in PACKS.values())
    assert len(PACKS["items"].items) >= 80
    assert 25 <= len(PACKS["home-check"].ruled_items) <= 40


@every_pack
def test_nothing_is_wrong_with_it(pack):
    assert list(problems_of_shipped(pack.id)) == []


@every_pack
def test_every_row_has_clause_source_and_status(pack):
    for rule in pack.rules:
        assert rule.clause.strip(), rule.id
        assert rule.source in pack.sources, rule.id
        assert rule.status in ("verified", "from memory", "common practice"), rule.id
        assert rule.class_ in CLASSES


@every_pack
def test_law_has_no_row_of_mere_practice_and_practice_is_not_called_verified(pack):
    for rule in pack.rules:
        if pack.lineage[-2:-1] and pack.lineage[-2] in LAW:
            assert rule.status != "common practice", rule.id
        if rule.source == "practice":
            assert rule.status == "common practice", rule.id


@every_pack
def test_every_limit_is_read_by_the_sums_and_a_reading_can_lie_on_both_sides(pack):
    for rule in pack.rules:
        limit = rule.below or rule.above
        if limit is None:
            continue
        item = pack.item(rule.item)
        assert item.quantity in KINDS
        least, most = item.plausible
        if limit.amount:
            value = in_unit(limit.amount, item.quantity, item.unit)
            assert least < value < most, rule.id
            own = item.unit if limit.amount.unit == item.unit else None
            if own is not None:
                assert value == pytest.approx(float(limit.amount.number))
        elif limit.of != MARKED:
            assert pack.facts[limit.of].quantity == item.quantity
            assert 0 < limit.factor < 1


@every_pack
def test_bounds_of_facts_are_read_by_the_sums_and_leave_no_gap_within_an_item(pack):
    for item in pack.items:
        bounds = []
        for rule in pack.rules_of(item.id):
            for name, test in (rule.when.fact if rule.when else {}).items():
                fact = pack.facts[name]
                if test.one_of:
                    assert set(test.one_of) <= set(fact.words)
                else:
                    ends = [
                        in_unit(end, fact.quantity, fact.unit) if end else None
                        for end in (test.over, test.up_to)
                    ]
                    bounds.append(ends)
        bounds.sort(key=lambda ends: ends[0] or 0)
        for (_, upper), (lower, _) in pairwise(bounds):
            assert upper == lower, item.id


@pytest.mark.parametrize("quantity", UNITS_OF)
def test_every_unit_is_known_to_the_sums(quantity):
    for unit in UNITS_OF[quantity]:
        assert SYMBOLS.get(unit, unit) in KINDS[quantity] or (quantity, unit) == ("mass", "g")


@every_pack
def test_every_item_of_a_row_and_every_word_is_there(pack):
    for rule in pack.rules:
        item = pack.item(rule.item)
        assert item is not None, rule.id
        assert set(rule.seen) <= set(item.words) - {SOUND}, rule.id
        assert item.is_measured != bool(rule.seen), rule.id


@every_pack
def test_no_two_rows_say_the_same(pack):
    said = [
        (rule.item, rule.class_, str(rule.below), str(rule.above), word, str(rule.when), rule.clause)
        for rule in pack.rules
        for word in rule.seen or ("",)
    ]
    assert len(said) == len(set(said))


@every_pack
def test_limits_get_no_milder_as_the_class_gets_worse(pack):
    """What is dangerous is major, too, where both have a row for the same cars."""
    for item in pack.items:
        for milder in pack.rules_of(item.id):
            for worse in pack.rules_of(item.id):
                if CLASSES.index(milder.class_) >= CLASSES.index(worse.class_) or milder.when != worse.when:
                    continue
                for key, sign in (("below", 1), ("above", -1)):
                    one, other = getattr(milder, key), getattr(worse, key)
                    if one and other and one.amount and other.amount:
                        unit = (item.quantity, item.unit)
                        assert sign * in_unit(one.amount, *unit) > sign * in_unit(other.amount, *unit)
                    elif one and other and one.of == other.of:
                        assert sign * one.factor > sign * other.factor


def test_every_item_is_judged_by_some_pack():
    judged = {rule.item for pack in PACKS.values() for rule in pack.rules}
    worked_out_of = {"brake-force", "handbrake-force"}
    """Efficiency and imbalance are worked out of these."""
    assert {item.id for item in PACKS["items"].items} - judged == worked_out_of


def test_every_word_is_judged_by_some_pack_or_says_no_more_than_sound():
    harmless = {("spring", "spacer-pair"), ("damper", "misted")}
    judged = {(rule.item, word) for pack in PACKS.values() for rule in pack.rules for word in rule.seen}
    words = {(item.id, word) for item in PACKS["items"].items for word in item.words}
    assert words - judged <= harmless


@pytest.mark.parametrize("item", PACKS["items"].items, ids=lambda item: item.id)
def test_every_cure_is_a_recipe_for_each_place_the_item_has(item):
    for cure in item.cures:
        recipe = load_recipe(cure.recipe)
        done_at = {place for found in places_of_item(item) for place in places_of_cure(cure, found)}
        assert done_at & set(places_of(recipe.places)), cure
        assert set(cure.for_) <= set(item.words)


@pytest.mark.parametrize("item", PACKS["items"].items, ids=lambda item: item.id)
def test_looking_carries_the_cautions_of_where_one_looks(item):
    known = {*Library().cautions, *(one.id for one in PACKS["items"].cautions)}
    assert set(item.cautions) <= known
    if item.stage in ("on-stands", "wheel-off"):
        assert "axle-stands" in item.cautions
    if item.stage == "wheel-off" and item.system == "brakes":
        assert "brake-dust" in item.cautions
    if item.stage == "engine-running":
        assert "exhaust-gas" in item.cautions
    if item.stage == "on-the-road":
        assert "try-drive" in item.cautions
    if item.system == "restraints":
        assert "airbags" in item.cautions
    if "helper" in item.check:
        assert "helper-in-the-car" in item.cautions or item.stage not in ("on-stands", "wheel-off")


def test_files_are_short_enough_to_read():
    folder = files("onceapart.trade") / "packs"
    for one in folder.iterdir():
        for file in one.iterdir() if one.is_dir() else [one]:
            text = file.read_text(encoding="utf-8")
            assert text.count("\n") <= 400, file.name
            assert max(map(len, text.splitlines())) <= 130, file.name
            assert not re.search(r"\t| $", text, re.MULTILINE), file.name
