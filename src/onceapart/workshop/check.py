"""What must hold between the parts of a workshop: ids, references, cycles, stints of a day.

An id is "" and a stint's date None where the file's value was refused already; nothing more is said of it.
A part that no offer sells and no shelf holds is no problem of the file: the plan says what can't be done.
So is a tool that can't be got.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Any, NamedTuple

from onceapart.errors import Problem
from onceapart.workshop.model import Access, Job, Workshop
from onceapart.workshop.money import format_money
from onceapart.workshop.values import nearest

LineOf = Callable[[str], int | None]
"""Line of a path such as ``jobs[3].access[0]``, if it has one."""

_KINDS = {
    "cars": "car",
    "tools": "tool",
    "access": "access",
    "aftercare": "aftercare",
    "jobs": "job",
    "sellers": "seller",
    "offers": "offer",
    "stints": "stint",
}
SOUND = "sound"
"""The word of a finding that says: looked at, and nothing wrong."""
_MAX_CYCLES = 20
_MAX_GUESSES = 50


class _Reference(NamedTuple):
    section: str
    key: str
    target: str
    from_recipe: bool
    """Whether a recipe may bring what is named, so that it need not stand in the file."""


_REFERENCES = (
    _Reference("findings", "car", "cars", False),
    _Reference("access", "under", "access", True),
    _Reference("access", "aftercare", "aftercare", True),
    _Reference("access", "tools", "tools", True),
    _Reference("jobs", "car", "cars", False),
    _Reference("jobs", "access", "access", True),
    _Reference("jobs", "tools", "tools", True),
    _Reference("jobs", "after", "jobs", False),
    _Reference("jobs", "aftercare", "aftercare", True),
    _Reference("offers", "seller", "sellers", False),
)


def check_workshop(
    workshop: Workshop, line_of: LineOf | None = None, *, unreadable: Iterable[str] = ()
) -> list[Problem]:
    """Everything wrong with a workshop as a whole, as a file with it would be refused for.

    Parameters
    ----------
    workshop : Workshop
        As read, or made otherwise. If a job has a recipe, references that a recipe may yet bring
        (access, aftercare, tools) are left to ``check_references`` after the recipes were applied.
    line_of : callable, optional
        Says on which line a path stands.
    unreadable : iterable of str
        Sections that could not be read, so that nothing is known of what they hold.

    Returns
    -------
    list of Problem
        In the order of the sections; empty if all is well.
    """
    has_recipes = any(job.recipe is not None for job in workshop.jobs)
    return [
        *_check_ids(workshop, line_of),
        *_check_findings(workshop, line_of),
        *_check_between(workshop, line_of),
        *_check_jobs(workshop, line_of),
        *_check_stints(workshop, line_of),
        *check_references(workshop, line_of, recipes_pending=has_recipes, unreadable=unreadable),
    ]


def check_references(
    workshop: Workshop,
    line_of: LineOf | None = None,
    *,
    recipes_pending: bool = False,
    unreadable: Iterable[str] = (),
) -> list[Problem]:
    """References to what is not there, things named twice in one list, and cycles.

    Parameters
    ----------
    workshop : Workshop
        With its recipes applied, unless ``recipes_pending``.
    line_of : callable, optional
        Says on which line a path stands.
    recipes_pending : bool
        Leave out what a recipe may yet bring: access, aftercare and tools.
    unreadable : iterable of str
        Sections of which it is not known what they hold.

    Returns
    -------
    list of Problem
    """
    known = {section: _ids(workshop, section) for section in _KINDS}
    unknowable = frozenset(unreadable)
    guesses = _Guesses()
    problems = []
    for reference in _REFERENCES:
        ids = known[reference.target]
        open_ended = reference.target in unknowable or (reference.from_recipe and recipes_pending)
        for path, names in _named(workshop, reference):
            first_at: dict[str, int] = {}
            for index, name in enumerate(names):
                where = f"{path}[{index}]" if reference.key not in ("car", "seller") else path
                if not name:
                    continue
                if first_at.setdefault(name, index) != index:
                    problems.append(
                        _problem(line_of, where, name, "it is named twice", "keep one of the two")
                    )
                elif name not in ids and not open_ended:
                    rule = f"there is no {_KINDS[reference.target]} with this id"
                    way_out = guesses.way_out(name, ids, reference.target)
                    problems.append(_problem(line_of, where, name, rule, way_out))
    problems += _check_cycles("access", "under", [(a.id, a.under) for a in workshop.access], line_of)
    problems += _check_cycles("jobs", "after", [(job.id, job.after) for job in workshop.jobs], line_of)
    return problems


def _problem(line_of: LineOf | None, where: str, value: str, rule: str, way_out: str) -> Problem:
    return Problem(line_of(where) if line_of else None, where, value, rule, way_out)


def _ids(workshop: Workshop, section: str) -> frozenset[str]:
    return frozenset(item.id for item in getattr(workshop, section) if item.id)


def _named(workshop: Workshop, reference: _Reference) -> Iterator[tuple[str, Sequence[str]]]:
    """Each list of names that a kind of reference stands in, with its path."""
    for index, item in enumerate(getattr(workshop, reference.section)):
        value: Any = getattr(item, reference.key)
        yield f"{reference.section}[{index}].{reference.key}", (value,) if isinstance(value, str) else value


def _check_ids(workshop: Workshop, line_of: LineOf | None) -> Iterator[Problem]:
    for section, kind in _KINDS.items():
        first_at: dict[str, int] = {}
        for index, item in enumerate(getattr(workshop, section)):
            if item.id and first_at.setdefault(item.id, index) != index:
                where = f"{section}[{index}].id"
                line = line_of(f"{section}[{first_at[item.id]}].id") if line_of else None
                first = f"on line {line}" if line else f"at {section}[{first_at[item.id]}]"
                rule = f"another {kind} {first} has this id"
                way_out = "give each an id of its own"
                if kind == "stint":
                    way_out = "give each an id of its own, on other days too, as in sat-1-morning"
                yield _problem(line_of, where, item.id, rule, way_out)


def _check_findings(workshop: Workshop, line_of: LineOf | None) -> Iterator[Problem]:
    for index, finding in enumerate(workshop.findings):
        where = f"findings[{index}]"
        if finding.value is not None and finding.seen:
            rule = "a finding has a value or what was seen, not both"
            yield _problem(line_of, where, finding.item, rule, "make two findings of it")
        elif finding.value is None and not finding.seen:
            rule = "a finding has a value or what was seen"
            way_out = "add `value`, as in 2.4 mm, or `seen`, as in [sound]"
            yield _problem(line_of, where, finding.item, rule, way_out)
        first_at: dict[str, int] = {}
        for at, word in enumerate(finding.seen):
            if word and first_at.setdefault(word, at) != at:
                yield _problem(
                    line_of, f"{where}.seen[{at}]", word, "it is named twice", "keep one of the two"
                )
        if SOUND in finding.seen and set(finding.seen) - {SOUND, ""}:
            rule = f"{SOUND} says that nothing is wrong, and other words say that something is"
            at = finding.seen.index(SOUND)
            yield _problem(line_of, f"{where}.seen[{at}]", SOUND, rule, f"take {SOUND} or the others out")


def _check_between(workshop: Workshop, line_of: LineOf | None) -> Iterator[Problem]:
    entries: tuple[tuple[str, Sequence[Access | Job]], ...] = (
        ("access", workshop.access),
        ("jobs", workshop.jobs),
    )
    for section, items in entries:
        for index, item in enumerate(items):
            if item.between is None:
                continue
            good, bad = item.between
            around = () if item.minutes is None else (item.minutes,)
            if [good, *around, bad] != sorted([good, *around, bad]):
                rule = "the good case is the shortest and the bad one the longest"
                if around:
                    rule += f", with the usual {item.minutes} minutes between them"
                way_out = "give the good case first" if good > bad else "mend `between` or `minutes`"
                yield _problem(line_of, f"{section}[{index}].between", f"[{good}, {bad}]", rule, way_out)


def _check_jobs(workshop: Workshop, line_of: LineOf | None) -> Iterator[Problem]:
    for index, job in enumerate(workshop.jobs):
        if job.minutes is None and job.recipe is None:
            yield _problem(
                line_of,
                f"jobs[{index}]",
                job.id,
                "a job has minutes or a recipe",
                "add `minutes`, or a `recipe` and its `place`",
            )
        if job.worth and job.need.is_must:
            yield _problem(
                line_of,
                f"jobs[{index}].worth",
                format_money(job.worth),
                f"a job of need {job.need} must be done whatever it is worth",
                "take `worth` out, or make the need upkeep or wish",
            )


def _check_stints(workshop: Workshop, line_of: LineOf | None) -> Iterator[Problem]:
    on_day: dict[object, list[int]] = {}
    for index, stint in enumerate(workshop.stints):
        if stint.date is not None:
            on_day.setdefault(stint.date, []).append(index)
    for day, indexes in on_day.items():
        for index in indexes:
            if len(indexes) > 1 and workshop.stints[index].id is None:
                yield _problem(
                    line_of,
                    f"stints[{index}]",
                    str(day),
                    f"{len(indexes)} stints are on this day, so each has an id",
                    "add `id`, as in morning and evening, or make them one stint",
                )


def _check_cycles(
    section: str, key: str, edges: Iterable[tuple[str, Sequence[str]]], line_of: LineOf | None
) -> Iterator[Problem]:
    """One problem for each cycle found, until cutting each of them open leaves none."""
    graph: dict[str, list[str]] = {}
    index_of: dict[str, int] = {}
    for index, (name, others) in enumerate(edges):
        if name and name not in graph:
            graph[name] = list(others)
            index_of[name] = index
    for _ in range(_MAX_CYCLES):
        try:
            TopologicalSorter(graph).prepare()
        except CycleError as error:
            # In the error each node is named by the one after it; turned round, each names the next.
            ring = list(reversed(error.args[1]))[:-1]
            start = ring.index(min(ring, key=index_of.__getitem__))
            ring = ring[start:] + ring[:start]
            following = ring[1] if len(ring) > 1 else ring[0]
            where = f"{section}[{index_of[ring[0]]}].{key}"
            line_at = f"{where}[{graph[ring[0]].index(following)}]"
            value = " > ".join([*ring, ring[0]] if len(ring) <= 6 else [*ring[:6], "...", ring[0]])
            rule = f"`{key}` leads back to where it started"
            problem = _problem(line_of, line_at, value, rule, "take one of these steps out")
            yield problem
            graph[ring[0]] = [other for other in graph[ring[0]] if other != following]
        else:
            return


class _Guesses:
    """Nearest known ids for ids that are not there; only for the first ones, as looking takes time."""

    def __init__(self) -> None:
        self.left = _MAX_GUESSES
        self.known: dict[tuple[str, str], str] = {}

    def way_out(self, name: str, ids: Iterable[str], section: str) -> str:
        if (name, section) not in self.known:
            near = ""
            if self.left:
                self.left -= 1
                alike = sorted(other for other in ids if abs(len(other) - len(name)) <= 3)
                near = nearest(name, alike)
            said = f"did you mean {near}? Otherwise add" if near else "add"
            self.known[name, section] = f"{said} it to `{section}`, or take the name out"
        return self.known[name, section]
