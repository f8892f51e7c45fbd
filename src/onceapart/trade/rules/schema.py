"""What a rule pack consists of, as frozen models: items to look at, and rules that class what is found."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from onceapart.trade.rules.limits import UNITS_OF, AmountText, LimitText
from onceapart.trade.schema import Caution, Condition, Kind, Name, When, Words, broken
from onceapart.workshop.values import Date, PlaceName

RULES_FORMAT = "onceapart-rules/1"
SOUND = "sound"
"""The word for what was looked at and found in order; every item that is looked at takes it."""

Class: TypeAlias = Literal["minor", "major", "dangerous"]
CLASSES: tuple[Class, ...] = ("minor", "major", "dangerous")
"""From the mildest to the worst."""
Status: TypeAlias = Literal["verified", "from memory", "common practice"]
How: TypeAlias = Literal["look", "shake", "measure", "drive", "listen"]
Stage: TypeAlias = Literal["cold", "on-the-ground", "engine-running", "on-the-road", "on-stands", "wheel-off"]
STAGES: tuple[Stage, ...] = (
    "cold",
    "on-the-ground",
    "engine-running",
    "on-the-road",
    "on-stands",
    "wheel-off",
)
"""How the car stands while an item is looked at, in the order of a walk round it.

``cold``: before the engine has run. ``on-the-ground``: standing still, engine off.
"""
ItemSystem: TypeAlias = Literal[
    "brakes",
    "steering",
    "suspension",
    "wheels",
    "driveline",
    "engine",
    "fuel",
    "exhaust",
    "lights",
    "electrics",
    "view",
    "body",
    "restraints",
]


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


def _as_list(value: Any) -> Any:
    return value if isinstance(value, list | tuple) else (value,)


def _as_test(value: Any) -> Any:
    """A word or words where the answer of a fact is tested stand for ``{is: ...}``."""
    return {"is": value} if isinstance(value, str | list | tuple) else value


Names: TypeAlias = Annotated[tuple[Name, ...], BeforeValidator(_as_list)]


class Source(_Frozen):
    """Where rules come from."""

    title: Words
    seen: Words
    """Which text of it was read, and how it was read."""
    note: Words | None = None


class Fact(_Frozen):
    """Something about the car that rules ask for: measured (with a quantity) or one of some words."""

    title: Words
    ask: Words
    """How to find it out."""
    quantity: str | None = None
    unit: str | None = None
    plausible: tuple[float, float] | None = None
    words: dict[Name, Words] = {}

    @model_validator(mode="after")
    def _check_kind(self) -> Fact:
        _check_measured_or_words(self.quantity, self.unit, self.plausible, bool(self.words))
        return self


class FactTest(_Frozen):
    """What the answer of a fact has to be: one of some words, or an amount within bounds."""

    one_of: Names = Field((), alias="is")
    up_to: AmountText | None = Field(None, alias="up-to")
    """The amount itself still counts."""
    over: AmountText | None = None
    """The amount itself does not count."""

    @model_validator(mode="after")
    def _check_kind(self) -> FactTest:
        bounds = self.up_to is not None or self.over is not None
        if bounds == bool(self.one_of):
            raise broken("a fact is tested by words, or by `over` and `up-to`", "give one of the two kinds")
        same_unit = self.over and self.up_to and self.over.unit == self.up_to.unit
        if self.over and self.up_to and same_unit and self.over.number >= self.up_to.number:
            raise broken("`over` is less than `up-to`", "swap the two")
        return self


class Registered(_Frozen):
    """When the car was first registered: from a day on, before a day, or both."""

    from_: Date | None = Field(None, alias="from")
    """This day still counts."""
    before: Date | None = None
    """This day does not count."""

    @model_validator(mode="after")
    def _check_order(self) -> Registered:
        if self.from_ is None and self.before is None:
            raise broken("a date of registration has a bound", "give `from`, `before` or both")
        if self.from_ and self.before and self.from_ >= self.before:
            raise broken("`from` is earlier than `before`", "swap the two")
        return self


class RuleWhen(When):
    """Cars and places that a rule is for; all that is given has to hold.

    It is a ``When`` of the recipes, so that ``placing.holds((when,), ...)`` answers for the layout and place;
    ``registered`` and ``fact`` are left to whoever knows the car.
    """

    registered: Registered | None = None
    fact: dict[Name, Annotated[FactTest, BeforeValidator(_as_test)]] = Field(default={})


class Cure(_Frozen):
    """A recipe that puts an item right.

    ``at`` says where the job is done, seen from where the item was found: at that corner, on its axle, or at
    ``place`` for a job of the car as such. ``pair``: both sides of the axle are done though one was found.
    """

    recipe: Name
    at: Kind
    place: PlaceName = "all"
    pair: bool = False
    for_: Names = Field((), alias="for")
    """Words that it cures; none given: whatever is found."""
    when: Condition = ()

    @model_validator(mode="after")
    def _check_pair(self) -> Cure:
        if self.pair and self.at != "corner":
            raise broken("only a job at a corner is done in pairs", "take `pair` out, or write `at: corner`")
        if "place" in self.model_fields_set and self.at != "car":
            raise broken("`place` is for a job of the car as such", "take it out, or write `at: car`")
        return self


class Item(_Frozen):
    """One thing to look at, measure, shake, drive or listen to: at each corner, axle, or on the car.

    Either measured (``quantity``, ``unit``, ``plausible``) or seen (``words``).
    """

    id: Name
    title: Words
    at: Kind
    place: PlaceName = "all"
    """Where on the car an item of the car as such is found."""
    system: ItemSystem
    how: How
    stage: Stage
    check: Words
    """How to do it at home."""
    quantity: str | None = None
    unit: str | None = None
    plausible: tuple[float, float] | None = None
    """Least and most that a reading can be. [unit]"""
    wears: Literal["falls", "rises"] | None = None
    """Which way use takes a reading, where a projection makes sense."""
    words: dict[Name, Words] = {}
    """What may be seen beside ``sound``, and what each word means; the mildest first."""
    suits: Condition = ()
    cautions: tuple[Name, ...] = ()
    cures: tuple[Cure, ...] = ()

    @property
    def is_measured(self) -> bool:
        """Whether a reading is an amount, and not words."""
        return self.quantity is not None

    @model_validator(mode="after")
    def _check_kind(self) -> Item:
        _check_measured_or_words(self.quantity, self.unit, self.plausible, bool(self.words))
        if SOUND in self.words:
            raise broken(f"`{SOUND}` is a word of every item", "take it out of `words`")
        if self.wears and not self.quantity:
            raise broken("only what is measured wears by a figure", "take `wears` out")
        if "place" in self.model_fields_set and self.at != "car":
            raise broken("`place` is for an item of the car as such", "take it out, or write `at: car`")
        return self


class Rule(_Frozen):
    """One row: what makes one item fail, and how badly.

    A reading fails if it is ``below`` or ``above`` the limit (the limit itself passes), or if one of the
    words ``seen`` was seen.
    """

    id: Name
    item: Name
    class_: Class = Field(alias="class")
    below: LimitText | None = None
    above: LimitText | None = None
    seen: Names = ()
    when: RuleWhen | None = None
    clause: Words
    source: Name
    status: Status
    note: Words | None = None

    @model_validator(mode="after")
    def _check_kind(self) -> Rule:
        given = [self.below is not None, self.above is not None, bool(self.seen)]
        if sum(given) != 1:
            raise broken("a rule has one of `below`, `above` and `seen`", "give just one of them")
        if SOUND in self.seen:
            raise broken(f"`{SOUND}` fails nothing", "take it out of `seen`")
        return self


class PackHead(_Frozen):
    """A file of a pack without a look at its items and rules, which may give only what they change."""

    format: Literal["onceapart-rules/1"]
    id: Name
    title: Words
    about: Words
    """Which cars it is for, and what it does not say."""
    extends: Name | None = None
    notes: tuple[Words, ...] = ()
    sources: dict[Name, Source] = {}
    facts: dict[Name, Fact] = {}
    cautions: tuple[Caution, ...] = ()
    items: tuple[Any, ...] = ()
    rules: tuple[Any, ...] = ()


class PackPart(_Frozen):
    """A further file of a pack that is kept in a folder: more items and rules."""

    format: Literal["onceapart-rules/1"]
    part_of: Name = Field(alias="part-of")
    items: tuple[Any, ...] = ()
    rules: tuple[Any, ...] = ()


class Pack(_Frozen):
    """A rule pack with everything that came along from the one it extends."""

    id: Name
    title: Words
    about: Words
    extends: Name | None = None
    lineage: tuple[str, ...]
    """The pack and those it extends, one after the other."""
    notes: tuple[Words, ...]
    """Notes of the pack itself first, then those that came along."""
    sources: dict[str, Source]
    facts: dict[str, Fact]
    cautions: tuple[Caution, ...]
    """Its own cautions; the others are the library's."""
    items: tuple[Item, ...]
    rules: tuple[Rule, ...]

    def item(self, item_id: str) -> Item | None:
        """The item of that id, if there is one."""
        return next((item for item in self.items if item.id == item_id), None)

    def rules_of(self, item_id: str) -> tuple[Rule, ...]:
        """Rules of an item, the worst class first."""
        found = [rule for rule in self.rules if rule.item == item_id]
        return tuple(sorted(found, key=lambda rule: -CLASSES.index(rule.class_)))

    def unjudged(self, item_id: str) -> tuple[str, ...]:
        """Words of an item that no rule names: seeing one fails nothing here, and is not ``sound`` either."""
        item = self.item(item_id)
        named = {word for rule in self.rules_of(item_id) for word in rule.seen}
        return tuple(word for word in (item.words if item else ()) if word not in named)

    @property
    def ruled_items(self) -> tuple[Item, ...]:
        """Items that at least one rule is for, in the order of the pack."""
        ruled = {rule.item for rule in self.rules}
        return tuple(item for item in self.items if item.id in ruled)


def _check_measured_or_words(
    quantity: str | None, unit: str | None, plausible: tuple[float, float] | None, words: bool
) -> None:
    if quantity is None:
        if unit is not None or plausible is not None:
            raise broken("`unit` and `plausible` belong to what is measured", "give its `quantity`, too")
        if not words:
            raise broken(
                "it is either measured or seen", "give `quantity`, `unit` and `plausible`, or `words`"
            )
        return
    if words:
        raise broken("it is either measured or seen", "keep `quantity` or `words`")
    units = UNITS_OF.get(quantity)
    if units is None:
        raise broken(f"a quantity is one of {', '.join(UNITS_OF)}", "use one of these")
    if unit not in units:
        named = ", ".join(one or 'nothing (write "")' for one in units)
        raise broken(f"the unit of a {quantity} is one of {named}", "give one of these as its `unit`")
    if plausible is None:
        raise broken("what is measured has a least and a most", "add them, as in `plausible: [0, 20]`")
    if plausible[0] >= plausible[1]:
        raise broken("least comes before most", "swap the two of `plausible`")
