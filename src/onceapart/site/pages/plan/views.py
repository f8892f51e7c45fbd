"""The plan: the one that is worked by, asking for others, and holding them against one another."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from onceapart.planning.baselines import Baseline, line_by_line, on_its_own
from onceapart.planning.cost import ready_day
from onceapart.planning.plan import Aim
from onceapart.site.pages.plan.asking import AIMS, asked_of, wishes_in_words
from onceapart.site.pages.plan.differing import Difference, difference
from onceapart.site.pages.plan.picture import Way, picture_of
from onceapart.site.pages.plan.reading import Read, read
from onceapart.site.pages.shared import Now, said, with_workshop
from onceapart.site.store import runs as queue
from onceapart.site.store.models import PlanRun
from onceapart.site.store.refs import NothingThereError
from onceapart.site.store.wishes import WishError, wishes_from_json


@require_GET
@with_workshop
def plan(request: HttpRequest, now: Now) -> HttpResponse:
    """The plan that is worked by, or how to get one; the runs; ways held against one another."""
    queue.look()
    chosen = queue.chosen()
    found = read(chosen) if chosen else None
    last = queue.runs(30)
    ways, picture = _compared(now, last)
    of = wishes_from_json(chosen.wishes) if chosen else None
    context = {
        "now": now,
        "chosen": chosen,
        "found": found,
        "is_old": chosen is not None and chosen.version_id != now.number,
        "runs": [_row(now, one) for one in last],
        "is_busy": any(not one.is_over for one in last),
        "ways": ways,
        "picture": picture,
        "asked": asked_of(now.workshop, None, of),
        "aims": _aims(Aim.BALANCE),
    }
    return render(request, "plan/plan.html", context)


@require_POST
@with_workshop
def ask_plan(request: HttpRequest, now: Now) -> HttpResponse:
    """Ask for a plan, as wished."""
    asked = asked_of(now.workshop, request.POST)
    errors = asked.errors
    if not errors:
        try:
            run = queue.ask(asked.aim, asked.wishes, at=timezone.now(), today=now.today)
            return redirect("plan-run", run.pk)
        except WishError as error:
            errors = error.problems
    context = {"now": now, "asked": asked, "aims": _aims(asked.aim), "errors": errors}
    return render(request, "plan/ask.html", context, status=422)


@require_POST
@with_workshop
def ask_all(request: HttpRequest, now: Now) -> HttpResponse:
    """Ask for a plan for each aim, to hold them against one another."""
    for aim in Aim:
        queue.ask(aim, at=timezone.now(), today=now.today)
    said(request, "Four plans are being made, one for each aim.")
    return redirect("plan")


@require_GET
@with_workshop
def run(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """One run: how far it is, or what came of it and how it differs from the plan worked by."""
    queue.look()
    one = _run(number)
    found = read(one)
    chosen = queue.chosen()
    other = read(chosen) if chosen and chosen.pk != one.pk else None
    change: Difference | None = difference(other, found) if other and found else None
    context = {
        **_row(now, one),
        "now": now,
        "found": found,
        "chosen": chosen,
        "change": change,
        "aims": _aims(Aim(one.aim)),
        "asked": asked_of(now.workshop, None, wishes_from_json(one.wishes)),
    }
    return render(request, "plan/run.html", context)


@require_GET
@with_workshop
def progress(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """How far a run is, as a piece of its page; once it is over the page is loaded anew."""
    queue.look()
    one = _run(number)
    response = render(request, "plan/progress.html", {**_row(now, one), "now": now})
    if one.is_over:
        response["HX-Refresh"] = "true"
    return response


@require_POST
@with_workshop
def stop_run(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """Ask for the best plan so far."""
    try:
        queue.stop(number, at=timezone.now())
    except NothingThereError:
        raise Http404(f"plan run {number}") from None
    return redirect("plan-run", number)


@require_POST
@with_workshop
def choose_run(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """Work by this plan from now on."""
    try:
        before = queue.choose(number)
    except NothingThereError:
        raise Http404(f"plan run {number}") from None
    except queue.NotPlannedError as error:
        messages.error(request, str(error))
        return redirect("plan-run", number)
    was = f" The one before is plan {before.pk}: choose it again to go back." if before else ""
    said(request, f"You work by plan {number} now.{was}")
    return redirect("plan")


@require_POST
@with_workshop
def choose_none(request: HttpRequest, now: Now) -> HttpResponse:
    """Work by no plan."""
    before = queue.choose(None)
    if before:
        said(request, f"You work by no plan now. Plan {before.pk} is still here: choose it to go back.")
    return redirect("plan")


def _run(number: int) -> PlanRun:
    one = PlanRun.objects.select_related("version").filter(pk=number).first()
    if one is None:
        raise Http404(f"plan run {number}")
    return one


def _aims(picked: Aim) -> list[tuple[str, str, str, bool]]:
    return [(aim.value, label, hint, aim is picked) for aim, (label, hint) in AIMS.items()]


def _row(now: Now, one: PlanRun) -> dict[str, Any]:
    """What every page says of a run."""
    result = one.result or {}
    return {
        "run": one,
        "aim": AIMS[Aim(one.aim)][0],
        "wishes": wishes_in_words(now.workshop, wishes_from_json(one.wishes)),
        "status": result.get("status", ""),
        "cost": result.get("cost", {}),
        "why": result.get("why", []),
        "is_old": one.version_id != now.number,
    }


def _compared(now: Now, last: tuple[PlanRun, ...]) -> tuple[list[Way], Any]:
    """The newest plan for each aim without wishes, of the workshop as it is, and two plain ways."""
    newest: dict[Aim, Read] = {}
    for one in last:
        if one.version_id == now.number and not one.wishes and Aim(one.aim) not in newest:
            found = read(one)
            if found is not None:
                newest[Aim(one.aim)] = found
    ways = [
        Way(AIMS[aim][0], got.cost.money, ready_day(got.workload, got.plan), got.cost.minutes, run=got.number)
        for aim in Aim
        if (got := newest.get(aim)) is not None
    ]
    first = newest.get(Aim.BALANCE) or next(iter(newest.values()), None)
    if first is not None and first.basis.left is None:
        ways += [_plain(name, base) for name, base in _baselines(first)]
    return ways, picture_of(ways)


def _baselines(one: Read) -> list[tuple[str, Baseline]]:
    done = one.plan.done
    return [
        ("Each job on its own", on_its_own(one.workload, done)),
        ("Cheapest line by line", line_by_line(one.workload, done)),
    ]


def _plain(name: str, base: Baseline) -> Way:
    return Way(name, base.cost.money, base.ready, base.cost.minutes, fits=base.fits)
