"""What ``explain`` finds, put into one or two plain sentences each."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from onceapart.planning.cost import Cost
from onceapart.planning.dates import day_in_words, stint_in_words
from onceapart.planning.explain_basket import BoughtLine, BoughtOrder
from onceapart.planning.explain_done import Elsewhere, JobDone, Wait
from onceapart.planning.explain_left import JobLeft
from onceapart.planning.workload import Workload
from onceapart.workshop import format_money

_NONE = Cost(0, 0, 0, 0, 0, 0, 0, 0)

MOST_NAMES = 3
"""Names in one list; the rest are counted."""


def listed(names: Sequence[str], most: int = MOST_NAMES) -> str:
    """Names as a sentence lists them.

    >>> listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c", "d", "e"])
    ('a', 'a and b', 'a, b, c and 2 more')
    """
    shown = list(names) if len(names) <= most else [*names[:most], f"{len(names) - most} more"]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}" if shown else ""


def counted(number: int, one: str, several: str = "") -> str:
    """A number with its noun.

    >>> counted(1, "piece"), counted(2, "piece")
    ('1 piece', '2 pieces')
    """
    return f"{number} {one if number == 1 else several or one + 's'}"


def more_or_less(minutes: int, money: int) -> str:
    """Minutes and money that come on top.

    >>> more_or_less(38, 6500), more_or_less(-5, 250), more_or_less(0, -250), more_or_less(0, 0)
    ('38 minutes and 65.00 more', '2.50 more but 5 minutes less', '2.50 less', 'no more')
    """
    more = [counted(minutes, "minute")] * (minutes > 0) + [format_money(money)] * (money > 0)
    less = [counted(-minutes, "minute")] * (minutes < 0) + [format_money(-money)] * (money < 0)
    clauses = [f"{' and '.join(more)} more"] * bool(more) + [f"{' and '.join(less)} less"] * bool(less)
    return " but ".join(clauses) if clauses else "no more"


def done_in_words(workload: Workload, done: JobDone) -> tuple[str, str]:
    """Why a job is in its stint; and what would be otherwise if it were not."""
    clauses = [f"{done.job} is done {stint_in_words(workload, done.place)}{_sharing(done)}"]
    if done.finds_off:
        clauses.append(f"it finds {listed(done.finds_off)} off already")
    if done.leaves_off:
        clauses.append(f"it leaves {listed(done.leaves_off)} off for a later stint")
    clauses += _waiting(workload, done)
    before = [tie.job for tie in done.after if tie.holds]
    after = [tie.job for tie in done.before if tie.holds]
    if before:
        clauses.append(f"it comes after {listed(before)}, done in the same stint")
    if after:
        clauses.append(f"it comes before {listed(after)}, done in the same stint")
    if done.last_day is not None:
        last = day_in_words(done.last_day, workload.today)
        is_last = done.place == done.last_place < len(workload.stints) - 1
        clauses.append(f"its last day is {last}" + (", and no later stint is in time" if is_last else ""))
    return "; ".join(clauses) + ".", _otherwise(workload, done)


def _sharing(done: JobDone) -> str:
    if not done.shares:
        return "" if done.finds_off or done.leaves_off else " and shares nothing there"
    jobs = list(dict.fromkeys(name for share in done.shares for name in share.with_jobs))
    things = [f"the hired {share.id}" if share.kind == "hire" else share.id for share in done.shares]
    saved = more_or_less(done.minutes_saved, done.money_saved).removesuffix(" more")
    saves = f"saves {saved}" if done.minutes_saved or done.money_saved else "saves nothing"
    return f" with {listed(jobs)}: sharing {listed(things)} {saves}"


def _waiting(workload: Workload, done: JobDone) -> list[str]:
    """A clause for each order that the job waits for."""
    groups: dict[tuple[str, dt.date], list[str]] = {}
    for wait in done.waits:
        if wait.holds:
            part = f"{wait.part} ({_sooner(workload, wait)})"
            groups.setdefault((wait.seller, wait.arrives), []).append(part)
    return [
        f"it waits for {listed(parts)} from {seller}, here on {day_in_words(day, workload.today)}"
        for (seller, day), parts in groups.items()
    ]


def _sooner(workload: Workload, wait: Wait) -> str:
    if wait.sooner is None:
        return "nobody has it for an earlier stint"
    by = day_in_words(workload.stints[wait.sooner.place].date, workload.today)
    return f"{more_or_less(0, wait.sooner.change.money)} by {by}"


def _otherwise(workload: Workload, done: JobDone) -> str:
    if not done.elsewhere:
        return "There is no other stint."
    alone, best = done.alone, done.best_elsewhere
    if alone is not None:
        words = f"Alone {_would_take(workload, done, alone)}"
    elif any(one.is_alone for one in done.elsewhere):
        empty = [one for one in done.elsewhere if one.is_alone]
        words = f"No free stint can take it alone: {_obstacles(workload, empty)}"
    else:
        words = "No stint is free to do it alone"
    if best is None:
        return f"{words}; none can take it beside other work."
    if best is alone:
        return f"{words}."
    return f"{words}; beside other work {_would_take(workload, done, best)}."


def _would_take(workload: Workload, done: JobDone, other: Elsewhere) -> str:
    change = other.change or _NONE
    words = f"{stint_in_words(workload, other.place)} it would take "
    words += more_or_less(change.minutes, change.money)
    if not (change.minutes or change.money) and other.place > done.place:
        words += " but be done later"
    return words


def _obstacles(workload: Workload, places: Sequence[Elsewhere]) -> str:
    whys = [
        f"{stint_in_words(workload, one.place)} {one.obstacle.words}"
        for one in places
        if one.obstacle is not None
    ]
    return "; ".join(whys[:2]) + (f"; and {len(whys) - 2} more" if len(whys) > 2 else "")


def left_in_words(workload: Workload, left: JobLeft) -> str:
    """Why a job is left: what doing it would have cost, or why it can't be done. [one sentence]"""
    if left.cannot:
        return f"It can't be done: {left.cannot}."
    with_jobs = f" with {listed(left.with_jobs)}, which must come before it" if left.with_jobs else ""
    if left.place is None:
        return "It is left."
    stint = stint_in_words(workload, left.place)
    if left.change is None:
        why = left.obstacle.words if left.obstacle else "it does not fit"
        return f"It fits in no stint beside the rest of the plan{with_jobs}: {stint} {why}."
    price = format_money(left.change.money + left.change.time) + _made_up_of(left.change)
    worth = "nothing" if not left.change.worth else format_money(left.change.worth)
    if left.longer:
        longer = f"{counted(left.longer, 'minute')} more {stint}"
        return (
            f"No stint has room for it{with_jobs}; with {longer} it would cost {price}, and is worth {worth}."
        )
    costs = f"Doing it {stint}{with_jobs} would cost {price}"
    if left.is_better:
        return f"{costs} and is worth {worth}: this plan is not the best there is."
    match left.figure:
        case "money":
            return f"{costs}; it is worth {worth}, but this plan is the one that spends least."
        case "minutes":
            return f"{costs}; it is worth {worth}, but this plan is the one with least work."
        case "ready":
            return f"{costs}; it is worth {worth}, but the cars would be ready later."
        case "total":
            return f"{costs}, and is worth {worth}."
        case "orders":
            return f"{costs}, no less than it is worth, and take one order more."
        case "spare":
            return f"{costs}, no less than it is worth, and leave more spare pieces."
        case _:
            return f"{costs}, no less than it is worth."


def _made_up_of(change: Cost) -> str:
    named = {
        "parts": change.goods,
        "delivery": change.delivery,
        "aftercare": change.aftercare,
        "hire": change.hire,
        "tools": change.tools,
    }
    shown = [f"{name} {format_money(amount)}" for name, amount in named.items() if amount]
    if change.minutes:
        shown.append(f"{counted(change.minutes, 'minute')} at {format_money(change.time)}")
    return f" ({', '.join(shown)})" if shown else ""


def order_in_words(workload: Workload, order: BoughtOrder) -> tuple[str, ...]:
    """What an order holds and what it saves, and a sentence for each line that leaves pieces over."""
    pieces = sum(sum(line.useful.values()) for line in order.lines)
    jobs = list(dict.fromkeys(job for line in order.lines for job in line.jobs))
    last = max(line.arrives for line in order.lines)
    here = "here today" if last <= workload.today else f"all here by {day_in_words(last, workload.today)}"
    delivery = f"{format_money(order.delivery)} delivery" if order.delivery else "no delivery to pay"
    first = f"{order.seller}: {counted(pieces, 'piece')} for {counted(len(jobs), 'job')}, "
    first += f"{format_money(order.goods)} and {delivery}, {here}."
    spare = (spare_in_words(workload, line) for line in order.lines)
    return (first, _saving(order), *filter(None, spare))


def _saving(order: BoughtOrder) -> str:
    if order.is_counter:
        return _counter_saving(order)
    if order.saves is None:
        return "Nobody else sells these pieces in time." if order.only_here else "It is not needed."
    source = listed(order.instead_sellers)
    what = "its other pieces" if order.only_here else "the same pieces"
    only = f"Only here is {listed(order.only_here)} sold in time; " if order.only_here else ""
    if not order.saves:
        verdict = f"{what} from {source} would cost as much"
    else:
        verdict = f"{what} from {source} would cost {more_or_less(0, order.saves)}"
    text = f"{only}{verdict}."
    return text[0].upper() + text[1:]


def _counter_saving(order: BoughtOrder) -> str:
    only = [line.offer for line in order.lines if line.without is None]
    dearer = [(line.without, line.offer) for line in order.lines if line.without is not None]
    words = [f"{offer} bought otherwise would cost {more_or_less(0, extra)}" for extra, offer in dearer]
    if only:
        words.insert(0, f"{listed(only)} is all that comes in time")
    return f"Here {listed(words)}." if words else "It is not needed."


def spare_in_words(workload: Workload, line: BoughtLine) -> str:
    """Why a line leaves pieces over; nothing where it leaves none."""
    if not line.spare:
        return ""
    over = listed([f"{count} {part}" for part, count in line.spare.items()])
    words = f"{line.offer} leaves {over} over"
    if line.filling is not None and line.filling > 0:
        seller = workload.seller[workload.offer[line.offer].seller]
        limit = f" at {format_money(seller.free_from)}" if seller.free_from is not None else ""
        return (
            f"{words}: a unit is there to fill the order up to free delivery{limit}, and "
            f"without it the plan would cost {format_money(line.filling)} more."
        )
    if line.filling is not None:
        return f"{words}: a unit less would be enough and cost {more_or_less(0, line.filling)}."
    if line.without is None:
        return f"{words}: what is used of it can't be had in time otherwise."
    if line.without > 0:
        return f"{words}, and is still {format_money(line.without)} cheaper than any other way found."
    return f"{words}; the cheapest other way found would cost {more_or_less(0, line.without)}."
