"""What must hold between the entries of a pack, the library and the recipes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from onceapart.errors import Problem
from onceapart.trade.library import Library
from onceapart.trade.rules.curing import check_cures
from onceapart.trade.rules.limits import MARKED, UNITS_OF, Amount, Limit
from onceapart.trade.rules.loading import Assembled
from onceapart.trade.rules.merging import Here
from onceapart.trade.rules.schema import SOUND, Fact, Item, Rule
from onceapart.workshop.tree import Loc
from onceapart.workshop.values import nearest

Found = tuple[Loc, object, str, str]


def check_pack(assembled: Assembled) -> Iterator[Problem]:
    """Everything wrong with a pack that its schema does not see."""
    pack, head = assembled.pack, Here(assembled.head, ())
    library = Library()
    cautions = {**{one.id: one for one in pack.cautions}, **library.cautions}
    for index, caution in enumerate(pack.cautions):
        if caution.id in library.cautions:
            taken = "the library has a caution with this id"
            yield head.problem(
                ("cautions", index), caution.id, taken, "give it another id, or use the library's"
            )
    for item in pack.items:
        if item.id in assembled.items.own:
            for found in _check_item(item, cautions):
                yield assembled.items.own[item.id].problem(*found)
    for rule in pack.rules:
        # A rule that came along may be upset by an item that the pack changes.
        here = assembled.rules.own.get(rule.id) or assembled.items.own.get(rule.item)
        changed = rule.id not in assembled.rules.own
        for loc, value, what, way_out in _check_rule(rule, assembled):
            if here is None:
                yield head.problem((), value, f"rule {rule.id}: {what}", way_out)
            elif changed:
                rule_out = f"change or drop the rule {rule.id}, too"
                yield here.problem((), value, f"its rule {rule.id} no longer fits: {what}", rule_out)
            else:
                yield here.problem(loc, value, what, way_out)


def _check_item(item: Item, cautions: Mapping[str, object]) -> Iterator[Found]:
    for index, name in enumerate(item.cautions):
        if name not in cautions:
            yield ("cautions", index), name, "there is no such caution", _near(name, cautions)
    for name, why in _cautions_needed(item):
        if name in cautions and name not in item.cautions:
            yield ("cautions",), "", f"{why} carries the caution {name}", f"add {name} to `cautions`"
    yield from check_cures(item)


def _cautions_needed(item: Item) -> Iterator[tuple[str, str]]:
    """Cautions that looking at an item has to carry, and why."""
    if item.stage in ("on-stands", "wheel-off"):
        yield "axle-stands", f"what is looked at {item.stage.replace('-', ' ')}"
    if item.stage == "wheel-off" and item.system == "brakes":
        yield "brake-dust", "a look at brakes with the wheel off"
    if item.stage == "engine-running":
        yield "exhaust-gas", "what is looked at with the engine running"
    if item.stage == "on-the-road":
        yield "try-drive", "what is found by driving"
    if item.system == "exhaust" and item.stage in ("on-stands", "on-the-ground"):
        yield "hot-exhaust", "a look at the exhaust"
    if item.system == "fuel":
        yield "fuel-vapour", "a look at the fuel system"
    if item.system == "restraints":
        yield "airbags", "a look at belts and airbags"


def _check_rule(rule: Rule, assembled: Assembled) -> Iterator[Found]:
    pack = assembled.pack
    if rule.source not in pack.sources:
        yield ("source",), rule.source, "there is no source with this key", _near(rule.source, pack.sources)
    if rule.when:
        yield from _check_facts(rule, pack.facts)
    item = pack.item(rule.item)
    if item is None:
        known = assembled.items.checked
        yield ("item",), rule.item, "there is no item with this id", _near(rule.item, known)
        return
    if rule.when and item.at == "car":
        for key in ("axle", "driven", "brakes", "suspension"):
            if getattr(rule.when, key) not in ((), None):
                what = f"{item.id} is an item of the car, and no axle is known for it"
                yield ("when", key), "", what, "take it out"
    limit = rule.below or rule.above
    if limit is None:
        for index, word in enumerate(rule.seen):
            if not item.words:
                yield ("seen",), word, f"{item.id} is measured, not seen", "give `below` or `above`"
                break
            if word not in item.words:
                near = nearest(word, sorted(item.words))
                words = f"use one of {', '.join(item.words)}"
                way_out = f"did you mean {near}?" if near else words
                yield ("seen", index), word, f"{item.id} has no such word", way_out
    elif item.quantity is None:
        way_out = f"give the words `seen`, of {', '.join((*item.words,))}"
        yield (_key(rule),), limit.text, f"{item.id} is seen, not measured", way_out
    else:
        yield from _check_limit(rule, limit, item, pack.facts)


def _check_limit(rule: Rule, limit: Limit, item: Item, facts: Mapping[str, Fact]) -> Iterator[Found]:
    loc: Loc = (_key(rule),)
    if limit.amount:
        yield from _check_unit(loc, limit.amount, item.quantity, item.unit)
    elif limit.of != MARKED:
        fact = facts.get(limit.of or "")
        if fact is None:
            near = nearest(limit.of or "", [MARKED, *sorted(facts)])
            way_out = (
                f"did you mean {near}?" if near else "use `marked` or a fact of the pack, or add the fact"
            )
            yield loc, limit.text, "there is no fact with this id", way_out
        elif fact.quantity != item.quantity:
            what = f"{item.id} is a {item.quantity}, and {limit.of} is not"
            yield loc, limit.text, what, "compare it with a fact of the same quantity"


def _check_facts(rule: Rule, facts: Mapping[str, Fact]) -> Iterator[Found]:
    if rule.when is None:
        return
    for name, test in rule.when.fact.items():
        loc: Loc = ("when", "fact", name)
        fact = facts.get(name)
        if fact is None:
            near = nearest(name, sorted(facts))
            way_out = f"did you mean {near}?" if near else "add it to the `facts` of the pack"
            yield loc, name, "there is no fact with this id", way_out
        elif test.one_of and not fact.words:
            yield loc, "", f"{name} is measured", "test it with `over` and `up-to`"
        elif not test.one_of and fact.words:
            yield loc, "", f"{name} is one of {', '.join(fact.words)}", "test it with these words"
        for word in test.one_of:
            if fact and fact.words and word not in fact.words:
                yield loc, word, f"{name} is one of {', '.join(fact.words)}", "use one of these"
        for key, amount in (("over", test.over), ("up-to", test.up_to)):
            if fact and amount and fact.quantity:
                yield from _check_unit((*loc, key), amount, fact.quantity, fact.unit)


def _check_unit(loc: Loc, amount: Amount, quantity: str | None, unit: str | None) -> Iterator[Found]:
    """A count is compared with a count only, and a share with a share."""
    units = (unit or "",) if quantity == "number" else UNITS_OF[quantity or "number"]
    if amount.unit not in units:
        named = " or ".join(one or "no unit" for one in units)
        yield loc, amount.text, f"a {quantity} is written here in {named}", "correct the unit"


def _key(rule: Rule) -> str:
    return "below" if rule.below else "above"


def _near(name: str, known: Mapping[str, object]) -> str:
    near = nearest(name, sorted(known))
    if near:
        return f"did you mean {near}?"
    return "add it, or use another" if name != SOUND else "take it out"
