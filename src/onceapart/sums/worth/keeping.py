"""What keeping a car comes to month by month, and what the alternative does: drawn many times over."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from onceapart.errors import SumError
from onceapart.sums.result import Band
from onceapart.sums.wear.outlook import Outlook

RUNS = 2000
SEED = 1
"""Fixed, so that the same inputs give the same answer."""
MOST_MONTHS = 120


@dataclass(frozen=True)
class Upkeep:
    """Something that will have to be renewed."""

    name: str
    price: Band
    due_months: Band
    every_months: Band | None = None
    """How long the new one lasts; None: it is not due again."""


@dataclass(frozen=True)
class Choice:
    """Keeping a car against letting it go. Every figure is a likely one between a least and a most."""

    value: Band
    """What it would bring as it stands. [money]"""
    value_passed: Band | None
    """What it would bring once it has passed; None: the same. [money]"""
    to_pass: Band
    """What passing costs. [money]"""
    keep_monthly: Band
    """What else keeping costs. [money/month]"""
    alternative_monthly: Band
    """[money/month]"""
    alternative_upfront: Band
    """[money]"""
    loss_a_year: float
    """Share of its value that the car loses in a year. [-]"""
    upkeep: tuple[Upkeep, ...] = ()


@dataclass(frozen=True)
class Run:
    """One draw of everything, month by month from 0 on."""

    keep: tuple[float, ...]
    alternative: tuple[float, ...]
    to_pass: float
    by_item: tuple[float, ...]
    """Spent on each upkeep by the last month."""
    running: float
    lost_value: float


def due_from_wear(outlook: Outlook, yearly_km: float) -> Band | None:
    """When a wearing part is due, from its wear.

    Parameters
    ----------
    outlook : Outlook
        What its readings say.
    yearly_km : float
        Distance driven in a year. [km/year]

    Returns
    -------
    Band or None
        Time from now, earliest to latest; None if the readings hold no rate. [month]

    Notes
    -----
    Where the readings allow that it hardly wears, the latest is taken twice as far beyond the likely one as
    the earliest is before it: our judgement.

    Examples
    --------
    >>> from onceapart.sums.wear.kinds import find_kind
    >>> from onceapart.sums.wear.outlook import WearReading, judge_wear
    >>> readings = [WearReading(0, 10), WearReading(10000, 8), WearReading(20000, 6)]
    >>> round(due_from_wear(judge_wear("pads", readings, find_kind("pad"), 3), 12000).typical)
    15

    References
    ----------
    .. [1] Arithmetic.
    """
    if yearly_km <= 0:
        raise SumError(f"{yearly_km:g} km a year: must be above nought; give the distance driven in a year")
    earliest, likely, latest = (outlook.left_km(which) for which in ("earliest", "likely", "latest"))
    if earliest is None or likely is None:
        return None
    if latest is None:
        latest = likely + 2 * (likely - earliest)
    return Band(earliest, likely, latest).scaled(12 / yearly_km)


def value_after(value: float, loss_a_year: float, months: float) -> float:
    r"""What is left of a car's value after some months.

    Parameters
    ----------
    value : float
        Value now. [money]
    loss_a_year : float
        Share lost in a year. [-]
    months : float
        Time. [month]

    Returns
    -------
    float
        Value then. [money]

    Notes
    -----
    :math:`V (1 - l)^{m/12}`.

    Examples
    --------
    >>> value_after(1000, 0.1, 24)
    810.0

    References
    ----------
    .. [1] Declining balance, any textbook of accounting.
    """
    if not 0 <= loss_a_year < 1:
        raise SumError(f"loss of {loss_a_year:.0%} a year: must be 0 to under 100%; 10% is usual")
    return float(value * (1 - loss_a_year) ** (months / 12))


def draw_runs(choice: Choice, months: int, runs: int = RUNS) -> list[Run]:
    """Draw everything many times over.

    Parameters
    ----------
    choice : Choice
        What is known.
    months : int
        How far ahead to look, 1 to 120. [month]
    runs : int
        How often. [-]

    Returns
    -------
    list of Run
        Cost of keeping and of the alternative by each month.

    Notes
    -----
    Each figure is drawn from a triangle between least and most with its peak at the likely one, by itself.
    Keeping costs passing, upkeep, the monthly rest, and what the car would bring as it stands less what it
    will bring in the end. The alternative costs its payments. No interest.
    """
    if not 1 <= months <= MOST_MONTHS:
        raise SumError(f"{months} months: must be 1 to {MOST_MONTHS}; 24 is usual")
    rng = random.Random(SEED)
    kept = [value_after(1.0, choice.loss_a_year, month) for month in range(months + 1)]
    return [_one_run(choice, kept, rng) for _ in range(runs)]


def _draw(rng: random.Random, band: Band) -> float:
    if band.low == band.high:
        return band.typical
    return rng.triangular(band.low, band.high, band.typical)


def _one_run(choice: Choice, kept: Sequence[float], rng: random.Random) -> Run:
    """One draw; ``kept`` is the share of value left by each month."""
    months = len(kept) - 1
    to_pass = _draw(rng, choice.to_pass)
    value = _draw(rng, choice.value)
    passed = value if choice.value_passed is None else _draw(rng, choice.value_passed)
    monthly = _draw(rng, choice.keep_monthly)
    upfront, other = _draw(rng, choice.alternative_upfront), _draw(rng, choice.alternative_monthly)
    spent_in = [0.0] * (months + 1)
    by_item = []
    for item in choice.upkeep:
        total = 0.0
        due = _draw(rng, item.due_months)
        while due <= months:
            price = _draw(rng, item.price)
            total += price
            # Counted from the first whole month by which it is due.
            spent_in[-int(-due // 1)] += price
            if item.every_months is None:
                break
            due += max(_draw(rng, item.every_months), 1.0)
        by_item.append(total)
    keep, spent = [], to_pass
    for month in range(months + 1):
        spent += spent_in[month]
        keep.append(spent + monthly * month + value - passed * kept[month])
    return Run(
        tuple(keep),
        tuple(upfront + other * month for month in range(months + 1)),
        to_pass,
        tuple(by_item),
        monthly * months,
        value - passed * kept[-1],
    )


def quantiles(values: Sequence[float], shares: tuple[float, float, float] = (0.1, 0.5, 0.9)) -> Band:
    """Values below which given shares of many draws lie.

    Parameters
    ----------
    values : sequence of float
        Draws. [any]
    shares : tuple of float
        Shares, rising. [-]

    Returns
    -------
    Band
        The three values. [as drawn]

    Examples
    --------
    >>> quantiles([float(n) for n in range(101)])
    Band(low=10.0, typical=50.0, high=90.0)

    References
    ----------
    .. [1] Linear between neighbours: type 7 of Hyndman and Fan (1996).
    """
    ordered = sorted(values)
    found = []
    for share in shares:
        place = share * (len(ordered) - 1)
        below = int(place)
        above = min(below + 1, len(ordered) - 1)
        found.append(ordered[below] + (place - below) * (ordered[above] - ordered[below]))
    return Band(*found)


def chance_keeping_is_cheaper(runs: Sequence[Run]) -> float:
    """Share of draws in which keeping costs less by the last month.

    Parameters
    ----------
    runs : sequence of Run
        Draws.

    Returns
    -------
    float
        Chance; equal costs count half. [-]

    Examples
    --------
    >>> runs = [Run((0, 5), (0, 9), 5, (), 0, 0), Run((0, 9), (0, 5), 5, (), 0, 0)]
    >>> chance_keeping_is_cheaper(runs)
    0.5

    References
    ----------
    .. [1] Counting.
    """
    return fmean(
        1.0 if run.keep[-1] < run.alternative[-1] else 0.5 if run.keep[-1] == run.alternative[-1] else 0.0
        for run in runs
    )


def break_even_month(keep: Sequence[float], alternative: Sequence[float]) -> int | None:
    """First month from which keeping stays no dearer than the alternative, up to the last month given.

    Parameters
    ----------
    keep, alternative : sequence of float
        Cost by each month, from 0 on. [money]

    Returns
    -------
    int or None
        Month; None if keeping is dearer by the last one. [month]

    Examples
    --------
    >>> break_even_month([50, 50, 50, 90, 90], [0, 30, 60, 90, 120])
    2

    References
    ----------
    .. [1] Counting.
    """
    found = None
    for month in range(len(keep) - 1, -1, -1):
        if keep[month] > alternative[month] + 1e-9:
            break
        found = month
    return found
