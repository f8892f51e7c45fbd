"""Finding a recipe in plain words, and what it would bring to a car."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from onceapart.inspection.proposing import takes_in
from onceapart.site.pages.jobs.names import Names
from onceapart.site.pages.parts.stock import Counted, PartNeed, Sold
from onceapart.trade import FittedAccess, FittedRecipe, Library, Recipe, all_access, load_recipe, recipe_ids
from onceapart.trade.fitting import fit_recipe, suited_places
from onceapart.trade.placing import condition_in_words
from onceapart.trade.schema import NO_MINUTES, AftercareWork, Caution, SpecialTool, Spread
from onceapart.workshop import Car, Job, Layout, Workshop, format_money
from onceapart.workshop.part_names import words_of

SAID_FOR: Mapping[str, str] = {
    "accumulator": "battery",
    "bleed": "bleeding fluid",
    "bleeder": "bleeding",
    "bonnet": "engine",
    "bounce": "damper",
    "bulbs": "bulb",
    "clonk": "knock",
    "clunk": "knock",
    "droplink": "drop link",
    "flasher": "indicator",
    "gaiter": "boot",
    "gearbox": "mount",
    "gurgle": "coolant",
    "halfshaft": "driveshaft",
    "handbrake": "parking brake",
    "headlight": "headlamp",
    "hum": "rumble bearing",
    "indicator": "indicator lamp",
    "light": "lamp",
    "mot": "",
    "muffler": "exhaust silencer",
    "nearside": "",
    "offside": "",
    "overheating": "hot",
    "pull": "pull side",
    "rotor": "disc",
    "shock": "damper",
    "silencer": "exhaust silencer",
    "squeak": "squeal knock",
    "squeaky": "squeal",
    "stabilizer": "anti roll bar",
    "sway": "anti roll",
    "tire": "tyre",
    "tracking": "toe alignment",
    "wing": "door",
    "windshield": "windscreen",
}
"""Words that people say -> words of the library."""
SYSTEM_WORDS: Mapping[str, str] = {
    "brakes": "Brakes",
    "steering": "Steering",
    "suspension": "Suspension",
    "wheels": "Wheels and tyres",
    "driveline": "Drive",
    "exhaust": "Exhaust",
    "fuel": "Fuel",
    "ignition": "Ignition",
    "engine": "Engine",
    "cooling": "Cooling",
    "electrics": "Lamps and electrics",
    "structure": "Structure",
    "airbags": "Airbags and belts",
    "body": "Body and glass",
    "": "Other",
}


@dataclass(frozen=True)
class Found:
    """A recipe and where it can be done on a car; nowhere: ``only_for`` says which cars it is for."""

    recipe: Recipe
    places: tuple[str, ...]
    only_for: str = ""

    @property
    def system(self) -> str:
        """Heading that it stands under."""
        return SYSTEM_WORDS.get(self.recipe.touches[0] if self.recipe.touches else "", "Other")


@cache
def _words_in(recipe_id: str) -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
    """Words of its title, of what it cures, and of all that is done and used."""
    recipe = load_recipe(recipe_id)
    deep = [one.do for one in recipe.operations] + [part.title for part in recipe.parts.values()]
    return words_of(f"{recipe.title} {recipe.id}"), words_of(recipe.cures), words_of(" ".join(deep))


def search_recipes(text: str, layout: Layout) -> tuple[Found, ...]:
    """Recipes for what somebody says in plain words, the likeliest first; all of them for no words.

    >>> [one.recipe.id for one in search_recipes("rotors", Layout())][:1]
    ['brake-discs']
    """
    wanted = [_said_for(word) for word in sorted(words_of(text))]
    wanted = [words for words in wanted if words]
    rated = []
    for name in recipe_ids():
        rate = sum(_rate(words, name) for words in wanted)
        missed = sum(not _rate(words, name) for words in wanted)
        if not wanted or (rate and missed <= len(wanted) // 2):
            rated.append((missed, -rate, name))
    return tuple(_found(load_recipe(name), layout) for _, _, name in sorted(rated))


def _said_for(word: str) -> frozenset[str]:
    return words_of(SAID_FOR[word]) if word in SAID_FOR else frozenset({word})


def _rate(words: Iterable[str], recipe_id: str) -> int:
    """How well a recipe answers one word that was said; the words that stand for it count once."""
    return max((_rate_word(word, recipe_id) for word in words), default=0)


def _rate_word(word: str, recipe_id: str) -> int:
    title, cures, deep = _words_in(recipe_id)
    for rate, known in ((9, title), (3, cures), (1, deep)):
        if word in known:
            return rate + 1
        if len(word) > 3 and any(
            one.startswith(word[:-1]) or word.startswith(one) for one in known if len(one) > 3
        ):
            return rate
    return 0


def _found(recipe: Recipe, layout: Layout) -> Found:
    places = suited_places(recipe, layout)
    return Found(recipe, places, "" if places else condition_in_words(recipe.suits))


@dataclass(frozen=True)
class BroughtAccess:
    """Something that comes off for it. [min]"""

    title: str
    minutes: int
    shared_with: int
    """Jobs of the car that need it off anyway."""


@dataclass(frozen=True)
class BroughtPart:
    name: str
    title: str
    pieces: int
    need: PartNeed | None
    """As the other jobs need it already."""
    cheapest: Sold | None


@dataclass(frozen=True)
class BroughtTool:
    tool: SpecialTool
    is_listed: bool
    have: bool


@dataclass(frozen=True)
class Brought:
    """What a recipe brings to a car at a place."""

    fitted: FittedRecipe
    access: tuple[BroughtAccess, ...]
    access_minutes: int
    parts: tuple[BroughtPart, ...]
    tools: tuple[BroughtTool, ...]
    aftercare: tuple[tuple[AftercareWork, str], ...]
    """Each with what it costs in this workshop."""
    cautions: tuple[Caution, ...]
    there: tuple[Job, ...]
    """Jobs of the same recipe that the car has already at that place, or at one with it."""

    @property
    def minutes(self) -> Spread:
        return self.fitted.minutes

    @property
    def missing_tools(self) -> tuple[SpecialTool, ...]:
        """Tools that the workshop does not list yet."""
        return tuple(one.tool for one in self.tools if not one.is_listed)

    @property
    def more_minutes(self) -> int:
        """Of what comes off, what no other job needs off."""
        return sum(one.minutes for one in self.access if not one.shared_with)


def brought(
    recipe: Recipe, car: Car, place: str, counted: Counted, names: Names, users: Mapping[str, Sequence[str]]
) -> Brought:
    """What a recipe would bring to a car.

    Parameters
    ----------
    recipe : Recipe
    car : Car
    place : str
        One that suits.
    counted : Counted
        The workshop with its recipes applied, and its parts.
    names : Names
    users : mapping
        Access -> jobs that need it off already.
    """
    workshop = counted.applied
    library = Library([recipe.defines])
    fitted = fit_recipe(recipe, car.id, place, car.layout or Layout(), library)
    access = all_access(fitted, library)
    own = {one.id: one.minutes for one in workshop.access}
    rows = tuple(
        BroughtAccess(_titled(one), own.get(one.id, one.work.minutes.typical), len(users.get(one.id, ())))
        for one in access
    )
    tools = dict.fromkeys([*fitted.tools, *(tool for one in access for tool in one.tools)])
    listed = {tool.id: tool for tool in workshop.tools}
    wanted = {*recipe.cautions, *(name for one in access for name in one.work.cautions)}
    return Brought(
        fitted=fitted,
        access=rows,
        access_minutes=sum(one.minutes for one in rows),
        parts=tuple(
            BroughtPart(
                name,
                names.part(name),
                pieces,
                counted.needs.get(name),
                next(iter(counted.sold.get(name, ())), None),
            )
            for name, pieces in fitted.parts.items()
        ),
        tools=tuple(
            BroughtTool(library.tools[name], name in listed, name in listed and listed[name].have)
            for name in tools
        ),
        aftercare=_aftercare(fitted, access, workshop, library),
        cautions=tuple(one for one in library.cautions.values() if one.id in wanted),
        there=tuple(
            job
            for job in workshop.jobs
            if job.car == car.id
            and job.recipe == recipe.id
            and job.place
            and (takes_in(job.place, place) or takes_in(place, job.place))
        ),
    )


def _titled(one: FittedAccess) -> str:
    where = "" if one.place == "all" else f", {one.place.replace('-', ' ')}"
    return f"{one.work.title}{where}"


def _aftercare(
    fitted: FittedRecipe, access: Iterable[FittedAccess], workshop: Workshop, library: Library
) -> tuple[tuple[AftercareWork, str], ...]:
    own = {one.id: one for one in workshop.aftercare}
    ids = dict.fromkeys([*fitted.aftercare, *(name for one in access for name in one.aftercare)])
    found = []
    for name in ids:
        work = library.aftercare[name.rpartition("/")[2]]
        price = format_money(own[name].price) if name in own else work.price
        found.append((work, price))
    return tuple(found)


def total_minutes(one: Brought) -> Spread:
    """The job with all that comes off, if nothing were off. [min]"""
    library = Library([one.fitted.recipe.defines])
    return sum((a.work.minutes for a in all_access(one.fitted, library)), NO_MINUTES) + one.minutes
