"""The chances of a plan as a person reads them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from onceapart.cli.chance_care_page import add_comparison, add_proof
from onceapart.cli.chance_spares_page import add_spares
from onceapart.cli.chance_words import indented, percent, risk_words, runs_words
from onceapart.cli.page import Page
from onceapart.cli.words import day, hours, listed, money
from onceapart.cli.wrapping import tied
from onceapart.planning.chance.report import Report, answer_plan_cost, with_spares
from onceapart.workshop import format_money

if TYPE_CHECKING:
    from onceapart.cli.files import Loaded
    from onceapart.planning.chance.confidence import Confident
    from onceapart.planning.chance.outcome import Outcome
    from onceapart.planning.chance.risk import Risk
    from onceapart.planning.chance.trouble import Trouble
    from onceapart.planning.plan import Plan
    from onceapart.planning.workload import Workload

LABEL = 9
MOST_RISKS = 6
PRACTICE = (
    "Good and bad cases, and how often fasteners break, are the file's and the recipes' (common practice, no "
    "source): the chances are no surer than these. Things are taken to go well or badly each by itself."
)


def show_report(found: Loaded, report: Report, careful: Confident | None) -> None:
    """Print the page of ``chance``."""
    page = Page()
    _add_headline(page, found, report)
    _add_stints(page, report)
    if report.risks:
        page.heading("Where the risk sits", "how much the chance rises if")
        _add_risks(page, report.workload, report.trouble, report.risks)
    add_spares(page, report.workload, report.spares)
    if careful is not None:
        add_comparison(page, report.workload, careful)
        add_proof(page, report.workload, careful)
    add_basis(page, report.plan, report.trouble)
    page.show()


def _add_headline(page: Page, found: Loaded, report: Report) -> None:
    outcome, workload = report.outcome, report.workload
    page.heading(f"{found.workshop.name}: how likely the plan on typical minutes is to hold")
    if outcome.cars:
        odds = outcome.odds(outcome.all_in_time)
        spares = " with the spares below" if report.spares.units else ""
        n = len(outcome.cars)
        cars = {1: "the car is in time", 2: "both cars are in time"}.get(n, f"all {n} cars are in time")
        page.fact("Chance", f"{percent(odds.share)} that {cars}{spares} ({runs_words(odds)})", LABEL)
        page.fact("Cars", "\n".join(_car(found, report, car) for car in outcome.cars), LABEL)
    else:
        page.fact("Chance", "nothing here has to be done by a day, so no date can be missed", LABEL)
    planned = answer_plan_cost(workload, with_spares(report.plan, report.spares))
    spent = round(outcome.money) + report.spares.goods + report.spares.delivery
    page.fact(
        "Money",
        f"{money(spent, workload.currency)} on average, {format_money(planned['money'])} as planned",
        LABEL,
    )
    page.fact(
        "Time",
        f"{hours(round(float(outcome.minutes.mean())))} on average, {hours(planned['minutes'])} as planned"
        f"{_trips(outcome)}",
        LABEL,
    )


def _trips(outcome: Outcome) -> str:
    trips = float(outcome.trips.mean())
    return f"; {trips:.1f} trips to the counter for what broke" if trips >= 0.05 else ""


def _car(found: Loaded, report: Report, car: str) -> str:
    outcome = report.outcome
    name = next((one.name for one in found.workshop.cars if one.id == car), car)
    due = report.trouble.due.get(car)
    days = {job.last_day for job in report.workload.jobs if job.car == car and job.is_must}
    sooner = sorted(last for last in days if last and (due is None or last < due))
    by = [f"ready by {tied(*day(due).split())}"] if due else []
    if sooner:
        words = "what is due sooner by " if due else "by "
        by.append(words + listed([tied(*day(one).split()) for one in sooner]))
    return f"{percent(outcome.odds(outcome.in_time(car)).share)}: {name}, {', and '.join(by)}"


def _add_stints(page: Page, report: Report) -> None:
    page.heading("Stints", "minutes")
    headings = ("", "There are", "Planned", "8 in 10", "In time", "Overrun", "Nothing left")
    rows = []
    for at, (stint, load) in enumerate(zip(report.workload.stints, report.loads, strict=True)):
        label = day(stint.date) + (f" {stint.id}" if stint.id else "")
        planned = report.plan.minutes_in(report.workload, at)
        own = (str(load.within(0.8)), percent(load.fits.share), f"{load.overrun:.0f}")
        rest = percent(report.outcome.finished(at).share)
        rows.append((label, str(stint.minutes), str(planned), *(own if planned else ("", "", "")), rest))
    indented(page, headings, rows, numbers=range(1, 7), text=(0,))
    page.paragraph(
        "8 in 10: its own work takes no more than that as often. In time: its own work fits. Overrun: "
        "minutes it lacks on average. Nothing left: at its end all that is planned so far is done; what is "
        "not goes on in the next stint, inspection and safety first, and the car comes apart again for it."
    )


def _add_risks(page: Page, workload: Workload, trouble: Trouble, risks: Iterable[Risk]) -> None:
    every = list(risks)
    together = [risk for risk in every if risk.kind.startswith("all")]
    single = [risk for risk in every if risk not in together and risk.gain > 2 * risk.error]
    rows = [
        (f"+{max(0.0, risk.gain) * 100:.1f} %", risk_words(workload, trouble, risk))
        for risk in [*together, *single[:MOST_RISKS]]
    ]
    indented(page, (), rows, numbers=(0,), text=(1,))


def add_basis(page: Page, plan: Plan, trouble: Trouble) -> None:
    """What the chances rest on."""
    done = {*plan.done, *(name for work in plan.work for name in (*work.access, *work.aftercare))}
    names = sorted(trouble.assumed & done)
    if names:
        shown = listed([*names[:4], *([f"{len(names) - 4} more"] if len(names) > 4 else [])])
        page.paragraph(
            f"Neither the file (`between`) nor a recipe gives a good and a bad case of {shown}: taken as "
            "half the minutes, and 2.7 times as many."
        )
    page.paragraph(PRACTICE)
