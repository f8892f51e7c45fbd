"""Preload and torque: what to aim for, and what a given torque does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.errors import SumError
from onceapart.sums.bolts import sources, strength, tightening
from onceapart.sums.bolts.asks import CLASSED_BOLT
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def torque_answer(
    bolt: Bolt,
    surface: str,
    use: str,
    nut_factor: float | None,
    running_nm: float,
    torque_nm: float | None,
) -> Result:
    """Preload and torque as bands, and what a given torque does."""
    own = bolt.strength
    assert own is not None
    diameter = bolt.thread.diameter_mm
    friction = tightening.friction_conditions()[surface]
    factor = friction.nut_factor if nut_factor is None else Band(nut_factor, nut_factor, nut_factor)
    share = tightening.REUSED_SHARE if use == "reused" else tightening.PERMANENT_SHARE
    proof = strength.proof_load_n(bolt.thread.stress_area_mm2, own.proof_mpa)
    target = tightening.preload_n(proof, share)
    turning = tightening.torque_band_nm(factor, target, diameter)
    torque = Band(turning.low + running_nm, turning.typical + running_nm, turning.high + running_nm)
    applied = torque.typical if torque_nm is None else torque_nm
    if applied <= running_nm:
        rule = f"not above the running torque of {running_nm:g} N·m, so nothing is clamped"
        raise SumError(f"torque {applied:g} N·m: {rule}; check both")
    reached = tightening.preload_band_n(applied - running_nm, factor, diameter)
    most = tightening.torque_nm(factor.low, proof, diameter) + running_nm
    warnings = list(_torque_warnings(reached, proof, applied, most))
    reasons = [
        f"K {factor.typical:g} ({factor.low:g} to {factor.high:g}): "
        + (friction.basis if nut_factor is None else "as given, without a spread")
        + ".",
        f"Aims at {share:.0%} of the proof load, for a joint that is {use}.",
    ]
    if torque.high > most:
        over = show_value(most, "N·m")
        reasons.append(f"The band above {over} is for a thread that is known to turn hard, not for a guess.")
    limits = tightening.running_torque_of(bolt.thread.size) if bolt.thread.system == "metric" else None
    if running_nm and limits:
        least = limits.fifth_off_least_nm
        reasons.append(
            f"A locking nut of this size is worn out below {least:g} N·m of running torque (from memory)."
        )
        if running_nm < least:
            warnings.append("The running torque is below that of a worn-out locking nut: renew the nut.")

    def plot() -> Figure:
        return _torque_plot(bolt, factor, proof, applied, running_nm)

    return Result(
        values={
            "proof_load": proof / 1000,
            "preload": target / 1000,
            "torque": torque,
            "preload_reached": reached.scaled(1 / 1000),
            "share_reached": reached.scaled(100 / proof),
            "most_torque": most,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        plot=plot,
    )


def _torque_warnings(reached: Band, proof: float, applied: float, most: float) -> list[str]:
    words = show_value(applied, "N·m")
    if reached.typical > proof:
        return [
            f"{words} goes past the proof load even with usual friction: the bolt would stretch for good."
        ]
    if reached.high > proof:
        over = show_value(most, "N·m")
        return [f"If friction is at its lowest, {words} goes past the proof load; {over} would not."]
    return []


def _torque_plot(bolt: Bolt, factor: Band, proof: float, applied: float, running: float) -> Figure:
    from onceapart.sums.plots import new_plot

    figure, axes = new_plot(f"{bolt}: clamping force by torque", "Torque, N·m", "Clamping force, kN")
    end = 1.4 * max(applied, factor.typical * proof * bolt.thread.diameter_mm / 1000 + running)
    for name, k in (("lowest", factor.low), ("usual", factor.typical), ("highest", factor.high)):
        top = tightening.preload_from_torque_n(end - running, k, bolt.thread.diameter_mm) / 1000
        axes.plot([running, end], [0, top], label=f"K {k:g}, {name} friction")
    axes.axhline(proof / 1000, color="black", linewidth=1.6, linestyle="-.", label="proof load")
    axes.axvline(applied, color="black", linewidth=0.8, label="this torque")
    axes.set(xlim=(0, end), ylim=(0, 1.6 * proof / 1000))
    axes.legend()
    return figure


TORQUE = Sum(
    name="bolt-torque",
    title="Preload and torque",
    question="What torque suits this bolt, and how sure is the clamping force?",
    inputs=(
        CLASSED_BOLT,
        ChoiceInput(
            name="surface",
            label="Surface",
            choices={each.name: each.meaning for each in tightening.friction_conditions().values()},
            default="unknown",
            example="oiled",
        ),
        ChoiceInput(
            name="use",
            label="Joint is",
            choices={"reused": "taken apart again", "permanent": "never taken apart"},
            default="reused",
            example="reused",
        ),
        QuantityInput(
            name="nut-factor",
            label="Nut factor K, if known",
            unit="",
            low=0.03,
            high=1,
            optional=True,
            example="0.2",
        ),
        QuantityInput(
            name="running",
            label="Running torque of a locking nut, measured",
            unit="N·m",
            low=0,
            high=100,
            default="0 N·m",
            example="3 N·m",
            help="What turns the nut before it touches.",
        ),
        QuantityInput(
            name="torque",
            label="Torque to check",
            unit="N·m",
            low=0.5,
            high=2000,
            optional=True,
            example="45 lb-ft",
            help="Such as the one in the car's manual.",
        ),
    ),
    outputs=(
        Output(name="proof_load", label="Proof load", unit="kN"),
        Output(name="preload", label="Clamping force aimed at", unit="kN"),
        Output(name="torque", label="Torque for it", unit="N·m", digits=2),
        Output(name="preload_reached", label="Clamping force reached", unit="kN", digits=2),
        Output(name="share_reached", label="Share of the proof load reached", unit="%", digits=2),
        Output(name="most_torque", label="Never past proof load up to", unit="N·m"),
    ),
    sources=(
        sources.TORQUE,
        sources.NUT_FACTORS,
        sources.NUT_FACTOR_RUST,
        sources.RUNNING,
        sources.LOCKING,
        sources.STRESS_AREA,
        sources.UNIFIED_AREA,
        *sources.STRENGTHS,
    ),
    example={"bolt": "M12 8.8", "surface": "plain-dry", "torque": "82 Nm"},
    cautions=(sources.CROSS_CHECK, sources.SAFETY_PARTS, sources.RENEW, sources.EYES),
    answer=torque_answer,
)
