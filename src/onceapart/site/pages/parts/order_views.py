"""Orders: what the plan says to order, ticked as placed, as come, as wrong; and deposits to get back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from onceapart.bench.entries import Arrived, Entry, Noted, Ordered, new_id
from onceapart.bench.record import RecordError
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.parts import order_entries
from onceapart.site.pages.parts.order_entries import OrderError, Sending
from onceapart.site.pages.parts.orders import Orders, OrderToPlace, Placed, ToOrder, orders_of
from onceapart.site.pages.shared import Now, refused, said, who_is, with_workshop
from onceapart.site.store.record import DatabaseRecord

STATE_WORDS = (("right", "right"), ("wrong", "the wrong part"), ("bad", "broken or worn"))
"""What pieces that came are like."""


@require_GET
@with_workshop
def orders(request: HttpRequest, now: Now) -> HttpResponse:
    """What to order from whom, what is on its way, what has come, what comes back."""
    return render(request, "parts_page/orders.html", _context(now))


def _context(now: Now, typed: Mapping[str, Any] | None = None) -> dict[str, object]:
    look = Looking(now)
    found = _orders(now, look)
    return {
        "planned": look.planned,
        "orders": found,
        "form_id": new_id,
        "on_the_way": [_shown(one, typed or {}) for one in found.on_their_way],
        "to_place": [_ticked(one, typed or {}) for one in found.to_place],
        "states": STATE_WORDS,
    }


def _ticked(order: OrderToPlace, typed: Mapping[str, Any]) -> tuple[OrderToPlace, list[tuple[ToOrder, bool]]]:
    """An order with its lines, each ticked unless somebody has taken the tick away."""
    is_typed = typed.get("seller") == order.seller
    return order, [(line, not is_typed or line.key in typed["lines"]) for line in order.lines]


def _shown(one: Placed, typed: Mapping[str, Any]) -> dict[str, object]:
    """A line on its way, with what was typed of it."""
    mine = typed if typed.get("order") == one.entry.id else {}
    return {
        "line": one,
        "is_open": bool(mine),
        "pieces": [(part, mine.get(f"pieces_{at}", str(part.left))) for at, part in enumerate(one.parts)],
        "state": mine.get("state", "right"),
        "words": mine.get("words", ""),
        "day": mine.get("day", one.entry.arrives.isoformat()),
    }


def _orders(now: Now, look: Looking) -> Orders:
    used = {entry.id for entry in now.entries}
    return orders_of(now.applied, now.state, look.planned, look.names, now.today, used)


@require_POST
@with_workshop
def place(request: HttpRequest, now: Now) -> HttpResponse:
    """Note that lines of an order to one seller, or tools, were ordered."""
    found = _orders(now, Looking(now))
    seller, chosen = request.POST.get("seller", ""), request.POST.getlist("line")

    def made() -> list[Entry]:
        if not seller:
            return order_entries.tools_bought(found.tools, chosen, _sending(request, now))
        order = next((one for one in found.to_place if one.seller == seller), None)
        if order is None:
            raise OrderError("nothing is to be ordered there any more; look at what is on its way")
        return order_entries.placed(order, chosen, _sending(request, now))

    return _kept(
        request, now, made, f"Noted as ordered: {len(chosen)} {'line' if len(chosen) == 1 else 'lines'}."
    )


@require_POST
@with_workshop
def came(request: HttpRequest, now: Now) -> HttpResponse:
    """Note what came of an order, and what it is like; with ``all``, that all of it came."""
    found = _orders(now, Looking(now))

    def made() -> list[Entry]:
        if "all" in request.POST:
            return order_entries.all_came(_line(found, request.POST["all"]), _sending(request, now))
        one = _line(found, request.POST.get("order", ""))
        pieces = {part.part: request.POST.get(f"pieces_{at}", "") for at, part in enumerate(one.parts)}
        state, words = request.POST.get("state", "right"), request.POST.get("words", "")
        return order_entries.came(one, pieces, state, words, _sending(request, now))

    return _kept(request, now, made, "Noted as come.")


@require_POST
@with_workshop
def comes_on(request: HttpRequest, now: Now) -> HttpResponse:
    """Note that an order comes on another day."""
    found = _orders(now, Looking(now))

    def made() -> list[Entry]:
        one = _line(found, request.POST.get("order", ""))
        return order_entries.comes_on(one, request.POST.get("day", ""), _sending(request, now))

    return _kept(request, now, made, "The day is changed.")


@require_POST
@with_workshop
def slip(request: HttpRequest, now: Now) -> HttpResponse:
    """Take back an entry about an order; it stays in the record, with this one."""
    entry = request.POST.get("entry", "")

    def made() -> list[Entry]:
        known = {one.id: one for one in now.entries if isinstance(one, Ordered | Arrived | Noted)}
        if entry not in known:
            raise OrderError("there is no such entry; load the page anew")
        return order_entries.slip(entry, _sending(request, now))

    return _kept(request, now, made, "Taken back. The record keeps both.")


@require_POST
@with_workshop
def deposit(request: HttpRequest, now: Now) -> HttpResponse:
    """Note that a deposit came back."""
    found = _orders(now, Looking(now))

    def made() -> list[Entry]:
        one = next((one for one in found.deposits if one.entry.id == request.POST.get("order")), None)
        if one is None:
            raise OrderError("there is no such deposit; load the page anew")
        if one.back is not None:
            return []
        currency = now.workshop.currency
        return order_entries.deposit_back(
            one.amount, currency, one.title, one.note_id, _sending(request, now)
        )

    return _kept(request, now, made, "Noted: the deposit is back.")


def _line(found: Orders, order: str) -> Placed:
    for one in (*found.on_their_way, *found.complete):
        if one.entry.id == order:
            return one
    raise OrderError("there is no such order any more; load the page anew")


def _sending(request: HttpRequest, now: Now) -> Sending:
    seen = request.POST.get("seen", "")
    return Sending(
        id=request.POST.get("id", "")[:40] or new_id(),
        time=timezone.localtime(timezone.now()),
        who=who_is(request) or None,
        seen=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 10 else now.state.last_number,
        today=now.today,
    )


def _kept(request: HttpRequest, now: Now, made: Callable[[], list[Entry]], words: str) -> HttpResponse:
    """Keep the entries that ``made`` gives; sent twice, they are kept once."""
    record = DatabaseRecord()
    first = f"{request.POST.get('id', '')[:40]}-"
    if request.POST.get("id") and any(entry.id.startswith(first) for entry in now.entries):
        return redirect("orders")  # the same form once more
    try:
        entries = made()
        order_entries.check_not_meanwhile(entries, now.state, _sending(request, now).seen)
        record.append_all(entries)
    except (OrderError, RecordError) as error:
        rule, _, way_out = str(error).partition("; ")
        messages.error(
            request,
            f"Not noted. {rule[:1].upper()}{rule[1:]}; {way_out}." if way_out else f"Not noted. {error}",
        )
        typed = {**request.POST.dict(), "lines": request.POST.getlist("line")}
        return refused(request, "parts_page/orders.html", _context(now, typed))
    said(request, words)
    return redirect("orders")
