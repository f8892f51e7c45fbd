"""The plan as other programs read and write it: ``format: onceapart-plan/1``, plain JSON data.

Money in whole minor units, time in minutes, dates as text. Reading is in ``plan_reading``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from onceapart.planning.answer import Answer
from onceapart.planning.cost import cost, delivery_of, goods_by_seller, spare_pieces
from onceapart.planning.explain import why_left
from onceapart.planning.explain_words import left_in_words
from onceapart.planning.plan import Plan, Status
from onceapart.planning.plan_reading import PlanFileError, plan_from_json
from onceapart.planning.workload import Workload

__all__ = ["FORMAT", "PlanFileError", "figures_to_json", "plan_from_json", "plan_to_json", "wrong_figures"]

FORMAT = "onceapart-plan/1"


def plan_to_json(workload: Workload, answer: Answer) -> dict[str, Any]:
    """The answer as data for ``json.dumps``.

    Parameters
    ----------
    workload : Workload
    answer : Answer
        Its figures are worked out anew by ``cost``.

    Returns
    -------
    dict
        With a plan, all keys of the format; ``plan_from_json`` reads the same plan back. Without one,
        ``format``, ``aim``, ``status`` and ``why``.

        ``cost.bound`` is a figure that no plan's total can be below, in minor units. Where the search was
        stopped before the aim's own figure was proven, it bounds that figure, and ``cost.bound_of`` says so:
        ``money`` or ``minutes``.
    """
    head = {"format": FORMAT, "aim": str(answer.aim), "status": str(answer.status)}
    if answer.plan is None:
        return {**head, "why": list(answer.why)}
    figures = figures_to_json(workload, answer.plan)
    figures["cost"].update(_bound(workload, answer, figures["cost"]))
    figures["left"] = _left(workload, answer)
    return {**head, **figures}


def figures_to_json(workload: Workload, plan: Plan) -> dict[str, Any]:
    """All of the format that follows from the plan alone: all but aim, status, bound and why jobs are left.

    The plan need not keep the rules; its ids must be the workload's, with a stint for each of its stints.
    """
    price = cost(workload, plan)
    return {
        "cost": {
            "goods": price.goods,
            "delivery": price.delivery,
            "aftercare": price.aftercare,
            "hire": price.hire,
            "tools": price.tools,
            **({"off_road": price.off_road} if price.off_road else {}),
            "money": price.money,
            "minutes": price.minutes,
            "time": price.time,
            "worth": price.worth,
            "total": price.total,
        },
        "stints": [
            {
                "date": stint.date.isoformat(),
                "id": stint.id,
                "minutes": stint.minutes,
                "used": plan.minutes_in(workload, at),
                "jobs": list(work.jobs),
                "access": list(work.access),
                "aftercare": list(work.aftercare),
                "hire": list(work.hire),
                **({"left_off": list(work.left_off)} if work.left_off else {}),
            }
            for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True))
        ],
        "orders": [
            _order(workload, plan, seller, goods) for seller, goods in goods_by_seller(workload, plan).items()
        ],
        "tools_bought": list(plan.tools_bought),
        "left": [{"job": job.id} for job in workload.jobs if job.id not in plan.done],
        "spare": spare_pieces(workload, plan),
    }


def _order(workload: Workload, plan: Plan, seller: str, goods: int) -> dict[str, Any]:
    bought = [offer for offer in workload.offers if offer.seller == seller and plan.units.get(offer.id)]
    return {
        "seller": seller,
        "goods": goods,
        "delivery": delivery_of(workload, seller, goods),
        "deposit": sum(plan.units[offer.id] * offer.deposit for offer in bought),
        "lines": [
            {"offer": offer.id, "units": plan.units[offer.id], "arrives": offer.arrives.isoformat()}
            for offer in bought
        ],
    }


def _left(workload: Workload, answer: Answer) -> list[dict[str, str]]:
    assert answer.plan is not None
    left = why_left(workload, answer.plan, answer.aim)
    return [{"job": job.job, "why": left_in_words(workload, job)} for job in left]


def _bound(workload: Workload, answer: Answer, price: Mapping[str, int]) -> dict[str, Any]:
    """The bound in the figure it is of.

    Once a search goes on to the figures that break ties, its total is proven. A bound on the ready date says
    nothing of the total, nor does a search stopped at once: then it is what no plan can be below anyway.
    """
    if answer.status is Status.PROVEN or answer.bound_of in ("orders", "spare", "days"):
        return {"bound": price["total"]}
    if answer.bound_of in ("money", "minutes"):
        return {"bound": max(0, answer.bound), "bound_of": answer.bound_of}
    least = -sum(job.worth for job in workload.jobs)
    return {"bound": max(least, answer.bound) if answer.bound_of == "total" else least}


def wrong_figures(workload: Workload, data: Mapping[str, Any]) -> list[str]:
    """Say in words each figure a plan file states that does not follow from its plan.

    Parameters
    ----------
    workload : Workload
    data : mapping
        A plan that ``plan_from_json`` reads. Figures that it does not state are not missed.

    Returns
    -------
    list of str
        Empty where all is right. Whether the plan can be worked is for ``broken_rules``, which comes first
        in judging it.
    """
    plan = plan_from_json(workload, data)
    right = figures_to_json(workload, plan)
    wrong = list(_compared("the cost", data.get("cost") or {}, right["cost"]))
    stints = list(right["stints"])
    for stint in data["stints"]:
        day, name = stint["date"], stint.get("id")
        same = [real for real in stints if real["date"] == day]
        real = next((real for real in same if real["id"] == name), same[0])
        stints.remove(real)
        figures = {name: real[name] for name in ("minutes", "used")}
        wrong += _compared(f"the stint on {day}", stint, figures)
    orders = {order["seller"]: order for order in right["orders"]}
    for order in data["orders"]:
        real = orders.get(order["seller"], {"goods": 0, "delivery": 0, "deposit": 0})
        figures = {name: real[name] for name in ("goods", "delivery", "deposit")}
        wrong += _compared(f"the order at {order['seller']}", order, figures)
        for line in order["lines"]:
            arrives = {"arrives": workload.offer[line["offer"]].arrives.isoformat()}
            wrong += _compared(f"the offer {line['offer']}", line, arrives)
    wrong += _compared("the plan", data, {"spare": right["spare"]})
    left = {"left": [entry["job"] for entry in right["left"]]}
    if "left" in data:
        wrong += _compared("the plan", {"left": [entry["job"] for entry in data["left"]]}, left)
    return wrong


def _compared(what: str, stated: Mapping[str, Any], right: Mapping[str, Any]) -> Iterator[str]:
    for name, value in right.items():
        if stated.get(name) is not None and stated[name] != value:
            yield f"{name} of {what} is stated as {stated[name]}; it is {value}"
