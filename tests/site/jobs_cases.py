"""What the tests of jobs and parts share: a chosen plan, a large workshop, forms as a browser sends them."""

import datetime as dt
import html
import random
import re
import time
from collections import Counter
from functools import cache

from onceapart.planning.covering import cheapest_of_part
from onceapart.planning.plan import plan_of
from onceapart.planning.plan_file import figures_to_json
from onceapart.planning.workload import workload_from
from onceapart.site.store.models import PlanRun, Version
from onceapart.site.store.versions import current
from onceapart.trade import apply_recipes
from onceapart.workshop import Car, Inspection, Job, Offer, Seller, Stint, Tool, Workshop, write_workshop

TODAY = dt.date(2026, 3, 5)
RECIPES = (
    ("brake-pads", "front"),
    ("brake-discs", "front"),
    ("brake-shoes", "rear"),
    ("wheel-cylinder", "rear-left"),
    ("lower-arm", "front-left"),
    ("tie-rod-end", "front-right"),
    ("drop-link", "front"),
    ("damper", "rear"),
    ("cv-boot", "front-left"),
    ("exhaust-section", "rear"),
)


def choose_plan(at, units=None):
    """Work by a plan that does every job in the last stint and buys each part where it is cheapest."""
    found = current()
    workload = workload_from(found.worked_out, TODAY)
    if units is None:
        short = Counter()
        for job in workload.jobs:
            short.update(job.parts)
        short.subtract(workload.shelf)
        units = Counter()
        for part, pieces in sorted(short.items()):
            if pieces > 0:
                units.update(cheapest_of_part(workload.offers, part, pieces) or {})
    jobs_in = [[] for _ in workload.stints]
    jobs_in[-1] = [job.id for job in workload.jobs]
    plan = plan_of(workload, jobs_in, dict(units))
    return PlanRun.objects.create(
        asked_at=at,
        ended_at=at,
        today=TODAY,
        version=Version.objects.get(pk=found.number),
        aim="thrift",
        stage=PlanRun.Stage.DONE,
        result={
            "format": "onceapart-plan/1",
            "aim": "thrift",
            "status": "good",
            **figures_to_json(workload, plan),
        },
        is_chosen=True,
    )


@cache
def large_text():
    """A workshop of five cars, 80 jobs, 20 sellers and 1,200 offers, all of it made up."""
    r = random.Random(80_1200)
    cars = tuple(
        Car(
            id=f"car-{n}",
            name=f"Car number {n}",
            inspection=Inspection(due=dt.date(2026, 5, 1), rules="eu-2014-45"),
        )
        for n in range(5)
    )
    jobs = []
    for car in cars:
        for recipe, place in RECIPES:
            need = r.choice(["inspection", "upkeep", "safety"])
            jobs.append(Job(id=f"{car.id}-{recipe}", car=car.id, need=need, recipe=recipe, place=place))
        for n in range(6):
            parts = {f"{car.id}/small-part-{n}-{k}": r.randint(1, 3) for k in range(3)}
            jobs.append(
                Job(id=f"{car.id}-odd-{n}", car=car.id, need="wish", minutes=r.randint(10, 90), parts=parts)
            )
    sellers = tuple(
        Seller(id=f"seller-{n}", name=f"Seller number {n}", delivery=100 * n, days=n, free_from=9000)
        for n in range(20)
    )
    tools = (
        "ball-joint-splitter",
        "piston-wind-back-tool",
        "boot-clip-pliers",
        "bearing-press-set",
        "spring-compressor",
    )
    bare = Workshop(
        name="Large",
        today=TODAY,
        currency="EUR",
        hour_worth=1200,
        cars=cars,
        jobs=tuple(jobs),
        sellers=sellers,
        tools=tuple(Tool(id=name, have=True) for name in tools),
        stints=tuple(Stint(date=TODAY + dt.timedelta(days=7 * n + 2), minutes=9000) for n in range(24)),
    )
    parts = sorted({part for job in apply_recipes(bare).jobs for part in job.parts})
    offers = []
    for n in range(1200):
        kit = {parts[n % len(parts)], *r.sample(parts, r.choices([0, 1, 2], [7, 2, 1])[0])}
        pieces = {part: r.choice([1, 1, 2]) for part in sorted(kit)}
        price = sum(pieces.values()) * r.randint(500, 9000)
        offers.append(Offer(id=f"offer-{n}", seller=r.choice(sellers).id, parts=pieces, price=price))
    return write_workshop(bare.model_copy(update={"offers": tuple(offers)}))


def fields(page, action=None, containing=""):
    """What a browser would send for the first form of a page with that action and text, as it stands."""
    for whole in re.findall(r"<form\b.*?</form>", page, re.S):
        head = whole[: whole.index(">")]
        if 'method="post"' not in head or containing not in whole:
            continue
        if (f'action="{action}"' in head) if action else ("action=" not in head):
            break
    else:
        raise AssertionError(f"no such form: {action}")
    found = {}
    for tag in re.findall(r"<input\b[^>]*>", whole):
        attr = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        kind = attr.get("type", "text")
        if "name" not in attr or (kind in ("radio", "checkbox") and " checked" not in tag):
            continue
        found.setdefault(attr["name"], []).append(html.unescape(attr.get("value", "")))
    for name, text in re.findall(r'<textarea\b[^>]*name="([^"]*)"[^>]*>(.*?)</textarea>', whole, re.S):
        found.setdefault(name, []).append(html.unescape(text))
    for name, options in re.findall(r'<select\b[^>]*name="([^"]*)"[^>]*>(.*?)</select>', whole, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', options) or re.search(
            r'value="([^"]*)"', options
        )
        found.setdefault(name, []).append(html.unescape(chosen[1]))
    return found


def seconds_of(client, url):
    """Processor time that a page takes."""
    begin = time.process_time()
    assert client.get(url).status_code == 200
    return time.process_time() - begin
