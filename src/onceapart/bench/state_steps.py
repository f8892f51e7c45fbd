"""Which steps there are to tick in a workshop, by their ids, and which car each is of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from onceapart.bench.release_work import Work
from onceapart.trade.jobs import car_of
from onceapart.trade.schema import Measurement
from onceapart.workshop.values import nearest


@dataclass(frozen=True)
class KnownStep:
    """A step that can be ticked. ``measures``: what is measured in it, for a step that measures."""

    id: str
    car: str
    words: str
    job: str | None = None
    measures: Measurement | None = None


def known_steps(work: Work) -> dict[str, KnownStep]:
    """Every step of the jobs, access and aftercare of a workshop, by id; jobs first.

    A stint's job card names those of them that are to be done in it.
    """
    return {step.id: step for step in _steps(work)}


def unknown_step(step: str, known: dict[str, KnownStep]) -> str:
    """What to say of a step that there isn't: the ones it may have meant."""
    if step.startswith("check:"):
        return f"{step}: a check is answered, not ticked; use `onceapart release FILE CAR --yes CHECK`"
    near = nearest(step, list(known))
    ending = [one for one in known if one.endswith((f":{step}", f"/{step}"))]
    guesses = ending[:4] or ([near] if near else [])
    way_out = f"did you mean {' or '.join(guesses)}?" if guesses else "`onceapart tick FILE` lists them all"
    return f"{step}: there is no step with this id; {way_out}"


def _steps(work: Work) -> Iterator[KnownStep]:
    for job in work.workshop.jobs:
        yield KnownStep(f"do:{job.id}", job.car, "all of the job", job.id)
        fitted = work.fitted.jobs.get(job.id)
        if fitted is None:
            yield KnownStep(f"do:{job.id}:work", job.car, "the work", job.id)
            continue
        for one in fitted.operations:
            at = "" if one.place == fitted.place else f":{one.place}"
            yield KnownStep(f"do:{job.id}:{one.what.id}{at}", job.car, one.what.do, job.id)
        for measured in fitted.measurements:
            at = "" if measured.place == fitted.place else f":{measured.place}"
            step = f"measure:{job.id}:{measured.what.id}{at}"
            yield KnownStep(step, job.car, measured.what.what, job.id, measured.what)
        late = {one.place for one in fitted.fasteners if one.what.on_wheels}
        for place in sorted(late):
            at = "" if place == fitted.place else f":{place}"
            yield KnownStep(f"tighten:{job.id}{at}", job.car, "tighten on the ground", job.id)
    for access in work.workshop.access:
        car = _car(work, access.id, [job.car for job in work.workshop.jobs if access.id in job.access])
        for kind in ("loosen", "off", "on", "tighten"):
            yield KnownStep(f"{kind}:{access.id}", car, kind)
    for care in work.workshop.aftercare:
        car = _car(work, care.id, [job.car for job in work.workshop.jobs if care.id in job.aftercare])
        yield KnownStep(f"aftercare:{care.id}", car, work.words_of_check(care.id)[0])


def _car(work: Work, full_id: str, cars: list[str]) -> str:
    """The car in an id; else the first that asks for it, else the first there is."""
    found = car_of(work.workshop, full_id)
    if found is not None:
        return found.id
    return next(iter([*cars, *(car.id for car in work.workshop.cars)]), "")
