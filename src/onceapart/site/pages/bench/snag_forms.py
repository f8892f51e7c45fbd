"""Forms of snags: what happened, and what choosing a way on asks for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ConfigDict

from onceapart.bench.entries import Note, SnagKind, SystemName
from onceapart.bench.snag import Where
from onceapart.bench.stopgap import KNOWN_SYSTEMS
from onceapart.bench.ways import WayOn
from onceapart.site.pages.forms import Field
from onceapart.workshop.values import Date, Flag, Id, Measured, Minutes, Money, Odometer, PlaceName, Text

KINDS: tuple[tuple[str, str, str], ...] = (
    ("broken fastener", "A bolt or nut broke", "Sheared off, or the thread came out"),
    ("seized fastener", "It will not come undone", "Rusted solid, or the corners have gone round"),
    ("wrong part", "The part is the wrong one", "Other side, other size, other car"),
    ("bad part", "The part is no good", "Broken, worn or damaged as it came"),
    ("damage found", "Something else is damaged", "Seen now that it is apart"),
    ("missing tool", "A tool is missing", "Nobody has it here"),
    ("short of time", "Time runs out", "Not all of it can be done today"),
    ("left unfinished", "It stays unfinished", "Something was left off or undone"),
)
"""Kind of snag, in plain words, and what is meant."""
KIND_WORDS = {kind: words for kind, words, _ in KINDS}
SYSTEM_WORDS = {"structure": "load-bearing metal", "body": "body panels and trim"}
NEEDS = (
    ("safety", "Safety: it may not wait"),
    ("inspection", "The inspection asks for it"),
    ("upkeep", "Upkeep"),
    ("wish", "A wish"),
)


class SnagTyped(BaseModel):
    """A snag as a person says it."""

    model_config = ConfigDict(frozen=True)

    snag: SnagKind
    words: Note | None = None
    part: Id | None = None
    tool: Id | None = None
    danger: Text | None = None
    odometer: Odometer | None = None


def snag_fields(parts: Sequence[tuple[str, str]], tools: Sequence[tuple[str, str]]) -> tuple[Field, ...]:
    """Fields of the form that opens a snag; its kind is picked from cards of its own."""
    return (
        Field("snag", "What is wrong?", "choice", choices=[(kind, words) for kind, words, _ in KINDS],
              wanted=True),
        Field("words", "What happened", "long", "In a few words; it helps later.", rows=2),
        Field("part", "Which part, if it is one", "choice", choices=[("", "none, or not listed"), *parts]),
        Field("tool", "Which tool, if one is missing", "choice", choices=[("", "none"), *tools]),
        Field("danger", "As it stands, could the car hurt somebody?", "choice",
              "A car with an open dangerous snag is not released.",
              choices=[("", "by where it is"), ("yes", "yes"), ("no", "no")]),
    )  # fmt: skip


class WayTyped(BaseModel):
    """What a person says on choosing a way."""

    model_config = ConfigDict(frozen=True)

    minutes: Minutes | None = None
    price: Money | None = None
    what: Text | None = None
    where: Text | None = None
    system: SystemName | None = None
    until: Date | None = None
    distance: Odometer | None = None
    speed: Measured | None = None
    stands: Flag = False
    signed_by: Text | None = None
    odometer: Odometer | None = None
    recipe: Id | None = None
    place: PlaceName | None = None
    need: Text | None = None


def way_fields(
    made: WayOn, where: Where, recipes: Sequence[tuple[str, str]], places: Sequence[str]
) -> tuple[Field, ...]:
    """Fields of the form that chooses a way."""
    act = made.way.act
    minutes = Field(
        "minutes", "Minutes it takes", "minutes",
        f"If you know better than {made.minutes.typical}."
    )  # fmt: skip
    price = Field("price", "What is paid", "money", "If you know better than what is said above.")
    if act == "job":
        return (
            Field("recipe", "Job from the library", "choice", choices=[("", "none of these"), *recipes]),
            Field("place", "Where", "choice", choices=[("", "choose"), *((one, one) for one in places)]),
            Field("minutes", "Or minutes of its own", "minutes"),
            Field("need", "What for", "choice", choices=NEEDS),
        )
    if act not in ("substitute", "stopgap"):
        return (minutes, price) if act not in ("leave", "put-off", "stop") else ()
    systems = [(one, SYSTEM_WORDS.get(one, one.replace("-", " "))) for one in KNOWN_SYSTEMS]
    if where.system not in KNOWN_SYSTEMS:
        systems.insert(0, ("", "choose one"))
    return (
        Field("what", "What goes in", hint="As in: M10x60 8.8 bolt, or two turns of wire."),
        Field("where", "Where it is", hint="As in: rear box hanger."),
        Field("system", "What it holds", "choice", choices=systems, wanted=True),
        Field("until", "Last day", "date", f"Left empty: {made.way.days or 14} days from today."),
        Field("distance", "Or for a distance", hint="As in 300 km; the odometer is needed then."),
        Field("odometer", "Odometer now", hint="As in 143200 km or 89400 mi."),
        Field("speed", "Not faster than", "measured", "As in 60 km/h."),
        Field("stands", "The car only stands on it and is not driven", "flag"),
        Field("signed_by", "Signed by", hint="Whoever has looked at it and answers for it."),
        minutes,
        price,
    )


def filled_in(made: WayOn, where: Where) -> Mapping[str, Any]:
    """What a form that chooses a way starts with."""
    if made.way.act == "job":
        return {"need": "inspection"}
    if made.way.act not in ("substitute", "stopgap"):
        return {}
    found = {"system": where.system if where.system in KNOWN_SYSTEMS else ""}
    if len(where.fasteners) == 1:
        found["where"] = where.fasteners[0].what
    return found
