"""Pistons pushed back: how much fluid returns, and whether the reservoir overflows."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.brakes import hydraulics, sources
from onceapart.sums.brakes.asks import CALIPER, PISTONS
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result

FITS, ABOVE_MAX, OVERFLOWS = "stays below MAX", "rises above MAX", "overflows"


def retract_answer(
    pistons: tuple[tuple[float, int], ...],
    caliper: str,
    calipers: int,
    old_lining_mm: float | None,
    new_lining_mm: float | None,
    old_disc_mm: float | None,
    new_disc_mm: float | None,
    travel_mm: float | None,
    reservoir_cm2: float,
    to_max_mm: float,
    to_brim_mm: float,
) -> Result:
    """Fluid pushed back, the rise, and what to draw off before."""
    travel = _travel_mm(caliper, old_lining_mm, new_lining_mm, old_disc_mm, new_disc_mm, travel_mm)
    if to_brim_mm < to_max_mm:
        rule = f"the brim cannot be below the MAX mark, {to_max_mm:g} mm up"
        raise SumError(f"to-brim {to_brim_mm:g} mm: {rule}; measure both from the level now")
    volume = hydraulics.volume_moved_ml(hydraulics.pistons_area_mm2(pistons) * calipers, travel)
    rise = hydraulics.level_rise_mm(volume, reservoir_cm2)
    over_max = max(0.0, rise - to_max_mm)
    over_brim = max(0.0, rise - to_brim_mm)
    verdict = OVERFLOWS if rise > to_brim_mm else ABOVE_MAX if rise > to_max_mm else FITS
    per_mm = reservoir_cm2 / 10
    sides = "both pads and the disc" if caliper == "floating" else "its own pad and half the disc"
    how = "as given" if travel_mm is not None else f"makes up for {sides}, the caliper being {caliper}"
    reasons = [f"Each piston goes back {travel:.3g} mm: {how}."]
    warnings = []
    if verdict == OVERFLOWS:
        draw = show_value(over_brim * per_mm, "ml", 2)
        warnings.append(f"Draw off at least {draw} before pushing, and watch it: fluid strips paint.")
    elif verdict == ABOVE_MAX:
        reasons.append("Draw it down to MAX afterwards: it needs room to swell when hot.")
    if over_max and travel_mm is None:
        reasons.append(
            "A reservoir at MAX with new pads has room for worn ones; it overflows when it was topped up in "
            "between."
        )
    warnings.append("A piston with the parking brake in it is screwed back, not pressed: see the manual.")
    warnings.append(
        "A reservoir with two chambers can overflow one before the other if their wall reaches above MAX."
    )
    return Result(
        values={
            "travel": travel,
            "volume": volume,
            "rise": rise,
            "below_max": to_max_mm - rise,
            "below_brim": to_brim_mm - rise,
            "draw_to_max": over_max * per_mm,
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
    )


def _travel_mm(
    caliper: str,
    old_lining: float | None,
    new_lining: float | None,
    old_disc: float | None,
    new_disc: float | None,
    travel: float | None,
) -> float:
    if travel is not None:
        if any(each is not None for each in (old_lining, new_lining, old_disc, new_disc)):
            raise SumError("travel: given besides the thicknesses; give one or the other")
        return travel
    if old_lining is None or new_lining is None:
        raise SumError("linings: give the old and the new lining, or the travel of each piston")
    if (old_disc is None) != (new_disc is None):
        raise SumError("disc: give both the old and the new thickness, or neither")
    growth = 0.0 if old_disc is None or new_disc is None else new_disc - old_disc
    back = hydraulics.piston_travel_mm(new_lining - old_lining, growth, caliper)
    if back < 0:
        raise SumError(
            f"travel {back:g} mm: what goes in is thinner than what came out, so nothing is pushed back; "
            "check the thicknesses"
        )
    return back


def _thickness(name: str, label: str, example: str, high: float, help_text: str = "") -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit="mm", low=0, high=high, optional=True, example=example, help=help_text
    )


RETRACT = Sum(
    name="brake-retract",
    title="Pistons pushed back",
    question="How much fluid goes back when the pistons are pushed in, and will the reservoir overflow?",
    inputs=(
        PISTONS,
        CALIPER,
        QuantityInput(
            name="calipers",
            label="Calipers pushed back",
            unit="",
            low=1,
            high=4,
            whole=True,
            default="2",
            example="2",
        ),
        _thickness(
            "old-lining", "Old pad", "4 mm", 40, "Lining, or lining and plate; mean of inner and outer."
        ),
        _thickness("new-lining", "New pad", "12 mm", 40, "Measured as the old one was."),
        _thickness("old-disc", "Old disc", "20.5 mm", 60, "Only if the disc is changed too."),
        _thickness("new-disc", "New disc", "22 mm", 60),
        QuantityInput(
            name="travel",
            label="Travel of each piston, if measured",
            unit="mm",
            low=0,
            high=80,
            optional=True,
            example="15 mm",
            help="Instead of the thicknesses; also for wheel cylinders.",
        ),
        QuantityInput(
            name="reservoir",
            label="Area of the reservoir",
            unit="cm²",
            low=2,
            high=400,
            example="40 cm²",
            help="Length times width of the pot at the level.",
        ),
        QuantityInput(
            name="to-max",
            label="From the level up to MAX",
            unit="mm",
            low=-80,
            high=150,
            example="12 mm",
            help="Below nought if the level is above MAX.",
        ),
        QuantityInput(
            name="to-brim", label="From the level up to the brim", unit="mm", low=0, high=200, example="25 mm"
        ),
    ),
    outputs=(
        Output(name="travel", label="Each piston goes back", unit="mm"),
        Output(name="volume", label="Fluid pushed back", unit="ml"),
        Output(name="rise", label="The level rises", unit="mm", digits=2),
        Output(name="below_max", label="Then below MAX (minus: above)", unit="mm", digits=2),
        Output(name="below_brim", label="Then below the brim (minus: overflows)", unit="mm", digits=2),
        Output(name="draw_to_max", label="To draw off, to end at MAX", unit="ml", digits=2),
    ),
    sources=(sources.HYDRAULICS, sources.WORN_STATE),
    example={
        "pistons": "54 mm",
        "old-lining": "4 mm",
        "new-lining": "11 mm",
        "reservoir": "40 cm²",
        "to-max": "10 mm",
        "to-brim": "22 mm",
    },
    cautions=(sources.CHECKED, sources.FLUID, sources.DUST, sources.PEDAL_FIRST),
    verdicts=(FITS, ABOVE_MAX, OVERFLOWS),
    answer=retract_answer,
)
