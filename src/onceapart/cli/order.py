"""``onceapart order``: what was ordered, and what has come."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.record_bench import Bench, File, WhoOption, at_bench, made, refuse
from onceapart.cli.replan_load import PlanOption, TodayOption, day_typed, standing, time_now

if TYPE_CHECKING:
    from onceapart.bench.entries import Entry
    from onceapart.bench.replan import Left
    from onceapart.workshop import Offer

LABEL = 9


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("order")(order)


def order(
    file: File,
    offers: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[OFFER[=UNITS]]...", help="Ordered now, beside all else.", show_default=False
        ),
    ] = None,
    planned: Annotated[
        bool, typer.Option("--planned", help="Note the orders of the plan as placed on its day.")
    ] = False,
    came: Annotated[
        list[str] | None, typer.Option("--came", metavar="PART[=N]", help="Pieces that have come.")
    ] = None,
    wrong: Annotated[
        list[str] | None, typer.Option("--wrong", metavar="PART[=N]", help="Pieces that came and are wrong.")
    ] = None,
    bad: Annotated[
        list[str] | None, typer.Option("--bad", metavar="PART[=N]", help="Pieces that came and are no good.")
    ] = None,
    late: Annotated[
        list[str] | None, typer.Option("--late", metavar="OFFER=DATE", help="It comes only on this day.")
    ] = None,
    plan: PlanOption = None,
    today: TodayOption = None,
    who: WhoOption = None,
) -> None:
    """Note what was ordered and what has come; show both.

    As long as nothing is noted, the plan's orders are taken as placed on its day, and what is due as come.
    The first order noted brings the plan's with it.
    """
    bench = at_bench(file)
    left = standing(bench, plan, today, needs_plan=not bench.state.ordered).left
    time = time_now(today)
    entries = _ordered(bench, left, offers or [], time, who)
    arrivals = _arrived(bench, came or [], wrong or [], bad or [], time, who)
    if (planned or entries or late) and not bench.state.ordered:
        from onceapart.bench.ways_choose import noted_orders

        if planned and not left.orders:
            refuse("--planned: no plan is known whose orders these could be; give --plan SAVED.json")
        for entry in noted_orders(bench.state, left.orders, time, who):
            bench.add(entry)
    for entry in (*entries, *arrivals):
        bench.add(entry)
    for one in late or []:
        _late(bench, one, who, time)
    _show(bench, plan, today)


def _ordered(bench: Bench, left: Left, typed: list[str], time: dt.datetime, who: str | None) -> list[Entry]:
    """Orders of some offers, each seller's delivery with its first."""
    from onceapart.bench.entries import Ordered
    from onceapart.planning.cost import delivery_of

    wanted = [_offer(bench, one) for one in typed]
    goods: dict[str, int] = {}
    for offer, units in wanted:
        goods[offer.seller] = goods.get(offer.seller, 0) + units * offer.price
    fees = {seller: delivery_of(left.workload, seller, value) for seller, value in goods.items()}
    return [
        made(
            Ordered,
            offer=offer.id,
            seller=offer.seller,
            units=units,
            parts={part: pieces * units for part, pieces in offer.parts.items()},
            price=units * offer.price,
            delivery=fees.pop(offer.seller, 0),
            arrives=time.date() + dt.timedelta(days=bench.workshop.delivery_days(offer)),
            placed=time.date(),
            who=who,
        )
        for offer, units in wanted
    ]


def _offer(bench: Bench, typed: str) -> tuple[Offer, int]:
    from onceapart.workshop.values import nearest

    name, _, number = typed.partition("=")
    offers = {offer.id: offer for offer in bench.workshop.offers}
    if name not in offers:
        near = nearest(name, list(offers))
        refuse(
            f"{name}: there is no offer with this id; "
            + (f"did you mean {near}?" if near else "see the file")
        )
    return offers[name], _number(typed, number)


def _number(typed: str, number: str) -> int:
    if number and (not number.isdecimal() or not 0 < int(number) < 100_000):
        refuse(f"{typed}: a whole number is wanted behind the =; write it as in {typed.partition('=')[0]}=2")
    return int(number or 1)


def _arrived(
    bench: Bench, came: list[str], wrong: list[str], bad: list[str], time: dt.datetime, who: str | None
) -> list[Entry]:
    from onceapart.bench.entries import Arrived
    from onceapart.workshop.values import nearest

    known = [part for offer in bench.workshop.offers for part in offer.parts]
    known += [part for one in bench.state.ordered for part in one.parts]
    known += [part for job in bench.workshop.jobs for part in job.parts]
    found = []
    for state, typed in (("right", came), ("wrong", wrong), ("bad", bad)):
        for one in typed:
            part, _, number = one.partition("=")
            ending = sorted({name for name in known if name == part or name.endswith(f"/{part}")})
            if len(ending) != 1 and part not in known:
                near = nearest(part, known)
                way_out = (
                    f"one of {', '.join(ending)}?" if ending else f"did you mean {near}?" if near else ""
                )
                refuse(f"{part}: there is no part with this id; {way_out or 'see the offers in the file'}")
            named = part if part in known else ending[0]
            found.append(made(Arrived, part=named, pieces=_number(one, number), state=state, who=who))
    return [entry.model_copy(update={"time": time}) for entry in found]


def _late(bench: Bench, typed: str, who: str | None, time: dt.datetime) -> None:
    """An order that comes later than was thought: the old entry no longer counts, a new one does."""
    from onceapart.bench.entries import Corrected, new_id

    name, _, date = typed.partition("=")
    day = day_typed("--late", date)
    same = [one for one in bench.state.ordered if name in (one.offer, *one.parts)]
    if not same:
        there = ", ".join(one.offer or "" for one in bench.state.ordered) or "none"
        refuse(f"--late {name}: no such order is noted; there is {there}")
    old = same[-1]
    fresh = old.model_copy(
        update={"id": new_id(), "time": time, "number": 0, "arrives": day, "placed": old.placed or old.day}
    )
    bench.add(made(Corrected, entry=old.id, why=f"it comes on {day}", who=who))
    bench.add(fresh)


def _show(bench: Bench, plan: str | None, today: str | None) -> None:
    from onceapart.cli.page import Page
    from onceapart.cli.words import day, money

    left = standing(bench, plan, today, needs_plan=not bench.state.ordered).left
    currency, page = bench.workshop.currency, Page()
    beside = "" if bench.state.ordered else "by the plan; nothing is noted"
    page.heading(f"{bench.workshop.name}: orders", beside)
    for one in left.orders:
        what = one.offer or one.tool or ", ".join(one.parts)
        units = f"{one.units} of " if one.units > 1 else ""
        fee = f" and {money(one.delivery, currency)} delivery" if one.delivery else ""
        placed = f"ordered {day(one.placed)}, " if one.placed else ""
        page.line("", f"{units}{what}: {money(one.price, currency)}{fee}, {placed}due {day(one.arrives)}", 2)
    if not left.orders:
        page.line("", "none", 2)
    page.items("Coming", [_pieces(one.parts, day(one.order.arrives)) for one in left.stock.coming], LABEL)
    page.items("Due", [_pieces(one.parts, "taken as come") for one in left.stock.due], LABEL)
    page.items("In hand", [f"{n} {part}" for part, n in left.stock.shelf.items()], LABEL)
    page.show()


def _pieces(parts: object, beside: str) -> str:
    assert isinstance(parts, dict)
    return ", ".join(f"{n} {part}" for part, n in parts.items()) + f" ({beside})"
