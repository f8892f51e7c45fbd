"""What a recipe and the data shared by all recipes consist of, as frozen models.

Minutes are whole minutes in a home garage. Torques are the car manual's and stand nowhere here. Every
figure has a ``basis``: that of its entry, or else that of its file.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias, get_args

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from onceapart.workshop import PLACES, parse_money
from onceapart.workshop.values import Id

RECIPE_FORMAT = "onceapart-recipe/1"
COMMON_PRACTICE = "common practice, no source"

Per: TypeAlias = Literal["corner", "axle", "car", "job"]
"""What a figure counts for: each corner or axle that the place takes in, the car, or the job as a whole."""
Kind: TypeAlias = Literal["corner", "axle", "car"]
System: TypeAlias = Literal[
    "brakes",
    "steering",
    "suspension",
    "fuel",
    "airbags",
    "structure",
    "wheels",
    "driveline",
    "exhaust",
    "ignition",
    "engine",
    "cooling",
    "electrics",
    "body",
]
RustState: TypeAlias = Literal["light", "medium", "heavy"]
Stage: TypeAlias = Literal[
    "before-raising",
    "raised",
    "before-access",
    "apart",
    "closed-up",
    "wheels-on",
    "on-the-ground",
    "on-the-road",
]
"""When in the work on a car something is done.

On its wheels before it goes up; on stands with its wheels still on; with all off but what the job itself
asks for; with that off too (the usual); with it on again and the wheels still off; with the wheels on, still
on stands; down on its wheels; on the road, after the release checks.
"""

PLACE_KINDS = ("corner", "axle")
UNITS_OF: dict[str, tuple[str, ...]] = {
    "length": ("mm",),
    "angle": ("deg",),
    "pressure": ("bar", "kPa"),
    "temperature": ("degC",),
    "torque": ("Nm",),
    "force": ("N",),
    "voltage": ("V",),
    "resistance": ("ohm",),
    "volume": ("ml", "l"),
    "mass": ("g", "kg"),
    "time": ("s", "min"),
    "share": ("%",),
}
"""Units that a quantity measured at the bench may be written down in."""


def broken(rule: str, way_out: str) -> PydanticCustomError:
    """Error of a value that breaks a rule, with the way out."""
    return PydanticCustomError("broken_rule", "{rule}", {"rule": rule, "way_out": way_out})


def _check_words(value: str) -> str:
    text = value.strip()
    if not text:
        raise broken("it may not be blank", "write it in plain words")
    if not text.isprintable():
        raise broken("text is one line of printable letters", "use `>-` to write it over several lines")
    return text


def _check_name(value: str) -> str:
    if "/" in value:
        raise broken("a name has no / in it; car and place are put before it", "join its words by -")
    return value


def _check_price(value: str) -> str:
    try:
        parse_money(value)
    except ValueError as error:
        rule, _, way_out = str(error).partition("; ")
        raise broken(rule, way_out) from None
    return str(value)


def _check_place(value: str) -> str:
    if value not in (*PLACE_KINDS, *PLACES):
        raise broken(f"a place is corner, axle or one of {', '.join(PLACES)}", "use one of these")
    return str(value)


def _as_list(value: Any) -> Any:
    """One value where several may stand is a list of one."""
    return value if isinstance(value, list | tuple) else (value,)


def _as_reference(value: Any) -> Any:
    return {"id": value} if isinstance(value, str) else value


Words: TypeAlias = Annotated[str, Field(max_length=600), AfterValidator(_check_words)]
Name: TypeAlias = Annotated[Id, AfterValidator(_check_name)]
"""An id without a place, such as ``wheel``."""
Price: TypeAlias = Annotated[str, AfterValidator(_check_price)]
PlaceOrKind: TypeAlias = Annotated[str, AfterValidator(_check_place)]
Count: TypeAlias = Annotated[int, Field(ge=1, le=1000)]
Share: TypeAlias = Annotated[float, Field(ge=0, le=1)]
CaseMinutes: TypeAlias = Annotated[int, Field(ge=0, le=10_000)]


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Spread(_Frozen):
    """Minutes in a good, the typical and a bad case. [min]"""

    good: CaseMinutes
    typical: CaseMinutes
    bad: CaseMinutes

    @model_validator(mode="after")
    def _check_order(self) -> Spread:
        if not self.good <= self.typical <= self.bad:
            raise broken("good is at most typical, and typical at most bad", "put the three in order")
        return self

    def __add__(self, other: Spread) -> Spread:
        return _spread(self.good + other.good, self.typical + other.typical, self.bad + other.bad)

    def __mul__(self, times: int) -> Spread:
        return _spread(self.good * times, self.typical * times, self.bad * times)

    def around(self, minutes: int) -> Spread:
        """As wide in proportion, with other typical minutes. [min]

        >>> Spread(good=10, typical=20, bad=50).around(30)
        Spread(good=15, typical=30, bad=75)
        """
        if not self.typical:
            return _spread(minutes, minutes, minutes + self.bad)
        good, bad = (round(case * minutes / self.typical) for case in (self.good, self.bad))
        return _spread(good, minutes, bad)


def _spread(good: int, typical: int, bad: int) -> Spread:
    """What is reckoned from spreads may go beyond what may stand in a file."""
    return Spread.model_construct(good=good, typical=typical, bad=bad)


NO_MINUTES = Spread(good=0, typical=0, bad=0)


class When(_Frozen):
    """One way in which a car and a place may be; all that is given has to hold."""

    axle: Annotated[tuple[Literal["front", "rear"], ...], BeforeValidator(_as_list)] = ()
    driven: bool | None = None
    brakes: Annotated[tuple[Literal["disc", "drum"], ...], BeforeValidator(_as_list)] = ()
    suspension: Annotated[
        tuple[Literal["strut", "double-wishbone", "beam", "live-axle", "trailing-arm"], ...],
        BeforeValidator(_as_list),
    ] = ()
    fuel: Annotated[tuple[Literal["petrol", "diesel"], ...], BeforeValidator(_as_list)] = ()
    place: Annotated[tuple[PlaceOrKind, ...], BeforeValidator(_as_list)] = ()

    @model_validator(mode="after")
    def _check_something(self) -> When:
        if not self.model_fields_set:
            raise broken("a condition says something", f"give one of {', '.join(When.model_fields)}")
        return self


Condition: TypeAlias = Annotated[tuple[When, ...], BeforeValidator(_as_list)]
"""Ways of which one has to hold; none at all: always."""


class Reference(_Frozen):
    """An entry of the shared data by its id, taken only when its condition holds."""

    id: Id
    when: Condition = ()


Ref: TypeAlias = Annotated[Reference, BeforeValidator(_as_reference)]


class Operation(_Frozen):
    id: Name
    do: Words
    minutes: Spread
    per: Per = "job"
    when: Condition = ()
    stage: Stage = "apart"
    basis: Words | None = None


class Seizing(_Frozen):
    """Probability that one fastener is seized or shears, by how rusty the car is."""

    light: Share
    medium: Share
    heavy: Share

    @model_validator(mode="after")
    def _check_order(self) -> Seizing:
        if not self.light <= self.medium <= self.heavy:
            raise broken("more rust does not make seizing less likely", "put light, medium, heavy in order")
        return self


class Fastener(_Frozen):
    """A kind of fastener met in the work.

    ``renew``: a new one goes in. ``on_wheels``: tightened for good only with the car on its wheels.
    """

    id: Name
    what: Words
    thread: Words
    drive: Words
    count: Count = 1
    per: Per = "job"
    renew: bool = False
    on_wheels: bool = False
    when: Condition = ()
    seize: Seizing
    basis: Words | None = None


class Part(_Frozen):
    """Pieces of a part for each ``per``, and whether its id names the corner, the axle or only the car.

    Without ``named`` the id names what the pieces are for; a part that fits both sides is ``named: axle``.
    """

    title: Words
    pieces: Count
    per: Per
    named: Kind | None = None
    when: Condition = ()
    basis: Words | None = None

    @model_validator(mode="after")
    def _check_named(self) -> Part:
        order = get_args(Kind)
        if self.named and self.per in order and order.index(self.named) < order.index(self.per):
            rule = f"a part for each {self.per} has no {self.named} of its own"
            raise broken(rule, f"take `named` out, or count it per {self.named}")
        return self


class Measurement(_Frozen):
    id: Name
    what: Words
    quantity: str
    unit: str
    per: Per = "job"
    limit: Words | None = None
    """Where the limit is found, in words."""
    when: Condition = ()
    during: Name | None = None
    """Operation that it is taken in; without one, as soon as its stage is there."""
    stage: Stage = "apart"

    @model_validator(mode="after")
    def _check_unit(self) -> Measurement:
        units = UNITS_OF.get(self.quantity)
        if units is None:
            raise broken(f"a quantity is one of {', '.join(UNITS_OF)}", "use one of these")
        if self.unit not in units:
            raise broken(f"{self.quantity} is written down in {' or '.join(units)}", f"use {units[0]}")
        return self


class AccessWork(_Frozen):
    """Something that comes off to get there, off and on again; one at each ``at``."""

    id: Name
    title: Words
    at: Kind
    suits: Condition = ()
    minutes: Spread
    under: tuple[Ref, ...] = ()
    before: Words | None = None
    """What is done for it with the car on its wheels, before it goes up."""
    do: Words
    on_again: Words | None = None
    """What to mind when it goes on again."""
    fasteners: tuple[Fastener, ...] = ()
    tools: tuple[Ref, ...] = ()
    aftercare: tuple[Ref, ...] = ()
    cautions: tuple[Name, ...] = ()
    release: tuple[Ref, ...] = ()
    basis: Words | None = None


class AftercareWork(_Frozen):
    """What follows a job; the price is a decimal in the workshop's currency."""

    id: Name
    title: Words
    at: Kind
    minutes: Spread
    price: Price
    do: Words
    stage: Stage = "on-the-ground"
    basis: Words | None = None


class Caution(_Frozen):
    id: Name
    title: Words
    text: Words
    for_systems: tuple[System, ...] = Field((), alias="for")
    """Systems whose recipes must all carry this caution."""


class SpecialTool(_Frozen):
    id: Name
    title: Words
    use: Words


class ReleaseCheck(_Frozen):
    id: Name
    title: Words
    at: Kind
    check: Words
    stage: Stage = "on-the-ground"


class Defined(_Frozen):
    """Entries of shared data that a recipe brings along itself."""

    access: tuple[AccessWork, ...] = ()
    aftercare: tuple[AftercareWork, ...] = ()
    cautions: tuple[Caution, ...] = ()
    tools: tuple[SpecialTool, ...] = ()
    release: tuple[ReleaseCheck, ...] = ()


class Recipe(_Frozen):
    """A common job: what to do, how long it takes, and what it needs before, during and after."""

    format: Literal["onceapart-recipe/1"]
    id: Name
    title: Words
    cures: Words
    basis: Words
    places: Annotated[tuple[PlaceOrKind, ...], Field(min_length=1)]
    touches: tuple[System, ...]
    suits: Condition = ()
    operations: Annotated[tuple[Operation, ...], Field(min_length=1)]
    access: tuple[Ref, ...] = ()
    parts: dict[Name, Part] = {}
    fasteners: tuple[Fastener, ...] = ()
    tools: tuple[Ref, ...] = ()
    hand_tools: tuple[Words, ...] = ()
    consumables: tuple[Words, ...] = ()
    cautions: tuple[Name, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    aftercare: tuple[Ref, ...] = ()
    release: Annotated[tuple[Ref, ...], Field(min_length=1)]
    defines: Defined = Defined()


class AccessFile(_Frozen):
    format: Literal["onceapart-access/1"]
    basis: Words
    access: tuple[AccessWork, ...]


class AftercareFile(_Frozen):
    format: Literal["onceapart-aftercare/1"]
    basis: Words
    aftercare: tuple[AftercareWork, ...]


class CautionFile(_Frozen):
    format: Literal["onceapart-cautions/1"]
    cautions: tuple[Caution, ...]


class ToolFile(_Frozen):
    format: Literal["onceapart-tools/1"]
    tools: tuple[SpecialTool, ...]


class ReleaseFile(_Frozen):
    format: Literal["onceapart-release/1"]
    release: tuple[ReleaseCheck, ...]
