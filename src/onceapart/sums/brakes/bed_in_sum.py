"""Bedding in: temperatures over a schedule, and which schedule suits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.sums.brakes import bedding, fluid, sources
from onceapart.sums.brakes.asks import (
    AMBIENT,
    DISC_IRON,
    DISC_MASS,
    DISCS,
    FACE_INNER,
    FACE_OUTER,
    FRONT_SHARE,
    MASS,
)
from onceapart.sums.brakes.bedding import Afterwards, Trial, Window
from onceapart.sums.brakes.cooling import Corner
from onceapart.sums.brakes.fluid_sum import FLUID_AGE, FLUID_KIND, MEASURED_BOILING, water_and_boiling
from onceapart.sums.brakes.heat_sum import iron_of_disc
from onceapart.sums.brakes.history import History, temperatures_by_scipy
from onceapart.sums.brakes.schedules import MOST_REGAIN_MPS2, Schedule, Slowdowns, shipped_schedules
from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput, YesNoInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result, Table

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DRIVE_KMH = 50.0
NO_SCHEDULE = "none of these"


def bed_in_answer(
    mass_kg: float,
    front_share_percent: float,
    discs: int,
    disc_mass_kg: float | None,
    iron_mm: float | None,
    face_outer_mm: float,
    face_inner_mm: float,
    vented: bool,
    lining_mm: float,
    cooling_w_per_m2k: float | None,
    schedule: str,
    slowdowns: tuple[tuple[int, float, float, float, float], ...] | None,
    lining: str,
    bed_from_degc: float | None,
    bed_to_degc: float | None,
    afterwards: str,
    cool_down_min: float,
    ambient_degc: float,
    fluid_kind: str,
    age_year: float | None,
    boiling_degc: float | None,
) -> Result:
    """Temperatures over the schedule asked for, and every shipped one beside it."""
    iron, basis = iron_of_disc(disc_mass_kg, iron_mm, face_outer_mm, face_inner_mm)
    corner = Corner(
        braked_kg=mass_kg * front_share_percent / 100 / discs,
        disc_kg=iron,
        outer_mm=face_outer_mm,
        inner_mm=face_inner_mm,
        vented=vented,
        lining_mm=lining_mm,
        film_w_per_m2k=cooling_w_per_m2k,
    )
    usual, _ = bedding.linings()[lining]
    window = Window(
        usual.from_degc if bed_from_degc is None else bed_from_degc,
        usual.to_degc if bed_to_degc is None else bed_to_degc,
    )
    boiling, fluid_basis = _boiling(fluid_kind, age_year, boiling_degc)
    then = Afterwards(60 * cool_down_min, DRIVE_KMH if afterwards == "drive" else 0.0)

    def tried(each: Schedule) -> Trial:
        return bedding.try_schedule(each, corner, window, boiling, ambient_degc, then)

    shipped = [tried(each) for each in shipped_schedules().values()]
    if slowdowns:
        chosen = tried(Schedule("own", tuple(Slowdowns(*row) for row in slowdowns), "as given"))
    else:
        chosen = next(each for each in shipped if each.schedule.name == schedule)
    suiting = [each.schedule.name for each in shipped if each.verdict == bedding.SUITS]
    disc = chosen.history.disc_peak_degc

    def plot() -> Figure:
        return _plot(chosen, temperatures_by_scipy(corner, chosen.legs, ambient_degc), window, boiling)

    return Result(
        values={
            "disc_peak": disc,
            "fluid_peak": chosen.history.fluid_peak_degc,
            "boiling": boiling,
            "margin": chosen.margin_k,
            "bed_from": window.from_degc,
            "bed_to": window.to_degc,
            "advised": suiting[0] if suiting else NO_SCHEDULE,
            "minutes": chosen.minutes,
            "road": chosen.kilometres,
        },
        verdict=chosen.verdict,
        reasons=(
            *_reasons(chosen, disc, window),
            basis,
            fluid_basis,
            "Disc: mean of the iron. Fluid: an estimate through the lining, caliper at one "
            "temperature. The spread "
            "comes from cooling (0.6 to 1.5 of typical), heat into the disc and lining.",
        ),
        warnings=_warnings(chosen, afterwards, suiting),
        tables=(_table(shipped if chosen in shipped else [chosen, *shipped]),),
        plot=plot,
    )


def _boiling(kind: str, age: float | None, measured: float | None) -> tuple[Band, str]:
    each = fluid.fluids()[kind]
    if age is None and measured is None and each.base == "glycol":
        words = f"Age of the fluid not given, so the least of wet {each.name} is taken."
        return Band(each.wet_degc, each.wet_degc, each.wet_degc), words
    _, boiling, basis = water_and_boiling(each, age, None, measured)
    return boiling, basis


def _reasons(chosen: Trial, disc: Band, window: Window) -> list[str]:
    """Everything that speaks against it, or that nothing does."""
    if chosen.verdict == bedding.SUITS:
        name = chosen.schedule.name
        return [
            f"'{name}' warms the disc into the window and leaves the fluid its margin, even at the worst."
        ]
    reasons = []
    if chosen.margin_k.low < bedding.FLUID_MARGIN_K:
        reasons.append(
            f"At the worst the fluid's margin is less than {bedding.FLUID_MARGIN_K:g} °C (our judgement): "
            "change it, or brake more softly."
        )
    if disc.high > window.to_degc:
        reasons.append(
            f"At the worst the disc reaches {disc.high:.0f} °C: linings glaze and fade above "
            f"{window.to_degc:g} °C."
        )
    if disc.typical < window.from_degc:
        reasons.append(
            f"The disc reaches about {disc.typical:.0f} °C: linings bed from {window.from_degc:g} °C on."
        )
    return reasons


def _warnings(chosen: Trial, afterwards: str, suiting: list[str]) -> tuple[str, ...]:
    warnings = []
    if any(row.regain_mps2 > MOST_REGAIN_MPS2 for row in chosen.schedule.rows):
        warnings.append("The gaps are too short to get up to speed again with an ordinary car.")
    if not suiting:
        warnings.append(
            "None of the shipped schedules suits: shorten one, lengthen its gaps, or ask the pad's maker."
        )
    if afterwards == "park":
        warnings.append(
            "Parked hot, the fluid goes on warming and the pads print on the disc: drive it cool instead."
        )
    warnings.append("Break off at the first smell, smoke, softer pedal or pull to one side, and let it cool.")
    warnings.append("Do not hold the pedal at a standstill while the discs are hot.")
    return tuple(warnings)


def _table(trials: list[Trial]) -> Table:
    return Table(
        "Schedules (common practice; the pad maker's own goes first)",
        (
            Output(name="schedule", label="Schedule", unit=None),
            Output(name="slowdowns", label="Slow-downs", unit=""),
            Output(name="disc", label="Disc, hottest", unit="°C", digits=2),
            Output(name="fluid", label="Fluid, hottest", unit="°C", digits=2),
            Output(name="margin", label="Fluid's margin", unit="Δ°C", digits=2),
            Output(name="verdict", label="Verdict", unit=None),
        ),
        tuple(
            (
                each.schedule.name,
                float(each.schedule.slowdowns),
                each.history.disc_peak_degc,
                each.history.fluid_peak_degc,
                each.margin_k,
                each.verdict,
            )
            for each in trials
        ),
    )


def _plot(chosen: Trial, history: History, window: Window, boiling: Band) -> Figure:
    from onceapart.sums.plots import new_plot

    figure, axes = new_plot(f"Bedding in: {chosen.schedule.name}", "Time, min", "Temperature, °C")
    minutes = [each / 60 for each in history.seconds]
    axes.axhspan(window.from_degc, window.to_degc, color="0.93", label="linings bed here")
    axes.fill_between(
        minutes, history.disc_degc[0], history.disc_degc[-1], color="0.75", label="disc, spread"
    )
    axes.plot(minutes, history.disc_degc[len(history.disc_degc) // 2], label="disc", linewidth=1.2)
    axes.plot(minutes, history.fluid_degc[len(history.fluid_degc) // 2], label="fluid, estimate")
    axes.plot(minutes, history.fluid_degc[-1], label="fluid, at the worst")
    axes.axhline(boiling.low, linestyle="-.", color="black", linewidth=1, label="fluid may boil from")
    top = max(*history.disc_degc[-1], window.to_degc, boiling.low)
    axes.set(xlim=(0, minutes[-1]), ylim=(0, 1.08 * top))
    axes.legend(fontsize="small", ncols=2)
    return figure


def _lining_temperature(name: str, label: str, example: str) -> QuantityInput:
    return QuantityInput(
        name=name,
        label=label,
        unit="°C",
        low=40,
        high=900,
        optional=True,
        example=example,
        help="The pad maker's figure, if there is one.",
    )


BED_IN = Sum(
    name="brake-bed-in",
    title="Bedding in",
    question="Which schedule beds new pads and discs without overheating them or the fluid?",
    inputs=(
        MASS,
        FRONT_SHARE,
        DISCS,
        DISC_MASS,
        DISC_IRON,
        FACE_OUTER,
        FACE_INNER,
        YesNoInput(name="vented", label="Vented discs", default="yes", example="no"),
        QuantityInput(
            name="lining",
            argument="lining_mm",
            label="Thickness of the lining",
            unit="mm",
            low=1,
            high=25,
            default="10 mm",
            example="10 mm",
        ),
        QuantityInput(
            name="cooling",
            label="Heat transfer from the disc, if measured",
            unit="W/(m²·K)",
            low=5,
            high=500,
            optional=True,
            example="60 W/(m2 K)",
            help="Otherwise reckoned from speed and diameter.",
        ),
        ChoiceInput(
            name="schedule",
            label="Schedule",
            choices={each.name: each.meaning for each in shipped_schedules().values()},
            default="usual",
            example="usual",
        ),
        RowsInput(
            name="slowdowns",
            label="Own schedule",
            columns=(
                QuantityInput(
                    name="count", label="How many", unit="", low=1, high=120, whole=True, example="10"
                ),
                QuantityInput(name="from", label="From", unit="km/h", low=10, high=200, example="60 mph"),
                QuantityInput(name="to", label="To", unit="km/h", low=0, high=190, example="10 mph"),
                QuantityInput(
                    name="deceleration", label="Deceleration", unit="m/s²", low=0.3, high=10, example="0.35 g"
                ),
                QuantityInput(
                    name="gap", label="Then drive on for", unit="s", low=0, high=1800, example="45 s"
                ),
            ),
            most=12,
            optional=True,
            example="4: 50 mph: 10 mph: 0.3 g: 40 s; 8: 60 mph: 10 mph: 0.4 g: 45 s",
            help="The pad maker's, in place of the shipped one.",
        ),
        ChoiceInput(
            name="pads",
            argument="lining",
            label="Pads",
            choices={name: meaning for name, (_, meaning) in bedding.linings().items()},
            default="organic",
            example="organic",
        ),
        _lining_temperature("bed-from", "They bed from", "150 °C"),
        _lining_temperature("bed-to", "They stand up to", "350 °C"),
        ChoiceInput(
            name="afterwards",
            label="Afterwards the car is",
            choices={"drive": f"driven on gently at {DRIVE_KMH:g} km/h", "park": "parked at once"},
            default="drive",
            example="drive",
        ),
        QuantityInput(
            name="cool-down",
            label="For",
            unit="min",
            low=1,
            high=120,
            default="15 min",
            example="15 min",
        ),
        AMBIENT,
        FLUID_KIND,
        FLUID_AGE,
        MEASURED_BOILING,
    ),
    outputs=(
        Output(name="disc_peak", label="Disc, hottest (mean of the iron)", unit="°C", digits=2),
        Output(name="bed_from", label="Linings bed from", unit="°C"),
        Output(name="bed_to", label="Linings stand up to", unit="°C"),
        Output(name="fluid_peak", label="Fluid, hottest (estimate)", unit="°C", digits=2),
        Output(name="boiling", label="Fluid boils at, at least", unit="°C"),
        Output(name="margin", label="Fluid's margin (minus: boils)", unit="Δ°C", digits=2),
        Output(name="advised", label="Gentlest schedule that suits", unit=None),
        Output(name="minutes", label="The schedule takes", unit="min", digits=2),
        Output(name="road", label="Road it takes", unit="km", digits=2),
    ),
    sources=(
        sources.HEAT,
        sources.IRON,
        sources.INTO_DISC,
        sources.AIR_FILM,
        sources.COOLING_ESTIMATE,
        sources.SCHEDULES,
        sources.BED_WINDOW,
        sources.BOILING,
        sources.BOILING_CURVE,
        sources.WATER_RATE,
    ),
    example={
        "mass": "1400 kg",
        "disc-mass": "5.5 kg",
        "face-outer": "260 mm",
        "face-inner": "160 mm",
        "age": "1 year",
    },
    cautions=(sources.CHECKED, sources.PEDAL_FIRST, sources.ROAD, sources.HOT, sources.DUST),
    verdicts=(bedding.SUITS, bedding.TOO_COOL, bedding.TOO_HOT, bedding.FLUID_HOT),
    answer=bed_in_answer,
)
