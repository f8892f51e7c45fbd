"""What the rules of a pack say of one reading; where something of the car is not known, in every case."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import product

from onceapart.inspection.amounts import is_beyond
from onceapart.inspection.known import (
    REGISTERED,
    Given,
    KnownCar,
    Unknown,
    Value,
    beside,
    days_to_try,
    fact_at,
    fact_holds,
    limit_in,
    registered_holds,
    values_to_try,
)
from onceapart.trade.placing import holds
from onceapart.trade.rules import MARKED, Item, Limit, Rule
from onceapart.workshop import Layout

MAX_CASES = 20_000
"""More cases than this are not gone through; then the reading counts as not judged."""


class Verdict(StrEnum):
    """What an inspection would say of an item."""

    PASSES = "passes"
    NOT_CHECKED = "not checked"
    MINOR = "minor"
    MAJOR = "major"
    DANGEROUS = "dangerous"

    @property
    def rank(self) -> int:
        """The worse, the higher; what is not checked may be anything, and stands before what passes."""
        return list(Verdict).index(self)


@dataclass(frozen=True)
class LimitRow:
    """A limit that a measured item is held to, as far as it is known."""

    rule: Rule
    limit: float | None
    """[unit of the item]; None if it is a figure of the car that is not known."""
    is_sure: bool
    """Whether the rule is for this car whatever is not known of it."""


@dataclass(frozen=True)
class Judged:
    """What the rules say of a reading."""

    verdict: Verdict
    """The mildest that what is not known allows; ``not checked`` if that is to pass and worse is possible."""
    worst: Verdict
    """The worst that what is not known allows; mostly the same."""
    rules: tuple[Rule, ...]
    """The rows that decide it, the worst first, and of what was seen the milder ones, too; where it can't be
    said, those that may decide it."""
    unknown: tuple[Unknown, ...] = ()
    """What would have to be known to say more."""

    @property
    def is_open(self) -> bool:
        """Whether what is not known makes a difference."""
        return self.worst is not self.verdict


def rules_at(car: KnownCar, item: Item, spot: str) -> tuple[Rule, ...]:
    """Rules of an item that are for this place of a car so built, the worst class first.

    What they ask of its registration and facts is not looked at.
    """
    layout = car.car.layout or Layout()
    return tuple(
        rule
        for rule in car.pack.rules_of(item.id)
        if rule.when is None or holds((rule.when,), layout, spot, spot)
    )


def judge(
    car: KnownCar, item: Item, spot: str, amount: float | None = None, words: tuple[str, ...] = ()
) -> Judged | None:
    """Judge what was found on an item at a place.

    Parameters
    ----------
    car : KnownCar
    item : Item
    spot : str
        A corner, an axle, or the place of an item of the car.
    amount : float, optional
        What was measured. [unit of the item]
    words : tuple of str
        What was seen; none: sound.

    Returns
    -------
    Judged or None
        None if no rule of the pack is for this car and place, whatever is not known.

    Notes
    -----
    Each thing not known is given every value at which a rule comes out differently; if all cases agree,
    not knowing it does not matter.
    """
    rules = rules_at(car, item, spot)
    given = car.given(item, spot)
    asked = _asked(car, item, rules, given, amount)
    if math.prod(len(values) for values in asked.values()) > MAX_CASES:
        unknown = tuple(car.unknown(name, item, spot) for name in asked)
        return Judged(Verdict.NOT_CHECKED, Verdict(rules[0].class_), rules, unknown)
    cases: dict[tuple[Value, ...], tuple[Verdict, tuple[Rule, ...]]] = {}
    has_rules = False
    for case in product(*asked.values()):
        taken = {**given, **dict(zip(asked, case, strict=True))}
        there = [rule for rule in rules if _is_for(rule, car, taken)]
        has_rules = has_rules or bool(there)
        hits = tuple(rule for rule in there if _fails(rule, car, item, taken, amount, words))
        cases[case] = (Verdict(hits[0].class_) if hits else Verdict.PASSES, hits)
    if not has_rules:
        return None
    found = [verdict for verdict, _ in cases.values()]
    mildest = min(found, key=lambda one: one.rank)
    worst = max(found, key=lambda one: one.rank)
    verdict = Verdict.NOT_CHECKED if mildest is Verdict.PASSES and worst is not mildest else mildest
    shown = mildest if verdict is mildest and verdict is not Verdict.PASSES else worst
    deciding = {
        rule.id: rule
        for _, hits in cases.values()
        for rule in hits
        if rule.seen or rule.class_ == shown or verdict is Verdict.NOT_CHECKED
    }
    rows = tuple(rule for rule in rules if rule.id in deciding)
    unknown = ()
    if worst is not mildest:
        unknown = tuple(car.unknown(name, item, spot) for name in _that_matter(asked, cases))
    return Judged(verdict, worst, rows, unknown)


def limits_at(car: KnownCar, item: Item, spot: str) -> tuple[LimitRow, ...]:
    """Limits that a measured item is held to at a place of a car, the worst class first."""
    given = car.given(item, spot)
    rows = []
    for rule in rules_at(car, item, spot):
        limit = rule.below or rule.above
        if limit is None:
            continue
        sure = _is_sure(rule, car, given)
        if sure is not False:
            rows.append(LimitRow(rule, limit_in(limit, item, car.pack, given), sure is True))
    return tuple(rows)


def _asked(
    car: KnownCar, item: Item, rules: tuple[Rule, ...], given: Given, amount: float | None
) -> dict[str, list[Value]]:
    """What rules ask for and is not known, with the values to go through."""
    tests = {name: [] for name in _names_asked(rules) if name not in given}  # type: dict[str, list[Value]]
    for name in tests:
        limits = [limit for limit in map(_limit_of, rules) if limit is not None and limit.of == name]
        at = [] if amount is None else [fact_at(limit, item, car.pack, amount) for limit in limits]
        if name == REGISTERED:
            tests[name] = days_to_try(r.when.registered for r in rules if r.when and r.when.registered)
        elif name == MARKED:
            tests[name] = beside(at)
        else:
            of_fact = [rule.when.fact[name] for rule in rules if rule.when and name in rule.when.fact]
            tests[name] = values_to_try(car.pack.facts[name], of_fact, at)
    return {name: values for name, values in tests.items() if values}


def _names_asked(rules: tuple[Rule, ...]) -> Iterator[str]:
    for rule in rules:
        if rule.when is not None:
            if rule.when.registered is not None:
                yield REGISTERED
            yield from rule.when.fact
        limit = _limit_of(rule)
        if limit is not None and limit.of is not None:
            yield limit.of


def _limit_of(rule: Rule) -> Limit | None:
    return rule.below or rule.above


def _is_sure(rule: Rule, car: KnownCar, given: Given) -> bool | None:
    """Whether a rule is for a car of which this is given; None if that can't be said."""
    answers: list[bool | None] = []
    when = rule.when
    if when is not None:
        if when.registered is not None:
            day = given.get(REGISTERED)
            answers.append(registered_holds(when.registered, day) if isinstance(day, dt.date) else None)
        for name, test in when.fact.items():
            value = given.get(name)
            answers.append(None if value is None else fact_holds(test, car.pack.facts[name], value))
    if False in answers:
        return False
    return None if None in answers else True


def _is_for(rule: Rule, car: KnownCar, given: Given) -> bool:
    return _is_sure(rule, car, given) is True


def _fails(
    rule: Rule, car: KnownCar, item: Item, given: Given, amount: float | None, words: tuple[str, ...]
) -> bool:
    limit = _limit_of(rule)
    if limit is None:
        return any(word in words for word in rule.seen)
    if amount is None:
        return False
    bound = limit_in(limit, item, car.pack, given)
    return bound is not None and is_beyond(amount, bound, above=rule.above is not None)


def _that_matter(
    asked: dict[str, list[Value]], cases: dict[tuple[Value, ...], tuple[Verdict, tuple[Rule, ...]]]
) -> list[str]:
    """Names that change the verdict while all others stay as they are."""
    found = []
    for at, name in enumerate(asked):
        seen: dict[tuple[Value, ...], Verdict] = {}
        for case, (verdict, _) in cases.items():
            others = (*case[:at], *case[at + 1 :])
            if seen.setdefault(others, verdict) is not verdict:
                found.append(name)
                break
    return found or list(asked)
