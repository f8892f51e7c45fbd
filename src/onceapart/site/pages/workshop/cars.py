"""Putting a car in, changing what is known of it, and taking it out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace as replaced
from typing import Any

from onceapart.inspection.known import KnownCar
from onceapart.site.pages.forms import Form
from onceapart.site.pages.workshop.fields import car_fields, pack_of
from onceapart.workshop import Car, Layout, Workshop
from onceapart.workshop.values import suggest_id


def new_id(name: str, workshop: Workshop) -> str:
    """A short name for a new car: the first word of its name that is free, else with a number.

    >>> new_id("The Wren", Workshop(name="x", currency="EUR", hour_worth=0))
    'wren'
    """
    words = [word for word in suggest_id(name).replace("/", "-").split("-") if word not in ("the", "a", "")]
    taken = {car.id for car in workshop.cars}
    base = words[0] if words else "car"
    at = 2
    found = base
    while found in taken:
        found, at = f"{base}-{at}", at + 1
    return found


def blank_car_form(workshop: Workshop) -> Form[Car]:
    """The form of a car to put in, inspected by the rules of the last one."""
    rules = next((c.inspection.rules for c in reversed(workshop.cars) if c.inspection), None)
    form = Form(Car, car_fields(rules, is_new=True))
    for key, value in {**_defaults(), "inspection.rules": rules or ""}.items():
        form.set_typed(key, value)
    return form


def car_form(car: Car) -> Form[Car]:
    """The form of a car as it is."""
    form = Form(Car, car_fields(car.inspection.rules if car.inspection else None), of=car)
    if car.layout is None:
        for key, value in _defaults().items():
            if key.startswith("layout."):
                form.set_typed(key, value)
    return form


def typed_car(typed: Mapping[str, Any], workshop: Workshop, of: Car | None = None) -> Form[Car]:
    """The form as it was typed, with everything that is wrong with it.

    A layout as the library takes it without a word is left out, so that the file stays short.
    """
    rules = str(typed.get("inspection_rules", "")) or None
    if of is None and not str(typed.get("id", "")).strip():
        typed = {**{key: typed[key] for key in typed}, "id": new_id(str(typed.get("name", "")), workshop)}
    form = Form(Car, car_fields(rules, is_new=of is None), typed=typed, of=of)
    pack = pack_of(rules)
    if pack is not None:
        known = form.model or _as_far_as_good(form)
        problems = KnownCar(known, pack).problems
        form.add_problems([replaced(one, where=f"cars[0].{one.where}") for one in problems], "cars", 0)
    if form.model is not None and form.model.layout == Layout() and (of is None or of.layout is None):
        form.model = form.model.model_copy(update={"layout": None})
    return form


def _as_far_as_good(form: Form[Car]) -> Car:
    """A car with the facts that were typed, to say what is wrong with them beside all else."""
    facts = {
        one.key.removeprefix("facts."): one.typed.strip()
        for one in form.fields
        if one.key.startswith("facts.") and one.typed.strip() and not one.problems
    }
    return Car(id="car", name="car", facts=facts)


def _defaults() -> dict[str, str]:
    layout = {f"layout.{i.alias or n}": str(i.default) for n, i in Layout.model_fields.items()}
    return {"rust": "medium", **layout}


def belongings(workshop: Workshop, car: str) -> dict[str, int]:
    """What goes out with a car, in words, and how many of each."""
    without = without_car(workshop, car)
    found = {
        "job": len(workshop.jobs) - len(without.jobs),
        "finding": len(workshop.findings) - len(without.findings),
        "access": len(workshop.access) - len(without.access),
        "aftercare": len(workshop.aftercare) - len(without.aftercare),
    }
    return {word: number for word, number in found.items() if number}


def without_car(workshop: Workshop, car: str) -> Workshop:
    """The workshop without a car and all that is only there for it; offers and the shelf stay."""
    gone = {job.id for job in workshop.jobs if job.car == car}

    def is_of_car(name: str) -> bool:
        return name.startswith(f"{car}/")

    return workshop.model_copy(
        update={
            "cars": tuple(one for one in workshop.cars if one.id != car),
            "findings": tuple(one for one in workshop.findings if one.car != car),
            "access": tuple(one for one in workshop.access if not is_of_car(one.id)),
            "aftercare": tuple(one for one in workshop.aftercare if not is_of_car(one.id)),
            "jobs": tuple(
                one.model_copy(update={"after": tuple(name for name in one.after if name not in gone)})
                if gone.intersection(one.after)
                else one
                for one in workshop.jobs
                if one.car != car
            ),
        }
    )
