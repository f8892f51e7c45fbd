"""What papers are made from: the plan that is worked by with all it rests on, and the record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace

from onceapart.bench.card_model import Card
from onceapart.bench.release_work import Work, work_of
from onceapart.bench.replan import PRETENDED
from onceapart.bench.state import State
from onceapart.bench.stopgap import open_stopgaps
from onceapart.paper.drawings import Drawing, stopgap_drawings
from onceapart.paper.order_sheets import Orders, orders_of
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.site.pages.bench.cards import StintChoice, card_of, stints_of
from onceapart.site.pages.planned import Planned, chosen_plan
from onceapart.site.pages.shared import Now
from onceapart.site.store.basis import basis_of
from onceapart.site.store.models import Photo
from onceapart.site.store.photos import photo_path
from onceapart.site.store.runs import chosen
from onceapart.workshop import Workshop

MOST_PHOTO_BYTES = 300_000_000
"""Bytes of all photos in one dossier; what is beyond is named and not shown."""


@dataclass(frozen=True)
class Material:
    """With a plan: the workshop as it was planned, all jobs in it. Without one: as it is now."""

    work: Work
    workload: Workload
    plan: Plan | None
    planned: Planned | None
    planned_workshop: Workshop
    """What the plan is of: where work had begun, what was left of it."""
    stints: tuple[StintChoice, ...]


def material(now: Now) -> Material:
    """What papers are made from at this moment."""
    planned, run = chosen_plan(now.found), chosen()
    if planned is None or run is None:
        return Material(now.work, workload_from(now.applied, now.today), None, None, now.applied, ())
    basis = basis_of(run)
    whole = basis.left.work if basis.left is not None else work_of(basis.workshop)
    part = basis.left.workshop if basis.left is not None else basis.workshop
    return Material(whole, planned.workload, planned.plan, planned, part, stints_of(planned, now.state))


def orders_to_place(found: Material) -> Orders | None:
    """The orders of the plan without what is on its way; None if there is nothing to be ordered."""
    if found.plan is None:
        return None
    made = orders_of(found.planned_workshop, found.workload, found.plan)
    sheets = tuple(one for one in made.sheets if one.seller not in PRETENDED)
    return replace(made, sheets=sheets) if sheets else None


def card_with_stopgaps(
    found: Material, choice: StintChoice, state: State, today: dt.date
) -> tuple[Card, tuple[Drawing, ...]]:
    """The card of a stint with the open stopgaps of its cars on top, and the drawings of these."""
    assert found.planned is not None
    card = card_of(found.planned, choice.at)
    texts = tuple(text for car in card.cars for text in open_stopgaps(state, car, on=max(today, card.date)))
    drawings = stopgap_drawings(one for one in state.open_stopgaps() if one.fitted.car in card.cars)
    return replace(card, open_stopgaps=texts), drawings


def photos_of(names: Iterable[str | None]) -> dict[str, bytes]:
    """Contents of the photos of these names that are kept here."""
    wanted = {one for one in names if one}
    content: dict[str, bytes] = {}
    size = 0
    for photo in Photo.objects.filter(name__in=wanted, removed_at=None).order_by("name"):
        try:
            data = photo_path(photo).read_bytes()
        except OSError:
            continue  # the dossier says which it could not show
        size += len(data)
        if size > MOST_PHOTO_BYTES:
            break
        content[photo.name] = data
    return content
