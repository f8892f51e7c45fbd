"""A plan made for a chance, beside the plan on typical minutes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.cli.chance_words import indented, percent, risk_words, runs_words
from onceapart.cli.page import Page
from onceapart.cli.words import count, day, hours, money
from onceapart.planning.chance.report import answer_plan_cost, with_spares
from onceapart.workshop import format_money

if TYPE_CHECKING:
    from onceapart.planning.chance.confidence import Confident
    from onceapart.planning.chance.outcome import Outcome
    from onceapart.planning.plan import Plan
    from onceapart.planning.workload import Workload


def add_comparison(page: Page, workload: Workload, careful: Confident) -> None:
    """What care costs and brings: money and hours, as planned and on average, and the chance."""
    usual, best = careful.usual, careful.found
    page.heading("Typical minutes or care")
    headings = ("", "Money", "on average", "Hours", "on average", "Chance")
    rows = [_way("on typical minutes", workload, with_spares(usual.plan, usual.spares), usual.outcome)]
    label = f"for {percent(careful.target)}" if careful.reached else "the surest found"
    if best.plan != usual.plan:
        rows.append(_way(label, workload, with_spares(best.plan, best.spares), careful.proof))
    indented(page, headings, rows, numbers=range(1, 6), text=(0,))
    page.paragraph(
        "On average: what is spent and worked in the stints there are, however much gets done in them."
    )


def _way(name: str, workload: Workload, plan: Plan, outcome: Outcome) -> tuple[str, ...]:
    planned = answer_plan_cost(workload, plan)
    spares = planned["money"] - answer_plan_cost(workload, outcome.plan)["money"]
    mean = round(float(outcome.minutes.mean()))
    return (
        name,
        format_money(planned["money"]),
        format_money(round(outcome.money) + spares),
        f"{planned['minutes'] // 60}:{planned['minutes'] % 60:02}",
        f"{mean // 60}:{mean % 60:02}",
        percent(outcome.odds(outcome.all_in_time).share),
    )


def add_proof(page: Page, workload: Workload, careful: Confident) -> None:
    """Whether a plan holds with the chance asked for, on fresh luck; and what limits it if not."""
    odds = careful.odds
    plans = count(careful.tried, "plan")
    if careful.reached:
        of = f"the best of {plans} tried, not proven to be the best of all"
        if careful.found.plan == careful.usual.plan:
            of = "the plan on typical minutes"
        page.paragraph(
            f"The plan for {percent(careful.target)} holds all dates with {percent(odds.share)}, on fresh "
            f"luck that it was not chosen on ({runs_words(odds)}). It is {of}."
        )
        return
    page.paragraph(
        f"No plan was found that holds all dates with {percent(careful.target)}. The surest of {plans} tried "
        f"does with {percent(odds.share)}, on fresh luck ({runs_words(odds)}). With it:"
    )
    helped = [more for more in careful.longer if more.gain > 2 * more.error][:3]
    sentences = [
        f"{hours(more.minutes)} more on {day(workload.stints[more.at].date)}: "
        f"{percent(odds.share + more.gain)}."
        for more in helped
    ]
    sentences += [
        f"If {risk_words(workload, careful.trouble, risk)}: {percent(odds.share + risk.gain)}."
        for risk in careful.limits[:3]
        if risk.gain > 2 * risk.error
    ]
    page.sentences(sentences)
    page.paragraph(
        "More or longer stints before the date help most; so does a job given to a garage, spare fasteners "
        "in the house, or a later date."
    )


def care_words(workload: Workload, careful: Confident) -> tuple[str, str]:
    """A label and a sentence on how good a careful plan is, for the head of a plan."""
    odds = careful.odds
    usual, best = careful.usual, careful.found
    sure = f"All dates hold with {percent(odds.share)} ({runs_words(odds)})."
    if not careful.reached:
        return "Not sure", f"{sure} That is not the {percent(careful.target)} asked for."
    total = answer_plan_cost(workload, best.plan)["total"] - answer_plan_cost(workload, usual.plan)["total"]
    if best.plan != usual.plan:
        more = f"{money(abs(total), workload.currency)} {'more' if total >= 0 else 'less'}"
        sure += f" Spares aside it costs {more}, all in, than the plan on typical minutes, which holds with "
        sure += f"{percent(usual.odds.share)}."
    return "Holds", sure
