"""The bench: one stint of the plan that is worked by, step by step."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST, require_safe

from onceapart.bench.entries import new_id
from onceapart.site.pages.bench.cards import (
    Progress,
    StintChoice,
    card_of,
    current_stint,
    stints_of,
)
from onceapart.site.pages.bench.sending import bench_of, kept_before, moment
from onceapart.site.pages.bench.showing import (
    FOUND,
    ShownStep,
    groups_of,
    part_words,
    shown_steps,
)
from onceapart.site.pages.bench.snag_forms import KINDS
from onceapart.site.pages.bench.taking import bare_with_unit, take_all, wrong_with
from onceapart.site.pages.planned import Planned, chosen_plan
from onceapart.site.pages.shared import Now, units_of, with_workshop
from onceapart.site.settings import BASE

WORKER = BASE / "static" / "onceapart" / "bench_worker.js"


@require_safe
@never_cache
@with_workshop
def bench(request: HttpRequest, now: Now, stint: str = "") -> HttpResponse:
    """A stint: the one that is on or comes next, or the one asked for."""
    planned = chosen_plan(now.found)
    if planned is None:
        return render(request, "bench/no_plan.html", {"now": now})
    choices = stints_of(planned, now.state)
    choice = _choice(choices, stint, now)
    if choice is None:
        return render(request, "bench/no_plan.html", {"now": now, "planned": planned})
    return _page(request, now, planned, choices, choice, request.GET.get("step", ""))


def _choice(choices: tuple[StintChoice, ...], stint: str, now: Now) -> StintChoice | None:
    if not stint:
        return current_stint(choices, now.today)
    found = next((one for one in choices if one.key == stint), None)
    if found is None and not any(stint in (one.id, one.date.isoformat()) for one in now.workshop.stints):
        raise Http404(f"stint {stint}")
    return found


def _page(
    request: HttpRequest,
    now: Now,
    planned: Planned,
    choices: tuple[StintChoice, ...],
    choice: StintChoice,
    asked: str,
    typed: dict[str, str] | None = None,
    errors: dict[str, str] | None = None,
) -> HttpResponse:
    card = card_of(planned, choice.at)
    standings = [now.standing(car) for car in card.cars if car in now.cars]
    checks = {check.id: check for one in standings for check in one.release.checks}
    progress = Progress(card, choice.name, now.state, checks, planned.record_number)
    steps = shown_steps(progress, units_of(request), typed or {}, errors or {}, asked)
    shown = _shown(asked, steps, progress)
    running = progress.running
    worked = progress.minutes_worked
    context = {
        "now": now,
        "planned": planned,
        "choices": choices,
        "choice": choice,
        "card": card,
        "steps": steps,
        "groups": groups_of(steps),
        "shown": shown,
        "done": len(progress.done),
        "standings": standings,
        "parts": [part_words(part) for part in card.lay_out.parts],
        "tools": [(tool.title, FOUND.get(tool.from_where, "")) for tool in card.lay_out.tools],
        "new_fasteners": [
            what if count == 1 else f"{count} × {what}"
            for what, count in (card.lay_out.new_fasteners or {}).items()
        ],
        "job_titles": [(job.title, job.place.replace("-", " "), job.minutes) for job in card.jobs],
        "running": running,
        "worked": worked,
        "worked_now": worked + (_minutes_since(moment(now), running.start) if running else 0),
        "clock_once": new_id(),
        "errors": errors or {},
        "snags": [one for standing in standings for one in now.state.open_snags(standing.car.id)],
        "is_past": choice.date < now.today,
        "last_number": now.state.last_number,
        "kinds": KINDS,
    }
    return render(request, "bench/bench.html", context, status=422 if errors else 200)


def _minutes_since(now: Any, start: Any) -> int:
    return max(0, int((now - start).total_seconds() // 60))


def _shown(asked: str, steps: tuple[ShownStep, ...], progress: Progress) -> int:
    """Number of the step that is shown large; 0 is the list of what to lay out."""
    if asked.isascii() and asked.isdigit() and int(asked[:6]) <= len(steps):
        return int(asked[:6])
    named = next((one.number for one in steps if one.step.id == asked), None)
    return progress.first_open if named is None else named


@require_POST
@with_workshop
def do(request: HttpRequest, now: Now) -> HttpResponse:
    """What a form of the bench sends without a script: a step done or open again, an answer, the clock."""
    typed = {key: str(value)[:2_000] for key, value in request.POST.items()}
    stint, step = typed.get("stint", ""), typed.get("step", "")
    planned = chosen_plan(now.found)
    choices = stints_of(planned, now.state) if planned else ()
    choice = next((one for one in choices if one.key == stint), None)
    if planned is None or choice is None:
        messages.error(request, "Not kept: there is no such stint in the plan that is worked by now.")
        return redirect("bench")
    entries, names = _entries_of_form(typed, choice.name)
    at, is_kept = bench_of(request, now), kept_before(one["id"] for one in entries)
    wrong = wrong_with(entries, at, is_kept)
    answers = [] if any(wrong) else take_all(entries, at, is_kept)
    wrong = [one.why if one.state != "kept" else "" for one in answers] or wrong
    errors = {name: why for name, why in zip(names, wrong, strict=True) if why}
    if errors:
        return _page(request, Now.of(now.found), planned, choices, choice, step, typed, errors)
    for one in answers:
        if one.why:
            messages.warning(request, f"Entry {one.number}: {one.why}.")
    there = reverse("bench-stint", args=[choice.key])
    number = typed.get("next", "")
    return redirect(f"{there}?{urlencode({'step': number})}#step" if number else there)


def _entries_of_form(typed: dict[str, str], stint: str) -> tuple[list[dict[str, str]], list[str]]:
    """Entries that a form means, and for each the name of its field."""
    once, go = typed.get("once", ""), typed.get("go", "")
    base = {"stint": stint, "car": typed.get("car", ""), "step": typed.get("step", "")}
    if go in ("started", "stopped"):
        return [{"kind": go, "id": once, "stint": stint}], ["clock"]
    if go in ("yes", "no"):
        check = base["step"].partition(":")[2]
        said = {"value": typed.get("value", "")} if go == "yes" else {"words": typed.get("words", "")}
        return [
            {"kind": "check answered", "id": once, "car": base["car"], "check": check, "answer": go, **said}
        ], ["check"]
    if go == "unticked":
        return [{"kind": "unticked", "id": f"{once}-u", **base}], ["step"]
    found, names = [], []
    for key in sorted(typed):
        if key == "value" and typed[key].strip():
            text = bare_with_unit(typed[key], typed.get("unit-value", ""))
            found.append({"kind": "measured", "id": f"{once}-m", "value": text, **base})
            names.append(key)
        elif key.startswith("torque-") and typed[key].strip():
            text = bare_with_unit(typed[key], typed.get(f"unit-{key}", ""))
            fastener = typed.get(f"fastener-{key}", "")
            entry = {"kind": "tightened", "id": f"{once}-{key}", "torque": text, "fastener": fastener}
            found.append({**entry, **base})
            names.append(key)
    found.append({"kind": "ticked", "id": f"{once}-d", **base})
    return found, [*names, "step"]


@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The script that opens the bench without a line; it has to come from here to be heard here."""
    response = HttpResponse(WORKER.read_text(encoding="utf-8"), content_type="text/javascript")
    response["Cache-Control"] = "no-cache"
    return response
