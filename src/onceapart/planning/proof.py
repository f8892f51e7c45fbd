"""How good a plan is proven to be, in plain words."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from onceapart.planning.plan import Aim, Status
from onceapart.workshop.words import day, hours, money

if TYPE_CHECKING:
    from onceapart.planning.answer import Answer

AIM_WORDS = {
    Aim.BALANCE: "least money and time together",
    Aim.THRIFT: "least money",
    Aim.SOONEST: "ready soonest",
    Aim.LEAST_WORK: "least work",
}
_BEST = {
    Aim.BALANCE: "no plan is cheaper",
    Aim.THRIFT: "no plan needs less money",
    Aim.SOONEST: "no plan is ready sooner, and none as soon is cheaper",
    Aim.LEAST_WORK: "no plan takes less work",
}
_FIRST_FIGURE = {Aim.BALANCE: "total", Aim.THRIFT: "money", Aim.SOONEST: "ready", Aim.LEAST_WORK: "minutes"}
_TIES = {
    "orders": "one as good may need fewer orders",
    "spare": "one as good may leave fewer spare pieces",
    "days": "one as good may have some of the work earlier",
}


def proof_words(answer: Answer, currency: str) -> tuple[str, str]:
    """Proven or good, and what that means.

    Parameters
    ----------
    answer : Answer
        With a plan.
    currency : str

    Returns
    -------
    (str, str)
        A word, and a sentence: "No plan is cheaper.", or how much could still be saved.
    """
    if answer.status is Status.PROVEN:
        return "Proven", _sentence(_BEST[answer.aim])
    return (
        "Good",
        f"{_sentence(_doubt(answer, currency))} The proof is not complete.",
    )


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _doubt(answer: Answer, currency: str) -> str:
    """What a search that was stopped leaves open."""
    assert answer.cost is not None
    best = _BEST[answer.aim].partition(",")[0]
    if answer.bound_of in _TIES:
        return f"{best}; {_TIES[answer.bound_of]}"
    if answer.bound <= -(10**11):
        return "how much better a plan could be is not known"
    if answer.bound_of == "ready":
        if answer.bound < dt.date.min.toordinal() + 365 * 1000:
            return "how much sooner a plan could be ready is not known"
        return f"no plan is ready before {day(dt.date.fromordinal(answer.bound))}"
    figure = {"money": answer.cost.money, "minutes": answer.cost.minutes}.get(
        answer.bound_of, answer.cost.total
    )
    gap = max(0, figure - answer.bound)
    saved = hours(gap) if answer.bound_of == "minutes" else money(gap, currency)
    if answer.bound_of == _FIRST_FIGURE[answer.aim]:
        return f"at most {saved} could still be saved" if gap else f"{best}; one as good may be tidier"
    return f"{best}; of those as good in that, one may cost up to {saved} less in all"
