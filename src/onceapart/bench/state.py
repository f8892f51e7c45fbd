"""How things stand at the bench: a pure fold over the entries of a record.

The same entries give the same state, whatever keeps them; no clock and no file is asked. What depends on
today or on the odometer now (limits of stopgaps, release) is worked out from the state elsewhere.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from onceapart.bench.entries import (
    Arrived,
    CheckAnswered,
    Corrected,
    Entry,
    MeasuredValue,
    Noted,
    Ordered,
    RecordMended,
    ReleaseAsked,
    ReleaseGranted,
    ReleaseWithdrawn,
    SnagClosed,
    SnagOpened,
    Started,
    StopgapClosed,
    StopgapFitted,
    StopgapSigned,
    Stopped,
    Ticked,
    Tightened,
    Unticked,
    WayChosen,
    step_parts,
)
from onceapart.sums.units import convert

_UNDOES = {"off": "on", "raise": "lower", "loosen": "tighten"}
"""Kinds of steps that open something -> those that close it again."""
_UNDONE_BY = {closing: opening for opening, closing in _UNDOES.items()}

JobSteps = Mapping[str, Sequence[Sequence[str]]]
"""Job -> what has to be ticked for it to be done; each with the step ids of which one will do. A job with
an empty list is done with any of its steps; of one that is not named only ``do:JOB`` is enough."""


@dataclass(frozen=True)
class Spell:
    """Time worked at a stretch by one person, for a stint and maybe a job; ``stop`` is None while it runs."""

    who: str | None
    stint: str | None
    job: str | None
    start: dt.datetime
    stop: dt.datetime | None


@dataclass(frozen=True)
class Snag:
    opened: SnagOpened
    ways: tuple[WayChosen, ...] = ()
    closed: SnagClosed | None = None

    @property
    def is_open(self) -> bool:
        """Whether it is still to be settled."""
        return self.closed is None


@dataclass(frozen=True)
class Stopgap:
    """A makeshift, who signed for it, and the entry that closed it, if the work it names is done."""

    fitted: StopgapFitted
    signed_by: str | None = None
    closed: StopgapClosed | None = None

    @property
    def is_open(self) -> bool:
        """Whether it is still on the car."""
        return self.closed is None


@dataclass(frozen=True)
class OdometerReading:
    """The highest reading so far, and the day of it. [km]"""

    km: float
    day: dt.date
    text: str


@dataclass(frozen=True)
class Doubt:
    """An entry that does not count, or not in full, and why."""

    entry: Entry
    why: str


@dataclass(frozen=True)
class State:
    """How things stand after all entries. Dicts are not to be changed in place."""

    done: Mapping[str, Ticked] = field(default_factory=dict)
    """Steps that are done, each with its last tick."""
    ticks: tuple[Ticked | Unticked, ...] = ()
    """All ticks that count, in order."""
    off: Mapping[str, Ticked] = field(default_factory=dict)
    """Access that is off now."""
    raised: Mapping[str, Ticked] = field(default_factory=dict)
    """What was raised and not lowered, by what stands behind ``raise:``."""
    loose: Mapping[str, Ticked] = field(default_factory=dict)
    """What was cracked loose and not tightened for good since."""
    measured: Mapping[str, tuple[MeasuredValue, ...]] = field(default_factory=dict)
    """Step -> values measured, the last one last."""
    torques: Mapping[str, tuple[Tightened, ...]] = field(default_factory=dict)
    """Fastener -> torques set, the last one last."""
    spells: tuple[Spell, ...] = ()
    notes: tuple[Noted, ...] = ()
    ordered: tuple[Ordered, ...] = ()
    arrived: tuple[Arrived, ...] = ()
    snags: tuple[Snag, ...] = ()
    stopgaps: tuple[Stopgap, ...] = ()
    answers: Mapping[str, tuple[CheckAnswered, ...]] = field(default_factory=dict)
    """Check -> its answers, the last one last; those from before a mend of the record don't count."""
    asked: Mapping[str, ReleaseAsked] = field(default_factory=dict)
    """Car -> the last time its release was asked for."""
    odometers: Mapping[str, OdometerReading] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    job_steps: JobSteps = field(default_factory=dict)
    last_number: int = 0

    def open_snags(self, car: str | None = None) -> tuple[Snag, ...]:
        """Snags to be settled, of one car or of all."""
        return tuple(one for one in self.snags if one.is_open and car in (None, one.opened.car))

    def open_stopgaps(self, car: str | None = None) -> tuple[Stopgap, ...]:
        """Stopgaps still on a car, of one car or of all."""
        return tuple(one for one in self.stopgaps if one.is_open and car in (None, one.fitted.car))

    def is_job_done(self, job: str) -> bool:
        """Whether a job is done: ``do:JOB``, or all of its steps as far as they are known."""
        return is_job_done(self.done, job, self.job_steps)

    def jobs_done(self) -> tuple[str, ...]:
        """Jobs that are done, in the order in which they were begun."""
        begun = dict.fromkeys(
            step_parts(tick.step)[1].split(":")[0] for tick in self.ticks if tick.step.startswith("do:")
        )
        return tuple(job for job in begun if self.is_job_done(job))

    def minutes_worked(self, *, stint: str | None = None, job: str | None = None) -> int:
        """Whole minutes of the spells that have ended, of a stint, a job, or all. [min]

        Where spells of one person overlap, as a job within its stint does, the time counts once.
        """
        people: dict[str | None, list[tuple[dt.datetime, dt.datetime]]] = {}
        for spell in self.spells:
            if spell.stop and stint in (None, spell.stint) and job in (None, spell.job):
                people.setdefault(spell.who, []).append((spell.start, spell.stop))
        return round(sum(_together(times) for times in people.values()) / 60)


def is_job_done(done: Mapping[str, Ticked], job: str, job_steps: JobSteps) -> bool:
    """Whether a job is done, by the steps that are."""
    if f"do:{job}" in done:
        return True
    needs = job_steps.get(job)
    if needs is None:
        return False
    if not needs:
        return any(step.startswith(f"do:{job}:") for step in done)
    return all(any(step in done for step in need) for need in needs)


def fold(entries: Iterable[Entry], job_steps: JobSteps | None = None) -> State:
    """How things stand after some entries.

    Parameters
    ----------
    entries : iterable of Entry
        In the order of their numbers, as a store gives them.
    job_steps : mapping, optional
        What has to be ticked for a job to be done (``release_work.Work.job_steps``).

    Returns
    -------
    State
        What contradicts itself, such as a stop without a start, is left out and listed under ``doubts``.

    Raises
    ------
    ValueError
        If the numbers of the entries do not rise.
    """
    folding = Folding(job_steps or {})
    folding.take_all(entries)
    return folding.state()


def dead_ids(entries: Sequence[Entry]) -> frozenset[str]:
    """Ids of the entries that a later one says don't count; a correction may itself be corrected."""
    at = {entry.id: index for index, entry in enumerate(entries)}
    dead: set[str] = set()
    for index in range(len(entries) - 1, -1, -1):
        entry = entries[index]
        if isinstance(entry, Corrected) and entry.id not in dead and at.get(entry.entry, index) < index:
            dead.add(entry.entry)
    return frozenset(dead)


def km_of(odometer: str) -> float:
    """A distance such as ``143200 km`` or ``500 mi``. [km]

    >>> km_of("143200 km"), round(km_of("100 mi"), 3)
    (143200.0, 160.934)
    """
    number, unit = odometer.split(" ")
    return convert(float(number), unit, "km")


class Folding:
    """A fold under way: takes entries one by one and can say at any time how things stand."""

    def __init__(self, job_steps: JobSteps) -> None:
        self._job_steps = job_steps
        self._seen: list[Entry] = []
        self._start_anew()

    def take(self, entry: Entry) -> None:
        """Add the next entry."""
        self.take_all([entry])

    def take_all(self, entries: Iterable[Entry]) -> None:
        """Add the next entries. Corrections cost one fold of all, once somebody asks how things stand."""
        new = self._see(entries)
        self._is_corrected |= any(isinstance(entry, Corrected) for entry in new)
        if not self._is_corrected:
            for entry in new:
                self._fold(entry)

    def _see(self, entries: Iterable[Entry]) -> list[Entry]:
        new = []
        for entry in entries:
            if self._seen and entry.number <= self._seen[-1].number:
                raise ValueError(f"entry {entry.number} follows entry {self._seen[-1].number}; sort them")
            self._seen.append(entry)
            new.append(entry)
        return new

    def state(self) -> State:
        """How things stand now."""
        if self._is_corrected:
            dead = dead_ids(self._seen)
            self._start_anew()
            for entry in self._seen:
                if entry.id not in dead:
                    self._fold(entry)
        return State(
            done=dict(self._done),
            ticks=tuple(self._ticks),
            off=dict(self._off),
            raised=dict(self._raised),
            loose=dict(self._loose),
            measured={step: tuple(values) for step, values in self._measured.items()},
            torques={fastener: tuple(values) for fastener, values in self._torques.items()},
            spells=(*self._spells, *self._running.values()),
            notes=tuple(self._notes),
            ordered=tuple(self._ordered),
            arrived=tuple(self._arrived),
            snags=tuple(self._snags.values()),
            stopgaps=tuple(self._as_it_is(one) for one in self._stopgaps.values()),
            answers={check: tuple(answers) for check, answers in self._answers.items()},
            asked=dict(self._asked),
            odometers=dict(self._odometers),
            doubts=tuple(self._doubts),
            job_steps=self._job_steps,
            last_number=self._seen[-1].number if self._seen else 0,
        )

    def _start_anew(self) -> None:
        self._is_corrected = False
        """Whether an entry was corrected since all was folded last."""
        self._done: dict[str, Ticked] = {}
        self._ticks: list[Ticked | Unticked] = []
        self._off: dict[str, Ticked] = {}
        self._raised: dict[str, Ticked] = {}
        self._loose: dict[str, Ticked] = {}
        self._measured: dict[str, list[MeasuredValue]] = {}
        self._torques: dict[str, list[Tightened]] = {}
        self._spells: list[Spell] = []
        self._running: dict[tuple[str | None, str | None, str | None], Spell] = {}
        self._notes: list[Noted] = []
        self._ordered: list[Ordered] = []
        self._arrived: list[Arrived] = []
        self._snags: dict[str, Snag] = {}
        self._stopgaps: dict[str, Stopgap] = {}
        self._answers: dict[str, list[CheckAnswered]] = {}
        self._asked: dict[str, ReleaseAsked] = {}
        self._odometers: dict[str, OdometerReading] = {}
        self._doubts: list[Doubt] = []

    def _fold(self, entry: Entry) -> None:
        self._read_odometer(entry)
        match entry:
            case Ticked():
                self._tick(entry)
            case Unticked():
                self._untick(entry)
            case MeasuredValue():
                self._measured.setdefault(entry.step, []).append(entry)
            case Tightened():
                self._torques.setdefault(entry.fastener, []).append(entry)
            case Started():
                self._begin(entry)
            case Stopped():
                self._end(entry)
            case Noted():
                self._notes.append(entry)
            case Ordered():
                self._ordered.append(entry)
            case Arrived():
                self._arrived.append(entry)
            case SnagOpened():
                self._snags[entry.id] = Snag(entry)
            case WayChosen() | SnagClosed():
                self._go_on(entry)
            case StopgapFitted():
                self._stopgaps[entry.id] = Stopgap(entry, entry.signed_by)
            case StopgapSigned() | StopgapClosed():
                self._settle(entry)
            case CheckAnswered():
                self._answers.setdefault(entry.check, []).append(entry)
            case ReleaseAsked():
                self._asked[entry.car] = entry
            case RecordMended():
                self._answers.clear()  # one of them may be what was changed
                self._asked.clear()
            case ReleaseGranted() | ReleaseWithdrawn() | Corrected():
                pass  # what they do to a release is worked out in ``release``

    def _doubt(self, entry: Entry, why: str) -> None:
        self._doubts.append(Doubt(entry, why))

    def _read_odometer(self, entry: Entry) -> None:
        car, text = getattr(entry, "car", None), getattr(entry, "odometer", None)
        if car is None or text is None:
            return
        km, before = km_of(text), self._odometers.get(car)
        if before is None or km >= before.km:
            self._odometers[car] = OdometerReading(km, entry.day, text)
        else:
            self._doubt(entry, f"the odometer stood at {before.text} before, and {text} is less; not counted")

    def _tick(self, tick: Ticked) -> None:
        kind, what = step_parts(tick.step)
        self._ticks.append(tick)
        self._done[tick.step] = tick
        if kind in _UNDOES:
            self._opened(kind)[what] = tick
            self._done.pop(f"{_UNDOES[kind]}:{what}", None)
        elif kind in _UNDONE_BY:
            self._opened(_UNDONE_BY[kind]).pop(what, None)
            self._done.pop(f"{_UNDONE_BY[kind]}:{what}", None)

    def _opened(self, kind: str) -> dict[str, Ticked]:
        """What was opened by steps of a kind, and not closed since."""
        return {"off": self._off, "raise": self._raised, "loosen": self._loose}[kind]

    def _untick(self, tick: Unticked) -> None:
        kind, what = step_parts(tick.step)
        job = what.split(":")[0]
        whole = kind == "do" and what == job
        undone = [
            step for step in self._done if step == tick.step or (whole and step.startswith(f"do:{job}:"))
        ]
        if kind == "do" and f"do:{job}" in self._done:
            undone.append(f"do:{job}")  # a job with an open step isn't done as a whole
        if not undone:
            self._doubt(tick, f"{tick.step} was not done, so there was nothing to take back")
            return
        self._ticks.append(tick)
        for step in undone:
            taken = self._done.pop(step, None)
            if taken and kind in _UNDOES:
                self._opened(kind).pop(what, None)
            elif taken and kind in _UNDONE_BY:
                self._opened(_UNDONE_BY[kind])[what] = taken

    def _begin(self, entry: Started) -> None:
        key = (entry.who, entry.stint, entry.job)
        running = self._running.get(key)
        if running is not None:
            self._doubt(entry, f"it was started at {running.start:%H:%M} already and not stopped since")
            return
        self._running[key] = Spell(entry.who, entry.stint, entry.job, entry.time, None)

    def _end(self, entry: Stopped) -> None:
        key = (entry.who, entry.stint, entry.job)
        running = self._running.get(key)
        if running is None:
            self._doubt(entry, "there is no start to this stop")
        elif entry.time < running.start:
            self._doubt(entry, f"it stops at {entry.time}, before it starts at {running.start}")
        else:
            del self._running[key]
            self._spells.append(Spell(running.who, running.stint, running.job, running.start, entry.time))

    def _go_on(self, entry: WayChosen | SnagClosed) -> None:
        snag = self._snags.get(entry.snag)
        if snag is None or not snag.is_open:
            self._doubt(entry, "the snag is closed already" if snag else "there is no such snag")
        elif isinstance(entry, WayChosen):
            self._snags[entry.snag] = Snag(snag.opened, (*snag.ways, entry))
        else:
            self._snags[entry.snag] = Snag(snag.opened, snag.ways, entry)

    def _settle(self, entry: StopgapSigned | StopgapClosed) -> None:
        found = self._stopgaps.get(entry.stopgap)
        stopgap = self._as_it_is(found) if found else None
        if stopgap is None or not stopgap.is_open:
            self._doubt(entry, "the stopgap is closed already" if stopgap else "there is no such stopgap")
        elif isinstance(entry, StopgapSigned):
            self._stopgaps[entry.stopgap] = Stopgap(stopgap.fitted, entry.signed_by)
        elif not self._is_made_good(stopgap.fitted, entry.by):
            self._doubt(entry, f"{entry.by} was not done since the stopgap was fitted, so it stays open")
        else:
            self._stopgaps[entry.stopgap] = Stopgap(stopgap.fitted, stopgap.signed_by, entry)

    def _as_it_is(self, stopgap: Stopgap) -> Stopgap:
        """A stopgap is closed only as long as the work that made it good stays done."""
        if stopgap.closed is None or self._is_made_good(stopgap.fitted, stopgap.closed.by):
            return stopgap
        return Stopgap(stopgap.fitted, stopgap.signed_by)

    def _is_made_good(self, fitted: StopgapFitted, by: str) -> bool:
        """Whether a job or one step of a job is done on the same car, since the stopgap went in."""
        step = by if ":" in by else f"do:{by}"
        if not step.startswith("do:"):
            return False
        newest = max(
            (
                tick.number
                for done, tick in self._done.items()
                if (done == step or done.startswith(f"{step}:")) and tick.car == fitted.car
            ),
            default=0,
        )
        is_done = step in self._done if ":" in by else is_job_done(self._done, by, self._job_steps)
        return is_done and newest > fitted.number


def _together(times: list[tuple[dt.datetime, dt.datetime]]) -> float:
    """Length of some stretches of time, where they overlap counted once. [s]"""
    total, until = 0.0, None
    for start, stop in sorted(times):
        if until is not None and start < until:
            start = until
        if stop > start:
            total += (stop - start).total_seconds()
            until = stop
    return total
