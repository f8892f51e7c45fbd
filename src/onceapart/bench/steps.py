"""The steps of a stint, each with what it says, its minutes and what it is for; not yet in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from onceapart.bench.card_model import StepFastener, StepKind, StepMeasurement
from onceapart.bench.card_work import CardWork, job_title, overlaps, spoken, titled
from onceapart.bench.release_work import ALWAYS, UNKNOWN_WORK
from onceapart.bench.torque_band import takes_torque, torque_band
from onceapart.trade import FittedRecipe
from onceapart.trade.fitting import Placed
from onceapart.trade.jobs import fasteners_of_access, split_minutes
from onceapart.trade.schema import Fastener, Measurement, Operation, ReleaseCheck, Stage
from onceapart.workshop import Car


@dataclass
class Draft:
    """A step in the making. ``cars``: those it has to do with, of which it stands with the first or last."""

    id: str
    kind: StepKind
    cars: tuple[str, ...]
    place: str
    title: str
    words: str
    stage: Stage
    minutes: int = 0
    jobs: tuple[str, ...] = ()
    access: str | None = None
    job: str | None = None
    fasteners: list[StepFastener] = field(default_factory=list)
    measurements: tuple[StepMeasurement, ...] = ()
    sources: tuple[str, ...] = ()
    """Jobs and accesses that ask for a check or an aftercare."""


def drafts_of(work: CardWork) -> list[Draft]:
    """Every step of the stint: accesses off, jobs, accesses on, aftercare, checks."""
    off = [draft for access in work.access for draft in _off(work, access)]
    on = [draft for access in work.access for draft in _on(work, access)]
    jobs = [draft for job in work.jobs for draft in _job(work, job)]
    return [*off, *jobs, *on, *_aftercare(work), *_checks(work)]


def _off(work: CardWork, access: str) -> Iterator[Draft]:
    if access in work.found_off:
        return
    fitted, name = work.fitted.access.get(access), work.name(access)
    cars, place, jobs = work.cars_of_access(access), work.place(access), work.jobs_behind(access)
    if fitted is not None and fitted.work.before:
        title = f"Loosen {spoken(name)}"
        yield Draft(
            f"loosen:{access}", StepKind.LOOSEN, cars, place, title, fitted.work.before, "before-raising",
            jobs=jobs, access=access,
        )  # fmt: skip
    is_raise = work.is_raise(access)
    title = _axle_words(place, "up") if is_raise else titled(f"{spoken(name)} off")
    yield Draft(
        f"off:{access}",
        StepKind.RAISE if is_raise else StepKind.OFF,
        cars,
        place,
        title,
        fitted.work.do if fitted else "Take it off; keep what belongs together together.",
        "apart",
        work.workload.access_by_id[access].minutes_off,
        jobs,
        access,
        fasteners=_fasteners_of(work, access, is_tightened=False),
    )


def _on(work: CardWork, access: str) -> Iterator[Draft]:
    if access in work.left_off:
        return
    fitted, name = work.fitted.access.get(access), work.name(access)
    cars, place, jobs = work.cars_of_access(access), work.place(access), work.jobs_behind(access)
    one = work.workload.access_by_id[access]
    is_raise = work.is_raise(access)
    fasteners = [found for found in _fasteners_of(work, access, is_tightened=True) if found.is_tightened]
    late = set()
    if any(work.is_raise(under) for under in work.under([access])):
        late = {placed.id for placed in _placed(work, access) if placed.what.on_wheels}
    words = "In the reverse order." if fitted is None else fitted.work.on_again or "In the reverse order."
    yield Draft(
        f"on:{access}",
        StepKind.LOWER if is_raise else StepKind.ON,
        cars,
        place,
        _axle_words(place, "down") if is_raise else titled(f"{spoken(name)} on again"),
        words,
        "apart",
        one.minutes - one.minutes_off,
        jobs,
        access,
        fasteners=[found for found in fasteners if found.id not in late],
    )
    last = [found for found in fasteners if found.id in late]
    if last:
        yield _tighten(f"tighten:{access}", cars, place, jobs, last, access=access)


def _tighten(
    step_id: str,
    cars: tuple[str, ...],
    place: str,
    jobs: tuple[str, ...],
    fasteners: list[StepFastener],
    *,
    access: str | None = None,
    job: str | None = None,
) -> Draft:
    what = " and ".join(dict.fromkeys(found.what for found in fasteners))
    return Draft(
        step_id, StepKind.TIGHTEN, cars, place, f"Tighten {what}",
        "With the car standing on its wheels.", "on-the-ground", jobs=jobs, access=access, job=job,
        fasteners=fasteners,
    )  # fmt: skip


def _axle_words(place: str, way: str) -> str:
    return f"{titled(place)} axle {way}" if place in ("front", "rear") else f"Car {way}"


def _car(work: CardWork, car_id: str) -> Car | None:
    return next((car for car in work.workshop.cars if car.id == car_id), None)


def _placed(work: CardWork, access: str) -> tuple[Placed[Fastener], ...]:
    fitted = work.fitted.access.get(access)
    car = _car(work, work.cars_named(access)[0])
    return fasteners_of_access(fitted, car) if fitted is not None and car is not None else ()


def _fasteners_of(work: CardWork, access: str, *, is_tightened: bool) -> list[StepFastener]:
    return [_fastener(one, is_tightened=is_tightened) for one in _placed(work, access)]


def _fastener(placed: Placed[Fastener], *, is_tightened: bool) -> StepFastener:
    one = placed.what
    blank = is_tightened and takes_torque(one.thread)
    return StepFastener(
        placed.id, placed.place, one.what, one.thread, one.drive, one.count, one.renew, blank,
        torque_band(one.thread) if blank else None,
    )  # fmt: skip


def _job(work: CardWork, job_id: str) -> list[Draft]:
    job, fitted = work.jobs[job_id], work.recipe(job_id)
    minutes = work.workload.job[job_id].minutes
    if fitted is None or not fitted.operations:
        words = "as the car's manual says; there is no recipe for it here."
        place = job.place or _common_place(work, job.access)
        title = job_title(job, fitted)
        return [
            Draft(f"do:{job_id}:work", StepKind.DO, (job.car,), place, title, words, "apart", minutes,
                  (job_id,), job=job_id)
        ]  # fmt: skip
    shares = split_minutes(minutes, [placed.what.minutes for placed in fitted.operations])
    drafts = list(_measures(fitted, job_id, job.car, None))
    for placed, share in zip(fitted.operations, shares, strict=True):
        drafts.append(_operation(fitted, placed, share, job_id, job.car))
        drafts += _measures(fitted, job_id, job.car, placed)
    return [*drafts, *_job_fasteners(fitted, job_id, job.car, drafts)]


def _common_place(work: CardWork, access: Iterable[str]) -> str:
    """Where a job without a place is done: where all is that comes off for it, if that is one place."""
    places = {work.place(one) for one in access}
    return places.pop() if len(places) == 1 else "all"


def _suffix(fitted: FittedRecipe, place: str) -> str:
    return "" if place == fitted.place else f":{place}"


def _operation(fitted: FittedRecipe, placed: Placed[Operation], minutes: int, job_id: str, car: str) -> Draft:
    one = placed.what
    return Draft(
        f"do:{job_id}:{one.id}{_suffix(fitted, placed.place)}", StepKind.DO, (car,), placed.place,
        fitted.recipe.title, one.do, one.stage, minutes, (job_id,), job=job_id,
    )  # fmt: skip


def _measures(
    fitted: FittedRecipe, job_id: str, car: str, during: Placed[Operation] | None
) -> Iterator[Draft]:
    """Measurements taken in an operation; without one, those that are taken as soon as they can be."""
    operations = {placed.what.id for placed in fitted.operations}
    for placed in fitted.measurements:
        one = placed.what
        if during is None:
            stage = one.stage
            if one.during in operations:
                continue
        elif one.during != during.what.id or not _is_taken_at(placed, during, fitted):
            continue
        else:
            stage = during.what.stage
        blank = StepMeasurement(placed.id, one.what, one.quantity, one.unit, one.limit)
        yield Draft(
            f"measure:{job_id}:{one.id}{_suffix(fitted, placed.place)}", StepKind.MEASURE, (car,),
            placed.place, f"{fitted.recipe.title}: measure", titled(one.what), stage, 0, (job_id,),
            job=job_id, measurements=(blank,),
        )  # fmt: skip


def _is_taken_at(placed: Placed[Measurement], during: Placed[Operation], fitted: FittedRecipe) -> bool:
    """Whether of an operation's places this is the last one that a measurement has to do with."""
    at = [one for one in fitted.operations if one.what.id == during.what.id]
    same = [one for one in at if one.place == placed.place]
    near = same or [one for one in at if overlaps(one.place, placed.place)] or at
    return near[-1] == during


def _job_fasteners(fitted: FittedRecipe, job_id: str, car: str, drafts: list[Draft]) -> Iterator[Draft]:
    """Give the job's own fasteners to the last step that has to do with them; some wait for the ground."""
    late: dict[str, list[StepFastener]] = {}
    for placed in fitted.fasteners:
        one = _fastener(placed, is_tightened=True)
        if placed.what.on_wheels and one.is_tightened:
            late.setdefault(placed.place, []).append(one)
            continue
        near = [
            draft for draft in drafts if draft.kind is StepKind.DO and overlaps(draft.place, placed.place)
        ]
        raised = [draft for draft in near if draft.stage in ("apart", "closed-up")]
        same = [draft for draft in raised if draft.place == placed.place]
        last = (same or raised or near or [drafts[-1]])[-1]
        last.fasteners.append(one)
    for place, fasteners in late.items():
        yield _tighten(
            f"tighten:{job_id}{_suffix(fitted, place)}", (car,), place, (job_id,), fasteners, job=job_id
        )


def _aftercare(work: CardWork) -> Iterator[Draft]:
    """Aftercare, in the library's order: an alignment before the drive that beds the brakes in."""
    order = list(work.fitted.library.aftercare)
    known = {care: order.index(one.id) for care, one in work.fitted.aftercare.items()}
    for care in sorted(work.work.aftercare, key=lambda care: (known.get(care, len(order)), care)):
        fitted = work.fitted.aftercare.get(care)
        jobs, access = work.jobs_bringing(care), work.access_bringing(care)
        behind = [job for one in access for job in work.jobs_behind(one)]
        yield Draft(
            f"aftercare:{care}",
            StepKind.AFTERCARE,
            work.cars_of_aftercare(care),
            work.place(care),
            fitted.title if fitted else titled(spoken(work.name(care))),
            fitted.do if fitted else "As the car's manual says.",
            fitted.stage if fitted else "on-the-ground",
            work.workload.aftercare_by_id[care].minutes,
            tuple(job for job in work.jobs if job in {*jobs, *behind}),
            sources=(*jobs, *access),
        )


def _checks(work: CardWork) -> Iterator[Draft]:
    """Release checks of what was done and of what comes off, those of any work, and of work nobody knows.

    In the library's order.
    """
    found: dict[str, Placed[ReleaseCheck]] = {}
    sources: dict[str, list[str]] = {}
    cars: dict[str, tuple[str, ...]] = {}

    def take(placed: Placed[ReleaseCheck], source: str, of: tuple[str, ...]) -> None:
        found.setdefault(placed.id, placed)
        sources.setdefault(placed.id, []).append(source)
        cars.setdefault(placed.id, of)

    for job_id, job in work.jobs.items():
        fitted = work.recipe(job_id)
        for placed in fitted.release if fitted else ():
            take(placed, job_id, (job.car,))
    for access in work.access:
        off = work.fitted.access.get(access)
        for placed in off.release if off else ():
            take(placed, access, work.cars_named(access))
    for job_id, job in work.jobs.items():
        for name in ALWAYS if work.recipe(job_id) else (*ALWAYS, *UNKNOWN_WORK):
            check = work.fitted.library.release[name]
            take(Placed(f"{job.car}/{name}", "all", check), job_id, (job.car,))
    order = list(work.fitted.library.release)
    for placed in sorted(found.values(), key=lambda placed: order.index(placed.what.id)):
        asked = sources[placed.id]
        jobs = {job for one in asked for job in ((one,) if one in work.jobs else work.jobs_behind(one))}
        yield Draft(
            f"check:{placed.id}", StepKind.CHECK, cars[placed.id], placed.place, placed.what.title,
            placed.what.check, placed.what.stage, jobs=tuple(job for job in work.jobs if job in jobs),
            sources=tuple(dict.fromkeys(asked)),
        )  # fmt: skip
