"""Rusted bolt: what is left, and whether it may stay."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from onceapart.errors import SumError
from onceapart.sums.bolts import corrosion, sources
from onceapart.sums.bolts.asks import ANY_BOLT
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.bolts.threads import area_factor
from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def corrosion_answer(
    bolt: Bolt, loss_mm: float | None, surroundings: str | None, years_year: float | None
) -> Result:
    """What a rusted bolt still carries."""
    thread = bolt.thread
    if loss_mm is not None:
        loss = Band(loss_mm, loss_mm, loss_mm)
        basis = "Loss as measured."
    elif surroundings is not None and years_year is not None:
        where = corrosion.SURROUNDINGS[surroundings]
        loss = corrosion.loss_band_mm(where, years_year)
        basis = (
            f"Loss reckoned for {where.meaning} over {years_year:g} years, from memory: measure if you can."
        )
    else:
        raise SumError("loss: not given; give the loss measured, or surroundings and years")
    factor = area_factor(thread.system)
    new_area = thread.stress_area_mm2
    left = _band_of(
        corrosion.rusted_stress_area_mm2(thread.diameter_mm, thread.pitch_mm, each, factor)
        for each in (loss.high, loss.typical, loss.low)
    )
    shank = _band_of(
        corrosion.rusted_shank_share(thread.diameter_mm, each) for each in (loss.high, loss.typical, loss.low)
    )
    own = bolt.strength
    worst = left.low / new_area
    keeps = worst >= corrosion.REPLACE_BELOW

    def shown(band: Band) -> Band | float:
        return band if loss_mm is None else band.typical

    def plot() -> Figure:
        return _corrosion_plot(bolt, loss)

    return Result(
        values={
            "loss": shown(loss),
            "area_left": shown(left),
            "share_left": shown(left.scaled(100 / new_area)),
            "shank_left": shown(shank.scaled(100)),
            "proof_left": shown(left.scaled(own.proof_mpa / 1000)) if own else None,
            "ultimate_left": shown(left.scaled(own.tensile_mpa / 1000)) if own else None,
        },
        verdict="may stay" if keeps else "replace",
        reasons=(
            basis,
            f"At the worst {worst:.0%} of the stress area is left; replace below "
            f"{corrosion.REPLACE_BELOW:.0%}, our judgement.",
        ),
        warnings=(
            "A pit or a visible neck means replace, whatever the mean loss.",
            "In steering, suspension, brakes, wheels and seat belts replace a bolt that has lost any steel.",
        ),
        plot=plot,
    )


def _band_of(figures: Iterable[float]) -> Band:
    low, typical, high = figures
    return Band(low, typical, high)


def _corrosion_plot(bolt: Bolt, loss: Band) -> Figure:
    from onceapart.sums.plots import new_plot

    thread, factor = bolt.thread, area_factor(bolt.thread.system)
    figure, axes = new_plot(
        f"{thread}: what rust leaves", "Steel lost from each side, mm", "Stress area left, %"
    )
    end = max(0.12 * thread.diameter_mm, 1.2 * loss.high)
    end = min(end, 0.49 * (thread.diameter_mm - factor * thread.pitch_mm))
    steps = [end * step / 50 for step in range(51)]
    areas = [
        corrosion.rusted_stress_area_mm2(thread.diameter_mm, thread.pitch_mm, step, factor) for step in steps
    ]
    axes.plot(steps, [100 * area / thread.stress_area_mm2 for area in areas], label="stress area")
    axes.axhline(
        100 * corrosion.REPLACE_BELOW, color="black", linestyle="-.", label="replace below (our judgement)"
    )
    if loss.high > loss.low:
        axes.axvspan(loss.low, loss.high, color="0.85", label="reckoned loss")
    else:
        axes.axvline(loss.typical, color="black", linestyle=":", label="measured loss")
    axes.set(xlim=(0, end), ylim=(0, 105))
    axes.legend()
    return figure


CORROSION = Sum(
    name="bolt-corrosion",
    title="Rusted bolt",
    question="How much does a rusted bolt still carry?",
    inputs=(
        ANY_BOLT,
        QuantityInput(
            name="loss",
            label="Steel lost from each side",
            unit="mm",
            low=0,
            high=8,
            optional=True,
            example="0.5 mm",
            help="Half the difference between the diameter as new and the thinnest place, brushed clean.",
        ),
        ChoiceInput(
            name="surroundings",
            label="Surroundings",
            choices={each.name: each.meaning for each in corrosion.SURROUNDINGS.values()},
            optional=True,
            example="C4",
        ),
        QuantityInput(
            name="years", label="Time", unit="year", low=0, high=80, optional=True, example="15 years"
        ),
    ),
    outputs=(
        Output(name="loss", label="Steel lost from each side", unit="mm", digits=2),
        Output(name="area_left", label="Stress area left", unit="mm²"),
        Output(name="share_left", label="Stress area left", unit="%", digits=2),
        Output(name="shank_left", label="Shank area left", unit="%", digits=2),
        Output(name="proof_left", label="Proof load left", unit="kN"),
        Output(name="ultimate_left", label="Breaks at, least", unit="kN"),
    ),
    sources=(
        sources.RUST_GEOMETRY,
        sources.RUST_RATES,
        sources.RUST_LIMIT,
        sources.STRESS_AREA,
        sources.UNIFIED_AREA,
        *sources.STRENGTHS,
    ),
    example={"bolt": "M10 8.8", "loss": "0.5 mm"},
    cautions=(sources.SAFETY_PARTS, sources.EYES),
    verdicts=("may stay", "replace"),
    answer=corrosion_answer,
)
