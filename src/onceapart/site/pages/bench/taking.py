"""Entries as a page sends them: each is looked at by itself, and kept once or refused with why.

They come as a list of JSON objects in the order in which they happened, from a page that may have been
without a line for long, and may come again. What a form sends without a script goes the same way.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from pydantic import ValidationError

from onceapart.bench.entries import (
    CheckAnswered,
    Entry,
    MeasuredValue,
    Noted,
    SnagOpened,
    Started,
    Stopped,
    Ticked,
    Tightened,
    Unticked,
    entry_of,
)
from onceapart.bench.record import RecordError, Store
from onceapart.bench.release import answers_too_early
from onceapart.bench.release_checks import DueCheck, FollowUp
from onceapart.bench.release_work import Work
from onceapart.bench.snag import SnagError, kind_of, same_snag, snag_entry
from onceapart.bench.state import State
from onceapart.bench.state_steps import KnownStep, known_steps
from onceapart.errors import OnceapartError, QuantityError
from onceapart.sums.quantity import parse_quantity
from onceapart.sums.units import KINDS, UNITS

MOST_AT_ONCE = 200
LONGEST_AGO = dt.timedelta(days=400)
"""A clock that is farther behind than this is wrong, and the time of arrival is taken."""
AHEAD = dt.timedelta(minutes=2)
TAKEN = (Ticked, Unticked, MeasuredValue, Tightened, Started, Stopped, Noted, CheckAnswered)
"""What may be sent so, besides ``snag opened``; all else has a page of its own."""
FIELDS = frozenset(
    {"kind", "id", "time", "car", "step", "stint", "job", "value", "fastener", "torque", "words", "check"}
    | {"answer", "odometer", "snag", "part", "tool", "photo"}
)
_BARE = re.compile(r"[^\W\d_]|[%°'\"′″’”]")


class RefusedError(OnceapartError):
    """An entry that can't be taken; the message gives value, rule and way out."""


class LaterError(OnceapartError):
    """An entry could not be kept just now; it is to be sent again as it is."""


@dataclass(frozen=True)
class Answer:
    """What became of an entry: ``kept``, ``refused`` or ``later``."""

    id: str
    state: str
    number: int = 0
    why: str = ""

    def as_json(self) -> dict[str, Any]:
        return {key: value for key, value in vars(self).items() if value}


@dataclass
class Bench:
    """What entries are looked at against.

    ``releases`` gives the checks due, and the follow-ups, of a car as the record stands when it is called.
    """

    work: Work
    store: Store
    now: dt.datetime
    """The time of arrival, on the day that the workshop goes by."""
    who: str | None
    pinned: dt.date | None
    """The day that the workshop is set to, if it is."""
    state: Callable[[], State]
    releases: Callable[[str], tuple[Sequence[DueCheck], Sequence[FollowUp]]]
    card_steps: Callable[[str], Mapping[str, str]]
    """Steps of the card of a stint, each with its car: the plan may be older than the workshop."""

    @cached_property
    def known(self) -> dict[str, KnownStep]:
        return known_steps(self.work)

    @cached_property
    def cars(self) -> frozenset[str]:
        return frozenset(car.id for car in self.work.workshop.cars)


def take_all(sent: Sequence[Any], bench: Bench, is_kept: Callable[[Entry], int | None]) -> list[Answer]:
    """Keep what can be kept, in order; what comes after one that is to be sent later waits too.

    Parameters
    ----------
    sent : sequence
        JSON objects.
    bench : Bench
    is_kept : callable
        Number of the entry that has this id and says this, if there is one; raises RefusedError where the
        id is that of another.
    """
    answers: list[Answer] = []
    for at, data in enumerate(sent):
        name = str(data.get("id", ""))[:64] if isinstance(data, dict) else ""
        try:
            entry = read_entry(data, bench)
            number = is_kept(entry)
            if number is None:
                number = _keep(checked(entry, bench), bench)
            answers.append(Answer(name, "kept", number))
        except RefusedError as error:
            answers.append(Answer(name, "refused", why=str(error)))
        except LaterError as error:
            rest = [str(one.get("id", ""))[:64] if isinstance(one, dict) else "" for one in sent[at:]]
            return [*answers, *(Answer(one, "later", why=str(error)) for one in rest)]
    said = {one.entry.id: one.why for one in bench.state().doubts}
    return [replace(one, why=f"kept, and does not count: {said[one.id]}") if one.id in said and not one.why
            else one for one in answers]  # fmt: skip


def wrong_with(sent: Sequence[Any], bench: Bench, is_kept: Callable[[Entry], int | None]) -> list[str]:
    """What is wrong with each of some entries, "" for nothing; none of them is kept."""
    found = []
    for data in sent:
        try:
            entry = read_entry(data, bench)
            if is_kept(entry) is None:
                checked(entry, bench)
            found.append("")
        except RefusedError as error:
            found.append(str(error))
    return found


def _keep(entry: Entry, bench: Bench) -> int:
    if isinstance(entry, SnagOpened):
        same = same_snag(bench.state(), entry)
        if same is not None:
            return same.opened.number
    try:
        return bench.store.append(entry).number
    except RecordError as error:
        if type(error.__context__).__name__ == "BusyError":
            raise LaterError(str(error)) from None
        raise RefusedError(str(error)) from None


def read_entry(data: Any, bench: Bench) -> Entry:
    """An entry by its shape alone; raises RefusedError."""
    if not isinstance(data, dict) or not all(isinstance(value, str) for value in data.values()):
        raise RefusedError("an entry is an object of texts; load the page anew and do it again")
    strange = sorted(str(key)[:40] for key in data if key not in FIELDS)
    if strange:
        raise RefusedError(f"{', '.join(strange)}: no entry has this; load the page anew and do it again")
    data = {key: value for key, value in data.items() if value.strip() or key in ("kind", "id")}
    given = {**data, "time": time_of(data.get("time"), bench), "who": bench.who}
    if given.get("kind") == "snag opened":
        given |= {"dangerous": False, "words": data.get("words") or data.get("snag", "")}
    if not str(data.get("id", "")):
        raise RefusedError("an entry has an id; load the page anew and do it again")
    try:
        entry = entry_of({key: value for key, value in given.items() if value is not None})
    except ValidationError as error:
        raise RefusedError(_first_wrong(error)) from None
    if not isinstance(entry, (*TAKEN, SnagOpened)):
        raise RefusedError(f"{entry.kind}: this has a page of its own; do it there")
    return entry


def time_of(text: str | None, bench: Bench) -> dt.datetime:
    """When it was, as far as the clock of the sender can be believed; on the workshop's day, if set."""
    now = bench.now
    try:
        time = dt.datetime.fromisoformat(text or "")
        time = time.replace(microsecond=0) if time.tzinfo else now
    except (ValueError, OverflowError):
        time = now
    if bench.pinned is not None:
        time = dt.datetime.combine(bench.pinned, time.timetz())
    return now if time > now + AHEAD or time < now - LONGEST_AGO else time


def checked(entry: Entry, bench: Bench) -> Entry:
    """An entry as it is to be kept; raises RefusedError where it does not fit the workshop."""
    car = getattr(entry, "car", None)
    if car is not None and car not in bench.cars:
        raise RefusedError(f"{car}: there is no such car any more; note it under another")
    step = getattr(entry, "step", None)
    if step is not None and not isinstance(entry, Noted):
        _check_step(step, car, getattr(entry, "stint", None), bench)
    match entry:
        case MeasuredValue():
            what = bench.known[entry.step].measures if entry.step in bench.known else None
            kind, unit = (what.quantity, what.unit) if what else ("", "")
            return entry.model_copy(update={"value": with_unit(entry.value, kind, unit)})
        case Tightened():
            return entry.model_copy(update={"torque": with_unit(entry.torque, "torque", "N·m")})
        case Stopped():
            return entry.model_copy(update={"who": _who_started(entry, bench)})
        case CheckAnswered():
            check_answer(entry, bench)
        case SnagOpened():
            return _snag(entry, bench)
    return entry


def _check_step(step: str, car: str | None, stint: str | None, bench: Bench) -> None:
    if step.startswith("check:"):
        raise RefusedError(f"{step}: a check is answered with yes or no; answer it")
    found = bench.known.get(step)
    of = found.car if found else bench.card_steps(stint or "").get(step)
    if of is None:
        raise RefusedError(
            f"{step}: neither the workshop nor the plan has this step any more; keep it as a note"
        )
    if car is not None and of != car:
        raise RefusedError(f"{step}: this is on {of}, not on {car}; load the page anew")


def with_unit(text: str, kind: str, unit: str) -> str:
    """A measured value with its unit, once it is sure to be one; raises RefusedError.

    >>> with_unit("9,8", "length", "mm"), with_unit("1 3/4 in", "length", "mm")
    ('9,8 mm', '1 3/4 in')
    """
    if kind not in KINDS:
        return text
    try:
        found = parse_quantity(text, unit, kind)
    except QuantityError as error:
        raise RefusedError(str(error)) from None
    if kind == "torque" and found.value <= 0:
        raise RefusedError(f"{text}: a torque is more than nought; read it again")
    return text if found.has_typed_unit else f"{text.strip()} {UNITS[unit].label}"


def bare_with_unit(text: str, unit: str) -> str:
    """What was typed into a blank, with the unit that stands beside it unless one was typed.

    >>> bare_with_unit("9.8", "mm"), bare_with_unit("0.4 in", "mm"), bare_with_unit(" ", "mm")
    ('9.8 mm', '0.4 in', '')
    """
    text = text.strip()
    return text if not text or _BARE.search(text) else f"{text} {unit}"


def _who_started(entry: Stopped, bench: Bench) -> str | None:
    """The person whose clock it is: one's own if it runs, else the only one that does."""
    running = [
        one for one in bench.state().spells
        if one.stop is None and (one.stint, one.job) == (entry.stint, entry.job)
    ]  # fmt: skip
    names = [one.who for one in running]
    return entry.who if entry.who in names or len(names) != 1 else names[0]


def check_answer(entry: CheckAnswered, bench: Bench) -> None:
    """Raises RefusedError where a check is not due, or answered with yes before what has to come first."""
    checks, follow_ups = bench.releases(entry.car)
    if entry.check not in [*(one.id for one in checks), *(one.id for one in follow_ups)]:
        raise RefusedError(
            f"{entry.check}: this check is not asked for yet; tick the work that it looks at first"
        )
    if entry.answer == "no":
        return
    early = answers_too_early(bench.store.entries(), entry.car, bench.work, entry.check)
    if early:
        names = ", ".join(one.title for one in early)
        raise RefusedError(f"it is too early for this one; first answer with yes: {names}")


def _snag(entry: SnagOpened, bench: Bench) -> SnagOpened:
    steps = [entry.step] if entry.step and not entry.step.startswith(("measure:", "check:")) else []
    try:
        made = snag_entry(
            bench.work, bench.state(), entry.car, kind_of(entry.snag), steps, time=entry.time,
            words=entry.words, job=entry.job, part=entry.part, tool=entry.tool, who=entry.who,
            odometer=entry.odometer,
        )  # fmt: skip
    except SnagError as error:
        raise RefusedError(plain_words(str(error))) from None
    except ValidationError as error:
        raise RefusedError(_first_wrong(error)) from None
    return made.model_copy(update={"id": entry.id, "step": entry.step or made.step})


def plain_words(text: str) -> str:
    """A message made for the command line, as a page says it.

    >>> plain_words("which part? Give --part, one of a, b")
    'which part? Give the part, one of a, b'
    """
    text = re.sub(r"--check NAME=VALUE", "figure", text)
    return re.sub(r"--([a-z]+)", r"the \1", text)


def _first_wrong(error: ValidationError) -> str:
    one = error.errors(include_url=False)[0]
    where = [str(part) for part in one["loc"] if part not in ("kind",)]
    value = one["input"] if isinstance(one["input"], str) else ""
    name = where[-1] if where else "entry"
    return f"{name}{f' “{value[:60]}”' if value else ''}: {one['msg']}"
