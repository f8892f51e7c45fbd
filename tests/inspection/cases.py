"""Workshops, cars and findings for the tests of inspection."""

from __future__ import annotations

import datetime as dt
from typing import Any

from onceapart.inspection.judging import Judged, judge
from onceapart.inspection.known import KnownCar
from onceapart.inspection.verdicts import CarVerdict, inspect_car
from onceapart.trade.rules import Pack, load_pack
from onceapart.workshop import Car, Finding, Inspection, Job, Workshop

TODAY = dt.date(2026, 3, 2)
DUE = dt.date(2026, 4, 11)
EU, US, HOME = "eu-2014-45", "us-570", "home-check"
LAWS = (EU, US)


def car(rules: str = EU, **more: Any) -> Car:
    """The Wren, a small old hatchback, due in forty days."""
    return Car(id="wren", name="The Wren", inspection=Inspection(due=DUE, rules=rules), **more)


def finding(item: str, place: str | None = None, found: str | tuple[str, ...] = (), **more: Any) -> Finding:
    """What was found on the Wren today; text is a value, a tuple are words."""
    given: dict[str, Any] = {"value": found} if isinstance(found, str) else {"seen": found or ("sound",)}
    return Finding(**{"car": "wren", "item": item, "place": place, "date": TODAY, **given, **more})


def workshop(
    findings: Any = (), the_car: Car | None = None, jobs: tuple[Job, ...] = (), **more: Any
) -> Workshop:
    """A workshop with the Wren in it."""
    return Workshop(
        name="Quay Lane",
        today=TODAY,
        currency="EUR",
        hour_worth=1200,
        cars=(the_car or car(),),
        findings=tuple(findings),
        jobs=jobs,
        **more,
    )


def inspected(
    findings: Any = (), pack: str | Pack = EU, the_car: Car | None = None, **more: Any
) -> CarVerdict:
    """What is said of the Wren."""
    the_pack = load_pack(pack) if isinstance(pack, str) else pack
    return inspect_car(workshop(findings, the_car), "wren", the_pack, **more)


def judged(
    pack: str | Pack,
    item: str,
    place: str,
    found: float | tuple[str, ...],
    the_car: Car | None = None,
) -> Judged | None:
    """What the rules say of an amount, in the item's unit, or of words."""
    the_pack = load_pack(pack) if isinstance(pack, str) else pack
    known = KnownCar(the_car or car(), the_pack)
    the_item = the_pack.item(item)
    assert the_item is not None, item
    if isinstance(found, tuple):
        return judge(known, the_item, place, None, found)
    return judge(known, the_item, place, found)
