"""Brake fluid by kind and age: boiling point, margin, and whether to change it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.errors import SumError
from onceapart.sums.brakes import fluid, sources
from onceapart.sums.brakes.fluid import Fluid
from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result

if TYPE_CHECKING:
    from matplotlib.figure import Figure

GOOD, SOON, NOW = "good", "change soon", "change before driving hard"
USUAL_HOTTEST_DEGC = 150.0
"""Hottest the fluid gets in a long descent, from memory; a default only."""

FLUID_KIND = ChoiceInput(
    name="fluid",
    argument="fluid_kind",
    label="Fluid",
    choices={each.name: each.meaning for each in fluid.fluids().values()},
    default="DOT-4",
    example="DOT-4",
    help="On the reservoir's cap.",
)
FLUID_AGE = QuantityInput(
    name="age",
    label="Time since it was changed",
    unit="year",
    low=0,
    high=60,
    optional=True,
    example="3 years",
)
MEASURED_BOILING = QuantityInput(
    name="boiling",
    label="Boiling point measured",
    unit="°C",
    low=90,
    high=400,
    optional=True,
    example="178 °C",
    help="By a tester that boils it, fluid from a caliper rather than the reservoir.",
)


def water_and_boiling(
    kind: Fluid, age_year: float | None, water_percent: float | None, boiling_degc: float | None
) -> tuple[Band | None, Band, str]:
    """Water, boiling point, and how they are known: a measured boiling point first, then water, then age."""
    if boiling_degc is not None:
        water = None
        if kind.base == "glycol" and boiling_degc > fluid.boiling_point_degc(kind, fluid.MOST_WATER_PERCENT):
            known = fluid.water_percent_from_boiling(kind, boiling_degc)
            water = Band(known, known, known)
        return water, Band(boiling_degc, boiling_degc, boiling_degc), "Boiling point as measured."
    if kind.base == "silicone":
        dry = Band(0, 0, 0)
        return (
            None,
            fluid.boiling_band_degc(kind, dry),
            "Silicone takes up no water; a drop in it boils at 100 °C.",
        )
    if water_percent is not None:
        water = Band(water_percent, water_percent, water_percent)
        return (
            water,
            fluid.boiling_band_degc(kind, water),
            "From the water measured, least figures of the standard.",
        )
    if age_year is None:
        raise SumError("age: not given; give the fluid's age, its water, or its boiling point")
    water = fluid.water_by_age_percent(age_year)
    return (
        water,
        fluid.boiling_band_degc(kind, water),
        "Reckoned from its age with 1 to 3 % water a year (from memory): a test of the fluid says more.",
    )


def fluid_answer(
    fluid_kind: str,
    age_year: float | None,
    water_percent: float | None,
    boiling_degc: float | None,
    hottest_degc: float,
) -> Result:
    """What the fluid still stands."""
    kind = fluid.fluids()[fluid_kind]
    water, boiling, basis = water_and_boiling(kind, age_year, water_percent, boiling_degc)
    margin = Band(boiling.low - hottest_degc, boiling.typical - hottest_degc, boiling.high - hottest_degc)
    verdict, why = _verdict(kind, age_year, water, boiling, margin)
    reasons = [basis, why]
    warnings = [
        "The kind is the manual's: never pour DOT 5 (silicone) into a glycol system, nor the other way."
    ]
    if margin.low < 0:
        how = "It boils" if margin.typical < 0 else "At the worst it boils"
        warnings.insert(0, f"{how} at that heat: vapour is soft, and the pedal goes to the floor.")
    if kind.base == "silicone":
        warnings.append("Water in silicone fluid gathers low, in the calipers: bleed it out there.")

    def plot() -> Figure:
        return _plot(kind, boiling, hottest_degc)

    return Result(
        values={
            "water": water,
            "boiling": boiling,
            "margin": margin,
            "dry": kind.dry_degc,
            "wet": kind.wet_degc,
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        plot=plot if kind.base == "glycol" else None,
    )


def _verdict(
    kind: Fluid, age: float | None, water: Band | None, boiling: Band, margin: Band
) -> tuple[str, str]:
    if boiling.typical <= kind.wet_degc or margin.typical < 0:
        least = f"the {kind.wet_degc:g} °C of wet fluid"
        return NOW, f"It boils at about {boiling.typical:.0f} °C; {least} is the least the standard allows."
    if water is not None and water.typical >= fluid.CHANGE_WATER_PERCENT:
        return SOON, f"About {water.typical:.1f} % water; 3 % is the usual point to change (from memory)."
    if age is not None and age >= fluid.CHANGE_AFTER_YEARS:
        return SOON, "Common practice is to change it every 2 years; the manual's interval goes first."
    if margin.low < 0:
        return SOON, "If it took up water as fast as some do, it can boil at that heat: have it tested."
    return GOOD, f"It boils {margin.low:.0f} °C or more above that heat."


def _plot(kind: Fluid, boiling: Band, hottest: float) -> Figure:
    from onceapart.sums.plots import new_plot

    figure, axes = new_plot(f"{kind.name}: boiling point by water", "Water, % by mass", "Boiling point, °C")
    steps = [fluid.MOST_WATER_PERCENT * step / 100 for step in range(101)]
    axes.plot(steps, [fluid.boiling_point_degc(kind, step) for step in steps], label="least, our curve")
    axes.plot(
        [0, fluid.WET_WATER_PERCENT],
        [kind.dry_degc, kind.wet_degc],
        "o",
        color="black",
        label="dry and wet, standard",
    )
    if boiling.low < boiling.high:
        axes.axhspan(boiling.low, boiling.high, color="0.9", label="this fluid, spread")
    axes.axhline(boiling.typical, linestyle="--", color="0.35", label="this fluid")
    axes.axhline(hottest, linestyle=":", color="0.2", label="hottest it gets")
    axes.set(
        xlim=(0, fluid.MOST_WATER_PERCENT),
        ylim=(min(90, hottest - 10), max(kind.dry_degc, hottest, boiling.high) + 20),
    )
    axes.legend()
    return figure


FLUID = Sum(
    name="brake-fluid",
    title="Brake fluid by kind and age",
    question="When does this brake fluid boil, and is it time to change it?",
    inputs=(
        FLUID_KIND,
        FLUID_AGE,
        QuantityInput(
            name="water",
            label="Water measured",
            unit="%",
            low=0,
            high=10,
            optional=True,
            example="2 %",
            help="By a strip or a pen; only a rough figure.",
        ),
        MEASURED_BOILING,
        QuantityInput(
            name="hottest",
            label="Hottest the fluid gets",
            unit="°C",
            low=20,
            high=350,
            default=f"{USUAL_HOTTEST_DEGC:g} °C",
            example="150 °C",
            help="150 °C for a long descent is from memory; brake-bed-in reckons it for a schedule.",
        ),
    ),
    outputs=(
        Output(name="water", label="Water in it", unit="%", digits=2),
        Output(name="boiling", label="Boils at, at least", unit="°C"),
        Output(name="margin", label="Above the hottest (minus: boils)", unit="Δ°C", digits=2),
        Output(name="dry", label="Least of the standard, new", unit="°C"),
        Output(name="wet", label="Least of the standard, wet", unit="°C"),
    ),
    sources=(
        sources.BOILING,
        sources.WET_WATER,
        sources.BOILING_CURVE,
        sources.WATER_RATE,
        sources.SILICONE,
    ),
    example={"fluid": "DOT-4", "age": "2 years"},
    cautions=(sources.CHECKED, sources.FLUID, sources.PEDAL_FIRST),
    verdicts=(GOOD, SOON, NOW),
    answer=fluid_answer,
)
