"""Offers and sellers: the lists of them, putting one in, changing it, taking it out."""

from __future__ import annotations

from typing import TypeVar

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from onceapart.site.pages.forms import Form
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.parts.offer_form import SELLER_FIELDS, OfferForm
from onceapart.site.pages.shared import Now, form_page, save, with_workshop
from onceapart.site.store.versions import Ref, with_entry, without_entry
from onceapart.workshop import Offer, Seller, Workshop
from onceapart.workshop.offers_in import free_id
from onceapart.workshop.part_names import words_of
from onceapart.workshop.values import suggest_id

Entry = TypeVar("Entry", Offer, Seller)

GET_AND_POST = ["GET", "HEAD", "POST"]
PAGE = 100


@require_GET
@with_workshop
def offers(request: HttpRequest, now: Now) -> HttpResponse:
    """Offers, a hundred a page, those of one seller or with some words in them."""
    look = Looking(now)
    names = look.names
    seller, words = request.GET.get("seller", ""), request.GET.get("q", "").strip()[:100]
    wanted = words_of(words)
    sellers = look.counted.sellers
    found = []
    for one in now.workshop.offers:
        if seller and one.seller != seller:
            continue
        titles = [names.part(part) for part in one.parts]
        cars = dict.fromkeys(names.car(names.car_in(part)) for part in one.parts)
        told = f"{one.id} {one.title or ''} {' '.join(one.parts)} {' '.join(titles)} {' '.join(cars)}"
        if wanted and not wanted <= words_of(told):
            continue
        found.append((one, sellers[one.seller].name, titles, ", ".join(cars)))
    number = request.GET.get("page", "1")
    page = int(number) if number.isascii() and number.isdigit() and len(number) < 6 else 1
    shown = found[PAGE * (page - 1) : PAGE * page]
    asked: dict[str, str | int] = {key: value for key, value in (("seller", seller), ("q", words)) if value}
    context = {
        "offers": shown,
        "count": len(found),
        "seller": seller,
        "q": words,
        "page": page,
        "before": urlencode({**asked, "page": page - 1}) if page > 1 else "",
        "after": urlencode({**asked, "page": page + 1}) if len(found) > PAGE * page else "",
    }
    return render(request, "parts_page/offers.html", context)


@require_http_methods(GET_AND_POST)
@with_workshop
def new_offer(request: HttpRequest, now: Now) -> HttpResponse:
    names = Looking(now).names
    part, seller = request.GET.get("part", ""), request.GET.get("seller", "")
    form = OfferForm(now.applied, names, part=part, seller=seller)
    if request.method == "POST":
        form = OfferForm(now.applied, names, typed=request.POST)
        new = form.model
        if new is not None and save(
            request, form.form, f"Offer {new.id} put in", lambda w: _with_offer(w, new), section="offers"
        ):
            if "more" in request.POST:
                return redirect(f"{reverse('offer-new')}?{urlencode({'seller': new.seller})}")
            return redirect("parts")
    return form_page(request, "parts_page/offer.html", {"offer": None, "offer_form": form}, form.form)


def _with_offer(workshop: Workshop, new: Offer) -> Workshop:
    free = free_id(new.id, [one.id for one in workshop.offers])
    return with_entry(workshop, "offers", new.model_copy(update={"id": free}))


@require_http_methods(GET_AND_POST)
@with_workshop
def edit_offer(request: HttpRequest, now: Now, offer: str) -> HttpResponse:
    index, one = _found(now.workshop.offers, offer, "offer")
    names = Looking(now).names
    form = OfferForm(now.applied, names, of=one)
    if request.method == "POST":
        if "out" in request.POST:
            save(request, None, f"Offer {offer} taken out", lambda w: without_entry(w, Ref("offers", offer)))
            return redirect("offers")
        form = OfferForm(now.applied, names, of=one, typed=request.POST)
        new = form.model
        if new is not None and save(
            request,
            form.form,
            f"Offer {offer} changed",
            lambda w: with_entry(w, "offers", new, Ref("offers", offer)),
            section="offers",
            index=index,
        ):
            return redirect("offers")
    return form_page(request, "parts_page/offer.html", {"offer": one, "offer_form": form}, form.form)


@require_http_methods(GET_AND_POST)
@with_workshop
def sellers(request: HttpRequest, now: Now) -> HttpResponse:
    """All sellers; on POST one more."""
    form = Form(Seller, SELLER_FIELDS)
    if request.method == "POST":
        name = suggest_id(request.POST.get("name", "")).replace("/", "-") or "seller"
        fixed = {"id": free_id(name, [one.id for one in now.workshop.sellers])}
        form = Form(Seller, SELLER_FIELDS, typed=request.POST, fixed=fixed)
        new = form.model
        if new is not None and save(
            request,
            form,
            f"Seller {new.name} put in",
            lambda w: with_entry(w, "sellers", new),
            section="sellers",
        ):
            return redirect("sellers")
    counts = _counts(now.workshop)
    rows = [(one, counts.get(one.id, 0)) for one in now.workshop.sellers]
    return form_page(request, "parts_page/sellers.html", {"rows": rows}, form)


@require_http_methods(GET_AND_POST)
@with_workshop
def edit_seller(request: HttpRequest, now: Now, seller: str) -> HttpResponse:
    index, one = _found(now.workshop.sellers, seller, "seller")
    form = Form(Seller, SELLER_FIELDS, of=one)
    if request.method == "POST":
        if "out" in request.POST:
            save(request, None, f"Seller {one.name} taken out", lambda w: without_seller(w, seller))
            return redirect("sellers")
        form = Form(Seller, SELLER_FIELDS, typed=request.POST, of=one)
        new = form.model
        if new is not None and save(
            request,
            form,
            f"Seller {new.name} changed",
            lambda w: with_entry(w, "sellers", new, Ref("sellers", seller)),
            section="sellers",
            index=index,
        ):
            return redirect("sellers")
    context = {"seller": one, "count": _counts(now.workshop).get(seller, 0)}
    return form_page(request, "parts_page/seller.html", context, form)


def without_seller(workshop: Workshop, seller: str) -> Workshop:
    """The workshop without a seller and all that is offered there."""
    kept = tuple(one for one in workshop.offers if one.seller != seller)
    return without_entry(workshop.model_copy(update={"offers": kept}), Ref("sellers", seller))


def _counts(workshop: Workshop) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in workshop.offers:
        found[one.seller] = found.get(one.seller, 0) + 1
    return found


def _found(entries: tuple[Entry, ...], key: str, what: str) -> tuple[int, Entry]:
    for index, one in enumerate(entries):
        if one.id == key:
            return index, one
    raise Http404(f"{what} {key}")
