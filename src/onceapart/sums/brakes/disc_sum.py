"""Disc: thickness against its minimum, variation and run-out."""

from __future__ import annotations

from onceapart.sums.brakes import sources, thickness
from onceapart.sums.brakes.asks import rules_table
from onceapart.sums.inputs import QuantityInput, RowsInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table

GOOD, WATCH, REPLACE = "serviceable", "measure again or replace soon", "replace"
VARIATION_UM = (10.0, 15.0)
"""Thickness variation: fine up to the first, too much from the second on; from memory."""
RUN_OUT_MM = (0.05, 0.10)
"""Run-out likewise, with a gauge 10 mm in from the rim; from memory."""


def disc_answer(
    thickness_mm: tuple[float, ...],
    minimum_mm: float,
    new_mm: float | None,
    gauge_error_mm: float,
    pad_sets: int | None,
    run_out_mm: float | None,
    run_out_limit_mm: float | None,
    variation_limit_um: float | None,
) -> Result:
    """What the readings say, and whether the gauge is good enough to say it."""
    thinnest = min(thickness_mm)
    spare = thinnest - minimum_mm
    worn = None if new_mm is None else thickness.share_worn(new_mm, thinnest, minimum_mm)
    left = None
    if new_mm is not None and pad_sets and worn:
        left = thickness.pad_sets_left(new_mm, thinnest, minimum_mm, pad_sets)
    verdict, reasons = _by_thickness(spare, gauge_error_mm, left)
    warnings = []
    variation = thickness.variation_um(thickness_mm) if len(thickness_mm) > 1 else None
    if variation is not None:
        if 2000 * gauge_error_mm > VARIATION_UM[0]:
            reasons.append(
                f"A gauge good to {gauge_error_mm:g} mm cannot show a variation of {VARIATION_UM[0]:g} µm: "
                "use a micrometer."
            )
        if len(thickness_mm) < 8:
            reasons.append("Variation wants 8 or more places round the disc; fewer can miss the worst.")
    over = [
        _against("Variation", variation, VARIATION_UM, variation_limit_um, "µm"),
        _against("Run-out", run_out_mm, RUN_OUT_MM, run_out_limit_mm, "mm"),
    ]
    for words, too_much in filter(None, over):
        if too_much:
            warnings.append(f"{words} Clean the hub face and measure again before blaming the disc.")
            verdict = WATCH if verdict == GOOD else verdict
        else:
            reasons.append(words)
    warnings.append(
        "Cracks to the edge or a bolt hole, or rust lifting the face: replace, whatever it measures."
    )
    return Result(
        values={
            "thinnest": thinnest,
            "spare": spare,
            "share_worn": None if worn is None else 100 * worn,
            "sets_left": left,
            "variation": variation,
            "run_out": run_out_mm,
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=(_rules(spare),),
    )


def _by_thickness(spare: float, gauge_error: float, sets_left: float | None) -> tuple[str, list[str]]:
    spare_words = show_value(abs(spare), "mm")
    if spare < -gauge_error:
        return REPLACE, [f"It is {spare_words} under the minimum marked on it."]
    if spare <= gauge_error:
        return WATCH, [
            f"It is within the gauge's own error of {gauge_error:g} mm of the minimum: measure with a "
            "micrometer, "
            "or replace."
        ]
    reasons = [f"It is {spare_words} above the minimum marked on it."]
    if sets_left is not None and sets_left < 1:
        reasons.append(
            f"At the wear so far it lasts {sets_left:.1f} sets of pads, so it would not outlive the "
            "next set: "
            "fit new discs with the pads."
        )
        return WATCH, reasons
    return GOOD, reasons


def _against(
    what: str, found: float | None, usual: tuple[float, float], own: float | None, unit: str
) -> tuple[str, bool] | None:
    """In words, and whether it is too much; the manual's figure goes before the remembered ones."""
    if found is None:
        return None
    words = show_value(found, unit)
    if own is not None:
        over = found > own
        return f"{what} {words} is {'over' if over else 'within'} the {own:g} {unit} given.", over
    fine, much = usual
    if found <= fine:
        return f"{what} {words} is within the {fine:g} {unit} of usual practice (from memory).", False
    if found < much:
        return (
            f"{what} {words} is borderline: {fine:g} to {much:g} {unit} is the usual most (from memory).",
            True,
        )
    return f"{what} {words} is over the usual most of {much:g} {unit} (from memory): expect shaking.", True


def _rules(spare: float) -> Table:
    found = f"{abs(spare):.2f} mm {'above' if spare >= 0 else 'under'}"
    return rules_table(
        (
            ("49 CFR 570.5(f)", "not under the stamped minimum", found, spare >= 0, "verified"),
            (
                "EU 2014/45 Annex I 1.1.14",
                "worn: major; far worn, cracked: dangerous",
                "the inspector judges",
                None,
                "verified (2014 print)",
            ),
            (
                "UK inspection manual 1.1.14",
                "obviously worn; under the maker's limit alone is no fail",
                "the inspector judges",
                None,
                "verified",
            ),
        )
    )


DISC = Sum(
    name="brake-disc",
    title="Disc thickness and run-out",
    question="Can this disc stay, and will it outlast another set of pads?",
    inputs=(
        RowsInput(
            name="thickness",
            label="Thickness in the band the pad touches",
            columns=(
                QuantityInput(name="reading", label="Reading", unit="mm", low=3, high=60, example="21.4 mm"),
            ),
            most=36,
            example="21.43 mm; 21.42; 21.44; 21.43",
            help="One reading, or several spread round the disc for its variation; not over the lip "
            "at the rim.",
        ),
        QuantityInput(
            name="minimum",
            label="Minimum marked on it",
            unit="mm",
            low=3,
            high=60,
            example="20 mm",
            help="MIN TH on rim or hub of the disc; otherwise the manual's.",
        ),
        QuantityInput(
            name="new", label="Thickness as new", unit="mm", low=3, high=60, optional=True, example="22 mm"
        ),
        QuantityInput(
            name="gauge-error",
            label="The gauge is good to",
            unit="mm",
            low=0,
            high=0.5,
            default="0.05 mm",
            example="0.01 mm",
            help="Vernier about 0.05 mm, micrometer 0.01 mm or better (common practice).",
        ),
        QuantityInput(
            name="pad-sets",
            label="Sets of pads worn out on it",
            unit="",
            low=1,
            high=20,
            whole=True,
            optional=True,
            example="2",
        ),
        QuantityInput(
            name="run-out",
            label="Run-out",
            unit="mm",
            low=0,
            high=5,
            optional=True,
            example="0.04 mm",
            help="Dial gauge near the rim over one turn, disc held on by its nuts.",
        ),
        QuantityInput(
            name="run-out-limit",
            label="Most run-out in the manual",
            unit="mm",
            low=0.01,
            high=1,
            optional=True,
            example="0.08 mm",
        ),
        QuantityInput(
            name="variation-limit",
            label="Most variation in the manual",
            unit="µm",
            low=1,
            high=200,
            optional=True,
            example="15 µm",
        ),
    ),
    outputs=(
        Output(name="thinnest", label="Thinnest place", unit="mm", digits=4),
        Output(name="spare", label="Above the minimum (minus: under it)", unit="mm"),
        Output(name="share_worn", label="Wear allowance used up", unit="%", digits=2),
        Output(name="sets_left", label="Sets of pads it still outlasts", unit="", digits=2),
        Output(name="variation", label="Thickness variation, at least", unit="µm", digits=2),
        Output(name="run_out", label="Run-out", unit="mm", digits=2),
    ),
    sources=(sources.DISC_MINIMUM, sources.DISC_EU, sources.DISC_UK, sources.DISC_SHAKE),
    example={
        "thickness": "21.43 mm; 21.425; 21.43; 21.435; 21.43; 21.43; 21.425; 21.43",
        "minimum": "20 mm",
        "new": "22 mm",
        "gauge-error": "0.005 mm",
        "pad-sets": "1",
        "run-out": "0.04 mm",
    },
    cautions=(sources.CHECKED, sources.DUST, sources.INSPECTOR),
    verdicts=(GOOD, WATCH, REPLACE),
    answer=disc_answer,
)
