"""Sums: the list of them, each as a form with its answer, and those kept with a car."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET, require_POST

from onceapart.errors import SumError
from onceapart.site.pages.shared import Now, with_workshop
from onceapart.site.pages.sums.forms import SumField, SumForm, sum_form, typed_of
from onceapart.site.store.models import KeptSum
from onceapart.sums.plots import plot_svg
from onceapart.sums.present import System
from onceapart.sums.registry import Sum, family_names, find_sum, load_family
from onceapart.sums.run import run_sum


@require_GET
@with_workshop
def sums(request: HttpRequest, now: Now) -> HttpResponse:
    """All sums by family, and what was kept."""
    kept = KeptSum.objects.filter(removed_at=None).order_by("-at")[:100]
    names = {one.name: one.title for family in family_names() for one in load_family(family).sums}
    rows = [(one, names.get(one.name, one.name), now.cars.get(one.car)) for one in kept]
    families = [load_family(name) for name in family_names()]
    return render(request, "sums/sums.html", {"now": now, "families": families, "kept": rows})


@require_GET
@with_workshop
def one_sum(request: HttpRequest, now: Now, name: str) -> HttpResponse:
    """A sum's form; with its answer once it was sent. The address holds all, so it can be kept or shared."""
    asked = _sum(name)
    typed = typed_of(asked, request.GET)
    is_sent = "go" in request.GET
    if "example" in request.GET:
        typed, is_sent = {**dict.fromkeys(typed, ""), **asked.example}, True
    form = sum_form(asked, typed, _units(request), is_sent=is_sent)
    given = urlencode({SumField(key, "").name: text for key, text in typed.items() if text})
    context = {"now": now, "asked": asked, "form": form, "given": given, "is_sent": is_sent}
    return render(request, "sums/sum.html", context, status=422 if form.has_problems else 200)


@require_GET
@cache_control(private=True, max_age=3600)
def drawing(request: HttpRequest, name: str) -> HttpResponse:
    """The drawing to scale of an answer."""
    asked = _sum(name)
    try:
        result = run_sum(asked.name, typed_of(asked, request.GET))
    except SumError:
        raise Http404("nothing to draw from these inputs") from None
    if not result.drawing:
        raise Http404("no drawing")
    return HttpResponse(result.drawing, content_type="image/svg+xml")


@require_GET
@cache_control(private=True, max_age=3600)
def plot(request: HttpRequest, name: str) -> HttpResponse:
    """The plot of an answer."""
    asked = _sum(name)
    try:
        result = run_sum(asked.name, typed_of(asked, request.GET))
    except SumError:
        raise Http404("nothing to plot from these inputs") from None
    if result.plot is None:
        raise Http404("no plot")
    return HttpResponse(plot_svg(result.plot()), content_type="image/svg+xml")


@require_POST
@with_workshop
def keep(request: HttpRequest, now: Now, name: str) -> HttpResponse:
    """Keep an answer with a car, worked out anew from what was typed."""
    asked = _sum(name)
    typed = typed_of(asked, request.POST)
    form: SumForm = sum_form(asked, typed, "metric", is_sent=True)
    given = {key: text for key, text in typed.items() if text}
    back = f"{reverse('sum', args=[name])}?{urlencode({'go': '1', **request_names(given)})}"
    car = request.POST.get("car", "")
    if form.answer is None or car not in now.cars:
        messages.error(request, "Not kept: name a car, and inputs that have an answer.")
        return redirect(back)
    KeptSum.objects.create(
        car=car,
        name=asked.name,
        given=given,
        result=form.answer.plain,
        note=request.POST.get("note", "").strip()[:200],
        at=timezone.now(),
    )
    messages.success(request, f"Kept with {now.cars[car].name}.")
    return redirect(back)


@require_GET
@with_workshop
def kept(request: HttpRequest, now: Now, pk: int) -> HttpResponse:
    """A kept sum as it was answered then."""
    one = get_object_or_404(KeptSum, pk=pk)
    asked = _sum(one.name)
    form = sum_form(asked, one.given, _units(request), is_sent=True)
    then = one.result.get("values", {})
    has_changed = form.answer is None or form.answer.plain["values"] != then
    context = {
        "now": now,
        "asked": asked,
        "kept": one,
        "car": now.cars.get(one.car),
        "form": form,
        "given": urlencode(request_names(one.given)),
        "then": then,
        "has_changed": has_changed,
    }
    return render(request, "sums/kept.html", context)


@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a kept sum aside; it can be put back."""
    one = get_object_or_404(KeptSum, pk=pk)
    KeptSum.objects.filter(pk=one.pk).update(removed_at=timezone.now())
    messages.success(request, "Taken out of the list. It is still there: put it back below.")
    return redirect("sum-kept", pk=pk)


@require_POST
def put_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a kept sum back into the list."""
    one = get_object_or_404(KeptSum, pk=pk)
    KeptSum.objects.filter(pk=one.pk).update(removed_at=None)
    messages.success(request, "Back in the list.")
    return redirect("sum-kept", pk=pk)


def request_names(given: dict[str, str]) -> dict[str, str]:
    """Inputs by the names that the form sends them under."""
    return {SumField(key, "").name: text for key, text in given.items()}


def _sum(name: str) -> Sum:
    try:
        return find_sum(name)
    except SumError as error:
        raise Http404(str(error)) from None


def _units(request: HttpRequest) -> System:
    return "imperial" if request.COOKIES.get("units") == "imperial" else "metric"
