"""Thread data: dimensions of a thread, and what it carries in each class."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.bolts import sources, strength
from onceapart.sums.bolts.asks import ANY_BOLT
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.bolts.hardware import hardware_of
from onceapart.sums.bolts.threads import nut_minor_diameter_mm, pitch_diameter_mm, root_diameter_mm
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table, Value

LOADS_BY_CLASS = (
    Output(name="class", label="Class", unit=None),
    Output(name="proof", label="Proof load", unit="kN"),
    Output(name="ultimate", label="Breaks at, least", unit="kN"),
    Output(name="status", label="Strength is", unit=None),
)


def thread_answer(bolt: Bolt) -> Result:
    """Dimensions of a thread, and its loads in every class."""
    thread, area = bolt.thread, bolt.thread.stress_area_mm2
    goes_with = hardware_of(thread)
    rows: list[tuple[Value, ...]] = []
    for name in strength.class_names(thread.system):
        try:
            each = strength.strength_of(thread, name)
        except SumError:  # the class does not come in this size
            continue
        proof = strength.proof_load_n(area, each.proof_mpa) / 1000
        ultimate = strength.ultimate_load_n(area, each.tensile_mpa) / 1000
        rows.append((name, proof, ultimate, each.status))
    own = bolt.strength
    return Result(
        values={
            "pitch": thread.pitch_mm,
            "stress_area": area,
            "pitch_diameter": pitch_diameter_mm(thread.diameter_mm, thread.pitch_mm),
            "nut_minor": nut_minor_diameter_mm(thread.diameter_mm, thread.pitch_mm),
            "root": root_diameter_mm(thread.diameter_mm, thread.pitch_mm),
            "tap_drill": thread.diameter_mm - thread.pitch_mm,
            "hole_normal": goes_with.hole_normal_mm,
            "across_flats": goes_with.across_flats_mm,
            "proof_load": strength.proof_load_n(area, own.proof_mpa) / 1000 if own else None,
            "ultimate_load": strength.ultimate_load_n(area, own.tensile_mpa) / 1000 if own else None,
        },
        reasons=(f"{thread} is a {thread.series} thread of nominal diameter {thread.diameter_mm:g} mm.",),
        tables=(Table(f"Loads of {thread} by class", LOADS_BY_CLASS, tuple(rows)),),
    )


THREAD = Sum(
    name="bolt-thread",
    title="Thread data",
    question="What are the dimensions of a thread, and what does it carry in each class?",
    inputs=(ANY_BOLT,),
    outputs=(
        Output(name="pitch", label="Pitch", unit="mm", digits=4),
        Output(name="stress_area", label="Stress area", unit="mm²"),
        Output(name="pitch_diameter", label="Pitch diameter", unit="mm", digits=5),
        Output(name="nut_minor", label="Minor diameter of the nut", unit="mm", digits=5),
        Output(name="root", label="Root diameter of the bolt", unit="mm", digits=5),
        Output(name="tap_drill", label="Tap drill (diameter less pitch)", unit="mm"),
        Output(name="hole_normal", label="Clearance hole, normal", unit="mm"),
        Output(name="across_flats", label="Across flats of the head", unit="mm"),
        Output(name="proof_load", label="Proof load", unit="kN"),
        Output(name="ultimate_load", label="Breaks at, least", unit="kN"),
    ),
    sources=(
        sources.STRESS_AREA,
        sources.UNIFIED_AREA,
        sources.PROFILE,
        sources.ROOT,
        *sources.STRENGTHS,
        sources.HEADS_AND_NUTS,
        sources.HOLES,
        sources.INCH_HARDWARE,
    ),
    example={"bolt": "M12 8.8"},
    cautions=(sources.SAFETY_PARTS,),
    answer=thread_answer,
)
