"""What can stand in a record: a closed set of entries, each said once and never changed.

An entry names another by its ``id``. Its ``number`` is given by the store that takes it; 0 until then.
The models check shape only, so that a record stays readable when the library or the workshop changes.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import secrets
import unicodedata
from typing import Annotated, Any, Literal, TypeAlias, get_args

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    TypeAdapter,
    model_validator,
)

from onceapart.workshop.values import (
    Date,
    FileName,
    Flag,
    Id,
    Measured,
    Minutes,
    Money,
    Odometer,
    Pieces,
    PlaceName,
    Text,
    broken,
)

MAX_NOTE = 2_000
MAX_BLOCKS = 500
"""Steps that one snag can block, and checks that one release can ask for."""
STEP_KINDS = (
    "raise",
    "loosen",
    "off",
    "do",
    "measure",
    "on",
    "lower",
    "tighten",
    "aftercare",
    "check",
)
_STEP = re.compile(rf"(?:{'|'.join(STEP_KINDS)})(?::[a-z0-9]+(?:[-/][a-z0-9]+)*)+", re.ASCII)
_ENTRY_ID = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,62}[a-z0-9])?", re.ASCII)
MAX_STEP = 320


def new_id() -> str:
    """An id that no other entry has, to be made once and sent as often as it takes.

    >>> len(new_id()), new_id() == new_id()
    (16, False)
    """
    return secrets.token_hex(8)


def _check_entry_id(value: str) -> str:
    if not _ENTRY_ID.fullmatch(value):
        raise broken("an entry's id is 1 to 64 of a-z, 0-9 and -", "write it as in 3f9c04d2a1b85e67")
    return value


def _check_step(value: str) -> str:
    if len(value) > MAX_STEP or not _STEP.fullmatch(value):
        rule = f"a step is {', '.join(STEP_KINDS[:-1])} or {STEP_KINDS[-1]}, a colon, and what it is done to"
        raise broken(rule, "write it as in off:wren/front-left/wheel or do:wren-cv-boot:clips")
    return value


def _check_note(value: str) -> str:
    text = value.strip()
    if not text:
        raise broken("it may not be blank", "write what there is to say")
    if len(text) > MAX_NOTE:
        raise broken(f"a note has at most {MAX_NOTE} letters", "make two of it")
    if any(unicodedata.category(letter) in ("Cc", "Cs") and letter != "\n" for letter in text):
        raise broken("a note has no control characters", "take them out")
    return text


def _check_system(value: str) -> str:
    if not re.fullmatch(r"[a-z]+(?:-[a-z]+)*", value, re.ASCII) or len(value) > 40:
        raise broken("a system is one lower-case word", "write it as in brakes")
    return value


def _whole_seconds(value: dt.datetime) -> dt.datetime:
    return value.replace(microsecond=0)


EntryId: TypeAlias = Annotated[str, AfterValidator(_check_entry_id)]
StepId: TypeAlias = Annotated[str, AfterValidator(_check_step)]
"""Kind of step, ``:``, and what it is done to: ``off:ACCESS``, ``do:JOB:OPERATION[:place]``, ``check:ID``;
``do:JOB`` is all of a job."""
Note: TypeAlias = Annotated[str, AfterValidator(_check_note)]
When: TypeAlias = Annotated[AwareDatetime, AfterValidator(_whole_seconds)]
SystemName: TypeAlias = Annotated[str, AfterValidator(_check_system)]
StintName: TypeAlias = Text
"""The stint's id, or its date where it has none."""

SnagKind: TypeAlias = Literal[
    "broken fastener",
    "seized fastener",
    "wrong part",
    "bad part",
    "short of time",
    "damage found",
    "left unfinished",
    "missing tool",
]
SNAG_KINDS: tuple[str, ...] = get_args(SnagKind)


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Entry(_Frozen):
    number: Annotated[int, Field(ge=0, strict=True)] = 0
    id: EntryId = Field(default_factory=new_id)
    time: When
    who: Text | None = None

    @property
    def day(self) -> dt.date:
        """The day it was, where it was written."""
        return self.time.date()


class _OnCar(_Entry):
    car: Id
    odometer: Odometer | None = None


class _Step(_OnCar):
    step: StepId
    stint: StintName | None = None


class Ticked(_Step):
    """A step is done."""

    kind: Literal["ticked"] = "ticked"


class Unticked(_Step):
    """A step that was done is open again: put back as it was, or to be done over."""

    kind: Literal["unticked"] = "unticked"


class MeasuredValue(_Step):
    """A value measured in a step, with its unit, as it was written."""

    kind: Literal["measured"] = "measured"
    value: Measured


class Tightened(_OnCar):
    """A torque that was set, as it was written; ``fastener`` says on what."""

    kind: Literal["tightened"] = "tightened"
    fastener: Text
    torque: Measured
    step: StepId | None = None
    stint: StintName | None = None


class _Clock(_Entry):
    stint: StintName | None = None
    job: Id | None = None


class Started(_Clock):
    """Work begins, on one job or on the stint as such."""

    kind: Literal["started"] = "started"


class Stopped(_Clock):
    """Work ends that was started by the same person for the same stint and job."""

    kind: Literal["stopped"] = "stopped"


class Noted(_Entry):
    kind: Literal["noted"] = "noted"
    words: Note
    car: Id | None = None
    odometer: Odometer | None = None
    job: Id | None = None
    step: StepId | None = None
    photo: FileName | None = None


class Arrived(_Entry):
    """Pieces of a part have come, and what they are like. ``price`` is for all of them. [minor units]"""

    kind: Literal["arrived"] = "arrived"
    part: Id
    pieces: Pieces
    state: Literal["right", "wrong", "bad"] = "right"
    offer: Id | None = None
    price: Money | None = None
    words: Note | None = None


class Ordered(_Entry):
    """Parts were ordered, or a tool was bought: what all of it costs, and when it comes. [minor units]

    ``parts`` are the pieces of all units, so that the record says it even if the offer goes.
    """

    kind: Literal["ordered"] = "ordered"
    offer: Id | None = None
    seller: Id | None = None
    units: Pieces = 1
    parts: dict[Id, Pieces] = {}
    tool: Id | None = None
    price: Money
    delivery: Money = 0
    arrives: Date
    placed: Date | None = None
    """The day it was ordered, where that is not the day of the entry."""

    @model_validator(mode="after")
    def _check_what(self) -> Ordered:
        if bool(self.parts) == (self.tool is not None):
            raise broken("it is parts that are ordered, or a tool", "give `parts` or `tool`")
        return self


class SnagOpened(_OnCar):
    """Something went otherwise than planned. ``dangerous``: the car is, as it stands."""

    kind: Literal["snag opened"] = "snag opened"
    snag: SnagKind
    words: Note
    dangerous: Flag
    blocks: Annotated[tuple[StepId, ...], Field(max_length=MAX_BLOCKS)] = ()
    job: Id | None = None
    step: StepId | None = None
    part: Id | None = None
    """The part that is wrong or bad, or that stands in for what broke."""
    tool: Id | None = None


class WayChosen(_Entry):
    """How to go on from a snag, with what it costs. [minutes, minor units]"""

    kind: Literal["way chosen"] = "way chosen"
    snag: EntryId
    way: Text
    minutes: Minutes | None = None
    price: Money | None = None


class SnagClosed(_Entry):
    kind: Literal["snag closed"] = "snag closed"
    snag: EntryId
    how: Note


class Limits(_Frozen):
    """How long a stopgap may stay: at least until a day, for a distance, or not to be driven on at all."""

    until: Date | None = None
    """Last day."""
    distance: Odometer | None = None
    """From where it was fitted, as in ``500 km``."""
    speed: Measured | None = None
    do_not_drive: Flag = False

    @model_validator(mode="after")
    def _check_end(self) -> Limits:
        if self.until is None and self.distance is None and not self.do_not_drive:
            rule = "a stopgap has an end: a last day, a distance, or no driving at all"
            raise broken(rule, "give `until`, `distance` or `do_not_drive`")
        return self


class SumCheck(_Frozen):
    """The sum that a stopgap was checked by: its name, what was typed in, and the verdict it gave."""

    sum: Text
    inputs: dict[Text, Text]
    verdict: Text


class StopgapFitted(_OnCar):
    """A makeshift is in: what, where, how far it may go, and the job that makes it good."""

    kind: Literal["stopgap fitted"] = "stopgap fitted"
    what: Text
    where: Text
    system: SystemName
    limits: Limits
    job: Id
    """The job that makes it good."""
    place: PlaceName | None = None
    signed_by: Text | None = None
    check: SumCheck | None = None
    snag: EntryId | None = None

    @model_validator(mode="after")
    def _check_odometer(self) -> StopgapFitted:
        if self.limits.distance is not None and self.odometer is None:
            rule = f"a limit of {self.limits.distance} counts from the odometer when it was fitted"
            raise broken(rule, "give `odometer`, as in 143200 km")
        return self


class StopgapSigned(_Entry):
    """A person has looked at a stopgap and signs for it."""

    kind: Literal["stopgap signed"] = "stopgap signed"
    stopgap: EntryId
    signed_by: Text


class StopgapClosed(_Entry):
    """A stopgap was made good by a job or a step, which has to be done."""

    kind: Literal["stopgap closed"] = "stopgap closed"
    stopgap: EntryId
    by: Id | StepId


class CheckAnswered(_OnCar):
    """Answer to a release check, such as ``wren/front-left/wheel-nuts``."""

    kind: Literal["check answered"] = "check answered"
    check: Id
    answer: Literal["yes", "no"]
    value: Measured | None = None
    words: Note | None = None


class ReleaseAsked(_OnCar):
    """Release is asked for; ``checks`` are those that were due for it."""

    kind: Literal["release asked"] = "release asked"
    checks: Annotated[tuple[Id, ...], Field(max_length=MAX_BLOCKS)]


class ReleaseGranted(_OnCar):
    """A person lets the car go on the road. It takes effect only where nothing stands against it."""

    kind: Literal["release granted"] = "release granted"
    who: Text


class ReleaseWithdrawn(_OnCar):
    kind: Literal["release withdrawn"] = "release withdrawn"
    why: Note


class Corrected(_Entry):
    """An earlier entry doesn't count. It stays where it is; so does this one."""

    kind: Literal["corrected"] = "corrected"
    entry: EntryId
    why: Note


class RecordMended(_Entry):
    """The record had been damaged: which lines of it, and under which name the damaged file was kept."""

    kind: Literal["record mended"] = "record mended"
    lines: Annotated[tuple[Annotated[int, Field(ge=1)], ...], Field(min_length=1, max_length=10_000)]
    kept_as: FileName


Entry: TypeAlias = Annotated[
    Ticked
    | Unticked
    | MeasuredValue
    | Tightened
    | Started
    | Stopped
    | Noted
    | Ordered
    | Arrived
    | SnagOpened
    | WayChosen
    | SnagClosed
    | StopgapFitted
    | StopgapSigned
    | StopgapClosed
    | CheckAnswered
    | ReleaseAsked
    | ReleaseGranted
    | ReleaseWithdrawn
    | Corrected
    | RecordMended,
    Field(discriminator="kind"),
]
ENTRY_KINDS: tuple[type[_Entry], ...] = get_args(get_args(Entry)[0])
ENTRY_WORDS: tuple[str, ...] = tuple(str(one.model_fields["kind"].default) for one in ENTRY_KINDS)

_ADAPTER: TypeAdapter[Entry] = TypeAdapter(Entry)
_HEAD = ("number", "kind", "id", "time", "who")


def entry_of(data: dict[str, Any]) -> Entry:
    """An entry from its JSON object; raises pydantic's ValidationError with all that is wrong."""
    return _ADAPTER.validate_python(data)


def entry_to_json(entry: Entry) -> str:
    """One line of JSON, without a line break; what is not said is left out.

    >>> noon = dt.datetime(2026, 3, 7, 12, tzinfo=dt.timezone.utc)
    >>> print(entry_to_json(Started(id="a1", time=noon)))
    {"number":0,"kind":"started","id":"a1","time":"2026-03-07T12:00:00Z"}
    """
    data = entry.model_dump(mode="json", exclude_none=True)
    ordered = {key: data[key] for key in _HEAD if key in data} | data
    return json.dumps(ordered, ensure_ascii=False, separators=(",", ":"))


def says_the_same(one: Entry, other: Entry) -> bool:
    """Whether two entries say the same: all but number and time, which a second sending may give anew."""
    return _content(one) == _content(other)


def _content(entry: Entry) -> dict[str, Any]:
    return entry.model_dump(mode="json", exclude={"number", "time"})


def on_car(entry: Entry) -> str | None:
    """The car that an entry names itself; None where it goes by another entry or by none."""
    found: str | None = getattr(entry, "car", None)
    return found


def now() -> dt.datetime:
    """The present time with the zone of this machine, in whole seconds."""
    return dt.datetime.now(dt.UTC).astimezone().replace(microsecond=0)


def step_parts(step: str) -> tuple[str, str]:
    """Kind of a step and what it is done to.

    >>> step_parts("off:wren/front-left/wheel")
    ('off', 'wren/front-left/wheel')
    """
    kind, _, rest = step.partition(":")
    return kind, rest
