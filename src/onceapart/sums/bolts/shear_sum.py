"""Shear: load across a bolt at which it shears, and at which the joint slips first."""

from __future__ import annotations

from onceapart.sums.bolts import shear, sources, strength, tightening
from onceapart.sums.bolts.asks import CLASSED_BOLT
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result


def shear_answer(bolt: Bolt, plane: str, planes: int, preload_kn: float | None, friction: float) -> Result:
    """Load across a bolt at which it shears, and at which the joint slips first."""
    own = bolt.strength
    assert own is not None
    in_thread = plane == "thread"
    area = bolt.thread.stress_area_mm2 if in_thread else shear.shank_area_mm2(bolt.thread.diameter_mm)
    proof = strength.proof_load_n(bolt.thread.stress_area_mm2, own.proof_mpa)
    preload = tightening.preload_n(proof) if preload_kn is None else preload_kn * 1000
    other = shear.shank_area_mm2(bolt.thread.diameter_mm) if in_thread else bolt.thread.stress_area_mm2
    other_place = "shank" if in_thread else "thread"
    metric = bolt.thread.system == "metric"
    design = shear.eurocode_shear_n(own, area, thread_in_plane=in_thread) * planes if metric else None
    return Result(
        values={
            "area": area,
            "shears_at": shear.shear_load_n(area, own.tensile_mpa, planes) / 1000,
            "design": None if design is None else design / 1000,
            "preload": preload / 1000,
            "slips_at": shear.slip_load_n(preload, friction, planes) / 1000,
        },
        reasons=(
            f"With the {other_place} in the plane it would be {other / area:.0%} of this.",
            "A sound clamped joint carries the load by friction; once it slips, it works loose."
            if preload_kn is not None
            else "Slip is reckoned at 75% of the proof load, if it was tightened as it should be.",
        ),
    )


SHEAR = Sum(
    name="bolt-shear",
    title="Shear",
    question="What load across the bolt shears it, and when does the joint slip?",
    inputs=(
        CLASSED_BOLT,
        ChoiceInput(
            name="plane",
            label="In the plane of shear",
            choices={"shank": "the plain shank", "thread": "the thread"},
            default="thread",
            example="shank",
        ),
        QuantityInput(
            name="planes",
            label="Planes of shear",
            unit="",
            low=1,
            high=4,
            whole=True,
            default="1",
            example="2",
            help="A fork has 2.",
        ),
        QuantityInput(
            name="preload",
            label="Clamping force",
            unit="kN",
            low=0,
            high=500,
            optional=True,
            example="25 kN",
            help="75% of the proof load if not given.",
        ),
        QuantityInput(
            name="friction",
            label="Friction between the parts",
            unit="",
            low=0.05,
            high=0.6,
            default="0.15",
            example="0.15",
            help="Plain steel 0.15 to 0.20; paint or oil between, less.",
        ),
    ),
    outputs=(
        Output(name="area", label="Area in the plane", unit="mm²"),
        Output(name="shears_at", label="Shears at, least", unit="kN"),
        Output(name="design", label="Design resistance (EN 1993-1-8)", unit="kN"),
        Output(name="preload", label="Clamping force", unit="kN"),
        Output(name="slips_at", label="Joint slips at", unit="kN"),
    ),
    sources=(
        sources.SHEAR,
        sources.EUROCODE_SHEAR,
        sources.SLIP,
        sources.STRESS_AREA,
        sources.UNIFIED_AREA,
        *sources.STRENGTHS,
    ),
    example={"bolt": "M10 8.8", "plane": "shank"},
    cautions=(sources.SAFETY_PARTS,),
    answer=shear_answer,
)
