"""Every numeric limit of both laws, each side of it: the limit itself passes, a hair beyond it fails."""

from __future__ import annotations

import datetime as dt
import itertools
from typing import Any

import pytest
from cases import EU, LAWS, US, car, finding, inspected

from onceapart.inspection.amounts import is_plausible
from onceapart.inspection.judging import Verdict, judge
from onceapart.inspection.known import KnownCar, limit_in
from onceapart.trade.placing import holds
from onceapart.trade.rules import CLASSES, MARKED, Item, Pack, Rule, load_pack, places_of_item
from onceapart.workshop import Car, Layout

HAIR = 1e-4


def limits() -> list[Any]:
    """Every row with a limit, of every pack of the law: the two, and what states change in them."""
    packs = [EU, US, *(f"us-570-{state}" for state in ("missouri", "north-carolina", "ohio", "utah"))]
    return [
        pytest.param(name, rule, id=f"{name}:{rule.id}")
        for name in packs
        for rule in load_pack(name).rules
        if rule.below or rule.above
    ]


def layouts() -> list[Layout]:
    return [
        Layout.model_validate({"rear-brakes": brakes, "front-brakes": front, "fuel": fuel})
        for brakes, front, fuel in itertools.product(("disc", "drum"), ("disc", "drum"), ("petrol", "diesel"))
    ]


def car_for(pack: Pack, rule: Rule, item: Item) -> tuple[Car, str]:
    """A car and a place that the rule is for, with everything known that it asks for."""
    when = rule.when
    given: dict[str, Any] = {"registered": dt.date(2005, 6, 1), "facts": {}}
    if when is not None and when.registered is not None:
        registered = when.registered
        given["registered"] = registered.from_ or dt.date(registered.before.year - 1, 1, 1)  # type: ignore[union-attr]
    for name, test in (when.fact if when is not None else {}).items():
        given["facts"][name] = (
            test.one_of[0] if test.one_of else str(test.up_to or f"{float(test.over.number) + 1} in")
        )  # type: ignore[union-attr]
    limit = rule.below or rule.above
    assert limit is not None
    if limit.of == MARKED:
        given["marks"] = {item.id: f"{sum(item.plausible or (0, 0)) / 4:.1f} {item.unit}"}
    elif limit.of is not None:
        given["facts"][limit.of] = "370 mm"
    for layout in layouts():
        for place in places_of_item(item):
            if holds(item.suits, layout, place, place) and (
                when is None or holds((when,), layout, place, place)
            ):
                return car(layout=layout, **given), place
    raise AssertionError(f"no car for {rule.id}")


@pytest.mark.parametrize(("name", "rule"), limits())
def test_the_limit_passes_and_a_hair_beyond_it_fails_with_its_class_and_clause(name: str, rule: Rule) -> None:
    pack = load_pack(name)
    item = pack.item(rule.item)
    assert item is not None
    the_car, place = car_for(pack, rule, item)
    known = KnownCar(the_car, pack)
    assert not known.problems
    limit = limit_in(rule.below or rule.above, item, pack, known.given(item, place))  # type: ignore[arg-type]
    assert limit is not None
    assert is_plausible(limit, item), "a limit that no reading can reach"
    step = max(abs(limit), 1.0) * HAIR * (1 if rule.above else -1)
    within, at, beyond = (judge(known, item, place, limit + n * step) for n in (-1, 0, 1))
    assert within is not None
    assert at is not None
    assert beyond is not None
    assert at.verdict is within.verdict, "the limit itself is on the good side"
    assert rule.id not in [row.id for row in at.rules]
    assert at.verdict.rank < Verdict(rule.class_).rank or rule.class_ in [r.class_ for r in at.rules]
    assert beyond.verdict.rank >= Verdict(rule.class_).rank
    if beyond.verdict == rule.class_:
        assert (rule.clause, rule.source) in [(row.clause, row.source) for row in beyond.rules]
    else:
        assert CLASSES.index(beyond.rules[0].class_) > CLASSES.index(rule.class_)


# What each law asks, typed from the references: item, place, unit, what fails by a little, what just passes,
# class, clause. "1/32 in" is 0.79375 mm, "2/32 in" 1.5875 mm, "25 ft" from 20 mph and so on; the figures of
# Annex I 1.2.2, 1.4.2 and 2.3 are from memory there, and the words of section 8 from the French order.
FIGURES = [
    (US, "brake-pedal-travel", None, "81 %", "80 %", "major", "570.5(c)"),
    (US, "brake-imbalance", "front", "21 %", "20 %", "major", "570.5(d)(1)"),
    (US, "brake-imbalance", "rear", "20.5 %", "20 %", "major", "570.5(d)(1)"),
    (US, "stopping-distance", None, "26 ft", "25 ft", "major", "570.5(d)(2)"),
    (US, "stopping-distance", None, "7.63 m", "7.62 m", "major", "570.5(d)(2)"),
    (US, "pad-lining", "front-left", "0.79 mm", "0.8 mm", "major", "570.5(g)"),
    (US, "pad-lining", "front-left", "1/33 in", "1/32 in", "major", "570.5(g)"),
    (US, "shoe-lining", "rear-left", "0.79 mm", "1/32 in", "major", "570.5(g)"),
    (US, "disc-thickness", "front-left", "9.7 mm", "9.8 mm", "major", "570.5(f)"),
    (US, "drum-diameter", "rear-right", "231.1 mm", "231 mm", "major", "570.5(f)"),
    (US, "steering-lash", None, "2 1/16 in", "2 in", "major", "570.7(a) table 1"),
    (US, "steering-linkage-play", "front-left", "6.4 mm", "1/4 in", "major", "570.7(b)"),
    (US, "toe", "front", "4.6 mm", "4.5 mm", "major", "570.7(d)"),
    (US, "damper-bounce", "rear-left", "3 swings", "2 swings", "major", "570.8(b)"),
    (US, "tread-depth", "rear-left", "1.58 mm", "2/32 in", "major", "570.9(a)"),
    (US, "wheel-runout", "front-left", "3.2 mm", "1/8 in", "major", "570.10(b)"),
    (EU, "brake-imbalance", "rear", "31 %", "30 %", "major", "1.2.1(b)"),
    (EU, "brake-imbalance", "rear", "51 %", "30 %", "major", "1.2.1(b)"),
    (EU, "brake-imbalance", "front", "50 %", "30 %", "major", "1.2.1(b)"),
    (EU, "brake-imbalance", "front", "51 %", "30 %", "dangerous", "1.2.1(b)"),
    (EU, "brake-efficiency", None, "49.9 %", "50 %", "major", "1.2.2"),
    (EU, "brake-efficiency", None, "24.9 %", "50 %", "dangerous", "1.2.2"),
    (EU, "handbrake-efficiency", None, "15.9 %", "16 %", "major", "1.4.2"),
    (EU, "handbrake-efficiency", None, "7.9 %", "16 %", "dangerous", "1.4.2"),
    (EU, "pad-lining", "front-left", "1.4 mm", "1.5 mm", "dangerous", "1.1.13"),
    (EU, "shoe-lining", "rear-left", "1.4 mm", "1.5 mm", "dangerous", "1.1.13"),
    (EU, "steering-lash", None, "75 mm", "74 mm", "major", "2.3"),
    (EU, "tread-depth", "front-right", "1.59 mm", "1.6 mm", "dangerous", "5.2.3(e)"),
    (EU, "tread-depth", "front-right", "2/32 in", "3/32 in", "dangerous", "5.2.3(e)"),
    (EU, "co-idle", None, "0.51 %", "0.3 %", "major", "8.2.1.2"),
    (EU, "lambda", None, "1.04 lambda", "1.03 lambda", "major", "8.2.1.2"),
    (EU, "lambda", None, "0.96 lambda", "0.97 lambda", "major", "8.2.1.2"),
]


def known_car(pack: str) -> Car:
    """A car of 2005 with drums behind, of which all is known that the table asks for."""
    return car(
        pack,
        registered=dt.date(2005, 6, 1),
        facts={"steering-wheel": "370 mm" if pack == EU else "15 in", "catalyst": "three-way", "turbo": "no"},
        marks={"front/disc-thickness": "9.8 mm", "drum-diameter": "231 mm", "toe": "3 mm"},
    )


@pytest.mark.parametrize(("pack", "item", "place", "fails", "passes", "klass", "clause"), FIGURES)
def test_figures_of_the_laws(
    pack: str, item: str, place: str | None, fails: str, passes: str, klass: str, clause: str
) -> None:
    (bad,) = inspected([finding(item, place, fails)], pack, known_car(pack)).verdicts
    assert bad.verdict == klass
    assert clause in [row.clause for row in bad.rules]
    (good,) = inspected([finding(item, place, passes)], pack, known_car(pack)).verdicts
    assert good.verdict is Verdict.PASSES
    assert not good.rules


@pytest.mark.parametrize(
    ("registered", "percent", "verdict"),
    [
        ("2011-12-31", "57 %", "passes"),
        ("2012-01-01", "57 %", "major"),
        ("2012-01-01", "58 %", "passes"),
        ("2011-12-31", "26 %", "major"),
        ("2012-01-01", "28 %", "dangerous"),
    ],
)
def test_efficiency_goes_by_the_date_of_registration(registered: str, percent: str, verdict: str) -> None:
    """Annex I 1.2.2: 58 % for cars registered from 2012 on, 50 % before, half: dangerous (from memory)."""
    the_car = car(registered=dt.date.fromisoformat(registered))
    (found,) = inspected([finding("brake-efficiency", None, percent)], EU, the_car).verdicts
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("wheel", "limit"), [("16 in", 2.0), ("18 in", 2.25), ("20 in", 2.5), ("22 in", 2.75)]
)
def test_lash_goes_by_the_size_of_the_wheel(wheel: str, limit: float) -> None:
    """49 CFR 570.7(a), table 1 (verified)."""
    the_car = car(US, facts={"steering-wheel": wheel})
    for lash, verdict in ((limit, Verdict.PASSES), (limit + 0.05, Verdict.MAJOR)):
        (found,) = inspected([finding("steering-lash", None, f"{lash} in")], US, the_car).verdicts
        assert found.verdict is verdict


@pytest.mark.parametrize("name", LAWS)
def test_every_row_names_clause_source_and_status(name: str) -> None:
    pack = load_pack(name)
    for rule in pack.rules:
        assert rule.clause.strip()
        assert rule.source in pack.sources
        assert rule.status in ("verified", "from memory", "common practice")
