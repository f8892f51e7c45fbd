"""What every page needs: the workshop as it is now, and how to say that something failed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, wraps
from typing import Any, Concatenate, ParamSpec

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from onceapart.site.store.versions import Current, Ref, current, mark
from onceapart.workshop import Car, Workshop

P = ParamSpec("P")


class Shown(HttpRequest):
    """A request with the workshop that its page shows."""

    shown: Now


@dataclass(frozen=True)
class Now:
    """The workshop as a page shows it, read once a request."""

    number: int
    workshop: Workshop
    today: dt.date

    @classmethod
    def of(cls, found: Current) -> Now:
        return cls(found.number, found.workshop, found.workshop.today or timezone.localdate())

    @cached_property
    def cars(self) -> Mapping[str, Car]:
        return {car.id: car for car in self.workshop.cars}

    def mark(self, section: str, key: str = "") -> str:
        """The mark of an entry, for a hidden field of the form that changes it."""
        return mark(self.workshop, Ref(section, key))


def with_workshop(
    view: Callable[Concatenate[HttpRequest, Now, P], HttpResponse],
) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
    """A view that is given the workshop; before there is one, the page that takes one in."""

    @wraps(view)
    def wrapped(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        found = current()
        if found is None:
            return redirect("take-in")
        now = Now.of(found)
        request.shown = now  # type: ignore[attr-defined]
        return view(request, now, *args, **kwargs)

    return wrapped


def around_every_page(request: HttpRequest) -> dict[str, Any]:
    """What the frame of every page shows; see ``templates/base.html``."""
    return {"now": getattr(request, "shown", None), "units": request.COOKIES.get("units", "metric")}


def refused(
    request: HttpRequest, template: str, context: Mapping[str, Any], status: int = 422
) -> HttpResponse:
    """A form shown again with what is wrong with it; what was typed is kept."""
    return render(request, template, dict(context), status=status)
