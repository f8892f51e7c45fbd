"""Pages to put a car in, to change what is known of it, and to take it out."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from onceapart.site.pages.shared import Now, form_page, save, with_workshop
from onceapart.site.pages.workshop.cars import (
    belongings,
    blank_car_form,
    car_form,
    typed_car,
    without_car,
)
from onceapart.site.store.versions import Ref, with_entry

GET_AND_POST = ["GET", "HEAD", "POST"]


@require_http_methods(GET_AND_POST)
@with_workshop
def new_car(request: HttpRequest, now: Now) -> HttpResponse:
    form = blank_car_form(now.workshop)
    if request.method == "POST":
        form = typed_car(request.POST, now.workshop)
        car = form.model
        if car is not None and save(
            request, form, f"{car.name} put in", lambda w: with_entry(w, "cars", car), section="cars"
        ):
            return redirect("workshop")
    return form_page(request, "workshop/car.html", {"car": None}, form)


@require_http_methods(GET_AND_POST)
@with_workshop
def edit_car(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    one = now.car(car)
    form = car_form(one)
    if request.method == "POST":
        form = typed_car(request.POST, now.workshop, one)
        new = form.model
        index = list(now.cars).index(car)
        if new is not None and save(
            request,
            form,
            f"{new.name}: what is known of it changed",
            lambda w: with_entry(w, "cars", new, Ref("cars", car)),
            section="cars",
            index=index,
        ):
            return redirect("workshop")
    return form_page(request, "workshop/car.html", {"car": one, "of_car": now.standing(car)}, form)


@require_http_methods(GET_AND_POST)
@with_workshop
def take_out_car(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """Say what goes out with a car; on POST take it out."""
    one = now.car(car)
    if request.method == "POST":
        if save(request, None, f"{one.name} taken out", lambda w: without_car(w, car)):
            return redirect("workshop")
        return redirect("car-take-out", car)
    context = {"car": one, "belongings": belongings(now.workshop, car), "of_car": now.standing(car)}
    return render(request, "workshop/car_out.html", context)
