"""Engagement: enough thread in the nut or the hole?"""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.bolts import engagement, sources, strength
from onceapart.sums.bolts.asks import CLASSED_BOLT, INTO, NUT, NUT_CLASS
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.bolts.hardware import nut_height_mm
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Value

BOLT_FIRST = "the bolt breaks first"
THREAD_FIRST = "the thread strips first"


def metal_in_mpa(bolt: Bolt, into: str, nut: str, nut_class: str | None, metal_mpa: float | None) -> float:
    r"""Strength of the metal the bolt is screwed into.

    Parameters
    ----------
    bolt : Bolt
        The bolt, with its class.
    into, nut : str
        ``nut`` or a tapped metal; kind of nut.
    nut_class : str or None
        Class of the nut; taken to match the bolt if None.
    metal_mpa : float or None
        Tensile strength if known; goes before all else. [MPa]

    Returns
    -------
    float
        Tensile strength. [MPa]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> metal_in_mpa(parse_bolt("M10 8.8"), "nut", "standard", None, None)
    800.0

    References
    ----------
    .. [1] ISO 898-2 nut classes, and handbook strengths (from memory).
    """
    if metal_mpa is not None:
        return metal_mpa
    if into != "nut":
        return engagement.METALS[into].tensile_mpa
    if nut == "thin":
        return engagement.THIN_NUT_MPA
    if nut_class is not None and bolt.thread.system == "metric":
        return engagement.NUT_CLASSES[nut_class]
    assert bolt.strength is not None
    if bolt.thread.system == "metric":
        return engagement.NUT_CLASSES[engagement.least_nut_class(bolt.strength.name)]
    return bolt.strength.tensile_mpa


def engagement_answer(
    bolt: Bolt,
    into: str,
    engaged_mm: float | None,
    nut: str,
    nut_class: str | None,
    metal_mpa: float | None,
) -> Result:
    """Whether the bolt breaks before a thread strips, and how much thread that takes."""
    own = bolt.strength
    assert own is not None
    if engaged_mm is None:
        if into != "nut":
            raise SumError(
                "engaged: not given; count the turns out of the hole times the pitch, such as 15 mm"
            )
        engaged_mm = nut_height_mm(bolt.thread, nut)
    if nut_class is not None and bolt.thread.system != "metric":
        raise SumError(f"nut-class {nut_class}: is of metric nuts; leave it out for {bolt.thread}")
    metal = metal_in_mpa(bolt, into, nut, nut_class, metal_mpa)
    thread = bolt.thread
    needed = engagement.engagement_needed_mm(thread, own.tensile_mpa, metal)
    strips = engagement.stripping_load_n(thread, engaged_mm, own.tensile_mpa, metal)
    breaks = strength.ultimate_load_n(thread.stress_area_mm2, own.tensile_mpa)
    enough = engaged_mm >= needed
    rule: Value = None
    reasons = [f"The metal screwed into is taken as {metal:.0f} MPa."]
    if into == "nut":
        reasons.append(_nut_words(bolt, nut, nut_class))
    else:
        low, high = engagement.METALS[into].rule
        rule = f"{low:g} to {high:g} d = {low * thread.diameter_mm:.3g} to {high * thread.diameter_mm:.3g} mm"
    if not enough:
        reasons.append(
            f"{engaged_mm:.3g} mm is engaged, {needed:.3g} mm is needed; the thread strips at "
            f"{strips / breaks:.0%} of what breaks the bolt."
        )
    return Result(
        values={
            "needed": needed,
            "needed_diameters": needed / thread.diameter_mm,
            "engaged": engaged_mm,
            "strips_at": strips / 1000,
            "breaks_at": breaks / 1000,
            "rule": rule,
        },
        verdict=BOLT_FIRST if enough else THREAD_FIRST,
        reasons=tuple(reason for reason in reasons if reason),
        warnings=tuple(_warnings(bolt, into, nut, nut_class, enough)),
    )


def _nut_words(bolt: Bolt, nut: str, nut_class: str | None) -> str:
    if nut == "thin":
        return "A thin nut is a lock nut, not made to carry the bolt's load."
    if bolt.thread.system != "metric":
        return "The nut is taken to match the bolt's grade."
    assert bolt.strength is not None
    least = engagement.least_nut_class(bolt.strength.name)
    if nut_class is None:
        return f"The nut is taken as class {least}, which goes with a {bolt.strength.name} bolt."
    return f"A {bolt.strength.name} bolt takes a nut of class {least} or higher; this is {nut_class}."


def _warnings(bolt: Bolt, into: str, nut: str, nut_class: str | None, enough: bool) -> list[str]:
    warnings = []
    if not enough:
        warnings.append("A stripping thread gives no warning: the torque just stops rising.")
    is_metric_nut = into == "nut" and nut != "thin" and bolt.thread.system == "metric"
    if is_metric_nut and nut_class is not None and bolt.strength is not None:
        least = engagement.least_nut_class(bolt.strength.name)
        if int(nut_class) < int(least):
            pair = f"Nut class {nut_class} is too low for a {bolt.strength.name} bolt"
            warnings.append(
                f"{pair}: a soft nut spreads before its thread shears, which this sum does not see."
            )
    return warnings


ENGAGEMENT = Sum(
    name="bolt-engagement",
    title="Thread engagement",
    question="Is enough thread engaged that the bolt breaks before the thread strips?",
    inputs=(
        CLASSED_BOLT,
        INTO,
        QuantityInput(
            name="engaged",
            label="Full thread engaged",
            unit="mm",
            low=0.5,
            high=100,
            optional=True,
            example="15 mm",
            help="Turns to screw it out times the pitch; the height of the nut if not given.",
        ),
        NUT,
        NUT_CLASS,
        QuantityInput(
            name="metal",
            label="Tensile strength screwed into, if known",
            unit="MPa",
            low=50,
            high=1500,
            optional=True,
            example="250 MPa",
        ),
    ),
    outputs=(
        Output(name="needed", label="Engagement needed", unit="mm"),
        Output(name="needed_diameters", label="The same in diameters", unit="", digits=2),
        Output(name="engaged", label="Engaged", unit="mm"),
        Output(name="strips_at", label="Thread strips at", unit="kN"),
        Output(name="breaks_at", label="Bolt breaks at", unit="kN"),
        Output(name="rule", label="Rule of thumb", unit=None),
    ),
    sources=(
        sources.STRIPPING,
        sources.STRIPPING_HOLE,
        sources.TOLERANCES,
        sources.NUT_CLASS,
        sources.HOLE_METALS,
        sources.ENGAGEMENT_RULE,
        sources.HEADS_AND_NUTS,
        *sources.STRENGTHS,
    ),
    example={"bolt": "M10 8.8", "into": "tapped-aluminium", "engaged": "15 mm", "metal": "250 MPa"},
    cautions=(sources.SAFETY_PARTS, sources.EYES),
    verdicts=(BOLT_FIRST, THREAD_FIRST),
    answer=engagement_answer,
)
