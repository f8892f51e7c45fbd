"""Worth it: cost to pass and upkeep against the car's value and an alternative per month."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from statistics import fmean, median
from typing import TYPE_CHECKING

from onceapart.sums.inputs import QuantityInput, RowsInput, TextInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result, Table, Value
from onceapart.sums.wear.days import parse_day
from onceapart.sums.worth import keeping, sources
from onceapart.sums.worth.keeping import Choice, Run, Upkeep, quantiles
from onceapart.sums.worth.spread import Due, DueInput, SpreadInput, widened

if TYPE_CHECKING:
    from matplotlib.figure import Figure

KEEP = "keep it"
CLOSE = "close"
LET_GO = "let it go"
CLEAR = 0.75
"""Chance above which keeping is called the cheaper one, and below whose rest it is called the dearer."""

Row = tuple[str, Band, Due, Band | None]


def worth_answer(
    to_pass: Band,
    value: Band,
    value_passed: Band | None,
    alternative: Band,
    upfront: Band,
    upkeep: tuple[Row, ...] | None,
    monthly: Band,
    months: int,
    loss_percent: float,
    spread_percent: float,
    today: date | None,
) -> Result:
    """Is passing and keeping the car cheaper than letting it go?"""
    share = spread_percent / 100
    items = tuple(
        Upkeep(
            name,
            widened(price, share),
            widened(due.months_from(today), share),
            None if every is None else widened(every, share),
        )
        for name, price, due, every in upkeep or ()
    )
    choice = Choice(
        value=widened(value, share),
        value_passed=None if value_passed is None else widened(value_passed, share),
        to_pass=widened(to_pass, share),
        keep_monthly=widened(monthly, share),
        alternative_monthly=alternative,
        alternative_upfront=upfront,
        loss_a_year=loss_percent / 100,
        upkeep=items,
    )
    runs = keeping.draw_runs(choice, months)
    chance = keeping.chance_keeping_is_cheaper(runs)
    keep = [median(run.keep[month] for run in runs) for month in range(months + 1)]
    other = [median(run.alternative[month] for run in runs) for month in range(months + 1)]

    def plot() -> Figure:
        from onceapart.sums.worth.worth_plot import draw_worth

        return draw_worth(runs, keeping.break_even_month(keep, other))

    as_it_stands = choice.value.typical
    even = keeping.break_even_month(keep, other)
    return Result(
        values={
            "keep_month": quantiles([run.keep[-1] / months for run in runs]),
            "alternative_month": quantiles([run.alternative[-1] / months for run in runs]),
            "saved": quantiles([run.alternative[-1] - run.keep[-1] for run in runs]),
            "chance": 100 * chance,
            "break_even": None if even is None else float(even),
            "most_to_pass": quantiles([run.alternative[-1] - run.keep[-1] + run.to_pass for run in runs]),
            "share_of_value": 100 * choice.to_pass.typical / as_it_stands if as_it_stands > 0 else None,
        },
        verdict=KEEP if chance >= CLEAR else LET_GO if chance <= 1 - CLEAR else CLOSE,
        reasons=tuple(_reasons(choice, chance, even, months)),
        warnings=tuple(_warnings(choice, months, spread_percent)),
        tables=(_items_table(choice, runs, months),),
        plot=plot,
    )


def _reasons(choice: Choice, chance: float, even: int | None, months: int) -> list[str]:
    in_hundred = round(100 * chance)
    found = [
        f"Keeping is the cheaper one over {months} months in {in_hundred} of 100 draws; 8 of 10 lie within "
        "the spreads shown."
    ]
    if even is None:
        found.append("It has not paid for itself by then.")
    elif even == 0:
        found.append("It is the cheaper one from the first day.")
    else:
        found.append(f"It stays the cheaper one from month {even} on, so it has to last that long.")
    if choice.value_passed is not None:
        gain = choice.value_passed.typical - choice.to_pass.typical - choice.value.typical
        if gain > 0:
            more = show_value(gain, "money")
            found.append(
                f"Passing and then selling would likely bring {more} more than selling as it stands."
            )
    if choice.to_pass.typical > choice.value.typical > 0:
        found.append(
            "Passing costs more than the car would bring. That alone settles nothing: what counts is what "
            "each way costs in a month."
        )
    return found


def _warnings(choice: Choice, months: int, spread_percent: float) -> list[str]:
    found = []
    late = [item.name for item in choice.upkeep if item.due_months.low > months]
    if late:
        found.append(f"Not due within {months} months, so not counted: {', '.join(late)}.")
    if not choice.upkeep and choice.keep_monthly.typical == 0:
        found.append("No upkeep given: an old car will have some; add what wears and what breaks.")
    if choice.alternative_monthly.typical == 0 and choice.alternative_upfront.typical == 0:
        found.append("The alternative costs nothing: count fares, hire or another car's costs.")
    if spread_percent == 0:
        found.append("Figures given without a spread are taken as certain.")
    return found


def _items_table(choice: Choice, runs: Sequence[Run], months: int) -> Table:
    columns = (
        Output(name="item", label=f"Over {months} months", unit=None),
        Output(name="cost", label="On average", unit="money"),
        Output(name="month", label="A month", unit="money"),
        Output(name="chance", label="Chance", unit="%", digits=2),
    )
    rows: list[tuple[Value, ...]] = []

    def add(name: str, cost: float, chance: float | None = None) -> None:
        rows.append((name, cost, cost / months, chance))

    add("passing", fmean(run.to_pass for run in runs))
    for number, item in enumerate(choice.upkeep):
        spent = [run.by_item[number] for run in runs]
        add(item.name, fmean(spent), 100 * fmean(float(each > 0) for each in spent))
    if choice.keep_monthly.high > 0:
        add("monthly rest", fmean(run.running for run in runs))
    add("value lost (minus: gained)", fmean(run.lost_value for run in runs))
    add("keeping", fmean(run.keep[-1] for run in runs))
    add("alternative", fmean(run.alternative[-1] for run in runs))
    return Table("What it comes to", columns, tuple(rows))


def _money(
    name: str,
    label: str,
    example: str,
    *,
    default: str | None = None,
    optional: bool = False,
    note: str = "",
    argument: str = "",
) -> SpreadInput:
    return SpreadInput(
        name=name,
        label=label,
        unit="money",
        low=0,
        high=1_000_000,
        example=example,
        default=default,
        optional=optional,
        help=note,
        argument=argument,
    )


def _a_month(name: str, label: str, example: str, default: str | None, note: str) -> SpreadInput:
    return SpreadInput(
        name=name,
        label=label,
        unit="money/month",
        low=0,
        high=100_000,
        example=example,
        default=default,
        help=note,
        argument=name.replace("-", "_"),
    )


def _item_name(text: str) -> str:
    return " ".join(text.split())


WORTH = Sum(
    name="worth-keeping",
    title="Worth keeping",
    question="Is it worth getting this car through its inspection, or is letting it go cheaper?",
    inputs=(
        _money(
            "to-pass", "Cost to pass", "400 to 550 to 900", note="Parts, fees and, if you like, your hours."
        ),
        _money("value", "It would bring as it stands", "300 to 500"),
        _money(
            "value-passed",
            "It would bring once passed",
            "900 to 1300",
            optional=True,
            note="The same as now if not given.",
        ),
        _a_month(
            "alternative",
            "The alternative a month",
            "140 to 180 /month",
            None,
            "All of it: another car's loss of value, upkeep, tax and fuel; or fares and hire.",
        ),
        _money(
            "upfront",
            "The alternative at once",
            "500",
            default="0",
            note="What does not come back in the end.",
        ),
        RowsInput(
            name="upkeep",
            label="Upkeep ahead",
            example="tyres: 280 to 340: 5 to 12 months; timing belt: 450: 2027-03-01: 60 months",
            help="One a row: what : price : when due (as the wear sum says) : how long the new one lasts.",
            most=40,
            optional=True,
            columns=(
                TextInput(
                    name="item", label="What", parse=_item_name, what="a name", example="tyres", longest=60
                ),
                _money("price", "Price", "280 to 340"),
                DueInput(name="due", label="When due", example="5 to 12 months"),
                SpreadInput(
                    name="every",
                    label="The new one lasts",
                    unit="month",
                    low=1,
                    high=240,
                    optional=True,
                    example="36 months",
                ),
            ),
        ),
        _a_month(
            "monthly",
            "What else keeping costs a month",
            "40 to 60 to 120 /month",
            "0 /month",
            "Tax, insurance, fuel and what breaks: the same things as in the alternative.",
        ),
        QuantityInput(
            name="months",
            label="Look ahead",
            unit="month",
            low=1,
            high=keeping.MOST_MONTHS,
            whole=True,
            default="24 months",
            example="24 months",
            argument="months",
        ),
        QuantityInput(
            name="loss",
            label="Value lost in a year",
            unit="%",
            low=0,
            high=90,
            default="10 %",
            example="10 %",
        ),
        QuantityInput(
            name="spread",
            label="Figures given singly may be off by",
            unit="%",
            low=0,
            high=100,
            default="20 %",
            example="20 %",
            help="The alternative's are taken as given.",
        ),
        TextInput(
            name="today",
            label="Today",
            parse=parse_day,
            what="a date",
            example="2026-03-02",
            optional=True,
            help="Needed if upkeep has dates.",
        ),
    ),
    outputs=(
        Output(name="keep_month", label="Keeping costs", unit="money/month"),
        Output(name="alternative_month", label="The alternative costs", unit="money/month"),
        Output(name="saved", label="Saved by keeping, in all", unit="money"),
        Output(name="chance", label="Chance that keeping is cheaper", unit="%", digits=2),
        Output(name="break_even", label="Pays for itself after", unit="month"),
        Output(name="most_to_pass", label="Passing may cost at most", unit="money"),
        Output(name="share_of_value", label="Cost to pass, of what it would bring", unit="%"),
    ),
    sources=(
        sources.COMPARISON,
        sources.LOSS,
        sources.LOSS_RATE,
        sources.TRIANGLE,
        sources.VERDICTS,
    ),
    example={
        "to-pass": "400 to 550 to 900",
        "value": "300 to 500",
        "value-passed": "600 to 900",
        "alternative": "140 to 180 /month",
        "upkeep": "tyres: 280 to 340: 5 to 8 to 12 months; timing belt: 450: 14 months;"
        "battery: 90: 6 to 30 months",
        "monthly": "70 to 90 to 140 /month",
    },
    cautions=(
        "Money only: a car whose structure, brakes or steering cannot be made sound is let go whatever this "
        "says, and no safety job is left out to make it pay.",
    ),
    verdicts=(KEEP, CLOSE, LET_GO),
    answer=worth_answer,
)
