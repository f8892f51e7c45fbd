"""One job: what it needs, what it shares, and what the library says of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from onceapart.errors import WorkshopFileError
from onceapart.site.pages.jobs.listing import JobLine, taken_off_first
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.parts.stock import PartNeed, Sold
from onceapart.trade import FittedRecipe, apply_recipes
from onceapart.trade.schema import Caution
from onceapart.workshop import Job, Workshop


@dataclass(frozen=True)
class NeededPart:
    """A part of the job. ``cheapest`` is by the piece, ``kits`` have other parts besides."""

    part: str
    title: str
    pieces: int
    need: PartNeed | None
    cheapest: Sold | None
    kits: int


@dataclass(frozen=True)
class OffFirst:
    """Something that comes off for it. [min]"""

    title: str
    minutes: int
    others: tuple[str, ...]
    """Other jobs that need it off, too."""
    is_off: bool


@dataclass(frozen=True)
class NeededTool:
    title: str
    have: bool
    hire: int | None
    buy: int | None


@dataclass(frozen=True)
class Told:
    """Everything the page of a job says."""

    line: JobLine
    parts: tuple[NeededPart, ...]
    off_first: tuple[OffFirst, ...]
    tools: tuple[NeededTool, ...]
    aftercare: tuple[tuple[str, int, int], ...]
    """Name, minutes, price."""
    fitted: FittedRecipe | None
    cautions: tuple[Caution, ...]
    before: tuple[tuple[str, str, bool], ...]
    """Jobs that come before it: id, title, whether done."""
    behind: tuple[tuple[str, str], ...]
    """Jobs that come after it."""
    overrides: frozenset[str]

    @property
    def own_words(self) -> str:
        """What it has otherwise than its recipe."""
        said: Mapping[str, str] = {
            "minutes": "how long it takes",
            "between": "its good and bad case",
            "access": "what comes off",
            "parts": "its parts",
            "tools": "its tools",
            "aftercare": "its aftercare",
        }
        return ", ".join(said[key] for key in said if key in self.overrides)


def told_of(job: Job, look: Looking) -> Told:
    """All that is known of a job.

    Parameters
    ----------
    job : Job
        With its recipe applied.
    look : Looking
    """
    names, workload, counted = look.names, look.workload, look.counted
    now = look.now
    (of_car,) = look.jobs([job.car])
    line = next(one for one in of_car.lines if one.job.id == job.id)
    users = look.users(job.car)
    opened = workload.opened_for([job.id])
    tools = {tool.id: tool for tool in now.applied.tools}
    cares = {care.id: care for care in now.applied.aftercare}
    fitted = now.work.fitted.jobs.get(job.id)
    cautions = dict.fromkeys(
        [
            *now.work.fitted.cautions_of(job.id),
            *(caution for name in opened for caution in now.work.fitted.cautions_of_access(name)),
        ]
    )
    as_written = next(one for one in now.workshop.jobs if one.id == job.id)
    return Told(
        line=line,
        parts=tuple(
            NeededPart(
                part,
                names.part(part),
                pieces,
                counted.needs.get(part),
                next((one for one in counted.sold.get(part, ()) if not one.is_kit), None),
                sum(one.is_kit for one in counted.sold.get(part, ())),
            )
            for part, pieces in job.parts.items()
        ),
        off_first=tuple(
            OffFirst(
                names.access(name),
                workload.access_by_id[name].minutes,
                tuple(names.job(other) for other in users.get(name, ()) if other != job.id),
                name in now.state.off,
            )
            for name in taken_off_first(workload, opened)
        ),
        tools=tuple(
            NeededTool(names.tool(name), tools[name].have, tools[name].hire, tools[name].buy)
            for name in workload.tools_for([job.id], opened)
        ),
        aftercare=tuple(
            (names.aftercare(name), cares[name].minutes, cares[name].price)
            for name in workload.aftercare_for([job.id], opened)
        ),
        fitted=fitted,
        cautions=tuple(cautions),
        before=tuple((name, names.job(name), now.state.is_job_done(name)) for name in job.after),
        behind=tuple((one.id, names.job(one.id)) for one in now.applied.jobs if job.id in one.after),
        overrides=as_written.overrides if as_written.recipe else frozenset(),
    )


def only_brought(workshop: Workshop, job: Job) -> Job | None:
    """A job with what its recipe brings and nothing of its own; None without a recipe that suits."""
    if job.recipe is None:
        return None
    bare = Job(id=job.id, car=job.car, need=job.need, recipe=job.recipe, place=job.place)
    jobs = tuple(bare if one.id == job.id else one for one in workshop.jobs)
    try:
        applied = apply_recipes(workshop.model_copy(update={"jobs": jobs}))
    except WorkshopFileError:
        return None
    return next(one for one in applied.jobs if one.id == job.id)


def without_job(workshop: Workshop, job: str) -> Workshop:
    """The workshop without a job; others no longer come after it."""
    jobs = tuple(
        one.model_copy(update={"after": tuple(name for name in one.after if name != job)})
        if job in one.after
        else one
        for one in workshop.jobs
        if one.id != job
    )
    return workshop.model_copy(update={"jobs": jobs})
