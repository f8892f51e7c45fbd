"""What comes off to get where: the picture of it, and times of one's own."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from onceapart.site.pages.forms import Field, Form
from onceapart.site.pages.jobs.access_picture import access_picture
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.shared import Now, form_page, save, with_workshop
from onceapart.site.store.versions import Ref, with_entry, without_entry
from onceapart.workshop import Access, Aftercare

GET_AND_POST = ["GET", "HEAD", "POST"]
ACCESS_FIELDS = (
    Field("minutes", "Off and on again, together", "minutes", "As in 45 min or 1 h 10.", wanted=True),
    Field("between", "In a good and in a bad case", "two", "Minutes, as in 30 to 90."),
    Field("under", "What has to be off before", "words", "Names as in the list, with commas between."),
    Field("tools", "Special tools", "words"),
    Field("aftercare", "Aftercare that it brings", "words", "As in wheel-alignment, with the car in front."),
    Field("may_stand", "It may stay off from one stint to the next", "flag"),
)
CARE_FIELDS = (
    Field("minutes", "How long it takes", "minutes", wanted=True),
    Field("price", "What it costs", "money", "Nought if you do it yourself.", wanted=True),
)
KINDS: dict[str, tuple[type[Access] | type[Aftercare], tuple[Field, ...], str]] = {
    "access": (Access, ACCESS_FIELDS, "What comes off"),
    "aftercare": (Aftercare, CARE_FIELDS, "Aftercare"),
}


@require_GET
@with_workshop
def picture(request: HttpRequest, now: Now) -> HttpResponse:
    """The access of each car as a drawing."""
    look = Looking(now)
    asked = request.GET.get("car", "")
    car = now.car(asked).id if asked else next(iter(now.cars), "")
    context: dict[str, Any] = {"car": now.cars.get(car)}
    if car:
        (of_car,) = look.jobs([car])
        own = {one.id for one in now.workshop.access}
        own_care = {one.id for one in now.workshop.aftercare}
        context |= {
            "of_jobs": of_car,
            "picture": access_picture(look.workload, of_car.to_do, look.names, now.state.off),
            "numbered": list(enumerate(of_car.to_do, start=1)),
            "access": [
                (one, look.names.access(one.id), one.id in own)
                for one in now.applied.access
                if look.names.car_in(one.id) == car
            ],
            "aftercare": [
                (one, look.names.aftercare(one.id), one.id in own_care)
                for one in now.applied.aftercare
                if look.names.car_in(one.id) == car
            ],
            "of_car": now.standing(car),
        }
    return render(request, "jobs/access.html", context)


@require_http_methods(GET_AND_POST)
@with_workshop
def new_thing(request: HttpRequest, now: Now, kind: str, car: str) -> HttpResponse:
    """Put in something that comes off, or aftercare, that the library does not know."""
    if kind not in KINDS:
        raise Http404(kind)
    one = now.car(car)
    model, fields, _ = KINDS[kind]
    named = (Field("id", "What it is called", "id", "As in passenger door card.", wanted=True), *fields)
    form: Form[Any] = Form(model, named)
    if request.method == "POST":
        form = Form(model, named, typed=_of_car(request, car))
        new = form.model
        if new is not None and save(
            request, form, f"{one.name}: {new.id} put in", lambda w: with_entry(w, kind, new), section=kind
        ):
            return redirect(f"{reverse('access')}?car={car}")
    context = {"kind": kind, "car": one, "thing": None, "of_car": now.standing(car)}
    return form_page(request, "jobs/thing.html", context, form)


def _of_car(request: HttpRequest, car: str) -> Any:
    """What was typed, with the car put before the name."""
    typed = request.POST.copy()
    name = typed.get("id", "").strip().lower()
    if name and not name.startswith(f"{car}/"):
        typed["id"] = f"{car}/{name}"
    return typed


@require_http_methods(GET_AND_POST)
@with_workshop
def change_thing(request: HttpRequest, now: Now, kind: str, key: str) -> HttpResponse:
    """Figures of one's own for something that comes off, or for aftercare."""
    if kind not in KINDS:
        raise Http404(kind)
    model, fields, _ = KINDS[kind]
    own: dict[str, Any] = {one.id: one for one in getattr(now.workshop, kind)}
    known: dict[str, Any] = {one.id: one for one in getattr(now.applied, kind)}
    if key not in known:
        raise Http404(f"{kind} {key}")
    names = Looking(now).names
    title = names.access(key) if kind == "access" else names.aftercare(key)
    back = f"{reverse('access')}?car={names.car_in(key)}"
    form: Form[Any] = Form(model, fields, of=known[key])
    if request.method == "POST":
        if "out" in request.POST:
            if key in own:
                save(
                    request,
                    None,
                    f"{title}: own figures taken out",
                    lambda w: without_entry(w, Ref(kind, key)),
                )
            return redirect(back)
        form = Form(model, fields, typed=request.POST, of=known[key])
        new = form.model
        index = list(own).index(key) if key in own else None
        if new is not None and save(
            request,
            form,
            f"{title}: own figures",
            lambda w: with_entry(w, kind, new, Ref(kind, key) if key in own else None),
            section=kind,
            index=index,
        ):
            return redirect(back)
    car = now.cars.get(names.car_in(key))
    context = {
        "kind": kind,
        "key": key,
        "title": title,
        "thing": known[key],
        "is_own": key in own,
        "car": car,
    }
    if car is not None:
        context["of_car"] = now.standing(car.id)
    return form_page(request, "jobs/thing.html", context, form)
