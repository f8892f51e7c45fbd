"""A plan as a person reads it: what it costs and when, what to order, what to do, what is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, NamedTuple

from rich.padding import Padding

from onceapart.cli.page import Page
from onceapart.cli.screen import column_widths, table
from onceapart.cli.words import count, day, hours, listed, money
from onceapart.cli.wrapping import tied
from onceapart.planning.cost import delivery_of, goods_by_seller, ready_days, spare_pieces
from onceapart.planning.proof import AIM_WORDS, proof_words
from onceapart.workshop import format_money

if TYPE_CHECKING:
    from onceapart.planning.answer import Answer
    from onceapart.planning.cost import Cost
    from onceapart.planning.plan import Plan, StintWork
    from onceapart.planning.workload import Offer, Workload
    from onceapart.workshop import Workshop

SAFETY = (
    "The tool advises; the car's workshop manual, the law and the inspector decide. Car on axle stands on "
    "firm ground, never under it on a jack. Brakes, steering, suspension, fuel and airbags: have the work "
    "checked by a licensed mechanic unless you have done it before, and before the car goes on the road if "
    "anything does not look right."
)
LABEL = 9
"""Letters of the widest label."""


def add_plan(
    page: Page,
    workshop: Workshop,
    workload: Workload,
    answer: Answer,
    proof: tuple[str, str] | None = None,
) -> None:
    """Headline, basket and stints of an answer that has a plan.

    ``proof`` is a label and a sentence on how good it is; by default, what the answer's status says.
    """
    assert answer.plan is not None
    assert answer.cost is not None
    _add_headline(page, workshop, workload, answer, proof or proof_words(answer, workload.currency))
    _add_basket(page, workload, answer.plan)
    _add_stints(page, workload, answer.plan)


def _add_headline(
    page: Page, workshop: Workshop, workload: Workload, answer: Answer, proof: tuple[str, str]
) -> None:
    plan, cost = answer.plan, answer.cost
    assert plan is not None
    assert cost is not None
    n = sum(plan.minutes_in(workload, at) > 0 for at in range(len(plan.work)))
    page.heading(f"{workshop.name}: {AIM_WORDS[answer.aim]}")
    page.fact("Money", f"{money(cost.money, workload.currency)}{_money_parts(cost)}", LABEL)
    page.fact(
        "Time",
        f"{hours(cost.minutes)} in {count(n, 'stint')}, worth {money(cost.time, workload.currency)} to you",
        LABEL,
    )
    page.fact("Ready", _ready(workshop, workload, plan), LABEL)
    page.fact(proof[0], f"{proof[1]} {_total(cost, workload.currency)}", LABEL)


def _money_parts(cost: Cost) -> str:
    parts = [
        ("goods", cost.goods),
        ("delivery", cost.delivery),
        ("aftercare", cost.aftercare),
        ("hire", cost.hire),
        ("tools", cost.tools),
        ("off the road", cost.off_road),
    ]
    words = [tied(name, format_money(amount)) for name, amount in parts if amount]
    return f" ({', '.join(words)})" if len(words) > 1 else ""


def _total(cost: Cost, currency: str) -> str:
    """How money, time and worth come to the total."""
    worth = (
        f" less {format_money(cost.worth)} that the upkeep and wishes done are worth" if cost.worth else ""
    )
    return f"All in: {money(cost.total, currency)}, money and time{worth}."


def _ready(workshop: Workshop, workload: Workload, plan: Plan) -> str:
    """For each car the day on which all that must be done is done and nothing is left off."""
    lines = []
    days = ready_days(workload, plan)
    for car in workshop.cars:
        if car.id not in days:
            continue
        due = f" (inspection due {tied(*day(car.inspection.due).split())})" if car.inspection else ""
        lines.append(f"{day(days[car.id])}: {car.name}{due}")
    return "\n".join(lines) or "nothing has to be done"


def _add_basket(page: Page, workload: Workload, plan: Plan) -> None:
    page.heading("To order", f"on {day(workload.today, year=True)}")
    orders = [
        _Order.of(workload, plan, seller, goods) for seller, goods in goods_by_seller(workload, plan).items()
    ]
    rows = [row for order in orders for row in order.rows]
    if rows:
        widths = column_widths(rows, page.width - 4, text=(1, 2))
    for order in orders:
        page.line(f"{order.seller}:", order.terms, indent=2)
        page.add(Padding(table((), order.rows, widths, numbers=(0, 3)), (0, 0, 0, 4)))
    if plan.tools_bought:
        bought = [tied(tool, format_money(workload.tool[tool].buy or 0)) for tool in plan.tools_bought]
        page.line("Tools to buy:", ", ".join(bought), indent=2)
    if not rows and not plan.tools_bought:
        page.paragraph("  nothing")


class _Order(NamedTuple):
    """An order in words."""

    seller: str
    terms: str
    rows: list[tuple[str, str, str, str]]
    """Units, offer, what is in it, and what they cost together."""

    @classmethod
    def of(cls, workload: Workload, plan: Plan, seller_id: str, goods: int) -> _Order:
        seller = workload.seller[seller_id]
        delivery = delivery_of(workload, seller_id, goods)
        offers = [workload.offer[name] for name, units in plan.units.items() if units]
        offers = [offer for offer in offers if offer.seller == seller_id]
        usual = Counter(offer.arrives for offer in offers).most_common(1)[0][0]
        terms = money(goods, workload.currency)
        if delivery:
            terms += f" and {format_money(delivery)} delivery"
        elif seller.delivery:
            terms += ", delivered free"
        terms += ", there today" if usual <= workload.today else f", arrives {tied(*day(usual).split())}"
        rows = []
        for offer in offers:
            other_day = f" ({tied(*day(offer.arrives).split())})" if offer.arrives != usual else ""
            units = plan.units[offer.id]
            rows.append(
                (str(units), offer.id, what_is_in(offer) + other_day, format_money(units * offer.price))
            )
        return cls(seller.name, terms, rows)


def what_is_in(offer: Offer) -> str:
    """The title of an offer, or the parts in it."""
    if offer.title:
        return offer.title
    return listed([part if n == 1 else tied(str(n), part) for part, n in offer.parts.items()])


def _add_stints(page: Page, workload: Workload, plan: Plan) -> None:
    page.heading("To do", "minutes; x2: for two jobs, done once")
    for at in range(len(workload.stints)):
        _add_stint(page, workload, plan, at)


def _add_stint(page: Page, workload: Workload, plan: Plan, at: int) -> None:
    stint, work, found = workload.stints[at], plan.work[at], plan.found_off(workload, at)
    used = plan.minutes_in(workload, at)
    label = day(stint.date) + (f" {stint.id}" if stint.id else "")
    if not work.jobs and not used:
        page.line(f"{label}:", f"nothing ({stint.minutes} min free)", indent=2)
        return
    page.line(f"{label}:", f"{used} of {stint.minutes} min", indent=2)
    serving: Counter[str] = Counter()
    for job in work.jobs:
        opened = workload.opened_for([job])
        serving.update(opened)
        serving.update(workload.aftercare_for([job], opened))
    page.items("jobs", [tied(job, str(workload.job[job].minutes)) for job in work.jobs], LABEL, indent=4)
    page.items("comes off", _shared_access(workload, work, found, serving), LABEL, indent=4)
    put_on = in_working_order(workload, [name for name in work.access if name in found])
    on = [(name, workload.access_minutes(name, found, work.left_off)) for name in put_on]
    page.items("goes on", _by_car([pair for pair in on if pair[0] not in work.left_off], Counter()), LABEL, 4)
    page.items("stays off", in_working_order(workload, work.left_off), LABEL, indent=4)
    care = [(name, workload.aftercare_by_id[name].minutes) for name in work.aftercare]
    prices = {name: workload.aftercare_by_id[name].price for name in work.aftercare}
    page.items("aftercare", _by_car(care, serving, prices), LABEL, indent=4)
    hire = [tied(tool, format_money(workload.tool[tool].hire or 0)) for tool in work.hire]
    page.items("hire", hire, LABEL, indent=4)


def _shared_access(
    workload: Workload, work: StintWork, found: Collection[str], serving: Counter[str]
) -> list[str]:
    """What comes off for several jobs; the rest, which each job knows by itself, in one figure."""
    taken = [name for name in work.access if name not in found]
    minutes = {name: workload.access_minutes(name, found, work.left_off) for name in taken}
    shared = [name for name in in_working_order(workload, taken) if serving[name] > 1 and name in minutes]
    words = _by_car([(name, minutes[name]) for name in shared], serving)
    rest = [name for name in taken if serving[name] < 2]
    if rest:
        words.append(f"{len(rest)} for one job {tied('only', f'({sum(minutes[name] for name in rest)})')}")
    return words


def in_working_order(workload: Workload, access: Iterable[str]) -> list[str]:
    """The same access, what must be off before in front."""
    found: dict[str, None] = {}

    def take(name: str) -> None:
        if name not in found:
            for under in workload.access_by_id[name].under:
                take(under)
            found[name] = None

    for name in access:
        take(name)
    return list(found)


def _by_car(
    items: list[tuple[str, int]], serving: Counter[str], prices: dict[str, int] | None = None
) -> list[str]:
    """Ids with their minutes, how many jobs they serve if several, and their price; each car named once."""
    words, car = [], ""
    for name, minutes in items:
        head, slash, rest = name.partition("/")
        shown = rest if slash and head == car else name
        car = head if slash else ""
        word = [shown, str(minutes)]
        if serving[name] > 1:
            word.append(f"x{serving[name]}")
        if prices and prices[name]:
            word.append(f"({format_money(prices[name])})")
        words.append(tied(*word))
    return words


def add_rest(page: Page, workload: Workload, plan: Plan) -> None:
    """Spare pieces, deposits, and the usual caution."""
    spare = spare_pieces(workload, plan)
    if spare:
        page.heading("Spare pieces")
        page.items("", [part if n == 1 else tied(str(n), part) for part, n in spare.items()], 0)
    deposits: Counter[str] = Counter()
    for name, units in plan.units.items():
        deposits[workload.offer[name].seller] += units * workload.offer[name].deposit
    if deposits.total():
        page.heading("Deposits to get back", "paid with the order, not counted above")
        page.sentences(
            f"{money(amount, workload.currency)} from {workload.seller[seller].name}"
            for seller, amount in deposits.items()
            if amount
        )
    page.paragraph(SAFETY)
