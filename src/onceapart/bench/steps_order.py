"""What has to be done before what in a stint, and all of it in working order, car after car.

Three things decide: what must be off before what (and on again after it), the stage that recipes give a
step, and the order that a recipe itself has. Where a later one contradicts an earlier one it gives way.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import get_args

from onceapart.bench.card_model import Phase, StepKind
from onceapart.bench.card_work import CardWork, overlaps
from onceapart.bench.order import MOST_STATES, Item, Spot, working_order
from onceapart.bench.release_work import MOVING, PEDAL, RUNNING
from onceapart.bench.steps import Draft
from onceapart.trade.schema import Stage

PHASES = tuple(Phase)
_CHECKS = PHASES.index(Phase.CHECKS)
_WORKING = (StepKind.DO, StepKind.MEASURE)
_RANK = {stage: at for at, stage in enumerate(get_args(Stage))}


@dataclass(frozen=True)
class OrderedSteps:
    """Steps in working order, and by id what each hangs on directly."""

    drafts: tuple[Draft, ...]
    needs: dict[str, tuple[str, ...]]
    cars: dict[str, str]
    """By id the car a step is done at."""
    phases: dict[str, Phase]
    walks: int
    is_shortest: bool


def in_working_order(work: CardWork, drafts: Sequence[Draft], most_states: int = MOST_STATES) -> OrderedSteps:
    """Put the steps of a stint in order: fewest walks, cars one after the other, checks at the end of each.

    Cars whose jobs wait for each other in both directions are worked on together.
    """
    before = _Before(work, drafts)
    blocks = sorted(set(before.block.values()))
    order: list[Draft] = []
    spots: list[Spot] = []
    walks, is_shortest = 0, True
    for block in blocks:
        inside = [draft for draft in drafts if before.block[draft.id] == block]
        at = {draft.id: number for number, draft in enumerate(inside)}
        items = [
            Item(
                before.spot(draft),
                frozenset(at[need] for need in before.needs[draft.id] if need in at),
                frozenset(draft.jobs),
                opens=draft.access if draft.id.startswith("off:") else None,
                closes=draft.access if draft.id.startswith("on:") else None,
            )
            for draft in inside
        ]
        found = working_order(items, spots[-1] if spots else None, most_states)
        order += [inside[number] for number in found.at]
        spots += [items[number].spot for number in found.at]
        walks += found.walks
        is_shortest &= found.exact
    cars = {draft.id: before.car(draft) for draft in order}
    phases = {draft.id: PHASES[before.block[draft.id][1]] for draft in order}
    return OrderedSteps(tuple(order), before.reduced(order), cars, phases, walks, is_shortest)


class _Before:
    """What needs what, by step id."""

    def __init__(self, work: CardWork, drafts: Sequence[Draft]) -> None:
        self.work = work
        self.drafts = {draft.id: draft for draft in drafts}
        self.needs: dict[str, set[str]] = {draft.id: set() for draft in drafts}
        self.then: dict[str, set[str]] = {draft.id: set() for draft in drafts}
        self.sections = _sections(work)
        self.block = {draft.id: self._block(draft) for draft in drafts}
        self.of_job = {job: [d for d in drafts if d.job == job and d.kind in _WORKING] for job in work.jobs}
        self._access()
        self._direct()
        for job in work.jobs:
            for draft in self.of_job[job]:
                self._stage(draft, work.opened_by[job], work.jobs[job].access)
        for job in work.jobs:
            self._recipe_order(self.of_job[job])
        self._after()
        for draft in drafts:
            if draft.kind is StepKind.TIGHTEN:
                self._tighten(draft)
            elif draft.kind in (StepKind.AFTERCARE, StepKind.CHECK):
                self._asked_for(draft)
        self._checks_last()

    def add(self, first: str, then: str) -> None:
        """One step before another, if both are there and it is no contradiction."""
        if first == then or first not in self.needs or then not in self.needs or first in self.needs[then]:
            return
        if self.block[first] > self.block[then]:
            return
        if self.block[first] == self.block[then] and self._leads(then, first):
            return
        self.needs[then].add(first)
        self.then[first].add(then)

    def _leads(self, first: str, to: str) -> bool:
        seen, waiting = {first}, [first]
        while waiting:
            step = waiting.pop()
            if step == to:
                return True
            new = self.then[step] - seen
            seen |= new
            waiting += new
        return False

    def car(self, draft: Draft) -> str:
        """The car a step is done at: of several the first for what comes off, the last for all else."""
        cars = [car for section in self.sections for car in section if car in draft.cars]
        return cars[0] if draft.id.startswith(("off:", "loosen:")) else cars[-1]

    def spot(self, draft: Draft) -> Spot:
        cars = [car for section in self.sections for car in section]
        return Spot(cars.index(self.car(draft)), draft.place)

    def _block(self, draft: Draft) -> tuple[int, int]:
        phase = 0
        if draft.kind is StepKind.CHECK and _RANK[draft.stage] >= _RANK["on-the-ground"]:
            phase = 1
        elif draft.kind is not StepKind.CHECK and draft.stage == "on-the-road":
            phase = 2
        car = self.car(draft)
        return next(at for at, section in enumerate(self.sections) if car in section), phase

    def _access(self) -> None:
        work = self.work
        for one in work.access:
            self.add(f"off:{one}", f"on:{one}")
            for under in work.workload.access_by_id[one].under:
                self.add(f"off:{under}", f"off:{one}")
                self.add(f"on:{one}", f"on:{under}")
        for draft in self.drafts.values():
            if draft.kind is StepKind.LOOSEN and draft.access:
                raises = self._those(work.under([draft.access]), is_raise=True)
                for one in raises or [draft.access]:
                    self.add(draft.id, f"off:{one}")
                self.add(draft.id, f"off:{draft.access}")

    def _direct(self) -> None:
        """What a job asks for is off when the job is done, at each of its places what is there."""
        for job_id, job in self.work.jobs.items():
            steps = [draft for draft in self.of_job[job_id] if draft.stage == "apart"]
            served = set()
            for draft in steps:
                here = _here(self.work, job.access, draft.place)
                served |= {*here}
                for access in here:
                    self._around(draft.id, access)
            for access in job.access:
                if access not in served:
                    for draft in steps:
                        self._around(draft.id, access)

    def _around(self, step: str, access: str) -> None:
        self.add(f"off:{access}", step)
        self.add(step, f"on:{access}")

    def _those(self, names: Collection[str], *, is_raise: bool) -> list[str]:
        return [one for one in self.work.access if one in names and self.work.is_raise(one) == is_raise]

    def _stage(self, draft: Draft, opened: Collection[str], direct: Collection[str]) -> None:
        """A step among what is off and on, by its stage."""
        work, step = self.work, draft.id
        here = _here(work, opened, draft.place)
        raises, others = self._those(here, is_raise=True), self._those(here, is_raise=False)
        match draft.stage:
            case "before-raising":
                for one in raises or others:
                    self.add(step, f"off:{one}")
            case "raised":
                for one in raises:
                    self.add(f"off:{one}", step)
                for one in others:
                    self.add(step, f"off:{one}")
            case "before-access":
                asked = [one for one in direct if one in here]
                for one in sorted(work.under(asked) - {*asked}):
                    self.add(f"off:{one}", step)
                for one in asked:
                    self.add(step, f"off:{one}")
            case "closed-up":
                wheels = [one for one in others if work.is_wheel(one)]
                for one in others:
                    if one not in wheels:
                        self.add(f"on:{one}", step)
                for one in self._brakes(draft):
                    self.add(f"on:{one}", step)
                for one in (*wheels, *raises):
                    self._around(step, one)
            case "wheels-on":
                for one in others:
                    self.add(f"on:{one}", step)
                for one in raises:
                    self._around(step, one)
            case "on-the-ground":
                for one in (*self._raises_of_car(draft), *sorted(opened)):
                    self.add(f"on:{one}", step)

    def _brakes(self, draft: Draft) -> list[str]:
        """What must be on again before a pedal is pressed: for work on brakes, every brake of the car."""
        recipe = self.work.recipe(draft.job) if draft.job else None
        if draft.kind is not StepKind.AFTERCARE and (recipe is None or "brakes" not in recipe.recipe.touches):
            return []
        return [
            one
            for one in self.work.access
            if self.work.opens_brake(one) and {*self.work.cars_of_access(one)} & {*draft.cars}
        ]

    def _raises_of_car(self, draft: Draft) -> list[str]:
        return [
            one
            for one in self._those(self.work.access, is_raise=True)
            if {*self.work.cars_of_access(one)} & {*draft.cars}
        ]

    def _recipe_order(self, steps: Sequence[Draft]) -> None:
        """Steps of a job one after another, where they are at the same place."""
        for at, draft in enumerate(steps):
            for later in steps[at + 1 :]:
                if overlaps(draft.place, later.place):
                    self.add(draft.id, later.id)

    def _after(self) -> None:
        """A job after another one: its work first of all, and the rest as far as it can be."""
        pairs = [
            (first, then)
            for then, job in self.work.jobs.items()
            for first in job.after
            if first in self.work.jobs
        ]
        for only_apart in (True, False):
            for first, then in pairs:
                for draft in self.of_job[first]:
                    for later in self.of_job[then]:
                        if not only_apart or draft.stage == later.stage == "apart":
                            self.add(draft.id, later.id)

    def _tighten(self, draft: Draft) -> None:
        """Tightened with the car on its wheels, once everything of it is on."""
        if draft.access:
            on = self.work.under([draft.access])
        else:
            assert draft.job is not None
            on = {*self.work.opened_by[draft.job]}
            for step in self.of_job[draft.job]:
                if _RANK[step.stage] < _RANK["on-the-ground"]:
                    self.add(step.id, draft.id)
        for one in sorted(on):
            self.add(f"on:{one}", draft.id)

    def _asked_for(self, draft: Draft) -> None:
        """Aftercare and checks: after the work that asks for them, at their stage."""
        work = self.work
        jobs = [one for one in draft.sources if one in work.jobs]
        access = [one for one in draft.sources if one not in work.jobs]
        opened = work.under(access) & {*work.access}
        for job in jobs:
            opened |= {*work.opened_by[job]}
        direct = {*access, *(one for job in jobs for one in work.jobs[job].access)}
        if draft.kind is StepKind.AFTERCARE and draft.stage == "closed-up":
            # The pedal is pressed: nothing that a wheel hides may be open anywhere on the car.
            opened |= {
                one
                for one in work.access
                if work.is_over_wheel(one) and {*work.cars_of_access(one)} & {*draft.cars}
            }
            jobs = [
                job
                for job in work.jobs
                if job in jobs
                or (work.jobs[job].car in draft.cars and any(map(work.is_over_wheel, work.opened_by[job])))
            ]
        if draft.stage == "apart":
            for one in _here(work, direct, draft.place):
                self._around(draft.id, one)
        self._stage(draft, opened, direct)
        for job in jobs:
            for step in self.of_job[job]:
                if _RANK[step.stage] <= _RANK[draft.stage] and overlaps(step.place, draft.place):
                    self.add(step.id, draft.id)
        if draft.kind is StepKind.CHECK:
            for other in self.drafts.values():
                is_earlier = other.kind is StepKind.AFTERCARE and _RANK[other.stage] <= _RANK[draft.stage]
                if is_earlier and {*other.cars} & {*draft.cars} and overlaps(other.place, draft.place):
                    self.add(other.id, draft.id)

    def _checks_last(self) -> None:
        """The checks of a car come after its work, in their turn, and the road after them."""
        for draft in self.drafts.values():
            section, phase = self.block[draft.id]
            for other in self.drafts.values():
                their_section, their_phase = self.block[other.id]
                earlier = their_phase < phase or (
                    phase == their_phase == _CHECKS and _turn(other) < _turn(draft)
                )
                if their_section == section and earlier:
                    self.add(other.id, draft.id)

    def reduced(self, order: Sequence[Draft]) -> dict[str, tuple[str, ...]]:
        """What each step hangs on, without what follows from the rest; in working order."""
        at = {draft.id: number for number, draft in enumerate(order)}
        all_before: list[int] = []
        found = {}
        for draft in order:
            needs = sorted(at[need] for need in self.needs[draft.id])
            told = 0
            for need in needs:
                told |= all_before[need]
            found[draft.id] = tuple(order[need].id for need in needs if not told >> need & 1)
            for need in needs:
                told |= 1 << need
            all_before.append(told)
        return found


def _turn(check: Draft) -> int:
    """Engine off, then the pedal, then what the engine runs for, and last what the car moves for."""
    name = check.id.rpartition("/")[2]
    if name in MOVING or check.stage == "on-the-road":
        return 3
    return 2 if name in RUNNING else 1 if name == PEDAL else 0


def _here(work: CardWork, access: Iterable[str], place: str) -> list[str]:
    """Accesses of the stint that have to do with a place; all of them if none has."""
    there = [one for one in work.access if one in {*access}]
    return [one for one in there if overlaps(work.place(one), place)] or there


def _sections(work: CardWork) -> list[list[str]]:
    """Cars in the order in which they are worked on; together those that wait for each other."""
    named = [job.car for job in work.jobs.values()]
    for one in work.access:
        named += work.cars_of_access(one)
    for one in work.work.aftercare:
        named += work.cars_of_aftercare(one)
    order = [car.id for car in work.workshop.cars]
    cars = sorted({*named}, key=lambda car: order.index(car) if car in order else len(order))
    waits: dict[str, set[str]] = {car: set() for car in cars}
    for job in work.jobs.values():
        waits[job.car] |= {work.jobs[one].car for one in job.after if one in work.jobs} - {job.car}
    reach = {car: _reached(waits, car) for car in cars}
    sections: list[list[str]] = []
    left = cars
    while left:
        car = next(one for one in left if all(one in reach[other] for other in reach[one] & {*left} - {one}))
        section = [other for other in left if other == car or (other in reach[car] and car in reach[other])]
        sections.append(section)
        left = [other for other in left if other not in section]
    return sections


def _reached(waits: dict[str, set[str]], car: str) -> set[str]:
    seen: set[str] = set()
    waiting = [car]
    while waiting:
        new = waits[waiting.pop()] - seen
        seen |= new
        waiting += new
    return seen
