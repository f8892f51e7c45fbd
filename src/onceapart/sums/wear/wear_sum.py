"""Wear: rate, distance and date to the limit, part by part."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from onceapart.errors import SumError
from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput, TextInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result, Table, Value
from onceapart.sums.wear import outlook, sources
from onceapart.sums.wear.days import DAYS_A_YEAR, day_after, parse_day, yearly_distance_km
from onceapart.sums.wear.kinds import Kind, Limit, find_kind, kinds
from onceapart.sums.wear.line import WearLine, bearable_rate_mm_per_1000km, margin_mm
from onceapart.sums.wear.outlook import Outlook, WearReading

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Row = tuple[float, float, str, date | None]


def _part_name(text: str) -> str:
    return " ".join(text.split())


class _Calendar:
    """Turns an odometer into a date, as far as the readings and the year's driving allow."""

    def __init__(self, rows: Sequence[Row], yearly_km: float | None) -> None:
        dated = sorted((day, at) for at, _, _, day in rows if day is not None)
        found = yearly_distance_km([at for _, at in dated], [day for day, _ in dated]) if dated else None
        self.yearly_km = found if yearly_km is None else yearly_km
        self.anchor = dated[-1] if dated else None

    def day(self, at_km: float | None) -> date | None:
        if at_km is None or self.anchor is None or self.yearly_km is None:
            return None
        return day_after(self.anchor[0], (at_km - self.anchor[1]) / self.yearly_km)

    def words(self, at_km: float | None) -> str | None:
        day = self.day(at_km)
        return None if day is None else str(day)

    def at_km(self, day: date) -> float:
        """Odometer to expect on a day."""
        if self.anchor is None or self.yearly_km is None:
            raise SumError(
                f"until {day}: needs the date of a reading and the distance driven in a year; add them, or "
                "give ahead instead"
            )
        return self.anchor[1] + (day - self.anchor[0]).days / DAYS_A_YEAR * self.yearly_km


def wear_answer(
    part: str,
    readings: tuple[Row, ...],
    limit_mm: float | None,
    odometer_km: float | None,
    yearly_km: float | None,
    ahead_km: float | None,
    until: date | None,
    new_mm: float | None,
    fitted_km: float | None,
) -> Result:
    """Rate, distance and date to the limit, part by part."""
    kind = find_kind(part)
    limits = (Limit(limit_mm, "as given", ""),) if limit_mm is not None else kind.limits
    if not limits:
        stamp = {"disc": "the least thickness stamped on it", "drum": "the greatest diameter cast into it"}
        raise SumError(
            f"limit: not given, and no limit is common to all; give {stamp.get(part, 'the manual’s')}"
        )
    calendar = _Calendar(readings, yearly_km)
    now = max(row[0] for row in readings) if odometer_km is None else odometer_km
    ahead = ahead_km
    if until is not None:
        to_the_day = calendar.at_km(until) - now
        if to_the_day <= 0:
            raise SumError(f"until {until}: by then the odometer stands at {now:g} km already; check both")
        ahead = max(to_the_day, ahead_km or 0.0)
    places = dict.fromkeys(row[2] for row in readings)
    judged = outlook.soonest_first(
        [
            outlook.judge_wear(
                where,
                [WearReading(at, value, day) for at, value, place, day in readings if place == where],
                kind,
                limits[0].limit_mm,
                now_km=now,
                ahead_km=ahead,
                new_mm=new_mm,
                fitted_km=fitted_km,
            )
            for where in places
        ]
    )
    worst = judged[0]
    tables = []
    if len(judged) > 1:
        tables.append(_places_table(judged, calendar))
    if len(limits) > 1 and worst.line is not None:
        tables.append(_limits_table(worst, worst.line, kind, limits, calendar))

    def plot() -> Figure:
        from onceapart.sums.wear.wear_plot import draw_wear

        return draw_wear(judged, limits, kind)

    return Result(
        values=_values(worst, kind, limits[0], calendar, ahead),
        verdict=max((each.verdict for each in judged), key=_rank),
        reasons=tuple(_reasons(worst, kind, limits[0], calendar, ahead, len(judged))),
        warnings=tuple(doubt for each in judged for doubt in outlook.doubts(each, kind)),
        tables=tuple(tables),
        plot=plot,
    )


def _rank(verdict: str) -> int:
    return outlook.VERDICTS.index(verdict) if verdict else -1


def _values(
    worst: Outlook, kind: Kind, limit: Limit, calendar: _Calendar, ahead_km: float | None
) -> dict[str, Value]:
    line = worst.line
    left = worst.left_km("likely")
    months = None if left is None or calendar.yearly_km is None else left / calendar.yearly_km * 12
    is_past = worst.margin_mm <= 0
    last = worst.readings[-1]
    level = worst.level_mm
    return {
        "part": worst.where,
        "limit": limit.limit_mm,
        "level": Band(*(round(each, 2) for each in (level.low, level.typical, level.high))),
        "margin": worst.margin_mm,
        "rate": None if line is None else line.rate_mm_per_1000km,
        "left": left,
        "left_least": worst.left_km("earliest"),
        "left_most": worst.left_km("latest"),
        "yearly": calendar.yearly_km,
        "months": months if months is None or months <= 600 else None,
        "reached_on": None if is_past else calendar.words(worst.reach.likely_km),
        "reached_earliest": None if is_past else calendar.words(worst.reach.earliest_km),
        "ahead": ahead_km,
        "bearable": None
        if ahead_km is None or is_past
        else bearable_rate_mm_per_1000km(
            margin_mm(last.value_mm, limit.limit_mm, grows=kind.grows),
            worst.now_km - last.at_km + ahead_km,
        ),
    }


def _reasons(
    worst: Outlook, kind: Kind, limit: Limit, calendar: _Calendar, ahead_km: float | None, parts: int
) -> list[str]:
    figure = show_value(limit.limit_mm, "mm")
    reasons = [f"Limit {figure}: {limit.words}."]
    if parts > 1:
        reasons.append(f"The figures are those of {worst.where}, which reaches it first of {parts}.")
    line = worst.line
    if line is not None and line.points > 1:
        reasons.append(
            f"Rate: the middle one between every two of {len(worst.readings)} readings; its spread also "
            f"allows {show_value(kind.gauge_mm, 'mm')} for {kind.gauge_words}."
        )
    elif line is not None:
        new = f" ({kind.new_status})" if kind.new_status else ""
        reasons.append(f"Rate: from the figure as new{new} to the reading.")
    if ahead_km is not None:
        reasons.append(f"Has to last {show_value(ahead_km, 'km', 4)} more.")
    if calendar.yearly_km is not None and calendar.anchor is not None:
        reasons.append(
            "Dates go by the distance driven in a year; the spread of the dates is the wear's alone."
        )
    return reasons


PLACE_COLUMNS = (
    Output(name="part", label="Part", unit=None),
    Output(name="level", label="Now", unit="mm", digits=5),
    Output(name="rate", label="Wear", unit="mm/1000 km", digits=2),
    Output(name="left", label="Left", unit="km", digits=2),
    Output(name="left_least", label="At least", unit="km", digits=2),
    Output(name="reached_on", label="Reached", unit=None),
)
LIMIT_COLUMNS = (
    Output(name="limit", label="Limit", unit="mm", digits=2),
    Output(name="left", label="Left", unit="km", digits=2),
    Output(name="left_least", label="At least", unit="km", digits=2),
    Output(name="reached_on", label="Reached", unit=None),
    Output(name="what", label="What", unit=None),
)


def _places_table(judged: Sequence[Outlook], calendar: _Calendar) -> Table:
    rows = [
        (
            each.where,
            round(each.level_mm.typical, 2),
            None if each.line is None else each.line.rate_mm_per_1000km.typical,
            each.left_km("likely"),
            each.left_km("earliest"),
            "past" if each.margin_mm <= 0 else calendar.words(each.reach.likely_km),
        )
        for each in judged
    ]
    return Table("Part by part", PLACE_COLUMNS, tuple(rows))


def _limits_table(
    worst: Outlook, line: WearLine, kind: Kind, limits: Sequence[Limit], calendar: _Calendar
) -> Table:
    rows: list[tuple[Value, ...]] = []
    for limit in limits:
        last = worst.readings[-1].value_mm
        levels = (worst.level_mm.typical, last)
        if min(margin_mm(level, limit.limit_mm, grows=kind.grows) for level in levels) <= 0:
            rows.append((limit.limit_mm, 0.0, 0.0, "past", limit.words))
            continue
        reach = line.reaches(limit.limit_mm)
        at = (reach.likely_km, reach.earliest_km)
        left = [None if each is None else max(each - worst.now_km, 0.0) for each in at]
        rows.append((limit.limit_mm, *left, calendar.words(at[0]), limit.words))
    return Table(f"Limits of {worst.where}", LIMIT_COLUMNS, tuple(rows))


WEAR = Sum(
    name="wear-limit",
    title="Wear",
    question="How fast does it wear, and when does it reach its limit?",
    inputs=(
        ChoiceInput(
            name="part",
            label="Kind of part",
            choices={each.name: each.meaning for each in kinds().values()},
            example="pad",
        ),
        RowsInput(
            name="readings",
            label="Readings",
            example="80000 km: 8.5 mm; 90000 km: 6.9 mm",
            help="One a row: odometer : reading : which part : date. Only since the part was fitted.",
            columns=(
                QuantityInput(
                    name="at", label="Odometer", unit="km", low=0, high=2_000_000, example="80000 km"
                ),
                QuantityInput(name="value", label="Reading", unit="mm", low=0, high=1000, example="8.5 mm"),
                TextInput(
                    name="where",
                    label="Which part",
                    parse=_part_name,
                    what="a name of your own",
                    example="front-left",
                    default="the part",
                    longest=40,
                ),
                TextInput(
                    name="on",
                    label="Date",
                    parse=parse_day,
                    what="a date",
                    example="2026-04-11",
                    optional=True,
                ),
            ),
        ),
        QuantityInput(
            name="limit",
            label="Limit",
            unit="mm",
            low=0,
            high=1000,
            optional=True,
            example="3 mm",
            help="The usual one of its kind if not given; discs and drums have theirs stamped on.",
        ),
        QuantityInput(
            name="odometer",
            label="Odometer now",
            unit="km",
            low=0,
            high=2_000_000,
            optional=True,
            example="97000 km",
            help="The last reading's if not given.",
        ),
        QuantityInput(
            name="yearly",
            label="Driven in a year",
            unit="km",
            low=100,
            high=200_000,
            optional=True,
            example="12000 km",
            help="From the dates of the readings if not given.",
        ),
        QuantityInput(
            name="ahead",
            label="Has to last another",
            unit="km",
            low=1,
            high=200_000,
            optional=True,
            example="10000 km",
        ),
        TextInput(
            name="until",
            label="Has to last until",
            parse=parse_day,
            what="a date",
            example="2026-04-11",
            optional=True,
            help="Such as the day of the inspection.",
        ),
        QuantityInput(
            name="new",
            label="Figure as new",
            unit="mm",
            low=0,
            high=1000,
            optional=True,
            example="10 mm",
            help="Used if there is one reading only, together with the next.",
        ),
        QuantityInput(
            name="fitted",
            label="Odometer when fitted",
            unit="km",
            low=0,
            high=2_000_000,
            optional=True,
            example="52000 km",
        ),
    ),
    outputs=(
        Output(name="part", label="Part", unit=None),
        Output(name="limit", label="Limit", unit="mm"),
        Output(name="level", label="Now, by the line of wear", unit="mm", digits=5),
        Output(name="margin", label="Left to wear", unit="mm", digits=2),
        Output(name="rate", label="Wear", unit="mm/1000 km", digits=2),
        Output(name="left", label="Limit reached in", unit="km", digits=2),
        Output(name="left_least", label="At the earliest in", unit="km", digits=2),
        Output(name="left_most", label="At the latest in", unit="km", digits=2),
        Output(name="yearly", label="Driven in a year", unit="km", digits=2),
        Output(name="months", label="Time until then", unit="month", digits=2),
        Output(name="reached_on", label="Limit reached on", unit=None),
        Output(name="reached_earliest", label="At the earliest on", unit=None),
        Output(name="ahead", label="Has to last", unit="km"),
        Output(name="bearable", label="Wear at which it just would", unit="mm/1000 km", digits=2),
    ),
    sources=(
        sources.SLOPE,
        sources.INTERVAL,
        sources.STRAIGHT,
        sources.GAUGES,
        sources.NEW_PADS,
        sources.NEW_TREAD,
        *sources.LIMITS,
    ),
    example={
        "part": "pad",
        "readings": "80000 km: 8.6 mm: front-left: 2024-05-01; 86000 km: 7.5 mm: front-left: 2024-11-02;"
        "92000 km: 6.6 mm: front-left: 2025-05-10; 98000 km: 5.4 mm: front-left: 2025-11-08",
        "until": "2026-11-01",
    },
    cautions=(
        "Brakes, steering and tyres: a forecast never replaces a look. Look again at every service, and at "
        "once if it pulls, grinds, knocks or shakes.",
        "The figure stamped on the part and local law go before any limit here; an inspector decides.",
        "Measure at the thinnest place: inner pads and inner edges of a tyre often wear faster.",
    ),
    verdicts=outlook.VERDICTS,
    answer=wear_answer,
)
