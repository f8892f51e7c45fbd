"""Adding jobs: from the library, by hand, and those that findings call for."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from onceapart.bench.card_work import place_words
from onceapart.errors import Problem
from onceapart.inspection.proposing import Proposal
from onceapart.site.pages.forms import Field, Form
from onceapart.site.pages.jobs.fields import WHY, JobForm
from onceapart.site.pages.jobs.library import Found, brought, search_recipes, total_minutes
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.jobs.proposed import proposed_for, reason_words, with_proposals
from onceapart.site.pages.shared import Now, form_page, save, with_workshop
from onceapart.site.store.versions import with_entry
from onceapart.trade import Recipe, load_recipe, recipe_ids
from onceapart.trade.fitting import suited_places
from onceapart.workshop import Car, Job, Layout, Tool, Workshop
from onceapart.workshop.offers_in import free_id

GET_AND_POST = ["GET", "HEAD", "POST"]


@require_GET
@with_workshop
def library(request: HttpRequest, now: Now) -> HttpResponse:
    """Recipes for a car, all of them or those that plain words lead to."""
    look = Looking(now)
    car = look.car(request.GET.get("car", "")) or next(iter(now.cars), "")
    words = request.GET.get("q", "").strip()[:100]
    found = search_recipes(words, (now.cars[car].layout if car else None) or Layout())
    fits = [one for one in found if one.places]
    context = {
        "car": now.cars.get(car),
        "q": words,
        "groups": [("", fits)] if words else _by_system(fits),
        "others": [one for one in found if not one.places],
    }
    return render(request, "jobs/library.html", context)


def _by_system(found: Iterable[Found]) -> list[tuple[str, list[Found]]]:
    groups: dict[str, list[Found]] = {}
    for one in found:
        groups.setdefault(one.system, []).append(one)
    return sorted(groups.items(), key=lambda group: (-len(group[1]), group[0]))


@require_http_methods(GET_AND_POST)
@with_workshop
def from_recipe(request: HttpRequest, now: Now, car: str, recipe: str) -> HttpResponse:
    """What a recipe brings to a car at a place; on POST the job is added."""
    one = now.car(car)
    if recipe not in recipe_ids():
        raise Http404(f"recipe {recipe}")
    found = load_recipe(recipe)
    places = suited_places(found, one.layout or Layout())
    if not places:
        raise Http404(f"recipe {recipe} suits no place of {car}")
    typed = request.POST if request.method == "POST" else None
    asked = (typed or request.GET).get("place", "")
    place = asked if asked in places else places[0]
    look = Looking(now)
    tells = brought(found, one, place, look.counted, look.names, look.users(car))
    fixed = {"id": _new_id(now, one, found, place), "car": car, "recipe": recipe, "place": place}
    form = Form(Job, WHY, typed=typed, fixed=fixed)
    if typed is None:
        form.set_typed("need", request.GET.get("need", "upkeep"))
    elif asked != place:
        form.add_problems(
            [Problem(None, "Place", asked[:40], "it can't be done there", "choose a place below")]
        )
    new = form.model
    if new is not None:
        tools = [
            Tool(id=tool.id, have=request.POST.get(f"have_{tool.id}") == "yes")
            for tool in tells.missing_tools
        ]
        title = f"{found.title}, {place_words(place)}".rstrip(", ")
        if save(
            request, form, f"{one.name}: {title} added", lambda w: _with_job(w, new, tools), section="jobs"
        ):
            return redirect("job", new.id)
    context = {
        "car": one,
        "recipe": found,
        "place": place,
        "places": [(name, place_words(name) or "the whole car") for name in places],
        "tells": tells,
        "total": total_minutes(tells),
        "of_car": now.standing(car),
    }
    return form_page(request, "jobs/recipe.html", context, form)


def _new_id(now: Now, car: Car, recipe: Recipe, place: str) -> str:
    wanted = "-".join([car.id, recipe.id] + [place] * (place != "all"))
    return free_id(wanted, [job.id for job in now.workshop.jobs])


def _with_job(workshop: Workshop, job: Job, tools: Iterable[Tool]) -> Workshop:
    have = {tool.id for tool in workshop.tools}
    new = tuple(tool for tool in tools if tool.id not in have)
    free = free_id(job.id, [one.id for one in workshop.jobs])
    more = workshop.model_copy(update={"tools": (*workshop.tools, *new)})
    return with_entry(more, "jobs", job.model_copy(update={"id": free}))


@require_http_methods(GET_AND_POST)
@with_workshop
def by_hand(request: HttpRequest, now: Now) -> HttpResponse:
    """A job that the library does not have."""
    look = Looking(now)
    car = look.car(request.GET.get("car", ""))
    if not car:
        return render(request, "jobs/which_car.html", {})
    one = now.car(car)
    form = JobForm(now.applied, look.names, car)
    if request.method == "POST":
        form = JobForm(now.applied, look.names, car, typed=request.POST)
        new = form.model
        if new is not None and save(
            request,
            form.form,
            f"{one.name}: {form.title_typed.strip()[:60]} added",
            lambda w: with_entry(w, "jobs", new),
            section="jobs",
        ):
            return redirect("job", new.id)
    title = Field(
        "title",
        "What is to be done",
        hint="A few words; it is called so from then on.",
        wanted=True,
        typed=form.title_typed or request.GET.get("q", "")[:100],
    )
    context = {"car": one, "job_form": form, "title_field": title, "of_car": now.standing(car)}
    return form_page(request, "jobs/by_hand.html", context, form.form)


@require_http_methods(GET_AND_POST)
@with_workshop
def from_findings(request: HttpRequest, now: Now) -> HttpResponse:
    """Jobs that findings call for; on POST some or all of them are added."""
    asked = request.POST.get("car", "") or request.GET.get("car", "")
    cars = [now.car(asked).id] if asked else list(now.cars)
    if request.method == "POST":
        wanted = set(request.POST.getlist("job"))
        new = [one.id for one in proposed_for(now.workshop, cars, now.today).new if one.id in wanted]
        if not new:
            messages.warning(
                request, "Nothing was added: the job is there already, or no finding calls for it now."
            )
        else:
            what = (
                f"{len(new)} jobs added from findings"
                if len(new) > 1
                else f"Job {new[0]} added from findings"
            )
            save(request, None, what, lambda w: with_proposals(w, new, now.today))
        return redirect(f"{request.path}?car={asked}" if asked else request.path)
    found = proposed_for(now.workshop, cars, now.today)
    names = Looking(now).names
    context = {
        "asked": asked,
        "new": [(name, [_proposal(one) for one in found.new if one.car == name]) for name in cars],
        "all": [one.id for one in found.new],
        "there": [
            (
                one.there.id,
                names.job(one.there.id),
                names.car(one.car),
                [reason_words(why) for why in one.reasons],
            )
            for one in found.jobs
            if one.there is not None
        ],
        "uncured": [(reason_words(one.reason), one.why) for one in found.uncured],
        "tools": [names.tool(tool) for tool in found.tools],
        "names": {car: now.cars[car].name for car in cars},
    }
    return render(request, "jobs/from_findings.html", context)


def _proposal(one: Proposal) -> dict[str, object]:
    recipe = load_recipe(one.recipe)
    where = place_words(one.place)
    return {
        "id": one.id,
        "title": f"{recipe.title}, {where}" if where else recipe.title,
        "need": str(one.need),
        "reasons": [reason_words(why) for why in one.reasons],
    }
