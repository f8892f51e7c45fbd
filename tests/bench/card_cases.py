"""Made-up workshops and plans to make cards from. All is invented but the recipes."""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache

from onceapart.bench.card import job_card
from onceapart.bench.card_model import Card
from onceapart.bench.order import MOST_STATES
from onceapart.demo import read_demo
from onceapart.planning.plan import Aim, Plan, plan_of
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.trade import Library, apply_recipes, load_recipe, recipe_ids
from onceapart.trade.fitting import suited_places
from onceapart.workshop import PLACES, Access, Aftercare, Car, Job, Layout, Stint, Tool, Workshop


@dataclass(frozen=True)
class Case:
    workshop: Workshop
    workload: Workload
    plan: Plan

    def card(self, at: int = 0, most_states: int = MOST_STATES) -> Card:
        return job_card(self.workshop, self.plan, at, workload=self.workload, most_states=most_states)


@cache
def demo() -> Case:
    workshop = apply_recipes(read_demo().workshop)
    workload = workload_from(workshop)
    plan = best_plan(workload, Aim.BALANCE).plan
    assert plan is not None
    return Case(workshop, workload, plan)


def workshop_of(*jobs: Job, cars: tuple[Car, ...] = (), stints: int = 1, **sections: object) -> Workshop:
    """A workshop with every special tool in hand and long stints, its recipes applied."""
    given: dict[str, object] = {
        "name": "Quay Lane",
        "today": "2026-03-02",
        "currency": "EUR",
        "hour_worth": 1200,
        "cars": cars or (Car(id="wren", name="The Wren"),),
        "tools": tuple(Tool(id=tool, have=True) for tool in Library().tools),
        "jobs": jobs,
        "stints": tuple(Stint(date=f"2026-03-{7 + at:02}", minutes=5000) for at in range(stints)),
    }
    return apply_recipes(Workshop.model_validate({**given, **sections}))


def case_of(workshop: Workshop, *jobs_in: list[str]) -> Case:
    """The plan that does these jobs in these stints; by default all in the first."""
    workload = workload_from(workshop)
    filled = list(jobs_in) or [[job.id for job in workshop.jobs]]
    filled += [[]] * (len(workload.stints) - len(filled))
    return Case(workshop, workload, plan_of(workload, filled, {}))


def job(job_id: str, car: str = "wren", **keys: object) -> Job:
    """A job that needs no parts."""
    return Job.model_validate({"id": job_id, "car": car, "need": "upkeep", "parts": {}, **keys})


def random_case(seed: int, most_jobs: int = 6, stints: int = 1) -> Case:
    """Jobs with and without recipes on one to three cars of any layout; always the same for a seed."""
    chance = random.Random(f"card {seed} {most_jobs} {stints}")
    cars = tuple(_car(chance, number) for number in range(chance.choice([1, 1, 2, 3])))
    access = tuple(_own_access(chance, car.id, number) for car in cars for number in range(2))
    care = tuple(Aftercare(id=f"{car.id}/hoovering", minutes=chance.randint(0, 9), price=0) for car in cars)
    jobs: list[Job] = []
    for number in range(chance.randint(1, most_jobs)):
        car = chance.choice(cars)
        keys: dict[str, object] = {}
        recipe = load_recipe(chance.choice(recipe_ids()))
        places = suited_places(recipe, car.layout or Layout())
        if not jobs:  # a workshop without any recipe knows nothing of the library's wheels
            keys = {"recipe": "brake-fluid", "place": "all"}
        elif places and chance.random() < 0.8:
            keys = {"recipe": recipe.id, "place": chance.choice(places)}
            if chance.random() < 0.3:
                keys["minutes"] = chance.randint(0, 200)
        else:
            own = [one.id for one in access if one.id.startswith(car.id)]
            keys = {"minutes": chance.randint(0, 90), "access": chance.sample(own, chance.randint(0, 2))}
        if chance.random() < 0.2:
            keys["aftercare"] = [f"{car.id}/hoovering"]
        before = [one.id for one in jobs]
        keys["after"] = chance.sample(before, min(len(before), chance.choice([0, 0, 1, 2])))
        jobs.append(job(f"job-{number}", car.id, **keys))
    workshop = workshop_of(*jobs, cars=cars, stints=stints, access=access, aftercare=care)
    placed: list[list[str]] = [[] for _ in range(stints)]
    for one in jobs:
        placed[chance.randrange(stints)].append(one.id)
    return case_of(workshop, *placed)


def _car(chance: random.Random, number: int) -> Car:
    layout = Layout(
        drive=chance.choice(["front", "rear", "all"]),
        front_brakes=chance.choice(["disc", "drum"]),
        rear_brakes=chance.choice(["disc", "drum"]),
        front_suspension=chance.choice(["strut", "double-wishbone"]),
        rear_suspension=chance.choice(["beam", "strut", "double-wishbone", "live-axle", "trailing-arm"]),
        fuel=chance.choice(["petrol", "diesel"]),
    )
    return Car(id=f"car-{number}", name=f"Car {number}", layout=layout)


def _own_access(chance: random.Random, car: str, number: int) -> Access:
    place = chance.choice(PLACES)
    name = f"{car}/cover-{number}" if place == "all" else f"{car}/{place}/cover-{number}"
    under = chance.choice([(), (), (f"{car}/front-left/wheel",), (f"{car}/rear/on-stands",)])
    return Access(id=name, minutes=chance.randint(0, 31), under=under)
