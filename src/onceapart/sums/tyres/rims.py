"""Which rims suit a tyre."""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.tyres.designation import Tyre
from onceapart.sums.tyres.tables import read_table


@dataclass(frozen=True)
class RimRange:
    """Rim widths for a tyre, inches. None: the table ends there, so more may be allowed."""

    least_in: float | None
    most_in: float | None
    source: str

    def allows(self, width_in: float) -> bool | None:
        """Whether the rim is in the range; None if the table cannot say."""
        if self.least_in is None and self.most_in is None:
            return None
        below = self.least_in is not None and width_in < self.least_in
        above = self.most_in is not None and width_in > self.most_in
        if below or above:
            return False
        unknown = (self.least_in is None and width_in < _rims()[0]) or (
            self.most_in is None and width_in > _rims()[-1]
        )
        return None if unknown else True

    def __str__(self) -> str:
        if self.least_in is None and self.most_in is None:
            return "not in the chart"
        if self.least_in is None:
            return f"up to {self.most_in:g} in"
        if self.most_in is None:
            return f"{self.least_in:g} in and more"
        return f"{self.least_in:g} to {self.most_in:g} in"


CHART = "rim and tyre width chart (seen)"
LISTED = "ETRTO list (from memory)"


def _rims() -> list[float]:
    return [float(row["rim"]) for row in read_table("rim_chart")]


def rim_range(section_mm: float) -> RimRange:
    """Rims for a section width, by the width chart; its ends are left open."""
    chart = read_table("rim_chart")
    fitting = [float(row["rim"]) for row in chart if float(row["least"]) <= section_mm <= float(row["most"])]
    if not fitting:
        return RimRange(None, None, CHART)
    first, last = float(chart[0]["rim"]), float(chart[-1]["rim"])
    least, most = min(fitting), max(fitting)
    # 5.0 in is the narrowest rim of the chart and 8.0 the widest: beyond them it says nothing, unless the
    # tyre is the widest for 5.0 (so no narrower rim takes it) or the narrowest for 8.0.
    open_below = least == first and section_mm < float(chart[0]["most"])
    open_above = most == last and section_mm > float(chart[-1]["least"])
    return RimRange(None if open_below else least, None if open_above else most, CHART)


def listed_rims(tyre: Tyre) -> RimRange | None:
    """Rims for a size by the short list recalled from the standard, None if it is not in it."""
    for row in read_table("rim_ranges"):
        if row["size"] == tyre.size.removeprefix("P"):
            return RimRange(float(row["least"]), float(row["most"]), LISTED)
    return None


def best_rim_range(tyre: Tyre) -> RimRange:
    """The chart where it has both ends, else the recalled list, else what the chart has."""
    chart = rim_range(tyre.section_mm)
    if chart.least_in is not None and chart.most_in is not None:
        return chart
    return listed_rims(tyre) or chart


def usual_rim_in(section_mm: float, aspect_percent: float) -> float:
    r"""Rim width a tyre is measured on, to the half inch.

    Parameters
    ----------
    section_mm : float
        Section width as marked. [mm]
    aspect_percent : float
        Height over width as marked. [%]

    Returns
    -------
    float
        Rim width. [in]

    Notes
    -----
    Middle of the rims that the chart puts in the usual range; beyond the chart, 0.75 of the section width
    (0.85 for series 45, 0.90 below), rounded to the half inch.

    Examples
    --------
    >>> usual_rim_in(195, 65)
    6.0

    References
    ----------
    .. [1] Rim and tyre width chart (seen); beyond it common practice.
    """
    if section_mm <= 0:
        raise SumError(f"section {section_mm:g} mm: must be above 0; read it from the sidewall")
    fitting = [
        float(row["rim"])
        for row in read_table("rim_chart")
        if float(row["usual_least"]) <= section_mm <= float(row["usual_most"])
    ]
    if fitting and aspect_percent >= 50 and fitting[0] > _rims()[0] and fitting[-1] < _rims()[-1]:
        return fitting[len(fitting) // 2 - (len(fitting) % 2 == 0)]
    share = 0.75 if aspect_percent >= 50 else 0.85 if aspect_percent >= 45 else 0.90
    return round(2 * share * section_mm / 25.4) / 2
