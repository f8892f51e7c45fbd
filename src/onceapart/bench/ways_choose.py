"""Choosing a way on from a snag: the entries for the record, and jobs for the workshop file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from onceapart.bench.entries import (
    Arrived,
    Entry,
    Limits,
    Ordered,
    SnagClosed,
    SnagOpened,
    StopgapFitted,
    SumCheck,
    WayChosen,
    new_id,
)
from onceapart.bench.release_work import Work
from onceapart.bench.replan import Left
from onceapart.bench.replan_stock import Order
from onceapart.bench.snag import SnagError, Where
from onceapart.bench.state import State, Stopgap
from onceapart.bench.stopgap import CHECKED_BY, KNOWN_SYSTEMS, PASSES, make_good_job, needs_check, run_check
from onceapart.bench.ways import WayOn
from onceapart.errors import SumError
from onceapart.sums.bolts.joint import CRITICAL, ORDINARY
from onceapart.sums.run import run_sum
from onceapart.workshop.money import parse_money

AS_GOOD = "as good"
HOLDS = {"body": "bodywork", "ignition": "engine", "cooling": "engine", "electrics": "bracket"}
"""What the bolt sum calls systems that it has no word of its own for, where a failure only strands."""


@dataclass(frozen=True)
class Choice:
    """What a person says on choosing a way. [minutes, minor units]

    ``check`` are inputs of the bolt sum. ``minutes`` and ``price`` go before those of the data.
    """

    time: dt.datetime
    who: str | None = None
    minutes: int | None = None
    price: int | None = None
    odometer: str | None = None
    what: str | None = None
    where: str | None = None
    system: str | None = None
    until: dt.date | None = None
    distance: str | None = None
    speed: str | None = None
    stands: bool = False
    """The car stands on the makeshift and is not driven."""
    signed_by: str | None = None
    check: Mapping[str, str] = field(default_factory=dict)
    makes_good: str | None = None
    recipe: str | None = None
    place: str | None = None
    need: str | None = None


@dataclass(frozen=True)
class Chosen:
    """What choosing a way writes: entries in order, jobs for the file, and what to say of it."""

    entries: tuple[Entry, ...]
    jobs: tuple[dict[str, Any], ...] = ()
    say: tuple[str, ...] = ()


def choose(
    work: Work, state: State, left: Left, opened: SnagOpened, where: Where, made: WayOn, choice: Choice
) -> Chosen:
    """The entries that choosing a way makes.

    Parameters
    ----------
    work, state, left
        As ``ways_on`` took them.
    opened : SnagOpened
        As the record has it.
    where : Where
        Of the snag.
    made : WayOn
        One that nothing stands against.
    choice : Choice

    Returns
    -------
    Chosen
        A stopgap comes with the job that makes it good. Where the record did not note the plan's orders, and
        one is added, those come first, so that the record has all of them.

    Raises
    ------
    SnagError
        It can't be chosen, or something is missing; the message gives value, rule and way out.
    """
    if made.against:
        raise SnagError(f"{made.way.id}: {made.against}; choose another way")
    act = made.way.act
    used_up = parse_money(made.way.price) if choice.price is None or made.buy or made.tool else choice.price
    way = WayChosen(
        id=new_id(), time=choice.time, who=choice.who, snag=opened.id, way=made.way.id,
        minutes=made.minutes.typical if choice.minutes is None else choice.minutes, price=used_up or None,
    )  # fmt: skip
    if act in ("substitute", "stopgap"):
        return _makeshift(work, state, left, opened, where, made, choice, way)
    if act == "job":
        return Chosen((way.model_copy(update={"minutes": None}),), (_job(work, opened, choice),))
    more: list[Entry] = []
    if made.buy is not None:
        buy = made.buy
        goods = buy.goods if choice.price is None else choice.price
        pieces = buy.offer.parts.get(opened.part or "", 0) * buy.units
        common = {"time": choice.time, "who": choice.who}
        if act == "counter":
            for part, count in buy.offer.parts.items():
                is_first = part == opened.part
                price = goods + buy.delivery if is_first else None
                arrived = pieces if is_first else count * buy.units
                more.append(
                    Arrived(id=new_id(), part=part, pieces=arrived, offer=buy.offer.id, price=price, **common)
                )
        else:
            parts = {part: count * buy.units for part, count in buy.offer.parts.items()}
            more += noted_orders(state, left.orders, choice.time, choice.who)
            more.append(
                Ordered(
                    id=new_id(), offer=buy.offer.id, seller=buy.offer.seller, units=buy.units, parts=parts,
                    price=goods, delivery=buy.delivery, arrives=buy.arrives, **common,
                )
            )  # fmt: skip
    elif act == "buy" and made.tool is not None:
        price = made.price if choice.price is None else choice.price
        more += noted_orders(state, left.orders, choice.time, choice.who)
        more.append(
            Ordered(
                id=new_id(), time=choice.time, who=choice.who, tool=made.tool, price=price,
                arrives=choice.time.date(),
            )
        )  # fmt: skip
    return Chosen((way, *more))


def noted_orders(
    state: State, orders: tuple[Order, ...], time: dt.datetime, who: str | None = None
) -> list[Entry]:
    """Entries for orders that were taken from the plan; none if the record notes orders itself."""
    if state.ordered:
        return []
    return [
        Ordered(
            id=new_id(), time=time, who=who, offer=one.offer, seller=one.seller, units=one.units,
            parts=dict(one.parts), tool=one.tool, price=one.price, delivery=one.delivery,
            arrives=one.arrives, placed=one.placed,
        )
        for one in orders
        if not one.is_noted
    ]  # fmt: skip


def check_of(where_system: str, inputs: Mapping[str, str]) -> SumCheck:
    """The bolt sum on what was typed, for what the bolt holds; raises SnagError with all that is wrong."""
    holds = HOLDS.get(where_system, where_system)
    typed = {**inputs}
    if holds not in (*CRITICAL, *ORDINARY):
        rule = f"the bolt sum says nothing of what holds the {where_system}"
        raise SnagError(f"{where_system}: {rule}; leave --check out, or say the --system it is in")
    typed["holds"] = holds
    try:
        return run_check(typed)
    except SumError as error:
        raise SnagError(f"{error}\ngive each figure with --check NAME=VALUE") from None


def check_in_words(check: SumCheck) -> tuple[str, ...]:
    """Verdict, reasons and limits of a check, as the sum says them."""
    result = run_sum(check.sum, check.inputs)
    return (f"The bolt sum says: {check.verdict}.", *result.reasons, *result.warnings)


def _makeshift(
    work: Work,
    state: State,
    left: Left,
    opened: SnagOpened,
    where: Where,
    made: WayOn,
    choice: Choice,
    way: WayChosen,
) -> Chosen:
    system = choice.system or where.system
    if choice.system is not None and system not in KNOWN_SYSTEMS:
        raise SnagError(f"{system}: there is no such system; use one of {', '.join(KNOWN_SYSTEMS)}")
    is_known = where.system in KNOWN_SYSTEMS and system not in where.systems
    if is_known and needs_check(where.system) and not needs_check(system):
        raise SnagError(
            f"{system}: by its job this is in the {where.system}, where a makeshift needs check and "
            "signature; leave --system out"
        )
    is_substitute = made.way.act == "substitute"
    if is_substitute and not choice.check:
        raise SnagError(
            f"{made.way.id}: the bolt is checked by the sum {CHECKED_BY}; give its figures, as in "
            '--check original="M10x50 8.8" --check found="M10x60 8.8" --check grip="32 mm"'
        )
    check = check_of(system, choice.check) if choice.check else None
    said = check_in_words(check) if check else ()
    if check is not None and check.verdict not in PASSES:
        raise SnagError("\n".join([*said, f"{made.way.id}: not with this bolt; choose another way"]))
    if is_substitute and check and check.verdict == AS_GOOD and not needs_check(system):
        closed = SnagClosed(
            id=new_id(), time=choice.time, who=choice.who, snag=opened.id,
            how=f"substituted by {check.inputs.get('found', 'another bolt')}, as good by the bolt sum",
        )  # fmt: skip
        return Chosen((way, closed), say=said)
    what = choice.what or (f"{check.inputs['found']} bolt" if check and check.inputs.get("found") else None)
    place = choice.where or (where.fasteners[0].what if len(where.fasteners) == 1 else None)
    if what is None or place is None:
        lacking = " and ".join(
            name for name, value in (("--what", what), ("--where", place)) if value is None
        )
        raise SnagError(f"{made.way.id}: a stopgap says what went in, and where; give {lacking}")
    fitted = _fitted(work, state, opened, system, what, place, made, choice, check)
    job = make_good_job(
        Stopgap(fitted, fitted.signed_by), left.workshop, choice.time.date(), recipe=choice.recipe,
        place=choice.place, minutes=None if choice.recipe else _minutes_of(left, where),
    )  # fmt: skip
    jobs = () if fitted.job in work.jobs else (job,)
    closed = SnagClosed(
        id=new_id(), time=choice.time, who=choice.who, snag=opened.id, how=f"stopgap: {what}, {place}"
    )
    return Chosen((way, fitted, closed), jobs, said)


def _fitted(
    work: Work,
    state: State,
    opened: SnagOpened,
    system: str,
    what: str,
    place: str,
    made: WayOn,
    choice: Choice,
    check: SumCheck | None,
) -> StopgapFitted:
    until = choice.until
    if until is None and choice.distance is None:
        until = choice.time.date() + dt.timedelta(days=made.way.days or 14)
    limits: dict[str, Any] = {
        "until": until,
        "distance": choice.distance,
        "speed": choice.speed,
        "do_not_drive": choice.stands or (needs_check(system) and check is None),
    }
    try:
        return StopgapFitted(
            id=new_id(), time=choice.time, who=choice.who, car=opened.car, odometer=choice.odometer,
            what=what, where=place, system=system, limits=Limits(**limits), snag=opened.id,
            job=choice.makes_good or _free_job(work, state, opened), signed_by=choice.signed_by, check=check,
            place=choice.place,
        )  # fmt: skip
    except ValidationError as error:
        one = error.errors(include_url=False)[0]
        raise SnagError(f"{one['loc'][0] if one['loc'] else 'stopgap'}: {one['msg']}") from None


def _free_job(work: Work, state: State, opened: SnagOpened) -> str:
    """An id for the job that makes a stopgap good, which no job and no other stopgap has."""
    taken = {*work.jobs, *(one.fitted.job for one in state.stopgaps)}
    base = f"{opened.job or opened.car}-make-good"
    name, count = base, 2
    while name in taken:
        name, count = f"{base}-{count}", count + 1
    return name


def _minutes_of(left: Left, where: Where) -> int | None:
    """Half of the job that the stopgap is in, as a first guess of what making it good takes; our guess."""
    return None if where.job is None or not where.job.minutes else max(15, where.job.minutes // 2)


def _job(work: Work, opened: SnagOpened, choice: Choice) -> dict[str, Any]:
    """The job that cures damage, for the workshop file."""
    taken = set(work.jobs)
    if choice.recipe is None and choice.minutes is None:
        raise SnagError(
            "new-job: a job has a recipe, or minutes of its own; give --recipe and --place, or --minutes"
        )
    if choice.recipe is not None and choice.place is None:
        raise SnagError(f"new-job: {choice.recipe}: a recipe is done at a place; give --place")
    base = choice.makes_good or "-".join(filter(None, [opened.car, choice.recipe or "damage", choice.place]))
    name, count = base, 2
    while name in taken:
        name, count = f"{base}-{count}", count + 1
    is_due = any(car.id == opened.car and car.inspection for car in work.workshop.cars)
    need = choice.need or ("safety" if opened.dangerous else "inspection" if is_due else "upkeep")
    entry: dict[str, Any] = {"id": name, "car": opened.car, "need": need}
    if choice.recipe is not None:
        entry |= {"recipe": choice.recipe, "place": choice.place}
    if choice.minutes is not None:
        entry["minutes"] = choice.minutes
    return entry
