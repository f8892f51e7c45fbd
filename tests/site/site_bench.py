"""A small workshop with a plan that is worked by, for the tests of bench, release and record."""

from __future__ import annotations

import datetime as dt
import html
import json
import re

from onceapart.bench.card import job_card
from onceapart.bench.card_model import Card
from onceapart.planning.plan import Aim
from onceapart.planning.plan_file import plan_from_json, plan_to_json
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.site.store.models import PlanRun, Version
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import take_in
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop

YARD = """
format: onceapart-workshop/1
name: Yard
today: 2026-03-07
currency: EUR
hour_worth: 12.00
cars:
  - {id: wren, name: The Wren, inspection: {due: 2026-04-11}}
  - {id: heron, name: The Heron}
tools:
  - {id: piston-wind-back-tool, have: true}
jobs:
  - {id: wren-pads, car: wren, need: inspection, recipe: brake-pads, place: front}
  - {id: wren-exhaust, car: wren, need: inspection, recipe: exhaust-section, place: rear}
  - {id: heron-mirror, car: heron, need: upkeep, worth: 30.00, minutes: 20}
shelf: {wren/rear/exhaust-section: 1, wren/rear/exhaust-fitting-kit: 1}
sellers: [{id: counter, name: Parts counter, delivery: 0, days: 0}]
offers:
  - {id: pads, seller: counter, parts: {wren/front/brake-pad-set: 1}, price: 24.00}
  - {id: pad-kit, seller: counter, parts: {wren/front/pad-fitting-kit: 1}, price: 6.00}
stints: [{date: 2026-03-07, minutes: 420}, {date: 2026-03-14, minutes: 300}]
"""
STINT = "2026-03-07"
_MADE: dict[str, dict[str, object]] = {}


def yard(at: dt.datetime, text: str = YARD) -> Version:
    """The yard, and its plan chosen."""
    version = take_in(text, at=at)
    workload = workload_from(apply_recipes(parse_workshop(text)))
    if text not in _MADE:
        _MADE[text] = plan_to_json(workload, best_plan(workload, Aim.BALANCE))
    PlanRun.objects.create(
        asked_at=at,
        today=workload.today,
        version=version,
        aim="balance",
        stage="done",
        result=_MADE[text],
        is_chosen=True,
    )
    return version


def yard_card(text: str = YARD, at: int = 0) -> Card:
    """The card of a stint of the yard, as the engine makes it."""
    workshop = apply_recipes(parse_workshop(text))
    workload = workload_from(workshop)
    return job_card(workshop, plan_from_json(workload, _MADE[text]), at, workload=workload)


def entries() -> tuple[dict[str, object], ...]:
    """The record, plainly."""
    return tuple(one.model_dump(mode="json", exclude_none=True) for one in DatabaseRecord().entries())


def send(client, *sent):
    """Send entries as the script does; the answer, read."""
    answer = client.post("/bench/send/", json.dumps({"entries": sent}), content_type="application/json")
    assert answer.status_code == 200, answer.content
    return answer.json()


def tick(number: int, step: str, car: str = "wren", kind: str = "ticked") -> dict[str, str]:
    """A tick as the script sends it."""
    time = f"2026-03-07T10:{number % 60:02}:00+00:00"
    return {"kind": kind, "id": f"tick-{number}", "time": time, "car": car, "step": step, "stint": STINT}


def words(answer) -> str:
    """What a page says, without its marks."""
    page = answer.content.decode()
    page = re.sub(r"<template.*?</template>", " ", page, flags=re.S)
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page[page.index("<main") :])))
