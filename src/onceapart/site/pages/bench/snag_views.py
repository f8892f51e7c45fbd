"""Snags: saying that something is wrong, seeing the ways on, closing one, and planning anew."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from pydantic import ValidationError

from onceapart.bench.entries import SnagClosed, new_id
from onceapart.bench.record import RecordError
from onceapart.bench.release_work import Work
from onceapart.bench.snag import SnagError, Where, same_snag, snag_entry, where_of
from onceapart.bench.state import Snag
from onceapart.bench.state_steps import KnownStep, known_steps
from onceapart.bench.ways import WayOn, cautions_of, ways_on
from onceapart.errors import OnceapartError, Problem
from onceapart.planning.plan import Aim
from onceapart.site.pages.bench.anew import left_now
from onceapart.site.pages.bench.sending import moment
from onceapart.site.pages.bench.showing import words_of_step
from onceapart.site.pages.bench.snag_forms import KIND_WORDS, KINDS, SnagTyped, snag_fields
from onceapart.site.pages.bench.taking import plain_words
from onceapart.site.pages.forms import Form
from onceapart.site.pages.shared import Now, said, who_is, with_workshop
from onceapart.site.store import runs as queue
from onceapart.site.store.record import DatabaseRecord
from onceapart.trade.snag_ways import all_ways

GET_AND_POST = ["GET", "HEAD", "POST"]


@require_GET
@with_workshop
def snags(request: HttpRequest, now: Now) -> HttpResponse:
    """All snags, the open ones first."""
    found = sorted(now.state.snags, key=lambda one: (not one.is_open, -one.opened.number))
    rows = [(one, KIND_WORDS[one.opened.snag], now.cars.get(one.opened.car)) for one in found[:200]]
    return render(request, "bench/snags.html", {"now": now, "rows": rows})


@require_http_methods(GET_AND_POST)
@with_workshop
def new_snag(request: HttpRequest, now: Now) -> HttpResponse:
    """Something is wrong: at a step, or on a car."""
    given = request.POST if request.method == "POST" else request.GET
    step = known_steps(now.work).get(str(given.get("step", "")))
    car = now.car(step.car if step else str(given.get("car", "")))
    fields = snag_fields(_parts(now, step), [(one.id, one.id.replace("-", " ")) for one in now.applied.tools])
    stint = " ".join(str(given.get("stint", "")).split())[:60]  # no line break in an address
    if request.method == "POST":
        form = Form(SnagTyped, fields, typed=request.POST)
        if form.model is not None:
            opened = _open(request, now, car.id, step, form)
            if opened is not None:
                return redirect("snag", opened)
    else:
        form = Form(SnagTyped, fields)
        form.set_typed("snag", str(given.get("snag", "")))
    context = {
        "now": now,
        "of_car": now.standing(car.id),
        "car": car,
        "step": step,
        "step_words": words_of_step(step) if step else "",
        "stint": stint,
        "form": form,
        "kinds": KINDS,
        "once": str(given.get("once", "")) or new_id(),
    }
    return render(request, "bench/new_snag.html", context, status=422 if form.has_problems else 200)


def _parts(now: Now, step: KnownStep | None) -> list[tuple[str, str]]:
    """Parts that a snag at a step may be about: those of its job, else all there are."""
    job = now.work.jobs.get(step.job or "") if step else None
    parts = list(job.parts) if job else [part for one in now.applied.jobs for part in one.parts]
    return [(part, part.replace("/", ", ").replace("-", " ")) for part in dict.fromkeys(parts)]


def _open(
    request: HttpRequest, now: Now, car: str, step: KnownStep | None, form: Form[SnagTyped]
) -> int | None:
    """Number of the snag that was opened, or is open already; None where the form says what is wrong."""
    typed = form.model
    assert typed is not None
    steps = [step.id] if step and not step.id.startswith(("measure:", "aftercare:")) else []
    danger = {"yes": True, "no": False}.get(typed.danger or "")
    try:
        entry = snag_entry(
            now.work, now.state, car, typed.snag, steps, time=moment(now), words=typed.words,
            job=step.job if step else None, part=typed.part, tool=typed.tool, dangerous=danger,
            who=who_is(request) or None,
        )  # fmt: skip
        once = str(request.POST.get("once", ""))
        entry = entry.model_validate({**entry.model_dump(), "id": once or entry.id})
        same = same_snag(now.state, entry)
        return same.opened.number if same else DatabaseRecord().append(entry).number
    except ValidationError as error:
        form.add_problems([Problem(None, "", "", str(error.errors()[0]["msg"]), "load the page anew")])
    except (SnagError, RecordError) as error:
        text = plain_words(str(error))
        if typed.snag in ("wrong part", "bad part") and "which part" in text:
            text = "a part that is wrong or bad is named; pick which part it is"
        elif typed.snag == "missing tool" and "which?" in text:
            text = "a tool that is missing is named; pick it, or put it in under Workshop, Special tools"
        rule, _, way_out = text.partition("; ")
        form.add_problems([Problem(None, "", "", rule, way_out or "mend it and send it again")])
    return None


@require_GET
@with_workshop
def one_snag(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """A snag: what is chosen, or the ways on from it."""
    snag = numbered(now, number)
    context = {**snag_context(now, snag), "ways": [], "against": [], "chosen": None}
    if snag.is_open:
        ways, _ = ways_of_snag(now, snag)
        context["ways"] = [(key_of(one), one, cautions_of(now.work, one.way)) for one in ways if one.number]
        context["against"] = [one for one in ways if not one.number]
    if snag.ways:
        context["chosen"] = all_ways().get(snag.ways[-1].way)
    return render(request, "bench/snag.html", context)


def numbered(now: Now, number: int) -> Snag:
    """A snag by the number of its entry; Http404 if there is none, or its car is gone."""
    found = next((one for one in now.state.snags if one.opened.number == number), None)
    if found is None or found.opened.car not in now.cars:
        raise Http404(f"snag {number}")
    return found


def snag_context(now: Now, snag: Snag) -> dict[str, Any]:
    """What every page of a snag shows."""
    opened = snag.opened
    step = known_steps(now.work).get(opened.step or "")
    return {
        "now": now,
        "of_car": now.standing(opened.car),
        "car": now.cars[opened.car],
        "snag": snag,
        "kind": KIND_WORDS[opened.snag],
        "step": step,
        "step_words": words_of_step(step) if step else "",
        "stopgap": next((one for one in now.state.stopgaps if one.fitted.snag == opened.id), None),
        "currency": now.workshop.currency,
    }


def ways_of_snag(now: Now, snag: Snag) -> tuple[tuple[WayOn, ...], Any]:
    """The ways on from a snag, and what is left of the work."""
    left = left_now(now, moment(now))
    return ways_on(now.work, now.state, left, snag.opened), left


def key_of(made: WayOn) -> str:
    """What a way is called in addresses: numbers of ways change with what happens."""
    return made.way.id + (f"~{made.buy.offer.id}" if made.buy is not None else "")


def where_is(work: Work, now: Now, snag: Snag) -> Where:
    """Where a snag is on its car."""
    return where_of(work, now.state, snag.opened)


@require_POST
@with_workshop
def close_snag(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """A snag is settled, and how."""
    snag = numbered(now, number)
    how = str(request.POST.get("how", "")).replace("\r\n", "\n")
    to = "release" if request.POST.get("to") == "release" else "snag"
    there = [snag.opened.car] if to == "release" else [number]
    if not snag.is_open:
        messages.info(request, "This snag was closed already.")
        return redirect(to, *there)
    try:
        entry = SnagClosed(
            id=new_id(), time=moment(now), who=who_is(request) or None, snag=snag.opened.id, how=how
        )
        DatabaseRecord().append(entry)
    except ValidationError:
        messages.error(request, "Not closed. It is not said how it was settled: write it in a few words.")
        return redirect(to, *there)
    except RecordError as error:
        messages.error(request, f"Not closed. {error}.")
        return redirect(to, *there)
    said(request, "The snag is closed. What was found and done about it stays in the record.")
    return redirect(to, *there)


@require_POST
@with_workshop
def ask_anew(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """Ask for a plan of what is left."""
    numbered(now, number)
    before = queue.chosen()
    aim = Aim(before.aim) if before else Aim.BALANCE
    try:
        run = queue.ask(aim, at=timezone.now(), today=now.today)
    except OnceapartError as error:
        messages.error(request, f"No plan was asked for. {error}.")
        return redirect("snag", number)
    said(request, "What is left is being planned anew. Look at it, and choose it if it suits you.")
    return redirect("plan-run", run.pk)
