"""What lies ready before the car is touched: tools, parts and where they are from, consumables."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from onceapart.bench.card_model import CardPart, CardTool, LayOut, PartSource, StepKind
from onceapart.bench.card_work import CardWork, spoken, titled
from onceapart.bench.steps import Draft
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Offer, Workload

RAISING = ("trolley jack", "axle stands", "wheel chocks")
"""What gets a car up, taken as had (common practice, no source)."""
SHELF = "shelf"


def lay_out_of(work: CardWork, drafts: Sequence[Draft]) -> LayOut:
    """All that the steps of a stint ask for."""
    recipes = [fitted.recipe for job in work.jobs if (fitted := work.recipe(job)) is not None]
    fasteners = [one for draft in drafts for one in draft.fasteners]
    hand = [tool for recipe in recipes for tool in recipe.hand_tools]
    if any(draft.kind is StepKind.RAISE for draft in drafts):
        hand = [*RAISING, *hand]
    if any(one.is_tightened for one in fasteners):
        hand = [*hand, "torque wrench"]
    renewed: Counter[str] = Counter()
    for name, what, count in dict.fromkeys((one.id, one.what, one.count) for one in fasteners if one.renew):
        del name
        renewed[what] += count
    return LayOut(
        tools=tuple(_tools(work)),
        hand_tools=_once(hand),
        drives=_once(one.drive for one in fasteners if not one.drive.startswith("by hand")),
        parts=tuple(_parts(work)),
        new_fasteners=dict(sorted(renewed.items())),
        consumables=_once(item for recipe in recipes for item in recipe.consumables),
    )


def _once(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))


def _tools(work: CardWork) -> Iterable[CardTool]:
    moved = [one for one in work.work.access if one not in work.found_off or one not in work.left_off]
    for name in work.workload.tools_for(work.work.jobs, moved):
        tool = work.workload.tool[name]
        from_where = ""
        if tool.have:
            from_where = "have"
        elif name in work.plan.tools_bought:
            from_where = "buy"
        elif name in work.work.hire:
            from_where = "hire"
        known = work.fitted.library.tools.get(name)
        yield CardTool(name, known.title if known else titled(spoken(name)), from_where)


def _parts(work: CardWork) -> Iterable[CardPart]:
    needed: Counter[str] = Counter()
    for job in work.jobs:
        needed.update(work.workload.job[job].parts)
    sources = sources_of_parts(work.workload, work.plan, work.at)
    titles = {}
    for job in work.jobs:
        fitted = work.recipe(job)
        for role, part in fitted.recipe.parts.items() if fitted else ():
            titles[role] = part.title
    for name, pieces in needed.items():
        last = name.rpartition("/")[2]
        yield CardPart(name, titles.get(last) or titled(spoken(last)), pieces, tuple(sources.get(name, ())))


def sources_of_parts(workload: Workload, plan: Plan, at: int) -> dict[str, list[PartSource]]:
    """Where the pieces used in a stint come from, by part.

    Earlier stints use first; the shelf is used before what was bought, and of that what came first.
    Pieces that the plan does not bring by then have neither shelf nor offer.
    """
    heaps: dict[str, list[tuple[Offer | None, int]]] = {
        part: [(None, pieces)] for part, pieces in workload.shelf.items() if pieces
    }
    bought = [(workload.offer[name], units) for name, units in plan.units.items() if units]
    for offer, units in sorted(bought, key=lambda one: (one[0].arrives, one[0].id)):
        for part, pieces in offer.parts.items():
            heaps.setdefault(part, []).append((offer, pieces * units))
    taken: dict[str, list[PartSource]] = {}
    for number, work in enumerate(plan.work[: at + 1]):
        used: Counter[str] = Counter()
        for job in work.jobs:
            used.update(workload.job[job].parts)
        for part, pieces in used.items():
            day = workload.stints[number].date
            found = _take(workload, heaps.setdefault(part, []), pieces, day.toordinal())
            if number == at:
                taken[part] = found
    return taken


def _take(
    workload: Workload, heap: list[tuple[Offer | None, int]], pieces: int, day: int
) -> list[PartSource]:
    found = []
    for place, (offer, there) in enumerate(heap):
        if pieces and there and (offer is None or offer.arrives.toordinal() <= day):
            used = min(pieces, there)
            pieces -= used
            heap[place] = (offer, there - used)
            found.append(
                PartSource(used, is_shelf=offer is None, offer=offer.id if offer else None,
                           words=_offer_words(workload, offer) if offer else SHELF)
            )  # fmt: skip
    return [*found, PartSource(pieces, words="not in hand")] if pieces else found


def _offer_words(workload: Workload, offer: Offer) -> str:
    seller = workload.seller[offer.seller].name
    return f"{offer.title} ({seller})" if offer.title else seller
