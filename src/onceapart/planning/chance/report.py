"""Everything about the chances of a workshop's plan in one, and as data for other programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from onceapart.planning.answer import Answer
from onceapart.planning.chance.confidence import Confident
from onceapart.planning.chance.draws import draw
from onceapart.planning.chance.odds import Odds
from onceapart.planning.chance.outcome import Outcome
from onceapart.planning.chance.risk import MoreTime, Risk, risks
from onceapart.planning.chance.simulate import RUNS, SEED, simulate
from onceapart.planning.chance.spares import Spare, SpareChoice, choose_spares, left_over_pieces
from onceapart.planning.chance.stint_load import StintLoad, stint_loads
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.cost import cost
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload

FORMAT = "onceapart-chance/1"


@dataclass(frozen=True, eq=False)
class Report:
    """A plan, worked many times as it is and with the spares that are worth ordering."""

    workload: Workload
    trouble: Trouble
    plan: Plan
    spares: SpareChoice
    without: Outcome
    """Without spares, but with what the plan leaves over."""
    outcome: Outcome
    """With the spares ordered. All else in the report is of this."""
    loads: tuple[StintLoad, ...]
    risks: tuple[Risk, ...]
    """Empty where no car has a date to keep."""


def report_on(
    workload: Workload, plan: Plan, trouble: Trouble, *, runs: int = RUNS, seed: int = SEED
) -> Report:
    """Work a plan many times and say what comes of it.

    Parameters
    ----------
    workload : Workload
    plan : Plan
        Made on typical minutes, or any other.
    trouble : Trouble
    runs, seed : int
        The same give the same report.

    Returns
    -------
    Report
    """
    draws = draw(workload, trouble, runs=runs, seed=seed)
    spares = choose_spares(workload, plan, trouble)
    left = left_over_pieces(workload, plan)
    outcome = simulate(workload, plan, trouble, spares.in_hand, draws=draws)
    return Report(
        workload=workload,
        trouble=trouble,
        plan=plan,
        spares=spares,
        without=simulate(workload, plan, trouble, left, draws=draws),
        outcome=outcome,
        loads=stint_loads(workload, plan, trouble, draws, spares.in_hand),
        risks=risks(workload, plan, trouble, draws, spares.in_hand) if outcome.cars else (),
    )


def with_spares(plan: Plan, spares: SpareChoice) -> Plan:
    """The plan with the spares in its basket."""
    units = Counter(plan.units)
    units.update(spares.units)
    return Plan(plan.work, dict(sorted(units.items())), plan.tools_bought)


def report_to_json(found: Report, answer: Answer, confident: Confident | None = None) -> dict[str, Any]:
    """The report as data for ``json.dumps``: chances as shares of one, money in minor units, minutes.

    ``error`` is a Monte Carlo standard error, ``interval`` Wilson's of 95 %.
    """
    workload, outcome = found.workload, found.outcome
    data: dict[str, Any] = {
        "format": FORMAT,
        "aim": str(answer.aim),
        "runs": outcome.runs,
        "all_dates": _odds(outcome.odds(outcome.all_in_time)) if outcome.cars else None,
        "all_dates_without_spares": (
            _odds(found.without.odds(found.without.all_in_time)) if outcome.cars else None
        ),
        "cars": [
            {
                "car": car,
                "due": day.isoformat() if (day := found.trouble.due.get(car)) else None,
                "in_time": _odds(outcome.odds(outcome.in_time(car))),
                "ready_by": [outcome.ready_by(car, at).share for at in range(len(workload.stints))],
            }
            for car in outcome.cars
        ],
        "stints": [
            {
                "date": stint.date.isoformat(),
                "id": stint.id,
                "minutes": stint.minutes,
                "planned": found.plan.minutes_in(workload, at),
                "mean": float(load.minutes.mean()),
                "in_8_of_10": load.within(0.8),
                "in_time": _odds(load.fits),
                "overrun": load.overrun,
                "overrun_error": load.overrun_error,
                "nothing_left_over": _odds(outcome.finished(at)),
            }
            for at, (stint, load) in enumerate(zip(workload.stints, found.loads, strict=True))
        ],
        "jobs": {job: outcome.done(job).share for job in outcome.done_at},
        "risks": [_risk(risk) for risk in found.risks],
        "spares": _spares(found.spares),
        "typical": ways_to_json(answer_plan_cost(workload, found.plan), found.without),
        "assumed": sorted(found.trouble.assumed),
    }
    if confident is not None:
        data["confidence"] = confident_to_json(workload, confident)
    return data


def answer_plan_cost(workload: Workload, plan: Plan) -> dict[str, int]:
    """What a plan costs as planned. [minor units, min]"""
    price = cost(workload, plan)
    return {"money": price.money, "minutes": price.minutes, "total": price.total}


def ways_to_json(planned: dict[str, int], outcome: Outcome) -> dict[str, Any]:
    """A plan as planned, and what it comes to on average."""
    return {
        "planned": planned,
        "on_average": {
            "money": outcome.money,
            "minutes": float(outcome.minutes.mean()),
            "total": outcome.total,
            "trips": float(outcome.trips.mean()),
        },
        "all_dates": _odds(outcome.odds(outcome.all_in_time)),
    }


def confident_to_json(workload: Workload, found: Confident) -> dict[str, Any]:
    """A plan for a chance, and its proof."""
    plan = with_spares(found.found.plan, found.found.spares)
    return {
        "target": found.target,
        "reached": found.reached,
        "tried": found.tried,
        **ways_to_json(answer_plan_cost(workload, plan), found.proof),
        "jobs_in": [list(work.jobs) for work in plan.work],
        "units": dict(plan.units),
        "spares": _spares(found.found.spares),
        "limits": [_risk(risk) for risk in found.limits],
        "longer": [_more_time(workload, more) for more in found.longer],
    }


def _odds(odds: Odds) -> dict[str, Any]:
    return {"chance": odds.share, "error": odds.error, "interval": list(odds.interval)}


def _risk(risk: Risk) -> dict[str, Any]:
    return {"kind": risk.kind, "name": risk.name, "gain": risk.gain, "error": risk.error}


def _more_time(workload: Workload, more: MoreTime) -> dict[str, Any]:
    stint = workload.stints[more.at]
    return {
        "date": stint.date.isoformat(),
        "id": stint.id,
        "minutes": more.minutes,
        "gain": more.gain,
        "error": more.error,
    }


def _spares(choice: SpareChoice) -> dict[str, Any]:
    return {
        "units": dict(choice.units),
        "goods": choice.goods,
        "delivery": choice.delivery,
        "gain": choice.gain,
        "kinds": [_spare(spare) for spare in choice.spares],
    }


def _spare(spare: Spare) -> dict[str, Any]:
    return {
        "part": spare.part,
        "what": spare.calls[0].fastener.what,
        "thread": spare.calls[0].fastener.thread,
        "renew": spare.renew,
        "needed": spare.needed,
        "chance": spare.some,
        "order": spare.pieces,
        "there": spare.there,
        "offered": spare.offered,
        "worth": spare.worth,
    }


def worth_having(spares: Iterable[Spare]) -> list[Spare]:
    """Kinds that nobody offers, those first of which a spare is worth most; renewed ones left out."""
    found = [one for one in spares if not one.offered and not one.renew and one.worth >= 0.5]
    return sorted(found, key=lambda one: (-one.worth, one.part))
