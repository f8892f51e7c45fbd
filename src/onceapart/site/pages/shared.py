"""What every page needs: the workshop as it is now, its record, changing it, and saying what failed.

A page that shows the workshop begins with ``@with_workshop``; one that changes it is like this::

    @with_workshop
    def rename(request: HttpRequest, now: Now, car: str) -> HttpResponse:
        one = now.car(car)                                    # 404 if there is none
        form = Form(Car, FIELDS, of=one)
        if request.method == "POST":
            form = Form(Car, FIELDS, of=one, typed=request.POST)
            if form.model and save(request, form, f"Changed {one.name}",
                                   lambda w: with_entry(w, "cars", form.model, Ref("cars", car))):
                return redirect("workshop")
        return form_page(request, "workshop/car.html", {"now": now, "form": form}, form)

and its form holds ``{% csrf_token %}{% mark_of now "cars" car.id %}``, so that nobody writes over what
somebody else has changed meanwhile.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property, wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from onceapart.bench.entries import Entry
from onceapart.bench.release import CarRelease
from onceapart.bench.release_work import Work
from onceapart.bench.state import State
from onceapart.errors import Problem
from onceapart.site.pages.forms import Form
from onceapart.site.pages.kept import Standing, standing_of
from onceapart.site.store.models import Version
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import (
    BusyError,
    ChangedMeanwhileError,
    ChangeRefusedError,
    Current,
    NothingThereError,
    Ref,
    change,
    current,
    mark,
)
from onceapart.workshop import Car, Workshop

P = ParamSpec("P")

MENU = (
    ("workshop", "Workshop", "/", True),
    ("findings", "Findings", "/cars/{car}/findings/", True),
    ("jobs", "Jobs", "/jobs/", False),
    ("parts", "Parts", "/parts/", False),
    ("plan", "Plan", "/plan/", True),
    ("bench", "Bench", "/bench/", True),
    ("record", "Record", "/record/", False),
    ("sums", "Sums", "/sums/", False),
)
"""Name, label, address, and whether it is in the bar for the thumb."""


class Shown(HttpRequest):
    """A request with the workshop that its page shows."""

    shown: Now


@dataclass(frozen=True)
class CarStanding:
    """What every page of a car says of it: its release and its open stopgaps, in words."""

    car: Car
    release: CarRelease

    @property
    def status(self) -> str:
        return str(self.release.status)

    @property
    def stopgaps(self) -> tuple[str, ...]:
        return self.release.stopgaps


@dataclass(frozen=True)
class Now:
    """The workshop and its record as a page shows them, each read once a request."""

    found: Current
    today: dt.date

    @classmethod
    def of(cls, found: Current) -> Now:
        return cls(found, found.workshop.today or timezone.localdate())

    @property
    def number(self) -> int:
        """Number of the version."""
        return self.found.number

    @property
    def workshop(self) -> Workshop:
        return self.found.workshop

    @cached_property
    def cars(self) -> Mapping[str, Car]:
        return {car.id: car for car in self.workshop.cars}

    def car(self, car: str) -> Car:
        """A car by its id; Http404 if there is none."""
        if car not in self.cars:
            raise Http404(f"car {car}")
        return self.cars[car]

    @cached_property
    def applied(self) -> Workshop:
        """The workshop with what recipes bring to its jobs."""
        return self.found.worked_out

    @property
    def _standing(self) -> Standing:
        return standing_of(self.applied)

    @property
    def work(self) -> Work:
        """What is known of its work, as release asks for."""
        return self._standing.work

    @property
    def memo(self) -> dict[Hashable, Any]:
        """Kept as long as the workshop stays as it is: for what is worked out from it and takes long."""
        return self._standing.memo

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """The record; one query."""
        return DatabaseRecord().entries()

    @cached_property
    def state(self) -> State:
        """How things stand at the bench; one query."""
        return DatabaseRecord().state(self.work.job_steps)

    def release(self, car: str) -> CarRelease:
        """Whether a car may go on the road today, and why not."""
        return self._standing.release(self.entries, car, self.today)

    def standing(self, car: str) -> CarStanding:
        """For ``of_car`` in the context of every page of a car; Http404 if there is none."""
        return CarStanding(self.car(car), self.release(car))

    def mark(self, section: str, key: str = "") -> str:
        """The mark of an entry, for a hidden field of the form that changes it."""
        return mark(self.workshop, Ref(section, key))


def with_workshop(
    view: Callable[Concatenate[HttpRequest, Now, P], HttpResponse],
) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
    """A view that is given the workshop; before there is one, the page that takes one in."""

    @wraps(view)
    def wrapped(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        now = look(request)
        if now is None:
            return redirect("take-in")
        return view(request, now, *args, **kwargs)

    return wrapped


def look(request: HttpRequest) -> Now | None:
    """The workshop as it is now, for this request and its frame; None before there is one."""
    found = current()
    now = None if found is None else Now.of(found)
    request.shown = now  # type: ignore[attr-defined]
    return now


def around_every_page(request: HttpRequest) -> dict[str, Any]:
    """What the frame of every page shows; see ``templates/base.html``."""
    now: Now | None = getattr(request, "shown", None)
    here, cars = _here(request.path_info), list(now.cars) if now else []
    first = cars[0] if cars else ""
    car = next((one for one in cars if request.path_info.startswith(f"/cars/{one}/")), first)
    menu = [
        {
            "name": name,
            "label": label,
            "url": url.format(car=car) if car or "{" not in url else "/",
            "in_bar": in_bar,
            "is_here": name == here,
        }
        for name, label, url, in_bar in MENU
    ]
    return {"now": now, "units": units_of(request), "menu": menu, "here": here}


def _here(path: str) -> str:
    steps = [step for step in path.split("/") if step]
    if not steps:
        return "workshop"
    if steps[0] == "cars":
        return "findings" if "findings" in steps[2:] else "bench" if "release" in steps[2:] else "workshop"
    return {"orders": "parts"}.get(steps[0], steps[0])


def units_of(request: HttpRequest) -> str:
    """``metric`` or ``imperial``: how amounts are shown. Both are taken in, whatever is shown."""
    return "imperial" if request.COOKIES.get("units") == "imperial" else "metric"


def who_is(request: HttpRequest) -> str:
    """Name of the person at this browser, as given under "Workshop and you"; "" if not given."""
    return str(request.session.get("who", ""))


def marks_in(request: HttpRequest) -> dict[Ref, str]:
    """How the entries stood that a form was made from: its hidden fields of ``{% mark_of %}``."""
    found = {}
    for text in request.POST.getlist("mark"):
        name, _, shown = text.rpartition("=")
        section, _, key = name.partition("/")
        found[Ref(section, key)] = shown
    return found


def said(request: HttpRequest, text: str, version: Version | None = None) -> None:
    """Say something at the top of the next page; with a version, and offer to undo it."""
    messages.success(request, text, extra_tags=f"undo-{version.number}" if version else "")


def save(
    request: HttpRequest,
    form: Form[Any] | None,
    what: str,
    edit: Callable[[Workshop], Workshop],
    *,
    section: str = "",
    index: int | None = None,
) -> Version | None:
    """Change the workshop from a form, and say so with an undo at the next page.

    Parameters
    ----------
    request : HttpRequest
        Its hidden marks guard against lost updates.
    form : Form or None
        Is told what is wrong, each problem at its field as far as ``section`` and ``index`` lead there.
        Without one, problems are said at the top of the next page.
    what : str
        The change in words, as in ``Changed the mass of Pickle``.
    edit : callable
        From the workshop as it is to the new one.

    Returns
    -------
    Version or None
        None: nothing was changed, and the form or a message says why.
    """
    try:
        version = change(what, edit, at=timezone.now(), who=who_is(request), marks=marks_in(request))
    except ChangeRefusedError as error:
        problems: tuple[Problem, ...] = error.problems
    except ChangedMeanwhileError as error:
        problems = (changed_meanwhile(error),)
    except (NothingThereError, BusyError) as error:
        rule, _, way_out = str(error).partition("; ")
        problems = (Problem(None, "", "", rule, way_out or "load the page anew"),)
    else:
        said(request, f"{what}.", version)
        return version
    if form is not None:
        form.add_problems(problems, section, index)
    else:
        for problem in problems:
            messages.error(request, f"Not saved. {plain_problem(problem)}")
    return None


def changed_meanwhile(error: ChangedMeanwhileError) -> Problem:
    """What a person is told whose change came second."""
    by = (error.by.who if error.by else "") or "somebody else"
    rule = f"{error.ref} was changed meanwhile by {by}"
    if error.by is not None:
        rule += f" (change {error.by.number}: {error.by.what})"
    return Problem(
        None, "", "", rule, "nothing was written over: load the page anew and do your change again"
    )


def plain_problem(problem: Problem) -> str:
    """A problem in one sentence, without a line that the person never saw."""
    value = f"“{problem.value}”: " if problem.value else ""
    where = f"{problem.where}: " if problem.where else ""
    return f"{where}{value}{problem.rule}; {problem.way_out}."


def form_page(
    request: HttpRequest, template: str, context: Mapping[str, Any], form: Form[Any], status: int = 422
) -> HttpResponse:
    """A page with a form: as it is, or with what is wrong with it, and then with status 422."""
    return render(request, template, {**context, "form": form}, status=status if form.has_problems else 200)


def refused(
    request: HttpRequest, template: str, context: Mapping[str, Any], status: int = 422
) -> HttpResponse:
    """A form shown again with what is wrong with it; what was typed is kept."""
    return render(request, template, dict(context), status=status)
