"""What is known of a car that rules ask for, and what is not: then every possibility is gone through."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from onceapart.errors import Problem, SumError
from onceapart.inspection.amounts import amount_in, in_words, is_plausible, read_typed, symbol
from onceapart.inspection.reading import nearest_names
from onceapart.sums.units import convert
from onceapart.trade.rules import MARKED, Fact, FactTest, Item, Limit, Pack, Registered
from onceapart.workshop import Car, axle_of
from onceapart.workshop.values import nearest

REGISTERED = "registered"
_STEP = 1e-6
"""How far beside a bound a possibility is tried, as a share of it."""

Value = dt.date | float | str
Given = Mapping[str, Value]
"""What is taken to be so: ``registered``, facts by id, and ``marked``."""


@dataclass(frozen=True)
class Unknown:
    """Something a rule asks for that the workshop does not say."""

    name: str
    title: str
    ask: str
    """How to find it out."""
    write: str
    """Where and how to write it down."""


@dataclass(frozen=True)
class KnownCar:
    """A car with its facts and marks read in the units of a pack."""

    car: Car
    pack: Pack

    @cached_property
    def facts(self) -> dict[str, float | str]:
        """Facts that can be used, by id. [unit of the fact]"""
        return {name: value for name, value in self._read_facts().items() if not isinstance(value, Problem)}

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the car's facts and marks, as far as the pack knows of them."""
        return tuple(
            one
            for one in (*self._read_facts().values(), *self._read_marks().values())
            if isinstance(one, Problem)
        )

    @cached_property
    def slips(self) -> tuple[Problem, ...]:
        """Facts that the pack does not ask for, with a name close to one that it does."""
        found = []
        for name, text in self.car.facts.items():
            near = nearest(name, list(self.pack.facts)) if name not in self.pack.facts else ""
            if near:
                rule = f"the rule pack {self.pack.id} asks for no such fact"
                found.append(Problem(None, f"facts.{name}", text, rule, f"did you mean {near}?"))
        return tuple(found)

    def mark(self, item: Item, spot: str) -> float | None:
        """The car's own figure for an item at a place: of the corner, else the axle, else the car."""
        marks = self._read_marks()
        for name in (f"{spot}/{item.id}", f"{axle_of(spot)}/{item.id}", item.id):
            found = marks.get(name)
            if isinstance(found, float):
                return found
        return None

    def given(self, item: Item, spot: str) -> dict[str, Value]:
        """Everything known that a rule on an item at a place may ask for."""
        known: dict[str, Value] = dict(self.facts)
        if self.car.registered is not None:
            known[REGISTERED] = self.car.registered
        mark = self.mark(item, spot)
        if mark is not None:
            known[MARKED] = mark
        return known

    def unknown(self, name: str, item: Item, spot: str) -> Unknown:
        """What is to be looked up, in words."""
        car = self.car.id
        if name == REGISTERED:
            return Unknown(
                name,
                "date of first registration",
                "It stands in the registration papers.",
                f"`registered: 2004-05-17` at the car {car}",
            )
        if name == MARKED:
            kind = "stamped or cast on the part, or given by its maker"
            example = in_words(sum(item.plausible or (0, 0)) / 2, item, 2)
            at = axle_of(spot) or spot
            key = item.id if item.at == "car" else f"{at}/{item.id}"
            return Unknown(
                name,
                f"the limit {kind}",
                f"Read what is {kind}.",
                f"`marks: {{{key}: {example}}}` at the car {car}",
            )
        fact = self.pack.facts[name]
        if fact.words:
            example = next(iter(fact.words))
        else:
            example = in_words(sum(fact.plausible or (0, 0)) / 2, fact, 2)
        return Unknown(name, _lower(fact.title), fact.ask, f"`facts: {{{name}: {example}}}` at the car {car}")

    def _read_facts(self) -> dict[str, float | str | Problem]:
        found: dict[str, float | str | Problem] = {}
        for name, text in self.car.facts.items():
            where, fact = f"facts.{name}", self.pack.facts.get(name)
            if fact is None:
                continue  # another pack may ask for it
            if fact.words:
                found[name] = text
                if text not in fact.words:
                    rule = f"{name} is one of {', '.join(fact.words)}"
                    found[name] = Problem(None, where, text, rule, "use one of these")
            else:
                found[name] = _measured(text, fact, name, where)
        return found

    def _read_marks(self) -> dict[str, float | Problem]:
        found: dict[str, float | Problem] = {}
        for name, text in self.car.marks.items():
            where, item = f"marks.{name}", self.pack.item(name.rpartition("/")[2])
            if item is None:
                rule = f"the rule pack {self.pack.id} has no such item"
                near = nearest_names(name.rpartition("/")[2], [one.id for one in self.pack.items])
                way_out = f"did you mean {' or '.join(near)}?" if near else "`onceapart rules` lists them"
                found[name] = Problem(None, where, name, rule, way_out)
            elif not item.is_measured:
                rule, way_out = f"{item.id} is looked at, not measured", "take it out"
                found[name] = Problem(None, where, text, rule, way_out)
            else:
                found[name] = _measured(text, item, item.id, where)
        return found


def _measured(text: str, of: Fact | Item, name: str, where: str) -> float | Problem:
    try:
        value = read_typed(text, of)
    except SumError as error:
        rule, _, way_out = str(error).partition(": ")[2].partition("; ")
        return Problem(None, where, text, rule, way_out or "check it")
    if is_plausible(value, of):
        return value
    least, most = of.plausible or (0, 0)
    rule = f"{name} can be {in_words(least, of, 6)} to {in_words(most, of, 6)}"
    return Problem(None, where, text, rule, "check it, and its unit")


def _lower(title: str) -> str:
    return title[:1].lower() + title[1:]


def registered_holds(test: Registered, day: dt.date) -> bool:
    """Whether a date of first registration is within the bounds; `from` counts, `before` does not."""
    return (test.from_ is None or day >= test.from_) and (test.before is None or day < test.before)


def fact_holds(test: FactTest, fact: Fact, value: Value) -> bool:
    """Whether a fact is as it is asked to be; `up-to` counts, `over` does not."""
    if test.one_of:
        return value in test.one_of
    assert isinstance(value, float)
    if test.over is not None and value <= amount_in(test.over, fact):
        return False
    return test.up_to is None or value <= amount_in(test.up_to, fact)


def days_to_try(tests: Iterable[Registered]) -> list[Value]:
    """Dates of registration, one for each way that some tests can come out."""
    bounds = {bound for test in tests for bound in (test.from_, test.before) if bound is not None}
    return sorted({*bounds, *(bound - dt.timedelta(days=1) for bound in bounds)})


def values_to_try(fact: Fact, tests: Iterable[FactTest], at: Iterable[float] = ()) -> list[Value]:
    """Values of a fact, one at least for each way that some tests can come out.

    Parameters
    ----------
    fact : Fact
    tests : iterable of FactTest
    at : iterable of float
        Further figures at which something changes. [unit of the fact]
    """
    if fact.words:
        return list(fact.words)
    bounds = [*at]
    for test in tests:
        bounds += [amount_in(bound, fact) for bound in (test.over, test.up_to) if bound is not None]
    return beside(bounds, fact.plausible)


def beside(bounds: Iterable[float], plausible: tuple[float, float] | None = None) -> list[Value]:
    """The bounds and what is just beside them, as far as it can be, and the ends of what can be."""
    found = {value for bound in bounds for value in _around(bound)}
    if plausible is not None:
        found = {value for value in found if plausible[0] <= value <= plausible[1]} | {*plausible}
    return sorted(found)


def _around(bound: float) -> tuple[float, float, float]:
    step = max(abs(bound), 1e-3) * _STEP
    return (bound - step, bound, bound + step)


def limit_in(limit: Limit, item: Item, pack: Pack, given: Given) -> float | None:
    """A limit in the unit of its item; None if it is a figure of the car that is not given."""
    if limit.amount is not None:
        return amount_in(limit.amount, item)
    assert limit.of is not None
    value = given.get(limit.of)
    if not isinstance(value, float):
        return None
    if limit.of != MARKED:
        value = _from_fact(value, pack.facts[limit.of], item)
    return value * float(limit.factor)


def fact_at(limit: Limit, item: Item, pack: Pack, reading: float) -> float:
    """The figure of the car at which a reading is just at the limit. [unit of the mark or fact]"""
    assert limit.of is not None
    value = reading / float(limit.factor)
    return value if limit.of == MARKED else _into_fact(value, pack.facts[limit.of], item)


def _from_fact(value: float, fact: Fact, item: Item) -> float:
    assert fact.quantity is not None
    assert item.quantity is not None
    return convert(value, symbol(fact.quantity, fact.unit or ""), symbol(item.quantity, item.unit or ""))


def _into_fact(value: float, fact: Fact, item: Item) -> float:
    assert fact.quantity is not None
    assert item.quantity is not None
    return convert(value, symbol(item.quantity, item.unit or ""), symbol(fact.quantity, fact.unit or ""))
