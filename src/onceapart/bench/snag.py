"""Snags: opening one from what is typed, and where on the car it is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import cast

from onceapart.bench.entries import SNAG_KINDS, SnagKind, SnagOpened, new_id, step_parts
from onceapart.bench.release_work import Work, name_of
from onceapart.bench.replan_jobs import job_of, jobs_gone
from onceapart.bench.state import Snag, State
from onceapart.bench.state_steps import known_steps, unknown_step
from onceapart.bench.stopgap import KNOWN_SYSTEMS, needs_check
from onceapart.errors import OnceapartError
from onceapart.trade import Recipe
from onceapart.trade.trouble import MetFastener, fasteners_of
from onceapart.workshop import Job
from onceapart.workshop.values import nearest

FASTENER = ("broken fastener", "seized fastener")
PART = ("wrong part", "bad part")
OPEN_DANGER = ("broken fastener", "damage found", "left unfinished")
"""Kinds after which a car is dangerous as it stands, where a failure can kill; of the others it is not yet
known to be worse than before."""


class SnagError(OnceapartError):
    """A snag, or a way on from it, that can't be; the message gives value, rule and way out."""


@dataclass(frozen=True)
class Where:
    """Where a snag is. ``system`` is the one of ``systems`` in which a failure does most harm."""

    job: Job | None
    access: tuple[str, ...]
    systems: tuple[str, ...]
    system: str
    fasteners: tuple[MetFastener, ...]


def kind_of(typed: str) -> SnagKind:
    """A kind of snag as a person types it; raises SnagError.

    >>> kind_of("broken-fastener"), kind_of("seized"), kind_of("unfinished")
    ('broken fastener', 'seized fastener', 'left unfinished')
    """
    words = typed.strip().lower().replace("-", " ")
    found = [kind for kind in SNAG_KINDS if words in (kind, *kind.split()) or kind.startswith(words)]
    exact = [kind for kind in SNAG_KINDS if kind == words]
    if words and (exact or len(found) == 1):
        return cast(SnagKind, (exact or found)[0])
    names = [kind.replace(" ", "-") for kind in SNAG_KINDS]
    near = nearest(typed, names)
    way_out = f"did you mean {near}?" if near else f"use one of {', '.join(names)}"
    raise SnagError(f"{typed}: there is no such kind of snag; {way_out}")


def snag_entry(
    work: Work,
    state: State,
    car: str,
    kind: SnagKind,
    steps: Sequence[str],
    *,
    time: dt.datetime,
    words: str | None = None,
    job: str | None = None,
    part: str | None = None,
    tool: str | None = None,
    dangerous: bool | None = None,
    who: str | None = None,
    odometer: str | None = None,
    recipes: Iterable[Recipe] = (),
) -> SnagOpened:
    """The entry that opens a snag.

    Parameters
    ----------
    work, state
        The workshop and how it stands.
    car : str
        Id of the car.
    kind : SnagKind
    steps : sequence of str
        Steps that it blocks, ids of jobs, or of what comes off.
    time : datetime
    words : str, optional
        What happened; without it the kind and the step.
    job, part, tool : str, optional
        The job it is in, the part or the tool it is about, where that does not follow from the steps.
    dangerous : bool, optional
        Whether the car is as it stands. By default it is where something broke, is damaged or unfinished in
        a system in which a failure can kill, or in one that nobody knows.
    who, odometer : str, optional
    recipes : iterable of Recipe, optional
        The recipes of one's own that the workshop was applied with.

    Raises
    ------
    SnagError
        Something named is not there, or part or tool are wanted and do not follow.
    """
    cars = [one.id for one in work.workshop.cars]
    if car not in cars:
        raise SnagError(f"{car}: there is no car with this id; {_meant(car, cars)}")
    blocks = tuple(_step(work, car, one) for one in steps)
    draft = SnagOpened(
        id=new_id(), time=time, who=who, car=car, odometer=odometer, snag=kind, words=words or kind,
        dangerous=False, blocks=blocks, job=_job(work, job, car), part=part, tool=tool,
        step=blocks[0] if blocks else None,
    )  # fmt: skip
    named = job_of(work, Snag(draft), jobs_gone(work, state))
    draft = draft.model_copy(update={"job": named})
    where = where_of(work, state, draft, recipes)
    draft = draft.model_copy(update={"part": _part(work, where, draft), "tool": _tool(work, where, draft)})
    if dangerous is None:
        dangerous = kind in OPEN_DANGER and needs_check(where.system)
    at = f", {blocks[0]}" if blocks else f", {named}" if named else ""
    return draft.model_copy(update={"dangerous": dangerous, "words": words or f"{kind}{at}"})


def same_snag(state: State, entry: SnagOpened) -> Snag | None:
    """The open snag that an entry would only say again; None if it is a new one."""

    def what(one: SnagOpened) -> tuple[object, ...]:
        return one.car, one.snag, one.job, one.blocks, one.part, one.tool

    return next((one for one in state.open_snags(entry.car) if what(one.opened) == what(entry)), None)


def where_of(work: Work, state: State, opened: SnagOpened, recipes: Iterable[Recipe] = ()) -> Where:
    """Where a snag is: its job, what comes off there, systems and fasteners."""
    name = job_of(work, Snag(opened), jobs_gone(work, state))
    job = work.jobs.get(name or "")
    access = tuple(
        dict.fromkeys(
            what
            for step in (opened.step, *opened.blocks)
            if step
            for kind, what in [step_parts(step)]
            if kind in ("off", "on", "loosen", "tighten", "raise", "lower") and "/" in what
        )
    )
    systems: dict[str, None] = {}
    for one in access:
        fitted = work.access(one, opened.car)
        known = work.fitted.library.cautions
        for caution in fitted.work.cautions if fitted else ():
            systems.update(dict.fromkeys(known[caution].for_systems if caution in known else ()))
        if name_of(one) == "wheel":
            systems["wheels"] = None
    recipe = work.fitted.jobs.get(job.id) if job else None
    if recipe is not None and (not access or not systems):
        systems.update(dict.fromkeys(recipe.recipe.touches))
    of = set(access) or ({job.id, *work.access_of_job(job.id)} if job else set())
    met = tuple(one for one in fasteners_of(work.workshop, recipes) if one.of in of)
    worst = next((one for one in KNOWN_SYSTEMS if one in systems), next(iter(systems), "unknown"))
    return Where(job, access, tuple(systems), worst, met)


def _step(work: Work, car: str, typed: str) -> str:
    known = known_steps(work)
    named = typed if typed in known else f"do:{typed}" if f"do:{typed}" in known else f"off:{typed}"
    if named not in known:
        raise SnagError(unknown_step(typed, known))
    if known[named].car != car:
        raise SnagError(f"{typed}: this is on {known[named].car}, not on {car}; name that car")
    return named


def _job(work: Work, job: str | None, car: str) -> str | None:
    if job is None:
        return None
    found = work.jobs.get(job)
    if found is None:
        raise SnagError(f"{job}: there is no job with this id; {_meant(job, list(work.jobs))}")
    if found.car != car:
        raise SnagError(f"{job}: this job is on {found.car}, not on {car}; name that car")
    return job


def _part(work: Work, where: Where, opened: SnagOpened) -> str | None:
    """The part that a snag is about; fasteners are parts too, by the names of their spares."""
    parts = list(where.job.parts) if where.job else []
    spares = list(dict.fromkeys(one.part for one in where.fasteners))
    if opened.part is not None:
        sold = [part for offer in work.workshop.offers for part in offer.parts]
        known = list(dict.fromkeys([*parts, *spares, *work.workshop.shelf, *sold]))
        ending = [one for one in known if one == opened.part or one.endswith(f"/{opened.part}")]
        if len(ending) == 1 or opened.part in ending:
            return opened.part if opened.part in ending else ending[0]
        raise SnagError(f"{opened.part}: there is no part with this id; {_meant(opened.part, known)}")
    if opened.snag in PART:
        if len(parts) == 1:
            return parts[0]
        which = f"give --part, one of {', '.join(parts)}" if parts else "give --part"
        raise SnagError(f"{opened.snag}: which part? {which[0].upper()}{which[1:]}")
    return spares[0] if opened.snag in FASTENER and len(spares) == 1 else None


def _tool(work: Work, where: Where, opened: SnagOpened) -> str | None:
    known = [one.id for one in work.workshop.tools]
    if opened.tool is not None:
        if opened.tool not in known:
            raise SnagError(f"{opened.tool}: the file has no tool with this id; {_meant(opened.tool, known)}")
        return opened.tool
    if opened.snag != "missing tool":
        return None
    asked = list(where.job.tools) if where.job else []
    asked += [tool for one in work.workshop.access if one.id in where.access for tool in one.tools]
    if len(asked) == 1:
        return asked[0]
    one_of = f", one of {', '.join(asked or known)}" if asked or known else "; list it in the file's `tools`"
    raise SnagError(f"missing tool: which? Give --tool{one_of}")


def _meant(word: str, known: list[str]) -> str:
    near = nearest(word, known)
    return f"did you mean {near}?" if near else f"there is {', '.join(known[:12]) or 'none'}"
